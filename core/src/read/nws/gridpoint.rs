//! NWS gridpoint data: layers of values, each over an interval in ISO 8601.
//!
//! The service merges neighbours of equal value, so a value stands in each hour of its interval. Amounts of rain and
//! snow are not merged: each is the amount over its interval, and is kept as that.

use super::super::clean::Rejected;
use super::super::json::{Draft, Node, Span, Track, given, issued, position, settle};
use super::super::{Format, Notice, Reading, Source, parse_time};
use super::{elevation_m, unit_of};
use crate::error::ReadError;
use crate::quantity::Unit;
use crate::series::{Amount, Amounts, Element, HOUR_S, micrometres};

/// The layers that are read, rain first.
const LAYERS: [(&str, Element); 9] = [
    ("quantitativePrecipitation", Element::Rain),
    ("snowfallAmount", Element::Snow),
    ("temperature", Element::Temperature),
    ("probabilityOfPrecipitation", Element::RainChance),
    ("relativeHumidity", Element::Humidity),
    ("dewpoint", Element::DewPoint),
    ("windSpeed", Element::Wind),
    ("windGust", Element::Gust),
    ("skyCover", Element::Cloud),
];

/// A value over an interval that begins at `from` \[s since 1970 UTC\].
struct Interval {
    from: i64,
    hours: i64,
    value: f64,
}

/// One layer of the file.
struct Layer {
    element: Element,
    unit: Unit,
    intervals: Vec<Interval>,
}

/// What all layers share.
#[derive(Default)]
struct Grid {
    span: Option<Span>,
    rejected: Rejected,
}

/// Whether properties hold a layer, or the times for which layers are valid.
pub fn is_gridpoint(properties: Node<'_>) -> Result<bool, ReadError> {
    if let [Some(_)] = properties.members(["validTimes"])? {
        return Ok(true);
    }
    for layer in properties
        .members(LAYERS.map(|(key, _)| key))?
        .into_iter()
        .flatten()
    {
        if layer.is_object() && layer.members(["values"])?.iter().any(Option::is_some) {
            return Ok(true);
        }
    }
    Ok(false)
}

/// Reads gridpoint data.
pub fn read(geometry: Option<Node<'_>>, properties: Node<'_>) -> Result<Reading, ReadError> {
    let source = properties.source();
    let [updated, elevation] = properties.members(["updateTime", "elevation"])?;
    let mut grid = Grid::default();
    let mut layers = Vec::new();
    for (node, (_, element)) in properties
        .members(LAYERS.map(|(key, _)| key))?
        .into_iter()
        .zip(LAYERS)
    {
        if let Some(node) = given(node) {
            layers.extend(grid.layer(node, element)?);
        }
    }
    let span = grid
        .span
        .ok_or_else(|| properties.lacks("a layer with values, such as temperature"))?;
    let mut notices: Vec<Notice> = grid.rejected.notices().collect();
    let draft = draft(source, span, &layers, &mut notices);
    notices.extend(draft.gaps(source));
    notices.extend(said_of_intervals(source, &layers));
    Ok(Reading {
        members: vec![draft.series(source)?],
        issued: issued(updated)?,
        position: position(geometry, elevation_m(elevation)?)?,
        format: Format::NwsGridpoint,
        notices,
    })
}

impl Grid {
    /// A layer; `None` for one without values.
    fn layer(&mut self, node: Node<'_>, element: Element) -> Result<Option<Layer>, ReadError> {
        let [uom, code, values] = node.members(["uom", "unitCode", "values"])?;
        let Some(values) = given(values) else {
            return Ok(None);
        };
        let code = given(uom).or(given(code));
        let mut unit = None;
        let mut intervals: Vec<Interval> = Vec::new();
        values.each(|entry| {
            let [valid_time, value] = entry.members(["validTime", "value"])?;
            let at = valid_time.ok_or_else(|| entry.lacks("the validTime of a value"))?;
            let (from, hours) = interval(at)?;
            if intervals
                .last()
                .is_some_and(|last| from < last.from + last.hours * HOUR_S)
            {
                return Err(
                    at.wrong("an interval that begins where the one before it ends, or later")
                );
            }
            self.span = Some(Span::with(self.span, (from, from + hours * HOUR_S), at)?);
            let value = match given(value) {
                None => f64::NAN,
                Some(value) => {
                    let code = code.ok_or_else(|| node.lacks("the uom of the layer"))?;
                    let (known, scale) = match unit {
                        Some(known) => known,
                        None => *unit.insert(unit_of(code, element.kind(), element.name())?),
                    };
                    self.believed(value, element, (value.number()? * scale, known), hours)
                }
            };
            intervals.push(Interval { from, hours, value });
            Ok(())
        })?;
        let unit = unit.map_or(element.kind().si(), |(unit, _)| unit);
        Ok((!intervals.is_empty()).then_some(Layer {
            element,
            unit,
            intervals,
        }))
    }

    fn believed(&mut self, at: Node<'_>, element: Element, value: (f64, Unit), hours: i64) -> f64 {
        match element {
            Element::Rain | Element::Snow => {
                at.believed_amount(&mut self.rejected, element, value, hours as f64)
            }
            _ => at.believed(&mut self.rejected, element, value),
        }
    }
}

fn draft(source: Source<'_>, span: Span, layers: &[Layer], notices: &mut Vec<Notice>) -> Draft {
    let mut has_row = vec![false; span.hours()];
    let mut tracks = Vec::new();
    let mut amounts = Vec::new();
    for layer in layers {
        for interval in &layer.intervals {
            fill(&mut has_row, span, interval, true);
        }
        if matches!(layer.element, Element::Rain | Element::Snow) {
            amounts.push((layer.element, layer.amounts(span)));
        } else {
            tracks.push(layer.track(span));
        }
    }
    notices.extend(settle(source, &mut tracks));
    let columns = tracks.into_iter().filter_map(Track::into_column).collect();
    Draft {
        start: span.start(),
        has_row,
        columns,
        amounts,
        percentiles: Vec::new(),
    }
}

/// Sets the hours of an interval.
fn fill<T: Copy>(hours: &mut [T], span: Span, interval: &Interval, value: T) {
    let from = span.hour_of(interval.from);
    let to = span.hour_of(interval.from + interval.hours * HOUR_S);
    if let Some(hours) = hours.get_mut(from..to) {
        hours.fill(value);
    }
}

impl Layer {
    fn track(&self, span: Span) -> Track {
        let mut track = Track::in_unit(self.element, self.unit);
        track.low = vec![f64::NAN; span.hours()];
        for interval in &self.intervals {
            fill(&mut track.low, span, interval, interval.value);
        }
        track
    }

    fn amounts(&self, span: Span) -> Amounts {
        let known = self
            .intervals
            .iter()
            .filter(|interval| !interval.value.is_nan());
        let amounts: Vec<Amount> = known
            .map(|interval| {
                let from = span.hour_of(interval.from);
                let hours = span.hour_of(interval.from + interval.hours * HOUR_S) - from;
                let um = micrometres(interval.value, self.unit);
                Amount {
                    from,
                    hours,
                    low_um: um,
                    high_um: Some(um),
                }
            })
            .collect();
        Amounts::new(span.hours(), &amounts, self.unit)
    }

    /// Values over more than an hour that `is_meant` picks.
    fn long(&self, is_meant: impl Fn(f64) -> bool) -> u64 {
        self.intervals
            .iter()
            .filter(|interval| interval.hours > 1 && is_meant(interval.value))
            .count() as u64
    }
}

/// Notices of rain known over several hours only, and of chances over several hours.
fn said_of_intervals(source: Source<'_>, layers: &[Layer]) -> Vec<Notice> {
    let layer = |element| layers.iter().find(|layer| layer.element == element);
    let file = || source.name.to_owned();
    let wet = layer(Element::Rain).map_or(0, |layer| layer.long(|value| value > 0.0));
    let chances = layer(Element::RainChance).map_or(0, |layer| layer.long(|value| !value.is_nan()));
    let steps = (wet > 0).then(|| Notice::LongSteps {
        file: file(),
        count: wet,
    });
    let periods = (chances > 0).then(|| Notice::ChancePeriods { file: file() });
    steps.into_iter().chain(periods).collect()
}

/// Start \[s since 1970 UTC\] and whole hours of an interval.
fn interval(at: Node<'_>) -> Result<(i64, i64), ReadError> {
    const EXPECTED: &str = "an interval of whole hours such as \"2027-03-10T15:00:00+00:00/PT6H\"";
    let wrong = || at.wrong(EXPECTED);
    let text = if at.is_text() {
        at.text()?
    } else {
        return Err(wrong());
    };
    let (start, length) = text.split_once('/').ok_or_else(wrong)?;
    let start = parse_time(start, None, None).map_err(|_| wrong())?;
    let seconds = duration_s(length).ok_or_else(wrong)?;
    if seconds > 0 && seconds % HOUR_S == 0 {
        Ok((start, seconds / HOUR_S))
    } else {
        Err(wrong())
    }
}

/// Seconds of a duration in ISO 8601 (8601-1:2019, 5.5.2) of weeks, days, hours, minutes and seconds, in this order.
/// Months and years have no fixed length and are refused.
fn duration_s(text: &str) -> Option<i64> {
    let (mut rest, mut seconds, mut is_time, mut least_next) =
        (text.strip_prefix('P')?, 0_i64, false, 0);
    while !rest.is_empty() {
        if let (Some(time), false) = (rest.strip_prefix('T'), is_time) {
            (rest, is_time) = (time, true);
            if rest.is_empty() {
                return None;
            }
            continue;
        }
        let digits = rest.bytes().take_while(u8::is_ascii_digit).count();
        let (number, after) = rest.split_at_checked(digits)?;
        let mut letters = after.chars();
        let (order, length_s) = match (letters.next()?, is_time) {
            ('W', false) => (0, 7 * 86_400),
            ('D', false) => (1, 86_400),
            ('H', true) => (2, HOUR_S),
            ('M', true) => (3, 60),
            ('S', true) => (4, 1),
            _ => return None,
        };
        if order < least_next || digits > 9 {
            return None;
        }
        (rest, least_next) = (letters.as_str(), order + 1);
        seconds = seconds.checked_add(number.parse::<i64>().ok()?.checked_mul(length_s)?)?;
    }
    Some(seconds)
}

#[cfg(test)]
#[allow(
    clippy::too_many_lines,
    reason = "a check is a table that is read down"
)]
mod tests {
    use super::super::super::{Issued, sample};
    use super::*;
    use crate::series::HourlySeries;

    fn answer(text: &str) -> Result<Reading, ReadError> {
        sample::answer("grid.json", text)
    }

    #[track_caller]
    fn assert_fault(marked: &str, expected: &str) {
        sample::assert_fault("grid.json", marked, expected);
    }

    fn grid(members: &str) -> String {
        format!("{{'type':'Feature','properties':{{'validTimes':'x',{members}}}}}")
    }

    fn layer(name: &str, uom: &str, values: &[(&str, &str)]) -> String {
        let values: Vec<String> = values
            .iter()
            .map(|(time, value)| format!("\n{{'validTime':'2027-03-{time}','value':{value}}}"))
            .collect();
        format!("'{name}':{{'uom':'{uom}','values':[{}]}}", values.join(","))
    }

    fn series(text: &str) -> HourlySeries {
        answer(text).unwrap().members.remove(0)
    }

    fn missing(series: &HourlySeries, element: Element) -> usize {
        series
            .column(element)
            .unwrap()
            .low()
            .iter()
            .filter(|value| value.is_nan())
            .count()
    }

    /// NWS API documentation, gridpoints: equal neighbours are merged, an amount is the amount over its interval.
    #[test]
    fn values_stand_in_each_hour_and_amounts_over_all() {
        let series = series(&grid(&format!(
            "{},{},{}",
            layer(
                "temperature",
                "unit:degF",
                &[("10T15:00Z/PT2H", "40"), ("10T18:00Z/PT1H", "null")]
            ),
            layer(
                "quantitativePrecipitation",
                "wmoUnit:m",
                &[("10T16:00Z/PT3H", "0.0005"), ("10T19:00Z/PT1H", "null")]
            ),
            layer("snowfallAmount", "cm", &[("10T16:00Z/PT1H", "2.5")]),
        )));
        assert_eq!((series.start(), series.hours()), (1_804_690_800, 5));
        let temperature = series.column(Element::Temperature).unwrap();
        assert_eq!(temperature.at(1, Unit::Fahrenheit), Some((40.0, 40.0)));
        assert_eq!(
            (
                temperature.at(2, Unit::Fahrenheit),
                missing(&series, Element::Temperature)
            ),
            (None, 3)
        );
        assert!((0..5).all(|hour| series.has_row(hour)));
        let rain = series.amounts(Element::Rain).unwrap();
        assert_eq!(
            (rain.sum(1, 4).low_um, rain.sum(1, 4).high_um),
            (500, Some(500))
        );
        assert_eq!(
            (rain.sum(0, 1).high_um, rain.sum(4, 5).high_um),
            (None, None)
        );
        assert_eq!(
            series.amounts(Element::Snow).unwrap().sum(1, 2).low_um,
            25_000
        );
    }

    /// An hour is an hour: nothing is said of bounds where there are none, nor of dry or blank intervals.
    #[test]
    fn single_hours_and_dry_intervals_need_no_notice() {
        let text = grid(&format!(
            "{},{}",
            layer(
                "quantitativePrecipitation",
                "wmoUnit:mm",
                &[("10T15:00Z/PT1H", "2"), ("10T16:00Z/PT6H", "0")]
            ),
            layer(
                "probabilityOfPrecipitation",
                "wmoUnit:percent",
                &[("10T15:00Z/PT1H", "9"), ("10T16:00Z/PT6H", "null")]
            ),
        ));
        assert_eq!(answer(&text).unwrap().notices, []);
    }

    /// The contract, promise 1: a column that is there and blank is not a column that is absent.
    #[test]
    fn blank_layers_are_columns_and_empty_ones_are_none() {
        let text = grid(&format!(
            "{},{},'windGust':{{}},'skyCover':null,'dewpoint':{{'values':[]}}",
            layer("temperature", "wmoUnit:degC", &[("10T15:00Z/PT1H", "4")]),
            layer(
                "windSpeed",
                "wmoUnit:furlong",
                &[("10T15:00Z/PT1H", "null")]
            ),
        ));
        let series = series(&text);
        assert_eq!(missing(&series, Element::Wind), 1);
        assert!(
            !series.has(Element::Gust)
                && !series.has(Element::Cloud)
                && !series.has(Element::DewPoint)
        );
        assert!(!series.has(Element::Rain));
    }

    #[test]
    fn issue_times_are_absent_blank_or_times() {
        let temperature = layer("temperature", "wmoUnit:degC", &[("10T15:00Z/PT1H", "'4'")]);
        for (member, issued) in [
            ("", Issued::Unknown),
            ("'updateTime':null,", Issued::Blank),
            ("'updateTime':'',", Issued::Blank),
            (
                "'updateTime':'2027-03-10T16:00:00+01:00',",
                Issued::At(1_804_690_800),
            ),
        ] {
            assert_eq!(
                answer(&grid(&format!("{member}{temperature}")))
                    .unwrap()
                    .issued,
                issued
            );
        }
        for (time, found) in [
            ("'noon'", "noon"),
            ("7", "7"),
            ("'2027-03-10T15:00'", "2027-03-10T15:00"),
        ] {
            let expected = "a time in ISO 8601 with offset or Z, such as 2027-03-10T15:00:00Z";
            let text = grid(&format!("'updateTime':^{time},{temperature}"));
            assert_fault(&text, &format!("{expected}, found \"{found}\""));
        }
    }

    /// A caret marks where the fault must be found.
    #[test]
    fn faults_of_intervals_name_their_place() {
        let interval = "an interval of whole hours such as \"2027-03-10T15:00:00+00:00/PT6H\"";
        let second = |times: &str| {
            let (first, second) = times.split_once(' ').unwrap();
            let text = grid(&layer(
                "temperature",
                "wmoUnit:degC",
                &[(first, "4"), (second, "5")],
            ));
            text.replace(
                &format!("'2027-03-{second}"),
                &format!("^'2027-03-{second}"),
            )
        };
        for (text, expected) in [
            (
                second("10T15:00Z/PT2H 10T16:00Z/PT1H"),
                "an interval that begins where the one before it ends, or later, found \"2027-03-10T16:00Z/PT1H\"",
            ),
            (
                second("10T15:00Z/PT2H 09T15:00Z/PT1H"),
                "an interval that begins where the one before it ends, or later, found \"2027-03-09T15:00Z/PT1H\"",
            ),
            (
                second("10T15:00Z/PT1H 10T16:30Z/PT1H"),
                "a time on the file's grid of 60 min, found \"2027-03-10T16:30Z/PT1H\", which lies off it",
            ),
            (
                second("10T15:00Z/PT1H 10T16:00Z/P366D"),
                "at most 8784 hours from first to last, found more",
            ),
        ] {
            assert_fault(&text, expected);
        }
        for time in [
            "10T16:00Z/PT90M",
            "10T16:00Z",
            "10T16:00Z/P1M",
            "10T16:00Z/PT0H",
            "10T16:00/PT1H",
            "10T16:00Z/P9999999999W",
        ] {
            assert_fault(
                &second(&format!("10T15:00Z/PT1H {time}")),
                &format!("{interval}, found \"2027-03-{time}\""),
            );
        }
    }

    /// A caret marks where the fault must be found.
    #[test]
    fn faults_of_values_name_their_place() {
        let one = |uom: &str, value: &str| {
            let before = "'temperature':{'uom':";
            grid(&format!(
                "{before}{uom},'values':[\n{{'validTime':'2027-03-10T15:00Z/PT1H','value':{value}}}]}}"
            ))
        };
        let good = layer("windSpeed", "kt", &[("10T15:00Z/PT1H", "4")]);
        for (text, expected) in [
            (
                one("^'wmoUnit:K'", "4"),
                "degC or degF as the unit of temperature, found \"wmoUnit:K\"",
            ),
            (
                one("'wmoUnit:degC'", "^1e999"),
                "a finite number or null, found \"1e999\"",
            ),
            (
                one("'wmoUnit:degC'", "^true"),
                "a finite number or null, found \"true\"",
            ),
            (
                one("'wmoUnit:degC'", "^{}"),
                "a finite number or null, found \"{}\"",
            ),
            (
                one("'wmoUnit:degC'", "^'4 C'"),
                "a finite number or null, found \"4 C\"",
            ),
            (
                one("null", "4").replace("{'uom'", "^{'uom'"),
                "the uom of the layer, found none",
            ),
            (
                grid("'temperature':{'values':[^{'value':4}]}"),
                "the validTime of a value, found none",
            ),
            (grid("'temperature':{'values':^7}"), "an array, found \"7\""),
            (grid("'temperature':^[]"), "an object, found \"[]\""),
            (
                grid("'x':7").replace("{'validTimes'", "^{'validTimes'"),
                "a layer with values, such as temperature, found none",
            ),
            (
                grid(&format!(
                    "'elevation':{{'value':1,'unitCode':^'fathom'}},{good}"
                )),
                "m or ft as the unit of elevation, found \"fathom\"",
            ),
            (
                grid(&format!(
                    "'elevation':{{'value':^99999,'unitCode':'m'}},{good}"
                )),
                "an elevation from -500 m to 9000 m, found \"99999\"",
            ),
        ] {
            assert_fault(&text, expected);
        }
    }

    /// Bounds of [`Element::believed_si`]; the amount of an hour bounds the mean over several.
    #[test]
    fn impossible_values_are_missing_and_said() {
        let text = grid(&format!(
            "{},{}",
            layer(
                "temperature",
                "wmoUnit:degC",
                &[("10T15:00Z/PT1H", "990"), ("10T16:00Z/PT1H", "-999")]
            ),
            layer(
                "quantitativePrecipitation",
                "wmoUnit:mm",
                &[("10T15:00Z/PT1H", "401"), ("10T16:00Z/PT3H", "401")]
            ),
        ));
        let reading = answer(&text).unwrap();
        let series = &reading.members[0];
        assert_eq!(missing(series, Element::Temperature), 4);
        let rain = series.amounts(Element::Rain).unwrap();
        assert_eq!(
            (rain.sum(0, 1).high_um, rain.sum(1, 4).high_um),
            (None, Some(401_000))
        );
        let said: Vec<String> = reading.notices.iter().map(ToString::to_string).collect();
        let rejected = "rejected as impossible and taken as missing, the first";
        assert_eq!(
            said[0],
            format!("grid.json:4:47: 1 rain value {rejected} \"401\"")
        );
        assert_eq!(
            said[1],
            format!("grid.json:2:47: 2 temperature values {rejected} \"990\"")
        );
    }

    /// clean's rule: within 0.6 °C a matter of rounding, above that one of the two is wrong.
    #[test]
    fn dew_points_above_the_temperature_are_settled() {
        let text = grid(&format!(
            "{},{}",
            layer("temperature", "wmoUnit:degC", &[("10T15:00Z/PT2H", "5")]),
            layer(
                "dewpoint",
                "wmoUnit:degC",
                &[("10T15:00Z/PT1H", "5.5"), ("10T16:00Z/PT1H", "9")]
            ),
        ));
        let reading = answer(&text).unwrap();
        assert_eq!(
            reading.members[0]
                .column(Element::DewPoint)
                .unwrap()
                .at(0, Unit::Celsius),
            Some((5.0, 5.0))
        );
        assert_eq!(missing(&reading.members[0], Element::Temperature), 1);
        assert_eq!(
            reading.notices,
            [Notice::DewPointAbove {
                file: "grid.json".into(),
                count: 1
            }]
        );
    }

    /// ISO 8601-1:2019, 5.5.2: the durations of the format, and what is none.
    #[test]
    fn durations_are_read() {
        for (text, hours) in [
            ("PT1H", 1),
            ("PT13H", 13),
            ("P1D", 24),
            ("P1DT6H", 30),
            ("P7DT20H", 188),
            ("P1W", 168),
            ("PT60M", 1),
            ("PT3600S", 1),
            ("PT1H120M", 3),
        ] {
            assert_eq!(duration_s(text), Some(hours * HOUR_S), "{text}");
        }
        for text in [
            "", "1H", "PT", "P1", "PT1", "P1H", "PT1D", "PT1H1D", "PT1M1H", "P1Y", "P1M", "PT1.5H",
            "P-1D", "PTH",
        ] {
            assert_eq!(duration_s(text), None, "{text}");
        }
        assert_eq!(duration_s("P"), Some(0));
    }
}
