//! An operation: a list of rules, each a limit on a measure over a span of hours, with its severity and source.
//!
//! Rules are data. The built-in `oil` and `prune` are two TOML files; a user's own file is read the same way.

use core::ops::Range;

use serde::Deserialize;
use toml::Spanned;

use crate::error::{Excerpt, FileError, FileProblem};
use crate::quantity::{Kind, Quantity, Unit};
use crate::read::Source;
use crate::series::Element;
use crate::site::{OwnLimit, Site, TomlFile};

/// Most rules of an operation. Ours.
pub const MAX_RULES: usize = 64;
/// Longest span before or after an hour \[h\]: sixteen days, the reach of the longest public forecasts. Ours.
pub const MAX_SPAN_H: u32 = 384;
/// Most local days of an `each of N days`. Ours, as above.
pub const MAX_SPAN_DAYS: u32 = 16;

/// The built-in operation that sprays dormant oil, as its file stands.
pub const OIL: &str = include_str!("../../data/operations/oil.toml");
/// The built-in operation that prunes, as its file stands.
pub const PRUNE: &str = include_str!("../../data/operations/prune.toml");

/// What a rule limits: an element of the file, or what is derived from elements, place and time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Measure {
    /// An element as the file gives it; humidity and dew point are derived from each other where one is absent.
    Read(Element),
    /// Temperature of a wet, ventilated surface.
    WetBulb,
    /// Temperature minus wet bulb.
    WetBulbDepression,
    /// Temperature minus dew point.
    DewPointDepression,
    /// Vapour pressure deficit.
    VapourPressureDeficit,
    /// Hours that a wet surface needs to dry from this hour on.
    DryingHours,
    /// Geometric elevation of the sun's centre at mid-hour.
    SunElevation,
    /// The lower of the sun's elevations at the two ends of the hour.
    Daylight,
    /// Hours since the last hour with rain, 0 in an hour with rain.
    HoursSinceRain,
    /// Hours until the next hour with rain, 0 in an hour with rain.
    HoursUntilRain,
}

impl Measure {
    /// All measures.
    pub const ALL: [Self; 18] = [
        Self::Read(Element::Temperature),
        Self::Read(Element::Rain),
        Self::Read(Element::RainChance),
        Self::Read(Element::Humidity),
        Self::Read(Element::DewPoint),
        Self::Read(Element::Wind),
        Self::Read(Element::Gust),
        Self::Read(Element::Cloud),
        Self::Read(Element::Snow),
        Self::WetBulb,
        Self::WetBulbDepression,
        Self::DewPointDepression,
        Self::VapourPressureDeficit,
        Self::DryingHours,
        Self::SunElevation,
        Self::Daylight,
        Self::HoursSinceRain,
        Self::HoursUntilRain,
    ];

    /// Its name in operation files.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Read(element) => element.name(),
            Self::WetBulb => "wet-bulb",
            Self::WetBulbDepression => "wet-bulb-depression",
            Self::DewPointDepression => "dew-point-depression",
            Self::VapourPressureDeficit => "vapour-pressure-deficit",
            Self::DryingHours => "drying-hours",
            Self::SunElevation => "sun-elevation",
            Self::Daylight => "daylight",
            Self::HoursSinceRain => "hours-since-rain",
            Self::HoursUntilRain => "hours-until-rain",
        }
    }

    /// What it is a quantity of.
    #[must_use]
    pub fn kind(self) -> Kind {
        match self {
            Self::Read(element) => element.kind(),
            Self::WetBulb => Kind::Temperature,
            Self::WetBulbDepression | Self::DewPointDepression => Kind::TemperatureDifference,
            Self::VapourPressureDeficit => Kind::Pressure,
            Self::DryingHours | Self::HoursSinceRain | Self::HoursUntilRain => Kind::Duration,
            Self::SunElevation | Self::Daylight => Kind::Angle,
        }
    }

    /// Whether a rule on it may be optional: whatever rests on temperature or rain alone may not.
    #[must_use]
    pub fn may_be_optional(self) -> bool {
        !matches!(
            self,
            Self::Read(Element::Temperature | Element::Rain)
                | Self::HoursSinceRain
                | Self::HoursUntilRain
        )
    }

    /// Least and greatest value that can be, in SI.
    #[must_use]
    pub fn possible_si(self) -> (f64, f64) {
        match self {
            Self::Read(element) => element.possible_si(),
            Self::WetBulb => (-273.15, f64::INFINITY),
            Self::SunElevation | Self::Daylight => (-90.0, 90.0),
            _ => (0.0, f64::INFINITY),
        }
    }

    /// Least and greatest value that the weather of a believable file can have, in SI: a limit beyond never holds.
    fn believed_si(self) -> (f64, f64) {
        match self {
            Self::Read(Element::Humidity) => (0.0, 100.0),
            Self::Read(Element::Rain | Element::Snow) => (0.0, f64::INFINITY),
            Self::Read(element) => element.believed_si(),
            Self::WetBulb => Element::Temperature.believed_si(),
            _ => self.possible_si(),
        }
    }

    fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|measure| measure.name() == name)
    }
}

/// The hours that a rule looks at, seen from an hour h.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Span {
    /// Hour h alone.
    ThisHour,
    /// Hour h and the N hours that follow it.
    After(u32),
    /// The N hours that precede hour h, and hour h.
    Before(u32),
    /// Each of the N local days that begin with the hour's own.
    EachOfDays(u32),
}

impl core::fmt::Display for Span {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::ThisHour => f.write_str("this hour"),
            Self::After(hours) => write!(f, "{hours} h after"),
            Self::Before(hours) => write!(f, "{hours} h before"),
            Self::EachOfDays(days) => write!(f, "each of {days} days"),
        }
    }
}

/// What of a span's hours is compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Take {
    /// The value of the one hour.
    Value,
    /// The least.
    Min,
    /// The greatest.
    Max,
    /// The sum, for depths of rain and snow.
    Sum,
    /// The mean over the hours.
    Mean,
}

impl Take {
    /// Its name in operation files.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Value => "value",
            Self::Min => "min",
            Self::Max => "max",
            Self::Sum => "sum",
            Self::Mean => "mean",
        }
    }
}

/// What failing a rule means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Severity {
    /// No fair hour.
    Block,
    /// A warning.
    Caution,
}

impl Severity {
    /// Its name in operation files.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Block => "block",
            Self::Caution => "caution",
        }
    }
}

/// One limit on one measure over a span of hours.
#[derive(Debug, Clone, PartialEq)]
pub struct Rule {
    /// Its name, unique in the operation.
    pub name: String,
    /// What is limited.
    pub measure: Measure,
    /// Over which hours.
    pub over: Span,
    /// What of them.
    pub take: Take,
    /// Least value allowed, inclusive, as written.
    pub at_least: Option<Quantity>,
    /// Greatest value allowed, inclusive, as written.
    pub at_most: Option<Quantity>,
    /// What failing it means.
    pub severity: Severity,
    /// Whether it goes unchecked where the file has no such measure at all.
    pub optional: bool,
    /// Where the limit comes from.
    pub source: String,
}

impl Rule {
    /// The unit in which its values are given: that of its lower limit, else of its upper.
    #[must_use]
    pub fn unit(&self) -> Unit {
        self.at_least
            .or(self.at_most)
            .map_or(self.measure.kind().si(), |limit| limit.unit)
    }
}

/// A warning that travels with the answer whatever the weather.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
pub struct StandingCaution {
    /// Its key.
    pub code: &'static str,
    /// What it says.
    pub text: &'static str,
}

/// The cautions that go with every answer, then those that an operation may name. Usual cautions of the trade
/// (common practice, no source); the product's label and local rules always come before this program.
pub const STANDING_CAUTIONS: [StandingCaution; 15] = [
    StandingCaution {
        code: "label",
        text: "The product's label is the law. Where it and this answer differ, the label wins.",
    },
    StandingCaution {
        code: "local",
        text: "Local rules, permits and licence duties come first; paid work may need a licensed applicator.",
    },
    StandingCaution {
        code: "advice",
        text: "This is arithmetic on a weather file, not the judgement of a licensed adviser who has seen the plants.",
    },
    StandingCaution {
        code: "eyes",
        text: "Go and look: canes dry to the touch, no ice, no green beyond the stage meant, no wind in the tops.",
    },
    StandingCaution {
        code: "ppe",
        text: "Cover hands, eyes and arms as the label says; wash before you eat.",
    },
    StandingCaution {
        code: "bees",
        text: "Spray nothing that is in flower, weeds included.",
    },
    StandingCaution {
        code: "water",
        text: "Keep spray and rinse water out of drains, ponds and streams.",
    },
    StandingCaution {
        code: "drift",
        text: "Mind the neighbour's plants, washing and windows.",
    },
    StandingCaution {
        code: "pets",
        text: "Keep children and animals away until it is dry.",
    },
    StandingCaution {
        code: "species",
        text: "Some plants are burnt or discoloured by oil: blue spruce, junipers, cedars, maples, beech, walnut and others.",
    },
    StandingCaution {
        code: "sulphur",
        text: "No sulphur or captan within the interval on both labels.",
    },
    StandingCaution {
        code: "ladder",
        text: "Ladder on firm ground, one person, never the top steps, no power lines, not in wind or on ice.",
    },
    StandingCaution {
        code: "blades",
        text: "Cut away from the other hand.",
    },
    StandingCaution {
        code: "disease",
        text: "Clean the blades between plants; cuttings with disease leave the garden.",
    },
    StandingCaution {
        code: "forecast",
        text: "A forecast errs by a few degrees, and a garden may be colder than the place it is for.",
    },
];

/// How many of [`STANDING_CAUTIONS`] go with every answer.
pub const ALWAYS: usize = 4;

/// An operation and its rules.
#[derive(Debug, Clone, PartialEq)]
pub struct Operation {
    /// Its name, such as `oil`.
    pub name: String,
    /// What it is called in sentences, such as `Dormant oil`.
    pub title: String,
    /// Hours in a row that the work needs.
    pub hours_needed: u32,
    /// Age of a forecast beyond which nothing is known \[s\].
    pub stale_after_s: i64,
    /// Its rules, in the order of the file.
    pub rules: Vec<Rule>,
    /// What it warns of whatever the weather.
    pub cautions: Vec<StandingCaution>,
}

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

impl Operation {
    /// A built-in operation by its name, `oil` or `prune`.
    ///
    /// ```
    /// use fairspell::operation::Operation;
    /// assert_eq!(Operation::built_in("oil").map(|oil| oil.rules.len()), Some(17));
    /// assert!(Operation::built_in("mow").is_none());
    /// ```
    #[must_use]
    pub fn built_in(name: &str) -> Option<Self> {
        let text = match name {
            "oil" => OIL,
            "prune" => PRUNE,
            _ => return None,
        };
        Self::read(Source {
            name,
            bytes: text.as_bytes(),
        })
        .ok()
    }

    /// Reads an operation file.
    ///
    /// # Errors
    /// [`FileError`] with file, line, column, what was expected and what was found.
    ///
    /// ```
    /// use fairspell::{operation::Operation, read::Source};
    /// let bytes = b"operation = \"paint\"\n[[rule]]\nname = \"warm\"\nmeasure = \"temperature\"\n\
    ///     at-least = \"50 mm\"\nseverity = \"block\"\nsource = \"the tin\"\n";
    /// let error = Operation::read(Source { name: "paint.toml", bytes }).unwrap_err();
    /// assert!(error.to_string().starts_with("paint.toml:5:12: expected a temperature"));
    /// ```
    pub fn read(source: Source<'_>) -> Result<Self, FileError> {
        let file = TomlFile::new(source.name, source.bytes, "an operation")?;
        let parsed: OperationFile = file.parse()?;
        let name = parsed.operation.get_ref().clone();
        let is_plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        if name.is_empty() || name.len() > 40 || !name.chars().all(is_plain) {
            let expected = "an operation's name of 1 to 40 small letters, digits and hyphens";
            return Err(file.value(expected, &name, parsed.operation.span()));
        }
        if parsed.rule.is_empty() {
            let problem = FileProblem::Absent {
                expected: "at least one [[rule]]",
            };
            return Err(file.fault(&parsed.operation.span(), problem));
        }
        if parsed.rule.len() > MAX_RULES {
            let problem = FileProblem::TooMuch {
                limit: MAX_RULES as u64,
                of: "rules",
            };
            return Err(file.fault(&parsed.operation.span(), problem));
        }
        let rules = parsed.rule.into_iter().map(|rule| {
            RuleReader {
                file: &file,
                rule: rule.into_inner(),
            }
            .read()
        });
        let rules = rules.collect::<Result<Vec<_>, _>>()?;
        let stale_after = parsed
            .stale_after
            .map(|text| stale_after(&file, &text))
            .transpose()?;
        let operation = Self {
            title: match parsed.title {
                Some(title) => file.text(title, "a title of 1 to 80 characters")?,
                None => name.clone(),
            },
            name,
            hours_needed: match parsed.hours_needed {
                Some(hours) => file.whole(&hours, 1, 168, "hours from 1 to 168")?,
                None => 1,
            },
            stale_after_s: stale_after.unwrap_or(12 * 3600),
            rules: rules.iter().map(|(rule, _)| rule.clone()).collect(),
            cautions: cautions(&file, parsed.cautions)?,
        };
        for (index, (rule, span)) in rules.iter().enumerate() {
            if rules
                .iter()
                .take(index)
                .any(|(earlier, _)| earlier.name == rule.name)
            {
                let found = Excerpt::of(rule.name.as_bytes());
                return Err(file.fault(span, FileProblem::Twice { of: "rule", found }));
            }
        }
        Ok(operation)
    }

    /// The operation with the limits that a site file changes for it.
    ///
    /// # Errors
    /// [`FileError`] at the place in the site file: a rule that the operation does not have, or a limit that does
    /// not fit it.
    pub fn at_site(mut self, site: &Site) -> Result<Self, FileError> {
        for own in site.limits.iter().filter(|own| own.operation == self.name) {
            if let Some(hours) = own.hours_needed {
                self.hours_needed = hours;
            }
            if let Some(name) = &own.rule {
                let rule = self
                    .rules
                    .iter_mut()
                    .find(|rule| rule.name == *name)
                    .ok_or_else(|| FileError {
                        place: own.place.clone(),
                        problem: FileProblem::Value {
                            expected: "the name of a rule of that operation",
                            found: Excerpt::of(name.as_bytes()),
                        },
                    })?;
                change(rule, own).map_err(|problem| FileError {
                    place: own.place.clone(),
                    problem,
                })?;
            }
        }
        Ok(self)
    }
}

fn change(rule: &mut Rule, own: &OwnLimit) -> Result<(), FileProblem> {
    let parse = |text: &Option<String>| {
        text.as_deref()
            .map(|text| Quantity::parse(text, rule.measure.kind()))
            .transpose()
    };
    let (at_least, at_most) = (parse(&own.at_least)?, parse(&own.at_most)?);
    rule.at_least = at_least.or(rule.at_least);
    rule.at_most = at_most.or(rule.at_most);
    if let Some((found, why)) = never_holds(rule) {
        return Err(FileProblem::NeverHolds {
            found: Excerpt::of(found.to_string().as_bytes()),
            why,
        });
    }
    rule.source = format!("The user's own limit, {}", own.place);
    Ok(())
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
    fn read(self) -> Result<(Rule, Range<usize>), FileError> {
        let measure = self.measure()?;
        let over = self.over()?;
        let take = self.take(over, measure)?;
        let limit = |text: &Option<Spanned<String>>| {
            text.as_ref()
                .map(|text| self.file.quantity(text, measure.kind()))
                .transpose()
        };
        let (at_least, at_most) = (limit(&self.rule.at_least)?, limit(&self.rule.at_most)?);
        if at_least.is_none() && at_most.is_none() {
            let problem = FileProblem::Absent {
                expected: "at-least or at-most in the rule",
            };
            return Err(self.file.fault(&self.rule.name.span(), problem));
        }
        let (severity, optional) = (self.severity()?, self.optional(measure)?);
        let span = self.rule.name.span();
        let source = self.rule.source.get_ref();
        if source.trim().is_empty() || source.len() > 500 || source.chars().any(char::is_control) {
            let expected = "a source of 1 to 500 characters, or \"Common practice\"";
            return Err(self.file.value(expected, source, self.rule.source.span()));
        }
        let source = source.clone();
        let name = self
            .file
            .text(self.rule.name, "a rule's name of 1 to 80 characters")?;
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
        if let Some((found, why)) = never_holds(&rule) {
            let text = [&self.rule.at_least, &self.rule.at_most]
                .into_iter()
                .flatten();
            let at = text.last().map_or(span, Spanned::span);
            let found = Excerpt::of(found.to_string().as_bytes());
            return Err(self.file.fault(&at, FileProblem::NeverHolds { found, why }));
        }
        Ok((rule, span))
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

/// The limit of a rule that no weather can meet, and why.
fn never_holds(rule: &Rule) -> Option<(Quantity, &'static str)> {
    let (least, greatest) = rule.measure.believed_si();
    match (rule.at_least, rule.at_most) {
        (Some(low), Some(high)) if low.unit == high.unit && low.value > high.value => {
            Some((high, "at-most lies below at-least"))
        }
        (Some(low), Some(high)) if low.si() > high.si() => {
            Some((high, "at-most lies below at-least"))
        }
        (Some(low), _) if low.si() > greatest => Some((low, "no weather reaches it")),
        (_, Some(high)) if high.si() < least => Some((high, "no weather stays under it")),
        _ => None,
    }
}
