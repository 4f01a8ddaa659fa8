//! The fast lane: rows as most files write them, in one pass over the bytes.
//!
//! Whatever is unusual (a quote, a day out of order or twice, a number with an exponent, a blank beside a value) makes
//! the lane give up on the block, and the general reader judges the same bytes. So the lane must only never take what
//! the general reader would read otherwise; a property test over the two says that it does not.

use chrono::{Datelike as _, NaiveDate};

use super::columns::Layout;
use super::record::Shape;
use super::{DailyReading, LeftOut};
use crate::read::MAX_LINE_BYTES;
use crate::read::digits::{digit, ignored, is_same, line_end, number, whole};
use crate::series::{Element, MAX_DAYS};

/// What a column of a file with a row a day holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Role {
    Station,
    Date,
    Tmin,
    Tmax,
    Ignored,
}

/// Where each value stands.
#[derive(Debug)]
enum Rows {
    /// A row a value.
    Values,
    /// A row a day: the role of each column, how many of them come with the date if the row begins with its name or its
    /// date, and by what values are divided.
    Days {
        roles: Vec<Role>,
        leading: usize,
        scale: f64,
    },
}

/// The fast lane over one file.
#[derive(Debug)]
pub(super) struct Lane {
    shape: Shape,
    rows: Rows,
    /// Values that are believed without a conversion; the others are asked about.
    sure: (f64, f64),
}

impl Lane {
    pub(super) fn new(layout: &Layout, shape: Shape) -> Self {
        let rows = match layout {
            Layout::ByStation { .. } => Rows::Values,
            Layout::Days {
                station,
                date,
                tmin,
                tmax,
                scale,
                count,
                ..
            } => {
                let role = |column: usize| match column {
                    _ if Some(column) == *station => Role::Station,
                    _ if column == *date => Role::Date,
                    _ if column == *tmin => Role::Tmin,
                    _ if shape.has_tmax && Some(column) == *tmax => Role::Tmax,
                    _ => Role::Ignored,
                };
                let roles: Vec<Role> = (0..*count).map(role).collect();
                Rows::Days {
                    leading: match roles.as_slice() {
                        [Role::Station, Role::Date, ..] => 2,
                        [Role::Date, ..] => 1,
                        _ => 0,
                    },
                    roles,
                    scale: *scale,
                }
            }
        };
        let (least, greatest) = Element::Temperature.believed_si();
        let of_si = |celsius: f64| shape.unit.of_si(celsius);
        let sure = (of_si(least + 1.0), of_si(greatest - 1.0));
        Self { shape, rows, sure }
    }

    /// Reads whole rows and gives each station, in order, to `emit`; the number of rows, or `None` where the general
    /// reader must judge (what was given to `emit` is then void).
    pub(super) fn read(
        &self,
        block: &[u8],
        mut emit: impl FnMut(&[u8], Option<DailyReading>),
    ) -> Option<u64> {
        let mut station = Station::default();
        let (mut rest, mut rows) = (block, 0);
        while !rest.is_empty() {
            let next = match &self.rows {
                Rows::Values => self.value_row(rest, &mut station, &mut emit),
                Rows::Days {
                    roles,
                    leading,
                    scale,
                } => self.day_row(rest, (roles, *leading, *scale), &mut station, &mut emit),
            }?;
            if rest.len() - next.len() > MAX_LINE_BYTES {
                return None;
            }
            (rest, rows) = (next, rows + 1);
        }
        self.finish(&mut station, &mut emit)?;
        Some(rows)
    }

    /// A row of a file with a row a day; what follows it.
    fn day_row<'b>(
        &self,
        row: &'b [u8],
        (roles, leading, scale): (&[Role], usize, f64),
        station: &mut Station<'b>,
        emit: &mut impl FnMut(&[u8], Option<DailyReading>),
    ) -> Option<&'b [u8]> {
        let (mut rest, mut name) = (row, None);
        let (mut day, mut tmin, mut tmax) = (0, None, None);
        let mut columns = roles.iter();
        if let Some(days) = station.same_beginning(row) {
            columns = roles.get(leading..)?.iter();
            (day, rest) = station.month.day(days)?;
            rest = rest.strip_prefix(b",")?;
        }
        while let Some(role) = columns.next() {
            match role {
                Role::Station => (name, rest) = station.other_name(rest)?,
                Role::Date => {
                    let days = station.month.turn_to(rest)?;
                    let is_leading = leading > 0 && name.is_none();
                    station.begin_with(row, days, is_leading)?;
                    (day, rest) = station.month.day(days)?;
                }
                Role::Tmin if scale > 1.0 => (tmin, rest) = whole(rest)?,
                Role::Tmin => (tmin, rest) = number(rest)?,
                Role::Tmax if scale > 1.0 => (tmax, rest) = whole(rest)?,
                Role::Tmax => (tmax, rest) = number(rest)?,
                Role::Ignored => rest = ignored(rest)?,
            }
            rest = if columns.len() > 0 {
                rest.strip_prefix(b",")?
            } else {
                line_end(rest)?
            };
        }
        self.turn_to(name, station, emit)?;
        if let Some(value) = tmin {
            self.keep_tmin(station, day, value / scale)?;
        }
        if let Some(value) = tmax.and_then(|value| self.believed(value / scale)) {
            station.tmax.put(day, value)?;
        }
        Some(rest)
    }

    /// A row of GHCN-Daily by station; what follows it.
    fn value_row<'b>(
        &self,
        row: &'b [u8],
        station: &mut Station<'b>,
        emit: &mut impl FnMut(&[u8], Option<DailyReading>),
    ) -> Option<&'b [u8]> {
        let (name, days) = if let Some(days) = station.same_beginning(row) {
            (None, days)
        } else {
            let (name, rest) = station.other_name(row)?;
            let days = station.month.turn_to(rest.strip_prefix(b",")?)?;
            station.begin_with(row, days, name.is_none())?;
            (name, days)
        };
        let (day, rest) = station.month.day(days)?;
        let (element, rest) = rest.strip_prefix(b",")?.split_first_chunk::<4>()?;
        let rest = rest.strip_prefix(b",")?;
        let is_tmin = element == b"TMIN";
        let is_tmax = element == b"TMAX" && self.shape.has_tmax;
        if !(is_tmin || is_tmax) {
            let is_plain = element.iter().all(u8::is_ascii_alphanumeric);
            let (_, rest) = station.tail(*element)?.read(ignored(rest)?)?;
            return is_plain.then_some(rest);
        }
        let (value, rest) = whole(rest)?;
        let (is_flagged, rest) = station.tail(*element)?.read(rest)?;
        self.turn_to(name, station, emit)?;
        match value {
            Some(_) if is_flagged => station.left_out.flagged += u64::from(is_tmin),
            Some(value) if value > -9999.0 && is_tmin => {
                self.keep_tmin(station, day, value / 10.0)?;
            }
            Some(value) if value > -9999.0 => {
                if let Some(value) = self.believed(value / 10.0) {
                    station.tmax.put(day, value)?;
                }
            }
            _ => {}
        }
        Some(rest)
    }

    /// Turns to the station of a row, if it is another than that of the row before.
    fn turn_to<'b>(
        &self,
        name: Option<&'b [u8]>,
        station: &mut Station<'b>,
        emit: &mut impl FnMut(&[u8], Option<DailyReading>),
    ) -> Option<()> {
        if name.is_some() || station.name.is_none() {
            self.finish(station, emit)?;
            station.name = Some(name.unwrap_or_default());
        }
        Some(())
    }

    fn keep_tmin(&self, station: &mut Station<'_>, day: i32, value: f64) -> Option<()> {
        match self.believed(value) {
            Some(value) => station.tmin.put(day, value)?,
            None => station.left_out.impossible += 1,
        }
        Some(())
    }

    fn believed(&self, value: f64) -> Option<f64> {
        if value > self.sure.0 && value < self.sure.1 {
            Some(value)
        } else {
            Element::Temperature.believed(value, self.shape.unit)
        }
    }

    /// Ends the station that is being read.
    fn finish(
        &self,
        station: &mut Station<'_>,
        emit: &mut impl FnMut(&[u8], Option<DailyReading>),
    ) -> Option<()> {
        let Some(name) = station.name.take() else {
            return Some(());
        };
        let tmin = core::mem::take(&mut station.tmin);
        let tmax = core::mem::take(&mut station.tmax);
        let left_out = core::mem::take(&mut station.left_out);
        if tmin.values.is_empty() {
            emit(name, None);
            return Some(());
        }
        let tmax = if self.shape.has_tmax {
            tmax.laid(tmin.first, tmin.values.len())
        } else {
            Vec::new()
        };
        let first = NaiveDate::from_num_days_from_ce_opt(tmin.first)?;
        let reading = self
            .shape
            .reading(name, first, (tmin.values, tmax), left_out);
        emit(name, Some(reading.ok()?));
        Some(())
    }
}

/// Tails that are remembered: enough for the elements that most stations have.
const TAILS: usize = 16;

/// The station that is being read, and what its rows have in common with those before.
#[derive(Default)]
struct Station<'b> {
    name: Option<&'b [u8]>,
    /// A row of the station before this one, up to the day of its month; empty if that is not to be relied on.
    beginning: &'b [u8],
    tmin: Column,
    tmax: Column,
    left_out: LeftOut,
    month: Month,
    tails: [Tail<'b>; TAILS],
}

impl<'b> Station<'b> {
    /// The tail of the row before with this element; another element may have left its own in the same place.
    fn tail(&mut self, [_, second, _, last]: [u8; 4]) -> Option<&mut Tail<'b>> {
        self.tails.get_mut(usize::from(second ^ last) % TAILS)
    }

    /// Remembers how a row of the station that is being read begins, or that the next row begins otherwise.
    fn begin_with(&mut self, row: &'b [u8], days: &'b [u8], is_of_station: bool) -> Option<()> {
        let length = if is_of_station {
            row.len() - days.len()
        } else {
            0
        };
        self.beginning = row.get(..length)?;
        Some(())
    }

    /// The day of the month in a row of the same station and month as the row before, and what follows.
    fn same_beginning(&self, row: &'b [u8]) -> Option<&'b [u8]> {
        let (beginning, days) = row.split_at_checked(self.beginning.len())?;
        is_same(beginning, self.beginning).then_some(days)
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
}

/// Values of days that rise.
#[derive(Default)]
struct Column {
    first: i32,
    values: Vec<f64>,
}

impl Column {
    /// Adds a day's value; `None` where the day is not after all before it, or too far after the first.
    fn put(&mut self, day: i32, value: f64) -> Option<()> {
        if self.values.is_empty() {
            self.first = day;
        }
        let index = usize::try_from(day - self.first).ok()?;
        if index != self.values.len() {
            if index < self.values.len() || index >= MAX_DAYS {
                return None;
            }
            self.values.resize(index, f64::NAN);
        }
        self.values.push(value);
        Some(())
    }

    /// The values of so many days from the day `first` on.
    fn laid(self, first: i32, count: usize) -> Vec<f64> {
        if self.first == first && self.values.len() == count {
            return self.values;
        }
        let mut days = vec![f64::NAN; count];
        for (day, value) in (i64::from(self.first) - i64::from(first)..).zip(self.values) {
            let place = usize::try_from(day).ok();
            if let Some(place) = place.and_then(|place| days.get_mut(place)) {
                *place = value;
            }
        }
        days
    }
}

/// The month of the row before, as the file writes it.
#[derive(Default)]
struct Month {
    written: [u8; 8],
    /// Number of the day before its first, counted from the year 1.
    before: i32,
    days: u8,
}

impl Month {
    /// Reads the month of a date such as 2027-04-10 or 20270410; what follows it.
    fn turn_to<'b>(&mut self, field: &'b [u8]) -> Option<&'b [u8]> {
        let (written, days) = if field.get(4) == Some(&b'-') {
            let (written, days) = field.split_first_chunk::<8>()?;
            (*written, days)
        } else {
            let ([y1, y2, y3, y4, m1, m2], days) = field.split_first_chunk::<6>()?;
            ([*y1, *y2, *y3, *y4, *m1, *m2, 0, 0], days)
        };
        if written != self.written {
            self.lay_out(written)?;
        }
        Some(days)
    }

    /// Number of a day of this month, and what follows it.
    fn day<'b>(&self, days: &'b [u8]) -> Option<(i32, &'b [u8])> {
        let ([tens, ones], rest) = days.split_first_chunk::<2>()?;
        let day = digit(*tens)? * 10 + digit(*ones)?;
        let is_day = day > 0 && day <= self.days;
        is_day.then_some((self.before + i32::from(day), rest))
    }

    fn lay_out(&mut self, written: [u8; 8]) -> Option<()> {
        let (year, month) = match written {
            [y1, y2, y3, y4, b'-', m1, m2, b'-'] | [y1, y2, y3, y4, m1, m2, 0, 0] => {
                ([y1, y2, y3, y4], [m1, m2])
            }
            _ => return None,
        };
        let whole = |digits: &[u8]| {
            let mut digits = digits.iter();
            digits.try_fold(0_u16, |number, byte| {
                Some(number * 10 + u16::from(digit(*byte)?))
            })
        };
        let (year, month) = (i32::from(whole(&year)?), u32::from(whole(&month)?));
        let first = NaiveDate::from_ymd_opt(year, month, 1)?.num_days_from_ce();
        let next = if month == 12 {
            (year + 1, 1)
        } else {
            (year, month + 1)
        };
        let next = NaiveDate::from_ymd_opt(next.0, next.1, 1)?.num_days_from_ce();
        let days = u8::try_from(next - first).ok()?;
        (self.written, self.before, self.days) = (written, first - 1, days);
        Some(())
    }
}

/// What stands behind the value in a row of GHCN-Daily by station: mostly the same as in the row before.
#[derive(Default)]
struct Tail<'b> {
    written: &'b [u8],
    is_flagged: bool,
}

impl<'b> Tail<'b> {
    /// Whether the quality flag is set, and what follows the row.
    fn read(&mut self, tail: &'b [u8]) -> Option<(bool, &'b [u8])> {
        if !self.written.is_empty()
            && let Some(rest) = tail.strip_prefix(self.written)
        {
            return Some((self.is_flagged, rest));
        }
        let end = memchr::memchr(b'\n', tail).map_or(tail.len(), |end| end + 1);
        let (written, rest) = tail.split_at_checked(end)?;
        let line = written.strip_suffix(b"\n").unwrap_or(written);
        let line = line
            .strip_suffix(b"\r")
            .unwrap_or(line)
            .strip_prefix(b",")?;
        if !line.is_ascii() || memchr::memchr2(b'"', b'\r', line).is_some() {
            return None;
        }
        let fields = line.split(|byte| *byte == b',');
        if !(3..=4).contains(&fields.clone().count()) {
            return None;
        }
        let mut quality = fields.skip(1);
        self.is_flagged = !quality.next()?.trim_ascii().is_empty();
        self.written = if written.ends_with(b"\n") {
            written
        } else {
            b""
        };
        Some((self.is_flagged, rest))
    }
}

#[cfg(test)]
mod tests {
    use crate::read::daily::{DailyOptions, SummaryUnits, open};
    use crate::read::stream::{Opening, Plan as _};

    /// Rows that the lane reads of a file, and the minima of its stations; `None` where it gives up.
    fn read(file: &str) -> Option<(u64, Vec<f64>)> {
        let units = Some(SummaryUnits::Tenths);
        let options = DailyOptions {
            units,
            ..DailyOptions::default()
        };
        let Opening::Rows(plan) = open("a.csv", file.as_bytes(), true, options) else {
            unreachable!("{file} is read by rows")
        };
        let mut minima = Vec::new();
        let rows = plan
            .lane()
            .read(&file.as_bytes()[plan.first().start()..], |_, reading| {
                minima.extend(reading.iter().flat_map(|reading| reading.series.tmin()));
            })?;
        Some((rows, minima))
    }

    /// The contract, section 6: the layouts as most files write them go by the fast lane. Values read off the rows.
    #[test]
    fn usual_rows_go_by_the_lane() {
        for (file, rows, minima) in [
            (
                "station,date,tmin_f\nA,2027-04-01,33\nA,2027-04-02,-2.5\nB,2027-04-01,0\n",
                3,
                &[33.0, -2.5, 0.0][..],
            ),
            ("date,tmin_c\r\n20270401,1\r\n20270402,2", 2, &[1.0, 2.0]),
            (
                "note,tmax_c,tmin_c,date\nfog,9,,2027-04-01\n,,5.25,2027-04-02\n",
                2,
                &[5.25],
            ),
            (
                "STATION,DATE,TMAX,TMIN\nS1,2027-04-01,122,-22\n",
                1,
                &[-2.2],
            ),
            (
                "ID1,20270401,TMAX,90,,,W,2400\nID1,20270401,TMIN,-22,,,W,\nID1,20270401,PRCP,0,T,,W,2400\n\
              ID1,20270402,TMIN,-9999,,,W,\nID1,20270403,TMIN,5,,I,W,\nID1,20270404,TMIN,11,,,W,\n",
                6,
                &[-2.2, f64::NAN, f64::NAN, 1.1],
            ),
        ] {
            let found = read(file);
            assert_eq!(
                format!("{found:?}"),
                format!("{:?}", Some((rows, minima.to_vec()))),
                "{file}"
            );
        }
    }

    /// The contract, section 9: whatever is unusual is left to the general reader.
    #[test]
    fn unusual_rows_are_left_alone() {
        for row in [
            "\"A\",2027-04-01,33",
            "A,2027-04-01, 33",
            " A,2027-04-01,33",
            "A,2027-04-01,3e1",
            "A,2027-04-01,+3",
            "A,2027-04-01,33,",
            "A,2027-04-01",
            "A,2027-04-31,33",
            "A,2027-4-1,33",
            "A,2027-04-01,33\rA,2027-04-02,33",
            "A,2027-04-02,33\nA,2027-04-01,33",
            "A,2027-04-01,33\nA,2027-04-01,33",
            "A,2027-04-01,1234567890",
            "",
        ] {
            assert_eq!(
                read(&format!("station,date,tmin_f\n{row}\nB,2027-04-01,1\n")),
                None,
                "{row}"
            );
        }
    }
}
