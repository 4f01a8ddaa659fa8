//! The garden's work laid into the spells of a forecast.

use super::{Decision, Question, Spell, decide, when};
use crate::error::GardenError;
use crate::operation::Operation;
use crate::plant::PlantTable;
use crate::work::{Interval, Split, Stint, TaskKind, Work, split};

/// The garden's work, and what of it is done in which spell.
#[derive(Debug, Clone, PartialEq)]
pub struct LaidWork {
    /// The work.
    pub work: Work,
    /// What is done when, and what finds no place.
    pub split: Split,
}

impl Decision {
    /// Lays the work of the site's garden into the spells of an answer on pruning or oil, and into those of the other of the
    /// two on the same forecast; nothing without a garden, or on another operation. It changes no verdict.
    ///
    /// - `question`: what this decision answers; `table`: the plants table.
    ///
    /// # Errors
    /// [`GardenError`] at a kind that the table does not have, or a limit of the site's that the other operation cannot take.
    pub fn lay_garden(
        &mut self,
        question: &Question<'_>,
        table: &PlantTable,
    ) -> Result<(), GardenError> {
        let other = match self.operation.name.as_str() {
            "oil" => "prune",
            "prune" => "oil",
            _ => return Ok(()),
        };
        let site = question.site;
        let Some(operation) = Operation::built_in(other).filter(|_| !site.garden.is_empty()) else {
            return Ok(());
        };
        let work = Work::of(site, table)?;
        let operation = work.in_garden(operation.at_site(site)?, site);
        let others = decide(&Question {
            operation: &operation,
            explain: None,
            ..*question
        })?
        .spells;
        let own = self.spells.clone();
        let (prune, oil) = if other == "oil" {
            (own, others)
        } else {
            (others, own)
        };
        self.lay_work(work, &prune, &oil);
        Ok(())
    }

    /// Lays the work of the garden into the spells fit for pruning and those fit for oil; it changes no verdict.
    pub fn lay_work(&mut self, work: Work, prune: &[Spell], oil: &[Spell]) {
        let intervals = |spells: &[Spell]| -> Vec<Interval> {
            let of = |spell: &Spell| Interval {
                start: spell.start,
                hours: u32::try_from(spell.hours()).unwrap_or(0),
            };
            spells.iter().map(of).collect()
        };
        let split = split(&work, &intervals(prune), &intervals(oil));
        self.work = Some(LaidWork { work, split });
    }

    /// The laid work in words, a sentence a stint, then what finds no place; empty without a garden.
    #[must_use]
    pub fn work_texts(&self) -> Vec<String> {
        let Some(laid) = &self.work else {
            return Vec::new();
        };
        let kind = |bed: usize| laid.work.beds.get(bed).map_or("", |bed| bed.kind.as_str());
        let done = |stint: &Stint| {
            format!(
                "{}: {} {} {}, {}",
                when(up_to_five_minutes(stint.start), self.zone),
                verb(stint.kind),
                stint.count,
                kind(stint.bed),
                duration(stint.minutes)
            )
        };
        if laid.split.stints.is_empty() && !laid.split.left.is_empty() {
            let minutes: f64 = laid.split.left.iter().map(|left| left.minutes).sum();
            return vec![format!(
                "no spell of this forecast holds any of the work, {}",
                duration(minutes)
            )];
        }
        let left = laid.split.left.iter().map(|left| {
            format!(
                "no place to {} {} {}, {}: {}",
                verb(left.kind),
                left.count,
                kind(left.bed),
                duration(left.minutes),
                left.why.words()
            )
        });
        laid.split.stints.iter().map(done).chain(left).collect()
    }
}

/// A time rounded up to five minutes: a plan is no timetable.
fn up_to_five_minutes(unix_s: i64) -> i64 {
    let late = unix_s.rem_euclid(300);
    if late == 0 {
        unix_s
    } else {
        unix_s + 300 - late
    }
}

fn verb(kind: TaskKind) -> &'static str {
    match kind {
        TaskKind::Oil => "spray",
        _ => "prune",
    }
}

/// Minutes as "45 min" or "2 h 10 min", rounded to five from a quarter of an hour on.
fn duration(minutes: f64) -> String {
    let step = if minutes < 15.0 { 1.0 } else { 5.0 };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "minutes of a plan, above 0"
    )]
    let whole = ((minutes / step).round() * step).max(1.0) as u64;
    match (whole / 60, whole % 60) {
        (0, minutes) => format!("{minutes} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes} min"),
    }
}

#[cfg(test)]
mod tests {
    use super::{duration, up_to_five_minutes};

    /// Arithmetic: 10:33:13 is shown as 10:35, a full five minutes as it is.
    #[test]
    fn a_plan_begins_on_five_minutes() {
        for (second, shown) in [
            (37_993, 38_100),
            (38_100, 38_100),
            (38_101, 38_400),
            (0, 0),
            (-1, 0),
            (-300, -300),
        ] {
            assert_eq!(up_to_five_minutes(second), shown);
        }
    }

    /// Arithmetic.
    #[test]
    fn durations_are_rounded_as_a_plan_is() {
        for (minutes, words) in [
            (0.2, "1 min"),
            (14.4, "14 min"),
            (17.4, "15 min"),
            (58.0, "1 h"),
            (131.0, "2 h 10 min"),
        ] {
            assert_eq!(duration(minutes), words);
        }
    }
}
