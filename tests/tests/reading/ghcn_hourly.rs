//! GHCN-Hourly in both layouts, brought to hours by the rule that stands at the head of its reader; worked by hand.
//!
//! Source: the reader's own rule; names of fields and codes after the GHCN-Hourly documentation 1.1.0 (NOAA NCEI), as
//! retold by others. The stations and their weather are invented.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

use fairspell::quantity::Unit;
use fairspell::read::ghcnh::GhcnHourly;
use fairspell::read::past::PastReading;
use fairspell::read::{Format, Source, read_hourly};
use fairspell::series::{Element, HourlySeries};

/// Fields of the layout of one year.
const YEAR: &str = "STATION|Station_name|DATE|LATITUDE|LONGITUDE|ELEVATION|temperature|temperature_Measurement_Code|\
temperature_Quality_Code|temperature_Source_Code|wind_speed|wind_speed_Quality_Code|precipitation|\
precipitation_Measurement_Code|precipitation_Quality_Code|precipitation_6_hour|precipitation_6_hour_Measurement_Code|remarks";

/// A report of that layout at a time on 1 March 1999: temperature, its quality and source, wind and its quality, rain, its
/// measurement and quality code, rain of six hours and its measurement code.
fn report(time: &str, values: [&str; 10]) -> String {
    let [t, tq, ts, wind, wq, rain, rm, rq, six, sm] = values;
    format!(
        "USX0001|SOMEWHERE|1999-03-01T{time}:00|42.4|-88.1|250.5|{t}||{tq}|{ts}|{wind}|{wq}|{rain}|{rm}|{rq}|{six}|{sm}|a \"b\n"
    )
}

fn read(text: &str) -> Result<PastReading, String> {
    let mut file = GhcnHourly::new("1999.psv");
    for piece in text.as_bytes().chunks(7) {
        file.push(piece).map_err(|error| error.to_string())?;
    }
    file.finish().map_err(|error| error.to_string())
}

fn series(text: &str) -> HourlySeries {
    let reading = read(text).unwrap();
    reading.hours.part(0, reading.hours.hours()).unwrap().0
}

/// Least and greatest temperature of each hour.
fn temperatures(series: &HourlySeries) -> Vec<Option<(f64, f64)>> {
    let column = series.column(Element::Temperature).unwrap();
    (0..series.hours())
        .map(|hour| column.at(hour, Unit::Celsius))
        .collect()
}

/// Least and greatest rain \[µm\] of each hour, and the hours of the amount that it belongs to.
fn rain(series: &HourlySeries) -> Vec<(i64, Option<i64>, usize)> {
    let rain = series.amounts(Element::Rain).unwrap();
    (0..series.hours())
        .map(|hour| {
            rain.of_hour(hour)
                .map(|part| (part.low_um, part.high_um, part.hours))
                .unwrap()
        })
        .collect()
}

/// A file of reports in the layout of a year, after its header.
fn year(reports: &[String]) -> String {
    format!("{YEAR}\n{}", reports.concat())
}

const NONE: [&str; 10] = ["", "", "", "", "", "", "", "", "", ""];

fn with(changes: &[(usize, &'static str)]) -> [&'static str; 10] {
    let mut values = NONE;
    for (place, value) in changes {
        values[*place] = value;
    }
    values
}

/// The rule: several reports of an hour bound it; an hour without a report has no row.
#[test]
fn several_reports_of_an_hour_bound_it() {
    let text = year(&[
        report("09:51", with(&[(0, "4.5"), (1, "1")])),
        report("09:20", with(&[(0, "3.0"), (1, "5"), (2, "343")])),
        report("11:00", with(&[(0, "6.0")])),
    ]);
    let series = series(&text);
    assert_eq!(
        temperatures(&series),
        [Some((3.0, 4.5)), None, Some((6.0, 6.0))]
    );
    assert_eq!(
        [0, 1, 2].map(|hour| series.has_row(hour)),
        [true, false, true]
    );
    assert_eq!(series.start(), 920_278_800); // 1999-03-01T09:00Z, by `date -u -d 1999-03-01T09:00 +%s`
}

/// Table of quality codes: blank, 0, 1, 4, 5 and 9 pass, 5 of source 223 does not; each that does not is counted.
#[test]
fn doubted_values_are_missing_and_counted() {
    for (quality, source, passes) in [
        ("", "", true),
        ("0", "343", true),
        ("1", "343", true),
        ("4", "343", true),
        ("5", "343", true),
        ("9", "", true),
        ("9-Missing", "", true),
        ("5", "223", false),
        ("2", "343", false),
        ("3", "343", false),
        ("6", "343", false),
        ("7", "343", false),
        ("s", "", false),
        ("W", "", false),
    ] {
        let text = year(&[report(
            "09:51",
            with(&[(0, "4.5"), (1, quality), (2, source)]),
        )]);
        let reading = read(&text).unwrap();
        let known = temperatures(&series(&text))[0].is_some();
        assert_eq!(known, passes, "{quality} {source}");
        let said = reading
            .notices
            .iter()
            .any(|notice| notice.to_string().contains("quality control"));
        assert_eq!(said, !passes, "{quality} {source}");
    }
}

/// Rain: after minute 30 of its own hour, else of the hour before; the greatest of several; a trace is rain of at most
/// 127 µm (0.005 in); codes of accumulated, missing, estimated or incomplete amounts leave it unknown.
#[test]
fn rain_goes_to_the_hour_it_covers() {
    let text = year(&[
        report("09:51", with(&[(5, "0.0")])),
        report("10:51", with(&[(5, "0.3")])),
        report("10:55", with(&[(5, "1.3")])),
        report("12:10", with(&[(5, "2.5")])),
        report("12:51", with(&[(5, "0.0"), (6, "T")])),
        report("13:51", with(&[(5, "0.0"), (6, "2-Trace")])),
        report("14:51", with(&[(5, "0.0"), (6, "4")])),
        report("15:51", with(&[(5, "0.0"), (6, "E")])),
        report("16:51", with(&[(5, "0.0"), (6, "Z")])),
        report("17:51", with(&[(5, "")])),
        report("18:30", with(&[(5, "0.4")])), // at minute 30: the hour before
        report("19:31", with(&[(5, "0.5")])),
    ]);
    let exact = |um| (um, Some(um), 1);
    let (trace, unknown) = ((1, Some(127), 1), (0, None, 1));
    assert_eq!(
        rain(&series(&text)),
        [
            exact(0),
            exact(1300),
            exact(2500),
            trace,
            trace,
            unknown,
            unknown,
            unknown,
            exact(400),
            unknown,
            exact(500)
        ]
    );
}

/// Totals over six hours: 0 makes unknown hours dry, above 0 it is one amount where none of its hours has one. A total that
/// names its hours in the code goes over those.
#[test]
fn longer_totals_are_bounds() {
    let text = year(&[
        report("06:51", with(&[(5, "0.0")])),
        report("11:55", with(&[(8, "4.0")])), // over 06:00 to 12:00, of which the first is known: passed over
        report("17:55", with(&[(8, "2.0")])), // 12:00 to 18:00
        report("20:55", with(&[(5, "1.0"), (6, "3-hr-accum")])), // 18:00 to 21:00
        report("23:55", with(&[(5, "0.0"), (6, "3-hr-accum")])), // 21:00 to 24:00, each of them dry
    ]);
    let series = series(&text);
    let rain = rain(&series);
    assert_eq!(series.hours(), 18);
    assert_eq!(rain[0], (0, Some(0), 1));
    assert!(rain[1..6].iter().all(|part| *part == (0, None, 1)));
    assert!(
        rain[6..12]
            .iter()
            .all(|part| *part == (2000, Some(2000), 6))
    );
    assert!(
        rain[12..15]
            .iter()
            .all(|part| *part == (1000, Some(1000), 3))
    );
    assert!(rain[15..].iter().all(|part| *part == (0, Some(0), 1)));
}

/// Promise 1: 0 over six hours and 2 mm over three of them cannot both be right. No hour becomes dry by the 0; with nothing
/// within it each of the six is.
#[test]
fn a_dry_total_with_rain_within_it_makes_nothing_dry() {
    let times = ["06:10", "06:51", "07:51", "08:51", "09:51", "10:51"];
    let bare = times.map(|time| report(time, with(&[])));
    let wet = report("08:55", with(&[(5, "2.0"), (6, "3-hr-accum")])); // 06:00 to 09:00
    let dry = report("11:55", with(&[(8, "0.0")])); // 06:00 to 12:00
    let all = |reports: &[String]| rain(&series(&year(reports)));
    let both = all(&[&bare[..4], &[wet], &bare[4..], std::slice::from_ref(&dry)].concat());
    assert!(
        both[..3].iter().all(|part| *part == (2000, Some(2000), 3)),
        "{both:?}"
    );
    assert!(
        both[3..].iter().all(|part| *part == (0, None, 1)),
        "{both:?}"
    );
    let alone = all(&[&bare[..], &[dry]].concat());
    assert!(
        alone.len() == 6 && alone.iter().all(|part| *part == (0, Some(0), 1)),
        "{alone:?}"
    );
}

/// The layout of whole records reads the same; columns in another order, names in any case, CRLF and a byte-order mark too.
#[test]
fn both_layouts_read_the_same() {
    let year = "STATION|Station_name|DATE|LATITUDE|LONGITUDE|ELEVATION|temperature|temperature_Quality_Code|precipitation\n\
        USX0001|SOMEWHERE|1999-03-01T09:51:00|42.4|-88.1|250.5|4.5|1|0.3\n";
    let whole = "\u{feff}Station_ID|Station_name|Year|Month|Day|Hour|Minute|Latitude|Longitude|Elevation|PRECIPITATION|\
        temperature|temperature_Quality_Code\r\nUSX0001|SOMEWHERE|1999|3|01|09|51|42.4|-88.1|250.5|0.3|4.5|1\r\n";
    assert_eq!(read(year).unwrap(), read(whole).unwrap());
    let position = read(year).unwrap().position.unwrap();
    assert_eq!(
        (position.latitude, position.longitude, position.elevation_m),
        (42.4, -88.1, Some(250.5))
    );
    for text in [year, whole] {
        let bytes = text.as_bytes();
        let reading = read_hourly(Source { name: "f", bytes }, None).unwrap();
        assert_eq!(reading.format, Format::GhcnHourly); // recognised from the content
    }
}

/// The contract, section 6: every error has file, line and column. A wind that no weather has is rejected and said.
#[test]
fn bad_lines_are_told_with_their_place() {
    let good = report("09:51", with(&[(0, "4.5")]));
    let wrong = |from: &str, to: &str| format!("{YEAR}\n{good}{}", good.replacen(from, to, 1));
    for (text, message) in [
        (
            wrong("4.5", "4,5"),
            "1999.psv:3:56: expected a number or a blank, found \"4,5\"",
        ),
        (
            wrong("|42.4", ""),
            "1999.psv:3:69: expected as many fields as the header has, found \"USX0001|SOMEWHERE|1999-03-01T09:51:00|-8…\"",
        ),
        (
            wrong("USX0001", "USX0002"),
            "1999.psv:3:1: expected the hours of one station, found a second: \"USX0002\"",
        ),
        (
            wrong("1999-03-01T09", "1999-02-30T09"),
            "1999.psv:3:19: expected a time in ISO 8601 such as 2027-03-10T09:00-06:00, 2027-03-10T15:00Z or \
             2027-03-10T09:00, found \"1999-02-30T09:51:00\"",
        ),
        (
            format!("{YEAR}\n"),
            "1999.psv: expected at least one report, found none",
        ),
        (
            "STATION|DATE|remarks\n".to_owned(),
            "1999.psv:1:1: expected a column of weather such as temperature or precipitation, found none",
        ),
        (
            "STATION|DATE|DATE|temperature\n".to_owned(),
            "1999.psv:1:14: expected one column of each name, found another: \"date\"",
        ),
        (
            "STATION|Year|Month|temperature\n".to_owned(),
            "1999.psv:1:1: expected DATE, or Year, Month, Day, Hour and Minute, found none",
        ),
        (
            "Station_ID|Year|Month|Day|Hour|Minute|temperature\nX|1999|3|1|9|60|4\n".to_owned(),
            "1999.psv:2:3: expected a time that exists, found \"X|1999|3|1|9|60|4\"",
        ),
        (
            format!("{YEAR}\n{}", "7".repeat(70_000)),
            "1999.psv:2:65537: expected at most 65536 bytes in a line, found more",
        ),
    ] {
        assert_eq!(read(&text).unwrap_err(), message, "{text:.200}");
    }
    let text = year(&[report("09:51", with(&[(0, "4.5"), (3, "468.7")]))]);
    let notices = read(&text).unwrap().notices;
    assert_eq!(
        notices[0].to_string(),
        "1999.psv: 1 wind value rejected as impossible and taken as missing, the first \"468.7\""
    );
}
