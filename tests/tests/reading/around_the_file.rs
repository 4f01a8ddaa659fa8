//! What lies around a forecast: hours before it, its place, its time of issue, and the day that is asked about.
//!
//! Source of every check unless it says another: the contract, section 5 (*hours before the file*, *verdict*) and
//! section 6 (site), on the week that the project's truth tables start from.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::fs;

use fairspell::operation::Operation;
use fairspell::quantity::Unit;
use fairspell::read::Source;
use fairspell::series::{Column, Element, HourlySeries};
use fairspell::spell::{Gap, Judged, Sky, State};
use fairspell_tests::binary::{self, Ran};
use fairspell_tests::week::{SITE, Week, time};
use serde_json::{Value, json};
use tempfile::TempDir;

const NINE: &str = "2027-03-10T09:00-06:00";

/// The week from 09:00 of its first day on: row 21 of the truth table for oil.
fn from_nine() -> Week {
    Week::default().only(9..168)
}

fn run(week: &Week, files: &[(&str, &str)], more: &[&str]) -> Ran {
    run_by("oil", week, files, more)
}

fn run_by(operation: &str, week: &Week, files: &[(&str, &str)], more: &[&str]) -> Ran {
    let folder = TempDir::new().unwrap();
    fs::write(folder.path().join("site.toml"), SITE).unwrap();
    fs::write(folder.path().join("week.csv"), week.csv()).unwrap();
    for (name, text) in files {
        fs::write(folder.path().join(name), text).unwrap();
    }
    let is_given = more.contains(&"--site") || more.contains(&"--zone");
    let site: &[&str] = if is_given {
        &[]
    } else {
        &["--site", "site.toml"]
    };
    let at: &[&str] = if more.contains(&"--at") {
        &[]
    } else {
        &["--at", NINE]
    };
    let all = [
        &["decide", operation, "week.csv", "--format", "json"],
        site,
        at,
        more,
    ]
    .concat();
    binary::run(folder.path(), &all)
}

fn answer(ran: &Ran) -> Value {
    serde_json::from_str(&ran.stdout).unwrap_or_else(|_| panic!("{}", ran.stderr))
}

fn spell(ran: &Ran) -> (String, i64) {
    let answer = answer(ran);
    (
        answer["spell"]["start"].as_str().unwrap().to_owned(),
        answer["spell"]["hours"].as_i64().unwrap(),
    )
}

fn notices(ran: &Ran) -> String {
    answer(ran)["notices"].to_string()
}

/// Reports of one station at 53 minutes past each hour from 05:53 to 08:53 local time, in the layout of the service's
/// answers that the open files show; `rain_mm` is each report's amount of its last hour.
fn observations(rain_mm: &[Value]) -> String {
    let report = |(index, rain): (usize, &Value)| {
        json!({
            "type": "Feature",
            "geometry": { "type": "Point", "coordinates": [-90.0, 40.0] },
            "properties": {
                "station": "https://example.org/stations/XXXX",
                "timestamp": format!("2027-03-10T{:02}:53:00+00:00", 11 + index),
                "temperature": { "value": 4.0, "unitCode": "wmoUnit:degC", "qualityControl": "V" },
                "precipitationLastHour": { "value": rain, "unitCode": "wmoUnit:mm", "qualityControl": "V" },
            }
        })
    };
    let features: Vec<Value> = rain_mm.iter().enumerate().map(report).collect();
    json!({ "type": "FeatureCollection", "features": features }).to_string()
}

/// Without the hours before, 09:00 to 12:00 are unknown for want of rain in the 3 h before; with observed dry hours
/// they are fair.
#[test]
fn observed_hours_make_the_first_hours_known() {
    assert_eq!(spell(&run(&from_nine(), &[], &[])), (time(12), 5));
    let past = "time,rain_in,temperature_c\n2027-03-10T05:00-06:00,0,4\n2027-03-10T06:00-06:00,0,4\n\
        2027-03-10T07:00-06:00,0.00,4\n2027-03-10T08:00-06:00,0,4\n";
    let ran = run(
        &from_nine(),
        &[("past.csv", past)],
        &["--observed", "past.csv"],
    );
    assert_eq!(spell(&ran), (time(9), 8));
    let wet = past.replace("07:00-06:00,0.00", "07:00-06:00,0.01");
    let ran = run(
        &from_nine(),
        &[("past.csv", &wet)],
        &["--observed", "past.csv"],
    );
    assert_eq!(spell(&ran), (time(11), 6)); // 07:00 lies in the 3 h before 09:00 and 10:00
}

/// The forecast takes over at its first hour: observed rain from then on is left out.
#[test]
fn the_forecast_takes_over_at_its_first_hour() {
    let past = "time,rain_in\n2027-03-10T06:00-06:00,0\n2027-03-10T07:00-06:00,0\n2027-03-10T08:00-06:00,0\n\
        2027-03-10T09:00-06:00,1\n2027-03-10T10:00-06:00,1\n";
    let ran = run(
        &from_nine(),
        &[("past.csv", past)],
        &["--observed", "past.csv"],
    );
    assert_eq!(spell(&ran), (time(9), 8));
}

/// NWS station observations serve as observed hours; a null amount is missing, never dry.
#[test]
fn station_observations_go_before_the_forecast() {
    let dry = observations(&[json!(0), json!(0), json!(0), json!(0)]);
    let ran = run(
        &from_nine(),
        &[("past.json", &dry)],
        &["--observed", "past.json"],
    );
    assert_eq!(spell(&ran), (time(9), 8), "{}", ran.stderr);
    let blank = observations(&[json!(0), json!(0), json!(0), Value::Null]);
    let ran = run(
        &from_nine(),
        &[("past.json", &blank)],
        &["--observed", "past.json"],
    );
    assert_eq!(spell(&ran), (time(12), 5), "{}", ran.stderr);
}

/// Observed hours must begin at the forecast's minute.
#[test]
fn observed_hours_at_another_minute_are_refused() {
    let past = "time,rain_in\n2027-03-10T06:30-06:00,0\n2027-03-10T07:30-06:00,0\n";
    let ran = run(
        &from_nine(),
        &[("past.csv", past)],
        &["--observed", "past.csv"],
    );
    assert_eq!(
        (ran.code, ran.stderr.as_str()),
        (
            Some(2),
            "fairspell: past.csv: expected observed hours that begin at minute 0 like the other file's, \
             found hours that begin at minute 30\n"
        )
    );
}

/// The user's own word makes hours before the file dry, said in the answer; a blank inside the file stays unknown.
#[test]
fn the_users_word_counts_before_the_file_alone() {
    let ran = run(&from_nine(), &[], &["--dry-now"]);
    assert_eq!(spell(&ran), (time(9), 8));
    assert!(notices(&ran).contains("on the user's word"));
    let blank = from_nine().with("rain_mm", 9..10, "");
    assert_eq!(spell(&run(&blank, &[], &["--dry-now"])), (time(13), 4));
}

/// A forecast of unknown age is said to be so; one issued after the time asked about is said, no error.
#[test]
fn the_age_of_a_forecast_is_said() {
    let ran = run(&Week::default().without("issued"), &[], &[]);
    assert_eq!(ran.code, Some(0));
    assert!(notices(&ran).contains("its age is unknown"));
    let ran = run(&Week::default(), &[], &["--at", "2027-03-10T05:00-06:00"]);
    assert_eq!(ran.code, Some(0));
    assert!(notices(&ran).contains("issued after the time asked about"));
    let ran = run(&Week::default().with("issued", 0..168, ""), &[], &[]);
    assert_eq!(ran.code, Some(3));
}

/// A forecast whose own place lies more than 50 km from the site is said to. One degree of latitude is 111.19 km on a
/// sphere of 6371 km: 0.44° are 48.9 km, 0.46° are 51.1 km.
#[test]
fn a_forecast_for_another_place_is_said_to_be() {
    let london = binary::workspace().join("data/open/locationforecast/london_complete.json");
    let london = fs::read_to_string(london).unwrap();
    for (north, is_far) in [("51.94", false), ("51.96", true)] {
        let site = format!("latitude = {north}\nlongitude = -0.1\nzone = \"Europe/London\"\n");
        let folder = TempDir::new().unwrap();
        fs::write(folder.path().join("site.toml"), site).unwrap();
        fs::write(folder.path().join("london.json"), &london).unwrap();
        let arguments =
            "decide oil london.json --site site.toml --at 2020-07-20T12:00 --format json";
        let arguments: Vec<&str> = arguments.split(' ').collect();
        let ran = binary::run(folder.path(), &arguments);
        assert_eq!(
            notices(&ran).contains("km from the site"),
            is_far,
            "{north}"
        );
    }
}

/// The window ends with the local day on the site's clock, which has 23 hours on 14 March 2027 and 25 on 7 November
/// 2027 (Energy Policy Act of 2005).
#[test]
fn the_day_is_that_of_the_sites_clock() {
    let until = |at: &str| {
        let ran = run(
            &Week::default(),
            &[],
            &["--zone", "America/Chicago", "--at", at],
        );
        answer(&ran)["until"].as_str().unwrap().to_owned()
    };
    assert_eq!(until("2027-03-14T00:30"), "2027-03-15T00:00:00-05:00");
    assert_eq!(until("2027-11-07T00:30"), "2027-11-08T00:00:00-06:00");
    assert_eq!(until("2027-03-10T23:59:59"), "2027-03-11T00:00:00-06:00");
}

/// Why a rule cannot be known: its span begins before the file, or ends after it, or a value in it is missing.
#[test]
fn the_reason_says_why_a_rule_is_not_known() {
    let reasons = |week: &Week, more: &[&str]| {
        let ran = run(week, &[], more);
        assert_eq!(ran.code, Some(3));
        answer(&ran)["reasons"].to_string()
    };
    // Dry canes asks for the 3 h before 09:00, which is the first hour.
    let before = reasons(&from_nine(), &["--within", "2h"]);
    assert!(before.contains("reaches back before the file"), "{before}");
    assert!(!before.contains("past the end"), "{before}");
    // The file ends at 20:00: what follows within 24 h of 09:00 is not in it. The same where the file begins at midnight and that
    // is asked about: the first hour's span begins with the file, and not before.
    for (hours, at) in [(0..20, NINE), (0..20, "2027-03-10T00:00-06:00")] {
        let own = "operation = \"own\"\nhours-needed = 1\n[[rule]]\nname = \"frost\"\nmeasure = \"temperature\"\n\
            over = \"24 h after\"\ntake = \"min\"\nat-least = \"32 °F\"\nseverity = \"block\"\nsource = \"ours\"\n";
        let week = Week::default().only(hours);
        let ran = run_by("own.toml", &week, &[("own.toml", own)], &["--at", at]);
        let past = answer(&ran)["reasons"].to_string();
        assert!(past.contains("reaches past the end of the file"), "{past}");
        assert!(!past.contains("before the file"), "{past}");
    }
    let missing = reasons(
        &Week::default().with("temperature_f", 10..11, ""),
        &["--within", "2h"],
    );
    assert!(
        missing.contains("no temperature for Wed 10 Mar 10:00"),
        "{missing}"
    );
}

/// A value between bounds that hold the limit is no value that is missing, nor one past the end: in the file's last hour too.
#[test]
fn bounds_around_a_limit_are_told_as_bounds() {
    let rules = "operation = \"own\"\nhours-needed = 1\n[[rule]]\nname = \"warm\"\nmeasure = \"temperature\"\nat-least = \"0 °C\"\n\
        severity = \"block\"\nsource = \"ours\"\n";
    let (name, bytes) = ("own.toml", rules.as_bytes());
    let operation = Operation::read(Source { name, bytes }).unwrap();
    let mut series = HourlySeries::new(0, vec![true; 3]).unwrap();
    let column = Column::bounded(vec![5.0, 5.0, -1.0], vec![5.0, 5.0, 1.0], Unit::Celsius);
    series.set_column(Element::Temperature, column).unwrap();
    let sky = Sky {
        coordinates: None,
        elevation_m: 0.0,
        dry_before: false,
    };
    let judged = Judged::new(&series, &operation, &sky, (chrono_tz::UTC, false), 0);
    assert_eq!(judged.states(), [State::Fair, State::Fair, State::Unknown]);
    assert_eq!(judged.gap(0, 2), Gap::Bounds);
}

/// The hour that decides: the coldest of the span, by its own time.
#[test]
fn the_hour_that_decides_is_named() {
    let ran = run(
        &Week::default().with("temperature_f", 26..27, "25"),
        &[],
        &[],
    );
    let answer = answer(&ran);
    assert_eq!(ran.code, Some(1));
    let reasons = answer["reasons"].to_string();
    assert!(
        reasons.contains("25 °F") && reasons.contains("02:00"),
        "{reasons}"
    );
}

/// Without coordinates daylight goes unchecked, and the answer says so; without a zone it is asked for by name.
#[test]
fn what_is_not_known_of_the_place_is_said_or_asked_for() {
    let ran = run(&Week::default(), &[], &["--zone", "Etc/GMT+6"]);
    let answer = answer(&ran);
    assert_eq!(answer["spell"]["hours"], json!(15)); // from 09:00 to midnight, dark or not
    assert!(
        answer["unchecked"]
            .as_array()
            .unwrap()
            .contains(&json!("daylight"))
    );
    assert!(notices(&ran).contains("daylight cannot be checked"));
    let ran = run(
        &Week::default(),
        &[("bare.toml", "name = \"Quince Hollow\"\n")],
        &["--site", "bare.toml"],
    );
    assert_eq!(
        (ran.code, ran.stderr.as_str()),
        (
            Some(2),
            "fairspell: expected the time zone of the place, found none; give --zone with an IANA name such as \
             America/Chicago, or a site file\n"
        )
    );
}

/// A site's own limits take the place of the operation's, with their source; a rule that is not there is an error with
/// its line.
#[test]
fn a_site_changes_limits() {
    let site =
        format!("{SITE}[[limit]]\noperation = \"oil\"\nrule = \"wind\"\nat-most = \"4 mph\"\n");
    let ran = run(
        &Week::default(),
        &[("own.toml", &site)],
        &["--site", "own.toml"],
    );
    assert_eq!(ran.code, Some(1));
    let limits = answer(&ran)["limits"].clone();
    let wind = limits
        .as_array()
        .unwrap()
        .iter()
        .find(|limit| limit["rule"] == "wind")
        .unwrap()
        .clone();
    assert_eq!(
        (wind["at_most"].as_f64(), wind["source"].as_str()),
        (Some(4.0), Some("The user's own limit, own.toml:4:1"))
    );
    let site = site.replace("\"wind\"", "\"breeze\"");
    let ran = run(
        &Week::default(),
        &[("own.toml", &site)],
        &["--site", "own.toml"],
    );
    assert_eq!(
        (ran.code, ran.stderr.as_str()),
        (
            Some(2),
            "fairspell: own.toml:4:1: expected the name of a rule of that operation, found \"breeze\"\n"
        )
    );
}
