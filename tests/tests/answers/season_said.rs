//! What a plan of the late winter says of short records, of the south, of places without winter, of limits that cannot be
//! kept; and which way the damage goes.
//!
//! Source: the contract, promise 8 and section 5; the project's handbook, physics §8, statistics §11. All records are
//! invented.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]
#![allow(
    clippy::float_cmp,
    clippy::manual_midpoint,
    clippy::double_ended_iterator_last,
    reason = "plain loops: whole days and counts, and sums as the handbook writes them"
)]

use chrono::Days;
use fairspell::quantity::{Quantity, Unit};
use fairspell::season::{Damage, NoDates, Season, SeasonSettings};
use fairspell::series::DailySeries;
use fairspell_tests::winters::{Winters, at, date, invented, planned, quick, series};

/// Where a tenth of the damage is not reached before the buds break, the answer is the day of least harm alone, and says
/// so.
#[test]
fn where_no_day_keeps_both_limits_the_best_is_a_compromise() {
    let settings = SeasonSettings {
        most_damage: 0.0,
        tender: Quantity {
            value: 38.0,
            unit: Unit::Fahrenheit,
        },
        ..quick()
    };
    let plan = planned(
        &series(&invented(1990..2012, 1.0)),
        None,
        &at(43.0),
        &settings,
    );
    let prune = plan.exposed().unwrap().prune.unwrap();
    assert!(prune.is_compromise && prune.dates.from == prune.best && prune.dates.to == prune.best);
    assert_says(
        &plan,
        "hybrid tea: no day keeps the damage within 0 % and comes before the buds break in most years",
    );
    let broken = plan
        .exposed()
        .unwrap()
        .damage
        .iter()
        .find(|of| of.date == prune.best)
        .unwrap()
        .broken;
    assert!(broken.probability().unwrap() <= 0.9);
}

/// The south: the same winter half a year later, and no custom of the north.
#[test]
fn a_southern_record_gives_july_to_september() {
    let days = invented(1980..2012, 3.0);
    let shifted: Winters = days
        .iter()
        .map(|(day, both)| (*day + Days::new(181), *both))
        .collect();
    let north = planned(&series(&days), None, &at(52.0), &quick());
    let south = planned(&series(&shifted), None, &at(-43.0), &quick());
    let dates = |plan: &Season| plan.exposed().unwrap().prune.unwrap();
    let (of_north, of_south) = (dates(&north), dates(&south));
    assert!(
        (date(2027, 1, 1)..date(2027, 4, 30)).contains(&of_north.best),
        "{of_north:?}"
    );
    assert!(
        (date(2027, 7, 1)..=date(2027, 9, 30)).contains(&of_south.dates.from),
        "{of_south:?}"
    );
    assert!(
        (date(2027, 7, 1)..=date(2027, 9, 30)).contains(&of_south.best),
        "{of_south:?}"
    );
    let apart = (of_south.best - of_north.best).num_days();
    assert!((176..=186).contains(&apart), "{apart} days apart");
    assert!(south.customs.is_empty() && !north.customs.is_empty());
    assert!(
        south
            .exposed()
            .unwrap()
            .damage
            .iter()
            .all(|of| of.date >= date(2027, 7, 1) && of.date <= date(2028, 1, 31))
    );
}

/// Later pruning never raises the damage; a colder threshold and a greater sum never do either; the range holds it.
#[test]
fn damage_falls_with_the_date_the_cold_and_the_sum() {
    for warmer in [-3.0, 1.0, 5.0] {
        let record = series(&invented(1990..2006, warmer));
        let of = |tender_f: f64, sum: Option<f64>| {
            let settings = SeasonSettings {
                tender: Quantity {
                    value: tender_f,
                    unit: Unit::Fahrenheit,
                },
                sum_c_days: sum,
                ..quick()
            };
            planned(&record, None, &at(43.0), &settings)
                .plants
                .remove(0)
                .damage
        };
        let hits = |damage: &[Damage]| damage.iter().map(|of| of.share.hits).collect::<Vec<_>>();
        let usual = of(28.0, None);
        assert!(hits(&usual).is_sorted_by(|before, after| before >= after));
        for (colder, warmer) in [(20.0, 24.0), (24.0, 28.0), (28.0, 32.0), (32.0, 36.0)] {
            let (colder, warmer) = (of(colder, None), of(warmer, None));
            assert!(
                hits(&colder)
                    .iter()
                    .zip(hits(&warmer))
                    .all(|(colder, warmer)| *colder <= warmer)
            );
        }
        for (less, more) in [(60.0, 80.0), (80.0, 130.0), (130.0, 200.0)] {
            let (less, more) = (of(28.0, Some(less)), of(28.0, Some(more)));
            assert!(
                hits(&less)
                    .iter()
                    .zip(hits(&more))
                    .all(|(less, more)| *less >= more)
            );
        }
        for of in &usual {
            assert!(of.range.0.hits <= of.share.hits && of.share.hits <= of.range.1.hits);
        }
        assert_eq!(hits(&usual), hits(&of(28.0, Some(130.0))));
    }
}

#[test]
fn an_observed_file_that_differs_from_the_record_is_said() {
    let days = invented(1990..2028, 1.0);
    let record: Winters = days
        .iter()
        .filter(|(day, _)| **day < date(2027, 3, 1))
        .map(|(day, both)| (*day, *both))
        .collect();
    let mut observed: Winters = days
        .iter()
        .filter(|(day, _)| (date(2027, 1, 1)..date(2027, 3, 11)).contains(*day))
        .map(|(day, both)| (*day, *both))
        .collect();
    let said = |plan: &Season| {
        plan.notices
            .iter()
            .filter(|notice| notice.starts_with("the observed minima differ"))
            .cloned()
            .collect::<Vec<_>>()
    };
    let same = planned(
        &series(&record),
        Some(&series(&observed)),
        &at(43.0),
        &quick(),
    );
    assert_eq!(said(&same), Vec::<String>::new());
    let (low, high) = observed[&date(2027, 2, 3)];
    observed.insert(date(2027, 2, 3), (low - 4.5, high));
    let other = planned(
        &series(&record),
        Some(&series(&observed)),
        &at(43.0),
        &quick(),
    );
    assert_eq!(
        said(&other),
        [
            "the observed minima differ from the record's on 1 of 59 days that both have, by up to 4.5 °C: this season takes the observed ones"
        ]
    );
}

#[track_caller]
fn assert_says(plan: &Season, words: &str) {
    assert!(
        plan.notices.iter().any(|notice| notice.contains(words)),
        "no {words:?} in {:?}",
        plan.notices
    );
}

/// Contract, section 5: a record without Tmax gives no damage and no bud break, and it is said; issue: tropics, short
/// records, years beyond the record.
#[test]
fn what_cannot_be_known_is_said_and_is_no_number() {
    let days = invented(1990..2012, 1.0);
    let minima = days.values().map(|(low, _)| *low).collect();
    let record = DailySeries::new("S", date(1990, 1, 1), minima, Unit::Celsius, false).unwrap();
    let plan = planned(&record, None, &at(43.0), &quick());
    let plant = plan.exposed().unwrap();
    assert!(plant.damage.is_empty() && plant.bud_break == [None; 3]);
    assert_eq!(
        (plant.prune, plant.oil),
        (Err(NoDates::NoMaxima), Err(NoDates::NoMaxima))
    );
    assert!(
        plan.customs
            .iter()
            .all(|custom| custom.damage.is_none() && custom.harm.is_none())
    );
    assert!(plan.last_freeze.dates[1].is_some() && plan.back_off.is_some());
    assert_says(
        &plan,
        "the record has no daily maxima: no damage, no bud break",
    );

    let none: Winters = days
        .into_iter()
        .filter(|(day, _)| *day < date(1990, 3, 1))
        .collect();
    let none = planned(&series(&none), None, &at(43.0), &quick());
    assert_eq!(none.exposed().unwrap().prune, Err(NoDates::TooFewYears));
}

/// The issue: the tropics and places without winter, short records, years beyond the record.
#[test]
fn places_without_winter_and_short_records_are_said() {
    let days = invented(1990..2012, 1.0);
    let tropical = planned(&series(&days), None, &at(-4.0), &quick());
    assert_eq!(tropical.exposed().unwrap().prune, Err(NoDates::NoWinter));
    assert_says(
        &tropical,
        "the place lies in the tropics: the place has no winter, and the rules of dormancy do not apply",
    );
    let warm = planned(
        &series(&invented(1990..2012, 30.0)),
        None,
        &at(28.0),
        &quick(),
    );
    assert_eq!(warm.exposed().unwrap().oil, Err(NoDates::NoWinter));
    assert_says(
        &warm,
        "no month of the record is colder than 18 °C in the mean",
    );

    let short = planned(
        &series(&invented(2008..2012, 1.0)),
        None,
        &at(43.0),
        &quick(),
    );
    assert_says(&short, "damage rests on 4 years only, 2008 to 2011");
    let (low, high) = short.exposed().unwrap().damage[0].share.interval().unwrap();
    assert!(high - low > 0.4, "{low} {high}"); // Wilson: 0 of 4 is 0 to 0.49
    let beyond = planned(&series(&days), None, &at(43.0), &quick());
    assert_says(
        &beyond,
        "2027 is planned from the years of the record; nothing of it has been observed",
    );
    assert_says(
        &beyond,
        "damage is inferred: shoots are taken to be out 130 °C·d above 5.2 °C after the cut",
    );
    assert_says(
        &beyond,
        "no garden in the site file: planned for one hybrid tea rose",
    );
}
