//! What the weather does to a plant, and what each kind is and needs: degree days, chill, emergence of shoots, buds and
//! bloom, hardiness; the plants table.
//!
//! Numbers from daily or hourly temperatures; missing stays unknown and is never a zero. What is known about a plant is
//! a table with its source and its strength beside each number, and what is not known is said in words.

mod degree_days;
mod gaps;
mod kinds;
mod nearest;
mod stage;

pub use degree_days::{DegreeDaySums, DegreeDays, Method, Reached};
pub use kinds::{
    Group, Grown, MAX_PLANTS, Neglect, Oil, PLANTS, Plant, PlantTable, Prune, Sensitive, Size,
    Spray, Turn, Young,
};
pub use stage::{ASSUMED, Stage};
