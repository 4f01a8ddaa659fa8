//! The plan for people: the answer first, cautions last.

use fairspell::season::Season;

use super::{Plan, words};
use crate::lines::{Lines, left, right};
use crate::text::upper_first;

/// The whole plan, ended by a line break.
pub fn text(plan: &Plan<'_>, width: usize) -> String {
    let mut page = Lines::new(width);
    let season = &plan.season;
    page.append(&short(season, width));
    page.blank();
    page.wrapped(0, &words::title(plan));
    page.blank();
    plants(&mut page, plan);
    page.section("Freeze", &upper_first(&words::last_freeze(season)));
    if let Some(back_off) = words::back_off(season) {
        page.section("Back-off", &upper_first(&back_off));
    }
    if let Some(so_far) = words::so_far(plan) {
        page.section("So far", &upper_first(&so_far));
    }
    if let Some(insects) = words::insects(season) {
        page.section("Insects", &upper_first(&insects));
    }
    customs(&mut page, plan);
    work(&mut page, plan);
    for (index, note) in words::notes(season).iter().enumerate() {
        if index == 0 {
            page.blank();
        }
        page.section("Note", &upper_first(note));
    }
    explained(&mut page, plan);
    page.blank();
    for caution in &season.work.cautions {
        page.bullet(caution.text);
    }
    page.end()
}

/// The answer alone, in one or two sentences.
pub fn short(season: &Season, width: usize) -> String {
    let mut page = Lines::new(width);
    for sentence in words::answer(season) {
        page.wrapped(0, &sentence);
    }
    page.end()
}

/// A paragraph a kind.
fn plants(page: &mut Lines, plan: &Plan<'_>) {
    for plant in &plan.season.plants {
        page.wrapped(0, &format!("{} × {}", plant.count, plant.plant.name));
        page.section("  prune", &words::prune(plant));
        if let Some(prune) = plant.prune.ok()
            && let Some(damage) = words::damage_on(plant, prune.best)
            && let (Some(share), Some(range)) = (words::share(damage.share), words::range(damage))
        {
            page.more(&format!("damage on that day {share}, inferred, {range}"));
        }
        page.section("  oil", &words::oil(plant));
        if let Some(buds) = words::buds(plant) {
            page.section("  buds", &buds);
        }
        page.blank();
    }
}

/// The customs, from the least to the greatest harm.
fn customs(page: &mut Lines, plan: &Plan<'_>) {
    let season = &plan.season;
    page.blank();
    if season.customs.is_empty() {
        page.section("Customs", NO_CUSTOMS);
        return;
    }
    let kind = words::exposed_name(season);
    let head = format!(
        "from the least harm to the greatest, if {kind} is cut on the day: damage, inferred, and the risk that 32 °F is \
         still to come, each with its 95 % interval"
    );
    page.section("Customs", &head);
    let columns = [
        left("", 28),
        right("", 8),
        right("damage", 22),
        right("freeze to come", 21),
    ];
    let rows = season.customs.iter().map(|custom| {
        let [damage, freeze] = words::custom_risks(custom);
        let date = words::custom_date(custom);
        vec![custom.custom.name.to_owned(), date, damage, freeze]
    });
    page.table(&columns, &rows.collect::<Vec<_>>());
    let has_plants = season
        .customs
        .iter()
        .any(|custom| custom.custom.indicator().is_some());
    if has_plants {
        page.wrapped(
            2,
            "* in half of the years by then: the weather of the year says the day",
        );
    }
}

/// Why there are no customs.
pub const NO_CUSTOMS: &str = "those that are known are customs of the northern hemisphere";

fn work(page: &mut Lines, plan: &Plan<'_>) {
    let work = &plan.season.work;
    page.blank();
    list(page, "Work", &words::labour(plan));
    list(page, "Mix", &words::mix(plan));
    page.blank();
    page.wrapped(0, "What is needed, in the order of use");
    for supply in words::supplies(plan) {
        page.fill("[ ] ", 4, &supply);
    }
    page.blank();
    page.wrapped(0, "Tasks, in order");
    for (task, number) in work.tasks.iter().zip(1..) {
        page.fill(&format!("{number:2}. "), 4, &task.text);
    }
    for harm in words::harms(&plan.season) {
        page.section("Caution", &upper_first(&harm));
    }
}

fn list(page: &mut Lines, heading: &str, lines: &[String]) {
    for (index, line) in lines.iter().enumerate() {
        let heading = if index == 0 { heading } else { "" };
        page.section(heading, &upper_first(line));
    }
}

/// Every number with its source, if it was asked for.
fn explained(page: &mut Lines, plan: &Plan<'_>) {
    if plan.explained.is_empty() {
        return;
    }
    page.blank();
    page.wrapped(0, "Where each number comes from");
    for line in &plan.explained {
        page.bullet(&format!("{}: {}", line.what, line.value));
        page.wrapped(2, &format!("source: {}", line.source));
    }
}
