//! The command `freeze`: station records to dates and risk, in the format asked for.

use chrono::{DateTime, NaiveDate};
use fairspell::error::Excerpt;
use fairspell::freeze::{Asked, Settings, StationFreezes};
use fairspell::quantity::{Kind, Quantity, Unit};
use fairspell::read::daily::{DailyOptions, DailyReading, SummaryUnits};
use fairspell::site::{Hemisphere, Site};

use crate::arguments::{FreezeArguments, FreezeFormat, RecordUnits};
use crate::decide::now;
use crate::failure::Failure;
use crate::input::Input;
use crate::stations::for_each_station;
use crate::{freeze_page, freeze_picture, freeze_table, freeze_text, output};

/// Thresholds \[°F\] unless others are named: the contract's.
const THRESHOLDS_F: [f64; 4] = [36.0, 32.0, 28.0, 24.0];

/// Bytes of answers that are gathered before they are written.
const PIECE: usize = 1 << 16;

/// Runs the command and prints or writes the answers, a station after the other.
pub fn run(arguments: &FreezeArguments) -> Result<(), Failure> {
    let from_stdin = arguments.records.iter().filter(|name| *name == "-").count();
    if from_stdin > 1 {
        let words = "expected standard input (-) for one input at most, found it for two or more";
        return Err(Failure::Usage(words.to_owned()));
    }
    let (settings, asked) = (settings(arguments)?, asked(arguments)?);
    let options = DailyOptions {
        units: arguments.units.map(|units| match units {
            RecordUnits::Us => SummaryUnits::Us,
            RecordUnits::Metric => SummaryUnits::Metric,
            RecordUnits::Tenths => SummaryUnits::Tenths,
        }),
        is_whole_fahrenheit: arguments.whole_fahrenheit,
        is_minima_only: true,
    };
    let today = asked.on.map_or_else(today, Ok)?;
    let work = |reading: &DailyReading| {
        let mut station = StationFreezes::new(reading, &settings);
        station.note_age(today);
        match arguments.format {
            FreezeFormat::Text => freeze_text::text(&station, asked),
            FreezeFormat::Json => station.to_json(asked) + "\n",
            FreezeFormat::Csv => freeze_table::rows(&station),
            FreezeFormat::Svg => freeze_picture::svg(&station, asked),
            FreezeFormat::Html => freeze_page::html(&station, asked),
        }
    };
    let is_table = arguments.format == FreezeFormat::Csv;
    let is_single = matches!(arguments.format, FreezeFormat::Svg | FreezeFormat::Html);
    let mut answer = if is_table {
        freeze_table::header()
    } else {
        String::new()
    };
    for name in &arguments.records {
        for_each_station(name, options, work, |text| {
            if is_single && !answer.is_empty() {
                let words = "--format: expected records of one station for a picture or a page, found two or more";
                return Err(Failure::Usage(words.to_owned()));
            }
            answer.push_str(&text);
            if !is_single && arguments.output.is_none() && answer.len() >= PIECE {
                output::to_stdout(&core::mem::take(&mut answer))?;
            }
            Ok(())
        })?;
    }
    match &arguments.output {
        Some(path) => output::to_file(path, &answer),
        None => output::to_stdout(&answer),
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
        keeps_suspect: arguments.keep_suspect,
        seed: arguments.seed,
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
