//! Invented winters, and the plan of a season from them.

#![allow(clippy::unwrap_used, reason = "checks may stop at the first surprise")]

use std::collections::BTreeMap;

use chrono::{Datelike as _, NaiveDate};
use fairspell::plant::PlantTable;
use fairspell::quantity::Unit;
use fairspell::season::{Season, SeasonQuestion, SeasonSettings, season};
use fairspell::series::DailySeries;
use fairspell::site::Site;

/// A date that exists.
///
/// # Panics
/// If it does not.
#[must_use]
pub fn date(year: i32, month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(year, month, day).unwrap()
}

/// A place of this latitude, without a garden.
#[must_use]
pub fn at(latitude: f64) -> Site {
    Site {
        latitude: Some(latitude),
        ..Site::default()
    }
}

/// No intervals of the freeze risk: they are checked with the freezes.
#[must_use]
pub fn quick() -> SeasonSettings {
    SeasonSettings {
        replicates: 0,
        keeps_suspect: true,
        ..SeasonSettings::default()
    }
}

/// The late winter of 2027 by the built-in plants table.
///
/// # Panics
/// If the garden has a kind that the table does not have.
#[track_caller]
#[must_use]
pub fn planned(
    record: &DailySeries,
    observed: Option<&DailySeries>,
    site: &Site,
    settings: &SeasonSettings,
) -> Season {
    let table = PlantTable::built_in();
    season(&SeasonQuestion {
        record,
        site,
        table: &table,
        year: 2027,
        observed,
        settings,
    })
    .unwrap()
}

/// Minimum and maximum of days \[°C\].
pub type Winters = BTreeMap<NaiveDate, (f64, f64)>;

/// The days as a record; a day that is not there is missing.
///
/// # Panics
/// Without a day.
#[must_use]
pub fn series(days: &Winters) -> DailySeries {
    let (first, last) = (*days.keys().next().unwrap(), *days.keys().last().unwrap());
    let all = || first.iter_days().take_while(|date| *date <= last);
    let of = |date: &NaiveDate| days.get(date).copied().unwrap_or((f64::NAN, f64::NAN));
    let tmin = all().map(|date| of(&date).0).collect();
    let mut series = DailySeries::new("S", first, tmin, Unit::Celsius, false).unwrap();
    series
        .set_tmax(all().map(|date| of(&date).1).collect())
        .unwrap();
    series
}

/// A winter that warms from a cold January to a hot July, a little different every year and day; −10 °C nights end late
/// in some years.
#[must_use]
pub fn invented(years: core::ops::Range<i32>, warmer: f64) -> Winters {
    let days = date(years.start, 1, 1).iter_days();
    let days = days.take_while(|date| date.year() < years.end);
    days.map(|day| {
        let season = f64::from(day.ordinal0()) / 365.25 * core::f64::consts::TAU;
        let number = i64::from(day.num_days_from_ce());
        let scattered = (number * 7919 % 23 + number * number % 7) as f64 * 0.8 - 11.0;
        let of_year = f64::from(day.year() * 5 % 7) / 2.0 - 1.5;
        let tmin = 4.0 - 11.0 * season.cos() + scattered + of_year + warmer;
        (day, (tmin, tmin + 10.0))
    })
    .collect()
}
