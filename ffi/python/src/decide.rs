//! Forecasts to go, no-go or cannot tell.
#![expect(
    clippy::needless_pass_by_value,
    reason = "PyO3 hands arguments over by value"
)]

use std::borrow::Cow;
use std::num::NonZeroUsize;

use fairspell::decision::{Decision, ExplainAt, Question, Surety, Units, decide, decide_surely};
use fairspell::hindcast::{self, Hindcast, hindcast};
use fairspell::operation::Operation;
use fairspell::plant::PlantTable;
use fairspell::read::daily::{DailyOptions, DailyReading};
use fairspell::read::{Format, Notice, Reading};
use fairspell::season::{Waiting, stand};
use fairspell::site::Site;
use fairspell::work::in_garden;
use pyo3::prelude::*;

use crate::answer::{Answer, Kind};
use crate::failure::Failure;
use crate::hindcast::joined;
use crate::input::{Given, Input, summary_units};
use crate::place::{Moment, PlaceOptions, operation, plants, share, units, with_zone};
use crate::season::only;
use crate::spread::spread;

/// What is asked of all forecasts.
#[derive(FromPyObject)]
#[pyo3(from_item_all)]
pub struct DecideOptions<'py> {
    operation: Given<'py>,
    /// One place for all forecasts, or one for each.
    places: Vec<PlaceOptions<'py>>,
    at: Option<Moment>,
    within: Option<Moment>,
    observed: Option<Given<'py>>,
    record: Option<Given<'py>>,
    record_units: Option<String>,
    past: Vec<Given<'py>>,
    missed_loss: Option<f64>,
    plants: Option<Given<'py>>,
    dry_now: bool,
    strict: bool,
    confidence: bool,
    min_confidence: Option<String>,
    units: Option<String>,
    /// `true`: the best hour; a time: its hour.
    explain: Option<Explain>,
    now: i64,
    threads: Option<NonZeroUsize>,
}

/// Which hour is explained.
#[derive(FromPyObject, Clone)]
pub enum Explain {
    /// The best.
    Best(bool),
    /// That of a time.
    At(Moment),
}

/// What is common to all forecasts, free of the interpreter.
struct Case<'a> {
    places: Vec<(Site, Operation)>,
    table: Cow<'static, PlantTable>,
    at: Option<Moment>,
    within_s: Option<i64>,
    explain: Option<Explain>,
    observed: Option<Input<'a>>,
    record: Option<(DailyReading, Vec<Notice>)>,
    past: Vec<Input<'a>>,
    missed_loss: Option<f64>,
    surety: Option<Surety>,
    is_dry_now: bool,
    is_strict: bool,
    units: Units,
    now: i64,
}

impl DecideOptions<'_> {
    fn case(&self) -> Result<Case<'_>, Failure> {
        let table = plants(self.plants.as_ref())?;
        let plain = operation(&self.operation.input()?)?;
        let places = self.places.iter().map(|place| {
            let site = place.site()?;
            let operation = in_garden(plain.clone().at_site(&site)?, &site, &table)?;
            Ok((site, operation))
        });
        let options = DailyOptions {
            units: summary_units(self.record_units.as_deref())?,
            ..DailyOptions::default()
        };
        let record = self.record.as_ref();
        let record = record.map(|record| only(&record.input()?, options, None));
        let within = self.within.as_ref();
        Ok(Case {
            places: places.collect::<Result<_, Failure>>()?,
            table,
            at: self.at.clone(),
            within_s: within.map(|within| within.length_s("within")).transpose()?,
            explain: self.explain.clone(),
            observed: self.observed.as_ref().map(Given::input).transpose()?,
            record: record.transpose()?,
            past: self
                .past
                .iter()
                .map(Given::input)
                .collect::<Result<_, _>>()?,
            missed_loss: self.missed_loss()?,
            surety: self.surety()?,
            is_dry_now: self.dry_now,
            is_strict: self.strict,
            units: units(self.units.as_deref())?,
            now: self.now,
        })
    }

    /// The loss of letting the season pass undone.
    fn missed_loss(&self) -> Result<Option<f64>, Failure> {
        let is_loss = |loss: &f64| (0.0..=1000.0).contains(loss);
        match self.missed_loss {
            Some(loss) if !is_loss(&loss) => Err(Failure::Question(format!(
                "missed_loss: expected a number from 0 to 1000, 1 being a plant's shoots, found {loss}"
            ))),
            loss => Ok(loss),
        }
    }

    /// What is asked about confidence.
    fn surety(&self) -> Result<Option<Surety>, Failure> {
        let expected = "a share from 0% to 100% such as 70%";
        let least = self.min_confidence.as_deref().map(|text| {
            let share = share("min_confidence", text, expected)?;
            let found = || Failure::found("min_confidence", expected, text);
            let is_share = (0.0..=1.0).contains(&share);
            is_share.then_some(share).ok_or_else(found)
        });
        let least = least.transpose()?;
        if least.is_some() && !self.confidence {
            let words = "confidence: expected True beside min_confidence, found False";
            return Err(Failure::Question(words.to_owned()));
        }
        let surety = Surety {
            least,
            ..Surety::default()
        };
        Ok(self.confidence.then_some(surety))
    }
}

/// The answers to the forecasts, in their order.
#[pyfunction]
pub fn decide_many(
    py: Python<'_>,
    forecasts: Vec<Given<'_>>,
    options: DecideOptions<'_>,
) -> PyResult<Vec<Answer>> {
    let case = options.case()?;
    let inputs = forecasts.iter().map(Given::input).enumerate();
    let inputs = inputs.map(|(place, input)| Ok((place, input?)));
    let inputs: Vec<_> = inputs.collect::<Result<_, Failure>>()?;
    let threads = options.threads;
    let answers = py.detach(|| {
        let answers = spread(&inputs, threads, |(place, input)| {
            case.answer(*place, input)
        });
        answers.into_iter().collect::<Result<_, Failure>>()
    })?;
    Ok(answers)
}

impl Case<'_> {
    fn answer(&self, place: usize, input: &Input<'_>) -> Result<Answer, Failure> {
        let one = self.places.first().filter(|_| self.places.len() == 1);
        let own = one.or_else(|| self.places.get(place));
        let (site, operation) = own.ok_or_else(|| {
            let words = "sites: expected one for all forecasts or one for each, found fewer";
            Failure::Question(words.to_owned())
        })?;
        let forecast = self.forecast(input, site)?;
        let site = with_zone(site.clone())?;
        let time = |at: &Moment, name| at.time(name, site.zone);
        let at = self.at.as_ref().map_or(Ok(self.now), |at| time(at, "at"))?;
        let explain = match &self.explain {
            Some(Explain::Best(true)) => Some(ExplainAt::Best),
            None | Some(Explain::Best(false)) => None,
            Some(Explain::At(at)) => Some(ExplainAt::Time(time(at, "explain")?)),
        };
        let question = Question {
            forecast: &forecast,
            operation,
            site: &site,
            at,
            until: self.within_s.map(|seconds| at.saturating_add(seconds)),
            is_dry_now: self.is_dry_now,
            is_strict: self.is_strict,
            explain,
        };
        let mut decision = match &self.surety {
            Some(surety) => decide_surely(&question, surety)?,
            None => decide(&question)?,
        };
        if explain.is_some() && decision.explained.is_none() {
            let words = "explain: expected an hour of the forecast from at on, found none there";
            return Err(Failure::Question(words.to_owned()));
        }
        decision.lay_garden(&question, &self.table)?;
        let said = self.stand((&site, operation), &mut decision)?;
        let series = forecast.members.into_iter().next();
        let series =
            series.ok_or_else(|| Failure::whole(input.name(), "expected hours, found none"))?;
        let kind = Kind::Decision(Box::new((decision, series)), self.units);
        let of_file = forecast.notices.iter().map(Notice::to_string);
        Ok(Answer::new(kind, of_file.chain(said).collect()))
    }

    /// The forecast, with the observed hours before it.
    fn forecast(&self, input: &Input<'_>, site: &Site) -> Result<Reading, Failure> {
        let mut forecast = input.hourly(site.zone)?;
        if matches!(
            forecast.format,
            Format::NwsObservations | Format::GhcnHourly
        ) {
            let words = "expected a forecast, found station observations; they go with observed";
            return Err(Failure::whole(input.name(), words));
        }
        let Some(observed) = &self.observed else {
            return Ok(forecast);
        };
        let name = observed.name();
        let observed = observed.hourly(site.zone)?;
        let [past] = observed.members.as_slice() else {
            let words = "expected observed hours without members, found an ensemble";
            return Err(Failure::whole(name, words));
        };
        for member in &mut forecast.members {
            let joined = member.with_observed(past);
            *member = joined.map_err(|error| Failure::series(name, error))?;
        }
        forecast.notices.extend(observed.notices);
        Ok(forecast)
    }

    /// Says in the decision where its day stands in the season, and what must be said of that.
    fn stand(
        &self,
        (site, operation): (&Site, &Operation),
        decision: &mut Decision,
    ) -> Result<Vec<String>, Failure> {
        let Some((record, of_record)) = &self.record else {
            return Ok(Vec::new());
        };
        let past = self.past(site, operation)?;
        let (past, mut said) = past.map_or((None, Vec::new()), |(past, said)| (Some(past), said));
        let waiting = Waiting {
            missed: self.missed_loss,
            past: past.as_ref(),
        };
        let of_season = stand(&record.series, (site, &self.table), decision, waiting)?;
        let of_record = of_record.iter().map(Notice::to_string);
        said.extend(
            of_record
                .chain(of_season)
                .map(|notice| format!("season: {notice}")),
        );
        Ok(said)
    }

    /// What the rules would have said of past hours; `None` where there are none.
    fn past(
        &self,
        site: &Site,
        operation: &Operation,
    ) -> Result<Option<(Hindcast, Vec<String>)>, Failure> {
        let Some(first) = self.past.first() else {
            return Ok(None);
        };
        let (stations, of_files) = joined(&self.past, site.zone)?;
        let [reading] = stations.as_slice() else {
            let words = format!(
                "expected the hours of one station, found {}",
                stations.len()
            );
            return Err(Failure::whole(first.name(), words));
        };
        let answer = hindcast(&hindcast::Question {
            station: &reading.station,
            past: &reading.hours,
            position: reading.position,
            operation,
            site,
            season: None,
            log: &[],
            forecasts: &[],
            is_brief: false,
        })?;
        let own = reading
            .notices
            .iter()
            .chain(&of_files)
            .map(Notice::to_string);
        let all = answer.notices.iter().cloned().chain(own);
        let said = all.map(|notice| format!("past: {notice}")).collect();
        Ok(Some((answer, said)))
    }
}
