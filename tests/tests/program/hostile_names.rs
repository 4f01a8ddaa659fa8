//! Names and notes that mean harm, in every format of every command: what a terminal would obey never reaches it raw, markup is
//! text in pages and pictures, a name is one field of CSV and one value of a calendar, and JSON gives back the name itself.
//!
//! Source: the contract, 6 ("input is not trusted") and 7; DEVELOPERS.md, "Files that mean harm"; RFC 4180, RFC 5545, RFC 8259 and
//! XML 1.0 by general readers of each. Colours are asked for by `CLICOLOR_FORCE`, so that nothing is taken out on the way to a pipe.

#![expect(clippy::unwrap_used, reason = "a check stops at the first surprise")]

use core::fmt::Write as _;
use std::fs;
use std::path::Path;

use fairspell_tests::binary::{self, Ran};
use fairspell_tests::daily;
use fairspell_tests::hostile::{
    NAME, NAME_SHOWN, PLAIN_NAME, PLAIN_NAME_SHOWN, assert_harmless, csv_field, toml_string,
};
use fairspell_tests::html::closed;
use fairspell_tests::week::{SITE, Week};
use roxmltree::{Document, ParsingOptions};
use serde_json::Value;
use tempfile::TempDir;

const AT: &str = "2027-03-10T09:00-06:00";
/// A file whose own name is hostile: the name of a window, and a line of its own.
#[cfg(unix)]
const FILE: &str = "we\u{1b}]0;t\u{7}ek\n\u{9b}31m.csv";
#[cfg(not(unix))]
const FILE: &str = "week.csv";

/// Text without any blank, since long words are broken where a line ends.
fn squeezed(text: &str) -> String {
    text.split_whitespace().collect()
}

/// An operation and a plants table whose every text is hostile, and a site that uses them.
fn folder() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let name = toml_string(PLAIN_NAME);
    let put = |file: &str, text: String| fs::write(folder.path().join(file), text).unwrap();
    put(
        "site.toml",
        format!(
            "name = {name}\n{SITE}[[garden]]\nkind = {name}\ncount = 2\n[spray]\nnear = [{name}]\n"
        ),
    );
    put(
        "oil.toml",
        format!(
            "operation = \"oil\"\ntitle = {name}\n[[rule]]\nname = {name}\nmeasure = \"temperature\"\nat-least = \"40 °F\"\n\
             severity = \"block\"\nsource = {name}\n[[rule]]\nname = \"seen\"\nmeasure = \"cloud\"\nat-most = \"1 %\"\n\
             severity = \"caution\"\nsource = {name}\n"
        ),
    );
    put(
        "plants.toml",
        format!(
            "[[plant]]\nname = {name}\nalso = [\"other\"]\ngroup = \"rose\"\nprune = \"late winter\"\nwinter-cut = true\n\
             when = {name}\nleft = [\"18 in\", \"24 in\"]\nhow = {name}\nnever = {name}\noil = \"yes\"\nturn = \"middle\"\n\
             source = {name}\n[[plant.size]]\nname = {name}\nusual = true\nminutes = [5, 10, 20]\n\
             spray = [\"0.1 gal\", \"0.18 gal\", \"0.25 gal\"]\nbasis = {name}\n\
             [[sensitive]]\nname = {name}\nharm = {name}\nsource = {name}\n"
        ),
    );
    let week = Week::default();
    let (head, rows) = week
        .csv()
        .split_once('\n')
        .map(|(a, b)| (a.to_owned(), b.to_owned()))
        .unwrap();
    let odd = csv_field(NAME);
    let (mut hours, mut past) = (format!("{head},{odd}\n"), format!("station,{head},{odd}\n"));
    for row in rows.lines() {
        writeln!(hours, "{row},1").unwrap();
        writeln!(past, "{odd},{row},1").unwrap();
    }
    put(FILE, hours);
    put("past.csv", past);
    put(
        "log.csv",
        format!(
            "time,operation,note\n2027-03-10T09:00-06:00,oil,{odd}\n2027-03-08T01:00-06:00,oil,{odd}\n"
        ),
    );
    put("record.csv", record());
    folder
}

/// Twelve years of days of a station with a hostile name, a hostile column and a minimum that no weather has.
fn record() -> String {
    let odd = csv_field(NAME);
    let mut record = format!("station,date,tmin_f,tmax_f,{odd}\n");
    for row in daily::rows(12, 0.0) {
        let (_, low) = row.rsplit_once(',').unwrap();
        let high = low.parse::<i32>().unwrap() + 18;
        writeln!(record, "{odd},{row},{high},1").unwrap();
    }
    record
}

fn run(folder: &Path, arguments: &[&str]) -> Ran {
    let mut command = binary::command(folder);
    command.args(arguments).env("CLICOLOR_FORCE", "1");
    command.output().unwrap().into()
}

/// The words of an answer as a reader of its format finds them; what is not well formed stops here.
fn words(format: &str, answer: &str) -> String {
    match format {
        "json" => {
            let value: Value = serde_json::from_str(answer).unwrap();
            let mut words = String::new();
            strings(&value, &mut words);
            words
        }
        "svg" | "html" => {
            let markup = closed(answer);
            let options = ParsingOptions {
                allow_dtd: true,
                ..ParsingOptions::default()
            };
            let document = Document::parse_with_options(&markup, options).unwrap();
            let is_script = |node: &roxmltree::Node<'_, '_>| node.has_tag_name("script");
            assert_eq!(document.descendants().filter(is_script).count(), 0);
            let texts = document.descendants().filter(roxmltree::Node::is_text);
            texts.filter_map(|node| node.text()).collect()
        }
        "ics" => {
            let mut all = ical::IcalParser::new(answer.as_bytes());
            let calendar = all.next().unwrap().unwrap();
            assert!(all.next().is_none(), "one calendar");
            let of_events = calendar
                .events
                .iter()
                .flat_map(|event| event.properties.clone());
            let of_tasks = calendar
                .todos
                .iter()
                .flat_map(|task| task.properties.clone());
            let values = of_events
                .chain(of_tasks)
                .filter_map(|property| property.value);
            values.map(|value| unescaped(&value)).collect()
        }
        "csv" => {
            let mut reader = csv::ReaderBuilder::new().from_reader(answer.as_bytes());
            let records: Vec<csv::StringRecord> =
                reader.records().collect::<Result<_, _>>().unwrap();
            assert_eq!(records.len() + 1, answer.lines().count(), "a line a record");
            records
                .iter()
                .flat_map(|record| record.iter().map(|field| format!("{field}\n")))
                .collect()
        }
        _ => answer.to_owned(),
    }
}

fn strings(value: &Value, words: &mut String) {
    match value {
        Value::String(text) => *words += text,
        Value::Array(all) => all.iter().for_each(|value| strings(value, words)),
        Value::Object(all) => all.values().for_each(|value| strings(value, words)),
        _ => {}
    }
}

/// A value of a calendar with its escapes taken back (RFC 5545, 3.3.11).
fn unescaped(value: &str) -> String {
    let mut text = String::new();
    let mut characters = value.chars();
    while let Some(character) = characters.next() {
        match character {
            '\\' => match characters.next() {
                Some('n' | 'N') => text.push('\n'),
                other => text.extend(other),
            },
            plain => text.push(plain),
        }
    }
    text
}

/// Runs a question in a format; the answer is harmless and holds each of the names.
#[track_caller]
fn check(arguments: &[&str], format: &str, names: &[(&str, &str)]) {
    let folder = folder();
    let ran = run(folder.path(), &[arguments, &["--format", format]].concat());
    let of = format!("{arguments:?} as {format}");
    assert!(
        matches!(ran.code, Some(0 | 1 | 3)),
        "{of}: {:?} {}",
        ran.code,
        ran.stderr
    );
    let is_bold = format == "text" && ran.stdout.starts_with("\u{1b}[1m"); // ours: the first line
    let answer = if is_bold {
        ran.stdout
            .replacen("\u{1b}[1m", "", 1)
            .replacen("\u{1b}[0m", "", 1)
    } else {
        ran.stdout
    };
    assert_harmless(&of, &answer);
    assert_harmless(&of, &ran.stderr);
    for line in ran.stderr.lines() {
        assert!(line.starts_with("fairspell: notice: "), "{of}: {line}");
    }
    if matches!(format, "svg" | "html") {
        for markup in ["<script", "]]>"] {
            assert!(!answer.contains(markup), "{of}: {markup}");
        }
    }
    let words = squeezed(&words(format, &answer));
    for (name, shown) in names {
        let wanted = squeezed(if format == "json" { name } else { shown });
        assert!(words.contains(&wanted), "{of}: {wanted}\n{words}");
    }
}

const PLAIN: (&str, &str) = (PLAIN_NAME, PLAIN_NAME_SHOWN);
const ANY: (&str, &str) = (NAME, NAME_SHOWN);

#[test]
fn decisions_show_names_and_obey_none() {
    let question = [
        "decide",
        "oil.toml",
        FILE,
        "--site",
        "site.toml",
        "--plants",
        "plants.toml",
        "--at",
        AT,
    ];
    for format in ["text", "json", "ics", "svg", "html"] {
        check(&question, format, &[PLAIN]);
    }
    check(
        &question,
        "line",
        &[("", r"at <b>]]><script>x</script>&lt;")],
    ); // cut at 30 characters
    for format in ["text", "json"] {
        check(&[&question[..], &["--explain"]].concat(), format, &[PLAIN]);
    }
    let season = [
        &question[..],
        &["--record", "record.csv", "--past", "past.csv"],
    ]
    .concat();
    for format in ["text", "json", "html"] {
        check(&season, format, &[PLAIN]);
    }
    let observed = [
        "decide",
        "oil.toml",
        FILE,
        "--site",
        "site.toml",
        "--plants",
        "plants.toml",
        "--at",
        "2027-03-08T01:00-06:00",
    ];
    for format in ["text", "json", "line", "ics", "svg", "html"] {
        check(&observed, format, &[("<b>]]><script>", "<b>]]><script>")]); // a no-go, whose reason names the rule
    }
}

#[test]
fn freezes_show_names_and_obey_none() {
    let question = [
        "freeze",
        "record.csv",
        "--threshold",
        "28F",
        "--replicates",
        "0",
    ];
    for format in ["text", "json", "csv", "svg", "html"] {
        check(&question, format, &[ANY]);
    }
}

#[test]
fn seasons_show_names_and_obey_none() {
    let question = [
        "season",
        "record.csv",
        "--site",
        "site.toml",
        "--plants",
        "plants.toml",
        "--year",
        "2003",
        "--replicates",
        "0",
    ];
    for format in ["text", "json", "csv", "ics", "svg", "html"] {
        check(&question, format, &[PLAIN]);
    }
    for format in ["text", "json", "html"] {
        check(&[&question[..], &["--explain"]].concat(), format, &[PLAIN]);
    }
}

#[test]
fn past_hours_show_names_and_obey_none() {
    let question = [
        "hindcast",
        "oil.toml",
        "past.csv",
        "--site",
        "site.toml",
        "--log",
        "log.csv",
    ];
    for format in ["text", "json", "svg", "html"] {
        check(&question, format, &[ANY]);
    }
    check(
        &["hindcast", "oil.toml", "past.csv", "--site", "site.toml"],
        "csv",
        &[ANY],
    );
}

/// Arguments are names too: of files, operations, stations, formats.
#[test]
fn refusals_show_names_and_obey_none() {
    let folder = folder();
    for arguments in [
        &["decide", "oil", NAME][..],
        &["decide", NAME, FILE],
        &["decide", "oil", FILE, "--format", NAME],
        &["decide", "oil", FILE, "--zone", NAME],
        &[
            "decide",
            "oil.toml",
            FILE,
            "--site",
            "site.toml",
            "--plants",
            "plants.toml",
            "--at",
            AT,
            "--output",
            NAME,
        ],
        &["season", "record.csv", "--station", NAME, "--site", NAME],
        &["freeze", "past.csv", "--on", NAME],
        &["hindcast", "oil", "past.csv", "--log", NAME],
        &[NAME],
    ] {
        let ran = run(folder.path(), arguments);
        assert_eq!(ran.code, Some(2), "{arguments:?}: {}", ran.stderr);
        assert_harmless(&format!("{arguments:?}"), &ran.stderr);
        let notices = |line: &&str| !line.starts_with("fairspell: notice: ");
        assert!(
            ran.stderr
                .lines()
                .all(|line| line.starts_with("fairspell: "))
        );
        let errors = ran.stderr.lines().filter(notices).count();
        assert_eq!((errors, ran.stdout.as_str()), (1, ""), "{arguments:?}");
    }
}
