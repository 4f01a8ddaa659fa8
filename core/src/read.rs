//! Bytes to series: which format it is, what each row says, and what had to be left out.
//!
//! The format is recognised from the content, never from the name; gzip is unpacked. A value that no weather can
//! have becomes missing, is counted and said; a field that is no value of its column is an error with file, line
//! and column. A missing value stays missing.
//!
//! # Untrusted input
//! Any bytes give a [`Reading`] or a [`ReadError`]. Bounded are the unpacked size ([`MAX_BYTES`]), a line of CSV
//! ([`MAX_LINE_BYTES`]), its columns ([`MAX_COLUMNS`]), the nesting of JSON ([`MAX_DEPTH`]) and the hours from the
//! first row to the last ([`MAX_FILE_HOURS`], in JSON [`MAX_FORECAST_HOURS`]).

use std::borrow::Cow;
use std::io::Read as _;

use chrono_tz::Tz;

use crate::error::{Excerpt, Place, ReadError, ReadProblem, SeriesError};
use crate::quantity::counted;
use crate::series::{Element, HourlySeries};

mod blocks;
mod clean;
pub mod columns;
mod csv;
pub mod daily;
mod digits;
pub mod forecasts;
pub mod ghcnh;
mod json;
mod layout;
mod locationforecast;
mod names;
mod nws;
pub mod past;
mod rows;
#[cfg(test)]
mod sample;
pub mod stream;
mod table;
mod time;
mod totals;

pub(crate) use table::read_table;
pub use time::{local_date, parse_time};

/// Most bytes read, after unpacking. Ours: a century of hours in plain CSV takes 40 MB.
pub const MAX_BYTES: usize = 64 * 1024 * 1024;
/// Longest line of CSV. Ours: the longest line of a known station format has 269 bytes.
pub const MAX_LINE_BYTES: usize = 65_536;
/// Most columns of CSV. Ours.
pub const MAX_COLUMNS: usize = 256;
/// Deepest nesting of JSON. Ours: the formats read here nest nine deep.
pub const MAX_DEPTH: usize = 128;
/// Most hours from a file's first row to its last. Ours: 150 years, so that one stray date cannot ask for all memory.
pub const MAX_FILE_HOURS: i64 = 150 * 366 * 24;
/// Most hours from first to last of a JSON file. Ours: the forecasts read here reach ten days, and an answer of the
/// observation service has at most 500 reports; a year, so that a few bytes cannot ask for much memory.
pub const MAX_FORECAST_HOURS: i64 = 366 * 24;
/// Most members of an ensemble. Ours: operational ensembles have about 50.
pub const MAX_MEMBERS: usize = 256;

/// An input: its bytes, and the name by which messages call it.
#[derive(Debug, Clone, Copy)]
pub struct Source<'a> {
    /// The name as the user gave it; `-` for standard input.
    pub name: &'a str,
    /// All its bytes.
    pub bytes: &'a [u8],
}

/// The format that was recognised.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// Plain hourly CSV.
    PlainCsv,
    /// U.S. National Weather Service, raw gridpoint data.
    NwsGridpoint,
    /// U.S. National Weather Service, hourly forecast periods.
    NwsHourly,
    /// U.S. National Weather Service, station observations.
    NwsObservations,
    /// MET Norway Locationforecast.
    Locationforecast,
    /// NOAA GHCN-Hourly.
    GhcnHourly,
}

impl Format {
    /// Its name in messages.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::PlainCsv => "plain hourly CSV",
            Self::NwsGridpoint => "NWS gridpoint data",
            Self::NwsHourly => "NWS hourly forecast",
            Self::NwsObservations => "NWS station observations",
            Self::Locationforecast => "MET Norway Locationforecast",
            Self::GhcnHourly => "NOAA GHCN-Hourly",
        }
    }
}

/// When a forecast was issued.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Issued {
    /// The file has no time of issue.
    Unknown,
    /// The file has a place for it, and it is blank: as good as stale.
    Blank,
    /// Seconds since 1970 UTC.
    At(i64),
}

/// The place a file says it is for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Position {
    /// Degrees north.
    pub latitude: f64,
    /// Degrees east.
    pub longitude: f64,
    /// Metres above sea level, where the file says.
    pub elevation_m: Option<f64>,
}

/// Something the reader did that the user should know.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Notice {
    /// Values outside what any weather has been; they count as missing.
    #[error("{first}: {count} {} {} rejected as impossible and taken as missing, the first {found}", .element.name(), if *.count == 1 { "value" } else { "values" })]
    Rejected {
        /// Of what.
        element: Element,
        /// How many.
        count: u64,
        /// Where the first stood.
        first: Place,
        /// The first.
        found: Excerpt,
    },
    /// Hours whose dew point lies above the temperature: both taken as missing.
    #[error("{file}: {} with a dew point above the temperature, both taken as missing", counted(*.count, "hour", "hours"))]
    DewPointAbove {
        /// The file.
        file: String,
        /// How many hours.
        count: u64,
    },
    /// Columns that are no measure.
    #[error("{file}: ignored columns: {names}")]
    IgnoredColumns {
        /// The file.
        file: String,
        /// Their names, escaped.
        names: String,
    },
    /// A grid finer than an hour.
    #[error(
        "{file}: rows every {minutes} min: rain summed to the hour, other values kept as bounds"
    )]
    SubHourly {
        /// The file.
        file: String,
        /// The step.
        minutes: u32,
    },
    /// An ensemble of one.
    #[error(
        "{file}: one member only, taken as a plain forecast: how far members lie apart is not known"
    )]
    OneMember {
        /// The file.
        file: String,
    },
    /// Members that do not have the same number of rows.
    #[error("{file}: {} fewer rows than the {longest} of the longest; hours without a row are unknown", counted(*.count, "member has", "members have"))]
    UnequalMembers {
        /// The file.
        file: String,
        /// How many members.
        count: u64,
        /// Rows of the longest.
        longest: u64,
    },
    /// Percentiles the wrong way round.
    #[error("{file}: {} with the 10th percentile above the 90th, both taken as missing", counted(*.count, "hour", "hours"))]
    CrossedPercentiles {
        /// The file.
        file: String,
        /// How many hours.
        count: u64,
    },
    /// Hours within the file that have no row.
    #[error("{file}: {}", counted(*.count, "hour within the file has no row and is unknown", "hours within the file have no row and are unknown"))]
    Gaps {
        /// The file.
        file: String,
        /// How many.
        count: u64,
    },
    /// The NWS hourly forecast has no amounts of rain.
    #[error(
        "{file}: the NWS hourly forecast has no amount of rain; the gridpoint file (the same address without /forecast/hourly) has"
    )]
    NoRainAmount {
        /// The file.
        file: String,
    },
    /// Reports that carry no time.
    #[error("{file}: {} without a time left out", counted(*.count, "report", "reports"))]
    NoTime {
        /// The file.
        file: String,
        /// How many.
        count: u64,
    },
    /// Values that their own service marks as failed or doubtful.
    #[error("{file}: {} that the service's own quality control failed or questioned taken as missing", counted(*.count, "value", "values"))]
    FailedQuality {
        /// The file.
        file: String,
        /// How many.
        count: u64,
    },
    /// Steps longer than an hour, kept as bounds.
    #[error("{file}: from {} of several hours only bounds are known for each hour", counted(*.count, "step", "steps"))]
    LongSteps {
        /// The file.
        file: String,
        /// How many.
        count: u64,
    },
    /// Hours that an earlier file covers too.
    #[error("{file}: {} left out", counted(*.count, "hour that a file given before it covers too is", "hours that a file given before it covers too are"))]
    Overlap {
        /// The file.
        file: String,
        /// How many.
        count: u64,
    },
    /// Hours of an archive of forecasts that cannot be held against what came.
    #[error("{file}: {} left out: {why}", counted(*.count, "foretold hour", "foretold hours"))]
    ForecastsLeftOut {
        /// The file.
        file: String,
        /// How many.
        count: u64,
        /// Why.
        why: &'static str,
    },
    /// Chances of rain given over several hours.
    #[error(
        "{file}: the chance of rain is given over several hours at a time and compared as given in each of them"
    )]
    ChancePeriods {
        /// The file.
        file: String,
    },
}

/// What a file says.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The hours: one series, or one for each member of an ensemble, all over the same hours. Never empty.
    pub members: Vec<HourlySeries>,
    /// When it was issued.
    pub issued: Issued,
    /// The place it is for, where the file says.
    pub position: Option<Position>,
    /// Which format it was.
    pub format: Format,
    /// What the user should know.
    pub notices: Vec<Notice>,
}

/// Reads hourly weather in any format that is known, gzip or not.
///
/// `zone` places local times without an offset; both hours of the autumn clock change are taken in file order.
///
/// # Errors
/// [`ReadError`] with file, line, column, what was expected and what was found.
///
/// ```
/// use fairspell::{read::{read_hourly, Format, Source}, series::Element};
/// let bytes = b"time,temperature_f,rain_in\n2027-03-10T09:00-06:00,50,0\n2027-03-10T10:00-06:00,,0\n";
/// let reading = read_hourly(Source { name: "week.csv", bytes }, None)?;
/// assert_eq!((reading.format, reading.members[0].hours()), (Format::PlainCsv, 2));
/// # Ok::<(), fairspell::error::ReadError>(())
/// ```
pub fn read_hourly(source: Source<'_>, zone: Option<Tz>) -> Result<Reading, ReadError> {
    let bytes = unpacked(source, MAX_BYTES)?;
    let source = checked_text(Source {
        name: source.name,
        bytes: &bytes,
    })?;
    match source.bytes.iter().find(|byte| !byte.is_ascii_whitespace()) {
        None => Err(ReadError {
            place: Place::whole(source.name),
            problem: ReadProblem::Empty,
        }),
        Some(b'{' | b'[') => layout::read(source),
        Some(_) if ghcnh::is_header(source.bytes) => ghcnh::read(source),
        Some(_) => csv::read(source, zone),
    }
}

/// Bytes in which a file shows whether its rows are hours: a header of many columns fits.
const HEAD_BYTES: u64 = 65_536;

/// Whether a file, gzip or not, holds hours rather than days: JSON, or a header with a column `time`.
///
/// ```
/// use fairspell::read::is_hourly;
/// assert!(is_hourly(b"station,Time,temperature_f\n"));
/// assert!(!is_hourly(b"date,tmin_f\n"));
/// ```
#[must_use]
pub fn is_hourly(bytes: &[u8]) -> bool {
    let mut head = Vec::new();
    let _cut_short_is_fine = if bytes.starts_with(&[0x1f, 0x8b]) {
        flate2::read::MultiGzDecoder::new(bytes)
            .take(HEAD_BYTES)
            .read_to_end(&mut head)
    } else {
        bytes.take(HEAD_BYTES).read_to_end(&mut head)
    };
    let head = String::from_utf8_lossy(&head);
    let head = head.trim_start_matches('\u{feff}').trim_start();
    if head.starts_with(['{', '[']) {
        return true;
    }
    let mut names = head.lines().next().unwrap_or_default().split(',');
    names.any(|name| {
        name.trim()
            .trim_matches('"')
            .trim()
            .eq_ignore_ascii_case("time")
    })
}

/// A source without its byte-order mark, once all its bytes are known to be text.
fn checked_text(source: Source<'_>) -> Result<Source<'_>, ReadError> {
    let bytes = source
        .bytes
        .strip_prefix(b"\xef\xbb\xbf")
        .unwrap_or(source.bytes);
    let source = Source {
        name: source.name,
        bytes,
    };
    if let Err(error) = core::str::from_utf8(bytes) {
        let at = error.valid_up_to();
        let byte = bytes.get(at).copied().unwrap_or_default();
        return Err(fault_at(source, at, ReadProblem::NotText { byte }));
    }
    Ok(source)
}

fn unpacked(source: Source<'_>, limit: usize) -> Result<Cow<'_, [u8]>, ReadError> {
    let too_much = || {
        fault_whole(
            source,
            ReadProblem::TooMuch {
                limit: limit as u64,
                of: "bytes",
            },
        )
    };
    if !source.bytes.starts_with(&[0x1f, 0x8b]) {
        return if source.bytes.len() > limit {
            Err(too_much())
        } else {
            Ok(Cow::Borrowed(source.bytes))
        };
    }
    let mut plain = Vec::new();
    let mut packed = flate2::read::MultiGzDecoder::new(source.bytes).take(limit as u64 + 1);
    packed
        .read_to_end(&mut plain)
        .map_err(|_| fault_whole(source, ReadProblem::Gzip))?;
    if plain.len() > limit {
        return Err(too_much());
    }
    // Packed twice, it would be unpacked again by whoever reads it next.
    if let [0x1f, byte @ 0x8b, ..] = plain[..] {
        return Err(fault_at(source, 1, ReadProblem::NotText { byte }));
    }
    Ok(Cow::Owned(plain))
}

/// An error about a source as a whole.
fn fault_whole(source: Source<'_>, problem: ReadProblem) -> ReadError {
    ReadError {
        place: Place::whole(source.name),
        problem,
    }
}

/// An error at the byte `offset` of a source.
fn fault_at(source: Source<'_>, offset: usize, problem: ReadProblem) -> ReadError {
    ReadError {
        place: Place::of_byte(source.name, source.bytes, offset),
        problem,
    }
}

/// What a series that cannot be made says of its file.
fn series_problem(error: SeriesError) -> ReadProblem {
    match error {
        SeriesError::TooLong { limit, .. } => ReadProblem::TooMuch {
            limit: limit as u64,
            of: "hours",
        },
        _ => ReadProblem::Absent {
            expected: "at least one row of weather",
        },
    }
}
