//! Small tables in CSV that people write by hand, such as a log: columns by name, blanks where nothing is said.

use super::rows::{Fields, check_closed, check_lines, next_row, reader_of};
use super::{MAX_BYTES, MAX_COLUMNS, Source, checked_text, fault_whole, unpacked};
use crate::error::{Excerpt, ReadError, ReadProblem};

/// A row of a table.
pub(crate) struct Row<'a, const N: usize> {
    source: Source<'a>,
    fields: Fields<'a>,
    columns: [Option<usize>; N],
}

impl<const N: usize> Row<'_, N> {
    /// The text of a column, by its place among the names; empty where the table does not have it.
    pub(crate) fn text(&self, column: usize) -> &str {
        let index = self.columns.get(column).copied().flatten();
        core::str::from_utf8(self.fields.field(index)).unwrap_or_default()
    }

    /// An error at a column.
    pub(crate) fn fault(&self, column: usize, problem: ReadProblem) -> ReadError {
        let index = self.columns.get(column).copied().flatten();
        self.fields.fault(self.source, index.unwrap_or(0), problem)
    }
}

/// Reads a table and gives each row to `take`. Of the first two columns one at least must be there; columns of other names
/// are passed over.
pub(crate) fn read_table<const N: usize>(
    source: Source<'_>,
    (names, expected): ([&str; N], &'static str),
    mut take: impl FnMut(&Row<'_, N>) -> Result<(), ReadError>,
) -> Result<(), ReadError> {
    let bytes = unpacked(source, MAX_BYTES)?;
    let name = source.name;
    let source = checked_text(Source {
        name,
        bytes: &bytes,
    })?;
    check_lines(source)?;
    let mut reader = reader_of(source);
    let mut record = csv::ByteRecord::new();
    if !next_row(&mut reader, &mut record) {
        return Err(fault_whole(source, ReadProblem::Absent { expected }));
    }
    let first = Fields::new(source, &record);
    let columns = columns_of(source, &first, names)?;
    if !columns.iter().take(2).any(Option::is_some) {
        let found = Excerpt::of(first.line(source));
        return Err(first.fault(source, 0, ReadProblem::Field { expected, found }));
    }
    let mut last = first.at;
    while next_row(&mut reader, &mut record) {
        let fields = Fields::new(source, &record);
        last = fields.at;
        take(&Row {
            source,
            fields,
            columns,
        })?;
    }
    check_closed(source, last)
}

/// The place of each name in the header; none of them may stand twice.
fn columns_of<const N: usize>(
    source: Source<'_>,
    first: &Fields<'_>,
    names: [&str; N],
) -> Result<[Option<usize>; N], ReadError> {
    if first.record.len() > MAX_COLUMNS {
        let (limit, of) = (MAX_COLUMNS as u64, "columns");
        return Err(first.fault(source, MAX_COLUMNS, ReadProblem::TooMuch { limit, of }));
    }
    let mut columns = [None; N];
    for (index, field) in first.record.iter().enumerate() {
        let is_named = |name: &str| name.as_bytes().eq_ignore_ascii_case(field);
        let Some(place) = names.iter().position(|name| is_named(name)) else {
            continue;
        };
        if let Some(column) = columns.get_mut(place)
            && column.replace(index).is_some()
        {
            let (expected, found) = ("column of each name", Excerpt::of(field));
            return Err(first.fault(source, index, ReadProblem::Twice { expected, found }));
        }
    }
    Ok(columns)
}
