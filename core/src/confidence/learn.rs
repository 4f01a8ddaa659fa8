//! The error of a forecast, learned from its own past: each error counts once its weather has come.
//!
//! The bias is a mean of past errors in which the recent count more, drawn towards none while they are few; the deviation
//! is that of the errors that were left once the bias known at the time was taken off, drawn towards the error model's
//! while they are few. Nothing is learned from what had not yet come when a forecast was issued, if the caller keeps to it.
//!
//! The three numbers are ours: a round choice out of some ten tried on 969 stations of one late winter, among neighbours
//! that do as well (7 days and 1 of no error did a little better). `verification.rs` in `tests` counts what they are worth.

use crate::series::HOUR_S;
use crate::site::LeadError;

/// Days after which a past error counts e times less. Ours, see above.
const MEMORY_DAYS: f64 = 10.0;
/// Errors of none that the bias begins with. Ours, see above.
const UNBIASED: f64 = 2.0;
/// Errors of the error model's size that the deviation begins with. Ours, see above.
const MODELLED: f64 = 20.0;

/// What is known of the error of a place's forecasts at one lead time.
///
/// ```
/// use fairspell::confidence::Learner;
/// let day_s = 86_400;
/// let mut learner = Learner::new(48.0, 2.5);
/// assert_eq!((learner.error(0).bias_c, learner.error(0).deviation_c), (0.0, 2.5));
/// for day in 0..40 {
///     let known = learner.error((day - 2) * day_s); // what was known when the forecast was issued
///     learner.learn(day * day_s, 1.0, known); // each time 1 °C too warm
/// }
/// let error = learner.error(40 * day_s);
/// assert!(error.bias_c > 0.7 && error.bias_c < 1.0 && error.deviation_c < 2.0);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Learner {
    lead_h: f64,
    /// Time of the last error \[s since 1970 UTC\], and sum and weight of all as they count then.
    until: i64,
    sum: f64,
    weight: f64,
    squares: f64,
    count: f64,
    modelled_c: f64,
}

impl Learner {
    /// Nothing learned yet of forecasts of a lead time \[h\], whose deviation by the error model is `modelled_c` \[°C\].
    #[must_use]
    pub fn new(lead_h: f64, modelled_c: f64) -> Self {
        Self {
            lead_h,
            until: i64::MIN,
            sum: 0.0,
            weight: 0.0,
            squares: 0.0,
            count: 0.0,
            modelled_c,
        }
    }

    /// The error of a forecast whose weather comes at `valid` \[s since 1970 UTC\], by all errors learned so far.
    #[must_use]
    pub fn error(&self, valid: i64) -> LeadError {
        let kept = self.kept(valid);
        let prior = MODELLED * self.modelled_c * self.modelled_c;
        LeadError {
            lead_h: self.lead_h,
            bias_c: kept * self.sum / (kept * self.weight + UNBIASED),
            deviation_c: ((prior + self.squares) / (MODELLED + self.count)).sqrt(),
        }
    }

    /// Learns that the weather at `valid` \[s since 1970 UTC\] came, and that the forecast was `error_c` above it \[°C\],
    /// where `known` was expected of it when it was issued. Errors that are no numbers are left out.
    pub fn learn(&mut self, valid: i64, error_c: f64, known: LeadError) {
        self.learn_all(valid, &[error_c], known);
    }

    /// The same for the errors of one forecast in several hours, the last of them at `valid`: they err together, so all of
    /// them count as one.
    pub fn learn_all(&mut self, valid: i64, errors_c: &[f64], known: LeadError) {
        let errors = || errors_c.iter().filter(|error| error.is_finite());
        let count = errors().count() as f64;
        if count == 0.0 || !known.bias_c.is_finite() {
            return;
        }
        let kept = self.kept(valid);
        self.sum = kept * self.sum + errors().sum::<f64>() / count;
        self.weight = kept * self.weight + 1.0;
        let left = |error: &f64| (error - known.bias_c) * (error - known.bias_c);
        self.squares += errors().map(left).sum::<f64>() / count;
        self.count += 1.0;
        self.until = self.until.max(valid);
    }

    /// By how much less the errors learned so far count at a time than at the last of them.
    fn kept(&self, at: i64) -> f64 {
        let hours = at.saturating_sub(self.until).max(0) as f64 / HOUR_S as f64;
        libm::exp(-hours / (24.0 * MEMORY_DAYS))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn assert_near(found: f64, hoped: f64) {
        assert!((found - hoped).abs() < 1e-12, "{found}, hoped {hoped}");
    }

    /// By hand: errors of 2 and 4 °C ten days apart, seen ten days later. Weights 1/e² and 1/e.
    #[test]
    fn recent_errors_count_more() {
        let day = 24 * HOUR_S;
        let mut learner = Learner::new(48.0, 3.0);
        learner.learn(0, 2.0, learner.error(0));
        let known = learner.error(8 * day);
        let e = core::f64::consts::E;
        let eight_days = libm::exp(-0.8);
        assert_near(known.bias_c, 2.0 * eight_days / (eight_days + 2.0));
        learner.learn(10 * day, 4.0, known);
        let weight = 1.0 / (e * e) + 1.0 / e;
        let error = learner.error(20 * day);
        assert_near(error.bias_c, (2.0 / (e * e) + 4.0 / e) / (weight + 2.0));
        let left = 4.0 - known.bias_c;
        let squares = 20.0 * 9.0 + 4.0 + left * left;
        assert_near(error.deviation_c, (squares / 22.0).sqrt());
        learner.learn(21 * day, f64::NAN, error);
        assert_eq!(learner.error(20 * day), error);
    }
}
