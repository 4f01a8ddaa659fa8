//! What the weather does to a plant: degree days, chill, emergence of shoots, buds and bloom, hardiness.
//!
//! Numbers from daily or hourly temperatures; missing stays unknown and is never a zero. What is known about a plant is
//! a table with its source and its strength beside each number, and what is not known is said in words.

mod chill;
mod degree_days;
mod degree_hours;
mod gaps;
mod hourly;

pub use chill::{
    CHILL_HOUR_C, DynamicModel, chill_hours, chill_portions, since_lowest, utah_chill, utah_units,
};
pub use degree_days::{DegreeDaySums, DegreeDays, Method, Reached};
pub use degree_hours::{growing_degree_hours, growing_degree_hours_of};
pub use hourly::{Extremes, HourlyFromDaily, hourly_from_daily};
