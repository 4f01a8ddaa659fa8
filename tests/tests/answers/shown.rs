//! Values and shares as people read them.
//!
//! Source: the contract (both systems: °F, in, mph and °C, mm, m/s; a value never looks like the limit that it misses; a chance is
//! never said to be certain); conversions by their definitions (1 in = 25.4 mm, 1 mi = 1,609.344 m: NIST SP 811, Appendix B.8).

#![allow(clippy::unwrap_used, reason = "a check may stop at the first surprise")]

use chrono::NaiveDate;
use fairspell::decision::{Advice, DaysBy, Units, Wait, show};
use fairspell::quantity::Unit;

#[test]
fn each_system_has_its_own_unit_for_each_kind() {
    for (unit, us, si) in [
        (Unit::Celsius, Unit::Fahrenheit, Unit::Celsius),
        (
            Unit::CelsiusDifference,
            Unit::FahrenheitDifference,
            Unit::CelsiusDifference,
        ),
        (Unit::Millimetre, Unit::Inch, Unit::Millimetre),
        (
            Unit::KilometrePerHour,
            Unit::MilePerHour,
            Unit::MetrePerSecond,
        ),
        (Unit::Percent, Unit::Percent, Unit::Percent),
        (Unit::Hour, Unit::Hour, Unit::Hour),
    ] {
        assert_eq!(Units::AsWritten.shown(unit), unit);
        assert_eq!(Units::Us.shown(unit), us, "{unit:?}");
        assert_eq!(Units::Si.shown(unit), si, "{unit:?}");
        assert_eq!(Units::Si.shown(us), si, "{us:?}");
    }
}

#[test]
fn a_value_has_the_digits_that_its_unit_bears() {
    for (value, unit, shown) in [
        (0.1, Unit::Inch, "0.10 in"),
        (0.456, Unit::Kilopascal, "0.46 kPa"),
        (5.04, Unit::Celsius, "5 °C"),
        (5.06, Unit::Celsius, "5.1 °C"),
        (0.0, Unit::Millimetre, "0 mm"),
        (40.4, Unit::Fahrenheit, "40 °F"),
        (6.04, Unit::Degree, "6°"),
        (1013.25, Unit::Hectopascal, "1013.3 hPa"),
    ] {
        assert_eq!(show(value, unit, None), shown);
    }
    assert_eq!(show(f64::NAN, Unit::Inch, Some(1.0)), "not known");
}

/// More digits where it would look like the limit that it misses; none more where it is the limit.
#[test]
fn a_value_beside_its_limit_is_told_from_it() {
    let shown = |value, unit, limit| show(value, unit, Some(limit));
    assert_eq!(shown(39.96, Unit::Fahrenheit, 40.0), "39.96 °F");
    assert_eq!(shown(40.0, Unit::Fahrenheit, 40.0), "40 °F");
    assert_eq!(shown(37.0, Unit::Fahrenheit, 40.0), "37 °F");
    assert_eq!(shown(0.04, Unit::Celsius, 0.0), "0.04 °C");
    assert_eq!(shown(4.0, Unit::Celsius, 5.0), "4 °C");
    assert_eq!(shown(10.04, Unit::MilePerHour, 10.0), "10.04 mph");
}

/// Half a per cent, and what rounds to a whole one, are told from none and all.
#[test]
fn a_chance_is_never_certain() {
    let wait = |later| {
        let wait = Wait {
            advice: Advice::NoSpellNow,
            now: None,
            waiting: 0.5,
            later,
            closes: NaiveDate::from_ymd_opt(2027, 4, 30).unwrap(),
            missed: 1.0,
            days: DaysBy::default(),
        };
        wait.text()
    };
    for (chance, words) in [
        (0.0, "0 %"),
        (0.004, "under 1 %"),
        (0.01, "1 %"),
        (0.37, "37 %"),
        (0.99, "99 %"),
        (0.996, "over 99 %"),
        (1.0, "over 99 %"),
    ] {
        let wanted = format!(
            "no spell now: the chance of another fit day by 30 Apr, when its season closes, is {words}"
        );
        assert_eq!(wait(chance), wanted, "{chance}");
    }
}

/// What the days beyond the forecast rest on, in words.
#[test]
fn the_basis_of_a_chance_is_named() {
    let words = |hours, record| {
        let wait = Wait {
            advice: Advice::GoNow,
            now: Some(0.125),
            waiting: 0.5,
            later: 0.5,
            closes: NaiveDate::from_ymd_opt(2027, 4, 30).unwrap(),
            missed: 1.0,
            days: DaysBy {
                forecast: 2,
                hours,
                record,
            },
        };
        wait.text()
    };
    let start = "go now: expected loss 0.12 now, 0.50 by waiting; the chance of another fit day by 30 Apr, when its season closes, \
                 is 50 %";
    assert_eq!(words(0, 0), start);
    for (hours, record, has) in [
        (0, 3, [false, true]),
        (3, 0, [true, false]),
        (3, 3, [true, true]),
    ] {
        let text = words(hours, record);
        let end = text.strip_prefix(start).unwrap();
        let found = ["past hours", "record's temperatures"].map(|part| end.contains(part));
        assert_eq!(found, has, "{text}");
    }
}
