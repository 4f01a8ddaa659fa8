//! A station's answer as a whole: the record's own facts, what must be said with it, and the freezes.

use chrono::{NaiveDate, TimeDelta};

use super::notices::{notices, old};
use super::{AtThreshold, Check, Settings, freezes_and_check};
use crate::read::daily::DailyReading;

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
            notices: notices(series, (left, suspects), settings.hemisphere, &thresholds),
            check,
            thresholds,
        }
    }

    /// Adds a notice where the record ends ten years or more before a date: today, or the one that is asked about.
    ///
    /// Source: the project's handbook of statistics, §11.
    pub fn note_age(&mut self, on: NaiveDate) {
        self.notices.extend(old(self.last, on));
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
