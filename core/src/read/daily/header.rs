//! The header of a daily record with a row a day: no column too many, none twice, and those that are not known.

use super::super::rows::Fields;
use super::super::{MAX_COLUMNS, Notice, Source};
use super::DailyFormat;
use crate::error::{Excerpt, ReadError, ReadProblem, escaped};

/// Columns of plain CSV: the contract, section 6. Rain is known and not needed here.
const KNOWN: [&str; 8] = [
    "date", "station", "tmin_f", "tmin_c", "tmax_f", "tmax_c", "rain_in", "rain_mm",
];
/// Columns by which Daily Summaries are read.
const KNOWN_SUMMARIES: [&str; 4] = ["date", "station", "tmin", "tmax"];
/// Most columns that a notice names; the others are counted. Ours.
const MOST_NAMED: usize = 8;

/// Refuses a header of too many columns, or with a known one twice.
pub(super) fn check(
    source: Source<'_>,
    first: &Fields<'_>,
    names: &[String],
) -> Result<(), ReadError> {
    if names.len() > MAX_COLUMNS {
        let (limit, of) = (MAX_COLUMNS as u64, "columns");
        return Err(first.fault(source, MAX_COLUMNS, ReadProblem::TooMuch { limit, of }));
    }
    let is_known = |name: &str| KNOWN.contains(&name) || KNOWN_SUMMARIES.contains(&name);
    for (index, name) in names.iter().enumerate() {
        let before = names.get(..index).unwrap_or_default();
        if is_known(name) && before.contains(name) {
            let (expected, found) = ("column of each name", Excerpt::of(name.as_bytes()));
            return Err(first.fault(source, index, ReadProblem::Twice { expected, found }));
        }
    }
    Ok(())
}

/// The columns of plain CSV that are not known, by name as far as there is room; the other layouts have columns of
/// their own, which their archives name.
pub(super) fn ignored(
    source: Source<'_>,
    first: &Fields<'_>,
    format: DailyFormat,
) -> Option<Notice> {
    if format != DailyFormat::PlainCsv {
        return None;
    }
    let is_unknown = |field: &&[u8]| {
        let name = String::from_utf8_lossy(field).to_ascii_lowercase();
        !KNOWN.contains(&name.as_str())
    };
    let unknown: Vec<&[u8]> = first.record.iter().filter(is_unknown).collect();
    let more = unknown.len().saturating_sub(MOST_NAMED);
    let few = unknown.iter().take(MOST_NAMED);
    let mut names: Vec<String> = few.map(|name| Excerpt::of(name).to_string()).collect();
    if more > 0 {
        names.push(format!("and {more} more"));
    }
    (!names.is_empty()).then(|| Notice::IgnoredColumns {
        file: escaped(source.name),
        names: names.join(", "),
    })
}
