//! What the weather does to a plant, and what each kind is and needs: degree days, chill, emergence of shoots, buds and
//! bloom, hardiness; the plants table.
//!
//! Numbers from daily or hourly temperatures; missing stays unknown and is never a zero. What is known about a plant
//! is a table with its source and its strength beside each number, and what is not known is said in words.

mod chill;
mod degree_days;
mod degree_hours;
mod emergence;
mod gaps;
mod hardiness;
mod hourly;
mod kinds;
mod nearest;
mod sums;

pub use chill::{
    CHILL_HOUR_C, DynamicModel, chill_hours, chill_portions, since_lowest, utah_chill, utah_units,
};
pub use degree_days::{DegreeDays, Method};
pub use degree_hours::{growing_degree_hours, growing_degree_hours_of};
pub use emergence::{
    APPLE_GREEN_TIP, APPLE_GREEN_TIP_FROM_MARCH, BORDER_FORSYTHIA, EARLY_FORSYTHIA, NOT_FORETOLD,
    NotForetold, RED_MAPLE, ROSE_BUD_VISIBLE, ROSE_HARVEST, ROSE_SHOOT, SHOOT_CAUTION, SUMS, Start,
    Strength, Sum,
};
pub use hardiness::{BUDS_CAUTION, BudStage, Fruit, TENDER_SHOOT, TENDER_SHOOT_SOURCE};
pub use hourly::{Extremes, HourlyFromDaily, hourly_from_daily};
pub use kinds::{
    ASSUMED, Group, Grown, MAX_NAMES, MAX_PLANTS, Neglect, Oil, PLANTS, Plant, PlantTable, Prune,
    Sensitive, Size, Spray, Turn, Young,
};
pub use sums::{DegreeDaySums, Reached};
