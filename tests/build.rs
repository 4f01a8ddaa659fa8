//! Finds the open records and the values counted on them, which lie outside the project, and tells the tests.
//!
//! With the records the cfg `open_data` is set, with the values `expected_data`, and `FAIRSPELL_OPEN_DATA_DIR` and
//! `FAIRSPELL_EXPECTED_DATA_DIR` name the two folders. Without them the tests that need them count as ignored. A
//! relative folder in a variable is seen from this crate.

use std::path::{Path, PathBuf};

/// A folder: the variable that names it, where it lies by default (seen from this crate), a file by which it is
/// known, and the cfg that says that it is there.
struct Folder {
    variable: &'static str,
    default: &'static str,
    holds: &'static str,
    cfg: &'static str,
}

const FOLDERS: [Folder; 2] = [
    Folder {
        variable: "FAIRSPELL_OPEN_DATA",
        default: "../../shared/data/open",
        holds: "csv/hourly_SEA.csv",
        cfg: "open_data",
    },
    Folder {
        variable: "FAIRSPELL_EXPECTED_DATA",
        default: "../../shared/data/expected",
        holds: "hourly_SEA.json",
        cfg: "expected_data",
    },
];

fn main() {
    let own = std::env::var_os("CARGO_MANIFEST_DIR")
        .map(PathBuf::from)
        .unwrap_or_default();
    for folder in FOLDERS {
        println!("cargo::rerun-if-env-changed={}", folder.variable);
        println!("cargo::rustc-check-cfg=cfg({})", folder.cfg);
        let path = std::env::var_os(folder.variable)
            .map_or_else(|| own.join(folder.default), PathBuf::from);
        println!("cargo::rerun-if-changed={}", path.display());
        println!(
            "cargo::rustc-env={}_DIR={}",
            folder.variable,
            path.display()
        );
        if is_there(&path, folder.holds) {
            println!("cargo::rustc-cfg={}", folder.cfg);
        }
    }
}

fn is_there(folder: &Path, holds: &str) -> bool {
    folder.join(holds).is_file()
}
