//! The last spring and the first autumn freeze of every year, and which years may be counted.

use chrono::{Datelike as _, NaiveDate, TimeDelta};

use super::season::{HalfName, Window};
use super::suspect::Suspects;
use crate::quantity::{Quantity, Unit};
use crate::series::DailySeries;

/// Most missing days of a half that counts: the contract's rule, stricter than the 11 of a month (WMO-No. 1203).
pub const MAX_MISSING_DAYS: u32 = 10;
/// Minima that are compared with a threshold together.
const TOGETHER: usize = 16;

/// One half of one season.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct YearDate {
    /// The year that names the season.
    pub year: i32,
    /// The last or first freeze; `None`: none was seen.
    pub date: Option<NaiveDate>,
    /// Its day number.
    pub day: Option<u32>,
    /// Missing days of the half.
    pub missing_days: u32,
    /// Whether it counts: at most [`MAX_MISSING_DAYS`].
    pub is_valid: bool,
    /// Minima left out as suspect, where they would have decided.
    pub suspects: u32,
}

/// A threshold in the terms of a record.
#[derive(Debug, Clone, Copy)]
pub(super) struct Threshold {
    limit: f64,
    way: Way,
    /// In the record's unit; no minimum above it meets the threshold, whatever the rounding.
    bound: f64,
}

/// How a minimum meets the threshold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Way {
    /// As it was read: the units are the same.
    AsRead,
    /// Brought back to whole °F.
    WholeFahrenheit,
    /// Both in SI.
    Si(Unit),
}

impl Threshold {
    pub(super) fn new(threshold: Quantity, series: &DailySeries) -> Self {
        let (limit, way) = if series.is_whole_fahrenheit() && threshold.unit == Unit::Fahrenheit {
            (threshold.value, Way::WholeFahrenheit)
        } else if threshold.unit == series.unit() {
            (threshold.value, Way::AsRead)
        } else {
            (threshold.si(), Way::Si(series.unit()))
        };
        let bound = threshold.unit.convert(threshold.value, series.unit()) + 1.0;
        Self { limit, way, bound }
    }

    /// Whether all these minima lie above the threshold, whatever the rounding, or are missing.
    fn is_far_below(self, minima: &[f64; TOGETHER]) -> bool {
        minima.iter().filter(|value| **value <= self.bound).count() == 0
    }

    /// The last of the minima that decides, by index and value. Most of a season are far from a threshold: whole blocks of
    /// such are passed over.
    fn last_of<T>(
        self,
        minima: &[f64],
        decides: &mut impl FnMut(usize, f64) -> Option<T>,
    ) -> Option<T> {
        let mut left = minima;
        loop {
            while let Some((rest, block)) = left.split_last_chunk()
                && self.is_far_below(block)
            {
                left = rest;
            }
            let (rest, block) = left.split_at(left.len().saturating_sub(TOGETHER));
            let mut days = block.iter().enumerate().rev();
            let found = days.find_map(|(index, value)| decides(rest.len() + index, *value));
            if found.is_some() || rest.is_empty() {
                return found;
            }
            left = rest;
        }
    }

    /// The same of the first.
    fn first_of<T>(
        self,
        minima: &[f64],
        decides: &mut impl FnMut(usize, f64) -> Option<T>,
    ) -> Option<T> {
        let mut left = minima;
        loop {
            while let Some((block, rest)) = left.split_first_chunk()
                && self.is_far_below(block)
            {
                left = rest;
            }
            let (block, rest) = left.split_at(left.len().min(TOGETHER));
            let mut days = (minima.len() - left.len()..).zip(block);
            let found = days.find_map(|(index, value)| decides(index, *value));
            if found.is_some() || rest.is_empty() {
                return found;
            }
            left = rest;
        }
    }

    fn is_met(self, series: &DailySeries, day: usize, value: f64) -> bool {
        match self.way {
            Way::AsRead => value <= self.limit,
            Way::WholeFahrenheit => series.tmin_f(day).is_some_and(|value| value <= self.limit),
            Way::Si(unit) => unit.to_si(value) <= self.limit,
        }
    }
}

/// The seasons of one half of a record.
pub(super) struct Years<'a> {
    series: &'a DailySeries,
    window: Window,
    suspects: &'a Suspects<'a>,
    seasons: Vec<Season>,
}

/// One half of one season, and where it lies in the record.
struct Season {
    year: i32,
    /// Days of the series that lie in it, from and to.
    days: (usize, usize),
    missing_days: u32,
}

impl<'a> Years<'a> {
    /// The half of every season of which the record has a day, in this half or the other.
    pub(super) fn new(series: &'a DailySeries, window: Window, suspects: &'a Suspects<'a>) -> Self {
        let mut years = Self {
            series,
            window,
            suspects,
            seasons: Vec::new(),
        };
        let last = series.first() + TimeDelta::days(years.count() - 1);
        let all = series.first().year() - 1..=last.year();
        years.seasons = all.filter_map(|year| years.season(year)).collect();
        years
    }

    pub(super) fn window(&self) -> Window {
        self.window
    }

    /// The dates of all seasons at a threshold.
    pub(super) fn dates(&self, threshold: Quantity) -> Vec<YearDate> {
        let threshold = Threshold::new(threshold, self.series);
        let date = |season| self.date(season, threshold);
        self.seasons.iter().map(date).collect()
    }

    fn count(&self) -> i64 {
        i64::try_from(self.series.days()).unwrap_or(i64::MAX)
    }

    fn season(&self, year: i32) -> Option<Season> {
        let (from, to) = self.window.dates(year)?;
        let (from, to) = (self.series.day_of(from), self.series.day_of(to) + 1);
        if (to <= 0 || from >= self.count()) && !self.has_season(year) {
            return None;
        }
        let inside = |day: i64| usize::try_from(day.clamp(0, self.count())).unwrap_or(0);
        let days = (inside(from), inside(to));
        let values = self.series.tmin().get(days.0..days.1).unwrap_or_default();
        let known = values.iter().filter(|value| !value.is_nan()).count();
        let missing = u32::try_from(to - from).unwrap_or(0) - u32::try_from(known).unwrap_or(0);
        Some(Season {
            year,
            days,
            missing_days: missing,
        })
    }

    fn date(&self, season: &Season, threshold: Threshold) -> YearDate {
        let (start, end) = season.days;
        let values = self.series.tmin().get(start..end).unwrap_or_default();
        let (decides, suspects) = self.deciding(start, values, threshold);
        let missing_days = season.missing_days + suspects;
        let date = decides
            .map(|day| self.series.first() + TimeDelta::days(i64::try_from(day).unwrap_or(0)));
        YearDate {
            year: season.year,
            date,
            day: date.map(|date| self.window.day(date)),
            missing_days,
            is_valid: missing_days <= MAX_MISSING_DAYS,
            suspects,
        }
    }

    /// Whether the record has any day of a season, in either half.
    fn has_season(&self, year: i32) -> bool {
        let of = |half| {
            Window {
                half,
                ..self.window
            }
            .dates(year)
        };
        let (Some((from, _)), Some((_, to))) = (of(HalfName::Spring), of(HalfName::Autumn)) else {
            return false;
        };
        self.series.day_of(to) >= 0 && self.series.day_of(from) < self.count()
    }

    /// The day of the series that decides, and how many suspects were passed over on the way to it.
    fn deciding(&self, start: usize, values: &[f64], threshold: Threshold) -> (Option<usize>, u32) {
        let mut suspects = 0;
        let mut decides = |index: usize, value: f64| {
            if value > threshold.bound {
                return None;
            }
            let day = start + index;
            if !threshold.is_met(self.series, day, value) {
                return None;
            }
            if self.suspects.holds(day, value) {
                suspects += 1;
                return None;
            }
            Some(day)
        };
        let found = match self.window.half {
            HalfName::Spring => threshold.last_of(values, &mut decides),
            HalfName::Autumn => threshold.first_of(values, &mut decides),
        };
        (found, suspects)
    }
}
