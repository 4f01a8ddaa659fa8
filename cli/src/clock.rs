//! The machine's clock: the one place that asks it.

use std::time::{SystemTime, UNIX_EPOCH};

use crate::failure::Failure;

/// The clock, asked once and passed on.
pub fn now() -> Result<i64, Failure> {
    let since = SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .map_err(|_| Failure::Clock)?;
    i64::try_from(since.as_secs()).map_err(|_| Failure::Clock)
}
