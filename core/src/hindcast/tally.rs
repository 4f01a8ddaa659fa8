//! What the judged hours add up to, as they come.

use chrono::Datelike as _;

use super::calendar::{Calendar, Day};
use super::{Counts, DayCounts, RuleHours, Week};
use crate::decision::Spell;
use crate::operation::{Operation, Severity};
use crate::series::Hours;
use crate::spell::{Found, Outcome, State, widest_run};

/// Hours that are counted so far.
pub(super) struct Tally<'a> {
    operation: &'a Operation,
    days: Vec<Day>,
    past: &'a Hours,
    is_brief: bool,
    /// Indices of the blocking rules.
    blocking: Vec<usize>,
    day: usize,
    weeks: Vec<Week>,
    alone: Vec<usize>,
    fair: Run,
    clear: Vec<f64>,
    hopeful: Run,
    spells: Vec<Spell>,
    runs: Vec<(usize, usize)>,
    hopeful_runs: Vec<(usize, usize)>,
}

/// What all hours add up to.
pub(super) struct Counted {
    pub(super) hours: Counts,
    pub(super) days: DayCounts,
    pub(super) spells: Vec<Spell>,
    pub(super) runs: Vec<(usize, usize)>,
    pub(super) hopeful: Vec<(usize, usize)>,
    pub(super) by_rule: Vec<RuleHours>,
    pub(super) weeks: Vec<Week>,
    pub(super) calendar: Vec<Day>,
}

/// A run of hours that may go on.
#[derive(Debug, Clone, Copy, Default)]
struct Run(Option<usize>);

impl Run {
    /// Takes an hour; the run that it ends, if it ends one.
    fn step(&mut self, hour: usize, is_in: bool) -> Option<(usize, usize)> {
        if is_in {
            self.0.get_or_insert(hour);
            return None;
        }
        self.0.take().map(|start| (start, hour))
    }
}

impl<'a> Tally<'a> {
    pub(super) fn new(
        operation: &'a Operation,
        calendar: Calendar,
        past: &'a Hours,
        is_brief: bool,
    ) -> Self {
        let rules = operation.rules.iter().enumerate();
        let blocking = rules.filter(|(_, rule)| rule.severity == Severity::Block);
        Self {
            operation,
            days: calendar.days,
            past,
            is_brief,
            blocking: blocking.map(|(index, _)| index).collect(),
            day: 0,
            weeks: Vec::new(),
            alone: vec![0; operation.rules.len()],
            fair: Run::default(),
            clear: Vec::new(),
            hopeful: Run::default(),
            spells: Vec::new(),
            runs: Vec::new(),
            hopeful_runs: Vec::new(),
        }
    }

    fn needed(&self) -> usize {
        (self.operation.hours_needed as usize).max(1)
    }

    /// Adds the hours `first..last` of the record, of which the first is hour `offset` of the part that was judged.
    pub(super) fn add(&mut self, found: &Found, (first, last): (usize, usize), offset: usize) {
        if self.is_brief {
            return self.add_spells(found, (first, last));
        }
        let failing = self.failing(found, last - first);
        let states = found.states().iter().zip(&failing);
        for (hour, (state, failing)) in (first..last).zip(states) {
            self.count(hour, *state, *failing);
            if let Some(run) = self.hopeful.step(hour, *state != State::Hindered) {
                self.end_hopeful(run);
            }
            if *state == State::Fair {
                let place = hour - first + offset;
                self.clear
                    .push(found.clearance(place, &self.operation.rules));
            }
            if let Some(run) = self.fair.step(hour, *state == State::Fair) {
                self.end_fair(run);
            }
        }
    }

    /// The same for spells alone.
    fn add_spells(&mut self, found: &Found, (first, last): (usize, usize)) {
        for (hour, state) in (first..last).zip(found.states()) {
            if let Some(run) = self.fair.step(hour, *state == State::Fair) {
                self.end_fair(run);
            }
        }
    }

    /// Of each hour, one bit a blocking rule that fails.
    fn failing(&self, found: &Found, hours: usize) -> Vec<u64> {
        let mut failing = vec![0_u64; hours];
        for rule in &self.blocking {
            for (bits, outcome) in failing
                .iter_mut()
                .zip(found.outcomes(*rule).unwrap_or_default())
            {
                *bits |= u64::from(*outcome == Outcome::Fails) << rule;
            }
        }
        failing
    }

    /// Counts an hour into its day and its week.
    fn count(&mut self, hour: usize, state: State, failing: u64) {
        while self.days.get(self.day).is_some_and(|day| hour >= day.to) {
            self.day += 1;
        }
        let Some(day) = self.days.get_mut(self.day) else {
            return;
        };
        if hour == day.from {
            let (year, week) = (day.date.year(), day.week());
            let is_it = |last: &Week| (last.year, last.week) == (year, week);
            if !self.weeks.last().is_some_and(is_it) {
                self.weeks.push(Week {
                    year,
                    week,
                    by_rule: vec![0; self.operation.rules.len()],
                    ..Week::default()
                });
            }
        }
        let Some(week) = self.weeks.last_mut() else {
            return;
        };
        match state {
            State::Fair => {
                week.hours.fair += 1;
                day.fair += 1;
            }
            State::Unknown => {
                week.hours.unknown += 1;
                day.unknown += 1;
            }
            State::Hindered => self.count_hindered(failing),
        }
    }

    /// Counts what hindered an hour of the week that is counted.
    fn count_hindered(&mut self, failing: u64) {
        let Some(week) = self.weeks.last_mut() else {
            return;
        };
        week.hours.hindered += 1;
        let is_alone = failing.is_power_of_two();
        let mut bits = failing;
        while bits != 0 {
            let rule = bits.trailing_zeros() as usize;
            bits &= bits - 1;
            if let Some(count) = week.by_rule.get_mut(rule) {
                *count += 1;
            }
            if let Some(count) = self.alone.get_mut(rule).filter(|_| is_alone) {
                *count += 1;
            }
        }
    }

    fn end_hopeful(&mut self, run: (usize, usize)) {
        if run.1 - run.0 >= self.needed() {
            self.hopeful_runs.push(run);
        }
    }

    fn end_fair(&mut self, (start, end): (usize, usize)) {
        if end - start >= self.needed() {
            let best = widest_run(&self.clear, self.needed());
            let time = |hour| self.past.time(hour);
            self.spells.push(Spell {
                start: time(start),
                end: time(end),
                best_start: time(start + best),
            });
            self.runs.push((start, end));
        }
        self.clear.clear();
    }

    pub(super) fn finish(mut self) -> Counted {
        let hours = self.past.hours();
        if let Some(run) = self.hopeful.step(hours, false) {
            self.end_hopeful(run);
        }
        if let Some(run) = self.fair.step(hours, false) {
            self.end_fair(run);
        }
        let (mut counts, mut days) = (Counts::default(), DayCounts::default());
        self.days_of_weeks();
        for week in &self.weeks {
            counts.add(week.hours);
            days.add(week.days);
        }
        let cost = |rule: &usize| RuleHours {
            rule: *rule,
            hours: self
                .weeks
                .iter()
                .filter_map(|week| week.by_rule.get(*rule))
                .sum(),
            alone: self.alone.get(*rule).copied().unwrap_or(0),
        };
        Counted {
            hours: counts,
            days,
            by_rule: self.blocking.iter().map(cost).collect(),
            spells: self.spells,
            runs: self.runs,
            hopeful: self.hopeful_runs,
            weeks: self.weeks,
            calendar: self.days,
        }
    }

    /// Counts days and the spells' beginnings into their weeks.
    fn days_of_weeks(&mut self) {
        let needed = self.needed();
        let mut weeks = self.weeks.iter_mut().peekable();
        let (mut fair, mut hopeful, mut begun) = (0, 0, 0);
        for day in &self.days {
            let key = (day.date.year(), day.week());
            while weeks
                .next_if(|week| (week.year, week.week) != key)
                .is_some()
            {}
            let Some(week) = weeks.peek_mut() else {
                return;
            };
            let is_usable = fits(&self.runs, &mut fair, (day.from, day.to), needed);
            let may_be = fits(&self.hopeful_runs, &mut hopeful, (day.from, day.to), needed);
            week.days.days += 1;
            week.days.usable += usize::from(is_usable);
            week.days.undecided += usize::from(!is_usable && (may_be || day.is_cut));
            while self.runs.get(begun).is_some_and(|run| run.0 < day.to) {
                week.spells += 1;
                begun += 1;
            }
        }
    }
}

/// Whether one of the runs, in their order, has so many hours within `from..to`; `next` goes on with each call and never
/// back, so the windows must not either.
fn fits(
    runs: &[(usize, usize)],
    next: &mut usize,
    (from, to): (usize, usize),
    needed: usize,
) -> bool {
    while runs.get(*next).is_some_and(|run| run.1 <= from) {
        *next += 1;
    }
    let inside = runs.get(*next..).unwrap_or_default().iter();
    let mut inside = inside.take_while(|run| run.0 < to);
    inside.any(|run| run.1.min(to) - run.0.max(from) >= needed)
}
