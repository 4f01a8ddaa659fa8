//! Days of a station as they are read, brought into a series when the station is whole.

use chrono::NaiveDate;

use super::super::{Source, fault_at};
use super::{DailyFormat, DailyOptions, DailyReading, LeftOut};
use crate::error::{Excerpt, ReadError, ReadProblem, SeriesError};
use crate::quantity::Unit;
use crate::read::names::{Entry, MAX_STATIONS, Names};
use crate::series::{DailySeries, Element, MAX_DAYS};

/// What all stations of a file have in common.
#[derive(Debug, Clone, Copy)]
pub(super) struct Shape {
    pub(super) format: DailyFormat,
    pub(super) options: DailyOptions,
    pub(super) unit: Unit,
    pub(super) has_tmax: bool,
}

impl Shape {
    /// The reading of a station whose columns of minima and maxima begin at the day `first`.
    pub(super) fn reading(
        self,
        station: &[u8],
        first: NaiveDate,
        (tmin, tmax): (Vec<f64>, Vec<f64>),
        left_out: LeftOut,
    ) -> Result<DailyReading, SeriesError> {
        let is_ghcn = matches!(self.format, DailyFormat::ByStation | DailyFormat::Fixed);
        let is_us = is_ghcn && station.starts_with(b"US");
        let is_whole = self.options.is_whole_fahrenheit.unwrap_or(is_us);
        let name = String::from_utf8_lossy(station);
        let mut series = DailySeries::new(&name, first, tmin, self.unit, is_whole)?;
        if self.has_tmax {
            series.set_tmax(tmax)?;
        }
        Ok(DailyReading {
            series,
            format: self.format,
            left_out,
        })
    }
}

/// Stations in the order in which they first come; one that is left does not come back.
pub(super) struct Stations {
    shape: Shape,
    current: Option<Days>,
    names: Names,
    done: Vec<Done>,
}

/// A station that is whole, and its reading; `None` where it has no minimum.
pub(super) type Done = (Vec<u8>, Option<DailyReading>);

/// The days of the station that is being read.
struct Days {
    station: Vec<u8>,
    /// Where it begins, for faults of the station as a whole.
    at: usize,
    tmin: Vec<(NaiveDate, f64)>,
    tmax: Vec<(NaiveDate, f64)>,
    left_out: LeftOut,
}

/// Which value of a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Value {
    Tmin,
    Tmax,
}

impl Stations {
    pub(super) fn new(shape: Shape) -> Self {
        Self::after(shape, Names::default())
    }

    /// Stations that come after others of the same file, whose names are known.
    pub(super) fn after(shape: Shape, names: Names) -> Self {
        Self {
            shape,
            current: None,
            names,
            done: Vec::new(),
        }
    }

    /// The stations that are whole so far, for good.
    pub(super) fn whole(&mut self) -> Vec<Done> {
        core::mem::take(&mut self.done)
    }

    /// Of these, the readings of those that have a minimum.
    pub(super) fn whole_readings(&mut self) -> impl Iterator<Item = DailyReading> + use<> {
        self.whole().into_iter().filter_map(|done| done.1)
    }

    /// Leaves the station that is being read as if none of its rows had been seen: where it begins, and the names of
    /// the others.
    pub(super) fn into_unfinished(mut self) -> (Option<usize>, Names) {
        let at = self.current.map(|days| {
            self.names.remove(&days.station);
            days.at
        });
        (at, self.names)
    }

    /// Whether maxima are left unread.
    pub(super) fn is_minima_only(&self) -> bool {
        self.shape.options.is_minima_only
    }

    /// Turns to the station of a row at the byte `at`.
    pub(super) fn turn_to(
        &mut self,
        source: Source<'_>,
        name: &[u8],
        at: usize,
    ) -> Result<(), ReadError> {
        if self
            .current
            .as_ref()
            .is_some_and(|days| days.station == name)
        {
            return Ok(());
        }
        self.finish(source)?;
        let problem = match self.names.insert(name) {
            Entry::New => None,
            Entry::Known => Some(ReadProblem::StationReturns {
                found: Excerpt::of(name),
            }),
            Entry::Full => Some(ReadProblem::TooMuch {
                limit: MAX_STATIONS as u64,
                of: "stations",
            }),
        };
        if let Some(problem) = problem {
            return Err(fault_at(source, at, problem));
        }
        self.current = Some(Days {
            station: name.to_vec(),
            at,
            tmin: Vec::new(),
            tmax: Vec::new(),
            left_out: LeftOut::default(),
        });
        Ok(())
    }

    /// Adds a value of the current station; what no weather has is counted and missing.
    pub(super) fn add(&mut self, which: Value, date: NaiveDate, value: f64) {
        let Some(days) = &mut self.current else {
            return;
        };
        match Element::Temperature.believed(value, self.shape.unit) {
            Some(value) if which == Value::Tmin => days.tmin.push((date, value)),
            Some(value) => days.tmax.push((date, value)),
            None if which == Value::Tmin => days.left_out.impossible += 1,
            None => {}
        }
    }

    /// Counts a minimum that its archive's quality flag rejects.
    pub(super) fn reject(&mut self, which: Value) {
        if let Some(days) = self.current.as_mut().filter(|_| which == Value::Tmin) {
            days.left_out.flagged += 1;
        }
    }

    /// Ends the station that is being read.
    pub(super) fn finish(&mut self, source: Source<'_>) -> Result<(), ReadError> {
        let Some(mut days) = self.current.take() else {
            return Ok(());
        };
        let doubled = sorted(&mut days.tmin);
        sorted(&mut days.tmax);
        days.left_out.doubled += doubled;
        let (Some(first), Some(last)) = (days.tmin.first(), days.tmin.last()) else {
            self.done.push((days.station, None));
            return Ok(());
        };
        let (first, last) = (first.0, last.0);
        let count = usize::try_from(last.signed_duration_since(first).num_days() + 1).unwrap_or(0);
        if count > MAX_DAYS {
            let problem = ReadProblem::TooMuch {
                limit: MAX_DAYS as u64,
                of: "days from the first to the last",
            };
            return Err(fault_at(source, days.at, problem));
        }
        let tmin = laid(&days.tmin, first, count);
        let tmax = if self.shape.has_tmax {
            laid(&days.tmax, first, count)
        } else {
            Vec::new()
        };
        let reading = self
            .shape
            .reading(&days.station, first, (tmin, tmax), days.left_out);
        let reading = reading.map_err(|_| {
            let expected = super::NOTHING;
            fault_at(source, days.at, ReadProblem::Absent { expected })
        })?;
        self.done.push((days.station, Some(reading)));
        Ok(())
    }
}

/// Sorts by day, keeps the first of two values for one day, and counts the others.
fn sorted(values: &mut Vec<(NaiveDate, f64)>) -> u64 {
    let before = values.len();
    values.sort_by_key(|(date, _)| *date);
    values.dedup_by_key(|(date, _)| *date);
    (before - values.len()) as u64
}

/// Values laid on the days from `first` on.
fn laid(values: &[(NaiveDate, f64)], first: NaiveDate, count: usize) -> Vec<f64> {
    let mut days = vec![f64::NAN; count];
    for (date, value) in values {
        let day = usize::try_from(date.signed_duration_since(first).num_days()).ok();
        if let Some(day) = day.and_then(|day| days.get_mut(day)) {
            *day = *value;
        }
    }
    days
}
