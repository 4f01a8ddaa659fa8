//! A place: where it lies, which clock it keeps, what grows there, and which limits differ.
//!
//! A site file is TOML. Every key may be left out; what a question then cannot do without is asked for by name.

mod error;
mod garden;

use core::ops::Range;

use chrono_tz::Tz;
use serde::Deserialize;
use toml::Spanned;

use crate::error::{Excerpt, FileError, FileProblem, Place};
use crate::quantity::{Kind, Quantity};

pub use error::{ForecastError, LeadError};
pub use garden::{FirstCut, MAX_COUNT, MAX_ENTRIES, MAX_SIZE_M, Planting, Spraying};

use garden::{PlantingFile, SprayingFile, WorkFile, first_cut_of, garden_of, spraying_of};

/// Most bytes of a site or operation file. Ours: a garden of 1,000 kinds takes a tenth of it.
pub const MAX_FILE_BYTES: usize = 1024 * 1024;

/// Half of the earth: its spring is the other's autumn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hemisphere {
    /// Latitude 0 and north of it.
    North,
    /// South of latitude 0.
    South,
}

/// A limit of one rule that differs at this site.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnLimit {
    /// Where it stands in the site file.
    pub place: Place,
    /// Name of the operation.
    pub operation: String,
    /// Name of the rule; `None` for the hours needed.
    pub rule: Option<String>,
    /// The new lower limit, as written.
    pub at_least: Option<String>,
    /// The new upper limit, as written.
    pub at_most: Option<String>,
    /// The hours needed, instead of the operation's own.
    pub hours_needed: Option<u32>,
}

/// A place and its garden.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Site {
    /// Its name.
    pub name: Option<String>,
    /// Degrees north, −90 to 90.
    pub latitude: Option<f64>,
    /// Degrees east, −180 to 180.
    pub longitude: Option<f64>,
    /// Metres above sea level.
    pub elevation_m: Option<f64>,
    /// Its IANA time zone.
    pub zone: Option<Tz>,
    /// What grows there; empty: one hybrid tea rose is assumed, and said.
    pub garden: Vec<Planting>,
    /// How it is sprayed.
    pub spraying: Spraying,
    /// The first cut at a tall bush rose.
    pub first_cut: FirstCut,
    /// Limits that differ.
    pub limits: Vec<OwnLimit>,
    /// Error of its forecast, where it is known.
    pub forecast_error: Option<ForecastError>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct SiteFile {
    name: Option<Spanned<String>>,
    latitude: Option<Spanned<f64>>,
    longitude: Option<Spanned<f64>>,
    elevation: Option<Spanned<String>>,
    zone: Option<Spanned<String>>,
    garden: Option<Spanned<Vec<Spanned<PlantingFile>>>>,
    #[serde(default)]
    spray: SprayingFile,
    #[serde(default)]
    work: WorkFile,
    #[serde(default)]
    limit: Vec<Spanned<LimitFile>>,
    forecast_error: Option<Spanned<error::ErrorFile>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct LimitFile {
    operation: Spanned<String>,
    rule: Option<Spanned<String>>,
    at_least: Option<Spanned<String>>,
    at_most: Option<Spanned<String>>,
    hours_needed: Option<Spanned<i64>>,
}

impl Site {
    /// Reads a site file.
    ///
    /// # Errors
    /// [`FileError`] with file, line, column, what was expected and what was found.
    ///
    /// ```
    /// use fairspell::{read::Source, site::Site};
    /// let bytes = b"name = \"Quince Hollow\"\nlatitude = 42.4\nlongitude = -88.1\nzone = \"America/Chicago\"\n";
    /// let site = Site::read(Source { name: "site.toml", bytes })?;
    /// assert_eq!(site.zone.map(|zone| zone.name()), Some("America/Chicago"));
    /// # Ok::<(), fairspell::error::FileError>(())
    /// ```
    pub fn read(source: crate::read::Source<'_>) -> Result<Self, FileError> {
        let file = TomlFile::new(source.name, source.bytes, "a site")?;
        let parsed: SiteFile = file.parse()?;
        let north = "a latitude from -90 to 90 degrees north";
        let east = "a longitude from -180 to 180 degrees east";
        let elevation = parsed
            .elevation
            .map(|elevation| elevation_of(&file, &elevation));
        let name = parsed
            .name
            .map(|name| file.text(name, "a name of 1 to 80 characters"));
        let limits = parsed.limit.into_iter().map(|limit| limit_of(&file, limit));
        Ok(Self {
            name: name.transpose()?,
            latitude: file.within(parsed.latitude, 90.0, north)?,
            longitude: file.within(parsed.longitude, 180.0, east)?,
            elevation_m: elevation.transpose()?,
            zone: parsed.zone.map(|zone| zone_of(&file, &zone)).transpose()?,
            garden: garden_of(&file, parsed.garden)?,
            spraying: spraying_of(&file, parsed.spray)?,
            first_cut: first_cut_of(&file, &parsed.work)?,
            limits: limits.collect::<Result<_, _>>()?,
            forecast_error: parsed
                .forecast_error
                .map(|table| error::error_of(&file, table))
                .transpose()?,
        })
    }

    /// Latitude and longitude, if both are known.
    #[must_use]
    pub fn coordinates(&self) -> Option<(f64, f64)> {
        Some((self.latitude?, self.longitude?))
    }

    /// The half of the earth it lies on, if its latitude is known.
    #[must_use]
    pub fn hemisphere(&self) -> Option<Hemisphere> {
        self.latitude.map(|latitude| {
            if latitude < 0.0 {
                Hemisphere::South
            } else {
                Hemisphere::North
            }
        })
    }

    /// Distance to a place along the sphere of 6371 km \[km\], if the site's coordinates are known.
    ///
    /// Haversine formula: R. W. Sinnott, Virtues of the haversine, Sky and Telescope 68 (1984) 159 (from memory).
    ///
    /// ```
    /// use fairspell::site::Site;
    /// let site = Site { latitude: Some(0.0), longitude: Some(0.0), ..Site::default() };
    /// let degree = site.distance_km(0.0, 1.0).unwrap();
    /// assert!((degree - 6371.0 * std::f64::consts::PI / 180.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn distance_km(&self, latitude: f64, longitude: f64) -> Option<f64> {
        let (own_latitude, own_longitude) = self.coordinates()?;
        let half = |from: f64, to: f64| libm::sin((to - from).to_radians() / 2.0);
        let (north, east) = (half(own_latitude, latitude), half(own_longitude, longitude));
        let across = libm::cos(own_latitude.to_radians()) * libm::cos(latitude.to_radians());
        let haversine = (north * north + across * east * east).clamp(0.0, 1.0);
        Some(2.0 * 6371.0 * libm::asin(haversine.sqrt()))
    }
}

fn zone_of(file: &TomlFile<'_>, zone: &Spanned<String>) -> Result<Tz, FileError> {
    let expected = "an IANA time zone such as \"America/Chicago\"";
    let parsed = zone.get_ref().parse();
    parsed.map_err(|_| file.value(expected, zone.get_ref(), zone.span()))
}

fn elevation_of(file: &TomlFile<'_>, text: &Spanned<String>) -> Result<f64, FileError> {
    let quantity = file.quantity(text, Kind::Length)?;
    let metres = quantity.si();
    let expected = "an elevation from -500 to 9000 m";
    if (-500.0..=9000.0).contains(&metres) {
        Ok(metres)
    } else {
        Err(file.value(expected, text.get_ref(), text.span()))
    }
}

fn limit_of(file: &TomlFile<'_>, limit: Spanned<LimitFile>) -> Result<OwnLimit, FileError> {
    let place = file.place(limit.span().start);
    let limit = limit.into_inner();
    let hours_needed = limit
        .hours_needed
        .map(|hours| file.whole(&hours, 1, 168, "hours from 1 to 168"));
    let own = OwnLimit {
        place: place.clone(),
        operation: limit.operation.into_inner(),
        rule: limit.rule.map(Spanned::into_inner),
        at_least: limit.at_least.map(Spanned::into_inner),
        at_most: limit.at_most.map(Spanned::into_inner),
        hours_needed: hours_needed.transpose()?,
    };
    let has_limit = own.at_least.is_some() || own.at_most.is_some();
    if own.rule.is_some() == has_limit && (has_limit || own.hours_needed.is_some()) {
        Ok(own)
    } else {
        let expected = "in a [[limit]] either rule with at-least or at-most, or hours-needed";
        Err(FileError {
            place,
            problem: FileProblem::Absent { expected },
        })
    }
}

/// A TOML file that is being read, for places of what is wrong in it.
pub(crate) struct TomlFile<'a> {
    name: &'a str,
    text: &'a str,
    what: &'static str,
}

impl<'a> TomlFile<'a> {
    pub(crate) fn new(
        name: &'a str,
        bytes: &'a [u8],
        what: &'static str,
    ) -> Result<Self, FileError> {
        let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
        if bytes.len() > MAX_FILE_BYTES {
            let problem = FileProblem::TooMuch {
                limit: MAX_FILE_BYTES as u64,
                of: "bytes",
            };
            return Err(FileError {
                place: Place::whole(name),
                problem,
            });
        }
        let text = core::str::from_utf8(bytes).map_err(|error| {
            let at = error.valid_up_to();
            let byte = bytes.get(at).copied().unwrap_or_default();
            FileError {
                place: Place::of_byte(name, bytes, at),
                problem: FileProblem::NotText { byte },
            }
        })?;
        Ok(Self { name, text, what })
    }

    pub(crate) fn parse<T: serde::de::DeserializeOwned>(&self) -> Result<T, FileError> {
        toml::from_str(self.text).map_err(|error| {
            let lines: Vec<&str> = error
                .message()
                .lines()
                .map(str::trim)
                .filter(|line| !line.is_empty())
                .collect();
            let detail = crate::error::shortened(&crate::error::escaped(&lines.join("; ")));
            let place = error
                .span()
                .map_or_else(|| Place::whole(self.name), |span| self.place(span.start));
            FileError {
                place,
                problem: FileProblem::Toml {
                    file: self.what,
                    detail,
                },
            }
        })
    }

    pub(crate) fn place(&self, offset: usize) -> Place {
        Place::of_byte(self.name, self.text.as_bytes(), offset)
    }

    pub(crate) fn fault(&self, span: &Range<usize>, problem: FileProblem) -> FileError {
        FileError {
            place: self.place(span.start),
            problem,
        }
    }

    pub(crate) fn value(
        &self,
        expected: &'static str,
        found: &str,
        span: Range<usize>,
    ) -> FileError {
        self.fault(
            &span,
            FileProblem::Value {
                expected,
                found: Excerpt::of(found.as_bytes()),
            },
        )
    }

    pub(crate) fn text(
        &self,
        text: Spanned<String>,
        expected: &'static str,
    ) -> Result<String, FileError> {
        let length = text.get_ref().trim().chars().count();
        if (1..=80).contains(&length) && !text.get_ref().chars().any(char::is_control) {
            return Ok(text.into_inner().trim().to_owned());
        }
        Err(self.value(expected, text.get_ref(), text.span()))
    }

    /// A sentence, such as a source: 1 to 500 bytes, no control character.
    pub(crate) fn sentence(
        &self,
        text: &Spanned<String>,
        expected: &'static str,
    ) -> Result<String, FileError> {
        let own = text.get_ref();
        if !own.trim().is_empty() && own.len() <= 500 && !own.chars().any(char::is_control) {
            return Ok(own.clone());
        }
        Err(self.value(expected, own, text.span()))
    }

    pub(crate) fn quantity(
        &self,
        text: &Spanned<String>,
        kind: Kind,
    ) -> Result<Quantity, FileError> {
        Quantity::parse(text.get_ref(), kind)
            .map_err(|error| self.fault(&text.span(), error.into()))
    }

    pub(crate) fn whole(
        &self,
        number: &Spanned<i64>,
        least: u32,
        most: u32,
        expected: &'static str,
    ) -> Result<u32, FileError> {
        let value = u32::try_from(*number.get_ref())
            .ok()
            .filter(|value| (least..=most).contains(value));
        value.ok_or_else(|| self.value(expected, &number.get_ref().to_string(), number.span()))
    }

    fn within(
        &self,
        number: Option<Spanned<f64>>,
        most: f64,
        expected: &'static str,
    ) -> Result<Option<f64>, FileError> {
        let Some(number) = number else {
            return Ok(None);
        };
        let value = *number.get_ref();
        if value.is_finite() && value.abs() <= most {
            return Ok(Some(value));
        }
        let found = self.text.get(number.span()).unwrap_or_default();
        Err(self.value(expected, found, number.span()))
    }
}
