//! What the weather does to a plant: degree days, chill, emergence of shoots, buds and bloom, hardiness.
//!
//! Numbers from daily or hourly temperatures; missing stays unknown and is never a zero. What is known about a plant is
//! a table with its source and its strength beside each number, and what is not known is said in words.

mod degree_days;
mod gaps;

pub use degree_days::{DegreeDaySums, DegreeDays, Method, Reached};
