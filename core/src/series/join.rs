//! The hours of two files of one station brought together.

use super::past::Hours;
use super::{Amount, Amounts, Column, Element, HOUR_S, HourlySeries, MAX_HOURS};
use crate::error::SeriesError;
use crate::quantity::Unit;

/// Which of the two an hour is taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Owner {
    Neither,
    First,
    Second,
}

/// The hours of both, laid on one row of hours.
struct Joint<'a> {
    start: i64,
    owners: Vec<Owner>,
    /// Each of the two, and its first hour in the row of hours.
    both: [(&'a HourlySeries, usize, Owner); 2],
}

impl Hours {
    /// The hours of two files: those of the first where it has a row, else those of the second; and how many hours both have
    /// a row for. Values in different units are brought to the computed one.
    ///
    /// # Errors
    /// [`SeriesError::Phase`] if the hours begin at different minutes, [`SeriesError::TooLong`].
    ///
    /// ```
    /// use fairspell::{quantity::Unit, series::{Element, Hours, PlainHours}};
    /// let hours = |start, values: &[f64]| {
    ///     let measures = vec![(Element::Temperature, Unit::Fahrenheit)];
    ///     PlainHours::new(start, None, measures, values.to_vec()).map(Hours::Plain)
    /// };
    /// let (both, overlap) = Hours::join(&hours(3600, &[41.0, 42.0])?, &hours(0, &[30.0, 31.0])?)?;
    /// let (series, _) = both.part(0, 3)?;
    /// let column = series.column(Element::Temperature).unwrap();
    /// assert_eq!((column.low(), overlap), (&[30.0, 41.0, 42.0][..], 1));
    /// # Ok::<(), fairspell::error::SeriesError>(())
    /// ```
    pub fn join(first: &Self, second: &Self) -> Result<(Self, usize), SeriesError> {
        let (one, _) = first.part(0, first.hours())?;
        let (two, _) = second.part(0, second.hours())?;
        let joint = Joint::of(&one, &two)?;
        let both_have = |hour: usize| {
            let has = |(series, from, _): &(&HourlySeries, usize, Owner)| {
                hour.checked_sub(*from)
                    .is_some_and(|own| series.has_row(own))
            };
            joint.both.iter().all(has)
        };
        let overlap = (0..joint.owners.len())
            .filter(|hour| both_have(*hour))
            .count();
        Ok((Self::from(joint.series()?), overlap))
    }
}

impl<'a> Joint<'a> {
    fn of(one: &'a HourlySeries, two: &'a HourlySeries) -> Result<Self, SeriesError> {
        let minute = |series: &HourlySeries| series.start.rem_euclid(HOUR_S) / 60;
        if (one.start - two.start).rem_euclid(HOUR_S) != 0 {
            let (expected, found) = (minute(one), minute(two));
            return Err(SeriesError::Phase { expected, found });
        }
        let start = one.start.min(two.start);
        let hours = usize::try_from((one.end().max(two.end()) - start) / HOUR_S).unwrap_or(0);
        if hours > MAX_HOURS {
            let (limit, found) = (MAX_HOURS, hours);
            return Err(SeriesError::TooLong { limit, found });
        }
        let at = |series: &HourlySeries| usize::try_from((series.start - start) / HOUR_S);
        let place = |series| at(series).unwrap_or(0);
        let both = [
            (two, place(two), Owner::Second),
            (one, place(one), Owner::First),
        ];
        let mut owners = vec![Owner::Neither; hours];
        for (series, from, owner) in both {
            let own = owners.get_mut(from..).unwrap_or_default();
            for (place, has_row) in own.iter_mut().zip(&series.has_row) {
                if *has_row {
                    *place = owner;
                }
            }
        }
        Ok(Self {
            start,
            owners,
            both,
        })
    }

    fn series(&self) -> Result<HourlySeries, SeriesError> {
        let rows = self.owners.iter().map(|owner| *owner != Owner::Neither);
        let mut series = HourlySeries::new(self.start, rows.collect())?;
        for element in Element::ALL {
            if self
                .both
                .iter()
                .any(|(series, ..)| series.column(element).is_some())
            {
                series.set_column(element, self.column(element))?;
            }
            if self
                .both
                .iter()
                .any(|(series, ..)| series.amounts(element).is_some())
            {
                series.set_amounts(element, self.amounts(element))?;
            }
        }
        Ok(series)
    }

    fn column(&self, element: Element) -> Column {
        let columns = || {
            self.both
                .iter()
                .filter_map(|(series, ..)| series.column(element))
        };
        let mut units = columns().map(Column::single_unit);
        let first = units.next().flatten();
        let unit = first.filter(|first| units.all(|unit| unit == Some(*first)));
        let unit = unit.unwrap_or(element.kind().si());
        let mut low = vec![f64::NAN; self.owners.len()];
        let mut high = low.clone();
        for (series, from, owner) in &self.both {
            let Some(column) = series.column(element) else {
                continue;
            };
            for hour in
                (0..column.hours()).filter(|hour| self.owners.get(from + hour) == Some(owner))
            {
                let (Some((least, most)), Some(low), Some(high)) = (
                    column.at(hour, unit),
                    low.get_mut(from + hour),
                    high.get_mut(from + hour),
                ) else {
                    continue;
                };
                (*low, *high) = (least, most);
            }
        }
        if columns().any(Column::is_bounded) {
            Column::bounded(low, high, unit)
        } else {
            Column::exact(low, unit)
        }
    }

    fn amounts(&self, element: Element) -> Amounts {
        let mut parts = Vec::new();
        let mut unit: Option<Unit> = None;
        for (series, from, owner) in &self.both {
            let Some(amounts) = series.amounts(element) else {
                continue;
            };
            unit = Some(amounts.unit());
            for part in amounts
                .amounts()
                .iter()
                .filter(|part| part.high_um.is_some() || part.low_um > 0)
            {
                self.own_parts(*part, *from, *owner, &mut parts);
            }
        }
        parts.sort_by_key(|part| part.from);
        Amounts::new(
            self.owners.len(),
            &parts,
            unit.unwrap_or(element.kind().si()),
        )
    }

    /// An amount as it is where no hour of it is taken from the other file; else the hours that are left of it, without a
    /// lower bound.
    fn own_parts(&self, part: Amount, from: usize, owner: Owner, parts: &mut Vec<Amount>) {
        let first = from + part.from;
        let other = |hour: &usize| {
            self.owners
                .get(*hour)
                .is_none_or(|own| *own != owner && *own != Owner::Neither)
        };
        if !(first..first + part.hours).any(|hour| other(&hour)) {
            parts.push(Amount {
                from: first,
                ..part
            });
            return;
        }
        for hour in (first..first + part.hours).filter(|hour| !other(hour)) {
            parts.push(Amount {
                from: hour,
                hours: 1,
                low_um: 0,
                ..part
            });
        }
    }
}
