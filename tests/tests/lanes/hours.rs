//! Past hours read as a stream, on several threads and in pieces of any size, give what the general reader gives: the same
//! stations, or the same error with the same line and column.
//!
//! Source: the contract, section 9: where a fast lane and a general reader exist, both give the same answer on every
//! input.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::fmt::Write as _;
use std::io::Read;

use crate::spoilt::{Drops, packed, spoilt};
use crate::stations::{HourOptions, Record, for_each_station_of};
use chrono::{DateTime, SecondsFormat};
use chrono_tz::Tz;
use fairspell::error::ReadError;
use fairspell::read::past::{PastReading, open, read_past_each};
use fairspell::read::stream::{Opening, Plan as _};
use fairspell::read::{Notice, Source};
use fairspell_tests::past::Draw;
use proptest::prelude::*;

/// Readings as text, in which missing values are equal, and notices of the file; or the error's text.
type Answer = Result<Vec<String>, String>;

/// A station as the engine takes it, however it is kept, and what is said of its file as a whole.
fn written(reading: &PastReading, of_file: &[Notice]) -> String {
    let hours = reading.hours.part(0, reading.hours.hours());
    let (name, notices) = (&reading.station, &reading.notices);
    format!(
        "{name:?} {hours:?} {notices:?} {:?} {of_file:?}",
        reading.position
    )
}

fn general(bytes: &[u8], zone: Option<Tz>) -> Answer {
    let name = "many.csv";
    let mut all = Vec::new();
    let read = read_past_each(Source { name, bytes }, zone, |reading, of_file| {
        all.push(written(reading, of_file));
        Ok::<(), ReadError>(())
    });
    let notices = read.map_err(|error| error.to_string())?;
    all.extend(notices.iter().map(Notice::to_string));
    Ok(all)
}

fn streamed(input: impl Read + Send, zone: Option<Tz>, (threads, piece): (usize, usize)) -> Answer {
    let record = Record {
        name: "many.csv",
        options: HourOptions { zone },
        threads,
        piece,
        seen: &|_| {},
    };
    let mut all = Vec::new();
    let done = for_each_station_of(input, record, written, |text| {
        all.push(text);
        Ok(())
    });
    let notices = done.map_err(|failure| failure.to_string())?;
    all.extend(notices.iter().map(Notice::to_string));
    Ok(all)
}

const NAMES: [&str; 11] = [
    "S0000001",
    "A",
    "\"A\"",
    "B",
    "a very long name of a station",
    "é",
    "",
    "New York",
    "\"Q\"",
    "-1",
    "\u{feff}Z",
];

const HEADERS: [&str; 9] = [
    "station,time,temperature_c,dew_point_c",
    "station,time,temperature_f,rain_in,wind_mph",
    "time,temperature_c,humidity_pct",
    "station,time,temperature_c,dew_point_c,rain_mm,note",
    "temperature_f,station,time,gust_kmh",
    "Station ,TIME,rain_in",
    "station,time,temperature_f,member",
    "station,issued,time,cloud_pct,snow_in",
    "time,station,temperature_f",
];

fn value(draw: &mut Draw, name: &str, is_odd: bool) -> String {
    if is_odd && draw.is_one_in(15) {
        let odd = [
            "",
            "-",
            ".5",
            "5.",
            "+3",
            "1e1",
            "NaN",
            "-9999",
            "1048.36",
            "-0",
            "00012",
            "12345678901",
            " 4",
            "4 ",
            "101",
            "\"7\"",
        ];
        return draw.of(&odd).unwrap().to_owned();
    }
    if draw.is_one_in(10) {
        return String::new();
    }
    match name.trim() {
        "note" => draw
            .of(&["", "x", "fog, \"thick\"", "\"a,b\"", "ä"])
            .unwrap()
            .to_owned(),
        "member" => draw.of(&["1", "1", "1", "2"]).unwrap().to_owned(),
        "issued" => draw
            .of(&["2027-03-10T00:00Z", "2027-03-10T00:00Z", ""])
            .unwrap()
            .to_owned(),
        "rain_in" | "rain_mm" | "snow_in" => {
            draw.of(&["0", "0.00", "0.01", "1.5"]).unwrap().to_owned()
        }
        "dew_point_c" => format!("{}.{}", draw.below(20), draw.below(10)),
        _ => format!("{}.{}", draw.below(30) + 14, draw.below(10)),
    }
}

fn time(draw: &mut Draw, unix_s: i64, style: usize) -> String {
    let time = DateTime::from_timestamp(unix_s, 0).unwrap();
    match style {
        0 => time.format("%Y-%m-%dT%H:%MZ").to_string(),
        1 => time.to_rfc3339_opts(SecondsFormat::Secs, true),
        2 => {
            let local = time - chrono::TimeDelta::hours(5);
            local.format("%Y-%m-%d %H:%M-05:00").to_string()
        }
        3 => time.format("%Y-%m-%dT%H:%M").to_string(),
        4 => time.format("%Y-%m-%dT%H:%M:%S.250Z").to_string(),
        _ => draw
            .of(&[
                "2027-02-30T00:00Z",
                "2027-03-10T24:00Z",
                "2027-03-10",
                "x",
                "2027-03-10T09:00+6",
            ])
            .unwrap()
            .to_owned(),
    }
}

fn text(draw: &mut Draw) -> String {
    let header = draw.of(&HEADERS).unwrap();
    let is_odd = draw.is_one_in(2);
    let mut out = format!("{header}\n");
    let columns: Vec<String> = header.split(',').map(str::to_ascii_lowercase).collect();
    let style = [0, 0, 1, 2, 3][draw.below(5)];
    for turn in 0..draw.below(7) {
        let index = if is_odd && draw.is_one_in(8) {
            draw.below(11)
        } else {
            turn
        };
        let mut at = 1_804_690_800 + [0, 0, 1800, 86_400][draw.below(4)];
        let base = [3600, 3600, 3600, 3600, 1800, 10_800][draw.below(6)];
        let most = if draw.is_one_in(10) { 150 } else { 14 };
        for _ in 0..draw.below(most) {
            let style = if is_odd && draw.is_one_in(60) {
                3 + draw.below(3)
            } else {
                style
            };
            let fields = columns.iter().map(|column| match column.trim() {
                "station" => NAMES[index].to_owned(),
                "time" => time(draw, at, style),
                name => value(draw, name, is_odd),
            });
            let fields: Vec<String> = fields.collect();
            writeln!(out, "{}", fields.join(",")).unwrap();
            at += match draw.below(if is_odd { 40 } else { 25 }) {
                0 => 7200,
                1 => 86_400 * 3,
                30 => 0,
                31 => -3600,
                32 => 86_400 * 400_000,
                33 => 600,
                35 => 5400,
                34 => 86_400 * 900,
                _ => base,
            };
            if at > 9_000_000_000 {
                at = 1_804_690_800;
            }
        }
    }
    out
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 6000, failure_persistence: None, ..ProptestConfig::default() })]

    /// The contract, section 9: both give the same answer on every input.
    #[test]
    fn the_stream_and_the_general_reader_agree(seed in any::<u64>()) {
        let draw = &mut Draw(seed);
        let text = text(draw);
        let mut bytes = spoilt(draw, text);
        let zone = [None, Some(Tz::America__Chicago)][draw.below(2)];
        if draw.is_one_in(10) {
            bytes = packed(&bytes);
        }
        let wanted = general(&bytes, zone);
        let most = [20, 200, 4000][draw.below(3)];
        let (threads, piece) = (1 + draw.below(3), 1 + draw.below(most));
        let found = streamed(Drops(&bytes, 1 + draw.below(100)), zone, (threads, piece));
        prop_assert_eq!(found, wanted, "threads {}, piece {}, {}", threads, piece, String::from_utf8_lossy(&bytes));
    }

    /// The contract, section 6: a file of any bytes gives an answer or an error; section 9: the same by both.
    #[test]
    fn they_agree_on_any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..300), piece in 1_usize..100) {
        prop_assert_eq!(streamed(&bytes[..], None, (2, piece)), general(&bytes, None));
    }
}

/// Rows that the lane reads of a file; `None` where it gives up.
fn fast(file: &str) -> Option<u64> {
    let Opening::Rows(plan) = open("a.csv", file.as_bytes(), true, None) else {
        return None;
    };
    plan.fast(&file.as_bytes()[plan.first().start()..], &mut |_, _| {})
}

/// The contract, section 6: files as most of them are written go by the fast lane; what is unusual is left alone. This is
/// what keeps the property above from being empty.
#[test]
fn usual_rows_go_by_the_lane() {
    let day = "station,time,temperature_f,rain_in\nA,2027-03-10T09:00Z,50.5,0\nA,2027-03-10T10:00Z,,0.01\n";
    for (more, rows) in [
        ("", Some(2)),
        (
            "A,2027-03-10T13:00Z,41,0\nB,2027-03-10T09:00Z,1,1\n",
            Some(4),
        ),
        ("A,2027-03-10T10:30Z,41,0\n", None),
        ("A,2027-03-10T10:00Z,41,0\n", None),
        ("A,2027-03-10T11:00,41,0\n", None),
        ("A,2027-03-10T11:00Z,900,0\n", None),
        ("A,2027-03-10T11:00Z,41\n", None),
        ("\"A\",2027-03-10T11:00Z,41,0\n", None),
    ] {
        assert_eq!(fast(&format!("{day}{more}")), rows, "{more}");
    }
    let local = "time,wind_ms\r\n2027-03-10 09:00:00+05:30,5\r\n2027-03-10 10:00:00+05:30,5";
    assert_eq!(fast(local), Some(2));
}

/// The contract, section 6: never time out of proportion to a file's size. Two rows a century apart are refused, where a
/// record of as many hours with its rows is read.
#[test]
fn few_rows_far_apart_are_refused() {
    let text = "station,time,temperature_f\nA,1900-01-01T00:00Z,30\nA,1900-01-01T01:00Z,30\nA,1999-12-31T00:00Z,31\n";
    let expected = "many.csv:2:1: expected at most 9984 hours from a station's first row to its last, for so few rows, found more";
    assert_eq!(general(text.as_bytes(), None).unwrap_err(), expected); // 366 × 24 + 400 × 3
    assert_eq!(
        streamed(text.as_bytes(), None, (2, 30)).unwrap_err(),
        expected
    );
}
