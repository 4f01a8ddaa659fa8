//! The program itself, built once and run as a user runs it: its exit code, and what it wrote.

use std::ffi::OsString;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::sync::OnceLock;

/// What a run of the program left behind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ran {
    /// The exit code; `None` where a signal ended it.
    pub code: Option<i32>,
    /// Standard output.
    pub stdout: String,
    /// Standard error.
    pub stderr: String,
}

impl From<Output> for Ran {
    fn from(output: Output) -> Self {
        Self {
            code: output.status.code(),
            stdout: text(output.stdout),
            stderr: text(output.stderr),
        }
    }
}

/// The program of the workspace, built on the first call in the profile and the target folder of the running checks; or the one
/// that `FAIRSPELL_BUILT` names, for those who run thousands of single checks on a program that does not change.
///
/// # Panics
/// If it cannot be built: every check on it has then failed.
#[must_use]
pub fn path() -> &'static Path {
    static BUILT: OnceLock<PathBuf> = OnceLock::new();
    let given = || std::env::var_os("FAIRSPELL_BUILT").map(PathBuf::from);
    BUILT.get_or_init(|| given().unwrap_or_else(|| build().unwrap_or_else(|why| stop(&why))))
}

/// `cargo`, as it runs the checks, in the workspace's folder.
#[must_use]
pub fn cargo() -> Command {
    let mut cargo =
        Command::new(std::env::var_os("CARGO").unwrap_or_else(|| OsString::from("cargo")));
    cargo.current_dir(workspace());
    cargo
}

/// The workspace's folder.
#[must_use]
pub fn workspace() -> &'static Path {
    let own = Path::new(env!("CARGO_MANIFEST_DIR"));
    own.parent().unwrap_or(own)
}

/// A run of the program in a folder, with nothing on standard input and no wish about colours.
#[must_use]
pub fn command(folder: &Path) -> Command {
    let mut command = Command::new(path());
    command.current_dir(folder).stdin(Stdio::null());
    for name in ["NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "COLUMNS"] {
        command.env_remove(name);
    }
    command
}

/// Runs the program in a folder.
///
/// # Panics
/// If it cannot be started, or writes what is not UTF-8.
#[must_use]
pub fn run(folder: &Path, arguments: &[&str]) -> Ran {
    let output = command(folder).args(arguments).output();
    output
        .unwrap_or_else(|error| stop(&error.to_string()))
        .into()
}

/// Runs the program in a folder with these bytes on standard input.
///
/// # Panics
/// As [`run`].
#[must_use]
pub fn run_fed(folder: &Path, arguments: &[&str], input: &[u8]) -> Ran {
    let mut command = command(folder);
    command
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    let mut child = command
        .spawn()
        .unwrap_or_else(|error| stop(&error.to_string()));
    if let Some(mut stdin) = child.stdin.take() {
        let _ = stdin.write_all(input); // a program that has seen enough may leave first
    }
    child
        .wait_with_output()
        .unwrap_or_else(|error| stop(&error.to_string()))
        .into()
}

/// Exit 2, nothing but this one line, and that on standard error.
///
/// # Panics
/// If the run ended otherwise.
#[track_caller]
pub fn assert_refused(ran: &Ran, message: &str) {
    assert_eq!(ran.stderr, format!("fairspell: {message}\n"));
    assert_eq!((ran.code, ran.stdout.as_str()), (Some(2), ""));
}

/// The folder in which the running checks were built, and the name of their profile: their own file lies in
/// `TARGET/PROFILE/deps`.
///
/// # Errors
/// Words, if the checks lie elsewhere.
pub fn built() -> Result<(PathBuf, String), String> {
    let own = std::env::current_exe().map_err(|error| error.to_string())?;
    let folder = own.ancestors().nth(2);
    let folder = folder.ok_or("expected the checks in a target folder")?;
    let profile = match folder.file_name().and_then(|name| name.to_str()) {
        Some("debug") | None => "dev",
        Some(name) => name,
    };
    Ok((folder.to_path_buf(), profile.to_owned()))
}

/// Builds the program beside the checks.
fn build() -> Result<PathBuf, String> {
    let (profile_folder, profile) = built()?;
    let target_folder = profile_folder
        .parent()
        .ok_or("expected the checks in a target folder")?;
    let output = cargo()
        .args([
            "build",
            "--quiet",
            "--locked",
            "-p",
            "fairspell-cli",
            "--bin",
            "fairspell",
        ])
        .args(["--profile", &profile, "--target-dir"])
        .arg(target_folder)
        .output()
        .map_err(|error| format!("expected cargo to run, found an error: {error}"))?;
    if output.status.success() {
        Ok(profile_folder.join(format!("fairspell{}", std::env::consts::EXE_SUFFIX)))
    } else {
        Err(format!(
            "expected the program to build, found:\n{}",
            String::from_utf8_lossy(&output.stderr)
        ))
    }
}

fn text(bytes: Vec<u8>) -> String {
    String::from_utf8(bytes).unwrap_or_else(|error| stop(&error.to_string()))
}

#[expect(
    clippy::panic,
    reason = "a check that cannot run the program has failed"
)]
pub(crate) fn stop(why: &str) -> ! {
    panic!("{why}")
}
