//! Past hours of one station or many: plain hourly CSV with or without a column `station`, and every other hourly format.
//!
//! Rows of a station stand together, in order of time; a station that comes back after another is an error. Each station
//! has a grid of its own.
//!
//! # Untrusted input
//! As [`super`]; the hours from a station's first row to its last are bounded by its rows besides
//! ([`MAX_HOURS_A_ROW`]), so that few bytes cannot ask for much time.

mod gather;
mod lane;
mod plan;

use chrono_tz::Tz;

use super::columns::{Columns, read_columns};
use super::ghcnh::{GhcnHourly, is_header};
use super::{Notice, Position, Reading, Source, read_hourly};
use crate::error::{Place, ReadError, ReadProblem, SeriesError};
use crate::series::Hours;

pub use plan::{HourPlan, open};

/// Most hours from a station's first row to its last, beside [`SPARE_HOURS`], for each of its rows. Ours.
pub const MAX_HOURS_A_ROW: usize = 400;
/// Hours that any station may have from its first row to its last, however few its rows: a year. Ours.
pub const SPARE_HOURS: usize = 366 * 24;

/// What is said of a record without a row.
const NOTHING: &str = "at least one row of weather";

/// Past hours of one station.
#[derive(Debug, Clone, PartialEq)]
pub struct PastReading {
    /// Its name; empty where the file has none.
    pub station: String,
    /// Its hours.
    pub hours: Hours,
    /// The place that the file says it is for.
    pub position: Option<Position>,
    /// What the user should know of it.
    pub notices: Vec<Notice>,
}

impl PastReading {
    /// The hours of a reading; notices of the file as a whole are left out, and those of what was rejected name the file
    /// alone, since a station's rows may be read apart from the lines before them.
    pub(super) fn of(station: &[u8], reading: Reading) -> Self {
        let own = reading
            .notices
            .into_iter()
            .filter_map(|notice| match notice {
                Notice::IgnoredColumns { .. } | Notice::Gaps { .. } => None,
                Notice::Rejected {
                    element,
                    count,
                    first,
                    found,
                } => Some(Notice::Rejected {
                    element,
                    count,
                    first: Place::whole(&first.file),
                    found,
                }),
                other => Some(other),
            });
        let mut members = reading.members;
        Self {
            station: String::from_utf8_lossy(station).into_owned(),
            notices: own.collect(),
            hours: Hours::from(members.swap_remove(0)),
            position: reading.position,
        }
    }

    /// Hours that a program already has as columns.
    ///
    /// # Errors
    /// As [`read_columns`].
    ///
    /// ```
    /// use fairspell::{quantity::Unit, read::{Issued, columns::Columns, past::PastReading}, series::Element};
    /// let past = PastReading::of_columns("A", Columns {
    ///     name: "columns",
    ///     times: &[0, 3600],
    ///     values: &[(Element::Temperature, Unit::Celsius, &[5.0, 6.0])],
    ///     issued: Issued::Unknown,
    /// })?;
    /// assert_eq!((past.station.as_str(), past.hours.hours()), ("A", 2));
    /// # Ok::<(), fairspell::error::ReadError>(())
    /// ```
    pub fn of_columns(station: &str, columns: Columns<'_>) -> Result<Self, ReadError> {
        Ok(Self::of(station.as_bytes(), read_columns(columns)?))
    }

    /// Brings the hours of another file of this station to these, which count where both have an hour; that is said.
    ///
    /// - `name`: of the other file.
    ///
    /// # Errors
    /// As [`Hours::join`].
    pub fn join(&mut self, other: Self, name: &str) -> Result<(), SeriesError> {
        let (hours, overlap) = Hours::join(&self.hours, &other.hours)?;
        self.hours = hours;
        self.position = self.position.or(other.position);
        self.notices.extend(other.notices);
        if overlap > 0 {
            self.notices.push(Notice::Overlap {
                file: name.to_owned(),
                count: overlap as u64,
            });
        }
        Ok(())
    }
}

/// Reads a record of past hours a station at a time and gives each to `take`, with what must be said of the file as a
/// whole, which also comes back in the end. Memory holds the text and one station; an error may come after stations that
/// were taken.
///
/// # Errors
/// [`ReadError`] with file, line, column, what was expected and what was found, and those of `take`.
///
/// ```
/// use fairspell::{error::ReadError, read::{Source, past::read_past_each}};
/// let bytes = b"station,time,temperature_f\nA,2027-03-10T09:00Z,50\nB,2027-03-10T09:00Z,51\n";
/// let mut names = Vec::new();
/// read_past_each(Source { name: "two.csv", bytes }, None, |reading, _| {
///     names.push(reading.station.clone());
///     Ok::<(), ReadError>(())
/// })?;
/// assert_eq!(names, ["A", "B"]);
/// # Ok::<(), ReadError>(())
/// ```
pub fn read_past_each<E: From<ReadError>>(
    source: Source<'_>,
    zone: Option<Tz>,
    take: impl FnMut(&PastReading, &[Notice]) -> Result<(), E>,
) -> Result<Vec<Notice>, E> {
    let bytes = &super::unpacked(source, super::stream::MAX_BYTES)?;
    let name = source.name;
    let source = super::checked_text(Source { name, bytes })?;
    match source.bytes.iter().find(|byte| !byte.is_ascii_whitespace()) {
        Some(b'{' | b'[') | None => whole(source, zone, take),
        Some(_) if is_header(source.bytes) => {
            let mut take = take;
            let mut file = GhcnHourly::new(name);
            file.push(source.bytes)?;
            take(&file.finish()?, &[])?;
            Ok(Vec::new())
        }
        Some(_) => gather::read(source, zone, take),
    }
}

/// A file of one station that is no CSV.
fn whole<E: From<ReadError>>(
    source: Source<'_>,
    zone: Option<Tz>,
    mut take: impl FnMut(&PastReading, &[Notice]) -> Result<(), E>,
) -> Result<Vec<Notice>, E> {
    let reading = read_hourly(source, zone)?;
    check_alone(source, &reading)?;
    take(&PastReading::of(b"", reading), &[])?;
    Ok(Vec::new())
}

/// Past hours have no members: an ensemble is a forecast.
fn check_alone(source: Source<'_>, reading: &Reading) -> Result<(), ReadError> {
    if reading.members.len() == 1 {
        return Ok(());
    }
    let (limit, of) = (1, "member of past hours");
    Err(super::fault_whole(
        source,
        ReadProblem::TooMuch { limit, of },
    ))
}
