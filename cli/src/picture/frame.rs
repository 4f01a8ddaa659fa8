//! What is drawn: local days from the one asked about, at most ten, and the state of each of their hours.

use chrono::{DateTime, Timelike as _};
use fairspell::decision::{Decision, Hour, day};
use fairspell::read::local_date;
use fairspell::series::{HOUR_S, HourlySeries};
use fairspell::spell::State;

/// Most days drawn: the longest public forecasts reach ten days hour by hour, and more cannot be read. Ours.
pub const MAX_DAYS: usize = 10;

/// The clock's offset from UTC and every change of it are whole quarters of an hour (1972 on).
const QUARTER_S: i64 = 900;
const DAY_S: i64 = 86_400;
/// Of a last day with so few hours no more is drawn than they: files end an hour or two after midnight.
const SLIVER_S: i64 = 4 * HOUR_S;

/// A local day; it has 23 to 25 hours where the clock changes.
#[derive(Debug, Clone, PartialEq)]
pub struct Day {
    /// Its first instant \[s since 1970 UTC\].
    pub start: i64,
    /// The next day's first instant \[s since 1970 UTC\]; of a last day that is cut, where it is cut.
    pub end: i64,
    /// Whether it is cut.
    pub is_cut: bool,
    /// Weekday, day and month.
    pub name: String,
}

/// An hour that is drawn.
#[derive(Debug, Clone, Copy)]
pub struct Cell<'a> {
    /// Its beginning \[s since 1970 UTC\].
    pub time: i64,
    /// Its state; `None`: before the time asked about, or past both the file and the window.
    pub state: Option<State>,
    /// What the decision says of it; `None` where the file has no such hour.
    pub hour: Option<&'a Hour>,
}

/// Hours in a row of one state.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Run {
    /// Beginning \[s since 1970 UTC\].
    pub start: i64,
    /// End \[s since 1970 UTC\].
    pub end: i64,
    /// The state.
    pub state: State,
}

/// The days and hours of the drawing.
#[derive(Debug)]
pub struct Frame<'a> {
    /// The days, at least one.
    pub days: Vec<Day>,
    /// The hours, by the file's own beginnings.
    pub cells: Vec<Cell<'a>>,
    /// How many days there are, with those that are not drawn.
    pub all_days: i64,
}

impl<'a> Frame<'a> {
    /// The frame of a decision on a series.
    pub fn new(decision: &'a Decision, series: &HourlySeries) -> Self {
        let last = decision
            .hours
            .last()
            .map_or(decision.until, |hour| hour.time + HOUR_S)
            .max(decision.until);
        let mut days = vec![day_of(decision, decision.at)];
        while let Some(end) = days.last().map(|day| day.end) {
            if days.len() == MAX_DAYS || end >= last {
                break;
            }
            days.push(day_of(decision, end));
        }
        if let Some(day) = days
            .last_mut()
            .filter(|day| day.start < last && last <= day.start + SLIVER_S)
        {
            (day.end, day.is_cut) = (last, true);
        }
        let start = days.first().map_or(decision.at, |day| day.start);
        let end = days.last().map_or(decision.at, |day| day.end);
        let rest = (last - end).max(0);
        let all_days = i64::try_from(days.len()).unwrap_or(i64::MAX) + (rest + DAY_S - 1) / DAY_S;
        let phase = (start - series.start()).rem_euclid(HOUR_S);
        let first = if phase == 0 {
            start
        } else {
            start - phase + HOUR_S
        };
        let times = (0..)
            .map(|hour| first + hour * HOUR_S)
            .take_while(|time| *time < end);
        let cells = times.map(|time| cell(decision, time)).collect();
        Self {
            days,
            cells,
            all_days,
        }
    }

    /// Beginning of the first day \[s since 1970 UTC\].
    pub fn start(&self) -> i64 {
        self.days.first().map_or(0, |day| day.start)
    }

    /// End of the last day \[s since 1970 UTC\].
    pub fn end(&self) -> i64 {
        self.days.last().map_or(0, |day| day.end)
    }

    /// The hours that have a state, in runs of one state.
    pub fn runs(&self) -> Vec<Run> {
        let mut runs: Vec<Run> = Vec::new();
        for cell in &self.cells {
            let Some(state) = cell.state else { continue };
            let end = (cell.time + HOUR_S).min(self.end());
            match runs.last_mut() {
                Some(run) if run.state == state && run.end == cell.time => run.end = end,
                _ => runs.push(Run {
                    start: cell.time,
                    end,
                    state,
                }),
            }
        }
        runs
    }

    /// The instants at which the place's clock strikes a multiple of `step` hours, and the hour it strikes.
    pub fn ticks(&self, decision: &Decision, step: u32) -> Vec<(i64, u32)> {
        let quarters = (0..).map(|quarter| self.start() + quarter * QUARTER_S);
        let strike = |time: i64| {
            let local = DateTime::from_timestamp(time, 0)?.with_timezone(&decision.zone);
            (local.minute() == 0 && local.hour() % step == 0).then_some((time, local.hour()))
        };
        quarters
            .take_while(|time| *time < self.end())
            .filter_map(strike)
            .collect()
    }

    /// What to say of days that are not drawn and of days that are not 24 hours long.
    pub fn remarks(&self) -> Vec<String> {
        let mut remarks = Vec::new();
        let drawn = i64::try_from(self.days.len()).unwrap_or(i64::MAX);
        if self.all_days > drawn {
            remarks.push(format!(
                "Shown are the first {drawn} of {} days.",
                self.all_days
            ));
        }
        for day in &self.days {
            let minutes = (day.end - day.start) / 60;
            if minutes != 1440 && !day.is_cut {
                let hours = fairspell::quantity::plain(minutes as f64 / 60.0);
                remarks.push(format!(
                    "{} has {hours} hours: the clock changes.",
                    day.name
                ));
            }
        }
        remarks
    }
}

fn cell(decision: &Decision, time: i64) -> Cell<'_> {
    let first = decision.hours.first().map_or(time, |hour| hour.time);
    let place = usize::try_from((time - first).div_euclid(HOUR_S)).ok();
    let hour = place
        .and_then(|place| decision.hours.get(place))
        .filter(|hour| hour.time == time);
    let is_in_window = time >= decision.at && time + HOUR_S <= decision.until;
    let state = hour
        .map(|hour| hour.state)
        .or(is_in_window.then_some(State::Unknown));
    Cell { time, state, hour }
}

/// The local day that holds an instant.
fn day_of(decision: &Decision, time: i64) -> Day {
    let date = |time| local_date(time, decision.zone);
    let quarter = time - time.rem_euclid(QUARTER_S);
    let same = |other: &i64| date(*other) == date(time);
    let back = (0..200)
        .map(|count| quarter - count * QUARTER_S)
        .take_while(same)
        .last();
    let on = (1..200)
        .map(|count| quarter + count * QUARTER_S)
        .find(|other| !same(other));
    let (start, end) = (back.unwrap_or(quarter), on.unwrap_or(quarter + DAY_S));
    Day {
        start,
        end,
        is_cut: false,
        name: day(time, decision.zone),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::tests::{demo, oil, place};

    /// U.S. summer time begins on 14 March 2027 at 02:00 (15 U.S.C. 260a): that day has 23 hours, and 06:00 comes five
    /// hours after midnight.
    #[test]
    fn the_day_of_the_clock_change_has_23_hours() {
        let forecast = demo();
        let decision = oil(&forecast, &place());
        let frame = Frame::new(&decision, &forecast.members[0]);
        let names: Vec<&str> = frame.days.iter().map(|day| day.name.as_str()).collect();
        assert_eq!(
            names[..7],
            [
                "Mon 8 Mar",
                "Tue 9 Mar",
                "Wed 10 Mar",
                "Thu 11 Mar",
                "Fri 12 Mar",
                "Sat 13 Mar",
                "Sun 14 Mar"
            ]
        );
        let sunday = &frame.days[6];
        assert_eq!((sunday.end - sunday.start) / HOUR_S, 23);
        let ticks = frame.ticks(&decision, 6);
        assert!(
            ticks.contains(&(sunday.start + 5 * HOUR_S, 6)),
            "06:00 is not five hours after midnight"
        );
        assert_eq!(
            frame.remarks(),
            ["Sun 14 Mar has 23 hours: the clock changes."]
        );
    }

    /// Arithmetic: the file has 168 hours, the first six lie before the time asked about.
    #[test]
    fn every_hour_from_now_to_the_end_of_the_file_has_a_state() {
        let forecast = demo();
        let decision = oil(&forecast, &place());
        let frame = Frame::new(&decision, &forecast.members[0]);
        assert_eq!(
            frame
                .cells
                .iter()
                .filter(|cell| cell.state.is_some())
                .count(),
            162
        );
        assert_eq!(
            frame
                .runs()
                .iter()
                .map(|run| (run.end - run.start) / HOUR_S)
                .sum::<i64>(),
            162
        );
        assert_eq!(frame.start(), decision.at - 6 * HOUR_S);
    }

    /// A window beyond the file: its hours are there, and unknown; no more than ten days are drawn.
    #[test]
    fn hours_of_the_window_past_the_file_are_unknown() {
        let forecast = demo();
        let mut decision = oil(&forecast, &place());
        decision.until = decision.at + 12 * DAY_S;
        let frame = Frame::new(&decision, &forecast.members[0]);
        let last = frame.cells.last().unwrap();
        assert_eq!(
            (frame.days.len(), last.state, last.hour.is_none()),
            (MAX_DAYS, Some(State::Unknown), true)
        );
        assert_eq!(frame.remarks()[0], "Shown are the first 10 of 13 days.");
    }
}
