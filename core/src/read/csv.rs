//! Plain hourly CSV: a header of measure and unit, a row an hour, blanks where nothing is known.
//!
//! Rows every 15, 20 or 30 minutes are brought to whole UTC hours: rain is summed, other values become the least
//! and the greatest of the hour; an hour of which a part is missing is missing, and its rain has a lower bound
//! alone. With a `member` column each member of the ensemble becomes a series; a `station` column may name one
//! station.

mod grid;
mod header;

use chrono_tz::Tz;

use self::grid::Grid;
use self::header::{Header, Role, expected_value};
use super::clean::{Rejected, settle_dew_points};
use super::{
    Format, Issued, MAX_FILE_HOURS, MAX_LINE_BYTES, MAX_MEMBERS, Notice, Reading, Source, fault_at,
    fault_whole, parse_time, series_problem,
};
use crate::error::{Excerpt, Place, ReadError, ReadProblem, SeriesError};
use crate::quantity::{Unit, number_of};
use crate::series::{Element, HOUR_S, HourlySeries};

/// Most different steps that are counted to find the most common one.
const MAX_STEPS: usize = 64;

/// The fields of a row, and where it begins.
struct Fields<'a> {
    record: &'a csv::ByteRecord,
    at: usize,
}

impl<'a> Fields<'a> {
    fn new(source: Source<'_>, record: &'a csv::ByteRecord) -> Self {
        Self {
            record,
            at: row_start(source, record),
        }
    }

    /// An error at the field `index`.
    fn fault(&self, source: Source<'_>, index: usize, problem: ReadProblem) -> ReadError {
        ReadError {
            place: field_place(source, self.at, index),
            problem,
        }
    }

    /// The whole line.
    fn line<'s>(&self, source: Source<'s>) -> &'s [u8] {
        let rest = source.bytes.get(self.at..).unwrap_or_default();
        rest.split(|byte| *byte == b'\n').next().unwrap_or_default()
    }

    fn field(&self, index: Option<usize>) -> &'a [u8] {
        index
            .and_then(|index| self.record.get(index))
            .unwrap_or_default()
    }
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
    header: Header,
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
    let header = Header::read(source, &Fields::new(source, &record))?;
    let mut table = Table::new(source, zone, header);
    while next_row(&mut reader, &mut record) {
        table.row(&Fields::new(source, &record))?;
    }
    table.into_reading()
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

impl<'a> Table<'a> {
    fn new(source: Source<'a>, zone: Option<Tz>, header: Header) -> Self {
        Self {
            source,
            zone,
            elements: header.elements().collect(),
            members: Vec::new(),
            rejected: Rejected::default(),
            issued: Issued::Unknown,
            issued_text: Vec::new(),
            station: None,
            header,
        }
    }

    fn row(&mut self, fields: &Fields<'_>) -> Result<(), ReadError> {
        let source = self.source;
        let columns = self.header.roles.len();
        if fields.record.len() != columns {
            let expected = "as many fields as the header has";
            let found = Excerpt::of(fields.line(source));
            let index = fields.record.len().min(columns);
            return Err(fields.fault(source, index, ReadProblem::Field { expected, found }));
        }
        let member = fields.field(self.header.position(Role::Member));
        let member = self.member(member, fields.at)?;
        self.time(fields, member)?;
        self.issued(fields)?;
        self.station(fields)?;
        self.values(fields, member)
    }

    /// The member of a name, made where it is new; rows of a member mostly follow one another.
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
        self.members.push(Rows {
            member: name.to_vec(),
            times: Vec::new(),
            offsets: Vec::new(),
            values: vec![Vec::new(); self.elements.len()],
        });
        Ok(self.members.len() - 1)
    }

    fn time_column(&self) -> usize {
        self.header.position(Role::Time).unwrap_or(0)
    }

    /// Adds the row's time to its member's; it must lie after the one before.
    fn time(&mut self, fields: &Fields<'_>, member: usize) -> Result<(), ReadError> {
        let (source, zone, index) = (self.source, self.zone, self.time_column());
        let Some(rows) = self.members.get_mut(member) else {
            return Ok(());
        };
        let field = fields.field(Some(index));
        let last = rows.times.last().copied();
        let time = parse_time(text(field).unwrap_or_default(), zone, last);
        let time = time.map_err(|problem| fields.fault(source, index, problem))?;
        if let Some(last) = last.filter(|last| *last >= time) {
            let found = Excerpt::of(field);
            let problem = if last == time {
                ReadProblem::Doubled { found }
            } else {
                ReadProblem::OutOfOrder { found }
            };
            return Err(fields.fault(source, index, problem));
        }
        rows.times.push(time);
        rows.offsets.push(fields.at);
        Ok(())
    }

    /// Adds the row's values to its member's columns.
    fn values(&mut self, fields: &Fields<'_>, member: usize) -> Result<(), ReadError> {
        let source = self.source;
        let Some(rows) = self.members.get_mut(member) else {
            return Ok(());
        };
        let mut columns = rows.values.iter_mut();
        for (index, (role, field)) in self.header.roles.iter().zip(fields.record).enumerate() {
            let Role::Value(element, unit) = *role else {
                continue;
            };
            let value = if field.is_empty() {
                Some(f64::NAN)
            } else {
                text(field).and_then(number_of)
            };
            let value = value.ok_or_else(|| {
                let (expected, found) = (expected_value(element), Excerpt::of(field));
                fields.fault(source, index, ReadProblem::Field { expected, found })
            })?;
            let place = || (field_place(source, fields.at, index), Excerpt::of(field));
            let kept = self.rejected.keep(element, value, unit, place);
            if let Some(column) = columns.next() {
                column.push(kept);
            }
        }
        Ok(())
    }

    /// The oldest time of issue counts, and one blank makes the whole file as good as stale.
    fn issued(&mut self, fields: &Fields<'_>) -> Result<(), ReadError> {
        let Some(index) = self.header.position(Role::Issued) else {
            return Ok(());
        };
        let field = fields.field(Some(index));
        let is_new = self.issued == Issued::Unknown || self.issued_text != field;
        if field.is_empty() {
            self.issued = Issued::Blank;
        } else if self.issued != Issued::Blank && is_new {
            let time = parse_time(text(field).unwrap_or_default(), self.zone, None);
            let time = time.map_err(|problem| fields.fault(self.source, index, problem))?;
            self.issued = match self.issued {
                Issued::At(earlier) => Issued::At(earlier.min(time)),
                _ => Issued::At(time),
            };
            self.issued_text = field.to_vec();
        }
        Ok(())
    }

    fn station(&mut self, fields: &Fields<'_>) -> Result<(), ReadError> {
        let Some(index) = self.header.position(Role::Station) else {
            return Ok(());
        };
        let field = fields.field(Some(index));
        let station = self.station.get_or_insert_with(|| field.to_vec());
        if station.as_slice() == field {
            return Ok(());
        }
        let problem = ReadProblem::SecondStation {
            found: Excerpt::of(field),
        };
        Err(fields.fault(self.source, index, problem))
    }

    fn into_reading(mut self) -> Result<Reading, ReadError> {
        let grid = self.grid()?;
        let mut notices = self.notices(&grid);
        let mut members = Vec::with_capacity(self.members.len());
        let mut gaps = 0;
        for rows in core::mem::take(&mut self.members) {
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
        let (issued, format) = (self.issued, Format::PlainCsv);
        Ok(Reading {
            members,
            issued,
            position: None,
            format,
            notices,
        })
    }

    /// What the user should know of the columns and the grid.
    fn notices(&self, grid: &Grid) -> Vec<Notice> {
        let mut notices = Vec::new();
        if !self.header.ignored.is_empty() {
            let names = self.header.ignored.join(", ");
            notices.push(Notice::IgnoredColumns {
                file: self.source.name.to_owned(),
                names,
            });
        }
        if grid.step_s < HOUR_S {
            let minutes = grid.step_minutes();
            notices.push(Notice::SubHourly {
                file: self.source.name.to_owned(),
                minutes,
            });
        }
        notices
    }

    /// The grid on which all rows must lie: the most common step, from the first hour to the last.
    fn grid(&self) -> Result<Grid, ReadError> {
        let times = || {
            self.members
                .iter()
                .flat_map(|rows| rows.times.iter().copied())
        };
        let (Some(first), Some(last)) = (times().min(), times().max()) else {
            let problem = ReadProblem::Absent {
                expected: "at least one row of weather",
            };
            return Err(fault_whole(self.source, problem));
        };
        let step_s = self.common_step_s();
        if ![HOUR_S, 1800, 1200, 900].contains(&step_s) {
            return Err(self.fault_at_time(
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
        let members = i64::try_from(self.members.len()).unwrap_or(i64::MAX);
        if hours.saturating_mul(members) > MAX_FILE_HOURS {
            let limit = u64::try_from(MAX_FILE_HOURS / members.max(1)).unwrap_or(u64::MAX);
            let of = "hours from the first row to the last";
            return Err(self.fault_at_time(0, ReadProblem::TooMuch { limit, of }));
        }
        let grid = Grid {
            start,
            hours: usize::try_from(hours).unwrap_or(0),
            step_s,
        };
        self.check_on(&grid, first)?;
        Ok(grid)
    }

    /// An error at the time of a row of the first member.
    fn fault_at_time(&self, row: usize, problem: ReadProblem) -> ReadError {
        let at = self.members.first().and_then(|rows| rows.offsets.get(row));
        match at {
            Some(at) => {
                let place = field_place(self.source, *at, self.time_column());
                ReadError { place, problem }
            }
            None => fault_whole(self.source, problem),
        }
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

fn text(field: &[u8]) -> Option<&str> {
    core::str::from_utf8(field).ok()
}

#[cfg(test)]
mod tests {
    use super::super::read_hourly;
    use super::*;

    fn read(csv: &str) -> Reading {
        let zone = "America/Chicago".parse().ok();
        read_hourly(
            Source {
                name: "week.csv",
                bytes: csv.as_bytes(),
            },
            zone,
        )
        .unwrap()
    }

    fn refused(csv: &str) -> String {
        let zone = "America/Chicago".parse().ok();
        let source = Source {
            name: "week.csv",
            bytes: csv.as_bytes(),
        };
        read_hourly(source, zone).unwrap_err().to_string()
    }

    fn temperatures(reading: &Reading) -> Vec<Option<(f64, f64)>> {
        let series = &reading.members[0];
        let column = series.column(Element::Temperature).unwrap();
        (0..series.hours())
            .map(|hour| column.at(hour, Unit::Fahrenheit))
            .collect()
    }

    /// The contract, section 6: a grid of 15, 20 or 30 min is summed for rain, and bounds for the rest. Sums by hand.
    #[test]
    fn finer_grids_become_hours() {
        let reading = read(
            "time,temperature_f,rain_mm\n2027-03-10T09:00Z,40,0.2\n2027-03-10T09:30Z,44,0.3\n\
             2027-03-10T10:00Z,45,1\n2027-03-10T10:30Z,,\n2027-03-10T11:00Z,46,0\n",
        );
        assert_eq!(temperatures(&reading), [Some((40.0, 44.0)), None, None]);
        let rain = reading.members[0].amounts(Element::Rain).unwrap();
        let known: Vec<_> = rain
            .amounts()
            .iter()
            .map(|part| (part.low_um, part.high_um))
            .collect();
        assert_eq!(known, [(500, Some(500)), (1000, None), (0, None)]);
        assert!(
            reading
                .notices
                .iter()
                .any(|notice| matches!(notice, Notice::SubHourly { minutes: 30, .. }))
        );
    }

    /// The contract, section 6: a byte-order mark, CRLF, quotes, blank lines and no newline at the end are fine, and
    /// extra columns are ignored and said.
    #[test]
    fn the_file_may_come_from_any_editor() {
        let plain =
            "time,temperature_f,rain_in\n2027-03-10T09:00Z,40,0\n2027-03-10T10:00Z,41,0.01\n";
        let dressed = "\u{feff}\r\n\"time\",\"temperature_f\",Sky,rain_in\r\n\r\n\"2027-03-10T09:00Z\", 40 ,\"a, \"\"b\"\"\",0\r\n\
             2027-03-10T10:00Z,41,,0.01";
        assert_eq!(read(plain).members, read(dressed).members);
        assert_eq!(
            read(dressed).notices[0].to_string(),
            "week.csv: ignored column(s) sky"
        );
    }

    /// The contract, section 6: both hours of the autumn clock change are resolved in file order. U.S. clocks go back
    /// on 7 November 2027 at 02:00 (Energy Policy Act of 2005).
    #[test]
    fn local_times_are_placed_in_file_order() {
        let reading = read(
            "time,temperature_f\n2027-11-07T00:00,40\n2027-11-07T01:00,41\n2027-11-07T01:00,42\n2027-11-07T02:00,43\n",
        );
        assert_eq!(
            (reading.members[0].hours(), reading.members[0].start()),
            (4, 1_825_563_600)
        );
        let doubled =
            "time,temperature_f\n2027-11-07T01:00,41\n2027-11-07T01:00,42\n2027-11-07T01:00,43\n";
        assert_eq!(
            refused(doubled),
            "week.csv:4:1: expected each hour once, found \"2027-11-07T01:00\" again"
        );
    }

    /// The contract, section 5: a blank time of issue makes it stale; of several the oldest counts (ours).
    #[test]
    fn the_oldest_time_of_issue_counts() {
        let rows = |first: &str, second: &str| {
            let csv = format!(
                "time,rain_in,issued\n2027-03-10T09:00Z,0,{first}\n2027-03-10T10:00Z,0,{second}\n"
            );
            read(&csv).issued
        };
        let (old, new) = ("1970-01-01T01:00Z", "1970-01-01T02:00Z");
        assert_eq!(rows(new, old), Issued::At(3600));
        assert_eq!(rows(old, new), Issued::At(3600));
        assert_eq!(rows(old, ""), Issued::Blank);
        assert_eq!(rows("", new), Issued::Blank);
        assert_eq!(
            read("time,rain_in\n2027-03-10T09:00Z,0\n").issued,
            Issued::Unknown
        );
    }

    /// The contract, section 6: an impossible value is missing, counted and said; a dew point above the temperature
    /// makes both missing, one within rounding does not (two whole °F readings differ by at most 0.56 °C by rounding).
    #[test]
    fn impossible_values_are_counted_and_said() {
        let reading = read(
            "time,temperature_f,dew_point_f,rain_in\n2027-03-10T09:00Z,900,30,-1\n2027-03-10T10:00Z,40,41,-2\n\
             2027-03-10T11:00Z,40,45,0\n",
        );
        assert_eq!(temperatures(&reading), [None, Some((40.0, 40.0)), None]);
        let said: Vec<String> = reading.notices.iter().map(ToString::to_string).collect();
        assert_eq!(
            said,
            [
                "week.csv: 1 hour(s) with a dew point above the temperature, both taken as missing",
                "week.csv:2:19: 1 temperature value(s) rejected as impossible and taken as missing, the first \"900\"",
                "week.csv:2:26: 2 rain value(s) rejected as impossible and taken as missing, the first \"-1\"",
            ]
        );
    }

    /// Ours: members and hours together are bounded, so that a small file cannot ask for all memory.
    #[test]
    fn members_times_hours_are_bounded() {
        let years = |member: i32| {
            let year = |year: i32| {
                format!("{year}-01-01T00:00Z,{member},0\n{year}-01-01T01:00Z,{member},0\n")
            };
            year(1900) + &year(2030)
        };
        let csv = String::from("time,member,rain_in\n") + &(0..20).map(years).collect::<String>();
        assert_eq!(
            refused(&csv),
            "week.csv:2:1: expected at most 65880 hours from the first row to the last, found more"
        );
    }

    /// The contract, section 6: one station's hours; a second is an error with its line.
    #[test]
    fn a_second_station_is_refused() {
        let csv = "station,time,rain_in\nA,2027-03-10T09:00Z,0\nB,2027-03-10T10:00Z,0\n";
        assert_eq!(
            refused(csv),
            "week.csv:3:1: expected the hours of one station, found a second: \"B\""
        );
    }
}
