//! The hindcast against `decide`, hours counted elsewhere, and plain counts over days.
//!
//! Source of what is expected: the contract, sections 5 to 7; the values counted outside the project (`hourly_*.json`);
//! counts by the plainest loops over the states that `decide` gives.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test may stop at the first surprise"
)]

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use chrono::{Datelike as _, NaiveDate};
use chrono_tz::Tz;
use fairspell::decision::{self, Decision, decide};
use fairspell::hindcast::{
    Done, Hindcast, Judgement, MonthDay, Question, Season, SeasonSpan, When, hindcast, read_log,
};
use fairspell::operation::{Operation, Severity};
use fairspell::quantity::Unit;
use fairspell::read::{
    Format, Issued, Reading, Source, local_date, parse_time, past::read_past_each,
};
use fairspell::series::{Amounts, Column, Element, HourlySeries, Hours};
use fairspell::site::Site;
use fairspell::spell::State;
use fairspell_tests::past::{Draw, series};
use serde_json::Value;

const HOUR_S: i64 = 3600;

fn operation(text: &str) -> Operation {
    let source = Source {
        name: "operation.toml",
        bytes: text.as_bytes(),
    };
    Operation::read(source).unwrap()
}

fn reference() -> Operation {
    operation(include_str!("../../benches/hours/reference.toml"))
}

fn asked<'a>(past: &'a Hours, operation: &'a Operation, site: &'a Site) -> Question<'a> {
    Question {
        station: "",
        past,
        position: None,
        operation,
        site,
        season: None,
        log: &[],
        forecasts: &[],
        is_brief: false,
    }
}

fn in_zone(zone: Tz) -> Site {
    Site {
        zone: Some(zone),
        latitude: Some(42.4),
        longitude: Some(-88.1),
        ..Site::default()
    }
}

/// What `decide` says of every hour of a series.
fn decided(series: &HourlySeries, operation: &Operation, site: &Site) -> Decision {
    let forecast = Reading {
        members: vec![series.clone()],
        issued: Issued::Unknown,
        position: None,
        format: Format::PlainCsv,
        notices: Vec::new(),
    };
    decide(&decision::Question {
        forecast: &forecast,
        operation,
        site,
        at: series.start(),
        until: Some(series.start() + HOUR_S),
        is_dry_now: false,
        is_strict: false,
        explain: None,
    })
    .unwrap()
}

// --- Airports ---

/// The stations of a record as they are read, from the open copies with the reader's own names of columns.
fn airport(path: &Path) -> Hours {
    let text = fs::read_to_string(path).unwrap();
    let (header, rows) = text.split_once('\n').unwrap();
    assert_eq!(
        header.trim_end(),
        "time_utc,temp_f,precip_in,rh_pct,wind_mph"
    );
    let text = format!("time,temperature_f,rain_in,humidity_pct,wind_mph\n{rows}");
    let source = Source {
        name: "airport.csv",
        bytes: text.as_bytes(),
    };
    let mut all = Vec::new();
    read_past_each(source, None, |reading, _| {
        all.push(reading.hours.clone());
        Ok::<(), fairspell::error::ReadError>(())
    })
    .unwrap();
    all.swap_remove(0)
}

/// Runs of usable hours, counted outside the project with general numeric libraries: first and last hour, and hours.
fn runs_counted_elsewhere(name: &str) -> Vec<(i64, i64, i64)> {
    let path = Path::new(env!("FAIRSPELL_EXPECTED_DATA_DIR")).join(name);
    let json: Value = serde_json::from_slice(&fs::read(path).unwrap()).unwrap();
    let time = |value: &Value| parse_time(value.as_str().unwrap(), None, None).unwrap();
    let runs = json["runs"].as_array().unwrap().iter();
    runs.map(|run| (time(&run[0]), time(&run[1]), run[2].as_i64().unwrap()))
        .collect()
}

/// Issue, checks to include: the runs of usable hours under the four reference rules, exactly.
#[test]
#[cfg_attr(
    not(all(open_data, expected_data)),
    ignore = "the open records and the values counted on them are not here"
)]
fn airports_have_the_runs_that_were_counted_elsewhere() {
    for name in ["EWR", "PDX", "SEA"] {
        let folder = Path::new(env!("FAIRSPELL_OPEN_DATA_DIR")).join("csv");
        let past = airport(&folder.join(format!("hourly_{name}.csv")));
        let (rules, site) = (reference(), in_zone(Tz::UTC));
        let answer = hindcast(&asked(&past, &rules, &site)).unwrap();
        let runs: Vec<(i64, i64, i64)> = answer
            .spells
            .iter()
            .map(|spell| (spell.start, spell.end - HOUR_S, spell.hours()))
            .collect();
        assert_eq!(
            runs,
            runs_counted_elsewhere(&format!("hourly_{name}.json")),
            "{name}"
        );
    }
}

// --- The same as decide ---

/// Rules that reach far, hang on whole days, and look back or ahead without end.
const FAR: &str = r#"
operation = "far"
hours-needed = 3
[[rule]]
name = "days"
measure = "temperature"
over = "each of 3 days"
take = "max"
at-least = "36 °F"
severity = "block"
source = "test"
[[rule]]
name = "long"
measure = "rain"
over = "300 h after"
take = "mean"
at-most = "0.5 mm"
severity = "block"
source = "test"
[[rule]]
name = "wettest hour"
measure = "rain"
over = "40 h before"
take = "max"
at-most = "0.05 in"
severity = "block"
source = "test"
"#;
const DAYS: &str = r#"
operation = "days"
hours-needed = 3
[[rule]]
name = "days"
measure = "temperature"
over = "each of 3 days"
take = "max"
at-least = "36 °F"
severity = "block"
source = "test"
"#;
const ENDLESS: &str = r#"
operation = "endless"
hours-needed = 2
[[rule]]
name = "since"
measure = "hours-since-rain"
at-least = "30 h"
severity = "block"
source = "test"
[[rule]]
name = "dries"
measure = "drying-hours"
at-most = "9 h"
severity = "block"
optional = true
source = "test"
"#;

/// Issue: the result is the same as `decide`'s hour by hour. Records longer than the parts in which they are judged.
#[test]
fn a_hindcast_is_decide_hour_by_hour() {
    let rules = [
        Operation::built_in("oil").unwrap(),
        Operation::built_in("prune").unwrap(),
        operation(FAR),
        operation(DAYS),
        operation(ENDLESS),
        reference(),
    ];
    for (seed, zone) in [(1, Tz::America__Chicago), (2, Tz::Australia__Lord_Howe)] {
        let start = parse_time("2026-09-20T17:00Z", None, None).unwrap();
        let series = series(&mut Draw(seed), start, 9_000).unwrap();
        let (past, site) = (Hours::from(series.clone()), in_zone(zone));
        for rules in &rules {
            let answer = hindcast(&asked(&past, rules, &site)).unwrap();
            let decision = decided(&series, rules, &site);
            assert_same(&answer, &decision);
        }
    }
}

/// Each rule alone on six years in which it is dry but for an hour of rain before and one behind every 4096th hour, where
/// a part may begin, nearer or farther each time, up to 58 hours; what lies beyond the edge of a part counts like what lies in it.
#[test]
fn what_lies_just_beyond_a_part_counts() {
    let hours = 30 * 4096;
    let mut rain = vec![0.0; hours];
    for boundary in 1..30 {
        let away = if boundary < 25 {
            boundary
        } else {
            2 * boundary
        };
        rain[4096 * boundary - away] = 1.0;
        rain[4096 * boundary + away - 1] = 1.0;
    }
    let mut series = HourlySeries::new(0, vec![true; hours]).unwrap();
    series
        .set_amounts(Element::Rain, Amounts::hourly(&rain, Unit::Millimetre))
        .unwrap();
    let cold = rain.iter().map(|rain| 5.0 - 6.0 * rain).collect();
    for (element, values, unit) in [
        (Element::Temperature, cold, Unit::Celsius),
        (Element::Humidity, vec![80.0; hours], Unit::Percent),
        (Element::Wind, vec![2.0; hours], Unit::MetrePerSecond),
    ] {
        series
            .set_column(element, Column::exact(values, unit))
            .unwrap();
    }
    let past = Hours::from(series.clone());
    let site = in_zone(Tz::UTC);
    for rule in [
        "measure = \"rain\"\nover = \"24 h before\"\ntake = \"sum\"\nat-most = \"0 mm\"",
        "measure = \"rain\"\nover = \"24 h after\"\ntake = \"sum\"\nat-most = \"0 mm\"",
        "measure = \"rain\"\nover = \"1 h before\"\ntake = \"sum\"\nat-most = \"0 mm\"",
        "measure = \"temperature\"\nover = \"24 h after\"\ntake = \"min\"\nat-least = \"0 °C\"",
        "measure = \"temperature\"\nover = \"each of 2 days\"\ntake = \"min\"\nat-least = \"0 °C\"",
        "measure = \"drying-hours\"\nat-most = \"6 h\"",
        "measure = \"hours-since-rain\"\nat-least = \"60 h\"",
        "measure = \"hours-until-rain\"\nat-least = \"60 h\"",
    ] {
        let text = format!(
            "operation = \"one\"\nhours-needed = 2\n[[rule]]\nname = \"one\"\n{rule}\nseverity = \"block\"\nsource = \"test\"\n"
        );
        let rules = operation(&text);
        let answer = hindcast(&asked(&past, &rules, &site)).unwrap();
        let decision = decided(&series, &rules, &site);
        assert_eq!(answer.spells, decision.spells, "{rule}");
        let count = |wanted| {
            decision
                .hours
                .iter()
                .filter(|hour| hour.state == wanted)
                .count()
        };
        let hours = [State::Fair, State::Hindered, State::Unknown].map(count);
        let own = answer.hours;
        assert_eq!([own.fair, own.hindered, own.unknown], hours, "{rule}");
        assert!(own.hindered > 0, "{rule}");
    }
}

/// Counts, spells, what each rule cost, and the weeks.
fn assert_same(answer: &Hindcast, decision: &Decision) {
    let name = &decision.operation.name;
    assert_eq!(answer.spells, decision.spells, "{name}");
    assert!(answer.hours.hindered > 0, "{name}");
    let count = |wanted| {
        decision
            .hours
            .iter()
            .filter(|hour| hour.state == wanted)
            .count()
    };
    let hours = [State::Fair, State::Hindered, State::Unknown].map(count);
    let own = answer.hours;
    assert_eq!([own.fair, own.hindered, own.unknown], hours, "{name}");
    let rules = decision.operation.rules.len();
    let (mut cost, mut alone) = (vec![0; rules], vec![0; rules]);
    for hour in decision
        .hours
        .iter()
        .filter(|hour| hour.state == State::Hindered)
    {
        let failing = decision.hindrances(hour);
        for hindrance in &failing {
            cost[hindrance.rule] += 1;
            alone[hindrance.rule] += usize::from(failing.len() == 1);
        }
    }
    for rule in &answer.by_rule {
        assert_eq!(
            (rule.hours, rule.alone),
            (cost[rule.rule], alone[rule.rule]),
            "{name}"
        );
    }
    for week in &answer.weeks {
        let inside = |time: i64| {
            let date = local_date(time, answer.zone).unwrap();
            (date.year(), week_of(date)) == (week.year, week.week)
        };
        let fair = |hour: &&decision::Hour| hour.state == State::Fair && inside(hour.time);
        let count = decision.hours.iter().filter(fair).count();
        assert_eq!(week.hours.fair, count, "{name} {} {}", week.year, week.week);
        let begun = decision
            .spells
            .iter()
            .filter(|spell| inside(spell.start))
            .count();
        assert_eq!(week.spells, begun, "{name}");
    }
    let blocking = decision
        .operation
        .rules
        .iter()
        .filter(|rule| rule.severity == Severity::Block);
    assert_eq!(answer.by_rule.len(), blocking.count());
}

/// Week of the year by the calendar alone: 29 February counts as the 28th, the last week takes the rest.
fn week_of(date: NaiveDate) -> u32 {
    let leap = date.leap_year() && date.ordinal() >= 60;
    (((date.ordinal() - u32::from(leap)) - 1) / 7 + 1).min(52)
}

// --- Days, odds and seasons, counted plainly ---

/// The local days of a decision's hours, with the states of each.
fn days(decision: &Decision) -> Vec<(NaiveDate, Vec<State>)> {
    let mut days: Vec<(NaiveDate, Vec<State>)> = Vec::new();
    for hour in &decision.hours {
        let date = local_date(hour.time, decision.zone).unwrap();
        match days.last_mut().filter(|day| day.0 == date) {
            Some(day) => day.1.push(hour.state),
            None => days.push((date, vec![hour.state])),
        }
    }
    days
}

/// Whether so many states in a row are of those allowed.
fn has_run(states: &[State], needed: usize, allowed: &[State]) -> bool {
    states
        .windows(needed)
        .any(|run| run.iter().all(|state| allowed.contains(state)))
}

/// Six years of invented hours that begin and end within a local day.
fn six_years() -> HourlySeries {
    let start = parse_time("2019-11-03T12:00Z", None, None).unwrap();
    series(&mut Draw(7), start, 6 * 8766).unwrap()
}

/// Issue, checks to include: climatological odds counted independently. Every date of a year, one to five days ahead; the
/// interval is that of the project's handbook, §11 (Wilson), checked beside `statistics::wilson`.
#[test]
fn odds_are_those_counted_day_by_day() {
    let (series, rules, site) = (six_years(), reference_of(4), in_zone(Tz::America__New_York));
    let answer = hindcast(&asked(&Hours::from(series.clone()), &rules, &site)).unwrap();
    let decision = decided(&series, &rules, &site);
    let days = days(&decision);
    let whole = 1..days.len() - 1; // the first and the last day are cut
    let mut seen = (0, 0);
    for ordinal in 0..365 {
        let date = NaiveDate::from_ymd_opt(2023, 1, 1).unwrap() + chrono::Days::new(ordinal);
        for ahead in [1, 2, 5] {
            let (mut years, mut hits, mut undecided) = (0, 0, 0);
            for (index, day) in days.iter().enumerate() {
                let is_date = (day.0.month(), day.0.day()) == (date.month(), date.day());
                if !is_date || !whole.contains(&index) || !whole.contains(&(index + ahead - 1)) {
                    continue;
                }
                let states: Vec<State> = days[index..index + ahead]
                    .iter()
                    .flat_map(|day| day.1.clone())
                    .collect();
                let is_hit = has_run(&states, 4, &[State::Fair]);
                let may_be = has_run(&states, 4, &[State::Fair, State::Unknown]);
                years += 1;
                hits += usize::from(is_hit);
                undecided += usize::from(may_be && !is_hit);
            }
            let own = answer.odds(MonthDay::of(date), u32::try_from(ahead).unwrap());
            assert_eq!(
                (own.years, own.hits, own.undecided),
                (years, hits, undecided),
                "{date} {ahead}"
            );
            assert_eq!(own.interval_95, fairspell::statistics::wilson(hits, years));
            seen = (seen.0 + hits, seen.1 + undecided);
        }
    }
    assert!(seen.0 > 100 && seen.1 > 10, "{seen:?}"); // the case has both
}

fn reference_of(hours: u32) -> Operation {
    Operation {
        hours_needed: hours,
        ..reference()
    }
}

/// Issue: usable days, and the first and last chance of each season, past New Year too; counted plainly.
#[test]
fn seasons_are_those_counted_hour_by_hour() {
    let (series, rules, site) = (six_years(), reference_of(3), in_zone(Tz::America__New_York));
    let past = Hours::from(series.clone());
    let decision = decided(&series, &rules, &site);
    let all_days = days(&decision);
    let (first, last) = (all_days[0].0, all_days[all_days.len() - 1].0); // both are cut
    for span in [
        "02-01..04-30",
        "12-15..02-29",
        "01-01..12-31",
        "11-10..11-08",
    ] {
        let asked_span = SeasonSpan::parse(span).unwrap();
        let season = Some(asked_span);
        let answer = hindcast(&Question {
            season,
            ..asked(&past, &rules, &site)
        })
        .unwrap();
        assert!(answer.seasons.len() >= 6, "{span}");
        let touched = (2017..2027).filter(|year| {
            let (from, to) = asked_span.dates(*year).unwrap();
            from <= last && to >= first
        });
        let years: Vec<i32> = answer.seasons.iter().map(|season| season.year).collect();
        assert_eq!(years, touched.collect::<Vec<_>>(), "{span}");
        assert!(
            answer
                .seasons
                .iter()
                .any(|season| season.is_whole && season.may_hide)
        );
        let (usable, may_be) = ([State::Fair], [State::Fair, State::Unknown]);
        let is_usable = |day: &&(NaiveDate, Vec<State>)| has_run(&day.1, 3, &usable);
        let is_open = |day: &&(NaiveDate, Vec<State>)| {
            let is_cut = day.0 == first || day.0 == last;
            !is_usable(day) && (is_cut || has_run(&day.1, 3, &may_be))
        };
        assert_eq!(answer.days.days, all_days.len());
        assert_eq!(
            answer.days.usable,
            all_days.iter().filter(is_usable).count()
        );
        assert_eq!(
            answer.days.undecided,
            all_days.iter().filter(is_open).count()
        );
        for season in &answer.seasons {
            assert_season(season, &decision, &all_days);
        }
    }
}

/// A season against the hours of a decision; the first and the last day of the record are cut.
fn assert_season(season: &Season, decision: &Decision, all_days: &[(NaiveDate, Vec<State>)]) {
    let (first, last) = (all_days[0].0, all_days[all_days.len() - 1].0);
    let year = season.year;
    let inside = |date: NaiveDate| (season.from..=season.to).contains(&date);
    let hours: Vec<&decision::Hour> = decision
        .hours
        .iter()
        .filter(|hour| inside(local_date(hour.time, decision.zone).unwrap()))
        .collect();
    let starts_of = |allowed: &[State]| -> Vec<i64> {
        let runs = hours.windows(3);
        let runs = runs.filter(|run| run.iter().all(|hour| allowed.contains(&hour.state)));
        runs.map(|run| run[0].time).collect()
    };
    let starts = starts_of(&[State::Fair]);
    let may_be = starts_of(&[State::Fair, State::Unknown]);
    let is_whole = season.from > first && season.to < last;
    let is_sure = is_whole && (may_be.first(), may_be.last()) == (starts.first(), starts.last());
    assert_eq!(
        (season.is_whole, season.may_hide),
        (is_whole, !is_sure),
        "{year}"
    );
    assert_eq!(season.first_chance, starts.first().copied(), "{year}");
    assert_eq!(season.last_chance, starts.last().copied(), "{year}");
    assert_eq!(season.hours.all(), hours.len());
    let own: Vec<_> = all_days.iter().filter(|day| inside(day.0)).collect();
    let usable = own.iter().filter(|day| has_run(&day.1, 3, &[State::Fair]));
    assert_eq!(
        (season.days.days, season.days.usable),
        (own.len(), usable.count())
    );
}

/// Promise 1: blanking never raises the odds, nor makes a day usable. Hours without a row are blanked.
#[test]
fn blanking_never_raises_the_odds() {
    let (series, rules, site) = (six_years(), reference_of(2), in_zone(Tz::UTC));
    let whole = hindcast(&asked(&Hours::from(series.clone()), &rules, &site)).unwrap();
    let gone = gone(&series, &mut Draw(3));
    let less = hindcast(&asked(&Hours::from(gone), &rules, &site)).unwrap();
    assert!(less.hours.fair < whole.hours.fair && less.days.usable < whole.days.usable);
    for (with, without) in whole.listed_odds().iter().zip(less.listed_odds()) {
        assert_eq!(
            (with.from, with.days, with.years),
            (without.from, without.days, without.years)
        );
        assert!(without.hits <= with.hits);
    }
}

/// The series without one row in twenty.
fn gone(series: &HourlySeries, draw: &mut Draw) -> HourlySeries {
    let rows = (0..series.hours()).map(|hour| series.has_row(hour) && !draw.is_one_in(20));
    let mut less = HourlySeries::new(series.start(), rows.collect()).unwrap();
    for element in fairspell::series::Element::ALL {
        if let Some(column) = series.column(element) {
            less.set_column(element, column.clone()).unwrap();
        }
        if let Some(amounts) = series.amounts(element) {
            less.set_amounts(element, amounts.clone()).unwrap();
        }
    }
    less
}

// --- The log, by hand ---

/// Three days of invented hours: 50 °F, dry and still, but for wind of 16 mph from 10:00 to 12:00 UTC on the second day.
fn three_days() -> Hours {
    let mut csv = String::from("time,temperature_f,rain_in,wind_mph\n");
    for hour in 0..72 {
        let wind = if (34..36).contains(&hour) { 16 } else { 4 };
        let (day, clock) = (10 + hour / 24, hour % 24);
        writeln!(csv, "2027-03-{day:02}T{clock:02}:00Z,50,0,{wind}").unwrap();
    }
    let source = Source {
        name: "days.csv",
        bytes: csv.as_bytes(),
    };
    let mut all = Vec::new();
    read_past_each(source, None, |reading, _| {
        all.push(reading.hours.clone());
        Ok::<(), fairspell::error::ReadError>(())
    })
    .unwrap();
    all.swap_remove(0)
}

/// The contract, `hindcast`, worked by hand: the last 24 hours cannot be known, since the rules look a day ahead. Work of
/// two hours is judged on every hour that it touches.
#[test]
fn log_entries_are_judged_by_hand() {
    let (past, rules, site) = (three_days(), reference_of(2), in_zone(Tz::UTC));
    for (written, judgement, hours) in [
        ("2027-03-10T09:00Z", Judgement::Within, 2),
        ("2027-03-11T08:00Z", Judgement::Within, 2),
        ("2027-03-11T08:01Z", Judgement::Against, 3), // touches the hour from 10:00
        ("2027-03-11T11:59Z", Judgement::Against, 3),
        ("2027-03-11T12:00Z", Judgement::Within, 2),
        ("2027-03-11T23:00Z", Judgement::CannotTell, 2), // its second hour lacks a day ahead
        ("2027-03-12T12:00Z", Judgement::CannotTell, 2),
        ("2027-03-09T23:00Z", Judgement::CannotTell, 2), // begins an hour before the record
        ("2027-03-09T22:00Z", Judgement::CannotTell, 2), // ends where it begins
        ("2027-03-13T00:00Z", Judgement::CannotTell, 2), // begins where it ends
        ("2027-04-01T09:00Z", Judgement::CannotTell, 2),
        ("2027-03-10", Judgement::Within, 24),
        ("2027-03-12", Judgement::CannotTell, 24),
        ("2027-03-09", Judgement::CannotTell, 24),
    ] {
        let text = format!("date\n{written}\n");
        let source = Source {
            name: "done.csv",
            bytes: text.as_bytes(),
        };
        let log = read_log(source, site.zone).unwrap();
        let answer = hindcast(&Question {
            log: &log,
            ..asked(&past, &rules, &site)
        })
        .unwrap();
        let entry = &answer.log[0];
        assert_eq!(
            (entry.judgement, (entry.end - entry.start) / HOUR_S),
            (judgement, hours),
            "{written}"
        );
        let (first, last) = (past.start(), past.time(past.hours()));
        let is_outside = entry.end <= first || entry.start >= last;
        assert_eq!(entry.decision.is_none(), is_outside, "{written}");
        assert_eq!(
            entry.nearest.is_none(),
            judgement == Judgement::Within,
            "{written}"
        );
    }
}

/// By hand: which rule, by how much, and the spell that would have done. 16 mph is 6 above the limit of 10; the spells are
/// 10 March 00:00 to 11 March 10:00 and 11 March 12:00 to 24:00.
#[test]
fn a_log_entry_against_the_rules_says_by_how_much() {
    let (past, rules, site) = (three_days(), reference_of(2), in_zone(Tz::UTC));
    let at = parse_time("2027-03-11T10:30Z", None, None).unwrap();
    let log = [Done {
        when: When::Time(at),
        written: "2027-03-11T10:30Z".to_owned(),
        operation: String::new(),
        note: String::new(),
    }];
    let answer = hindcast(&Question {
        log: &log,
        ..asked(&past, &rules, &site)
    })
    .unwrap();
    let entry = &answer.log[0];
    let worst = fairspell::hindcast::worst(entry.decision.as_ref().unwrap());
    let [(time, found)] = worst.as_slice() else {
        panic!("{worst:?}")
    };
    let rule = &rules.rules[found.rule];
    let start = parse_time("2027-03-11T10:00Z", None, None).unwrap();
    assert_eq!((rule.name.as_str(), *time), ("wind", start));
    let bits = [found.value, found.limit, found.margin].map(f64::to_bits);
    assert_eq!(bits, [16.0, 10.0, -6.0].map(f64::to_bits));
    let spells: Vec<(i64, i64)> = answer
        .spells
        .iter()
        .map(|spell| (spell.start, spell.hours()))
        .collect();
    let first = parse_time("2027-03-10T00:00Z", None, None).unwrap();
    assert_eq!(spells, [(first, 34), (start + 2 * HOUR_S, 12)]);
    assert_eq!(entry.nearest.unwrap().start, first); // it ends where the work began; the other begins an hour after
}

// --- Files brought together ---

/// The contract, section 7: several files. Hours of both count once, from the file given first; by hand.
#[test]
fn files_that_overlap_are_brought_together() {
    let hours = |rows: &str| {
        let text = format!("time,temperature_f,rain_in\n{rows}");
        let source = Source {
            name: "year.csv",
            bytes: text.as_bytes(),
        };
        let mut all = Vec::new();
        read_past_each(source, None, |reading, _| {
            all.push(reading.hours.clone());
            Ok::<(), fairspell::error::ReadError>(())
        })
        .unwrap();
        all.swap_remove(0)
    };
    let first = hours("2027-03-10T02:00Z,50,0\n2027-03-10T03:00Z,,0.1\n");
    let second = hours(
        "2027-03-10T00:00Z,40,0\n2027-03-10T01:00Z,,\n2027-03-10T02:00Z,42,0.5\n2027-03-10T03:00Z,43,0\n2027-03-10T05:00Z,44,0\n",
    );
    let (both, overlap) = Hours::join(&first, &second).unwrap();
    let (series, _) = both.part(0, both.hours()).unwrap();
    assert_eq!((series.hours(), overlap), (6, 2));
    let column = series
        .column(fairspell::series::Element::Temperature)
        .unwrap();
    let known: Vec<Option<f64>> = (0..6)
        .map(|hour| {
            column
                .at(hour, fairspell::quantity::Unit::Fahrenheit)
                .map(|value| value.0)
        })
        .collect();
    assert_eq!(
        known,
        [Some(40.0), None, Some(50.0), None, None, Some(44.0)]
    );
    let rain = series.amounts(fairspell::series::Element::Rain).unwrap();
    let highs: Vec<Option<i64>> = (0..6)
        .map(|hour| rain.of_hour(hour).unwrap().high_um)
        .collect();
    assert_eq!(highs, [Some(0), None, Some(0), Some(2540), None, Some(0)]);
    let rows: Vec<bool> = (0..6).map(|hour| series.has_row(hour)).collect();
    assert_eq!(rows, [true, true, true, true, false, true]);
}
