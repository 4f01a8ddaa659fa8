//! Totals of rain that reports give over one hour or several, brought to the hours that they cover.
//!
//! # The rule
//! - Of several totals of one hour the greatest counts.
//! - A total of 0 over several hours makes dry those of its hours that have no amount, unless a total above 0 lies within
//!   them: one of the two is wrong, and which cannot be known. A total above 0 becomes one amount
//!   over its hours, if none of them has an amount by then (fewer hours go before more, earlier before later); otherwise it
//!   is passed over, and hours without an amount stay unknown.
//! - Of a total that reaches back before the first hour, between nothing and all fell after that.

use crate::quantity::Unit;
use crate::series::{Amount, Amounts};

/// A total: the hour before which it ends, over how many hours it goes, and least and greatest \[µm\].
#[derive(Debug, Clone, Copy)]
pub(super) struct Total {
    pub(super) end: i64,
    pub(super) hours: usize,
    pub(super) low_um: i64,
    pub(super) high_um: i64,
}

/// Where totals above 0 end: of those that begin with each hour the earliest.
struct Wet(Vec<i64>);

impl Wet {
    fn of(totals: &[Total], hours: usize) -> Self {
        let mut ends = vec![i64::MAX; hours];
        for total in totals.iter().filter(|total| total.high_um > 0) {
            let end = usize::try_from(total.end).ok();
            let from = end.and_then(|end| end.checked_sub(total.hours));
            if let Some(end) = from.and_then(|from| ends.get_mut(from)) {
                *end = total.end.min(*end);
            }
        }
        Self(ends)
    }

    /// Whether a total above 0 lies within the hours of another.
    fn lies_within(&self, total: &Total) -> bool {
        let end = usize::try_from(total.end).unwrap_or_default();
        let hours = self
            .0
            .get(end.saturating_sub(total.hours)..end.min(self.0.len()));
        hours.into_iter().flatten().any(|wet| *wet <= total.end)
    }
}

/// Rain by the rule above.
pub(super) struct Rain {
    amounts: Vec<Amount>,
    is_known: Vec<bool>,
}

impl Rain {
    /// Rain over so many hours, from totals in the order of their reports.
    pub(super) fn of(totals: &[Total], hours: usize) -> Self {
        let mut rain = Self {
            amounts: Vec::new(),
            is_known: vec![false; hours],
        };
        rain.add_hours(totals);
        let wet = Wet::of(totals, hours);
        let mut long: Vec<Total> = totals
            .iter()
            .filter(|total| total.hours > 1)
            .copied()
            .collect();
        long.sort_by_key(|total| (total.high_um > 0, total.hours));
        long.retain(|total| total.high_um > 0 || !wet.lies_within(total));
        for total in long {
            rain.add_total(total);
        }
        rain.amounts.sort_by_key(|amount| amount.from);
        rain
    }

    /// How many amounts lie over several hours.
    pub(super) fn long(&self) -> u64 {
        let long = self.amounts.iter().filter(|amount| amount.hours > 1);
        long.count() as u64
    }

    /// The amounts of single hours, the greatest where there are several.
    fn add_hours(&mut self, totals: &[Total]) {
        let mut depths: Vec<Option<(i64, i64)>> = vec![None; self.is_known.len()];
        for total in totals.iter().filter(|total| total.hours == 1) {
            let hour = usize::try_from(total.end - 1).ok();
            if let Some(depth) = hour.and_then(|hour| depths.get_mut(hour)) {
                *depth = Some((total.high_um, total.low_um)).max(*depth);
            }
        }
        for (hour, depth) in depths.into_iter().enumerate() {
            if let Some((high, low)) = depth {
                self.add(hour, 1, (low, high));
            }
        }
    }

    /// A total over several hours; hours before the first are cut off.
    fn add_total(&mut self, total: Total) {
        let end = usize::try_from(total.end)
            .unwrap_or_default()
            .min(self.is_known.len());
        let from = end.saturating_sub(total.hours);
        let unknown: Vec<usize> = (from..end)
            .filter(|hour| self.is_known.get(*hour) == Some(&false))
            .collect();
        if total.high_um == 0 {
            for hour in unknown {
                self.add(hour, 1, (0, 0));
            }
        } else if !unknown.is_empty() && unknown.len() == end - from {
            let is_whole = end - from == total.hours;
            let low = if is_whole { total.low_um } else { 0 };
            self.add(from, end - from, (low, total.high_um));
        }
    }

    fn add(&mut self, from: usize, hours: usize, (low_um, high_um): (i64, i64)) {
        self.amounts.push(Amount {
            from,
            hours,
            low_um,
            high_um: Some(high_um),
        });
        if let Some(known) = self.is_known.get_mut(from..from + hours) {
            known.fill(true);
        }
    }

    pub(super) fn into_amounts(self, unit: Unit) -> Amounts {
        Amounts::new(self.is_known.len(), &self.amounts, unit)
    }
}
