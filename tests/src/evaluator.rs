//! The slow, obvious evaluator of rules over hours, written from the contract's section 5 alone.
//!
//! It walks every hour of every span anew, so that each sentence of the contract can be found in it; kept are only the
//! value of each measure and the date in each hour. Values are what the file gives, between bounds and in the file's unit; amounts of rain and snow are
//! whole micrometres over one or more hours. The conversions, the sun's elevation and the wet bulb are the engine's
//! own public functions: other tests check those against publications.
//!
//! Four readings of the contract are made here that its words leave open:
//!
//! - a rule with a missing hour in its span is never known to hold, even where no value of that hour could break it
//!   (promise 1); it is known to fail where it fails at every value that can be: shares between 0 and 100 %, speeds
//!   and depths from 0, temperatures from absolute zero;
//! - "each of N days" is N conditions, one a day, of which one known to fail settles the rule;
//! - the user's word that the wood is dry is about rain, and says nothing of snow; it covers "N h before" and the hours
//!   since rain, and no other span that reaches back before the file;
//! - hours since or until rain are known between bounds: from the nearest hour that may be wet to the nearest by which
//!   rain is sure to have fallen. They are never missing.

use std::cell::{OnceCell, RefCell};
use std::collections::BTreeMap;
use std::fmt;
use std::rc::Rc;

use chrono::{DateTime, Days, NaiveDate};
use chrono_tz::Tz;
use fairspell::decision::Verdict;
use fairspell::operation::{Measure, Rule, Severity, Span, Take};
use fairspell::quantity::{Quantity, Unit};
use fairspell::read::Issued;
use fairspell::series::Element;
use fairspell::spell::{Outcome, State};
use fairspell::{air, sun};

/// Seconds in an hour.
pub const HOUR_S: i64 = 3600;

/// A value known between bounds, in the unit of its file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Least value that can be.
    pub low: f64,
    /// Greatest value that can be.
    pub high: f64,
    /// Unit of both.
    pub unit: Unit,
}

impl Bounds {
    /// A value that is known exactly.
    #[must_use]
    pub fn exactly(value: f64, unit: Unit) -> Self {
        Self {
            low: value,
            high: value,
            unit,
        }
    }
}

/// An element that the file has, hour by hour; `None` is missing.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Which element; not rain, not snow.
    pub element: Element,
    /// Its values.
    pub values: Vec<Option<Bounds>>,
}

/// Rain or snow that fell within hours in a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fall {
    /// First hour.
    pub from: usize,
    /// How many hours.
    pub hours: usize,
    /// Least amount \[µm\].
    pub low_um: i64,
    /// Greatest amount \[µm\]; `None`: unknown.
    pub high_um: Option<i64>,
}

/// Rain or snow that the file has. Falls are in order and do not overlap; hours that none covers are missing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Falls {
    /// Rain or snow.
    pub element: Element,
    /// The unit of the file.
    pub unit: Unit,
    /// What fell.
    pub falls: Vec<Fall>,
}

/// Weather hour by hour.
#[derive(Clone, PartialEq)]
pub struct Weather {
    /// Beginning of the first hour \[s since 1970 UTC\].
    pub start: i64,
    /// Whether the file has a row for each hour.
    pub has_row: Vec<bool>,
    /// Its elements but rain and snow.
    pub columns: Vec<Column>,
    /// Its rain and snow.
    pub falls: Vec<Falls>,
}

/// A line a column, so that a failure can be read.
impl fmt::Debug for Weather {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let gaps = self
            .has_row
            .iter()
            .enumerate()
            .filter(|(_, has_row)| !**has_row)
            .map(|(hour, _)| hour);
        write!(
            f,
            "{} hours from {}, without rows {:?}",
            self.has_row.len(),
            self.start,
            gaps.collect::<Vec<_>>()
        )?;
        for column in &self.columns {
            write!(f, "\n  {:?}:", column.element)?;
            for value in &column.values {
                f.write_str(&match value {
                    None => " -".to_owned(),
                    Some(value) if value.low < value.high => {
                        format!(" {}..{}", value.low, value.high)
                    }
                    Some(value) => format!(" {}", value.low),
                })?;
            }
            let unit = column
                .values
                .iter()
                .flatten()
                .next()
                .map(|value| value.unit);
            write!(f, " {unit:?}")?;
        }
        for falls in &self.falls {
            write!(f, "\n  {:?} (first hour + hours: µm):", falls.element)?;
            for fall in &falls.falls {
                write!(f, " {}+{}:{}", fall.from, fall.hours, fall.low_um)?;
                match fall.high_um {
                    None => write!(f, "..")?,
                    Some(high) if high > fall.low_um => write!(f, "..{high}")?,
                    Some(_) => {}
                }
            }
            write!(f, " {:?}", falls.unit)?;
        }
        writeln!(f)
    }
}

/// Where it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// The zone of its clock.
    pub zone: Tz,
    /// Degrees north and east, if known.
    pub coordinates: Option<(f64, f64)>,
    /// Metres above sea level.
    pub elevation_m: f64,
}

/// What is asked of the hours.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    /// The rules.
    pub rules: Vec<Rule>,
    /// Hours in a row that are needed.
    pub needed: usize,
    /// Now \[s since 1970 UTC\].
    pub at: i64,
    /// End of the window \[s since 1970 UTC\]; `None`: the end of the local day.
    pub until: Option<i64>,
    /// When the forecast was issued.
    pub issued: Issued,
    /// Age beyond which nothing is known \[s\].
    pub stale_after_s: i64,
    /// The user's word that the wood is dry at `at`.
    pub is_dry_now: bool,
    /// Whether unchecked blocking rules make it *cannot tell*.
    pub is_strict: bool,
}

/// What a rule comes to in an hour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Told {
    /// Holds, fails or unknown.
    pub outcome: Outcome,
    /// Whether a mean lies so close to its limit that rounding decides, though not on it.
    pub is_close: bool,
}

/// What a verdict rests on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// Go, no-go or cannot tell.
    pub verdict: Verdict,
    /// States of the file's hours from `at` on.
    pub states: Vec<State>,
    /// First hour and the hour after the last of each spell, counted in the file.
    pub spells: Vec<(usize, usize)>,
    /// Of these, the one that carries the *go*.
    pub spell: Option<(usize, usize)>,
    /// End of the window \[s since 1970 UTC\].
    pub until: i64,
}

/// Least and greatest value of a span, one of them for each hour, and whether any hour is missing.
struct Sight {
    hours: Vec<Bounds>,
    is_missing: bool,
}

/// Weather at a place, ready to be asked.
pub struct Evaluator<'a> {
    weather: &'a Weather,
    place: Place,
    is_dry_now: bool,
    dates: OnceCell<Vec<Option<NaiveDate>>>,
    tables: RefCell<BTreeMap<Measure, Rc<[Option<Bounds>]>>>,
}

/// Hours before the file whose dates are looked up.
const DATES_BEFORE: i64 = 60;
/// Hours after the file whose dates are looked up: the days that a rule may reach, and one.
const DATES_AFTER: i64 = 17 * 25;
/// Hours that drying is followed: ten days, as the engine's documentation says.
const MOST_DRYING_H: usize = 240;
/// Closeness of a mean to its limit below which rounding may decide, in either unit: a millionth, far below any forecast.
const CLOSE: f64 = 1e-6;

impl<'a> Evaluator<'a> {
    /// Weather at a place; `is_dry_now`: hours before the first count as dry for spans before.
    #[must_use]
    pub fn new(weather: &'a Weather, place: Place, is_dry_now: bool) -> Self {
        Self {
            weather,
            place,
            is_dry_now,
            dates: OnceCell::new(),
            tables: RefCell::default(),
        }
    }

    fn hours(&self) -> i64 {
        i64::try_from(self.weather.has_row.len()).unwrap_or(i64::MAX)
    }

    fn time(&self, hour: i64) -> i64 {
        self.weather.start + hour * HOUR_S
    }

    /// "Local time comes from the site's IANA zone": the date on which an hour begins.
    fn date(&self, hour: i64) -> Option<NaiveDate> {
        let dates = self.dates.get_or_init(|| {
            let of = |hour| local_date(self.time(hour), self.place.zone);
            (-DATES_BEFORE..self.hours() + DATES_AFTER)
                .map(of)
                .collect()
        });
        *dates.get(usize::try_from(hour + DATES_BEFORE).ok()?)?
    }

    /// The hours that a rule looks at, one list for each condition: a list a day for "each of N days", else one.
    fn spans(&self, over: Span, hour: i64) -> Vec<Vec<i64>> {
        match over {
            Span::ThisHour => vec![vec![hour]],
            // "N h after" = hour h and the N hours that follow it (N+1 values).
            Span::After(n) => vec![(hour..=hour + i64::from(n)).collect()],
            // "N h before" = the N hours that precede it and hour h.
            Span::Before(n) => vec![(hour - i64::from(n)..=hour).collect()],
            // The N local days that begin with the hour's own.
            Span::EachOfDays(n) => {
                let day = |k: u32| {
                    self.date(hour)
                        .and_then(|own| own.checked_add_days(Days::new(u64::from(k))))
                };
                let reach = hour - 30..hour + 25 * (i64::from(n) + 1);
                let of = |date| {
                    reach
                        .clone()
                        .filter(|other| self.date(*other) == date)
                        .collect()
                };
                (0..n).map(day).map(of).collect()
            }
        }
    }

    /// Whether the file and the place do not give a measure at all.
    #[must_use]
    pub fn is_absent(&self, measure: Measure) -> bool {
        match measure {
            Measure::Read(element @ (Element::Rain | Element::Snow)) => {
                self.falls(element).is_none()
            }
            Measure::Read(element) => !self.has(element),
            Measure::HoursSinceRain | Measure::HoursUntilRain => {
                self.falls(Element::Rain).is_none()
            }
            Measure::DryingHours => {
                let air = [Element::Temperature, Element::Humidity];
                self.falls(Element::Rain).is_none() || !air.iter().all(|element| self.has(*element))
            }
            Measure::SunElevation | Measure::Daylight => self.place.coordinates.is_none(),
            _ => !self.has(Element::Temperature) || !self.has(Element::Humidity),
        }
    }

    /// Whether the file gives an element: humidity and dew point are derived from each other where one is absent.
    fn has(&self, element: Element) -> bool {
        let has = |element| self.column(element).is_some();
        has(element)
            || match element {
                Element::Humidity => has(Element::Temperature) && has(Element::DewPoint),
                Element::DewPoint => has(Element::Temperature) && has(Element::Humidity),
                _ => false,
            }
    }

    fn column(&self, element: Element) -> Option<&Column> {
        self.weather
            .columns
            .iter()
            .find(|column| column.element == element)
    }

    fn falls(&self, element: Element) -> Option<&Falls> {
        self.weather
            .falls
            .iter()
            .find(|falls| falls.element == element)
    }

    /// What a rule comes to in an hour of the file.
    #[must_use]
    pub fn told(&self, rule: &Rule, hour: usize) -> Told {
        let mut told = Told {
            outcome: Outcome::Holds,
            is_close: false,
        };
        if self.is_absent(rule.measure) {
            return Told {
                outcome: Outcome::Unknown,
                ..told
            };
        }
        for span in self.spans(rule.over, i64::try_from(hour).unwrap_or(i64::MAX)) {
            let one = match rule.measure {
                Measure::Read(element @ (Element::Rain | Element::Snow)) => {
                    self.amounts(rule, element, &span)
                }
                measure => judge(rule, &self.sight(measure, &span)),
            };
            told.is_close |= one.is_close;
            told.outcome = match (told.outcome, one.outcome) {
                (Outcome::Fails, _) | (_, Outcome::Fails) => Outcome::Fails,
                (Outcome::Unknown, _) | (_, Outcome::Unknown) => Outcome::Unknown,
                _ => Outcome::Holds,
            };
        }
        told
    }

    fn sight(&self, measure: Measure, span: &[i64]) -> Sight {
        let (low, high) = measure.possible_si();
        let possible = Bounds {
            low,
            high,
            unit: measure.kind().si(),
        };
        let table = self.table(measure);
        let of = |hour: &i64| {
            usize::try_from(*hour)
                .ok()
                .and_then(|hour| table.get(hour).copied())
                .flatten()
        };
        let values: Vec<Option<Bounds>> = span.iter().map(of).collect(); // outside the file nothing is known
        Sight {
            is_missing: values.iter().any(Option::is_none),
            hours: values
                .into_iter()
                .map(|value| value.unwrap_or(possible))
                .collect(),
        }
    }

    /// The values of a measure in the hours of the file.
    fn table(&self, measure: Measure) -> Rc<[Option<Bounds>]> {
        let known = self.tables.borrow().get(&measure).cloned();
        known.unwrap_or_else(|| {
            let table: Rc<[Option<Bounds>]> = (0..self.hours())
                .map(|hour| self.value(measure, hour))
                .collect();
            self.tables.borrow_mut().insert(measure, Rc::clone(&table));
            table
        })
    }

    fn value(&self, measure: Measure, hour: i64) -> Option<Bounds> {
        let degrees = |low: f64, high: f64| Bounds {
            low,
            high,
            unit: Unit::Degree,
        };
        let elevation = |(north, east), time| sun::elevation_deg(north, east, time);
        match measure {
            Measure::Read(element) => self.read(element, hour),
            Measure::HoursSinceRain => Some(self.since_rain(hour)),
            Measure::HoursUntilRain => Some(self.until_rain(hour)),
            Measure::DryingHours => Some(self.drying(hour)),
            // "`sun-elevation` is the geometric elevation at mid-hour".
            Measure::SunElevation => {
                let middle = elevation(self.place.coordinates?, self.time(hour) + HOUR_S / 2);
                Some(degrees(middle, middle))
            }
            // "`daylight` the lower of the elevations at the hour's two ends".
            Measure::Daylight => {
                let ends = [hour, hour + 1].map(|end| (self.place.coordinates, self.time(end)));
                let [first, last] =
                    ends.map(|(place, time)| place.map(|place| elevation(place, time)));
                let lower = first?.min(last?);
                Some(degrees(lower, lower))
            }
            _ => self.moist(measure, hour),
        }
    }

    fn read(&self, element: Element, hour: i64) -> Option<Bounds> {
        match (self.column(element), element) {
            (Some(column), _) => *column.values.get(usize::try_from(hour).ok()?)?,
            (None, Element::Humidity) => self.derived_humidity(hour),
            (None, Element::DewPoint) => self.derived_dew_point(hour),
            (None, _) => None,
        }
    }

    /// What two elements are between in SI.
    fn two_si(&self, elements: [Element; 2], hour: i64) -> Option<[(f64, f64); 2]> {
        let [first, second] = elements.map(|element| {
            let index = usize::try_from(hour).ok()?;
            let value = (*self.column(element)?.values.get(index)?)?;
            Some((value.unit.to_si(value.low), value.unit.to_si(value.high)))
        });
        Some([first?, second?])
    }

    /// Humidity falls with the temperature and rises with the dew point.
    fn derived_humidity(&self, hour: i64) -> Option<Bounds> {
        let [air, dew] = self.two_si([Element::Temperature, Element::DewPoint], hour)?;
        Some(Bounds {
            low: air::humidity_from_dew_point_pct(air.1, dew.0)?,
            high: air::humidity_from_dew_point_pct(air.0, dew.1)?,
            unit: Unit::Percent,
        })
    }

    /// The dew point rises with the temperature and with humidity.
    fn derived_dew_point(&self, hour: i64) -> Option<Bounds> {
        let [air, humidity] = self.two_si([Element::Temperature, Element::Humidity], hour)?;
        Some(Bounds {
            low: air::dew_point_c(air.0, humidity.0)?,
            high: air::dew_point_c(air.1, humidity.1)?,
            unit: Unit::Celsius,
        })
    }

    /// Measures of moist air at the corners of what is known of temperature and humidity: the wet bulb rises with
    /// both; the depressions and the deficit rise with the temperature and fall with the humidity.
    fn moist(&self, measure: Measure, hour: i64) -> Option<Bounds> {
        let temperature = self.read(Element::Temperature, hour)?;
        let humidity = self.read(Element::Humidity, hour)?;
        let celsius = |value: f64| temperature.unit.to_si(value);
        let pressure = air::standard_pressure_hpa(self.place.elevation_m)?;
        let (cool, warm) = (celsius(temperature.low), celsius(temperature.high));
        let (dry, damp) = (humidity.low, humidity.high);
        let unit = measure.kind().si();
        let bounds = |low: f64, high: f64| Some(Bounds { low, high, unit });
        match measure {
            Measure::WetBulb => bounds(
                air::wet_bulb_c(cool, dry, pressure)?,
                air::wet_bulb_c(warm, damp, pressure)?,
            ),
            Measure::WetBulbDepression => {
                let below = |t: f64, rh: f64| air::wet_bulb_c(t, rh, pressure).map(|wet| t - wet);
                bounds(below(cool, damp)?, below(warm, dry)?)
            }
            Measure::DewPointDepression => {
                let below = |t: f64, rh: f64| air::dew_point_c(t, rh).map(|dew| t - dew);
                bounds(below(cool, damp)?, below(warm, dry)?)
            }
            Measure::VapourPressureDeficit => bounds(
                air::vapour_pressure_deficit_hpa(cool, damp)?,
                air::vapour_pressure_deficit_hpa(warm, dry)?,
            ),
            _ => None,
        }
    }

    /// "Hours until min(0.2 mm, film + rain) - E is 0": with the least rain and the most that can evaporate, and the other
    /// way round. Where the end cannot be seen (a value missing, the end of the file, ten days), it takes as long at least
    /// as was seen and an hour, and has no most.
    fn drying(&self, hour: i64) -> Bounds {
        let fast = self.dry_after(hour, true).unwrap_or_else(|least| least);
        let slow = self.dry_after(hour, false).unwrap_or(f64::INFINITY);
        Bounds {
            low: fast,
            high: slow,
            unit: Unit::Hour,
        }
    }

    /// Hours until a film is gone that is put on as an hour begins, else the least that it takes.
    fn dry_after(&self, hour: i64, is_fast: bool) -> Result<f64, f64> {
        let mut film_mm = air::FILM_MM;
        let mut hours = 0.0;
        for later in (hour..self.hours()).take(MOST_DRYING_H) {
            let (Some(rain_mm), Some(loss_mm)) =
                (self.rain_mm(later, !is_fast), self.loss_mm(later, is_fast))
            else {
                return Err(hours + 1.0);
            };
            film_mm = (film_mm + rain_mm).min(air::FILM_MM) - loss_mm;
            hours += 1.0;
            if film_mm <= 0.0 {
                return Ok(hours);
            }
        }
        Err(hours + 1.0)
    }

    /// The least or the most rain of an hour \[mm\]: of an amount over several hours none or all of it may be its.
    fn rain_mm(&self, hour: i64, is_most: bool) -> Option<f64> {
        let falls = &self.falls(Element::Rain)?.falls;
        let fall = falls
            .iter()
            .find(|fall| (signed(fall.from)..signed(fall.from + fall.hours)).contains(&hour))?;
        let most_um = fall.high_um?; // without a most, the hour is missing
        let um = match (is_most, fall.hours) {
            (true, _) => most_um,
            (false, 1) => fall.low_um,
            (false, _) => 0,
        };
        Some(um as f64 / 1000.0)
    }

    /// The most or the least that an hour evaporates \[mm\], whichever ends of what is known of the air that takes. Wind that
    /// the file does not have at all is still air.
    fn loss_mm(&self, hour: i64, is_most: bool) -> Option<f64> {
        let ends = |element| {
            let value = self.read(element, hour)?;
            Some([value.low, value.high].map(|end| value.unit.to_si(end)))
        };
        let (air_c, humidity) = (ends(Element::Temperature)?, ends(Element::Humidity)?);
        let winds: Vec<Option<f64>> = match self.column(Element::Wind) {
            None => vec![None],
            Some(_) => ends(Element::Wind)?.map(Some).to_vec(),
        };
        let pressure_hpa = air::standard_pressure_hpa(self.place.elevation_m)?;
        let mut losses = Vec::new();
        for t_c in air_c {
            for pct in humidity {
                for wind in &winds {
                    losses.push(air::evaporation_mm_per_hour(t_c, pct, *wind, pressure_hpa)?);
                }
            }
        }
        let pick = if is_most { f64::max } else { f64::min };
        losses.into_iter().reduce(pick)
    }

    /// Hours since the last hour with rain. An hour before the file may have had rain, unless on the user's word.
    fn since_rain(&self, hour: i64) -> Bounds {
        let may_be_wet = |other: &i64| {
            if *other < 0 {
                !self.is_dry_now
            } else {
                self.may_be_wet(*other)
            }
        };
        let near = (-1..=hour).rev().find(may_be_wet);
        let sure = self
            .sure_falls()
            .filter(|(_, last)| *last <= hour)
            .map(|(first, _)| first)
            .max();
        Self::hours_apart(near.map(|near| hour - near), sure.map(|sure| hour - sure))
    }

    /// Hours until the next hour with rain. An hour past the file may have rain.
    fn until_rain(&self, hour: i64) -> Bounds {
        let may_be_wet = |other: &i64| *other >= self.hours() || self.may_be_wet(*other);
        let near = (hour..=self.hours()).find(may_be_wet);
        let sure = self
            .sure_falls()
            .filter(|(first, _)| *first >= hour)
            .map(|(_, last)| last)
            .min();
        Self::hours_apart(near.map(|near| near - hour), sure.map(|sure| sure - hour))
    }

    fn hours_apart(near: Option<i64>, far: Option<i64>) -> Bounds {
        let hours = |count: Option<i64>| count.map_or(f64::INFINITY, |count| count as f64);
        Bounds {
            low: hours(near),
            high: hours(far),
            unit: Unit::Hour,
        }
    }

    fn may_be_wet(&self, hour: i64) -> bool {
        let falls = self
            .falls(Element::Rain)
            .map_or(&[][..], |falls| &falls.falls);
        let fall = falls
            .iter()
            .find(|fall| (signed(fall.from)..signed(fall.from + fall.hours)).contains(&hour));
        fall.is_none_or(|fall| fall.high_um.is_none_or(|most| most > 0))
    }

    /// First and last hour of each fall that is known to have brought some rain.
    fn sure_falls(&self) -> impl Iterator<Item = (i64, i64)> {
        let falls = self
            .falls(Element::Rain)
            .map_or(&[][..], |falls| &falls.falls);
        let wet = falls.iter().filter(|fall| fall.low_um > 0);
        wet.map(|fall| (signed(fall.from), signed(fall.from + fall.hours) - 1))
    }

    /// A rule on rain or snow over one span of hours in a row, in whole micrometres.
    fn amounts(&self, rule: &Rule, element: Element, span: &[i64]) -> Told {
        let (Some(first), Some(last)) = (span.first().copied(), span.last().copied()) else {
            return Told {
                outcome: Outcome::Unknown,
                is_close: false,
            };
        };
        let mut parts = Vec::new();
        let mut covered = 0;
        for fall in self.falls(element).map_or(&[][..], |falls| &falls.falls) {
            let (from, hours) = (signed(fall.from), signed(fall.hours));
            let inside = (from + hours).min(last + 1) - from.max(first);
            if inside > 0 {
                parts.push(Part {
                    inside,
                    hours,
                    low_um: fall.low_um,
                    high_um: fall.high_um,
                });
                covered += inside;
            }
        }
        let is_dry_before =
            self.is_dry_now && element == Element::Rain && matches!(rule.over, Span::Before(_));
        let before = if is_dry_before {
            signed(span.iter().filter(|hour| **hour < 0).count())
        } else {
            0
        };
        parts.extend((0..before).map(|_| Part {
            inside: 1,
            hours: 1,
            low_um: 0,
            high_um: Some(0),
        }));
        let missing = signed(span.len()) - covered - before;
        parts.extend((0..missing).map(|_| Part {
            inside: 1,
            hours: 1,
            low_um: 0,
            high_um: None,
        }));
        judge_amounts(rule, &parts, signed(span.len()))
    }

    /// "Hour states": an hour without a row is unknown; else hindered if a blocking rule is known to fail, else unknown
    /// if one cannot be known, else fair. The second answer says whether a close mean has a part in it.
    #[must_use]
    pub fn state(&self, rules: &[Rule], is_strict: bool, hour: usize) -> (State, bool) {
        if !self.weather.has_row.get(hour).copied().unwrap_or(false) {
            return (State::Unknown, false);
        }
        let counts = |rule: &&Rule| {
            let is_unchecked = rule.optional && self.is_absent(rule.measure);
            rule.severity == Severity::Block && (is_strict || !is_unchecked)
        };
        let told: Vec<Told> = rules
            .iter()
            .filter(counts)
            .map(|rule| self.told(rule, hour))
            .collect();
        let is_close = told.iter().any(|told| told.is_close);
        let any = |wanted| told.iter().any(|told| told.outcome == wanted);
        let state = if any(Outcome::Fails) {
            State::Hindered
        } else if any(Outcome::Unknown) {
            State::Unknown
        } else {
            State::Fair
        };
        (state, is_close)
    }
}

/// The date on the clock of a zone.
#[must_use]
pub fn local_date(unix_s: i64, zone: Tz) -> Option<NaiveDate> {
    Some(
        DateTime::from_timestamp(unix_s, 0)?
            .with_timezone(&zone)
            .date_naive(),
    )
}

fn outcome(holds: bool, fails: bool) -> Outcome {
    if fails {
        Outcome::Fails
    } else if holds {
        Outcome::Holds
    } else {
        Outcome::Unknown
    }
}

/// A limit in micrometres. The limits drawn for the tests are whole by themselves, but for the last bits of a
/// conversion.
fn whole_um(limit: Quantity) -> f64 {
    (limit.si() * 1000.0).round()
}

/// Which of two numbers is less: as read where the units are one, else in SI.
fn is_below(value: f64, unit: Unit, limit: Quantity) -> bool {
    if unit == limit.unit {
        value < limit.value
    } else {
        unit.to_si(value) < limit.si()
    }
}

fn is_above(value: f64, unit: Unit, limit: Quantity) -> bool {
    if unit == limit.unit {
        value > limit.value
    } else {
        unit.to_si(value) > limit.si()
    }
}

/// A part of a span over which one amount fell: how many of the span's hours, of how many hours of the amount.
struct Part {
    inside: i64,
    hours: i64,
    low_um: i64,
    high_um: Option<i64>,
}

impl Part {
    /// What falls inside at least: all of the amount if all its hours are there, else perhaps nothing.
    fn low(&self) -> i64 {
        if self.inside == self.hours {
            self.low_um
        } else {
            0
        }
    }
}

/// A rule on amounts over one span of `hours` hours.
///
/// An amount of which all hours lie in the span counts in full; one that lies partly inside, with anything from
/// nothing to all of it. Within its hours it may lie in any way: over k hours the greatest hour has at least a k-th of
/// it, and the least hour at most a k-th. Limits are whole micrometres, so that no quotient is rounded onto one.
fn judge_amounts(rule: &Rule, parts: &[Part], hours: i64) -> Told {
    let least_of = |values: &mut dyn Iterator<Item = f64>| values.reduce(f64::min);
    let greatest_of = |values: &mut dyn Iterator<Item = f64>| values.reduce(f64::max);
    let sum: i64 = parts.iter().map(Part::low).sum();
    let most: Option<Vec<i64>> = parts.iter().map(|part| part.high_um).collect();
    let is_missing = most.is_none();
    let (low, high) = match rule.take {
        Take::Value | Take::Sum | Take::Mean => {
            let share = if rule.take == Take::Mean {
                hours as f64
            } else {
                1.0
            };
            let high = most.map(|most| most.iter().sum::<i64>() as f64 / share);
            (Some(sum as f64 / share), high)
        }
        Take::Max => (
            greatest_of(
                &mut parts
                    .iter()
                    .map(|part| part.low() as f64 / part.hours as f64),
            ),
            most.and_then(|most| greatest_of(&mut most.iter().map(|um| *um as f64))),
        ),
        Take::Min => (
            least_of(&mut parts.iter().map(|part| {
                if part.hours == 1 {
                    part.low_um as f64
                } else {
                    0.0
                }
            })),
            least_of(
                &mut parts
                    .iter()
                    .filter_map(|part| Some(part.high_um? as f64 / part.inside as f64)),
            ),
        ),
    };
    let (low, high) = (low.unwrap_or(0.0), high.unwrap_or(f64::INFINITY));
    let (least, most) = (rule.at_least.map(whole_um), rule.at_most.map(whole_um));
    let fails = least.is_some_and(|limit| high < limit) || most.is_some_and(|limit| low > limit);
    let holds = !is_missing
        && least.is_none_or(|limit| low >= limit)
        && most.is_none_or(|limit| high <= limit);
    Told {
        outcome: outcome(holds, fails),
        is_close: false,
    }
}

/// A rule on values of single hours over one span.
fn judge(rule: &Rule, sight: &Sight) -> Told {
    if rule.take == Take::Mean {
        return judge_mean(rule, sight);
    }
    let low_is_below = |limit: Quantity| move |hour: &Bounds| is_below(hour.low, hour.unit, limit);
    let high_is_below =
        |limit: Quantity| move |hour: &Bounds| is_below(hour.high, hour.unit, limit);
    let low_is_above = |limit: Quantity| move |hour: &Bounds| is_above(hour.low, hour.unit, limit);
    let high_is_above =
        |limit: Quantity| move |hour: &Bounds| is_above(hour.high, hour.unit, limit);
    let hours = &sight.hours;
    // The least lies below a limit if any hour does, and above it if all do; the greatest the other way round.
    let is_max = rule.take == Take::Max;
    let may_be_under = rule.at_least.is_some_and(|limit| {
        if is_max {
            hours.iter().all(low_is_below(limit))
        } else {
            hours.iter().any(low_is_below(limit))
        }
    });
    let is_under = rule.at_least.is_some_and(|limit| {
        if is_max {
            hours.iter().all(high_is_below(limit))
        } else {
            hours.iter().any(high_is_below(limit))
        }
    });
    let may_be_over = rule.at_most.is_some_and(|limit| {
        if is_max {
            hours.iter().any(high_is_above(limit))
        } else {
            hours.iter().all(high_is_above(limit))
        }
    });
    let is_over = rule.at_most.is_some_and(|limit| {
        if is_max {
            hours.iter().any(low_is_above(limit))
        } else {
            hours.iter().all(low_is_above(limit))
        }
    });
    let holds = !sight.is_missing && !may_be_under && !may_be_over;
    Told {
        outcome: outcome(holds, is_under || is_over),
        is_close: false,
    }
}

/// The mean of the hours: in their unit where they have one, else in SI.
fn judge_mean(rule: &Rule, sight: &Sight) -> Told {
    let first = sight.hours.first().map_or(Unit::Percent, |hour| hour.unit);
    let is_one = sight.hours.iter().all(|hour| hour.unit == first);
    let unit = if is_one { first } else { first.kind().si() };
    let own = |value: f64, from: Unit| if is_one { value } else { from.to_si(value) };
    let count = sight.hours.len() as f64;
    let low = sight
        .hours
        .iter()
        .map(|hour| own(hour.low, hour.unit))
        .sum::<f64>()
        / count;
    let high = sight
        .hours
        .iter()
        .map(|hour| own(hour.high, hour.unit))
        .sum::<f64>()
        / count;
    let mean = Bounds { low, high, unit };
    let near = |value: f64, limit: Quantity| {
        (unit.to_si(value) - limit.si()).abs() < CLOSE
            || (value - limit.unit.convert(limit.value, unit)).abs() < CLOSE
    };
    let mut is_close = false;
    for limit in [rule.at_least, rule.at_most].into_iter().flatten() {
        is_close |= near(low, limit) || near(high, limit);
    }
    let single = Sight {
        hours: vec![mean],
        is_missing: sight.is_missing,
    };
    let value = Rule {
        take: Take::Value,
        ..rule.clone()
    };
    Told {
        is_close,
        ..judge(&value, &single)
    }
}

/// "The end of that local day": the first instant with a later date on the clock. Clocks are set at whole quarters.
#[must_use]
pub fn end_of_day(at: i64, zone: Tz) -> Option<i64> {
    let own = local_date(at, zone)?;
    (1..200)
        .map(|quarter| (at.div_euclid(900) + quarter) * 900)
        .find(|time| local_date(*time, zone).is_some_and(|date| date > own))
}

/// What is asked, with the states of the file's hours.
struct Question<'a> {
    asked: &'a Asked,
    start: i64,
    states: &'a [State],
    is_stale: bool,
}

impl Question<'_> {
    /// The state of the hour that begins at a time: unknown outside the file, and all of them where it is stale.
    fn state(&self, time: i64) -> State {
        let hour = usize::try_from((time - self.start).div_euclid(HOUR_S)).ok();
        let state = hour.and_then(|hour| self.states.get(hour)).copied();
        state.filter(|_| !self.is_stale).unwrap_or(State::Unknown)
    }

    /// "The hour in progress counts only from its next full hour on."
    fn first(&self) -> i64 {
        let mut first = self.asked.at;
        while first.rem_euclid(HOUR_S) != self.start.rem_euclid(HOUR_S) {
            first += 1;
        }
        first
    }

    /// The states from a time to another, of the hours that lie wholly between.
    fn states(&self, from: i64, until: i64) -> Vec<State> {
        let mut states = Vec::new();
        let mut time = from;
        while time + HOUR_S <= until {
            states.push(self.state(time));
            time += HOUR_S;
        }
        states
    }
}

/// "Verdict": go if the window [at, end) holds a run of at least the needed fair hours; else cannot tell if it holds
/// such a run of hours that are fair or unknown; else no-go.
#[must_use]
pub fn answer(asked: &Asked, (weather, place): (&Weather, Place), states: &[State]) -> Answer {
    let until = asked
        .until
        .or_else(|| end_of_day(asked.at, place.zone))
        .unwrap_or(asked.at);
    let is_stale = match asked.issued {
        Issued::Unknown => false,
        Issued::Blank => true,
        Issued::At(issued) => asked.at - issued > asked.stale_after_s,
    };
    let question = Question {
        asked,
        start: weather.start,
        states,
        is_stale,
    };
    let first = question.first();
    let window = question.states(first, until);
    let (fair, hopeful) = (
        |state| state == State::Fair,
        |state| state != State::Hindered,
    );
    let verdict = if !runs(&window, asked.needed, fair).is_empty() {
        Verdict::Go
    } else if !runs(&window, asked.needed, hopeful).is_empty() {
        Verdict::CannotTell
    } else {
        Verdict::NoGo
    };
    // "From `at` to the file's end, not cut at the window's end."
    let from = first.max(weather.start);
    let rest = question.states(from, weather.start + signed(states.len()) * HOUR_S);
    let before = usize::try_from((from - weather.start) / HOUR_S).unwrap_or(0);
    let spells = runs(&rest, asked.needed, fair);
    let spells: Vec<Run> = spells
        .into_iter()
        .map(|run| (run.0 + before, run.1 + before))
        .collect();
    // "The first with `hours-needed` hours inside the window."
    let end_of_window = (until - weather.start).div_euclid(HOUR_S);
    let is_inside =
        |run: &&Run| signed(run.1).min(end_of_window) - signed(run.0) >= signed(asked.needed);
    let spell = spells
        .iter()
        .find(is_inside)
        .copied()
        .filter(|_| verdict == Verdict::Go);
    Answer {
        verdict,
        states: rest,
        spells,
        spell,
        until,
    }
}

/// First hour and the hour after the last.
type Run = (usize, usize);

fn signed(count: usize) -> i64 {
    i64::try_from(count).unwrap_or(i64::MAX)
}

/// Maximal runs of at least `needed` states that pass.
fn runs(states: &[State], needed: usize, passes: impl Fn(State) -> bool) -> Vec<Run> {
    let mut runs = Vec::new();
    let mut hour = 0;
    while hour < states.len() {
        let length = states
            .iter()
            .skip(hour)
            .take_while(|state| passes(**state))
            .count();
        if length >= needed.max(1) {
            runs.push((hour, hour + length));
        }
        hour += length + 1;
    }
    runs
}
