//! The fast lane: rows as most files write them, in one pass over the bytes.
//!
//! Whatever is unusual (a quote, a time without offset, hours out of order or off the hour's grid, a value that no weather
//! has) makes the lane give up on the block, and the general reader judges the same bytes. So the lane must only never
//! take what the general reader would read otherwise; a property test over the two says that it does not.

use chrono::{Datelike as _, NaiveDate};

use super::super::MAX_LINE_BYTES;
use super::super::clean::settle_dew_points;
use super::super::csv::header::{Header, Role};
use super::super::digits::{digit, ignored, is_same, line_end, number};
use super::super::stream::Each;
use super::{MAX_HOURS_A_ROW, PastReading, SPARE_HOURS};
use crate::quantity::Unit;
use crate::series::{Element, HOUR_S, Hours, PlainHours};

/// Bytes of the shortest line with a time and a value.
const SHORTEST_LINE: usize = 20;
/// Days from the year 1 to 1970.
const EPOCH_DAY: i32 = 719_163;

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Station,
    Time,
    /// The measure of this place among the measures.
    Value(usize),
    Ignored,
}

/// A measure, and the values of it that are believed without a conversion; the others are asked about.
#[derive(Debug, Clone, Copy)]
struct Measured {
    element: Element,
    unit: Unit,
    sure: (f64, f64),
}

/// The fast lane over one file.
#[derive(Debug)]
pub(super) struct Lane {
    columns: Vec<Kind>,
    /// How many columns come with the time if the row begins with its name or its time.
    leading: usize,
    measures: Vec<Measured>,
}

impl Lane {
    /// `None` where the header has what the lane does not read.
    pub(super) fn new(header: &Header) -> Option<Self> {
        let mut measures = Vec::new();
        let mut columns = Vec::with_capacity(header.roles.len());
        for role in &header.roles {
            columns.push(match *role {
                Role::Station => Kind::Station,
                Role::Time => Kind::Time,
                Role::Ignored => Kind::Ignored,
                Role::Value(element, unit) => {
                    measures.push(Measured::new(element, unit));
                    Kind::Value(measures.len() - 1)
                }
                Role::Issued | Role::Member => return None,
            });
        }
        let leading = match columns.as_slice() {
            [Kind::Station, Kind::Time, ..] => 2,
            [Kind::Time, ..] => 1,
            _ => 0,
        };
        Some(Self {
            columns,
            leading,
            measures,
        })
    }

    /// Reads whole rows and gives each station, in order, to `emit`; the number of rows, or `None` where the general
    /// reader must judge (what was given to `emit` is then void).
    pub(super) fn read(&self, block: &[u8], emit: &mut Each<'_, PastReading>) -> Option<u64> {
        let line = memchr::memchr(b'\n', block).map_or(block.len(), |end| end + 1);
        let mut station = Station::new(self, block.len() / line.max(SHORTEST_LINE));
        let (mut rest, mut rows) = (block, 0);
        while !rest.is_empty() {
            let next = self.row(rest, &mut station, emit)?;
            if rest.len() - next.len() > MAX_LINE_BYTES {
                return None;
            }
            (rest, rows) = (next, rows + 1);
        }
        station.finish(self, emit)?;
        Some(rows)
    }

    /// A row; what follows it.
    fn row<'b>(
        &self,
        row: &'b [u8],
        station: &mut Station<'b>,
        emit: &mut Each<'_, PastReading>,
    ) -> Option<&'b [u8]> {
        let (mut rest, mut columns) = (row, self.columns.iter());
        if let Some(hour) = station.same_beginning(row) {
            rest = station.hour(hour)?;
            columns = self.columns.get(self.leading..)?.iter();
            rest = if columns.len() > 0 {
                rest.strip_prefix(b",")?
            } else {
                line_end(rest)?
            };
        }
        let mut name = None;
        while let Some(kind) = columns.next() {
            match kind {
                Kind::Station => (name, rest) = station.other_name(rest)?,
                Kind::Time => {
                    let hour = station.day.turn_to(rest)?;
                    station.begin_with(row, hour, self.leading > 0 && name.is_none())?;
                    rest = station.hour(hour)?;
                }
                Kind::Value(place) => rest = self.value(*place, rest, station)?,
                Kind::Ignored => rest = ignored(rest)?,
            }
            rest = if columns.len() > 0 {
                rest.strip_prefix(b",")?
            } else {
                line_end(rest)?
            };
        }
        if name.is_some() || station.name.is_none() {
            station.finish(self, emit)?;
            station.name = Some(name.unwrap_or_default());
        }
        station.put_time()?;
        station.put_values();
        Some(rest)
    }
}

impl Lane {
    /// The value of a measure; what follows it.
    fn value<'b>(
        &self,
        place: usize,
        field: &'b [u8],
        station: &mut Station<'_>,
    ) -> Option<&'b [u8]> {
        let (value, rest) = number(field)?;
        *station.row.get_mut(place)? = match value {
            Some(value) => self.measures.get(place)?.believed(value)?,
            None => f64::NAN,
        };
        Some(rest)
    }
}

impl Measured {
    fn new(element: Element, unit: Unit) -> Self {
        let (least, greatest) = element.believed_si();
        let margin = if least < 0.0 { 1.0 } else { 0.0 };
        let greatest = if element == Element::Humidity {
            99.0
        } else {
            greatest - 1.0
        };
        let sure = (unit.of_si(least + margin), unit.of_si(greatest));
        Self {
            element,
            unit,
            sure,
        }
    }

    fn believed(&self, value: f64) -> Option<f64> {
        if value >= self.sure.0 && value < self.sure.1 {
            Some(value)
        } else {
            self.element.believed(value, self.unit)
        }
    }
}

/// The station that is being read, and what its rows have in common with those before.
struct Station<'b> {
    name: Option<&'b [u8]>,
    /// A row of the station before this one, up to its hour; empty if that is not to be relied on.
    beginning: &'b [u8],
    day: Day<'b>,
    /// Beginning of the row's hour.
    time: i64,
    start: i64,
    last: i64,
    /// Steps of an hour, and longer ones.
    steps: (usize, usize),
    /// Which hours have a row; empty while all have.
    has_row: Vec<bool>,
    hours: usize,
    /// The values of the row that is being read.
    row: Vec<f64>,
    /// Those of all hours before it, the values of an hour together.
    values: Vec<f64>,
}

impl<'b> Station<'b> {
    /// With room for so many rows, as a block mostly is one station's.
    fn new(lane: &Lane, rows: usize) -> Self {
        let count = lane.measures.len();
        Self {
            name: None,
            beginning: b"",
            day: Day::default(),
            time: 0,
            start: 0,
            last: 0,
            steps: (0, 0),
            has_row: Vec::new(),
            hours: 0,
            row: vec![f64::NAN; count],
            values: Vec::with_capacity((rows + rows / 16) * count),
        }
    }

    /// Remembers how a row of the station that is being read begins, or that the next row begins otherwise.
    fn begin_with(&mut self, row: &'b [u8], hour: &'b [u8], is_of_station: bool) -> Option<()> {
        let length = if is_of_station {
            row.len() - hour.len()
        } else {
            0
        };
        self.beginning = row.get(..length)?;
        Some(())
    }

    /// The hour in a row of the same station and day as the row before, and what follows.
    fn same_beginning(&self, row: &'b [u8]) -> Option<&'b [u8]> {
        let (beginning, hour) = row.split_at_checked(self.beginning.len())?;
        is_same(beginning, self.beginning).then_some(hour)
    }

    /// Reads hour, minutes and offset; what follows them.
    fn hour(&mut self, field: &'b [u8]) -> Option<&'b [u8]> {
        let (time, rest) = self.day.time(field)?;
        self.time = time;
        Some(rest)
    }

    /// The station's name if it is another than that of the row before, and what follows it.
    fn other_name(&self, field: &'b [u8]) -> Option<(Option<&'b [u8]>, &'b [u8])> {
        if let Some(rest) = self.name.and_then(|name| field.strip_prefix(name))
            && matches!(rest.first(), Some(b',' | b'\n' | b'\r'))
        {
            return Some((None, rest));
        }
        let ends = |byte: &u8| matches!(byte, b',' | b'\n' | b'\r' | b'"');
        let end = field.iter().position(ends).unwrap_or(field.len());
        let (name, rest) = field.split_at_checked(end)?;
        let is_plain = name.trim_ascii().len() == name.len()
            && !name.starts_with(b"\xef\xbb\xbf")
            && core::str::from_utf8(name).is_ok();
        let is_same = self.name == Some(name);
        is_plain.then_some(((!is_same).then_some(name), rest))
    }

    /// Turns to the row's hour; `None` where it does not lie whole hours after that of the row before, or too far.
    fn put_time(&mut self) -> Option<()> {
        if self.hours == 0 {
            self.start = self.time;
            self.last = self.time - HOUR_S;
        } else if self.time - self.last == HOUR_S {
            self.steps.0 += 1;
        } else {
            self.leave_gap()?;
            self.steps.1 += 1;
        }
        self.last = self.time;
        self.hours += 1;
        if !self.has_row.is_empty() {
            self.has_row.push(true);
        }
        Some(())
    }

    fn leave_gap(&mut self) -> Option<()> {
        let apart = self.time - self.last;
        let is_late = self.steps.0 == 0 && self.steps.1 >= MOST_GAPS_FIRST;
        if apart <= 0 || apart % HOUR_S != 0 || is_late {
            return None;
        }
        let missing = usize::try_from(apart / HOUR_S - 1).ok()?;
        if missing > SPARE_HOURS + MAX_HOURS_A_ROW * (self.steps.0 + self.steps.1 + 2) {
            return None;
        }
        if self.has_row.is_empty() {
            self.has_row.resize(self.hours, true);
        }
        self.hours += missing;
        self.has_row.resize(self.hours, false);
        self.values.resize(self.hours * self.row.len(), f64::NAN);
        Some(())
    }

    fn put_values(&mut self) {
        self.values.extend(self.row.iter().copied()); // few: a copy of memory would cost more
    }

    /// Ends the station that is being read.
    fn finish(&mut self, lane: &Lane, emit: &mut Each<'_, PastReading>) -> Option<()> {
        let Some(name) = self.name.take() else {
            return Some(());
        };
        let steps = core::mem::take(&mut self.steps);
        let rows = steps.0 + steps.1 + 1;
        let is_hourly = steps.0 >= steps.1; // of two steps as common the shorter counts
        let hours = core::mem::take(&mut self.hours);
        if !is_hourly || hours > (SPARE_HOURS + MAX_HOURS_A_ROW * rows).min(MAX_HOURS) {
            return None;
        }
        let has_row = core::mem::take(&mut self.has_row);
        let measures: Vec<(Element, Unit)> = lane
            .measures
            .iter()
            .map(|measure| (measure.element, measure.unit))
            .collect();
        let mut values = core::mem::take(&mut self.values);
        is_settled(&measures, &mut values).then_some(())?;
        let has_row = (!has_row.is_empty()).then_some(has_row);
        let plain = PlainHours::new(self.start, has_row, measures, values).ok()?;
        emit(
            name,
            Some(PastReading {
                station: String::from_utf8_lossy(name).into_owned(),
                hours: Hours::Plain(plain),
                position: None,
                notices: Vec::new(),
            }),
        );
        Some(())
    }
}

/// Most steps longer than an hour before the first of an hour: the general reader counts few different ones.
const MOST_GAPS_FIRST: usize = 32;
/// Most hours of a station: those of a file, as the general reader has them.
const MAX_HOURS: usize = 150 * 366 * 24;

/// Settles dew points by rounding; whether none of them lay further above the temperature, which must be said.
fn is_settled(measures: &[(Element, Unit)], values: &mut [f64]) -> bool {
    let place = |wanted| measures.iter().position(|(element, _)| *element == wanted);
    let unit = |place: usize| measures.get(place).map(|measure| measure.1);
    let (Some(t), Some(td)) = (place(Element::Temperature), place(Element::DewPoint)) else {
        return true;
    };
    let (Some(own_unit), Some(dew_unit)) = (unit(t), unit(td)) else {
        return false;
    };
    for hour in values.chunks_exact_mut(measures.len()) {
        let (Some(mut own), Some(mut dew)) = (hour.get(t).copied(), hour.get(td).copied()) else {
            return false;
        };
        let own = (core::slice::from_mut(&mut own), own_unit);
        let settled = settle_dew_points(own, (core::slice::from_mut(&mut dew), dew_unit));
        if settled > 0 {
            return false;
        }
        if let Some(place) = hour.get_mut(td) {
            *place = dew;
        }
    }
    true
}

/// The day of the row before, and how its time ended, as the file writes them.
#[derive(Default)]
struct Day<'b> {
    written: [u8; 10],
    /// Its midnight, were its clock that of Greenwich.
    midnight: i64,
    /// What stands behind the hour: minutes, seconds, offset.
    tail: &'b [u8],
    /// Seconds to add to the hour, for minutes and offset.
    tail_s: i64,
}

impl<'b> Day<'b> {
    /// Reads the day of a time such as 2027-03-10T09:00Z; what follows it and the T.
    fn turn_to(&mut self, field: &'b [u8]) -> Option<&'b [u8]> {
        let (written, rest) = field.split_first_chunk::<10>()?;
        if *written != self.written {
            let [y1, y2, y3, y4, b'-', m1, m2, b'-', d1, d2] = *written else {
                return None;
            };
            let two = |tens: u8, ones: u8| Some(u32::from(digit(tens)? * 10 + digit(ones)?));
            let year = i32::try_from(two(y1, y2)? * 100 + two(y3, y4)?).ok()?;
            let date = NaiveDate::from_ymd_opt(year, two(m1, m2)?, two(d1, d2)?)?;
            self.midnight = i64::from(date.num_days_from_ce() - EPOCH_DAY) * 86_400;
            self.written = *written;
        }
        match rest {
            [b'T' | b' ', rest @ ..] => Some(rest),
            _ => None,
        }
    }

    /// The instant of an hour of this day, and what follows its time.
    fn time(&mut self, field: &'b [u8]) -> Option<(i64, &'b [u8])> {
        let ([tens, ones], rest) = field.split_first_chunk::<2>()?;
        let hour = digit(*tens)? * 10 + digit(*ones)?;
        if hour > 23 {
            return None;
        }
        let rest = if !self.tail.is_empty()
            && let Some(rest) = rest.strip_prefix(self.tail)
            && matches!(rest.first(), None | Some(b',' | b'\n' | b'\r'))
        {
            rest
        } else {
            self.tail_of(rest)?
        };
        Some((self.midnight + i64::from(hour) * HOUR_S + self.tail_s, rest))
    }

    /// Reads minutes, seconds of 0 and an offset; what follows them.
    fn tail_of(&mut self, field: &'b [u8]) -> Option<&'b [u8]> {
        let ends = |byte: &u8| matches!(byte, b',' | b'\n' | b'\r');
        let end = field.iter().position(ends).unwrap_or(field.len());
        let (tail, rest) = field.split_at_checked(end)?;
        let [b':', tens, ones, behind @ ..] = tail else {
            return None;
        };
        let minutes = i64::from(digit(*tens)? * 10 + digit(*ones)?);
        let behind = behind.strip_prefix(b":00").unwrap_or(behind);
        let offset_s = match behind {
            [b'Z' | b'z'] => 0,
            [sign @ (b'+' | b'-'), h1, h2, b':', m1, m2] => {
                let hours = i64::from(digit(*h1)? * 10 + digit(*h2)?);
                let minutes = i64::from(digit(*m1)? * 10 + digit(*m2)?);
                if hours > 23 || minutes > 59 {
                    return None;
                }
                let seconds = (hours * 60 + minutes) * 60;
                if *sign == b'+' { seconds } else { -seconds }
            }
            _ => return None,
        };
        if minutes > 59 {
            return None;
        }
        (self.tail, self.tail_s) = (tail, minutes * 60 - offset_s);
        Some(rest)
    }
}
