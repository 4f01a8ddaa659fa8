//! Sentences of a hindcast, which text, picture and page share.

use chrono::DateTime;
use chrono_tz::Tz;
use fairspell::decision::{Spell, Units, clock};
use fairspell::error::escaped;
use fairspell::hindcast::{Hindcast, Judgement, LogAnswer, MonthDay, When, worst};
use fairspell::quantity::{counted, decimals};

/// Names of the months, as short as they are used.
const MONTHS: [&str; 12] = [
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
];

/// A month and day: `3 Mar`.
pub fn date(at: MonthDay) -> String {
    let month = usize::try_from(at.month()).unwrap_or(1).saturating_sub(1);
    format!(
        "{} {}",
        at.day(),
        MONTHS.get(month).copied().unwrap_or_default()
    )
}

/// Day, month and time on a place's clock: `3 Mar 09:00`.
pub fn moment(unix_s: i64, zone: Tz) -> String {
    let day =
        DateTime::from_timestamp(unix_s, 0).map(|time| time.with_timezone(&zone).date_naive());
    let day = day.map_or_else(String::new, |day| day.format("%-d %b").to_string());
    format!("{day} {}", clock(unix_s, zone))
}

/// The same with the year.
pub fn full_moment(unix_s: i64, zone: Tz) -> String {
    let day =
        DateTime::from_timestamp(unix_s, 0).map(|time| time.with_timezone(&zone).date_naive());
    let day = day.map_or_else(String::new, |day| day.format("%-d %b %Y").to_string());
    format!("{day} {}", clock(unix_s, zone))
}

/// A share in whole percent; a small one is not printed as 0.
pub fn share(part: usize, all: usize) -> String {
    if part > 0 && 200 * part < all {
        return "<1 %".to_owned();
    }
    format!("{} %", decimals(100.0 * part as f64 / all.max(1) as f64, 0))
}

/// What was asked of which record.
pub fn headline(answer: &Hindcast) -> String {
    let station = match (&answer.site, answer.station.as_str()) {
        (Some(site), "") => escaped(site),
        (_, "") => "the station".to_owned(),
        (_, station) => escaped(station),
    };
    format!(
        "{} at {station}, {} to {}, {} on the clock of {}.",
        escaped(&answer.operation.title),
        full_moment(answer.start, answer.zone),
        full_moment(answer.end, answer.zone),
        counted(answer.hours.all() as u64, "hour", "hours"),
        answer.zone.name()
    )
}

/// From when to when a spell goes, and how long.
pub fn spell_words(answer: &Hindcast, spell: &Spell) -> String {
    let (from, to) = (
        full_moment(spell.start, answer.zone),
        full_moment(spell.end, answer.zone),
    );
    format!("{} h, {from} to {to}", spell.hours())
}

/// An entry of the log and whether it kept within the rules.
pub fn log_head(entry: &LogAnswer) -> String {
    let judgement = match (entry.judgement, entry.decision.is_some()) {
        (Judgement::Within, _) => "WITHIN THE RULES",
        (Judgement::Against, _) => "AGAINST THE RULES",
        (Judgement::CannotTell, true) => "CANNOT TELL, hours of it are unknown",
        (Judgement::CannotTell, false) => "CANNOT TELL, outside the record",
    };
    let note = if entry.done.note.is_empty() {
        String::new()
    } else {
        format!(" ({})", escaped(&entry.done.note))
    };
    format!("{}{note}: {judgement}", escaped(&entry.done.written))
}

/// Which rule an entry broke, and by how much; of an entry with a date alone, why its day held no spell.
pub fn log_reasons(entry: &LogAnswer, units: Units) -> Vec<String> {
    let Some(decision) = entry
        .decision
        .as_deref()
        .filter(|_| entry.judgement != Judgement::Within)
    else {
        return Vec::new();
    };
    if matches!(entry.done.when, When::Date(_)) {
        let reasons = decision.reasons.iter();
        return reasons
            .map(|reason| decision.reason_text(reason, units))
            .collect();
    }
    let words = worst(decision).into_iter().map(|(time, found)| {
        let name = decision
            .rule(found.rule)
            .map_or("", |rule| rule.name.as_str());
        let found = decision.finding_text(&found, time, units);
        format!("{name}: {found} ({})", full_moment(time, decision.zone))
    });
    words.collect()
}

/// The spell that would have done.
pub fn nearest(answer: &Hindcast, spell: &Spell) -> String {
    format!("nearest spell: {}", spell_words(answer, spell))
}

/// The rules that the file cannot answer.
pub fn unchecked(answer: &Hindcast) -> Option<String> {
    let rules = answer
        .unchecked
        .iter()
        .filter_map(|rule| answer.operation.rules.get(*rule));
    let names: Vec<&str> = rules.map(|rule| rule.name.as_str()).collect();
    let words = "unchecked, since the file or the site does not give what it limits";
    (!names.is_empty()).then(|| format!("{words}: {}", names.join(", ")))
}
