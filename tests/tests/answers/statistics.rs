//! The Weibull code and two probabilities against a general library, `statrs`, on samples that look random.
//!
//! That library keeps scale^(−shape) and multiplies it by x^shape, so it holds only while shape · log10 of scale and of
//! value stays below about 307; the checks say where they stay within that, and one shows what lies beyond. Samples
//! come from a linear congruential generator with a fixed seed.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test may stop at the first surprise"
)]

use approx::assert_abs_diff_eq;
use fairspell::statistics::{Weibull, fit, mann_kendall, wilson};
use statrs::distribution::{Continuous, ContinuousCDF, Normal, Weibull as Oracle};

/// Largest shape · log10 of scale or value at which the oracle holds; it overflows at 308.
const ORACLE_HOLDS_TO: f64 = 290.0;

/// Knuth's linear congruential generator.
struct Scattered(u64);

impl Scattered {
    /// A number between 0 and 1.
    fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005);
        self.0 = self.0.wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// A distribution such as dates have, from a wide one to one that the oracle can only just follow.
    fn weibull(&mut self) -> Weibull {
        let scale = self.between(20.0, 360.0);
        let narrowest = ORACLE_HOLDS_TO / 400.0_f64.log10();
        let shape = 0.5 * (narrowest / 0.5).powf(self.share());
        Weibull { shape, scale }
    }
}

fn oracle(weibull: Weibull) -> Oracle {
    Oracle::new(weibull.shape, weibull.scale).unwrap()
}

fn does_oracle_hold(weibull: Weibull, value: f64) -> bool {
    let largest = value.max(weibull.scale).max(1.0);
    weibull.shape * largest.log10() < ORACLE_HOLDS_TO
}

/// The oracle's powers lose as many digits as shape · ln of the value has before the point.
fn tolerance(weibull: Weibull) -> f64 {
    4.0 * f64::EPSILON * (1.0 + weibull.shape * 400.0_f64.ln())
}

#[test]
fn chances_below_and_beyond_are_those_of_statrs() {
    let mut random = Scattered(1);
    let mut compared = 0;
    for _ in 0..2000 {
        let weibull = random.weibull();
        let oracle = oracle(weibull);
        for _ in 0..10 {
            let value = weibull.scale * random.between(0.01, 2.0);
            if !does_oracle_hold(weibull, value) {
                continue;
            }
            compared += 1;
            let tolerance = tolerance(weibull);
            let below = weibull.probability_below(value);
            let beyond = weibull.probability_beyond(value);
            assert_abs_diff_eq!(below, oracle.cdf(value), epsilon = tolerance);
            assert_abs_diff_eq!(beyond, oracle.sf(value), epsilon = tolerance);
        }
    }
    assert!(compared > 15_000, "{compared}");
}

#[test]
fn quantiles_are_those_at_which_statrs_has_the_probability() {
    let mut random = Scattered(2);
    for _ in 0..2000 {
        let weibull = random.weibull();
        let probability = random.between(0.001, 0.999);
        let value = weibull.quantile(probability).unwrap();
        assert!(does_oracle_hold(weibull, value));
        let reached = oracle(weibull).cdf(value);
        assert_abs_diff_eq!(reached, probability, epsilon = tolerance(weibull));
    }
}

/// The logarithm of the likelihood is the sum of the logarithms of the oracle's densities at the fit, and every fit
/// nearby has a smaller sum.
#[test]
fn log_likelihoods_are_sums_of_densities_of_statrs() {
    let mut random = Scattered(3);
    let mut compared = 0;
    for count in (3..120).chain(3..120) {
        let truth = random.weibull();
        let values: Vec<f64> = (0..count)
            .map(|_| truth.quantile(random.share()).unwrap())
            .collect();
        let fitted = fit(&values).unwrap();
        let largest = values.iter().copied().fold(0.0, f64::max);
        if !does_oracle_hold(fitted.weibull(), largest * 1.01) {
            continue;
        }
        compared += 1;
        let log_likelihood = |shape: f64, scale: f64| -> f64 {
            let oracle = Oracle::new(shape, scale).unwrap();
            values.iter().map(|value| oracle.ln_pdf(*value)).sum()
        };
        let (shape, scale) = (fitted.shape, fitted.scale);
        let best = log_likelihood(shape, scale);
        let epsilon = f64::from(count) * 10.0 * tolerance(fitted.weibull());
        assert_abs_diff_eq!(fitted.log_likelihood, best, epsilon = epsilon);
        assert_abs_diff_eq!(fitted.aic, 4.0 - 2.0 * best, epsilon = 2.0 * epsilon);
        for (more_shape, more_scale) in [(1.01, 1.0), (0.99, 1.0), (1.0, 1.01), (1.0, 0.99)] {
            let near = log_likelihood(shape * more_shape, scale * more_scale);
            assert!(near < best, "{count}: {near} {best}");
        }
    }
    assert!(compared > 200, "{compared}");
}

/// D and A² by their definitions, from the oracle's distribution function.
#[test]
fn goodness_of_fit_is_that_of_the_oracles_distribution() {
    let mut random = Scattered(4);
    for count in 3..100_u32 {
        let truth = Weibull {
            shape: random.between(1.0, 30.0),
            scale: random.between(20.0, 360.0),
        };
        let mut values: Vec<f64> = (0..count)
            .map(|_| truth.quantile(random.share()).unwrap().ceil())
            .collect();
        let Ok(fitted) = fit(&values) else { continue };
        if !does_oracle_hold(fitted.weibull(), 400.0) {
            continue;
        }
        let oracle = oracle(fitted.weibull());
        values.sort_by(f64::total_cmp);
        let n = f64::from(count);
        let (mut d, mut sum) = (0.0_f64, 0.0);
        for (index, value) in values.iter().enumerate() {
            let (i, below) = (index as f64 + 1.0, oracle.cdf(*value));
            d = d.max(i / n - below).max(below - (i - 1.0) / n);
            let mirrored = values[values.len() - 1 - index];
            sum += (2.0 * i - 1.0) * (below.ln() + oracle.sf(mirrored).ln());
        }
        assert_abs_diff_eq!(fitted.ks_d, d, epsilon = 1e-11);
        assert_abs_diff_eq!(fitted.ad_a2, -n - sum / n, epsilon = 1e-9);
    }
}

/// Why the project has a Weibull of its own: three autumn days a day or two apart reach such shapes. True is 1 − 1/e.
#[test]
fn where_statrs_overflows_ours_holds() {
    let narrow = Weibull {
        shape: 130.0,
        scale: 330.0,
    };
    assert_abs_diff_eq!(
        narrow.probability_below(330.0),
        1.0 - (-1.0_f64).exp(),
        epsilon = 1e-15
    );
    let theirs = oracle(narrow).cdf(330.0);
    assert!(
        theirs.is_nan() || (theirs - 0.632).abs() > 0.3,
        "statrs has {theirs} now: the limit of this file can go"
    );
}

#[test]
fn the_chance_of_a_trend_is_the_normals_two_tails() {
    let mut random = Scattered(5);
    let normal = Normal::standard();
    for count in 4..100 {
        let values: Vec<f64> = (0..count).map(|_| random.share()).collect();
        let test = mann_kendall(&values).unwrap();
        let tails = 2.0 * normal.sf(test.z.abs());
        assert_abs_diff_eq!(test.p, tails, epsilon = 1e-10); // the oracle's own error
        let z = (test.s.abs() - 1.0).max(0.0) / test.variance.sqrt();
        assert_abs_diff_eq!(test.z.abs(), z, epsilon = 1e-14);
    }
}

/// Wilson's ends are the shares p at which the observed one lies z standard deviations of p away.
#[test]
fn ends_of_a_share_solve_wilsons_equation() {
    let z = Normal::standard().inverse_cdf(0.975);
    for trials in 1..60_u32 {
        for hits in 0..=trials {
            let share = f64::from(hits) / f64::from(trials);
            let (low, high) = wilson(hits as usize, trials as usize);
            for end in [low, high] {
                let apart = (share - end) * (share - end);
                let variance = end * (1.0 - end) / f64::from(trials);
                assert_abs_diff_eq!(apart, z * z * variance, epsilon = 1e-10);
            }
        }
    }
}
