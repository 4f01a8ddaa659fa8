//! Input that is not what it should be, and arguments that do not fit: one line on standard error that says where,
//! what was expected and what was found; exit 2; nothing on standard output. Or, where only a value is wrong, an
//! answer that counts it as missing and says so.
//!
//! Source of what must come out: the project's contract (missing is never good; errors name file, line and column);
//! places were counted by hand in the short files below.

#![expect(clippy::unwrap_used, reason = "a check stops at the first surprise")]

use std::fs;
use std::path::Path;

use fairspell_tests::binary::{self, Ran, assert_refused};
use fairspell_tests::week::{SITE, Week, hour};
use tempfile::TempDir;

const AT: &str = "2027-03-10T09:00-06:00";

/// Most bytes of a line of CSV, as the reader's documentation says.
const MAX_LINE_BYTES: usize = 65_536;

/// A folder with `site.toml`, `week.csv` (a forecast that goes) and one more file.
fn folder(name: &str, bytes: impl AsRef<[u8]>) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("site.toml"), SITE).unwrap();
    fs::write(folder.path().join("week.csv"), Week::default().csv()).unwrap();
    fs::write(folder.path().join(name), bytes).unwrap();
    folder
}

/// A folder with nothing more.
fn plain() -> TempDir {
    folder("notes.txt", "")
}

/// Runs `decide` there.
fn decide(folder: &Path, arguments: &[&str]) -> Ran {
    binary::run(folder, &[&["decide"], arguments].concat())
}

/// Runs `decide oil` on these bytes at the place of the truth tables.
fn decide_on(bytes: impl AsRef<[u8]>) -> Ran {
    decide(
        folder("f", bytes).path(),
        &["oil", "f", "--site", "site.toml", "--at", AT],
    )
}

/// The same where the line ends in the system's own words.
#[track_caller]
fn assert_refused_by_system(ran: &Ran, beginning: &str) {
    let beginning = format!("fairspell: {beginning}");
    assert!(
        ran.stderr.starts_with(&beginning) && ran.stderr.len() > beginning.len() + 1,
        "{}",
        ran.stderr
    );
    assert_eq!(
        ran.stderr.matches('\n').count(),
        1,
        "one line: {}",
        ran.stderr
    );
    assert_eq!((ran.code, ran.stdout.as_str()), (Some(2), ""));
}

/// Rows of temperature (°F) and rain (in) below their header.
fn rows(rows: &[&str]) -> String {
    format!("time,temperature_f,rain_in\n{}\n", rows.join("\n"))
}

// Bytes that are no weather.

#[test]
fn an_empty_file_is_refused() {
    assert_refused(&decide_on(""), "f: expected weather, found an empty file");
}

#[test]
fn blank_lines_alone_are_refused() {
    assert_refused(
        &decide_on("\n\r\n  \n"),
        "f: expected weather, found an empty file",
    );
}

#[test]
fn bytes_that_are_no_text_are_refused() {
    let bytes = b"time,temperature_f\n2027-03-10T09:00-06:00,5\xb0\n";
    assert_refused(
        &decide_on(bytes),
        "f:2:25: expected UTF-8 text, found byte 0xb0",
    );
}

#[test]
fn a_gzip_file_that_is_cut_short_is_refused() {
    let message = "f: expected a whole gzip file, found one that does not unpack";
    assert_refused(&decide_on(b"\x1f\x8b\x08\x00\x00\x00\x00\x00"), message);
}

#[test]
fn text_of_no_known_format_is_refused() {
    let message = "f:1:1: expected hourly CSV (header with \"time\"), GHCN-Hourly, U.S. NWS GeoJSON or MET Norway Locationforecast \
        JSON, found \"Dear gardener,\"";
    assert_refused(&decide_on("Dear gardener,\nall is well.\n"), message);
}

#[test]
fn what_a_file_holds_is_escaped_in_messages() {
    let message = "f:2:24: expected a temperature or a blank, found \"\\u{1b}[31m9\"";
    assert_refused(
        &decide_on(rows(&["2027-03-10T09:00-06:00,\x1b[31m9,0"])),
        message,
    );
}

#[test]
fn a_line_of_ten_megabytes_is_refused() {
    let line = "1".repeat(10_000_000);
    let message = format!(
        "f:2:{}: expected at most {MAX_LINE_BYTES} bytes in a line, found more",
        MAX_LINE_BYTES + 1
    );
    assert_refused(&decide_on(rows(&[&line])), &message);
}

// Headers.

#[test]
fn a_header_without_time_is_refused() {
    let message = "f:1:1: expected hourly CSV (header with \"time\"), GHCN-Hourly, U.S. NWS GeoJSON or MET Norway Locationforecast \
        JSON, found \"temperature_f,rain_in\"";
    assert_refused(&decide_on("temperature_f,rain_in\n50,0\n"), message);
}

#[test]
fn a_header_without_weather_is_refused() {
    let message =
        "f:1:1: expected a column of weather such as temperature_f or rain_in, found none";
    assert_refused(
        &decide_on("time,colour\n2027-03-10T09:00-06:00,red\n"),
        message,
    );
}

#[test]
fn a_header_without_rows_is_refused() {
    assert_refused(
        &decide_on(rows(&[]).trim_end()),
        "f: expected at least one row of weather, found none",
    );
}

#[test]
fn an_unknown_unit_of_a_column_is_refused() {
    let message =
        "f:1:6: expected temperature_f or temperature_c as the unit of temperature, found \"k\"";
    assert_refused(
        &decide_on("time,temperature_k,rain_in\n2027-03-10T09:00-06:00,283,0\n"),
        message,
    );
}

#[test]
fn a_unit_of_another_measure_is_refused() {
    let message = "f:1:20: expected rain_in or rain_mm as the unit of rain, found \"mph\"";
    assert_refused(
        &decide_on("time,temperature_f,rain_mph\n2027-03-10T09:00-06:00,50,0\n"),
        message,
    );
}

#[test]
fn a_measure_twice_is_refused() {
    let message = "f:1:28: expected one column of a measure, found another: \"temperature_c\"";
    let file = "time,temperature_f,rain_in,temperature_c\n2027-03-10T09:00-06:00,50,0,10\n";
    assert_refused(&decide_on(file), message);
}

#[test]
fn a_row_with_more_fields_than_the_header_is_refused() {
    let message = "f:2:29: expected as many fields as the header has, found \"2027-03-10T09:00-06:00,50,0,7\"";
    assert_refused(
        &decide_on(rows(&["2027-03-10T09:00-06:00,50,0,7"])),
        message,
    );
}

#[test]
fn a_row_with_fewer_fields_than_the_header_is_refused() {
    let message =
        "f:3:26: expected as many fields as the header has, found \"2027-03-10T10:00-06:00,50\"";
    assert_refused(
        &decide_on(rows(&[
            "2027-03-10T09:00-06:00,50,0",
            "2027-03-10T10:00-06:00,50",
        ])),
        message,
    );
}

#[test]
fn two_stations_in_one_forecast_are_refused() {
    let message = "f:3:24: expected the hours of one station, found a second: \"B\"";
    let file =
        "time,station,temperature_f\n2027-03-10T09:00-06:00,A,50\n2027-03-10T10:00-06:00,B,50\n";
    assert_refused(&decide_on(file), message);
}

// Times.

#[test]
fn a_time_without_offset_and_no_zone_is_refused() {
    let folder = folder("f", rows(&["2027-03-10T09:00,50,0"]));
    let message = "f:2:1: expected a time with offset or Z, or the place's time zone beside a local time, \
        found \"2027-03-10T09:00\"; give --zone with an IANA name such as America/Chicago, or a site file";
    assert_refused(&decide(folder.path(), &["oil", "f", "--at", AT]), message);
}

#[test]
fn a_time_that_is_none_is_refused() {
    let message = "f:2:1: expected a time in ISO 8601 such as 2027-03-10T09:00-06:00, 2027-03-10T15:00Z or \
        2027-03-10T09:00, found \"10 March\"";
    assert_refused(&decide_on(rows(&["10 March,50,0"])), message);
}

/// U.S. law (Energy Policy Act of 2005): clocks go forward on 14 March 2027 at 02:00.
#[test]
fn a_local_time_that_the_clock_skips_is_refused() {
    let folder = folder("f", rows(&["2027-03-14T02:30,50,0"]));
    let message = "f:2:1: expected a local time that exists in America/Chicago, found \"2027-03-14T02:30\", which the \
        clock change skips";
    assert_refused(
        &decide(
            folder.path(),
            &["oil", "f", "--zone", "America/Chicago", "--at", AT],
        ),
        message,
    );
}

#[test]
fn times_out_of_order_are_refused() {
    let message = "f:3:1: expected a time after the row above, found \"2027-03-10T09:00-06:00\", which is earlier";
    assert_refused(
        &decide_on(rows(&[
            "2027-03-10T10:00-06:00,50,0",
            "2027-03-10T09:00-06:00,50,0",
        ])),
        message,
    );
}

#[test]
fn a_doubled_time_is_refused() {
    let message = "f:3:1: expected each hour once, found \"2027-03-10T15:00Z\" again";
    assert_refused(
        &decide_on(rows(&[
            "2027-03-10T09:00-06:00,50,0",
            "2027-03-10T15:00Z,50,0",
        ])),
        message,
    );
}

#[test]
fn a_time_off_the_grid_is_refused() {
    let message = "f:4:1: expected a time on the file's grid of 60 min, found \"2027-03-10T11:10-06:00\", which lies \
        off it";
    let file = [
        "2027-03-10T09:00-06:00,50,0",
        "2027-03-10T10:00-06:00,50,0",
        "2027-03-10T11:10-06:00,50,0",
    ];
    assert_refused(&decide_on(rows(&file)), message);
}

#[test]
fn a_grid_of_three_hours_is_refused() {
    let message = "f:3:1: expected a grid step of 60, 30, 20 or 15 min, found 180 min";
    let file = [
        "2027-03-10T09:00-06:00,50,0",
        "2027-03-10T12:00-06:00,50,0",
        "2027-03-10T15:00-06:00,50,0",
    ];
    assert_refused(&decide_on(rows(&file)), message);
}

/// Two half hours of 50 °F and 0.1 mm make an hour of 0.2 mm: with a limit of 0.2 mm it goes, with 0.1 mm it does not.
#[test]
fn a_grid_of_half_hours_is_read_with_its_rain_summed() {
    let row = |half: usize| {
        let (day, hour, minute) = (10 + half / 48, half / 2 % 24, half % 2 * 30);
        format!("2027-03-{day}T{hour:02}:{minute:02}-06:00,50,0.1\n")
    };
    let file = format!(
        "time,temperature_f,rain_mm\n{}",
        (0..96).map(row).collect::<String>()
    );
    for (limit, code) in [("0.2 mm", 0), ("0.1 mm", 1)] {
        let folder = folder("f", &file);
        let rule = format!("{RULE}measure = \"rain\"\nat-most = \"{limit}\"\n");
        fs::write(folder.path().join("op.toml"), rule).unwrap();
        let ran = decide(
            folder.path(),
            &["op.toml", "f", "--site", "site.toml", "--at", AT],
        );
        assert_eq!(
            ran.stderr,
            "fairspell: notice: f: rows every 30 min: rain summed to the hour, other values kept as bounds\n"
        );
        assert_eq!(ran.code, Some(code), "{}", ran.stdout);
    }
}

// Numbers.

#[test]
fn a_number_beyond_all_numbers_is_refused() {
    let message = "f:2:24: expected a temperature or a blank, found \"1e999\"";
    assert_refused(
        &decide_on(rows(&["2027-03-10T09:00-06:00,1e999,0"])),
        message,
    );
}

#[test]
fn not_a_number_is_refused() {
    let message = "f:2:24: expected a temperature or a blank, found \"NaN\"";
    assert_refused(&decide_on(rows(&["2027-03-10T09:00-06:00,NaN,0"])), message);
}

#[test]
fn dashes_for_a_missing_value_are_refused() {
    let message = "f:2:27: expected a depth of rain or a blank, found \"--\"";
    assert_refused(&decide_on(rows(&["2027-03-10T09:00-06:00,50,--"])), message);
}

#[test]
fn a_comma_for_the_point_is_refused() {
    let message = "f:2:24: expected a temperature or a blank, found \"12,5\"";
    assert_refused(
        &decide_on(rows(&["2027-03-10T09:00-06:00,\"12,5\",0"])),
        message,
    );
}

#[test]
fn a_comma_for_the_point_without_quotes_is_refused() {
    let message = "f:2:29: expected as many fields as the header has, found \"2027-03-10T09:00-06:00,12,5,0\"";
    assert_refused(
        &decide_on(rows(&["2027-03-10T09:00-06:00,12,5,0"])),
        message,
    );
}

/// No weather is 900 °F: the value becomes missing, is counted and said, and what hangs on it cannot be told. The row
/// of 10:00 is line 12 of the file, and the temperature its second field.
#[test]
fn a_temperature_of_900_is_taken_as_missing_and_said() {
    let week = Week::default().with("temperature_f", 10..12, "900");
    let ran = decide_on(week.csv());
    let notice = "fairspell: notice: f:12:27: 2 temperature values rejected as impossible and taken as missing, the \
        first \"900\"\n";
    assert_eq!(ran.stderr, notice);
    assert_eq!(ran.code, Some(0), "the hours from 12:00 are fair");
    assert!(
        ran.stdout.contains("Wed 10 Mar 12:00–17:00"),
        "{}",
        ran.stdout
    );
}

/// Rain below zero is no amount. It is missing in the 24 h after every hour before it.
#[test]
fn rain_below_zero_is_taken_as_missing_and_said() {
    let week = Week::default().with("rain_mm", 20..21, "-1");
    let ran = decide_on(week.csv());
    let notice = "fairspell: notice: f:22:30: 1 rain value rejected as impossible and taken as missing, the first \
        \"-1\"\n";
    assert_eq!(ran.stderr, notice);
    assert_eq!(ran.code, Some(3), "{}", ran.stdout);
    assert!(
        ran.stdout.contains("no rain for Wed 10 Mar 20:00"),
        "{}",
        ran.stdout
    );
}

// JSON.

const GRIDPOINT: &str = r#"{"type": "Feature", "properties": {
"updateTime": "2027-03-10T12:00:00+00:00",
"temperature": {"uom": "wmoUnit:degC", "values": [
{"validTime": "2027-03-10T06:00:00+00:00/PT72H", "value": 10}]},
"quantitativePrecipitation": {"uom": "wmoUnit:mm", "values": [
{"validTime": "2027-03-10T06:00:00+00:00/PT72H", "value": 0}]}}}
"#;

/// The file that the next checks spoil: 10 °C and dry for 72 h from 00:00 at −06:00.
#[test]
fn the_short_gridpoint_file_goes() {
    let ran = decide_on(GRIDPOINT);
    assert_eq!(ran.code, Some(0), "{ran:?}");
}

#[test]
fn json_that_is_cut_short_is_refused() {
    let cut = GRIDPOINT.split_once("/PT72H").unwrap().0;
    let message = "f:4:40: expected well-formed JSON, found an error: \"the file ends too early\"";
    assert_refused(&decide_on(cut), message);
}

#[test]
fn a_wrong_unit_code_is_refused() {
    let message = "f:3:24: expected degC or degF as the unit of temperature, found \"wmoUnit:K\"";
    assert_refused(
        &decide_on(GRIDPOINT.replace("wmoUnit:degC", "wmoUnit:K")),
        message,
    );
}

#[test]
fn json_nested_too_deep_is_refused() {
    let message = "f:1:129: expected at most 128 levels of JSON, found more";
    assert_refused(&decide_on("[".repeat(100_000)), message);
}

#[test]
fn json_objects_nested_too_deep_are_refused() {
    let message = "f:1:641: expected at most 128 levels of JSON, found more";
    assert_refused(&decide_on("{\"a\":".repeat(100_000)), message);
}

#[test]
fn json_of_no_known_format_is_refused() {
    let message = "f:1:1: expected hourly CSV (header with \"time\"), GHCN-Hourly, U.S. NWS GeoJSON or MET Norway Locationforecast \
        JSON, found \"{\"hello\": \"world\"}\"";
    assert_refused(&decide_on("{\"hello\": \"world\"}"), message);
}

#[test]
fn station_observations_are_refused_as_a_forecast() {
    let file = include_str!("../../../data/open/nws/stations_observations.json");
    let message = "f: expected a forecast, found station observations; they go with --observed";
    assert_refused(&decide_on(file), message);
}

// Site files and places.

/// Runs `decide oil` with a site file of these lines.
fn decide_at(site: &str) -> Ran {
    decide(
        folder("s", site).path(),
        &["oil", "week.csv", "--site", "s", "--at", AT],
    )
}

#[test]
fn a_latitude_of_95_is_refused() {
    let message = "s:2:12: expected a latitude from -90 to 90 degrees north, found \"95\"";
    assert_refused(&decide_at("name = \"Here\"\nlatitude = 95\n"), message);
}

#[test]
fn a_latitude_of_95_on_the_command_line_is_refused() {
    let ran = decide(
        plain().path(),
        &["oil", "week.csv", "--zone", "UTC", "--latitude", "95"],
    );
    assert_refused(
        &ran,
        "--latitude: expected degrees from -90 to 90, found 95",
    );
}

#[test]
fn an_unknown_zone_in_the_site_file_is_refused() {
    let message =
        "s:1:8: expected an IANA time zone such as \"America/Chicago\", found \"Mars/Olympus\"";
    assert_refused(&decide_at("zone = \"Mars/Olympus\"\n"), message);
}

#[test]
fn an_unknown_zone_on_the_command_line_is_refused() {
    let ran = decide(
        plain().path(),
        &["oil", "week.csv", "--zone", "Mars/Olympus"],
    );
    assert_refused(
        &ran,
        "--zone: expected an IANA time zone such as America/Chicago, found \"Mars/Olympus\"",
    );
}

#[test]
fn no_zone_at_all_is_asked_for() {
    let ran = decide(plain().path(), &["oil", "week.csv"]);
    let message = "expected the time zone of the place, found none; give --zone with an IANA name such as \
        America/Chicago, or a site file";
    assert_refused(&ran, message);
}

#[test]
fn an_unknown_key_in_the_site_file_is_refused() {
    let message = "s:2:1: expected a site file in TOML, found an error: unknown field `latitud`, expected one of \
        `name`, `latitude`, `longitude`, `elevation`, `zone`, `garden`, `spray`, `work`, `limit`, `forecast-error`";
    assert_refused(&decide_at("zone = \"UTC\"\nlatitud = 40\n"), message);
}

#[test]
fn a_line_break_in_a_name_is_refused() {
    let message = "s:1:8: expected a name of 1 to 80 characters, found \"a\\nb\"";
    assert_refused(&decide_at("name = \"a\\nb\"\nzone = \"UTC\"\n"), message);
}

#[test]
fn a_limit_of_the_site_for_no_rule_is_refused() {
    let message = "s:2:1: expected the name of a rule of that operation, found \"gale\"";
    let site =
        "zone = \"UTC\"\n[[limit]]\noperation = \"oil\"\nrule = \"gale\"\nat-most = \"8 mph\"\n";
    assert_refused(&decide_at(site), message);
}

// Operation files.

const RULE: &str = "operation = \"x\"\n[[rule]]\nname = \"r\"\nseverity = \"block\"\nsource = \"Common practice\"\n";

/// Runs `decide` with an operation file of these lines.
fn decide_by(operation: &str) -> Ran {
    decide(
        folder("op.toml", operation).path(),
        &["op.toml", "week.csv", "--site", "site.toml", "--at", AT],
    )
}

#[test]
fn an_unknown_key_in_an_operation_file_is_refused() {
    let message = "op.toml:7:1: expected an operation file in TOML, found an error: unknown field `atmost`, expected one \
        of `name`, `measure`, `over`, `take`, `at-least`, `at-most`, `severity`, `optional`, `source`";
    assert_refused(
        &decide_by(&format!("{RULE}measure = \"rain\"\natmost = \"0 mm\"\n")),
        message,
    );
}

/// Fuzzing found it: a key may be as long as the file; the line that says so stays one to read, and says what was expected.
#[test]
fn a_key_of_any_length_is_told_in_a_line_to_read() {
    for (letter, shown) in [("k", "k"), ("é", "é"), ("\u{202e}", "u{202e}")] {
        let key = letter.repeat(20_000);
        let ran = decide_by(&format!("operation = \"x\"\n\"{key}\" = 1\n"));
        let line = ran.stderr.trim_end();
        let begins = "fairspell: op.toml:2:1: expected an operation file in TOML, found an error: unknown field `";
        assert!(line.starts_with(begins) && line.contains(shown), "{line}");
        assert!(
            line.ends_with("`stale-after`, `cautions`, `rule`"),
            "{line}"
        );
        assert!(line.len() < 700 && line.contains('…'), "{line}");
        assert_eq!((ran.code, ran.stderr.lines().count()), (Some(2), 1));
    }
}

#[test]
fn an_unknown_measure_is_refused() {
    let message = "op.toml:6:11: expected temperature, rain, rain-chance, humidity, dew-point, wind, gust, cloud, snow, \
        wet-bulb, wet-bulb-depression, dew-point-depression, vapour-pressure-deficit, drying-hours, sun-elevation, \
        daylight, hours-since-rain or hours-until-rain, found \"soil\"";
    assert_refused(
        &decide_by(&format!("{RULE}measure = \"soil\"\nat-most = \"0 mm\"\n")),
        message,
    );
}

#[test]
fn degrees_for_a_limit_of_rain_are_refused() {
    let message =
        "op.toml:7:11: expected a depth such as \"0.1 in\" or \"2.5 mm\", found \"40 °F\"";
    assert_refused(
        &decide_by(&format!("{RULE}measure = \"rain\"\nat-most = \"40 °F\"\n")),
        message,
    );
}

#[test]
fn limits_that_cross_are_refused() {
    let message = "op.toml:8:11: expected a limit that can hold, found \"40 °F\": at-most lies below at-least";
    let limits = "measure = \"temperature\"\nat-least = \"50 °F\"\nat-most = \"40 °F\"\n";
    assert_refused(&decide_by(&format!("{RULE}{limits}")), message);
}

#[test]
fn a_limit_that_no_weather_meets_is_refused() {
    let message =
        "op.toml:7:12: expected a limit that can hold, found \"110 %\": no weather reaches it";
    assert_refused(
        &decide_by(&format!(
            "{RULE}measure = \"humidity\"\nat-least = \"110 %\"\n"
        )),
        message,
    );
}

#[test]
fn an_operation_without_rules_is_refused() {
    let message = "op.toml:1:13: expected at least one [[rule]], found none";
    assert_refused(&decide_by("operation = \"x\"\n"), message);
}

#[test]
fn rain_that_would_be_optional_is_refused() {
    let message = "op.toml:8:12: expected no optional on temperature or rain: they are never optional, found \"true\"";
    assert_refused(
        &decide_by(&format!(
            "{RULE}measure = \"rain\"\nat-most = \"0 mm\"\noptional = true\n"
        )),
        message,
    );
}

#[test]
fn an_unknown_operation_is_refused() {
    let ran = decide(plain().path(), &["mow", "week.csv", "--site", "site.toml"]);
    assert_refused(
        &ran,
        "expected oil, prune or the path of an operation file, found \"mow\"",
    );
}

// Times asked about.

/// The base ends 168 h after Wednesday 10 March 00:00; without a time of issue no hour of a later day is there.
#[test]
fn a_time_after_the_forecast_cannot_be_told() {
    let folder = folder("f", Week::default().without("issued").csv());
    assert_not_told(&folder, "f", "2027-03-20T12:00-06:00", "Sat 20 Mar");
}

#[test]
fn a_time_before_the_forecast_cannot_be_told() {
    assert_not_told(&plain(), "week.csv", "2027-03-08T12:00-06:00", "Mon 8 Mar");
}

#[track_caller]
fn assert_not_told(folder: &TempDir, forecast: &str, at: &str, day: &str) {
    let arguments = ["oil", forecast, "--site", "site.toml", "--at", at];
    let ran = decide(folder.path(), &arguments);
    assert_eq!((ran.code, ran.stderr.as_str()), (Some(3), ""));
    let first = format!("CANNOT TELL  dormant oil, {day} 12:00–24:00\n");
    assert!(ran.stdout.starts_with(&first), "{}", ran.stdout);
    let why = "no row for 12 hours of the window";
    assert!(ran.stdout.contains(why), "{}", ran.stdout);
}

#[test]
fn a_time_that_is_none_on_the_command_line_is_refused() {
    let ran = decide(
        plain().path(),
        &["oil", "week.csv", "--site", "site.toml", "--at", "noon"],
    );
    let message = "--at: expected a time in ISO 8601 such as 2027-03-10T09:00-06:00, 2027-03-10T15:00Z or \
        2027-03-10T09:00, found \"noon\"";
    assert_refused(&ran, message);
}

#[test]
fn a_window_of_no_length_is_refused() {
    for length in ["0h", "soon", "36", "-3h", "400h", "1e3h"] {
        let within = format!("--within={length}");
        let ran = decide(
            plain().path(),
            &[
                "oil",
                "week.csv",
                "--site",
                "site.toml",
                "--at",
                AT,
                &within,
            ],
        );
        let expected =
            "--within: expected a length of time such as 36h or 30min, at most 384h, found";
        assert_refused(&ran, &format!("{expected} \"{length}\""));
    }
}

// Files that cannot be read or written.

#[test]
fn a_missing_file_is_refused() {
    for arguments in [
        &["oil", "none", "--site", "site.toml"][..],
        &["oil", "week.csv", "--site", "none"],
        &["./none", "week.csv", "--site", "site.toml"],
        &[
            "oil",
            "week.csv",
            "--site",
            "site.toml",
            "--observed",
            "none",
        ],
    ] {
        let name = arguments
            .iter()
            .find(|name| name.ends_with("none"))
            .unwrap();
        let ran = decide(plain().path(), arguments);
        assert_refused_by_system(
            &ran,
            &format!("{name}: expected a file to read, found an error: "),
        );
    }
}

#[test]
fn a_folder_is_refused_as_a_forecast() {
    let ran = decide(plain().path(), &["oil", ".", "--site", "site.toml"]);
    assert_refused_by_system(&ran, ".: expected a file to read, found an error: ");
}

#[test]
fn an_output_in_a_missing_folder_is_refused() {
    let ran = decide(
        plain().path(),
        &[
            "oil",
            "week.csv",
            "--site",
            "site.toml",
            "--at",
            AT,
            "--output",
            "no/a.txt",
        ],
    );
    assert_refused_by_system(
        &ran,
        "no/a.txt: expected a place to write, found an error: ",
    );
    assert!(
        !ran.stderr.contains(".fairspell-"),
        "the file that is written first is not the user's: {}",
        ran.stderr
    );
}

#[test]
fn an_output_on_a_folder_is_refused_and_leaves_nothing() {
    let folder = plain();
    fs::create_dir(folder.path().join("there")).unwrap();
    let ran = decide(
        folder.path(),
        &[
            "oil",
            "week.csv",
            "--site",
            "site.toml",
            "--at",
            AT,
            "--output",
            "there",
        ],
    );
    assert_refused_by_system(&ran, "there: expected a place to write, found an error: ");
    let names = fs::read_dir(folder.path())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap());
    let mut names: Vec<String> = names.collect();
    names.sort();
    assert_eq!(names, ["notes.txt", "site.toml", "there", "week.csv"]);
}

// Arguments.

#[test]
fn standard_input_for_two_inputs_is_refused() {
    let message = "expected standard input (-) for one input at most, found it for two or more";
    for arguments in [
        &["oil", "-", "--site", "-"][..],
        &["-", "-", "--site", "site.toml"],
        &["oil", "-", "--observed", "-", "--site", "site.toml"],
    ] {
        let ran = binary::run_fed(
            plain().path(),
            &[&["decide"], arguments].concat(),
            SITE.as_bytes(),
        );
        assert_refused(&ran, message);
    }
}

#[test]
fn an_unknown_option_is_refused() {
    let ran = decide(plain().path(), &["oil", "week.csv", "--hurry"]);
    assert_refused(
        &ran,
        "unexpected argument '--hurry' found; fairspell --help shows the usage",
    );
}

#[test]
fn a_missing_argument_is_refused() {
    let message = "the following required arguments were not provided: <FORECAST>; fairspell --help shows the usage";
    assert_refused(&decide(plain().path(), &["oil"]), message);
}

#[test]
fn no_command_is_refused() {
    let message = "expected a command, found none; fairspell --help shows them";
    assert_refused(&binary::run(plain().path(), &[]), message);
}

#[test]
fn an_unknown_command_is_refused() {
    let message = "unrecognized subcommand 'mow'; fairspell --help shows the usage";
    assert_refused(&binary::run(plain().path(), &["mow"]), message);
}

#[test]
fn an_explanation_as_a_picture_is_refused() {
    for format in ["svg", "line", "ics", "html"] {
        let arguments = [
            "oil",
            "week.csv",
            "--site",
            "site.toml",
            "--at",
            AT,
            "--explain",
            "--format",
            format,
        ];
        let message = "expected --format text or json beside --explain, found another";
        assert_refused(&decide(plain().path(), &arguments), message);
    }
}

#[test]
fn an_explanation_of_an_hour_that_is_not_there_is_refused() {
    let arguments = [
        "oil",
        "week.csv",
        "--site",
        "site.toml",
        "--at",
        AT,
        "--explain=2027-04-01T09:00",
    ];
    let message = "expected an hour of the forecast from --at on for --explain, found none there";
    assert_refused(&decide(plain().path(), &arguments), message);
}

#[test]
fn an_alarm_without_a_calendar_is_refused() {
    let arguments = [
        "oil",
        "week.csv",
        "--site",
        "site.toml",
        "--at",
        AT,
        "--alarm",
        "30min",
    ];
    assert_refused(
        &decide(plain().path(), &arguments),
        "expected --format ics beside --alarm, found another",
    );
}

#[test]
fn observed_hours_at_other_minutes_are_refused() {
    let folder = folder(
        "f",
        rows(&["2027-03-09T22:30-06:00,50,0", "2027-03-09T23:30-06:00,50,0"]),
    );
    let arguments = [
        "oil",
        "week.csv",
        "--site",
        "site.toml",
        "--at",
        AT,
        "--observed",
        "f",
    ];
    let message = "f: expected observed hours that begin at minute 0 like the other file's, found hours that begin at \
        minute 30";
    assert_refused(&decide(folder.path(), &arguments), message);
}

/// Nothing in the week is spoilt by the checks themselves: it goes, without a word.
#[test]
fn the_week_itself_goes() {
    let ran = decide(
        plain().path(),
        &["oil", "week.csv", "--site", "site.toml", "--at", AT],
    );
    assert_eq!((ran.code, ran.stderr.as_str()), (Some(0), ""));
    assert!(Week::default().csv().lines().count() == hour(7, 0) + 1);
}
