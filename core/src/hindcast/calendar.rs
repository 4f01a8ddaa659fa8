//! The local days of a record.

use chrono::{DateTime, Datelike as _, Days, NaiveDate, Offset as _, TimeZone as _};
use chrono_tz::Tz;

use crate::freeze::Window;
use crate::read::local_date;
use crate::series::{HOUR_S, Hours};

/// Weeks of the year.
pub(super) const WEEKS: u32 = 52;
/// Seconds in a day without a clock change.
const DAY_S: i64 = 86_400;

/// A local day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Day {
    /// Its date.
    pub(super) date: NaiveDate,
    /// Its first hour, counted from the record's first.
    pub(super) from: usize,
    /// The hour after its last.
    pub(super) to: usize,
    /// Whether the record begins after it does or ends before it does.
    pub(super) is_cut: bool,
    /// Its fair and its unknown hours.
    pub(super) fair: usize,
    /// Its unknown hours.
    pub(super) unknown: usize,
}

impl Day {
    /// The week of the year in which it lies, 1 to 52.
    pub(super) fn week(&self) -> u32 {
        week_of(self.date)
    }
}

/// The week of the year in which a date lies, 1 to 52.
pub(super) fn week_of(date: NaiveDate) -> u32 {
    ((Window::day_of_year(date) - 1) / 7 + 1).min(WEEKS)
}

/// Local days one after the other.
#[derive(Debug, Clone, Default)]
pub(super) struct Calendar {
    pub(super) days: Vec<Day>,
}

impl Calendar {
    /// The days of a record on the clock of a zone. An hour belongs to the day in which it begins.
    pub(super) fn new(past: &Hours, zone: Tz) -> Self {
        let (hours, mut days) = (past.hours(), Vec::new());
        let mut from = 0;
        while from < hours {
            let Some(date) = local_date(past.time(from), zone) else {
                break;
            };
            let to = next_day((past, zone), from, date).min(hours);
            days.push(Day {
                date,
                from,
                to,
                is_cut: false,
                fair: 0,
                unknown: 0,
            });
            from = to;
        }
        if let Some(first) = days.first_mut() {
            let before = local_date(past.start() - HOUR_S, zone);
            first.is_cut |= before == Some(first.date);
        }
        if let Some(last) = days.last_mut() {
            last.is_cut |= local_date(past.time(hours), zone) == Some(last.date);
        }
        Self { days }
    }

    /// Index of the first day on or after a date.
    pub(super) fn index_from(&self, date: NaiveDate) -> usize {
        self.days.partition_point(|day| day.date < date)
    }

    /// The days from a date on, so many of them, if the record holds all of them whole.
    pub(super) fn whole_days(&self, date: NaiveDate, count: u32) -> Option<&[Day]> {
        let from = self.index_from(date);
        let end = date.checked_add_days(Days::new(u64::from(count)))?;
        let to = self.index_from(end);
        let days = self.days.get(from..to)?;
        let (first, last) = (days.first()?, days.last()?);
        let is_whole = first.date == date
            && last.date.succ_opt() == Some(end)
            && !first.is_cut
            && !last.is_cut;
        is_whole.then_some(days)
    }

    /// Years of the first and the last day.
    pub(super) fn years(&self) -> Option<(i32, i32)> {
        Some((
            self.days.first()?.date.year(),
            self.days.last()?.date.year(),
        ))
    }
}

/// The first hour of the day after that of hour `from`; hours past the end count on. Where the clock is the same at the
/// guessed end of the day, no clock change lies between: none is undone within a day.
fn next_day((past, zone): (&Hours, Tz), from: usize, date: NaiveDate) -> usize {
    let time = past.time(from);
    let offset = offset_s(time, zone);
    let left = DAY_S - (time + offset).rem_euclid(DAY_S);
    let hours = usize::try_from((left + HOUR_S - 1) / HOUR_S).unwrap_or(1);
    let guess = from + hours;
    if offset_s(past.time(guess), zone) == offset {
        return guess;
    }
    let mut next = from + 1;
    while local_date(past.time(next), zone) == Some(date) {
        next += 1;
    }
    next
}

fn offset_s(time: i64, zone: Tz) -> i64 {
    let Some(utc) = DateTime::from_timestamp(time, 0) else {
        return 0;
    };
    let offset = zone.offset_from_utc_datetime(&utc.naive_utc());
    i64::from(offset.fix().local_minus_utc())
}
