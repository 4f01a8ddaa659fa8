//! Each command in each of its formats, asked of small invented files.

use core::fmt::Write as _;
use std::fs;

use tempfile::TempDir;

use crate::daily;
use crate::week::{HOURS, SITE, Week};

/// A question of the command line.
#[derive(Debug, Clone, Copy)]
pub struct Question {
    /// The command, its inputs and options, but for the format.
    pub arguments: &'static [&'static str],
    /// The format.
    pub format: &'static str,
    /// The exit code that the answer has: of a decision its verdict's, else 0.
    pub code: i32,
    /// The files that are read.
    pub inputs: &'static [&'static str],
}

const AT: &str = "2027-03-10T09:00-06:00";

macro_rules! questions {
    ($($code:literal $inputs:tt $arguments:tt: $($format:literal)+;)+) => {
        /// Each command in each format: a *go*, a *no-go* and one that *cannot tell* of decisions.
        pub const QUESTIONS: &[Question] = &[$($(Question {
            arguments: &$arguments,
            format: $format,
            code: $code,
            inputs: &$inputs,
        }),+),+];
    };
}

questions! {
    0 ["week.csv", "site.toml"] ["decide", "oil", "week.csv", "--site", "site.toml", "--at", AT]:
        "text" "json" "line" "ics" "svg" "html";
    1 ["wet.csv", "site.toml"] ["decide", "oil", "wet.csv", "--site", "site.toml", "--at", AT]:
        "text" "json" "line" "ics" "svg" "html";
    3 ["blank.csv", "site.toml"] ["decide", "oil", "blank.csv", "--site", "site.toml", "--at", AT]:
        "text" "json" "line" "ics" "svg" "html";
    0 ["record.csv", "site.toml"] ["freeze", "record.csv", "--site", "site.toml", "--replicates", "0"]:
        "text" "json" "csv" "svg" "html";
    0 ["record.csv", "site.toml"] ["season", "record.csv", "--site", "site.toml", "--year", "1995", "--replicates", "0"]:
        "text" "json" "csv" "ics" "svg" "html";
    0 ["past.csv", "site.toml"] ["hindcast", "oil", "past.csv", "--site", "site.toml"]:
        "text" "json" "csv" "svg" "html";
}

/// The folder in which they are asked.
///
/// # Errors
/// If a file cannot be written.
pub fn folder() -> std::io::Result<TempDir> {
    let folder = tempfile::tempdir()?;
    let put = |name: &str, text: String| fs::write(folder.path().join(name), text);
    let whole = 0..HOURS;
    put("site.toml", SITE.to_owned())?;
    put("week.csv", Week::default().csv())?;
    put(
        "wet.csv",
        Week::default().with("rain_mm", whole.clone(), "1").csv(),
    )?;
    put(
        "blank.csv",
        Week::default().with("temperature_f", whole, "").csv(),
    )?;
    put("record.csv", record())?;
    put("past.csv", past())?;
    Ok(folder)
}

/// Four years of days with both extremes.
fn record() -> String {
    let mut record = String::from("date,tmin_f,tmax_f\n");
    for row in daily::rows(4, 0.0) {
        let low: i32 = row
            .rsplit_once(',')
            .and_then(|(_, low)| low.parse().ok())
            .unwrap_or_default();
        let _ = writeln!(record, "{row},{}", low + 18);
    }
    record
}

/// Forty days of hours, dry but for one in ten days, warm by day.
fn past() -> String {
    let mut past = String::from("time,temperature_f,rain_in,humidity_pct,wind_mph\n");
    let first = chrono::DateTime::from_timestamp(1_804_420_800, 0).unwrap_or_default(); // 2027-03-07T00:00Z
    for hour in 0..40 * 24 {
        let time = (first + chrono::TimeDelta::hours(hour)).format("%Y-%m-%dT%H:%MZ");
        let warm = if (14..24).contains(&(hour % 24)) {
            55
        } else {
            42
        };
        let rain = if hour % 240 == 40 { "0.05" } else { "0" };
        let _ = writeln!(past, "{time},{warm},{rain},50,{}", hour % 7);
    }
    past
}
