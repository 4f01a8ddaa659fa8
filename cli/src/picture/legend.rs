//! The legend: what the signs mean, as many as are drawn.

use fairspell::spell::State;

use super::band;
use super::ink::{BLACK, Ink, text_width, xml};
use super::plot::{BEYOND, BOUNDS, NO_VALUE, Plot, limit_look};
use super::sheet::{MARGIN, Sheet, TEXT, WIDTH};
use super::{NIGHT, nights};

/// Draws the legend from `y` down; returns where it ends.
pub fn legend(sheet: &Sheet<'_>, ink: &mut Ink, plots: &[Plot<'_>], y: f64) -> f64 {
    let spot = |look: &str| format!(r#"<rect x="0.5" y="1.5" width="25" height="11" {look}/>"#);
    let stroke = |look: &str| format!(r#"<line x1="0" y1="7" x2="26" y2="7" {look}/>"#);
    let mut items = vec![
        (spot(&band::look(State::Fair)), "fair: nothing that blocks"),
        (
            spot(&band::look(State::Hindered)),
            "hindered: a limit that blocks is not met",
        ),
        (spot(&band::look(State::Unknown)), "unknown"),
    ];
    if !sheet.decision.spells.is_empty() {
        let sign = format!(
            r#"<path d="M0 8V3H26V8M4 5L11 9.5L4 14Z" fill="none" stroke="{BLACK}" stroke-width="1.5"/><path d="M4 5L11 9.5L4 14Z" fill="{BLACK}"/>"#
        );
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
    if !nights(sheet).is_empty() {
        items.push((spot(NIGHT), "no daylight"));
    }
    let (mut x, mut y) = (MARGIN, y);
    for (sign, text) in items {
        let width = 34.0 + text_width(text, TEXT) + 18.0;
        if x + width > WIDTH && x > MARGIN {
            (x, y) = (MARGIN, y + 20.0);
        }
        ink.raw(&format!(
            r#"<g transform="translate({x:.1} {y:.1})">{sign}<text x="32" y="11">{}</text></g>"#,
            xml(text)
        ));
        x += width;
    }
    y + 18.0
}
