//! The C header that is checked in is the one that the crate makes, and it compiles as C99 and as C++17 without a word.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test may stop at the first surprise"
)]

use std::fs;

use fairspell_tests::binary::workspace;

/// The header, made anew from the crate `ffi/c`. Backticks, which mark code for Rust's own pages, are left out.
fn made() -> String {
    let crate_folder = workspace().join("ffi/c");
    let config = cbindgen::Config::from_file(crate_folder.join("cbindgen.toml")).unwrap();
    let bindings = cbindgen::Builder::new()
        .with_crate(&crate_folder)
        .with_config(config)
        .generate()
        .unwrap();
    let mut bytes = Vec::new();
    bindings.write(&mut bytes);
    String::from_utf8(bytes).unwrap().replace('`', "")
}

/// Generation: the header says what the library does. `FAIRSPELL_WRITE_HEADER=1` writes it.
#[test]
fn the_header_is_the_one_that_the_crate_makes() {
    let path = workspace().join("ffi/c/include/fairspell.h");
    let made = made();
    if std::env::var_os("FAIRSPELL_WRITE_HEADER").is_some() {
        fs::write(&path, &made).unwrap();
    }
    let checked_in = fs::read_to_string(&path).unwrap_or_default();
    for (number, (ours, anew)) in (1..).zip(checked_in.lines().zip(made.lines())) {
        assert_eq!(
            ours, anew,
            "fairspell.h:{number}; FAIRSPELL_WRITE_HEADER=1 writes it anew"
        );
    }
    assert_eq!(
        checked_in.len(),
        made.len(),
        "fairspell.h is shorter or longer than made anew"
    );
}
