//! `--output`: whole or not at all, for each command and format: when the program is killed in the middle of writing, when the
//! disk is full, through links, over a file with permissions of its own, and with names that mean harm.
//!
//! Source: the contract, 7 ("`--output FILE` writes atomically"); DEVELOPERS.md, "Files that mean harm". A limit on the size of files
//! (`ulimit -f`, POSIX.1-2017, in units of 512 bytes) ends the program by SIGXFSZ in the very call that passes it, and where the
//! signal is ignored that call fails instead (setrlimit, POSIX.1-2017): a kill in the middle and a full disk, at the same place
//! in every run.

#![cfg(unix)]
#![expect(clippy::unwrap_used, reason = "a check stops at the first surprise")]

use std::fs;
use std::io::Write as _;
use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _, symlink};
use std::os::unix::process::ExitStatusExt as _;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use fairspell_tests::binary::{self, Ran, assert_refused};
use fairspell_tests::daily;
use fairspell_tests::questions::{QUESTIONS, Question, folder};

const OLD: &str = "old\n";

/// In CI a disk of a few kilobytes must be there.
#[test]
fn a_small_disk_is_there_in_ci() {
    let is_ci = std::env::var("CI").is_ok_and(|ci| ci == "true");
    assert!(
        cfg!(small_disk) || !is_ci,
        "expected unshare and mount to make a disk of 8 KiB, found none"
    );
}

/// The program behind a shell that first does `before`.
fn behind(folder: &Path, before: &str, arguments: &[&str]) -> Command {
    let mut command = Command::new("sh");
    command
        .args(["-c", &format!("{before}; exec \"$@\""), "sh"])
        .arg(binary::path())
        .args(arguments);
    command.current_dir(folder).stdin(Stdio::null());
    command
}

fn names(folder: &Path) -> Vec<String> {
    let all = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap());
    let mut all: Vec<String> = all.collect();
    all.sort();
    all
}

fn with_output<'a>(question: &Question, output: &'a str) -> Vec<&'a str> {
    [
        question.arguments,
        &["--format", question.format, "--output", output],
    ]
    .concat()
}

/// Killed in the middle of writing, and the old file is there to the last byte; where there was none, there is none.
#[test]
fn a_kill_in_the_middle_leaves_the_old_file() {
    let folder = folder().unwrap();
    for question in QUESTIONS {
        fs::write(folder.path().join("out"), OLD).unwrap();
        for output in ["out", "new"] {
            let blocks = u8::from(question.format != "line"); // a line is shorter than a block
            let mut command = behind(
                folder.path(),
                &format!("ulimit -c 0; ulimit -f {blocks}"),
                &with_output(question, output),
            );
            let status = command.output().unwrap().status;
            assert!(status.signal().is_some(), "{question:?}: {status}");
        }
        assert_eq!(
            fs::read_to_string(folder.path().join("out")).unwrap(),
            OLD,
            "{question:?}"
        );
        assert!(!folder.path().join("new").exists(), "{question:?}");
    }
}

/// Killed while many answers are on their way, the first of them already on the disk.
#[test]
fn a_kill_between_two_stations_leaves_the_old_file() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("out"), OLD).unwrap();
    let mut command = binary::command(folder.path());
    command.args([
        "freeze",
        "-",
        "--replicates",
        "0",
        "--format",
        "json",
        "--output",
        "out",
    ]);
    let mut child = command.stdin(Stdio::piped()).spawn().unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let until = Instant::now() + Duration::from_secs(60);
    let mut number = 0;
    while !names(folder.path())
        .iter()
        .any(|name| name.starts_with(".fairspell-"))
    {
        assert!(Instant::now() < until, "nothing was written aside");
        let names: Vec<String> = (0..20).map(|more| format!("S{}", number + more)).collect();
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        let rows = daily::stations(&names, 1);
        stdin
            .write_all(if number == 0 {
                rows.as_bytes()
            } else {
                rows.split_once('\n').unwrap().1.as_bytes()
            })
            .unwrap();
        number += 20;
    }
    child.kill().unwrap();
    assert_eq!(child.wait().unwrap().signal(), Some(9));
    assert_eq!(fs::read_to_string(folder.path().join("out")).unwrap(), OLD);
}

/// A disk that is full in the middle of writing: an error, the old file, and nothing beside it.
#[test]
fn a_failed_write_leaves_the_old_file_and_nothing_else() {
    let folder = folder().unwrap();
    fs::write(folder.path().join("out"), OLD).unwrap();
    let before = names(folder.path());
    for question in QUESTIONS {
        let blocks = u8::from(question.format != "line");
        let limit = format!("trap '' XFSZ; ulimit -f {blocks}");
        let ran: Ran = behind(folder.path(), &limit, &with_output(question, "out"))
            .output()
            .unwrap()
            .into();
        assert_no_room(&ran, question);
        assert_eq!(
            fs::read_to_string(folder.path().join("out")).unwrap(),
            OLD,
            "{question:?}"
        );
        assert_eq!(names(folder.path()), before, "{question:?}");
    }
}

#[track_caller]
fn assert_no_room(ran: &Ran, question: &Question) {
    let errors: Vec<&str> = ran
        .stderr
        .lines()
        .filter(|line| !line.starts_with("fairspell: notice: "))
        .collect();
    let [error] = errors.as_slice() else {
        unreachable!("{question:?}: one error, not {errors:?}")
    };
    assert!(
        error.starts_with("fairspell: out: expected a place to write, found an error: "),
        "{question:?}: {error}"
    );
    assert_eq!(
        (ran.code, ran.stdout.as_str()),
        (Some(2), ""),
        "{question:?}"
    );
}

/// The same on a disk that really is full: a file system of 8 KiB in memory, in a name space of its own.
#[test]
#[cfg_attr(not(small_disk), ignore = "needs unshare and mount")]
fn a_full_disk_leaves_the_old_file_and_nothing_else() {
    let folder = folder().unwrap();
    fs::create_dir(folder.path().join("disk")).unwrap();
    for question in QUESTIONS
        .iter()
        .filter(|question| matches!(question.format, "json" | "html" | "svg"))
    {
        let script = "mount -t tmpfs -o size=8k tmpfs disk || exit 90; cd disk; printf 'old\\n' > out; cd ..; \"$@\"; code=$?; \
                      cat disk/out; ls -A disk; exit $code";
        let mut command = Command::new("unshare");
        command
            .args(["-rm", "sh", "-c", script, "sh"])
            .arg(binary::path())
            .args(with_output(question, "disk/out"));
        let output = command
            .current_dir(folder.path())
            .stdin(Stdio::null())
            .output()
            .unwrap();
        let ran = Ran::from(output);
        assert_eq!(
            (ran.code, ran.stdout.as_str()),
            (Some(2), "old\nout\n"),
            "{question:?}: {}",
            ran.stderr
        );
        assert!(
            ran.stderr
                .contains("disk/out: expected a place to write, found an error: "),
            "{}",
            ran.stderr
        );
    }
}

const DECIDE: [&str; 6] = ["decide", "oil", "week.csv", "--site", "site.toml", "--at"];
const AT: &str = "2027-03-10T09:00-06:00";

fn decide(folder: &Path, output: &str) -> Ran {
    binary::run(folder, &[&DECIDE[..], &[AT, "--output", output]].concat())
}

/// A link stays a link, and what it names is replaced, in the folder where that lies; so it is through several links, and through
/// one that names a file not there yet.
#[test]
fn a_link_stays_and_what_it_names_is_replaced() {
    let folder = folder().unwrap();
    let of = |name: &str| folder.path().join(name);
    fs::create_dir(of("kept")).unwrap();
    fs::write(of("kept/real"), OLD).unwrap();
    fs::set_permissions(of("kept/real"), fs::Permissions::from_mode(0o600)).unwrap();
    symlink("kept/real", of("link")).unwrap();
    symlink("link", of("second")).unwrap();
    symlink("kept/new", of("nowhere")).unwrap();
    let before = fs::metadata(of("kept/real")).unwrap().ino();
    for (name, real) in [
        ("link", "kept/real"),
        ("second", "kept/real"),
        ("nowhere", "kept/new"),
    ] {
        assert_eq!(decide(folder.path(), name).code, Some(0));
        assert!(
            fs::symlink_metadata(of(name)).unwrap().is_symlink(),
            "{name}"
        );
        assert!(
            fs::read_to_string(of(real)).unwrap().starts_with("GO "),
            "{name}"
        );
        if name == "link" {
            // While both are there they differ; the next file may have the first one's number again.
            let after = fs::metadata(of(real)).unwrap();
            assert_ne!(after.ino(), before, "renamed over it, not written into it");
        }
    }
    let after = fs::metadata(of("kept/real")).unwrap();
    assert_eq!(after.permissions().mode() & 0o7777, 0o600);
    assert_eq!(names(&of("kept")), ["new", "real"]);
    symlink("round", of("about")).unwrap();
    symlink("about", of("round")).unwrap();
    assert_eq!(decide(folder.path(), "round").code, Some(2));
}

/// A file that only its owner may read is never there for others, not even the file beside it while it is written.
#[test]
fn the_file_beside_has_the_permissions_before_it_has_a_byte() {
    let folder = folder().unwrap();
    for mode in [0o600, 0o640, 0o400] {
        let path = folder.path().join("out");
        let _ = fs::remove_file(&path);
        fs::write(&path, OLD).unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(mode)).unwrap();
        let limit = "ulimit -c 0; umask 0; ulimit -f 1";
        let arguments = [&DECIDE[..], &[AT, "--format", "json", "--output", "out"]].concat();
        let status = behind(folder.path(), limit, &arguments)
            .output()
            .unwrap()
            .status;
        assert!(status.signal().is_some(), "{status}");
        let beside = names(folder.path())
            .into_iter()
            .find(|name| name.starts_with(".fairspell-"))
            .unwrap();
        let beside = folder.path().join(beside);
        assert_eq!(
            fs::metadata(&beside).unwrap().permissions().mode() & 0o7777,
            mode
        );
        fs::remove_file(beside).unwrap();
    }
}

/// A name is a name, whatever it holds: it climbs where it says, and is no option, no command and no second line.
#[test]
fn names_of_outputs_are_taken_as_they_are() {
    let folder = folder().unwrap();
    let outer = folder.path();
    fs::create_dir(outer.join("in")).unwrap();
    for name in ["week.csv", "site.toml"] {
        fs::copy(outer.join(name), outer.join("in").join(name)).unwrap();
    }
    let inner = outer.join("in");
    for output in [
        "../up",
        "./-rf",
        "two\nlines",
        "a b;$(touch c)`touch c`|c",
        "\u{1b}[2J",
        "~",
        "%s",
        ".fairspell-",
    ] {
        let ran = decide(&inner, output);
        assert_eq!(
            (ran.code, ran.stdout.as_str(), ran.stderr.as_str()),
            (Some(0), "", ""),
            "{output:?}"
        );
        assert!(
            fs::read_to_string(inner.join(output))
                .unwrap()
                .starts_with("GO "),
            "{output:?}"
        );
    }
    let ran = binary::run(&inner, &[&DECIDE[..], &[AT, "--output=-rf"]].concat());
    assert_eq!(ran.code, Some(0), "{}", ran.stderr);
    assert_eq!(names(&inner).len(), 2 + 7, "{:?}", names(&inner));
    assert_eq!(decide(&inner, "").code, Some(2));
}

/// An output that is one of the inputs, by whatever path, would replace what was to be kept.
#[test]
fn an_input_is_refused_as_the_output() {
    let folder = folder().unwrap();
    let of = |name: &str| folder.path().join(name);
    symlink("week.csv", of("link.csv")).unwrap();
    for question in QUESTIONS
        .iter()
        .filter(|question| matches!(question.format, "text" | "json" | "csv"))
    {
        for input in question.inputs {
            let before = fs::read(of(input)).unwrap();
            let path = format!("./{input}");
            let ran = binary::run(folder.path(), &with_output(question, &path));
            assert_refused(
                &ran,
                &format!("--output: expected another file than the inputs, found \"{input}\""),
            );
            assert_eq!(fs::read(of(input)).unwrap(), before, "{question:?}");
        }
    }
    assert_refused(
        &decide(folder.path(), "link.csv"),
        "--output: expected another file than the inputs, found \"week.csv\"",
    );
    fs::write(of("oil"), OLD).unwrap(); // the built-in operation is no file
    assert_eq!(decide(folder.path(), "oil").code, Some(0));
}

/// The demo lays its files down in the folder alone: no link leads it elsewhere. What it prints is a command that a shell runs.
#[test]
fn the_demo_writes_behind_no_link_and_quotes_its_folder() {
    let folder = tempfile::tempdir().unwrap();
    let of = |name: &str| folder.path().join(name);
    fs::create_dir(of("trap")).unwrap();
    symlink("../elsewhere", of("trap/site.toml")).unwrap();
    let ran = binary::run(folder.path(), &["demo", "--write", "trap"]);
    assert_eq!(
        (ran.code, of("elsewhere").exists()),
        (Some(2), false),
        "{}",
        ran.stderr
    );
    for name in [
        "plain",
        "two words",
        "it's; touch bad",
        "$(touch bad)",
        "-dash",
        "`touch bad`",
        "a&b",
        "#c",
        "~",
    ] {
        let ran = binary::run(folder.path(), &["demo", &format!("--write={name}")]);
        assert_eq!(ran.code, Some(0), "{}", ran.stderr);
        let cd = ran
            .stdout
            .lines()
            .find(|line| line.starts_with("cd "))
            .unwrap();
        let output = Command::new("sh")
            .args(["-c", &format!("{cd} && ls")])
            .current_dir(folder.path())
            .output()
            .unwrap();
        let there = String::from_utf8(output.stdout).unwrap();
        assert!(there.contains("forecast.csv"), "{cd}: {there}");
        assert!(
            !of("bad").exists() && !of(name).join("bad").exists(),
            "{cd}"
        );
    }
    let ran = binary::run(folder.path(), &["demo", "--write", "two\nlines\u{1b}[2J"]);
    assert_eq!(ran.code, Some(0), "{}", ran.stderr);
    assert!(
        !ran.stdout.contains("cd ") && !ran.stdout.contains('\u{1b}'),
        "{}",
        ran.stdout
    );
    assert!(of("two\nlines\u{1b}[2J/site.toml").exists());
}
