//! How long one `decide` takes on a seven-day forecast: from parsed series, from the bytes of a plain CSV, with the
//! built-in oil rules and with the rules on read columns alone, and for a year of hours beside a week.
//!
//! `cargo bench -p fairspell-tests` prints the table. Each benchmark checks its answer once before it is timed.

use std::fmt::Write as _;

use divan::{Bencher, black_box};
use fairspell::decision::{Decision, Question, Surety, Verdict, decide, decide_surely};
use fairspell::operation::{Measure, Operation};
use fairspell::read::{Reading, Source, read_hourly};
use fairspell::series::Element;
use fairspell::site::Site;
use fairspell_tests::binary;

/// Monday 8 March 2027, 00:00 UTC.
const START: i64 = 1_804_464_000;

fn main() {
    divan::main();
}

fn site() -> Site {
    let bytes = include_bytes!("../../data/demo/site.toml");
    Site::read(Source {
        name: "site.toml",
        bytes,
    })
    .unwrap_or_default()
}

/// Hours of the sort that a late winter brings: mild days, a freeze some nights, rain now and then.
fn csv(hours: i64) -> String {
    let mut csv = String::from(
        "time,temperature_f,rain_in,rain_chance_pct,humidity_pct,wind_mph,gust_mph,cloud_pct\n",
    );
    for hour in 0..hours {
        let time = chrono::DateTime::from_timestamp(START + 3600 * hour, 0).unwrap_or_default();
        let (day, of_day) = (hour / 24, hour % 24);
        let temperature = 38 + (of_day - 6).clamp(0, 8) * 2 - i64::from(day % 5 == 4) * 9;
        let rain = if day % 4 == 3 && of_day > 12 {
            "0.02"
        } else {
            "0.00"
        };
        let (chance, humidity, wind) = (of_day % 20, 50 + (hour * 7) % 45, 2 + (hour * 3) % 12);
        let time = time.format("%Y-%m-%dT%H:%M:%SZ");
        let row = writeln!(
            csv,
            "{time},{temperature},{rain},{chance},{humidity},{wind},{},{}",
            wind + 6,
            hour % 100
        );
        assert!(row.is_ok());
    }
    csv
}

fn read(csv: &str) -> Reading {
    let reading = read_hourly(
        Source {
            name: "bench.csv",
            bytes: csv.as_bytes(),
        },
        None,
    );
    assert!(reading.is_ok(), "{reading:?}");
    reading.unwrap_or_else(|_| unreachable!())
}

/// The built-in oil rules, or those of them that look at columns of the file alone.
fn oil(is_read_only: bool) -> Operation {
    let oil = Operation::built_in("oil");
    assert!(oil.is_some());
    let mut oil = oil.unwrap_or_else(|| unreachable!());
    if is_read_only {
        oil.rules
            .retain(|rule| matches!(rule.measure, Measure::Read(_)));
        assert_eq!(oil.rules.len(), 15);
    }
    oil
}

fn answer(forecast: &Reading, operation: &Operation, site: &Site) -> Option<Decision> {
    decide(&Question {
        forecast,
        operation,
        site,
        at: START + 6 * 3600,
        until: Some(START + 30 * 3600),
        is_dry_now: false,
        is_strict: false,
        explain: None,
    })
    .ok()
}

fn bench_decide(bencher: Bencher, hours: i64, is_read_only: bool) {
    let (forecast, operation, site) = (read(&csv(hours)), oil(is_read_only), site());
    assert!(
        forecast
            .members
            .iter()
            .all(|series| series.has(Element::Rain))
    );
    let checked = answer(&forecast, &operation, &site);
    assert!(checked.is_some_and(|decision| decision.verdict == Verdict::Go));
    bencher.bench_local(|| {
        answer(
            black_box(&forecast),
            black_box(&operation),
            black_box(&site),
        )
    });
}

#[divan::bench]
fn week_from_series_with_the_oil_rules(bencher: Bencher) {
    bench_decide(bencher, 168, false);
}

#[divan::bench]
fn week_from_series_with_rules_on_read_columns(bencher: Bencher) {
    bench_decide(bencher, 168, true);
}

/// With the confidence of every spell: the contract, section 9, asks for less than 3 ms.
#[divan::bench]
fn week_from_series_with_confidence(bencher: Bencher) {
    let (forecast, operation, site) = (read(&csv(168)), oil(false), site());
    let question = Question {
        forecast: &forecast,
        operation: &operation,
        site: &site,
        at: START + 6 * 3600,
        until: Some(START + 30 * 3600),
        is_dry_now: false,
        is_strict: false,
        explain: None,
    };
    let surety = Surety::default();
    let checked = decide_surely(&question, &surety).ok();
    let known = checked.is_some_and(|decision| {
        let mut spells = decision.spells.iter();
        spells.all(|spell| {
            decision
                .confidence(spell)
                .is_some_and(|own| own.probability.is_some())
        })
    });
    assert!(known);
    bencher.bench_local(|| decide_surely(black_box(&question), &surety));
}

#[divan::bench]
fn year_from_series_with_the_oil_rules(bencher: Bencher) {
    bench_decide(bencher, 8760, false);
}

#[divan::bench]
fn year_from_series_with_rules_on_read_columns(bencher: Bencher) {
    bench_decide(bencher, 8760, true);
}

#[divan::bench]
fn week_from_the_bytes_of_a_csv(bencher: Bencher) {
    let (csv, operation, site) = (csv(168), oil(false), site());
    bencher.bench_local(|| answer(&read(black_box(&csv)), &operation, &site));
}

#[divan::bench]
fn week_to_json(bencher: Bencher) {
    let (forecast, operation, site) = (read(&csv(168)), oil(false), site());
    let decision = answer(&forecast, &operation, &site);
    assert!(decision.is_some());
    bencher.bench_local(|| black_box(&decision).as_ref().map(Decision::to_json));
}

/// The whole process, from its start to its end: forecast, observed hours and site from files, the text answer.
#[divan::bench(sample_count = 50)]
fn process_from_files_to_text(bencher: Bencher) {
    let run = || {
        let arguments = "decide oil data/demo/forecast.csv --site data/demo/site.toml \
            --observed data/demo/observed.csv --at 2027-03-08T06:00";
        let arguments: Vec<&str> = arguments.split_whitespace().collect();
        binary::run(binary::workspace(), &arguments)
    };
    assert_eq!(run().code, Some(1));
    bencher.bench_local(run);
}
