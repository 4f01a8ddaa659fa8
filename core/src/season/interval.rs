//! The interval to prune and the interval for oil, between late damage and bud break.

use chrono::NaiveDate;

use super::{Damage, Dates, PruneDates, SeasonSettings, Share};
use crate::freeze::Window;
use crate::series::DailySeries;

/// Days to either side over which fit days for oil are counted, as for usable days. Ours.
const AROUND_DAYS: usize = 7;
/// Days of the half in which the coldest time of the year is looked for: to the middle of
/// March in the north. Ours.
const COLD_DAYS: usize = 60;
/// Chance of broken buds beyond which a cut is late in nearly every year. Ours.
pub const NEARLY_ALL: f64 = 0.9;
/// Fit days of fifteen that make a week worth waiting for: one a week. Ours.
const LEAST_FIT: f64 = 1.0 / 7.0;

/// The interval to prune: from the first day behind the coldest time of the year whose damage is at most the limit, to
/// the last on which the buds have hardly broken; and in it the day of least harm, the latest of equals. Where the limits
/// leave no day, the day of least harm before the buds have broken in nearly every year.
pub(super) fn prune(
    damage: &[Damage],
    coldest: usize,
    settings: &SeasonSettings,
) -> Option<PruneDates> {
    let is_low = |of: &Damage| {
        of.share
            .probability()
            .is_some_and(|p| p <= settings.most_damage)
    };
    let late = damage.get(coldest..).unwrap_or_default();
    let first = late.iter().position(is_low).map(|first| first + coldest);
    let last = last_unbroken(damage, settings.most_broken_prune);
    if let (Some(first), Some(last)) = (first, last)
        && let Some(days) = damage.get(first..=last)
        && let (Some(from), Some(to), Some(best)) = (days.first(), days.last(), least_harm(days))
    {
        let (from, to) = (from.date, to.date);
        return Some(PruneDates {
            dates: Dates { from, to },
            best,
            is_compromise: false,
        });
    }
    let end = last_unbroken(damage, NEARLY_ALL).unwrap_or(0);
    let best = least_harm(damage.get(coldest.min(end)..=end)?)?;
    Some(PruneDates {
        dates: Dates {
            from: best,
            to: best,
        },
        best,
        is_compromise: true,
    })
}

/// The day of least harm, the latest of equals.
fn least_harm(days: &[Damage]) -> Option<NaiveDate> {
    let mut least: Option<(f64, NaiveDate)> = None;
    for (harm, date) in days.iter().filter_map(|of| Some((of.harm?, of.date))) {
        if least.is_none_or(|(least, _)| harm <= least) {
            least = Some((harm, date));
        }
    }
    least.map(|(_, date)| date)
}

/// The day of the half behind the fifteen days of the year with the lowest mean minimum, of the beginning of the half:
/// the worst cold is past (Penn State and Utah State Extension, by the project's handbook, trade §2).
pub(super) fn coldest_past(record: &DailySeries, window: Window) -> usize {
    let days = COLD_DAYS + 2 * AROUND_DAYS;
    let (mut sums, mut counts) = (vec![0.0; days], vec![0_u32; days]);
    for (low, date) in record.tmin().iter().zip(record.first().iter_days()) {
        if low.is_nan() || !window.holds(date) {
            continue;
        }
        let place = (window.day(date) - window.first_day()) as usize;
        if let (Some(sum), Some(count)) = (sums.get_mut(place), counts.get_mut(place)) {
            *sum += low;
            *count += 1;
        }
    }
    let fifteen = 2 * AROUND_DAYS + 1;
    let mean = |place: usize| {
        let sum: f64 = sums.get(place..place + fifteen)?.iter().sum();
        let count: u32 = counts.get(place..place + fifteen)?.iter().sum();
        (count > 0).then(|| sum / f64::from(count))
    };
    let means = (0..COLD_DAYS).filter_map(|place| Some((mean(place)?, place)));
    let coldest = means.min_by(|(one, _), (other, _)| one.total_cmp(other));
    coldest.map_or(0, |(_, place)| place + fifteen)
}

/// The last day of the beginning on which the chance of broken buds is at most a share; `None` if there is none.
fn last_unbroken(damage: &[Damage], most: f64) -> Option<usize> {
    let is_whole = |of: &Damage| of.broken.probability().is_some_and(|p| p <= most);
    damage
        .iter()
        .take_while(|of| is_whole(of))
        .count()
        .checked_sub(1)
}

/// The interval for oil: from the first day around which, by temperature alone, one day a week is fit, to the last day
/// before the stage that the label's language allows. Where no day is fit, from the first day of the half.
pub(super) fn oil(damage: &[Damage], fit: &[Share], most_broken: f64) -> Option<Dates> {
    let last = last_unbroken(damage, most_broken)?;
    let days = damage.get(..=last)?;
    let first = days
        .iter()
        .zip(fit)
        .position(|(_, share)| share.probability().is_some_and(|share| share >= LEAST_FIT))
        .unwrap_or(0);
    Some(Dates {
        from: days.get(first)?.date,
        to: days.last()?.date,
    })
}
