//! NOAA GHCN-Hourly: reports of a station, one a line, in fields between upright strokes, brought to hours.
//!
//! Both published layouts are known by the names in their header: of a station's whole record
//! (`Station_ID|Station_name|Year|Month|Day|Hour|Minute|…`) and of one year (`STATION|Station_name|DATE|…`). Times are UTC.
//! A file of any length is read line by line; memory holds the reports.
//!
//! # The rule
//! - A value that holds at the time t of its report belongs to the UTC hour in which t lies. Where several reports of an
//!   hour have it, their least and greatest bound the hour.
//! - `precipitation`, nominally of an hour, of a report after minute 30 is the amount of the hour in which the report lies;
//!   at minute 30 or before, of the hour before. `precipitation_3_hour` to `precipitation_24_hour` end where
//!   `precipitation` of the same report ends, and go by the rule of the module
//!   `totals`: bounds, where they are above 0.
//! - A trace is rain, of less than 0.005 in. A blank is missing, never dry.
//! - A value is missing, and counted, unless its quality code is blank, 0, 1, 4, 5 or 9; 5 of the sources 220 to 223, 347 and
//!   348 means removed. Rain that its measurement code calls accumulated over an unnamed time, deleted, missing, estimated,
//!   incomplete or assumed is missing too; `N-hr-accum` names its hours.
//! - Hours without a report have no row.
//!
//! Sources: GHCN-Hourly documentation 1.1.0 (NOAA NCEI), its tables of codes as retold by others, the original not at hand;
//! codes of rain after the Federal Climate Complex format of integrated surface data (from memory); trace: Federal
//! Meteorological Handbook 1 (from memory).

mod header;
mod reports;

use std::sync::Arc;

use super::clean::Rejected;
use super::past::reading::PastReading;
use super::time::parse_time;
use super::{MAX_LINE_BYTES, Notice, Position, Reading, Source};
use crate::error::{Excerpt, Place, ReadError, ReadProblem};
use crate::quantity::{Unit, number_of};
use crate::series::{Element, micrometres};
use header::{Field, Header};
use reports::{Depth, Report, Reports};

pub(super) use header::is_header;

/// Most that a trace of rain is \[µm\]: 0.005 in.
const TRACE_UM: i64 = 127;

/// A reader that takes a file piece by piece.
#[derive(Debug)]
pub struct GhcnHourly {
    name: Arc<str>,
    /// The beginning of a line whose end has not come.
    line: Vec<u8>,
    /// Number of the line that is read.
    number: u64,
    header: Option<Header>,
    station: Option<String>,
    position: Option<Position>,
    reports: Reports,
    rejected: Rejected,
    failed: u64,
}

impl GhcnHourly {
    /// A file of that name, before its first byte.
    ///
    /// ```
    /// use fairspell::read::ghcnh::GhcnHourly;
    /// let mut file = GhcnHourly::new("1999.psv");
    /// file.push(b"STATION|Station_name|DATE|temperature|temperature_Quality_Code\nUSX|Somewhere|1999-")?;
    /// file.push(b"03-01T09:51:00|4.5|1\n")?;
    /// let reading = file.finish()?;
    /// assert_eq!((reading.station.as_str(), reading.hours.hours()), ("USX", 1));
    /// # Ok::<(), fairspell::error::ReadError>(())
    /// ```
    #[must_use]
    pub fn new(name: &str) -> Self {
        Self {
            name: Arc::from(name),
            line: Vec::new(),
            number: 0,
            header: None,
            station: None,
            position: None,
            reports: Reports::default(),
            rejected: Rejected::default(),
            failed: 0,
        }
    }

    /// Takes the next bytes.
    ///
    /// # Errors
    /// [`ReadError`] with file, line and column.
    pub fn push(&mut self, bytes: &[u8]) -> Result<(), ReadError> {
        let mut rest = bytes;
        while let Some(end) = memchr::memchr(b'\n', rest) {
            let (line, next) = rest.split_at_checked(end).unwrap_or((rest, &[]));
            if self.line.is_empty() {
                self.take(line)?;
            } else {
                let mut whole = core::mem::take(&mut self.line);
                whole.extend_from_slice(line);
                self.take(&whole)?;
            }
            rest = next.get(1..).unwrap_or_default();
        }
        self.line.extend_from_slice(rest);
        self.check_length(self.line.len())
    }

    /// What the file has said.
    ///
    /// # Errors
    /// [`ReadError`] if there is no report, or the last line is none.
    pub fn finish(self) -> Result<PastReading, ReadError> {
        let (station, reading) = self.into_reading()?;
        Ok(PastReading::of(station.as_bytes(), reading))
    }

    fn into_reading(mut self) -> Result<(String, Reading), ReadError> {
        let last = core::mem::take(&mut self.line);
        self.take(&last)?;
        let mut notices: Vec<Notice> = self.rejected.notices().collect();
        let file = || self.name.to_string();
        if self.failed > 0 {
            let (file, count) = (file(), self.failed);
            notices.push(Notice::FailedQuality { file, count });
        }
        let name = &*self.name;
        let source = Source { name, bytes: b"" };
        let elements = self
            .header
            .map_or_else(Vec::new, |header| header.elements());
        let reading = self
            .reports
            .into_reading(source, &elements, self.position)?;
        let notices = notices.into_iter().chain(reading.notices).collect();
        let reading = Reading { notices, ..reading };
        Ok((self.station.unwrap_or_default(), reading))
    }

    fn check_length(&self, length: usize) -> Result<(), ReadError> {
        if length <= MAX_LINE_BYTES {
            return Ok(());
        }
        let (limit, of) = (MAX_LINE_BYTES as u64, super::rows::LONG_LINE);
        Err(ReadError {
            place: Place::at(&self.name, self.number + 1, limit + 1),
            problem: ReadProblem::TooMuch { limit, of },
        })
    }

    /// Takes a line, without its end.
    fn take(&mut self, line: &[u8]) -> Result<(), ReadError> {
        self.check_length(line.len())?;
        self.number += 1;
        let line = line.strip_suffix(b"\r").unwrap_or(line);
        let line = line.strip_prefix(b"\xef\xbb\xbf").unwrap_or(line);
        if line.trim_ascii().is_empty() {
            return Ok(());
        }
        let fields: Vec<&[u8]> = line
            .split(|byte| *byte == b'|')
            .map(<[u8]>::trim_ascii)
            .collect();
        let row = Row {
            name: Arc::clone(&self.name),
            number: self.number,
            line,
            fields,
        };
        match self.header.take() {
            None => self.header = Some(Header::read(&row)?),
            Some(header) => {
                let done = self.report(&header, &row);
                self.header = Some(header);
                done?;
            }
        }
        Ok(())
    }

    fn report(&mut self, header: &Header, row: &Row<'_>) -> Result<(), ReadError> {
        if row.fields.len() != header.count {
            let (expected, found) = ("as many fields as the header has", Excerpt::of(row.line));
            let index = row.fields.len().min(header.count);
            return Err(row.fault(index, ReadProblem::Field { expected, found }));
        }
        self.check_station(header, row)?;
        let time = header.time(row)?;
        let mut report = Report::at(time);
        for (place, (element, unit, field)) in header.values.iter().enumerate() {
            if let Some(value) = self.given(row, field)? {
                let at = || {
                    (
                        row.place(field.value),
                        Excerpt::of(row.field(Some(field.value))),
                    )
                };
                let kept = self.rejected.keep(*element, value, *unit, at);
                report.put(place, kept);
            }
        }
        self.reports.add(report);
        for (hours, field) in &header.totals {
            self.total(row, time, (*hours, field))?;
        }
        Ok(())
    }

    /// A value that is there, and that its archive does not doubt.
    fn given(&mut self, row: &Row<'_>, field: &Field) -> Result<Option<f64>, ReadError> {
        let text = row.field(Some(field.value));
        if text.is_empty() {
            return Ok(None);
        }
        let value = core::str::from_utf8(text).ok().and_then(number_of);
        let value = value.ok_or_else(|| {
            let (expected, found) = ("a number or a blank", Excerpt::of(text));
            row.fault(field.value, ReadProblem::Field { expected, found })
        })?;
        let is_good = is_good(row.field(field.quality), row.field(field.source));
        self.failed += u64::from(!is_good);
        Ok(Some(value).filter(|_| is_good))
    }

    /// A total of rain of a report.
    fn total(
        &mut self,
        row: &Row<'_>,
        time: i64,
        (hours, field): (usize, &Field),
    ) -> Result<(), ReadError> {
        let Some(value) = self.given(row, field)? else {
            return Ok(());
        };
        let at = || {
            (
                row.place(field.value),
                Excerpt::of(row.field(Some(field.value))),
            )
        };
        let kept = self
            .rejected
            .keep(Element::Rain, value, Unit::Millimetre, at);
        if kept.is_nan() {
            return Ok(());
        }
        let um = micrometres(kept, Unit::Millimetre);
        match measured(row.field(field.measurement)) {
            Measured::Amount => self.reports.rain(time, Depth::exact(hours, um)),
            Measured::Over(hours) => self.reports.rain(time, Depth::exact(hours, um)),
            Measured::Trace => self.reports.rain(
                time,
                Depth {
                    hours,
                    low_um: 1,
                    high_um: um.max(TRACE_UM),
                },
            ),
            Measured::Not => self.failed += 1,
        }
        Ok(())
    }

    fn check_station(&mut self, header: &Header, row: &Row<'_>) -> Result<(), ReadError> {
        let name = row.field(header.station);
        match &self.station {
            Some(first) if first.as_bytes() == name => return Ok(()),
            Some(_) => {
                let found = Excerpt::of(name);
                let problem = ReadProblem::SecondStation { found };
                return Err(row.fault(header.station.unwrap_or(0), problem));
            }
            None => {}
        }
        self.station = Some(String::from_utf8_lossy(name).into_owned());
        let number = |field: Option<usize>| {
            core::str::from_utf8(row.field(field))
                .ok()
                .and_then(number_of)
        };
        let [latitude, longitude, elevation] = header.position.map(number);
        let within = |value: Option<f64>, most: f64| value.filter(|value| value.abs() <= most);
        let place = within(latitude, 90.0).zip(within(longitude, 180.0));
        self.position = place.map(|(latitude, longitude)| Position {
            latitude,
            longitude,
            elevation_m: within(elevation, 9000.0),
        });
        Ok(())
    }
}

/// A line in fields.
struct Row<'a> {
    name: Arc<str>,
    number: u64,
    line: &'a [u8],
    fields: Vec<&'a [u8]>,
}

impl<'a> Row<'a> {
    fn field(&self, index: Option<usize>) -> &'a [u8] {
        let field = index.and_then(|index| self.fields.get(index));
        field.copied().unwrap_or_default()
    }

    /// The place of a field.
    fn place(&self, index: usize) -> Place {
        let before = self.line.split(|byte| *byte == b'|').take(index);
        let column: usize = before.map(|field| field.len() + 1).sum();
        Place::at(
            &self.name,
            self.number,
            column.min(self.line.len()) as u64 + 1,
        )
    }

    fn fault(&self, index: usize, problem: ReadProblem) -> ReadError {
        let place = self.place(index);
        ReadError { place, problem }
    }
}

/// The code itself of a field that may spell it out, as in `9-Missing`.
fn code(field: &[u8]) -> &[u8] {
    match field {
        [code, b'-', ..] if !code.is_ascii_digit() || !field.ends_with(b"accum") => {
            core::slice::from_ref(code)
        }
        _ => field,
    }
}

/// Whether the archive's own checks let a value pass.
fn is_good(quality: &[u8], source: &[u8]) -> bool {
    match code(quality) {
        b"" | b"0" | b"1" | b"4" | b"9" => true,
        b"5" => !matches!(source, b"220" | b"221" | b"222" | b"223" | b"347" | b"348"),
        _ => false,
    }
}

/// What a measurement code says of rain.
enum Measured {
    Amount,
    Over(usize),
    Trace,
    Not,
}

fn measured(field: &[u8]) -> Measured {
    if let Some(hours) = field.strip_suffix(b"-hr-accum") {
        let hours = core::str::from_utf8(hours)
            .ok()
            .and_then(|hours| hours.parse().ok());
        let hours = hours.filter(|hours| (1..=24).contains(hours));
        return hours.map_or(Measured::Not, Measured::Over);
    }
    match code(field) {
        b"" => Measured::Amount,
        b"2" | b"T" => Measured::Trace,
        _ => Measured::Not,
    }
}

/// Reads a file in memory.
pub(super) fn read(source: Source<'_>) -> Result<Reading, ReadError> {
    let mut file = GhcnHourly::new(source.name);
    file.push(source.bytes)?;
    file.into_reading().map(|(_, reading)| reading)
}

/// An instant, in UTC where it has no offset.
fn utc(text: &str) -> Result<i64, ReadProblem> {
    parse_time(text, Some(chrono_tz::Tz::UTC), None)
}
