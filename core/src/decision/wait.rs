//! Go now, or wait for a better day: optimal stopping, solved backwards in time.
//!
//! Each day until the season closes has a chance to be usable and an expected loss if the work is done on it; to let the
//! season pass undone costs a stated loss. On a usable day the work is done if its loss is not above that of waiting.
//!
//! Source: R. Bellman, Dynamic Programming (1957); M. L. Puterman, Markov Decision Processes (1994), chapters 3 and 4
//! (both from memory); the project's handbook, statistics §10, whose table is checked below.

use chrono::NaiveDate;

/// Two losses nearer than this are one: a hundredth of the greatest loss that the weights know. Ours.
const SAME_LOSS: f64 = 0.01;

/// Where a day's chance comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// The forecast.
    Forecast,
    /// Past hours, by all rules.
    Hours,
    /// The years of the record, by temperature alone.
    Record,
}

/// How many days were judged by what.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct DaysBy {
    /// By the forecast.
    pub forecast: usize,
    /// Beyond it by past hours.
    pub hours: usize,
    /// Beyond it by the record.
    pub record: usize,
}

impl DaysBy {
    fn of(days: &[Chance]) -> Self {
        let by = |basis| days.iter().filter(|day| day.basis == basis).count();
        Self {
            forecast: by(Basis::Forecast),
            hours: by(Basis::Hours),
            record: by(Basis::Record),
        }
    }

    /// On what the chances beyond the forecast rest.
    fn words(self) -> &'static str {
        match (self.hours, self.record) {
            (0, 0) => "",
            (0, _) => {
                "; beyond the forecast by the record's temperatures alone: without rain and wind it is too high"
            }
            (_, 0) => "; beyond the forecast by past hours under all rules",
            _ => {
                "; beyond the forecast by past hours under all rules, and where they do not tell by the record's temperatures alone"
            }
        }
    }
}

/// A day on which the work may be done.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chance {
    /// The day.
    pub date: NaiveDate,
    /// Chance that it is usable, 0 to 1.
    pub usable: f64,
    /// Expected loss if the work is done on it.
    pub loss: f64,
    /// Where the chance comes from.
    pub basis: Basis,
}

/// Expected losses of waiting, after each of the days: of an optimal rule for the days that follow, and `missed` if none
/// of them is usable.
///
/// W of a day is the next day's V; V = p·min(c, W) + (1 − p)·W; behind the last day it is `missed`.
///
/// ```
/// use fairspell::decision::losses_of_waiting;
/// // The project's handbook, statistics §10: falling losses; wait on the first two days.
/// let days = [(0.5, 9.0), (0.4, 6.0), (0.6, 3.0), (0.3, 2.0), (0.5, 2.0)];
/// let waiting = losses_of_waiting(&days, 20.0);
/// assert!((waiting[0] - 5.12).abs() < 1e-12 && (waiting[4] - 20.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn losses_of_waiting(days: &[(f64, f64)], missed: f64) -> Vec<f64> {
    let mut waiting = vec![missed; days.len()];
    let mut next = missed;
    for ((usable, loss), own) in days.iter().zip(&mut waiting).rev() {
        *own = next;
        next = usable * loss.min(next) + (1.0 - usable) * next;
    }
    waiting
}

/// What to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Advice {
    /// Now: waiting is expected to lose more.
    GoNow,
    /// Wait, at least until this day.
    WaitUntil(NaiveDate),
    /// Both are expected to lose the same.
    NoMatter,
    /// Letting the season pass undone is expected to lose less than any day of it: its loss was set low.
    LetPass,
    /// There is no spell now; the chance of a later one is told.
    NoSpellNow,
}

impl Advice {
    /// Its name in JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::GoNow => "go-now",
            Self::WaitUntil(_) => "wait",
            Self::NoMatter => "no-matter",
            Self::LetPass => "let-pass",
            Self::NoSpellNow => "no-spell-now",
        }
    }
}

/// Going now against waiting.
#[derive(Debug, Clone, PartialEq)]
pub struct Wait {
    /// What to do.
    pub advice: Advice,
    /// Expected loss of going now; `None` without a spell now.
    pub now: Option<f64>,
    /// Expected loss of waiting.
    pub waiting: f64,
    /// Chance of a usable day after today before the season closes, the days taken as independent.
    pub later: f64,
    /// The last day of the season for this work.
    pub closes: NaiveDate,
    /// Loss of letting the season pass undone.
    pub missed: f64,
    /// By what the days after today were judged.
    pub days: DaysBy,
}

impl Wait {
    /// Weighs going today against the days that follow.
    ///
    /// - `now`: where there is a spell now, the loss if the work is done in it and the chance that the spell holds; where it
    ///   does not hold, what is left is to wait.
    /// - `days`: those after today until the season closes, in order; none may be unknown.
    #[must_use]
    pub fn weigh(now: Option<(f64, f64)>, days: &[Chance], closes: NaiveDate, missed: f64) -> Self {
        let pairs: Vec<(f64, f64)> = days.iter().map(|day| (day.usable, day.loss)).collect();
        let after = losses_of_waiting(&pairs, missed);
        let waiting = match (pairs.first(), after.first()) {
            (Some((usable, loss)), Some(after)) => {
                usable * loss.min(*after) + (1.0 - usable) * after
            }
            _ => missed,
        };
        let now = now.map(|(loss, holds)| holds * loss + (1.0 - holds) * waiting);
        let is_worth = |(day, after): &(&Chance, &f64)| day.usable > 0.0 && day.loss <= **after;
        let next = days
            .iter()
            .zip(&after)
            .find(is_worth)
            .map(|(day, _)| day.date);
        let advice = match (now, next) {
            (None, _) => Advice::NoSpellNow,
            (Some(now), _) if (now - waiting).abs() < SAME_LOSS => Advice::NoMatter,
            (Some(now), next) if now > waiting => next.map_or(Advice::LetPass, Advice::WaitUntil),
            _ => Advice::GoNow,
        };
        let none: f64 = days.iter().map(|day| 1.0 - day.usable).product();
        Self {
            advice,
            now,
            waiting,
            later: 1.0 - none,
            closes,
            missed,
            days: DaysBy::of(days),
        }
    }
}

impl Wait {
    /// In words: what to do, both losses, the chance of a later day, and on what they rest.
    #[must_use]
    pub fn text(&self) -> String {
        let closes = self.closes.format("%-d %b");
        let later = percent(self.later);
        let chance = format!(
            "the chance of another fit day by {closes}, when its season closes, is {later}"
        );
        let losses = self.now.map_or_else(String::new, |now| {
            format!(
                "expected loss {now:.2} now, {:.2} by waiting; ",
                self.waiting
            )
        });
        let advice = match self.advice {
            Advice::GoNow => "go now".to_owned(),
            Advice::WaitUntil(date) => format!("wait, if you can, until {}", date.format("%-d %b")),
            Advice::NoMatter => "now or later does not matter".to_owned(),
            Advice::LetPass => "let this season pass".to_owned(),
            Advice::NoSpellNow => "no spell now".to_owned(),
        };
        let basis = self.days.words();
        format!("{advice}: {losses}{chance}{basis}")
    }
}

/// A chance in whole percent, never said to be certain.
fn percent(chance: f64) -> String {
    match chance * 100.0 {
        percent if percent > 99.0 => "over 99 %".to_owned(),
        percent if percent < 1.0 && chance > 0.0 => "under 1 %".to_owned(),
        percent => format!("{percent:.0} %"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const USABLE: [f64; 5] = [0.5, 0.4, 0.6, 0.3, 0.5];

    fn date(day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2027, 3, day).unwrap()
    }

    fn chances(losses: [f64; 5]) -> Vec<Chance> {
        let of = |(day, (usable, loss)): (u32, (f64, f64))| Chance {
            date: date(day),
            usable,
            loss,
            basis: Basis::Record,
        };
        (1..).zip(USABLE.into_iter().zip(losses)).map(of).collect()
    }

    /// The project's handbook, statistics §10, its table: W to its printed digits, and the chance of another usable day.
    #[test]
    fn losses_of_waiting_are_those_of_the_handbook() {
        let rising = [0.0, 1.0, 2.0, 4.0, 6.0];
        let falling = [9.0, 6.0, 3.0, 2.0, 2.0];
        for (losses, printed) in [
            (rising, [3.592, 5.32, 10.3, 13.0, 20.0]),
            (falling, [5.12, 5.12, 8.3, 11.0, 20.0]),
        ] {
            let days: Vec<(f64, f64)> = USABLE.into_iter().zip(losses).collect();
            for (computed, printed) in losses_of_waiting(&days, 20.0).iter().zip(printed) {
                assert!((computed - printed).abs() < 0.000_5, "{computed} {printed}");
            }
        }
        let all = chances(falling);
        let wait = Wait::weigh(Some((9.0, 1.0)), &all[1..], date(5), 20.0);
        assert_eq!(wait.advice, Advice::WaitUntil(date(3)));
        assert!((wait.waiting - 5.12).abs() < 1e-12 && (wait.later - 0.916).abs() < 1e-12);
        let all = chances(rising);
        assert_eq!(
            Wait::weigh(Some((0.0, 1.0)), &all[1..], date(5), 20.0).advice,
            Advice::GoNow
        );
        assert_eq!(
            Wait::weigh(None, &all[1..], date(5), 20.0).advice,
            Advice::NoSpellNow
        );
        let near = Wait::weigh(Some((3.595, 1.0)), &all[1..], date(5), 20.0);
        assert_eq!(near.advice, Advice::NoMatter);
        // A day that is never usable is none to wait for, however little would be lost on it.
        let mut never = all.clone();
        (never[1].usable, never[1].loss) = (0.0, 0.0);
        let wait = Wait::weigh(Some((20.0, 1.0)), &never[1..], date(5), 20.0);
        assert_eq!(wait.advice, Advice::WaitUntil(date(3)));
        // A spell that holds one time in four: 0.25 · 0 + 0.75 · 3.592, by hand.
        let unsure = Wait::weigh(Some((0.0, 0.25)), &all[1..], date(5), 20.0);
        assert!((unsure.now.unwrap() - 2.694).abs() < 1e-12);
    }

    /// L. Moser, On a problem of Cayley, Scripta Math. 22 (1956) 289-292 (from memory): of n offers, uniform on 0 to 1, one
    /// after the other, the best rule expects 0.5, 0.625, 0.6953, 0.7417, 0.7751. Each offer is one hundred days, usable in
    /// turn with chances that make one of 100 losses come as often as another; the reward is 1 less the loss, and a hundred
    /// equal parts stand for the uniform to 0.005.
    #[test]
    fn the_rule_for_offers_one_after_the_other_is_reproduced() {
        let parts = 100;
        let mut expected = 0.0_f64; // nothing is left behind the last offer
        for printed in [0.5, 0.625, 0.695_3, 0.741_7, 0.775_1] {
            let mut value = 0.0;
            for part in 0..parts {
                let reward = (f64::from(part) + 0.5) / f64::from(parts);
                // One offer of this reward, sure to come: take it, or what waiting is worth.
                let [waiting] = losses_of_waiting(&[(1.0, 1.0 - reward)], 1.0 - expected)[..]
                else {
                    unreachable!("one day")
                };
                value += (1.0 - (1.0 - reward).min(waiting)) / f64::from(parts);
            }
            expected = value;
            assert!((expected - printed).abs() < 0.005, "{expected} {printed}");
        }
    }

    /// By brute force: of all rules that say for each day whether to go if it is usable, none loses less.
    #[test]
    fn no_rule_loses_less() {
        let mut state = 7_u64;
        let mut draw = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (state >> 40) as f64 / 16_777_216.0
        };
        for _ in 0..200 {
            let days: Vec<(f64, f64)> = (0..6).map(|_| (draw(), draw())).collect();
            let missed = 2.0 * draw();
            let of_rule = |rule: u32| {
                let mut loss = missed;
                for (place, (usable, cost)) in days.iter().enumerate().rev() {
                    if rule >> place & 1 == 1 {
                        loss = usable * cost + (1.0 - usable) * loss;
                    }
                }
                loss
            };
            let least = (0..64).map(of_rule).fold(f64::INFINITY, f64::min);
            let of_all = Wait::weigh(
                None,
                &days
                    .iter()
                    .map(|(usable, loss)| Chance {
                        date: date(1),
                        usable: *usable,
                        loss: *loss,
                        basis: Basis::Forecast,
                    })
                    .collect::<Vec<_>>(),
                date(1),
                missed,
            );
            assert!(
                (of_all.waiting - least).abs() < 1e-12,
                "{} {least}",
                of_all.waiting
            );
        }
    }
}
