//! The odds of at least one usable spell in the days from a date on, by past years.

use chrono::{Days, NaiveDate};

use super::{Hindcast, MonthDay};
use crate::statistics::wilson;

/// Days ahead for which odds are listed. Ours: a day, the reach of a good forecast, and one and two weeks.
pub const ODDS_DAYS: [u32; 4] = [1, 3, 7, 14];

/// A share of years.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Odds {
    /// The first day.
    pub from: MonthDay,
    /// Days looked at.
    pub days: u32,
    /// Years of which the record holds all those days.
    pub years: usize,
    /// Of these, years with at least one run of the hours needed.
    pub hits: usize,
    /// Of these, years without one that unknown hours might have.
    pub undecided: usize,
    /// Share of years with one; `None` without a year.
    pub probability: Option<f64>,
    /// Its 95 % interval (Wilson).
    pub interval_95: (f64, f64),
}

impl Hindcast {
    /// The odds of at least one run of the hours needed in the `days` days from a month and day on.
    ///
    /// A year counts if the record holds all those days; one whose unknown hours decide counts as without.
    ///
    /// ```
    /// # use fairspell::{hindcast::{MonthDay, Question, hindcast}, operation::Operation, read::{Source, read_hourly}};
    /// # use fairspell::{series::Hours, site::Site};
    /// # let mut csv = String::from("time,temperature_f,rain_in\n");
    /// # for hour in 0..96 {
    /// #     csv += &format!("2027-03-{:02}T{:02}:00Z,50,0\n", 10 + hour / 24, hour % 24);
    /// # }
    /// # let reading = read_hourly(Source { name: "past.csv", bytes: csv.as_bytes() }, None)?;
    /// # let past = Hours::from(reading.members[0].clone());
    /// # let site = Site { zone: "UTC".parse().ok(), ..Site::default() };
    /// # let oil = Operation::built_in("oil").unwrap();
    /// # let answer = hindcast(&Question {
    /// #     station: "", past: &past, position: None, operation: &oil, site: &site, season: None, log: &[],
    /// #     forecasts: &[], is_brief: false,
    /// # })?;
    /// // Four fair days of one year, of which the last cannot be known.
    /// let odds = answer.odds(MonthDay::new(3, 11).unwrap(), 2);
    /// assert_eq!((odds.years, odds.hits, odds.probability), (1, 1, Some(1.0)));
    /// assert_eq!(answer.odds(MonthDay::new(3, 11).unwrap(), 7).years, 0); // the record ends before
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn odds(&self, from: MonthDay, days: u32) -> Odds {
        let (mut years, mut hits, mut undecided) = (0, 0, 0);
        let span = self.calendar.years();
        for year in span.into_iter().flat_map(|(first, last)| first..=last) {
            let date = from.in_year(year);
            let Some(held) = date.and_then(|date| self.calendar.whole_days(date, days)) else {
                continue;
            };
            let (Some(first), Some(last)) = (held.first(), held.last()) else {
                continue;
            };
            let is_hit = has_run(&self.runs, (first.from, last.to), self.hours_needed());
            years += 1;
            hits += usize::from(is_hit);
            let may_be = has_run(&self.hopeful, (first.from, last.to), self.hours_needed());
            undecided += usize::from(!is_hit && may_be);
        }
        Odds {
            from,
            days,
            years,
            hits,
            undecided,
            probability: (years > 0).then(|| hits as f64 / years as f64),
            interval_95: wilson(hits, years),
        }
    }
}

/// Days of past years around a date: how many were usable, of those that the record decides.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct DayShare {
    /// Usable days.
    pub usable: usize,
    /// Days that are usable or known not to be; undecided ones are left out.
    pub decided: usize,
}

impl Hindcast {
    /// The days of all years that lie at most so many days from a month and day.
    #[must_use]
    pub fn days_around(&self, at: MonthDay, around: u32) -> DayShare {
        let mut share = DayShare::default();
        let span = self.calendar.years();
        for year in span
            .into_iter()
            .flat_map(|(first, last)| first - 1..=last + 1)
        {
            let own = at.in_year(year);
            let reach = |date: NaiveDate| {
                let after = date.checked_add_days(Days::new(u64::from(around) + 1));
                date.checked_sub_days(Days::new(u64::from(around)))
                    .zip(after)
            };
            let Some((from, end)) = own.and_then(reach) else {
                continue;
            };
            let (from, to) = (
                self.calendar.index_from(from),
                self.calendar.index_from(end),
            );
            let days = self.calendar.days.get(from..to).unwrap_or_default();
            for day in days.iter().filter(|day| !day.is_cut) {
                let window = (day.from, day.to);
                let is_usable = has_run(&self.runs, window, self.hours_needed());
                let may_be = has_run(&self.hopeful, window, self.hours_needed());
                share.usable += usize::from(is_usable);
                share.decided += usize::from(is_usable || !may_be);
            }
        }
        share
    }
}

/// Whether one of the runs has so many hours within a window.
fn has_run(runs: &[(usize, usize)], (from, to): (usize, usize), needed: usize) -> bool {
    let first = runs.partition_point(|run| run.1 <= from);
    let runs = runs.get(first..).unwrap_or_default().iter();
    let mut runs = runs.take_while(|run| run.0 < to);
    runs.any(|run| run.1.min(to) - run.0.max(from) >= needed)
}
