//! The command `fairspell`: files, the clock and the terminal around the core, which has none of them.
//!
//! [`main`] is the whole program. [`drawing`] gives its pictures of answers to other programs, such as the Python package.
//! [`command_line`] is what man pages and completions are made from.
//!
//! `cargo install fairspell-cli` installs the program; `fairspell demo` shows the job, and every command has its `--help`. The
//! last freeze of the demo's station, which is invented, as a picture:
//!
//! ```
//! use fairspell::freeze::{Asked, Settings, StationFreezes};
//! use fairspell::quantity::{Quantity, Unit};
//! use fairspell::read::{Source, daily::{DailyOptions, read_daily}};
//! use fairspell::site::Hemisphere;
//!
//! let bytes = fairspell_data::demo::STATION.as_bytes();
//! let records = read_daily(Source { name: "station.csv", bytes }, DailyOptions::default())?;
//! let freezes = StationFreezes::new(&records[0], &Settings {
//!     thresholds: vec![Quantity { value: 32.0, unit: Unit::Fahrenheit }],
//!     hemisphere: Hemisphere::North,
//!     keeps_suspect: false,
//!     seed: 1,
//!     replicates: 20, // the program takes more
//!     is_brief: false,
//! });
//! let svg = fairspell_cli::drawing::freezes(&freezes, Asked { on: None, risk: None });
//! assert!(svg.starts_with("<svg") && svg.contains("invented-1"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod answers;
mod arguments;
mod calendar;
mod clock;
mod decide;
mod demo;
pub mod drawing;
mod failure;
mod freeze;
mod freeze_page;
mod freeze_picture;
mod freeze_table;
mod freeze_text;
mod freeze_words;
mod hindcast;
mod hindcast_forecasts;
mod hindcast_page;
mod hindcast_picture;
mod hindcast_table;
mod hindcast_text;
mod hindcast_words;
mod input;
mod line;
mod lines;
mod markup;
mod options;
mod output;
mod page;
mod picture;
mod place;
mod progress;
mod records;
mod rules;
mod season;
mod stations;
mod terminal;
mod text;
mod unbroken;

use std::process::ExitCode;

use clap::error::ErrorKind;
use clap::{CommandFactory as _, Parser as _};

use arguments::{Arguments, Command};
use failure::Failure;
use fairspell::decision::Verdict;

/// How a run ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Outcome {
    /// Go, or the command did its work.
    Done,
    /// No-go.
    NoGo,
    /// Error in usage or input.
    Error,
    /// Cannot tell.
    CannotTell,
}

impl From<Verdict> for Outcome {
    fn from(verdict: Verdict) -> Self {
        match verdict {
            Verdict::Go => Self::Done,
            Verdict::NoGo => Self::NoGo,
            Verdict::CannotTell => Self::CannotTell,
        }
    }
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> Self {
        match outcome {
            Outcome::Done => Self::SUCCESS,
            Outcome::NoGo => Self::from(1),
            Outcome::Error => Self::from(2),
            Outcome::CannotTell => Self::from(3),
        }
    }
}

/// Runs the program on the arguments of the process; how it ended.
#[must_use]
pub fn main() -> ExitCode {
    run()
        .unwrap_or_else(|failure| {
            let remedy = options::remedy(&failure).map(|remedy| format!("; {remedy}"));
            output::to_stderr(&format!("{failure}{}", remedy.unwrap_or_default()));
            Outcome::Error
        })
        .into()
}

/// Commands, options and help texts, as clap knows them: for man pages, completions and whatever else describes the program.
///
/// # Examples
/// ```
/// let program = fairspell_cli::command_line();
/// assert!(program.get_subcommands().any(|command| command.get_name() == "decide"));
/// ```
#[must_use]
pub fn command_line() -> clap::Command {
    Arguments::command()
}

fn run() -> Result<Outcome, Failure> {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error)
            if matches!(
                error.kind(),
                ErrorKind::DisplayHelp | ErrorKind::DisplayVersion
            ) =>
        {
            output::to_stdout(&error.render().ansi().to_string())?;
            return Ok(Outcome::Done);
        }
        Err(error) => return Err(Failure::Usage(one_line(&error))),
    };
    match arguments.command {
        Command::Decide(arguments) => decide::run(&arguments).map(Outcome::from),
        Command::Freeze(arguments) => freeze::run(&arguments).map(|()| Outcome::Done),
        Command::Season(arguments) => season::run(&arguments).map(|()| Outcome::Done),
        Command::Hindcast(arguments) => hindcast::run(&arguments).map(|()| Outcome::Done),
        Command::Demo(arguments) => demo::run(&arguments).map(|()| Outcome::Done),
    }
}

/// A usage error in one line, as all errors are.
fn one_line(error: &clap::Error) -> String {
    if error.kind() == ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand {
        return "expected a command, found none; fairspell --help shows them".to_owned();
    }
    let rendered = error.render().to_string();
    let words = rendered
        .lines()
        .take_while(|line| !line.starts_with("Usage:"))
        .map(str::trim);
    let line = words
        .filter(|line| {
            !line.is_empty()
                && !line.starts_with("For more information")
                && !line.starts_with("tip:")
        })
        .collect::<Vec<_>>();
    let line = line.join(" ");
    let line = line.strip_prefix("error: ").unwrap_or(&line);
    format!(
        "{}; fairspell --help shows the usage",
        fairspell::error::escaped(line)
    )
}
