//! Days with both extremes, single gaps filled.

use crate::quantity::Unit;
use crate::series::DailySeries;

/// Minimum and maximum of each day in one unit, NaN where unknown, and which days were filled.
pub(super) struct Days {
    /// Minima.
    pub(super) tmin: Vec<f64>,
    /// Maxima, as many.
    pub(super) tmax: Vec<f64>,
    /// Whether an extreme of the day is the mean of its neighbours.
    pub(super) is_filled: Vec<bool>,
}

/// The extremes of a record in `unit`; `None` if it has no maxima.
///
/// A day is missing if either extreme is, or if the minimum lies above the maximum. A single missing day, one whose
/// two neighbours are whole, takes for each missing extreme the mean of its neighbours', and keeps one that is there.
/// Two missing days in a row, and a missing first or last day, stay unknown (both extremes NaN). Source: the contract,
/// §5; the project's handbook, §6.
pub(super) fn days(record: &DailySeries, unit: Unit) -> Option<Days> {
    let is_whole = record.is_whole_fahrenheit() && unit == Unit::Fahrenheit;
    let convert = |value: &f64| {
        let converted = record.unit().convert(*value, unit);
        if is_whole {
            (converted + 0.5).floor()
        } else {
            converted
        }
    };
    let mut tmin: Vec<f64> = record.tmin().iter().map(convert).collect();
    let mut tmax: Vec<f64> = record.tmax()?.iter().map(convert).collect();
    let mut is_filled = vec![false; tmin.len()];
    let mut before: Option<(f64, f64)> = None; // the day before, as recorded
    let mut at = 0;
    while let (Some(low), Some(high)) = (tmin.get(at).copied(), tmax.get(at).copied()) {
        let today = whole(low, high);
        if today.is_none() {
            let after = whole_at(&tmin, &tmax, at + 1);
            let filled = before.zip(after).and_then(|(before, after)| {
                let recorded = recorded(low, high);
                fill(recorded, before, after)
            });
            let (low, high) = filled.unwrap_or((f64::NAN, f64::NAN));
            put(&mut tmin, at, low);
            put(&mut tmax, at, high);
            put(&mut is_filled, at, filled.is_some());
        }
        before = today;
        at += 1;
    }
    Some(Days {
        tmin,
        tmax,
        is_filled,
    })
}

/// Both extremes if they are numbers and in order.
fn whole(low: f64, high: f64) -> Option<(f64, f64)> {
    (low.is_finite() && high.is_finite() && low <= high).then_some((low, high))
}

fn whole_at(tmin: &[f64], tmax: &[f64], at: usize) -> Option<(f64, f64)> {
    whole(*tmin.get(at)?, *tmax.get(at)?)
}

/// What of a missing day can be kept: nothing of one whose extremes are out of order.
fn recorded(low: f64, high: f64) -> (Option<f64>, Option<f64>) {
    if low > high {
        (None, None)
    } else {
        let finite = |value: f64| value.is_finite().then_some(value);
        (finite(low), finite(high))
    }
}

fn fill(
    (low, high): (Option<f64>, Option<f64>),
    before: (f64, f64),
    after: (f64, f64),
) -> Option<(f64, f64)> {
    let low = low.unwrap_or(f64::midpoint(before.0, after.0));
    let high = high.unwrap_or(f64::midpoint(before.1, after.1));
    whole(low, high)
}

fn put<T>(values: &mut [T], at: usize, value: T) {
    if let Some(place) = values.get_mut(at) {
        *place = value;
    }
}
