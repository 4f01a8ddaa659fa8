//! The chance that hours stay dry, from the chances of rain that the forecast gives.
//!
//! A chance speaks of a period: of one hour in files that give one an hour, of up to twelve hours in those of the
//! National Weather Service, whose file puts it on every hour of the period. Multiplying it hour by hour would count it
//! many times over: 24 hours at 30 % would be dry once in 5,000 times.
//!
//! Source: the project's handbook, physics §9, *Rain chance* and model, step 4.

use core::ops::Range;

use super::error::ErrorModel;
use super::path::{Band, stays_within};
use crate::quantity::Unit;
use crate::read::Format;
use crate::series::{Element, HourlySeries};
use crate::statistics::normal_quantile;

/// The chance that all hours of `hours` stay dry; an hour without a chance is the error. The series has the chances.
///
/// Runs of equal chance in files of the National Weather Service are cut into periods from their first hour in `hours`.
/// Periods are taken as independent of each other; hours with a chance of their own hang together by a path with memory,
/// so that hour by hour each is dry with its own chance.
pub(super) fn stays_dry(
    series: &HourlySeries,
    hours: &Range<usize>,
    format: Format,
    model: &ErrorModel,
) -> Result<f64, usize> {
    let is_nws = matches!(format, Format::NwsGridpoint | Format::NwsHourly);
    let mut chain: Vec<Band> = Vec::new();
    let mut periods: Vec<Period> = Vec::new();
    for hour in hours.clone() {
        let rain = chance(series, hour).ok_or(hour)?;
        let amount = series
            .amounts(Element::Rain)
            .and_then(|rain| rain.of_hour(hour));
        let step = amount
            .filter(|amount| amount.hours > 1)
            .map(|amount| amount.from);
        let own = if is_nws {
            let last = periods.last().filter(|last| {
                last.rain.to_bits() == rain.to_bits() && hour - last.begin < model.chance_period_h
            });
            Some(last.map_or(hour, |last| last.begin))
        } else {
            step
        };
        match (own, periods.last_mut()) {
            (Some(begin), Some(last)) if last.begin == begin => last.rain = last.rain.max(rain),
            (Some(begin), _) => periods.push(Period { begin, rain }),
            (None, _) => chain.push(Band {
                hour,
                low: f64::NEG_INFINITY,
                high: normal_quantile(1.0 - rain),
            }),
        }
    }
    let dry: f64 = periods.iter().map(|period| 1.0 - period.rain).product();
    Ok(dry * stays_within(&chain, model.rain_memory))
}

/// Hours that one chance speaks of.
struct Period {
    begin: usize,
    rain: f64,
}

/// The chance of rain of an hour, 0 to 1; of one between bounds the greater.
fn chance(series: &HourlySeries, hour: usize) -> Option<f64> {
    let (_, high) = series
        .column(Element::RainChance)?
        .at(hour, Unit::Percent)?;
    Some((high / 100.0).clamp(0.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::series::{Amount, Amounts, Column};

    fn with_chances(chances: Vec<f64>) -> HourlySeries {
        let mut series = HourlySeries::new(0, vec![true; chances.len()]).unwrap();
        series
            .set_column(Element::RainChance, Column::exact(chances, Unit::Percent))
            .unwrap();
        series
    }

    fn dry(series: &HourlySeries, hours: Range<usize>, format: Format) -> Result<f64, usize> {
        stays_dry(series, &hours, format, &ErrorModel::HANDBOOK)
    }

    fn assert_near(found: Result<f64, usize>, hoped: f64, tolerance: f64) {
        let found = found.unwrap();
        assert!((found - hoped).abs() <= tolerance, "{found}, hoped {hoped}");
    }

    /// The project's handbook, physics §9: hourly chances of 10 %, phi 0.95; printed to four digits.
    #[test]
    fn hourly_chances_hang_together() {
        let series = with_chances(vec![10.0; 24]);
        assert_near(dry(&series, 0..12, Format::PlainCsv), 0.7550, 6e-5);
        assert_near(dry(&series, 0..24, Format::PlainCsv), 0.6525, 6e-5);
    }

    /// The same, *Trap*: two periods of 12 h at 30 % are dry in 0.7² = 0.49 of cases.
    #[test]
    fn a_chance_of_twelve_hours_counts_once() {
        let series = with_chances(vec![30.0; 30]);
        assert_near(dry(&series, 0..24, Format::NwsGridpoint), 0.49, 1e-12);
        assert_near(dry(&series, 0..12, Format::NwsHourly), 0.7, 1e-12);
        // Periods are cut from the first hour that is needed, whatever stands before it.
        assert_near(dry(&series, 10..14, Format::NwsGridpoint), 0.7, 1e-12);
        assert_near(dry(&series, 0..30, Format::NwsGridpoint), 0.343, 1e-12);
        let two = with_chances([[20.0; 3], [40.0; 3]].concat());
        assert_near(dry(&two, 1..5, Format::NwsGridpoint), 0.8 * 0.6, 1e-12);
    }

    /// An amount over six hours bears one chance, whatever hours it is written on.
    #[test]
    fn a_chance_over_a_longer_step_counts_once() {
        let mut series = with_chances([vec![50.0; 2], vec![20.0; 6]].concat());
        let amount = |from, hours| Amount {
            from,
            hours,
            low_um: 0,
            high_um: Some(0),
        };
        let amounts = [amount(0, 1), amount(1, 1), amount(2, 6)];
        series
            .set_amounts(Element::Rain, Amounts::new(8, &amounts, Unit::Millimetre))
            .unwrap();
        assert_near(dry(&series, 2..8, Format::Locationforecast), 0.8, 1e-12);
        assert_near(
            dry(&series, 1..4, Format::Locationforecast),
            0.5 * 0.8,
            1e-12,
        );
    }

    #[test]
    fn sure_rain_and_no_rain_are_sure() {
        let series = with_chances(vec![0.0, 100.0]);
        assert_near(dry(&series, 0..1, Format::PlainCsv), 1.0, 0.0);
        assert_near(dry(&series, 0..2, Format::PlainCsv), 0.0, 0.0);
        assert_near(dry(&series, 0..0, Format::PlainCsv), 1.0, 0.0);
    }

    #[test]
    fn a_blank_is_told() {
        let series = with_chances(vec![10.0, f64::NAN, 10.0]);
        assert_eq!(dry(&series, 0..3, Format::PlainCsv), Err(1));
        assert!(dry(&series, 2..3, Format::PlainCsv).is_ok());
    }
}
