//! What is needed, in the order of use.
//!
//! Source: the project's handbook, trade, §8; amounts by §7.

use super::{Mix, Volume, Work};
use crate::plant::Group;

/// The part of the work that needs it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// Pruning and clean-up.
    Prune,
    /// Spraying.
    Oil,
}

impl Stage {
    /// Its name in answers.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Prune => "prune",
            Self::Oil => "oil",
        }
    }
}

/// One thing that is needed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Supply {
    /// For which part.
    pub stage: Stage,
    /// What.
    pub name: &'static str,
    /// How much at least and at most, where it is measured.
    pub amount: Option<[Volume; 2]>,
    /// Whether it can be done without.
    pub is_optional: bool,
}

const TOOLS: [&str; 5] = [
    "log and pencil",
    "thorn-proof gauntlet gloves, eye protection, sturdy shoes",
    "sharp bypass hand pruner",
    "lopper, for wood over 1/2 in",
    "pruning saw, for wood over 1 to 1 1/2 in",
];

const AFTER_MIXING: [&str; 4] = [
    "sprayer with adjustable nozzle, checked with plain water, never used for weed-killer",
    "soap, rinse water, towel",
    "covers for stone, siding, ponds and sensitive neighbours",
    "thermometer on the shady side of the plant",
];

impl Supply {
    fn needed(stage: Stage, name: &'static str) -> Self {
        Self {
            stage,
            name,
            amount: None,
            is_optional: false,
        }
    }

    fn useful(stage: Stage, name: &'static str) -> Self {
        Self {
            is_optional: true,
            ..Self::needed(stage, name)
        }
    }

    fn measured(name: &'static str, amount: [Volume; 2]) -> Self {
        Self {
            amount: Some(amount),
            ..Self::needed(Stage::Oil, name)
        }
    }
}

/// The supplies of a garden's work.
pub(super) fn supplies(work: &Work) -> Vec<Supply> {
    let mut list = Vec::new();
    if work.mix.is_some() {
        list.push(Supply::needed(
            Stage::Oil,
            "label and safety sheet, read first",
        ));
    }
    if work.beds.iter().any(|bed| bed.is_due) {
        list.extend(for_pruning(work));
    }
    if let Some(mix) = &work.mix {
        list.extend(for_spraying(mix));
    }
    list
}

fn for_pruning(work: &Work) -> Vec<Supply> {
    let needed = |name| Supply::needed(Stage::Prune, name);
    let mut list: Vec<Supply> = TOOLS.into_iter().map(needed).collect();
    if work.needs_ladder {
        let name = "tripod orchard ladder, only if needed";
        list.push(Supply::useful(Stage::Prune, name));
    }
    list.push(needed("70 % alcohol and rags"));
    if work.beds.iter().any(|bed| bed.is_due && bed.is_tied) {
        list.push(needed("ties for the climbers"));
    }
    list.push(needed("tarp or barrow, rake, bags for diseased leaves"));
    if work
        .beds
        .iter()
        .any(|bed| bed.is_due && bed.group == Group::Rose)
    {
        let name = "white glue for rose cuts, where cane borers occur";
        list.push(Supply::useful(Stage::Prune, name));
    }
    list
}

fn for_spraying(mix: &Mix) -> Vec<Supply> {
    let [low, _, high] = mix.totals();
    let needed = |name| Supply::needed(Stage::Oil, name);
    let mut list = vec![
        needed(
            "chemical-resistant gloves, eye protection, long sleeves and trousers, shoes with socks",
        ),
        needed("measuring jug kept for this only"),
        Supply::measured("dormant oil", [low.oil, high.oil]),
        Supply::measured("clean water", [low.water, high.water]),
    ];
    list.extend(AFTER_MIXING.into_iter().map(needed));
    list
}
