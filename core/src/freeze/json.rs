//! The answer as JSON, by the layout `fairspell.freeze/1`.

use chrono::NaiveDate;
use serde::Serialize;

use super::{
    Asked, AtThreshold, Fit, Form, Half, Interval, METHOD, PERCENTS, Risk, StationFreezes, Trend,
    Window, YearDate,
};
use crate::json::written;
use crate::quantity::Unit;

#[derive(Serialize)]
struct Root<'a> {
    schema: &'static str,
    station: Station<'a>,
    record: Record,
    notices: &'a [String],
    thresholds: Vec<JsonThreshold>,
}

#[derive(Serialize)]
struct Station<'a> {
    id: &'a str,
    name: Option<&'a str>,
}

#[derive(Serialize)]
struct Record {
    first: String,
    last: String,
    days: usize,
    missing: usize,
    rejected_values: u64,
    whole_fahrenheit: bool,
}

#[derive(Serialize)]
struct JsonThreshold {
    threshold_f: f64,
    threshold_c: f64,
    spring: JsonHalf,
    autumn: JsonHalf,
    freeze_free_days: JsonFreezeFree,
}

#[derive(Serialize)]
struct JsonFreezeFree {
    n: usize,
    quantiles: Quantiles,
}

#[derive(Serialize)]
struct Quantiles {
    p10: Option<f64>,
    p50: Option<f64>,
    p90: Option<f64>,
}

#[derive(Serialize)]
struct Intervals {
    p10: Option<[f64; 2]>,
    p50: Option<[f64; 2]>,
    p90: Option<[f64; 2]>,
}

#[derive(Serialize)]
struct JsonHalf {
    years: Vec<JsonYear>,
    valid_years: usize,
    freeze_years: usize,
    no_freeze_years: usize,
    freeze_probability: Option<f64>,
    freeze_probability_95: Option<[f64; 2]>,
    empirical: Empirical,
    fits: Vec<JsonFit>,
    chosen: Option<&'static str>,
    present: Option<JsonPresent>,
    headline: &'static str,
    trend: JsonTrend,
    #[serde(skip_serializing_if = "Option::is_none")]
    on: Option<JsonOn>,
    #[serde(skip_serializing_if = "Option::is_none")]
    at_risk: Option<JsonAtRisk>,
    risk: Vec<JsonRisk>,
}

/// The risk of the date asked about; null where the date lies in the other half.
#[derive(Serialize)]
struct JsonOn {
    date: String,
    risk: Option<f64>,
    low_95: Option<f64>,
    high_95: Option<f64>,
}

/// The date of the risk asked about; null where no day's is as low.
#[derive(Serialize)]
struct JsonAtRisk {
    risk: f64,
    month_day: Option<String>,
}

#[derive(Serialize)]
struct JsonPresent {
    method: &'static str,
    for_year: i32,
    slope_days_per_year: f64,
    quantiles: Quantiles,
}

#[derive(Serialize)]
struct JsonYear {
    year: i32,
    date: Option<String>,
    day: Option<u32>,
    missing_days: u32,
    valid: bool,
}

#[derive(Serialize)]
struct Empirical {
    conditional: Quantiles,
    mixed: Quantiles,
    conditional_95: Intervals,
}

#[derive(Serialize)]
struct JsonFit {
    form: &'static str,
    shape: f64,
    scale: f64,
    log_likelihood: f64,
    aic: f64,
    ks_d: f64,
    ad_a2: f64,
    quantiles: Quantiles,
    interval_95: Intervals,
}

#[derive(Serialize)]
struct JsonTrend {
    theil_sen_days_per_year: Option<f64>,
    theil_sen_95: Option<[f64; 2]>,
    mann_kendall_s: Option<f64>,
    mann_kendall_p: Option<f64>,
}

#[derive(Serialize)]
struct JsonRisk {
    month_day: String,
    probability: f64,
    low_95: Option<f64>,
    high_95: Option<f64>,
}

impl StationFreezes {
    /// The answer as one JSON object, without line breaks. Day numbers are those of the halves; what is not known is
    /// null. `asked` adds the risk on a date and the date of a risk.
    #[must_use]
    pub fn to_json(&self, asked: Asked) -> String {
        let root = Root {
            schema: "fairspell.freeze/1",
            station: Station {
                id: &self.station,
                name: None,
            },
            record: Record {
                first: self.first.to_string(),
                last: self.last.to_string(),
                days: self.days,
                missing: self.missing,
                rejected_values: self.rejected_values,
                whole_fahrenheit: self.is_whole_fahrenheit,
            },
            notices: &self.notices,
            thresholds: self
                .thresholds
                .iter()
                .map(|at| threshold(at, asked))
                .collect(),
        };
        written(&root)
    }
}

fn threshold(at: &AtThreshold, asked: Asked) -> JsonThreshold {
    let own = |unit| at.threshold.unit.convert(at.threshold.value, unit);
    JsonThreshold {
        threshold_f: own(Unit::Fahrenheit),
        threshold_c: own(Unit::Celsius),
        spring: half(&at.spring, asked),
        autumn: half(&at.autumn, asked),
        freeze_free_days: JsonFreezeFree {
            n: at.freeze_free.days.len(),
            quantiles: quantiles(at.freeze_free.quantiles),
        },
    }
}

fn quantiles([p10, p50, p90]: [Option<f64>; 3]) -> Quantiles {
    Quantiles { p10, p50, p90 }
}

fn pair((low, high): Interval) -> [f64; 2] {
    [low, high]
}

fn intervals(intervals: [Option<Interval>; PERCENTS.len()]) -> Intervals {
    let [p10, p50, p90] = intervals.map(|interval| interval.map(pair));
    Intervals { p10, p50, p90 }
}

fn half(half: &Half, asked: Asked) -> JsonHalf {
    let wilson = |_| {
        pair(crate::statistics::wilson(
            half.freeze_years,
            half.valid_years,
        ))
    };
    JsonHalf {
        years: half.years.iter().map(year).collect(),
        valid_years: half.valid_years,
        freeze_years: half.freeze_years,
        no_freeze_years: half.valid_years - half.freeze_years,
        freeze_probability: half.freeze_probability(),
        freeze_probability_95: half.freeze_probability().map(wilson),
        empirical: Empirical {
            conditional: quantiles(half.conditional),
            mixed: quantiles(half.mixed),
            conditional_95: intervals(half.conditional_intervals),
        },
        fits: half.fits.iter().flatten().map(fit).collect(),
        chosen: half.chosen.map(Form::name),
        present: half.present.as_ref().map(|present| JsonPresent {
            method: METHOD,
            for_year: present.for_year,
            slope_days_per_year: present.slope,
            quantiles: quantiles(present.quantiles),
        }),
        headline: half.headline.name(),
        trend: trend(&half.trend),
        on: asked.on.map(|date| on(half, date)),
        at_risk: asked.risk.map(|share| at_risk(half, share)),
        risk: half.risk.iter().map(risk).collect(),
    }
}

fn year(of: &YearDate) -> JsonYear {
    JsonYear {
        year: of.year,
        date: of.date.map(|date| date.to_string()),
        day: of.day,
        missing_days: of.missing_days,
        valid: of.is_valid,
    }
}

fn trend(trend: &Trend) -> JsonTrend {
    let (slope, test) = (trend.theil_sen, trend.mann_kendall);
    JsonTrend {
        theil_sen_days_per_year: slope.map(|slope| slope.slope),
        theil_sen_95: slope.map(|slope| [slope.low_95, slope.high_95]),
        mann_kendall_s: test.map(|test| test.s),
        mann_kendall_p: test.map(|test| test.p),
    }
}

fn on(half: &Half, date: NaiveDate) -> JsonOn {
    let risk = half.risk_on(date);
    let interval = risk.and_then(|risk| risk.interval);
    JsonOn {
        date: date.to_string(),
        risk: risk.map(|risk| risk.probability),
        low_95: interval.map(|interval| interval.0),
        high_95: interval.map(|interval| interval.1),
    }
}

fn at_risk(half: &Half, share: f64) -> JsonAtRisk {
    JsonAtRisk {
        risk: share,
        month_day: half.day_of_risk(share).map(month_day),
    }
}

fn month_day(day: u32) -> String {
    let (month, day) = Window::month_day(day);
    format!("{month:02}-{day:02}")
}

fn risk(risk: &Risk) -> JsonRisk {
    JsonRisk {
        month_day: month_day(risk.day),
        probability: risk.probability,
        low_95: risk.interval.map(|interval| interval.0),
        high_95: risk.interval.map(|interval| interval.1),
    }
}

fn fit(fit: &Fit) -> JsonFit {
    JsonFit {
        form: fit.form.name(),
        shape: fit.weibull.shape,
        scale: fit.weibull.scale,
        log_likelihood: fit.weibull.log_likelihood,
        aic: fit.weibull.aic,
        ks_d: fit.weibull.ks_d,
        ad_a2: fit.weibull.ad_a2,
        quantiles: quantiles(fit.quantiles.map(Some)),
        interval_95: intervals(fit.intervals),
    }
}
