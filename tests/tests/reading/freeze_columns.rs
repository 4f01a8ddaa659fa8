//! Columns of a plain daily CSV that `freeze` does not know: ignored and said, once a file.
//!
//! Source: the project's contract, section 6. All records are invented; columns were counted by hand.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::fs;

use fairspell_tests::binary::{self, Ran};
use fairspell_tests::daily::{rows, stations};
use serde_json::Value;

fn freeze_on(record: &str, arguments: &[&str]) -> Ran {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("f"), record).unwrap();
    let all = [&["freeze", "f", "--replicates", "0"], arguments].concat();
    binary::run(folder.path(), &all)
}

/// A record of two years with the columns of `header` before `date,tmin_f`, each filled with `value`.
fn with_columns(header: &str, value: &str) -> String {
    let rows: Vec<String> = rows(2, 0.0)
        .iter()
        .map(|row| format!("{value},{row}"))
        .collect();
    format!("{header},date,tmin_f\n{}\n", rows.join("\n"))
}

const NOTICE: &str = "f: ignored columns: \"Sky\", \"wind_mph\"";

#[test]
fn unknown_columns_are_ignored_and_said() {
    let (known, extra) = (
        with_columns("tmax_f,rain_in", "90,0.1"),
        with_columns("Sky,wind_mph", "fog,5"),
    );
    for format in ["text", "csv", "json", "svg", "html"] {
        let arguments = ["--format", format];
        let (plain, ran) = (freeze_on(&known, &arguments), freeze_on(&extra, &arguments));
        assert_eq!(
            (plain.code, plain.stderr.as_str()),
            (Some(0), ""),
            "{format}"
        );
        assert_eq!(
            ran.stderr,
            format!("fairspell: notice: {NOTICE}\n"),
            "{format}"
        );
        assert_eq!(ran.code, Some(0));
        match format {
            "text" | "csv" => assert_eq!(ran.stdout, plain.stdout),
            "json" => {
                let root: Value = serde_json::from_str(&ran.stdout).unwrap();
                let notices = root["notices"].as_array().unwrap();
                assert!(notices.contains(&Value::from(NOTICE)), "{notices:?}");
            }
            _ => {
                let escaped = NOTICE[1..].replace('"', "&quot;");
                let words = ran.stdout.replace('\n', " ");
                assert!(
                    words.contains(&escaped) || words.contains(&NOTICE[1..]),
                    "{format}: {escaped}"
                );
            }
        }
    }
}

/// Once a file, not once a station; by the fast lane over many blocks and by the general reader, to which a quote in the
/// header sends the rows; in JSON with each station, for each line stands alone.
#[test]
fn a_file_of_many_stations_says_it_once() {
    let names: Vec<String> = (0..14).map(|number| format!("S{number}")).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let text = stations(&names, 4)
        .replace('\n', ",x\n")
        .replacen("tmin_f,x", "tmin_f,fog", 1);
    let quoted = text.replace(",x\n", ",\"x\"\n");
    for record in [&text, &quoted] {
        let ran = freeze_on(record, &["--format", "json"]);
        assert_eq!(
            (ran.code, ran.stderr.as_str()),
            (Some(0), "fairspell: notice: f: ignored columns: \"fog\"\n")
        );
        assert_eq!(
            ran.stdout
                .matches("f: ignored columns: \\\"fog\\\"")
                .count(),
            names.len()
        );
    }
}

/// What a hostile header holds is cut, escaped and bounded.
#[test]
fn names_of_columns_are_bounded_and_escaped() {
    let long = "n".repeat(100);
    let header = format!("\u{1b}[31m,{long},,c,d,e,f,g,h,i,j");
    let ran = freeze_on(
        &with_columns(&header, "1,2,3,4,5,6,7,8,9,10,11"),
        &["--format", "csv"],
    );
    let cut = "n".repeat(40);
    assert_eq!(
        ran.stderr,
        format!(
            "fairspell: notice: f: ignored columns: \"\\u{{1b}}[31m\", \"{cut}…\", \"\", \"c\", \"d\", \"e\", \"f\", \
             \"g\", and 3 more\n"
        )
    );
    assert_eq!(ran.code, Some(0));
}

/// The archive's own columns need no word: by station and Daily Summaries.
#[test]
fn columns_of_an_archive_are_not_said() {
    let by_station = "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\nUS1,20270401,TMIN,-22,,,W,0700\n";
    let summaries = "STATION,NAME,DATE,PRCP,TMAX,TMIN\nS1,Town,2027-04-01,0,122,-22\n";
    for (record, arguments) in [(by_station, &[][..]), (summaries, &["--units", "tenths"])] {
        let ran = freeze_on(record, arguments);
        assert_eq!((ran.code, ran.stderr.as_str()), (Some(0), ""));
    }
}

/// A column that stands twice would leave one of the two unread without a word; more columns than the limit are refused.
#[test]
fn a_header_that_repeats_or_goes_on_is_refused() {
    for (record, message) in [
        (
            "date,tmin_f,tmin_f\n2027-04-01,3,4\n",
            "f:1:13: expected one column of each name, found another: \"tmin_f\"",
        ),
        (
            "date,tmin_f,Date\n2027-04-01,3,4\n",
            "f:1:13: expected one column of each name, found another: \"date\"",
        ),
    ] {
        let ran = freeze_on(record, &[]);
        assert_eq!((ran.code, ran.stdout.as_str()), (Some(2), ""));
        assert_eq!(ran.stderr, format!("fairspell: {message}\n"));
    }
    let many = |count: usize| {
        format!(
            "date,tmin_f{}\n2027-04-01,3{}\n",
            ",x".repeat(count),
            ",1".repeat(count)
        )
    };
    assert_eq!(freeze_on(&many(254), &[]).code, Some(0));
    let ran = freeze_on(&many(255), &[]);
    assert_eq!(
        ran.stderr,
        "fairspell: f:1:521: expected at most 256 columns, found more\n"
    );
}
