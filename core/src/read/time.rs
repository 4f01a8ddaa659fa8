//! Times in files: ISO 8601 with offset, or local times placed by an IANA zone.

use chrono::{DateTime, NaiveDate, NaiveDateTime, TimeZone as _};
use chrono_tz::Tz;

use crate::error::{Excerpt, ReadProblem};

const EXPECTED: &str =
    "a time in ISO 8601 such as 2027-03-10T09:00-06:00, 2027-03-10T15:00Z or 2027-03-10T09:00";

/// Seconds since 1970 UTC of an ISO 8601 time. One without an offset is placed in `zone`; where the clock is put
/// back and a local time comes twice, the first that lies after `after` is meant.
///
/// # Errors
/// [`ReadProblem::Field`] for text that is no time, [`ReadProblem::NoZone`], [`ReadProblem::SkippedTime`].
///
/// ```
/// use fairspell::read::parse_time;
/// assert_eq!(parse_time("1970-01-01T02:00+01:00", None, None), Ok(3600));
/// let zone = "America/Chicago".parse().ok();
/// let first = parse_time("2027-11-07 01:00", zone, None)?;
/// assert_eq!(parse_time("2027-11-07 01:00", zone, Some(first)), Ok(first + 3600));
/// # Ok::<(), fairspell::error::ReadProblem>(())
/// ```
pub fn parse_time(text: &str, zone: Option<Tz>, after: Option<i64>) -> Result<i64, ReadProblem> {
    let fault = || ReadProblem::Field {
        expected: EXPECTED,
        found: Excerpt::of(text.as_bytes()),
    };
    let (local, offset) = parts(text.trim()).ok_or_else(fault)?;
    if let Some(offset) = offset {
        return Ok(local.and_utc().timestamp() - offset);
    }
    let zone = zone.ok_or_else(|| ReadProblem::NoZone {
        found: Excerpt::of(text.as_bytes()),
    })?;
    let placed = zone.from_local_datetime(&local);
    let (earlier, later) = (placed.earliest(), placed.latest());
    let seconds = |time: DateTime<Tz>| time.timestamp();
    let earlier = earlier
        .map(seconds)
        .ok_or_else(|| ReadProblem::SkippedTime {
            zone: zone.name(),
            found: Excerpt::of(text.as_bytes()),
        })?;
    match (after, later.map(seconds)) {
        (Some(after), Some(later)) if earlier <= after => Ok(later),
        _ => Ok(earlier),
    }
}

/// The local date of an instant in a zone; `None` outside the calendar.
#[must_use]
pub fn local_date(unix_s: i64, zone: Tz) -> Option<NaiveDate> {
    Some(
        DateTime::from_timestamp(unix_s, 0)?
            .with_timezone(&zone)
            .date_naive(),
    )
}

/// Date and time of day, and the offset from UTC in seconds where one stands behind them.
fn parts(text: &str) -> Option<(NaiveDateTime, Option<i64>)> {
    let bytes = text.as_bytes();
    let is = |at: usize, wanted: &[u8]| bytes.get(at).is_some_and(|byte| wanted.contains(byte));
    if !(is(4, b"-") && is(7, b"-") && is(10, b"T t")) {
        return None;
    }
    let year = i32::try_from(digits(bytes, 0, 4)?).ok()?;
    let date = NaiveDate::from_ymd_opt(year, digits(bytes, 5, 2)?, digits(bytes, 8, 2)?)?;
    let hour = digits(bytes, 11, 2)?;
    let (minute, second, mut at) = match (is(13, b":"), is(16, b":")) {
        (true, true) => (digits(bytes, 14, 2)?, digits(bytes, 17, 2)?, 19),
        (true, false) => (digits(bytes, 14, 2)?, 0, 16),
        _ => (0, 0, 13),
    };
    if at == 19 && is(at, b".") {
        let fraction = bytes.get(at + 1..)?;
        at += 1 + fraction
            .iter()
            .take_while(|byte| byte.is_ascii_digit())
            .count();
    }
    let local = date.and_hms_opt(hour, minute, second)?;
    match bytes.get(at..)? {
        [] => Some((local, None)),
        rest => Some((local, Some(offset(rest)?))),
    }
}

/// So many digits as a number.
fn digits(bytes: &[u8], from: usize, count: usize) -> Option<u32> {
    let mut digits = bytes.get(from..from + count)?.iter();
    digits.try_fold(0, |number, byte| {
        byte.is_ascii_digit()
            .then(|| number * 10 + u32::from(byte - b'0'))
    })
}

/// `Z`, `+hh`, `+hhmm` or `+hh:mm` in seconds; `None` for anything else.
fn offset(bytes: &[u8]) -> Option<i64> {
    let (sign, hours, minutes) = match bytes {
        [b'Z' | b'z'] => return Some(0),
        [sign, _, _] => (sign, digits(bytes, 1, 2)?, 0),
        [sign, _, _, b':', _, _] => (sign, digits(bytes, 1, 2)?, digits(bytes, 4, 2)?),
        [sign, _, _, _, _] => (sign, digits(bytes, 1, 2)?, digits(bytes, 3, 2)?),
        _ => return None,
    };
    let seconds = i64::from((hours * 60 + minutes) * 60);
    let signed = match sign {
        b'+' => seconds,
        b'-' => -seconds,
        _ => return None,
    };
    (hours < 24 && minutes < 60).then_some(signed)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chicago() -> Option<Tz> {
        "America/Chicago".parse().ok()
    }

    /// ISO 8601-1:2019, 4.3: extended format, offset with or without colon or minutes. Seconds counted by hand.
    #[test]
    fn iso_times_are_read() {
        for text in [
            "2027-03-10T15:00:00Z",
            "2027-03-10T09:00:00-06:00",
            "2027-03-10 09:00-0600",
            "2027-03-10T09:00-06",
            "2027-03-10T15:00:00.250Z",
            "2027-03-10T20:30+05:30",
            "2027-03-10T09:00",
        ] {
            assert_eq!(
                parse_time(text, chicago(), None),
                Ok(1_804_690_800),
                "{text}"
            );
        }
        for text in [
            "",
            "2027-03-10",
            "2027-13-10T09:00Z",
            "2027-03-10T25:00Z",
            "10/03/2027 09:00",
            "2027-03-10T09:00+6",
        ] {
            assert!(
                matches!(
                    parse_time(text, chicago(), None),
                    Err(ReadProblem::Field { .. })
                ),
                "{text}"
            );
        }
    }

    /// U.S. law (Energy Policy Act of 2005): clocks go forward on 14 March 2027 and back on 7 November 2027, at 02:00.
    #[test]
    fn clock_changes_are_resolved() {
        let skipped = parse_time("2027-03-14T02:30", chicago(), None);
        assert!(matches!(skipped, Err(ReadProblem::SkippedTime { .. })));
        let first = parse_time("2027-11-07T01:00", chicago(), None).unwrap();
        let second = parse_time("2027-11-07T01:00", chicago(), Some(first)).unwrap();
        assert_eq!(second - first, 3600);
        assert!(matches!(
            parse_time("2027-11-07T01:00", None, None),
            Err(ReadProblem::NoZone { .. })
        ));
    }
}
