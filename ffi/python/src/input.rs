//! What Python hands over: paths, bytes, days or hours as columns.

use std::borrow::Cow;
use std::fs::File;
use std::io::Read as _;

use chrono::NaiveDate;
use chrono_tz::Tz;
use fairspell::quantity::Unit;
use fairspell::read::columns::{Columns, Values, named, read_columns};
use fairspell::read::daily::{DailyOptions, DailyReading, SummaryUnits, read_daily_file};
use fairspell::read::past::{PastReading, read_past_each};
use fairspell::read::{Issued, MAX_BYTES, Notice, Reading, Source, read_hourly};
use numpy::PyReadonlyArray1;
use pyo3::prelude::*;
use pyo3::pybacked::PyBackedBytes;

use crate::failure::Failure;

/// A day that Python counts from 1 January of year 1, as day 1, from which chrono counts as well.
type Ordinal = i32;

/// As Python hands it over; the tuples differ in length.
#[derive(FromPyObject)]
pub enum Given<'py> {
    /// Name, bytes; no bytes: the name is a path.
    File(String, Option<PyBackedBytes>),
    /// Name, station, unit, first day, minima, maxima.
    Days(
        String,
        String,
        String,
        Ordinal,
        PyReadonlyArray1<'py, f64>,
        Option<PyReadonlyArray1<'py, f64>>,
    ),
    /// Name, station, time of issue, times, columns by name.
    Hours(
        String,
        String,
        Option<i64>,
        PyReadonlyArray1<'py, i64>,
        Vec<(String, PyReadonlyArray1<'py, f64>)>,
    ),
}

/// The same, to be read without the interpreter.
#[derive(Debug, Clone)]
pub enum Input<'a> {
    /// A path.
    Path(&'a str),
    /// Name and bytes.
    Bytes(&'a str, &'a [u8]),
    /// Days.
    Days(Days<'a>),
    /// Hours.
    Hours(Hours<'a>),
}

/// Days as columns.
#[derive(Debug, Clone)]
pub struct Days<'a> {
    name: &'a str,
    station: &'a str,
    unit: &'a str,
    first: Ordinal,
    tmin: &'a [f64],
    tmax: Option<&'a [f64]>,
}

/// Hours as columns.
#[derive(Debug, Clone)]
pub struct Hours<'a> {
    name: &'a str,
    station: &'a str,
    issued: Option<i64>,
    times: &'a [i64],
    columns: Vec<(&'a str, &'a [f64])>,
}

/// The values of an array, in place.
fn values<'a, T: numpy::Element>(
    name: &str,
    array: &'a PyReadonlyArray1<'_, T>,
) -> Result<&'a [T], Failure> {
    let words = "expected a contiguous array, found one with gaps: numpy.ascontiguousarray";
    array.as_slice().map_err(|_| Failure::whole(name, words))
}

impl Given<'_> {
    /// Borrows what is there.
    pub fn input(&self) -> Result<Input<'_>, Failure> {
        Ok(match self {
            Self::File(name, None) => Input::Path(name),
            Self::File(name, Some(bytes)) => Input::Bytes(name, bytes),
            Self::Days(name, station, unit, first, tmin, tmax) => Input::Days(Days {
                name,
                station,
                unit,
                first: *first,
                tmin: values(name, tmin)?,
                tmax: tmax.as_ref().map(|tmax| values(name, tmax)).transpose()?,
            }),
            Self::Hours(name, station, issued, times, columns) => {
                let mut borrowed = Vec::with_capacity(columns.len());
                for (column, array) in columns {
                    borrowed.push((column.as_str(), values(name, array)?));
                }
                Input::Hours(Hours {
                    name,
                    station,
                    issued: *issued,
                    times: values(name, times)?,
                    columns: borrowed,
                })
            }
        })
    }
}

impl<'a> Input<'a> {
    /// The name by which the user called it.
    pub fn name(&self) -> &'a str {
        match self {
            Self::Path(name) | Self::Bytes(name, _) => name,
            Self::Days(days) => days.name,
            Self::Hours(hours) => hours.name,
        }
    }

    /// Its bytes, whole.
    pub fn bytes(&self) -> Result<Cow<'a, [u8]>, Failure> {
        match self {
            Self::Path(name) => read(name).map(Cow::Owned),
            Self::Bytes(_, bytes) => Ok(Cow::Borrowed(bytes)),
            Self::Days(_) | Self::Hours(_) => {
                let words = "expected a path or bytes, found columns";
                Err(Failure::whole(self.name(), words))
            }
        }
    }

    /// Hours, as a forecast or what was observed before it.
    pub fn hourly(&self, zone: Option<Tz>) -> Result<Reading, Failure> {
        match self {
            Self::Hours(hours) => hours.with(|columns| Ok(read_columns(columns)?)),
            Self::Days(days) => Err(Failure::whole(days.name, "expected hours, found days")),
            _ => {
                let bytes = self.bytes()?;
                Ok(read_hourly(source(self.name(), &bytes), zone)?)
            }
        }
    }

    /// Past hours of all stations, and what must be said of the input as a whole.
    pub fn past(&self, zone: Option<Tz>) -> Result<(Vec<PastReading>, Vec<Notice>), Failure> {
        match self {
            Self::Hours(hours) => {
                let reading =
                    hours.with(|columns| Ok(PastReading::of_columns(hours.station, columns)?))?;
                Ok((vec![reading], Vec::new()))
            }
            Self::Days(days) => Err(Failure::whole(days.name, "expected hours, found days")),
            _ => {
                let (bytes, mut stations) = (self.bytes()?, Vec::new());
                let notices = read_past_each(source(self.name(), &bytes), zone, |reading, _| {
                    stations.push(reading.clone());
                    Ok::<(), Failure>(())
                })?;
                Ok((stations, notices))
            }
        }
    }

    /// Days of all stations, and what must be said of the input as a whole.
    pub fn daily(
        &self,
        options: DailyOptions,
    ) -> Result<(Vec<DailyReading>, Vec<Notice>), Failure> {
        match self {
            Self::Days(days) => Ok((vec![days.reading()?], Vec::new())),
            Self::Hours(hours) => Err(Failure::whole(hours.name, "expected days, found hours")),
            _ => {
                let bytes = self.bytes()?;
                let file = read_daily_file(source(self.name(), &bytes), options)?;
                Ok((file.stations, file.notices))
            }
        }
    }
}

impl Days<'_> {
    fn reading(&self) -> Result<DailyReading, Failure> {
        let first = NaiveDate::from_num_days_from_ce_opt(self.first);
        let first =
            first.ok_or_else(|| Failure::whole(self.name, "expected a date, found none"))?;
        let unit = match self.unit {
            "f" => Unit::Fahrenheit,
            _ => Unit::Celsius,
        };
        let tmax = self.tmax.map(<[f64]>::to_vec);
        DailyReading::of_days((self.station, first), self.tmin.to_vec(), tmax, unit)
            .map_err(|error| Failure::series(self.name, error))
    }
}

impl Hours<'_> {
    /// The columns that are weather, for `work`.
    fn with<T>(&self, work: impl FnOnce(Columns<'_>) -> Result<T, Failure>) -> Result<T, Failure> {
        let mut values: Vec<Values<'_>> = Vec::with_capacity(self.columns.len());
        for (column, array) in &self.columns {
            let known = named(column);
            let known = known.map_err(|problem| Failure::whole(self.name, problem.to_string()))?;
            values.extend(known.map(|(element, unit)| (element, unit, *array)));
        }
        work(Columns {
            name: self.name,
            times: self.times,
            values: &values,
            issued: self.issued.map_or(Issued::Unknown, Issued::At),
        })
    }
}

/// Bytes with their name.
pub fn source<'a>(name: &'a str, bytes: &'a [u8]) -> Source<'a> {
    Source { name, bytes }
}

/// A file, whole, or one byte more than the core reads, so that it can say *too much*.
fn read(name: &str) -> Result<Vec<u8>, Failure> {
    let mut bytes = Vec::new();
    let result =
        File::open(name).and_then(|file| file.take(MAX_BYTES as u64 + 1).read_to_end(&mut bytes));
    let failed = |error| Failure::System {
        name: name.to_owned(),
        error,
    };
    result.map(|_| bytes).map_err(failed)
}

/// Units of Daily Summaries.
pub fn summary_units(text: Option<&str>) -> Result<Option<SummaryUnits>, Failure> {
    Ok(match text {
        None => None,
        Some("us") => Some(SummaryUnits::Us),
        Some("metric") => Some(SummaryUnits::Metric),
        Some("tenths") => Some(SummaryUnits::Tenths),
        Some(other) => {
            return Err(Failure::found(
                "record_units",
                "us, metric or tenths",
                other,
            ));
        }
    })
}
