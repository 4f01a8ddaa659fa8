//! Finds the open records and the values counted on them, which lie outside the project, and tells the tests.
//!
//! With the records the cfg `open_data` is set, with the values `expected_data`, and `FAIRSPELL_OPEN_DATA_DIR` and
//! `FAIRSPELL_EXPECTED_DATA_DIR` name the two folders. Without them the tests that need them count as ignored. A
//! relative folder in a variable is seen from this crate.
//!
//! Likewise the cfg `c_tools` is set where the programs are there that build and watch programs in C, `python_tools` where
//! those are that check the Python package, `packaging_tools` where those are that check what is installed, and `small_disk`
//! where a file system of a few kilobytes can be made in a name space of its own.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

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
    if has_python_tools() {
        println!("cargo::rustc-cfg=python_tools");
    }
    if has_packaging_tools() {
        println!("cargo::rustc-cfg=packaging_tools");
    }
    if has_small_disk() {
        println!("cargo::rustc-cfg=small_disk");
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
    let all = C_TOOLS.iter().filter(|tool| is_installed(tool)).count();
    cfg!(target_os = "linux") && all == C_TOOLS.len()
}

/// Programs that read man pages, completions and units.
const PACKAGING_TOOLS: [&str; 5] = ["bash", "fish", "mandoc", "systemd-analyze", "zsh"];

/// Whether all of them are there.
fn has_packaging_tools() -> bool {
    println!("cargo::rustc-check-cfg=cfg(packaging_tools)");
    let there = PACKAGING_TOOLS.iter().filter(|tool| is_installed(tool));
    there.count() == PACKAGING_TOOLS.len()
}

/// Whether this user may make a small file system that no one else sees: `unshare` and `mount` of util-linux.
fn has_small_disk() -> bool {
    println!("cargo::rustc-check-cfg=cfg(small_disk)");
    if !is_installed("unshare") || !is_installed("mount") {
        return false;
    }
    let mut command = Command::new("unshare");
    command.args([
        "-rm", "mount", "-t", "tmpfs", "-o", "size=8k", "tmpfs", "/mnt",
    ]);
    let done = command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status();
    done.is_ok_and(|status| status.success())
}

/// Whether a program is in the search path; once it comes or goes, this is asked anew.
fn is_installed(program: &str) -> bool {
    println!("cargo::rerun-if-env-changed=PATH");
    let path = std::env::var_os("PATH").unwrap_or_default();
    let mut places = std::env::split_paths(&path).map(|folder| folder.join(program));
    let place = places.find(|place| place.is_file());
    let is_there = place.is_some();
    let place = place.unwrap_or_else(|| Path::new("/usr/bin").join(program));
    println!("cargo::rerun-if-changed={}", place.display());
    is_there
}

/// Whether Python is here, new enough for what its checks are pinned to and with virtual environments, and Java for Spark.
fn has_python_tools() -> bool {
    println!("cargo::rustc-check-cfg=cfg(python_tools)");
    let is_new = "import sys, venv, ensurepip; sys.exit(sys.version_info < (3, 11))";
    let asks = [("python3", vec!["-c", is_new]), ("java", vec!["-version"])];
    asks.into_iter().all(|(program, arguments)| {
        if !is_installed(program) {
            return false;
        }
        let mut command = Command::new(program);
        command.args(arguments).stdin(Stdio::null());
        let done = command.stdout(Stdio::null()).stderr(Stdio::null()).status();
        done.is_ok_and(|status| status.success())
    })
}

fn is_there(folder: &Path, holds: &str) -> bool {
    folder.join(holds).is_file()
}
