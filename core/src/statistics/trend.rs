//! Trend: the slope of Theil and Sen, and the test of Mann and Kendall.
//!
//! Both go by pairs of values, so that one wild value moves them little. The years of a record follow each other:
//! where one resembles the last, p comes out too small (Hamed & Rao 1998, from memory), so a small p only
//! *suggests* a trend.
//!
//! Sources, all from memory: Theil 1950, Proc. Kon. Ned. Akad. Wet. 53; Sen 1968, JASA 63, 1379-1389; Mann 1945,
//! Econometrica 13, 245-259; Kendall 1975, Rank Correlation Methods.

use core::cmp::Ordering;

use super::Z_95;

/// Most values of a trend; there is none for more. Ours: their two million pairs take 16 MB.
pub const MAX_TREND_VALUES: usize = 2_000;
/// Fewest values of a trend. Ours: with three, no order of them is unlikely.
const LEAST_VALUES: usize = 4;

/// A slope, with its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct TheilSen {
    /// Median slope of all pairs, in the unit of the values for each unit of time.
    pub slope: f64,
    /// Lower end of Sen's 95 % interval.
    pub low_95: f64,
    /// Upper end.
    pub high_95: f64,
}

/// The test of whether values rise or fall with time.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct MannKendall {
    /// Pairs that rise less pairs that fall.
    pub s: f64,
    /// Variance of S if there is no trend, less for ties.
    pub variance: f64,
    /// S in standard deviations, corrected for continuity.
    pub z: f64,
    /// Chance of so large an S, rising or falling, if there is no trend.
    pub p: f64,
}

/// The slope of `values` over `times`, with Sen's interval (Sen 1968, equation 2.6).
///
/// - `times`: of each value, for example its year, in any order; pairs of equal times are left out.
/// - `values`: as many, of any one unit.
///
/// `None` for fewer than 4 or more than [`MAX_TREND_VALUES`] values, for a time or value that is not finite, for
/// another number of times than of values, where all values or all times are equal, and where the slope or an end of its
/// interval lies beyond floating point. The ranks are exact; relative error of a slope below 1e-15, where times and values
/// are whole numbers.
///
/// # Examples
/// ```
/// use fairspell::statistics::theil_sen;
/// let years = [2001.0, 2002.0, 2003.0, 2005.0];
/// let slope = theil_sen(&years, &[100.0, 98.0, 96.0, 92.0]).expect("four years that differ");
/// assert_eq!((slope.slope, slope.low_95, slope.high_95), (-2.0, -2.0, -2.0));
/// assert_eq!(theil_sen(&years, &[100.0; 4]), None);
/// ```
#[must_use]
pub fn theil_sen(times: &[f64], values: &[f64]) -> Option<TheilSen> {
    let variance = variance(values)?;
    if times.len() != values.len() || !times.iter().all(|time| time.is_finite()) {
        return None;
    }
    let mut slopes = slopes(times, values);
    slopes.sort_unstable_by(f64::total_cmp);
    let reach = Z_95 * variance.sqrt();
    let pairs = slopes.len() as f64;
    let found = TheilSen {
        slope: median(&slopes)?,
        low_95: at_rank(&slopes, ((pairs - reach) / 2.0).round_ties_even())?,
        high_95: at_rank(&slopes, f64::midpoint(pairs, reach).round_ties_even() + 1.0)?,
    };
    let all = [found.slope, found.low_95, found.high_95];
    all.iter().all(|slope| slope.is_finite()).then_some(found)
}

/// Whether `values` rise or fall in the order given, by the test of Mann and Kendall, two-sided, with the corrections
/// for ties and for continuity.
///
/// - `values`: in the order of time, of any one unit.
///
/// `None` for fewer than 4 or more than [`MAX_TREND_VALUES`] values, for one that is not finite, and where all are
/// equal. S and its variance are exact; relative error of p below 1e-15 (2 + z²).
///
/// # Examples
/// ```
/// use fairspell::statistics::mann_kendall;
/// let test = mann_kendall(&[1.0, 2.0, 3.0, 4.0, 5.0]).expect("five values that differ");
/// assert_eq!(test.s, 10.0);
/// assert!((test.p - 0.027_486_336).abs() < 1e-9);
/// ```
#[must_use]
pub fn mann_kendall(values: &[f64]) -> Option<MannKendall> {
    let variance = variance(values)?;
    let s = rises_less_falls(values);
    let z = (s.abs() - 1.0).max(0.0).copysign(s) / variance.sqrt(); // 0 where S is 0
    let p = libm::erfc(z.abs() / core::f64::consts::SQRT_2);
    Some(MannKendall { s, variance, z, p })
}

/// Variance of S without a trend; `None` where there is no test.
fn variance(values: &[f64]) -> Option<f64> {
    let is_known = values.iter().all(|value| value.is_finite());
    if !is_known || !(LEAST_VALUES..=MAX_TREND_VALUES).contains(&values.len()) {
        return None;
    }
    let mut ascending = values.to_vec();
    ascending.sort_unstable_by(f64::total_cmp);
    let term = |count: usize| {
        let count = count as f64;
        count * (count - 1.0) * (2.0 * count + 5.0)
    };
    let groups = ascending.chunk_by(|one, next| one >= next); // equal, since they ascend
    let ties: f64 = groups.map(|group| term(group.len())).sum();
    let variance = (term(values.len()) - ties) / 18.0;
    (variance > 0.0).then_some(variance)
}

fn rises_less_falls(values: &[f64]) -> f64 {
    let mut balance = 0_i64;
    for (index, one) in values.iter().enumerate() {
        for later in values.iter().skip(index + 1) {
            balance += match later.partial_cmp(one) {
                Some(Ordering::Greater) => 1,
                Some(Ordering::Less) => -1,
                _ => 0,
            };
        }
    }
    balance as f64
}

fn slopes(times: &[f64], values: &[f64]) -> Vec<f64> {
    let mut slopes = Vec::with_capacity(times.len() * times.len().saturating_sub(1) / 2);
    for (index, (time, value)) in times.iter().zip(values).enumerate() {
        let later = times.get(index + 1..).into_iter().flatten();
        let others = values.get(index + 1..).into_iter().flatten();
        for (later, other) in later.zip(others) {
            let (span, rise) = (later - time, other - value);
            if span.abs() > 0.0 {
                slopes.push(if span.is_finite() && rise.is_finite() {
                    rise / span
                } else {
                    (other / 2.0 - value / 2.0) / (later / 2.0 - time / 2.0) // a difference that overflows
                });
            }
        }
    }
    slopes
}

fn median(ascending: &[f64]) -> Option<f64> {
    let upper = ascending.get(ascending.len() / 2)?;
    let lower = ascending.get(ascending.len().checked_sub(1)? / 2)?;
    let gap = upper - lower;
    if gap.is_finite() {
        return Some(lower + gap / 2.0);
    }
    Some(f64::midpoint(*lower, *upper))
}

/// The value at a whole rank from 1, or the first or the last where the rank lies beyond.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a whole number between 1 and the count of pairs"
)]
fn at_rank(ascending: &[f64], rank: f64) -> Option<f64> {
    let rank = rank.min(ascending.len() as f64).max(1.0) as usize;
    ascending.get(rank - 1).copied()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::samples::{MILWAUKEE, SUFFOLK, TREND, assert_near, scattered};

    fn split<const N: usize>(series: [(f64, f64); N]) -> ([f64; N], [f64; N]) {
        (series.map(|(year, _)| year), series.map(|(_, day)| day))
    }

    fn assert_slope(computed: TheilSen, (slope, low, high): (f64, f64, f64), tolerance: f64) {
        assert_near(computed.slope, slope, tolerance);
        assert_near(computed.low_95, low, tolerance);
        assert_near(computed.high_95, high, tolerance);
    }

    /// The project's handbook, §6, computed; `SciPy`'s `theilslopes` and pymannkendall's `original_test` agree.
    #[test]
    fn a_series_with_gaps_and_ties_has_the_trend_of_the_handbook() {
        let (years, days) = split(TREND);
        let test = mann_kendall(&days).unwrap();
        assert_near(test.s, -60.0, 0.0);
        assert_near(test.variance, 402.666_666_666_667, 1e-12);
        assert_near(test.z, -2.940_215_561_769_05, 1e-12);
        assert_near(test.p, 0.003_279_839_813_22, 1e-13);
        let slope = theil_sen(&years, &days).unwrap();
        assert_slope(slope, (-1.125, -1.625, -0.5), 1e-12);
        // The 33rd and the 73rd of 105 slopes.
        let mut slopes = slopes(&years, &days);
        slopes.sort_by(f64::total_cmp);
        assert_eq!(slopes.len(), 105);
        assert_near(slopes[33 - 1], slope.low_95, 0.0);
        assert_near(slopes[73 - 1], slope.high_95, 0.0);
    }

    /// The project's handbook, §6, computed.
    #[test]
    fn five_rising_values_have_the_test_of_the_handbook() {
        let test = mann_kendall(&[1.0, 2.0, 3.0, 4.0, 5.0]).unwrap();
        assert_near(test.s, 10.0, 0.0);
        assert_near(test.variance, 16.6667, 0.000_05);
        assert_near(test.z, 2.204_540_768_50, 5e-12);
        assert_near(test.p, 0.027_486_336_111_5, 5e-14);
    }

    /// Reference values of the open records: computed outside the project with `SciPy` and pymannkendall.
    #[test]
    fn two_real_records_have_the_trends_counted_elsewhere() {
        let (years, days) = split(MILWAUKEE);
        let slope = theil_sen(&years, &days).unwrap();
        let printed = (-0.131_363_244_2, -0.217_391_304_3, -0.031_746_031_75);
        assert_slope(slope, printed, 1e-10);
        let test = mann_kendall(&days).unwrap();
        assert_near(test.s, -739.0, 0.0);
        assert_near(test.variance, 76_845.0, 1e-9);
        assert_near(test.z, -2.662_248_275, 1e-9);
        assert_near(test.p, 0.007_762_060_259, 1e-12);
        let test = mann_kendall(&SUFFOLK).unwrap();
        assert_near(test.s, 24.0, 0.0);
        assert_near(test.variance, 268.666_666_7, 1e-7);
        assert_near(test.p, 0.160_555_891_4, 1e-10);
    }

    #[test]
    fn what_cannot_have_a_trend_has_none() {
        let years = [1.0, 2.0, 3.0, 4.0];
        assert_eq!(mann_kendall(&[1.0, 2.0, 3.0]), None);
        assert_eq!(mann_kendall(&[7.0; 40]), None);
        assert_eq!(mann_kendall(&[1.0, f64::NAN, 3.0, 4.0]), None);
        assert_eq!(mann_kendall(&[1.0, f64::INFINITY, 3.0, 4.0]), None);
        assert_eq!(mann_kendall(&vec![1.0; MAX_TREND_VALUES + 1]), None);
        assert_eq!(theil_sen(&years, &[7.0; 4]), None);
        assert_eq!(theil_sen(&years, &[1.0, 2.0, 3.0, 4.0, 5.0]), None);
        assert_eq!(theil_sen(&[2000.0; 4], &years), None);
        assert_eq!(theil_sen(&[1.0, f64::NAN, 3.0, 4.0], &years), None);
        assert!(theil_sen(&years, &years).is_some());
    }

    #[test]
    fn the_most_values_are_taken_and_no_more() {
        let years: Vec<f64> = (0_u32..2001).map(f64::from).collect();
        let slope = theil_sen(&years[..2000], &years[..2000]).unwrap();
        assert_slope(slope, (1.0, 1.0, 1.0), 0.0);
        assert_eq!(theil_sen(&years, &years), None);
    }

    /// Definition: S counts signs, ties group equal values, and a balanced S has no evidence at all.
    #[test]
    fn a_balanced_series_has_p_1() {
        let test = mann_kendall(&[1.0, 2.0, 2.0, 1.0]).unwrap();
        assert_near(test.s, 0.0, 0.0);
        assert_near(test.z, 0.0, 0.0);
        assert_near(test.p, 1.0, 0.0);
        // [4·3·13 − 2 · 2·1·9]/18
        assert_near(test.variance, (156.0 - 36.0) / 18.0, 1e-12);
        // Zero and minus zero are one value.
        let signed = mann_kendall(&[0.0, 1.0, -0.0, 2.0]).unwrap();
        let plain = mann_kendall(&[0.0, 1.0, 0.0, 2.0]).unwrap();
        assert_eq!(signed, plain);
    }

    #[test]
    fn reversing_and_stretching_move_the_trend_as_they_must() {
        let mut random = scattered(6);
        for count in 4..40_u32 {
            let years: Vec<f64> = (0..count).map(f64::from).collect();
            let days: Vec<f64> = (0..count)
                .map(|_| (random.next().unwrap() * 12.0).floor())
                .collect();
            let Some(slope) = theil_sen(&years, &days) else {
                continue;
            };
            assert!(slope.low_95 <= slope.slope && slope.slope <= slope.high_95);
            let later: Vec<f64> = years.iter().map(|year| year + 1990.0).collect();
            let lower: Vec<f64> = days.iter().map(|day| -2.0 * day).collect();
            let mirrored = theil_sen(&later, &lower).unwrap();
            assert_near(mirrored.slope, -2.0 * slope.slope, 1e-12);
            let (up, down) = (mann_kendall(&days).unwrap(), mann_kendall(&lower).unwrap());
            assert_near(up.s, -down.s, 0.0);
            assert_near(up.z, -down.z, 0.0);
            assert_near(up.p, down.p, 0.0);
            assert!(up.p > 0.0 && up.p <= 1.0);
        }
    }
}
