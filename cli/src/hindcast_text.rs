//! Past hours for people: what the record held first, then what hindered, the seasons, the weeks and the log.

use fairspell::decision::Units;
use fairspell::hindcast::{Counts, Hindcast, LogAnswer, Season};
use fairspell::quantity::{counted, decimals};

use crate::hindcast_forecasts::{COLUMNS, LEGEND, cells, scores, site_file, summary, unit_of};
use crate::hindcast_words::{
    date, headline, log_head, log_reasons, moment, nearest, share, spell_words, unchecked,
};
use crate::lines::{Lines, left, right};

/// Weeks ahead whose odds are shown.
const SHOWN_ODDS: [u32; 2] = [7, 14];
/// Seasons that are listed; earlier ones are counted.
const MAX_SEASONS: usize = 12;

/// The answer for one station, ended by a line break.
pub fn text(answer: &Hindcast, units: Units, width: usize) -> String {
    let mut lines = Lines::new(width);
    for words in [headline(answer), counts(answer), spells(answer)] {
        lines.wrapped(0, &words);
    }
    rules(&mut lines, answer);
    seasons(&mut lines, answer);
    weeks(&mut lines, answer);
    log(&mut lines, answer, units);
    forecasts(&mut lines, answer, units);
    lines.blank();
    for words in unchecked(answer).iter().chain(&answer.notices) {
        lines.bullet(words);
    }
    let cautions = answer.operation.cautions.iter();
    for caution in cautions.take(fairspell::operation::ALWAYS) {
        lines.bullet(caution.text);
    }
    lines.end()
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

fn rules(lines: &mut Lines, answer: &Hindcast) {
    let mut costs = answer.by_rule.clone();
    costs.retain(|cost| cost.hours > 0);
    costs.sort_by_key(|cost| (core::cmp::Reverse(cost.hours), cost.rule));
    if costs.is_empty() {
        return;
    }
    lines.blank();
    let columns = [
        left("What hindered", 46),
        right("hours", 10),
        right("share", 8),
        right("alone", 8),
    ];
    let rows = costs.iter().map(|cost| {
        let rule = answer.operation.rules.get(cost.rule);
        let name = rule.map_or("", |rule| rule.name.as_str());
        let share = share(cost.hours, answer.hours.all());
        vec![
            name.to_owned(),
            cost.hours.to_string(),
            share,
            cost.alone.to_string(),
        ]
    });
    lines.table(&columns, &rows.collect::<Vec<_>>());
}

fn seasons(lines: &mut Lines, answer: &Hindcast) {
    if answer.seasons.is_empty() {
        return;
    }
    lines.blank();
    let (from, to) = (date(answer.span.from), date(answer.span.to));
    lines.wrapped(0, &format!("Seasons, {from} to {to}"));
    let columns = [
        left("  year", 10),
        right("fair h", 8),
        right("usable days", 14),
        right("spells", 8),
        left("  first chance", 17),
        left("last chance", 15),
    ];
    let hidden = answer.seasons.len().saturating_sub(MAX_SEASONS);
    let rows = answer.seasons.iter().skip(hidden);
    let rows = rows.map(|season| season_row(answer, season));
    lines.table(&columns, &rows.collect::<Vec<_>>());
    if hidden > 0 {
        let words = counted(hidden as u64, "earlier season is", "earlier seasons are");
        let words = format!("{words} in --format json");
        lines.wrapped(2, &words);
    }
    if answer.seasons.iter().any(|season| season.may_hide) {
        let words = "* the record does not hold the whole season, or unknown hours may hide an earlier or later chance";
        lines.wrapped(2, words);
    }
}

fn season_row(answer: &Hindcast, season: &Season) -> Vec<String> {
    let mark = if season.may_hide { "*" } else { "" };
    let chance =
        |time: Option<i64>| time.map_or("none".to_owned(), |time| moment(time, answer.zone));
    vec![
        format!("{}{mark}", season.year),
        season.hours.fair.to_string(),
        format!("{} of {}", season.days.usable, season.days.days),
        season.spells.to_string(),
        format!("  {}", chance(season.first_chance)),
        chance(season.last_chance),
    ]
}

fn weeks(lines: &mut Lines, answer: &Hindcast) {
    lines.blank();
    let mut rows = Vec::new();
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
        let (fair, spells) = (week.hours.fair.to_string(), week.spells.to_string());
        rows.push(vec![date(start), fair, days, spells, seven, fourteen]);
    }
    let columns = [
        left("Week from", 14),
        right("fair h", 8),
        right("usable days", 13),
        right("spells", 9),
        right("odds in 7 days", 17),
        right("in 14 days", 17),
    ];
    lines.table(&columns, &rows);
    lines.wrapped(
        2,
        "Odds: the share of years with at least one spell, and its 95 % interval; unknown hours count as unfit.",
    );
}

fn log(lines: &mut Lines, answer: &Hindcast, units: Units) {
    if answer.log.is_empty() {
        return;
    }
    lines.blank();
    lines.raw("What was done");
    for entry in &answer.log {
        entry_lines(lines, (answer, units), entry);
    }
}

fn entry_lines(lines: &mut Lines, (answer, units): (&Hindcast, Units), entry: &LogAnswer) {
    lines.wrapped(2, &log_head(entry));
    for reason in log_reasons(entry, units) {
        lines.wrapped(4, &reason);
    }
    if let Some(spell) = &entry.nearest {
        lines.wrapped(4, &nearest(answer, spell));
    }
}

fn forecasts(lines: &mut Lines, answer: &Hindcast, units: Units) {
    let Some(record) = &answer.forecasts else {
        return;
    };
    let unit = unit_of(record, units);
    lines.blank();
    lines.raw("Forecasts kept");
    lines.wrapped(2, &summary(record, answer.zone));
    if !record.leads.is_empty() {
        let [lead, forecasts, mean, bias, spread, assumed] = COLUMNS;
        let lead = format!("  {lead}");
        let columns = [
            left(&lead, 15),
            right(forecasts, 9),
            right(mean, 12),
            right(bias, 14),
            right(spread, 15),
            right(assumed, 15),
        ];
        let rows = record.leads.iter().map(|lead| cells(lead, unit).to_vec());
        lines.table(&columns, &rows.collect::<Vec<_>>());
        lines.wrapped(2, LEGEND);
    }
    for words in scores(record, unit) {
        lines.fill("  - ", 4, &words);
    }
    match site_file(record, unit) {
        Ok(table) => {
            lines.raw("  For the site file:");
            lines.blank();
            lines.append(table.trim_end());
            lines.blank();
        }
        Err(why) => lines.wrapped(2, &why),
    }
}
