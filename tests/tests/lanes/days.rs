//! Records read as a stream, on several threads and in pieces of any size, give what the general reader gives: the same
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
use std::sync::atomic::{AtomicUsize, Ordering};

use crate::spoilt::{Drops, packed, spoilt};
use crate::stations::{Record, for_each_station_of};
use chrono::{NaiveDate, TimeDelta};
use fairspell::error::ReadError;
use fairspell::read::daily::{
    DailyOptions, DailyReading, SummaryUnits, read_daily, read_daily_each,
};
use fairspell::read::{Notice, Source};
use fairspell_tests::past::Draw;
use proptest::prelude::*;

/// Readings as text, in which missing values are equal, and notices of the file; or the error's text.
type Answer = Result<Vec<String>, String>;

fn general(bytes: &[u8], options: DailyOptions) -> Answer {
    let source = Source {
        name: "many.csv",
        bytes,
    };
    let mut all = Vec::new();
    let read = read_daily_each(source, options, |reading, of_file| {
        all.push(written(&reading, of_file));
        Ok::<(), ReadError>(())
    });
    let notices = read.map_err(|error| error.to_string())?;
    all.extend(notices.iter().map(Notice::to_string));
    Ok(all)
}

fn streamed(input: impl Read + Send, record: Record<'_, DailyOptions>) -> Answer {
    let mut all = Vec::new();
    let done = for_each_station_of(input, record, written, |text| {
        all.push(text);
        Ok(())
    });
    let notices = done.map_err(|failure| failure.to_string())?;
    all.extend(notices.iter().map(Notice::to_string));
    Ok(all)
}

/// A station, and what is said of its file as a whole.
fn written(reading: &DailyReading, of_file: &[Notice]) -> String {
    format!("{reading:?} {of_file:?}")
}

fn record(options: DailyOptions, threads: usize, piece: usize) -> Record<'static, DailyOptions> {
    Record {
        name: "many.csv",
        options,
        threads,
        piece,
        seen: &|_| {},
    }
}

const NAMES: [&str; 12] = [
    "USW00094728",
    "US1",
    "A",
    "B",
    "C1",
    "GME00122458",
    "a very long name of a station",
    "é",
    "",
    "New York",
    "-1",
    "\u{feff}Z",
];

/// How a file is written.
struct Style {
    layout: usize,
    names: Vec<&'static str>,
    is_compact: bool,
    is_odd: bool,
    decimals: usize,
}

fn value(draw: &mut Draw, style: &Style) -> String {
    if style.is_odd && draw.is_one_in(12) {
        return draw
            .of(&[
                "",
                "-",
                ".5",
                "5.",
                "+3",
                "1e1",
                "NaN",
                "-9999",
                "999",
                "-0",
                "00012",
                "12345678901",
                "\u{2212}3",
                " 4",
                "4 ",
            ])
            .unwrap()
            .to_owned();
    }
    let whole = i32::try_from(draw.below(120)).unwrap() - 60;
    match style.decimals {
        0 => whole.to_string(),
        places => format!("{whole}.{:0places$}", draw.below(10)),
    }
}

fn date(draw: &mut Draw, day: NaiveDate, style: &Style) -> String {
    if style.is_odd && draw.is_one_in(60) {
        let ends = if style.is_compact {
            ["00", "30", "0", "0a", "011"]
        } else {
            ["-00", "-30", "-1", "-0a", "-011"]
        };
        let month = if style.is_compact { "%Y02" } else { "%Y-02" };
        return format!("{}{}", day.format(month), draw.of(&ends).unwrap());
    }
    let form = if style.is_compact {
        "%Y%m%d"
    } else {
        "%Y-%m-%d"
    };
    day.format(form).to_string()
}

fn header(style: &Style) -> &'static str {
    match style.layout {
        0 => "station,date,tmin_f\n",
        1 => "station,date,tmin_c\n",
        2 => "date,tmin_f,tmax_f\n",
        3 => "note,tmax_c,tmin_c,Station ,DATE\n",
        4 => "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\n",
        6 => "STATION,DATE,TMAX,TMIN,NAME\n",
        7 => "date,station,tmin_f,rain_in\n",
        9 => "date,\"Fog, \u{1b}[1m\",tmin_f,\n",
        _ => "",
    }
}

fn rows(draw: &mut Draw, style: &Style, station: &str, day: NaiveDate, out: &mut String) {
    let date = date(draw, day, style);
    let (low, high) = (value(draw, style), value(draw, style));
    match style.layout {
        0 | 1 => writeln!(out, "{station},{date},{low}"),
        2 => writeln!(out, "{date},{low},{high}"),
        3 => writeln!(out, "{},{high},{low},{station},{date}", draw.of(&["", "x", "fog, \"thick\"", "\"a,b\"", "ä"]).unwrap()),
        4 | 5 => {
            let flag = draw.of(&["", "", "", "", "I", " ", "\"\""]).unwrap();
            let time = draw.of(&["", "2400", "0700"]).unwrap();
            let rain = format!("{station},{date},PRCP,{},,,W,{time}", draw.below(300));
            let other = if draw.is_one_in(20) { draw.of(&NAMES).unwrap() } else { station };
            writeln!(out, "{station},{date},TMAX,{high},,,W,{time}\n{other},{date},TMIN,{low},,{flag},W,{time}\n{rain}")
        }
        6 if style.names.len().is_multiple_of(2) => writeln!(out, "{station},{date},{high},{low},\"{station}, Town\""),
        6 => writeln!(out, "{station},{date},{high},{low},{station}"),
        7 => writeln!(out, "{date},{station},{low},0.1"),
        9 => writeln!(out, "{date},,{low},x"),
        _ => {
            let name = format!("{station:<11.11}");
            let mut days = String::new();
            for _ in 0..28 {
                write!(days, "{:>5}   ", draw.below(300)).unwrap();
            }
            writeln!(out, "{name}{}TMIN{days}", day.format("%Y%m"))
        }
    }
    .unwrap();
}

fn text(draw: &mut Draw) -> String {
    let style = Style {
        layout: draw.below(10),
        names: NAMES[..=draw.below(NAMES.len())].to_vec(),
        is_compact: draw.is_one_in(3),
        is_odd: draw.is_one_in(2),
        decimals: draw.below(3),
    };
    let mut out = header(&style).to_owned();
    let start = NaiveDate::from_ymd_opt(1896, 2, 20).unwrap();
    for turn in 0..draw.below(8) {
        let index = if style.is_odd && draw.is_one_in(8) {
            draw.below(style.names.len())
        } else {
            turn % style.names.len()
        };
        let mut day = start + TimeDelta::days(i64::try_from(draw.below(3)).unwrap() * 366);
        let most = if draw.is_one_in(10) { 200 } else { 12 };
        for _ in 0..draw.below(most) {
            rows(draw, &style, style.names[index], day, &mut out);
            let step = match draw.below(if style.is_odd { 40 } else { 20 }) {
                0 => 30,
                1 => 400,
                20 => 0,
                21 => -1,
                22 => 200_000,
                _ => 1,
            };
            day = day
                .checked_add_signed(TimeDelta::days(step))
                .filter(|day| *day < NaiveDate::from_ymd_opt(9000, 1, 1).unwrap())
                .unwrap_or(start);
        }
    }
    out
}

fn options(draw: &mut Draw) -> DailyOptions {
    DailyOptions {
        units: [
            None,
            Some(SummaryUnits::Us),
            Some(SummaryUnits::Metric),
            Some(SummaryUnits::Tenths),
        ][draw.below(4)],
        is_whole_fahrenheit: [None, Some(true), Some(false)][draw.below(3)],
        is_minima_only: draw.is_one_in(2),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 6000, failure_persistence: None, ..ProptestConfig::default() })]

    /// The contract, section 9: both give the same answer on every input.
    #[test]
    fn the_stream_and_the_general_reader_agree(seed in any::<u64>()) {
        let draw = &mut Draw(seed);
        let text = text(draw);
        let (mut bytes, options) = (spoilt(draw, text), options(draw));
        if draw.is_one_in(10) {
            bytes = packed(&bytes);
            if draw.is_one_in(2) {
                let at = draw.below(bytes.len());
                bytes[at] ^= 1;
            }
        }
        let wanted = general(&bytes, options);
        let most = [20, 200, 4000][draw.below(3)];
        let (threads, piece) = (1 + draw.below(3), 1 + draw.below(most));
        let found = streamed(Drops(&bytes, 1 + draw.below(100)), record(options, threads, piece));
        prop_assert_eq!(found, wanted, "threads {}, piece {}, {}", threads, piece, String::from_utf8_lossy(&bytes));
    }

    /// The contract, section 6: a file of any bytes gives an answer or an error; section 9: the same by both.
    #[test]
    fn they_agree_on_any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..300), piece in 1_usize..100) {
        let options = DailyOptions::default();
        prop_assert_eq!(streamed(&bytes[..], record(options, 2, piece)), general(&bytes, options));
    }
}

/// An answer that is alive until it is taken.
struct Alive<'a>(&'a AtomicUsize);

impl<'a> Alive<'a> {
    fn new(count: &'a AtomicUsize, most: &AtomicUsize) -> Self {
        let now = count.fetch_add(1, Ordering::SeqCst) + 1;
        most.fetch_max(now, Ordering::SeqCst);
        Self(count)
    }
}

impl Drop for Alive<'_> {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::SeqCst);
    }
}

/// Memory stays in proportion to the file: of many stations with two rows 399 years apart, whose answers tell of
/// every year between, few answers are there at a time, on any number of threads.
#[test]
fn answers_of_sparse_stations_do_not_heap_up() {
    let mut text = String::from("station,date,tmin_f\n");
    for number in 0..400 {
        writeln!(text, "S{number},1600-01-01,30\nS{number},1999-12-31,31").unwrap();
    }
    let (count, most, taken) = (
        AtomicUsize::new(0),
        AtomicUsize::new(0),
        AtomicUsize::new(0),
    );
    for threads in [1, 3] {
        let record = record(DailyOptions::default(), threads, 4096);
        let work = |reading: &DailyReading, _: &[Notice]| {
            assert_eq!(reading.series.days(), 146_097); // 400 years, 97 of them leap years (Gregorian calendar)
            Alive::new(&count, &most)
        };
        let done = for_each_station_of(text.as_bytes(), record, work, |answer| {
            drop(answer);
            taken.fetch_add(1, Ordering::SeqCst);
            Ok(())
        });
        assert!(done.is_ok());
    }
    assert_eq!((taken.into_inner(), count.into_inner()), (800, 0));
    assert_eq!(most.into_inner(), 1);
}

/// The reader of a whole file holds all days of all stations, also those without a row: a day for each byte, and 400
/// years beside them, are the most; read one station at a time there is no such bound.
#[test]
fn stations_of_few_rows_far_apart_are_bounded() {
    let mut text = String::from("station,date,tmin_f\n");
    for name in ["A", "B"] {
        writeln!(text, "{name},1600-01-01,30\n{name},1999-12-31,31").unwrap();
    }
    let source = Source {
        name: "many.csv",
        bytes: text.as_bytes(),
    };
    let options = DailyOptions::default();
    let limit = 400 * 366 + text.len();
    assert_eq!(
        read_daily(source, options).unwrap_err().to_string(),
        format!(
            "many.csv: expected at most {limit} days from the first to the last in all stations, found more"
        )
    );
    assert_eq!(general(text.as_bytes(), options).unwrap().len(), 2);
}
