//! Freezes as one page of HTML: no script, nothing fetched, readable on a phone, on paper and by ear.
//!
//! What the record means comes first, then the dates, the picture of [`crate::freeze_picture`], what else to know, and
//! every year. Every text from outside is escaped.

use fairspell::freeze::{
    Asked, AtThreshold, Half, HalfName, Headline, LEAST_RISK_YEARS, StationFreezes, YearDate,
};
use fairspell::quantity::decimals;
use fairspell::statistics::wilson;

use crate::freeze_picture::{self, record, title, trend};
use crate::freeze_words::{counted, date, leading, sentences};
use crate::markup::Page;
use crate::picture::ink::xml;

/// The page.
pub fn html(station: &StationFreezes, asked: Asked) -> String {
    let mut page = Page::new(&title(station), STYLE);
    let title = xml(&title(station));
    page.put(&format!("<header>\n<h1>{title}</h1>"));
    page.put(&format!(
        "<p class=\"small\">{}</p>\n</header>",
        xml(&record(station))
    ));
    first(&mut page, station, asked);
    dates(&mut page, station);
    present(&mut page, station);
    picture(&mut page, station, asked);
    page.list("What else to know", &station.notices);
    years(&mut page, station);
    page.end()
}

/// Colours: text 17.2:1 on white, grey 7.5:1.
pub const STYLE: &str = "\
* { box-sizing: border-box; }
body { margin: 0; background: #fff; color: #1b1b1b; font: 1rem/1.5 sans-serif; overflow-wrap: break-word; }
main { max-width: 66rem; margin: 0 auto; padding: 1rem; }
h1 { font-size: 1.5rem; line-height: 1.3; margin: 0 0 .3rem; }
h2 { font-size: 1.15rem; margin: 1.6rem 0 .4rem; border-bottom: 1px solid #8a8a8a; }
p { margin: .3rem 0; }
ul { margin: .3rem 0; padding-left: 1.2rem; }
.first { font-size: 1.2rem; list-style: none; padding: .5rem .9rem; border-left: 5px solid #1c3d6b; }
.small, caption, figcaption { font-size: .875rem; color: #555; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; font-size: .9375rem; font-variant-numeric: tabular-nums; }
.dates { min-width: 50rem; }
.dates td, .dates th { white-space: nowrap; }
caption { text-align: left; padding: .2rem 0; }
th, td { text-align: left; vertical-align: top; padding: .25rem .8rem .25rem 0; border-bottom: 1px solid #cfcfcf; }
tbody th { font-weight: 600; }
figure { margin: .5rem 0; }
figure svg { display: block; width: 100%; min-width: 50rem; height: auto; }
details { border-bottom: 1px solid #cfcfcf; padding: .3rem 0; }
summary { cursor: pointer; font-weight: 600; padding: .2rem 0; }
.out td { color: #555; font-style: italic; }
.narrow { display: none; }
@media (max-width: 52rem) { .narrow { display: block; } }
@page { size: portrait; margin: 13mm; }
@media print {
* { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
body { font-size: 10pt; line-height: 1.35; color: #000; }
.first { font-size: 12pt; }
h2 { margin-top: 1rem; }
main { max-width: none; padding: 0; }
.wide { overflow: visible; }
.narrow { display: none; }
.dates { min-width: 0; }
.chart { break-before: page; break-inside: avoid; }
figure svg { min-width: 0; max-height: 232mm; }
table { font-size: 8.5pt; }
h2, p.small { break-after: avoid; }
tr, li, .dates { break-inside: avoid; }
.years table { break-inside: auto; }
details:not([open]), .years:not(:has(details[open])) { display: none; }
th, td { padding: .15rem .5rem .15rem 0; }
}
";

/// What the record means, a sentence a threshold; in words also where there was no freeze.
fn first(page: &mut Page, station: &StationFreezes, asked: Asked) {
    page.put("<ul class=\"first\">");
    for text in sentences(station, asked) {
        page.put(&format!("<li>{}</li>", xml(&text)));
    }
    page.put("</ul>");
}

fn halves(at: &AtThreshold) -> [&Half; 2] {
    [&at.spring, &at.autumn]
}

fn of(at: &AtThreshold, name: HalfName) -> &Half {
    match name {
        HalfName::Spring => &at.spring,
        HalfName::Autumn => &at.autumn,
    }
}

/// Heading and what a date is called.
fn heading(name: HalfName) -> &'static str {
    match name {
        HalfName::Spring => "Last spring freeze",
        HalfName::Autumn => "First autumn freeze",
    }
}

fn dates(page: &mut Page, station: &StationFreezes) {
    page.put("<section>\n<h2>Dates</h2>");
    page.put("<p class=\"small\">The date by which 10, 50 and 90 % of the valid years have had the freeze. A year without a freeze lies before every date in spring and after every date in autumn; where that leaves no date, it says none. The share of years with a freeze has its 95 % interval (Wilson).</p>",
    );
    for name in [HalfName::Spring, HalfName::Autumn] {
        let heads = [
            "Threshold",
            "10 %",
            "50 %",
            "90 %",
            "Years with a freeze",
            "95 % interval",
            "Valid years",
            "Trend in ten years",
        ];
        page.table("dates", heading(name), &heads);
        for at in &station.thresholds {
            page.row(&at.threshold.to_string(), &cells(of(at, name)));
        }
        page.end_table();
    }
    page.put("</section>");
}

fn cells(half: &Half) -> Vec<String> {
    let percent = |share: f64| decimals(100.0 * share, 0);
    let mut cells: Vec<String> = half
        .mixed
        .iter()
        .map(|day| match day {
            _ if half.valid_years < LEAST_RISK_YEARS => "too few years".to_owned(),
            Some(day) => date(*day),
            None => "none".to_owned(),
        })
        .collect();
    let share = half
        .freeze_probability()
        .map_or("not known".to_owned(), |share| {
            format!("{} %", percent(share))
        });
    let interval = if half.valid_years == 0 {
        "not known".to_owned()
    } else {
        let (low, high) = wilson(half.freeze_years, half.valid_years);
        format!("{} to {} %", percent(low), percent(high))
    };
    cells.extend([share, interval, half.valid_years.to_string()]);
    cells.push(trend(half).unwrap_or("none given".to_owned()));
    cells
}

/// The dates of the present climate, where an answer leads with them.
fn present(page: &mut Page, station: &StationFreezes) {
    let Some(words) = leading(station) else {
        return;
    };
    page.put("<section>\n<h2>The present climate</h2>");
    page.put(&format!("<p>{}</p>", xml(&words)));
    let leads = |half: &&Half| half.headline == Headline::Present;
    let mut all = station.thresholds.iter().flat_map(halves);
    if !all.any(|half| leads(&half)) {
        page.put("</section>");
        return;
    }
    let heads = ["Threshold", "Half", "For", "10 %", "50 %", "90 %"];
    page.table(
        "dates",
        "Date by which 10, 50 and 90 % of the years with a freeze have had it",
        &heads,
    );
    for at in &station.thresholds {
        for half in halves(at).into_iter().filter(leads) {
            let Some(present) = &half.present else {
                continue;
            };
            let mut cells = vec![
                half.window.half.name().to_owned(),
                present.for_year.to_string(),
            ];
            cells.extend(
                present
                    .quantiles
                    .iter()
                    .map(|day| day.map_or("none".to_owned(), date)),
            );
            page.row(&at.threshold.to_string(), &cells);
        }
    }
    page.end_table();
    page.put("</section>");
}

fn picture(page: &mut Page, station: &StationFreezes, asked: Asked) {
    page.put("<section class=\"chart\">\n<h2>Risk over the dates, and the years</h2>");
    page.picture(
        "Picture of the risk",
        &freeze_picture::inline_svg(station, asked),
    );
    page.put("</section>");
}

/// Every year, a table a threshold.
fn years(page: &mut Page, station: &StationFreezes) {
    page.put("<section class=\"years\">\n<h2>Year by year</h2>");
    for at in &station.thresholds {
        let name = format!("{} or lower", at.threshold);
        page.put(&format!("<details>\n<summary>{}</summary>", xml(&name)));
        for half in halves(at) {
            page.put(&format!(
                "<p class=\"small\">{}: {}.</p>",
                heading(half.window.half),
                xml(&counted(half))
            ));
        }
        let heads = [
            "Year",
            "Last spring freeze",
            "Days missing in spring",
            "First autumn freeze",
            "Days missing in autumn",
        ];
        page.table("dates", &format!("Freezes of {name}, year by year"), &heads);
        for year in all_years(at) {
            let of_year = |half: &Half| half.years.iter().find(|of| of.year == year).copied();
            let halves = halves(at).map(of_year);
            let is_out = halves.iter().flatten().all(|half| !half.is_valid);
            let cells = halves.map(|half| year_cells(half.as_ref())).concat();
            if is_out {
                page.row_out(&year.to_string(), &cells);
            } else {
                page.row(&year.to_string(), &cells);
            }
        }
        page.end_table();
        page.put("</details>");
    }
    page.put("</section>");
}

fn all_years(at: &AtThreshold) -> Vec<i32> {
    let mut years: Vec<i32> = halves(at)
        .into_iter()
        .flat_map(|half| &half.years)
        .map(|of| of.year)
        .collect();
    years.sort_unstable();
    years.dedup();
    years
}

/// A half of a year: its date, and how many days are missing; what does not count is said in words.
fn year_cells(year: Option<&YearDate>) -> [String; 2] {
    let Some(year) = year else {
        return ["not in the record".to_owned(), String::new()];
    };
    let seen = year.date.map(|date| date.format("%-d %b %Y").to_string());
    let text = match (seen, year.is_valid) {
        (Some(date), true) => date,
        (None, true) => "no freeze".to_owned(),
        (Some(date), false) => format!("left out (seen: {date})"),
        (None, false) => "left out".to_owned(),
    };
    [text, year.missing_days.to_string()]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::freeze_picture::tests::{named, with_freezes};
    use crate::picture::ink::tests::{NASTY_NAME, assert_asks_for_nothing, assert_escaped};

    /// HTML, 13.1.2 and 13.2: no markup from outside.
    #[test]
    fn names_from_outside_are_escaped() {
        let page = html(&named(NASTY_NAME), Asked::default());
        assert_escaped(&page, "Last and first freezes: ", "</h1>");
    }

    /// The contract, section 7: one self-contained file, no script.
    #[test]
    fn the_page_asks_for_nothing() {
        let page = html(&named("S1"), Asked::default());
        assert_asks_for_nothing(&page);
    }

    /// Arithmetic of the made record: 25 freezes of 25 years, Wilson's lower end 1 / (1 + 1.96² / 25) = 87 %.
    #[test]
    fn the_page_holds_dates_shares_and_years() {
        let page = crate::unbroken::plain(&html(&with_freezes(&[28.0]), Asked::default()));
        let cells = "<td>100 %</td><td>87 to 100 %</td><td>25</td>";
        assert!(page.contains(cells), "no {cells}");
        let year = "<th scope=\"row\">2000</th><td>10 Apr 2000</td><td>0</td><td>20 Oct 2000</td><td>0</td>";
        assert!(page.contains(year), "no {year}");
        let first = page.find("<li>On ").expect("a sentence");
        assert!(
            first < page.find("<table").expect("a table"),
            "the sentence is not first"
        );
    }

    /// Years without a freeze are years: a threshold that no year reached is said in words, not left out.
    #[test]
    fn a_threshold_without_freezes_is_said() {
        let page = html(&with_freezes(&[-40.0]), Asked::default());
        assert!(
            page.contains("No spring of 25 brought -40 °F or lower."),
            "nothing is said"
        );
    }
}
