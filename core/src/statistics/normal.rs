//! The standard normal distribution: chance below a point, and the point of a chance.
//!
//! By the complementary error function, so that both tails keep their digits.

use core::f64::consts::{FRAC_1_SQRT_2, PI};

/// Steps of Newton's method after which a point is taken as found; it takes fewer than ten. Ours.
const MAX_STEPS: usize = 50;

/// Below this point logarithms of chances are taken, since the chances themselves run out of `f64` at −38.5. Ours; the
/// chance is 5e-198 here.
const DEEP: f64 = -30.0;
/// Terms of the fraction of [`mills_ratio`]; from 30 on five give all digits. Ours.
const FRACTION_TERMS: u32 = 12;

/// The chance beyond a point over the density there, far out: Laplace's continued fraction 1/(x + 1/(x + 2/(x + …)))
/// (Abramowitz & Stegun 1964, 26.2.14, from memory).
fn mills_ratio(x: f64) -> f64 {
    let fraction = |tail: f64, term: u32| f64::from(term) / (x + tail);
    1.0 / (x + (1..=FRACTION_TERMS).rev().fold(0.0, fraction))
}

/// The chance that a standard normal number is at most `z`; 0 and 1 at the infinities, NaN for NaN. Relative error below
/// 2e-16 (2 + z²).
///
/// ```
/// use fairspell::statistics::normal_cdf;
/// assert!((normal_cdf(2.0 / 3.0) - 0.747_507).abs() < 5e-7);
/// ```
#[must_use]
pub fn normal_cdf(z: f64) -> f64 {
    0.5 * libm::erfc(-z * FRAC_1_SQRT_2)
}

/// The point that a standard normal number stays at or below with a chance; infinite at 0 and 1, NaN outside them.
///
/// By Newton's method on the logarithm of [`normal_cdf`], which is concave: in the lower half Φ(z) ≤ ½ exp(−z²/2), so that
/// from −√(−2 ln p) on each step stays below the point and none oscillates. Error below 1e-15 (1 + |z|), down to the
/// smallest chance that `f64` has.
///
/// ```
/// use fairspell::statistics::normal_quantile;
/// assert!((normal_quantile(0.9) - 1.281_551_565_544_600_4).abs() < 1e-12);
/// ```
#[must_use]
pub fn normal_quantile(chance: f64) -> f64 {
    if chance.is_nan() || !(0.0..=1.0).contains(&chance) {
        return f64::NAN;
    }
    if chance > 0.5 {
        return -normal_quantile(1.0 - chance);
    }
    if chance <= 0.0 {
        return f64::NEG_INFINITY;
    }
    let mut z = -(-2.0 * libm::log(chance)).sqrt();
    for _ in 0..MAX_STEPS {
        let step = if z < DEEP {
            let ratio = mills_ratio(-z);
            let log_below = -0.5 * z * z - 0.5 * libm::log(2.0 * PI) + libm::log(ratio);
            (log_below - libm::log(chance)) * ratio
        } else {
            let (below, density) = (normal_cdf(z), libm::exp(-0.5 * z * z) / (2.0 * PI).sqrt());
            libm::log(below / chance) * below / density
        };
        z -= step;
        if step.abs() <= 1e-15 * (1.0 + z.abs()) {
            break;
        }
    }
    z
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::samples::assert_near;

    /// Known points of the normal table (Abramowitz & Stegun 1964, table 26.1 and 26.5, from memory).
    #[test]
    fn chances_and_points_are_those_of_the_table() {
        let table = [
            (0.0, 0.5),
            (1.0, 0.841_344_746_068_543),
            (1.959_963_984_540_054, 0.975),
            (-1.281_551_565_544_600_4, 0.1),
            (-3.090_232_306_167_813, 0.001),
        ];
        for (z, chance) in table {
            assert_near(normal_cdf(z), chance, 1e-14);
            assert_near(normal_quantile(chance), z, 1e-11);
        }
    }

    /// A quantile is the inverse of the distribution: by definition.
    #[test]
    fn a_point_of_a_chance_has_that_chance() {
        for percent in 1..100 {
            let chance = f64::from(percent) / 100.0;
            assert_near(normal_cdf(normal_quantile(chance)), chance, 1e-14);
        }
        for chance in [1e-300, 1e-30, 1e-9] {
            assert_near(normal_cdf(normal_quantile(chance)) / chance, 1.0, 1e-9);
        }
    }

    /// The normal distribution has no end, by definition; IEEE 754 has a number for what is none.
    #[test]
    fn the_ends_are_infinite_and_what_is_no_chance_is_nan() {
        assert!(normal_quantile(0.0) == f64::NEG_INFINITY && normal_quantile(1.0) == f64::INFINITY);
        assert!(normal_quantile(-0.1).is_nan() && normal_quantile(1.1).is_nan());
        assert!(normal_quantile(f64::NAN).is_nan() && normal_cdf(f64::NAN).is_nan());
    }
}
