//! How good a forecast quantile was.
//!
//! Source: Koenker & Bassett 1978, Econometrica 46, 33-50 (from memory).

/// The pinball loss of a forecast quantile, in the unit of its values; 0 where it was met, never negative.
///
/// - `probability`: of the quantile, 0 to 1.
/// - `quantile`: as forecast.
/// - `observed`: what came, in the same unit.
///
/// Too low a quantile costs `probability` for each unit, too high a one the rest to 1: in the mean the true quantile
/// costs least. NaN if an argument is; infinite where the loss itself lies beyond floating point.
///
/// # Examples
/// ```
/// use fairspell::statistics::pinball;
/// assert_eq!(pinball(0.5, 100.5, 110.0), 4.75);
/// assert_eq!(pinball(0.25, 108.0, 104.0), 3.0);
/// ```
#[must_use]
pub fn pinball(probability: f64, quantile: f64, observed: f64) -> f64 {
    let short_by = observed - quantile;
    let price = if short_by >= 0.0 {
        probability
    } else {
        probability - 1.0
    };
    if short_by.is_infinite() && observed.is_finite() && quantile.is_finite() {
        return price * observed - price * quantile; // the loss may be finite where the difference is not
    }
    price * short_by
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::samples::{A, assert_near};

    /// The project's handbook, §9, arithmetic.
    #[test]
    fn losses_are_those_of_the_handbook() {
        let printed = [
            (0.9, 117.2, 110.0, 0.72),
            (0.9, 117.2, 121.0, 3.42),
            (0.5, 100.5, 110.0, 4.75),
            (0.1, 83.8, 80.0, 3.42),
        ];
        for (probability, quantile, observed, loss) in printed {
            assert_near(pinball(probability, quantile, observed), loss, 1e-12);
        }
    }

    /// The definition: max(p (y − q), (p − 1)(y − q)).
    #[test]
    fn the_loss_is_the_larger_of_two_lines_and_least_at_the_quantile() {
        for percent in 1..100 {
            let probability = f64::from(percent) / 100.0;
            let mean = |quantile: f64| -> f64 {
                let loss = |day: &f64| {
                    let apart = day - quantile;
                    let larger = (probability * apart).max((probability - 1.0) * apart);
                    let computed = pinball(probability, quantile, *day);
                    assert!(computed >= 0.0);
                    assert_near(computed, larger, 0.0);
                    computed
                };
                A.iter().map(loss).sum()
            };
            // The rank at which the sample's distribution first reaches the probability.
            let rank = (1..=10).find(|rank| rank * 10 >= percent).unwrap();
            let best = mean(A[usize::try_from(rank).unwrap() - 1]);
            for tenths in 800..1200 {
                assert!(mean(f64::from(tenths) / 10.0) >= best - 1e-9);
            }
        }
    }

    #[test]
    fn a_missing_argument_gives_nan() {
        assert!(pinball(f64::NAN, 1.0, 2.0).is_nan());
        assert!(pinball(0.5, f64::NAN, 2.0).is_nan());
        assert!(pinball(0.5, 1.0, f64::NAN).is_nan());
    }
}
