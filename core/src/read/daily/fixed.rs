//! GHCN-Daily in fixed columns: 269 characters a line, a station, month and element each, tenths of °C.

use chrono::NaiveDate;

use super::super::{Notice, Source, fault_at};
use super::record::{Shape, Stations, Value};
use super::{DailyFormat, DailyOptions, DailyReading};
use crate::error::{Excerpt, ReadError, ReadProblem};
use crate::quantity::Unit;

/// Columns before the first day: station 1–11, year 12–15, month 16–17, element 18–21.
const HEAD: usize = 21;
/// Columns of a day: value 5, three flags.
const DAY: usize = 8;
/// A missing value.
const MISSING: i32 = -9999;

/// Whether a file looks like fixed columns: its first line has the length of at least one day, a year and a month in
/// their places, and an element in capitals.
pub(super) fn is_fixed(bytes: &[u8]) -> bool {
    let line = bytes
        .split(|byte| *byte == b'\n')
        .find(|line| !line.trim_ascii().is_empty());
    let line = line.unwrap_or_default();
    let is_number = line
        .get(11..17)
        .is_some_and(|digits| digits.iter().all(u8::is_ascii_digit));
    let is_element = line.get(17..21).is_some_and(|name| {
        name.iter()
            .all(|byte| byte.is_ascii_uppercase() || byte.is_ascii_digit())
    });
    is_number && is_element && line.len() >= HEAD + DAY && !line.contains(&b',')
}

/// Reads the lines of minima and maxima, a station at a time.
pub(super) fn read<E: From<ReadError>>(
    source: Source<'_>,
    options: DailyOptions,
    emit: &mut impl FnMut(DailyReading, &[Notice]) -> Result<(), E>,
) -> Result<(), E> {
    let has_tmax = !options.is_minima_only && source.bytes.windows(4).any(|part| part == b"TMAX");
    let mut stations = Stations::new(Shape {
        format: DailyFormat::Fixed,
        options,
        unit: Unit::Celsius,
        has_tmax,
    });
    let mut at = 0;
    for line in source.bytes.split(|byte| *byte == b'\n') {
        let text = line.strip_suffix(b"\r").unwrap_or(line);
        if !text.trim_ascii().is_empty() {
            month(source, &mut stations, text, at)?;
        }
        for reading in stations.whole_readings() {
            emit(reading, &[])?;
        }
        at += line.len() + 1;
    }
    stations.finish(source)?;
    stations
        .whole_readings()
        .try_for_each(|reading| emit(reading, &[]))
}

/// A line: its month's values.
fn month(
    source: Source<'_>,
    stations: &mut Stations,
    line: &[u8],
    at: usize,
) -> Result<(), ReadError> {
    let fault = |column: usize, expected: &'static str, found: &[u8]| {
        let problem = ReadProblem::Field {
            expected,
            found: Excerpt::of(found),
        };
        fault_at(source, at + column, problem)
    };
    let part = |from: usize, to: usize| line.get(from..to).unwrap_or_default();
    if line.len() < HEAD {
        return Err(fault(0, "station, year, month and element", line));
    }
    let which = match part(17, 21) {
        b"TMIN" => Value::Tmin,
        b"TMAX" if !stations.is_minima_only() => Value::Tmax,
        _ => return Ok(()),
    };
    stations.turn_to(source, part(0, 11).trim_ascii(), at)?;
    let year =
        whole(part(11, 15)).ok_or_else(|| fault(11, "a year of four digits", part(11, 15)))?;
    let month = whole(part(15, 17)).and_then(|month| u32::try_from(month).ok());
    let month = month.filter(|month| (1..=12).contains(month));
    let month = month.ok_or_else(|| fault(15, "a month from 01 to 12", part(15, 17)))?;
    for (day, field) in (1..=31).zip(line.get(HEAD..).unwrap_or_default().chunks(DAY)) {
        let column = HEAD + DAY * (day as usize - 1);
        let date = NaiveDate::from_ymd_opt(year, month, day);
        day_of(stations, (which, date), field)
            .map_err(|expected| fault(column, expected, field))?;
    }
    Ok(())
}

/// A day's value and flags; what was expected where they are wrong.
fn day_of(
    stations: &mut Stations,
    (which, date): (Value, Option<NaiveDate>),
    field: &[u8],
) -> Result<(), &'static str> {
    let number = field.get(..5).unwrap_or(field);
    let is_blank = number.trim_ascii().is_empty();
    let value = if is_blank {
        Some(MISSING)
    } else {
        whole(number)
    };
    let value = value.ok_or("tenths of °C in five columns")?;
    if value == MISSING {
        return Ok(());
    }
    let date = date.ok_or("no value past the month's end")?;
    if field.get(6).is_some_and(|flag| *flag != b' ') {
        stations.reject(which);
    } else {
        stations.add(which, date, f64::from(value) / 10.0);
    }
    Ok(())
}

/// A whole number with blanks around it.
fn whole(text: &[u8]) -> Option<i32> {
    core::str::from_utf8(text.trim_ascii()).ok()?.parse().ok()
}
