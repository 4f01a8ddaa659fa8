//! Some thousands of the random forecasts of which `cargo run --release -p fairspell-tests --bin verdicts` decides millions:
//! no spell that the slow evaluator does not confirm.
//!
//! Source of what is expected: the contract, section 5, as `fairspell_tests::evaluator` reads it. All weather is invented.

#![allow(clippy::panic, reason = "a test may stop at the first surprise")]

use fairspell_tests::verdicts::{Fault, Tally, check};

/// Forecasts of the ordinary tests.
const FORECASTS: u64 = 3_000;

/// The contract, promise 1: what is missing is never good. And the drawing itself: every verdict must come up often, and so
/// must ensembles and files with local times.
#[test]
fn no_spell_is_told_that_the_evaluator_does_not_confirm() {
    let mut tally = Tally::default();
    for number in 0..FORECASTS {
        if let Err(Fault { what, case }) = check(2, number, &mut tally) {
            panic!("seed 2 case {number}: {what}\n{case:?}");
        }
    }
    assert!(
        tally.verdicts.iter().all(|count| *count > FORECASTS / 10),
        "{tally}"
    );
    assert!(
        tally.confirmed > 2 * FORECASTS && tally.close * 100 < tally.confirmed,
        "{tally}"
    );
    assert!(tally.compared >= FORECASTS / 64, "{tally}");
    assert!(
        tally.ensembles > FORECASTS / 20 && tally.local > FORECASTS / 50,
        "{tally}"
    );
    assert!(tally.refused * 5 < tally.local, "{tally}");
}
