//! How a call ended, the words of the thread's last error, and the one door through which every entry goes.

use std::cell::RefCell;
use std::panic::{AssertUnwindSafe, catch_unwind};

use fairspell::error::{
    DecideError, FileError, GardenError, HindcastError, Place, ReadError, SeasonError, SeriesError,
};

/// How a call ended: one of the `FAIRSPELL_…` numbers below. A number never changes its meaning; new ones may come.
pub type Status = i32;

/// The call did what it says.
pub const FAIRSPELL_OK: Status = 0;
/// A pointer that may not be NULL is NULL.
pub const FAIRSPELL_NULL: Status = 1;
/// A number, a length or an index lies outside what is allowed, or is infinite or NaN where that has no meaning.
pub const FAIRSPELL_RANGE: Status = 2;
/// A text is not UTF-8.
pub const FAIRSPELL_UTF8: Status = 3;
/// The buffer is too small; the size needed was written, the buffer was not.
pub const FAIRSPELL_SMALL: Status = 4;
/// A handle is of another kind than asked for, or is none.
pub const FAIRSPELL_KIND: Status = 5;
/// Bytes, columns or words that cannot be read; the last error says where, what was expected and what was found.
pub const FAIRSPELL_INPUT: Status = 6;
/// There is no such thing: no spell, no fit, no season, nothing known.
pub const FAIRSPELL_ABSENT: Status = 7;
/// The question cannot be answered: no time zone, a window that is none.
pub const FAIRSPELL_QUESTION: Status = 8;
/// The size given for a struct is not the one that this library knows.
pub const FAIRSPELL_SIZE: Status = 9;
/// A pointer does not lie where a value of its type can.
pub const FAIRSPELL_ALIGNMENT: Status = 10;
/// A fault in the library itself, which was caught: please report it. The answer, if any, is not there.
pub const FAIRSPELL_FAULT: Status = 11;

/// Version of this ABI: 1000 times its first number and its second. The first changes when a program that was built
/// before would no longer run, the second when something was added.
pub const FAIRSPELL_ABI_VERSION: u32 = 1000;

/// Why a call did not end well.
#[derive(Debug)]
pub(crate) struct Fault {
    pub(crate) status: Status,
    pub(crate) words: String,
    pub(crate) line: u64,
    pub(crate) column: u64,
}

impl Fault {
    pub(crate) fn new(status: Status, words: impl Into<String>) -> Self {
        Self {
            status,
            words: words.into(),
            line: 0,
            column: 0,
        }
    }

    pub(crate) fn range(words: impl Into<String>) -> Self {
        Self::new(FAIRSPELL_RANGE, words)
    }

    pub(crate) fn absent(words: impl Into<String>) -> Self {
        Self::new(FAIRSPELL_ABSENT, words)
    }

    fn at(place: &Place, words: &impl ToString) -> Self {
        Self {
            status: FAIRSPELL_INPUT,
            words: words.to_string(),
            line: place.line,
            column: place.column,
        }
    }
}

impl From<ReadError> for Fault {
    fn from(error: ReadError) -> Self {
        Self::at(&error.place, &error)
    }
}

impl From<FileError> for Fault {
    fn from(error: FileError) -> Self {
        Self::at(&error.place, &error)
    }
}

impl From<SeriesError> for Fault {
    fn from(error: SeriesError) -> Self {
        Self::new(FAIRSPELL_INPUT, error.to_string())
    }
}

impl From<SeasonError> for Fault {
    fn from(error: SeasonError) -> Self {
        Self::new(FAIRSPELL_INPUT, error.to_string())
    }
}

impl From<DecideError> for Fault {
    fn from(error: DecideError) -> Self {
        let words = match error {
            // In C a zone comes with the site.
            DecideError::NoZone => "expected a site with a time zone, found one without".to_owned(),
            error => error.to_string(),
        };
        Self::new(FAIRSPELL_QUESTION, words)
    }
}

impl From<GardenError> for Fault {
    fn from(error: GardenError) -> Self {
        match error {
            GardenError::File(error) => error.into(),
            GardenError::Decide(error) => error.into(),
            error => Self::new(FAIRSPELL_QUESTION, error.to_string()),
        }
    }
}

impl From<HindcastError> for Fault {
    fn from(error: HindcastError) -> Self {
        match error {
            HindcastError::Decide(error) => error.into(),
            HindcastError::Series(error) => error.into(),
            error => Self::new(FAIRSPELL_QUESTION, error.to_string()),
        }
    }
}

thread_local! {
    /// The last call of this thread that did not end well.
    static LAST: RefCell<Option<Fault>> = const { RefCell::new(None) };
}

/// What a body gives; a panic becomes a fault.
pub(crate) fn guarded<T>(body: impl FnOnce() -> Result<T, Fault>) -> Result<T, Fault> {
    // Unwind safe: what the body may have left half done is its own and was dropped, or an out-pointer not yet written.
    catch_unwind(AssertUnwindSafe(body)).unwrap_or_else(|_| {
        let words = "expected no fault in the library, found one; please report it";
        Err(Fault::new(FAIRSPELL_FAULT, words))
    })
}

/// Runs the body of an entry: its status, with the words kept for this thread; a panic becomes [`FAIRSPELL_FAULT`].
pub(crate) fn entry(body: impl FnOnce() -> Result<(), Fault>) -> Status {
    match guarded(body) {
        Ok(()) => FAIRSPELL_OK,
        Err(fault) => keep(fault),
    }
}

/// Keeps a fault as the thread's last; a thread that is ending keeps none.
pub(crate) fn keep(fault: Fault) -> Status {
    let status = fault.status;
    let _is_ending = LAST.try_with(|last| {
        if let Ok(mut last) = last.try_borrow_mut() {
            *last = Some(fault);
        }
    });
    status
}

/// What `of` takes from the thread's last fault; `None` before the first.
pub(crate) fn last<T>(of: impl FnOnce(&Fault) -> T) -> Option<T> {
    let taken = LAST.try_with(|last| {
        let last = last.try_borrow().ok();
        last.and_then(|last| last.as_ref().map(of))
    });
    taken.ok().flatten()
}

/// As [`entry`], but the thread's last error stays.
pub(crate) fn quietly(body: impl FnOnce() -> Result<(), Fault>) -> Status {
    match guarded(body) {
        Ok(()) => FAIRSPELL_OK,
        Err(fault) => fault.status,
    }
}

/// Version of the ABI of the library that runs: compare it with `FAIRSPELL_ABI_VERSION`, with which you compiled. The
/// first numbers (thousands) must be equal, and the library's may not be less.
#[unsafe(no_mangle)]
pub extern "C" fn fairspell_abi_version() -> u32 {
    FAIRSPELL_ABI_VERSION
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The contract, section 8: a panic never crosses. Its status and its words are kept, and the next call is as ever.
    #[test]
    fn a_panic_becomes_a_status() {
        assert_eq!(entry(|| panic!("on purpose")), FAIRSPELL_FAULT);
        let kept = LAST.with(|last| last.borrow().as_ref().map(|fault| fault.words.clone()));
        assert!(kept.is_some_and(|words| words.contains("please report it")));
        assert_eq!(entry(|| Ok(())), FAIRSPELL_OK);
        assert_eq!(quietly(|| panic!("on purpose")), FAIRSPELL_FAULT);
    }
}
