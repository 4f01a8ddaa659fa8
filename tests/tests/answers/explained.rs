//! What goes into a rule's value in an hour: which hour decides, which inputs, with their units.
//!
//! Source: the contract, section 5 (which hour decides a span, missing is never good) and the fields' own definitions in
//! `decision::Explained`; the hours are invented, and what is expected is worked out by hand.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::fmt::Write as _;

use fairspell::decision::{Decision, ExplainAt, Explained, Units};
use fairspell_tests::decided::within;
use serde_json::Value;

/// 10 March 2027, 00:00 UTC.
const START: i64 = 1_804_636_800;
const HOUR_S: i64 = 3600;

/// Six hours: a header, and of each hour the values.
fn csv(header: &str, values: [&str; 6]) -> String {
    let mut csv = format!("time,{header}\n");
    for (hour, values) in values.iter().enumerate() {
        writeln!(csv, "2027-03-10T{hour:02}:00Z,{values}").unwrap();
    }
    csv
}

/// The answer by one rule on a measure.
fn decision(csv: &str, rule: &str, explain: ExplainAt) -> Decision {
    let rules = format!(
        "operation = \"work\"\nhours-needed = 1\n[[rule]]\nname = \"limit\"\n{rule}\nseverity = \"block\"\nsource = \"Common practice\"\n"
    );
    let window = (START, START + 6 * HOUR_S);
    within(csv.as_bytes(), rules.as_bytes(), window, Some(explain)).unwrap()
}

fn explained(csv: &str, rule: &str, hour: i64) -> Explained {
    let at = ExplainAt::Time(START + hour * HOUR_S);
    decision(csv, rule, at).explained.unwrap()
}

const WARM: &str = "measure = \"temperature\"\nat-least = \"40 °F\"";

#[test]
fn the_hour_asked_for_is_the_one_that_holds_the_time() {
    let csv = csv("temperature_f", ["50"; 6]);
    let of = |seconds: i64| {
        let at = ExplainAt::Time(START + seconds);
        let explained = decision(&csv, WARM, at).explained;
        explained.map(|explained| (explained.time - START) / HOUR_S)
    };
    assert_eq!(of(0), Some(0));
    assert_eq!(of(2 * HOUR_S), Some(2));
    assert_eq!(of(3 * HOUR_S - 1), Some(2));
    assert_eq!(of(5 * HOUR_S), Some(5));
    assert_eq!(of(6 * HOUR_S), None, "past the file");
    assert_eq!(of(-1), None, "before the file");
}

#[test]
fn the_best_hour_is_that_of_the_spell_else_the_first() {
    let best = |values| {
        let csv = csv("temperature_f", values);
        let explained = decision(&csv, WARM, ExplainAt::Best).explained.unwrap();
        (explained.time - START) / HOUR_S
    };
    assert_eq!(best(["30", "30", "30", "50", "50", "60"]), 5);
    assert_eq!(best(["30"; 6]), 0);
}

/// Over a span the hour of the extreme decides; where the outcome is not known, no hour does, and the hour itself is shown.
#[test]
fn the_hour_that_decides_is_shown_where_the_outcome_is_known() {
    let csv = csv("temperature_f", ["50", "49", "45", "50", "47", ""]);
    let rule = format!("{WARM}\nover = \"3 h after\"\ntake = \"min\"");
    let by = |hour| {
        let explained = explained(&csv, &rule, hour);
        let rule = &explained.rules[0];
        ((rule.decided_by - START) / HOUR_S, rule.outcome())
    };
    assert_eq!(by(0), (2, "holds"));
    assert_eq!(by(1), (2, "holds"));
    assert_eq!(by(3), (3, "not-known"), "it reaches past the file");
    // Wind, of which the file has nothing: no hour decides.
    let absent = explained(
        &csv,
        "measure = \"wind\"\nat-most = \"10 mph\"\nover = \"2 h before\"\ntake = \"max\"\noptional = true",
        3,
    );
    let rule = &absent.rules[0];
    assert_eq!(
        (rule.outcome(), rule.decided_by),
        ("unchecked", START + 3 * HOUR_S)
    );
}

/// The hourly forecast of the National Weather Service (its `OpenAPI` schema), of which the wind lies between two numbers in each hour.
fn windy(hours: &[&str]) -> String {
    let period = |(hour, wind): (usize, &&str)| {
        format!(
            "{{\"startTime\": \"2027-03-10T{hour:02}:00:00+00:00\", \"endTime\": \"2027-03-10T{:02}:00:00+00:00\", \
             \"isDaytime\": true, \"temperature\": 50, \"temperatureUnit\": \"F\", \"windSpeed\": \"{wind} mph\"}}",
            hour + 1
        )
    };
    let periods: Vec<String> = hours.iter().enumerate().map(period).collect();
    format!(
        "{{\"type\": \"Feature\", \"properties\": {{\"periods\": [{}]}}}}",
        periods.join(", ")
    )
}

/// Where values lie between bounds, the hour is named whose bound settles it: a span whose least is asked for fails by the hour
/// that cannot have more, one whose greatest is asked for by the hour that cannot have less.
#[test]
fn between_bounds_the_hour_that_settles_it_is_named() {
    let by = |hours: &[&str], rule: &str| {
        let rule = format!("measure = \"wind\"\nover = \"3 h after\"\n{rule}");
        let explained = explained(&windy(hours), &rule, 0);
        let rule = &explained.rules[0];
        ((rule.decided_by - START) / HOUR_S, rule.outcome())
    };
    let least = "take = \"min\"\nat-least = \"6 mph\"";
    let (low, middle) = ("2 to 9", "4 to 8");
    assert_eq!(by(&[low, middle, "3 to 5", low, low], least), (2, "fails"));
    let greatest = "take = \"max\"\nat-most = \"6 mph\"";
    assert_eq!(
        by(&[low, middle, "7 to 8", low, low], greatest),
        (2, "fails")
    );
}

/// Names, bounds and units of what goes in; an amount is that of the hour alone.
#[test]
fn inputs_are_those_of_the_file() {
    let inputs = |header, values, rule| -> Vec<String> {
        let explained = explained(&csv(header, values), rule, 2);
        let inputs = explained.rules[0].inputs.iter();
        let one = |input: &fairspell::decision::Input| {
            let (low, high) = input.value.unwrap();
            assert_eq!(low.to_bits(), high.to_bits());
            format!("{} {low} {}", input.name, input.unit.symbol())
        };
        inputs.map(one).collect()
    };
    let dew = "measure = \"dew-point\"\nat-most = \"60 °F\"";
    assert_eq!(
        inputs("temperature_f,dew_point_f", ["50,41"; 6], dew),
        ["dew-point 41 °F"]
    );
    assert_eq!(
        inputs("temperature_f,humidity_pct", ["50,71"; 6], dew),
        ["temperature 50 °F", "humidity 71 %"]
    );
    let rain = "measure = \"rain\"\nat-most = \"1 in\"";
    let by_hour = ["50,0.2", "50,0.3", "50,0.1", "50,0.4", "50,0.5", "50,0.6"];
    assert_eq!(
        inputs("temperature_f,rain_in", by_hour, rain),
        ["rain 0.1 in"]
    );
    let in_mm = ["50,2", "50,3", "50,1.5", "50,4", "50,5", "50,6"];
    assert_eq!(
        inputs("temperature_f,rain_mm", in_mm, rain),
        ["rain 1.5 mm"]
    );
}

/// JSON has the same: a margin only where the outcome is known, below 0 where the rule fails, and null for what is not known.
#[test]
fn json_says_what_was_explained() {
    let csv = csv("temperature_f", ["50", "30", "", "50", "50", "50"]);
    let of = |hour: i64| {
        let at = ExplainAt::Time(START + hour * HOUR_S);
        let json: Value = serde_json::from_str(&decision(&csv, WARM, at).to_json()).unwrap();
        let rule = &json["explain"]["rules"][0];
        ["outcome", "low", "high", "margin", "unit"].map(|key| rule[key].clone())
    };
    assert_eq!(
        of(0),
        ["holds".into(), 50.into(), 50.into(), 10.into(), "°F".into()].map(plain)
    );
    assert_eq!(
        of(1),
        [
            "fails".into(),
            30.into(),
            30.into(),
            (-10).into(),
            "°F".into()
        ]
        .map(plain)
    );
    let issued = csv
        .replace("temperature_f", "temperature_f,issued")
        .replace('\n', ",2027-03-09T18:00Z\n");
    let issued = issued.replacen(",2027-03-09T18:00Z", "", 1);
    let root: Value =
        serde_json::from_str(&decision(&issued, WARM, ExplainAt::Best).to_json()).unwrap();
    assert_eq!(root["issued"], "2027-03-09T18:00:00+00:00");
    let zero = csv.replacen(",50", ",-0", 1);
    let at = ExplainAt::Time(START);
    let zero: Value = serde_json::from_str(&decision(&zero, WARM, at).to_json()).unwrap();
    let low = zero["explain"]["rules"][0]["low"].as_f64().unwrap();
    assert_eq!(low.to_bits(), 0.0_f64.to_bits(), "no minus before a nought");
    let unknown = [
        "not-known".into(),
        Value::Null,
        Value::Null,
        Value::Null,
        "°F".into(),
    ];
    assert_eq!(of(2), unknown);
}

/// Numbers of the expectation as the floats that the answer has.
fn plain(value: Value) -> Value {
    value.as_i64().map_or(value, |whole| (whole as f64).into())
}

/// A reason in JSON has value, limit and margin with their unit, and the text says the same.
#[test]
fn a_reason_has_its_numbers() {
    let csv = csv("temperature_f", ["35"; 6]);
    let decision = decision(&csv, WARM, ExplainAt::Best);
    let json: Value = serde_json::from_str(&decision.to_json()).unwrap();
    let reason = &json["reasons"][0];
    let numbers = ["value", "limit", "margin"].map(|key| reason[key].as_f64());
    assert_eq!(numbers, [Some(35.0), Some(40.0), Some(-5.0)]);
    assert_eq!(reason["unit"], "°F");
    let text = decision.reason_text(&decision.reasons[0], Units::Si);
    assert!(text.contains("1.7 °C") && text.contains("4.4 °C"), "{text}");
}
