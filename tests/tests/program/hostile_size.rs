//! Inputs without end: 2 GiB from a pipe into whatever reads standard input, within bounded memory, and ended soon.
//!
//! Source: DEVELOPERS.md, "Limits of input" and "Files that mean harm"; the contract, 6 ("input is not trusted"). The program runs
//! under a limit on its address space far below what it is offered, so that it could not hold it; how much it took before it
//! ended is counted at the pipe.

#![cfg(unix)]
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check may stop at the first surprise"
)]

use std::io::{Read as _, Write as _};
use std::path::Path;
use std::process::{Command, Stdio};
use std::thread;

use fairspell_tests::binary;
use fairspell_tests::questions::folder;
use flate2::Compression;
use flate2::write::GzEncoder;

/// What is offered: 2 GiB.
const OFFERED: u64 = 2 << 30;
/// Most that may be taken of it: the limit of a file, one block ahead, and what the pipe holds.
const MOST_TAKEN: u64 = (64 << 20) + (4 << 20);
/// Address space of the program \[KiB\]: 1 GiB, half of what is offered; threads and libraries only reserve most of theirs.
const SPACE_KIB: u64 = 1 << 20;

/// Each input that standard input may be.
const INPUTS: [&str; 13] = [
    "decide oil - --site site.toml",
    "decide - week.csv --site site.toml",
    "decide oil week.csv --site -",
    "decide oil week.csv --site site.toml --observed -",
    "decide oil week.csv --site site.toml --record -",
    "decide oil week.csv --site site.toml --record record.csv --past -",
    "decide oil week.csv --site site.toml --plants -",
    "freeze -",
    "season - --site site.toml",
    "season record.csv --site site.toml --observed -",
    "hindcast oil - --site site.toml",
    "hindcast oil past.csv --site site.toml --log -",
    "hindcast oil past.csv --site site.toml --forecasts -",
];

/// Those that are read as weather: a forecast, daily records, past hours.
const WEATHER: [&str; 3] = [INPUTS[0], INPUTS[7], INPUTS[10]];

/// Runs the program within the limits; its exit code, what it said, and how much it took of `block` again and again behind
/// `head`.
fn fed(
    arguments: &str,
    (head, block): (&[u8], &[u8]),
    folder: &Path,
) -> (Option<i32>, String, u64) {
    let mut child = Command::new("sh")
        .args([
            "-c",
            &format!("ulimit -v {SPACE_KIB} && exec \"$0\" \"$@\""),
        ])
        .arg(binary::path())
        .args(arguments.split(' '))
        .current_dir(folder)
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut pipe = child.stdin.take().unwrap();
    let mut said = child.stderr.take().unwrap();
    let reader = thread::spawn(move || {
        let mut text = String::new();
        said.read_to_string(&mut text).map(|_| text)
    });
    let mut taken = 0;
    if pipe.write_all(head).is_ok() && !block.is_empty() {
        while taken < OFFERED && pipe.write_all(block).is_ok() {
            taken += block.len() as u64;
        }
    }
    drop(pipe);
    let code = child.wait().unwrap().code();
    (code, reader.join().unwrap().unwrap(), taken)
}

#[track_caller]
fn assert_refused(arguments: &str, input: (&[u8], &[u8]), folder: &Path) {
    let (code, said, taken) = fed(arguments, input, folder);
    let of = format!(
        "{arguments:?} {:?}…: {said:?}, {taken} bytes",
        input.1.first().map(|byte| char::from(*byte))
    );
    assert_eq!(code, Some(2), "{of}");
    let last = said.lines().last().unwrap_or_default();
    assert!(
        last.starts_with("fairspell: -") && last.contains("expected"),
        "{of}"
    );
    assert!(taken <= MOST_TAKEN, "{of}");
}

#[test]
fn a_line_without_end_is_refused_by_every_input() {
    let folder = folder().unwrap();
    for arguments in INPUTS {
        assert_refused(arguments, (b"", &vec![b'x'; 1 << 16]), folder.path());
    }
}

#[test]
fn columns_brackets_and_quotes_without_end_are_refused() {
    let folder = folder().unwrap();
    for arguments in WEATHER {
        for byte in b",[\"\0" {
            assert_refused(arguments, (b"", &vec![*byte; 1 << 16]), folder.path());
        }
        // A header of 100,000 columns; a row of 100,000 fields.
        let columns = "column,".repeat(100_000);
        let header = format!("time,{columns}last\n");
        assert_refused(arguments, (header.as_bytes(), b""), folder.path());
        let row = format!(
            "time,temperature_f\n2027-03-10T09:00Z,{}\n",
            "1,".repeat(100_000)
        );
        assert_refused(arguments, (row.as_bytes(), b""), folder.path());
        let deep = format!("{}{}", "{\"a\":[".repeat(50_000), "]}".repeat(50_000));
        assert_refused(arguments, (deep.as_bytes(), b""), folder.path());
    }
}

/// A file of gzip (RFC 1952) that unpacks to 2 GiB of one line, 2 MiB packed.
#[test]
fn a_gzip_bomb_is_refused() {
    let folder = folder().unwrap();
    let mut packed = GzEncoder::new(Vec::new(), Compression::fast());
    let block = vec![b'x'; 1 << 20];
    for _ in 0..256 {
        packed.write_all(&block).unwrap();
    }
    // RFC 1952, 2.2: members follow one another, and unpack to the sum of all.
    let member = packed.finish().unwrap();
    let bomb = member.repeat(8);
    for arguments in INPUTS {
        assert_refused(arguments, (&bomb, b""), folder.path());
    }
}

/// What is packed twice is unpacked once, and is no text then: the same words from every input of weather.
#[test]
fn what_is_packed_twice_is_no_text() {
    let folder = folder().unwrap();
    let pack = |bytes: &[u8]| {
        let mut packed = GzEncoder::new(Vec::new(), Compression::default());
        packed.write_all(bytes).unwrap();
        packed.finish().unwrap()
    };
    for (arguments, name) in [
        (INPUTS[0], "week.csv"),
        (INPUTS[4], "record.csv"),
        (INPUTS[5], "past.csv"),
        (INPUTS[7], "record.csv"),
        (INPUTS[8], "record.csv"),
        (INPUTS[10], "past.csv"),
    ] {
        let whole = std::fs::read_to_string(folder.path().join(name)).unwrap();
        // What a reader makes of packed bytes hangs on which of them look like ends of lines.
        let short = |lines| whole.split_inclusive('\n').take(lines).collect::<String>();
        for plain in (2..12).map(short).chain([whole.clone()]) {
            let twice = pack(&pack(plain.as_bytes()));
            let (code, said, _) = fed(arguments, (&twice, b""), folder.path());
            assert_eq!(code, Some(2), "{arguments:?}: {said}");
            let wanted = "fairspell: -:1:2: expected UTF-8 text, found byte 0x8b";
            let is_said = said.lines().any(|line| line == wanted);
            assert!(is_said, "{arguments:?}: {said}");
        }
    }
}
