//! The command `decide`: arguments and files to a question, and the answer in the format asked for.

use std::io::{IsTerminal as _, stderr};

use fairspell::decision::{Decision, ExplainAt, Question, Surety, Units, Verdict, decide_surely};
use fairspell::error::Excerpt;
use fairspell::hindcast::{self, Hindcast, hindcast};
use fairspell::operation::Operation;
use fairspell::plant::PlantTable;
use fairspell::quantity::{Kind, Quantity, number_of};
use fairspell::read::{Format as FileFormat, Notice, Reading, read_hourly};
use fairspell::season::Waiting;
use fairspell::series::HourlySeries;
use fairspell::site::Site;
use fairspell::work::in_garden;

use crate::arguments::{DecideArguments, Format, UnitSystem};
use crate::failure::Failure;
use crate::input::Input;
use crate::progress::Progress;
use crate::records::joined;
use crate::stations::HourOptions;
use crate::{calendar, clock, line, output, page, picture, place, rules, season, terminal, text};

/// A question with all that it borrows.
pub struct Case {
    /// The forecast, with observed hours before it where they were given.
    pub forecast: Reading,
    /// The operation with the site's limits.
    pub operation: Operation,
    /// The place.
    pub site: Site,
    /// The plants table.
    pub table: PlantTable,
    /// Now.
    pub at: i64,
    /// End of the window, if not that of the day.
    pub until: Option<i64>,
}

/// Runs the command and prints or writes the answer.
pub fn run(arguments: &DecideArguments) -> Result<Verdict, Failure> {
    check(arguments)?;
    let alarm_min = arguments
        .alarm
        .as_deref()
        .map(|text| duration_s("--alarm", text))
        .transpose()?
        .map(|s| s / 60);
    let case = case(arguments)?;
    let explain = match arguments.explain.as_deref() {
        None => None,
        Some("") => Some(ExplainAt::Best),
        Some(time) => Some(ExplainAt::Time(clock::time_of(
            "--explain",
            time,
            case.site.zone,
        )?)),
    };
    let surety = surety(arguments)?;
    let question = Question {
        forecast: &case.forecast,
        operation: &case.operation,
        site: &case.site,
        at: case.at,
        until: case.until,
        is_dry_now: arguments.dry_now,
        is_strict: arguments.strict,
        explain,
    };
    let mut decision = decide_surely(&question, &surety)?;
    if explain.is_some() && decision.explained.is_none() {
        let words = "expected an hour of the forecast from --at on for --explain, found none there";
        return Err(Failure::Usage(words.to_owned()));
    }
    decision.lay_garden(&question, &case.table)?;
    if let Some(record) = &arguments.record {
        let past = past(&arguments.past, &case)?;
        let waiting = Waiting {
            missed: missed_loss(arguments.missed_loss.as_deref())?,
            past: past.as_ref(),
        };
        let record = (record.as_str(), arguments.record_units);
        season::stand(record, (&case.site, &case.table), &mut decision, waiting)?;
    }
    let units = UnitSystem::shown(arguments.units);
    let width = terminal::width(arguments.output.is_some());
    let series = case.forecast.members.first();
    let answer = render(
        arguments.format,
        &decision,
        series,
        (units, alarm_min, width),
    );
    match &arguments.output {
        Some(path) => output::to_file(path, &answer)?,
        None if arguments.format == Format::Text => output::to_stdout(&text::emphasised(&answer))?,
        None => output::to_stdout(&answer)?,
    }
    Ok(decision.verdict)
}

/// What the rules would have said of past hours; `None` where there are none.
fn past(names: &[String], case: &Case) -> Result<Option<Hindcast>, Failure> {
    if names.is_empty() {
        return Ok(None);
    }
    let options = HourOptions {
        zone: case.site.zone,
    };
    let stations = joined(names, options, &Progress::new(stderr().is_terminal()))?;
    let [reading] = stations.as_slice() else {
        let count = stations.len();
        let words = format!("--past: expected the hours of one station, found {count} stations");
        return Err(Failure::Usage(words));
    };
    let answer = hindcast(&hindcast::Question {
        station: &reading.station,
        past: &reading.hours,
        position: reading.position,
        operation: &case.operation,
        site: &case.site,
        season: None,
        log: &[],
        forecasts: &[],
        is_brief: false,
    })?;
    let of_hours = answer.notices.iter().cloned();
    for notice in of_hours.chain(reading.notices.iter().map(Notice::to_string)) {
        output::to_stderr(&format!("notice: past: {notice}"));
    }
    Ok(Some(answer))
}

/// What is asked about confidence.
fn surety(arguments: &DecideArguments) -> Result<Surety, Failure> {
    let least = arguments.min_confidence.as_deref().map(|text| {
        let share = Quantity::parse(text, Kind::Fraction).map(Quantity::si).ok();
        let share = share.filter(|share| (0.0..=100.0).contains(share));
        share.map(|share| share / 100.0).ok_or_else(|| {
            let found = Excerpt::of(text.as_bytes());
            let words = "--min-confidence: expected a share from 0% to 100% such as 70%, found";
            Failure::Usage(format!("{words} {found}"))
        })
    });
    Ok(Surety {
        least: least.transpose()?,
        ..Surety::default()
    })
}

fn render(
    format: Format,
    decision: &Decision,
    series: Option<&HourlySeries>,
    (units, alarm_min, width): (Units, Option<i64>, usize),
) -> String {
    match (format, series) {
        (Format::Json, _) => decision.to_json() + "\n",
        (Format::Line, _) => line::line(decision) + "\n",
        (Format::Ics, _) => calendar::calendar(decision, units, alarm_min),
        (Format::Svg, Some(series)) => picture::svg(decision, series, units),
        (Format::Html, Some(series)) => page::html(decision, series, units),
        _ => text::text(decision, units, width),
    }
}

/// Arguments that do not go together.
fn check(arguments: &DecideArguments) -> Result<(), Failure> {
    let inputs = [
        Some(&arguments.forecast),
        arguments.observed.as_ref(),
        arguments.record.as_ref(),
        arguments.plants.as_ref(),
        arguments.place.site.as_ref(),
    ];
    let past = arguments.past.iter().map(Some);
    let operation =
        Some(&arguments.operation).filter(|operation| Operation::built_in(operation).is_none());
    let inputs = inputs.into_iter().chain(past).chain([operation]).flatten();
    output::check_apart(arguments.output.as_deref(), inputs.clone())?;
    let from_stdin = inputs.filter(|name| *name == "-").count();
    let wrong = if from_stdin > 1 {
        "expected standard input (-) for one input at most, found it for two or more"
    } else if arguments.explain.is_some()
        && !matches!(arguments.format, Format::Text | Format::Json)
    {
        "expected --format text or json beside --explain, found another"
    } else if arguments.alarm.is_some() && arguments.format != Format::Ics {
        "expected --format ics beside --alarm, found another"
    } else {
        return Ok(());
    };
    Err(Failure::Usage(wrong.to_owned()))
}

fn case(arguments: &DecideArguments) -> Result<Case, Failure> {
    let site = place::site(&arguments.place)?;
    let table = season::table_of(arguments.plants.as_deref())?;
    let operation = rules::operation(&arguments.operation)?.at_site(&site)?;
    let operation = in_garden(operation, &site, &table)?;
    let input = Input::read(&arguments.forecast)?;
    let mut forecast = read_hourly(input.source(), site.zone)?;
    say(&forecast);
    if matches!(
        forecast.format,
        FileFormat::NwsObservations | FileFormat::GhcnHourly
    ) {
        let words = "expected a forecast, found station observations; they go with --observed";
        return Err(Failure::Usage(format!(
            "{}: {words}",
            fairspell::error::escaped(&arguments.forecast)
        )));
    }
    if let Some(name) = &arguments.observed {
        let input = Input::read(name)?;
        let observed = read_hourly(input.source(), site.zone)?;
        say(&observed);
        forecast = with_observed(forecast, &observed, name)?;
        forecast.notices.extend(observed.notices);
    }
    let site = place::with_zone(site)?;
    let at = clock::now_or(arguments.at.as_deref(), site.zone)?;
    let within = arguments
        .within
        .as_deref()
        .map(|text| duration_s("--within", text))
        .transpose()?;
    let until = within.map(|seconds| at.saturating_add(seconds));
    Ok(Case {
        forecast,
        operation,
        site,
        table,
        at,
        until,
    })
}

/// Notices of a reader, one line each.
fn say(reading: &Reading) {
    for notice in &reading.notices {
        output::to_stderr(&format!("notice: {notice}"));
    }
}

fn with_observed(
    mut forecast: Reading,
    observed: &Reading,
    name: &str,
) -> Result<Reading, Failure> {
    let [past] = observed.members.as_slice() else {
        let words = "expected observed hours without members, found an ensemble";
        return Err(Failure::Usage(format!(
            "{}: {words}",
            fairspell::error::escaped(name)
        )));
    };
    for member in &mut forecast.members {
        let joined = member.with_observed(past);
        *member = joined.map_err(|error| Failure::Observed {
            name: name.to_owned(),
            error,
        })?;
    }
    Ok(forecast)
}

/// The loss of letting the season pass undone, if another than the usual is given.
fn missed_loss(text: Option<&str>) -> Result<Option<f64>, Failure> {
    let loss = |text: &str| {
        let loss = number_of(text).filter(|loss| (0.0..=1000.0).contains(loss));
        loss.ok_or_else(|| {
            let found = Excerpt::of(text.as_bytes());
            let words = "expected a number from 0 to 1000, 1 being a plant's shoots, found";
            Failure::Usage(format!("--missed-loss: {words} {found}"))
        })
    };
    text.map(loss).transpose()
}

fn duration_s(argument: &str, text: &str) -> Result<i64, Failure> {
    let hours = Quantity::parse(text, Kind::Duration)
        .map(Quantity::si)
        .ok()
        .filter(|hours| *hours > 0.0);
    let hours = hours.filter(|hours| *hours <= 384.0).ok_or_else(|| {
        let found = Excerpt::of(text.as_bytes());
        let words = "expected a length of time such as 36h or 30min, at most 384h, found";
        Failure::Usage(format!("{argument}: {words} {found}"))
    })?;
    #[expect(clippy::cast_possible_truncation, reason = "between 0 and 384 hours")]
    Ok((hours * 3600.0).round() as i64)
}
