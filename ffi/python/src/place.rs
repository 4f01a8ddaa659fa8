//! What several questions have in common: the place, the operation, the plants, times and shares.

use std::borrow::Cow;
use std::sync::LazyLock;

use chrono_tz::Tz;
use fairspell::decision::Units;
use fairspell::error::DecideError;
use fairspell::operation::Operation;
use fairspell::plant::PlantTable;
use fairspell::quantity::{Kind, Quantity};
use fairspell::read::parse_time;
use fairspell::site::Site;
use pyo3::prelude::*;

use crate::failure::{Failure, words};
use crate::input::{Given, Input, source};

/// A time or a length of time: seconds, or words as on the command line.
#[derive(FromPyObject, Clone)]
pub enum Moment {
    /// Seconds; of a time since 1970 UTC.
    Seconds(i64),
    /// Words.
    Text(String),
}

impl Moment {
    /// As a time, on the site's clock where the words say no offset \[s since 1970 UTC\].
    pub fn time(&self, argument: &str, zone: Option<Tz>) -> Result<i64, Failure> {
        match self {
            Self::Seconds(seconds) => Ok(*seconds),
            Self::Text(text) => parse_time(text, zone, None)
                .map_err(|problem| Failure::Question(format!("{argument}: {}", words(&problem)))),
        }
    }

    /// As a length of time \[s\].
    pub fn length_s(&self, argument: &str) -> Result<i64, Failure> {
        let expected = "a length of time such as 36h or 30min, at most 384h";
        let hours = match self {
            Self::Seconds(seconds) => *seconds as f64 / 3600.0,
            Self::Text(text) => Quantity::parse(text, Kind::Duration)
                .map(Quantity::si)
                .map_err(|_| Failure::found(argument, expected, text))?,
        };
        if hours > 0.0 && hours <= 384.0 {
            #[expect(clippy::cast_possible_truncation, reason = "between 0 and 384 hours")]
            return Ok((hours * 3600.0).round() as i64);
        }
        Err(Failure::found(argument, expected, &format!("{hours} h")))
    }
}

/// Where the place is.
#[derive(FromPyObject)]
#[pyo3(from_item_all)]
pub struct PlaceOptions<'py> {
    site: Option<Given<'py>>,
    zone: Option<String>,
    latitude: Option<f64>,
    longitude: Option<f64>,
}

impl PlaceOptions<'_> {
    /// The site of the file, and what stands beside it instead.
    pub fn site(&self) -> Result<Site, Failure> {
        let mut site = match &self.site {
            Some(given) => {
                let input = given.input()?;
                Site::read(source(input.name(), &input.bytes()?))?
            }
            None => Site::default(),
        };
        if let Some(zone) = &self.zone {
            let expected = "an IANA time zone such as America/Chicago";
            let parsed = zone.parse();
            site.zone = Some(parsed.map_err(|_| Failure::found("zone", expected, zone))?);
        }
        site.latitude = within("latitude", self.latitude, 90.0)?.or(site.latitude);
        site.longitude = within("longitude", self.longitude, 180.0)?.or(site.longitude);
        Ok(site)
    }
}

fn within(name: &str, value: Option<f64>, most: f64) -> Result<Option<f64>, Failure> {
    match value {
        Some(value) if value.is_nan() || value.abs() > most => Err(Failure::Question(format!(
            "{name}: expected degrees from -{most} to {most}, found {value}"
        ))),
        value => Ok(value),
    }
}

/// The site, once its zone is known.
pub fn with_zone(site: Site) -> Result<Site, Failure> {
    if site.zone.is_some() {
        Ok(site)
    } else {
        Err(DecideError::NoZone.into())
    }
}

/// A built-in operation by its name, or that of a file.
pub fn operation(input: &Input<'_>) -> Result<Operation, Failure> {
    if let Input::Path(name) = input {
        if let Some(operation) = Operation::built_in(name) {
            return Ok(operation);
        }
        let is_path = name.contains(['/', '\\', '.']) || std::path::Path::new(name).exists();
        if !is_path {
            let expected = "oil, prune or the path of an operation file";
            return Err(Failure::found("operation", expected, name));
        }
    }
    Ok(Operation::read(source(input.name(), &input.bytes()?))?)
}

/// The plants table, with the rows of a file of the user's own. That built in is read once: it takes longer than a decision.
pub fn plants(own: Option<&Given<'_>>) -> Result<Cow<'static, PlantTable>, Failure> {
    static BUILT_IN: LazyLock<PlantTable> = LazyLock::new(PlantTable::built_in);
    let Some(own) = own else {
        return Ok(Cow::Borrowed(&BUILT_IN));
    };
    let input = own.input()?;
    let own = PlantTable::read(source(input.name(), &input.bytes()?))?;
    Ok(Cow::Owned(BUILT_IN.clone().extended_with(own)))
}

/// A share such as `10%`, between two bounds.
pub fn share(argument: &str, text: &str, expected: &str) -> Result<f64, Failure> {
    let share = Quantity::parse(text, Kind::Fraction).map(|share| share.value / 100.0);
    share.map_err(|_| Failure::found(argument, expected, text))
}

/// Units of values in words and pictures.
pub fn units(text: Option<&str>) -> Result<Units, Failure> {
    match text {
        None => Ok(Units::AsWritten),
        Some("us") => Ok(Units::Us),
        Some("si") => Ok(Units::Si),
        Some(other) => Err(Failure::found("units", "us or si", other)),
    }
}
