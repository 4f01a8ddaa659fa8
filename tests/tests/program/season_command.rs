//! `fairspell season` as a user runs it: one plan in six formats that agree, each well formed by a general reader of its
//! kind, and files that are not what they should be.
//!
//! Source: the project's contract (the command line, its keys); RFC 5545 for calendars; RFC 4180 for CSV. One format is
//! held against another, and places in short files are counted by hand. All records are invented.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use chrono::{Days, NaiveDate};
use fairspell_tests::binary::{self, Ran, assert_refused};
use fairspell_tests::daily::rows;
use ical::parser::Component as _;
use ical::parser::ical::component::IcalCalendar;
use roxmltree::{Document, ParsingOptions};
use serde_json::Value;
use tempfile::TempDir;

const SITE: &str = include_str!("../../../data/demo/site.toml");
const STATION: &str = include_str!("../../../data/demo/station.csv");

/// A folder with the demo's record and site, and other files.
fn folder(more: &[(&str, &str)]) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (name, content) in [("station.csv", STATION), ("site.toml", SITE)]
        .iter()
        .chain(more)
    {
        fs::write(folder.path().join(name), content).unwrap();
    }
    folder
}

fn season_in(folder: &Path, arguments: &[&str]) -> Ran {
    let few = ["season", "--replicates", "20"];
    binary::run(folder, &[&few[..], arguments].concat())
}

const DEMO: [&str; 5] = ["station.csv", "--site", "site.toml", "--year", "2027"];

/// The demo's plan.
fn demo(more: &[&str]) -> String {
    let ran = season_in(folder(&[]).path(), &[&DEMO[..], more].concat());
    assert_eq!(ran.code, Some(0), "{}", ran.stderr);
    ran.stdout
}

fn demo_json() -> Value {
    serde_json::from_str(&demo(&["--format", "json"])).unwrap()
}

/// What a run that worked wrote, whatever notices came with it.
#[track_caller]
fn done(ran: &Ran) -> &str {
    assert_eq!(ran.code, Some(0), "{}", ran.stderr);
    &ran.stdout
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn date(value: &Value) -> NaiveDate {
    value.as_str().unwrap().parse().unwrap()
}

/// A date as people read it.
fn day(value: &Value) -> String {
    date(value).format("%-d %b").to_string()
}

/// A warm day of a record with both extremes, from rows of minima.
fn with_maxima(rows: &[String]) -> String {
    let both = rows.iter().map(|row| {
        let (date, low) = row.split_once(',').unwrap();
        format!("{date},{low},{}", low.parse::<i32>().unwrap() + 18)
    });
    let rows: Vec<String> = both.collect();
    format!("date,tmin_f,tmax_f\n{}\n", rows.join("\n"))
}

// One plan in six formats.

/// Each kind's dates are the same in all that people read, and damage is called inferred, with its range, in each.
#[test]
fn formats_for_people_agree_with_the_json() {
    let json = demo_json();
    for format in ["text", "svg", "html", "ics"] {
        let written = demo(&["--format", format]).replace("\r\n ", "");
        let written = flat(&written);
        for plant in json["plants"].as_array().unwrap() {
            assert!(written.contains(plant["kind"].as_str().unwrap().split(',').next().unwrap()));
            let (prune, oil) = (&plant["prune"], &plant["oil"]);
            if format == "ics" {
                continue; // its dates are held below
            }
            let words = format!(
                "from {} to {}, best on {}",
                day(&prune["from"]),
                day(&prune["to"]),
                day(&prune["best"])
            );
            assert!(written.contains(&words), "{format}: {words}");
            let words = format!("from {} to {}", day(&oil["from"]), day(&oil["to"]));
            assert!(written.contains(&words), "{format}: {words}");
        }
        let written = written.replace("\\,", ",");
        for words in [
            "), inferred, ",
            "over the range of sums",
            "label is the law",
        ] {
            assert!(written.contains(words), "{format}: {words}");
        }
    }
}

/// Contract, section 7: people read the answer first, in at most 80 columns, and the label first among the cautions.
#[test]
fn text_answers_first_within_80_columns() {
    for more in [
        &[][..],
        &["--explain"],
        &["--units", "us"],
        &["--units", "si"],
    ] {
        let text = demo(more);
        for line in text.lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
        let json = demo_json();
        let first = flat(text.split("\n\n").next().unwrap());
        let best = day(&json["prune"]["best"]);
        assert!(first.starts_with("Prune ") && first.contains(&format!("best on {best};")));
        assert!(first.contains("spray dormant oil from"), "{first}");
        let hits = json["damage"].as_array().unwrap();
        let hits = hits
            .iter()
            .find(|of| of["date"] == json["prune"]["best"])
            .unwrap();
        let words = format!("in {} of {} years: damage", hits["hits"], hits["years"]);
        assert!(first.contains(&words), "{first}");
        let cautions = text.find("- The product's label is the law").unwrap();
        assert!(!text[..cautions].contains("\n- ") || more == ["--explain"]);
    }
}

#[test]
fn units_are_those_asked_for() {
    let (us, si, both) = (
        demo(&["--units", "us"]),
        demo(&["--units", "si"]),
        demo(&[]),
    );
    // The notes speak of the sprayer in both.
    let until_notes = |text: &str| text.split("\nNote ").next().unwrap().to_owned();
    let [us, si, both] = [us, si, both].map(|text| until_notes(&text));
    assert!(us.contains("US gal") && !us.contains(" l of") && !us.contains(" ml"));
    assert!(si.contains(" ml") && !si.contains("US "));
    assert!(both.contains("US gal (") && both.contains(" ml)"));
}

/// RFC 4180 by a plain split: the demo's only kind with a comma in its name is quoted. Values are those of the JSON.
#[test]
fn csv_holds_the_damage_of_each_kind_by_date() {
    let (table, json) = (demo(&["--format", "csv"]), demo_json());
    let mut lines = table.lines();
    let head = "kind,date,damage,low_95,high_95,damage_low,damage_high,bud_break,harm";
    assert_eq!(lines.next(), Some(head));
    for plant in json["plants"].as_array().unwrap() {
        let kind = plant["kind"].as_str().unwrap();
        let name = if kind.contains(',') {
            format!("\"{kind}\",")
        } else {
            format!("{kind},")
        };
        let days = plant["damage"].as_array().unwrap();
        assert_eq!(days.len(), 212); // 1 January to 31 July
        for damage in days {
            let row = lines.next().unwrap();
            let rest = row.strip_prefix(&name).unwrap();
            let mut fields = rest.split(',');
            assert_eq!(fields.next(), damage["date"].as_str());
            let numbers = [
                &damage["probability"],
                &damage["low_95"],
                &damage["high_95"],
                &damage["range_of_sums"][0],
                &damage["range_of_sums"][1],
                &damage["bud_break_probability"],
                &damage["harm"],
            ];
            for number in numbers {
                let field: f64 = fields.next().unwrap().parse().unwrap();
                assert!((field - number.as_f64().unwrap()).abs() < 1e-15, "{row}");
            }
            assert_eq!(fields.next(), None);
        }
    }
    assert_eq!(lines.next(), None);
}

fn calendar(text: &str) -> IcalCalendar {
    let mut all = ical::IcalParser::new(text.as_bytes());
    let calendar = all.next().unwrap().unwrap();
    assert!(all.next().is_none());
    calendar
}

fn property<C: ical::parser::Component>(component: &C, name: &str) -> String {
    let property = component.get_property(name);
    property
        .and_then(|property| property.value.clone())
        .unwrap_or_default()
}

fn compact(value: &Value) -> String {
    date(value).format("%Y%m%d").to_string()
}

/// RFC 5545: lines of at most 75 octets ended by CRLF (3.1); all-day events whose end is the day after (3.6.1); each
/// component with a UID of its own and a stamp.
#[test]
fn calendars_hold_the_intervals_and_the_tasks() {
    let text = demo(&["--format", "ics"]);
    assert!(text.ends_with("END:VCALENDAR\r\n") && !text.replace("\r\n", "").contains('\n'));
    assert!(text.split("\r\n").all(|line| line.len() <= 75));
    let (calendar, json) = (calendar(&text), demo_json());
    let mut wanted = Vec::new();
    for plant in json["plants"].as_array().unwrap() {
        for (name, dates) in [("Prune", &plant["prune"]), ("Dormant oil", &plant["oil"])] {
            let kind = plant["kind"].as_str().unwrap().replace(',', "\\,");
            let end = date(&dates["to"]) + Days::new(1);
            let end = end.format("%Y%m%d").to_string();
            wanted.push((format!("{name}: {kind}"), compact(&dates["from"]), end));
        }
    }
    let events = calendar.events.iter().map(|event| {
        let start = event
            .get_property("DTSTART")
            .unwrap()
            .params
            .clone()
            .unwrap();
        assert_eq!(start, [("VALUE".to_owned(), vec!["DATE".to_owned()])]);
        (
            property(event, "SUMMARY"),
            property(event, "DTSTART"),
            property(event, "DTEND"),
        )
    });
    assert_eq!(events.collect::<Vec<_>>(), wanted);
    let tasks = json["work"]["tasks"].as_array().unwrap();
    assert_eq!(calendar.todos.len(), tasks.len());
    for (to_do, task) in calendar.todos.iter().zip(tasks) {
        let own = task["bed"]
            .as_u64()
            .map(|bed| &json["plants"][usize::try_from(bed).unwrap()]);
        let due = property(to_do, "DUE");
        match (task["task"].as_str().unwrap(), own) {
            ("prune", Some(plant)) => assert_eq!(due, compact(&plant["prune"]["best"])),
            ("oil", Some(plant)) => assert_eq!(due, compact(&plant["oil"]["to"])),
            (name, _) => assert_eq!(due.len(), 8, "{name}"),
        }
    }
    let mut uids: Vec<String> = calendar
        .events
        .iter()
        .map(|event| property(event, "UID"))
        .collect();
    uids.extend(calendar.todos.iter().map(|to_do| property(to_do, "UID")));
    let again = self::calendar(&demo(&["--format", "ics", "--seed", "2"]));
    let same: Vec<String> = again
        .events
        .iter()
        .map(|event| property(event, "UID"))
        .collect();
    assert_eq!(&uids[..same.len()], same, "asked again, the same");
    let all = uids.len();
    uids.sort();
    uids.dedup();
    assert_eq!(uids.len(), all, "each its own");
}

/// All words of an SVG document; one that is not well formed stops here.
#[test]
fn the_picture_is_well_formed_and_told_in_words() {
    let picture = demo(&["--format", "svg"]);
    let document = Document::parse_with_options(&picture, ParsingOptions::default()).unwrap();
    let root = document.root_element();
    assert_eq!(root.tag_name().name(), "svg");
    let told = |name| {
        let node = root
            .children()
            .find(|node| node.has_tag_name(("http://www.w3.org/2000/svg", name)));
        node.and_then(|node| node.text().map(str::to_owned))
            .unwrap()
    };
    assert_eq!(
        told("title"),
        "Late winter 2027 at Quince Hollow (invented), by the record of station invented-1"
    );
    let json = demo_json();
    for custom in json["customs"].as_array().unwrap() {
        let words = format!(
            "{}, {}",
            custom["name"].as_str().unwrap(),
            day(&custom["date"])
        );
        assert!(told("desc").contains(&words), "{words}");
    }
}

/// What is needed and what is to be done can be ticked off, and nothing of it is lost.
#[test]
fn the_page_can_be_ticked_off() {
    let (page, json) = (demo(&["--format", "html"]), demo_json());
    let work = &json["work"];
    let boxes =
        work["supplies"].as_array().unwrap().len() + work["tasks"].as_array().unwrap().len();
    assert_eq!(page.matches("<input type=\"checkbox\">").count(), boxes);
    assert!(page.contains("@media print") && !page.contains("<script"));
    for word in [
        "Cautions, the label first",
        "Customs, best first",
        "What to mix",
    ] {
        assert!(page.contains(word), "{word}");
    }
}

/// Promise 2: every default has its source: sums, threshold, weights, limits, back-off, customs, work.
#[test]
fn explanations_name_every_source() {
    let json: Value = serde_json::from_str(&demo(&["--explain", "--format", "json"])).unwrap();
    let explained = json["explain"].as_array().unwrap();
    assert!(
        explained
            .iter()
            .all(|line| !line["source"].as_str().unwrap().is_empty())
    );
    let text = flat(&demo(&["--explain"]));
    for what in [
        "rose: tender shoot after the cut",
        "minimum that harms tender shoots",
        "buds break, of apple and pear",
        "weights of the harms",
        "greatest damage in the interval to prune",
        "back-off before the median last freeze",
        "first day to prune",
        "first day for oil",
        "where the limits leave no day to prune",
        "a place without winter",
        "fewest degree days that tell how far ahead a season is",
        "loss of letting the season pass",
        "custom, Easter",
        "12 × hybrid tea (bush)",
        "hauling brush",
    ] {
        let is_it = |line: &Value| {
            line["what"]
                .as_str()
                .is_some_and(|own| own.starts_with(what))
        };
        assert!(explained.iter().any(is_it), "{what}");
        assert!(text.contains(what), "{what} in the text");
    }
    let own = [
        "--explain",
        "--format",
        "json",
        "--tender",
        "27F",
        "--degree-days",
        "150",
        "--weights",
        "2,1",
    ];
    let own: Value = serde_json::from_str(&demo(&own)).unwrap();
    let lines = own["explain"].as_array().unwrap().iter();
    assert_eq!(lines.filter(|line| line["source"] == "your own").count(), 3);
}

/// Contract, section 5: a colder threshold never raises damage, and the answer follows what is set.
#[test]
fn what_is_set_changes_the_answer() {
    let damage = |more: &[&str]| -> f64 {
        let json: Value =
            serde_json::from_str(&demo(&[&["--format", "json"], more].concat())).unwrap();
        let days = json["damage"].as_array().unwrap();
        days.iter()
            .map(|of| of["probability"].as_f64().unwrap())
            .sum()
    };
    let plain = damage(&[]);
    assert!(damage(&["--tender", "-5C"]) < plain);
    assert!(damage(&["--degree-days", "80"]) > plain);
    assert!(damage(&["--degree-days=200"]) < plain);
    let best = |weights: &str| {
        let json: Value =
            serde_json::from_str(&demo(&["--format", "json", "--weights", weights])).unwrap();
        date(&json["prune"]["best"])
    };
    assert!(
        best("1,0") > best("0,1"),
        "late freezes alone count, or buds alone"
    );
}

/// A table of the user's own adds a kind.
#[test]
fn a_plants_table_of_ones_own_adds_kinds() {
    let table = include_str!("../../../data/plants.toml");
    let at = table.find("[[plant]]").unwrap();
    let end = at + 9 + table[at + 9..].find("\n[[plant]]").unwrap();
    let row = table[at..end].replace("name = \"hybrid tea\"", "name = \"moon rose\"");
    assert!(row.contains("moon rose"), "{row}");
    let own: Vec<&str> = row
        .lines()
        .filter(|line| !line.starts_with("also"))
        .collect();
    let own = own.join(
        "
",
    );
    let site = "latitude = 42.4\n[[garden]]\nkind = \"moon rose\"\ncount = 2\n";
    let folder = folder(&[("own.toml", &own), ("moon.toml", site)]);
    let arguments = ["station.csv", "--site", "moon.toml", "--year", "2027"];
    let with = season_in(
        folder.path(),
        &[&arguments[..], &["--plants", "own.toml"]].concat(),
    );
    assert!(done(&with).contains("2 × moon rose"));
    let without = season_in(folder.path(), &arguments);
    assert_eq!(without.code, Some(2));
}

// This year so far.

/// Counting: hours that rise and fall give the same days as their extremes, in any zone.
#[test]
fn observed_hours_say_what_their_daily_extremes_say() {
    let mut hourly = String::from("time,temperature_f\n");
    let mut daily = String::from("date,tmin_f,tmax_f\n");
    let first = NaiveDate::from_ymd_opt(2027, 1, 1).unwrap();
    for number in 0..60_i64 {
        let date = first + chrono::TimeDelta::days(number);
        let low = 30 + number % 7 + number / 4;
        for hour in 0..24_i64 {
            let warm = low + 12 - (12 - hour).abs();
            writeln!(hourly, "{date}T{hour:02}:00-06:00,{warm}").unwrap();
        }
        writeln!(daily, "{date},{low},{}", low + 12).unwrap();
    }
    let folder = folder(&[("hours.csv", &hourly), ("days.csv", &daily)]);
    let so_far = |name| {
        let arguments = [&DEMO[..], &["--format", "json", "--observed", name]].concat();
        let ran = season_in(folder.path(), &arguments);
        let json: Value = serde_json::from_str(done(&ran)).unwrap();
        json["so_far"].clone()
    };
    assert_eq!(so_far("hours.csv"), so_far("days.csv"));
    assert_eq!(so_far("days.csv")["until"], "2027-03-01");
    assert!(
        so_far("days.csv")["days_ahead"].as_i64().unwrap() > 0,
        "a warm winter is ahead"
    );
    let text = season_in(
        folder.path(),
        &[&DEMO[..], &["--observed", "hours.csv"]].concat(),
    );
    assert!(flat(done(&text)).contains("ahead of the median year"));
    let notice = "fairspell: notice: hours.csv: hours taken to the extremes of 60 days, of which 0 lack an hour";
    assert!(text.stderr.starts_with(notice), "{}", text.stderr);
    let whole = [&DEMO[..], &["--format", "html", "--observed", "hours.csv"]].concat();
    let page = season_in(folder.path(), &whole).stdout;
    let words = "From hours.csv: hours taken to the extremes of 60 days";
    assert!(
        page.contains(words),
        "a page goes on without what is said on standard error"
    );
    // The record of the demo has other values for these days: said.
    assert!(
        flat(&text.stdout).contains("he observed minima differ from the record's on 60 of 60 days"),
        "{}",
        text.stdout
    );
}

#[test]
fn observed_hours_need_a_zone() {
    let folder = folder(&[("hours.csv", "time,temperature_f\n2027-01-01T00:00Z,30\n")]);
    let arguments = ["station.csv", "--year", "2027", "--observed", "hours.csv"];
    let ran = season_in(folder.path(), &arguments);
    assert!(
        ran.stderr.contains("expected the time zone of the place"),
        "{}",
        ran.stderr
    );
    assert_eq!(ran.code, Some(2));
    let with = season_in(
        folder.path(),
        &[&arguments[..], &["--zone", "UTC"]].concat(),
    );
    assert_eq!(with.code, Some(0), "{}", with.stderr);
}

// `decide` beside a record.

/// The contract, section 7: the season's state is told in text, JSON and page, by the day of `--at`, and changes nothing
/// else. Dates are those of the plan.
#[test]
fn decide_says_where_the_season_stands() {
    let forecast = include_str!("../../../data/demo/forecast.csv");
    let folder = folder(&[("forecast.csv", forecast)]);
    let plan = demo_json();
    let decide = |operation, at, more: &[&str]| {
        let fixed = [
            "decide",
            operation,
            "forecast.csv",
            "--site",
            "site.toml",
            "--at",
            at,
        ];
        binary::run(folder.path(), &[&fixed[..], more].concat())
    };
    let record = ["--record", "station.csv"];
    for (operation, at, state) in [
        ("oil", "2027-03-08T06:00", "before"),
        ("oil", "2027-03-13T06:00", "inside"),
        ("prune", "2027-03-13T06:00", "before"),
        ("prune", "2027-05-20T06:00", "after"),
    ] {
        let with = decide(
            operation,
            at,
            &[&record[..], &["--format", "json"]].concat(),
        );
        let without = decide(operation, at, &["--format", "json"]);
        assert_eq!(with.code, without.code);
        let mut json: Value = serde_json::from_str(&with.stdout).unwrap();
        let season = json["season"].take();
        let wait = json["wait"].take();
        assert_eq!(wait.is_null(), state == "after", "{wait}");
        let without: Value = serde_json::from_str(&without.stdout).unwrap();
        assert_eq!(json, without, "nothing else changes");
        assert_eq!(
            (&season["state"], &season["work"]),
            (&state.into(), &operation.into())
        );
        assert_eq!(season["from"], plan[operation]["from"]);
        assert_eq!(season["to"], plan[operation]["to"]);
        let words = season["text"].as_str().unwrap();
        let (behind, buds) = (words.split_once(": ").unwrap().1, "buds usually break from");
        assert!(words.contains(buds) && !behind.is_empty());
        let text = decide(operation, at, &record).stdout;
        assert!(flat(&text).contains(&words[1..]), "{words}");
        let page = decide(
            operation,
            at,
            &[&record[..], &["--format", "html"]].concat(),
        )
        .stdout
        .replace('\u{a0}', " ");
        assert!(
            page.contains(&format!("<p>Season: {words}.</p>")),
            "{words}"
        );
    }
}

/// A record of several stations cannot say it.
#[test]
fn decide_wants_a_record_of_one_station() {
    let forecast = include_str!("../../../data/demo/forecast.csv");
    let many = "station,date,tmin_f\nA,2027-01-01,30\nB,2027-01-01,30\n";
    let folder = folder(&[("forecast.csv", forecast), ("many.csv", many)]);
    let arguments = [
        "decide",
        "oil",
        "forecast.csv",
        "--site",
        "site.toml",
        "--record",
        "many.csv",
    ];
    let message = "many.csv: expected a record of one station, found \"A\", \"B\"";
    assert_refused(&binary::run(folder.path(), &arguments), message);
}

// Input that is not what it should be.

/// An entry of the garden that cannot be is told with file, line and column.
#[test]
fn gardens_that_cannot_be_are_told_where() {
    for (site, message) in [
        (
            "[[garden]]\nkind = \"hybrid teee\"\n",
            "site2.toml:2:8: expected a kind of the plants table, nearest \"hybrid tea\"",
        ),
        (
            "[[garden]]\nkind = \"hybrid tea\"\ncount = -3\n",
            "site2.toml:3:9: expected ",
        ),
        (
            "garden = []\n",
            "site2.toml:1:10: expected at least one plant in the garden",
        ),
    ] {
        let folder = folder(&[("site2.toml", site)]);
        let ran = season_in(folder.path(), &["station.csv", "--site", "site2.toml"]);
        let begins = format!("fairspell: {message}");
        assert!(ran.stderr.starts_with(&begins), "{}", ran.stderr);
        assert_eq!((ran.code, ran.stdout.as_str()), (Some(2), ""));
        assert_eq!(ran.stderr.lines().count(), 1);
    }
}

/// A record, how it is asked, whether it has dates, and what is said of it.
type Case<'a> = (&'a str, &'a str, &'a [&'a str], bool, &'a str);

/// What is said of a case, in every format, and that JSON has dates or a reason.
#[track_caller]
fn assert_said((name, record, more, is_known, words): Case<'_>) {
    let folder = folder(&[("r.csv", record)]);
    let run = |format| {
        let arguments = [&["r.csv", "--format", format], more].concat();
        season_in(folder.path(), &arguments)
    };
    let json: Value = serde_json::from_str(done(&run("json"))).unwrap();
    assert_eq!(json["prune"].is_object(), is_known, "{name}");
    assert_eq!(
        json["plants"][0]["no_prune"].is_string(),
        !is_known,
        "{name}"
    );
    for format in ["text", "csv", "ics", "svg", "html"] {
        let ran = run(format);
        let plain = done(&ran).replace("\r\n ", "").replace("\\,", ",");
        let all = flat(&(plain + &ran.stderr)).to_lowercase();
        // The table has rows alone; why there are no dates is no notice.
        let is_table_of_a_month = format == "csv" && name == "a month";
        let is_said = all.contains(&words.to_lowercase());
        assert!(is_said || is_table_of_a_month, "{name}, {format}: {all}");
    }
}

/// Contract, promise 1 and section 5: what a record cannot say is null in JSON, and said in words.
#[test]
fn records_that_cannot_say_it_are_said() {
    let minima = format!("date,tmin_f\n{}\n", rows(12, 0.0).join("\n"));
    let short = with_maxima(&rows(3, 0.0));
    let month = with_maxima(&rows(1, 0.0)[..40]);
    let both = with_maxima(&rows(30, 0.0));
    let warm = with_maxima(&rows(12, 45.0));
    let (year, far) = (["--year", "2027"], ["--year", "2100"]);
    let tropics = ["--year", "2027", "--latitude", "10"];
    let words = "damage rests on 3 years only, 1991 to 1993: no more than a hint";
    assert_said(("short", &short, &year, true, words));
    let words = "2100 is planned from the years of the record";
    assert_said(("beyond", &both, &far, true, words));
    let words = "the record has no daily maxima";
    assert_said(("no maxima", &minima, &year, false, words));
    let words = "no year of the record is whole enough";
    assert_said(("a month", &month, &year, false, words));
    let words = "the place lies in the tropics";
    assert_said(("tropics", &both, &tropics, false, words));
    let words = "no month of the record is colder than 18 °C";
    assert_said(("warm", &warm, &year, false, words));
}

/// In the south the season is July to January; no custom of the north is moved there.
#[test]
fn the_south_is_planned_from_july() {
    let folder = folder(&[("r.csv", &with_maxima(&rows(30, 0.0)))]);
    let arguments = ["r.csv", "--year", "2027", "--latitude", "-38", "--format"];
    let json = season_in(folder.path(), &[&arguments[..], &["json"]].concat());
    let json: Value = serde_json::from_str(done(&json)).unwrap();
    assert_eq!(json["damage"][0]["date"], "2027-07-01");
    assert_eq!(json["customs"], serde_json::json!([]));
    let text = season_in(folder.path(), &[&arguments[..], &["text"]].concat());
    assert!(flat(done(&text)).contains("customs of the northern hemisphere"));
}

#[test]
fn a_record_of_several_stations_asks_for_one() {
    let rows = rows(3, 0.0);
    let mut record = String::from("station,date,tmin_f\n");
    for name in ["A", "B", "C", "D", "E"] {
        for row in &rows {
            writeln!(record, "{name},{row}").unwrap();
        }
    }
    let folder = folder(&[("many.csv", &record)]);
    let message = "many.csv: expected a record of one station, or --station to pick one, found \"A\", \"B\", \"C\" and 2 more";
    assert_refused(&season_in(folder.path(), &["many.csv"]), message);
    let picked = season_in(folder.path(), &["many.csv", "--station", "D"]);
    assert!(done(&picked).contains("by the record of station D"));
    let message =
        "many.csv: expected the station \"F\" in the record, found \"A\", \"B\", \"C\" and 2 more";
    assert_refused(
        &season_in(folder.path(), &["many.csv", "--station", "F"]),
        message,
    );
    let message =
        "many.csv: expected observed days of one station, found \"A\", \"B\", \"C\" and 2 more";
    let ran = season_in(folder.path(), &["station.csv", "--observed", "many.csv"]);
    assert_refused(&ran, message);
}

#[test]
fn arguments_that_cannot_be_are_refused() {
    let folder = folder(&[]);
    for (arguments, message) in [
        (
            &["--weights", "0,0"][..],
            "--weights: expected two numbers from 0 to 1000, not both 0, such as 1,0.5, found \"0,0\"",
        ),
        (
            &["--weights", "-1,1"],
            "--weights: expected two numbers from 0 to 1000, not both 0, such as 1,0.5, found \"-1,1\"",
        ),
        (
            &["--degree-days", "0"],
            "--degree-days: expected degree days above 0 and at most 2000, such as 130, found \"0\"",
        ),
        (
            &["--tender", "cold"],
            "--tender: expected a temperature such as 28F or -2C, found \"cold\"",
        ),
        (
            &["--explain", "--format", "csv"],
            "expected --format text, json or html beside --explain, found another",
        ),
        (
            &["--site", "-", "--observed", "-"],
            "expected standard input (-) for one input at most, found it for two or more",
        ),
    ] {
        let ran = season_in(folder.path(), &[&["station.csv"], arguments].concat());
        assert_refused(&ran, message);
    }
    for (arguments, begins) in [
        (
            &["--format", "line"][..],
            "fairspell: invalid value 'line' for '--format <FORMAT>'",
        ),
        (
            &["--year", "3027"],
            "fairspell: invalid value '3027' for '--year <YEAR>'",
        ),
    ] {
        let ran = season_in(folder.path(), &[&["station.csv"], arguments].concat());
        assert!(ran.stderr.starts_with(begins), "{}", ran.stderr);
        assert_eq!((ran.code, ran.stderr.lines().count()), (Some(2), 1));
    }
    let ran = season_in(folder.path(), &["nowhere.csv"]);
    assert!(
        ran.stderr
            .starts_with("fairspell: nowhere.csv: expected a file to read")
    );
}

/// Every option stands in the help, which fits 80 columns.
#[test]
fn help_names_every_option() {
    let help = binary::run(folder(&[]).path(), &["season", "--help"]).stdout;
    for option in [
        "--site",
        "--latitude",
        "--longitude",
        "--zone",
        "--year",
        "--at",
        "--station",
        "--observed",
        "--plants",
        "--tender",
        "--degree-days",
        "--weights",
        "--record-units",
        "--whole-fahrenheit",
        "--keep-suspect",
        "--seed",
        "--replicates",
        "--format",
        "--units",
        "--explain",
        "--output",
    ] {
        let mut words = help.split_whitespace();
        assert!(
            words.any(|word| word.split(['[', '=']).next() == Some(option)),
            "{option}"
        );
    }
    for line in help.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

/// The file holds what would have been printed, whole.
#[test]
fn the_plan_goes_to_a_file() {
    let folder = folder(&[]);
    let ran = season_in(
        folder.path(),
        &[&DEMO[..], &["--output", "plan.txt"]].concat(),
    );
    assert_eq!((ran.code, ran.stdout.as_str()), (Some(0), ""));
    assert_eq!(
        fs::read_to_string(folder.path().join("plan.txt")).unwrap(),
        demo(&[])
    );
}

/// `--at` is today, on the site's clock where it has no offset: RFC 5545, 3.8.7.2 has the stamps in UTC (06:00 in Chicago in
/// March before the clock changes is 12:00 UTC, U.S. law), and the season is the one under way.
#[test]
fn today_may_be_given() {
    let folder = folder(&[]);
    let ask = |at: &str, format: &str| {
        let arguments = [
            "season",
            "station.csv",
            "--site",
            "site.toml",
            "--at",
            at,
            "--replicates",
            "0",
            "--format",
            format,
        ];
        binary::run(folder.path(), &arguments)
    };
    let stamped = ask("2027-03-08T06:00", "ics").stdout;
    let stamps: Vec<&str> = stamped
        .lines()
        .filter(|line| line.starts_with("DTSTAMP"))
        .collect();
    assert!(
        stamps.len() > 3
            && stamps
                .iter()
                .all(|stamp| *stamp == "DTSTAMP:20270308T120000Z"),
        "{stamps:?}"
    );
    assert_eq!(stamped, ask("2027-03-08T12:00Z", "ics").stdout);
    // From the middle of January to July on, 17 April, the next season is meant, on the place's clock: 20:00 in Chicago on the day
    // before is the 17th in UTC already.
    for (at, year) in [
        ("2027-03-08T06:00", 2027),
        ("2019-03-08T06:00", 2019),
        ("2026-04-16T20:00", 2026),
        ("2026-04-17T00:00", 2027),
    ] {
        let answer: Value = serde_json::from_str(&ask(at, "json").stdout).unwrap();
        assert_eq!(answer["year"], year);
    }
    assert_refused(
        &ask("noon", "ics"),
        "--at: expected a time in ISO 8601 such as 2027-03-10T09:00-06:00, 2027-03-10T15:00Z or 2027-03-10T09:00, found \"noon\"",
    );
}
