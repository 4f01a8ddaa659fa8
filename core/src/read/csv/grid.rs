//! The hours of a file: rows every 15, 20, 30 or 60 minutes brought to whole hours.

use crate::quantity::Unit;
use crate::series::{Amount, Amounts, Column, HOUR_S, micrometres};

/// The hours of a file, and the step of its rows.
pub(super) struct Grid {
    pub(super) start: i64,
    pub(super) hours: usize,
    pub(super) step_s: i64,
}

impl Grid {
    pub(super) fn hour(&self, time: i64) -> usize {
        usize::try_from((time - self.start) / HOUR_S).unwrap_or(usize::MAX)
    }

    pub(super) fn step_minutes(&self) -> u32 {
        u32::try_from(self.step_s / 60).unwrap_or(0)
    }

    fn rows_an_hour(&self) -> usize {
        usize::try_from(HOUR_S / self.step_s).unwrap_or(1)
    }

    /// Least and greatest of each hour; missing where any of its rows is.
    pub(super) fn column(&self, hours: &[usize], values: &[f64], unit: Unit) -> Column {
        let mut low = vec![f64::INFINITY; self.hours];
        let mut high = vec![f64::NEG_INFINITY; self.hours];
        let mut known = vec![0_usize; self.hours];
        for (hour, value) in hours
            .iter()
            .zip(values)
            .filter(|(_, value)| !value.is_nan())
        {
            if let (Some(low), Some(high), Some(known)) = (
                low.get_mut(*hour),
                high.get_mut(*hour),
                known.get_mut(*hour),
            ) {
                (*low, *high, *known) = (low.min(*value), high.max(*value), *known + 1);
            }
        }
        for (low, known) in low.iter_mut().zip(&known) {
            if *known < self.rows_an_hour() {
                *low = f64::NAN;
            }
        }
        if self.rows_an_hour() == 1 {
            Column::exact(low, unit)
        } else {
            Column::bounded(low, high, unit)
        }
    }

    /// Sum of each hour; without an upper bound where any of its rows is missing.
    pub(super) fn amounts(&self, hours: &[usize], values: &[f64], unit: Unit) -> Amounts {
        let mut sums = vec![(0_i64, 0_usize); self.hours];
        for (hour, value) in hours
            .iter()
            .zip(values)
            .filter(|(_, value)| !value.is_nan())
        {
            if let Some((sum, known)) = sums.get_mut(*hour) {
                (*sum, *known) = (*sum + micrometres(*value, unit), *known + 1);
            }
        }
        let amounts: Vec<Amount> = sums
            .into_iter()
            .enumerate()
            .map(|(from, (low_um, known))| {
                let high_um = (known >= self.rows_an_hour()).then_some(low_um);
                Amount {
                    from,
                    hours: 1,
                    low_um,
                    high_um,
                }
            })
            .collect();
        Amounts::new(self.hours, &amounts, unit)
    }
}
