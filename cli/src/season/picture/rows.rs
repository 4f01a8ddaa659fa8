//! The rows below the curves: each kind's intervals with its best day, the last freeze, the back-off, and the customs.

use chrono::NaiveDate;
use fairspell::season::{CustomHere, Dates, PlantSeason};

use super::{LEFT, MARGIN, RIGHT, SMALL, Sheet, WIDTH, words};
use crate::picture::ink::{Area, BLACK, GREY, Ink, RIM, text_width, wrapped};

/// Patterns of the bands.
pub const PATTERNS: &str = r##"<defs><pattern id="prune" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect width="7" height="7" fill="#ffffff"/><rect width="2.4" height="7" fill="#1c3d6b"/></pattern><pattern id="oil" width="6" height="6" patternUnits="userSpaceOnUse"><rect width="6" height="6" fill="#ffffff"/><circle cx="3" cy="3" r="1.3" fill="#1b1b1b"/></pattern><pattern id="range" width="5" height="5" patternUnits="userSpaceOnUse"><rect width="5" height="5" fill="#ffffff" fill-opacity="0.6"/><rect width="5" height="0.8" fill="#983c08"/></pattern></defs>"##;
/// The interval to prune.
pub const PRUNE: &str = r##"fill="url(#prune)" stroke="#1b1b1b" stroke-width="1""##;
/// The interval for oil.
pub const OIL: &str = r##"fill="url(#oil)" stroke="#1b1b1b" stroke-width="1""##;
/// The back-off.
const BACK_OFF: &str =
    r##"fill="#ffffff" stroke="#1b1b1b" stroke-width="1.4" stroke-dasharray="5 3""##;
/// Height of a band \[px\].
const BAND: f64 = 12.0;
/// Room for a row \[px\].
const ROW: f64 = 19.0;
/// Most kinds that are drawn; the rest are counted.
const MAX_KINDS: usize = 12;

/// A diamond.
pub fn diamond((x, y): (f64, f64), size: f64) -> String {
    let [left, right, top, bottom] = [x - size, x + size, y - size, y + size];
    format!(
        r##"<path d="M{x:.1} {top:.1}L{right:.1} {y:.1}L{x:.1} {bottom:.1}L{left:.1} {y:.1}Z" fill="#1b1b1b" stroke="#ffffff" stroke-width="1.2"/>"##
    )
}

/// Draws the rows from `y` down; returns where they end.
pub fn draw(sheet: &Sheet<'_>, ink: &mut Ink, y: f64) -> f64 {
    let plants = &sheet.season().plants;
    let mut y = y + 6.0;
    for plant in plants.iter().take(MAX_KINDS) {
        y = kind(sheet, ink, plant, y);
    }
    if plants.len() > MAX_KINDS {
        let text = format!("and {} kinds more", plants.len() - MAX_KINDS);
        name(ink, &text, y);
        y += ROW;
    }
    y = freeze(sheet, ink, y);
    if let Some(back_off) = sheet.season().back_off {
        name(ink, "back-off, 6 to 8 weeks", y);
        band(sheet, ink, (back_off.dates, y), BACK_OFF);
        y += ROW;
    }
    customs(sheet, ink, y + 4.0)
}

fn name(ink: &mut Ink, text: &str, y: f64) {
    let look = r#"font-size="12" text-anchor="end""#;
    let room = LEFT - MARGIN - 10.0;
    let mut lines = wrapped(text, 12.0, room);
    if lines.len() > 1 {
        lines.truncate(1);
        if let Some(line) = lines.first_mut() {
            while text_width(line, 12.0) > room - 12.0 && line.pop().is_some() {}
            line.push('…');
        }
    }
    if let Some(line) = lines.first() {
        ink.text((LEFT - 10.0, y + BAND - 2.0), look, line);
    }
}

/// A kind: its interval to prune, and below it that for oil.
fn kind(sheet: &Sheet<'_>, ink: &mut Ink, plant: &PlantSeason, y: f64) -> f64 {
    name(ink, &plant.plant.name, y);
    match plant.prune {
        Ok(prune) => {
            band(sheet, ink, (prune.dates, y), PRUNE);
            label(sheet, ink, (prune.dates, y), &words::prune(plant));
            if let Some(best) = sheet.day(prune.best) {
                ink.raw(&diamond((sheet.x(best), y + BAND / 2.0), 7.0));
            }
        }
        Err(no) => instead(ink, no.words(), y),
    }
    let y = y + ROW - 3.0;
    match plant.oil {
        Ok(oil) => {
            band(sheet, ink, (oil, y), OIL);
            label(sheet, ink, (oil, y), &format!("oil {}", words::span(oil)));
        }
        Err(no) if plant.prune == Err(no) => return y,
        Err(no) => instead(ink, &format!("oil: {}", no.words()), y),
    }
    y + ROW + 2.0
}

fn instead(ink: &mut Ink, text: &str, y: f64) {
    let look = format!(r#"font-size="{SMALL}" fill="{GREY}""#);
    ink.text((LEFT + 6.0, y + BAND - 2.0), &look, text);
}

fn band(sheet: &Sheet<'_>, ink: &mut Ink, (dates, y): (Dates, f64), look: &str) {
    let Some((from, to)) = ends(sheet, dates) else {
        return;
    };
    let area = Area {
        x: from,
        y,
        width: (to - from).max(2.0),
        height: BAND,
    };
    let told = words::span(dates);
    ink.told_area(area, look, &told);
}

/// Where dates begin and end, to the end of the last day; `None` where no day of them is drawn.
fn ends(sheet: &Sheet<'_>, dates: Dates) -> Option<(f64, f64)> {
    let inside: Vec<f64> = dates
        .from
        .iter_days()
        .take_while(|date| *date <= dates.to)
        .filter_map(|date: NaiveDate| sheet.day(date))
        .collect();
    let (first, last) = (inside.first()?, inside.last()?);
    Some((sheet.x(*first), sheet.x(*last + 1.0)))
}

/// Words behind a band, or before it where there is no room.
fn label(sheet: &Sheet<'_>, ink: &mut Ink, (dates, y): (Dates, f64), text: &str) {
    let Some((from, to)) = ends(sheet, dates) else {
        return;
    };
    let width = text_width(text, SMALL);
    let (x, anchor) = if to + 8.0 + width <= RIGHT + MARGIN {
        (to + 8.0, "start")
    } else if from - 8.0 - width >= LEFT {
        (from - 8.0, "end")
    } else {
        let plate = Area {
            x: from + 4.0,
            y: y + 1.0,
            width: width.min(to - from - 8.0) * 0.9, // the width is reckoned with room to spare
            height: BAND - 2.0,
        };
        ink.area(plate, r##"fill="#ffffff""##); // letters on a hatched band are hard to read
        (from + 8.0, "start")
    };
    let look = format!(r#"font-size="{SMALL}" text-anchor="{anchor}" {RIM}"#);
    ink.text((x, y + BAND - 2.0), &look, text);
}

/// The 10, 50 and 90 % dates of the last freeze.
fn freeze(sheet: &Sheet<'_>, ink: &mut Ink, y: f64) -> f64 {
    let dates = sheet.season().last_freeze.dates;
    let days: Vec<(u32, f64)> = [10, 50, 90]
        .into_iter()
        .zip(dates)
        .filter_map(|(percent, date)| Some((percent, sheet.day(date?)?)))
        .collect();
    if days.is_empty() {
        return y;
    }
    name(ink, "last freeze, 32 °F", y);
    let middle = y + BAND / 2.0;
    let line = format!(r#"stroke="{BLACK}" stroke-width="1.4""#);
    if let (Some((_, first)), Some((_, last))) = (days.first(), days.last()) {
        ink.line((sheet.x(*first), middle), (sheet.x(*last), middle), &line);
    }
    for (percent, day) in &days {
        let x = sheet.x(*day);
        ink.line((x, y + 1.0), (x, y + BAND - 1.0), &line);
        let look = format!(r#"font-size="{SMALL}" text-anchor="middle" {RIM}"#);
        ink.text((x, y + BAND + 9.0), &look, &format!("{percent} %"));
    }
    y + ROW + 12.0
}

/// The customs: a numbered mark each on the dates, in lanes so that none lies on another, and their names below.
fn customs(sheet: &Sheet<'_>, ink: &mut Ink, y: f64) -> f64 {
    let customs: Vec<(usize, &CustomHere)> = (1..).zip(&sheet.season().customs).collect();
    if customs.is_empty() {
        return y;
    }
    name(ink, "customs, best first", y);
    let mut lanes: Vec<Vec<f64>> = Vec::new();
    let mut marks: Vec<(usize, f64)> = customs
        .iter()
        .filter_map(|(number, custom)| Some((*number, sheet.x(sheet.day(custom.date)?))))
        .collect();
    marks.sort_by(|one, other| one.1.total_cmp(&other.1));
    for (number, x) in marks {
        let is_free = |lane: &Vec<f64>| lane.iter().all(|other| (other - x).abs() >= 19.0);
        let lane = lanes.iter().position(is_free).unwrap_or(lanes.len());
        if lane == lanes.len() {
            lanes.push(Vec::new());
        }
        if let Some(lane) = lanes.get_mut(lane) {
            lane.push(x);
        }
        let middle = y + 8.0 + lane as f64 * ROW;
        ink.dot(
            (x, middle),
            8.0,
            r##"fill="#ffffff" stroke="#1b1b1b" stroke-width="1.2""##,
        );
        let look = format!(r#"font-size="{SMALL}" text-anchor="middle""#);
        ink.text((x, middle + 4.0), &look, &number.to_string());
    }
    names(ink, &customs, y + lanes.len() as f64 * ROW + 16.0)
}

/// The names of the customs in two columns, with date, damage and freeze risk.
fn names(ink: &mut Ink, customs: &[(usize, &CustomHere)], y: f64) -> f64 {
    let column = (WIDTH - 2.0 * MARGIN) / 2.0;
    let rows = customs.len().div_ceil(2);
    for (place, (number, custom)) in customs.iter().enumerate() {
        let (of_column, of_row) = (place / rows, place % rows);
        let [damage, freeze] = words::custom_risks(custom);
        let text = format!(
            "{number}  {}, {}: damage {damage}, freeze {freeze}",
            custom.custom.name,
            words::custom_date(custom)
        );
        let x = MARGIN + of_column as f64 * column;
        let y = y + of_row as f64 * 15.0;
        let look = format!(r#"font-size="{SMALL}""#);
        ink.text((x, y), &look, &text);
    }
    y + rows as f64 * 15.0
}
