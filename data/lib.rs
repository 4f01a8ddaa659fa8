//! What fairspell has built in, as its files stand: operations, the plants table, and the scenario of the demo.
//!
//! Rules and plants are data, each limit and row with its published source beside it. The engine, crate `fairspell`,
//! reads them; here they are text, without a reader, so that whatever embeds them is built from one copy.
//!
//! ```
//! use fairspell_data::{OIL, PLANTS, demo};
//!
//! assert!(OIL.contains("[[rule]]") && OIL.contains("source = "));
//! assert!(PLANTS.contains("[[plant]]"));
//! assert_eq!(demo::FORECAST.lines().count(), 1 + 168); // a header and seven days of hours, invented
//! ```
//!
//! The package also has the examples of operations (`operations/examples`) and the JSON Schemas of the engine's answers
//! (`schema`). It has no dependency. A change of a limit or row is a new version, which the engine names exactly.
#![no_std]
#![forbid(unsafe_code)]

/// The operation that sprays dormant oil.
pub const OIL: &str = include_str!("operations/oil.toml");
/// The operation that prunes.
pub const PRUNE: &str = include_str!("operations/prune.toml");
/// The plants table: when each kind is cut, how hard, whether it is oiled, minutes and spray for one.
pub const PLANTS: &str = include_str!("plants.toml");

/// An invented place with an invented week of weather: nothing in it was measured or forecast.
pub mod demo {
    /// Place, time zone, garden.
    pub const SITE: &str = include_str!("demo/site.toml");
    /// A forecast of 168 hours from Monday 8 March 2027.
    pub const FORECAST: &str = include_str!("demo/forecast.csv");
    /// The 24 hours before it, as if measured.
    pub const OBSERVED: &str = include_str!("demo/observed.csv");
    /// A log of three sprayings that never were.
    pub const DONE: &str = include_str!("demo/done.csv");
    /// Daily extremes from 1992 to 2027, as if a station had kept them.
    pub const STATION: &str = include_str!("demo/station.csv");
}
