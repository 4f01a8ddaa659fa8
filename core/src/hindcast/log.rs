//! A log of what was done, each entry held against the rules.
//!
//! An entry with a time is judged on every hour that the work touches: from the hour in which it began to the last of the
//! hours needed. An entry with a date alone is judged on its local day: it keeps within the rules if the day held a run of
//! the hours needed. The answer is that of [`crate::decision::decide`] at that time. Where the record lacks an hour it cannot tell.

use chrono::NaiveDate;
use chrono_tz::Tz;

use super::{Hindcast, Question};
use crate::decision::{self, Decision, Spell, Verdict, decide};
use crate::error::{Excerpt, HindcastError, ReadError, ReadProblem};
use crate::operation::Operation;
use crate::read::{Format, Issued, Reading, Source, parse_time, read_table};
use crate::series::HOUR_S;

/// Most entries of a log. Ours: a lifetime of sprays.
pub const MAX_ENTRIES: usize = 100_000;
/// Longest note that is kept \[bytes\]. Ours.
const MAX_NOTE: usize = 200;

/// When something was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum When {
    /// It began then \[s since 1970 UTC\].
    Time(i64),
    /// Some time that day.
    Date(NaiveDate),
}

/// An entry of a log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Done {
    /// When.
    pub when: When,
    /// The same as it is written.
    pub written: String,
    /// What; empty: the operation asked about.
    pub operation: String,
    /// A word on it.
    pub note: String,
}

/// Whether something was done within the rules.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Judgement {
    /// All rules are known to hold.
    Within,
    /// One is known to fail.
    Against,
    /// The record does not say.
    CannotTell,
}

impl Judgement {
    /// Its name in JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Within => "within-rules",
            Self::Against => "against-rules",
            Self::CannotTell => "cannot-tell",
        }
    }
}

/// An entry, judged.
#[derive(Debug, Clone)]
pub struct LogAnswer {
    /// The entry.
    pub done: Done,
    /// Whether it kept within the rules.
    pub judgement: Judgement,
    /// Beginning of the hours judged \[s since 1970 UTC\].
    pub start: i64,
    /// Their end \[s since 1970 UTC\].
    pub end: i64,
    /// What the engine says of them; `None` outside the record.
    pub decision: Option<Box<Decision>>,
    /// The spell that lies nearest, unless it kept within the rules.
    pub nearest: Option<Spell>,
}

/// Reads a log: CSV with a column `date` or `time` (or both: a blank time leaves the date), and `operation` and `note`
/// where wanted.
///
/// # Errors
/// [`ReadError`] with file, line and column.
///
/// ```
/// use fairspell::{hindcast::{When, read_log}, read::Source};
/// let bytes = b"time,operation,note\n2027-03-10T09:00-06:00,oil,two gallons\n";
/// let log = read_log(Source { name: "done.csv", bytes }, None)?;
/// assert_eq!((log[0].when, log[0].note.as_str()), (When::Time(1_804_690_800), "two gallons"));
/// # Ok::<(), fairspell::error::ReadError>(())
/// ```
pub fn read_log(source: Source<'_>, zone: Option<Tz>) -> Result<Vec<Done>, ReadError> {
    let mut log = Vec::new();
    read_table(source, LOG, |row| {
        if log.len() == MAX_ENTRIES {
            let (limit, of) = (MAX_ENTRIES as u64, "entries of a log");
            return Err(row.fault(0, ReadProblem::TooMuch { limit, of }));
        }
        let [date, time, operation, note] = [0, 1, 2, 3].map(|column| row.text(column));
        let column = usize::from(!time.is_empty());
        let written = if time.is_empty() { date } else { time };
        let when = when(written, zone).map_err(|problem| row.fault(column, problem))?;
        let end = (0..=MAX_NOTE.min(note.len()))
            .rev()
            .find(|at| note.is_char_boundary(*at));
        log.push(Done {
            when,
            written: written.to_owned(),
            operation: operation.to_owned(),
            note: note.get(..end.unwrap_or(0)).unwrap_or_default().to_owned(),
        });
        Ok(())
    })?;
    Ok(log)
}

/// Columns of a log, and what it must have.
const LOG: ([&str; 4], &str) = (
    ["date", "time", "operation", "note"],
    "a log: CSV with a column date or time, and operation and note where wanted",
);

fn when(text: &str, zone: Option<Tz>) -> Result<When, ReadProblem> {
    let found = || Excerpt::of(text.as_bytes());
    if text.len() > 10 {
        return parse_time(text, zone, None).map(When::Time);
    }
    let date = NaiveDate::parse_from_str(text, "%Y-%m-%d").map_err(|_| ReadProblem::Field {
        expected: "a date such as 2027-03-10, or a time such as 2027-03-10T09:00-06:00",
        found: found(),
    })?;
    match zone {
        Some(_) => Ok(When::Date(date)),
        None => Err(ReadProblem::NoZone { found: found() }),
    }
}

/// The entries of the operation asked about, judged.
pub(super) fn answers(
    question: &Question<'_>,
    answer: &Hindcast,
) -> Result<Vec<LogAnswer>, HindcastError> {
    let own = question.log.iter().filter(|done| {
        let name = &done.operation;
        name.is_empty() || *name == question.operation.name
    });
    own.map(|done| judged(question, answer, done)).collect()
}

/// The hours that an entry is judged on.
fn interval(answer: &Hindcast, done: &Done) -> (i64, i64) {
    match done.when {
        When::Time(time) => {
            let needed = answer.time(answer.hours_needed()) - answer.start;
            let past = (time - answer.start).rem_euclid(HOUR_S);
            let end = time + needed;
            let rest = (answer.start - end).rem_euclid(HOUR_S);
            (time - past, end + rest)
        }
        When::Date(date) => {
            let midnight = |date: NaiveDate| decision::midnight(date, answer.zone);
            let next = date.succ_opt().unwrap_or(date);
            (midnight(date), midnight(next))
        }
    }
}

fn judged(
    question: &Question<'_>,
    answer: &Hindcast,
    done: &Done,
) -> Result<LogAnswer, HindcastError> {
    let (start, end) = interval(answer, done);
    let decision = match reading(question, answer, (start, end))? {
        Some(reading) => decided(question, &reading, done, (start, end)),
        None => None,
    };
    let judgement = match decision.as_ref().map(|decision| decision.verdict) {
        Some(Verdict::Go) => Judgement::Within,
        Some(Verdict::NoGo) => Judgement::Against,
        Some(Verdict::CannotTell) | None => Judgement::CannotTell,
    };
    let is_within = judgement == Judgement::Within;
    Ok(LogAnswer {
        done: done.clone(),
        judgement,
        start,
        end,
        decision: decision.map(Box::new),
        nearest: answer.nearest(start, end).filter(|_| !is_within).copied(),
    })
}

/// The record around an interval, as far as rules look; `None` where it holds nothing of it.
fn reading(
    question: &Question<'_>,
    answer: &Hindcast,
    (start, end): (i64, i64),
) -> Result<Option<Reading>, HindcastError> {
    let past = question.past;
    let hours = i64::try_from(past.hours()).unwrap_or(i64::MAX);
    let (first, last) = (answer.hour_at(start), answer.hour_at(end - 1) + 1);
    if last <= 0 || first >= hours {
        return Ok(None);
    }
    let inside = |hour: i64| usize::try_from(hour.clamp(0, hours)).unwrap_or(0);
    let (from, to) = super::part::around(
        question.operation,
        (inside(first), inside(last)),
        past.hours(),
    );
    let (series, _) = past.part(from, to)?;
    Ok(Some(Reading {
        members: vec![series],
        issued: Issued::Unknown,
        position: question.position,
        format: Format::PlainCsv,
        notices: Vec::new(),
    }))
}

/// What the engine says; of an entry with a time it needs every hour touched.
fn decided(
    question: &Question<'_>,
    reading: &Reading,
    done: &Done,
    (start, end): (i64, i64),
) -> Option<Decision> {
    let mut operation: Operation = question.operation.clone();
    if matches!(done.when, When::Time(_)) {
        operation.hours_needed = u32::try_from((end - start) / HOUR_S).ok()?;
    }
    let question = decision::Question {
        forecast: reading,
        operation: &operation,
        site: question.site,
        at: start,
        until: Some(end),
        is_dry_now: false,
        is_strict: false,
        explain: None,
    };
    decide(&question).ok()
}
