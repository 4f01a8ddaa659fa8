//! Instants and dates as seconds.

use chrono::{DateTime, NaiveDate, NaiveTime};

use crate::status::Fault;

/// No instant, or no date: the least number there is.
pub const FAIRSPELL_NO_TIME: i64 = i64::MIN;

/// Seconds in a day.
const DAY_S: i64 = 86_400;

/// The date whose midnight in UTC is so many seconds after 1970.
pub(crate) fn date(seconds: i64, what: &str) -> Result<NaiveDate, Fault> {
    let is_midnight = seconds.rem_euclid(DAY_S) == 0;
    let time = DateTime::from_timestamp(seconds, 0).filter(|_| is_midnight);
    time.map(|time| time.date_naive()).ok_or_else(|| {
        Fault::range(format!(
            "expected midnight UTC of {what} in seconds since 1970, found {seconds}"
        ))
    })
}

/// The same, or `None` for no date.
pub(crate) fn optional_date(seconds: i64, what: &str) -> Result<Option<NaiveDate>, Fault> {
    if seconds == FAIRSPELL_NO_TIME {
        return Ok(None);
    }
    date(seconds, what).map(Some)
}

/// Midnight of a date in UTC \[s since 1970\].
pub(crate) fn seconds(date: NaiveDate) -> i64 {
    date.and_time(NaiveTime::MIN).and_utc().timestamp()
}

/// The same, or the mark of none.
pub(crate) fn seconds_or_none(date: Option<NaiveDate>) -> i64 {
    date.map_or(FAIRSPELL_NO_TIME, seconds)
}

/// An instant, or `None` for no time.
pub(crate) fn optional_time(seconds: i64) -> Option<i64> {
    (seconds != FAIRSPELL_NO_TIME).then_some(seconds)
}
