//! Rules over hours: what each rule finds in each hour, which hours are fair, and the runs that they make.
//!
//! Three answers, never two: a rule holds, fails, or cannot be known. It is known to hold only where no value of
//! its span is missing and it holds at every value within the bounds; it is known to fail as soon as it fails at
//! every value that the missing could have. Work grows with the hours, whatever the length of the spans.

mod track;
mod window;

use chrono_tz::Tz;

use crate::operation::{Measure, Operation, Rule, Severity, Span, Take};
use crate::quantity::{Kind, Quantity, Unit};
use crate::read::local_date;
use crate::series::{Amounts, Element, HourlySeries, micrometres};

pub use track::{MAX_DRYING_H, Sky};
use track::{Track, track};
use window::{Extreme, RunningSum, Window, extremes, missing_before};

/// Standard error of a forecast temperature on its first day \[°C\], by which margins are weighed: 3.2 °F of
/// standard deviation at no lead (common practice, no source).
const TEMPERATURE_ERROR_C: f64 = 3.2 * 5.0 / 9.0;
/// The same of a forecast wind \[m/s\] (common practice, no source).
const WIND_ERROR_MS: f64 = 1.5;

/// What a rule finds in an hour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// It holds at every value that can be.
    Holds,
    /// It fails at every value that can be.
    Fails,
    /// It cannot be known.
    Unknown,
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
        let unit = rule.unit();
        let under = rule
            .at_least
            .is_some_and(|limit| is_below(self.high, unit, limit));
        if under || rule.at_most.is_none() {
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

/// The findings of one rule, hour by hour.
#[derive(Debug)]
struct Checked<'a> {
    findings: Vec<Finding>,
    values: Values<'a>,
}

/// The values that a rule looked at.
#[derive(Debug, Clone)]
enum Values<'a> {
    Absent,
    Track(Track<'a>),
    Amounts(&'a Amounts),
}

/// An operation's rules applied to a series.
#[derive(Debug)]
pub struct Judged<'a> {
    series: &'a HourlySeries,
    operation: &'a Operation,
    zone: Tz,
    dry_before: bool,
    from: usize,
    checked: Vec<Checked<'a>>,
    states: Vec<State>,
}

impl<'a> Judged<'a> {
    /// Applies an operation's rules to the hours of a series from the hour `from` on.
    ///
    /// `zone` gives the local days; with `strict` an optional blocking rule that the file cannot answer makes its
    /// hours unknown.
    #[must_use]
    pub fn new(
        series: &'a HourlySeries,
        operation: &'a Operation,
        sky: &Sky,
        (zone, strict): (Tz, bool),
        from: usize,
    ) -> Self {
        let mut known: Vec<(Measure, Values<'a>)> = Vec::new();
        let mut checked = Vec::with_capacity(operation.rules.len());
        for rule in &operation.rules {
            let seen = known.iter().find(|(measure, _)| *measure == rule.measure);
            let values = if let Some((_, values)) = seen {
                values.clone()
            } else {
                let values = values_of(series, sky, rule.measure);
                known.push((rule.measure, values.clone()));
                values
            };
            let scan = Scan {
                series,
                rule,
                zone,
                from,
                dry_before: sky.dry_before,
            };
            let findings = match &values {
                Values::Absent => Vec::new(),
                Values::Track(track) => scan.track(track),
                Values::Amounts(amounts) => scan.amounts(amounts),
            };
            checked.push(Checked { findings, values });
        }
        let mut judged = Self {
            series,
            operation,
            zone,
            dry_before: sky.dry_before,
            from,
            checked,
            states: Vec::new(),
        };
        judged.states = (from..series.hours())
            .map(|hour| judged.state_of(hour, strict))
            .collect();
        judged
    }

    fn state_of(&self, hour: usize, strict: bool) -> State {
        if !self.series.has_row(hour) {
            return State::Unknown;
        }
        let mut state = State::Fair;
        for (index, rule) in self.operation.rules.iter().enumerate() {
            if rule.severity != Severity::Block || (self.is_unchecked(index) && !strict) {
                continue;
            }
            match self.finding(index, hour).outcome {
                Outcome::Fails => return State::Hindered,
                Outcome::Unknown => state = State::Unknown,
                Outcome::Holds => {}
            }
        }
        state
    }

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

    /// What the rule of that index finds in an hour of the series; *unknown* outside the hours judged.
    #[must_use]
    pub fn finding(&self, rule: usize, hour: usize) -> Finding {
        let checked = self.checked.get(rule);
        let place = hour.checked_sub(self.from);
        let finding = checked
            .zip(place)
            .and_then(|(checked, place)| checked.findings.get(place));
        finding.copied().unwrap_or(Finding::NOTHING)
    }

    /// Whether the file and the place do not give what the rule of that index limits.
    #[must_use]
    pub fn is_absent(&self, rule: usize) -> bool {
        self.checked
            .get(rule)
            .is_none_or(|checked| matches!(checked.values, Values::Absent))
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

    /// The value of what a rule limits in one hour, between its bounds, in the rule's unit.
    #[must_use]
    pub fn value_at(&self, rule: usize, hour: usize) -> Option<(f64, f64)> {
        let unit = self.operation.rules.get(rule)?.unit();
        match &self.checked.get(rule)?.values {
            Values::Absent => None,
            Values::Track(track) => {
                let (low, high) = (*track.low.get(hour)?, *track.high().get(hour)?);
                (!low.is_nan()).then(|| {
                    (
                        track.unit.convert(low, unit),
                        track.unit.convert(high, unit),
                    )
                })
            }
            Values::Amounts(amounts) => {
                let sum = amounts.sum(hour, hour + 1);
                Some((
                    depth(sum.low_um as f64, unit),
                    depth(sum.high_um? as f64, unit),
                ))
            }
        }
    }

    /// Why the rule of that index cannot be known in an hour.
    #[must_use]
    pub fn gap(&self, rule: usize, hour: usize) -> Gap {
        let (Some(checked), Some(own)) = (self.checked.get(rule), self.operation.rules.get(rule))
        else {
            return Gap::NoMeasure;
        };
        let scan = Scan {
            series: self.series,
            rule: own,
            zone: self.zone,
            from: self.from,
            dry_before: self.dry_before,
        };
        let (start, end) = scan.reach(hour);
        let is_missing = |hour: usize| match &checked.values {
            Values::Absent => true,
            Values::Track(track) => track.low.get(hour).is_none_or(|value| value.is_nan()),
            Values::Amounts(amounts) => amounts
                .of_hour(hour)
                .is_none_or(|amount| amount.high_um.is_none()),
        };
        let hours = i64::try_from(self.series.hours()).unwrap_or(i64::MAX);
        let inside = |hour: i64| usize::try_from(hour.clamp(0, hours)).unwrap_or(0);
        if matches!(checked.values, Values::Absent) {
            Gap::NoMeasure
        } else if let Some(hour) = (inside(start)..inside(end)).find(|hour| is_missing(*hour)) {
            Gap::Missing { hour }
        } else if start < 0 {
            Gap::BeforeFile
        } else if end > hours {
            Gap::PastFile
        } else {
            Gap::Bounds
        }
    }

    /// How well an hour keeps clear of its blocking limits of temperature and wind: the least margin, counted in
    /// standard errors of a first day's forecast. Infinite where no such rule is.
    #[must_use]
    pub fn clearance(&self, hour: usize) -> f64 {
        let rules = self.operation.rules.iter().enumerate();
        let margins = rules.filter_map(|(index, rule)| {
            let error = match rule.measure {
                Measure::Read(Element::Temperature) => TEMPERATURE_ERROR_C,
                Measure::Read(Element::Wind) => WIND_ERROR_MS,
                _ => return None,
            };
            if rule.severity != Severity::Block || self.is_absent(index) {
                return None;
            }
            let margin = self.finding(index, hour).margin(rule);
            Some(rule.unit().difference().to_si(margin) / error)
        });
        margins.fold(f64::INFINITY, f64::min)
    }
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

fn values_of<'a>(series: &'a HourlySeries, sky: &Sky, measure: Measure) -> Values<'a> {
    match measure {
        Measure::Read(element @ (Element::Rain | Element::Snow)) => series
            .amounts(element)
            .map_or(Values::Absent, Values::Amounts),
        _ => track(series, sky, measure).map_or(Values::Absent, Values::Track),
    }
}

/// A depth in a unit, from micrometres.
fn depth(micrometres: f64, unit: Unit) -> f64 {
    if unit == Unit::Inch {
        micrometres / 25_400.0
    } else {
        unit.of_si(micrometres / 1000.0)
    }
}

fn is_below(value: f64, unit: Unit, limit: Quantity) -> bool {
    if unit == limit.unit {
        value < limit.value
    } else {
        unit.to_si(value) < limit.si()
    }
}

/// One rule going over a series.
struct Scan<'a> {
    series: &'a HourlySeries,
    rule: &'a Rule,
    zone: Tz,
    from: usize,
    dry_before: bool,
}

/// What is known of a span's value, before it meets the limit.
#[derive(Debug, Clone, Copy)]
struct Known {
    low: f64,
    high: f64,
    is_missing: bool,
    at: u32,
}

impl Scan<'_> {
    /// First hour of the rule's span around an hour, and the hour after its last; may reach past either end.
    fn reach(&self, hour: usize) -> (i64, i64) {
        let hour = i64::try_from(hour).unwrap_or(i64::MAX);
        match self.rule.over {
            Span::ThisHour => (hour, hour + 1),
            Span::After(hours) => (hour, hour + i64::from(hours) + 1),
            Span::Before(hours) => (hour - i64::from(hours), hour + 1),
            Span::EachOfDays(days) => {
                let calendar = Days::new(self.series, self.zone);
                let day = calendar.of_hour(usize::try_from(hour).unwrap_or(0));
                let first = calendar.window(day);
                let last = calendar.window(day + days as usize - 1);
                let start = i64::try_from(first.from).unwrap_or(0)
                    - i64::from(first.beyond && first.from == 0);
                (
                    start,
                    i64::try_from(last.to).unwrap_or(0)
                        + i64::from(last.beyond && last.to == self.series.hours()),
                )
            }
        }
    }

    fn windows(&self) -> impl Iterator<Item = Window> + Clone + use<> {
        let hours = self.series.hours();
        let (before, after) = match self.rule.over {
            Span::Before(hours) => (hours as usize, 0),
            Span::After(hours) => (0, hours as usize),
            Span::ThisHour | Span::EachOfDays(_) => (0, 0),
        };
        (self.from..hours).map(move |hour| Window::around(hour, before, after, hours))
    }

    /// Findings for a measure that is no amount.
    fn track(&self, track: &Track<'_>) -> Vec<Finding> {
        if let Span::EachOfDays(days) = self.rule.over {
            return self.each_of_days(days as usize, |windows| {
                self.over_track(track, windows.into_iter())
            });
        }
        self.over_track(track, self.windows())
    }

    fn over_track(
        &self,
        track: &Track<'_>,
        windows: impl Iterator<Item = Window> + Clone,
    ) -> Vec<Finding> {
        let judge = Judge::new(self.rule, track.unit);
        if self.rule.over == Span::ThisHour {
            let values = track
                .low
                .iter()
                .zip(track.high())
                .zip(0_u32..)
                .skip(self.from);
            let single = values.map(|((low, high), at)| Known {
                low: *low,
                high: *high,
                is_missing: low.is_nan(),
                at,
            });
            return single.map(|known| judge.finding(known)).collect();
        }
        if self.rule.take == Take::Mean {
            return means(track, windows, self.rule.measure)
                .map(|known| judge.finding(known))
                .collect();
        }
        let which = if self.rule.take == Take::Min {
            Extreme::Least
        } else {
            Extreme::Greatest
        };
        let missing = missing_before(&track.low);
        let lows = extremes(&track.low, windows.clone(), which);
        let highs = track
            .high
            .as_deref()
            .map(|high| extremes(high, windows.clone(), which));
        let known = windows.enumerate().map(|(index, window)| {
            let low = lows.get(index).copied().flatten();
            let high = highs
                .as_ref()
                .map_or(low, |highs| highs.get(index).copied().flatten());
            let is_missing = window.beyond || count(&missing, window) > 0;
            extreme_known(which, (low, high), is_missing)
        });
        known.map(|known| judge.finding(known)).collect()
    }

    /// Findings for rain or snow, in whole micrometres.
    fn amounts(&self, amounts: &Amounts) -> Vec<Finding> {
        if let Span::EachOfDays(days) = self.rule.over {
            return self.each_of_days(days as usize, |windows| {
                self.over_amounts(amounts, windows.into_iter())
            });
        }
        self.over_amounts(amounts, self.windows())
    }

    fn over_amounts(
        &self,
        amounts: &Amounts,
        windows: impl Iterator<Item = Window> + Clone,
    ) -> Vec<Finding> {
        let judge = DepthJudge::new(self.rule);
        let is_rain = self.rule.measure == Measure::Read(Element::Rain);
        let cut = |window: Window| {
            let reaches_back_only = window.to <= amounts.hours() && window.from == 0;
            let dry = is_rain
                && self.dry_before
                && reaches_back_only
                && matches!(self.rule.over, Span::Before(_));
            Window {
                beyond: window.beyond && !dry,
                ..window
            }
        };
        let windows = windows.map(cut);
        if matches!(self.rule.take, Take::Min | Take::Max) && self.rule.over != Span::ThisHour {
            return hourly_extremes(amounts, windows, self.rule.take)
                .map(|known| judge.finding(known))
                .collect();
        }
        let span = match self.rule.over {
            Span::Before(hours) | Span::After(hours) => hours as usize + 1,
            _ => 0,
        };
        let known = windows.map(|window| {
            let sum = amounts.sum(window.from, window.to);
            let is_missing = window.beyond || sum.high_um.is_none();
            let whole = if span == 0 {
                window.to - window.from
            } else {
                span
            };
            let share = if self.rule.take == Take::Mean {
                whole.max(1) as f64
            } else {
                1.0
            };
            let high = if is_missing {
                f64::INFINITY
            } else {
                sum.high_um.unwrap_or(0) as f64 / share
            };
            let at = u32::try_from(window.from).unwrap_or(0);
            Known {
                low: sum.low_um as f64 / share,
                high,
                is_missing,
                at,
            }
        });
        known.map(|known| judge.finding(known)).collect()
    }

    /// The worst day of the `days` that begin with each hour's own.
    fn each_of_days(
        &self,
        days: usize,
        over: impl Fn(Vec<Window>) -> Vec<Finding>,
    ) -> Vec<Finding> {
        let calendar = Days::new(self.series, self.zone);
        let all = (0..calendar.count() + days).map(|day| calendar.window(day));
        let daily = over(all.collect());
        let worst = |day: usize| {
            let these = daily.get(day..day + days).unwrap_or_default();
            let first = |outcome| these.iter().find(|finding| finding.outcome == outcome);
            first(Outcome::Fails)
                .or_else(|| first(Outcome::Unknown))
                .or_else(|| these.first())
        };
        let worst: Vec<Finding> = (0..calendar.count())
            .map(|day| worst(day).copied().unwrap_or(Finding::NOTHING))
            .collect();
        let of_hour = |hour| {
            worst
                .get(calendar.of_hour(hour))
                .copied()
                .unwrap_or(Finding::NOTHING)
        };
        (self.from..self.series.hours()).map(of_hour).collect()
    }
}

fn count(missing: &[u32], window: Window) -> u32 {
    let at = |hour: usize| missing.get(hour).copied().unwrap_or(0);
    at(window.to).saturating_sub(at(window.from))
}

/// An extreme of a span and the hour that has it.
type Found = Option<(f64, u32)>;

/// Bounds of an extreme: a missing value could lie beyond it on one side, never short of it.
fn extreme_known(which: Extreme, (low, high): (Found, Found), is_missing: bool) -> Known {
    let value = |extreme: Found, otherwise: f64| extreme.map_or(otherwise, |(value, _)| value);
    let at = |extreme: Found| extreme.map_or(0, |(_, at)| at);
    match which {
        Extreme::Least => Known {
            low: if is_missing {
                f64::NEG_INFINITY
            } else {
                value(low, f64::NEG_INFINITY)
            },
            high: value(high, f64::INFINITY),
            is_missing,
            at: at(high),
        },
        Extreme::Greatest => Known {
            low: value(low, f64::NEG_INFINITY),
            high: if is_missing {
                f64::INFINITY
            } else {
                value(high, f64::INFINITY)
            },
            is_missing,
            at: at(low),
        },
    }
}

/// Means of spans; a missing hour counts as the least, or the greatest, that the measure can be.
fn means(
    track: &Track<'_>,
    windows: impl Iterator<Item = Window>,
    measure: Measure,
) -> impl Iterator<Item = Known> {
    let missing = missing_before(&track.low);
    let (low, high) = (RunningSum::new(&track.low), RunningSum::new(track.high()));
    let (least, greatest) = measure.possible_si();
    let (least, greatest) = (track.unit.of_si(least), track.unit.of_si(greatest));
    windows.map(move |window| {
        let unknown = count(&missing, window);
        let hours = window.to - window.from;
        let at = u32::try_from(window.from).unwrap_or(0);
        if window.beyond || hours == 0 {
            return Known {
                low: f64::NEG_INFINITY,
                high: f64::INFINITY,
                is_missing: true,
                at,
            };
        }
        let low = low.mean(window, hours, unknown, least);
        let high = high.mean(window, hours, unknown, greatest);
        Known {
            low,
            high,
            is_missing: unknown > 0,
            at,
        }
    })
}

/// The least or greatest hourly depth of spans. Of an amount over several hours that lies wholly inside, some hour
/// has at least its mean and some hour at most; of one cut by the span's edge any hour may have nothing or all.
fn hourly_extremes(
    amounts: &Amounts,
    windows: impl Iterator<Item = Window> + Clone,
    take: Take,
) -> impl Iterator<Item = Known> {
    let hours = amounts.hours();
    let which = if take == Take::Min {
        Extreme::Least
    } else {
        Extreme::Greatest
    };
    let (mut whole, mut any, mut missing) = (
        vec![f64::NAN; hours],
        vec![f64::NAN; hours],
        vec![0.0; hours],
    );
    for hour in 0..hours {
        let Some(amount) = amounts.of_hour(hour) else {
            continue;
        };
        let ends = amount.from + amount.hours == hour + 1;
        let mean = match (which, amount.high_um) {
            (Extreme::Least, high) => high.map_or(f64::NAN, |um| um as f64 / amount.hours as f64),
            (Extreme::Greatest, _) => amount.low_um as f64 / amount.hours as f64,
        };
        let single = amount.hours == 1;
        let reach = match which {
            Extreme::Least if single => amount.low_um as f64,
            Extreme::Least => 0.0,
            Extreme::Greatest => amount.high_um.map_or(f64::NAN, |um| um as f64),
        };
        if let (Some(whole), Some(any), Some(missing)) = (
            whole.get_mut(hour),
            any.get_mut(hour),
            missing.get_mut(hour),
        ) {
            (*whole, *any) = (if ends { mean } else { f64::NAN }, reach);
            *missing = if amount.high_um.is_none() {
                f64::NAN
            } else {
                0.0
            };
        }
    }
    let inner = |window: Window| {
        let cut = amounts
            .of_hour(window.from)
            .filter(|amount| amount.from < window.from);
        let from = cut.map_or(window.from, |amount| amount.from + amount.hours);
        Window {
            from: from.min(window.to),
            ..window
        }
    };
    let sure = extremes(&whole, windows.clone().map(inner), which);
    let reach = extremes(&any, windows.clone(), which);
    let missing = missing_before(&missing);
    windows
        .zip(sure.into_iter().zip(reach))
        .map(move |(window, (sure, reach))| {
            let is_missing = window.beyond || count(&missing, window) > 0;
            let bounds = if which == Extreme::Least {
                (reach, sure)
            } else {
                (sure, reach)
            };
            extreme_known(which, bounds, is_missing)
        })
}

/// A rule's limits, brought to the unit of the values once.
struct Judge {
    unit: Unit,
    own: Unit,
    least: Option<(bool, f64)>,
    most: Option<(bool, f64)>,
}

impl Judge {
    fn new(rule: &Rule, unit: Unit) -> Self {
        let limit = |limit: Quantity| {
            if limit.unit == unit {
                (false, limit.value)
            } else {
                (true, limit.si())
            }
        };
        Self {
            unit,
            own: rule.unit(),
            least: rule.at_least.map(limit),
            most: rule.at_most.map(limit),
        }
    }

    fn finding(&self, known: Known) -> Finding {
        let side = |value: f64, through_si: bool| {
            if through_si {
                self.unit.to_si(value)
            } else {
                value
            }
        };
        let under = |value: f64| {
            self.least
                .is_some_and(|(si, limit)| side(value, si) < limit)
        };
        let over = |value: f64| self.most.is_some_and(|(si, limit)| side(value, si) > limit);
        let outcome = if under(known.high) || over(known.low) {
            Outcome::Fails
        } else if known.is_missing || known.low.is_nan() || under(known.low) || over(known.high) {
            Outcome::Unknown
        } else {
            Outcome::Holds
        };
        let own = |value: f64| {
            if self.unit == self.own {
                value
            } else {
                self.unit.convert(value, self.own)
            }
        };
        Finding {
            outcome,
            decided_by: known.at,
            low: own(known.low),
            high: own(known.high),
        }
    }
}

/// A rule's limits on a depth, in whole micrometres.
struct DepthJudge {
    own: Unit,
    least: Option<f64>,
    most: Option<f64>,
}

impl DepthJudge {
    fn new(rule: &Rule) -> Self {
        let limit = |limit: Quantity| micrometres(limit.value, limit.unit) as f64;
        debug_assert_eq!(rule.measure.kind(), Kind::Depth);
        Self {
            own: rule.unit(),
            least: rule.at_least.map(limit),
            most: rule.at_most.map(limit),
        }
    }

    fn finding(&self, known: Known) -> Finding {
        let under = |value: f64| self.least.is_some_and(|limit| value < limit);
        let over = |value: f64| self.most.is_some_and(|limit| value > limit);
        let outcome = if under(known.high) || over(known.low) {
            Outcome::Fails
        } else if known.is_missing || under(known.low) || over(known.high) {
            Outcome::Unknown
        } else {
            Outcome::Holds
        };
        Finding {
            outcome,
            decided_by: known.at,
            low: depth(known.low, self.own),
            high: depth(known.high, self.own),
        }
    }
}

/// Local days of a series.
struct Days {
    /// First hour of each day, then the number of hours.
    starts: Vec<usize>,
    /// Whether the first day began before the series, and whether the last goes on after it.
    is_cut: (bool, bool),
}

impl Days {
    fn new(series: &HourlySeries, zone: Tz) -> Self {
        let date = |hour: usize| local_date(series.time(hour), zone);
        let hours = series.hours();
        let mut starts = vec![0];
        let mut last = date(0);
        for hour in 1..hours {
            let next = date(hour);
            if next != last {
                starts.push(hour);
                last = next;
            }
        }
        starts.push(hours);
        let before = local_date(series.start() - crate::series::HOUR_S, zone) == date(0);
        Self {
            starts,
            is_cut: (before, date(hours) == last),
        }
    }

    fn count(&self) -> usize {
        self.starts.len() - 1
    }

    fn of_hour(&self, hour: usize) -> usize {
        self.starts
            .partition_point(|start| *start <= hour)
            .saturating_sub(1)
            .min(self.count() - 1)
    }

    /// The hours of a day; of a day past the end none, and *beyond*.
    fn window(&self, day: usize) -> Window {
        let end = self.starts.last().copied().unwrap_or(0);
        let (Some(from), Some(to)) = (self.starts.get(day), self.starts.get(day + 1)) else {
            return Window {
                from: end,
                to: end,
                beyond: true,
            };
        };
        let first = day == 0 && self.is_cut.0;
        let last = day + 1 == self.count() && self.is_cut.1;
        Window {
            from: *from,
            to: *to,
            beyond: first || last,
        }
    }
}
