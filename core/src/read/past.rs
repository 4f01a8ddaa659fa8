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
pub(super) mod reading;

use chrono_tz::Tz;

use super::ghcnh::{GhcnHourly, is_header};
use super::{Notice, Reading, Source, read_hourly};
use crate::error::{ReadError, ReadProblem};

pub use plan::{HourPlan, open};
pub use reading::{Joined, PastReading};

/// Most hours from a station's first row to its last, beside [`SPARE_HOURS`], for each of its rows. Ours.
pub const MAX_HOURS_A_ROW: usize = 400;
/// Hours that any station may have from its first row to its last, however few its rows: a year. Ours.
pub const SPARE_HOURS: usize = 366 * 24;

/// What is said of a record without a row.
const NOTHING: &str = "at least one row of weather";

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
