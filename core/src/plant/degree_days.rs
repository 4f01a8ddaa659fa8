//! Degree days of a day, by three methods, and their sums over a record.
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

use chrono::NaiveDate;

use super::gaps;
use crate::error::DegreeDaysError;
use crate::quantity::{Kind, Unit};
use crate::series::DailySeries;

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
    /// such a day, and a wrong day is worth no more than a missing one.
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
        match self.method {
            Method::Simple => cut(f64::midpoint(tmin, tmax)),
            Method::Clamped => f64::midpoint(cut(tmin), cut(tmax)),
            Method::Sine => {
                let above_cap = self.cap.map_or(0.0, |cap| sine_above(cap, tmin, tmax));
                (sine_above(self.base, tmin, tmax) - above_cap).max(0.0)
            }
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
    (area / PI).max(0.0)
}

/// Steps of a sum: a degree day in whole billionths.
///
/// Whole numbers, so that the sum from one day to another is the same bits whatever the record holds before it, and a
/// sum of tenths of a degree meets its target exactly. The rounding is at most half a billionth a day.
const STEPS: f64 = 1e9;

/// Running sums of degree days over a record: the sum between any two days at once.
///
/// A single missing day is filled by its neighbours' mean and counted; a longer gap makes every sum over it unknown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DegreeDaySums {
    first: NaiveDate,
    /// Steps before each day, and past the last; unknown days add nothing.
    steps: Vec<i64>,
    /// Unknown days before each day, and past the last.
    unknown: Vec<u32>,
    /// Filled days before each day, and past the last.
    filled: Vec<u32>,
}

/// When a sum reaches a target.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reached {
    /// At the end of this day of the record, counted from 0.
    On(usize),
    /// Not within the days that were asked for, all of them known.
    Not,
    /// A day that is needed is missing or lies past the end of the record.
    Unknown,
}

impl DegreeDaySums {
    /// The sums of a record; `None` if it has no maxima.
    ///
    /// Temperatures are brought to the unit of `degree_days`; converted whole °F meet the whole degree again where
    /// that is °F. For each missing extreme of a single missing day stands the mean of its two neighbours; a day whose
    /// minimum lies above its maximum is missing. A gap of two days and more, and one at either end, stays unknown.
    ///
    /// ```
    /// use chrono::NaiveDate;
    /// use fairspell::{plant::{DegreeDaySums, DegreeDays, Method, Reached}, quantity::Unit, series::DailySeries};
    /// let first = NaiveDate::from_ymd_opt(2027, 3, 1).unwrap();
    /// let mut record = DailySeries::new("S1", first, vec![30.0; 4], Unit::Fahrenheit, false)?;
    /// record.set_tmax(vec![60.0, f64::NAN, 64.0, 64.0])?; // 5, filled by 62: 6, 7, 7 degree days
    /// let clamped = DegreeDays::new(Method::Clamped, 50.0, None, Unit::Fahrenheit)?;
    /// let sums = DegreeDaySums::of(&record, clamped).unwrap();
    /// assert_eq!(sums.between(0, 3), Some(18.0));
    /// assert_eq!(sums.filled_between(0, 3), 1);
    /// assert_eq!(sums.reached(0, 4, 11.0), Reached::On(1));
    /// assert_eq!(sums.reached(1, 4, 30.0), Reached::Not);
    /// assert_eq!(sums.reached(1, 9, 30.0), Reached::Unknown); // the record ends
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn of(record: &DailySeries, degree_days: DegreeDays) -> Option<Self> {
        let days = gaps::days(record, degree_days.unit)?;
        let (mut steps, mut unknown, mut filled) = (vec![0], vec![0], vec![0]);
        let (mut sum, mut gaps, mut fills) = (0_i64, 0_u32, 0_u32);
        for ((tmin, tmax), is_filled) in days.tmin.iter().zip(&days.tmax).zip(&days.is_filled) {
            match whole_steps(degree_days.of(*tmin, *tmax)) {
                Some(day) => sum = sum.saturating_add(day),
                None => gaps += 1,
            }
            fills += u32::from(*is_filled);
            steps.push(sum);
            unknown.push(gaps);
            filled.push(fills);
        }
        Some(Self {
            first: record.first(),
            steps,
            unknown,
            filled,
        })
    }

    /// The first day.
    #[must_use]
    pub fn first(&self) -> NaiveDate {
        self.first
    }

    /// Number of days.
    #[must_use]
    pub fn days(&self) -> usize {
        self.steps.len() - 1 // it begins with the 0 before the first day
    }

    /// Sum of the days from `from` to before `until`, counted from 0; `None` if one of them is unknown, or past the
    /// end.
    #[must_use]
    pub fn between(&self, from: usize, until: usize) -> Option<f64> {
        let is_known = rise(&self.unknown, from, until)? == 0;
        let steps = self.steps.get(until)? - self.steps.get(from)?;
        is_known.then_some(steps as f64 / STEPS)
    }

    /// How many of the days from `from` to before `until` were filled by their neighbours' mean.
    #[must_use]
    pub fn filled_between(&self, from: usize, until: usize) -> u32 {
        rise(&self.filled, from, until.min(self.days())).unwrap_or(0)
    }

    /// The first day by whose end the sum from the day `from` on is at least `target`, of the days before `until`.
    ///
    /// A search by halves in the column of sums, so that all starts of all winters of a long record are quickly done.
    /// A target of 0 or less is reached at the end of the first day.
    #[must_use]
    pub fn reached(&self, from: usize, until: usize, target: f64) -> Reached {
        let end = until.min(self.days());
        let (Some(before), Some(wanted)) = (self.steps.get(from), whole_steps(target)) else {
            return Reached::Unknown;
        };
        let wanted = before.saturating_add(wanted);
        let sums = self.steps.get(from + 1..=end).unwrap_or(&[]);
        let day = from + sums.partition_point(|sum| *sum < wanted);
        let is_known = rise(&self.unknown, from, end.min(day + 1)) == Some(0);
        match (day < end, is_known) {
            (true, true) => Reached::On(day),
            (false, true) if until <= self.days() => Reached::Not,
            (false, _) if from >= until => Reached::Not,
            _ => Reached::Unknown,
        }
    }
}

/// What is counted from `from` to before `until`; `None` if they are out of order or past the end.
fn rise(counts: &[u32], from: usize, until: usize) -> Option<u32> {
    let span = counts.get(from..=until)?;
    span.last()?.checked_sub(*span.first()?)
}

/// A sum in whole steps; `None` if it is not a number.
fn whole_steps(degree_days: f64) -> Option<i64> {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "whole, and far below 2^63 for any temperature; beyond, the cast saturates"
    )]
    let steps = (degree_days * STEPS).round() as i64;
    (!degree_days.is_nan()).then_some(steps)
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

    const MISSING: f64 = f64::NAN;

    fn sums(tmin: &[f64], tmax: &[f64], unit: Unit, is_whole: bool) -> DegreeDaySums {
        let first = NaiveDate::from_ymd_opt(2027, 1, 1).unwrap();
        let mut record = DailySeries::new("S1", first, tmin.to_vec(), unit, is_whole).unwrap();
        record.set_tmax(tmax.to_vec()).unwrap();
        let clamped = DegreeDays::new(Method::Clamped, 50.0, None, Unit::Fahrenheit).unwrap();
        DegreeDaySums::of(&record, clamped).unwrap()
    }

    /// The contract, §5: a single missing day takes its neighbours' mean and is counted; a longer gap is unknown. Day
    /// by day, clamped above 50 °F, nights of 40: 54 → 2; none → (2 + 4)/2 of its neighbours 54 and 58 → 3; 58 → 4;
    /// two missing; 60 → 5; a night of 70 above its day of 60: missing, filled from nights of 40 and days of 60 and 62
    /// → 5.5; 62 → 6; the last is missing and has no neighbour after it.
    #[test]
    fn one_missing_day_is_filled_and_counted_and_a_longer_gap_is_unknown() {
        let tmin = [40.0, 40.0, 40.0, MISSING, 40.0, 40.0, 70.0, 40.0, 40.0];
        let tmax = [
            54.0, MISSING, 58.0, 60.0, MISSING, 60.0, 60.0, 62.0, MISSING,
        ];
        let sums = sums(&tmin, &tmax, Unit::Fahrenheit, false);
        let known: Vec<Option<f64>> = (0..9).map(|day| sums.between(day, day + 1)).collect();
        let (some, none) = (Some::<f64>, None);
        let expected = [
            some(2.0),
            some(3.0),
            some(4.0),
            none,
            none,
            some(5.0),
            some(5.5),
            some(6.0),
            none,
        ];
        assert_eq!(known, expected);
        assert_eq!(sums.between(0, 3), Some(9.0));
        assert_eq!(sums.between(0, 4), None);
        assert_eq!(sums.between(5, 8), Some(16.5));
        assert_eq!(sums.between(8, 10), None); // past the end
        assert_eq!(sums.between(3, 2), None);
        assert_eq!(sums.between(3, 3), Some(0.0));
        assert_eq!(sums.filled_between(0, 9), 2);
        assert_eq!(sums.filled_between(2, 6), 0);
        assert_eq!(sums.reached(0, 3, 9.0), Reached::On(2));
        assert_eq!(sums.reached(0, 3, 9.000_001), Reached::Not);
        assert_eq!(sums.reached(0, 6, 9.000_001), Reached::Unknown); // over the gap
        assert_eq!(sums.reached(3, 6, 1.0), Reached::Unknown);
        assert_eq!(sums.reached(3, 6, 0.0), Reached::Unknown); // even a target of nothing
        assert_eq!(sums.reached(5, 9, 5.0), Reached::On(5)); // the gap after it does not matter
        assert_eq!(sums.reached(0, 9, 0.0), Reached::On(0));
        assert_eq!(sums.reached(0, 9, MISSING), Reached::Unknown);
        assert_eq!(sums.reached(20, 30, 1.0), Reached::Unknown);
    }

    /// An archive that stores whole °F in tenths of °C: 14.4 °C is 57.92 and was read as 58 °F, 4.4 °C as 40 °F.
    #[test]
    fn converted_whole_degrees_meet_the_whole_degree_again() {
        let whole = sums(&[4.4], &[14.4], Unit::Celsius, true);
        assert_eq!(whole.between(0, 1), Some(4.0));
        let tenths = sums(&[4.4], &[14.4], Unit::Celsius, false);
        assert_near(tenths.between(0, 1).unwrap(), 3.96, 1e-9);
    }

    /// Tenths of a degree are no binary fractions: a plain sum of them can miss its target by its last bits.
    #[test]
    fn a_sum_of_tenths_meets_its_target_exactly() {
        let plain: f64 = [0.1; 10].iter().sum();
        assert!(plain < 1.0);
        let sums = sums(&[50.0; 10], &[50.2; 10], Unit::Fahrenheit, false);
        assert_eq!(sums.between(0, 10), Some(1.0));
        assert_eq!(sums.reached(0, 10, 1.0), Reached::On(9));
    }
}
