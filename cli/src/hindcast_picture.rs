//! Past hours as a picture: the usable hours of each week of each year, and below them what hindered, as SVG.
//!
//! It reads without colour: a bar's height is the share of hours that were fair, a number tells the usable days, and
//! unknown hours are hatched. Every text from outside is escaped, every number has a fixed count of decimals, and so the
//! same answer gives the same bytes.

use fairspell::hindcast::{Hindcast, Week};
use fairspell::quantity::{counted, decimals};

use crate::hindcast_words::{date, headline, share};
use crate::picture::ink::{Area, BLACK, GREY, Ink, RUST, wrapped, xml};

/// Most years drawn: the latest; earlier ones are counted in words.
const MAX_YEARS: usize = 60;
/// Most rules drawn: those that cost most.
const MAX_RULES: usize = 10;
/// Weeks of the year.
const WEEKS: u32 = 52;
/// Width of the drawing \[px\].
const WIDTH: f64 = 1000.0;
/// Margin of the sheet \[px\].
const MARGIN: f64 = 16.0;
/// Left edge of the weeks, with room for names before them \[px\].
const LEFT: f64 = 168.0;
/// Width of a week \[px\].
const WEEK: f64 = 15.6;
/// Height of a year and of a rule \[px\].
const ROW: f64 = 22.0;
/// The ground of a week in the record.
const GROUND: &str = r##"fill="#f1f1f1""##;
/// A bar of fair hours: 3.3:1 on that ground, black numbers on it 4.6:1.
const BAR: &str = r##"fill="#7086a8""##;
/// The hatch of unknown hours.
const HATCH: &str = r#"fill="url(#unknown)""#;

/// The picture as a file of its own, with what else to know in words.
pub fn svg(answer: &Hindcast) -> String {
    let mut ink = Ink::default();
    let mut y = MARGIN + 16.0;
    for line in wrapped(&headline(answer), 17.0, WIDTH - 2.0 * MARGIN) {
        ink.text((MARGIN, y), r#"font-size="17" font-weight="bold""#, &line);
        y += 22.0;
    }
    y = panels(answer, &mut ink, y + 4.0);
    let look = format!(r#"font-size="12" fill="{GREY}""#);
    for notice in &answer.notices {
        for line in wrapped(notice, 12.0, WIDTH - 2.0 * MARGIN) {
            y += 16.0;
            ink.text((MARGIN, y), &look, &line);
        }
    }
    document(
        answer,
        &ink.into_text(),
        y + MARGIN,
        r#"xmlns="http://www.w3.org/2000/svg" xml:lang="en""#,
    )
}

/// The panels alone, to stand in a page that says the rest.
pub fn inline_svg(answer: &Hindcast) -> String {
    let mut ink = Ink::default();
    let y = panels(answer, &mut ink, 4.0);
    document(answer, &ink.into_text(), y + 4.0, "")
}

fn document(answer: &Hindcast, body: &str, height: f64, more: &str) -> String {
    let mut ink = Ink::default();
    ink.raw(&format!(
        r#"<svg {more} width="{WIDTH}" height="{height:.0}" viewBox="0 0 {WIDTH} {height:.0}" role="img" aria-labelledby="picture-title picture-desc" font-family="sans-serif" font-size="12" fill="{BLACK}">"#
    ));
    ink.raw(&format!(
        r#"<title id="picture-title">{}</title>"#,
        xml(&headline(answer))
    ));
    let words = format!(
        "Fair hours week by week and year by year; {} of {} days are usable. Below, how often each rule failed in each week of the year.",
        answer.days.usable, answer.days.days
    );
    ink.raw(&format!(
        r#"<desc id="picture-desc">{}</desc>"#,
        xml(&words)
    ));
    ink.raw(&format!(
        r#"<defs><pattern id="unknown" width="4" height="4" patternUnits="userSpaceOnUse"><path d="M0 4L4 0" stroke="{GREY}" stroke-width="0.8"/></pattern></defs>"#
    ));
    let sheet = Area {
        x: 0.0,
        y: 0.0,
        width: WIDTH,
        height,
    };
    ink.area(sheet, r##"fill="#ffffff""##);
    ink.raw(body);
    ink.raw("</svg>");
    ink.into_text()
}

/// Both panels from `y` down; returns where they end.
fn panels(answer: &Hindcast, ink: &mut Ink, y: f64) -> f64 {
    let y = years(answer, ink, y);
    rules(answer, ink, y + 26.0)
}

fn left(week: u32) -> f64 {
    LEFT + f64::from(week.saturating_sub(1)) * WEEK
}

/// First days of the weeks in which months begin.
fn months(ink: &mut Ink, y: f64) {
    let look = format!(r#"font-size="11" fill="{GREY}""#);
    let mut last = 0;
    for week in 1..=WEEKS {
        let of = Week {
            week,
            ..Week::default()
        };
        let Some(start) = of.starts().filter(|start| start.month() != last) else {
            continue;
        };
        last = start.month();
        ink.text((left(week), y), &look, &date(start));
    }
}

/// Heading, what the signs mean, and the years.
fn years(answer: &Hindcast, ink: &mut Ink, mut y: f64) -> f64 {
    let mut listed: Vec<i32> = answer.weeks.iter().map(|week| week.year).collect();
    listed.dedup();
    let hidden = listed.len().saturating_sub(MAX_YEARS);
    let bold = r#"font-weight="bold""#;
    ink.text((MARGIN, y + 12.0), bold, "Fair hours, week by week");
    let words = "bar: share of hours that were fair; number: usable days of the week; hatched: share unknown";
    ink.text(
        (MARGIN + 190.0, y + 12.0),
        &format!(r#"fill="{GREY}""#),
        words,
    );
    y += 30.0;
    months(ink, y);
    y += 6.0;
    for year in listed.iter().skip(hidden) {
        ink.text((MARGIN, y + 15.0), "", &year.to_string());
        for week in answer.weeks.iter().filter(|week| week.year == *year) {
            cell(answer, ink, week, y);
        }
        y += ROW;
    }
    if hidden > 0 {
        y += 14.0;
        let words = counted(hidden as u64, "earlier year is", "earlier years are");
        let words = format!("{words} not drawn");
        ink.text((MARGIN, y), &format!(r#"fill="{GREY}""#), &words);
    }
    y
}

/// A week of a year.
fn cell(answer: &Hindcast, ink: &mut Ink, week: &Week, y: f64) {
    let all = week.hours.all().max(1) as f64;
    let height = ROW - 3.0;
    let part = |hours: usize| height * hours as f64 / all;
    let place = |from: f64, height: f64| Area {
        x: left(week.week),
        y: y + from,
        width: WEEK - 1.5,
        height,
    };
    let told = format!(
        "{} week {}: {} h fair, {} hindered, {} unknown; {} of {} days usable{}",
        week.year,
        week.week,
        week.hours.fair,
        week.hours.hindered,
        week.hours.unknown,
        week.days.usable,
        week.days.days,
        most(answer, week)
    );
    ink.told_area(place(0.0, height), GROUND, &told);
    if week.hours.unknown > 0 {
        ink.area(place(0.0, part(week.hours.unknown)), HATCH);
    }
    let fair = part(week.hours.fair);
    ink.area(place(height - fair, fair), BAR);
    if week.days.usable > 0 {
        let look = r#"font-size="9" text-anchor="middle""#;
        let at = (left(week.week) + WEEK / 2.0 - 0.75, y + height - 3.0);
        ink.text(at, look, &week.days.usable.to_string());
    }
}

/// The rule that hindered most hours of a week.
fn most(answer: &Hindcast, week: &Week) -> String {
    let costs = week
        .by_rule
        .iter()
        .enumerate()
        .filter(|(_, hours)| **hours > 0);
    let most = costs.max_by_key(|(rule, hours)| (**hours, usize::MAX - rule));
    let name = most.and_then(|(rule, hours)| Some((answer.operation.rules.get(rule)?, hours)));
    name.map_or(String::new(), |(rule, hours)| {
        format!("; most hindered by {}, {hours} h", rule.name)
    })
}

/// How often each rule failed in each week of the year.
fn rules(answer: &Hindcast, ink: &mut Ink, mut y: f64) -> f64 {
    let mut costs = answer.by_rule.clone();
    costs.retain(|cost| cost.hours > 0);
    costs.sort_by_key(|cost| (core::cmp::Reverse(cost.hours), cost.rule));
    if costs.is_empty() {
        return y;
    }
    ink.text((MARGIN, y), r#"font-weight="bold""#, "What hindered");
    let words = "bar: share of the hours of that week, over all years, in which the rule failed";
    ink.text((MARGIN + 190.0, y), &format!(r#"fill="{GREY}""#), words);
    y += 18.0;
    months(ink, y);
    y += 6.0;
    let weeks = answer.weeks_of_the_year();
    for cost in costs.iter().take(MAX_RULES) {
        let name = answer
            .operation
            .rules
            .get(cost.rule)
            .map_or("", |rule| rule.name.as_str());
        rule_name(ink, name, y);
        for week in weeks.iter().filter(|week| week.hours.all() > 0) {
            rule_cell(ink, week, (cost.rule, name), y);
        }
        y += ROW;
    }
    if costs.len() > MAX_RULES {
        let words = counted(
            (costs.len() - MAX_RULES) as u64,
            "rule that costs less is not drawn",
            "rules that cost less are not drawn",
        );
        ink.text((MARGIN, y + 12.0), &format!(r#"fill="{GREY}""#), &words);
        y += 16.0;
    }
    y
}

/// The name of a rule before its weeks: in one line, else smaller in two.
fn rule_name(ink: &mut Ink, name: &str, y: f64) {
    let lines = wrapped(name, 12.0, LEFT - MARGIN - 8.0);
    if let [line] = lines.as_slice() {
        return ink.text((MARGIN, y + 15.0), "", line);
    }
    let lines = wrapped(name, 10.0, LEFT - MARGIN - 8.0);
    let more = if lines.len() > 2 { "…" } else { "" };
    for (line, baseline, end) in lines
        .iter()
        .zip([9.0, 20.0])
        .map(|(line, at)| (line, y + at, if at > 9.0 { more } else { "" }))
    {
        ink.text(
            (MARGIN, baseline),
            r#"font-size="10""#,
            &format!("{line}{end}"),
        );
    }
}

fn rule_cell(ink: &mut Ink, week: &Week, (rule, name): (usize, &str), y: f64) {
    let (hours, all) = (
        week.by_rule.get(rule).copied().unwrap_or(0),
        week.hours.all(),
    );
    let height = ROW - 3.0;
    let tall = height * hours as f64 / all.max(1) as f64;
    let place = |from: f64, height: f64| Area {
        x: left(week.week),
        y: y + from,
        width: WEEK - 1.5,
        height,
    };
    let start = week.starts().map_or(String::new(), date);
    let told = format!(
        "{name}, week from {start}: {} h ({})",
        decimals(hours as f64, 0),
        share(hours, all)
    );
    ink.told_area(place(0.0, height), GROUND, &told);
    ink.area(place(height - tall, tall), &format!(r#"fill="{RUST}""#));
}
