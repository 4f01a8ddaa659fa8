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
use fairspell_data::demo::{DONE, FORECAST, OBSERVED, SITE, STATION};

use crate::arguments::DemoArguments;
use crate::failure::Failure;
use crate::lines::Lines;
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
    let mut lines = Lines::new(width(false));
    lines.wrapped(
        0,
        "An invented scenario (place and weather are made up). To run these commands yourself, `fairspell demo --write DIR` lays \
         its files down.",
    );
    for name in ["oil", "prune"] {
        let options = [
            "forecast.csv",
            "--site site.toml",
            "--observed observed.csv",
            &format!("--at {AT}"),
        ];
        command(&mut lines, &format!("fairspell decide {name}"), &options);
        lines.append(&answer(name)?);
    }
    let options = ["--site site.toml", &format!("--year {YEAR}")];
    command(&mut lines, "fairspell season station.csv", &options);
    lines.append(&season_answer()?);
    lines.raw("...");
    output::to_stdout(&lines.end())
}

/// A command behind its prompt, between blank lines.
fn command(lines: &mut Lines, begin: &str, options: &[&str]) {
    lines.blank();
    typed(lines, &format!("$ {begin}"), options);
    lines.blank();
}

/// A command as it is typed; where it is wider than the terminal, a line goes on behind a backslash (POSIX.1-2017, 2.2.1).
fn typed(lines: &mut Lines, begin: &str, options: &[&str]) {
    let mut line = begin.to_owned();
    for option in options {
        // Room for the backslash.
        if line.chars().count() + option.chars().count() + 3 > lines.width() {
            lines.raw(&format!("{line} \\"));
            line = format!("      {option}");
        } else {
            line = format!("{line} {option}");
        }
    }
    lines.raw(&line);
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
        ("done.csv", DONE),
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
    let mut lines = Lines::new(width(false));
    lines.wrapped(
        0,
        "Wrote site.toml, forecast.csv, observed.csv, station.csv, done.csv, oil.toml and prune.toml (weather and log invented). \
         Try:",
    );
    lines.raw(&cd(folder));
    tries(&mut lines);
    output::to_stdout(&lines.end())
}

/// The commands to try on the files.
fn tries(lines: &mut Lines) {
    let at = format!("--at {AT}");
    let year = format!("--year {YEAR}");
    let site = "--site site.toml";
    let tries: [(&str, &[&str]); 7] = [
        (
            "decide oil forecast.csv",
            &[site, "--observed observed.csv", &at],
        ),
        ("decide prune.toml forecast.csv", &[site, &at, "--explain"]),
        (
            "decide oil forecast.csv",
            &[site, &at, "--format html", "--output oil.html"],
        ),
        (
            "freeze station.csv",
            &[site, "--on 2027-04-10", "--risk 10%"],
        ),
        ("season station.csv", &[site, &year]),
        (
            "season station.csv",
            &[site, &year, "--format html", "--output plan.html"],
        ),
        ("hindcast oil forecast.csv", &[site, "--log done.csv"]),
    ];
    for (begin, options) in tries {
        typed(lines, &format!("fairspell {begin}"), options);
    }
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
