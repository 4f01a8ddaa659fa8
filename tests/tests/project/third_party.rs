//! `THIRD-PARTY.txt`: what is linked into the program, the C library and the Python package, with its notices, held against
//! `Cargo.lock`. A new or newer dependency changes it:
//! `FAIRSPELL_WRITE_NOTICES=1 cargo test -p fairspell-tests --locked --test project third_party` writes it.
//!
//! Source: the licences of the crates, which ask that their notices go with every copy.

#![expect(
    clippy::indexing_slicing,
    clippy::panic,
    clippy::unwrap_used,
    reason = "a check stops at the first surprise"
)]

mod notices;

use std::fs;

use fairspell_tests::binary::workspace;

/// Where each list lies, the crate that it is of, and what it calls that.
const LISTS: [(&str, &str, &str); 3] = [
    ("cli", "fairspell-cli", "the program fairspell"),
    ("ffi/c", "fairspell-c", "the library fairspell for C"),
    (
        "ffi/python",
        "fairspell-python",
        "the package fairspell for Python",
    ),
];

fn held(folder: &str) -> String {
    fs::read_to_string(workspace().join(folder).join("THIRD-PARTY.txt")).unwrap()
}

/// What is given away has the notices of everything in it.
#[test]
fn the_lists_are_those_of_the_lock_file() {
    for (folder, name, what) in LISTS {
        let made = notices::of(name, what);
        if std::env::var_os("FAIRSPELL_WRITE_NOTICES").is_some() {
            fs::write(workspace().join(folder).join("THIRD-PARTY.txt"), &made).unwrap();
        }
        let held = held(folder);
        let apart = held
            .lines()
            .zip(made.lines())
            .find(|(held, made)| held != made);
        assert_eq!(apart, None, "{folder}/THIRD-PARTY.txt (left) has grown old");
        assert_eq!(
            held.len(),
            made.len(),
            "{folder}/THIRD-PARTY.txt has grown old"
        );
    }
}

/// By eye in the manifests: NumPy's crate is BSD-2-Clause and in the Python package alone; clap is in no library for C; what
/// only builds or checks is in none of them. BSD's second clause asks for its words in what comes with a binary.
#[test]
fn each_list_has_what_is_linked_and_no_more() {
    let [program, c, python] = LISTS.map(|(folder, _, _)| held(folder));
    let names = |list: &str, name: &str| {
        list.lines()
            .any(|line| line.starts_with(&format!("  {name} ")))
    };
    for list in [&program, &c, &python] {
        assert!(names(list, "chrono-tz") && names(list, "libm") && names(list, "flate2"));
        for tool in [
            "cbindgen",
            "syn",
            "serde_derive",
            "clap_mangen",
            "proptest",
            "pyo3-build-config",
        ] {
            assert!(!names(list, tool), "{tool}");
        }
        assert!(list.contains("Permission is hereby granted, free of charge"));
        assert!(list.contains("Apache License"));
    }
    assert!(names(&program, "clap") && !names(&c, "clap"));
    assert!(names(&python, "numpy") && !names(&program, "numpy") && !names(&c, "numpy"));
    let (_, numpy) = python.split_once("\nnumpy 0.30.0\n====").unwrap();
    assert!(numpy.contains("Redistributions in binary form must reproduce the above copyright"));
}
