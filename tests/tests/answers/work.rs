//! The work of a garden, from the site file and the plants table to minutes, spray, supplies and tasks.
//!
//! Source of what must come out: the project's handbook, trade, section by section in each test.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test may stop at the first surprise"
)]

use std::sync::LazyLock;

use approx::assert_abs_diff_eq;
use fairspell::plant::PlantTable;
use fairspell::quantity::Unit;
use fairspell::read::Source;
use fairspell::site::Site;
use fairspell::work::{Interval, Load, Mix, TaskKind, Volume, Work, WorkNote, split};
use fairspell_tests::scenario::runner;
use proptest::prelude::*;

/// Twelve bush roses, three climbers, two semi-dwarf apples: the garden of the demo and of the handbook's check.
const DEMO: &[u8] = include_bytes!("../../../data/demo/site.toml");

static TABLE: LazyLock<PlantTable> = LazyLock::new(PlantTable::built_in);

fn work_of(garden: &str) -> Work {
    work_of_bytes(garden.as_bytes())
}

fn work_of_bytes(bytes: &[u8]) -> Work {
    let site = Site::read(Source {
        name: "site.toml",
        bytes,
    })
    .unwrap();
    Work::of(&site, &TABLE).unwrap()
}

fn kinds(work: &Work, kind: TaskKind) -> Vec<&str> {
    let tasks = work.tasks.iter().filter(|task| task.kind == kind);
    tasks
        .map(|task| work.beds[task.bed.unwrap()].kind.as_str())
        .collect()
}

fn codes(work: &Work) -> Vec<&'static str> {
    work.cautions.iter().map(|caution| caution.code).collect()
}

/// Handbook, trade, §6, *Check*: M = 352.70 min, 348.46 (213.29 to 569.30) min, 6.46 gal, 2 fills, 10.4 h
/// (6.9 to 16.1).
#[test]
fn the_garden_of_the_demo_agrees_with_the_handbook() {
    let work = work_of_bytes(DEMO);
    let pruning = work.labour.pruning.unwrap();
    assert_abs_diff_eq!(pruning.mean_min, 352.70, epsilon = 0.005);
    assert_abs_diff_eq!(pruning.range_min.median, 348.46, epsilon = 0.005);
    assert_abs_diff_eq!(pruning.range_min.low, 213.29, epsilon = 0.005);
    assert_abs_diff_eq!(pruning.range_min.high, 569.30, epsilon = 0.005);
    let mix = work.mix.unwrap();
    assert_abs_diff_eq!(mix.finished[1].us_gallons(), 6.46, epsilon = 1e-9);
    let spraying = work.labour.spraying.unwrap();
    assert_eq!(
        (mix.loads(), spraying.fills, work.oiled_plants()),
        (2, 2, 17)
    );
    assert_abs_diff_eq!(spraying.spray_min[1], 21.53, epsilon = 0.005);
    let hours = work.labour.total_min.map(|minutes| minutes / 60.0);
    assert_abs_diff_eq!(hours.median, 10.4, epsilon = 0.05);
    assert_abs_diff_eq!(hours.low, 6.9, epsilon = 0.05);
    assert_abs_diff_eq!(hours.high, 16.1, epsilon = 0.05);
    // Walking and spraying alone: (12·0.25 + 3·0.75 + 2·1.73)/0.3 + 8.5 = 37.5 min at most (§7).
    assert_eq!(spraying.hours_needed(), 1);
}

/// Handbook, trade, §7: 2 % of 4 gal is 10.24 US fl oz, of the other 2.46 gal 6.2976; labels mean finished spray.
#[test]
fn the_loads_of_the_demo_are_mixed_by_the_table() {
    let mix = work_of_bytes(DEMO).mix.unwrap();
    let (full, last) = (mix.full.unwrap(), mix.last.unwrap());
    assert_abs_diff_eq!(full.oil.us_fluid_ounces(), 10.24, epsilon = 1e-9);
    assert_abs_diff_eq!(full.water.us_gallons(), 3.92, epsilon = 1e-9);
    assert_abs_diff_eq!(last.oil.us_fluid_ounces(), 6.297_6, epsilon = 1e-9);
    assert_abs_diff_eq!(last.oil.up_to_quarter_fluid_ounce(), 6.5, epsilon = 1e-12);
}

/// Handbook, trade, §2 and §5: old, large, hardy trees first, peaches last; §4: skipped, not dropped; oil all the same.
#[test]
fn tasks_come_in_order_and_skipped_plants_stay() {
    let work = work_of(
        "[[garden]]\nkind = \"peach\"\n[[garden]]\nkind = \"rambler\"\n[[garden]]\nkind = \"hybrid tea\"\n\
         [[garden]]\nkind = \"forsythia\"\n[[garden]]\nkind = \"apple\"\nheight = \"20 ft\"\n",
    );
    assert_eq!(
        kinds(&work, TaskKind::Prune),
        ["apple, pear", "hybrid tea", "peach, nectarine"]
    );
    assert_eq!(
        kinds(&work, TaskKind::Skip),
        ["rambler", "spring-blooming shrub"]
    );
    assert_eq!(
        kinds(&work, TaskKind::Oil),
        ["apple, pear", "rambler", "hybrid tea", "peach, nectarine"]
    );
    let order: Vec<TaskKind> = work.tasks.iter().map(|task| task.kind).collect();
    let at = |kind| order.iter().position(|task| *task == kind).unwrap();
    assert!(
        at(TaskKind::Prune) < at(TaskKind::CleanUp) && at(TaskKind::CleanUp) < at(TaskKind::Mix)
    );
    assert!(at(TaskKind::Mix) < at(TaskKind::Oil) && at(TaskKind::Oil) < at(TaskKind::Finish));
    let texts: Vec<&str> = work.tasks.iter().map(|task| task.text.as_str()).collect();
    let has = |words: &str| texts.iter().any(|text| text.contains(words));
    assert!(has("Leave 18 in to 24 in.") && has("Take off 40 % to 50 % of last year's growth."));
    assert!(has("Only while fully dormant.") && has("No later than half an inch of green."));
    let skipped = work
        .tasks
        .iter()
        .find(|task| task.kind == TaskKind::Skip)
        .unwrap();
    assert!(
        skipped.text.contains("skipped, prune after bloom"),
        "{}",
        skipped.text
    );
}

/// Handbook, trade, §5: look, lower to two feet, dead wood, suckers, thin, crossing, outward, shape, leaves, wounds.
#[test]
fn the_steps_at_a_rose_come_in_the_handbooks_order() {
    let steps = |garden: &str| -> Vec<&'static str> {
        work_of(garden).beds[0]
            .steps
            .iter()
            .map(|step| step.code)
            .collect()
    };
    let lower = steps("[[garden]]\nkind = \"hybrid tea\"\n");
    let rest = [
        "suckers", "thin", "crossing", "outward", "shape", "strip", "wounds", "blades",
    ];
    assert_eq!(lower[..3], ["look", "lower", "dead"]);
    assert_eq!(lower[3..], rest);
    let dead = steps("[work]\nfirst-cut = \"dead wood\"\n[[garden]]\nkind = \"hybrid tea\"\n");
    assert_eq!(dead[..3], ["look", "dead", "lower"]);
    let young = steps("[[garden]]\nkind = \"climber\"\nfirst-year = true\n");
    assert_eq!(young, ["look", "dead", "strip", "wounds", "blades"]);
    assert_eq!(steps("[[garden]]\nkind = \"lilac\"\n"), ["look", "skip"]);
}

/// The contract, §6: without a garden the answer is for one hybrid tea rose, and says so. Handbook, trade, §6: 10 min.
#[test]
fn without_a_garden_it_is_one_hybrid_tea_and_said() {
    let work = work_of("zone = \"UTC\"\n");
    assert_eq!(
        (work.beds[0].kind.as_str(), work.beds[0].count),
        ("hybrid tea", 1)
    );
    assert!(work.notes.contains(&WorkNote::NoGarden));
    // One plant's median: M·exp(−σ²/2) gives the 10 min back.
    assert_abs_diff_eq!(
        work.labour.pruning.unwrap().range_min.median,
        10.0,
        epsilon = 1e-9
    );
}

/// Handbook, trade, §11: the first four always, the rest when they apply; §4: no oil for figs; §6: neglected trees.
#[test]
fn what_does_not_apply_is_not_said() {
    let fig = work_of("[[garden]]\nkind = \"fig\"\nneglected = true\nheight = \"6 ft\"\n");
    assert_eq!(
        codes(&fig),
        ["label", "local", "advice", "eyes", "blades", "disease"]
    );
    assert_eq!((fig.mix, fig.labour.spraying), (None, None));
    assert_eq!(fig.beds[0].minutes, Some([90.0, 150.0, 240.0]));
    assert!(
        fig.supplies
            .iter()
            .all(|supply| supply.name != "dormant oil")
    );
    let lilac = work_of("[[garden]]\nkind = \"lilac\"\noil = true\n");
    assert_eq!(lilac.labour.pruning, None);
    let all = [
        "label", "local", "advice", "eyes", "ppe", "bees", "water", "drift", "pets", "species",
        "sulphur",
    ];
    assert_eq!(codes(&lilac), all);
    assert!(codes(&work_of_bytes(DEMO)).contains(&"ladder"));
}

/// Handbook, trade, §1.2: blue spruce loses its bloom; what the table does not know is said as such.
#[test]
fn plants_that_oil_may_harm_are_named() {
    let work = work_of(
        "[spray]\nnear = [\"Blue spruce\", \"Gunnera\"]\n[[garden]]\nkind = \"azalea\"\noil = true\n",
    );
    let harms: Vec<_> = work
        .harms
        .iter()
        .map(|harm| (harm.name.as_str(), harm.harm.as_deref()))
        .collect();
    assert_eq!(harms[0].0, "Blue spruce");
    assert!(harms[0].1.unwrap().contains("bloom"));
    assert_eq!(harms[1], ("Gunnera", None));
    assert_eq!(harms[2], ("azalea", Some("may be burnt by oil")));
    assert!(
        work.notes
            .iter()
            .any(|note| matches!(note, WorkNote::OilOnWord { .. }))
    );
}

/// Handbook, trade, §7: soil takes 0.5 to 1 gal per 100 ft²; a crown of 10 × 8 ft 0.45 to 0.64 gal.
#[test]
fn soil_and_crowns_are_counted() {
    let soil = work_of("[spray]\nsoil = \"200 ft²\"\n[[garden]]\nkind = \"fig\"\n")
        .mix
        .unwrap();
    assert_abs_diff_eq!(soil.finished[0].us_gallons(), 1.0, epsilon = 1e-9);
    assert_abs_diff_eq!(soil.finished[2].us_gallons(), 2.0, epsilon = 1e-9);
    let plum =
        work_of("[[garden]]\nkind = \"plum\"\nheight = \"10 ft\"\nwidth = \"8 ft\"\ncount = 2\n");
    let mix = plum.mix.unwrap();
    assert_abs_diff_eq!(mix.finished[0].us_gallons(), 2.0 * 0.448, epsilon = 1e-9);
    assert_abs_diff_eq!(mix.finished[2].us_gallons(), 2.0 * 0.64, epsilon = 1e-9);
    assert_abs_diff_eq!(
        mix.most_by_hand.us_gallons(),
        1.5 * 2.0 * 0.64,
        epsilon = 1e-9
    );
}

/// RFC 8259 by a general reader; keys of the project's design: `lower_snake_case`, units in the key.
#[test]
fn the_json_holds_the_same_numbers() {
    let work = work_of_bytes(DEMO);
    let json: serde_json::Value = serde_json::from_str(&work.to_json()).unwrap();
    assert_eq!(json["schema"], "fairspell.work/1");
    assert_eq!(json["beds"][2]["size"], "semi-dwarf");
    assert_eq!(json["beds"][0]["left_in"], serde_json::json!([18.0, 24.0]));
    let number = |path: &str| {
        json.pointer(path)
            .and_then(serde_json::Value::as_f64)
            .unwrap()
    };
    assert_abs_diff_eq!(number("/hours/p50"), 10.4, epsilon = 0.05);
    assert_abs_diff_eq!(number("/mix/finished_us_gal/1"), 6.46, epsilon = 1e-9);
    assert_abs_diff_eq!(number("/mix/full/oil_us_fl_oz"), 10.24, epsilon = 1e-9);
    assert_eq!(json["notices"].as_array().unwrap().len(), work.notes.len());
    let source =
        |line: &fairspell::work::Explained| !line.source.is_empty() && !line.value.is_empty();
    assert!(work.explain().iter().all(source) && work.explain().len() > 15);
}

/// The contract on errors; the place counted by hand.
#[test]
fn an_unknown_plant_is_refused_with_the_nearest_names() {
    let bytes = b"[[garden]]\nkind = \"hybird tea\"\n";
    let site = Site::read(Source {
        name: "site.toml",
        bytes,
    })
    .unwrap();
    let message = Work::of(&site, &TABLE).unwrap_err().to_string();
    let begins = "site.toml:2:8: expected a kind of the plants table, nearest \"hybrid tea\", ";
    assert!(
        message.starts_with(begins) && message.ends_with("found \"hybird tea\""),
        "{message}"
    );
}

/// Random gardens of the built-in kinds.
fn beds() -> impl Strategy<Value = Vec<(usize, u32, bool)>> {
    prop::collection::vec((0..TABLE.plants.len(), 1..40_u32, any::<bool>()), 1..8)
}

fn garden(beds: &[(usize, u32, bool)], tank_l: f64) -> String {
    let entry = |(kind, count, neglected): &(usize, u32, bool)| {
        let name = &TABLE.plants[*kind].name;
        format!("[[garden]]\nkind = \"{name}\"\ncount = {count}\nneglected = {neglected}\n")
    };
    let entries: String = beds.iter().map(entry).collect();
    format!("[spray]\ntank = \"{tank_l:.3} l\"\n{entries}")
}

/// Issue: more plants never less time; one more plant of any bed, and one more bed, raise or leave each bound.
#[test]
fn more_plants_never_take_less_time() {
    let more = (
        beds(),
        any::<prop::sample::Index>(),
        (0..21_usize, 1..5_u32, any::<bool>()),
    );
    let result = runner(200, 41).run(&more, |(mut beds, at, new)| {
        let before = work_of(&garden(&beds, 8.0)).labour;
        let at = at.index(beds.len());
        beds[at].1 += 1;
        let grown = work_of(&garden(&beds, 8.0)).labour;
        beds.push(new);
        let wider = work_of(&garden(&beds, 8.0)).labour;
        for (less, more) in [(before, grown), (grown, wider)] {
            let (less, more) = (less.total_min, more.total_min);
            prop_assert!(
                less.low <= more.low && less.median <= more.median && less.high <= more.high
            );
        }
        Ok(())
    });
    result.unwrap();
}

/// Issue: volumes add up over loads; oil and water make the finished spray. Tolerance: a few roundings.
#[test]
fn volumes_add_up_over_loads() {
    let case = (0.001..5000.0_f64, 0.1..200.0_f64, 0.1..8.0_f64);
    let result = runner(2000, 42).run(&case, |(litres, tank, rate)| {
        let volume = Volume::of(litres, Unit::Litre);
        let mix = Mix::of([volume; 3], volume, (rate, Volume::of(tank, Unit::Litre)));
        let sum = |of: fn(Load) -> Volume| {
            let each = |load: Option<Load>| load.map_or(0.0, |load| of(load).litres());
            mix.full_loads as f64 * each(mix.full) + each(mix.last)
        };
        let near = |a: f64, b: f64| (a - b).abs() <= 1e-8 * litres.max(tank);
        prop_assert!(near(sum(|load| load.finished), litres));
        prop_assert!(near(sum(|load| load.oil), litres * rate / 100.0));
        prop_assert!(near(sum(|load| load.oil) + sum(|load| load.water), litres));
        prop_assert!(
            mix.last
                .is_none_or(|last| last.finished.litres() <= tank * 1.000_000_1)
        );
        prop_assert!(mix.loads() >= 1);
        Ok(())
    });
    result.unwrap();
}

/// Handbook, trade, §5: pruning before oil; every plant is in a stint or said to be left; no stint leaves its spell.
#[test]
fn a_split_loses_no_plant_and_leaves_no_spell() {
    let spells = || prop::collection::vec((0..200_i64, 1..9_u32), 0..6);
    let result = runner(300, 43).run(&(beds(), spells(), spells()), |(beds, prune, oil)| {
        let work = work_of(&garden(&beds, 8.0));
        let of = |spells: &[(i64, u32)]| -> Vec<Interval> {
            spells
                .iter()
                .map(|(hour, hours)| Interval {
                    start: hour * 3600,
                    hours: *hours,
                })
                .collect()
        };
        let (prune, oil) = (of(&prune), of(&oil));
        let plan = split(&work, &prune, &oil);
        for (at, bed) in work.beds.iter().enumerate() {
            for (kind, is_due, spells) in [
                (TaskKind::Prune, bed.is_due, &prune),
                (TaskKind::Oil, bed.is_oiled, &oil),
            ] {
                let own = || {
                    plan.stints
                        .iter()
                        .filter(|stint| stint.bed == at && stint.kind == kind)
                };
                let left = plan
                    .left
                    .iter()
                    .filter(|left| left.bed == at && left.kind == kind);
                let found = own().map(|stint| stint.count).sum::<u32>()
                    + left.map(|left| left.count).sum::<u32>();
                prop_assert_eq!(found, if is_due { bed.count } else { 0 });
                for stint in own() {
                    let end = stint.start as f64 + stint.minutes * 60.0;
                    let holds = |spell: &Interval| {
                        spell.start <= stint.start
                            && end <= spell.start as f64 + f64::from(spell.hours) * 3600.0 + 1.0
                    };
                    prop_assert!(spells.iter().any(holds), "{stint:?}");
                }
            }
        }
        for pair in plan.stints.windows(2) {
            let end = pair[0].start as f64 + pair[0].minutes * 60.0;
            prop_assert!(end <= pair[1].start as f64 + 1.0, "{pair:?}");
            prop_assert!(
                !(pair[0].kind == TaskKind::Oil && pair[1].kind == TaskKind::Prune),
                "{pair:?}"
            );
        }
        Ok(())
    });
    result.unwrap();
}
