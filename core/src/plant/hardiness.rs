//! What cold does to tender shoots and to buds at each stage.
//!
//! A guide, never a promise: see [`BUDS_CAUTION`].

use crate::quantity::{Quantity, Unit};

/// Air temperature at or below which tender new shoots are taken as killed, unless the user says otherwise.
///
/// Source: see [`TENDER_SHOOT_SOURCE`]; for rose shoots growers report 27 to 28 °F (common practice, no source).
pub const TENDER_SHOOT: Quantity = Quantity {
    value: 28.0,
    unit: Unit::Fahrenheit,
};

/// Where [`TENDER_SHOOT`] is printed.
pub const TENDER_SHOOT_SOURCE: &str = "Kansas State University, Weather Data Library, 6 April 2018: 28 °F for several \
                                       hours kills the season's growth; for rose shoots common practice";

/// Fruit whose buds were frozen stage by stage.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fruit {
    /// Apple.
    Apple,
    /// Pear.
    Pear,
    /// Peach and nectarine.
    Peach,
    /// Sweet cherry.
    SweetCherry,
    /// European plum.
    EuropeanPlum,
}

impl Fruit {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::Apple,
        Self::Pear,
        Self::Peach,
        Self::SweetCherry,
        Self::EuropeanPlum,
    ];

    /// Its name in answers.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Apple => "apple",
            Self::Pear => "pear",
            Self::Peach => "peach",
            Self::SweetCherry => "sweet cherry",
            Self::EuropeanPlum => "European plum",
        }
    }

    /// Its stages, from the first swelling on.
    ///
    /// ```
    /// use fairspell::plant::Fruit;
    /// let green_tip = Fruit::Apple.stages().iter().find(|stage| stage.name == "green tip").unwrap();
    /// assert_eq!((green_tip.kill_10_f, green_tip.kill_90_f), (18.0, 10.0));
    /// ```
    #[must_use]
    pub fn stages(self) -> &'static [BudStage] {
        match self {
            Self::Apple => &APPLE,
            Self::Pear => &PEAR,
            Self::Peach => &PEACH,
            Self::SweetCherry => &SWEET_CHERRY,
            Self::EuropeanPlum => &EUROPEAN_PLUM,
        }
    }

    /// Where its critical temperatures are printed.
    #[must_use]
    pub fn source(self) -> &'static str {
        match self {
            Self::EuropeanPlum => {
                "Michigan State University Extension, critical spring temperatures for tree fruit, from Washington \
                 State University bulletins"
            }
            _ => {
                "Penn State Extension, Orchard frost: critical temperatures; Michigan State University Extension; both \
                 from Washington State University bulletins EB0913, EB0914, EB0978, EB1128"
            }
        }
    }
}

/// A stage of a fruit's buds, and the cold that kills them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BudStage {
    /// Name of the stage.
    pub name: &'static str,
    /// Temperature that kills 10 % of the buds in 30 minutes \[°F\].
    pub kill_10_f: f64,
    /// Temperature that kills 90 % of the buds in 30 minutes \[°F\].
    pub kill_90_f: f64,
}

/// What goes with every critical temperature.
///
/// Source: Penn State Extension, Orchard frost: critical temperatures; Utah State University, IPM-012-11 (2011).
pub const BUDS_CAUTION: &str = "critical temperatures are averages and a guide: they differ by cultivar, place and \
                                weather, and cool weather before a freeze makes buds hardier";

const fn stage(name: &'static str, kill_10_f: f64, kill_90_f: f64) -> BudStage {
    BudStage {
        name,
        kill_10_f,
        kill_90_f,
    }
}

const APPLE: [BudStage; 9] = [
    stage("silver tip", 15.0, 2.0),
    stage("green tip", 18.0, 10.0),
    stage("half-inch green", 23.0, 15.0),
    stage("tight cluster", 27.0, 21.0),
    stage("first pink", 28.0, 24.0),
    stage("full pink", 28.0, 25.0),
    stage("first bloom", 28.0, 25.0),
    stage("full bloom", 28.0, 25.0),
    stage("post bloom", 28.0, 25.0),
];

const PEAR: [BudStage; 8] = [
    stage("scales separating", 15.0, 0.0),
    stage("blossom buds exposed", 20.0, 6.0),
    stage("tight cluster", 24.0, 15.0),
    stage("first white", 25.0, 19.0),
    stage("full white", 26.0, 22.0),
    stage("first bloom", 27.0, 23.0),
    stage("full bloom", 28.0, 24.0),
    stage("post bloom", 28.0, 24.0),
];

const PEACH: [BudStage; 7] = [
    stage("first swelling", 18.0, 1.0),
    stage("calyx green", 21.0, 5.0),
    stage("calyx red", 23.0, 9.0),
    stage("first pink", 25.0, 15.0),
    stage("first bloom", 26.0, 21.0),
    stage("full bloom", 27.0, 24.0),
    stage("post bloom", 28.0, 25.0),
];

const SWEET_CHERRY: [BudStage; 9] = [
    stage("first swelling", 17.0, 5.0),
    stage("side green", 22.0, 9.0),
    stage("green tip", 25.0, 14.0),
    stage("tight cluster", 26.0, 17.0),
    stage("open cluster", 27.0, 21.0),
    stage("first white", 27.0, 24.0),
    stage("first bloom", 28.0, 25.0),
    stage("full bloom", 28.0, 25.0),
    stage("post bloom", 28.0, 25.0),
];

const EUROPEAN_PLUM: [BudStage; 8] = [
    stage("first swelling", 14.0, 0.0),
    stage("side white", 17.0, 3.0),
    stage("tip green", 20.0, 7.0),
    stage("tight cluster", 24.0, 16.0),
    stage("first white", 26.0, 22.0),
    stage("first bloom", 27.0, 23.0),
    stage("full bloom", 28.0, 23.0),
    stage("post bloom", 28.0, 23.0),
];

#[cfg(test)]
mod tests {
    use super::*;

    /// Columns as other pages print them, all stages in a row, 10 % then 90 % \[°F\]: Utah State University,
    /// IPM-012-11 (2011), for apple and pear (full and post bloom in one there); Michigan State University Extension's
    /// picture table for peach, sweet cherry and European plum.
    const PRINTED: [(Fruit, &[f64], &[f64]); 5] = [
        (
            Fruit::Apple,
            &[15.0, 18.0, 23.0, 27.0, 28.0, 28.0, 28.0, 28.0, 28.0],
            &[2.0, 10.0, 15.0, 21.0, 24.0, 25.0, 25.0, 25.0, 25.0],
        ),
        (
            Fruit::Pear,
            &[15.0, 20.0, 24.0, 25.0, 26.0, 27.0, 28.0, 28.0],
            &[0.0, 6.0, 15.0, 19.0, 22.0, 23.0, 24.0, 24.0],
        ),
        (
            Fruit::Peach,
            &[18.0, 21.0, 23.0, 25.0, 26.0, 27.0, 28.0],
            &[1.0, 5.0, 9.0, 15.0, 21.0, 24.0, 25.0],
        ),
        (
            Fruit::SweetCherry,
            &[17.0, 22.0, 25.0, 26.0, 27.0, 27.0, 28.0, 28.0, 28.0],
            &[5.0, 9.0, 14.0, 17.0, 21.0, 24.0, 25.0, 25.0, 25.0],
        ),
        (
            Fruit::EuropeanPlum,
            &[14.0, 17.0, 20.0, 24.0, 26.0, 27.0, 28.0, 28.0],
            &[0.0, 3.0, 7.0, 16.0, 22.0, 23.0, 23.0, 23.0],
        ),
    ];

    #[test]
    fn critical_temperatures_are_those_of_a_second_page() {
        assert_eq!(PRINTED.map(|(fruit, ..)| fruit), Fruit::ALL);
        for (fruit, kill_10_f, kill_90_f) in PRINTED {
            let column =
                |of: fn(&BudStage) -> f64| fruit.stages().iter().map(of).collect::<Vec<_>>();
            assert_eq!(
                column(|stage| stage.kill_10_f),
                kill_10_f,
                "{}",
                fruit.name()
            );
            assert_eq!(
                column(|stage| stage.kill_90_f),
                kill_90_f,
                "{}",
                fruit.name()
            );
        }
    }

    /// Buds lose hardiness as they open (Penn State), and more of them die of more cold.
    #[test]
    fn later_stages_are_no_hardier_and_more_cold_kills_more() {
        for fruit in Fruit::ALL {
            assert!(
                fruit.stages().is_sorted_by_key(|stage| stage.kill_10_f),
                "{}",
                fruit.name()
            );
            assert!(
                fruit.stages().is_sorted_by_key(|stage| stage.kill_90_f),
                "{}",
                fruit.name()
            );
            assert!(
                fruit
                    .stages()
                    .iter()
                    .all(|stage| stage.kill_90_f < stage.kill_10_f)
            );
            assert!(!fruit.source().is_empty());
        }
    }
}
