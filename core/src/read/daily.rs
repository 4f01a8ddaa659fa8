//! Daily station records: plain CSV, NOAA GHCN-Daily by station and in fixed columns, and the Daily Summaries.
//!
//! A day is missing where it has no row, a blank, a missing code, a value that its archive's quality flag rejects, or
//! one outside −90 to 60 °C; each is counted. Of two rows for one day the first counts and the second is counted.
//! Rows of a station may come in any order; a station that comes back after another is an error.
//!
//! Sources: GHCN-Daily readme (NOAA NCEI), sections II and III; GHCN-Daily by-station readme; Menne et al. 2012 (J.
//! Atmos. Oceanic Technol. 29, 897; pages from memory).

mod columns;
mod fixed;
mod header;
mod lane;
mod plan;
mod record;

use chrono::NaiveDate;

use super::{Notice, Source, checked_text};
use crate::error::{ReadError, ReadProblem, SeriesError, escaped};
use crate::quantity::Unit;
use crate::series::{DailySeries, Element, MAX_DAYS};

pub use super::names::{MAX_LONG_NAME_BYTES, MAX_STATIONS};
pub use super::stream::MAX_BYTES;
pub use plan::{DailyPlan, open};

/// What is said of a record without a minimum.
const NOTHING: &str = "at least one day with a minimum";

/// Units of the Daily Summaries, which the file itself does not say.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SummaryUnits {
    /// °F.
    Us,
    /// °C.
    Metric,
    /// Tenths of °C.
    Tenths,
}

/// What the user says about a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct DailyOptions {
    /// Units of the Daily Summaries.
    pub units: Option<SummaryUnits>,
    /// Whether converted whole °F are brought back; `None`: for GHCN-Daily stations whose ID begins with `US`.
    pub is_whole_fahrenheit: Option<bool>,
    /// Whether minima are all that is wanted; maxima are then not read at all.
    pub is_minima_only: bool,
}

/// The layout of a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DailyFormat {
    /// Plain CSV, a column a measure and unit.
    PlainCsv,
    /// GHCN-Daily by station, a row a value.
    ByStation,
    /// GHCN-Daily in fixed columns, a line a station, month and element.
    Fixed,
    /// Daily Summaries, a column an element.
    Summaries,
}

/// What was left out of a record, day by day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct LeftOut {
    /// Values that the archive's own quality check rejects.
    pub flagged: u64,
    /// Values that no weather has.
    pub impossible: u64,
    /// Second values for a day.
    pub doubled: u64,
}

/// One station's record.
#[derive(Debug, Clone, PartialEq)]
pub struct DailyReading {
    /// Its days.
    pub series: DailySeries,
    /// Its layout.
    pub format: DailyFormat,
    /// What was left out.
    pub left_out: LeftOut,
}

impl DailyReading {
    /// Days that a program already has as numbers, cleaned as those of a plain CSV are: a value that no weather has becomes
    /// missing and is counted.
    ///
    /// - `first`: the first of the days, which follow one another without a gap; `tmin`, `tmax`: in `unit`, NaN is missing.
    ///
    /// # Errors
    /// [`SeriesError`] if there is no day, or too many, or as many maxima are not there.
    ///
    /// ```
    /// use fairspell::{quantity::Unit, read::daily::DailyReading};
    /// let first = chrono::NaiveDate::from_ymd_opt(2027, 4, 1).unwrap();
    /// let reading = DailyReading::of_days(("S1", first), vec![33.0, 900.0], None, Unit::Fahrenheit)?;
    /// assert_eq!((reading.series.tmin_f(0), reading.series.tmin_f(1)), (Some(33.0), None));
    /// assert_eq!(reading.left_out.impossible, 1);
    /// # Ok::<(), fairspell::error::SeriesError>(())
    /// ```
    pub fn of_days(
        (station, first): (&str, NaiveDate),
        mut tmin: Vec<f64>,
        tmax: Option<Vec<f64>>,
        unit: Unit,
    ) -> Result<Self, SeriesError> {
        let mut impossible = 0;
        let mut clean = |values: &mut Vec<f64>| {
            for value in values.iter_mut().filter(|value| !value.is_nan()) {
                let believed = Element::Temperature.believed(*value, unit);
                impossible += u64::from(believed.is_none());
                *value = believed.unwrap_or(f64::NAN);
            }
        };
        clean(&mut tmin);
        let tmax = tmax.map(|mut tmax| {
            clean(&mut tmax);
            tmax
        });
        let mut series = DailySeries::new(station, first, tmin, unit, false)?;
        if let Some(tmax) = tmax {
            series.set_tmax(tmax)?;
        }
        Ok(Self {
            series,
            format: DailyFormat::PlainCsv,
            left_out: LeftOut {
                impossible,
                ..LeftOut::default()
            },
        })
    }
}

/// What must be said of hours that were taken to days by [`DailySeries::of_hours`].
///
/// - `name`: of their file.
#[must_use]
pub fn of_hours_words(name: &str, series: &DailySeries) -> String {
    let missing = series.tmin().iter().filter(|value| value.is_nan()).count();
    format!(
        "{}: hours taken to the extremes of {} days, of which {missing} lack an hour and are missing",
        escaped(name),
        series.days()
    )
}

/// A record of one station or many, and what must be said of the file as a whole.
#[derive(Debug, Clone, PartialEq)]
pub struct DailyFile {
    /// Its stations, in the order in which they first come.
    pub stations: Vec<DailyReading>,
    /// Such as columns that are ignored.
    pub notices: Vec<Notice>,
}

/// Reads a record of one station or many, in the order in which they first come.
///
/// # Errors
/// As [`read_daily_file`].
///
/// ```
/// use fairspell::read::{daily::{read_daily, DailyOptions}, Source};
/// let bytes = b"date,tmin_f\n2027-04-01,33\n2027-04-03,28\n";
/// let stations = read_daily(Source { name: "station.csv", bytes }, DailyOptions::default())?;
/// assert_eq!((stations[0].series.days(), stations[0].series.tmin_f(2)), (3, Some(28.0)));
/// # Ok::<(), fairspell::error::ReadError>(())
/// ```
pub fn read_daily(
    source: Source<'_>,
    options: DailyOptions,
) -> Result<Vec<DailyReading>, ReadError> {
    read_daily_file(source, options).map(|file| file.stations)
}

/// The same, with what must be said of the file as a whole.
///
/// Days without a row are held too, so that few rows far apart would take much memory: all stations together may have a
/// day for each byte of the text, and one station of the longest series beside them. [`read_daily_each`] has no such bound.
///
/// # Errors
/// [`ReadError`] with file, line, column, what was expected and what was found.
///
/// ```
/// use fairspell::read::{daily::{read_daily_file, DailyOptions}, Source};
/// let bytes = b"date,tmin_f,fog\n2027-04-01,33,yes\n";
/// let file = read_daily_file(Source { name: "station.csv", bytes }, DailyOptions::default())?;
/// assert_eq!(file.notices[0].to_string(), "station.csv: ignored columns: \"fog\"");
/// # Ok::<(), fairspell::error::ReadError>(())
/// ```
pub fn read_daily_file(source: Source<'_>, options: DailyOptions) -> Result<DailyFile, ReadError> {
    let unpacked = super::unpacked(source, MAX_BYTES)?;
    let source = Source {
        name: source.name,
        bytes: &unpacked,
    };
    let (limit, mut days) = (MAX_DAYS + unpacked.len(), 0);
    let mut stations = Vec::new();
    let notices = each_of_unpacked(source, options, |reading, _| {
        days += reading.series.days();
        if days > limit {
            let (limit, of) = (
                limit as u64,
                "days from the first to the last in all stations",
            );
            return Err(super::fault_whole(
                source,
                ReadProblem::TooMuch { limit, of },
            ));
        }
        stations.push(reading);
        Ok(())
    })?;
    Ok(DailyFile { stations, notices })
}

/// Reads a record a station at a time and gives each to `take`, with what must be said of the file as a whole, which also
/// comes back in the end. Memory holds the text and one station; an error may come after stations that were taken.
///
/// # Errors
/// As [`read_daily_file`], and those of `take`.
///
/// ```
/// use fairspell::{error::ReadError, read::{daily::{read_daily_each, DailyOptions}, Source}};
/// let bytes = b"station,date,tmin_f\nA,2027-04-01,33\nB,2027-04-01,28\n";
/// let mut names = Vec::new();
/// read_daily_each(Source { name: "two.csv", bytes }, DailyOptions::default(), |reading, _| {
///     names.push(reading.series.station().to_owned());
///     Ok::<(), ReadError>(())
/// })?;
/// assert_eq!(names, ["A", "B"]);
/// # Ok::<(), ReadError>(())
/// ```
pub fn read_daily_each<E: From<ReadError>>(
    source: Source<'_>,
    options: DailyOptions,
    take: impl FnMut(DailyReading, &[Notice]) -> Result<(), E>,
) -> Result<Vec<Notice>, E> {
    let bytes = &super::unpacked(source, MAX_BYTES)?;
    let name = source.name;
    each_of_unpacked(Source { name, bytes }, options, take)
}

fn each_of_unpacked<E: From<ReadError>>(
    source: Source<'_>,
    options: DailyOptions,
    mut take: impl FnMut(DailyReading, &[Notice]) -> Result<(), E>,
) -> Result<Vec<Notice>, E> {
    let source = checked_text(source)?;
    let mut is_empty = true;
    let mut emit = |reading, notices: &[Notice]| {
        is_empty = false;
        take(reading, notices)
    };
    let notices = if fixed::is_fixed(source.bytes) {
        fixed::read(source, options, &mut emit).map(|()| Vec::new())
    } else {
        columns::read(source, options, &mut emit)
    }?;
    if is_empty {
        let problem = ReadProblem::Absent { expected: NOTHING };
        return Err(super::fault_whole(source, problem).into());
    }
    Ok(notices)
}
