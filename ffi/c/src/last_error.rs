//! The thread's last error, for the caller.

use core::ffi::c_char;

use crate::pointer::{Out, out, text_buffer};
use crate::status::{Status, last, quietly};

/// Copies the words of this thread's last error: one line, UTF-8, `file:line:column: expected …, found …` where a file
/// is to blame. A call that ends with `FAIRSPELL_OK` leaves them as they are; so does this function, however it ends.
///   buffer    [capacity] bytes for the text and its NUL; may be NULL if capacity is 0
///   needed    receives the bytes needed with the NUL, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK` (an empty text before the first error), `FAIRSPELL_SMALL`, `FAIRSPELL_NULL`, `FAIRSPELL_RANGE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_last_error(
    buffer: *mut c_char,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    let words = last(|fault| fault.words.clone()).unwrap_or_default();
    quietly(|| {
        // SAFETY: as the header asks, the buffer has `capacity` bytes and `needed` can be written.
        let buffer = unsafe { text_buffer(buffer, capacity, needed) }?;
        buffer.fill(words.as_bytes())
    })
}

/// Where in its file this thread's last error lies.
///   line, column    receive numbers that count from 1 (columns in bytes); 0 where there is no file or no such place
/// `FAIRSPELL_OK` or `FAIRSPELL_NULL`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_last_error_place(line: *mut u64, column: *mut u64) -> Status {
    let place = last(|fault| (fault.line, fault.column)).unwrap_or_default();
    quietly(|| {
        // SAFETY: as the header asks, both can be written.
        let (line, column): (Out<u64>, Out<u64>) = unsafe { (out(line)?, out(column)?) };
        line.put(place.0);
        column.put(place.1);
        Ok(())
    })
}
