//! Seasons: from one month and day to another, year by year, with their first and last chance.

use chrono::{Datelike as _, NaiveDate};

use super::calendar::Day;
use super::{Counts, DayCounts, Hindcast};
use crate::error::{Excerpt, SeasonError};

/// A month and day of any year.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct MonthDay {
    month: u32,
    day: u32,
}

impl MonthDay {
    /// A month and day that a leap year has; `None` for any other.
    #[must_use]
    pub fn new(month: u32, day: u32) -> Option<Self> {
        NaiveDate::from_ymd_opt(2000, month, day).map(|_| Self { month, day })
    }

    /// Month and day of a date.
    #[must_use]
    pub fn of(date: NaiveDate) -> Self {
        let (month, day) = (date.month(), date.day());
        Self { month, day }
    }

    /// The month, 1 to 12.
    #[must_use]
    pub fn month(self) -> u32 {
        self.month
    }

    /// The day of the month.
    #[must_use]
    pub fn day(self) -> u32 {
        self.day
    }

    /// The date in a year; in one without 29 February that is the 28th.
    #[must_use]
    pub fn in_year(self, year: i32) -> Option<NaiveDate> {
        let date = NaiveDate::from_ymd_opt(year, self.month, self.day);
        date.or_else(|| NaiveDate::from_ymd_opt(year, 2, 28))
    }
}

impl core::fmt::Display for MonthDay {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "{:02}-{:02}", self.month, self.day)
    }
}

/// From one month and day to another, both included; past New Year where the second is the earlier.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SeasonSpan {
    /// First day.
    pub from: MonthDay,
    /// Last day.
    pub to: MonthDay,
}

impl SeasonSpan {
    /// The calendar year, or July to June.
    #[must_use]
    pub fn whole_year(is_south: bool) -> Self {
        let at = |month, day| MonthDay { month, day };
        let (from, to) = if is_south {
            (at(7, 1), at(6, 30))
        } else {
            (at(1, 1), at(12, 31))
        };
        Self { from, to }
    }

    /// Reads `02-01..04-30`.
    ///
    /// # Errors
    /// [`SeasonError`] for anything else.
    ///
    /// ```
    /// use fairspell::hindcast::SeasonSpan;
    /// let span = SeasonSpan::parse("12-01..03-31")?;
    /// assert_eq!((span.from.to_string(), span.to.to_string()), ("12-01".into(), "03-31".into()));
    /// assert!(SeasonSpan::parse("02-30..03-31").is_err());
    /// # Ok::<(), fairspell::error::SeasonError>(())
    /// ```
    pub fn parse(text: &str) -> Result<Self, SeasonError> {
        let month_day = |text: &str| {
            let (month, day) = text.split_once('-')?;
            let is_plain = |part: &str| {
                (1..=2).contains(&part.len()) && part.bytes().all(|byte| byte.is_ascii_digit())
            };
            let number = |part: &str| part.parse().ok().filter(|_| is_plain(part));
            MonthDay::new(number(month)?, number(day)?)
        };
        let span = text.split_once("..").and_then(|(from, to)| {
            let (from, to) = (month_day(from.trim())?, month_day(to.trim())?);
            Some(Self { from, to })
        });
        span.ok_or_else(|| SeasonError {
            expected: "two dates such as 02-01..04-30 (month-day)",
            found: Excerpt::of(text.as_bytes()),
        })
    }

    /// First and last date of the season that begins in a year.
    #[must_use]
    pub fn dates(self, year: i32) -> Option<(NaiveDate, NaiveDate)> {
        let last = year + i32::from(self.to < self.from);
        Some((self.from.in_year(year)?, self.to.in_year(last)?))
    }

    /// Whether a month and day lies in it.
    #[must_use]
    pub fn has(self, at: MonthDay) -> bool {
        if self.to < self.from {
            at >= self.from || at <= self.to
        } else {
            (self.from..=self.to).contains(&at)
        }
    }
}

/// A season of one year, as far as the record goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Season {
    /// The year in which it begins.
    pub year: i32,
    /// Its first date.
    pub from: NaiveDate,
    /// Its last date.
    pub to: NaiveDate,
    /// Whether the record holds all its days.
    pub is_whole: bool,
    /// Its hours in the record.
    pub hours: Counts,
    /// Its days in the record.
    pub days: DayCounts,
    /// Runs of fair hours in it that are long enough.
    pub spells: usize,
    /// The first start from which the work fits \[s since 1970 UTC\].
    pub first_chance: Option<i64>,
    /// The last start from which it fits \[s since 1970 UTC\].
    pub last_chance: Option<i64>,
    /// Whether unknown hours may hide an earlier first or a later last chance.
    pub may_hide: bool,
}

/// The seasons that the record touches.
pub(super) fn seasons(answer: &Hindcast) -> Vec<Season> {
    let Some((first, last)) = answer.calendar.years() else {
        return Vec::new();
    };
    let years = first - 1..=last;
    years.filter_map(|year| season(answer, year)).collect()
}

fn season(answer: &Hindcast, year: i32) -> Option<Season> {
    let (from, to) = answer.span.dates(year)?;
    let calendar = &answer.calendar;
    let end = calendar.index_from(to.succ_opt()?);
    let days = calendar.days.get(calendar.index_from(from)..end)?;
    let (first, last) = (days.first()?, days.last()?);
    let is_whole = first.date == from && last.date == to && !first.is_cut && !last.is_cut;
    let (start, end) = (first.from, last.to);
    let needed = answer.hours_needed();
    let runs = inside(&answer.runs, (start, end), needed);
    let first_chance = runs.first().map(|run| run.0);
    let last_chance = runs.last().map(|run| run.1 - needed);
    let hopeful = inside(&answer.hopeful, (start, end), needed);
    let may_be_first = hopeful.first().map(|run| run.0);
    let may_be_last = hopeful.last().map(|run| run.1 - needed);
    Some(Season {
        year,
        from,
        to,
        is_whole,
        hours: hours_of(days),
        days: answer.days_of(days),
        spells: runs.len(),
        first_chance: first_chance.map(|hour| answer.time(hour)),
        last_chance: last_chance.map(|hour| answer.time(hour)),
        may_hide: (may_be_first, may_be_last) != (first_chance, last_chance) || !is_whole,
    })
}

fn hours_of(days: &[Day]) -> Counts {
    let mut hours = Counts::default();
    for day in days {
        hours.fair += day.fair;
        hours.unknown += day.unknown;
        hours.hindered += day.to - day.from - day.fair - day.unknown;
    }
    hours
}

/// Runs cut to a window, where they stay long enough.
fn inside(
    runs: &[(usize, usize)],
    (from, to): (usize, usize),
    needed: usize,
) -> Vec<(usize, usize)> {
    let first = runs.partition_point(|run| run.1 <= from);
    let runs = runs.get(first..).unwrap_or_default().iter();
    let cut = runs
        .take_while(|run| run.0 < to)
        .map(|run| (run.0.max(from), run.1.min(to)));
    cut.filter(|run| run.1 - run.0 >= needed).collect()
}

impl Hindcast {
    /// Days of each sort among these.
    fn days_of(&self, days: &[Day]) -> DayCounts {
        let needed = self.hours_needed();
        let mut counts = DayCounts::default();
        for day in days {
            let window = (day.from, day.to);
            let is_usable = !inside(&self.runs, window, needed).is_empty();
            let may_be = day.is_cut || !inside(&self.hopeful, window, needed).is_empty();
            counts.days += 1;
            counts.usable += usize::from(is_usable);
            counts.undecided += usize::from(!is_usable && may_be);
        }
        counts
    }
}
