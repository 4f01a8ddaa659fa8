//! Spells, a place and a time: go, no-go or cannot tell, with reasons and cautions.
//!
//! The same question gives the same answer to the last bit: time is an argument, nothing else is asked.

mod council;
mod explain;
mod json;
mod words;

use std::sync::Arc;

use chrono::{Days, NaiveTime, TimeZone as _};
use chrono_tz::Tz;

use council::Council;

use crate::error::DecideError;
use crate::operation::{Operation, Rule, Severity};
use crate::quantity::Quantity;
use crate::read::{Format, Issued, Reading, local_date};
use crate::series::{HOUR_S, HourlySeries};
use crate::site::Site;
use crate::spell::{Finding, Gap, Judged, Outcome, Sky, State, fair_runs};

pub use explain::{Explained, ExplainedRule, Input};
pub use words::{Units, clock, day, show, when};

/// Longest window \[s\]: sixteen days, the reach of the longest public forecasts. Ours.
pub const MAX_WINDOW_S: i64 = 384 * HOUR_S;

/// A forecast for a place further from the site than this is said to be \[km\]: the contract's figure.
pub const FAR_KM: f64 = 50.0;

/// What is asked.
#[derive(Debug, Clone, Copy)]
pub struct Question<'a> {
    /// The hours, as they were read; observed hours may stand before the forecast.
    pub forecast: &'a Reading,
    /// The operation, with the site's own limits in it.
    pub operation: &'a Operation,
    /// The place.
    pub site: &'a Site,
    /// Now \[s since 1970 UTC\].
    pub at: i64,
    /// End of the window \[s since 1970 UTC\]; `None`: the end of the local day.
    pub until: Option<i64>,
    /// The user's word that the wood is dry at `at`.
    pub is_dry_now: bool,
    /// Whether unchecked blocking rules make it *cannot tell*.
    pub is_strict: bool,
    /// Which hour to explain, if any.
    pub explain: Option<ExplainAt>,
}

/// Which hour is explained.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ExplainAt {
    /// The best start of the first spell, else the first hour of the window that the file has.
    Best,
    /// The hour that begins at or before this time \[s since 1970 UTC\].
    Time(i64),
}

/// The answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// The window holds enough fair hours in a row.
    Go,
    /// It does not, whatever the unknown hours are.
    NoGo,
    /// The unknown hours decide.
    CannotTell,
}

impl Verdict {
    /// Its name in JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Go => "go",
            Self::NoGo => "no-go",
            Self::CannotTell => "cannot-tell",
        }
    }
}

/// A run of consecutive fair hours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spell {
    /// Beginning of its first hour \[s since 1970 UTC\].
    pub start: i64,
    /// End of its last hour \[s since 1970 UTC\].
    pub end: i64,
    /// Beginning of its run of the hours needed that keeps clearest of the limits \[s since 1970 UTC\].
    pub best_start: i64,
}

impl Spell {
    /// Its hours.
    #[must_use]
    pub fn hours(&self) -> i64 {
        (self.end - self.start) / HOUR_S
    }
}

/// A rule that an hour fails, or a caution that it fails or that is not known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hindrance {
    /// Index of the rule in the operation.
    pub rule: usize,
    /// Whether it is known to fail; a caution may be not known.
    pub is_known: bool,
    /// The value found, in the rule's unit; infinite or NaN where nothing is known.
    pub value: f64,
    /// The limit that it meets, in the rule's unit.
    pub limit: f64,
    /// How far inside the limit the value lies, in the rule's unit: below 0 by how much it fails.
    pub margin: f64,
    /// The hour whose value decides \[s since 1970 UTC\].
    pub decided_by: i64,
}

/// One hour of the answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Hour {
    /// Its beginning \[s since 1970 UTC\].
    pub time: i64,
    /// Whether it is fit.
    pub state: State,
    /// One bit a rule: whether it may have something to say.
    raised: u64,
}

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
    /// What ends the spell.
    Ends {
        /// The first hour after it \[s since 1970 UTC\].
        time: i64,
        /// The rule that fails there; `None`: that hour is unknown.
        hindrance: Option<Hindrance>,
    },
}

/// What else the user should know about the answer.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Note {
    /// No time of issue.
    #[error("the forecast has no time of issue: its age is unknown")]
    UnknownAge,
    /// Issued after the time asked about.
    #[error("the forecast was issued after the time asked about")]
    IssuedLater,
    /// For another place.
    #[error("the forecast is for a place {km:.0} km from the site")]
    Far {
        /// How far \[km\].
        km: f64,
    },
    /// No garden in the site.
    #[error("no garden is given: the answer is for one hybrid tea rose")]
    NoGarden,
    /// No coordinates for a rule that needs the sun.
    #[error("no latitude and longitude are given: daylight cannot be checked")]
    NoCoordinates,
    /// No elevation for a rule that needs the air's pressure.
    #[error("no elevation is given: air pressure is taken as at sea level")]
    NoElevation,
    /// Dry on the user's word.
    #[error("hours before the file's first are taken as dry, on the user's word")]
    DryOnWord,
    /// Drying without wind.
    #[error("the file has no wind: drying is counted as in still air")]
    StillDrying,
    /// An ensemble.
    #[error(
        "judged member by member over {count} raw members, which are too alike to be read as chances"
    )]
    Members {
        /// How many.
        count: usize,
    },
}

/// An answer with all that led to it.
#[derive(Debug, Clone)]
pub struct Decision {
    /// The operation asked about, with the limits used.
    pub operation: Operation,
    /// Name of the site, if it has one.
    pub site: Option<String>,
    /// The zone of its clock.
    pub zone: Tz,
    /// The time asked about \[s since 1970 UTC\].
    pub at: i64,
    /// End of the window \[s since 1970 UTC\].
    pub until: i64,
    /// When the forecast was issued.
    pub issued: Issued,
    /// The format of its file.
    pub format: Format,
    /// What its reader had to say.
    pub file_notices: Vec<String>,
    /// Go, no-go or cannot tell.
    pub verdict: Verdict,
    /// Why.
    pub reasons: Vec<Reason>,
    /// On go, the spell that carries it.
    pub spell: Option<Spell>,
    /// All spells from the time asked about to the end of the file.
    pub spells: Vec<Spell>,
    /// The file's hours from the time asked about on.
    pub hours: Vec<Hour>,
    /// Indices of the optional rules that the file cannot answer.
    pub unchecked: Vec<usize>,
    /// What else to know.
    pub notes: Vec<Note>,
    /// The explained hour, if one was asked for.
    pub explained: Option<Explained>,
    /// Beginning of the first hour of the series, observed or forecast.
    start: i64,
    council: Council,
}

impl Decision {
    /// The blocking rules that an hour fails, in the operation's order; worked out when asked for.
    #[must_use]
    pub fn hindrances(&self, hour: &Hour) -> Vec<Hindrance> {
        let is_failed = |rule: &Rule, finding: &Finding| {
            rule.severity == Severity::Block && finding.outcome == Outcome::Fails
        };
        let mut hindrances = self.raised(hour, is_failed);
        if hindrances.is_empty() && hour.state == State::Hindered {
            let worst = self
                .council
                .most_failing(self.place(hour), &self.operation.rules);
            hindrances.extend(worst.and_then(|(index, finding)| self.hindrance(index, &finding)));
        }
        hindrances
    }

    /// The cautions that an hour raises, or that are not known in it; worked out when asked for.
    #[must_use]
    pub fn cautions(&self, hour: &Hour) -> Vec<Hindrance> {
        self.raised(hour, |rule, finding| {
            rule.severity == Severity::Caution && finding.outcome != Outcome::Holds
        })
    }

    fn raised(&self, hour: &Hour, is_wanted: impl Fn(&Rule, &Finding) -> bool) -> Vec<Hindrance> {
        let place = self.place(hour);
        let rules = self.operation.rules.iter().enumerate();
        let raised = rules.filter(|(index, _)| hour.raised >> index & 1 == 1);
        let found = raised.filter_map(|(index, rule)| {
            let finding = self.council.finding(index, place, rule);
            is_wanted(rule, &finding)
                .then(|| self.hindrance(index, &finding))
                .flatten()
        });
        found.collect()
    }

    fn place(&self, hour: &Hour) -> usize {
        usize::try_from((hour.time - self.start) / HOUR_S).unwrap_or(usize::MAX)
    }

    fn hindrance(&self, index: usize, finding: &Finding) -> Option<Hindrance> {
        let rule = self.rule(index)?;
        let (value, unit) = (finding.value(rule), rule.unit());
        let own = |limit: Quantity| limit.unit.convert(limit.value, unit);
        let limit = match (rule.at_least.map(own), rule.at_most.map(own)) {
            (Some(least), Some(most)) if value <= most => least.min(most),
            (_, Some(most)) => most,
            (Some(least), None) => least,
            (None, None) => f64::NAN,
        };
        Some(Hindrance {
            rule: index,
            is_known: finding.outcome == Outcome::Fails,
            value,
            limit,
            margin: finding.shortfall(rule),
            decided_by: self.start + i64::from(finding.decided_by) * HOUR_S,
        })
    }

    /// The rule of an index.
    #[must_use]
    pub fn rule(&self, index: usize) -> Option<&Rule> {
        self.operation.rules.get(index)
    }
}

/// Answers a question.
///
/// # Errors
/// [`DecideError`] if the zone is not known, or the window is none.
///
/// ```
/// use fairspell::{decision::{decide, Question, Verdict}, operation::Operation, read::{read_hourly, Source}, site::Site};
/// let mut csv = String::from("time,temperature_f,rain_in\n");
/// for hour in 0..72 {
///     csv += &format!("2027-03-{:02}T{:02}:00-06:00,50,0\n", 10 + hour / 24, hour % 24);
/// }
/// let zone = "America/Chicago".parse().ok();
/// let forecast = read_hourly(Source { name: "week.csv", bytes: csv.as_bytes() }, zone)?;
/// let site = Site { zone, ..Site::default() };
/// let oil = Operation::built_in("oil").unwrap();
/// let question = Question {
///     forecast: &forecast, operation: &oil, site: &site, at: 1_804_690_800, until: None,
///     is_dry_now: false, is_strict: false, explain: None,
/// };
/// let decision = decide(&question)?;
/// assert_eq!(decision.verdict, Verdict::Go);
/// assert_eq!(decision.unchecked.len(), 8); // wind, humidity, daylight and chance of rain are not in the file
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn decide(question: &Question<'_>) -> Result<Decision, DecideError> {
    let zone = question.site.zone.ok_or(DecideError::NoZone)?;
    if !(-2_208_988_800..=7_258_118_400).contains(&question.at) {
        return Err(DecideError::Time {
            seconds: question.at,
        });
    }
    let until = match question.until {
        Some(until) => until,
        None => end_of_day(question.at, zone).ok_or(DecideError::Time {
            seconds: question.at,
        })?,
    };
    if !(1..=MAX_WINDOW_S).contains(&(until - question.at)) {
        return Err(DecideError::Window {
            seconds: until - question.at,
        });
    }
    let first = question
        .forecast
        .members
        .first()
        .map_or(0, |series| series.first_hour_from(question.at));
    let from = usize::try_from(first).unwrap_or(0);
    let sky = sky_of(question);
    let judge = |series| {
        Judged::new(
            series,
            question.operation,
            &sky,
            (zone, question.is_strict),
            from,
        )
    };
    let judged: Vec<Judged<'_>> = question.forecast.members.iter().map(judge).collect();
    let council = Council {
        members: judged
            .iter()
            .map(|judged| Arc::clone(judged.found()))
            .collect(),
    };
    Ok(Answer {
        question,
        zone,
        until,
        judged,
        council,
        first,
    }
    .decision())
}

fn sky_of(question: &Question<'_>) -> Sky {
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

/// The first midnight after `at` on the clock of `zone`; where the clock skips midnight, the first time after it.
fn end_of_day(at: i64, zone: Tz) -> Option<i64> {
    let midnight = local_date(at, zone)?
        .checked_add_days(Days::new(1))?
        .and_time(NaiveTime::MIN);
    let quarters = (0..16).filter_map(|quarter| {
        let later = midnight.checked_add_signed(chrono::TimeDelta::minutes(15 * quarter))?;
        zone.from_local_datetime(&later).earliest()
    });
    quarters
        .map(|time| time.timestamp())
        .find(|time| *time > at)
}

/// A question with its judgement, on the way to the decision.
struct Answer<'a> {
    question: &'a Question<'a>,
    zone: Tz,
    until: i64,
    judged: Vec<Judged<'a>>,
    council: Council,
    /// First hour at or after `at`, counted in the series; may lie outside it.
    first: i64,
}

/// The states that count: of the file's hours from `at` on, and of the window's hours.
struct States {
    file: Vec<State>,
    window: Vec<State>,
}

impl Answer<'_> {
    fn decision(&self) -> Decision {
        let question = self.question;
        let states = self.states();
        let needed = question.operation.hours_needed as usize;
        let verdict = verdict(&states.window, needed);
        let spells: Vec<Spell> = fair_runs(&states.file, needed)
            .into_iter()
            .map(|run| self.spell(run, needed))
            .collect();
        let mut decision = Decision {
            operation: question.operation.clone(),
            site: question.site.name.clone(),
            zone: self.zone,
            at: question.at,
            until: self.until,
            issued: question.forecast.issued,
            format: question.forecast.format,
            file_notices: question
                .forecast
                .notices
                .iter()
                .map(ToString::to_string)
                .collect(),
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
            notes: self.notes(),
            explained: None,
            start: self.time(0),
            council: self.council.clone(),
        };
        decision.reasons = self.reasons(&decision, &states);
        decision.explained = self.explained(&decision);
        decision
    }

    fn series(&self) -> Option<&HourlySeries> {
        self.question.forecast.members.first()
    }

    fn from(&self) -> usize {
        usize::try_from(self.first).unwrap_or(0)
    }

    fn time(&self, hour: usize) -> i64 {
        self.series().map_or(0, |series| series.time(hour))
    }

    /// States of the file's hours from `at` on, and of the window's, in which hours outside the file are unknown.
    /// A stale forecast makes all of them unknown.
    fn states(&self) -> States {
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

    fn is_stale(&self) -> bool {
        match self.question.forecast.issued {
            Issued::Unknown => false,
            Issued::Blank => true,
            Issued::At(issued) => self.question.at - issued > self.question.operation.stale_after_s,
        }
    }

    /// A spell of hours counted from [`Self::from`], with its best run.
    fn spell(&self, (start, end): (usize, usize), needed: usize) -> Spell {
        let (from, rules) = (self.from(), &self.question.operation.rules);
        let clear: Vec<f64> = (start..end)
            .map(|hour| self.council.clearance(from + hour, rules))
            .collect();
        let mut best = (0, f64::NEG_INFINITY);
        for (index, run) in clear.windows(needed.max(1)).enumerate() {
            let least = run.iter().copied().fold(f64::INFINITY, f64::min);
            if least > best.1 {
                best = (index, least);
            }
        }
        Spell {
            start: self.time(from + start),
            end: self.time(from + end),
            best_start: self.time(from + start + best.0),
        }
    }

    /// The first spell with enough hours inside the window; its best run is looked for inside too.
    fn spell_of_go(&self, states: &States, needed: usize, spells: &[Spell]) -> Option<Spell> {
        let inside = *fair_runs(&states.window, needed).first()?;
        let before = usize::try_from(-self.first).unwrap_or(0);
        let run = (inside.0.checked_sub(before)?, inside.1.checked_sub(before)?);
        let best = self.spell(run, needed).best_start;
        let start = self.time(self.from() + run.0);
        let whole = spells
            .iter()
            .find(|spell| spell.start <= start && start < spell.end)?;
        Some(Spell {
            best_start: best,
            ..*whole
        })
    }

    fn hours(&self) -> Vec<Hour> {
        let raised = self.council.raised(&self.question.operation);
        let is_stale = self.is_stale();
        let hours = (self.from()..).zip(self.council.states()).zip(raised);
        let hour = |((hour, state), raised)| Hour {
            time: self.time(hour),
            state: if is_stale { State::Unknown } else { state },
            raised,
        };
        hours.map(hour).collect()
    }

    fn is_unchecked(&self, rule: usize) -> bool {
        let is_optional = self
            .question
            .operation
            .rules
            .get(rule)
            .is_some_and(|rule| rule.optional);
        is_optional && self.council.is_absent(rule)
    }

    fn unchecked(&self) -> Vec<usize> {
        (0..self.question.operation.rules.len())
            .filter(|rule| self.is_unchecked(*rule))
            .collect()
    }

    fn notes(&self) -> Vec<Note> {
        use crate::operation::Measure;
        let (question, mut notes) = (self.question, Vec::new());
        let (site, forecast) = (question.site, question.forecast);
        match forecast.issued {
            Issued::Unknown => notes.push(Note::UnknownAge),
            Issued::At(issued) if issued > question.at => notes.push(Note::IssuedLater),
            _ => {}
        }
        let apart = forecast
            .position
            .and_then(|position| site.distance_km(position.latitude, position.longitude));
        notes.extend(apart.filter(|km| *km > FAR_KM).map(|km| Note::Far { km }));
        let uses = |wanted: &[Measure]| {
            question
                .operation
                .rules
                .iter()
                .any(|rule| wanted.contains(&rule.measure))
        };
        let sky = sky_of(question);
        if sky.coordinates.is_none() && uses(&[Measure::Daylight, Measure::SunElevation]) {
            notes.push(Note::NoCoordinates);
        }
        let elevation = site
            .elevation_m
            .or(forecast.position.and_then(|position| position.elevation_m));
        if elevation.is_none()
            && uses(&[
                Measure::WetBulb,
                Measure::WetBulbDepression,
                Measure::DryingHours,
            ])
        {
            notes.push(Note::NoElevation);
        }
        let has_wind = self
            .series()
            .is_some_and(|series| series.has(crate::series::Element::Wind));
        if !has_wind && uses(&[Measure::DryingHours]) {
            notes.push(Note::StillDrying);
        }
        if site.garden.is_empty() {
            notes.push(Note::NoGarden);
        }
        if question.is_dry_now {
            notes.push(Note::DryOnWord);
        }
        if self.council.members.len() > 1 {
            notes.push(Note::Members {
                count: self.council.members.len(),
            });
        }
        notes
    }

    fn reasons(&self, decision: &Decision, states: &States) -> Vec<Reason> {
        if self.is_stale() {
            let issued = match self.question.forecast.issued {
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
                let mut reasons = self.hindered(decision);
                let runs = fair_runs(&states.window, 1);
                let longest = runs
                    .iter()
                    .map(|(start, end)| end - start)
                    .max()
                    .unwrap_or(0);
                let window = states.window.len();
                if longest > 0 || window < self.question.operation.hours_needed as usize {
                    reasons.insert(0, Reason::TooShort { longest, window });
                }
                reasons
            }
            Verdict::CannotTell => {
                let mut reasons = self.not_known(decision, states);
                reasons.extend(self.hindered(decision));
                reasons
            }
        }
    }

    /// The rules that fail in the window, those first that alone take most hours.
    fn hindered(&self, decision: &Decision) -> Vec<Reason> {
        let mut found: Vec<(usize, usize, i64, Hindrance)> = Vec::new();
        for hour in decision
            .hours
            .iter()
            .take_while(|hour| hour.time + HOUR_S <= self.until)
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

    /// What keeps the window's unknown hours from being known.
    fn not_known(&self, decision: &Decision, states: &States) -> Vec<Reason> {
        let mut reasons = Vec::new();
        let (mut no_row, mut first) = (0, 0);
        let mut by_rule: Vec<(usize, usize, usize)> = Vec::new();
        for (hour, _) in (self.first..)
            .zip(&states.window)
            .filter(|(_, state)| **state == State::Unknown)
        {
            let place = usize::try_from(hour).ok();
            let has_row =
                place.is_some_and(|hour| self.series().is_some_and(|series| series.has_row(hour)));
            let Some(hour) = place.filter(|_| has_row) else {
                first = if no_row == 0 { hour } else { first };
                no_row += 1;
                continue;
            };
            for (index, rule) in self.question.operation.rules.iter().enumerate() {
                let skipped = self.is_unchecked(index) && !self.question.is_strict;
                let finding = self.council.finding(index, hour, rule);
                if rule.severity != Severity::Block
                    || skipped
                    || finding.outcome != Outcome::Unknown
                {
                    continue;
                }
                if let Some(entry) = by_rule.iter_mut().find(|entry| entry.0 == index) {
                    entry.1 += 1;
                } else {
                    by_rule.push((index, 1, hour));
                }
            }
        }
        if no_row > 0 {
            let start = self.series().map_or(decision.at, HourlySeries::start);
            reasons.push(Reason::NoRow {
                hours: no_row,
                time: start + first * HOUR_S,
            });
        }
        by_rule.sort_by_key(|(rule, hours, _)| (usize::MAX - hours, *rule));
        reasons.extend(
            by_rule
                .into_iter()
                .map(|(rule, hours, hour)| self.unknown(rule, hours, hour)),
        );
        reasons
    }

    fn unknown(&self, rule: usize, hours: usize, hour: usize) -> Reason {
        let is_unknown =
            |member: &&Judged<'_>| member.finding(rule, hour).outcome == Outcome::Unknown;
        let member = self.judged.iter().find(is_unknown);
        let gap = member.map_or(Gap::NoMeasure, |member| member.gap(rule, hour));
        let missing = match gap {
            Gap::Missing { hour } => Some(self.time(hour)),
            _ => None,
        };
        Reason::Unknown {
            rule,
            hours,
            time: self.time(hour),
            gap,
            missing,
        }
    }

    fn explained(&self, decision: &Decision) -> Option<Explained> {
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

fn end_of(decision: &Decision, spell: &Spell) -> Reason {
    let after = decision.hours.iter().find(|hour| hour.time == spell.end);
    let hindrance = after.and_then(|hour| decision.hindrances(hour).into_iter().next());
    Reason::Ends {
        time: spell.end,
        hindrance,
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
