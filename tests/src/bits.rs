//! All answers in a few numbers, to see that they are the same to the last bit: in debug and in release, with one thread and
//! with several, on one machine and on another.
//!
//! DEVELOPERS.md, the rules of the house: elementary functions come from `libm`, sums have an order, random numbers a seed.
//! What is hashed are the bits of numbers and the bytes of answers; nothing here says that they are right.

use std::thread::scope;

use chrono::NaiveDate;
use fairspell::decision::{Question, Surety, decide_surely};
use fairspell::freeze::{Settings, freezes};
use fairspell::operation::Operation;
use fairspell::plant::{DegreeDays, Method, chill_portions, growing_degree_hours, utah_chill};
use fairspell::quantity::{Quantity, Unit};
use fairspell::read::{Source, read_hourly};
use fairspell::series::DailySeries;
use fairspell::site::{Hemisphere, Site};
use fairspell::statistics::{
    Generator, fit, interval_95, mann_kendall, normal_cdf, normal_quantile, quantile, theil_sen,
    wilson,
};
use fairspell::{air, sun};

use crate::verdicts::{Tally, check, mixed};
use crate::week::Week;

/// What is hashed, and its number.
pub type Part = (&'static str, u64);

/// Samples, air and days that are hashed.
const SAMPLES: u64 = 150;
/// Random forecasts that are decided.
const FORECASTS: u64 = 600;
/// Weeks whose whole answers are written as JSON, with confidence.
const WEEKS: u64 = 12;
/// Records of freezes.
const RECORDS: u64 = 2;

/// All parts, each worked out in so many threads.
#[must_use]
pub fn parts(threads: u64) -> [Part; 4] {
    [
        ("numbers", hashed(threads, SAMPLES, numbers)),
        ("verdicts", hashed(threads, FORECASTS, verdict)),
        ("decisions", hashed(threads, WEEKS, decision)),
        ("freezes", hashed(threads, RECORDS, freeze)),
    ]
}

/// The hash of each number's work, in the order of the numbers, whoever did it.
fn hashed(threads: u64, count: u64, work: fn(u64) -> u64) -> u64 {
    let mut all: Vec<(u64, u64)> = scope(|scope| {
        let start = |first| {
            let step = usize::try_from(threads).unwrap_or(1).max(1);
            scope.spawn(move || {
                let own = (first..count).step_by(step);
                own.map(|number| (number, work(number))).collect::<Vec<_>>()
            })
        };
        let running: Vec<_> = (0..threads.max(1)).map(start).collect();
        running
            .into_iter()
            .flat_map(|one| one.join().unwrap_or_default())
            .collect()
    });
    all.sort_unstable();
    // A thread that panicked would leave out numbers, and so would change the hash: their count goes in.
    all.iter()
        .fold(all.len() as u64, |hash, (_, one)| mixed(hash, *one))
}

fn of_numbers(numbers: impl IntoIterator<Item = f64>) -> u64 {
    numbers
        .into_iter()
        .fold(1, |hash, number| mixed(hash, number.to_bits()))
}

fn of_text(text: &str) -> u64 {
    text.bytes()
        .fold(1, |hash, byte| mixed(hash, u64::from(byte)))
}

/// Statistics, air, sun, heat and chill of random arguments.
fn numbers(number: u64) -> u64 {
    let mut random = Generator::of_stream(11, number);
    let count = 3 + random.index(40);
    let days: Vec<f64> = (0..count)
        .map(|_| (60.0 + 60.0 * random.uniform()).floor())
        .collect();
    let years: Vec<f64> = (0..count).map(|year| 1960.0 + year as f64).collect();
    let mut ascending = days.clone();
    ascending.sort_by(f64::total_cmp);
    let mut all: Vec<f64> = (1..100)
        .filter_map(|percent| quantile(&ascending, percent))
        .collect();
    if let Ok(fit) = fit(&days) {
        all.extend([
            fit.shape,
            fit.scale,
            fit.log_likelihood,
            fit.aic,
            fit.ks_d,
            fit.ad_a2,
        ]);
        all.extend(
            (1..100).filter_map(|percent| fit.weibull().quantile(f64::from(percent) / 100.0)),
        );
        all.extend(
            days.iter()
                .map(|day| fit.weibull().probability_beyond(*day)),
        );
    }
    if let (Some(slope), Some(test)) = (theil_sen(&years, &days), mann_kendall(&days)) {
        all.extend([slope.slope, slope.low_95, slope.high_95, test.z, test.p]);
    }
    let (low, high) = wilson(usize::try_from(number).unwrap_or(0), 400);
    let (chance, z) = (random.uniform(), 16.0 * random.uniform() - 8.0);
    all.extend([low, high, normal_quantile(chance), normal_cdf(z)]);
    let mut replicates: Vec<f64> = (0..100).map(|_| random.uniform()).collect();
    all.extend(interval_95(&mut replicates).map_or([0.0; 2], |(low, high)| [low, high]));
    for _ in 0..20 {
        all.extend(weather(&mut random));
    }
    of_numbers(all)
}

fn weather(random: &mut Generator) -> Vec<f64> {
    let t_c = 60.0 * random.uniform() - 20.0;
    let (pct, hpa) = (100.0 * random.uniform(), 850.0 + 200.0 * random.uniform());
    let (wind, north) = (15.0 * random.uniform(), 120.0 * random.uniform() - 60.0);
    let time = 1_800_000_000 + i64::try_from(random.index(30_000_000)).unwrap_or(0);
    let known = [
        air::dew_point_c(t_c, pct),
        air::wet_bulb_c(t_c, pct, hpa),
        air::evaporation_mm_per_hour(t_c, pct, Some(wind), hpa),
        air::vapour_pressure_deficit_hpa(t_c, pct),
        air::standard_pressure_hpa(100.0 * wind),
    ];
    let temperatures: Vec<f64> = (0..48).map(|_| 25.0 * random.uniform() - 5.0).collect();
    let heat = DegreeDays::new(Method::Sine, 5.0, Some(25.0), Unit::Celsius);
    let mut all: Vec<f64> = known.into_iter().flatten().collect();
    all.push(sun::elevation_deg(north, 3.0 * north, time));
    all.extend(heat.map(|heat| heat.of(t_c - wind, t_c + wind)));
    all.extend(chill_portions(&temperatures));
    all.extend(utah_chill(&temperatures));
    all.extend(growing_degree_hours(&temperatures));
    all
}

/// A random forecast's verdict, hours and spells.
fn verdict(number: u64) -> u64 {
    let mut tally = Tally::default();
    let is_confirmed = check(13, number, &mut tally).is_ok();
    mixed(tally.digest, u64::from(is_confirmed))
}

/// The whole answer on an invented week, with confidence, as JSON.
fn decision(number: u64) -> u64 {
    let hour = usize::try_from(5 * number).unwrap_or(0);
    let week = Week::default()
        .with("rain_mm", hour + 9..hour + 10, "2.5")
        .with("temperature_f", hour..hour + 6, "41.5");
    let csv = week.csv();
    let source = Source {
        name: "week.csv",
        bytes: csv.as_bytes(),
    };
    let zone = Some(chrono_tz::Tz::America__Chicago);
    let (Ok(forecast), Some(operation)) = (read_hourly(source, zone), Operation::built_in("oil"))
    else {
        return 0;
    };
    let site = Site {
        zone,
        latitude: Some(42.95),
        longitude: Some(-87.9),
        ..Site::default()
    };
    let question = Question {
        at: forecast
            .members
            .first()
            .map_or(0, fairspell::series::HourlySeries::start),
        forecast: &forecast,
        operation: &operation,
        site: &site,
        until: None,
        is_dry_now: false,
        is_strict: false,
        explain: None,
    };
    decide_surely(&question, &Surety::default()).map_or(0, |decision| of_text(&decision.to_json()))
}

/// The freezes of an invented record, with fits, trend, intervals and risk.
fn freeze(number: u64) -> u64 {
    let mut random = Generator::of_stream(17, number);
    let Some(first) = NaiveDate::from_ymd_opt(1981, 1, 1) else {
        return 0;
    };
    let minimum = |day: u32| {
        let season = f64::from(day) / 365.25 * core::f64::consts::TAU;
        // A triangle for the year, so that no sine of the platform has a part in it.
        let turn = (season / core::f64::consts::TAU).fract();
        let wave = 4.0 * (turn - 0.5).abs() - 1.0;
        (36.0 - 24.0 * wave + 24.0 * random.uniform()).round()
    };
    let minima: Vec<f64> = (0..25 * 365).map(minimum).collect();
    let Ok(record) = DailySeries::new("S1", first, minima, Unit::Fahrenheit, false) else {
        return 0;
    };
    let thresholds = [32.0, 28.0].map(|value| Quantity {
        value,
        unit: Unit::Fahrenheit,
    });
    let settings = Settings {
        thresholds: thresholds.to_vec(),
        hemisphere: Hemisphere::North,
        keeps_suspect: true,
        seed: 1,
        replicates: 100,
        is_brief: false,
    };
    of_text(&format!("{:?}", freezes(&record, &settings))) // Rust prints the shortest digits that name the bits
}
