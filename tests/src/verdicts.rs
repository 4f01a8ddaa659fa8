//! Every spell that the engine tells, confirmed hour by hour by the slow evaluator.
//!
//! Source of what is expected: the contract, section 5, as [`crate::evaluator`] reads it; "missing is never good" is its
//! promise 1. A spell that the evaluator does not find fair in each of its hours is a fault, and so is a *go* without a run of
//! the hours needed inside the window. Of every so many cases all is compared: each hour's state, the verdict, the spells.

use core::fmt;

use fairspell::decision::{Decision, Verdict};
use fairspell::read::{Source, read_hourly};
use fairspell::series::HourlySeries;
use fairspell::spell::State;

use crate::evaluator::{Evaluator, HOUR_S, answer};
use crate::scenario::{Case, drawn, local_csv, series};

/// One in so many cases is compared in full.
const WHOLE_EVERY: u64 = 16;

/// What the cases came to.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Tally {
    /// Cases that were decided.
    pub cases: u64,
    /// Files with local times that the reader refused.
    pub refused: u64,
    /// Verdicts: go, no-go, cannot tell.
    pub verdicts: [u64; 3],
    /// Spells that were told.
    pub spells: u64,
    /// Hours of spells that the evaluator found fair.
    pub confirmed: u64,
    /// Hours of spells that rest on a mean so close to its limit that rounding decides.
    pub close: u64,
    /// Cases that were compared in full.
    pub compared: u64,
    /// Cases of ensembles, and of files with local times.
    pub ensembles: u64,
    /// See above.
    pub local: u64,
    /// All answers in one number that does not hang on the order of the cases.
    pub digest: u64,
}

impl Tally {
    /// Takes in the cases of another.
    pub fn add(&mut self, other: &Self) {
        self.cases += other.cases;
        self.refused += other.refused;
        for (own, other) in self.verdicts.iter_mut().zip(other.verdicts) {
            *own += other;
        }
        self.spells += other.spells;
        self.confirmed += other.confirmed;
        self.close += other.close;
        self.compared += other.compared;
        self.ensembles += other.ensembles;
        self.local += other.local;
        self.digest = self.digest.wrapping_add(other.digest);
    }
}

impl fmt::Display for Tally {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [go, no, unknown] = self.verdicts;
        writeln!(
            f,
            "{} forecasts decided: {go} go, {no} no-go, {unknown} cannot tell",
            self.cases
        )?;
        writeln!(
            f,
            "{} spells, {} hours confirmed, {} hours too close to a limit to tell; {} forecasts compared in full",
            self.spells, self.confirmed, self.close, self.compared
        )?;
        writeln!(
            f,
            "{} ensembles, {} files with local times, {} more refused by the reader",
            self.ensembles, self.local, self.refused
        )?;
        write!(f, "digest {:016x}", self.digest)
    }
}

/// A fault, with the case that shows it.
#[derive(Debug)]
pub struct Fault {
    /// What is wrong.
    pub what: String,
    /// The case.
    pub case: Box<Case>,
}

/// Decides case `number` of a seed, and holds the answer against the evaluator.
///
/// # Errors
/// [`Fault`], if a spell is not confirmed, or if a case that is compared in full differs.
pub fn check(seed: u64, number: u64, tally: &mut Tally) -> Result<(), Fault> {
    let case = drawn(seed, number);
    match checked(&case, number.is_multiple_of(WHOLE_EVERY), tally) {
        Ok(()) => Ok(()),
        Err(what) => Err(Fault {
            what,
            case: Box::new(case),
        }),
    }
}

fn checked(case: &Case, is_whole: bool, tally: &mut Tally) -> Result<(), String> {
    let Some(first) = case.members.first() else {
        return Err("a case without members".to_owned());
    };
    let Some(all) = members(case, tally)? else {
        return Ok(());
    };
    let decision = first.decided(all).map_err(|error| error.to_string())?;
    tally.cases += 1;
    tally.ensembles += u64::from(case.members.len() > 1);
    tally.local += u64::from(case.is_local);
    tally.spells += decision.spells.len() as u64;
    let [go, no, unknown] = &mut tally.verdicts;
    *match decision.verdict {
        Verdict::Go => go,
        Verdict::NoGo => no,
        Verdict::CannotTell => unknown,
    } += 1;
    tally.digest = tally.digest.wrapping_add(digest(&decision));
    let judges = Judges::new(case);
    confirm(case, &decision, &judges, tally)?;
    if is_whole {
        tally.compared += 1;
        compare(case, &decision, &judges)?;
    }
    Ok(())
}

/// The members as the engine takes them; none where the reader refuses the file.
fn members(case: &Case, tally: &mut Tally) -> Result<Option<Vec<HourlySeries>>, String> {
    if !case.is_local {
        let all = case.members.iter().map(|member| series(&member.weather));
        let all: Result<Vec<_>, _> = all.collect();
        return all.map(Some).map_err(|error| error.to_string());
    }
    let Some(member) = case.members.first() else {
        return Ok(None);
    };
    let text = local_csv(&member.weather, member.place.zone);
    let source = Source {
        name: "local.csv",
        bytes: text.as_bytes(),
    };
    let Ok(reading) = read_hourly(source, Some(member.place.zone)) else {
        tally.refused += 1;
        return Ok(None);
    };
    let is_same = reading.members.iter().all(|series| {
        series.start() == member.weather.start && series.hours() == member.weather.has_row.len()
    });
    if is_same {
        Ok(Some(reading.members))
    } else {
        Err(format!("the hours were misplaced:\n{text}"))
    }
}

/// An evaluator a member.
struct Judges<'a> {
    case: &'a Case,
    all: Vec<Evaluator<'a>>,
}

impl<'a> Judges<'a> {
    fn new(case: &'a Case) -> Self {
        let of = |member: &'a crate::scenario::Scenario| {
            Evaluator::new(&member.weather, member.place, member.asked.is_dry_now)
        };
        Self {
            case,
            all: case.members.iter().map(of).collect(),
        }
    }

    /// The state of an hour, and whether a close mean has a part in it. Of several members: "fair if more than half of the
    /// members are fair in it, hindered if at least half are hindered, else unknown".
    fn state(&self, hour: usize) -> (State, bool) {
        let mut counts = [0_usize; 2];
        let mut is_close = false;
        for (evaluator, member) in self.all.iter().zip(&self.case.members) {
            let asked = &member.asked;
            let (state, close) = evaluator.state(&asked.rules, asked.is_strict, hour);
            is_close |= close;
            let [fair, hindered] = &mut counts;
            *fair += usize::from(state == State::Fair);
            *hindered += usize::from(state == State::Hindered);
        }
        let [fair, hindered] = counts.map(|count| 2 * count);
        let state = if fair > self.all.len() {
            State::Fair
        } else if hindered >= self.all.len() {
            State::Hindered
        } else {
            State::Unknown
        };
        (state, is_close)
    }
}

/// Each hour of each spell is fair by the evaluator, and on these hours alone the evaluator says *go* too.
fn confirm(
    case: &Case,
    decision: &Decision,
    judges: &Judges<'_>,
    tally: &mut Tally,
) -> Result<(), String> {
    let Some(first) = case.members.first() else {
        return Ok(());
    };
    let hours = first.weather.has_row.len();
    let mut states = vec![State::Unknown; hours];
    for spell in decision.spells.iter().chain(&decision.spell) {
        let mut time = spell.start;
        while time < spell.end {
            let since = time - first.weather.start;
            let hour = usize::try_from(since.div_euclid(HOUR_S)).ok();
            let state = hour.and_then(|hour| states.get_mut(hour));
            let (Some(state), Some(hour), 0) = (state, hour, since.rem_euclid(HOUR_S)) else {
                return Err(format!(
                    "a spell has the time {time}, which no hour of the file has"
                ));
            };
            if *state != State::Fair {
                let (found, is_close) = judges.state(hour);
                if found != State::Fair && !is_close {
                    return Err(format!(
                        "{spell:?} of a {:?}: hour {hour} is {found:?} by the evaluator",
                        decision.verdict
                    ));
                }
                tally.confirmed += u64::from(found == State::Fair);
                tally.close += u64::from(found != State::Fair);
                *state = State::Fair;
            }
            time += HOUR_S;
        }
    }
    if decision.verdict != Verdict::Go {
        return Ok(());
    }
    let needed = i64::try_from(first.asked.needed).unwrap_or(i64::MAX) * HOUR_S;
    let expected = answer(&first.asked, (&first.weather, first.place), &states);
    let is_inside = decision.spell.is_some_and(|spell| {
        let run = spell.best_start..spell.best_start + needed;
        run.start >= first.asked.at.max(spell.start) && run.end <= expected.until.min(spell.end)
    });
    if expected.verdict == Verdict::Go && is_inside {
        Ok(())
    } else {
        Err(format!(
            "a go on {:?} is none by the evaluator: {expected:?}",
            decision.spell
        ))
    }
}

/// All hours, the verdict and the spells; nothing where a close mean has a part.
fn compare(case: &Case, decision: &Decision, judges: &Judges<'_>) -> Result<(), String> {
    let Some(first) = case.members.first() else {
        return Ok(());
    };
    let found: Vec<(State, bool)> = (0..first.weather.has_row.len())
        .map(|hour| judges.state(hour))
        .collect();
    if found.iter().any(|(_, is_close)| *is_close) {
        return Ok(());
    }
    let states: Vec<State> = found.into_iter().map(|(state, _)| state).collect();
    let expected = answer(&first.asked, (&first.weather, first.place), &states);
    let own: Vec<State> = decision.hours.iter().map(|hour| hour.state).collect();
    let hour =
        |time: i64| usize::try_from((time - first.weather.start) / HOUR_S).unwrap_or(usize::MAX);
    let spells: Vec<(usize, usize)> = decision
        .spells
        .iter()
        .map(|spell| (hour(spell.start), hour(spell.end)))
        .collect();
    let is_same = expected.verdict == decision.verdict
        && expected.states == own
        && expected.spells == spells
        && expected.until == decision.until;
    if is_same {
        Ok(())
    } else {
        Err(format!(
            "{:?} {spells:?} {own:?}, expected {expected:?}",
            decision.verdict
        ))
    }
}

/// FNV-1a of an answer's numbers (offset and prime from memory): a mark of sameness, no more.
fn digest(decision: &Decision) -> u64 {
    let spells = decision
        .spells
        .iter()
        .flat_map(|spell| [spell.start, spell.end, spell.best_start]);
    let states = decision.hours.iter().map(|hour| hour.state as i64);
    let numbers = [decision.until, decision.verdict as i64];
    numbers
        .into_iter()
        .chain(spells)
        .chain(states)
        .fold(0xcbf2_9ce4_8422_2325, |hash, number| {
            mixed(hash, number.cast_unsigned())
        })
}

/// One step of FNV-1a, a number at a time.
#[must_use]
pub fn mixed(hash: u64, number: u64) -> u64 {
    (hash ^ number)
        .wrapping_mul(0x0100_0000_01b3)
        .rotate_left(17)
}
