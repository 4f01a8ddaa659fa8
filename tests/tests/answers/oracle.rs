//! The engine against the slow evaluator, hour by hour and verdict by verdict, on random weather and rules.
//!
//! Source of what is expected: the contract, section 5, as `fairspell_tests::evaluator` reads it. All weather and all
//! rules are invented.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test may stop at the first surprise"
)]

use std::cell::RefCell;
use std::fmt::Debug;

use chrono_tz::Tz;
use fairspell::decision::{Decision, Verdict};
use fairspell::operation::{Operation, Severity};
use fairspell::quantity::Unit;
use fairspell::read::{Source, read_hourly};
use fairspell::series::{Element, HourlySeries};
use fairspell::spell::{Judged, Outcome, Sky, State};
use fairspell_tests::evaluator::{Answer, Bounds, Column, Evaluator, Fall, Falls, Weather, answer};
use fairspell_tests::scenario::{Kind, Scenario, csv, ensembles, runner, scenarios, series};
use proptest::prelude::*;
use proptest::test_runner::TestError;

/// How many random forecasts are judged hour by hour.
const FORECASTS: u32 = 2000;
/// How many of them are printed as CSV and read.
const FILES: u32 = 500;
/// How many ensembles are judged.
const ENSEMBLES: u32 = 300;

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

/// What the cases came to, so that a test can say that all kinds of them were tried.
#[derive(Debug, Default)]
struct Tally {
    outcomes: [u64; 3],
    on_the_limit: u64,
    close: u64,
    states: [u64; 3],
    verdicts: [u64; 3],
}

impl Tally {
    fn outcome(&mut self, outcome: Outcome) {
        self.outcomes[match outcome {
            Outcome::Holds => 0,
            Outcome::Fails => 1,
            Outcome::Unknown => 2,
        }] += 1;
    }

    fn state(&mut self, state: State) {
        self.states[match state {
            State::Fair => 0,
            State::Hindered => 1,
            State::Unknown => 2,
        }] += 1;
    }

    fn verdict(&mut self, verdict: Verdict) {
        self.verdicts[match verdict {
            Verdict::Go => 0,
            Verdict::NoGo => 1,
            Verdict::CannotTell => 2,
        }] += 1;
    }
}

/// Each rule's outcome and each hour's state, by the engine and by the evaluator. True if no close mean was met.
fn compare_hours(
    scenario: &Scenario,
    series: &HourlySeries,
    tally: &RefCell<Tally>,
) -> Result<Vec<State>, TestCaseError> {
    let (operation, asked) = (scenario.operation(), &scenario.asked);
    let judged = scenario.judged(series, &operation);
    let evaluator = Evaluator::new(&scenario.weather, scenario.place, asked.is_dry_now);
    prop_assert_eq!(judged.states().len(), scenario.weather.has_row.len());
    let mut states = Vec::new();
    for hour in 0..series.hours() {
        for (index, rule) in asked.rules.iter().enumerate() {
            let (told, found) = (evaluator.told(rule, hour), judged.finding(index, hour));
            let mut tally = tally.borrow_mut();
            tally.close += u64::from(told.is_close);
            if !told.is_close {
                tally.outcome(told.outcome);
                let margin = found.margin(rule);
                tally.on_the_limit +=
                    u64::from(told.outcome == Outcome::Holds && margin.abs() < 1e-9);
                prop_assert_eq!(
                    found.outcome,
                    told.outcome,
                    "hour {} rule {:?} found {:?}",
                    hour,
                    rule,
                    found
                );
            }
        }
        let (state, is_close) = evaluator.state(&asked.rules, asked.is_strict, hour);
        tally.borrow_mut().state(state);
        let own = judged.states()[hour];
        prop_assert!(
            own == state || is_close,
            "hour {hour} is {own:?}, not {state:?}"
        );
        states.push(own);
    }
    Ok(states)
}

/// The decision on one or more members, whose states are given, against the evaluator's verdict on these states.
fn compare_verdict(
    scenario: &Scenario,
    members: Vec<HourlySeries>,
    states: &[State],
) -> Result<Decision, TestCaseError> {
    let expected = answer(&scenario.asked, (&scenario.weather, scenario.place), states);
    let decision = scenario.decided(members).map_err(fault)?;
    let Answer {
        verdict,
        states,
        spells,
        spell,
        until,
    } = expected;
    prop_assert_eq!(decision.until, until);
    prop_assert_eq!(decision.verdict, verdict);
    prop_assert_eq!(
        decision
            .hours
            .iter()
            .map(|hour| hour.state)
            .collect::<Vec<_>>(),
        states
    );
    let start = scenario.weather.start;
    let own = |spell: &fairspell::decision::Spell| {
        let hour = |time: i64| usize::try_from((time - start) / 3600).unwrap_or(usize::MAX);
        (hour(spell.start), hour(spell.end))
    };
    prop_assert_eq!(decision.spells.iter().map(own).collect::<Vec<_>>(), spells);
    prop_assert_eq!(decision.spell.as_ref().map(own), spell);
    if let Some(spell) = &decision.spell {
        let needed = i64::try_from(scenario.asked.needed).unwrap_or(0) * 3600;
        let is_inside =
            spell.best_start >= decision.at && spell.best_start + needed <= decision.until;
        prop_assert!(is_inside, "the best run lies outside the window");
    }
    // Promise 3: every no has a reason.
    prop_assert!(
        verdict == Verdict::Go || !decision.reasons.is_empty(),
        "no reason is given"
    );
    Ok(decision)
}

/// Hindrances are the blocking rules that are known to fail; cautions, those that fail or cannot be known. Each with
/// a margin that says by how much.
fn compare_hindrances(scenario: &Scenario, decision: &Decision) -> Result<(), TestCaseError> {
    let evaluator = Evaluator::new(&scenario.weather, scenario.place, scenario.asked.is_dry_now);
    for hour in &decision.hours {
        let index =
            usize::try_from((hour.time - scenario.weather.start) / 3600).unwrap_or(usize::MAX);
        let (mut hindrances, mut cautions) = (Vec::new(), Vec::new());
        for (rule_index, rule) in scenario.asked.rules.iter().enumerate() {
            let told = evaluator.told(rule, index);
            let is_unchecked = rule.optional && evaluator.is_absent(rule.measure);
            if told.is_close {
                return Ok(());
            }
            if rule.severity == Severity::Block && told.outcome == Outcome::Fails {
                hindrances.push((rule_index, true));
            } else if rule.severity == Severity::Caution
                && told.outcome != Outcome::Holds
                && !is_unchecked
            {
                cautions.push((rule_index, told.outcome == Outcome::Fails));
            }
        }
        let own = |found: &[fairspell::decision::Hindrance]| -> Vec<(usize, bool)> {
            found
                .iter()
                .map(|hindrance| (hindrance.rule, hindrance.is_known))
                .collect()
        };
        prop_assert_eq!(own(&decision.hindrances(hour)), hindrances);
        prop_assert_eq!(own(&decision.cautions(hour)), cautions);
        for hindrance in decision.hindrances(hour) {
            prop_assert!(
                hindrance.margin < 1e-9,
                "a hindrance with a margin of {}",
                hindrance.margin
            );
        }
    }
    Ok(())
}

/// The contract, section 5: comparison, hour states, bounded values, sums of rain, hours before the file, verdict.
#[test]
fn the_engine_agrees_with_the_slow_evaluator_hour_by_hour() {
    let tally = RefCell::new(Tally::default());
    let result = runner(FORECASTS, 1).run(&scenarios(Kind::Any), |scenario| {
        let series = series(&scenario.weather).map_err(fault)?;
        let states = compare_hours(&scenario, &series, &tally)?;
        let decision = compare_verdict(&scenario, vec![series], &states)?;
        tally.borrow_mut().verdict(decision.verdict);
        compare_hindrances(&scenario, &decision)
    });
    let tally = tally.into_inner();
    passed(result);
    // The drawing itself is checked: every answer must come up often, values must meet limits exactly, and means too
    // close to their limit to tell must be rare.
    let rules: u64 = tally.outcomes.iter().sum();
    assert!(rules > 300_000, "{tally:?}");
    assert!(
        tally.outcomes.iter().all(|count| count * 20 > rules),
        "{tally:?}"
    );
    assert!(tally.on_the_limit * 50 > rules, "{tally:?}");
    assert!(tally.close * 100 < rules, "{tally:?}");
    assert!(tally.states.iter().all(|count| *count > 5000), "{tally:?}");
    assert!(tally.verdicts.iter().all(|count| *count > 100), "{tally:?}");
}

/// The contract, section 6: what is printed as plain CSV reads as the same hours, and so is judged alike.
#[test]
fn printed_files_are_judged_like_the_hours_they_came_from() {
    let tally = RefCell::new(Tally::default());
    let result = runner(FILES, 2).run(&scenarios(Kind::Plain), |scenario| {
        let text = csv(&scenario.weather);
        if scenario.weather.columns.is_empty() && scenario.weather.falls.is_empty() {
            return Ok(());
        }
        let reading = read_hourly(
            Source {
                name: "random.csv",
                bytes: text.as_bytes(),
            },
            None,
        );
        let reading = reading.map_err(|error| TestCaseError::fail(format!("{error}\n{text}")))?;
        prop_assert_eq!(reading.members.len(), 1);
        let states = compare_hours(&scenario, &reading.members[0], &tally)?;
        compare_verdict(&scenario, reading.members, &states).map(|_| ())
    });
    passed(result);
}

/// The contract, section 5, members: an hour is fair if more than half of the members are fair in it, hindered if at
/// least half are hindered, else unknown.
#[test]
fn members_are_judged_one_by_one_and_counted() {
    let result = runner(ENSEMBLES, 3).run(&ensembles(), |members| {
        let mut all = Vec::new();
        let mut judged = Vec::new();
        for member in &members {
            let series = series(&member.weather).map_err(fault)?;
            judged.push(compare_hours(member, &series, &RefCell::default())?);
            all.push(series);
        }
        let half = all.len() as f64 / 2.0;
        let state = |hour: usize| {
            let count = |wanted: State| {
                judged
                    .iter()
                    .filter(|states| states[hour] == wanted)
                    .count() as f64
            };
            if count(State::Fair) > half {
                State::Fair
            } else if count(State::Hindered) >= half {
                State::Hindered
            } else {
                State::Unknown
            }
        };
        let states: Vec<State> = (0..all[0].hours()).map(state).collect();
        compare_verdict(&members[0], all, &states).map(|_| ())
    });
    passed(result);
}

/// The contract, section 5: the hour from which the engine begins to judge changes no hour after it.
#[test]
fn judging_from_a_later_hour_changes_nothing_after_it() {
    let result = runner(FILES, 4).run(&(scenarios(Kind::Any), 1_usize..60), |(scenario, from)| {
        let series = series(&scenario.weather).map_err(fault)?;
        let operation = scenario.operation();
        let whole = scenario.judged(&series, &operation);
        let part = scenario.judged_from(&series, &operation, from.min(series.hours()));
        prop_assert_eq!(part.found().from(), part.from());
        for hour in part.from()..series.hours() {
            prop_assert_eq!(whole.states()[hour], part.states()[hour - part.from()]);
            for rule in 0..operation.rules.len() {
                // Means may differ in their last bits, not in what they come to.
                prop_assert_eq!(
                    whole.finding(rule, hour).outcome,
                    part.finding(rule, hour).outcome
                );
            }
        }
        Ok(())
    });
    passed(result);
}

/// Arithmetic: the operation that is drawn has the rules that were drawn.
#[test]
fn the_drawn_operation_has_its_rules() {
    let result = runner(50, 5).run(&scenarios(Kind::Any), |scenario| {
        let operation: Operation = scenario.operation();
        prop_assert_eq!(operation.rules.len(), scenario.asked.rules.len());
        prop_assert!(
            operation
                .rules
                .iter()
                .all(|rule| rule.at_least.is_some() || rule.at_most.is_some())
        );
        Ok(())
    });
    passed(result);
}

/// Weather with rain alone: amounts in millimetres, each with its first hour and its hours.
fn rain(hours: usize, amounts: &[(usize, usize, i64)]) -> Weather {
    let fall = |(from, hours, mm): &(usize, usize, i64)| Fall {
        from: *from,
        hours: *hours,
        low_um: mm * 1000,
        high_um: Some(mm * 1000),
    };
    Weather {
        start: 1_804_690_800,
        has_row: vec![true; hours],
        columns: Vec::new(),
        falls: vec![Falls {
            element: Element::Rain,
            unit: Unit::Millimetre,
            falls: amounts.iter().map(fall).collect(),
        }],
    }
}

/// What the engine finds for one rule in one hour.
fn found(weather: &Weather, rule: &str, is_dry_now: bool, hour: usize) -> Outcome {
    let text = format!(
        "operation = \"case\"\n[[rule]]\nname = \"case\"\nseverity = \"block\"\nsource = \"Invented\"\n{rule}"
    );
    let source = Source {
        name: "case.toml",
        bytes: text.as_bytes(),
    };
    let operation = Operation::read(source).unwrap();
    let series = series(weather).unwrap();
    let sky = Sky {
        coordinates: None,
        elevation_m: 0.0,
        dry_before: is_dry_now,
    };
    Judged::new(&series, &operation, &sky, (Tz::UTC, false), 0)
        .finding(0, hour)
        .outcome
}

/// Cases that the random ones found the engine to be wrong in. Arithmetic, by the contract's section 5.
#[test]
fn faults_that_were_found_stay_mended() {
    let dry: Vec<(usize, usize, i64)> = (0..30).map(|hour| (hour, 1, 0)).collect();
    // No rain is sure, so the mean of the hours since rain has no upper bound: not known, and no failure.
    let since = "measure = \"hours-since-rain\"\nover = \"1 h before\"\ntake = \"mean\"\nat-least = \"3 h\"";
    assert_eq!(found(&rain(30, &dry), since, false, 1), Outcome::Unknown);
    // On the user's word the hour before the first is dry, and so is the driest of the two.
    let mut wet = dry.clone();
    wet[0].2 = 1;
    let driest = "measure = \"rain\"\nover = \"1 h before\"\ntake = \"min\"\nat-most = \"0 mm\"";
    assert_eq!(found(&rain(30, &wet), driest, true, 0), Outcome::Holds);
    assert_eq!(found(&rain(30, &wet), driest, false, 0), Outcome::Unknown);
    // 12 mm over six hours, five of them in the span: some hour of the five has at most a fifth, 2.4 mm.
    let long = [(0, 1, 9), (1, 6, 12), (7, 1, 9)];
    let least = "measure = \"rain\"\nover = \"4 h before\"\ntake = \"min\"\nat-least = ";
    assert_eq!(
        found(&rain(8, &long), &format!("{least}\"2.5 mm\""), false, 5),
        Outcome::Fails
    );
    assert_eq!(
        found(&rain(8, &long), &format!("{least}\"2.4 mm\""), false, 5),
        Outcome::Unknown
    );
    // Of 25 hours 24 are known with 100 %: the mean is at least 96 %, whatever the hour past the file's end.
    let mut cloudy = rain(24, &[]);
    let cloud = Some(Bounds::exactly(100.0, Unit::Percent));
    cloudy.columns.push(Column {
        element: Element::Cloud,
        values: vec![cloud; 24],
    });
    let mean = "measure = \"cloud\"\nover = \"24 h after\"\ntake = \"mean\"\nat-most = ";
    assert_eq!(
        found(&cloudy, &format!("{mean}\"95 %\""), false, 0),
        Outcome::Fails
    );
    assert_eq!(
        found(&cloudy, &format!("{mean}\"96 %\""), false, 0),
        Outcome::Unknown
    );
}
