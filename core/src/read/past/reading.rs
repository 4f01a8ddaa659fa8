//! Past hours of one station, as they were read.

use std::collections::BTreeMap;

use super::super::columns::{Columns, read_columns};
use super::super::{Notice, Position, Reading};
use crate::error::{Place, ReadError, SeriesError};
use crate::series::Hours;

/// Past hours of one station.
#[derive(Debug, Clone, PartialEq)]
pub struct PastReading {
    /// Its name; empty where the file has none.
    pub station: String,
    /// Its hours.
    pub hours: Hours,
    /// The place that the file says it is for.
    pub position: Option<Position>,
    /// What the user should know of it.
    pub notices: Vec<Notice>,
}

impl PastReading {
    /// The hours of a reading; notices of the file as a whole are left out, and those of what was rejected name the file
    /// alone, since a station's rows may be read apart from the lines before them.
    pub(in crate::read) fn of(station: &[u8], reading: Reading) -> Self {
        let own = reading
            .notices
            .into_iter()
            .filter_map(|notice| match notice {
                Notice::IgnoredColumns { .. } | Notice::Gaps { .. } => None,
                Notice::Rejected {
                    element,
                    count,
                    first,
                    found,
                } => Some(Notice::Rejected {
                    element,
                    count,
                    first: Place::whole(&first.file),
                    found,
                }),
                other => Some(other),
            });
        let mut members = reading.members;
        Self {
            station: String::from_utf8_lossy(station).into_owned(),
            notices: own.collect(),
            hours: Hours::from(members.swap_remove(0)),
            position: reading.position,
        }
    }

    /// Hours that a program already has as columns.
    ///
    /// # Errors
    /// As [`read_columns`].
    ///
    /// ```
    /// use fairspell::{quantity::Unit, read::{Issued, columns::Columns, past::PastReading}, series::Element};
    /// let past = PastReading::of_columns("A", Columns {
    ///     name: "columns",
    ///     times: &[0, 3600],
    ///     values: &[(Element::Temperature, Unit::Celsius, &[5.0, 6.0])],
    ///     issued: Issued::Unknown,
    /// })?;
    /// assert_eq!((past.station.as_str(), past.hours.hours()), ("A", 2));
    /// # Ok::<(), fairspell::error::ReadError>(())
    /// ```
    pub fn of_columns(station: &str, columns: Columns<'_>) -> Result<Self, ReadError> {
        Ok(Self::of(station.as_bytes(), read_columns(columns)?))
    }

    /// Brings the hours of another file of this station to these, which count where both have an hour; that is said.
    ///
    /// - `name`: of the other file.
    ///
    /// # Errors
    /// As [`Hours::join`].
    pub fn join(&mut self, other: Self, name: &str) -> Result<(), SeriesError> {
        let (hours, overlap) = Hours::join(&self.hours, &other.hours)?;
        self.hours = hours;
        self.position = self.position.or(other.position);
        self.notices.extend(other.notices);
        if overlap > 0 {
            self.notices.push(Notice::Overlap {
                file: name.to_owned(),
                count: overlap as u64,
            });
        }
        Ok(())
    }
}

/// Stations of several files, the hours of each brought together.
///
/// ```
/// use fairspell::{error::ReadError, read::{Source, past::{Joined, read_past_each}}};
/// let mut joined = Joined::default();
/// for (name, bytes) in [
///     ("one.csv", "station,time,temperature_f\nA,2027-03-10T09:00Z,50\n"),
///     ("two.csv", "station,time,temperature_f\nA,2027-03-10T10:00Z,51\n"),
/// ] {
///     let mut readings = Vec::new();
///     read_past_each(Source { name, bytes: bytes.as_bytes() }, None, |reading, _| {
///         readings.push(reading.clone());
///         Ok::<(), ReadError>(())
///     })?;
///     for reading in readings {
///         joined.add(reading, name).map_err(|error| error.to_string()).unwrap();
///     }
/// }
/// let stations = joined.into_stations();
/// assert_eq!((stations.len(), stations[0].hours.hours()), (1, 2));
/// # Ok::<(), ReadError>(())
/// ```
#[derive(Debug, Clone, Default)]
pub struct Joined {
    stations: Vec<PastReading>,
    places: BTreeMap<String, usize>,
}

impl Joined {
    /// Adds a reading of a file: to the hours of its station where that is known, by [`PastReading::join`].
    ///
    /// - `name`: of the file.
    ///
    /// # Errors
    /// As [`Hours::join`].
    pub fn add(&mut self, reading: PastReading, name: &str) -> Result<(), SeriesError> {
        let place = self.places.get(&reading.station);
        if let Some(own) = place.and_then(|place| self.stations.get_mut(*place)) {
            return own.join(reading, name);
        }
        self.places
            .insert(reading.station.clone(), self.stations.len());
        self.stations.push(reading);
        Ok(())
    }

    /// The stations, each where it came first.
    #[must_use]
    pub fn into_stations(self) -> Vec<PastReading> {
        self.stations
    }
}
