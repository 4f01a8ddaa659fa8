//! The hours by state: a row a state, so that place, pattern, word and tint say the same; spells flagged above.

use fairspell::decision::{Spell, clock, day, when};
use fairspell::spell::State;

use super::frame::Run;
use super::ink::{Area, BLACK, FAIR, Ink, RIM, text_width, xml};
use super::sheet::{LEFT, RIGHT, Sheet, TEXT, WIDTH};
use super::texts::spells;

/// Height of a state's row \[px\].
const ROW: f64 = 22.0;
/// Height of a flag \[px\].
const FLAG: f64 = 30.0;
/// Flags above one another; what finds no room among them has a mark without words.
const MAX_LANES: usize = 4;
/// How much wider bold text is.
const BOLD: f64 = 1.1;
/// The states from top to bottom.
const STATES: [State; 3] = [State::Fair, State::Hindered, State::Unknown];

/// A state's look: pattern, outline and tint.
pub fn look(state: State) -> String {
    match state {
        State::Fair => format!(r#"fill="{FAIR}" stroke="{BLACK}" stroke-width="2""#),
        State::Hindered => {
            r##"fill="url(#hindered)" stroke="#6b4420" stroke-width="1""##.to_owned()
        }
        State::Unknown => {
            r##"fill="url(#unknown)" stroke="#555555" stroke-width="1" stroke-dasharray="3 2""##
                .to_owned()
        }
    }
}

/// The window asked about: a bar from now to its end, and what it says. Draws from `y` down, returns where it ends.
pub fn window(sheet: &Sheet<'_>, ink: &mut Ink, y: f64) -> f64 {
    let decision = sheet.decision;
    let (from, to) = (sheet.x(decision.at), sheet.x(decision.until));
    let text = format!(
        "asked about: {}",
        decision.interval(decision.at, decision.until)
    );
    let width = text_width(&text, TEXT) * BOLD;
    let x = from.min(WIDTH - width - 8.0).max(8.0);
    ink.text(
        (x, y + 12.0),
        &format!(r#"font-weight="bold" {RIM}"#),
        &text,
    );
    let bar = Area {
        x: from,
        y: y + 18.0,
        width: (to - from).max(1.5),
        height: 5.0,
    };
    ink.area(bar, &format!(r#"fill="{BLACK}""#));
    y + 30.0
}

/// A spell that is flagged: in which lane, with which words.
struct Flag {
    spell: Spell,
    lane: usize,
    lines: [String; 2],
    width: f64,
}

/// Flags of the spells. Each stands at its spell's start and reaches right; those to the left stand higher, so that
/// no pole crosses words. Draws from `y` down, returns where the rows begin.
pub fn flags(sheet: &Sheet<'_>, ink: &mut Ink, y: f64) -> f64 {
    let flags = placed(sheet);
    let lanes = flags.iter().map(|flag| flag.lane + 1).max().unwrap_or(0);
    let ground = y + lanes as f64 * FLAG + 4.0;
    for flag in &flags {
        let x = sheet.x(flag.spell.start);
        let top = ground - 4.0 - (flag.lane + 1) as f64 * FLAG;
        ink.line(
            (x, top + 1.0),
            (x, ground + ROW),
            &format!(r#"stroke="{BLACK}" stroke-width="1""#),
        );
        let weight = if is_own(sheet, &flag.spell) {
            r#" font-weight="bold""#
        } else {
            ""
        };
        let look = format!("{RIM}{weight}");
        for (line, text) in (0_u8..).zip(&flag.lines) {
            ink.text((x + 4.0, top + 12.0 + 13.0 * f64::from(line)), &look, text);
        }
    }
    ground
}

fn is_own(sheet: &Sheet<'_>, spell: &Spell) -> bool {
    sheet
        .decision
        .spell
        .is_some_and(|own| own.start == spell.start)
}

fn drawn<'a>(sheet: &Sheet<'a>) -> impl Iterator<Item = Spell> + use<'a> {
    let end = sheet.frame.end();
    spells(sheet.decision).take_while(move |spell| spell.start < end)
}

/// Flags for as many spells as there is room for, the earlier before the later.
fn placed(sheet: &Sheet<'_>) -> Vec<Flag> {
    let mut flags: Vec<Flag> = Vec::new();
    for spell in drawn(sheet) {
        let lines = words(sheet, &spell);
        let width = lines
            .iter()
            .map(|line| text_width(line, TEXT) * BOLD + 8.0)
            .fold(0.0, f64::max);
        if sheet.x(spell.start) + width > WIDTH {
            continue;
        }
        flags.push(Flag {
            spell,
            lane: 0,
            lines,
            width,
        });
        if !raised(sheet, &mut flags) {
            flags.pop();
            raised(sheet, &mut flags);
        }
    }
    flags
}

/// Whether a spell is drawn without its times, for want of room.
pub fn has_nameless(sheet: &Sheet<'_>) -> bool {
    placed(sheet).len() < drawn(sheet).count()
}

/// Puts each flag above those that begin under its words; says whether the lanes suffice.
fn raised(sheet: &Sheet<'_>, flags: &mut [Flag]) -> bool {
    let mut right: Vec<(f64, usize)> = Vec::new();
    for flag in flags.iter_mut().rev() {
        let x = sheet.x(flag.spell.start);
        let under = right.iter().filter(|(start, _)| *start < x + flag.width);
        flag.lane = under.map(|(_, lane)| lane + 1).max().unwrap_or(0);
        right.push((x, flag.lane));
    }
    right.iter().all(|(_, lane)| *lane < MAX_LANES)
}

/// Times and length of a spell; its day stands above it.
fn words(sheet: &Sheet<'_>, spell: &Spell) -> [String; 2] {
    let zone = sheet.decision.zone;
    let interval = sheet.decision.interval(spell.start, spell.end);
    let times = match interval.strip_prefix(&day(spell.start, zone)) {
        Some(times) if !times.contains(" – ") => times.trim().to_owned(),
        _ => {
            let last = day(spell.end, zone);
            let weekday = last.split(' ').next().unwrap_or_default();
            format!(
                "{}–{weekday} {}",
                clock(spell.start, zone),
                clock(spell.end, zone)
            )
        }
    };
    [times, format!("{} h", spell.hours())]
}

/// The rows of the states. Draws from `y` down, returns where they end.
pub fn rows(sheet: &Sheet<'_>, ink: &mut Ink, y: f64) -> f64 {
    for (row, state) in (0_u8..).zip(STATES) {
        let top = y + f64::from(row) * ROW;
        let middle = top + ROW / 2.0;
        ink.text(
            (LEFT - 8.0, middle + 4.0),
            r#"text-anchor="end" font-weight="bold""#,
            state.name(),
        );
        ink.line(
            (LEFT, middle),
            (RIGHT, middle),
            r##"stroke="#bbbbbb" stroke-width="1""##,
        );
        for run in sheet
            .frame
            .runs()
            .into_iter()
            .filter(|run| run.state == state)
        {
            block(sheet, ink, run, top + 3.0);
        }
    }
    for spell in drawn(sheet) {
        marks(sheet, ink, &spell, y);
    }
    y + 3.0 * ROW
}

fn block(sheet: &Sheet<'_>, ink: &mut Ink, run: Run, top: f64) {
    let (left, right) = (sheet.x(run.start), sheet.x(run.end));
    let area = Area {
        x: left + 0.5,
        y: top,
        width: right - left - 1.0,
        height: ROW - 6.0,
    };
    let told = format!(
        "{}: {}",
        sheet.decision.interval(run.start, run.end),
        run.state.name()
    );
    ink.told_area(area, &look(run.state), &told);
}

/// A bracket over the hours of a spell, and an arrow head at its best start.
fn marks(sheet: &Sheet<'_>, ink: &mut Ink, spell: &Spell, y: f64) {
    let (left, right) = (sheet.x(spell.start), sheet.x(spell.end));
    let weight = if is_own(sheet, spell) { 3.0 } else { 1.5 };
    let look = format!(r#"stroke="{BLACK}" stroke-width="{weight}""#);
    ink.path(
        &[
            (left, y + 3.0),
            (left, y - 1.0),
            (right, y - 1.0),
            (right, y + 3.0),
        ],
        &look,
    );
    if spell.best_start < sheet.frame.end() {
        let (x, top) = (sheet.x(spell.best_start), y + 5.0);
        let points = format!(
            "{x:.1},{:.1} {x:.1},{top:.1} {:.1},{:.1}",
            top + 12.0,
            x + 8.0,
            top + 6.0
        );
        let told = sheet.decision.interval(spell.start, spell.end);
        let told = format!(
            "{told}: spell of {} h, best start {}",
            spell.hours(),
            when(spell.best_start, sheet.decision.zone)
        );
        let told = xml(&told);
        ink.raw(&format!(
            r#"<polygon points="{points}" fill="{BLACK}"><title>{told}</title></polygon>"#
        ));
    }
}

#[cfg(test)]
mod tests {
    use fairspell::decision::Units;
    use fairspell::series::HOUR_S;

    use super::*;
    use crate::picture::frame::Frame;
    use crate::picture::tests::{demo, oil, place};

    /// Spells of two hours with one between them: no flag lies on another, no pole crosses words.
    #[test]
    fn flags_never_overlap() {
        let forecast = demo();
        let mut decision = oil(&forecast, &place());
        let spell = |number: i64| {
            let start = decision.at + number * 3 * HOUR_S;
            Spell {
                start,
                end: start + 2 * HOUR_S,
                best_start: start,
            }
        };
        decision.spells = (0..50).map(spell).collect();
        let frame = Frame::new(&decision, &forecast.members[0]);
        let sheet = Sheet {
            decision: &decision,
            series: &forecast.members[0],
            units: Units::AsWritten,
            frame: &frame,
        };
        let flags = placed(&sheet);
        assert!(flags.len() > 10, "only {} flags", flags.len());
        assert!(has_nameless(&sheet));
        for (index, flag) in flags.iter().enumerate() {
            let right = sheet.x(flag.spell.start) + flag.width;
            let under = flags
                .iter()
                .skip(index + 1)
                .take_while(|other| sheet.x(other.spell.start) < right);
            assert!(flag.lane < MAX_LANES);
            for other in under {
                assert!(
                    other.lane < flag.lane,
                    "{:?} crosses {:?}",
                    other.lines,
                    flag.lines
                );
            }
        }
    }
}
