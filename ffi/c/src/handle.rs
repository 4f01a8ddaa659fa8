//! Handles: what lies behind an opaque pointer, with a mark of its kind in front.

use crate::pointer::Out;
use crate::status::{FAIRSPELL_ALIGNMENT, FAIRSPELL_KIND, FAIRSPELL_NULL, Fault};

/// What stands in front of a handle that was freed, until its memory is used again.
const FREED: u64 = 0x6672_6565_6420_6861;

/// A kind of handle: the opaque type of the header.
pub(crate) trait Kind {
    /// What lies behind it; read by several threads at once.
    type Value: Send + Sync;
    /// Its mark: no two kinds have the same.
    const MARK: u64;
    /// Its name in messages.
    const NAME: &'static str;
}

/// A mark made of a kind's number; the rest is unlikely to lie anywhere by chance.
pub(crate) const fn mark(number: u8) -> u64 {
    0x6661_6972_7370_6500 | number as u64
}

/// The layout is C's, so that the mark lies first whatever the value is.
#[repr(C)]
struct Handle<V> {
    mark: u64,
    value: V,
}

/// Gives a value to the caller, who frees it.
pub(crate) fn give<K: Kind>(value: K::Value, out: Out<*mut K>) {
    out.put(boxed::<K>(value));
}

/// A handle of the caller's from now on.
pub(crate) fn boxed<K: Kind>(value: K::Value) -> *mut K {
    let mark = K::MARK;
    Box::into_raw(Box::new(Handle { mark, value })).cast::<K>()
}

/// The mark of a handle of any kind.
///
/// # Safety
/// If `handle` is not NULL and aligned, eight bytes can be read there.
pub(crate) unsafe fn mark_of(handle: *const core::ffi::c_void, name: &str) -> Result<u64, Fault> {
    if handle.is_null() {
        let words = format!("expected {name}, found NULL");
        return Err(Fault::new(FAIRSPELL_NULL, words));
    }
    let mark = handle.cast::<u64>();
    if !mark.is_aligned() {
        let words = format!("expected {name}, found a pointer that is no handle");
        return Err(Fault::new(FAIRSPELL_ALIGNMENT, words));
    }
    // SAFETY: not NULL, aligned; the rest is the caller's word.
    Ok(unsafe { mark.read() })
}

/// What lies behind a handle.
///
/// # Safety
/// `handle` is NULL, or was given by this library and not yet freed, and is not freed while the call runs.
pub(crate) unsafe fn borrow<'a, K: Kind>(handle: *const K) -> Result<&'a K::Value, Fault> {
    // SAFETY: the caller's word.
    let mark = unsafe { mark_of(handle.cast(), K::NAME) }?;
    if mark != K::MARK {
        return Err(wrong::<K>(mark));
    }
    // SAFETY: the mark says that `boxed` made it with this kind of value, which nobody changes.
    Ok(unsafe { &(*handle.cast::<Handle<K::Value>>()).value })
}

/// What lies behind a handle, or `None` for NULL.
///
/// # Safety
/// As [`borrow`].
pub(crate) unsafe fn optional<'a, K: Kind>(
    handle: *const K,
) -> Result<Option<&'a K::Value>, Fault> {
    if handle.is_null() {
        return Ok(None);
    }
    // SAFETY: the caller's word.
    unsafe { borrow(handle) }.map(Some)
}

fn wrong<K: Kind>(mark: u64) -> Fault {
    let found = if mark == FREED {
        "one that was freed"
    } else {
        "a handle of another kind, or none"
    };
    let words = format!("expected {}, found {found}", K::NAME);
    Fault::new(FAIRSPELL_KIND, words)
}

/// Frees the handle at an address, which becomes NULL; NULL there stays so.
///
/// # Safety
/// `address` is NULL or can be read and written; the handle there is as [`borrow`] asks, and nobody uses it any more.
pub(crate) unsafe fn free<K: Kind>(address: *mut *mut K) -> Result<(), Fault> {
    if address.is_null() {
        let words = format!("expected the address of {}, found NULL", K::NAME);
        return Err(Fault::new(FAIRSPELL_NULL, words));
    }
    if !address.is_aligned() {
        let words = format!("expected the address of {}, found one beside it", K::NAME);
        return Err(Fault::new(FAIRSPELL_ALIGNMENT, words));
    }
    // SAFETY: not NULL, aligned; the rest is the caller's word.
    let handle = unsafe { address.read() };
    if handle.is_null() {
        return Ok(());
    }
    // SAFETY: the caller's word.
    let mark = unsafe { mark_of(handle.cast_const().cast(), K::NAME) }?;
    if mark != K::MARK {
        return Err(wrong::<K>(mark));
    }
    // SAFETY: the mark says that `boxed` made it with this kind of value; volatile, so that the mark is changed although
    // the memory goes at once. The box is dropped once: the caller's pointer becomes NULL.
    unsafe {
        handle.cast::<u64>().write_volatile(FREED);
        address.write(core::ptr::null_mut());
        drop(Box::from_raw(handle.cast::<Handle<K::Value>>()));
    }
    Ok(())
}
