//! The plan as a picture: damage, broken buds and freeze risk by date, and below them the intervals, the back-off and
//! the customs on the same dates, as SVG.
//!
//! It reads without colour: lines differ in their strokes, bands in their patterns, and each has its name beside it or
//! in the legend. Every text from outside is escaped.

mod curves;
mod rows;

use chrono::NaiveDate;
use fairspell::freeze::{Half, Window};
use fairspell::season::{PlantSeason, Season};

use super::{Plan, words};
use crate::freeze_picture::axis::Dates;
use crate::freeze_picture::{MARGIN, SMALL, WIDTH};
use crate::picture::ink::{Area, BLACK, GREY, Ink, text_width, wrapped, xml};
use crate::text::upper_first;

/// Left edge of the dates; names of rows stand before it \[px\].
const LEFT: f64 = 190.0;
/// Right edge of the dates \[px\].
const RIGHT: f64 = 976.0;
/// Days that stay free behind the last thing drawn.
const FREE_DAYS: f64 = 10.0;
/// Chance below which nothing more is drawn.
const LEAST: f64 = 0.01;

/// What is drawn, and on which dates.
struct Sheet<'a> {
    plan: &'a Plan<'a>,
    window: Window,
    dates: Dates,
}

impl<'a> Sheet<'a> {
    fn new(plan: &'a Plan<'a>) -> Self {
        let window = plan.season.last_freeze.half.window;
        let first = f64::from(window.first_day());
        let last = first + f64::from(window.days()) - 1.0;
        let high = last_drawn(&plan.season, window).map_or(last, |day| (day + FREE_DAYS).min(last));
        let dates = Dates { low: first, high };
        Self {
            plan,
            window,
            dates,
        }
    }

    fn season(&self) -> &Season {
        &self.plan.season
    }

    fn half(&self) -> &Half {
        &self.plan.season.last_freeze.half
    }

    fn exposed(&self) -> Option<&PlantSeason> {
        self.plan.season.exposed()
    }

    /// The number of a date of this season; `None` outside its half.
    fn day(&self, date: NaiveDate) -> Option<f64> {
        let is_in = self.window.season_of(date) == self.plan.season.year && self.window.holds(date);
        let day = is_in.then(|| f64::from(self.window.day(date)))?;
        self.dates.has(day).then_some(day)
    }

    /// Where a day lies \[px\].
    fn x(&self, day: f64) -> f64 {
        LEFT + self.dates.share(day) * (RIGHT - LEFT)
    }
}

/// The last day on which anything is to be seen: damage, freeze risk, intervals and customs.
fn last_drawn(season: &Season, window: Window) -> Option<f64> {
    let plants = season.plants.iter();
    let damaged = plants.flat_map(|plant| {
        let is_seen = |damage: &&fairspell::season::Damage| {
            let (_, most) = damage.range;
            most.probability().is_some_and(|share| share >= LEAST)
        };
        let oil = plant.oil.ok().map(|oil| oil.to);
        let prune = plant.prune.ok().map(|prune| prune.dates.to);
        let damage = plant
            .damage
            .iter()
            .filter(is_seen)
            .map(|damage| damage.date);
        damage.chain(oil).chain(prune).collect::<Vec<_>>()
    });
    let customs = season.customs.iter().map(|custom| custom.date);
    let days = damaged.chain(customs).filter(|date| window.holds(*date));
    let freezes = season.last_freeze.half.risk.iter();
    let freezes = freezes.filter(|risk| risk.probability >= LEAST);
    let days = days.map(|date| window.day(date));
    let all = days.chain(freezes.map(|risk| risk.day));
    all.max().map(f64::from)
}

/// The picture as a file of its own, with the answer and what must be said in words.
pub fn svg(plan: &Plan<'_>) -> String {
    let mut ink = Ink::default();
    let mut y = MARGIN + 16.0;
    for line in wrapped(&words::title(plan), 19.0, WIDTH - 2.0 * MARGIN) {
        ink.text((MARGIN, y), r#"font-size="19" font-weight="bold""#, &line);
        y += 24.0;
    }
    y = lines(&mut ink, &words::answer(&plan.season), (y, 14.0, BLACK));
    y = drawing(plan, &mut ink, y + 4.0);
    let mut notes = words::notes(&plan.season);
    let cautions = plan.season.work.cautions.iter().take(4);
    notes.extend(cautions.map(|caution| caution.text.to_owned()));
    let notes: Vec<String> = notes.iter().map(|note| upper_first(note)).collect();
    y = lines(&mut ink, &notes, (y + 20.0, 12.0, GREY));
    let named = r#"xmlns="http://www.w3.org/2000/svg" xml:lang="en""#;
    document(plan, &ink.into_text(), y, named)
}

/// The drawing alone, to stand in a page that says the rest.
pub fn inline_svg(plan: &Plan<'_>) -> String {
    let mut ink = Ink::default();
    let y = drawing(plan, &mut ink, 4.0);
    document(plan, &ink.into_text(), y + 8.0, "")
}

fn document(plan: &Plan<'_>, body: &str, height: f64, more: &str) -> String {
    let mut ink = Ink::default();
    ink.raw(&format!(
        r#"<svg {more} width="{WIDTH}" height="{height:.0}" viewBox="0 0 {WIDTH} {height:.0}" role="img" aria-labelledby="picture-title picture-desc" font-family="sans-serif" font-size="12" fill="{BLACK}">"#
    ));
    let title = xml(&words::title(plan));
    ink.raw(&format!(r#"<title id="picture-title">{title}</title>"#));
    let described = xml(&described(plan));
    ink.raw(&format!(r#"<desc id="picture-desc">{described}</desc>"#));
    ink.raw(rows::PATTERNS);
    let sheet = Area {
        x: 0.0,
        y: 0.0,
        width: WIDTH,
        height,
    };
    ink.area(sheet, r##"fill="#ffffff""##);
    ink.raw(body);
    ink.raw("</svg>");
    ink.into_text()
}

/// The picture in words, for those who do not see it.
fn described(plan: &Plan<'_>) -> String {
    let season = &plan.season;
    let mut texts = words::answer(season);
    for plant in &season.plants {
        texts.push(format!(
            "{}: prune {}; oil {}.",
            plant.plant.name,
            words::prune(plant),
            words::oil(plant)
        ));
    }
    texts.push(format!("Last freeze: {}.", words::last_freeze(season)));
    texts.extend(words::back_off(season).map(|words| format!("Back-off: {words}.")));
    texts.extend(season.customs.iter().map(|custom| {
        let [damage, _] = words::custom_risks(custom);
        let (name, date) = (custom.custom.name, words::date(custom.date));
        format!("{name}, {date}: damage {damage}.")
    }));
    texts.join(" ")
}

/// Lines of text from `y` down at a size in a colour; returns where they end.
fn lines(ink: &mut Ink, texts: &[String], (mut y, size, colour): (f64, f64, &str)) -> f64 {
    let look = format!(r#"font-size="{size}" fill="{colour}""#);
    for text in texts {
        for line in wrapped(text, size, WIDTH - 2.0 * MARGIN) {
            ink.text((MARGIN, y), &look, &line);
            y += size + 4.0;
        }
    }
    y
}

/// Legend, curves and rows from `y` down; returns where they end.
fn drawing(plan: &Plan<'_>, ink: &mut Ink, y: f64) -> f64 {
    let sheet = Sheet::new(plan);
    let y = legend(&sheet, ink, y);
    let y = curves::draw(&sheet, ink, y + 12.0);
    rows::draw(&sheet, ink, y)
}

/// What the signs mean.
fn legend(sheet: &Sheet<'_>, ink: &mut Ink, y: f64) -> f64 {
    let stroke = |look: &str| format!(r#"<line x1="0" y1="7" x2="26" y2="7" {look}/>"#);
    let spot = |look: &str| format!(r#"<rect x="0.5" y="1.5" width="25" height="11" {look}/>"#);
    let kind = words::exposed_name(sheet.season());
    let mut items = Vec::new();
    let has_damage = sheet
        .exposed()
        .is_some_and(|plant| !plant.damage.is_empty());
    if has_damage {
        let text = format!("damage, inferred, if {kind} is cut on the day");
        items.push((stroke(curves::DAMAGE), text));
        let text = "its range over the known sums of degree days";
        items.push((spot(curves::RANGE), text.to_owned()));
        let text = "chance that buds have broken";
        items.push((stroke(curves::BUDS), text.to_owned()));
    }
    items.push((
        stroke(curves::FREEZE),
        "risk that 32 °F is still to come".to_owned(),
    ));
    items.push((spot(rows::PRUNE), "to prune".to_owned()));
    items.push((rows::diamond((13.0, 7.0), 5.0), "best day".to_owned()));
    items.push((spot(rows::OIL), "to spray oil".to_owned()));
    let (mut x, mut y) = (MARGIN, y);
    for (sign, text) in items {
        let width = 34.0 + text_width(&text, 12.0) + 12.0;
        if x + width > WIDTH && x > MARGIN {
            (x, y) = (MARGIN, y + 19.0);
        }
        let text = xml(&text);
        ink.raw(&format!(
            r#"<g transform="translate({x:.1} {y:.1})">{sign}<text x="32" y="11">{text}</text></g>"#
        ));
        x += width;
    }
    y + 17.0
}

#[cfg(test)]
pub mod tests;
