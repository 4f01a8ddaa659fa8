//! The legend: what the signs mean, as many as are drawn.

use chrono::NaiveDate;
use fairspell::freeze::{Half, LEAST_RISK_YEARS, StationFreezes};

use super::risk::{ASKED, BAND, RING};
use super::{MARGIN, WIDTH, carried, halves, history, shown, trend};
use crate::picture::ink::{BLACK, BLUE, Ink, RUST, text_width, xml};

/// Draws the legend from `y` down; returns where it ends.
pub fn legend(station: &StationFreezes, on: Option<NaiveDate>, ink: &mut Ink, y: f64) -> f64 {
    let drawn: Vec<&Half> = shown(station)
        .flat_map(halves)
        .filter(|half| half.freeze_years > 0)
        .collect();
    if drawn.is_empty() {
        return y;
    }
    let (mut x, mut y) = (MARGIN, y);
    let mut items = items(&drawn);
    if on.is_some_and(|date| drawn.iter().any(|half| half.risk_on(date).is_some())) {
        let sign = format!(r#"<line x1="13" y1="1" x2="13" y2="13" {ASKED}/>"#);
        items.push((sign, "the date asked about"));
    }
    for (sign, text) in items {
        let width = 34.0 + text_width(text, 12.0) + 12.0;
        if x + width > WIDTH && x > MARGIN {
            (x, y) = (MARGIN, y + 19.0);
        }
        ink.raw(&format!(
            r#"<g transform="translate({x:.1} {y:.1})">{sign}<text x="32" y="11">{}</text></g>"#,
            xml(text)
        ));
        x += width;
    }
    y + 17.0
}

fn items(drawn: &[&Half]) -> Vec<(String, &'static str)> {
    let has = |what: fn(&Half) -> bool| drawn.iter().any(|half| what(half));
    let stroke = |look: &str| format!(r#"<line x1="0" y1="7" x2="26" y2="7" {look}/>"#);
    let curve = format!(r#"stroke="{BLUE}" stroke-width="2""#);
    let mut items = Vec::new();
    if has(|half| half.valid_years >= LEAST_RISK_YEARS) {
        items.push((stroke(&curve), "risk"));
        items.extend(of_risk(drawn));
    }
    let dot = format!(r#"<circle cx="13" cy="7" r="3" fill="{BLUE}"/>"#);
    items.push((dot, "date of a year"));
    if has(|half| half.freeze_years < half.valid_years) {
        let [a, b, c] = history::corners((13.0, 11.0), -7.0);
        let sign = format!(
            r##"<path d="M{} {}L{} {}L{} {}Z" fill="#ffffff" stroke="{BLACK}"/>"##,
            a.0, a.1, b.0, b.1, c.0, c.1
        );
        items.push((sign, "year without a freeze"));
    }
    if has(|half| trend(half).is_some()) {
        items.push((stroke(history::TREND), "trend (Theil–Sen)"));
    }
    items
}

/// What is drawn beside the curve of risk.
fn of_risk(drawn: &[&Half]) -> Vec<(String, &'static str)> {
    let has = |what: fn(&Half) -> bool| drawn.iter().any(|half| what(half));
    let mut items = Vec::new();
    if has(|half| half.risk.iter().any(|risk| risk.interval.is_some())) {
        let sign = format!(r#"<rect x="0.5" y="1.5" width="25" height="11" {BAND}/>"#);
        items.push((sign, "its 95 % interval (bootstrap)"));
    }
    let ring = format!(r#"<circle cx="13" cy="7" r="3" {RING}/>"#);
    items.push((ring, "share of valid years on record, a ring a freeze year"));
    let diamond = format!(r#"<path d="M13 2L18 7L13 12L8 7Z" fill="{RUST}"/>"#);
    let has_all = !has(|half| carried(half).is_some() && half.freeze_years < half.valid_years);
    let marks = if has_all {
        "date by which 10, 50, 90 % of years have had it"
    } else {
        "date by which 10, 50, 90 % of freeze years have had it"
    };
    items.push((diamond, marks));
    items
}
