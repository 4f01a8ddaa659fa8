//! Freezes as a picture: for each threshold the risk over the dates, and below it the dates year by year, as SVG.
//!
//! Spring stands left and autumn right, each with one axis of dates for all thresholds, so that rows compare. It reads
//! without colour: signs differ in shape and are named in the legend. Every text from outside is escaped, every number
//! has a fixed count of decimals, and so the same answer gives the same bytes. The whole fits a page of A4 upright.

pub mod axis;
mod history;
mod legend;
mod risk;

use chrono::NaiveDate;
use fairspell::freeze::{
    Asked, AtThreshold, Half, HalfName, Headline, LEAST_YEARS, Present, Quantiles, StationFreezes,
};
use fairspell::quantity::decimals;

use crate::freeze_words::{counted, date, sentences, without};
use crate::picture::ink::{Area, BLACK, GREY, Ink, wrapped, xml};
use axis::Dates;

/// Most thresholds drawn; the rest are said to be left out.
const MAX_ROWS: usize = 4;
/// Width of the drawing \[px\].
pub const WIDTH: f64 = 1000.0;
/// Margin of the sheet \[px\].
pub const MARGIN: f64 = 16.0;
/// Left edges of the two columns of plots, with room for numbers before them \[px\].
const COLUMNS: [f64; 2] = [66.0, 572.0];
/// Width of a plot \[px\].
const PLOT: f64 = 408.0;
/// Height of a plot of risk \[px\].
const RISK: f64 = 122.0;
/// Height in the place of plots where neither half has a freeze \[px\].
const BARE: f64 = 66.0;
/// Height of a plot of years \[px\].
const YEARS: f64 = 82.0;
/// Size of small text \[px\].
pub const SMALL: f64 = 11.0;
/// Fewest valid years of a trend in words or lines: the contract's.
const LEAST_TREND_YEARS: usize = 20;

/// The place of one plot \[px\].
#[derive(Debug, Clone, Copy)]
struct Place {
    left: f64,
    top: f64,
    height: f64,
}

impl Place {
    fn right(self) -> f64 {
        self.left + PLOT
    }

    fn bottom(self) -> f64 {
        self.top + self.height
    }

    fn area(self) -> Area {
        Area {
            x: self.left,
            y: self.top,
            width: PLOT,
            height: self.height,
        }
    }
}

/// The picture as a file of its own, with the record's facts and notices in words.
pub fn svg(station: &StationFreezes, asked: Asked) -> String {
    let mut ink = Ink::default();
    let mut y = MARGIN + 16.0;
    for line in wrapped(&title(station), 19.0, WIDTH - 2.0 * MARGIN) {
        ink.text((MARGIN, y), r#"font-size="19" font-weight="bold""#, &line);
        y += 24.0;
    }
    y = small_lines(&mut ink, &[record(station)], y - 4.0);
    if asked != Asked::default() {
        y = small_lines(&mut ink, &sentences(station, asked), y);
    }
    y = rows(station, asked.on, &mut ink, y + 2.0);
    y = small_lines(&mut ink, &station.notices, y + 16.0);
    document(
        station,
        &ink.into_text(),
        y,
        r#"xmlns="http://www.w3.org/2000/svg" xml:lang="en""#,
    )
}

/// The plots alone, to stand in a page that says the rest.
pub fn inline_svg(station: &StationFreezes, asked: Asked) -> String {
    let mut ink = Ink::default();
    let y = rows(station, asked.on, &mut ink, 4.0);
    document(station, &ink.into_text(), y + 4.0, "")
}

/// What the picture and the page are called.
pub fn title(station: &StationFreezes) -> String {
    if station.station.is_empty() {
        "Last and first freezes of the station".to_owned()
    } else {
        format!("Last and first freezes: {}", station.station)
    }
}

/// From when to when the record goes, and what it lacks.
pub fn record(station: &StationFreezes) -> String {
    let day = |of: chrono::NaiveDate| of.format("%-d %b %Y").to_string();
    format!(
        "Record from {} to {}: {} days, {} without a minimum, {} values left out.",
        day(station.first),
        day(station.last),
        station.days,
        station.missing,
        station.rejected_values
    )
}

fn document(station: &StationFreezes, body: &str, height: f64, more: &str) -> String {
    let mut ink = Ink::default();
    ink.raw(&format!(
        r#"<svg {more} width="{WIDTH}" height="{height:.0}" viewBox="0 0 {WIDTH} {height:.0}" role="img" aria-labelledby="picture-title picture-desc" font-family="sans-serif" font-size="12" fill="{BLACK}">"#
    ));
    ink.raw(&format!(
        r#"<title id="picture-title">{}</title>"#,
        xml(&title(station))
    ));
    ink.raw(&format!(
        r#"<desc id="picture-desc">{}</desc>"#,
        xml(&described(station))
    ));
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

/// Lines of small text from `y` down; returns where they end.
fn small_lines(ink: &mut Ink, texts: &[String], mut y: f64) -> f64 {
    let look = format!(r#"font-size="12" fill="{GREY}""#);
    for text in texts {
        for line in wrapped(text, 12.0, WIDTH - 2.0 * MARGIN) {
            ink.text((MARGIN, y), &look, &line);
            y += 16.0;
        }
    }
    y
}

fn halves(at: &AtThreshold) -> [&Half; 2] {
    [&at.spring, &at.autumn]
}

fn shown(station: &StationFreezes) -> impl Iterator<Item = &AtThreshold> {
    station.thresholds.iter().take(MAX_ROWS)
}

/// Legend, heads of the columns, and a row a threshold, from `y` down; returns where they end.
fn rows(station: &StationFreezes, on: Option<NaiveDate>, ink: &mut Ink, y: f64) -> f64 {
    let mut y = legend::legend(station, on, ink, y);
    if station.thresholds.len() > MAX_ROWS {
        let text = format!(
            "Drawn are the first {MAX_ROWS} of {} thresholds.",
            station.thresholds.len()
        );
        y = small_lines(ink, &[text], y + 12.0) - 12.0;
    }
    y += 18.0;
    let heads = [
        "Spring: risk that the last freeze is still to come",
        "Autumn: risk that the first freeze has come",
    ];
    for (head, left) in heads.into_iter().zip(COLUMNS) {
        ink.text((left, y), r#"font-size="14" font-weight="bold""#, head);
    }
    y += 16.0;
    let dates = [HalfName::Spring, HalfName::Autumn].map(|half| Dates::of(station, half));
    let has_notes =
        shown(station).any(|at| halves(at).into_iter().any(|half| carried(half).is_some()));
    for at in shown(station) {
        y = row(ink, at, (&dates, on), (y, has_notes));
    }
    y
}

fn row(
    ink: &mut Ink,
    at: &AtThreshold,
    (dates, on): (&[Dates; 2], Option<NaiveDate>),
    (y, has_notes): (f64, bool),
) -> f64 {
    let rule = format!(r#"stroke="{GREY}" stroke-width="1""#);
    ink.line((MARGIN, y - 8.0), (WIDTH - MARGIN, y - 8.0), &rule);
    let name = format!("{} or lower", at.threshold);
    ink.text(
        (MARGIN, y + 8.0),
        r#"font-size="14" font-weight="bold""#,
        &name,
    );
    let top = y + if has_notes { 44.0 } else { 30.0 };
    let is_bare = halves(at).into_iter().all(|half| half.freeze_years == 0);
    let height = if is_bare { BARE } else { RISK };
    for ((half, left), dates) in halves(at).into_iter().zip(COLUMNS).zip(dates) {
        let risk = Place { left, top, height };
        let years = Place {
            left,
            top: risk.bottom() + 34.0,
            height: YEARS,
        };
        let look = format!(r#"font-size="{SMALL}" fill="{GREY}""#);
        ink.text((left, y + 23.0), &look, &counted(half));
        if let Some(note) = carried_note(half) {
            ink.text((left, y + 37.0), &look, &note);
        }
        if let Some(words) = without(half, &name) {
            in_place_of_a_plot(ink, &words, risk);
        } else {
            let drawn = risk::draw(ink, half, dates, risk);
            if let Some(asked) = on.and_then(|date| half.risk_on(date)) {
                risk::asked(ink, dates, risk, asked, &drawn);
            }
        }
        if half.freeze_years > 0 {
            history::draw(ink, half, dates, years);
        }
    }
    top + height + if is_bare { 24.0 } else { 34.0 + YEARS + 32.0 }
}

/// Words where there is no risk to draw.
fn in_place_of_a_plot(ink: &mut Ink, words: &str, place: Place) {
    let look = format!(r#"fill="none" stroke="{GREY}" stroke-width="1" stroke-dasharray="3 3""#);
    ink.area(place.area(), &look);
    let mut y = place.top + 32.0;
    for line in wrapped(words, 13.0, PLOT - 32.0) {
        ink.text((place.left + 16.0, y), r#"font-size="13""#, &line);
        y += 18.0;
    }
}

/// The present climate, where the curve is drawn for it.
fn carried(half: &Half) -> Option<&Present> {
    half.present
        .as_ref()
        .filter(|_| half.headline == Headline::Present && half.freeze_years > 0)
}

fn carried_note(half: &Half) -> Option<String> {
    let present = carried(half)?;
    Some(format!(
        "Curve: the climate of {}. Rings: the record as it was.",
        present.for_year
    ))
}

/// The dates marked on the curve: those of the record, or of the present climate where the curve is drawn for it.
fn marked(half: &Half) -> Quantiles {
    carried(half).map_or(half.mixed, |present| present.quantiles)
}

/// Whether there are years enough to speak of a trend.
fn has_trend(half: &Half) -> bool {
    half.valid_years >= LEAST_TREND_YEARS && half.freeze_years >= LEAST_YEARS
}

/// The trend over ten years in words, where there are years enough for one.
pub fn trend(half: &Half) -> Option<String> {
    let slope = half.trend.theil_sen.filter(|_| has_trend(half))?;
    let days = |value: f64| decimals(10.0 * value, 1);
    let signed = |value: f64| {
        let days = days(value);
        let is_later = value > 0.0 && days != "0.0";
        if is_later { format!("+{days}") } else { days }
    };
    let size = days(slope.slope.abs());
    let way = match size.as_str() {
        "0.0" => "no days",
        _ if slope.slope < 0.0 => &format!("{size} days earlier"),
        _ => &format!("{size} days later"),
    };
    let (low, high) = (signed(slope.low_95), signed(slope.high_95));
    Some(format!("{way} (95 %: {low} to {high})"))
}

/// The picture in words, for those who do not see it.
fn described(station: &StationFreezes) -> String {
    let mut texts = vec!["Risk of a freeze over the dates, and the dates year by year.".to_owned()];
    for at in shown(station) {
        for half in halves(at) {
            texts.push(described_half(half, &format!("{} or lower", at.threshold)));
        }
    }
    texts.join(" ")
}

fn described_half(half: &Half, name: &str) -> String {
    if let Some(words) = without(half, name) {
        return words;
    }
    let what = match half.window.half {
        HalfName::Spring => "last spring freeze",
        HalfName::Autumn => "first autumn freeze",
    };
    let years = carried(half).map_or("years", |_| "freeze years");
    let [p10, p50, p90] = marked(half).map(|day| day.map_or("none".to_owned(), date));
    let trend = trend(half).map_or_else(String::new, |trend| {
        format!(" Trend in ten years: {trend}.")
    });
    format!(
        "{name}, {what}: 10 % of {years} by {p10}, 50 % by {p50}, 90 % by {p90}; {}.{trend}",
        counted(half)
    )
}

#[cfg(test)]
pub mod tests {
    use fairspell::freeze::Settings;
    use fairspell::quantity::{Quantity, Unit};
    use fairspell::read::daily::{DailyFormat, DailyReading, LeftOut};
    use fairspell::series::DailySeries;
    use fairspell::site::Hemisphere;

    use super::*;
    use crate::picture::ink::tests::{NASTY_NAME, assert_escaped};

    /// An invented record of 2000 to 2024 at 50 °F, but for 28 °F on 10 April (a day later each year) and 20 October.
    fn made(name: &str, thresholds: &[f64]) -> StationFreezes {
        let first = NaiveDate::from_ymd_opt(2000, 1, 1).unwrap();
        let end = NaiveDate::from_ymd_opt(2025, 1, 1).unwrap();
        let mut tmin = vec![50.0; usize::try_from((end - first).num_days()).unwrap()];
        for year in 0..25_u16 {
            let date = |month, day| NaiveDate::from_ymd_opt(2000 + i32::from(year), month, day);
            let place = |date: Option<NaiveDate>| (date.unwrap() - first).num_days();
            let spring = place(date(4, 10)) + i64::from(year);
            for day in [spring, place(date(10, 20))] {
                tmin[usize::try_from(day).unwrap()] = 28.0;
            }
        }
        let reading = DailyReading {
            series: DailySeries::new(name, first, tmin, Unit::Fahrenheit, false).unwrap(),
            format: DailyFormat::PlainCsv,
            left_out: LeftOut::default(),
        };
        let threshold = |value: &f64| Quantity {
            value: *value,
            unit: Unit::Fahrenheit,
        };
        let settings = Settings {
            thresholds: thresholds.iter().map(threshold).collect(),
            hemisphere: Hemisphere::North,
            keeps_suspect: true,
            seed: 1,
            replicates: 100,
            is_brief: false,
        };
        StationFreezes::new(&reading, &settings)
    }

    /// The record under a name.
    pub fn named(name: &str) -> StationFreezes {
        made(name, &[28.0])
    }

    /// The record at thresholds.
    pub fn with_freezes(thresholds: &[f64]) -> StationFreezes {
        made("S1", thresholds)
    }

    /// XML 1.0, 2.4: no markup from outside.
    #[test]
    fn names_from_outside_are_escaped() {
        let picture = svg(&named(NASTY_NAME), Asked::default());
        assert_escaped(&picture, "", "");
    }

    /// Arithmetic: a date one day later each year moves by ten days in ten years, in a record that no chance stirs.
    #[test]
    fn the_trend_is_said_with_its_direction() {
        let station = with_freezes(&[28.0]);
        let spring = &station.thresholds[0].spring;
        let words = trend(spring).expect("25 years");
        assert_eq!(words, "10.0 days later (95 %: +10.0 to +10.0)");
        assert_eq!(
            trend(&station.thresholds[0].autumn),
            None,
            "all dates are equal"
        );
    }

    /// A year is one ring in the plot of risk and one dot in that of years; no year is lost, none drawn twice.
    #[test]
    fn each_freeze_year_is_drawn_once_in_each_plot() {
        let picture = svg(&with_freezes(&[28.0]), Asked::default());
        let rings = picture
            .matches(&format!("r=\"2.2\" {}", risk::RING))
            .count();
        let dots = picture
            .matches(&format!("r=\"2.2\" fill=\"{}\"", crate::picture::ink::BLUE))
            .count();
        assert_eq!((rings, dots), (50, 50), "25 springs and 25 autumns");
    }

    /// Promise 1: a threshold that no year reached, and thresholds that have no room, are said in words.
    #[test]
    fn what_is_not_drawn_is_said() {
        let picture = svg(
            &with_freezes(&[36.0, 32.0, 28.0, -40.0, 30.0]),
            Asked::default(),
        );
        assert!(picture.contains("Drawn are the first 4 of 5 thresholds."));
        assert!(picture.contains(">No autumn of 25 brought -40 °F or lower."));
    }

    /// Promise 5.
    #[test]
    fn the_same_answer_gives_the_same_bytes() {
        assert_eq!(
            svg(&named("S1"), Asked::default()),
            svg(&named("S1"), Asked::default())
        );
    }
}
