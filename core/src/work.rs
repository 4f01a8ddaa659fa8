//! A garden to work: minutes with their range, spray to mix, supplies, the order of tasks.
//!
//! Plants that are not cut in winter are *skipped*, never dropped: they are listed with their own season, and may be
//! oiled all the same. Pruning and spraying are different spells; [`split`] lays both into fair hours.
//!
//! Source: the project's handbook, trade, §4 to §8 and §11; [`Work::explain`] gives each number's own.

mod explain;
mod json;
mod labour;
mod mix;
mod order;
mod split;
mod supplies;

use crate::error::{FileError, Place};
use crate::operation::{ALWAYS, Operation, STANDING_CAUTIONS, StandingCaution};
use crate::plant::{Group, Grown, Oil, PlantTable, Prune, Turn};
use crate::quantity::{Quantity, Unit};
use crate::site::{FirstCut, Planting, Site};

pub use explain::Explained;
pub use labour::{
    CLEAN_UP_SHARE, FILL_MIN, FLOW_GAL_PER_MIN, LEAVES_MIN, Labour, Pruning, REST_FACTOR,
    RINSE_MIN, Range, SET_UP_MIN, SprayingTime, WALK_MIN, WORKER_SIGMA, Z_10_TO_90, Z_90, moments,
    prune_all,
};
pub use mix::{
    BY_HAND, CROWN_GAL_PER_1000_FT3, Load, Mix, RATE_PCT, SOIL_GAL_PER_100_FT2, TANK_GAL, Volume,
    crown_spray,
};
pub use order::{Step, Task, TaskKind, plant_steps};
pub use split::{Interval, Left, NoPlace, Split, Stint, split};
pub use supplies::{Stage, Supply};

/// Height from which a ladder may be needed \[m\]. Ours: about the reach of a grown person.
const REACH_M: f64 = 2.1;

/// One entry of the garden, with what the table says of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Bed {
    /// Its kind, by the table's name.
    pub kind: String,
    /// The row that holds for it: its kind's, or that of a young plant.
    pub row: String,
    /// The size that holds for it.
    pub size: String,
    /// How many plants.
    pub count: u32,
    /// What sort of plant it is.
    pub group: Group,
    /// The season of its main cut.
    pub prune: Prune,
    /// Whether the late-winter cut is due; else it is skipped.
    pub is_due: bool,
    /// When, in words.
    pub when: String,
    /// How hard, in words.
    pub how: String,
    /// Height left, least and most.
    pub left: Option<[Quantity; 2]>,
    /// Share of last year's growth removed, least and most.
    pub removed: Option<[Quantity; 2]>,
    /// What is never cut.
    pub never: Option<String>,
    /// Whether it is tied in.
    pub is_tied: bool,
    /// Minutes to prune one, 10th, 50th and 90th percentile; `None`: no figure.
    pub minutes: Option<[f64; 3]>,
    /// What the table says of oil.
    pub oil: Oil,
    /// Whether it is sprayed.
    pub is_oiled: bool,
    /// Finished spray for one: low, typical, high.
    pub spray: [Volume; 3],
    /// The steps at one plant.
    pub steps: Vec<Step>,
    /// Where the row comes from.
    pub source: String,
    /// Where minutes and spray come from.
    pub basis: String,
}

/// A plant in or near the garden that oil may harm.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Harm {
    /// As the site file names it.
    pub name: String,
    /// What oil does to it; `None`: the table does not know it.
    pub harm: Option<String>,
    /// Who says so.
    pub source: Option<String>,
}

/// What else the user should know.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum WorkNote {
    /// No garden in the site.
    #[error("no garden is given: the work is for one hybrid tea rose")]
    NoGarden,
    /// No height where the table has sizes.
    #[error("no height is given for {kind}: counted as {size}")]
    SizeAssumed {
        /// The kind.
        kind: String,
        /// The size.
        size: String,
    },
    /// A neglected plant without a figure.
    #[error("the table has no minutes for a neglected {kind}: counted as kept")]
    NeglectedAsKept {
        /// The kind.
        kind: String,
    },
    /// Sprayed though the table says no.
    #[error("{kind} is sprayed on the site's own word: the table says {oil}")]
    OilOnWord {
        /// The kind.
        kind: String,
        /// What the table says.
        oil: &'static str,
    },
    /// Sprayed only where there was a pest.
    #[error(
        "{kind} is not counted for oil: only where scale or mites were a problem (oil = true counts it)"
    )]
    WhereScale {
        /// The kind.
        kind: String,
    },
    /// No rate in the site.
    #[error("no rate is given: 2 % of the finished spray is assumed; the label decides")]
    RateAssumed,
    /// No tank in the site.
    #[error("no tank is given: a sprayer of 4 US gal (15.1 l) is assumed")]
    TankAssumed,
}

/// The work of a garden.
#[derive(Debug, Clone, PartialEq)]
pub struct Work {
    /// Its entries, in the site's order.
    pub beds: Vec<Bed>,
    /// Indices of the beds in the order of the work: old, large and hardy first, tender last.
    pub turns: Vec<usize>,
    /// How long it takes.
    pub labour: Labour,
    /// The spray to mix; `None`: nothing is sprayed.
    pub mix: Option<Mix>,
    /// Whether a ladder may be needed.
    pub needs_ladder: bool,
    /// What is needed, in the order of use.
    pub supplies: Vec<Supply>,
    /// What to do, in order.
    pub tasks: Vec<Task>,
    /// Cautions that apply.
    pub cautions: Vec<StandingCaution>,
    /// Plants that oil may harm.
    pub harms: Vec<Harm>,
    /// What else the user should know.
    pub notes: Vec<WorkNote>,
}

/// An operation with the hours that spraying the site's garden needs; without a garden as it is.
///
/// # Errors
/// [`FileError`] at a kind of the garden that the table does not have.
pub fn in_garden(
    operation: Operation,
    site: &Site,
    table: &PlantTable,
) -> Result<Operation, FileError> {
    if site.garden.is_empty() {
        return Ok(operation);
    }
    Ok(Work::of(site, table)?.in_garden(operation, site))
}

impl Work {
    /// The work of a site's garden by a plants table; without a garden that of one hybrid tea rose, and a note says so.
    ///
    /// # Errors
    /// [`FileError`] at the entry's kind, if the table does not have it.
    ///
    /// ```
    /// use fairspell::{plant::PlantTable, read::Source, site::Site, work::Work};
    /// let bytes = b"[[garden]]\nkind = \"hybrid tea\"\ncount = 12\n";
    /// let site = Site::read(Source { name: "site.toml", bytes })?;
    /// let work = Work::of(&site, &PlantTable::built_in())?;
    /// let mix = work.mix.expect("roses are oiled");
    /// assert_eq!(mix.loads(), 1); // 2.16 US gal in a sprayer of 4
    /// assert_eq!(work.labour.spraying.map(|spraying| spraying.hours_needed()), Some(1));
    /// # Ok::<(), fairspell::error::FileError>(())
    /// ```
    pub fn of(site: &Site, table: &PlantTable) -> Result<Self, FileError> {
        let mut notes = Vec::new();
        let one_rose = [one_rose()];
        let plantings = if site.garden.is_empty() {
            notes.push(WorkNote::NoGarden);
            one_rose.as_slice()
        } else {
            site.garden.as_slice()
        };
        let mut beds = Vec::with_capacity(plantings.len());
        let mut order = Vec::with_capacity(plantings.len());
        for planting in plantings {
            let grown = table.find(planting)?;
            let bed = bed(planting, &grown, (table, site.first_cut));
            say(&mut notes, planting, (&grown, table));
            order.push((
                grown.row.turn,
                bed.minutes.map_or(0.0, |[_, median, _]| median),
                order.len(),
            ));
            beds.push(bed);
        }
        let mix = mix_of(site, &beds, &mut notes);
        let mut work = Self {
            labour: labour_of(&beds, mix.as_ref()),
            turns: turns(order),
            mix,
            needs_ladder: beds
                .iter()
                .zip(plantings)
                .any(|(bed, planting)| is_out_of_reach(bed, planting)),
            harms: harms(site, plantings, (&beds, table)),
            beds,
            supplies: Vec::new(),
            tasks: Vec::new(),
            cautions: Vec::new(),
            notes,
        };
        work.list(site.spraying.soil.is_some());
        Ok(work)
    }

    /// Lists what follows from the rest: supplies, tasks, cautions.
    fn list(&mut self, has_soil: bool) {
        self.supplies = supplies::supplies(self);
        self.tasks = order::garden_tasks(self, &self.turns, has_soil);
        self.cautions = cautions(self);
    }

    /// An operation with the hours that this garden needs: oil asks for as many in a row as the spraying takes, if those
    /// are more than its own and the site says no other number. Pruning can be laid into many days and stays as it is.
    ///
    /// Source: the project's handbook, trade, §14 (8): a garden's own spraying time goes before the operation's number;
    /// never below it (ours).
    ///
    /// ```
    /// use fairspell::{operation::Operation, plant::PlantTable, read::Source, site::Site, work::Work};
    /// let bytes = b"[[garden]]\nkind = \"hybrid tea\"\ncount = 300\n";
    /// let site = Site::read(Source { name: "site.toml", bytes })?;
    /// let work = Work::of(&site, &PlantTable::built_in())?;
    /// let oil = Operation::built_in("oil").expect("it is built in");
    /// assert_eq!((oil.hours_needed, work.in_garden(oil, &site).hours_needed), (2, 7));
    /// # Ok::<(), fairspell::error::FileError>(())
    /// ```
    #[must_use]
    pub fn in_garden(&self, mut operation: Operation, site: &Site) -> Operation {
        let is_own = site
            .limits
            .iter()
            .any(|own| own.operation == operation.name && own.hours_needed.is_some());
        if let Some(spraying) = self
            .labour
            .spraying
            .filter(|_| operation.name == "oil" && !is_own)
        {
            operation.hours_needed = operation.hours_needed.max(spraying.hours_needed());
        }
        operation
    }

    /// Plants that are sprayed.
    #[must_use]
    pub fn oiled_plants(&self) -> u64 {
        oiled(&self.beds)
    }
}

/// What stands for a garden that is not given.
fn one_rose() -> Planting {
    Planting {
        place: Place::whole("the garden"),
        kind: "hybrid tea".to_owned(),
        count: 1,
        height: None,
        width: None,
        is_first_year: false,
        is_neglected: false,
        oil: None,
    }
}

fn bed(planting: &Planting, grown: &Grown<'_>, (table, first): (&PlantTable, FirstCut)) -> Bed {
    let (row, size) = (grown.row, grown.size);
    let neglect = table.neglected(row.group).filter(|_| planting.is_neglected);
    Bed {
        kind: grown.kind.name.clone(),
        row: row.name.clone(),
        size: size.name.clone(),
        count: planting.count,
        group: row.group,
        prune: row.prune,
        is_due: row.is_cut_in_winter,
        when: row.when.clone(),
        how: row.how.clone(),
        left: row.left,
        removed: row.removed,
        never: row.never.clone(),
        is_tied: row.is_tied,
        minutes: neglect.map_or(size.minutes, |neglect| Some(neglect.minutes)),
        oil: row.oil,
        is_oiled: planting.oil.unwrap_or(row.oil.is_due()),
        spray: mix::one_plant(grown, planting),
        steps: plant_steps(row, first),
        source: row.source.clone(),
        basis: neglect
            .map_or(&size.basis, |neglect| &neglect.basis)
            .clone(),
    }
}

fn say(notes: &mut Vec<WorkNote>, planting: &Planting, (grown, table): (&Grown<'_>, &PlantTable)) {
    let (kind, row) = (|| grown.kind.name.clone(), grown.row);
    if grown.is_size_assumed {
        notes.push(WorkNote::SizeAssumed {
            kind: kind(),
            size: grown.size.name.clone(),
        });
    }
    if planting.is_neglected && table.neglected(row.group).is_none() {
        notes.push(WorkNote::NeglectedAsKept { kind: kind() });
    }
    match (planting.oil, row.oil) {
        (Some(true), Oil::No) => {
            notes.push(WorkNote::OilOnWord {
                kind: kind(),
                oil: row.oil.name(),
            });
        }
        (None, Oil::WhereScale) => notes.push(WorkNote::WhereScale { kind: kind() }),
        _ => {}
    }
}

/// Old, large and hardy first, tender last; in a turn the longest work first, then the site's order.
fn turns(mut order: Vec<(Turn, f64, usize)>) -> Vec<usize> {
    order.sort_by(|a, b| {
        (a.0)
            .cmp(&b.0)
            .then(b.1.total_cmp(&a.1))
            .then(a.2.cmp(&b.2))
    });
    order.into_iter().map(|(_, _, at)| at).collect()
}

fn oiled(beds: &[Bed]) -> u64 {
    let oiled = beds.iter().filter(|bed| bed.is_oiled);
    oiled.map(|bed| u64::from(bed.count)).sum()
}

/// The spray for all plants that are oiled, and for the soil where it is given.
fn mix_of(site: &Site, beds: &[Bed], notes: &mut Vec<WorkNote>) -> Option<Mix> {
    let spraying = &site.spraying;
    let soil = spraying.soil.map(mix::soil_spray);
    if oiled(beds) == 0 && soil.is_none() {
        return None;
    }
    let add = |a: [Volume; 3], b: [Volume; 3]| {
        let ([low, typical, high], [lower, middle, higher]) = (a, b);
        [low.plus(lower), typical.plus(middle), high.plus(higher)]
    };
    let mut finished = soil.unwrap_or_default();
    let mut most_by_hand = finished[2];
    for bed in beds.iter().filter(|bed| bed.is_oiled) {
        let all = bed.spray.map(|volume| volume.times(f64::from(bed.count)));
        let factor = if bed.group == Group::Tree {
            BY_HAND
        } else {
            1.0
        };
        most_by_hand = most_by_hand.plus(all[2].times(factor));
        finished = add(finished, all);
    }
    if spraying.rate.is_none() {
        notes.push(WorkNote::RateAssumed);
    }
    if spraying.tank.is_none() {
        notes.push(WorkNote::TankAssumed);
    }
    let rate = spraying.rate.map_or(RATE_PCT, Quantity::si);
    let tank = spraying
        .tank
        .map_or(Volume::of(TANK_GAL, Unit::UsGallon), |tank| {
            Volume::of(tank.value, tank.unit)
        });
    Some(Mix::of(finished, most_by_hand, (rate, tank)))
}

fn labour_of(beds: &[Bed], mix: Option<&Mix>) -> Labour {
    let due = || beds.iter().filter(|bed| bed.is_due);
    let pruning = prune_all(due().filter_map(|bed| Some((bed.count, bed.minutes?))));
    let roses = due().filter(|bed| bed.group == Group::Rose);
    let roses = roses.map(|bed| u64::from(bed.count)).sum();
    Labour::of(
        pruning,
        roses,
        mix.map(|mix| SprayingTime::of(oiled(beds), mix)),
    )
}

fn is_out_of_reach(bed: &Bed, planting: &Planting) -> bool {
    let is_tall_kind = bed.group == Group::Tree || bed.is_tied;
    let is_high = planting
        .height
        .map_or(is_tall_kind, |height| height.si() > REACH_M);
    bed.is_due && is_high
}

/// Plants near the garden, and those of it that are oiled, which oil may harm.
fn harms(site: &Site, plantings: &[Planting], (beds, table): (&[Bed], &PlantTable)) -> Vec<Harm> {
    if oiled(beds) == 0 {
        return Vec::new();
    }
    let of = |name: &String| {
        let known = table.sensitive(name);
        Harm {
            name: name.clone(),
            harm: known.map(|plant| plant.harm.clone()),
            source: known.map(|plant| plant.source.clone()),
        }
    };
    let own = beds.iter().zip(plantings).filter(|(bed, _)| bed.is_oiled);
    let own = own
        .map(|(_, planting)| of(&planting.kind))
        .filter(|harm| harm.harm.is_some());
    site.spraying.near.iter().map(of).chain(own).collect()
}

/// The first four always, the rest where they apply: handbook, trade, §11.
fn cautions(work: &Work) -> Vec<StandingCaution> {
    let is_pruned = work.beds.iter().any(|bed| bed.is_due);
    let applies = |code: &str| match code {
        "ppe" | "bees" | "water" | "drift" | "pets" | "species" | "sulphur" => work.mix.is_some(),
        "blades" | "disease" => is_pruned,
        "ladder" => work.needs_ladder,
        _ => false,
    };
    let (always, rest) = STANDING_CAUTIONS.split_at(ALWAYS);
    let rest = rest.iter().filter(|caution| applies(caution.code));
    always.iter().chain(rest).copied().collect()
}
