//! The late winter as a calendar: customs and their dates.
//!
//! A *custom* is a rule of thumb by the calendar or by an indicator plant. What each would risk at a place is told
//! beside it, on each year's own date.

mod custom;
mod easter;

pub use custom::{CUSTOMS, Custom, Indicator, NOT_APPLICABLE, When, customs, nth_weekday};
pub use easter::{FIRST_YEAR, easter, orthodox_easter};
