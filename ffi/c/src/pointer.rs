//! Pointers from C, checked as far as a pointer can be: NULL, alignment, length. What cannot be checked (that the
//! memory is there, and long enough) is the caller's word, and stands in the header.

use core::ffi::{c_char, c_void};
use core::ptr::NonNull;

use crate::status::{
    FAIRSPELL_ALIGNMENT, FAIRSPELL_NULL, FAIRSPELL_SIZE, FAIRSPELL_SMALL, FAIRSPELL_UTF8, Fault,
};

/// Longest text of a name, a zone, a season \[bytes\]. Ours: the longest path of common systems has as many.
const MAX_TEXT_BYTES: usize = 4096;

fn checked<T>(at: *const T) -> Result<NonNull<T>, Fault> {
    let null = || {
        let words = "expected a pointer, found NULL";
        Fault::new(FAIRSPELL_NULL, words)
    };
    let at = NonNull::new(at.cast_mut()).ok_or_else(null)?;
    if at.is_aligned() {
        return Ok(at);
    }
    let words = format!(
        "expected a pointer at a multiple of {}, found one beside it",
        align_of::<T>()
    );
    Err(Fault::new(FAIRSPELL_ALIGNMENT, words))
}

fn check_length<T>(length: usize, most: usize) -> Result<(), Fault> {
    let most = most.min(isize::MAX.unsigned_abs() / size_of::<T>().max(1));
    if length <= most {
        return Ok(());
    }
    Err(Fault::range(format!(
        "expected a length of at most {most}, found {length}"
    )))
}

/// Values in a row.
///
/// # Safety
/// If `at` is not NULL and aligned, `length` values lie there, and nobody writes to them while the call runs.
pub(crate) unsafe fn slice<'a, T>(
    at: *const T,
    length: usize,
    most: usize,
) -> Result<&'a [T], Fault> {
    let at = checked(at)?;
    check_length::<T>(length, most)?;
    // SAFETY: not NULL, aligned, no longer than an object can be; the rest is the caller's word.
    Ok(unsafe { core::slice::from_raw_parts(at.as_ptr(), length) })
}

/// Bytes of a file.
///
/// # Safety
/// As [`slice`].
pub(crate) unsafe fn bytes<'a>(at: *const c_void, length: usize) -> Result<&'a [u8], Fault> {
    // SAFETY: the caller's word.
    unsafe { slice(at.cast::<u8>(), length, fairspell::read::MAX_BYTES) }
}

/// A text that ends with NUL.
///
/// # Safety
/// If `at` is not NULL, a NUL follows it within readable memory, and nobody writes to it while the call runs.
pub(crate) unsafe fn text<'a>(at: *const c_char) -> Result<&'a str, Fault> {
    let at = checked(at)?.as_ptr().cast::<u8>();
    let mut length = 0;
    // SAFETY: every byte up to the NUL can be read, and none beyond it is.
    while unsafe { *at.add(length) } != 0 {
        length += 1;
        if length > MAX_TEXT_BYTES {
            let words = format!("expected a text of at most {MAX_TEXT_BYTES} bytes, found more");
            return Err(Fault::range(words));
        }
    }
    // SAFETY: these bytes were just read.
    let bytes = unsafe { core::slice::from_raw_parts(at, length) };
    core::str::from_utf8(bytes).map_err(|error| {
        let byte = bytes.get(error.valid_up_to()).copied().unwrap_or_default();
        let words = format!("expected UTF-8 text, found byte 0x{byte:02x}");
        Fault::new(FAIRSPELL_UTF8, words)
    })
}

/// A text, or `None` for NULL.
///
/// # Safety
/// As [`text`].
pub(crate) unsafe fn optional_text<'a>(at: *const c_char) -> Result<Option<&'a str>, Fault> {
    if at.is_null() {
        return Ok(None);
    }
    // SAFETY: the caller's word.
    unsafe { text(at) }.map(Some)
}

/// Whether the caller's struct is the one that this library knows.
pub(crate) fn check_size<T>(size: usize) -> Result<(), Fault> {
    let expected = size_of::<T>();
    if size == expected {
        return Ok(());
    }
    let words = format!("expected a struct of {expected} bytes, found {size}");
    Err(Fault::new(FAIRSPELL_SIZE, words))
}

/// A copy of a struct.
///
/// # Safety
/// If `at` is not NULL and aligned and `size` is that of `T`, a whole `T` lies there.
pub(crate) unsafe fn copy<T: Copy>(at: *const T, size: usize) -> Result<T, Fault> {
    let at = checked(at)?;
    check_size::<T>(size)?;
    // SAFETY: not NULL, aligned; the rest is the caller's word. Structs from C hold numbers and pointers alone.
    Ok(unsafe { at.read() })
}

/// A place to write one value to.
#[derive(Debug)]
pub(crate) struct Out<T>(NonNull<T>);

impl<T> Out<T> {
    /// Writes it; what lay there before is not looked at.
    pub(crate) fn put(self, value: T) {
        // SAFETY: `out` was told that a `T` can be written there.
        unsafe { self.0.write(value) }
    }
}

/// A place to write one value to.
///
/// # Safety
/// If `at` is not NULL and aligned, a `T` can be written there until the call ends.
pub(crate) unsafe fn out<T>(at: *mut T) -> Result<Out<T>, Fault> {
    checked(at.cast_const()).map(Out)
}

/// A place to write a struct of this size to.
///
/// # Safety
/// As [`out`].
pub(crate) unsafe fn sized_out<T>(at: *mut T, size: usize) -> Result<Out<T>, Fault> {
    // SAFETY: the caller's word.
    let out = unsafe { out(at) }?;
    check_size::<T>(size)?;
    Ok(out)
}

/// Places in a row to write to.
///
/// # Safety
/// If `at` is not NULL and aligned, `count` values can be written there until the call ends.
pub(crate) unsafe fn outs<T>(at: *mut T, count: usize, most: usize) -> Result<Outs<T>, Fault> {
    let at = checked(at.cast_const())?;
    check_length::<T>(count, most)?;
    Ok(Outs { at, count })
}

/// Places in a row.
#[derive(Debug)]
pub(crate) struct Outs<T> {
    at: NonNull<T>,
    count: usize,
}

impl<T> Outs<T> {
    /// Writes one of them; beyond the last nothing happens.
    pub(crate) fn put(&self, place: usize, value: T) {
        if place < self.count {
            // SAFETY: `outs` was told that so many can be written.
            unsafe { self.at.add(place).write(value) }
        }
    }
}

/// A buffer of the caller's, and where to say how much it would have to hold.
#[derive(Debug)]
pub(crate) struct Buffer<T> {
    at: Option<NonNull<T>>,
    capacity: usize,
    needed: Out<usize>,
    /// What follows the values: the NUL of a text.
    end: Option<T>,
}

impl<T: Copy> Buffer<T> {
    /// Copies all values, or none: what is needed is said either way.
    pub(crate) fn fill(self, values: &[T]) -> Result<(), Fault> {
        let count = values.len() + usize::from(self.end.is_some());
        self.needed.put(count);
        if count > self.capacity {
            let words = format!(
                "expected a buffer of at least {count}, found {}",
                self.capacity
            );
            return Err(Fault::new(FAIRSPELL_SMALL, words));
        }
        let Some(at) = self.at else {
            return Ok(());
        };
        for (place, value) in values.iter().chain(&self.end).enumerate() {
            // SAFETY: below `capacity`, and the buffer was said to be so long.
            unsafe { at.add(place).write(*value) };
        }
        Ok(())
    }
}

/// A buffer for values.
///
/// # Safety
/// If `at` is not NULL and aligned, `capacity` values can be written there, and so can `needed`, until the call ends.
pub(crate) unsafe fn buffer<T>(
    at: *mut T,
    capacity: usize,
    needed: *mut usize,
) -> Result<Buffer<T>, Fault> {
    // SAFETY: the caller's word.
    let needed = unsafe { out(needed) }?;
    let at = if at.is_null() && capacity == 0 {
        None
    } else {
        Some(checked(at.cast_const())?)
    };
    check_length::<T>(capacity, usize::MAX)?;
    Ok(Buffer {
        at,
        capacity,
        needed,
        end: None,
    })
}

/// A buffer for structs of this size.
///
/// # Safety
/// As [`buffer`].
pub(crate) unsafe fn sized_buffer<T>(
    at: *mut T,
    item_size: usize,
    capacity: usize,
    needed: *mut usize,
) -> Result<Buffer<T>, Fault> {
    // SAFETY: the caller's word.
    let buffer = unsafe { buffer(at, capacity, needed) }?;
    check_size::<T>(item_size)?;
    Ok(buffer)
}

/// A buffer for a text and its NUL.
///
/// # Safety
/// As [`buffer`].
pub(crate) unsafe fn text_buffer(
    at: *mut c_char,
    capacity: usize,
    needed: *mut usize,
) -> Result<Buffer<u8>, Fault> {
    // SAFETY: the caller's word; a char of C and a byte have one size.
    let buffer = unsafe { buffer(at.cast::<u8>(), capacity, needed) }?;
    Ok(Buffer {
        end: Some(0),
        ..buffer
    })
}
