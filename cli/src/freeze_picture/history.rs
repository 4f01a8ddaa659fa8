//! The plot of years: the date of each valid year, the years without one, and the trend.

use fairspell::freeze::{Half, HalfName};

use super::axis::Dates;
use super::{PLOT, Place, SMALL, has_trend, trend};
use crate::freeze_words::date;
use crate::picture::ink::{BLACK, BLUE, GREY, Ink, Point};

/// The trend.
pub const TREND: &str = r##"stroke="#1b1b1b" stroke-width="1.6" stroke-dasharray="7 3""##;

/// Room at the edge for years without a date \[px\].
const STRIP: f64 = 11.0;

/// Draws the plot of a half that has freeze years; later dates stand higher.
pub fn draw(ink: &mut Ink, half: &Half, dates: &Dates, place: Place) {
    let valid = || half.years.iter().filter(|year| year.is_valid);
    let years = || valid().map(|year| year.year);
    let (Some(first), Some(last)) = (years().min(), years().max()) else {
        return;
    };
    let span = f64::from((last - first).max(1));
    let width = PLOT - 16.0;
    let x = |year: i32| place.left + 8.0 + f64::from(year - first) / span * width;
    let inner = inner_of(half, place);
    let y = |day: f64| inner.bottom() - dates.share(day) * inner.height;
    caption(ink, half, place);
    frame(ink, dates, (place, inner));
    for year in labelled(first, last) {
        let at = x(year);
        let line = format!(r#"stroke="{BLACK}" stroke-width="1""#);
        ink.line((at, place.bottom()), (at, place.bottom() + 4.0), &line);
        let look = format!(r#"font-size="{SMALL}" text-anchor="middle" fill="{GREY}""#);
        ink.text((at, place.bottom() + 15.0), &look, &year.to_string());
    }
    for year in valid() {
        match year.day {
            Some(day) => ink.dot(
                (x(year.year), y(f64::from(day))),
                2.2,
                &format!(r#"fill="{BLUE}""#),
            ),
            None => none(ink, half.window.half, (x(year.year), place)),
        }
    }
    if let Some((from, to)) = line(half, (first, last)) {
        ink.path(&[(x(first), y(from)), (x(last), y(to))], TREND);
    }
}

fn caption(ink: &mut Ink, half: &Half, place: Place) {
    let what = match half.window.half {
        HalfName::Spring => "Last freeze of each year",
        HalfName::Autumn => "First freeze of each year",
    };
    let text = trend(half).map_or(what.to_owned(), |trend| {
        format!("{what}; trend in ten years: {trend}")
    });
    let look = format!(r#"font-size="{SMALL}" fill="{GREY}""#);
    ink.text((place.left, place.top - 6.0), &look, &text);
}

/// Where the dates go: a strip at the edge is kept for years without one.
fn inner_of(half: &Half, place: Place) -> Place {
    if half.freeze_years == half.valid_years {
        return place;
    }
    let top = match half.window.half {
        HalfName::Spring => place.top,
        HalfName::Autumn => place.top + STRIP,
    };
    Place {
        top,
        height: place.height - STRIP,
        ..place
    }
}

fn frame(ink: &mut Ink, dates: &Dates, (place, inner): (Place, Place)) {
    let names = format!(r#"font-size="{SMALL}" text-anchor="end" fill="{GREY}""#);
    for day in dates.ticks(inner.height, 15.0) {
        let y = inner.bottom() - dates.share(day) * inner.height;
        let line = r##"stroke="#d4d4d4" stroke-width="1""##;
        ink.line((place.left, y), (place.right(), y), line);
        ink.text((place.left - 6.0, y + 4.0), &names, &date(day));
    }
    let line = format!(r#"stroke="{BLACK}" stroke-width="1""#);
    ink.line((place.left, place.top), (place.left, place.bottom()), &line);
    let from = (place.left, place.bottom());
    ink.line(from, (place.right(), place.bottom()), &line);
}

/// A year without a freeze: before every date in spring, after every one in autumn.
fn none(ink: &mut Ink, half: HalfName, (x, place): (f64, Place)) {
    let corners = match half {
        HalfName::Spring => corners((x, place.bottom() - 2.0), -6.0),
        HalfName::Autumn => corners((x, place.top + 2.0), 6.0),
    };
    let look = format!(r##"fill="#ffffff" stroke="{BLACK}" stroke-width="1.1""##);
    ink.shape(&corners, &look);
}

/// A triangle whose point is given and whose base lies at a distance from it.
pub fn corners((x, y): Point, base: f64) -> [Point; 3] {
    [(x, y), (x - 3.5, y + base), (x + 3.5, y + base)]
}

/// Years that get a label: at most ten, at round numbers.
fn labelled(first: i32, last: i32) -> Vec<i32> {
    let step = [1, 2, 5, 10, 20, 50, 100, 200]
        .into_iter()
        .find(|step| (last - first) / step < 9)
        .unwrap_or(500);
    (first..=last).filter(|year| year % step == 0).collect()
}

/// The trend's day numbers in two years: the Theil-Sen slope through the median of what it leaves.
fn line(half: &Half, (first, last): (i32, i32)) -> Option<(f64, f64)> {
    let slope = half.trend.theil_sen?.slope;
    if !has_trend(half) {
        return None;
    }
    let valid = half.years.iter().filter(|year| year.is_valid);
    let rest = |year: i32, day: u32| f64::from(day) - slope * f64::from(year - first);
    let mut rests: Vec<f64> = valid
        .filter_map(|year| Some(rest(year.year, year.day?)))
        .collect();
    rests.sort_unstable_by(f64::total_cmp);
    let upper = *rests.get(rests.len() / 2)?;
    let lower = *rests.get(rests.len().saturating_sub(1) / 2)?;
    let start = f64::midpoint(lower, upper);
    Some((start, start + slope * f64::from(last - first)))
}
