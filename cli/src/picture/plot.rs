//! A measure against its limits: values hour by hour, limits as lines with their labels.
//!
//! Nothing is filled in: where values are missing the line is open and a dotted strip lies on the ground; what is
//! known between bounds only is an area from one to the other.

use fairspell::decision::show;
use fairspell::quantity::{Unit, decimals};
use fairspell::series::{Amount, Element, HOUR_S};

use super::ink::{Area, BLACK, BLUE, GREY, Ink, Point, RIM, RUST, text_width};
use super::panel::{GAP, LABEL_STEP, Limit, Panel, TITLE};
use super::scale::Scale;
use super::sheet::{LEFT, RIGHT, Sheet};

/// The forbidden side of a blocking limit on the hour itself.
pub const BEYOND: &str = r##"fill="#d9974f" fill-opacity="0.17""##;
/// Values known between bounds.
pub const BOUNDS: &str = r##"fill="url(#bounds)" stroke="#1c3d6b" stroke-width="1""##;
/// No value.
pub const NO_VALUE: &str = r##"fill="url(#unknown)" stroke="#777777" stroke-width="0.6""##;

/// Room above bars for their totals \[px\].
const HEAD: f64 = 14.0;

/// How a limit's line looks.
pub fn limit_look(is_block: bool) -> &'static str {
    if is_block {
        r##"stroke="#983c08" stroke-width="1.6""##
    } else {
        r##"stroke="#983c08" stroke-width="1.3" stroke-dasharray="6 4""##
    }
}

/// An hour's beginning, and the least and greatest value it can have; `None` is missing.
type Value = (i64, Option<(f64, f64)>);

/// An amount with its beginning and end.
type Placed = (i64, i64, Amount);

/// A panel on a sheet, with what it shows.
#[derive(Debug)]
pub struct Plot<'a> {
    sheet: &'a Sheet<'a>,
    panel: &'a Panel,
    values: Vec<Vec<Value>>,
    amounts: Vec<Placed>,
}

impl<'a> Plot<'a> {
    /// Looks up what the panel shows in the days drawn.
    pub fn new(sheet: &'a Sheet<'a>, panel: &'a Panel) -> Self {
        let values = if panel.is_depth() {
            Vec::new()
        } else {
            values(sheet, panel)
        };
        let amounts = panel
            .elements
            .first()
            .map_or_else(Vec::new, |element| amounts(sheet, *element));
        Self {
            sheet,
            panel,
            values,
            amounts,
        }
    }

    /// Whether any value is known between bounds only.
    pub fn has_bounds(&self) -> bool {
        let apart = |(_, value): &Value| value.is_some_and(|(low, high)| high > low);
        let values = self.values.iter().flatten().any(apart);
        values
            || self
                .amounts
                .iter()
                .any(|(_, _, amount)| amount.high_um.is_some_and(|high| high > amount.low_um))
    }

    /// Least and greatest value shown; infinite the wrong way round where there is none.
    pub fn range(&self) -> (f64, f64) {
        let known = self.values.iter().flatten().filter_map(|(_, value)| *value);
        let depth = |(_, _, amount): &Placed| {
            Some((self.depth(amount.low_um), self.depth(amount.high_um?)))
        };
        let wider =
            |(low, high): (f64, f64), (least, most): (f64, f64)| (least.min(low), most.max(high));
        known
            .chain(self.amounts.iter().filter_map(depth))
            .fold((f64::INFINITY, f64::NEG_INFINITY), wider)
    }

    /// Where its values lie, if it is drawn from `y` down: upper and lower edge.
    pub fn edges(&self, y: f64) -> (f64, f64) {
        let has_totals = self.amounts.iter().any(|(_, _, amount)| amount.hours > 1);
        let head = if has_totals { HEAD } else { 0.0 };
        (y + TITLE + head, y + self.panel.height() - GAP)
    }

    /// Draws it from `y` down; returns where the next may begin.
    pub fn draw(&self, ink: &mut Ink, y: f64) -> f64 {
        let scale = Scale::new(self.panel, self.range(), self.edges(y));
        ink.text(
            (LEFT, y + 13.0),
            r#"font-size="13" font-weight="bold""#,
            &self.panel.title(),
        );
        self.ground(ink, &scale);
        self.curve(ink, &scale);
        self.dots(ink, &scale);
        self.bars(ink, &scale);
        for limit in self
            .panel
            .limits
            .iter()
            .filter(|limit| limit.is_line && scale.has(limit.value))
        {
            let y = scale.y(limit.value);
            ink.line((LEFT, y), (RIGHT, y), limit_look(limit.is_block()));
        }
        self.gaps(ink, &scale);
        self.labels(ink, &scale);
        self.words(ink, &scale);
        y + self.panel.height()
    }

    fn depth(&self, um: i64) -> f64 {
        Unit::Millimetre.convert(um as f64 / 1000.0, self.panel.unit)
    }

    /// Frame, numbers at the left, and the side of the limits on which an hour is forbidden.
    fn ground(&self, ink: &mut Ink, scale: &Scale) {
        let (top, bottom) = (scale.top, scale.bottom);
        for limit in self
            .panel
            .limits
            .iter()
            .filter(|limit| limit.is_block() && limit.is_of_hour && limit.is_line)
        {
            let y = scale.y(limit.value);
            let (from, to) = if limit.is_least {
                (y, bottom)
            } else {
                (top, y)
            };
            if to > from {
                ink.area(
                    Area {
                        x: LEFT,
                        y: from,
                        width: RIGHT - LEFT,
                        height: to - from,
                    },
                    BEYOND,
                );
            }
        }
        let places = usize::from(scale.step < 1.0) + usize::from(scale.step < 0.1);
        let look = format!(r#"text-anchor="end" fill="{GREY}""#);
        for value in scale.numbers() {
            let y = scale.y(value);
            ink.line(
                (LEFT, y),
                (RIGHT, y),
                r##"stroke="#d0d0d0" stroke-width="0.7""##,
            );
            ink.text((LEFT - 7.0, y + 4.0), &look, &decimals(value, places));
        }
        ink.line((LEFT, top), (LEFT, bottom), r##"stroke="#777777""##);
        ink.line((LEFT, bottom), (RIGHT, bottom), r##"stroke="#777777""##);
    }

    /// The first measure: a line through the middles of hours; an hour alone is a dash.
    fn curve(&self, ink: &mut Ink, scale: &Scale) {
        let Some(values) = self.values.first() else {
            return;
        };
        self.bounds(ink, scale, values);
        let half = f64::max(self.sheet.hour_width() * 0.45, 2.0);
        let mut runs: Vec<Vec<Point>> = vec![Vec::new()];
        for (time, value) in values {
            match (value, runs.last_mut()) {
                (Some((low, high)), Some(run)) if high <= low => {
                    run.push((self.sheet.x(time + HOUR_S / 2), scale.y(*low)));
                }
                _ => runs.push(Vec::new()),
            }
        }
        for run in runs {
            match run.as_slice() {
                [] => {}
                [(x, y)] => {
                    ink.line(
                        (x - half, *y),
                        (x + half, *y),
                        &format!(r#"stroke="{BLUE}" stroke-width="3""#),
                    );
                }
                _ => ink.path(
                    &run,
                    &format!(r#"stroke="{BLUE}" stroke-width="2" stroke-linejoin="round""#),
                ),
            }
        }
    }

    /// Areas between bounds; neighbours with the same bounds are one.
    fn bounds(&self, ink: &mut Ink, scale: &Scale, values: &[Value]) {
        let mut runs: Vec<(i64, i64, f64, f64)> = Vec::new();
        for (time, value) in values {
            let Some((low, high)) = value.filter(|(low, high)| high > low) else {
                continue;
            };
            match runs.last_mut() {
                Some(run)
                    if run.1 == *time && (run.2 - low).abs() + (run.3 - high).abs() <= 0.0 =>
                {
                    run.1 = time + HOUR_S;
                }
                _ => runs.push((*time, time + HOUR_S, low, high)),
            }
        }
        for (start, end, low, high) in runs {
            let (left, right, top) = (self.sheet.x(start), self.sheet.x(end), scale.y(high));
            let height = f64::max(scale.y(low) - top, 1.5);
            let (least, most) = (
                show(low, self.panel.unit, None),
                show(high, self.panel.unit, None),
            );
            let told = format!(
                "{}: between {least} and {most}",
                self.sheet.decision.interval(start, end)
            );
            ink.told_area(
                Area {
                    x: left,
                    y: top,
                    width: right - left,
                    height,
                },
                BOUNDS,
                &told,
            );
        }
    }

    /// The second measure: a dot an hour, between bounds a stroke.
    fn dots(&self, ink: &mut Ink, scale: &Scale) {
        let radius = f64::clamp(self.sheet.hour_width() * 0.35, 1.3, 2.2);
        for (time, value) in self.values.get(1).into_iter().flatten() {
            let Some((low, high)) = value else { continue };
            let (x, y) = (self.sheet.x(time + HOUR_S / 2), scale.y(*low));
            if high > low {
                ink.line(
                    (x, y),
                    (x, scale.y(*high)),
                    &format!(r#"stroke="{BLUE}" stroke-width="1""#),
                );
            } else {
                ink.dot((x, y), radius, &format!(r#"fill="{BLUE}""#));
            }
        }
    }

    /// Amounts, each as wide as its hours: full up to the least, hatched on to the greatest it can be.
    fn bars(&self, ink: &mut Ink, scale: &Scale) {
        for (start, end, amount) in &self.amounts {
            let Some(high_um) = amount.high_um.filter(|high| *high > 0 || amount.hours > 1) else {
                continue;
            };
            let (left, right) = (self.sheet.x(*start), self.sheet.x(*end));
            let bar = |um: i64| {
                let height = scale.bottom - scale.y(self.depth(um));
                let height = if um > 0 { height.max(2.0) } else { 0.0 };
                Area {
                    x: left + 0.4,
                    y: scale.bottom - height,
                    width: right - left - 0.8,
                    height,
                }
            };
            let numbers = self.numbers(amount.low_um, high_um);
            let most = numbers.first().map_or("", String::as_str);
            let told = format!(
                "{}: {most} {}",
                self.sheet.decision.interval(*start, *end),
                self.panel.unit.symbol()
            );
            if high_um > amount.low_um {
                ink.told_area(bar(high_um), BOUNDS, &told);
            }
            ink.told_area(bar(amount.low_um), &format!(r#"fill="{BLUE}""#), &told);
            if amount.hours == 1 {
                continue;
            }
            for x in [left + 0.4, right - 0.4] {
                let foot = (x, scale.bottom - 6.0);
                ink.line((x, scale.bottom), foot, &format!(r#"stroke="{BLUE}""#));
            }
            let fits = |text: &&String| text_width(text, 11.0) <= right - left + 2.0;
            if let Some(text) = numbers.iter().find(fits) {
                let at = (f64::midpoint(left, right), bar(high_um).y - 3.0);
                ink.text(
                    at,
                    &format!(r#"font-size="11" text-anchor="middle" {RIM}"#),
                    text,
                );
            }
        }
    }

    /// An amount as text, then shorter where that says almost the same.
    fn numbers(&self, low_um: i64, high_um: i64) -> Vec<String> {
        let symbol = self.panel.unit.symbol();
        let number = |um: i64| {
            show(self.depth(um), self.panel.unit, Some(0.0))
                .replace(symbol, "")
                .trim()
                .to_owned()
        };
        let high = number(high_um);
        let headless = high
            .strip_prefix('0')
            .filter(|rest| !rest.is_empty())
            .map(str::to_owned);
        let is_exact = low_um == high_um;
        let whole = if is_exact {
            self.depth(high_um)
        } else {
            self.depth(high_um).ceil()
        };
        let whole = (self.depth(high_um) >= 1.0).then(|| decimals(whole, 0));
        let sign = if is_exact { "" } else { "≤" };
        let shorter = headless
            .into_iter()
            .chain(whole)
            .map(|text| format!("{sign}{text}"));
        let full = if is_exact {
            high
        } else {
            format!("{}–{high}", number(low_um))
        };
        core::iter::once(full).chain(shorter).collect()
    }

    /// A dotted strip on the ground where the file has no value.
    fn gaps(&self, ink: &mut Ink, scale: &Scale) {
        let mut runs: Vec<(i64, i64)> = Vec::new();
        for cell in self
            .sheet
            .frame
            .cells
            .iter()
            .filter(|cell| !self.is_known(cell.time))
        {
            match runs.last_mut() {
                Some(run) if run.1 == cell.time => run.1 = cell.time + HOUR_S,
                _ => runs.push((cell.time, cell.time + HOUR_S)),
            }
        }
        for (start, end) in runs {
            let (left, right) = (self.sheet.x(start), self.sheet.x(end));
            let area = Area {
                x: left,
                y: scale.bottom - 7.0,
                width: right - left,
                height: 7.0,
            };
            let told = format!("{}: no value", self.sheet.decision.interval(start, end));
            ink.told_area(area, NO_VALUE, &told);
        }
    }

    fn is_known(&self, time: i64) -> bool {
        let holds = |(start, end, amount): &Placed| {
            *start <= time && time < *end && amount.high_um.is_some()
        };
        let is_it = |(at, value): &Value| *at == time && value.is_some();
        self.values
            .first()
            .is_some_and(|values| values.iter().any(is_it))
            || self.amounts.iter().any(holds)
    }

    /// The limits' labels at the right, each at its line or as near as there is room.
    fn labels(&self, ink: &mut Ink, scale: &Scale) {
        let wanted = |limit: &'a Limit| {
            let y = if limit.is_line {
                scale.y(limit.value)
            } else {
                f64::midpoint(scale.top, scale.bottom)
            };
            (y, limit)
        };
        let mut labels: Vec<(f64, &Limit)> = self.panel.limits.iter().map(wanted).collect();
        labels.sort_by(|a, b| a.0.total_cmp(&b.0).then(b.1.value.total_cmp(&a.1.value)));
        let mut places: Vec<f64> = Vec::new();
        for (wanted, _) in &labels {
            let least = places.last().map_or(scale.top, |last| last + LABEL_STEP);
            places.push(wanted.max(least));
        }
        let mut most = scale.bottom;
        for place in places.iter_mut().rev() {
            *place = place.min(most);
            most = *place - LABEL_STEP;
        }
        for ((y, limit), place) in labels.into_iter().zip(places) {
            let sign = match limit.value {
                value if !limit.is_line || scale.has(value) => "",
                value if value > scale.high => " ↑",
                _ => " ↓",
            };
            if limit.is_line && sign.is_empty() {
                ink.path(
                    &[(RIGHT, y), (RIGHT + 5.0, y), (RIGHT + 12.0, place)],
                    limit_look(limit.is_block()),
                );
            }
            let weight = if limit.is_block() {
                r#" font-weight="bold""#
            } else {
                ""
            };
            let text = format!("{}{sign}", limit.label);
            ink.text(
                (RIGHT + 16.0, place + 4.0),
                &format!(r#"fill="{RUST}"{weight}"#),
                &text,
            );
        }
    }

    /// Words where there is nothing to see.
    fn words(&self, ink: &mut Ink, scale: &Scale) {
        let (low, high) = self.range();
        let text = if low > high {
            "no values in these days"
        } else if self.panel.is_depth() && high <= 0.0 {
            "none in the hours that have a value"
        } else {
            return;
        };
        let at = (
            f64::midpoint(LEFT, RIGHT),
            f64::midpoint(scale.top, scale.bottom),
        );
        let look = format!(r#"text-anchor="middle" fill="{BLACK}" {RIM}"#);
        ink.text(at, &look, text);
    }
}

fn values(sheet: &Sheet<'_>, panel: &Panel) -> Vec<Vec<Value>> {
    let of = |element: &Element| {
        let column = sheet.series.column(*element);
        let value = |time: i64| column.and_then(|column| column.at(sheet.hour(time)?, panel.unit));
        sheet
            .frame
            .cells
            .iter()
            .map(|cell| (cell.time, value(cell.time)))
            .collect()
    };
    panel.elements.iter().map(of).collect()
}

fn amounts(sheet: &Sheet<'_>, element: Element) -> Vec<Placed> {
    let Some(amounts) = sheet.series.amounts(element) else {
        return Vec::new();
    };
    let first = sheet
        .frame
        .cells
        .iter()
        .find_map(|cell| sheet.hour(cell.time))
        .unwrap_or(0);
    let skipped = amounts
        .amounts()
        .partition_point(|amount| amount.from + amount.hours <= first);
    let placed = |amount: &Amount| {
        (
            sheet.series.time(amount.from),
            sheet.series.time(amount.from + amount.hours),
            *amount,
        )
    };
    let near = amounts.amounts().iter().skip(skipped).map(placed);
    let inside = near.take_while(|(start, _, _)| *start < sheet.frame.end());
    inside
        .filter(|(_, end, _)| *end > sheet.frame.start())
        .collect()
}

#[cfg(test)]
mod tests {
    use fairspell::decision::Units;
    use fairspell::read::Reading;
    use fairspell::series::{Amounts, Column};

    use super::*;
    use crate::picture::frame::Frame;
    use crate::picture::panel::panels;
    use crate::picture::tests::{demo, oil, place};

    /// The panel of an element, drawn from the demo with its temperature and rain changed.
    fn drawn(number: usize, change: impl Fn(&mut Reading)) -> String {
        let mut forecast = demo();
        change(&mut forecast);
        let decision = oil(&forecast, &place());
        let series = &forecast.members[0];
        let frame = Frame::new(&decision, series);
        let sheet = Sheet {
            decision: &decision,
            series,
            units: Units::AsWritten,
            frame: &frame,
        };
        let panels = panels(&decision, series, Units::AsWritten);
        let mut ink = Ink::default();
        Plot::new(&sheet, &panels[number]).draw(&mut ink, 0.0);
        ink.into_text()
    }

    fn temperature(low: &[f64], high: &[f64]) -> String {
        drawn(0, |forecast| {
            let column = Column::bounded(low.to_vec(), high.to_vec(), Unit::Fahrenheit);
            forecast.members[0]
                .set_column(Element::Temperature, column)
                .unwrap();
        })
    }

    /// Promise 1: a missing hour leaves the line open, and is said.
    #[test]
    fn a_missing_value_leaves_a_gap() {
        let curve = r#"stroke-width="2" stroke-linejoin"#;
        let mut values = vec![50.0; 168];
        assert_eq!(temperature(&values, &values).matches(curve).count(), 1);
        values[80] = f64::NAN;
        let text = temperature(&values, &values);
        assert_eq!(text.matches(curve).count(), 2);
        assert!(
            text.contains("<title>Thu 11 Mar 08:00–09:00: no value</title>"),
            "the gap is not said"
        );
    }

    /// Six hours between the same bounds are one area and no line.
    #[test]
    fn bounds_are_an_area() {
        let (mut low, mut high) = (vec![50.0; 168], vec![50.0; 168]);
        low[78..84].fill(40.0);
        high[78..84].fill(60.0);
        let text = temperature(&low, &high);
        assert_eq!(text.matches("url(#bounds)").count(), 1);
        assert!(text.contains("<title>Thu 11 Mar 06:00–12:00: between 40 °F and 60 °F</title>"));
    }

    /// An amount over six hours is one bar with its total; what no amount covers is no value.
    #[test]
    fn an_amount_over_several_hours_is_one_bar_with_its_total() {
        let text = drawn(1, |forecast| {
            let amounts = [
                Amount {
                    from: 0,
                    hours: 78,
                    low_um: 0,
                    high_um: Some(0),
                },
                Amount {
                    from: 78,
                    hours: 6,
                    low_um: 2400,
                    high_um: Some(2400),
                },
            ];
            let amounts = Amounts::new(168, &amounts, Unit::Millimetre);
            forecast.members[0]
                .set_amounts(Element::Rain, amounts)
                .unwrap();
        });
        assert!(
            text.contains("<title>Thu 11 Mar 06:00–12:00: 2.4 mm</title>")
                && text.contains(">2.4</text>")
        );
        assert!(text.contains("<title>Thu 11 Mar 12:00 – Mon 15 Mar 01:00: no value</title>"));
    }
}
