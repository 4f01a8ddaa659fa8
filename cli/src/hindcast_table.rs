//! Spells of past hours as CSV: one row a spell.

use chrono::{DateTime, Datelike as _, Offset as _, TimeZone as _};
use chrono_tz::Tz;
use fairspell::hindcast::Hindcast;

use crate::freeze_table::quoted;

/// The names of the columns.
pub const HEADER: &str = "station,start,end,hours\n";
/// Seconds in a day without a clock change.
const DAY_S: i64 = 86_400;

/// The rows of a station.
pub fn rows(answer: &Hindcast) -> String {
    let station = quoted(&answer.station);
    let mut rows = String::with_capacity(answer.spells.len() * (station.len() + 60));
    let mut clock = Clock::new(answer.zone);
    for spell in &answer.spells {
        rows.push_str(&station);
        for time in [spell.start, spell.end] {
            rows.push(',');
            clock.write(&mut rows, time);
        }
        rows.push(',');
        rows.push_str(&spell.hours().to_string());
        rows.push('\n');
    }
    rows
}

/// Times with offset in ISO 8601, most of which lie on the day of the one before.
struct Clock {
    zone: Tz,
    /// Beginning of the day that was written last, on the place's clock as if it were UTC.
    day: i64,
    date: String,
    offset_s: i64,
    offset: String,
    /// The UTC day whose offset is the same at both its ends: none is changed and changed back within one.
    same: Option<i64>,
}

impl Clock {
    fn new(zone: Tz) -> Self {
        Self {
            zone,
            day: i64::MIN,
            date: String::new(),
            offset_s: i64::MIN,
            offset: String::new(),
            same: None,
        }
    }

    fn write(&mut self, out: &mut String, time: i64) {
        let offset_s = self.offset_s(time);
        if offset_s != self.offset_s || self.offset.is_empty() {
            let (sign, size) = (if offset_s < 0 { '-' } else { '+' }, offset_s.abs() / 60);
            (self.offset_s, self.offset) =
                (offset_s, format!("{sign}{:02}:{:02}", size / 60, size % 60));
        }
        let local = time + offset_s;
        let day = local - local.rem_euclid(DAY_S);
        if day != self.day {
            self.day = day;
            let date = DateTime::from_timestamp(day, 0).map(|at| at.date_naive());
            self.date.clear();
            if let Some(date) = date {
                let year = u32::try_from(date.year()).unwrap_or(0);
                for part in [year / 100, year % 100] {
                    two(&mut self.date, part);
                }
                for part in [date.month(), date.day()] {
                    self.date.push('-');
                    two(&mut self.date, part);
                }
                self.date.push('T');
            }
        }
        out.push_str(&self.date);
        let seconds = u32::try_from(local - day).unwrap_or(0);
        for (part, behind) in [
            (seconds / 3600, ":"),
            (seconds / 60 % 60, ":"),
            (seconds % 60, ""),
        ] {
            two(out, part);
            out.push_str(behind);
        }
        out.push_str(&self.offset);
    }

    fn offset_s(&mut self, time: i64) -> i64 {
        let utc_day = time.div_euclid(DAY_S);
        if self.same != Some(utc_day) {
            let (first, last) = (
                self.asked(utc_day * DAY_S),
                self.asked((utc_day + 1) * DAY_S),
            );
            if first != last {
                self.same = None;
                return self.asked(time);
            }
            self.same = Some(utc_day);
            if first != self.offset_s {
                self.offset.clear();
                self.offset_s = first;
            }
        }
        self.offset_s
    }

    fn asked(&self, time: i64) -> i64 {
        DateTime::from_timestamp(time, 0).map_or(0, |utc| {
            let offset = self.zone.offset_from_utc_datetime(&utc.naive_utc());
            i64::from(offset.fix().local_minus_utc())
        })
    }
}

/// Two digits of a number below 100.
fn two(out: &mut String, number: u32) {
    for digit in [number / 10 % 10, number % 10] {
        out.push(char::from_digit(digit, 10).unwrap_or('0'));
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a check may stop at the first surprise")]
mod tests {
    use super::*;
    use chrono::SecondsFormat;

    /// The general library's own words for the same times, across clock changes by an hour and by half an hour.
    #[test]
    fn times_are_those_of_the_general_library() {
        for (zone, start) in [
            (Tz::UTC, 0),
            (Tz::America__Chicago, 1_805_000_000),
            (Tz::Australia__Lord_Howe, 1_806_700_000),
            (Tz::Asia__Kolkata, -1_000_000),
            (Tz::Pacific__Auckland, 1_821_800_000),
        ] {
            let mut clock = Clock::new(zone);
            for step in 0..500 {
                let time = start + step * 1799;
                let mut own = String::new();
                clock.write(&mut own, time);
                let at = DateTime::from_timestamp(time, 0)
                    .unwrap()
                    .with_timezone(&zone);
                assert_eq!(own, at.to_rfc3339_opts(SecondsFormat::Secs, false));
            }
        }
    }
}
