//! The late winters of a record: sums of degree days from the first day of each, and the last freeze.

use chrono::{Datelike as _, Days, NaiveDate, TimeDelta};

use crate::freeze::{Window, YearDate};
use crate::plant::{DegreeDaySums, DegreeDays};
use crate::series::DailySeries;

/// One late winter and spring, day by day from the first day of the half; days are counted from 0, 29 February too.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Winter {
    /// The year that names it.
    pub(super) year: i32,
    /// Its first day.
    pub(super) first: NaiveDate,
    /// Degree days of the days before each day; NaN from the first day on that is unknown.
    sums: Vec<f64>,
    /// Whether the record has the whole half.
    is_whole: bool,
}

/// When a sum is reached in one winter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Reach {
    /// By the end of this day.
    On(usize),
    /// Not within the half.
    Never,
    /// A day that is needed is missing.
    Unknown,
}

impl Winter {
    /// The day by whose end the sum from the day `from` on reaches `target`.
    pub(super) fn reached(&self, from: usize, target: f64) -> Reach {
        let Some(before) = self.sums.get(from).filter(|sum| !sum.is_nan()) else {
            return Reach::Unknown;
        };
        let after = self.sums.get(from + 1..).unwrap_or_default();
        let days = after.partition_point(|sum| *sum - before < target); // NaN is not below: it ends the search
        match after.get(days) {
            Some(sum) if sum.is_nan() => Reach::Unknown,
            Some(_) => Reach::On(from + days),
            None if self.is_whole => Reach::Never,
            None => Reach::Unknown,
        }
    }

    /// The latest day from which the sum reaches `target` before the day `until` begins; `None` if no day does.
    pub(super) fn latest_start(&self, until: usize, target: f64) -> Option<usize> {
        let end = *self.sums.get(until).filter(|sum| !sum.is_nan())?;
        let before = self.sums.get(..until)?;
        before
            .partition_point(|sum| end - sum >= target)
            .checked_sub(1)
    }

    /// Degree days before a day; `None` if one of them is unknown.
    pub(super) fn sum_before(&self, day: usize) -> Option<f64> {
        self.sums.get(day).copied().filter(|sum| !sum.is_nan())
    }

    /// The day of a date; before the first it is 0.
    pub(super) fn day_of(&self, date: NaiveDate) -> usize {
        usize::try_from(date.signed_duration_since(self.first).num_days()).unwrap_or(0)
    }

    /// This winter with the beginning of another in the place of its own, up to the day before `until` of the other:
    /// what the other would be if it went on with this one's weather. `None` if either is unknown by then.
    pub(super) fn beginning_as(&self, other: &Self, until: NaiveDate) -> Option<Self> {
        let turn = self.day_of(same_day(until, other.first, self.first)?);
        let so_far = other.sum_before(other.day_of(until))?;
        let own = self.sum_before(turn)?;
        let sum = |(day, sum): (usize, &f64)| {
            if day >= turn {
                return Some(so_far + (sum - own));
            }
            let date = self.first.checked_add_days(Days::new(day as u64))?;
            other.sum_before(other.day_of(same_day(date, self.first, other.first)?))
        };
        let sums: Option<Vec<f64>> = self.sums.iter().enumerate().map(sum).collect();
        Some(Self {
            year: self.year,
            first: self.first,
            sums: sums?,
            is_whole: self.is_whole,
        })
    }
}

/// The date of the same month and day in a half that begins on `to`, of a date in one that begins on `from`; 29 February
/// is 1 March where there is none.
pub(super) fn same_day(date: NaiveDate, from: NaiveDate, to: NaiveDate) -> Option<NaiveDate> {
    let year = to.year() + (date.year() - from.year());
    let same = NaiveDate::from_ymd_opt(year, date.month(), date.day());
    same.or_else(|| NaiveDate::from_ymd_opt(year, 3, 1))
}

/// The winters of a record, each with its sums; `None` if the record has no maxima.
pub(super) fn winters(
    record: &DailySeries,
    window: Window,
    degree_days: DegreeDays,
) -> Option<Vec<Winter>> {
    let sums = DegreeDaySums::of(record, degree_days)?;
    let days = i64::try_from(record.days()).unwrap_or(i64::MAX);
    let last = record.first() + TimeDelta::days(days - 1);
    let of = |year| {
        let (first, end) = window.dates(year)?;
        let length = usize::try_from(end.signed_duration_since(first).num_days() + 1).ok()?;
        let start = usize::try_from(record.day_of(first)).ok()?; // a winter whose beginning is not there is no use
        let until = |day: usize| sums.between(start, start + day).unwrap_or(f64::NAN);
        let all: Vec<f64> = (0..=length).map(until).collect();
        let is_whole = start + length <= record.days();
        (start < record.days()).then_some(Winter {
            year,
            first,
            sums: all,
            is_whole,
        })
    };
    Some(
        (record.first().year() - 1..=last.year())
            .filter_map(of)
            .collect(),
    )
}

/// Days of the record that were filled by their neighbours' mean in its winters.
pub(super) fn filled(record: &DailySeries, window: Window, degree_days: DegreeDays) -> u32 {
    let Some(sums) = DegreeDaySums::of(record, degree_days) else {
        return 0;
    };
    let days = i64::try_from(record.days()).unwrap_or(i64::MAX);
    let last = record.first() + TimeDelta::days(days - 1);
    let of = |year| {
        let (first, end) = window.dates(year)?;
        let place = |date| usize::try_from(record.day_of(date).clamp(0, days)).ok();
        Some(sums.filled_between(place(first)?, place(end)?))
    };
    (record.first().year() - 1..=last.year())
        .filter_map(of)
        .sum()
}

/// The years of the winters that count, each with the day of its winter on which its last freeze was.
pub(super) fn counted<'w>(
    winters: &'w [Winter],
    years: &[YearDate],
) -> Vec<(&'w Winter, Option<usize>)> {
    let of = |winter: &'w Winter| {
        let valid = years.iter().filter(|year| year.is_valid);
        let year = valid.into_iter().find(|year| year.year == winter.year)?;
        Some((winter, year.date.map(|date| winter.day_of(date))))
    };
    winters.iter().filter_map(of).collect()
}
