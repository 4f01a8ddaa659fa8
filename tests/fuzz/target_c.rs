//! The fuzz target for the C library: `tests/c/bytes.c`, which `tests/tests/bindings/c_bytes.rs` replays under valgrind.

#![no_main]

use fairspell_c as _; // what the C code calls
use libfuzzer_sys::fuzz_target;

#[link(name = "bytes", kind = "static")]
unsafe extern "C" {
    fn any_bytes(bytes: *const u8, length: usize) -> core::ffi::c_int;
}

fuzz_target!(|bytes: &[u8]| {
    // SAFETY: the function reads `length` bytes from there, which outlive the call.
    unsafe { any_bytes(bytes.as_ptr(), bytes.len()) };
});
