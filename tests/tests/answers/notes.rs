//! What an answer says beside its verdict: each note where its cause is there, and only there.
//!
//! Source: the notes' own definitions in `decision::Note`, and the contract, section 5 (50 km, members); the NWS hourly file is
//! the open copy in `data`. Hours of CSV are invented.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use fairspell::decision::{Note, Question, decide};
use fairspell::operation::Operation;
use fairspell::read::{Source, read_hourly};
use fairspell::site::Site;

/// 10 March 2027, 00:00 UTC.
const START: i64 = 1_804_636_800;

/// Six hours of plain CSV with a column beside the temperature.
fn csv(column: &str, value: &str) -> Vec<u8> {
    let mut csv = format!("time,temperature_f,{column}\n");
    for hour in 0..6 {
        writeln!(csv, "2027-03-10T{hour:02}:00Z,50,{value}").unwrap();
    }
    csv.into_bytes()
}

/// The notes of an answer by one rule, a measure with its limit.
fn notes(bytes: &[u8], (measure, limit): (&str, &str), place: &str) -> Vec<Note> {
    let forecast = read_hourly(
        Source {
            name: "hours",
            bytes,
        },
        None,
    )
    .unwrap();
    let rules = format!(
        "operation = \"work\"\nhours-needed = 1\n[[rule]]\nname = \"limit\"\nmeasure = \"{measure}\"\nat-most = \"{limit}\"\n\
         severity = \"caution\"\nsource = \"Common practice\"\n"
    );
    let operation = Operation::read(Source {
        name: "work.toml",
        bytes: rules.as_bytes(),
    })
    .unwrap();
    let site = format!("zone = \"UTC\"\n{place}");
    let site = Site::read(Source {
        name: "site.toml",
        bytes: site.as_bytes(),
    })
    .unwrap();
    let start = forecast.members[0].start();
    let decision = decide(&Question {
        forecast: &forecast,
        operation: &operation,
        site: &site,
        at: start,
        until: Some(start + 6 * 3600),
        is_dry_now: false,
        is_strict: false,
        explain: None,
    });
    decision.unwrap().notes
}

const WARM: (&str, &str) = ("temperature", "90 °F");
const PLACE: &str = "latitude = 41.9\nlongitude = -87.6\n";

#[test]
fn an_issue_after_the_question_is_said_and_a_missing_one() {
    let of = |issued: i64| {
        let time = chrono::DateTime::from_timestamp(START + issued, 0).unwrap();
        notes(&csv("issued", &time.to_rfc3339()), WARM, "")
    };
    assert!(of(1).contains(&Note::IssuedLater));
    for before in [of(0), of(-1)] {
        assert!(!before.contains(&Note::IssuedLater), "{before:?}");
        assert!(!before.contains(&Note::UnknownAge), "{before:?}");
    }
    let unknown = notes(&csv("rain_in", "0"), WARM, "");
    assert!(unknown.contains(&Note::UnknownAge) && !unknown.contains(&Note::IssuedLater));
}

#[test]
fn members_are_said_from_two_on() {
    let of = |count: usize| {
        let mut csv = String::from("time,temperature_f,member\n");
        for (hour, member) in (0..6).flat_map(|hour| (0..count).map(move |member| (hour, member))) {
            writeln!(csv, "2027-03-10T{hour:02}:00Z,50,m{member}").unwrap();
        }
        let notes = notes(csv.as_bytes(), WARM, "");
        let count = |note: &Note| match note {
            Note::Members { count } => Some(*count),
            _ => None,
        };
        notes.iter().find_map(count)
    };
    assert_eq!([of(1), of(2), of(3)], [None, Some(2), Some(3)]);
}

#[test]
fn a_place_is_missed_only_by_rules_on_the_sun() {
    let said =
        |rule, place| notes(&csv("rain_in", "0"), rule, place).contains(&Note::NoCoordinates);
    for rule in [("daylight", "90 °"), ("sun-elevation", "90 °")] {
        assert!(said(rule, ""), "{rule:?}");
        assert!(!said(rule, PLACE), "{rule:?}");
    }
    assert!(!said(WARM, "") && !said(WARM, PLACE));
}

#[test]
fn an_elevation_is_missed_only_by_rules_on_pressure() {
    let said =
        |rule, place| notes(&csv("humidity_pct", "50"), rule, place).contains(&Note::NoElevation);
    let elevation = format!("{PLACE}elevation = \"200 m\"\n");
    for rule in [
        ("wet-bulb", "90 °F"),
        ("wet-bulb-depression", "30 °C"),
        ("drying-hours", "6 h"),
    ] {
        assert!(said(rule, PLACE), "{rule:?}");
        assert!(!said(rule, &elevation), "{rule:?}");
    }
    assert!(!said(WARM, PLACE) && !said(WARM, &elevation));
}

#[test]
fn wind_is_missed_only_by_rules_on_drying() {
    let said =
        |rule, column, value| notes(&csv(column, value), rule, "").contains(&Note::StillDrying);
    let drying = ("drying-hours", "6 h");
    assert!(said(drying, "humidity_pct", "50"));
    assert!(!said(drying, "wind_mph", "5"));
    assert!(!said(WARM, "humidity_pct", "50") && !said(WARM, "wind_mph", "5"));
}

#[test]
fn an_amount_of_rain_is_missed_only_in_the_nws_hourly_file() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../data/open/nws");
    let hourly = fs::read(folder.join("gridpoints_forecast_hourly_us.json")).unwrap();
    let said = |bytes: &[u8], rule| notes(bytes, rule, "").contains(&Note::NoRainAmount);
    for rule in [
        ("rain", "0 mm"),
        ("hours-since-rain", "6 h"),
        ("hours-until-rain", "6 h"),
        ("drying-hours", "6 h"),
    ] {
        assert!(said(&hourly, rule), "{rule:?}");
        assert!(!said(&csv("humidity_pct", "50"), rule), "{rule:?}");
    }
    assert!(!said(&hourly, WARM));
}
