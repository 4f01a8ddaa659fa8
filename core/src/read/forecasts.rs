//! Archives of forecasts: what temperature was foretold for an hour, and when. They are held against what came, to learn how
//! far a place's forecasts err.
//!
//! An archive is one of two things:
//! - CSV with a column `issued`: a row an hour of a forecast, `issued`, `time`, `temperature_f` or `temperature_c`, and
//!   `station` and `member` where wanted; as many issues as there were, in any order. Of several members the mean counts.
//! - a single forecast file in any hourly format that says when it was issued, as it was kept that day.
//!
//! What one issue says twice of a time counts once, and is counted. Hours known between bounds only are left out.

use std::collections::{BTreeMap, BTreeSet};

use chrono_tz::Tz;

use super::table::Row;
use super::{
    Issued, MAX_BYTES, Notice, Source, fault_whole, parse_time, read_hourly, read_table, unpacked,
};
use crate::error::{Excerpt, ReadError, ReadProblem};
use crate::quantity::{Unit, number_of};
use crate::series::{Element, HOUR_S};

/// Longest lead time that is kept \[h\]: sixteen days, the reach of the longest public forecasts. Ours.
pub const MAX_LEAD_H: i64 = 384;

/// A temperature that was foretold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Foretold {
    /// When it was issued \[s since 1970 UTC\].
    pub issued: i64,
    /// The time that it is for \[s since 1970 UTC\]; at or after the issue.
    pub valid: i64,
    /// The temperature \[°C\].
    pub celsius: f64,
}

/// What was foretold, by the name of the station, which is empty where an archive has none; of each archive in the order of issue,
/// then of the hours.
pub type ByStation = BTreeMap<String, Vec<Foretold>>;

/// What an archive says.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecasts {
    /// By station.
    pub stations: ByStation,
    /// What the user should know.
    pub notices: Vec<Notice>,
}

/// Adds what another archive says to what is known, station by station.
pub fn add(known: &mut ByStation, more: ByStation) {
    for (station, foretold) in more {
        known.entry(station).or_default().extend(foretold);
    }
}

/// What was foretold for a station: under its own name, and under none.
#[must_use]
pub fn of_station(known: &ByStation, station: &str) -> Vec<Foretold> {
    let named = (!station.is_empty()).then(|| known.get(station)).flatten();
    let all = known.get("").into_iter().chain(named);
    all.flatten().copied().collect()
}

/// Columns of an archive, and what it must have.
const ARCHIVE: ([&str; 6], &str) = (
    [
        "temperature_f",
        "temperature_c",
        "issued",
        "time",
        "station",
        "member",
    ],
    "an archive of forecasts: CSV with issued, time, and temperature_f or temperature_c",
);

/// Reads an archive of forecasts; `zone` places local times without an offset.
///
/// # Errors
/// [`ReadError`] with file, line and column.
///
/// ```
/// use fairspell::read::{Source, forecasts::read_forecasts};
/// let bytes = b"issued,time,temperature_f\n2027-03-09T12:00Z,2027-03-10T12:00Z,50\n";
/// let archive = read_forecasts(Source { name: "kept.csv", bytes }, None)?;
/// let one = archive.stations[""][0];
/// assert_eq!(((one.valid - one.issued) / 3600, one.celsius), (24, 10.0));
/// # Ok::<(), fairspell::error::ReadError>(())
/// ```
pub fn read_forecasts(source: Source<'_>, zone: Option<Tz>) -> Result<Forecasts, ReadError> {
    let bytes = unpacked(source, MAX_BYTES)?;
    let source = Source {
        bytes: &bytes,
        ..source
    };
    if is_archive(&bytes) {
        return archive(source, zone);
    }
    single(source, zone)
}

/// Whether the first line with words in it has a column `issued`.
fn is_archive(bytes: &[u8]) -> bool {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let mut lines = bytes.split(|byte| *byte == b'\n');
    let first = lines.find(|line| !line.trim_ascii().is_empty());
    first.is_some_and(|line| {
        let mut names = line.split(|byte| *byte == b',');
        names.any(|name| unquoted(name.trim_ascii()).eq_ignore_ascii_case(b"issued"))
    })
}

/// A field without the quotes around it.
fn unquoted(field: &[u8]) -> &[u8] {
    match field {
        [b'"', inner @ .., b'"'] => inner,
        other => other,
    }
}

/// Sum and number of the members of an hour, by station, issue and hour.
type Hours = BTreeMap<(String, i64, i64), (f64, u32)>;

/// What was left out.
#[derive(Default)]
struct LeftOut {
    early: u64,
    far: u64,
    twice: u64,
    rejected: u64,
}

fn archive(source: Source<'_>, zone: Option<Tz>) -> Result<Forecasts, ReadError> {
    let (mut hours, mut left) = (Hours::new(), LeftOut::default());
    let mut seen = BTreeSet::new();
    read_table(source, ARCHIVE, |row| {
        let Some(celsius) = temperature(row)? else {
            return Ok(());
        };
        let time = |column| time_of(row, column, zone);
        let (issued, valid) = (time(2)?, time(3)?);
        let Some(celsius) = kept(celsius, (issued, valid), &mut left) else {
            return Ok(());
        };
        let key = (row.text(4).to_owned(), issued, valid);
        if !seen.insert((key.clone(), row.text(5).to_owned())) {
            left.twice += 1;
            return Ok(());
        }
        let (sum, count) = hours.entry(key).or_default();
        *sum += celsius;
        *count += 1;
        Ok(())
    })?;
    forecasts(source, hours, &left)
}

/// The temperature of a row \[°C\]; `None`: blank.
fn temperature(row: &Row<'_, 6>) -> Result<Option<f64>, ReadError> {
    for (column, unit) in [(0, Unit::Fahrenheit), (1, Unit::Celsius)] {
        let text = row.text(column).trim();
        if text.is_empty() {
            continue;
        }
        let (expected, found) = ("a temperature or a blank", Excerpt::of(text.as_bytes()));
        let problem = ReadProblem::Field { expected, found };
        let value = number_of(text).ok_or_else(|| row.fault(column, problem))?;
        return Ok(Some(unit.to_si(value)));
    }
    Ok(None)
}

fn time_of(row: &Row<'_, 6>, column: usize, zone: Option<Tz>) -> Result<i64, ReadError> {
    let text = row.text(column).trim();
    if text.is_empty() {
        let expected = match column {
            2 => "a time of issue such as 2027-03-10T06:00-06:00 in the column issued",
            _ => "the time of the hour, such as 2027-03-10T09:00-06:00, in the column time",
        };
        let found = Excerpt::of(text.as_bytes());
        return Err(row.fault(column, ReadProblem::Field { expected, found }));
    }
    parse_time(text, zone, None).map_err(|problem| row.fault(column, problem))
}

/// A temperature that can be held against what came; else it is counted.
fn kept(celsius: f64, (issued, valid): (i64, i64), left: &mut LeftOut) -> Option<f64> {
    let count = if valid < issued {
        &mut left.early
    } else if valid - issued > MAX_LEAD_H * HOUR_S {
        &mut left.far
    } else if Element::Temperature
        .believed(celsius, Unit::Celsius)
        .is_none()
    {
        &mut left.rejected
    } else {
        return Some(celsius);
    };
    *count += 1;
    None
}

/// One forecast file, as it was kept.
fn single(source: Source<'_>, zone: Option<Tz>) -> Result<Forecasts, ReadError> {
    let reading = read_hourly(source, zone)?;
    let Issued::At(issued) = reading.issued else {
        let expected = "a forecast that says when it was issued (CSV: a column issued)";
        return Err(fault_whole(source, ReadProblem::Absent { expected }));
    };
    let (mut hours, mut left) = (Hours::new(), LeftOut::default());
    for member in &reading.members {
        let Some(column) = member.column(Element::Temperature) else {
            continue;
        };
        for hour in 0..member.hours() {
            let valid = member.time(hour);
            let exact = column
                .at(hour, Unit::Celsius)
                .filter(|(low, high)| low >= high);
            // The hour in which it was issued had begun before.
            let value = exact.filter(|_| valid >= issued).map(|(low, _)| low);
            if let Some(celsius) = value.and_then(|value| kept(value, (issued, valid), &mut left)) {
                let (sum, count) = hours.entry((String::new(), issued, valid)).or_default();
                *sum += celsius;
                *count += 1;
            }
        }
    }
    let mut forecasts = forecasts(source, hours, &left)?;
    forecasts.notices.splice(0..0, reading.notices);
    Ok(forecasts)
}

fn forecasts(source: Source<'_>, hours: Hours, left: &LeftOut) -> Result<Forecasts, ReadError> {
    if hours.is_empty() {
        let expected = "at least one temperature foretold for an hour after its issue";
        return Err(fault_whole(source, ReadProblem::Absent { expected }));
    }
    let mut stations = ByStation::new();
    for ((station, issued, valid), (sum, count)) in hours {
        let celsius = sum / f64::from(count);
        let one = Foretold {
            issued,
            valid,
            celsius,
        };
        stations.entry(station).or_default().push(one);
    }
    let file = || source.name.to_owned();
    let whys = [
        (left.early, "before their own issue"),
        (left.far, "more than 384 h after their issue"),
        (left.twice, "given twice"),
        (left.rejected, "with a temperature that no weather has"),
    ];
    let counted = whys.into_iter().filter(|(count, _)| *count > 0);
    let notice = |(count, why)| Notice::ForecastsLeftOut {
        file: file(),
        count,
        why,
    };
    Ok(Forecasts {
        stations,
        notices: counted.map(notice).collect(),
    })
}
