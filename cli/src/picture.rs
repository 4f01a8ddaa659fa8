//! The answer as a picture: the days, the hours by state, and the measures against their limits, as SVG.
//!
//! It reads without colour: states differ by row, pattern and word, limits by their labels. Every text from outside
//! is escaped, every number has a fixed count of decimals, and so the same answer gives the same bytes.

use fairspell::decision::{Decision, Hour, Units, when};
use fairspell::operation::{Measure, Severity};
use fairspell::series::{HOUR_S, HourlySeries};
use fairspell::spell::State;

pub mod band;
pub mod frame;
pub mod ink;
pub mod panel;
pub mod plot;
pub mod rule;
pub mod scale;
pub mod sheet;

use frame::Frame;
use ink::{Area, BLACK, GREY, HINDERED, Ink, text_width, wrapped, xml};
use panel::panels;
use plot::{BEYOND, BOUNDS, NO_VALUE, Plot, limit_look};
use sheet::{MARGIN, RIGHT, Sheet, TEXT, WIDTH};

/// Room for a line of text \[px\].
const LINE: f64 = 16.0;
/// Most spells named in words below the picture; the rest are counted.
const MAX_NAMED: usize = 12;
/// Hours without daylight.
const NIGHT: &str = r##"fill="#e6e8ef""##;

/// The picture as a file of its own, with all that the answer says.
pub fn svg(decision: &Decision, series: &HourlySeries, units: Units) -> String {
    let frame = Frame::new(decision, series);
    let sheet = Sheet { decision, series, units, frame: &frame };
    let mut ink = Ink::default();
    let mut y = MARGIN + 18.0;
    for line in wrapped(&decision.headline(), 19.0, WIDTH - 2.0 * MARGIN) {
        ink.text((MARGIN, y), r#"font-size="19" font-weight="bold""#, &line);
        y += 25.0;
    }
    for reason in &decision.reasons {
        for line in wrapped(&decision.reason_text(reason, units), 13.0, WIDTH - 2.0 * MARGIN) {
            ink.text((MARGIN, y), r#"font-size="13""#, &line);
            y += LINE;
        }
    }
    y = chart(&sheet, &mut ink, y);
    y = texts(&sheet, &mut ink, y + 16.0);
    document(&sheet, ink, y + MARGIN, r#"xmlns="http://www.w3.org/2000/svg""#)
}

/// The chart alone, to stand in a page that says the rest.
pub fn inline_svg(sheet: &Sheet<'_>) -> String {
    let mut ink = Ink::default();
    let y = chart(sheet, &mut ink, 0.0);
    document(sheet, ink, y + 4.0, "")
}

fn document(sheet: &Sheet<'_>, body: Ink, height: f64, more: &str) -> String {
    let mut ink = Ink::default();
    ink.raw(&format!(
        r#"<svg {more} width="{WIDTH}" height="{height:.0}" viewBox="0 0 {WIDTH} {height:.0}" role="img" aria-labelledby="picture-title picture-desc" font-family="sans-serif" font-size="{TEXT}" fill="{BLACK}">"#
    ));
    ink.raw(&format!(r#"<title id="picture-title">{}</title>"#, xml(&sheet.decision.headline())));
    ink.raw(&format!(r#"<desc id="picture-desc">{}</desc>"#, xml(&described(sheet))));
    ink.raw(&format!(
        r##"<defs>
<pattern id="hindered" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect width="6" height="6" fill="{HINDERED}"/><path d="M1 0V6" stroke="#6b4420" stroke-width="2"/></pattern>
<pattern id="unknown" width="5" height="5" patternUnits="userSpaceOnUse"><rect width="5" height="5" fill="#ffffff"/><circle cx="2.5" cy="2.5" r="1.1" fill="#444444"/></pattern>
<pattern id="bounds" width="4" height="4" patternUnits="userSpaceOnUse"><rect width="4" height="4" fill="#dbe5f2"/><path d="M0 2H4" stroke="#1c3d6b" stroke-width="0.8"/></pattern>
</defs>"##
    ));
    ink.area(Area { x: 0.0, y: 0.0, width: WIDTH, height }, r##"fill="#ffffff""##);
    ink.raw(&body.into_text());
    ink.raw("</svg>");
    ink.into_text()
}

/// The picture in words, for those who do not see it.
fn described(sheet: &Sheet<'_>) -> String {
    let decision = sheet.decision;
    let mut text = String::from("Hours by state on the place's clock.");
    for state in [State::Fair, State::Hindered, State::Unknown] {
        let runs = sheet.frame.runs();
        let hours: i64 = runs.iter().filter(|run| run.state == state).map(|run| (run.end - run.start) / HOUR_S).sum();
        text += &format!(" {} {hours} h.", upper_first(state.name()));
    }
    for spell in decision.spells.iter().take(MAX_NAMED) {
        text += &format!(" Spell {}, {} h.", decision.interval(spell.start, spell.end), spell.hours());
    }
    for panel in panels(decision, sheet.series, sheet.units) {
        let (low, high) = Plot::new(sheet, &panel).range();
        let show = |value| fairspell::decision::show(value, panel.unit, None);
        text += &format!(" {}", upper_first(&panel.title()));
        text += &if low <= high { format!(": {} to {}", show(low), show(high)) } else { ": no values".to_owned() };
        let labels: Vec<&str> = panel.limits.iter().map(|limit| limit.label.as_str()).collect();
        text += &format!("; limits: {}.", labels.join(", "));
    }
    text
}

fn upper_first(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Legend, days, hours by state and panels, from `y` down; returns where they end.
fn chart(sheet: &Sheet<'_>, ink: &mut Ink, y: f64) -> f64 {
    let panels = panels(sheet.decision, sheet.series, sheet.units);
    let plots: Vec<Plot<'_>> = panels.iter().map(|panel| Plot::new(sheet, panel)).collect();
    let mut front = Ink::default();
    let mut y = y + 4.0;
    let mut lines = vec![format!("All times are on the clock of {}.", sheet.decision.zone.name())];
    lines.extend(sheet.frame.remarks());
    for line in wrapped(&lines.join(" "), TEXT, WIDTH - 2.0 * MARGIN) {
        front.text((MARGIN, y + 10.0), &format!(r#"fill="{GREY}""#), &line);
        y += LINE;
    }
    y = legend(sheet, &mut front, &plots, y + 8.0) + 8.0;
    let top = y;
    y = days(sheet, &mut front, y);
    let marks_from = y;
    y = band::window(sheet, &mut front, y + 2.0);
    y = band::flags(sheet, &mut front, y);
    y = band::rows(sheet, &mut front, y) + 10.0;
    for (plot, panel) in plots.iter().zip(&panels) {
        plot.draw(&mut front, y);
        y += panel.height();
    }
    let bottom = y - if panels.is_empty() { 0.0 } else { panel::GAP };
    ground(sheet, ink, (top, marks_from, bottom));
    ink.raw(&front.into_text());
    window_ends(sheet, ink, (marks_from + 20.0, bottom));
    hours(sheet, ink, bottom + 14.0);
    bottom + 20.0
}

/// Whether an hour is dark: a rule on the sun fails in it.
fn is_dark(sheet: &Sheet<'_>, hour: &Hour) -> bool {
    sheet.decision.hindrances(hour).iter().any(|hindrance| {
        let rule = sheet.decision.rule(hindrance.rule);
        rule.is_some_and(|rule| matches!(rule.measure, Measure::Daylight | Measure::SunElevation) && rule.at_least.is_some())
    })
}

/// What lies behind all: nights, and the lines between days.
fn ground(sheet: &Sheet<'_>, ink: &mut Ink, (top, middle, bottom): (f64, f64, f64)) {
    for cell in &sheet.frame.cells {
        if cell.hour.is_some_and(|hour| is_dark(sheet, hour)) {
            let (left, right) = (sheet.x(cell.time), sheet.x(cell.time + HOUR_S));
            ink.area(Area { x: left, y: middle, width: right - left + 0.2, height: bottom - middle }, NIGHT);
        }
    }
    for day in &sheet.frame.days {
        let x = sheet.x(day.start);
        ink.line((x, top), (x, bottom), r##"stroke="#8a8a8a" stroke-width="1""##);
    }
    ink.line((RIGHT, top), (RIGHT, bottom), r##"stroke="#8a8a8a" stroke-width="1""##);
}

/// The time asked about and the window's end, down through all panels.
fn window_ends(sheet: &Sheet<'_>, ink: &mut Ink, (top, bottom): (f64, f64)) {
    let (from, to) = (sheet.x(sheet.decision.at), sheet.x(sheet.decision.until));
    ink.line((from, top), (from, bottom), &format!(r#"stroke="{BLACK}" stroke-width="1.6""#));
    if sheet.decision.until <= sheet.frame.end() {
        ink.line((to, top), (to, bottom), &format!(r#"stroke="{BLACK}" stroke-width="1.6" stroke-dasharray="2 3""#));
    }
}

/// Names of the days over the hours of the clock.
fn days(sheet: &Sheet<'_>, ink: &mut Ink, y: f64) -> f64 {
    for day in &sheet.frame.days {
        let x = f64::midpoint(sheet.x(day.start), sheet.x(day.end));
        ink.text((x, y + 13.0), r#"font-size="13" font-weight="bold" text-anchor="middle""#, &day.name);
    }
    hours(sheet, ink, y + 28.0);
    y + 34.0
}

/// Hours of the clock, as many as there is room for.
fn hours(sheet: &Sheet<'_>, ink: &mut Ink, y: f64) {
    let width = sheet.hour_width();
    let step = [1, 2, 3, 6, 12].into_iter().find(|step| f64::from(*step) * width >= 20.0).unwrap_or(12);
    let look = format!(r#"font-size="11" text-anchor="middle" fill="{GREY}""#);
    for (time, hour) in sheet.frame.ticks(sheet.decision, step) {
        if hour > 0 {
            ink.text((sheet.x(time), y), &look, &format!("{hour:02}"));
        }
    }
}

/// What the signs mean, as many as are drawn.
fn legend(sheet: &Sheet<'_>, ink: &mut Ink, plots: &[Plot<'_>], y: f64) -> f64 {
    let spot = |look: &str| format!(r#"<rect x="0.5" y="1.5" width="25" height="11" {look}/>"#);
    let stroke = |look: &str| format!(r#"<line x1="0" y1="7" x2="26" y2="7" {look}/>"#);
    let mut items = vec![
        (spot(&band::look(State::Fair)), "fair: nothing that blocks"),
        (spot(&band::look(State::Hindered)), "hindered: a limit that blocks is not met"),
        (spot(&band::look(State::Unknown)), "unknown"),
    ];
    if !sheet.decision.spells.is_empty() {
        let sign = format!(r#"<path d="M0 8V3H26V8M4 5L11 9.5L4 14Z" fill="none" stroke="{BLACK}" stroke-width="1.5"/><path d="M4 5L11 9.5L4 14Z" fill="{BLACK}"/>"#);
        items.push((sign, "spell, and its best start"));
    }
    if !plots.is_empty() {
        items.push((stroke(limit_look(true)), "limit that blocks"));
        items.push((stroke(limit_look(false)), "limit that only cautions"));
        items.push((spot(BEYOND), "beyond a blocking limit on the hour itself"));
        items.push((spot(NO_VALUE), "no value"));
    }
    if plots.iter().any(Plot::has_bounds) {
        items.push((spot(BOUNDS), "known between bounds only"));
    }
    if sheet.decision.hours.iter().any(|hour| is_dark(sheet, hour)) {
        items.push((spot(NIGHT), "no daylight"));
    }
    let (mut x, mut y) = (MARGIN, y);
    for (sign, text) in items {
        let width = 34.0 + text_width(text, TEXT) + 18.0;
        if x + width > WIDTH && x > MARGIN {
            (x, y) = (MARGIN, y + 20.0);
        }
        ink.raw(&format!(r#"<g transform="translate({x:.1} {y:.1})">{sign}<text x="32" y="11">{}</text></g>"#, xml(text)));
        x += width;
    }
    y + 18.0
}

/// Below the picture, in two columns: spells and what to know of them; every limit, and the standing cautions.
fn texts(sheet: &Sheet<'_>, ink: &mut Ink, y: f64) -> f64 {
    let decision = sheet.decision;
    let middle = WIDTH / 2.0;
    let mut left = Column { x: MARGIN, y, room: middle - MARGIN - 14.0 };
    let mut right = Column { x: middle, y, room: middle - MARGIN };
    left.block(ink, "Spells", &spell_texts(decision));
    if let Some(spell) = decision.spell.or(decision.spells.first().copied()) {
        let heading = format!("Care in the spell {}", decision.interval(spell.start, spell.end));
        left.block(ink, &heading, &decision.caution_texts(spell.start, spell.end, sheet.units));
    }
    left.block(ink, "What else to know", &decision.note_texts());
    let standing: Vec<String> = decision.standing_cautions().iter().map(|caution| caution.text.to_owned()).collect();
    right.block(ink, "Limits that block", &limit_texts(sheet, Severity::Block));
    right.block(ink, "Limits that only caution", &limit_texts(sheet, Severity::Caution));
    left.block(ink, "Always", &standing);
    left.y.max(right.y)
}

fn spell_texts(decision: &Decision) -> Vec<String> {
    let one = |spell: &fairspell::decision::Spell| {
        let interval = decision.interval(spell.start, spell.end);
        format!("{interval}, {} h, best start {}", spell.hours(), when(spell.best_start, decision.zone))
    };
    let mut texts: Vec<String> = decision.spells.iter().take(MAX_NAMED).map(one).collect();
    if decision.spells.is_empty() {
        texts.push("none up to the end of the file".to_owned());
    }
    let rest = decision.spells.len().saturating_sub(MAX_NAMED);
    if rest > 0 {
        texts.push(format!("and {rest} more"));
    }
    texts
}

fn limit_texts(sheet: &Sheet<'_>, severity: Severity) -> Vec<String> {
    let decision = sheet.decision;
    let rules = decision.operation.rules.iter().enumerate().filter(|(_, rule)| rule.severity == severity);
    let text = |(index, rule): (usize, &fairspell::operation::Rule)| {
        let unchecked = if decision.unchecked.contains(&index) { "; unchecked" } else { "" };
        format!("{}: {}, {}{unchecked}", rule.name, rule::looked_at(rule), decision.limit_text(rule, sheet.units))
    };
    rules.map(text).collect()
}

/// A column of text.
struct Column {
    x: f64,
    y: f64,
    room: f64,
}

impl Column {
    /// A heading and its lines; nothing where there are none.
    fn block(&mut self, ink: &mut Ink, heading: &str, texts: &[String]) {
        if texts.is_empty() {
            return;
        }
        ink.text((self.x, self.y + 12.0), r#"font-size="13" font-weight="bold""#, heading);
        self.y += 18.0;
        for text in texts {
            for (index, line) in wrapped(text, TEXT, self.room - 10.0).iter().enumerate() {
                let x = if index == 0 { self.x } else { self.x + 10.0 };
                ink.text((x, self.y + 11.0), "", line);
                self.y += LINE;
            }
        }
        self.y += 10.0;
    }
}
