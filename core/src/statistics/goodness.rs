//! How well a distribution fits a sample: Kolmogorov–Smirnov D and Anderson–Darling A², and what is much of them.
//!
//! The tables are for a Weibull distribution of which **both** parameters are estimated from the sample. The textbook's
//! table for known parameters (D √n = 1.358 at 5 %) would almost never reject one. Whole days and ties lift both a
//! little: the 5 % point of D at n = 60 from 0.1127 to 0.1185, of A² from 0.753 to 0.774.
//!
//! Sources: Anderson & Darling 1954, JASA 49, 765-769 (from memory); Stephens 1977, Biometrika 64, 583-588, as quoted
//! in `SciPy`; D'Agostino & Stephens 1986, Goodness-of-Fit Techniques, ch. 4 (from memory). Points called *simulated*
//! are from 200,000 samples a row, computed for this project; their error is about 0.002, at 1 % 0.006.

/// Chances of a larger value if the distribution is right, in the order of [`UpperPoints::points`].
pub const UPPER_TAILS: [f64; 6] = [0.25, 0.15, 0.10, 0.05, 0.025, 0.01];

/// Upper points of a statistic at one number of values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UpperPoints {
    /// Number of values.
    pub count: usize,
    /// The statistic that is exceeded with the chances of [`UPPER_TAILS`].
    pub points: [f64; 6],
}

const fn points(count: usize, points: [f64; 6]) -> UpperPoints {
    UpperPoints { count, points }
}

/// Chance of a larger value, and A²\* ([`a2_star`]) that is exceeded with it, at any number of values.
///
/// Source: Stephens 1977, as quoted in `SciPy`.
///
/// # Examples
/// ```
/// use fairspell::statistics::A2_STAR_UPPER_POINTS;
/// let five_percent = A2_STAR_UPPER_POINTS.iter().find(|(tail, _)| *tail <= 0.05);
/// assert_eq!(five_percent, Some(&(0.05, 0.757)));
/// ```
pub const A2_STAR_UPPER_POINTS: [(f64, f64); 5] = [
    (0.25, 0.474),
    (0.10, 0.637),
    (0.05, 0.757),
    (0.025, 0.877),
    (0.01, 1.038),
];

/// Upper points of A² as it is, simulated.
///
/// # Examples
/// ```
/// use fairspell::statistics::{A2_UPPER_POINTS, UPPER_TAILS};
/// let twenty = A2_UPPER_POINTS.iter().find(|row| row.count == 20).expect("it is in the table");
/// assert!(UPPER_TAILS.into_iter().zip(twenty.points).any(|point| point == (0.05, 0.743)));
/// ```
pub const A2_UPPER_POINTS: [UpperPoints; 5] = [
    points(10, [0.466, 0.550, 0.617, 0.727, 0.836, 0.982]),
    points(20, [0.469, 0.555, 0.624, 0.743, 0.856, 1.011]),
    points(30, [0.471, 0.558, 0.628, 0.747, 0.864, 1.022]),
    points(60, [0.470, 0.561, 0.632, 0.753, 0.876, 1.037]),
    points(100, [0.473, 0.563, 0.635, 0.756, 0.877, 1.040]),
];

/// Upper points of D √n, simulated.
///
/// Chandra, Singpurwalla & Stephens 1981, JASA 76, 729-731 (from memory), have 0.760, 0.819, 0.880 and 0.944 for 10 to
/// 1 % at n = 10, and 0.803, 0.874, 0.939 and 1.007 as the limit.
///
/// # Examples
/// ```
/// use fairspell::statistics::D_SQRT_N_UPPER_POINTS;
/// let ten = D_SQRT_N_UPPER_POINTS.iter().find(|row| row.count == 10).expect("it is in the table");
/// assert_eq!(ten.points[3], 0.824); // at 5 %: D of 0.26
/// ```
pub const D_SQRT_N_UPPER_POINTS: [UpperPoints; 5] = [
    points(10, [0.663, 0.720, 0.761, 0.824, 0.882, 0.951]),
    points(20, [0.678, 0.738, 0.781, 0.849, 0.909, 0.981]),
    points(30, [0.686, 0.747, 0.790, 0.857, 0.919, 0.992]),
    points(60, [0.695, 0.757, 0.801, 0.869, 0.931, 1.010]),
    points(100, [0.700, 0.763, 0.808, 0.878, 0.941, 1.021]),
];

/// Kolmogorov–Smirnov D: the largest gap between a distribution and the steps of a sample; 0 for an empty sample.
///
/// - `probabilities`: F of each value, ascending. NaN if one is.
///
/// # Examples
/// ```
/// use fairspell::statistics::kolmogorov_smirnov_d;
/// assert_eq!(kolmogorov_smirnov_d(&[0.25, 0.5]), 0.5); // the step to 1 at F = 0.5
/// ```
#[must_use]
pub fn kolmogorov_smirnov_d(probabilities: &[f64]) -> f64 {
    if probabilities.iter().any(|probability| probability.is_nan()) {
        return f64::NAN; // `max` below would pass over it, and call the fit a good one
    }
    let count = probabilities.len() as f64;
    let gap = |(index, probability): (usize, &f64)| {
        let above = (index as f64 + 1.0) / count - probability;
        above.max(probability - index as f64 / count)
    };
    probabilities
        .iter()
        .enumerate()
        .map(gap)
        .fold(0.0, f64::max)
}

/// Anderson–Darling A² of a sample against a distribution; 0 for an empty sample.
///
/// - `log_tails`: ln F and ln(1 − F) of each value, in ascending order of the values. Logarithms, so that a tail that
///   underflows still counts; an infinite one gives +∞.
///
/// # Examples
/// ```
/// use fairspell::statistics::anderson_darling_a2;
/// let half = 0.5_f64.ln();
/// assert!((anderson_darling_a2(&[(half, half)]) - 0.386_294_361).abs() < 1e-9); // 2 ln 2 - 1
/// ```
#[must_use]
pub fn anderson_darling_a2(log_tails: &[(f64, f64)]) -> f64 {
    if log_tails.is_empty() {
        return 0.0;
    }
    let count = log_tails.len() as f64;
    let mirrored = log_tails.iter().rev();
    let mut weighted = 0.0;
    for (index, ((below, _), (_, beyond))) in log_tails.iter().zip(mirrored).enumerate() {
        weighted += (2.0 * index as f64 + 1.0) * (below + beyond);
    }
    -count - weighted / count
}

/// A²\* = A² (1 + 0.2/√n): A² brought to the scale of [`A2_STAR_UPPER_POINTS`].
///
/// - `a2`: A² of a fit of which both parameters were estimated.
/// - `count`: values in the sample, 1 or more; NaN for none.
///
/// Source: Stephens 1977.
///
/// # Examples
/// ```
/// use fairspell::statistics::a2_star;
/// assert!((a2_star(0.70, 25) - 0.728).abs() < 1e-12);
/// ```
#[must_use]
pub fn a2_star(a2: f64, count: usize) -> f64 {
    if count == 0 {
        return f64::NAN;
    }
    a2 * (1.0 + 0.2 / (count as f64).sqrt())
}

/// The chance of so large an A²\* or a larger one, if the values come from a Weibull distribution: the observed
/// significance level. Below 0.05 the fit counts as poor.
///
/// - `a2_star`: above 0 ([`a2_star`]); 1 at 0, NaN below. Relative error below 1e-14 (1 + A²\*).
///
/// Source: MIL-HDBK-17-1F, §8.3 (from memory): 1/(1 + exp(−0.10 + 1.24 ln A²\* + 4.48 A²\*)). It gives Stephens' points
/// for 10, 5 and 1 %.
///
/// # Examples
/// ```
/// use fairspell::statistics::significance;
/// assert!((significance(0.757) - 0.05).abs() < 0.001);
/// ```
#[must_use]
pub fn significance(a2_star: f64) -> f64 {
    1.0 / (1.0 + libm::exp(-0.10 + 1.24 * libm::log(a2_star) + 4.48 * a2_star))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::samples::{A, AUTUMN, BEARINGS, WINDOWS, assert_near, scattered};
    use crate::statistics::{Weibull, fit};

    /// The project's handbook, §4, computed: A²\* and its significance.
    #[test]
    fn significances_are_those_of_the_handbook() {
        let reversed = |end: f64, values: &[f64]| -> Vec<f64> {
            values.iter().map(|value| end - value).collect()
        };
        let rows = [
            (A.to_vec(), 0.172_852_034_2, 0.818, 0.000_5),
            (reversed(213.0, &A), 0.202_134_427_3, 0.764, 0.000_5),
            (
                AUTUMN.map(|day| day - 212.0).to_vec(),
                0.240_265_196_8,
                0.688,
                0.000_5,
            ),
            (reversed(366.0, &AUTUMN), 0.195_853_012_7, 0.776, 0.000_5),
            (BEARINGS.to_vec(), 0.342_313_726_9, 0.473_960_771_1, 5e-11),
            (WINDOWS.to_vec(), 0.618_798_350_8, 0.111_347_870_1, 5e-11),
        ];
        for (values, star, level, tolerance) in rows {
            let computed = a2_star(fit(&values).unwrap().ad_a2, values.len());
            assert_near(computed, star, 5e-11); // half of the last printed digit, here and beside
            assert_near(significance(computed), level, tolerance);
        }
    }

    /// The project's handbook, §4: the formula of MIL-HDBK-17-1F (from memory) gives the points of Stephens 1977.
    #[test]
    fn the_significance_formula_gives_the_published_points() {
        for (star, level) in [(0.637, 0.1002), (0.757, 0.0499), (1.038, 0.0100)] {
            assert_near(significance(star), level, 0.000_05);
        }
        for (tail, star) in A2_STAR_UPPER_POINTS {
            // The formula is made for small chances; at 25 % it is looser.
            let tolerance = if tail > 0.1 { 0.03 } else { 0.001 };
            assert_near(significance(star), tail, tolerance);
        }
    }

    #[test]
    fn upper_points_rise_with_rarity_and_agree_between_tables() {
        let rows = A2_UPPER_POINTS.iter().chain(&D_SQRT_N_UPPER_POINTS);
        for row in rows {
            assert!(row.points.is_sorted());
        }
        assert!(UPPER_TAILS.is_sorted_by(|one, next| one > next));
        // A² (1 + 0.2/√n) at 5 %: 0.757, to the error of the simulation and of the formula.
        for row in A2_UPPER_POINTS {
            for (tail, star) in A2_STAR_UPPER_POINTS {
                let of_tail = UPPER_TAILS
                    .iter()
                    .zip(row.points)
                    .find(|(t, _)| **t <= tail);
                let simulated = a2_star(of_tail.unwrap().1, row.count);
                assert_near(simulated, star, 0.03);
            }
        }
    }

    /// The tables against fits of our own: the share of 4,000 samples whose D √n or A² passes the point of a tail is
    /// that tail. Limit 5 standard errors and the points' own error.
    #[test]
    fn upper_points_are_passed_as_often_as_they_say() {
        let mut random = scattered(8);
        for (by_d, by_a2) in D_SQRT_N_UPPER_POINTS.iter().zip(&A2_UPPER_POINTS) {
            let count = by_d.count;
            assert_eq!(count, by_a2.count);
            let fits: Vec<(f64, f64)> = (0..4000)
                .map(|_| {
                    let drawn = random.by_ref().take(count).map(|share| -libm::log(share));
                    let fitted = fit(&drawn.collect::<Vec<f64>>()).unwrap();
                    (fitted.ks_d * (count as f64).sqrt(), fitted.ad_a2)
                })
                .collect();
            for (index, tail) in UPPER_TAILS.into_iter().enumerate() {
                let share = |is_beyond: &dyn Fn(&&(f64, f64)) -> bool| {
                    fits.iter().filter(is_beyond).count() as f64 / 4000.0
                };
                let limit = 5.0 * (tail * (1.0 - tail) / 4000.0).sqrt() + 0.03 * tail;
                assert_near(share(&|fit| fit.0 > by_d.points[index]), tail, limit);
                assert_near(share(&|fit| fit.1 > by_a2.points[index]), tail, limit);
            }
        }
    }

    /// Chandra, Singpurwalla & Stephens 1981 (from memory): 10 to 1 % at n = 10 and 20.
    #[test]
    fn simulated_points_of_d_are_near_the_published_ones() {
        let published = [
            (10, [0.760, 0.819, 0.880, 0.944]),
            (20, [0.779, 0.843, 0.907, 0.973]),
        ];
        for (count, published) in published {
            let row = D_SQRT_N_UPPER_POINTS.iter().find(|row| row.count == count);
            for (simulated, published) in row.unwrap().points[2..].iter().zip(published) {
                assert_near(*simulated, published, 0.009);
            }
        }
    }

    /// By the definitions, for the exponential distribution and two values, by hand.
    #[test]
    fn statistics_of_two_values_are_those_by_hand() {
        // F = 1/4 and 3/4: gaps 1/2 − 1/4, 1/4 − 0, 1 − 3/4, 3/4 − 1/2.
        assert_near(kolmogorov_smirnov_d(&[0.25, 0.75]), 0.25, 0.0);
        assert_near(kolmogorov_smirnov_d(&[]), 0.0, 0.0);
        let (low, high) = (libm::log(0.25), libm::log(0.75));
        // −2 − 1/2 [1 (ln 1/4 + ln 1/4) + 3 (ln 3/4 + ln 3/4)]
        let by_hand = -2.0 - (low + 3.0 * high);
        let computed = anderson_darling_a2(&[(low, high), (high, low)]);
        assert_near(computed, by_hand, 1e-15);
        assert_near(anderson_darling_a2(&[]), 0.0, 0.0);
        let infinite = anderson_darling_a2(&[(f64::NEG_INFINITY, 0.0)]);
        assert!(infinite.is_infinite() && infinite > 0.0);
    }

    /// Definition: A² against known parameters has mean 1 for every n (Anderson & Darling 1954, from memory), and D
    /// lies between 1/(2n) and 1. 4,000 samples; the standard deviation of A² is about 0.76.
    #[test]
    fn a2_of_the_true_distribution_has_mean_1() {
        let mut random = scattered(9);
        let truth = Weibull {
            shape: 10.0,
            scale: 105.0,
        };
        for count in [1, 5, 30] {
            let mut sum = 0.0;
            for _ in 0..4000 {
                let mut shares: Vec<f64> = random.by_ref().take(count).collect();
                shares.sort_by(f64::total_cmp);
                let values = shares.iter().map(|share| truth.quantile(*share).unwrap());
                let below = values.map(|value| truth.probability_below(value));
                let tails = |below: f64| (libm::log(below), libm::log1p(-below));
                sum += anderson_darling_a2(&below.map(tails).collect::<Vec<_>>());
                let d = kolmogorov_smirnov_d(&shares);
                assert!(d >= 0.5 / count as f64 - 1e-15 && d < 1.0);
            }
            assert_near(sum / 4000.0, 1.0, 5.0 * 0.76 / 4000.0_f64.sqrt());
        }
    }
}
