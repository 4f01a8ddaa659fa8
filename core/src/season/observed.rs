//! This year so far: the observed beginning of the winter in the place of each year's own.

use chrono::{Days, NaiveDate, TimeDelta};

use super::SoFar;
use super::winter::{Winter, same_day, winters};
use crate::freeze::{PERCENTS, Window, YearDate};
use crate::plant::DegreeDays;
use crate::quantity::Unit;
use crate::series::DailySeries;
use crate::statistics::quantile;

/// Degree days so few that being ahead or behind means nothing \[C·d\]. Ours: a warm week in midwinter.
pub const LEAST_SUM_C_DAYS: f64 = 5.0;

/// The winter that is under way.
pub(super) struct UnderWay<'a> {
    observed: &'a DailySeries,
    window: Window,
    year: i32,
    /// The day after the last whole one observed.
    pub(super) until: NaiveDate,
}

impl<'a> UnderWay<'a> {
    /// What was observed of the season; `None` if no day of it was, or not its first.
    pub(super) fn new(observed: &'a DailySeries, window: Window, year: i32) -> Option<Self> {
        let (first, end) = window.dates(year)?;
        let start = usize::try_from(observed.day_of(first)).ok()?;
        let last = usize::try_from(observed.day_of(end)).ok()?;
        let days = observed.tmin().iter().zip(observed.tmax()?);
        let is_known = |(tmin, tmax): (&f64, &f64)| !tmin.is_nan() && !tmax.is_nan();
        let known = days
            .enumerate()
            .filter(|(day, both)| (start..=last).contains(day) && is_known(*both))
            .map(|(day, _)| day)
            .max()?;
        let after = TimeDelta::days(i64::try_from(known).ok()? + 1);
        Some(Self {
            observed,
            window,
            year,
            until: observed.first().checked_add_signed(after)?,
        })
    }

    /// Whether the half goes on after what was observed.
    pub(super) fn is_before_the_end(&self) -> bool {
        let end = self.window.dates(self.year).map(|(_, end)| end);
        end.is_some_and(|end| self.until <= end)
    }

    /// The observed beginning of the winter; `None` if a day of it is unknown.
    pub(super) fn winter(&self, degree_days: DegreeDays) -> Option<Winter> {
        let all = winters(self.observed, self.window, degree_days)?;
        let own = all.into_iter().find(|winter| winter.year == self.year)?;
        own.sum_before(own.day_of(self.until))
            .is_some()
            .then_some(own)
    }

    /// The winters of the record, each with the observed beginning.
    pub(super) fn carried(
        &self,
        winters: &[Winter],
        degree_days: DegreeDays,
    ) -> Option<Vec<Winter>> {
        let own = self.winter(degree_days)?;
        let carried = winters
            .iter()
            .filter_map(|winter| winter.beginning_as(&own, self.until));
        Some(carried.collect())
    }

    /// Last freezes: those of the years that came after the observed days, else the last that was observed.
    pub(super) fn freezes(&self, years: &[YearDate], own: &[YearDate]) -> Vec<YearDate> {
        let observed = own.iter().find(|year| year.year == self.year);
        let observed = observed
            .and_then(|year| year.date)
            .filter(|date| *date < self.until);
        let of = |year: &YearDate| {
            let (first, _) = self.window.dates(year.year)?;
            let (own_first, _) = self.window.dates(self.year)?;
            let turn = same_day(self.until, own_first, first)?;
            let later = year.date.filter(|date| *date >= turn);
            let earlier = || same_day(observed?, own_first, first);
            let date = later.or_else(earlier);
            Some(YearDate {
                date,
                day: date.map(|date| self.window.day(date)),
                ..*year
            })
        };
        years.iter().filter_map(of).collect()
    }

    /// How far ahead or behind the season is.
    pub(super) fn so_far(&self, winters: &[Winter], degree_days: DegreeDays) -> Option<SoFar> {
        let own = self.winter(degree_days)?;
        let day = own.day_of(self.until);
        let sum = own.sum_before(day)?;
        let turn =
            |winter: &Winter| Some(winter.day_of(same_day(self.until, own.first, winter.first)?));
        let mut sums: Vec<f64> = winters
            .iter()
            .filter_map(|winter| winter.sum_before(turn(winter)?))
            .collect();
        sums.sort_by(f64::total_cmp);
        let unit = degree_days.unit().difference();
        let c_days = |sum: f64| unit.convert(sum, Unit::CelsiusDifference);
        Some(SoFar {
            until: self.until.checked_sub_days(Days::new(1))?,
            degree_days: c_days(sum),
            usual: PERCENTS.map(|percent| quantile(&sums, percent).map(c_days)),
            days_ahead: (c_days(sum) >= LEAST_SUM_C_DAYS)
                .then(|| days_ahead(winters, sum, turn))
                .flatten(),
        })
    }
}

/// The median over the years of how many days later than now the sum was reached.
fn days_ahead(
    winters: &[Winter],
    sum: f64,
    turn: impl Fn(&Winter) -> Option<usize>,
) -> Option<i64> {
    use super::winter::Reach;
    let ahead = |winter: &Winter| {
        let now = i64::try_from(turn(winter)?).ok()?;
        match winter.reached(0, sum) {
            Reach::On(day) => Some((i64::try_from(day).ok()? + 1 - now) as f64),
            Reach::Never => Some(f64::INFINITY),
            Reach::Unknown => None,
        }
    };
    let mut all: Vec<f64> = winters.iter().filter_map(ahead).collect();
    all.sort_by(f64::total_cmp);
    let median = quantile(&all, 50).filter(|days| days.is_finite())?;
    #[expect(clippy::cast_possible_truncation, reason = "days of a half")]
    let days = median.round() as i64;
    Some(days)
}
