//! The command `demo`: the job on a scenario built in, whose weather is invented, or its files to try.

use std::fs;
use std::path::Path;

use fairspell::decision::{Question, Surety, Units, decide_surely};
use fairspell::error::escaped;
use fairspell::operation::{OIL, Operation, PRUNE};
use fairspell::plant::PlantTable;
use fairspell::read::daily::{DailyOptions, read_daily};
use fairspell::read::{Source, parse_time, read_hourly};
use fairspell::season::{SeasonQuestion, SeasonSettings, season};
use fairspell::site::Site;
use fairspell::work::in_garden;
use fairspell_data::demo::{FORECAST, OBSERVED, SITE, STATION};

use crate::arguments::DemoArguments;
use crate::failure::Failure;
use crate::season::text as season_text;
use crate::terminal::width;
use crate::{output, text};

/// "Now" of the scenario.
const AT: &str = "2027-03-08T06:00-06:00";
/// Its season.
const YEAR: i32 = 2027;

/// Runs the command.
pub fn run(arguments: &DemoArguments) -> Result<(), Failure> {
    match &arguments.write {
        Some(folder) => write(folder),
        None => show(),
    }
}

fn show() -> Result<(), Failure> {
    let mut all = String::from(
        "An invented scenario (place and weather are made up). To run these commands\n\
         yourself, `fairspell demo --write DIR` lays its files down.\n",
    );
    for name in ["oil", "prune"] {
        all.push_str("\n$ fairspell decide ");
        all.push_str(name);
        all.push_str(" forecast.csv --site site.toml \\\n      --observed observed.csv --at ");
        all.push_str(AT);
        all.push_str("\n\n");
        all.push_str(&answer(name)?);
    }
    all.push_str("\n$ fairspell season station.csv --site site.toml --year ");
    all.push_str(&YEAR.to_string());
    all.push_str("\n\n");
    all.push_str(&season_answer()?);
    all.push_str("...\n");
    output::to_stdout(&all)
}

/// The first words of the season's plan.
fn season_answer() -> Result<String, Failure> {
    let site = Site::read(source("site.toml", SITE))?;
    let stations = read_daily(source("station.csv", STATION), DailyOptions::default())?;
    let mut answer = String::new();
    for station in stations {
        let season = season(&SeasonQuestion {
            record: &station.series,
            site: &site,
            table: &PlantTable::built_in(),
            year: YEAR,
            observed: None,
            settings: &SeasonSettings::default(),
        })?;
        answer.push_str(&season_text::short(&season, width(false)));
    }
    Ok(answer)
}

fn answer(name: &str) -> Result<String, Failure> {
    let site = Site::read(source("site.toml", SITE))?;
    let operation =
        Operation::read(source(name, if name == "oil" { OIL } else { PRUNE }))?.at_site(&site)?;
    let table = PlantTable::built_in();
    let operation = in_garden(operation, &site, &table)?;
    let mut forecast = read_hourly(source("forecast.csv", FORECAST), site.zone)?;
    let observed = read_hourly(source("observed.csv", OBSERVED), site.zone)?;
    if let (Some(member), Some(past)) = (forecast.members.first_mut(), observed.members.first()) {
        let joined = member.with_observed(past);
        *member = joined.map_err(|error| Failure::Observed {
            name: "observed.csv".to_owned(),
            error,
        })?;
    }
    let at =
        parse_time(AT, site.zone, None).map_err(|problem| Failure::Usage(problem.to_string()))?;
    let question = Question {
        forecast: &forecast,
        operation: &operation,
        site: &site,
        at,
        until: None,
        is_dry_now: false,
        is_strict: false,
        explain: None,
    };
    let mut decision = decide_surely(&question, &Surety::default())?;
    decision.lay_garden(&question, &table)?;
    Ok(text::text(&decision, Units::AsWritten, width(false)))
}

fn source<'a>(name: &'a str, text: &'a str) -> Source<'a> {
    Source {
        name,
        bytes: text.as_bytes(),
    }
}

/// Writes the scenario's files into a folder, and replaces none that is there.
fn write(folder: &Path) -> Result<(), Failure> {
    let fault = |path: &Path, error| Failure::CannotWrite {
        name: path.display().to_string(),
        error,
    };
    let files = [
        ("site.toml", SITE),
        ("forecast.csv", FORECAST),
        ("observed.csv", OBSERVED),
        ("station.csv", STATION),
        ("oil.toml", OIL),
        ("prune.toml", PRUNE),
    ];
    fs::create_dir_all(folder).map_err(|error| fault(folder, error))?;
    for (name, _) in files {
        let path = folder.join(name);
        if fs::symlink_metadata(&path).is_ok() {
            // a link to nowhere as well
            return Err(fault(
                &path,
                std::io::Error::other("it is there already; nothing was written"),
            ));
        }
    }
    for (name, content) in files {
        output::to_file(&folder.join(name), content)?;
    }
    let cd = cd(folder);
    output::to_stdout(&format!(
        "Wrote site.toml, forecast.csv, observed.csv, station.csv, oil.toml and prune.toml\n\
         (all weather invented). Try:\n\
         {cd}\n\
         fairspell decide oil forecast.csv --site site.toml --observed observed.csv --at {AT}\n\
         fairspell decide prune.toml forecast.csv --site site.toml --at {AT} --explain\n\
         fairspell decide oil forecast.csv --site site.toml --at {AT} --format html --output oil.html\n\
         fairspell season station.csv --site site.toml --year {YEAR}\n\
         fairspell season station.csv --site site.toml --year {YEAR} --format html --output plan.html\n",
    ))
}

/// The line that goes into a folder, as a POSIX shell reads it (POSIX.1-2017, 2.2.2: between single quotes every character is
/// itself). A name that cannot be shown as it is gives no command but a word about it.
fn cd(folder: &Path) -> String {
    let Some(name) = folder.to_str().filter(|name| escaped(name) == *name) else {
        return "# in that folder, whose name cannot be shown as it is:".to_owned();
    };
    let is_plain = |c: char| c.is_alphanumeric() || "/._-+,:@%".contains(c);
    let name = if name.starts_with('-') {
        format!("./{name}")
    } else {
        name.to_owned()
    };
    if !name.is_empty() && name.chars().all(is_plain) {
        format!("cd {name}")
    } else {
        format!("cd '{}'", name.replace('\'', r"'\''"))
    }
}
