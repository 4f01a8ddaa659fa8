//! Whether values move with time: Theil–Sen slope and Mann–Kendall test.
//!
//! Sources: Theil 1950; Sen 1968, J. Amer. Stat. Assoc. 63, 1379 (interval: equation 2.6); Mann 1945; Kendall 1975.

use super::Z_95;

/// Most values of which all pairs are taken; of a longer sample none. 2,000 years are longer than any record.
const MAX_VALUES: usize = 2000;

/// The median of the slopes between all pairs, with its 95 % interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TheilSen {
    /// Slope, in the values' unit a unit of time.
    pub slope: f64,
    /// Lower end.
    pub low_95: f64,
    /// Upper end.
    pub high_95: f64,
}

/// The test of a monotone trend, with the correction for ties and for continuity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MannKendall {
    /// Pairs that rise minus pairs that fall.
    pub s: f64,
    /// Variance of `s`.
    pub variance: f64,
    /// Two-sided probability of an `s` as far from 0 without a trend.
    pub p: f64,
}

/// Slope of values over times, in pairs; `None` of fewer than four values, or where all are equal.
#[must_use]
pub fn theil_sen(times: &[f64], values: &[f64]) -> Option<TheilSen> {
    let test = mann_kendall(values)?;
    let points: Vec<(f64, f64)> = times.iter().copied().zip(values.iter().copied()).collect();
    let mut slopes = Vec::with_capacity(points.len() * points.len().saturating_sub(1) / 2);
    for (index, (time, value)) in points.iter().enumerate() {
        let later = points
            .iter()
            .skip(index + 1)
            .filter(|later| (later.0 - time).abs() > 0.0);
        slopes.extend(later.map(|later| (later.1 - value) / (later.0 - time)));
    }
    slopes.sort_unstable_by(f64::total_cmp);
    let count = slopes.len() as f64;
    let reach = Z_95 * test.variance.sqrt();
    let at = |place: f64| {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "clamped to the places there are"
        )]
        let place = place.clamp(1.0, count) as usize;
        slopes.get(place - 1).copied()
    };
    let low_95 = at(libm::rint((count - reach) / 2.0))?;
    let high_95 = at(libm::rint(f64::midpoint(count, reach)) + 1.0)?;
    Some(TheilSen {
        slope: middle(&slopes)?,
        low_95,
        high_95,
    })
}

fn middle(ascending: &[f64]) -> Option<f64> {
    let half = ascending.len() / 2;
    let upper = *ascending.get(half)?;
    if ascending.len() % 2 == 1 {
        return Some(upper);
    }
    Some(f64::midpoint(*ascending.get(half.checked_sub(1)?)?, upper))
}

/// The test of values in their order of time; `None` of fewer than four, or where all are equal.
#[must_use]
pub fn mann_kendall(values: &[f64]) -> Option<MannKendall> {
    if !(4..=MAX_VALUES).contains(&values.len()) {
        return None;
    }
    let mut s = 0.0;
    for (index, value) in values.iter().enumerate() {
        for later in values.iter().skip(index + 1) {
            s += f64::from(i8::from(later > value)) - f64::from(i8::from(later < value));
        }
    }
    let weight = |count: f64| count * (count - 1.0) * (2.0 * count + 5.0);
    let mut ascending = values.to_vec();
    ascending.sort_unstable_by(f64::total_cmp);
    let ties: f64 = ascending
        .chunk_by(|a, b| a.total_cmp(b).is_eq())
        .map(|tie| weight(tie.len() as f64))
        .sum();
    let variance = (weight(values.len() as f64) - ties) / 18.0;
    if variance <= 0.0 {
        return None;
    }
    let z = (s.abs() - 1.0).max(0.0) / variance.sqrt();
    let p = libm::erfc(z / core::f64::consts::SQRT_2);
    Some(MannKendall { s, variance, p })
}

#[cfg(test)]
mod tests {
    use super::*;

    const YEARS: [f64; 15] = [
        1995.0, 1996.0, 1997.0, 1998.0, 1999.0, 2000.0, 2001.0, 2003.0, 2004.0, 2005.0, 2006.0,
        2007.0, 2008.0, 2010.0, 2011.0,
    ];
    const DAYS: [f64; 15] = [
        104.0, 110.0, 99.0, 99.0, 107.0, 95.0, 102.0, 99.0, 90.0, 104.0, 93.0, 88.0, 95.0, 91.0,
        86.0,
    ];

    /// `SciPy` `theilslopes` and pymannkendall `original_test` on the same fifteen dates.
    #[test]
    fn slope_and_test_agree_with_general_libraries() {
        let test = mann_kendall(&DAYS).unwrap();
        assert!(
            (test.s + 60.0).abs() < 1e-12 && (test.variance - 402.666_666_666_667).abs() < 1e-9
        );
        assert!((test.p - 0.003_279_839_813_22).abs() < 1e-13, "{}", test.p);
        let slope = theil_sen(&YEARS, &DAYS).unwrap();
        let found = [slope.slope, slope.low_95, slope.high_95];
        for (found, wanted) in found.into_iter().zip([-1.125, -1.625, -0.5]) {
            assert!((found - wanted).abs() < 1e-12, "{found} {wanted}");
        }
        let rising = mann_kendall(&[1.0, 2.0, 3.0, 4.0, 5.0]).unwrap();
        assert!(
            (rising.s - 10.0).abs() < 1e-12 && (rising.p - 0.027_486_336_111_5).abs() < 1e-12,
            "{}",
            rising.p
        );
    }

    /// Definition: without spread, or of too few, there is no answer.
    #[test]
    fn equal_and_few_values_give_none() {
        assert_eq!(mann_kendall(&[5.0; 10]), None);
        assert_eq!(mann_kendall(&[1.0, 2.0, 3.0]), None);
        assert_eq!(theil_sen(&[1.0, 2.0, 3.0, 4.0], &[7.0; 4]), None);
    }
}
