//! `fairspell freeze` as a user runs it: its text, JSON and CSV, many stations, and records that are not what they
//! should be: one line on standard error, exit 2, nothing on standard output.
//!
//! Source of what must come out: the project's contract (the command line, its keys, the formats that come in); places
//! were counted by hand in the short files below. All records are invented.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::fmt::Write as _;
use std::fs;
use std::io::Write as _;

use chrono::{Datelike as _, NaiveDate, TimeDelta};
use fairspell::read::Source;
use fairspell::read::daily::{DailyOptions, SummaryUnits, read_daily};
use fairspell_tests::binary::{self, Ran, assert_refused};
use fairspell_tests::daily::{one_station, rows, stations};
use flate2::Compression;
use flate2::write::GzEncoder;
use serde_json::Value;

/// Runs `freeze` in a folder with the file `f`.
fn freeze_on(bytes: impl AsRef<[u8]>, arguments: &[&str]) -> Ran {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("f"), bytes).unwrap();
    binary::run(folder.path(), &[&["freeze", "f"], arguments].concat())
}

/// What a run that worked wrote.
#[track_caller]
fn answer(ran: &Ran) -> &str {
    assert_eq!((ran.code, ran.stderr.as_str()), (Some(0), ""));
    &ran.stdout
}

fn packed(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::fast());
    encoder.write_all(bytes).unwrap();
    encoder.finish().unwrap()
}

// Answers.

#[test]
fn text_answers_first_and_stays_within_80_columns() {
    let ran = freeze_on(one_station(30), &["--replicates", "20", "--risk", "10%"]);
    let text = answer(&ran);
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(
        lines[0],
        "The station, 1991-01-01 to 2020-12-31, 10958 days, 0 missing"
    );
    assert!(
        lines[1].contains("still brings 36 °F or lower"),
        "{}",
        lines[1]
    );
    let table = lines
        .iter()
        .position(|line| line.starts_with("Last spring freeze"));
    let sentence = lines.iter().rposition(|line| line.starts_with("On "));
    assert!(sentence < table, "the answer stands before the table");
    assert!(
        lines
            .iter()
            .any(|line| line.starts_with("A risk of 10 % of 28 °F: from "))
    );
}

/// The contract, section 7: text for people fits 80 columns, whatever a station is called.
#[test]
fn a_long_name_of_a_station_stays_within_80_columns() {
    for name in ["a name of a station ".repeat(6), "n".repeat(200)] {
        let text = format!("station,date,tmin_f\n{name},2027-04-01,30\n");
        let ran = freeze_on(text, &[]);
        let text = answer(&ran);
        for line in text.lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
        let written: String = text.split_whitespace().collect();
        assert!(written.starts_with(&name.replace(' ', "")), "{text}");
    }
}

/// The contract, section 5: the answer says whether the record or the present climate leads, and why. A record in which
/// the last freeze comes a day earlier each year is foretold better along its trend; 12 years cannot be tried, and 30 on
/// few years only.
#[test]
fn the_text_and_the_page_say_which_climate_leads_and_why() {
    let mut moving = String::from("date,tmin_f\n");
    for year in 1941..=2020 {
        let last =
            NaiveDate::from_ymd_opt(year, 3, 1).unwrap() + TimeDelta::days(i64::from(2021 - year));
        for day in days_of(year) {
            let tmin = if day == last { 20 } else { 50 };
            writeln!(moving, "{day},{tmin}").unwrap();
        }
    }
    for (record, words) in [
        (
            moving,
            "The risk is that of the present climate where the record reaches:",
        ),
        (
            one_station(12),
            "The risk is that of the record as it was: it is too short,",
        ),
        (
            one_station(30),
            "The risk is that of the record as it was: here, dates carried along the trend were off by",
        ),
    ] {
        for format in ["text", "html"] {
            let arguments = [
                "--keep-suspect",
                "--replicates",
                "0",
                "--threshold",
                "28F",
                "--format",
                format,
            ];
            let ran = freeze_on(record.clone(), &arguments);
            let written = answer(&ran)
                .split_whitespace()
                .collect::<Vec<_>>()
                .join(" ");
            assert!(written.contains(words), "{format}: {words}");
        }
    }
}

fn days_of(year: i32) -> impl Iterator<Item = NaiveDate> {
    let first = NaiveDate::from_ymd_opt(year, 1, 1).unwrap();
    first.iter_days().take_while(move |day| day.year() == year)
}

#[test]
fn text_of_a_date_speaks_of_that_date_alone() {
    let arguments = ["--replicates", "0", "--threshold", "28F", "--on"];
    for (date, words) in [
        ("2027-04-10", "On 10 Apr "),
        ("2028-02-29", "On 29 Feb "),
        ("2027-10-20", "By 20 Oct "),
    ] {
        let ran = freeze_on(one_station(12), &[&arguments[..], &[date]].concat());
        let spoken: Vec<&str> = answer(&ran)
            .lines()
            .filter(|line| line.ends_with("28 °F or lower."))
            .collect();
        let [line] = spoken.as_slice() else {
            unreachable!("one sentence, found {spoken:?}")
        };
        assert!(line.starts_with(words), "{line}");
    }
}

const HALF_KEYS: [&str; 12] = [
    "years",
    "valid_years",
    "freeze_years",
    "no_freeze_years",
    "freeze_probability",
    "empirical",
    "fits",
    "chosen",
    "present",
    "headline",
    "trend",
    "risk",
];

/// Every key is there, be its value null.
#[track_caller]
fn assert_has(object: &Value, keys: &[&str]) {
    for key in keys {
        assert!(object.get(key).is_some(), "{key} in {object}");
    }
}

const QUANTILES: [&str; 3] = ["p10", "p50", "p90"];

/// A half has every key of the contract, and as many risks as days.
#[track_caller]
fn assert_is_half(half: &Value, days: usize) {
    assert_has(half, &HALF_KEYS);
    let year = ["year", "date", "day", "missing_days", "valid"];
    assert_has(&half["years"][0], &year);
    assert_has(&half["empirical"]["conditional"], &QUANTILES);
    assert_has(&half["empirical"]["mixed"], &QUANTILES);
    let fits = half["fits"].as_array().unwrap();
    let forms = [&fits[0]["form"], &fits[1]["form"]];
    assert_eq!(forms, ["from_start", "reversed"]);
    for fit in fits {
        let numbers = ["shape", "scale", "log_likelihood", "aic", "ks_d", "ad_a2"];
        assert_has(fit, &numbers);
        assert_has(&fit["quantiles"], &QUANTILES);
        assert_has(&fit["interval_95"], &QUANTILES);
    }
    assert_has(&half["present"], &["method", "for_year", "quantiles"]);
    assert_has(&half["present"]["quantiles"], &QUANTILES);
    assert!(["record", "present"].contains(&half["headline"].as_str().unwrap()));
    let trend = [
        "theil_sen_days_per_year",
        "theil_sen_95",
        "mann_kendall_s",
        "mann_kendall_p",
    ];
    assert_has(&half["trend"], &trend);
    let risk = half["risk"].as_array().unwrap();
    assert_eq!(risk.len(), days);
    assert_has(&risk[0], &["month_day", "probability", "low_95", "high_95"]);
    assert_has(&half["on"], &["date", "risk"]);
}

#[test]
fn json_has_the_keys_of_the_contract() {
    let arguments = [
        "--format",
        "json",
        "--replicates",
        "20",
        "--on",
        "2027-04-10",
    ];
    let ran = freeze_on(one_station(30), &arguments);
    let line = answer(&ran).trim_end();
    assert!(!line.contains('\n') && line.starts_with(r#"{"schema":"fairspell.freeze/1","#));
    let root: Value = serde_json::from_str(line).unwrap();
    assert_has(&root["station"], &["id", "name"]);
    let record = [
        "first",
        "last",
        "days",
        "missing",
        "rejected_values",
        "whole_fahrenheit",
    ];
    assert_has(&root["record"], &record);
    assert!(root["notices"].is_array());
    let thresholds = root["thresholds"].as_array().unwrap();
    let in_f: Vec<f64> = thresholds
        .iter()
        .map(|at| at["threshold_f"].as_f64().unwrap())
        .collect();
    assert_eq!(in_f, [36.0, 32.0, 28.0, 24.0]);
    assert_eq!(thresholds[1]["threshold_c"].as_f64(), Some(0.0));
    for at in thresholds {
        assert_has(&at["freeze_free_days"], &["n", "quantiles"]);
        assert_has(&at["freeze_free_days"]["quantiles"], &QUANTILES);
        let (spring, autumn) = (&at["spring"], &at["autumn"]);
        assert_is_half(spring, 212);
        assert_is_half(autumn, 153);
        let of_day = &spring["risk"][99];
        assert_eq!(of_day["month_day"], "04-10");
        assert_eq!(spring["on"]["risk"], of_day["probability"]);
        assert!(autumn["on"]["risk"].is_null());
    }
}

const COLUMNS: &str = "station,threshold_f,half,valid_years,freeze_years,no_freeze_years,freeze_probability,\
    conditional_p10,conditional_p50,conditional_p90,mixed_p10,mixed_p50,mixed_p90,\
    from_start_shape,from_start_scale,from_start_log_likelihood,from_start_aic,from_start_ks_d,from_start_ad_a2,\
    from_start_p10,from_start_p50,from_start_p90,\
    reversed_shape,reversed_scale,reversed_log_likelihood,reversed_aic,reversed_ks_d,reversed_ad_a2,\
    reversed_p10,reversed_p50,reversed_p90,chosen";

#[test]
fn csv_has_a_row_a_station_threshold_and_half() {
    let ran = freeze_on(stations(&["B", "A", "C"], 3), &["--format", "csv"]);
    let mut lines = answer(&ran).lines();
    assert_eq!(lines.next(), Some(COLUMNS));
    let mut wanted = Vec::new();
    for station in ["B", "A", "C"] {
        for threshold in [36, 32, 28, 24] {
            for half in ["spring", "autumn"] {
                wanted.push(format!("{station},{threshold},{half},3,"));
            }
        }
    }
    let rows: Vec<&str> = lines.collect();
    assert_eq!(rows.len(), wanted.len());
    for (row, wanted) in rows.iter().zip(&wanted) {
        assert!(row.starts_with(wanted), "{row}, not {wanted}");
        assert_eq!(row.matches(',').count(), COLUMNS.matches(',').count());
    }
}

#[test]
fn a_name_with_a_comma_is_one_field_of_the_answer() {
    let rows = rows(1, 0.0);
    let mut text = String::from("station,date,tmin_f\n");
    for row in rows {
        writeln!(text, "\"Hill, \"\"upper\"\"\",{row}").unwrap();
    }
    let ran = freeze_on(text, &["--format", "csv", "--threshold", "28F"]);
    for row in answer(&ran).lines().skip(1) {
        assert!(row.starts_with("\"Hill, \"\"upper\"\"\",28,"), "{row}");
    }
}

#[test]
fn json_is_a_line_a_station_in_the_order_of_the_file() {
    let arguments = ["--format", "json", "--replicates", "0"];
    let ran = freeze_on(stations(&["B", "A", "C"], 1), &arguments);
    let ids: Vec<String> = answer(&ran)
        .lines()
        .map(|line| serde_json::from_str::<Value>(line).unwrap()["station"]["id"].to_string())
        .collect();
    assert_eq!(ids, ["\"B\"", "\"A\"", "\"C\""]);
}

/// A file longer than what is read at a time goes station by station through the fast lane; a quote in its header
/// sends the same rows through the general reader as a whole. Gzip is unpacked.
#[test]
fn a_long_file_gives_what_its_stations_give() {
    let names: Vec<String> = (0..14).map(|number| format!("S{number}")).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let text = stations(&names, 12);
    assert!(text.len() > 1 << 20);
    let arguments = ["--format", "csv", "--threshold", "28F"];
    let as_it_stands = freeze_on(&text, &arguments);
    assert_eq!(answer(&as_it_stands).lines().count(), 1 + 2 * names.len());
    let quoted = text.replacen("station", "\"station\"", 1);
    assert_eq!(as_it_stands, freeze_on(quoted, &arguments));
    assert_eq!(as_it_stands, freeze_on(packed(text.as_bytes()), &arguments));

    let lines = text.lines().count();
    let returned = format!("{text}S3,2027-04-01,28\n");
    let message = format!(
        "f:{}:1: expected the rows of each station together, found more of \"S3\" after another station",
        lines + 1
    );
    assert_refused(&freeze_on(returned, &arguments), &message);
    let last = format!("{text}S14,2027-04-01,28\nS14,2027-04-02,2B\n");
    let message = format!(
        "f:{}:16: expected a temperature or a blank, found \"2B\"",
        lines + 2
    );
    assert_refused(&freeze_on(last, &arguments), &message);
}

#[test]
fn standard_input_is_a_record_too() {
    let text = one_station(2);
    let arguments = ["freeze", "-", "--format", "csv"];
    let folder = tempfile::tempdir().unwrap();
    let fed = binary::run_fed(folder.path(), &arguments, text.as_bytes());
    assert_eq!(answer(&fed), answer(&freeze_on(text, &["--format", "csv"])));
}

#[test]
fn thresholds_are_quantities() {
    for (written, in_f) in [
        ("28F", "28"),
        ("28 °F", "28"),
        ("-2C", "28.4"),
        ("0 °C", "32"),
    ] {
        let argument = format!("--threshold={written}");
        let ran = freeze_on(one_station(1), &["--format", "csv", &argument]);
        for row in answer(&ran).lines().skip(1) {
            assert!(row.starts_with(&format!(",{in_f},")), "{written}: {row}");
        }
    }
    for written in ["28", "28mm", "1e400F", "cold", ""] {
        let argument = format!("--threshold={written}");
        let ran = freeze_on(one_station(1), &[&argument]);
        let message =
            format!("--threshold: expected a temperature such as 28F or -2C, found \"{written}\"");
        assert_refused(&ran, &message);
    }
}

/// `--units` shows thresholds in the other system, in what people read and nowhere else; the dates stay. Source: the
/// contract, section 7 (`--units us|si` for display); 28 °F is -2.2 °C by the definition of the scales.
#[test]
fn thresholds_are_shown_in_the_units_asked_for() {
    let run = |more: &[&str]| {
        let ran = freeze_on(one_station(30), &[&["--replicates", "0"], more].concat());
        answer(&ran).to_owned()
    };
    for format in ["text", "html", "svg"] {
        let own = run(&["--format", format]);
        let si = run(&["--format", format, "--units", "si"]);
        assert!(
            own.contains("28 °F") && !own.contains("°C or lower"),
            "{own}"
        );
        assert!(si.contains("-2.2 °C") && !si.contains("28 °F"), "{si}");
        let us = run(&["--format", format, "--units", "us", "--threshold", "-2.2C"]);
        assert!(us.contains("28 °F") && !us.contains("-2.2 °C"), "{us}");
        assert_eq!(
            own,
            run(&["--format", format, "--units", "metric"]),
            "units of a record alone"
        );
    }
    for format in ["json", "csv"] {
        let own = run(&["--format", format]);
        assert_eq!(own, run(&["--format", format, "--units", "si"]));
    }
}

#[test]
fn the_south_is_told_by_the_site() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("f"), one_station(2)).unwrap();
    let site = "latitude = -36.8\nlongitude = 174.8\nzone = \"Pacific/Auckland\"\n";
    fs::write(folder.path().join("site.toml"), site).unwrap();
    let arguments = [
        "freeze",
        "f",
        "--site",
        "site.toml",
        "--format",
        "json",
        "--replicates",
        "0",
        "--threshold",
        "28F",
    ];
    let ran = binary::run(folder.path(), &arguments);
    let root: Value = serde_json::from_str(answer(&ran)).unwrap();
    let at = &root["thresholds"][0];
    // January to June 1991 belong to the season 1990, July to December 1992 to the season 1992.
    for (half, valid) in [
        ("spring", [false, true, false]),
        ("autumn", [true, true, false]),
    ] {
        let years = at[half]["years"].as_array().unwrap();
        let found: Vec<_> = years
            .iter()
            .map(|year| {
                (
                    year["year"].as_i64().unwrap(),
                    year["valid"].as_bool().unwrap(),
                )
            })
            .collect();
        assert_eq!(
            found,
            (1990..=1992).zip(valid).collect::<Vec<_>>(),
            "{half}"
        );
    }
}

// Refusals.

#[test]
fn a_record_without_minima_is_refused() {
    assert_refused(
        &freeze_on("date,tmax_f\n2027-04-01,3\n", &[]),
        "f:1:1: expected a column tmin_f or tmin_c, found none",
    );
    for text in ["date,tmin_f\n", "date,tmin_f\n2027-04-01,\n"] {
        assert_refused(
            &freeze_on(text, &[]),
            "f: expected at least one day with a minimum, found none",
        );
    }
    let maxima = "USW00000001,20270401,TMAX,100,,,W,\n";
    assert_refused(
        &freeze_on(maxima, &[]),
        "f: expected at least one day with a minimum, found none",
    );
}

#[test]
fn mixed_units_are_refused() {
    assert_refused(
        &freeze_on("date,tmin_f,tmax_c\n2027-04-01,3,4\n", &[]),
        "f:1:13: expected maxima in the unit of the minima, found \"tmax_c\"",
    );
    assert_refused(
        &freeze_on("date,tmin_f,tmin_c\n2027-04-01,3,4\n", &[]),
        "f:1:13: expected one column of minima, found another: \"tmin_c\"",
    );
}

#[test]
fn summaries_without_their_units_are_refused() {
    let text = "STATION,DATE,TMAX,TMIN\nS1,2027-04-01,122,-22\n";
    assert_refused(
        &freeze_on(text, &[]),
        "f:1:19: expected the units (us, metric or tenths) beside Daily Summaries, whose file does not say them, found none; \
         give --record-units",
    );
    assert!(answer(&freeze_on(text, &["--record-units", "tenths"])).starts_with("S1, 2027-04-01"));
    // The archive's documentation as the contract has it, section 6: tenths are whole numbers.
    assert_refused(
        &freeze_on(
            "STATION,DATE,TMAX,TMIN\nS1,2027-04-01,36.0,30.2\n",
            &["--record-units", "tenths"],
        ),
        "f:2:20: expected a whole number of tenths of °C or a blank, found \"30.2\"",
    );
    // --units says them too; not at odds with --record-units, beside which us is the display's.
    assert!(answer(&freeze_on(text, &["--units", "tenths"])).starts_with("S1, 2027-04-01"));
    let both = ["--record-units", "tenths", "--units"];
    for units in ["us", "si", "tenths"] {
        let ran = freeze_on(text, &[&both[..], &[units]].concat());
        assert!(answer(&ran).starts_with("S1, 2027-04-01"));
    }
    assert_refused(
        &freeze_on(text, &[&both[..], &["metric"]].concat()),
        "--units: expected us or si beside --record-units, or the same units of the record, found others",
    );
    assert_refused(
        &freeze_on(text, &["--record-units", "mm"]),
        "invalid value 'mm' for '--record-units <UNITS>' [possible values: us, metric, tenths]; fairspell --help shows the \
         usage",
    );
}

#[test]
fn a_station_that_comes_back_is_refused() {
    let text = "station,date,tmin_c\nB,2027-04-01,1\nA,2027-04-01,2\nB,2027-04-02,4\n";
    assert_refused(
        &freeze_on(text, &[]),
        "f:4:1: expected the rows of each station together, found more of \"B\" after another station",
    );
}

#[test]
fn an_empty_file_is_refused() {
    for text in ["", "\n \r\n"] {
        assert_refused(
            &freeze_on(text, &[]),
            "f: expected weather, found an empty file",
        );
    }
    let folder = tempfile::tempdir().unwrap();
    let ran = binary::run(folder.path(), &["freeze", "no.csv"]);
    assert!(
        ran.stderr
            .starts_with("fairspell: no.csv: expected a file to read, found an error: "),
        "{}",
        ran.stderr
    );
    assert_eq!((ran.code, ran.stdout.as_str()), (Some(2), ""));
}

#[test]
fn text_of_no_known_layout_is_refused() {
    assert_refused(
        &freeze_on("Dear gardener,\nall is well.\n", &[]),
        "f:1:1: expected a daily record (CSV with \"date\" and tmin_f or tmin_c, GHCN-Daily by station or in fixed \
         columns, or Daily Summaries), found \"Dear gardener,\"",
    );
}

#[test]
fn arguments_that_do_not_fit_are_refused() {
    let one = one_station(1);
    for (arguments, message) in [
        (
            &["--bogus"][..],
            "unexpected argument '--bogus' found; fairspell --help shows the usage",
        ),
        (
            &["--on", "2027-4-x"],
            "--on: expected a date such as 2027-04-10, found \"2027-4-x\"",
        ),
        (
            &["--on", "2027-02-29"],
            "--on: expected a date such as 2027-04-10, found \"2027-02-29\"",
        ),
        (
            &["--risk", "0%"],
            "--risk: expected a share such as 10%, above 0 and below 100, found \"0%\"",
        ),
        (
            &["--risk", "100%"],
            "--risk: expected a share such as 10%, above 0 and below 100, found \"100%\"",
        ),
    ] {
        assert_refused(&freeze_on(&one, arguments), message);
    }
    let folder = tempfile::tempdir().unwrap();
    assert_refused(
        &binary::run(folder.path(), &["freeze", "-", "-"]),
        "expected standard input (-) for one input at most, found it for two or more",
    );
}

/// The bound of the readers: 48 MiB, for the rows of one station in a file of many, and for a file that is read as a whole.
#[test]
fn a_gzip_file_that_unpacks_to_too_much_is_refused() {
    let one_station = packed(&b"S1,20270401,TMIN,1,,,W,\n".repeat(2_900_000));
    assert_refused(
        &freeze_on(one_station, &[]),
        "f: expected at most 50331648 bytes in the rows of a station, found more",
    );
    let nothing = packed(&vec![0; (48 << 20) + 1]);
    assert_refused(
        &freeze_on(nothing, &[]),
        "f: expected at most 50331648 bytes, found more",
    );
}

#[test]
fn a_gzip_file_that_is_cut_short_is_refused() {
    let message = "f: expected a whole gzip file, found one that does not unpack";
    let whole = packed(one_station(2).as_bytes());
    for bytes in [
        &whole[..whole.len() / 2],
        &whole[..whole.len() - 3],
        &whole[..5],
    ] {
        assert_refused(&freeze_on(bytes, &[]), message);
    }
    let mut spoiled = whole;
    let middle = spoiled.len() / 2;
    spoiled[middle..middle + 8].fill(0xff);
    assert_refused(&freeze_on(spoiled, &[]), message);
}

/// Wherever the bytes of a record end, reading them gives days or an error, never a panic.
#[test]
fn bytes_cut_anywhere_give_an_answer_or_an_error() {
    let fixed = format!(
        "USW00000001202704TMIN{}\n",
        "  -22  W".repeat(30) + "-9999   "
    );
    let records = [
        "\u{feff}date,tmin_f,tmax_f\r\n2027-04-01,33,50\r\n\r\n2027-04-03,28,\r\n".to_owned(),
        "station,date,tmin_c\n\"A, \"\"b\"\"\",2027-04-01,-1.5\nC,2027-04-01,2e0\n".to_owned(),
        "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\nUS1,20270401,TMIN,-22,,,W,0700\n".to_owned(),
        "STATION,DATE,TMAX,TMIN\nS1,2027-04-01,122,-22\nS1,2027-04-02,−3,4\n".to_owned(),
        fixed,
    ];
    let options = DailyOptions {
        units: Some(SummaryUnits::Tenths),
        ..DailyOptions::default()
    };
    for record in &records {
        let plain = record.as_bytes();
        for bytes in [plain.to_vec(), packed(plain)] {
            let read = |end: usize| {
                let source = Source {
                    name: "f",
                    bytes: &bytes[..end],
                };
                read_daily(source, options)
            };
            assert!(
                read(bytes.len()).is_ok(),
                "{record}: {:?}",
                read(bytes.len())
            );
            for end in 0..bytes.len() {
                match read(end) {
                    Ok(stations) => assert!(stations.iter().all(|of| of.series.days() > 0)),
                    Err(error) => assert!(error.to_string().starts_with("f:"), "{error}"),
                }
            }
        }
    }
}

/// Whatever date is asked about, its label lies on no diamond. Common practice, no source. The record is the demo's (invented).
#[test]
fn the_label_of_a_date_hides_no_other_date() {
    let record = include_bytes!("../../../data/demo/station.csv");
    let first = NaiveDate::from_ymd_opt(2027, 3, 1).unwrap();
    let mut labels = 0;
    for days in (0..270).step_by(5) {
        let date = first + TimeDelta::days(days);
        let on = date.to_string();
        let ran = freeze_on(
            record,
            &["--on", &on, "--format", "svg", "--replicates", "50"],
        );
        let picture = roxmltree::Document::parse(answer(&ran)).unwrap();
        let number = |node: &roxmltree::Node<'_, '_>, name| -> f64 {
            node.attribute(name).unwrap().parse().unwrap()
        };
        let diamonds: Vec<(f64, f64)> = picture
            .descendants()
            .filter(|node| {
                node.has_tag_name("polygon") && node.attribute("fill") == Some("#983c08")
            })
            .map(|node| {
                let top = node.attribute("points").unwrap().split(' ').next().unwrap();
                let (x, y) = top.split_once(',').unwrap();
                (x.parse().unwrap(), y.parse::<f64>().unwrap() + 4.5)
            })
            .collect();
        assert!(diamonds.len() > 10, "{on}");
        let label = date.format("%-d %b: ").to_string();
        for node in picture.descendants() {
            let text = node
                .text()
                .filter(|text| node.has_tag_name("text") && text.starts_with(&label));
            let Some(text) = text else { continue };
            // Half an em a character, less than any face takes.
            let width = 6.0 * text.chars().count() as f64;
            let (x, y) = (number(&node, "x"), number(&node, "y"));
            let left = if node.attribute("text-anchor") == Some("end") {
                x - width
            } else {
                x
            };
            let is_hidden = |(at, height): &&(f64, f64)| {
                (left..left + width).contains(at) && (y - 11.0..y + 3.0).contains(height)
            };
            assert_eq!(diamonds.iter().find(is_hidden), None, "{text}");
            labels += 1;
        }
    }
    assert!(labels > 100, "{labels}");
}
