//! What must be true of any bytes: one function a reader, for the fuzzer (`tests/fuzz`) and for the replay of what it found.
//!
//! Source: the contract, section 6: a file of any bytes gives an answer or an error, never a panic; style, (b): an error is
//! one line that no hostile file can write to a terminal.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::missing_panics_doc,
    reason = "checks may stop at the first surprise"
)]

use chrono_tz::Tz;
use fairspell::decision::{Question, Surety, Verdict, decide_surely};
use fairspell::error::ReadError;
use fairspell::hindcast::read_log;
use fairspell::operation::Operation;
use fairspell::plant::PlantTable;
use fairspell::read::daily::{DailyOptions, SummaryUnits, read_daily_each};
use fairspell::read::forecasts::read_forecasts;
use fairspell::read::past::read_past_each;
use fairspell::read::{Reading, Source, read_hourly};
use fairspell::series::{Element, HourlySeries};
use fairspell::site::Site;
use fairspell::spell::State;

/// A target: its name, which is that of its corpus, and what it does.
pub type Target = (&'static str, fn(&[u8]));

/// All targets. Formats that one function reads have a corpus each.
pub const TARGETS: [Target; 17] = [
    ("hourly_csv", hourly),
    ("nws_gridpoint", hourly),
    ("nws_hourly", hourly),
    ("nws_observations", hourly),
    ("locationforecast", hourly),
    ("ghcn_hourly", hourly),
    ("daily_plain", daily),
    ("daily_by_station", daily),
    ("daily_fixed", daily),
    ("daily_summaries", daily),
    ("past_hours", past),
    ("forecasts", forecasts),
    ("operation", operation),
    ("site", site),
    ("plants", plants),
    ("log", log),
    ("decision", decision),
];

const NAME: &str = "a.csv";
/// The longest error worth reading: 40 bytes are quoted, escaped at worst to six letters each.
const LONGEST_ERROR: usize = 700;
/// A place whose clock changes.
const ZONES: [Option<Tz>; 2] = [None, Some(Tz::America__Chicago)];

fn source(bytes: &[u8]) -> Source<'_> {
    Source { name: NAME, bytes }
}

/// One line that names the file, and nothing that a terminal would take as an order.
fn told(error: &impl ToString) {
    let text = error.to_string();
    assert!(text.starts_with(NAME), "{text:?}");
    assert!(text.len() <= LONGEST_ERROR, "{text:?}");
    assert!(!text.chars().any(char::is_control), "{text:?}");
}

/// Any hourly format.
pub fn hourly(bytes: &[u8]) {
    for zone in ZONES {
        match read_hourly(source(bytes), zone) {
            Ok(reading) => assert_sound(&reading),
            Err(error) => told(&error),
        }
    }
}

/// Members over the same hours; bounds in order, within what can be; text of notices plain.
fn assert_sound(reading: &Reading) {
    let first = &reading.members[0];
    for series in &reading.members {
        assert_eq!(
            (series.start(), series.hours()),
            (first.start(), first.hours())
        );
        assert_values(series);
    }
    for notice in &reading.notices {
        assert!(
            !notice.to_string().chars().any(char::is_control),
            "{notice}"
        );
    }
}

fn assert_values(series: &HourlySeries) {
    for element in Element::ALL {
        let Some(column) = series.column(element) else {
            continue;
        };
        for (hour, low) in column.low().iter().enumerate() {
            let high = column.high()[hour];
            assert!(low.is_nan() == high.is_nan() && (low.is_nan() || low <= &high));
            let believed = element.believed(*low, column.unit_at(hour));
            assert!(low.is_nan() || believed.is_some(), "{element:?} {low}");
        }
    }
}

/// Any daily record; the first byte that is no sign of a format chooses what the user says of it.
pub fn daily(bytes: &[u8]) {
    for (units, is_minima_only) in [
        (None, false),
        (Some(SummaryUnits::Us), true),
        (Some(SummaryUnits::Tenths), false),
    ] {
        let options = DailyOptions {
            units,
            is_whole_fahrenheit: None,
            is_minima_only,
        };
        let read = read_daily_each(source(bytes), options, |reading, _| {
            let series = &reading.series;
            assert!(series.days() > 0 && series.tmin().len() == series.days());
            if let Some(tmax) = series.tmax() {
                assert_eq!(tmax.len(), series.days());
            }
            Ok::<(), ReadError>(())
        });
        if let Err(error) = read {
            told(&error);
        }
    }
}

/// Past hours of one station or many.
pub fn past(bytes: &[u8]) {
    for zone in ZONES {
        let read = read_past_each(source(bytes), zone, |reading, _| {
            let hours = reading.hours.hours();
            let (part, from) = reading.hours.part(0, hours.min(48)).unwrap();
            assert!(hours > 0 && from == 0 && part.hours() >= hours.min(48));
            assert_values(&part);
            Ok::<(), ReadError>(())
        });
        if let Err(error) = read {
            told(&error);
        }
    }
}

/// An archive of forecasts.
pub fn forecasts(bytes: &[u8]) {
    for zone in ZONES {
        match read_forecasts(source(bytes), zone) {
            Ok(archive) => {
                let mut all = archive.stations.values().flatten();
                assert!(all.all(|one| one.valid >= one.issued && one.celsius.is_finite()));
            }
            Err(error) => told(&error),
        }
    }
}

/// An operation file.
pub fn operation(bytes: &[u8]) {
    match Operation::read(source(bytes)) {
        Ok(operation) => assert!(!operation.rules.is_empty() && operation.hours_needed >= 1),
        Err(error) => told(&error),
    }
}

/// A site file.
pub fn site(bytes: &[u8]) {
    match Site::read(source(bytes)) {
        Ok(site) => assert!(site.latitude.is_none_or(|latitude| latitude.abs() <= 90.0)),
        Err(error) => told(&error),
    }
}

/// A plants table.
pub fn plants(bytes: &[u8]) {
    match PlantTable::read(source(bytes)) {
        Ok(table) => assert!(
            table
                .plants
                .iter()
                .all(|plant| table.named(&plant.name).is_some())
        ),
        Err(error) => told(&error),
    }
}

/// A log of what was done.
pub fn log(bytes: &[u8]) {
    for zone in ZONES {
        match read_log(source(bytes), zone) {
            Ok(log) => assert!(log.iter().all(|done| done.note.len() <= 200)),
            Err(error) => told(&error),
        }
    }
}

/// A forecast under the built-in rules: a go has its run of fair hours in the window, and every format of JSON reads back.
pub fn decision(bytes: &[u8]) {
    let Ok(reading) = read_hourly(source(bytes), Some(Tz::America__Chicago)) else {
        return;
    };
    if reading.members[0].hours() > 1000 {
        return; // a long file only takes long
    }
    let site = Site {
        zone: Some(Tz::America__Chicago),
        latitude: Some(42.4),
        longitude: Some(-88.1),
        ..Site::default()
    };
    for name in ["oil", "prune"] {
        let operation = Operation::built_in(name).unwrap();
        let at = reading.members[0].start();
        let question = Question {
            forecast: &reading,
            operation: &operation,
            site: &site,
            at,
            until: Some(at + 36 * 3600),
            is_dry_now: false,
            is_strict: false,
            explain: None,
        };
        match decide_surely(&question, &Surety::default()) {
            Ok(decision) => {
                let json: serde_json::Value = serde_json::from_str(&decision.to_json()).unwrap();
                assert_eq!(json["verdict"], decision.verdict.name());
                let inside = decision
                    .hours
                    .iter()
                    .filter(|hour| hour.time < at + 36 * 3600);
                let states: Vec<State> = inside.map(|hour| hour.state).collect();
                let needed = operation.hours_needed as usize;
                let has_run = states
                    .split(|state| *state != State::Fair)
                    .any(|run| run.len() >= needed);
                assert!(decision.verdict != Verdict::Go || has_run);
            }
            Err(error) => assert!(!error.to_string().chars().any(char::is_control)),
        }
    }
}
