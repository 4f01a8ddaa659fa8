//! From values to heights: the data fit in, and the limits that lie within reach of them.

use fairspell::quantity::{Kind, Unit};

use super::panel::Panel;

/// The heights of a panel.
#[derive(Debug, Clone, Copy)]
pub struct Scale {
    /// Value at the bottom.
    pub low: f64,
    /// Value at the top.
    pub high: f64,
    /// Distance of the numbers beside it.
    pub step: f64,
    /// Where `high` lies \[px\].
    pub top: f64,
    /// Where `low` lies \[px\].
    pub bottom: f64,
}

impl Scale {
    /// A scale between heights `top` and `bottom` for values from `low` to `high`; infinite where there are none.
    pub fn new(panel: &Panel, (low, high): (f64, f64), (top, bottom): (f64, f64)) -> Self {
        let (low, high) = match panel.unit.kind() {
            Kind::Fraction => (0.0, 100.0),
            Kind::Temperature => around(panel, low, high),
            kind => {
                let least = if kind == Kind::Depth {
                    Unit::Millimetre.convert(1.0, panel.unit)
                } else {
                    1.0
                };
                (0.0, up_to(panel, high.max(least)))
            }
        };
        let step = step(low, high);
        let (low, high) = ((low / step).floor() * step, (high / step).ceil() * step);
        Self {
            low,
            high,
            step,
            top,
            bottom,
        }
    }

    /// Height of a value; one that is off the scale lies at its end.
    pub fn y(&self, value: f64) -> f64 {
        let share = (value - self.low) / (self.high - self.low);
        self.bottom - share.clamp(0.0, 1.0) * (self.bottom - self.top)
    }

    /// Whether a value lies on it.
    pub fn has(&self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }

    /// The values that get a number.
    pub fn numbers(&self) -> impl Iterator<Item = f64> {
        let (low, step, high) = (self.low, self.step, self.high + self.step / 2.0);
        (0_u8..=8)
            .map(move |count| low + f64::from(count) * step)
            .take_while(move |value| *value < high)
    }
}

/// Temperatures, and the limits near them; without temperatures the limits alone.
fn around(panel: &Panel, low: f64, high: f64) -> (f64, f64) {
    let wider = |(low, high): (f64, f64), limit: f64| (limit.min(low), limit.max(high));
    let (low, high) = if low > high {
        panel.lines().fold((low, high), wider)
    } else {
        (low, high)
    };
    if low > high {
        return (0.0, 1.0);
    }
    let reach = f64::max((high - low) * 0.6, 8.0);
    let near = panel
        .lines()
        .filter(|limit| *limit >= low - reach && *limit <= high + reach);
    let (low, high) = near.fold((low, high), wider);
    (low - 1.0, high + 1.0)
}

/// Values from 0 up, and the limits not far above them; where all are far, the lowest limit is shown all the same.
fn up_to(panel: &Panel, high: f64) -> f64 {
    let lowest = panel.lines().fold(f64::INFINITY, f64::min);
    let reach = if panel.is_depth() {
        high * 2.0
    } else {
        f64::max(high * 2.0, lowest)
    };
    panel
        .lines()
        .filter(|limit| *limit <= reach)
        .map(|limit| limit * 1.1)
        .fold(high, f64::max)
}

/// 1, 2 or 5 times a power of ten, so that five steps or fewer do.
fn step(low: f64, high: f64) -> f64 {
    const STEPS: [f64; 18] = [
        0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0,
        1000.0, 2000.0, 5000.0,
    ];
    STEPS
        .into_iter()
        .find(|step| (high - low) / step <= 5.0)
        .unwrap_or(10_000.0)
}
