//! Freeze dates of the open U.S. stations against NOAA's 1981–2010 Climate Normals, the only values here that were
//! worked out by somebody else from the same observers.
//!
//! Source: NOAA 1981-2010 U.S. Climate Normals, supplemental products (NCEI), `ann-tmin-prb{lst,fst,gsl}-t32Fp{50,90}`.
//! NOAA's method differs: adjusted and filled data, a 365-day calendar, a season that spans New Year. So dates agree
//! to days, not exactly; the tolerances below are stated with what was measured. NOAA's p90 of the last freeze is the
//! date with a chance of 90 % that a freeze comes *then or later*, an early date, hence our 10 %; p90 of the first is
//! the chance that it has come *by then*, our 90 %; p90 of the season is the chance that it is *that long or longer*,
//! our 10 %.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::fs;
use std::io::Read as _;
use std::path::PathBuf;

use chrono::NaiveDate;
use fairspell::freeze::{AtThreshold, HalfName, Settings, Window, freezes};
use fairspell::quantity::{Quantity, Unit};
use fairspell::read::Source;
use fairspell::read::daily::{DailyOptions, read_daily};
use fairspell::site::Hemisphere;

/// The stations of the open records that have normals.
const STATIONS: [(&str, &str); 2] = [
    ("USW00094728", "central_park_ny_us"),
    ("USW00014839", "milwaukee_wi_us"),
];

/// Days by which a date may differ. Measured: at most 4.5 (Milwaukee's median first freeze, 291.5 against 296); a
/// median of 30 dates with a spread of 11 days is itself known to about 5 days (1.96 · 1.25 · 11 / √30).
const DATE_DAYS: f64 = 5.0;

/// Days by which the season may differ: two dates, each with its own difference. Measured: at most 6.5 (Milwaukee's
/// median, 175.5 against 182).
const SEASON_DAYS: f64 = 7.0;

fn folder() -> PathBuf {
    PathBuf::from(option_env!("FAIRSPELL_OPEN_DATA_DIR").unwrap_or_default())
}

/// A station's value in one of NOAA's files, without its completeness flag.
fn normal(kind: &str, percent: u32, station: &str) -> String {
    let path = folder().join(format!("normals/ann-tmin-prb{kind}-t32Fp{percent}.csv.gz"));
    let mut text = String::new();
    flate2::read::GzDecoder::new(fs::File::open(path).unwrap())
        .read_to_string(&mut text)
        .unwrap();
    let line = text.lines().find(|line| line.starts_with(station)).unwrap();
    let value = line[station.len()..].trim();
    assert!(
        value.ends_with(['C', 'S']),
        "a complete normal, found {value}"
    );
    value.trim_end_matches(['C', 'S']).to_owned()
}

/// `04/01` as the number of the day in a year without 29 February.
fn day(month_day: &str) -> f64 {
    let date = NaiveDate::parse_from_str(&format!("2010/{month_day}"), "%Y/%m/%d").unwrap();
    let window = Window {
        half: HalfName::Spring,
        hemisphere: Hemisphere::North,
    };
    f64::from(window.day(date))
}

/// A station's years 1981 to 2010 at 32 °F.
fn thirty_years(place: &str) -> AtThreshold {
    let text = fs::read_to_string(folder().join(format!("csv/daily_{place}.csv"))).unwrap();
    let (header, rows) = text.split_once('\n').unwrap();
    let date = header.split(',').position(|name| name == "date").unwrap();
    let is_in = |row: &&str| {
        let year = row.split(',').nth(date).unwrap()[..4]
            .parse::<i32>()
            .unwrap();
        (1981..=2010).contains(&year)
    };
    let rows: Vec<&str> = rows.lines().filter(is_in).collect();
    let cut = format!("{header}\n{}\n", rows.join("\n"));
    let options = DailyOptions {
        is_whole_fahrenheit: Some(true),
        ..DailyOptions::default()
    };
    let source = Source {
        name: place,
        bytes: cut.as_bytes(),
    };
    let reading = read_daily(source, options).unwrap().remove(0);
    let threshold = Quantity {
        value: 32.0,
        unit: Unit::Fahrenheit,
    };
    let settings = Settings {
        thresholds: vec![threshold],
        hemisphere: Hemisphere::North,
        keeps_suspect: false,
        seed: 1,
        replicates: 0,
        is_brief: false,
    };
    freezes(&reading.series, &settings).remove(0)
}

#[track_caller]
fn assert_near(found: Option<f64>, noaa: f64, tolerance: f64, what: &str) {
    let found = found.unwrap();
    assert!(
        (found - noaa).abs() <= tolerance,
        "{what}: {found}, NOAA {noaa}"
    );
}

#[test]
#[cfg_attr(not(open_data), ignore = "the open records are not here")]
fn freezes_agree_with_the_normals_of_noaa() {
    for (station, place) in STATIONS {
        let at = thirty_years(place);
        assert_eq!(
            (at.spring.valid_years, at.autumn.valid_years),
            (30, 30),
            "{place}"
        );
        let [early, median, _] = at.spring.mixed;
        let what = format!("{place}, last freeze");
        assert_near(
            early,
            day(&normal("lst", 90, station)),
            DATE_DAYS,
            &format!("{what} p90"),
        );
        assert_near(
            median,
            day(&normal("lst", 50, station)),
            DATE_DAYS,
            &format!("{what} p50"),
        );
        let [_, median, late] = at.autumn.mixed;
        let what = format!("{place}, first freeze");
        assert_near(
            median,
            day(&normal("fst", 50, station)),
            DATE_DAYS,
            &format!("{what} p50"),
        );
        assert_near(
            late,
            day(&normal("fst", 90, station)),
            DATE_DAYS,
            &format!("{what} p90"),
        );
        let [short, median, _] = at.freeze_free.quantiles;
        let what = format!("{place}, season");
        let days = |percent| -> f64 { normal("gsl", percent, station).parse().unwrap() };
        assert_near(median, days(50), SEASON_DAYS, &format!("{what} p50"));
        assert_near(short, days(90), SEASON_DAYS, &format!("{what} p90"));
    }
}

/// The wrong tail would be noticed: the other end of our dates lies weeks away.
#[test]
#[cfg_attr(not(open_data), ignore = "the open records are not here")]
fn the_other_tail_is_far_from_the_normals_of_noaa() {
    for (station, place) in STATIONS {
        let at = thirty_years(place);
        let apart = |found: Option<f64>, noaa: f64| (found.unwrap() - noaa).abs();
        let last = day(&normal("lst", 90, station));
        let first = day(&normal("fst", 90, station));
        assert!(apart(at.spring.mixed[2], last) > 14.0, "{place}");
        assert!(apart(at.autumn.mixed[0], first) > 14.0, "{place}");
    }
}
