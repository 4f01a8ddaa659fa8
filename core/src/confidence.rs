//! How sure it is that a run of hours stays fair, given how far forecasts err.
//!
//! The *confidence* of a run is the probability that all blocking rules hold in all its hours. It comes from the members
//! of an ensemble where the file has them; else from the percentiles that the file gives; else from an error model by
//! lead time. A site may state its forecast's own error, which then takes the model's place and widens members and
//! percentiles.
//!
//! What the model holds: one error of the temperature for all temperature rules, with memory from hour to hour
//! ([`stays_within`]); one of the wind; rain by the chances that the file gives. The three are multiplied as if
//! independent, and [`Confidence::low`] and [`Confidence::high`] say how wrong that can be. All other measures are
//! taken as forecast, and named. A value that is needed and missing gives no number.
//!
//! Source: the contract, section 5, *Confidence* and *Members*; the project's handbook, physics §9.

mod archive;
mod error;
mod learn;
mod members;
mod needs;
mod path;
mod rain;
mod words;

use core::ops::Range;

pub use archive::{CLASS_H, LEAST_FORECASTS, LeadRecord, LimitScore, Verified, learn_by_lead};
pub use error::{ErrorModel, NUMBERS, Number, Spread, Strength};
pub use learn::Learner;
pub use path::{Band, stays_within};
pub use words::{in_words, step_of};

use needs::{Limits, Needs};

use crate::read::{Format, Issued};
use crate::series::{Element, HOUR_S, HourlySeries};
use crate::site::ForecastError;
use crate::spell::{Judged, Outcome};

/// Standard deviations between the 10th and the 90th percentile of a normal distribution.
const P10_TO_P90: f64 = 2.0 * 1.281_551_565_544_600_4;
/// Least standard deviation \[°C, m/s\]: half the last digit of a forecast. Ours.
const MIN_DEVIATION: f64 = 0.05;

/// A forecast whose confidence is asked for.
#[derive(Debug, Clone, Copy)]
pub struct Forecast<'a> {
    /// Its series, judged; one for each member, all by the same operation and over the same hours.
    pub judged: &'a [Judged<'a>],
    /// When it was issued; unknown: lead times count from its first hour.
    pub issued: Issued,
    /// Format of its file, which tells what a chance of rain speaks of.
    pub format: Format,
    /// The error that the site states.
    pub stated: Option<&'a ForecastError>,
    /// The error model for what neither file nor site says.
    pub model: &'a ErrorModel,
}

/// Where a confidence comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Source {
    /// The error model by lead time.
    ErrorModel,
    /// The error that the site states.
    StatedError,
    /// The percentiles in the file; the error model after their last hour.
    Percentiles,
    /// The share of raw members.
    RawMembers {
        /// How many there are.
        count: usize,
        /// How many are fair in all hours of the run.
        fair: usize,
    },
    /// Members, their temperature widened by the error that the site states.
    WidenedMembers {
        /// How many there are.
        count: usize,
    },
}

/// Why there is no number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Unknown {
    /// A value is missing in an hour that the run needs.
    Missing {
        /// Of what.
        element: Element,
        /// The hour of the series.
        hour: usize,
    },
    /// A percentile is missing between hours that have them.
    NoPercentile {
        /// Of what.
        element: Element,
        /// The hour of the series.
        hour: usize,
    },
    /// A rule cannot be known in an hour of the run.
    Rule {
        /// Index of the rule.
        rule: usize,
        /// The hour of the series.
        hour: usize,
    },
    /// The run lies outside the hours judged.
    Outside,
    /// The model holds nothing of what its rules limit: all of it is taken as forecast.
    Unmodelled,
}

/// The parts of a confidence, each a probability; `None`: no rule needs it, or it is not part of the source.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Parts {
    /// That the temperature stays in its bands.
    pub temperature: Option<f64>,
    /// That the wind does.
    pub wind: Option<f64>,
    /// That the hours that must be dry are.
    pub rain: Option<f64>,
    /// The share of members that keep the rules: all of them, or where members are widened all but the temperature's.
    pub members: Option<f64>,
}

impl Parts {
    fn present(&self) -> impl Iterator<Item = f64> {
        let all = [self.temperature, self.wind, self.rain, self.members];
        all.into_iter().flatten()
    }
}

/// How sure a run of hours is.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Confidence {
    /// Probability that all blocking rules hold in all hours of the run, 0 to 1; `None`: see [`Self::unknown`].
    pub probability: Option<f64>,
    /// First hour of the run, in the series.
    pub start: usize,
    /// Where the number comes from.
    pub source: Source,
    /// Its parts.
    pub parts: Parts,
    /// Least that it could be: by Fréchet's bounds, were the parts anything but independent; of raw members the lower
    /// end of Wilson's 95 % interval.
    pub low: f64,
    /// Greatest that it could be, likewise.
    pub high: f64,
    /// Measures that the run's rules limit and that are taken as forecast.
    pub outside: Vec<&'static str>,
    /// Whether rain is limited, and the file gives no chance of it: it is then taken as forecast.
    pub is_without_chance: bool,
    /// Why there is no number.
    pub unknown: Option<Unknown>,
}

impl Confidence {
    /// The confidence of the hours `run` of the series.
    ///
    /// ```
    /// use fairspell::confidence::{Confidence, ErrorModel, Forecast};
    /// use fairspell::{operation::Operation, read::{read_hourly, Source}, spell::{Judged, Sky}};
    /// let mut csv = String::from("time,temperature_f\n");
    /// for hour in 0..24 {
    ///     csv += &format!("2027-03-10T{hour:02}:00Z,44\n");
    /// }
    /// let reading = read_hourly(Source { name: "day.csv", bytes: csv.as_bytes() }, None)?;
    /// let rules = "operation = \"work\"\nhours-needed = 1\n[[rule]]\nname = \"warm\"\nmeasure = \"temperature\"\n\
    ///     at-least = \"40 °F\"\nseverity = \"block\"\nsource = \"Common practice\"\n";
    /// let operation = Operation::read(Source { name: "work.toml", bytes: rules.as_bytes() })?;
    /// let sky = Sky { coordinates: None, elevation_m: 0.0, dry_before: false };
    /// let judged = [Judged::new(&reading.members[0], &operation, &sky, (chrono_tz::UTC, false), 0)];
    /// let (issued, format) = (reading.issued, reading.format);
    /// let forecast = Forecast { judged: &judged, issued, format, stated: None, model: &ErrorModel::HANDBOOK };
    /// let one = Confidence::of_run(&forecast, 0..1).probability.unwrap();
    /// assert!((one - 0.894_350).abs() < 1e-6); // the normal distribution at 4/3.2
    /// assert!(Confidence::of_run(&forecast, 0..6).probability < Some(one));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn of_run(forecast: &Forecast<'_>, run: Range<usize>) -> Self {
        let Some(first) = forecast.judged.first() else {
            return Self::nothing(run.start, Source::ErrorModel, Unknown::Outside);
        };
        let is_inside = first.from() <= run.start && run.end <= first.series().hours();
        match (forecast.judged, forecast.stated) {
            (_, stated) if run.is_empty() || !is_inside => {
                let source = stated.map_or(Source::ErrorModel, |_| Source::StatedError);
                Self::nothing(run.start, source, Unknown::Outside)
            }
            ([_], _) => modelled(forecast, first, run),
            (members, None) => members::raw(members, &run),
            (members, Some(_)) => members::widened(forecast, members, run),
        }
    }

    fn nothing(start: usize, source: Source, unknown: Unknown) -> Self {
        Self {
            probability: None,
            start,
            source,
            parts: Parts::default(),
            low: 0.0,
            high: 1.0,
            outside: Vec::new(),
            is_without_chance: false,
            unknown: Some(unknown),
        }
    }

    /// The parts multiplied as independent, between Fréchet's bounds.
    fn product(start: usize, source: Source, parts: Parts) -> Self {
        let count = parts.present().count() as f64;
        let sum: f64 = parts.present().sum();
        Self {
            probability: Some(parts.present().product()),
            start,
            source,
            parts,
            low: (sum - count + 1.0).max(0.0),
            high: parts.present().fold(1.0, f64::min),
            outside: Vec::new(),
            is_without_chance: false,
            unknown: None,
        }
    }

    /// In how many parts it may be told, after its sampling error: see [`step_of`].
    #[must_use]
    pub fn steps(&self) -> u32 {
        match self.source {
            Source::RawMembers { count, .. } => step_of(count),
            _ => step_of(usize::MAX),
        }
    }
}

/// The run of `needed` hours within `spell` in which most members are fair throughout, the earliest of equals; `None`
/// for a forecast without raw members, where every run would have to be solved.
#[must_use]
pub fn surest_start(forecast: &Forecast<'_>, spell: Range<usize>, needed: usize) -> Option<usize> {
    if forecast.judged.len() < 2 || forecast.stated.is_some() {
        return None;
    }
    let last = (spell.end + 1).checked_sub(needed.max(1))?;
    let mut best = None;
    for start in spell.start..last {
        let fair = members::fair(forecast.judged, &(start..start + needed));
        if best.is_none_or(|(_, most)| fair > most) {
            best = Some((start, fair));
        }
    }
    best.map(|(start, _)| start)
}

/// The confidence of a run by the error of one series.
fn modelled(forecast: &Forecast<'_>, judged: &Judged<'_>, run: Range<usize>) -> Confidence {
    let needs = Needs::of(judged, &run);
    let errors = Errors::of(forecast, judged.series());
    let source = errors.source();
    let parts = unknown_rule(judged, &run).and_then(|()| parts(forecast, &errors, &needs));
    let mut confidence = match parts {
        Ok(parts) => Confidence::product(run.start, source, parts),
        Err(unknown) => Confidence::nothing(run.start, source, unknown),
    };
    confidence.is_without_chance = is_without_chance(judged.series(), &needs);
    confidence.outside = needs.outside;
    let is_left_out = confidence.is_without_chance || !confidence.outside.is_empty();
    if confidence.parts.present().count() == 0 && is_left_out && confidence.unknown.is_none() {
        confidence.probability = None;
        confidence.low = 0.0;
        confidence.unknown = Some(Unknown::Unmodelled);
    }
    confidence
}

fn is_without_chance(series: &HourlySeries, needs: &Needs) -> bool {
    !needs.dry.is_empty() && !series.has(Element::RainChance)
}

/// An unknown needed hour gives no number.
fn unknown_rule(judged: &Judged<'_>, run: &Range<usize>) -> Result<(), Unknown> {
    let rules = judged.operation().rules.iter().enumerate();
    for (rule, _) in rules.filter(|(_, rule)| rule.severity == crate::operation::Severity::Block) {
        let is_unknown = |hour: &usize| judged.finding(rule, *hour).outcome == Outcome::Unknown;
        if judged.is_unchecked(rule) {
            continue;
        }
        if let Some(hour) = run.clone().find(is_unknown) {
            return Err(Unknown::Rule { rule, hour });
        }
    }
    Ok(())
}

fn parts(forecast: &Forecast<'_>, errors: &Errors<'_>, needs: &Needs) -> Result<Parts, Unknown> {
    let (temperature, wind) = (Element::Temperature, Element::Wind);
    let dry = &needs.dry;
    let rain = if dry.is_empty() || !errors.series.has(Element::RainChance) {
        None
    } else {
        let element = Element::RainChance;
        let chance = rain::stays_dry(errors.series, dry, forecast.format, forecast.model);
        Some(chance.map_err(|hour| Unknown::Missing { element, hour })?)
    };
    Ok(Parts {
        temperature: errors.stays(temperature, &needs.temperature)?,
        wind: errors.stays(wind, &needs.wind)?,
        rain,
        members: None,
    })
}

/// What is expected of an hour, in SI: between which bounds the centre lies, and how far it may err.
#[derive(Debug, Clone, Copy)]
struct Expected {
    low: f64,
    high: f64,
    deviation: f64,
}

/// The error of one series, hour by hour.
struct Errors<'a> {
    series: &'a HourlySeries,
    stated: Option<&'a ForecastError>,
    model: &'a ErrorModel,
    issued: i64,
}

impl<'a> Errors<'a> {
    fn of(forecast: &Forecast<'a>, series: &'a HourlySeries) -> Self {
        let issued = match forecast.issued {
            Issued::At(issued) => issued,
            Issued::Unknown | Issued::Blank => series.time(series.forecast_from()),
        };
        Self {
            series,
            stated: forecast.stated,
            model: forecast.model,
            issued,
        }
    }

    fn source(&self) -> Source {
        let has_percentiles = self.series.percentiles(Element::Temperature).is_some();
        match (self.stated, has_percentiles) {
            (Some(_), _) => Source::StatedError,
            (None, true) => Source::Percentiles,
            (None, false) => Source::ErrorModel,
        }
    }

    fn lead_h(&self, hour: usize) -> f64 {
        let lead_s = self.series.time(hour).saturating_sub(self.issued);
        (lead_s as f64 / HOUR_S as f64).max(0.0)
    }

    /// The chance that an element stays within its limits; `None` where there are none.
    fn stays(&self, element: Element, limits: &Limits) -> Result<Option<f64>, Unknown> {
        let mut bands = Vec::new();
        for (hour, low, high) in limits.hours() {
            let expected = self.expected(element, hour)?;
            bands.push(Band {
                hour,
                low: (low - expected.low) / expected.deviation,
                high: (high - expected.high) / expected.deviation,
            });
        }
        if bands.is_empty() {
            return Ok(None);
        }
        let spread = self.spread(element);
        if element == Element::Wind {
            unbind_calm(&mut bands, limits);
        }
        Ok(Some(stays_within(&bands, spread.memory)))
    }

    fn spread(&self, element: Element) -> Spread {
        if element == Element::Wind {
            self.model.wind
        } else {
            self.model.temperature
        }
    }

    fn expected(&self, element: Element, hour: usize) -> Result<Expected, Unknown> {
        let missing = Unknown::Missing { element, hour };
        let column = self.series.column(element).ok_or(missing)?;
        let (low, high) = column.at(hour, element.kind().si()).ok_or(missing)?;
        let lead_h = self.lead_h(hour);
        let modelled = self.spread(element).at(lead_h);
        let own = self.percentiles(element, hour, low < high)?;
        let stated = self.stated.filter(|_| element == Element::Temperature);
        let expected = match (stated, own) {
            (Some(stated), own) => {
                let error = stated.at(lead_h);
                let beyond = stated
                    .leads()
                    .last()
                    .map_or(0.0, |last| lead_h - last.lead_h);
                let grown = error.deviation_c + beyond.max(0.0) * self.model.temperature.per_hour;
                let deviation = own.map_or(grown, |own| own.deviation.max(grown));
                let (low, high) = (low - error.bias_c, high - error.bias_c);
                Expected {
                    low,
                    high,
                    deviation,
                }
            }
            (None, Some(own)) => own,
            (None, None) => Expected {
                low,
                high,
                deviation: modelled,
            },
        };
        Ok(Expected {
            deviation: expected.deviation.max(MIN_DEVIATION),
            ..expected
        })
    }

    /// The normal distribution that has the file's two percentiles in an hour; none after their last hour, and none in
    /// an hour that the file knows between bounds only.
    fn percentiles(
        &self,
        element: Element,
        hour: usize,
        is_bounded: bool,
    ) -> Result<Option<Expected>, Unknown> {
        let Some(own) = self.series.percentiles(element) else {
            return Ok(None);
        };
        let both = own.p10.get(hour).zip(own.p90.get(hour));
        let si = |value: &f64| own.unit.convert(*value, element.kind().si());
        if let Some((p10, p90)) = both.filter(|(p10, p90)| !p10.is_nan() && !p90.is_nan()) {
            let (p10, p90) = (si(p10), si(p90));
            let centre = f64::midpoint(p10, p90);
            return Ok(Some(Expected {
                low: centre,
                high: centre,
                deviation: (p90 - p10) / P10_TO_P90,
            }));
        }
        let has_later = own.p10.iter().skip(hour).any(|value| !value.is_nan());
        if has_later && !is_bounded && hour >= self.series.forecast_from() {
            Err(Unknown::NoPercentile { element, hour })
        } else {
            Ok(None)
        }
    }
}

/// A wind below 0 is a calm: a limit at or below 0 is met by every wind.
fn unbind_calm(bands: &mut [Band], limits: &Limits) {
    for (band, (_, low, _)) in bands.iter_mut().zip(limits.hours()) {
        if low <= 0.0 {
            band.low = f64::NEG_INFINITY;
        }
    }
}
