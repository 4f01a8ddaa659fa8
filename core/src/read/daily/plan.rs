//! A file of many stations read block by block: its layout once, then each station's rows on their own.

use super::columns::{self, Layout};
use super::{DailyOptions, DailyReading, fixed, lane};
use crate::error::{Place, ReadError};
use crate::read::rows::{Fields, next_row, reader_of};
use crate::read::{Source, checked_text};

/// The layout of a file in columns, from its first bytes.
pub struct Plan {
    name: String,
    layout: Layout,
    header: Vec<u8>,
    column: usize,
    options: DailyOptions,
}

impl Plan {
    /// The plan of a file from its first bytes, which hold at least its first line; `None` where the file must be read
    /// as a whole: fixed columns, no station column, quotes in the header.
    ///
    /// # Errors
    /// [`ReadError`] for a header that no record has.
    pub fn new(head: Source<'_>, options: DailyOptions) -> Result<Option<Self>, ReadError> {
        let line = head
            .bytes
            .split_inclusive(|byte| *byte == b'\n')
            .next()
            .unwrap_or_default();
        let is_plain =
            line.ends_with(b"\n") && !line.contains(&b'"') && !line.trim_ascii().is_empty();
        if !is_plain
            || fixed::is_fixed(line)
            || line.starts_with(b"\xef\xbb\xbf")
            || line.contains(&b'\r')
        {
            return Ok(None);
        }
        let source = checked_text(Source {
            name: head.name,
            bytes: line,
        })?;
        let mut record = csv::ByteRecord::new();
        if !next_row(&mut reader_of(source), &mut record) {
            return Ok(None);
        }
        let layout = Layout::of(source, &Fields::new(source, &record), options)?;
        let Some(column) = layout.station_column() else {
            return Ok(None);
        };
        let header = if layout.has_header() {
            line.to_vec()
        } else {
            Vec::new()
        };
        Ok(Some(Self {
            name: head.name.to_owned(),
            layout,
            header,
            column,
            options,
        }))
    }

    /// Bytes before the first row.
    #[must_use]
    pub fn header_bytes(&self) -> usize {
        self.header.len()
    }

    /// The column of the station.
    #[must_use]
    pub fn station_column(&self) -> usize {
        self.column
    }

    /// The station of a block's first row.
    #[must_use]
    pub fn station_of<'a>(&self, block: &'a [u8]) -> &'a [u8] {
        lane::field(block, self.column)
    }

    /// Reads the rows of a block by the fast lane where they are as usual, by the general reader where not. Lines of an
    /// error count from the block's first row as line 1.
    ///
    /// # Errors
    /// [`ReadError`], as [`super::read_daily`] has it.
    pub fn read(&self, block: &[u8]) -> Result<Vec<DailyReading>, ReadError> {
        match lane::read(block, &self.layout, self.options) {
            Some(reading) => Ok(vec![reading]),
            None => self.read_generally(block),
        }
    }

    /// Reads the rows of a block by the general reader alone.
    ///
    /// # Errors
    /// As [`Self::read`].
    pub fn read_generally(&self, block: &[u8]) -> Result<Vec<DailyReading>, ReadError> {
        let bytes = [self.header.as_slice(), block].concat();
        let source = Source {
            name: &self.name,
            bytes: &bytes,
        };
        let found = checked_text(source).and_then(|source| columns::read(source, self.options));
        let lines = u64::from(!self.header.is_empty());
        found.map_err(|error| {
            let line = error.place.line.saturating_sub(lines);
            ReadError {
                place: Place {
                    line,
                    ..error.place
                },
                ..error
            }
        })
    }
}
