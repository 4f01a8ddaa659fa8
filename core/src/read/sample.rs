//! For checks of the readers: texts in which quotes are written as ' for the eye, and a caret marks the value at fault.

use super::{Reading, Source, read_hourly};
use crate::error::ReadError;

/// Reads a text under a file's name.
pub(super) fn answer(name: &str, text: &str) -> Result<Reading, ReadError> {
    let text = text.replace('\'', "\"");
    read_hourly(
        Source {
            name,
            bytes: text.as_bytes(),
        },
        None,
    )
}

/// Reads a text with a caret before the value at fault: the error names that place, and what was expected there.
#[track_caller]
pub(super) fn assert_fault(name: &str, marked: &str, expected: &str) {
    let at = marked.find('^').unwrap();
    let line = marked[..at].matches('\n').count() + 1;
    let column = at - marked[..at].rfind('\n').map_or(0, |end| end + 1) + 1;
    let error = answer(name, &marked.replace('^', "")).unwrap_err();
    assert_eq!(
        error.to_string(),
        format!("{name}:{line}:{column}: expected {expected}")
    );
}
