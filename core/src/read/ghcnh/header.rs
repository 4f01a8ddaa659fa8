//! The header of GHCN-Hourly: which field is which, by name.

use chrono::NaiveDate;

use super::{Row, utc};
use crate::error::{Excerpt, ReadError, ReadProblem};
use crate::quantity::Unit;
use crate::series::Element;

/// Most fields of a line. Ours: the documentation counts 329.
const MAX_FIELDS: usize = 1024;
/// What is read, by the names of the documentation.
const VALUES: [(&str, Element, Unit); 5] = [
    ("temperature", Element::Temperature, Unit::Celsius),
    ("dew_point_temperature", Element::DewPoint, Unit::Celsius),
    ("relative_humidity", Element::Humidity, Unit::Percent),
    ("wind_speed", Element::Wind, Unit::MetrePerSecond),
    ("wind_gust", Element::Gust, Unit::MetrePerSecond),
];
/// Hours of the totals of rain.
const TOTALS: [usize; 9] = [1, 3, 6, 9, 12, 15, 18, 21, 24];
/// Parts of a time, in the layout of whole records.
const PARTS: [&str; 5] = ["year", "month", "day", "hour", "minute"];

/// A value and what is said of it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Field {
    pub(super) value: usize,
    pub(super) measurement: Option<usize>,
    pub(super) quality: Option<usize>,
    pub(super) source: Option<usize>,
}

#[derive(Debug)]
enum Time {
    Whole(usize),
    Parts([usize; 5]),
}

/// Which field is which.
#[derive(Debug)]
pub(super) struct Header {
    pub(super) count: usize,
    pub(super) station: Option<usize>,
    /// Latitude, longitude, elevation.
    pub(super) position: [Option<usize>; 3],
    pub(super) values: Vec<(Element, Unit, Field)>,
    /// Totals of rain over so many hours.
    pub(super) totals: Vec<(usize, Field)>,
    time: Time,
}

/// Whether the first line of a file is such a header.
pub(in crate::read) fn is_header(bytes: &[u8]) -> bool {
    let bytes = bytes.trim_ascii_start();
    let line = bytes.split(|byte| matches!(byte, b'\n' | b'\r')).next();
    let line = line.unwrap_or_default().to_ascii_lowercase();
    let has = |name: &[u8]| {
        line.split(|byte| *byte == b'|')
            .any(|field| field.trim_ascii() == name)
    };
    line.contains(&b'|') && (has(b"date") || has(b"year"))
}

impl Header {
    pub(super) fn read(row: &Row<'_>) -> Result<Self, ReadError> {
        if row.fields.len() > MAX_FIELDS {
            let (limit, of) = (MAX_FIELDS as u64, "columns");
            return Err(row.fault(MAX_FIELDS, ReadProblem::TooMuch { limit, of }));
        }
        let lower = row.fields.iter().map(|field| field.to_ascii_lowercase());
        let names: Vec<Vec<u8>> = lower.collect();
        let find = |wanted: &str| names.iter().position(|name| name == wanted.as_bytes());
        for (index, name) in names.iter().enumerate() {
            let is_twice = names.get(..index).unwrap_or_default().contains(name);
            if is_twice && !name.is_empty() {
                let (expected, found) = ("column of each name", Excerpt::of(name));
                return Err(row.fault(index, ReadProblem::Twice { expected, found }));
            }
        }
        let absent = |expected| row.fault(0, ReadProblem::Absent { expected });
        let parts = PARTS.map(find);
        let time = match (find("date"), parts) {
            (Some(date), _) => Time::Whole(date),
            (None, [Some(y), Some(m), Some(d), Some(h), Some(min)]) => {
                Time::Parts([y, m, d, h, min])
            }
            _ => return Err(absent("DATE, or Year, Month, Day, Hour and Minute")),
        };
        let header = Self {
            count: names.len(),
            station: find("station").or_else(|| find("station_id")),
            position: ["latitude", "longitude", "elevation"].map(find),
            values: values(&find),
            totals: totals(&find),
            time,
        };
        if header.values.is_empty() && header.totals.is_empty() {
            return Err(absent(
                "a column of weather such as temperature or precipitation",
            ));
        }
        Ok(header)
    }

    /// The measures that the file has.
    pub(super) fn elements(&self) -> Vec<(Element, Unit)> {
        let values = self
            .values
            .iter()
            .map(|(element, unit, _)| (*element, *unit));
        let rain = (!self.totals.is_empty()).then_some((Element::Rain, Unit::Millimetre));
        values.chain(rain).collect()
    }

    /// The time of a report.
    pub(super) fn time(&self, row: &Row<'_>) -> Result<i64, ReadError> {
        match &self.time {
            Time::Whole(at) => {
                let text = core::str::from_utf8(row.field(Some(*at))).unwrap_or_default();
                utc(text).map_err(|problem| row.fault(*at, problem))
            }
            Time::Parts(places) => of_parts(row, *places),
        }
    }
}

fn of_parts(row: &Row<'_>, places: [usize; 5]) -> Result<i64, ReadError> {
    let fault = |at: usize| {
        let (expected, found) = (
            "a part of a time as a whole number",
            Excerpt::of(row.field(Some(at))),
        );
        row.fault(at, ReadProblem::Field { expected, found })
    };
    let mut parts = [0_u32; 5];
    for (part, at) in parts.iter_mut().zip(places) {
        let text = core::str::from_utf8(row.field(Some(at))).unwrap_or_default();
        let is_plain =
            (1..=4).contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_digit());
        *part = text
            .parse()
            .ok()
            .filter(|_| is_plain)
            .ok_or_else(|| fault(at))?;
    }
    let ([year, month, day, hour, minute], [first, ..]) = (parts, places);
    let year = i32::try_from(year).unwrap_or(0);
    let date = NaiveDate::from_ymd_opt(year, month, day);
    let time = date.and_then(|date| date.and_hms_opt(hour, minute, 0));
    let time = time.ok_or_else(|| {
        let (expected, found) = ("a time that exists", Excerpt::of(row.line));
        row.fault(first, ReadProblem::Field { expected, found })
    })?;
    Ok(time.and_utc().timestamp())
}

fn field(find: &impl Fn(&str) -> Option<usize>, name: &str) -> Option<Field> {
    let beside = |what: &str| find(&format!("{name}_{what}"));
    Some(Field {
        value: find(name)?,
        measurement: beside("measurement_code"),
        quality: beside("quality_code"),
        source: beside("source_code"),
    })
}

fn values(find: &impl Fn(&str) -> Option<usize>) -> Vec<(Element, Unit, Field)> {
    let values = VALUES.into_iter();
    values
        .filter_map(|(name, element, unit)| Some((element, unit, field(find, name)?)))
        .collect()
}

fn totals(find: &impl Fn(&str) -> Option<usize>) -> Vec<(usize, Field)> {
    let total = |hours: usize| {
        let name = if hours == 1 {
            "precipitation".to_owned()
        } else {
            format!("precipitation_{hours}_hour")
        };
        Some((hours, field(find, &name)?))
    };
    TOTALS.into_iter().filter_map(total).collect()
}
