//! The least and the greatest rain of a span's hours, on short files with amounts over several hours, blanks, gaps and the
//! user's word that the wood is dry: each rule in each hour as the slow evaluator tells it.
//!
//! Source of what is expected: the contract, section 5, as `fairspell_tests::evaluator` reads it. All weather is invented.

#![allow(
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

use chrono_tz::Tz;
use fairspell::operation::{Measure, Rule, Severity, Span, Take};
use fairspell::quantity::{Quantity, Unit};
use fairspell::read::Issued;
use fairspell::series::Element;
use fairspell::spell::Outcome;
use fairspell::statistics::Generator;
use fairspell_tests::evaluator::{Asked, Evaluator, Fall, Falls, Place, Weather};
use fairspell_tests::scenario::{Scenario, series};

/// Files that are drawn.
const FILES: u64 = 1_000;
/// Midnight in UTC, 10 March 2027.
const START: i64 = 1_804_636_800;

/// One of the numbers below `count`.
fn below(random: &mut Generator, count: u64) -> usize {
    usize::try_from(random.index(count)).unwrap_or(0)
}

/// Amounts over 1 to 4 hours, dry, wet or blank, with hours that none covers.
fn falls(random: &mut Generator, hours: usize) -> Vec<Fall> {
    let mut falls = Vec::new();
    let mut from = 0;
    while from < hours {
        let length = (1 + below(random, 4)).min(hours - from);
        let low_um = [0, 0, 1000, 3000][below(random, 4)];
        let more = [0, 0, 0, 2000][below(random, 4)];
        let is_known = below(random, 8) > 0;
        if is_known || length > 1 {
            // A single blank hour has no row here: the engine forgets what it has at least, and cannot tell where it could.
            falls.push(Fall {
                from,
                hours: length,
                low_um,
                high_um: is_known.then_some(low_um + more),
            });
        }
        from += length;
    }
    falls
}

/// Every span, taken and limited every way.
fn rules() -> Vec<Rule> {
    let spans = [1, 2, 5]
        .into_iter()
        .flat_map(|n| [Span::After(n), Span::Before(n)]);
    let spans: Vec<Span> = spans
        .chain([Span::EachOfDays(1), Span::EachOfDays(2)])
        .collect();
    let limit = |mm: f64| {
        Some(Quantity {
            value: mm,
            unit: Unit::Millimetre,
        })
    };
    let sides = [
        (limit(1.0), None),
        (None, limit(0.0)),
        (None, limit(1.0)),
        (limit(0.5), limit(1.5)),
    ];
    let mut rules = Vec::new();
    for over in spans {
        for take in [Take::Min, Take::Max, Take::Sum, Take::Mean] {
            for (at_least, at_most) in sides {
                rules.push(Rule {
                    name: format!("rule {}", rules.len()),
                    measure: Measure::Read(Element::Rain),
                    over,
                    take,
                    at_least,
                    at_most,
                    severity: Severity::Block,
                    optional: false,
                    source: "Invented".to_owned(),
                });
            }
        }
    }
    rules
}

#[test]
fn the_least_and_the_greatest_rain_are_told_as_the_evaluator_tells_them() {
    let mut random = Generator::new(5);
    let all = rules();
    let mut counts = [0_u64; 3];
    for _ in 0..FILES {
        let hours = 4 + below(&mut random, 26);
        let weather = Weather {
            start: START,
            has_row: vec![true; hours],
            columns: Vec::new(),
            falls: vec![Falls {
                element: Element::Rain,
                unit: Unit::Millimetre,
                falls: falls(&mut random, hours),
            }],
        };
        let some = below(&mut random, 8);
        let scenario = Scenario {
            weather,
            place: Place {
                zone: Tz::UTC,
                coordinates: None,
                elevation_m: 0.0,
            },
            asked: Asked {
                rules: all.iter().skip(some).step_by(8).cloned().collect(),
                needed: 1,
                at: START,
                until: None,
                issued: Issued::Unknown,
                stale_after_s: 0,
                is_dry_now: below(&mut random, 2) > 0,
                is_strict: false,
            },
        };
        let Ok(series) = series(&scenario.weather) else {
            panic!("{scenario:?}");
        };
        let operation = scenario.operation();
        let judged = scenario.judged(&series, &operation);
        let evaluator =
            Evaluator::new(&scenario.weather, scenario.place, scenario.asked.is_dry_now);
        for hour in 0..hours {
            for (index, rule) in scenario.asked.rules.iter().enumerate() {
                let (told, found) = (evaluator.told(rule, hour), judged.finding(index, hour));
                assert_eq!(
                    found.outcome, told.outcome,
                    "hour {hour} {rule:?}\n{scenario:?}"
                );
                counts[told.outcome as usize] += 1;
            }
        }
    }
    // Every answer came up often.
    let [holds, fails, unknown] =
        [Outcome::Holds, Outcome::Fails, Outcome::Unknown].map(|one| counts[one as usize]);
    assert!(
        holds > 20_000 && fails > 20_000 && unknown > 20_000,
        "{counts:?}"
    );
}
