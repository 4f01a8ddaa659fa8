//! The Python package: `ffi/python/check` builds the wheel, installs it and runs its checks. Where Python or Java is missing
//! this counts as ignored, and in CI (`CI=true`) fails.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

use std::fs;
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::sync::OnceLock;

use chrono::NaiveDate;
use fairspell::decision::{ExplainAt, Question, Surety, decide_surely};
use fairspell::freeze::{Asked, Settings, StationFreezes};
use fairspell::hindcast::{SeasonSpan, hindcast, read_log};
use fairspell::operation::Operation;
use fairspell::plant::PlantTable;
use fairspell::quantity::{Quantity, Unit};
use fairspell::read::daily::{DailyOptions, DailyReading, read_daily};
use fairspell::read::forecasts::{of_station, read_forecasts};
use fairspell::read::past::{PastReading, read_past_each};
use fairspell::read::{Reading, Source, read_hourly};
use fairspell::season::{SeasonQuestion, SeasonSettings, Waiting, season, stand};
use fairspell::site::{Hemisphere, Site};
use fairspell::work::in_garden;
use fairspell_tests::binary::{self, workspace};
use fairspell_tests::c::{Language, Link, compiled, run};

/// In CI the checks of the Python package must run.
#[test]
fn the_tools_for_python_are_here_in_ci() {
    let is_ci = std::env::var("CI").is_ok_and(|ci| ci == "true");
    assert!(
        cfg!(python_tools) || !is_ci,
        "install Python 3.11 or later with venv, and Java 17 or later"
    );
}

/// The interpreter that has the package, once the package has passed its own checks.
fn checked() -> &'static Result<PathBuf, String> {
    static CHECKED: OnceLock<Result<PathBuf, String>> = OnceLock::new();
    CHECKED.get_or_init(|| {
        let script = workspace().join("ffi/python/check");
        let mut command = Command::new("bash");
        command.arg(script).stdin(Stdio::null());
        // What cargo tells this test is not for the build that the script starts.
        for (name, _) in std::env::vars_os() {
            let is_own = name.to_str().is_some_and(|name| {
                name.starts_with("CARGO_PKG_") || name.starts_with("CARGO_MANIFEST_")
            });
            if is_own {
                command.env_remove(name);
            }
        }
        let done = command.output().map_err(|error| error.to_string())?;
        if !done.status.success() {
            let both = [done.stdout, done.stderr].concat();
            return Err(String::from_utf8_lossy(&both).into_owned());
        }
        let (built, _) = binary::built()?;
        let target = built.parent().ok_or("expected a target folder")?;
        Ok(target.join("python/venv/bin/python"))
    })
}

/// The whole of the package: types, stubs, tests against the command line, doctests, examples, Spark.
#[test]
#[cfg_attr(not(python_tools), ignore = "needs python3 (3.11 or later) and java")]
fn the_package_passes_its_checks() {
    let checked = checked();
    assert!(checked.is_ok(), "{}", checked.as_ref().unwrap_err());
}

/// Promise 4: one engine. Four questions on the demo (invented) asked of the Rust library, of C, of Python and of the command
/// line: the JSON is the same to the last byte, and JSON prints a float so that it reads back as itself, so that all floats are
/// the same to the last bit.
#[test]
#[cfg_attr(
    not(all(c_tools, python_tools)),
    ignore = "needs what builds for C and Python"
)]
fn rust_c_python_and_the_command_line_are_one_engine() {
    let lines = [
        (
            "freeze",
            "freeze station.csv --on 2027-04-10 --risk 10% --replicates 200 --format json",
        ),
        (
            "decide",
            "decide oil forecast.csv --site site.toml --observed observed.csv --record station.csv --explain --format json --at 2027-03-08T06:00",
        ),
        (
            "season",
            "season station.csv --site site.toml --year 2027 --explain --replicates 200 --format json",
        ),
        (
            "hindcast",
            "hindcast oil forecast.csv --site site.toml --log done.csv --forecasts forecast.csv --season 03-01..04-15 --format json",
        ),
    ];
    let in_c = compiled(
        &workspace().join("tests/c/answers.c"),
        Language::C99,
        Link::Shared,
    );
    let python = checked().as_ref().unwrap();
    for (what, line) in lines {
        let of_program = binary::run(&demo(), &line.split(' ').collect::<Vec<_>>());
        let printed = of_program.stdout;
        assert!(printed.len() > 1000, "{what}: {}", of_program.stderr);
        let of_c = run(&[], &in_c, &[what]);
        same(&printed, &of_c.stdout, &format!("C: {what}"));
        let of_python = Command::new(python)
            .arg(workspace().join("tests/python/answers.py"))
            .arg(what)
            .current_dir(demo())
            .output()
            .unwrap();
        assert_eq!(
            String::from_utf8_lossy(&of_python.stderr),
            "",
            "Python: {what}"
        );
        same(
            &printed,
            &String::from_utf8_lossy(&of_python.stdout),
            &format!("Python: {what}"),
        );
        same(
            &printed,
            &(of_the_core(what) + "\n"),
            &format!("Rust: {what}"),
        );
    }
}

/// The same text; if not, what stands around the first difference.
fn same(printed: &str, other: &str, whose: &str) {
    let apart = printed.bytes().zip(other.bytes()).position(|(a, b)| a != b);
    let around = |text: &str| {
        let bytes = text
            .bytes()
            .skip(apart.unwrap_or_default().saturating_sub(60));
        String::from_utf8_lossy(&bytes.take(120).collect::<Vec<_>>()).into_owned()
    };
    assert_eq!(
        apart.map(|_| around(other)),
        apart.map(|_| around(printed)),
        "{whose}"
    );
    assert_eq!(other.len(), printed.len(), "{whose}");
}

fn demo() -> PathBuf {
    workspace().join("data/demo")
}

/// A file of the demo and its name, as the core takes it.
struct File(&'static str, Vec<u8>);

impl File {
    fn new(name: &'static str) -> Self {
        Self(name, fs::read(demo().join(name)).unwrap())
    }

    fn source(&self) -> Source<'_> {
        Source {
            name: self.0,
            bytes: &self.1,
        }
    }
}

fn site() -> Site {
    Site::read(File::new("site.toml").source()).unwrap()
}

fn record() -> DailyReading {
    read_daily(File::new("station.csv").source(), DailyOptions::default())
        .unwrap()
        .remove(0)
}

fn hours(name: &'static str) -> Reading {
    read_hourly(File::new(name).source(), site().zone).unwrap()
}

/// The same by the Rust library alone.
fn of_the_core(what: &str) -> String {
    match what {
        "freeze" => freeze_of_the_core(),
        "decide" => decision_of_the_core(),
        "season" => season_of_the_core(),
        _ => hindcast_of_the_core(),
    }
}

fn freeze_of_the_core() -> String {
    let unit = Unit::Fahrenheit;
    let station = StationFreezes::new(
        &record(),
        &Settings {
            thresholds: [36.0, 32.0, 28.0, 24.0]
                .map(|value| Quantity { value, unit })
                .to_vec(),
            hemisphere: Hemisphere::North,
            keeps_suspect: false,
            seed: 1,
            replicates: 200,
            is_brief: false,
        },
    );
    station.to_json(Asked {
        on: NaiveDate::from_ymd_opt(2027, 4, 10),
        risk: Some(0.1),
    })
}

fn decision_of_the_core() -> String {
    let (site, table) = (site(), PlantTable::built_in());
    let mut forecast = hours("forecast.csv");
    let observed = hours("observed.csv");
    forecast.members[0] = forecast.members[0]
        .with_observed(&observed.members[0])
        .unwrap();
    let oil = Operation::built_in("oil").unwrap().at_site(&site).unwrap();
    let oil = in_garden(oil, &site, &table).unwrap();
    let question = Question {
        forecast: &forecast,
        operation: &oil,
        site: &site,
        at: 1_804_507_200, // Monday 8 March 2027, 06:00 -06:00
        until: None,
        is_dry_now: false,
        is_strict: false,
        explain: Some(ExplainAt::Best),
    };
    let mut decision = decide_surely(&question, &Surety::default()).unwrap();
    decision.lay_garden(&question, &table).unwrap();
    let waiting = Waiting {
        missed: None,
        past: None,
    };
    stand(&record().series, (&site, &table), &mut decision, waiting).unwrap();
    decision.to_json()
}

fn season_of_the_core() -> String {
    let settings = SeasonSettings {
        replicates: 200,
        ..SeasonSettings::default()
    };
    let reading = record();
    let mut season = season(&SeasonQuestion {
        record: &reading.series,
        site: &site(),
        table: &PlantTable::built_in(),
        year: 2027,
        observed: None,
        settings: &settings,
    })
    .unwrap();
    season.note_values(reading.left_out, reading.series.is_whole_fahrenheit());
    let explained = season.explain(&settings);
    season.to_json_explained(&explained)
}

fn hindcast_of_the_core() -> String {
    let site = site();
    let mut readings: Vec<PastReading> = Vec::new();
    read_past_each(
        File::new("forecast.csv").source(),
        site.zone,
        |reading, _| {
            readings.push(reading.clone());
            Ok::<(), fairspell::error::ReadError>(())
        },
    )
    .unwrap();
    let past = &readings[0];
    let log = read_log(File::new("done.csv").source(), site.zone).unwrap();
    let archive = read_forecasts(File::new("forecast.csv").source(), site.zone).unwrap();
    let mut answer = hindcast(&fairspell::hindcast::Question {
        station: &past.station,
        past: &past.hours,
        position: past.position,
        operation: &Operation::built_in("oil").unwrap().at_site(&site).unwrap(),
        site: &site,
        season: Some(SeasonSpan::parse("03-01..04-15").unwrap()),
        log: &log,
        forecasts: &of_station(&archive.stations, &past.station),
        is_brief: false,
    })
    .unwrap();
    answer
        .notices
        .extend(past.notices.iter().map(ToString::to_string));
    answer.note_others(log.len());
    answer.note_no_forecasts(true);
    answer.to_json()
}
