//! The engine for programs in C: opaque handles, statuses, arrays of numbers, JSON by one call.
//!
//! `include/fairspell.h` is generated from this crate and says what every function asks and answers. The rules for all
//! of them stand at its top (`cbindgen.toml`); every entry runs through `status::entry`, which lets no panic pass, and
//! every pointer through `pointer` or `handle`, which check it as far as a pointer can be checked.
//!
//! No callback, no thread, no global but the calling thread's last error.
//!
//! `ffi/c/install.sh` installs the library; its README says how a program is linked, and lists what can be asked. One of its
//! examples, which the checks build and run:
//!
//! ```c
#![doc = include_str!("../examples/risk_of_a_date.c")]
//! ```
#![allow(
    unsafe_code,
    reason = "a C ABI takes and gives raw pointers; this crate alone may, and each block says why it is sound"
)]
#![allow(
    clippy::missing_safety_doc,
    reason = "the top of the header says what every pointer must be, once for all functions"
)]
#![allow(
    clippy::doc_markdown,
    reason = "the comments are written for the header, where a name of C stands without marks"
)]
#![allow(
    clippy::similar_names,
    clippy::struct_field_names,
    clippy::too_many_arguments,
    reason = "C has no slices and no structs of references: an array takes two arguments, a buffer three"
)]
#![deny(clippy::undocumented_unsafe_blocks)]

mod decision;
mod forecasts;
mod freeze;
mod handle;
mod hindcast;
mod hourly;
mod json;
mod last_error;
mod many;
mod operation;
mod past;
mod pointer;
mod record;
mod season;
mod site;
mod spell;
mod status;
mod text;
mod time;
mod unit;
