//! Reports of an NWS station, brought to hours.
//!
//! # The rule
//! - A value that holds at the time t of its report belongs to the UTC hour in which t lies. Where several reports
//!   of an hour have it, their least and greatest bound the hour; a null among them is passed over.
//! - `precipitationLastHour` of a report after minute 30 is the amount of the hour in which the report lies; at
//!   minute 30 or before, of the hour before. Of several for one hour the greatest counts.
//! - `precipitationLast3Hours` and `precipitationLast6Hours` end where `precipitationLastHour` of the same report
//!   ends, and go by the rule of the module `totals`.
//! - A null amount is missing, never dry. Hours without a report have no row.
//! - Values that the service itself failed (X), questioned (Q) or called bad (B) are missing, and counted.
//!
//! Reports may come in any order and twice. Layers of cloud are not read.

use super::super::clean::Rejected;
use super::super::json::{Draft, Node, Span, Track, given, position, settle};
use super::super::totals::{Rain, Total};
use super::super::{Format, Issued, Notice, Position, Reading, Source};
use super::{Measured, element_of, elevation_m};
use crate::error::{ReadError, ReadProblem};
use crate::series::{Element, HOUR_S, micrometres};

/// What holds at the time of a report.
const INSTANT: [Element; 5] = [
    Element::Temperature,
    Element::Humidity,
    Element::DewPoint,
    Element::Wind,
    Element::Gust,
];
/// Hours over which the totals of rain go.
const TOTALS: [usize; 3] = [1, 3, 6];

/// A report with a time.
struct Report {
    time: i64,
    values: [f64; 5],
    /// Rain \[µm\] over the hours of [`TOTALS`].
    totals: [Option<i64>; 3],
}

/// The reports read so far.
struct Reports {
    span: Option<Span>,
    read: Vec<Report>,
    tracks: [Track; 5],
    rain: Track,
    station: Option<String>,
    position: Option<Position>,
    rejected: Rejected,
    failed: u64,
    without_time: u64,
}

/// Reads the reports of one station.
pub fn read(features: Node<'_>) -> Result<Reading, ReadError> {
    let mut all = Reports {
        span: None,
        read: Vec::new(),
        tracks: INSTANT.map(Track::new),
        rain: Track::new(Element::Rain),
        station: None,
        position: None,
        rejected: Rejected::default(),
        failed: 0,
        without_time: 0,
    };
    features.each(|feature| all.add(feature))?;
    let span = all
        .span
        .ok_or_else(|| features.lacks("a report with a timestamp"))?;
    all.read.sort_by_key(|report| report.time);
    all.into_reading(features, span)
}

impl Reports {
    fn add(&mut self, feature: Node<'_>) -> Result<(), ReadError> {
        let [geometry, properties] = feature.members(["geometry", "properties"])?;
        let properties = properties.ok_or_else(|| feature.lacks("the properties of a report"))?;
        let [timestamp, station, elevation] =
            properties.members(["timestamp", "station", "elevation"])?;
        let Some(timestamp) = given(timestamp) else {
            self.without_time += 1;
            return Ok(());
        };
        let time = timestamp.time()?;
        let hour = time - time.rem_euclid(HOUR_S);
        self.span = Some(Span::with(self.span, (hour, hour + HOUR_S), timestamp)?);
        self.check_station(station)?;
        if self.position.is_none() {
            self.position = position(geometry, elevation_m(elevation)?)?;
        }
        let values = self.values(properties)?;
        let totals = self.totals(properties)?;
        self.read.push(Report {
            time,
            values,
            totals,
        });
        Ok(())
    }

    fn check_station(&mut self, station: Option<Node<'_>>) -> Result<(), ReadError> {
        let Some(node) = given(station) else {
            return Ok(());
        };
        let name = node.text()?;
        match &self.station {
            Some(first) if *first != name => Err(node.fault(ReadProblem::SecondStation {
                found: node.excerpt(),
            })),
            Some(_) => Ok(()),
            None => {
                self.station = Some(name.into_owned());
                Ok(())
            }
        }
    }

    fn values(&mut self, properties: Node<'_>) -> Result<[f64; 5], ReadError> {
        let nodes = properties.members([
            "temperature",
            "relativeHumidity",
            "dewpoint",
            "windSpeed",
            "windGust",
        ])?;
        let mut values = [f64::NAN; 5];
        for ((track, node), value) in self.tracks.iter_mut().zip(nodes).zip(&mut values) {
            if let Some(found) = taken(track, node, &mut self.failed)? {
                *value =
                    found
                        .at
                        .believed(&mut self.rejected, track.element, (found.low, found.unit));
            }
        }
        Ok(values)
    }

    fn totals(&mut self, properties: Node<'_>) -> Result<[Option<i64>; 3], ReadError> {
        let nodes = properties.members([
            "precipitationLastHour",
            "precipitationLast3Hours",
            "precipitationLast6Hours",
        ])?;
        let mut totals = [None; 3];
        for ((node, hours), total) in nodes.into_iter().zip(TOTALS).zip(&mut totals) {
            if let Some(found) = taken(&mut self.rain, node, &mut self.failed)? {
                let value = (found.low, found.unit);
                let depth = found.at.believed_amount(
                    &mut self.rejected,
                    Element::Rain,
                    value,
                    hours as f64,
                );
                *total = (!depth.is_nan()).then(|| micrometres(depth, found.unit));
            }
        }
        Ok(totals)
    }

    fn into_reading(mut self, features: Node<'_>, span: Span) -> Result<Reading, ReadError> {
        let source = features.source();
        let mut notices: Vec<Notice> = core::mem::take(&mut self.rejected).notices().collect();
        self.fill();
        notices.extend(settle(source, &mut self.tracks));
        let hours = || self.read.iter().map(|report| span.hour_of(report.time));
        let rain = Rain::of(&self.rain_totals(span), span.hours());
        let long = rain.long();
        let amounts = self
            .rain
            .is_there
            .then(|| rain.into_amounts(self.rain.unit()));
        let counted = self.counted(source, long);
        let has_row = rows(hours(), span);
        let hours: Vec<usize> = hours().collect();
        let tracks = self.tracks.into_iter();
        let draft = Draft {
            start: span.start(),
            has_row,
            columns: tracks
                .filter_map(|track| hourly(track, &hours, span).into_column())
                .collect(),
            amounts: amounts
                .map(|amounts| (Element::Rain, amounts))
                .into_iter()
                .collect(),
            percentiles: Vec::new(),
        };
        notices.extend(draft.gaps(source));
        notices.extend(counted);
        let (members, position) = (vec![draft.series(source)?], self.position);
        let (issued, format) = (Issued::Unknown, Format::NwsObservations);
        Ok(Reading {
            members,
            issued,
            position,
            format,
            notices,
        })
    }

    /// The totals of rain of all reports, in order of time.
    fn rain_totals(&self, span: Span) -> Vec<Total> {
        let of_report = |report: &Report| {
            let end = report.end(span);
            let totals = report.totals.into_iter().zip(TOTALS);
            let given = totals.filter_map(|(um, hours)| Some((um?, hours)));
            let total = move |(um, hours)| Total {
                end,
                hours,
                low_um: um,
                high_um: um,
            };
            given.map(total).collect::<Vec<Total>>()
        };
        self.read.iter().flat_map(of_report).collect()
    }

    /// Brings the reports' values into the columns, in order of time.
    fn fill(&mut self) {
        for (index, track) in self.tracks.iter_mut().enumerate() {
            let values = self
                .read
                .iter()
                .filter_map(|report| report.values.get(index));
            track.low = values.copied().collect();
        }
    }

    /// Notices of what was left out or is known between bounds only.
    fn counted(&self, source: Source<'_>, long: u64) -> Vec<Notice> {
        let file = || source.name.to_owned();
        let (without, failed) = (self.without_time, self.failed);
        let notices = [
            (without > 0).then(|| Notice::NoTime {
                file: file(),
                count: without,
            }),
            (failed > 0).then(|| Notice::FailedQuality {
                file: file(),
                count: failed,
            }),
            (long > 0).then(|| Notice::LongSteps {
                file: file(),
                count: long,
            }),
        ];
        notices.into_iter().flatten().collect()
    }
}

/// Which hours have a report.
fn rows(hours: impl Iterator<Item = usize>, span: Span) -> Vec<bool> {
    let mut rows = vec![false; span.hours()];
    for hour in hours {
        if let Some(row) = rows.get_mut(hour) {
            *row = true;
        }
    }
    rows
}

/// A value that is there and not failed.
fn taken<'a>(
    track: &mut Track,
    node: Option<Node<'a>>,
    failed: &mut u64,
) -> Result<Option<Measured<'a>>, ReadError> {
    track.is_there |= node.is_some();
    let Some(node) = node else { return Ok(None) };
    let Some(found) = element_of(node, track.element)? else {
        return Ok(None);
    };
    track.agree(found.unit, found.unit_at)?;
    *failed += u64::from(found.has_failed);
    Ok((!found.has_failed).then_some(found))
}

/// Least and greatest of each hour from the values of reports.
fn hourly(mut track: Track, hours: &[usize], span: Span) -> Track {
    let values = core::mem::replace(&mut track.low, vec![f64::NAN; span.hours()]);
    track.high = vec![f64::NAN; span.hours()];
    for (hour, value) in hours.iter().zip(values) {
        if let (Some(low), Some(high)) = (track.low.get_mut(*hour), track.high.get_mut(*hour)) {
            (*low, *high) = (low.min(value), high.max(value));
        }
    }
    track
}

impl Report {
    /// The hour of the grid before which this report's totals end: after minute 30 the next, else its own.
    fn end(&self, span: Span) -> i64 {
        (self.time - span.start() + HOUR_S / 2 - 1).div_euclid(HOUR_S)
    }
}

#[cfg(test)]
#[allow(
    clippy::too_many_lines,
    reason = "a check is a table that is read down"
)]
mod tests {
    use super::super::super::sample;
    use super::*;
    use crate::quantity::Unit;
    use crate::series::{AmountSum, HourlySeries};

    fn answer(text: &str) -> Result<Reading, ReadError> {
        sample::answer("station.json", text)
    }

    #[track_caller]
    fn assert_fault(marked: &str, expected: &str) {
        sample::assert_fault("station.json", marked, expected);
    }

    fn collection(reports: &[String]) -> String {
        format!(
            "{{'type':'FeatureCollection','features':[{}]}}",
            reports.join(",\n")
        )
    }

    /// A report of 10 March 2027 by its time, `hh:mm`.
    fn report(time: &str, rest: &str) -> String {
        format!("{{'properties':{{'timestamp':'2027-03-10T{time}:00+00:00',{rest}}}}}")
    }

    fn rain(key: &str, mm: &str) -> String {
        format!("'precipitationLast{key}':{{'value':{mm},'unitCode':'wmoUnit:mm'}}")
    }

    fn degrees(key: &str, value: &str) -> String {
        format!("'{key}':{{'value':{value},'unitCode':'unit:degC','qualityControl':'qc:V'}}")
    }

    fn series(reports: &[String]) -> HourlySeries {
        answer(&collection(reports)).unwrap().members.remove(0)
    }

    fn exact(um: i64) -> AmountSum {
        AmountSum {
            low_um: um,
            high_um: Some(um),
        }
    }

    const UNKNOWN: AmountSum = AmountSum {
        low_um: 0,
        high_um: None,
    };

    fn hours_of_rain(series: &HourlySeries) -> Vec<AmountSum> {
        let rain = series.amounts(Element::Rain).unwrap();
        (0..series.hours())
            .map(|hour| rain.sum(hour, hour + 1))
            .collect()
    }

    /// The module's rule: least and greatest of the hour; a null is passed over.
    #[test]
    fn several_reports_of_an_hour_bound_it() {
        let series = series(&[
            report("16:53", &degrees("temperature", "7")),
            report("14:53", &degrees("temperature", "null")),
            report("15:15", &degrees("temperature", "4.5")),
            report("15:00", &degrees("temperature", "6")),
            report("15:59", &degrees("temperature", "null")),
            report("15:15", &degrees("temperature", "4.5")),
        ]);
        let temperature = series.column(Element::Temperature).unwrap();
        assert_eq!(
            (series.start(), series.hours()),
            (1_804_690_800 - HOUR_S, 3)
        );
        let hours: Vec<_> = (0..3)
            .map(|hour| temperature.at(hour, Unit::Celsius))
            .collect();
        assert_eq!(hours, [None, Some((4.5, 6.0)), Some((7.0, 7.0))]);
    }

    /// The module's rule for the last hour: minute 30 is the border, and the greatest counts.
    #[test]
    fn rain_of_the_last_hour_goes_to_the_hour_it_covers_most() {
        let hour = |mm| rain("Hour", mm);
        let series = series(&[
            report("14:53", &hour("0")),
            report("16:30", &hour("1")),
            report("16:31", &hour("2")),
            report("16:53", &hour("1.5")),
            report("18:00", &hour("0.3")),
            report("18:53", &hour("null")),
        ]);
        let expected = [exact(0), exact(1000), exact(2000), exact(300), UNKNOWN];
        assert_eq!(hours_of_rain(&series), expected);
        assert_eq!(
            [0, 1, 2, 3, 4].map(|hour| series.has_row(hour)),
            [true, false, true, false, true]
        );
    }

    /// The module's rule for totals of 0: they make dry what has no amount, and nothing else; none where rain lies within.
    #[test]
    fn totals_of_zero_dry_unknown_hours_alone() {
        let (six, three) = (rain("6Hours", "0"), rain("3Hours", "0"));
        let series = series(&[
            report("10:53", &degrees("temperature", "4")),
            report("13:53", &rain("Hour", "0.2")),
            report("15:53", &format!("{six},{}", rain("Hour", "null"))),
            report("18:10", &three),
            report("18:53", &rain("3Hours", "null")),
        ]);
        // 10..16 not from six hours to 15:53, since 13 has rain; 15..18 from three hours to 18:10; 18 unknown.
        let expected = [
            UNKNOWN,
            UNKNOWN,
            UNKNOWN,
            exact(200),
            UNKNOWN,
            exact(0),
            exact(0),
            exact(0),
            UNKNOWN,
        ];
        assert_eq!(hours_of_rain(&series), expected);
    }

    /// The module's rule for totals above 0: one amount, or none where any of its hours has one.
    #[test]
    fn totals_above_zero_are_one_amount_or_none() {
        let text = collection(&[
            report("10:53", &degrees("temperature", "4")),
            report("12:53", &rain("3Hours", "6")),
            report("15:53", &rain("6Hours", "9")),
            report("15:54", &rain("3Hours", "3")),
            report(
                "18:53",
                &format!("{},{}", rain("Hour", "1"), rain("3Hours", "4")),
            ),
        ]);
        let reading = answer(&text).unwrap();
        let series = &reading.members[0];
        let amounts = series.amounts(Element::Rain).unwrap().amounts();
        let found: Vec<_> = amounts
            .iter()
            .map(|a| (a.from, a.hours, a.low_um, a.high_um))
            .collect();
        // Three hours to 12:53 is the hours 10, 11, 12; three hours to 15:54 is 13, 14, 15; six hours is too late.
        let expected = [
            (0, 3, 6000, Some(6000)),
            (3, 3, 3000, Some(3000)),
            (6, 1, 0, None),
            (7, 1, 0, None),
            (8, 1, 1000, Some(1000)),
        ];
        assert_eq!(found, expected);
        let file = || "station.json".to_owned();
        let gaps = Notice::Gaps {
            file: file(),
            count: 5,
        };
        assert_eq!(
            reading.notices,
            [
                gaps,
                Notice::LongSteps {
                    file: file(),
                    count: 2
                }
            ]
        );
    }

    /// The module's rule: totals of 0 go before totals above 0, and earlier totals before later ones, in any order of
    /// the reports.
    #[test]
    fn totals_are_taken_in_the_order_of_the_rule() {
        let first = || report("10:53", &degrees("temperature", "4"));
        let dry = series(&[
            report("15:53", &rain("6Hours", "9")),
            report("12:53", &rain("3Hours", "0")),
            first(),
        ]);
        assert_eq!(
            hours_of_rain(&dry),
            [exact(0), exact(0), exact(0), UNKNOWN, UNKNOWN, UNKNOWN]
        );
        let wet = series(&[
            report("13:53", &rain("3Hours", "5")),
            report("12:53", &rain("3Hours", "4")),
            first(),
        ]);
        let found = wet.amounts(Element::Rain).unwrap();
        assert_eq!((found.sum(0, 3), found.sum(3, 4)), (exact(4000), UNKNOWN));
    }

    /// The module's rule: what reaches back before the first hour is known between nothing and all.
    #[test]
    fn totals_from_before_the_file_are_bounds() {
        let series = series(&[
            report("15:53", &rain("6Hours", "9")),
            report("16:53", &rain("Hour", "0")),
        ]);
        let expected = [
            AmountSum {
                low_um: 0,
                high_um: Some(9000),
            },
            exact(0),
        ];
        assert_eq!(hours_of_rain(&series), expected);
        let early = self::series(&[report(
            "15:20",
            &format!("{},{}", rain("Hour", "5"), rain("3Hours", "9")),
        )]);
        assert_eq!(hours_of_rain(&early), [UNKNOWN]);
    }

    /// MADIS QC Information: X failed, Q questioned, B subjectively bad; Z, C, S, V, G and none are kept.
    #[test]
    fn failed_values_are_missing_and_counted() {
        for (flag, is_kept) in [
            ("'qc:Z'", true),
            ("'qc:C'", true),
            ("'qc:S'", true),
            ("'V'", true),
            ("'qc:G'", true),
            ("null", true),
            ("'qc:X'", false),
            ("'qc:Q'", false),
            ("'B'", false),
        ] {
            let value = format!(
                "'temperature':{{'value':4,'unitCode':'unit:degC','qualityControl':{flag}}}"
            );
            let reading = answer(&collection(&[report("15:53", &value)])).unwrap();
            let found = reading.members[0]
                .column(Element::Temperature)
                .unwrap()
                .at(0, Unit::Celsius);
            assert_eq!(found, is_kept.then_some((4.0, 4.0)), "{flag}");
            let said = reading.notices
                == [Notice::FailedQuality {
                    file: "station.json".into(),
                    count: 1,
                }];
            assert_eq!(said, !is_kept, "{flag}");
        }
    }

    /// The contract, promise 1: rain that is null is not dry, and rain that no report has is absent.
    #[test]
    fn null_rain_is_unknown() {
        assert!(!series(&[report("15:53", &degrees("temperature", "4"))]).has(Element::Rain));
        for rain in ["null", "{'value':null,'unitCode':null}", "{}"] {
            let series = series(&[report("15:53", &format!("'precipitationLastHour':{rain}"))]);
            assert_eq!(hours_of_rain(&series), [UNKNOWN]);
        }
        // In metres, as older answers have it.
        let metres = "'precipitationLastHour':{'value':0.000254,'unitCode':'unit:m'}";
        assert_eq!(
            hours_of_rain(&series(&[report("15:53", metres)])),
            [exact(254)]
        );
    }

    #[test]
    fn reports_without_a_time_are_left_out_and_said() {
        let without = "{'properties':{'timestamp':null,'temperature':7}}".to_owned();
        let text = collection(&[
            without,
            report("15:53", &degrees("temperature", "4")),
            "{'properties':{}}".to_owned(),
        ]);
        let reading = answer(&text).unwrap();
        assert_eq!(
            reading.notices,
            [Notice::NoTime {
                file: "station.json".into(),
                count: 2
            }]
        );
    }

    /// A caret marks where the fault must be found.
    #[test]
    fn faults_name_their_place() {
        let first = || {
            report(
                "15:53",
                &format!("'station':'KAAA',{}", degrees("temperature", "4")),
            )
        };
        let after = |second: String| collection(&[first(), second]);
        for (text, expected) in [
            (
                after(report("16:53", "'station':^'KBBB'")),
                "the hours of one station, found a second: \"KBBB\"",
            ),
            (
                after(report(
                    "16:53",
                    "'temperature':{'value':40,'unitCode':^'unit:degF'}",
                )),
                "the unit of the values before it as the unit of temperature, found \"unit:degF\"",
            ),
            (
                after(report(
                    "16:53",
                    "'windSpeed':{'value':4,'unitCode':^'beaufort'}",
                )),
                "km_h-1, m_s-1, mi_h-1 or kt as the unit of wind, found \"beaufort\"",
            ),
            (
                after(report(
                    "16:53",
                    "'relativeHumidity':{'value':4,'unitCode':^'1'}",
                )),
                "percent as the unit of humidity, found \"1\"",
            ),
            (
                after(report(
                    "16:53",
                    "'precipitationLastHour':{'value':4,'unitCode':^'ft'}",
                )),
                "mm, cm, m or in as the unit of rain, found \"ft\"",
            ),
            (
                after(report("16:53", "'windGust':{'value':^7}")),
                "a unitCode beside the value, found none",
            ),
            (
                after(report("16:53", "'windGust':{'value':^[1],'unitCode':'kt'}")),
                "a finite number or null, found \"[1]\"",
            ),
            (
                after(report("16:53", "'temperature':^'warm'")),
                "an object, found \"warm\"",
            ),
            (
                after("{'properties':{'timestamp':^'soon'}}".to_owned()),
                "a time in ISO 8601 with offset or Z, such as 2027-03-10T15:00:00Z, found \"soon\"",
            ),
            (
                after("{'properties':{'timestamp':^'2029-03-10T15:00Z'}}".to_owned()),
                "at most 8784 hours from first to last, found more",
            ),
            (
                after("^{'geometry':null}".to_owned()),
                "the properties of a report, found none",
            ),
            (
                "{'type':'FeatureCollection','features':^[]}".to_owned(),
                "a report with a timestamp, found none",
            ),
            (
                "{'type':'FeatureCollection','features':^{}}".to_owned(),
                "an array, found \"{}\"",
            ),
        ] {
            assert_fault(&text, expected);
        }
    }
}
