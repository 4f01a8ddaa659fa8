//! What stands in words below the picture, so that its file says all that the answer says.

use fairspell::decision::{Decision, Spell, when};
use fairspell::operation::{Rule, Severity};

use super::ink::{Ink, wrapped};
use super::rule;
use super::sheet::{LINE, MARGIN, MAX_NAMED, Sheet, TEXT, WIDTH};
use crate::text::upper_first;

/// Below the picture, in two columns: spells and what to know of them; every limit, and the standing cautions.
pub fn texts(sheet: &Sheet<'_>, ink: &mut Ink, y: f64) -> f64 {
    let decision = sheet.decision;
    let middle = WIDTH / 2.0;
    let mut left = Column {
        x: MARGIN,
        y,
        room: middle - MARGIN - 14.0,
    };
    let mut right = Column {
        x: middle,
        y,
        room: middle - MARGIN,
    };
    left.block(ink, "Spells", &spell_texts(decision));
    if let Some(spell) = decision.spell.or(decision.spells.first().copied()) {
        let heading = format!(
            "Care in the spell {}",
            decision.interval(spell.start, spell.end)
        );
        left.block(
            ink,
            &heading,
            &decision.caution_texts(spell.start, spell.end, sheet.units),
        );
    }
    left.block(ink, "What else to know", &decision.all_note_texts());
    let standing: Vec<String> = decision
        .standing_cautions()
        .iter()
        .map(|caution| caution.text.to_owned())
        .collect();
    right.block(
        ink,
        "Limits that block",
        &limit_texts(sheet, Severity::Block),
    );
    right.block(
        ink,
        "Limits that only caution",
        &limit_texts(sheet, Severity::Caution),
    );
    left.block(ink, "Always", &standing);
    left.y.max(right.y)
}

/// The spells; of the one that carries the answer, its best start inside the window.
pub fn spells(decision: &Decision) -> impl Iterator<Item = Spell> + '_ {
    let own = move |spell: &Spell| decision.spell.filter(|own| own.start == spell.start);
    decision
        .spells
        .iter()
        .map(move |spell| own(spell).unwrap_or(*spell))
}

fn spell_texts(decision: &Decision) -> Vec<String> {
    let one = |spell: Spell| {
        let interval = decision.interval(spell.start, spell.end);
        format!(
            "{interval}, {} h, best start {}{}",
            spell.hours(),
            when(spell.best_start, decision.zone),
            decision
                .confidence_short(&spell)
                .map(|sure| format!(", {sure}"))
                .unwrap_or_default()
        )
    };
    let mut texts: Vec<String> = spells(decision).take(MAX_NAMED).map(one).collect();
    if decision.spells.is_empty() {
        texts.push("none up to the end of the file".to_owned());
    }
    let rest = decision.spells.len().saturating_sub(MAX_NAMED);
    if rest > 0 {
        texts.push(format!("and {rest} more"));
    }
    texts
}

fn limit_texts(sheet: &Sheet<'_>, severity: Severity) -> Vec<String> {
    let decision = sheet.decision;
    let rules = decision
        .operation
        .rules
        .iter()
        .enumerate()
        .filter(|(_, rule)| rule.severity == severity);
    let text = |(index, rule): (usize, &Rule)| {
        let unchecked = if decision.unchecked.contains(&index) {
            "; unchecked"
        } else {
            ""
        };
        format!(
            "{}: {}, {}{unchecked}",
            rule.name,
            rule::looked_at(rule),
            decision.limit_text(rule, sheet.units)
        )
    };
    rules.map(text).collect()
}

/// A column of text.
struct Column {
    x: f64,
    y: f64,
    room: f64,
}

impl Column {
    /// A heading and its lines; nothing where there are none.
    fn block(&mut self, ink: &mut Ink, heading: &str, texts: &[String]) {
        if texts.is_empty() {
            return;
        }
        ink.text(
            (self.x, self.y + 12.0),
            r#"font-size="13" font-weight="bold""#,
            heading,
        );
        self.y += 18.0;
        for text in texts {
            for (index, line) in wrapped(&upper_first(text), TEXT, self.room - 10.0)
                .iter()
                .enumerate()
            {
                let x = if index == 0 { self.x } else { self.x + 10.0 };
                ink.text((x, self.y + 11.0), "", line);
                self.y += LINE;
            }
        }
        self.y += 10.0;
    }
}
