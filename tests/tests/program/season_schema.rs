//! `fairspell season --format json` by its schema, and what the schema refuses.
//!
//! Source: the project's contract (section 7, the keys of `season`), and `data/schema/season-1.schema.json`, read by a
//! general validator of JSON Schema, draft 2020-12. All records are invented.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::fs;

use crate::schema::{assert_valid, validator};
use fairspell_tests::binary;
use fairspell_tests::daily::rows;
use serde_json::{Value, json};

const SCHEMA: &str = include_str!("../../../data/schema/season-1.schema.json");
const SITE: &str = include_str!("../../../data/demo/site.toml");
const STATION: &str = include_str!("../../../data/demo/station.csv");

/// The plan on a record at a place.
fn answer(record: &str, site: &str, arguments: &[&str]) -> Value {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("r"), record).unwrap();
    fs::write(folder.path().join("s"), site).unwrap();
    let fixed = [
        "season", "r", "--site", "s", "--format", "json", "--year", "2027",
    ];
    let few = if arguments.contains(&"--replicates") {
        &[][..]
    } else {
        &["--replicates", "20"]
    };
    let ran = binary::run(folder.path(), &[&fixed[..], few, arguments].concat());
    assert_eq!((ran.code, ran.stderr.as_str()), (Some(0), ""));
    assert_eq!(ran.stdout.lines().count(), 1);
    serde_json::from_str(&ran.stdout).unwrap()
}

/// Rows of a record of so many years with both extremes.
fn both(years: i32, warmer: f64) -> String {
    let (low, high) = (rows(years, warmer), rows(years, warmer + 17.0));
    let rows = low.iter().zip(high).map(|(low, high)| {
        let (_, high) = high.split_once(',').unwrap();
        format!("{low},{high}")
    });
    let rows: Vec<String> = rows.collect();
    format!("date,tmin_f,tmax_f\n{}\n", rows.join("\n"))
}

#[test]
fn plans_are_by_the_schema() {
    let validator = validator(SCHEMA);
    let minima = format!("date,tmin_f\n{}\n", rows(12, 0.0).join("\n"));
    let garden = "[[garden]]\nkind = \"rambler\"\n[[garden]]\nkind = \"hybrid tea\"\nfirst-year = true\noil = false\n\
        [[garden]]\nkind = \"plum\"\nneglected = true\nheight = \"12 ft\"\nwidth = \"12 ft\"\n[spray]\nsoil = \"200 ft2\"\n\
        near = [\"blue spruce\", \"moon tree\"]\n";
    for (case, record, site, arguments) in [
        ("the demo", STATION.to_owned(), SITE, &[][..]),
        ("explained", STATION.to_owned(), SITE, &["--explain"]),
        (
            "no intervals",
            STATION.to_owned(),
            SITE,
            &["--replicates", "0"],
        ),
        ("no garden", both(30, 0.0), "", &[]),
        ("a mixed garden", both(30, 0.0), garden, &[]),
        (
            "own numbers",
            both(30, 0.0),
            "",
            &["--tender=-3C", "--degree-days", "99", "--weights", "1,1"],
        ),
        ("no maxima", minima, "", &[]),
        ("two years", both(2, 0.0), "", &[]),
        ("no freeze", both(12, 45.0), "", &[]),
        ("the tropics", both(12, 0.0), "latitude = 3\n", &[]),
        ("the south", both(12, 0.0), "latitude = -40\n", &[]),
    ] {
        let answer = answer(&record, site, arguments);
        assert_valid(&validator, &answer, case);
        assert_eq!(answer.get("explain").is_some(), case == "explained");
    }
}

/// What is wrong with a plan: a change to a sound one.
#[test]
fn the_schema_refuses_what_is_no_plan() {
    let (validator, sound) = (validator(SCHEMA), answer(STATION, SITE, &[]));
    assert_valid(&validator, &sound, "the demo");
    let wrong: [(&str, &str, Value); 14] = [
        ("another layout", "/schema", json!("fairspell.season/2")),
        ("a year in words", "/year", json!("2027")),
        ("no kinds", "/plants", json!([])),
        ("a chance above 1", "/damage/0/probability", json!(1.5)),
        (
            "damage that is measured",
            "/damage/0/basis",
            json!("measured"),
        ),
        (
            "one end of a range",
            "/damage/0/range_of_sums",
            json!([0.1]),
        ),
        ("an impossible date", "/prune/best", json!("2027-02-30")),
        (
            "a date in words",
            "/plants/0/oil/from",
            json!("early March"),
        ),
        (
            "a reason beside dates",
            "/plants/0/no_prune",
            json!("because"),
        ),
        ("neither dates nor reason", "/plants/0/oil", Value::Null),
        ("another threshold", "/last_freeze/threshold_f", json!(28.0)),
        ("another headline", "/last_freeze/headline", json!("future")),
        ("a number of weeks", "/back_off/weeks", json!(7)),
        ("no cautions", "/cautions", json!([])),
    ];
    for (case, place, value) in wrong {
        let mut answer = sound.clone();
        *answer.pointer_mut(place).unwrap() = value;
        assert!(!validator.is_valid(&answer), "{case}");
    }
    for (key, value) in [("task", json!("mow")), ("bed", json!(0.5))] {
        let mut answer = sound.clone();
        answer["work"]["tasks"][0][key] = value;
        assert!(!validator.is_valid(&answer), "a task's {key}");
    }
    for key in sound.as_object().unwrap().keys() {
        let mut answer = sound.clone();
        answer.as_object_mut().unwrap().remove(key);
        assert!(!validator.is_valid(&answer), "without {key}");
    }
    let mut answer = sound;
    answer["weather"] = json!("fine");
    assert!(!validator.is_valid(&answer), "a key of another kind");
}

/// The decision's schema holds where the season stands; what is no such thing it refuses.
#[test]
fn decisions_with_a_season_are_by_their_schema() {
    let schema = include_str!("../../../data/schema/decision-1.schema.json");
    let validator = validator(schema);
    let folder = tempfile::tempdir().unwrap();
    let forecast = include_str!("../../../data/demo/forecast.csv");
    let minima = format!("date,tmin_f\n{}\n", rows(12, 0.0).join("\n"));
    for (name, content) in [("f", forecast), ("s", SITE), ("r", STATION), ("m", &minima)] {
        fs::write(folder.path().join(name), content).unwrap();
    }
    let mut sound = Value::Null;
    for record in ["m", "r"] {
        let at = "2027-03-08T06:00";
        let arguments = [
            "decide", "oil", "f", "--site", "s", "--at", at, "--record", record, "--format", "json",
        ];
        let ran = binary::run(folder.path(), &arguments);
        assert_eq!(ran.code, Some(1), "{}", ran.stderr);
        sound = serde_json::from_str(&ran.stdout).unwrap();
        assert_valid(&validator, &sound, record);
        let state = if record == "m" { "none" } else { "before" };
        assert_eq!(sound["season"]["state"], state);
    }
    for (key, value) in [
        ("state", json!("late")),
        ("work", json!("mow")),
        ("from", json!("11 Mar")),
        ("text", json!("")),
    ] {
        let mut answer = sound.clone();
        answer["season"][key] = value;
        assert!(!validator.is_valid(&answer), "{key}");
        answer["season"].as_object_mut().unwrap().remove(key);
        assert!(!validator.is_valid(&answer), "without {key}");
    }
}
