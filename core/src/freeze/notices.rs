//! What must be said with a station's numbers, in plain words.
//!
//! What so many valid years may say and must say: the project's handbook of statistics, §11.

use chrono::{Datelike as _, NaiveDate};

use super::{AtThreshold, Half, HalfName, LEAST_YEARS};
use crate::read::daily::LeftOut;
use crate::series::DailySeries;
use crate::site::Hemisphere;

/// Years after a record's last day from which it is old: the handbook's figure, §11.
const OLD_YEARS: u32 = 10;
/// Chance below which a fit is poor: the handbook's figure, §4.
const POOR_FIT: f64 = 0.05;

/// What must be said of a record and its freezes.
pub(super) fn notices(
    series: &DailySeries,
    (left, suspects): (LeftOut, u64),
    hemisphere: Hemisphere,
    thresholds: &[AtThreshold],
) -> Vec<String> {
    let mut notices = of_values(left, suspects);
    if series.is_whole_fahrenheit() {
        notices.push("minima are brought back to the whole °F in which they were read".to_owned());
    }
    if hemisphere == Hemisphere::South {
        let words = "southern seasons: spring is July to January, autumn the February to June that follows, and both \
            are named by the year in which the spring begins";
        notices.push(words.to_owned());
    }
    notices.extend(of_lengths(thresholds));
    notices.extend(few_freezes(thresholds));
    notices.extend(poor_fits(thresholds));
    notices.extend(all_year(thresholds));
    notices
}

fn of_values(left: LeftOut, suspects: u64) -> Vec<String> {
    let counted = [
        (left.flagged, "that the archive's own check rejects"),
        (left.impossible, "outside -90 to 60 °C"),
        (left.doubled, "for a day that already had one"),
        (
            suspects,
            "as suspect: far from the station's own record for the day",
        ),
    ];
    let words = |(count, what)| match count {
        0 => None,
        1 => Some(format!("left out 1 minimum {what}")),
        count => Some(format!("left out {count} minima {what}")),
    };
    counted.into_iter().filter_map(words).collect()
}

/// What must be said of so many valid years: once where it holds for both halves.
fn of_lengths(thresholds: &[AtThreshold]) -> Vec<String> {
    let most = |name: HalfName| {
        let halves = halves(thresholds).filter(|half| half.window.half == name);
        halves.map(|half| half.valid_years).max().unwrap_or(0)
    };
    let [spring, autumn] = [HalfName::Spring, HalfName::Autumn].map(|name| of_length(most(name)));
    if spring == autumn {
        return spring.into_iter().map(str::to_owned).collect();
    }
    [(HalfName::Spring, spring), (HalfName::Autumn, autumn)]
        .into_iter()
        .filter_map(|(name, words)| Some(format!("{}: {}", name.name(), words?)))
        .collect()
}

fn of_length(valid_years: usize) -> Option<&'static str> {
    match valid_years {
        0 => Some("no valid year, each lacks more than 10 days: nothing can be said of risk"),
        1..=2 => Some("too few years to say anything of risk: only the dates themselves are given"),
        3..=8 => Some(
            "3 to 8 valid years: a median and the range, no 10 % and 90 % dates, no trend; the risk is a sketch",
        ),
        9 => Some(
            "9 valid years: the 10 % and 90 % dates are the earliest and latest on record, no trend; the risk is a \
             sketch",
        ),
        10..=19 => Some(
            "10 to 19 valid years: intervals are too narrow, all of it provisional, no word on a trend",
        ),
        20..=29 => Some("20 to 29 valid years: short of the 30 years of a climate normal"),
        _ => None,
    }
}

/// Halves with years enough, but too few of them with a freeze.
fn few_freezes(thresholds: &[AtThreshold]) -> Option<String> {
    let few = |half: &Half| {
        half.valid_years >= LEAST_YEARS && (1..LEAST_YEARS).contains(&half.freeze_years)
    };
    let said = each(thresholds, |at, half| {
        few(half).then(|| {
            let (froze, valid) = (half.freeze_years, half.valid_years);
            let season = half.window.half.name();
            format!("{} in {season} ({froze} of {valid} years)", at.threshold)
        })
    });
    (!said.is_empty()).then(|| {
        format!(
            "fewer than {LEAST_YEARS} years with a freeze of {}: their dates have no interval and no trend, and their \
             curve is a sketch",
            said.join(", ")
        )
    })
}

/// Chosen fits that the sample speaks against: below one chance in twenty by Anderson and Darling's A², the handbook's
/// figure, §4.
fn poor_fits(thresholds: &[AtThreshold]) -> Option<String> {
    let poor = |half: &Half| half.significance().filter(|chance| *chance < POOR_FIT);
    let said = each(thresholds, |at, half| {
        let season = half.window.half.name();
        poor(half).map(|chance| {
            let chance = match chance * 100.0 {
                below if below < 0.1 => "under 0.1 %".to_owned(),
                percent => format!("{percent:.1} %"),
            };
            format!("{} in {season} ({chance})", at.threshold)
        })
    });
    (!said.is_empty()).then(|| {
        format!(
            "the fitted curve fits poorly at {}: the chance of dates so far from it, by Anderson and Darling; the years \
             themselves say more than the curve",
            said.join(", ")
        )
    })
}

/// Thresholds that are met all through the summer, so that last and first freeze lie where the halves meet.
fn all_year(thresholds: &[AtThreshold]) -> Option<String> {
    let said: Vec<String> = thresholds
        .iter()
        .filter(|at| at.spring.is_mostly_at_the_end() && at.autumn.is_mostly_at_the_end())
        .map(|at| at.threshold.to_string())
        .collect();
    (!said.is_empty()).then(|| {
        format!(
            "{} or lower comes in every month: last and first freeze lie where the halves of the year meet, and are no \
             dates of the climate",
            said.join(", ")
        )
    })
}

fn halves(thresholds: &[AtThreshold]) -> impl Iterator<Item = &Half> {
    thresholds.iter().flat_map(|at| [&at.spring, &at.autumn])
}

fn each(
    thresholds: &[AtThreshold],
    words: impl Fn(&AtThreshold, &Half) -> Option<String>,
) -> Vec<String> {
    let of_both = |at| [words(at, &at.spring), words(at, &at.autumn)];
    thresholds.iter().flat_map(of_both).flatten().collect()
}

/// What must be said of a record that ends long before a date.
pub(super) fn old(last: NaiveDate, date: NaiveDate) -> Option<String> {
    let years = date.years_since(last)?;
    let year = date.year();
    (years >= OLD_YEARS).then(|| format!("the record ends on {last}, {years} years before {year}"))
}
