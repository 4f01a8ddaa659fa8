//! The two-parameter Weibull distribution by maximum likelihood.
//!
//! F(y) = 1 − exp(−(y/s)^k). The likelihood has one maximum where not all values are equal; it is found by Newton's
//! method on the profile of k, with every power taken of y/max y, so that no power overflows.
//! Sources: Thoman, Bain & Antle 1969, Technometrics 11, 445 (start); Cohen 1965 (from memory); uniqueness: Mao & Li
//! 2007; AIC: Akaike 1974 (from memory).

use super::goodness::{anderson_darling, kolmogorov_smirnov};

/// Fewest values of a fit: two have a root, and say nothing.
const LEAST_VALUES: usize = 3;
/// Most Newton steps before the bracket is halved instead; six to eight are usual.
const MAX_STEPS: usize = 60;
/// Relative size of a step at which the shape stands.
const CLOSE: f64 = 1e-12;

/// Why there is no fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoFit {
    /// Fewer than three values.
    #[error("fewer than three dates")]
    TooFew,
    /// No spread: the likelihood has no maximum.
    #[error("all dates equal")]
    AllEqual,
    /// A value that is not above 0, or not finite.
    #[error("a value that is not above 0")]
    NotPositive,
}

/// A fit and how well it fits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WeibullFit {
    /// Shape k.
    pub shape: f64,
    /// Scale s, in the values' unit.
    pub scale: f64,
    /// Natural logarithm of the likelihood.
    pub log_likelihood: f64,
    /// Akaike's criterion: 4 − 2 ln L.
    pub aic: f64,
    /// Kolmogorov–Smirnov D.
    pub ks_d: f64,
    /// Anderson–Darling A².
    pub ad_a2: f64,
}

/// Fits values above 0.
///
/// # Errors
/// [`NoFit`].
///
/// ```
/// let fit = fairspell::statistics::fit(&[99.0, 100.0, 101.0])?;
/// assert!((fit.shape - 139.6967954735458).abs() < 1e-9);
/// # Ok::<(), fairspell::statistics::NoFit>(())
/// ```
pub fn fit(values: &[f64]) -> Result<WeibullFit, NoFit> {
    if values.len() < LEAST_VALUES {
        return Err(NoFit::TooFew);
    }
    if values
        .iter()
        .any(|value| !(value.is_finite() && *value > 0.0))
    {
        return Err(NoFit::NotPositive);
    }
    let (shape, scale) = fit_shape_scale(values).ok_or(NoFit::AllEqual)?;
    let count = values.len() as f64;
    let (mut logs, mut powers) = (0.0, 0.0);
    let mut exponents: Vec<f64> = Vec::with_capacity(values.len());
    for value in values {
        let log = libm::log(value / scale);
        let power = libm::exp(shape * log);
        logs += libm::log(*value);
        powers += power;
        exponents.push(shape * log);
    }
    exponents.sort_unstable_by(f64::total_cmp);
    let log_likelihood =
        count * libm::log(shape) - count * shape * libm::log(scale) + (shape - 1.0) * logs - powers;
    Ok(WeibullFit {
        shape,
        scale,
        log_likelihood,
        aic: 4.0 - 2.0 * log_likelihood,
        ks_d: kolmogorov_smirnov(&exponents),
        ad_a2: anderson_darling(&exponents),
    })
}

/// Shape and scale alone; `None` where there is no fit.
#[must_use]
pub fn fit_shape_scale(values: &[f64]) -> Option<(f64, f64)> {
    let greatest = values.iter().copied().fold(0.0, f64::max);
    let logs: Vec<f64> = values
        .iter()
        .map(|value| libm::log(value / greatest))
        .collect();
    let count = values.len() as f64;
    let mean = logs.iter().sum::<f64>() / count;
    let spread = logs
        .iter()
        .map(|log| (log - mean) * (log - mean))
        .sum::<f64>()
        / (count - 1.0);
    if values.len() < 2 || !spread.is_finite() || spread <= 0.0 {
        return None;
    }
    let start = core::f64::consts::PI / (6.0_f64.sqrt() * spread.sqrt());
    let shape = root(&logs, mean, start)?;
    let sum: f64 = logs.iter().map(|log| libm::exp(shape * log)).sum();
    let scale = greatest * libm::pow(sum / count, 1.0 / shape);
    (shape.is_finite() && scale.is_finite()).then_some((shape, scale))
}

/// The profile g(k) = S1/S0 − 1/k − mean, which rises, and its slope.
fn profile(logs: &[f64], mean: f64, shape: f64) -> (f64, f64) {
    let (mut s0, mut s1, mut s2) = (0.0, 0.0, 0.0);
    for log in logs {
        let power = libm::exp(shape * log);
        s0 += power;
        s1 += log * power;
        s2 += log * log * power;
    }
    let ratio = s1 / s0;
    (
        ratio - 1.0 / shape - mean,
        s2 / s0 - ratio * ratio + 1.0 / (shape * shape),
    )
}

fn root(logs: &[f64], mean: f64, start: f64) -> Option<f64> {
    let (mut shape, mut low, mut high) = (start, 0.0, f64::INFINITY);
    for _ in 0..MAX_STEPS {
        let (value, slope) = profile(logs, mean, shape);
        if value > 0.0 {
            high = shape;
        } else {
            low = shape;
        }
        let next = shape - value / slope;
        let next = if next > 0.0 { next } else { shape / 2.0 };
        let is_close = (next - shape).abs() <= CLOSE * next;
        shape = next;
        if is_close {
            return Some(shape);
        }
    }
    bisected(
        logs,
        mean,
        (
            low,
            if high.is_finite() {
                high
            } else {
                low.max(start) * 1e6
            },
        ),
    )
}

fn bisected(logs: &[f64], mean: f64, (mut low, mut high): (f64, f64)) -> Option<f64> {
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if profile(logs, mean, middle).0 > 0.0 {
            high = middle;
        } else {
            low = middle;
        }
    }
    let shape = f64::midpoint(low, high);
    (shape > 0.0).then_some(shape)
}

#[cfg(test)]
#[allow(
    clippy::unreadable_literal,
    reason = "digits as the reference prints them"
)]
mod tests {
    use super::*;

    const A: [f64; 10] = [
        83.0, 91.0, 95.0, 98.0, 99.0, 102.0, 104.0, 107.0, 110.0, 118.0,
    ];
    const B: [f64; 12] = [
        301.0, 309.0, 309.0, 315.0, 318.0, 322.0, 322.0, 322.0, 327.0, 331.0, 336.0, 340.0,
    ];
    /// Endurance of ball bearings in millions of revolutions: Lieblein & Zelen 1956, J. Res. NBS 57(5).
    const BEARINGS: [f64; 23] = [
        17.88, 28.92, 33.0, 41.52, 42.12, 45.6, 48.48, 51.84, 51.96, 54.12, 55.56, 67.8, 68.64,
        68.64, 68.88, 84.12, 93.12, 98.64, 105.12, 105.84, 127.92, 128.04, 173.4,
    ];

    fn from(values: &[f64], origin: f64) -> Vec<f64> {
        values.iter().map(|value| value - origin).collect()
    }

    fn reversed(values: &[f64], end: f64) -> Vec<f64> {
        values.iter().map(|value| end - value).collect()
    }

    /// Computed with 40 digits by Newton's method, A² and D by their definitions; the scale of the bearings is 81.9 and
    /// their shape 2.10 in textbooks (from memory).
    #[test]
    fn fits_agree_with_the_reference() {
        for (values, shape, scale, log_likelihood, ks_d, ad_a2) in [
            (
                A.to_vec(),
                11.65131801668722,
                104.9871315406827,
                -36.89823411496031,
                0.1082920262815865,
                0.1625701924724228,
            ),
            (
                reversed(&A, 213.0),
                12.73105486507414,
                116.6573767242122,
                -37.03347963975455,
                0.1345433250691073,
                0.1901107666724157,
            ),
            (
                from(&B, 212.0),
                10.972_863_053_346_6,
                113.9951349432028,
                -46.07083184298777,
                0.1752795040808667,
                0.2271506479803774,
            ),
            (
                reversed(&B, 366.0),
                4.596611846465775,
                49.29534668643103,
                -45.791_911_441_450_2,
                0.1359340361337323,
                0.1851626425227512,
            ),
            (
                BEARINGS.to_vec(),
                2.102058875194621,
                81.87833405163154,
                -113.6912909323201,
                0.1510875625868013,
                0.3286097529217895,
            ),
        ] {
            let fit = fit(&values).unwrap();
            for (found, wanted) in [
                (fit.shape, shape),
                (fit.scale, scale),
                (fit.log_likelihood, log_likelihood),
                (fit.aic, 4.0 - 2.0 * log_likelihood),
                (fit.ks_d, ks_d),
                (fit.ad_a2, ad_a2),
            ] {
                assert!(
                    (found - wanted).abs() <= 1e-9 * wanted.abs(),
                    "{found}, not {wanted}"
                );
            }
        }
    }

    /// Computed with 40 digits: shapes at which a plain power overflows.
    #[test]
    fn large_shapes_are_fitted() {
        for (values, shape, scale) in [
            (
                vec![99.0, 100.0, 101.0],
                139.6967954735458,
                100.4028435769975,
            ),
            (
                vec![1000.0, 1001.0, 1002.0],
                1396.557434408546,
                1001.405337506976,
            ),
            (
                vec![361.0, 362.0, 362.0, 363.0],
                559.0633968698512,
                362.3520907598867,
            ),
        ] {
            let fit = fit(&values).unwrap();
            assert!(
                (fit.shape - shape).abs() < 1e-9 * shape
                    && (fit.scale - scale).abs() < 1e-9 * scale
            );
        }
        let mut far = vec![212.0; 29];
        far.push(1.0);
        let (shape, scale) = fit_shape_scale(&far).unwrap();
        assert!((shape - 5.600_581_874_664).abs() < 1e-11, "{shape}"); // by bisection in Python
        assert!((scale - 210.720593627).abs() < 1e-8, "{scale}");
        assert!((fit_shape_scale(&[1.0, 212.0, 212.0]).unwrap().0 - 0.596030368064).abs() < 1e-11);
    }

    /// Definition: two values say nothing, equal ones have no maximum, none may be 0.
    #[test]
    fn what_has_no_fit_says_why() {
        assert_eq!(fit(&[1.0, 2.0]), Err(NoFit::TooFew));
        assert_eq!(fit(&[5.0; 4]), Err(NoFit::AllEqual));
        assert_eq!(fit(&[1.0, 0.0, 2.0]), Err(NoFit::NotPositive));
        assert_eq!(fit(&[1.0, f64::NAN, 2.0]), Err(NoFit::NotPositive));
    }
}
