//! Every row of the project's truth tables for oil and prune, put to the program itself.
//!
//! Source of all verdicts, spells and causes below: the project's truth tables for oil and prune (computed by hand
//! from the rules' published limits). Each test is a row: it changes the invented week and says what must come out.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check stops at the first surprise"
)]

use std::fs;
use std::ops::Range;

use fairspell_tests::binary;
use fairspell_tests::week::{HOURS, SITE, Week, hour, time};
use serde_json::Value;

/// The time asked about unless a row says another.
const NINE: &str = "2027-03-10T09:00-06:00";

/// Most that a number may be off by: the values are small whole numbers and tenths, so it is only a matter of binary.
const NEAR: f64 = 1e-9;

/// What the program answered.
struct Answer {
    code: Option<i32>,
    json: Value,
}

fn ask(operation: &str, week: &Week, at: &str, more: &[&str]) -> Answer {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("site.toml"), SITE).unwrap();
    fs::write(folder.path().join("week.csv"), week.csv()).unwrap();
    let fixed = [
        "decide",
        operation,
        "week.csv",
        "--site",
        "site.toml",
        "--format",
        "json",
        "--at",
        at,
    ];
    let ran = binary::run(folder.path(), &[&fixed, more].concat());
    assert_eq!(ran.stderr, "", "nothing to say about a clean file");
    Answer {
        code: ran.code,
        json: serde_json::from_str(&ran.stdout).unwrap(),
    }
}

fn oil(week: &Week) -> Answer {
    ask("oil", week, NINE, &[])
}

fn prune(week: &Week) -> Answer {
    ask("prune", week, NINE, &[])
}

/// Hours of the first day.
fn today(hours: Range<usize>) -> Range<usize> {
    hours
}

/// Hours of a later day.
fn on(day: usize, hours: Range<usize>) -> Range<usize> {
    hour(day, hours.start)..hour(day, hours.end)
}

impl Answer {
    /// Exit 0, *go*, and the first spell is these hours of the first day.
    fn goes(self, hours: Range<usize>) -> Self {
        assert_eq!(
            (self.code, &self.json["verdict"]),
            (Some(0), &Value::from("go")),
            "{}",
            self.json["reasons"]
        );
        let spell = &self.json["spell"];
        assert_eq!(
            (&spell["start"], &spell["end"]),
            (
                &Value::from(time(hours.start)),
                &Value::from(time(hours.end))
            )
        );
        assert_eq!(spell["hours"], hours.len());
        assert_eq!(
            self.json["spells"][0], *spell,
            "it is also the first of all spells"
        );
        self
    }

    /// Exit 1, *no-go*, and no spell.
    fn does_not_go(self) -> Self {
        assert_eq!(
            (self.code, &self.json["verdict"]),
            (Some(1), &Value::from("no-go")),
            "{}",
            self.json["spell"]
        );
        assert_eq!(self.json["spell"], Value::Null);
        self
    }

    /// Exit 3, *cannot tell*, no spell, and the reasons name these rules as not known.
    fn cannot_tell(self, rules: &[&str]) -> Self {
        assert_eq!(
            (self.code, &self.json["verdict"]),
            (Some(3), &Value::from("cannot-tell"))
        );
        assert_eq!(self.json["spell"], Value::Null);
        assert_eq!(self.reasons("unknown"), rules);
        self
    }

    /// Rules of the reasons of a kind.
    fn reasons(&self, kind: &str) -> Vec<&str> {
        let reasons = self.json["reasons"].as_array().unwrap().iter();
        reasons
            .filter(|reason| reason["kind"] == kind)
            .filter_map(|reason| reason["rule"].as_str())
            .collect()
    }

    fn hours(&self) -> impl Iterator<Item = &Value> {
        self.json["hours"].as_array().unwrap().iter()
    }

    /// In these hours the rule is a hindrance with this value and limit, and in no other hour of the first day from
    /// 09:00 until dark.
    fn hinders(self, rule: &str, hours: Range<usize>, (value, limit): (f64, f64)) -> Self {
        for hour in today(9..17).map(time) {
            let of_hour = self.hours().find(|own| own["time"] == *hour).unwrap();
            let found = of_hour["hindrances"]
                .as_array()
                .unwrap()
                .iter()
                .find(|found| found["rule"] == rule);
            let is_expected = hours.clone().map(time).any(|own| own == hour);
            assert_eq!(found.is_some(), is_expected, "{rule} at {hour}: {of_hour}");
            let Some(found) = found else { continue };
            assert_eq!(of_hour["state"], "hindered");
            let number = |key: &str| found[key].as_f64().unwrap();
            assert!(
                (number("value") - value).abs() < NEAR,
                "{rule} at {hour}: {found}"
            );
            assert!(
                (number("limit") - limit).abs() < NEAR,
                "{rule} at {hour}: {found}"
            );
            assert!(
                (number("margin") + (value - limit).abs()).abs() < NEAR,
                "below 0 by how much it fails: {found}"
            );
        }
        self
    }

    /// Over the spell's hours these cautions are raised, each in these hours, and no other.
    fn raises(self, cautions: &[(&str, Range<usize>)]) -> Self {
        assert_eq!(self.cautions("raised"), expected(cautions));
        self
    }

    /// Over the spell's hours these cautions are not known, each in these hours, and no other.
    fn does_not_know(self, cautions: &[(&str, Range<usize>)]) -> Self {
        assert_eq!(self.cautions("not-known"), expected(cautions));
        self
    }

    /// Cautions of a state over the spell's hours, as rule and time, in the order of rules.
    fn cautions(&self, state: &str) -> Vec<(String, String)> {
        let (start, end) = (&self.json["spell"]["start"], &self.json["spell"]["end"]);
        let from_start = self.hours().skip_while(|hour| hour["time"] != *start);
        let mut found = Vec::new();
        for hour in from_start.take_while(|hour| hour["time"] != *end) {
            let cautions = hour["cautions"]
                .as_array()
                .unwrap()
                .iter()
                .filter(|caution| caution["state"] == state);
            found.extend(cautions.map(|caution| (string(&caution["rule"]), string(&hour["time"]))));
        }
        found.sort();
        found
    }

    /// The value that a caution found at an hour of the first day.
    fn value(&self, rule: &str, hour: usize) -> f64 {
        let of_hour = self.hours().find(|own| own["time"] == *time(hour)).unwrap();
        let found = of_hour["cautions"]
            .as_array()
            .unwrap()
            .iter()
            .find(|found| found["rule"] == rule);
        found.unwrap()["value"].as_f64().unwrap()
    }

    fn state(&self, hour: usize) -> &str {
        let of_hour = self.hours().find(|own| own["time"] == *time(hour)).unwrap();
        of_hour["state"].as_str().unwrap()
    }

    fn unchecked(&self) -> Vec<&str> {
        self.json["unchecked"]
            .as_array()
            .unwrap()
            .iter()
            .filter_map(Value::as_str)
            .collect()
    }
}

fn expected(cautions: &[(&str, Range<usize>)]) -> Vec<(String, String)> {
    let all = cautions
        .iter()
        .flat_map(|(rule, hours)| hours.clone().map(|hour| ((*rule).to_owned(), time(hour))));
    let mut all: Vec<_> = all.collect();
    all.sort();
    all
}

fn string(value: &Value) -> String {
    value.as_str().unwrap().to_owned()
}

/// Cautions that the base does not know in every row that begins at 00:00: 12 h before reaches past the file.
const RECENT_RAIN: (&str, Range<usize>) = ("recent rain", 9..12);

/// Oil, row 1: a night of 36 °F is allowed, and no caution speaks of frost.
#[test]
fn oil_1_the_base_goes() {
    let answer = oil(&Week::default())
        .goes(9..17)
        .raises(&[])
        .does_not_know(&[RECENT_RAIN]);
    assert_eq!(answer.unchecked(), ["gusts", "chance of rain"]);
}

/// Oil, row 2: 34 °F in the night is inside the limit and below the margin of 35 °F.
#[test]
fn oil_2_a_night_of_34_raises_the_margin_to_freezing() {
    let week = Week::default().with("temperature_f", on(1, 0..9), "34");
    let answer = oil(&week)
        .goes(9..17)
        .raises(&[("margin to freezing", 9..17)])
        .does_not_know(&[RECENT_RAIN]);
    assert!((answer.value("margin to freezing", 9) - 34.0).abs() < NEAR);
}

/// Oil, row 3: 31 °F lies in the 24 h after every hour from 09:00 to 16:00.
#[test]
fn oil_3_one_hour_of_31_within_a_day_forbids_it() {
    let week = Week::default().with("temperature_f", on(1, 5..6), "31");
    let answer =
        oil(&week)
            .does_not_go()
            .hinders("no freeze before it has dried", 9..17, (31.0, 32.0));
    assert!(
        answer
            .reasons("hindered")
            .contains(&"no freeze before it has dried")
    );
}

/// Oil, row 4: limits are inclusive.
#[test]
fn oil_4_exactly_32_is_allowed() {
    let week = Week::default().with("temperature_f", on(1, 5..6), "32");
    let answer = oil(&week)
        .goes(9..17)
        .raises(&[("margin to freezing", 9..17)])
        .does_not_know(&[RECENT_RAIN]);
    assert!((answer.value("margin to freezing", 16) - 32.0).abs() < NEAR);
}

/// Oil, row 5: a freeze 45 h ahead is a caution alone.
#[test]
fn oil_5_a_freeze_in_the_second_night_is_a_caution() {
    let week = Week::default().with("temperature_f", on(2, 6..7), "31");
    oil(&week)
        .goes(9..17)
        .raises(&[("second night", 9..17)])
        .does_not_know(&[RECENT_RAIN]);
}

/// Oil, row 6: rain at 20:00 lies in the 24 h after every daylight hour.
#[test]
fn oil_6_rain_in_the_evening_forbids_the_day() {
    let week = Week::default().with("rain_mm", today(20..21), "1");
    let answer = oil(&week)
        .does_not_go()
        .hinders("dry after", 9..17, (1.0, 0.0));
    assert!(answer.reasons("hindered").contains(&"dry after"));
}

/// Oil, row 7: 09:00 and its 24 h end with 09:00 of the next day; that one hour is not enough.
#[test]
fn oil_7_one_fair_hour_is_too_short() {
    let week = Week::default().with("rain_mm", on(1, 10..11), "0.3");
    let answer = oil(&week)
        .does_not_go()
        .hinders("dry after", 10..17, (0.3, 0.0));
    assert_eq!(answer.state(9), "fair");
    let short = answer.json["reasons"]
        .as_array()
        .unwrap()
        .iter()
        .find(|reason| reason["kind"] == "too-short");
    assert_eq!(short.unwrap()["hours"], 1);
}

/// Oil, row 8: N hours after are N + 1 values, so 09:00 and 10:00 escape rain at 11:00 of the next day.
#[test]
fn oil_8_two_hours_escape_the_rain() {
    let week = Week::default().with("rain_mm", on(1, 11..12), "0.3");
    let answer = oil(&week)
        .goes(9..11)
        .hinders("dry after", 11..17, (0.3, 0.0))
        .raises(&[]);
    let answer = answer.does_not_know(&[("recent rain", 9..11)]);
    assert_eq!(answer.reasons("ends"), ["dry after"]);
}

/// Oil, row 9: wind blocks four hours.
#[test]
fn oil_9_wind_blocks_the_morning() {
    let week = Week::default().with("wind_mph", today(9..13), "12");
    oil(&week)
        .goes(13..17)
        .hinders("wind", 9..13, (12.0, 10.0))
        .does_not_know(&[]);
}

/// Oil, row 10: a measure that the file does not have at all leaves its rules unchecked.
#[test]
fn oil_10_without_a_wind_column_wind_goes_unchecked() {
    let answer = oil(&Week::default().without("wind_mph"))
        .goes(9..17)
        .raises(&[])
        .does_not_know(&[RECENT_RAIN]);
    assert_eq!(
        answer.unchecked(),
        ["wind", "still air", "gusts", "chance of rain"]
    );
    let notices = answer.json["notices"].as_array().unwrap();
    assert!(
        notices
            .iter()
            .filter_map(Value::as_str)
            .any(|notice| notice.contains("unchecked") && notice.contains("wind"))
    );
}

/// Oil, row 10, the second half.
#[test]
fn oil_10_strict_asks_for_the_wind() {
    let answer = ask(
        "oil",
        &Week::default().without("wind_mph"),
        NINE,
        &["--strict"],
    )
    .cannot_tell(&["wind"]);
    assert_eq!(
        answer.unchecked(),
        ["wind", "still air", "gusts", "chance of rain"]
    );
}

/// Oil, row 11: a column that is there but blank is missing, not unchecked (promise 1: missing is never good).
#[test]
fn oil_11_a_blank_wind_column_cannot_tell() {
    let answer = oil(&Week::default().with("wind_mph", 0..HOURS, "")).cannot_tell(&["wind"]);
    assert_eq!(answer.unchecked(), ["gusts", "chance of rain"]);
}

/// Oil, row 12: the 24 h after are not covered.
#[test]
fn oil_12_a_file_that_ends_too_early_cannot_tell() {
    let answer = oil(&Week::default().only(0..hour(1, 6)));
    answer.cannot_tell(&["no freeze before it has dried", "dry after"]);
}

/// Oil, row 13: known rain settles it, whatever comes after the file's end.
#[test]
fn oil_13_known_rain_settles_a_file_that_ends_too_early() {
    let week = Week::default()
        .only(0..hour(1, 6))
        .with("rain_mm", today(20..21), "1");
    oil(&week)
        .does_not_go()
        .hinders("dry after", 9..17, (1.0, 0.0));
}

/// Oil, row 14: never 40 °F.
#[test]
fn oil_14_a_day_of_38_is_too_cold() {
    let week = Week::default().with("temperature_f", today(9..24), "38");
    let answer = oil(&week)
        .does_not_go()
        .hinders("temperature", 9..17, (38.0, 40.0));
    assert_eq!(answer.reasons("hindered").first(), Some(&"temperature"));
}

/// Oil, row 15: three hours are warm enough, and it cools before it is dry.
#[test]
fn oil_15_a_short_warm_afternoon_goes_with_a_caution() {
    let week = Week::default()
        .with("temperature_f", today(9..14), "38")
        .with("temperature_f", today(14..17), "44");
    let answer = oil(&week.with("temperature_f", today(17..24), "39")).goes(14..17);
    let answer = answer.hinders("temperature", 9..14, (38.0, 40.0));
    answer
        .raises(&[("warm while it dries", 14..17)])
        .does_not_know(&[]);
}

/// Oil, row 16: the upper limit.
#[test]
fn oil_16_a_hot_afternoon_ends_the_spell() {
    let week = Week::default()
        .with("temperature_f", today(9..12), "75")
        .with("temperature_f", today(12..18), "92");
    let answer = oil(&week)
        .goes(9..12)
        .hinders("temperature", 12..17, (92.0, 90.0));
    assert_eq!(answer.reasons("ends"), ["temperature"]);
}

/// Oil, row 17: fog until 11:00.
#[test]
fn oil_17_it_goes_when_the_fog_has_gone() {
    let week = Week::default().with("humidity_pct", today(0..11), "97");
    oil(&week)
        .goes(11..17)
        .hinders("fog or dew", 9..11, (97.0, 90.0))
        .raises(&[]);
}

/// Oil, row 17, the second half.
#[test]
fn oil_17_fog_all_week_forbids_it() {
    let week = Week::default().with("humidity_pct", 0..HOURS, "97");
    let answer = oil(&week)
        .does_not_go()
        .hinders("fog or dew", 9..17, (97.0, 90.0));
    assert_eq!(answer.reasons("hindered").first(), Some(&"fog or dew"));
}

/// Oil, row 18: the hour itself and the three before it must be dry; rain within twelve is a caution.
#[test]
fn oil_18_three_dry_hours_after_rain() {
    let week = Week::default().with("rain_mm", today(8..9), "2");
    let answer = oil(&week)
        .goes(12..17)
        .hinders("dry canes", 9..12, (2.0, 0.0));
    let answer = answer.raises(&[("recent rain", 12..17)]).does_not_know(&[]);
    assert!((answer.value("recent rain", 12) - 2.0).abs() < NEAR);
}

/// Oil, row 19: issued 15 h before, limit 12 h.
#[test]
fn oil_19_a_stale_forecast_cannot_tell() {
    let answer =
        oil(&Week::default().with("issued", 0..HOURS, "2027-03-09T18:00-06:00")).cannot_tell(&[]);
    let reasons = answer.json["reasons"].as_array().unwrap();
    assert_eq!(
        (reasons.len(), &reasons[0]["kind"]),
        (1, &Value::from("stale"))
    );
    assert_eq!(reasons[0]["time"], "2027-03-09T18:00:00-06:00");
    assert!(answer.hours().all(|hour| hour["state"] == "unknown"));
}

/// Oil, row 20: at 15:30 the next full hour, 16:00, is alone before dark.
#[test]
fn oil_20_one_hour_before_dark_is_too_short() {
    let answer = ask("oil", &Week::default(), "2027-03-10T15:30-06:00", &[]).does_not_go();
    assert_eq!((answer.state(16), answer.state(17)), ("fair", "hindered"));
    assert_eq!(
        answer.json["hours"][0]["time"],
        *time(16),
        "the hour in progress does not count"
    );
}

/// Oil, row 20, the second half: at 14:30 two are left.
#[test]
fn oil_20_two_hours_before_dark_go() {
    ask("oil", &Week::default(), "2027-03-10T14:30-06:00", &[]).goes(15..17);
}

/// Oil, row 21: no record of rain for the 3 h before 09:00, 10:00 and 11:00.
#[test]
fn oil_21_the_first_hours_of_a_file_are_unknown() {
    let answer = oil(&Week::default().only(9..HOURS)).goes(12..17);
    assert_eq!(
        [9, 10, 11, 12].map(|hour| answer.state(hour)),
        ["unknown", "unknown", "unknown", "fair"]
    );
}

/// Oil, row 21, the second half.
#[test]
fn oil_21_a_file_that_begins_at_three_cannot_tell() {
    let week = Week::default().only(15..HOURS);
    ask("oil", &week, "2027-03-10T15:00-06:00", &[]).cannot_tell(&["dry canes"]);
}

/// Oil, row 22: one missing hour hides a freeze (promise 1).
#[test]
fn oil_22_one_blank_hour_of_the_night_cannot_tell() {
    let answer = oil(&Week::default().with("temperature_f", on(1, 3..4), ""));
    let answer = answer.cannot_tell(&["no freeze before it has dried"]);
    let text = answer.json["reasons"][0]["text"].as_str().unwrap();
    assert!(
        text.contains("Thu 11 Mar 03:00"),
        "the missing hour is named: {text}"
    );
}

/// Prune, row 1.
#[test]
fn prune_1_the_base_goes() {
    let answer = prune(&Week::default())
        .goes(9..17)
        .raises(&[])
        .does_not_know(&[]);
    assert_eq!(answer.unchecked(), ["gusts"]);
}

/// Prune, row 2: below 20 °F blocks, below freezing warns.
#[test]
fn prune_2_brittle_wood_blocks_and_frozen_wood_warns() {
    let week = Week::default()
        .with("temperature_f", today(0..9), "18")
        .with("temperature_f", today(9..11), "19");
    let answer = prune(&week.with("temperature_f", today(11..18), "30")).goes(11..17);
    answer
        .hinders("temperature", 9..11, (19.0, 20.0))
        .raises(&[("frozen wood", 11..17)]);
}

/// Prune, row 3: a hard freeze within 48 h.
#[test]
fn prune_3_a_hard_freeze_in_the_next_night_forbids_it() {
    let week = Week::default().with("temperature_f", on(1, 5..8), "18");
    prune(&week)
        .does_not_go()
        .hinders("no hard freeze after", 9..17, (18.0, 20.0));
}

/// Prune, row 4: limits are inclusive.
#[test]
fn prune_4_exactly_20_is_allowed() {
    let week = Week::default().with("temperature_f", on(1, 5..8), "20");
    let answer = prune(&week)
        .goes(9..17)
        .raises(&[("freeze in three days", 9..17)]);
    assert!((answer.value("freeze in three days", 9) - 20.0).abs() < NEAR);
}

/// Prune, row 5: 25 °F within 72 h is a caution alone.
#[test]
fn prune_5_a_freeze_on_the_third_day_is_a_caution() {
    let week = Week::default().with("temperature_f", on(2, 21..24), "25");
    prune(&week)
        .goes(9..17)
        .raises(&[("freeze in three days", 9..17)]);
}

/// Prune, row 6: wet through the hour of 10:00, then three hours to dry.
#[test]
fn prune_6_three_dry_hours_after_rain() {
    let week = Week::default().with("rain_mm", today(7..11), "0.4");
    let answer = prune(&week).goes(14..17).raises(&[]);
    for hour in 9..14 {
        assert_eq!(answer.state(hour), "hindered");
    }
    assert!(
        answer.reasons("hindered").is_empty(),
        "a go lists no hindrance, only what ends the spell"
    );
}

/// Prune, row 7: 6 mm in the evening is more than 2.5 mm; plums and cherries wait.
#[test]
fn prune_7_rain_in_the_evening_is_a_caution() {
    let week = Week::default().with("rain_mm", today(20..23), "2");
    let answer = prune(&week).goes(9..17).raises(&[("rain after", 9..17)]);
    assert!((answer.value("rain after", 9) - 6.0).abs() < NEAR);
}

/// Prune, row 8: ladder and falling wood.
#[test]
fn prune_8_a_windy_day_forbids_it() {
    let week = Week::default().with("wind_mph", today(9..24), "24");
    let answer = prune(&week)
        .does_not_go()
        .hinders("wind", 9..17, (24.0, 20.0));
    assert_eq!(answer.reasons("hindered").first(), Some(&"wind"));
}

/// Prune, row 9: 48 h are not covered.
#[test]
fn prune_9_a_file_that_ends_too_early_cannot_tell() {
    prune(&Week::default().only(0..hour(1, 12))).cannot_tell(&["no hard freeze after"]);
}

/// Prune, row 10: 5 °F within 120 h is below the margin of 10 °F, and too far off for the rest.
#[test]
fn prune_10_deep_cold_in_four_days_is_a_caution() {
    let week = Week::default().with("temperature_f", on(4, 5..8), "5");
    let answer = prune(&week)
        .goes(9..17)
        .raises(&[("deep cold coming", 9..17)]);
    assert!((answer.value("deep cold coming", 9) - 5.0).abs() < NEAR);
}
