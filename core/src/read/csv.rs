//! Plain hourly CSV: a header of measure and unit, a row an hour, blanks where nothing is known.
//!
//! Rows every 15, 20 or 30 minutes are brought to whole UTC hours: rain is summed, other values become the least
//! and the greatest of the hour; an hour of which a part is missing is missing, and its rain has a lower bound
//! alone. With a `member` column each member of the ensemble becomes a series; a `station` column may name one
//! station.

use chrono_tz::Tz;

use super::clean::{Rejected, settle_dew_points};
use super::{
    Format, Issued, MAX_COLUMNS, MAX_FILE_HOURS, MAX_LINE_BYTES, MAX_MEMBERS, Notice, Reading,
    Source, fault_at, fault_whole, parse_time,
};
use crate::error::{Excerpt, Place, ReadError, ReadProblem, SeriesError, escaped};
use crate::quantity::{Unit, number_of};
use crate::series::{Amount, Amounts, Column, Element, HOUR_S, HourlySeries, micrometres};

/// What a column of the file is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Role {
    Time,
    Issued,
    Member,
    Station,
    Value(Element, Unit),
    Ignored,
}

/// The rows of one member, column by column.
#[derive(Debug)]
struct Rows {
    member: Vec<u8>,
    times: Vec<i64>,
    offsets: Vec<usize>,
    values: Vec<Vec<f64>>,
}

/// A file that is being read.
struct Table<'a> {
    source: Source<'a>,
    zone: Option<Tz>,
    roles: Vec<Role>,
    elements: Vec<(Element, Unit)>,
    members: Vec<Rows>,
    rejected: Rejected,
    issued: Issued,
    issued_text: Vec<u8>,
    station: Option<Vec<u8>>,
}

/// Reads plain hourly CSV; local times are placed in `zone`.
pub(super) fn read(source: Source<'_>, zone: Option<Tz>) -> Result<Reading, ReadError> {
    check_lines(source)?;
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(source.bytes);
    let mut record = csv::ByteRecord::new();
    if !next_row(&mut reader, &mut record) {
        return Err(fault_whole(source, ReadProblem::Empty));
    }
    let header_at = row_start(source, &record);
    let (roles, ignored) = header(source, &record, header_at)?;
    let mut table = Table::new(source, zone, roles);
    while next_row(&mut reader, &mut record) {
        table.row(&record)?;
    }
    table.into_reading(&ignored)
}

/// The next row that is not blank; the reader itself cannot fail on bytes in memory with flexible rows.
fn next_row(reader: &mut csv::Reader<&[u8]>, record: &mut csv::ByteRecord) -> bool {
    while reader.read_byte_record(record).unwrap_or(false) {
        if record.len() > 1 || record.iter().any(|field| !field.is_empty()) {
            return true;
        }
    }
    false
}

fn check_lines(source: Source<'_>) -> Result<(), ReadError> {
    let mut start = 0;
    for line in source.bytes.split(|byte| *byte == b'\n') {
        if line.len() > MAX_LINE_BYTES {
            let problem = ReadProblem::TooMuch {
                limit: MAX_LINE_BYTES as u64,
                of: "bytes in a line",
            };
            return Err(fault_at(source, start + MAX_LINE_BYTES, problem));
        }
        start += line.len() + 1;
    }
    Ok(())
}

/// First byte of a row: the reader's position may lie before line ends that it skipped.
fn row_start(source: Source<'_>, record: &csv::ByteRecord) -> usize {
    let at = record
        .position()
        .and_then(|position| usize::try_from(position.byte()).ok())
        .unwrap_or(0);
    let rest = source.bytes.get(at..).unwrap_or_default();
    at + rest
        .iter()
        .take_while(|byte| byte.is_ascii_whitespace())
        .count()
}

/// The place of field `index` in the row that starts at `at`, found by walking the raw bytes past quotes.
fn field_place(source: Source<'_>, at: usize, index: usize) -> Place {
    let (mut quoted, mut fields, mut offset) = (false, 0, at);
    for byte in source.bytes.get(at..).unwrap_or_default() {
        if fields == index || (*byte == b'\n' && !quoted) {
            break;
        }
        quoted ^= *byte == b'"';
        fields += usize::from(*byte == b',' && !quoted);
        offset += 1;
    }
    Place::of_byte(source.name, source.bytes, offset)
}

type Header = (Vec<Role>, Vec<String>);

fn header(source: Source<'_>, record: &csv::ByteRecord, at: usize) -> Result<Header, ReadError> {
    let fault = |index, problem| ReadError {
        place: field_place(source, at, index),
        problem,
    };
    if record.len() > MAX_COLUMNS {
        return Err(fault(
            MAX_COLUMNS,
            ReadProblem::TooMuch {
                limit: MAX_COLUMNS as u64,
                of: "columns",
            },
        ));
    }
    let mut roles: Vec<Role> = Vec::new();
    let mut ignored = Vec::new();
    for (index, field) in record.iter().enumerate() {
        let name = String::from_utf8_lossy(field).to_ascii_lowercase();
        let role = role_of(&name).map_err(|problem| fault(index, problem))?;
        let same = |other: &Role| match (role, *other) {
            (Role::Value(element, _), Role::Value(earlier, _)) => element == earlier,
            (Role::Ignored, _) => false,
            (role, other) => role == other,
        };
        if roles.iter().any(same) {
            let problem = ReadProblem::Twice {
                expected: "column of a measure",
                found: Excerpt::of(field),
            };
            return Err(fault(index, problem));
        }
        if role == Role::Ignored {
            ignored.push(escaped(&name));
        }
        roles.push(role);
    }
    if !roles.contains(&Role::Time) {
        let found = Excerpt::of(
            source
                .bytes
                .get(at..)
                .unwrap_or_default()
                .split(|b| *b == b'\n')
                .next()
                .unwrap_or(b""),
        );
        return Err(fault(0, ReadProblem::UnknownFormat { found }));
    }
    if !roles.iter().any(|role| matches!(role, Role::Value(..))) {
        return Err(fault(
            0,
            ReadProblem::Absent {
                expected: "a column of weather such as temperature_f or rain_in",
            },
        ));
    }
    Ok((roles, ignored))
}

/// Measures of a header, longest name first, with the units that they take.
const MEASURES: [(&str, Element, &str); 9] = [
    ("rain_chance", Element::RainChance, "rain_chance_pct"),
    (
        "temperature",
        Element::Temperature,
        "temperature_f or temperature_c",
    ),
    ("dew_point", Element::DewPoint, "dew_point_f or dew_point_c"),
    ("humidity", Element::Humidity, "humidity_pct"),
    ("cloud", Element::Cloud, "cloud_pct"),
    ("rain", Element::Rain, "rain_in or rain_mm"),
    ("snow", Element::Snow, "snow_in or snow_mm"),
    (
        "wind",
        Element::Wind,
        "wind_mph, wind_kmh, wind_ms or wind_kt",
    ),
    (
        "gust",
        Element::Gust,
        "gust_mph, gust_kmh, gust_ms or gust_kt",
    ),
];

/// Short last words of a column that are no unit: `wind_dir` is a column of its own and ignored.
const NO_UNITS: [&str; 7] = ["dir", "max", "min", "avg", "mean", "code", "flag"];
/// Most different steps that are counted to find the most common one.
const MAX_STEPS: usize = 64;
/// Longest last word that is taken for a unit; `wind_direction` is a column of its own.
const LONGEST_UNIT: usize = 6;

fn role_of(name: &str) -> Result<Role, ReadProblem> {
    match name {
        "time" => return Ok(Role::Time),
        "issued" => return Ok(Role::Issued),
        "member" => return Ok(Role::Member),
        "station" => return Ok(Role::Station),
        _ => {}
    }
    for (measure, element, expected) in MEASURES {
        let Some(rest) = name.strip_prefix(measure) else {
            continue;
        };
        let unit = rest.strip_prefix('_').unwrap_or(rest);
        if !rest.is_empty() && !rest.starts_with('_') {
            continue;
        }
        if let Some(unit) = unit_of(unit).filter(|unit| unit.kind() == element.kind()) {
            return Ok(Role::Value(element, unit));
        }
        if unit.len() <= LONGEST_UNIT && !unit.contains('_') && !NO_UNITS.contains(&unit) {
            return Err(ReadProblem::Unit {
                expected,
                of: element.name(),
                found: Excerpt::of(unit.as_bytes()),
            });
        }
    }
    Ok(Role::Ignored)
}

fn unit_of(name: &str) -> Option<Unit> {
    Some(match name {
        "f" => Unit::Fahrenheit,
        "c" => Unit::Celsius,
        "in" => Unit::Inch,
        "mm" => Unit::Millimetre,
        "pct" => Unit::Percent,
        "mph" => Unit::MilePerHour,
        "kmh" => Unit::KilometrePerHour,
        "ms" => Unit::MetrePerSecond,
        "kt" => Unit::Knot,
        _ => return None,
    })
}

fn expected_value(element: Element) -> &'static str {
    match element {
        Element::Temperature => "a temperature or a blank",
        Element::DewPoint => "a dew point or a blank",
        Element::Rain => "a depth of rain or a blank",
        Element::Snow => "a depth of snow or a blank",
        Element::RainChance | Element::Humidity | Element::Cloud => "a percentage or a blank",
        Element::Wind | Element::Gust => "a speed of wind or a blank",
    }
}

impl<'a> Table<'a> {
    fn new(source: Source<'a>, zone: Option<Tz>, roles: Vec<Role>) -> Self {
        let elements = roles.iter().filter_map(|role| match role {
            Role::Value(element, unit) => Some((*element, *unit)),
            _ => None,
        });
        Self {
            source,
            zone,
            elements: elements.collect(),
            members: Vec::new(),
            rejected: Rejected::default(),
            issued: Issued::Unknown,
            issued_text: Vec::new(),
            station: None,
            roles,
        }
    }

    fn row(&mut self, record: &csv::ByteRecord) -> Result<(), ReadError> {
        let at = row_start(self.source, record);
        let source = self.source;
        let fault = |index: usize, problem| ReadError {
            place: field_place(source, at, index),
            problem,
        };
        if record.len() != self.roles.len() {
            let found = Excerpt::of(
                source
                    .bytes
                    .get(at..)
                    .unwrap_or_default()
                    .split(|b| *b == b'\n')
                    .next()
                    .unwrap_or(b""),
            );
            let index = record.len().min(self.roles.len());
            return Err(fault(
                index,
                ReadProblem::Field {
                    expected: "as many fields as the header has",
                    found,
                },
            ));
        }
        let field = |role: Role| {
            self.roles
                .iter()
                .position(|own| *own == role)
                .and_then(|at| record.get(at))
        };
        let member = self.member(field(Role::Member).unwrap_or_default(), at)?;
        let (time_at, time) = self
            .time(record, member)
            .map_err(|(index, problem)| fault(index, problem))?;
        self.issued(record)
            .map_err(|(index, problem)| fault(index, problem))?;
        self.station(record)
            .map_err(|(index, problem)| fault(index, problem))?;
        let mut values = Vec::with_capacity(self.elements.len());
        for (index, (role, field)) in self.roles.iter().zip(record).enumerate() {
            if let Role::Value(element, unit) = *role {
                let value = if field.is_empty() {
                    Some(f64::NAN)
                } else {
                    text(field).and_then(number_of)
                };
                let found = || Excerpt::of(field);
                let value = value.ok_or_else(|| {
                    fault(
                        index,
                        ReadProblem::Field {
                            expected: expected_value(element),
                            found: found(),
                        },
                    )
                })?;
                let place = || (field_place(source, at, index), found());
                values.push(self.rejected.keep(element, value, unit, place));
            }
        }
        let Some(rows) = self.members.get_mut(member) else {
            return Ok(());
        };
        if let Some(last) = rows.times.last().filter(|last| **last >= time) {
            let found = Excerpt::of(record.get(time_at).unwrap_or_default());
            let doubled = *last == time;
            let problem = if doubled {
                ReadProblem::Doubled { found }
            } else {
                ReadProblem::OutOfOrder { found }
            };
            return Err(fault(time_at, problem));
        }
        rows.times.push(time);
        rows.offsets.push(at);
        for (column, value) in rows.values.iter_mut().zip(values) {
            column.push(value);
        }
        Ok(())
    }

    fn member(&mut self, name: &[u8], at: usize) -> Result<usize, ReadError> {
        let last = self.members.len().wrapping_sub(1);
        if self
            .members
            .get(last)
            .is_some_and(|rows| rows.member == name)
        {
            return Ok(last);
        }
        if let Some(index) = self.members.iter().position(|rows| rows.member == name) {
            return Ok(index);
        }
        if self.members.len() == MAX_MEMBERS {
            let problem = ReadProblem::TooMuch {
                limit: MAX_MEMBERS as u64,
                of: "members",
            };
            return Err(fault_at(self.source, at, problem));
        }
        let values = vec![Vec::new(); self.elements.len()];
        self.members.push(Rows {
            member: name.to_vec(),
            times: Vec::new(),
            offsets: Vec::new(),
            values,
        });
        Ok(self.members.len() - 1)
    }

    fn time(
        &self,
        record: &csv::ByteRecord,
        member: usize,
    ) -> Result<(usize, i64), (usize, ReadProblem)> {
        let index = self
            .roles
            .iter()
            .position(|role| *role == Role::Time)
            .unwrap_or(0);
        let field = text(record.get(index).unwrap_or_default()).unwrap_or_default();
        let after = self
            .members
            .get(member)
            .and_then(|rows| rows.times.last().copied());
        parse_time(field, self.zone, after)
            .map(|time| (index, time))
            .map_err(|problem| (index, problem))
    }

    /// The oldest time of issue counts, and one blank makes the whole file as good as stale.
    fn issued(&mut self, record: &csv::ByteRecord) -> Result<(), (usize, ReadProblem)> {
        let Some(index) = self.roles.iter().position(|role| *role == Role::Issued) else {
            return Ok(());
        };
        let field = record.get(index).unwrap_or_default();
        if field.is_empty() {
            self.issued = Issued::Blank;
        } else if self.issued != Issued::Blank
            && (self.issued == Issued::Unknown || self.issued_text != field)
        {
            let time = parse_time(text(field).unwrap_or_default(), self.zone, None)
                .map_err(|problem| (index, problem))?;
            self.issued = match self.issued {
                Issued::At(earlier) => Issued::At(earlier.min(time)),
                _ => Issued::At(time),
            };
            self.issued_text = field.to_vec();
        }
        Ok(())
    }

    fn station(&mut self, record: &csv::ByteRecord) -> Result<(), (usize, ReadProblem)> {
        let Some(index) = self.roles.iter().position(|role| *role == Role::Station) else {
            return Ok(());
        };
        let field = record.get(index).unwrap_or_default();
        match &self.station {
            Some(station) if station.as_slice() != field => Err((
                index,
                ReadProblem::SecondStation {
                    found: Excerpt::of(field),
                },
            )),
            Some(_) => Ok(()),
            None => {
                self.station = Some(field.to_vec());
                Ok(())
            }
        }
    }

    fn into_reading(mut self, ignored: &[String]) -> Result<Reading, ReadError> {
        let grid = self.grid()?;
        let file = || self.source.name.to_owned();
        let mut notices = Vec::new();
        if !ignored.is_empty() {
            notices.push(Notice::IgnoredColumns {
                file: file(),
                names: ignored.join(", "),
            });
        }
        if grid.step_s < HOUR_S {
            notices.push(Notice::SubHourly {
                file: file(),
                minutes: grid.step_minutes(),
            });
        }
        let rows = core::mem::take(&mut self.members);
        let mut members = Vec::with_capacity(rows.len());
        let mut gaps = 0;
        for rows in rows {
            let series = self.series(rows, &grid, &mut notices);
            let series = series.map_err(|error| fault_whole(self.source, series_problem(error)))?;
            gaps += (0..series.hours())
                .filter(|hour| !series.has_row(*hour))
                .count() as u64;
            members.push(series);
        }
        if gaps > 0 {
            notices.push(Notice::Gaps {
                file: self.source.name.to_owned(),
                count: gaps,
            });
        }
        notices.extend(self.rejected.notices());
        let format = Format::PlainCsv;
        Ok(Reading {
            members,
            issued: self.issued,
            position: None,
            format,
            notices,
        })
    }

    /// The grid on which all rows must lie: the most common step, from the first hour to the last.
    fn grid(&self) -> Result<Grid, ReadError> {
        let times = || {
            self.members
                .iter()
                .flat_map(|rows| rows.times.iter().copied())
        };
        let (Some(first), Some(last)) = (times().min(), times().max()) else {
            return Err(fault_whole(
                self.source,
                ReadProblem::Absent {
                    expected: "at least one row of weather",
                },
            ));
        };
        let step_s = self.common_step_s();
        let fault = |index: usize, problem| match self
            .members
            .first()
            .and_then(|rows| rows.offsets.get(index))
        {
            Some(at) => ReadError {
                place: field_place(self.source, *at, self.time_column()),
                problem,
            },
            None => fault_whole(self.source, problem),
        };
        if ![HOUR_S, 1800, 1200, 900].contains(&step_s) {
            return Err(fault(
                1,
                ReadProblem::GridStep {
                    found_minutes: step_s / 60,
                },
            ));
        }
        let start = if step_s == HOUR_S {
            first
        } else {
            first - first.rem_euclid(HOUR_S)
        };
        let hours = (last - start) / HOUR_S + 1;
        if hours > MAX_FILE_HOURS {
            let limit = u64::try_from(MAX_FILE_HOURS).unwrap_or(u64::MAX);
            return Err(fault(
                0,
                ReadProblem::TooMuch {
                    limit,
                    of: "hours from the first row to the last",
                },
            ));
        }
        let grid = Grid {
            start,
            hours: usize::try_from(hours).unwrap_or(0),
            step_s,
        };
        self.check_on(&grid, first)?;
        Ok(grid)
    }

    /// The step between rows that is most common, the shorter of two as common; an hour where there is one row.
    fn common_step_s(&self) -> i64 {
        let mut counted: Vec<(i64, u64)> = Vec::new();
        for pair in self.members.iter().flat_map(|rows| rows.times.windows(2)) {
            let [before, after] = pair else { continue };
            let step = after - before;
            if let Some(known) = counted.iter_mut().find(|known| known.0 == step) {
                known.1 += 1;
            } else if counted.len() < MAX_STEPS {
                counted.push((step, 1));
            }
        }
        counted
            .iter()
            .max_by_key(|(step, count)| (*count, -step))
            .map_or(HOUR_S, |(step, _)| *step)
    }

    fn time_column(&self) -> usize {
        self.roles
            .iter()
            .position(|role| *role == Role::Time)
            .unwrap_or(0)
    }

    fn check_on(&self, grid: &Grid, first: i64) -> Result<(), ReadError> {
        for rows in &self.members {
            for (time, at) in rows.times.iter().zip(&rows.offsets) {
                if (time - first).rem_euclid(grid.step_s) != 0 {
                    let place = field_place(self.source, *at, self.time_column());
                    let rest = self.source.bytes.get(*at..).unwrap_or_default();
                    let line = rest.split(|byte| *byte == b'\n').next().unwrap_or_default();
                    let field = line
                        .split(|byte| *byte == b',')
                        .nth(self.time_column())
                        .unwrap_or_default();
                    let problem = ReadProblem::OffGrid {
                        step_minutes: grid.step_minutes(),
                        found: Excerpt::of(field),
                    };
                    return Err(ReadError { place, problem });
                }
            }
        }
        Ok(())
    }

    fn series(
        &self,
        mut rows: Rows,
        grid: &Grid,
        notices: &mut Vec<Notice>,
    ) -> Result<HourlySeries, SeriesError> {
        let hours: Vec<usize> = rows.times.iter().map(|time| grid.hour(*time)).collect();
        let mut has_row = vec![false; grid.hours];
        for hour in &hours {
            if let Some(has) = has_row.get_mut(*hour) {
                *has = true;
            }
        }
        self.settle(&mut rows, notices);
        let mut series = HourlySeries::new(grid.start, has_row)?;
        for ((element, unit), values) in self.elements.iter().zip(&rows.values) {
            if matches!(element, Element::Rain | Element::Snow) {
                series.set_amounts(*element, grid.amounts(&hours, values, *unit))?;
            } else {
                series.set_column(*element, grid.column(&hours, values, *unit))?;
            }
        }
        Ok(series)
    }

    fn settle(&self, rows: &mut Rows, notices: &mut Vec<Notice>) {
        let find = |wanted| {
            self.elements
                .iter()
                .position(|(element, _)| *element == wanted)
        };
        let (Some(t), Some(td)) = (find(Element::Temperature), find(Element::DewPoint)) else {
            return;
        };
        let unit = |index: usize| {
            self.elements
                .get(index)
                .map_or(Unit::Celsius, |(_, unit)| *unit)
        };
        let Some(mut dew_points) = rows.values.get_mut(td).map(core::mem::take) else {
            return;
        };
        if let Some(temperatures) = rows.values.get_mut(t) {
            notices.extend(settle_dew_points(
                self.source,
                (temperatures, unit(t)),
                (&mut dew_points, unit(td)),
            ));
        }
        if let Some(place) = rows.values.get_mut(td) {
            *place = dew_points;
        }
    }
}

/// The hours of a file, and the step of its rows.
struct Grid {
    start: i64,
    hours: usize,
    step_s: i64,
}

impl Grid {
    fn hour(&self, time: i64) -> usize {
        usize::try_from((time - self.start) / HOUR_S).unwrap_or(usize::MAX)
    }

    fn step_minutes(&self) -> u32 {
        u32::try_from(self.step_s / 60).unwrap_or(0)
    }

    fn rows_an_hour(&self) -> usize {
        usize::try_from(HOUR_S / self.step_s).unwrap_or(1)
    }

    /// Least and greatest of each hour; missing where any of its rows is.
    fn column(&self, hours: &[usize], values: &[f64], unit: Unit) -> Column {
        let mut low = vec![f64::INFINITY; self.hours];
        let mut high = vec![f64::NEG_INFINITY; self.hours];
        let mut known = vec![0_usize; self.hours];
        for (hour, value) in hours
            .iter()
            .zip(values)
            .filter(|(_, value)| !value.is_nan())
        {
            if let (Some(low), Some(high), Some(known)) = (
                low.get_mut(*hour),
                high.get_mut(*hour),
                known.get_mut(*hour),
            ) {
                (*low, *high, *known) = (low.min(*value), high.max(*value), *known + 1);
            }
        }
        for (low, known) in low.iter_mut().zip(&known) {
            if *known < self.rows_an_hour() {
                *low = f64::NAN;
            }
        }
        if self.rows_an_hour() == 1 {
            Column::exact(low, unit)
        } else {
            Column::bounded(low, high, unit)
        }
    }

    /// Sum of each hour; without an upper bound where any of its rows is missing.
    fn amounts(&self, hours: &[usize], values: &[f64], unit: Unit) -> Amounts {
        let mut sums = vec![(0_i64, 0_usize); self.hours];
        for (hour, value) in hours
            .iter()
            .zip(values)
            .filter(|(_, value)| !value.is_nan())
        {
            if let Some((sum, known)) = sums.get_mut(*hour) {
                (*sum, *known) = (*sum + micrometres(*value, unit), *known + 1);
            }
        }
        let amounts: Vec<Amount> = sums
            .into_iter()
            .enumerate()
            .map(|(from, (low_um, known))| {
                let high_um = (known >= self.rows_an_hour()).then_some(low_um);
                Amount {
                    from,
                    hours: 1,
                    low_um,
                    high_um,
                }
            })
            .collect();
        Amounts::new(self.hours, &amounts, unit)
    }
}

fn text(field: &[u8]) -> Option<&str> {
    core::str::from_utf8(field).ok()
}

fn series_problem(error: SeriesError) -> ReadProblem {
    match error {
        SeriesError::TooLong { limit, .. } => ReadProblem::TooMuch {
            limit: limit as u64,
            of: "hours",
        },
        _ => ReadProblem::Absent {
            expected: "at least one row of weather",
        },
    }
}
