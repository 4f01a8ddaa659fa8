//! The work laid into fair spells: which plants on which day, pruning before oil, and what does not fit.
//!
//! A plant is begun and finished in one spell. Pruning takes the earliest spells; oil takes what is left after the last
//! pruning, and waits if pruning does not fit. Times are means with clean-up and rest: a plan, not a promise.
//!
//! Source: the project's handbook, trade, §5 (order) and §6 (minutes; pruning and spraying are different spells).

use super::labour::{CLEAN_UP_SHARE, FILL_MIN, REST_FACTOR, WALK_MIN, moments, spray_minutes};
use super::{TaskKind, Work};

/// Hours in a row that are fair.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Interval {
    /// Its beginning \[s since 1970 UTC\].
    pub start: i64,
    /// Its hours.
    pub hours: u32,
}

/// Plants of one bed that are done in one go.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stint {
    /// [`TaskKind::Prune`] or [`TaskKind::Oil`].
    pub kind: TaskKind,
    /// Index of the bed.
    pub bed: usize,
    /// How many plants.
    pub count: u32,
    /// When it begins \[s since 1970 UTC\].
    pub start: i64,
    /// How long it takes, with rest \[min\].
    pub minutes: f64,
}

/// Why plants find no place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoPlace {
    /// The spells are full.
    Full,
    /// One plant takes longer than the longest spell.
    TooLong,
    /// No spell at all.
    NoSpell,
    /// Oil waits for pruning that found no place.
    AfterPruning,
}

impl NoPlace {
    /// What it says.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Full => "the spells are full",
            Self::TooLong => "one plant takes longer than the longest spell",
            Self::NoSpell => "there is no spell",
            Self::AfterPruning => "the oil waits for pruning that found no place",
        }
    }
}

/// Plants that find no place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Left {
    /// [`TaskKind::Prune`] or [`TaskKind::Oil`].
    pub kind: TaskKind,
    /// Index of the bed.
    pub bed: usize,
    /// How many plants.
    pub count: u32,
    /// How long they would take \[min\].
    pub minutes: f64,
    /// Why.
    pub why: NoPlace,
}

/// The work, laid into spells.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Split {
    /// What is done when, in order of time.
    pub stints: Vec<Stint>,
    /// What finds no place.
    pub left: Vec<Left>,
}

/// Plants of one bed, waiting for a place.
struct Job {
    kind: TaskKind,
    bed: usize,
    count: u32,
    each_min: f64,
}

/// The free time of a spell \[s since 1970 UTC\].
struct Free {
    from: f64,
    until: f64,
}

/// Lays a garden's work into the spells fit for pruning and those fit for oil.
///
/// - `prune`, `oil`: fair spells of each operation, in any order; they may overlap.
///
/// ```
/// use fairspell::{plant::PlantTable, site::Site, work::{Interval, Work, split}};
/// let work = Work::of(&Site::default(), &PlantTable::built_in())?; // one hybrid tea rose
/// let day = [Interval { start: 0, hours: 2 }];
/// let plan = split(&work, &day, &day);
/// assert_eq!(plan.stints.len(), 2); // pruned, then sprayed
/// assert!(plan.stints[0].start < plan.stints[1].start && plan.left.is_empty());
/// # Ok::<(), fairspell::error::FileError>(())
/// ```
#[must_use]
pub fn split(work: &Work, prune: &[Interval], oil: &[Interval]) -> Split {
    let mut plan = Split::default();
    fill(
        &mut plan,
        pruning_jobs(work),
        &mut free(prune, f64::NEG_INFINITY),
    );
    let ends = plan
        .stints
        .iter()
        .map(|stint| stint.start as f64 + stint.minutes * 60.0);
    let pruned = ends.fold(f64::NEG_INFINITY, f64::max).ceil();
    let jobs = oil_jobs(work);
    if plan.left.is_empty() {
        fill(&mut plan, jobs, &mut free(oil, pruned));
    } else {
        plan.left.extend(
            jobs.iter()
                .map(|job| job.left(job.count, NoPlace::AfterPruning)),
        );
    }
    plan.stints.sort_by_key(|stint| stint.start);
    plan
}

fn pruning_jobs(work: &Work) -> Vec<Job> {
    let job = |at: &usize| {
        let bed = work.beds.get(*at).filter(|bed| bed.is_due)?;
        let (mean, _) = moments(bed.minutes?);
        Some(Job {
            kind: TaskKind::Prune,
            bed: *at,
            count: bed.count,
            each_min: mean * (1.0 + CLEAN_UP_SHARE) * REST_FACTOR,
        })
    };
    work.turns.iter().filter_map(job).collect()
}

/// Oil by bed: walking, spraying the typical volume, and the plant's share of the fills.
fn oil_jobs(work: &Work) -> Vec<Job> {
    let Some(mix) = work.mix else {
        return Vec::new();
    };
    let job = |at: &usize| {
        let bed = work.beds.get(*at).filter(|bed| bed.is_oiled)?;
        let [_, each, _] = bed.spray;
        let fill = FILL_MIN * each.litres() / mix.tank.litres();
        Some(Job {
            kind: TaskKind::Oil,
            bed: *at,
            count: bed.count,
            each_min: (spray_minutes(each) + WALK_MIN + fill) * REST_FACTOR,
        })
    };
    work.turns.iter().filter_map(job).collect()
}

/// The free time of spells from `earliest` on, by their beginning; where two overlap the later gives way.
fn free(spells: &[Interval], earliest: f64) -> Vec<Free> {
    let mut spells = spells.to_vec();
    spells.sort_by_key(|spell| (spell.start, spell.hours));
    let mut from = earliest;
    let mut all = Vec::with_capacity(spells.len());
    for spell in spells {
        let until = spell.start as f64 + f64::from(spell.hours) * 3600.0;
        let start = (spell.start as f64).max(from);
        if until > start {
            all.push(Free { from: start, until });
            from = until;
        }
    }
    all
}

/// Puts each job into the earliest free time that holds a plant of it.
fn fill(plan: &mut Split, jobs: Vec<Job>, free: &mut [Free]) {
    let longest = free
        .iter()
        .map(|free| free.until - free.from)
        .fold(0.0, f64::max);
    for job in jobs {
        let each_s = job.each_min * 60.0;
        let mut waiting = job.count;
        for free in free.iter_mut() {
            let count = whole_plants((free.until - free.from) / each_s).min(waiting);
            if count == 0 {
                continue;
            }
            plan.stints.push(job.stint(count, free.from));
            free.from = (free.from + f64::from(count) * each_s).ceil();
            waiting -= count;
        }
        if waiting > 0 {
            let why = if longest <= 0.0 {
                NoPlace::NoSpell
            } else if each_s > longest {
                NoPlace::TooLong
            } else {
                NoPlace::Full
            };
            plan.left.push(job.left(waiting, why));
        }
    }
}

/// Whole plants in a share; what floating point takes from a whole one does not count.
fn whole_plants(plants: f64) -> u32 {
    let whole = (plants + 1e-9).floor().clamp(0.0, f64::from(u32::MAX));
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to u32"
    )]
    let whole = whole as u32;
    whole
}

impl Job {
    fn stint(&self, count: u32, start: f64) -> Stint {
        #[expect(
            clippy::cast_possible_truncation,
            reason = "a whole second of the calendar"
        )]
        let start = start as i64;
        let minutes = f64::from(count) * self.each_min;
        Stint {
            kind: self.kind,
            bed: self.bed,
            count,
            start,
            minutes,
        }
    }

    fn left(&self, count: u32, why: NoPlace) -> Left {
        let minutes = f64::from(count) * self.each_min;
        Left {
            kind: self.kind,
            bed: self.bed,
            count,
            minutes,
            why,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plant::PlantTable;
    use crate::read::Source;
    use crate::site::Site;

    const HOUR: i64 = 3600;

    fn work(garden: &str) -> Work {
        let bytes = garden.as_bytes();
        let site = Site::read(Source {
            name: "site.toml",
            bytes,
        })
        .unwrap();
        Work::of(&site, &PlantTable::built_in()).unwrap()
    }

    fn at(start: i64, hours: u32) -> Interval {
        Interval {
            start: start * HOUR,
            hours,
        }
    }

    fn shape(split: &Split) -> Vec<(TaskKind, usize, u32, i64)> {
        split
            .stints
            .iter()
            .map(|stint| (stint.kind, stint.bed, stint.count, stint.start / HOUR))
            .collect()
    }

    /// Arithmetic: a bush rose takes 11.57 min on average (handbook, trade, §6), with clean-up and rest 18.0 min, so an
    /// hour holds three; oil takes (0.6 + 0.5 + 0.36) × 7/6 = 1.7 min a rose.
    #[test]
    fn roses_are_laid_into_hours() {
        let work = work("[[garden]]\nkind = \"hybrid tea\"\ncount = 8\n");
        let spells = [at(48, 1), at(0, 1), at(24, 2)];
        let plan = split(&work, &spells, &[at(0, 1), at(48, 1)]);
        let (prune, oil) = (TaskKind::Prune, TaskKind::Oil);
        // Three, then five in two hours; the oil waits for the third day, though the first was fit for it.
        assert_eq!(
            shape(&plan),
            [(prune, 0, 3, 0), (prune, 0, 5, 24), (oil, 0, 8, 48)]
        );
        assert!(plan.left.is_empty());
    }

    /// The project's design: pruning before oil; what does not fit is said, with the reason.
    #[test]
    fn what_does_not_fit_is_said() {
        let roses = work("[[garden]]\nkind = \"hybrid tea\"\ncount = 8\n");
        let plan = split(&roses, &[at(0, 1)], &[at(24, 9)]);
        let left: Vec<_> = plan
            .left
            .iter()
            .map(|left| (left.kind, left.count, left.why))
            .collect();
        assert_eq!(
            left,
            [
                (TaskKind::Prune, 5, NoPlace::Full),
                (TaskKind::Oil, 8, NoPlace::AfterPruning)
            ]
        );
        let tree = work("[[garden]]\nkind = \"plum\"\nneglected = true\n");
        assert_eq!(split(&tree, &[at(0, 2)], &[]).left[0].why, NoPlace::TooLong);
        assert_eq!(split(&tree, &[], &[]).left[0].why, NoPlace::NoSpell);
    }

    /// The handbook, trade, §4: no winter cut for a rambler, yet oil; it waits for no pruning.
    #[test]
    fn plants_that_are_skipped_are_oiled_all_the_same() {
        let work = work("[[garden]]\nkind = \"rambler\"\ncount = 2\n");
        let plan = split(&work, &[], &[at(5, 1)]);
        assert_eq!(shape(&plan), [(TaskKind::Oil, 0, 2, 5)]);
        assert!(plan.left.is_empty());
    }
}
