//! Rows of CSV: where each begins, and the line and column of every field.
//!
//! A line ends with LF, CR or both. A quote opens a field at its very start alone, and two quotes within are one.
//!
//! Source: RFC 4180, section 2; lone CR and LF are ours.

use super::{MAX_LINE_BYTES, Source};
use crate::error::{Excerpt, Place, ReadError, ReadProblem};

/// The general reader over a source, quotes and line ends as they come.
pub(super) fn reader_of(source: Source<'_>) -> csv::Reader<&[u8]> {
    csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(source.bytes)
}

/// The fields of a row, and where it begins.
pub(super) struct Fields<'a> {
    pub(super) record: &'a csv::ByteRecord,
    pub(super) at: usize,
}

impl<'a> Fields<'a> {
    pub(super) fn new(source: Source<'_>, record: &'a csv::ByteRecord) -> Self {
        Self {
            record,
            at: row_start(source, record),
        }
    }

    /// An error at the field `index`.
    pub(super) fn fault(
        &self,
        source: Source<'_>,
        index: usize,
        problem: ReadProblem,
    ) -> ReadError {
        ReadError {
            place: field_place(source, self.at, index),
            problem,
        }
    }

    /// The whole line.
    pub(super) fn line<'s>(&self, source: Source<'s>) -> &'s [u8] {
        line_from(source, self.at)
    }

    pub(super) fn field(&self, index: Option<usize>) -> &'a [u8] {
        index
            .and_then(|index| self.record.get(index))
            .unwrap_or_default()
    }
}

/// The next row that is not blank; the reader itself cannot fail on bytes in memory with flexible rows.
pub(super) fn next_row(reader: &mut csv::Reader<&[u8]>, record: &mut csv::ByteRecord) -> bool {
    while reader.read_byte_record(record).unwrap_or(false) {
        if record.len() > 1 || record.iter().any(|field| !field.is_empty()) {
            return true;
        }
    }
    false
}

/// What a line has too many of.
pub(super) const LONG_LINE: &str = "bytes in a line";

pub(super) fn check_lines(source: Source<'_>) -> Result<(), ReadError> {
    let mut start = 0;
    for line in source.bytes.split(|byte| ends_line(*byte)) {
        if line.len() > MAX_LINE_BYTES {
            let problem = ReadProblem::TooMuch {
                limit: MAX_LINE_BYTES as u64,
                of: LONG_LINE,
            };
            let place = place_of(source, start + MAX_LINE_BYTES);
            return Err(ReadError { place, problem });
        }
        start += line.len() + 1;
    }
    Ok(())
}

/// An error if the row at the byte `at` ends within quotes: what follows would be taken for one field.
pub(super) fn check_closed(source: Source<'_>, at: usize) -> Result<(), ReadError> {
    let end = walk(source, at, usize::MAX);
    if !end.is_quoted {
        return Ok(());
    }
    let (expected, found) = (
        "a quote that closes",
        Excerpt::of(line_from(source, end.field_at)),
    );
    Err(ReadError {
        place: place_of(source, end.field_at),
        problem: ReadProblem::Field { expected, found },
    })
}

/// First byte of a row: the reader's position may lie before line ends that it skipped.
fn row_start(source: Source<'_>, record: &csv::ByteRecord) -> usize {
    let at = record
        .position()
        .and_then(|position| usize::try_from(position.byte()).ok())
        .unwrap_or(0);
    let rest = source.bytes.get(at..).unwrap_or_default();
    at + rest.iter().take_while(|byte| ends_line(**byte)).count()
}

/// The place of field `index` in the row that starts at `at`; the row's end where it has fewer.
pub(super) fn field_place(source: Source<'_>, at: usize, index: usize) -> Place {
    place_of(source, walk(source, at, index).at)
}

/// Field `index` of the row that starts at `at`, without its quotes.
pub(super) fn field_found(source: Source<'_>, at: usize, index: usize) -> Excerpt {
    let mut record = csv::ByteRecord::new();
    let mut reader = reader_of(Source {
        name: source.name,
        bytes: source.bytes.get(at..).unwrap_or_default(),
    });
    next_row(&mut reader, &mut record);
    Excerpt::of(record.get(index).unwrap_or_default())
}

/// Where a walk over the raw bytes of a row came to its end.
struct Walk {
    at: usize,
    field_at: usize,
    is_quoted: bool,
}

/// Walks to field `index` of the row that starts at `at`, or to the row's end, past quotes as the reader does.
fn walk(source: Source<'_>, at: usize, index: usize) -> Walk {
    let mut walk = Walk {
        at,
        field_at: at,
        is_quoted: false,
    };
    let (mut fields, mut quotes) = (0, Quotes::default());
    for byte in source.bytes.get(at..).unwrap_or_default() {
        if fields == index || (ends_line(*byte) && !quotes.is_open) {
            break;
        }
        walk.at += 1;
        if *byte == b',' && !quotes.is_open {
            walk.field_at = walk.at;
            fields += 1;
        }
        quotes.pass(*byte);
    }
    walk.is_quoted = quotes.is_open;
    walk
}

/// Where a walk over raw bytes stands: within quotes, or where a quote would open.
struct Quotes {
    is_open: bool,
    may_open: bool,
}

impl Default for Quotes {
    fn default() -> Self {
        Self {
            is_open: false,
            may_open: true,
        }
    }
}

impl Quotes {
    /// Passes a byte as the reader does.
    fn pass(&mut self, byte: u8) {
        (self.is_open, self.may_open) = if self.is_open {
            (byte != b'"', true)
        } else if byte == b',' || ends_line(byte) {
            (false, true)
        } else {
            (self.may_open && byte == b'"', false)
        };
    }
}

/// Whether bytes that begin with a row end within quotes.
pub(super) fn is_open(bytes: &[u8]) -> bool {
    let mut quotes = Quotes::default();
    if bytes.contains(&b'"') {
        for byte in bytes {
            quotes.pass(*byte);
        }
    }
    quotes.is_open
}

fn ends_line(byte: u8) -> bool {
    matches!(byte, b'\n' | b'\r')
}

fn line_from(source: Source<'_>, at: usize) -> &[u8] {
    let rest = source.bytes.get(at..).unwrap_or_default();
    rest.split(|byte| ends_line(*byte))
        .next()
        .unwrap_or_default()
}

/// The place of a byte.
fn place_of(source: Source<'_>, offset: usize) -> Place {
    Place::of_byte(source.name, source.bytes, offset)
}
