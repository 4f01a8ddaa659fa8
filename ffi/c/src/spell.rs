//! A spell, as decisions and hindcasts give it.

/// A run of consecutive fair hours.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct Spell {
    /// Beginning of its first hour [s since 1970 UTC].
    pub start: i64,
    /// End of its last hour [s since 1970 UTC].
    pub end: i64,
    /// Beginning of its best run of the hours needed [s since 1970 UTC].
    pub best_start: i64,
    /// Chance that all blocking rules hold throughout that run; NaN: not asked for, or not known.
    pub confidence: f64,
    /// The least that it can be, if its parts are not independent; NaN as above.
    pub confidence_low: f64,
    /// The most.
    pub confidence_high: f64,
}
