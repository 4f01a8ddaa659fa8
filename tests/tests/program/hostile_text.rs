//! Text that no program writes, in every format: NUL, other ends of lines, bytes that are no UTF-8, orders to a terminal, depth.
//!
//! Source: the contract, section 6: a file of any bytes gives an answer or an error with its place, never a panic; DEVELOPERS.md,
//! "Files that mean harm". What must be true of any bytes stands in `fairspell_tests::targets`; the files that are spoilt here are
//! the corpora of the fuzz targets, which are cuts of open records or written by hand.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::fs;
use std::path::PathBuf;

use fairspell::error::ReadError;
use fairspell::read::daily::{DailyOptions, read_daily};
use fairspell::read::past::{PastReading, read_past_each};
use fairspell::read::{Source, read_hourly};
use fairspell_tests::targets::TARGETS;

/// The files of a target that are text; of these the shortest is spoilt.
fn files(name: &str) -> Vec<Vec<u8>> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("fuzz/corpus")
        .join(name);
    let mut paths: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    paths.sort();
    let files = paths.iter().map(|path| fs::read(path).unwrap());
    files
        .filter(|bytes| core::str::from_utf8(bytes).is_ok())
        .collect()
}

/// A file spoilt in every way of the list, at its begin, in its middle and at its end.
fn spoilt(bytes: &[u8]) -> Vec<Vec<u8>> {
    let text = core::str::from_utf8(bytes).unwrap();
    let mut all: Vec<Vec<u8>> = [
        text.replace('\n', "\r\n"),
        text.replace('\n', "\r"),
        text.replace('\n', "\n\r"),
        text.replacen('\n', "\r\n", 1),
        text.replacen('\n', "\r", 1),
        text.replace('\n', "\u{2028}"),
        text.replace(' ', "\0"),
        text.replace(',', ",\u{1b}[2J"),
        text.to_uppercase(),
        format!("{}{text}", "[".repeat(100_000)),
        format!("{}{text}", "{\"a\":".repeat(100_000)),
        format!("{}{text}", "a,".repeat(100_000)),
        format!("{text}{}", ",1".repeat(100_000)),
        format!("\u{feff}\u{feff}{text}"),
    ]
    .map(String::into_bytes)
    .to_vec();
    let pieces: [&[u8]; 8] = [
        b"\0",
        b"\xff\xfe",
        b"\xc3",
        b"\xed\xa0\x80", // a surrogate
        b"\x1b]0;t\x07",
        b"\xc2\x9b31m",
        b"\xe2\x80\xae",
        b"\x1f\x8b\x08",
    ];
    for piece in pieces {
        for at in [0, bytes.len() / 2, bytes.len()] {
            let (before, behind) = bytes.split_at(at);
            all.push([before, piece, behind].concat());
        }
    }
    all
}

#[test]
fn every_format_answers_or_says_where_it_is_spoilt() {
    for (name, check) in TARGETS {
        let file = files(name).into_iter().min_by_key(Vec::len);
        for bytes in spoilt(&file.unwrap_or_else(|| panic!("{name} has no file of text"))) {
            check(&bytes);
        }
    }
}

/// All stations of past hours.
fn read_past(source: Source<'_>) -> Result<Vec<PastReading>, ReadError> {
    let mut all = Vec::new();
    read_past_each(source, None, |reading, _| {
        all.push(reading.clone());
        Ok::<(), ReadError>(())
    })?;
    Ok(all)
}

fn of<'a>(name: &'a str, bytes: &'a [u8]) -> Source<'a> {
    Source { name, bytes }
}

/// LF, CR LF and CR end a line, also in one file: RFC 4180 has CR LF, files of Unix LF, of old systems CR (common practice, no
/// source). All say the same.
#[test]
fn all_ends_of_lines_say_the_same() {
    let hours =
        "time,temperature_f\n2027-03-10T09:00Z,41\n2027-03-10T10:00Z,42\n2027-03-10T11:00Z,43\n";
    let days = "station,date,tmin_f\nA,2027-04-01,33\nA,2027-04-02,31\nA,2027-04-03,30\n";
    let whole = |text: &str| {
        read_hourly(of("a.csv", text.as_bytes()), None)
            .unwrap()
            .members
    };
    let past = |text: &str| format!("{:?}", read_past(of("a.csv", text.as_bytes())).unwrap());
    let daily = |text: &str| {
        let read = read_daily(of("a.csv", text.as_bytes()), DailyOptions::default());
        format!("{:?}", read.unwrap())
    };
    for end in ["\r\n", "\r"] {
        assert_eq!(whole(&hours.replace('\n', end)), whole(hours), "{end:?}");
        assert_eq!(past(&hours.replace('\n', end)), past(hours), "{end:?}");
        assert_eq!(daily(&days.replace('\n', end)), daily(days), "{end:?}");
        let mixed = |text: &str| text.replacen('\n', end, 2);
        assert_eq!(whole(&mixed(hours)), whole(hours), "{end:?}");
        assert_eq!(past(&mixed(hours)), past(hours), "{end:?}");
        assert_eq!(daily(&mixed(days)), daily(days), "{end:?}");
    }
}

/// A name that is no UTF-8 is told with its line and column, by each reader of stations.
#[test]
fn a_name_that_is_no_text_is_told_with_its_place() {
    let daily = b"station,date,tmin_f\nA\xff,2027-04-01,33\n";
    let error = read_daily(of("a.csv", daily), DailyOptions::default()).unwrap_err();
    assert_eq!(
        error.to_string(),
        "a.csv:2:2: expected UTF-8 text, found byte 0xff"
    );
    let past = b"station,time,temperature_f\nA\xff,2027-04-01T00:00Z,33\n";
    let error = read_past(of("a.csv", past)).unwrap_err();
    assert_eq!(
        error.to_string(),
        "a.csv:2:2: expected UTF-8 text, found byte 0xff"
    );
}
