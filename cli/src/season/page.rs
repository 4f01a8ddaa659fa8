//! The plan as one page of HTML, to print and take outside: no script, nothing fetched, black on white.
//!
//! The answer comes first, then dates, picture, kinds, supplies and tasks to tick off, and the cautions. Every text from
//! outside is escaped.

use fairspell::season::PlantSeason;
use fairspell::work::{Bed, TaskKind};

use super::text::NO_CUSTOMS;
use super::{Plan, picture, words};
use crate::markup::Page;
use crate::picture::ink::xml;
use crate::text::upper_first;

/// Colours: text 17.2:1 on white, grey 7.5:1.
const STYLE: &str = "\
* { box-sizing: border-box; }
body { margin: 0; background: #fff; color: #1b1b1b; font: 1rem/1.45 sans-serif; overflow-wrap: break-word; }
main { max-width: 62rem; margin: 0 auto; padding: 1rem; }
h1 { font-size: 1.4rem; line-height: 1.3; margin: 0 0 .4rem; }
h2 { font-size: 1.15rem; margin: 1.6rem 0 .4rem; border-bottom: 1px solid #8a8a8a; }
h3 { font-size: 1rem; margin: .8rem 0 .2rem; }
p { margin: .3rem 0; }
ul, ol { margin: .3rem 0; padding-left: 1.4rem; }
.first { padding: .5rem .9rem; border: 2px solid #1b1b1b; font-size: 1.1rem; }
.small, caption, figcaption { font-size: .875rem; color: #555; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; min-width: 42rem; font-size: .9375rem; }
caption { text-align: left; padding: .2rem 0; }
th, td { text-align: left; vertical-align: top; padding: .25rem .8rem .25rem 0; border-bottom: 1px solid #cfcfcf; }
tbody th { font-weight: 600; }
.customs tr > :nth-child(-n+4) { white-space: nowrap; }
figure { margin: .5rem 0; }
figure svg { display: block; width: 100%; min-width: 50rem; height: auto; }
.ticks { list-style: none; padding-left: 0; }
ol.ticks { counter-reset: task; }
.ticks label { display: flex; gap: .5rem; padding: .1rem 0; }
.ticks input { appearance: none; flex: none; width: 1.05em; height: 1.05em; margin: .2em 0 0; border: 1.5px solid #1b1b1b; background: #fff; }
.ticks input:checked { background: linear-gradient(45deg, transparent 42%, #1b1b1b 42% 58%, transparent 58%), linear-gradient(-45deg, transparent 42%, #1b1b1b 42% 58%, transparent 58%); }
.ticks input:focus-visible { outline: 3px solid #1c3d6b; outline-offset: 2px; }
ol.ticks label span::before { counter-increment: task; content: counter(task) \". \"; font-weight: 600; }
.two { columns: 24rem 2; column-gap: 2rem; }
.narrow { display: none; }
@media (max-width: 52rem) { .narrow { display: block; } }
@page { margin: 12mm; }
@media print {
* { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
body { font-size: 9.5pt; line-height: 1.3; color: #000; }
main { max-width: none; padding: 0; }
.first { font-size: 11pt; }
.small, caption, figcaption { color: #000; font-size: 8.5pt; }
h1 { font-size: 14pt; }
h2 { font-size: 11.5pt; margin: .8rem 0 .2rem; }
.wide { overflow: visible; }
.narrow { display: none; }
table { min-width: 0; font-size: 8.5pt; }
figure svg { min-width: 0; max-height: 125mm; }
h2, h3, caption { break-after: avoid; }
figure, tr, li, .first { break-inside: avoid; }
th, td { padding: .12rem .5rem .12rem 0; }
.two { columns: 2; }
}
";

/// The page.
pub fn html(plan: &Plan<'_>) -> String {
    let mut page = Page::new(&words::title(plan), STYLE);
    let title = xml(&words::title(plan));
    page.put(&format!(
        "<header>\n<h1>{title}</h1>\n<div class=\"first\">"
    ));
    for sentence in words::answer(&plan.season) {
        page.put(&format!("<p>{}</p>", xml(&sentence)));
    }
    page.put("</div>\n</header>");
    kinds(&mut page, plan);
    chart(&mut page, plan);
    page.list("The place and the year", &place(plan));
    customs(&mut page, plan);
    page.list("How long it takes", &words::labour(plan));
    page.list("What to mix", &words::mix(plan));
    ticks(
        &mut page,
        "What is needed, in the order of use",
        ("ul", "ticks two"),
        &words::supplies(plan),
    );
    tasks(&mut page, plan);
    steps(&mut page, plan);
    page.list("Plants that oil may harm", &words::harms(&plan.season));
    let cautions = plan.season.work.cautions.iter();
    let cautions: Vec<String> = cautions.map(|caution| caution.text.to_owned()).collect();
    page.list("Cautions, the label first", &cautions);
    page.list("What else to know", &words::notes(&plan.season));
    explained(&mut page, plan);
    page.end()
}

fn kinds(page: &mut Page, plan: &Plan<'_>) {
    page.put("<section>\n<h2>When, kind by kind</h2>");
    let heads = ["Kind", "Prune", "Damage on the best day", "Oil", "Buds"];
    let caption = "Damage is inferred: the share of years in which shoots woken by the cut would have met a freeze, with \
        its 95 % interval, and its range over the known sums of degree days";
    page.table("kinds", caption, &heads);
    for plant in &plan.season.plants {
        let head = format!("{} × {}", plant.count, plant.plant.name);
        let buds = words::buds(plant).unwrap_or_else(|| "not known".to_owned());
        let [prune, oil] = [words::prune(plant), words::oil(plant)];
        let cells = [prune, damage(plant), oil, buds].map(|text| upper_first(&text));
        page.row(&head, &cells);
    }
    page.end_table();
    page.put("</section>");
}

fn damage(plant: &PlantSeason) -> String {
    let Ok(prune) = plant.prune else {
        return "no date to cut".to_owned();
    };
    words::damage_on(plant, prune.best)
        .and_then(|damage| {
            let (share, range) = (words::share(damage.share)?, words::range(damage)?);
            Some(format!("{share}; inferred, {range}"))
        })
        .unwrap_or_else(|| "not known".to_owned())
}

fn chart(page: &mut Page, plan: &Plan<'_>) {
    page.put("<section class=\"chart\">\n<h2>Damage and risk by date</h2>");
    page.picture("Picture of the season", &picture::inline_svg(plan));
    page.put("</section>");
}

fn place(plan: &Plan<'_>) -> Vec<String> {
    let season = &plan.season;
    let texts = [
        Some(words::last_freeze(season)),
        words::back_off(season).map(|words| format!("Back-off: {words}")),
        words::so_far(plan).map(|words| format!("So far: {words}")),
        words::insects(season),
    ];
    texts.into_iter().flatten().collect()
}

fn customs(page: &mut Page, plan: &Plan<'_>) {
    let season = &plan.season;
    page.put("<section class=\"customs\">\n<h2>Customs, best first</h2>");
    if season.customs.is_empty() {
        page.put(&format!(
            "<p>{}</p>\n</section>",
            xml(&upper_first(NO_CUSTOMS))
        ));
        return;
    }
    let kind = words::exposed_name(season);
    let caption = format!(
        "If {kind} is cut on the day: damage, inferred, and the risk that 32 °F is still to come, each with its 95 % \
         interval. * in half of the years by then: the weather of the year says the day"
    );
    page.table(
        "customs",
        &caption,
        &[
            "Custom",
            "Date",
            "Damage",
            "Freeze to come",
            "Where, and what for",
        ],
    );
    for custom in &season.customs {
        let [damage, freeze] = words::custom_risks(custom);
        let meaning = format!("{}: {}", custom.custom.region, custom.custom.meaning);
        let date = words::custom_date(custom);
        page.row(custom.custom.name, &[&date, &damage, &freeze, &meaning]);
    }
    page.end_table();
    page.put("</section>");
}

/// A list to tick off.
fn ticks(page: &mut Page, heading: &str, (list, class): (&str, &str), texts: &[String]) {
    if texts.is_empty() {
        return;
    }
    page.put(&format!(
        "<section>\n<h2>{}</h2>\n<{list} class=\"{class}\">",
        xml(heading)
    ));
    for text in texts {
        let text = xml(&upper_first(text));
        page.put(&format!(
            "<li><label><input type=\"checkbox\"><span>{text}</span></label></li>"
        ));
    }
    page.put(&format!("</{list}>\n</section>"));
}

fn tasks(page: &mut Page, plan: &Plan<'_>) {
    let tasks: Vec<String> = plan
        .season
        .work
        .tasks
        .iter()
        .filter(|task| task.kind != TaskKind::Skip)
        .map(|task| task.text.clone())
        .collect();
    ticks(page, "Tasks, in order", ("ol", "ticks"), &tasks);
    let skipped = plan.season.work.tasks.iter();
    let skipped = skipped.filter(|task| task.kind == TaskKind::Skip);
    let skipped: Vec<String> = skipped.map(|task| task.text.clone()).collect();
    page.list("Not now", &skipped);
}

/// The steps at one plant of each kind that is cut; the same steps stand once.
fn steps(page: &mut Page, plan: &Plan<'_>) {
    let due: Vec<&Bed> = plan
        .season
        .work
        .beds
        .iter()
        .filter(|bed| bed.is_due)
        .collect();
    let mut told: Vec<&Bed> = Vec::new();
    for bed in due {
        if told.iter().all(|other| other.steps != bed.steps) {
            told.push(bed);
        }
    }
    if told.is_empty() {
        return;
    }
    page.put("<section>\n<h2>At one plant</h2>");
    for bed in told {
        page.put(&format!("<h3>{}</h3>\n<ol>", xml(&upper_first(&bed.kind))));
        for step in &bed.steps {
            page.put(&format!("<li>{}</li>", xml(&step.text)));
        }
        page.put("</ol>");
    }
    page.put("</section>");
}

fn explained(page: &mut Page, plan: &Plan<'_>) {
    if plan.explained.is_empty() {
        return;
    }
    page.put("<section>\n<h2>Where each number comes from</h2>");
    page.table(
        "sources",
        "Every default with its source",
        &["What", "Value", "Source"],
    );
    for line in &plan.explained {
        page.row(&line.what, &[&line.value, &line.source]);
    }
    page.end_table();
    page.put("</section>");
}
