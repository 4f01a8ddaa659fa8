//! Order statistics: plotting positions, and the quantiles between them.
//!
//! The mean of F(x) at the i-th smallest of n values is i/(n+1), whatever the distribution F. So a sample of n values
//! carries the quantiles from 1/(n+1) to n/(n+1), and none beyond.
//!
//! Sources: positions i/(n+1), W. Weibull 1939, Ing. Vetensk. Akad. Handl. 151 (from memory); type 6 of Hyndman & Fan
//! 1996, Amer. Stat. 50, 361-365 (from memory).

/// The plotting positions i/(n+1) of the n values of an ascending sample.
///
/// # Examples
/// ```
/// use fairspell::statistics::plotting_positions;
/// assert_eq!(plotting_positions(3), [0.25, 0.5, 0.75]);
/// assert!(plotting_positions(0).is_empty());
/// ```
#[must_use]
pub fn plotting_positions(count: usize) -> Vec<f64> {
    let beyond = count as f64 + 1.0;
    (1..=count).map(|rank| rank as f64 / beyond).collect()
}

/// The value that `percent` of the values lie at or below, linear between neighbours.
///
/// - `ascending`: the sample, sorted, none NaN. Values known only to lie before or after all others are −∞ and +∞:
///   they count in the positions.
/// - `percent`: whole percent, so that the rank is an integer calculation; 0.7 · (89+1) is not 63 in floating point.
///
/// `None` outside [1/(n+1), n/(n+1)], and where a value that the quantile needs is infinite. Error below 3e-16 of the larger
/// of the two values between which it lies.
///
/// # Examples
/// ```
/// use fairspell::statistics::quantile;
/// let last_freeze_day = [74.0, 81.0, 90.0, 97.0];
/// assert_eq!(quantile(&last_freeze_day, 40), Some(81.0)); // 2/(4+1)
/// assert_eq!(quantile(&last_freeze_day, 50), Some(85.5));
/// assert_eq!(quantile(&last_freeze_day, 90), None); // four years do not know one in ten
///
/// let two_years_without = [f64::NEG_INFINITY, f64::NEG_INFINITY, 74.0, 81.0];
/// assert_eq!(quantile(&two_years_without, 50), None);
/// assert_eq!(quantile(&two_years_without, 60), Some(74.0));
/// ```
#[must_use]
pub fn quantile(ascending: &[f64], percent: u32) -> Option<f64> {
    let hundredths = usize::try_from(percent)
        .ok()?
        .checked_mul(ascending.len() + 1)?;
    let index = (hundredths / 100).checked_sub(1)?;
    between(ascending, index, (hundredths % 100) as f64 / 100.0)
}

/// The value at `index` (from 0) and a share of the way to the next; `None` if one that is needed is not there or not
/// finite. The next is not needed where the share is 0.
pub(super) fn between(ascending: &[f64], index: usize, share: f64) -> Option<f64> {
    let finite = |index: usize| {
        ascending
            .get(index)
            .copied()
            .filter(|value| value.is_finite())
    };
    let below = finite(index)?;
    if share <= 0.0 {
        return Some(below);
    }
    let above = finite(index + 1)?;
    let gap = above - below;
    if gap.is_finite() {
        return Some(below + share * gap);
    }
    Some(below * (1.0 - share) + above * share) // neighbours so far apart that their gap overflows
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::samples::{A, AUTUMN, MILWAUKEE, SUFFOLK, assert_near, sorted};

    fn assert_quantiles(ascending: &[f64], expected: &[(u32, f64)]) {
        for (percent, expected) in expected {
            let computed = quantile(ascending, *percent).unwrap_or(f64::NAN);
            assert_near(computed, *expected, 1e-12);
        }
    }

    fn assert_none(ascending: &[f64], percents: &[u32]) {
        for percent in percents {
            assert_eq!(quantile(ascending, *percent), None, "{percent} %");
        }
    }

    /// The project's handbook, §1, computed; the row "Weibull" of its table of positions at n = 10.
    #[test]
    fn positions_are_i_over_n_plus_1() {
        let positions = plotting_positions(10);
        for (index, printed) in [(0, 0.090_909), (4, 0.454_545), (9, 0.909_091)] {
            assert_near(positions[index], printed, 0.000_000_5); // half of the last printed digit
        }
    }

    /// The project's handbook, §1, computed; `numpy.quantile(method="weibull")` agrees inside the range.
    #[test]
    fn quantiles_of_the_two_samples_are_those_of_the_handbook() {
        let a = [
            (10, 83.8),
            (25, 94.0),
            (50, 100.5),
            (75, 107.75),
            (90, 117.2),
        ];
        assert_quantiles(&A, &a);
        assert_quantiles(&AUTUMN, &[(10, 303.4), (50, 322.0), (90, 338.8)]);
        assert_none(&A, &[0, 5, 9, 91, 95, 100, 101, u32::MAX]);
        assert_none(&AUTUMN, &[5, 95]);
    }

    /// The project's handbook, §1, computed: the smallest sample that knows a quantile.
    #[test]
    fn a_quantile_exists_from_its_smallest_sample_on() {
        let smallest = [
            (50, 1),
            (20, 4),
            (80, 4),
            (10, 9),
            (90, 9),
            (5, 19),
            (95, 19),
        ];
        for (percent, least) in smallest {
            for count in 0..40 {
                let sample: Vec<f64> = (0..count).map(f64::from).collect();
                let exists = quantile(&sample, percent).is_some();
                assert_eq!(exists, count >= least, "{percent} % of {count}");
            }
        }
    }

    /// The project's handbook, §2, computed: 12 valid years, 8 with a freeze.
    #[test]
    fn years_without_a_freeze_count_in_the_quantiles() {
        let freezes = [70.0, 78.0, 81.0, 85.0, 88.0, 92.0, 97.0, 103.0];
        let spring = [[f64::NEG_INFINITY; 4].as_slice(), &freezes].concat();
        assert_none(&spring, &[10, 30, 35]);
        assert_quantiles(&spring, &[(40, 71.6), (50, 79.5), (90, 101.2)]);
        let autumn = [freezes.as_slice(), &[f64::INFINITY; 4]].concat();
        let known = [(10, 72.4), (30, 84.6), (35, 86.65), (40, 88.8), (50, 94.5)];
        assert_quantiles(&autumn, &known);
        assert_none(&autumn, &[90]);
        assert_none(&freezes, &[10, 90]);
        assert_quantiles(&freezes, &[(30, 80.1), (35, 81.6), (40, 83.4), (50, 86.5)]);
    }

    /// Reference values of the open records: Suffolk, 28 °F, spring, 31 valid years, 13 with a freeze; Milwaukee,
    /// 32 °F, spring. Computed outside the project in plain Python.
    #[test]
    fn quantiles_of_two_real_records_are_those_counted_elsewhere() {
        let conditional = sorted(&SUFFOLK);
        assert_quantiles(&conditional, &[(10, 5.8), (50, 45.0), (90, 64.4)]);
        let mixed = [[f64::NEG_INFINITY; 18].as_slice(), &conditional].concat();
        assert_none(&mixed, &[10, 50]);
        assert_quantiles(&mixed, &[(90, 60.8)]);
        let milwaukee = sorted(&MILWAUKEE.map(|(_, day)| day));
        assert_quantiles(&milwaukee, &[(10, 100.9), (50, 115.5), (90, 130.0)]);
    }

    /// The project's handbook, §7, computed: days carried half-way along their slope, and as they are.
    #[test]
    fn quantiles_of_carried_days_are_those_of_the_handbook() {
        let carried = sorted(&[
            94.4375, 101.0, 90.5625, 91.125, 99.6875, 88.25, 95.8125, 93.9375, 85.5, 100.0625,
            89.625, 85.1875, 92.75, 89.875, 85.4375,
        ]);
        assert_quantiles(&carried, &[(10, 85.3375), (50, 91.125), (90, 100.4375)]);
        let plain = sorted(&crate::statistics::samples::TREND.map(|(_, day)| day));
        assert_quantiles(&plain, &[(10, 87.2), (50, 99.0), (90, 108.2)]);
    }

    #[test]
    fn at_a_position_the_quantile_is_the_value_itself() {
        // 70 % of n = 89 is rank 63 exactly, where 0.7 * 90.0 is 62.999…
        let sample: Vec<f64> = (1..=89).map(f64::from).collect();
        assert_eq!(quantile(&sample, 70), Some(63.0));
        // The highest rank needs no neighbour beyond the sample.
        let nine: Vec<f64> = (1..=9).map(f64::from).collect();
        assert_eq!(quantile(&nine, 90), Some(9.0));
        assert_eq!(quantile(&nine, 91), None);
    }

    #[test]
    fn quantiles_ascend_with_the_percentage_and_stay_within_the_sample() {
        for count in 1..60_u32 {
            let sample: Vec<f64> = (0..count).map(|i| f64::from(i * i % 37)).collect();
            let sample = sorted(&sample);
            let known: Vec<f64> = (0..=100).filter_map(|p| quantile(&sample, p)).collect();
            assert!(!known.is_empty() && known.is_sorted(), "n = {count}");
            assert!(known[0] >= sample[0] && known.last() <= sample.last());
        }
    }
}
