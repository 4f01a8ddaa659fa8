//! Why the verdict is what it is.

use super::answer::{Answer, States};
use super::{Decision, Hindrance, Spell, Verdict};
use crate::confidence::Unknown;
use crate::operation::Severity;
use crate::read::Issued;
use crate::series::{HOUR_S, HourlySeries};
use crate::spell::{Gap, Judged, Outcome, State, fair_runs};

/// Why the verdict is what it is.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Reason {
    /// The forecast is older than the operation allows; `issued` is `None` where its place for that is blank.
    Stale {
        /// Time of issue \[s since 1970 UTC\].
        issued: Option<i64>,
    },
    /// A rule fails in hours of the window.
    Hindered {
        /// In how many of its hours.
        hours: usize,
        /// In how many of them no other rule fails.
        alone: usize,
        /// The first such hour \[s since 1970 UTC\].
        time: i64,
        /// What it finds there.
        hindrance: Hindrance,
    },
    /// A rule cannot be known in hours of the window that no other rule hinders.
    Unknown {
        /// Index of the rule.
        rule: usize,
        /// In how many hours.
        hours: usize,
        /// The first of them \[s since 1970 UTC\].
        time: i64,
        /// Why.
        gap: Gap,
        /// The missing hour, where one is \[s since 1970 UTC\].
        missing: Option<i64>,
    },
    /// Hours of the window that the file does not have.
    NoRow {
        /// How many.
        hours: usize,
        /// The first \[s since 1970 UTC\].
        time: i64,
    },
    /// No run of hours in the window is long enough.
    TooShort {
        /// Hours of the longest run of fair hours.
        longest: usize,
        /// Hours of the window.
        window: usize,
    },
    /// No run of hours in the window is sure enough.
    Unsure {
        /// Beginning of the surest run \[s since 1970 UTC\]; of one whose confidence is not known, if there is one.
        time: i64,
        /// Its confidence, 0 to 1; `None`: not known.
        probability: Option<f64>,
        /// The least that was asked for, 0 to 1.
        least: f64,
        /// In how many parts the confidence may be told.
        parts: u32,
        /// Why it is not known.
        unknown: Option<Unknown>,
    },
    /// What ends the spell.
    Ends {
        /// The first hour after it \[s since 1970 UTC\].
        time: i64,
        /// The rule that fails there; `None`: that hour is unknown.
        hindrance: Option<Hindrance>,
    },
}

/// Why the verdict is what it is, the weightiest first.
pub(super) fn reasons(answer: &Answer<'_>, decision: &Decision, states: &States) -> Vec<Reason> {
    if answer.is_stale() {
        let issued = match answer.question.forecast.issued {
            Issued::At(issued) => Some(issued),
            _ => None,
        };
        return vec![Reason::Stale { issued }];
    }
    match decision.verdict {
        Verdict::Go => decision
            .spell
            .as_ref()
            .map(|spell| end_of(decision, spell))
            .into_iter()
            .collect(),
        Verdict::NoGo => {
            let short = too_short(answer, states);
            short
                .into_iter()
                .chain(hindered(answer, decision))
                .collect()
        }
        Verdict::CannotTell => {
            let mut reasons = not_known(answer, decision, states);
            reasons.extend(hindered(answer, decision));
            reasons
        }
    }
}

/// The rules that fail in the window, those first that alone take most hours.
fn hindered(answer: &Answer<'_>, decision: &Decision) -> Vec<Reason> {
    let mut found: Vec<(usize, usize, i64, Hindrance)> = Vec::new();
    for hour in decision
        .hours
        .iter()
        .take_while(|hour| hour.time + HOUR_S <= answer.until)
    {
        let these = decision.hindrances(hour);
        let alone = usize::from(these.len() == 1);
        for hindrance in these {
            match found
                .iter()
                .position(|(_, _, _, known)| known.rule == hindrance.rule)
            {
                Some(at) => {
                    if let Some(entry) = found.get_mut(at) {
                        (entry.0, entry.1) = (entry.0 + 1, entry.1 + alone);
                    }
                }
                None => found.push((1, alone, hour.time, hindrance)),
            }
        }
    }
    found.sort_by_key(|(hours, alone, _, hindrance)| {
        (usize::MAX - alone, usize::MAX - hours, hindrance.rule)
    });
    let reason = |(hours, alone, time, hindrance)| Reason::Hindered {
        hours,
        alone,
        time,
        hindrance,
    };
    found.into_iter().map(reason).collect()
}

/// No run of the window's fair hours is long enough, where there are any or the window itself is too short.
fn too_short(answer: &Answer<'_>, states: &States) -> Option<Reason> {
    let runs = fair_runs(&states.window, 1);
    let longest = runs
        .iter()
        .map(|(start, end)| end - start)
        .max()
        .unwrap_or(0);
    let window = states.window.len();
    let is_short = longest > 0 || window < answer.question.operation.hours_needed as usize;
    is_short.then_some(Reason::TooShort { longest, window })
}

/// What keeps the window's unknown hours from being known.
pub(super) fn not_known(answer: &Answer<'_>, decision: &Decision, states: &States) -> Vec<Reason> {
    let series = answer.series();
    let hours = (answer.first..).zip(&states.window);
    let unknown = hours
        .filter(|(_, state)| **state == State::Unknown)
        .map(|(hour, _)| hour);
    let has_row = |hour: i64| {
        let place = usize::try_from(hour).ok();
        place.filter(|place| series.is_some_and(|series| series.has_row(*place)))
    };
    let without: Vec<i64> = unknown
        .clone()
        .filter(|hour| has_row(*hour).is_none())
        .collect();
    let with: Vec<usize> = unknown.filter_map(has_row).collect();
    let mut reasons = Vec::new();
    if let Some(first) = without.first() {
        let start = series.map_or(decision.at, HourlySeries::start);
        let time = start.saturating_add(first.saturating_mul(HOUR_S));
        reasons.push(Reason::NoRow {
            hours: without.len(),
            time,
        });
    }
    let rules = 0..answer.question.operation.rules.len();
    let mut by_rule: Vec<(usize, usize, usize)> = rules
        .filter_map(|rule| unknown_hours(answer, rule, &with))
        .collect();
    by_rule.sort_by_key(|(rule, hours, _)| (usize::MAX - hours, *rule));
    let why = |(rule, hours, hour)| self::unknown(answer, rule, hours, hour);
    reasons.extend(by_rule.into_iter().map(why));
    reasons
}

/// A blocking rule, in how many of the hours it is not known, and the first of them.
fn unknown_hours(
    answer: &Answer<'_>,
    index: usize,
    hours: &[usize],
) -> Option<(usize, usize, usize)> {
    let rule = answer.question.operation.rules.get(index)?;
    let is_skipped = answer.is_unchecked(index) && !answer.question.is_strict;
    if rule.severity != Severity::Block || is_skipped {
        return None;
    }
    let is_unknown =
        |hour: &&usize| answer.council.finding(index, **hour, rule).outcome == Outcome::Unknown;
    let first = hours.iter().find(is_unknown)?;
    Some((index, hours.iter().filter(is_unknown).count(), *first))
}

fn unknown(answer: &Answer<'_>, rule: usize, hours: usize, hour: usize) -> Reason {
    let is_unknown = |member: &&Judged<'_>| member.finding(rule, hour).outcome == Outcome::Unknown;
    let member = answer.judged.iter().find(is_unknown);
    let gap = member.map_or(Gap::NoMeasure, |member| member.gap(rule, hour));
    let missing = match gap {
        Gap::Missing { hour } => Some(answer.time(hour)),
        _ => None,
    };
    Reason::Unknown {
        rule,
        hours,
        time: answer.time(hour),
        gap,
        missing,
    }
}

fn end_of(decision: &Decision, spell: &Spell) -> Reason {
    let after = decision.hours.iter().find(|hour| hour.time == spell.end);
    let hindrance = after.and_then(|hour| decision.hindrances(hour).into_iter().next());
    Reason::Ends {
        time: spell.end,
        hindrance,
    }
}
