//! Units and measures by number.

use fairspell::quantity::{Quantity, Unit};
use fairspell::series::Element;

use crate::status::Fault;

/// Degree Celsius.
pub const FAIRSPELL_CELSIUS: i32 = 1;
/// Degree Fahrenheit.
pub const FAIRSPELL_FAHRENHEIT: i32 = 2;
/// Degree Celsius, a difference.
pub const FAIRSPELL_CELSIUS_DIFFERENCE: i32 = 3;
/// Degree Fahrenheit, a difference.
pub const FAIRSPELL_FAHRENHEIT_DIFFERENCE: i32 = 4;
/// Millimetre of rain or snow.
pub const FAIRSPELL_MILLIMETRE: i32 = 5;
/// Inch of rain or snow.
pub const FAIRSPELL_INCH: i32 = 6;
/// Metre a second.
pub const FAIRSPELL_METRE_PER_SECOND: i32 = 7;
/// Kilometre an hour.
pub const FAIRSPELL_KILOMETRE_PER_HOUR: i32 = 8;
/// Mile an hour.
pub const FAIRSPELL_MILE_PER_HOUR: i32 = 9;
/// Knot.
pub const FAIRSPELL_KNOT: i32 = 10;
/// Percent.
pub const FAIRSPELL_PERCENT: i32 = 11;
/// Degree of arc.
pub const FAIRSPELL_DEGREE: i32 = 12;
/// Hectopascal.
pub const FAIRSPELL_HECTOPASCAL: i32 = 13;
/// Kilopascal.
pub const FAIRSPELL_KILOPASCAL: i32 = 14;
/// Hour.
pub const FAIRSPELL_HOUR: i32 = 15;
/// Minute.
pub const FAIRSPELL_MINUTE: i32 = 16;

/// Air temperature.
pub const FAIRSPELL_TEMPERATURE: i32 = 1;
/// Rain and melted snow of the hour.
pub const FAIRSPELL_RAIN: i32 = 2;
/// Chance of rain.
pub const FAIRSPELL_RAIN_CHANCE: i32 = 3;
/// Relative humidity.
pub const FAIRSPELL_HUMIDITY: i32 = 4;
/// Dew point.
pub const FAIRSPELL_DEW_POINT: i32 = 5;
/// Mean wind at 10 m.
pub const FAIRSPELL_WIND: i32 = 6;
/// Gusts at 10 m.
pub const FAIRSPELL_GUST: i32 = 7;
/// Share of the sky that is covered.
pub const FAIRSPELL_CLOUD: i32 = 8;
/// New snow of the hour.
pub const FAIRSPELL_SNOW: i32 = 9;

const UNITS: [(i32, Unit); 16] = [
    (FAIRSPELL_CELSIUS, Unit::Celsius),
    (FAIRSPELL_FAHRENHEIT, Unit::Fahrenheit),
    (FAIRSPELL_CELSIUS_DIFFERENCE, Unit::CelsiusDifference),
    (FAIRSPELL_FAHRENHEIT_DIFFERENCE, Unit::FahrenheitDifference),
    (FAIRSPELL_MILLIMETRE, Unit::Millimetre),
    (FAIRSPELL_INCH, Unit::Inch),
    (FAIRSPELL_METRE_PER_SECOND, Unit::MetrePerSecond),
    (FAIRSPELL_KILOMETRE_PER_HOUR, Unit::KilometrePerHour),
    (FAIRSPELL_MILE_PER_HOUR, Unit::MilePerHour),
    (FAIRSPELL_KNOT, Unit::Knot),
    (FAIRSPELL_PERCENT, Unit::Percent),
    (FAIRSPELL_DEGREE, Unit::Degree),
    (FAIRSPELL_HECTOPASCAL, Unit::Hectopascal),
    (FAIRSPELL_KILOPASCAL, Unit::Kilopascal),
    (FAIRSPELL_HOUR, Unit::Hour),
    (FAIRSPELL_MINUTE, Unit::Minute),
];

const MEASURES: [(i32, Element); 9] = [
    (FAIRSPELL_TEMPERATURE, Element::Temperature),
    (FAIRSPELL_RAIN, Element::Rain),
    (FAIRSPELL_RAIN_CHANCE, Element::RainChance),
    (FAIRSPELL_HUMIDITY, Element::Humidity),
    (FAIRSPELL_DEW_POINT, Element::DewPoint),
    (FAIRSPELL_WIND, Element::Wind),
    (FAIRSPELL_GUST, Element::Gust),
    (FAIRSPELL_CLOUD, Element::Cloud),
    (FAIRSPELL_SNOW, Element::Snow),
];

/// The unit of a number.
pub(crate) fn unit(number: i32) -> Result<Unit, Fault> {
    let found = UNITS.iter().find(|(own, _)| *own == number);
    found
        .map(|(_, unit)| *unit)
        .ok_or_else(|| Fault::range(format!("expected the number of a unit, found {number}")))
}

/// The number of a unit; 0 for one that no rule has.
pub(crate) fn number(unit: Unit) -> i32 {
    let found = UNITS.iter().find(|(_, own)| *own == unit);
    found.map_or(0, |(number, _)| *number)
}

/// A unit of temperature.
pub(crate) fn temperature(number: i32) -> Result<Unit, Fault> {
    let own = unit(number)?;
    if matches!(own, Unit::Celsius | Unit::Fahrenheit) {
        return Ok(own);
    }
    let words = format!("expected FAIRSPELL_CELSIUS or FAIRSPELL_FAHRENHEIT, found {number}");
    Err(Fault::range(words))
}

/// A temperature that is a number.
pub(crate) fn temperature_of(value: f64, number: i32) -> Result<Quantity, Fault> {
    let unit = temperature(number)?;
    let value = finite(value, "a temperature")?;
    Ok(Quantity { value, unit })
}

/// The measure of a number.
pub(crate) fn element(number: i32) -> Result<Element, Fault> {
    let found = MEASURES.iter().find(|(own, _)| *own == number);
    found
        .map(|(_, element)| *element)
        .ok_or_else(|| Fault::range(format!("expected the number of a measure, found {number}")))
}

/// A number that is one.
pub(crate) fn finite(value: f64, what: &str) -> Result<f64, Fault> {
    if value.is_finite() {
        return Ok(value);
    }
    Err(Fault::range(format!("expected {what}, found {value}")))
}

/// A number, or `None` for NaN.
pub(crate) fn optional_finite(value: f64, what: &str) -> Result<Option<f64>, Fault> {
    if value.is_nan() {
        return Ok(None);
    }
    finite(value, what).map(Some)
}

/// No value of a column is infinite.
pub(crate) fn check_column(values: &[f64]) -> Result<(), Fault> {
    match values.iter().position(|value| value.is_infinite()) {
        None => Ok(()),
        Some(place) => Err(Fault::range(format!(
            "expected numbers or NaN, found an infinite one at index {place}"
        ))),
    }
}

/// A switch: 0 or 1.
pub(crate) fn is_on(number: i32, what: &str) -> Result<bool, Fault> {
    match number {
        0 => Ok(false),
        1 => Ok(true),
        _ => Err(Fault::range(format!(
            "expected 0 or 1 for {what}, found {number}"
        ))),
    }
}

/// An optional number, NaN for none.
pub(crate) fn or_nan(value: Option<f64>) -> f64 {
    value.unwrap_or(f64::NAN)
}

/// Optional numbers, NaN for none.
pub(crate) fn all_or_nan(values: [Option<f64>; 3]) -> [f64; 3] {
    values.map(or_nan)
}
