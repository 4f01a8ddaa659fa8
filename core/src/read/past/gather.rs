//! The general reader of rows of many stations.

use chrono_tz::Tz;

use super::super::csv::Table;
use super::super::csv::header::{Header, Role};
use super::super::names::{Entry, MAX_STATIONS, Names};
use super::super::rows::{Fields, check_closed, check_lines, next_row, reader_of};
use super::super::stream::{Done, Gather};
use super::super::{Notice, Source, fault_at, fault_whole};
use super::{MAX_HOURS_A_ROW, NOTHING, PastReading, SPARE_HOURS, check_alone};
use crate::error::{Excerpt, ReadError, ReadProblem};

/// Reads a file in memory, a station at a time.
pub(super) fn read<E: From<ReadError>>(
    source: Source<'_>,
    zone: Option<Tz>,
    mut take: impl FnMut(&PastReading, &[Notice]) -> Result<(), E>,
) -> Result<Vec<Notice>, E> {
    check_lines(source)?;
    let mut reader = reader_of(source);
    let mut record = csv::ByteRecord::new();
    if !next_row(&mut reader, &mut record) {
        return Err(fault_whole(source, ReadProblem::Empty).into());
    }
    let first = Fields::new(source, &record);
    let mut last = first.at;
    check_closed(source, last)?;
    let header = Header::read(source, &first)?;
    let notices = ignored(source, &header);
    let mut stations = Stations::after(source, zone, &header, Names::default());
    let mut is_empty = true;
    let mut emit = |stations: &mut Stations<'_>| {
        for reading in stations.whole().into_iter().filter_map(|done| done.1) {
            is_empty = false;
            take(&reading, &notices)?;
        }
        Ok::<(), E>(())
    };
    while next_row(&mut reader, &mut record) {
        let fields = Fields::new(source, &record);
        last = fields.at;
        stations.row(source, &fields)?;
        emit(&mut stations)?;
    }
    check_closed(source, last)?;
    stations.finish(source)?;
    emit(&mut stations)?;
    if is_empty {
        let problem = ReadProblem::Absent { expected: NOTHING };
        return Err(fault_whole(source, problem).into());
    }
    Ok(notices)
}

/// The columns that are not known.
pub(super) fn ignored(source: Source<'_>, header: &Header) -> Vec<Notice> {
    if header.ignored.is_empty() {
        return Vec::new();
    }
    vec![Notice::IgnoredColumns {
        file: source.name.to_owned(),
        names: header.ignored.join(", "),
    }]
}

/// Stations in the order in which they first come; one that is left does not come back.
pub(super) struct Stations<'a> {
    source: Source<'a>,
    zone: Option<Tz>,
    header: &'a Header,
    column: Option<usize>,
    names: Names,
    current: Option<Current<'a>>,
    done: Vec<Done<PastReading>>,
}

/// The station that is being read.
struct Current<'a> {
    name: Vec<u8>,
    at: usize,
    rows: usize,
    table: Table<'a>,
}

impl<'a> Stations<'a> {
    /// Stations that come after others of the same file, whose names are known.
    pub(super) fn after(
        source: Source<'a>,
        zone: Option<Tz>,
        header: &'a Header,
        names: Names,
    ) -> Self {
        Self {
            source,
            zone,
            header,
            column: header.position(Role::Station),
            names,
            current: None,
            done: Vec::new(),
        }
    }

    fn turn_to(&mut self, name: &[u8], at: usize) -> Result<(), ReadError> {
        let is_same = |current: &Current<'_>| current.name == name;
        if self.current.as_ref().is_some_and(is_same) {
            return Ok(());
        }
        self.finish(self.source)?;
        let problem = match self.names.insert(name) {
            Entry::New => {
                self.current = Some(Current {
                    name: name.to_vec(),
                    at,
                    rows: 0,
                    table: Table::new(self.source, self.zone, self.header.clone()),
                });
                return Ok(());
            }
            Entry::Known => ReadProblem::StationReturns {
                found: Excerpt::of(name),
            },
            Entry::Full => ReadProblem::TooMuch {
                limit: MAX_STATIONS as u64,
                of: "stations",
            },
        };
        Err(fault_at(self.source, at, problem))
    }
}

impl Gather for Stations<'_> {
    type Reading = PastReading;

    fn row(&mut self, _: Source<'_>, fields: &Fields<'_>) -> Result<(), ReadError> {
        self.turn_to(fields.field(self.column), fields.at)?;
        match &mut self.current {
            Some(current) => {
                current.rows += 1;
                current.table.row(fields)
            }
            None => Ok(()),
        }
    }

    fn finish(&mut self, source: Source<'_>) -> Result<(), ReadError> {
        let Some(current) = self.current.take() else {
            return Ok(());
        };
        let limit = SPARE_HOURS + MAX_HOURS_A_ROW * current.rows;
        if current.table.hours() > limit {
            let of = "hours from a station's first row to its last, for so few rows";
            let limit = limit as u64;
            return Err(fault_at(
                source,
                current.at,
                ReadProblem::TooMuch { limit, of },
            ));
        }
        let reading = current.table.into_reading()?;
        check_alone(source, &reading)?;
        let reading = PastReading::of(&current.name, reading);
        self.done.push((current.name, Some(reading)));
        Ok(())
    }

    fn whole(&mut self) -> Vec<Done<PastReading>> {
        core::mem::take(&mut self.done)
    }

    fn into_unfinished(mut self) -> (Option<usize>, Names) {
        let at = self.current.map(|current| {
            self.names.remove(&current.name);
            current.at
        });
        (at, self.names)
    }
}
