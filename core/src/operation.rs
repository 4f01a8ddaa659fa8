//! An operation: a list of rules, each a limit on a measure over a span of hours, with its severity and source.
//!
//! Rules are data. The built-in `oil` and `prune` are two TOML files; a user's own file is read the same way.

mod file;

use crate::error::{Excerpt, FileError, FileProblem};
use crate::quantity::{Kind, Quantity, Unit};
use crate::read::Source;
use crate::series::Element;
use crate::site::{OwnLimit, Site};

/// Most rules of an operation. Ours.
pub const MAX_RULES: usize = 64;
/// Longest span before or after an hour \[h\]: sixteen days, the reach of the longest public forecasts. Ours.
pub const MAX_SPAN_H: u32 = 384;
/// Most local days of an `each of N days`. Ours, as above.
pub const MAX_SPAN_DAYS: u32 = 16;

/// The built-in operation that sprays dormant oil, as its file stands.
pub const OIL: &str = fairspell_data::OIL;
/// The built-in operation that prunes, as its file stands.
pub const PRUNE: &str = fairspell_data::PRUNE;

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
        file::read(source)
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
