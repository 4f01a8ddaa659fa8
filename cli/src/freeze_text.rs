//! Freezes for people: what the record means first, then the table, then what must be said with it.

use fairspell::error::escaped;
use fairspell::freeze::{Asked, AtThreshold, Half, HalfName, LEAST_RISK_YEARS, StationFreezes};
use fairspell::quantity::decimals;

use crate::freeze_words::{date, leading, left_out, sentences};
use crate::lines::{Lines, left, right};

/// Fewest valid years of dates of 10 and 90 %: below them the earliest and the latest date stand in their place.
const LEAST_TENTHS_YEARS: usize = 9;

/// The answer for one station, ended by a line break.
pub fn text(station: &StationFreezes, asked: Asked, width: usize) -> String {
    let name = if station.station.is_empty() {
        "The station".to_owned()
    } else {
        escaped(&station.station)
    };
    let (first, last, missing) = (station.first, station.last, station.missing);
    let days = match station.days {
        1 => "1 day".to_owned(),
        days => format!("{days} days"),
    };
    let head = format!("{name}, {first} to {last}, {days}, {missing} missing");
    let mut lines = Lines::new(width);
    lines.wrapped(0, &head);
    for sentence in sentences(station, asked) {
        lines.wrapped(0, &sentence);
    }
    if let Some(words) = leading(station) {
        lines.wrapped(0, &words);
    }
    lines.blank();
    for half in [HalfName::Spring, HalfName::Autumn] {
        table(&mut lines, station, half);
    }
    for half in [HalfName::Spring, HalfName::Autumn] {
        if let Some(words) = left_out(station, half) {
            lines.bullet(&words);
        }
    }
    for notice in &station.notices {
        lines.bullet(notice);
    }
    lines.end()
}

fn of(at: &AtThreshold, name: HalfName) -> &Half {
    match name {
        HalfName::Spring => &at.spring,
        HalfName::Autumn => &at.autumn,
    }
}

/// The dates of a half: of 10, 50 and 90 %, or of fewer years the earliest, the middle and the latest, or of the fewest
/// each as it is.
fn table(lines: &mut Lines, station: &StationFreezes, name: HalfName) {
    let what = match name {
        HalfName::Spring => "Last spring freeze",
        HalfName::Autumn => "First autumn freeze",
    };
    let halves = station.thresholds.iter().map(|at| of(at, name));
    let valid_years = halves.map(|half| half.valid_years).max().unwrap_or(0);
    if valid_years < LEAST_RISK_YEARS {
        lines.raw(what);
        for at in &station.thresholds {
            let mark = format!("  {:10}", at.threshold.to_string());
            lines.fill(&mark, 12, &dates(of(at, name)));
        }
        lines.blank();
        return;
    }
    let is_short = valid_years < LEAST_TENTHS_YEARS;
    let [low, high] = if is_short {
        ["earliest", "latest"]
    } else {
        ["10 %", "90 %"]
    };
    let columns = [
        left(what, 22),
        right("years", 7),
        right(low, 10),
        right("50 %", 10),
        right(high, 10),
        right("freezes", 9),
    ];
    let rows = station.thresholds.iter();
    let rows = rows.map(|at| row(at, of(at, name), is_short));
    lines.table(&columns, &rows.collect::<Vec<_>>());
    lines.blank();
}

fn row(at: &AtThreshold, half: &Half, is_short: bool) -> Vec<String> {
    let [p10, p50, p90] = half.mixed;
    let days = if is_short {
        let (earliest, latest) = range(half);
        [earliest, p50, latest]
    } else {
        [p10, p50, p90]
    };
    let [low, middle, high] = days.map(|day| day.map_or("none".to_owned(), date));
    let freezes = half.freeze_probability().map_or("-".to_owned(), |share| {
        format!("{} %", decimals(100.0 * share, 0))
    });
    let years = half.valid_years.to_string();
    vec![at.threshold.to_string(), years, low, middle, high, freezes]
}

/// The earliest and the latest date of the valid years that have one.
fn range(half: &Half) -> (Option<f64>, Option<f64>) {
    let valid = half.years.iter().filter(|year| year.is_valid);
    let days: Vec<u32> = valid.filter_map(|year| year.day).collect();
    let day = |day: Option<&u32>| day.copied().map(f64::from);
    (day(days.iter().min()), day(days.iter().max()))
}

/// The dates of the valid years, each as it is.
fn dates(half: &Half) -> String {
    let valid = half.years.iter().filter(|year| year.is_valid);
    let words = valid.map(|year| match year.date {
        Some(date) => date.format("%-d %b %Y").to_string(),
        None => format!("none in {}", year.year),
    });
    let words: Vec<String> = words.collect();
    if words.is_empty() {
        "no valid year".to_owned()
    } else {
        words.join(", ")
    }
}
