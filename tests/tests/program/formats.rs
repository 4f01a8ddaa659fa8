//! One answer in six formats: they agree, each is well formed by a general reader of its kind, and each keeps what the
//! contract promises of it.
//!
//! Source: the project's contract for the command line; RFC 5545 for calendars; JSON Schema 2020-12 by a general
//! validator. Nothing expected here is taken from the program's own output: one format is held against another.

#![expect(clippy::unwrap_used, reason = "a check stops at the first surprise")]

use std::fs;
use std::path::Path;

use crate::schema::{assert_valid, validator};
use chrono::{DateTime, Datelike as _, FixedOffset, TimeDelta};
use fairspell_tests::binary::{self, Ran};
use fairspell_tests::html::closed;
use fairspell_tests::week::{HOURS, SITE, Week, hour};
use ical::parser::Component as _;
use ical::parser::ical::component::{IcalCalendar, IcalEvent};
use roxmltree::{Document, ParsingOptions};
use serde_json::Value;
use tempfile::TempDir;

const SCHEMA: &str = include_str!("../../../data/schema/decision-1.schema.json");
const DEMO_SITE: &str = include_str!("../../../data/demo/site.toml");
const DEMO_FORECAST: &str = include_str!("../../../data/demo/forecast.csv");
const DEMO_OBSERVED: &str = include_str!("../../../data/demo/observed.csv");

/// A question: its files and arguments, and the verdict that must come out.
struct Case {
    name: &'static str,
    folder: TempDir,
    arguments: Vec<&'static str>,
    verdict: &'static str,
}

impl Case {
    fn new(
        name: &'static str,
        verdict: &'static str,
        arguments: &[&'static str],
        files: &[(&str, &str)],
    ) -> Self {
        let folder = tempfile::tempdir().unwrap();
        for (name, content) in files {
            fs::write(folder.path().join(name), content).unwrap();
        }
        Self {
            name,
            folder,
            arguments: arguments.to_vec(),
            verdict,
        }
    }

    fn run(&self, more: &[&str]) -> Ran {
        let ran = binary::run(
            self.folder.path(),
            &[&["decide"], self.arguments.as_slice(), more].concat(),
        );
        let code = match self.verdict {
            "go" => 0,
            "no-go" => 1,
            _ => 3,
        };
        let (name, begins) = (self.name, ran.stdout.get(..200).unwrap_or(&ran.stdout));
        assert_eq!(
            ran.code,
            Some(code),
            "{name} {more:?}: {}{begins}",
            ran.stderr
        );
        ran
    }

    fn answer(&self, more: &[&str]) -> String {
        self.run(more).stdout
    }

    fn json(&self, more: &[&str]) -> Value {
        serde_json::from_str(&self.answer(&[&["--format", "json"], more].concat())).unwrap()
    }

    fn heading(&self) -> &'static str {
        match self.verdict {
            "go" => "GO ",
            "no-go" => "NO-GO ",
            _ => "CANNOT TELL ",
        }
    }
}

/// A name and a title of 80 characters, the longest that are taken, with all that XML, calendars and TOML find special.
const LONG_NAME: &str =
    "Old wall: \"north\" <side>, plot 7 & 8 \\ behind; the quince 'Hollow' of St. Ethel!";
const LONG_TITLE: &str =
    "Spraying, painting & pruning; all of it at once: <as far as> \"weather\" may allow";

/// An operation of long names whose spells cross midnight.
fn long_operation() -> String {
    let rule = "the temperature of the air as far as anybody can say before it has been measured";
    format!(
        "operation = \"a-name-of-forty-characters-which-is-the-most\"\ntitle = '''{LONG_TITLE}'''\n[[rule]]\n\
         name = \"{rule}\"\nmeasure = \"temperature\"\nover = \"6 h before\"\ntake = \"mean\"\nat-least = \"43 °F\"\n\
         severity = \"block\"\nsource = \"Common practice, no source\"\n[[rule]]\nname = \"gusts\"\nmeasure = \"gust\"\n\
         at-most = \"25 mph\"\nseverity = \"block\"\noptional = true\nsource = \"Common practice, no source\"\n"
    )
    .replace("a-name-of-forty-characters-which-is-the-most", "a-name-of-forty-characters-and-not-more")
}

/// 10 °C for three days, with rain some time from 06:00 to 12:00 of the second: the 24 h after 09:00 and 10:00 of the
/// first hold a part of those hours.
const GRIDPOINT: &str = r#"{"type": "Feature",
"geometry": {"type": "Point", "coordinates": [-90.0, 40.0]},
"properties": {"updateTime": "2027-03-10T12:00:00+00:00",
"temperature": {"uom": "wmoUnit:degC", "values": [{"validTime": "2027-03-10T06:00:00+00:00/PT72H", "value": 10}]},
"quantitativePrecipitation": {"uom": "wmoUnit:mm", "values": [
{"validTime": "2027-03-10T06:00:00+00:00/PT30H", "value": 0},
{"validTime": "2027-03-11T12:00:00+00:00/PT6H", "value": 2},
{"validTime": "2027-03-11T18:00:00+00:00/PT36H", "value": 0}]}}}
"#;

/// An ensemble of three members, each 2 °F colder than the one before: by day 50, 48 and 46 °F.
fn ensemble() -> String {
    let mut rows = vec!["time,member,temperature_f,rain_mm".to_owned()];
    for member in 0..3 {
        for hour in 0..HOURS {
            let warm = if (9..18).contains(&(hour % 24)) {
                50
            } else {
                40
            };
            let time = fairspell_tests::week::time(hour);
            rows.push(format!("{time},m{member},{},0", warm - 2 * member));
        }
    }
    rows.join("\n")
}

const SITE_FILE: (&str, &str) = ("site.toml", SITE);

/// Arguments for the week at the place of the truth tables, at 09:00 of its first day.
fn of_week(operation: &'static str) -> [&'static str; 6] {
    [
        operation,
        "week.csv",
        "--site",
        "site.toml",
        "--at",
        "2027-03-10T09:00-06:00",
    ]
}

fn cases() -> Vec<Case> {
    [of_the_demo(), of_the_week(), of_long_names()]
        .into_iter()
        .flatten()
        .collect()
}

/// Some day and hour of the demo's week, with its own forecast, or with one that was issued on Wednesday.
fn of_the_demo() -> Vec<Case> {
    let anew = DEMO_FORECAST.replace("2027-03-08T05:30", "2027-03-10T05:30");
    let case = |name, verdict, (operation, at): (_, _), forecast: &str| {
        let arguments = [
            operation,
            "forecast.csv",
            "--site",
            "site.toml",
            "--observed",
            "observed.csv",
            "--at",
            at,
        ];
        let files = [
            ("site.toml", DEMO_SITE),
            ("forecast.csv", forecast),
            ("observed.csv", DEMO_OBSERVED),
        ];
        Case::new(name, verdict, &arguments, &files)
    };
    let wednesday = "2027-03-10T08:00-06:00";
    vec![
        case(
            "oil on Monday",
            "no-go",
            ("oil", "2027-03-08T06:00-06:00"),
            DEMO_FORECAST,
        ),
        case("oil on Wednesday", "go", ("oil", wednesday), &anew),
        case("stale", "cannot-tell", ("oil", wednesday), DEMO_FORECAST),
        case(
            "prune",
            "go",
            ("prune", "2027-03-08T12:00-06:00"),
            DEMO_FORECAST,
        ),
    ]
}

/// The week of the truth tables, and other files in its place.
fn of_the_week() -> Vec<Case> {
    let case = |name, verdict, file: &str| {
        Case::new(
            name,
            verdict,
            &of_week("oil"),
            &[SITE_FILE, ("week.csv", file)],
        )
    };
    let bare = Week::default()
        .without("wind_mph")
        .without("humidity_pct")
        .without("issued");
    let bare_arguments = [
        "oil",
        "week.csv",
        "--zone",
        "Etc/GMT+6",
        "--at",
        "2027-03-10T09:00-06:00",
        "--dry-now",
    ];
    vec![
        case(
            "cannot tell",
            "cannot-tell",
            &Week::default().only(0..hour(1, 6)).csv(),
        ),
        case(
            "no spell",
            "no-go",
            &Week::default().with("rain_mm", 0..HOURS, "1").csv(),
        ),
        case("ensemble", "go", &ensemble()),
        case("bounds", "cannot-tell", GRIDPOINT),
        Case::new(
            "unchecked",
            "go",
            &bare_arguments,
            &[("week.csv", &bare.csv())],
        ),
    ]
}

/// Names as long as they may be, of the place, the operation and its rule.
fn of_long_names() -> Vec<Case> {
    let site = format!("{SITE}name = '''{LONG_NAME}'''\n");
    let (operation, week) = (long_operation(), Week::default().csv());
    let cold = operation.replace("43 °F", "53 °F");
    let case = |name, verdict, site: &str, operation: &str| {
        let files = [
            ("site.toml", site),
            ("week.csv", week.as_str()),
            ("op.toml", operation),
        ];
        Case::new(name, verdict, &of_week("op.toml"), &files)
    };
    vec![
        case("long names", "go", &site, &operation),
        case("long names, too cold", "no-go", &site, &cold),
        case("a long rule, too cold", "no-go", SITE, &cold),
    ]
}

fn named(name: &str) -> Case {
    cases().into_iter().find(|case| case.name == name).unwrap()
}

fn time(value: &Value) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(value.as_str().unwrap()).unwrap()
}

/// A spell of the JSON as people read it, on the clock of its offset.
fn interval(spell: &Value) -> String {
    let (start, end) = (time(&spell["start"]), time(&spell["end"]));
    let day = |time: DateTime<FixedOffset>| time.format("%a %-d %b").to_string();
    let clock = |time: DateTime<FixedOffset>| time.format("%H:%M").to_string();
    let last = end - TimeDelta::seconds(1);
    if last.day() == start.day() && clock(end) == "00:00" {
        format!("{} {}–24:00", day(start), clock(start))
    } else if last.day() == start.day() {
        format!("{} {}–{}", day(start), clock(start), clock(end))
    } else {
        format!(
            "{} {} – {} {}",
            day(start),
            clock(start),
            day(end),
            clock(end)
        )
    }
}

/// Words with one blank between them, so that line breaks do not matter.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Without any blank: a general reader of calendars drops those that stand at a fold.
fn squeezed(text: &str) -> String {
    text.split_whitespace().collect()
}

fn strings(value: &Value) -> Vec<&str> {
    value
        .as_array()
        .unwrap()
        .iter()
        .filter_map(Value::as_str)
        .collect()
}

/// All words of an SVG or HTML document; one that is not well formed stops here.
fn words(markup: &str) -> String {
    let markup = closed(markup);
    let options = ParsingOptions {
        allow_dtd: true,
        ..ParsingOptions::default()
    };
    let document = Document::parse_with_options(&markup, options).unwrap();
    let words = document
        .descendants()
        .filter(|node| node.is_text() && !node.parent().unwrap().has_tag_name("style"));
    flat(
        &words
            .filter_map(|node| node.text())
            .collect::<Vec<_>>()
            .join(" "),
    )
}

/// A calendar by a general reader; there is exactly one.
fn calendar(text: &str) -> IcalCalendar {
    let mut all = ical::IcalParser::new(text.as_bytes());
    let calendar = all.next().unwrap().unwrap();
    assert!(all.next().is_none());
    calendar
}

fn property(event: &IcalEvent, name: &str) -> String {
    event
        .get_property(name)
        .and_then(|property| property.value.clone())
        .unwrap_or_default()
}

/// A property of text with its escapes taken back (RFC 5545, 3.3.11).
fn text_of(event: &IcalEvent, name: &str) -> String {
    let mut text = String::new();
    let value = property(event, name);
    let mut characters = value.chars();
    while let Some(character) = characters.next() {
        match character {
            '\\' => match characters.next().unwrap() {
                'n' | 'N' => text.push('\n'),
                escaped @ ('\\' | ',' | ';') => text.push(escaped),
                other => unreachable!("no such escape: {other}"),
            },
            ',' | ';' => unreachable!("a bare {character} in {name}"),
            plain => text.push(plain),
        }
    }
    text
}

/// Seconds since 1970 of a time in UTC (RFC 5545, 3.3.5).
fn utc(text: &str) -> i64 {
    chrono::NaiveDateTime::parse_from_str(text, "%Y%m%dT%H%M%SZ")
        .unwrap()
        .and_utc()
        .timestamp()
}

#[test]
fn json_is_by_its_schema() {
    let validator = validator(SCHEMA);
    for case in cases() {
        for more in [&[][..], &["--explain"]] {
            let json = case.json(more);
            assert_valid(&validator, &json, &format!("{} {more:?}", case.name));
            assert_eq!(json.get("explain").is_some(), !more.is_empty());
        }
    }
}

/// The schema's own check: what it must refuse, it refuses.
#[test]
fn the_schema_refuses_what_is_not_an_answer() {
    let validator = validator(SCHEMA);
    let case = named("oil on Wednesday");
    let sound = case.json(&["--explain"]);
    assert!(validator.is_valid(&sound));
    let spoilt: [(&str, &str, Value); 14] = [
        ("", "verdict", "maybe".into()),
        ("", "spell", Value::Null),
        ("", "at", "2027-03-10 08:00".into()),
        ("", "colour", "red".into()),
        ("", "wait", 1.into()),
        ("/spell", "hours", 0.into()),
        ("/spell", "confidence", 1.5.into()),
        ("/hours/0", "state", "good".into()),
        ("/hours/0", "time", Value::Null),
        ("/reasons/0", "kind", "mood".into()),
        ("/reasons/0", "time", Value::Null),
        ("/limits/0", "unit", "K".into()),
        ("/limits/0", "source", "".into()),
        ("/explain/rules/0", "outcome", "perhaps".into()),
    ];
    for (place, key, value) in spoilt {
        let mut json = sound.clone();
        json.pointer_mut(place).unwrap()[key] = value;
        assert!(!validator.is_valid(&json), "{place}/{key}");
    }
    for (key, value) in [
        ("task", Value::from("mow")),
        ("minutes", 0.into()),
        ("bed", 1.into()),
    ] {
        let mut json = sound.clone();
        json["work"]["stints"][0][key] = value;
        assert!(!validator.is_valid(&json), "a stint's {key}");
    }
    for key in sound
        .as_object()
        .unwrap()
        .keys()
        .filter(|key| !["explain", "work"].contains(&key.as_str()))
    {
        let mut json = sound.clone();
        json.as_object_mut().unwrap().remove(key);
        assert!(!validator.is_valid(&json), "{key} is left out");
    }
}

/// An answer that is not sure enough is by the schema too, and every format says so.
#[test]
fn an_unsure_go_is_by_its_schema_and_said_everywhere() {
    let mut case = named("oil on Wednesday");
    let sure = case.json(&["--min-confidence", "0%"]);
    assert!(validator(SCHEMA).is_valid(&sure));
    assert_eq!(sure["min_confidence"], 0.0);
    let confidence = sure["spell"]["confidence"].as_f64().unwrap();
    assert!(confidence > 0.0 && confidence < 0.99, "{confidence}");
    case.verdict = "cannot-tell";
    let asked = ["--min-confidence", "99%"];
    let json = case.json(&asked);
    assert_valid(&validator(SCHEMA), &json, case.name);
    let reason = &json["reasons"][0];
    assert_eq!(
        (&reason["kind"], &reason["unit"]),
        (&"unsure".into(), &"%".into())
    );
    assert!(reason["margin"].as_f64().unwrap() < 0.0);
    let mut spoilt = json.clone();
    spoilt["reasons"][0]["unit"] = "°F".into();
    assert!(!validator(SCHEMA).is_valid(&spoilt));
    for format in ["text", "line", "html", "ics"] {
        let answer = case.answer(&[&asked[..], &["--format", format]].concat());
        let plain = answer.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(plain.contains("onfidence"), "{format}: {plain}");
    }
}

/// A hindrance misses its limit by its margin, in the unit beside it.
#[test]
fn margins_of_hindrances_lie_below_zero() {
    let mut count = 0;
    for case in cases() {
        let json = case.json(&[]);
        for hour in json["hours"].as_array().unwrap() {
            assert_eq!(
                hour["state"] == "hindered" || hour["state"] == "unknown",
                hour["state"] != "fair"
            );
            for found in hour["hindrances"].as_array().unwrap() {
                let number = |key: &str| found[key].as_f64().unwrap();
                assert!(number("margin") < 0.0, "{}: {found}", case.name);
                let apart = (number("value") - number("limit")).abs();
                assert!(
                    (apart + number("margin")).abs() < 1e-9,
                    "{}: {found}",
                    case.name
                );
                count += 1;
            }
        }
    }
    assert!(count > 100, "only {count} hindrances in all cases");
}

#[test]
fn all_formats_give_one_verdict_and_one_spell() {
    for case in cases() {
        let json = case.json(&[]);
        assert_eq!(json["verdict"], case.verdict, "{}", case.name);
        assert_eq!(json["spell"].is_null(), case.verdict != "go");
        let spell = json["spell"].as_object().map(|_| interval(&json["spell"]));
        let text = case.answer(&[]);
        let line = case.answer(&["--format", "line"]);
        let svg = words(&case.answer(&["--format", "svg"]));
        let html = words(&case.answer(&["--format", "html"]));
        let ics = case.answer(&["--format", "ics"]);
        assert!(
            text.starts_with(case.heading()) && line.starts_with(case.heading()),
            "{}",
            case.name
        );
        assert!(
            svg.starts_with(case.heading()) && html.starts_with(case.heading()),
            "{}: {svg}",
            case.name
        );
        assert!(html.contains(&format!(
            "{} {}",
            case.heading().trim(),
            json["title"].as_str().unwrap()
        )));
        assert!(
            ics.contains(&format!("\r\nX-FAIRSPELL-VERDICT:{}\r\n", case.verdict)),
            "{}",
            case.name
        );
        if let Some(spell) = spell {
            assert!(
                flat(&text).contains(&format!("Spell {spell}")),
                "{}: {spell}\n{text}",
                case.name
            );
            for words in [&line, &svg, &html] {
                assert!(words.contains(&spell), "{}: {spell}\n{words}", case.name);
            }
        }
        for spell in json["spells"].as_array().unwrap().iter().take(3) {
            assert!(
                html.contains(&interval(spell)),
                "{}: {}",
                case.name,
                interval(spell)
            );
        }
    }
}

#[test]
fn every_reason_of_a_no_stands_in_every_long_format() {
    for case in cases().iter().filter(|case| case.verdict != "go") {
        let json = case.json(&[]);
        let reasons = json["reasons"].as_array().unwrap();
        let texts = reasons
            .iter()
            .map(|reason| flat(reason["text"].as_str().unwrap()).to_lowercase());
        let texts: Vec<String> = texts.collect(); // some formats begin a sentence with them
        assert!(
            flat(&case.answer(&[])).to_lowercase().contains(&texts[0]),
            "{}: {texts:?}",
            case.name
        );
        for format in ["svg", "html"] {
            let words = words(&case.answer(&["--format", format])).to_lowercase();
            for text in &texts {
                assert!(words.contains(text), "{} {format}: {text}", case.name);
            }
        }
    }
}

/// A message of one line says why not: it names the first reason's rule, or what else is the matter.
#[test]
fn a_line_says_why_not() {
    for case in cases().iter().filter(|case| case.verdict != "go") {
        let line = case.answer(&["--format", "line"]);
        let reason = &case.json(&[])["reasons"][0];
        let words = reason["rule"].as_str().or(reason["text"].as_str()).unwrap();
        let begins: String = words.chars().take(20).collect();
        assert!(line.contains(&begins), "{}: {begins}… in {line}", case.name);
    }
}

/// The contract's figure; a text message holds 160 characters.
#[test]
fn a_line_is_one_line_of_at_most_160_characters() {
    for case in cases() {
        let line = case.answer(&["--format", "line"]);
        assert!(
            line.ends_with('\n') && line.matches(['\n', '\r']).count() == 1,
            "{}: {line:?}",
            case.name
        );
        let length = line.trim_end().chars().count();
        assert!(
            (40..=160).contains(&length),
            "{}: {length} characters: {line}",
            case.name
        );
        assert!(line.contains("abel"), "the label is named: {line}");
    }
}

/// The contract's figure. Where a single word is longer, there is nothing to break; no case has one.
#[test]
fn text_keeps_to_80_columns() {
    for case in cases() {
        for more in [
            &[][..],
            &["--explain"],
            &["--units", "si", "--explain"],
            &["--units", "us"],
        ] {
            for line in case.answer(more).lines() {
                let columns = line.chars().count();
                assert!(
                    columns <= 80,
                    "{} {more:?}, {columns} columns:\n{line}",
                    case.name
                );
                assert_eq!(line, line.trim_end(), "{}: blanks at the end", case.name);
            }
        }
    }
}

#[test]
fn nothing_but_a_terminal_gets_escape_codes() {
    for case in cases() {
        for format in ["text", "json", "line", "ics", "svg", "html"] {
            let file = case.folder.path().join("answer");
            let name = file.to_str().unwrap();
            assert!(
                !case.answer(&["--format", format]).contains('\x1b'),
                "{} {format}",
                case.name
            );
            assert_eq!(
                case.answer(&["--format", format, "--output", name]),
                "",
                "the answer goes to the file"
            );
            let written = fs::read_to_string(&file).unwrap();
            assert!(
                !written.contains('\x1b') && !written.is_empty(),
                "{} {format}",
                case.name
            );
            assert_eq!(
                written,
                case.answer(&["--format", format]),
                "{} {format}",
                case.name
            );
        }
    }
}

/// RFC 5545, 3.1: lines end in CRLF and have at most 75 octets without it.
#[test]
fn calendars_are_folded() {
    for case in cases() {
        let text = case.answer(&["--format", "ics"]);
        let has_bare = text.replace("\r\n", "").contains(['\r', '\n']);
        assert!(text.ends_with("\r\n") && !has_bare, "{}", case.name);
        for line in text.split("\r\n") {
            assert!(
                line.len() <= 75,
                "{}: {} octets: {line}",
                case.name,
                line.len()
            );
        }
    }
}

/// RFC 5545, 3.6: a calendar has a version, its maker, and something in it; 3.6.1: an event has a UID of its own, a
/// stamp and a beginning.
#[test]
fn calendars_hold_the_spells_of_the_json() {
    for case in cases() {
        let json = case.json(&[]);
        let calendar = calendar(&case.answer(&["--format", "ics"]));
        let of_calendar = |name| {
            calendar
                .get_property(name)
                .and_then(|property| property.value.as_deref())
        };
        assert_eq!(
            (of_calendar("VERSION"), of_calendar("PRODID").is_some()),
            (Some("2.0"), true)
        );
        if json["spells"] == Value::Array(Vec::new()) {
            assert_a_note(&case, &json, &calendar);
        } else {
            assert_the_spells(&case, &json, &calendar);
        }
        let mut uids: Vec<String> = calendar
            .events
            .iter()
            .map(|event| property(event, "UID"))
            .collect();
        uids.sort();
        uids.dedup();
        assert_eq!(
            uids.len(),
            calendar.events.len(),
            "each its own UID: {}",
            case.name
        );
        for event in &calendar.events {
            assert_eq!(
                utc(&property(event, "DTSTAMP")),
                time(&json["at"]).timestamp()
            );
            assert!(event.alarms.is_empty(), "no alarm unless asked for");
            let description = text_of(event, "DESCRIPTION");
            assert!(description.contains("label"), "{description}");
        }
    }
}

/// Without a spell the calendar holds one note, for the whole day asked about.
fn assert_a_note(case: &Case, json: &Value, calendar: &IcalCalendar) {
    let [note] = calendar.events.as_slice() else {
        unreachable!("one note: {}", case.name)
    };
    assert_eq!(
        property(note, "DTSTART"),
        time(&json["at"]).format("%Y%m%d").to_string()
    );
    let summary = text_of(note, "SUMMARY");
    assert!(
        summary.contains(case.heading().trim()),
        "{}: {summary}",
        case.name
    );
}

/// An event a spell, from the same instant to the same instant.
fn assert_the_spells(case: &Case, json: &Value, calendar: &IcalCalendar) {
    let times = |event| {
        (
            utc(&property(event, "DTSTART")),
            utc(&property(event, "DTEND")),
        )
    };
    let found: Vec<(i64, i64)> = calendar.events.iter().map(times).collect();
    let instants = |spell: &Value| {
        (
            time(&spell["start"]).timestamp(),
            time(&spell["end"]).timestamp(),
        )
    };
    let expected: Vec<(i64, i64)> = json["spells"]
        .as_array()
        .unwrap()
        .iter()
        .map(instants)
        .collect();
    assert_eq!(found, expected, "{}", case.name);
}

#[test]
fn special_characters_of_names_survive_calendars_and_markup() {
    let case = named("long names");
    assert_eq!(
        [LONG_NAME, LONG_TITLE].map(|text| text.chars().count()),
        [80, 80]
    );
    let calendar = calendar(&case.answer(&["--format", "ics"]));
    for event in &calendar.events {
        assert_eq!(squeezed(&text_of(event, "LOCATION")), squeezed(LONG_NAME));
        assert!(squeezed(&text_of(event, "SUMMARY")).starts_with(&squeezed(LONG_TITLE)));
        assert!(
            text_of(event, "DESCRIPTION").lines().count() > 5,
            "line breaks survive"
        );
    }
    for format in ["svg", "html"] {
        let markup = case.answer(&["--format", format]);
        let words = words(&markup);
        assert!(words.contains(&flat(LONG_NAME)), "{format}: {words}");
        assert!(
            !markup.contains("<side>") && !markup.contains("<as far as>"),
            "{format}"
        );
    }
    assert_eq!(case.json(&[])["site"], LONG_NAME);
}

/// A name is what stands between the blanks around it; it has at most 80 characters.
#[test]
fn blanks_around_a_name_are_not_part_of_it() {
    let site = format!("{SITE}name = \"   Here   {}\"\n", " ".repeat(200));
    let files = [
        ("site.toml", site.as_str()),
        ("week.csv", &Week::default().csv()),
    ];
    let case = Case::new("blanks", "go", &of_week("oil"), &files);
    assert_eq!(case.json(&[])["site"], "Here");
}

#[test]
fn alarms_come_before_each_spell_where_asked_for() {
    let case = named("oil on Wednesday");
    for (alarm, trigger) in [("45min", "-PT45M"), ("2h", "-PT120M"), ("12 h", "-PT720M")] {
        let calendar = calendar(&case.answer(&["--format", "ics", "--alarm", alarm]));
        assert!(calendar.events.len() > 1);
        for event in &calendar.events {
            let [alarm] = event.alarms.as_slice() else {
                unreachable!("one alarm each")
            };
            let of_alarm = |name| {
                alarm
                    .get_property(name)
                    .and_then(|property| property.value.as_deref())
            };
            assert_eq!(
                (of_alarm("ACTION"), of_alarm("TRIGGER")),
                (Some("DISPLAY"), Some(trigger))
            );
            assert!(
                of_alarm("DESCRIPTION").is_some(),
                "RFC 5545, 3.6.6 asks for one"
            );
        }
    }
}

/// UIDs by the end of their spells, which does not move when a spell is partly over.
fn uids(folder: &Path, operation: &str, at: &str) -> Vec<(String, String)> {
    let arguments = [
        "decide",
        operation,
        "week.csv",
        "--site",
        "site.toml",
        "--format",
        "ics",
        "--at",
        at,
    ];
    let ran = binary::run(folder, &arguments);
    assert_eq!(ran.code, Some(0), "{}{}", ran.stderr, ran.stdout);
    let events = calendar(&ran.stdout).events;
    events
        .iter()
        .map(|event| (property(event, "DTEND"), property(event, "UID")))
        .collect()
}

/// The same forecast asked again later the same day: a spell keeps its UID, so that a calendar changes its event and
/// does not show it twice. Wind over 10 mph from 12:00 to 14:00 parts the first day into two spells.
#[test]
fn spells_keep_their_uid_when_asked_again_later() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("site.toml"), SITE).unwrap();
    let week = Week::default().with("wind_mph", 12..14, "12");
    fs::write(folder.path().join("week.csv"), week.csv()).unwrap();
    let first = uids(folder.path(), "oil", "2027-03-10T08:00-06:00");
    for (at, over) in [
        ("2027-03-10T09:30-06:00", 0),
        ("2027-03-10T13:00-06:00", 1),
        ("2027-03-10T14:30-06:00", 1),
    ] {
        let later = uids(folder.path(), "oil", at);
        assert_eq!(later, first[over..], "asked again {at}");
    }
}

/// A spell through the night, asked about before and after midnight.
#[test]
fn a_spell_through_midnight_keeps_its_uid() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("site.toml"), SITE).unwrap();
    fs::write(folder.path().join("week.csv"), Week::default().csv()).unwrap();
    let operation = "operation = \"mow\"\nstale-after = \"48 h\"\n[[rule]]\nname = \"warm\"\nmeasure = \"temperature\"\n\
        over = \"6 h before\"\ntake = \"mean\"\nat-least = \"40 °F\"\nseverity = \"block\"\nsource = \"Invented\"\n";
    fs::write(folder.path().join("op.toml"), operation).unwrap();
    let before = uids(folder.path(), "op.toml", "2027-03-10T20:00-06:00");
    let after = uids(folder.path(), "op.toml", "2027-03-11T00:30-06:00");
    assert!(
        before[0].0.starts_with("20270311T"),
        "the first spell ends on the next day, also in UTC: {before:?}"
    );
    assert_eq!(after, before);
}

/// Units are those asked for, in all that people read. 25 °F is −3.9 °C; 10 mph is 4.5 m/s (1 mph = 0.44704 m/s).
#[test]
fn units_change_the_numbers_that_are_shown() {
    let case = named("oil on Monday");
    let [us, si, written] =
        [&["--units", "us"][..], &["--units", "si"], &[]].map(|units| flat(&case.answer(units)));
    assert!(
        us.contains("25 °F") && us.contains("10 mph") && us.contains(" in "),
        "{us}"
    );
    assert!(si.contains("-3.9 °C") && si.contains("4.5 m/s"), "{si}");
    for foreign in ["°C", " mm", "m/s"] {
        assert!(!us.contains(foreign), "{foreign} in {us}");
    }
    for foreign in ["°F", " mph"] {
        assert!(!si.contains(foreign), "{foreign} in {si}");
    }
    assert!(
        written.contains("25 °F"),
        "limits are written in °F: {written}"
    );
    for format in ["svg", "html"] {
        let si = words(&case.answer(&["--format", format, "--units", "si"]));
        assert!(si.contains("-3.9 °C") && !si.contains("25 °F"), "{format}");
    }
    assert_eq!(
        case.json(&["--units", "si"]),
        case.json(&["--units", "us"]),
        "JSON keeps the units of the limits"
    );
}

/// Every rule's source, and the source of every formula that stands behind a value.
#[test]
fn explanations_name_every_source() {
    for case in cases() {
        let text = flat(&case.answer(&["--explain"]));
        let json = case.json(&["--explain"]);
        let rules = json["explain"]["rules"].as_array().unwrap();
        assert_eq!(rules.len(), json["limits"].as_array().unwrap().len());
        for (rule, limit) in rules.iter().zip(json["limits"].as_array().unwrap()) {
            assert_eq!(
                (&rule["rule"], &rule["limit_source"]),
                (&limit["rule"], &limit["source"])
            );
            let said = format!(
                "limit's source: {}",
                flat(limit["source"].as_str().unwrap())
            );
            assert!(text.contains(&said), "{}: {said}", case.name);
            let has_formula = match limit["measure"].as_str().unwrap() {
                "wet-bulb" | "daylight" => true,
                "humidity" => rule["outcome"] == "unchecked", // it would come from the dew point
                _ => false,
            };
            assert_eq!(
                rule["formula"].is_string(),
                has_formula,
                "{}: {rule}",
                case.name
            );
            assert_eq!(
                rule["formula_source"].is_string(),
                has_formula,
                "{}: {rule}",
                case.name
            );
            if let (Some(formula), Some(source)) =
                (rule["formula"].as_str(), rule["formula_source"].as_str())
            {
                assert!(
                    text.contains(&flat(&formula.replace('\n', "; ")))
                        && text.contains(&flat(source)),
                    "{}: {rule}",
                    case.name
                );
            }
        }
    }
}

/// A rule on each derived measure: all have a formula and its source, except the two that only count hours.
#[test]
fn every_derived_measure_has_a_formula_and_its_source() {
    let measures = [
        ("dew-point", "-40 °C"),
        ("wet-bulb", "-40 °C"),
        ("wet-bulb-depression", "0 °C"),
        ("dew-point-depression", "0 °C"),
        ("vapour-pressure-deficit", "0 hPa"),
        ("drying-hours", "0 h"),
        ("sun-elevation", "-90 °"),
        ("daylight", "-90 °"),
        ("hours-since-rain", "0 h"),
        ("hours-until-rain", "0 h"),
    ];
    let rule = |(measure, least): &(&str, &str)| {
        format!(
            "[[rule]]\nname = \"{measure}\"\nmeasure = \"{measure}\"\nat-least = \"{least}\"\nseverity = \"caution\"\n\
             source = \"Invented\"\n"
        )
    };
    let operation = format!(
        "operation = \"all\"\n{}",
        measures.iter().map(rule).collect::<String>()
    );
    let files = [
        ("site.toml", SITE),
        ("week.csv", &Week::default().csv()),
        ("op.toml", &operation),
    ];
    let case = Case::new("all measures", "go", &of_week("op.toml"), &files);
    let text = flat(&case.answer(&["--explain"]));
    for rule in case.json(&["--explain"])["explain"]["rules"]
        .as_array()
        .unwrap()
    {
        let counts_only = rule["rule"].as_str().unwrap().starts_with("hours-");
        assert_eq!(rule["formula"].is_null(), counts_only, "{rule}");
        assert_ne!(rule["inputs"], Value::Array(Vec::new()), "{rule}");
        if let Some(source) = rule["formula_source"].as_str() {
            assert!(
                text.contains(&format!("formula's source: {}", flat(source))),
                "{rule}"
            );
        }
    }
}

/// Promise 1: what goes unchecked is said in every format.
#[test]
fn unchecked_rules_are_said_in_every_format() {
    let mut count = 0;
    for case in cases() {
        let json = case.json(&[]);
        let names = strings(&json["unchecked"]);
        if names.is_empty() {
            continue;
        }
        count += 1;
        let notices = strings(&json["notices"]).join(" ");
        let text = flat(&case.answer(&[]));
        let [svg, html] = ["svg", "html"].map(|format| words(&case.answer(&["--format", format])));
        let calendar = calendar(&case.answer(&["--format", "ics"]));
        let mut said = vec![
            ("json", squeezed(&notices)),
            ("text", squeezed(&text)),
            ("svg", squeezed(&svg)),
        ];
        said.push(("html", squeezed(&html)));
        said.extend(
            calendar
                .events
                .iter()
                .map(|event| ("ics", squeezed(&text_of(event, "DESCRIPTION")))),
        );
        for (format, words) in said {
            assert!(
                words.to_lowercase().contains("unchecked"),
                "{} {format}: {words}",
                case.name
            );
            for name in &names {
                assert!(
                    words.contains(&squeezed(name)),
                    "{} {format}: {name}",
                    case.name
                );
            }
        }
        let line = case.answer(&["--format", "line"]);
        let rules = if names.len() == 1 {
            "1 rule unchecked".to_owned()
        } else {
            format!("{} rules unchecked", names.len())
        };
        assert!(line.contains(&rules), "{}: {line}", case.name);
    }
    assert!(count >= 3, "{count} cases with unchecked rules");
}
