//! Days in a row at one station: minima and maxima, missing kept as missing.

use chrono::{DateTime, NaiveDate};
use chrono_tz::Tz;

use super::{Element, HOUR_S, HourlySeries};
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

    /// Extremes of the days of a zone's clock, from hours; the station has no name.
    ///
    /// An hour belongs to the day in which it begins, so that a day has 23, 24 or 25 of them. A day is missing where
    /// one of its hours is, at the ends of the series too. An hour known between bounds gives its least value to the
    /// minimum and its greatest to the maximum. Hourly values lie within what a thermometer of extremes shows.
    ///
    /// # Errors
    /// [`SeriesError::Empty`] for hours without temperatures or outside the calendar, [`SeriesError::TooLong`].
    ///
    /// ```
    /// use fairspell::{quantity::Unit, series::{Column, DailySeries, Element, HourlySeries}};
    /// let mut hours = HourlySeries::new(0, vec![true; 30])?; // 1 January 1970 and six hours of the next day
    /// let values = (0..30).map(f64::from).collect();
    /// hours.set_column(Element::Temperature, Column::exact(values, Unit::Celsius))?;
    /// let days = DailySeries::of_hours(&hours, chrono_tz::UTC)?;
    /// assert_eq!((days.tmin()[0], days.tmax().map(|tmax| tmax[0])), (0.0, Some(23.0)));
    /// assert!(days.tmin()[1].is_nan()); // not whole
    /// # Ok::<(), fairspell::error::SeriesError>(())
    /// ```
    pub fn of_hours(hours: &HourlySeries, zone: Tz) -> Result<Self, SeriesError> {
        let column = hours.column(Element::Temperature);
        let column = column.ok_or(SeriesError::Empty)?;
        let unit = column.single_unit().unwrap_or(Unit::Celsius);
        let date = |hour: usize| local_day(hours.time(hour), zone).ok_or(SeriesError::Empty);
        let first = date(0)?;
        let mut days = Extremes::default();
        if local_day(hours.start() - HOUR_S, zone) == Some(first) {
            days.spoil(0);
        }
        for hour in 0..hours.hours() {
            let day = date(hour)?.signed_duration_since(first).num_days();
            let day = usize::try_from(day).map_err(|_| SeriesError::Empty)?;
            match column.at(hour, unit) {
                Some(bounds) => days.take(day, bounds),
                None => days.spoil(day),
            }
        }
        if let Some(last) = days.tmin.len().checked_sub(1)
            && local_day(hours.end(), zone) == Some(date(hours.hours().saturating_sub(1))?)
        {
            days.spoil(last);
        }
        let mut series = Self::new("", first, days.tmin, unit, false)?;
        series.set_tmax(days.tmax)?;
        Ok(series)
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

/// Extremes of days in the making; NaN: a day that lacks an hour.
#[derive(Default)]
struct Extremes {
    tmin: Vec<f64>,
    tmax: Vec<f64>,
}

impl Extremes {
    /// Makes room up to a day; a day that the clock skips is missing.
    fn reach(&mut self, day: usize) {
        while self.tmin.len() <= day {
            let is_own = self.tmin.len() == day;
            let (least, greatest) = if is_own {
                (f64::INFINITY, f64::NEG_INFINITY)
            } else {
                (f64::NAN, f64::NAN)
            };
            self.tmin.push(least);
            self.tmax.push(greatest);
        }
    }

    fn take(&mut self, day: usize, (low, high): (f64, f64)) {
        self.reach(day);
        if let (Some(least), Some(greatest)) = (self.tmin.get_mut(day), self.tmax.get_mut(day))
            && !least.is_nan()
        {
            *least = least.min(low);
            *greatest = greatest.max(high);
        }
    }

    fn spoil(&mut self, day: usize) {
        self.reach(day);
        if let (Some(least), Some(greatest)) = (self.tmin.get_mut(day), self.tmax.get_mut(day)) {
            (*least, *greatest) = (f64::NAN, f64::NAN);
        }
    }
}

/// The day of a zone's clock; `None` outside the calendar.
fn local_day(unix_s: i64, zone: Tz) -> Option<NaiveDate> {
    let time = DateTime::from_timestamp(unix_s, 0)?;
    Some(time.with_timezone(&zone).date_naive())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::series::Column;

    const NEW_YORK: Tz = Tz::America__New_York;

    fn hours(start: &str, values: Vec<f64>) -> HourlySeries {
        let start = DateTime::parse_from_rfc3339(start).unwrap().timestamp();
        let has_row = values.iter().map(|value| !value.is_nan()).collect();
        let mut hours = HourlySeries::new(start, has_row).unwrap();
        let column = Column::exact(values, Unit::Fahrenheit);
        hours.set_column(Element::Temperature, column).unwrap();
        hours
    }

    fn rising(count: u16) -> Vec<f64> {
        (0..count).map(f64::from).collect()
    }

    fn extremes(days: &DailySeries) -> Vec<(f64, f64)> {
        let tmax = days.tmax().unwrap();
        let both = days.tmin().iter().copied().zip(tmax.iter().copied());
        both.map(|(low, high)| {
            let whole = |value: f64| if value.is_nan() { -1.0 } else { value };
            (whole(low), whole(high))
        })
        .collect()
    }

    /// Counting: in New York 14 March 2027 has 23 hours and 7 November 2027 has 25 (U.S. Code, title 15, §260a).
    #[test]
    fn a_day_has_the_hours_of_its_clock() {
        let spring = hours("2027-03-14T00:00:00-05:00", rising(23 + 24));
        let days = DailySeries::of_hours(&spring, NEW_YORK).unwrap();
        assert_eq!(extremes(&days), [(0.0, 22.0), (23.0, 46.0)]);
        assert_eq!(days.first(), NaiveDate::from_ymd_opt(2027, 3, 14).unwrap());
        let autumn = hours("2027-11-07T00:00:00-04:00", rising(25));
        let days = DailySeries::of_hours(&autumn, NEW_YORK).unwrap();
        assert_eq!(extremes(&days), [(0.0, 24.0)]);
        assert_eq!(days.unit(), Unit::Fahrenheit);
    }

    /// Promise 1: an hour that is missing at the beginning, within or at the end makes its day missing, no other.
    #[test]
    fn a_day_that_lacks_an_hour_is_missing() {
        let mut values = rising(23 + 24 + 24 + 5);
        values[23 + 4] = f64::NAN;
        let hours = hours("2027-01-01T01:00:00-05:00", values);
        let days = DailySeries::of_hours(&hours, NEW_YORK).unwrap();
        let missing = (-1.0, -1.0);
        assert_eq!(extremes(&days), [missing, missing, (47.0, 70.0), missing]);
    }

    /// Counting: an hour between bounds gives one end to each extreme; a zone's midnight may fall on a half hour of UTC.
    #[test]
    fn bounds_go_to_the_extremes_and_half_hours_to_their_day() {
        let start = 18 * HOUR_S + 30 * 60; // midnight of 2 January 1970 in Kolkata, UTC+5:30
        let mut hours = HourlySeries::new(start, vec![true; 24]).unwrap();
        let low = vec![10.0; 24];
        let mut high = low.clone();
        high[3] = 14.0;
        let column = Column::bounded(low, high, Unit::Celsius);
        hours.set_column(Element::Temperature, column).unwrap();
        let days = DailySeries::of_hours(&hours, Tz::Asia__Kolkata).unwrap();
        assert_eq!(extremes(&days), [(10.0, 14.0)]);
        let shifted = DailySeries::of_hours(&hours, Tz::UTC).unwrap();
        assert_eq!(extremes(&shifted), [(-1.0, -1.0); 2]);
    }

    /// Without temperatures there is nothing to say.
    #[test]
    fn hours_without_temperatures_are_refused() {
        let hours = HourlySeries::new(0, vec![true; 24]).unwrap();
        let error = DailySeries::of_hours(&hours, Tz::UTC).unwrap_err();
        assert_eq!(error, SeriesError::Empty);
    }
}
