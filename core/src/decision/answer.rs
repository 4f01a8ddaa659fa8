//! A question with its judgement, on the way to the decision: states, spells, the verdict.

use chrono_tz::Tz;

use super::council::Council;
use super::{Decision, ExplainAt, Explained, Hour, Question, Spell, Verdict, explain};
use crate::read::{Issued, Notice, Reading};
use crate::series::{HOUR_S, HourlySeries};
use crate::spell::{Judged, Sky, State, fair_runs, widest_run};

/// A question with its judgement, on the way to the decision.
pub(super) struct Answer<'a> {
    pub(super) question: &'a Question<'a>,
    pub(super) zone: Tz,
    pub(super) until: i64,
    pub(super) judged: Vec<Judged<'a>>,
    pub(super) council: Council,
    /// First hour at or after `at`, counted in the series; may lie outside it.
    pub(super) first: i64,
}

/// The states that count: of the file's hours from `at` on, and of the window's hours.
pub(super) struct States {
    pub(super) file: Vec<State>,
    pub(super) window: Vec<State>,
}

impl Answer<'_> {
    /// The decision, still without its reasons, notes and explanation, and the states behind it.
    pub(super) fn decision(&self) -> (Decision, States) {
        let question = self.question;
        let states = self.states();
        let needed = question.operation.hours_needed as usize;
        let verdict = verdict(&states.window, needed);
        let spells: Vec<Spell> = fair_runs(&states.file, needed)
            .into_iter()
            .map(|run| self.spell(run, needed))
            .collect();
        let decision = Decision {
            operation: question.operation.clone(),
            site: question.site.name.clone(),
            zone: self.zone,
            at: question.at,
            until: self.until,
            issued: question.forecast.issued,
            format: question.forecast.format,
            file_notices: file_notices(question.forecast),
            verdict,
            reasons: Vec::new(),
            spell: if verdict == Verdict::Go {
                self.spell_of_go(&states, needed, &spells)
            } else {
                None
            },
            spells,
            hours: self.hours(),
            unchecked: self.unchecked(),
            notes: Vec::new(),
            season: None,
            explained: None,
            wait: None,
            work: None,
            sure: None,
            start: self.time(0),
            council: self.council.clone(),
        };
        (decision, states)
    }

    pub(super) fn series(&self) -> Option<&HourlySeries> {
        self.question.forecast.members.first()
    }

    pub(super) fn from(&self) -> usize {
        usize::try_from(self.first).unwrap_or(0)
    }

    pub(super) fn time(&self, hour: usize) -> i64 {
        self.series().map_or(0, |series| series.time(hour))
    }

    /// States of the file's hours from `at` on, and of the window's, in which hours outside the file are unknown.
    /// A stale forecast makes all of them unknown.
    pub(super) fn states(&self) -> States {
        let mut file = self.council.states();
        if self.is_stale() {
            file.fill(State::Unknown);
        }
        let start = self.series().map_or(0, HourlySeries::start);
        let end = (self.until - start).div_euclid(HOUR_S);
        let offset = i64::try_from(self.from()).unwrap_or(0);
        let window = (self.first..end).map(|hour| {
            let place = usize::try_from(hour - offset).ok();
            place
                .and_then(|place| file.get(place))
                .copied()
                .unwrap_or(State::Unknown)
        });
        let window = window.collect();
        States { file, window }
    }

    pub(super) fn is_stale(&self) -> bool {
        match self.question.forecast.issued {
            Issued::Unknown => false,
            Issued::Blank => true,
            Issued::At(issued) => {
                self.question.at.saturating_sub(issued) > self.question.operation.stale_after_s
            }
        }
    }

    /// A spell of hours counted from [`Self::from`], with its best run.
    pub(super) fn spell(&self, (start, end): (usize, usize), needed: usize) -> Spell {
        let (from, rules) = (self.from(), &self.question.operation.rules);
        let clear: Vec<f64> = (start..end)
            .map(|hour| self.council.clearance(from + hour, rules))
            .collect();
        Spell {
            start: self.time(from + start),
            end: self.time(from + end),
            best_start: self.time(from + start + widest_run(&clear, needed)),
        }
    }

    /// The first spell with enough hours inside the window; its best run is looked for inside too.
    pub(super) fn spell_of_go(
        &self,
        states: &States,
        needed: usize,
        spells: &[Spell],
    ) -> Option<Spell> {
        let inside = *fair_runs(&states.window, needed).first()?;
        Some(self.spell_of_run(inside, needed, spells)?.0)
    }

    /// The spell that a run of the window's hours belongs to, with its best run looked for inside; and when the run
    /// begins and ends.
    pub(super) fn spell_of_run(
        &self,
        inside: (usize, usize),
        needed: usize,
        spells: &[Spell],
    ) -> Option<(Spell, (i64, i64))> {
        let before = usize::try_from(-self.first).unwrap_or(0);
        let run = (inside.0.checked_sub(before)?, inside.1.checked_sub(before)?);
        let best_start = self.spell(run, needed).best_start;
        let from = self.from();
        let (start, end) = (self.time(from + run.0), self.time(from + run.1));
        let whole = spells
            .iter()
            .find(|spell| spell.start <= start && start < spell.end)?;
        let spell = Spell {
            best_start,
            ..*whole
        };
        Some((spell, (start, end)))
    }

    pub(super) fn hours(&self) -> Vec<Hour> {
        let raised = self.council.raised(self.question.operation);
        let is_stale = self.is_stale();
        let hours = (self.from()..).zip(self.council.states()).zip(raised);
        let hour = |((hour, state), raised)| Hour {
            time: self.time(hour),
            state: if is_stale { State::Unknown } else { state },
            raised,
        };
        hours.map(hour).collect()
    }

    pub(super) fn is_unchecked(&self, rule: usize) -> bool {
        let is_optional = self
            .question
            .operation
            .rules
            .get(rule)
            .is_some_and(|rule| rule.optional);
        is_optional && self.council.is_absent(rule)
    }

    pub(super) fn unchecked(&self) -> Vec<usize> {
        (0..self.question.operation.rules.len())
            .filter(|rule| self.is_unchecked(*rule))
            .collect()
    }

    pub(super) fn explained(&self, decision: &Decision) -> Option<Explained> {
        let series = self.series()?;
        let hour = match self.question.explain? {
            ExplainAt::Time(time) => {
                usize::try_from((time - series.start()).div_euclid(HOUR_S)).ok()?
            }
            ExplainAt::Best => {
                let spell = decision.spell.as_ref().or(decision.spells.first());
                let time = spell.map_or_else(|| self.time(self.from()), |spell| spell.best_start);
                usize::try_from((time - series.start()).div_euclid(HOUR_S)).ok()?
            }
        };
        let member = self.judged.first()?;
        (hour < series.hours() && hour >= member.from()).then(|| {
            explain::explain(
                member,
                series,
                self.question.operation,
                &sky_of(self.question),
                hour,
            )
        })
    }
}

/// What the reader had to say, save what the answer says itself.
fn file_notices(forecast: &Reading) -> Vec<String> {
    let notices = forecast.notices.iter();
    notices
        .filter(|notice| !matches!(notice, Notice::NoRainAmount { .. }))
        .map(ToString::to_string)
        .collect()
}

/// What is known of the place: the site's own word before the file's.
pub(super) fn sky_of(question: &Question<'_>) -> Sky {
    let (site, position) = (question.site, question.forecast.position);
    let coordinates = site
        .coordinates()
        .or(position.map(|position| (position.latitude, position.longitude)));
    let elevation = site
        .elevation_m
        .or(position.and_then(|position| position.elevation_m));
    Sky {
        coordinates,
        elevation_m: elevation.unwrap_or(0.0),
        dry_before: question.is_dry_now,
    }
}

fn verdict(window: &[State], needed: usize) -> Verdict {
    if !fair_runs(window, needed).is_empty() {
        return Verdict::Go;
    }
    let hopeful: Vec<State> = window
        .iter()
        .map(|state| {
            if *state == State::Unknown {
                State::Fair
            } else {
                *state
            }
        })
        .collect();
    if fair_runs(&hopeful, needed).is_empty() {
        Verdict::NoGo
    } else {
        Verdict::CannotTell
    }
}
