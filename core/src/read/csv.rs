//! Plain hourly CSV: a header of measure and unit, a row an hour, blanks where nothing is known.
//!
//! Rows every 15, 20 or 30 minutes are brought to whole UTC hours: rain is summed, other values become the least
//! and the greatest of the hour; an hour of which a part is missing is missing, and its rain has a lower bound
//! alone. With a `member` column each member of the ensemble becomes a series; a `station` column may name one
//! station.

mod grid;
pub(super) mod header;

use chrono_tz::Tz;

use self::grid::Grid;
use self::header::{Header, Role, expected_value};
use super::clean::{Rejected, dew_point_notice, settle_dew_points};
use super::rows::{
    Fields, check_closed, check_lines, field_found, field_place, next_row, reader_of,
};
use super::{
    Format, Issued, MAX_FILE_HOURS, MAX_MEMBERS, Notice, Reading, Source, fault_whole, parse_time,
    series_problem,
};
use crate::error::{Excerpt, ReadError, ReadProblem, SeriesError};
use crate::quantity::{Unit, number_of};
use crate::series::{Element, HOUR_S, HourlySeries};

/// Most different steps that are counted to find the most common one. Ours.
const MAX_STEPS: usize = 64;

/// The rows of one member, column by column.
#[derive(Debug)]
struct Rows {
    member: Vec<u8>,
    times: Vec<i64>,
    offsets: Vec<usize>,
    values: Vec<Vec<f64>>,
}

/// A file, or the rows of one station, that is being read.
pub(super) struct Table<'a> {
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
    let mut reader = reader_of(source);
    let mut record = csv::ByteRecord::new();
    if !next_row(&mut reader, &mut record) {
        return Err(fault_whole(source, ReadProblem::Empty));
    }
    let fields = Fields::new(source, &record);
    let mut last_at = fields.at;
    check_closed(source, last_at)?;
    let mut table = Table::new(source, zone, Header::read(source, &fields)?);
    while next_row(&mut reader, &mut record) {
        let fields = Fields::new(source, &record);
        last_at = fields.at;
        table.row(&fields)?;
    }
    check_closed(source, last_at)?;
    table.into_reading()
}

impl<'a> Table<'a> {
    pub(super) fn new(source: Source<'a>, zone: Option<Tz>, header: Header) -> Self {
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

    pub(super) fn row(&mut self, fields: &Fields<'_>) -> Result<(), ReadError> {
        let source = self.source;
        let columns = self.header.roles.len();
        if fields.record.len() != columns {
            let expected = "as many fields as the header has";
            let found = Excerpt::of(fields.line(source));
            let index = fields.record.len().min(columns);
            return Err(fields.fault(source, index, ReadProblem::Field { expected, found }));
        }
        let member = self.member(fields)?;
        self.time(fields, member)?;
        self.issued(fields)?;
        self.station(fields)?;
        self.values(fields, member)
    }

    /// The member of a name, made where it is new; rows of a member mostly follow one another.
    fn member(&mut self, fields: &Fields<'_>) -> Result<usize, ReadError> {
        let column = self.header.position(Role::Member);
        let name = fields.field(column);
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
            return Err(fields.fault(self.source, column.unwrap_or(0), problem));
        }
        self.members.push(Rows {
            member: name.to_vec(),
            times: Vec::new(),
            offsets: Vec::new(),
            values: vec![Vec::new(); self.elements.len()],
        });
        Ok(self.members.len() - 1)
    }

    /// Hours from the first row to the last.
    pub(super) fn hours(&self) -> usize {
        let times = || self.members.iter().flat_map(|rows| rows.times.iter());
        let (first, last) = (times().min(), times().max());
        let apart = first.zip(last).map_or(0, |(first, last)| last - first);
        usize::try_from(apart / HOUR_S).unwrap_or(usize::MAX)
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

    pub(super) fn into_reading(mut self) -> Result<Reading, ReadError> {
        let grid = self.grid()?;
        let mut notices = self.notices(&grid);
        let mut members = Vec::with_capacity(self.members.len());
        let (mut gaps, mut above) = (0, 0);
        for mut rows in core::mem::take(&mut self.members) {
            above += self.settle(&mut rows);
            let series = self.series(&rows, &grid);
            let series = series.map_err(|error| fault_whole(self.source, series_problem(error)))?;
            gaps += (0..series.hours())
                .filter(|hour| !series.has_row(*hour))
                .count() as u64;
            members.push(series);
        }
        notices.extend(dew_point_notice(self.source, above));
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
        notices.extend(self.member_notice());
        notices
    }

    /// What the user should know of the members, where the file has a column of them.
    fn member_notice(&self) -> Option<Notice> {
        self.header.position(Role::Member)?;
        let file = || self.source.name.to_owned();
        if self.members.len() == 1 {
            return Some(Notice::OneMember { file: file() });
        }
        let rows = || self.members.iter().map(|rows| rows.times.len() as u64);
        let longest = rows().max()?;
        let count = rows().filter(|rows| *rows < longest).count() as u64;
        (count > 0).then(|| Notice::UnequalMembers {
            file: file(),
            count,
            longest,
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
                    let problem = ReadProblem::OffGrid {
                        step_minutes: grid.step_minutes(),
                        found: field_found(self.source, *at, self.time_column()),
                    };
                    return Err(ReadError { place, problem });
                }
            }
        }
        Ok(())
    }

    fn series(&self, rows: &Rows, grid: &Grid) -> Result<HourlySeries, SeriesError> {
        let hours: Vec<usize> = rows.times.iter().map(|time| grid.hour(*time)).collect();
        let mut has_row = vec![false; grid.hours];
        for hour in &hours {
            if let Some(has) = has_row.get_mut(*hour) {
                *has = true;
            }
        }
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

    /// Settles the dew points of one member; how many of its rows had one above the temperature.
    fn settle(&self, rows: &mut Rows) -> u64 {
        let mut settled = (None, None);
        for ((element, unit), values) in self.elements.iter().zip(&mut rows.values) {
            match element {
                Element::Temperature => settled.0 = Some((values.as_mut_slice(), *unit)),
                Element::DewPoint => settled.1 = Some((values.as_mut_slice(), *unit)),
                _ => {}
            }
        }
        match settled {
            (Some(temperature), Some(dew_point)) => settle_dew_points(temperature, dew_point),
            _ => 0,
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
            "week.csv: ignored columns: sky"
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
                "week.csv: 1 hour with a dew point above the temperature, both taken as missing",
                "week.csv:2:19: 1 temperature value rejected as impossible and taken as missing, the first \"900\"",
                "week.csv:2:26: 2 rain values rejected as impossible and taken as missing, the first \"-1\"",
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

    /// The contract, section 6: steps of 15 and 20 min too, in whole UTC hours; another step, and a row off the grid,
    /// are refused where they stand. An hour of which a part has no row is missing. Sums by hand.
    #[test]
    fn steps_of_15_and_20_minutes_become_hours_and_others_are_refused() {
        let rows = |minutes: &[u32]| {
            let row = |at: &u32| {
                let (hour, minute) = (9 + at / 60, at % 60);
                format!("2027-03-10T{hour:02}:{minute:02}Z,{at},0.1\n")
            };
            String::from("time,temperature_f,rain_mm\n")
                + &minutes.iter().map(row).collect::<String>()
        };
        for (minutes, least, greatest, rain_um) in [
            (vec![45, 60, 75, 90, 105, 120, 135], 60.0, 105.0, 400),
            (vec![40, 60, 80, 100, 120], 60.0, 100.0, 300),
        ] {
            let reading = read(&rows(&minutes));
            assert_eq!(
                temperatures(&reading),
                [None, Some((least, greatest)), None]
            );
            let rain = reading.members[0].amounts(Element::Rain).unwrap();
            let sums = [rain.sum(0, 1), rain.sum(1, 2)].map(|sum| (sum.low_um, sum.high_um));
            assert_eq!(sums, [(100, None), (rain_um, Some(rain_um))]);
        }
        assert_eq!(
            refused(&rows(&[0, 10, 20])),
            "week.csv:3:1: expected a grid step of 60, 30, 20 or 15 min, found 10 min"
        );
        let off = "note,time,rain_mm\n\"a, b\",2027-03-10T09:00Z,0\n\"a, b\",2027-03-10T10:00Z,0\n\
             \"a, b\",\"2027-03-10T11:10Z\",0\n";
        assert_eq!(
            refused(off),
            "week.csv:4:8: expected a time on the file's grid of 60 min, found \"2027-03-10T11:10Z\", which lies off it"
        );
    }

    /// The contract, section 5, members: rows may come member by member or hour by hour; section 6: both hours of
    /// the clock change in file order, here of each member's own rows.
    #[test]
    fn members_may_come_in_either_order() {
        let by_hour = "time,member,temperature_f\n2027-11-07T01:00,a,41\n2027-11-07T01:00,b,51\n\
             2027-11-07T01:00,a,42\n2027-11-07T01:00,b,52\n";
        let by_member = "time,member,temperature_f\n2027-11-07T01:00,a,41\n2027-11-07T01:00,a,42\n\
             2027-11-07T01:00,b,51\n2027-11-07T01:00,b,52\n";
        let reading = read(by_hour);
        assert_eq!(reading.members, read(by_member).members);
        let lows = |member: usize| reading.members[member].column(Element::Temperature);
        assert_eq!(lows(0).unwrap().low(), [41.0, 42.0]);
        assert_eq!(lows(1).unwrap().low(), [51.0, 52.0]);
    }

    /// The contract, section 6, gaps: all members cover the same hours, and one that leaves some out has no row there.
    #[test]
    fn an_hour_without_a_row_is_said() {
        let reading = read(
            "time,member,temperature_f\n2027-03-10T09:00Z,a,40\n2027-03-10T10:00Z,a,41\n2027-03-10T11:00Z,a,42\n\
             2027-03-10T10:00Z,b,50\n2027-03-10T11:00Z,b,51\n",
        );
        let has_rows = |member: usize| [0, 1, 2].map(|hour| reading.members[member].has_row(hour));
        assert_eq!(
            (has_rows(0), has_rows(1)),
            ([true, true, true], [false, true, true])
        );
        let said: Vec<String> = reading.notices.iter().map(ToString::to_string).collect();
        assert_eq!(
            said,
            [
                "week.csv: 1 member has fewer rows than the 3 of the longest; hours without a row are unknown",
                "week.csv: 1 hour within the file has no row and is unknown"
            ]
        );
    }

    /// The contract, section 5, *Members*; an ensemble of one is a plain forecast, and that is said.
    #[test]
    fn one_member_only_is_said() {
        let csv = "time,member,temperature_f\n2027-03-10T09:00Z,a,40\n2027-03-10T10:00Z,a,41\n";
        let said: Vec<String> = read(csv).notices.iter().map(ToString::to_string).collect();
        let words =
            "one member only, taken as a plain forecast: how far members lie apart is not known";
        assert_eq!(said, [format!("week.csv: {words}")]);
        let plain = csv.replace(",member", "").replace(",a", "");
        assert_eq!(read(&plain).notices, []);
    }

    /// Ours: what is said of dew points is said once a file, not once a member.
    #[test]
    fn dew_points_of_all_members_are_said_once() {
        let reading = read(
            "time,member,temperature_f,dew_point_f\n2027-03-10T09:00Z,a,40,50\n2027-03-10T09:00Z,b,40,51\n",
        );
        let said: Vec<String> = reading.notices.iter().map(ToString::to_string).collect();
        assert_eq!(
            said,
            ["week.csv: 2 hours with a dew point above the temperature, both taken as missing"]
        );
    }

    /// RFC 4180, section 2: lines end with CRLF, a quoted field may hold line breaks, a quote within a plain field is
    /// text. Ours: LF or CR alone end a line too. Places are counted by hand.
    #[test]
    fn places_count_every_line_end_and_quote() {
        let csv = "time,note,rain_in\n2027-03-10T09:00Z,\"two\nlines, \"\"so\"\"\",0\n\n2027-03-10T10:00Z,5\" deep,O.2\n";
        for text in [
            csv.to_owned(),
            csv.replace('\n', "\r\n"),
            csv.replace('\n', "\r"),
        ] {
            assert_eq!(
                refused(&text),
                "week.csv:5:27: expected a depth of rain or a blank, found \"O.2\"",
                "{text:?}"
            );
            let short = text.replace(" deep,O.2", "");
            assert_eq!(
                refused(&short),
                "week.csv:5:21: expected as many fields as the header has, found \"2027-03-10T10:00Z,5\"\"",
                "{short:?}"
            );
        }
    }

    /// Ours: the limit of a line is the same whichever line end the file has.
    #[test]
    fn a_long_file_with_lone_carriage_returns_is_no_long_line() {
        let day = |day: u32| {
            let row = |hour: u32| format!("2027-03-{day:02}T{hour:02}:00Z,0,{:>90}\r", 'x');
            (0..24).map(row).collect::<String>()
        };
        let csv = String::from("time,rain_in,note\r") + &(1..=31).map(day).collect::<String>();
        assert!(csv.len() > crate::read::MAX_LINE_BYTES);
        assert_eq!(read(&csv).members[0].hours(), 31 * 24);
    }

    /// RFC 4180, section 2: a quoted field ends with a quote. One that does not would swallow the rows after it.
    #[test]
    fn a_quote_that_never_closes_is_refused() {
        let csv = "time,rain_in,note\n2027-03-10T09:00Z,0,\"fog\n2027-03-10T10:00Z,1,\n";
        assert_eq!(
            refused(csv),
            "week.csv:2:21: expected a quote that closes, found \"\"fog\""
        );
        let header = "time,rain_in,\"note\n2027-03-10T10:00Z,1,\n";
        assert_eq!(
            refused(header),
            "week.csv:1:14: expected a quote that closes, found \"\"note\""
        );
    }
}
