//! Sentences of an answer: times on the place's clock, values with units, reasons in plain words.
//!
//! Text, calendar, picture and JSON all take their sentences from here, so that they say the same.

use chrono::{DateTime, Datelike as _, Timelike as _};
use chrono_tz::Tz;

use super::{Decision, Hindrance, Note, Reason, Verdict};
use crate::operation::{Measure, Rule, Span, Take};
use crate::quantity::{Kind, Unit, decimals};
use crate::read::Format;
use crate::series::Element;
use crate::spell::Gap;

/// In which units values are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Units {
    /// As the rule's limit is written.
    #[default]
    AsWritten,
    /// °F, in, mph.
    Us,
    /// °C, mm, m/s.
    Si,
}

impl Units {
    /// The unit in which a value of `unit` is shown.
    #[must_use]
    pub fn shown(self, unit: Unit) -> Unit {
        match (self, unit.kind()) {
            (Self::Us, Kind::Temperature) => Unit::Fahrenheit,
            (Self::Us, Kind::TemperatureDifference) => Unit::FahrenheitDifference,
            (Self::Us, Kind::Depth) => Unit::Inch,
            (Self::Us, Kind::Speed) => Unit::MilePerHour,
            (Self::Si, kind) => kind.si(),
            _ => unit,
        }
    }
}

/// A value for people: rounded to what its unit bears, with more digits where it would else look like the limit
/// that it misses.
///
/// ```
/// use fairspell::{decision::show, quantity::Unit};
/// assert_eq!(show(39.96, Unit::Fahrenheit, None), "40 °F");
/// assert_eq!(show(39.96, Unit::Fahrenheit, Some(40.0)), "39.96 °F");
/// ```
#[must_use]
pub fn show(value: f64, unit: Unit, limit: Option<f64>) -> String {
    let least = match unit {
        Unit::Inch | Unit::Kilopascal => 2,
        Unit::Celsius
        | Unit::CelsiusDifference
        | Unit::Millimetre
        | Unit::MetrePerSecond
        | Unit::Degree
        | Unit::Hectopascal => 1,
        _ => 0,
    };
    if !value.is_finite() {
        return "not known".to_owned();
    }
    let is_apart = |count: usize| {
        limit.is_none_or(|limit| {
            let same = (limit - value).abs() <= 0.0;
            same || decimals(value, count) != decimals(limit, count)
        })
    };
    let count = (least..=6).find(|count| is_apart(*count)).unwrap_or(6);
    let blank = if unit == Unit::Degree { "" } else { " " };
    let number = decimals(value, count);
    let number = if count == 1 && least == 1 {
        number.trim_end_matches(".0")
    } else {
        &number
    };
    format!("{number}{blank}{}", unit.symbol())
}

fn local(unix_s: i64, zone: Tz) -> Option<DateTime<Tz>> {
    Some(DateTime::from_timestamp(unix_s, 0)?.with_timezone(&zone))
}

/// Weekday, day and month on the place's clock: `Wed 10 Mar`.
#[must_use]
pub fn day(unix_s: i64, zone: Tz) -> String {
    const MONTHS: [&str; 12] = [
        "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
    ];
    local(unix_s, zone).map_or_else(String::new, |time| {
        let month = MONTHS
            .get(time.month0() as usize)
            .copied()
            .unwrap_or_default();
        format!("{} {} {month}", time.weekday(), time.day())
    })
}

/// Time of day on the place's clock: `09:00`.
#[must_use]
pub fn clock(unix_s: i64, zone: Tz) -> String {
    local(unix_s, zone).map_or_else(String::new, |time| {
        format!("{:02}:{:02}", time.hour(), time.minute())
    })
}

/// Day and time: `Wed 10 Mar 09:00`.
#[must_use]
pub fn when(unix_s: i64, zone: Tz) -> String {
    format!("{} {}", day(unix_s, zone), clock(unix_s, zone))
}

impl Verdict {
    /// The verdict as a heading.
    #[must_use]
    pub fn heading(self) -> &'static str {
        match self {
            Self::Go => "GO",
            Self::NoGo => "NO-GO",
            Self::CannotTell => "CANNOT TELL",
        }
    }
}

/// What a measure is called in a sentence.
fn noun(measure: Measure) -> &'static str {
    match measure {
        Measure::Read(Element::RainChance) => "chance of rain",
        Measure::Read(Element::DewPoint) => "dew point",
        Measure::Read(element) => element.name(),
        Measure::WetBulb => "wet bulb",
        Measure::WetBulbDepression => "wet-bulb depression",
        Measure::DewPointDepression => "dew-point depression",
        Measure::VapourPressureDeficit => "vapour pressure deficit",
        Measure::DryingHours => "time to dry",
        Measure::SunElevation | Measure::Daylight => "sun's elevation",
        Measure::HoursSinceRain => "time since rain",
        Measure::HoursUntilRain => "time until rain",
    }
}

impl Decision {
    /// An interval on the place's clock: `Wed 10 Mar 09:00–17:00`; the second day is named where it is another.
    #[must_use]
    pub fn interval(&self, start: i64, end: i64) -> String {
        let (from, to) = (day(start, self.zone), day(end, self.zone));
        let midnight = clock(end, self.zone) == "00:00" && day(end - 1, self.zone) == from;
        if midnight {
            format!("{from} {}–24:00", clock(start, self.zone))
        } else if from == to {
            format!(
                "{from} {}–{}",
                clock(start, self.zone),
                clock(end, self.zone)
            )
        } else {
            format!(
                "{from} {} – {to} {}",
                clock(start, self.zone),
                clock(end, self.zone)
            )
        }
    }

    /// The hours that a rule looks at from an hour on, in words; empty for the hour alone.
    fn span(&self, rule: &Rule, time: i64) -> String {
        let at = clock(time, self.zone);
        match rule.over {
            Span::ThisHour => String::new(),
            Span::After(hours) => format!(" in the {hours} h after {at}"),
            Span::Before(hours) => format!(" in the {hours} h before {at}"),
            Span::EachOfDays(1) => " on that day".to_owned(),
            Span::EachOfDays(days) => format!(" on each of {days} days"),
        }
    }

    /// What a rule found at a time: `lowest temperature 31 °F (Thu 11 Mar 05:00) in the 24 h after 09:00, limit at
    /// least 32 °F, short by 1 °F`.
    #[must_use]
    pub fn finding_text(&self, hindrance: &Hindrance, time: i64, units: Units) -> String {
        let Some(rule) = self.rule(hindrance.rule) else {
            return String::new();
        };
        let own = rule.unit();
        let unit = units.shown(own);
        let to = |value: f64| own.convert(value, unit);
        let value = show(to(hindrance.value), unit, Some(to(hindrance.limit)));
        let is_low = rule.at_least.is_some() && hindrance.value < hindrance.limit;
        let extreme = match (rule.over, rule.take) {
            (Span::ThisHour, _) | (_, Take::Value | Take::Sum) => "",
            (_, Take::Min) => "lowest ",
            (_, Take::Max) => "highest ",
            (_, Take::Mean) => "mean ",
        };
        let by_hour = matches!(rule.take, Take::Min | Take::Max) && rule.over != Span::ThisHour;
        let decided = if by_hour {
            format!(" ({})", when(hindrance.decided_by, self.zone))
        } else {
            String::new()
        };
        let miss = own
            .difference()
            .convert(hindrance.margin.abs(), unit.difference());
        let apart = if is_low { "short" } else { "over" };
        let side = if is_low { "at least" } else { "at most" };
        let limit = show(to(hindrance.limit), unit, None);
        let miss = show(miss, unit.difference(), Some(0.0));
        format!(
            "{extreme}{} {value}{decided}{}, limit {side} {limit}, {apart} by {miss}",
            noun(rule.measure),
            self.span(rule, time),
        )
    }

    /// The one-line headline: verdict, operation, place, and the time asked about.
    #[must_use]
    pub fn headline(&self) -> String {
        let site = self
            .site
            .as_deref()
            .map(|site| format!(" at {}", crate::error::escaped(site)));
        let title = lower_first(&self.operation.title);
        let window = self.interval(self.at, self.until);
        format!(
            "{}  {title}{}, {window}",
            self.verdict.heading(),
            site.unwrap_or_default()
        )
    }

    /// A reason in plain words.
    #[must_use]
    pub fn reason_text(&self, reason: &Reason, units: Units) -> String {
        match reason {
            Reason::Stale { issued } => self.stale_text(*issued),
            Reason::Hindered {
                hours,
                time,
                hindrance,
                ..
            } => {
                let found = self.named(hindrance, *time, units);
                format!("{found}{}", self.how_often(*hours, *time))
            }
            Reason::Unknown {
                rule,
                hours,
                time,
                gap,
                missing,
            } => {
                let name = self.rule(*rule).map_or("", |rule| rule.name.as_str());
                let why = self.gap_text(*rule, *time, *gap, *missing);
                format!("{name}: not known, {why}{}", self.how_often(*hours, *time))
            }
            Reason::NoRow { hours, time } => {
                let (hours, from) = (plural(*hours, "hour"), when(*time, self.zone));
                format!("the file has no row for {hours} of the window, from {from}")
            }
            Reason::TooShort { longest, window } => self.short_text(*longest, *window),
            Reason::Unsure { .. } => self.unsure_text(reason),
            Reason::Ends { time, hindrance } => {
                let found = hindrance.map(|found| self.named(&found, *time, units));
                let what = found.unwrap_or_else(|| "what comes then is not known".to_owned());
                format!("ends {}: {what}", when(*time, self.zone))
            }
        }
    }

    fn unsure_text(&self, reason: &Reason) -> String {
        let Reason::Unsure {
            time,
            probability,
            least,
            parts,
            unknown,
        } = reason
        else {
            return String::new();
        };
        // What is told in steps must not hide that it is too little.
        let step = f64::from((*parts).max(2));
        let is_told_as_enough =
            probability.is_some_and(|own| (own * step).round() / step >= *least);
        let (at, least) = (
            when(*time, self.zone),
            show(100.0 * least, Unit::Percent, None),
        );
        if let Some(own) = probability {
            let own = if is_told_as_enough {
                format!("under {least}")
            } else {
                crate::confidence::in_words(*own, *parts).1
            };
            return format!(
                "not sure enough: confidence {own} from {at}, at least {least} asked for"
            );
        }
        let why = self.unknown_text(*unknown);
        format!("confidence from {at} is not known, at least {least} asked for: {why}")
    }

    fn stale_text(&self, issued: Option<i64>) -> String {
        let Some(issued) = issued else {
            let why = "the forecast's place for its time of issue is blank: it counts as too old";
            return why.to_owned();
        };
        let age = self.at.saturating_sub(issued) as f64 / 3600.0;
        let limit = self.operation.stale_after_s as f64 / 3600.0;
        let (age, limit) = (
            show(age, Unit::Hour, Some(limit)),
            show(limit, Unit::Hour, None),
        );
        let year = |time| local(time, self.zone).map(|time| time.year());
        let of_year = match year(issued) {
            Some(own) if year(self.at) != Some(own) => format!(" {own}"),
            _ => String::new(),
        };
        let day = day(issued, self.zone);
        let clock = clock(issued, self.zone);
        format!("the forecast was issued {day}{of_year} {clock}, {age} before, limit {limit}")
    }

    fn short_text(&self, longest: usize, window: usize) -> String {
        let needed = self.operation.hours_needed as usize;
        let hours = plural(needed, "hour");
        if window < needed {
            let left = plural(window, "whole hour");
            format!("{left} left in the window, {hours} in a row needed")
        } else {
            let longest = plural(longest, "hour");
            format!("at most {longest} in a row fair, {hours} needed")
        }
    }

    /// In how many hours of the window, and since when: `; 18 hours from 06:00`.
    fn how_often(&self, hours: usize, first: i64) -> String {
        let from = if day(first, self.zone) == day(self.at, self.zone) {
            clock(first, self.zone)
        } else {
            when(first, self.zone)
        };
        if hours == 1 {
            format!("; the hour {from}")
        } else {
            format!("; {hours} hours, the first {from}")
        }
    }

    /// A rule's name and what it found; the name is left out where the finding begins with it.
    fn named(&self, hindrance: &Hindrance, time: i64, units: Units) -> String {
        let name = self
            .rule(hindrance.rule)
            .map_or("", |rule| rule.name.as_str());
        let found = self.finding_text(hindrance, time, units);
        if found.starts_with(name) {
            found
        } else {
            format!("{name}: {found}")
        }
    }

    /// A reason in few words, for a message: the rule, its value and its limit.
    #[must_use]
    pub fn short_reason_text(&self, reason: &Reason) -> String {
        let name = |rule: usize| self.rule(rule).map_or("", |rule| rule.name.as_str());
        match reason {
            Reason::Hindered { hindrance, .. } => {
                let unit = self.rule(hindrance.rule).map_or(Unit::Hour, Rule::unit);
                let value = show(hindrance.value, unit, Some(hindrance.limit));
                format!(
                    "{} ({value}, limit {})",
                    name(hindrance.rule),
                    show(hindrance.limit, unit, None)
                )
            }
            Reason::Unknown { rule, gap, .. } => {
                let why = match gap {
                    Gap::NoMeasure => "not in the file",
                    Gap::BeforeFile => "reaches back before the file",
                    Gap::PastFile => "reaches past the file's end",
                    Gap::Missing { .. } => "a value is missing",
                    Gap::Bounds => "known only between bounds",
                };
                format!("{} not known ({why})", name(*rule))
            }
            other => self.reason_text(other, Units::AsWritten),
        }
    }

    fn gap_text(&self, rule: usize, time: i64, gap: Gap, missing: Option<i64>) -> String {
        let Some(rule) = self.rule(rule) else {
            return String::new();
        };
        let (noun, span) = (noun(rule.measure), self.span(rule, time));
        match gap {
            Gap::NoMeasure if self.format == Format::NwsHourly && rule.measure == Measure::Read(Element::Rain) => {
                "the hourly forecast has no amount of rain; the gridpoint file of the same place has".to_owned()
            }
            Gap::NoMeasure => format!("the file has no {noun}"),
            Gap::BeforeFile => format!("{noun}{span} reaches back before the file"),
            Gap::PastFile => format!("{noun}{span} reaches past the end of the file"),
            Gap::Missing { .. } => {
                format!("no {noun} for {}{span}", missing.map_or_else(String::new, |time| when(time, self.zone)))
            }
            Gap::Bounds => format!("{noun}{span} is known only between bounds"),
        }
    }

    /// Cautions of a spell, each with the hours in which it is raised or not known, in plain words.
    #[must_use]
    pub fn caution_texts(&self, start: i64, end: i64, units: Units) -> Vec<String> {
        let hours = || {
            self.hours
                .iter()
                .filter(|hour| hour.time >= start && hour.time < end)
        };
        let mut texts = Vec::new();
        for (index, rule) in self.operation.rules.iter().enumerate() {
            for is_known in [true, false] {
                let here = |hindrance: &&Hindrance| {
                    hindrance.rule == index && hindrance.is_known == is_known
                };
                let raised: Vec<(i64, Hindrance)> = hours()
                    .filter_map(|hour| {
                        self.cautions(hour)
                            .iter()
                            .find(here)
                            .map(|found| (hour.time, *found))
                    })
                    .collect();
                let Some((first, hindrance)) = raised.first() else {
                    continue;
                };
                let span =
                    self.hours_text(&raised.iter().map(|(time, _)| *time).collect::<Vec<_>>());
                texts.push(if is_known {
                    format!("{} ({span})", self.named(hindrance, *first, units))
                } else {
                    format!("{}: not known ({span})", rule.name)
                });
            }
        }
        texts
    }

    /// Hours as runs on the clock: `09:00–12:00, 15:00–16:00`; the day is named where it is not that of `at`.
    fn hours_text(&self, times: &[i64]) -> String {
        let mut runs: Vec<(i64, i64)> = Vec::new();
        for time in times {
            match runs.last_mut() {
                Some(run) if run.1 == *time => run.1 += crate::series::HOUR_S,
                _ => runs.push((*time, time + crate::series::HOUR_S)),
            }
        }
        let today = day(self.at, self.zone);
        let text = |(start, end): &(i64, i64)| {
            let interval = self.interval(*start, *end);
            let is_today = interval.matches(&today).count() == 1
                && interval.starts_with(&today)
                && !interval.contains(" – ");
            if is_today {
                interval.trim_start_matches(&today).trim_start().to_owned()
            } else {
                interval
            }
        };
        runs.iter().map(text).collect::<Vec<_>>().join(", ")
    }

    /// What else the user should know, in plain words: notes, and the rules that go unchecked.
    #[must_use]
    pub fn note_texts(&self) -> Vec<String> {
        let mut texts: Vec<String> = self.notes.iter().map(Note::to_string).collect();
        if !self.unchecked.is_empty() {
            let names: Vec<&str> = self
                .unchecked
                .iter()
                .filter_map(|rule| self.rule(*rule))
                .map(|rule| rule.name.as_str())
                .collect();
            texts.insert(
                0,
                format!(
                    "unchecked, the file or the place does not give it: {}",
                    names.join(", ")
                ),
            );
        }
        texts
    }

    /// The same, and what the reader of the file had to say.
    #[must_use]
    pub fn all_note_texts(&self) -> Vec<String> {
        self.note_texts()
            .into_iter()
            .chain(self.file_notices.iter().cloned())
            .collect()
    }

    /// The cautions that go with the answer whatever the weather: code and text.
    #[must_use]
    pub fn standing_cautions(&self) -> &[crate::operation::StandingCaution] {
        &self.operation.cautions
    }

    /// A rule's limits in words: `at least 40 °F, at most 90 °F`.
    #[must_use]
    pub fn limit_text(&self, rule: &Rule, units: Units) -> String {
        let one = |side: &str, limit: crate::quantity::Quantity| {
            let unit = units.shown(limit.unit);
            let written = if unit == limit.unit {
                limit.to_string()
            } else {
                show(limit.unit.convert(limit.value, unit), unit, None)
            };
            format!("{side} {written}")
        };
        let least = rule.at_least.map(|limit| one("at least", limit));
        let most = rule.at_most.map(|limit| one("at most", limit));
        least.into_iter().chain(most).collect::<Vec<_>>().join(", ")
    }
}

/// A count with its noun.
fn plural(count: usize, noun: &str) -> String {
    if count == 1 {
        format!("1 {noun}")
    } else {
        format!("{count} {noun}s")
    }
}

/// A title in the middle of a sentence; a word that is all capitals keeps them.
fn lower_first(title: &str) -> String {
    let mut letters = title.chars();
    match (letters.next(), letters.clone().next()) {
        (Some(first), Some(second)) if first.is_uppercase() && second.is_lowercase() => {
            first.to_lowercase().chain(letters).collect()
        }
        _ => title.to_owned(),
    }
}
