//! A rule's span around each hour, brought to one number between bounds: value, least, greatest, sum or mean.

use std::sync::Arc;

use chrono_tz::Tz;

use super::track::Track;
use super::window::{Extreme, RunningSum, Window, extremes, missing_before, span_extremes};
use crate::operation::{Measure, Rule, Span, Take};
use crate::read::local_date;
use crate::series::{Amount, Amounts, Element, HOUR_S, HourlySeries};

/// What is known of the spans of a rule, one an hour.
#[derive(Debug)]
pub(super) struct Bounds {
    /// Least that the number can be; NaN where nothing is known.
    pub(super) low: Vec<f64>,
    /// Greatest that it can be; `None`: as the least.
    pub(super) high: Option<Vec<f64>>,
    /// Whether any value of the span is missing; `None`: nowhere.
    pub(super) is_missing: Option<Vec<bool>>,
    decided: Decided,
}

/// Which hour of the series decides.
#[derive(Debug)]
enum Decided {
    /// The first of each span.
    First(Windows),
    /// The one that has the extreme.
    Extreme(Windows, Extreme, Arc<[f64]>),
    /// Listed.
    Listed(Vec<usize>),
}

impl Bounds {
    pub(super) fn high(&self) -> &[f64] {
        self.high.as_deref().unwrap_or(&self.low)
    }

    /// The hour of the series that decides at a place; found only when asked for.
    pub(super) fn decided_by(&self, place: usize) -> usize {
        match &self.decided {
            Decided::First(windows) => windows.at(place).from,
            Decided::Listed(hours) => hours.get(place).copied().unwrap_or(0),
            Decided::Extreme(windows, which, values) => {
                let window = windows.at(place);
                let bound = if *which == Extreme::Least {
                    self.high().get(place)
                } else {
                    self.low.get(place)
                };
                let inside = values.get(window.from..window.to).unwrap_or_default();
                let bits = bound.map(|bound| bound.to_bits());
                let has = |value: &f64| Some(value.to_bits()) == bits;
                window.from + inside.iter().position(has).unwrap_or(0)
            }
        }
    }

    /// The bounds at `places`; a place past the end is known of nothing.
    pub(super) fn picked(&self, places: &[usize]) -> Self {
        let number = |from: &[f64]| -> Vec<f64> {
            places
                .iter()
                .map(|place| from.get(*place).copied().unwrap_or(f64::NAN))
                .collect()
        };
        Self {
            low: number(&self.low),
            high: self.high.as_deref().map(number),
            is_missing: None,
            decided: Decided::Listed(places.iter().map(|place| self.decided_by(*place)).collect()),
        }
    }
}

/// The spans of a rule, one an hour, or one a day.
#[derive(Debug, Clone)]
pub(super) enum Windows {
    /// So many hours before and after each hour from `from` on.
    Around {
        from: usize,
        before: usize,
        after: usize,
        hours: usize,
        /// Whether hours before the first count as known.
        is_known_before: bool,
    },
    /// Listed.
    Days(Vec<Window>),
}

impl Windows {
    fn at(&self, place: usize) -> Window {
        match self {
            Self::Around {
                from,
                before,
                after,
                hours,
                is_known_before,
            } => {
                let window = Window::around(from + place, *before, *after, *hours);
                if *is_known_before {
                    let dry = before.saturating_sub(from + place);
                    Window {
                        beyond: window.beyond - dry,
                        dry,
                        ..window
                    }
                } else {
                    window
                }
            }
            Self::Days(windows) => windows.get(place).copied().unwrap_or(Window {
                from: 0,
                to: 0,
                beyond: 1,
                dry: 0,
            }),
        }
    }

    fn count(&self) -> usize {
        match self {
            Self::Around { from, hours, .. } => hours.saturating_sub(*from),
            Self::Days(windows) => windows.len(),
        }
    }

    fn iter(&self) -> impl Iterator<Item = Window> + Clone + '_ {
        (0..self.count()).map(|place| self.at(place))
    }

    /// Whether each window reaches past the series; `None`: none does.
    fn beyond(&self) -> Option<Vec<bool>> {
        let count = self.count();
        let (first, last) = match self {
            Self::Days(windows) => {
                let beyond = windows.iter().map(|window| window.beyond > 0);
                return windows
                    .iter()
                    .any(|window| window.beyond > 0)
                    .then(|| beyond.collect());
            }
            Self::Around {
                from,
                before,
                after,
                is_known_before,
                ..
            } => {
                let first = if *is_known_before {
                    0
                } else {
                    before.saturating_sub(*from).min(count)
                };
                (first, count.saturating_sub(*after).max(first))
            }
        };
        if first == 0 && last == count {
            return None;
        }
        let flag = |place: usize| place < first || place >= last;
        Some((0..count).map(flag).collect())
    }

    /// Extreme of each window among the values that are known.
    fn extremes(&self, values: &[f64], which: Extreme) -> Vec<f64> {
        match self {
            Self::Around {
                from,
                before,
                after,
                ..
            } => span_extremes(values, *from, (*before, *after), which),
            Self::Days(windows) => extremes(values, windows.iter().copied(), which).0,
        }
    }
}

/// A rule going over a series from an hour on.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scan<'a> {
    pub(super) series: &'a HourlySeries,
    pub(super) rule: &'a Rule,
    pub(super) zone: Tz,
    pub(super) from: usize,
    pub(super) dry_before: bool,
}

impl Scan<'_> {
    /// The span around each hour; for *each of N days* the local days one by one. On the user's word, hours before
    /// the file's first are dry for spans of rain that look back.
    fn windows(&self) -> Windows {
        let (from, hours) = (self.from, self.series.hours());
        let is_rain = self.rule.measure == Measure::Read(Element::Rain);
        let around = |before: u32, after: u32, is_known_before| {
            let (before, after) = (before as usize, after as usize);
            Windows::Around {
                from,
                before,
                after,
                hours,
                is_known_before,
            }
        };
        match self.rule.over {
            Span::Before(hours) => around(hours, 0, self.dry_before && is_rain),
            Span::After(hours) => around(0, hours, false),
            Span::ThisHour => around(0, 0, false),
            Span::EachOfDays(days) => {
                let calendar = Days::new(self.series, self.zone);
                let all = 0..calendar.count() + days as usize;
                Windows::Days(all.map(|day| calendar.window(day)).collect())
            }
        }
    }

    /// First hour of the rule's span around an hour, and the hour after its last; may reach past either end.
    pub(super) fn reach(&self, hour: usize) -> (i64, i64) {
        let signed = |hour: usize| i64::try_from(hour).unwrap_or(i64::MAX);
        let at = signed(hour);
        match self.rule.over {
            Span::ThisHour => (at, at + 1),
            Span::After(hours) => (at, at + i64::from(hours) + 1),
            Span::Before(hours) => (at - i64::from(hours), at + 1),
            Span::EachOfDays(days) => {
                let calendar = Days::new(self.series, self.zone);
                let day = calendar.of_hour(hour);
                let (first, last) = (
                    calendar.window(day),
                    calendar.window(day + days as usize - 1),
                );
                let is_past = last.beyond > 0 && last.to == self.series.hours();
                let is_before = first.beyond > 0 && first.from == 0;
                (
                    signed(first.from) - i64::from(is_before),
                    signed(last.to) + i64::from(is_past),
                )
            }
        }
    }

    /// Bounds over the rule's spans, for a measure that is no amount.
    pub(super) fn over_track(&self, track: &Track) -> Bounds {
        let windows = self.windows();
        let which = match self.rule.take {
            _ if self.rule.over == Span::ThisHour => return self.this_hour(track, windows),
            Take::Mean => return means(track, windows, self.rule.measure),
            Take::Min => Extreme::Least,
            _ => Extreme::Greatest,
        };
        let is_missing = Missing::of(&track.low).over(&windows);
        let low = windows.extremes(&track.low, which);
        let high = track
            .high
            .as_deref()
            .map(|high| windows.extremes(high, which));
        let values = match (&track.high, which) {
            (Some(high), Extreme::Least) => Arc::clone(high),
            _ => Arc::clone(&track.low),
        };
        opened(
            which,
            Bounds {
                low,
                high,
                is_missing,
                decided: Decided::Extreme(windows, which, values),
            },
        )
    }

    /// The hour's own value.
    fn this_hour(&self, track: &Track, windows: Windows) -> Bounds {
        let tail = |values: &[f64]| values.get(self.from..).unwrap_or_default().to_vec();
        let high = track.high.as_deref().map(tail);
        Bounds {
            low: tail(&track.low),
            high,
            is_missing: None,
            decided: Decided::First(windows),
        }
    }

    /// Bounds over the rule's spans, for rain or snow, in micrometres.
    pub(super) fn over_amounts(&self, amounts: &Amounts) -> Bounds {
        let windows = self.windows();
        if matches!(self.rule.take, Take::Min | Take::Max) && self.rule.over != Span::ThisHour {
            let which = if self.rule.take == Take::Min {
                Extreme::Least
            } else {
                Extreme::Greatest
            };
            return hourly_extremes(amounts, &windows, which);
        }
        let count = windows.count();
        let (mut low, mut high) = (Vec::with_capacity(count), Vec::with_capacity(count));
        let mut is_missing = Vec::with_capacity(count);
        for window in windows.iter() {
            let sum = amounts.sum(window.from, window.to);
            let most = sum.high_um.filter(|_| window.beyond == 0);
            let share = if self.rule.take == Take::Mean {
                window.hours().max(1) as f64
            } else {
                1.0
            };
            low.push(sum.low_um as f64 / share);
            high.push(most.map_or(f64::INFINITY, |um| um as f64 / share));
            is_missing.push(most.is_none());
        }
        Bounds {
            low,
            high: Some(high),
            is_missing: Some(is_missing),
            decided: Decided::First(windows),
        }
    }
}

/// Where a missing value leaves an extreme open: it could lie beyond it on one side, never short of it.
fn opened(which: Extreme, mut bounds: Bounds) -> Bounds {
    let Some(missing) = &bounds.is_missing else {
        return bounds;
    };
    let (open, known) = match which {
        Extreme::Least => (f64::NEG_INFINITY, f64::INFINITY),
        Extreme::Greatest => (f64::INFINITY, f64::NEG_INFINITY),
    };
    let mut high = bounds.high.take().unwrap_or_else(|| bounds.low.clone());
    for ((low, high), is_missing) in bounds.low.iter_mut().zip(&mut high).zip(missing) {
        let (opens, stays) = if which == Extreme::Least {
            (low, high)
        } else {
            (high, low)
        };
        if *is_missing {
            *opens = open;
        }
        if stays.is_nan() {
            *stays = known;
        }
    }
    bounds.high = Some(high);
    bounds
}

/// Where values are missing, for counting them over windows.
struct Missing(Option<Vec<u32>>);

impl Missing {
    fn of(values: &[f64]) -> Self {
        Self(
            values
                .iter()
                .any(|value| value.is_nan())
                .then(|| missing_before(values)),
        )
    }

    fn count(&self, window: Window) -> u32 {
        let Some(before) = &self.0 else { return 0 };
        let at = |hour: usize| before.get(hour).copied().unwrap_or(0);
        at(window.to).saturating_sub(at(window.from))
    }

    /// Whether any value of each window is missing; `None`: nowhere.
    fn over(&self, windows: &Windows) -> Option<Vec<bool>> {
        let mut missing = windows.beyond();
        if self.0.is_some() {
            let flags = missing.get_or_insert_with(|| vec![false; windows.count()]);
            for (flag, window) in flags.iter_mut().zip(windows.iter()) {
                *flag |= self.count(window) > 0;
            }
        }
        missing
    }
}

/// Means of windows; an hour that is missing, or lies past the series, counts as the least, or the greatest, that the
/// measure can be.
fn means(track: &Track, windows: Windows, measure: Measure) -> Bounds {
    let missing = Missing::of(&track.low);
    let (least, greatest) = measure.possible_si();
    let one = |sums: &RunningSum, otherwise: f64| -> Vec<f64> {
        let of = |window: Window| {
            let unknown = missing.count(window) as usize + window.beyond;
            sums.mean(window, unknown, otherwise)
        };
        windows.iter().map(of).collect()
    };
    let sums = RunningSum::new(&track.low);
    let low = one(&sums, track.unit.of_si(least));
    let is_missing = missing.over(&windows);
    let most = track.unit.of_si(greatest);
    let high = match &track.high {
        Some(high) => Some(one(&RunningSum::new(high), most)),
        None if is_missing.is_some() => Some(one(&sums, most)),
        None => None,
    };
    Bounds {
        low,
        high,
        is_missing,
        decided: Decided::First(windows),
    }
}

/// What is known of each hour of amounts, for the least or the greatest hour of a span; NaN where nothing is.
struct Hourly {
    /// At the last hour of each amount, what its least hour has at most, or its greatest at least.
    sure: Vec<f64>,
    /// What an hour may have at least, or at most.
    reach: Vec<f64>,
    /// NaN where an hour's amount has no upper bound.
    unknown: Vec<f64>,
}

impl Hourly {
    fn new(amounts: &Amounts, which: Extreme) -> Self {
        let number =
            |um: Option<i64>, hours: usize| um.map_or(f64::NAN, |um| um as f64 / hours as f64);
        let each = |number: &dyn Fn(&Amount, usize) -> f64| -> Vec<f64> {
            let of = |hour| {
                amounts
                    .of_hour(hour)
                    .map_or(f64::NAN, |amount| number(amount, hour))
            };
            (0..amounts.hours()).map(of).collect()
        };
        let sure = each(&|amount, hour| match which {
            _ if amount.from + amount.hours != hour + 1 => f64::NAN,
            Extreme::Least => number(amount.high_um, amount.hours),
            Extreme::Greatest => number(Some(amount.low_um), amount.hours),
        });
        let reach = each(&|amount, _| match which {
            Extreme::Least if amount.hours == 1 => number(Some(amount.low_um), 1),
            Extreme::Least => 0.0,
            Extreme::Greatest => number(amount.high_um, 1),
        });
        Self {
            sure,
            reach,
            unknown: each(&|amount, _| number(amount.high_um, 1)),
        }
    }
}

/// The least or greatest hourly depth of windows. Of an amount over several hours that lies wholly inside, some
/// hour has at least its mean and some hour at most; of one cut by the window's edge any hour may have nothing, and
/// the least of those inside at most their share of all of it.
fn hourly_extremes(amounts: &Amounts, windows: &Windows, which: Extreme) -> Bounds {
    let hourly = Hourly::new(amounts, which);
    let inner = |window: Window| {
        let cut = amounts
            .of_hour(window.from)
            .filter(|amount| amount.from < window.from);
        let from = cut.map_or(window.from, |amount| amount.from + amount.hours);
        Window {
            from: from.min(window.to),
            ..window
        }
    };
    let is_missing = Missing::of(&hourly.unknown).over(windows);
    let (sure, at) = extremes(&hourly.sure, windows.iter().map(inner), which);
    let reach = windows.extremes(&hourly.reach, which);
    let ((mut low, mut high), at) = match which {
        Extreme::Least => {
            let (sure, at) = with_cut_shares(amounts, windows, (sure, at));
            ((reach, sure), at)
        }
        Extreme::Greatest => ((sure, reach), at),
    };
    for ((low, high), window) in low.iter_mut().zip(&mut high).zip(windows.iter()) {
        let is_dry = which == Extreme::Least && window.dry > 0;
        *low = if low.is_nan() || is_dry { 0.0 } else { *low };
        *high = if high.is_nan() { f64::INFINITY } else { *high };
    }
    let decided = Decided::Listed(at.into_iter().map(|at| at as usize).collect());
    opened(
        which,
        Bounds {
            low,
            high: Some(high),
            is_missing,
            decided,
        },
    )
}

/// What the least hour of each window has at most, and its place, with the amounts that the window's edges cut.
fn with_cut_shares(
    amounts: &Amounts,
    windows: &Windows,
    (mut sure, mut at): (Vec<f64>, Vec<u32>),
) -> (Vec<f64>, Vec<u32>) {
    for ((window, sure), at) in windows.iter().zip(&mut sure).zip(&mut at) {
        let (share, hour) = cut_share(amounts, window);
        if share < *sure || sure.is_nan() {
            (*sure, *at) = (share, u32::try_from(hour).unwrap_or(u32::MAX));
        }
    }
    (sure, at)
}

/// The greatest that the least hour of a window can have of the amounts that its edges cut, and its place: 0 where hours
/// before the series are dry, NaN where no amount is cut.
fn cut_share(amounts: &Amounts, window: Window) -> (f64, usize) {
    if window.dry > 0 {
        return (0.0, window.from);
    }
    let share = |hour: usize| {
        let amount = amounts.of_hour(hour)?;
        let (from, to) = (amount.from, amount.from + amount.hours);
        let is_cut = from < window.from || to > window.to;
        let inside = to.min(window.to).saturating_sub(from.max(window.from));
        let um = amount.high_um.filter(|_| is_cut && inside > 0)?;
        Some((um as f64 / inside as f64, from.max(window.from)))
    };
    let ends = [Some(window.from), window.to.checked_sub(1)];
    let shares = ends.into_iter().flatten().filter_map(share);
    shares
        .reduce(|a, b| if b.0 < a.0 { b } else { a })
        .unwrap_or((f64::NAN, 0))
}

/// More hours than any local day has: clocks are put back by three hours at most (common practice, no source).
pub(crate) const LONGEST_DAY_H: usize = 48;

/// Local days of a series.
pub(super) struct Days {
    /// First hour of each day, then the number of hours.
    starts: Vec<usize>,
    /// Hours of the first day before the series, and of the last day after it.
    cut: (usize, usize),
}

impl Days {
    pub(super) fn new(series: &HourlySeries, zone: Tz) -> Self {
        let date = |hour: usize| local_date(series.time(hour), zone);
        let hours = series.hours();
        let mut starts = vec![0];
        let mut last = date(0);
        for hour in 1..hours {
            let next = date(hour);
            if next != last {
                starts.push(hour);
                last = next;
            }
        }
        starts.push(hours);
        let back = |hours: &i64| local_date(series.start() - hours * HOUR_S, zone) == date(0);
        let on = |hour: &usize| date(*hour) == last;
        let cut = (
            (1..).take(LONGEST_DAY_H).take_while(back).count(),
            (hours..).take(LONGEST_DAY_H).take_while(on).count(),
        );
        Self { starts, cut }
    }

    pub(super) fn count(&self) -> usize {
        self.starts.len() - 1
    }

    pub(super) fn of_hour(&self, hour: usize) -> usize {
        self.starts
            .partition_point(|start| *start <= hour)
            .saturating_sub(1)
            .min(self.count() - 1)
    }

    /// The hours of a day; of a day past the end none, and *beyond*.
    fn window(&self, day: usize) -> Window {
        let end = self.starts.last().copied().unwrap_or(0);
        let (Some(from), Some(to)) = (self.starts.get(day), self.starts.get(day + 1)) else {
            return Window {
                from: end,
                to: end,
                beyond: 24, // nothing of it is known, however long it is
                dry: 0,
            };
        };
        let first = if day == 0 { self.cut.0 } else { 0 };
        let last = if day + 1 == self.count() {
            self.cut.1
        } else {
            0
        };
        Window {
            from: *from,
            to: *to,
            beyond: first + last,
            dry: 0,
        }
    }
}
