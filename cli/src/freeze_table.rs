//! Freezes as CSV: one row a station, threshold and half.

use std::fmt::Write as _;

use fairspell::error::escaped;
use fairspell::freeze::{Fit, Form, Half, StationFreezes};
use fairspell::quantity::Unit;

/// The names of the columns.
pub fn header() -> String {
    let mut names = String::from(
        "station,threshold_f,half,valid_years,freeze_years,no_freeze_years,freeze_probability",
    );
    for sample in ["conditional", "mixed"] {
        for percent in ["p10", "p50", "p90"] {
            let _ = write!(names, ",{sample}_{percent}");
        }
    }
    for form in [Form::FromStart, Form::Reversed] {
        for number in [
            "shape",
            "scale",
            "log_likelihood",
            "aic",
            "ks_d",
            "ad_a2",
            "p10",
            "p50",
            "p90",
        ] {
            let _ = write!(names, ",{}_{number}", form.name());
        }
    }
    names + ",chosen\n"
}

/// The rows of a station.
pub fn rows(station: &StationFreezes) -> String {
    let mut rows = String::new();
    for at in &station.thresholds {
        let threshold = at
            .threshold
            .unit
            .convert(at.threshold.value, Unit::Fahrenheit);
        for half in [&at.spring, &at.autumn] {
            let name = half.window.half.name();
            let _ = write!(rows, "{},{threshold},{name}", quoted(&station.station));
            numbers(&mut rows, half);
        }
    }
    rows
}

fn numbers(rows: &mut String, half: &Half) {
    let without = half.valid_years - half.freeze_years;
    let _ = write!(
        rows,
        ",{},{},{without}",
        half.valid_years, half.freeze_years
    );
    put(rows, half.freeze_probability());
    half.conditional
        .iter()
        .chain(&half.mixed)
        .for_each(|quantile| put(rows, *quantile));
    for fit in &half.fits {
        let fit: Option<&Fit> = fit.as_ref().ok();
        put(rows, fit.map(|fit| fit.weibull.shape));
        put(rows, fit.map(|fit| fit.weibull.scale));
        put(rows, fit.map(|fit| fit.weibull.log_likelihood));
        put(rows, fit.map(|fit| fit.weibull.aic));
        put(rows, fit.map(|fit| fit.weibull.ks_d));
        put(rows, fit.map(|fit| fit.weibull.ad_a2));
        (0..3).for_each(|index| put(rows, fit.and_then(|fit| fit.quantiles.get(index)).copied()));
    }
    let _ = writeln!(rows, ",{}", half.chosen.map_or("", Form::name));
}

fn put(rows: &mut String, number: Option<f64>) {
    let _ = match number {
        Some(number) => write!(rows, ",{number}"),
        None => write!(rows, ","),
    };
}

/// A name as a field (RFC 4180): quoted where it holds a comma or a quote; a line break, like all that a terminal obeys, stands
/// there as an escape, so that a row stays a line.
pub fn quoted(name: &str) -> String {
    let name = escaped(name);
    if name.contains([',', '"']) {
        format!("\"{}\"", name.replace('"', "\"\""))
    } else {
        name
    }
}
