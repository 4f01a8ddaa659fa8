//! Errors: one type a concern, each with the place, what was expected and what was found.
//!
//! A message reads `file:line:column: expected …, found …`. Whatever comes out of a file is cut to
//! [`Excerpt::MAX_BYTES`] and escaped, so that no hostile file writes to a terminal.

use core::fmt;

/// Where in which input something was found.
///
/// `file` is the name by which the caller called it (`-` for standard input). Lines and columns count from 1,
/// columns in bytes. Line 0 stands for the input as a whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// The input's name, as the caller gave it.
    pub file: String,
    /// Line from 1; 0 for the whole input.
    pub line: u64,
    /// Column in bytes from 1; 0 for the whole line.
    pub column: u64,
}

impl Place {
    /// The input as a whole, without line or column.
    ///
    /// ```
    /// assert_eq!(fairspell::error::Place::whole("week.csv").to_string(), "week.csv");
    /// ```
    #[must_use]
    pub fn whole(file: &str) -> Self {
        Self {
            file: file.to_owned(),
            line: 0,
            column: 0,
        }
    }

    /// A line and column of an input.
    ///
    /// ```
    /// assert_eq!(fairspell::error::Place::at("week.csv", 3, 12).to_string(), "week.csv:3:12");
    /// ```
    #[must_use]
    pub fn at(file: &str, line: u64, column: u64) -> Self {
        Self {
            file: file.to_owned(),
            line,
            column,
        }
    }

    /// The place of the byte at `offset` in `bytes`: its line, and its column in bytes, both from 1. Lines end with LF,
    /// CR LF or CR.
    ///
    /// ```
    /// use fairspell::error::Place;
    /// assert_eq!(Place::of_byte("a", b"one\ntwo", 5), Place::at("a", 2, 2));
    /// assert_eq!(Place::of_byte("a", &[b'\n'; 1000], 1000), Place::at("a", 1001, 1));
    /// ```
    #[must_use]
    pub fn of_byte(file: &str, bytes: &[u8], offset: usize) -> Self {
        let offset = offset.min(bytes.len());
        let before = bytes.get(..offset).unwrap_or_default();
        if !before.contains(&b'\r') {
            // Two plain passes, for files of which many rows are asked; ends are counted in bytes, 255 bytes at a time.
            let is_end = |byte: &u8| u8::from(*byte == b'\n');
            let ends = |part: &[u8]| usize::from(part.iter().map(is_end).sum::<u8>());
            let lines: usize = before.chunks(255).map(ends).sum();
            let start = before
                .iter()
                .rposition(|byte| *byte == b'\n')
                .map_or(0, |at| at + 1);
            return Self::at(file, lines as u64 + 1, (offset - start) as u64 + 1);
        }
        let (mut line, mut start) = (1, 0);
        for (at, byte) in bytes.iter().enumerate().take(offset) {
            let is_pair = *byte == b'\r' && bytes.get(at + 1) == Some(&b'\n');
            if *byte == b'\n' || (*byte == b'\r' && !is_pair) {
                (line, start) = (line + 1, at + 1);
            }
        }
        Self::at(file, line, (offset - start) as u64 + 1)
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", escaped(&self.file))?;
        if self.line > 0 {
            write!(f, ":{}", self.line)?;
            if self.column > 0 {
                write!(f, ":{}", self.column)?;
            }
        }
        Ok(())
    }
}

/// A short, escaped piece of an input, safe to print.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Excerpt(String);

impl Excerpt {
    /// Longest piece kept, before escaping. Ours: it names a value, it does not repeat a file.
    pub const MAX_BYTES: usize = 40;

    /// Cuts and escapes `bytes`; what is not UTF-8 becomes the replacement character.
    ///
    /// ```
    /// use fairspell::error::Excerpt;
    /// assert_eq!(Excerpt::of(b"3O.2").to_string(), "\"3O.2\"");
    /// assert_eq!(Excerpt::of(b"\x1b[31m").to_string(), "\"\\u{1b}[31m\"");
    /// ```
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        let cut = bytes
            .get(..bytes.len().min(Self::MAX_BYTES))
            .unwrap_or(bytes);
        let text = String::from_utf8_lossy(cut);
        let dots = if cut.len() < bytes.len() { "…" } else { "" };
        Self(format!("\"{}{dots}\"", escaped(&text)))
    }
}

impl fmt::Display for Excerpt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// `text` without a character that a terminal would obey: control characters, the marks that turn the direction of writing,
/// and the two separators that end a line are written as escapes.
///
/// ```
/// assert_eq!(fairspell::error::escaped("a\u{202e}b\n"), "a\\u{202e}b\\n");
/// ```
#[must_use]
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        if obeyed(character) {
            out.extend(character.escape_default());
        } else {
            out.push(character);
        }
    }
    out
}

/// Text for a message, its middle left out beyond 500 bytes: what is quoted of a file may be of any length, and what was expected
/// instead stands behind it.
pub(crate) fn shortened(text: &str) -> String {
    const HEAD: usize = 100;
    const TAIL: usize = 400;
    if text.len() <= HEAD + TAIL {
        return text.to_owned();
    }
    let is_between = |at: &usize| text.is_char_boundary(*at);
    let head = (0..=HEAD).rev().find(is_between).unwrap_or(0);
    let tail = (text.len() - TAIL..text.len())
        .find(is_between)
        .unwrap_or(text.len());
    let (head, tail) = (text.get(..head), text.get(tail..));
    format!("{}…{}", head.unwrap_or_default(), tail.unwrap_or_default())
}

/// Whether a terminal or a viewer would do something for a character instead of showing it: control characters (ISO/IEC 6429,
/// among them ESC, and U+009B, which begins a sequence by itself), marks of direction (Unicode Standard Annex 9, section 2), and
/// the separators of lines and paragraphs.
pub(crate) fn obeyed(character: char) -> bool {
    character.is_control()
        || matches!(character, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// Text that is not the quantity expected.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("expected {expected}, found {found}")]
pub struct QuantityError {
    /// What would have been right, such as `a temperature such as "40 °F"`.
    pub expected: &'static str,
    /// What stood there.
    pub found: Excerpt,
}

/// Bytes that could not become a series.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{place}: {problem}")]
pub struct ReadError {
    /// Where.
    pub place: Place,
    /// What.
    pub problem: ReadProblem,
}

/// What is wrong with an input.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum ReadProblem {
    /// No bytes, or blank lines alone.
    #[error("expected weather, found an empty file")]
    Empty,
    /// Bytes that are no text.
    #[error("expected UTF-8 text, found byte 0x{byte:02x}")]
    NotText {
        /// The first byte that is wrong.
        byte: u8,
    },
    /// Text of no format that is known.
    #[error(
        "expected hourly CSV (header with \"time\"), GHCN-Hourly, U.S. NWS GeoJSON or MET Norway Locationforecast JSON, found {found}"
    )]
    UnknownFormat {
        /// How the input begins.
        found: Excerpt,
    },
    /// A field that does not hold what its column or key says.
    #[error("expected {expected}, found {found}")]
    Field {
        /// What would have been right.
        expected: &'static str,
        /// What stood there.
        found: Excerpt,
    },
    /// A column or a value in a unit that is not known for it.
    #[error("expected {expected} as the unit of {of}, found {found}")]
    Unit {
        /// The units that are known.
        expected: &'static str,
        /// The measure.
        of: &'static str,
        /// The unit found.
        found: Excerpt,
    },
    /// A key or column that must be there and is not.
    #[error("expected {expected}, found none")]
    Absent {
        /// What is missing.
        expected: &'static str,
    },
    /// A column or key that stands twice.
    #[error("expected one {expected}, found another: {found}")]
    Twice {
        /// Of what there may be only one.
        expected: &'static str,
        /// The second.
        found: Excerpt,
    },
    /// A local time without offset, and no zone to place it.
    #[error(
        "expected a time with offset or Z, or the place's time zone beside a local time, found {found}"
    )]
    NoZone {
        /// The time.
        found: Excerpt,
    },
    /// A local time that the clock change leaves out.
    #[error(
        "expected a local time that exists in {zone}, found {found}, which the clock change skips"
    )]
    SkippedTime {
        /// The zone.
        zone: &'static str,
        /// The time.
        found: Excerpt,
    },
    /// A time before the one above it.
    #[error("expected a time after the row above, found {found}, which is earlier")]
    OutOfOrder {
        /// The time.
        found: Excerpt,
    },
    /// A time that stands twice.
    #[error("expected each hour once, found {found} again")]
    Doubled {
        /// The time.
        found: Excerpt,
    },
    /// A time that does not lie on the file's own grid.
    #[error(
        "expected a time on the file's grid of {step_minutes} min, found {found}, which lies off it"
    )]
    OffGrid {
        /// The grid's step.
        step_minutes: u32,
        /// The time.
        found: Excerpt,
    },
    /// A grid step that cannot be brought to hours.
    #[error("expected a grid step of 60, 30, 20 or 15 min, found {found_minutes} min")]
    GridStep {
        /// The step found, in minutes.
        found_minutes: i64,
    },
    /// JSON that is not well formed.
    #[error("expected well-formed JSON, found an error: {detail}")]
    Json {
        /// The general reader's own words.
        detail: Excerpt,
    },
    /// More than a limit allows.
    #[error("expected at most {limit} {of}, found more")]
    TooMuch {
        /// The limit.
        limit: u64,
        /// Of what.
        of: &'static str,
    },
    /// Compressed bytes that do not unpack.
    #[error("expected a whole gzip file, found one that does not unpack")]
    Gzip,
    /// A daily record of no layout that is known.
    #[error(
        "expected a daily record (CSV with \"date\" and tmin_f or tmin_c, GHCN-Daily by station or in fixed columns, or Daily Summaries), found {found}"
    )]
    UnknownDaily {
        /// How the input begins.
        found: Excerpt,
    },
    /// Daily Summaries, whose units the file does not say.
    #[error(
        "expected the units (us, metric or tenths) beside Daily Summaries, whose file does not say them, found none"
    )]
    NoUnits,
    /// A station that comes back after another.
    #[error(
        "expected the rows of each station together, found more of {found} after another station"
    )]
    StationReturns {
        /// The station.
        found: Excerpt,
    },
    /// Several stations where one answer needs one.
    #[error("expected the hours of one station, found a second: {found}")]
    SecondStation {
        /// The second station's name.
        found: Excerpt,
    },
}

/// A site or operation file that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{place}: {problem}")]
pub struct FileError {
    /// Where.
    pub place: Place,
    /// What.
    pub problem: FileProblem,
}

/// What is wrong with a site or operation file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum FileProblem {
    /// No TOML, an unknown key, a value of the wrong type: in the words of the general reader.
    #[error("expected {file} file in TOML, found an error: {detail}")]
    Toml {
        /// `a site` or `an operation`.
        file: &'static str,
        /// The general reader's own words, in one line.
        detail: String,
    },
    /// Bytes that are no text.
    #[error("expected UTF-8 text, found byte 0x{byte:02x}")]
    NotText {
        /// The first byte that is wrong.
        byte: u8,
    },
    /// A value that is not what its key says.
    #[error("expected {expected}, found {found}")]
    Value {
        /// What would have been right.
        expected: &'static str,
        /// What stood there.
        found: Excerpt,
    },
    /// A key that must be there and is not.
    #[error("expected {expected}, found none")]
    Absent {
        /// What is missing.
        expected: &'static str,
    },
    /// A quantity that does not fit its measure.
    #[error("{0}")]
    Quantity(#[from] QuantityError),
    /// A name that is not known, with those that are spelt most like it.
    #[error("expected {expected}, nearest {nearest}, found {found}")]
    Unknown {
        /// What would have been right.
        expected: &'static str,
        /// The nearest names that are known.
        nearest: String,
        /// The name.
        found: Excerpt,
    },
    /// A limit that no weather can meet.
    #[error("expected a limit that can hold, found {found}: {why}")]
    NeverHolds {
        /// The limit.
        found: Excerpt,
        /// Why it cannot.
        why: &'static str,
    },
    /// A name that stands twice.
    #[error("expected each {of} once, found {found} again")]
    Twice {
        /// Of what.
        of: &'static str,
        /// The second.
        found: Excerpt,
    },
    /// More than a limit allows.
    #[error("expected at most {limit} {of}, found more")]
    TooMuch {
        /// The limit.
        limit: u64,
        /// Of what.
        of: &'static str,
    },
}

/// Degree days that cannot be reckoned.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum DegreeDaysError {
    /// A unit of another kind than a temperature's.
    #[error("expected {expected} as the base of degree days, found a number in {found}")]
    Unit {
        /// What kind is right.
        expected: &'static str,
        /// The unit found.
        found: &'static str,
    },
    /// A base or cap that is infinite or not a number.
    #[error(
        "expected a finite base and cap of degree days, found one that is infinite or no number"
    )]
    Base,
    /// A cap that does not lie above the base.
    #[error("expected a cap above the base {base}, found {cap}")]
    Cap {
        /// The base.
        base: f64,
        /// The cap found.
        cap: f64,
    },
}

/// Columns that do not make a series.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum SeriesError {
    /// No hour at all.
    #[error("expected at least one hour, found none")]
    Empty,
    /// More hours than are read.
    #[error("expected at most {limit} hours, found {found}")]
    TooLong {
        /// The limit.
        limit: usize,
        /// The number found.
        found: usize,
    },
    /// A column of another length than the series.
    #[error("expected {expected} values, one an hour, found {found}")]
    Length {
        /// Hours of the series.
        expected: usize,
        /// Values of the column.
        found: usize,
    },
    /// A unit of another kind than the element's.
    #[error("expected {expected} as the unit of {of}, found {found}")]
    Unit {
        /// What kind of unit is right.
        expected: &'static str,
        /// The element.
        of: &'static str,
        /// The unit found.
        found: &'static str,
    },
    /// Hours that begin at other minutes than the forecast's.
    #[error(
        "expected observed hours that begin at minute {expected} like the other file's, found hours that begin at minute {found}"
    )]
    Phase {
        /// Minute of the forecast's hours.
        expected: i64,
        /// Minute of the observed hours.
        found: i64,
    },
}

/// A question that cannot be answered for want of something that the user must say.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum DecideError {
    /// No time zone.
    #[error("expected the time zone of the place, found none")]
    NoZone,
    /// An end of the window at or before its start.
    #[error("expected a window that ends after it begins, found {seconds} s")]
    Window {
        /// Length found.
        seconds: i64,
    },
    /// A time outside the calendar.
    #[error("expected a time between the years 1900 and 2200, found {seconds} s since 1970")]
    Time {
        /// Unix seconds found.
        seconds: i64,
    },
}

/// Past hours that cannot be judged.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum HindcastError {
    /// A question that lacks something.
    #[error(transparent)]
    Decide(#[from] DecideError),
    /// Hours that make no series.
    #[error(transparent)]
    Series(#[from] SeriesError),
}

/// A month and day, or a span of them, that is none.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("expected {expected}, found {found}")]
pub struct SeasonError {
    /// What would have been right.
    pub expected: &'static str,
    /// What stood there.
    pub found: Excerpt,
}

/// A garden, or the season of its plants, that cannot be set beside an answer.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum GardenError {
    /// A kind or a limit in the site file.
    #[error(transparent)]
    File(#[from] FileError),
    /// The question itself.
    #[error(transparent)]
    Decide(#[from] DecideError),
}
