//! The answer as a picture: the days, the hours by state, and the measures against their limits, as SVG.
//!
//! It reads without colour: states differ by row, pattern and word, limits by their labels. Every text from outside
//! is escaped, every number has a fixed count of decimals, and so the same answer gives the same bytes.

use fairspell::decision::{Decision, Hour, Units, show};
use fairspell::operation::Measure;
use fairspell::series::{HOUR_S, HourlySeries};
use fairspell::spell::State;

pub mod band;
pub mod frame;
pub mod ink;
pub mod legend;
pub mod panel;
pub mod plot;
pub mod rule;
pub mod scale;
pub mod sheet;
pub mod texts;

use frame::Frame;
use ink::{Area, BLACK, GREY, HINDERED, Ink, text_width, wrapped, xml};
use panel::panels;
use plot::Plot;
use sheet::{LINE, MARGIN, MAX_NAMED, Sheet, TEXT, WIDTH};
use texts::spells;

use crate::text::upper_first;

/// Room for the names of days and the hours below them \[px\].
const NAMES: f64 = 34.0;
/// Hours without daylight.
pub const NIGHT: &str = r##"fill="#e6e8ef""##;

/// The picture as a file of its own, with all that the answer says.
pub fn svg(decision: &Decision, series: &HourlySeries, units: Units) -> String {
    let frame = Frame::new(decision, series);
    let sheet = Sheet {
        decision,
        series,
        units,
        frame: &frame,
    };
    let mut ink = Ink::default();
    let mut y = MARGIN + 18.0;
    for line in wrapped(&decision.headline(), 19.0, WIDTH - 2.0 * MARGIN) {
        ink.text((MARGIN, y), r#"font-size="19" font-weight="bold""#, &line);
        y += 25.0;
    }
    for reason in &decision.reasons {
        for line in wrapped(
            &upper_first(&decision.reason_text(reason, units)),
            13.0,
            WIDTH - 2.0 * MARGIN,
        ) {
            ink.text((MARGIN, y), r#"font-size="13""#, &line);
            y += LINE;
        }
    }
    y = chart(&sheet, &mut ink, y);
    y = texts::texts(&sheet, &mut ink, y + 16.0);
    document(
        &sheet,
        ink,
        y + MARGIN,
        r#"xmlns="http://www.w3.org/2000/svg" xml:lang="en""#,
    )
}

/// The chart alone, to stand in a page that says the rest.
pub fn inline_svg(sheet: &Sheet<'_>) -> String {
    let mut ink = Ink::default();
    let y = chart(sheet, &mut ink, 0.0);
    document(sheet, ink, y + 4.0, "")
}

fn document(sheet: &Sheet<'_>, body: Ink, height: f64, more: &str) -> String {
    let mut ink = Ink::default();
    ink.raw(&format!(
        r#"<svg {more} width="{WIDTH}" height="{height:.0}" viewBox="0 0 {WIDTH} {height:.0}" role="img" aria-labelledby="picture-title picture-desc" font-family="sans-serif" font-size="{TEXT}" fill="{BLACK}">"#
    ));
    ink.raw(&format!(
        r#"<title id="picture-title">{}</title>"#,
        xml(&sheet.decision.headline())
    ));
    ink.raw(&format!(
        r#"<desc id="picture-desc">{}</desc>"#,
        xml(&described(sheet))
    ));
    ink.raw(&format!(
        r##"<defs>
<pattern id="hindered" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect width="6" height="6" fill="{HINDERED}"/><path d="M1 0V6" stroke="#6b4420" stroke-width="2"/></pattern>
<pattern id="unknown" width="5" height="5" patternUnits="userSpaceOnUse"><rect width="5" height="5" fill="#ffffff"/><circle cx="2.5" cy="2.5" r="1.1" fill="#444444"/></pattern>
<pattern id="bounds" width="4" height="4" patternUnits="userSpaceOnUse"><rect width="4" height="4" fill="#dbe5f2"/><path d="M0 2H4" stroke="#1c3d6b" stroke-width="0.8"/></pattern>
</defs>"##
    ));
    ink.area(
        Area {
            x: 0.0,
            y: 0.0,
            width: WIDTH,
            height,
        },
        r##"fill="#ffffff""##,
    );
    ink.raw(&body.into_text());
    ink.raw("</svg>");
    ink.into_text()
}

/// The picture in words, for those who do not see it.
fn described(sheet: &Sheet<'_>) -> String {
    let decision = sheet.decision;
    let mut texts = vec!["Hours by state on the place's clock.".to_owned()];
    let runs = sheet.frame.runs();
    for state in [State::Fair, State::Hindered, State::Unknown] {
        let hours: i64 = runs
            .iter()
            .filter(|run| run.state == state)
            .map(|run| (run.end - run.start) / HOUR_S)
            .sum();
        texts.push(format!("{} {hours} h.", upper_first(state.name())));
    }
    for spell in spells(decision).take(MAX_NAMED) {
        texts.push(format!(
            "Spell {}, {} h.",
            decision.interval(spell.start, spell.end),
            spell.hours()
        ));
    }
    for panel in panels(decision, sheet.series, sheet.units) {
        let (low, high) = Plot::new(sheet, &panel).range();
        let value = |value| show(value, panel.unit, None);
        let range = if low <= high {
            format!("{} to {}", value(low), value(high))
        } else {
            "no values".to_owned()
        };
        let labels: Vec<&str> = panel
            .limits
            .iter()
            .map(|limit| limit.label.as_str())
            .collect();
        texts.push(format!(
            "{}: {range}; limits: {}.",
            upper_first(&panel.title()),
            labels.join(", ")
        ));
    }
    texts.join(" ")
}

/// Legend, days, hours by state and panels, from `y` down; returns where they end.
fn chart(sheet: &Sheet<'_>, ink: &mut Ink, y: f64) -> f64 {
    let panels = panels(sheet.decision, sheet.series, sheet.units);
    let plots: Vec<Plot<'_>> = panels.iter().map(|panel| Plot::new(sheet, panel)).collect();
    let mut front = Ink::default();
    let mut y = remarks(sheet, &mut front, y + 4.0);
    y = legend::legend(sheet, &mut front, &plots, y + 8.0) + 8.0;
    let header = y;
    let window = days(sheet, &mut front, y) + 2.0;
    let flags = band::window(sheet, &mut front, window);
    let rows = band::flags(sheet, &mut front, flags);
    y = band::rows(sheet, &mut front, rows);
    let mut strips = vec![(header, y)];
    let window = (flags - 12.0, y);
    y += 8.0;
    for plot in &plots {
        strips.push(plot.edges(y));
        y = plot.draw(&mut front, y);
    }
    let bottom = strips.last().map_or(y, |(_, bottom)| *bottom);
    for (index, strip) in strips.into_iter().enumerate() {
        ground(sheet, ink, strip, index == 0);
        window_ends(sheet, ink, if index == 0 { window } else { strip });
    }
    ink.raw(&front.into_text());
    window_ends(sheet, ink, (rows, window.1));
    hours(sheet, ink, bottom + 14.0);
    bottom + 20.0
}

/// Which clock, which days are left out, and which are not 24 hours long.
fn remarks(sheet: &Sheet<'_>, ink: &mut Ink, mut y: f64) -> f64 {
    let mut texts = vec![format!(
        "All times are on the clock of {}.",
        sheet.decision.zone.name()
    )];
    texts.extend(sheet.frame.remarks());
    if band::has_nameless(sheet) {
        texts.push("There is no room for the times of every spell.".to_owned());
    }
    for line in wrapped(&texts.join(" "), TEXT, WIDTH - 2.0 * MARGIN) {
        ink.text((MARGIN, y + 10.0), &format!(r#"fill="{GREY}""#), &line);
        y += LINE;
    }
    y
}

/// Whether an hour is dark: a rule on the sun fails in it.
fn is_dark(sheet: &Sheet<'_>, hour: &Hour) -> bool {
    sheet.decision.hindrances(hour).iter().any(|hindrance| {
        let rule = sheet.decision.rule(hindrance.rule);
        rule.is_some_and(|rule| {
            matches!(rule.measure, Measure::Daylight | Measure::SunElevation)
                && rule.at_least.is_some()
        })
    })
}

/// Dark hours in runs.
pub fn nights(sheet: &Sheet<'_>) -> Vec<(i64, i64)> {
    let mut runs: Vec<(i64, i64)> = Vec::new();
    for cell in &sheet.frame.cells {
        if !cell.hour.is_some_and(|hour| is_dark(sheet, hour)) {
            continue;
        }
        match runs.last_mut() {
            Some(run) if run.1 == cell.time => run.1 = cell.time + HOUR_S,
            _ => runs.push((cell.time, cell.time + HOUR_S)),
        }
    }
    runs
}

/// What lies behind all in a strip from top to bottom: nights, and the lines between days.
fn ground(sheet: &Sheet<'_>, ink: &mut Ink, (top, bottom): (f64, f64), has_names: bool) {
    let below = if has_names { top + NAMES } else { top };
    for (start, end) in nights(sheet) {
        let (left, right) = (sheet.x(start), sheet.x(end));
        ink.area(
            Area {
                x: left,
                y: below,
                width: right - left,
                height: bottom - below,
            },
            NIGHT,
        );
    }
    let starts = sheet.frame.days.iter().map(|day| day.start);
    for time in starts.chain([sheet.frame.end()]) {
        let x = sheet.x(time);
        ink.line(
            (x, top),
            (x, bottom),
            r##"stroke="#6b6b6b" stroke-width="1""##,
        );
    }
}

/// The time asked about and the window's end, down through a strip.
fn window_ends(sheet: &Sheet<'_>, ink: &mut Ink, (top, bottom): (f64, f64)) {
    let (from, to) = (sheet.x(sheet.decision.at), sheet.x(sheet.decision.until));
    ink.line(
        (from, top),
        (from, bottom),
        &format!(r#"stroke="{BLACK}" stroke-width="1.6""#),
    );
    if sheet.decision.until <= sheet.frame.end() {
        ink.line(
            (to, top),
            (to, bottom),
            &format!(r#"stroke="{BLACK}" stroke-width="1.6" stroke-dasharray="2 3""#),
        );
    }
}

/// Names of the days over the hours of the clock.
fn days(sheet: &Sheet<'_>, ink: &mut Ink, y: f64) -> f64 {
    let is_narrow = sheet.hour_width() * 24.0 < 100.0;
    let size = if is_narrow { TEXT } else { 13.0 };
    let look = format!(r#"font-size="{size}" font-weight="bold" text-anchor="middle""#);
    for day in &sheet.frame.days {
        let (left, right) = (sheet.x(day.start), sheet.x(day.end));
        if day.is_cut && text_width(&day.name, size) * 1.1 > right - left {
            continue;
        }
        let x = f64::midpoint(left, right);
        ink.text((x, y + 13.0), &look, &day.name);
    }
    hours(sheet, ink, y + 28.0);
    y + NAMES
}

/// Hours of the clock, as many as there is room for.
fn hours(sheet: &Sheet<'_>, ink: &mut Ink, y: f64) {
    let width = sheet.hour_width();
    let step = [1, 2, 3, 6, 12]
        .into_iter()
        .find(|step| f64::from(*step) * width >= 20.0)
        .unwrap_or(12);
    let look = format!(r#"font-size="11" text-anchor="middle" fill="{GREY}""#);
    for (time, hour) in sheet.frame.ticks(sheet.decision, step) {
        if hour > 0 {
            ink.text((sheet.x(time), y), &look, &format!("{hour:02}"));
        }
    }
}

#[cfg(test)]
pub mod tests {
    use fairspell::decision::{Question, decide};
    use fairspell::operation::Operation;
    use fairspell::read::{Reading, Source, parse_time, read_hourly};
    use fairspell::site::Site;

    use super::*;
    use crate::picture::ink::tests::{NASTY_NAME, assert_escaped};

    /// The demo's forecast.
    pub fn demo() -> Reading {
        let bytes = fairspell_data::demo::FORECAST.as_bytes();
        read_hourly(
            Source {
                name: "forecast.csv",
                bytes,
            },
            None,
        )
        .unwrap()
    }

    /// The demo's place.
    pub fn place() -> Site {
        let bytes = fairspell_data::demo::SITE.as_bytes();
        Site::read(Source {
            name: "site.toml",
            bytes,
        })
        .unwrap()
    }

    /// What a reading says of dormant oil at a place on Monday 8 March 2027 at 06:00.
    pub fn oil(forecast: &Reading, site: &Site) -> Decision {
        let operation = Operation::built_in("oil").unwrap();
        let at = parse_time("2027-03-08T06:00:00-06:00", None, None).unwrap();
        let (is_dry_now, is_strict) = (false, false);
        let operation = &operation;
        decide(&Question {
            forecast,
            operation,
            site,
            at,
            until: None,
            is_dry_now,
            is_strict,
            explain: None,
        })
        .unwrap()
    }

    fn drawn() -> (Decision, String) {
        let forecast = demo();
        let decision = oil(&forecast, &place());
        let picture = svg(&decision, &forecast.members[0], Units::AsWritten);
        (decision, picture)
    }

    /// XML 1.0, 2.4: no markup from outside.
    #[test]
    fn names_from_outside_are_escaped() {
        let forecast = demo();
        let site = Site {
            name: Some(NASTY_NAME.to_owned()),
            ..place()
        };
        let picture = svg(
            &oil(&forecast, &site),
            &forecast.members[0],
            Units::AsWritten,
        );
        assert_escaped(&picture, "", "");
    }

    /// The contract, section 7: states are told apart by label, and the picture holds the spells of the answer.
    #[test]
    fn each_state_and_each_spell_is_named() {
        let (decision, picture) = drawn();
        for state in [State::Fair, State::Hindered, State::Unknown] {
            assert!(
                picture.contains(&format!(">{}</text>", state.name())),
                "{} has no label",
                state.name()
            );
        }
        assert_eq!(
            decision.spells.len(),
            2,
            "the demo's own page: two spells for oil"
        );
        for spell in &decision.spells {
            let text = format!(
                ">{}, {} h, best start",
                decision.interval(spell.start, spell.end),
                spell.hours()
            );
            assert!(picture.contains(&text), "no {text}");
        }
    }

    /// Arithmetic of the demo: all of its measures but clouds are limited by the rules for oil.
    #[test]
    fn measures_that_rules_limit_are_drawn_with_their_limits() {
        let (_, picture) = drawn();
        for text in [
            "temperature, °F",
            "rain, mm",
            "chance of rain, %",
            "humidity, %",
            "wind (line) and gusts (dots), mph",
        ] {
            assert!(
                picture.contains(&format!(">{text}</text>")),
                "no panel {text}"
            );
        }
        for text in [
            "at least 40 °F",
            "at most 90 °F ↑",
            "at most 0 mm",
            "wind at most 10 mph",
            "gusts at most 15 mph",
        ] {
            assert!(
                picture.contains(&format!(">{text}</text>")),
                "no limit {text}"
            );
        }
        assert!(!picture.contains(">cloud"), "no rule limits clouds");
    }

    /// 40 °F is 4.4 °C, 10 mph are 4.5 m/s (NIST SP 811, appendix B).
    #[test]
    fn limits_are_shown_in_the_units_asked_for() {
        let forecast = demo();
        let picture = svg(&oil(&forecast, &place()), &forecast.members[0], Units::Si);
        assert!(
            picture.contains(">at least 4.4 °C</text>")
                && picture.contains(">wind at most 4.5 m/s</text>")
        );
    }

    /// Promise 5.
    #[test]
    fn the_same_answer_gives_the_same_bytes() {
        assert_eq!(drawn().1, drawn().1);
    }

    /// The contract, 4.9: cautions travel with the answer.
    #[test]
    fn the_label_is_named() {
        assert!(drawn().1.contains("The product&#39;s label is the law."));
    }
}
