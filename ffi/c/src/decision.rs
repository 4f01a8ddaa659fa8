//! Go, no-go or cannot tell: spells, hours, hindrances, confidence, waiting.

use core::ffi::c_char;

use fairspell::decision::{
    Advice, Decision as OwnDecision, ExplainAt, Hindrance as OwnHindrance, Question,
    Spell as OwnSpell, Surety, Units, Verdict, decide, decide_surely,
};
use fairspell::hindcast::Hindcast as OwnHindcast;
use fairspell::operation::Operation as OwnOperation;
use fairspell::plant::PlantTable;
use fairspell::season::{Waiting, stand};
use fairspell::site::Site as OwnSite;
use fairspell::spell::{Outcome, State};

use crate::freeze::count;
use crate::handle::{Kind, borrow, free, give, mark, optional};
use crate::hindcast::Hindcast;
use crate::hourly::{Hourly, HourlyValue, forecast};
use crate::operation::{Operation, at_site, rule_of};
use crate::pointer::{buffer, copy, sized_buffer, sized_out, text_buffer};
use crate::record::{Record, RecordValue};
use crate::site::{Plants, Site};
use crate::spell::Spell;
use crate::status::{Fault, Status, entry};
use crate::text::{Text, of_lines};
use crate::time::{FAIRSPELL_NO_TIME, optional_time, seconds};
use crate::unit::{is_on, number, optional_finite, or_nan};

/// An answer with all that led to it.
pub struct Decision {
    _opaque: (),
}

/// What lies behind a decision.
#[derive(Debug)]
pub(crate) struct DecisionValue {
    pub(crate) decision: OwnDecision,
    /// What must be said of the season.
    pub(crate) of_season: Vec<String>,
}

impl Kind for Decision {
    type Value = DecisionValue;
    const MARK: u64 = mark(9);
    const NAME: &'static str = "a decision";
}

/// The window holds enough fair hours in a row.
pub const FAIRSPELL_GO: i32 = 1;
/// It does not, whatever the unknown hours are.
pub const FAIRSPELL_NO_GO: i32 = 2;
/// The unknown hours decide.
pub const FAIRSPELL_CANNOT_TELL: i32 = 3;

/// All blocking rules hold in the hour.
pub const FAIRSPELL_FAIR: i32 = 1;
/// One is known to fail.
pub const FAIRSPELL_HINDERED: i32 = 2;
/// It cannot be known.
pub const FAIRSPELL_UNKNOWN: i32 = 3;

/// A rule is known to hold.
pub const FAIRSPELL_HOLDS: i32 = 1;
/// A rule is known to fail.
pub const FAIRSPELL_FAILS: i32 = 2;
/// It cannot be known whether a rule holds.
pub const FAIRSPELL_NOT_KNOWN: i32 = 3;
/// An optional rule that the file cannot answer.
pub const FAIRSPELL_UNCHECKED: i32 = 4;

/// Nothing is explained.
pub const FAIRSPELL_EXPLAIN_NOTHING: i32 = 0;
/// The best start of the first spell is explained, else the first hour of the window.
pub const FAIRSPELL_EXPLAIN_BEST: i32 = 1;
/// The hour at `explain_time` is explained.
pub const FAIRSPELL_EXPLAIN_TIME: i32 = 2;

/// Go in the spell at hand: waiting is expected to lose more.
pub const FAIRSPELL_GO_NOW: i32 = 1;
/// Wait, at least until a day.
pub const FAIRSPELL_WAIT: i32 = 2;
/// Both are expected to lose the same.
pub const FAIRSPELL_NO_MATTER: i32 = 3;
/// Letting the season pass undone is expected to lose less than any day of it.
pub const FAIRSPELL_LET_PASS: i32 = 4;
/// There is no spell now; the chance of a later one is told.
pub const FAIRSPELL_NO_SPELL_NOW: i32 = 5;

/// What is asked.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct DecideOptions {
    /// The plants table for the site's garden; NULL: the built-in one.
    pub plants: *const Plants,
    /// Days of a station with maxima, to say where the season stands and weigh going now against waiting; NULL:
    /// neither.
    pub record: *const Record,
    /// What the same operation would have said of past hours, beside `record`: days beyond the forecast then count by all rules;
    /// NULL: by the record's temperatures alone, as with a brief one.
    pub past: *const Hindcast,
    /// Now [s since 1970 UTC].
    pub at: i64,
    /// End of the window [s since 1970 UTC], at most 384 hours after `at`; `FAIRSPELL_NO_TIME`: the end of the local
    /// day.
    pub until: i64,
    /// The hour to explain, beside `FAIRSPELL_EXPLAIN_TIME` [s since 1970 UTC].
    pub explain_time: i64,
    /// Least confidence of a go, 0 to 1: a less sure one cannot be told; NaN: none. It needs `with_confidence`.
    pub least_confidence: f64,
    /// Loss of letting the season pass undone, 0 to 1000, beside `record`: 1 is that of a plant's shoots.
    pub missed_loss: f64,
    /// 1: your own word that the wood is dry at `at`: hours before the first then count as dry.
    pub is_dry_now: i32,
    /// 1: unchecked blocking rules make it cannot tell.
    pub is_strict: i32,
    /// 1: how sure each spell is. Without it a decision takes a tenth of the time.
    pub with_confidence: i32,
    /// 1: the garden's work is laid into the spells of pruning and oil (in the JSON).
    pub with_work: i32,
    /// `FAIRSPELL_EXPLAIN_NOTHING`, `FAIRSPELL_EXPLAIN_BEST` or `FAIRSPELL_EXPLAIN_TIME`.
    pub explain: i32,
    /// 0.
    pub reserved: i32,
}

/// Facts of a decision.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct DecisionFacts {
    /// The time asked about [s since 1970 UTC].
    pub at: i64,
    /// End of the window [s since 1970 UTC].
    pub until: i64,
    /// `FAIRSPELL_GO`, `FAIRSPELL_NO_GO` or `FAIRSPELL_CANNOT_TELL`.
    pub verdict: i32,
    /// Whether a spell carries a go: `fairspell_decision_spell`.
    pub has_spell: i32,
    /// Spells from `at` to the end of the file.
    pub spells: u32,
    /// Hours from `at` to the end of the file.
    pub hours: u32,
    /// Rules of the operation.
    pub rules: u32,
    /// Optional rules that the file cannot answer.
    pub unchecked: u32,
}

/// A rule that an hour fails, or a caution that it fails or that is not known.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct Hindrance {
    /// The value found, in `unit`; infinite or NaN where nothing is known.
    pub value: f64,
    /// The limit that it meets, in `unit`.
    pub limit: f64,
    /// How far inside the limit the value lies, in `unit`: below 0 by how much it fails.
    pub margin: f64,
    /// The hour whose value decides [s since 1970 UTC].
    pub decided_by: i64,
    /// Index of the rule in the operation.
    pub rule: u32,
    /// Unit of the three numbers; 0 for one that has no number here.
    pub unit: i32,
    /// Whether the rule is known to fail; a caution may be not known.
    pub is_known: i32,
    /// Whether it is a caution, which blocks nothing.
    pub is_caution: i32,
}

/// One rule of the hour that is explained.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct Explained {
    /// The hour whose value decides [s since 1970 UTC].
    pub decided_by: i64,
    /// Least value that it may have, in `unit`; minus infinity: nothing known.
    pub low: f64,
    /// Greatest value that it may have; infinity: nothing known.
    pub high: f64,
    /// How far inside the limits, in `unit`: below 0 by how much it fails.
    pub margin: f64,
    /// Index of the rule in the operation.
    pub rule: u32,
    /// Unit of the numbers.
    pub unit: i32,
    /// `FAIRSPELL_HOLDS`, `FAIRSPELL_FAILS`, `FAIRSPELL_NOT_KNOWN` or `FAIRSPELL_UNCHECKED`.
    pub outcome: i32,
    /// 0.
    pub reserved: i32,
}

/// Going now against waiting. Losses: 1 is that of a plant's shoots.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct Wait {
    /// Expected loss of going in the spell at hand; NaN: there is none.
    pub now: f64,
    /// Expected loss of waiting.
    pub waiting: f64,
    /// Chance that a usable day comes before the season closes.
    pub later: f64,
    /// Loss of letting the season pass undone.
    pub missed: f64,
    /// Midnight UTC of the last day of the season [s since 1970].
    pub closes: i64,
    /// Midnight UTC of the day to wait for, with `FAIRSPELL_WAIT` [s since 1970]; else `FAIRSPELL_NO_TIME`.
    pub until: i64,
    /// Days ahead that rest on the forecast.
    pub forecast_days: u32,
    /// Days ahead that rest on past hours.
    pub hours_days: u32,
    /// Days ahead that rest on the record.
    pub record_days: u32,
    /// `FAIRSPELL_GO_NOW`, `FAIRSPELL_WAIT`, …
    pub advice: i32,
}

/// Fills in the defaults: at the given time, to the end of the local day, with confidence and work, nothing explained.
///   at      now [s since 1970 UTC]
///   size    sizeof(fairspell_decide_options)
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_decide_options_init(
    options: *mut DecideOptions,
    size: usize,
    at: i64,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks.
        let options = unsafe { sized_out(options, size) }?;
        options.put(DecideOptions {
            plants: core::ptr::null(),
            record: core::ptr::null(),
            past: core::ptr::null(),
            at,
            until: FAIRSPELL_NO_TIME,
            explain_time: FAIRSPELL_NO_TIME,
            least_confidence: f64::NAN,
            missed_loss: fairspell::season::MISSED_LOSS,
            is_dry_now: 0,
            is_strict: 0,
            with_confidence: 1,
            with_work: 1,
            explain: FAIRSPELL_EXPLAIN_NOTHING,
            reserved: 0,
        });
        Ok(())
    })
}

/// What is asked, in the core's terms.
#[derive(Clone, Copy)]
pub(crate) struct DecideCase<'a> {
    pub(crate) plants: Option<&'a PlantTable>,
    record: Option<&'a RecordValue>,
    past: Option<&'a OwnHindcast>,
    at: i64,
    until: Option<i64>,
    explain: Option<ExplainAt>,
    surety: Option<Surety>,
    missed_loss: f64,
    is_dry_now: bool,
    is_strict: bool,
    with_work: bool,
}

impl DecideCase<'_> {
    /// The same at another time.
    pub(crate) fn at(self, at: i64) -> Self {
        Self { at, ..self }
    }
}

/// Takes the caller's options.
///
/// # Safety
/// As the header asks of the struct and its handles.
pub(crate) unsafe fn case<'a>(
    options: *const DecideOptions,
    size: usize,
) -> Result<DecideCase<'a>, Fault> {
    // SAFETY: the caller's word.
    let options = unsafe { copy(options, size) }?;
    // SAFETY: the caller's word.
    let (plants, record, past) = unsafe {
        (
            optional(options.plants)?,
            optional(options.record)?,
            optional(options.past)?,
        )
    };
    let explain = match options.explain {
        FAIRSPELL_EXPLAIN_NOTHING => None,
        FAIRSPELL_EXPLAIN_BEST => Some(ExplainAt::Best),
        FAIRSPELL_EXPLAIN_TIME => Some(ExplainAt::Time(options.explain_time)),
        other => {
            let words = format!("expected one of FAIRSPELL_EXPLAIN_…, found {other}");
            return Err(Fault::range(words));
        }
    };
    let within = |value: f64, most: f64, what: &str| {
        if (0.0..=most).contains(&value) {
            return Ok(value);
        }
        let words = format!("expected a number from 0 to {most} for {what}, found {value}");
        Err(Fault::range(words))
    };
    let least = optional_finite(options.least_confidence, "a share for least_confidence")?;
    let least = least.map(|least| within(least, 1.0, "least_confidence"));
    let least = least.transpose()?;
    let with_confidence = is_on(options.with_confidence, "with_confidence")?;
    if least.is_some() && !with_confidence {
        let words = "expected with_confidence beside least_confidence, found it switched off";
        return Err(Fault::range(words));
    }
    Ok(DecideCase {
        plants,
        record,
        past,
        at: options.at,
        until: optional_time(options.until),
        explain,
        surety: with_confidence.then_some(Surety {
            least,
            ..Surety::default()
        }),
        missed_loss: within(options.missed_loss, 1000.0, "missed_loss")?,
        is_dry_now: is_on(options.is_dry_now, "is_dry_now")?,
        is_strict: is_on(options.is_strict, "is_strict")?,
        with_work: is_on(options.with_work, "with_work")?,
    })
}

/// The answer for one forecast, by an operation that has the site's limits already.
pub(crate) fn answer(
    hourly: &HourlyValue,
    operation: &OwnOperation,
    site: &OwnSite,
    case: &DecideCase<'_>,
) -> Result<DecisionValue, Fault> {
    let question = Question {
        forecast: forecast(hourly)?,
        operation,
        site,
        at: case.at,
        until: case.until,
        is_dry_now: case.is_dry_now,
        is_strict: case.is_strict,
        explain: case.explain,
    };
    let mut decision = match &case.surety {
        None => decide(&question)?,
        Some(surety) => decide_surely(&question, surety)?,
    };
    let needs_plants = case.record.is_some() || (case.with_work && !site.garden.is_empty());
    let built_in = (case.plants.is_none() && needs_plants).then(PlantTable::built_in);
    let mut of_season = Vec::new();
    if let Some(plants) = case.plants.or(built_in.as_ref()) {
        if case.with_work {
            decision.lay_garden(&question, plants)?;
        }
        if let Some(past) = case.past
            && past.operation.name != operation.name
        {
            let words = "expected past hours judged by the same operation, found those of another";
            return Err(Fault::range(words.to_owned()));
        }
        if let Some(record) = case.record {
            let waiting = Waiting {
                missed: Some(case.missed_loss),
                past: case.past,
            };
            let series = &record.reading.series;
            of_season = stand(series, (site, plants), &mut decision, waiting)?;
        }
    }
    Ok(DecisionValue {
        decision,
        of_season,
    })
}

/// Answers go, no-go or cannot tell for an operation at a place and a time, with the site's own limits and the hours
/// that its garden needs.
///   forecast         the forecast, with observed hours before it where you have them
///   operation        built in or read, without or with the site's limits
///   site             the place; its zone is needed
///   options, size    see `fairspell_decide_options_init`
///   out              receives a decision for `fairspell_decision_free`, which needs none of the handles above any more
/// `FAIRSPELL_OK`, `FAIRSPELL_QUESTION` (no zone, a window that is none, a time far from ours), `FAIRSPELL_INPUT` (a
/// kind or a limit in the site file; observations instead of a forecast), `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`,
/// `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_decide(
    forecast: *const Hourly,
    operation: *const Operation,
    site: *const Site,
    options: *const DecideOptions,
    size: usize,
    out: *mut *mut Decision,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handles, options and out-pointer.
        let (forecast, operation, site, case, out) = unsafe {
            (
                borrow(forecast)?,
                borrow(operation)?,
                borrow(site)?,
                case(options, size)?,
                crate::pointer::out(out)?,
            )
        };
        let operation = at_site(operation, site, case.plants)?;
        give(answer(forecast, &operation, site, &case)?, out);
        Ok(())
    })
}

/// The verdict as a number.
pub(crate) fn verdict(decision: &OwnDecision) -> i32 {
    match decision.verdict {
        Verdict::Go => FAIRSPELL_GO,
        Verdict::NoGo => FAIRSPELL_NO_GO,
        Verdict::CannotTell => FAIRSPELL_CANNOT_TELL,
    }
}

/// Facts of a decision, the verdict first of all.
///   size    sizeof(fairspell_decision_facts)
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_decision_about(
    decision: *const Decision,
    facts: *mut DecisionFacts,
    size: usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and struct.
        let (value, facts) = unsafe { (borrow(decision)?, sized_out(facts, size)?) };
        let decision = &value.decision;
        facts.put(DecisionFacts {
            at: decision.at,
            until: decision.until,
            verdict: verdict(decision),
            has_spell: i32::from(decision.spell.is_some()),
            spells: count(decision.spells.len()),
            hours: count(decision.hours.len()),
            rules: count(decision.operation.rules.len()),
            unchecked: count(decision.unchecked.len()),
        });
        Ok(())
    })
}

pub(crate) fn spell_of(decision: &OwnDecision, spell: &OwnSpell) -> Spell {
    let sure = decision.confidence(spell);
    let known = sure.filter(|sure| sure.probability.is_some());
    Spell {
        start: spell.start,
        end: spell.end,
        best_start: spell.best_start,
        confidence: or_nan(sure.and_then(|sure| sure.probability)),
        confidence_low: or_nan(known.map(|sure| sure.low)),
        confidence_high: or_nan(known.map(|sure| sure.high)),
    }
}

/// On go, the spell that carries it; its best run lies inside the window.
///   size    sizeof(fairspell_spell)
/// `FAIRSPELL_OK`, `FAIRSPELL_ABSENT` (no go), `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_decision_spell(
    decision: *const Decision,
    spell: *mut Spell,
    size: usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and struct.
        let (value, out) = unsafe { (borrow(decision)?, sized_out(spell, size)?) };
        let decision = &value.decision;
        let none = || Fault::absent("expected a spell that carries a go, found none");
        out.put(spell_of(
            decision,
            decision.spell.as_ref().ok_or_else(none)?,
        ));
        Ok(())
    })
}

/// Copies the spells from the time asked about to the end of the file.
///   items        [capacity] structs; may be NULL if capacity is 0
///   item_size    sizeof(fairspell_spell)
///   needed       receives the number of spells, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK`, `FAIRSPELL_SMALL`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_decision_spells(
    decision: *const Decision,
    items: *mut Spell,
    item_size: usize,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and buffer.
        let (value, items) = unsafe {
            (
                borrow(decision)?,
                sized_buffer(items, item_size, capacity, needed)?,
            )
        };
        let decision = &value.decision;
        let spells = decision.spells.iter().map(|own| spell_of(decision, own));
        items.fill(&spells.collect::<Vec<_>>())
    })
}

/// Copies the hours from the time asked about to the end of the file, and the state of each.
///   times       [capacity] receives their beginnings [s since 1970 UTC]; may be NULL if capacity is 0
///   states      [capacity] receives `FAIRSPELL_FAIR`, `FAIRSPELL_HINDERED` or `FAIRSPELL_UNKNOWN`; likewise
///   needed      receives the number of hours, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK`, `FAIRSPELL_SMALL`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_decision_hours(
    decision: *const Decision,
    times: *mut i64,
    states: *mut i32,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and buffers.
        let (value, times, states) = unsafe {
            (
                borrow(decision)?,
                buffer(times, capacity, needed)?,
                buffer(states, capacity, needed)?,
            )
        };
        let hours = value.decision.hours.iter();
        let both = hours.map(|hour| (hour.time, state(hour.state)));
        let (own_times, own_states): (Vec<i64>, Vec<i32>) = both.unzip();
        times.fill(&own_times)?;
        states.fill(&own_states)
    })
}

fn state(state: State) -> i32 {
    match state {
        State::Fair => FAIRSPELL_FAIR,
        State::Hindered => FAIRSPELL_HINDERED,
        State::Unknown => FAIRSPELL_UNKNOWN,
    }
}

/// Copies what hinders an hour (blocking rules that it fails), then its cautions.
///   hour         index in `fairspell_decision_hours`
///   items        [capacity] structs; may be NULL if capacity is 0
///   item_size    sizeof(fairspell_hindrance)
///   needed       receives their number, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK`, `FAIRSPELL_SMALL`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_decision_hindrances(
    decision: *const Decision,
    hour: usize,
    items: *mut Hindrance,
    item_size: usize,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and buffer.
        let (value, items) = unsafe {
            (
                borrow(decision)?,
                sized_buffer(items, item_size, capacity, needed)?,
            )
        };
        let decision = &value.decision;
        let own = decision.hours.get(hour).ok_or_else(|| {
            let count = decision.hours.len();
            Fault::range(format!("expected an hour below {count}, found {hour}"))
        })?;
        let of = |is_caution: bool| move |own: &OwnHindrance| hindrance(decision, own, is_caution);
        let hindrances = decision.hindrances(own);
        let cautions = decision.cautions(own);
        let mut all: Vec<Hindrance> = hindrances.iter().map(of(false)).collect();
        all.extend(cautions.iter().map(of(true)));
        items.fill(&all)
    })
}

fn hindrance(decision: &OwnDecision, own: &OwnHindrance, is_caution: bool) -> Hindrance {
    let unit = decision.rule(own.rule).map(|rule| number(rule.unit()));
    Hindrance {
        value: own.value,
        limit: own.limit,
        margin: own.margin,
        decided_by: own.decided_by,
        rule: count(own.rule),
        unit: unit.unwrap_or(0),
        is_known: i32::from(own.is_known),
        is_caution: i32::from(is_caution),
    }
}

/// Copies the name of a rule of the operation that was decided on.
///   index     from 0, as in `fairspell_hindrance`
///   buffer    [capacity] bytes for the text and its NUL; may be NULL if capacity is 0
///   needed    receives the bytes needed with the NUL, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK`, `FAIRSPELL_SMALL`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_decision_rule_name(
    decision: *const Decision,
    index: usize,
    buffer: *mut c_char,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and buffer.
        let (value, buffer) =
            unsafe { (borrow(decision)?, text_buffer(buffer, capacity, needed)?) };
        let rules = &value.decision.operation.rules;
        buffer.fill(rule_of(rules, index)?.name.as_bytes())
    })
}

/// Why the answer is as it is, in words: a line a reason.
///   out    receives a text for `fairspell_text_free`; empty on go
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_decision_reasons(
    decision: *const Decision,
    out: *mut *mut Text,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and out-pointer.
        let (value, out) = unsafe { (borrow(decision)?, crate::pointer::out(out)?) };
        let decision = &value.decision;
        let words = |reason| decision.reason_text(reason, Units::AsWritten);
        give(of_lines(decision.reasons.iter().map(words)), out);
        Ok(())
    })
}

/// The cautions that go with the answer whatever the weather, a line each: the product's label is the law.
///   out    receives a text for `fairspell_text_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_decision_cautions(
    decision: *const Decision,
    out: *mut *mut Text,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and out-pointer.
        let (value, out) = unsafe { (borrow(decision)?, crate::pointer::out(out)?) };
        let cautions = value.decision.standing_cautions().iter();
        give(of_lines(cautions.map(|caution| caution.text)), out);
        Ok(())
    })
}

/// Copies the rules of the hour that was asked to be explained; the JSON has their formulas and sources besides.
///   time         receives the beginning of the hour [s since 1970 UTC]
///   items        [capacity] structs; may be NULL if capacity is 0
///   item_size    sizeof(fairspell_explained)
///   needed       receives the number of rules, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK`, `FAIRSPELL_ABSENT` (nothing was asked for, or the file has no such hour), `FAIRSPELL_SMALL`,
/// `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_decision_explained(
    decision: *const Decision,
    time: *mut i64,
    items: *mut Explained,
    item_size: usize,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle, out-pointer and buffer.
        let (value, time, items) = unsafe {
            (
                borrow(decision)?,
                crate::pointer::out(time)?,
                sized_buffer(items, item_size, capacity, needed)?,
            )
        };
        let decision = &value.decision;
        let none = || Fault::absent("expected an hour that is explained, found none");
        let explained = decision.explained.as_ref().ok_or_else(none)?;
        time.put(explained.time);
        let rules = explained.rules.iter().filter_map(|own| {
            let rule = decision.rule(own.rule)?;
            Some(Explained {
                decided_by: own.decided_by,
                low: own.finding.low,
                high: own.finding.high,
                margin: own.finding.margin(rule),
                rule: count(own.rule),
                unit: number(rule.unit()),
                outcome: match own.finding.outcome {
                    _ if own.is_unchecked => FAIRSPELL_UNCHECKED,
                    Outcome::Holds => FAIRSPELL_HOLDS,
                    Outcome::Fails => FAIRSPELL_FAILS,
                    Outcome::Unknown => FAIRSPELL_NOT_KNOWN,
                },
                reserved: 0,
            })
        });
        items.fill(&rules.collect::<Vec<_>>())
    })
}

/// Going now against waiting, where a record was given and it can be weighed (`fairspell_notices` says why not).
///   size    sizeof(fairspell_wait)
/// `FAIRSPELL_OK`, `FAIRSPELL_ABSENT`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_decision_wait(
    decision: *const Decision,
    wait: *mut Wait,
    size: usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and struct.
        let (value, out) = unsafe { (borrow(decision)?, sized_out(wait, size)?) };
        let none = || Fault::absent("expected waiting to be weighed, found that it was not");
        let wait = value.decision.wait.as_ref().ok_or_else(none)?;
        out.put(Wait {
            now: or_nan(wait.now),
            waiting: wait.waiting,
            later: wait.later,
            missed: wait.missed,
            closes: seconds(wait.closes),
            forecast_days: count(wait.days.forecast),
            hours_days: count(wait.days.hours),
            record_days: count(wait.days.record),
            until: match wait.advice {
                Advice::WaitUntil(date) => seconds(date),
                _ => FAIRSPELL_NO_TIME,
            },
            advice: match wait.advice {
                Advice::GoNow => FAIRSPELL_GO_NOW,
                Advice::WaitUntil(_) => FAIRSPELL_WAIT,
                Advice::NoMatter => FAIRSPELL_NO_MATTER,
                Advice::LetPass => FAIRSPELL_LET_PASS,
                Advice::NoSpellNow => FAIRSPELL_NO_SPELL_NOW,
            },
        });
        Ok(())
    })
}

/// Frees a decision and sets *decision to NULL; where it is NULL already, nothing happens.
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL` (the address itself), `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_decision_free(decision: *mut *mut Decision) -> Status {
    // SAFETY: as the header asks.
    entry(|| unsafe { free(decision) })
}
