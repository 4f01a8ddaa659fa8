//! Past hours of a station: as a series, or as plain columns that take little room, and parts of either as a series.
//!
//! Decades of hours of many stations are judged a part at a time: a part is a series of its own, with every amount that
//! its edges would cut left whole, so that a span which lies within the part finds in it what it finds in the whole.

use super::{Amount, Amounts, Column, Element, HourlySeries, MAX_HOURS};
use crate::error::SeriesError;
use crate::quantity::Unit;

/// Exact values hour by hour; NaN is missing.
#[derive(Debug, Clone, PartialEq)]
pub struct PlainHours {
    start: i64,
    /// Which hours have a row; `None`: all of them.
    has_row: Option<Vec<bool>>,
    measures: Vec<(Element, Unit)>,
    /// The values of an hour together, in the order of the measures.
    values: Vec<f64>,
}

impl PlainHours {
    /// Hours from `start` \[s since 1970 UTC\] on; `has_row` tells which of them the file has, `None`: all.
    ///
    /// - `measures`: what is measured, none twice.
    /// - `values`: those of the first hour in the order of the measures, then those of the second, and so on.
    ///
    /// # Errors
    /// [`SeriesError`] if there is no hour or there are too many, or the values do not fit.
    pub fn new(
        start: i64,
        has_row: Option<Vec<bool>>,
        measures: Vec<(Element, Unit)>,
        values: Vec<f64>,
    ) -> Result<Self, SeriesError> {
        let hours = values.len() / measures.len().max(1);
        let expected = has_row.as_ref().map_or(hours, Vec::len) * measures.len();
        if expected == 0 {
            return Err(SeriesError::Empty);
        }
        if hours > MAX_HOURS {
            let (limit, found) = (MAX_HOURS, hours);
            return Err(SeriesError::TooLong { limit, found });
        }
        if values.len() != expected {
            let found = values.len();
            return Err(SeriesError::Length { expected, found });
        }
        let is_wrong = |(element, unit): &&(Element, Unit)| unit.kind() != element.kind();
        if let Some((element, unit)) = measures.iter().find(is_wrong) {
            return Err(SeriesError::Unit {
                expected: element.kind().expected(),
                of: element.name(),
                found: unit.symbol(),
            });
        }
        Ok(Self {
            start,
            has_row: has_row.filter(|rows| rows.contains(&false)),
            measures,
            values,
        })
    }

    fn hours(&self) -> usize {
        self.values.len() / self.measures.len().max(1)
    }

    /// The values of the measure of a place, in the hours `from..to`.
    fn column(&self, place: usize, (from, to): (usize, usize)) -> impl Iterator<Item = f64> {
        let count = self.measures.len();
        let rows = self
            .values
            .get(from * count..to * count)
            .unwrap_or_default();
        rows.iter().skip(place).step_by(count).copied()
    }

    fn part(&self, from: usize, to: usize) -> Result<HourlySeries, SeriesError> {
        let rows = match &self.has_row {
            Some(rows) => rows.get(from..to).unwrap_or_default().to_vec(),
            None => vec![true; to.saturating_sub(from)],
        };
        let mut part = HourlySeries::new(shifted(self.start, from), rows)?;
        for (place, (element, unit)) in self.measures.iter().enumerate() {
            let values: Vec<f64> = self.column(place, (from, to)).collect();
            part.set_column(*element, Column::exact(values, *unit))?;
        }
        Ok(part)
    }
}

/// Past hours of one station.
#[derive(Debug, Clone, PartialEq)]
pub enum Hours {
    /// With bounds, or amounts over several hours.
    Series(Box<HourlySeries>),
    /// Exact values alone.
    Plain(PlainHours),
}

impl From<HourlySeries> for Hours {
    fn from(series: HourlySeries) -> Self {
        Self::Series(Box::new(series))
    }
}

impl Hours {
    /// First hour's beginning \[s since 1970 UTC\].
    #[must_use]
    pub fn start(&self) -> i64 {
        match self {
            Self::Series(series) => series.start(),
            Self::Plain(plain) => plain.start,
        }
    }

    /// Number of hours.
    #[must_use]
    pub fn hours(&self) -> usize {
        match self {
            Self::Series(series) => series.hours(),
            Self::Plain(plain) => plain.hours(),
        }
    }

    /// Beginning of an hour \[s since 1970 UTC\]; hours past the end go on.
    #[must_use]
    pub fn time(&self, hour: usize) -> i64 {
        shifted(self.start(), hour)
    }

    /// The hours `from..to` as a series, and the hour with which it begins: a little before `from`, and ending a little
    /// after `to`, where an amount over several hours would else be cut.
    ///
    /// # Errors
    /// [`SeriesError::Empty`] for no hour.
    ///
    /// ```
    /// use fairspell::{quantity::Unit, series::{Element, Hours, PlainHours}};
    /// let measures = vec![(Element::Temperature, Unit::Fahrenheit)];
    /// let past = Hours::Plain(PlainHours::new(0, None, measures, vec![40.0, 41.0, 42.0])?);
    /// let (part, from) = past.part(1, 3)?;
    /// assert_eq!((part.start(), part.hours(), from), (3600, 2, 1));
    /// # Ok::<(), fairspell::error::SeriesError>(())
    /// ```
    pub fn part(&self, from: usize, to: usize) -> Result<(HourlySeries, usize), SeriesError> {
        let to = to.min(self.hours());
        match self {
            Self::Plain(plain) => Ok((plain.part(from, to)?, from)),
            Self::Series(series) => {
                let (from, to) = series.whole_amounts(from, to);
                Ok((series.part(from, to)?, from))
            }
        }
    }

    /// How many hours have a row.
    #[must_use]
    pub fn rows(&self) -> usize {
        match self {
            Self::Series(series) => (0..series.hours())
                .filter(|hour| series.has_row(*hour))
                .count(),
            Self::Plain(plain) => match &plain.has_row {
                Some(rows) => rows.iter().filter(|has| **has).count(),
                None => plain.hours(),
            },
        }
    }

    /// How many hours of an element are known at all; `None`: the file does not have it.
    #[must_use]
    pub fn known(&self, element: Element) -> Option<usize> {
        let is_known = |value: &f64| !value.is_nan();
        match self {
            Self::Series(series) => {
                if let Some(amounts) = series.amounts(element) {
                    let known = amounts
                        .amounts()
                        .iter()
                        .filter(|part| part.high_um.is_some());
                    return Some(known.map(|part| part.hours).sum());
                }
                let low = series.column(element)?.low();
                Some(low.iter().copied().filter(is_known).count())
            }
            Self::Plain(plain) => {
                let is_it = |measure: &(Element, Unit)| measure.0 == element;
                let place = plain.measures.iter().position(is_it)?;
                Some(
                    plain
                        .column(place, (0, plain.hours()))
                        .filter(is_known)
                        .count(),
                )
            }
        }
    }
}

fn shifted(start: i64, hours: usize) -> i64 {
    let hours = i64::try_from(hours).unwrap_or(i64::MAX);
    start.saturating_add(hours.saturating_mul(super::HOUR_S))
}

impl HourlySeries {
    /// The hours `from..to`, and as many around them as leave every amount whole.
    fn whole_amounts(&self, mut from: usize, mut to: usize) -> (usize, usize) {
        loop {
            let before = (from, to);
            for amounts in [&self.rain, &self.snow].into_iter().flatten() {
                if let Some(first) = amounts.of_hour(from) {
                    from = from.min(first.from);
                }
                if let Some(last) = to.checked_sub(1).and_then(|hour| amounts.of_hour(hour)) {
                    to = to.max(last.from + last.hours);
                }
            }
            if before == (from, to) {
                return before;
            }
        }
    }

    /// The hours `from..to` as a series of their own.
    fn part(&self, from: usize, to: usize) -> Result<Self, SeriesError> {
        let rows = self.has_row.get(from..to).unwrap_or_default().to_vec();
        let mut part = Self::new(self.time(from), rows)?;
        for element in Element::ALL {
            if let Some(column) = self.column(element) {
                part.set_column(element, column.part(from, to))?;
            }
            if let Some(amounts) = self.amounts(element) {
                part.set_amounts(element, amounts.part(from, to))?;
            }
        }
        Ok(part)
    }
}

impl Column {
    fn part(&self, from: usize, to: usize) -> Self {
        let cut = |values: &[f64]| values.get(from..to).unwrap_or_default().to_vec();
        Self {
            low: cut(&self.low),
            high: self.high.as_deref().map(cut),
            unit: self.unit,
            earlier: self
                .earlier
                .filter(|(until, _)| *until > from)
                .map(|(until, unit)| (until - from, unit)),
        }
    }
}

impl Amounts {
    fn part(&self, from: usize, to: usize) -> Self {
        let first = self.of_hour.get(from).map_or(0, |index| *index as usize);
        let parts = self.parts.get(first..).unwrap_or_default().iter();
        let parts = parts.take_while(|part| part.from < to);
        let moved = parts.map(|part| Amount {
            from: part.from.saturating_sub(from),
            ..*part
        });
        let moved: Vec<Amount> = moved.collect();
        Self::new(to.saturating_sub(from), &moved, self.unit)
    }
}
