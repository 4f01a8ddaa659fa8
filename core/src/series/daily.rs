//! Days in a row at one station: minima and maxima, missing kept as missing.

use chrono::NaiveDate;

use crate::error::SeriesError;
use crate::quantity::{Kind, Unit};

/// Most days a series may have: 400 years, so that a slip in a date cannot ask for all memory. Ours.
pub const MAX_DAYS: usize = 400 * 366;

/// Daily temperatures of one station, a day after another without a gap; NaN is missing.
#[derive(Debug, Clone, PartialEq)]
pub struct DailySeries {
    station: String,
    first: NaiveDate,
    tmin: Vec<f64>,
    tmax: Option<Vec<f64>>,
    unit: Unit,
    is_whole_fahrenheit: bool,
}

impl DailySeries {
    /// Minima from the day `first` on, in °C or °F.
    ///
    /// `is_whole_fahrenheit`: the observer read whole °F and the archive stores them converted to °C, so that
    /// thresholds in °F meet the whole degree again.
    ///
    /// # Errors
    /// [`SeriesError::Empty`], [`SeriesError::TooLong`], [`SeriesError::Unit`].
    ///
    /// ```
    /// use chrono::NaiveDate;
    /// use fairspell::{quantity::Unit, series::DailySeries};
    /// let first = NaiveDate::from_ymd_opt(2027, 4, 1).unwrap();
    /// let record = DailySeries::new("S1", first, vec![-2.2, f64::NAN], Unit::Celsius, true)?;
    /// assert_eq!(record.tmin_f(0), Some(28.0)); // stored as -2.2 °C = 28.04 °F, read as 28 °F
    /// assert_eq!(record.tmin_f(1), None);
    /// # Ok::<(), fairspell::error::SeriesError>(())
    /// ```
    pub fn new(
        station: &str,
        first: NaiveDate,
        tmin: Vec<f64>,
        unit: Unit,
        is_whole_fahrenheit: bool,
    ) -> Result<Self, SeriesError> {
        if unit.kind() != Kind::Temperature {
            let expected = Kind::Temperature.expected();
            return Err(SeriesError::Unit {
                expected,
                of: "minimum",
                found: unit.symbol(),
            });
        }
        match tmin.len() {
            0 => Err(SeriesError::Empty),
            found if found > MAX_DAYS => Err(SeriesError::TooLong {
                limit: MAX_DAYS,
                found,
            }),
            _ => {
                let station = station.to_owned();
                Ok(Self {
                    station,
                    first,
                    tmin,
                    tmax: None,
                    unit,
                    is_whole_fahrenheit,
                })
            }
        }
    }

    /// Adds maxima, one a day, in the unit of the minima.
    ///
    /// # Errors
    /// [`SeriesError::Length`].
    pub fn set_tmax(&mut self, tmax: Vec<f64>) -> Result<(), SeriesError> {
        if tmax.len() != self.tmin.len() {
            return Err(SeriesError::Length {
                expected: self.tmin.len(),
                found: tmax.len(),
            });
        }
        self.tmax = Some(tmax);
        Ok(())
    }

    /// The station's name in the file; empty where the file has none.
    #[must_use]
    pub fn station(&self) -> &str {
        &self.station
    }

    /// The first day.
    #[must_use]
    pub fn first(&self) -> NaiveDate {
        self.first
    }

    /// Number of days.
    #[must_use]
    pub fn days(&self) -> usize {
        self.tmin.len()
    }

    /// Minima in [`Self::unit`], NaN missing.
    #[must_use]
    pub fn tmin(&self) -> &[f64] {
        &self.tmin
    }

    /// Maxima in [`Self::unit`], NaN missing, if the record has them.
    #[must_use]
    pub fn tmax(&self) -> Option<&[f64]> {
        self.tmax.as_deref()
    }

    /// The unit of minima and maxima.
    #[must_use]
    pub fn unit(&self) -> Unit {
        self.unit
    }

    /// Whether the archive stores whole °F converted to °C.
    #[must_use]
    pub fn is_whole_fahrenheit(&self) -> bool {
        self.is_whole_fahrenheit
    }

    /// Minimum of a day \[°F\], brought back to the whole degree where the archive stores converted whole degrees.
    #[must_use]
    pub fn tmin_f(&self, day: usize) -> Option<f64> {
        let value = self
            .tmin
            .get(day)
            .copied()
            .filter(|value| !value.is_nan())?;
        let fahrenheit = self.unit.convert(value, Unit::Fahrenheit);
        Some(if self.is_whole_fahrenheit {
            (fahrenheit + 0.5).floor()
        } else {
            fahrenheit
        })
    }

    /// Number of a date in the series; may lie before 0 or past the end.
    #[must_use]
    pub fn day_of(&self, date: NaiveDate) -> i64 {
        date.signed_duration_since(self.first).num_days()
    }
}
