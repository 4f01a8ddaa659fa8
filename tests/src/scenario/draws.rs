//! The same kinds of forecasts drawn fast: millions of them, each from a seed and a number alone, without shrinking.
//!
//! Beside what the properties draw: the built-in operations on weather in which they may be fit, spoilt by blanks, bounds,
//! gaps and amounts over several hours; files that have a dew point and no humidity, or the other way round; ensembles of
//! both; and files whose times are local and have no offset. All of it is invented.

use fairspell::statistics::Generator;

use super::{
    Age, AskDraw, COLUMNS, GardenDraw, HourDraw, MEASURES, RuleDraw, Scenario, Settings, ZONES,
    depth_um, garden_weather, taken,
};
use crate::evaluator::{Asked, Bounds, Fall, HOUR_S, Place, Weather};
use chrono_tz::Tz;
use fairspell::operation::{Operation, Span, Take};
use fairspell::read::Issued;
use fairspell::series::Element;

/// A forecast and what is asked of it.
#[derive(Debug, Clone)]
pub struct Case {
    /// Its members over the same hours; the first one's question is asked.
    pub members: Vec<Scenario>,
    /// Whether the engine reads it from CSV with local times that have no offset. Such a file has one member.
    pub is_local: bool,
}

/// Midnights in Chicago, some days before its clock changes of 14 March and 7 November 2027 \[s since 1970 UTC\].
const MIDNIGHTS: [i64; 2] = [1_804_658_400, 1_825_218_000];

/// Case `number` of a seed.
#[must_use]
pub fn drawn(seed: u64, number: u64) -> Case {
    let mut draws = Draws(Generator::of_stream(seed, number));
    match draws.below(8) {
        0..=4 => draws.any(),
        _ => draws.garden(),
    }
}

struct Draws(Generator);

impl Draws {
    fn below(&mut self, count: usize) -> usize {
        let count = u64::try_from(count).unwrap_or(1);
        usize::try_from(self.0.index(count)).unwrap_or(0)
    }

    fn small(&mut self, count: u8) -> u8 {
        u8::try_from(self.0.index(u64::from(count))).unwrap_or(0)
    }

    fn from(&mut self, low: i64, count: usize) -> i64 {
        low + i64::try_from(self.below(count)).unwrap_or(0)
    }

    fn is(&mut self, percent: u64) -> bool {
        self.0.index(100) < percent
    }

    fn of<T: Copy>(&mut self, all: &[T], or: T) -> T {
        let index = self.below(all.len());
        all.get(index).copied().unwrap_or(or)
    }

    /// Seven numbers below `count`, from one draw.
    fn seven(&mut self, count: u8) -> [u8; 7] {
        let mut seven = [0; 7];
        for (own, byte) in seven.iter_mut().zip(self.0.draw().to_le_bytes()) {
            *own = byte % count.max(1);
        }
        seven
    }

    /// Hours: 12 to 40 mostly, some 60, few a week.
    fn hours(&mut self) -> usize {
        match self.below(32) {
            0 => 90 + self.below(90),
            1..=5 => 40 + self.below(30),
            _ => 12 + self.below(28),
        }
    }

    fn any(&mut self) -> Case {
        let mut settings = self.settings();
        let is_local = self.is(6);
        if is_local {
            for column in &mut settings.columns {
                column.3 = false;
            }
            for fall in &mut settings.falls {
                fall.2 = false;
            }
            settings.rates.1 = 0; // a gap within the hour that comes twice cannot be told from the hour itself
            settings.before += 3; // no more can a file's first time, where it comes twice
        }
        let width = self.of(&[1, 2, 4, 10], 10);
        let count = self.hours();
        let hours: Vec<HourDraw> = (0..count).map(|_| self.hour(width)).collect();
        let count = 1 + self.below(4);
        let rules: Vec<RuleDraw> = (0..count).map(|_| self.rule()).collect();
        let ask = self.ask(hours.len());
        let lacks = match self.below(8) {
            0 => Some(Element::Humidity),
            1 => Some(Element::DewPoint),
            _ => None,
        };
        let count = if is_local { 1 } else { self.members() };
        let member = |shift: usize| {
            let mut turned = hours.clone();
            turned.rotate_left(shift % hours.len().max(1));
            for (turned, own) in turned.iter_mut().zip(&hours) {
                turned.gap = own.gap; // the members have the same rows
            }
            let mut scenario = Scenario::drawn(&settings, &turned, &rules, &ask);
            let columns = &mut scenario.weather.columns;
            columns.retain(|column| Some(column.element) != lacks);
            scenario
        };
        Case {
            members: (0..count).map(|index| member(index * 5)).collect(),
            is_local,
        }
    }

    fn members(&mut self) -> usize {
        if self.is(12) { 2 + self.below(3) } else { 1 }
    }

    fn settings(&mut self) -> Settings {
        let has_bounds = self.is(40);
        let has_long = self.is(40);
        let column = |draws: &mut Self| {
            let (is_there, is_bounded) = (draws.is(80), has_bounds && draws.is(50));
            (is_there, draws.below(12), draws.small(6), is_bounded)
        };
        let fall = |draws: &mut Self| (draws.is(85), draws.is(50), has_long && draws.is(60));
        let place = self.is(80).then(|| {
            let north = i8::try_from(self.from(-65, 131)).unwrap_or(0);
            (north, i16::try_from(self.from(-179, 359)).unwrap_or(0))
        });
        Settings {
            zone: self.below(ZONES.len()),
            change: self.below(2),
            before: self.from(0, 60),
            phase: self.of(&[0, 0, 0, 1800, 900], 0),
            columns: [(); COLUMNS.len()].map(|()| column(self)),
            falls: [(); 2].map(|()| fall(self)),
            rates: (
                self.of(&[0, 0, 0, 1, 6], 0),
                self.of(&[0, 0, 1, 8], 0),
                self.of(&[0, 1, 4, 30], 0),
            ),
            coordinates: place,
            elevation_m: u16::try_from(self.below(2500)).unwrap_or(0),
        }
    }

    fn hour(&mut self, width: u8) -> HourDraw {
        let spreads = self.seven(24).map(|spread| spread.saturating_sub(18));
        let [gap, wet, amount, snow, snow_amount, dry, dry_snow] = self.seven(100);
        let [long, long_snow, ..] = self.seven(12);
        let hours = |draw: u8| {
            [1, 1, 1, 1, 1, 1, 1, 1, 2, 3, 6, 12]
                .get(usize::from(draw))
                .copied()
        };
        HourDraw {
            steps: self.seven(width),
            spreads,
            blanks: self.seven(100),
            gap,
            wet: [(wet, amount % 6), (snow, snow_amount % 6)],
            dry_blanks: [dry, dry_snow],
            long: [long, long_snow].map(|draw| hours(draw).unwrap_or(1)),
        }
    }

    fn rule(&mut self) -> RuleDraw {
        let any = [Take::Min, Take::Max, Take::Mean, Take::Sum, Take::Value];
        let hours =
            |draws: &mut Self, low, count| u32::try_from(draws.from(low, count)).unwrap_or(1);
        let over = match self.below(15) {
            0..=5 => Span::ThisHour,
            6..=8 => Span::After(hours(self, 1, 8)),
            9 => Span::After(hours(self, 8, 22)),
            10 => Span::After(hours(self, 48, 52)),
            11..=13 => Span::Before(hours(self, 1, 14)),
            _ => Span::EachOfDays(hours(self, 1, 3)),
        };
        let measure = self.of(&MEASURES, MEASURES[0]);
        RuleDraw {
            measure,
            over,
            take: {
                let take = self.of(&any, Take::Min);
                taken(measure, over, take)
            },
            limits: (i8::try_from(self.from(-3, 17)).unwrap_or(0), self.small(10)),
            sides: self.of(
                &[
                    (true, false),
                    (false, true),
                    (false, true),
                    (true, false),
                    (true, true),
                ],
                (true, true),
            ),
            unit: self.below(12),
            is_caution: self.is(25),
            is_optional: self.is(40) && measure.may_be_optional(),
        }
    }

    fn ask(&mut self, hours: usize) -> AskDraw {
        let ages = [
            Age::Unsaid,
            Age::Blank,
            Age::Of(0),
            Age::Of(-7200),
            Age::Of(43_200),
            Age::Of(43_201),
        ];
        let within = match self.below(4) {
            0 => Some(self.from(1, 200_000)),
            1 => Some(self.from(1, 60) * HOUR_S),
            _ => None,
        };
        let first = match self.below(12) {
            0 => self.from(-40, 40),
            1 => self.from(0, 220),
            _ => self.from(0, hours.div_ceil(2).max(1)),
        };
        AskDraw {
            at: (first, self.of(&[0, 0, 1, 1800, 3599], 0)),
            within,
            age: if self.is(60) {
                Age::Unsaid
            } else {
                self.of(&ages, Age::Unsaid)
            },
            needed: if self.is(60) {
                1 + self.below(3)
            } else {
                1 + self.below(7)
            },
            is_dry_now: self.is(30),
            is_strict: self.is(20),
        }
    }

    /// A built-in operation in the weather of late winter or autumn, spoilt here and there.
    fn garden(&mut self) -> Case {
        let name = if self.is(50) { "oil" } else { "prune" };
        let rules = Operation::built_in(name).map_or_else(Vec::new, |operation| operation.rules);
        let hours = 30 + self.below(50);
        let start = self.of(&MIDNIGHTS, 0) + self.from(0, 6 * 24) * HOUR_S;
        let rates = Spoilt {
            blank: self.of(&[0, 0, 0, 0, 1, 3], 0),
            bounded: self.of(&[0, 0, 0, 5, 40], 0),
            gap: self.of(&[0, 0, 0, 0, 2], 0),
            long: self.of(&[1, 1, 1, 3, 6], 1),
        };
        let rain = self.of(&[0, 0, 0, 2, 10], 0);
        let rows: Vec<bool> = (0..hours)
            .map(|hour| hour == 0 || hour + 1 == hours || !self.is(rates.gap))
            .collect();
        let at = start + self.from(0, 24) * HOUR_S + self.of(&[0, 0, 1800], 0);
        let asked = Asked {
            rules,
            needed: 1 + self.below(3),
            at,
            until: self.is(50).then(|| at + self.from(1, 72) * HOUR_S),
            issued: Issued::At(at - self.of(&[0, HOUR_S, 12 * HOUR_S, 12 * HOUR_S + 1], 0)),
            stale_after_s: 12 * HOUR_S,
            is_dry_now: self.is(50),
            is_strict: self.is(20),
        };
        let count = self.members();
        let members = (0..count).map(|_| {
            let draws: Vec<GardenDraw> = (0..hours).map(|_| self.garden_hour()).collect();
            let mut weather = garden_weather(start, &draws, rain);
            self.spoil(&mut weather, &rates, &rows);
            Scenario {
                weather,
                place: Place {
                    zone: Tz::America__Chicago,
                    coordinates: Some((40.0, -90.0)),
                    elevation_m: 200.0,
                },
                asked: asked.clone(),
            }
        });
        Case {
            members: members.collect(),
            is_local: false,
        }
    }

    fn garden_hour(&mut self) -> GardenDraw {
        let [warm, wet, amount, wind, damp, ..] = self.seven(120);
        (warm % 8, (wet % 100, amount % 6), wind % 12, damp % 12)
    }

    fn spoil(&mut self, weather: &mut Weather, rates: &Spoilt, rows: &[bool]) {
        for column in &mut weather.columns {
            for (value, has_row) in column.values.iter_mut().zip(rows) {
                if !has_row || self.is(rates.blank) {
                    *value = None;
                } else if self.is(rates.bounded) {
                    let more = f64::from(self.small(5));
                    *value = value.map(|value| Bounds {
                        high: value.high + more,
                        ..value
                    });
                }
            }
        }
        for falls in &mut weather.falls {
            let mut spoilt = Vec::new();
            for block in falls.falls.chunks(rates.long) {
                let um: i64 = block.iter().map(|fall| fall.low_um).sum();
                let from = block.first().map_or(0, |fall| fall.from);
                let is_row = rows.get(from).copied().unwrap_or(false);
                let is_known = !self.is(rates.blank);
                let more = if self.is(rates.bounded) {
                    depth_um(self.small(5), false)
                } else {
                    0
                };
                if block.len() > 1 || (is_row && is_known) {
                    spoilt.push(Fall {
                        from,
                        hours: block.len(),
                        low_um: um,
                        high_um: is_known.then_some(um + more),
                    });
                }
            }
            falls.falls = spoilt;
        }
        weather.has_row = rows.to_vec();
    }
}

/// How a garden's weather is spoilt: rates in a hundred, and the hours of each amount of rain.
struct Spoilt {
    blank: u64,
    bounded: u64,
    gap: u64,
    long: usize,
}
