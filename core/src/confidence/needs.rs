//! What a run of hours needs of the weather: the tightest band that its blocking rules put on each hour.
//!
//! A rule over a span that looks at the least (at least) or the greatest (at most) of its hours is a limit on each of
//! them. What cannot be told as a band on single hours lies outside the model, and is named.

use core::ops::Range;

use crate::operation::{Measure, Rule, Severity, Span, Take};
use crate::series::{Element, HourlySeries};
use crate::spell::Judged;

/// Rain below which an hour is dry to a chance of rain \[mm\]: such chances speak of 0.01 in or more (American
/// Meteorological Society, Glossary).
const DRY_MM: f64 = 0.254;

/// No limit on an hour.
const FREE: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

/// What a run of hours needs, hour by hour.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Needs {
    /// Limits on the temperature \[°C\].
    pub(super) temperature: Limits,
    /// Limits on the wind \[m/s\].
    pub(super) wind: Limits,
    /// Hours that must be dry.
    pub(super) dry: Range<usize>,
    /// Names of measures that are taken as forecast.
    pub(super) outside: Vec<&'static str>,
}

/// Limits on hours in a row, in SI.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Limits {
    first: usize,
    bands: Vec<(f64, f64)>,
}

impl Limits {
    /// The hours that have a limit, with it: low and high, infinite where there is none.
    pub(super) fn hours(&self) -> impl Iterator<Item = (usize, f64, f64)> + '_ {
        let all = (self.first..).zip(&self.bands);
        let limited = all.filter(|(_, band)| band.0.is_finite() || band.1.is_finite());
        limited.map(|(hour, (low, high))| (hour, *low, *high))
    }

    /// Puts a limit on hours.
    fn narrow(&mut self, hours: &Range<usize>, low: f64, high: f64) {
        if hours.is_empty() {
            return;
        }
        if self.bands.is_empty() {
            self.first = hours.start;
        }
        let missing = self.first.saturating_sub(hours.start);
        if missing > 0 {
            self.bands.splice(0..0, core::iter::repeat_n(FREE, missing));
            self.first = hours.start;
        }
        let length = self.bands.len().max(hours.end.saturating_sub(self.first));
        self.bands.resize(length, FREE);
        let from = hours.start - self.first;
        let inside = self.bands.get_mut(from..from + hours.len());
        for band in inside.into_iter().flatten() {
            *band = (band.0.max(low), band.1.min(high));
        }
    }
}

/// How a rule meets the model.
enum Part {
    Temperature,
    Wind,
    Dry,
    /// Known without error: the sun, or the chance itself.
    Exact,
    /// Taken as forecast.
    Outside,
}

impl Needs {
    /// What the hours `run` of a judged series need. Hours that were observed need nothing more.
    pub(super) fn of(judged: &Judged<'_>, run: &Range<usize>) -> Self {
        let mut needs = Self::default();
        let rules = judged.operation().rules.iter().enumerate();
        let blocking = rules.filter(|(_, rule)| rule.severity == Severity::Block);
        for (index, rule) in blocking.filter(|(index, _)| !judged.is_absent(*index)) {
            let hours = reach(judged, index, run);
            let si =
                |limit: Option<crate::quantity::Quantity>| limit.map(crate::quantity::Quantity::si);
            let low = si(rule.at_least).unwrap_or(f64::NEG_INFINITY);
            let high = si(rule.at_most).unwrap_or(f64::INFINITY);
            match part(rule) {
                Part::Temperature => needs.temperature.narrow(&hours, low, high),
                Part::Wind => needs.wind.narrow(&hours, low, high),
                Part::Dry if needs.dry.is_empty() => needs.dry = hours,
                Part::Dry if hours.is_empty() => {}
                Part::Dry => {
                    needs.dry = needs.dry.start.min(hours.start)..needs.dry.end.max(hours.end);
                }
                Part::Exact => {}
                Part::Outside if needs.outside.contains(&rule.measure.name()) => {}
                Part::Outside => needs.outside.push(rule.measure.name()),
            }
        }
        needs
    }
}

/// Whether a rule is a band on the temperature of single hours.
pub(super) fn is_of_temperature(rule: &Rule) -> bool {
    matches!(part(rule), Part::Temperature)
}

fn part(rule: &Rule) -> Part {
    let is_of_hours = match rule.take {
        _ if rule.over == Span::ThisHour => true,
        Take::Min => rule.at_most.is_none(),
        Take::Max => rule.at_least.is_none(),
        Take::Value => true,
        Take::Sum | Take::Mean => false,
    };
    let is_dry = || {
        let limit = rule.at_most.map(crate::quantity::Quantity::si);
        rule.at_least.is_none()
            && limit.is_some_and(|limit| limit < DRY_MM)
            && rule.take != Take::Min
    };
    match rule.measure {
        Measure::Read(Element::Temperature) if is_of_hours => Part::Temperature,
        Measure::Read(Element::Wind) if is_of_hours => Part::Wind,
        Measure::Read(Element::Rain) if is_dry() => Part::Dry,
        Measure::Read(Element::RainChance) | Measure::SunElevation | Measure::Daylight => {
            Part::Exact
        }
        _ => Part::Outside,
    }
}

/// The hours of the forecast that a rule looks at from the hours of a run.
fn reach(judged: &Judged<'_>, rule: usize, run: &Range<usize>) -> Range<usize> {
    let series: &HourlySeries = judged.series();
    let first = judged.reach(rule, run.start);
    let last = judged.reach(rule, run.end.saturating_sub(1));
    let (Some((from, _)), Some((_, to))) = (first, last) else {
        return 0..0;
    };
    let inside = |hour: i64| usize::try_from(hour).unwrap_or(0).min(series.hours());
    let from = inside(from).max(series.forecast_from());
    from..inside(to).max(from)
}
