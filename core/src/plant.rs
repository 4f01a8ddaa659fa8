//! Plants: what each kind is and needs.

mod kinds;
mod nearest;

pub use kinds::{
    Group, Grown, MAX_PLANTS, Neglect, Oil, PLANTS, Plant, PlantTable, Prune, Sensitive, Size,
    Spray, Turn, Young,
};
