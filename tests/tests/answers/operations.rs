//! The built-in operations and the six examples beside them: well formed, every limit with its source, and each of the
//! examples decided on the invented week with a *go*, a *no-go* for a rule that is named, and a *cannot tell*.
//!
//! Source of what must come out: arithmetic on the invented week with the limits of the files; where those limits come
//! from stands at each test, and beside each rule in the file.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check stops at the first surprise"
)]

use std::fs;

use fairspell::operation::{ALWAYS, Operation, Rule, STANDING_CAUTIONS, Severity, Span, Take};
use fairspell::read::Source;
use fairspell_tests::binary;
use fairspell_tests::week::{HOURS, SITE, Week, hour};
use serde_json::Value;

const EXAMPLES: [&str; 6] = [
    "bare-root",
    "copper",
    "leaf-herbicide",
    "trunk-paint",
    "winter-watering",
    "wood-paint",
];

fn file(name: &str) -> String {
    let folder = binary::workspace().join("data/operations");
    let path = [
        folder.join(format!("{name}.toml")),
        folder.join("examples").join(format!("{name}.toml")),
    ];
    fs::read_to_string(path.iter().find(|path| path.exists()).unwrap()).unwrap()
}

fn operation(name: &str) -> Operation {
    Operation::read(Source {
        name,
        bytes: file(name).as_bytes(),
    })
    .unwrap()
}

fn all() -> Vec<Operation> {
    ["oil", "prune"]
        .iter()
        .chain(&EXAMPLES)
        .map(|name| operation(name))
        .collect()
}

#[test]
fn every_file_is_named_after_its_operation() {
    let mut found = Vec::new();
    for folder in ["data/operations", "data/operations/examples"] {
        for entry in fs::read_dir(binary::workspace().join(folder)).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|end| end == "toml") {
                let name = path.file_stem().unwrap().to_str().unwrap().to_owned();
                assert_eq!(operation(&name).name, name);
                found.push(name);
            }
        }
    }
    found.sort();
    let mut expected = [&["oil", "prune"], &EXAMPLES[..]].concat();
    expected.sort_unstable();
    assert_eq!(found, expected);
}

/// Promise 2: every limit names its published source, or says common practice.
#[test]
fn every_rule_has_a_source_and_a_name_of_its_own() {
    for operation in all() {
        let mut names: Vec<&str> = operation
            .rules
            .iter()
            .map(|rule| rule.name.as_str())
            .collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), operation.rules.len(), "{}", operation.name);
        assert!(
            operation
                .rules
                .iter()
                .any(|rule| rule.severity == Severity::Block),
            "{}",
            operation.name
        );
        for rule in &operation.rules {
            let is_sourced = rule.source.contains("ommon practice")
                || rule.source.contains([':', ',', '(', ';']);
            assert!(
                rule.source.trim().len() >= 10 && is_sourced,
                "{}, {}: {}",
                operation.name,
                rule.name,
                rule.source
            );
        }
    }
}

/// The cautions that go with every answer come first: the product's label is the law.
#[test]
fn the_label_comes_before_all() {
    for operation in all() {
        assert_eq!(
            operation.cautions.get(..ALWAYS),
            STANDING_CAUTIONS.get(..ALWAYS),
            "{}",
            operation.name
        );
        assert_eq!(operation.cautions[0].code, "label");
    }
}

/// Temperature and rain are never optional (promise 1).
#[test]
fn no_rule_on_temperature_or_rain_is_optional() {
    for operation in all() {
        let optional = operation.rules.iter().filter(|rule| rule.optional);
        assert!(
            optional.clone().all(|rule| rule.measure.may_be_optional()),
            "{}",
            operation.name
        );
        assert!(
            operation.name == "wood-paint"
                || operation.name == "winter-watering"
                || optional.count() > 0
        );
    }
}

/// The built-in operations are the files as they stand.
#[test]
fn the_built_in_operations_are_their_files() {
    for (name, rules) in [("oil", 17), ("prune", 11)] {
        assert_eq!(Operation::built_in(name), Some(operation(name)));
        assert_eq!(operation(name).rules.len(), rules);
        assert_eq!(
            (operation(name).hours_needed, operation(name).stale_after_s),
            (2, 12 * 3600)
        );
    }
}

/// A rule as one line, to hold against a source.
fn told(operation: &Operation, name: &str) -> String {
    let rule: &Rule = operation
        .rules
        .iter()
        .find(|rule| rule.name == name)
        .unwrap();
    let limits = [("at least", rule.at_least), ("at most", rule.at_most)];
    let limits = limits
        .iter()
        .filter_map(|(side, limit)| Some(format!("{side} {}", (*limit)?)))
        .collect::<Vec<_>>();
    let over = match (rule.over, rule.take) {
        (Span::ThisHour, Take::Value) => String::new(),
        (over, take) => format!(", {} over {over}", take.name()),
    };
    format!(
        "{} {}{over}: {}",
        rule.measure.name(),
        limits.join(", "),
        rule.severity.name()
    )
}

/// Chicago Botanic Garden, Horticultural oil: at least 40 °F, no frost and no rain in the next 24 h. UC Statewide IPM,
/// Oil burn (2017): not above 90 °F. Colorado State Univ. 5.569 (Univ. of Delaware 2008): humidity over 90 % adds
/// injury, and no wet tissue. Wind of 10 mph, and 3 h for the canes to dry: common practice, no source.
#[test]
fn the_limits_of_oil_are_those_of_their_sources() {
    let oil = operation("oil");
    for (name, limit) in [
        (
            "temperature",
            "temperature at least 40 °F, at most 90 °F: block",
        ),
        (
            "no freeze before it has dried",
            "temperature at least 32 °F, min over 24 h after: block",
        ),
        ("dry canes", "rain at most 0 mm, sum over 3 h before: block"),
        ("dry after", "rain at most 0 mm, sum over 24 h after: block"),
        ("wind", "wind at most 10 mph: block"),
        ("fog or dew", "humidity at most 90 %: block"),
        (
            "margin to freezing",
            "temperature at least 35 °F, min over 24 h after: caution",
        ),
    ] {
        assert_eq!(told(&oil, name), limit);
    }
}

/// Penn State Extension, Tree fruit cold hardiness: loss of hardiness is greatest in the first 48 h after the cut, and
/// a drop to 0 °F injures (10 °F keeps a margin: common practice). 20 °F, 20 mph and 3 h: common practice, no source.
#[test]
fn the_limits_of_pruning_are_those_of_their_sources() {
    let prune = operation("prune");
    for (name, limit) in [
        ("temperature", "temperature at least 20 °F: block"),
        (
            "no hard freeze after",
            "temperature at least 20 °F, min over 48 h after: block",
        ),
        ("dry wood", "rain at most 0 mm, sum over 3 h before: block"),
        ("wind", "wind at most 20 mph: block"),
        (
            "deep cold coming",
            "temperature at least 10 °F, min over 120 h after: caution",
        ),
    ] {
        assert_eq!(told(&prune, name), limit);
    }
}

/// An example decided at 09:00 of a day of the week.
struct Asked {
    example: &'static str,
    at: String,
}

impl Asked {
    fn new(example: &'static str, day: usize) -> Self {
        Self {
            example,
            at: format!("2027-03-{:02}T09:00-06:00", 10 + day),
        }
    }

    fn answer(&self, week: &Week) -> (Option<i32>, Value) {
        let folder = tempfile::tempdir().unwrap();
        let write = |name: &str, content: &str| {
            fs::write(folder.path().join(name), content).unwrap();
        };
        write("site.toml", SITE);
        write("week.csv", &week.csv());
        write("op.toml", &file(self.example));
        let place = ["--site", "site.toml", "--format", "json", "--at", &self.at];
        let ran = binary::run(
            folder.path(),
            &[&["decide", "op.toml", "week.csv"], &place[..]].concat(),
        );
        (ran.code, serde_json::from_str(&ran.stdout).unwrap())
    }

    /// Go, from this hour on, with these cautions raised in its first hour.
    fn goes(&self, week: &Week, from: usize, cautions: &[&str]) {
        let (code, json) = self.answer(week);
        assert_eq!(code, Some(0), "{}: {}", self.example, json["reasons"]);
        let start = &json["spell"]["start"];
        assert_eq!(
            *start,
            fairspell_tests::week::time(from),
            "{}",
            self.example
        );
        let first = json["hours"]
            .as_array()
            .unwrap()
            .iter()
            .find(|hour| hour["time"] == *start)
            .unwrap();
        let found = first["cautions"]
            .as_array()
            .unwrap()
            .iter()
            .filter(|caution| caution["state"] == "raised");
        assert_eq!(
            found
                .filter_map(|caution| caution["rule"].as_str())
                .collect::<Vec<_>>(),
            cautions,
            "{}",
            self.example
        );
    }

    /// No-go, and this rule hinders every hour of the day that is left.
    fn does_not_go(&self, week: &Week, rule: &str) {
        let (code, json) = self.answer(week);
        assert_eq!(code, Some(1), "{}: {}", self.example, json["spell"]);
        let reasons = json["reasons"].as_array().unwrap();
        let reason = reasons
            .iter()
            .find(|reason| reason["kind"] == "hindered" && reason["rule"] == rule);
        assert_eq!(
            reason.unwrap()["hours"],
            15,
            "{}: {}",
            self.example,
            json["reasons"]
        );
    }

    /// Cannot tell, and this rule is what is not known.
    fn cannot_tell(&self, week: &Week, rule: &str) {
        let (code, json) = self.answer(week);
        assert_eq!(code, Some(3), "{}: {}", self.example, json["spell"]);
        let reasons = json["reasons"].as_array().unwrap();
        let rules = reasons
            .iter()
            .filter(|reason| reason["kind"] == "unknown")
            .filter_map(|reason| reason["rule"].as_str());
        assert!(
            rules.clone().any(|found| found == rule),
            "{}: {}",
            self.example,
            rules.collect::<Vec<_>>().join(", ")
        );
    }
}

/// The week with one temperature (°F) throughout.
fn at(temperature: &str) -> Week {
    Week::default().with("temperature_f", 0..HOURS, temperature)
}

/// Frost within 24 h: Cornell Univ. (Acimovic 2019) on copper near frost. 40 °F: common practice, no source.
#[test]
fn copper_is_decided() {
    let asked = Asked::new("copper", 0);
    let night = |value| Week::default().with("temperature_f", hour(1, 8)..hour(1, 9), value);
    asked.goes(&Week::default(), 9, &[]);
    asked.goes(
        &Week::default().with("rain_mm", hour(1, 20)..hour(1, 21), "1"),
        9,
        &["second dry day"],
    );
    asked.does_not_go(&night("31"), "no freeze after");
    asked.cannot_tell(&night(""), "no freeze after");
}

/// 50 °F for latex: USDA Forest Products Laboratory, Wood Handbook, ch. 16. Rain: common practice, no source.
#[test]
fn trunk_paint_is_decided() {
    let asked = Asked::new("trunk-paint", 0);
    let wet = at("55").with("rain_mm", hour(1, 8)..hour(1, 9), "0.3");
    asked.goes(&at("50"), 9, &[]);
    asked.goes(&at("50").with("rain_mm", 3..4, "1"), 9, &["dry bark"]);
    asked.does_not_go(&Week::default(), "warm while it sets");
    asked.does_not_go(&wet, "dry after");
    asked.cannot_tell(&at("55").only(0..hour(1, 6)), "warm while it sets");
}

/// 40 °F: Nebraska Extension, winter watering. 10 mm in a week: common practice, no source.
#[test]
fn winter_watering_is_decided() {
    let asked = Asked::new("winter-watering", 0);
    asked.goes(&Week::default(), 9, &[]);
    asked.goes(
        &Week::default().with("rain_mm", 2..4, "6"),
        9,
        &["dry week"],
    );
    asked.does_not_go(&at("39"), "temperature");
    asked.cannot_tell(
        &Week::default().with("temperature_f", 9..24, ""),
        "temperature",
    );
}

/// Above 32 °F and below 80 °F, best at 35 to 50 °F, wind below 10 mph: USDA Forest Service, seedling guide.
#[test]
fn bare_root_planting_is_decided() {
    let asked = Asked::new("bare-root", 0);
    asked.goes(&Week::default(), 9, &[]);
    asked.goes(
        &at("60").with("wind_mph", 0..HOURS, "11"),
        9,
        &["best temperature", "wind"],
    );
    asked.does_not_go(&at("32"), "no frost on the roots");
    asked.does_not_go(&at("80"), "not hot");
    asked.cannot_tell(
        &Week::default().with("temperature_f", 9..24, ""),
        "no frost on the roots",
    );
}

/// Wind of 3 mph and more: Pesticide Environmental Stewardship; up to 10 mph, and 6 h without rain: common practice,
/// no source.
#[test]
fn leaf_herbicide_is_decided() {
    let asked = Asked::new("leaf-herbicide", 0);
    let wind = |speed| at("65").with("wind_mph", 0..HOURS, speed);
    asked.goes(&wind("3"), 9, &[]);
    asked.goes(&Week::default(), 9, &["growing weather"]);
    asked.does_not_go(&wind("2"), "wind");
    asked.does_not_go(&wind("11"), "wind");
    asked.cannot_tell(&at("65").with("rain_mm", 9..24, ""), "dry after");
}

/// 50 °F for latex: Wood Handbook, ch. 16. Dew: the purpose of ISO 8502-4; 5 °F of depression: common practice, no
/// source. At 55 °F (12.8 °C) humidity 90 % leaves 1.6 °C (2.9 °F), 60 % leaves 7.5 °C (13.5 °F), by hand from the
/// saturation pressures of Alduchov and Eskridge 1996. The 24 h before 09:00 reach past the file on its first day.
#[test]
fn wood_paint_is_decided() {
    let asked = Asked::new("wood-paint", 1);
    let anew = |week: Week| week.with("issued", 0..HOURS, "2027-03-11T06:00-06:00");
    asked.goes(&anew(at("55")), hour(1, 9), &[]);
    asked.does_not_go(
        &anew(at("55").with("humidity_pct", 0..HOURS, "90")),
        "no dew",
    );
    asked.does_not_go(&anew(at("49")), "temperature");
    asked.cannot_tell(&anew(at("55").without("humidity_pct")), "no dew");
    Asked::new("wood-paint", 0).cannot_tell(&at("55"), "dry wood");
}
