//! Which hours a rule looks at from an hour on.
//!
//! Source: the contract, section 5, spans: the hour alone; n hours after, before; each of n local days, today's first. An end that
//! the file cuts lies outside the series. Worked out by hand.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::fmt::Write as _;

use fairspell::operation::Operation;
use fairspell::read::{Source, read_hourly};
use fairspell::spell::{Judged, Sky};

/// First hour and the one after the last, from some hours of a file that begins at an hour of 10 March 2027, UTC.
fn reach(over: &str, (first, hours): (u32, u32), from: &[usize]) -> Vec<(i64, i64)> {
    let mut csv = String::from("time,temperature_f\n");
    for hour in first..first + hours {
        let (day, hour) = (10 + hour / 24, hour % 24);
        writeln!(csv, "2027-03-{day}T{hour:02}:00Z,50").unwrap();
    }
    let (name, bytes) = ("hours.csv", csv.as_bytes());
    let forecast = read_hourly(Source { name, bytes }, None).unwrap();
    let rules = format!(
        "operation = \"work\"\nhours-needed = 1\n[[rule]]\nname = \"warm\"\nmeasure = \"temperature\"\n{over}at-least = \"40 °F\"\n\
         severity = \"block\"\nsource = \"Common practice\"\n"
    );
    let (name, bytes) = ("work.toml", rules.as_bytes());
    let operation = Operation::read(Source { name, bytes }).unwrap();
    let sky = Sky {
        coordinates: None,
        elevation_m: 0.0,
        dry_before: false,
    };
    let judged = Judged::new(
        &forecast.members[0],
        &operation,
        &sky,
        (chrono_tz::UTC, false),
        0,
    );
    assert_eq!(judged.reach(1, 0), None, "no such rule");
    from.iter()
        .map(|hour| judged.reach(0, *hour).unwrap())
        .collect()
}

#[test]
fn hours_around_an_hour() {
    let file = (0, 10);
    assert_eq!(reach("", file, &[0, 4, 9]), [(0, 1), (4, 5), (9, 10)]);
    let after = "over = \"3 h after\"\ntake = \"min\"\n";
    assert_eq!(reach(after, file, &[0, 4, 9]), [(0, 4), (4, 8), (9, 13)]);
    let before = "over = \"3 h before\"\ntake = \"min\"\n";
    assert_eq!(reach(before, file, &[0, 4, 9]), [(-3, 1), (1, 5), (6, 10)]);
}

/// From 22:00 on, thirty hours: two of the first day, a whole one, four of the last.
#[test]
fn local_days() {
    let cut = (22, 30);
    let one = "over = \"each of 1 days\"\ntake = \"min\"\n";
    assert_eq!(
        reach(one, cut, &[0, 1, 2, 25, 26, 29]),
        [(-1, 2), (-1, 2), (2, 26), (2, 26), (26, 31), (26, 31)]
    );
    let two = "over = \"each of 2 days\"\ntake = \"min\"\n";
    assert_eq!(reach(two, cut, &[0, 2, 26]), [(-1, 26), (2, 31), (26, 31)]);
    let whole = (0, 48);
    assert_eq!(
        reach(one, whole, &[0, 23, 24, 47]),
        [(0, 24), (0, 24), (24, 48), (24, 48)]
    );
    assert_eq!(reach(two, whole, &[0, 24]), [(0, 48), (24, 49)]);
    assert_eq!(
        reach(one, (9, 5), &[0, 4]),
        [(-1, 6), (-1, 6)],
        "both ends of one day"
    );
}
