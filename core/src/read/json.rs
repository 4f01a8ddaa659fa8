//! JSON: well formed or not, and the place of every value in it.
//!
//! A [`Node`] is a piece of the input itself, not a copy, so that every fault names the line and column of the
//! value at fault. A piece is parsed when it is opened and each is opened a fixed number of times: work is a small
//! multiple of the size, and what is not read costs no memory.
//!
//! - A key that is read may stand once in its object: RFC 8259 leaves the meaning of a second one open, so it is an
//!   error. Keys that are not read are skipped.
//! - Numbers may stand in texts ("10"); null is a missing value; anything else where a number belongs is an error.
//! - Nesting is bounded before anything is parsed.

use core::fmt;
use std::borrow::Cow;

use serde::de::{
    DeserializeSeed, Deserializer, Error as _, IgnoredAny, MapAccess, SeqAccess, Visitor,
};
use serde_json::value::RawValue;

use super::clean::{Rejected, dew_point_notice, settle_dew_points};
use super::{
    Issued, MAX_DEPTH, MAX_FORECAST_HOURS, Notice, Position, Source, fault_at, fault_whole,
    parse_time, series_problem,
};
use crate::error::{Excerpt, Place, ReadError, ReadProblem, SeriesError};
use crate::quantity::{Unit, number_of};
use crate::series::{Amounts, Column, Element, HOUR_S, HourlySeries, Percentiles};

/// The document of a source, once its nesting is known to be bounded.
pub(super) fn root(source: Source<'_>) -> Result<Node<'_>, ReadError> {
    check_depth(source)?;
    Node::root(source)
}

/// One pass over the bytes outside texts; what is not well formed is found later.
fn check_depth(source: Source<'_>) -> Result<(), ReadError> {
    let (mut depth, mut in_text, mut is_escaped) = (0_usize, false, false);
    for (at, byte) in source.bytes.iter().enumerate() {
        if in_text {
            in_text = is_escaped || *byte != b'"';
            is_escaped = !is_escaped && *byte == b'\\';
            continue;
        }
        match byte {
            b'"' => in_text = true,
            b'[' | b'{' if depth == MAX_DEPTH => {
                let problem = ReadProblem::TooMuch {
                    limit: MAX_DEPTH as u64,
                    of: "levels of JSON",
                };
                return Err(fault_at(source, at, problem));
            }
            b'[' | b'{' => depth += 1,
            b']' | b'}' => depth = depth.saturating_sub(1),
            _ => {}
        }
    }
    Ok(())
}

/// The general reader's own words, without its place.
fn malformed(error: &serde_json::Error) -> ReadProblem {
    let words = error.to_string();
    let detail = match words.rsplit_once(" at line ") {
        _ if error.is_eof() => "the file ends too early",
        Some((detail, _)) if detail.starts_with("control character") => {
            "a control character in a text"
        }
        Some((detail, _)) => detail,
        None => &words,
    };
    ReadProblem::Json {
        detail: Excerpt::of(detail.as_bytes()),
    }
}

/// A member that is there and not null.
pub(super) fn given(member: Option<Node<'_>>) -> Option<Node<'_>> {
    member.filter(|node| !node.is_null())
}

/// A value of the input where it stands.
#[derive(Clone, Copy)]
pub(super) struct Node<'a> {
    source: Source<'a>,
    raw: &'a RawValue,
}

impl<'a> Node<'a> {
    fn root(source: Source<'a>) -> Result<Self, ReadError> {
        let raw = serde_json::from_slice::<&RawValue>(source.bytes).map_err(|error| ReadError {
            place: Place::at(source.name, error.line() as u64, error.column() as u64),
            problem: malformed(&error),
        })?;
        Ok(Self { source, raw })
    }

    pub(super) fn source(self) -> Source<'a> {
        self.source
    }

    pub(super) fn is_null(self) -> bool {
        self.raw.get() == "null"
    }

    pub(super) fn is_object(self) -> bool {
        self.raw.get().starts_with('{')
    }

    pub(super) fn is_text(self) -> bool {
        self.raw.get().starts_with('"')
    }

    /// The values of some keys of an object.
    pub(super) fn members<const N: usize>(
        self,
        keys: [&str; N],
    ) -> Result<[Option<Self>; N], ReadError> {
        if !self.is_object() {
            return Err(self.wrong("an object"));
        }
        let (found, second) = serde_json::Deserializer::from_str(self.raw.get())
            .deserialize_map(Members { keys })
            .map_err(|error| self.fault(malformed(&error)))?;
        if let Some(raw) = second {
            let second = Self { raw, ..self };
            return Err(second.fault(ReadProblem::Twice {
                expected: "value for a key",
                found: second.excerpt(),
            }));
        }
        Ok(found.map(|raw| raw.map(|raw| Self { raw, ..self })))
    }

    /// Visits the items of an array, until one is at fault.
    pub(super) fn each(
        self,
        mut visit: impl FnMut(Self) -> Result<(), ReadError>,
    ) -> Result<(), ReadError> {
        if !self.raw.get().starts_with('[') {
            return Err(self.wrong("an array"));
        }
        let mut fault = None;
        let items = Items(|raw| match visit(Self { raw, ..self }) {
            Ok(()) => true,
            Err(error) => {
                fault = Some(error);
                false
            }
        });
        let done = serde_json::Deserializer::from_str(self.raw.get()).deserialize_seq(items);
        match (fault, done) {
            (Some(fault), _) => Err(fault),
            (None, Err(error)) => Err(self.fault(malformed(&error))),
            (None, Ok(())) => Ok(()),
        }
    }

    pub(super) fn text(self) -> Result<Cow<'a, str>, ReadError> {
        let raw = self.raw.get();
        let inner = raw
            .strip_prefix('"')
            .and_then(|rest| rest.strip_suffix('"'))
            .ok_or_else(|| self.wrong("a text"))?;
        if inner.contains('\\') {
            serde_json::from_str(raw)
                .map(Cow::Owned)
                .map_err(|error| self.fault(malformed(&error)))
        } else {
            Ok(Cow::Borrowed(inner))
        }
    }

    /// A finite number, be it in a text; NaN for null.
    pub(super) fn number(self) -> Result<f64, ReadError> {
        if self.is_null() {
            return Ok(f64::NAN);
        }
        let text = if self.is_text() {
            self.text()?
        } else {
            Cow::Borrowed(self.raw.get())
        };
        number_of(text.trim()).ok_or_else(|| self.wrong("a finite number or null"))
    }

    /// An instant \[s since 1970 UTC\].
    pub(super) fn time(self) -> Result<i64, ReadError> {
        const EXPECTED: &str = "a time in ISO 8601 with offset or Z, such as 2027-03-10T15:00:00Z";
        let text = if self.is_text() {
            self.text()?
        } else {
            return Err(self.wrong(EXPECTED));
        };
        parse_time(&text, None, None).map_err(|_| self.wrong(EXPECTED))
    }

    pub(super) fn place(self) -> Place {
        Place::of_byte(self.source.name, self.source.bytes, self.offset())
    }

    fn offset(self) -> usize {
        self.raw
            .get()
            .as_ptr()
            .addr()
            .saturating_sub(self.source.bytes.as_ptr().addr())
    }

    pub(super) fn excerpt(self) -> Excerpt {
        match self.is_text().then(|| self.text()) {
            Some(Ok(text)) => Excerpt::of(text.as_bytes()),
            _ => Excerpt::of(self.raw.get().as_bytes()),
        }
    }

    pub(super) fn fault(self, problem: ReadProblem) -> ReadError {
        fault_at(self.source, self.offset(), problem)
    }

    /// The fault of a value that is not what its key says.
    pub(super) fn wrong(self, expected: &'static str) -> ReadError {
        self.fault(ReadProblem::Field {
            expected,
            found: self.excerpt(),
        })
    }

    /// The fault of an object or array that lacks something.
    pub(super) fn lacks(self, expected: &'static str) -> ReadError {
        self.fault(ReadProblem::Absent { expected })
    }

    /// This value if it is believed, else NaN, counted.
    pub(super) fn believed(
        self,
        rejected: &mut Rejected,
        element: Element,
        (value, unit): (f64, Unit),
    ) -> f64 {
        rejected.keep(element, value, unit, || (self.place(), self.excerpt()))
    }

    /// This amount over `hours` if it is believed, else NaN, counted: what an hour can have bounds the mean of several.
    pub(super) fn believed_amount(
        self,
        rejected: &mut Rejected,
        element: Element,
        (value, unit): (f64, Unit),
        hours: f64,
    ) -> f64 {
        let mean = self.believed(rejected, element, (value / hours, unit));
        if mean.is_nan() { mean } else { value }
    }
}

struct Members<'k, const N: usize> {
    keys: [&'k str; N],
}

impl<'de, const N: usize> Visitor<'de> for Members<'_, N> {
    type Value = ([Option<&'de RawValue>; N], Option<&'de RawValue>);

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an object")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
        let (mut found, mut second) = ([None; N], None);
        while let Some(which) = map.next_key_seed(Which(&self.keys))? {
            match which.and_then(|which| found.get_mut(which)) {
                None => drop(map.next_value::<IgnoredAny>()?),
                Some(place) => {
                    let raw = map.next_value::<&'de RawValue>()?;
                    if place.replace(raw).is_some() {
                        second = second.or(Some(raw));
                    }
                }
            }
        }
        Ok((found, second))
    }
}

/// Which of some keys the next one is.
struct Which<'k>(&'k [&'k str]);

impl<'de> DeserializeSeed<'de> for Which<'_> {
    type Value = Option<usize>;

    fn deserialize<D: Deserializer<'de>>(self, key: D) -> Result<Self::Value, D::Error> {
        key.deserialize_str(self)
    }
}

impl Visitor<'_> for Which<'_> {
    type Value = Option<usize>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a key")
    }

    fn visit_str<E>(self, key: &str) -> Result<Self::Value, E> {
        Ok(self.0.iter().position(|known| *known == key))
    }
}

struct Items<F>(F);

impl<'de, F: FnMut(&'de RawValue) -> bool> Visitor<'de> for Items<F> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an array")
    }

    fn visit_seq<A: SeqAccess<'de>>(mut self, mut items: A) -> Result<(), A::Error> {
        while let Some(raw) = items.next_element()? {
            if !(self.0)(raw) {
                return Err(A::Error::custom("stopped"));
            }
        }
        Ok(())
    }
}

/// When a forecast was issued: unknown without the member, blank where it is null or empty.
pub(super) fn issued(member: Option<Node<'_>>) -> Result<Issued, ReadError> {
    match member {
        None => Ok(Issued::Unknown),
        Some(node) if node.is_null() || (node.is_text() && node.text()?.trim().is_empty()) => {
            Ok(Issued::Blank)
        }
        Some(node) => node.time().map(Issued::At),
    }
}

/// The place of a GeoJSON geometry (RFC 7946): a point, the mean of a polygon's corners, or the first point of a
/// collection, or else its first polygon. A third coordinate is the elevation, unless `elevation_m` is known.
pub(super) fn position(
    geometry: Option<Node<'_>>,
    elevation_m: Option<f64>,
) -> Result<Option<Position>, ReadError> {
    let Some(geometry) = given(geometry) else {
        return Ok(None);
    };
    let [geometries] = geometry.members(["geometries"])?;
    let (mut point, mut polygon) = (None, None);
    let mut look = |node: Node<'_>| {
        let [kind, coordinates] = node.members(["type", "coordinates"])?;
        let (Some(kind), Some(coordinates)) = (given(kind), given(coordinates)) else {
            return Ok(());
        };
        match &*kind.text()? {
            "Point" if point.is_none() => point = Some(corner(coordinates)?),
            "Polygon" if polygon.is_none() => polygon = middle(coordinates)?,
            _ => {}
        }
        Ok(())
    };
    match given(geometries) {
        Some(geometries) => geometries.each(look)?,
        None => look(geometry)?,
    }
    let place = point.or(polygon);
    Ok(place.map(|place| Position {
        elevation_m: elevation_m.or(place.elevation_m),
        ..place
    }))
}

/// Longitude, latitude and perhaps elevation.
fn corner(coordinates: Node<'_>) -> Result<Position, ReadError> {
    const EXPECTED: &str = "longitude from -180 to 180 and latitude from -90 to 90 in degrees";
    let (mut values, mut count) = ([f64::NAN; 3], 0);
    coordinates.each(|item| {
        if let Some(place) = values.get_mut(count) {
            *place = item.number()?;
        }
        count += 1;
        Ok(())
    })?;
    let [longitude, latitude, elevation] = values;
    if !(longitude.abs() <= 180.0 && latitude.abs() <= 90.0) {
        return Err(coordinates.wrong(EXPECTED));
    }
    let elevation_m = if elevation.is_nan() {
        None
    } else {
        Some(believed_elevation(elevation, coordinates)?)
    };
    Ok(Position {
        latitude,
        longitude,
        elevation_m,
    })
}

/// An elevation at which plants could stand. Ours: dry land lies between −430 m and 8849 m.
pub(super) fn believed_elevation(elevation_m: f64, at: Node<'_>) -> Result<f64, ReadError> {
    if (-500.0..=9000.0).contains(&elevation_m) {
        Ok(elevation_m)
    } else {
        Err(at.wrong("an elevation from -500 m to 9000 m"))
    }
}

/// Mean of the corners of a polygon's outer ring, whose last repeats its first; across the 180th meridian too.
fn middle(coordinates: Node<'_>) -> Result<Option<Position>, ReadError> {
    let (mut ring, mut first, mut waiting) = (None, None, None);
    let (mut sum, mut count) = ((0.0, 0.0), 0.0);
    coordinates.each(|item| {
        ring = ring.or(Some(item));
        Ok(())
    })?;
    let Some(ring) = ring else { return Ok(None) };
    ring.each(|item| {
        let here = corner(item)?;
        let first = *first.get_or_insert(here);
        let turns = ((here.longitude - first.longitude) / 360.0).round();
        if let Some((longitude, latitude)) =
            waiting.replace((here.longitude - 360.0 * turns, here.latitude))
        {
            sum = (sum.0 + longitude, sum.1 + latitude);
            count += 1.0;
        }
        Ok(())
    })?;
    // The last corner waits still; it counts only where the ring is none but a point.
    let Some(alone) = waiting else {
        return Ok(None);
    };
    let (longitude, latitude) = if count > 0.0 {
        (sum.0 / count, sum.1 / count)
    } else {
        alone
    };
    let turns = (longitude / 360.0).round();
    Ok(Some(Position {
        latitude,
        longitude: longitude - 360.0 * turns,
        elevation_m: None,
    }))
}

/// The time that the rows of a file cover, as far as they have been read.
#[derive(Clone, Copy)]
pub(super) struct Span {
    start: i64,
    end: i64,
}

impl Span {
    /// The span with one more row, of which `at` gives the time. Rows lie on the grid of the first of them.
    pub(super) fn with(
        span: Option<Self>,
        (start, end): (i64, i64),
        at: Node<'_>,
    ) -> Result<Self, ReadError> {
        let span = span.unwrap_or(Self { start, end });
        if (start - span.start).rem_euclid(HOUR_S) != 0 {
            return Err(at.fault(ReadProblem::OffGrid {
                step_minutes: 60,
                found: at.excerpt(),
            }));
        }
        let wider = Self {
            start: span.start.min(start),
            end: span.end.max(end),
        };
        if wider.end - wider.start > MAX_FORECAST_HOURS * HOUR_S {
            let limit = MAX_FORECAST_HOURS.unsigned_abs();
            return Err(at.fault(ReadProblem::TooMuch {
                limit,
                of: "hours from first to last",
            }));
        }
        Ok(wider)
    }

    pub(super) fn start(self) -> i64 {
        self.start
    }

    pub(super) fn end(self) -> i64 {
        self.end
    }

    pub(super) fn hours(self) -> usize {
        self.hour_of(self.end)
    }

    /// Hours from the start to `time`, which lies in the span.
    pub(super) fn hour_of(self, time: i64) -> usize {
        usize::try_from((time - self.start).div_euclid(HOUR_S)).unwrap_or_default()
    }
}

/// The values of one element as they are read, all in the unit of the first.
pub(super) struct Track {
    pub(super) element: Element,
    /// Whether the file has it at all.
    pub(super) is_there: bool,
    /// Values, or least values.
    pub(super) low: Vec<f64>,
    /// Greatest values; as good as `low` where it is shorter.
    pub(super) high: Vec<f64>,
    unit: Option<Unit>,
}

impl Track {
    pub(super) fn new(element: Element) -> Self {
        Self {
            element,
            is_there: false,
            low: Vec::new(),
            high: Vec::new(),
            unit: None,
        }
    }

    /// A track that is there, in a unit that is known.
    pub(super) fn in_unit(element: Element, unit: Unit) -> Self {
        Self {
            is_there: true,
            unit: Some(unit),
            ..Self::new(element)
        }
    }

    /// The unit of its values; the computed one where it has none.
    pub(super) fn unit(&self) -> Unit {
        self.unit.unwrap_or(self.element.kind().si())
    }

    /// Takes note of the unit of a value; `at` is the place of the unit.
    pub(super) fn agree(&mut self, unit: Unit, at: Node<'_>) -> Result<(), ReadError> {
        if *self.unit.get_or_insert(unit) == unit {
            return Ok(());
        }
        let (expected, of) = ("the unit of the values before it", self.element.name());
        Err(at.fault(ReadProblem::Unit {
            expected,
            of,
            found: at.excerpt(),
        }))
    }

    /// The column, if the file has it.
    pub(super) fn into_column(self) -> Option<(Element, Column)> {
        let unit = self.unit();
        let is_exact = self.high.len() < self.low.len();
        let column = if is_exact {
            Column::exact(self.low, unit)
        } else {
            Column::bounded(self.low, self.high, unit)
        };
        self.is_there.then_some((self.element, column))
    }
}

/// Brings exact dew points and temperatures to what both can be; a notice where they could not.
pub(super) fn settle(source: Source<'_>, tracks: &mut [Track]) -> Option<Notice> {
    let (mut temperature, mut dew_point) = (None, None);
    for track in tracks {
        match track.element {
            Element::Temperature => temperature = Some(track),
            Element::DewPoint => dew_point = Some(track),
            _ => {}
        }
    }
    let (temperature, dew_point) = (temperature?, dew_point?);
    let (unit, dew_unit) = (temperature.unit(), dew_point.unit());
    let count = settle_dew_points((&mut temperature.low, unit), (&mut dew_point.low, dew_unit));
    dew_point_notice(source, count)
}

/// Columns on their way to a series.
pub(super) struct Draft {
    pub(super) start: i64,
    pub(super) has_row: Vec<bool>,
    pub(super) columns: Vec<(Element, Column)>,
    pub(super) amounts: Vec<(Element, Amounts)>,
    pub(super) percentiles: Vec<Percentiles>,
}

impl Draft {
    /// A notice where hours within the file have no row.
    pub(super) fn gaps(&self, source: Source<'_>) -> Option<Notice> {
        let count = self.has_row.iter().filter(|has_row| !**has_row).count() as u64;
        (count > 0).then(|| Notice::Gaps {
            file: source.name.to_owned(),
            count,
        })
    }

    pub(super) fn series(self, source: Source<'_>) -> Result<HourlySeries, ReadError> {
        self.assembled()
            .map_err(|error| fault_whole(source, series_problem(error)))
    }

    fn assembled(self) -> Result<HourlySeries, SeriesError> {
        let mut series = HourlySeries::new(self.start, self.has_row)?;
        for (element, column) in self.columns {
            series.set_column(element, column)?;
        }
        for (element, amounts) in self.amounts {
            series.set_amounts(element, amounts)?;
        }
        for percentiles in self.percentiles {
            series.add_percentiles(percentiles)?;
        }
        Ok(series)
    }
}

#[cfg(test)]
#[allow(
    clippy::too_many_lines,
    reason = "a check is a table that is read down"
)]
mod tests {
    use super::super::{Format, read_hourly};
    use super::*;

    const GRIDPOINT: &str = r#"{"type":"Feature","geometry":{"type":"Polygon","coordinates":[[[-85,30],[-84,30],[-84,31],[-85,31],[-85,30]]]},
"properties":{"updateTime":"2027-03-10T14:00:00Z","temperature":{"uom":"wmoUnit:degC","values":[
{"validTime":"2027-03-10T15:00:00+00:00/PT2H","value":4.5},{"validTime":"2027-03-10T17:00:00+00:00/P1DT1H","value":null}]},
"quantitativePrecipitation":{"uom":"wmoUnit:mm","values":[{"validTime":"2027-03-10T15:00:00+00:00/PT6H","value":2}]}}}"#;
    const HOURLY: &str = r#"{"type":"Feature","geometry":{"type":"Point","coordinates":[-84.5,30.5]},"properties":{"periods":[
{"startTime":"2027-03-10T09:00:00-06:00","endTime":"2027-03-10T10:00:00-06:00","temperature":50,"temperatureUnit":"F","windSpeed":"5 to 10 mph"},
{"startTime":"2027-03-10T10:00:00-06:00","endTime":"2027-03-10T11:00:00-06:00","temperature":"51","temperatureUnit":"F","windSpeed":"5 mph"}]}}"#;
    const OBSERVATIONS: &str = r#"{"type":"FeatureCollection","features":[{"geometry":null,"properties":{"timestamp":"2027-03-10T15:53:00+00:00",
"temperature":{"value":4,"unitCode":"unit:degC","qualityControl":"qc:V"},"precipitationLastHour":{"value":0.001,"unitCode":"unit:m"}}}]}"#;
    const STEPS: &str = r#"{"status_code":200,"data":{"type":"Feature","geometry":{"type":"Point","coordinates":[10,59,63]},"properties":{
"meta":{"updated_at":"2027-03-10T14:00:00Z","units":{"air_temperature":"celsius","air_temperature_min":"celsius","air_temperature_max":"celsius","precipitation_amount":"mm"}},
"timeseries":[{"time":"2027-03-10T15:00:00Z","data":{"instant":{"details":{"air_temperature":4.5}},"next_1_hours":{"details":{"precipitation_amount":0.0}}}},
{"time":"2027-03-10T16:00:00Z","data":{"instant":{"details":{"air_temperature":5}},"next_6_hours":{"details":{"precipitation_amount":1.5,"air_temperature_min":1,"air_temperature_max":6}}}}]}}}"#;
    const ALL: [(&str, Format); 4] = [
        (GRIDPOINT, Format::NwsGridpoint),
        (HOURLY, Format::NwsHourly),
        (OBSERVATIONS, Format::NwsObservations),
        (STEPS, Format::Locationforecast),
    ];

    fn answer(bytes: &[u8]) -> Result<super::super::Reading, ReadError> {
        read_hourly(
            Source {
                name: "week.json",
                bytes,
            },
            None,
        )
    }

    fn message(text: &str) -> String {
        answer(text.as_bytes()).unwrap_err().to_string()
    }

    /// The contract, section 6: the format is recognised from the content.
    #[test]
    fn layouts_are_recognised_by_their_content() {
        for (text, format) in ALL {
            assert_eq!(answer(text.as_bytes()).unwrap().format, format);
            let wrapped = format!("\u{feff}\n {{\"headers\":{{}}, \"data\": {text}\n}}\r\n");
            if format != Format::Locationforecast {
                assert_eq!(answer(wrapped.as_bytes()).unwrap().format, format);
            }
        }
    }

    #[test]
    fn other_json_is_no_weather() {
        let expected = "hourly CSV (header with \"time\"), GHCN-Hourly, U.S. NWS GeoJSON or MET Norway Locationforecast JSON";
        for (text, found) in [
            ("{}", "{}"),
            ("[1]", "[1]"),
            (r#"{"type":7}"#, r#"{"type":7}"#),
            (r#"{"type":"Feature"}"#, r#"{"type":"Feature"}"#),
            (
                r#"{"type":"Feature","properties":{"temperature":5}}"#,
                r#"{"type":"Feature","properties":{"tempera…"#,
            ),
            (r#"{"data":[]}"#, r#"{"data":[]}"#),
        ] {
            assert_eq!(
                message(text),
                format!("week.json:1:1: expected {expected}, found \"{found}\"")
            );
        }
        // A wrapper inside a wrapper is none.
        let twice = format!("{{\"data\":{{\"data\":{GRIDPOINT}}}}}");
        assert!(message(&twice).starts_with("week.json:1:9: expected hourly CSV"));
    }

    /// Columns counted by hand; they are those of the last byte that the general reader accepted or looked at.
    #[test]
    fn json_that_is_not_well_formed_is_an_error_where_it_breaks() {
        for (text, expected) in [
            ("", "week.json: expected weather, found an empty file"),
            (" \n", "week.json: expected weather, found an empty file"),
            (
                "{\"type\":",
                "week.json:1:8: expected well-formed JSON, found an error: \"the file ends too early\"",
            ),
            (
                "{\n\"a\" 1}",
                "week.json:2:5: expected well-formed JSON, found an error: \"expected `:`\"",
            ),
            (
                "{} x",
                "week.json:1:4: expected well-formed JSON, found an error: \"trailing characters\"",
            ),
            (
                "{\"a\":\"\x01\"}",
                "week.json:1:6: expected well-formed JSON, found an error: \"a control character in a text\"",
            ),
        ] {
            assert_eq!(message(text), expected);
        }
        let half_a_pair = GRIDPOINT.replace("Polygon", r"\ud800");
        let detail = "\"unexpected end of hex escape\"";
        let expected =
            format!("week.json:1:38: expected well-formed JSON, found an error: {detail}");
        assert_eq!(message(&half_a_pair), expected);
    }

    /// The module's limit: 128 levels are read, the 129th bracket is an error, and brackets in texts do not count.
    #[test]
    fn nesting_is_bounded() {
        let nested = |levels: usize| {
            format!(
                "{{\"a\":{}{}}}",
                "[".repeat(levels - 1),
                "]".repeat(levels - 1)
            )
        };
        assert!(message(&nested(128)).contains("expected hourly CSV"));
        let expected = "expected at most 128 levels of JSON, found more";
        assert_eq!(
            message(&nested(129)),
            format!("week.json:1:133: {expected}")
        );
        assert_eq!(
            message(&"[".repeat(100_000)),
            format!("week.json:1:129: {expected}")
        );
        assert!(
            message(&format!("{{\"a\":\"\\\"{}\"}}", "[".repeat(1000)))
                .contains("expected hourly CSV")
        );
    }

    #[test]
    fn keys_may_be_escaped_but_not_doubled() {
        let escaped = GRIDPOINT
            .replace("\"uom\"", "\"u\\u006fm\"")
            .replace("wmoUnit:degC", "wmoUnit\\u003adegC");
        let same =
            [&*escaped, GRIDPOINT].map(|text| format!("{:?}", answer(text.as_bytes()).unwrap())); // NaN is not NaN
        assert_eq!(same[0], same[1]);
        let doubled = HOURLY.replace(
            "\"temperature\":50",
            "\"temperature\":50,\"temperature\":51",
        );
        assert_eq!(
            message(&doubled),
            "week.json:2:111: expected one value for a key, found another: \"51\""
        );
        let unread = HOURLY.replace("\"temperature\":50", "\"x\":50,\"x\":51,\"temperature\":50");
        assert!(answer(unread.as_bytes()).is_ok());
    }

    /// RFC 7946: longitude first; the mean of four corners of a square is its centre.
    #[test]
    fn places_are_read_from_geometries() {
        let place = |geometry: &str| {
            let from = HOURLY.find("{\"type\":\"Point\"").unwrap();
            let to = HOURLY.find(",\"properties\"").unwrap();
            let text = format!("{}{geometry}{}", &HOURLY[..from], &HOURLY[to..]);
            answer(text.as_bytes()).map(|reading| {
                reading
                    .position
                    .map(|p| (p.latitude, p.longitude, p.elevation_m))
            })
        };
        let ring = r#"{"type":"Polygon","coordinates":[[[179,50],[-179,50],[-179,52],[179,52],[179,50]]]}"#;
        for (geometry, expected) in [
            ("null", None),
            ("{}", None),
            (r#"{"type":"LineString","coordinates":[[1,2],[3,4]]}"#, None),
            (r#"{"type":"Polygon","coordinates":[]}"#, None),
            (
                r#"{"type":"Point","coordinates":[10,59,63]}"#,
                Some((59.0, 10.0, Some(63.0))),
            ),
            (
                r#"{"type":"Point","coordinates":["10","59",null]}"#,
                Some((59.0, 10.0, None)),
            ),
            (ring, Some((51.0, 180.0, None))),
            (
                &format!(r#"{{"geometries":[{ring},{{"type":"Point","coordinates":[1,2]}}]}}"#),
                Some((2.0, 1.0, None)),
            ),
        ] {
            let found = place(geometry).unwrap();
            let same =
                found == expected || found.map(|(lat, lon, m)| (lat, lon.abs(), m)) == expected;
            assert!(same, "{geometry} gives {found:?}");
        }
        for (geometry, expected) in [
            (
                r#"{"type":"Point","coordinates":[10,95]}"#,
                "60: expected longitude from -180 to 180 and latitude from -90 to 90 in degrees, found \"[10,95]\"",
            ),
            (
                r#"{"type":"Point","coordinates":[10]}"#,
                "60: expected longitude from -180 to 180 and latitude from -90 to 90 in degrees, found \"[10]\"",
            ),
            (
                r#"{"type":"Point","coordinates":[10,59,99999]}"#,
                "60: expected an elevation from -500 m to 9000 m, found \"[10,59,99999]\"",
            ),
            (
                r#"{"type":"Point","coordinates":{}}"#,
                "60: expected an array, found \"{}\"",
            ),
            ("7", "30: expected an object, found \"7\""),
        ] {
            assert_eq!(
                place(geometry).unwrap_err().to_string(),
                format!("week.json:1:{expected}")
            );
        }
    }

    /// The contract, section 6: a file of any bytes gives an answer or an error.
    #[test]
    fn every_truncation_is_an_error() {
        for (text, _) in ALL {
            for end in (0..text.len()).filter(|end| text.is_char_boundary(*end)) {
                assert!(
                    answer(&text.as_bytes()[..end]).is_err(),
                    "cut at byte {end}: {text}"
                );
            }
        }
    }

    /// The contract, section 6: a file of any bytes gives an answer or an error, never a panic. The generator is the
    /// linear congruential one of Knuth's MMIX (from memory); any would do.
    #[test]
    fn mutations_give_an_answer_or_an_error() {
        let mut state = 2027_u64;
        let mut below = |limit: usize| {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            usize::try_from(state >> 33).unwrap() % limit
        };
        let pieces = [
            "null",
            "[",
            "]",
            "{",
            "}",
            ",",
            "\"",
            "1e999",
            "-1",
            "true",
            "P9999999D",
            "/",
            "\\u00",
            "0",
            "9",
            "T",
        ];
        let (mut answers, mut errors) = (0, 0);
        for round in 0..20_000 {
            let mut bytes = ALL[round % ALL.len()].0.as_bytes().to_vec();
            for _ in 0..=below(3) {
                let at = below(bytes.len());
                match below(4) {
                    0 => bytes[at] = u8::try_from(below(256)).unwrap(),
                    1 => drop(bytes.remove(at)),
                    2 => drop(bytes.splice(at..at, pieces[below(pieces.len())].bytes())),
                    _ => {
                        let end = (at + below(12)).min(bytes.len());
                        bytes.splice(at..end, pieces[below(pieces.len())].bytes());
                    }
                }
            }
            match answer(&bytes) {
                Ok(reading) => {
                    answers += 1;
                    assert!(
                        reading
                            .members
                            .iter()
                            .all(|series| series.hours() > 0 && series.hours() <= 8784 + 12)
                    );
                }
                Err(error) => {
                    errors += 1;
                    assert!(error.to_string().starts_with("week.json"), "{error}");
                }
            }
        }
        assert!(
            answers > 1000 && errors > 1000,
            "{answers} answers, {errors} errors"
        );
    }
}
