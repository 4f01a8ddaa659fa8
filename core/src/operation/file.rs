//! An operation file: TOML to rules, with line and column of whatever is wrong.

use serde::Deserialize;
use toml::Spanned;

use super::{
    ALWAYS, MAX_RULES, MAX_SPAN_DAYS, MAX_SPAN_H, Measure, Operation, Rule, STANDING_CAUTIONS,
    Severity, Span, StandingCaution, Take, never_holds,
};
use crate::error::{Excerpt, FileError, FileProblem};
use crate::quantity::{Kind, Quantity};
use crate::read::Source;
use crate::site::TomlFile;

/// Least and greatest value allowed.
type Limits = (Option<Quantity>, Option<Quantity>);

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct OperationFile {
    operation: Spanned<String>,
    title: Option<Spanned<String>>,
    hours_needed: Option<Spanned<i64>>,
    stale_after: Option<Spanned<String>>,
    #[serde(default)]
    cautions: Vec<Spanned<String>>,
    #[serde(default)]
    rule: Vec<Spanned<RuleFile>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct RuleFile {
    name: Spanned<String>,
    measure: Spanned<String>,
    over: Option<Spanned<String>>,
    take: Option<Spanned<String>>,
    at_least: Option<Spanned<String>>,
    at_most: Option<Spanned<String>>,
    severity: Spanned<String>,
    optional: Option<Spanned<bool>>,
    source: Spanned<String>,
}

/// Reads an operation file.
pub(super) fn read(source: Source<'_>) -> Result<Operation, FileError> {
    let file = TomlFile::new(source.name, source.bytes, "an operation")?;
    let parsed: OperationFile = file.parse()?;
    let name = name(&file, &parsed.operation)?;
    Ok(Operation {
        title: match parsed.title {
            Some(title) => file.text(title, "a title of 1 to 80 characters")?,
            None => name.clone(),
        },
        name,
        hours_needed: match parsed.hours_needed {
            Some(hours) => file.whole(&hours, 1, 168, "hours from 1 to 168")?,
            None => 1,
        },
        stale_after_s: match parsed.stale_after {
            Some(text) => stale_after(&file, &text)?,
            None => 12 * 3600,
        },
        rules: rules(&file, &parsed.operation, parsed.rule)?,
        cautions: cautions(&file, parsed.cautions)?,
    })
}

fn name(file: &TomlFile<'_>, name: &Spanned<String>) -> Result<String, FileError> {
    let text = name.get_ref();
    let is_plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    if !text.is_empty() && text.len() <= 40 && text.chars().all(is_plain) {
        return Ok(text.clone());
    }
    let expected = "an operation's name of 1 to 40 small letters, digits and hyphens";
    Err(file.value(expected, text, name.span()))
}

fn rules(
    file: &TomlFile<'_>,
    operation: &Spanned<String>,
    given: Vec<Spanned<RuleFile>>,
) -> Result<Vec<Rule>, FileError> {
    if given.is_empty() {
        let problem = FileProblem::Absent {
            expected: "at least one [[rule]]",
        };
        return Err(file.fault(&operation.span(), problem));
    }
    if given.len() > MAX_RULES {
        let problem = FileProblem::TooMuch {
            limit: MAX_RULES as u64,
            of: "rules",
        };
        return Err(file.fault(&operation.span(), problem));
    }
    let mut rules: Vec<Rule> = Vec::with_capacity(given.len());
    for rule in given {
        let rule = rule.into_inner();
        let span = rule.name.span();
        let rule = RuleReader { file, rule }.read()?;
        if rules.iter().any(|earlier| earlier.name == rule.name) {
            let found = Excerpt::of(rule.name.as_bytes());
            return Err(file.fault(&span, FileProblem::Twice { of: "rule", found }));
        }
        rules.push(rule);
    }
    Ok(rules)
}

fn stale_after(file: &TomlFile<'_>, text: &Spanned<String>) -> Result<i64, FileError> {
    let seconds = file.quantity(text, Kind::Duration)?.si() * 3600.0;
    if !(60.0..=1_209_600.0).contains(&seconds) {
        return Err(file.value(
            "a length of time from 1 min to 336 h",
            text.get_ref(),
            text.span(),
        ));
    }
    #[expect(clippy::cast_possible_truncation, reason = "between 60 and 1,209,600")]
    Ok(seconds.round() as i64)
}

fn cautions(
    file: &TomlFile<'_>,
    codes: Vec<Spanned<String>>,
) -> Result<Vec<StandingCaution>, FileError> {
    let (always, named) = STANDING_CAUTIONS.split_at(ALWAYS);
    let mut all = always.to_vec();
    for code in codes {
        let known = named.iter().find(|caution| caution.code == code.get_ref());
        let known = known.ok_or_else(|| {
            let expected = "ppe, bees, water, drift, pets, species, sulphur, ladder, blades, disease or forecast";
            file.value(expected, code.get_ref(), code.span())
        })?;
        if !all.contains(known) {
            all.push(*known);
        }
    }
    Ok(all)
}

struct RuleReader<'a> {
    file: &'a TomlFile<'a>,
    rule: RuleFile,
}

impl RuleReader<'_> {
    fn read(self) -> Result<Rule, FileError> {
        let measure = self.measure()?;
        let over = self.over()?;
        let take = self.take(over, measure)?;
        let (at_least, at_most) = self.limits(measure)?;
        let (severity, optional) = (self.severity()?, self.optional(measure)?);
        let source = self.source()?;
        let name = self.rule.name.clone();
        let name = self
            .file
            .text(name, "a rule's name of 1 to 80 characters")?;
        let rule = Rule {
            name,
            measure,
            over,
            take,
            at_least,
            at_most,
            severity,
            optional,
            source,
        };
        let Some((found, why)) = never_holds(&rule) else {
            return Ok(rule);
        };
        let is_least = rule.at_least == Some(found);
        let at = if is_least {
            &self.rule.at_least
        } else {
            &self.rule.at_most
        };
        let at = at
            .as_ref()
            .map_or_else(|| self.rule.name.span(), Spanned::span);
        let found = Excerpt::of(found.to_string().as_bytes());
        Err(self.file.fault(&at, FileProblem::NeverHolds { found, why }))
    }

    fn limits(&self, measure: Measure) -> Result<Limits, FileError> {
        let limit = |text: &Option<Spanned<String>>| {
            text.as_ref()
                .map(|text| self.file.quantity(text, measure.kind()))
                .transpose()
        };
        let limits = (limit(&self.rule.at_least)?, limit(&self.rule.at_most)?);
        if limits == (None, None) {
            let problem = FileProblem::Absent {
                expected: "at-least or at-most in the rule",
            };
            return Err(self.file.fault(&self.rule.name.span(), problem));
        }
        Ok(limits)
    }

    fn source(&self) -> Result<String, FileError> {
        let expected = "a source of 1 to 500 characters, or \"Common practice\"";
        self.file.sentence(&self.rule.source, expected)
    }

    fn measure(&self) -> Result<Measure, FileError> {
        let name = &self.rule.measure;
        let expected = "temperature, rain, rain-chance, humidity, dew-point, wind, gust, cloud, snow, wet-bulb, \
            wet-bulb-depression, dew-point-depression, vapour-pressure-deficit, drying-hours, sun-elevation, daylight, \
            hours-since-rain or hours-until-rain";
        Measure::named(name.get_ref())
            .ok_or_else(|| self.file.value(expected, name.get_ref(), name.span()))
    }

    fn over(&self) -> Result<Span, FileError> {
        let Some(over) = &self.rule.over else {
            return Ok(Span::ThisHour);
        };
        let words: Vec<&str> = over.get_ref().split_whitespace().collect();
        let number = |text: &str, most: u32| {
            let digits = text.bytes().all(|byte| byte.is_ascii_digit());
            text.parse::<u32>()
                .ok()
                .filter(|number| digits && (1..=most).contains(number))
        };
        let span = match words.as_slice() {
            ["this", "hour"] => Some(Span::ThisHour),
            [hours, "h", "after"] => number(hours, MAX_SPAN_H).map(Span::After),
            [hours, "h", "before"] => number(hours, MAX_SPAN_H).map(Span::Before),
            ["each", "of", days, "days" | "day"] => {
                number(days, MAX_SPAN_DAYS).map(Span::EachOfDays)
            }
            _ => None,
        };
        let expected = "\"this hour\", \"N h after\", \"N h before\" (N from 1 to 384) or \"each of N days\" (1 to 16)";
        span.ok_or_else(|| self.file.value(expected, over.get_ref(), over.span()))
    }

    fn take(&self, over: Span, measure: Measure) -> Result<Take, FileError> {
        let is_depth = measure.kind() == Kind::Depth;
        let Some(take) = &self.rule.take else {
            return if over == Span::ThisHour {
                Ok(Take::Value)
            } else {
                let problem = FileProblem::Absent {
                    expected: "take = \"min\", \"max\", \"sum\" or \"mean\" beside over",
                };
                Err(self.file.fault(
                    &self.rule.over.as_ref().map_or(0..0, Spanned::span),
                    problem,
                ))
            };
        };
        match (take.get_ref().as_str(), over) {
            ("value", Span::ThisHour) => Ok(Take::Value),
            ("min", _) => Ok(Take::Min),
            ("max", _) => Ok(Take::Max),
            ("sum", _) if is_depth => Ok(Take::Sum),
            ("mean", _) => Ok(Take::Mean),
            _ => {
                let expected =
                    "min, max or mean; value for this hour alone; sum for rain and snow alone";
                Err(self.file.value(expected, take.get_ref(), take.span()))
            }
        }
    }

    fn severity(&self) -> Result<Severity, FileError> {
        match self.rule.severity.get_ref().as_str() {
            "block" => Ok(Severity::Block),
            "caution" => Ok(Severity::Caution),
            found => Err(self
                .file
                .value("block or caution", found, self.rule.severity.span())),
        }
    }

    fn optional(&self, measure: Measure) -> Result<bool, FileError> {
        match &self.rule.optional {
            Some(optional) if *optional.get_ref() && !measure.may_be_optional() => {
                let expected = "no optional on temperature or rain: they are never optional";
                Err(self.file.value(expected, "true", optional.span()))
            }
            Some(optional) => Ok(*optional.get_ref()),
            None => Ok(false),
        }
    }
}
