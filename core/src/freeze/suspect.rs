//! Minima that no weather explains: too far from the station's own record for their time of year.

use core::cell::OnceCell;

use chrono::{Datelike as _, NaiveDate, TimeDelta};

use super::season::Window;
use crate::series::DailySeries;

/// Days to either side of a day that tell whether its minimum is suspect: the contract's, as the next two.
const AROUND_DAYS: i64 = 7;
/// These days of one year, the day itself among them.
const OF_A_YEAR: usize = 15;
/// Fewest minima around a day that can make one suspect.
const LEAST_AROUND: usize = 300;
/// Robust standard deviations from the median beyond which a minimum is suspect: measured on 16 records, the largest
/// sound value lies at 6.9, the one known error at 48 (after the climatological outlier check of Durre et al. 2010, J.
/// Appl. Meteor. Climatol. 49, 1615, whose own threshold differs).
const SUSPECT_AT: f64 = 10.0;
/// A median absolute deviation times this is a standard deviation of normal values: 1 / 0.6745, the contract's digits.
const PER_MEDIAN_DEVIATION: f64 = 1.4826;
/// Days of a year without 29 February, which counts as the 28th.
const DAYS_OF_YEAR: usize = 365;
/// Classes of minima in the count, each 1 °C wide, from −60 °C on; the outermost hold all beyond, and never count.
const CLASSES: usize = 120;
const LEAST_C: f64 = -60.0;

/// The test for suspect minima of one record.
pub(super) struct Suspects<'a> {
    series: &'a DailySeries,
    keeps_all: bool,
    counts: OnceCell<Counts>,
}

impl<'a> Suspects<'a> {
    /// `keeps_all`: the user wants them to count.
    pub(super) fn new(series: &'a DailySeries, keeps_all: bool) -> Self {
        Self {
            series,
            keeps_all,
            counts: OnceCell::new(),
        }
    }

    /// Whether a minimum lies more than ten robust standard deviations from the median of the record's own minima
    /// within a week of its day over all years.
    pub(super) fn holds(&self, day: usize, value: f64) -> bool {
        let most = (self.series.days() / 365 + 3) * OF_A_YEAR;
        if self.keeps_all || most < LEAST_AROUND {
            return false;
        }
        // A sound value has more than half of the others within ten degrees of it: the deviation is one at least.
        let counts = self.counts.get_or_init(|| Counts::of(self.series));
        if 2 * counts.near(self.date(day), value) > most {
            return false;
        }
        self.is_far(day, value)
    }

    /// The same by the values themselves.
    fn is_far(&self, day: usize, value: f64) -> bool {
        let known = self.around(day).flatten().filter(|other| !other.is_nan());
        let mut all: Vec<f64> = known.copied().collect();
        if all.len() < LEAST_AROUND {
            return false;
        }
        let least = self.series.unit().difference().of_si(1.0);
        let middle = median(&mut all);
        if (value - middle).abs() <= SUSPECT_AT * least {
            return false;
        }
        let mut apart: Vec<f64> = all.iter().map(|other| (other - middle).abs()).collect();
        let deviation = (PER_MEDIAN_DEVIATION * median(&mut apart)).max(least);
        (value - middle).abs() > SUSPECT_AT * deviation
    }

    fn count(&self) -> i64 {
        i64::try_from(self.series.days()).unwrap_or(i64::MAX)
    }

    fn date(&self, day: usize) -> NaiveDate {
        self.series.first() + TimeDelta::days(i64::try_from(day).unwrap_or(0))
    }

    /// The days within a week of a day of the series, in each year.
    fn around(&self, day: usize) -> impl Iterator<Item = &[f64]> {
        let date = self.date(day);
        let last = self.series.first() + TimeDelta::days(self.count() - 1);
        let month_day = if date.month() == 2 {
            date.day().min(28)
        } else {
            date.day()
        };
        let of_year = move |year: i32| {
            let middle = NaiveDate::from_ymd_opt(year, date.month(), month_day)?;
            let middle = self.series.day_of(middle);
            let place = |day: i64| usize::try_from(day.clamp(0, self.count())).ok();
            let (from, to) = (
                place(middle - AROUND_DAYS)?,
                place(middle + AROUND_DAYS + 1)?,
            );
            self.series.tmin().get(from..to)
        };
        (self.series.first().year() - 1..=last.year() + 1).filter_map(of_year)
    }
}

/// How many minima of each day of the year fall in each class, so that most values are known to be sound at once.
struct Counts {
    of_days: Vec<u16>,
    least: f64,
    per_class: f64,
    near: f64,
}

impl Counts {
    fn of(series: &DailySeries) -> Self {
        let near = series.unit().difference().of_si(SUSPECT_AT);
        let mut counts = Self {
            of_days: vec![0; DAYS_OF_YEAR * CLASSES],
            least: series.unit().of_si(LEAST_C),
            per_class: 1.0 / series.unit().difference().of_si(1.0),
            near,
        };
        let (mut year, mut row) = (series.first().year(), day_of_year(series.first()));
        let is_leap = |year| NaiveDate::from_ymd_opt(year, 2, 29).is_some();
        let (mut is_long, mut is_extra) = (is_leap(year), is_29_february(series.first()));
        for value in series.tmin() {
            let place = row * CLASSES + counts.class(*value);
            if let Some(count) = counts.of_days.get_mut(place).filter(|_| !value.is_nan()) {
                *count += 1;
            }
            if row == 58 && is_long && !is_extra {
                is_extra = true;
                continue;
            }
            (row, is_extra) = (row + 1, false);
            if row == DAYS_OF_YEAR {
                (row, year) = (0, year + 1);
                is_long = is_leap(year);
            }
        }
        counts
    }

    fn class(&self, value: f64) -> usize {
        let class = (value - self.least) * self.per_class;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "below 0 and NaN are 0, and so is meant"
        )]
        (class as usize).min(CLASSES - 1)
    }

    /// Not more than the minima within a week of a date that lie within ten degrees of a value: only whole classes count,
    /// and where 29 February may lie between only days within six days.
    fn near(&self, date: NaiveDate, value: f64) -> usize {
        let classes = self.class(value - self.near) + 1..self.class(value + self.near);
        let middle = day_of_year(date) + DAYS_OF_YEAR;
        let apart = if (2..=3).contains(&date.month()) {
            6
        } else {
            7
        };
        let rows = (middle - apart..=middle + apart).map(|row| row % DAYS_OF_YEAR * CLASSES);
        let of_row = |row: usize| {
            let counts = self.of_days.get(row + classes.start..row + classes.end);
            counts.unwrap_or_default().iter().sum::<u16>()
        };
        rows.map(|row| usize::from(of_row(row))).sum()
    }
}

/// Day of the year from 0 on, without 29 February.
fn day_of_year(date: NaiveDate) -> usize {
    Window::day_of_year(date) as usize - 1
}

fn is_29_february(date: NaiveDate) -> bool {
    date.month() == 2 && date.day() == 29
}

/// The middle value; the mean of the two middle ones of an even number. 0 of none.
fn median(values: &mut [f64]) -> f64 {
    let count = values.len();
    if count == 0 {
        return 0.0;
    }
    let (below, middle, _) = values.select_nth_unstable_by(count / 2, f64::total_cmp);
    let middle = *middle;
    if count % 2 == 1 {
        return middle;
    }
    let lower = below.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    f64::midpoint(lower, middle)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Unit;

    /// A record with gaps, a yearly swing and noise of a few degrees, in the unit; wide noise makes the median deviation
    /// count. By a linear congruential generator (Knuth, MMIX constants, from memory).
    fn record(unit: Unit, first: NaiveDate, days: usize, seed: u64, noise: f64) -> DailySeries {
        let mut state = seed;
        let mut next = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (state >> 40) as f64 / 16_777_216.0
        };
        let value = |day: usize| {
            let (gap, wild, weather) = (next(), next(), next() + next() + next() - 1.5);
            let season = -10.0 * libm::cos(day as f64 / 365.25 * core::f64::consts::TAU);
            let celsius = 5.0 + season + noise * weather + if wild < 0.01 { 40.0 } else { 0.0 };
            if gap < 0.05 {
                f64::NAN
            } else {
                unit.of_si(celsius)
            }
        };
        let tmin = (0..days).map(value).collect();
        DailySeries::new("S", first, tmin, unit, false).unwrap()
    }

    /// First days of records; that of 1970 ends on 29 December 1995.
    const FIRST: [(i32, u32, u32); 6] = [
        (1960, 1, 1),
        (1959, 12, 28),
        (1960, 2, 28),
        (1960, 2, 29),
        (1970, 4, 17),
        (1971, 3, 3),
    ];

    /// The contract, section 5: the plain definition, in the test's own words; and what the classes count is what lies in them,
    /// and never more than there is within ten degrees.
    #[test]
    fn the_count_of_classes_never_changes_the_answer() {
        let mut found = [0; 2];
        for (number, (year, month, day)) in FIRST.into_iter().enumerate() {
            let first = NaiveDate::from_ymd_opt(year, month, day).unwrap();
            for (unit, noise) in [(Unit::Celsius, 4.0), (Unit::Fahrenheit, 30.0)] {
                let series = record(unit, first, 9_000 + 97 * number, number as u64 + 1, noise);
                let suspects = Suspects::new(&series, false);
                let counts = Counts::of(&series);
                for day in (0..series.days()).step_by(41).chain([series.days() - 1]) {
                    let date = first + TimeDelta::days(day.try_into().unwrap());
                    let classes = classes_near(&series, date);
                    let all = near(&series, date);
                    let around = suspects.around(day).flatten();
                    let known = around.filter(|value| !value.is_nan()).count();
                    assert_eq!(known, all.len(), "{date}");
                    for value in [-40.0, -12.0, -3.0, 2.0, 9.0, 30.0, 45.0] {
                        let value = unit.of_si(value);
                        let expected = is_suspect(value, all.clone(), unit);
                        assert_eq!(suspects.holds(day, value), expected, "{date} {value}");
                        let ten = unit.difference().of_si(10.0);
                        let within = all.iter().filter(|other| (*other - value).abs() <= ten);
                        let counted = counts.near(date, value);
                        assert!(counted <= within.count(), "{date} {value}");
                        let (least, most) = (class(value - ten, unit), class(value + ten, unit));
                        let inner = classes
                            .iter()
                            .filter(|class| (least + 1..most).contains(*class));
                        assert_eq!(counted, inner.count(), "{date} {value}");
                        found[usize::from(expected)] += 1;
                    }
                }
            }
        }
        assert!(found[0] > 5_000 && found[1] > 1_000, "{found:?}");
    }

    fn near(series: &DailySeries, date: NaiveDate) -> Vec<f64> {
        let (month, of_month) = match (date.month(), date.day()) {
            (2, 29) => (2, 28),
            other => other,
        };
        let is_near = |day: usize| {
            let day = series.first() + TimeDelta::days(day.try_into().unwrap());
            [-1, 0, 1].into_iter().any(|years| {
                NaiveDate::from_ymd_opt(day.year() + years, month, of_month)
                    .is_some_and(|middle| (day - middle).num_days().abs() <= 7)
            })
        };
        let days = (0..series.days()).filter(|day| is_near(*day));
        let all = days.map(|day| series.tmin()[day]);
        all.filter(|value| !value.is_nan()).collect()
    }

    /// Degrees Celsius above −60, in whole ones, at most 119.
    fn class(value: f64, unit: Unit) -> usize {
        let (least, degree) = match unit {
            Unit::Celsius => (-60.0, 1.0),
            _ => (-76.0, 1.8),
        };
        let degrees = (value - least) * (1.0 / degree);
        (1..120).filter(|edge| degrees >= f64::from(*edge)).count()
    }

    /// Classes of the minima within seven days of a date of the year, in February and March six, 29 February as the 28th.
    fn classes_near(series: &DailySeries, date: NaiveDate) -> Vec<usize> {
        let in_plain_year = |date: NaiveDate| {
            let day = if (date.month(), date.day()) == (2, 29) {
                28
            } else {
                date.day()
            };
            NaiveDate::from_ymd_opt(2001, date.month(), day)
                .unwrap()
                .ordinal()
        };
        let most = if (2..=3).contains(&date.month()) {
            6
        } else {
            7
        };
        let middle = in_plain_year(date);
        let days = (0..series.days()).filter(|day| {
            let day = series.first() + TimeDelta::days((*day).try_into().unwrap());
            let apart = in_plain_year(day).abs_diff(middle);
            apart.min(365 - apart) <= most
        });
        let known = days
            .map(|day| series.tmin()[day])
            .filter(|value| !value.is_nan());
        known.map(|value| class(value, series.unit())).collect()
    }

    fn is_suspect(value: f64, mut all: Vec<f64>, unit: Unit) -> bool {
        if all.len() < 300 {
            return false;
        }
        let middle_of = |all: &mut Vec<f64>| {
            all.sort_by(f64::total_cmp);
            f64::midpoint(all[(all.len() - 1) / 2], all[all.len() / 2])
        };
        let middle = middle_of(&mut all);
        let mut apart: Vec<f64> = all.iter().map(|value| (value - middle).abs()).collect();
        let least = if unit == Unit::Celsius { 1.0 } else { 1.8 };
        let deviation = (1.4826 * middle_of(&mut apart)).max(least);
        (value - middle).abs() > 10.0 * deviation
    }
}
