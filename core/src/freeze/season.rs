//! The two halves of a year, and the numbers of their days.
//!
//! In the north spring is 1 January to 31 July and autumn 1 August to 31 December; in the south both are shifted by six
//! months, and a season is named by the year in which its spring begins. Days are numbered in a year without
//! 29 February, which counts as the 28th.

use chrono::{Datelike as _, NaiveDate};

use crate::site::Hemisphere;

/// Days before each month in a year without 29 February.
const BEFORE_MONTH: [u32; 12] = [0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334];

/// Spring, whose last freeze counts, or autumn, whose first does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HalfName {
    /// Last freeze.
    Spring,
    /// First freeze.
    Autumn,
}

impl HalfName {
    /// Its name in answers.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Spring => "spring",
            Self::Autumn => "autumn",
        }
    }
}

/// One half on one hemisphere.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Window {
    /// Which half.
    pub half: HalfName,
    /// Which side of the equator.
    pub hemisphere: Hemisphere,
}

impl Window {
    /// Number of its first day, counted from 1 January of the year in which it begins.
    #[must_use]
    pub fn first_day(self) -> u32 {
        match (self.hemisphere, self.half) {
            (Hemisphere::North, HalfName::Spring) => 1,
            (Hemisphere::North, HalfName::Autumn) => 213,
            (Hemisphere::South, HalfName::Spring) => 182,
            (Hemisphere::South, HalfName::Autumn) => 32,
        }
    }

    /// Days in it, without 29 February.
    #[must_use]
    pub fn days(self) -> u32 {
        match (self.hemisphere, self.half) {
            (Hemisphere::North, HalfName::Spring) => 212,
            (Hemisphere::North, HalfName::Autumn) => 153,
            (Hemisphere::South, HalfName::Spring) => 215,
            (Hemisphere::South, HalfName::Autumn) => 150,
        }
    }

    /// First and last date of the half of the season named by `year`.
    #[must_use]
    pub fn dates(self, year: i32) -> Option<(NaiveDate, NaiveDate)> {
        let date = NaiveDate::from_ymd_opt;
        let (from, to) = match (self.hemisphere, self.half) {
            (Hemisphere::North, HalfName::Spring) => (date(year, 1, 1), date(year, 7, 31)),
            (Hemisphere::North, HalfName::Autumn) => (date(year, 8, 1), date(year, 12, 31)),
            (Hemisphere::South, HalfName::Spring) => (date(year, 7, 1), date(year + 1, 1, 31)),
            (Hemisphere::South, HalfName::Autumn) => (date(year + 1, 2, 1), date(year + 1, 6, 30)),
        };
        Some((from?, to?))
    }

    /// The date of a day number of this half in the season named by `year`.
    ///
    /// ```
    /// use chrono::NaiveDate;
    /// use fairspell::{freeze::{HalfName, Window}, site::Hemisphere};
    /// let spring = Window { half: HalfName::Spring, hemisphere: Hemisphere::South };
    /// assert_eq!(spring.date(2027, 396), NaiveDate::from_ymd_opt(2028, 1, 31));
    /// ```
    #[must_use]
    pub fn date(self, year: i32, day: u32) -> Option<NaiveDate> {
        let (first, _) = self.dates(year)?;
        let (month, of_month) = Self::month_day(day);
        let goes_on = i32::from(day > 365);
        NaiveDate::from_ymd_opt(first.year() + goes_on, month, of_month)
    }

    /// Whether a date lies in this half.
    #[must_use]
    pub fn holds(self, date: NaiveDate) -> bool {
        let month = date.month();
        match (self.hemisphere, self.half) {
            (Hemisphere::North, HalfName::Spring) => month <= 7,
            (Hemisphere::North, HalfName::Autumn) => month >= 8,
            (Hemisphere::South, HalfName::Spring) => month >= 7 || month == 1,
            (Hemisphere::South, HalfName::Autumn) => (2..=6).contains(&month),
        }
    }

    /// The year that names the season of a date.
    #[must_use]
    pub fn season_of(self, date: NaiveDate) -> i32 {
        let is_early = self.hemisphere == Hemisphere::South && date.month() < 7;
        date.year() - i32::from(is_early)
    }

    /// Number of a date that lies in this half.
    ///
    /// ```
    /// use chrono::NaiveDate;
    /// use fairspell::{freeze::{HalfName, Window}, site::Hemisphere};
    /// let spring = Window { half: HalfName::Spring, hemisphere: Hemisphere::South };
    /// assert_eq!(NaiveDate::from_ymd_opt(2028, 1, 31).map(|date| spring.day(date)), Some(396));
    /// ```
    #[must_use]
    pub fn day(self, date: NaiveDate) -> u32 {
        let goes_on = self.hemisphere == Hemisphere::South
            && self.half == HalfName::Spring
            && date.month() < 7;
        Self::day_of_year(date) + if goes_on { 365 } else { 0 }
    }

    /// Number of a date from 1 January = 1, where 29 February counts as the 28th.
    pub(crate) fn day_of_year(date: NaiveDate) -> u32 {
        let day = if date.month() == 2 {
            date.day().min(28)
        } else {
            date.day()
        };
        let before = BEFORE_MONTH.get(date.month0() as usize).copied();
        before.unwrap_or(0) + day
    }

    /// Month and day of a number, in a year without 29 February.
    #[must_use]
    pub fn month_day(day: u32) -> (u32, u32) {
        let of_year = (day.max(1) - 1) % 365 + 1;
        let month = BEFORE_MONTH.partition_point(|before| *before < of_year);
        let before = BEFORE_MONTH
            .get(month.saturating_sub(1))
            .copied()
            .unwrap_or(0);
        (u32::try_from(month).unwrap_or(1), of_year - before)
    }

    /// A day number as the day of the season, counted from 1 on its first day.
    #[must_use]
    pub fn season_day(self, day: f64) -> f64 {
        day - f64::from(self.first_day()) + 1.0
    }

    /// The other way.
    #[must_use]
    pub fn of_season_day(self, season_day: f64) -> f64 {
        season_day + f64::from(self.first_day()) - 1.0
    }
}
