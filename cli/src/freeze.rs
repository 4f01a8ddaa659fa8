//! The command `freeze`: station records to dates and risk, in the format asked for.

use std::io::{IsTerminal as _, stderr};

use chrono::{DateTime, NaiveDate};
use fairspell::decision::Units;
use fairspell::error::Excerpt;
use fairspell::freeze::{Asked, Settings, StationFreezes};
use fairspell::quantity::{Kind, Quantity, Unit};
use fairspell::read::Notice;
use fairspell::read::daily::{DailyOptions, DailyReading, SummaryUnits};
use fairspell::site::{Hemisphere, Site};

use crate::answers::{Answers, Shape};
use crate::arguments::{FreezeArguments, FreezeFormat, FreezeUnits, RecordUnits};
use crate::clock::now;
use crate::failure::Failure;
use crate::input::Input;
use crate::progress::Progress;
use crate::records::for_each_station;
use crate::{freeze_page, freeze_picture, freeze_table, freeze_text, output, terminal};

/// Thresholds \[°F\] unless others are named: the contract's.
const THRESHOLDS_F: [f64; 4] = [36.0, 32.0, 28.0, 24.0];

/// Runs the command and prints or writes the answers, a station after the other.
pub fn run(arguments: &FreezeArguments) -> Result<(), Failure> {
    let inputs = arguments.records.iter().chain(&arguments.site);
    let from_stdin = inputs.clone().filter(|name| *name == "-").count();
    if from_stdin > 1 {
        let words = "expected standard input (-) for one input at most, found it for two or more";
        return Err(Failure::Usage(words.to_owned()));
    }
    output::check_apart(arguments.output.as_deref(), inputs)?;
    check_units(arguments)?;
    let (settings, asked) = (settings(arguments)?, asked(arguments)?);
    let today = asked.on.map_or_else(today, Ok)?;
    let format = arguments.format;
    let width = terminal::width(arguments.output.is_some());
    let units = FreezeUnits::shown(arguments.units);
    let work = |reading: &DailyReading, of_file: &[Notice]| {
        let mut station = StationFreezes::new(reading, &settings);
        station.note_age(today);
        if format.stands_alone() {
            let notices = of_file.iter().map(Notice::to_string);
            station.notices.extend(notices);
        }
        if format.is_for_people() {
            for at in &mut station.thresholds {
                at.threshold = shown(at.threshold, units);
            }
        }
        written(&station, format, (asked, width))
    };
    let progress = Progress::new(stderr().is_terminal());
    let shape = Shape {
        is_single: matches!(format, FreezeFormat::Svg | FreezeFormat::Html),
        is_text: format == FreezeFormat::Text,
        what: "records",
    };
    let mut answers = Answers::new((shape, arguments.output.as_deref()), &progress);
    if format == FreezeFormat::Csv {
        answers.begin(&freeze_table::header());
    }
    for name in &arguments.records {
        let of_file = for_each_station(name, (options(arguments), &progress), work, |text| {
            answers.take(&text)
        })?;
        for notice in of_file {
            output::to_stderr(&format!("notice: {notice}"));
        }
    }
    answers.finish()
}

/// `--units` may say the record's units too: not others than `--record-units`. As *us* it may mean the display alone.
fn check_units(arguments: &FreezeArguments) -> Result<(), Failure> {
    let is_at_odds = match (arguments.record_units, arguments.units) {
        (Some(record), Some(FreezeUnits::Metric)) => record != RecordUnits::Metric,
        (Some(record), Some(FreezeUnits::Tenths)) => record != RecordUnits::Tenths,
        _ => false,
    };
    if is_at_odds {
        let words = "--units: expected us or si beside --record-units, or the same units of the record, found others";
        return Err(Failure::Usage(words.to_owned()));
    }
    Ok(())
}

fn options(arguments: &FreezeArguments) -> DailyOptions {
    let said = arguments.units.and_then(FreezeUnits::of_record);
    DailyOptions {
        units: arguments.record_units.or(said).map(SummaryUnits::from),
        is_whole_fahrenheit: arguments.taking.whole_fahrenheit,
        is_minima_only: true,
    }
}

/// A threshold in the units asked for, to a tenth of a degree.
fn shown(threshold: Quantity, units: Units) -> Quantity {
    let unit = units.shown(threshold.unit);
    if unit == threshold.unit {
        return threshold;
    }
    let value = threshold.unit.convert(threshold.value, unit);
    Quantity {
        value: (value * 10.0).round() / 10.0,
        unit,
    }
}

fn written(
    station: &StationFreezes,
    format: FreezeFormat,
    (asked, width): (Asked, usize),
) -> String {
    match format {
        FreezeFormat::Text => freeze_text::text(station, asked, width),
        FreezeFormat::Json => station.to_json(asked) + "\n",
        FreezeFormat::Csv => freeze_table::rows(station),
        FreezeFormat::Svg => freeze_picture::svg(station, asked),
        FreezeFormat::Html => freeze_page::html(station, asked),
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
