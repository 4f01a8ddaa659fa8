//! What must be true of degree days, chill and hourly temperatures whatever the weather: tried on random weather, all
//! of it invented.
//!
//! Source of what is expected: the contract, section 5, and the project's handbook, section 6 and section 13, as each
//! test says.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test may stop at the first surprise"
)]

use std::cell::Cell;

use chrono::NaiveDate;
use fairspell::plant::{DegreeDaySums, DegreeDays, Method, Reached};
use fairspell::quantity::Unit;
use fairspell::series::DailySeries;
use fairspell_tests::scenario::runner;
use proptest::prelude::*;
use proptest::test_runner::TestError;

/// Random cases of each property.
const CASES: u32 = 400;

const METHODS: [Method; 3] = [Method::Simple, Method::Clamped, Method::Sine];

/// Stops with the smallest case that was found.
fn passed<T: std::fmt::Debug>(result: Result<(), TestError<T>>) {
    match result {
        Ok(()) => {}
        Err(TestError::Fail(why, case)) => panic!("{why}\nsmallest case: {case:?}"),
        Err(error) => panic!("{error}"),
    }
}

/// Tenths of a degree between two bounds.
fn tenths(bounds: std::ops::RangeInclusive<i32>) -> impl Strategy<Value = f64> {
    bounds.prop_map(|tenths| f64::from(tenths) / 10.0)
}

fn degree_days(method: Method, base: f64, cap: Option<f64>, unit: Unit) -> DegreeDays {
    DegreeDays::new(method, base, cap, unit).unwrap()
}

/// A day's minimum and range, a base and how far above it the cap lies: what every property of a day is tried on.
fn day() -> impl Strategy<Value = (f64, f64, f64, f64)> {
    (
        tenths(-400..=400),
        tenths(0..=300),
        tenths(-100..=200),
        tenths(1..=200),
    )
}

/// The brief of the three methods: none is below 0; with no cap simple ≤ sine ≤ clamped (the project's handbook, §13);
/// a cap takes away and never adds; none gives more than the distance from base to cap.
#[test]
fn methods_keep_their_order_and_a_cap_never_adds() {
    const ROUNDING: f64 = 1e-11;
    let result = runner(CASES, 1).run(&day(), |(tmin, range, base, above)| {
        let of = |method, cap| degree_days(method, base, cap, Unit::Celsius).of(tmin, tmin + range);
        let [simple, clamped, sine] = METHODS.map(|method| of(method, None));
        prop_assert!(0.0 <= simple && simple <= sine + ROUNDING && sine <= clamped + ROUNDING);
        for method in METHODS {
            let capped = of(method, Some(base + above));
            prop_assert!(0.0 <= capped && capped <= of(method, None) + ROUNDING);
            prop_assert!(capped <= above + ROUNDING);
        }
        Ok(())
    });
    passed(result);
}

/// A warmer night or a warmer day never means less heat, capped or not.
#[test]
fn degree_days_never_fall_as_either_extreme_rises() {
    const ROUNDING: f64 = 1e-11;
    let result = runner(CASES, 2).run(
        &(day(), tenths(0..=50)),
        |((tmin, range, base, above), rise)| {
            let tmax = tmin + range;
            for method in METHODS {
                for cap in [None, Some(base + above)] {
                    let of =
                        |tmin, tmax| degree_days(method, base, cap, Unit::Celsius).of(tmin, tmax);
                    prop_assert!(of(tmin, tmax) <= of(tmin, tmax + rise) + ROUNDING);
                    let warmer_night = (tmin + rise).min(tmax);
                    prop_assert!(of(tmin, tmax) <= of(warmer_night, tmax) + ROUNDING);
                }
            }
            Ok(())
        },
    );
    passed(result);
}

/// F·d = 9/5 C·d with every temperature in °F (the project's handbook, §1).
#[test]
fn fahrenheit_and_celsius_agree() {
    let result = runner(CASES, 3).run(&day(), |(tmin, range, base, above)| {
        let fahrenheit = |celsius: f64| celsius * 1.8 + 32.0;
        for method in METHODS {
            for cap in [None, Some(base + above)] {
                let celsius = degree_days(method, base, cap, Unit::Celsius).of(tmin, tmin + range);
                let (base, cap) = (fahrenheit(base), cap.map(fahrenheit));
                let in_fahrenheit = degree_days(method, base, cap, Unit::Fahrenheit)
                    .of(fahrenheit(tmin), fahrenheit(tmin + range));
                prop_assert!((in_fahrenheit - 1.8 * celsius).abs() < 1e-9);
            }
        }
        Ok(())
    });
    passed(result);
}

/// A record of up to 40 days in °C, tenths, with blanks and days out of order.
fn record() -> impl Strategy<Value = Vec<(f64, f64)>> {
    let day =
        (tenths(-150..=100), tenths(0..=200), 0..20_u8).prop_map(
            |(tmin, range, fault)| match fault {
                0 => (f64::NAN, tmin + range),
                1 => (tmin, f64::NAN),
                2 => (f64::NAN, f64::NAN),
                3 => (tmin, tmin - range - 0.1),
                _ => (tmin, tmin + range),
            },
        );
    proptest::collection::vec(day, 1..40)
}

fn sums(days: &[(f64, f64)], reckoned: DegreeDays) -> DegreeDaySums {
    let first = NaiveDate::from_ymd_opt(2026, 12, 1).unwrap();
    let (tmin, tmax) = days.iter().copied().unzip();
    let mut series = DailySeries::new("invented", first, tmin, Unit::Celsius, false).unwrap();
    series.set_tmax(tmax).unwrap();
    DegreeDaySums::of(&series, reckoned).unwrap()
}

/// The plain twin: a day's degree days by the words of the contract, `None` for a longer gap; and whether it was
/// filled.
fn told_again(days: &[(f64, f64)], reckoned: DegreeDays, at: usize) -> (Option<f64>, bool) {
    let is_whole = |at: usize| days.get(at).is_some_and(|(low, high)| low <= high);
    if is_whole(at) {
        return (Some(reckoned.of(days[at].0, days[at].1)), false);
    }
    if at == 0 || !is_whole(at - 1) || !is_whole(at + 1) {
        return (None, false);
    }
    let mean = |of: fn((f64, f64)) -> f64| f64::midpoint(of(days[at - 1]), of(days[at + 1]));
    let keep = |own: f64, of: fn((f64, f64)) -> f64| {
        let is_out_of_order = days[at].0 > days[at].1;
        if own.is_nan() || is_out_of_order {
            mean(of)
        } else {
            own
        }
    };
    let (low, high) = (keep(days[at].0, |d| d.0), keep(days[at].1, |d| d.1));
    if low <= high {
        (Some(reckoned.of(low, high)), true)
    } else {
        (None, false)
    }
}

/// How often each outcome came about, so that a test can say that all of them were tried.
#[derive(Debug, Default)]
struct Tally {
    on: Cell<u32>,
    not: Cell<u32>,
    unknown: Cell<u32>,
    filled: Cell<u32>,
}

fn count(cell: &Cell<u32>, more: u32) {
    cell.set(cell.get() + more);
}

/// Adds day by day from `from` on, and holds sums, filled days and the day of reaching against it after each day.
fn add_up(
    days: &[(f64, f64)],
    reckoned: DegreeDays,
    (from, target): (usize, f64),
    tally: &Tally,
) -> Result<(), TestCaseError> {
    let sums = sums(days, reckoned);
    let (mut sum, mut fills, mut reached) = (Some(0.0), 0, None);
    for at in from..days.len() {
        let (day, is_filled) = told_again(days, reckoned, at);
        sum = sum.zip(day).map(|(sum, day)| sum + day);
        fills += u32::from(is_filled);
        let between = sums.between(from, at + 1);
        prop_assert_eq!(between.is_some(), sum.is_some());
        let gap = between.zip(sum).map_or(0.0, |(between, sum)| between - sum);
        prop_assert!(gap.abs() < 1e-7, "{between:?} {sum:?}");
        prop_assert_eq!(sums.filled_between(from, at + 1), fills);
        reached = reached.or(match sum {
            None => Some(Reached::Unknown),
            // Within the rounding of tenths either is right: take what the sum says itself.
            Some(sum) if (sum - target).abs() < 1e-7 => {
                (between >= Some(target)).then_some(Reached::On(at))
            }
            Some(sum) => (sum > target).then_some(Reached::On(at)),
        });
        let expected = reached.unwrap_or(Reached::Not);
        prop_assert_eq!(sums.reached(from, at + 1, target), expected);
        match expected {
            Reached::On(_) => count(&tally.on, 1),
            Reached::Not => count(&tally.not, 1),
            Reached::Unknown => count(&tally.unknown, 1),
        }
    }
    count(&tally.filled, fills);
    let beyond = sums.reached(from, days.len() + 1, target);
    prop_assert_eq!(beyond, reached.unwrap_or(Reached::Unknown));
    Ok(())
}

/// Sums from any day to any other, filled days and days of reaching, against adding day by day. Promise 1: over an
/// unknown day there is no sum.
#[test]
fn sums_are_those_that_adding_day_by_day_gives() {
    let tally = Tally::default();
    let asked = (record(), 0..3_usize, tenths(0..=400));
    let result = runner(CASES, 4).run(&asked, |(days, method, target)| {
        let reckoned = degree_days(METHODS[method], 5.2, None, Unit::Celsius);
        for from in 0..days.len() {
            add_up(&days, reckoned, (from, target), &tally)?;
        }
        Ok(())
    });
    passed(result);
    let counts = [&tally.on, &tally.not, &tally.unknown, &tally.filled];
    assert!(counts.iter().all(|cell| cell.get() > 1000), "{tally:?}");
}

/// What came before a winter changes no bit of its sum.
#[test]
fn a_sum_does_not_depend_on_what_the_record_holds_before_it() {
    let result = runner(CASES, 5).run(&(record(), record()), |(earlier, days)| {
        let reckoned = degree_days(Method::Sine, 5.2, None, Unit::Celsius);
        let long: Vec<(f64, f64)> = earlier.iter().chain(&days).copied().collect();
        let (alone, after) = (sums(&days, reckoned), sums(&long, reckoned));
        for until in 2..=days.len() {
            let expected = alone.between(1, until);
            let from = earlier.len() + 1;
            prop_assert_eq!(after.between(from, earlier.len() + until), expected);
        }
        Ok(())
    });
    passed(result);
}
