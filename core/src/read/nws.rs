//! Answers of the U.S. National Weather Service's API in GeoJSON: gridpoint data, the hourly forecast, and the
//! reports of a station.
//!
//! What the fields mean follows the NWS API documentation: its page on gridpoints, its `OpenAPI` description (a value
//! is an object of `value`, or `minValue` and `maxValue`, and `unitCode`), and its maintainers' words in issues 21
//! and 69 of `weather-gov/api`. A unit is what stands behind the last colon of its code: `unit:degC`,
//! `wmoUnit:degC` and `degC` are one.

use super::json::{Node, believed_elevation, given};
use crate::error::{Excerpt, ReadError, ReadProblem};
use crate::quantity::{Kind, Unit};
use crate::series::Element;

mod gridpoint;
mod hourly;
mod observations;

pub(super) use gridpoint::{is_gridpoint, read as read_gridpoint};
pub(super) use hourly::read as read_hourly;
pub(super) use observations::read as read_observations;

/// A value with its unit, or the bounds of one.
struct Measured<'a> {
    low: f64,
    high: f64,
    unit: Unit,
    /// Where the value stands, and its unit.
    at: Node<'a>,
    unit_at: Node<'a>,
    /// Whether the service itself failed or questioned it.
    has_failed: bool,
}

/// Reads an object of value and unit; `None` where the object or its value is null. A unit without a value is not
/// looked at.
fn measured<'a>(
    node: Node<'a>,
    kind: Kind,
    of: &'static str,
) -> Result<Option<Measured<'a>>, ReadError> {
    if node.is_null() {
        return Ok(None);
    }
    let [value, least, greatest, code, uom, quality] = node.members([
        "value",
        "minValue",
        "maxValue",
        "unitCode",
        "uom",
        "qualityControl",
    ])?;
    let (least, greatest) = match (given(value), given(least), given(greatest)) {
        (Some(value), _, _) => (value, value),
        (None, Some(least), Some(greatest)) => (least, greatest),
        _ => return Ok(None),
    };
    let (low, high) = (least.number()?, greatest.number()?);
    let unit_at = given(code)
        .or(given(uom))
        .ok_or_else(|| least.lacks("a unitCode beside the value"))?;
    let (unit, scale) = unit_of(unit_at, kind, of)?;
    let has_failed = has_failed(quality)?;
    Ok(Some(Measured {
        low: low * scale,
        high: high * scale,
        unit,
        at: least,
        unit_at,
        has_failed,
    }))
}

/// Whether a quality flag says rejected (X), questioned (Q) or subjectively bad (B). The flags are those of MADIS
/// ("MADIS QC Information"): Z no check; C, S, V passed one, two or three levels; G subjectively good.
fn has_failed(quality: Option<Node<'_>>) -> Result<bool, ReadError> {
    let Some(quality) = given(quality) else {
        return Ok(false);
    };
    Ok(matches!(after_colon(&quality.text()?), "X" | "Q" | "B"))
}

fn after_colon(code: &str) -> &str {
    code.rsplit(':').next().unwrap_or(code)
}

/// The unit of a code, and what a value is multiplied by to be in it: depths in metres become millimetres.
fn unit_of(code: Node<'_>, kind: Kind, of: &'static str) -> Result<(Unit, f64), ReadError> {
    let text = code.text()?;
    let (unit, expected) = match (kind, after_colon(&text)) {
        (Kind::Temperature, "degC" | "C") => (Some((Unit::Celsius, 1.0)), ""),
        (Kind::Temperature, "degF" | "F") => (Some((Unit::Fahrenheit, 1.0)), ""),
        (Kind::Temperature, _) => (None, "degC or degF"),
        (Kind::Fraction, "percent") => (Some((Unit::Percent, 1.0)), ""),
        (Kind::Fraction, _) => (None, "percent"),
        (Kind::Speed, "km_h-1") => (Some((Unit::KilometrePerHour, 1.0)), ""),
        (Kind::Speed, "m_s-1") => (Some((Unit::MetrePerSecond, 1.0)), ""),
        (Kind::Speed, "mi_h-1") => (Some((Unit::MilePerHour, 1.0)), ""),
        (Kind::Speed, "kt") => (Some((Unit::Knot, 1.0)), ""),
        (Kind::Speed, _) => (None, "km_h-1, m_s-1, mi_h-1 or kt"),
        (Kind::Depth, "mm") => (Some((Unit::Millimetre, 1.0)), ""),
        (Kind::Depth, "cm") => (Some((Unit::Millimetre, 10.0)), ""),
        (Kind::Depth, "m") => (Some((Unit::Millimetre, 1000.0)), ""),
        (Kind::Depth, "in") => (Some((Unit::Inch, 1.0)), ""),
        (Kind::Depth, _) => (None, "mm, cm, m or in"),
        (_, "m") => (Some((Unit::Metre, 1.0)), ""),
        (_, "ft") => (Some((Unit::Foot, 1.0)), ""),
        _ => (None, "m or ft"),
    };
    unit.ok_or_else(|| {
        code.fault(ReadProblem::Unit {
            expected,
            of,
            found: Excerpt::of(text.as_bytes()),
        })
    })
}

/// Elevation in metres, where it is known.
fn elevation_m(member: Option<Node<'_>>) -> Result<Option<f64>, ReadError> {
    let Some(node) = given(member) else {
        return Ok(None);
    };
    let Some(found) = measured(node, Kind::Length, "elevation")? else {
        return Ok(None);
    };
    believed_elevation(found.unit.to_si(found.low), found.at).map(Some)
}

/// [`measured`] of an element of the weather.
fn element_of(node: Node<'_>, element: Element) -> Result<Option<Measured<'_>>, ReadError> {
    measured(node, element.kind(), element.name())
}
