//! Hours in a row: one column a measure, missing kept as missing, bounds kept as bounds.
//!
//! An [`HourlySeries`] begins at an instant and goes on hour by hour without a gap: hours that the file leaves
//! out are there, as hours without a row. Hour h covers [t, t + 1 h); the value at t stands for the hour, and rain
//! of the hour fell within it. Nothing is filled in or interpolated. A source may know a value only between bounds
//! (the least and the greatest of six hours) and rain only as one amount over several hours.

mod daily;
mod join;
mod past;

use crate::error::SeriesError;
use crate::quantity::{Kind, Unit};

pub use daily::{DailySeries, MAX_DAYS};
pub use past::{Hours, PlainHours};

/// Most hours a series may have: 400 years, so that a slip in a date cannot ask for all memory. Ours.
pub const MAX_HOURS: usize = 400 * 366 * 24;

/// Seconds in an hour.
pub const HOUR_S: i64 = 3600;

/// What a file gives for an hour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Element {
    /// Air temperature in a shelter at 1.5 to 2 m.
    Temperature,
    /// Rain and melted snow of the hour.
    Rain,
    /// Chance of rain.
    RainChance,
    /// Relative humidity over water.
    Humidity,
    /// Dew point over water.
    DewPoint,
    /// Mean wind at 10 m.
    Wind,
    /// Gusts at 10 m.
    Gust,
    /// Share of the sky that is covered.
    Cloud,
    /// New snow of the hour, as depth of snow.
    Snow,
}

impl Element {
    /// All of them, in the order in which series keep them.
    pub const ALL: [Self; 9] = [
        Self::Temperature,
        Self::Rain,
        Self::RainChance,
        Self::Humidity,
        Self::DewPoint,
        Self::Wind,
        Self::Gust,
        Self::Cloud,
        Self::Snow,
    ];

    /// Its name in operation files and messages.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Temperature => "temperature",
            Self::Rain => "rain",
            Self::RainChance => "rain-chance",
            Self::Humidity => "humidity",
            Self::DewPoint => "dew-point",
            Self::Wind => "wind",
            Self::Gust => "gust",
            Self::Cloud => "cloud",
            Self::Snow => "snow",
        }
    }

    /// What it is a quantity of.
    #[must_use]
    pub fn kind(self) -> Kind {
        match self {
            Self::Temperature | Self::DewPoint => Kind::Temperature,
            Self::Rain | Self::Snow => Kind::Depth,
            Self::RainChance | Self::Humidity | Self::Cloud => Kind::Fraction,
            Self::Wind | Self::Gust => Kind::Speed,
        }
    }

    /// Least and greatest value that is believed, in SI; what lies outside is rejected, counted and missing.
    ///
    /// Temperature: design of the daily readers, −90 to 60 °C. Rain: the greatest fall in an hour on record is
    /// 305 mm (World Meteorological Organization, world weather extremes; from memory), so 400. Wind: the strongest
    /// gust on record is 113.2 m/s (same source, from memory), so 115. Humidity up to 102 %: sensors overshoot.
    #[must_use]
    pub fn believed_si(self) -> (f64, f64) {
        match self {
            Self::Temperature | Self::DewPoint => (-90.0, 60.0),
            Self::Rain => (0.0, 400.0),
            Self::Snow => (0.0, 4000.0),
            Self::RainChance | Self::Cloud => (0.0, 100.0),
            Self::Humidity => (0.0, 102.0),
            Self::Wind | Self::Gust => (0.0, 115.0),
        }
    }

    /// A value that is believed, cleaned of what sensors overshoot (humidity above 100 % becomes 100), in its own
    /// unit; `None` for one to reject.
    ///
    /// ```
    /// use fairspell::{quantity::Unit, series::Element};
    /// assert_eq!(Element::Temperature.believed(900.0, Unit::Fahrenheit), None);
    /// assert_eq!(Element::Humidity.believed(101.0, Unit::Percent), Some(100.0));
    /// ```
    #[must_use]
    pub fn believed(self, value: f64, unit: Unit) -> Option<f64> {
        let (least, greatest) = self.believed_si();
        let si = unit.to_si(value);
        let cleaned = if self == Self::Humidity {
            value.min(100.0)
        } else {
            value
        };
        (si >= least && si <= greatest).then_some(cleaned + 0.0)
    }

    /// Least and greatest value that can be, in SI: what a missing value still is known to lie between.
    #[must_use]
    pub fn possible_si(self) -> (f64, f64) {
        match self {
            Self::Temperature | Self::DewPoint => (-273.15, f64::INFINITY),
            Self::RainChance | Self::Cloud | Self::Humidity => (0.0, 100.0),
            Self::Rain | Self::Snow | Self::Wind | Self::Gust => (0.0, f64::INFINITY),
        }
    }

    fn index(self) -> usize {
        self as usize
    }
}

/// Values of one element, one an hour, in the unit in which they were read; NaN is missing.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    low: Vec<f64>,
    high: Option<Vec<f64>>,
    unit: Unit,
    earlier: Option<(usize, Unit)>,
}

impl Column {
    /// Exact values, one an hour.
    #[must_use]
    pub fn exact(values: Vec<f64>, unit: Unit) -> Self {
        Self {
            low: values,
            high: None,
            unit,
            earlier: None,
        }
    }

    /// Values known between bounds. Where either bound is NaN the hour is missing; where both agree it is exact.
    /// The longer of the two is cut to the shorter.
    #[must_use]
    pub fn bounded(mut low: Vec<f64>, mut high: Vec<f64>, unit: Unit) -> Self {
        let hours = low.len().min(high.len());
        low.truncate(hours);
        high.truncate(hours);
        for (least, greatest) in low.iter_mut().zip(high.iter_mut()) {
            if least.is_nan() || greatest.is_nan() {
                (*least, *greatest) = (f64::NAN, f64::NAN);
            } else if *least > *greatest {
                core::mem::swap(least, greatest);
            }
        }
        let exact = low
            .iter()
            .zip(&high)
            .all(|(least, greatest)| least.is_nan() || least >= greatest);
        Self {
            low,
            high: (!exact).then_some(high),
            unit,
            earlier: None,
        }
    }

    /// Hours covered.
    #[must_use]
    pub fn hours(&self) -> usize {
        self.low.len()
    }

    /// Lower bounds, or the values where all are exact.
    #[must_use]
    pub fn low(&self) -> &[f64] {
        &self.low
    }

    /// Upper bounds; the same as [`Self::low`] where all are exact.
    #[must_use]
    pub fn high(&self) -> &[f64] {
        self.high.as_deref().unwrap_or(&self.low)
    }

    /// Whether any hour is known between bounds only.
    #[must_use]
    pub fn is_bounded(&self) -> bool {
        self.high.is_some()
    }

    /// The unit if all hours have the same.
    #[must_use]
    pub fn single_unit(&self) -> Option<Unit> {
        match self.earlier {
            Some((_, unit)) if unit != self.unit => None,
            _ => Some(self.unit),
        }
    }

    /// The unit of an hour.
    #[must_use]
    pub fn unit_at(&self, hour: usize) -> Unit {
        match self.earlier {
            Some((until, unit)) if hour < until => unit,
            _ => self.unit,
        }
    }

    /// Value of an hour between its bounds, in a unit; `None` if it is missing.
    #[must_use]
    pub fn at(&self, hour: usize, unit: Unit) -> Option<(f64, f64)> {
        let own = self.unit_at(hour);
        let low = self
            .low
            .get(hour)
            .copied()
            .filter(|value| !value.is_nan())?;
        let high = self.high().get(hour).copied()?;
        Some((own.convert(low, unit), own.convert(high, unit)))
    }
}

/// An amount over one or more hours, in whole micrometres.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Amount {
    /// First hour.
    pub from: usize,
    /// Hours over which it fell.
    pub hours: usize,
    /// Least amount \[µm\].
    pub low_um: i64,
    /// Greatest amount \[µm\]; `None`: unknown.
    pub high_um: Option<i64>,
}

/// A depth in whole micrometres; any depth above 0 is at least 1, so that rounding never makes a wet hour dry.
///
/// ```
/// use fairspell::{quantity::Unit, series::micrometres};
/// assert_eq!(micrometres(0.01, Unit::Inch), 254);
/// assert_eq!(micrometres(1e-12, Unit::Millimetre), 1);
/// ```
#[must_use]
pub fn micrometres(depth: f64, unit: Unit) -> i64 {
    let um = match unit {
        Unit::Inch => depth * 25_400.0,
        _ => unit.to_si(depth) * 1000.0,
    };
    #[expect(
        clippy::cast_possible_truncation,
        reason = "believed depths stay below 1e7 µm; the cast saturates"
    )]
    let whole = um.round() as i64;
    if um > 0.0 { whole.max(1) } else { whole.max(0) }
}

/// Amounts that follow one another without a gap, with sums over any span of hours in constant time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Amounts {
    unit: Unit,
    parts: Vec<Amount>,
    of_hour: Vec<u32>,
    begun: Vec<Sum>,
    ended: Vec<Sum>,
}

/// A running sum: least, greatest as far as it is known, and amounts with no upper bound.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
struct Sum {
    low_um: i64,
    high_um: i64,
    unknown: u32,
}

impl Sum {
    fn and(self, amount: &Amount) -> Self {
        Self {
            low_um: self.low_um.saturating_add(amount.low_um),
            high_um: self.high_um.saturating_add(amount.high_um.unwrap_or(0)),
            unknown: self.unknown + u32::from(amount.high_um.is_none()),
        }
    }
}

/// A sum of amounts over a span.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AmountSum {
    /// What fell at least \[µm\].
    pub low_um: i64,
    /// What fell at most \[µm\]; `None`: some hour is unknown.
    pub high_um: Option<i64>,
}

impl Amounts {
    /// Amounts that cover `hours` hours; hours that none of them covers are unknown. Amounts that overlap an
    /// earlier one, and what lies past the end, are cut to what is left of them and lose their lower bound.
    #[must_use]
    pub fn new(hours: usize, given: &[Amount], unit: Unit) -> Self {
        let mut amounts: Vec<Amount> = Vec::with_capacity(hours);
        let mut next = 0;
        let unknown = |from: usize| Amount {
            from,
            hours: 1,
            low_um: 0,
            high_um: None,
        };
        for amount in given {
            let end = (amount.from + amount.hours).min(hours);
            if end <= next {
                continue;
            }
            amounts.extend((next..amount.from.min(hours)).map(unknown));
            let from = amount.from.max(next);
            let whole = from == amount.from && end == amount.from + amount.hours;
            let low_um = if whole { amount.low_um.max(0) } else { 0 };
            if from < end {
                amounts.push(Amount {
                    from,
                    hours: end - from,
                    low_um,
                    high_um: amount.high_um,
                });
                next = end;
            }
        }
        amounts.extend((next..hours).map(unknown));
        Self::with_sums(hours, amounts, unit)
    }

    fn with_sums(hours: usize, amounts: Vec<Amount>, unit: Unit) -> Self {
        let mut of_hour = Vec::with_capacity(hours);
        let mut begun = Vec::with_capacity(hours + 1);
        let mut ended = Vec::with_capacity(hours + 1);
        let mut sum = Sum::default();
        begun.push(sum);
        ended.push(sum);
        for (index, amount) in (0_u32..).zip(&amounts) {
            let after = sum.and(amount);
            for hour in 0..amount.hours {
                of_hour.push(index);
                begun.push(after);
                ended.push(if hour + 1 == amount.hours { after } else { sum });
            }
            sum = after;
        }
        Self {
            unit,
            parts: amounts,
            of_hour,
            begun,
            ended,
        }
    }

    /// Amounts of one hour each, from depths in `unit`; NaN is unknown.
    #[must_use]
    pub fn hourly(depths: &[f64], unit: Unit) -> Self {
        let amounts = depths
            .iter()
            .enumerate()
            .map(|(from, depth)| {
                let known = (!depth.is_nan()).then(|| micrometres(*depth, unit));
                Amount {
                    from,
                    hours: 1,
                    low_um: known.unwrap_or(0),
                    high_um: known,
                }
            })
            .collect();
        Self::with_sums(depths.len(), amounts, unit)
    }

    /// The unit in which the file gave them.
    #[must_use]
    pub fn unit(&self) -> Unit {
        self.unit
    }

    /// Hours covered.
    #[must_use]
    pub fn hours(&self) -> usize {
        self.of_hour.len()
    }

    /// The amounts in order.
    #[must_use]
    pub fn amounts(&self) -> &[Amount] {
        &self.parts
    }

    /// The amount that an hour belongs to.
    #[must_use]
    pub fn of_hour(&self, hour: usize) -> Option<&Amount> {
        self.parts.get(*self.of_hour.get(hour)? as usize)
    }

    /// Sum over the hours `from..to`, exact where it covers whole amounts. Hours past the end are unknown.
    ///
    /// An amount that lies partly inside counts between nothing and all of it.
    #[must_use]
    pub fn sum(&self, from: usize, to: usize) -> AmountSum {
        let end = to.min(self.hours());
        let at = |sums: &[Sum], hour: usize| sums.get(hour).copied().unwrap_or_default();
        if from >= end {
            return AmountSum {
                low_um: 0,
                high_um: (to <= self.hours()).then_some(0),
            };
        }
        let (begun_from, begun_to) = (at(&self.begun, from), at(&self.begun, end));
        let (ended_from, ended_to) = (at(&self.ended, from), at(&self.ended, end));
        let unknown = begun_to.unknown - ended_from.unknown;
        AmountSum {
            low_um: (ended_to.low_um - begun_from.low_um).max(0),
            high_um: (unknown == 0 && to <= self.hours())
                .then_some(begun_to.high_um - ended_from.high_um),
        }
    }
}

/// Spread that a forecast itself gives: its 10th and 90th percentiles, hour by hour, NaN where it gives none.
#[derive(Debug, Clone, PartialEq)]
pub struct Percentiles {
    /// What they are percentiles of.
    pub element: Element,
    /// 10th percentile, in `unit`.
    pub p10: Vec<f64>,
    /// 90th percentile, in `unit`.
    pub p90: Vec<f64>,
    /// Their unit.
    pub unit: Unit,
}

/// Weather hour by hour at one place.
#[derive(Debug, Clone, PartialEq)]
pub struct HourlySeries {
    start: i64,
    forecast_from: usize,
    has_row: Vec<bool>,
    columns: [Option<Column>; 9],
    rain: Option<Amounts>,
    snow: Option<Amounts>,
    percentiles: Vec<Percentiles>,
}

impl HourlySeries {
    /// Hours from `start` \[s since 1970 UTC\] on, without any column yet; `has_row` tells which hours the file has.
    ///
    /// # Errors
    /// [`SeriesError::Empty`] and [`SeriesError::TooLong`].
    ///
    /// ```
    /// use fairspell::{quantity::Unit, series::{Column, Element, HourlySeries}};
    /// let mut series = HourlySeries::new(1_800_000_000, vec![true; 3])?;
    /// series.set_column(Element::Temperature, Column::exact(vec![40.0, f64::NAN, 42.0], Unit::Fahrenheit))?;
    /// assert_eq!(series.column(Element::Temperature).and_then(|c| c.at(1, Unit::Celsius)), None);
    /// # Ok::<(), fairspell::error::SeriesError>(())
    /// ```
    pub fn new(start: i64, has_row: Vec<bool>) -> Result<Self, SeriesError> {
        match has_row.len() {
            0 => Err(SeriesError::Empty),
            found if found > MAX_HOURS => Err(SeriesError::TooLong {
                limit: MAX_HOURS,
                found,
            }),
            _ => Ok(Self {
                start,
                forecast_from: 0,
                has_row,
                columns: [const { None }; 9],
                rain: None,
                snow: None,
                percentiles: Vec::new(),
            }),
        }
    }

    /// Adds a column; for rain and snow, exact depths of each hour.
    ///
    /// # Errors
    /// [`SeriesError::Length`] and [`SeriesError::Unit`].
    pub fn set_column(&mut self, element: Element, column: Column) -> Result<(), SeriesError> {
        if matches!(element, Element::Rain | Element::Snow) {
            return self.set_amounts(element, Amounts::hourly(column.low(), column.unit));
        }
        self.check(element, column.hours(), column.unit)?;
        if let Some(place) = self.columns.get_mut(element.index()) {
            *place = Some(column);
        }
        Ok(())
    }

    /// Adds amounts of rain or snow.
    ///
    /// # Errors
    /// [`SeriesError::Length`] and [`SeriesError::Unit`] (also for an element that is no amount).
    pub fn set_amounts(&mut self, element: Element, amounts: Amounts) -> Result<(), SeriesError> {
        self.check(element, amounts.hours(), amounts.unit)?;
        match element {
            Element::Rain => self.rain = Some(amounts),
            Element::Snow => self.snow = Some(amounts),
            _ => {
                return Err(SeriesError::Unit {
                    expected: "rain or snow",
                    of: element.name(),
                    found: "an amount",
                });
            }
        }
        Ok(())
    }

    /// Adds the spread that the forecast gives of an element.
    ///
    /// # Errors
    /// [`SeriesError::Length`] and [`SeriesError::Unit`].
    pub fn add_percentiles(&mut self, percentiles: Percentiles) -> Result<(), SeriesError> {
        self.check(percentiles.element, percentiles.p10.len(), percentiles.unit)?;
        self.check(percentiles.element, percentiles.p90.len(), percentiles.unit)?;
        self.percentiles.push(percentiles);
        Ok(())
    }

    fn check(&self, element: Element, found: usize, unit: Unit) -> Result<(), SeriesError> {
        if found != self.hours() {
            return Err(SeriesError::Length {
                expected: self.hours(),
                found,
            });
        }
        if unit.kind() != element.kind() {
            let (expected, of, found) = (element.kind().expected(), element.name(), unit.symbol());
            return Err(SeriesError::Unit {
                expected,
                of,
                found,
            });
        }
        Ok(())
    }

    /// First hour's beginning \[s since 1970 UTC\].
    #[must_use]
    pub fn start(&self) -> i64 {
        self.start
    }

    /// Number of hours.
    #[must_use]
    pub fn hours(&self) -> usize {
        self.has_row.len()
    }

    /// End of the last hour \[s since 1970 UTC\].
    #[must_use]
    pub fn end(&self) -> i64 {
        self.time(self.hours())
    }

    /// Beginning of an hour \[s since 1970 UTC\]; hours past the end go on.
    #[must_use]
    pub fn time(&self, hour: usize) -> i64 {
        i64::try_from(hour).map_or(i64::MAX, |hour| {
            self.start.saturating_add(hour.saturating_mul(HOUR_S))
        })
    }

    /// The first hour that begins at or after `time`; may lie before 0 or past the end.
    #[must_use]
    pub fn first_hour_from(&self, time: i64) -> i64 {
        let past = time.saturating_sub(self.start);
        past.div_euclid(HOUR_S) + i64::from(past.rem_euclid(HOUR_S) > 0)
    }

    /// First hour of the forecast; hours before it are observed. 0 where nothing was observed.
    #[must_use]
    pub fn forecast_from(&self) -> usize {
        self.forecast_from
    }

    /// Whether the file has a row for an hour.
    #[must_use]
    pub fn has_row(&self, hour: usize) -> bool {
        self.has_row.get(hour).copied().unwrap_or(false)
    }

    /// A column, if the file has it; rain and snow are [`Self::amounts`].
    #[must_use]
    pub fn column(&self, element: Element) -> Option<&Column> {
        self.columns.get(element.index()).and_then(Option::as_ref)
    }

    /// Amounts of rain or snow, if the file has them.
    #[must_use]
    pub fn amounts(&self, element: Element) -> Option<&Amounts> {
        match element {
            Element::Rain => self.rain.as_ref(),
            Element::Snow => self.snow.as_ref(),
            _ => None,
        }
    }

    /// The spread that the forecast gives of an element.
    #[must_use]
    pub fn percentiles(&self, element: Element) -> Option<&Percentiles> {
        self.percentiles
            .iter()
            .find(|percentiles| percentiles.element == element)
    }

    /// Whether the file has an element, be it all blank.
    #[must_use]
    pub fn has(&self, element: Element) -> bool {
        self.column(element).is_some() || self.amounts(element).is_some()
    }

    /// This forecast with observed hours before it. The forecast takes over at its first hour; what was observed
    /// from then on is left out, and so is an element that the forecast does not have.
    ///
    /// # Errors
    /// [`SeriesError::Phase`] if the hours begin at different minutes, [`SeriesError::TooLong`].
    pub fn with_observed(&self, observed: &Self) -> Result<Self, SeriesError> {
        let before = self.hours_after(observed)?;
        if before == 0 {
            return Ok(self.clone());
        }
        let mut has_row: Vec<bool> = (0..before).map(|hour| observed.has_row(hour)).collect();
        has_row.extend_from_slice(&self.has_row);
        let mut joined = Self::new(observed.start, has_row)?;
        joined.forecast_from = before;
        for element in Element::ALL {
            if let Some(column) = self.column(element) {
                joined.set_column(element, column.after(observed.column(element), before))?;
            }
            if let Some(amounts) = self.amounts(element) {
                joined.set_amounts(element, amounts.after(observed.amounts(element), before))?;
            }
        }
        for spread in &self.percentiles {
            joined.add_percentiles(spread.after(before))?;
        }
        Ok(joined)
    }

    /// Hours from the first of `observed` to this forecast's first; 0 where there are none.
    fn hours_after(&self, observed: &Self) -> Result<usize, SeriesError> {
        let apart = self.start.saturating_sub(observed.start);
        if apart.rem_euclid(HOUR_S) != 0 {
            let minute = |series: &Self| series.start.rem_euclid(HOUR_S) / 60;
            return Err(SeriesError::Phase {
                expected: minute(self),
                found: minute(observed),
            });
        }
        let before = usize::try_from(apart / HOUR_S).unwrap_or(0);
        if before > MAX_HOURS - self.hours() {
            let found = before.saturating_add(self.hours());
            return Err(SeriesError::TooLong {
                limit: MAX_HOURS,
                found,
            });
        }
        Ok(before)
    }
}

impl Percentiles {
    fn after(&self, before: usize) -> Self {
        let shifted = |values: &[f64]| {
            let past = core::iter::repeat_n(f64::NAN, before);
            past.chain(values.iter().copied()).collect()
        };
        Self {
            p10: shifted(&self.p10),
            p90: shifted(&self.p90),
            ..*self
        }
    }
}

impl Column {
    fn after(&self, observed: Option<&Self>, before: usize) -> Self {
        let joined = |own: &[f64], past: Option<&[f64]>| -> Vec<f64> {
            let past = past.unwrap_or_default();
            let mut values: Vec<f64> = past.iter().copied().take(before).collect();
            values.resize(before, f64::NAN);
            values.extend_from_slice(own);
            values
        };
        let bounded = self.is_bounded() || observed.is_some_and(Self::is_bounded);
        Self {
            low: joined(&self.low, observed.map(Self::low)),
            high: bounded.then(|| joined(self.high(), observed.map(Self::high))),
            unit: self.unit,
            earlier: observed.map(|past| (before, past.unit)),
        }
    }
}

impl Amounts {
    fn after(&self, observed: Option<&Self>, before: usize) -> Self {
        let mut amounts: Vec<Amount> = observed
            .map(|past| {
                past.parts
                    .iter()
                    .copied()
                    .filter(|amount| amount.from < before)
                    .collect()
            })
            .unwrap_or_default();
        if let Some(last) = amounts
            .last_mut()
            .filter(|last| last.from + last.hours > before)
        {
            (last.hours, last.low_um) = (before - last.from, 0);
        }
        amounts.extend(self.parts.iter().map(|amount| Amount {
            from: amount.from + before,
            ..*amount
        }));
        Self::new(self.hours() + before, &amounts, self.unit)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn amount(from: usize, hours: usize, um: i64) -> Amount {
        Amount {
            from,
            hours,
            low_um: um,
            high_um: Some(um),
        }
    }

    /// The contract's own case (section 5, bounded values): six hours with 2 mm in them.
    #[test]
    fn sums_over_whole_amounts_are_exact_and_over_parts_are_bounds() {
        let rain = Amounts::new(
            8,
            &[amount(0, 1, 0), amount(1, 6, 2000), amount(7, 1, 5)],
            Unit::Millimetre,
        );
        for (from, to, low_um, high_um) in [
            (0, 7, 2000, Some(2000)),
            (0, 8, 2005, Some(2005)),
            (2, 4, 0, Some(2000)),
            (5, 8, 5, Some(2005)),
            (0, 1, 0, Some(0)),
            (7, 9, 5, None),
        ] {
            assert_eq!(
                rain.sum(from, to),
                AmountSum { low_um, high_um },
                "{from}..{to}"
            );
        }
    }

    /// Arithmetic by hand: the sums agree with a plain walk over the amounts.
    #[test]
    fn hours_that_no_amount_covers_are_unknown() {
        let rain = Amounts::new(5, &[amount(1, 2, 300)], Unit::Millimetre);
        assert_eq!(
            rain.sum(1, 3),
            AmountSum {
                low_um: 300,
                high_um: Some(300)
            }
        );
        assert_eq!(
            rain.sum(0, 3),
            AmountSum {
                low_um: 300,
                high_um: None
            }
        );
        assert_eq!(
            rain.sum(3, 5),
            AmountSum {
                low_um: 0,
                high_um: None
            }
        );
        assert_eq!(rain.of_hour(2).map(|a| (a.from, a.hours)), Some((1, 2)));
    }

    /// The contract, section 5, sums of rain: whole micrometres, any amount above 0 counts as at least 1.
    #[test]
    fn depths_become_whole_micrometres() {
        assert_eq!(micrometres(0.01, Unit::Inch), 254);
        assert_eq!(micrometres(0.1, Unit::Inch), 2540);
        assert_eq!(micrometres(2.5, Unit::Millimetre), 2500);
        assert_eq!(micrometres(1e-9, Unit::Millimetre), 1);
        assert_eq!(micrometres(-0.0, Unit::Millimetre), 0);
    }

    /// The contract, section 5, hours before the file: the forecast takes over at its first hour.
    #[test]
    fn observed_hours_stand_before_the_forecast() {
        let series = |start: i64, values: Vec<f64>, unit: Unit| {
            let mut series = HourlySeries::new(start, vec![true; values.len()]).unwrap();
            series
                .set_column(
                    Element::Rain,
                    Column::exact(vec![1.0; values.len()], Unit::Millimetre),
                )
                .unwrap();
            series
                .set_column(Element::Temperature, Column::exact(values, unit))
                .unwrap();
            series
        };
        let forecast = series(7200, vec![50.0, 51.0], Unit::Fahrenheit);
        let observed = series(-3600, vec![5.0, 6.0, 7.0, 8.0], Unit::Celsius);
        let joined = forecast.with_observed(&observed).unwrap();
        assert_eq!(
            (joined.start(), joined.hours(), joined.forecast_from()),
            (-3600, 5, 3)
        );
        let temperature = joined.column(Element::Temperature).unwrap();
        assert_eq!(temperature.low(), [5.0, 6.0, 7.0, 50.0, 51.0]);
        assert_eq!(
            (temperature.unit_at(2), temperature.unit_at(3)),
            (Unit::Celsius, Unit::Fahrenheit)
        );
        assert_eq!(
            joined.amounts(Element::Rain).unwrap().sum(0, 5).low_um,
            5000
        );
        let half_past = series(1800, vec![5.0], Unit::Celsius);
        assert_eq!(
            forecast.with_observed(&half_past),
            Err(SeriesError::Phase {
                expected: 0,
                found: 30
            })
        );
    }
}
