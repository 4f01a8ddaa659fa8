//! One fuzz target: the one whose name the binary bears.

#![no_main]

use fairspell_tests::targets::TARGETS;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let own = TARGETS.iter().find(|(name, _)| *name == env!("CARGO_BIN_NAME"));
    let (_, check) = own.expect("a target of the name of the binary");
    check(bytes);
});
