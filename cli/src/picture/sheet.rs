//! The sheet: which decision is drawn, and where an instant lies on it.

use fairspell::decision::{Decision, Units};
use fairspell::series::{HOUR_S, HourlySeries};

use super::frame::Frame;

/// Width of the whole drawing \[px\].
pub const WIDTH: f64 = 1120.0;
/// Left edge of the hours: names and numbers stand left of it \[px\].
pub const LEFT: f64 = 84.0;
/// Right edge of the hours: limits stand right of it \[px\].
pub const RIGHT: f64 = 944.0;
/// Margin of the sheet \[px\].
pub const MARGIN: f64 = 16.0;
/// Size of most text \[px\].
pub const TEXT: f64 = 12.0;

/// Room for a line of it \[px\].
pub const LINE: f64 = 16.0;
/// Most spells named in words; the rest are counted.
pub const MAX_NAMED: usize = 12;

/// What is drawn, and on which days.
#[derive(Debug, Clone, Copy)]
pub struct Sheet<'a> {
    /// The answer.
    pub decision: &'a Decision,
    /// The hours it rests on.
    pub series: &'a HourlySeries,
    /// Units for people.
    pub units: Units,
    /// The days.
    pub frame: &'a Frame<'a>,
}

impl Sheet<'_> {
    /// Where an instant lies \[px\], by real hours; kept inside the hours drawn.
    pub fn x(&self, time: i64) -> f64 {
        let (start, end) = (self.frame.start(), self.frame.end());
        let share = (time.clamp(start, end) - start) as f64 / (end - start).max(1) as f64;
        LEFT + share * (RIGHT - LEFT)
    }

    /// Width of an hour \[px\].
    pub fn hour_width(&self) -> f64 {
        let hours = (self.frame.end() - self.frame.start()) as f64 / HOUR_S as f64;
        (RIGHT - LEFT) / hours.max(1.0)
    }

    /// The hour of the series that begins at an instant.
    pub fn hour(&self, time: i64) -> Option<usize> {
        let hour = usize::try_from((time - self.series.start()).div_euclid(HOUR_S)).ok()?;
        (hour < self.series.hours()).then_some(hour)
    }
}
