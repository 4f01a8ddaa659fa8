//! Sums of degree days over a record: the sum between any two days at once, and the day on which one is reached.
//!
//! Source: the contract, §5, for missing days; the project's handbook, §6.

use chrono::NaiveDate;

use super::degree_days::DegreeDays;
use super::gaps;
use crate::series::DailySeries;

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
        let days = gaps::days(record, degree_days.unit())?;
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
    use crate::plant::Method;
    use crate::quantity::Unit;

    fn assert_near(computed: f64, expected: f64, tolerance: f64) {
        assert!(
            (computed - expected).abs() <= tolerance,
            "computed {computed}, expected {expected}, tolerance {tolerance}"
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
