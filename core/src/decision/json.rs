//! The answer as JSON, by the schema `fairspell.decision/1`.

use chrono::{DateTime, SecondsFormat};
use serde::Serialize;

use super::standing::JsonSeasonState;
use super::{
    Advice, Decision, Explained, ExplainedRule, Hindrance, Hour, Input, LaidWork, Reason,
    SeasonState, Spell, Units, Verdict, Wait,
};
use crate::confidence::{Confidence, Source};
use crate::json::written;
use crate::operation::{Rule, StandingCaution};
use crate::read::Issued;
use crate::spell::Outcome;

#[derive(Serialize)]
struct Root<'a> {
    schema: &'static str,
    operation: &'a str,
    title: &'a str,
    site: Option<&'a str>,
    zone: &'static str,
    at: String,
    until: String,
    issued: Option<String>,
    verdict: &'static str,
    reasons: Vec<JsonReason<'a>>,
    hours_needed: u32,
    #[serde(skip_serializing_if = "Option::is_none")]
    min_confidence: Option<f64>,
    spell: Option<JsonSpell>,
    spells: Vec<JsonSpell>,
    hours: Vec<JsonHour<'a>>,
    unchecked: Vec<&'a str>,
    wait: Option<JsonWait>,
    season: Option<JsonSeasonState<'a>>,
    cautions: &'a [StandingCaution],
    notices: Vec<String>,
    limits: Vec<JsonLimit<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    work: Option<JsonWork<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    explain: Option<JsonExplained<'a>>,
}

#[derive(Serialize)]
struct JsonWait {
    advice: &'static str,
    wait_until: Option<String>,
    now_loss: Option<f64>,
    waiting_loss: f64,
    missed_loss: f64,
    later_chance: f64,
    closes: String,
    days_by_forecast: usize,
    days_by_past_hours: usize,
    days_by_record: usize,
}

#[derive(Serialize)]
struct JsonWork<'a> {
    stints: Vec<JsonStint<'a>>,
    left: Vec<JsonLeft<'a>>,
}

#[derive(Serialize)]
struct JsonStint<'a> {
    task: &'static str,
    kind: &'a str,
    count: u32,
    start: String,
    minutes: f64,
}

#[derive(Serialize)]
struct JsonLeft<'a> {
    task: &'static str,
    kind: &'a str,
    count: u32,
    minutes: f64,
    why: &'static str,
}

#[derive(Serialize, Default)]
struct JsonReason<'a> {
    kind: &'static str,
    text: String,
    rule: Option<&'a str>,
    time: Option<String>,
    hours: Option<usize>,
    alone: Option<usize>,
    value: Option<f64>,
    limit: Option<f64>,
    margin: Option<f64>,
    unit: Option<&'static str>,
}

#[derive(Serialize)]
struct JsonSpell {
    start: String,
    end: String,
    hours: i64,
    best_start: String,
    confidence: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    confidence_model: Option<JsonModel>,
}

#[derive(Serialize)]
struct JsonModel {
    name: &'static str,
    text: String,
    low: Option<f64>,
    high: Option<f64>,
    parts: JsonParts,
    members: Option<usize>,
    members_fair: Option<usize>,
    outside: Vec<&'static str>,
}

#[derive(Serialize)]
struct JsonParts {
    temperature: Option<f64>,
    wind: Option<f64>,
    rain: Option<f64>,
    members: Option<f64>,
}

#[derive(Serialize)]
struct JsonHour<'a> {
    time: String,
    state: &'static str,
    hindrances: Vec<JsonHindrance<'a>>,
    cautions: Vec<JsonHourCaution<'a>>,
}

#[derive(Serialize)]
struct JsonHindrance<'a> {
    rule: &'a str,
    value: Option<f64>,
    limit: Option<f64>,
    margin: Option<f64>,
    unit: &'static str,
}

#[derive(Serialize)]
struct JsonHourCaution<'a> {
    rule: &'a str,
    state: &'static str,
    value: Option<f64>,
    limit: Option<f64>,
    margin: Option<f64>,
    unit: &'static str,
}

#[derive(Serialize)]
struct JsonLimit<'a> {
    rule: &'a str,
    measure: &'static str,
    over: String,
    take: &'static str,
    at_least: Option<f64>,
    at_most: Option<f64>,
    unit: &'static str,
    severity: &'static str,
    optional: bool,
    source: &'a str,
}

#[derive(Serialize)]
struct JsonExplained<'a> {
    time: String,
    rules: Vec<JsonExplainedRule<'a>>,
}

#[derive(Serialize)]
struct JsonExplainedRule<'a> {
    rule: &'a str,
    outcome: &'static str,
    low: Option<f64>,
    high: Option<f64>,
    margin: Option<f64>,
    unit: &'static str,
    decided_by: String,
    inputs: Vec<JsonInput>,
    formula: Option<&'static str>,
    formula_source: Option<&'static str>,
    limit_source: &'a str,
}

#[derive(Serialize)]
struct JsonInput {
    name: &'static str,
    low: Option<f64>,
    high: Option<f64>,
    unit: &'static str,
}

fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value + 0.0)
}

impl Decision {
    /// The answer as one JSON object by the schema `fairspell.decision/1`, without line breaks.
    ///
    /// Numbers are in the unit that stands beside them, in full precision; a margin is below 0 by how much a rule
    /// fails; what is not known is null. Times carry the offset of the place's clock.
    #[must_use]
    pub fn to_json(&self) -> String {
        written(&self.root())
    }

    fn root(&self) -> Root<'_> {
        let issued = match self.issued {
            Issued::At(time) => Some(self.iso(time)),
            _ => None,
        };
        let spell = self.spell.as_ref().filter(|_| self.verdict == Verdict::Go);
        let explained = self.explained.as_ref();
        Root {
            schema: "fairspell.decision/1",
            operation: &self.operation.name,
            title: &self.operation.title,
            site: self.site.as_deref(),
            zone: self.zone.name(),
            at: self.iso(self.at),
            until: self.iso(self.until),
            issued,
            verdict: self.verdict.name(),
            reasons: self.json_reasons(),
            hours_needed: self.operation.hours_needed,
            min_confidence: self.sure.as_ref().and_then(|sure| sure.least),
            spell: spell.map(|spell| self.json_spell(spell)),
            spells: self
                .spells
                .iter()
                .map(|spell| self.json_spell(spell))
                .collect(),
            hours: self.hours.iter().map(|hour| self.json_hour(hour)).collect(),
            unchecked: self.unchecked_names(),
            wait: self.wait.as_ref().map(json_wait),
            season: self.season.as_ref().map(SeasonState::json),
            cautions: &self.operation.cautions,
            notices: self.all_note_texts(),
            limits: self.operation.rules.iter().map(json_limit).collect(),
            work: self.work.as_ref().map(|laid| self.json_work(laid)),
            explain: explained.map(|explained| self.json_explained(explained)),
        }
    }

    fn unchecked_names(&self) -> Vec<&str> {
        let rules = self.unchecked.iter();
        rules.map(|rule| self.rule_name(*rule)).collect()
    }

    fn json_work<'a>(&self, laid: &'a LaidWork) -> JsonWork<'a> {
        let kind = |bed: usize| laid.work.beds.get(bed).map_or("", |bed| bed.kind.as_str());
        let stints = laid.split.stints.iter().map(|stint| JsonStint {
            task: stint.kind.name(),
            kind: kind(stint.bed),
            count: stint.count,
            start: self.iso(stint.start),
            minutes: stint.minutes,
        });
        let left = laid.split.left.iter().map(|left| JsonLeft {
            task: left.kind.name(),
            kind: kind(left.bed),
            count: left.count,
            minutes: left.minutes,
            why: left.why.words(),
        });
        JsonWork {
            stints: stints.collect(),
            left: left.collect(),
        }
    }

    fn iso(&self, unix_s: i64) -> String {
        DateTime::from_timestamp(unix_s, 0).map_or_else(String::new, |time| {
            time.with_timezone(&self.zone)
                .to_rfc3339_opts(SecondsFormat::Secs, false)
        })
    }

    fn rule_name(&self, rule: usize) -> &str {
        self.rule(rule).map_or("", |rule| rule.name.as_str())
    }

    fn unit(&self, rule: usize) -> &'static str {
        self.rule(rule).map_or("", |rule| rule.unit().symbol())
    }

    fn json_reasons(&self) -> Vec<JsonReason<'_>> {
        let reasons = self.reasons.iter();
        reasons.map(|reason| self.json_reason(reason)).collect()
    }

    fn json_reason(&self, reason: &Reason) -> JsonReason<'_> {
        let text = self.reason_text(reason, Units::AsWritten);
        let plain = |kind, time: Option<i64>, hours| JsonReason {
            kind,
            text,
            time: time.map(|time| self.iso(time)),
            hours,
            ..JsonReason::default()
        };
        match reason {
            Reason::Stale { issued } => plain("stale", *issued, None),
            Reason::Hindered {
                hours,
                alone,
                time,
                hindrance,
            } => JsonReason {
                alone: Some(*alone),
                ..self.with_found(plain("hindered", Some(*time), Some(*hours)), hindrance)
            },
            Reason::Unknown {
                rule, hours, time, ..
            } => JsonReason {
                rule: Some(self.rule_name(*rule)),
                ..plain("unknown", Some(*time), Some(*hours))
            },
            Reason::NoRow { hours, time } => plain("no-row", Some(*time), Some(*hours)),
            Reason::TooShort { longest, .. } => plain("too-short", None, Some(*longest)),
            Reason::Unsure {
                time,
                probability,
                least,
                ..
            } => with_chance(plain("unsure", Some(*time), None), *probability, *least),
            Reason::Ends { time, hindrance } => {
                self.with_any(plain("ends", Some(*time), None), hindrance.as_ref())
            }
        }
    }

    fn with_any<'a>(&'a self, reason: JsonReason<'a>, found: Option<&Hindrance>) -> JsonReason<'a> {
        match found {
            Some(found) => self.with_found(reason, found),
            None => reason,
        }
    }

    fn with_found<'a>(&'a self, reason: JsonReason<'a>, found: &Hindrance) -> JsonReason<'a> {
        JsonReason {
            rule: Some(self.rule_name(found.rule)),
            value: finite(found.value),
            limit: finite(found.limit),
            margin: finite(found.margin),
            unit: Some(self.unit(found.rule)),
            ..reason
        }
    }

    fn json_spell(&self, spell: &Spell) -> JsonSpell {
        JsonSpell {
            start: self.iso(spell.start),
            end: self.iso(spell.end),
            hours: spell.hours(),
            best_start: self.iso(spell.best_start),
            confidence: self.confidence(spell).and_then(|own| own.probability),
            confidence_model: self.json_model(spell),
        }
    }

    fn json_model(&self, spell: &Spell) -> Option<JsonModel> {
        let confidence = self.confidence(spell)?;
        let (name, members, members_fair) = json_source(confidence);
        let is_known = confidence.probability.is_some();
        let mut outside = confidence.outside.clone();
        if confidence.is_without_chance {
            outside.insert(0, "rain");
        }
        Some(JsonModel {
            name,
            text: self.confidence_text(spell)?,
            low: is_known.then_some(confidence.low),
            high: is_known.then_some(confidence.high),
            parts: JsonParts {
                temperature: confidence.parts.temperature,
                wind: confidence.parts.wind,
                rain: confidence.parts.rain,
                members: confidence.parts.members,
            },
            members,
            members_fair,
            outside,
        })
    }

    fn json_hour(&self, hour: &Hour) -> JsonHour<'_> {
        let hindrance = |found: Hindrance| JsonHindrance {
            rule: self.rule_name(found.rule),
            value: finite(found.value),
            limit: finite(found.limit),
            margin: finite(found.margin),
            unit: self.unit(found.rule),
        };
        let caution = |found: Hindrance| JsonHourCaution {
            rule: self.rule_name(found.rule),
            state: if found.is_known {
                "raised"
            } else {
                "not-known"
            },
            value: finite(found.value).filter(|_| found.is_known),
            limit: finite(found.limit),
            margin: finite(found.margin).filter(|_| found.is_known),
            unit: self.unit(found.rule),
        };
        JsonHour {
            time: self.iso(hour.time),
            state: hour.state.name(),
            hindrances: self.hindrances(hour).into_iter().map(hindrance).collect(),
            cautions: self.cautions(hour).into_iter().map(caution).collect(),
        }
    }

    fn json_explained(&self, explained: &Explained) -> JsonExplained<'_> {
        let rules = explained
            .rules
            .iter()
            .map(|explained| self.json_explained_rule(explained));
        JsonExplained {
            time: self.iso(explained.time),
            rules: rules.collect(),
        }
    }

    fn json_explained_rule(&self, explained: &ExplainedRule) -> JsonExplainedRule<'_> {
        let (rule, finding) = (self.rule(explained.rule), explained.finding);
        let is_known = finding.outcome != Outcome::Unknown;
        JsonExplainedRule {
            rule: self.rule_name(explained.rule),
            outcome: explained.outcome(),
            low: finite(finding.low),
            high: finite(finding.high),
            margin: rule
                .and_then(|rule| finite(finding.margin(rule)))
                .filter(|_| is_known),
            unit: self.unit(explained.rule),
            decided_by: self.iso(explained.decided_by),
            inputs: explained.inputs.iter().map(json_input).collect(),
            formula: explained.formula.map(|formula| formula.expression),
            formula_source: explained.formula.map(|formula| formula.citation),
            limit_source: rule.map_or("", |rule| rule.source.as_str()),
        }
    }
}

/// A reason with a confidence, in per cent.
fn with_chance(reason: JsonReason<'_>, probability: Option<f64>, least: f64) -> JsonReason<'_> {
    JsonReason {
        value: probability.map(|own| 100.0 * own),
        limit: Some(100.0 * least),
        margin: probability.map(|own| 100.0 * (own - least)),
        unit: Some("%"),
        ..reason
    }
}

/// Name of the source in JSON, how many members it has, and how many of them are fair throughout.
fn json_source(confidence: &Confidence) -> (&'static str, Option<usize>, Option<usize>) {
    match confidence.source {
        Source::ErrorModel => ("error-model", None, None),
        Source::StatedError => ("stated-error", None, None),
        Source::Percentiles => ("percentiles", None, None),
        Source::RawMembers { count, fair } => ("raw-members", Some(count), Some(fair)),
        Source::WidenedMembers { count } => ("widened-members", Some(count), None),
    }
}

fn json_input(input: &Input) -> JsonInput {
    JsonInput {
        name: input.name,
        low: input.value.and_then(|value| finite(value.0)),
        high: input.value.and_then(|value| finite(value.1)),
        unit: input.unit.symbol(),
    }
}

fn json_wait(wait: &Wait) -> JsonWait {
    let wait_until = match wait.advice {
        Advice::WaitUntil(date) => Some(date.to_string()),
        _ => None,
    };
    JsonWait {
        advice: wait.advice.name(),
        wait_until,
        now_loss: wait.now,
        waiting_loss: wait.waiting,
        missed_loss: wait.missed,
        later_chance: wait.later,
        closes: wait.closes.to_string(),
        days_by_forecast: wait.days.forecast,
        days_by_past_hours: wait.days.hours,
        days_by_record: wait.days.record,
    }
}

fn json_limit(rule: &Rule) -> JsonLimit<'_> {
    let own = |limit: crate::quantity::Quantity| limit.unit.convert(limit.value, rule.unit());
    JsonLimit {
        rule: &rule.name,
        measure: rule.measure.name(),
        over: rule.over.to_string(),
        take: rule.take.name(),
        at_least: rule.at_least.map(own),
        at_most: rule.at_most.map(own),
        unit: rule.unit().symbol(),
        severity: rule.severity.name(),
        optional: rule.optional,
        source: &rule.source,
    }
}
