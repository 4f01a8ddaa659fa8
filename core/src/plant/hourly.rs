//! Hourly temperatures from daily extremes and the length of the day: a sine by day, a logarithm by night.
//!
//! Source: D. E. Linvill 1990, Calculating chilling hours and chill units from daily maximum and minimum temperature
//! observations, `HortScience` 25, 14-16, by the project's handbook, §7 (from memory there). The branches for days
//! that the form does not fit are ours, and said with the function.

use core::f64::consts::PI;

use chrono::{Datelike as _, Days, NaiveDate};

use super::gaps;
use crate::quantity::Unit;
use crate::series::DailySeries;
use crate::sun::{day_length_hours, sun_times};

/// Hours from one sunrise to the next, all days alike.
const HOURS: u8 = 24;

/// Shortest and longest day that the published form fits \[h\].
///
/// The sine is at its top DL/2 + 2 h after sunrise: on a day of less than 4 h that is after sunset, and the maximum
/// would never come. With less than 1 h of night the logarithm has no room. The second by the project's handbook, the
/// first ours.
const FORM_HOURS: core::ops::Range<f64> = 4.0..23.0;

/// The extremes between which a day's temperatures run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extremes {
    /// Minimum at sunrise \[°C\].
    pub tmin_c: f64,
    /// Maximum in the afternoon \[°C\].
    pub tmax_c: f64,
    /// Minimum at the next sunrise \[°C\].
    pub next_tmin_c: f64,
}

impl Extremes {
    /// Temperature \[°C\] a number of hours after sunrise, 0 to 24, on a day of `day_length_h` hours; NaN where an
    /// extreme that it needs is missing, or the range between two of them beyond floating point.
    ///
    /// - By day: Tmin + (Tmax − Tmin)·sin(π·t/(DL + 4)).
    /// - By night: from sunset's temperature to the next minimum with the logarithm of the hours since sunset, of
    ///   which the first counts as one.
    /// - On a day shorter than 4 h or a night of 1 h and less (ours; polar days and nights among them): a sine over
    ///   the whole day, from the minimum at 0 h to the maximum at 12 h and down to the next minimum.
    ///
    /// ```
    /// use fairspell::plant::Extremes;
    /// let day = Extremes { tmin_c: 0.0, tmax_c: 12.0, next_tmin_c: 2.0 };
    /// assert!((day.after_sunrise_c(7.0, 10.5) - 11.9824).abs() < 0.000_05); // the project's handbook, §7
    /// ```
    #[must_use]
    pub fn after_sunrise_c(self, hours: f64, day_length_h: f64) -> f64 {
        let temperature_c = if FORM_HOURS.contains(&day_length_h) {
            self.by_form_c(hours, day_length_h)
        } else {
            self.whole_day_c(hours)
        };
        if temperature_c.is_finite() {
            temperature_c
        } else {
            f64::NAN
        }
    }

    /// By Linvill's form, where it fits.
    fn by_form_c(self, hours: f64, day_length_h: f64) -> f64 {
        let by_day_c = |hours: f64| {
            self.tmin_c + (self.tmax_c - self.tmin_c) * libm::sin(PI * hours / (day_length_h + 4.0))
        };
        if hours <= day_length_h {
            return by_day_c(hours);
        }
        let at_sunset_c = by_day_c(day_length_h);
        let since_sunset = (hours - day_length_h).max(1.0); // ln 0 in the first hour
        let share = libm::log(since_sunset) / libm::log(24.0 - day_length_h);
        at_sunset_c - (at_sunset_c - self.next_tmin_c) * share
    }

    fn whole_day_c(self, hours: f64) -> f64 {
        let lower_c = if hours < 12.0 {
            self.tmin_c
        } else {
            self.next_tmin_c
        };
        let rise = (1.0 - libm::cos(PI * hours / 12.0)) / 2.0;
        lower_c + (self.tmax_c - lower_c) * rise
    }
}

/// Hourly temperatures made from a daily record.
#[derive(Debug, Clone, PartialEq)]
pub struct HourlyFromDaily {
    /// Temperatures \[°C\], 24 a day from sunrise on, hour by hour; NaN unknown.
    pub temperatures_c: Vec<f64>,
    /// Days whose missing extremes were filled by their neighbours' mean.
    pub filled_days: usize,
}

/// Hourly temperatures of a record at a place, 24 a day counted from sunrise; `None` if the record has no maxima.
///
/// - `latitude_deg`, `longitude_deg`: as in [`sun_times`], which gives the length of each day.
///
/// The hours of a day begin at its sunrise, as if all days were 24 h apart: for chill and heat, which ask how many
/// hours were how warm, not for the clock. Missing days are filled and counted as in sums of degree days; a longer gap
/// leaves its hours unknown, and the night before it as well, whose end it would have given. So does the end of the
/// record: the last night is unknown. An observer who reads at 7 a.m. moves the minima by a day; that is not
/// corrected.
///
/// ```
/// use chrono::NaiveDate;
/// use fairspell::{plant::hourly_from_daily, quantity::Unit, series::DailySeries};
/// let first = NaiveDate::from_ymd_opt(2027, 2, 15).unwrap();
/// let mut record = DailySeries::new("S1", first, vec![0.0, 2.0], Unit::Celsius, false)?;
/// record.set_tmax(vec![12.0, 12.0])?;
/// let hourly = hourly_from_daily(&record, 42.95, -87.90).unwrap();
/// assert_eq!(hourly.temperatures_c.len(), 48);
/// assert_eq!(hourly.temperatures_c[24], 2.0);
/// assert!(hourly.temperatures_c[47].is_nan()); // no next minimum
/// # Ok::<(), fairspell::error::SeriesError>(())
/// ```
#[must_use]
pub fn hourly_from_daily(
    record: &DailySeries,
    latitude_deg: f64,
    longitude_deg: f64,
) -> Option<HourlyFromDaily> {
    let days = gaps::days(record, Unit::Celsius)?;
    let next = days.tmin.iter().copied().skip(1).chain([f64::NAN]);
    let mut temperatures_c = Vec::with_capacity(days.tmin.len() * usize::from(HOURS));
    for (day, ((tmin_c, tmax_c), next_tmin_c)) in
        days.tmin.iter().zip(&days.tmax).zip(next).enumerate()
    {
        let extremes = Extremes {
            tmin_c: *tmin_c,
            tmax_c: *tmax_c,
            next_tmin_c,
        };
        let date = u64::try_from(day)
            .ok()
            .and_then(|day| record.first().checked_add_days(Days::new(day)));
        let length_h = date.map_or(f64::NAN, |date| length_h(date, latitude_deg, longitude_deg));
        temperatures_c
            .extend((0..HOURS).map(|hour| extremes.after_sunrise_c(f64::from(hour), length_h)));
    }
    Some(HourlyFromDaily {
        temperatures_c,
        filled_days: days
            .is_filled
            .iter()
            .filter(|is_filled| **is_filled)
            .count(),
    })
}

fn length_h(date: NaiveDate, latitude_deg: f64, longitude_deg: f64) -> f64 {
    day_length_hours(&sun_times(
        latitude_deg,
        longitude_deg,
        date.year(),
        date.month(),
        date.day(),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn assert_near(computed: f64, expected: f64, tolerance: f64) {
        assert!(
            (computed - expected).abs() <= tolerance,
            "computed {computed}, expected {expected}, tolerance {tolerance}"
        );
    }

    const MILD: Extremes = Extremes {
        tmin_c: 0.0,
        tmax_c: 12.0,
        next_tmin_c: 2.0,
    };

    /// The project's handbook, §7, computed there: Tmin 0, Tmax 12, next Tmin 2 °C, a day of 10.5 h.
    #[test]
    fn the_hours_of_a_day_are_those_of_the_handbook() {
        let printed_c = [
            0.0, 2.5796, 5.0387, 7.2621, 9.1459, 10.6021, 11.5626, 11.9824, 11.8419, 11.1477,
            9.9323, 9.1459, 8.0327, 6.6302, 5.7064, 5.0163, 4.4654, 4.0067, 3.6138, 3.2702, 2.9648,
            2.6900, 2.4402, 2.2113,
        ];
        for (hour, printed_c) in (0_u8..24).zip(printed_c) {
            assert_near(
                MILD.after_sunrise_c(f64::from(hour), 10.5),
                printed_c,
                0.000_05,
            );
        }
    }

    /// By the form itself: 24 h after sunrise it is the next sunrise, with the next day's minimum.
    #[test]
    fn a_day_ends_at_the_next_minimum() {
        for day_length_h in [0.0, 3.9, 4.0, 8.0, 12.0, 16.0, 22.9, 23.0, 24.0] {
            assert_near(MILD.after_sunrise_c(0.0, day_length_h), 0.0, 1e-12);
            assert_near(MILD.after_sunrise_c(24.0, day_length_h), 2.0, 1e-12);
        }
    }

    /// Every hour lies within the day's extremes, and the maximum comes to within what an hour's step leaves of it; on
    /// polar days and nights as well, on which the published form would not reach it or divide by 0.
    #[test]
    fn hours_stay_within_the_extremes_and_the_maximum_comes() {
        for tenths in 0_u16..=240 {
            let day_length_h = f64::from(tenths) / 10.0;
            let hours = (0_u8..24).map(|hour| MILD.after_sunrise_c(f64::from(hour), day_length_h));
            let hours: Vec<f64> = hours.collect();
            assert!(
                hours.iter().all(|hour_c| (0.0..=12.0).contains(hour_c)),
                "{day_length_h}"
            );
            let warmest_c = hours.iter().copied().fold(f64::MIN, f64::max);
            assert!(warmest_c > 11.5, "{day_length_h}: {warmest_c}");
        }
    }

    #[test]
    fn a_missing_extreme_leaves_only_what_it_touches_unknown() {
        let no_next = Extremes {
            next_tmin_c: f64::NAN,
            ..MILD
        };
        assert_near(no_next.after_sunrise_c(10.0, 10.5), 9.9323, 0.000_05);
        assert!(no_next.after_sunrise_c(11.0, 10.5).is_nan());
        assert!(no_next.after_sunrise_c(13.0, 24.0).is_nan());
        let no_maximum = Extremes {
            tmax_c: f64::NAN,
            ..MILD
        };
        assert!((0_u8..24).all(|hour| no_maximum.after_sunrise_c(f64::from(hour), 10.5).is_nan()));
    }

    fn hourly(days: &[(f64, f64)], first: (i32, u32, u32), latitude_deg: f64) -> HourlyFromDaily {
        let first = NaiveDate::from_ymd_opt(first.0, first.1, first.2).unwrap();
        let (tmin, tmax) = days.iter().copied().unzip();
        let mut record = DailySeries::new("S1", first, tmin, Unit::Celsius, false).unwrap();
        record.set_tmax(tmax).unwrap();
        hourly_from_daily(&record, latitude_deg, 0.0).unwrap()
    }

    /// The contract, §5, for a missing day; the handbook's trap of the last day.
    #[test]
    fn single_days_are_filled_and_gaps_and_the_last_night_are_unknown() {
        let (day, missing) = ((0.0, 10.0), (f64::NAN, f64::NAN));
        let hourly = hourly(
            &[day, missing, day, missing, missing, day],
            (2027, 3, 20),
            45.0,
        );
        assert_eq!(hourly.filled_days, 1);
        let known = |day: usize| {
            let hours = &hourly.temperatures_c[24 * day..24 * (day + 1)];
            hours.iter().filter(|hour_c| !hour_c.is_nan()).count()
        };
        // The day is 12.2 h long at the equinox: hours 0 to 12 are by day.
        assert_eq!([0, 1, 2, 3, 4, 5].map(known), [24, 24, 13, 0, 0, 13]);
    }

    /// The length of the day is the date's own: at 60° north the shortest day has 5.9 h (hours 0 to 5 before sunset),
    /// the longest 18.9 h; NOAA Solar Calculator by `sun`.
    #[test]
    fn the_length_of_the_day_is_that_of_date_and_place() {
        let day = (0.0, 10.0);
        for (first, latitude_deg, by_day) in [
            ((2026, 12, 21), 60.0, 6),
            ((2027, 6, 21), 60.0, 19),
            ((2027, 6, 21), -60.0, 6),
            ((2027, 6, 21), 80.0, 12), // polar day: the half before the maximum knows no next minimum
        ] {
            let hourly = hourly(&[day], first, latitude_deg);
            let known = hourly
                .temperatures_c
                .iter()
                .filter(|hour_c| !hour_c.is_nan());
            assert_eq!(known.count(), by_day, "{first:?} {latitude_deg}");
        }
    }
}
