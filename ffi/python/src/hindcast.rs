//! Past hours to what the engine would have said of them.
#![expect(
    clippy::needless_pass_by_value,
    reason = "PyO3 hands arguments over by value"
)]

use std::num::NonZeroUsize;

use chrono_tz::Tz;
use fairspell::hindcast::{Done, Question, SeasonSpan, hindcast, read_log};
use fairspell::operation::Operation;
use fairspell::read::Notice;
use fairspell::read::forecasts::{ByStation, add, of_station, read_forecasts};
use fairspell::read::past::{Joined, PastReading};
use fairspell::site::Site;
use pyo3::prelude::*;

use crate::answer::{Answer, Kind};
use crate::failure::Failure;
use crate::input::{Given, Input, source};
use crate::place::{PlaceOptions, operation, with_zone};
use crate::spread::spread;

/// What is asked of all stations.
#[derive(FromPyObject)]
#[pyo3(from_item_all)]
pub struct HindcastOptions<'py> {
    operation: Given<'py>,
    place: PlaceOptions<'py>,
    season: Option<String>,
    log: Option<Given<'py>>,
    forecasts: Vec<Given<'py>>,
    threads: Option<NonZeroUsize>,
}

struct Case {
    operation: Operation,
    site: Site,
    season: Option<SeasonSpan>,
    log: Vec<Done>,
    forecasts: ByStation,
    said: Vec<String>,
}

impl HindcastOptions<'_> {
    fn case(&self) -> Result<Case, Failure> {
        let site = self.place.site()?;
        let operation = operation(&self.operation.input()?)?.at_site(&site)?;
        let season = self.season.as_deref().map(SeasonSpan::parse).transpose()?;
        let log = match &self.log {
            Some(log) => {
                let input = log.input()?;
                read_log(source(input.name(), &input.bytes()?), site.zone)?
            }
            None => Vec::new(),
        };
        let (mut forecasts, mut said) = (ByStation::new(), Vec::new());
        for archive in &self.forecasts {
            let input = archive.input()?;
            let archive = read_forecasts(source(input.name(), &input.bytes()?), site.zone)?;
            said.extend(archive.notices.iter().map(ToString::to_string));
            add(&mut forecasts, archive.stations);
        }
        Ok(Case {
            operation,
            site: with_zone(site)?,
            season,
            log,
            forecasts,
            said,
        })
    }
}

/// The stations of several inputs, the hours of each brought together, and what must be said of the inputs.
pub fn joined(
    inputs: &[Input<'_>],
    zone: Option<Tz>,
) -> Result<(Vec<PastReading>, Vec<Notice>), Failure> {
    let (mut joined, mut notices) = (Joined::default(), Vec::new());
    for input in inputs {
        let (readings, of_file) = input.past(zone)?;
        for reading in readings {
            joined
                .add(reading, input.name())
                .map_err(|error| Failure::series(input.name(), error))?;
        }
        notices.extend(of_file);
    }
    Ok((joined.into_stations(), notices))
}

/// The stations of the inputs, in their order; the hours of a station in several inputs are brought together.
#[pyfunction]
pub fn hindcast_many(
    py: Python<'_>,
    observed: Vec<Given<'_>>,
    options: HindcastOptions<'_>,
) -> PyResult<Vec<Answer>> {
    let case = options.case()?;
    let inputs: Vec<_> = observed
        .iter()
        .map(Given::input)
        .collect::<Result<_, _>>()?;
    let threads = options.threads;
    let answers = py.detach(|| {
        let (stations, of_files) = joined(&inputs, case.site.zone)?;
        // As on the command line: what is said of the file as a whole is part of the answer where there is one file.
        let of_file = if inputs.len() == 1 {
            &of_files[..]
        } else {
            &[]
        };
        let said: Vec<String> = case
            .said
            .iter()
            .cloned()
            .chain(of_files.iter().map(ToString::to_string))
            .collect();
        let answers = spread(&stations, threads, |reading| {
            case.answer(reading, of_file, &said)
        });
        answers.into_iter().collect::<Result<_, Failure>>()
    })?;
    Ok(answers)
}

impl Case {
    fn answer(
        &self,
        reading: &PastReading,
        of_file: &[Notice],
        said: &[String],
    ) -> Result<Answer, Failure> {
        let foretold = of_station(&self.forecasts, &reading.station);
        let mut answer = hindcast(&Question {
            station: &reading.station,
            past: &reading.hours,
            position: reading.position,
            operation: &self.operation,
            site: &self.site,
            season: self.season,
            log: &self.log,
            forecasts: &foretold,
            is_brief: false,
        })?;
        let own = reading.notices.iter().chain(of_file).map(Notice::to_string);
        answer.notices.extend(own);
        answer.note_others(self.log.len());
        answer.note_no_forecasts(!self.forecasts.is_empty());
        Ok(Answer::new(Kind::Hindcast(Box::new(answer)), said.to_vec()))
    }
}
