//! The best run of a spell: that in which the hours keep clearest of their limits of temperature and wind.
//!
//! Source: the contract, section 5 (without members `best_start` is the run with the widest margin, the earliest of several);
//! a margin counts in the standard errors of a first day's forecast, 3.2 °F and 1.5 m/s, as `spell` has them (common practice, no
//! source). The margins below are worked out by hand.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::fmt::Write as _;

use fairspell::decision::Verdict;
use fairspell_tests::decided::decided;

/// 10 March 2027, 00:00 UTC.
const START: i64 = 1_804_636_800;

/// A caution, first, and two limits that forbid.
const RULES: &str = "operation = \"work\"\nhours-needed = 2\n\
    [[rule]]\nname = \"not too warm\"\nmeasure = \"temperature\"\nat-most = \"100 °C\"\nseverity = \"caution\"\n\
    source = \"Common practice\"\n\
    [[rule]]\nname = \"warm\"\nmeasure = \"temperature\"\nat-least = \"0 °C\"\nseverity = \"block\"\nsource = \"Common practice\"\n\
    [[rule]]\nname = \"calm\"\nmeasure = \"wind\"\nat-most = \"10 m/s\"\nseverity = \"block\"\nsource = \"Common practice\"\n";

/// The hour, counted from the first, in which the best two of six fair hours begin.
fn best(temperature_c: [&str; 6], wind_ms: [&str; 6]) -> i64 {
    let mut csv = String::from("time,temperature_c,wind_ms\n");
    for (hour, (temperature, wind)) in temperature_c.iter().zip(wind_ms).enumerate() {
        writeln!(csv, "2027-03-10T{hour:02}:00Z,{temperature},{wind}").unwrap();
    }
    let decision = decided(&csv, RULES.as_bytes(), START).unwrap();
    assert_eq!(decision.verdict, Verdict::Go);
    let spell = decision.spell.unwrap();
    assert_eq!((spell.start, spell.end), (START, START + 6 * 3600));
    assert_eq!(spell, decision.spells[0]);
    (spell.best_start - START) / 3600
}

/// 9 °C keeps clear of 0 °C by 5.1 errors, 5 °C by 2.8; no wind keeps clear of 10 m/s by 6.7.
#[test]
fn the_warmest_hours_are_best_where_cold_is_near() {
    let still = ["0"; 6];
    assert_eq!(best(["5", "5", "9", "9", "5", "5"], still), 2);
    assert_eq!(best(["5", "5", "5", "9", "9", "5"], still), 3);
    assert_eq!(
        best(["5", "9", "5", "9", "5", "5"], still),
        0,
        "the least of a run counts, the earliest of equal ones"
    );
}

/// 2 m/s keeps clear of 10 m/s by 5.3 errors, 8 m/s by 1.3; 20 °C keeps clear of 0 °C by 11.2.
#[test]
fn the_calmest_hours_are_best_where_wind_is_near() {
    assert_eq!(best(["20"; 6], ["8", "8", "2", "2", "8", "8"]), 2);
}

/// 2 °C keeps clear by 1.125 errors, 8.2 m/s by 1.2: less wind to spare, in its own unit, yet more in errors.
#[test]
fn margins_count_in_errors_of_forecasts() {
    assert_eq!(
        best(
            ["2", "2", "20", "20", "2", "2"],
            ["0", "0", "8.2", "8.2", "0", "0"]
        ),
        2
    );
}

/// The caution would have the coldest hours: it has no say.
#[test]
fn a_caution_has_no_say() {
    assert_eq!(best(["5", "5", "5", "5", "45", "45"], ["0"; 6]), 4);
}
