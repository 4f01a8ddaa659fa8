//! Kept forecasts held against what came, in sentences that text and page share.

use chrono_tz::Tz;
use fairspell::confidence::{LEAST_FORECASTS, LeadRecord};
use fairspell::decision::Units;
use fairspell::hindcast::ForecastRecord;
use fairspell::quantity::{Quantity, Unit, counted, decimals, plain};

use crate::hindcast_words::full_moment;

/// Headings of the table by lead time.
pub const COLUMNS: [&str; 6] = [
    "Lead time",
    "Forecasts",
    "Mean error",
    "Bias learned",
    "Spread learned",
    "Spread assumed",
];

/// How many forecasts there are, from when to when.
pub fn summary(record: &ForecastRecord, zone: Tz) -> String {
    let unmatched = match record.unmatched {
        0 => String::new(),
        count => {
            let words = counted(
                count as u64,
                "foretold hour has no observation and is left out",
                "foretold hours have no observation and are left out",
            );
            format!("; {words}")
        }
    };
    match record.issued {
        None => format!("No hour of the forecasts is in the record{unmatched}."),
        Some((first, last)) => format!(
            "{} issued from {} to {}, held against what came in {}{unmatched}.",
            counted(record.forecasts as u64, "forecast", "forecasts"),
            full_moment(first, zone),
            full_moment(last, zone),
            counted(record.hours as u64, "hour", "hours")
        ),
    }
}

/// The row of a class of lead times, under [`COLUMNS`].
pub fn cells(lead: &LeadRecord, unit: Unit) -> [String; 6] {
    let degrees = |celsius: f64| {
        format!(
            "{} {}",
            decimals(celsius * per_celsius(unit), 1),
            unit.symbol()
        )
    };
    [
        format!("{} to {} h", lead.from_h, lead.to_h),
        lead.forecasts.to_string(),
        degrees(lead.mean_error_c),
        degrees(lead.learned.bias_c),
        degrees(lead.learned.deviation_c),
        degrees(lead.modelled_c),
    ]
}

/// What the columns mean.
pub const LEGEND: &str = "Error: forecast minus observation. Learned: expected of the next forecast, the recent ones \
     counting more; it begins with no bias and the assumed spread, which few forecasts change little.";

/// What the learned error would have been worth: a sentence a class of lead times and limit, where hours lie on both sides.
pub fn scores(record: &ForecastRecord, unit: Unit) -> Vec<String> {
    let of_lead = |lead: &LeadRecord| {
        let told = lead
            .scores
            .iter()
            .filter(|score| score.share > 0.0 && score.share < 1.0);
        let sentences = told.filter_map(|score| {
            let is_it = |limit: &&Quantity| limit.si().total_cmp(&score.limit_c).is_eq();
            let limit = record.limits.iter().find(is_it)?;
            let limit = shown(*limit, unit);
            Some(format!(
                "Chance of at least {limit} at {} to {} h, {}: Brier score {} learned, {} assumed, {} by the \
                 share of {} % alone (0 is perfect)",
                lead.from_h,
                lead.to_h,
                counted(score.hours as u64, "hour", "hours"),
                decimals(score.by_learned, 3),
                decimals(score.by_model, 3),
                decimals(score.by_share, 3),
                decimals(100.0 * score.share, 0)
            ))
        });
        sentences.collect::<Vec<_>>()
    };
    record.leads.iter().flat_map(of_lead).collect()
}

/// The table for the site file, or why there is none.
pub fn site_file(record: &ForecastRecord, unit: Unit) -> Result<String, String> {
    let stated = record.stated().map(|error| error.to_toml(unit));
    stated.ok_or_else(|| {
        format!("Nothing to state yet: no class of lead times has {LEAST_FORECASTS} forecasts.")
    })
}

/// The unit in which temperatures are shown.
pub fn unit_of(record: &ForecastRecord, units: Units) -> Unit {
    match units {
        Units::AsWritten => record.unit(),
        Units::Us => Unit::Fahrenheit,
        Units::Si => Unit::Celsius,
    }
}

/// A limit in a unit, as short as it can be written.
fn shown(limit: Quantity, unit: Unit) -> String {
    let value = limit.unit.convert(limit.value, unit);
    format!("{} {}", plain(value), unit.symbol())
}

/// Degrees of a unit in a difference of 1 °C.
fn per_celsius(unit: Unit) -> f64 {
    if unit == Unit::Fahrenheit { 1.8 } else { 1.0 }
}
