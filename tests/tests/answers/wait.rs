//! Going now against waiting, on the invented week of the truth tables and invented winters.
//!
//! Source: the project's handbook, statistics §10 (recursion, what a day's chance is taken from, traps); the contract,
//! §5. The losses and chances below are taken by plain loops; the recursion is checked with the handbook's table beside
//! the code.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::collections::BTreeMap;
use std::fmt::Write as _;

use chrono::{Datelike as _, NaiveDate};
use fairspell::decision::{Advice, DaysBy, Decision, Question, Verdict, Wait, decide};
use fairspell::hindcast::{self, Hindcast, MonthDay, hindcast};
use fairspell::operation::Operation;
use fairspell::plant::PlantTable;
use fairspell::read::{Reading, Source, parse_time, read_hourly};
use fairspell::season::{NoWeighing, Season, SeasonQuestion, SeasonSettings, Waiting, season};
use fairspell::series::{DailySeries, Hours};
use fairspell::site::Site;
use fairspell::spell::State;
use fairspell_tests::week::{SITE, Week, hour};
use fairspell_tests::winters::{Winters, date, invented, quick, series};
use serde_json::Value;

fn losing(missed: f64) -> Waiting<'static> {
    Waiting {
        missed: Some(missed),
        past: None,
    }
}

struct Case {
    record: DailySeries,
    site: Site,
    table: PlantTable,
    settings: SeasonSettings,
}

impl Case {
    fn new(record: &Winters) -> Self {
        let bytes = SITE.as_bytes();
        let name = "site.toml";
        Self {
            record: series(record),
            site: Site::read(Source { name, bytes }).unwrap(),
            table: PlantTable::built_in(),
            settings: quick(),
        }
    }

    fn question(&self) -> SeasonQuestion<'_> {
        SeasonQuestion {
            record: &self.record,
            site: &self.site,
            table: &self.table,
            year: 2027,
            observed: None,
            settings: &self.settings,
        }
    }

    fn season(&self) -> Season {
        season(&self.question()).unwrap()
    }

    fn decided(&self, operation: &str, week: &Week, at: &str) -> Decision {
        let csv = week.csv();
        let source = Source {
            name: "week.csv",
            bytes: csv.as_bytes(),
        };
        let zone = self.site.zone;
        decide(&Question {
            forecast: &read_hourly(source, zone).unwrap(),
            operation: &Operation::built_in(operation).unwrap(),
            site: &self.site,
            at: parse_time(at, zone, None).unwrap(),
            until: None,
            is_dry_now: false,
            is_strict: false,
            explain: None,
        })
        .unwrap()
    }

    fn weighed(&self, operation: &str, week: &Week, missed: f64) -> Result<Wait, NoWeighing> {
        let decision = self.decided(operation, week, "2027-03-10T09:00-06:00");
        self.season()
            .weigh(&self.question(), &decision, losing(missed))
    }
}

/// Share of days within a week of a date, over all years, on which a night of at least `night` °C follows for `nights`
/// nights, and whose maximum is at least `day` °C; by plain loops.
fn share(days: &Winters, on: NaiveDate, (day, night, nights): (f64, f64, u64)) -> f64 {
    let is_near = |other: &NaiveDate| {
        let same = NaiveDate::from_ymd_opt(other.year(), on.month(), on.day()).unwrap();
        let numbered = |date: NaiveDate| {
            i64::from(date.ordinal()) - i64::from(date.leap_year() && date.ordinal() > 59)
        };
        other.month() <= 7 && (numbered(*other) - numbered(same)).abs() <= 7
    };
    let all: Vec<bool> = days
        .iter()
        .filter(|(other, _)| is_near(other))
        .filter_map(|(other, (_, high))| {
            let mut follows = (1..=nights).map(|after| {
                days.get(&(*other + chrono::Days::new(after)))
                    .map(|(low, _)| *low >= night)
            });
            let nights: Option<Vec<bool>> = follows.by_ref().collect();
            Some(*high >= day && nights?.into_iter().all(|night| night))
        })
        .collect();
    all.iter().filter(|usable| **usable).count() as f64 / all.len() as f64
}

/// Oil on the week as it is: 10 March is fit; of the days after, the forecast says the 11th to the 15th are fit (the rule
/// of 24 h after is covered), the 16th is not covered and goes by the record, as do all days to the end of the season.
#[test]
fn days_of_the_forecast_and_of_the_record_are_weighed_together() {
    let winters = invented(1990..2012, -1.5);
    let case = Case::new(&winters);
    let plan = case.season();
    let oil = plan.exposed().unwrap().oil.unwrap();
    assert!(oil.to > date(2027, 3, 20), "{}", oil.to);
    let wait = case.weighed("oil", &Week::default(), 1.0).unwrap();
    let loss = |on: NaiveDate| {
        let of = plan
            .exposed()
            .unwrap()
            .damage
            .iter()
            .find(|of| of.date == on)
            .unwrap();
        0.5 * of.broken.probability().unwrap()
    };
    let days = date(2027, 3, 11).iter_days().take_while(|on| *on <= oil.to);
    let chances: Vec<(f64, f64)> = days
        .map(|on| {
            let usable = if on <= date(2027, 3, 15) {
                1.0
            } else {
                share(&winters, on, (40.0 / 1.8 - 32.0 / 1.8, 0.0, 1))
            };
            (usable, loss(on))
        })
        .collect();
    let by = DaysBy {
        forecast: 5,
        hours: 0,
        record: chances.len() - 5,
    };
    assert_eq!(wait.days, by);
    let mut next = 1.0;
    for (usable, loss) in chances.iter().rev() {
        next = usable * f64::min(*loss, next) + (1.0 - usable) * next;
    }
    assert!(
        (wait.waiting - next).abs() < 1e-12,
        "{} {next}",
        wait.waiting
    );
    assert_eq!(
        (wait.now, wait.closes, wait.missed),
        (Some(loss(date(2027, 3, 10))), oil.to, 1.0)
    );
    assert!((wait.later - 1.0).abs() < 1e-12); // the 11th is fit
    assert_ne!(wait.advice, Advice::NoSpellNow);
}

/// Where buds are breaking already, going and waiting both lose: by the weight of broken buds times their share. Rain from
/// the 11th on leaves the record's days alone, to the day on which all buds have broken.
#[test]
fn losses_are_weighted_shares_of_broken_buds() {
    let winters = invented(1990..2012, 3.0);
    let mut case = Case::new(&winters);
    case.settings.most_broken_oil = 0.99;
    case.settings.weights.after_bud_break = 0.3;
    let plan = case.season();
    let oil = plan.exposed().unwrap().oil.unwrap();
    let week = Week::default().with("rain_mm", hour(2, 0)..hour(7, 0), "0.5");
    let wait = case.weighed("oil", &week, 1.0).unwrap();
    let loss = |on: NaiveDate| {
        let of = plan
            .exposed()
            .unwrap()
            .damage
            .iter()
            .find(|of| of.date == on)
            .unwrap();
        0.3 * of.broken.probability().unwrap()
    };
    let now = loss(date(2027, 3, 10));
    assert!(now > 0.02 && oil.to > date(2027, 3, 20), "{now} {}", oil.to);
    assert!((wait.now.unwrap() - now).abs() < 1e-12);
    let mut next = 1.0;
    let days = date(2027, 3, 11).iter_days().take_while(|on| *on <= oil.to);
    for on in days.collect::<Vec<_>>().into_iter().rev() {
        let usable = if on <= date(2027, 3, 16) {
            0.0
        } else {
            share(&winters, on, (8.0 / 1.8, 0.0, 1))
        };
        next = usable * f64::min(loss(on), next) + (1.0 - usable) * next;
    }
    assert!(
        (wait.waiting - next).abs() < 1e-12,
        "{} {next}",
        wait.waiting
    );
    assert!(wait.waiting > now && wait.advice == Advice::GoNow);
}

/// Five late winters of invented hours on the site's clock: 50 °F and dry, but for rain at noon of some days, and days whose
/// temperature is missing.
fn past_hours() -> String {
    let mut csv = String::from("time,temperature_f,rain_mm,humidity_pct,wind_mph\n");
    for on in date(2020, 2, 1)
        .iter_days()
        .take_while(|on| *on <= date(2024, 4, 30))
    {
        let rains = (on.ordinal() * 7 + on.year().unsigned_abs()) % 5 == 0;
        for hour in 0..24 {
            let rain = if rains && hour == 12 { "1.5" } else { "0" };
            let warm = if on.ordinal() % 13 == 0 { "" } else { "50" };
            writeln!(csv, "{on}T{hour:02}:00Z,{warm},{rain},50,3").unwrap();
        }
    }
    csv
}

/// Of the days within a week of a date, over all years: the share with a run of hours fair to `decide`, two hours being
/// needed, among those that its unknown hours do not leave open; counted day by day.
fn share_of_hours(past: &Decision, needed: usize, on: NaiveDate) -> (usize, usize) {
    let mut days: BTreeMap<NaiveDate, Vec<State>> = BTreeMap::new();
    for hour in &past.hours {
        let own = fairspell::read::local_date(hour.time, past.zone).unwrap();
        days.entry(own).or_default().push(hour.state);
    }
    let runs = |states: &[State], is_in: fn(&State) -> bool| {
        states
            .split(|state| !is_in(state))
            .any(|run| run.len() >= needed)
    };
    let near = days.iter().filter(|(day, states)| {
        let own = on.with_year(day.year()).unwrap();
        (**day - own).num_days().abs() <= 7 && states.len() >= 23
    });
    let (mut usable, mut decided) = (0, 0);
    for (_, states) in near {
        let is_usable = runs(states, |state| *state == State::Fair);
        let may_be = runs(states, |state| *state != State::Hindered);
        usable += usize::from(is_usable);
        decided += usize::from(is_usable || !may_be);
    }
    (usable, decided)
}

/// What `hindcast` and what `decide` say of the invented past hours under the oil rules.
fn past_of(case: &Case) -> (Hindcast, Decision, usize) {
    let csv = past_hours();
    let source = Source {
        name: "past.csv",
        bytes: csv.as_bytes(),
    };
    let reading = read_hourly(source, case.site.zone).unwrap();
    let oil = Operation::built_in("oil").unwrap();
    let hours = Hours::from(reading.members[0].clone());
    let answer = answered(&hours, &oil, &case.site);
    let past = every_hour(&reading, &oil, &case.site);
    (answer, past, oil.hours_needed as usize)
}

/// Days of past years around a date, counted day by day.
#[test]
fn days_around_a_date_are_those_counted_one_by_one() {
    let case = Case::new(&invented(1990..2012, -1.5));
    let (answer, past, needed) = past_of(&case);
    for on in date(2027, 1, 20).iter_days().take(120) {
        let own = answer.days_around(MonthDay::of(on), 7);
        assert_eq!(
            (own.usable, own.decided),
            share_of_hours(&past, needed, on),
            "{on}"
        );
    }
}

/// The issue: climatological odds beyond the horizon. Beyond the forecast past hours tell by all rules, day by day as counted
/// here; days around which they hold fewer than thirty go by the record.
#[test]
fn beyond_the_forecast_past_hours_tell_by_all_rules() {
    let winters = invented(1990..2012, -1.5);
    let case = Case::new(&winters);
    let (answer, past, needed) = past_of(&case);
    let rain = Week::default().with("rain_mm", hour(2, 0)..hour(7, 0), "0.5");
    let decision = case.decided("oil", &rain, "2027-03-10T09:00-06:00");
    let waiting = Waiting {
        missed: Some(1.0),
        past: Some(&answer),
    };
    let plan = case.season();
    let wait = plan.weigh(&case.question(), &decision, waiting).unwrap();
    let damage = &plan.exposed().unwrap().damage;
    let loss = |on: NaiveDate| {
        let of = damage.iter().find(|of| of.date == on).unwrap();
        0.5 * of.broken.probability().unwrap()
    };
    let (mut next, mut none, mut by) = (1.0, 1.0, DaysBy::default());
    let days = date(2027, 3, 11)
        .iter_days()
        .take_while(|on| *on <= wait.closes);
    let mut shares = Vec::new();
    for on in days.collect::<Vec<_>>().into_iter().rev() {
        let (usable, decided) = share_of_hours(&past, needed, on);
        let chance = if on <= date(2027, 3, 16) {
            by.forecast += 1;
            0.0
        } else if decided >= 30 {
            by.hours += 1;
            shares.push(usable as f64 / decided as f64);
            usable as f64 / decided as f64
        } else {
            by.record += 1;
            share(&winters, on, (8.0 / 1.8, 0.0, 1))
        };
        next = chance * f64::min(loss(on), next) + (1.0 - chance) * next;
        none *= 1.0 - chance;
    }
    assert!(
        shares.iter().all(|share| *share > 0.2 && *share < 0.9),
        "{shares:?}"
    );
    assert_eq!(wait.days, by);
    assert!(by.hours > 5, "{by:?}");
    let later = 1.0 - none;
    assert!((wait.later - later).abs() < 1e-13 && none > 1e-12, "{none}");
    assert!(
        (wait.waiting - next).abs() < 1e-12,
        "{} {next}",
        wait.waiting
    );
    assert!(
        wait.text().contains("by past hours under all rules"),
        "{}",
        wait.text()
    );
}

/// What `decide` says of all hours of a reading.
fn every_hour(reading: &Reading, operation: &Operation, site: &Site) -> Decision {
    let start = reading.members[0].start();
    decide(&Question {
        forecast: reading,
        operation,
        site,
        at: start,
        until: Some(start + 3600),
        is_dry_now: false,
        is_strict: false,
        explain: None,
    })
    .unwrap()
}

fn answered(past: &Hours, operation: &Operation, site: &Site) -> Hindcast {
    hindcast(&hindcast::Question {
        station: "",
        past,
        position: None,
        operation,
        site,
        season: None,
        log: &[],
        forecasts: &[],
        is_brief: false,
    })
    .unwrap()
}

/// Nothing but hindered hours in the forecast: no spell now; what is left is the record's chance.
#[test]
fn without_a_spell_now_the_chance_of_a_later_one_is_told() {
    let winters = invented(1990..2012, 1.0);
    let case = Case::new(&winters);
    let rain = Week::default().with("rain_mm", 0..hour(7, 0), "0.5");
    let wait = case.weighed("oil", &rain, 1.0).unwrap();
    assert_eq!((wait.advice, wait.now), (Advice::NoSpellNow, None));
    let days = date(2027, 3, 17)
        .iter_days()
        .take_while(|on| *on <= wait.closes);
    let none: f64 = days
        .map(|on| 1.0 - share(&winters, on, (8.0 / 1.8, 0.0, 1)))
        .product();
    assert!(
        (wait.later - (1.0 - none)).abs() < 1e-12,
        "{} {}",
        wait.later,
        1.0 - none
    );
    assert_eq!(wait.days.forecast, 6);
}

/// Pruning: cutting early is harmed by late freezes, so that waiting can pay; never past the season's end, and the more
/// it costs to miss the season, the sooner it is time to go.
#[test]
fn waiting_never_goes_past_the_seasons_end() {
    let mut waited = false;
    for warmer in [-2.0, 1.0, 4.0] {
        let case = Case::new(&invented(1990..2012, warmer));
        let Ok(prune) = case.season().exposed().unwrap().prune else {
            continue;
        };
        let mut went = false;
        for missed in [0.0, 0.1, 1.0, 100.0] {
            let decision = case.decided("prune", &Week::default(), "2027-03-10T09:00-06:00");
            let weighed = case
                .season()
                .weigh(&case.question(), &decision, losing(missed));
            if date(2027, 3, 10) > prune.dates.to {
                assert_eq!(weighed, Err(NoWeighing::Closed));
                continue;
            }
            let wait = weighed.unwrap();
            if let Advice::WaitUntil(until) = wait.advice {
                assert!(until > date(2027, 3, 10) && until <= prune.dates.to);
                assert!(!went, "waits at {missed}, went for less");
                assert!(wait.now.unwrap() > wait.waiting);
                let mut decision = decision;
                decision.wait = Some(wait.clone());
                let json: Value = serde_json::from_str(&decision.to_json()).unwrap();
                assert_eq!(json["wait"]["wait_until"], until.to_string());
                waited = true;
            }
            went |= wait.advice == Advice::GoNow;
        }
    }
    assert!(waited, "no case in which waiting pays");
}

#[test]
fn what_cannot_be_weighed_says_why() {
    let case = Case::new(&invented(1990..2012, 1.0));
    let plan = case.season();
    let at = |operation: &str, at: &str| {
        let decision = case.decided(operation, &Week::default(), at);
        plan.weigh(&case.question(), &decision, losing(1.0))
    };
    assert_eq!(
        at("oil", "2026-11-10T09:00-06:00"),
        Err(NoWeighing::OutOfSeason)
    );
    assert_eq!(
        at("oil", "2028-03-10T09:00-06:00"),
        Err(NoWeighing::OutOfSeason)
    );
    assert_eq!(at("oil", "2027-06-10T09:00-06:00"), Err(NoWeighing::Closed));
    assert_eq!(
        case.decided("oil", &Week::default(), "2027-03-10T09:00-06:00")
            .verdict,
        Verdict::Go
    );

    let copper = include_bytes!("../../../data/operations/examples/copper.toml");
    let copper = Operation::read(Source {
        name: "copper.toml",
        bytes: copper,
    })
    .unwrap();
    let mut decision = case.decided("oil", &Week::default(), "2027-03-10T09:00-06:00");
    decision.operation = copper;
    assert_eq!(
        plan.weigh(&case.question(), &decision, losing(1.0)),
        Err(NoWeighing::OtherOperation)
    );

    let mut minima = Case::new(&invented(1990..2012, 1.0));
    let tmin = minima.record.tmin().to_vec();
    minima.record = DailySeries::new(
        "S",
        date(1990, 1, 1),
        tmin,
        fairspell::quantity::Unit::Celsius,
        false,
    )
    .unwrap();
    assert_eq!(
        minima.weighed("oil", &Week::default(), 1.0),
        Err(NoWeighing::NoInterval)
    );
}
