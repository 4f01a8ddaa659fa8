//! Freeze days to dates, dates to risk: when the last freeze really comes, and what risk each date carries.
//!
//! A freeze day is a day whose minimum is at or below a threshold. Of each half-season that has at most ten missing
//! days the last spring freeze or the first autumn freeze is taken; years without a freeze count in the probability and
//! are never dropped (mixed distribution: Thom & Shaw 1958, Mon. Wea. Rev. 86, 251; pages from memory).

mod json;
mod notices;
mod present;
mod sample;
mod season;
mod station;
mod suspect;
mod years;

use chrono::NaiveDate;

use crate::quantity::Quantity;
use crate::series::DailySeries;
use crate::site::Hemisphere;
use crate::statistics::{MannKendall, NoFit, TheilSen, WeibullFit, a2_star, significance};

pub use present::{Check, METHOD, Present};
pub use sample::Form;
pub use season::{HalfName, Window};
pub use station::StationFreezes;
pub use years::{MAX_MISSING_DAYS, YearDate};

use present::Climate;
use sample::{Resampled, Sample};
use suspect::Suspects;
use years::Years;

/// Percentages of the quantiles given: P(date ≤ day).
pub const PERCENTS: [u32; 3] = [10, 50, 90];
/// Fewest years of an interval (freeze years for dates and fits, valid years for the risk) or a trend in words: the
/// contract's figure.
pub const LEAST_YEARS: usize = 10;

/// Fewest valid years of a risk in words: the project's handbook of statistics, §11.
pub const LEAST_RISK_YEARS: usize = 3;

/// What is asked of a record.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// Thresholds, as written.
    pub thresholds: Vec<Quantity>,
    /// Side of the equator.
    pub hemisphere: Hemisphere,
    /// Whether suspect minima count.
    pub keeps_suspect: bool,
    /// Seed of the bootstrap.
    pub seed: u64,
    /// Its replicates; 0: no intervals.
    pub replicates: u32,
    /// Whether dates, quantiles and fits are all that is wanted, as for a table of many stations: no trend, no present
    /// climate, no risk.
    pub is_brief: bool,
}

/// Quantiles at 10, 50 and 90 %, as day numbers; `None` where the sample does not reach.
pub type Quantiles = [Option<f64>; 3];
/// A 95 % interval.
pub type Interval = (f64, f64);

/// One Weibull fit of the dates.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// Which tail is bounded.
    pub form: Form,
    /// Shape, scale and how well it fits.
    pub weibull: WeibullFit,
    /// Its quantiles as day numbers.
    pub quantiles: [f64; 3],
    /// Their bootstrap intervals.
    pub intervals: [Option<Interval>; 3],
}

/// Whether the dates move.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Trend {
    /// Slope \[days a year\] with its interval.
    pub theil_sen: Option<TheilSen>,
    /// The test.
    pub mann_kendall: Option<MannKendall>,
}

/// The risk that a date carries.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Risk {
    /// Day number.
    pub day: u32,
    /// In spring P(last freeze on or after the day), in autumn P(first freeze on or before it).
    pub probability: f64,
    /// Its bootstrap interval.
    pub interval: Option<Interval>,
}

/// One half at one threshold.
#[derive(Debug, Clone, PartialEq)]
pub struct Half {
    /// Which half, where.
    pub window: Window,
    /// Its years, valid or not.
    pub years: Vec<YearDate>,
    /// Years that count.
    pub valid_years: usize,
    /// Of these, years with a freeze.
    pub freeze_years: usize,
    /// Quantiles over freeze years.
    pub conditional: Quantiles,
    /// Quantiles over valid years, in which a year without a freeze lies beyond the season.
    pub mixed: Quantiles,
    /// Intervals of the conditional quantiles.
    pub conditional_intervals: [Option<Interval>; 3],
    /// Both fits, or why there is none.
    pub fits: [Result<Fit, NoFit>; 2],
    /// The fit that draws the curve: the better by AIC.
    pub chosen: Option<Form>,
    /// Whether the dates move.
    pub trend: Trend,
    /// The coming season in a climate that moves; `None` where the record is too short for it.
    pub present: Option<Present>,
    /// Which of the two the answer leads with.
    pub headline: Headline,
    /// The risk of each day of the half, of the headline's sample.
    pub risk: Vec<Risk>,
}

/// Which sample an answer leads with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Headline {
    /// The record as it is.
    Record,
    /// The record carried to the present climate, because that was better at this station.
    Present,
}

impl Headline {
    /// Its name in JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Record => "record",
            Self::Present => "present",
        }
    }
}

impl Half {
    /// Share of valid years with a freeze; `None` without valid years.
    #[must_use]
    pub fn freeze_probability(&self) -> Option<f64> {
        (self.valid_years > 0).then(|| self.freeze_years as f64 / self.valid_years as f64)
    }

    /// The risk that a date carries; `None` if it lies outside the half.
    #[must_use]
    pub fn risk_on(&self, date: NaiveDate) -> Option<Risk> {
        let (from, to) = self.window.dates(self.window.season_of(date))?;
        let day = (from..=to).contains(&date).then(|| self.window.day(date))?;
        self.risk.iter().find(|risk| risk.day == day).copied()
    }

    /// In spring the first day whose risk is at most `share`, in autumn the last; `None` where no day's is.
    #[must_use]
    pub fn day_of_risk(&self, share: f64) -> Option<u32> {
        let is_low = |risk: &&Risk| risk.probability <= share;
        let found = match self.window.half {
            HalfName::Spring => self.risk.iter().find(is_low),
            HalfName::Autumn => self.risk.iter().rev().find(is_low),
        };
        found.map(|risk| risk.day)
    }

    /// Whether more than half of the valid years have their freeze on the day where the halves meet in summer: no date
    /// then parts the cold from the warm.
    #[must_use]
    pub fn is_mostly_at_the_end(&self) -> bool {
        let day = match self.window.half {
            HalfName::Spring => self.window.first_day() + self.window.days() - 1,
            HalfName::Autumn => self.window.first_day(),
        };
        let is_there = |year: &&YearDate| year.is_valid && year.day == Some(day);
        2 * self.years.iter().filter(is_there).count() > self.valid_years
    }

    /// The quantiles over freeze years that the answer leads with.
    #[must_use]
    pub fn leading(&self) -> Quantiles {
        match (&self.present, self.headline) {
            (Some(present), Headline::Present) => present.quantiles,
            _ => self.conditional,
        }
    }

    /// The chance of dates as far from the chosen fit as these, if they come from such a distribution: by Anderson and
    /// Darling's A² with both parameters estimated; `None` without a fit. Whole days lower it a little.
    #[must_use]
    pub fn significance(&self) -> Option<f64> {
        let fit = self.chosen_fit()?;
        Some(significance(a2_star(fit.weibull.ad_a2, self.freeze_years)))
    }

    /// The fit that draws the curve.
    #[must_use]
    pub fn chosen_fit(&self) -> Option<&Fit> {
        self.fits
            .iter()
            .flatten()
            .find(|fit| Some(fit.form) == self.chosen)
    }
}

/// The season between the two freezes.
#[derive(Debug, Clone, PartialEq)]
pub struct FreezeFree {
    /// Days of each season in which both halves are valid and have a freeze.
    pub days: Vec<(i32, i64)>,
    /// Quantiles of the days.
    pub quantiles: Quantiles,
}

/// A record at one threshold.
#[derive(Debug, Clone, PartialEq)]
pub struct AtThreshold {
    /// The threshold, as written.
    pub threshold: Quantity,
    /// Last freezes.
    pub spring: Half,
    /// First freezes.
    pub autumn: Half,
    /// Days between.
    pub freeze_free: FreezeFree,
}

/// What else is asked beside the dates.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Asked {
    /// The risk on this date.
    pub on: Option<NaiveDate>,
    /// The date of this risk, as a share.
    pub risk: Option<f64>,
}

/// Everything that a record says of freezes, a threshold after the other.
///
/// ```
/// use chrono::NaiveDate;
/// use fairspell::{freeze::{freezes, Settings}, quantity::{Quantity, Unit}, series::DailySeries, site::Hemisphere};
/// // Two years of days at 50 °F, but for 28 °F on 10 April of the first and 20 April of the second.
/// let first = NaiveDate::from_ymd_opt(2025, 1, 1).unwrap();
/// let mut tmin = vec![50.0; 730];
/// (tmin[99], tmin[474]) = (28.0, 28.0);
/// let record = DailySeries::new("S1", first, tmin, Unit::Fahrenheit, false)?;
/// let settings = Settings {
///     thresholds: vec![Quantity { value: 28.0, unit: Unit::Fahrenheit }],
///     hemisphere: Hemisphere::North, keeps_suspect: false, seed: 0, replicates: 0, is_brief: true,
/// };
/// let spring = &freezes(&record, &settings)[0].spring;
/// let days: Vec<_> = spring.years.iter().map(|year| year.day).collect();
/// assert_eq!((days, spring.valid_years), (vec![Some(100), Some(110)], 2));
/// assert_eq!(spring.conditional[1], Some(105.0));
/// # Ok::<(), fairspell::error::SeriesError>(())
/// ```
#[must_use]
pub fn freezes(series: &DailySeries, settings: &Settings) -> Vec<AtThreshold> {
    freezes_and_check(series, settings).0
}

/// The last spring freeze alone, at one threshold; those of the settings are left aside.
#[must_use]
pub fn last_freeze(series: &DailySeries, settings: &Settings, threshold: Quantity) -> Half {
    let suspects = Suspects::new(series, settings.keeps_suspect);
    let of = |half| {
        let hemisphere = settings.hemisphere;
        Years::new(series, Window { half, hemisphere }, &suspects)
    };
    let (springs, autumns) = (of(HalfName::Spring), of(HalfName::Autumn));
    let climate = (!settings.is_brief).then(|| Climate::new([&springs, &autumns]));
    let climate = climate.map(|climate| {
        let is_won = climate.check().is_won();
        (climate, is_won)
    });
    let seed = stream_seed(settings.seed, series.station(), threshold, HalfName::Spring);
    let dates = springs.dates(threshold);
    half_of(settings, springs.window(), dates, seed, climate.as_ref())
}

/// The same, and how the method for the present climate did at this station; not asked for in brief.
pub(crate) fn freezes_and_check(
    series: &DailySeries,
    settings: &Settings,
) -> (Vec<AtThreshold>, Check) {
    let suspects = Suspects::new(series, settings.keeps_suspect);
    let of = |half| {
        let hemisphere = settings.hemisphere;
        Years::new(series, Window { half, hemisphere }, &suspects)
    };
    let (springs, autumns) = (of(HalfName::Spring), of(HalfName::Autumn));
    let climate = (!settings.is_brief).then(|| Climate::new([&springs, &autumns]));
    let check = climate.as_ref().map_or_else(Check::default, Climate::check);
    let climate = climate.map(|climate| (climate, check.is_won()));
    let at = |threshold: &Quantity| {
        let half = |years: &Years<'_>| {
            let seed = stream_seed(
                settings.seed,
                series.station(),
                *threshold,
                years.window().half,
            );
            let dates = years.dates(*threshold);
            half_of(settings, years.window(), dates, seed, climate.as_ref())
        };
        let (spring, autumn) = (half(&springs), half(&autumns));
        let freeze_free = freeze_free(&spring, &autumn);
        AtThreshold {
            threshold: *threshold,
            spring,
            autumn,
            freeze_free,
        }
    };
    (settings.thresholds.iter().map(at).collect(), check)
}

fn half_of(
    settings: &Settings,
    window: Window,
    years: Vec<YearDate>,
    seed: u64,
    climate: Option<&(Climate, bool)>,
) -> Half {
    let sample = Sample::new(window, &years);
    let fits = sample.fits();
    let chosen = sample::better(&fits);
    let drawn = (settings.replicates > 0 && sample.has_intervals())
        .then(|| sample.resampled(seed, settings.replicates, chosen));
    let fits = fits_of(&sample, fits, drawn.as_ref());
    let trend = (!settings.is_brief).then(|| sample.trend());
    let mut half = Half {
        window,
        valid_years: sample.valid_years(),
        freeze_years: sample.freeze_years(),
        conditional: sample.conditional(),
        mixed: sample.mixed(),
        conditional_intervals: drawn.as_ref().map_or([None; 3], |drawn| drawn.conditional),
        fits,
        chosen,
        trend: trend.unwrap_or_default(),
        present: climate.and_then(|(climate, _)| climate.present(window, &years)),
        headline: Headline::Record,
        risk: Vec::new(),
        years,
    };
    let is_won = climate.is_some_and(|(_, is_won)| *is_won);
    if let Some(carried) = half.present.as_ref().filter(|_| is_won) {
        half.headline = Headline::Present;
        half.risk = risk_of_carried(&half, carried, seed, settings.replicates);
    } else if !settings.is_brief {
        half.risk = sample.risk(&half, drawn.as_ref());
    }
    half
}

/// The fits with the quantiles that they give, and their intervals where years were drawn.
fn fits_of(
    sample: &Sample,
    fits: [Result<(Form, WeibullFit), NoFit>; 2],
    drawn: Option<&Resampled>,
) -> [Result<Fit, NoFit>; 2] {
    fits.map(|fit| {
        fit.map(|(form, weibull)| Fit {
            form,
            weibull,
            quantiles: PERCENTS.map(|percent| sample.fitted(form, &weibull, percent)),
            intervals: drawn.map_or([None; 3], |drawn| drawn.fitted(form)),
        })
    })
}

/// The risk of each day by the dates carried to the present climate, with the record's own share of freeze years.
fn risk_of_carried(half: &Half, present: &Present, seed: u64, replicates: u32) -> Vec<Risk> {
    let share = half.valid_years as f64 / half.freeze_years.max(1) as f64;
    let valid = (present.carried.len() as f64 * share).round();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a count of years"
    )]
    let valid = valid as usize;
    let sample = Sample::carried(half.window, &present.carried, valid);
    let chosen = sample::better(&sample.fits());
    let drawn = (replicates > 0 && sample.has_intervals())
        .then(|| sample.resampled(seed, replicates, chosen));
    sample.risk_by(half.freeze_probability(), chosen, drawn.as_ref())
}

fn freeze_free(spring: &Half, autumn: &Half) -> FreezeFree {
    let valid = |half: &Half, year: i32| -> Option<NaiveDate> {
        let of_year = half
            .years
            .iter()
            .find(|of| of.year == year && of.is_valid)?;
        of_year.date
    };
    let days = |of: &YearDate| {
        let between = valid(autumn, of.year)?.signed_duration_since(valid(spring, of.year)?);
        Some((of.year, between.num_days()))
    };
    let days: Vec<(i32, i64)> = spring.years.iter().filter_map(days).collect();
    let mut lengths: Vec<f64> = days.iter().map(|(_, days)| *days as f64).collect();
    lengths.sort_by(f64::total_cmp);
    FreezeFree {
        days,
        quantiles: PERCENTS.map(|percent| crate::statistics::quantile(&lengths, percent)),
    }
}

/// A stream of its own for each station, threshold and half, so that the answer depends neither on threads nor on which
/// others are in the file.
fn stream_seed(seed: u64, station: &str, threshold: Quantity, half: HalfName) -> u64 {
    let bytes = station
        .bytes()
        .chain([0, half as u8])
        .chain([threshold.unit as u8])
        .chain(threshold.value.to_bits().to_le_bytes());
    seed ^ fnv_1a(bytes)
}

/// FNV-1a, 64 bit: Fowler, Noll & Vo 1991 (constants from memory).
fn fnv_1a(bytes: impl Iterator<Item = u8>) -> u64 {
    bytes.fold(0xcbf2_9ce4_8422_2325, |hash: u64, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    })
}

#[cfg(test)]
mod tests {
    use super::fnv_1a;

    /// Test vectors of the hash's authors (from memory).
    #[test]
    fn the_hash_is_fnv_1a() {
        assert_eq!(fnv_1a(b"".iter().copied()), 0xcbf2_9ce4_8422_2325);
        assert_eq!(fnv_1a(b"a".iter().copied()), 0xaf63_dc4c_8601_ec8c);
        assert_eq!(fnv_1a(b"foobar".iter().copied()), 0x8594_4171_f739_67e8);
    }
}
