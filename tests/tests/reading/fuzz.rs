//! The fuzz targets replayed: every file of their corpora, and a bounded number of files made from them by small changes.
//!
//! The corpora (`tests/fuzz/corpus`) began as cuts of the open records that may be copied and files written by hand; what
//! the fuzzer found beside them is kept there, minimised. `tests/fuzz` runs them with coverage, see DEVELOPERS.md.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::print_stdout,
    reason = "a check may stop at the first surprise, and shows what it did"
)]

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;

use fairspell_tests::past::Draw;
use fairspell_tests::targets::TARGETS;

/// Changed files a target.
const CHANGED: usize = 400;
/// Bytes that mean something to one of the formats.
const WORDS: [&[u8]; 24] = [
    b",",
    b"\n",
    b"\r\n",
    b"\"",
    b"|",
    b"{",
    b"}",
    b"[",
    b"]",
    b"=",
    b":",
    b"-",
    b"\0",
    b"\xff",
    b"\xef\xbb\xbf",
    b"e308",
    b"-9999",
    b"99999999999999999999",
    b"NaN",
    b"null",
    b"Z",
    b"\x1b[2J",
    b"0000",
    b"[[",
];

fn corpus(name: &str) -> Vec<(PathBuf, Vec<u8>)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("fuzz/corpus")
        .join(name);
    let mut files: Vec<(PathBuf, Vec<u8>)> = fs::read_dir(&folder)
        .unwrap_or_else(|_| panic!("{} has no corpus", folder.display()))
        .map(|entry| entry.unwrap().path())
        .map(|path| (path.clone(), fs::read(path).unwrap()))
        .collect();
    files.sort();
    files
}

/// One to four small changes: a byte, a word put in, a piece cut out, doubled or moved.
fn changed(draw: &mut Draw, bytes: &[u8]) -> Vec<u8> {
    let mut changed = bytes.to_vec();
    for _ in 0..=draw.below(4) {
        let at = draw.below(changed.len() + 1);
        let to = (at + draw.below(40)).min(changed.len());
        match draw.below(5) {
            0 if at < changed.len() => {
                let byte = u8::try_from(draw.below(256)).unwrap();
                changed.splice(at..=at, [byte]);
            }
            1 => {
                changed.splice(at..at, WORDS[draw.below(WORDS.len())].iter().copied());
            }
            2 => {
                changed.drain(at..to);
            }
            3 => {
                let piece = changed[at..to].to_vec();
                changed.splice(at..at, piece);
            }
            _ => {
                let piece: Vec<u8> = changed.drain(at..to).collect();
                let at = draw.below(changed.len() + 1);
                changed.splice(at..at, piece);
            }
        }
    }
    changed
}

/// Runs a target; a panic is told with the bytes that brought it.
fn run(name: &str, check: fn(&[u8]), what: &str, bytes: &[u8]) {
    let done = catch_unwind(AssertUnwindSafe(|| check(bytes)));
    assert!(done.is_ok(), "{name}: {what}: {}", bytes.escape_ascii());
}

#[test]
fn every_target_bears_its_corpus_and_what_lies_near_it() {
    for (name, check) in TARGETS {
        let files = corpus(name);
        assert!(!files.is_empty(), "{name}");
        for (path, bytes) in &files {
            run(name, check, &path.display().to_string(), bytes);
        }
        let mut draw = Draw(name.bytes().map(u64::from).sum());
        for number in 0..CHANGED {
            let (_, bytes) = &files[draw.below(files.len())];
            let bytes = changed(&mut draw, bytes);
            run(name, check, &format!("change {number}"), &bytes);
        }
        println!("{name}: {} files, {CHANGED} changed", files.len());
    }
}
