//! What must be true of every answer, whatever the weather and the rules: tried on random ones, all invented.
//!
//! Source of what is expected: the contract, sections 4 to 6, sentence by sentence in each test.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test may stop at the first surprise"
)]

use std::cell::RefCell;
use std::fmt::Debug;
use std::io::Write as _;

use chrono_tz::Tz;
use fairspell::decision::{Decision, Verdict};
use fairspell::operation::{Measure, Operation, Span, Take};
use fairspell::quantity::{Quantity, Unit};
use fairspell::read::{Issued, Reading, Source, read_hourly};
use fairspell::series::{Element, HourlySeries};
use fairspell::spell::{Outcome, State};
use fairspell_tests::evaluator::{Bounds, Column, Evaluator, Fall, Falls, HOUR_S, Weather};
use fairspell_tests::scenario::{Kind, Scenario, csv, gardens, runner, scenarios, series};
use proptest::prelude::*;
use proptest::test_runner::TestError;

/// Random cases of each property.
const CASES: u32 = 300;

/// Stops with the smallest case that was found; `{:?}` of a scenario takes a line a column.
fn passed<T: Debug>(result: Result<(), TestError<T>>) {
    match result {
        Ok(()) => {}
        Err(TestError::Fail(why, case)) => panic!("{why}\nsmallest case: {case:?}"),
        Err(error) => panic!("{error}"),
    }
}

fn fault(error: impl Debug) -> TestCaseError {
    TestCaseError::fail(format!("{error:?}"))
}

fn built_in(name: &str) -> Operation {
    Operation::built_in(name).unwrap()
}

fn decision(scenario: &Scenario, operation: &Operation) -> Result<Decision, TestCaseError> {
    let series = series(&scenario.weather).map_err(fault)?;
    scenario.decided_by(vec![series], operation).map_err(fault)
}

fn states(decision: &Decision) -> Vec<State> {
    decision.hours.iter().map(|hour| hour.state).collect()
}

// --- Missing is never good ---

/// What is taken away from a file: values of single hours, whole columns, rows, the time of issue.
#[derive(Debug, Clone)]
struct Loss {
    values: Vec<(usize, usize)>,
    columns: Vec<usize>,
    rows: Vec<usize>,
    issued: bool,
}

fn losses() -> impl Strategy<Value = Loss> {
    let values = prop::collection::vec((0_usize..10, 0_usize..200), 0..12);
    let columns = prop::collection::vec(0_usize..10, 0..=1);
    let rows = prop::collection::vec(0_usize..200, 0..4);
    (values, columns, rows, prop::bool::weighted(0.1)).prop_map(
        |(values, columns, rows, issued)| Loss {
            values,
            columns,
            rows,
            issued,
        },
    )
}

impl Loss {
    /// The scenario after the loss. Columns stay, be they blank throughout; the first row stays, since the user's word
    /// that the wood is dry counts from there.
    fn from(&self, whole: &Scenario) -> Scenario {
        let mut less = whole.clone();
        let hours = less.weather.has_row.len();
        let count = less.weather.columns.len() + less.weather.falls.len();
        for (column, hour) in &self.values {
            blank(&mut less.weather, column % count.max(1), |at| {
                at == hour % hours
            });
        }
        for column in &self.columns {
            blank(&mut less.weather, column % count.max(1), |_| true);
        }
        for row in self
            .rows
            .iter()
            .map(|row| row % hours)
            .filter(|row| *row > 0)
        {
            less.weather.has_row[row] = false;
            for column in 0..count {
                blank(&mut less.weather, column, |at| at == row);
            }
        }
        if self.issued {
            less.asked.issued = Issued::Blank;
        }
        less
    }
}

/// Takes values out of a column; of amounts, all those that begin in such an hour.
fn blank(weather: &mut Weather, column: usize, is_lost: impl Fn(usize) -> bool) {
    if let Some(column) = weather.columns.get_mut(column) {
        for (hour, value) in column
            .values
            .iter_mut()
            .enumerate()
            .filter(|(hour, _)| is_lost(*hour))
        {
            let _ = hour;
            *value = None;
        }
    } else if let Some(falls) = weather.falls.get_mut(column - weather.columns.len()) {
        falls.falls.retain(|fall| !is_lost(fall.from));
    }
}

/// The verdict may become *cannot tell*, and an hour *unknown*; nothing else may change.
fn compare_loss(whole: &Decision, less: &Decision) -> Result<(), TestCaseError> {
    prop_assert!(
        less.verdict != Verdict::Go || whole.verdict == Verdict::Go,
        "{:?} became a go",
        whole.verdict
    );
    prop_assert!(
        less.verdict != Verdict::NoGo || whole.verdict == Verdict::NoGo,
        "{:?} became a no-go",
        whole.verdict
    );
    for (own, other) in whole.hours.iter().zip(&less.hours) {
        let is_kept = own.state == other.state || other.state == State::Unknown;
        prop_assert!(
            is_kept,
            "the hour at {} was {:?} and became {:?}",
            own.time,
            own.state,
            other.state
        );
    }
    Ok(())
}

/// Promise 1: blanking values of a column that is there, rows or the time of issue never turns a no-go or a cannot-tell
/// into a go; a missing value can only make an hour unknown. Random rules.
#[test]
fn what_is_missing_is_never_good_for_random_rules() {
    let result = runner(2 * CASES, 11).run(&(scenarios(Kind::Any), losses()), |(whole, loss)| {
        let operation = whole.operation();
        let less = decision(&loss.from(&whole), &operation)?;
        compare_loss(&decision(&whole, &operation)?, &less)
    });
    passed(result);
}

/// Promise 1, for the built-in operations.
#[test]
fn what_is_missing_is_never_good_for_oil_and_prune() {
    let seen: RefCell<[u32; 3]> = RefCell::default();
    for operation in [built_in("oil"), built_in("prune")] {
        let result = runner(CASES, 12).run(&(gardens(), losses()), |(whole, loss)| {
            let own = decision(&whole, &operation)?;
            let less = decision(&loss.from(&whole), &operation)?;
            let verdicts = [Verdict::Go, Verdict::NoGo, Verdict::CannotTell];
            let place = verdicts
                .iter()
                .position(|verdict| *verdict == own.verdict)
                .unwrap();
            seen.borrow_mut()[place] += 1;
            compare_loss(&own, &less)
        });
        passed(result);
    }
    let seen = seen.into_inner();
    assert!(
        seen.iter().all(|count| *count > 30),
        "go, no-go, cannot tell: {seen:?}"
    );
}

/// Promise 1: rows that end earlier, or begin later, never make a go. Read from printed files.
#[test]
fn a_file_cut_short_never_makes_a_go() {
    let cuts = (0_usize..60, 0_usize..20);
    let result = runner(CASES, 13).run(
        &(gardens(), cuts, any::<bool>()),
        |(whole, (end, begin), is_oil)| {
            let operation = built_in(if is_oil { "oil" } else { "prune" });
            let text = csv(&whole.weather);
            let lines: Vec<&str> = text.lines().collect();
            // The user's word that it was dry covers the hours before the first row, so only without it rows may go there.
            let begin = if whole.asked.is_dry_now { 0 } else { begin };
            let last = lines.len() - end.min(lines.len() - 2 - begin);
            let kept: Vec<&str> = [&lines[..1], &lines[1 + begin..last]].concat();
            let read = |text: &str| -> Result<Reading, TestCaseError> {
                read_hourly(
                    Source {
                        name: "cut.csv",
                        bytes: text.as_bytes(),
                    },
                    None,
                )
                .map_err(fault)
            };
            let own = whole
                .decided_by(read(&text)?.members, &operation)
                .map_err(fault)?;
            let less = whole
                .decided_by(read(&kept.join("\n"))?.members, &operation)
                .map_err(fault)?;
            prop_assert!(less.verdict != Verdict::Go || own.verdict == Verdict::Go);
            for hour in &less.hours {
                let Some(whole) = own.hours.iter().find(|whole| whole.time == hour.time) else {
                    continue;
                };
                prop_assert!(hour.state == State::Unknown || hour.state == whole.state);
            }
            Ok(())
        },
    );
    passed(result);
}

// --- Limits and hours needed ---

/// The contract, section 5, hour states: a tighter limit, or one more rule, never makes an hour fair.
#[test]
fn a_tighter_limit_never_adds_a_fair_hour() {
    let change = (0_usize..6, any::<bool>(), 0.0_f64..6.0);
    let result = runner(CASES, 14).run(
        &(scenarios(Kind::Any), change),
        |(scenario, (rule, is_low, by))| {
            let operation = scenario.operation();
            let mut tighter = operation.clone();
            let count = tighter.rules.len();
            let changed = &mut tighter.rules[rule % count];
            let unit = changed.unit();
            let limit = if is_low {
                &mut changed.at_least
            } else {
                &mut changed.at_most
            };
            let sign = if is_low { 1.0 } else { -1.0 };
            *limit = Some(match *limit {
                Some(limit) => Quantity {
                    value: limit.value + sign * by,
                    ..limit
                },
                None => Quantity {
                    value: sign * by - 1e3 * sign,
                    unit,
                },
            });
            let (own, less) = (
                decision(&scenario, &operation)?,
                decision(&scenario, &tighter)?,
            );
            for (own, tight) in own.hours.iter().zip(&less.hours) {
                let is_kept = tight.state != State::Fair || own.state == State::Fair;
                prop_assert!(is_kept, "the hour at {} became fair", own.time);
                let is_kept = own.state != State::Hindered || tight.state == State::Hindered;
                prop_assert!(is_kept, "the hour at {} is hindered no more", own.time);
            }
            prop_assert!(less.verdict != Verdict::Go || own.verdict == Verdict::Go);
            Ok(())
        },
    );
    passed(result);
}

/// The contract, section 5, verdict: where fewer hours are no go, more hours are none; where more hours are a go, so
/// are fewer.
#[test]
fn more_hours_needed_never_make_a_go() {
    let result = runner(CASES, 15).run(&(scenarios(Kind::Any), 1_u32..6), |(scenario, more)| {
        let operation = scenario.operation();
        let longer = Operation {
            hours_needed: operation.hours_needed + more,
            ..operation.clone()
        };
        let (own, less) = (
            decision(&scenario, &operation)?,
            decision(&scenario, &longer)?,
        );
        prop_assert!(less.verdict != Verdict::Go || own.verdict == Verdict::Go);
        prop_assert!(own.verdict != Verdict::NoGo || less.verdict == Verdict::NoGo);
        prop_assert_eq!(states(&own), states(&less));
        Ok(())
    });
    passed(result);
}

// --- Time and units ---

/// The contract, section 5, local time: away from clock changes, and without the sun, a week is like any other.
#[test]
fn whole_weeks_later_the_answer_is_the_same() {
    let zones = prop::sample::select(vec![Tz::UTC, Tz::Asia__Kolkata, Tz::Etc__GMTPlus6]);
    let result = runner(CASES, 16).run(
        &(scenarios(Kind::Any), zones, -60_i64..60),
        |(scenario, zone, weeks)| {
            let mut own = scenario.clone();
            own.place.zone = zone;
            let is_sun = |measure| matches!(measure, Measure::SunElevation | Measure::Daylight);
            own.asked.rules.retain(|rule| !is_sun(rule.measure));
            let mut later = own.clone();
            let by = weeks * 7 * 24 * HOUR_S;
            later.weather.start += by;
            later.asked.at += by;
            later.asked.until = own.asked.until.map(|until| until + by);
            if let Issued::At(issued) = own.asked.issued {
                later.asked.issued = Issued::At(issued + by);
            }
            let (own, other) = (
                decision(&own, &own.operation())?,
                decision(&later, &later.operation())?,
            );
            prop_assert_eq!(own.verdict, other.verdict);
            prop_assert_eq!(own.until + by, other.until);
            prop_assert_eq!(states(&own), states(&other));
            let spells = |decision: &Decision, by: i64| -> Vec<[i64; 3]> {
                decision
                    .spells
                    .iter()
                    .map(|spell| [spell.start, spell.end, spell.best_start].map(|time| time + by))
                    .collect()
            };
            prop_assert_eq!(spells(&own, by), spells(&other, 0));
            for (own_hour, other_hour) in own.hours.iter().zip(&other.hours) {
                let values = |decision: &Decision, hour, by: i64| -> Vec<(usize, u64, u64, i64)> {
                    let found = decision.hindrances(hour);
                    found
                        .iter()
                        .map(|it| {
                            (
                                it.rule,
                                it.value.to_bits(),
                                it.margin.to_bits(),
                                it.decided_by + by,
                            )
                        })
                        .collect()
                };
                prop_assert_eq!(values(&own, own_hour, by), values(&other, other_hour, 0));
            }
            Ok(())
        },
    );
    passed(result);
}

fn in_unit(weather: &Weather, of: fn(Unit) -> Unit) -> Weather {
    let mut other = weather.clone();
    for value in other
        .columns
        .iter_mut()
        .flat_map(|column| &mut column.values)
        .flatten()
    {
        let unit = of(value.unit);
        *value = Bounds {
            low: value.unit.convert(value.low, unit),
            high: value.unit.convert(value.high, unit),
            unit,
        };
    }
    for falls in &mut other.falls {
        falls.unit = of(falls.unit);
    }
    other
}

/// The contract, section 5, comparison: the unit of the file does not matter but where a value meets a limit within a
/// billionth, where a conversion may err in its last bits.
#[test]
fn the_unit_of_the_file_does_not_matter() {
    let other = |unit: Unit| match unit {
        Unit::Fahrenheit => Unit::Celsius,
        Unit::Celsius => Unit::Fahrenheit,
        Unit::MetrePerSecond => Unit::Knot,
        Unit::MilePerHour | Unit::KilometrePerHour | Unit::Knot => Unit::MetrePerSecond,
        Unit::Inch => Unit::Millimetre,
        Unit::Millimetre => Unit::Inch,
        unit => unit,
    };
    let compared: RefCell<(u64, u64)> = RefCell::default();
    let result = runner(CASES, 17).run(&scenarios(Kind::Any), |scenario| {
        let operation = scenario.operation();
        let own = series(&scenario.weather).map_err(fault)?;
        let converted = series(&in_unit(&scenario.weather, other)).map_err(fault)?;
        let (own, converted) = (
            scenario.judged(&own, &operation),
            scenario.judged(&converted, &operation),
        );
        for hour in 0..scenario.weather.has_row.len() {
            for (index, rule) in operation.rules.iter().enumerate() {
                let (found, other) = (own.finding(index, hour), converted.finding(index, hour));
                let is_near = [found.low, found.high, other.low, other.high]
                    .iter()
                    .any(|value| {
                        [rule.at_least, rule.at_most].iter().flatten().any(|limit| {
                            (value - limit.unit.convert(limit.value, rule.unit())).abs()
                                < if rule.take == Take::Mean { 1e-5 } else { 1e-9 }
                        })
                    });
                let mut compared = compared.borrow_mut();
                (compared.0, compared.1) = (compared.0 + 1, compared.1 + u64::from(is_near));
                // Amounts are whole micrometres in either unit.
                let is_amount =
                    matches!(rule.measure, Measure::Read(Element::Rain | Element::Snow));
                prop_assert!(
                    found.outcome == other.outcome || (is_near && !is_amount),
                    "hour {hour} {rule:?}: {found:?}, converted {other:?}"
                );
            }
        }
        Ok(())
    });
    passed(result);
    let (all, near) = compared.into_inner();
    assert!(near * 3 < all, "of {all} findings {near} lie on a limit");
}

/// The contract, section 5, comparison: whole °F and the same in °C to full precision are judged alike, limits met
/// exactly included, since both go to SI by one function.
#[test]
fn whole_fahrenheit_and_its_celsius_are_judged_alike() {
    let oil = built_in("oil");
    let result = runner(CASES, 18).run(&gardens(), |scenario| {
        let celsius = |unit: Unit| {
            if unit == Unit::Fahrenheit {
                Unit::Celsius
            } else {
                unit
            }
        };
        let converted = Scenario {
            weather: in_unit(&scenario.weather, celsius),
            ..scenario.clone()
        };
        let (own, other) = (decision(&scenario, &oil)?, decision(&converted, &oil)?);
        prop_assert_eq!(states(&own), states(&other));
        prop_assert_eq!(own.verdict, other.verdict);
        Ok(())
    });
    passed(result);
}

// --- Observed hours before the forecast ---

/// The observed part of weather that is cut at an hour, with `overlap` hours of its own past the cut, and the forecast.
fn cut(weather: &Weather, at: usize, overlap: usize) -> (Weather, Weather) {
    let end = (at + overlap).min(weather.has_row.len());
    let part = |from: usize, to: usize| Weather {
        start: weather.start + i64::try_from(from).unwrap() * HOUR_S,
        has_row: weather.has_row[from..to].to_vec(),
        columns: weather
            .columns
            .iter()
            .map(|column| Column {
                element: column.element,
                values: column.values[from..to].to_vec(),
            })
            .collect(),
        falls: weather
            .falls
            .iter()
            .map(|falls| Falls {
                falls: falls
                    .falls
                    .iter()
                    .filter(|fall| fall.from >= from && fall.from + fall.hours <= to)
                    .map(|fall| Fall {
                        from: fall.from - from,
                        ..*fall
                    })
                    .collect(),
                ..*falls
            })
            .collect(),
    };
    (part(0, end), part(at, weather.has_row.len()))
}

/// The contract, section 5, hours before the file: observed hours before the forecast are as if one file held both, and
/// the forecast takes over at its first hour.
#[test]
fn observed_hours_and_a_forecast_are_like_one_file() {
    let cuts = (1_usize..29, 0_usize..10);
    let result = runner(CASES, 19).run(
        &(scenarios(Kind::Plain), cuts),
        |(scenario, (at, overlap))| {
            let (mut observed, forecast) = cut(&scenario.weather, at, overlap);
            // What was observed past the forecast's first hour must not count: it is made another.
            for column in &mut observed.columns {
                column
                    .values
                    .iter_mut()
                    .skip(at)
                    .for_each(|value| *value = None);
            }
            for falls in &mut observed.falls {
                falls.falls.retain(|fall| fall.from < at);
            }
            let joined = series(&forecast)
                .map_err(fault)?
                .with_observed(&series(&observed).map_err(fault)?);
            let (joined, whole) = (
                joined.map_err(fault)?,
                series(&scenario.weather).map_err(fault)?,
            );
            prop_assert_eq!(joined.forecast_from(), at);
            let operation = scenario.operation();
            let (joined, whole) = (
                scenario.judged(&joined, &operation),
                scenario.judged(&whole, &operation),
            );
            prop_assert_eq!(joined.states(), whole.states());
            for hour in 0..scenario.weather.has_row.len() {
                for rule in 0..operation.rules.len() {
                    prop_assert_eq!(
                        joined.finding(rule, hour).outcome,
                        whole.finding(rule, hour).outcome
                    );
                }
            }
            Ok(())
        },
    );
    passed(result);
}

/// The contract, section 5, comparison: observed hours in another unit than the forecast's are each compared in their
/// own. The slow evaluator tells what is expected.
#[test]
fn observed_hours_in_another_unit_are_compared_in_their_own() {
    let cuts = (1_usize..29, 0_usize..10);
    let celsius = |unit: Unit| match unit {
        Unit::Fahrenheit => Unit::Celsius,
        Unit::Celsius => Unit::Fahrenheit,
        Unit::MilePerHour => Unit::MetrePerSecond,
        unit => unit,
    };
    let result = runner(CASES, 20).run(
        &(scenarios(Kind::Plain), cuts),
        |(scenario, (at, overlap))| {
            let (observed, forecast) = cut(&scenario.weather, at, overlap);
            let observed = in_unit(&observed, celsius);
            let joined = series(&forecast)
                .map_err(fault)?
                .with_observed(&series(&observed).map_err(fault)?);
            let joined = joined.map_err(fault)?;
            let mut mixed = scenario.weather.clone();
            for (column, past) in mixed.columns.iter_mut().zip(&observed.columns) {
                column.values[..at].clone_from_slice(&past.values[..at]);
            }
            let operation = scenario.operation();
            let judged = scenario.judged(&joined, &operation);
            let evaluator = Evaluator::new(&mixed, scenario.place, scenario.asked.is_dry_now);
            for hour in 0..mixed.has_row.len() {
                for (index, rule) in operation.rules.iter().enumerate() {
                    let told = evaluator.told(rule, hour);
                    let found = judged.finding(index, hour);
                    prop_assert!(
                        told.is_close || told.outcome == found.outcome,
                        "hour {hour} {rule:?}: {found:?}, not {told:?}"
                    );
                }
            }
            Ok(())
        },
    );
    passed(result);
}

/// The contract, section 5, bounded values: of an amount that the forecast cuts, what fell before is known only between
/// nothing and all of it; and an element that the forecast does not have is left out.
#[test]
fn an_observed_amount_that_the_forecast_cuts_keeps_its_upper_bound_alone() {
    let result = runner(CASES, 21).run(&(scenarios(Kind::Any), 1_usize..29), |(scenario, at)| {
        let hours = scenario.weather.has_row.len();
        let (mut observed, forecast) = cut(&scenario.weather, at, hours);
        let mut expected = scenario.weather.clone();
        for (falls, (past, next)) in expected
            .falls
            .iter_mut()
            .zip(observed.falls.iter().zip(&forecast.falls))
        {
            let before = past.falls.iter().filter(|fall| fall.from < at).map(|fall| {
                let is_cut = fall.from + fall.hours > at;
                let low_um = if is_cut { 0 } else { fall.low_um };
                Fall {
                    hours: fall.hours.min(at - fall.from),
                    low_um,
                    ..*fall
                }
            });
            let after = next.falls.iter().map(|fall| Fall {
                from: fall.from + at,
                ..*fall
            });
            falls.falls = before.chain(after).collect();
        }
        // Gusts were observed, and are not in the forecast.
        let mut forecast = forecast;
        forecast
            .columns
            .retain(|column| column.element != Element::Gust);
        expected
            .columns
            .retain(|column| column.element != Element::Gust);
        // Clouds are in the forecast, and were not observed.
        observed
            .columns
            .retain(|column| column.element != Element::Cloud);
        for column in expected
            .columns
            .iter_mut()
            .filter(|column| column.element == Element::Cloud)
        {
            column.values[..at].fill(None);
        }
        let joined = series(&forecast)
            .map_err(fault)?
            .with_observed(&series(&observed).map_err(fault)?);
        let joined = joined.map_err(fault)?;
        let operation = scenario.operation();
        let judged = scenario.judged(&joined, &operation);
        let evaluator = Evaluator::new(&expected, scenario.place, scenario.asked.is_dry_now);
        for hour in 0..hours {
            for (index, rule) in operation.rules.iter().enumerate() {
                let (told, found) = (evaluator.told(rule, hour), judged.finding(index, hour));
                prop_assert!(
                    told.is_close || told.outcome == found.outcome,
                    "hour {hour} {rule:?}: {found:?}, not {told:?}"
                );
            }
        }
        Ok(())
    });
    passed(result);
}

// --- Files ---

/// How a printed file is changed without changing what it says.
#[derive(Debug, Clone)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is a habit of files, any with any"
)]
struct Dress {
    turn: usize,
    has_crlf: bool,
    has_mark: bool,
    is_quoted: bool,
    is_packed: bool,
    has_last_line_end: bool,
    blank_lines: Vec<usize>,
    offset_min: i64,
}

fn dresses() -> impl Strategy<Value = Dress> {
    let flags = (
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
    );
    let offsets = prop::sample::select(vec![0_i64, -360, 330, 630, 765]);
    (
        0_usize..10,
        flags,
        prop::collection::vec(0_usize..60, 0..3),
        offsets,
    )
        .prop_map(
            |(
                turn,
                (has_crlf, has_mark, is_quoted, is_packed, has_last_line_end),
                blank_lines,
                offset_min,
            )| Dress {
                turn,
                has_crlf,
                has_mark,
                is_quoted,
                is_packed,
                has_last_line_end,
                blank_lines,
                offset_min,
            },
        )
}

impl Dress {
    fn on(&self, text: &str) -> Vec<u8> {
        let mut lines: Vec<String> = text
            .lines()
            .enumerate()
            .map(|(row, line)| self.line(row, line))
            .collect();
        for at in &self.blank_lines {
            lines.insert(at % lines.len() + 1, String::new());
        }
        let end = if self.has_crlf { "\r\n" } else { "\n" };
        let mut dressed = if self.has_mark {
            "\u{feff}".to_owned()
        } else {
            String::new()
        };
        dressed += &lines.join(end);
        if self.has_last_line_end {
            dressed += end;
        }
        if !self.is_packed {
            return dressed.into_bytes();
        }
        let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
        packer.write_all(dressed.as_bytes()).unwrap();
        packer.finish().unwrap()
    }

    fn line(&self, row: usize, line: &str) -> String {
        let mut fields: Vec<String> = line.split(',').map(str::to_owned).collect();
        if row > 0 && self.offset_min != 0 {
            fields[0] = elsewhere(&fields[0], self.offset_min);
        }
        let count = fields.len();
        fields.rotate_left(self.turn % count);
        if self.is_quoted {
            fields = fields.iter().map(|field| format!("\"{field}\"")).collect();
        }
        fields.join(",")
    }
}

/// A time in UTC as a clock shows it that many minutes east of there.
fn elsewhere(utc: &str, east_min: i64) -> String {
    let time = chrono::DateTime::parse_from_rfc3339(utc).unwrap();
    let offset = chrono::FixedOffset::east_opt(i32::try_from(east_min * 60).unwrap()).unwrap();
    time.with_timezone(&offset).to_rfc3339()
}

/// Series compare by their printed form: missing values are NaN, and no NaN equals another.
fn printed(members: &[HourlySeries]) -> String {
    format!("{members:?}")
}

/// The contract, section 6: a byte-order mark, CRLF, quoted fields, blank lines, a missing newline at the end, gzip and
/// the order of the columns change nothing, nor does the offset in which a time is written.
#[test]
fn the_dress_of_a_file_does_not_change_what_it_says() {
    let result =
        runner(CASES, 22).run(&(scenarios(Kind::Plain), dresses()), |(scenario, dress)| {
            if scenario.weather.columns.is_empty() && scenario.weather.falls.is_empty() {
                return Ok(());
            }
            let text = csv(&scenario.weather);
            let read = |bytes: &[u8]| {
                read_hourly(
                    Source {
                        name: "dress.csv",
                        bytes,
                    },
                    None,
                )
                .map_err(fault)
            };
            let (plain, dressed) = (read(text.as_bytes())?, read(&dress.on(&text))?);
            prop_assert_eq!(printed(&plain.members), printed(&dressed.members));
            prop_assert_eq!(plain.issued, dressed.issued);
            prop_assert_eq!(plain.notices, dressed.notices);
            Ok(())
        });
    passed(result);
}

/// Promise 5: the same question gives the same bits.
#[test]
fn the_same_question_gives_the_same_answer() {
    let result = runner(CASES / 4, 23).run(&scenarios(Kind::Any), |scenario| {
        let operation = scenario.operation();
        let (own, other) = (
            decision(&scenario, &operation)?,
            decision(&scenario, &operation)?,
        );
        prop_assert_eq!(format!("{own:?}"), format!("{other:?}"));
        Ok(())
    });
    passed(result);
}

/// The contract, section 5: a rule over "0 mm" fails where any amount above 0 fell, however small, and however many dry
/// hours were summed before it; each of the N+1 hours counts.
#[test]
fn a_trace_is_rain_in_each_hour_of_a_span() {
    let case = (1_u32..30, 0_usize..60, any::<bool>());
    let result = runner(CASES, 24).run(
        &(gardens(), case),
        |(mut scenario, (span, at, is_after))| {
            let hours = scenario.weather.has_row.len();
            let wet = at % hours;
            for fall in &mut scenario.weather.falls[0].falls {
                let um = i64::from(fall.from == wet);
                (fall.low_um, fall.high_um) = (um, Some(um));
            }
            let mut operation = built_in("oil");
            operation.rules.retain(|rule| rule.name == "dry after");
            operation.rules[0].over = if is_after {
                Span::After(span)
            } else {
                Span::Before(span)
            };
            let series = series(&scenario.weather).map_err(fault)?;
            let judged = scenario.judged(&series, &operation);
            for hour in 0..hours {
                let reach = span as usize;
                let sees = if is_after {
                    (hour..=hour + reach).contains(&wet)
                } else {
                    (wet..=wet + reach).contains(&hour)
                };
                prop_assert_eq!(
                    judged.finding(0, hour).outcome == Outcome::Fails,
                    sees,
                    "hour {}",
                    hour
                );
            }
            Ok(())
        },
    );
    passed(result);
}
