//! Past hours to what the engine would have said of them: every spell, what hindered and how much, the weeks of the
//! year, the seasons, the odds of a later spell, a log of what was done held against the rules, and forecasts that were
//! kept held against what came.
//!
//! The engine is that of [`crate::decision`], hour by hour and rule by rule; a record of decades is judged a part at a
//! time, with as many hours around each part as its rules look at, so that the answer is the same as of the whole.
//!
//! # Definitions
//! - A *usable day* is a local day that holds as many fair hours in a row as the work needs; *undecided*, where only its
//!   unknown hours could make it one, or the record begins or ends within it.
//! - *Weeks of the year* have seven days from 1 January on in a year without 29 February, which counts as the 28th; the
//!   last, the 52nd, has eight.
//! - A *season* runs from one month and day to another; it is named by the year in which it begins. Its *chances* are the
//!   starts from which the work fits into it and into fair hours.
//! - What a rule *cost* are the hindered hours in which it failed, and those in which it failed alone.
//! - The *odds* of a date are the share of years with at least one run of the hours needed in the days from it on. A year
//!   counts if the record holds all those days. Unknown hours count as unfit, so that what is missing never raises the
//!   odds; how many years they decide is said.

mod calendar;
mod forecasts;
mod json;
mod log;
mod odds;
mod part;
mod season;
mod tally;

use chrono_tz::Tz;

use crate::decision::Spell;
use crate::error::{DecideError, HindcastError};
use crate::freeze::Window;
use crate::operation::{Operation, Rule, Severity};
use crate::quantity::counted;
use crate::read::Position;
use crate::read::forecasts::Foretold;
use crate::series::{Element, HOUR_S, Hours};
use crate::site::{Hemisphere, Site};
use crate::spell::{Judged, Sky};

use calendar::Calendar;
use tally::Tally;

pub use forecasts::ForecastRecord;
pub use json::worst;
pub use log::{Done, Judgement, LogAnswer, MAX_ENTRIES, When, read_log};
pub use odds::{DayShare, ODDS_DAYS, Odds};
pub use season::{MonthDay, Season, SeasonSpan};

/// Fewest hours with a row of which a column without any blank is worth a word. Ours: thirty days.
const LEAST_COMPLETE_ROWS: usize = 720;

/// What is asked.
#[derive(Debug, Clone, Copy)]
pub struct Question<'a> {
    /// The station's name; empty where the file has none.
    pub station: &'a str,
    /// Its past hours.
    pub past: &'a Hours,
    /// The place that the file says it is for.
    pub position: Option<Position>,
    /// The operation, with the site's own limits in it.
    pub operation: &'a Operation,
    /// The place, whose clock and coordinates count.
    pub site: &'a Site,
    /// The season of each year; `None`: the calendar year, in the south from July to June.
    pub season: Option<SeasonSpan>,
    /// What was done.
    pub log: &'a [Done],
    /// Forecasts of the temperature that were kept, to be held against what came.
    pub forecasts: &'a [Foretold],
    /// Whether spells are all that is wanted: all counts, weeks, seasons, log and notices are then left empty, and a spell's
    /// best start is its first hour.
    pub is_brief: bool,
}

/// Hours of each state.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize)]
pub struct Counts {
    /// All blocking rules hold.
    pub fair: usize,
    /// One is known to fail.
    pub hindered: usize,
    /// It cannot be known.
    pub unknown: usize,
}

impl Counts {
    /// All of them.
    #[must_use]
    pub fn all(&self) -> usize {
        self.fair + self.hindered + self.unknown
    }

    fn add(&mut self, other: Self) {
        self.fair += other.fair;
        self.hindered += other.hindered;
        self.unknown += other.unknown;
    }
}

/// Days of each sort.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize)]
pub struct DayCounts {
    /// Days in all.
    pub days: usize,
    /// Usable ones.
    pub usable: usize,
    /// Undecided ones.
    pub undecided: usize,
}

impl DayCounts {
    fn add(&mut self, other: Self) {
        self.days += other.days;
        self.usable += other.usable;
        self.undecided += other.undecided;
    }
}

/// What a blocking rule cost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RuleHours {
    /// Index of the rule in the operation.
    pub rule: usize,
    /// Hindered hours in which it failed.
    pub hours: usize,
    /// Of these, hours in which no other blocking rule failed.
    pub alone: usize,
}

/// A week of one year, or of all years.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Week {
    /// The year; 0 for all years.
    pub year: i32,
    /// 1 to 52.
    pub week: u32,
    /// Its hours.
    pub hours: Counts,
    /// Its days.
    pub days: DayCounts,
    /// Spells that begin in it.
    pub spells: usize,
    /// Hindered hours in which each rule of the operation failed, in its order.
    pub by_rule: Vec<usize>,
}

impl Week {
    /// Month and day on which it begins.
    #[must_use]
    pub fn starts(&self) -> Option<MonthDay> {
        let (month, day) = Window::month_day(7 * self.week.checked_sub(1)? + 1);
        MonthDay::new(month, day)
    }
}

/// What the engine would have said.
#[derive(Debug, Clone)]
pub struct Hindcast {
    /// The operation, with the limits used.
    pub operation: Operation,
    /// The station's name; empty where the file has none.
    pub station: String,
    /// Name of the site, if it has one.
    pub site: Option<String>,
    /// The zone of its clock.
    pub zone: Tz,
    /// Beginning of the record's first hour \[s since 1970 UTC\].
    pub start: i64,
    /// End of its last hour \[s since 1970 UTC\].
    pub end: i64,
    /// Its hours.
    pub hours: Counts,
    /// Its days.
    pub days: DayCounts,
    /// All spells.
    pub spells: Vec<Spell>,
    /// What each blocking rule cost, in the operation's order.
    pub by_rule: Vec<RuleHours>,
    /// The weeks of each year of the record.
    pub weeks: Vec<Week>,
    /// The span of the seasons.
    pub span: SeasonSpan,
    /// The seasons that the record touches.
    pub seasons: Vec<Season>,
    /// What was done, judged.
    pub log: Vec<LogAnswer>,
    /// How far the forecasts erred that were given; `None` without one.
    pub forecasts: Option<ForecastRecord>,
    /// Indices of the optional rules that the file cannot answer.
    pub unchecked: Vec<usize>,
    /// What else to know.
    pub notices: Vec<String>,
    /// The spells as first hour and the hour after the last, counted from the record's first.
    runs: Vec<(usize, usize)>,
    /// Runs of hours that are fair or unknown, as many as needed or more: first hour and the hour after the last.
    hopeful: Vec<(usize, usize)>,
    calendar: Calendar,
}

/// Judges past hours.
///
/// # Errors
/// [`HindcastError`] if the zone is not known, or an entry of the log cannot be judged.
///
/// ```
/// use fairspell::{hindcast::{Question, hindcast}, operation::Operation, read::{Source, read_hourly}, site::Site};
/// use fairspell::series::Hours;
/// let mut csv = String::from("time,temperature_f,rain_in\n");
/// for hour in 0..72 {
///     csv += &format!("2027-03-{:02}T{:02}:00Z,50,0\n", 10 + hour / 24, hour % 24);
/// }
/// let reading = read_hourly(Source { name: "past.csv", bytes: csv.as_bytes() }, None)?;
/// let past = Hours::from(reading.members[0].clone());
/// let site = Site { zone: "UTC".parse().ok(), ..Site::default() };
/// let oil = Operation::built_in("oil").unwrap();
/// let answer = hindcast(&Question {
///     station: "", past: &past, position: None, operation: &oil, site: &site, season: None, log: &[],
///     forecasts: &[], is_brief: false,
/// })?;
/// // Of 72 hours the first 3 and the last 24 cannot be known: the rules look at hours outside the record.
/// assert_eq!((answer.hours.fair, answer.hours.unknown, answer.spells.len()), (45, 27, 1));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn hindcast(question: &Question<'_>) -> Result<Hindcast, HindcastError> {
    let zone = question.site.zone.ok_or(DecideError::NoZone)?;
    let past = question.past;
    let calendar = if question.is_brief {
        Calendar::default()
    } else {
        Calendar::new(past, zone)
    };
    let mut tally = Tally::new(question.operation, calendar, past, question.is_brief);
    let unchecked = judge(question, zone, &mut tally)?;
    let counted = tally.finish();
    let mut answer = Hindcast {
        operation: question.operation.clone(),
        station: question.station.to_owned(),
        site: question.site.name.clone(),
        zone,
        start: past.start(),
        end: past.time(past.hours()),
        hours: counted.hours,
        days: counted.days,
        spells: counted.spells,
        by_rule: counted.by_rule,
        weeks: counted.weeks,
        span: span_of(question),
        seasons: Vec::new(),
        log: Vec::new(),
        forecasts: None,
        unchecked,
        notices: Vec::new(),
        runs: counted.runs,
        hopeful: counted.hopeful,
        calendar: Calendar {
            days: counted.calendar,
        },
    };
    if !question.is_brief {
        complete(question, &mut answer)?;
    }
    Ok(answer)
}

/// What is not left out of a brief answer.
fn complete(question: &Question<'_>, answer: &mut Hindcast) -> Result<(), HindcastError> {
    answer.notices = notices(question);
    answer.seasons = season::seasons(answer);
    answer.log = log::answers(question, answer)?;
    answer.forecasts = forecasts::record(question)?;
    Ok(())
}

/// The span of the seasons: what was asked for, else the year of the site's hemisphere.
fn span_of(question: &Question<'_>) -> SeasonSpan {
    let is_south = question.site.hemisphere() == Some(Hemisphere::South);
    question
        .season
        .unwrap_or_else(|| SeasonSpan::whole_year(is_south))
}

/// Judges the hours part by part; the rules that go unchecked.
fn judge(
    question: &Question<'_>,
    zone: Tz,
    tally: &mut Tally<'_>,
) -> Result<Vec<usize>, HindcastError> {
    let (operation, past) = (question.operation, question.past);
    let sky = sky_of(question);
    let mut unchecked = Vec::new();
    for part in part::parts(operation, past.hours()) {
        let (series, first) = past.part(part.from, part.to)?;
        let judged = Judged::new(&series, operation, &sky, (zone, false), part.first - first);
        if part.first == 0 {
            let rules = 0..operation.rules.len();
            unchecked = rules.filter(|rule| judged.is_unchecked(*rule)).collect();
        }
        tally.add(judged.found(), (part.first, part.last), part.first - first);
    }
    Ok(unchecked)
}

/// What is known of the place: the site's own word before the file's.
fn sky_of(question: &Question<'_>) -> Sky {
    let (site, position) = (question.site, question.position);
    let of_file = position.map(|position| (position.latitude, position.longitude));
    let elevation = site
        .elevation_m
        .or(position.and_then(|position| position.elevation_m));
    Sky {
        coordinates: site.coordinates().or(of_file),
        elevation_m: elevation.unwrap_or(0.0),
        dry_before: false,
    }
}

/// What must be said of the record as a whole.
fn notices(question: &Question<'_>) -> Vec<String> {
    let past = question.past;
    let mut notices = Vec::new();
    let rows = past.rows();
    if rows < past.hours() {
        notices.push(counted(
            (past.hours() - rows) as u64,
            "hour within the record has no row and is unknown",
            "hours within the record have no row and are unknown",
        ));
    }
    let limits_rain = question.operation.rules.iter().any(limits_rain);
    let is_complete = past.known(Element::Rain).is_some_and(|known| known >= rows);
    if limits_rain && rows >= LEAST_COMPLETE_ROWS && is_complete {
        notices.push(
            "rain: not one row is blank or marked missing. An archive without a code for missing rain writes 0 \
             for a gauge that failed, so a dry hour may be one that nobody measured"
                .to_owned(),
        );
    }
    notices
}

fn limits_rain(rule: &Rule) -> bool {
    use crate::operation::Measure;
    let is_rain = matches!(
        rule.measure,
        Measure::Read(Element::Rain) | Measure::HoursSinceRain | Measure::HoursUntilRain
    );
    rule.severity == Severity::Block && is_rain
}

impl Hindcast {
    /// Says where forecasts were given, and none of them is for this station.
    pub fn note_no_forecasts(&mut self, is_any_given: bool) {
        if is_any_given && self.forecasts.is_none() {
            let notice = "forecasts: none of the archive is for this station";
            self.notices.push(notice.to_owned());
        }
    }

    /// The weeks of the year, over all years.
    #[must_use]
    pub fn weeks_of_the_year(&self) -> Vec<Week> {
        let rules = self.operation.rules.len();
        let mut all: Vec<Week> = (1..=calendar::WEEKS)
            .map(|week| Week {
                week,
                by_rule: vec![0; rules],
                ..Week::default()
            })
            .collect();
        for own in &self.weeks {
            let place = usize::try_from(own.week - 1).ok();
            let Some(sum) = place.and_then(|place| all.get_mut(place)) else {
                continue;
            };
            sum.hours.add(own.hours);
            sum.days.add(own.days);
            sum.spells += own.spells;
            for (sum, own) in sum.by_rule.iter_mut().zip(&own.by_rule) {
                *sum += own;
            }
        }
        all
    }

    /// Says how many entries of a log are for another operation, if any are.
    ///
    /// - `entries`: of the log in all.
    pub fn note_others(&mut self, entries: usize) {
        let others = entries.saturating_sub(self.log.len());
        if others > 0 {
            self.notices.push(format!(
                "log: {others} of its entries left out, which are for another operation"
            ));
        }
    }

    /// Hours that the work needs in a row.
    #[must_use]
    pub fn hours_needed(&self) -> usize {
        (self.operation.hours_needed as usize).max(1)
    }

    /// The longest spell, the earliest of several.
    #[must_use]
    pub fn longest(&self) -> Option<&Spell> {
        let later_wins =
            |a: &&Spell, b: &&Spell| a.hours().cmp(&b.hours()).then(b.start.cmp(&a.start));
        self.spells.iter().max_by(later_wins)
    }

    /// The spell that lies nearest to an interval: it overlaps it, or the time between them is the least.
    #[must_use]
    pub fn nearest(&self, start: i64, end: i64) -> Option<&Spell> {
        let apart = |spell: &&Spell| (spell.start - end).max(start - spell.end).max(0);
        self.spells.iter().min_by_key(apart)
    }

    /// The hour of an instant, counted from the record's first; outside the record before or behind it.
    fn hour_at(&self, time: i64) -> i64 {
        (time - self.start).div_euclid(HOUR_S)
    }

    fn time(&self, hour: usize) -> i64 {
        self.start + i64::try_from(hour).unwrap_or(i64::MAX / HOUR_S) * HOUR_S
    }
}
