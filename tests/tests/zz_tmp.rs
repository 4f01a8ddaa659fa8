//! tmp
use std::collections::BTreeMap;
use std::cell::RefCell;
use fairspell::spell::{Judged, Sky};
use fairspell_tests::evaluator::Evaluator;
use fairspell_tests::scenario::{Kind, runner, scenarios, series};
#[test]
fn classify() {
    let seen: RefCell<BTreeMap<String, (u64, String)>> = RefCell::default();
    runner(2000, 1).run(&scenarios(Kind::Any), |s| {
        let series = series(&s.weather).unwrap();
        let op = s.operation();
        let sky = Sky { coordinates: s.place.coordinates, elevation_m: s.place.elevation_m, dry_before: s.asked.is_dry_now };
        let judged = Judged::new(&series, &op, &sky, (s.place.zone, s.asked.is_strict), 0);
        let ev = Evaluator::new(&s.weather, s.place, s.asked.is_dry_now);
        for hour in 0..series.hours() {
            for (i, rule) in s.asked.rules.iter().enumerate() {
                let told = ev.told(rule, hour);
                let found = judged.finding(i, hour);
                if !told.is_close && told.outcome != found.outcome {
                    let over = format!("{:?}", rule.over);
                    let over = over.split('(').next().unwrap();
                    let key = format!("{:?} {over} {:?} least {} most {} dry {}: evaluator {:?} engine {:?}", rule.measure, rule.take, rule.at_least.is_some(), rule.at_most.is_some(), s.asked.is_dry_now, told.outcome, found.outcome);
                    let mut seen = seen.borrow_mut();
                    let e = seen.entry(key).or_insert_with(|| (0, format!("hour {hour} rule {rule:?} {found:?} {:?}", s.weather)));
                    e.0 += 1;
                }
            }
        }
        Ok(())
    }).unwrap();
    for (k, (n, example)) in seen.into_inner() { println!("{n:6} {k}"); if std::env::var("EX").is_ok_and(|x| k.contains(&x)) { println!("{example}"); } }
}
