//! Records that are not what they should be, and what `freeze` says of them: each an error in one line with file, line,
//! column, what was expected and what was found, or a rejection that is counted and said.
//!
//! Source of what must come out: the project's contract, sections 5 and 6. Places were counted by hand. All records are
//! invented but for the open ones at the end.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::fs;
use std::path::PathBuf;
use std::process::Stdio;

use fairspell_tests::binary::{self, Ran, assert_refused};
use fairspell_tests::daily::{one_station, rows, stations};
use serde_json::Value;

fn freeze_on(bytes: impl AsRef<[u8]>, arguments: &[&str]) -> Ran {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("f"), bytes).unwrap();
    let all = [&["freeze", "f", "--replicates", "0"], arguments].concat();
    binary::run(folder.path(), &all)
}

/// The answer in JSON of a run that worked and had nothing to say beside it.
#[track_caller]
fn json_of(record: impl AsRef<[u8]>, arguments: &[&str]) -> Value {
    let ran = freeze_on(record, &[&["--format", "json"], arguments].concat());
    assert_eq!((ran.code, ran.stderr.as_str()), (Some(0), ""));
    serde_json::from_str(&ran.stdout).unwrap()
}

#[track_caller]
fn assert_notices(answer: &Value, wanted: &[&str]) {
    let notices: Vec<&str> = answer["notices"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(Value::as_str)
        .collect();
    for words in wanted {
        assert!(notices.contains(words), "no {words:?} in {notices:?}");
    }
}

// Errors.

#[test]
fn bytes_that_are_no_text_are_refused() {
    assert_refused(
        &freeze_on(b"date,tmin_f\n2027-04-01,\xff3\n", &[]),
        "f:2:12: expected UTF-8 text, found byte 0xff",
    );
}

#[test]
fn json_is_no_daily_record() {
    assert_refused(
        &freeze_on("{\"properties\": {", &[]),
        "f:1:1: expected a daily record (CSV with \"date\" and tmin_f or tmin_c, GHCN-Daily by station or in fixed \
         columns, or Daily Summaries), found \"{\"properties\": {\"",
    );
}

#[test]
fn an_unknown_unit_of_the_minima_is_refused() {
    assert_refused(
        &freeze_on("date,tmin_k\n2027-04-01,270\n", &[]),
        "f:1:1: expected a column tmin_f or tmin_c, found none",
    );
}

#[test]
fn numbers_that_are_none_are_refused() {
    for (number, found) in [
        ("1e999", "1e999"),
        ("NaN", "NaN"),
        ("--", "--"),
        ("\"12,5\"", "12,5"),
        ("3O.2", "3O.2"),
        ("inf", "inf"),
        ("NA", "NA"),
    ] {
        let record = format!("date,tmin_f\n2027-04-01,33\n2027-04-02,{number}\n");
        let message = format!("f:3:12: expected a temperature or a blank, found \"{found}\"");
        assert_refused(&freeze_on(record, &[]), &message);
    }
    assert_refused(
        &freeze_on("date,tmin_f\n2027-04-02,12,5\n", &[]),
        "f:2:15: expected as many fields as the header has, found \"2027-04-02,12,5\"",
    );
}

#[test]
fn dates_that_are_none_are_refused() {
    for date in [
        "2027-02-29",
        "2027-13-01",
        "2027-4-1",
        "01.04.2027",
        "2012/01/01",
        "",
    ] {
        let record = format!("date,tmin_f\n2027-04-01,33\n{date},28\n");
        let message = format!("f:3:1: expected a date such as 2027-04-10, found \"{date}\"");
        assert_refused(&freeze_on(record, &[]), &message);
    }
}

#[test]
fn a_date_of_another_age_is_refused() {
    assert_refused(
        &freeze_on("date,tmin_f\n0027-04-01,33\n2027-04-02,28\n", &[]),
        "f:2:1: expected at most 146400 days from the first to the last, found more",
    );
}

#[test]
fn a_line_of_ten_megabytes_is_refused() {
    let record = format!("date,tmin_f\n2027-04-01,{}\n", "7".repeat(10_000_000));
    assert_refused(
        &freeze_on(record, &[]),
        "f:2:65537: expected at most 65536 bytes in a line, found more",
    );
}

/// GHCN-Daily readme, section III: 269 columns, a value and three flags a day.
#[test]
fn fixed_columns_that_are_none_are_refused() {
    let line = |head: &str, first: &str| format!("{head}{first}{}\n", "   11  W".repeat(30));
    for (record, message) in [
        (
            line("USW00000001202713TMIN", "  -22  W"),
            "f:1:16: expected a month from 01 to 12, found \"13\"",
        ),
        (
            line("USW00000001202704TMIN", "  2.2  W"),
            "f:1:22: expected tenths of °C in five columns, found \"  2.2  W\"",
        ),
        (
            line("USW00000001202704TMIN", "  -22  W"),
            "f:1:262: expected no value past the month's end, found \"   11  W\"",
        ),
    ] {
        assert_refused(&freeze_on(record, &[]), message);
    }
    let wrong = "USW00000001202704TMIN".to_owned() + &"  -22  W".repeat(30) + "-9999   \nUSW0000\n";
    assert_refused(
        &freeze_on(wrong, &[]),
        "f:2:1: expected station, year, month and element, found \"USW0000\"",
    );
}

#[test]
fn rows_by_station_that_are_none_are_refused() {
    for (row, message) in [
        (
            "US1,20270402,TMIN,-22\n",
            "f:2:1: expected the eight fields of GHCN-Daily by station, found \"US1,20270402,TMIN,-22\"",
        ),
        (
            "US1,20270402,TMIN,-2.2,,,W,\n",
            "f:2:19: expected a whole number of tenths of °C or a blank, found \"-2.2\"",
        ),
        (
            "US1,20270431,TMIN,-22,,,W,\n",
            "f:2:5: expected a date such as 2027-04-10, found \"20270431\"",
        ),
    ] {
        assert_refused(
            &freeze_on(format!("US1,20270401,TMIN,-22,,,W,0700\n{row}"), &[]),
            message,
        );
    }
}

#[test]
fn a_quote_that_does_not_close_is_refused() {
    assert_refused(
        &freeze_on(
            "station,date,tmin_f\nA,2027-04-01,33\n\"B,2027-04-01,33\n",
            &[],
        ),
        "f:3:1: expected a quote that closes, found \"\"B,2027-04-01,33\"",
    );
}

/// A site that is none, and one input for two.
#[test]
fn a_site_that_does_not_fit_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("f"), one_station(1)).unwrap();
    fs::write(folder.path().join("site.toml"), "latitude = 95\n").unwrap();
    assert_refused(
        &binary::run(folder.path(), &["freeze", "f", "--site", "site.toml"]),
        "site.toml:1:12: expected a latitude from -90 to 90 degrees north, found \"95\"",
    );
    assert_refused(
        &binary::run(folder.path(), &["freeze", "-", "--site", "-"]),
        "expected standard input (-) for one input at most, found it for two or more",
    );
}

#[test]
fn an_output_that_cannot_be_written_is_refused() {
    let ran = freeze_on(one_station(1), &["--output", "no/answer.txt"]);
    let beginning = "fairspell: no/answer.txt: expected a place to write, found an error: ";
    assert!(ran.stderr.starts_with(beginning), "{}", ran.stderr);
    assert_eq!(
        (ran.code, ran.stdout.as_str(), ran.stderr.lines().count()),
        (Some(2), "", 1)
    );
}

/// A reader that leaves while stations are still to come takes nothing from the answer: the command did its work.
#[test]
fn a_closed_pipe_is_no_error() {
    let folder = tempfile::tempdir().unwrap();
    let names: Vec<String> = (0..4).map(|number| format!("S{number}")).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    fs::write(folder.path().join("f"), stations(&names, 4)).unwrap();
    let mut command = binary::command(folder.path());
    command.args(["freeze", "f", "--replicates", "0", "--format", "json"]);
    let mut child = command
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(
        (output.status.code(), output.stderr.as_slice()),
        (Some(0), &b""[..])
    );
}

/// All or nothing: a page of two stations is refused, and the file that was to hold it is not there.
#[test]
fn a_picture_of_two_stations_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("f"), stations(&["A", "B"], 1)).unwrap();
    for format in ["svg", "html"] {
        let arguments = [
            "freeze",
            "f",
            "--replicates",
            "0",
            "--format",
            format,
            "--output",
            "page",
        ];
        assert_refused(
            &binary::run(folder.path(), &arguments),
            "--format: expected records of one station for a picture or a page, found two or more",
        );
        assert!(!folder.path().join("page").exists());
    }
}

// What is rejected, counted and said.

/// Contract, section 5: values outside −90 to 60 °C are missing; 900 °F and −300 °F are, 140 °F (60 °C) is none of them.
#[test]
fn impossible_minima_are_missing_counted_and_said() {
    let record = "date,tmin_f\n2027-04-01,900\n2027-04-02,140\n2027-04-03,-300\n2027-04-04,28\n";
    let answer = json_of(record, &[]);
    assert_eq!(answer["record"]["rejected_values"], 2);
    assert_eq!(
        (&answer["record"]["days"], &answer["record"]["missing"]),
        (&3.into(), &1.into())
    );
    assert_notices(&answer, &["left out 2 minima outside -90 to 60 °C"]);
}

/// Rows of a station may come in any order; of two for a day the first counts, the other is counted.
#[test]
fn days_out_of_order_are_read_and_doubled_ones_said() {
    let record = "date,tmin_f\n2027-04-03,28\n2027-04-01,33\n2027-04-03,50\n";
    let answer = json_of(record, &["--threshold", "28F"]);
    assert_eq!(answer["record"]["first"], "2027-04-01");
    assert_eq!(
        answer["thresholds"][0]["spring"]["years"][0]["date"],
        "2027-04-03"
    );
    assert_notices(
        &answer,
        &["left out 1 minimum for a day that already had one"],
    );
}

/// GHCN-Daily readme, section III: a quality flag rejects.
#[test]
fn flagged_minima_are_missing_counted_and_said() {
    let record =
        "US1,20270401,TMIN,-22,,I,W,\nUS1,20270402,TMIN,-33,,,W,\nUS1,20270403,TMIN,-9999,,,W,\n";
    let answer = json_of(record, &[]);
    assert_eq!(answer["record"]["rejected_values"], 1);
    assert_notices(
        &answer,
        &[
            "left out 1 minimum that the archive's own check rejects",
            "minima are brought back to the whole °F in which they were read",
        ],
    );
}

/// Contract, section 5: 29 February counts as the 28th, day 59.
#[test]
fn the_29th_of_february_counts_as_the_28th() {
    let answer = json_of(
        "date,tmin_f\n2028-02-29,20\n2028-03-01,40\n",
        &["--threshold", "28F"],
    );
    let year = &answer["thresholds"][0]["spring"]["years"][0];
    assert_eq!(
        (&year["date"], &year["day"]),
        (&"2028-02-29".into(), &59.into())
    );
}

/// One row is a record without a valid year: 212 − 1 days are missing in spring, 2027 being no leap year.
#[test]
fn a_file_of_one_row_has_no_valid_year() {
    let answer = json_of(
        "date,tmin_f\n2027-04-01,20\n",
        &["--threshold", "28F", "--on", "2027-04-10"],
    );
    let spring = &answer["thresholds"][0]["spring"];
    let year = &spring["years"][0];
    assert_eq!(
        (&year["valid"], &year["missing_days"]),
        (&false.into(), &211.into())
    );
    assert_eq!(
        (&spring["freeze_probability"], &spring["on"]["risk"]),
        (&Value::Null, &Value::Null)
    );
    assert_notices(
        &answer,
        &["no valid year, each lacks more than 10 days: nothing can be said of risk"],
    );
}

/// All minima equal, above the threshold or below it: dates that are all the same have no fit, and no number comes of it.
#[test]
fn equal_values_have_no_fit() {
    let equal = |value: &str| {
        let rows: Vec<String> = rows(12, 0.0)
            .iter()
            .map(|row| format!("{},{value}", &row[..10]))
            .collect();
        json_of(
            format!("date,tmin_f\n{}\n", rows.join("\n")),
            &["--threshold", "28F"],
        )
    };
    for (value, share) in [("40", 0.0), ("28", 1.0)] {
        let answer = equal(value);
        let spring = &answer["thresholds"][0]["spring"];
        assert_eq!(spring["freeze_probability"].as_f64(), Some(share));
        assert_eq!(
            (&spring["chosen"], &spring["fits"]),
            (&Value::Null, &Value::from(Vec::<Value>::new()))
        );
        let risks = spring["risk"].as_array().unwrap();
        assert!(
            risks
                .iter()
                .all(|risk| risk["probability"].as_f64() == Some(share)),
            "{value}"
        );
    }
}

/// A record that ends with 31 May lacks June and July, 61 days, of its last spring, and has no last autumn; what was seen
/// of it is given and does not count.
#[test]
fn a_record_that_ends_in_mid_season_leaves_that_season_out() {
    let rows: Vec<String> = rows(12, 0.0)
        .into_iter()
        .filter(|row| *row.as_str() < *"2002-06")
        .collect();
    let answer = json_of(
        format!("date,tmin_f\n{}\n", rows.join("\n")),
        &["--threshold", "28F"],
    );
    let spring = &answer["thresholds"][0]["spring"];
    let last = spring["years"].as_array().unwrap().last().unwrap();
    assert_eq!(
        (&last["year"], &last["valid"], &last["missing_days"]),
        (&2002.into(), &false.into(), &61.into())
    );
    assert!(last["date"].is_string(), "a freeze was seen");
    assert_eq!(spring["valid_years"], 11);
    assert_eq!(answer["thresholds"][0]["autumn"]["valid_years"], 11);
}

// Open records.

fn open() -> PathBuf {
    PathBuf::from(option_env!("FAIRSPELL_OPEN_DATA_DIR").unwrap_or_default())
}

#[track_caller]
fn in_open(arguments: &[&str]) -> Ran {
    let all = [
        &["freeze", "--format", "csv", "--threshold", "32F"],
        arguments,
    ]
    .concat();
    binary::run(&open(), &all)
}

/// Every file of the folder of daily records: those of the contract's formats work as they stand (Milwaukee's has the
/// columns of Daily Summaries in °F), the others are refused with what was expected and found.
#[test]
#[cfg_attr(not(open_data), ignore = "the open records are not here")]
fn every_open_record_works_or_is_refused() {
    let unknown = |found: &str| {
        format!(
            "1:1: expected a daily record (CSV with \"date\" and tmin_f or tmin_c, GHCN-Daily by station or in fixed \
             columns, or Daily Summaries), found {found}"
        )
    };
    let tabbed = unknown("\"Day\\tMonth\\tYear\\tTmin(C)\\tTmax(C)\\tPrcp(mm)\\t…\"");
    let refused = [
        (
            "champion_climate.txt",
            unknown("\"Day       Month     Year      Tmin(C)   …\""),
        ),
        ("northumberland_climate.txt", tabbed.clone()),
        ("suffolk_climate.txt", tabbed),
        (
            "etmgeg_260.txt.gz",
            unknown("\"BRON: KONINKLIJK NEDERLANDS METEOROLOGIS…\""),
        ),
        (
            "seattle-weather.csv",
            "1:1: expected a column tmin_f or tmin_c, found none".to_owned(),
        ),
    ];
    let works = [
        ("USW00094728.dly.gz", &[][..]),
        ("GHCN_USW00014839.csv.gz", &["--units", "us"]),
    ];
    let mut names = Vec::new();
    for entry in fs::read_dir(open().join("daily")).unwrap() {
        names.push(entry.unwrap().file_name().into_string().unwrap());
    }
    assert_eq!(names.len(), refused.len() + works.len(), "{names:?}");
    for (name, message) in refused {
        let path = format!("daily/{name}");
        assert_refused(&in_open(&[&path]), &format!("{path}:{message}"));
    }
    for (name, more) in works {
        let ran = in_open(&[&[format!("daily/{name}").as_str()], more].concat());
        assert_eq!(
            (ran.code, ran.stderr.as_str(), ran.stdout.lines().count()),
            (Some(0), "", 3),
            "{name}"
        );
    }
}

/// The plain copies of all of them work, and give the dates of an independent count (the reference value files); of the
/// two that work as they stand, both ways agree.
#[test]
#[cfg_attr(not(open_data), ignore = "the open records are not here")]
fn every_plain_copy_works() {
    let mut count = 0;
    for entry in fs::read_dir(open().join("csv")).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        if name.starts_with("daily_") {
            let ran = in_open(&[&format!("csv/{name}")]);
            assert_eq!(
                (ran.code, ran.stderr.as_str(), ran.stdout.lines().count()),
                (Some(0), "", 3),
                "{name}"
            );
            count += 1;
        }
    }
    assert_eq!(count, 7);
    let numbers = |ran: &Ran| -> Vec<String> {
        let rows = ran.stdout.lines().skip(1);
        rows.map(|row| row.split_once(',').unwrap().1.to_owned())
            .collect()
    };
    let raw = in_open(&["daily/GHCN_USW00014839.csv.gz", "--units", "us"]);
    let plain = in_open(&["csv/daily_milwaukee_wi_us.csv"]);
    assert_eq!(numbers(&raw), numbers(&plain));
    let raw = in_open(&["daily/USW00094728.dly.gz"]);
    let plain = in_open(&[
        "csv/daily_central_park_ny_us.csv",
        "--whole-fahrenheit",
        "true",
    ]);
    assert_eq!(numbers(&raw), numbers(&plain));
}
