//! Now: the machine's clock, which is asked here alone, or the time that the user gives.

use std::time::{SystemTime, UNIX_EPOCH};

use chrono_tz::Tz;
use fairspell::read::parse_time;

use crate::failure::Failure;

/// The time given with `--at`, else the clock's.
pub fn now_or(at: Option<&str>, zone: Option<Tz>) -> Result<i64, Failure> {
    at.map_or_else(now, |text| time_of("--at", text, zone))
}

/// The time that an argument says, on the place's clock where it has no offset.
pub fn time_of(argument: &str, text: &str, zone: Option<Tz>) -> Result<i64, Failure> {
    parse_time(text, zone, None).map_err(|problem| Failure::Usage(format!("{argument}: {problem}")))
}

/// The clock, asked once and passed on.
pub fn now() -> Result<i64, Failure> {
    let since = SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .map_err(|_| Failure::Clock)?;
    i64::try_from(since.as_secs()).map_err(|_| Failure::Clock)
}
