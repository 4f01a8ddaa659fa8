//! Open JSON files of `data/open`, read whole: what a person or another program counted in them.
//!
//! They are the tests' own and lie beside no crate, so these checks are here and not beside the readers.
//!
//! Source: `data/open/README.md` says where each file comes from; each check says how it was counted.

#![expect(clippy::unwrap_used, reason = "a check stops at the first surprise")]

use fairspell::quantity::Unit;
use fairspell::read::{Issued, Notice, Position, Reading, Source, read_hourly};
use fairspell::series::{AmountSum, Element, HourlySeries};

/// A page that holds no weather is refused by name.
#[test]
fn the_open_file_of_points_is_no_weather() {
    let bytes = include_bytes!("../../../data/open/nws/points.json");
    let source = Source {
        name: "week.json",
        bytes,
    };
    let error = read_hourly(source, None).unwrap_err().to_string();
    assert!(
        error.starts_with("week.json:1:1: expected hourly CSV"),
        "{error}"
    );
}

/// A file that can be read.
fn read(name: &str, bytes: &[u8]) -> Reading {
    read_hourly(Source { name, bytes }, None).unwrap()
}

mod locationforecast {
    use super::*;

    fn bounds(series: &HourlySeries, element: Element) -> Vec<Option<(f64, f64)>> {
        let column = series.column(element).unwrap();
        (0..column.hours())
            .map(|hour| column.at(hour, column.unit_at(hour)))
            .collect()
    }

    fn exact(um: i64) -> AmountSum {
        AmountSum {
            low_um: um,
            high_um: Some(um),
        }
    }

    /// The sum of the instants: hours that only bounds are known for, and missing ones, left out.
    fn sum_of_exact(series: &HourlySeries, element: Element) -> (usize, f64) {
        let exact = bounds(series, element)
            .into_iter()
            .flatten()
            .filter(|(low, high)| low.to_bits() == high.to_bits());
        exact.fold((0, 0.0), |(count, sum), (low, _)| (count + 1, sum + low))
    }

    /// The file, counted by a Python program: 82 steps from 2020-07-20T11Z, 55 of an hour, 26 of six,
    /// the last alone.
    #[test]
    fn the_open_file_of_london_has_what_was_counted() {
        let bytes = include_bytes!("../../../data/open/locationforecast/london_complete.json");
        let reading = read("point.json", bytes);
        let series = &reading.members[0];
        assert_eq!(
            (series.start(), series.hours(), reading.members.len()),
            (1_595_242_800, 212, 1)
        );
        assert!((0..212).all(|hour| series.has_row(hour)));
        assert_eq!(reading.issued, Issued::At(1_595_208_657));
        let place = Position {
            latitude: 51.5,
            longitude: -0.1,
            elevation_m: Some(25.0),
        };
        assert_eq!(reading.position, Some(place));
        for (element, sum) in [
            (Element::DewPoint, 759.6),
            (Element::Humidity, 5040.6),
            (Element::Wind, 199.5),
            (Element::Cloud, 4378.0),
        ] {
            let (count, computed) = sum_of_exact(series, element);
            assert!(
                count == 82 && (computed - sum).abs() < 1e-9,
                "{element:?}: {count} values sum to {computed}"
            );
        }
        let temperature = bounds(series, Element::Temperature);
        assert_eq!(temperature.iter().flatten().count(), 82 + 130);
        assert_eq!(
            (temperature[0], temperature[211]),
            (Some((18.8, 18.8)), Some((17.4, 17.4)))
        );
        // The step of 2020-07-28T18Z: 22.3 at its instant, 16.8 to 22.3 over the six hours after it.
        assert_eq!(
            temperature[199..205],
            [[Some((22.3, 22.3))].as_slice(), &[Some((16.8, 22.3)); 5]].concat()
        );
    }

    /// The same file, counted by the same program: amounts over an hour and over six.
    #[test]
    fn the_rain_of_london_is_what_was_counted() {
        let bytes = include_bytes!("../../../data/open/locationforecast/london_complete.json");
        let reading = read("point.json", bytes);
        let series = &reading.members[0];
        let rain = series.amounts(Element::Rain).unwrap();
        assert_eq!(
            (rain.sum(0, 211), rain.sum(121, 127)),
            (exact(2500), exact(900))
        );
        assert_eq!(
            (rain.sum(115, 116).low_um, rain.sum(115, 116).high_um),
            (0, Some(200))
        );
        assert_eq!(rain.sum(211, 212).high_um, None);
        assert!(!series.has(Element::Gust) && !series.has(Element::RainChance));
        assert_eq!(
            reading.notices,
            [Notice::LongSteps {
                file: "point.json".into(),
                count: 26
            }]
        );
    }

    /// The file, counted by the same program; it has no extremes over six hours.
    #[test]
    fn the_open_file_of_beijing_has_what_was_counted() {
        let bytes = include_bytes!("../../../data/open/locationforecast/beijing_compact.json");
        let reading = read("point.json", bytes);
        let series = &reading.members[0];
        assert_eq!((series.start(), series.hours()), (1_595_242_800, 212));
        assert_eq!(reading.issued, Issued::At(1_595_208_657));
        let (count, sum) = sum_of_exact(series, Element::Temperature);
        assert!(count == 82 && (sum - 2339.2).abs() < 1e-9);
        assert_eq!(
            bounds(series, Element::Temperature)
                .iter()
                .flatten()
                .count(),
            82
        );
        assert!(!series.has(Element::DewPoint));
        let rain = series.amounts(Element::Rain).unwrap();
        assert_eq!(
            (rain.sum(0, 211), rain.sum(139, 145), rain.sum(0, 139)),
            (exact(400), exact(400), exact(0))
        );
    }
}

mod nws_gridpoint {
    use super::*;

    fn missing(series: &HourlySeries, element: Element) -> usize {
        let low = series.column(element).unwrap().low();
        low.iter().filter(|value| value.is_nan()).count()
    }

    /// The file, counted by a Python program that expands each interval into hours by itself.
    #[test]
    fn the_open_file_has_what_was_counted() {
        let bytes = include_bytes!("../../../data/open/nws/detailed_forecast.json");
        let reading = read("grid.json", bytes);
        let series = &reading.members[0];
        assert_eq!(
            (series.start(), series.hours(), reading.members.len()),
            (1_643_922_000, 183, 1)
        );
        assert!((0..183).all(|hour| series.has_row(hour)));
        assert_eq!(reading.issued, Issued::At(1_643_944_541));
        let place = reading.position.unwrap();
        assert!(
            (place.longitude + 84.980_304_725).abs() < 1e-9
                && (place.latitude - 30.019_382_025).abs() < 1e-9
        );
        assert_eq!(place.elevation_m, Some(3.9624));
        let facts = [
            (
                Element::Temperature,
                Unit::Celsius,
                1,
                1930.0,
                22.777_777_777_777_78,
            ),
            (
                Element::DewPoint,
                Unit::Celsius,
                2,
                1230.0,
                17.777_777_777_777_78,
            ),
            (Element::Humidity, Unit::Percent, 2, 14_282.0, 73.0),
            (Element::Cloud, Unit::Percent, 2, 10_816.0, 71.0),
            (Element::Wind, Unit::KilometrePerHour, 2, 1300.104, 20.372),
            (Element::Gust, Unit::KilometrePerHour, 2, 2976.164, 29.632),
            (Element::RainChance, Unit::Percent, 0, 3129.0, 8.0),
        ];
        for (element, unit, missed, sum, first) in facts {
            let column = series.column(element).unwrap();
            assert_eq!(
                (column.single_unit(), column.is_bounded()),
                (Some(unit), false)
            );
            assert_eq!(missing(series, element), missed, "{element:?}");
            let computed: f64 = column.low().iter().filter(|value| !value.is_nan()).sum();
            assert!(
                (computed - sum).abs() < 1e-6,
                "{element:?} sums to {computed}"
            ); // 183 roundings
            assert_eq!(column.at(0, unit), Some((first, first)));
        }
    }

    /// The same file, counted by the same program: amounts over intervals, and what must be said of them.
    #[test]
    fn the_amounts_of_the_open_file_are_what_was_counted() {
        let bytes = include_bytes!("../../../data/open/nws/detailed_forecast.json");
        let reading = read("grid.json", bytes);
        let series = &reading.members[0];
        let rain = series.amounts(Element::Rain).unwrap();
        assert_eq!(rain.sum(0, 159).high_um, Some(20_066));
        assert_eq!(rain.sum(0, 159).low_um, 20_066);
        assert_eq!(rain.sum(159, 183).high_um, None);
        assert_eq!(
            rain.of_hour(20)
                .map(|amount| (amount.from, amount.hours, amount.low_um)),
            Some((15, 6, 4826))
        );
        let snow = series.amounts(Element::Snow).unwrap();
        assert_eq!(
            (snow.sum(0, 99).high_um, snow.sum(0, 100).high_um),
            (Some(0), None)
        );
        let file = "grid.json".to_owned();
        let expected = vec![
            Notice::LongSteps {
                file: file.clone(),
                count: 12,
            },
            Notice::ChancePeriods { file },
        ];
        assert_eq!(reading.notices, expected);
    }
}

mod nws_hourly {
    use super::*;

    /// The files, read by eye: two hours from 2019-10-15T00:00Z (1571097600).
    #[test]
    fn the_open_files_have_what_was_counted() {
        let us =
            include_bytes!("../../../data/open/nws/gridpoints_forecast_hourly_us.json").as_slice();
        let si =
            include_bytes!("../../../data/open/nws/gridpoints_forecast_hourly_si.json").as_slice();
        for (bytes, unit, values, wind) in [
            (us, Unit::Fahrenheit, [78.0, 77.0], Unit::MilePerHour),
            (si, Unit::Celsius, [25.5, 25.0], Unit::KilometrePerHour),
        ] {
            let reading = read("hours.json", bytes);
            let series = &reading.members[0];
            assert_eq!((series.start(), series.hours()), (1_571_097_600, 2));
            assert_eq!(reading.issued, Issued::At(1_571_094_984));
            let place = reading.position.unwrap();
            assert!(
                (place.latitude - 29.995_017_3).abs() < 1e-9
                    && (place.longitude + 84.956_047).abs() < 1e-9
            );
            assert_eq!(place.elevation_m, Some(7.9248));
            let column = |element| series.column(element).unwrap();
            assert_eq!(column(Element::Temperature).low(), values);
            assert_eq!(column(Element::Temperature).single_unit(), Some(unit));
            assert_eq!(column(Element::DewPoint).low(), [5.0, 5.0]);
            assert_eq!(column(Element::Humidity).low(), [63.0, 63.0]);
            assert_eq!(column(Element::RainChance).low(), [20.0, 20.0]);
            assert_eq!(column(Element::Wind).low(), [0.0, 0.0]);
            assert_eq!(column(Element::Wind).single_unit(), Some(wind));
            assert!(!series.has(Element::Gust) && !series.has(Element::Rain));
            assert_eq!(
                reading.notices,
                [Notice::NoRainAmount {
                    file: "hours.json".into()
                }]
            );
        }
    }

    /// The file has one period, all null. Its `periods` stand in line 62, found with grep -n.
    #[test]
    fn the_open_file_without_times_is_an_error() {
        let bytes =
            include_bytes!("../../../data/open/nws/gridpoints_forecast_hourly_empty_us.json");
        let error = read_hourly(
            Source {
                name: "hours.json",
                bytes,
            },
            None,
        )
        .unwrap_err();
        assert_eq!(
            error.to_string(),
            "hours.json:62:20: expected a period with a startTime, found none"
        );
    }
}

mod nws_observations {
    use super::*;

    /// The elements that stand at one instant of a report.
    const INSTANT: [Element; 5] = [
        Element::Temperature,
        Element::DewPoint,
        Element::Humidity,
        Element::Wind,
        Element::Gust,
    ];

    macro_rules! open_file {
        ($name:literal) => {{
            let bytes = include_bytes!(concat!(
                "../../../data/open/nws/stations_observations",
                $name,
                ".json"
            ));
            read_hourly(
                Source {
                    name: "station.json",
                    bytes,
                },
                None,
            )
        }};
    }

    /// The files, listed by a Python program: one report at 10:53 on 27 June 2019, all values 10, rain
    /// null; the hour begins at 1561629600.
    #[test]
    fn the_open_files_have_what_was_counted() {
        for reading in [
            open_file!(""),
            open_file!("_other_unitcode"),
            open_file!("_strings"),
            open_file!("_multiple"),
        ] {
            let reading = reading.unwrap();
            let series = &reading.members[0];
            assert_eq!((series.start(), series.hours()), (1_561_629_600, 1));
            for (element, unit) in [
                (Element::Temperature, Unit::Celsius),
                (Element::DewPoint, Unit::Celsius),
                (Element::Humidity, Unit::Percent),
                (Element::Wind, Unit::MetrePerSecond),
                (Element::Gust, Unit::MetrePerSecond),
            ] {
                let column = series.column(element).unwrap();
                assert_eq!(
                    (column.single_unit(), column.low(), column.is_bounded()),
                    (Some(unit), &[10.0][..], false)
                );
            }
            let rain = series.amounts(Element::Rain).unwrap().sum(0, 1);
            assert_eq!((rain.low_um, rain.high_um), (0, None));
            assert!(!series.has(Element::Cloud) && !series.has(Element::Snow));
            let place = Position {
                latitude: 26.07,
                longitude: -80.15,
                elevation_m: Some(10.0),
            };
            assert_eq!(
                (reading.issued, reading.position),
                (Issued::Unknown, Some(place))
            );
            assert_eq!(reading.notices, []);
        }
    }

    /// 10 °F with a dew point of 10 °C cannot be: both are missing. Wind 10 km/h.
    #[test]
    fn the_open_file_of_other_units_has_what_was_counted() {
        let reading = open_file!("_alternate_units").unwrap();
        let series = &reading.members[0];
        let temperature = series.column(Element::Temperature).unwrap();
        assert_eq!(
            (temperature.single_unit(), temperature.at(0, Unit::Celsius)),
            (Some(Unit::Fahrenheit), None)
        );
        assert_eq!(
            series
                .column(Element::DewPoint)
                .unwrap()
                .at(0, Unit::Celsius),
            None
        );
        assert_eq!(
            series
                .column(Element::Wind)
                .unwrap()
                .at(0, Unit::KilometrePerHour),
            Some((10.0, 10.0))
        );
        assert_eq!(
            reading.notices,
            [Notice::DewPointAbove {
                file: "station.json".into(),
                count: 1
            }]
        );
    }

    /// At 10:50 the file says −100 °C and 1000 m/s, at 10:53 ten of everything. Lines found with grep -n.
    #[test]
    fn the_open_file_out_of_order_has_what_was_counted() {
        let reading = open_file!("_multiple_unsorted").unwrap();
        let series = &reading.members[0];
        assert_eq!((series.start(), series.hours()), (1_561_629_600, 1));
        for element in INSTANT {
            assert_eq!(series.column(element).unwrap().low(), [10.0]);
            assert!(!series.column(element).unwrap().is_bounded());
        }
        let said: Vec<String> = reading.notices.iter().map(ToString::to_string).collect();
        let rejected = "value rejected as impossible and taken as missing, the first";
        assert_eq!(
            said,
            [
                format!("station.json:70:30: 1 temperature {rejected} \"-100\""),
                format!("station.json:75:30: 1 dew-point {rejected} \"-100\""),
                format!("station.json:85:30: 1 wind {rejected} \"1000\""),
                format!("station.json:90:30: 1 gust {rejected} \"1100\""),
            ]
        );
    }

    /// `features` stand in line 45, found with grep -n.
    #[test]
    fn the_open_files_without_times_are_errors() {
        for reading in [open_file!("_empty"), open_file!("_missing_value")] {
            let expected = "station.json:45:17: expected a report with a timestamp, found none";
            assert_eq!(reading.unwrap_err().to_string(), expected);
        }
    }
}
