//! Answers through the C library: its JSON is the command line's to the last byte, its numbers are the core's to the last bit.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use fairspell::decision::{Question, Surety, decide_surely};
use fairspell::freeze::{Settings, StationFreezes};
use fairspell::operation::Operation;
use fairspell::plant::PlantTable;
use fairspell::quantity::{Quantity, Unit};
use fairspell::read::daily::{DailyOptions, read_daily};
use fairspell::read::{Source, read_hourly};
use fairspell::site::{Hemisphere, Site};
use fairspell::work::in_garden;
use fairspell_tests::binary::{self, workspace};
use fairspell_tests::c::{Language, Link, compiled, run};

/// Monday 8 March 2027, 06:00 -06:00, of the demo.
const MONDAY: i64 = 1_804_507_200;

fn demo() -> PathBuf {
    workspace().join("data/demo")
}

fn answers(what: &str) -> String {
    let source = workspace().join("tests/c/answers.c");
    let ran = run(&[], &compiled_once(&source), &[what]);
    assert_eq!(
        (ran.code, ran.stderr.as_str()),
        (Some(0), ""),
        "{}",
        ran.stdout
    );
    ran.stdout
}

/// The program of these checks, compiled once although several of them run at a time.
fn compiled_once(source: &Path) -> PathBuf {
    static PROGRAM: OnceLock<PathBuf> = OnceLock::new();
    PROGRAM
        .get_or_init(|| compiled(source, Language::C99, Link::Shared))
        .clone()
}

/// Promise 4: one engine. The JSON through C is the command line's, byte for byte.
#[test]
#[cfg_attr(not(c_tools), ignore = "needs gcc and pkg-config")]
fn json_through_c_is_the_command_lines() {
    let decide = "decide oil forecast.csv --site site.toml --observed observed.csv --record station.csv --explain --format json --at";
    let cases: [(&str, Vec<String>); 6] = [
        ("freeze", vec!["freeze station.csv --on 2027-04-10 --risk 10% --replicates 200 --format json".to_owned()]),
        ("decide", vec![format!("{decide} 2027-03-08T06:00")]),
        (
            "decide-many",
            vec![
                format!("{decide} 2027-03-08T06:00"),
                format!("{decide} 2027-03-08T18:00"),
                format!("{decide} 2027-03-08T06:00").replace("--observed observed.csv ", ""),
            ],
        ),
        ("season", vec!["season station.csv --site site.toml --year 2027 --explain --replicates 200 --format json".to_owned()]),
        ("hindcast", vec!["hindcast oil forecast.csv --site site.toml --log done.csv --forecasts forecast.csv --season 03-01..04-15 --format json".to_owned()]),
        (
            "hindcast-two",
            vec!["hindcast oil forecast.csv observed.csv --site site.toml --log done.csv --forecasts forecast.csv --season 03-01..04-15 --format json".to_owned()],
        ),
    ];
    for (what, lines) in cases {
        let mut ours = String::new();
        for line in lines {
            let ran = binary::run(&demo(), &line.split(' ').collect::<Vec<_>>());
            assert!(ran.stdout.len() > 1000, "{line}: {}", ran.stderr);
            ours += &ran.stdout;
        }
        let through_c = answers(what);
        let apart = ours
            .bytes()
            .zip(through_c.bytes())
            .position(|(a, b)| a != b);
        let around = apart.map(|at| {
            (
                ours.get(at.saturating_sub(40)..at + 40),
                through_c.get(at.saturating_sub(40)..at + 40),
            )
        });
        assert_eq!((around, ours.len()), (None, through_c.len()), "{what}");
    }
}

/// Past hours beside a record take the place of the record's days, all of them where they hold two years.
#[test]
#[cfg_attr(not(c_tools), ignore = "needs gcc and pkg-config")]
fn past_hours_take_the_place_of_the_record() {
    let printed = answers("past");
    let days: Vec<Vec<u32>> = printed
        .lines()
        .map(|line| {
            line.split(' ')
                .map(|number| number.parse().unwrap())
                .collect()
        })
        .collect();
    let [without, with] = &days[..] else {
        panic!("two lines: {printed}")
    };
    assert!(without[2] > 10 && without[1] == 0, "{printed}");
    assert_eq!(with, &[without[0], without[2], 0], "{printed}");
}

/// Hours and days taken out as numbers and put in again as arrays give the answer that the files gave.
#[test]
#[cfg_attr(not(c_tools), ignore = "needs gcc and pkg-config")]
fn columns_give_the_answer_of_the_file() {
    let line = "decide oil forecast.csv --site site.toml --record station.csv --explain --format json --at 2027-03-08T06:00";
    let ran = binary::run(&demo(), &line.split(' ').collect::<Vec<_>>());
    assert!(ran.stdout.len() > 1000, "{}", ran.stderr);
    assert_eq!(answers("columns"), ran.stdout);
}

fn source<'a>(name: &'a str, bytes: &'a [u8]) -> Source<'a> {
    Source { name, bytes }
}

/// A number as the program prints it.
fn put(lines: &mut String, name: &str, value: f64) {
    writeln!(lines, "{name} {:016x}", value.to_bits()).unwrap();
}

/// The numbers of the core on freezes, named as the program names them.
fn freezes_of_the_core(lines: &mut String) {
    let bytes = fs::read(demo().join("station.csv")).unwrap();
    let record = read_daily(source("station.csv", &bytes), DailyOptions::default()).unwrap();
    let fahrenheit = |value| Quantity {
        value,
        unit: Unit::Fahrenheit,
    };
    let settings = Settings {
        thresholds: [36.0, 32.0, 28.0, 24.0].map(fahrenheit).to_vec(),
        hemisphere: Hemisphere::North,
        keeps_suspect: false,
        seed: 1,
        replicates: 200,
        is_brief: false,
    };
    let freezes = StationFreezes::new(&record[0], &settings);
    let spring = &freezes.thresholds[1].spring;
    put(
        lines,
        "freeze_probability",
        spring.freeze_probability().unwrap(),
    );
    let present = spring.present.as_ref().unwrap().quantiles;
    for (place, present) in present.iter().enumerate() {
        let low = spring.conditional_intervals[place].unwrap().0;
        put(lines, "conditional", spring.conditional[place].unwrap());
        put(lines, "conditional_low", low);
        put(lines, "mixed", spring.mixed[place].unwrap_or(f64::NAN));
        put(lines, "present", present.unwrap());
    }
    put(
        lines,
        "trend",
        spring.trend.theil_sen.as_ref().unwrap().slope,
    );
    put(
        lines,
        "trend_p",
        spring.trend.mann_kendall.as_ref().unwrap().p,
    );
    let fit = spring.fits[1].as_ref().unwrap();
    put(lines, "shape", fit.weibull.shape);
    put(lines, "scale", fit.weibull.scale);
    put(lines, "log_likelihood", fit.weibull.log_likelihood);
    put(lines, "ad_a2", fit.weibull.ad_a2);
    put(lines, "high", fit.intervals[2].unwrap().1);
    let on = spring.risk_on("2027-04-10".parse().unwrap()).unwrap();
    put(lines, "risk", on.probability);
    put(lines, "risk_low", on.interval.unwrap().0);
    let between = freezes.thresholds[1].freeze_free.quantiles[1];
    put(lines, "freeze_free", between.unwrap());
}

/// The numbers of the core on oil on Monday morning.
fn decision_of_the_core(lines: &mut String) {
    let [site, forecast, observed] = ["site.toml", "forecast.csv", "observed.csv"]
        .map(|name| fs::read(demo().join(name)).unwrap());
    let site = Site::read(source("site.toml", &site)).unwrap();
    let mut forecast = read_hourly(source("forecast.csv", &forecast), site.zone).unwrap();
    let observed = read_hourly(source("observed.csv", &observed), site.zone).unwrap();
    forecast.members[0] = forecast.members[0]
        .with_observed(&observed.members[0])
        .unwrap();
    let oil = Operation::built_in("oil").unwrap().at_site(&site).unwrap();
    let oil = in_garden(oil, &site, &PlantTable::built_in()).unwrap();
    let question = Question {
        forecast: &forecast,
        operation: &oil,
        site: &site,
        at: MONDAY,
        until: None,
        is_dry_now: false,
        is_strict: false,
        explain: None,
    };
    let decision = decide_surely(&question, &Surety::default()).unwrap();
    for spell in &decision.spells {
        let sure = decision.confidence(spell).unwrap();
        put(lines, "spell", spell.start as f64);
        put(lines, "confidence", sure.probability.unwrap());
        put(lines, "confidence_high", sure.high);
    }
    let hour = &decision.hours[0];
    for found in decision
        .hindrances(hour)
        .iter()
        .chain(&decision.cautions(hour))
    {
        put(lines, "value", found.value);
        put(lines, "limit", found.limit);
        put(lines, "margin", found.margin);
    }
}

/// Promise 4: one engine. Numbers from the accessors have the bits of the core's; NaN stands for what is not known.
#[test]
#[cfg_attr(not(c_tools), ignore = "needs gcc and pkg-config")]
fn numbers_through_c_are_the_cores() {
    let mut ours = String::new();
    freezes_of_the_core(&mut ours);
    decision_of_the_core(&mut ours);
    assert!(ours.lines().count() > 40);
    assert_eq!(ours, answers("numbers"));
}
