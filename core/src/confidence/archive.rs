//! An archive of forecasts held against what came: how far they erred by lead time, what can be learned from it, and what
//! that would have been worth.
//!
//! Lead times go by classes of twelve hours. In each, every forecast is one case, whatever its hours, since they err together.
//! What was known when a forecast was issued rests on forecasts whose hours were all over by then; the scores compare
//! chances from it with those of the error model, on hours alone that had [`LEAST_FORECASTS`] such forecasts before them.
//!
//! Not held: that a forecast errs otherwise by day than by night.

use std::collections::BTreeMap;

use super::{ErrorModel, Learner};
use crate::series::HOUR_S;
use crate::site::LeadError;
use crate::statistics::normal_cdf;

/// Hours of a class of lead times. Ours: half a day.
pub const CLASS_H: i64 = 12;
/// Fewest forecasts from which anything is learned. Ours.
pub const LEAST_FORECASTS: usize = 10;

/// A temperature that was foretold, and what came.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Verified {
    /// When it was issued \[s since 1970 UTC\].
    pub issued: i64,
    /// The hour that it is for \[s since 1970 UTC\].
    pub valid: i64,
    /// What it said \[°C\].
    pub forecast_c: f64,
    /// What came \[°C\].
    pub observed_c: f64,
}

impl Verified {
    fn error_c(&self) -> f64 {
        self.forecast_c - self.observed_c
    }

    fn lead_h(&self) -> f64 {
        (self.valid - self.issued) as f64 / HOUR_S as f64
    }
}

/// How far forecasts of a class of lead times erred.
#[derive(Debug, Clone, PartialEq)]
pub struct LeadRecord {
    /// The class's least lead time \[h\].
    pub from_h: i64,
    /// Lead times of the class lie below this \[h\].
    pub to_h: i64,
    /// Forecasts.
    pub forecasts: usize,
    /// Their hours.
    pub hours: usize,
    /// Mean of forecast minus observation, over all hours \[°C\].
    pub mean_error_c: f64,
    /// Root mean square of the same \[°C\].
    pub rms_error_c: f64,
    /// What is learned of the next forecast, at the mean lead time of the class, rounded down to 0.1 h.
    pub learned: LeadError,
    /// The deviation by the error model at that lead time \[°C\].
    pub modelled_c: f64,
    /// What it would have been worth.
    pub scores: Vec<LimitScore>,
}

/// Brier scores of the chance that the temperature is at least a limit; less is better.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LimitScore {
    /// The limit \[°C\].
    pub limit_c: f64,
    /// Hours scored.
    pub hours: usize,
    /// Share of them in which it was at least the limit; where it is 0 or 1 the scores tell little.
    pub share: f64,
    /// Score of that share, said of every hour.
    pub by_share: f64,
    /// Score of the error model.
    pub by_model: f64,
    /// Score of the error learned by the time of issue.
    pub by_learned: f64,
}

/// Learns from verified forecasts, class by class; classes without one are left out, and so are scores without an hour.
///
/// ```
/// use fairspell::confidence::{Verified, learn_by_lead};
/// let day = 86_400;
/// let pairs: Vec<Verified> = (0..60)
///     .map(|n| Verified { issued: n * day, valid: n * day + day, forecast_c: 8.0, observed_c: 5.0 + (n % 3) as f64 - 1.0 })
///     .collect();
/// let leads = learn_by_lead(&pairs, &[5.0]);
/// assert_eq!((leads.len(), leads[0].from_h, leads[0].forecasts), (1, 24, 60));
/// assert!((leads[0].mean_error_c - 3.0).abs() < 1e-12 && leads[0].learned.bias_c > 2.0);
/// assert!(leads[0].scores[0].by_learned < leads[0].scores[0].by_model);
/// ```
#[must_use]
pub fn learn_by_lead(pairs: &[Verified], limits_c: &[f64]) -> Vec<LeadRecord> {
    let class = |pair: &Verified| (pair.valid - pair.issued).div_euclid(HOUR_S * CLASS_H);
    let is_number = |pair: &&Verified| pair.error_c().is_finite();
    let mut pairs: Vec<Verified> = pairs.iter().filter(is_number).copied().collect();
    pairs.sort_by_key(|pair| (class(pair), pair.issued, pair.valid));
    let classes = pairs.chunk_by(|a, b| class(a) == class(b));
    classes
        .filter_map(|pairs| Some(of_class(class(pairs.first()?), pairs, limits_c)))
        .collect()
}

/// What was expected of an hour when it was foretold.
struct Expected<'a> {
    pair: &'a Verified,
    known: LeadError,
}

fn of_class(class: i64, pairs: &[Verified], limits_c: &[f64]) -> LeadRecord {
    let hours = pairs.len();
    let mean = |of: &dyn Fn(&Verified) -> f64| pairs.iter().map(of).sum::<f64>() / hours as f64;
    // Rounded down, so that two classes never come to the same lead time.
    let lead_h = (mean(&Verified::lead_h) * 10.0).floor() / 10.0;
    let modelled_c = ErrorModel::HANDBOOK.temperature.at(lead_h);
    let (learned, expected) = walked(Learner::new(lead_h, modelled_c), pairs);
    let scores = limits_c.iter().filter_map(|limit| score(&expected, *limit));
    LeadRecord {
        from_h: class * CLASS_H,
        to_h: (class + 1) * CLASS_H,
        forecasts: pairs.chunk_by(|a, b| a.issued == b.issued).count(),
        hours,
        mean_error_c: mean(&Verified::error_c),
        rms_error_c: mean(&|pair| pair.error_c() * pair.error_c()).sqrt(),
        learned,
        modelled_c,
        scores: scores.collect(),
    }
}

/// Learns forecast by forecast, in the order of issue, each once it is over: what is learned in the end, and what was
/// expected of each hour that had enough forecasts before it.
fn walked(mut learner: Learner, pairs: &[Verified]) -> (LeadError, Vec<Expected<'_>>) {
    let mut over = 0;
    let mut waiting: BTreeMap<(i64, i64), (&[Verified], LeadError)> = BTreeMap::new();
    let mut expected = Vec::new();
    for forecast in pairs.chunk_by(|a, b| a.issued == b.issued) {
        let (Some(first), Some(last)) = (forecast.first(), forecast.last()) else {
            continue;
        };
        while let Some(earliest) = waiting.first_entry() {
            if earliest.key().0 > first.issued {
                break;
            }
            learn(&mut learner, earliest.remove());
            over += 1;
        }
        let known = learner.error(last.valid);
        if over >= LEAST_FORECASTS {
            expected.extend(forecast.iter().map(|pair| Expected { pair, known }));
        }
        waiting.insert((last.valid, first.issued), (forecast, known));
    }
    for forecast in waiting.into_values() {
        learn(&mut learner, forecast);
    }
    let until = pairs.iter().map(|pair| pair.valid).max().unwrap_or(0);
    (learner.error(until), expected)
}

fn learn(learner: &mut Learner, (forecast, known): (&[Verified], LeadError)) {
    let errors: Vec<f64> = forecast.iter().map(Verified::error_c).collect();
    if let Some(last) = forecast.last() {
        learner.learn_all(last.valid, &errors, known);
    }
}

/// Scores of the hours expected; `None` without one.
fn score(expected: &[Expected<'_>], limit_c: f64) -> Option<LimitScore> {
    let hours = expected.len();
    let came = |one: &Expected<'_>| f64::from(u8::from(one.pair.observed_c >= limit_c));
    let mean =
        |of: &dyn Fn(&Expected<'_>) -> f64| expected.iter().map(of).sum::<f64>() / hours as f64;
    let share = mean(&came);
    let brier = |chance: &dyn Fn(&Expected<'_>) -> f64| {
        mean(&|one| (chance(one) - came(one)) * (chance(one) - came(one)))
    };
    let above = |pair: &Verified, bias_c: f64, deviation_c: f64| {
        normal_cdf((pair.forecast_c - bias_c - limit_c) / deviation_c)
    };
    let modelled = |one: &Expected<'_>| {
        let deviation_c = ErrorModel::HANDBOOK.temperature.at(one.pair.lead_h());
        above(one.pair, 0.0, deviation_c)
    };
    let learned = |one: &Expected<'_>| above(one.pair, one.known.bias_c, one.known.deviation_c);
    (hours > 0).then(|| LimitScore {
        limit_c,
        hours,
        share,
        by_share: brier(&|_| share),
        by_model: brier(&modelled),
        by_learned: brier(&learned),
    })
}
