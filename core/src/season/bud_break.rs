//! When buds break or an indicator blooms: the day of each year on which a sum is reached, and what that says of this year.

use chrono::NaiveDate;

use super::damage::Share;
use super::winter::{Reach, Winter};
use crate::freeze::{PERCENTS, Quantiles, Window};
use crate::statistics::quantile;

/// The dates of an event over the years of a record.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Event {
    window: Window,
    /// Each year that is known, with its date; `None`: not reached within the half.
    pub(super) years: Vec<(i32, Option<NaiveDate>)>,
}

impl Event {
    /// The event of each winter: `target` degree days reached from the date `from` of the year on.
    pub(super) fn of(
        window: Window,
        winters: &[Winter],
        from: impl Fn(i32) -> Option<NaiveDate>,
        target: f64,
    ) -> Self {
        let of_year = |winter: &Winter| {
            let start = from(winter.year).map_or(0, |date| winter.day_of(date));
            let date = match winter.reached(start, target) {
                Reach::Unknown => return None,
                Reach::Never => None,
                Reach::On(day) => winter.first.checked_add_days(chrono::Days::new(day as u64)),
            };
            Some((winter.year, date))
        };
        Self {
            window,
            years: winters.iter().filter_map(of_year).collect(),
        }
    }

    /// The event's date in a year of the record.
    pub(super) fn date(&self, year: i32) -> Option<NaiveDate> {
        self.years
            .iter()
            .find(|(of, _)| *of == year)
            .and_then(|(_, date)| *date)
    }

    /// Its day numbers at 10, 50 and 90 %; a year in which it was not reached lies past the end.
    pub(super) fn quantiles(&self) -> Quantiles {
        let number = |(_, date): &(i32, Option<NaiveDate>)| {
            date.map_or(f64::INFINITY, |date| f64::from(self.window.day(date)))
        };
        let mut days: Vec<f64> = self.years.iter().map(number).collect();
        days.sort_by(f64::total_cmp);
        PERCENTS.map(|percent| quantile(&days, percent).filter(|day| day.is_finite()))
    }

    /// The share of years in which it has come by the end of the day number `day`.
    pub(super) fn share_by(&self, day: u32) -> Share {
        let has_come = |(_, date): &&(i32, Option<NaiveDate>)| {
            date.is_some_and(|date| self.window.day(date) <= day)
        };
        Share {
            hits: self.years.iter().filter(has_come).count(),
            years: self.years.len(),
        }
    }

    /// The share of years in which it has come by the end of a date of each year's own.
    pub(super) fn share_on(&self, date: impl Fn(i32) -> Option<NaiveDate>) -> Share {
        let own = self
            .years
            .iter()
            .filter_map(|(year, own)| Some((date(*year)?, *own)));
        let came: Vec<bool> = own
            .map(|(date, own)| own.is_some_and(|own| own <= date))
            .collect();
        Share {
            hits: came.iter().filter(|came| **came).count(),
            years: came.len(),
        }
    }
}
