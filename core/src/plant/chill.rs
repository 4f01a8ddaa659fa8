//! Winter chill from hourly temperatures in °C: chill hours, Utah units, and the portions of the dynamic model.
//!
//! Each function gives the running sum after each hour. A missing hour, NaN or outside −90 to 60 °C, makes that sum
//! and all later ones unknown, NaN: a gap never goes on in silence. The three measures do not convert into each other.
//!
//! Sources stand with the functions.

/// Coldest and warmest air that is believed \[°C\]: the contract, §5.
const BELIEVED_C: core::ops::RangeInclusive<f64> = -90.0..=60.0;

/// An hour that counts as a chill hour \[°C\], both ends included; 0 to 7.2 °C is 32 to 45 °F.
///
/// Source: Weinberger 1950, Proc. Amer. Soc. Hort. Sci. 56, 122-128; Bennett 1949, both by the project's handbook, §7.
pub const CHILL_HOUR_C: core::ops::RangeInclusive<f64> = 0.0..=7.2;

/// Running number of hours in [`CHILL_HOUR_C`].
///
/// ```
/// use fairspell::plant::chill_hours;
/// assert_eq!(chill_hours(&[-0.1, 0.0, 7.2, 7.3]), [0.0, 1.0, 2.0, 2.0]);
/// assert!(chill_hours(&[5.0, f64::NAN, 5.0])[2].is_nan());
/// ```
#[must_use]
pub fn chill_hours(temperatures_c: &[f64]) -> Vec<f64> {
    running(temperatures_c, |temperature_c| {
        f64::from(u8::from(CHILL_HOUR_C.contains(&temperature_c)))
    })
}

/// Utah chill units of an hour at `temperature_c`, −1 to 1.
///
/// The table in °C, which is not the one in °F converted: keep temperatures unrounded.
///
/// Source: Richardson, Seeley & Walker 1974, `HortScience` 9, 331-332; the limits in °C by the project's handbook, §7
/// (from memory there; general R packages print the same).
///
/// ```
/// use fairspell::plant::utah_units;
/// assert_eq!([1.4, 1.5, 9.1, 20.0].map(utah_units), [0.0, 0.5, 1.0, -1.0]);
/// ```
#[must_use]
pub fn utah_units(temperature_c: f64) -> f64 {
    /// Warmest temperature of each step, and what an hour in it counts.
    const STEPS_C: [(f64, f64); 6] = [
        (1.4, 0.0),
        (2.4, 0.5),
        (9.1, 1.0),
        (12.4, 0.5),
        (15.9, 0.0),
        (18.0, -0.5),
    ];
    if temperature_c.is_nan() {
        return f64::NAN;
    }
    STEPS_C
        .iter()
        .find(|(warmest_c, _)| temperature_c <= *warmest_c)
        .map_or(-1.0, |(_, units)| *units)
}

/// Running sum of [`utah_units`]; it falls in warm hours.
#[must_use]
pub fn utah_chill(temperatures_c: &[f64]) -> Vec<f64> {
    running(temperatures_c, utah_units)
}

/// A running sum counted from its lowest point, before which the warmth of autumn undoes all chill.
///
/// `sums`: running sums from [`utah_chill`]. The last sum less the lowest of all, the 0 before the first hour among
/// them; NaN if any is unknown, 0 for none.
///
/// Source: Richardson, Seeley & Walker 1974, by the project's handbook, §7: start at the most negative running sum.
///
/// ```
/// use fairspell::plant::{since_lowest, utah_chill};
/// assert_eq!(since_lowest(&utah_chill(&[20.0, 20.0, 5.0, 5.0, 5.0])), 3.0);
/// ```
#[must_use]
pub fn since_lowest(sums: &[f64]) -> f64 {
    if sums.iter().any(|sum| sum.is_nan()) {
        return f64::NAN;
    }
    let lowest = sums.iter().copied().fold(0.0, f64::min);
    sums.last().copied().unwrap_or(0.0) - lowest
}

/// The dynamic model, hour by hour: a forerunner that cold builds and warmth undoes, and portions that stay.
///
/// The forerunner moves towards a level that the hour's temperature sets; at 1 and above, a share of it that grows
/// with warmth becomes chill portions. Temperatures in kelvin are °C + 273, as in the published spreadsheets, not +
/// 273.15.
///
/// Source: Fishman, Erez & Couvillon 1987, J. Theor. Biol. 124, 473-483 and 126, 309-321; Erez et al. 1990, Acta
/// Hortic. 276, 165-174; constants as a general R package prints them, by the project's handbook, §7.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct DynamicModel {
    forerunner: f64,
    portions: f64,
}

impl DynamicModel {
    const E0: f64 = 4153.5;
    const E1: f64 = 12_888.8;
    const A0: f64 = 139_500.0;
    const A1: f64 = 2.567e18;
    const SLOPE: f64 = 1.6;
    /// Temperature of transition \[K\].
    const TF_K: f64 = 277.0;
    const ZERO_C_K: f64 = 273.0;

    /// Chill portions so far; NaN from the first missing hour on.
    #[must_use]
    pub fn portions(self) -> f64 {
        self.portions
    }

    /// Goes on by an hour.
    ///
    /// ```
    /// use fairspell::plant::DynamicModel;
    /// let mut model = DynamicModel::default();
    /// for _ in 0..28 {
    ///     model.pass_hour(6.0);
    /// }
    /// assert_eq!(model.portions(), 0.0);
    /// model.pass_hour(6.0); // the first portion is made in the 29th hour: the project's handbook, §7
    /// assert!(model.portions() > 0.9);
    /// ```
    pub fn pass_hour(&mut self, temperature_c: f64) {
        if !BELIEVED_C.contains(&temperature_c) {
            (self.forerunner, self.portions) = (f64::NAN, f64::NAN);
            return;
        }
        let kelvin = temperature_c + Self::ZERO_C_K;
        let level = Self::A0 / Self::A1 * libm::exp((Self::E1 - Self::E0) / kelvin);
        let rate = Self::A1 * libm::exp(-Self::E1 / kelvin);
        self.forerunner = level - (level - self.forerunner) * libm::exp(-rate);
        if self.forerunner >= 1.0 {
            let s = libm::exp(Self::SLOPE * Self::TF_K * (kelvin - Self::TF_K) / kelvin);
            let moved = self.forerunner * (s / (1.0 + s));
            self.portions += moved;
            self.forerunner -= moved;
        }
    }
}

/// Running chill portions of the [`DynamicModel`], which begins with nothing before the first hour.
///
/// ```
/// use fairspell::plant::chill_portions;
/// let portions = chill_portions(&[6.0; 1000]);
/// assert!((portions[999] - 34.204_222).abs() < 0.000_000_5); // the project's handbook, §7
/// ```
#[must_use]
pub fn chill_portions(temperatures_c: &[f64]) -> Vec<f64> {
    let mut model = DynamicModel::default();
    let pass = |temperature_c: &f64| {
        model.pass_hour(*temperature_c);
        model.portions()
    };
    temperatures_c.iter().map(pass).collect()
}

/// Running sum of what each hour counts, NaN from the first missing hour on.
pub(super) fn running(temperatures_c: &[f64], counts: impl Fn(f64) -> f64) -> Vec<f64> {
    let mut sum = 0.0;
    let add = |temperature_c: &f64| {
        sum += if BELIEVED_C.contains(temperature_c) {
            counts(*temperature_c)
        } else {
            f64::NAN
        };
        sum
    };
    temperatures_c.iter().map(add).collect()
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "counts and whole units are exact")]
mod tests {
    use core::f64::consts::PI;

    use super::*;

    fn last(sums: &[f64]) -> f64 {
        *sums.last().unwrap()
    }

    fn assert_near(computed: f64, expected: f64, tolerance: f64) {
        assert!(
            (computed - expected).abs() <= tolerance,
            "computed {computed}, expected {expected}, tolerance {tolerance}"
        );
    }

    /// The handbook's days: a mean and an amplitude of the same size \[°C\], lowest at 3 and highest at 15 o'clock.
    fn days(mean_c: f64) -> Vec<f64> {
        let hour =
            |hour: u32| mean_c + mean_c * libm::sin(2.0 * PI * (f64::from(hour) - 9.0) / 24.0);
        (0..720).map(hour).collect()
    }

    /// The project's handbook, §7, both ends of each step. The steps in °F are another table: 34 °F is 1.11 °C.
    #[test]
    fn utah_units_are_those_of_the_table_in_celsius() {
        let steps = [
            (-30.0, 0.0),
            (1.4, 0.0),
            (1.400_001, 0.5),
            (2.4, 0.5),
            (2.400_001, 1.0),
            (9.1, 1.0),
            (9.100_001, 0.5),
            (12.4, 0.5),
            (12.400_001, 0.0),
            (15.9, 0.0),
            (15.900_001, -0.5),
            (18.0, -0.5),
            (18.000_001, -1.0),
            (40.0, -1.0),
        ];
        for (temperature_c, units) in steps {
            assert_eq!(utah_units(temperature_c), units, "{temperature_c}");
        }
    }

    /// The project's handbook, §7, computed there: 30 days of T(h) = 6 + 6·sin(2π(h − 9)/24). The hour at exactly 0 °C
    /// counts.
    #[test]
    fn chill_of_thirty_mild_days_is_that_of_the_handbook() {
        let hours = days(6.0);
        assert_eq!(last(&utah_chill(&hours)), 435.0);
        assert_eq!(last(&chill_hours(&hours)), 390.0);
        let portions = chill_portions(&hours);
        let printed = [
            (24, 0.0),
            (120, 3.487_716),
            (240, 6.999_208),
            (480, 14.773_645),
            (720, 21.545_203),
        ];
        for (hour, printed) in printed {
            assert_near(portions[hour - 1], printed, 0.000_000_5);
        }
    }

    /// The project's handbook, §7, computed there: 30 days of T(h) = 10 + 10·sin(2π(h − 9)/24).
    #[test]
    fn chill_of_thirty_warm_days_is_that_of_the_handbook() {
        let hours = days(10.0);
        assert_eq!(last(&utah_chill(&hours)), 30.0);
        assert_eq!(last(&chill_hours(&hours)), 270.0);
        let portions = chill_portions(&hours);
        for (hour, printed) in [(120, 1.687_068), (240, 3.371_067), (720, 11.791_062)] {
            assert_near(portions[hour - 1], printed, 0.000_000_5);
        }
    }

    /// The project's handbook, §7, computed there: 1000 hours at one temperature; portions, and the hour, from 1, in
    /// which the first are made.
    #[test]
    fn portions_of_constant_hours_are_those_of_the_handbook() {
        let rows = [
            (-5.0, 0.001_893, Some(42)),
            (0.0, 4.857_373, Some(34)),
            (2.0, 26.371_169, Some(31)),
            (4.0, 29.849_351, Some(30)),
            (6.0, 34.204_222, Some(29)),
            (8.0, 34.568_443, Some(29)),
            (10.0, 32.435_526, Some(31)),
            (12.0, 25.001_544, Some(39)),
            (14.0, 0.0, None),
            (20.0, 0.0, None),
        ];
        for (temperature_c, printed, first) in rows {
            let portions = chill_portions(&[temperature_c; 1000]);
            assert_near(last(&portions), printed, 0.000_000_5);
            let made = portions.iter().position(|portions| *portions > 0.0);
            assert_eq!(made.map(|hour| hour + 1), first, "{temperature_c} °C");
        }
    }

    /// The published steps in 40 decimal digits, hour by hour (Python's `decimal`): level A0/A1·exp((E1 − E0)/K), rate
    /// A1·exp(−E1/K) and forerunner level − (level − forerunner)·exp(−rate) at 6, 0, 10 and −3 °C. For the first hour:
    /// level 2.150863310, rate 0.022211476, and 2.150863310·(1 − exp(−0.022211476)) = 0.047247191.
    #[test]
    fn the_first_hours_are_those_by_hand() {
        let mut model = DynamicModel::default();
        let hours = [
            (6.0, 0.047_247_191),
            (0.0, 0.081_172_746),
            (10.0, 0.135_503_616),
            (-3.0, 0.163_876_255),
        ];
        for (temperature_c, forerunner) in hours {
            model.pass_hour(temperature_c);
            assert_near(model.forerunner, forerunner, 0.000_000_000_5);
            assert_eq!(model.portions(), 0.0);
        }
    }

    /// The contract, promise 1: no gap goes on in silence.
    #[test]
    fn a_missing_hour_makes_all_later_sums_unknown() {
        for missing in [f64::NAN, f64::INFINITY, -300.0, 61.0] {
            let mut hours = vec![5.0; 100];
            hours[40] = missing;
            for sums in [
                chill_hours(&hours),
                utah_chill(&hours),
                chill_portions(&hours),
            ] {
                assert_eq!(sums.len(), 100);
                assert!(sums[..40].iter().all(|sum| !sum.is_nan()), "{missing}");
                assert!(sums[40..].iter().all(|sum| sum.is_nan()), "{missing}");
            }
            assert!(since_lowest(&utah_chill(&hours)).is_nan());
        }
    }

    /// By hand: 3 warm hours to −3, 5 cold ones to 2, 1 warm one to 1; from the lowest, −3, that is 4.
    #[test]
    fn the_count_starts_at_the_lowest_sum() {
        let hours = [20.0, 20.0, 20.0, 5.0, 5.0, 5.0, 5.0, 5.0, 20.0];
        assert_eq!(since_lowest(&utah_chill(&hours)), 4.0);
        assert_eq!(since_lowest(&utah_chill(&[5.0, 5.0])), 2.0); // from the 0 before the first hour
        assert_eq!(since_lowest(&[]), 0.0);
    }
}
