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

use chrono::{Datelike as _, NaiveDate};
use fairspell::decision::{Advice, Decision, Question, Verdict, Wait, decide};
use fairspell::operation::Operation;
use fairspell::plant::PlantTable;
use fairspell::read::{Source, parse_time, read_hourly};
use fairspell::season::{NoWeighing, Season, SeasonQuestion, SeasonSettings, season};
use fairspell::series::DailySeries;
use fairspell::site::Site;
use fairspell_tests::week::{SITE, Week, hour};
use fairspell_tests::winters::{Winters, date, invented, quick, series};

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
        self.season().weigh(&self.question(), &decision, missed)
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
    assert_eq!(wait.days, (5, chances.len() - 5));
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
    assert_eq!(wait.days.0, 6);
}

/// Pruning: cutting early is harmed by late freezes, so that waiting can pay; never past the season's end, and the more
/// it costs to miss the season, the sooner it is time to go.
#[test]
fn waiting_never_goes_past_the_seasons_end() {
    for warmer in [-2.0, 1.0, 4.0] {
        let case = Case::new(&invented(1990..2012, warmer));
        let Ok(prune) = case.season().exposed().unwrap().prune else {
            continue;
        };
        let mut went = false;
        for missed in [0.0, 0.1, 1.0, 100.0] {
            let decision = case.decided("prune", &Week::default(), "2027-03-10T09:00-06:00");
            let weighed = case.season().weigh(&case.question(), &decision, missed);
            if date(2027, 3, 10) > prune.dates.to {
                assert_eq!(weighed, Err(NoWeighing::Closed));
                continue;
            }
            let wait = weighed.unwrap();
            if let Advice::WaitUntil(until) = wait.advice {
                assert!(until > date(2027, 3, 10) && until <= prune.dates.to);
                assert!(!went, "waits at {missed}, went for less");
                assert!(wait.now.unwrap() > wait.waiting);
            }
            went |= wait.advice == Advice::GoNow;
        }
    }
}

#[test]
fn what_cannot_be_weighed_says_why() {
    let case = Case::new(&invented(1990..2012, 1.0));
    let plan = case.season();
    let at = |operation: &str, at: &str| {
        let decision = case.decided(operation, &Week::default(), at);
        plan.weigh(&case.question(), &decision, 1.0)
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

    let copper = include_bytes!("../../data/operations/examples/copper.toml");
    let copper = Operation::read(Source {
        name: "copper.toml",
        bytes: copper,
    })
    .unwrap();
    let mut decision = case.decided("oil", &Week::default(), "2027-03-10T09:00-06:00");
    decision.operation = copper;
    assert_eq!(
        plan.weigh(&case.question(), &decision, 1.0),
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
