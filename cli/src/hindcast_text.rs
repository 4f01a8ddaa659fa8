//! Past hours for people: what the record held first, then what hindered, the seasons, the weeks and the log.

use fairspell::decision::Units;
use fairspell::error::escaped;
use fairspell::hindcast::{Counts, Hindcast, LogAnswer, Season};
use fairspell::quantity::{counted, decimals};

use crate::hindcast_forecasts::{COLUMNS, LEGEND, cells, scores, site_file, summary, unit_of};
use crate::hindcast_words::{
    date, headline, log_head, log_reasons, moment, nearest, share, spell_words, unchecked,
};
use crate::words::wrapped;

/// Weeks ahead whose odds are shown.
const SHOWN_ODDS: [u32; 2] = [7, 14];
/// Seasons that are listed; earlier ones are counted.
const MAX_SEASONS: usize = 12;

/// The answer for one station, ended by a line break.
pub fn text(answer: &Hindcast, units: Units) -> String {
    let mut lines = vec![wrapped("", &headline(answer))];
    lines.push(wrapped("", &counts(answer)));
    lines.push(wrapped("", &spells(answer)));
    rules(&mut lines, answer);
    seasons(&mut lines, answer);
    weeks(&mut lines, answer);
    log(&mut lines, answer, units);
    forecasts(&mut lines, answer, units);
    lines.push(String::new());
    lines.extend(unchecked(answer).iter().map(|words| wrapped("- ", words)));
    lines.extend(answer.notices.iter().map(|notice| wrapped("- ", notice)));
    let cautions = answer
        .operation
        .cautions
        .iter()
        .take(fairspell::operation::ALWAYS);
    lines.extend(cautions.map(|caution| wrapped("- ", caution.text)));
    lines.join("\n").trim_end().to_owned() + "\n"
}

/// Hours and days of each sort.
pub fn counts(answer: &Hindcast) -> String {
    let Counts {
        fair,
        hindered,
        unknown,
    } = answer.hours;
    let all = answer.hours.all();
    let days = answer.days;
    let undecided = if days.undecided > 0 {
        format!(" ({} undecided)", days.undecided)
    } else {
        String::new()
    };
    format!(
        "{fair} hours fair ({}), {hindered} hindered ({}), {unknown} unknown ({}); {} of {} days usable{undecided}.",
        share(fair, all),
        share(hindered, all),
        share(unknown, all),
        days.usable,
        days.days
    )
}

/// How many spells, and the longest.
pub fn spells(answer: &Hindcast) -> String {
    let needed = answer.hours_needed();
    match answer.longest() {
        None => format!("No spell of {needed} h or more."),
        Some(longest) => format!(
            "{} of {needed} h or more; the longest {}.",
            counted(answer.spells.len() as u64, "spell", "spells"),
            spell_words(answer, longest)
        ),
    }
}

fn rules(lines: &mut Vec<String>, answer: &Hindcast) {
    let mut costs = answer.by_rule.clone();
    costs.retain(|cost| cost.hours > 0);
    costs.sort_by_key(|cost| (core::cmp::Reverse(cost.hours), cost.rule));
    if costs.is_empty() {
        return;
    }
    lines.push(String::new());
    lines.push(format!(
        "{:<46}{:>10}{:>8}{:>8}",
        "What hindered", "hours", "share", "alone"
    ));
    for cost in costs {
        let name = answer
            .operation
            .rules
            .get(cost.rule)
            .map_or("", |rule| rule.name.as_str());
        let share = share(cost.hours, answer.hours.all());
        lines.push(format!(
            "  {:<44}{:>10}{share:>8}{:>8}",
            cut(name, 44),
            cost.hours,
            cost.alone
        ));
    }
}

fn seasons(lines: &mut Vec<String>, answer: &Hindcast) {
    if answer.seasons.is_empty() {
        return;
    }
    lines.push(String::new());
    lines.push(format!(
        "Seasons, {} to {}",
        date(answer.span.from),
        date(answer.span.to)
    ));
    lines.push(format!(
        "  {:<8}{:>8}{:>14}{:>8}  {:<15}last chance",
        "year", "fair h", "usable days", "spells", "first chance"
    ));
    let hidden = answer.seasons.len().saturating_sub(MAX_SEASONS);
    for season in answer.seasons.iter().skip(hidden) {
        lines.push(season_row(answer, season));
    }
    if hidden > 0 {
        let words = counted(hidden as u64, "earlier season is", "earlier seasons are");
        let words = format!("{words} in --format json");
        lines.push(wrapped("  ", &words));
    }
    if answer.seasons.iter().any(|season| season.may_hide) {
        let words = "* the record does not hold the whole season, or unknown hours may hide an earlier or later chance";
        lines.push(wrapped("  ", words));
    }
}

fn season_row(answer: &Hindcast, season: &Season) -> String {
    let mark = if season.may_hide { "*" } else { "" };
    let chance =
        |time: Option<i64>| time.map_or("none".to_owned(), |time| moment(time, answer.zone));
    let days = format!("{} of {}", season.days.usable, season.days.days);
    format!(
        "  {:<8}{:>8}{days:>14}{:>8}  {:<15}{:<15}",
        format!("{}{mark}", season.year),
        season.hours.fair,
        season.spells,
        chance(season.first_chance),
        chance(season.last_chance)
    )
    .trim_end()
    .to_owned()
}

fn weeks(lines: &mut Vec<String>, answer: &Hindcast) {
    lines.push(String::new());
    lines.push(format!(
        "{:<14}{:>8}{:>13}{:>9}{:>17}{:>17}",
        "Week from", "fair h", "usable days", "spells", "odds in 7 days", "in 14 days"
    ));
    for week in answer.weeks_of_the_year() {
        let Some(start) = week.starts().filter(|start| answer.span.has(*start)) else {
            continue;
        };
        if week.days.days == 0 {
            continue;
        }
        let days = format!("{} of {}", week.days.usable, week.days.days);
        let odds = SHOWN_ODDS.map(|ahead| {
            let odds = answer.odds(start, ahead);
            let percent = |share: f64| decimals(100.0 * share, 0);
            odds.probability.map_or("-".to_owned(), |share| {
                let (low, high) = odds.interval_95;
                format!("{} % ({}–{})", percent(share), percent(low), percent(high))
            })
        });
        let [seven, fourteen] = odds;
        lines.push(format!(
            "  {:<12}{:>8}{days:>13}{:>9}{seven:>17}{fourteen:>17}",
            date(start),
            week.hours.fair,
            week.spells
        ));
    }
    lines.push(wrapped(
        "  ",
        "Odds: the share of years with at least one spell, and its 95 % interval; unknown hours count as unfit.",
    ));
}

fn log(lines: &mut Vec<String>, answer: &Hindcast, units: Units) {
    if answer.log.is_empty() {
        return;
    }
    lines.push(String::new());
    lines.push("What was done".to_owned());
    for entry in &answer.log {
        entry_lines(lines, (answer, units), entry);
    }
}

fn entry_lines(lines: &mut Vec<String>, (answer, units): (&Hindcast, Units), entry: &LogAnswer) {
    lines.push(wrapped("  ", &log_head(entry)));
    let reasons = log_reasons(entry, units);
    lines.extend(reasons.iter().map(|reason| wrapped("    ", reason)));
    if let Some(spell) = &entry.nearest {
        lines.push(wrapped("    ", &nearest(answer, spell)));
    }
}

fn forecasts(lines: &mut Vec<String>, answer: &Hindcast, units: Units) {
    let Some(record) = &answer.forecasts else {
        return;
    };
    let unit = unit_of(record, units);
    lines.push(String::new());
    lines.push("Forecasts kept".to_owned());
    lines.push(wrapped("  ", &summary(record, answer.zone)));
    if !record.leads.is_empty() {
        lines.push(lead_row(&COLUMNS.map(str::to_owned)));
        let rows = record.leads.iter();
        lines.extend(rows.map(|lead| lead_row(&cells(lead, unit))));
        lines.push(wrapped("  ", LEGEND));
    }
    lines.extend(
        scores(record, unit)
            .iter()
            .map(|words| wrapped("  - ", words)),
    );
    match site_file(record, unit) {
        Ok(table) => {
            lines.push("  For the site file:".to_owned());
            lines.push(String::new());
            lines.push(table.trim_end().to_owned());
        }
        Err(why) => lines.push(wrapped("  ", &why)),
    }
}

fn lead_row([lead, forecasts, mean, bias, spread, assumed]: &[String; 6]) -> String {
    format!("  {lead:<13}{forecasts:>9}{mean:>12}{bias:>14}{spread:>15}{assumed:>15}")
        .trim_end()
        .to_owned()
}

/// A text of at most so many letters.
fn cut(text: &str, most: usize) -> String {
    let text = escaped(text);
    if text.chars().count() <= most {
        return text;
    }
    text.chars().take(most - 1).chain(['…']).collect()
}
