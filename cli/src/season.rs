//! The command `season`: a station's record, a garden and a year to a plan, in the format asked for.

mod calendar;
mod input;
mod page;
mod picture;
mod table;
pub mod text;
mod words;

use chrono_tz::Tz;
use fairspell::decision::{Decision, Units};
use fairspell::error::Excerpt;
use fairspell::plant::PlantTable;
use fairspell::quantity::{Kind, Quantity, number_of};
use fairspell::read::daily::{DailyOptions, SummaryUnits};
use fairspell::read::local_date;
use fairspell::season::{
    Season, SeasonQuestion, SeasonSettings, Waiting, Weights, season, year_of,
};
use fairspell::site::{Hemisphere, Site};
use fairspell::work::Explained;

use crate::arguments::{RecordUnits, SeasonArguments, SeasonFormat, UnitSystem};
use crate::clock::now_or;
use crate::failure::Failure;
use crate::input::Input;
use crate::place::site;
use crate::{output, terminal};

/// Greatest sum of degree days that is taken \[°C·d\]: beyond any shoot, and beyond most flowers. Ours.
const MOST_DEGREE_DAYS: f64 = 2000.0;

/// A season with what its formats need beside it.
pub struct Plan<'a> {
    /// The season.
    pub season: Season,
    /// The place.
    pub site: &'a Site,
    /// Units of volumes and degree days.
    pub units: Units,
    /// Every number with its source, if it was asked for.
    pub explained: Vec<Explained>,
    /// Now \[s since 1970 UTC\].
    pub now: i64,
}

/// The picture of a plan.
pub fn svg(plan: &Plan<'_>) -> String {
    picture::svg(plan)
}

/// Runs the command and prints or writes the plan.
pub fn run(arguments: &SeasonArguments) -> Result<(), Failure> {
    check(arguments)?;
    let settings = settings(arguments)?;
    let site = site(&arguments.place)?;
    let table = table_of(arguments.plants.as_deref())?;
    let options = options(arguments);
    let record = input::record(
        &arguments.record,
        options,
        input::Wanted::OnlyOr(arguments.station.as_deref()),
    )?;
    let observed = arguments.observed.as_deref();
    let observed = observed.map(|name| input::observed(name, options, &site));
    let observed = observed.transpose()?;
    let now = now_or(arguments.at.as_deref(), site.zone)?;
    let year = arguments.year.map_or_else(|| year_at(now, &site), Ok)?;
    let mut season = season(&SeasonQuestion {
        record: &record.series,
        site: &site,
        table: &table,
        year,
        observed: observed.as_ref().map(|observed| &observed.series),
        settings: &settings,
    })?;
    season.note_values(record.left_out, record.series.is_whole_fahrenheit());
    let of_files: Vec<String> = [Some(&record), observed.as_ref()]
        .into_iter()
        .flatten()
        .flat_map(|file| file.notices.clone())
        .collect();
    say(arguments.format, &mut season, &of_files);
    let units = UnitSystem::shown(arguments.units);
    let explained = if arguments.explain {
        season.explain(&settings)
    } else {
        Vec::new()
    };
    let plan = Plan {
        season,
        site: &site,
        units,
        explained,
        now,
    };
    let width = terminal::width(arguments.output.is_some());
    let answer = written(&plan, arguments.format, width);
    match &arguments.output {
        Some(path) => output::to_file(path, &answer),
        None if arguments.format == SeasonFormat::Text => {
            output::to_stdout(&crate::text::emphasised(&answer))
        }
        None => output::to_stdout(&answer),
    }
}

/// Says what must be said of the files on standard error; an answer that stands alone holds it too. What must be said of
/// the season goes to standard error where the format has no place for it.
fn say(format: SeasonFormat, season: &mut Season, of_files: &[String]) {
    for notice in of_files {
        output::to_stderr(&format!("notice: {notice}"));
    }
    match format {
        SeasonFormat::Text => {}
        SeasonFormat::Csv => {
            for notice in &season.notices {
                output::to_stderr(&format!("notice: {notice}"));
            }
        }
        // A sentence begins with a capital letter; the name of a file stays as it is.
        _ => {
            let of_files = of_files.iter().map(|notice| format!("from {notice}"));
            season.notices.extend(of_files);
        }
    }
}

fn written(plan: &Plan<'_>, format: SeasonFormat, width: usize) -> String {
    match format {
        SeasonFormat::Text => text::text(plan, width),
        SeasonFormat::Json => plan.season.to_json_explained(&plan.explained) + "\n",
        SeasonFormat::Csv => table::table(&plan.season),
        SeasonFormat::Ics => calendar::calendar(plan),
        SeasonFormat::Svg => picture::svg(plan),
        SeasonFormat::Html => page::html(plan),
    }
}

/// Arguments that do not go together.
fn check(arguments: &SeasonArguments) -> Result<(), Failure> {
    let inputs = [
        Some(&arguments.record),
        arguments.place.site.as_ref(),
        arguments.observed.as_ref(),
        arguments.plants.as_ref(),
    ];
    let inputs = inputs.into_iter().flatten();
    output::check_apart(arguments.output.as_deref(), inputs.clone())?;
    let from_stdin = inputs.filter(|name| *name == "-");
    let explains = matches!(
        arguments.format,
        SeasonFormat::Text | SeasonFormat::Json | SeasonFormat::Html
    );
    let wrong = if from_stdin.count() > 1 {
        "expected standard input (-) for one input at most, found it for two or more"
    } else if arguments.explain && !explains {
        "expected --format text, json or html beside --explain, found another"
    } else {
        return Ok(());
    };
    Err(Failure::Usage(wrong.to_owned()))
}

fn options(arguments: &SeasonArguments) -> DailyOptions {
    DailyOptions {
        units: arguments.record_units.map(SummaryUnits::from),
        is_whole_fahrenheit: arguments.taking.whole_fahrenheit,
        is_minima_only: false,
    }
}

/// The plants table, with the rows of a file of the user's own.
pub fn table_of(own: Option<&str>) -> Result<PlantTable, Failure> {
    let built_in = PlantTable::built_in();
    let Some(name) = own else {
        return Ok(built_in);
    };
    let input = Input::read(name)?;
    Ok(built_in.extended_with(PlantTable::read(input.source())?))
}

fn settings(arguments: &SeasonArguments) -> Result<SeasonSettings, Failure> {
    let defaults = SeasonSettings::default();
    let tender = arguments.tender.as_deref().map(tender).transpose()?;
    let weights = arguments.weights.as_deref().map(weights).transpose()?;
    Ok(SeasonSettings {
        tender: tender.unwrap_or(defaults.tender),
        sum_c_days: arguments
            .degree_days
            .as_deref()
            .map(degree_days)
            .transpose()?,
        weights: weights.unwrap_or(defaults.weights),
        seed: arguments.taking.seed,
        replicates: arguments.replicates,
        keeps_suspect: arguments.taking.keep_suspect,
        ..defaults
    })
}

fn found(argument: &str, expected: &str, text: &str) -> Failure {
    let found = Excerpt::of(text.as_bytes());
    Failure::Usage(format!("{argument}: expected {expected}, found {found}"))
}

fn tender(text: &str) -> Result<Quantity, Failure> {
    let parsed = Quantity::parse(text, Kind::Temperature);
    parsed.map_err(|_| found("--tender", "a temperature such as 28F or -2C", text))
}

fn degree_days(text: &str) -> Result<f64, Failure> {
    let sum = number_of(text).filter(|sum| *sum > 0.0 && *sum <= MOST_DEGREE_DAYS);
    sum.ok_or_else(|| {
        let expected = "degree days above 0 and at most 2000, such as 130";
        found("--degree-days", expected, text)
    })
}

fn weights(text: &str) -> Result<Weights, Failure> {
    let of = |text: &str| number_of(text.trim()).filter(|weight| (0.0..=1000.0).contains(weight));
    let pair = text.split_once(',');
    let pair = pair.and_then(|(late, spent)| Some((of(late)?, of(spent)?)));
    pair.filter(|(late, spent)| late + spent > 0.0)
        .map(|(late_freeze, after_bud_break)| Weights {
            late_freeze,
            after_bud_break,
        })
        .ok_or_else(|| {
            let expected = "two numbers from 0 to 1000, not both 0, such as 1,0.5";
            found("--weights", expected, text)
        })
}

/// The season under way, or the next, by the date on the place's clock.
fn year_at(now: i64, site: &Site) -> Result<i32, Failure> {
    let hemisphere = site.hemisphere().unwrap_or(Hemisphere::North);
    let today = local_date(now, site.zone.unwrap_or(Tz::UTC)).ok_or(Failure::Clock)?;
    Ok(year_of(today, hemisphere))
}

/// Says in a decision where its day stands in the season by a station's record, and weighs going now against waiting.
///
/// - `name`: the record's file, and the units of Daily Summaries; `missed`: the loss of letting the season pass undone.
pub fn stand(
    (name, units): (&str, Option<RecordUnits>),
    place: (&Site, &PlantTable),
    decision: &mut Decision,
    waiting: Waiting<'_>,
) -> Result<(), Failure> {
    let options = DailyOptions {
        units: units.map(SummaryUnits::from),
        ..DailyOptions::default()
    };
    let record = input::record(name, options, input::Wanted::Only)?;
    let of_season = fairspell::season::stand(&record.series, place, decision, waiting)?;
    for notice in record.notices.iter().chain(&of_season) {
        output::to_stderr(&format!("notice: season: {notice}"));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two finite weights that are not below 0, one of them above it.
    #[test]
    fn weights_that_weigh_nothing_are_refused() {
        let two = weights("2, 0.5").unwrap();
        assert_eq!(
            two,
            Weights {
                late_freeze: 2.0,
                after_bud_break: 0.5
            }
        );
        for wrong in ["", "1", "0,0", "-1,1", "nan,1", "1,inf", "1,2,3"] {
            assert!(weights(wrong).is_err(), "{wrong}");
        }
    }
}
