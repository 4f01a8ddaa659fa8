//! Going now against waiting for a better day of the season.

use chrono::{Datelike as _, NaiveDate};
use chrono_tz::Tz;

use super::{Season, SeasonQuestion, Share, chance};
use crate::decision::{Basis, Chance, Decision, Spell, Wait};
use crate::freeze::{HalfName, Window};
use crate::hindcast::{Hindcast, MonthDay};
use crate::operation::Operation;
use crate::read::local_date;
use crate::site::Hemisphere;
use crate::spell::State;

/// Loss of letting the season pass undone, where none is set: as much as the shoots of a plant. Common practice, no
/// source; it may be changed.
pub const MISSED_LOSS: f64 = 1.0;

/// Why going now cannot be weighed against waiting.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoWeighing {
    /// Only pruning and oil have a season.
    OtherOperation,
    /// No plant of the garden has an interval for the work.
    NoInterval,
    /// The season for the work is over.
    Closed,
    /// The day lies outside the half of the year that is planned.
    OutOfSeason,
    /// The record cannot tell how often the days beyond the forecast were usable.
    NoChance,
    /// The confidence of a spell cannot be known.
    NoConfidence,
}

impl NoWeighing {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::OtherOperation => "only prune and oil are weighed against waiting",
            Self::NoInterval => "no plant of the garden has a season for this work by the record",
            Self::Closed => "the season for this work is over by the record",
            Self::OutOfSeason => "the day lies outside late winter and spring",
            Self::NoConfidence => "the confidence of a spell cannot be known",
            Self::NoChance => "the record cannot tell how often later days were usable",
        }
    }
}

/// Days to either side over which past days are counted, as for the record's. Ours.
const AROUND_DAYS: u32 = 7;
/// Fewest past days that tell a chance: those of two years. Ours.
const LEAST_DAYS: usize = 30;

/// What waiting is weighed by, beside the forecast and the record.
#[derive(Debug, Clone, Copy, Default)]
pub struct Waiting<'a> {
    /// The loss of letting the season pass undone; `None`: [`MISSED_LOSS`].
    pub missed: Option<f64>,
    /// Past hours of the place under the same operation: how often days beyond the forecast were usable by all its rules,
    /// where the record knows temperatures alone.
    pub past: Option<&'a Hindcast>,
}

/// What a forecast says of one day.
enum Day {
    /// With the confidence of its surest spell; 1 where none was asked for.
    Usable(Option<f64>),
    NotUsable,
    Unknown,
}

impl Season {
    /// Weighs going in the decision's spell against waiting until the season closes, for the most exposed plant: days of
    /// the forecast by its spells, later ones by past hours, where they are given and tell, else by the record.
    ///
    /// # Errors
    /// [`NoWeighing`], why it cannot be weighed.
    pub fn weigh(
        &self,
        question: &SeasonQuestion<'_>,
        decision: &Decision,
        waiting: Waiting<'_>,
    ) -> Result<Wait, NoWeighing> {
        let window = Window {
            half: HalfName::Spring,
            hemisphere: question.site.hemisphere().unwrap_or(Hemisphere::North),
        };
        let today = local_date(decision.at, decision.zone).ok_or(NoWeighing::OutOfSeason)?;
        if !window.holds(today) || window.season_of(today) != self.year {
            return Err(NoWeighing::OutOfSeason);
        }
        let losses = self.losses(&decision.operation, question)?;
        let closes = losses.closes;
        if today > closes {
            return Err(NoWeighing::Closed);
        }
        let beyond = Beyond {
            window,
            by_record: chance::usable(question.record, window, &decision.operation),
            past: waiting.past,
        };
        let days = today.iter_days().skip(1).take_while(|date| *date <= closes);
        let chance = |date| chance_on(decision, &beyond, &losses, date);
        let days: Vec<Chance> = days.map(chance).collect::<Result<_, _>>()?;
        let now = match &decision.spell {
            None => None,
            Some(spell) => {
                let holds = confidence(decision, spell).ok_or(NoWeighing::NoConfidence)?;
                Some((losses.on(today).ok_or(NoWeighing::NoInterval)?, holds))
            }
        };
        let missed = waiting.missed.unwrap_or(MISSED_LOSS);
        Ok(Wait::weigh(now, &days, closes, missed))
    }

    fn losses(
        &self,
        operation: &Operation,
        question: &SeasonQuestion<'_>,
    ) -> Result<Losses, NoWeighing> {
        let weights = question.settings.weights;
        let plants = || self.exposed().into_iter().chain(&self.plants);
        match operation.name.as_str() {
            "prune" => {
                let plant = plants().find(|plant| plant.prune.is_ok());
                let plant = plant.ok_or(NoWeighing::NoInterval)?;
                let closes = plant.prune.map_err(|_| NoWeighing::NoInterval)?.dates.to;
                let of = plant.damage.iter().map(|of| (of.date, of.harm));
                Ok(Losses {
                    closes,
                    of: of.collect(),
                })
            }
            "oil" => {
                let plant = plants().find(|plant| plant.oil.is_ok() && !plant.damage.is_empty());
                let plant = plant.ok_or(NoWeighing::NoInterval)?;
                let closes = plant.oil.map_err(|_| NoWeighing::NoInterval)?.to;
                let of = plant.damage.iter().map(|of| {
                    let broken = of.broken.probability();
                    (
                        of.date,
                        broken.map(|broken| weights.after_bud_break * broken),
                    )
                });
                Ok(Losses {
                    closes,
                    of: of.collect(),
                })
            }
            _ => Err(NoWeighing::OtherOperation),
        }
    }
}

/// What tells of days beyond the forecast.
struct Beyond<'a> {
    window: Window,
    by_record: Option<Vec<Share>>,
    past: Option<&'a Hindcast>,
}

impl Beyond<'_> {
    /// The chance that a day is usable: by past hours, if they hold days enough around it, else by the record.
    fn chance(&self, date: NaiveDate) -> Option<(f64, Basis)> {
        let past = self
            .past
            .map(|past| past.days_around(MonthDay::of(date), AROUND_DAYS));
        if let Some(past) = past.filter(|past| past.decided >= LEAST_DAYS) {
            return Some((past.usable as f64 / past.decided as f64, Basis::Hours));
        }
        let place = (self.window.day(date) - self.window.first_day()) as usize;
        let share = self.by_record.as_ref()?.get(place)?.probability()?;
        Some((share, Basis::Record))
    }
}

/// A day's chance and loss: by the forecast where it tells, else by what was in past years.
fn chance_on(
    decision: &Decision,
    beyond: &Beyond<'_>,
    losses: &Losses,
    date: NaiveDate,
) -> Result<Chance, NoWeighing> {
    let loss = losses.on(date).ok_or(NoWeighing::NoInterval)?;
    let (usable, basis) = match day_of(decision, date) {
        Day::Usable(confidence) => {
            let usable = confidence.ok_or(NoWeighing::NoConfidence)?;
            (usable, Basis::Forecast)
        }
        Day::NotUsable => (0.0, Basis::Forecast),
        Day::Unknown => beyond.chance(date).ok_or(NoWeighing::NoChance)?,
    };
    Ok(Chance {
        date,
        usable,
        loss,
        basis,
    })
}

/// Expected losses by date, and the last date of the season.
struct Losses {
    closes: NaiveDate,
    of: Vec<(NaiveDate, Option<f64>)>,
}

impl Losses {
    fn on(&self, date: NaiveDate) -> Option<f64> {
        self.of
            .iter()
            .find(|(of, _)| *of == date)
            .and_then(|(_, loss)| *loss)
    }
}

/// What a decision's hours say of a local day: whether it holds a run of the hours needed that is fair, or may be.
fn day_of(decision: &Decision, date: NaiveDate) -> Day {
    let is_of_day = |time: i64| is_on(time, decision.zone, date);
    let hours = || decision.hours.iter().filter(|hour| is_of_day(hour.time));
    let needed = decision.operation.hours_needed as usize;
    let longest = |is_in: fn(State) -> bool| {
        let (mut run, mut longest) = (0, 0);
        for hour in hours() {
            run = if is_in(hour.state) { run + 1 } else { 0 };
            longest = longest.max(run);
        }
        longest
    };
    let is_whole = hours().count() >= 23; // 23 on the day on which the clock goes forward
    if longest(|state| state == State::Fair) >= needed {
        let is_in =
            |spell: &&Spell| hours().any(|hour| (spell.start..spell.end).contains(&hour.time));
        let of_day = decision.spells.iter().filter(is_in);
        let all: Option<Vec<f64>> = of_day.map(|spell| confidence(decision, spell)).collect();
        Day::Usable(all.and_then(|all| all.into_iter().reduce(f64::max)))
    } else if longest(|state| state != State::Hindered) >= needed || !is_whole {
        Day::Unknown
    } else {
        Day::NotUsable
    }
}

/// The confidence of a spell; 1 where none was asked for, `None` where it cannot be known.
fn confidence(decision: &Decision, spell: &Spell) -> Option<f64> {
    match &decision.sure {
        None => Some(1.0),
        Some(_) => decision.confidence(spell).and_then(|own| own.probability),
    }
}

fn is_on(time: i64, zone: Tz, date: NaiveDate) -> bool {
    local_date(time, zone).is_some_and(|day| day.num_days_from_ce() == date.num_days_from_ce())
}
