//! Freezes of the open stations against reference values that were computed outside the project with general numeric
//! libraries (`SciPy` 1.x, lifelines, pymannkendall, plain Python): dates of every year, counts, quantiles, fits, trends.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::fs;
use std::path::PathBuf;

use fairspell::freeze::{AtThreshold, Half, HalfName, Settings, freezes};
use fairspell::quantity::{Quantity, Unit};
use fairspell::read::Source;
use fairspell::read::daily::{DailyOptions, read_daily};
use fairspell::site::Hemisphere;
use serde_json::Value;

const PLACES: [&str; 7] = [
    "central_park_ny_us",
    "champion_ne_us",
    "de_bilt_nl",
    "milwaukee_wi_us",
    "northumberland_uk",
    "seattle_wa_us",
    "suffolk_uk",
];

fn folder(found: Option<&str>) -> PathBuf {
    PathBuf::from(found.unwrap_or_default())
}

fn found(place: &str, is_whole: bool) -> Vec<AtThreshold> {
    let path =
        folder(option_env!("FAIRSPELL_OPEN_DATA_DIR")).join(format!("csv/daily_{place}.csv"));
    let bytes = fs::read(path).unwrap();
    let options = DailyOptions {
        units: None,
        is_whole_fahrenheit: Some(is_whole),
        is_minima_only: true,
    };
    let reading = read_daily(
        Source {
            name: place,
            bytes: &bytes,
        },
        options,
    )
    .unwrap()
    .remove(0);
    let fahrenheit = |value| Quantity {
        value,
        unit: Unit::Fahrenheit,
    };
    freezes(
        &reading.series,
        &Settings {
            thresholds: [36.0, 32.0, 28.0, 24.0].map(fahrenheit).to_vec(),
            hemisphere: Hemisphere::North,
            keeps_suspect: true,
            seed: 1,
            replicates: 0,
            is_brief: false,
        },
    )
}

fn reference(place: &str) -> Value {
    let path =
        folder(option_env!("FAIRSPELL_EXPECTED_DATA_DIR")).join(format!("daily_{place}.json"));
    serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap()
}

/// Within an absolute tolerance; null is none.
fn near(found: Option<f64>, wanted: &Value, tolerance: f64, what: &str) {
    match (found, wanted.as_f64()) {
        (Some(found), Some(wanted)) => assert!(
            (found - wanted).abs() <= tolerance,
            "{what}: {found}, not {wanted}"
        ),
        (found, wanted) => assert_eq!(found, wanted, "{what}"),
    }
}

fn compare(half: &Half, wanted: &Value, what: &str) {
    for (year, wanted) in half
        .years
        .iter()
        .zip(wanted["per_year"].as_array().unwrap())
    {
        let found = (
            i64::from(year.year),
            year.date.map(|date| date.to_string()),
            year.day.map(u64::from),
            u64::from(year.missing_days),
            year.is_valid,
        );
        let wanted = (
            wanted["year"].as_i64().unwrap(),
            wanted["date"].as_str().map(str::to_owned),
            wanted["doy365"].as_u64(),
            wanted["missing_days"].as_u64().unwrap(),
            wanted["valid"].as_bool().unwrap(),
        );
        assert_eq!(found, wanted, "{what}");
    }
    let counts = [half.years.len(), half.valid_years, half.freeze_years].map(|count| count as u64);
    let keys = ["n_years", "n_valid", "n_freeze"];
    assert_eq!(
        counts,
        keys.map(|key| wanted[key].as_u64().unwrap()),
        "{what}"
    );
    let doy = &wanted["doy365"];
    for (index, percent) in ["p10", "p50", "p90"].into_iter().enumerate() {
        near(
            half.conditional[index],
            &doy["quantiles"]["conditional"][percent],
            1e-6,
            what,
        );
        near(
            half.mixed[index],
            &doy["quantiles"]["mixed"][percent],
            1e-6,
            what,
        );
    }
    let from_start = if half.window.half == HalfName::Spring {
        "weibull_min"
    } else {
        "shifted"
    };
    compare_fit(half, 0, &doy[from_start], what);
    if half.window.half == HalfName::Spring {
        compare_fit(half, 1, &doy["reversed"], what);
    }
    compare_trend(half, &wanted["trend_doy365"], what);
}

fn compare_fit(half: &Half, form: usize, wanted: &Value, what: &str) {
    let Some(shape) = wanted["shape"].as_f64() else {
        return;
    };
    let fit = half.fits[form].as_ref().unwrap();
    let relative = |found: f64, key: &str, of: f64| {
        let wanted = wanted[key].as_f64().unwrap();
        assert!(
            (found - wanted).abs() <= of * wanted.abs(),
            "{what} {key}: {found}, not {wanted}"
        );
    };
    assert!((fit.weibull.shape - shape).abs() <= 1e-5 * shape, "{what}");
    relative(fit.weibull.scale, "scale", 1e-5);
    relative(fit.weibull.log_likelihood, "loglik", 1e-5);
    near(Some(fit.weibull.ks_d), &wanted["ks_D"], 1e-5, what);
    near(Some(fit.weibull.ad_a2), &wanted["ad_A2"], 1e-4, what);
    for (index, percent) in ["p10", "p50", "p90"].into_iter().enumerate() {
        near(
            Some(fit.quantiles[index]),
            &wanted["quantiles"][percent],
            1e-5,
            what,
        );
    }
}

fn compare_trend(half: &Half, wanted: &Value, what: &str) {
    let (Some(slope), Some(test)) = (&half.trend.theil_sen, &half.trend.mann_kendall) else {
        return;
    };
    near(Some(slope.slope), &wanted["theil_sen_slope"], 1e-6, what);
    near(Some(slope.low_95), &wanted["theil_sen_95"][0], 1e-6, what);
    near(Some(slope.high_95), &wanted["theil_sen_95"][1], 1e-6, what);
    near(Some(test.s), &wanted["mann_kendall"]["S"], 1e-6, what);
    near(Some(test.p), &wanted["mann_kendall"]["p"], 1e-6, what);
}

/// Every station, threshold and half, as stored and brought back to whole °F.
#[test]
#[cfg_attr(
    not(all(open_data, expected_data)),
    ignore = "the open records are not here"
)]
fn freezes_agree_with_the_reference_values() {
    let mut compared = 0;
    for place in PLACES {
        let reference = reference(place);
        for (variant, is_whole) in [("exact", false), ("whole_f", true)] {
            let Some(wanted) = reference["results"].get(variant) else {
                continue;
            };
            for at in found(place, is_whole) {
                let wanted = &wanted[format!("{:.0}", at.threshold.value)];
                let what = |half: &str| format!("{place} {variant} {} {half}", at.threshold);
                compare(&at.spring, &wanted["spring"], &what("spring"));
                compare(&at.autumn, &wanted["autumn"], &what("autumn"));
                let season = &wanted["season_length"];
                assert_eq!(
                    at.freeze_free.days.len() as u64,
                    season["n"].as_u64().unwrap(),
                    "{}",
                    what("season")
                );
                for (index, percent) in ["p10", "p50", "p90"].into_iter().enumerate() {
                    near(
                        at.freeze_free.quantiles[index],
                        &season["quantiles"][percent],
                        1e-6,
                        &what("season"),
                    );
                }
                compared += 1;
            }
        }
    }
    assert!(compared >= 28, "compared {compared} station thresholds");
}
