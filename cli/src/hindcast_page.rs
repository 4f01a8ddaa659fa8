//! Past hours as one page of HTML: no script, nothing fetched, readable on a phone, on paper and by ear.
//!
//! What the record held comes first, then what hindered, the picture of [`crate::hindcast_picture`], seasons, odds, the log
//! and every spell. Every text from outside is escaped.

use fairspell::decision::Units;
use fairspell::hindcast::{Hindcast, ODDS_DAYS, Odds};
use fairspell::quantity::decimals;

use crate::freeze_page::STYLE;
use crate::hindcast_forecasts::{COLUMNS, LEGEND, cells, scores, site_file, summary, unit_of};
use crate::hindcast_picture::inline_svg;
use crate::hindcast_text::{counts, spells};
use crate::hindcast_words::{
    date, full_moment, headline, log_head, log_reasons, nearest, share, unchecked,
};
use crate::markup::Page;
use crate::picture::ink::xml;

/// Most spells that are listed; the others are counted.
const MAX_SPELLS: usize = 2000;

/// The page.
pub fn html(answer: &Hindcast, units: Units) -> String {
    let mut page = Page::new(&headline(answer), STYLE);
    let title = xml(&headline(answer));
    page.put(&format!(
        "<header>\n<h1>{title}</h1>\n</header>\n<ul class=\"first\">"
    ));
    for words in [counts(answer), spells(answer)] {
        page.put(&format!("<li>{}</li>", xml(&words)));
    }
    page.put("</ul>");
    log(&mut page, answer, units);
    forecasts(&mut page, answer, units);
    page.put("<section class=\"chart\">\n<h2>Weeks and years</h2>");
    page.picture("Picture of the weeks", &inline_svg(answer));
    page.put("</section>");
    rules(&mut page, answer);
    seasons(&mut page, answer);
    odds(&mut page, answer);
    all_spells(&mut page, answer);
    let mut notices: Vec<String> = unchecked(answer).into_iter().collect();
    notices.extend(answer.notices.iter().cloned());
    page.list("What else to know", &notices);
    let cautions = answer
        .operation
        .cautions
        .iter()
        .map(|caution| caution.text.to_owned());
    page.list("Cautions", &cautions.collect::<Vec<_>>());
    page.end()
}

fn log(page: &mut Page, answer: &Hindcast, units: Units) {
    if answer.log.is_empty() {
        return;
    }
    page.put("<section>\n<h2>What was done</h2>\n<ul>");
    for entry in &answer.log {
        page.put(&format!("<li>{}", xml(&log_head(entry))));
        let mut more = log_reasons(entry, units);
        more.extend(entry.nearest.iter().map(|spell| nearest(answer, spell)));
        if !more.is_empty() {
            page.put("<ul>");
            for words in more {
                page.put(&format!("<li>{}</li>", xml(&words)));
            }
            page.put("</ul>");
        }
        page.put("</li>");
    }
    page.put("</ul>\n</section>");
}

fn rules(page: &mut Page, answer: &Hindcast) {
    let heads = ["Rule", "Hours", "Share of the record", "Hours alone"];
    page.put("<section>\n<h2>What hindered</h2>");
    page.table(
        "rules",
        "Hindered hours in which each blocking rule failed",
        &heads,
    );
    for cost in &answer.by_rule {
        let name = answer
            .operation
            .rules
            .get(cost.rule)
            .map_or("", |rule| rule.name.as_str());
        let cells = [
            cost.hours.to_string(),
            share(cost.hours, answer.hours.all()),
            cost.alone.to_string(),
        ];
        page.row(name, &cells);
    }
    page.end_table();
    page.put("</section>");
}

fn seasons(page: &mut Page, answer: &Hindcast) {
    let caption = format!(
        "Seasons, {} to {}",
        date(answer.span.from),
        date(answer.span.to)
    );
    let heads = [
        "Season",
        "Fair hours",
        "Usable days",
        "Spells",
        "First chance",
        "Last chance",
        "Unsure",
    ];
    page.put("<section>\n<h2>Seasons</h2>");
    page.table("seasons", &caption, &heads);
    for season in &answer.seasons {
        let chance = |time: Option<i64>| {
            time.map_or("none".to_owned(), |time| full_moment(time, answer.zone))
        };
        let unsure = match (season.may_hide, season.is_whole) {
            (false, _) => "no",
            (true, true) => "unknown hours may hide an earlier or later chance",
            (true, false) => "the record does not hold the whole season",
        };
        let cells = [
            season.hours.fair.to_string(),
            format!("{} of {}", season.days.usable, season.days.days),
            season.spells.to_string(),
            chance(season.first_chance),
            chance(season.last_chance),
            unsure.to_owned(),
        ];
        page.row(&season.year.to_string(), &cells);
    }
    page.end_table();
    page.put("</section>");
}

fn odds(page: &mut Page, answer: &Hindcast) {
    let caption = "Years with at least one spell in the days from a date on, of those whose days the record holds: share and \
        95 % interval (Wilson); unknown hours count as unfit";
    let heads = ODDS_DAYS.map(|days| match days {
        1 => "on the day".to_owned(),
        days => format!("in {days} days"),
    });
    let heads: Vec<&str> = ["From"]
        .into_iter()
        .chain(heads.iter().map(String::as_str))
        .collect();
    page.put("<section>\n<h2>Odds</h2>");
    page.table("odds", caption, &heads);
    let listed = answer.listed_odds();
    for of_date in listed.chunk_by(|a, b| a.from == b.from) {
        let cells = ODDS_DAYS.map(|days| {
            let odds = of_date.iter().find(|odds| odds.days == days);
            odds.map_or_else(|| "no year".to_owned(), odds_cell)
        });
        let from = of_date
            .first()
            .map_or(String::new(), |odds| date(odds.from));
        page.row(&from, &cells);
    }
    page.end_table();
    page.put("</section>");
}

fn odds_cell(odds: &Odds) -> String {
    let percent = |share: f64| decimals(100.0 * share, 0);
    let undecided = match odds.undecided {
        0 => String::new(),
        count => format!(", {count} undecided"),
    };
    format!(
        "{} of {}{undecided}: {} % ({} to {} %)",
        odds.hits,
        odds.years,
        odds.probability.map_or(String::new(), percent),
        percent(odds.interval_95.0),
        percent(odds.interval_95.1)
    )
}

fn forecasts(page: &mut Page, answer: &Hindcast, units: Units) {
    let Some(record) = &answer.forecasts else {
        return;
    };
    let unit = unit_of(record, units);
    page.put("<section>\n<h2>Forecasts kept</h2>");
    page.put(&format!("<p>{}</p>", xml(&summary(record, answer.zone))));
    if !record.leads.is_empty() {
        page.table("leads", LEGEND, &COLUMNS);
        for lead in &record.leads {
            let [head, cells @ ..] = cells(lead, unit);
            page.row(&head, &cells);
        }
        page.end_table();
    }
    let scores = scores(record, unit);
    if !scores.is_empty() {
        let items: Vec<String> = scores
            .iter()
            .map(|words| format!("<li>{}</li>", xml(words)))
            .collect();
        page.put(&format!("<ul>{}</ul>", items.concat()));
    }
    match site_file(record, unit) {
        Ok(table) => {
            let lines: Vec<String> = table.lines().map(xml).collect();
            let lines = lines.join("\n");
            page.put(&format!("<p>For the site file:</p>\n<pre>{lines}</pre>"));
        }
        Err(why) => page.put(&format!("<p>{}</p>", xml(&why))),
    }
    page.put("</section>");
}

fn all_spells(page: &mut Page, answer: &Hindcast) {
    page.put("<section>\n<h2>Spells</h2>\n<details>\n<summary>All spells</summary>");
    page.table(
        "spells",
        "Runs of fair hours that are long enough",
        &["From", "To", "Hours", "Best from"],
    );
    let when = |time: i64| full_moment(time, answer.zone);
    for spell in answer.spells.iter().take(MAX_SPELLS) {
        let cells = [
            when(spell.end),
            spell.hours().to_string(),
            when(spell.best_start),
        ];
        page.row(&when(spell.start), &cells);
    }
    page.end_table();
    if answer.spells.len() > MAX_SPELLS {
        let more = answer.spells.len() - MAX_SPELLS;
        page.put(&format!(
            "<p class=\"small\">{more} more are in --format json and csv.</p>"
        ));
    }
    page.put("</details>\n</section>");
}
