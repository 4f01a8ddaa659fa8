//! Which hours are fit to prune or to spray dormant oil, from a forecast file, and why the others are not.
//!
//! A *spell* is a run of consecutive hours in which no rule blocks. An [`operation`] is a list of rules, each a
//! limit on a measure over a span of hours, with its source. [`read::read_hourly`] turns the bytes of a forecast
//! into a series, [`decision::decide`] answers *go*, *no-go* or *cannot tell*, with a reason for every no.
//!
//! Rules, plants and the scenario of the demo lie in the crate `fairspell-data`. Its invented week, at six on Monday:
//!
//! ```
//! use fairspell::{
//!     decision::{Question, Verdict, decide},
//!     operation::Operation,
//!     read::{Source, parse_time, read_hourly},
//!     site::Site,
//! };
//! use fairspell_data::demo;
//!
//! let site = Site::read(Source { name: "site.toml", bytes: demo::SITE.as_bytes() })?;
//! let forecast = read_hourly(Source { name: "forecast.csv", bytes: demo::FORECAST.as_bytes() }, site.zone)?;
//! let oil = Operation::built_in("oil").expect("it is built in").at_site(&site)?;
//! let decision = decide(&Question {
//!     forecast: &forecast,
//!     operation: &oil,
//!     site: &site,
//!     at: parse_time("2027-03-08T06:00", site.zone, None)?,
//!     until: None, // the end of the local day
//!     is_dry_now: false,
//!     is_strict: false,
//!     explain: None,
//! })?;
//! assert_eq!(decision.verdict, Verdict::NoGo);
//! assert_eq!(decision.spells.len(), 2); // Wednesday and Thursday
//! let next = &decision.spells[0];
//! assert_eq!(decision.interval(next.start, next.end), "Wed 10 Mar 09:00–14:00");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! The same in a program of your own: `cargo add fairspell fairspell-data`, and these lines in a function that returns
//! `Result<(), Box<dyn std::error::Error>>`. Other questions begin at [`freeze::StationFreezes::new`] (when the last freeze
//! comes, what risk a date carries), [`season::season`] (in which weeks to work, with what) and [`hindcast::hindcast`] (what
//! would have been said of past hours). All of them take bytes or numbers, and give answers that know their JSON.
//!
//! # Promises
//! - **Missing is never good.** A missing value can only make an hour *unknown*, and no unknown hour is part of a
//!   spell.
//! - **Pure.** No clock, no file, no network, no environment, no `unsafe`: time is an argument, and the same input
//!   gives the same bits on every machine. Elementary functions come from `libm`.
//! - **Every no has a reason**, every limit a source.
//! - **Any bytes** give an answer or an error with file, line and column: see [`read`] for what is bounded.
//!
//! The product's label is the law; local rules and licensed practice come first.
//!
//! # The way of the data
//! [`error`], [`quantity`], [`series`], [`read`], [`site`], [`statistics`], [`freeze`], [`air`], [`sun`], [`plant`],
//! [`operation`], [`spell`], [`confidence`], [`work`], [`decision`], [`hindcast`], [`season`]: a module uses only those before it.
#![forbid(unsafe_code)]

pub mod error;
mod json;
pub mod quantity;

pub mod series;

pub mod read;

pub mod site;

pub mod statistics;

pub mod freeze;

pub mod air;
pub mod sun;

pub mod plant;

pub mod operation;

pub mod spell;

pub mod confidence;

pub mod work;

pub mod decision;

pub mod hindcast;

pub mod season;
