//! The last spring and the first autumn freeze of every year, and which years may be counted.

use chrono::{Datelike as _, NaiveDate, TimeDelta};

use super::season::{HalfName, Window};
use crate::quantity::{Quantity, Unit};
use crate::series::DailySeries;

/// Most missing days of a half that counts: the contract's rule, stricter than the 11 of a month (WMO-No. 1203).
pub const MAX_MISSING_DAYS: u32 = 10;
/// Days to either side of a day that tell whether its minimum is suspect.
const AROUND_DAYS: i64 = 7;
/// Fewest minima around a day that can make one suspect.
const LEAST_AROUND: i64 = 300;
/// Robust standard deviations from the median beyond which a minimum is suspect: measured on 16 records, the largest
/// sound value lies at 6.9, the one known error at 48 (after the climatological outlier check of Durre et al. 2010, J.
/// Appl. Meteor. Climatol. 49, 1615, whose own threshold differs).
const SUSPECT_AT: f64 = 10.0;
/// A median absolute deviation times this is a standard deviation of normal values.
const PER_MEDIAN_DEVIATION: f64 = 1.4826;

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
        if series.is_whole_fahrenheit() && threshold.unit == Unit::Fahrenheit {
            Self {
                limit: threshold.value,
                way: Way::WholeFahrenheit,
            }
        } else if threshold.unit == series.unit() {
            Self {
                limit: threshold.value,
                way: Way::AsRead,
            }
        } else {
            Self {
                limit: threshold.si(),
                way: Way::Si(series.unit()),
            }
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

/// The years of one half of a record.
pub(super) struct Years<'a> {
    pub(super) series: &'a DailySeries,
    pub(super) window: Window,
    pub(super) keeps_suspect: bool,
}

impl Years<'_> {
    /// The half of every season of which the record has a day, in this half or the other.
    pub(super) fn dates(&self, threshold: Quantity) -> Vec<YearDate> {
        let threshold = Threshold::new(threshold, self.series);
        let last = self.series.first() + TimeDelta::days(self.count() - 1);
        (self.series.first().year() - 1..=last.year())
            .filter_map(|year| self.date(year, threshold))
            .collect()
    }

    fn count(&self) -> i64 {
        i64::try_from(self.series.days()).unwrap_or(i64::MAX)
    }

    fn date(&self, year: i32, threshold: Threshold) -> Option<YearDate> {
        let (from, to) = self.window.dates(year)?;
        let (from, to) = (self.series.day_of(from), self.series.day_of(to) + 1);
        if to <= 0 || from >= self.count() {
            return self.has_season(year).then(|| YearDate {
                year,
                date: None,
                day: None,
                missing_days: u32::try_from(to - from).unwrap_or(0),
                is_valid: false,
                suspects: 0,
            });
        }
        let inside = |day: i64| usize::try_from(day.clamp(0, self.count())).unwrap_or(0);
        let (start, end) = (inside(from), inside(to));
        let values = self.series.tmin().get(start..end).unwrap_or_default();
        let known = values.iter().filter(|value| !value.is_nan()).count();
        let missing = u32::try_from(to - from).unwrap_or(0) - u32::try_from(known).unwrap_or(0);
        let (decides, suspects) = self.deciding(start, values, threshold);
        let missing_days = missing + suspects;
        let date = decides
            .map(|day| self.series.first() + TimeDelta::days(i64::try_from(day).unwrap_or(0)));
        Some(YearDate {
            year,
            date,
            day: date.map(|date| self.window.day(date)),
            missing_days,
            is_valid: missing_days <= MAX_MISSING_DAYS,
            suspects,
        })
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
        let mut decides = |(index, value): (usize, &f64)| {
            let day = start + index;
            if value.is_nan() || !threshold.is_met(self.series, day, *value) {
                return None;
            }
            if !self.keeps_suspect && self.is_suspect(day, *value) {
                suspects += 1;
                return None;
            }
            Some(day)
        };
        let hours = values.iter().enumerate();
        let found = match self.window.half {
            HalfName::Spring => hours.rev().find_map(&mut decides),
            HalfName::Autumn => hours.into_iter().find_map(&mut decides),
        };
        (found, suspects)
    }

    /// Whether a minimum lies more than ten robust standard deviations from the median of the record's own minima
    /// within a week of its day over all years.
    fn is_suspect(&self, day: usize, value: f64) -> bool {
        let unit = self.series.unit().difference();
        let (near, least) = (unit.of_si(SUSPECT_AT), unit.of_si(1.0));
        // A sound value has at least half of the others no further than ten degrees above it and below it.
        let (mut count, mut below, mut above) = (0, 0, 0);
        let years = self.count() / 365 + 2;
        let most = years * (2 * AROUND_DAYS + 1);
        for days in self.around(day) {
            if 2 * below > most && 2 * above > most {
                return false;
            }
            for other in days {
                count += i64::from(!other.is_nan());
                below += i64::from(*other <= value + near);
                above += i64::from(*other >= value - near);
            }
        }
        if count < LEAST_AROUND || (2 * below > count && 2 * above > count) {
            return false;
        }
        let known = self.around(day).flatten().filter(|other| !other.is_nan());
        let mut all: Vec<f64> = known.copied().collect();
        let middle = median(&mut all);
        let mut apart: Vec<f64> = all.iter().map(|other| (other - middle).abs()).collect();
        let deviation = (PER_MEDIAN_DEVIATION * median(&mut apart)).max(least);
        (value - middle).abs() > SUSPECT_AT * deviation
    }

    /// The days within a week of a day of the series, in each year.
    fn around(&self, day: usize) -> impl Iterator<Item = &[f64]> {
        let date = self.series.first() + TimeDelta::days(i64::try_from(day).unwrap_or(0));
        let last = self.series.first() + TimeDelta::days(self.count() - 1);
        let month_day = if date.month() == 2 {
            date.day().min(28)
        } else {
            date.day()
        };
        let of_year = move |year: i32| {
            let middle = NaiveDate::from_ymd_opt(year, date.month(), month_day)?;
            let middle = self.series.day_of(middle);
            let place = |day: i64| usize::try_from(day.clamp(0, self.count())).ok();
            let (from, to) = (
                place(middle - AROUND_DAYS)?,
                place(middle + AROUND_DAYS + 1)?,
            );
            self.series.tmin().get(from..to)
        };
        (self.series.first().year()..=last.year()).filter_map(of_year)
    }
}

/// The middle value; the mean of the two middle ones of an even number. 0 of none.
fn median(values: &mut [f64]) -> f64 {
    let count = values.len();
    if count == 0 {
        return 0.0;
    }
    let (below, middle, _) = values.select_nth_unstable_by(count / 2, f64::total_cmp);
    let middle = *middle;
    if count % 2 == 1 {
        return middle;
    }
    let lower = below.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    f64::midpoint(lower, middle)
}
