//! Hours that a program already has as columns of numbers, cleaned as those of a file are.
//!
//! Errors name the place as of a table: the row is the line, from 1, and the column is that of the values, from 2; the times
//! are column 1.

use super::clean::{Rejected, dew_point_notice, settle_dew_points};
use super::csv::header::{Role, role_of};
use super::{Format, Issued, MAX_FILE_HOURS, Notice, Reading, Source, series_problem};
use crate::error::{Excerpt, Place, ReadError, ReadProblem};
use crate::quantity::Unit;
use crate::series::{Column, Element, HOUR_S, HourlySeries};

/// One column: what it is, its unit, and a value for each time; NaN is missing.
pub type Values<'a> = (Element, Unit, &'a [f64]);

/// Hours as columns.
#[derive(Debug, Clone, Copy)]
pub struct Columns<'a> {
    /// The name by which messages call them.
    pub name: &'a str,
    /// Beginnings of the hours \[s since 1970 UTC\], each later than the one before, whole hours apart.
    pub times: &'a [i64],
    /// The columns, each of another element and as long as `times`.
    pub values: &'a [Values<'a>],
    /// When a forecast was issued.
    pub issued: Issued,
}

/// What a column is by the name that a plain CSV would give it, such as `temperature_f`; `None`: no weather, to be ignored.
///
/// # Errors
/// [`ReadProblem::Unit`] for a measure that is known in a unit that is not.
///
/// ```
/// use fairspell::{quantity::Unit, read::columns::named, series::Element};
/// assert_eq!(named("rain_in"), Ok(Some((Element::Rain, Unit::Inch))));
/// assert_eq!(named("sky"), Ok(None));
/// assert!(named("rain_ft").is_err());
/// ```
pub fn named(column: &str) -> Result<Option<(Element, Unit)>, ReadProblem> {
    Ok(match role_of(&column.to_ascii_lowercase())? {
        Role::Value(element, unit) => Some((element, unit)),
        _ => None,
    })
}

/// Columns to a series, as [`super::read_hourly`] makes it of a file: hours between that have no time are there without a row,
/// and a value that no weather can have becomes missing and is said.
///
/// # Errors
/// [`ReadError`] at a time that does not follow the one before by whole hours, a column of another length or unit, and more
/// hours than a file may have.
///
/// ```
/// use fairspell::{quantity::Unit, read::{Issued, columns::{Columns, read_columns}}, series::Element};
/// let reading = read_columns(Columns {
///     name: "columns",
///     times: &[0, 3600, 10_800],
///     values: &[(Element::Temperature, Unit::Fahrenheit, &[50.0, f64::NAN, 900.0])],
///     issued: Issued::Unknown,
/// })?;
/// let series = &reading.members[0];
/// assert_eq!((series.hours(), series.has_row(2)), (4, false));
/// assert_eq!(series.column(Element::Temperature).unwrap().at(3, Unit::Celsius), None); // 900 °F is no weather
/// assert_eq!(reading.notices.len(), 2);
/// # Ok::<(), fairspell::error::ReadError>(())
/// ```
pub fn read_columns(columns: Columns<'_>) -> Result<Reading, ReadError> {
    let (hours, count) = hours_of(columns)?;
    let mut rejected = Rejected::default();
    let mut laid = Vec::with_capacity(columns.values.len());
    for (place, values) in columns.values.iter().enumerate() {
        check(columns, place)?;
        let own = lay(columns, place, (&hours, count), &mut rejected);
        laid.push((values.0, values.1, own));
    }
    let above = settle(&mut laid);
    let mut has_row = vec![false; count];
    for hour in &hours {
        if let Some(has) = has_row.get_mut(*hour) {
            *has = true;
        }
    }
    let source = Source {
        name: columns.name,
        bytes: &[],
    };
    let fault = |error| fault(columns, 0, 0, series_problem(error));
    let start = columns.times.first().copied().unwrap_or_default();
    let mut series = HourlySeries::new(start, has_row).map_err(fault)?;
    for (element, unit, values) in laid {
        let column = Column::exact(values, unit);
        series.set_column(element, column).map_err(fault)?;
    }
    let gaps = (count > hours.len()).then(|| Notice::Gaps {
        file: columns.name.to_owned(),
        count: (count - hours.len()) as u64,
    });
    let notices = dew_point_notice(source, above).into_iter().chain(gaps);
    Ok(Reading {
        members: vec![series],
        issued: columns.issued,
        position: None,
        format: Format::PlainCsv,
        notices: notices.chain(rejected.notices()).collect(),
    })
}

fn fault(columns: Columns<'_>, row: usize, column: usize, problem: ReadProblem) -> ReadError {
    let place = Place::at(columns.name, row as u64, column as u64);
    ReadError { place, problem }
}

/// The hour of each time, counted from the first, and how many hours there are.
fn hours_of(columns: Columns<'_>) -> Result<(Vec<usize>, usize), ReadError> {
    let Some(first) = columns.times.first() else {
        let expected = "at least one row of weather";
        return Err(fault(columns, 0, 0, ReadProblem::Absent { expected }));
    };
    let mut hours: Vec<usize> = Vec::with_capacity(columns.times.len());
    let mut last = None;
    for (row, time) in (1..).zip(columns.times) {
        let found = || Excerpt::of(time.to_string().as_bytes());
        let problem = match last {
            Some(last) if last == time => Some(ReadProblem::Doubled { found: found() }),
            Some(last) if last > time => Some(ReadProblem::OutOfOrder { found: found() }),
            _ => None,
        };
        if let Some(problem) = problem {
            return Err(fault(columns, row, 1, problem));
        }
        last = Some(time);
        let apart = time.checked_sub(*first);
        let apart = apart.filter(|apart| apart / HOUR_S < MAX_FILE_HOURS);
        let apart = apart.ok_or_else(|| {
            let (limit, of) = (
                MAX_FILE_HOURS.unsigned_abs(),
                "hours from the first row to the last",
            );
            fault(columns, row, 1, ReadProblem::TooMuch { limit, of })
        })?;
        if apart % HOUR_S != 0 {
            let (step_minutes, found) = (60, found());
            let problem = ReadProblem::OffGrid {
                step_minutes,
                found,
            };
            return Err(fault(columns, row, 1, problem));
        }
        hours.push(usize::try_from(apart / HOUR_S).unwrap_or_default());
    }
    let count = hours.last().map_or(0, |last| last + 1);
    Ok((hours, count))
}

/// Length, unit, and that no element comes twice.
fn check(columns: Columns<'_>, place: usize) -> Result<(), ReadError> {
    let Some((element, unit, values)) = columns.values.get(place) else {
        return Ok(());
    };
    let earlier = columns.values.iter().take(place);
    let problem = if earlier.into_iter().any(|(known, ..)| known == element) {
        let (expected, found) = (
            "column of each measure",
            Excerpt::of(element.name().as_bytes()),
        );
        ReadProblem::Twice { expected, found }
    } else if unit.kind() != element.kind() {
        ReadProblem::Unit {
            expected: element.kind().expected(),
            of: element.name(),
            found: Excerpt::of(unit.symbol().as_bytes()),
        }
    } else if values.len() != columns.times.len() {
        let expected = "as many values as times";
        let found = Excerpt::of(values.len().to_string().as_bytes());
        ReadProblem::Field { expected, found }
    } else {
        return Ok(());
    };
    Err(fault(columns, 1, place + 2, problem))
}

/// The believed values of a column at their hours, NaN in between.
fn lay(
    columns: Columns<'_>,
    place: usize,
    (hours, count): (&[usize], usize),
    rejected: &mut Rejected,
) -> Vec<f64> {
    let mut laid = vec![f64::NAN; count];
    let Some((element, unit, values)) = columns.values.get(place) else {
        return laid;
    };
    for (row, (hour, value)) in hours.iter().zip(*values).enumerate() {
        let at = || {
            let found = Excerpt::of(value.to_string().as_bytes());
            (
                Place::at(columns.name, row as u64 + 1, place as u64 + 2),
                found,
            )
        };
        if let Some(own) = laid.get_mut(*hour) {
            *own = rejected.keep(*element, *value, *unit, at);
        }
    }
    laid
}

/// Settles dew points against temperatures; how many lay above.
fn settle(laid: &mut [(Element, Unit, Vec<f64>)]) -> u64 {
    let (mut temperature, mut dew_point) = (None, None);
    for (element, unit, values) in laid {
        match element {
            Element::Temperature => temperature = Some((values.as_mut_slice(), *unit)),
            Element::DewPoint => dew_point = Some((values.as_mut_slice(), *unit)),
            _ => {}
        }
    }
    match (temperature, dew_point) {
        (Some(temperature), Some(dew_point)) => settle_dew_points(temperature, dew_point),
        _ => 0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::read_hourly;

    /// The same hours as a file and as columns: the same series, with a gap, a blank, a value that no weather has, and a dew
    /// point above the temperature.
    #[test]
    fn columns_are_cleaned_as_a_file_is() {
        let csv = "time,temperature_f,dew_point_f,rain_in\n1970-01-01T00:00Z,50,40,0\n\
            1970-01-01T01:00Z,,40,0.01\n1970-01-01T03:00Z,900,40,\n1970-01-01T04:00Z,50,60,0\n";
        let file = Source {
            name: "f",
            bytes: csv.as_bytes(),
        };
        let of_file = read_hourly(file, None).unwrap();
        let nan = f64::NAN;
        let of_columns = read_columns(Columns {
            name: "f",
            times: &[0, 3600, 10_800, 14_400],
            values: &[
                (
                    Element::Temperature,
                    Unit::Fahrenheit,
                    &[50.0, nan, 900.0, 50.0],
                ),
                (
                    Element::DewPoint,
                    Unit::Fahrenheit,
                    &[40.0, 40.0, 40.0, 60.0],
                ),
                (Element::Rain, Unit::Inch, &[0.0, 0.01, nan, 0.0]),
            ],
            issued: Issued::Unknown,
        })
        .unwrap();
        // NaN differs from itself, so the two are compared as they are printed.
        assert_eq!(
            format!("{:?}", of_file.members),
            format!("{:?}", of_columns.members)
        );
        assert_eq!(of_file.notices.len(), of_columns.notices.len());
    }

    /// Each fault has its row and column; an extreme time does not overflow.
    #[test]
    fn faults_have_their_place() {
        let temperature = (Element::Temperature, Unit::Celsius);
        let of = |times: &[i64], values: &[Values<'_>]| {
            let issued = Issued::Unknown;
            let columns = Columns {
                name: "c",
                times,
                values,
                issued,
            };
            read_columns(columns).unwrap_err().to_string()
        };
        let two = [1.0, 2.0];
        let one = [(temperature.0, temperature.1, two.as_slice())];
        assert_eq!(
            of(&[], &[]),
            "c: expected at least one row of weather, found none"
        );
        assert!(of(&[3600, 0], &one).starts_with("c:2:1: expected a time after the row above"));
        assert!(of(&[0, 0], &one).starts_with("c:2:1: expected each hour once"));
        assert!(of(&[0, 1800], &one).starts_with("c:2:1: expected a time on the file's grid"));
        assert!(of(&[0, i64::MAX], &one).starts_with("c:2:1: expected at most"));
        assert!(of(&[i64::MIN, i64::MAX], &one).starts_with("c:2:1: expected at most"));
        assert_eq!(
            of(&[0], &one),
            "c:1:2: expected as many values as times, found \"2\""
        );
        let wrong = [(Element::Rain, Unit::Celsius, two.as_slice())];
        assert!(of(&[0, 3600], &wrong).contains("as the unit of rain"));
        let twice = [one[0], one[0]];
        assert!(of(&[0, 3600], &twice).contains("expected one column of each measure"));
    }
}
