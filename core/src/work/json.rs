//! The work as JSON, by the layout `fairspell.work/1`.

use serde::Serialize;

use super::{Bed, Harm, Labour, Load, Mix, Range, Stage, Step, Supply, Task, Volume, Work};
use crate::json::written;
use crate::operation::StandingCaution;
use crate::quantity::{Quantity, Unit};

#[derive(Serialize)]
pub(crate) struct Root<'a> {
    schema: &'static str,
    beds: Vec<JsonBed<'a>>,
    hours: JsonRange,
    minutes: JsonMinutes,
    oil_hours_needed: Option<u32>,
    mix: Option<JsonMix>,
    supplies: Vec<JsonSupply>,
    tasks: Vec<JsonTask<'a>>,
    cautions: &'a [StandingCaution],
    sensitive: Vec<JsonHarm<'a>>,
    notices: Vec<String>,
}

#[derive(Serialize)]
struct JsonBed<'a> {
    kind: &'a str,
    row: &'a str,
    size: &'a str,
    count: u32,
    prune: &'static str,
    winter_cut: &'static str,
    when: &'a str,
    how: &'a str,
    never: Option<&'a str>,
    left_in: Option<[f64; 2]>,
    removed_pct: Option<[f64; 2]>,
    minutes_each: Option<[f64; 3]>,
    oil: &'static str,
    oiled: bool,
    spray_each_l: [f64; 3],
    steps: Vec<JsonStep<'a>>,
    source: &'a str,
    basis: &'a str,
}

#[derive(Serialize)]
struct JsonStep<'a> {
    code: &'static str,
    text: &'a str,
    source: &'static str,
}

#[derive(Serialize)]
struct JsonRange {
    p10: f64,
    p50: f64,
    p90: f64,
}

#[derive(Serialize)]
struct JsonMinutes {
    prune: JsonRange,
    clean_up: JsonRange,
    leaves_not_in_total: [f64; 2],
    set_up: f64,
    fill: f64,
    walk: f64,
    spray: [f64; 3],
    rinse: f64,
    total: JsonRange,
}

#[derive(Serialize)]
struct JsonMix {
    rate_pct_of_finished_spray: f64,
    tank_l: f64,
    tank_us_gal: f64,
    finished_l: [f64; 3],
    finished_us_gal: [f64; 3],
    oil_ml: [f64; 3],
    oil_us_fl_oz: [f64; 3],
    water_l: [f64; 3],
    most_by_hand_l: f64,
    loads: u64,
    full_loads: u64,
    full: Option<JsonLoad>,
    last: Option<JsonLoad>,
}

#[derive(Serialize)]
struct JsonLoad {
    finished_l: f64,
    finished_us_gal: f64,
    oil_ml: f64,
    oil_us_fl_oz: f64,
    water_l: f64,
    water_us_gal: f64,
}

#[derive(Serialize)]
struct JsonSupply {
    stage: &'static str,
    name: &'static str,
    amount_l: Option<[f64; 2]>,
    optional: bool,
}

#[derive(Serialize)]
struct JsonTask<'a> {
    task: &'static str,
    bed: Option<usize>,
    text: &'a str,
}

#[derive(Serialize)]
struct JsonHarm<'a> {
    name: &'a str,
    harm: Option<&'a str>,
    source: Option<&'a str>,
}

impl Work {
    /// The work as one JSON object, without line breaks. Arrays of three are low, typical and high, or the 10th, 50th
    /// and 90th percentile; what is not known is null.
    ///
    /// ```
    /// use fairspell::{plant::PlantTable, site::Site, work::Work};
    /// let work = Work::of(&Site::default(), &PlantTable::built_in())?;
    /// assert!(work.to_json().starts_with("{\"schema\":\"fairspell.work/1\",\"beds\":[{\"kind\":\"hybrid tea\""));
    /// # Ok::<(), fairspell::error::FileError>(())
    /// ```
    #[must_use]
    pub fn to_json(&self) -> String {
        written(&self.json())
    }

    pub(crate) fn json(&self) -> Root<'_> {
        Root {
            schema: "fairspell.work/1",
            beds: self.beds.iter().map(bed).collect(),
            hours: range(self.labour.total_min.map(|minutes| minutes / 60.0)),
            minutes: minutes(&self.labour),
            oil_hours_needed: self.labour.spraying.map(|spraying| spraying.hours_needed()),
            mix: self.mix.as_ref().map(mix),
            supplies: self.supplies.iter().map(supply).collect(),
            tasks: self.tasks.iter().map(task).collect(),
            cautions: &self.cautions,
            sensitive: self.harms.iter().map(harm).collect(),
            notices: self.notes.iter().map(ToString::to_string).collect(),
        }
    }
}

fn bed(bed: &Bed) -> JsonBed<'_> {
    let inches = |length: Quantity| length.unit.convert(length.value, Unit::InchOfLength);
    JsonBed {
        kind: &bed.kind,
        row: &bed.row,
        size: &bed.size,
        count: bed.count,
        prune: bed.prune.name(),
        winter_cut: if bed.is_due { "due" } else { "skipped" },
        when: &bed.when,
        how: &bed.how,
        never: bed.never.as_deref(),
        left_in: bed.left.map(|left| left.map(inches)),
        removed_pct: bed.removed.map(|removed| removed.map(Quantity::si)),
        minutes_each: bed.minutes,
        oil: bed.oil.name(),
        oiled: bed.is_oiled,
        spray_each_l: bed.spray.map(Volume::litres),
        steps: bed.steps.iter().map(step).collect(),
        source: &bed.source,
        basis: &bed.basis,
    }
}

fn step(step: &Step) -> JsonStep<'_> {
    JsonStep {
        code: step.code,
        text: &step.text,
        source: step.source,
    }
}

fn range(range: Range) -> JsonRange {
    JsonRange {
        p10: range.low,
        p50: range.median,
        p90: range.high,
    }
}

fn minutes(labour: &Labour) -> JsonMinutes {
    let of = |value: fn(&super::SprayingTime) -> f64| labour.spraying.as_ref().map_or(0.0, value);
    JsonMinutes {
        prune: range(
            labour
                .pruning
                .map_or_else(Range::default, |pruning| pruning.range_min),
        ),
        clean_up: range(labour.clean_up_min),
        leaves_not_in_total: labour.leaves_min,
        set_up: of(|spraying| spraying.set_up_min),
        fill: of(|spraying| spraying.fill_min),
        walk: of(|spraying| spraying.walk_min),
        spray: labour
            .spraying
            .map_or([0.0; 3], |spraying| spraying.spray_min),
        rinse: of(|spraying| spraying.rinse_min),
        total: range(labour.total_min),
    }
}

fn mix(mix: &Mix) -> JsonMix {
    let totals = mix.totals();
    JsonMix {
        rate_pct_of_finished_spray: mix.rate_pct,
        tank_l: mix.tank.litres(),
        tank_us_gal: mix.tank.us_gallons(),
        finished_l: mix.finished.map(Volume::litres),
        finished_us_gal: mix.finished.map(Volume::us_gallons),
        oil_ml: totals.map(|load| load.oil.millilitres()),
        oil_us_fl_oz: totals.map(|load| load.oil.us_fluid_ounces()),
        water_l: totals.map(|load| load.water.litres()),
        most_by_hand_l: mix.most_by_hand.litres(),
        loads: mix.loads(),
        full_loads: mix.full_loads,
        full: mix.full.map(load),
        last: mix.last.map(load),
    }
}

fn load(load: Load) -> JsonLoad {
    JsonLoad {
        finished_l: load.finished.litres(),
        finished_us_gal: load.finished.us_gallons(),
        oil_ml: load.oil.millilitres(),
        oil_us_fl_oz: load.oil.us_fluid_ounces(),
        water_l: load.water.litres(),
        water_us_gal: load.water.us_gallons(),
    }
}

fn supply(supply: &Supply) -> JsonSupply {
    JsonSupply {
        stage: Stage::name(supply.stage),
        name: supply.name,
        amount_l: supply.amount.map(|amount| amount.map(Volume::litres)),
        optional: supply.is_optional,
    }
}

fn task(task: &Task) -> JsonTask<'_> {
    JsonTask {
        task: task.kind.name(),
        bed: task.bed,
        text: &task.text,
    }
}

fn harm(harm: &Harm) -> JsonHarm<'_> {
    JsonHarm {
        name: &harm.name,
        harm: harm.harm.as_deref(),
        source: harm.source.as_deref(),
    }
}
