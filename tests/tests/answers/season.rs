//! The late winter of open stations, counted again by plain loops; and what the plan must say and never say.
//!
//! Sources: the contract, section 5 (damage, filled days, valid years, halves, day numbers); the project's handbook,
//! physics §6 and §8 (single sine above 5.2 °C, 80 to 200 C·d; forsythia by the clamped mean above 50 °F), trade §9
//! (customs). The loops below share no code with the engine but the reader of files.

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

use chrono::{Datelike as _, Days, NaiveDate};
use fairspell::quantity::{Quantity, Unit};
use fairspell::season::{Damage, NoDates, Season, SeasonSettings, Weights};
#[cfg(open_data)]
use fairspell::series::DailySeries;
use fairspell::site::Site;
use fairspell_tests::winters::{Winters, at, date, invented, planned, quick, series};

/// Heat of a day above a base: the mean height of a sine cut off at the base, in the form with the hour angle at which
/// it rises through the base.
fn sine(tmin: f64, tmax: f64, base: f64) -> f64 {
    let (mean, swing) = ((tmin + tmax) / 2.0, (tmax - tmin) / 2.0);
    if tmin >= base {
        return mean - base;
    }
    if tmax <= base {
        return 0.0;
    }
    let angle = ((base - mean) / swing).acos(); // half of the time above the base, as an angle
    (swing * angle.sin() - (base - mean) * angle) / core::f64::consts::PI
}

/// Extremes of a day, a single missing day by its neighbours' mean; `None` in a longer gap.
fn filled(days: &Winters, day: NaiveDate) -> Option<(f64, f64)> {
    let whole = |day: NaiveDate| {
        days.get(&day)
            .copied()
            .filter(|(low, high)| low.is_finite() && high.is_finite())
    };
    whole(day).or_else(|| {
        let (before, after) = (whole(day.pred_opt()?)?, whole(day.succ_opt()?)?);
        Some(((before.0 + after.0) / 2.0, (before.1 + after.1) / 2.0))
    })
}

/// One year by plain loops: for each day of the spring half whether a cut on it would have been harmed; `None` if the
/// year does not count.
fn harmed(
    days: &Winters,
    year: i32,
    sum_c_days: f64,
    tender_f: f64,
    needed: NaiveDate,
) -> Option<Vec<bool>> {
    let half: Vec<NaiveDate> = date(year, 1, 1)
        .iter_days()
        .take_while(|day| *day <= date(year, 7, 31))
        .collect();
    let is_known = |day: &&NaiveDate| days.get(day).is_some_and(|(low, _)| low.is_finite());
    if half.len() - half.iter().filter(is_known).count() > 10 {
        return None;
    }
    let heat: Vec<Option<f64>> = half
        .iter()
        .map(|day| filled(days, *day).map(|(low, high)| sine(low, high, 5.2)))
        .collect();
    if half
        .iter()
        .zip(&heat)
        .any(|(day, heat)| day.ordinal() < needed.ordinal() && heat.is_none())
    {
        return None;
    }
    let is_cold = |day: &NaiveDate| {
        let low = days.get(day).map_or(f64::NAN, |(low, _)| *low);
        low <= (tender_f - 32.0) / 1.8
    };
    let of_cut = |cut: usize| {
        let mut sum = 0.0;
        for (place, heat) in heat.iter().enumerate().skip(cut) {
            let Some(heat) = heat else { return false }; // behind the latest freeze of all years
            sum += heat;
            if sum >= sum_c_days {
                return half[place + 1..].iter().any(is_cold);
            }
        }
        false
    };
    Some((0..half.len()).map(of_cut).collect())
}

/// The latest date of a last freeze in spring over the valid years, as a date of 2026.
fn latest_freeze(days: &Winters, tender_f: f64) -> NaiveDate {
    let is_cold = |low: f64| low <= (tender_f - 32.0) / 1.8;
    let cold = days
        .iter()
        .filter(|(day, (low, _))| day.month() <= 7 && is_cold(*low));
    let latest = cold.map(|(day, _)| (day.month(), day.day())).max().unwrap();
    date(2024, latest.0, latest.1)
}

/// Damage of every day of the half by the engine and by the loops, at a sum and a threshold.
#[track_caller]
fn assert_damage_is_counted(days: &Winters, sum: f64, tender_f: f64) {
    let settings = SeasonSettings {
        tender: Quantity {
            value: tender_f,
            unit: Unit::Fahrenheit,
        },
        sum_c_days: Some(sum),
        ..quick()
    };
    let plan = planned(&series(days), None, &at(43.0), &settings);
    let needed = latest_freeze(days, tender_f);
    let years: Vec<i32> = days
        .keys()
        .map(NaiveDate::year)
        .collect::<std::collections::BTreeSet<_>>()
        .into_iter()
        .collect();
    let by_year: Vec<(i32, Vec<bool>)> = years
        .into_iter()
        .filter_map(|year| Some((year, harmed(days, year, sum, tender_f, needed)?)))
        .collect();
    let damage = &plan.plants[0].damage;
    assert_eq!(damage.len(), 212);
    let mut seen = 0;
    for of in damage {
        // The same month and day of each year; 29 February is no day of 2027.
        let hit = |(year, all): &&(i32, Vec<bool>)| {
            all[date(*year, of.date.month(), of.date.day()).ordinal0() as usize]
        };
        let hits = by_year.iter().filter(hit).count();
        assert_eq!(
            (of.share.hits, of.share.years),
            (hits, by_year.len()),
            "{} at {sum}",
            of.date
        );
        seen += hits;
    }
    assert!(
        seen > 0 && by_year.len() > 20,
        "{seen} in {} years",
        by_year.len()
    );
}

#[cfg(open_data)]
fn open(place: &str) -> (DailySeries, Winters) {
    use fairspell::read::{
        Source,
        daily::{DailyOptions, read_daily},
    };
    let path = std::path::Path::new(env!("FAIRSPELL_OPEN_DATA_DIR"))
        .join(format!("csv/daily_{place}.csv"));
    let bytes = std::fs::read(path).unwrap();
    let source = Source {
        name: place,
        bytes: &bytes,
    };
    let record = read_daily(source, DailyOptions::default())
        .unwrap()
        .remove(0)
        .series;
    let celsius = |value: f64| {
        if record.unit() == Unit::Fahrenheit {
            (value - 32.0) / 1.8
        } else {
            value
        }
    };
    let tmax = record.tmax().unwrap();
    let days = record
        .first()
        .iter_days()
        .zip(record.tmin().iter().zip(tmax));
    let days = days
        .map(|(day, (low, high))| (day, (celsius(*low), celsius(*high))))
        .collect();
    (record, days)
}

/// Two open stations, every day of the half, year by year: the records as they are, in °C.
#[test]
#[cfg_attr(not(open_data), ignore = "the open records are not here")]
fn damage_of_open_stations_is_that_of_plain_loops() {
    #[cfg(open_data)]
    for place in ["central_park_ny_us", "champion_ne_us"] {
        let (_, days) = open(place);
        for (sum, tender_f) in [(130.0, 28.0), (80.0, 28.0), (200.0, 30.0)] {
            assert_damage_is_counted(&days, sum, tender_f);
        }
    }
}

#[test]
fn damage_of_a_record_with_gaps_is_that_of_plain_loops() {
    let mut days = invented(1980..2012, 1.0);
    for gone in [
        (1984, 2, 29),
        (1985, 3, 3),
        (1990, 4, 1),
        (1990, 4, 3),
        (1995, 3, 8),
        (1995, 3, 9),
        (2001, 7, 30),
        (2001, 7, 31),
    ] {
        days.remove(&date(gone.0, gone.1, gone.2));
    }
    days.insert(date(1999, 3, 5), (f64::NAN, 12.0)); // one extreme of the two
    assert_damage_is_counted(&days, 130.0, 28.0);
    assert_damage_is_counted(&days, 60.0, 32.0);
    let plan = planned(&series(&days), None, &at(43.0), &quick());
    assert_eq!(plan.left_out, [1995]);
    assert!(
        plan.notices.iter().any(|notice| notice
            == "5 single missing days filled by the mean of their neighbours for degree days"),
        "{:?}",
        plan.notices
    );
    assert!(
        plan.notices
            .iter()
            .any(|notice| notice.ends_with("gaps of two days or more: 1995")),
        "{:?}",
        plan.notices
    );
}

/// Border forsythia: the first day on which the clamped mean above 50 °F from 1 January sums to 86; the median of all
/// years' dates, and damage and freeze risk on each year's own date.
#[test]
fn an_indicator_is_compared_on_each_years_own_date() {
    let days = invented(1980..2012, 1.0);
    let plan = planned(&series(&days), None, &at(43.0), &quick());
    let custom = plan
        .customs
        .iter()
        .find(|custom| custom.custom.name == "Forsythia in bloom")
        .unwrap();
    let fahrenheit = |celsius: f64| celsius * 1.8 + 32.0;
    let bloom = |year: i32| {
        let mut sum = 0.0;
        date(year, 1, 1)
            .iter_days()
            .find(|day| {
                let (low, high) = days[day];
                sum += (fahrenheit(low).max(50.0) + fahrenheit(high).max(50.0)) / 2.0 - 50.0;
                sum >= 86.0
            })
            .unwrap()
    };
    let mut blooms: Vec<f64> = (1980..2012)
        .map(|year| f64::from(date(2027, bloom(year).month(), bloom(year).day()).ordinal()))
        .collect();
    blooms.sort_by(f64::total_cmp);
    assert_eq!(
        f64::from(custom.date.ordinal()),
        ((blooms[15] + blooms[16]) / 2.0).round()
    );
    let needed = latest_freeze(&days, 28.0);
    let hit = |year: &i32| {
        harmed(&days, *year, 130.0, 28.0, needed).unwrap()[bloom(*year).ordinal0() as usize]
    };
    assert_eq!(
        custom.damage.unwrap().hits,
        (1980..2012).filter(hit).count()
    );
    let last = |year: i32| {
        date(year, 1, 1)
            .iter_days()
            .take(212)
            .filter(|day| days[day].0 <= 0.0)
            .last()
            .unwrap()
    };
    let later = (1980..2012)
        .filter(|year| last(*year) >= bloom(*year))
        .count();
    assert_eq!(custom.freeze_risk.unwrap().0, later as f64 / 32.0);
}

/// Buds of a rose break, by the same sum counted from 1 January: on every date the share of years in which they have by
/// its end. Plain loops; sine above 5.2 °C, 130 C·d.
#[test]
fn broken_buds_are_those_of_plain_loops() {
    let days = invented(1990..2012, 1.0);
    let plan = planned(&series(&days), None, &at(43.0), &quick());
    let breaks: Vec<u32> = (1990..2012).map(|year| bud_break(&days, year)).collect();
    for of in &plan.exposed().unwrap().damage {
        let broken = breaks
            .iter()
            .filter(|day| **day <= of.date.ordinal())
            .count();
        assert_eq!(
            (of.broken.hits, of.broken.years),
            (broken, 22),
            "{}",
            of.date
        );
    }
    let mut sorted = breaks.clone();
    sorted.sort_unstable();
    let median = (f64::from(sorted[10] + sorted[11]) / 2.0).round();
    assert_eq!(
        f64::from(plan.exposed().unwrap().bud_break[1].unwrap().ordinal()),
        median
    );
    let tax = plan
        .customs
        .iter()
        .find(|custom| custom.custom.name == "Tax Day")
        .unwrap();
    let broken = breaks.iter().filter(|day| **day <= 105).count() as f64 / 22.0;
    let damage = tax.damage.unwrap().probability().unwrap();
    assert!((tax.harm.unwrap() - (damage + 0.5 * broken)).abs() < 1e-12);
}

/// Day of the year, as one without 29 February has it, on which the buds break.
fn bud_break(days: &Winters, year: i32) -> u32 {
    let mut sum = 0.0;
    let broken = date(year, 1, 1).iter_days().find(|day| {
        let (low, high) = days[day];
        sum += sine(low, high, 5.2);
        sum >= 130.0
    });
    let broken = broken.unwrap();
    date(
        2027,
        broken.month(),
        broken.day().min(if broken.month() == 2 { 28 } else { 31 }),
    )
    .ordinal()
}

/// On a feast's own day: a freeze on it still comes, and buds that break on it have broken. Buds break on 8 April 2007,
/// Easter Sunday, when all days before are cold and that one is hot.
#[test]
fn a_feast_counts_with_its_own_day() {
    let mut days = invented(2000..2012, 1.0);
    let set = |days: &mut Winters, from: NaiveDate, to: NaiveDate, both: (f64, f64)| {
        for day in from.iter_days().take_while(|day| *day <= to) {
            days.insert(day, both);
        }
    };
    for year in 2000..2012 {
        set(&mut days, date(year, 1, 1), date(year, 7, 31), (3.0, 5.0)); // no freeze, no heat
    }
    let easter_2007 = date(2007, 4, 8);
    days.insert(easter_2007, (-1.0, 5.0));
    let plan = planned(&series(&days), None, &at(43.0), &quick());
    let easter = |plan: &Season| {
        plan.customs
            .iter()
            .find(|custom| custom.custom.name == "Easter")
            .unwrap()
            .clone()
    };
    assert_eq!(easter(&plan).freeze_risk.unwrap().0, 1.0); // one freeze year, and its freeze on Easter
    assert_eq!(easter(&plan).harm, Some(0.0));
    days.insert(easter_2007, (130.0 + 5.2, 130.0 + 5.2)); // the whole sum on one day, beyond any weather
    let plan = planned(&series(&days), None, &at(43.0), &quick());
    assert!((easter(&plan).harm.unwrap() - 0.5 / 12.0).abs() < 1e-12);
}

/// Easter moves: each year is compared on its own. Dates of 2000 to 2011 from the handbook and from a general date
/// library (python-dateutil 4.0.0, `easter(year)`).
#[test]
fn a_movable_feast_is_compared_on_each_years_own_date() {
    let easters = [
        (2000, 4, 23),
        (2001, 4, 15),
        (2002, 3, 31),
        (2003, 4, 20),
        (2004, 4, 11),
        (2005, 3, 27),
        (2006, 4, 16),
        (2007, 4, 8),
        (2008, 3, 23),
        (2009, 4, 12),
        (2010, 4, 4),
        (2011, 4, 24),
    ];
    let days = invented(2000..2012, 1.0);
    let plan = planned(&series(&days), None, &at(43.0), &quick());
    let easter = plan
        .customs
        .iter()
        .find(|custom| custom.custom.name == "Easter")
        .unwrap();
    assert_eq!(easter.date, date(2027, 3, 28));
    let needed = latest_freeze(&days, 28.0);
    let hit = |(year, month, day): &&(i32, u32, u32)| {
        harmed(&days, *year, 130.0, 28.0, needed).unwrap()
            [date(*year, *month, *day).ordinal0() as usize]
    };
    let damage = easter.damage.unwrap();
    assert_eq!(
        (damage.hits, damage.years),
        (easters.iter().filter(hit).count(), 12)
    );
}

/// Customs stand from the least to the greatest harm; harm is the weights times damage and broken buds.
#[test]
fn customs_are_in_the_order_of_their_harm_and_best_is_the_least() {
    let record = series(&invented(1980..2012, 1.0));
    for (late_freeze, after_bud_break) in [(1.0, 0.5), (0.2, 1.0), (3.0, 0.1)] {
        let weights = Weights {
            late_freeze,
            after_bud_break,
        };
        let plan = planned(
            &record,
            None,
            &at(43.0),
            &SeasonSettings { weights, ..quick() },
        );
        let harms: Vec<f64> = plan
            .customs
            .iter()
            .map(|custom| custom.harm.unwrap())
            .collect();
        assert!(harms.len() > 10 && harms.is_sorted(), "{harms:?}");
        let plant = plan.exposed().unwrap();
        let prune = plant.prune.unwrap();
        let inside = plant
            .damage
            .iter()
            .filter(|of| (prune.dates.from..=prune.dates.to).contains(&of.date));
        let least = inside
            .clone()
            .map(|of| of.harm.unwrap())
            .fold(f64::INFINITY, f64::min);
        let best = plant
            .damage
            .iter()
            .find(|of| of.date == prune.best)
            .unwrap();
        assert_eq!(best.harm, Some(least));
        for of in inside {
            let (damage, broken) = (
                of.share.probability().unwrap(),
                of.broken.probability().unwrap(),
            );
            assert!(
                (of.harm.unwrap() - (late_freeze * damage + after_bud_break * broken)).abs()
                    < 1e-12
            );
            assert!(
                damage <= 0.1 && broken <= 0.5,
                "{}: {damage} {broken}",
                of.date
            );
        }
    }
}

/// Back-off: the trade's eight and six weeks before the median last freeze at 32 °F.
#[test]
fn the_back_off_is_eight_to_six_weeks_before_the_median_last_freeze() {
    let days = invented(1980..2012, 1.0);
    let plan = planned(&series(&days), None, &at(43.0), &quick());
    let last = |year: i32| {
        date(year, 1, 1)
            .iter_days()
            .take(212)
            .filter(|day| days[day].0 <= 0.0)
            .last()
            .unwrap()
    };
    let mut lasts: Vec<u32> = (1980..2012)
        .map(|year| date(2027, last(year).month(), last(year).day()).ordinal())
        .collect();
    lasts.sort_unstable();
    let median = (lasts[15] + lasts[16]).div_ceil(2); // rounded half up
    let median = date(2027, 1, 1) + Days::new(u64::from(median) - 1);
    if plan.last_freeze.half.headline == fairspell::freeze::Headline::Record {
        assert_eq!(plan.last_freeze.dates[1], Some(median));
    }
    let median = plan.last_freeze.dates[1].unwrap();
    let back_off = plan.back_off.unwrap().dates;
    assert_eq!(
        (back_off.from, back_off.to),
        (median - Days::new(56), median - Days::new(42))
    );
}

/// The days of all years with this number in a year without 29 February, which counts as the 28th.
fn on(days: &Winters, ordinal: u32) -> impl Iterator<Item = (&NaiveDate, &(f64, f64))> {
    days.iter().filter(move |(day, _)| {
        let last = if day.month() == 2 { 28 } else { 31 };
        date(2027, day.month(), day.day().min(last)).ordinal() == ordinal
    })
}

/// The day behind the fifteen with the lowest mean minimum, of the starts in the first sixty days.
fn behind_the_coldest(days: &Winters) -> u32 {
    let mean = |first: &u32| {
        let all = (*first..first + 15).flat_map(|ordinal| on(days, ordinal));
        let lows: Vec<f64> = all.map(|(_, (low, _))| *low).collect();
        lows.iter().sum::<f64>() / lows.len() as f64
    };
    let coldest = (1..=60_u32).min_by(|one, other| mean(one).total_cmp(&mean(other)));
    coldest.unwrap() + 15
}

/// Share of days within a week with a maximum of 40 to 90 °F and no freeze the next night.
fn fit(days: &Winters, ordinal: u32) -> f64 {
    let around =
        (ordinal.saturating_sub(7).max(1)..=ordinal + 7).flat_map(|ordinal| on(days, ordinal));
    let is_fit = |(day, (_, high)): (&NaiveDate, &(f64, f64))| {
        let (next, _) = days.get(&day.succ_opt()?)?;
        Some((8.0 / 1.8..=58.0 / 1.8).contains(high) && *next >= 0.0)
    };
    let all: Vec<bool> = around.filter_map(is_fit).collect();
    all.iter().filter(|fit| **fit).count() as f64 / all.len() as f64
}

/// The intervals by plain loops: pruning from the day behind the fifteen coldest (mean minimum, among starts in the first
/// sixty days) on which damage is at most 10 %, to the last on which buds have broken in at most half of the years; oil
/// from the first day around which one day a week has 40 to 90 °F and no freeze the next night, to the last on which buds
/// have broken in at most a tenth. Best: the least harm, the latest of equals.
#[test]
fn intervals_are_those_of_plain_loops() {
    for warmer in [-2.0, 1.0, 4.0] {
        let days = invented(1990..2012, warmer);
        let plan = planned(&series(&days), None, &at(43.0), &quick());
        let plant = plan.exposed().unwrap();
        let coldest = behind_the_coldest(&days);
        let damage = |of: &&Damage| of.share.probability().unwrap() <= 0.1;
        let all = &plant.damage;
        let from = all
            .iter()
            .filter(|of| of.date.ordinal() >= coldest)
            .find(damage)
            .unwrap()
            .date;
        let to = |most: f64| {
            all.iter()
                .take_while(|of| of.broken.probability().unwrap() <= most)
                .last()
                .unwrap()
                .date
        };
        let prune = plant.prune.unwrap();
        assert_eq!(
            (prune.dates.from, prune.dates.to, prune.is_compromise),
            (from, to(0.5), false),
            "{warmer}"
        );
        let harm = |of: &&Damage| of.harm.unwrap();
        let inside = || {
            all.iter()
                .filter(|of| of.date >= from && of.date <= to(0.5))
        };
        let least = inside().map(|of| harm(&of)).fold(f64::INFINITY, f64::min);
        assert_eq!(
            prune.best,
            inside().filter(|of| harm(of) <= least).last().unwrap().date
        );
        let oil = plant.oil.unwrap();
        let first_fit = (1..=oil.to.ordinal())
            .find(|ordinal| fit(&days, *ordinal) >= 1.0 / 7.0)
            .unwrap_or(1);
        assert_eq!(
            (oil.from.ordinal(), oil.to),
            (first_fit, to(0.1)),
            "{warmer}"
        );
    }
}

/// Apple: green tips by the mean above 43 °F from 1 March, 120 F·d, and oil up to then; the rose breaks first and is the
/// most exposed; what blooms on old wood is skipped, not dropped.
#[test]
fn each_kind_has_its_own_dates() {
    let days = invented(1990..2012, 1.0);
    let bytes = b"[[garden]]\nkind = \"apple, pear\"\n[[garden]]\nkind = \"hybrid tea\"\ncount = 3\n[[garden]]\nkind = \"lilac\"\n";
    let site = Site::read(fairspell::read::Source {
        name: "site.toml",
        bytes,
    })
    .unwrap();
    let site = Site {
        latitude: Some(43.0),
        ..site
    };
    let plan = planned(&series(&days), None, &site, &quick());
    let [apple, rose, lilac] = &plan.plants[..] else {
        panic!("three kinds")
    };
    assert_eq!((plan.most_exposed, rose.count), (1, 3));
    let tips = (1990..2012).map(|year| {
        let mut sum = 0.0;
        let tip = date(year, 3, 1).iter_days().find(|day| {
            let (low, high) = days[day];
            sum += ((low + high) / 2.0 * 1.8 + 32.0 - 43.0).max(0.0);
            sum >= 120.0
        });
        tip.unwrap()
    });
    let tips: Vec<u32> = tips
        .map(|tip| date(2027, tip.month(), tip.day()).ordinal())
        .collect();
    for of in &apple.damage {
        let hits = tips.iter().filter(|tip| **tip <= of.date.ordinal()).count();
        assert_eq!(of.broken.hits, hits, "{}", of.date);
    }
    let last = apple
        .damage
        .iter()
        .take_while(|of| of.broken.probability().unwrap() <= 0.5)
        .last()
        .unwrap();
    assert_eq!(apple.oil.unwrap().to, last.date);
    assert_eq!(lilac.prune, Err(NoDates::AfterBloom));
    // Without the rose the customs are compared for the apple: broken buds are its green tips.
    let bytes = b"[[garden]]\nkind = \"apple, pear\"\n";
    let name = "site.toml";
    let alone = Site {
        latitude: Some(43.0),
        ..Site::read(fairspell::read::Source { name, bytes }).unwrap()
    };
    let alone = planned(&series(&days), None, &alone, &quick());
    let joseph = alone
        .customs
        .iter()
        .find(|custom| custom.custom.name == "St Joseph's Day")
        .unwrap();
    let roses = rose.damage.iter().find(|of| of.date == joseph.date);
    assert!(roses.unwrap().broken.hits > 0 && tips.iter().all(|tip| *tip > joseph.date.ordinal()));
    let damage = joseph.damage.unwrap().probability().unwrap();
    assert_eq!(joseph.harm, Some(damage));
    assert_eq!(
        lilac.prune.unwrap_err().words(),
        "not cut in winter: prune after bloom"
    );
}

/// The freeze risk of a custom is that among years with a freeze, by the headline: the curve's over the share of years.
#[test]
fn the_risk_of_a_custom_is_that_of_years_with_a_freeze() {
    let mut days = invented(1990..2012, 1.0);
    for year in [1991, 1995, 1999] {
        for day in date(year, 1, 1).iter_days().take(212) {
            days.get_mut(&day).unwrap().0 = 3.0;
            days.get_mut(&day).unwrap().1 = 13.0;
        }
    }
    let plan = planned(&series(&days), None, &at(43.0), &quick());
    let half = &plan.last_freeze.half;
    assert_eq!((half.valid_years, half.freeze_years), (22, 19));
    let tax = plan
        .customs
        .iter()
        .find(|custom| custom.custom.name == "Tax Day")
        .unwrap();
    let risk = half.risk_on(date(2027, 4, 15)).unwrap().probability;
    assert!((tax.freeze_risk.unwrap().0 - risk * 22.0 / 19.0).abs() < 1e-12);
}

/// Days ahead: the same winter a week early is a week ahead of itself.
#[test]
fn a_winter_a_week_early_is_a_week_ahead() {
    let steady = |year: i32, early: i64| -> Winters {
        let days = date(year, 1, 1)
            .iter_days()
            .take_while(|day| day.year() == year);
        days.map(|day| {
            let from = (day - date(year, 1, 1)).num_days() + early - 60;
            let mean = if from < 0 {
                0.0
            } else {
                5.2 + from as f64 / 10.0
            };
            (day, (mean, mean))
        })
        .collect()
    };
    let record: Winters = (2013..2016).flat_map(|year| steady(year, 0)).collect();
    for early in [7, 0, -7] {
        let mut observed = steady(2027, early);
        observed.retain(|day, _| *day < date(2027, 4, 10));
        let plan = planned(
            &series(&record),
            Some(&series(&observed)),
            &at(43.0),
            &quick(),
        );
        assert_eq!(plan.so_far.unwrap().days_ahead, Some(early));
    }
}

/// This year so far: a warm beginning brings the buds forward and says so; a cold one holds them back. The degree days
/// are those of the plain loop.
#[test]
fn what_was_observed_moves_the_dates() {
    let days = invented(1990..2012, 1.0);
    let record = series(&days);
    let climate = planned(&record, None, &at(43.0), &quick());
    assert!(climate.so_far.is_none());
    let own = |warmer: f64| -> Winters {
        let all = invented(2027..2028, warmer);
        all.into_iter()
            .filter(|(day, _)| *day < date(2027, 3, 20))
            .collect()
    };
    let median = |plan: &Season| plan.exposed().unwrap().bud_break[1].unwrap();
    for (warmer, is_ahead) in [(8.0, true), (-3.0, false)] {
        let observed = own(warmer);
        let plan = planned(&record, Some(&series(&observed)), &at(43.0), &quick());
        let so_far = plan.so_far.unwrap();
        assert_eq!(so_far.until, date(2027, 3, 19));
        let sum: f64 = observed
            .values()
            .map(|(low, high)| sine(*low, *high, 5.2))
            .sum();
        assert!(
            (so_far.degree_days - sum).abs() < 1e-6,
            "{} {sum}",
            so_far.degree_days
        );
        let usual = so_far.usual[1].unwrap();
        assert_eq!(
            so_far.degree_days > usual,
            is_ahead,
            "{} {usual}",
            so_far.degree_days
        );
        assert_eq!(
            median(&plan) < median(&climate),
            is_ahead,
            "{} {}",
            median(&plan),
            median(&climate)
        );
        if is_ahead {
            assert!(so_far.days_ahead.unwrap() > 0);
        }
    }
    // Each year ahead of itself by nothing: the beginning of a year of the record, taken as observed.
    let again: Winters = days
        .iter()
        .filter(|(day, _)| day.year() == 2005 && day.ordinal() < 100)
        .map(|(day, both)| (day.with_year(2027).unwrap(), *both))
        .collect();
    let plan = planned(&record, Some(&series(&again)), &at(43.0), &quick());
    assert!(plan.so_far.unwrap().days_ahead.unwrap().abs() < 25);
}

/// Damage of cuts before and after what was observed: each year of the record goes on from the observed beginning.
/// 29 February has no counterpart in 2027: no heat and no freeze.
#[test]
fn damage_goes_on_from_what_was_observed() {
    for warmer in [1.0, 16.0] {
        let days = invented(1990..2012, warmer);
        let mut observed = invented(2027..2028, 9.0);
        observed.retain(|day, _| *day < date(2027, 3, 20));
        observed.insert(date(2027, 3, 15), (-6.0, 4.0)); // a freeze when shoots of early cuts are out
        let plan = planned(
            &series(&days),
            Some(&series(&observed)),
            &at(43.0),
            &quick(),
        );
        let mixed = |year: i32| -> Winters {
            let own = days.iter().filter(|(day, _)| day.year() == year);
            own.map(|(day, both)| {
                let same =
                    (day.ordinal() < date(year, 3, 20).ordinal()).then(|| day.with_year(2027));
                match same {
                    None => (*day, *both),
                    Some(None) => (*day, (1.0, 4.0)),
                    Some(Some(same)) => (*day, observed[&same]),
                }
            })
            .collect()
        };
        let all: Vec<Vec<bool>> = (1990..2012)
            .map(|year| harmed(&mixed(year), year, 130.0, 28.0, date(2024, 1, 1)).unwrap())
            .collect();
        let mut seen = [0; 2];
        for of in &plan.exposed().unwrap().damage {
            let place = |year: i32| date(year, of.date.month(), of.date.day()).ordinal0() as usize;
            let hits = all
                .iter()
                .zip(1990..)
                .filter(|(all, year)| all[place(*year)])
                .count();
            assert_eq!((of.share.hits, of.share.years), (hits, 22), "{}", of.date);
            seen[usize::from(of.date >= date(2027, 3, 20))] += hits;
        }
        assert!(seen[0] > 100, "{seen:?} {warmer}");
    } // with the warmer years, no freeze comes after the observed one
}
