//! The command `hindcast`: past hours to what the engine would have said of them, in the format asked for.

use std::io::{IsTerminal as _, stderr};

use fairspell::decision::Units;
use fairspell::hindcast::{Done, Question, SeasonSpan, hindcast, read_log};
use fairspell::operation::Operation;
use fairspell::read::Notice;
use fairspell::read::forecasts::{ByStation, add, of_station, read_forecasts};
use fairspell::read::past::PastReading;
use fairspell::site::Site;

use crate::answers::{Answers, Shape};
use crate::arguments::{HindcastArguments, HindcastFormat, UnitSystem};
use crate::failure::Failure;
use crate::input::Input;
use crate::output::check_apart;
use crate::place::{site, with_zone};
use crate::progress::Progress;
use crate::records::{for_each_station, joined, say};
use crate::rules::operation;
use crate::stations::HourOptions;
use crate::{hindcast_page, hindcast_picture, hindcast_table, hindcast_text, terminal};

/// What all stations are asked.
struct Case<'a> {
    operation: Operation,
    site: Site,
    season: Option<SeasonSpan>,
    log: Vec<Done>,
    forecasts: ByStation,
    width: usize,
    arguments: &'a HindcastArguments,
}

/// Runs the command and prints or writes the answers, a station after the other.
pub fn run(arguments: &HindcastArguments) -> Result<(), Failure> {
    check(arguments)?;
    let case = case(arguments)?;
    let progress = Progress::new(stderr().is_terminal());
    let format = arguments.format;
    let shape = Shape {
        is_single: matches!(format, HindcastFormat::Svg | HindcastFormat::Html),
        is_text: format == HindcastFormat::Text,
        what: "hours",
    };
    let mut answers = Answers::new((shape, arguments.output.as_deref()), &progress);
    if format == HindcastFormat::Csv {
        answers.begin(hindcast_table::HEADER);
    }
    if let [name] = arguments.observed.as_slice() {
        let work = |reading: &PastReading, of_file: &[Notice]| case.answer(reading, of_file);
        let of_file = for_each_station(name, (case.options(), &progress), work, |text| {
            answers.take(&text?)
        })?;
        say(&of_file);
    } else {
        for reading in joined(&arguments.observed, case.options(), &progress)? {
            answers.take(&case.answer(&reading, &[])?)?;
        }
    }
    answers.finish()
}

/// Arguments that do not go together.
fn check(arguments: &HindcastArguments) -> Result<(), Failure> {
    let files = arguments.observed.iter().chain([&arguments.operation]);
    let inputs = files
        .chain(&arguments.log)
        .chain(&arguments.forecasts)
        .chain(&arguments.place.site);
    if inputs.clone().filter(|name| *name == "-").count() > 1 {
        let words = "expected standard input (-) for one input at most, found it for two or more";
        return Err(Failure::Usage(words.to_owned()));
    }
    check_apart(
        arguments.output.as_deref(),
        inputs.filter(|name| Operation::built_in(name).is_none()),
    )?;
    if arguments.log.is_some() && arguments.format == HindcastFormat::Csv {
        let words = "expected --format text, json, svg or html beside --log, found csv";
        return Err(Failure::Usage(words.to_owned()));
    }
    let is_drawn = matches!(arguments.format, HindcastFormat::Csv | HindcastFormat::Svg);
    if !arguments.forecasts.is_empty() && is_drawn {
        let words = "expected --format text, json or html beside --forecasts, found csv or svg";
        return Err(Failure::Usage(words.to_owned()));
    }
    Ok(())
}

fn case(arguments: &HindcastArguments) -> Result<Case<'_>, Failure> {
    let site = site(&arguments.place)?;
    let operation = operation(&arguments.operation)?.at_site(&site)?;
    let season = arguments
        .season
        .as_deref()
        .map(SeasonSpan::parse)
        .transpose();
    let season = season.map_err(|error| Failure::Usage(format!("--season: {error}")))?;
    let log = match &arguments.log {
        Some(name) => read_log(Input::read(name)?.source(), site.zone)?,
        None => Vec::new(),
    };
    let forecasts = forecasts(&arguments.forecasts, &site)?;
    Ok(Case {
        operation,
        site: with_zone(site)?,
        season,
        log,
        forecasts,
        width: terminal::width(arguments.output.is_some()),
        arguments,
    })
}

/// The forecasts of all archives, by station.
fn forecasts(names: &[String], site: &Site) -> Result<ByStation, Failure> {
    let mut stations = ByStation::new();
    for name in names {
        let archive = read_forecasts(Input::read(name)?.source(), site.zone)?;
        say(&archive.notices);
        add(&mut stations, archive.stations);
    }
    Ok(stations)
}

impl Case<'_> {
    fn options(&self) -> HourOptions {
        HourOptions {
            zone: self.site.zone,
        }
    }

    fn units(&self) -> Units {
        UnitSystem::shown(self.arguments.units)
    }

    /// The answer of a station in the format asked for.
    fn answer(&self, reading: &PastReading, of_file: &[Notice]) -> Result<String, Failure> {
        let format = self.arguments.format;
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
            is_brief: format == HindcastFormat::Csv,
        })?;
        let of_file = of_file.iter().filter(|_| format.stands_alone());
        let said = reading.notices.iter().chain(of_file).map(Notice::to_string);
        answer.notices.extend(said);
        if format != HindcastFormat::Csv {
            answer.note_others(self.log.len());
            answer.note_no_forecasts(!self.forecasts.is_empty());
        }
        Ok(match format {
            HindcastFormat::Text => hindcast_text::text(&answer, self.units(), self.width),
            HindcastFormat::Json => answer.to_json() + "\n",
            HindcastFormat::Csv => hindcast_table::rows(&answer),
            HindcastFormat::Svg => hindcast_picture::svg(&answer),
            HindcastFormat::Html => hindcast_page::html(&answer, self.units()),
        })
    }
}
