//! Plotting positions, and the quantiles between them.
//!
//! A sample of n values carries the quantiles from 1/(n+1) to n/(n+1), and nothing is extrapolated beyond them.
//! Source: positions i/(n+1), W. Weibull 1939; type 6 of Hyndman & Fan, The American Statistician 50 (1996) 361.

/// The value that `percent` of 100 of an ascending sample do not exceed, linear between neighbours; `None` outside
/// the plotting positions, and where an order statistic that is needed is infinite.
///
/// ```
/// use fairspell::statistics::quantile;
/// let last_freeze_day = [74.0, 81.0, 90.0, 97.0]; // four years
/// assert_eq!(quantile(&last_freeze_day, 40), Some(81.0)); // 2/(4+1)
/// assert_eq!(quantile(&last_freeze_day, 90), None); // four years do not know one in ten
/// ```
#[must_use]
pub fn quantile(ascending: &[f64], percent: u32) -> Option<f64> {
    // In whole numbers: 0.7 * (89 + 1) is not 63 in doubles.
    let place = percent as usize * (ascending.len() + 1);
    let (whole, part) = (place / 100, place % 100);
    let below = *ascending.get(whole.checked_sub(1)?)?;
    let value = if part == 0 {
        below
    } else {
        let above = *ascending.get(whole)?;
        below + part as f64 / 100.0 * (above - below)
    };
    value.is_finite().then_some(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(found: Option<f64>, wanted: Option<f64>) {
        match (found, wanted) {
            (Some(found), Some(wanted)) => {
                assert!((found - wanted).abs() < 1e-9, "{found} {wanted}");
            }
            (found, wanted) => assert_eq!(found, wanted),
        }
    }

    /// Computed with 40 digits, and numpy.quantile(method="weibull") inside the range (`NumPy` 2): ten and twelve dates.
    #[test]
    fn quantiles_agree_with_the_reference() {
        let a = [
            83.0, 91.0, 95.0, 98.0, 99.0, 102.0, 104.0, 107.0, 110.0, 118.0,
        ];
        for (percent, wanted) in [
            (10, Some(83.8)),
            (25, Some(94.0)),
            (50, Some(100.5)),
            (75, Some(107.75)),
            (90, Some(117.2)),
            (5, None),
            (95, None),
        ] {
            near(quantile(&a, percent), wanted);
        }
        let b = [
            301.0, 309.0, 309.0, 315.0, 318.0, 322.0, 322.0, 322.0, 327.0, 331.0, 336.0, 340.0,
        ];
        for (percent, wanted) in [(10, Some(303.4)), (50, Some(322.0)), (90, Some(338.8))] {
            near(quantile(&b, percent), wanted);
        }
    }

    /// Computed by hand from the rule: twelve valid years, eight freezes and four without, which lie before every date
    /// in spring and after every one in autumn (mixed distribution: Thom & Shaw 1958).
    #[test]
    fn infinite_order_statistics_give_none() {
        let freezes = [70.0, 78.0, 81.0, 85.0, 88.0, 92.0, 97.0, 103.0];
        let spring: Vec<f64> = [f64::NEG_INFINITY; 4].into_iter().chain(freezes).collect();
        for (percent, wanted) in [
            (10, None),
            (30, None),
            (35, None),
            (40, Some(71.6)),
            (50, Some(79.5)),
            (90, Some(101.2)),
        ] {
            near(quantile(&spring, percent), wanted);
        }
        let autumn: Vec<f64> = freezes.into_iter().chain([f64::INFINITY; 4]).collect();
        for (percent, wanted) in [
            (10, Some(72.4)),
            (30, Some(84.6)),
            (35, Some(86.65)),
            (50, Some(94.5)),
            (90, None),
        ] {
            near(quantile(&autumn, percent), wanted);
        }
        assert_eq!(quantile(&[], 50), None);
    }
}
