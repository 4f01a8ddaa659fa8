//! The garden of a site file in `decide`: the hours that its spraying needs, its work laid into the fair spells, and going
//! now against waiting, as a user sees them.
//!
//! Sources: the issue (split over the fair hours of a forecast); the project's handbook, trade, §6 (minutes; pruning and
//! spraying are different spells) and §14 (8) (a garden's own spraying time); statistics §10 (go now or wait). The week is
//! that of the truth tables; the garden is invented.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::fmt::Write as _;
use std::fs;

use fairspell_tests::binary::{self, Ran, assert_refused};
use fairspell_tests::week::{SITE, Week, hour};
use fairspell_tests::winters::invented;
use serde_json::Value;

const GARDEN: &str = "[[garden]]\nkind = \"hybrid tea\"\ncount = 9\n[[garden]]\nkind = \"lilac\"\ncount = 2\noil = true\n";

fn decided(operation: &str, site: &str, week: &Week, more: &[&str]) -> Ran {
    let folder = tempfile::tempdir().unwrap();
    let mut record = String::from("date,tmin_c,tmax_c\n");
    for (date, (tmin, tmax)) in invented(1990..2012, 1.0) {
        writeln!(record, "{date},{tmin:.1},{tmax:.1}").unwrap();
    }
    for (name, text) in [
        ("site.toml", format!("{SITE}{site}")),
        ("week.csv", week.csv()),
        ("station.csv", record),
    ] {
        fs::write(folder.path().join(name), text).unwrap();
    }
    let fixed = [
        "decide",
        operation,
        "week.csv",
        "--site",
        "site.toml",
        "--at",
        "2027-03-10T09:00-06:00",
    ];
    binary::run(folder.path(), &[&fixed[..], more].concat())
}

fn json(operation: &str, site: &str, week: &Week, more: &[&str]) -> Value {
    let ran = decided(
        operation,
        site,
        week,
        &[&["--format", "json"], more].concat(),
    );
    assert_ne!(ran.code, Some(2), "{}", ran.stderr);
    serde_json::from_str(&ran.stdout).unwrap()
}

/// Every plant has its place or is said to have none; each stint lies in a spell of its own operation, oil behind the
/// last pruning; lilac is not cut in winter, but sprayed where the garden says so. Both operations tell the same.
#[test]
fn the_work_is_laid_into_the_spells_of_its_own_operation() {
    // Two days too cold for oil, fit to prune.
    let week = Week::default().with("temperature_f", 0..hour(2, 0), "38");
    let (prune, oil) = (
        json("prune", GARDEN, &week, &[]),
        json("oil", GARDEN, &week, &[]),
    );
    assert_eq!(prune["work"], oil["work"]);
    let stints = prune["work"]["stints"].as_array().unwrap();
    assert_eq!(prune["work"]["left"], Value::Array(Vec::new()));
    let seconds = |value: &Value| {
        let time = chrono::DateTime::parse_from_rfc3339(value.as_str().unwrap());
        time.unwrap().timestamp()
    };
    let mut counts = std::collections::BTreeMap::new();
    let mut last_cut = 0;
    assert_eq!(stints[0]["task"], "prune");
    assert_eq!(stints[0]["start"], prune["spells"][0]["start"]);
    assert!(seconds(&prune["spells"][0]["start"]) < seconds(&oil["spells"][0]["start"]));
    for stint in stints {
        let (task, start) = (stint["task"].as_str().unwrap(), seconds(&stint["start"]));
        let end = start as f64 + stint["minutes"].as_f64().unwrap() * 60.0;
        let spells = if task == "oil" {
            &oil["spells"]
        } else {
            &prune["spells"]
        };
        let holds = |spell: &Value| {
            seconds(&spell["start"]) <= start && end <= seconds(&spell["end"]) as f64 + 1.0
        };
        assert!(spells.as_array().unwrap().iter().any(holds), "{stint}");
        if task == "prune" {
            last_cut = last_cut.max(start);
        } else {
            assert!(start > last_cut, "{stint}");
        }
        *counts
            .entry((task.to_owned(), stint["kind"].as_str().unwrap().to_owned()))
            .or_insert(0) += stint["count"].as_u64().unwrap();
    }
    let of = |task: &str, kind: &str| counts.get(&(task.to_owned(), kind.to_owned())).copied();
    assert_eq!(
        (of("prune", "hybrid tea"), of("oil", "hybrid tea")),
        (Some(9), Some(9))
    );
    assert_eq!(
        (of("prune", "lilac, quince"), of("oil", "lilac, quince")),
        (None, Some(2))
    );
    for format in ["text", "html"] {
        let told = decided("prune", GARDEN, &week, &["--format", format]).stdout;
        let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(
            told.contains("prune 9 hybrid tea") && told.contains("spray 2 lilac"),
            "{told}"
        );
    }
}

#[test]
fn work_without_a_spell_is_said_in_one_sentence_and_without_a_garden_in_none() {
    let rain = Week::default().with("rain_mm", 0..hour(7, 0), "0.5");
    let told = decided("oil", GARDEN, &rain, &[]).stdout;
    assert!(
        told.contains("No spell of this forecast holds any of the work"),
        "{told}"
    );
    assert!(json("oil", "", &rain, &[]).get("work").is_none());
    let own = include_str!("../../../data/operations/examples/copper.toml");
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("copper.toml"), own).unwrap();
    let copper = folder.path().join("copper.toml");
    assert!(
        json(copper.to_str().unwrap(), GARDEN, &rain, &[])
            .get("work")
            .is_none()
    );
}

/// A week fit to prune and too cold for oil: what is pruned has its times, what is not sprayed is said plant by plant.
#[test]
fn work_that_finds_no_place_is_said_beside_the_work_that_does() {
    let cold = Week::default().with("temperature_f", 0..hour(7, 0), "38");
    for format in ["text", "html"] {
        let told = decided("prune", GARDEN, &cold, &["--format", format]).stdout;
        let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
        for part in [
            "prune 9 hybrid tea",
            "o place to spray 9 hybrid tea",
            "o place to spray 2 lilac, quince",
        ] {
            assert!(told.contains(part), "{part}: {told}");
        }
        assert!(!told.contains("holds any of the work"), "{told}");
    }
}

/// 300 roses: 75 US gal at most, at 0.3 gal/min 250 min, and half a minute a plant to walk: 400 min, 7 h. A number of the
/// site's own goes before; pruning stays at 2 h.
#[test]
fn oil_asks_for_the_hours_of_the_gardens_spraying() {
    let garden = "[[garden]]\nkind = \"hybrid tea\"\ncount = 300\n";
    let own = format!("{garden}[[limit]]\noperation = \"oil\"\nhours-needed = 3\n");
    let week = Week::default();
    let hours =
        |operation: &str, site: &str| json(operation, site, &week, &[])["hours_needed"].clone();
    assert_eq!(hours("oil", garden), 7);
    assert_eq!(hours("oil", &own), 3);
    assert_eq!(hours("prune", garden), 2);
    assert_eq!(hours("oil", GARDEN), 2);
}

#[test]
fn a_kind_that_no_table_has_is_refused_with_its_place() {
    let ran = decided(
        "oil",
        "[[garden]]\nkind = \"hybrd tea\"\n",
        &Week::default(),
        &[],
    );
    let message = "site.toml:5:8: expected a kind of the plants table, nearest \"hybrid tea\"";
    assert!(
        ran.stderr.starts_with(&format!("fairspell: {message}")),
        "{}",
        ran.stderr
    );
    assert_eq!(ran.code, Some(2));
}

/// Waiting is weighed beside a record, told in every format for people and programs, and changes no verdict; the loss of
/// letting the season pass may be set, and without it to lose there is nothing to go for.
#[test]
fn waiting_is_weighed_beside_a_record() {
    let week = Week::default();
    let record = ["--record", "station.csv"];
    let with = json("oil", GARDEN, &week, &record);
    let without = json("oil", GARDEN, &week, &[]);
    assert_eq!(
        (&without["wait"], &with["verdict"]),
        (&Value::Null, &without["verdict"])
    );
    let wait = &with["wait"];
    assert_eq!(
        (&wait["missed_loss"], wait["days_by_forecast"].as_u64()),
        (&1.0.into(), Some(5))
    );
    assert!(wait["now_loss"].is_number() && wait["later_chance"].as_f64() > Some(0.9));
    let costless = json(
        "oil",
        GARDEN,
        &week,
        &[&record[..], &["--missed-loss", "0"]].concat(),
    );
    assert_eq!(costless["wait"]["waiting_loss"], 0.0);
    let text = decided("oil", GARDEN, &week, &record).stdout;
    let page = decided(
        "oil",
        GARDEN,
        &week,
        &[&record[..], &["--format", "html"]].concat(),
    )
    .stdout;
    assert!(
        text.contains("Wait?") && page.contains("Go now or wait:"),
        "{text}"
    );
    assert!(text.contains("without rain"), "{text}");
    let wrong = decided(
        "oil",
        GARDEN,
        &week,
        &[&record[..], &["--missed-loss", "much"]].concat(),
    );
    let message =
        "--missed-loss: expected a number from 0 to 1000, 1 being a plant's shoots, found \"much\"";
    assert_refused(&wrong, message);
}

/// Past hours beside the record: said, counted, and no verdict changes; one station is asked for, and a record beside it.
#[test]
fn waiting_is_weighed_by_past_hours_too() {
    let folder = tempfile::tempdir().unwrap();
    let mut past = String::from("station,time,temperature_f,rain_mm,humidity_pct,wind_mph\n");
    for year in 2022..2026 {
        for hour in 0..24 * 90 {
            let day = chrono::NaiveDate::from_yo_opt(year, 32 + hour / 24).unwrap();
            writeln!(past, "A,{day}T{:02}:00Z,50,0,50,3", hour % 24).unwrap();
        }
        // The hours to the next year have no row: they are unknown.
    }
    let past_path = folder.path().join("past.csv");
    fs::write(&past_path, &past).unwrap();
    let two_path = folder.path().join("two.csv");
    fs::write(&two_path, past + "B,2025-06-01T00:00Z,50,0,50,3\n").unwrap();
    let [past, two] = [&past_path, &two_path].map(|path| path.to_str().unwrap());
    let week = Week::default();
    let record = ["--record", "station.csv"];
    let with = json("oil", "", &week, &[&record[..], &["--past", past]].concat());
    let without = json("oil", "", &week, &record);
    let days = |json: &Value, key: &str| json["wait"][key].as_u64().unwrap();
    assert_eq!(with["verdict"], without["verdict"]);
    assert_eq!(days(&without, "days_by_past_hours"), 0);
    assert_eq!(
        days(&with, "days_by_past_hours") + days(&with, "days_by_record"),
        days(&without, "days_by_record")
    );
    assert!(days(&with, "days_by_past_hours") > 0, "{}", with["wait"]);
    let ran = decided("oil", "", &week, &[&record[..], &["--past", past]].concat());
    assert!(
        ran.stdout.contains("by past hours under all rules"),
        "{}",
        ran.stdout
    );
    assert!(ran.stderr.contains("notice: past: "), "{}", ran.stderr);
    let ran = decided("oil", "", &week, &[&record[..], &["--past", two]].concat());
    assert!(
        ran.stderr
            .contains("--past: expected the hours of one station, found 2 stations"),
        "{}",
        ran.stderr
    );
    assert_eq!(decided("oil", "", &week, &["--past", past]).code, Some(2));
}

/// Daily Summaries do not say their units: `decide` takes them for its record.
#[test]
fn a_record_of_daily_summaries_wants_its_units() {
    let folder = tempfile::tempdir().unwrap();
    let mut record = String::from("STATION,DATE,TMAX,TMIN\n");
    for (date, (tmin, tmax)) in invented(1990..2012, 1.0) {
        writeln!(record, "S1,{date},{tmax:.1},{tmin:.1}").unwrap();
    }
    for (name, text) in [
        ("site.toml", SITE.to_owned()),
        ("week.csv", Week::default().csv()),
        ("s.csv", record),
    ] {
        fs::write(folder.path().join(name), text).unwrap();
    }
    let fixed = [
        "decide",
        "oil",
        "week.csv",
        "--site",
        "site.toml",
        "--at",
        "2027-03-10T09:00-06:00",
        "--record",
        "s.csv",
    ];
    let message = "s.csv:1:19: expected the units (us, metric or tenths) beside Daily Summaries, whose file does not say \
                   them, found none; give --record-units";
    assert_refused(&binary::run(folder.path(), &fixed), message);
    let told = binary::run(
        folder.path(),
        &[&fixed[..], &["--record-units", "metric"]].concat(),
    );
    assert!(
        told.stdout
            .contains("\nSeason   Oil interval of hybrid tea"),
        "{}",
        told.stdout
    );
}
