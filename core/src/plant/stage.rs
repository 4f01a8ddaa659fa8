//! Stages of growth that a sum of degree days foretells: shoots after the cut, green tips, first bloom.

use chrono::{Datelike as _, NaiveDate};

use super::{DegreeDays, Method, Oil, Plant};
use crate::freeze::Window;
use crate::quantity::Unit;
use crate::site::Hemisphere;

/// The kind that is planned for where there is no garden.
pub const ASSUMED: &str = "hybrid tea";

/// A stage, and the sum that foretells it.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    /// In words.
    pub name: &'static str,
    /// How days are summed; the sums are in its unit.
    pub degree_days: DegreeDays,
    /// Month from whose first day days are summed, in the north; the half's first where it is January.
    pub from_month: u32,
    /// Least, middle and greatest sum of the known range.
    pub sums: [f64; 3],
    /// How strong the knowledge is, in words.
    pub strength: &'static str,
    /// Who says so.
    pub source: &'static str,
}

impl Stage {
    /// Tender shoots of a rose after the cut; counted from midwinter, its buds' break.
    #[must_use]
    pub fn rose_shoot() -> Self {
        Self {
            name: "shoots of a rose",
            degree_days: DegreeDays::known(Method::Sine, 5.2, None, Unit::Celsius),
            from_month: 1,
            sums: [80.0, 130.0, 200.0],
            strength: "inferred: no one has measured it outdoors",
            source: "Common practice, from the base and the stages of Pasian & Lieth 1994 by the project's handbook, physics §8",
        }
    }

    /// Green tips of apple and pear.
    #[must_use]
    pub fn green_tip() -> Self {
        Self {
            name: "green tips of apple",
            degree_days: DegreeDays::known(Method::Simple, 43.0, None, Unit::Fahrenheit),
            from_month: 3,
            sums: [24.0, 120.0, 161.0],
            strength: "a rule of thumb; years at one place differ from 24 to 161 F·d",
            source: "The project's handbook, physics §8 [UM19, SC95]; the method of the sum is not said there",
        }
    }

    /// First bloom of red maple, when bees and other beneficial insects find their first food.
    #[must_use]
    pub fn flight() -> Self {
        Self {
            name: "red maple, first bloom",
            degree_days: DegreeDays::known(Method::Clamped, 50.0, None, Unit::Fahrenheit),
            from_month: 1,
            sums: [40.0, 44.0, 44.0],
            strength: "fair, Ohio only; that insects fly by then is common practice",
            source: "The project's handbook, physics §8 [BYGL20]",
        }
    }

    /// First bloom of border forsythia, or of an early cultivar.
    #[must_use]
    pub fn forsythia(is_early: bool) -> Self {
        let sum = if is_early { 58.0 } else { 86.0 };
        Self {
            name: if is_early {
                "early forsythia, first bloom"
            } else {
                "border forsythia, first bloom"
            },
            degree_days: DegreeDays::known(Method::Clamped, 50.0, None, Unit::Fahrenheit),
            from_month: 1,
            sums: [sum; 3],
            strength: "fair, Ohio only",
            source: "The project's handbook, physics §8 [BYGL20, OSU18]",
        }
    }

    /// The stage at which the buds of a kind break.
    #[must_use]
    pub fn of(plant: &Plant) -> Self {
        if plant.oil == Oil::ToHalfInchGreen {
            Self::green_tip()
        } else {
            Self::rose_shoot()
        }
    }

    /// The date from which days are summed in the season named by `year`.
    #[must_use]
    pub fn start(&self, window: Window, year: i32) -> Option<NaiveDate> {
        let shift = if window.hemisphere == Hemisphere::South {
            6
        } else {
            0
        };
        let (first, _) = window.dates(year)?;
        NaiveDate::from_ymd_opt(first.year(), self.from_month + shift, 1)
    }
}
