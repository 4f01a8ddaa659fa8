//! Which measures are drawn, in which unit, and against which limits: those that the file has and a rule limits.

use fairspell::decision::{Decision, Units, show};
use fairspell::operation::{Measure, Rule, Severity, Span, Take};
use fairspell::quantity::{Kind, Quantity, Unit};
use fairspell::series::{Element, HourlySeries};

use super::rule::element_name;

/// Which elements share a panel, from top to bottom.
const GROUPS: [&[Element]; 8] = [
    &[Element::Temperature],
    &[Element::Rain],
    &[Element::Snow],
    &[Element::RainChance],
    &[Element::Humidity],
    &[Element::DewPoint],
    &[Element::Wind, Element::Gust],
    &[Element::Cloud],
];
/// Room for a line of labels \[px\].
pub const LABEL_STEP: f64 = 15.0;
/// Room for the title above a panel's values \[px\].
pub const TITLE: f64 = 20.0;
/// Room below a panel \[px\].
pub const GAP: f64 = 12.0;

/// A limit as it is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// Its place, in the panel's unit.
    pub value: f64,
    /// What it says.
    pub label: String,
    /// Whether it blocks or only cautions.
    pub severity: Severity,
    /// Whether values under it fail; else those over it do.
    pub is_least: bool,
    /// Whether an hour's own value meets it, and not that of a span.
    pub is_of_hour: bool,
    /// Whether it can stand beside the values of hours: the limit on a sum of hours cannot.
    pub is_line: bool,
}

impl Limit {
    /// Whether it blocks.
    pub fn is_block(&self) -> bool {
        self.severity == Severity::Block
    }
}

/// One panel.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// What it shows; the first as a line or bars, the second as dots.
    pub elements: Vec<Element>,
    /// The unit of its values.
    pub unit: Unit,
    /// Its limits.
    pub limits: Vec<Limit>,
}

/// The panels of a sheet.
pub fn panels(decision: &Decision, series: &HourlySeries, units: Units) -> Vec<Panel> {
    let panel = |group: &&[Element]| {
        let elements: Vec<Element> = group
            .iter()
            .copied()
            .filter(|element| series.has(*element))
            .collect();
        let is_here = |rule: &&Rule| matches!(rule.measure, Measure::Read(element) if elements.contains(&element));
        let rules: Vec<&Rule> = decision.operation.rules.iter().filter(is_here).collect();
        let unit = units.shown(rules.first()?.unit());
        let is_mixed = elements.len() > 1;
        let limits = rules
            .iter()
            .flat_map(|rule| limits_of(rule, unit, is_mixed));
        let limits = limits.fold(Vec::new(), merged);
        Some(Panel {
            elements,
            unit,
            limits,
        })
    };
    GROUPS.iter().filter_map(panel).collect()
}

fn limits_of(rule: &Rule, unit: Unit, is_mixed: bool) -> Vec<Limit> {
    let is_of_hour = rule.over == Span::ThisHour;
    let taken = match rule.take {
        Take::Sum if !is_of_hour => "sum ",
        Take::Mean if !is_of_hour => "mean ",
        _ => "",
    };
    let name = match rule.measure {
        Measure::Read(element) if is_mixed => format!("{} ", element_name(element)),
        _ => String::new(),
    };
    let one = |limit: Quantity, is_least: bool| {
        let value = limit.unit.convert(limit.value, unit);
        let is_nothing = value.abs() <= 0.0;
        let written = if unit == limit.unit {
            limit.to_string()
        } else {
            show(value, unit, None)
        };
        let side = if is_least { "at least" } else { "at most" };
        let taken = if is_nothing { "" } else { taken };
        Limit {
            value,
            label: format!("{name}{taken}{side} {written}"),
            severity: rule.severity,
            is_least,
            is_of_hour,
            is_line: is_nothing || is_of_hour || rule.take != Take::Sum,
        }
    };
    let least = rule.at_least.map(|limit| one(limit, true));
    let most = rule.at_most.map(|limit| one(limit, false));
    least.into_iter().chain(most).collect()
}

/// Limits with the same label are one; it blocks if one of them does.
fn merged(mut limits: Vec<Limit>, limit: Limit) -> Vec<Limit> {
    match limits.iter_mut().find(|known| known.label == limit.label) {
        Some(known) => {
            let is_shaded = |limit: &Limit| limit.is_of_hour && limit.is_block();
            known.is_of_hour = is_shaded(known) || is_shaded(&limit);
            if limit.is_block() {
                known.severity = Severity::Block;
            }
        }
        None => limits.push(limit),
    }
    limits
}

impl Panel {
    /// Its height with title and gap \[px\].
    pub fn height(&self) -> f64 {
        let wanted = if self.unit.kind() == Kind::Temperature {
            120.0
        } else {
            72.0
        };
        TITLE + GAP + f64::max(wanted, (self.limits.len() as f64 + 0.4) * LABEL_STEP)
    }

    /// What it shows, and in which unit.
    pub fn title(&self) -> String {
        let names: Vec<&str> = self
            .elements
            .iter()
            .map(|element| element_name(*element))
            .collect();
        match names.as_slice() {
            [line, dots] => format!("{line} (line) and {dots} (dots), {}", self.unit.symbol()),
            _ => format!("{}, {}", names.join(", "), self.unit.symbol()),
        }
    }

    /// Whether it shows amounts, as bars.
    pub fn is_depth(&self) -> bool {
        self.unit.kind() == Kind::Depth
    }

    /// Places of the limits that can be drawn.
    pub fn lines(&self) -> impl Iterator<Item = f64> {
        self.limits
            .iter()
            .filter(|limit| limit.is_line)
            .map(|limit| limit.value)
    }
}
