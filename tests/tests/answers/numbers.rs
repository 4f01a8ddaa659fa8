//! Statistics and physics at the edges of their domains: the documented error bounds, and what lies at the edges and
//! beyond.
//!
//! The tables are the documented formulas in mpmath 1.4.1 (a general-purpose library) with 50 digits, on the double that
//! each printed argument names; the bound beside each is the one in the function's documentation. That every answer is
//! finite, missing or a typed error, is the contract's promise that what is missing is never good; each exception stands
//! in the documentation of its function.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]
#![expect(
    clippy::unreadable_literal,
    clippy::excessive_precision,
    reason = "digits as mpmath prints them"
)]

use std::fmt::Debug;

use chrono::NaiveDate;
use fairspell::air::{
    FILM_MM, dew_point_c, evaporation_mm_per_hour, film_after_hour_mm, frost_point_c,
    humidity_from_dew_point_pct, ice_bulb_c, saturation_pressure_hpa,
    saturation_pressure_over_ice_hpa, standard_pressure_hpa, vapour_pressure_deficit_hpa,
    vapour_pressure_hpa, wet_bulb_c,
};
use fairspell::freeze::{Settings, freezes};
use fairspell::plant::{
    DegreeDays, Extremes, Method, chill_hours, chill_portions, growing_degree_hours,
    growing_degree_hours_of, since_lowest, utah_chill,
};
use fairspell::quantity::{Quantity, Unit};
use fairspell::series::DailySeries;
use fairspell::site::Hemisphere;
use fairspell::statistics::{
    Generator, NoFit, Weibull, a2_star, anderson_darling_a2, fit, fit_shape_scale, interval_95,
    kolmogorov_smirnov_d, mann_kendall, normal_cdf, normal_quantile, pinball, plotting_positions,
    quantile, significance, theil_sen, wilson,
};
use fairspell::sun::{SunTimes, elevation_deg, sun_times};

const TINIEST: f64 = 5e-324;

/// Each row of a table within the bound that belongs to its arguments and expected value.
fn assert_rows<const N: usize>(
    rows: &[([f64; N], f64)],
    of: impl Fn([f64; N]) -> Option<f64>,
    bound: impl Fn([f64; N], f64) -> f64,
) {
    for (arguments, expected) in rows {
        let computed = of(*arguments).unwrap_or(f64::NAN);
        let bound = bound(*arguments, *expected);
        assert!(
            (computed - expected).abs() <= bound,
            "{arguments:?}: computed {computed:e}, expected {expected:e}, bound {bound:e}"
        );
    }
}

/// A share of the expected value, or the last digit of the smallest numbers.
fn share(of: f64) -> impl Fn([f64; 1], f64) -> f64 {
    move |_, expected| (of * expected.abs()).max(TINIEST)
}

#[test]
fn the_normal_distribution_keeps_its_bounds() {
    let chances = [
        ([-38.4], 6.4e-323),
        ([-37.0], 5.725571222524577e-300),
        ([-30.5], 1.3029379131780763e-204),
        ([-30.0], 4.906713927148187e-198),
        ([-8.3], 5.205569744890254e-17),
        ([-5.0], 2.866515718791939e-07),
        ([-1.0], 0.15865525393145705),
        ([-1e-300], 0.5),
        ([5e-324], 0.5),
        ([1e-08], 0.5000000039894228),
        ([0.5], 0.6914624612740131),
        ([5.0], 0.9999997133484281),
        ([8.2], 0.9999999999999999),
    ];
    let bound = |[z]: [f64; 1], chance: f64| (2e-16 * (2.0 + z * z) * chance).max(TINIEST);
    assert_rows(&chances, |[z]| Some(normal_cdf(z)), bound);
    let points = [
        ([5e-324], -38.467405617144344),
        ([1.5e-323], -38.43885473456996),
        ([1e-310], -37.663060331949524),
        ([2.2250738585072014e-308], -37.5193793471445),
        ([1e-300], -37.0470962993612),
        ([4.9e-198], -30.000045591132576),
        ([4.8e-198], -30.000732130680973),
        ([1e-100], -21.273453560965326),
        ([1e-09], -5.9978070150076865),
        ([0.025], -1.9599639845400543),
        ([0.3], -0.5244005127080408),
        ([0.49999], -2.5066282748960008e-05),
        ([0.5000001], 2.506628273311648e-07),
        ([0.75], 0.6744897501960817),
        ([0.9999999999999999], 8.209536151601387),
    ];
    let bound = |_: [f64; 1], point: f64| 1e-15 * (1.0 + point.abs());
    assert_rows(&points, |[chance]| Some(normal_quantile(chance)), bound);
}

#[test]
fn moist_air_keeps_its_bounds() {
    let water = [
        ([-90.0], 0.00019255885655838573),
        ([-40.0], 0.18968439753361652),
        ([-5e-324], 6.1094),
        ([1e-300], 6.1094),
        ([0.01], 6.113831895756472),
        ([20.0], 23.334406230993572),
        ([59.9999], 200.2291049611135),
        ([60.0], 200.23003893628191),
    ];
    assert_rows(&water, |[t]| saturation_pressure_hpa(t), share(5e-15));
    let ice = [
        ([-90.0], 9.64842093262523e-05),
        ([-40.0], 0.12834072645682087),
        ([-1e-300], 6.1121),
        ([-0.01], 6.1070608513692966),
    ];
    assert_rows(
        &ice,
        |[t]| saturation_pressure_over_ice_hpa(t),
        share(5e-15),
    );
    let dew_points = [
        ([-90.0, 99.9999999999999], -90.0),
        ([60.0, 1e-300], -237.0026736546408),
        ([60.0, 0.01], -59.55526295560938),
        ([20.0, 50.0], 9.261106630534233),
        ([-0.0, 99.9999999999], -1.3789749637843402e-11),
    ];
    assert_rows(&dew_points, |[t, pct]| dew_point_c(t, pct), |_, _| 1e-13);
    let frost_points = [
        ([-90.0, 1e-300], -265.3670782672924),
        ([0.0, 1e-09], -144.7655099201239),
        ([-5.0, 80.0], -7.015162399410728),
        ([60.0, 1.0], -12.893764344262648),
    ];
    assert_rows(
        &frost_points,
        |[t, pct]| frost_point_c(t, pct),
        |_, _| 1e-13,
    );
    let humidities = [
        ([60.0, -90.0], 9.616881541918028e-05),
        ([-89.0, -90.0], 83.38467527955171),
        ([20.0, 19.99999999999999], 99.99999999999993),
        ([5.0, -2.0], 60.56053603547852),
    ];
    let humidity = |[t, dew]: [f64; 2]| humidity_from_dew_point_pct(t, dew);
    assert_rows(&humidities, humidity, |_, pct| 5e-15 * pct);
}

#[test]
fn drying_air_keeps_its_bounds() {
    let deficits = [
        ([-90.0, 0.0], 0.00019255885655838573),
        ([60.0, 5e-324], 200.23003893628191),
        ([60.0, 99.99999999], 2.0022991323138997e-08),
        ([10.0, 60.0], 4.904082540093943),
    ];
    assert_rows(
        &deficits,
        |[t, pct]| vapour_pressure_deficit_hpa(t, pct),
        |[t, _], _| 5e-15 * saturation_pressure_hpa(t).unwrap(),
    );
    let bulbs = [
        ([-50.0, 0.5, 600.0], -50.16629197244092),
        ([55.0, 0.5, 1050.0], 20.884015992645303),
        ([55.0, 99.999, 600.0], 54.99980327502977),
        ([20.0, 50.0, 1013.25], 13.843318461024454),
        ([0.0, 0.501, 1013.25], -5.9292851312188315),
    ];
    let bulb = |[t, pct, hpa]: [f64; 3]| wet_bulb_c(t, pct, hpa);
    assert_rows(&bulbs, bulb, |_, _| 1e-12);
    let evaporations = [
        ([-90.0, 0.0, 0.0, 200.0], 1.946117928196773e-06),
        ([60.0, 89.9, 0.0, 1100.0], 0.008160338521380301),
        ([60.0, 5e-324, 1e+300, 1100.0], 1.2086205882774749e+299),
        ([10.0, 50.0, 3.0, 1013.25], 0.08110699631029615),
    ];
    let evaporation = |[t, pct, ms, hpa]: [f64; 4]| evaporation_mm_per_hour(t, pct, Some(ms), hpa);
    assert_rows(&evaporations, evaporation, |_, mm| 5e-14 * mm);
    let pressures = [
        ([-500.0], 1074.7751260368736),
        ([5e-324], 1013.25),
        ([1000.0], 898.7456042735428),
        ([11000.0], 226.32031306557806),
    ];
    assert_rows(&pressures, |[z]| standard_pressure_hpa(z), share(2e-15));
}

#[test]
fn weibull_probabilities_keep_their_bounds() {
    let weibull = |shape, scale| Weibull { shape, scale };
    let quantiles = [
        ([0.1, 1e+300, 0.5], 2.5600863289563125e+298),
        ([0.01, 1e+300, 1e-06], 1.0000500012708795e-300),
        ([150.0, 330.0, 0.1], 325.0861439812387),
        ([365500.0, 366.0, 0.9], 366.0008351743454),
        ([1e15, 1e-300, 0.5], 9.999999999999997e-301),
        ([0.004, 1e-305, 0.97], 1.6605558974225047e-169),
        ([1.0, 1.0, 0.9999999999999999], 36.7368005696771),
    ];
    // The logarithm of the hazard, over the shape, is what the exponential magnifies.
    let bound = |[shape, scale, chance]: [f64; 3], value: f64| {
        let hazard = -(-chance).ln_1p();
        let log_value = hazard.ln().abs() / shape + scale.ln().abs();
        1e-15 * (1.0 + log_value) * value
    };
    assert_rows(&quantiles, |[k, s, p]| weibull(k, s).quantile(p), bound);
    let below = [
        ([0.5, 1e+300, 1e-300], 1e-300),
        ([151.0, 330.0, 329.0], 0.4686723590942174),
        ([1000000.0, 366.0, 365.999], 0.06300102496664489),
        ([365500.0, 366.0, 365.99], 4.6017065798492275e-05),
        ([1.0, 1e-310, 1e-310], 0.6321205588285577),
        ([2.0, 1e+308, 1.7e+308], 0.944423787388517),
    ];
    let of = |[k, s, y]: [f64; 3]| Some(weibull(k, s).probability_below(y));
    assert_rows(&below, of, |_, _| 5e-16);
    let beyond = [
        ([0.5, 1e+300, 1e-300], 1.0),
        ([151.0, 330.0, 340.0], 3.9813700251119734e-40),
        ([1000000.0, 366.0, 366.001], 2.118853436436569e-07),
        ([2.0, 10.0, 100.0], 3.720075976020836e-44),
        ([2.0, 1e-310, 3e-310], 0.00012340980408667956),
    ];
    let of = |[k, s, y]: [f64; 3]| Some(weibull(k, s).probability_beyond(y));
    assert_rows(&beyond, of, |_, _| 5e-16);
    let significances = [
        ([5e-324], 1.0),
        ([1e-10], 0.9999999999996397),
        ([0.757], 0.04991860464847131),
        ([10.0], 2.2234975688124846e-21),
        ([100.0], 9.988529475699084e-198),
    ];
    let bound = |[a2]: [f64; 1], chance: f64| 1e-14 * (1.0 + a2) * chance;
    assert_rows(&significances, |[a2]| Some(significance(a2)), bound);
}

#[test]
fn shares_keep_their_bound() {
    let rows = [
        (1, 1, 0.20654931437723742, 1.0),
        (0, 1, 0.0, 0.7934506856227626),
        (
            1,
            1_000_000_000,
            1.7652455495696316e-10,
            5.6649342432974385e-09,
        ),
        (999_999_998, 1_000_000_000, f64::NAN, 0.9999999994515278),
        (999_999_999, 1_000_000_000, 0.9999999943350658, f64::NAN),
        (13, 31, 0.2641554306731223, 0.5923373750463028),
    ];
    for (hits, trials, low, high) in rows {
        let computed = wilson(hits, trials);
        // NaN: not in the table
        assert!(
            low.is_nan() || (computed.0 - low).abs() <= 1e-15,
            "{computed:?}"
        );
        assert!(
            high.is_nan() || (computed.1 - high).abs() <= 1e-15,
            "{computed:?}"
        );
    }
    for (hits, trials) in [
        (usize::MAX, usize::MAX),
        (usize::MAX - 1, usize::MAX),
        (1, usize::MAX),
    ] {
        let (low, high) = wilson(hits, trials);
        assert!(0.0 <= low && low <= high && high <= 1.0);
    }
}

#[test]
fn heat_and_chill_keep_their_bounds() {
    let capped = DegreeDays::new(Method::Sine, 50.0, Some(86.0), Unit::Fahrenheit).unwrap();
    let sines = [
        ([49.0, 51.0], core::f64::consts::FRAC_1_PI),
        ([49.999999999, 50.000000001], 3.18308781656982e-10),
        ([-90.0, 50.0000001], 1.134291959485517e-12),
        ([85.9999999, 86.0000001], 35.999999968169014),
        ([-129.0, 140.0], 12.438798903842255),
    ];
    assert_rows(
        &sines,
        |[low, high]| Some(capped.of(low, high)),
        |_, _| 1e-12,
    );
    let hours = [
        ([4.000001], 1.1749529052200532e-13),
        ([14.5], 10.5),
        ([25.0], 21.0),
        ([35.99], 2.141132822340571e-05),
        ([35.9999999], 2.1411332362297233e-15),
    ];
    let of = |[t]: [f64; 1]| Some(growing_degree_hours_of(t));
    assert_rows(&hours, of, |_, _| 1e-13);
    let waves: Vec<f64> = (0..3000)
        .map(|hour| f64::from(hour * 7919 % 200) / 10.0)
        .collect();
    let turns = [-1.0, 12.0].repeat(1500);
    let records = [
        (vec![6.0; 3000], 104.56016028804571),
        (waves, 51.84890825658636),
        (turns, 85.27941910554156),
        (vec![-90.0; 100], 0.0),
        (vec![60.0; 100], 0.0),
    ];
    for (temperatures_c, expected) in records {
        let portions = *chill_portions(&temperatures_c).last().unwrap();
        assert!(
            (portions - expected).abs() <= 1e-12 * expected,
            "{portions}"
        );
    }
}

/// Seventeen numbers over twenty powers of ten.
const STEEP: [f64; 17] = [
    -8265634.947301563,
    -96036.56470538526,
    -8823.058870147443,
    -0.3251950491711282,
    -0.0006703634811960168,
    -5.27903820525131e-10,
    -6.900554583951794e-11,
    -4.765608427762922e-13,
    5.594911004999955e-10,
    1.1907551420830664e-09,
    6.008956770859324e-07,
    7.336001634962708e-06,
    6.578400975568388e-05,
    0.09218459256686025,
    442.4338101753329,
    25395120482.626022,
    835910086175.4379,
];

/// The least and the greatest doubles, neighbours far apart, and steep samples: 3e-16 of the larger neighbour, or the last digit of
/// the smallest numbers. Exact fractions, printed by mpmath.
#[test]
fn quantiles_keep_their_bound() {
    let (days, wide) = (
        [
            83.0, 91.0, 95.0, 98.0, 99.0, 102.0, 104.0, 107.0, 110.0, 118.0,
        ],
        [-1e300, -3.7, 0.1, 0.3, 1e300],
    );
    let least = [TINIEST, 1e-323, 2.5e-323, 1e-310];
    let greatest = [-f64::MAX, f64::MAX, f64::MAX];
    let rows: [(&[f64], u32, f64); 19] = [
        (&days, 10, 83.8),
        (&days, 25, 94.0),
        (&days, 33, 96.89),
        (&days, 67, 105.11),
        (&days, 90, 117.2),
        (&wide, 25, -5.0000000000000002625e299),
        (&wide, 33, -2.000000000000000105e298),
        (&wide, 50, 0.10000000000000000555),
        (&wide, 67, 2.000000000000000105e298),
        (&least, 25, 6.1758205730155818022e-324),
        (&least, 50, 1.7292297604443629046e-323),
        (&least, 67, 3.5000000000015950206e-311),
        (&greatest, 33, -6.4716952855043365493e307),
        (&STEEP, 10, -1729956.2412246207823),
        (&STEEP, 25, -0.16293270632616209891),
        (&STEEP, 33, -0.000040222305101352303744),
        (&STEEP, 50, 5.5949110049999546055e-10),
        (&STEEP, 67, 0.00001084288212220597885),
        (&STEEP, 90, 187498113621.18839111),
    ];
    for (sample, percent, expected) in rows {
        let computed = quantile(sample, percent).unwrap();
        let larger = sample
            .windows(2)
            .find(|pair| (pair[0]..=pair[1]).contains(&expected))
            .map_or(expected.abs(), |pair| pair[0].abs().max(pair[1].abs()));
        let bound = (3e-16 * larger).max(TINIEST);
        let error = (computed - expected).abs();
        assert!(
            error <= bound,
            "{percent} %: {computed:e}, expected {expected:e}"
        );
    }
}

/// Whole times and values, with gaps, ties and a slope against which the values are large: 1e-15 of the slope, and the ranks of the
/// interval to the place. Exact fractions and ranks, by mpmath.
#[test]
fn slopes_keep_their_bound() {
    let whole = |count: i64, of: &dyn Fn(i64) -> i64| -> Vec<f64> {
        (0..count).map(|index| of(index) as f64).collect()
    };
    let rows = [
        (
            vec![2001.0, 2002.0, 2003.0, 2005.0],
            vec![100.0, 97.0, 97.0, 92.0],
            [-1.8333333333333333333, -3.0, 0.0],
        ),
        (
            whole(20, &|index| index),
            whole(20, &|index| index * 37 % 23),
            [0.2, -0.375, 0.85714285714285714286],
        ),
        (
            whole(60, &|index| 1941 + index + index / 7),
            whole(60, &|index| 120 - index / 3 + index * index * 7 % 19),
            [
                -0.28571428571428571429,
                -0.35294117647058823529,
                -0.22222222222222222222,
            ],
        ),
        (
            whole(12, &|index| 3 * index),
            whole(12, &|index| {
                (1 << 40) + index * index * 5 % 7 * 1_000_000 - index
            }),
            [
                -0.33333333333333333333,
                -133333.66666666666667,
                199999.66666666666667,
            ],
        ),
    ];
    for (times, values, expected) in rows {
        let found = theil_sen(&times, &values).unwrap();
        let computed = [found.slope, found.low_95, found.high_95];
        for (computed, expected) in computed.into_iter().zip(expected) {
            let error = f64::abs(computed - expected);
            assert!(error <= 1e-15 * f64::abs(expected), "{found:?}, {expected}");
        }
    }
}

/// Sen 1968: pairs of equal times have no slope, and are left out; here the two values of 2001 and of 2003. By hand: of the eight
/// slopes left -3, -1, -1, -1/2, 0, 1/2, 1, 2 the middle is -1/4.
#[test]
fn pairs_of_equal_times_have_no_slope() {
    let found = theil_sen(
        &[2001.0, 2001.0, 2003.0, 2003.0, 2002.0],
        &[10.0, 12.0, 10.0, 11.0, 9.0],
    )
    .unwrap();
    let by_hand = {
        // 10, 12 to 9 in a year; 10, 12 to 10, 11 in two; 9 to 10, 11 in one.
        let mut slopes = [-1.0, -3.0, 0.0, 0.5, -1.0, -0.5, 1.0, 2.0];
        slopes.sort_by(f64::total_cmp);
        f64::midpoint(slopes[3], slopes[4])
    };
    assert!(
        (found.slope - by_hand).abs() < 1e-15,
        "{found:?}, {by_hand}"
    );
}

/// Rises and spans that overflow, of slopes that do not. Exact fractions by hand: rises of 3e308 over 2 and 6 are 1.5e308 and 5e307;
/// the middle of -1.5e308, 0, 0, 5e307, 1.5e308, 1.5e308 is 2.5e307. Turned round, rises of 3, 9, -2 and 4 in times of 3e308.
#[test]
fn differences_that_overflow_have_their_slope() {
    let (even, steep) = ([0.0, 2.0, 4.0, 6.0], [-1.5e308, 1.5e308, -1.5e308, 1.5e308]);
    let found = theil_sen(&even, &steep).unwrap();
    for (computed, expected) in [
        (found.slope, 2.5e307),
        (found.low_95, -1.5e308),
        (found.high_95, 1.5e308),
    ] {
        assert!(f64::abs(computed - expected) <= 1e292, "{found:?}");
    }
    // Two of the six pairs have equal times.
    let found = theil_sen(&steep, &[1.0, 4.0, 6.0, 10.0]).unwrap();
    let by_hand = [3.0 / 3.0, -2.0 / 3.0, 9.0 / 3.0, 4.0 / 3.0];
    let middle = f64::midpoint(by_hand[0], by_hand[3]) * 1e-308;
    assert!(
        (found.slope - middle).abs() <= 1e-322,
        "{found:?}, {middle:e}"
    );
}

/// From four values to two thousand, from no evidence to a chance of 6e-245: S and z, and 1e-15 (2 + z²) of p. mpmath.
#[test]
fn chances_of_a_trend_keep_their_bound() {
    type Row<'a> = (i64, &'a dyn Fn(i64) -> i64, [f64; 3]);
    let rows: [Row<'_>; 8] = [
        (
            4,
            &|i| i,
            [6.0, 1.6984155512168936259, 0.089429359028993564707],
        ),
        (
            10,
            &|i| -i,
            [-45.0, -3.9354796403996298657, 0.000083030703326449734237],
        ),
        (
            100,
            &|i| i,
            [4950.0, 14.738699982083308819, 3.6371896876271169646e-49],
        ),
        (
            500,
            &|i| i,
            [124750.0, 33.423738102260521687, 6.1982224785648569383e-245],
        ),
        (
            40,
            &|i| i * 37 % 23,
            [55.0, 0.62988307422623943925, 0.52877108760180966796],
        ),
        (
            30,
            &|i| i + i * i % 11,
            [359.0, 6.3993223094176477372, 1.5606808624936871188e-10],
        ),
        (
            2000,
            &|i| i * i % 7,
            [1145.0, 0.03983828669033540244, 0.96822205208224981639],
        ),
        (
            600,
            &|i| i / 100 + i * i % 7,
            [99048.0, 20.368434599749271014, 3.1870342470548545811e-92],
        ),
    ];
    for (count, of, [s, z, p]) in rows {
        let values: Vec<f64> = (0..count).map(|index| of(index) as f64).collect();
        let test = mann_kendall(&values).unwrap();
        assert_eq!(test.s.to_bits(), s.to_bits());
        assert!((test.z - z).abs() <= 1e-15 * z.abs(), "{test:?}, {z}");
        assert!(
            (test.p - p).abs() <= 1e-15 * (2.0 + z * z) * p,
            "{test:?}, {p}"
        );
    }
}

/// Arguments at and beyond every edge.
const EDGES: [f64; 26] = [
    f64::NAN,
    f64::NEG_INFINITY,
    f64::MIN,
    -1e300,
    -273.15,
    -90.0000000001,
    -90.0,
    -1.0,
    -f64::MIN_POSITIVE,
    -TINIEST,
    -0.0,
    0.0,
    TINIEST,
    1e-320,
    f64::MIN_POSITIVE,
    1e-9,
    0.6,
    1.0,
    60.0,
    90.0,
    100.0,
    102.0,
    200.0,
    1100.0,
    f64::MAX,
    f64::INFINITY,
];

/// Every answer is a finite number or none; NaN and infinite arguments have none.
fn assert_known_or_none(answer: Option<f64>, arguments: &[f64]) {
    assert!(
        answer.is_none_or(f64::is_finite),
        "{arguments:?}: {answer:?}"
    );
    let is_known = arguments.iter().all(|argument| argument.is_finite());
    assert!(is_known || answer.is_none(), "{arguments:?}: {answer:?}");
}

/// The documentation of `air`: what is missing or out of range gives none.
#[test]
fn moist_air_is_finite_or_missing_at_every_edge() {
    for t in EDGES {
        assert_known_or_none(saturation_pressure_hpa(t), &[t]);
        assert_known_or_none(saturation_pressure_over_ice_hpa(t), &[t]);
        assert_known_or_none(standard_pressure_hpa(t), &[t]);
        for pct in EDGES {
            assert_known_or_none(vapour_pressure_hpa(t, pct), &[t, pct]);
            assert_known_or_none(vapour_pressure_deficit_hpa(t, pct), &[t, pct]);
            assert_known_or_none(dew_point_c(t, pct), &[t, pct]);
            assert_known_or_none(frost_point_c(t, pct), &[t, pct]);
            assert_known_or_none(humidity_from_dew_point_pct(t, pct), &[t, pct]);
            for third in EDGES {
                assert_known_or_none(wet_bulb_c(t, pct, third), &[t, pct, third]);
                assert_known_or_none(ice_bulb_c(t, pct, third), &[t, pct, third]);
                let windy = evaporation_mm_per_hour(t, pct, Some(third), 1013.25);
                assert_known_or_none(windy, &[t, pct, third]);
                let calm = evaporation_mm_per_hour(t, pct, None, third);
                assert_known_or_none(calm, &[t, pct, third]);
                let film = film_after_hour_mm(t, pct, third);
                assert!((0.0..=FILM_MM).contains(&film), "{t} {pct} {third}: {film}");
            }
        }
    }
    // So little vapour that its share of a hectopascal is 0 in `f64`: it has no frost point, not one that is NaN.
    for t in -90_i32..=60 {
        for parts in 1..3000_u64 {
            let pct = f64::from_bits(parts);
            assert_known_or_none(frost_point_c(f64::from(t), pct), &[pct]);
        }
    }
}

/// The documentation of `film_after_hour_mm`: what is missing, or cannot be, never dries wood. FAO-56 has no negative
/// rain.
#[test]
fn no_impossible_number_dries_the_wood() {
    for bad in [f64::NAN, f64::NEG_INFINITY, -1.0, -TINIEST, f64::INFINITY] {
        assert_eq!(
            film_after_hour_mm(bad, 0.0, 0.0).to_bits(),
            FILM_MM.to_bits()
        );
        assert_eq!(
            film_after_hour_mm(0.1, bad, 0.0).to_bits(),
            FILM_MM.to_bits()
        );
        assert_eq!(
            film_after_hour_mm(0.1, 0.0, bad).to_bits(),
            0.1_f64.to_bits()
        );
    }
}

/// The documentation of `sun`: 90 and 180 degrees are the ends; what is none on Earth gives no light.
#[test]
fn the_sun_is_known_on_earth_alone() {
    for north in EDGES {
        for east in EDGES {
            let is_on_earth = (-90.0..=90.0).contains(&north) && (-180.0..=180.0).contains(&east);
            for time in [
                i64::MIN,
                -2_177_452_800,
                0,
                1_802_703_600,
                4_102_444_799,
                i64::MAX,
            ] {
                let elevation = elevation_deg(north, east, time);
                assert_eq!(
                    (-90.0..=90.0).contains(&elevation),
                    is_on_earth,
                    "{north} {east} {time}"
                );
            }
            for (year, month, day) in [
                (i32::MIN, 0, 0),
                (2027, 2, 15),
                (i32::MAX, u32::MAX, u32::MAX),
            ] {
                let times = sun_times(north, east, year, month, day);
                assert!(
                    is_on_earth || times == SunTimes::PolarNight,
                    "{north} {east}"
                );
            }
        }
    }
}

/// The documentation of `DegreeDays::of`: never below 0, and unknown rather than none where it cannot be known.
#[test]
fn degree_days_are_known_or_unknown_but_never_none_by_mistake() {
    let methods = [Method::Simple, Method::Clamped, Method::Sine];
    for base in EDGES {
        for cap in EDGES.map(Some).into_iter().chain([None]) {
            for method in methods {
                let Ok(days) = DegreeDays::new(method, base, cap, Unit::Celsius) else {
                    continue;
                };
                for tmin in EDGES {
                    for tmax in EDGES {
                        let heat = days.of(tmin, tmax);
                        let is_day = tmin.is_finite() && tmax.is_finite() && tmin <= tmax;
                        assert!(heat.is_nan() || (heat >= 0.0 && heat.is_finite()));
                        assert!(is_day || heat.is_nan(), "{tmin} {tmax}");
                        let is_weather = [base, tmin, tmax].iter().all(|t| t.abs() < 1e300);
                        assert!(
                            !is_day || !is_weather || heat.is_finite(),
                            "{base} {tmin} {tmax}"
                        );
                    }
                }
            }
        }
    }
    // The area under the sine is infinite twice, and the difference was NaN, which `max` took for 0.
    let huge = DegreeDays::new(Method::Sine, -1.7e308, Some(-1.6e308), Unit::Celsius).unwrap();
    assert!(huge.of(1.7e308, 1.75e308).is_nan());
    for t in EDGES {
        for [one, other] in [[t, 1e308], [-1e308, t], [t, t]] {
            let day = Extremes {
                tmin_c: one,
                tmax_c: other,
                next_tmin_c: t,
            };
            for length in EDGES {
                for hour in 0..=24 {
                    let at = day.after_sunrise_c(f64::from(hour), length);
                    assert!(
                        at.is_finite() || at.is_nan(),
                        "{day:?} {length} {hour}: {at}"
                    );
                }
            }
        }
    }
}

/// The documentation of `chill`: an hour beyond −90 to 60 °C makes that sum and all later ones unknown.
#[test]
fn sums_of_hours_never_pass_over_what_is_not_believed() {
    for t in EDGES {
        let record = [5.0, t, 5.0];
        let is_believed = (-90.0..=60.0).contains(&t);
        let sums = [
            chill_hours,
            utah_chill,
            chill_portions,
            growing_degree_hours,
        ]
        .map(|sum| sum(&record));
        for sums in &sums {
            assert!(
                sums.iter()
                    .skip(1)
                    .all(|sum| sum.is_finite() == is_believed),
                "{t}: {sums:?}"
            );
        }
        assert_eq!(since_lowest(&sums[1]).is_finite(), is_believed);
    }
}

/// Numbers of any bits, and of every size alike.
fn any_number(random: &mut Generator) -> f64 {
    match random.index(4) {
        0 => f64::from_bits(random.draw()),
        1 => f64::from_bits(random.draw() >> 11 | random.index(2) << 63), // subnormal to 1
        2 => EDGES[usize::try_from(random.index(26)).unwrap()],
        _ => random.index(20) as f64 - 5.0, // ties
    }
}

/// Definitions of the functions: a sample of any numbers has an answer that is finite, or none.
#[test]
fn statistics_of_any_numbers_are_finite_or_none() {
    let mut random = Generator::new(1);
    for _ in 0..20_000 {
        let count = random.index(9);
        let values: Vec<f64> = (0..count).map(|_| any_number(&mut random)).collect();
        let times: Vec<f64> = (0..count).map(|_| any_number(&mut random)).collect();
        if let Some(slope) = theil_sen(&times, &values) {
            let all = [slope.low_95, slope.slope, slope.high_95];
            assert!(
                all.iter().all(|slope| slope.is_finite()) && all.is_sorted(),
                "{times:?} {values:?} {slope:?}"
            );
        }
        if let Some(test) = mann_kendall(&values) {
            assert!(
                test.z.is_finite() && test.p > 0.0 && test.p <= 1.0,
                "{values:?} {test:?}"
            );
        }
        let mut ascending = values.clone();
        ascending.retain(|value| !value.is_nan());
        ascending.sort_by(f64::total_cmp);
        let known: Vec<f64> = (0..=100)
            .filter_map(|percent| quantile(&ascending, percent))
            .collect();
        assert!(known.iter().all(|value| value.is_finite()), "{ascending:?}");
        let is_within = |value: &f64| ascending[0] <= *value && value <= ascending.last().unwrap();
        assert!(known.iter().all(is_within), "{ascending:?} {known:?}");
        if let Some((low, high)) = interval_95(&mut ascending) {
            assert!(
                low.is_finite() && high.is_finite() && low <= high,
                "{ascending:?}"
            );
        }
    }
}

/// Definitions of D, A² and the quantile of a fit; the fit of three values or more that are not all equal always is.
fn assert_fit(values: &[f64]) {
    let fitted = match fit(values) {
        Ok(fitted) => fitted,
        Err(why) => {
            let is_positive = values.iter().all(|value| *value > 0.0 && value.is_finite());
            let is_equal = values
                .windows(2)
                .all(|pair| pair[0].to_bits() == pair[1].to_bits());
            let expected = if values.len() < 3 {
                NoFit::TooFew
            } else if !is_positive {
                NoFit::NotPositive
            } else {
                assert!(is_equal, "{values:?} can be fitted");
                NoFit::AllEqual
            };
            assert_eq!(why, expected, "{values:?}");
            return;
        }
    };
    let numbers = [fitted.log_likelihood, fitted.aic, fitted.ad_a2];
    assert!(
        numbers.iter().all(|number| number.is_finite()),
        "{values:?} {fitted:?}"
    );
    assert!(
        fitted.ks_d > 0.0 && fitted.ks_d <= 1.0,
        "{values:?} {fitted:?}"
    );
    assert!(
        fitted.shape > 0.0 && fitted.scale > 0.0,
        "{values:?} {fitted:?}"
    );
    assert!(fitted.shape.is_finite() && fitted.scale.is_finite());
    let (least, most) = (f64::MAX, 0.0_f64);
    let (least, most) = values.iter().fold((least, most), |(low, high), value| {
        (low.min(*value), high.max(*value))
    });
    assert!(
        (least..=most).contains(&fitted.scale),
        "{values:?} {fitted:?}"
    );
    let significance = significance(a2_star(fitted.ad_a2.max(0.0), values.len()));
    assert!((0.0..=1.0).contains(&significance));
    for percent in 1..100 {
        let value = fitted.weibull().quantile(f64::from(percent) / 100.0);
        assert!(
            value.is_none_or(|value| value > 0.0 && value.is_finite()),
            "{values:?}"
        );
    }
}

#[test]
fn fits_of_any_numbers_are_finite_or_say_why_not() {
    let mut random = Generator::new(2);
    for _ in 0..5000 {
        let count = random.index(12);
        let values: Vec<f64> = (0..count).map(|_| any_number(&mut random)).collect();
        assert_fit(&values);
        assert_fit(&values.iter().map(|value| value.abs()).collect::<Vec<f64>>());
        // A last digit or a few apart, at every size.
        let centre = any_number(&mut random).abs();
        let near = |_| f64::from_bits(centre.to_bits().saturating_add(random.index(3)));
        assert_fit(&(0..count).map(near).collect::<Vec<f64>>());
    }
}

/// Thousands of ties and one value a last digit below: the scale has not the digits that its shape needs, and A² was
/// infinite. Bisection of g and A² by its definition in mpmath, 50 digits.
#[test]
fn ties_but_for_the_last_digit_are_fitted() {
    for (count, unit) in [(29, 366.0), (3000, 366.0), (3000, 1e-310), (3000, 1e300)] {
        let mut values = vec![unit; count];
        values.push(f64::from_bits(f64::to_bits(unit) - 1));
        assert_fit(&values);
    }
    let mut values = vec![1.0; 3000];
    values.push(1.0 - f64::EPSILON / 2.0);
    let fitted = fit(&values).unwrap();
    let [shape, ks_d, ad_a2] = [
        2.7030604963477717e+19,
        0.6319099426142252,
        1375.9019411801796,
    ];
    assert!((fitted.shape / shape - 1.0).abs() < 1e-12, "{fitted:?}");
    assert!((fitted.ks_d - ks_d).abs() < 1e-12, "{fitted:?}");
    assert!((fitted.ad_a2 / ad_a2 - 1.0).abs() < 1e-9, "{fitted:?}");
}

/// Definitions: a share of nothing, a gap that overflows, a distribution without a number.
#[test]
fn what_has_no_answer_says_so() {
    let (low, high) = (-1.5e308, 1.5e308);
    assert_eq!(quantile(&[low, high], 50), Some(0.0));
    assert_eq!(quantile(&[low, low, high, high], 50), Some(0.0));
    assert_eq!(
        interval_95(&mut [low, high]).map(|(low, high)| (low < 0.0, high > 0.0)),
        Some((true, true))
    );
    let years = [1.0, 2.0, 3.0, 4.0];
    assert_eq!(theil_sen(&years, &[low, high, low, high]), None); // slopes of 3e308 a year
    let slope = theil_sen(
        &[-1.2e308, -0.4e308, 0.4e308, 1.2e308],
        &[-3.0, -1.0, 1.0, 3.0],
    )
    .unwrap();
    assert!((slope.slope * 1e308 - 2.5).abs() < 1e-12); // 6 over 2.4e308, by hand
    assert_eq!(pinball(0.0, low, high).to_bits(), 0.0_f64.to_bits());
    assert!((pinball(0.25, low, high) / 0.75e308 - 1.0).abs() < 1e-15);
    assert!(kolmogorov_smirnov_d(&[0.2, f64::NAN, 0.9]).is_nan());
    assert!(anderson_darling_a2(&[(f64::NAN, -1.0)]).is_nan());
    assert!(a2_star(0.0, 0).is_nan() && a2_star(0.5, 0).is_nan());
    assert!(
        significance(-1.0).is_nan() && significance(0.0) >= 1.0 && significance(f64::MAX) <= 0.0
    );
    assert!(plotting_positions(0).is_empty() && kolmogorov_smirnov_d(&[]) <= 0.0);
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(
            Weibull {
                shape: bad,
                scale: 1.0
            }
            .quantile(0.5),
            None
        );
        assert_eq!(
            Weibull {
                shape: 1.0,
                scale: bad
            }
            .quantile(0.5),
            None
        );
    }
    // exp(1/0.001) and exp(-10⁶) are beyond `f64`.
    let wide = Weibull {
        shape: 0.001,
        scale: 1.0,
    };
    assert_eq!((wide.quantile(0.99), wide.quantile(1e-300)), (None, None));
    for count in 0..3 {
        assert_eq!(fit_shape_scale(&vec![7.0; count]), None);
        assert_eq!(mann_kendall(&vec![7.0; count]), None);
    }
}

/// No number of an answer is NaN or infinite.
fn assert_finite(answer: &impl Debug) {
    let text = format!("{answer:?}");
    let words = text.split(|letter: char| !(letter.is_alphanumeric() || letter == '_'));
    let odd: Vec<&str> = words.filter(|word| ["NaN", "inf"].contains(word)).collect();
    assert!(odd.is_empty(), "{odd:?} in {text}");
}

fn settings() -> Settings {
    Settings {
        thresholds: [36.0, 32.0, 28.0]
            .map(|value| Quantity {
                value,
                unit: Unit::Fahrenheit,
            })
            .to_vec(),
        hemisphere: Hemisphere::North,
        keeps_suspect: true,
        seed: 1,
        replicates: 40,
        is_brief: false,
    }
}

/// Minima \[°F\] of so many years from 1701 on.
fn record(years: i32, tmin_f: impl Fn(i64) -> f64) -> DailySeries {
    let start = |year| NaiveDate::from_ymd_opt(year, 1, 1).unwrap();
    let days = start(1701 + years)
        .signed_duration_since(start(1701))
        .num_days();
    let values = (0..days).map(tmin_f).collect();
    DailySeries::new("S1", start(1701), values, Unit::Fahrenheit, false).unwrap()
}

/// The contract, section 4: dates of each half of each year. 300 years of an invented climate, and 300 of one and the
/// same minimum, at, below and above a threshold: as many valid years, each with the same date or with none.
#[test]
fn three_hundred_years_and_constant_minima_are_answered() {
    let wave = |day: i64| {
        let season = day as f64 / 365.25 * core::f64::consts::TAU;
        (33.0 - 24.0 * season.cos() + (day * 7919 % 23) as f64).round()
    };
    for at in freezes(&record(300, wave), &settings()) {
        assert_finite(&at);
        assert!(at.spring.valid_years >= 299, "{}", at.spring.valid_years);
        assert!(at.spring.trend.mann_kendall.is_some());
    }
    for (tmin, is_freeze) in [(28.0, true), (-459.67, true), (36.5, false), (1e-300, true)] {
        for at in freezes(&record(300, |_| tmin), &settings()) {
            assert_finite(&at);
            let is_freeze = is_freeze && tmin <= at.threshold.value;
            assert_eq!(
                at.spring.freeze_years,
                if is_freeze { at.spring.valid_years } else { 0 }
            );
            assert!(at.spring.trend.theil_sen.is_none() && at.spring.trend.mann_kendall.is_none());
        }
    }
    for years in 1..4 {
        assert_finite(&freezes(&record(years, wave), &settings()));
    }
    assert_finite(&freezes(&record(1, |_| f64::NAN), &settings()));
}
