//! Reports of GHCN-Hourly on their way to hours.

use super::super::clean::{dew_point_notice, settle_dew_points};
use super::super::totals::{Rain, Total};
use super::super::{
    Format, Issued, MAX_FILE_HOURS, Notice, Position, Reading, Source, fault_whole, series_problem,
};
use crate::error::{ReadError, ReadProblem, SeriesError};
use crate::quantity::Unit;
use crate::series::{Column, Element, HOUR_S, HourlySeries};

/// Most values of a report.
const VALUES: usize = 5;

/// A report: its time, and what holds at it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Report {
    time: i64,
    values: [f64; VALUES],
}

impl Report {
    pub(super) fn at(time: i64) -> Self {
        let values = [f64::NAN; VALUES];
        Self { time, values }
    }

    pub(super) fn put(&mut self, place: usize, value: f64) {
        if let Some(own) = self.values.get_mut(place) {
            *own = value;
        }
    }
}

/// Rain of a report over some hours.
#[derive(Debug, Clone, Copy)]
pub(super) struct Depth {
    pub(super) hours: usize,
    pub(super) low_um: i64,
    pub(super) high_um: i64,
}

impl Depth {
    pub(super) fn exact(hours: usize, um: i64) -> Self {
        Self {
            hours,
            low_um: um,
            high_um: um,
        }
    }
}

/// All reports of a file.
#[derive(Debug, Default)]
pub(super) struct Reports {
    all: Vec<Report>,
    rain: Vec<(i64, Depth)>,
}

impl Reports {
    pub(super) fn add(&mut self, report: Report) {
        self.all.push(report);
    }

    pub(super) fn rain(&mut self, time: i64, depth: Depth) {
        self.rain.push((time, depth));
    }

    /// The hours of the reports, with the measures that the file has, in the order of the reports' values.
    pub(super) fn into_reading(
        mut self,
        source: Source<'_>,
        elements: &[(Element, Unit)],
        position: Option<Position>,
    ) -> Result<Reading, ReadError> {
        let times = || self.all.iter().map(|report| report.time);
        let (Some(first), Some(last)) = (times().min(), times().max()) else {
            let expected = "at least one report";
            return Err(fault_whole(source, ReadProblem::Absent { expected }));
        };
        let start = first - first.rem_euclid(HOUR_S);
        let hours = (last - start) / HOUR_S + 1;
        if hours > MAX_FILE_HOURS {
            let (limit, of) = (MAX_FILE_HOURS.unsigned_abs(), "hours from first to last");
            return Err(fault_whole(source, ReadProblem::TooMuch { limit, of }));
        }
        let hours = usize::try_from(hours).unwrap_or(0);
        let above = self.settle(elements);
        let rain = self.rain_of(start, hours);
        let long = rain.long();
        let series = self.series((start, hours), elements, rain);
        let series = series.map_err(|error| fault_whole(source, series_problem(error)))?;
        let file = source.name.to_owned();
        let long = (long > 0).then_some(Notice::LongSteps { file, count: long });
        Ok(Reading {
            members: vec![series],
            issued: Issued::Unknown,
            position,
            format: Format::GhcnHourly,
            notices: dew_point_notice(source, above)
                .into_iter()
                .chain(long)
                .collect(),
        })
    }

    /// Settles the dew points; how many reports had one above the temperature.
    fn settle(&mut self, elements: &[(Element, Unit)]) -> u64 {
        let place = |wanted| elements.iter().position(|(element, _)| *element == wanted);
        let (Some(t), Some(td)) = (place(Element::Temperature), place(Element::DewPoint)) else {
            return 0;
        };
        let values = |place: usize| -> Vec<f64> {
            let values = self.all.iter().map(|report| report.values.get(place));
            values
                .map(|value| value.copied().unwrap_or(f64::NAN))
                .collect()
        };
        let (mut warm, mut dew) = (values(t), values(td));
        let above = settle_dew_points((&mut warm, Unit::Celsius), (&mut dew, Unit::Celsius));
        for (report, (warm, dew)) in self.all.iter_mut().zip(warm.into_iter().zip(dew)) {
            report.put(t, warm);
            report.put(td, dew);
        }
        above
    }

    fn rain_of(&mut self, start: i64, hours: usize) -> Rain {
        self.rain.sort_by_key(|(time, _)| *time);
        let total = |(time, depth): &(i64, Depth)| Total {
            end: (time - start + HOUR_S / 2 - 1).div_euclid(HOUR_S),
            hours: depth.hours,
            low_um: depth.low_um,
            high_um: depth.high_um,
        };
        let totals: Vec<Total> = self.rain.iter().map(total).collect();
        Rain::of(&totals, hours)
    }

    fn series(
        &self,
        (start, hours): (i64, usize),
        elements: &[(Element, Unit)],
        rain: Rain,
    ) -> Result<HourlySeries, SeriesError> {
        let hour = |report: &Report| usize::try_from((report.time - start) / HOUR_S).ok();
        let mut rows = vec![false; hours];
        for report in &self.all {
            if let Some(row) = hour(report).and_then(|hour| rows.get_mut(hour)) {
                *row = true;
            }
        }
        let mut series = HourlySeries::new(start, rows)?;
        let values = elements
            .iter()
            .filter(|(element, _)| *element != Element::Rain);
        for (place, (element, unit)) in values.enumerate() {
            let (mut low, mut high) = (vec![f64::NAN; hours], vec![f64::NAN; hours]);
            for report in &self.all {
                let value = report.values.get(place).copied().unwrap_or(f64::NAN);
                let hour = hour(report);
                let own = hour.and_then(|hour| Some((low.get_mut(hour)?, high.get_mut(hour)?)));
                if let Some((low, high)) = own {
                    (*low, *high) = (low.min(value), high.max(value));
                }
            }
            series.set_column(*element, Column::bounded(low, high, *unit))?;
        }
        if elements
            .iter()
            .any(|(element, _)| *element == Element::Rain)
        {
            series.set_amounts(Element::Rain, rain.into_amounts(Unit::Millimetre))?;
        }
        Ok(series)
    }
}
