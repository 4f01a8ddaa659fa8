//! Exit codes where nobody reads, or not to the end: for each command and format.
//!
//! Source: the contract, 7 (0 go or done, 1 no-go, 2 error, 3 cannot tell; "nothing but a true go is 0"), and README, Cron. A
//! reader that has left changes no verdict; an answer that could not be written is none.

#![cfg(unix)]
#![expect(clippy::unwrap_used, reason = "a check stops at the first surprise")]

use std::fs::OpenOptions;
use std::io::Read as _;
use std::process::Stdio;

use fairspell_tests::binary;
use fairspell_tests::questions::{QUESTIONS, Question, folder};

fn arguments(question: &Question) -> Vec<&'static str> {
    [question.arguments, &["--format", question.format]].concat()
}

fn errors(stderr: &[u8]) -> Vec<String> {
    let stderr = String::from_utf8(stderr.to_vec()).unwrap();
    let is_error = |line: &&str| !line.starts_with("fairspell: notice: ");
    stderr.lines().filter(is_error).map(str::to_owned).collect()
}

/// The reader left before the first byte.
#[test]
fn a_closed_pipe_leaves_the_code_of_the_answer() {
    let folder = folder().unwrap();
    for question in QUESTIONS {
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let mut command = binary::command(folder.path());
        let output = command
            .args(arguments(question))
            .stdout(writer)
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(question.code), "{question:?}");
        assert_eq!(errors(&output.stderr), [""; 0], "{question:?}");
    }
}

/// The reader takes ten bytes and leaves.
#[test]
fn a_pipe_closed_in_the_middle_leaves_the_code_of_the_answer() {
    let folder = folder().unwrap();
    for question in QUESTIONS {
        let mut command = binary::command(folder.path());
        command
            .args(arguments(question))
            .stdout(Stdio::piped())
            .stderr(Stdio::piped());
        let mut child = command.spawn().unwrap();
        let mut ten = [0; 10];
        child.stdout.take().unwrap().read_exact(&mut ten).unwrap(); // and closed here
        let output = child.wait_with_output().unwrap();
        assert_eq!(output.status.code(), Some(question.code), "{question:?}");
        assert_eq!(errors(&output.stderr), [""; 0], "{question:?}");
    }
}

/// A *go* that nobody could read is none: on a full device (`full(4)`, from memory) every answer ends with 2.
#[test]
#[cfg(target_os = "linux")]
fn an_answer_that_cannot_be_written_is_an_error() {
    let folder = folder().unwrap();
    for question in QUESTIONS {
        let full = OpenOptions::new().write(true).open("/dev/full").unwrap();
        let mut command = binary::command(folder.path());
        let output = command
            .args(arguments(question))
            .stdout(full)
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(2), "{question:?}");
        let errors = errors(&output.stderr);
        let words = "fairspell: standard output: expected a place to write, found an error: ";
        assert!(
            errors.len() == 1 && errors[0].starts_with(words),
            "{question:?}: {errors:?}"
        );
        let mut command = binary::command(folder.path());
        command
            .args(arguments(question))
            .args(["--output", "/dev/full"]);
        assert_eq!(
            command.output().unwrap().status.code(),
            Some(2),
            "{question:?}"
        );
    }
}

/// Notices and errors that nobody hears.
#[test]
fn words_that_nobody_hears_change_no_code() {
    let folder = folder().unwrap();
    for question in QUESTIONS {
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let mut command = binary::command(folder.path());
        let output = command
            .args(arguments(question))
            .stderr(writer)
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(question.code), "{question:?}");
        assert!(!output.stdout.is_empty(), "{question:?}");
    }
    let (reader, writer) = std::io::pipe().unwrap();
    drop(reader);
    let mut command = binary::command(folder.path());
    let output = command
        .args(["decide", "oil", "absent.csv"])
        .stderr(writer)
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
}
