//! The fast lane: the rows of one station as most files write them, in one pass over the bytes.
//!
//! Whatever is unusual (a quote, a day out of order, a number that is none) makes the lane give up, and the general
//! reader judges the same bytes; so both give the same answer on every input, which a property test holds.

use chrono::NaiveDate;

use super::columns::Layout;
use super::{DailyFormat, DailyOptions, DailyReading, LeftOut};
use crate::quantity::Unit;
use crate::series::{DailySeries, Element, MAX_DAYS};

/// Where the rows of the first station of `bytes` end, which begin with a row: at the first row of another station.
/// `None` where all rows that are whole have the same station. Rows of a station stand together in a file that can be
/// read; the reader of the block finds out where they do not.
#[must_use]
pub fn station_end(bytes: &[u8], column: usize) -> Option<usize> {
    let first = field(bytes, column);
    let whole = memchr::memrchr(b'\n', bytes)? + 1;
    let start_of = |at: usize| {
        let line = bytes.get(..at).unwrap_or_default();
        memchr::memrchr(b'\n', line).map_or(0, |end| end + 1)
    };
    let is_same = |at: usize| field(bytes.get(at..).unwrap_or_default(), column) == first;
    let last = start_of(whole - 1);
    if is_same(last) {
        return None;
    }
    let (mut same, mut other) = (0, last);
    loop {
        let middle = start_of(same + (other - same) / 2);
        let next = if middle > same {
            middle
        } else {
            let rest = bytes.get(same..other).unwrap_or_default();
            same + memchr::memchr(b'\n', rest).map_or(other - same, |end| end + 1)
        };
        if next >= other {
            return Some(other);
        }
        if is_same(next) {
            same = next;
        } else {
            other = next;
        }
    }
}

/// The field of a column of the first line.
pub(super) fn field(line: &[u8], column: usize) -> &[u8] {
    let end = memchr::memchr2(b'\n', b'\r', line).unwrap_or(line.len());
    line.get(..end)
        .unwrap_or_default()
        .split(|byte| *byte == b',')
        .nth(column)
        .unwrap_or_default()
}

/// Reads one station's rows; `None` where the general reader must.
pub(super) fn read(block: &[u8], layout: &Layout, options: DailyOptions) -> Option<DailyReading> {
    if !options.is_minima_only || memchr::memchr2(b'"', b'\r', block).is_some() {
        return None;
    }
    let name_end = memchr::memchr(b',', block)? + 1;
    let mut days = Days::default();
    let (format, unit) = (layout.format(), layout.unit());
    let mut rest = block;
    match layout {
        Layout::ByStation { .. } => {
            while !rest.is_empty() {
                rest = days.value_row(rest.strip_prefix(block.get(..name_end)?)?)?;
            }
        }
        Layout::Days {
            station: Some(0),
            date: 1,
            tmin: 2,
            count: 3,
            scale,
            ..
        } if *scale < 2.0 => {
            while !rest.is_empty() {
                rest = days.day_row(rest.strip_prefix(block.get(..name_end)?)?, unit)?;
            }
        }
        Layout::Days { .. } => return None,
    }
    let station = core::str::from_utf8(block.get(..name_end - 1)?).ok()?;
    if station.trim() != station {
        return None;
    }
    days.into_reading(station, format, unit, options)
}

/// Minima as they come, day after day.
#[derive(Default)]
struct Days {
    first: Option<NaiveDate>,
    next: Clock,
    tmin: Vec<f64>,
    left_out: LeftOut,
}

/// The day that is expected next, as files write it.
#[derive(Default)]
struct Clock {
    year: u32,
    month: u32,
    day: u32,
    written: [u8; 8],
}

impl Days {
    /// A row of plain CSV behind its station: date, minimum, and what follows.
    fn day_row<'a>(&mut self, row: &'a [u8], unit: Unit) -> Option<&'a [u8]> {
        let (date, row) = row.split_at_checked(11)?;
        let [y1, y2, y3, y4, b'-', m1, m2, b'-', d1, d2, b','] = *date else {
            return None;
        };
        let (value, row) = number(row)?;
        let rest = match row {
            [b'\n', rest @ ..] => rest,
            [] => row,
            _ => return None,
        };
        self.add([y1, y2, y3, y4, m1, m2, d1, d2], value, unit)?;
        Some(rest)
    }

    /// A row of GHCN-Daily by station behind its station.
    fn value_row<'a>(&mut self, row: &'a [u8]) -> Option<&'a [u8]> {
        let end = memchr::memchr(b'\n', row).unwrap_or(row.len());
        let (line, rest) = row.split_at_checked(end)?;
        let rest = rest.get(1..).unwrap_or_default();
        let (date, line) = line.split_at_checked(9)?;
        let [y1, y2, y3, y4, m1, m2, d1, d2, b','] = *date else {
            return None;
        };
        let [e1, e2, e3, e4, b',', line @ ..] = line else {
            return None;
        };
        let commas = memchr::memchr_iter(b',', line).count();
        if [*e1, *e2, *e3, *e4] != *b"TMIN" {
            return (commas == 4 || commas == 3)
                .then_some(rest)
                .filter(|_| [e1, e2, e3, e4].into_iter().all(|byte| *byte != b','));
        }
        let (value, line) = number(line)?;
        if !(3..=4).contains(&commas) {
            return None;
        }
        let [b',', line @ ..] = line else { return None };
        let mut flags = line.split(|byte| *byte == b',');
        let (_, quality) = (flags.next()?, flags.next()?);
        if line.iter().any(u8::is_ascii_whitespace) {
            return None;
        }
        let written = [y1, y2, y3, y4, m1, m2, d1, d2];
        match value {
            None => self.add(written, None, Unit::Celsius)?,
            Some(_) if !quality.is_empty() => {
                self.left_out.flagged += 1;
                self.add(written, None, Unit::Celsius)?;
            }
            Some(value) if value <= -9999.0 => self.add(written, None, Unit::Celsius)?,
            Some(value) => self.add(written, Some(value / 10.0), Unit::Celsius)?,
        }
        Some(rest)
    }

    /// Adds a day's value; `None` where the day does not come after those before.
    fn add(&mut self, written: [u8; 8], value: Option<f64>, unit: Unit) -> Option<()> {
        if self.first.is_none() || written != self.next.written {
            self.jump_to(written)?;
        }
        let known = value.map(|value| Element::Temperature.believed(value, unit));
        if known == Some(None) {
            self.left_out.impossible += 1;
        }
        self.tmin.push(known.flatten().unwrap_or(f64::NAN));
        self.next.advance();
        Some(())
    }

    /// Leaves days missing up to a date.
    fn jump_to(&mut self, written: [u8; 8]) -> Option<()> {
        let number = |digits: &[u8]| {
            digits.iter().try_fold(0_u32, |number, byte| {
                byte.is_ascii_digit()
                    .then(|| number * 10 + u32::from(byte - b'0'))
            })
        };
        let [year @ .., _, _, _, _] = &written;
        let (year, rest) = (number(year)?, written.get(4..)?);
        let (month, day) = (number(rest.get(..2)?)?, number(rest.get(2..)?)?);
        let date = NaiveDate::from_ymd_opt(i32::try_from(year).ok()?, month, day)?;
        let first = *self.first.get_or_insert(date);
        let place = usize::try_from(date.signed_duration_since(first).num_days()).ok()?;
        if place < self.tmin.len() || place >= MAX_DAYS {
            return None;
        }
        self.tmin.resize(place, f64::NAN);
        self.next = Clock {
            year,
            month,
            day,
            written,
        };
        Some(())
    }

    fn into_reading(
        mut self,
        station: &str,
        format: DailyFormat,
        unit: Unit,
        options: DailyOptions,
    ) -> Option<DailyReading> {
        // The record begins and ends with a day that has a minimum, as the general reader has it.
        let leading = self.tmin.iter().take_while(|value| value.is_nan()).count();
        let trailing = self
            .tmin
            .iter()
            .rev()
            .take_while(|value| value.is_nan())
            .count();
        if leading == self.tmin.len() {
            return None;
        }
        self.tmin.truncate(self.tmin.len() - trailing);
        self.tmin.drain(..leading);
        let first = self.first? + chrono::TimeDelta::days(i64::try_from(leading).ok()?);
        let is_us = format == DailyFormat::ByStation && station.starts_with("US");
        let is_whole = options.is_whole_fahrenheit.unwrap_or(is_us);
        let series = DailySeries::new(station, first, self.tmin, unit, is_whole).ok()?;
        Some(DailyReading {
            series,
            format,
            left_out: self.left_out,
        })
    }
}

impl Clock {
    /// The day after.
    fn advance(&mut self) {
        let is_leap = self.year.rem_euclid(4) == 0
            && (self.year.rem_euclid(100) != 0 || self.year.rem_euclid(400) == 0);
        let days = match self.month {
            2 => 28 + u32::from(is_leap),
            4 | 6 | 9 | 11 => 30,
            _ => 31,
        };
        self.day += 1;
        if self.day > days {
            (self.day, self.month) = (1, self.month + 1);
        }
        if self.month > 12 {
            (self.month, self.year) = (1, self.year + 1);
        }
        let [y1, y2, y3, y4, m1, m2, d1, d2] = &mut self.written;
        (*d1, *d2) = (digit(self.day / 10), digit(self.day));
        if self.day == 1 {
            (*m1, *m2) = (digit(self.month / 10), digit(self.month));
            (*y1, *y2) = (digit(self.year / 1000), digit(self.year / 100));
            (*y3, *y4) = (digit(self.year / 10), digit(self.year));
        }
    }
}

fn digit(number: u32) -> u8 {
    b'0' + u8::try_from(number % 10).unwrap_or(0)
}

/// A plain decimal number, or a blank, and what follows it; at most fifteen digits, which a division gives exactly as the
/// general reader does.
fn number(row: &[u8]) -> Option<(Option<f64>, &[u8])> {
    let (is_negative, digits) = match row {
        [b'-', rest @ ..] => (true, rest),
        _ => (false, row),
    };
    let (mut whole, mut count, mut behind, mut has_point) = (0_u64, 0, 0_usize, false);
    let mut at = 0;
    for byte in digits {
        match byte {
            b'0'..=b'9' => {
                (whole, count) = (whole * 10 + u64::from(byte - b'0'), count + 1);
                behind += usize::from(has_point);
            }
            b'.' if !has_point => has_point = true,
            _ => break,
        }
        at += 1;
        if count > 15 {
            return None;
        }
    }
    let rest = digits.get(at..)?;
    if count == 0 {
        return (!is_negative && !has_point).then_some((None, rest));
    }
    let scales: [f64; 16] = [
        1.0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
    ];
    let value = whole as f64 / scales.get(behind)?;
    Some((Some(if is_negative { 0.0 - value } else { value }), rest))
}
