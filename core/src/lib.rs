//! Fairspell
#![forbid(unsafe_code)]
pub mod air;
pub mod decision;
pub mod error;
pub mod operation;
pub mod quantity;
pub mod read;
pub mod series;
pub mod site;
pub mod spell;
pub mod sun;
