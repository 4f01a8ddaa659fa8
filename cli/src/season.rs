//! The command `season`: a station's record, a garden and a year to a plan, in the format asked for.

mod calendar;
mod explain;
mod input;
mod page;
mod picture;
mod table;
pub mod text;
mod words;

use chrono::{DateTime, NaiveDate};
use fairspell::decision::{Decision, SeasonState, SeasonWork, Units};
use fairspell::error::Excerpt;
use fairspell::freeze::{HalfName, Window};
use fairspell::plant::PlantTable;
use fairspell::quantity::{Kind, Quantity, number_of};
use fairspell::read::daily::{DailyOptions, SummaryUnits};
use fairspell::read::local_date;
use fairspell::season::{NoDates, Season, SeasonQuestion, SeasonSettings, Weights, season};
use fairspell::site::{Hemisphere, Site};
use fairspell::work::Explained;

use crate::arguments::{RecordUnits, SeasonArguments, SeasonFormat, UnitSystem};
use crate::decide::{now, site};
use crate::failure::Failure;
use crate::input::Input;
use crate::output;

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
    let now = now()?;
    let hemisphere = site.hemisphere().unwrap_or(Hemisphere::North);
    let year = arguments
        .year
        .map_or_else(|| year_at(now, hemisphere), Ok)?;
    let mut season = season(&SeasonQuestion {
        record: &record.series,
        site: &site,
        table: &table,
        year,
        observed: observed.as_ref().map(|observed| &observed.series),
        settings: &settings,
    })?;
    let of_record = input::of_record(&record, &season);
    season.notices.extend(of_record);
    let of_files: Vec<String> = [Some(&record), observed.as_ref()]
        .into_iter()
        .flatten()
        .flat_map(|file| file.notices.clone())
        .collect();
    say(arguments.format, &mut season, &of_files);
    let units = match arguments.units {
        None => Units::AsWritten,
        Some(UnitSystem::Us) => Units::Us,
        Some(UnitSystem::Si) => Units::Si,
    };
    let explained = if arguments.explain {
        explain::explain(&season, &settings)
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
    let answer = written(&plan, arguments.format);
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

fn written(plan: &Plan<'_>, format: SeasonFormat) -> String {
    match format {
        SeasonFormat::Text => text::text(plan),
        SeasonFormat::Json => explain::json(plan) + "\n",
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
    let from_stdin = inputs.into_iter().flatten().filter(|name| *name == "-");
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

fn year_at(now: i64, hemisphere: Hemisphere) -> Result<i32, Failure> {
    let today = DateTime::from_timestamp(now, 0).ok_or(Failure::Clock)?;
    Ok(year_of(today.date_naive(), hemisphere))
}

/// Says in a decision where its day stands in the season by a station's record, and weighs going now against waiting.
///
/// - `name`: the record's file, and the units of Daily Summaries; `missed`: the loss of letting the season pass undone.
pub fn stand(
    (name, units): (&str, Option<RecordUnits>),
    (site, table): (&Site, &PlantTable),
    decision: &mut Decision,
    missed: f64,
) -> Result<(), Failure> {
    let options = DailyOptions {
        units: units.map(SummaryUnits::from),
        ..DailyOptions::default()
    };
    let record = input::record(name, options, input::Wanted::Only)?;
    let on = local_date(decision.at, decision.zone).ok_or(Failure::Clock)?;
    let settings = SeasonSettings {
        replicates: 0,
        ..SeasonSettings::default()
    };
    let question = SeasonQuestion {
        record: &record.series,
        site,
        table,
        year: year_around(on, site.hemisphere().unwrap_or(Hemisphere::North)),
        observed: None,
        settings: &settings,
    };
    let season = season(&question)?;
    let notices = record.notices.iter().chain(&season.notices);
    for notice in notices {
        output::to_stderr(&format!("notice: season: {notice}"));
    }
    match season.weigh(&question, decision, missed) {
        Ok(wait) => decision.wait = Some(wait),
        Err(why) => output::to_stderr(&format!(
            "notice: season: waiting is not weighed: {}",
            why.words()
        )),
    }
    decision.season = state(&season, decision, on);
    Ok(())
}

/// Where a day stands in the interval of the most exposed plant: that for oil, for all other work that of the cut.
fn state(season: &Season, decision: &Decision, on: NaiveDate) -> Option<SeasonState> {
    let work = if decision.operation.name == "oil" {
        SeasonWork::Oil
    } else {
        SeasonWork::Prune
    };
    let plant = season.exposed()?;
    let dates = match work {
        SeasonWork::Oil => plant.oil,
        SeasonWork::Prune => plant.prune.map(|prune| prune.dates),
    };
    let [buds_from, ..] = plant.bud_break;
    Some(SeasonState {
        year: season.year,
        kind: plant.plant.name.clone(),
        work,
        on,
        dates: dates
            .map(|dates| [dates.from, dates.to])
            .map_err(NoDates::words),
        buds_from,
    })
}

/// The season of a day in the half in which freezes end, else the next.
fn year_around(date: NaiveDate, hemisphere: Hemisphere) -> i32 {
    let window = Window {
        half: HalfName::Spring,
        hemisphere,
    };
    window.season_of(date) + i32::from(!window.holds(date))
}

/// The season under way, or the next: the half in which freezes end counts up to its middle.
fn year_of(date: NaiveDate, hemisphere: Hemisphere) -> i32 {
    let window = Window {
        half: HalfName::Spring,
        hemisphere,
    };
    let year = window.season_of(date);
    let is_early = window.dates(year).is_some_and(|(first, end)| {
        let days = end.signed_duration_since(first).num_days();
        date >= first && date.signed_duration_since(first).num_days() <= days / 2
    });
    year + i32::from(!is_early)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Counting: spring of the north has 212 days from 1 January, its middle is 16 April; of the south 215 from 1 July, its
    /// middle is 16 October.
    #[test]
    fn the_year_is_that_of_the_season_under_way_or_of_the_next() {
        for (date, north, south) in [
            ("2027-01-01", 2027, 2027),
            ("2027-04-16", 2027, 2027),
            ("2027-04-17", 2028, 2027),
            ("2027-07-01", 2028, 2027),
            ("2027-10-16", 2028, 2027),
            ("2027-10-17", 2028, 2028),
            ("2028-01-20", 2028, 2028),
        ] {
            let date = date.parse().unwrap();
            let years = [Hemisphere::North, Hemisphere::South].map(|side| year_of(date, side));
            assert_eq!(years, [north, south], "{date}");
        }
    }

    /// Counting: all of January to July in the north, of July to January in the south, belongs to its own season.
    #[test]
    fn a_day_is_held_against_its_own_season() {
        for (date, north, south) in [
            ("2027-04-30", 2027, 2027),
            ("2027-07-31", 2027, 2027),
            ("2027-08-01", 2028, 2027),
            ("2028-01-31", 2028, 2027),
            ("2028-02-01", 2028, 2028),
        ] {
            let date = date.parse().unwrap();
            let years = [Hemisphere::North, Hemisphere::South].map(|side| year_around(date, side));
            assert_eq!(years, [north, south], "{date}");
        }
    }

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
