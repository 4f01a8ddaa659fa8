//! Kept forecasts in the answer as JSON.

use serde::Serialize;

use super::Hindcast;
use crate::confidence::LeadRecord;
use crate::hindcast::ForecastRecord;
use crate::quantity::Quantity;

#[derive(Serialize)]
pub(super) struct JsonForecasts {
    forecasts: usize,
    hours: usize,
    unmatched_hours: usize,
    first_issued: Option<String>,
    last_issued: Option<String>,
    leads: Vec<JsonLead>,
    site_file: Option<String>,
}

#[derive(Serialize)]
struct JsonLead {
    from_h: i64,
    to_h: i64,
    forecasts: usize,
    hours: usize,
    mean_error_c: f64,
    rms_error_c: f64,
    lead_h: f64,
    bias_c: f64,
    deviation_c: f64,
    error_model_deviation_c: f64,
    scores: Vec<JsonScore>,
}

#[derive(Serialize)]
struct JsonScore {
    at_least: f64,
    unit: &'static str,
    hours: usize,
    share: f64,
    brier_share: f64,
    brier_error_model: f64,
    brier_learned: f64,
}

impl Hindcast {
    pub(super) fn json_forecasts(&self, record: &ForecastRecord) -> JsonForecasts {
        let leads = record.leads.iter();
        JsonForecasts {
            forecasts: record.forecasts,
            hours: record.hours,
            unmatched_hours: record.unmatched,
            first_issued: record.issued.map(|(first, _)| self.iso(first)),
            last_issued: record.issued.map(|(_, last)| self.iso(last)),
            leads: leads.map(|lead| json_lead(lead, &record.limits)).collect(),
            site_file: record.stated().map(|error| error.to_toml(record.unit())),
        }
    }
}

fn json_lead(lead: &LeadRecord, limits: &[Quantity]) -> JsonLead {
    let scores = lead.scores.iter().filter_map(|score| {
        let is_it = |limit: &&Quantity| limit.si().total_cmp(&score.limit_c).is_eq();
        let limit = limits.iter().find(is_it)?;
        Some(JsonScore {
            at_least: limit.value,
            unit: limit.unit.symbol(),
            hours: score.hours,
            share: score.share,
            brier_share: score.by_share,
            brier_error_model: score.by_model,
            brier_learned: score.by_learned,
        })
    });
    JsonLead {
        from_h: lead.from_h,
        to_h: lead.to_h,
        forecasts: lead.forecasts,
        hours: lead.hours,
        mean_error_c: lead.mean_error_c,
        rms_error_c: lead.rms_error_c,
        lead_h: lead.learned.lead_h,
        bias_c: lead.learned.bias_c,
        deviation_c: lead.learned.deviation_c,
        error_model_deviation_c: lead.modelled_c,
        scores: scores.collect(),
    }
}
