//! The axis of dates that all thresholds of a half share.

use fairspell::freeze::{Half, HalfName, StationFreezes, Window};

use super::{carried, halves, marked, shown};

/// Fewest days of an axis.
const LEAST_DAYS: f64 = 30.0;
/// Share of the days that stays free at each end, for marks at the ends and their labels.
const FREE: f64 = 0.09;

/// The days of an axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dates {
    /// First day number.
    pub low: f64,
    /// Last day number.
    pub high: f64,
}

impl Dates {
    /// From the earliest to the latest date of a half at any threshold drawn, with room at both ends.
    pub fn of(station: &StationFreezes, name: HalfName) -> Self {
        let of_name = |half: &&Half| half.window.half == name;
        let drawn: Vec<&Half> = shown(station).flat_map(halves).filter(of_name).collect();
        let days = drawn.iter().flat_map(|half| days(half));
        let ends = |(low, high): (f64, f64), day: f64| (low.min(day), high.max(day));
        let (low, high) = days.fold((f64::INFINITY, f64::NEG_INFINITY), ends);
        let Some(half) = drawn.first().filter(|_| low <= high) else {
            return Self {
                low: 1.0,
                high: LEAST_DAYS,
            };
        };
        let first = f64::from(half.window.first_day());
        let last = first + f64::from(half.window.days()) - 1.0;
        let free = f64::max((high - low) * FREE, (LEAST_DAYS - (high - low)) / 2.0);
        Self {
            low: (low - free).floor().max(first),
            high: (high + free).ceil().min(last),
        }
    }

    /// Where a day lies, 0 at the low end and 1 at the high one; a day beyond lies at its end.
    pub fn share(&self, day: f64) -> f64 {
        ((day - self.low) / (self.high - self.low)).clamp(0.0, 1.0)
    }

    /// Whether a day lies on it.
    pub fn has(&self, day: f64) -> bool {
        (self.low..=self.high).contains(&day)
    }

    /// Days that get a label where each wants `room` and there are `length` \[px\].
    pub fn ticks(&self, length: f64, room: f64) -> Vec<f64> {
        let finest = [1, 2, 3, 4, 6]
            .into_iter()
            .map(|months| self.starts(months));
        let with_middles = self.middles();
        [self.quarters(), with_middles]
            .into_iter()
            .chain(finest)
            .find(|ticks| ticks.len() as f64 * room <= length && self.is_apart(ticks, length, room))
            .unwrap_or_default()
    }

    fn is_apart(&self, ticks: &[f64], length: f64, room: f64) -> bool {
        let place = |day: &f64| self.share(*day) * length;
        let pairs = ticks.iter().zip(ticks.iter().skip(1));
        pairs
            .into_iter()
            .all(|(before, after)| place(after) - place(before) >= room)
    }

    fn of_month_days(&self, is_wanted: impl Fn(u32, u32) -> bool) -> Vec<f64> {
        (1..=800_u32)
            .filter(|day| {
                let (month, of_month) = Window::month_day(*day);
                is_wanted(month, of_month)
            })
            .map(f64::from)
            .filter(|day| self.has(*day))
            .collect()
    }

    /// First days of every so many months.
    fn starts(&self, months: u32) -> Vec<f64> {
        self.of_month_days(|month, day| day == 1 && (month - 1) % months == 0)
    }

    /// Four days of each month.
    fn quarters(&self) -> Vec<f64> {
        self.of_month_days(|_, day| matches!(day, 1 | 8 | 15 | 22))
    }

    /// First and fifteenth days of the months.
    fn middles(&self) -> Vec<f64> {
        self.of_month_days(|_, day| day == 1 || day == 15)
    }
}

/// Everything of a half that must lie on the axis.
fn days(half: &Half) -> Vec<f64> {
    let valid = half.years.iter().filter(|year| year.is_valid);
    let own = valid.filter_map(|year| year.day).map(f64::from);
    let moved = carried(half)
        .map(|present| present.carried.clone())
        .unwrap_or_default();
    own.chain(moved.into_iter().map(|(_, day)| day))
        .chain(marked(half).into_iter().flatten())
        .collect()
}
