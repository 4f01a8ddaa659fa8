//! Checks of the picture, and plans for those of the other formats.

use fairspell::plant::PlantTable;
use fairspell::read::Source;
use fairspell::read::daily::{DailyOptions, read_daily};
use fairspell::season::{SeasonQuestion, SeasonSettings, season};
use fairspell::site::Site;

use super::*;
use crate::picture::ink::tests::{NASTY_NAME, assert_asks_for_nothing, assert_escaped};
use crate::season::{calendar, page, text};

/// The demo's garden and record, at a place of a name, by a station of the same name.
fn with_plan<T>(name: &str, use_it: impl FnOnce(&Plan<'_>) -> T) -> T {
    let source = |name, bytes| Source { name, bytes };
    let toml = fairspell_data::demo::SITE.as_bytes();
    let mut site = Site::read(source("site.toml", toml)).unwrap();
    site.name = Some(name.to_owned());
    let csv = fairspell_data::demo::STATION.as_bytes();
    let stations = read_daily(source("station.csv", csv), DailyOptions::default()).unwrap();
    let settings = SeasonSettings {
        replicates: 20,
        ..SeasonSettings::default()
    };
    let mut season = season(&SeasonQuestion {
        record: &stations[0].series,
        site: &site,
        table: &PlantTable::built_in(),
        year: 2027,
        observed: None,
        settings: &settings,
    })
    .unwrap();
    name.clone_into(&mut season.station);
    use_it(&Plan {
        season,
        site: &site,
        units: fairspell::decision::Units::AsWritten,
        explained: Vec::new(),
        now: 0,
    })
}

/// XML 1.0, 2.4, and HTML, 13.1.2: no markup from outside.
#[test]
fn names_from_outside_are_escaped() {
    for drawn in [
        with_plan(NASTY_NAME, svg),
        with_plan(NASTY_NAME, page::html),
    ] {
        assert_escaped(&drawn, "Late winter 2027 at ", "");
    }
    for written in [
        with_plan(NASTY_NAME, |plan| text::text(plan, 80)),
        with_plan(NASTY_NAME, calendar::calendar),
    ] {
        assert!(!written.contains('\u{7}'), "a control character");
    }
}

/// The contract, section 7: one self-contained file, no script.
#[test]
fn the_page_asks_for_nothing() {
    assert_asks_for_nothing(&with_plan("S1", page::html));
}

/// Promise 5; and a name of one long word stays within 80 columns.
#[test]
fn the_same_plan_gives_the_same_bytes() {
    assert_eq!(with_plan("S1", svg), with_plan("S1", svg));
    let text = with_plan(&"n".repeat(200), |plan| text::text(plan, 80));
    let longest = text.lines().map(|line| line.chars().count()).max();
    assert!(longest.is_some_and(|longest| longest <= 80), "{longest:?}");
    let letters = text.chars().filter(|letter| *letter == 'n').count();
    assert!(letters >= 400, "a name is cut");
}

/// A mark a custom, a band an interval and a diamond a best day, and one more in the legend: nothing is lost.
#[test]
fn everything_is_drawn_once() {
    let (drawn, customs) = with_plan("S1", |plan| (svg(plan), plan.season.customs.len()));
    assert_eq!(drawn.matches("r=\"8.0\"").count(), customs);
    assert_eq!(drawn.matches("url(#prune)").count(), 3 + 1);
    assert_eq!(drawn.matches("url(#oil)").count(), 3 + 1);
    assert_eq!(drawn.matches("<path d=\"M").count(), 3 + 1);
}
