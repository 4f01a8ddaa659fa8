//! Random weather and rules: forecasts of 30 to 200 hours in random units, with blanks, gaps, bounds and amounts over
//! several hours, in zones near their clock changes; and operations whose limits lie on the values again and again.
//!
//! All of it is invented. What is drawn are small whole numbers, an [`HourDraw`] an hour, so that a failure shrinks to
//! few hours and plain values.

mod draws;

use chrono::DateTime;
use chrono_tz::Tz;
use fairspell::decision::{Decision, Question, decide};
use fairspell::error::{DecideError, SeriesError};
use fairspell::operation::{Measure, Operation, Rule, STANDING_CAUTIONS, Severity, Span, Take};
use fairspell::quantity::{Quantity, Unit};
use fairspell::read::{Format, Issued, Reading};
use fairspell::series::{self, Amount, Amounts, Element, HourlySeries};
use fairspell::site::Site;
use fairspell::spell::{Judged, Sky};
use proptest::prelude::*;
use proptest::sample::select;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

pub use draws::{Case, drawn};

use crate::evaluator::{Asked, Bounds, Column, Fall, Falls, HOUR_S, Place, Weather};

/// A runner that draws the same cases at every run; `seed` sets one test's cases apart from another's.
#[must_use]
pub fn runner(cases: u32, seed: u8) -> TestRunner {
    let config = Config {
        cases,
        failure_persistence: None,
        max_shrink_iters: 5_000,
        ..Config::default()
    };
    TestRunner::new_with_rng(
        config,
        TestRng::from_seed(RngAlgorithm::ChaCha, &[seed; 32]),
    )
}

/// Zones, each with two instants that files lie around \[s since 1970 UTC\]: its clock changes of 2027, if it has any.
const ZONES: [(Tz, [i64; 2]); 5] = [
    (Tz::UTC, [1_804_690_800, 1_830_000_000]),
    (Tz::America__Chicago, [1_805_011_200, 1_825_570_800]), // 14 March and 7 November 2027
    (Tz::Asia__Kolkata, [1_804_690_800, 1_830_000_000]),
    (Tz::Australia__Lord_Howe, [1_806_764_400, 1_822_491_000]), // 4 April and 3 October 2027, by half an hour
    (Tz::Pacific__Auckland, [1_806_760_800, 1_821_880_800]),    // 4 April and 26 September 2027
];

/// A unit, the lowest base in it, and the step of what is drawn.
type Scale = (Unit, f64, f64);

/// Elements of columns, each with its units, and in each unit the lowest base and the step of what is drawn.
const COLUMNS: [(Element, &[Scale]); 7] = [
    (
        Element::Temperature,
        &[(Unit::Fahrenheit, 26.0, 1.0), (Unit::Celsius, -4.0, 0.5)],
    ),
    (Element::RainChance, &[(Unit::Percent, 0.0, 5.0)]),
    (Element::Humidity, &[(Unit::Percent, 40.0, 4.0)]),
    (
        Element::DewPoint,
        &[(Unit::Fahrenheit, 26.0, 1.0), (Unit::Celsius, -4.0, 0.5)],
    ),
    (
        Element::Wind,
        &[
            (Unit::MilePerHour, 0.0, 1.0),
            (Unit::KilometrePerHour, 0.0, 1.5),
            (Unit::MetrePerSecond, 0.0, 0.5),
            (Unit::Knot, 0.0, 1.0),
        ],
    ),
    (
        Element::Gust,
        &[
            (Unit::MilePerHour, 5.0, 1.0),
            (Unit::MetrePerSecond, 2.0, 0.5),
            (Unit::Knot, 5.0, 1.0),
        ],
    ),
    (Element::Cloud, &[(Unit::Percent, 0.0, 5.0)]),
];

/// One hour as it is drawn.
#[derive(Debug, Clone)]
pub struct HourDraw {
    /// Steps above the base, for each of [`COLUMNS`].
    steps: [u8; 7],
    /// Steps between the bounds, for each of them.
    spreads: [u8; 7],
    /// Luck, for each of them, of being blank.
    blanks: [u8; 7],
    /// Luck of having no row.
    gap: u8,
    /// Luck, for rain and snow, of being wet; and how much falls.
    wet: [(u8, u8); 2],
    /// Luck of being blank, for rain and snow.
    dry_blanks: [u8; 2],
    /// Hours of the amount that begins here, for rain and snow.
    long: [u8; 2],
}

/// What is drawn for a forecast as a whole.
#[derive(Debug, Clone)]
pub struct Settings {
    zone: usize,
    change: usize,
    /// Hours that the file begins before the clock change.
    before: i64,
    /// Seconds past the hour at which hours begin.
    phase: i64,
    /// For each of [`COLUMNS`]: whether it is there, its unit, its base in steps, whether it has bounds.
    columns: [(bool, usize, u8, bool); 7],
    /// For rain and snow: whether it is there, in inches, in long amounts.
    falls: [(bool, bool, bool); 2],
    /// Rates in a hundred: of blanks, of hours without a row, of wet hours.
    rates: (u8, u8, u8),
    coordinates: Option<(i8, i16)>,
    elevation_m: u16,
}

/// A rule as it is drawn.
#[derive(Debug, Clone)]
pub struct RuleDraw {
    measure: Measure,
    over: Span,
    take: Take,
    /// Steps of the limits above the base; which of the two there are.
    limits: (i8, u8),
    sides: (bool, bool),
    /// Unit of the limits among those of the measure.
    unit: usize,
    is_caution: bool,
    is_optional: bool,
}

/// How old the forecast is said to be.
#[derive(Debug, Clone, Copy)]
enum Age {
    Unsaid,
    Blank,
    /// Seconds from issue to `at`.
    Of(i64),
}

/// What is asked, as it is drawn.
#[derive(Debug, Clone)]
pub struct AskDraw {
    /// Hours from the file's beginning to `at`, and seconds past them.
    at: (i64, i64),
    /// Seconds of the window, if it is not the rest of the day.
    within: Option<i64>,
    age: Age,
    needed: usize,
    is_dry_now: bool,
    is_strict: bool,
}

/// A forecast, and what is asked of it.
#[derive(Debug, Clone)]
pub struct Scenario {
    /// The hours.
    pub weather: Weather,
    /// Where.
    pub place: Place,
    /// The rules and the time.
    pub asked: Asked,
}

/// Which forecasts are drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Any that a series can hold.
    Any,
    /// Those that plain CSV can say: no bounds, no amounts over several hours.
    Plain,
}

fn hour() -> impl Strategy<Value = HourDraw> {
    let spread = prop_oneof![3 => Just(0_u8), 1 => 0_u8..6];
    let long = prop_oneof![2 => Just(1_u8), 1 => select(vec![2_u8, 3, 6, 12])];
    let wet = (0_u8..100, 0_u8..6);
    (
        proptest::array::uniform7(0_u8..10),
        proptest::array::uniform7(spread),
        proptest::array::uniform7(0_u8..100),
        0_u8..100,
        [wet.clone(), wet],
        [0_u8..100, 0_u8..100],
        [long.clone(), long],
    )
        .prop_map(
            |(steps, spreads, blanks, gap, wet, dry_blanks, long)| HourDraw {
                steps,
                spreads,
                blanks,
                gap,
                wet,
                dry_blanks,
                long,
            },
        )
}

fn settings(kind: Kind) -> impl Strategy<Value = Settings> {
    let bounded = prop::bool::weighted(if kind == Kind::Any { 0.3 } else { 0.0 });
    let column = (prop::bool::weighted(0.7), 0_usize..12, 0_u8..6, bounded);
    let fall = (prop::bool::weighted(0.85), any::<bool>(), bounded);
    let rate = |rates: Vec<u8>| select(rates);
    (
        (
            0_usize..ZONES.len(),
            0_usize..2,
            0_i64..150,
            select(vec![0_i64, 0, 0, 1800, 900]),
        ),
        proptest::array::uniform7(column),
        [fall, fall],
        (
            rate(vec![0, 0, 0, 1, 6]),
            rate(vec![0, 0, 1, 8]),
            rate(vec![0, 1, 4, 30]),
        ),
        (
            prop::option::weighted(0.8, (-65_i8..66, -179_i16..180)),
            0_u16..2500,
        ),
    )
        .prop_map(
            |((zone, change, before, phase), columns, falls, rates, (coordinates, elevation_m))| {
                Settings {
                    zone,
                    change,
                    before,
                    phase,
                    columns,
                    falls,
                    rates,
                    coordinates,
                    elevation_m,
                }
            },
        )
}

/// Measures that rules are drawn on, those of the built-in operations more often.
const MEASURES: [Measure; 24] = [
    Measure::Read(Element::Temperature),
    Measure::Read(Element::Temperature),
    Measure::Read(Element::Temperature),
    Measure::Read(Element::Temperature),
    Measure::Read(Element::Rain),
    Measure::Read(Element::Rain),
    Measure::Read(Element::Rain),
    Measure::Read(Element::Rain),
    Measure::Read(Element::RainChance),
    Measure::Read(Element::Humidity),
    Measure::Read(Element::DewPoint),
    Measure::Read(Element::Wind),
    Measure::Read(Element::Gust),
    Measure::Read(Element::Cloud),
    Measure::Read(Element::Snow),
    Measure::WetBulb,
    Measure::WetBulbDepression,
    Measure::DewPointDepression,
    Measure::VapourPressureDeficit,
    Measure::DryingHours,
    Measure::SunElevation,
    Measure::Daylight,
    Measure::HoursSinceRain,
    Measure::HoursUntilRain,
];

fn rule() -> impl Strategy<Value = RuleDraw> {
    let over = prop_oneof![
        4 => Just(Span::ThisHour),
        4 => (1_u32..30).prop_map(Span::After),
        1 => (48_u32..100).prop_map(Span::After),
        4 => (1_u32..15).prop_map(Span::Before),
        2 => (1_u32..4).prop_map(Span::EachOfDays),
    ];
    let take = select(vec![
        Take::Min,
        Take::Max,
        Take::Mean,
        Take::Sum,
        Take::Value,
    ]);
    let sides = select(vec![
        (true, false),
        (false, true),
        (false, true),
        (true, false),
        (true, true),
    ]);
    (
        (select(MEASURES.to_vec()), over, take),
        ((-3_i8..14, 0_u8..10), sides, 0_usize..12),
        (prop::bool::weighted(0.25), prop::bool::weighted(0.4)),
    )
        .prop_map(
            |((measure, over, take), (limits, sides, unit), (is_caution, is_optional))| RuleDraw {
                take: taken(measure, over, take),
                measure,
                over,
                limits,
                sides,
                unit,
                is_caution,
                is_optional: is_optional && measure.may_be_optional(),
            },
        )
}

/// What an operation file lets a rule take: `value` of one hour alone, `sum` of rain and snow alone.
fn taken(measure: Measure, over: Span, take: Take) -> Take {
    let is_depth = matches!(measure, Measure::Read(Element::Rain | Element::Snow));
    match take {
        Take::Sum if !is_depth => Take::Min,
        Take::Value if over != Span::ThisHour => {
            if is_depth {
                Take::Sum
            } else {
                Take::Max
            }
        }
        take => take,
    }
}

fn ask() -> impl Strategy<Value = AskDraw> {
    let past = select(vec![0_i64, 0, 1, 1800, 3599]);
    let within = prop::option::weighted(
        0.5,
        prop_oneof![1_i64..200_000, (1_i64..60).prop_map(|hours| hours * HOUR_S)],
    );
    let age = select(vec![
        Age::Unsaid,
        Age::Unsaid,
        Age::Unsaid,
        Age::Blank,
        Age::Of(0),
        Age::Of(-7200),
        Age::Of(43_200),
        Age::Of(43_201),
    ]);
    let at = prop_oneof![5 => 0_i64..60, 1 => -40_i64..0, 1 => 60_i64..220];
    (
        (at, past),
        within,
        age,
        1_usize..8,
        prop::bool::weighted(0.3),
        prop::bool::weighted(0.2),
    )
        .prop_map(|(at, within, age, needed, is_dry_now, is_strict)| AskDraw {
            at,
            within,
            age,
            needed,
            is_dry_now,
            is_strict,
        })
}

/// Random forecasts with an operation of one to six rules.
pub fn scenarios(kind: Kind) -> impl Strategy<Value = Scenario> {
    let hours = prop_oneof![4 => prop::collection::vec(hour(), 30..90), 1 => prop::collection::vec(hour(), 90..200)];
    (
        settings(kind),
        hours,
        prop::collection::vec(rule(), 1..=6),
        ask(),
    )
        .prop_map(|(settings, hours, rules, ask)| Scenario::drawn(&settings, &hours, &rules, &ask))
}

/// Random ensembles of two to five members over the same hours.
pub fn ensembles() -> impl Strategy<Value = Vec<Scenario>> {
    let hours = prop::collection::vec(hour(), 30..70);
    let shift = prop::collection::vec(1_usize..30, 1..=4);
    (
        settings(Kind::Any),
        hours,
        prop::collection::vec(rule(), 1..=6),
        ask(),
        shift,
    )
        .prop_map(|(settings, hours, rules, ask, shifts)| {
            let first = Scenario::drawn(&settings, &hours, &rules, &ask);
            let mut members = vec![first];
            for shift in shifts {
                let mut turned = hours.clone();
                turned.rotate_left(shift % hours.len().max(1));
                for (turned, own) in turned.iter_mut().zip(&hours) {
                    turned.gap = own.gap; // the members have the same rows
                }
                members.push(Scenario::drawn(&settings, &turned, &rules, &ask));
            }
            members
        })
}

/// The weather of late winter, in which pruning and spraying may be fit: nights in the thirties and days about 50 °F,
/// little rain, light wind. The operation's own rules are none: the built-in operations are asked about it.
pub fn gardens() -> impl Strategy<Value = Scenario> {
    let draws = prop::collection::vec(garden_hour(), 60..140);
    let rain = select(vec![0_u8, 0, 0, 2, 10]);
    let at = (0_i64..40, select(vec![0_i64, 0, 1800]));
    let within = prop::option::weighted(0.5, (1_i64..72).prop_map(|hours| hours * HOUR_S));
    (draws, rain, at, within, any::<bool>()).prop_map(
        |(draws, rain, (hours, seconds), within, is_dry_now)| {
            let start = 1_804_658_400; // Wednesday 10 March 2027 00:00 −06:00
            let at = start + hours * HOUR_S + seconds;
            Scenario {
                weather: garden_weather(start, &draws, rain),
                place: Place {
                    zone: Tz::America__Chicago,
                    coordinates: Some((40.0, -90.0)),
                    elevation_m: 200.0,
                },
                asked: Asked {
                    rules: Vec::new(),
                    needed: 2,
                    at,
                    until: within.map(|seconds| at + seconds),
                    issued: Issued::At(at - HOUR_S),
                    stale_after_s: 12 * HOUR_S,
                    is_dry_now,
                    is_strict: false,
                },
            }
        },
    )
}

/// Degrees above the day's course, luck and amount of rain, wind, humidity.
type GardenDraw = (u8, (u8, u8), u8, u8);

fn garden_hour() -> impl Strategy<Value = GardenDraw> {
    (0_u8..8, (0_u8..100, 0_u8..6), 0_u8..12, 0_u8..12)
}

fn garden_weather(start: i64, draws: &[GardenDraw], rain_rate: u8) -> Weather {
    let column = |element, unit, of: fn((usize, &GardenDraw)) -> f64| Column {
        element,
        values: draws
            .iter()
            .enumerate()
            .map(|draw| Some(Bounds::exactly(of(draw), unit)))
            .collect(),
    };
    let temperature = |(hour, draw): (usize, &GardenDraw)| {
        let course = if (8..18).contains(&(hour % 24)) {
            42.0
        } else {
            32.0
        };
        course + f64::from(draw.0)
    };
    let wind = |(_, draw): (usize, &GardenDraw)| f64::from(draw.2);
    let humidity = |(_, draw): (usize, &GardenDraw)| 40.0 + 5.0 * f64::from(draw.3.min(10));
    let fall = |(from, draw): (usize, &GardenDraw)| {
        let um = if lucky(draw.1.0, rain_rate) {
            depth_um(draw.1.1, false)
        } else {
            0
        };
        Fall {
            from,
            hours: 1,
            low_um: um,
            high_um: Some(um),
        }
    };
    Weather {
        start,
        has_row: vec![true; draws.len()],
        columns: vec![
            column(Element::Temperature, Unit::Fahrenheit, temperature),
            column(Element::Wind, Unit::MilePerHour, wind),
            column(Element::Humidity, Unit::Percent, humidity),
        ],
        falls: vec![Falls {
            element: Element::Rain,
            unit: Unit::Millimetre,
            falls: draws.iter().enumerate().map(fall).collect(),
        }],
    }
}

impl Scenario {
    fn drawn(settings: &Settings, hours: &[HourDraw], rules: &[RuleDraw], ask: &AskDraw) -> Self {
        let (zone, changes) = ZONES
            .get(settings.zone)
            .copied()
            .unwrap_or((Tz::UTC, [0, 0]));
        let change = changes.get(settings.change).copied().unwrap_or_default();
        let start = change.div_euclid(HOUR_S) * HOUR_S - settings.before * HOUR_S + settings.phase;
        let last = hours.len().saturating_sub(1);
        let has_row: Vec<bool> = hours
            .iter()
            .enumerate()
            .map(|(index, hour)| index == 0 || index == last || !lucky(hour.gap, settings.rates.1))
            .collect();
        let weather = Weather {
            start,
            columns: settings.columns(hours, &has_row),
            falls: settings.falls(hours, &has_row),
            has_row,
        };
        let coordinates = settings
            .coordinates
            .map(|(north, east)| (f64::from(north), f64::from(east)));
        let place = Place {
            zone,
            coordinates,
            elevation_m: f64::from(settings.elevation_m),
        };
        let at = start + ask.at.0 * HOUR_S + ask.at.1;
        let rules = rules
            .iter()
            .enumerate()
            .map(|(index, rule)| rule.rule(index, settings))
            .collect();
        let asked = Asked {
            rules,
            needed: ask.needed,
            at,
            until: ask.within.map(|seconds| at + seconds),
            issued: match ask.age {
                Age::Unsaid => Issued::Unknown,
                Age::Blank => Issued::Blank,
                Age::Of(age) => Issued::At(at - age),
            },
            stale_after_s: 12 * HOUR_S,
            is_dry_now: ask.is_dry_now,
            is_strict: ask.is_strict,
        };
        Self {
            weather,
            place,
            asked,
        }
    }

    /// The operation that the engine is asked about.
    #[must_use]
    pub fn operation(&self) -> Operation {
        Operation {
            name: "random".to_owned(),
            title: "Random work".to_owned(),
            hours_needed: u32::try_from(self.asked.needed).unwrap_or(1),
            stale_after_s: self.asked.stale_after_s,
            rules: self.asked.rules.clone(),
            cautions: STANDING_CAUTIONS.to_vec(),
        }
    }

    /// The place as a site.
    #[must_use]
    pub fn site(&self) -> Site {
        Site {
            latitude: self.place.coordinates.map(|place| place.0),
            longitude: self.place.coordinates.map(|place| place.1),
            elevation_m: Some(self.place.elevation_m),
            zone: Some(self.place.zone),
            ..Site::default()
        }
    }

    /// The engine's decision on one or more members.
    ///
    /// # Errors
    /// [`DecideError`] of the engine.
    pub fn decided(&self, members: Vec<HourlySeries>) -> Result<Decision, DecideError> {
        self.decided_by(members, &self.operation())
    }

    /// The engine's decision by an operation of the caller's, on one or more members.
    ///
    /// # Errors
    /// [`DecideError`] of the engine.
    pub fn decided_by(
        &self,
        members: Vec<HourlySeries>,
        operation: &Operation,
    ) -> Result<Decision, DecideError> {
        let (forecast, site) = (self.reading(members), self.site());
        decide(&Question {
            forecast: &forecast,
            operation,
            site: &site,
            at: self.asked.at,
            until: self.asked.until,
            is_dry_now: self.asked.is_dry_now,
            is_strict: self.asked.is_strict,
            explain: None,
        })
    }

    /// The rules of an operation applied to all hours of a series.
    #[must_use]
    pub fn judged<'a>(&self, series: &'a HourlySeries, operation: &'a Operation) -> Judged<'a> {
        self.judged_from(series, operation, 0)
    }

    /// The rules of an operation applied to the hours of a series from one on.
    #[must_use]
    pub fn judged_from<'a>(
        &self,
        series: &'a HourlySeries,
        operation: &'a Operation,
        from: usize,
    ) -> Judged<'a> {
        let sky = Sky {
            coordinates: self.place.coordinates,
            elevation_m: self.place.elevation_m,
            dry_before: self.asked.is_dry_now,
        };
        let clock = (self.place.zone, self.asked.is_strict);
        Judged::new(series, operation, &sky, clock, from)
    }

    fn reading(&self, members: Vec<HourlySeries>) -> Reading {
        Reading {
            members,
            issued: self.asked.issued,
            position: None,
            format: Format::PlainCsv,
            notices: Vec::new(),
        }
    }
}

/// Whether a draw of 0 to 99 falls into a rate of a hundred; small draws never do, so that failures shrink to none.
fn lucky(draw: u8, rate: u8) -> bool {
    draw >= 100 - rate
}

impl Settings {
    /// Unit, base in that unit and step of one of [`COLUMNS`].
    fn scale(&self, index: usize) -> Scale {
        let own = self
            .columns
            .get(index)
            .copied()
            .unwrap_or((false, 0, 0, false));
        let units = COLUMNS.get(index).map_or(&[][..], |column| column.1);
        let (unit, base, step) =
            units
                .get(own.1 % units.len().max(1))
                .copied()
                .unwrap_or((Unit::Percent, 0.0, 1.0));
        (unit, base + f64::from(own.2) * step, step)
    }

    /// Humidity and dew point are there together or not at all: their derivation from each other is checked elsewhere.
    /// The dew point has the temperature's unit and lies at or below it, since a reader rejects what lies above.
    fn columns(&self, hours: &[HourDraw], has_row: &[bool]) -> Vec<Column> {
        let mut columns: Vec<Column> = Vec::new();
        for (index, (element, _)) in COLUMNS.iter().enumerate() {
            let twin = if *element == Element::DewPoint {
                2
            } else {
                index
            };
            if self.columns.get(twin).is_some_and(|own| own.0) {
                let drawn = hours
                    .iter()
                    .zip(has_row)
                    .map(|(hour, has)| self.value(index, hour).filter(|_| *has));
                columns.push(Column {
                    element: *element,
                    values: drawn.collect(),
                });
            }
        }
        let temperatures = columns
            .iter()
            .find(|column| column.element == Element::Temperature)
            .cloned();
        if let Some(dew_points) = columns
            .iter_mut()
            .find(|column| column.element == Element::DewPoint)
        {
            let (unit, base, step) = self.scale(0);
            for (hour, value) in dew_points.values.iter_mut().enumerate() {
                let warm = temperatures
                    .as_ref()
                    .and_then(|column| *column.values.get(hour)?);
                let top = warm.map_or(base, |warm| warm.low);
                let depression = value.map(|value| (value.high - value.low) + step);
                *value = depression.map(|depression| Bounds::exactly(top - depression, unit));
            }
        }
        columns
    }

    fn value(&self, index: usize, hour: &HourDraw) -> Option<Bounds> {
        let (unit, base, step) = self.scale(index);
        let of = |draws: &[u8; 7]| f64::from(draws.get(index).copied().unwrap_or_default());
        if lucky(
            hour.blanks.get(index).copied().unwrap_or_default(),
            self.rates.0,
        ) {
            return None;
        }
        let is_bounded = self.columns.get(index).is_some_and(|own| own.3);
        let low = base + of(&hour.steps) * step;
        let high = if is_bounded {
            low + of(&hour.spreads) * step
        } else {
            low
        };
        let most = if unit == Unit::Percent {
            100.0
        } else {
            f64::INFINITY
        };
        Some(Bounds {
            low: low.min(most),
            high: high.min(most),
            unit,
        })
    }

    fn falls(&self, hours: &[HourDraw], has_row: &[bool]) -> Vec<Falls> {
        let mut all = Vec::new();
        for (which, element) in [Element::Rain, Element::Snow].into_iter().enumerate() {
            let (is_there, is_inches, is_long) = self.falls.get(which).copied().unwrap_or_default();
            if !is_there {
                continue;
            }
            let mut falls = Vec::new();
            let mut from = 0;
            while let Some(hour) = hours.get(from) {
                let fall = Fall {
                    from,
                    ..self.fall(hour, which)
                };
                let fall = Fall {
                    hours: fall.hours.min(hours.len() - from),
                    ..fall
                };
                // A blank amount over several hours keeps its lower bound, as an hour does of which a part is missing.
                let is_row = has_row.get(from).copied().unwrap_or(false);
                if is_long || (is_row && fall.high_um.is_some()) {
                    falls.push(fall);
                }
                from += fall.hours;
            }
            let unit = if is_inches {
                Unit::Inch
            } else {
                Unit::Millimetre
            };
            all.push(Falls {
                element,
                unit,
                falls,
            });
        }
        all
    }

    /// The fall that begins in an hour, of rain or of snow; without an upper bound where it is blank.
    fn fall(&self, hour: &HourDraw, which: usize) -> Fall {
        let (_, is_inches, is_long) = self.falls.get(which).copied().unwrap_or_default();
        let of = |draws: &[u8]| draws.get(which).copied().unwrap_or_default();
        let (wet, amount) = hour.wet.get(which).copied().unwrap_or_default();
        let um = if lucky(wet, self.rates.2) {
            depth_um(amount, is_inches)
        } else {
            0
        };
        let spread = of(&hour.spreads);
        let more = if is_long && spread > 3 {
            depth_um(spread, is_inches)
        } else {
            0
        };
        let is_blank = lucky(of(&hour.dry_blanks), self.rates.0);
        Fall {
            from: 0,
            hours: if is_long {
                usize::from(of(&hour.long)).max(1)
            } else {
                1
            },
            low_um: um,
            high_um: (!is_blank).then_some(um + more),
        }
    }
}

/// Depths as gauges give them: traces, tenths of a millimetre, hundredths of an inch.
fn depth_um(draw: u8, is_inches: bool) -> i64 {
    let step = if is_inches { 254 } else { 100 };
    match draw {
        0 => 1,
        1 => step,
        2 => 2 * step,
        3 => 10 * step,
        4 => 7 * step,
        _ => 50 * step,
    }
}

impl RuleDraw {
    fn rule(&self, index: usize, settings: &Settings) -> Rule {
        let (least, most) = self.limits(settings);
        Rule {
            name: format!("rule {index}"),
            measure: self.measure,
            over: self.over,
            take: self.take,
            at_least: Some(least).filter(|_| self.sides.0),
            at_most: Some(most).filter(|_| self.sides.1),
            severity: if self.is_caution {
                Severity::Caution
            } else {
                Severity::Block
            },
            optional: self.is_optional,
            source: "Invented".to_owned(),
        }
    }

    /// A lower and an upper limit, on values that are drawn as often as not.
    fn limits(&self, settings: &Settings) -> (Quantity, Quantity) {
        let (low, apart) = (f64::from(self.limits.0), f64::from(self.limits.1));
        let unit = self.measure.kind().si();
        let si = |value| Quantity { value, unit };
        match self.measure {
            Measure::Read(Element::Rain | Element::Snow) => self.depths(),
            Measure::HoursSinceRain | Measure::HoursUntilRain => {
                let (unit, times) = if self.unit.is_multiple_of(2) {
                    (Unit::Hour, 1.0)
                } else {
                    (Unit::Minute, 60.0)
                };
                let limit = |hours: f64| Quantity {
                    value: hours * times,
                    unit,
                };
                (limit(low + 3.0), limit(low + 3.0 + apart * 2.0))
            }
            Measure::Read(element) => {
                let own = if element == Element::DewPoint {
                    Element::Temperature
                } else {
                    element
                };
                let index = COLUMNS
                    .iter()
                    .position(|column| column.0 == own)
                    .unwrap_or(0);
                let shift = if element == Element::DewPoint {
                    3.0
                } else {
                    0.0
                };
                let limit = |steps: f64| self.step(settings, index, steps - shift);
                (limit(low), limit(low + apart))
            }
            Measure::SunElevation | Measure::Daylight => {
                (si(low * 2.0 - 6.0), si(low * 2.0 + apart * 4.0))
            }
            Measure::WetBulb => {
                let limit = |steps: f64| self.step(settings, 0, steps - 6.0);
                (limit(low), limit(low + apart))
            }
            Measure::DryingHours => (si(low + 4.0), si(low + 4.0 + apart * 4.0)),
            Measure::WetBulbDepression
            | Measure::DewPointDepression
            | Measure::VapourPressureDeficit => {
                (si((low + 3.0) / 8.0), si((low + 3.0 + apart) / 4.0))
            }
        }
    }

    /// Limits of rain and snow: none at all as often as not, else tenths of a millimetre or hundredths of an inch.
    fn depths(&self) -> (Quantity, Quantity) {
        let (unit, parts) = if self.unit.is_multiple_of(2) {
            (Unit::Inch, 100.0)
        } else {
            (Unit::Millimetre, 10.0)
        };
        let limit = |draw: u8| Quantity {
            value: f64::from(draw.saturating_sub(6)) / parts,
            unit,
        };
        let first = self.limits.0.unsigned_abs();
        (limit(first), limit(first.max(self.limits.1 + 3)))
    }

    /// A limit so many steps above the base of one of [`COLUMNS`].
    fn step(&self, settings: &Settings, index: usize, steps: f64) -> Quantity {
        let (unit, base, step) = settings.scale(index);
        let value = base + steps * step;
        let value = match unit {
            Unit::Fahrenheit | Unit::Celsius => value,
            Unit::Percent => value.clamp(0.0, 100.0),
            _ => value.max(0.0),
        };
        self.written(value, unit)
    }

    /// A limit in the file's unit, or in another of its kind.
    fn written(&self, value: f64, unit: Unit) -> Quantity {
        let others: &[Unit] = match unit {
            Unit::Fahrenheit | Unit::Celsius => &[Unit::Fahrenheit, Unit::Celsius],
            Unit::Percent => &[Unit::Percent],
            _ => &[
                Unit::MilePerHour,
                Unit::KilometrePerHour,
                Unit::MetrePerSecond,
                Unit::Knot,
            ],
        };
        let other = others
            .get(self.unit % (2 * others.len()))
            .copied()
            .unwrap_or(unit);
        Quantity {
            value: unit.convert(value, other),
            unit: other,
        }
    }
}

/// The weather as the engine's own series.
///
/// # Errors
/// [`SeriesError`] if the columns do not fit, which is a fault of the drawing.
pub fn series(weather: &Weather) -> Result<HourlySeries, SeriesError> {
    let hours = weather.has_row.len();
    let mut series = HourlySeries::new(weather.start, weather.has_row.clone())?;
    for column in &weather.columns {
        let bound = |pick: fn(&Bounds) -> f64| -> Vec<f64> {
            column
                .values
                .iter()
                .map(|value| value.as_ref().map_or(f64::NAN, pick))
                .collect()
        };
        let unit = unit_of(column);
        let values =
            series::Column::bounded(bound(|value| value.low), bound(|value| value.high), unit);
        series.set_column(column.element, values)?;
    }
    for falls in &weather.falls {
        let amount = |fall: &Fall| Amount {
            from: fall.from,
            hours: fall.hours,
            low_um: fall.low_um,
            high_um: fall.high_um,
        };
        let amounts: Vec<Amount> = falls.falls.iter().map(amount).collect();
        series.set_amounts(falls.element, Amounts::new(hours, &amounts, falls.unit))?;
    }
    Ok(series)
}

/// The unit of a column; that of its element where all is missing.
#[must_use]
pub fn unit_of(column: &Column) -> Unit {
    column
        .values
        .iter()
        .flatten()
        .next()
        .map_or(column.element.kind().si(), |value| value.unit)
}

/// The weather as plain hourly CSV, in Coordinated Universal Time; bounds and long amounts cannot be said there.
#[must_use]
pub fn csv(weather: &Weather) -> String {
    csv_at(weather, stamp)
}

/// The same with the local times of a zone, without an offset.
#[must_use]
pub fn local_csv(weather: &Weather, zone: Tz) -> String {
    csv_at(weather, |unix_s| {
        DateTime::from_timestamp(unix_s, 0).map_or_else(String::new, |time| {
            let local = time.with_timezone(&zone);
            local.format("%Y-%m-%dT%H:%M:%S").to_string()
        })
    })
}

fn csv_at(weather: &Weather, stamp: impl Fn(i64) -> String) -> String {
    let mut text = "time".to_owned();
    for column in &weather.columns {
        text += &header(column.element, unit_of(column));
    }
    for falls in &weather.falls {
        text += &header(falls.element, falls.unit);
    }
    text += "\n";
    for (hour, _) in weather
        .has_row
        .iter()
        .enumerate()
        .filter(|(_, has_row)| **has_row)
    {
        text += &stamp(weather.start + i64::try_from(hour).unwrap_or(0) * HOUR_S);
        for column in &weather.columns {
            let value = column.values.get(hour).copied().flatten();
            text += &value.map_or_else(|| ",".to_owned(), |value| format!(",{}", value.low));
        }
        for falls in &weather.falls {
            let fall = falls.falls.iter().find(|fall| fall.from == hour);
            text += &fall.map_or_else(
                || ",".to_owned(),
                |fall| format!(",{}", depth(fall.low_um, falls.unit)),
            );
        }
        text += "\n";
    }
    text
}

/// A time as ISO 8601 in UTC.
#[must_use]
pub fn stamp(unix_s: i64) -> String {
    DateTime::from_timestamp(unix_s, 0).map_or_else(String::new, |time| {
        time.format("%Y-%m-%dT%H:%M:%SZ").to_string()
    })
}

/// Whole micrometres in a unit, in decimals without rounding; a trace in inches as a hundred-thousandth.
fn depth(um: i64, unit: Unit) -> String {
    match unit {
        Unit::Inch if um.rem_euclid(254) == 0 => format!("{}.{:02}", um / 25_400, um / 254 % 100),
        Unit::Inch => "0.00001".to_owned(),
        _ => format!("{}.{:03}", um / 1000, um % 1000),
    }
}

/// A column's name in a header, with the comma before it.
fn header(element: Element, unit: Unit) -> String {
    let name = element.name().replace('-', "_");
    let unit = match unit {
        Unit::Fahrenheit => "f",
        Unit::Celsius => "c",
        Unit::Inch => "in",
        Unit::Millimetre => "mm",
        Unit::MilePerHour => "mph",
        Unit::KilometrePerHour => "kmh",
        Unit::MetrePerSecond => "ms",
        Unit::Knot => "kt",
        _ => "pct",
    };
    format!(",{name}_{unit}")
}

#[cfg(test)]
mod tests {
    use chrono::{Offset as _, TimeZone as _};

    use super::*;

    /// IANA time zone database, 2027: Chicago 14 March and 7 November, Lord Howe 4 April and 3 October (by half an
    /// hour), Auckland 4 April and 26 September; none in UTC and Kolkata.
    #[test]
    fn clocks_change_at_the_instants_that_files_lie_around() {
        for (zone, instants) in ZONES {
            let offset = |time: i64| {
                let utc = DateTime::from_timestamp(time, 0).unwrap().naive_utc();
                zone.offset_from_utc_datetime(&utc).fix().local_minus_utc()
            };
            let step = match zone {
                Tz::America__Chicago | Tz::Pacific__Auckland => 3600,
                Tz::Australia__Lord_Howe => 1800,
                _ => 0,
            };
            for time in instants {
                let change = (offset(time) - offset(time - 1)).abs();
                assert_eq!(change, step, "{zone} at {}", stamp(time));
            }
        }
    }

    /// Arithmetic: depths are printed without rounding.
    #[test]
    fn depths_are_printed_as_they_are() {
        assert_eq!(depth(25_400 + 254, Unit::Inch), "1.01");
        assert_eq!(depth(1, Unit::Inch), "0.00001");
        assert_eq!(depth(2100, Unit::Millimetre), "2.100");
    }
}
