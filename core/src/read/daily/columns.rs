//! Daily records in columns: plain CSV, GHCN-Daily by station with or without header, Daily Summaries.

use chrono::NaiveDate;

use super::super::rows::{Fields, check_closed, check_lines, next_row, reader_of};
use super::super::{Notice, Source, fault_whole};
use super::record::{Shape, Stations, Value};
use super::{DailyFormat, DailyOptions, DailyReading, SummaryUnits, header};
use crate::error::{Excerpt, ReadError, ReadProblem};
use crate::quantity::{Unit, number_of};

/// Reads records in columns, a station at a time.
pub(super) fn read<E: From<ReadError>>(
    source: Source<'_>,
    options: DailyOptions,
    emit: &mut impl FnMut(DailyReading, &[Notice]) -> Result<(), E>,
) -> Result<Vec<Notice>, E> {
    check_lines(source)?;
    let mut reader = reader_of(source);
    let mut record = csv::ByteRecord::new();
    if !next_row(&mut reader, &mut record) {
        return Err(fault_whole(source, ReadProblem::Empty).into());
    }
    let first = Fields::new(source, &record);
    check_closed(source, first.at)?;
    let layout = Layout::of(source, &first, options)?;
    let notices: Vec<Notice> = header::ignored(source, &first, layout.format())
        .into_iter()
        .collect();
    let mut last = first.at;
    let mut stations = Stations::new(layout.shape(options));
    if !layout.has_header() {
        layout.row(source, &first, &mut stations)?;
    }
    while next_row(&mut reader, &mut record) {
        let fields = Fields::new(source, &record);
        last = fields.at;
        layout.row(source, &fields, &mut stations)?;
        for reading in stations.whole_readings() {
            emit(reading, &notices)?;
        }
    }
    check_closed(source, last)?;
    stations.finish(source)?;
    for reading in stations.whole_readings() {
        emit(reading, &notices)?;
    }
    Ok(notices)
}

/// Where a file keeps what.
#[derive(Debug)]
pub(super) enum Layout {
    /// A row a value: station, date, element, value, M, Q and S flag, time of observation.
    ByStation { has_header: bool },
    /// A row a day.
    Days {
        format: DailyFormat,
        unit: Unit,
        station: Option<usize>,
        date: usize,
        tmin: usize,
        tmax: Option<usize>,
        scale: f64,
        count: usize,
    },
}

impl Layout {
    pub(super) fn of(
        source: Source<'_>,
        first: &Fields<'_>,
        options: DailyOptions,
    ) -> Result<Self, ReadError> {
        let names: Vec<String> = first
            .record
            .iter()
            .map(|name| String::from_utf8_lossy(name).trim().to_ascii_lowercase())
            .collect();
        let find = |wanted: &str| names.iter().position(|name| name == wanted);
        if let Some(has_header) = by_station(first, &names) {
            return Ok(Self::ByStation { has_header });
        }
        let Some(date) = find("date") else {
            let found = Excerpt::of(first.line(source));
            return Err(first.fault(source, 0, ReadProblem::UnknownDaily { found }));
        };
        header::check(source, first, &names)?;
        let (station, count) = (find("station"), names.len());
        if let Some(tmin) = find("tmin") {
            let Some(units) = options.units else {
                return Err(first.fault(source, tmin, ReadProblem::NoUnits));
            };
            let (unit, scale) = unit_and_scale(units);
            let format = DailyFormat::Summaries;
            return Ok(Self::Days {
                format,
                unit,
                station,
                date,
                tmin,
                tmax: find("tmax"),
                scale,
                count,
            });
        }
        Self::plain(source, first, &names, (date, station))
    }

    fn plain(
        source: Source<'_>,
        first: &Fields<'_>,
        names: &[String],
        (date, station): (usize, Option<usize>),
    ) -> Result<Self, ReadError> {
        let find = |wanted: &str| names.iter().position(|name| name == wanted);
        let fault = |index, problem| Err(first.fault(source, index, problem));
        let (unit, tmin, tmax, other) = match (find("tmin_f"), find("tmin_c")) {
            (Some(_), Some(second)) => {
                let found = Excerpt::of(b"tmin_c");
                return fault(
                    second,
                    ReadProblem::Twice {
                        expected: "column of minima",
                        found,
                    },
                );
            }
            (Some(tmin), None) => (Unit::Fahrenheit, tmin, find("tmax_f"), find("tmax_c")),
            (None, Some(tmin)) => (Unit::Celsius, tmin, find("tmax_c"), find("tmax_f")),
            (None, None) => {
                let expected = "a column tmin_f or tmin_c";
                return fault(date, ReadProblem::Absent { expected });
            }
        };
        if let Some(other) = other {
            let expected = "maxima in the unit of the minima";
            let found = Excerpt::of(first.record.get(other).unwrap_or_default());
            return fault(other, ReadProblem::Field { expected, found });
        }
        let (format, scale, count) = (DailyFormat::PlainCsv, 1.0, names.len());
        Ok(Self::Days {
            format,
            unit,
            station,
            date,
            tmin,
            tmax,
            scale,
            count,
        })
    }

    /// What all stations of the file have in common.
    pub(super) fn shape(&self, options: DailyOptions) -> Shape {
        let (format, unit, has_tmax) = match self {
            Self::ByStation { .. } => (DailyFormat::ByStation, Unit::Celsius, true),
            Self::Days {
                format, unit, tmax, ..
            } => (*format, *unit, tmax.is_some()),
        };
        Shape {
            format,
            options,
            unit,
            has_tmax: has_tmax && !options.is_minima_only,
        }
    }

    pub(super) fn format(&self) -> DailyFormat {
        match self {
            Self::ByStation { .. } => DailyFormat::ByStation,
            Self::Days { format, .. } => *format,
        }
    }

    /// The column of the station; `None` where the file has one station without a name.
    pub(super) fn station_column(&self) -> Option<usize> {
        match self {
            Self::ByStation { .. } => Some(0),
            Self::Days { station, .. } => *station,
        }
    }

    pub(super) fn has_header(&self) -> bool {
        !matches!(self, Self::ByStation { has_header: false })
    }

    pub(super) fn row(
        &self,
        source: Source<'_>,
        fields: &Fields<'_>,
        stations: &mut Stations,
    ) -> Result<(), ReadError> {
        match self {
            Self::ByStation { .. } => value_row(source, fields, stations),
            Self::Days {
                station,
                date,
                tmin,
                tmax,
                scale,
                count,
                ..
            } => {
                check_count(source, fields, *count)?;
                let name = station
                    .and_then(|station| fields.record.get(station))
                    .unwrap_or_default();
                stations.turn_to(source, name, fields.at)?;
                let date = date_at(source, fields, *date)?;
                let columns = [
                    Some((Value::Tmin, *tmin)),
                    tmax.filter(|_| !stations.is_minima_only())
                        .map(|tmax| (Value::Tmax, tmax)),
                ];
                let value_of = if *scale > 1.0 { tenths_at } else { value_at };
                for (which, column) in columns.into_iter().flatten() {
                    if let Some(value) = value_of(source, fields, column)? {
                        stations.add(which, date, value / scale);
                    }
                }
                Ok(())
            }
        }
    }
}

/// An error if a row has another count of fields than the header; one whose quote stays open is told for that.
fn check_count(source: Source<'_>, fields: &Fields<'_>, count: usize) -> Result<(), ReadError> {
    if fields.record.len() == count {
        return Ok(());
    }
    check_closed(source, fields.at)?;
    let expected = "as many fields as the header has";
    let found = Excerpt::of(fields.line(source));
    let index = fields.record.len().min(count);
    Err(fields.fault(source, index, ReadProblem::Field { expected, found }))
}

/// Whether a file is GHCN-Daily by station, by its header or its first row; and whether it has a header.
fn by_station(first: &Fields<'_>, names: &[String]) -> Option<bool> {
    let has = |wanted: &str| names.iter().any(|name| name == wanted);
    if has("element") && has("data_value") {
        return Some(true);
    }
    let field = |index: usize| first.record.get(index).unwrap_or_default();
    let is_row = (7..=8).contains(&names.len()) && field(2).len() == 4;
    (is_row && date_of(field(1)).is_some()).then_some(false)
}

/// Unit of the Daily Summaries, and by what their numbers are divided.
fn unit_and_scale(units: SummaryUnits) -> (Unit, f64) {
    match units {
        SummaryUnits::Us => (Unit::Fahrenheit, 1.0),
        SummaryUnits::Metric => (Unit::Celsius, 1.0),
        SummaryUnits::Tenths => (Unit::Celsius, 10.0),
    }
}

/// A row of GHCN-Daily by station.
fn value_row(
    source: Source<'_>,
    fields: &Fields<'_>,
    stations: &mut Stations,
) -> Result<(), ReadError> {
    let field = |index: usize| fields.record.get(index).unwrap_or_default();
    if !(7..=8).contains(&fields.record.len()) {
        let expected = "the eight fields of GHCN-Daily by station";
        let found = Excerpt::of(fields.line(source));
        return Err(fields.fault(source, 0, ReadProblem::Field { expected, found }));
    }
    let which = match field(2) {
        b"TMIN" => Value::Tmin,
        b"TMAX" if !stations.is_minima_only() => Value::Tmax,
        _ => return Ok(()),
    };
    stations.turn_to(source, field(0), fields.at)?;
    let date = date_at(source, fields, 1)?;
    let Some(value) = tenths_at(source, fields, 3)? else {
        return Ok(());
    };
    if !field(5).is_empty() {
        stations.reject(which);
    } else if value > -9999.0 {
        stations.add(which, date, value / 10.0);
    }
    Ok(())
}

fn date_at(source: Source<'_>, fields: &Fields<'_>, column: usize) -> Result<NaiveDate, ReadError> {
    let field = fields.record.get(column).unwrap_or_default();
    date_of(field).ok_or_else(|| {
        let (expected, found) = ("a date such as 2027-04-10", Excerpt::of(field));
        fields.fault(source, column, ReadProblem::Field { expected, found })
    })
}

/// `2027-04-10`, or `20270410` as GHCN-Daily writes it.
fn date_of(field: &[u8]) -> Option<NaiveDate> {
    let (year, month, day) = match field {
        [year @ .., b'-', m1, m2, b'-', d1, d2] => (year, [*m1, *m2], [*d1, *d2]),
        [year @ .., m1, m2, d1, d2] if field.len() == 8 => (year, [*m1, *m2], [*d1, *d2]),
        _ => return None,
    };
    let number = |digits: &[u8]| -> Option<u32> {
        digits.iter().try_fold(0, |number, byte| {
            byte.is_ascii_digit()
                .then(|| number * 10 + u32::from(byte - b'0'))
        })
    };
    let year = if year.len() == 4 {
        number(year)?
    } else {
        return None;
    };
    NaiveDate::from_ymd_opt(i32::try_from(year).ok()?, number(&month)?, number(&day)?)
}

/// A number, or a blank, which is missing.
/// A number of tenths, which is whole: one with decimals is in another unit than the file or the user says.
fn tenths_at(
    source: Source<'_>,
    fields: &Fields<'_>,
    column: usize,
) -> Result<Option<f64>, ReadError> {
    let value = value_at(source, fields, column)?;
    if value.is_some_and(|value| value.fract() != 0.0) {
        let found = Excerpt::of(fields.record.get(column).unwrap_or_default());
        let expected = "a whole number of tenths of °C or a blank";
        return Err(fields.fault(source, column, ReadProblem::Field { expected, found }));
    }
    Ok(value)
}

fn value_at(
    source: Source<'_>,
    fields: &Fields<'_>,
    column: usize,
) -> Result<Option<f64>, ReadError> {
    let field = fields.record.get(column).unwrap_or_default();
    if field.is_empty() {
        return Ok(None);
    }
    let value = core::str::from_utf8(field).ok().and_then(number_of);
    value.map(Some).ok_or_else(|| {
        let (expected, found) = ("a temperature or a blank", Excerpt::of(field));
        fields.fault(source, column, ReadProblem::Field { expected, found })
    })
}
