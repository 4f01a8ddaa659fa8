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
    let title = escaped(&decision.operation.title.to_lowercase());
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
    let (first, unchecked) = (first(decision), unchecked(decision));
    let kept = unchecked
        .as_ref()
        .map_or(0, |words| words.chars().count() + 2);
    let left = |line: &str| room.saturating_sub(line.chars().count() + 2);
    let mut line = head;
    if let Some(first) = first {
        let most = left(&line).saturating_sub(kept);
        line = format!("{line}: {}", cut(&first, most));
    }
    for words in [unchecked, next(decision)].into_iter().flatten() {
        if words.chars().count() <= left(&line) {
            line = format!("{line}; {words}");
        }
    }
    format!("{line}. {last}")
}

fn interval(decision: &Decision, spell: &Spell) -> String {
    format!(
        "{} ({} h){}",
        decision.interval(spell.start, spell.end),
        spell.hours(),
        decision
            .confidence_short(spell)
            .map(|sure| format!(", {sure}"))
            .unwrap_or_default()
    )
}

/// The spell, or why there is none.
fn first(decision: &Decision) -> Option<String> {
    let own = decision
        .spell
        .as_ref()
        .map(|spell| interval(decision, spell));
    let reason = || {
        decision
            .reasons
            .first()
            .map(|reason| decision.short_reason_text(reason))
    };
    own.or_else(reason).map(|words| escaped(&words))
}

/// How many rules go unchecked. It always has room: the contract has it said in every format.
fn unchecked(decision: &Decision) -> Option<String> {
    match decision.unchecked.len() {
        0 => None,
        1 => Some("1 rule unchecked".to_owned()),
        count => Some(format!("{count} rules unchecked")),
    }
}

fn next(decision: &Decision) -> Option<String> {
    let own = decision.spell.as_ref();
    let later = decision
        .spells
        .iter()
        .find(|spell| own.is_none_or(|own| spell.start >= own.end));
    later.map(|spell| format!("next {}", interval(decision, spell)))
}

fn cut(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let kept: String = text.chars().take(most.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end())
}
