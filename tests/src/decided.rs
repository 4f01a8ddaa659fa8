//! A decision in UTC on a few hours of plain CSV, by rules given as text.

use fairspell::decision::{Decision, Question, decide};
use fairspell::operation::Operation;
use fairspell::read::{Source, read_hourly};
use fairspell::site::Site;

/// What is decided at a time \[s since 1970 UTC\] of the six hours from then on.
///
/// # Errors
/// What the file, the rules or the question lack.
pub fn decided(csv: &str, rules: &[u8], at: i64) -> Result<Decision, Box<dyn std::error::Error>> {
    let (name, bytes) = ("hours.csv", csv.as_bytes());
    let forecast = read_hourly(Source { name, bytes }, None)?;
    let (name, bytes) = ("work.toml", rules);
    let operation = Operation::read(Source { name, bytes })?;
    let site = Site {
        zone: Some(chrono_tz::UTC),
        ..Site::default()
    };
    Ok(decide(&Question {
        forecast: &forecast,
        operation: &operation,
        site: &site,
        at,
        until: Some(at + 6 * 3600),
        is_dry_now: false,
        is_strict: false,
        explain: None,
    })?)
}
