//! The header: which column is which measure, in which unit.

use super::{Fields, Source};
use crate::error::{Excerpt, ReadError, ReadProblem, escaped};
use crate::quantity::Unit;
use crate::read::MAX_COLUMNS;
use crate::series::Element;

/// What a column of the file is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::read) enum Role {
    Time,
    Issued,
    Member,
    Station,
    Value(Element, Unit),
    Ignored,
}

/// What each column is, and the names of those that are ignored.
#[derive(Debug, Clone)]
pub(in crate::read) struct Header {
    pub(in crate::read) roles: Vec<Role>,
    pub(in crate::read) ignored: Vec<String>,
}

impl Header {
    pub(in crate::read) fn read(
        source: Source<'_>,
        fields: &Fields<'_>,
    ) -> Result<Self, ReadError> {
        if fields.record.len() > MAX_COLUMNS {
            let problem = ReadProblem::TooMuch {
                limit: MAX_COLUMNS as u64,
                of: "columns",
            };
            return Err(fields.fault(source, MAX_COLUMNS, problem));
        }
        let mut header = Self {
            roles: Vec::new(),
            ignored: Vec::new(),
        };
        for (index, field) in fields.record.iter().enumerate() {
            header
                .add(field)
                .map_err(|problem| fields.fault(source, index, problem))?;
        }
        let problem = if !header.roles.contains(&Role::Time) {
            ReadProblem::UnknownFormat {
                found: Excerpt::of(fields.line(source)),
            }
        } else if header.elements().next().is_none() {
            let expected = "a column of weather such as temperature_f or rain_in";
            ReadProblem::Absent { expected }
        } else {
            return Ok(header);
        };
        Err(fields.fault(source, 0, problem))
    }

    fn add(&mut self, field: &[u8]) -> Result<(), ReadProblem> {
        let name = String::from_utf8_lossy(field).to_ascii_lowercase();
        let role = role_of(&name)?;
        let is_same = |other: &Role| match (role, *other) {
            (Role::Value(element, _), Role::Value(earlier, _)) => element == earlier,
            (Role::Ignored, _) => false,
            (role, other) => role == other,
        };
        if self.roles.iter().any(is_same) {
            let (expected, found) = ("column of a measure", Excerpt::of(field));
            return Err(ReadProblem::Twice { expected, found });
        }
        if role == Role::Ignored {
            self.ignored.push(escaped(&name));
        }
        self.roles.push(role);
        Ok(())
    }

    /// The measures and their units, in the order of the columns.
    pub(in crate::read) fn elements(&self) -> impl Iterator<Item = (Element, Unit)> + '_ {
        self.roles.iter().filter_map(|role| match role {
            Role::Value(element, unit) => Some((*element, *unit)),
            _ => None,
        })
    }

    /// The column of a role.
    pub(in crate::read) fn position(&self, wanted: Role) -> Option<usize> {
        self.roles.iter().position(|role| *role == wanted)
    }
}

/// Measures of a header, longest name first, with the units that they take.
const MEASURES: [(&str, Element, &str); 9] = [
    ("rain_chance", Element::RainChance, "rain_chance_pct"),
    (
        "temperature",
        Element::Temperature,
        "temperature_f or temperature_c",
    ),
    ("dew_point", Element::DewPoint, "dew_point_f or dew_point_c"),
    ("humidity", Element::Humidity, "humidity_pct"),
    ("cloud", Element::Cloud, "cloud_pct"),
    ("rain", Element::Rain, "rain_in or rain_mm"),
    ("snow", Element::Snow, "snow_in or snow_mm"),
    (
        "wind",
        Element::Wind,
        "wind_mph, wind_kmh, wind_ms or wind_kt",
    ),
    (
        "gust",
        Element::Gust,
        "gust_mph, gust_kmh, gust_ms or gust_kt",
    ),
];

/// Short last words of a column that are no unit: `wind_dir` is a column of its own and ignored.
const NO_UNITS: [&str; 9] = [
    "dir", "max", "min", "avg", "mean", "code", "flag", "depth", "cover",
];
/// Longest last word that is taken for a unit; `wind_direction` is a column of its own. Ours.
const LONGEST_UNIT: usize = 6;

pub(in crate::read) fn role_of(name: &str) -> Result<Role, ReadProblem> {
    match name {
        "time" => return Ok(Role::Time),
        "issued" => return Ok(Role::Issued),
        "member" => return Ok(Role::Member),
        "station" => return Ok(Role::Station),
        _ => {}
    }
    for (measure, element, expected) in MEASURES {
        let Some(rest) = name.strip_prefix(measure) else {
            continue;
        };
        let unit = rest.strip_prefix('_').unwrap_or(rest);
        if !rest.is_empty() && !rest.starts_with('_') {
            continue;
        }
        if let Some(unit) = unit_of(unit).filter(|unit| unit.kind() == element.kind()) {
            return Ok(Role::Value(element, unit));
        }
        if unit.len() <= LONGEST_UNIT && !unit.contains('_') && !NO_UNITS.contains(&unit) {
            return Err(ReadProblem::Unit {
                expected,
                of: element.name(),
                found: Excerpt::of(unit.as_bytes()),
            });
        }
    }
    Ok(Role::Ignored)
}

fn unit_of(name: &str) -> Option<Unit> {
    Some(match name {
        "f" => Unit::Fahrenheit,
        "c" => Unit::Celsius,
        "in" => Unit::Inch,
        "mm" => Unit::Millimetre,
        "pct" => Unit::Percent,
        "mph" => Unit::MilePerHour,
        "kmh" => Unit::KilometrePerHour,
        "ms" => Unit::MetrePerSecond,
        "kt" => Unit::Knot,
        _ => return None,
    })
}

pub(super) fn expected_value(element: Element) -> &'static str {
    match element {
        Element::Temperature => "a temperature or a blank",
        Element::DewPoint => "a dew point or a blank",
        Element::Rain => "a depth of rain or a blank",
        Element::Snow => "a depth of snow or a blank",
        Element::RainChance | Element::Humidity | Element::Cloud => "a percentage or a blank",
        Element::Wind | Element::Gust => "a speed of wind or a blank",
    }
}
