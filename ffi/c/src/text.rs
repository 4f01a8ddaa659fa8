//! Long texts: JSON, notices, reasons.

use core::ffi::c_char;

use crate::handle::{Kind, borrow, free, mark};
use crate::pointer::{out, text_buffer};
use crate::status::{Status, entry};

/// A text of any length, UTF-8. Yours once it was given to you: `fairspell_text_free`.
pub struct Text {
    _opaque: (),
}

impl Kind for Text {
    /// With a NUL behind it, and without one in it.
    type Value = Vec<u8>;
    const MARK: u64 = mark(1);
    const NAME: &'static str = "a text";
}

/// A text of the engine's for C: a NUL inside, which only a hostile file can bring, becomes a blank.
pub(crate) fn of(text: String) -> Vec<u8> {
    let mut bytes = text.into_bytes();
    for byte in &mut bytes {
        if *byte == 0 {
            *byte = b' ';
        }
    }
    bytes.push(0);
    bytes
}

/// Lines of a text, each with its line break.
pub(crate) fn of_lines<S: AsRef<str>>(lines: impl IntoIterator<Item = S>) -> Vec<u8> {
    let mut text = String::new();
    for line in lines {
        text.push_str(line.as_ref());
        text.push('\n');
    }
    of(text)
}

/// Copies a text.
///   buffer    [capacity] bytes for the text and its NUL; may be NULL if capacity is 0
///   needed    receives the bytes needed with the NUL, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK`, `FAIRSPELL_SMALL`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_RANGE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_text_copy(
    text: *const Text,
    buffer: *mut c_char,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of the handle and of the buffer.
        let (text, buffer) = unsafe { (borrow(text)?, text_buffer(buffer, capacity, needed)?) };
        buffer.fill(text.strip_suffix(&[0]).unwrap_or(text))
    })
}

/// Shows a text where it lies, without a copy.
///   data      receives its first byte; the text ends with NUL, belongs to the handle and lives as long as it
///   length    receives its bytes without the NUL
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_text_data(
    text: *const Text,
    data: *mut *const c_char,
    length: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of the handle and of the places to write to.
        let (text, data, length) = unsafe { (borrow(text)?, out(data)?, out(length)?) };
        data.put(text.as_ptr().cast::<c_char>());
        length.put(text.len().saturating_sub(1));
        Ok(())
    })
}

/// Frees a text and sets *text to NULL; where it is NULL already, nothing happens.
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL` (the address itself), `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_text_free(text: *mut *mut Text) -> Status {
    // SAFETY: as the header asks.
    entry(|| unsafe { free(text) })
}
