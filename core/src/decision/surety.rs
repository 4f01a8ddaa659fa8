//! How sure the spells of an answer are, and what becomes of a go that is not sure enough.

use super::answer::{Answer, States};
use super::reason::Reason;
use super::{Decision, Spell, Verdict};
use crate::confidence::{
    Confidence, ErrorModel, Forecast, Source, Unknown, in_words, surest_start,
};
use crate::series::{Element, HOUR_S};
use crate::spell::{State, fair_runs};

/// What is asked about confidence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surety {
    /// The least confidence of a go, 0 to 1; `None`: any will do.
    pub least: Option<f64>,
    /// The error model for what neither the file nor the site says.
    pub model: ErrorModel,
}

impl Default for Surety {
    fn default() -> Self {
        Self {
            least: None,
            model: ErrorModel::HANDBOOK,
        }
    }
}

/// How sure the spells of an answer are.
#[derive(Debug, Clone, PartialEq)]
pub struct Sure {
    /// The least confidence of a go that was asked for.
    pub least: Option<f64>,
    /// Of the spell that carries a go; its run lies inside the window.
    pub own: Option<Confidence>,
    /// Of all spells, in their order.
    pub of_spells: Vec<Confidence>,
}

/// Gives the spells of a decision their confidence, and holds its go to the least asked for.
pub(super) fn weigh(
    answer: &Answer<'_>,
    decision: &mut Decision,
    states: &States,
    surety: &Surety,
) {
    let question = answer.question;
    let forecast = Forecast {
        judged: &answer.judged,
        issued: question.forecast.issued,
        format: question.forecast.format,
        stated: question.site.forecast_error.as_ref(),
        model: &surety.model,
    };
    let weigher = Weigher { answer, forecast };
    let spells = decision.spells.iter_mut();
    let of_spells = spells
        .map(|spell| weigher.weighed(spell, (spell.start, spell.end)))
        .collect();
    let mut own = None;
    if decision.verdict == Verdict::Go {
        match weigher.carrier(decision, states, surety.least) {
            Some((spell, confidence)) if is_enough(&confidence, surety.least) => {
                (decision.spell, own) = (Some(spell), Some(confidence));
            }
            Some((spell, confidence)) => {
                unsure(decision, &spell, &confidence, surety.least);
                unsettled(answer, decision, states);
            }
            None => {}
        }
    }
    decision.sure = Some(Sure {
        least: surety.least,
        own,
        of_spells,
    });
}

fn is_enough(confidence: &Confidence, least: Option<f64>) -> bool {
    least.is_none_or(|least| confidence.probability.is_some_and(|own| own >= least))
}

/// Makes a go that is not sure enough one that cannot be told: its hours are fair by the forecast, which may err.
fn unsure(decision: &mut Decision, spell: &Spell, confidence: &Confidence, least: Option<f64>) {
    decision.verdict = Verdict::CannotTell;
    decision.spell = None;
    decision.reasons = vec![Reason::Unsure {
        time: spell.best_start,
        probability: confidence.probability,
        least: least.unwrap_or(0.0),
        parts: confidence.steps(),
        unknown: confidence.unknown,
    }];
}

/// Unknown hours that could make a surer run decide: it cannot be told then, and what is not known is a reason too.
fn unsettled(answer: &Answer<'_>, decision: &mut Decision, states: &States) {
    let needed = answer.question.operation.hours_needed as usize;
    let could = |run: &[State]| run.contains(&State::Unknown) && !run.contains(&State::Hindered);
    if states.window.windows(needed.max(1)).any(could) {
        decision.verdict = Verdict::CannotTell;
        let unknown = super::reason::not_known(answer, decision, states);
        decision.reasons.extend(unknown);
    }
}

struct Weigher<'a> {
    answer: &'a Answer<'a>,
    forecast: Forecast<'a>,
}

impl Weigher<'_> {
    /// The confidence of the best run of a spell between two times; of raw members the surest is the best.
    fn weighed(&self, spell: &mut Spell, (from, to): (i64, i64)) -> Confidence {
        let hours = self.hour(from)..self.hour(to);
        if let Some(start) = surest_start(&self.forecast, hours, self.needed()) {
            spell.best_start = self.answer.time(start);
        }
        self.of_run(spell.best_start)
    }

    fn of_run(&self, start: i64) -> Confidence {
        let start = self.hour(start);
        Confidence::of_run(&self.forecast, start..start + self.needed())
    }

    fn needed(&self) -> usize {
        self.answer.question.operation.hours_needed as usize
    }

    fn hour(&self, time: i64) -> usize {
        usize::try_from((time - self.answer.time(0)) / HOUR_S).unwrap_or(0)
    }

    /// The first spell of the window whose best run is sure enough. Where none is, all runs are tried, so that a value
    /// that goes missing can never lead to a surer one: the surest, else one that is not known, else the surest of all.
    fn carrier(
        &self,
        decision: &Decision,
        states: &States,
        least: Option<f64>,
    ) -> Option<(Spell, Confidence)> {
        let runs = fair_runs(&states.window, self.needed());
        let spells = runs.into_iter().filter_map(|inside| {
            self.answer
                .spell_of_run(inside, self.needed(), &decision.spells)
        });
        let spells: Vec<(Spell, (i64, i64))> = spells.collect();
        for (spell, run) in &spells {
            let mut spell = *spell;
            let confidence = self.weighed(&mut spell, *run);
            if is_enough(&confidence, least) {
                return Some((spell, confidence));
            }
        }
        let all = spells
            .iter()
            .flat_map(|(spell, run)| self.all_runs(spell, *run));
        let all: Vec<(Spell, Confidence)> = all.collect();
        let chance = |of: &(Spell, Confidence)| of.1.probability.unwrap_or(-1.0);
        let surest = all.iter().reduce(|best, other| {
            if chance(other) > chance(best) {
                other
            } else {
                best
            }
        });
        let unknown = || all.iter().find(|(_, own)| own.probability.is_none());
        let enough = surest.filter(|(_, own)| is_enough(own, least));
        enough.or_else(unknown).or(surest).cloned()
    }

    /// Every run of the hours needed between two times of a spell.
    fn all_runs(&self, spell: &Spell, (from, to): (i64, i64)) -> Vec<(Spell, Confidence)> {
        let last = self.hour(to).saturating_sub(self.needed());
        let starts = self.hour(from)..=last;
        let run = |start: usize| {
            let best_start = self.answer.time(start);
            let spell = Spell {
                best_start,
                ..*spell
            };
            (spell, self.of_run(best_start))
        };
        starts.map(run).collect()
    }
}

impl Sure {
    /// The confidence of a spell of the answer: that of the go where it is that spell's.
    pub(super) fn of(&self, decision: &Decision, spell: &Spell) -> Option<&Confidence> {
        if let (Some(own), Some(confidence)) = (&decision.spell, &self.own)
            && own == spell
        {
            return Some(confidence);
        }
        let same = |other: &Spell| other.start == spell.start;
        self.of_spells.get(decision.spells.iter().position(same)?)
    }
}

impl Decision {
    /// How sure a spell of the answer is; `None` where confidence was not asked for.
    #[must_use]
    pub fn confidence(&self, spell: &Spell) -> Option<&Confidence> {
        self.sure.as_ref()?.of(self, spell)
    }

    /// How sure a spell is, in a few words: `about 70 %`; `None` where it was not asked for.
    #[must_use]
    pub fn confidence_words(&self, spell: &Spell) -> Option<String> {
        let confidence = self.confidence(spell)?;
        Some(match confidence.probability {
            Some(own) => in_words(own, confidence.steps()).1,
            None => "not known".to_owned(),
        })
    }

    /// The same with the noun before it: `confidence about 70 %`.
    #[must_use]
    pub fn confidence_short(&self, spell: &Spell) -> Option<String> {
        Some(format!("confidence {}", self.confidence_words(spell)?))
    }

    /// How sure a spell is, where that comes from, and what it leaves out, in sentences; `None` where it was not asked
    /// for.
    #[must_use]
    pub fn confidence_text(&self, spell: &Spell) -> Option<String> {
        let confidence = self.confidence(spell)?;
        let Some(own) = confidence.probability else {
            return Some(format!(
                "not known: {}",
                self.unknown_text(confidence.unknown)
            ));
        };
        let (words, per_cent) = in_words(own, confidence.steps());
        let number = per_cent.split_once(' ').map_or("", |(_, number)| number);
        let source = source_text(confidence);
        let left_out = left_out(confidence);
        Some(format!("{words} ({number}), {source}{left_out}"))
    }

    /// Why there is no number.
    pub(super) fn unknown_text(&self, unknown: Option<Unknown>) -> String {
        let at = |hour: usize| {
            let hours = i64::try_from(hour).unwrap_or(0);
            super::when(self.start + hours * HOUR_S, self.zone)
        };
        let name = |element: Element| match element {
            Element::RainChance => "chance of rain",
            _ => element.name(),
        };
        match unknown {
            Some(Unknown::Missing { element, hour }) => {
                format!("no {} for {}", name(element), at(hour))
            }
            Some(Unknown::NoPercentile { element, hour }) => {
                format!("no percentiles of the {} for {}", name(element), at(hour))
            }
            Some(Unknown::Rule { rule, hour }) => {
                let rule = self.rule(rule).map_or("", |rule| rule.name.as_str());
                format!("{rule} is not known for {}", at(hour))
            }
            Some(Unknown::Unmodelled) => {
                "the file does not say how unsure it is of anything that the rules limit".to_owned()
            }
            Some(Unknown::Outside) | None => "its hours lie outside the forecast".to_owned(),
        }
    }
}

/// Where a confidence comes from, in words.
pub(super) fn source_text(confidence: &Confidence) -> String {
    match confidence.source {
        Source::ErrorModel => "by an assumed error of forecasts".to_owned(),
        Source::StatedError => "by the forecast error that the site states".to_owned(),
        Source::Percentiles => "by the forecast's own percentiles".to_owned(),
        Source::RawMembers { count, fair } => format!(
            "{fair} of {count} raw members, which are too alike, and the best of all starts: rather less"
        ),
        Source::WidenedMembers { count } => {
            format!("by {count} members widened by the forecast error that the site states")
        }
    }
}

/// What a confidence leaves out, in words.
fn left_out(confidence: &Confidence) -> String {
    let mut names: Vec<String> = confidence
        .outside
        .iter()
        .map(|name| name.replace('-', " "))
        .collect();
    if confidence.is_without_chance {
        names.insert(0, "rain (the file gives no chance of it)".to_owned());
    }
    if names.is_empty() {
        String::new()
    } else {
        format!("; taken as forecast: {}", names.join(", "))
    }
}
