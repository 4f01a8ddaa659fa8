//! A station's answer as a whole: the record's own facts, what must be said with it, and the freezes.

use chrono::{NaiveDate, TimeDelta};

use super::{AtThreshold, Check, Settings, freezes_and_check};
use crate::read::daily::{DailyReading, LeftOut};
use crate::series::DailySeries;

/// Everything that is said of one station.
#[derive(Debug, Clone, PartialEq)]
pub struct StationFreezes {
    /// Its name in the file; empty where the file has none.
    pub station: String,
    /// First day of the record.
    pub first: NaiveDate,
    /// Last day.
    pub last: NaiveDate,
    /// Days from the first to the last.
    pub days: usize,
    /// Of these, days without a minimum.
    pub missing: usize,
    /// Minima left out: flagged, impossible, second of a day, or suspect.
    pub rejected_values: u64,
    /// Whether converted whole °F were brought back.
    pub is_whole_fahrenheit: bool,
    /// How the method for the present climate did at this station.
    pub check: Check,
    /// What must be said with the numbers, in plain words.
    pub notices: Vec<String>,
    /// Freezes, a threshold after the other.
    pub thresholds: Vec<AtThreshold>,
}

impl StationFreezes {
    /// Works out a station's answer.
    #[must_use]
    pub fn new(reading: &DailyReading, settings: &Settings) -> Self {
        let series = &reading.series;
        let (thresholds, check) = freezes_and_check(series, settings);
        let suspects = suspects(&thresholds);
        let left = reading.left_out;
        let length = TimeDelta::days(i64::try_from(series.days()).unwrap_or(1) - 1);
        Self {
            station: series.station().to_owned(),
            first: series.first(),
            last: series.first() + length,
            days: series.days(),
            missing: series.tmin().iter().filter(|value| value.is_nan()).count(),
            rejected_values: left.flagged + left.impossible + left.doubled + suspects,
            is_whole_fahrenheit: series.is_whole_fahrenheit(),
            notices: notices(series, left, suspects, &thresholds),
            check,
            thresholds,
        }
    }
}

/// Suspect minima that would have decided a date, each day counted once.
fn suspects(thresholds: &[AtThreshold]) -> u64 {
    let halves = thresholds.iter().flat_map(|at| [&at.spring, &at.autumn]);
    let most = halves.map(|half| {
        half.years
            .iter()
            .map(|year| u64::from(year.suspects))
            .sum::<u64>()
    });
    most.max().unwrap_or(0)
}

fn notices(
    series: &DailySeries,
    left: LeftOut,
    suspects: u64,
    thresholds: &[AtThreshold],
) -> Vec<String> {
    let mut notices = Vec::new();
    let counted = [
        (left.flagged, "that the archive's own check rejects"),
        (left.impossible, "outside -90 to 60 °C"),
        (left.doubled, "for a day that already had one"),
        (
            suspects,
            "far from the station's own record for the day (kept with --keep-suspect)",
        ),
    ];
    for (count, what) in counted.into_iter().filter(|(count, _)| *count > 0) {
        notices.push(format!("left out {count} minimum value(s) {what}"));
    }
    if series.is_whole_fahrenheit() {
        notices.push("minima are brought back to the whole °F in which they were read".to_owned());
    }
    let valid = thresholds
        .iter()
        .flat_map(|at| [&at.spring, &at.autumn])
        .map(|half| half.valid_years);
    notices.extend(valid.max().and_then(of_length).map(str::to_owned));
    notices
}

/// What must be said of a record of so many valid years.
fn of_length(valid_years: usize) -> Option<&'static str> {
    match valid_years {
        0..=2 => Some("too few years to say anything of risk: only the dates themselves are given"),
        3..=8 => {
            Some("3 to 8 valid years: a median and the range, no 10 % and 90 % dates, no trend")
        }
        9 => Some(
            "9 valid years: the 10 % and 90 % dates are the earliest and latest on record, no trend",
        ),
        10..=19 => Some(
            "10 to 19 valid years: intervals are too narrow, all of it provisional, no word on a trend",
        ),
        20..=29 => Some("20 to 29 valid years: short of the 30 years of a climate normal"),
        _ => None,
    }
}
