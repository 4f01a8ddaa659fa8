//! How a record is cut into parts that are judged one by one.

use crate::operation::{Measure, Operation, Rule, Span};
use crate::spell::{LONGEST_DAY_H, MAX_DRYING_H};

/// Hours judged at a time. Ours: half a year, whose columns stay near the processor.
const PART_H: usize = 4096;

/// A part: the hours that it judges, and those that it holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Part {
    /// First hour judged.
    pub(super) first: usize,
    /// The hour after the last judged.
    pub(super) last: usize,
    /// First hour held.
    pub(super) from: usize,
    /// The hour after the last held.
    pub(super) to: usize,
}

/// The parts of so many hours; one alone where a rule looks back or ahead without end.
pub(super) fn parts(operation: &Operation, hours: usize) -> impl Iterator<Item = Part> + use<> {
    let reach = farthest(operation);
    let step = if reach.is_some() {
        PART_H
    } else {
        hours.max(1)
    };
    let (before, after) = reach.unwrap_or((hours, hours));
    (0..hours).step_by(step).map(move |first| {
        let last = (first + step).min(hours);
        Part {
            first,
            last,
            from: first.saturating_sub(before),
            to: (last + after).min(hours),
        }
    })
}

/// Hours before and after an hour on which a rule's finding may rest; `None`: without end.
fn reach(rule: &Rule) -> Option<(usize, usize)> {
    let (before, after) = match rule.over {
        Span::ThisHour => (0, 0),
        Span::After(hours) => (0, hours as usize),
        Span::Before(hours) => (hours as usize, 0),
        Span::EachOfDays(days) => (LONGEST_DAY_H, (days as usize + 1) * LONGEST_DAY_H),
    };
    match rule.measure {
        Measure::HoursSinceRain | Measure::HoursUntilRain => None,
        Measure::DryingHours => Some((before, after + MAX_DRYING_H + 1)),
        _ => Some((before, after)),
    }
}

/// The hours on which the findings of `first..last` rest, of so many.
pub(super) fn around(
    operation: &Operation,
    (first, last): (usize, usize),
    hours: usize,
) -> (usize, usize) {
    farthest(operation).map_or((0, hours), |(before, after)| {
        (first.saturating_sub(before), (last + after).min(hours))
    })
}

/// The farthest reaches of all rules; `None`: one of them is without end.
fn farthest(operation: &Operation) -> Option<(usize, usize)> {
    let mut reaches = operation.rules.iter().map(reach);
    reaches.try_fold((0, 0), |(before, after), reach| {
        let (own_before, own_after) = reach?;
        Some((before.max(own_before), after.max(own_after)))
    })
}
