//! The plan as an iCalendar file (RFC 5545): an all-day event an interval, a to-do a task.

use chrono::{Days, NaiveDate};
use fairspell::season::{Dates, PlantSeason};
use fairspell::work::{Task, TaskKind};

use super::{Plan, words};
use crate::calendar::{Lines, fnv_1a, utc};

/// The calendar. The to-dos are always there, so that it is never empty, which is not allowed.
pub fn calendar(plan: &Plan<'_>) -> String {
    let mut lines = Lines(String::new());
    lines.put("BEGIN", "VCALENDAR");
    lines.put("VERSION", "2.0");
    lines.put("PRODID", "-//fairspell//fairspell//EN");
    lines.put("CALSCALE", "GREGORIAN");
    for (index, plant) in plan.season.plants.iter().enumerate() {
        let number = plan.season.plants.iter().take(index + 1);
        let number = number
            .filter(|other| other.plant.name == plant.plant.name)
            .count();
        let name = &plant.plant.name;
        if let Ok(prune) = plant.prune {
            let text = prune_text(plan, plant);
            let key = format!("prune-{number}");
            event(
                &mut lines,
                plan,
                (&key, name),
                (prune.dates, "Prune", &text),
            );
        }
        if let Ok(oil) = plant.oil {
            let text = oil_text(plan, plant);
            let key = format!("oil-{number}");
            event(&mut lines, plan, (&key, name), (oil, "Dormant oil", &text));
        }
    }
    for (task, number) in plan.season.work.tasks.iter().zip(1_usize..) {
        to_do(&mut lines, plan, (task, number));
    }
    lines.put("END", "VCALENDAR");
    lines.0
}

fn event(
    lines: &mut Lines,
    plan: &Plan<'_>,
    (key, kind): (&str, &str),
    (dates, summary, text): (Dates, &str, &str),
) {
    let end = dates.to.checked_add_days(Days::new(1)).unwrap_or(dates.to);
    lines.put("BEGIN", "VEVENT");
    lines.put("UID", &uid(plan, key, kind));
    lines.put("DTSTAMP", &utc(plan.now));
    lines.put("DTSTART;VALUE=DATE", &day(dates.from));
    lines.put("DTEND;VALUE=DATE", &day(end)); // the first day that is no longer in it
    lines.text("SUMMARY", &format!("{summary}: {kind}"));
    if let Some(site) = &plan.site.name {
        lines.text("LOCATION", site);
    }
    lines.text("DESCRIPTION", text);
    lines.put("TRANSP", "TRANSPARENT");
    lines.put("END", "VEVENT");
}

fn prune_text(plan: &Plan<'_>, plant: &PlantSeason) -> String {
    let mut text = vec![format!("Prune {}.", words::prune(plant))];
    let best = plant.prune.ok().map(|prune| prune.best);
    text.extend(best.and_then(|best| words::risk(plant, best)));
    text.extend(words::buds(plant).map(|buds| format!("Buds {buds}.")));
    ended(plan, text)
}

fn oil_text(plan: &Plan<'_>, plant: &PlantSeason) -> String {
    let mut text = vec![format!("Spray dormant oil {}.", words::oil(plant))];
    text.extend(words::mix(plan));
    text.extend(words::insects(&plan.season));
    ended(plan, text)
}

/// A text with what must be said, and the cautions.
fn ended(plan: &Plan<'_>, mut text: Vec<String>) -> String {
    text.extend(words::notes(&plan.season));
    let cautions = plan.season.work.cautions.iter();
    text.extend(cautions.map(|caution| caution.text.to_owned()));
    text.join("\n")
}

fn to_do(lines: &mut Lines, plan: &Plan<'_>, (task, number): (&Task, usize)) {
    if task.kind == TaskKind::Skip {
        return;
    }
    let bed = task.bed.and_then(|bed| plan.season.work.beds.get(bed));
    let kind = bed.map_or("", |bed| bed.kind.as_str());
    let key = format!("task-{}-{}", task.kind.name(), task.bed.unwrap_or(0));
    lines.put("BEGIN", "VTODO");
    lines.put("UID", &uid(plan, &key, kind));
    lines.put("DTSTAMP", &utc(plan.now));
    lines.text("SUMMARY", &format!("{number}. {}", summary(task, kind)));
    lines.text("DESCRIPTION", &told(plan, task));
    if let Some(due) = due(plan, task) {
        lines.put("DUE;VALUE=DATE", &day(due));
    }
    lines.put("STATUS", "NEEDS-ACTION");
    lines.put("END", "VTODO");
}

/// What to do; with the first task the answer and what must be said, also where there is no date and so no event.
fn told(plan: &Plan<'_>, task: &Task) -> String {
    if task.kind != TaskKind::Prepare {
        return task.text.clone();
    }
    let mut text = vec![task.text.clone()];
    text.extend(words::answer(&plan.season));
    ended(plan, text)
}

fn summary(task: &Task, kind: &str) -> String {
    match task.kind {
        TaskKind::Prepare => "Read the label, lay out the tools".to_owned(),
        TaskKind::Prune | TaskKind::Skip => format!("Prune {kind}"),
        TaskKind::CleanUp => "Clean up".to_owned(),
        TaskKind::Mix => "Mix the spray".to_owned(),
        TaskKind::Oil => format!("Spray {kind} with oil"),
        TaskKind::Soil => "Spray the soil".to_owned(),
        TaskKind::Finish => "Rinse, wash, write the log".to_owned(),
    }
}

/// When a task is due: pruning on the best day, oil on the last fit one; what comes before and after them with the first
/// and the last of these.
fn due(plan: &Plan<'_>, task: &Task) -> Option<NaiveDate> {
    let plants = &plan.season.plants;
    let best = |plant: &PlantSeason| plant.prune.ok().map(|prune| prune.best);
    let spray = |plant: &PlantSeason| plant.oil.ok().map(|oil| oil.to);
    let own = || plants.get(task.bed?);
    let all = |of: fn(&PlantSeason) -> Option<NaiveDate>| plants.iter().filter_map(of);
    match task.kind {
        TaskKind::Prune => best(own()?),
        TaskKind::Oil => spray(own()?),
        TaskKind::CleanUp => all(best).max(),
        TaskKind::Mix => all(spray).min(),
        TaskKind::Soil => all(spray).max(),
        TaskKind::Prepare => all(best).chain(all(spray)).min(),
        TaskKind::Finish => all(best).chain(all(spray)).max(),
        TaskKind::Skip => None,
    }
}

/// What it is, season, and a short name of kind, place and station: the same when asked again.
fn uid(plan: &Plan<'_>, key: &str, kind: &str) -> String {
    let place = plan.site.name.as_deref().unwrap_or_default();
    let name = format!("{kind}\n{place}\n{}", plan.season.station);
    format!(
        "season-{}-{key}-{:016x}@fairspell",
        plan.season.year,
        fnv_1a(name.as_bytes())
    )
}

fn day(date: NaiveDate) -> String {
    date.format("%Y%m%d").to_string()
}
