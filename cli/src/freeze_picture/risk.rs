//! The plot of risk: curve, interval, the record's own shares, and the dates of 10, 50 and 90 %.

use fairspell::freeze::{Half, HalfName, PERCENTS, Risk};
use fairspell::quantity::percent;

use super::axis::Dates;
use super::{PLOT, Place, SMALL, carried, marked};
use crate::freeze_words::date;
use crate::picture::ink::{BLACK, BLUE, GREY, Ink, Point, RIM, RUST, text_width};

/// The interval.
pub const BAND: &str =
    r##"fill="#dbe5f2" stroke="#1c3d6b" stroke-width="0.8" stroke-dasharray="1.5 2""##;
/// A year's share.
pub const RING: &str = r##"fill="#ffffff" stroke="#1b1b1b" stroke-width="1""##;
/// The date asked about.
pub const ASKED: &str = r##"stroke="#1b1b1b" stroke-width="1.6""##;
/// Size of the dates in words \[px\].
const LABEL: f64 = 12.0;
/// Room for a line of them \[px\].
const LABEL_LINE: f64 = 15.0;
/// Half the height of a diamond \[px\].
const MARK: f64 = 4.5;
/// How far apart the heights are that are tried for a label \[px\].
const STEP: f64 = 5.0;
/// Numbers beside the plot \[%\].
const NUMBERS: [u8; 5] = [0, 10, 50, 90, 100];

/// Draws the plot of a half that has freeze years; gives points on all that is drawn, for what looks for room beside it.
pub fn draw(ink: &mut Ink, half: &Half, dates: &Dates, place: Place) -> Vec<Point> {
    let x = |day: f64| place.left + dates.share(day) * PLOT;
    let y = |share: f64| place.bottom() - share.clamp(0.0, 1.0) * place.height;
    frame(ink, dates, place);
    let inside: Vec<&Risk> = half
        .risk
        .iter()
        .filter(|risk| dates.has(f64::from(risk.day)))
        .collect();
    let band = |end: fn((f64, f64)) -> f64| {
        let point = |risk: &&Risk| Some((x(f64::from(risk.day)), y(end(risk.interval?))));
        inside.iter().filter_map(point).collect::<Vec<Point>>()
    };
    let mut outline = band(|(low, _)| low);
    outline.extend(band(|(_, high)| high).into_iter().rev());
    if !outline.is_empty() {
        ink.shape(&outline, BAND);
    }
    for (day, share) in shares(half) {
        ink.dot((x(day), y(share)), 2.2, RING);
    }
    let point = |risk: &&Risk| (x(f64::from(risk.day)), y(risk.probability));
    let curve: Vec<Point> = inside.iter().map(point).collect();
    let look = format!(r#"stroke="{BLUE}" stroke-width="2" stroke-linejoin="round""#);
    ink.path(&curve, &look);
    let mut drawn = outline;
    drawn.extend(curve);
    drawn.extend(shares(half).iter().map(|(day, share)| (x(*day), y(*share))));
    for (_, day, share) in marks(half) {
        mark(ink, place, (x(day), y(share)));
        drawn.extend((0..=10_u8).map(|tenth| (x(day), y(share * f64::from(tenth) / 10.0))));
    }
    dates_in_words(ink, half, place, &mut drawn);
    drawn
}

/// Lines and numbers of both axes.
fn frame(ink: &mut Ink, dates: &Dates, place: Place) {
    let right = place.right();
    let numbers = format!(r#"font-size="{SMALL}" text-anchor="end" fill="{GREY}""#);
    for number in NUMBERS {
        let y = place.bottom() - f64::from(number) / 100.0 * place.height;
        let line = r##"stroke="#d4d4d4" stroke-width="1""##;
        ink.line((place.left, y), (right, y), line);
        ink.text(
            (place.left - 6.0, y + 4.0),
            &numbers,
            &format!("{number} %"),
        );
    }
    let names = format!(r#"font-size="{SMALL}" text-anchor="middle" fill="{GREY}""#);
    for day in dates.ticks(PLOT, 46.0) {
        let x = place.left + dates.share(day) * PLOT;
        let line = r##"stroke="#d4d4d4" stroke-width="1""##;
        ink.line((x, place.top), (x, place.bottom() + 4.0), line);
        ink.text((x, place.bottom() + 15.0), &names, &date(day));
    }
    let line = format!(r#"stroke="{BLACK}" stroke-width="1""#);
    ink.line((place.left, place.top), (place.left, place.bottom()), &line);
    ink.line((place.left, place.bottom()), (right, place.bottom()), &line);
}

/// Of each freeze year its date, and the share of valid years that are as late or later in spring, as early or earlier
/// in autumn.
fn shares(half: &Half) -> Vec<(f64, f64)> {
    let valid = half.years.iter().filter(|year| year.is_valid);
    let mut days: Vec<u32> = valid.filter_map(|year| year.day).collect();
    days.sort_unstable();
    let share = |day: u32| {
        let count = match half.window.half {
            HalfName::Spring => days.len() - days.partition_point(|other| *other < day),
            HalfName::Autumn => days.partition_point(|other| *other <= day),
        };
        count as f64 / half.valid_years.max(1) as f64
    };
    days.iter()
        .map(|day| (f64::from(*day), share(*day)))
        .collect()
}

/// The dates of 10, 50 and 90 % of years, and the risk that each stands for.
fn marks(half: &Half) -> Vec<(u32, f64, f64)> {
    // Dates of the present climate are those of freeze years, dates of the record those of all valid years.
    let of_all = match carried(half) {
        Some(_) => half.freeze_probability().unwrap_or(1.0),
        None => 1.0,
    };
    let at = |(percent, day): (u32, Option<f64>)| {
        let before = f64::from(percent) / 100.0;
        let share = match half.window.half {
            HalfName::Spring => 1.0 - before,
            HalfName::Autumn => before,
        };
        Some((percent, day?, of_all * share))
    };
    PERCENTS
        .into_iter()
        .zip(marked(half))
        .filter_map(at)
        .collect()
}

/// A diamond on the curve, with a line down to its date.
fn mark(ink: &mut Ink, place: Place, (x, y): Point) {
    let drop = format!(r#"stroke="{RUST}" stroke-width="1" stroke-dasharray="2 3""#);
    ink.line((x, y), (x, place.bottom()), &drop);
    let corners = [(x, y - MARK), (x + MARK, y), (x, y + MARK), (x - MARK, y)];
    let look = format!(r##"fill="{RUST}" stroke="#ffffff" stroke-width="0.8""##);
    ink.shape(&corners, &look);
}

/// The date asked about: a line over the whole height, with its risk where that hides the least of what is drawn, nearest
/// to half the height; nothing where it lies off the axis, where the risk is next to none or next to certain.
pub fn asked(ink: &mut Ink, dates: &Dates, place: Place, risk: Risk, drawn: &[Point]) {
    let day = f64::from(risk.day);
    if !dates.has(day) {
        return;
    }
    let at = place.left + dates.share(day) * PLOT;
    ink.line((at, place.top), (at, place.bottom()), ASKED);
    let text = format!("{}: {}", date(day), percent(risk.probability));
    let width = text_width(&text, LABEL);
    let middle = f64::midpoint(place.top, place.bottom());
    let lefts = [at + 4.0, at - 4.0 - width];
    let is_inside = |left: &f64| *left >= place.left && *left + width <= place.right();
    let rows = 2.0 * ((place.height / 2.0 - LABEL) / STEP).floor();
    let steps = (0_u8..).map(f64::from).take_while(|step| *step <= rows);
    let baselines = steps.map(|step| middle + (step - rows / 2.0) * STEP);
    let room = |(left, baseline): &Point| {
        let hidden = drawn.iter().filter(|(x, y)| {
            (left - MARK..left + width + MARK).contains(x)
                && (baseline - LABEL - MARK..baseline + MARK).contains(y)
        });
        (hidden.count(), (baseline - middle).abs())
    };
    let places = baselines.flat_map(|baseline| {
        let lefts = lefts.into_iter().filter(is_inside);
        lefts.map(move |left| (left, baseline))
    });
    let best = places.min_by(|one, other| {
        let (one, other) = (room(one), room(other));
        one.0.cmp(&other.0).then(one.1.total_cmp(&other.1))
    });
    let Some((left, baseline)) = best else { return };
    let (x, anchor) = if left < at {
        (at - 4.0, "end")
    } else {
        (left, "start")
    };
    let look = format!(
        r#"font-size="{LABEL}" font-weight="bold" text-anchor="{anchor}" fill="{BLACK}" {RIM}"#
    );
    ink.text((x, baseline), &look, &text);
}

/// The dates in words, in the corner that holds the least of what is drawn: above the curve or below it.
fn dates_in_words(ink: &mut Ink, half: &Half, place: Place, drawn: &mut Vec<Point>) {
    let marks = marks(half);
    let texts: Vec<String> = marks
        .iter()
        .map(|(percent, day, _)| format!("{percent} % by {}", date(*day)))
        .collect();
    let width = texts
        .iter()
        .map(|text| text_width(text, LABEL))
        .fold(0.0, f64::max);
    let height = texts.len() as f64 * LABEL_LINE;
    let (left, right) = (place.left + 8.0, place.right() - width);
    let (top, bottom) = (place.top + 4.0, place.bottom() - height - 6.0);
    let corners = match half.window.half {
        HalfName::Spring => [(right, top), (left, bottom)],
        HalfName::Autumn => [(left, top), (right, bottom)],
    };
    let covered = |(x, y): &Point| {
        let is_in = |point: &&Point| {
            (*x - 4.0..x + width).contains(&point.0)
                && (*y - 4.0..y + height + 4.0).contains(&point.1)
        };
        drawn.iter().filter(is_in).count()
    };
    let Some((x, y)) = corners.into_iter().min_by_key(covered) else {
        return;
    };
    let look = format!(r#"font-size="{LABEL}" font-weight="bold" fill="{RUST}" {RIM}"#);
    for (line, text) in (0_u8..).zip(texts) {
        let baseline = y + LABEL - 1.0 + f64::from(line) * LABEL_LINE;
        ink.text((x, baseline), &look, &text);
        let across = (0..=20_u8).map(|part| x + width * f64::from(part) / 20.0);
        drawn.extend(across.map(|x| (x, baseline - LABEL / 2.0)));
    }
}
