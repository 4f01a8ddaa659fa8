//! The interval to prune and the interval for oil, between late damage and bud break.

use super::{Damage, Dates, PruneDates, SeasonSettings};
use crate::freeze::Window;
use crate::quantity::{Quantity, Unit};
use crate::series::DailySeries;

/// Days to either side over which fit days for oil are counted.
const AROUND_DAYS: usize = 7;
/// Fit days of fifteen that make a week worth waiting for: one a week. Ours.
const LEAST_FIT: f64 = 1.0 / 7.0;

/// The interval to prune: from the first day whose damage is at most the limit to the last on which the buds have hardly
/// broken, and in it the day of least harm, the latest of equals. Where the limits leave no day, the day of least harm
/// of all.
pub(super) fn prune(damage: &[Damage], settings: &SeasonSettings) -> Option<PruneDates> {
    let is_low = |of: &&Damage| of.share.probability().is_some_and(|p| p <= settings.most_damage);
    let first = damage.iter().position(|of| is_low(&of));
    let last = last_unbroken(damage, settings.most_broken_prune);
    let best = |of: &[Damage]| {
        let mut best: Option<&Damage> = None;
        for day in of {
            let harm = |of: &Damage| of.harm.unwrap_or(f64::INFINITY);
            if best.is_none_or(|best| harm(day) <= harm(best)) {
                best = Some(day);
            }
        }
        best.filter(|best| best.harm.is_some()).map(|best| best.date)
    };
    if let (Some(first), Some(last)) = (first, last)
        && let Some(days) = damage.get(first..=last)
        && let (Some(from), Some(to)) = (days.first(), days.last())
    {
        return Some(PruneDates {
            dates: Dates {
                from: from.date,
                to: to.date,
            },
            best: best(days)?,
            is_compromise: false,
        });
    }
    let best = best(damage)?;
    Some(PruneDates {
        dates: Dates {
            from: best,
            to: best,
        },
        best,
        is_compromise: true,
    })
}

/// The last day of the beginning on which the chance of broken buds is at most a share; `None` if there is none.
fn last_unbroken(damage: &[Damage], most: f64) -> Option<usize> {
    let is_whole = |of: &Damage| of.broken.probability().is_some_and(|p| p <= most);
    damage.iter().take_while(|of| is_whole(of)).count().checked_sub(1)
}

/// The interval for oil: from the first day around which, by temperature alone, one day a week is fit, to the last day
/// before the stage that the label's language allows. Where no day is fit, from the first day of the half.
pub(super) fn oil(damage: &[Damage], fit: &[f64], most_broken: f64) -> Option<Dates> {
    let last = last_unbroken(damage, most_broken)?;
    let days = damage.get(..=last)?;
    let first = days
        .iter()
        .zip(fit)
        .position(|(_, share)| *share >= LEAST_FIT)
        .unwrap_or(0);
    Some(Dates {
        from: days.get(first)?.date,
        to: days.last()?.date,
    })
}

/// The share of days fit for oil by their extremes around each day number of a half, over all years: the maximum between
/// 40 and 90 °F, and the next night not below 32 °F. Rain, wind and humidity are not in it.
///
/// Source of the limits: the built-in operation for oil, the project's handbook, trade §1.1.
pub(super) fn fit_days(record: &DailySeries, window: Window) -> Vec<f64> {
    let days = window.days() as usize;
    let (mut fit, mut known) = (vec![0_u32; days], vec![0_u32; days]);
    let limit = |value: f64| {
        let fahrenheit = Quantity {
            value,
            unit: Unit::Fahrenheit,
        };
        fahrenheit.unit.convert(fahrenheit.value, record.unit())
    };
    let (cold, least, most) = (limit(32.0), limit(40.0), limit(90.0));
    let Some(tmax) = record.tmax() else {
        return vec![0.0; days];
    };
    let next_nights = record.tmin().iter().skip(1);
    for ((next, high), date) in next_nights.zip(tmax).zip(record.first().iter_days()) {
        if next.is_nan() || high.is_nan() || !window.holds(date) {
            continue;
        }
        let place = (window.day(date) - window.first_day()) as usize;
        let is_fit = *high >= least && *high <= most && *next >= cold;
        if let (Some(fit), Some(known)) = (fit.get_mut(place), known.get_mut(place)) {
            *fit += u32::from(is_fit);
            *known += 1;
        }
    }
    let share = |day: usize| {
        let around = day.saturating_sub(AROUND_DAYS)..(day + AROUND_DAYS + 1).min(days);
        let sum = |of: &[u32]| f64::from(of.get(around.clone()).unwrap_or_default().iter().sum::<u32>());
        sum(&fit) / sum(&known).max(1.0)
    };
    (0..days).map(share).collect()
}
