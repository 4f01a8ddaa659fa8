//! Growing degree hours: heat from hourly temperatures, with an optimum and an upper end.
//!
//! Source: J. L. Anderson, E. A. Richardson & C. D. Kesner 1986, Acta Hortic. 184, 71-78, by the project's handbook,
//! §8 (constants from memory there, confirmed by nothing else).

use core::f64::consts::{FRAC_PI_2, PI};

use super::chill::running;

/// Base, optimum and upper end \[°C\].
const BASE_C: f64 = 4.0;
const OPTIMUM_C: f64 = 25.0;
const UPPER_C: f64 = 36.0;

/// Growing degree hours of an hour at `temperature_c` \[°C·h\]: 0 at 4 °C and below, 21 at 25 °C, 0 from 36 °C on.
///
/// NaN stays NaN. Error of calculation below 1e-13.
///
/// ```
/// use fairspell::plant::growing_degree_hours_of;
/// assert_eq!(growing_degree_hours_of(25.0), 21.0);
/// assert_eq!(growing_degree_hours_of(40.0), 0.0);
/// ```
#[must_use]
pub fn growing_degree_hours_of(temperature_c: f64) -> f64 {
    let (width, upper_width) = (OPTIMUM_C - BASE_C, UPPER_C - OPTIMUM_C);
    let above = temperature_c - BASE_C;
    let past = temperature_c - OPTIMUM_C;
    if temperature_c.is_nan() {
        f64::NAN
    } else if temperature_c <= BASE_C || temperature_c >= UPPER_C {
        0.0
    } else if temperature_c <= OPTIMUM_C {
        width / 2.0 * (1.0 + libm::cos(PI + PI * above / width))
    } else {
        width * (1.0 + libm::cos(FRAC_PI_2 + FRAC_PI_2 * past / upper_width))
    }
}

/// Running sum of growing degree hours \[°C·h\] of hourly temperatures in °C; NaN from the first missing hour on.
///
/// ```
/// use fairspell::plant::growing_degree_hours;
/// assert!(growing_degree_hours(&[25.0, f64::NAN, 25.0])[2].is_nan());
/// ```
#[must_use]
pub fn growing_degree_hours(temperatures_c: &[f64]) -> Vec<f64> {
    running(temperatures_c, growing_degree_hours_of)
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "0 and the top of the curve are exact")]
mod tests {
    use super::*;

    /// The project's handbook, §8, computed there. Half of the last printed digit.
    #[test]
    fn degree_hours_are_those_of_the_handbook() {
        let rows = [
            (6.0, 0.466_486),
            (10.0, 3.953_357),
            (14.5, 10.5),
            (20.0, 18.197_045),
            (25.0, 21.0),
            (30.0, 7.247_925),
        ];
        for (temperature_c, printed) in rows {
            let computed = growing_degree_hours_of(temperature_c);
            assert!(
                (computed - printed).abs() <= 0.000_000_5,
                "{temperature_c} {computed}"
            );
        }
        for outside_c in [-20.0, 0.0, 4.0, 36.0, 45.0] {
            assert_eq!(growing_degree_hours_of(outside_c), 0.0, "{outside_c}");
        }
    }

    /// The form is continuous at base, optimum and upper end.
    #[test]
    fn there_is_no_jump_where_the_branches_meet() {
        for meeting_c in [4.0, 25.0, 36.0] {
            let (below, above) = (meeting_c - 1e-9, meeting_c + 1e-9);
            let jump = growing_degree_hours_of(above) - growing_degree_hours_of(below);
            assert!(jump.abs() < 1e-7, "{meeting_c} {jump}");
        }
    }

    #[test]
    fn sums_run_on_and_a_gap_ends_them() {
        let sums = growing_degree_hours(&[25.0, 0.0, 14.5, f64::NAN, 25.0]);
        assert_eq!(sums[1], 21.0);
        assert!((sums[2] - 31.5).abs() < 1e-12);
        assert!(sums[3].is_nan() && sums[4].is_nan());
    }
}
