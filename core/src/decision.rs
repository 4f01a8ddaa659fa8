//! Spells, a place and a time: go, no-go or cannot tell, with reasons and cautions.
//!
//! The same question gives the same answer to the last bit: time is an argument, nothing else is asked.

mod answer;
mod council;
mod explain;
mod json;
mod laid;
mod note;
mod reason;
mod standing;
mod surety;
mod wait;
mod words;

use std::sync::Arc;

use chrono::{Days, NaiveDate, NaiveTime, TimeZone as _};
use chrono_tz::Tz;

use answer::{Answer, sky_of};
use council::Council;

use crate::error::DecideError;
use crate::operation::{Operation, Rule, Severity};
use crate::quantity::Quantity;
use crate::read::{Format, Issued, Reading, local_date};
use crate::series::HOUR_S;
use crate::site::Site;
use crate::spell::{Finding, Judged, Outcome, State};

pub use explain::{Explained, ExplainedRule, Input};
pub use laid::LaidWork;
pub use note::Note;
pub use reason::Reason;
pub use standing::{SeasonState, SeasonWork};
pub use surety::{Sure, Surety};
pub use wait::{Advice, Basis, Chance, DaysBy, Wait, losses_of_waiting};
pub use words::{Units, clock, day, show, when};

/// Longest window \[s\]: sixteen days, the reach of the longest public forecasts. Ours.
pub const MAX_WINDOW_S: i64 = 384 * HOUR_S;

/// Times that are answered for \[s since 1970 UTC\]: the years 1900 to 2199, for which the sun's formulas hold well
/// enough to tell day from night.
const YEARS_S: core::ops::Range<i64> = -2_208_988_800..7_258_118_400;

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
    /// Where the day stands in the season, if a record was given; it changes no verdict.
    pub season: Option<SeasonState>,
    /// The explained hour, if one was asked for.
    pub explained: Option<Explained>,
    /// Going now against waiting, if the season was asked for.
    pub wait: Option<Wait>,
    /// The garden's work laid into spells, if it was: [`Decision::lay_work`].
    pub work: Option<LaidWork>,
    /// How sure the spells are, if that was asked for.
    pub sure: Option<Sure>,
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
    answered(question, None)
}

/// Answers a question, and says how sure each spell is.
///
/// A go that is less sure than asked for, or whose confidence is not known, cannot be told: by the forecast its hours are
/// fair, but the forecast may err.
///
/// # Errors
/// As [`decide`].
///
/// ```
/// use fairspell::{decision::{decide_surely, Question, Surety, Verdict}, operation::Operation};
/// use fairspell::{read::{read_hourly, Source}, site::Site};
/// let mut csv = String::from("time,temperature_f,rain_in,rain_chance_pct\n");
/// for hour in 0..72 {
///     csv += &format!("2027-03-{:02}T{:02}:00-06:00,50,0,5\n", 10 + hour / 24, hour % 24);
/// }
/// let zone = "America/Chicago".parse().ok();
/// let forecast = read_hourly(Source { name: "week.csv", bytes: csv.as_bytes() }, zone)?;
/// let (site, oil) = (Site { zone, ..Site::default() }, Operation::built_in("oil").unwrap());
/// let question = Question {
///     forecast: &forecast, operation: &oil, site: &site, at: 1_804_690_800, until: None,
///     is_dry_now: false, is_strict: false, explain: None,
/// };
/// let decision = decide_surely(&question, &Surety::default())?;
/// let confidence = decision.confidence(&decision.spell.unwrap()).unwrap();
/// assert!(confidence.probability > Some(0.7) && confidence.probability < Some(0.9));
/// let sure = Surety { least: Some(0.95), ..Surety::default() };
/// assert_eq!(decide_surely(&question, &sure)?.verdict, Verdict::CannotTell);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn decide_surely(question: &Question<'_>, surety: &Surety) -> Result<Decision, DecideError> {
    answered(question, Some(surety))
}

fn answered(question: &Question<'_>, surety: Option<&Surety>) -> Result<Decision, DecideError> {
    let zone = question.site.zone.ok_or(DecideError::NoZone)?;
    let until = end_of_window(question, zone)?;
    let series = question.forecast.members.first();
    let first = series.map_or(0, |series| series.first_hour_from(question.at));
    let from = usize::try_from(first).unwrap_or(0);
    let sky = sky_of(question);
    let clock = (zone, question.is_strict);
    let members = question.forecast.members.iter();
    let judged: Vec<Judged<'_>> = members
        .map(|series| Judged::new(series, question.operation, &sky, clock, from))
        .collect();
    let members = judged
        .iter()
        .map(|judged| Arc::clone(judged.found()))
        .collect();
    let council = Council { members };
    let answer = Answer {
        question,
        zone,
        until,
        judged,
        council,
        first,
    };
    let (mut decision, states) = answer.decision();
    if let Some(surety) = surety {
        surety::weigh(&answer, &mut decision, &states, surety);
    }
    decision.explained = answer.explained(&decision);
    if decision.reasons.is_empty() {
        decision.reasons = reason::reasons(&answer, &decision, &states);
    }
    decision.notes = note::notes(&answer);
    Ok(decision)
}

/// End of the window that is asked about.
fn end_of_window(question: &Question<'_>, zone: Tz) -> Result<i64, DecideError> {
    let out_of_time = DecideError::Time {
        seconds: question.at,
    };
    if !YEARS_S.contains(&question.at) {
        return Err(out_of_time);
    }
    let until = question
        .until
        .or_else(|| end_of_day(question.at, zone))
        .ok_or(out_of_time)?;
    let seconds = until.saturating_sub(question.at);
    if (1..=MAX_WINDOW_S).contains(&seconds) {
        Ok(until)
    } else {
        Err(DecideError::Window { seconds })
    }
}

/// The first midnight after `at` on the clock of `zone`; where the clock skips midnight, the first time after it.
fn end_of_day(at: i64, zone: Tz) -> Option<i64> {
    let next = local_date(at, zone)?.checked_add_days(Days::new(1))?;
    midnights(next, zone).find(|time| *time > at)
}

/// The times at which a local day may begin: its midnight and the quarters of hours after it.
fn midnights(date: NaiveDate, zone: Tz) -> impl Iterator<Item = i64> {
    let midnight = date.and_time(NaiveTime::MIN);
    (0..16).filter_map(move |quarter| {
        let later = midnight.checked_add_signed(chrono::TimeDelta::minutes(15 * quarter))?;
        Some(zone.from_local_datetime(&later).earliest()?.timestamp())
    })
}

/// Beginning of a local day \[s since 1970 UTC\]; where the clock skips midnight, the first time after it.
///
/// ```
/// use fairspell::decision::midnight;
/// let day = chrono::NaiveDate::from_ymd_opt(1970, 1, 2).unwrap();
/// assert_eq!(midnight(day, chrono_tz::America::Chicago), 24 * 3600 + 6 * 3600);
/// ```
#[must_use]
pub fn midnight(date: NaiveDate, zone: Tz) -> i64 {
    let utc = date.and_time(NaiveTime::MIN).and_utc().timestamp();
    midnights(date, zone).next().unwrap_or(utc)
}
