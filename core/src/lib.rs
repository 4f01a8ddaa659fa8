//! Fairspell
#![forbid(unsafe_code)]
pub mod error;
pub mod quantity;
pub mod series;
pub mod read;
pub mod site;
pub mod air;
pub mod sun;
pub mod operation;
pub mod spell;
pub mod decision;
