//! The answer in one line of at most 160 characters, for a message.

use fairspell::decision::{Decision, Spell};
use fairspell::error::escaped;

/// Most characters of the line: what a text message holds (GSM 03.38, from memory), and the contract's figure.
pub const MAX_CHARACTERS: usize = 160;

/// Longest part of a site's name.
const MAX_NAME: usize = 30;

/// Verdict, operation and place, then as much as fits: the spell or the reason, what went unchecked, the next
/// spell. It ends with the word on the label.
pub fn line(decision: &Decision) -> String {
    let title = decision.operation.title.to_lowercase();
    let site = decision
        .site
        .as_deref()
        .map(|site| format!(" at {}", cut(&escaped(site), MAX_NAME)));
    let head = format!(
        "{} {}{}",
        decision.verdict.heading(),
        cut(&title, MAX_NAME),
        site.unwrap_or_default()
    );
    let last = "Label first.";
    let room = MAX_CHARACTERS - last.chars().count() - 2;
    let mut line = head;
    for part in parts(decision) {
        let separator = if line.contains(": ") { "; " } else { ": " };
        let left = room.saturating_sub(line.chars().count() + separator.len());
        if part.chars().count() <= left {
            line = line + separator + &part;
        } else if !line.contains(": ") && left > 20 {
            line = line + separator + &cut(&part, left);
        }
    }
    format!("{line}. {last}")
}

fn parts(decision: &Decision) -> Vec<String> {
    let interval = |spell: &Spell| {
        format!(
            "{} ({} h)",
            decision.interval(spell.start, spell.end),
            spell.hours()
        )
    };
    let own = decision.spell.as_ref();
    let first = own.map(interval).or_else(|| {
        decision
            .reasons
            .first()
            .map(|reason| decision.short_reason_text(reason))
    });
    let unchecked = match decision.unchecked.len() {
        0 => None,
        1 => Some("1 rule unchecked".to_owned()),
        count => Some(format!("{count} rules unchecked")),
    };
    let later = decision
        .spells
        .iter()
        .find(|spell| own.is_none_or(|own| spell.start >= own.end));
    let next = later.map(|spell| format!("next {}", interval(spell)));
    [first, unchecked, next].into_iter().flatten().collect()
}

fn cut(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let kept: String = text.chars().take(most.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end())
}
