//! The C library, installed once by its own script, and programs in C and C++ built against it, run, and watched.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::OnceLock;

use crate::binary::{Ran, built, stop, workspace};

/// How a program is linked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Link {
    /// With the shared library.
    Shared,
    /// With the static library.
    Static,
}

/// In which language a program is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Language {
    /// C of 1999.
    C99,
    /// C++ of 2017.
    Cpp17,
}

/// The folder into which the library was installed, by `ffi/c/install.sh` as a user runs it, on the first call.
///
/// # Panics
/// If it cannot be built or installed.
#[must_use]
pub fn installed() -> &'static Path {
    static PREFIX: OnceLock<PathBuf> = OnceLock::new();
    PREFIX.get_or_init(|| install().unwrap_or_else(|why| stop(&why)))
}

/// A folder of these checks for what they build, in the target folder, one for each file of tests.
///
/// # Panics
/// If it cannot be made.
#[must_use]
pub fn scratch() -> PathBuf {
    let own = std::env::current_exe().unwrap_or_else(|error| stop(&error.to_string()));
    let name = own.file_stem().unwrap_or_default().to_string_lossy();
    let name = name.split('-').next().unwrap_or_default().to_owned();
    let (folder, _) = built().unwrap_or_else(|why| stop(&why));
    let folder = folder.join("c").join(name);
    std::fs::create_dir_all(&folder).unwrap_or_else(|error| stop(&error.to_string()));
    folder
}

fn install() -> Result<PathBuf, String> {
    let (folder, profile) = built()?;
    let target = folder.parent().ok_or("expected a target folder")?;
    let prefix = scratch().join("installed");
    let output = Command::new("sh")
        .arg(workspace().join("ffi/c/install.sh"))
        .env("PREFIX", &prefix)
        .env("PROFILE", profile)
        .env("CARGO_TARGET_DIR", target)
        .env_remove("DESTDIR")
        .env_remove("LIBDIR")
        .output()
        .map_err(|error| format!("expected a shell to run, found an error: {error}"))?;
    if output.status.success() {
        return Ok(prefix);
    }
    Err(format!(
        "expected the library to install, found:\n{}",
        String::from_utf8_lossy(&output.stderr)
    ))
}

/// What `pkg-config` says of the installed library.
///
/// # Panics
/// If it says nothing.
#[must_use]
pub fn pkg_config(arguments: &[&str]) -> Vec<String> {
    let ran = ran(Command::new("pkg-config")
        .env("PKG_CONFIG_PATH", installed().join("lib/pkgconfig"))
        .args(arguments)
        .arg("fairspell"));
    assert_eq!(ran.code, Some(0), "{}", ran.stderr);
    ran.stdout.split_whitespace().map(str::to_owned).collect()
}

/// Compiles a program with all warnings as errors, by what `pkg-config` says.
///
/// # Panics
/// If the compiler has anything to say.
#[must_use]
pub fn compiled(source: &Path, language: Language, link: Link) -> PathBuf {
    compiled_with(source, language, link, &[])
}

/// The same with further options of the compiler.
///
/// # Panics
/// If the compiler has anything to say.
#[must_use]
pub fn compiled_with(source: &Path, language: Language, link: Link, options: &[&str]) -> PathBuf {
    let stem = source.file_stem().unwrap_or_default().to_string_lossy();
    let program = scratch().join(format!("{stem}-{link:?}"));
    let (compiler, standard) = match language {
        Language::C99 => ("gcc", "-std=c99"),
        Language::Cpp17 => ("g++", "-std=c++17"),
    };
    let libraries = match link {
        Link::Shared => pkg_config(&["--libs"]),
        Link::Static => pkg_config(&["--variable=static_library"]),
    };
    let ran = ran(Command::new(compiler)
        .args([
            standard,
            "-Wall",
            "-Wextra",
            "-Werror",
            "-pedantic",
            "-g",
            "-O1",
        ])
        .args(options)
        .args(pkg_config(&["--cflags"]))
        .arg("-o")
        .arg(&program)
        .arg(source)
        .args(libraries)
        .args(["-pthread", "-lm"]));
    assert_eq!(
        (ran.code, ran.stdout + &ran.stderr),
        (Some(0), String::new())
    );
    program
}

/// A program in the folder of the demo's data, under these watchers (nothing, or valgrind and its options).
#[must_use]
pub fn run(watcher: &[&str], program: &Path, arguments: &[&str]) -> Ran {
    let mut command = match watcher.split_first() {
        None => Command::new(program),
        Some((watcher, options)) => {
            let mut command = Command::new(watcher);
            command.args(options).arg(program);
            command
        }
    };
    ran(command
        .args(arguments)
        .current_dir(workspace().join("data/demo"))
        .env("LD_LIBRARY_PATH", installed().join("lib"))
        .env("RUST_BACKTRACE", "0"))
}

/// Valgrind, which ends with 99 at an error or a leak.
pub const MEMCHECK: [&str; 5] = [
    "valgrind",
    "--quiet",
    "--error-exitcode=99",
    "--leak-check=full",
    "--errors-for-leak-kinds=definite,indirect,possible",
];

fn ran(command: &mut Command) -> Ran {
    let output = command.stdin(Stdio::null()).output();
    output
        .unwrap_or_else(|error| stop(&format!("{command:?}: {error}")))
        .into()
}
