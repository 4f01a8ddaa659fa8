//! Sliding windows: the least, the greatest, the sum and the mean of each, in constant time a window.
//!
//! The windows of one call must not go back: neither end of a window lies before that of the window before it.
//! Source of the method for extremes: ascending minima in a double-ended queue, a folk algorithm (common practice,
//! no source); the plain walk in the tests is its oracle.

use std::collections::VecDeque;

/// Hours `from..to` of a series; `beyond`: the span reaches past either end of the series as well.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Window {
    pub(crate) from: usize,
    pub(crate) to: usize,
    pub(crate) beyond: bool,
}

impl Window {
    /// The hours that lie within `-before ..= after` of `hour`, cut to a series of `hours`.
    pub(crate) fn around(hour: usize, before: usize, after: usize, hours: usize) -> Self {
        let from = hour.saturating_sub(before);
        let to = (hour + after + 1).min(hours);
        Self {
            from,
            to,
            beyond: before > hour || hour + after + 1 > hours,
        }
    }
}

/// Which extreme of a window.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Extreme {
    Least,
    Greatest,
}

/// The extreme of each window among the values that are known (not NaN), with its place; `None` where none is.
pub(crate) fn extremes(
    values: &[f64],
    windows: impl Iterator<Item = Window>,
    which: Extreme,
) -> Vec<Option<(f64, u32)>> {
    let beats = |new: f64, old: f64| match which {
        Extreme::Least => new < old,
        Extreme::Greatest => new > old,
    };
    let mut queue: VecDeque<(u32, f64)> = VecDeque::new();
    let mut next = 0;
    let mut out = Vec::with_capacity(windows.size_hint().0);
    for window in windows {
        next = next.max(window.from);
        for (index, value) in (next..window.to).zip(values.get(next..window.to).unwrap_or_default())
        {
            if value.is_nan() {
                continue;
            }
            while queue.back().is_some_and(|last| beats(*value, last.1)) {
                queue.pop_back();
            }
            queue.push_back((u32::try_from(index).unwrap_or(u32::MAX), *value));
        }
        next = next.max(window.to);
        while queue
            .front()
            .is_some_and(|first| (first.0 as usize) < window.from)
        {
            queue.pop_front();
        }
        out.push(queue.front().map(|(index, value)| (*value, *index)));
    }
    out
}

/// How many of the first n values are missing, for n from 0 on: the difference of two entries counts a window's.
pub(crate) fn missing_before(values: &[f64]) -> Vec<u32> {
    let mut count = 0;
    let mut out = Vec::with_capacity(values.len() + 1);
    out.push(0);
    for value in values {
        count += u32::from(value.is_nan());
        out.push(count);
    }
    out
}

/// Parts of a unit in which means are summed, so that the mean of equal values is that value exactly.
const PARTS: f64 = 1e6;

/// Running sums of the values that are known, in millionths of the unit, and how many of them are infinite: hours
/// since rain have no upper bound where no rain is sure.
pub(crate) struct RunningSum {
    parts: Vec<i64>,
    infinite: Vec<u32>,
}

impl RunningSum {
    pub(crate) fn new(values: &[f64]) -> Self {
        let (mut sum, mut without_end) = (0_i64, 0_u32);
        let (mut parts, mut infinite) = (vec![0], vec![0]);
        for value in values {
            #[expect(
                clippy::cast_possible_truncation,
                reason = "believed values stay below 1e9 millionths; it saturates"
            )]
            let own = if value.is_finite() {
                (value * PARTS).round() as i64
            } else {
                0
            };
            sum = sum.saturating_add(own);
            without_end += u32::from(value.is_infinite());
            parts.push(sum);
            infinite.push(without_end);
        }
        Self { parts, infinite }
    }

    /// Mean over `count` hours, of which those of `window` are summed and `others` stands for each of the rest.
    /// Infinite if any value of the window is: none is below 0.
    pub(crate) fn mean(&self, window: Window, count: usize, unknown: u32, others: f64) -> f64 {
        let infinite = |index: usize| self.infinite.get(index).copied().unwrap_or(0);
        if infinite(window.to) > infinite(window.from) {
            return f64::INFINITY;
        }
        let at = |index: usize| self.parts.get(index).copied().unwrap_or(0);
        let sum = (at(window.to) - at(window.from)) as f64 / PARTS;
        if unknown == 0 {
            sum / count as f64
        } else {
            (sum + others * f64::from(unknown)) / count as f64
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Oracle: the plain walk over each window.
    #[test]
    fn extremes_agree_with_a_plain_walk() {
        let values: Vec<f64> = (0_u32..200)
            .map(|i| {
                if i % 7 == 3 {
                    f64::NAN
                } else {
                    f64::from((i * 37) % 23)
                }
            })
            .collect();
        for (before, after) in [(0, 0), (0, 24), (3, 0), (5, 9), (300, 300)] {
            let windows: Vec<Window> = (0..200)
                .map(|hour| Window::around(hour, before, after, 200))
                .collect();
            for which in [Extreme::Least, Extreme::Greatest] {
                let fast = extremes(&values, windows.iter().copied(), which);
                for (window, fast) in windows.iter().zip(fast) {
                    let known = values[window.from..window.to]
                        .iter()
                        .copied()
                        .filter(|value| !value.is_nan());
                    let slow = match which {
                        Extreme::Least => known.reduce(f64::min),
                        Extreme::Greatest => known.reduce(f64::max),
                    };
                    assert_eq!(fast.map(|(value, _)| value), slow, "{window:?} {which:?}");
                    if let Some((value, at)) = fast {
                        assert_eq!(values[at as usize].to_bits(), value.to_bits());
                    }
                }
            }
        }
    }

    /// Arithmetic: the mean of equal values is that value, whatever was summed before.
    #[test]
    fn means_leave_no_residue() {
        let mut values = vec![0.1, 0.2, 33.3];
        values.extend([90.1; 25]);
        let sums = RunningSum::new(&values);
        let window = Window {
            from: 3,
            to: 28,
            beyond: false,
        };
        assert_eq!(sums.mean(window, 25, 0, 0.0).to_bits(), 90.1_f64.to_bits());
    }
}
