//! The number that a finding names, and by how much it fails, where a value lies between bounds.
//!
//! Source: the definitions of `Finding::value`, `margin` and `shortfall` (the bound nearer to the limit is named, the worse bound
//! makes the margin: missing is never good). Arithmetic.

#![allow(clippy::unwrap_used, reason = "a check may stop at the first surprise")]

use fairspell::operation::{Operation, Rule};
use fairspell::read::Source;
use fairspell::spell::{Finding, Outcome};

fn rule(limits: &str) -> Rule {
    let text = format!(
        "operation = \"work\"\nhours-needed = 1\n[[rule]]\nname = \"fit\"\nmeasure = \"temperature\"\n{limits}\
         severity = \"block\"\nsource = \"Common practice\"\n"
    );
    let (name, bytes) = ("work.toml", text.as_bytes());
    let operation = Operation::read(Source { name, bytes }).unwrap();
    operation.rules.into_iter().next().unwrap()
}

/// Value, margin and shortfall of what lies between two bounds.
fn numbers(rule: &Rule, low: f64, high: f64) -> [f64; 3] {
    let finding = Finding {
        outcome: Outcome::Fails,
        low,
        high,
        ..Finding::NOTHING
    };
    [
        finding.value(rule),
        finding.margin(rule),
        finding.shortfall(rule),
    ]
}

/// Numbers by hand, all whole and so exact.
fn assert_numbers(found: [f64; 3], wanted: [f64; 3]) {
    assert_eq!(
        found.map(f64::to_bits),
        wanted.map(f64::to_bits),
        "{found:?} {wanted:?}"
    );
}

#[test]
fn between_two_limits_the_nearer_bound_is_named() {
    let rule = rule("at-least = \"40 °F\"\nat-most = \"90 °F\"\n");
    assert_numbers(numbers(&rule, 30.0, 35.0), [35.0, -10.0, -5.0]);
    assert_numbers(numbers(&rule, 95.0, 99.0), [95.0, -9.0, -5.0]);
    assert_numbers(numbers(&rule, 30.0, 30.0), [30.0, -10.0, -10.0]);
    assert_numbers(numbers(&rule, 30.0, 40.0), [30.0, -10.0, -10.0]);
    assert_numbers(numbers(&rule, 50.0, 60.0), [50.0, 10.0, 10.0]);
}

#[test]
fn of_one_limit_the_bound_towards_it_is_named() {
    let least = rule("at-least = \"40 °F\"\n");
    assert_numbers(numbers(&least, 30.0, 35.0), [35.0, -10.0, -5.0]);
    assert_numbers(numbers(&least, 50.0, 55.0), [55.0, 10.0, 15.0]);
    let most = rule("at-most = \"90 °F\"\n");
    assert_numbers(numbers(&most, 95.0, 99.0), [95.0, -9.0, -5.0]);
    assert_numbers(numbers(&most, 80.0, 85.0), [80.0, 5.0, 10.0]);
}
