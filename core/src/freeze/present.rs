//! The present climate: quantiles of the coming season's date from a record that moves.
//!
//! Dates of the last forty valid years are carried to the coming year along half the slope that the station's series
//! share (36, 32, 28 and 24 °F, spring and autumn), and their quantiles are drawn three parts to one towards those of a
//! normal distribution with their mean and spread. Measured out of sample on the open long records (DEVELOPERS.md);
//! the method is ours, its parts are known: Theil 1950, Sen 1968; half trends after Wilks & Livezey 2013, J. Appl.
//! Meteor. Climatol. 52, 1677 (pages from memory).

use super::season::{HalfName, Window};
use super::years::{YearDate, Years};
use super::{PERCENTS, Quantiles};
use crate::quantity::{Quantity, Unit};
use crate::statistics::{pinball, quantile, theil_sen};

/// Thresholds \[°F\] whose series share the slope: the contract's; this and what follows as measured, see above.
const POOLED_F: [f64; 4] = [36.0, 32.0, 28.0, 24.0];
/// Valid years of a slope, and of the plain quantiles that the method is held against.
const SLOPE_YEARS: usize = 30;
/// Valid years that are carried.
const CARRIED_YEARS: usize = 40;
/// Fewest freezes among the last [`SLOPE_YEARS`].
const LEAST_FREEZES: usize = 20;
/// Share of the slope along which dates are carried.
const HALF: f64 = 0.5;
/// Part of the normal distribution in the quantiles.
const NORMAL: f64 = 0.75;
/// The normal deviates at 10, 50 and 90 % (Abramowitz & Stegun 1964, table 26.5; from memory).
const DEVIATES: [f64; 3] = [-1.281_551_565_544_600_4, 0.0, 1.281_551_565_544_600_4];
/// Fewest years of a station's own check.
const LEAST_CHECKED: usize = 20;

/// What the answer calls the method.
pub const METHOD: &str =
    "last 40 valid years carried along half the pooled slope of 30, three parts normal";

/// The present climate of one half at one threshold.
#[derive(Debug, Clone, PartialEq)]
pub struct Present {
    /// The season that it is for.
    pub for_year: i32,
    /// Quantiles over freeze years, as day numbers.
    pub quantiles: Quantiles,
    /// The slope that the station's series share, in the sense of this half \[days a year\].
    pub slope: f64,
    /// The dates carried, as day numbers.
    pub carried: Vec<(i32, f64)>,
}

/// How the method did at this station: each year foretold from the years before it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Check {
    /// Dates foretold.
    pub forecasts: usize,
    /// Different years among them.
    pub years: usize,
    /// Mean pinball loss of the last thirty years' quantiles at 10, 50 and 90 % \[days\].
    pub plain_loss: f64,
    /// The same of the method.
    pub present_loss: f64,
}

impl Check {
    /// Whether the method has been better here, over enough years.
    #[must_use]
    pub fn is_won(&self) -> bool {
        self.years >= LEAST_CHECKED && self.present_loss < self.plain_loss
    }
}

/// A valid year, and its date if it froze.
type Dated = (i32, Option<f64>);

/// The eight series of a station that share a slope.
pub(super) struct Climate {
    series: Vec<(Window, Vec<Dated>)>,
}

impl Climate {
    pub(super) fn new(halves: [&Years<'_>; 2]) -> Self {
        let of = |value: f64| {
            let threshold = Quantity {
                value,
                unit: Unit::Fahrenheit,
            };
            halves.map(|half| (half.window(), dated(&half.dates(threshold))))
        };
        Self {
            series: POOLED_F.into_iter().flat_map(of).collect(),
        }
    }

    /// The slope that the series share before a year, in the sense of a half.
    fn slope(&self, before: i32, half: HalfName) -> Option<f64> {
        let (mut sum, mut count) = (0.0, 0.0);
        for (window, all) in &self.series {
            let freezes = freezes(last(all, before, SLOPE_YEARS));
            if freezes.len() < LEAST_FREEZES {
                continue;
            }
            let (years, days): (Vec<f64>, Vec<f64>) = freezes
                .iter()
                .map(|(year, day)| (f64::from(*year), *day))
                .unzip();
            let slope = theil_sen(&years, &days).map_or(0.0, |slope| slope.slope);
            sum += if window.half == half { slope } else { -slope };
            count += 1.0;
        }
        (count > 0.0).then(|| sum / count)
    }

    /// The present climate of a half's years for the season after its last valid year; `None` where it cannot be.
    pub(super) fn present(&self, window: Window, years: &[YearDate]) -> Option<Present> {
        let all = dated(years);
        let for_year = all.last()?.0 + 1;
        let slope = self.slope(for_year, window.half)?;
        foretold(window, &all, for_year, slope)
    }

    /// The method against the last thirty years, year by year over the whole record.
    pub(super) fn check(&self) -> Check {
        let years = || {
            self.series
                .iter()
                .flat_map(|(_, all)| all.iter().map(|(year, _)| *year))
        };
        let (Some(first), Some(end)) = (years().min(), years().max()) else {
            return Check::default();
        };
        let mut check = Check::default();
        for year in first..=end {
            let slopes = [HalfName::Spring, HalfName::Autumn].map(|half| self.slope(year, half));
            let before = check.forecasts;
            for (window, all) in &self.series {
                let slope = if window.half == HalfName::Spring {
                    slopes[0]
                } else {
                    slopes[1]
                };
                let date = all
                    .iter()
                    .find(|(of, _)| *of == year)
                    .and_then(|(_, day)| *day);
                if let (Some(slope), Some(date)) = (slope, date) {
                    check.add(*window, all, (year, date), slope);
                }
            }
            check.years += usize::from(check.forecasts > before);
        }
        let count = check.forecasts.max(1) as f64;
        Check {
            plain_loss: check.plain_loss / count,
            present_loss: check.present_loss / count,
            ..check
        }
    }
}

impl Check {
    fn add(&mut self, window: Window, all: &[Dated], (year, date): (i32, f64), slope: f64) {
        let Some(present) = foretold(window, all, year, slope) else {
            return;
        };
        let mut plain: Vec<f64> = freezes(last(all, year, SLOPE_YEARS))
            .into_iter()
            .map(|(_, day)| day)
            .collect();
        plain.sort_unstable_by(f64::total_cmp);
        let mut losses = (0.0, 0.0);
        for (percent, foretold) in PERCENTS.into_iter().zip(present.quantiles) {
            let (Some(plain), Some(foretold)) = (quantile(&plain, percent), foretold) else {
                return;
            };
            let share = f64::from(percent) / 100.0;
            losses.0 += pinball(share, plain, date) / 3.0;
            losses.1 += pinball(share, foretold, date) / 3.0;
        }
        self.forecasts += 1;
        self.plain_loss += losses.0;
        self.present_loss += losses.1;
    }
}

/// Valid years in order, with the day numbers of those that froze.
fn dated(years: &[YearDate]) -> Vec<Dated> {
    let valid = years.iter().filter(|year| year.is_valid);
    valid
        .map(|year| (year.year, year.day.map(f64::from)))
        .collect()
}

/// The last valid years before a year.
fn last(all: &[Dated], before: i32, count: usize) -> &[Dated] {
    let end = all.partition_point(|(year, _)| *year < before);
    all.get(end.saturating_sub(count)..end).unwrap_or_default()
}

fn freezes(of: &[Dated]) -> Vec<(i32, f64)> {
    of.iter()
        .filter_map(|(year, day)| Some((*year, (*day)?)))
        .collect()
}

/// The quantiles of a year's date, foretold from the years before it; `None` with fewer than twenty freezes among the
/// last thirty.
fn foretold(window: Window, all: &[Dated], year: i32, slope: f64) -> Option<Present> {
    if freezes(last(all, year, SLOPE_YEARS)).len() < LEAST_FREEZES {
        return None;
    }
    let carry = |(of, day): (i32, f64)| (of, day + HALF * slope * f64::from(year - of));
    let carried: Vec<(i32, f64)> = freezes(last(all, year, CARRIED_YEARS))
        .into_iter()
        .map(carry)
        .collect();
    let mut days: Vec<f64> = carried.iter().map(|(_, day)| *day).collect();
    let count = days.len() as f64;
    let mean = days.iter().sum::<f64>() / count;
    let spread = days
        .iter()
        .map(|day| (day - mean) * (day - mean))
        .sum::<f64>();
    let deviation = (spread / (count - 1.0)).sqrt();
    days.sort_unstable_by(f64::total_cmp);
    let first = f64::from(window.first_day());
    let end = first + f64::from(window.days()) - 1.0;
    let mut quantiles = [None; 3];
    for ((percent, deviate), found) in PERCENTS.into_iter().zip(DEVIATES).zip(&mut quantiles) {
        let own = quantile(&days, percent)?;
        let normal = mean + deviate * deviation;
        *found = Some(((1.0 - NORMAL) * own + NORMAL * normal).clamp(first, end));
    }
    Some(Present {
        for_year: year,
        quantiles,
        slope,
        carried,
    })
}
