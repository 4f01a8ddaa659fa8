//! The order of the work: the steps at one plant, and the tasks of the whole garden.
//!
//! Source: the project's handbook, trade, §4, §5, §7 and §11; each step names its own.

use super::{Bed, Work};
use crate::plant::{Group, Oil, Plant, Prune};
use crate::quantity::Quantity;
use crate::site::FirstCut;

/// One step at one plant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// Its key.
    pub code: &'static str,
    /// What to do.
    pub text: String,
    /// Where it comes from.
    pub source: &'static str,
}

fn step(code: &'static str, text: &str, source: &'static str) -> Step {
    Step {
        code,
        text: text.to_owned(),
        source,
    }
}

const LOOK: (&str, &str) = (
    "Look it over: what it is, how old, when it blooms.",
    "Common practice",
);
const LOWER: (&str, &str) = (
    "Lower the whole bush to about two feet, thigh to knee high, so that it can be seen and handled.",
    "Common practice; the other school takes dead wood first",
);
const DEAD: (&str, &str) = (
    "Cut dead, damaged and diseased wood at least 1 in below the brown, until the pith is white.",
    "Iowa State Extension",
);
const BLIGHT: (&str, &str) = (
    "Cut blight and canker 6 to 12 in below what you see.",
    "Univ. of Illinois Extension, fire blight",
);

/// The steps of pruning one plant, in order; for one that is not due in winter the words that say so.
///
/// ```
/// use fairspell::{plant::PlantTable, site::FirstCut, work::plant_steps};
/// let table = PlantTable::built_in();
/// let codes = |first| {
///     let steps = plant_steps(table.named("hybrid tea").unwrap(), first);
///     steps.iter().map(|step| step.code).take(3).collect::<Vec<_>>()
/// };
/// assert_eq!(codes(FirstCut::Lower), ["look", "lower", "dead"]);
/// assert_eq!(codes(FirstCut::DeadWood), ["look", "dead", "lower"]);
/// ```
#[must_use]
pub fn plant_steps(plant: &Plant, first: FirstCut) -> Vec<Step> {
    let mut steps = vec![step("look", LOOK.0, LOOK.1)];
    if !plant.is_cut_in_winter {
        let text = format!("Do not prune it now: {}.", plant.when);
        steps.push(Step {
            code: "skip",
            text,
            source: "The plants table",
        });
        return steps;
    }
    let (lower, dead) = (
        step("lower", LOWER.0, LOWER.1),
        step("dead", DEAD.0, DEAD.1),
    );
    match (plant.is_tall, first) {
        (true, FirstCut::Lower) => steps.extend([lower, dead]),
        (true, FirstCut::DeadWood) => steps.extend([dead, lower]),
        (false, _) => steps.push(dead),
    }
    if plant.group == Group::Tree {
        steps.push(step("blight", BLIGHT.0, BLIGHT.1));
    }
    if plant.prune != Prune::DeadWoodOnly {
        steps.extend(shaping(plant));
    }
    steps.extend(finishing(plant.group));
    steps
}

/// The cuts into live wood.
fn shaping(plant: &Plant) -> Vec<Step> {
    let is_rose = plant.group == Group::Rose;
    let mut steps = Vec::new();
    if is_rose {
        let text = "Pull off suckers from below the graft.";
        steps.push(step("suckers", text, "Common practice"));
        let text = "Take out canes thinner than a pencil, 1/4 in or 6 to 7 mm.";
        steps.push(step("thin", text, "Oklahoma State Extension"));
    }
    let text = "Of two that cross or rub take out the worse.";
    steps.push(step("crossing", text, "Oklahoma State Extension"));
    let text = "Cut what grows inward back to an outward bud, 1/4 in above it and slanting with it; on a spreading \
        plant to an inward bud.";
    steps.push(step(
        "outward",
        text,
        "Iowa State Extension; inward: common practice",
    ));
    let text = format!("Shape it: {}.", plant.how);
    let text = text + &amount((plant.left, plant.removed), plant.never.as_deref());
    steps.push(Step {
        code: "shape",
        text,
        source: "The plants table",
    });
    steps
}

/// How much is left and taken, least and most, and what is never cut, in words; empty where the table says nothing.
fn amount(
    (left, removed): (Option<[Quantity; 2]>, Option<[Quantity; 2]>),
    never: Option<&str>,
) -> String {
    let left = left.map(|[least, most]| format!(" Leave {least} to {most}."));
    let removed = removed.filter(|[_, most]| most.value > 0.0);
    let removed = removed.map(|[least, most]| {
        if least == most {
            format!(" Take off about {most} of last year's growth.")
        } else {
            format!(" Take off {least} to {most} of last year's growth.")
        }
    });
    let never = never.map(|never| format!(" Never cut: {never}."));
    [left, removed, never].into_iter().flatten().collect()
}

fn finishing(group: Group) -> Vec<Step> {
    let mut steps = Vec::new();
    if group == Group::Rose {
        let text = "Strip the old leaves that are left.";
        steps.push(step("strip", text, "Common practice"));
    }
    let text = "Leave the wounds open: dressings do not stop decay.";
    let source = "Shigo, USDA Forest Service (from memory); UC Master Gardeners of Butte County";
    steps.push(step("wounds", text, source));
    let text = "Wipe or dip the blades: 70 % alcohol, or 10 % bleach for 30 s and rinse.";
    steps.push(step(
        "blades",
        text,
        "UC Pest Note 7414; Nebraska newspaper column, 2021",
    ));
    steps
}

/// What a task is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TaskKind {
    /// Reading the label, looking over, preparing.
    Prepare,
    /// Pruning one bed.
    Prune,
    /// A bed that is not pruned in winter.
    Skip,
    /// Clean-up and disposal.
    CleanUp,
    /// Mixing the spray.
    Mix,
    /// Spraying one bed.
    Oil,
    /// Spraying the soil.
    Soil,
    /// Rinsing and writing the log.
    Finish,
}

impl TaskKind {
    /// Its name in answers.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Prepare => "prepare",
            Self::Prune => "prune",
            Self::Skip => "skip",
            Self::CleanUp => "clean-up",
            Self::Mix => "mix",
            Self::Oil => "oil",
            Self::Soil => "soil",
            Self::Finish => "finish",
        }
    }
}

/// One task of the garden.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Task {
    /// What it is.
    pub kind: TaskKind,
    /// Index of the bed, for a task at one bed.
    pub bed: Option<usize>,
    /// What to do.
    pub text: String,
}

fn task(kind: TaskKind, text: &str) -> Task {
    Task {
        kind,
        bed: None,
        text: text.to_owned(),
    }
}

/// The tasks of the whole garden, in order: prune (old, large, hardy trees first, tender ones last), what is skipped,
/// clean up, mix, spray, finish. Handbook, trade, §2, §5 and §7.
pub(super) fn garden_tasks(work: &Work, turns: &[usize], has_soil: bool) -> Vec<Task> {
    let bed = |at: &usize| work.beds.get(*at).map(|bed| (*at, bed));
    let beds: Vec<(usize, &Bed)> = turns.iter().filter_map(bed).collect();
    let mut tasks = vec![task(
        TaskKind::Prepare,
        "Read the label and the safety sheet; look the garden over; lay out the tools.",
    )];
    let is_pruned = |(_, bed): &&(usize, &Bed)| bed.is_due;
    tasks.extend(
        beds.iter()
            .filter(is_pruned)
            .map(|(at, bed)| prune_task(*at, bed)),
    );
    let is_skipped = |(_, bed): &&(usize, &Bed)| !bed.is_due;
    tasks.extend(
        beds.iter()
            .filter(is_skipped)
            .map(|(at, bed)| skip_task(*at, bed)),
    );
    let text = "Rake up old leaves, fruit mummies and cuttings; diseased material goes into the bin, not the compost.";
    tasks.push(task(TaskKind::CleanUp, text));
    if work.mix.is_some() {
        let text = "Half the water, the oil, agitate, the rest of the water; shake often; use it the same day. Mix no \
            more than is needed.";
        tasks.push(task(TaskKind::Mix, text));
        let is_oiled = |(_, bed): &&(usize, &Bed)| bed.is_oiled;
        tasks.extend(
            beds.iter()
                .filter(is_oiled)
                .map(|(at, bed)| oil_task(*at, bed)),
        );
        if has_soil {
            let text = "Spray the cleared soil around, if the label lists the site.";
            tasks.push(task(TaskKind::Soil, text));
        }
    }
    tasks.push(task(TaskKind::Finish, finish_text(work.mix.is_some())));
    tasks
}

fn finish_text(is_sprayed: bool) -> &'static str {
    if is_sprayed {
        "What is left over goes on plants that the label lists, never into a drain, a gutter or the ground, and is not \
         kept in the tank; rinse water likewise; rinse empty containers three times. Clean the tools, wash, write the log."
    } else {
        "Clean the tools and write the log."
    }
}

fn prune_task(at: usize, bed: &Bed) -> Task {
    let text = format!("Prune {} × {}: {}.", bed.count, bed.kind, bed.how);
    let text = text + &amount((bed.left, bed.removed), bed.never.as_deref());
    Task {
        kind: TaskKind::Prune,
        bed: Some(at),
        text,
    }
}

fn skip_task(at: usize, bed: &Bed) -> Task {
    let season = match bed.prune {
        Prune::Summer => "prune in summer",
        _ => "prune after bloom",
    };
    let text = format!(
        "{} × {}: skipped, {season} ({}).",
        bed.count, bed.kind, bed.when
    );
    Task {
        kind: TaskKind::Skip,
        bed: Some(at),
        text,
    }
}

fn oil_task(at: usize, bed: &Bed) -> Task {
    let until = match bed.oil {
        Oil::DormantOnly => " Only while fully dormant.",
        Oil::ToHalfInchGreen => " No later than half an inch of green.",
        Oil::Light => " Lightly.",
        Oil::Yes | Oil::WhereScale | Oil::No => "",
    };
    let text = format!(
        "Spray {} × {} with oil: whole canes from the base up, all sides, until it begins to run off.{until}",
        bed.count, bed.kind
    );
    Task {
        kind: TaskKind::Oil,
        bed: Some(at),
        text,
    }
}
