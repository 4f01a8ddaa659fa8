//! What must be true of the freezes of every record: tried on random ones, all invented, and on the smallest records
//! that show a rule.
//!
//! Source of what is expected: the contract's definitions (freeze day, halves, valid year, suspect, day number, risk),
//! sentence by sentence in each test; the whole-degree table from the rounding rule of the GHCN-Daily readme.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test may stop at the first surprise"
)]

use std::fmt::{Debug, Write as _};
use std::fs;
use std::path::Path;

use chrono::{Datelike as _, Months, NaiveDate, TimeDelta};
use fairspell::freeze::{
    Asked, AtThreshold, Half, HalfName, Headline, Settings, StationFreezes, Window, YearDate,
    freezes, last_freeze,
};
use fairspell::quantity::{Quantity, Unit};
use fairspell::read::Source;
use fairspell::read::daily::{DailyOptions, DailyReading, read_daily};
use fairspell::series::DailySeries;
use fairspell::site::Hemisphere;
use fairspell::statistics::wilson;
use fairspell_tests::scenario::runner;
use proptest::prelude::*;
use proptest::test_runner::TestError;
use serde_json::{Value, json};

/// Random cases of each property.
const CASES: u32 = 60;
/// Cases of those that draw replicates.
const FEW_CASES: u32 = 6;

const MISSING: f64 = f64::NAN;

/// Stops with the smallest case that was found.
fn passed<T: Debug>(result: Result<(), TestError<T>>) {
    match result {
        Ok(()) => {}
        Err(TestError::Fail(why, case)) => panic!("{why}\nsmallest case: {case:?}"),
        Err(error) => panic!("{error}"),
    }
}

fn date(year: i32, month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(year, month, day).unwrap()
}

fn fahrenheit(value: f64) -> Quantity {
    Quantity {
        value,
        unit: Unit::Fahrenheit,
    }
}

/// The north, the contract's four thresholds, no intervals, nothing suspect.
fn settings() -> Settings {
    Settings {
        thresholds: [36.0, 32.0, 28.0, 24.0].map(fahrenheit).to_vec(),
        hemisphere: Hemisphere::North,
        keeps_suspect: true,
        seed: 1,
        replicates: 0,
        is_brief: false,
    }
}

fn at_28(hemisphere: Hemisphere) -> Settings {
    Settings {
        thresholds: vec![fahrenheit(28.0)],
        hemisphere,
        ..settings()
    }
}

/// An invented climate: whole °F, a wave over the year and noise.
#[derive(Debug, Clone)]
struct Record {
    years: i32,
    mean: i32,
    swing: i32,
    noise: u32,
    seed: u64,
}

fn records(years: std::ops::RangeInclusive<i32>) -> impl Strategy<Value = Record> {
    let shape = (years, 15..70_i32, 5..35_i32, 0..16_u32, any::<u64>());
    shape.prop_map(|(years, mean, swing, noise, seed)| Record {
        years,
        mean,
        swing,
        noise,
        seed,
    })
}

impl Record {
    /// Days from 1 January 1961 on.
    fn tmin(&self) -> Vec<f64> {
        let first = date(1961, 1, 1);
        let days = date(1961 + self.years, 1, 1)
            .signed_duration_since(first)
            .num_days();
        let mut state = self.seed | 1;
        let value = |day: i64| {
            // Marsaglia's xorshift, 64 bit (shifts from memory): noise that is the same at every run.
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            let noise = (state >> 32) % u64::from(2 * self.noise + 1);
            let season = (first + TimeDelta::days(day)).ordinal0();
            let wave = -(f64::from(season) / 365.25 * std::f64::consts::TAU).cos();
            let mean = f64::from(self.mean - i32::try_from(self.noise).unwrap());
            (mean + f64::from(self.swing) * wave).round() + noise as f64
        };
        (0..days).map(value).collect()
    }

    fn series(&self) -> DailySeries {
        series(date(1961, 1, 1), self.tmin())
    }
}

fn series(first: NaiveDate, tmin: Vec<f64>) -> DailySeries {
    DailySeries::new("S1", first, tmin, Unit::Fahrenheit, false).unwrap()
}

/// Days from one date to another at 50 °F, but for the days named.
fn mild(first: NaiveDate, last: NaiveDate, but: &[(NaiveDate, f64)]) -> DailySeries {
    let days = last.signed_duration_since(first).num_days() + 1;
    let value = |day: i64| {
        let date = first + TimeDelta::days(day);
        but.iter()
            .find(|(of, _)| *of == date)
            .map_or(50.0, |(_, value)| *value)
    };
    series(first, (0..days).map(value).collect())
}

fn csv(unit: &str, first: NaiveDate, values: &[String]) -> Vec<String> {
    let mut rows = vec![format!("date,tmin_{unit}")];
    rows.extend(
        values
            .iter()
            .zip(0_i64..)
            .map(|(value, day)| format!("{},{value}", first + TimeDelta::days(day))),
    );
    rows
}

fn read(rows: &[String]) -> DailyReading {
    let text = rows.join("\n");
    let source = Source {
        name: "station.csv",
        bytes: text.as_bytes(),
    };
    let mut readings = read_daily(source, DailyOptions::default()).unwrap();
    assert_eq!(readings.len(), 1);
    readings.remove(0)
}

fn halves(at: &AtThreshold) -> [&Half; 2] {
    [&at.spring, &at.autumn]
}

fn answer(series: DailySeries, settings: &Settings) -> StationFreezes {
    let mut rows = csv("f", series.first(), &[]);
    for (value, day) in series.tmin().iter().zip(0_i64..) {
        let shown = if value.is_nan() {
            String::new()
        } else {
            value.to_string()
        };
        rows.push(format!("{},{shown}", series.first() + TimeDelta::days(day)));
    }
    let mut reading = read(&rows);
    reading.series = series;
    StationFreezes::new(&reading, settings)
}

// --- Risk ---

fn assert_risk_runs_one_way(at: &AtThreshold) -> Result<(), TestCaseError> {
    for half in halves(at) {
        let is_full = half.valid_years > 0;
        let days = if is_full { half.window.days() } else { 0 };
        prop_assert_eq!(half.risk.len(), days as usize);
        for risk in &half.risk {
            prop_assert!((0.0..=1.0).contains(&risk.probability), "{risk:?}");
            if let Some((low, high)) = risk.interval {
                prop_assert!(0.0 <= low && low <= high && high <= 1.0, "{risk:?}");
            }
        }
        for pair in half.risk.windows(2) {
            let (before, after) = (pair[0].probability, pair[1].probability);
            let is_right = if std::ptr::eq(half, &raw const at.spring) {
                after <= before
            } else {
                after >= before
            };
            prop_assert!(is_right, "{:?} {pair:?}", half.window.half);
        }
    }
    Ok(())
}

#[test]
fn risk_never_rises_in_spring_nor_falls_in_autumn() {
    passed(runner(CASES, 41).run(&records(1..=35), |record| {
        for at in freezes(&record.series(), &settings()) {
            assert_risk_runs_one_way(&at)?;
        }
        Ok(())
    }));
}

/// The same of the curve that leads, whichever it is, with its intervals.
#[test]
fn the_risk_that_leads_runs_one_way_too() {
    let settings = Settings {
        thresholds: vec![fahrenheit(32.0)],
        replicates: 20,
        ..settings()
    };
    passed(runner(FEW_CASES, 42).run(&records(30..=60), |record| {
        for at in freezes(&record.series(), &settings) {
            assert_risk_runs_one_way(&at)?;
        }
        Ok(())
    }));
}

/// A record that warms by a day a year is carried to the present, and its curve still runs one way.
#[test]
fn a_moving_record_leads_with_the_present() {
    let settings = Settings {
        replicates: 20,
        ..settings()
    };
    for at in freezes(&warming(true), &settings) {
        for half in halves(&at) {
            assert_eq!(half.headline, Headline::Present);
            assert_eq!(
                half.present.as_ref().map(|present| present.for_year),
                Some(2021)
            );
        }
        assert_risk_runs_one_way(&at).unwrap();
    }
}

// --- Thresholds and missing days ---

/// Years by name, since each half lists its own.
fn by_year(years: &[YearDate]) -> impl Iterator<Item = (i32, &YearDate)> {
    years.iter().map(|year| (year.year, year))
}

#[test]
fn a_colder_threshold_is_never_later_in_spring_nor_earlier_in_autumn() {
    passed(runner(CASES, 43).run(&records(1..=20), |record| {
        let found = freezes(&record.series(), &settings());
        for pair in found.windows(2) {
            for (index, (warm, cold)) in halves(&pair[0])
                .into_iter()
                .zip(halves(&pair[1]))
                .enumerate()
            {
                prop_assert!(cold.freeze_years <= warm.freeze_years);
                for ((year, warm), (same, cold)) in by_year(&warm.years).zip(by_year(&cold.years)) {
                    prop_assert_eq!((year, warm.is_valid), (same, cold.is_valid));
                    let Some(cold) = cold.date else { continue };
                    let warm = warm.date;
                    let is_right = if index == 0 {
                        warm >= Some(cold)
                    } else {
                        warm.is_some_and(|warm| warm <= cold)
                    };
                    prop_assert!(is_right, "{year}: {warm:?} and {cold}");
                }
            }
        }
        Ok(())
    }));
}

#[test]
fn a_missing_day_never_adds_a_freeze() {
    let cases = (records(1..=12), prop::collection::vec(any::<u32>(), 1..40));
    passed(runner(CASES, 44).run(&cases, |(record, lost)| {
        let mut tmin = record.tmin();
        let before = freezes(&record.series(), &settings());
        let count = tmin.len();
        for day in lost {
            tmin[day as usize % count] = MISSING;
        }
        let after = freezes(&series(date(1961, 1, 1), tmin), &settings());
        for (before, after) in before.iter().zip(&after) {
            for (index, (before, after)) in
                halves(before).into_iter().zip(halves(after)).enumerate()
            {
                prop_assert!(after.freeze_years <= before.freeze_years);
                prop_assert!(after.valid_years <= before.valid_years);
                for ((year, before), (same, after)) in
                    by_year(&before.years).zip(by_year(&after.years))
                {
                    prop_assert_eq!(year, same);
                    prop_assert!(after.missing_days >= before.missing_days);
                    let Some(date) = after.date else { continue };
                    let is_away = before.date.is_some_and(|before| {
                        if index == 0 {
                            date <= before
                        } else {
                            date >= before
                        }
                    });
                    prop_assert!(is_away, "{year}: {:?} became {date}", before.date);
                }
            }
        }
        Ok(())
    }));
}

// --- Files ---

/// Rows of a station may come in any order: the same record.
#[test]
fn the_order_of_rows_does_not_matter() {
    let cases = records(1..=2).prop_flat_map(|record| {
        let rows: Vec<String> = record.tmin().iter().map(ToString::to_string).collect();
        let rows = csv("f", date(1961, 1, 1), &rows)[1..].to_vec();
        (Just(rows.clone()), Just(rows).prop_shuffle())
    });
    passed(runner(CASES / 3, 45).run(&cases, |(rows, shuffled)| {
        let header = vec!["date,tmin_f".to_owned()];
        let in_order = read(&[header.clone(), rows].concat());
        prop_assert_eq!(&in_order, &read(&[header, shuffled].concat()));
        Ok(())
    }));
}

#[test]
fn files_in_celsius_and_in_fahrenheit_agree() {
    let mut settings = settings();
    settings
        .thresholds
        .extend([-5.0, -2.0, 0.0, 1.5].map(|value| Quantity {
            value,
            unit: Unit::Celsius,
        }));
    passed(runner(CASES / 3, 46).run(&records(1..=8), |record| {
        let whole = record.tmin();
        let first = date(1961, 1, 1);
        let as_read: Vec<String> = whole.iter().map(ToString::to_string).collect();
        let converted: Vec<String> = whole
            .iter()
            .map(|value| ((value - 32.0) * 5.0 / 9.0).to_string())
            .collect();
        let [f, c] = [("f", as_read), ("c", converted)]
            .map(|(unit, values)| freezes(&read(&csv(unit, first, &values)).series, &settings));
        prop_assert_eq!(f, c);
        Ok(())
    }));
}

/// 28 °F to the hundredth of °C lies just above 28 °F in °C or just below: compared as stored, never rounded.
#[test]
fn a_celsius_file_is_compared_as_it_stands() {
    for (stored, is_freeze) in [("-2.22", false), ("-2.23", true), ("-2.2", false)] {
        let reading = read(&csv("c", date(2027, 1, 1), &[stored.to_owned()]));
        let at = freezes(&reading.series, &at_28(Hemisphere::North)).remove(0);
        assert_eq!(at.spring.years[0].date.is_some(), is_freeze, "{stored}");
    }
}

// --- Halves ---

/// Freezes on days that both hemispheres' months have, six months apart.
#[test]
fn the_south_is_the_north_shifted_by_six_months() {
    let freezes_of_years =
        prop::collection::vec(prop::collection::vec((1..=12_u32, 1..=28_u32), 0..4), 12);
    passed(runner(CASES, 47).run(&freezes_of_years, |years| {
        let days = |years: &[Vec<(u32, u32)>]| -> Vec<(NaiveDate, f64)> {
            let of_year = |(year, days): (i32, &Vec<(u32, u32)>)| {
                let freeze = move |(month, day): &(u32, u32)| (date(year, *month, *day), 20.0);
                days.iter().map(freeze).collect::<Vec<_>>()
            };
            (2001..).zip(years).flat_map(of_year).collect()
        };
        let north = days(&years);
        let shift = |date: NaiveDate| date.checked_add_months(Months::new(6)).unwrap();
        let south: Vec<_> = north
            .iter()
            .map(|(date, value)| (shift(*date), *value))
            .collect();
        let north = mild(date(2001, 1, 1), date(2012, 12, 31), &north);
        let south = mild(date(2001, 7, 1), date(2013, 6, 30), &south);
        let north = freezes(&north, &at_28(Hemisphere::North)).remove(0);
        let south = freezes(&south, &at_28(Hemisphere::South)).remove(0);
        for (north, south) in halves(&north).into_iter().zip(halves(&south)) {
            let shifted: Vec<_> = north
                .years
                .iter()
                .map(|of| (of.year, of.date.map(shift), of.is_valid))
                .collect();
            let found: Vec<_> = south
                .years
                .iter()
                .map(|of| (of.year, of.date, of.is_valid))
                .collect();
            prop_assert_eq!(shifted, found);
        }
        Ok(())
    }));
}

/// Day numbers across New Year: 31 January of a southern spring is day 396.
#[test]
fn a_southern_spring_goes_on_past_new_year() {
    let south = mild(
        date(2027, 7, 1),
        date(2028, 6, 30),
        &[(date(2028, 1, 31), 28.0), (date(2028, 2, 1), 28.0)],
    );
    let at = freezes(&south, &at_28(Hemisphere::South)).remove(0);
    let year = at.spring.years[0];
    assert_eq!(
        (year.year, year.date, year.day),
        (2027, Some(date(2028, 1, 31)), Some(396))
    );
    let year = at.autumn.years[0];
    assert_eq!(
        (year.year, year.date, year.day),
        (2027, Some(date(2028, 2, 1)), Some(32))
    );
    assert_eq!(at.freeze_free.days, [(2027, 1)]);
}

/// The contract's halves: by month, in the season that it names by year; a number leads back to its date.
#[test]
fn every_date_lies_in_one_half_and_its_number_gives_it_back() {
    let months = |window: Window| match (window.hemisphere, window.half) {
        (Hemisphere::North, HalfName::Spring) => 1..=7,
        (Hemisphere::North, HalfName::Autumn) => 8..=12,
        (Hemisphere::South, HalfName::Spring) => 7..=13,
        (Hemisphere::South, HalfName::Autumn) => 14..=18,
    };
    let days = || date(2026, 1, 1).iter_days().take(4 * 365 + 1); // with a leap year
    for hemisphere in [Hemisphere::North, Hemisphere::South] {
        for (window, day) in [HalfName::Spring, HalfName::Autumn]
            .map(|half| Window { half, hemisphere })
            .into_iter()
            .flat_map(|window| days().map(move |day| (window, day)))
        {
            let season = match hemisphere {
                Hemisphere::South if day.month() < 7 => day.year() - 1,
                _ => day.year(),
            };
            let month = day.month() + if season < day.year() { 12 } else { 0 };
            let is_in = months(window).contains(&month);
            assert_eq!(window.season_of(day), season, "{window:?} {day}");
            assert_eq!(window.holds(day), is_in, "{window:?} {day}");
            let (first, last) = window.dates(season).unwrap();
            assert_eq!((first..=last).contains(&day), is_in, "{window:?} {day}");
            if is_in {
                let kept = match (day.month(), day.day()) {
                    (2, 29) => day.pred_opt(),
                    _ => Some(day),
                };
                let number = window.day(day);
                assert_eq!(window.date(season, number), kept, "{window:?} {day}");
            }
        }
    }
}

#[test]
fn the_29th_of_february_counts_as_the_28th() {
    let leap = mild(
        date(2028, 1, 1),
        date(2028, 12, 31),
        &[(date(2028, 2, 29), 28.0)],
    );
    let year = freezes(&leap, &at_28(Hemisphere::North))[0].spring.years[0];
    assert_eq!((year.date, year.day), (Some(date(2028, 2, 29)), Some(59)));
    assert!(year.is_valid);
    let next = mild(
        date(2028, 1, 1),
        date(2028, 12, 31),
        &[(date(2028, 3, 1), 28.0)],
    );
    let year = freezes(&next, &at_28(Hemisphere::North))[0].spring.years[0];
    assert_eq!(year.day, Some(60));
}

#[test]
fn eleven_missing_days_reject_a_half_and_ten_do_not() {
    for (missing, is_valid) in [(10, true), (11, false)] {
        let mut but: Vec<_> = (1..=missing)
            .map(|day| (date(2027, 5, day), MISSING))
            .collect();
        but.push((date(2027, 4, 10), 28.0));
        let year = mild(date(2027, 1, 1), date(2027, 12, 31), &but);
        let spring = &freezes(&year, &at_28(Hemisphere::North))[0].spring;
        let [year] = spring.years.as_slice() else {
            panic!("one year")
        };
        assert_eq!(
            (year.year, year.missing_days, year.is_valid),
            (2027, missing, is_valid)
        );
        assert_eq!(year.date, Some(date(2027, 4, 10)));
        let counted = usize::from(is_valid);
        assert_eq!(
            (spring.valid_years, spring.freeze_years),
            (counted, counted)
        );
        let chance = is_valid.then_some(1.0);
        assert_eq!(spring.freeze_probability(), chance);
    }
}

#[test]
fn a_record_that_ends_in_mid_window_lists_its_last_year_as_rejected() {
    let record = mild(
        date(2026, 1, 1),
        date(2027, 4, 15),
        &[(date(2027, 4, 10), 28.0)],
    );
    let at = freezes(&record, &at_28(Hemisphere::North)).remove(0);
    // 16 April to 31 July are 107 days, August to December 153.
    let listed = |half: &Half| -> Vec<_> {
        half.years
            .iter()
            .map(|of| (of.year, of.date, of.missing_days, of.is_valid))
            .collect()
    };
    assert_eq!(
        listed(&at.spring),
        [
            (2026, None, 0, true),
            (2027, Some(date(2027, 4, 10)), 107, false)
        ]
    );
    assert_eq!(
        listed(&at.autumn),
        [(2026, None, 0, true), (2027, None, 153, false)]
    );
    assert_eq!(at.spring.freeze_years, 0);
}

// --- Records that say little ---

#[test]
fn a_record_of_one_row_has_no_valid_year() {
    let one = answer(
        series(date(2027, 4, 10), vec![28.0]),
        &at_28(Hemisphere::North),
    );
    assert_eq!(
        (one.first, one.last, one.days),
        (date(2027, 4, 10), date(2027, 4, 10), 1)
    );
    let spring = &one.thresholds[0].spring;
    assert_eq!(spring.years[0].date, Some(date(2027, 4, 10)));
    assert_eq!(spring.valid_years, 0);
    assert_eq!(
        (
            spring.freeze_probability(),
            spring.conditional,
            spring.mixed
        ),
        (None, [None; 3], [None; 3])
    );
    assert_eq!((spring.risk.len(), spring.chosen), (0, None));
    assert_eq!(
        one.notices,
        ["no valid year, each lacks more than 10 days: nothing can be said of risk"]
    );
}

#[test]
fn a_place_without_freezes_has_no_risk_on_any_day() {
    let never = mild(date(1991, 1, 1), date(2020, 12, 31), &[]);
    let at = freezes(&never, &at_28(Hemisphere::North)).remove(0);
    for half in halves(&at) {
        assert_eq!((half.valid_years, half.freeze_years), (30, 0));
        assert_eq!(half.freeze_probability(), Some(0.0));
        assert_eq!((half.conditional, half.mixed), ([None; 3], [None; 3]));
        assert_eq!(half.risk.len(), half.window.days() as usize);
        assert!(half.risk.iter().all(|risk| risk.probability <= 0.0));
        assert!(half.fits.iter().all(Result::is_err));
    }
    assert_eq!(at.freeze_free.days, []);
    let bounds = |day: Option<u32>| day.unwrap();
    assert_eq!(bounds(at.spring.day_of_risk(0.1)), 1);
    assert_eq!(bounds(at.autumn.day_of_risk(0.1)), 365);
}

#[test]
fn equal_values_freeze_on_every_day_or_on_none() {
    let first = date(1991, 1, 1);
    let days = usize::try_from(date(2021, 1, 1).signed_duration_since(first).num_days()).unwrap();
    let settings = Settings {
        replicates: 20,
        ..settings()
    };
    let found = freezes(&series(first, vec![32.0; days]), &settings);
    for at in &found {
        let freezes = if at.threshold.value >= 32.0 { 30 } else { 0 };
        for (half, day) in halves(at).into_iter().zip([212.0, 213.0]) {
            assert_eq!((half.valid_years, half.freeze_years), (30, freezes));
            let wanted = (freezes > 0).then_some(day);
            assert_eq!((half.conditional, half.mixed), ([wanted; 3], [wanted; 3]));
            assert_eq!(half.chosen, None, "equal dates have no spread to fit");
            let always = if freezes > 0 { 1.0 } else { 0.0 };
            assert!(
                half.risk
                    .iter()
                    .all(|risk| (risk.probability - always).abs() <= 0.0)
            );
        }
        assert_eq!(at.freeze_free.days.len(), freezes);
        assert!(at.freeze_free.days.iter().all(|(_, days)| *days == 1));
    }
}

#[test]
fn a_freeze_in_every_month_leaves_july_to_august() {
    let but: Vec<_> = (1991..=2000)
        .flat_map(|year| (1..=12).map(move |month| (date(year, month, 1), 20.0)))
        .collect();
    let record = mild(date(1991, 1, 1), date(2000, 12, 31), &but);
    let at = freezes(&record, &at_28(Hemisphere::North)).remove(0);
    assert_eq!(at.spring.conditional, [Some(182.0); 3]);
    assert_eq!(at.autumn.conditional, [Some(213.0); 3]);
    assert_eq!(at.freeze_free.quantiles, [Some(31.0); 3]);
}

// --- Bootstrap ---

#[test]
fn the_same_seed_gives_the_same_bits_and_none_gives_no_intervals() {
    let record = Record {
        years: 30,
        mean: 45,
        swing: 22,
        noise: 10,
        seed: 5,
    };
    let json = |seed, replicates| {
        let settings = Settings {
            seed,
            replicates,
            ..at_28(Hemisphere::North)
        };
        answer(record.series(), &settings).to_json(Asked::default())
    };
    assert_eq!(json(7, 40), json(7, 40));
    assert_ne!(json(7, 40), json(8, 40));
    assert_eq!(json(7, 0), json(8, 0));
    let at = freezes(&record.series(), &settings()).remove(0);
    for half in halves(&at) {
        assert!(half.chosen.is_some());
        assert_eq!(half.conditional_intervals, [None; 3]);
        assert!(half.risk.iter().all(|risk| risk.interval.is_none()));
        for fit in half.fits.iter().flatten() {
            assert_eq!(fit.intervals, [None; 3]);
        }
    }
}

/// The contract, section 5: draws over valid years for the risk, over freeze years for dates and fits, none below ten.
#[test]
fn the_risk_needs_ten_valid_years_and_the_dates_ten_freezes() {
    let settings = Settings {
        replicates: 40,
        ..at_28(Hemisphere::North)
    };
    for (last, freeze_years, has_risk, has_dates) in [
        (1999, 0, false, false),
        (1999, 6, false, false),
        (2000, 6, true, false),
        (2000, 10, true, true),
    ] {
        let freeze = |year: u32| (date(1991 + year.cast_signed(), 4, 1 + year), 20.0);
        let but: Vec<_> = (0..freeze_years).map(freeze).collect();
        let record = mild(date(1991, 1, 1), date(last, 12, 31), &but);
        let spring = freezes(&record, &settings).remove(0).spring;
        let risk = spring.risk.iter().all(|risk| risk.interval.is_some());
        let dates = spring.conditional_intervals.iter().all(Option::is_some);
        assert_eq!(
            (risk, dates),
            (has_risk, has_dates),
            "{last}, {freeze_years}"
        );
    }
}

/// The contract, section 9: the same seed, the same bits; which other thresholds are asked about does not matter.
#[test]
fn a_threshold_alone_is_answered_like_one_of_several() {
    let record = Record {
        years: 30,
        mean: 45,
        swing: 22,
        noise: 10,
        seed: 5,
    };
    let replicates = 40;
    let several = Settings {
        replicates,
        ..settings()
    };
    let alone = Settings {
        replicates,
        ..at_28(Hemisphere::North)
    };
    let of_several = freezes(&record.series(), &several).remove(2);
    assert_eq!(freezes(&record.series(), &alone), [of_several]);
}

/// Freezes of a record that warms by a day a year, at all four thresholds; of every fourth year none if asked for.
fn warming(is_whole: bool) -> DailySeries {
    let freeze = |year: i32| {
        let later = i64::from(2021 - year) + i64::from(year * 7 % 5);
        let spring = date(year, 3, 1) + TimeDelta::days(later);
        let autumn = date(year, 12, 20) - TimeDelta::days(later);
        [(spring, 20.0), (autumn, 20.0)]
    };
    let years = (1961..=2020).filter(|year| is_whole || year % 4 != 0);
    let but: Vec<_> = years.flat_map(freeze).collect();
    mild(date(1961, 1, 1), date(2020, 12, 31), &but)
}

/// The last spring freeze asked for alone is that of the whole answer, the present climate with it; what leads is the present's.
#[test]
fn the_last_freeze_alone_is_that_of_the_whole_answer() {
    let settings = Settings {
        replicates: 20,
        ..settings()
    };
    let series = warming(true);
    for at in freezes(&series, &settings) {
        let alone = last_freeze(&series, &settings, at.threshold);
        assert_eq!(alone, at.spring);
        let present = alone.present.as_ref().unwrap().quantiles;
        assert_eq!(alone.headline, Headline::Present);
        assert_eq!(alone.leading(), present);
        assert_ne!(
            alone.conditional, present,
            "a record that moves has other dates"
        );
    }
}

/// Of 60 years 45 have a freeze: the curve of the present climate begins at that share, with an interval that the years drawn
/// anew bear. Its ends are held to four standard errors of a share, sqrt(p (1 - p) / n) (textbook, binomial).
#[test]
fn a_moving_record_keeps_its_own_share_of_freeze_years() {
    let settings = Settings {
        replicates: 400,
        ..settings()
    };
    let share = 0.75_f64;
    let error = (share * (1.0 - share) / 60.0).sqrt();
    for at in freezes(&warming(false), &settings) {
        for half in halves(&at) {
            assert_eq!(half.headline, Headline::Present);
            assert_eq!((half.valid_years, half.freeze_years), (60, 45));
            let ends = [half.risk.first(), half.risk.last()].map(Option::unwrap);
            let most = ends
                .iter()
                .max_by(|a, b| a.probability.total_cmp(&b.probability));
            let most = most.unwrap();
            assert!((most.probability - share).abs() < 1e-6, "{most:?}"); // the tail of a fit
            let (low, high) = most.interval.unwrap();
            assert!(low > share - 4.0 * error && low < share - error, "{low}");
            assert!(high < share + 4.0 * error && high > share + error, "{high}");
        }
    }
}

/// Sixty years that freeze on 1 April and 1 November, and on no other day.
fn still() -> DailySeries {
    let but: Vec<_> = (1961..=2020)
        .flat_map(|year| [(date(year, 4, 1), 20.0), (date(year, 11, 1), 20.0)])
        .collect();
    mild(date(1961, 1, 1), date(2020, 12, 31), &but)
}

/// The present climate leads only where it has foretold better, over twenty years or more. Source: the contract, section 5
/// (*Present climate*). A record of one date for sixty years leaves nothing to do better; at Suffolk, an open record, it did
/// better over too few years.
#[test]
fn the_present_leads_only_where_it_was_better_over_enough_years() {
    let still = answer(still(), &settings());
    assert!(still.check.years >= 20, "{:?}", still.check);
    assert_eq!(
        still.check.present_loss.to_bits(),
        still.check.plain_loss.to_bits()
    );
    let place = Path::new(env!("CARGO_MANIFEST_DIR")).join("../data/open/csv/daily_suffolk_uk.csv");
    let bytes = fs::read(place).unwrap();
    let (name, bytes) = ("daily_suffolk_uk.csv", bytes.as_slice());
    let reading = read_daily(Source { name, bytes }, DailyOptions::default()).unwrap();
    let suffolk = StationFreezes::new(&reading[0], &settings());
    assert!(
        (1..20).contains(&suffolk.check.years),
        "{:?}",
        suffolk.check
    );
    assert!(suffolk.check.present_loss < suffolk.check.plain_loss);
    for station in [still, suffolk] {
        let spring = &station.thresholds[1].spring;
        assert!(spring.present.is_some());
        assert_eq!(spring.headline, Headline::Record);
        assert_eq!(spring.leading(), spring.conditional);
    }
}

/// The slope comes from 36, 32, 28 and 24 °F alone: where none of them freezes there is no present climate, at any threshold.
#[test]
fn without_freezes_there_is_no_slope_and_no_present() {
    let cool = |year: i32| [(date(year, 4, 1), 38.0), (date(year, 11, 1), 38.0)];
    let but: Vec<_> = (1961..=2020).flat_map(cool).collect();
    let settings = Settings {
        thresholds: vec![fahrenheit(40.0)],
        ..settings()
    };
    let station = answer(mild(date(1961, 1, 1), date(2020, 12, 31), &but), &settings);
    for half in halves(&station.thresholds[0]) {
        assert_eq!((half.freeze_years, half.present.as_ref()), (60, None));
        assert_eq!(half.headline, Headline::Record);
    }
}

/// The open record of Suffolk and the demo's invented one, read.
fn kept_records() -> [StationFreezes; 2] {
    let settings = Settings {
        replicates: 200,
        ..settings()
    };
    ["open/csv/daily_suffolk_uk.csv", "demo/station.csv"].map(|name| {
        let place = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("../data")
            .join(name);
        let bytes = fs::read(place).unwrap();
        let source = Source {
            name,
            bytes: &bytes,
        };
        let reading = read_daily(source, DailyOptions::default()).unwrap();
        StationFreezes::new(&reading[0], &settings)
    })
}

/// The better fit by AIC draws the curve, and the risk of a day is the share of freeze years times its chance at the day number.
/// Source: the contract, section 5 (*Weibull fits*, *Risk at date d*); the handbook of statistics, §3: north, spring y = d or
/// 213 - d, autumn y = d - 212 or 366 - d; F(y) = 1 - exp(-(y/s)^k).
#[test]
fn the_curve_is_that_of_the_better_fit() {
    let mut drawn = [0, 0];
    for station in kept_records() {
        for half in station.thresholds.iter().flat_map(halves) {
            assert_eq!(half.headline, Headline::Record);
            let [Ok(from_start), Ok(reversed)] = &half.fits else {
                continue;
            };
            let is_reversed = reversed.weibull.aic < from_start.weibull.aic;
            let chosen = if is_reversed { reversed } else { from_start };
            assert_eq!(half.chosen, Some(chosen.form));
            drawn[usize::from(is_reversed)] += 1;
            let is_spring = half.window.half == HalfName::Spring;
            for risk in &half.risk {
                let day = f64::from(risk.day);
                let value = match (is_spring, is_reversed) {
                    (true, false) => day,
                    (true, true) => 213.0 - day,
                    (false, false) => day - 212.0,
                    (false, true) => 366.0 - day,
                };
                let beyond = (-(value / chosen.weibull.scale).powf(chosen.weibull.shape)).exp();
                // In spring later dates are on the wrong side, in autumn earlier ones; counted back it is the other way round.
                let chance = if is_spring == is_reversed {
                    1.0 - beyond
                } else {
                    beyond
                };
                let wanted = half.freeze_probability().unwrap() * chance;
                assert!(
                    (risk.probability - wanted).abs() < 1e-12,
                    "{risk:?}: {wanted}"
                );
            }
        }
    }
    assert!(drawn[0] > 0 && drawn[1] > 0, "{drawn:?}");
}

/// One date in every year has no fit: the shares of the years stand in the curve's place. Source: the contract, section 5 (*Risk at
/// date d*): on the day and before it every spring, after it none; in autumn from the day on.
#[test]
fn without_a_fit_the_shares_of_years_are_the_risk() {
    let station = answer(still(), &settings());
    for at in &station.thresholds {
        for (half, day) in halves(at).into_iter().zip([91, 305]) {
            assert!(half.fits.iter().all(Result::is_err));
            assert_eq!(half.chosen, None);
            let is_spring = half.window.half == HalfName::Spring;
            for risk in &half.risk {
                let is_wrong = if is_spring {
                    risk.day <= day
                } else {
                    risk.day >= day
                };
                let wanted = f64::from(u8::from(is_wrong));
                assert_eq!(risk.probability.to_bits(), wanted.to_bits(), "{risk:?}");
            }
        }
    }
}

/// Draws of years that give no fit are left out; where they are more than one in twenty there is no interval. Source: the handbook
/// of statistics, §5. Of ten dates nine are the same: (9/10)^10 = 35 % of the draws have nothing else.
#[test]
fn too_many_draws_without_a_fit_leave_no_interval() {
    let but: Vec<_> = (2001..=2010)
        .map(|year| (date(year, if year == 2004 { 3 } else { 4 }, 1), 20.0))
        .collect();
    let settings = Settings {
        replicates: 400,
        ..settings()
    };
    let station = answer(mild(date(2001, 1, 1), date(2010, 12, 31), &but), &settings);
    for at in &station.thresholds {
        assert_eq!((at.spring.valid_years, at.spring.freeze_years), (10, 10));
        for fit in at.spring.fits.iter().map(|fit| fit.as_ref().unwrap()) {
            assert_eq!(fit.intervals, [None; 3]);
        }
        assert!(
            at.spring.conditional_intervals[1].is_some(),
            "the dates themselves have one"
        );
    }
}

/// The interval of a fitted quantile is that of its own form: it holds the quantile, and its middle lies nearer to it than to the
/// other form's, over all of them.
#[test]
fn intervals_belong_to_their_form() {
    let (mut own, mut other, mut count) = (0.0, 0.0, 0);
    for station in kept_records() {
        for half in station.thresholds.iter().flat_map(halves) {
            let [Ok(from_start), Ok(reversed)] = &half.fits else {
                continue;
            };
            for (fit, rival) in [(from_start, reversed), (reversed, from_start)] {
                let values = fit.intervals.iter().zip(fit.quantiles).zip(rival.quantiles);
                for ((interval, value), rival) in values {
                    let Some((low, high)) = interval else {
                        assert!(half.freeze_years < 10, "{half:?}");
                        continue;
                    };
                    assert!((*low..=*high).contains(&value), "{low} {value} {high}");
                    own += (f64::midpoint(*low, *high) - value).abs();
                    other += (f64::midpoint(*low, *high) - rival).abs();
                    count += 1;
                }
            }
        }
    }
    assert!(count > 50, "{count}");
    assert!(own < other, "{own} {other}");
}

/// Without a freeze every draw of years is the same, and says nothing: no interval of the risk.
#[test]
fn without_a_freeze_the_risk_has_no_interval() {
    let settings = Settings {
        replicates: 20,
        ..settings()
    };
    let station = answer(mild(date(1991, 1, 1), date(2020, 12, 31), &[]), &settings);
    for half in station.thresholds.iter().flat_map(halves) {
        assert_eq!((half.valid_years, half.freeze_years), (30, 0));
        assert!(
            half.risk
                .iter()
                .all(|risk| risk.interval.is_none() && risk.probability == 0.0)
        );
    }
}

/// Dates of the present climate stay within their half. Dates that lie at both ends by turns have a normal distribution that
/// reaches past them: the quantiles are cut at 1 January and 31 July, 1 August and 31 December.
#[test]
fn the_present_stays_within_the_half() {
    let but: Vec<_> = (1961..=2020)
        .flat_map(|year| {
            let is_early = year % 2 == 0;
            let spring = if is_early {
                date(year, 1, 1)
            } else {
                date(year, 7, 31)
            };
            let autumn = if is_early {
                date(year, 8, 1)
            } else {
                date(year, 12, 31)
            };
            [(spring, 20.0), (autumn, 20.0)]
        })
        .collect();
    let station = answer(
        mild(date(1961, 1, 1), date(2020, 12, 31), &but),
        &settings(),
    );
    let at = &station.thresholds[0];
    let quantiles = |half: &Half| half.present.as_ref().unwrap().quantiles;
    let [spring, autumn] = halves(at).map(quantiles);
    assert_eq!([spring[0], spring[2]], [Some(1.0), Some(212.0)]);
    assert_eq!([autumn[0], autumn[2]], [Some(213.0), Some(365.0)]);
}

/// Springs that end on 31 July in every year, and autumns that come earlier by a day a year: carried along the slope that both
/// share, the last freeze would lie in August; it stays within its half, as late as that goes.
#[test]
fn dates_carried_past_the_half_are_kept_at_its_end() {
    let but: Vec<_> = (1961..=2020)
        .flat_map(|year| {
            let autumn = date(year, 10, 1) + TimeDelta::days(i64::from(2020 - year));
            [(date(year, 7, 31), 20.0), (autumn, 20.0)]
        })
        .collect();
    let station = answer(
        mild(date(1961, 1, 1), date(2020, 12, 31), &but),
        &settings(),
    );
    let spring = &station.thresholds[0].spring;
    assert_eq!(spring.headline, Headline::Present);
    assert!(spring.present.as_ref().unwrap().slope > 0.0);
    let last = spring.risk.last().unwrap();
    assert_eq!(
        (last.day, last.probability.to_bits()),
        (212, 1.0_f64.to_bits())
    );
}

/// Each station, each threshold and each half draws numbers of its own, whatever the seed; so does each seed.
#[test]
fn stations_and_seeds_draw_numbers_of_their_own() {
    let intervals = |station: &str, seed: u64| {
        let settings = Settings {
            replicates: 40,
            seed,
            ..settings()
        };
        let (first, last) = (date(1961, 1, 1), date(2020, 12, 31));
        let but: Vec<_> = (1961..=2020)
            .map(|year| {
                (
                    date(year, 4, 1) + TimeDelta::days(i64::from(year * 37 % 29)),
                    20.0,
                )
            })
            .collect();
        let days = mild(first, last, &but);
        let tmin = (0..days.days())
            .map(|day| days.tmin_f(day).unwrap_or(MISSING))
            .collect();
        let named = DailySeries::new(station, first, tmin, Unit::Fahrenheit, false).unwrap();
        let half = freezes(&named, &settings).remove(0).spring;
        half.conditional_intervals
            .map(|interval| format!("{interval:?}"))
    };
    for seed in [0, 1, u64::MAX] {
        assert_ne!(
            intervals("A", seed),
            intervals("B", seed),
            "stations, seed {seed}"
        );
    }
    assert_ne!(intervals("A", 0), intervals("A", u64::MAX), "seeds");
    assert_ne!(intervals("A", 1), intervals("A", 2), "seeds");
}

/// The contract, section 5: `--replicates 0` means no intervals, and nothing else.
#[test]
fn without_intervals_the_rest_of_the_answer_is_the_same() {
    let record = Record {
        years: 45,
        mean: 45,
        swing: 22,
        noise: 10,
        seed: 5,
    };
    let asked = |replicates| {
        let settings = Settings {
            replicates,
            ..settings()
        };
        freezes(&record.series(), &settings)
    };
    let (with, without) = (asked(20), asked(0));
    for (with, without) in with.iter().zip(&without) {
        for (with, without) in halves(with).into_iter().zip(halves(without)) {
            assert!(without.present.is_some(), "45 years are enough");
            assert_eq!(with.present, without.present);
            assert_eq!(with.headline, without.headline);
            let curve = |half: &Half| half.risk.iter().map(|risk| risk.probability).collect();
            let (with, without): (Vec<f64>, Vec<f64>) = (curve(with), curve(without));
            assert_eq!(with, without);
        }
    }
}

// --- Values that are not believed ---

#[test]
fn a_suspect_minimum_is_left_out_and_counted_unless_kept() {
    let record = Record {
        years: 30,
        mean: 50,
        swing: 20,
        noise: 6,
        seed: 11,
    };
    let strange = date(1975, 7, 10);
    let mut tmin = record.tmin();
    let day = strange.signed_duration_since(date(1961, 1, 1)).num_days();
    tmin[usize::try_from(day).unwrap()] = -72.0;
    let asked = |keeps_suspect| {
        let settings = Settings {
            keeps_suspect,
            ..at_28(Hemisphere::North)
        };
        answer(series(date(1961, 1, 1), tmin.clone()), &settings)
    };
    let (left_out, kept) = (asked(false), asked(true));
    let year = |answer: &StationFreezes| answer.thresholds[0].spring.years[14];
    let of = |year: YearDate| (year.year, year.missing_days, year.suspects, year.is_valid);
    assert_eq!(of(year(&left_out)), (1975, 1, 1, true));
    assert_eq!(of(year(&kept)), (1975, 0, 0, true));
    assert_eq!(year(&kept).date, Some(strange));
    let plain = freezes(&record.series(), &at_28(Hemisphere::North)).remove(0);
    assert_eq!(year(&left_out).date, plain.spring.years[14].date);
    assert!(year(&left_out).date.is_some_and(|date| date < strange));
    assert_eq!((left_out.rejected_values, kept.rejected_values), (1, 0));
    assert_eq!(
        left_out.notices,
        ["left out 1 minimum as suspect: far from the station's own record for the day"]
    );
    // Kept, one freeze in July among dates in spring is no sample of such a curve.
    assert!(
        matches!(&kept.notices[..], [poor] if poor.starts_with("the fitted curve fits poorly at 28 °F in spring (under 0.1 %)")),
        "{:?}",
        kept.notices
    );
}

/// With fewer than 300 minima around a day nothing is suspect: 15 days of 19 years are 285.
#[test]
fn a_short_record_has_nothing_suspect() {
    for (years, suspects) in [(19, 0), (20, 1)] {
        let record = Record {
            years,
            mean: 50,
            swing: 20,
            noise: 6,
            seed: 11,
        };
        let mut tmin = record.tmin();
        let day = date(1970, 7, 10)
            .signed_duration_since(date(1961, 1, 1))
            .num_days();
        tmin[usize::try_from(day).unwrap()] = -72.0;
        let settings = Settings {
            keeps_suspect: false,
            ..at_28(Hemisphere::North)
        };
        let at = freezes(&series(date(1961, 1, 1), tmin), &settings).remove(0);
        assert_eq!(at.spring.years[9].suspects, suspects, "{years} years");
    }
}

/// Whole °F as GHCN-Daily stores them, in tenths of °C: the nearest tenth of (F − 32) · 5/9, worked out by hand.
const STORED: [(f64, i32); 21] = [
    (20.0, -67),
    (21.0, -61),
    (22.0, -56),
    (23.0, -50),
    (24.0, -44),
    (25.0, -39),
    (26.0, -33),
    (27.0, -28),
    (28.0, -22),
    (29.0, -17),
    (30.0, -11),
    (31.0, -6),
    (32.0, 0),
    (33.0, 6),
    (34.0, 11),
    (35.0, 17),
    (36.0, 22),
    (37.0, 28),
    (38.0, 33),
    (39.0, 39),
    (40.0, 44),
];

/// Degrees whose stored value lies above the degree itself, so that they are missed without the snap.
const MISSED: [f64; 9] = [21.0, 24.0, 26.0, 28.0, 30.0, 33.0, 35.0, 37.0, 39.0];

fn is_freeze(station: &str, tenths: i32, threshold: Quantity, is_whole: Option<bool>) -> bool {
    let mut row = String::new();
    write!(row, "{station},20270410,TMIN,{tenths},,,W,").unwrap();
    let source = Source {
        name: "station.csv",
        bytes: row.as_bytes(),
    };
    let options = DailyOptions {
        is_whole_fahrenheit: is_whole,
        ..DailyOptions::default()
    };
    let reading = read_daily(source, options).unwrap().remove(0);
    let settings = Settings {
        thresholds: vec![threshold],
        ..settings()
    };
    freezes(&reading.series, &settings)[0].spring.years[0]
        .date
        .is_some()
}

#[test]
fn converted_whole_degrees_meet_their_degree_where_the_archive_stores_them_and_only_there() {
    for (degree, tenths) in STORED {
        let at = |limit, station, is_whole| is_freeze(station, tenths, fahrenheit(limit), is_whole);
        assert!(at(degree, "USW00094728", None), "{degree}");
        assert!(!at(degree - 1.0, "USW00094728", None), "{degree}");
        assert!(at(degree, "CA001234567", Some(true)), "{degree}");
        let is_met = !MISSED.contains(&degree);
        assert_eq!(at(degree, "CA001234567", None), is_met, "{degree}");
        assert_eq!(at(degree, "USW00094728", Some(false)), is_met, "{degree}");
    }
    let celsius = |value| Quantity {
        value,
        unit: Unit::Celsius,
    };
    assert!(is_freeze("USW00094728", -22, celsius(-2.2), None));
    assert!(!is_freeze("USW00094728", -22, celsius(-2.21), None));
}

// --- The answer as JSON ---

fn pair(interval: Option<(f64, f64)>) -> Value {
    interval.map_or(Value::Null, |(low, high)| json!([low, high]))
}

fn by_percent<T: Into<Value>>([p10, p50, p90]: [T; 3]) -> Value {
    json!({ "p10": p10.into(), "p50": p50.into(), "p90": p90.into() })
}

fn month_day(day: u32) -> String {
    let date = date(2021, 1, 1) + TimeDelta::days(i64::from((day - 1) % 365)); // a year without 29 February
    date.format("%m-%d").to_string()
}

fn told(half: &Half) -> Value {
    let fits = half.fits.iter().flatten().map(|fit| {
        json!({
            "form": fit.form.name(), "shape": fit.weibull.shape, "scale": fit.weibull.scale,
            "log_likelihood": fit.weibull.log_likelihood, "aic": fit.weibull.aic, "ks_d": fit.weibull.ks_d,
            "ad_a2": fit.weibull.ad_a2, "quantiles": by_percent(fit.quantiles), "interval_95": by_percent(fit.intervals.map(pair)),
        })
    });
    let years = half.years.iter().map(|of| {
        json!({
            "year": of.year, "date": of.date.map(|date| date.to_string()), "day": of.day, "missing_days": of.missing_days,
            "valid": of.is_valid,
        })
    });
    let risk = half.risk.iter().map(|risk| {
        json!({
            "month_day": month_day(risk.day), "probability": risk.probability,
            "low_95": risk.interval.map(|interval| interval.0), "high_95": risk.interval.map(|interval| interval.1),
        })
    });
    let present = half.present.as_ref().map(|present| {
        json!({
            "method": "last 40 valid years carried along half the pooled slope of 30, three parts normal", "for_year": present.for_year, "slope_days_per_year": present.slope,
            "quantiles": by_percent(present.quantiles),
        })
    });
    let (slope, test) = (half.trend.theil_sen, half.trend.mann_kendall);
    let (years, fits, risk): (Vec<Value>, Vec<Value>, Vec<Value>) =
        (years.collect(), fits.collect(), risk.collect());
    json!({
        "years": years,
        "valid_years": half.valid_years,
        "freeze_years": half.freeze_years,
        "no_freeze_years": half.years.iter().filter(|of| of.is_valid && of.day.is_none()).count(),
        "freeze_probability": half.freeze_probability(),
        "freeze_probability_95": pair(half.freeze_probability().map(|_| wilson(half.freeze_years, half.valid_years))),
        "empirical": {
            "conditional": by_percent(half.conditional), "mixed": by_percent(half.mixed),
            "conditional_95": by_percent(half.conditional_intervals.map(pair)),
        },
        "fits": fits,
        "chosen": half.chosen.map(fairspell::freeze::Form::name),
        "present": present,
        "headline": half.headline.name(),
        "trend": {
            "theil_sen_days_per_year": slope.map(|slope| slope.slope),
            "theil_sen_95": pair(slope.map(|slope| (slope.low_95, slope.high_95))),
            "mann_kendall_s": test.map(|test| test.s),
            "mann_kendall_p": test.map(|test| test.p),
        },
        "risk": risk,
    })
}

/// Every number of a half stands in the JSON under its own name. Source: the contract, section 7 (keys of `freeze`).
#[test]
fn json_says_what_was_found() {
    let settings = Settings {
        replicates: 40,
        ..settings()
    };
    let mut intervals = 0;
    for is_whole in [true, false] {
        let station = answer(warming(is_whole), &settings);
        let json: Value = serde_json::from_str(&station.to_json(Asked::default())).unwrap();
        for (at, own) in station
            .thresholds
            .iter()
            .zip(json["thresholds"].as_array().unwrap())
        {
            assert_eq!(own["threshold_f"], json!(at.threshold.value));
            assert_eq!(own["spring"], told(&at.spring));
            assert_eq!(own["autumn"], told(&at.autumn));
            let days = json!({ "n": at.freeze_free.days.len(), "quantiles": by_percent(at.freeze_free.quantiles) });
            assert_eq!(own["freeze_free_days"], days);
            intervals += at.spring.conditional_intervals.iter().flatten().count();
            intervals += at
                .spring
                .fits
                .iter()
                .flatten()
                .flat_map(|fit| fit.intervals)
                .flatten()
                .count();
        }
    }
    assert!(intervals > 0, "there are intervals to hold");
}
