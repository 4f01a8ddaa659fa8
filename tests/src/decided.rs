//! A decision in UTC on a few hours, by rules given as text.

use fairspell::decision::{Decision, ExplainAt, Question, decide};
use fairspell::operation::Operation;
use fairspell::read::{Source, read_hourly};
use fairspell::site::Site;

type Decided = Result<Decision, Box<dyn std::error::Error>>;

/// What is decided at a time \[s since 1970 UTC\] of the six hours from then on.
///
/// # Errors
/// What the file, the rules or the question lack.
pub fn decided(csv: &str, rules: &[u8], at: i64) -> Decided {
    within(csv.as_bytes(), rules, (at, at + 6 * 3600), None)
}

/// The same between two times, of a file in any format; an hour may be explained.
///
/// # Errors
/// As [`decided`].
pub fn within(
    bytes: &[u8],
    rules: &[u8],
    (at, until): (i64, i64),
    explain: Option<ExplainAt>,
) -> Decided {
    let name = "hours.csv";
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
        until: Some(until),
        is_dry_now: false,
        is_strict: false,
        explain,
    })?)
}
