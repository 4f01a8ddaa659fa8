//! Reasons in words and numbers: what was too short, how often a rule hindered, what the file lacks, how old it is.
//!
//! Source: the contract, section 5 (every no has a reason, with its hours); the NWS hourly file is the open copy in `data`. Other
//! hours are invented, and what is expected is counted by hand.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use fairspell::decision::{Decision, Reason, Units, Verdict};
use fairspell::read::{Source, read_hourly};
use fairspell_tests::decided::{decided, within as decided_within};

/// 10 March 2027, 00:00 UTC.
const START: i64 = 1_804_636_800;
const HOUR_S: i64 = 3600;

const WARM: &str = "measure = \"temperature\"\nat-least = \"40 °F\"";

fn rules(needed: u32, rules: &[(&str, &str)]) -> String {
    let mut text =
        format!("operation = \"work\"\nhours-needed = {needed}\nstale-after = \"12 h\"\n");
    for (name, rule) in rules {
        writeln!(
            text,
            "[[rule]]\nname = \"{name}\"\n{rule}\nsource = \"Common practice\""
        )
        .unwrap();
    }
    text
}

fn block(rule: &str) -> String {
    format!("{rule}\nseverity = \"block\"")
}

/// Hours from midnight on with a temperature each.
fn csv(temperatures: &[&str]) -> String {
    let mut csv = String::from("time,temperature_f\n");
    for (hour, temperature) in temperatures.iter().enumerate() {
        let (day, hour) = (10 + hour / 24, hour % 24);
        writeln!(csv, "2027-03-{day}T{hour:02}:00Z,{temperature}").unwrap();
    }
    csv
}

fn texts(decision: &Decision) -> Vec<String> {
    let reasons = decision.reasons.iter();
    reasons
        .map(|reason| decision.reason_text(reason, Units::AsWritten))
        .collect()
}

/// An answer with a window of its own.
fn within(csv: &[u8], rules: &str, window: (i64, i64)) -> Decision {
    decided_within(csv, rules.as_bytes(), window, None).unwrap()
}

#[test]
fn a_run_too_short_says_how_long_it_is() {
    let of = |needed, temperatures: &[&str]| {
        let rules = rules(needed, &[("warm", &block(WARM))]);
        let decision = decided(&csv(temperatures), rules.as_bytes(), START).unwrap();
        assert_eq!(decision.verdict, Verdict::NoGo);
        texts(&decision).remove(0)
    };
    let apart = ["50", "30", "50", "30", "50", "30"];
    assert_eq!(
        of(2, &apart),
        "at most 1 hour in a row fair, 2 hours needed"
    );
    let three = ["30", "50", "50", "50", "30", "50"];
    assert_eq!(
        of(4, &three),
        "at most 3 hours in a row fair, 4 hours needed"
    );
    let as_long = of(6, &three);
    assert_eq!(as_long, "at most 3 hours in a row fair, 6 hours needed");
    // None is fair: nothing was too short.
    assert!(of(2, &["30"; 6]).contains("30 °F"));
    let whole = rules(6, &[("warm", &block(WARM))]);
    let none = decided(&csv(&["30"; 6]), whole.as_bytes(), START).unwrap();
    assert_eq!(none.reasons.len(), 1, "{:?}", none.reasons);
}

/// Of two limits the one that is missed is named, and on which side.
#[test]
fn the_limit_that_is_missed_is_named() {
    let both = block("measure = \"temperature\"\nat-least = \"40 °F\"\nat-most = \"90 °F\"");
    let rules = rules(1, &[("fit", &both)]);
    let of = |temperature| {
        let decision = decided(&csv(&[temperature; 6]), rules.as_bytes(), START).unwrap();
        texts(&decision).remove(0)
    };
    let decision = decided(&csv(&["50"; 6]), rules.as_bytes(), START).unwrap();
    let limits = |units| decision.limit_text(&decision.operation.rules[0], units);
    assert_eq!(limits(Units::AsWritten), "at least 40 °F, at most 90 °F");
    assert_eq!(limits(Units::Us), "at least 40 °F, at most 90 °F");
    assert_eq!(limits(Units::Si), "at least 4.4 °C, at most 32.2 °C");
    let hot = of("95");
    assert!(
        hot.contains("95 °F, limit at most 90 °F, over by 5 °F"),
        "{hot}"
    );
    let cold = of("37");
    assert!(
        cold.contains("37 °F, limit at least 40 °F, short by 3 °F"),
        "{cold}"
    );
}

#[test]
fn a_window_too_short_says_what_is_left_of_it() {
    let rules = rules(2, &[("warm", &block(WARM))]);
    let hours = csv(&["50"; 12]);
    let of = |seconds| within(hours.as_bytes(), &rules, (START, START + seconds));
    let short = of(HOUR_S + 1800);
    assert_eq!(short.verdict, Verdict::NoGo);
    assert_eq!(
        texts(&short),
        ["1 whole hour left in the window, 2 hours in a row needed"]
    );
    let none = of(1800);
    assert_eq!(
        texts(&none)[0],
        "0 whole hours left in the window, 2 hours in a row needed"
    );
    assert_eq!(of(2 * HOUR_S).verdict, Verdict::Go);
}

/// How many hours, and the first of them, with its day where that is another.
#[test]
fn a_rule_that_hinders_says_in_how_many_hours() {
    let rules = rules(6, &[("warm", &block(WARM))]);
    let of = |temperatures: &[&str], at| {
        let decision = within(csv(temperatures).as_bytes(), &rules, (at, at + 6 * HOUR_S));
        let hindered = decision.reasons.iter().find_map(|reason| match reason {
            Reason::Hindered { hours, alone, .. } => Some((*hours, *alone)),
            _ => None,
        });
        let text = texts(&decision).pop().unwrap();
        (
            hindered.unwrap(),
            text.split_once("; ").unwrap().1.to_owned(),
        )
    };
    let one = ["50", "50", "30", "50", "50", "50"];
    assert_eq!(of(&one, START), ((1, 1), "the hour 02:00".to_owned()));
    let three = ["50", "30", "30", "50", "30", "50"];
    assert_eq!(
        of(&three, START),
        ((3, 3), "3 hours, the first 01:00".to_owned())
    );
    let mut night = ["50"; 30];
    night[25] = "30";
    let late = START + 22 * HOUR_S;
    assert_eq!(
        of(&night, late),
        ((1, 1), "the hour Thu 11 Mar 01:00".to_owned())
    );
}

/// Two rules in one hour: neither hinders it alone.
#[test]
fn hours_that_two_rules_hinder_are_alone_to_none() {
    let mild = block("measure = \"temperature\"\nat-least = \"45 °F\"");
    let rules = rules(6, &[("warm", &block(WARM)), ("mild", &mild)]);
    let hours = csv(&["50", "30", "42", "42", "50", "50"]);
    let decision = decided(&hours, rules.as_bytes(), START).unwrap();
    let found = decision.reasons.iter().filter_map(|reason| match reason {
        Reason::Hindered {
            hours,
            alone,
            hindrance,
            ..
        } => Some((hindrance.rule, *hours, *alone)),
        _ => None,
    });
    assert_eq!(found.collect::<Vec<_>>(), [(1, 3, 2), (0, 1, 0)]);
}

/// A caution of a spell is told of its own hours only.
#[test]
fn cautions_are_those_of_the_spell() {
    let caution = "measure = \"temperature\"\nat-most = \"60 °F\"\nseverity = \"caution\"";
    let rules = rules(1, &[("warm", &block(WARM)), ("not hot", caution)]);
    let hours = csv(&["70", "50", "50", "70", "50", "50"]);
    let decision = decided(&hours, rules.as_bytes(), START).unwrap();
    let of = |from: i64, to: i64| {
        let (from, to) = (START + from * HOUR_S, START + to * HOUR_S);
        decision.caution_texts(from, to, Units::AsWritten)
    };
    assert!(of(1, 3).is_empty());
    let first = of(0, 1);
    assert!(
        matches!(&first[..], [text] if text.contains("70 °F")),
        "{first:?}"
    );
    assert_eq!(of(0, 3).len(), 1);
    assert_eq!(of(1, 4).len(), 1);
    // Of two cautions of an hour the operation's first comes first.
    let cool = "measure = \"temperature\"\nat-most = \"55 °F\"\nseverity = \"caution\"";
    let two = self::rules(
        1,
        &[("warm", &block(WARM)), ("not hot", caution), ("cool", cool)],
    );
    let decision = decided(&hours, two.as_bytes(), START).unwrap();
    let texts = decision.caution_texts(START, START + HOUR_S, Units::AsWritten);
    let limits = ["at most 60 °F", "at most 55 °F"];
    assert_eq!(texts.len(), 2);
    assert!(
        texts
            .iter()
            .zip(limits)
            .all(|(text, limit)| text.contains(limit)),
        "{texts:?}"
    );
    // Hours that follow one another are one run; a day is named where it is not today.
    let mut hours = ["50"; 30];
    for hour in [0, 3, 4, 5, 25] {
        hours[hour] = "70";
    }
    let decision = within(csv(&hours).as_bytes(), &rules, (START, START + 6 * HOUR_S));
    let texts = decision.caution_texts(START, START + 30 * HOUR_S, Units::AsWritten);
    let [text] = &texts[..] else {
        panic!("{texts:?}")
    };
    let runs = " (00:00–01:00, 03:00–06:00, Thu 11 Mar 01:00–02:00)";
    assert!(text.ends_with(runs), "{text}");
    hours = ["50"; 30];
    (hours[23], hours[24]) = ("70", "70");
    let decision = within(csv(&hours).as_bytes(), &rules, (START, START + 6 * HOUR_S));
    let texts = decision.caution_texts(START, START + 30 * HOUR_S, Units::AsWritten);
    let over_midnight = " (Wed 10 Mar 23:00 – Thu 11 Mar 01:00)";
    assert!(texts[0].ends_with(over_midnight), "{texts:?}");
}

/// What a file lacks is named; of the NWS hourly file where it can be had.
#[test]
fn a_missing_measure_is_named() {
    let lacks = |bytes: &[u8], at: i64, rule: &str| {
        let rules = rules(1, &[("limit", &block(rule))]);
        let decision = within(bytes, &rules, (at, at + 6 * HOUR_S));
        assert_eq!(decision.verdict, Verdict::CannotTell);
        let gap = decision
            .reasons
            .iter()
            .find(|reason| matches!(reason, Reason::Unknown { .. }));
        decision.reason_text(gap.unwrap(), Units::AsWritten)
    };
    let (rain, snow) = (
        "measure = \"rain\"\nat-most = \"0 mm\"",
        "measure = \"snow\"\nat-most = \"0 mm\"",
    );
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../data/open/nws");
    let hourly = fs::read(folder.join("gridpoints_forecast_hourly_us.json")).unwrap();
    let name = "hourly";
    let bytes = &hourly[..];
    let start = read_hourly(Source { name, bytes }, None).unwrap().members[0].start();
    let elsewhere =
        "the hourly forecast has no amount of rain; the gridpoint file of the same place has";
    let nws = lacks(&hourly, start, rain);
    assert!(nws.contains(elsewhere), "{nws}");
    let nws = lacks(&hourly, start, snow);
    assert!(nws.contains("the file has no snow"), "{nws}");
    let own = lacks(csv(&["50"; 6]).as_bytes(), START, rain);
    assert!(own.contains("the file has no rain"), "{own}");
}

/// Issued 13 h before, 12 h allowed; with the year where that is another.
#[test]
fn a_stale_forecast_says_its_age_and_day() {
    let rules = rules(1, &[("warm", &block(WARM))]);
    let of = |at: i64, issued: &str| {
        let mut csv = String::from("time,temperature_f,issued\n");
        for hour in 0..2 {
            let time = chrono::DateTime::from_timestamp(at + hour * HOUR_S, 0).unwrap();
            writeln!(csv, "{},50,{issued}", time.to_rfc3339()).unwrap();
        }
        texts(&within(csv.as_bytes(), &rules, (at, at + 2 * HOUR_S))).remove(0)
    };
    assert_eq!(
        of(START, "2027-03-09T11:00Z"),
        "the forecast was issued Tue 9 Mar 11:00, 13 h before, limit 12 h"
    );
    let new_year = 1_798_761_600; // 1 January 2027, 00:00 UTC
    assert_eq!(
        of(new_year, "2026-12-31T11:00Z"),
        "the forecast was issued Thu 31 Dec 2026 11:00, 13 h before, limit 12 h"
    );
}

/// A title begins small behind the verdict, unless its first word is all capitals or a letter.
#[test]
fn a_title_stands_behind_the_verdict() {
    for (title, shown) in [
        ("Prune the hedge", "prune the hedge"),
        ("IPM day", "IPM day"),
        ("spray", "spray"),
    ] {
        let rules = rules(1, &[("warm", &block(WARM))]);
        let rules = rules.replacen(
            "hours-needed",
            &format!("title = \"{title}\"\nhours-needed"),
            1,
        );
        let decision = decided(&csv(&["50"; 6]), rules.as_bytes(), START).unwrap();
        let headline = decision.headline();
        assert!(
            headline.starts_with(&format!("GO  {shown}, ")),
            "{headline}"
        );
    }
}
