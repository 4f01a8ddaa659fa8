//! Daily station records: what the readers find in real files, and that the layouts of one station agree.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use chrono::{Datelike as _, NaiveDate, TimeDelta};
use fairspell::quantity::Unit;
use fairspell::read::Source;
use fairspell::read::daily::{DailyFormat, DailyOptions, DailyReading, SummaryUnits, read_daily};
use serde_json::Value;

/// A folder that the build found; without it the checks that need it are ignored.
fn folder(found: Option<&str>) -> PathBuf {
    PathBuf::from(found.unwrap_or_default())
}

fn read(path: &Path, options: DailyOptions) -> Vec<DailyReading> {
    let bytes = fs::read(path).unwrap();
    read_daily(
        Source {
            name: &path.display().to_string(),
            bytes: &bytes,
        },
        options,
    )
    .unwrap()
}

fn read_text(text: &str, options: DailyOptions) -> Result<Vec<DailyReading>, String> {
    let source = Source {
        name: "station.csv",
        bytes: text.as_bytes(),
    };
    read_daily(source, options).map_err(|error| error.to_string())
}

fn known(reading: &DailyReading) -> Vec<(NaiveDate, f64)> {
    let series = &reading.series;
    let days = series.tmin().iter().zip(0_i64..);
    days.filter(|(value, _)| !value.is_nan())
        .map(|(value, day)| (series.first() + TimeDelta::days(day), *value))
        .collect()
}

/// Days, first and last date, least, greatest and sum of the minima, counted independently with general numeric
/// libraries (the reference value files of the open stations).
#[test]
#[cfg_attr(
    not(all(open_data, expected_data)),
    ignore = "the open records are not here"
)]
fn the_open_stations_have_what_was_counted_elsewhere() {
    let (open, expected) = (
        folder(option_env!("FAIRSPELL_OPEN_DATA_DIR")),
        folder(option_env!("FAIRSPELL_EXPECTED_DATA_DIR")),
    );
    let mut stations = 0;
    for entry in fs::read_dir(open.join("csv")).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_stem().unwrap().to_str().unwrap().to_owned();
        if !name.starts_with("daily_") {
            continue;
        }
        let reference: Value = serde_json::from_str(
            &fs::read_to_string(expected.join(format!("{name}.json"))).unwrap(),
        )
        .unwrap();
        let readings = read(&path, DailyOptions::default());
        let [reading] = readings.as_slice() else {
            unreachable!("one station in {name}")
        };
        let known = known(reading);
        assert_eq!(
            known.len() as u64,
            reference["rows_with_tmin"].as_u64().unwrap(),
            "{name}"
        );
        let unit = reading.series.unit();
        let fahrenheit: Vec<f64> = known
            .iter()
            .map(|(_, value)| unit.convert(*value, Unit::Fahrenheit))
            .collect();
        let least = fahrenheit.iter().copied().fold(f64::INFINITY, f64::min);
        let greatest = fahrenheit.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let near = |value: f64, key: &str| {
            let wanted = reference[key].as_f64().unwrap();
            assert!(
                (value - wanted).abs() <= 1e-9 * wanted.abs().max(1.0),
                "{name} {key}: {value}, not {wanted}"
            );
        };
        near(least, "tmin_f_min");
        near(greatest, "tmin_f_max");
        near(fahrenheit.iter().sum(), "tmin_f_sum");
        assert_eq!(
            known[0].0.to_string(),
            reference["first_date"].as_str().unwrap(),
            "{name}"
        );
        stations += 1;
    }
    assert_eq!(stations, 7);
}

/// The same station in fixed columns (an original of NOAA GHCN-Daily 3.27), by station, and as plain CSV: the same days.
/// The layouts: GHCN-Daily readme, section III, and its by-station readme.
#[test]
#[cfg_attr(not(open_data), ignore = "the open records are not here")]
fn the_layouts_of_central_park_agree() {
    let open = folder(option_env!("FAIRSPELL_OPEN_DATA_DIR"));
    let fixed = read(
        &open.join("daily/USW00094728.dly.gz"),
        DailyOptions::default(),
    )
    .remove(0);
    assert_eq!(
        (fixed.format, fixed.series.station()),
        (DailyFormat::Fixed, "USW00094728")
    );
    assert!(fixed.series.is_whole_fahrenheit());
    let plain = read(
        &open.join("csv/daily_central_park_ny_us.csv"),
        DailyOptions::default(),
    )
    .remove(0);
    assert!(!plain.series.is_whole_fahrenheit());
    assert_eq!(known(&fixed), known(&plain));
    for header in [
        "",
        "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\n",
    ] {
        let mut rows = String::from(header);
        for (date, value) in known(&fixed) {
            let (year, month, day) = (date.year(), date.month(), date.day());
            writeln!(rows, "USW00094728,{year}{month:02}{day:02},PRCP,0,,,W,2400").unwrap();
            writeln!(
                rows,
                "USW00094728,{year}{month:02}{day:02},TMIN,{:.0},,,W,2400",
                value * 10.0
            )
            .unwrap();
        }
        let by_station = read_text(&rows, DailyOptions::default()).unwrap().remove(0);
        assert_eq!(by_station.format, DailyFormat::ByStation);
        assert!(by_station.series.is_whole_fahrenheit());
        assert_eq!(known(&by_station), known(&fixed));
    }
}

/// GHCN-Daily readme, section III: a non-blank quality flag failed a check, −9999 is missing. Counted by hand.
#[test]
fn flags_and_missing_codes_are_missing() {
    let rows = "ID1,20270401,TMIN,-22,,,W,\nID1,20270402,TMIN,-9999,,,W,\nID1,20270403,TMIN,-722,,I,W,\n\
        ID1,20270404,TMIN,9000,,,W,\nID1,20270404,TMAX,100,,,W,\nID1,20270405,TMIN,11,,,W,\nID1,20270405,TMIN,22,,,W,\n";
    let reading = read_text(rows, DailyOptions::default()).unwrap().remove(0);
    assert_eq!(
        known(&reading)
            .iter()
            .map(|(_, value)| *value)
            .collect::<Vec<_>>(),
        [-2.2, 1.1]
    );
    assert_eq!(
        (reading.series.days(), reading.series.is_whole_fahrenheit()),
        (5, false)
    );
    let left = reading.left_out;
    assert_eq!((left.flagged, left.impossible, left.doubled), (1, 1, 1));
    assert_eq!(
        reading.series.tmax().map(|tmax| tmax[3].to_bits()),
        Some(10.0_f64.to_bits())
    );
}

/// The contract, section 6: the Daily Summaries' units are never guessed.
#[test]
fn summaries_need_their_units() {
    let rows = "STATION,DATE,TMAX,TMIN\nS1,2027-04-01,122,-22\n";
    assert_eq!(
        read_text(rows, DailyOptions::default()),
        Err("station.csv:1:19: expected the units (us, metric or tenths) beside Daily Summaries, whose file does not say them, \
             found none"
            .to_owned())
    );
    for (units, unit, value) in [
        (SummaryUnits::Us, Unit::Fahrenheit, -22.0),
        (SummaryUnits::Metric, Unit::Celsius, -22.0),
        (SummaryUnits::Tenths, Unit::Celsius, -2.2),
    ] {
        let options = DailyOptions {
            units: Some(units),
            ..DailyOptions::default()
        };
        let reading = read_text(rows, options).unwrap().remove(0);
        assert_eq!((reading.series.unit(), known(&reading)[0].1), (unit, value));
    }
}

/// The contract, section 6: many stations in the order of first appearance; one that comes back is an error.
#[test]
fn a_station_that_comes_back_is_refused() {
    let rows = "station,date,tmin_c\nB,2027-04-01,1\nA,2027-04-01,2\nA,2027-04-02,3\n";
    let readings = read_text(rows, DailyOptions::default()).unwrap();
    assert_eq!(
        readings
            .iter()
            .map(|reading| reading.series.station())
            .collect::<Vec<_>>(),
        ["B", "A"]
    );
    assert_eq!(
        read_text(&format!("{rows}B,2027-04-02,4\n"), DailyOptions::default()),
        Err("station.csv:5:1: expected the rows of each station together, found more of \"B\" after another station"
            .to_owned())
    );
}

/// The contract, section 6: every fault has its line and column. Columns counted by hand.
#[test]
fn faults_name_their_place() {
    for (text, message) in [
        (
            "date,tmax_f\n2027-04-01,3\n",
            "1:1: expected a column tmin_f or tmin_c, found none",
        ),
        (
            "date,tmin_f\n2027-02-30,3\n",
            "2:1: expected a date such as 2027-04-10, found \"2027-02-30\"",
        ),
        (
            "date,tmin_f\n2027-04-01,3O.2\n",
            "2:12: expected a temperature or a blank, found \"3O.2\"",
        ),
        (
            "date,tmin_f\n2027-04-01\n",
            "2:11: expected as many fields as the header has, found \"2027-04-01\"",
        ),
        (
            "date,tmin_f,tmax_c\n",
            "1:13: expected maxima in the unit of the minima, found \"tmax_c\"",
        ),
        (
            "date,tmin_f,tmin_c\n",
            "1:13: expected one column of minima, found another: \"tmin_c\"",
        ),
    ] {
        assert_eq!(
            read_text(text, DailyOptions::default()),
            Err(format!("station.csv:{message}")),
            "{text}"
        );
    }
    let none = read_text("date,tmin_f\n2027-04-01,\n", DailyOptions::default());
    assert_eq!(
        none,
        Err("station.csv: expected at least one day with a minimum, found none".to_owned())
    );
}
