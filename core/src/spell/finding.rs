//! What a rule finds: it holds, it fails, or it cannot be known; and the value that it found.

use std::sync::Arc;

use super::span::Bounds;
use crate::operation::Rule;
use crate::quantity::{Quantity, Unit};
use crate::series::micrometres;

/// What a rule finds in an hour, from good to bad.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// It holds at every value that can be.
    Holds,
    /// It cannot be known.
    Unknown,
    /// It fails at every value that can be.
    Fails,
}

/// What a rule finds in an hour, with the value it found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Finding {
    /// Whether the rule holds.
    pub outcome: Outcome,
    /// Hour of the series that decides, for least and greatest; otherwise the first of the span.
    pub decided_by: u32,
    /// Least value that can be, in the rule's unit.
    pub low: f64,
    /// Greatest value that can be, in the rule's unit.
    pub high: f64,
}

impl Finding {
    /// Nothing known at all.
    pub const NOTHING: Self = Self {
        outcome: Outcome::Unknown,
        decided_by: 0,
        low: f64::NEG_INFINITY,
        high: f64::INFINITY,
    };

    /// The value to name where the rule fails: the bound that is nearer to its limit.
    #[must_use]
    pub fn value(&self, rule: &Rule) -> f64 {
        let least = rule
            .at_least
            .map(|limit| limit.unit.convert(limit.value, rule.unit()));
        let is_under = least.is_some_and(|least| self.high < least);
        if is_under || rule.at_most.is_none() {
            self.high
        } else {
            self.low
        }
    }

    /// How far the value lies inside the rule's limits, in the rule's unit; below 0 by how much it fails.
    /// Of a value between bounds the worse bound counts.
    #[must_use]
    pub fn margin(&self, rule: &Rule) -> f64 {
        let limit = |limit: Quantity| limit.unit.convert(limit.value, rule.unit());
        let over_low = rule
            .at_least
            .map_or(f64::INFINITY, |least| self.low - limit(least));
        let under_high = rule
            .at_most
            .map_or(f64::INFINITY, |most| limit(most) - self.high);
        over_low.min(under_high)
    }

    /// By how much the rule fails at the value of [`Self::value`], as a number below 0.
    #[must_use]
    pub fn shortfall(&self, rule: &Rule) -> f64 {
        let value = self.value(rule);
        Self {
            low: value,
            high: value,
            ..*self
        }
        .margin(rule)
    }
}

/// In which numbers the bounds of a rule's spans are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Scale {
    /// In a unit, as read or derived.
    In(Unit),
    /// In whole micrometres of rain or snow.
    Micrometres,
}

impl Scale {
    /// A counted number in a unit of the rule.
    pub(super) fn to(self, number: f64, unit: Unit) -> f64 {
        match self {
            Self::In(own) => own.convert(number, unit),
            Self::Micrometres if unit == Unit::Inch => number / 25_400.0,
            Self::Micrometres => unit.of_si(number / 1000.0),
        }
    }
}

/// What one rule finds, hour by hour.
#[derive(Debug, Clone)]
pub(super) struct Findings {
    outcomes: Vec<Outcome>,
    bounds: Arc<Bounds>,
    scale: Scale,
    own: Unit,
}

impl Findings {
    /// Judges the bounds of a rule's spans by its limits.
    pub(super) fn new(rule: &Rule, bounds: Arc<Bounds>, scale: Scale) -> Self {
        let mut outcomes = outcomes(rule, &bounds, scale);
        if let Some(missing) = &bounds.is_missing {
            for (outcome, is_missing) in outcomes.iter_mut().zip(missing) {
                if *is_missing && *outcome == Outcome::Holds {
                    *outcome = Outcome::Unknown;
                }
            }
        }
        Self {
            outcomes,
            bounds,
            scale,
            own: rule.unit(),
        }
    }

    /// Outcomes, one an hour.
    pub(super) fn outcomes(&self) -> &[Outcome] {
        &self.outcomes
    }

    /// The bounds at a place, in the rule's unit.
    fn bounds_at(&self, place: usize) -> (f64, f64) {
        let own = |number: Option<&f64>, unknown: f64| match number {
            Some(number) if !number.is_nan() => self.scale.to(*number, self.own),
            _ => unknown,
        };
        let low = own(self.bounds.low.get(place), f64::NEG_INFINITY);
        (low, own(self.bounds.high().get(place), f64::INFINITY))
    }

    /// How far the value at a place lies inside the limits of the rule, as [`Finding::margin`].
    pub(super) fn margin(&self, place: usize, rule: &Rule) -> f64 {
        let (low, high) = self.bounds_at(place);
        Finding {
            low,
            high,
            ..Finding::NOTHING
        }
        .margin(rule)
    }

    /// The finding at a place, with its bounds in the rule's unit.
    pub(super) fn at(&self, place: usize) -> Option<Finding> {
        let outcome = *self.outcomes.get(place)?;
        let (low, high) = self.bounds_at(place);
        let decided_by = u32::try_from(self.bounds.decided_by(place)).unwrap_or(u32::MAX);
        Some(Finding {
            outcome,
            decided_by,
            low,
            high,
        })
    }

    /// The findings picked, in the order of `places`; a place past the end is known of nothing.
    pub(super) fn picked(self, places: &[usize]) -> Self {
        let of = |place: &usize| {
            self.outcomes
                .get(*place)
                .copied()
                .unwrap_or(Outcome::Unknown)
        };
        let outcomes = places.iter().map(of).collect();
        Self {
            outcomes,
            bounds: Arc::new(self.bounds.picked(places)),
            ..self
        }
    }
}

/// Whether the limits hold over the bounds, where nothing is missing.
fn outcomes(rule: &Rule, bounds: &Bounds, scale: Scale) -> Vec<Outcome> {
    let limits = [rule.at_least, rule.at_most];
    let (least, most) = match scale {
        Scale::Micrometres => (
            rule.at_least
                .map(|limit| micrometres(limit.value, limit.unit) as f64),
            rule.at_most
                .map(|limit| micrometres(limit.value, limit.unit) as f64),
        ),
        Scale::In(unit) if limits.iter().flatten().all(|limit| limit.unit == unit) => (
            rule.at_least.map(|limit| limit.value),
            rule.at_most.map(|limit| limit.value),
        ),
        Scale::In(unit) => return outcomes_through_si(rule, bounds, unit),
    };
    let (least, most) = (
        least.unwrap_or(f64::NEG_INFINITY),
        most.unwrap_or(f64::INFINITY),
    );
    let hours = bounds.low.iter().zip(bounds.high());
    hours
        .map(|(low, high)| outcome((*low, *high), least, most))
        .collect()
}

/// The same where a limit is in another unit than the values: that limit and the values go to SI.
fn outcomes_through_si(rule: &Rule, bounds: &Bounds, unit: Unit) -> Vec<Outcome> {
    let against = |value: (f64, f64), limit: Option<Quantity>, is_least: bool| {
        let Some(limit) = limit else {
            return Outcome::Holds;
        };
        let (low, high, limit) = if limit.unit == unit {
            (value.0, value.1, limit.value)
        } else {
            (unit.to_si(value.0), unit.to_si(value.1), limit.si())
        };
        if is_least {
            outcome((low, high), limit, f64::INFINITY)
        } else {
            outcome((low, high), f64::NEG_INFINITY, limit)
        }
    };
    let hours = bounds.low.iter().zip(bounds.high());
    hours
        .map(|(low, high)| {
            let value = (*low, *high);
            against(value, rule.at_least, true).max(against(value, rule.at_most, false))
        })
        .collect()
}

#[inline]
fn outcome((low, high): (f64, f64), least: f64, most: f64) -> Outcome {
    if high < least || low > most {
        Outcome::Fails
    } else if low >= least && high <= most {
        Outcome::Holds
    } else {
        Outcome::Unknown // bounds on either side of the limit, or NaN
    }
}
