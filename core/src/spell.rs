//! Rules over hours: what each rule finds in each hour, which hours are fair, and the runs that they make.
//!
//! Three answers, never two: a rule holds, fails, or cannot be known. It is known to hold only where no value of
//! its span is missing and it holds at every value within the bounds; it is known to fail as soon as it fails at
//! every value that the missing could have. Work grows with the hours, whatever the length of the spans.

mod finding;
mod span;
mod track;
mod window;

use std::sync::Arc;

use chrono_tz::Tz;

use crate::operation::{Measure, Operation, Rule, Severity, Span};
use crate::series::{Amounts, Element, HourlySeries};

pub use finding::{Finding, Outcome};
use finding::{Findings, Scale};
pub(crate) use span::LONGEST_DAY_H;
use span::{Bounds, Days, Scan};
pub use track::{MAX_DRYING_H, Sky};
use track::{Track, track};

/// Standard error of a forecast temperature on its first day \[°C\], by which margins are weighed: 3.2 °F of
/// standard deviation at no lead (common practice, no source).
const TEMPERATURE_ERROR_C: f64 = 3.2 * 5.0 / 9.0;
/// The same of a forecast wind \[m/s\] (common practice, no source).
const WIND_ERROR_MS: f64 = 1.5;

/// Whether an hour is fit for the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// All blocking rules hold.
    Fair,
    /// A blocking rule is known to fail.
    Hindered,
    /// It cannot be known.
    Unknown,
}

impl State {
    /// Its name in answers.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Fair => "fair",
            Self::Hindered => "hindered",
            Self::Unknown => "unknown",
        }
    }
}

/// Why a rule could not be known in an hour.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum Gap {
    /// The file does not have the measure.
    NoMeasure,
    /// The span reaches back before the file's first hour.
    BeforeFile,
    /// The span reaches past the file's last hour.
    PastFile,
    /// A value is missing in this hour of the series.
    Missing {
        /// The hour.
        hour: usize,
    },
    /// The value is known between bounds only, and the limit lies between them.
    Bounds,
}

/// The values that a rule looks at.
#[derive(Debug, Clone)]
enum Values<'a> {
    Absent,
    Track(Track),
    Amounts(&'a Amounts),
}

/// What an operation's rules found in the hours of a series.
#[derive(Debug)]
pub struct Found {
    from: usize,
    /// Of each rule what it found; `None`: the file and the place do not give what it limits.
    findings: Vec<Option<Findings>>,
    states: Vec<State>,
}

/// An operation's rules applied to a series.
#[derive(Debug)]
pub struct Judged<'a> {
    series: &'a HourlySeries,
    operation: &'a Operation,
    zone: Tz,
    sky: Sky,
    found: Arc<Found>,
}

impl<'a> Judged<'a> {
    /// Applies an operation's rules to the hours of a series from the hour `from` on.
    ///
    /// `zone` gives the local days; with `is_strict` an optional blocking rule that the file cannot answer makes
    /// its hours unknown.
    #[must_use]
    pub fn new(
        series: &'a HourlySeries,
        operation: &'a Operation,
        sky: &Sky,
        (zone, is_strict): (Tz, bool),
        from: usize,
    ) -> Self {
        let mut seen: Vec<(Measure, Values<'a>)> = Vec::new();
        let mut bounds: Vec<(&Rule, Arc<Bounds>)> = Vec::new();
        let mut findings = Vec::with_capacity(operation.rules.len());
        for rule in &operation.rules {
            if !seen.iter().any(|(measure, _)| *measure == rule.measure) {
                seen.push((rule.measure, values_of(series, sky, rule.measure)));
            }
            let values = seen.iter().find(|(measure, _)| *measure == rule.measure);
            let scan = Scan {
                series,
                rule,
                zone,
                from,
                dry_before: sky.dry_before,
            };
            findings.push(values.and_then(|(_, values)| check(scan, values, &mut bounds)));
        }
        let states = states_of_hours(series, operation, &findings, (from, is_strict));
        let found = Arc::new(Found {
            from,
            findings,
            states,
        });
        Self {
            series,
            operation,
            zone,
            sky: *sky,
            found,
        }
    }

    /// What the rules found.
    #[must_use]
    pub fn found(&self) -> &Arc<Found> {
        &self.found
    }

    /// States of the hours judged.
    #[must_use]
    pub fn states(&self) -> &[State] {
        self.found.states()
    }

    /// What the rule of that index finds in an hour of the series; see [`Found::finding`].
    #[must_use]
    pub fn finding(&self, rule: usize, hour: usize) -> Finding {
        self.found.finding(rule, hour)
    }

    /// The first hour that was judged.
    #[must_use]
    pub fn from(&self) -> usize {
        self.found.from
    }

    /// The hours that were judged.
    #[must_use]
    pub fn series(&self) -> &'a HourlySeries {
        self.series
    }

    /// The operation by which they were judged.
    #[must_use]
    pub fn operation(&self) -> &'a Operation {
        self.operation
    }

    /// First hour that the rule of that index looks at from an hour, and the hour after its last; they may lie
    /// outside the series. `None` if there is no such rule.
    #[must_use]
    pub fn reach(&self, rule: usize, hour: usize) -> Option<(i64, i64)> {
        let scan = Scan {
            series: self.series,
            rule: self.operation.rules.get(rule)?,
            zone: self.zone,
            from: self.found.from,
            dry_before: self.sky.dry_before,
        };
        Some(scan.reach(hour))
    }

    /// Whether the file and the place do not give what the rule of that index limits.
    #[must_use]
    pub fn is_absent(&self, rule: usize) -> bool {
        self.found.is_absent(rule)
    }

    /// Whether the rule of that index goes unchecked: it is optional, and there is nothing to check.
    #[must_use]
    pub fn is_unchecked(&self, rule: usize) -> bool {
        self.is_absent(rule)
            && self
                .operation
                .rules
                .get(rule)
                .is_some_and(|rule| rule.optional)
    }

    /// Why the rule of that index cannot be known in an hour.
    #[must_use]
    pub fn gap(&self, rule: usize, hour: usize) -> Gap {
        let Some(own) = self
            .operation
            .rules
            .get(rule)
            .filter(|_| !self.found.is_absent(rule))
        else {
            return Gap::NoMeasure;
        };
        let values = values_of(self.series, &self.sky, own.measure);
        let dry_before = self.sky.dry_before;
        let scan = Scan {
            series: self.series,
            rule: own,
            zone: self.zone,
            from: self.found.from,
            dry_before,
        };
        let (start, end) = scan.reach(hour);
        let is_missing = |hour: usize| match &values {
            Values::Absent => true,
            Values::Track(track) => track.low.get(hour).is_none_or(|value| value.is_nan()),
            Values::Amounts(amounts) => amounts
                .of_hour(hour)
                .is_none_or(|amount| amount.high_um.is_none()),
        };
        let hours = i64::try_from(self.series.hours()).unwrap_or(i64::MAX);
        let inside = |hour: i64| usize::try_from(hour.clamp(0, hours)).unwrap_or(0);
        if let Some(hour) = (inside(start)..inside(end)).find(|hour| is_missing(*hour)) {
            Gap::Missing { hour }
        } else if start < 0 {
            Gap::BeforeFile
        } else if end > hours {
            Gap::PastFile
        } else {
            Gap::Bounds
        }
    }
}

impl Found {
    /// The first hour that was judged.
    #[must_use]
    pub fn from(&self) -> usize {
        self.from
    }

    /// States of the hours judged, the first that of hour [`Self::from`].
    #[must_use]
    pub fn states(&self) -> &[State] {
        &self.states
    }

    /// Outcomes of a rule in the hours judged; `None` where the file and the place do not give what it limits.
    #[must_use]
    pub fn outcomes(&self, rule: usize) -> Option<&[Outcome]> {
        Some(self.findings.get(rule)?.as_ref()?.outcomes())
    }

    /// What the rule of that index finds in an hour of the series; *unknown* outside the hours judged.
    #[must_use]
    pub fn finding(&self, rule: usize, hour: usize) -> Finding {
        let findings = self.findings.get(rule).and_then(Option::as_ref);
        let place = hour.checked_sub(self.from);
        findings
            .zip(place)
            .and_then(|(findings, place)| findings.at(place))
            .unwrap_or(Finding::NOTHING)
    }

    /// Whether the file and the place do not give what the rule of that index limits.
    #[must_use]
    pub fn is_absent(&self, rule: usize) -> bool {
        self.findings.get(rule).is_none_or(Option::is_none)
    }

    /// How well an hour keeps clear of its blocking limits of temperature and wind: the least margin, counted in
    /// standard errors of a first day's forecast. Infinite where no such rule is.
    #[must_use]
    pub fn clearance(&self, hour: usize, rules: &[Rule]) -> f64 {
        let margins = rules.iter().enumerate().filter_map(|(index, rule)| {
            let error = match rule.measure {
                Measure::Read(Element::Temperature) => TEMPERATURE_ERROR_C,
                Measure::Read(Element::Wind) => WIND_ERROR_MS,
                _ => return None,
            };
            let findings = self.findings.get(index).and_then(Option::as_ref)?;
            let place = hour
                .checked_sub(self.from)
                .filter(|_| rule.severity == Severity::Block)?;
            let margin = findings.margin(place, rule);
            Some(rule.unit().difference().to_si(margin) / error)
        });
        margins.fold(f64::INFINITY, f64::min)
    }
}

/// An hour without a row is unknown; else hindered if a blocking rule fails, else unknown if one is unknown.
fn states_of_hours(
    series: &HourlySeries,
    operation: &Operation,
    findings: &[Option<Findings>],
    (from, is_strict): (usize, bool),
) -> Vec<State> {
    let mut worst = vec![Outcome::Holds; series.hours().saturating_sub(from)];
    for (rule, findings) in operation.rules.iter().zip(findings) {
        match findings {
            _ if rule.severity != Severity::Block => {}
            Some(findings) => {
                for (worst, outcome) in worst.iter_mut().zip(findings.outcomes()) {
                    *worst = (*worst).max(*outcome);
                }
            }
            None if rule.optional && !is_strict => {}
            None => {
                for worst in &mut worst {
                    *worst = (*worst).max(Outcome::Unknown);
                }
            }
        }
    }
    let state = |(hour, outcome): (usize, Outcome)| match outcome {
        _ if !series.has_row(hour) => State::Unknown,
        Outcome::Holds => State::Fair,
        Outcome::Unknown => State::Unknown,
        Outcome::Fails => State::Hindered,
    };
    (from..).zip(worst).map(state).collect()
}

/// Runs of at least `needed` fair hours: first hour and the hour after the last, counted within `states`.
///
/// ```
/// use fairspell::spell::{fair_runs, State::{Fair, Hindered, Unknown}};
/// assert_eq!(fair_runs(&[Fair, Fair, Unknown, Fair, Hindered, Fair, Fair], 2), [(0, 2), (5, 7)]);
/// ```
#[must_use]
pub fn fair_runs(states: &[State], needed: usize) -> Vec<(usize, usize)> {
    let mut runs = Vec::new();
    let mut start = 0;
    for end in 0..=states.len() {
        if states.get(end) != Some(&State::Fair) {
            if end - start >= needed.max(1) {
                runs.push((start, end));
            }
            start = end + 1;
        }
    }
    runs
}

/// First hour of the run of `needed` hours whose least clearance is greatest, the earliest of several; 0 where there is
/// none.
///
/// ```
/// use fairspell::spell::widest_run;
/// assert_eq!(widest_run(&[3.0, 1.0, 2.0, 2.5, 0.5], 2), 2);
/// ```
#[must_use]
pub fn widest_run(clear: &[f64], needed: usize) -> usize {
    let mut best = (0, f64::NEG_INFINITY);
    for (index, run) in clear.windows(needed.max(1)).enumerate() {
        let least = run.iter().copied().fold(f64::INFINITY, f64::min);
        if least > best.1 {
            best = (index, least);
        }
    }
    best.0
}

fn values_of<'a>(series: &'a HourlySeries, sky: &Sky, measure: Measure) -> Values<'a> {
    match measure {
        Measure::Read(element @ (Element::Rain | Element::Snow)) => series
            .amounts(element)
            .map_or(Values::Absent, Values::Amounts),
        _ => track(series, sky, measure).map_or(Values::Absent, Values::Track),
    }
}

/// What one rule finds in the hours of its values; `None` where there are none. Rules that look at the same span
/// of the same measure share its bounds.
fn check<'r>(
    scan: Scan<'r>,
    values: &Values<'_>,
    seen: &mut Vec<(&'r Rule, Arc<Bounds>)>,
) -> Option<Findings> {
    let rule = scan.rule;
    let scale = match values {
        Values::Absent => return None,
        Values::Track(track) => Scale::In(track.unit),
        Values::Amounts(_) => Scale::Micrometres,
    };
    let is_same = |other: &Rule| {
        (other.measure, other.over, other.take) == (rule.measure, rule.over, rule.take)
    };
    let bounds = if let Some((_, bounds)) = seen.iter().find(|(other, _)| is_same(other)) {
        Arc::clone(bounds)
    } else {
        let bounds = Arc::new(match values {
            Values::Absent => return None,
            Values::Track(track) => scan.over_track(track),
            Values::Amounts(amounts) => scan.over_amounts(amounts),
        });
        seen.push((rule, Arc::clone(&bounds)));
        bounds
    };
    let findings = Findings::new(rule, bounds, scale);
    Some(match rule.over {
        Span::EachOfDays(days) => worst_days(scan, findings, days as usize),
        _ => findings,
    })
}

/// Findings of whole days to those of hours: for each hour the worst of the `days` that begin with its own.
fn worst_days(scan: Scan<'_>, daily: Findings, days: usize) -> Findings {
    let calendar = Days::new(scan.series, scan.zone);
    let outcomes = daily.outcomes();
    let worst = |day: usize| {
        let these = outcomes.get(day..day + days).unwrap_or_default();
        let first = |wanted| these.iter().position(|outcome| *outcome == wanted);
        day + first(Outcome::Fails)
            .or_else(|| first(Outcome::Unknown))
            .unwrap_or(0)
    };
    let worst: Vec<usize> = (0..calendar.count()).map(worst).collect();
    let of_hour = |hour| {
        worst
            .get(calendar.of_hour(hour))
            .copied()
            .unwrap_or(usize::MAX)
    };
    let places: Vec<usize> = (scan.from..scan.series.hours()).map(of_hour).collect();
    daily.picked(&places)
}
