//! The answer as one page of HTML: no script, nothing fetched, readable on a phone, on paper and by ear.
//!
//! It holds what the text holds, in the same sentences, and the chart of [`crate::picture`]. States are told apart
//! by letter and pattern as well as by tint. Every text from outside is escaped.

use fairspell::decision::{Decision, Explained, ExplainedRule, Input, Units, clock, show, when};
use fairspell::read::Issued;
use fairspell::series::{HOUR_S, HourlySeries};
use fairspell::spell::State;

use crate::markup::Page;
use crate::picture;
use crate::picture::frame::{Cell, Day, Frame};
use crate::picture::ink::xml;
use crate::picture::rule::looked_at;
use crate::picture::sheet::Sheet;
use crate::picture::texts;

/// Most spells in the table; the rest are counted.
const MAX_SPELLS: usize = 40;

/// The page.
pub fn html(decision: &Decision, series: &HourlySeries, units: Units) -> String {
    let frame = Frame::new(decision, series);
    let sheet = Sheet {
        decision,
        series,
        units,
        frame: &frame,
    };
    let mut page = Page::new(&decision.headline(), STYLE);
    header(&mut page, decision);
    if let Some(season) = &decision.season {
        page.put(&format!("<p>Season: {}.</p>", xml(&season.text())));
    }
    if let Some(wait) = &decision.wait {
        page.put(&format!("<p>Go now or wait: {}.</p>", xml(&wait.text())));
    }
    reasons(&mut page, decision, units);
    spells(&mut page, decision);
    cautions(&mut page, decision, units);
    page.list("The work, laid into the spells", &decision.work_texts());
    page.list("What else to know", &decision.all_note_texts());
    chart(&mut page, &sheet);
    hours(&mut page, &sheet);
    if let Some(explained) = &decision.explained {
        explanation(&mut page, &sheet, explained);
    }
    limits(&mut page, decision, units);
    let standing: Vec<String> = decision
        .standing_cautions()
        .iter()
        .map(|caution| caution.text.to_owned())
        .collect();
    page.list("Always", &standing);
    page.end()
}

/// Colours: text 17.2:1 on white, grey 7.5:1; black on the tints 11.4:1 and more.
const STYLE: &str = "\
* { box-sizing: border-box; }
body { margin: 0; background: #fff; color: #1b1b1b; font: 1rem/1.5 sans-serif; overflow-wrap: break-word; }
main { max-width: 74rem; margin: 0 auto; padding: 1rem; }
h1 { font-size: 1.5rem; line-height: 1.4; margin: 0 0 .6rem; }
h2 { font-size: 1.15rem; margin: 1.8rem 0 .4rem; border-bottom: 1px solid #8a8a8a; }
h3 { font-size: 1rem; margin: 1rem 0 .3rem; }
p { margin: .3rem 0; }
ul { margin: .3rem 0; padding-left: 1.2rem; }
.small, caption, figcaption { font-size: .875rem; color: #555; }
.verdict { display: inline-block; padding: 0 .5rem; border: 3px solid #1b1b1b; margin-right: .3rem; }
.verdict.go { background: #1b1b1b; color: #fff; }
.verdict.no-go { border-style: double; border-width: 5px; }
.verdict.cannot-tell { border-style: dotted; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; font-size: .9375rem; }
.of-5 { min-width: 44rem; }
.of-7 { min-width: 62rem; }
caption { text-align: left; padding: .2rem 0; }
th, td { text-align: left; vertical-align: top; padding: .3rem .8rem .3rem 0; border-bottom: 1px solid #cfcfcf; }
tbody th { font-weight: 600; }
figure { margin: .5rem 0; }
figure svg { display: block; width: 100%; min-width: 60rem; height: auto; }
.key b, .hours li { display: inline-block; border: 1px solid #555; background: #fff; text-align: center; }
.key span { display: inline-block; margin: .15rem .8rem .15rem 0; }
.key b { min-width: 1.6rem; }
.hours { list-style: none; margin: 0; padding: 0; display: grid; grid-template-columns: repeat(12, 1fr); gap: 2px; }
.hours.long { grid-template-columns: repeat(auto-fill, minmax(2.9rem, 1fr)); }
.hours li { padding: .1rem 0; line-height: 1.25; }
.hours li span { display: block; font-size: .75rem; }
.hours abbr { text-decoration: none; font-weight: 700; }
.hours .u span, .hours .u abbr, .key i { background: #fff; margin: 0 auto; padding: 0 .15rem; width: fit-content; font-style: normal; }
.hours .f, .key .f { background: #b9dff0; border: 2px solid #1b1b1b; }
.hours .h, .key .h { background: repeating-linear-gradient(135deg, #f7eee2 0 5px, #e4cfb4 5px 7px); }
.hours .u, .key .u { background: #fff radial-gradient(#707070 1px, transparent 1.4px) 0 0 / 6px 6px; border-style: dashed; }
.hours .n, .key .n { border-color: #cfcfcf; color: #555; }
.runs { list-style: none; padding: 0; font-size: .9375rem; columns: 22rem; }
.narrow { display: none; }
@media (min-width: 52rem) { .hours { grid-template-columns: repeat(24, 1fr); } }
@media (max-width: 62rem) { .narrow { display: block; } }
@page { margin: 14mm; }
@page wide { size: landscape; margin: 10mm; }
@media print {
* { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
body { font-size: 10.5pt; color: #000; }
main { max-width: none; padding: 0; }
.wide { overflow: visible; }
.narrow { display: none; }
.chart { page: wide; }
figure svg { min-width: 0; max-height: 172mm; }
.hours { grid-template-columns: repeat(24, 1fr); }
h2, h3 { break-after: avoid; }
.day, figure, tr, li { break-inside: avoid; }
table { font-size: 9pt; min-width: 0; }
}
";

fn header(page: &mut Page, decision: &Decision) {
    let (name, heading) = (decision.verdict.name(), decision.verdict.heading());
    let site = decision
        .site
        .as_deref()
        .map(|site| format!(" at {}", xml(site)))
        .unwrap_or_default();
    let title = xml(&decision.operation.title);
    page.put(&format!(
        "<header>\n<h1><strong class=\"verdict {name}\">{heading}</strong> {title}{site}</h1>"
    ));
    let window = xml(&decision.interval(decision.at, decision.until));
    let needed = decision.operation.hours_needed;
    let needed = if needed == 1 {
        "1 fair hour".to_owned()
    } else {
        format!("{needed} fair hours in a row")
    };
    page.put(&format!(
        "<p>Asked about: <strong>{window}</strong>. The work needs {needed}.</p>"
    ));
    let issued = match decision.issued {
        Issued::At(time) => format!("Forecast issued {}. ", when(time, decision.zone)),
        _ => String::new(),
    };
    let zone = decision.zone.name();
    page.put(&format!(
        "<p class=\"small\">{}All times are on the clock of {}.</p>\n</header>",
        xml(&issued),
        xml(zone)
    ));
}

fn reasons(page: &mut Page, decision: &Decision, units: Units) {
    let mut texts: Vec<String> = Vec::new();
    if let Some(spell) = &decision.spell {
        texts.push(format!(
            "fair {}, {} h",
            decision.interval(spell.start, spell.end),
            spell.hours()
        ));
        let sure = decision.confidence_text(spell);
        texts.extend(sure.map(|sure| format!("confidence {sure}")));
    }
    texts.extend(
        decision
            .reasons
            .iter()
            .map(|reason| decision.reason_text(reason, units)),
    );
    page.list("Why", &texts);
}

fn spells(page: &mut Page, decision: &Decision) {
    page.put("<section>\n<h2>Fair spells</h2>");
    if decision.spells.is_empty() {
        page.put("<p>None up to the end of the file.</p>\n</section>");
        return;
    }
    let shown = decision.spells.len().min(MAX_SPELLS);
    page.table(
        "of-5",
        "Spells up to the end of the file",
        &["Start – end", "Hours", "Best start", "Confidence", "Note"],
    );
    for spell in texts::spells(decision).take(shown) {
        let is_own = decision.spell.is_some_and(|own| own.start == spell.start);
        let best = when(spell.best_start, decision.zone);
        let note = if is_own { "carries the answer" } else { "" };
        let hours = spell.hours().to_string();
        let sure = decision.confidence_words(&spell).unwrap_or_default();
        page.row(
            &decision.interval(spell.start, spell.end),
            &[&hours, &best, &sure, note],
        );
    }
    page.end_table();
    if decision.spells.len() > shown {
        page.put(&format!(
            "<p>And {} more later.</p>",
            decision.spells.len() - shown
        ));
    }
    page.put("</section>");
}

fn cautions(page: &mut Page, decision: &Decision, units: Units) {
    let Some(spell) = decision.spell.or(decision.spells.first().copied()) else {
        return;
    };
    let heading = format!(
        "Care in the spell {}",
        decision.interval(spell.start, spell.end)
    );
    page.list(
        &heading,
        &decision.caution_texts(spell.start, spell.end, units),
    );
}

fn chart(page: &mut Page, sheet: &Sheet<'_>) {
    page.put("<section class=\"chart\">\n<h2>The days, and the measures against their limits</h2>");
    page.picture("Picture of the days", &picture::inline_svg(sheet));
    page.put("</section>");
}

/// Every hour as a cell with its letter, and what hinders, day by day.
fn hours(page: &mut Page, sheet: &Sheet<'_>) {
    page.put("<section>\n<h2>Hour by hour</h2>");
    page.put("<p class=\"key\"><span><b class=\"f\">F</b> fair</span> <span><b class=\"h\">h</b> hindered</span> <span><b class=\"u\"><i>?</i></b> unknown</span> <span><b class=\"n\">·</b> before the time asked about</span></p>");
    for remark in sheet.frame.remarks() {
        page.put(&format!("<p class=\"small\">{}</p>", xml(&remark)));
    }
    for day in &sheet.frame.days {
        let inside = |cell: &&Cell<'_>| cell.time >= day.start && cell.time < day.end;
        let cells: Vec<&Cell<'_>> = sheet.frame.cells.iter().filter(inside).collect();
        if cells.iter().any(|cell| cell.state.is_some()) {
            hours_of_day(page, sheet.decision, day, &cells);
        }
    }
    page.put("</section>");
}

fn hours_of_day(page: &mut Page, decision: &Decision, day: &Day, cells: &[&Cell<'_>]) {
    let is_whole = cells
        .iter()
        .all(|cell| clock(cell.time, decision.zone).ends_with(":00"));
    let class = if is_whole { "hours" } else { "hours long" };
    page.put(&format!(
        "<div class=\"day\">\n<h3>{}</h3>\n<ol class=\"{class}\">",
        xml(&day.name)
    ));
    for cell in cells {
        let (class, letter, word) = match cell.state {
            Some(State::Fair) => ("f", "F", "fair"),
            Some(State::Hindered) => ("h", "h", "hindered"),
            Some(State::Unknown) => ("u", "?", "unknown"),
            None if cell.time < decision.at => ("n", "·", "before"),
            None => continue,
        };
        let time = clock(cell.time, decision.zone);
        let time = if is_whole {
            time.get(..2).unwrap_or(&time)
        } else {
            &time
        };
        page.put(&format!(
            "<li class=\"{class}\"><span>{time}</span> <abbr title=\"{word}\">{letter}</abbr></li>"
        ));
    }
    page.put("</ol>\n<ul class=\"runs\">");
    for (start, end, text) in runs(decision, cells) {
        let interval = format!(
            "{}–{}",
            clock(start, decision.zone),
            end_clock(decision, day, end)
        );
        page.put(&format!(
            "<li><strong>{interval}</strong> {}</li>",
            xml(&text)
        ));
    }
    page.put("</ul>\n</div>");
}

/// The end of an hour on its day's clock: the next midnight is 24:00.
fn end_clock(decision: &Decision, day: &Day, end: i64) -> String {
    if end == day.end && !day.is_cut {
        "24:00".to_owned()
    } else {
        clock(end, decision.zone)
    }
}

/// A day's hours in runs with the same words: the state, and the rules that hinder.
fn runs(decision: &Decision, cells: &[&Cell<'_>]) -> Vec<(i64, i64, String)> {
    let mut runs: Vec<(i64, i64, String)> = Vec::new();
    for cell in cells {
        let Some(state) = cell.state else { continue };
        let text = state_text(decision, cell, state);
        match runs.last_mut() {
            Some(run) if run.2 == text && run.1 == cell.time => run.1 = cell.time + HOUR_S,
            _ => runs.push((cell.time, cell.time + HOUR_S, text)),
        }
    }
    runs
}

fn state_text(decision: &Decision, cell: &Cell<'_>, state: State) -> String {
    let rules = cell
        .hour
        .map(|hour| decision.hindrances(hour))
        .unwrap_or_default();
    let names: Vec<&str> = rules
        .iter()
        .filter_map(|found| decision.rule(found.rule))
        .map(|rule| rule.name.as_str())
        .collect();
    match state {
        State::Hindered => format!("hindered: {}", names.join(", ")),
        State::Unknown if cell.hour.is_none() => "unknown: the file has no such hour".to_owned(),
        _ => state.name().to_owned(),
    }
}

fn explanation(page: &mut Page, sheet: &Sheet<'_>, explained: &Explained) {
    let time = when(explained.time, sheet.decision.zone);
    page.put("<section>\n<h2>One hour explained</h2>");
    let heads = [
        "Rule", "Finds", "Value", "Limit", "From", "Formula", "Sources",
    ];
    page.table("of-7", &format!("The hour {time}, rule by rule"), &heads);
    for explained in &explained.rules {
        explained_row(page, sheet, explained);
    }
    page.end_table();
    page.put("</section>");
}

fn explained_row(page: &mut Page, sheet: &Sheet<'_>, explained: &ExplainedRule) {
    let (decision, units) = (sheet.decision, sheet.units);
    let Some(rule) = decision.rule(explained.rule) else {
        return;
    };
    let unit = units.shown(rule.unit());
    let value = between(explained.finding.low, explained.finding.high, |value| {
        show(rule.unit().convert(value, unit), unit, None)
    });
    let inputs: Vec<String> = explained
        .inputs
        .iter()
        .map(|input| input_text(input, units))
        .collect();
    let inputs = if inputs.is_empty() {
        String::new()
    } else {
        format!(
            "{} at {}",
            inputs.join(", "),
            when(explained.decided_by, decision.zone)
        )
    };
    let formula = explained.formula.map_or("", |formula| formula.expression);
    let sources = match explained.formula {
        Some(formula) => format!("limit: {}; formula: {}", rule.source, formula.citation),
        None => rule.source.clone(),
    };
    let outcome = explained.outcome().replace('-', " ");
    let limit = decision.limit_text(rule, units);
    page.row(
        &rule.name,
        &[
            &outcome,
            &value,
            &limit,
            &inputs,
            &formula.replace('\n', " "),
            &sources,
        ],
    );
}

fn input_text(input: &Input, units: Units) -> String {
    let unit = units.shown(input.unit);
    match input.value {
        None => format!("{} missing", input.name),
        Some((low, high)) => {
            let found = between(low, high, |value| {
                show(input.unit.convert(value, unit), unit, None)
            });
            format!("{} {found}", input.name)
        }
    }
}

fn between(low: f64, high: f64, shown: impl Fn(f64) -> String) -> String {
    if !low.is_finite() && !high.is_finite() {
        "not known".to_owned()
    } else if high <= low {
        shown(low)
    } else {
        format!("{} to {}", shown(low), shown(high))
    }
}

fn limits(page: &mut Page, decision: &Decision, units: Units) {
    page.put("<section>\n<h2>Limits and where they come from</h2>");
    page.table(
        "of-5",
        "Every rule of the operation",
        &["Rule", "Limit", "On", "If not met", "Source"],
    );
    for (index, rule) in decision.operation.rules.iter().enumerate() {
        let unchecked = if decision.unchecked.contains(&index) {
            " (unchecked)"
        } else {
            ""
        };
        let effect = format!("{}{unchecked}", rule.severity.name());
        page.row(
            &rule.name,
            &[
                &decision.limit_text(rule, units),
                &looked_at(rule),
                &effect,
                &rule.source,
            ],
        );
    }
    page.end_table();
    page.put("</section>");
}

#[cfg(test)]
mod tests {
    use fairspell::site::Site;

    use super::*;
    use crate::picture::ink::tests::{NASTY_NAME, assert_asks_for_nothing, assert_escaped};
    use crate::picture::tests::{demo, oil, place};

    fn drawn() -> (Decision, String) {
        let forecast = demo();
        let decision = oil(&forecast, &place());
        let page = html(&decision, &forecast.members[0], Units::AsWritten);
        (decision, page)
    }

    /// HTML, 13.1.2 and 13.2: no markup from outside.
    #[test]
    fn names_from_outside_are_escaped() {
        let forecast = demo();
        let site = Site {
            name: Some(NASTY_NAME.to_owned()),
            ..place()
        };
        let page = html(
            &oil(&forecast, &site),
            &forecast.members[0],
            Units::AsWritten,
        );
        assert_escaped(&page, "Dormant oil at ", "</h1>");
    }

    /// The contract, section 7: one self-contained file, no script.
    #[test]
    fn the_page_asks_for_nothing() {
        let (_, page) = drawn();
        assert_asks_for_nothing(&page);
    }

    /// The contract, section 7: the page holds the facts of the text.
    #[test]
    fn the_page_holds_states_spells_reasons_and_sources() {
        let (decision, page) = drawn();
        let page = crate::unbroken::plain(&page);
        for word in ["fair", "hindered", "unknown"] {
            assert!(
                page.contains(&format!("</b> {word}</span>")),
                "{word} is not in the key"
            );
        }
        for spell in &decision.spells {
            let text = format!(
                "<th scope=\"row\">{}</th>",
                decision.interval(spell.start, spell.end)
            );
            assert!(page.contains(&text), "no {text}");
        }
        for reason in &decision.reasons {
            let text = crate::text::upper_first(&decision.reason_text(reason, Units::AsWritten));
            assert!(
                page.contains(&format!("<li>{}</li>", xml(&text))),
                "no {text}"
            );
        }
        for rule in &decision.operation.rules {
            assert!(
                page.contains(&format!("<td>{}</td></tr>", xml(&rule.source))),
                "no source of {}",
                rule.name
            );
        }
    }

    /// Arithmetic of the demo: 162 hours from now to the end of the file, six before.
    #[test]
    fn every_hour_has_a_cell() {
        let (_, page) = drawn();
        let count = |class: &str| page.matches(&format!("<li class=\"{class}\">")).count();
        assert_eq!((count("f") + count("h") + count("u"), count("n")), (162, 6));
    }

    /// The contract, 4.9: cautions travel with the answer, the label first.
    #[test]
    fn the_standing_cautions_come_last_and_the_label_first() {
        let (_, page) = drawn();
        let (_, last) = page.rsplit_once("<h2>").unwrap();
        assert!(
            last.starts_with("Always</h2>\n<ul>\n<li>The product&#39;s label is the law."),
            "{last}"
        );
    }

    /// Promise 5.
    #[test]
    fn the_same_answer_gives_the_same_bytes() {
        assert_eq!(drawn().1, drawn().1);
    }
}
