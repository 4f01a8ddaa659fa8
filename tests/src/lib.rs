//! What the checks across the crates share: a slow evaluator that is plain to read, random weather and rules to try it
//! on, what holds every spell against it, all answers as a few numbers, the invented week that tables of cases start from,
//! invented daily records and winters, decisions on a few hours, pages made readable, what builds and runs programs in C,
//! the program as it is installed, and what hostile files hold.
//!
//! Nothing here knows how the engine works; it is written from the contract's definitions alone. A case starts from a week that
//! goes, and changes it:
//!
//! ```
//! use fairspell::read::{Source, read_hourly};
//! use fairspell_tests::week::{HOURS, Week};
//!
//! let csv = Week::default().with("rain_mm", 5..6, "2.5").csv();
//! let week = read_hourly(Source { name: "week.csv", bytes: csv.as_bytes() }, None)?;
//! assert_eq!(week.members[0].hours(), HOURS);
//! # Ok::<(), fairspell::error::ReadError>(())
//! ```

pub mod binary;
pub mod bits;
pub mod c;
pub mod daily;
pub mod decided;
pub mod evaluator;
pub mod hostile;
pub mod html;
pub mod installed;
pub mod past;
pub mod prototypes;
pub mod questions;
pub mod scenario;
pub mod scores;
pub mod targets;
pub mod verdicts;
pub mod week;
pub mod winters;
