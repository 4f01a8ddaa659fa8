//! Invented daily records, as text in plain CSV.

use core::fmt::Write as _;

use chrono::{Datelike as _, NaiveDate, TimeDelta};

/// Rows of whole °F of so many years from the first day of 1991 on: warm in July, cold in January, a little different
/// every day. `warmer` \[°F\] is added to all.
#[must_use]
pub fn rows(years: i32, warmer: f64) -> Vec<String> {
    let start = |year| NaiveDate::from_ymd_opt(year, 1, 1).unwrap_or_default();
    let (first, end) = (start(1991), start(1991 + years));
    let row = |day: i64| {
        let date = first + TimeDelta::days(day);
        let season = f64::from(date.ordinal0()) / 365.25 * core::f64::consts::TAU;
        let scattered = day * 7919 % 23 + day * day % 7;
        let value = 33.0 + warmer - 24.0 * season.cos() + scattered as f64;
        format!("{date},{value:.0}")
    };
    (0..end.signed_duration_since(first).num_days())
        .map(row)
        .collect()
}

/// A record of one station without a name.
#[must_use]
pub fn one_station(years: i32) -> String {
    format!("date,tmin_f\n{}\n", rows(years, 0.0).join("\n"))
}

/// A record of several stations, each a little warmer than the one before.
#[must_use]
pub fn stations(names: &[&str], years: i32) -> String {
    let mut text = String::from("station,date,tmin_f\n");
    for (name, warmer) in names.iter().zip(0_i32..) {
        for row in rows(years, f64::from(warmer % 9)) {
            let _ = writeln!(text, "{name},{row}");
        }
    }
    text
}
