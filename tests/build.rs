//! Finds the open records and the values counted on them, which lie outside the project, and tells the tests.
//!
//! With the records the cfg `open_data` is set, with the values `expected_data`, and `FAIRSPELL_OPEN_DATA_DIR` and
//! `FAIRSPELL_EXPECTED_DATA_DIR` name the two folders. Without them the tests that need them count as ignored. A
//! relative folder in a variable is seen from this crate.
//!
//! Likewise the cfg `c_tools` is set where the programs are there that build and watch programs in C.

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
    if has_c_tools() {
        println!("cargo::rustc-cfg=c_tools");
    }
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

/// Programs that build programs in C and C++, find the library and watch what they do.
const C_TOOLS: [&str; 5] = ["gcc", "g++", "pkg-config", "valgrind", "nm"];

/// Whether all of them are there, on a system where the library has the names that the checks look for.
fn has_c_tools() -> bool {
    println!("cargo::rustc-check-cfg=cfg(c_tools)");
    println!("cargo::rerun-if-env-changed=PATH");
    let path = std::env::var_os("PATH").unwrap_or_default();
    let mut is_all = cfg!(target_os = "linux");
    for tool in C_TOOLS {
        let mut places = std::env::split_paths(&path).map(|folder| folder.join(tool));
        let place = places.find(|place| place.is_file());
        is_all &= place.is_some();
        let place = place.unwrap_or_else(|| Path::new("/usr/bin").join(tool));
        println!("cargo::rerun-if-changed={}", place.display());
    }
    is_all
}

fn is_there(folder: &Path, holds: &str) -> bool {
    folder.join(holds).is_file()
}
