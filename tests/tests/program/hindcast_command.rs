//! `fairspell hindcast` as a user runs it: formats, schema, several files, many stations, and every bad input with its whole
//! message.
//!
//! Source: the contract, sections 6 and 7; the list of bad input; `data/schema/hindcast-1.schema.json`, read by a
//! general validator of JSON Schema, draft 2020-12. All weather here is invented.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::fmt::Write as _;
use std::fs;
use std::io::Write as _;
use std::path::Path;

use fairspell_tests::binary::{Ran, assert_refused, run, run_fed};
use jsonschema::Validator;
use serde_json::{Value, json};

const SCHEMA: &str = include_str!("../../../data/schema/hindcast-1.schema.json");
const ZONE: [&str; 2] = ["--zone", "America/Chicago"];

fn validator() -> Validator {
    crate::schema::validator(SCHEMA)
}

/// Days of hours from 1 March of a year on: 30 °F at night and 55 °F by day, rain at every 40th hour, wind by hour.
fn hours(year: i32, days: usize) -> String {
    let mut csv = String::from("time,temperature_f,rain_in,wind_mph\n");
    csv += &rows(year, days, "");
    csv
}

fn rows(year: i32, days: usize, station: &str) -> String {
    let mut rows = String::new();
    for hour in 0..24 * days {
        let (month, day) = (3 + hour / 24 / 30, 1 + hour / 24 % 30);
        let warm = if (8..20).contains(&(hour % 24)) {
            55
        } else {
            34
        };
        let rain = if hour % 90 == 40 { "0.05" } else { "0" };
        let time = format!("{year}-{month:02}-{day:02}T{:02}:00-06:00", hour % 24);
        writeln!(rows, "{station}{time},{warm},{rain},{}", hour % 14).unwrap();
    }
    rows
}

/// A folder with files, and the program run in it.
struct Place(tempfile::TempDir);

impl Place {
    fn with(files: &[(&str, &str)]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        for (name, text) in files {
            fs::write(folder.path().join(name), text).unwrap();
        }
        Self(folder)
    }

    fn path(&self) -> &Path {
        self.0.path()
    }

    fn run(&self, arguments: &[&str]) -> Ran {
        run(self.path(), &[&["hindcast"], arguments, &ZONE[..]].concat())
    }

    fn json(&self, arguments: &[&str]) -> Vec<Value> {
        let ran = self.run(&[arguments, &["--format", "json"]].concat());
        assert_eq!(ran.code, Some(0), "{}", ran.stderr);
        ran.stdout
            .lines()
            .map(|line| serde_json::from_str(line).unwrap())
            .collect()
    }
}

const LOG: &str = "date,time,operation,note\n,2027-03-03T09:00-06:00,oil,first\n2027-03-04,,,second\n\
    ,2027-03-03T23:30-06:00,oil,late\n2026-01-01,,oil,before\n2027-03-05,,prune,cut\n";

/// The contract, section 7: keys, and one object a line.
#[test]
fn the_json_keeps_to_its_schema() {
    let two = format!(
        "station,{}{}{}",
        "time,temperature_f,rain_in,wind_mph\n",
        rows(2027, 40, "A,"),
        rows(2027, 3, "B,")
    );
    let place = Place::with(&[("f", &hours(2027, 60)), ("done", LOG), ("two", &two)]);
    let validator = validator();
    for arguments in [
        &["oil", "f"][..],
        &["prune", "f", "--season", "03-10..04-20"],
        &["oil", "f", "--log", "done", "--season", "12-01..03-15"],
        &["oil", "two"],
    ] {
        for answer in place.json(arguments) {
            let errors: Vec<String> = validator
                .iter_errors(&answer)
                .map(|e| e.to_string())
                .collect();
            assert!(errors.is_empty(), "{arguments:?}: {errors:?}");
        }
    }
    let answers = place.json(&["oil", "two"]);
    let names: Vec<&Value> = answers
        .iter()
        .map(|answer| &answer["station"]["id"])
        .collect();
    assert_eq!(names, ["A", "B"]);
}

/// The schema is not empty: it refuses what the contract does not allow.
#[test]
fn the_schema_refuses_what_is_wrong() {
    let place = Place::with(&[("f", &hours(2027, 60)), ("done", LOG)]);
    let answer = place.json(&["oil", "f", "--log", "done"]).swap_remove(0);
    let validator = validator();
    assert!(validator.is_valid(&answer));
    for (pointer, wrong) in [
        ("/schema", json!("fairspell.hindcast/2")),
        ("/hours/fair", json!(-1)),
        ("/spells/0/start", json!("yesterday")),
        ("/spells/0/confidence", json!(0.5)),
        ("/log/0/judgement", json!("fine")),
        ("/odds/0/probability", json!(1.5)),
        ("/weeks/0/week", json!(53)),
        ("/seasons/0/may_hide", json!(null)),
    ] {
        let mut changed = answer.clone();
        *changed.pointer_mut(pointer).unwrap() = wrong;
        assert!(!validator.is_valid(&changed), "{pointer}");
    }
}

/// The contract, section 7: what was done, whether within the rules, if not which rule; entries of another operation are
/// left out and said.
#[test]
fn a_log_is_answered_in_text_and_json() {
    let place = Place::with(&[("f", &hours(2027, 60)), ("done", LOG)]);
    let answer = place.json(&["oil", "f", "--log", "done"]).swap_remove(0);
    let judged: Vec<&str> = answer["log"]
        .as_array()
        .unwrap()
        .iter()
        .map(|entry| entry["judgement"].as_str().unwrap())
        .collect();
    assert_eq!(judged.len(), 4);
    assert_eq!((judged[2], judged[3]), ("against-rules", "cannot-tell"));
    let rules: Vec<&Value> = answer["log"][2]["reasons"]
        .as_array()
        .unwrap()
        .iter()
        .map(|reason| &reason["rule"])
        .collect();
    assert!(rules.contains(&&json!("temperature")), "{rules:?}"); // 34 °F at night, limit 40 °F
    let temperature = answer["log"][2]["reasons"]
        .as_array()
        .unwrap()
        .iter()
        .find(|reason| reason["rule"] == "temperature")
        .unwrap();
    assert_eq!(
        (
            &temperature["value"],
            &temperature["limit"],
            &temperature["margin"]
        ),
        (&json!(34.0), &json!(40.0), &json!(-6.0))
    );
    let ran = place.run(&["oil", "f", "--log", "done"]);
    for words in [
        "What was done",
        "2027-03-03T23:30-06:00 (late): AGAINST THE RULES",
        "2026-01-01 (before): CANNOT TELL, outside the record",
        "short by 6 °F",
        "- log: 1 of its entries left out, which are for another operation",
    ] {
        assert!(ran.stdout.contains(words), "{words}\n{}", ran.stdout);
    }
}

/// The contract, section 7: `--units` for display; 34 °F lies 6 °F or 3.3 °C below 40 °F, by hand. JSON stays as written.
#[test]
fn units_of_the_display_are_chosen() {
    let place = Place::with(&[("f", &hours(2027, 60)), ("done", LOG)]);
    let log = ["oil", "f", "--log", "done"];
    for format in ["text", "html"] {
        let shown = |units| {
            let more = ["--format", format, "--units", units];
            place
                .run(&[&log[..], &more].concat())
                .stdout
                .replace("\n    ", " ")
                .replace('\u{a0}', " ")
        };
        let (us, si) = (shown("us"), shown("si"));
        assert!(us.contains("34 °F") && us.contains("short by 6 °F"), "{us}");
        assert!(
            si.contains("1.1 °C") && si.contains("short by 3.3 °C"),
            "{si}"
        );
        assert!(!si.contains("°F"), "{si}");
    }
    let json = place.json(&log);
    assert_eq!(json, place.json(&[&log[..], &["--units", "si"]].concat()));
}

/// The contract, section 7: text within 80 columns, whatever the names; each format ends with a line break.
#[test]
fn text_keeps_to_80_columns() {
    let long = "a name ".repeat(30);
    let text = format!(
        "station,time,temperature_f,rain_in,wind_mph\n{}",
        rows(2027, 60, &format!("{long},"))
    );
    let done = format!("time,note\n2027-03-03T09:00-06:00,{long}\n");
    let place = Place::with(&[("f", &text), ("done", &done)]);
    for arguments in [
        &["oil", "f"][..],
        &["prune", "f", "--log", "done", "--season", "03-01..04-01"],
    ] {
        let ran = place.run(arguments);
        assert_eq!(ran.code, Some(0), "{}", ran.stderr);
        assert!(ran.stdout.ends_with('\n') && ran.stdout.len() > 500);
        let widest = ran
            .stdout
            .lines()
            .max_by_key(|line| line.chars().count())
            .unwrap();
        assert!(widest.chars().count() <= 80, "{widest}");
    }
}

/// All formats tell of the same spells; csv has one row a spell.
#[test]
fn formats_tell_of_the_same_spells() {
    let place = Place::with(&[("f", &hours(2027, 60))]);
    let answer = place.json(&["oil", "f"]).swap_remove(0);
    let spells = answer["spells"].as_array().unwrap();
    let csv = place.run(&["oil", "f", "--format", "csv"]).stdout;
    let wanted: Vec<String> = spells
        .iter()
        .map(|spell| {
            format!(
                ",{},{},{}",
                spell["start"].as_str().unwrap(),
                spell["end"].as_str().unwrap(),
                spell["hours"]
            )
        })
        .collect();
    let mut lines = csv.lines();
    assert_eq!(lines.next(), Some("station,start,end,hours"));
    assert_eq!(lines.collect::<Vec<_>>(), wanted);
    assert!(spells.len() > 10);
    let text = place.run(&["oil", "f"]).stdout;
    assert!(
        text.contains(&format!("{} spells of 2 h or more", spells.len())),
        "{text}"
    );
    let page = place.run(&["oil", "f", "--format", "html"]).stdout;
    let page = page.replace('\u{a0}', " ");
    assert!(page.contains(&format!("{} spells of 2 h or more", spells.len())));
    assert!(!page.contains("<script") && !page.contains("http"));
    let picture = place.run(&["oil", "f", "--format", "svg"]).stdout;
    let drawn = roxmltree::Document::parse(&picture).unwrap();
    let told = drawn
        .descendants()
        .filter(|node| node.has_tag_name("title"))
        .filter_map(|node| node.text());
    let fair: usize = told
        .filter(|text| text.contains(" h fair, "))
        .map(|text| {
            text.split(": ")
                .nth(1)
                .unwrap()
                .split(' ')
                .next()
                .unwrap()
                .parse::<usize>()
                .unwrap()
        })
        .sum();
    assert_eq!(fair as u64, answer["hours"]["fair"].as_u64().unwrap());
    let inner = page
        .split("<svg")
        .nth(1)
        .unwrap()
        .split("</svg>")
        .next()
        .unwrap();
    assert!(roxmltree::Document::parse(&format!("<svg{inner}</svg>")).is_ok());
}

/// Files of one station in years that follow one another, and two that overlap: said, and each hour once; gzip and standard
/// input as they are.
#[test]
fn several_files_are_one_record() {
    let (first, second) = (hours(2026, 60), hours(2027, 60));
    let place = Place::with(&[
        ("2026", &first),
        ("2027", &second),
        ("again", &hours(2027, 90)),
    ]);
    let both = place.json(&["oil", "2026", "2027"]).swap_remove(0);
    let alone = place.json(&["oil", "2027"]).swap_remove(0);
    assert_eq!(
        both["spells"].as_array().unwrap().len(),
        2 * alone["spells"].as_array().unwrap().len()
    );
    let other = place.json(&["oil", "2027", "2026"]).swap_remove(0);
    assert_eq!(both["spells"], other["spells"]);
    let overlap = place.json(&["oil", "2027", "again"]).swap_remove(0);
    assert_eq!(overlap["record"]["hours"], json!(24 * 91));
    let said = overlap["notices"].as_array().unwrap();
    assert!(
        said.contains(&json!(
            "again: 1440 hours that a file given before it covers too are left out"
        )),
        "{said:?}"
    );
    let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    packer.write_all(second.as_bytes()).unwrap();
    fs::write(place.path().join("packed"), packer.finish().unwrap()).unwrap();
    assert_eq!(place.json(&["oil", "packed"]).swap_remove(0), alone);
    let fed = run_fed(
        place.path(),
        &["hindcast", "oil", "-", "--format", "json", ZONE[0], ZONE[1]],
        second.as_bytes(),
    );
    assert_eq!(serde_json::from_str::<Value>(&fed.stdout).unwrap(), alone);
}

/// The issue: a rain column without any blank over thirty days is said to be worth as much as its gauge; one with a blank
/// is not; nor is it said where no rule looks at rain.
#[test]
fn a_rain_column_without_a_blank_is_told_of() {
    let words = "rain: not one row is blank";
    let full = hours(2027, 60);
    let blank = full.replacen(",55,0,", ",55,,", 1);
    let dry = "operation = \"wind\"\n[[rule]]\nname = \"wind\"\nmeasure = \"wind\"\nat-most = \"9 mph\"\nseverity = \"block\"\nsource = \"test\"\n";
    let place = Place::with(&[
        ("full", &full),
        ("blank", &blank),
        ("month", &hours(2027, 30)),
        (
            "short",
            hours(2027, 30).trim_end().rsplit_once('\n').unwrap().0,
        ), // 719 rows
        ("wind.toml", dry),
    ]);
    for (arguments, is_said) in [
        (["oil", "full"], true),
        (["oil", "blank"], false),
        (["oil", "month"], true),
        (["oil", "short"], false),
        (["wind.toml", "full"], false),
    ] {
        assert_eq!(
            place.run(&arguments).stdout.contains(words),
            is_said,
            "{arguments:?}"
        );
    }
}

/// The bad input, each with its whole message: a wind of 1,048 mph, a station that comes back, a log in local time
/// without a zone, a log entry that is no time, members, a season that is none.
#[test]
#[allow(
    clippy::too_many_lines,
    reason = "a check is a table that is read down"
)]
fn bad_input_is_told_in_one_line() {
    let back = format!(
        "station,time,temperature_f,rain_in,wind_mph\n{}{}{}",
        rows(2027, 1, "A,"),
        rows(2027, 1, "B,"),
        rows(2027, 1, "A,")
    );
    let members = "time,member,temperature_f\n2027-03-01T00:00Z,1,50\n2027-03-01T00:00Z,2,50\n";
    let place = Place::with(&[
        ("f", &hours(2027, 3)),
        ("back", &back),
        ("members", members),
        ("wrong", "date,note\n2027-03-01,fine\n1 March,not\n"),
        ("none", "when,note\n2027-03-01,fine\n"),
        ("skipped", "time\n2027-03-14T02:30\n"),
        ("empty", ""),
        (
            "half",
            "time,temperature_f\n2027-03-01T09:30-06:00,50\n2027-03-01T10:30-06:00,50\n",
        ),
    ]);
    let log = "expected a log: CSV with a column date or time, and operation and note where wanted";
    for (arguments, message) in [
        (
            &["oil", "back"][..],
            "back:50:1: expected the rows of each station together, found more of \"A\" after another station".to_owned(),
        ),
        (&["oil", "members"], "members: expected at most 1 member of past hours, found more".to_owned()),
        (
            &["oil", "f", "--log", "wrong"],
            "wrong:3:1: expected a date such as 2027-03-10, or a time such as 2027-03-10T09:00-06:00, found \"1 March\"".to_owned(),
        ),
        (&["oil", "f", "--log", "none"], format!("none:1:1: {log}, found \"when,note\"")),
        (&["oil", "f", "--log", "empty"], format!("empty: {log}, found none")),
        (
            &["oil", "f", "--log", "skipped"],
            "skipped:2:1: expected a local time that exists in America/Chicago, found \"2027-03-14T02:30\", which the clock change skips".to_owned(),
        ),
        (
            &["oil", "f", "--season", "02-30..03-01"],
            "--season: expected two dates such as 02-01..04-30 (month-day), found \"02-30..03-01\"".to_owned(),
        ),
        (&["oil", "empty"], "empty: expected weather, found an empty file".to_owned()),
        (
            &["oil", "f", "half"],
            "half: expected observed hours that begin at minute 0 like the other file's, found hours that begin at minute 30".to_owned(),
        ),
        (
            &["oil", "f", "--log", "wrong", "--format", "csv"],
            "expected --format text, json, svg or html beside --log, found csv".to_owned(),
        ),
        (
            &["oil", "-", "-"],
            "expected standard input (-) for one input at most, found it for two or more".to_owned(),
        ),
    ] {
        assert_refused(&place.run(arguments), &message);
    }
}

/// The same, where the zone is not given, and where a picture is asked of two stations.
#[test]
fn what_is_not_given_is_asked_for() {
    let two = format!(
        "station,time,temperature_f,rain_in,wind_mph\n{}{}",
        rows(2027, 1, "A,"),
        rows(2027, 1, "B,")
    );
    let local = "time\n2027-03-01T09:00\n";
    let place = Place::with(&[("f", &hours(2027, 3)), ("local", local), ("two", &two)]);
    let no_zone = |arguments: &[&str]| {
        run(
            place.path(),
            &[&["hindcast", "oil", "f"], arguments].concat(),
        )
    };
    assert_refused(
        &no_zone(&["--log", "local"]),
        "local:2:1: expected a time with offset or Z, or the place's time zone beside a local time, found \"2027-03-01T09:00\"; \
         give --zone with an IANA name such as America/Chicago, or a site file",
    );
    assert_refused(
        &no_zone(&[]),
        "expected the time zone of the place, found none; give --zone with an IANA name such as America/Chicago, or a site file",
    );
    assert_refused(
        &place.run(&["oil", "two", "--format", "svg"]),
        "--format: expected hours of one station for a picture or a page, found two or more",
    );
}

/// The issue: a wind of 1,048 mph is rejected, counted and said; its hour is unknown.
#[test]
fn an_impossible_wind_is_rejected_and_said() {
    let text = hours(2027, 60).replacen(
        "2027-03-10T12:00-06:00,55,0,4",
        "2027-03-10T12:00-06:00,55,0,1048.36",
        1,
    );
    assert!(text.contains("1048.36"));
    let place = Place::with(&[("f", &text), ("clean", &hours(2027, 60))]);
    let (answer, clean) = (
        place.json(&["oil", "f"]).swap_remove(0),
        place.json(&["oil", "clean"]).swap_remove(0),
    );
    let said =
        json!("f: 1 wind value rejected as impossible and taken as missing, the first \"1048.36\"");
    assert!(answer["notices"].as_array().unwrap().contains(&said));
    assert_eq!(
        answer["hours"]["unknown"].as_u64().unwrap(),
        clean["hours"]["unknown"].as_u64().unwrap() + 1
    );
}

/// The issue: clock changes in archives in local time. Both hours of the autumn change are taken in file order, on 7 November
/// 2027 at 01:00 (U.S. law), and the hour that spring skips is an error.
#[test]
fn clock_changes_in_local_archives_are_resolved() {
    let mut autumn = String::from("time,temperature_f,rain_in\n");
    for hour in [0, 1, 1, 2, 3] {
        writeln!(autumn, "2027-11-07T{hour:02}:00,50,0").unwrap();
    }
    let spring = "time,temperature_f,rain_in\n2027-03-14T01:00,50,0\n2027-03-14T02:00,50,0\n";
    let place = Place::with(&[("autumn", &autumn), ("spring", spring)]);
    let answer = place.json(&["oil", "autumn"]).swap_remove(0);
    assert_eq!(
        answer["record"],
        json!({"start": "2027-11-07T00:00:00-05:00", "end": "2027-11-07T04:00:00-06:00", "hours": 5})
    );
    assert_refused(
        &place.run(&["oil", "spring"]),
        "spring:3:1: expected a local time that exists in America/Chicago, found \"2027-03-14T02:00\", which the clock change skips",
    );
}

/// The issue, done when: a past season is checked from one archive file with one command. GHCN-Hourly goes by its lines, packed
/// or not; two years of one station are one record, and its place gives the sun.
#[test]
fn an_archive_file_is_answered_as_it_is() {
    let header = "STATION|Station_name|DATE|LATITUDE|LONGITUDE|ELEVATION|temperature|temperature_Quality_Code|\
        wind_speed|precipitation|relative_humidity\n";
    let year = |year: i32| {
        let mut text = header.to_owned();
        for hour in 0..240 {
            let (day, clock) = (1 + hour / 24, hour % 24);
            let time = format!("{year}-03-{day:02}T{clock:02}:53:00");
            writeln!(
                text,
                "USX0001|SOMEWHERE|{time}|42.4|-88.1|250|12.0|1|2.0|0.0|60"
            )
            .unwrap();
        }
        text
    };
    let place = Place::with(&[("2026.psv", &year(2026)), ("2027.psv", &year(2027))]);
    let one = place.json(&["oil", "2027.psv"]).swap_remove(0);
    assert_eq!(one["station"]["id"], "USX0001");
    assert_eq!(one["record"]["hours"], 240);
    let unchecked = one["unchecked"].as_array().unwrap();
    assert!(!unchecked.contains(&json!("daylight")), "{unchecked:?}");
    // By hand: fair while the sun is up, from the fourth hour on and but for the last 24; it rises on ten days.
    assert!((9..=10).contains(&one["spells"].as_array().unwrap().len()));
    let both = place.json(&["oil", "2026.psv", "2027.psv"]);
    assert_eq!(both.len(), 1);
    let spells = |answer: &Value| answer["spells"].as_array().unwrap().len();
    assert_eq!(spells(&both[0]), 2 * spells(&one));
    let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    packer.write_all(year(2027).as_bytes()).unwrap();
    fs::write(place.path().join("packed"), packer.finish().unwrap()).unwrap();
    assert_eq!(place.json(&["oil", "packed"]).swap_remove(0), one);
    let cut = year(2027).replacen("|12.0|", "|", 1);
    fs::write(place.path().join("cut"), cut).unwrap();
    let ran = place.run(&["oil", "cut"]);
    assert_eq!(ran.code, Some(2));
    assert!(
        ran.stderr.starts_with("fairspell: cut:2:"),
        "{}",
        ran.stderr
    );
}
