//! The command line as a user and a script meet it: help, the demo, files in and out, pipes, colours; and what the core
//! may depend on.
//!
//! Source: the project's contract for the command line, and its promise that the core is pure.

#![expect(clippy::unwrap_used, reason = "a check stops at the first surprise")]

use std::fs;
use std::io::Write as _;
use std::path::Path;

use fairspell_tests::binary;
use fairspell_tests::week::{HOURS, SITE, Week};
use tempfile::TempDir;

const AT: &str = "2027-03-10T09:00-06:00";

/// Everything that the core may be built on, on this platform: its own dependencies and theirs.
const CORE_MAY_USE: [&str; 38] = [
    "adler2",
    "cfg-if",
    "chrono",
    "chrono-tz",
    "crc32fast",
    "csv",
    "csv-core",
    "fairspell",
    "fairspell-data",
    "flate2",
    "itoa",
    "libm",
    "memchr",
    "miniz_oxide",
    "num-traits",
    "phf",
    "phf_shared",
    "proc-macro2",
    "quote",
    "ryu",
    "serde",
    "serde_core",
    "serde_derive",
    "serde_json",
    "serde_spanned",
    "simd-adler32",
    "siphasher",
    "syn",
    "thiserror",
    "thiserror-impl",
    "toml",
    "toml_datetime",
    "toml_parser",
    "toml_writer",
    "unicode-ident",
    "winnow",
    "zmij",
    "autocfg",
];

/// A folder with `site.toml` and `week.csv`, a forecast that goes at [`AT`].
fn folder() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("site.toml"), SITE).unwrap();
    fs::write(folder.path().join("week.csv"), Week::default().csv()).unwrap();
    folder
}

const DECIDE: [&str; 7] = [
    "decide",
    "oil",
    "week.csv",
    "--site",
    "site.toml",
    "--at",
    AT,
];

fn decide(folder: &Path, more: &[&str]) -> binary::Ran {
    binary::run(folder, &[&DECIDE, more].concat())
}

#[test]
fn help_prints_examples_and_exit_codes() {
    for (arguments, example) in [
        (
            &["--help"][..],
            "fairspell decide oil forecast.csv --site site.toml",
        ),
        (
            &["decide", "--help"],
            "fairspell decide oil forecast.json --site site.toml",
        ),
        (
            &["help", "decide"],
            "fairspell decide oil forecast.json --site site.toml",
        ),
    ] {
        let ran = binary::run(folder().path(), arguments);
        assert_eq!(
            (ran.code, ran.stderr.as_str()),
            (Some(0), ""),
            "{arguments:?}"
        );
        for words in ["Examples:", example, "Exit: 0 go"] {
            assert!(ran.stdout.contains(words), "{words} in {}", ran.stdout);
        }
        assert!(!ran.stdout.contains('\x1b'), "no escape codes in a pipe");
    }
}

/// Every option of `decide` stands in its help, with a word on what it does.
#[test]
fn help_names_every_option() {
    let help = binary::run(folder().path(), &["decide", "--help"]).stdout;
    for option in [
        "--site",
        "--latitude",
        "--longitude",
        "--zone",
        "--at",
        "--within",
        "--observed",
        "--dry-now",
        "--strict",
        "--format",
        "--units",
        "--explain",
        "--alarm",
        "--output",
    ] {
        let is_named = help
            .split_whitespace()
            .any(|word| word.split(['[', '=']).next() == Some(option));
        assert!(is_named, "{option}");
    }
}

#[test]
fn the_version_is_printed() {
    let ran = binary::run(folder().path(), &["--version"]);
    assert_eq!((ran.code, ran.stderr.as_str()), (Some(0), ""));
    assert_eq!(
        ran.stdout,
        format!("fairspell {}\n", env!("CARGO_PKG_VERSION"))
    );
}

#[test]
fn the_demo_answers_both_built_in_operations() {
    let ran = binary::run(folder().path(), &["demo"]);
    assert_eq!((ran.code, ran.stderr.as_str()), (Some(0), ""));
    assert!(
        ran.stdout.contains("NO-GO  dormant oil at Quince Hollow"),
        "{}",
        ran.stdout
    );
    assert!(
        ran.stdout
            .contains("GO  late-winter pruning at Quince Hollow"),
        "{}",
        ran.stdout
    );
    assert!(
        ran.stdout.contains("Prune ") && ran.stdout.contains("inferred"),
        "the season's answer is there: {}",
        ran.stdout
    );
    assert!(
        ran.stdout.lines().all(|line| line.chars().count() <= 80),
        "{}",
        ran.stdout
    );
    assert!(
        ran.stdout.contains("invented"),
        "it says that nothing of it was measured"
    );
}

/// The commands that the demo shows, run on the files that it lays down, give the answers that it shows.
#[test]
fn the_demo_files_give_the_answers_of_the_demo() {
    let folder = tempfile::tempdir().unwrap();
    let demo = binary::run(folder.path(), &["demo"]).stdout;
    let ran = binary::run(folder.path(), &["demo", "--write", "try"]);
    assert_eq!((ran.code, ran.stderr.as_str()), (Some(0), ""));
    let there = folder.path().join("try");
    let mut shown = demo.split("\n$ fairspell ").skip(1).collect::<Vec<_>>();
    assert_eq!(shown.len(), 3);
    for shown in shown.drain(..) {
        let (command, answer) = shown.split_once("\n\n").unwrap();
        let command = command.replace('\\', " ");
        let arguments: Vec<&str> = command.split_whitespace().collect();
        let ran = binary::run(&there, &arguments);
        assert!(
            matches!(ran.code, Some(0 | 1)),
            "{arguments:?}: {}",
            ran.stderr
        );
        match answer.strip_suffix("...\n") {
            Some(begins) => assert!(ran.stdout.starts_with(begins), "{arguments:?}"),
            None => assert_eq!(ran.stdout.trim_end(), answer.trim_end(), "{arguments:?}"),
        }
    }
    for name in ["oil", "prune"] {
        let [built_in, file] = [name.to_owned(), format!("{name}.toml")].map(|operation| {
            let place = [
                "forecast.csv",
                "--site",
                "site.toml",
                "--at",
                "2027-03-08T06:00-06:00",
            ];
            binary::run(
                &there,
                &[&["decide", operation.as_str()], &place[..]].concat(),
            )
        });
        assert_eq!(
            built_in, file,
            "the file laid down is the operation built in"
        );
    }
}

#[test]
fn the_demo_replaces_no_file() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("oil.toml"), "mine").unwrap();
    let ran = binary::run(folder.path(), &["demo", "--write", "."]);
    assert_eq!((ran.code, ran.stdout.as_str()), (Some(2), ""));
    assert!(
        ran.stderr.starts_with("fairspell: ./oil.toml: "),
        "{}",
        ran.stderr
    );
    assert_eq!(
        fs::read_to_string(folder.path().join("oil.toml")).unwrap(),
        "mine"
    );
    assert_eq!(
        fs::read_dir(folder.path()).unwrap().count(),
        1,
        "nothing was written"
    );
}

#[test]
fn an_output_file_holds_what_would_have_been_printed() {
    let folder = folder();
    let printed = decide(folder.path(), &[]);
    let written = decide(folder.path(), &["--output", "answer.txt"]);
    assert_eq!(
        (
            written.code,
            written.stdout.as_str(),
            written.stderr.as_str()
        ),
        (Some(0), "", "")
    );
    assert_eq!(
        fs::read_to_string(folder.path().join("answer.txt")).unwrap(),
        printed.stdout
    );
}

/// A *no-go* is written as well, and its exit code stays.
#[test]
fn an_output_file_does_not_change_the_exit_code() {
    let folder = folder();
    fs::write(
        folder.path().join("week.csv"),
        Week::default().with("rain_mm", 0..HOURS, "1").csv(),
    )
    .unwrap();
    assert_eq!(
        decide(folder.path(), &["--output", "answer.txt"]).code,
        Some(1)
    );
    assert!(
        fs::read_to_string(folder.path().join("answer.txt"))
            .unwrap()
            .starts_with("NO-GO")
    );
}

/// The old file is replaced whole, keeps its permissions, and is another file (a reader of the old one reads on).
#[cfg(unix)]
#[test]
fn an_output_file_is_replaced_at_once_and_keeps_its_permissions() {
    use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _};
    let folder = folder();
    let path = folder.path().join("answer.txt");
    fs::write(&path, "old\n".repeat(1000)).unwrap();
    fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
    let (before, mut reader) = (fs::metadata(&path).unwrap(), fs::File::open(&path).unwrap());
    assert_eq!(
        decide(folder.path(), &["--output", "answer.txt"]).code,
        Some(0)
    );
    let after = fs::metadata(&path).unwrap();
    assert_eq!(after.permissions().mode() & 0o7777, 0o640);
    assert_ne!(
        after.ino(),
        before.ino(),
        "renamed over it, not written into it"
    );
    let mut old = String::new();
    std::io::Read::read_to_string(&mut reader, &mut old).unwrap();
    assert_eq!(old, "old\n".repeat(1000));
    assert!(fs::read_to_string(&path).unwrap().starts_with("GO "));
    assert_eq!(
        fs::read_dir(folder.path()).unwrap().count(),
        3,
        "nothing is left beside it"
    );
}

/// A run that fails leaves the old file as it was.
#[test]
fn an_output_file_survives_an_error() {
    let folder = folder();
    fs::write(folder.path().join("answer.txt"), "old").unwrap();
    fs::write(
        folder.path().join("week.csv"),
        "time,temperature_f\nnow,50\n",
    )
    .unwrap();
    assert_eq!(
        decide(folder.path(), &["--output", "answer.txt"]).code,
        Some(2)
    );
    assert_eq!(
        fs::read_to_string(folder.path().join("answer.txt")).unwrap(),
        "old"
    );
}

/// Colour repeats what a word says, and only where it is wanted: a pipe has none, `NO_COLOR` forbids it.
#[test]
fn escape_codes_come_only_where_they_are_asked_for() {
    let folder = folder();
    let with = |variables: &[(&str, &str)], more: &[&str]| {
        let mut command = binary::command(folder.path());
        let output = command
            .args(DECIDE)
            .args(more)
            .envs(variables.iter().copied())
            .output()
            .unwrap();
        String::from_utf8(output.stdout).unwrap()
    };
    let plain = with(&[], &[]);
    assert!(!plain.contains('\x1b'));
    assert_eq!(with(&[("NO_COLOR", "1")], &[]), plain);
    assert_eq!(
        with(&[("NO_COLOR", "1"), ("CLICOLOR_FORCE", "1")], &[]),
        plain,
        "the wish for none comes first"
    );
    let forced = with(&[("CLICOLOR_FORCE", "1")], &[]);
    assert!(
        forced.starts_with("\x1b[1mGO "),
        "this check can fail: {forced:?}"
    );
    assert_eq!(
        forced.replace("\x1b[1m", "").replace("\x1b[0m", ""),
        plain,
        "colour alone says nothing"
    );
    for format in ["json", "line", "ics", "svg", "html"] {
        assert!(
            !with(&[("CLICOLOR_FORCE", "1")], &["--format", format]).contains('\x1b'),
            "{format}"
        );
    }
}

fn gzipped(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    encoder.write_all(bytes).unwrap();
    encoder.finish().unwrap()
}

/// Gzip is known by its content, of one member or several; standard input by `-`.
#[test]
fn gzip_and_standard_input_give_the_same_answer() {
    let folder = folder();
    let expected = decide(folder.path(), &[]);
    assert_eq!(expected.code, Some(0));
    let csv = Week::default().csv();
    let (first, second) = csv.as_bytes().split_at(csv.len() / 2);
    for bytes in [
        gzipped(csv.as_bytes()),
        [gzipped(first), gzipped(second)].concat(),
    ] {
        fs::write(folder.path().join("week.csv"), &bytes).unwrap();
        assert_eq!(decide(folder.path(), &[]), expected);
        let arguments = ["decide", "oil", "-", "--site", "site.toml", "--at", AT];
        assert_eq!(binary::run_fed(folder.path(), &arguments, &bytes), expected);
        assert_eq!(
            binary::run_fed(folder.path(), &arguments, csv.as_bytes()),
            expected
        );
    }
}

/// Each of the inputs may be the one on standard input, and messages call it `-`.
#[test]
fn any_one_input_may_come_from_standard_input() {
    let folder = folder();
    let expected = decide(folder.path(), &[]);
    let site = ["decide", "oil", "week.csv", "--site", "-", "--at", AT];
    assert_eq!(
        binary::run_fed(folder.path(), &site, SITE.as_bytes()),
        expected
    );
    let operation = fs::read(binary::workspace().join("data/operations/oil.toml")).unwrap();
    let arguments = ["decide", "-", "week.csv", "--site", "site.toml", "--at", AT];
    assert_eq!(
        binary::run_fed(folder.path(), &arguments, &operation),
        expected
    );
    let ran = binary::run_fed(folder.path(), &arguments, b"operation = 1\n");
    assert!(
        ran.stderr.starts_with("fairspell: -:1:13: "),
        "{}",
        ran.stderr
    );
}

/// A byte-order mark, CRLF, quoted fields, blank lines and a missing line end at the end are all fine.
#[test]
fn csv_may_be_written_in_any_usual_way() {
    let folder = folder();
    let expected = decide(folder.path(), &[]);
    let plain = Week::default().csv();
    let quoted = |line: &str| {
        line.split(',')
            .map(|field| format!("\"{field}\""))
            .collect::<Vec<_>>()
            .join(",")
    };
    for csv in [
        format!("\u{feff}{plain}"),
        plain.replace('\n', "\r\n"),
        plain.lines().map(quoted).collect::<Vec<_>>().join("\n"),
        plain.replace('\n', "\n\n"),
        plain.trim_end().to_owned(),
        format!("\u{feff}{}", plain.replace('\n', "\r\n\r\n").trim_end()),
    ] {
        fs::write(folder.path().join("week.csv"), csv).unwrap();
        assert_eq!(decide(folder.path(), &[]), expected);
    }
}

/// The same question gives the same bytes.
#[test]
fn answers_repeat_to_the_byte() {
    let folder = folder();
    for format in ["text", "json", "line", "ics", "svg", "html"] {
        let more = ["--format", format];
        assert_eq!(
            decide(folder.path(), &more),
            decide(folder.path(), &more),
            "{format}"
        );
    }
}

/// Without `--at` the clock is asked: a forecast of 1999 is too old whatever today is. By day that leaves everything unknown
/// (cannot tell), by night darkness is a no in its own right (no-go); a go it never is.
#[test]
fn without_a_time_the_clock_is_asked() {
    let folder = folder();
    fs::write(
        folder.path().join("week.csv"),
        Week::default().csv().replace("2027-", "1999-"),
    )
    .unwrap();
    let ran = binary::run(
        folder.path(),
        &["decide", "oil", "week.csv", "--site", "site.toml"],
    );
    assert!(
        matches!(ran.code, Some(1 | 3)),
        "{}{}",
        ran.stderr,
        ran.stdout
    );
    assert!(
        ran.stdout.contains("issued Wed 10 Mar 1999 06:00"),
        "{}",
        ran.stdout
    );
}

fn cargo(arguments: &[&str]) -> String {
    let output = binary::cargo().args(arguments).output().unwrap();
    let stderr = String::from_utf8_lossy(&output.stderr);
    assert!(
        output.status.success(),
        "cargo {}: {stderr}",
        arguments.join(" ")
    );
    String::from_utf8(output.stdout).unwrap()
}

/// Promise 5: the core is pure. What could bring it a clock, files or a network is not among what it is built on.
#[test]
fn the_core_is_built_on_nothing_but_what_is_listed() {
    let tree = [
        "tree",
        "-p",
        "fairspell",
        "-e",
        "normal",
        "--no-default-features",
        "--prefix",
        "none",
    ];
    let printed = cargo(&[&tree[..], &["--locked", "--offline"]].concat());
    let mut count = 0;
    for line in printed.lines() {
        let name = line.split_whitespace().next().unwrap_or_default();
        assert!(CORE_MAY_USE.contains(&name), "{name} is not on the list");
        count += 1;
    }
    assert!(count > 10, "{count} lines");
}

/// Cargo unifies features over a workspace: the date library has no clock, whichever part of the project is built.
#[test]
fn the_date_library_has_no_clock_anywhere() {
    for part in [
        &["-p", "fairspell", "--no-default-features"][..],
        &["--workspace"],
    ] {
        let tree = [
            "tree",
            "-e",
            "features",
            "-i",
            "chrono",
            "--prefix",
            "none",
            "--locked",
            "--offline",
        ];
        let printed = cargo(&[&tree[..], part].concat());
        assert!(printed.contains("chrono feature \"alloc\""), "{printed}");
        for feature in ["clock", "now", "std", "wasmbind", "iana-time-zone"] {
            assert!(
                !printed.contains(&format!("chrono feature \"{feature}\"")),
                "{part:?}: {feature}\n{printed}"
            );
        }
    }
}

/// The core compiles alone, with its own features and none of those that other parts ask for.
#[test]
fn the_core_compiles_alone() {
    cargo(&[
        "check",
        "--quiet",
        "-p",
        "fairspell",
        "--no-default-features",
        "--locked",
    ]);
}
