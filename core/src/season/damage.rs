//! Damage: in how many years would a plant that was cut on a day have put out shoots before a freeze?
//!
//! Cut on a day, shoots are out by the end of the day on which the degree days since then reach the sum; a freeze at or
//! below the tender shoot's threshold on a later day harms them. So each year has one latest day on which the cut would
//! have been too early, and the damage of a date is the share of years whose latest day is not before it.

use chrono::NaiveDate;

use super::winter::{Winter, counted};
use crate::freeze::{Window, YearDate};
use crate::statistics::wilson;

/// The share of a record's years in which something came true.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// Years in which it did.
    pub hits: usize,
    /// Years that count.
    pub years: usize,
}

impl Share {
    /// Hits a year; `None` without years.
    #[must_use]
    pub fn probability(self) -> Option<f64> {
        (self.years > 0).then(|| self.hits as f64 / self.years as f64)
    }

    /// Its 95 % interval by Wilson, which few years make wide; `None` without years.
    #[must_use]
    pub fn interval(self) -> Option<(f64, f64)> {
        (self.years > 0).then(|| wilson(self.hits, self.years))
    }
}

/// One year of the record: until which day a cut would have been too early.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Exposed {
    pub(super) year: i32,
    first: NaiveDate,
    /// The latest day too early; `None`: no day would have been.
    latest: Option<usize>,
}

impl Exposed {
    fn is_hit(&self, date: NaiveDate) -> bool {
        let day = date.signed_duration_since(self.first).num_days();
        self.latest
            .is_some_and(|latest| i64::try_from(latest).is_ok_and(|latest| day <= latest))
    }
}

/// The years of a record that count for one sum of degree days.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Exposure {
    window: Window,
    pub(super) years: Vec<Exposed>,
    /// Years that are valid but have a gap of two days or more where the sum needs them.
    pub(super) left_out: Vec<i32>,
}

impl Exposure {
    /// The years of `winters` that are valid in `freezes`, at the tender shoot's threshold.
    ///
    /// A year is left out if a day is unknown before the latest last freeze of all years: the same for every year, so
    /// that a gap does not count for a winter without a freeze.
    pub(super) fn of(window: Window, winters: &[Winter], freezes: &[YearDate], sum: f64) -> Self {
        let counted = counted(winters, freezes);
        let needed = counted.iter().filter_map(|(_, last)| *last).max();
        let needed = needed.unwrap_or(0);
        let (mut years, mut left_out) = (Vec::new(), Vec::new());
        for (winter, last) in counted {
            if winter.sum_before(needed).is_none() {
                left_out.push(winter.year);
                continue;
            }
            years.push(Exposed {
                year: winter.year,
                first: winter.first,
                latest: last.and_then(|last| winter.latest_start(last, sum)),
            });
        }
        Self {
            window,
            years,
            left_out,
        }
    }

    /// The damage of a cut on the day number `day` of every year.
    pub(super) fn on_day(&self, day: u32) -> Share {
        self.on_dates(|year| self.window.date(year, day))
    }

    /// The damage of a cut on a date of its own in every year; a year without one does not count.
    pub(super) fn on_dates(&self, date: impl Fn(i32) -> Option<NaiveDate>) -> Share {
        let dated = self
            .years
            .iter()
            .filter_map(|year| Some((year, date(year.year)?)));
        let hits: Vec<bool> = dated.map(|(year, date)| year.is_hit(date)).collect();
        Share {
            hits: hits.iter().filter(|hit| **hit).count(),
            years: hits.len(),
        }
    }
}
