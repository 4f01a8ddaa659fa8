//! `fairspell freeze --format json` by its schema, and what the schema refuses.
//!
//! Source: the project's contract (section 7, the keys of `freeze`), and `data/schema/freeze-1.schema.json`, read by a
//! general validator of JSON Schema, draft 2020-12.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::fs;
use std::path::{Path, PathBuf};

use crate::schema::{assert_valid, validator};
use fairspell_tests::binary;
use fairspell_tests::daily::{one_station, rows, stations};
use serde_json::{Value, json};

const SCHEMA: &str = include_str!("../../../data/schema/freeze-1.schema.json");

/// The answers on a record, a line a station.
fn answers(record: &str, arguments: &[&str]) -> Vec<Value> {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("f"), record).unwrap();
    let south = "latitude = -36.8\nlongitude = 174.8\n";
    fs::write(folder.path().join("south.toml"), south).unwrap();
    answers_in(folder.path(), &[&["f"], arguments].concat())
}

fn answers_in(folder: &Path, arguments: &[&str]) -> Vec<Value> {
    let all = [&["freeze", "--format", "json"], arguments].concat();
    let ran = binary::run(folder, &all);
    assert_eq!((ran.code, ran.stderr.as_str()), (Some(0), ""));
    let lines = ran.stdout.lines();
    lines
        .map(|line| serde_json::from_str(line).unwrap())
        .collect()
}

#[test]
fn generated_answers_are_by_the_schema() {
    let (validator, few) = (validator(SCHEMA), ["--replicates", "20"]);
    let warm = format!("date,tmin_f\n{}\n", rows(12, 90.0).join("\n"));
    let equal = format!("date,tmin_c\n{}", "2020-01-01,-1\n2020-01-02,-1\n");
    for (case, record, arguments) in [
        ("thirty years", one_station(30), &[][..]),
        ("no freezes", warm, &[]),
        ("two years", one_station(2), &[]),
        ("twelve years", one_station(12), &[]),
        ("two days", equal, &[]),
        ("a date", one_station(12), &["--on", "2027-04-10"]),
        ("a risk", one_station(12), &["--risk", "10%"]),
        (
            "in the south",
            one_station(12),
            &["--site", "south.toml", "--on", "2028-01-31"],
        ),
        (
            "in °C",
            one_station(12),
            &["--threshold=-2C", "--threshold", "0 °C"],
        ),
        ("several stations", stations(&["B", "A", "C"], 4), &[]),
    ] {
        for replicates in [&few[..], &["--replicates", "0"]] {
            let found = answers(&record, &[replicates, arguments].concat());
            let wanted = if case == "several stations" { 3 } else { 1 };
            assert_eq!(found.len(), wanted, "{case}");
            for answer in &found {
                assert_valid(&validator, answer, case);
            }
        }
    }
}

#[test]
#[cfg_attr(not(open_data), ignore = "the open records are not here")]
fn answers_on_open_records_are_by_the_schema() {
    let validator = validator(SCHEMA);
    let open = PathBuf::from(option_env!("FAIRSPELL_OPEN_DATA_DIR").unwrap_or_default());
    for record in [
        "daily/USW00094728.dly.gz",
        "csv/daily_milwaukee_wi_us.csv",
        "csv/daily_suffolk_uk.csv",
        "csv/daily_seattle_wa_us.csv",
    ] {
        let arguments = [
            record,
            "--replicates",
            "20",
            "--risk",
            "10%",
            "--on",
            "2027-04-10",
        ];
        let found = answers_in(&open, &arguments);
        assert_eq!(found.len(), 1, "{record}");
        assert_valid(&validator, &found[0], record);
    }
}

/// An answer with every key that there is.
fn sound() -> Value {
    let arguments = ["--replicates", "20", "--on", "2027-04-10", "--risk", "10%"];
    answers(&one_station(32), &arguments).remove(0)
}

const HALF: &str = "/thresholds/1/spring";

/// What is no answer is refused: each required key left out, at every place that the schema knows, and a key too many.
#[test]
fn the_schema_refuses_keys_left_out_and_keys_too_many() {
    let validator = validator(SCHEMA);
    let sound = sound();
    assert_valid(&validator, &sound, "sound");
    for place in [
        "",
        "/station",
        "/record",
        "/thresholds/1",
        "/thresholds/1/freeze_free_days",
        "/thresholds/1/freeze_free_days/quantiles",
        HALF,
        &format!("{HALF}/years/3"),
        &format!("{HALF}/empirical"),
        &format!("{HALF}/empirical/conditional_95"),
        &format!("{HALF}/fits/0"),
        &format!("{HALF}/fits/1/interval_95"),
        &format!("{HALF}/present"),
        &format!("{HALF}/trend"),
        &format!("{HALF}/on"),
        &format!("{HALF}/at_risk"),
        &format!("{HALF}/risk/50"),
    ] {
        let object = sound.pointer(place).unwrap().as_object().unwrap();
        for key in object
            .keys()
            .filter(|key| !["on", "at_risk"].contains(&key.as_str()))
        {
            let mut spoilt = sound.clone();
            spoilt
                .pointer_mut(place)
                .unwrap()
                .as_object_mut()
                .unwrap()
                .remove(key);
            assert!(!validator.is_valid(&spoilt), "{place}/{key} is left out");
        }
        let mut spoilt = sound.clone();
        spoilt.pointer_mut(place).unwrap()["colour"] = json!("red");
        assert!(!validator.is_valid(&spoilt), "{place}/colour");
    }
}

/// Values of another kind, out of range, or at odds with others are refused.
#[test]
fn the_schema_refuses_values_that_cannot_be() {
    let (validator, sound) = (validator(SCHEMA), sound());
    for (place, key, value) in [
        ("", "schema", json!("fairspell.freeze/2")),
        ("", "notices", json!([1])),
        ("", "thresholds", json!([])),
        ("/record", "first", json!("1 May 1991")),
        ("/record", "days", json!(0)),
        ("/record", "whole_fahrenheit", json!("no")),
        ("/thresholds/1", "threshold_f", Value::Null),
        (HALF, "headline", json!("normal")),
        (HALF, "valid_years", json!(-1)),
        (HALF, "valid_years", json!(31.5)),
        (HALF, "freeze_probability", json!(1.1)),
        (HALF, "freeze_probability", Value::Null),
        (HALF, "fits", json!([])),
        (HALF, "chosen", Value::Null),
        ("/thresholds/1/spring/years/3", "missing_days", json!(11)),
        ("/thresholds/1/spring/years/3", "day", Value::Null),
        ("/thresholds/1/spring/years/3", "day", json!(397)),
        ("/thresholds/1/spring/years/3", "valid", json!(1)),
        ("/thresholds/1/spring/fits/0", "shape", json!(0)),
        ("/thresholds/1/spring/fits/0", "form", json!("gumbel")),
        (
            "/thresholds/1/spring/fits/0/interval_95",
            "p10",
            json!([100.0]),
        ),
        ("/thresholds/1/spring/trend", "mann_kendall_p", json!(2)),
        ("/thresholds/1/spring/on", "date", json!("04-10")),
        ("/thresholds/1/spring/risk/50", "month_day", json!("13-01")),
        ("/thresholds/1/spring/risk/50", "probability", Value::Null),
    ] {
        let mut spoilt = sound.clone();
        spoilt.pointer_mut(place).unwrap()[key] = value.clone();
        assert!(!validator.is_valid(&spoilt), "{place}/{key} = {value}");
    }
}
