//! The NWS hourly forecast: periods of one hour, with a chance of rain but no amount.
//!
//! Wind stands as text, "5 mph" or "5 to 10 mph" (kept as bounds), or as an object of value and unit. Hours that no
//! period covers have no row. A period whose start is null, as in an answer without a forecast, is left out.

use super::super::clean::Rejected;
use super::super::json::{Draft, Node, Span, Track, given, issued, position, settle};
use super::super::{Format, Notice, Reading};
use super::{Measured, element_of, elevation_m, unit_of};
use crate::error::{ReadError, ReadProblem};
use crate::quantity::{Kind, Quantity, number_of};
use crate::series::{Element, HOUR_S};

/// The elements of a period, in the order in which [`Periods::add`] asks for them.
const ELEMENTS: [Element; 6] = [
    Element::Temperature,
    Element::RainChance,
    Element::Humidity,
    Element::DewPoint,
    Element::Wind,
    Element::Gust,
];

/// The periods read so far.
struct Periods {
    span: Option<Span>,
    has_row: Vec<bool>,
    tracks: [Track; 6],
    rejected: Rejected,
    without_time: u64,
}

/// Reads the hourly forecast.
pub fn read(
    geometry: Option<Node<'_>>,
    properties: Node<'_>,
    periods: Node<'_>,
) -> Result<Reading, ReadError> {
    let source = properties.source();
    let file = || source.name.to_owned();
    let [updated, elevation] = properties.members(["updateTime", "elevation"])?;
    let mut read = Periods::default();
    periods.each(|period| read.add(period))?;
    let span = read
        .span
        .ok_or_else(|| periods.lacks("a period with a startTime"))?;
    let mut notices: Vec<Notice> = read.rejected.notices().collect();
    notices.extend(settle(source, &mut read.tracks));
    let columns = read
        .tracks
        .into_iter()
        .filter_map(Track::into_column)
        .collect();
    let (amounts, percentiles) = (Vec::new(), Vec::new());
    let draft = Draft {
        start: span.start(),
        has_row: read.has_row,
        columns,
        amounts,
        percentiles,
    };
    notices.extend(draft.gaps(source));
    notices.extend((read.without_time > 0).then(|| Notice::NoTime {
        file: file(),
        count: read.without_time,
    }));
    notices.push(Notice::NoRainAmount { file: file() });
    Ok(Reading {
        members: vec![draft.series(source)?],
        issued: issued(updated)?,
        position: position(geometry, elevation_m(elevation)?)?,
        format: Format::NwsHourly,
        notices,
    })
}

impl Default for Periods {
    fn default() -> Self {
        Self {
            span: None,
            has_row: Vec::new(),
            tracks: ELEMENTS.map(Track::new),
            rejected: Rejected::default(),
            without_time: 0,
        }
    }
}

impl Periods {
    fn add(&mut self, period: Node<'_>) -> Result<(), ReadError> {
        let [start, end, unit, nodes @ ..] = period.members([
            "startTime",
            "endTime",
            "temperatureUnit",
            "temperature",
            "probabilityOfPrecipitation",
            "relativeHumidity",
            "dewpoint",
            "windSpeed",
            "windGust",
        ])?;
        for (track, node) in self.tracks.iter_mut().zip(nodes) {
            track.is_there |= node.is_some();
        }
        let Some(start) = given(start) else {
            self.without_time += 1;
            return Ok(());
        };
        let end = end.ok_or_else(|| period.lacks("the endTime of the period"))?;
        let hour = self.hour(start, end)?;
        self.has_row.resize(hour, false);
        self.has_row.push(true);
        for (track, node) in self.tracks.iter_mut().zip(nodes) {
            track.low.resize(hour, f64::NAN);
            let (low, high) = match given(node) {
                None => (f64::NAN, f64::NAN),
                Some(node) => taken(track, node, given(unit), &mut self.rejected)?,
            };
            track.low.push(low);
            if matches!(track.element, Element::Wind | Element::Gust) {
                track.high.resize(hour, f64::NAN);
                track.high.push(high);
            }
        }
        Ok(())
    }

    /// The hour of a period, counted from the first.
    fn hour(&mut self, start: Node<'_>, end: Node<'_>) -> Result<usize, ReadError> {
        let time = start.time()?;
        if end.time()? - time != HOUR_S {
            return Err(end.wrong("an endTime one hour after the startTime"));
        }
        if let Some(before) = self
            .span
            .map(|span| span.end() - HOUR_S)
            .filter(|before| time <= *before)
        {
            let found = start.excerpt();
            let is_same = time == before;
            let problem = if is_same {
                ReadProblem::Doubled { found }
            } else {
                ReadProblem::OutOfOrder { found }
            };
            return Err(start.fault(problem));
        }
        let span = Span::with(self.span, (time, time + HOUR_S), start)?;
        self.span = Some(span);
        Ok(span.hour_of(time))
    }
}

/// Least and greatest of a value that is not null, as far as they are believed.
fn taken(
    track: &mut Track,
    node: Node<'_>,
    unit: Option<Node<'_>>,
    rejected: &mut Rejected,
) -> Result<(f64, f64), ReadError> {
    let element = track.element;
    let found = match element {
        Element::Temperature if !node.is_object() => Some(temperature(node, unit)?),
        Element::Wind | Element::Gust if node.is_text() => wind(node)?,
        _ => element_of(node, element)?,
    };
    let Some(found) = found else {
        return Ok((f64::NAN, f64::NAN));
    };
    track.agree(found.unit, found.unit_at)?;
    let low = found
        .at
        .believed(rejected, element, (found.low, found.unit));
    let high = if found.high > found.low {
        found
            .at
            .believed(rejected, element, (found.high, found.unit))
    } else {
        low
    };
    Ok((low, high))
}

/// A plain number whose unit stands beside it in the period.
fn temperature<'a>(node: Node<'a>, unit: Option<Node<'a>>) -> Result<Measured<'a>, ReadError> {
    let value = node.number()?;
    let unit_at = unit.ok_or_else(|| node.lacks("a temperatureUnit beside the temperature"))?;
    let (unit, _) = unit_of(unit_at, Kind::Temperature, Element::Temperature.name())?;
    Ok(Measured {
        low: value,
        high: value,
        unit,
        at: node,
        unit_at,
        has_failed: false,
    })
}

/// "5 mph" or "5 to 10 mph"; an empty text is missing.
fn wind(node: Node<'_>) -> Result<Option<Measured<'_>>, ReadError> {
    let wrong = || node.wrong("a speed such as \"5 mph\" or \"5 to 10 mph\"");
    let text = node.text()?;
    if text.trim().is_empty() {
        return Ok(None);
    }
    let (least, greatest) = text
        .split_once(" to ")
        .map_or((None, &*text), |(least, greatest)| (Some(least), greatest));
    let greatest = Quantity::parse(greatest, Kind::Speed).map_err(|_| wrong())?;
    let low = match least {
        None => greatest.value,
        Some(least) => number_of(least.trim()).ok_or_else(wrong)?,
    };
    let (low, high) = (low.min(greatest.value), low.max(greatest.value));
    Ok(Some(Measured {
        low,
        high,
        unit: greatest.unit,
        at: node,
        unit_at: node,
        has_failed: false,
    }))
}

#[cfg(test)]
#[allow(
    clippy::too_many_lines,
    reason = "a check is a table that is read down"
)]
mod tests {
    use super::super::super::{Issued, sample};
    use super::*;
    use crate::quantity::Unit;
    use crate::series::{Column, HourlySeries};

    fn answer(text: &str) -> Result<Reading, ReadError> {
        sample::answer("hours.json", text)
    }

    #[track_caller]
    fn assert_fault(marked: &str, expected: &str) {
        sample::assert_fault("hours.json", marked, expected);
    }

    fn forecast(periods: &[String]) -> String {
        format!(
            "{{'type':'Feature','properties':{{'periods':[{}]}}}}",
            periods.join(",\n")
        )
    }

    /// A period of an hour of 10 March 2027.
    fn period(hour: u32, rest: &str) -> String {
        let end = hour + 1;
        format!(
            "{{'startTime':'2027-03-10T{hour:02}:00Z','endTime':'2027-03-10T{end:02}:00Z',{rest}}}"
        )
    }

    fn series(periods: &[String]) -> HourlySeries {
        answer(&forecast(periods)).unwrap().members.remove(0)
    }

    fn bounds(column: &Column, unit: Unit) -> Vec<Option<(f64, f64)>> {
        (0..column.hours())
            .map(|hour| column.at(hour, unit))
            .collect()
    }

    /// The contract, section 5, bounded values: nothing is taken from the middle of a range.
    #[test]
    fn winds_are_texts_ranges_or_objects() {
        let series = series(&[
            period(9, "'windSpeed':'5 mph','windGust':'20 mph'"),
            period(10, "'windSpeed':'5 to 10 mph','windGust':null"),
            period(11, "'windSpeed':'','windGust':''"),
            period(12, "'windSpeed':{'unitCode':'wmoUnit:mi_h-1','value':7}"),
            period(
                13,
                "'windSpeed':{'unitCode':'wmoUnit:mi_h-1','value':null,'minValue':3,'maxValue':6}",
            ),
            period(14, "'windSpeed':{'unitCode':null,'value':null}"),
            period(15, "'windSpeed':'0 mph'"),
        ]);
        let wind = bounds(series.column(Element::Wind).unwrap(), Unit::MilePerHour);
        let expected = [
            Some((5.0, 5.0)),
            Some((5.0, 10.0)),
            None,
            Some((7.0, 7.0)),
            Some((3.0, 6.0)),
            None,
            Some((0.0, 0.0)),
        ];
        assert_eq!(wind, expected);
        let gust = bounds(series.column(Element::Gust).unwrap(), Unit::MilePerHour);
        assert_eq!(
            (gust.len(), gust[0], &gust[1..]),
            (7, Some((20.0, 20.0)), [None; 6].as_slice())
        );
        for (text, unit) in [
            ("10 km/h", Unit::KilometrePerHour),
            ("10 m/s", Unit::MetrePerSecond),
            ("10 kt", Unit::Knot),
        ] {
            let series = self::series(&[period(9, &format!("'windSpeed':'{text}'"))]);
            assert_eq!(
                bounds(series.column(Element::Wind).unwrap(), unit),
                [Some((10.0, 10.0))]
            );
        }
    }

    /// NWS API documentation: a temperature is a number with its unit beside it, or an object of value and unit.
    #[test]
    fn temperatures_are_numbers_texts_or_objects() {
        let series = series(&[
            period(9, "'temperature':40,'temperatureUnit':'F'"),
            period(10, "'temperature':'41.5','temperatureUnit':'F'"),
            period(11, "'temperature':{'unitCode':'wmoUnit:degF','value':42}"),
            period(12, "'temperature':null,'temperatureUnit':null"),
        ]);
        let found = bounds(
            series.column(Element::Temperature).unwrap(),
            Unit::Fahrenheit,
        );
        assert_eq!(
            found,
            [
                Some((40.0, 40.0)),
                Some((41.5, 41.5)),
                Some((42.0, 42.0)),
                None
            ]
        );
    }

    /// The contract, promise 1: a gap is unknown, and a column that is there and blank stays.
    #[test]
    fn gaps_and_blanks_stay() {
        let nothing = "{'startTime':null,'endTime':null,'temperature':null}".to_owned();
        let blank = "'dewpoint':{'unitCode':null,'value':null}";
        let text = forecast(&[
            nothing.clone(),
            period(9, blank),
            nothing,
            period(12, "'windSpeed':'5 mph'"),
        ]);
        let reading = answer(&text).unwrap();
        let series = &reading.members[0];
        assert_eq!(
            (series.start(), series.hours()),
            (1_804_690_800 - 6 * HOUR_S, 4)
        );
        assert_eq!(
            [0, 1, 2, 3].map(|hour| series.has_row(hour)),
            [true, false, false, true]
        );
        for element in [Element::DewPoint, Element::Temperature] {
            assert_eq!(
                bounds(series.column(element).unwrap(), Unit::Celsius),
                [None; 4]
            );
        }
        assert_eq!(
            bounds(series.column(Element::Wind).unwrap(), Unit::MilePerHour)[3],
            Some((5.0, 5.0))
        );
        assert!(!series.has(Element::Humidity));
        let file = || "hours.json".to_owned();
        let expected = vec![
            Notice::Gaps {
                file: file(),
                count: 2,
            },
            Notice::NoTime {
                file: file(),
                count: 2,
            },
            Notice::NoRainAmount { file: file() },
        ];
        assert_eq!(
            (reading.notices, reading.issued),
            (expected, Issued::Unknown)
        );
    }

    /// Half-past grids exist: the offsets of some zones are no whole hours.
    #[test]
    fn the_first_period_sets_the_grid() {
        let text =
            "{'startTime':'2027-03-10T09:00:00+05:30','endTime':'2027-03-10T10:00:00+05:30'}"
                .to_owned();
        assert_eq!(
            answer(&forecast(&[text])).unwrap().members[0].start(),
            1_804_649_400
        );
    }

    /// A caret marks where the fault must be found.
    #[test]
    fn faults_of_times_name_their_place() {
        let hot = "'temperature':40,'temperatureUnit':'F'";
        let after = |next: &str| forecast(&[period(9, hot), next.to_owned()]);
        for (text, expected) in [
            (
                after(&period(9, hot)).replace(",\n{'startTime':", ",\n{'startTime':^"),
                "each hour once, found \"2027-03-10T09:00Z\" again",
            ),
            (
                after(&period(8, hot)).replace(",\n{'startTime':", ",\n{'startTime':^"),
                "a time after the row above, found \"2027-03-10T08:00Z\", which is earlier",
            ),
            (
                after("{'startTime':^'2027-03-10T10:30Z','endTime':'2027-03-10T11:30Z'}"),
                "a time on the file's grid of 60 min, found \"2027-03-10T10:30Z\", which lies off it",
            ),
            (
                after("{'startTime':^'2028-03-10T10:00Z','endTime':'2028-03-10T11:00Z'}"),
                "at most 8784 hours from first to last, found more",
            ),
            (
                after("{'startTime':'2027-03-10T10:00Z','endTime':^'2027-03-10T22:00Z'}"),
                "an endTime one hour after the startTime, found \"2027-03-10T22:00Z\"",
            ),
            (
                after("{'startTime':'2027-03-10T10:00Z','endTime':^null}"),
                "a time in ISO 8601 with offset or Z, such as 2027-03-10T15:00:00Z, found \"null\"",
            ),
            (
                after("^{'startTime':'2027-03-10T10:00Z'}"),
                "the endTime of the period, found none",
            ),
            (after("^7"), "an object, found \"7\""),
            (
                "{'type':'Feature','properties':{'periods':^[]}}".to_owned(),
                "a period with a startTime, found none",
            ),
            (
                "{'type':'Feature','properties':{'periods':^{}}}".to_owned(),
                "an array, found \"{}\"",
            ),
        ] {
            assert_fault(&text, expected);
        }
    }

    /// A caret marks where the fault must be found.
    #[test]
    fn faults_of_values_name_their_place() {
        let after = |rest: &str| {
            forecast(&[
                period(9, "'temperature':40,'temperatureUnit':'F'"),
                period(10, rest),
            ])
        };
        let wind = |wind: &str| after(&format!("'windSpeed':{wind}"));
        let speed = "a speed such as \"5 mph\" or \"5 to 10 mph\"";
        for (text, expected) in [
            (
                after("'temperature':4,'temperatureUnit':^'C'"),
                "the unit of the values before it as the unit of temperature, found \"C\""
                    .to_owned(),
            ),
            (
                after("'temperature':4,'temperatureUnit':^'K'"),
                "degC or degF as the unit of temperature, found \"K\"".to_owned(),
            ),
            (
                after("'temperature':^4,'temperatureUnit':null"),
                "a temperatureUnit beside the temperature, found none".to_owned(),
            ),
            (
                after("'temperature':^false,'temperatureUnit':'F'"),
                "a finite number or null, found \"false\"".to_owned(),
            ),
            (
                after("'dewpoint':{'value':^4}"),
                "a unitCode beside the value, found none".to_owned(),
            ),
            (after("'dewpoint':^4"), "an object, found \"4\"".to_owned()),
            (wind("^'breezy'"), format!("{speed}, found \"breezy\"")),
            (wind("^'5'"), format!("{speed}, found \"5\"")),
            (wind("^'5 to mph'"), format!("{speed}, found \"5 to mph\"")),
            (
                wind("^'a to 5 mph'"),
                format!("{speed}, found \"a to 5 mph\""),
            ),
            (wind("^'5 °F'"), format!("{speed}, found \"5 °F\"")),
            (wind("^5"), "an object, found \"5\"".to_owned()),
        ] {
            assert_fault(&text, &expected);
        }
    }

    /// Bounds of [`Element::believed_si`].
    #[test]
    fn impossible_values_are_missing_and_said() {
        let text = forecast(&[
            period(9, "'windSpeed':'5 to 999 mph'"),
            period(10, "'windSpeed':'-5 mph'"),
        ]);
        let reading = answer(&text).unwrap();
        assert_eq!(
            bounds(
                reading.members[0].column(Element::Wind).unwrap(),
                Unit::MilePerHour
            ),
            [None; 2]
        );
        assert!(matches!(
            &reading.notices[0],
            Notice::Rejected {
                element: Element::Wind,
                count: 2,
                ..
            }
        ));
    }
}
