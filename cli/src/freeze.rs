//! The command `freeze`: station records to dates and risk, in the format asked for.

use std::fs::File;
use std::io::{IsTerminal as _, stderr, stdin};

use chrono::{DateTime, NaiveDate};
use fairspell::error::Excerpt;
use fairspell::freeze::{Asked, Settings, StationFreezes};
use fairspell::quantity::{Kind, Quantity, Unit};
use fairspell::read::Notice;
use fairspell::read::daily::{DailyOptions, DailyReading, SummaryUnits};
use fairspell::site::{Hemisphere, Site};

use crate::arguments::{FreezeArguments, FreezeFormat};
use crate::decide::now;
use crate::failure::Failure;
use crate::input::Input;
use crate::progress::{Counted, Progress};
use crate::stations::{Record, for_each_station_of};
use crate::{freeze_page, freeze_picture, freeze_table, freeze_text, output};

/// Thresholds \[°F\] unless others are named: the contract's.
const THRESHOLDS_F: [f64; 4] = [36.0, 32.0, 28.0, 24.0];

/// Bytes of answers that are gathered before they are written.
const PIECE: usize = 1 << 16;

/// Runs the command and prints or writes the answers, a station after the other.
pub fn run(arguments: &FreezeArguments) -> Result<(), Failure> {
    let inputs = arguments.records.iter().chain(&arguments.site);
    let from_stdin = inputs.filter(|name| *name == "-").count();
    if from_stdin > 1 {
        let words = "expected standard input (-) for one input at most, found it for two or more";
        return Err(Failure::Usage(words.to_owned()));
    }
    let (settings, asked) = (settings(arguments)?, asked(arguments)?);
    let today = asked.on.map_or_else(today, Ok)?;
    let format = arguments.format;
    let work = |reading: &DailyReading, of_file: &[Notice]| {
        let mut station = StationFreezes::new(reading, &settings);
        station.note_age(today);
        if format.stands_alone() {
            let notices = of_file.iter().map(Notice::to_string);
            station.notices.extend(notices);
        }
        written(&station, format, asked)
    };
    let progress = Progress::new(stderr().is_terminal());
    let mut answers = Answers::new(arguments, &progress);
    for name in &arguments.records {
        let of_file = for_each_station(name, (options(arguments), &progress), work, |text| {
            answers.take(&text)
        })?;
        progress.clear();
        for notice in of_file {
            output::to_stderr(&format!("notice: {notice}"));
        }
    }
    answers.finish()
}

/// Gives each station of a file, or of standard input for `-`, to `work`, and what comes back to `take`, in the order of
/// the file; what must be said of the file as a whole goes to `work` with each, and comes back in the end.
fn for_each_station(
    name: &str,
    (options, progress): (DailyOptions, &Progress),
    work: impl Fn(&DailyReading, &[Notice]) -> String + Sync,
    take: impl FnMut(String) -> Result<(), Failure>,
) -> Result<Vec<Notice>, Failure> {
    let record = Record::new(name, options);
    if name == "-" {
        progress.begin("standard input", None);
        let input = Counted {
            input: stdin(),
            progress,
        };
        return for_each_station_of(input, record, work, take);
    }
    let file = File::open(name).map_err(|error| record.cannot_read(error))?;
    progress.begin(name, file.metadata().ok().map(|of| of.len()));
    let input = Counted {
        input: file,
        progress,
    };
    for_each_station_of(input, record, work, take)
}

fn options(arguments: &FreezeArguments) -> DailyOptions {
    DailyOptions {
        units: arguments.units.map(SummaryUnits::from),
        is_whole_fahrenheit: arguments.taking.whole_fahrenheit,
        is_minima_only: true,
    }
}

fn written(station: &StationFreezes, format: FreezeFormat, asked: Asked) -> String {
    match format {
        FreezeFormat::Text => freeze_text::text(station, asked),
        FreezeFormat::Json => station.to_json(asked) + "\n",
        FreezeFormat::Csv => freeze_table::rows(station),
        FreezeFormat::Svg => freeze_picture::svg(station, asked),
        FreezeFormat::Html => freeze_page::html(station, asked),
    }
}

/// Answers on their way out, a station after the other.
struct Answers<'a> {
    arguments: &'a FreezeArguments,
    progress: &'a Progress,
    text: String,
    stations: usize,
}

impl<'a> Answers<'a> {
    fn new(arguments: &'a FreezeArguments, progress: &'a Progress) -> Self {
        let text = if arguments.format == FreezeFormat::Csv {
            freeze_table::header()
        } else {
            String::new()
        };
        Self {
            arguments,
            progress,
            text,
            stations: 0,
        }
    }

    /// Takes the answer of the next station; nothing of a picture or a page is written until it is known to be alone.
    fn take(&mut self, text: &str) -> Result<(), Failure> {
        let is_single = matches!(
            self.arguments.format,
            FreezeFormat::Svg | FreezeFormat::Html
        );
        if is_single && self.stations > 0 {
            let words = "--format: expected records of one station for a picture or a page, found two or more";
            return Err(Failure::Usage(words.to_owned()));
        }
        if self.stations > 0 && self.arguments.format == FreezeFormat::Text {
            self.text.push('\n');
        }
        self.stations += 1;
        self.progress.count_station();
        self.text.push_str(text);
        if !is_single && self.arguments.output.is_none() && self.text.len() >= PIECE {
            self.progress.clear();
            output::to_stdout(&core::mem::take(&mut self.text))?;
        }
        Ok(())
    }

    fn finish(self) -> Result<(), Failure> {
        match &self.arguments.output {
            Some(path) => output::to_file(path, &self.text),
            None => output::to_stdout(&self.text),
        }
    }
}

/// The day by the machine's clock, in UTC.
fn today() -> Result<NaiveDate, Failure> {
    let now = DateTime::from_timestamp(now()?, 0).ok_or(Failure::Clock)?;
    Ok(now.date_naive())
}

fn settings(arguments: &FreezeArguments) -> Result<Settings, Failure> {
    let site = match &arguments.site {
        Some(name) => Site::read(Input::read(name)?.source())?,
        None => Site::default(),
    };
    let thresholds = if arguments.threshold.is_empty() {
        let fahrenheit = |value| Quantity {
            value,
            unit: Unit::Fahrenheit,
        };
        THRESHOLDS_F.map(fahrenheit).to_vec()
    } else {
        let parsed = arguments.threshold.iter().map(|text| threshold(text));
        parsed.collect::<Result<_, _>>()?
    };
    let is_table = arguments.format == FreezeFormat::Csv;
    Ok(Settings {
        thresholds,
        hemisphere: site.hemisphere().unwrap_or(Hemisphere::North),
        keeps_suspect: arguments.taking.keep_suspect,
        seed: arguments.taking.seed,
        replicates: arguments
            .replicates
            .unwrap_or(if is_table { 0 } else { 2000 }),
        is_brief: is_table,
    })
}

fn threshold(text: &str) -> Result<Quantity, Failure> {
    Quantity::parse(text, Kind::Temperature).map_err(|_| {
        let found = Excerpt::of(text.as_bytes());
        Failure::Usage(format!(
            "--threshold: expected a temperature such as 28F or -2C, found {found}"
        ))
    })
}

fn asked(arguments: &FreezeArguments) -> Result<Asked, Failure> {
    let on = arguments.on.as_deref().map(|text| {
        NaiveDate::parse_from_str(text, "%Y-%m-%d").map_err(|_| {
            let found = Excerpt::of(text.as_bytes());
            Failure::Usage(format!(
                "--on: expected a date such as 2027-04-10, found {found}"
            ))
        })
    });
    let risk = arguments.risk.as_deref().map(|text| {
        let share = Quantity::parse(text, Kind::Fraction)
            .ok()
            .map(|share| share.value / 100.0);
        share
            .filter(|share| *share > 0.0 && *share < 1.0)
            .ok_or_else(|| {
                let found = Excerpt::of(text.as_bytes());
                Failure::Usage(format!(
                    "--risk: expected a share such as 10%, above 0 and below 100, found {found}"
                ))
            })
    });
    Ok(Asked {
        on: on.transpose()?,
        risk: risk.transpose()?,
    })
}
