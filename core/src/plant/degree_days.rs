//! Degree days of a day, by three methods.
//!
//! A day's heat above a base, from its extremes alone. The three methods differ by a factor of two on a cold day, so
//! **a sum belongs to its method**: one published for the clamped mean is wrong for the sine. Every number is in one
//! unit, that of the base; the result is in that unit times days.
//!
//! Sources: G. L. Baskerville & P. Emin 1969, Ecology 50, 514-517, for the sine (from memory; the formula agrees with
//! quadrature of the sine to 1e-6, below); F. G. Zalom et al. 1983, Degree-days: the calculation and use of heat units
//! in pest management, University of California leaflet 21373, for the horizontal cut-off (from memory); "Growing
//! degree-days: one equation, two interpretations", Agric. For. Meteorol. 87 (1997) 291-300, for what averages first
//! and what clips first (from memory); the project's handbook, §6.

use core::f64::consts::{FRAC_PI_2, PI};

use crate::error::DegreeDaysError;
use crate::quantity::{Kind, Unit};

/// How a day's heat is reckoned from its extremes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// The mean of the extremes, then cut off at base and cap.
    Simple,
    /// Each extreme cut off at base and cap, then their mean; often called *modified*. Counts heat on days with a cold
    /// night.
    Clamped,
    /// The area between base and cap under a sine through the extremes (Baskerville & Emin).
    Sine,
}

impl Method {
    /// Its name in answers.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Simple => "mean",
            Self::Clamped => "clamped mean",
            Self::Sine => "single sine",
        }
    }
}

/// Degree days above a base, up to a cap if there is one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DegreeDays {
    method: Method,
    base: f64,
    cap: Option<f64>,
    unit: Unit,
}

impl DegreeDays {
    /// Degree days by `method` above `base`, and no more than up to `cap` (horizontal cut-off), both in `unit`, °C or
    /// °F.
    ///
    /// # Errors
    /// [`DegreeDaysError::Unit`] for another kind of unit, [`DegreeDaysError::Base`] for a base or cap that is not a
    /// finite number, [`DegreeDaysError::Cap`] for a cap that does not lie above the base.
    ///
    /// ```
    /// use fairspell::{plant::{DegreeDays, Method}, quantity::Unit};
    /// let clamped = DegreeDays::new(Method::Clamped, 50.0, None, Unit::Fahrenheit)?;
    /// assert_eq!(clamped.of(30.0, 60.0), 5.0);
    /// assert_eq!(DegreeDays::new(Method::Simple, 50.0, None, Unit::Fahrenheit)?.of(30.0, 60.0), 0.0);
    /// assert!(DegreeDays::new(Method::Sine, 50.0, Some(40.0), Unit::Fahrenheit).is_err());
    /// # Ok::<(), fairspell::error::DegreeDaysError>(())
    /// ```
    pub fn new(
        method: Method,
        base: f64,
        cap: Option<f64>,
        unit: Unit,
    ) -> Result<Self, DegreeDaysError> {
        if unit.kind() != Kind::Temperature {
            let (expected, found) = (Kind::Temperature.expected(), unit.symbol());
            return Err(DegreeDaysError::Unit { expected, found });
        }
        if !base.is_finite() || cap.is_some_and(|cap| !cap.is_finite()) {
            return Err(DegreeDaysError::Base);
        }
        if let Some(cap) = cap.filter(|cap| *cap <= base) {
            return Err(DegreeDaysError::Cap { base, cap });
        }
        Ok(Self::known(method, base, cap, unit))
    }

    /// The same for numbers that stand in this module's tables.
    pub(super) const fn known(method: Method, base: f64, cap: Option<f64>, unit: Unit) -> Self {
        Self {
            method,
            base,
            cap,
            unit,
        }
    }

    /// How the heat is reckoned.
    #[must_use]
    pub fn method(self) -> Method {
        self.method
    }

    /// The base, in [`Self::unit`].
    #[must_use]
    pub fn base(self) -> f64 {
        self.base
    }

    /// The cap, in [`Self::unit`].
    #[must_use]
    pub fn cap(self) -> Option<f64> {
        self.cap
    }

    /// The unit of base, cap and extremes.
    #[must_use]
    pub fn unit(self) -> Unit {
        self.unit
    }

    /// Degree days of a day with these extremes, in [`Self::unit`]; never below 0.
    ///
    /// NaN, unknown, where an extreme is not a finite number or the minimum lies above the maximum: a reader refuses
    /// such a day, and a wrong day is worth no more than a missing one. NaN as well where the heat is beyond floating
    /// point, as between a base and extremes of 10³⁰⁸. Error below 1e-12 degrees between the coldest and the warmest air.
    ///
    /// Without a cap, simple ≤ sine ≤ clamped. With one, simple and clamped cut off the mean and the extremes, and the
    /// sine takes the area above the base less the area above the cap.
    ///
    /// ```
    /// use fairspell::{plant::{DegreeDays, Method}, quantity::Unit};
    /// let sine = DegreeDays::new(Method::Sine, 50.0, None, Unit::Fahrenheit)?;
    /// assert!((sine.of(49.0, 51.0) - 1.0 / std::f64::consts::PI).abs() < 1e-15); // the project's handbook, §6
    /// assert!(sine.of(f64::NAN, 51.0).is_nan());
    /// assert!(sine.of(52.0, 51.0).is_nan());
    /// # Ok::<(), fairspell::error::DegreeDaysError>(())
    /// ```
    #[must_use]
    pub fn of(self, tmin: f64, tmax: f64) -> f64 {
        if !(tmin.is_finite() && tmax.is_finite() && tmin <= tmax) {
            return f64::NAN;
        }
        let cap = self.cap.unwrap_or(f64::INFINITY);
        let cut = |temperature: f64| temperature.max(self.base).min(cap) - self.base;
        let heat = match self.method {
            Method::Simple => cut(f64::midpoint(tmin, tmax)),
            Method::Clamped => f64::midpoint(cut(tmin), cut(tmax)),
            Method::Sine => {
                let above_cap = self.cap.map_or(0.0, |cap| sine_above(cap, tmin, tmax));
                sine_above(self.base, tmin, tmax) - above_cap
            }
        };
        // Before `max`, which would take a NaN for 0: no heat at all.
        if heat.is_finite() {
            heat.max(0.0)
        } else {
            f64::NAN
        }
    }
}

/// Mean height above `base` of a sine between `tmin` and `tmax`.
///
/// Baskerville & Emin 1969: ((m − b)·(π/2 − q) + a·cos q)/π with q = asin((b − m)/a), mean m and amplitude a.
fn sine_above(base: f64, tmin: f64, tmax: f64) -> f64 {
    if tmax <= base {
        return 0.0;
    }
    let mean = f64::midpoint(tmin, tmax);
    if tmin >= base {
        return mean - base;
    }
    let amplitude = tmax - mean; // above 0: the base lies between the extremes
    let sine = ((base - mean) / amplitude).clamp(-1.0, 1.0); // rounding may push it past 1
    let cosine = (1.0 - sine * sine).sqrt();
    let area = (mean - base) * (FRAC_PI_2 - libm::asin(sine)) + amplitude * cosine;
    if area < 0.0 { 0.0 } else { area / PI }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(method: Method, base: f64, cap: Option<f64>, tmin: f64, tmax: f64) -> f64 {
        let degree_days = DegreeDays::new(method, base, cap, Unit::Fahrenheit).unwrap();
        degree_days.of(tmin, tmax)
    }

    fn assert_near(computed: f64, expected: f64, tolerance: f64) {
        assert!(
            (computed - expected).abs() <= tolerance,
            "computed {computed}, expected {expected}, tolerance {tolerance}"
        );
    }

    /// The project's handbook, §6, its table; the sine there checked by quadrature. Half of the last printed digit.
    #[test]
    fn degree_days_are_those_of_the_handbook() {
        let rows = [
            (28.0, 52.0, 50.0, 0.0, 1.0, 0.247_134),
            (30.0, 60.0, 50.0, 0.0, 5.0, 2.542_449),
            (45.0, 65.0, 50.0, 5.0, 7.5, 6.089_978),
            (50.0, 70.0, 50.0, 10.0, 10.0, 10.0),
            (20.0, 50.0, 50.0, 0.0, 0.0, 0.0),
            (35.0, 55.0, 41.36, 3.64, 6.82, 5.216_400),
            (28.0, 48.0, 41.36, 0.0, 3.32, 1.684_529),
            (40.0, 70.0, 43.0, 12.0, 13.5, 12.406_796),
            (49.0, 51.0, 50.0, 0.0, 0.5, core::f64::consts::FRAC_1_PI), // printed as 0.318310, 1/pi
            (60.0, 60.0, 50.0, 10.0, 10.0, 10.0),                       // amplitude 0
        ];
        for (tmin, tmax, base, simple, clamped, sine) in rows {
            assert_near(of(Method::Simple, base, None, tmin, tmax), simple, 1e-12);
            assert_near(of(Method::Clamped, base, None, tmin, tmax), clamped, 1e-12);
            assert_near(of(Method::Sine, base, None, tmin, tmax), sine, 0.000_000_5);
        }
    }

    /// Worked examples as printed. UC Statewide IPM, "A simple way to calculate degree-days", citrus: a mean of 64 °F
    /// over 53 °F gives 11. Cornell University, "Degree day report options": 46 and 67 °F over 50 °F give 6.5. Ohio
    /// State University, BYGL, March 2020: days of 61 and 67 °F over 50 °F give 5.5 and 8.5, with nights below the
    /// base. An R package of general formulas, `TrenchR` 1.1, help page and test of `degree_days`: 7 and 14 °C between
    /// 12 and 33 °C, single sine, give 0.47.
    #[test]
    fn published_worked_examples_come_out() {
        assert_near(of(Method::Simple, 53.0, None, 50.0, 78.0), 11.0, 1e-12);
        assert_near(of(Method::Simple, 50.0, None, 46.0, 67.0), 6.5, 1e-12);
        assert_near(of(Method::Clamped, 50.0, None, 33.0, 61.0), 5.5, 1e-12);
        assert_near(of(Method::Clamped, 50.0, None, 41.0, 67.0), 8.5, 1e-12);
        assert_near(of(Method::Sine, 12.0, Some(33.0), 7.0, 14.0), 0.47, 0.005);
    }

    /// Integral of the height between base and cap under the sine, by Simpson's rule on 20,000 steps over half a turn.
    fn quadrature(base: f64, cap: f64, tmin: f64, tmax: f64) -> f64 {
        const STEPS: u32 = 20_000;
        let (mean, amplitude) = (f64::midpoint(tmin, tmax), (tmax - tmin) / 2.0);
        let sum: f64 = (0..=STEPS)
            .map(|step| {
                let angle = PI * (f64::from(step) / f64::from(STEPS) - 0.5);
                let height = (mean + amplitude * libm::sin(angle)).clamp(base, cap) - base;
                let weight = match step {
                    0 | STEPS => 1.0,
                    odd if odd % 2 == 1 => 4.0,
                    _ => 2.0,
                };
                weight * height
            })
            .sum();
        sum / (3.0 * f64::from(STEPS))
    }

    /// An independent numeric integral. Simpson's rule meets a kink with an error of the order of its step squared:
    /// 1e-6.
    #[test]
    fn the_sine_is_the_integral_under_a_sine_with_and_without_a_cap() {
        for tmin in [-40, -5, 0, 10, 12, 30] {
            for range in [0, 1, 7, 20, 41] {
                let (tmin, tmax) = (f64::from(tmin), f64::from(tmin + range));
                for (base, cap) in [(0.0, 30.0), (5.2, 12.5), (10.0, 11.0), (-3.0, 99.0)] {
                    let expected = quadrature(base, cap, tmin, tmax);
                    assert_near(
                        of(Method::Sine, base, Some(cap), tmin, tmax),
                        expected,
                        1e-6,
                    );
                    let uncut = quadrature(base, 1e3, tmin, tmax);
                    assert_near(of(Method::Sine, base, None, tmin, tmax), uncut, 1e-6);
                }
            }
        }
    }

    /// The project's handbook, §13: 24 values of the sine at mid-hour, each cut off at the base, give the same to
    /// 0.02.
    #[test]
    fn twenty_four_hours_of_the_sine_give_the_same_to_0_02() {
        for (tmin, tmax, base) in [(28.0, 52.0, 50.0), (30.0, 60.0, 50.0), (35.0, 55.0, 41.36)] {
            let hours = (0..24).map(|hour| {
                let angle = 2.0 * PI * (f64::from(hour) + 0.5) / 24.0;
                let height = f64::midpoint(tmin, tmax) + (tmax - tmin) / 2.0 * libm::sin(angle);
                (height - base).max(0.0)
            });
            let expected = hours.sum::<f64>() / 24.0;
            assert_near(of(Method::Sine, base, None, tmin, tmax), expected, 0.02);
        }
    }

    /// Found by search: a base one step above the minimum makes (b − m)/a −1.0000000000000004 in binary, for which
    /// asin and the root are no numbers. The area is then all but the mean less the base, as it is for a base at the
    /// minimum.
    #[test]
    fn rounding_past_the_end_of_the_sine_gives_no_nan() {
        let (tmin, tmax) = (1.896_937_782_867_255, 6.339_021_435_825_706);
        let base = 1.896_937_782_867_255_1;
        let mean = f64::midpoint(tmin, tmax);
        assert!((base - mean) / (tmax - mean) < -1.0);
        let computed = of(Method::Sine, base, None, tmin, tmax);
        assert_near(computed, mean - tmin, 1e-12);
    }

    /// By hand. Extremes 40 and 70 °F, base 50, cap 60 °F: mean 55 above 50; (50 + 60)/2 above 50. 50 and 90 °F: mean
    /// 70 is cut to 60; (50 + 60)/2 again.
    #[test]
    fn a_cap_cuts_off_the_mean_or_each_extreme() {
        let cap = Some(60.0);
        assert_near(of(Method::Simple, 50.0, cap, 40.0, 70.0), 5.0, 1e-12);
        assert_near(of(Method::Clamped, 50.0, cap, 40.0, 70.0), 5.0, 1e-12);
        assert_near(of(Method::Simple, 50.0, cap, 50.0, 90.0), 10.0, 1e-12);
        assert_near(of(Method::Clamped, 50.0, cap, 50.0, 90.0), 5.0, 1e-12);
        for method in [Method::Simple, Method::Clamped, Method::Sine] {
            assert_near(of(method, 50.0, cap, 70.0, 80.0), 10.0, 1e-12); // always above the cap
        }
    }

    /// Contract, promise 1.
    #[test]
    fn what_is_no_day_is_unknown() {
        for method in [Method::Simple, Method::Clamped, Method::Sine] {
            for (tmin, tmax) in [
                (f64::NAN, 60.0),
                (40.0, f64::NAN),
                (60.0, 40.0),
                (40.0, f64::INFINITY),
            ] {
                assert!(of(method, 50.0, None, tmin, tmax).is_nan(), "{tmin} {tmax}");
            }
        }
    }

    #[test]
    fn a_base_or_cap_that_cannot_be_is_refused() {
        let new = |base, cap, unit| DegreeDays::new(Method::Sine, base, cap, unit);
        let celsius = Unit::Celsius;
        assert_eq!(new(f64::NAN, None, celsius), Err(DegreeDaysError::Base));
        assert_eq!(
            new(0.0, Some(f64::INFINITY), celsius),
            Err(DegreeDaysError::Base)
        );
        let message = |result: Result<DegreeDays, DegreeDaysError>| result.unwrap_err().to_string();
        assert_eq!(
            message(new(10.0, Some(10.0), celsius)),
            "expected a cap above the base 10, found 10"
        );
        assert_eq!(
            message(new(10.0, None, Unit::Millimetre)),
            "expected a temperature such as \"40 °F\" or \"4.5 °C\" as the base of degree days, found a number in mm"
        );
    }
}
