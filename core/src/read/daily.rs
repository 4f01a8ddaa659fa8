//! Daily station records: plain CSV, NOAA GHCN-Daily by station and in fixed columns, and the Daily Summaries.
//!
//! A day is missing where it has no row, a blank, a missing code, a value that its archive's quality flag rejects, or
//! one outside −90 to 60 °C; each is counted. Of two rows for one day the first counts and the second is counted.
//! Rows of a station may come in any order; a station that comes back after another is an error.
//!
//! Sources: GHCN-Daily readme (NOAA NCEI), sections II and III; GHCN-Daily by-station readme; Menne et al. 2012 (J.
//! Atmos. Oceanic Technol. 29, 897; pages from memory).

mod blocks;
mod columns;
mod fixed;
mod header;
mod lane;
mod names;
mod record;
mod stream;

use super::{Notice, Source, checked_text};
use crate::error::{ReadError, ReadProblem};
use crate::series::DailySeries;

pub use blocks::Blocks;
pub use names::{MAX_LONG_NAME_BYTES, MAX_STATIONS};
pub use stream::{Block, Opening, Plan, Stream};

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
/// [`ReadError`] with file, line, column, what was expected and what was found.
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
/// # Errors
/// As [`read_daily`].
///
/// ```
/// use fairspell::read::{daily::{read_daily_file, DailyOptions}, Source};
/// let bytes = b"date,tmin_f,fog\n2027-04-01,33,yes\n";
/// let file = read_daily_file(Source { name: "station.csv", bytes }, DailyOptions::default())?;
/// assert_eq!(file.notices[0].to_string(), "station.csv: ignored column(s) \"fog\"");
/// # Ok::<(), fairspell::error::ReadError>(())
/// ```
pub fn read_daily_file(source: Source<'_>, options: DailyOptions) -> Result<DailyFile, ReadError> {
    let unpacked = super::unpacked(source)?;
    let source = checked_text(Source {
        name: source.name,
        bytes: &unpacked,
    })?;
    let file = if fixed::is_fixed(source.bytes) {
        fixed::read(source, options)?
    } else {
        columns::read(source, options)?
    };
    if file.stations.is_empty() {
        let problem = ReadProblem::Absent {
            expected: "at least one day with a minimum",
        };
        return Err(super::fault_whole(source, problem));
    }
    Ok(file)
}
