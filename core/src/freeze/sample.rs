//! The dates of one half as a sample: quantiles, fits, trend, bootstrap, and the risk of each day.

use super::season::{HalfName, Window};
use super::years::YearDate;
use super::{Half, Interval, LEAST_YEARS, PERCENTS, Quantiles, Risk, Trend};
use crate::statistics::{
    Generator, NoFit, Weibull, WeibullFit, fit, fit_shape_scale, interval_95, mann_kendall,
    quantile, theil_sen,
};

/// Which tail of the dates a fit bounds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Days counted from the season's start: the early tail is bounded.
    FromStart,
    /// Days counted back from the season's end: the late tail is bounded.
    Reversed,
}

impl Form {
    /// Its name in JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::FromStart => "from_start",
            Self::Reversed => "reversed",
        }
    }
}

/// Both forms, or why there is no fit.
pub(super) type Fits = [Result<(Form, WeibullFit), NoFit>; 2];

/// The better form by AIC, from the start on a tie.
pub(super) fn better(fits: &Fits) -> Option<Form> {
    let aic = |fit: &Result<(Form, WeibullFit), NoFit>| fit.as_ref().ok().map(|(_, fit)| fit.aic);
    let [from_start, reversed] = fits;
    match (aic(from_start), aic(reversed)) {
        (Some(from_start), Some(reversed)) if reversed < from_start => Some(Form::Reversed),
        (Some(_), _) => Some(Form::FromStart),
        (None, Some(_)) => Some(Form::Reversed),
        (None, None) => None,
    }
}

/// The fit of one sample of many, without what tells how well it fits.
fn drawn_fit(season_days: &[f64]) -> Option<Weibull> {
    let (shape, scale) = fit_shape_scale(season_days)?;
    Some(Weibull { shape, scale })
}

/// The valid years of a half: season days of those with a freeze, in order of years, and how many have none.
pub(super) struct Sample {
    window: Window,
    years: Vec<f64>,
    season_days: Vec<f64>,
    ascending: Vec<f64>,
    valid_years: usize,
}

/// What the replicates of a bootstrap say.
pub(super) struct Resampled {
    pub(super) conditional: [Option<Interval>; 3],
    fits: [[Option<Interval>; 3]; 2],
    risk: Vec<Option<Interval>>,
}

impl Resampled {
    pub(super) fn fitted(&self, form: Form) -> [Option<Interval>; 3] {
        let [from_start, reversed] = self.fits;
        if form == Form::FromStart {
            from_start
        } else {
            reversed
        }
    }
}

impl Sample {
    pub(super) fn new(window: Window, all: &[YearDate]) -> Self {
        let valid = || all.iter().filter(|year| year.is_valid);
        let with = || valid().filter_map(|year| Some((f64::from(year.year), year.day?)));
        let season_days: Vec<f64> = with()
            .map(|(_, day)| window.season_day(f64::from(day)))
            .collect();
        let mut ascending = season_days.clone();
        ascending.sort_by(f64::total_cmp);
        let years = with().map(|(year, _)| year).collect();
        Self {
            window,
            years,
            season_days,
            ascending,
            valid_years: valid().count(),
        }
    }

    /// Dates carried to the present climate, kept within the season so that they can be fitted.
    pub(super) fn carried(window: Window, dates: &[(i32, f64)], valid_years: usize) -> Self {
        let end = f64::from(window.days()) + 0.5;
        let season_day = |(_, day): &(i32, f64)| window.season_day(*day).clamp(0.5, end);
        let season_days: Vec<f64> = dates.iter().map(season_day).collect();
        let mut ascending = season_days.clone();
        ascending.sort_by(f64::total_cmp);
        let years = dates.iter().map(|(year, _)| f64::from(*year)).collect();
        Self {
            window,
            years,
            season_days,
            ascending,
            valid_years,
        }
    }

    pub(super) fn valid_years(&self) -> usize {
        self.valid_years
    }

    pub(super) fn freeze_years(&self) -> usize {
        self.season_days.len()
    }

    /// Whether years may be drawn for intervals: of the risk over valid years, of dates over freeze years. Without a
    /// freeze every draw is the same, and says nothing of how sure it is.
    pub(super) fn has_intervals(&self) -> bool {
        self.valid_years >= LEAST_YEARS && self.freeze_years() > 0
    }

    fn to_day(&self, season_day: f64) -> f64 {
        self.window.of_season_day(season_day)
    }

    pub(super) fn conditional(&self) -> Quantiles {
        PERCENTS.map(|percent| Some(self.to_day(quantile(&self.ascending, percent)?)))
    }

    /// A year without a freeze lies before every date in spring, and after every one in autumn.
    pub(super) fn mixed(&self) -> Quantiles {
        let without = self.valid_years - self.freeze_years();
        let all = self.with_infinities(without, &self.ascending);
        PERCENTS.map(|percent| {
            let day = quantile(&all, percent)?;
            day.is_finite().then(|| self.to_day(day))
        })
    }

    fn with_infinities(&self, without: usize, ascending: &[f64]) -> Vec<f64> {
        let beyond = |value: f64| core::iter::repeat_n(value, without);
        match self.window.half {
            HalfName::Spring => beyond(f64::NEG_INFINITY)
                .chain(ascending.iter().copied())
                .collect(),
            HalfName::Autumn => ascending
                .iter()
                .copied()
                .chain(beyond(f64::INFINITY))
                .collect(),
        }
    }

    /// The season days as a form counts them.
    fn counted(&self, form: Form, season_days: &[f64]) -> Vec<f64> {
        let end = f64::from(self.window.days()) + 1.0;
        match form {
            Form::FromStart => season_days.to_vec(),
            Form::Reversed => season_days.iter().map(|day| end - day).collect(),
        }
    }

    pub(super) fn fits(&self) -> Fits {
        [Form::FromStart, Form::Reversed]
            .map(|form| fit(&self.counted(form, &self.season_days)).map(|fit| (form, fit)))
    }

    /// A fitted quantile as a day number.
    pub(super) fn fitted(&self, form: Form, weibull: &WeibullFit, percent: u32) -> f64 {
        self.fitted_day(form, weibull.weibull(), percent)
    }

    fn fitted_day(&self, form: Form, weibull: Weibull, percent: u32) -> f64 {
        let below = |percent: u32| {
            let value = weibull.quantile(f64::from(percent) / 100.0);
            value.unwrap_or(f64::NAN)
        };
        let season_day = match form {
            Form::FromStart => below(percent),
            Form::Reversed => f64::from(self.window.days()) + 1.0 - below(100 - percent),
        };
        self.to_day(season_day)
    }

    pub(super) fn trend(&self) -> Trend {
        Trend {
            theil_sen: theil_sen(&self.years, &self.season_days),
            mann_kendall: mann_kendall(&self.season_days),
        }
    }

    /// The chance that a freeze year's date lies on the wrong side of a season day, by a fit.
    fn chance(&self, form: Form, weibull: Weibull, season_day: f64) -> f64 {
        let end = f64::from(self.window.days()) + 1.0;
        match (self.window.half, form) {
            (HalfName::Spring, Form::FromStart) => weibull.probability_beyond(season_day),
            (HalfName::Spring, Form::Reversed) => weibull.probability_below(end - season_day),
            (HalfName::Autumn, Form::FromStart) => weibull.probability_below(season_day),
            (HalfName::Autumn, Form::Reversed) => weibull.probability_beyond(end - season_day),
        }
    }

    /// Share of the freeze years whose date lies on the wrong side of a season day, or on it.
    fn share(&self, season_days: &[f64], season_day: f64) -> f64 {
        let wrong = |day: &&f64| match self.window.half {
            HalfName::Spring => **day >= season_day,
            HalfName::Autumn => **day <= season_day,
        };
        season_days.iter().filter(wrong).count() as f64 / season_days.len().max(1) as f64
    }

    /// The risk of each day of the half.
    pub(super) fn risk(&self, half: &Half, drawn: Option<&Resampled>) -> Vec<Risk> {
        self.risk_by(half.freeze_probability(), half.chosen, drawn)
    }

    /// The risk of each day, by a share of years with a freeze and the form that draws the curve.
    pub(super) fn risk_by(
        &self,
        freezes: Option<f64>,
        chosen: Option<Form>,
        drawn: Option<&Resampled>,
    ) -> Vec<Risk> {
        let Some(freezes) = freezes else {
            return Vec::new();
        };
        let weibull = |form| drawn_fit(&self.counted(form, &self.season_days));
        let fit = chosen.and_then(|form| Some((form, weibull(form)?)));
        let first = self.window.first_day();
        let risk = |day: u32| {
            let season_day = self.window.season_day(f64::from(day));
            let chance = match fit {
                Some((form, weibull)) => self.chance(form, weibull, season_day),
                None => self.share(&self.season_days, season_day),
            };
            let place = (day - first) as usize;
            let interval = drawn.and_then(|drawn| drawn.risk.get(place).copied().flatten());
            Risk {
                day,
                probability: freezes * chance,
                interval,
            }
        };
        (first..first + self.window.days()).map(risk).collect()
    }

    /// Draws years with replacement: freeze years for conditional quantiles and fits, valid years for the risk.
    pub(super) fn resampled(&self, seed: u64, replicates: u32, chosen: Option<Form>) -> Resampled {
        let (mut generator, mut of_risk) = (Generator::new(seed), Generator::new(!seed));
        let mut quantiles: [Vec<f64>; 3] = Default::default();
        let mut fits: [[Vec<f64>; 3]; 2] = Default::default();
        let mut risk: Vec<Vec<f64>> = vec![Vec::new(); self.window.days() as usize];
        for _ in 0..replicates {
            let days = self.drawn(&mut generator);
            let mut ascending = days.clone();
            ascending.sort_by(f64::total_cmp);
            for (percent, all) in PERCENTS.into_iter().zip(&mut quantiles) {
                all.extend(quantile(&ascending, percent).map(|day| self.to_day(day)));
            }
            for (form, all) in [Form::FromStart, Form::Reversed].into_iter().zip(&mut fits) {
                let Some(weibull) = drawn_fit(&self.counted(form, &days)) else {
                    continue;
                };
                for (percent, all) in PERCENTS.into_iter().zip(all) {
                    all.push(self.fitted_day(form, weibull, percent));
                }
            }
            self.redraw_risk(&mut of_risk, chosen, &mut risk);
        }
        let least = replicates as usize * 95 / 100; // degenerate replicates are skipped; above 5 % no interval
        let interval = |mut all: Vec<f64>| {
            if all.len() < least {
                None
            } else {
                interval_95(&mut all)
            }
        };
        let is_enough = self.freeze_years() >= LEAST_YEARS;
        let of_freeze_years = |all| Some(all).filter(|_| is_enough).and_then(interval);
        Resampled {
            conditional: quantiles.map(of_freeze_years),
            fits: fits.map(|form| form.map(of_freeze_years)),
            risk: risk.into_iter().map(interval).collect(),
        }
    }

    fn drawn(&self, generator: &mut Generator) -> Vec<f64> {
        let count = self.season_days.len();
        let draw = |_| {
            let index = usize::try_from(generator.index(count as u64)).unwrap_or(0);
            self.season_days.get(index).copied().unwrap_or(f64::NAN)
        };
        (0..count).map(draw).collect()
    }

    /// One replicate of the risk curve: valid years drawn, the share with a freeze times the curve of those drawn.
    fn redraw_risk(&self, generator: &mut Generator, chosen: Option<Form>, risk: &mut [Vec<f64>]) {
        let draw = |_| generator.index(self.valid_years as u64);
        let of = |index: u64| {
            usize::try_from(index)
                .ok()
                .and_then(|index| self.season_days.get(index))
        };
        let days: Vec<f64> = (0..self.valid_years)
            .map(draw)
            .filter_map(of)
            .copied()
            .collect();
        let freezes = days.len() as f64 / self.valid_years as f64;
        let fit = chosen.and_then(|form| Some((form, drawn_fit(&self.counted(form, &days))?)));
        for (season_day, all) in (1_u32..).zip(risk) {
            let season_day = f64::from(season_day);
            let chance = match fit {
                Some((form, weibull)) => self.chance(form, weibull, season_day),
                None => self.share(&days, season_day),
            };
            all.push(freezes * chance);
        }
    }
}
