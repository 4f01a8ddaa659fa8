//! Sliding windows: the least, the greatest, the sum and the mean of each, in constant time a window.
//!
//! The windows of one call must not go back: neither end of a window lies before that of the window before it.
//! Source of the method for extremes: ascending minima in a queue, a folk algorithm (common practice,
//! no source); the plain walk in the tests is its oracle.

/// Hours `from..to` of a series, and how many hours of the span lie past either end of it: of `beyond` nothing is
/// known, `dry` are dry on the user's word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Window {
    pub(crate) from: usize,
    pub(crate) to: usize,
    pub(crate) beyond: usize,
    pub(crate) dry: usize,
}

impl Window {
    /// All hours of the span.
    pub(crate) fn hours(&self) -> usize {
        self.to - self.from + self.beyond + self.dry
    }

    /// The hours that lie within `-before ..= after` of `hour`, cut to a series of `hours`.
    pub(crate) fn around(hour: usize, before: usize, after: usize, hours: usize) -> Self {
        let from = hour.saturating_sub(before);
        let to = (hour + after + 1).min(hours);
        let beyond = before.saturating_sub(hour) + (hour + after + 1).saturating_sub(hours);
        Self {
            from,
            to,
            beyond,
            dry: 0,
        }
    }
}

/// Which extreme of a window.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Extreme {
    Least,
    Greatest,
}

/// The extreme of each window among the values that are known: the value and its place, NaN where none is known.
pub(crate) fn extremes(
    values: &[f64],
    windows: impl Iterator<Item = Window>,
    which: Extreme,
) -> (Vec<f64>, Vec<u32>) {
    match which {
        Extreme::Least => slide(values, windows, |new, old| new < old),
        Extreme::Greatest => slide(values, windows, |new, old| new > old),
    }
}

/// The queue holds places of known values, each beaten by none behind it; the first is the window's extreme.
fn slide(
    values: &[f64],
    windows: impl Iterator<Item = Window>,
    beats: impl Fn(f64, f64) -> bool,
) -> (Vec<f64>, Vec<u32>) {
    let count = windows.size_hint().0;
    let (mut extremes, mut places) = (Vec::with_capacity(count), Vec::with_capacity(count));
    let mut queue: Vec<(u32, f64)> = Vec::with_capacity(values.len());
    let (mut first, mut next) = (0, 0);
    for window in windows {
        next = next.max(window.from);
        for (place, value) in (next..window.to).zip(values.get(next..window.to).unwrap_or_default())
        {
            if value.is_nan() {
                continue;
            }
            while queue.len() > first && queue.last().is_some_and(|last| beats(*value, last.1)) {
                queue.pop();
            }
            queue.push((u32::try_from(place).unwrap_or(u32::MAX), *value));
        }
        next = next.max(window.to);
        while queue
            .get(first)
            .is_some_and(|front| (front.0 as usize) < window.from)
        {
            first += 1;
        }
        let (place, value) = queue.get(first).copied().unwrap_or((0, f64::NAN));
        extremes.push(value);
        places.push(place);
    }
    (extremes, places)
}

/// The extreme of the values within `-before ..= after` of each hour from `from` on, among those that are known;
/// NaN where none is. Windows are cut to the values.
///
/// Blocks as long as a window are run through from either side; each window is the join of two blocks' parts.
/// Source: M. van Herk, A fast algorithm for local minimum and maximum filters, Pattern Recognition Letters 13
/// (1992) 517; J. Gil and M. Werman, IEEE Trans. PAMI 15 (1993) 504 (both from memory; the queue is the oracle).
pub(crate) fn span_extremes(
    values: &[f64],
    from: usize,
    (before, after): (usize, usize),
    which: Extreme,
) -> Vec<f64> {
    match which {
        Extreme::Least => joined(values, from, (before, after), f64::min),
        Extreme::Greatest => joined(values, from, (before, after), f64::max),
    }
}

/// The best so far of each block of `length` values, run through from its beginning and from its end.
fn blocks(
    values: &[f64],
    length: usize,
    better: &impl Fn(f64, f64) -> f64,
) -> (Vec<f64>, Vec<f64>) {
    let mut forward = Vec::with_capacity(values.len());
    let mut backward = values.to_vec();
    for block in values.chunks(length) {
        let mut best = f64::NAN;
        forward.extend(block.iter().map(|value| {
            best = better(best, *value);
            best
        }));
    }
    for block in backward.chunks_mut(length) {
        let mut best = f64::NAN;
        for value in block.iter_mut().rev() {
            best = better(best, *value);
            *value = best;
        }
    }
    (forward, backward)
}

fn joined(
    values: &[f64],
    from: usize,
    (before, after): (usize, usize),
    better: impl Fn(f64, f64) -> f64,
) -> Vec<f64> {
    let length = before + after + 1;
    let (forward, backward) = blocks(values, length, &better);
    let hours = values.len();
    let Some(last) = hours.checked_sub(1) else {
        return Vec::new();
    };
    let at = |parts: &[f64], hour: usize| parts.get(hour).copied().unwrap_or(f64::NAN);
    let mut out = Vec::with_capacity(hours.saturating_sub(from));
    // Cut at the first value: the window begins with the first block and lies within it.
    let whole_from = before.max(from).min(hours);
    out.extend((from..whole_from).map(|hour| at(&forward, (hour + after).min(last))));
    // Whole windows: the end of one block and the beginning of the next, or exactly one block.
    let whole_to = hours.saturating_sub(after).max(whole_from);
    let ends = backward
        .get(whole_from - before.min(whole_from)..)
        .unwrap_or_default();
    let begins = forward
        .get((whole_from + after).min(hours)..)
        .unwrap_or_default();
    let whole = ends.iter().zip(begins).take(whole_to - whole_from);
    out.extend(whole.map(|(end, begin)| better(*end, *begin)));
    // Cut at the last value: within the last block its end from the hour on, else joined with all of the last block.
    let last_block = last / length * length;
    out.extend((whole_to..hours).map(|hour| {
        let first = hour.saturating_sub(before);
        let end = at(&backward, first);
        if first >= last_block {
            end
        } else {
            better(end, at(&forward, last))
        }
    }));
    out
}

/// How many of the first n values are missing, for n from 0 on: the difference of two entries counts a window's.
pub(crate) fn missing_before(values: &[f64]) -> Vec<u32> {
    count_before(values, f64::is_nan)
}

fn count_before(values: &[f64], counts: impl Fn(f64) -> bool) -> Vec<u32> {
    let mut count = 0;
    let mut out = Vec::with_capacity(values.len() + 1);
    out.push(0);
    for value in values {
        count += u32::from(counts(*value));
        out.push(count);
    }
    out
}

/// Parts of a unit in which means are summed, so that the mean of equal values is that value exactly.
const PARTS: f64 = 1e6;

/// Running sums of the values that are known, in millionths of the unit.
pub(crate) struct RunningSum {
    parts: Vec<i64>,
    /// How many of the first n values are infinite, as hours since rain are where no rain is sure; `None`: none is.
    infinite: Option<Vec<u32>>,
}

impl RunningSum {
    pub(crate) fn new(values: &[f64]) -> Self {
        let mut sum = 0_i64;
        let mut parts = Vec::with_capacity(values.len() + 1);
        parts.push(0);
        let mut has_infinite = false;
        for value in values {
            let half = if *value < 0.0 { -0.5 } else { 0.5 };
            #[expect(
                clippy::cast_possible_truncation,
                reason = "NaN gives 0; believed values stay below 1e9, infinite ones saturate and are counted"
            )]
            let own = (value * PARTS + half) as i64;
            has_infinite |= value.is_infinite();
            sum = sum.wrapping_add(own);
            parts.push(sum);
        }
        let infinite = has_infinite.then(|| count_before(values, f64::is_infinite));
        Self { parts, infinite }
    }

    /// Mean over the hours of a window, of which `unknown` are missing and count as `others` each. Infinite where any
    /// value is: no measure has values that go down without end.
    pub(crate) fn mean(&self, window: Window, unknown: usize, others: f64) -> f64 {
        if let Some(infinite) = &self.infinite {
            let at = |index: usize| infinite.get(index).copied().unwrap_or(0);
            if at(window.to) > at(window.from) {
                return f64::INFINITY;
            }
        }
        let at = |index: usize| self.parts.get(index).copied().unwrap_or(0);
        let sum = at(window.to).wrapping_sub(at(window.from)) as f64 / PARTS;
        let hours = window.hours() as f64;
        if unknown == 0 {
            sum / hours
        } else {
            (sum + others * unknown as f64) / hours
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
                for ((window, value), place) in windows.iter().zip(fast.0).zip(fast.1) {
                    let known = values[window.from..window.to]
                        .iter()
                        .copied()
                        .filter(|value| !value.is_nan());
                    let slow = match which {
                        Extreme::Least => known.reduce(f64::min),
                        Extreme::Greatest => known.reduce(f64::max),
                    };
                    assert_eq!(
                        (!value.is_nan()).then_some(value),
                        slow,
                        "{window:?} {which:?}"
                    );
                    if slow.is_some() {
                        assert_eq!(values[place as usize].to_bits(), value.to_bits());
                    }
                }
            }
        }
    }

    /// Oracle: the queue.
    #[test]
    fn joined_blocks_agree_with_the_queue() {
        let values: Vec<f64> = (0_u32..100)
            .map(|i| {
                if i % 11 == 3 || (40..55).contains(&i) {
                    f64::NAN
                } else {
                    f64::from((i * 37) % 23)
                }
            })
            .collect();
        for hours in [1, 2, 7, 25, 100] {
            let values = &values[..hours];
            for (before, after) in [(0, 0), (0, 6), (3, 0), (5, 9), (0, 24), (200, 0), (0, 300)] {
                for from in [0, hours / 2] {
                    let windows =
                        (from..hours).map(|hour| Window::around(hour, before, after, hours));
                    for which in [Extreme::Least, Extreme::Greatest] {
                        let (queue, _) = extremes(values, windows.clone(), which);
                        let joined = span_extremes(values, from, (before, after), which);
                        let bits =
                            |values: &[f64]| values.iter().map(|v| v.to_bits()).collect::<Vec<_>>();
                        assert_eq!(
                            bits(&joined),
                            bits(&queue),
                            "{hours} {before} {after} {which:?}"
                        );
                    }
                }
            }
        }
    }

    /// Arithmetic: an infinite value makes the means of its own windows infinite, and of no other.
    #[test]
    fn infinite_values_leave_no_residue_either() {
        let sums = RunningSum::new(&[1.0, f64::INFINITY, 3.0, f64::INFINITY, 5.0, 7.0]);
        let mean = |from, to| {
            let window = Window {
                from,
                to,
                beyond: 0,
                dry: 0,
            };
            sums.mean(window, 0, 0.0)
        };
        assert!(
            [mean(0, 2), mean(1, 4), mean(3, 5)]
                .iter()
                .all(|mean| *mean == f64::INFINITY)
        );
        assert_eq!(
            [mean(0, 1), mean(2, 3), mean(4, 6)].map(f64::to_bits),
            [1.0_f64, 3.0, 6.0].map(f64::to_bits)
        );
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
            beyond: 0,
            dry: 0,
        };
        assert_eq!(sums.mean(window, 0, 0.0).to_bits(), 90.1_f64.to_bits());
    }
}
