//! The answer for people: the verdict first, cautions last.

use fairspell::decision::{
    Decision, Explained, ExplainedRule, Hour, Input, Spell, Units, clock, day, show, when,
};
use fairspell::operation::{Span, Take};
use fairspell::spell::State;

use crate::lines::Lines;

/// Reasons that are named; the rest are counted.
const MAX_REASONS: usize = 4;
/// Spells after the first that are named.
const MAX_SPELLS: usize = 3;
/// Days in the strip of hours: the longest public forecasts reach ten days hour by hour. Ours.
const MAX_DAYS: usize = 10;

/// The whole answer, ended by a line break.
pub fn text(decision: &Decision, units: Units, width: usize) -> String {
    let mut page = Lines::new(width);
    page.wrapped(0, &decision.headline());
    match &decision.spell {
        Some(spell) => {
            page.section("Spell", &spell_text(decision, spell));
            if let Some(sure) = decision.confidence_text(spell) {
                page.more(&format!("Confidence {sure}"));
            }
            for reason in &decision.reasons {
                page.more(&decision.reason_text(reason, units));
            }
        }
        None => reasons(&mut page, decision, units),
    }
    cautions(&mut page, decision, units);
    next_spells(&mut page, decision);
    if let Some(season) = &decision.season {
        page.section("Season", &upper_first(&season.text()));
    }
    if let Some(wait) = &decision.wait {
        page.section("Wait?", &upper_first(&wait.text()));
    }
    for (index, line) in decision.work_texts().iter().enumerate() {
        if index == 0 {
            page.section("Work", &upper_first(line));
        } else {
            page.more(&upper_first(line));
        }
    }
    strip(&mut page, decision);
    for note in decision.note_texts() {
        page.section("Note", &upper_first(&note));
    }
    if let Some(explained) = &decision.explained {
        explanation(&mut page, decision, explained, units);
    }
    page.blank();
    for caution in decision.standing_cautions() {
        page.bullet(caution.text);
    }
    page.end()
}

/// The text with its first line in bold, for a terminal.
pub fn emphasised(text: &str) -> String {
    match text.split_once('\n') {
        Some((first, rest)) => format!("\x1b[1m{first}\x1b[0m\n{rest}"),
        None => text.to_owned(),
    }
}

fn spell_text(decision: &Decision, spell: &Spell) -> String {
    let best = if spell.best_start == spell.start {
        String::new()
    } else {
        format!(", best from {}", in_spell(decision, spell))
    };
    format!(
        "{}, {} h{best} ({} h in a row needed)",
        decision.interval(spell.start, spell.end),
        spell.hours(),
        decision.operation.hours_needed,
    )
}

/// The best start, with its day where that is not the spell's first.
fn in_spell(decision: &Decision, spell: &Spell) -> String {
    if day(spell.best_start, decision.zone) == day(spell.start, decision.zone) {
        clock(spell.best_start, decision.zone)
    } else {
        when(spell.best_start, decision.zone)
    }
}

fn with_confidence(decision: &Decision, spell: &Spell) -> String {
    let sure = decision.confidence_short(spell);
    sure.map(|sure| format!(", {sure}")).unwrap_or_default()
}

fn reasons(page: &mut Lines, decision: &Decision, units: Units) {
    for (index, reason) in decision.reasons.iter().take(MAX_REASONS).enumerate() {
        let text = upper_first(&decision.reason_text(reason, units));
        if index == 0 {
            page.section("Why", &text);
        } else {
            page.more(&text);
        }
    }
    let left = decision.reasons.len().saturating_sub(MAX_REASONS);
    if left > 0 {
        page.more(&format!("and {left} more (--format json lists all)"));
    }
    if let Some(hint) = hint(decision) {
        page.section("Try", hint);
    }
}

/// What the user can do about what is not known.
fn hint(decision: &Decision) -> Option<&'static str> {
    use fairspell::decision::Reason;
    use fairspell::spell::Gap;
    let of = |gap: Gap| {
        decision
            .reasons
            .iter()
            .any(|reason| matches!(reason, Reason::Unknown { gap: found, .. } if *found == gap))
    };
    if decision
        .reasons
        .iter()
        .any(|reason| matches!(reason, Reason::Stale { .. }))
    {
        Some("Get the forecast anew.")
    } else if of(Gap::BeforeFile) {
        Some(
            "Put the hours before the forecast in with --observed FILE; or, where you have felt the wood and it is dry, --dry-now.",
        )
    } else if of(Gap::PastFile) {
        Some("A longer forecast, or ask again when the next one is out.")
    } else {
        None
    }
}

fn cautions(page: &mut Lines, decision: &Decision, units: Units) {
    let Some(spell) = &decision.spell else { return };
    let end = spell.end.min(decision.until.max(spell.start + 3600));
    for (index, caution) in decision
        .caution_texts(spell.start, end, units)
        .iter()
        .enumerate()
    {
        let text = upper_first(caution);
        if index == 0 {
            page.section("Caution", &text);
        } else {
            page.more(&text);
        }
    }
}

fn next_spells(page: &mut Lines, decision: &Decision) {
    let after = decision.spell.map_or(i64::MIN, |spell| spell.end);
    let later: Vec<&Spell> = decision
        .spells
        .iter()
        .filter(|spell| spell.start >= after)
        .collect();
    for (index, spell) in later.iter().take(MAX_SPELLS).enumerate() {
        let best = if spell.best_start == spell.start {
            String::new()
        } else {
            format!(", best from {}", in_spell(decision, spell))
        };
        let text = format!(
            "{}, {} h{best}{}",
            decision.interval(spell.start, spell.end),
            spell.hours(),
            with_confidence(decision, spell),
        );
        if index == 0 {
            page.section("Next", &text);
        } else {
            page.more(&text);
        }
    }
    match later.len().checked_sub(MAX_SPELLS) {
        None | Some(0) if !later.is_empty() => {}
        Some(more) if !later.is_empty() => page.more(&format!("and {more} later")),
        _ => page.section("Next", "none known up to the end of the forecast"),
    }
}

/// The coming days hour by hour: `#` fair, `?` unknown, a letter for the rule that hinders.
fn strip(page: &mut Lines, decision: &Decision) {
    let mut days: Vec<(String, Vec<&Hour>)> = Vec::new();
    for hour in &decision.hours {
        let name = day(hour.time, decision.zone);
        match days.last_mut() {
            Some((last, hours)) if *last == name => hours.push(hour),
            _ => days.push((name, vec![hour])),
        }
    }
    if days.is_empty() {
        return;
    }
    let letters = letters(decision);
    page.blank();
    let (margin, names) = if page.is_roomy() { (9, 12) } else { (0, 11) };
    page.raw(&format!("{:1$}{RULER}", "Hours", margin + names));
    for (name, hours) in days.iter().take(MAX_DAYS) {
        let hours = row(decision, hours, &letters);
        page.raw(&format!("{:margin$}{name:names$}{hours}", ""));
    }
    if days.len() > MAX_DAYS {
        page.more(&format!("and {} more days", days.len() - MAX_DAYS));
    }
    let names = letters
        .iter()
        .filter_map(|(rule, letter)| Some(format!("{letter} {}", decision.rule(*rule)?.name)));
    let legend: Vec<String> = ["# fair".to_owned(), "? unknown".to_owned()]
        .into_iter()
        .chain(names)
        .collect();
    page.more(&legend.join(" · "));
    let is_long = |hours: &Vec<&Hour>| hours.len() > 24;
    if days.iter().any(|(_, hours)| is_long(hours)) {
        page.more("A day of 25 hours: the clock goes back, one hour comes twice.");
    }
}

const RULER: &str = "0     6      12     18    24";

/// A day's hours in four groups of six; hours that are over or that the clock skips are blank.
fn row(decision: &Decision, hours: &[&Hour], letters: &[(usize, char)]) -> String {
    let mut row = String::new();
    let mut column = 0;
    for hour in hours {
        let local: usize = clock(hour.time, decision.zone)
            .get(..2)
            .and_then(|text| text.parse().ok())
            .unwrap_or(column);
        while column < local {
            push(&mut row, &mut column, ' ');
        }
        let hindrance = decision.hindrances(hour).into_iter().next();
        let letter =
            hindrance.and_then(|found| letters.iter().find(|(rule, _)| *rule == found.rule));
        let sign = match (hour.state, letter) {
            (State::Fair, _) => '#',
            (State::Hindered, Some((_, letter))) => *letter,
            _ => '?',
        };
        push(&mut row, &mut column, sign);
    }
    row.trim_end().to_owned()
}

fn push(row: &mut String, column: &mut usize, sign: char) {
    if *column > 0 && column.is_multiple_of(6) {
        row.push(' ');
    }
    row.push(sign);
    *column += 1;
}

/// A letter for each rule that hinders an hour first: an initial of its words, else any of its letters.
fn letters(decision: &Decision) -> Vec<(usize, char)> {
    let mut rules: Vec<usize> = decision
        .hours
        .iter()
        .filter(|hour| hour.state == State::Hindered)
        .filter_map(|hour| decision.hindrances(hour).first().map(|found| found.rule))
        .collect();
    rules.sort_unstable();
    rules.dedup();
    let mut letters: Vec<(usize, char)> = Vec::new();
    for rule in rules {
        let name = decision
            .rule(rule)
            .map_or("", |rule| rule.name.as_str())
            .to_lowercase();
        let initials = name
            .split_whitespace()
            .filter_map(|word| word.chars().next());
        let all = initials
            .chain(name.chars())
            .chain('a'..='z')
            .chain('0'..='9');
        let is_free = |letter: &char| {
            letter.is_ascii_alphanumeric() && letters.iter().all(|known| known.1 != *letter)
        };
        let letter = all.into_iter().find(is_free).unwrap_or('x');
        letters.push((rule, letter));
    }
    letters
}

fn explanation(page: &mut Lines, decision: &Decision, explained: &Explained, units: Units) {
    page.section(
        "Explain",
        &format!(
            "the hour {}, rule by rule",
            when(explained.time, decision.zone)
        ),
    );
    let time = explained.time;
    for explained in &explained.rules {
        let Some(rule) = decision.rule(explained.rule) else {
            continue;
        };
        page.blank();
        let title = format!(
            "{} ({}): {}",
            rule.name,
            rule.severity.name(),
            explained.outcome().replace('-', " ")
        );
        page.bullet(&title);
        let limit = decision.limit_text(rule, units);
        page.more(&format!(
            "{} {}, {}, {limit}",
            rule.measure.name(),
            rule.over,
            rule.take.name()
        ));
        page.more(&found_text(decision, explained, units));
        if let Some(inputs) = inputs_text(decision, explained, time, units) {
            page.more(&inputs);
        }
        if let Some(formula) = &explained.formula {
            page.more(&format!(
                "formula: {}",
                formula.expression.replace('\n', "; ")
            ));
            page.more(&format!("formula's source: {}", formula.citation));
        }
        page.more(&format!("limit's source: {}", rule.source));
    }
}

/// What went into the value: of one hour its inputs, of a sum or a mean the hours that it covers.
fn inputs_text(
    decision: &Decision,
    explained: &ExplainedRule,
    time: i64,
    units: Units,
) -> Option<String> {
    let rule = decision.rule(explained.rule)?;
    let hours = match (rule.take, rule.over) {
        (Take::Sum | Take::Mean, Span::After(hours)) => Some((0, i64::from(hours))),
        (Take::Sum | Take::Mean, Span::Before(hours)) => Some((-i64::from(hours), 0)),
        _ => None,
    };
    if let Some((first, last)) = hours {
        let interval = decision.interval(time + first * 3600, time + (last + 1) * 3600);
        return Some(format!("from the hours {interval}"));
    }
    let inputs: Vec<String> = explained
        .inputs
        .iter()
        .map(|input| input_text(input, units))
        .collect();
    let at = when(explained.decided_by, decision.zone);
    (!inputs.is_empty()).then(|| format!("from {} at {at}", inputs.join(", ")))
}

fn found_text(decision: &Decision, explained: &ExplainedRule, units: Units) -> String {
    let Some(rule) = decision.rule(explained.rule) else {
        return String::new();
    };
    let unit = units.shown(rule.unit());
    let value = |value: f64| show(rule.unit().convert(value, unit), unit, None);
    let (low, high) = (explained.finding.low, explained.finding.high);
    if !low.is_finite() && !high.is_finite() {
        return "value: not known".to_owned();
    }
    let margin = rule
        .unit()
        .difference()
        .convert(explained.finding.margin(rule), unit.difference());
    let spare = if margin.is_finite() {
        let side = if margin < 0.0 {
            "beyond the limit by"
        } else {
            "clear of the limit by"
        };
        format!(", {side} {}", show(margin.abs(), unit.difference(), None))
    } else {
        String::new()
    };
    if (low - high).abs() <= 0.0 {
        format!("value: {}{spare}", value(low))
    } else {
        format!("value: between {} and {}{spare}", value(low), value(high))
    }
}

fn input_text(input: &Input, units: Units) -> String {
    let unit = units.shown(input.unit);
    let to = |value: f64| show(input.unit.convert(value, unit), unit, None);
    match input.value {
        None => format!("{} missing", input.name),
        Some((low, high)) if (low - high).abs() <= 0.0 => format!("{} {}", input.name, to(low)),
        Some((low, high)) => format!("{} {} to {}", input.name, to(low), to(high)),
    }
}

pub fn upper_first(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}
