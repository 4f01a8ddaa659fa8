//! What the engine would have said of past hours.

use core::ffi::c_char;

use fairspell::error::DecideError;
use fairspell::hindcast::{
    Hindcast as OwnHindcast, Judgement, MonthDay, Question, SeasonSpan, Week as OwnWeek, hindcast,
};
use fairspell::read::Notice;
use fairspell::read::forecasts::of_station;

use crate::forecasts::Forecasts;
use crate::freeze::count;
use crate::handle::{Kind, borrow, free, give, mark, optional};
use crate::operation::Operation;
use crate::past::{Log, Past};
use crate::pointer::{copy, optional_text, sized_buffer, sized_out};
use crate::site::Site;
use crate::spell::Spell;
use crate::status::{Fault, Status, entry};
use crate::time::{FAIRSPELL_NO_TIME, seconds};
use crate::unit::{is_on, or_nan};

/// What the engine would have said of past hours.
pub struct Hindcast {
    _opaque: (),
}

impl Kind for Hindcast {
    type Value = OwnHindcast;
    const MARK: u64 = mark(13);
    const NAME: &'static str = "a hindcast";
}

/// What was done kept within the rules.
pub const FAIRSPELL_WITHIN: i32 = 1;
/// It broke a rule.
pub const FAIRSPELL_AGAINST: i32 = 2;
/// The record does not say.
pub const FAIRSPELL_LOG_CANNOT_TELL: i32 = 3;

/// What is asked.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct HindcastOptions {
    /// The season of each year, such as "02-01..04-30"; NULL: the year, in the south from July to June. Not kept.
    pub season: *const c_char,
    /// What was done; NULL: nothing.
    pub log: *const Log,
    /// Forecasts that were kept, to be held against what came (in the JSON of the answer); NULL: none.
    pub forecasts: *const Forecasts,
    /// 1: spells are all that is wanted; counts, weeks, seasons, log and notices are then left empty.
    pub is_brief: i32,
    /// 0.
    pub reserved: i32,
}

/// Hours of each state, and days of each sort.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct Counts {
    /// Hours in which all blocking rules hold.
    pub fair: u64,
    /// Hours in which one is known to fail.
    pub hindered: u64,
    /// Hours that cannot be known.
    pub unknown: u64,
    /// Local days.
    pub days: u64,
    /// Of these, days that hold as many fair hours in a row as the work needs.
    pub usable_days: u64,
    /// Days that only their unknown hours could make usable.
    pub undecided_days: u64,
}

/// Facts of a hindcast.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct HindcastFacts {
    /// Beginning of the first hour [s since 1970 UTC].
    pub start: i64,
    /// End of the last hour [s since 1970 UTC].
    pub end: i64,
    /// Its hours and days.
    pub counts: Counts,
    /// Spells.
    pub spells: u32,
    /// Blocking rules in `fairspell_hindcast_rules`.
    pub rules: u32,
    /// Seasons.
    pub seasons: u32,
    /// Entries of the log that are for this operation.
    pub log: u32,
}

/// What a blocking rule cost.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct RuleHours {
    /// Hindered hours in which it failed.
    pub hours: u64,
    /// Of these, hours in which no other blocking rule failed.
    pub alone: u64,
    /// Index of the rule in the operation.
    pub rule: u32,
    /// 0.
    pub reserved: u32,
}

/// A week of the year, over all years.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct Week {
    /// Its hours and days.
    pub counts: Counts,
    /// 1 to 52, from 1 January on.
    pub week: u32,
    /// Spells that begin in it.
    pub spells: u32,
}

/// One season of the record.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct HindcastSeason {
    /// Its hours and days.
    pub counts: Counts,
    /// Midnight UTC of its first day [s since 1970].
    pub from: i64,
    /// Midnight UTC of its last day.
    pub to: i64,
    /// The first start from which the work would have fitted [s since 1970 UTC]; `FAIRSPELL_NO_TIME`: none.
    pub first_chance: i64,
    /// The last such start.
    pub last_chance: i64,
    /// Named by the year in which it begins.
    pub year: i32,
    /// Spells that begin in it.
    pub spells: u32,
    /// Whether the record holds all of it.
    pub is_whole: i32,
    /// Whether unknown hours may hide an earlier or a later chance.
    pub may_hide: i32,
}

/// The odds of a spell in the days from a date on.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct Odds {
    /// Share of years with one; NaN: no year counts.
    pub probability: f64,
    /// Years that the record holds whole.
    pub years: u32,
    /// Of these, years with a run of the hours needed.
    pub hits: u32,
    /// Years that only unknown hours decide; they count as without.
    pub undecided: u32,
    /// 0.
    pub reserved: u32,
}

/// What was done, judged.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct LogAnswer {
    /// Beginning of what was judged [s since 1970 UTC].
    pub start: i64,
    /// Its end.
    pub end: i64,
    /// Beginning of the nearest spell, unless it kept within the rules; `FAIRSPELL_NO_TIME`: none.
    pub nearest_start: i64,
    /// End of the nearest spell.
    pub nearest_end: i64,
    /// `FAIRSPELL_WITHIN`, `FAIRSPELL_AGAINST` or `FAIRSPELL_LOG_CANNOT_TELL`.
    pub judgement: i32,
    /// 0.
    pub reserved: i32,
}

/// Fills in the defaults: the year as season, no log.
///   size    sizeof(fairspell_hindcast_options)
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_hindcast_options_init(
    options: *mut HindcastOptions,
    size: usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks.
        let options = unsafe { sized_out(options, size) }?;
        options.put(HindcastOptions {
            season: core::ptr::null(),
            log: core::ptr::null(),
            forecasts: core::ptr::null(),
            is_brief: 0,
            reserved: 0,
        });
        Ok(())
    })
}

/// Judges past hours of one station by the same rules as a forecast.
///   past             past hours
///   station          index, from 0, below `fairspell_past_count`
///   operation        built in or read; the site's limits are put in here
///   site             the place; its zone is needed
///   options, size    see `fairspell_hindcast_options_init`
///   out              receives a hindcast for `fairspell_hindcast_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_QUESTION` (no zone), `FAIRSPELL_INPUT` (a limit in the site file, a season that is none),
/// `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_UTF8`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_hindcast_judge(
    past: *const Past,
    station: usize,
    operation: *const Operation,
    site: *const Site,
    options: *const HindcastOptions,
    size: usize,
    out: *mut *mut Hindcast,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handles, options and out-pointer.
        let (past, operation, site, options, out) = unsafe {
            (
                borrow(past)?,
                borrow(operation)?,
                borrow(site)?,
                copy(options, size)?,
                crate::pointer::out(out)?,
            )
        };
        // SAFETY: as the header asks of the text and the handles in the options.
        let (season, log, forecasts) = unsafe {
            (
                optional_text(options.season)?,
                optional(options.log)?,
                optional(options.forecasts)?,
            )
        };
        let reading = past.station(station)?;
        let season = season.map(SeasonSpan::parse).transpose()?;
        let log = log.map_or(&[][..], Vec::as_slice);
        let foretold = forecasts.map_or_else(Vec::new, |archive| {
            of_station(&archive.stations, &reading.station)
        });
        let is_brief = is_on(options.is_brief, "is_brief")?;
        site.zone.ok_or(DecideError::NoZone)?;
        let mut answer = hindcast(&Question {
            station: &reading.station,
            past: &reading.hours,
            position: reading.position,
            operation: &operation.clone().at_site(site)?,
            site,
            season,
            log,
            forecasts: &foretold,
            is_brief,
        })?;
        let own = reading.notices.iter().map(Notice::to_string);
        answer
            .notices
            .extend(own.chain(past.of_file().iter().cloned()));
        if !is_brief {
            answer.note_others(log.len());
            answer.note_no_forecasts(forecasts.is_some());
        }
        give(answer, out);
        Ok(())
    })
}

fn counts(hours: fairspell::hindcast::Counts, days: fairspell::hindcast::DayCounts) -> Counts {
    Counts {
        fair: hours.fair as u64,
        hindered: hours.hindered as u64,
        unknown: hours.unknown as u64,
        days: days.days as u64,
        usable_days: days.usable as u64,
        undecided_days: days.undecided as u64,
    }
}

/// Facts of a hindcast.
///   size    sizeof(fairspell_hindcast_facts)
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_hindcast_about(
    hindcast: *const Hindcast,
    facts: *mut HindcastFacts,
    size: usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and struct.
        let (own, facts) = unsafe { (borrow(hindcast)?, sized_out(facts, size)?) };
        facts.put(HindcastFacts {
            start: own.start,
            end: own.end,
            counts: counts(own.hours, own.days),
            spells: count(own.spells.len()),
            rules: count(own.by_rule.len()),
            seasons: count(own.seasons.len()),
            log: count(own.log.len()),
        });
        Ok(())
    })
}

/// Copies all spells; they have no confidence, since what was is known.
///   items        [capacity] structs; may be NULL if capacity is 0
///   item_size    sizeof(fairspell_spell)
///   needed       receives their number, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK`, `FAIRSPELL_SMALL`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_hindcast_spells(
    hindcast: *const Hindcast,
    items: *mut Spell,
    item_size: usize,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and buffer.
        let (own, items) = unsafe {
            (
                borrow(hindcast)?,
                sized_buffer(items, item_size, capacity, needed)?,
            )
        };
        let spells = own.spells.iter().map(|spell| Spell {
            start: spell.start,
            end: spell.end,
            best_start: spell.best_start,
            confidence: f64::NAN,
            confidence_low: f64::NAN,
            confidence_high: f64::NAN,
        });
        items.fill(&spells.collect::<Vec<_>>())
    })
}

/// Copies what each blocking rule cost, in the operation's order.
///   items        [capacity] structs; may be NULL if capacity is 0
///   item_size    sizeof(fairspell_rule_hours)
///   needed       receives their number, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK`, `FAIRSPELL_SMALL`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_hindcast_rules(
    hindcast: *const Hindcast,
    items: *mut RuleHours,
    item_size: usize,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and buffer.
        let (own, items) = unsafe {
            (
                borrow(hindcast)?,
                sized_buffer(items, item_size, capacity, needed)?,
            )
        };
        let rules = own.by_rule.iter().map(|cost| RuleHours {
            hours: cost.hours as u64,
            alone: cost.alone as u64,
            rule: count(cost.rule),
            reserved: 0,
        });
        items.fill(&rules.collect::<Vec<_>>())
    })
}

/// Copies the 52 weeks of the year, over all years.
///   items        [capacity] structs; may be NULL if capacity is 0
///   item_size    sizeof(fairspell_week)
///   needed       receives their number, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK`, `FAIRSPELL_SMALL`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_hindcast_weeks(
    hindcast: *const Hindcast,
    items: *mut Week,
    item_size: usize,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and buffer.
        let (own, items) = unsafe {
            (
                borrow(hindcast)?,
                sized_buffer(items, item_size, capacity, needed)?,
            )
        };
        let week = |own: &OwnWeek| Week {
            counts: counts(own.hours, own.days),
            week: own.week,
            spells: count(own.spells),
        };
        items.fill(&own.weeks_of_the_year().iter().map(week).collect::<Vec<_>>())
    })
}

/// Copies the seasons that the record touches.
///   items        [capacity] structs; may be NULL if capacity is 0
///   item_size    sizeof(fairspell_hindcast_season)
///   needed       receives their number, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK`, `FAIRSPELL_SMALL`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_hindcast_seasons(
    hindcast: *const Hindcast,
    items: *mut HindcastSeason,
    item_size: usize,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and buffer.
        let (own, items) = unsafe {
            (
                borrow(hindcast)?,
                sized_buffer(items, item_size, capacity, needed)?,
            )
        };
        let seasons = own.seasons.iter().map(|season| HindcastSeason {
            counts: counts(season.hours, season.days),
            from: seconds(season.from),
            to: seconds(season.to),
            first_chance: season.first_chance.unwrap_or(FAIRSPELL_NO_TIME),
            last_chance: season.last_chance.unwrap_or(FAIRSPELL_NO_TIME),
            year: season.year,
            spells: count(season.spells),
            is_whole: i32::from(season.is_whole),
            may_hide: i32::from(season.may_hide),
        });
        items.fill(&seasons.collect::<Vec<_>>())
    })
}

/// The odds of at least one run of the hours needed in the days from a date on, over the record's years.
///   month, day    the date, 1 to 12 and 1 to 31
///   days          1 to 366
///   size          sizeof(fairspell_odds)
/// `FAIRSPELL_OK`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_hindcast_odds(
    hindcast: *const Hindcast,
    month: u32,
    day: u32,
    days: u32,
    odds: *mut Odds,
    size: usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and struct.
        let (own, out) = unsafe { (borrow(hindcast)?, sized_out(odds, size)?) };
        let from = MonthDay::new(month, day).ok_or_else(|| {
            Fault::range(format!(
                "expected a month and a day, found {month} and {day}"
            ))
        })?;
        if !(1..=366).contains(&days) {
            return Err(Fault::range(format!(
                "expected 1 to 366 days, found {days}"
            )));
        }
        let odds = own.odds(from, days);
        out.put(Odds {
            probability: or_nan(odds.probability),
            years: count(odds.years),
            hits: count(odds.hits),
            undecided: count(odds.undecided),
            reserved: 0,
        });
        Ok(())
    })
}

/// Copies what was done, judged; the JSON has the rules that were broken and by how much.
///   items        [capacity] structs; may be NULL if capacity is 0
///   item_size    sizeof(fairspell_log_answer)
///   needed       receives their number, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK`, `FAIRSPELL_SMALL`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_hindcast_log(
    hindcast: *const Hindcast,
    items: *mut LogAnswer,
    item_size: usize,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and buffer.
        let (own, items) = unsafe {
            (
                borrow(hindcast)?,
                sized_buffer(items, item_size, capacity, needed)?,
            )
        };
        let log = own.log.iter().map(|entry| LogAnswer {
            start: entry.start,
            end: entry.end,
            nearest_start: entry.nearest.map_or(FAIRSPELL_NO_TIME, |spell| spell.start),
            nearest_end: entry.nearest.map_or(FAIRSPELL_NO_TIME, |spell| spell.end),
            judgement: match entry.judgement {
                Judgement::Within => FAIRSPELL_WITHIN,
                Judgement::Against => FAIRSPELL_AGAINST,
                Judgement::CannotTell => FAIRSPELL_LOG_CANNOT_TELL,
            },
            reserved: 0,
        });
        items.fill(&log.collect::<Vec<_>>())
    })
}

/// Frees a hindcast and sets *hindcast to NULL; where it is NULL already, nothing happens.
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL` (the address itself), `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_hindcast_free(hindcast: *mut *mut Hindcast) -> Status {
    // SAFETY: as the header asks.
    entry(|| unsafe { free(hindcast) })
}
