//! MET Norway's Locationforecast, in its "General point forecast JSON format": hourly steps, then steps of six hours.
//!
//! What the fields mean follows that format's description and the "Locationforecast data model", both in MET Norway's
//! API documentation. `instant` holds at the time of its step and stands for the hour that follows; `next_k_hours`
//! holds over the k hours that follow. The format promises no period shorter than the step to the next time.
//!
//! # Steps to hours
//! A step covers the hours of the period that is as long as the step to the next time; if there is none such, those
//! of the shortest period that fits in it (the last step: of the shortest it has); without any, one hour of which the
//! rain is unknown. Hours between two steps that no period covers have no row. In a step of several hours
//!
//! - the first hour has the values of `instant`;
//! - the temperature of the hours after it lies between `air_temperature_min` and `air_temperature_max` of the
//!   period. These are the extremes of the hours *after* the step's time, its own instant left out: in the open files
//!   of the tests, and one more, they equal the least and greatest instant from 1 to 6 hours after the step in all 96
//!   cases that hourly steps cover, and the step's own instant lies outside them in 97 of 149;
//! - humidity, dew point, wind, gust and cloud of the hours after it are missing;
//! - rain is one amount over all its hours, and the chance of rain stands in each of them.
//!
//! Kept as percentiles are those of temperature and wind at instants, and for rain of single hours
//! `precipitation_amount_min` and `_max`, which the data model calls minimum and maximum *likely* amounts without a
//! number.

use super::clean::Rejected;
use super::json::{Draft, Node, Span, Track, given, issued, position, settle};
use super::{Format, Notice, Reading, Source};
use crate::error::{Excerpt, ReadError, ReadProblem};
use crate::quantity::{Kind, Unit};
use crate::series::{Amount, Amounts, Element, HOUR_S, Percentiles, micrometres};

/// What holds at an instant.
const INSTANT: [(&str, Element); 10] = [
    ("air_temperature", Element::Temperature),
    ("dew_point_temperature", Element::DewPoint),
    ("relative_humidity", Element::Humidity),
    ("wind_speed", Element::Wind),
    ("wind_speed_of_gust", Element::Gust),
    ("cloud_area_fraction", Element::Cloud),
    ("air_temperature_percentile_10", Element::Temperature),
    ("air_temperature_percentile_90", Element::Temperature),
    ("wind_speed_percentile_10", Element::Wind),
    ("wind_speed_percentile_90", Element::Wind),
];
/// The first of them are measures themselves.
const MEASURES: usize = 6;
/// What holds over a period.
const OVER: [(&str, Element); 6] = [
    ("precipitation_amount", Element::Rain),
    ("air_temperature_min", Element::Temperature),
    ("air_temperature_max", Element::Temperature),
    ("probability_of_precipitation", Element::RainChance),
    ("precipitation_amount_min", Element::Rain),
    ("precipitation_amount_max", Element::Rain),
];
/// Places in [`OVER`].
const RAIN: usize = 0;
const COLDEST: usize = 1;
const WARMEST: usize = 2;
const CHANCE: usize = 3;
const LEAST_RAIN: usize = 4;
const MOST_RAIN: usize = 5;
/// The periods, shortest first, and their hours.
const PERIODS: [(&str, usize); 4] = [
    ("next_1_hours", 1),
    ("next_3_hours", 3),
    ("next_6_hours", 6),
    ("next_12_hours", 12),
];

/// Values of some keys, with the units that the file gives for them.
struct Keys<'a, const N: usize> {
    asked: [(&'static str, Element); N],
    unit_nodes: [Option<Node<'a>>; N],
    units: [Option<Unit>; N],
    is_there: [bool; N],
}

/// A step; values in the order of [`INSTANT`] and [`OVER`], NaN where missing.
struct Step {
    time: i64,
    instant: [f64; 10],
    periods: [Option<[f64; 6]>; 4],
}

/// The steps read so far.
struct Steps<'a> {
    span: Option<Span>,
    read: Vec<Step>,
    instant: Keys<'a, 10>,
    over: Keys<'a, 6>,
    rejected: Rejected,
}

/// Reads a point forecast.
pub(super) fn read(
    geometry: Option<Node<'_>>,
    properties: Node<'_>,
    timeseries: Node<'_>,
) -> Result<Reading, ReadError> {
    let source = properties.source();
    let [meta] = properties.members(["meta"])?;
    let [updated, units] = match given(meta) {
        Some(meta) => meta.members(["updated_at", "units"])?,
        None => [None, None],
    };
    let (instant, over) = (
        Keys::new(INSTANT, given(units))?,
        Keys::new(OVER, given(units))?,
    );
    let mut steps = Steps {
        span: None,
        read: Vec::new(),
        instant,
        over,
        rejected: Rejected::default(),
    };
    timeseries.each(|step| steps.add(step))?;
    let span = steps
        .span
        .ok_or_else(|| timeseries.lacks("a step of the forecast"))?;
    let mut notices = Vec::new();
    let draft = steps.draft(source, span, &mut notices);
    notices.extend(draft.gaps(source));
    Ok(Reading {
        members: vec![draft.series(source)?],
        issued: issued(updated)?,
        position: position(geometry, None)?,
        format: Format::Locationforecast,
        notices,
    })
}

impl<'a, const N: usize> Keys<'a, N> {
    fn new(keys: [(&'static str, Element); N], units: Option<Node<'a>>) -> Result<Self, ReadError> {
        let unit_nodes = match units {
            Some(units) => units.members(keys.map(|(key, _)| key))?,
            None => [None; N],
        };
        Ok(Self {
            asked: keys,
            unit_nodes,
            units: [None; N],
            is_there: [false; N],
        })
    }

    /// The values in an object of details, which hold over `hours`.
    fn values(
        &mut self,
        details: Node<'_>,
        hours: f64,
        rejected: &mut Rejected,
    ) -> Result<[f64; N], ReadError> {
        let mut values = [f64::NAN; N];
        let nodes = details.members(self.asked.map(|(key, _)| key))?;
        for (index, (node, value)) in nodes.into_iter().zip(&mut values).enumerate() {
            if let Some(is_there) = self.is_there.get_mut(index) {
                *is_there |= node.is_some();
            }
            let (Some(node), Some((_, element))) = (given(node), self.asked.get(index).copied())
            else {
                continue;
            };
            let read = (node.number()?, self.unit(index, node)?);
            *value = if element == Element::Rain {
                node.believed_amount(rejected, element, read, hours)
            } else {
                node.believed(rejected, element, read)
            };
        }
        Ok(values)
    }

    /// The unit of a key; `at` is a value that needs it.
    fn unit(&mut self, index: usize, at: Node<'_>) -> Result<Unit, ReadError> {
        if let Some(unit) = self.units.get(index).copied().flatten() {
            return Ok(unit);
        }
        let element = self
            .asked
            .get(index)
            .map_or(Element::Temperature, |(_, element)| *element);
        let node = self.unit_nodes.get(index).copied().flatten();
        let node = given(node)
            .ok_or_else(|| at.lacks("the unit of this value in properties.meta.units"))?;
        let unit = unit_of(node, element)?;
        if let Some(place) = self.units.get_mut(index) {
            *place = Some(unit);
        }
        Ok(unit)
    }

    /// The unit of a key after all values are read.
    fn unit_read(&self, index: usize) -> Unit {
        let computed = self
            .asked
            .get(index)
            .map_or(Unit::Celsius, |(_, element)| element.kind().si());
        self.units.get(index).copied().flatten().unwrap_or(computed)
    }

    fn has(&self, index: usize) -> bool {
        self.is_there.get(index).copied().unwrap_or(false)
    }
}

fn unit_of(node: Node<'_>, element: Element) -> Result<Unit, ReadError> {
    let text = node.text()?;
    let (unit, expected) = match (element.kind(), &*text) {
        (Kind::Temperature, "celsius" | "degC") => (Some(Unit::Celsius), ""),
        (Kind::Temperature, "fahrenheit" | "degF") => (Some(Unit::Fahrenheit), ""),
        (Kind::Temperature, _) => (None, "celsius or fahrenheit"),
        (Kind::Fraction, "%") => (Some(Unit::Percent), ""),
        (Kind::Fraction, _) => (None, "%"),
        (Kind::Speed, "m/s") => (Some(Unit::MetrePerSecond), ""),
        (Kind::Speed, "km/h") => (Some(Unit::KilometrePerHour), ""),
        (Kind::Speed, "mph") => (Some(Unit::MilePerHour), ""),
        (Kind::Speed, "kt" | "knots") => (Some(Unit::Knot), ""),
        (Kind::Speed, _) => (None, "m/s, km/h, mph or kt"),
        (_, "mm") => (Some(Unit::Millimetre), ""),
        (_, "in") => (Some(Unit::Inch), ""),
        _ => (None, "mm or in"),
    };
    let of = element.name();
    unit.ok_or_else(|| {
        node.fault(ReadProblem::Unit {
            expected,
            of,
            found: Excerpt::of(text.as_bytes()),
        })
    })
}

impl Steps<'_> {
    fn add(&mut self, step: Node<'_>) -> Result<(), ReadError> {
        let [time, data] = step.members(["time", "data"])?;
        let at = time.ok_or_else(|| step.lacks("the time of the step"))?;
        let data = data.ok_or_else(|| step.lacks("the data of the step"))?;
        let time = at.time()?;
        self.check_rises(time, at)?;
        self.span = Some(Span::with(self.span, (time, time + HOUR_S), at)?);
        let [instant, periods @ ..] = data.members([
            "instant",
            "next_1_hours",
            "next_3_hours",
            "next_6_hours",
            "next_12_hours",
        ])?;
        let mut step = Step {
            time,
            instant: [f64::NAN; 10],
            periods: [None; 4],
        };
        if let Some(details) = details(instant)? {
            step.instant = self.instant.values(details, 1.0, &mut self.rejected)?;
        }
        let periods = periods.into_iter().zip(PERIODS).zip(&mut step.periods);
        for ((node, (_, hours)), period) in periods {
            let Some(details) = details(node)? else {
                continue;
            };
            let values = self
                .over
                .values(details, hours as f64, &mut self.rejected)?;
            // A period of a chance alone covers no hours: the format adds such beside the one that does.
            let covers = details.members(["precipitation_amount", "air_temperature_min"])?;
            *period = covers.iter().any(Option::is_some).then_some(values);
        }
        self.read.push(step);
        Ok(())
    }

    fn check_rises(&self, time: i64, at: Node<'_>) -> Result<(), ReadError> {
        let found = at.excerpt();
        match self.read.last().map(|step| step.time) {
            Some(before) if time == before => Err(at.fault(ReadProblem::Doubled { found })),
            Some(before) if time < before => Err(at.fault(ReadProblem::OutOfOrder { found })),
            _ => Ok(()),
        }
    }
}

fn details(block: Option<Node<'_>>) -> Result<Option<Node<'_>>, ReadError> {
    let Some(block) = given(block) else {
        return Ok(None);
    };
    let [details] = block.members(["details"])?;
    Ok(given(details))
}

/// A step laid on the hours that it covers.
struct Laid<'s> {
    from: usize,
    hours: usize,
    step: &'s Step,
    over: Option<&'s [f64; 6]>,
}

impl Laid<'_> {
    /// A value over the period; NaN where the step has none.
    fn over(&self, index: usize) -> f64 {
        self.over
            .and_then(|over| over.get(index))
            .copied()
            .unwrap_or(f64::NAN)
    }

    fn instant(&self, index: usize) -> f64 {
        self.step.instant.get(index).copied().unwrap_or(f64::NAN)
    }

    fn set<T: Copy>(&self, hours: &mut [T], value: T) {
        if let Some(hours) = hours.get_mut(self.from..self.from + self.hours) {
            hours.fill(value);
        }
    }
}

impl Steps<'_> {
    fn laid(&self, span: Span) -> Vec<Laid<'_>> {
        let next = self.read.iter().skip(1).map(Some).chain([None]);
        self.read
            .iter()
            .zip(next)
            .map(|(step, next)| step.laid(next, span))
            .collect()
    }

    fn draft(self, source: Source<'_>, span: Span, notices: &mut Vec<Notice>) -> Draft {
        let laid = self.laid(span);
        let hours = laid.last().map_or(0, |last| last.from + last.hours);
        let mut has_row = vec![false; hours];
        for step in &laid {
            step.set(&mut has_row, true);
        }
        let mut tracks = self.tracks(&laid, hours);
        let settled = settle(source, &mut tracks);
        self.bound_temperatures(&laid, &mut tracks);
        let rain = self
            .over
            .has(RAIN)
            .then(|| (Element::Rain, self.rain(&laid, hours)));
        let (percentiles, crossed) = self.percentiles(&laid, hours);
        let long = laid.iter().filter(|step| step.hours > 1).count() as u64;
        let has_chances = laid
            .iter()
            .any(|step| step.hours > 1 && !step.over(CHANCE).is_nan());
        let file = || source.name.to_owned();
        notices.extend(self.rejected.notices());
        notices.extend(settled);
        notices.extend((long > 0).then(|| Notice::LongSteps {
            file: file(),
            count: long,
        }));
        notices.extend(has_chances.then(|| Notice::ChancePeriods { file: file() }));
        notices.extend((crossed > 0).then(|| Notice::CrossedPercentiles {
            file: file(),
            count: crossed,
        }));
        let columns = tracks.into_iter().filter_map(Track::into_column).collect();
        Draft {
            start: span.start(),
            has_row,
            columns,
            amounts: rain.into_iter().collect(),
            percentiles,
        }
    }

    /// Instants at the first hours of steps, and chances in all hours.
    fn tracks(&self, laid: &[Laid<'_>], hours: usize) -> Vec<Track> {
        let mut tracks = Vec::new();
        for (index, (_, element)) in INSTANT.into_iter().enumerate().take(MEASURES) {
            let mut track = Track::in_unit(element, self.instant.unit_read(index));
            track.low = at_first_hours(laid, hours, |step| step.instant(index));
            track.is_there = self.instant.has(index);
            tracks.push(track);
        }
        let mut chance = Track::in_unit(Element::RainChance, self.over.unit_read(CHANCE));
        chance.low = vec![f64::NAN; hours];
        for step in laid {
            step.set(&mut chance.low, step.over(CHANCE));
        }
        chance.is_there = self.over.has(CHANCE);
        tracks.push(chance);
        tracks
    }

    /// Puts the extremes of a step into the hours after its first.
    fn bound_temperatures(&self, laid: &[Laid<'_>], tracks: &mut [Track]) {
        let Some(track) = tracks
            .iter_mut()
            .find(|track| track.element == Element::Temperature)
        else {
            return;
        };
        let unit = track.unit();
        track.high.clone_from(&track.low);
        for step in laid {
            let after = step.from + 1..step.from + step.hours;
            let bound = |index: usize| self.over.unit_read(index).convert(step.over(index), unit);
            for (values, value) in [
                (&mut track.low, bound(COLDEST)),
                (&mut track.high, bound(WARMEST)),
            ] {
                if let Some(hours) = values.get_mut(after.clone()) {
                    hours.fill(value);
                }
            }
        }
    }

    fn rain(&self, laid: &[Laid<'_>], hours: usize) -> Amounts {
        let unit = self.over.unit_read(RAIN);
        let known = laid.iter().filter(|step| !step.over(RAIN).is_nan());
        let amounts: Vec<Amount> = known
            .map(|step| {
                let um = micrometres(step.over(RAIN), unit);
                Amount {
                    from: step.from,
                    hours: step.hours,
                    low_um: um,
                    high_um: Some(um),
                }
            })
            .collect();
        Amounts::new(hours, &amounts, unit)
    }

    /// The spreads that the file gives, and in how many hours percentiles lay the wrong way round.
    fn percentiles(&self, laid: &[Laid<'_>], hours: usize) -> (Vec<Percentiles>, u64) {
        let (mut spreads, mut crossed) = (Vec::new(), 0);
        for (element, low, high) in [(Element::Temperature, 6, 7), (Element::Wind, 8, 9)] {
            if self.instant.has(low) || self.instant.has(high) {
                let units = (self.instant.unit_read(low), self.instant.unit_read(high));
                let of = |index| at_first_hours(laid, hours, |step| step.instant(index));
                let (own, wrong) = spread(element, units, of(low), of(high));
                spreads.push(own);
                crossed += wrong;
            }
        }
        let (low, high) = (LEAST_RAIN, MOST_RAIN);
        if self.over.has(low) || self.over.has(high) {
            let of_hour = |step: &Laid<'_>, index| {
                if step.hours == 1 {
                    step.over(index)
                } else {
                    f64::NAN
                }
            };
            let units = (self.over.unit_read(low), self.over.unit_read(high));
            let of = |index| at_first_hours(laid, hours, |step| of_hour(step, index));
            let (own, wrong) = spread(Element::Rain, units, of(low), of(high));
            spreads.push(own);
            crossed += wrong;
        }
        (spreads, crossed)
    }
}

impl Step {
    /// This step on its hours, by the rule above.
    fn laid(&self, next: Option<&Self>, span: Span) -> Laid<'_> {
        let from = span.hour_of(self.time);
        let gap = next.map(|next| span.hour_of(next.time) - from);
        let periods = || {
            let whole = self.periods.iter().zip(PERIODS);
            whole.filter_map(|(over, (_, hours))| Some((hours, over.as_ref()?)))
        };
        let same = periods().find(|(hours, _)| Some(*hours) == gap);
        let fitting = || periods().find(|(hours, _)| gap.is_none_or(|gap| *hours < gap));
        match same.or_else(fitting) {
            Some((hours, over)) => Laid {
                from,
                hours,
                step: self,
                over: Some(over),
            },
            None => Laid {
                from,
                hours: 1,
                step: self,
                over: None,
            },
        }
    }
}

/// One value a step, in the first hour of each.
fn at_first_hours(laid: &[Laid<'_>], hours: usize, value: impl Fn(&Laid<'_>) -> f64) -> Vec<f64> {
    let mut values = vec![f64::NAN; hours];
    for step in laid {
        if let Some(place) = values.get_mut(step.from) {
            *place = value(step);
        }
    }
    values
}

/// Percentiles in the unit of the lower; hours in which they lie the wrong way round have none, and are counted.
fn spread(
    element: Element,
    (unit, upper): (Unit, Unit),
    mut p10: Vec<f64>,
    mut p90: Vec<f64>,
) -> (Percentiles, u64) {
    let mut crossed = 0;
    for (low, high) in p10.iter_mut().zip(&mut p90) {
        *high = upper.convert(*high, unit);
        crossed += u64::from(*low > *high);
        if low.is_nan() || high.is_nan() || *low > *high {
            (*low, *high) = (f64::NAN, f64::NAN);
        }
    }
    let spread = Percentiles {
        element,
        p10,
        p90,
        unit,
    };
    (spread, crossed)
}

#[cfg(test)]
#[allow(
    clippy::too_many_lines,
    reason = "a check is a table that is read down"
)]
mod tests {
    use super::super::{Issued, sample};
    use super::*;
    use crate::series::{AmountSum, HourlySeries};

    fn answer(text: &str) -> Result<Reading, ReadError> {
        sample::answer("point.json", text)
    }

    #[track_caller]
    fn assert_fault(marked: &str, expected: &str) {
        sample::assert_fault("point.json", marked, expected);
    }

    fn forecast(steps: &[String]) -> String {
        let units: Vec<String> = INSTANT
            .into_iter()
            .chain(OVER)
            .map(|(key, element)| {
                let unit = match element.kind() {
                    Kind::Temperature => "celsius",
                    Kind::Speed => "m/s",
                    Kind::Depth => "mm",
                    _ => "%",
                };
                format!("'{key}':'{unit}'")
            })
            .collect();
        let meta = format!(
            "{{'updated_at':'2027-03-10T15:00:00Z','units':{{{}}}}}",
            units.join(",")
        );
        let steps = steps.join(",\n");
        format!("{{'type':'Feature','properties':{{'meta':{meta},\n'timeseries':[{steps}]}}}}")
    }

    /// A step of March 2027 by its day and hour, `ddThh`.
    fn step(time: &str, instant: &str, periods: &[(&str, &str)]) -> String {
        let periods: Vec<String> = periods
            .iter()
            .map(|(name, details)| format!(",'next_{name}_hours':{{'details':{{{details}}}}}"))
            .collect();
        let periods = periods.concat();
        format!(
            "{{'time':'2027-03-{time}:00:00Z','data':{{'instant':{{'details':{{{instant}}}}}{periods}}}}}"
        )
    }

    fn mm(depth: &str) -> String {
        format!("'precipitation_amount':{depth}")
    }

    fn series(steps: &[String]) -> HourlySeries {
        answer(&forecast(steps)).unwrap().members.remove(0)
    }

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

    /// The module's rule for steps of an hour and of six.
    #[test]
    fn steps_become_hours() {
        let six = "'precipitation_amount':3.5,'air_temperature_min':1,'air_temperature_max':4,\
                   'probability_of_precipitation':40";
        let text = forecast(&[
            step(
                "10T15",
                "'air_temperature':5,'relative_humidity':80",
                &[("1", &mm("0.2")), ("6", &mm("9"))],
            ),
            step(
                "10T16",
                "'air_temperature':'6','wind_speed':3",
                &[("6", six), ("12", "'probability_of_precipitation':9")],
            ),
            step("10T22", "'air_temperature':2", &[]),
        ]);
        let reading = answer(&text).unwrap();
        let series = &reading.members[0];
        assert_eq!((series.start(), series.hours()), (1_804_690_800, 8));
        assert!((0..8).all(|hour| series.has_row(hour)));
        let between = Some((1.0, 4.0));
        let expected = [
            Some((5.0, 5.0)),
            Some((6.0, 6.0)),
            between,
            between,
            between,
            between,
            between,
            Some((2.0, 2.0)),
        ];
        assert_eq!(bounds(series, Element::Temperature), expected);
        assert_eq!(bounds(series, Element::Wind).iter().flatten().count(), 1);
        assert_eq!(bounds(series, Element::Humidity)[0], Some((80.0, 80.0)));
        let forty = Some((40.0, 40.0));
        assert_eq!(
            bounds(series, Element::RainChance),
            [None, forty, forty, forty, forty, forty, forty, None]
        );
        let rain = series.amounts(Element::Rain).unwrap();
        assert_eq!(
            (rain.sum(0, 1), rain.sum(1, 7), rain.sum(0, 7)),
            (exact(200), exact(3500), exact(3700))
        );
        assert_eq!((rain.sum(1, 6).low_um, rain.sum(7, 8).high_um), (0, None));
        let file = || "point.json".to_owned();
        let expected = [
            Notice::LongSteps {
                file: file(),
                count: 1,
            },
            Notice::ChancePeriods { file: file() },
        ];
        assert_eq!(reading.notices, expected);
    }

    /// The module's rule where no period is as long as the step, and at the end.
    #[test]
    fn odd_steps_cover_what_their_periods_do() {
        let rows = |series: &HourlySeries| -> String {
            (0..series.hours())
                .map(|hour| if series.has_row(hour) { '1' } else { '0' })
                .collect()
        };
        let rain = |series: &HourlySeries| {
            series
                .amounts(Element::Rain)
                .unwrap()
                .amounts()
                .iter()
                .map(|a| (a.hours, a.high_um))
                .collect::<Vec<_>>()
        };
        let zero = mm("0");
        let three = series(&[
            step("10T12", "", &[("3", &mm("1"))]),
            step("10T15", "", &[]),
        ]);
        assert_eq!(
            (rows(&three), rain(&three)),
            ("1111".to_owned(), vec![(3, Some(1000)), (1, None)])
        );
        let gap = series(&[
            step("10T12", "", &[("1", &zero), ("6", &zero)]),
            step("10T15", "", &[]),
        ]);
        assert_eq!(rows(&gap), "1001");
        let twelve = series(&[
            step("10T00", "", &[("6", &zero)]),
            step("10T12", "", &[("12", &zero)]),
        ]);
        assert_eq!(rows(&twelve), "111111000000111111111111");
        let none = series(&[
            step("10T12", "'wind_speed':1", &[]),
            step("10T15", "", &[("1", &zero)]),
        ]);
        assert_eq!(
            (rows(&none), rain(&none)[0]),
            ("1001".to_owned(), (1, None))
        );
        // A period is never shorter than the step in sound files; a longer one says nothing about one hour of it.
        let long = series(&[
            step("10T12", "", &[("6", &zero)]),
            step("10T13", "", &[("1", &zero), ("6", &zero)]),
        ]);
        assert_eq!(
            (rows(&long), rain(&long)),
            ("11".to_owned(), vec![(1, None), (1, Some(0))])
        );
        // The last step: the shortest period that it has.
        let last = series(&[step("10T12", "", &[("6", &mm("2"))])]);
        assert_eq!(
            (rows(&last), rain(&last)),
            ("111111".to_owned(), vec![(6, Some(2000))])
        );
        let chance = series(&[step(
            "10T12",
            "'air_temperature':1",
            &[("12", "'probability_of_precipitation':9")],
        )]);
        assert_eq!(rows(&chance), "1");
    }

    /// The contract, promise 1: a column that is there and blank stays, one that is absent is none.
    #[test]
    fn blanks_are_columns() {
        let series = series(&[
            step(
                "10T12",
                "'air_temperature':null,'wind_speed_of_gust':null",
                &[("1", "'precipitation_amount':null")],
            ),
            "{'time':'2027-03-10T13:00:00Z','data':{'instant':null,'next_1_hours':{'summary':{}}}}"
                .to_owned(),
        ]);
        assert_eq!(bounds(&series, Element::Temperature), [None, None]);
        assert_eq!(bounds(&series, Element::Gust), [None, None]);
        assert_eq!(
            series.amounts(Element::Rain).unwrap().sum(0, 1).high_um,
            None
        );
        assert!(!series.has(Element::Wind) && !series.has(Element::RainChance));
    }

    /// The data model: 10th and 90th percentiles at instants; least and most likely rain over periods.
    #[test]
    fn percentiles_are_kept_at_instants() {
        let likely =
            "'precipitation_amount':1,'precipitation_amount_min':0.5,'precipitation_amount_max':2";
        let spread = "'air_temperature':5,'air_temperature_percentile_10':4,'air_temperature_percentile_90':7,\
                      'wind_speed':2,'wind_speed_percentile_10':3,'wind_speed_percentile_90':1";
        let steps = [
            step("10T15", spread, &[("1", likely)]),
            step(
                "10T16",
                "'air_temperature_percentile_10':3",
                &[("6", likely)],
            ),
        ];
        let said = answer(&forecast(&steps)).unwrap().notices;
        assert!(said.contains(&Notice::CrossedPercentiles {
            file: "point.json".to_owned(),
            count: 1
        }));
        let series = series(&steps);
        let parts = |element| {
            let found = series.percentiles(element).unwrap();
            (
                found.unit,
                found.p10[0],
                found.p90[0],
                found.p10[1..].iter().all(|value| value.is_nan()),
            )
        };
        assert_eq!(parts(Element::Temperature), (Unit::Celsius, 4.0, 7.0, true));
        assert_eq!(parts(Element::Rain), (Unit::Millimetre, 0.5, 2.0, true));
        // The wrong way round: none, and said.
        assert!(
            series
                .percentiles(Element::Wind)
                .unwrap()
                .p10
                .iter()
                .all(|value| value.is_nan())
        );
        assert!(series.percentiles(Element::Humidity).is_none());
    }

    /// Other units, and extremes in a unit of their own. 41 °F is 5 °C, 50 °F is 10 °C.
    #[test]
    fn other_units_are_read() {
        let period = "'precipitation_amount':0.1,'air_temperature_min':41,'air_temperature_max':50";
        let text = forecast(&[step(
            "10T15",
            "'air_temperature':5,'wind_speed':10",
            &[("6", period)],
        )]);
        let text = text
            .replace(
                "'air_temperature_min':'celsius'",
                "'air_temperature_min':'fahrenheit'",
            )
            .replace(
                "'air_temperature_max':'celsius'",
                "'air_temperature_max':'fahrenheit'",
            )
            .replace("'precipitation_amount':'mm'", "'precipitation_amount':'in'")
            .replace("'wind_speed':'m/s'", "'wind_speed':'km/h'");
        let series = answer(&text).unwrap().members.remove(0);
        assert_eq!(bounds(&series, Element::Temperature)[1], Some((5.0, 10.0)));
        assert_eq!(
            series.column(Element::Wind).unwrap().single_unit(),
            Some(Unit::KilometrePerHour)
        );
        assert_eq!(
            series.amounts(Element::Rain).unwrap().sum(0, 6),
            exact(2540)
        );
    }

    #[test]
    fn issue_times_are_absent_blank_or_times() {
        let steps = [step("10T15", "'air_temperature':5", &[])];
        for (member, issued) in [
            (
                "'updated_at':'2027-03-10T15:00:00Z',",
                Issued::At(1_804_690_800),
            ),
            ("'updated_at':null,", Issued::Blank),
            ("", Issued::Unknown),
        ] {
            let text = forecast(&steps).replace("'updated_at':'2027-03-10T15:00:00Z',", member);
            assert_eq!(answer(&text).unwrap().issued, issued);
        }
        let bare = "{'type':'Feature','properties':{'timeseries':[{'time':'2027-03-10T15:00:00Z','data':{}}]}}";
        assert_eq!(answer(bare).unwrap().issued, Issued::Unknown);
    }

    /// clean's rule at instants; the bounds of the hours after them stay.
    #[test]
    fn impossible_values_and_dew_points_are_settled() {
        let six = "'air_temperature_min':1,'air_temperature_max':999,'precipitation_amount':-1";
        let text = forecast(&[
            step(
                "10T15",
                "'air_temperature':5,'dew_point_temperature':9,'wind_speed':400",
                &[],
            ),
            step(
                "10T16",
                "'air_temperature':5,'dew_point_temperature':5.5",
                &[("6", six)],
            ),
        ]);
        let reading = answer(&text).unwrap();
        let series = &reading.members[0];
        let expected = [None, Some((5.0, 5.0)), None, None, None, None, None];
        assert_eq!(bounds(series, Element::Temperature), expected);
        assert_eq!(
            bounds(series, Element::DewPoint)[..2],
            [None, Some((5.0, 5.0))]
        );
        assert_eq!(
            series.amounts(Element::Rain).unwrap().sum(0, 7).high_um,
            None
        );
        let said: Vec<String> = reading.notices.iter().map(ToString::to_string).collect();
        assert_eq!(said.len(), 5, "{said:?}");
        let rejected =
            "1 wind value rejected as impossible and taken as missing, the first \"400\"";
        assert!(said[0].ends_with(rejected), "{said:?}");
        assert!(
            said[3].contains("1 hour with a dew point above the temperature"),
            "{said:?}"
        );
    }

    /// A caret marks where the fault must be found.
    #[test]
    fn faults_of_steps_name_their_place() {
        let first = || step("10T15", "'air_temperature':5", &[]);
        let after = |second: String| forecast(&[first(), second]);
        let marked = |second: String| after(second.replace("{'time':", "{'time':^"));
        for (text, expected) in [
            (
                marked(first()),
                "each hour once, found \"2027-03-10T15:00:00Z\" again",
            ),
            (
                marked(step("10T14", "", &[])),
                "a time after the row above, found \"2027-03-10T14:00:00Z\", which is earlier",
            ),
            (
                marked(step("10T16", "", &[]).replace(":00:00Z", ":30:00Z")),
                "a time on the file's grid of 60 min, found \"2027-03-10T16:30:00Z\", which lies off it",
            ),
            (
                marked(step("10T16", "", &[]).replace("2027", "2028")),
                "at most 8784 hours from first to last, found more",
            ),
            (
                after("^{'data':{}}".to_owned()),
                "the time of the step, found none",
            ),
            (
                after("^{'time':'2027-03-10T16:00:00Z'}".to_owned()),
                "the data of the step, found none",
            ),
            (
                after("{'time':'2027-03-10T16:00:00Z','data':^[]}".to_owned()),
                "an object, found \"[]\"",
            ),
        ] {
            assert_fault(&text, expected);
        }
    }

    /// A caret marks where the fault must be found.
    #[test]
    fn faults_of_values_name_their_place() {
        let first = || step("10T15", "'air_temperature':5", &[]);
        let after = |second: String| forecast(&[first(), second]);
        for (text, expected) in [
            (
                after(step("10T16", "'air_temperature':^1e999", &[])),
                "a finite number or null, found \"1e999\"",
            ),
            (
                after(step("10T16", "'air_temperature':^{}", &[])),
                "a finite number or null, found \"{}\"",
            ),
            (
                after(step("10T16", "'wind_speed':1", &[]))
                    .replace("'wind_speed':'m/s'", "'wind_speed':^'beaufort'"),
                "m/s, km/h, mph or kt as the unit of wind, found \"beaufort\"",
            ),
            (
                forecast(&[first()])
                    .replace("'air_temperature':'celsius'", "'air_temperature':^'kelvin'"),
                "celsius or fahrenheit as the unit of temperature, found \"kelvin\"",
            ),
            (
                after(step("10T16", "", &[("1", "'precipitation_amount':1")])).replace(
                    "'precipitation_amount':'mm'",
                    "'precipitation_amount':^'cm'",
                ),
                "mm or in as the unit of rain, found \"cm\"",
            ),
            (
                after(step("10T16", "'relative_humidity':1", &[]))
                    .replace("'relative_humidity':'%'", "'relative_humidity':^'1'"),
                "% as the unit of humidity, found \"1\"",
            ),
            (
                after(step("10T16", "'relative_humidity':^1", &[]))
                    .replace("'relative_humidity':'%',", ""),
                "the unit of this value in properties.meta.units, found none",
            ),
            (
                forecast(&[]).replace("'timeseries':", "'timeseries':^"),
                "a step of the forecast, found none",
            ),
            (
                "{'type':'Feature','properties':{'timeseries':^{}}}".to_owned(),
                "an array, found \"{}\"",
            ),
            (
                forecast(&[first()])
                    .replace("'updated_at':'2027-03-10T15:00:00Z'", "'updated_at':^true"),
                "a time in ISO 8601 with offset or Z, such as 2027-03-10T15:00:00Z, found \"true\"",
            ),
        ] {
            assert_fault(&text, expected);
        }
    }
}
