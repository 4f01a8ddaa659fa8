//! Forecasts that were kept, held against the hours that came: how far they erred, by lead time.

use super::Question;
use crate::confidence::{LEAST_FORECASTS, LeadRecord, Verified, learn_by_lead};
use crate::error::SeriesError;
use crate::operation::{Measure, Operation, Severity};
use crate::quantity::{Quantity, Unit};
use crate::read::forecasts::Foretold;
use crate::series::{Element, HOUR_S};
use crate::site::{ForecastError, LeadError};

/// Farthest apart the bounds of an observed temperature may lie for their middle to count \[°C\]: about as far as a
/// forecast is read (common practice, no source).
const WIDEST_C: f64 = 2.0;

/// How far kept forecasts erred.
#[derive(Debug, Clone, PartialEq)]
pub struct ForecastRecord {
    /// Forecasts, by time of issue, of which at least one hour came to be known.
    pub forecasts: usize,
    /// Their hours that are held against what came.
    pub hours: usize,
    /// Foretold hours whose temperature the record does not know.
    pub unmatched: usize,
    /// Times of issue of the first and the last \[s since 1970 UTC\]; `None` without one.
    pub issued: Option<(i64, i64)>,
    /// By classes of lead time.
    pub leads: Vec<LeadRecord>,
    /// The temperature limits of the operation, in the order of the scores.
    pub limits: Vec<Quantity>,
}

impl ForecastRecord {
    /// What a site file would state: the learned error of every class with forecasts enough; `None` without one.
    #[must_use]
    pub fn stated(&self) -> Option<ForecastError> {
        let is_enough = |lead: &&LeadRecord| lead.forecasts >= LEAST_FORECASTS;
        let leads: Vec<LeadError> = self
            .leads
            .iter()
            .filter(is_enough)
            .map(|lead| lead.learned)
            .collect();
        let most = self
            .leads
            .iter()
            .map(|lead| lead.forecasts)
            .max()
            .unwrap_or(0);
        let source = format!("own archive of {most} forecasts, held against the record");
        ForecastError::new(leads, Some(source))
    }

    /// The unit in which people read it: that of the operation's first temperature limit, °F without one.
    #[must_use]
    pub fn unit(&self) -> Unit {
        self.limits
            .first()
            .map_or(Unit::Fahrenheit, |limit| limit.unit)
    }
}

/// What the question's forecasts were worth; `None` where it has none.
pub(super) fn record(question: &Question<'_>) -> Result<Option<ForecastRecord>, SeriesError> {
    if question.forecasts.is_empty() {
        return Ok(None);
    }
    let mut pairs = verified(question)?;
    let unmatched = question.forecasts.len() - pairs.len();
    pairs.sort_by_key(|pair| (pair.issued, pair.valid));
    pairs.dedup_by_key(|pair| (pair.issued, pair.valid)); // one forecast in two files
    let limits = limits_of(question.operation);
    let limits_c: Vec<f64> = limits.iter().map(|limit| limit.si()).collect();
    let mut issues: Vec<i64> = pairs.iter().map(|pair| pair.issued).collect();
    issues.sort_unstable();
    issues.dedup();
    Ok(Some(ForecastRecord {
        forecasts: issues.len(),
        hours: pairs.len(),
        unmatched,
        issued: issues.first().copied().zip(issues.last().copied()),
        leads: learn_by_lead(&pairs, &limits_c),
        limits,
    }))
}

/// The foretold hours whose temperature came to be known.
fn verified(question: &Question<'_>) -> Result<Vec<Verified>, SeriesError> {
    let past = question.past;
    let hour = |one: &Foretold| usize::try_from((one.valid - past.start()).div_euclid(HOUR_S)).ok();
    let hours = || {
        question
            .forecasts
            .iter()
            .filter_map(hour)
            .filter(|hour| *hour < past.hours())
    };
    let (Some(first), Some(last)) = (hours().min(), hours().max()) else {
        return Ok(Vec::new());
    };
    let (series, from) = past.part(first, last + 1)?;
    let Some(column) = series.column(Element::Temperature) else {
        return Ok(Vec::new());
    };
    let observed = |one: &Foretold| {
        let (low, high) = column.at(hour(one)?.checked_sub(from)?, Unit::Celsius)?;
        (high - low <= WIDEST_C).then_some(f64::midpoint(low, high))
    };
    let pair = |one: &Foretold| {
        Some(Verified {
            issued: one.issued,
            valid: one.valid,
            forecast_c: one.celsius,
            observed_c: observed(one)?,
        })
    };
    Ok(question.forecasts.iter().filter_map(pair).collect())
}

/// The limits that blocking rules set to the temperature, each once.
fn limits_of(operation: &Operation) -> Vec<Quantity> {
    let mut limits: Vec<Quantity> = Vec::new();
    for rule in &operation.rules {
        let is_it =
            rule.severity == Severity::Block && rule.measure == Measure::Read(Element::Temperature);
        for limit in [rule.at_least, rule.at_most]
            .into_iter()
            .flatten()
            .filter(|_| is_it)
        {
            if !limits
                .iter()
                .any(|known| known.si().total_cmp(&limit.si()).is_eq())
            {
                limits.push(limit);
            }
        }
    }
    limits
}
