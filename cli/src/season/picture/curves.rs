//! The curves: damage with its interval and range, broken buds, and the risk of a freeze.

use fairspell::season::{Damage, Share};

use super::{LEFT, RIGHT, SMALL, Sheet};
use crate::freeze_words::date;
use crate::picture::ink::{BLACK, GREY, Ink, Point};

/// Damage.
pub const DAMAGE: &str = r##"stroke="#983c08" stroke-width="2.6" stroke-linejoin="round""##;
/// Its range over the sums of degree days.
pub const RANGE: &str = r##"fill="url(#range)" stroke="#983c08" stroke-width="0.8""##;
/// Broken buds.
pub const BUDS: &str = r##"stroke="#1b1b1b" stroke-width="2" stroke-dasharray="2 4""##;
/// Risk of a freeze.
pub const FREEZE: &str = r##"stroke="#1c3d6b" stroke-width="2" stroke-dasharray="9 4""##;
/// Height of the plot \[px\].
const HEIGHT: f64 = 190.0;
/// Numbers beside it \[%\].
const NUMBERS: [u8; 6] = [0, 10, 25, 50, 75, 100];

/// Draws the plot from `y` down; returns where its dates end.
pub fn draw(sheet: &Sheet<'_>, ink: &mut Ink, y: f64) -> f64 {
    let bottom = y + HEIGHT;
    frame(sheet, ink, (y, bottom));
    let place = |share: f64| bottom - share.clamp(0.0, 1.0) * HEIGHT;
    if let Some(plant) = sheet.exposed() {
        let days = |of: &dyn Fn(&Damage) -> Option<f64>| -> Vec<Point> {
            let point =
                |damage: &Damage| Some((sheet.x(sheet.day(damage.date)?), place(of(damage)?)));
            plant.damage.iter().filter_map(point).collect()
        };
        let mut outline = days(&|damage| damage.range.0.probability());
        outline.extend(
            days(&|damage| damage.range.1.probability())
                .into_iter()
                .rev(),
        );
        if !outline.is_empty() {
            ink.shape(&outline, RANGE);
        }
        ink.path(&days(&|damage| Share::probability(damage.broken)), BUDS);
        ink.path(&days(&|damage| damage.share.probability()), DAMAGE);
    }
    let half = sheet.half();
    let share = half.freeze_probability().filter(|share| *share > 0.0);
    let risks = half
        .risk
        .iter()
        .filter(|risk| sheet.dates.has(f64::from(risk.day)));
    let curve: Vec<Point> = risks
        .filter_map(|risk| {
            let chance = (risk.probability / share?).min(1.0);
            Some((sheet.x(f64::from(risk.day)), place(chance)))
        })
        .collect();
    if curve.is_empty() {
        let look = format!(r#"font-size="12" fill="{GREY}""#);
        let words = "no risk of a freeze can be said";
        ink.text((LEFT + 8.0, y + 20.0), &look, words);
    } else {
        ink.path(&curve, FREEZE);
    }
    bottom + 20.0
}

/// Lines and numbers of both axes; the lines of the dates go on through the rows.
fn frame(sheet: &Sheet<'_>, ink: &mut Ink, (top, bottom): (f64, f64)) {
    let numbers = format!(r#"font-size="{SMALL}" text-anchor="end" fill="{GREY}""#);
    let thin = r##"stroke="#d4d4d4" stroke-width="1""##;
    for number in NUMBERS {
        let y = bottom - f64::from(number) / 100.0 * HEIGHT;
        ink.line((LEFT, y), (RIGHT, y), thin);
        ink.text((LEFT - 6.0, y + 4.0), &numbers, &format!("{number} %"));
    }
    let names = format!(r#"font-size="{SMALL}" text-anchor="middle" fill="{GREY}""#);
    for day in sheet.dates.ticks(RIGHT - LEFT, 46.0) {
        let x = sheet.x(day);
        ink.line((x, top), (x, bottom + 4.0), thin);
        ink.text((x, bottom + 15.0), &names, &date(day));
    }
    let line = format!(r#"stroke="{BLACK}" stroke-width="1""#);
    ink.line((LEFT, top), (LEFT, bottom), &line);
    ink.line((LEFT, bottom), (RIGHT, bottom), &line);
}
