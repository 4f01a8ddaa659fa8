//! How often a day of the year was usable for an operation, by the daily extremes of a record.

use crate::freeze::Window;
use crate::operation::{Measure, Operation, Rule, Severity, Span};
use crate::quantity::{Quantity, Unit};
use crate::series::{DailySeries, Element};

use super::damage::Share;

/// Days to either side over which usable days are counted. Ours: fifteen days a year, so that thirty years give 450.
const AROUND_DAYS: usize = 7;

/// A limit on temperature as daily extremes can tell it.
struct Limit {
    at_least: Option<f64>,
    at_most: Option<f64>,
    /// Nights after the day that must keep the lower limit; 0: some hour of the day itself must keep both.
    nights: usize,
}

/// The share of days usable around each day number of a half, over all years: by the operation's blocking rules on
/// temperature alone. Rain, wind and humidity are not in it, so it is too high.
///
/// A rule on this hour asks for a maximum not below its lower limit and a minimum not above its upper one: some hour of
/// the day lies between. A rule on the hours after asks for nights not below its lower limit. `None` where the record has
/// no maxima.
pub(super) fn usable(
    record: &DailySeries,
    window: Window,
    operation: &Operation,
) -> Option<Vec<Share>> {
    let limits: Vec<Limit> = operation
        .rules
        .iter()
        .filter_map(|rule| limit(rule, record.unit()))
        .collect();
    let days = window.days() as usize;
    let (mut hits, mut known) = (vec![0_usize; days], vec![0_usize; days]);
    let tmax = record.tmax()?;
    for (day, date) in (0..record.days()).zip(record.first().iter_days()) {
        if !window.holds(date) {
            continue;
        }
        let Some(is_usable) = is_usable(&limits, record.tmin(), tmax, day) else {
            continue;
        };
        let place = (window.day(date) - window.first_day()) as usize;
        if let (Some(hits), Some(known)) = (hits.get_mut(place), known.get_mut(place)) {
            *hits += usize::from(is_usable);
            *known += 1;
        }
    }
    let around = |day: usize| {
        let around = day.saturating_sub(AROUND_DAYS)..(day + AROUND_DAYS + 1).min(days);
        let sum = |of: &[usize]| of.get(around.clone()).unwrap_or_default().iter().sum();
        Share {
            hits: sum(&hits),
            years: sum(&known),
        }
    };
    Some((0..days).map(around).collect())
}

fn limit(rule: &Rule, unit: Unit) -> Option<Limit> {
    let is_temperature = rule.measure == Measure::Read(Element::Temperature);
    if !is_temperature || rule.severity != Severity::Block {
        return None;
    }
    let nights = match rule.over {
        Span::ThisHour => 0,
        Span::After(hours) => hours.div_ceil(24) as usize,
        Span::EachOfDays(days) => days as usize,
        Span::Before(_) => return None,
    };
    let own = |limit: Quantity| limit.unit.convert(limit.value, unit);
    Some(Limit {
        at_least: rule.at_least.map(own),
        at_most: rule.at_most.map(own),
        nights,
    })
}

/// Whether a day keeps all limits; `None` where an extreme that is needed is missing.
fn is_usable(limits: &[Limit], tmin: &[f64], tmax: &[f64], day: usize) -> Option<bool> {
    let known =
        |values: &[f64], day: usize| values.get(day).copied().filter(|value| !value.is_nan());
    let (low, high) = (known(tmin, day)?, known(tmax, day)?);
    let mut is_usable = true;
    for limit in limits {
        if limit.nights == 0 {
            is_usable &= limit.at_least.is_none_or(|least| high >= least);
            is_usable &= limit.at_most.is_none_or(|most| low <= most);
            continue;
        }
        for night in day + 1..=day + limit.nights {
            let low = known(tmin, night)?;
            is_usable &= limit.at_least.is_none_or(|least| low >= least);
        }
    }
    Some(is_usable)
}
