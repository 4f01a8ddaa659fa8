//! The program, installed once by its own script into a folder that goes away, as a packager installs it.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::OnceLock;

use crate::binary::{Ran, built, stop, workspace};

/// Runs a program that is no part of the project, with nothing on standard input.
///
/// # Panics
/// If it cannot be started, or writes what is not UTF-8.
pub fn ran(command: &mut Command) -> Ran {
    let output = command.stdin(Stdio::null()).output();
    output
        .unwrap_or_else(|error| stop(&format!("{command:?}: {error}")))
        .into()
}

/// The prefix into which `packaging/install.sh` installed the program on the first call: in the target folder, one for each file
/// of tests.
///
/// # Panics
/// If it cannot be built or installed.
#[must_use]
pub fn prefix() -> &'static Path {
    static PREFIX: OnceLock<PathBuf> = OnceLock::new();
    PREFIX.get_or_init(|| {
        let (folder, _) = built().unwrap_or_else(|why| stop(&why));
        let own = std::env::current_exe().unwrap_or_else(|error| stop(&error.to_string()));
        let name = own.file_stem().unwrap_or_default().to_string_lossy();
        let prefix = folder
            .join("installed")
            .join(name.split('-').next().unwrap_or_default());
        if prefix.exists() {
            std::fs::remove_dir_all(&prefix).unwrap_or_else(|error| stop(&error.to_string()));
        }
        install(&prefix, Path::new(""));
        prefix
    })
}

/// Runs `packaging/install.sh` in the profile and the target folder of the running checks.
///
/// # Panics
/// If it does not end well, or says anything.
pub fn install(prefix: &Path, in_front: &Path) {
    let (folder, profile) = built().unwrap_or_else(|why| stop(&why));
    let target = folder.parent().unwrap_or(&folder);
    let ran = ran(Command::new("sh")
        .arg(workspace().join("packaging/install.sh"))
        .current_dir("/")
        .env("PREFIX", prefix)
        .env("DESTDIR", in_front)
        .env("PROFILE", profile)
        .env("CARGO_TARGET_DIR", target));
    assert_eq!(
        (ran.code, ran.stdout.as_str()),
        (Some(0), ""),
        "{}",
        ran.stderr
    );
}
