//! Whether confidences are worth what they say: against synthetic forecasts whose error is known, and against reality.
//!
//! Scores: the project's handbook, statistics §9. The real forecasts and the hourly records lie outside the project (see
//! `build.rs`); without them their tests count as ignored. What they print stands in DEVELOPERS.md.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::print_stdout,
    reason = "a check may stop at the first surprise, and shows its table"
)]

use std::collections::BTreeMap;
use std::fs;
use std::io::Read as _;
use std::path::Path;

use approx::assert_abs_diff_eq;
use chrono_tz::Tz;
use fairspell::confidence::{Confidence, ErrorModel, Forecast, Learner};
use fairspell::operation::Operation;
use fairspell::quantity::Unit;
use fairspell::read::{Format, Issued, Source, parse_time, read_hourly};
use fairspell::series::{Amount, Amounts, Column, Element, HourlySeries};
use fairspell::site::{ForecastError, LeadError};
use fairspell::spell::{Judged, Outcome, Sky};
use fairspell::statistics::{Generator, normal_quantile};
use fairspell_tests::scores::{Brier, Case, bins, in_tenths};

const HOUR_S: i64 = 3600;
const DAY_S: i64 = 24 * HOUR_S;
const SKY: Sky = Sky {
    coordinates: None,
    elevation_m: 0.0,
    dry_before: false,
};

fn open(name: &str) -> Vec<u8> {
    let folder = option_env!("FAIRSPELL_OPEN_DATA_DIR").unwrap_or_default();
    fs::read(Path::new(folder).join(name)).unwrap()
}

fn unpacked(name: &str) -> String {
    let mut text = String::new();
    let bytes = open(name);
    flate2::read::GzDecoder::new(bytes.as_slice())
        .read_to_string(&mut text)
        .unwrap();
    text
}

fn operation(rules: &str) -> Operation {
    let head = "operation = \"check\"\nhours-needed = 1\n";
    let text = format!("{head}{rules}");
    let name = "check.toml";
    Operation::read(Source {
        name,
        bytes: text.as_bytes(),
    })
    .unwrap()
}

fn rule(measure: &str, limits: &str) -> String {
    format!(
        "[[rule]]\nname = \"{measure} {}\"\nmeasure = \"{measure}\"\n{limits}\nseverity = \"block\"\n\
         source = \"Of this check\"\n",
        limits.len()
    )
}

fn judged<'a>(series: &'a HourlySeries, operation: &'a Operation) -> Judged<'a> {
    Judged::new(series, operation, &SKY, (Tz::UTC, false), 0)
}

/// Reliability by tenths, score, its parts and skill, in one row each.
fn print(title: &str, cases: &[Case]) -> Brier {
    let score = Brier::of(cases);
    let tenths = in_tenths(cases);
    let parts = Brier::of(&tenths);
    println!(
        "{title}: n {}, Brier {:.4}, skill {:.3}; in tenths {:.4} = {:.4} - {:.4} + {:.4}",
        cases.len(),
        score.score,
        score.skill(),
        parts.score,
        parts.reliability,
        parts.resolution,
        parts.uncertainty
    );
    let bin = |bin: &fairspell_tests::scores::Bin| {
        format!("{:.1}: {:.3} of {}", bin.chance, bin.share(), bin.count)
    };
    println!(
        "  {}",
        bins(&tenths).iter().map(bin).collect::<Vec<_>>().join("; ")
    );
    score
}

// --- The scores themselves ---

/// The project's handbook, statistics §9, first row: exact fractions.
#[test]
fn the_brier_score_and_its_parts_are_those_of_the_handbook() {
    let outcomes =
        |chance: f64, came: &[u8]| came.iter().map(|came| (chance, *came == 1)).collect();
    let parts: [Vec<Case>; 3] = [
        outcomes(0.1, &[0, 0, 0, 1]),
        outcomes(0.4, &[0, 1, 0]),
        outcomes(0.8, &[1, 1, 0]),
    ];
    let cases = parts.concat();
    let brier = Brier::of(&cases);
    assert_abs_diff_eq!(brier.score, 28.0 / 125.0, epsilon = 1e-12);
    assert_abs_diff_eq!(brier.reliability, 47.0 / 3000.0, epsilon = 1e-12);
    assert_abs_diff_eq!(brier.resolution, 19.0 / 600.0, epsilon = 1e-12);
    assert_abs_diff_eq!(brier.uncertainty, 0.24, epsilon = 1e-12);
    assert_abs_diff_eq!(brier.skill(), 0.066_666_7, epsilon = 5e-8);
    let printed = [(0.0456, 0.6994), (0.0615, 0.7923), (0.2077, 0.9385)];
    for (bin, (low, high)) in bins(&cases).iter().zip(printed) {
        assert_abs_diff_eq!(bin.interval().0, low, epsilon = 5e-5);
        assert_abs_diff_eq!(bin.interval().1, high, epsilon = 5e-5);
    }
}

/// The identity of Murphy 1973 on distinct values: score = reliability − resolution + uncertainty.
#[test]
fn the_parts_of_a_score_add_up() {
    let mut generator = Generator::new(7);
    let case = |generator: &mut Generator| {
        let chance = generator.uniform();
        (chance, generator.uniform() < chance * chance)
    };
    let cases: Vec<Case> = (0..500).map(|_| case(&mut generator)).collect();
    let brier = Brier::of(&in_tenths(&cases));
    let sum = brier.reliability - brier.resolution + brier.uncertainty;
    assert_abs_diff_eq!(brier.score, sum, epsilon = 1e-12);
}

// --- Synthetic forecasts of observed hours ---

/// How synthetic forecasts err.
struct Errors {
    /// Standard deviation, as a multiple of the stated one.
    width: f64,
    memory: f64,
    bias_f: f64,
}

/// A year of hours at an airport, as temperatures \[°F\], and its mean for the time of year and day \[°F\].
struct Truth {
    start: i64,
    hours: Vec<f64>,
    climate: Vec<f64>,
    variance: f64,
}

impl Truth {
    fn read(place: &str) -> Self {
        let name = format!("csv/hourly_{place}.csv");
        let bytes = open(&name);
        let text = String::from_utf8(bytes).unwrap();
        let text = text
            .replacen("time_utc", "time", 1)
            .replacen("temp_f", "temperature_f", 1);
        let text = text
            .replacen("precip_in", "rain_in", 1)
            .replacen("rh_pct", "humidity_pct", 1);
        let reading = read_hourly(
            Source {
                name: &name,
                bytes: text.as_bytes(),
            },
            None,
        )
        .unwrap();
        let series = &reading.members[0];
        let column = series.column(Element::Temperature).unwrap();
        let hours: Vec<f64> = column.low().to_vec();
        // The mean of the same hour of day within 15 days; a known hour has at least itself.
        let mean = |hour: usize| {
            let near = (0..31).filter_map(|day| (hour + day * 24).checked_sub(15 * 24));
            let known = near
                .filter_map(|hour| hours.get(hour))
                .filter(|value| !value.is_nan());
            let (sum, count) =
                known.fold((0.0, 0.0), |(sum, count), value| (sum + value, count + 1.0));
            sum / count
        };
        let climate: Vec<f64> = (0..hours.len()).map(mean).collect();
        let apart = hours
            .iter()
            .zip(&climate)
            .map(|(value, mean)| (value - mean).powi(2));
        let known: Vec<f64> = apart.filter(|square| !square.is_nan()).collect();
        let variance = known.iter().sum::<f64>() / known.len() as f64;
        Self {
            start: series.start(),
            hours,
            climate,
            variance,
        }
    }

    /// A forecast of the hours `from..to`, issued at the first of them. Truth with a path of errors is drawn towards the
    /// climate so far that what is left of the error does not hang together with the forecast, as a service that
    /// corrects its forecasts does; its standard deviation is then the one asked for.
    fn forecast(
        &self,
        (from, to): (usize, usize),
        errors: &Errors,
        draw: &mut Generator,
    ) -> Vec<f64> {
        let mut normal = || normal_quantile(draw.uniform().clamp(1e-12, 1.0 - 1e-12));
        let mut path = normal();
        (from..to)
            .map(|hour| {
                let lead_h = (hour - from) as f64;
                let stated = errors.width * ErrorModel::HANDBOOK.temperature.at(lead_h) * 1.8;
                let square = (stated * stated).min(0.9 * self.variance);
                let noise = (square * self.variance / (self.variance - square)).sqrt();
                let kept = self.variance / (self.variance + noise * noise);
                let apart = self.hours[hour] - self.climate[hour] + noise * path;
                path = errors.memory * path + (1.0 - errors.memory.powi(2)).sqrt() * normal();
                self.climate[hour] + kept * apart + errors.bias_f
            })
            .collect()
    }
}

fn series_f(start: i64, values: Vec<f64>) -> HourlySeries {
    let mut series = HourlySeries::new(start, vec![true; values.len()]).unwrap();
    series
        .set_column(
            Element::Temperature,
            Column::exact(values, Unit::Fahrenheit),
        )
        .unwrap();
    series
}

/// Confidences of two hours at 40 °F or more without a freeze in the 6 hours after, 24 h ahead, and what came of them.
fn synthetic(truth: &Truth, errors: &Errors, seed: u64) -> Vec<Case> {
    let warm = rule("temperature", "at-least = \"40 °F\"");
    let kept = rule(
        "temperature",
        "over = \"6 h after\"\ntake = \"min\"\nat-least = \"36 °F\"",
    );
    let operation = operation(&format!("{warm}{kept}"));
    let mut draw = Generator::new(seed);
    let mut cases = Vec::new();
    for from in (0..truth.hours.len().saturating_sub(40)).step_by(9) {
        let forecast = truth.forecast((from, from + 34), errors, &mut draw);
        let observed = &truth.hours[from..from + 34];
        if observed.iter().any(|value| value.is_nan()) {
            continue;
        }
        let start = truth.start + i64::try_from(from).unwrap() * HOUR_S;
        let (forecast, observed) = (
            series_f(start, forecast),
            series_f(start, observed.to_vec()),
        );
        let confidence = Confidence::of_run(
            &Forecast {
                judged: &[judged(&forecast, &operation)],
                issued: Issued::At(start),
                format: Format::PlainCsv,
                stated: None,
                model: &ErrorModel::HANDBOOK,
            },
            24..26,
        );
        let came = judged(&observed, &operation);
        let holds = |hour| (0..2).all(|rule| came.finding(rule, hour).outcome == Outcome::Holds);
        cases.push((confidence.probability.unwrap(), (24..26).all(holds)));
    }
    cases
}

/// The contract, section 5, *Confidence*, on a year at two airports. Where forecasts err as the model states, chances are
/// worth what they say: the reliability term is small (0.005 is a mean gap of 7 points in a hundred, of which chance
/// itself makes some in a year) and no tenth with many cases is far off. Where they err by half as much again, warm by
/// 2 °F and with less memory, chances mislead, and the term shows it.
#[test]
#[cfg_attr(not(open_data), ignore = "the open records are not here")]
fn chances_hold_where_forecasts_err_as_stated_and_mislead_where_they_do_not() {
    let (stated, other) = (
        Errors {
            width: 1.0,
            memory: 0.95,
            bias_f: 0.0,
        },
        Errors {
            width: 1.5,
            memory: 0.8,
            bias_f: 2.0,
        },
    );
    let places = ["PDX", "SEA"].map(Truth::read);
    let cases = |errors: &Errors| -> Vec<Case> {
        let of = |(seed, truth)| synthetic(truth, errors, seed);
        (1..).zip(&places).flat_map(of).collect()
    };
    let (right, wrong) = (cases(&stated), cases(&other));
    let right_score = print("synthetic, error as stated", &right);
    let wrong_score = print("synthetic, other error", &wrong);
    let reliability = |cases: &[Case]| Brier::of(&in_tenths(cases)).reliability;
    assert!(reliability(&right) < 0.005, "{}", reliability(&right));
    assert!(reliability(&wrong) > 2.0 * reliability(&right));
    assert!(right_score.skill() > 0.5 && right_score.skill() > wrong_score.skill());
}

// --- Real forecasts of temperature ---

/// A forecast of eight members 48 h ahead, and what was observed \[°F\].
struct Row {
    valid: i64,
    station: String,
    members: Vec<f64>,
    observed: f64,
}

fn rows() -> Vec<Row> {
    let text = unpacked("forecast-error/temperature_48h_pacific_northwest_2004.csv.gz");
    let fahrenheit = |kelvin: &str| (kelvin.parse::<f64>().unwrap() - 273.15) * 1.8 + 32.0;
    let row = |line: &str| {
        let fields: Vec<&str> = line.split(',').collect();
        let valid = fields[0];
        let iso = format!(
            "{}-{}-{}T{}:00Z",
            &valid[..4],
            &valid[4..6],
            &valid[6..8],
            &valid[8..]
        );
        Row {
            valid: parse_time(&iso, None, None).unwrap(),
            station: fields[1].trim().to_owned(),
            members: fields[6..14]
                .iter()
                .map(|kelvin| fahrenheit(kelvin))
                .collect(),
            observed: fahrenheit(fields[14]),
        }
    };
    let mut rows: Vec<Row> = text.lines().skip(1).map(row).collect();
    rows.sort_by_key(|row| row.valid);
    rows
}

impl Row {
    fn mean(&self) -> f64 {
        self.members.iter().sum::<f64>() / self.members.len() as f64
    }

    /// The confidence that the temperature reaches the operation's limit.
    fn chance(&self, members: &[f64], operation: &Operation, stated: Option<LeadError>) -> f64 {
        let series: Vec<HourlySeries> = members
            .iter()
            .map(|value| series_f(self.valid, vec![*value]))
            .collect();
        let judged: Vec<Judged<'_>> = series.iter().map(|own| judged(own, operation)).collect();
        let stated = stated.and_then(|error| ForecastError::new(vec![error], None));
        let forecast = Forecast {
            judged: &judged,
            issued: Issued::At(self.valid - 48 * HOUR_S),
            format: Format::PlainCsv,
            stated: stated.as_ref(),
            model: &ErrorModel::HANDBOOK,
        };
        Confidence::of_run(&forecast, 0..1).probability.unwrap()
    }
}

/// What each station's forecasts have shown of their error, a forecast counting once it is over: at issue, 48 h before.
#[derive(Default)]
struct Archive {
    learners: BTreeMap<String, (Waiting, usize)>,
}

/// A learner, and the forecasts whose weather had not yet come when the last one was issued.
struct Waiting {
    learner: Learner,
    pending: Vec<(i64, f64, LeadError)>,
}

impl Archive {
    /// The error known when a row was issued, and how many rows its station had before.
    fn known(&mut self, row: &Row) -> (LeadError, usize) {
        let new = || {
            let modelled = ErrorModel::HANDBOOK.temperature.at(48.0);
            let learner = Learner::new(48.0, modelled);
            let pending = Vec::new();
            (Waiting { learner, pending }, 0)
        };
        let (own, before) = self.learners.entry(row.station.clone()).or_insert_with(new);
        let issued = row.valid - 2 * DAY_S;
        let over = own
            .pending
            .partition_point(|(valid, _, _)| *valid <= issued);
        for (valid, error, known) in own.pending.drain(..over) {
            own.learner.learn(valid, error, known);
        }
        let known = own.learner.error(row.valid);
        let error_c = (row.mean() - row.observed) / 1.8;
        own.pending.push((row.valid, error_c, known));
        *before += 1;
        (known, *before - 1)
    }
}

/// Bias and deviation of the stations with an even number in the list of them \[°C\].
fn learned_on_half(rows: &[Row], is_even: &dyn Fn(&Row) -> bool) -> LeadError {
    let errors: Vec<f64> = rows
        .iter()
        .filter(|row| is_even(row))
        .map(|row| (row.mean() - row.observed) / 1.8)
        .collect();
    let count = errors.len() as f64;
    let bias_c = errors.iter().sum::<f64>() / count;
    let squares: f64 = errors.iter().map(|error| (error - bias_c).powi(2)).sum();
    LeadError {
        lead_h: 48.0,
        bias_c,
        deviation_c: (squares / (count - 1.0)).sqrt(),
    }
}

/// Chances of one limit by each way, and whether it was met.
#[derive(Default)]
struct Ways {
    raw: Vec<Case>,
    handbook: Vec<Case>,
    half: Vec<Case>,
    raw_of_half: Vec<Case>,
    own: Vec<Case>,
    own_of_half: Vec<Case>,
}

fn ways(rows: &[Row], limit_f: f64) -> Ways {
    let operation = operation(&rule(
        "temperature",
        &format!("at-least = \"{limit_f} °F\""),
    ));
    let mut stations: Vec<&str> = rows.iter().map(|row| row.station.as_str()).collect();
    stations.sort_unstable();
    stations.dedup();
    let is_even = |row: &Row| {
        let place = stations.binary_search(&row.station.as_str()).unwrap();
        place.is_multiple_of(2)
    };
    let learned = learned_on_half(rows, &is_even);
    let mut archive = Archive::default();
    let mut ways = Ways::default();
    for row in rows {
        let (known, before) = archive.known(row);
        if before < 10 {
            continue;
        }
        let came = row.observed >= limit_f;
        let (members, mean) = (row.members.as_slice(), [row.mean()]);
        let raw = (row.chance(members, &operation, None), came);
        let own = (row.chance(members, &operation, Some(known)), came);
        ways.raw.push(raw);
        ways.handbook
            .push((row.chance(&mean, &operation, None), came));
        ways.own.push(own);
        if !is_even(row) {
            ways.raw_of_half.push(raw);
            ways.own_of_half.push(own);
            ways.half
                .push((row.chance(members, &operation, Some(learned)), came));
        }
    }
    ways
}

/// 36,826 real forecasts of a late winter, 48 h ahead, of models of 2004. Skills of the raw members and of the error model
/// were counted by an independent program (Python, plain loops): 0.0164 and 0.1697 for 32 °F, 0.3109 and 0.4283 for 40 °F,
/// n = 28,202. The same program gave 0.3705 and 0.5598 to errors learned station by station, each only from forecasts that
/// were over at issue. To beat, after the project's issue: 0.349 and 0.549.
#[test]
#[cfg_attr(not(open_data), ignore = "the open records are not here")]
fn real_forecasts_of_temperature_have_the_skill_measured() {
    let rows = rows();
    assert_eq!(rows.len(), 36_826);
    let measured = [
        (32.0, [0.0164, 0.1697, 0.3705], 0.349),
        (40.0, [0.3109, 0.4283, 0.5598], 0.549),
    ];
    for (limit_f, [raw, handbook, own], to_beat) in measured {
        let ways = ways(&rows, limit_f);
        assert_eq!(ways.raw.len(), 28_202);
        let title = |way: &str| format!("at least {limit_f} °F, {way}");
        assert_abs_diff_eq!(
            print(&title("raw members"), &ways.raw).skill(),
            raw,
            epsilon = 5e-5
        );
        let skill = print(&title("error model"), &ways.handbook).skill();
        assert_abs_diff_eq!(skill, handbook, epsilon = 5e-5);
        let skill = print(&title("own past errors"), &ways.own).skill();
        assert_abs_diff_eq!(skill, own, epsilon = 5e-5);
        assert!(skill > to_beat, "{skill}");
        let raw_of_half = print(&title("raw members, other half"), &ways.raw_of_half).skill();
        let half = print(
            &title("widened as the one half taught, other half"),
            &ways.half,
        )
        .skill();
        let own_of_half = print(&title("own past errors, other half"), &ways.own_of_half).skill();
        assert!(
            raw_of_half < half && half < own_of_half,
            "{raw_of_half} {half} {own_of_half}"
        );
    }
}

/// How far the error model's width is from these forecasts: it says 4.28 °F at 48 h.
#[test]
#[cfg_attr(not(open_data), ignore = "the open records are not here")]
fn the_error_model_is_narrower_than_these_forecasts() {
    let rows = rows();
    let count = rows.len() as f64;
    let errors: Vec<f64> = rows.iter().map(|row| row.mean() - row.observed).collect();
    let bias = errors.iter().sum::<f64>() / count;
    let rmse = (errors.iter().map(|error| error * error).sum::<f64>() / count).sqrt();
    // The record's own note: bias 1.2 °F, root mean square 5.8 °F, 4.7 °F without each station's mean. Its bias is the
    // observation above the forecast: the forecasts were too cold.
    assert_abs_diff_eq!(bias, -1.2, epsilon = 0.05);
    assert_abs_diff_eq!(rmse, 5.8, epsilon = 0.05);
    let mut stations: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    for (row, error) in rows.iter().zip(&errors) {
        stations.entry(&row.station).or_default().push(*error);
    }
    let apart = stations.values().flat_map(|own| {
        let mean = own.iter().sum::<f64>() / own.len() as f64;
        own.iter().map(move |error| (error - mean).powi(2))
    });
    let without = (apart.sum::<f64>() / count).sqrt();
    assert_abs_diff_eq!(without, 4.7, epsilon = 0.05);
    let modelled = ErrorModel::HANDBOOK.temperature.at(48.0) * 1.8;
    println!(
        "48 h: error model {modelled:.2} °F; bias {bias:.2}, root mean square {rmse:.2}, without means {without:.2}"
    );
    assert!(modelled < without);
}

// --- Real forecasts of rain ---

/// Rain of three days \[mm\], 5 to 8 days ahead: what fell, and eleven members.
fn rain_rows() -> Vec<(f64, Vec<f64>)> {
    let text = unpacked("forecast-error/rain_5to8d_innsbruck_2000_2013.csv.gz");
    let row = |line: &str| {
        let fields = line.split(',').skip(1).map(str::parse::<f64>);
        let numbers: Vec<f64> = fields.collect::<Result<_, _>>().unwrap();
        (numbers[0], numbers[1..].to_vec())
    };
    text.lines().skip(1).map(row).collect()
}

fn rain_chance(members: &[f64], operation: &Operation) -> f64 {
    let series: Vec<HourlySeries> = members
        .iter()
        .map(|depth| {
            let um = fairspell::series::micrometres(*depth, Unit::Millimetre);
            let amount = Amount {
                from: 0,
                hours: 72,
                low_um: um,
                high_um: Some(um),
            };
            let mut series = HourlySeries::new(0, vec![true; 72]).unwrap();
            let amounts = Amounts::new(72, &[amount], Unit::Millimetre);
            series.set_amounts(Element::Rain, amounts).unwrap();
            series
        })
        .collect();
    let judged: Vec<Judged<'_>> = series.iter().map(|own| judged(own, operation)).collect();
    let forecast = Forecast {
        judged: &judged,
        issued: Issued::Unknown,
        format: Format::PlainCsv,
        stated: None,
        model: &ErrorModel::HANDBOOK,
    };
    Confidence::of_run(&forecast, 0..1).probability.unwrap()
}

/// Thirteen years of rain: at most 0.2, 2.5 and 10 mm in three days, 5 to 8 days ahead. Raw members, and the share that
/// came with as many members in the first half of the years, on the second half.
#[test]
#[cfg_attr(not(open_data), ignore = "the open records are not here")]
fn real_forecasts_of_rain_have_little_skill_raw_and_more_once_taught() {
    let rows = rain_rows();
    assert_eq!(rows.len(), 4971);
    for limit_mm in ["0.2", "2.5", "10"] {
        let limits = format!("over = \"71 h after\"\ntake = \"sum\"\nat-most = \"{limit_mm} mm\"");
        let operation = operation(&rule("rain", &limits));
        let limit: f64 = limit_mm.parse().unwrap();
        let case =
            |(fell, members): &(f64, Vec<f64>)| (rain_chance(members, &operation), *fell <= limit);
        let all: Vec<Case> = rows.iter().map(case).collect();
        let (first, second) = all.split_at(all.len() / 2);
        let taught = bins(first);
        let learned: Vec<Case> = second
            .iter()
            .map(|(chance, came)| {
                let same = taught
                    .iter()
                    .find(|bin| bin.chance.to_bits() == chance.to_bits());
                (
                    same.map_or(*chance, fairspell_tests::scores::Bin::share),
                    *came,
                )
            })
            .collect();
        let raw = print(&format!("rain at most {limit_mm} mm, raw members"), second).skill();
        let learned = print(&format!("rain at most {limit_mm} mm, taught"), &learned).skill();
        assert!(
            learned > raw && learned > 0.0,
            "{limit_mm} mm: {raw}, {learned}"
        );
    }
}
