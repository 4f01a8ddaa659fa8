//! One hour, rule by rule: the values that went in, the formula and its source.

use crate::air::{self, Formula};
use crate::operation::{Measure, Operation};
use crate::quantity::Unit;
use crate::series::{Amounts, Element, HourlySeries};
use crate::spell::{Finding, Judged, Outcome, Sky};
use crate::sun;

/// A value that went into a formula.
#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    /// What it is.
    pub name: &'static str,
    /// Its least and greatest value; `None`: missing.
    pub value: Option<(f64, f64)>,
    /// Its unit.
    pub unit: Unit,
}

/// What one rule found in the explained hour.
#[derive(Debug, Clone, PartialEq)]
pub struct ExplainedRule {
    /// Index of the rule in the operation.
    pub rule: usize,
    /// What it finds.
    pub finding: Finding,
    /// Whether it goes unchecked.
    pub is_unchecked: bool,
    /// The hour whose value decides \[s since 1970 UTC\].
    pub decided_by: i64,
    /// What went into that hour's value.
    pub inputs: Vec<Input>,
    /// Formula and source, for a measure that is derived.
    pub formula: Option<Formula>,
}

impl ExplainedRule {
    /// What the rule finds, in a word: `holds`, `fails`, `not-known` or `unchecked`.
    #[must_use]
    pub fn outcome(&self) -> &'static str {
        match self.finding.outcome {
            _ if self.is_unchecked => "unchecked",
            Outcome::Holds => "holds",
            Outcome::Fails => "fails",
            Outcome::Unknown => "not-known",
        }
    }
}

/// An hour explained.
#[derive(Debug, Clone, PartialEq)]
pub struct Explained {
    /// Its beginning \[s since 1970 UTC\].
    pub time: i64,
    /// Rule by rule, in the operation's order.
    pub rules: Vec<ExplainedRule>,
}

/// Explains an hour of a judged series.
pub(super) fn explain(
    judged: &Judged<'_>,
    series: &HourlySeries,
    operation: &Operation,
    sky: &Sky,
    hour: usize,
) -> Explained {
    let rules = operation.rules.iter().enumerate().map(|(index, rule)| {
        let finding = judged.finding(index, hour);
        let is_known = finding.outcome != Outcome::Unknown && !judged.is_absent(index);
        let decided_by = if is_known {
            finding.decided_by as usize
        } else {
            hour
        };
        ExplainedRule {
            rule: index,
            finding,
            is_unchecked: judged.is_unchecked(index),
            decided_by: series.time(decided_by),
            inputs: inputs(series, sky, rule.measure, decided_by),
            formula: formula(series, rule.measure),
        }
    });
    Explained {
        time: series.time(hour),
        rules: rules.collect(),
    }
}

/// The formula of a measure, unless the file gives it.
fn formula(series: &HourlySeries, measure: Measure) -> Option<Formula> {
    let is_read = match measure {
        Measure::Read(element) => series.has(element),
        _ => false,
    };
    if is_read {
        return None;
    }
    let all = air::FORMULAS.iter().chain(sun::FORMULAS);
    all.into_iter()
        .find(|formula| formula.measure == measure.name())
        .copied()
}

fn inputs(series: &HourlySeries, sky: &Sky, measure: Measure, hour: usize) -> Vec<Input> {
    let read = |element: Element| read_input(series, element, hour);
    let moist = if series.has(Element::Humidity) {
        Element::Humidity
    } else {
        Element::DewPoint
    };
    match measure {
        Measure::Read(element @ (Element::Rain | Element::Snow)) => {
            vec![depth_input(series, element, hour)]
        }
        Measure::Read(element) if series.has(element) => vec![read(element)],
        Measure::Read(_) | Measure::DewPointDepression | Measure::VapourPressureDeficit => {
            vec![read(Element::Temperature), read(moist)]
        }
        Measure::WetBulb | Measure::WetBulbDepression => {
            vec![read(Element::Temperature), read(moist), pressure_input(sky)]
        }
        Measure::DryingHours => vec![
            read(Element::Temperature),
            read(moist),
            read(Element::Wind),
            depth_input(series, Element::Rain, hour),
            pressure_input(sky),
        ],
        Measure::SunElevation | Measure::Daylight => place_inputs(sky),
        Measure::HoursSinceRain | Measure::HoursUntilRain => {
            vec![depth_input(series, Element::Rain, hour)]
        }
    }
}

fn read_input(series: &HourlySeries, element: Element, hour: usize) -> Input {
    let column = series.column(element);
    let unit = column.map_or(element.kind().si(), |column| column.unit_at(hour));
    Input {
        name: element.name(),
        value: column.and_then(|column| column.at(hour, unit)),
        unit,
    }
}

fn depth_input(series: &HourlySeries, element: Element, hour: usize) -> Input {
    let amounts = series.amounts(element);
    let unit = amounts.map_or(Unit::Millimetre, Amounts::unit);
    let shown = |um: i64| Unit::Millimetre.convert(um as f64 / 1000.0, unit);
    let sum = amounts.map(|amounts| amounts.sum(hour, hour + 1));
    let value = sum.and_then(|sum| Some((shown(sum.low_um), shown(sum.high_um?))));
    Input {
        name: element.name(),
        value,
        unit,
    }
}

fn pressure_input(sky: &Sky) -> Input {
    let hpa = air::standard_pressure_hpa(sky.elevation_m);
    Input {
        name: "air pressure",
        value: hpa.map(|hpa| (hpa, hpa)),
        unit: Unit::Hectopascal,
    }
}

fn place_inputs(sky: &Sky) -> Vec<Input> {
    let Some((north, east)) = sky.coordinates else {
        return Vec::new();
    };
    let fixed = |name, value: f64| Input {
        name,
        value: Some((value, value)),
        unit: Unit::Degree,
    };
    vec![fixed("latitude", north), fixed("longitude", east)]
}
