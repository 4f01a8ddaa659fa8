//! Shoots, buds and bloom: the sums of degree days that are known, how well, and what no sum foretells.
//!
//! Each row says how its sum is reckoned and from when, and gives the spread that its source prints; low, middle and
//! high are one number where the source prints one. A row's [`Strength`] goes with every number made from it.
//!
//! Not in the table, since they are no sums above a base: flowering of peaches in growing degree hours (136 cultivars:
//! 4,808 to 7,721 by cultivar, 1,362 to 10,348 by year; Clemson University, Agronomy 12 (2022) 1002), and of miniature
//! roses, whose rate changes near 25 °C (Steininger, Pasian & Lieth, J. Amer. Soc. Hort. Sci. 127 (2002), year from
//! memory).

use super::degree_days::{DegreeDays, Method};
use crate::quantity::Unit;

/// When a sum begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Start {
    /// On the day of the cut.
    Cut,
    /// On the day on which buds break.
    BudBreak,
    /// On 1 January.
    January,
    /// On 1 March.
    March,
}

/// How well a sum is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Strength {
    /// Measured, and published with its spread.
    Measured,
    /// Observed over years at one place, or printed without its spread.
    Fair,
    /// A rule of thumb of an extension service.
    RuleOfThumb,
    /// Not measured: reasoned from other numbers.
    Inferred,
}

impl Strength {
    /// The word that goes with a number.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::Fair => "observed at one place",
            Self::RuleOfThumb => "rule of thumb",
            Self::Inferred => "inferred",
        }
    }
}

/// A sum of degree days at which something is seen on a plant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sum {
    /// The plant, then what is seen.
    pub name: &'static str,
    /// From when the degree days count.
    pub start: Start,
    /// How a day's degree days are reckoned.
    pub method: Method,
    /// Temperature above which they count, in [`Self::unit`].
    pub base: f64,
    /// Low end of what the source prints, in degrees of [`Self::unit`] times days.
    pub low: f64,
    /// The number to go by; `None` where the source prints a range only.
    pub mid: Option<f64>,
    /// High end of what the source prints.
    pub high: f64,
    /// °C or °F, of base and sums.
    pub unit: Unit,
    /// How well it is known.
    pub strength: Strength,
    /// Where the numbers are printed.
    pub source: &'static str,
}

impl Sum {
    /// How a day's degree days are reckoned for this sum.
    ///
    /// ```
    /// use fairspell::plant::{BORDER_FORSYTHIA, Method};
    /// let degree_days = BORDER_FORSYTHIA.degree_days();
    /// assert_eq!((degree_days.method(), degree_days.base()), (Method::Clamped, 50.0));
    /// assert_eq!(degree_days.of(30.0, 61.0), 5.5);
    /// ```
    #[must_use]
    pub fn degree_days(&self) -> DegreeDays {
        DegreeDays::known(self.method, self.base, None, self.unit)
    }
}

const OHIO: &str = "Ohio State University, BYGL, \"Secrest Arboretum: just before spring\", March 2020; clamped mean, \
                    by its own arithmetic";

/// Sum of a plant of the Ohio calendar: °F above 50 °F by the clamped mean from 1 January.
const fn ohio(name: &'static str, sum: f64) -> Sum {
    Sum {
        name,
        start: Start::January,
        method: Method::Clamped,
        base: 50.0,
        low: sum,
        mid: Some(sum),
        high: sum,
        unit: Unit::Fahrenheit,
        strength: Strength::Fair,
        source: OHIO,
    }
}

const PASIAN_LIETH_1994: &str =
    "Pasian & Lieth 1994, Sci. Hortic. 59, 131-145; cut roses under glass, hourly means";

/// Rose: from the cut to the tender shoot that a freeze kills. **Inferred**: no one has measured it outdoors.
///
/// The base is that of [`ROSE_BUD_VISIBLE`]; half of its sum is taken as the tender shoot (ours). The very phase from
/// cut to bud break is what its authors could not foretell, see [`NOT_FORETOLD`]: so the answer carries the word and
/// the range. 130 °C·d is 72 days at a steady 7 °C, 27 at 10 °C, 13 at 15 °C.
pub const ROSE_SHOOT: Sum = Sum {
    name: "rose: tender shoot after the cut",
    start: Start::Cut,
    method: Method::Sine,
    base: 5.2,
    low: 80.0,
    mid: Some(130.0),
    high: 200.0,
    unit: Unit::Celsius,
    strength: Strength::Inferred,
    source: "The project's handbook, physics, §8, from base and staging of Pasian & Lieth 1994; not measured outdoors",
};

/// Rose: from bud break to the flower bud that can be seen; mean and standard deviation.
pub const ROSE_BUD_VISIBLE: Sum = Sum {
    name: "rose: flower bud visible",
    start: Start::BudBreak,
    low: 230.0,
    mid: Some(260.0),
    high: 290.0,
    strength: Strength::Measured,
    source: PASIAN_LIETH_1994,
    ..ROSE_SHOOT
};

/// Rose: from bud break to the cut flower; mean and standard deviation.
pub const ROSE_HARVEST: Sum = Sum {
    name: "rose: flower ready to cut",
    low: 500.0,
    mid: Some(545.0),
    high: 590.0,
    ..ROSE_BUD_VISIBLE
};

/// Border forsythia: first bloom, one flower in twenty open.
pub const BORDER_FORSYTHIA: Sum = Sum {
    low: 81.0,
    source: "Ohio State University, BYGL, March 2020, prints 86, and \"See what's in bloom\", 26 February 2018, prints \
             81; clamped mean, by the first one's arithmetic",
    ..ohio("border forsythia: first bloom", 86.0)
};

/// Red maple: first bloom, the first pollen that bees and other insects fly to (common practice, no source).
pub const RED_MAPLE: Sum = ohio("red maple: first bloom", 44.0);

/// An early cultivar of forsythia: first bloom.
pub const EARLY_FORSYTHIA: Sum = ohio("early forsythia: first bloom", 58.0);

/// Apple: green tip, over many years at one place. A range only.
pub const APPLE_GREEN_TIP: Sum = Sum {
    name: "apple: green tip",
    start: Start::January,
    method: Method::Simple,
    base: 43.0,
    low: 24.0,
    mid: None,
    high: 161.0,
    unit: Unit::Fahrenheit,
    strength: Strength::Fair,
    source: "Cornell University, Scaffolds, 20 March 1995: 'McIntosh' at Geneva, New York, range of years; the method \
             is not printed, taken as the mean",
};

/// Apple: green tip, counted from 1 March.
pub const APPLE_GREEN_TIP_FROM_MARCH: Sum = Sum {
    start: Start::March,
    low: 120.0,
    mid: Some(120.0),
    high: 120.0,
    strength: Strength::RuleOfThumb,
    source: "University of Massachusetts Fruit, \"Predicting green tip?\", 1 April 2019: about 120; the method is not \
             printed, taken as the mean",
    ..APPLE_GREEN_TIP
};

/// All sums that are known.
pub const SUMS: &[Sum] = &[
    ROSE_SHOOT,
    ROSE_BUD_VISIBLE,
    ROSE_HARVEST,
    ohio("cornelian cherry: first bloom", 40.0),
    ohio("silver maple: full bloom", 42.0),
    RED_MAPLE,
    EARLY_FORSYTHIA,
    BORDER_FORSYTHIA,
    APPLE_GREEN_TIP,
    APPLE_GREEN_TIP_FROM_MARCH,
];

/// What was looked for and not found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NotForetold {
    /// The plant, then from what to what.
    pub name: &'static str,
    /// What the study says.
    pub finding: &'static str,
    /// Which study.
    pub source: &'static str,
}

/// Events that no sum of degree days foretells, as far as is known.
pub const NOT_FORETOLD: &[NotForetold] = &[NotForetold {
    name: "rose: bud break after the cut",
    finding: "the time from cut to bud break varies widely and was not foretold by heat units",
    source: "Pasian & Lieth 1992, HortScience 27, 609; 1994, Sci. Hortic. 59, 131-145",
}];

/// The sentence that goes with every date from [`ROSE_SHOOT`].
pub const SHOOT_CAUTION: &str = "shoot emergence is inferred from a sum of degree days that no one has measured \
                                 outdoors for roses; the range is shown";

#[cfg(test)]
mod tests {
    use super::*;

    /// Pasian & Lieth 1994, abstract: base 5.2 °C, 260 ± 30 and 545 ± 45 °C day. BYGL, March 2020: 40, 42, 44, 58, 86
    /// °F days above 50 °F; Ohio State, 26 February 2018: 58, 81. The rest by the project's handbook, §8.
    #[test]
    fn sums_are_those_that_are_printed() {
        let printed = [
            ("rose: tender shoot after the cut", 5.2, 80.0, 130.0, 200.0),
            (
                "rose: flower bud visible",
                5.2,
                260.0 - 30.0,
                260.0,
                260.0 + 30.0,
            ),
            (
                "rose: flower ready to cut",
                5.2,
                545.0 - 45.0,
                545.0,
                545.0 + 45.0,
            ),
            ("cornelian cherry: first bloom", 50.0, 40.0, 40.0, 40.0),
            ("silver maple: full bloom", 50.0, 42.0, 42.0, 42.0),
            ("red maple: first bloom", 50.0, 44.0, 44.0, 44.0),
            ("early forsythia: first bloom", 50.0, 58.0, 58.0, 58.0),
            ("border forsythia: first bloom", 50.0, 81.0, 86.0, 86.0),
            ("apple: green tip", 43.0, 24.0, f64::NAN, 161.0),
            ("apple: green tip", 43.0, 120.0, 120.0, 120.0),
        ];
        assert_eq!(SUMS.len(), printed.len());
        for (sum, (name, base, low, mid, high)) in SUMS.iter().zip(printed) {
            assert_eq!(sum.name, name);
            let numbers = [sum.base, sum.low, sum.mid.unwrap_or(f64::NAN), sum.high];
            let same = |(a, b): (f64, f64)| a.to_bits() == b.to_bits() || (a - b).abs() < 1e-12;
            assert!(
                numbers.into_iter().zip([base, low, mid, high]).all(same),
                "{numbers:?}"
            );
        }
    }

    /// The project's handbook, §8, scale of the rose figure: 72 days at 7 °C, 27 at 10, 13 at 15, to the whole day.
    #[test]
    fn the_rose_sum_has_the_scale_that_the_handbook_prints() {
        let degree_days = ROSE_SHOOT.degree_days();
        for (steady_c, days) in [(7.0, 72.0), (10.0, 27.0), (15.0, 13.0)] {
            let computed = 130.0 / degree_days.of(steady_c, steady_c);
            assert!((computed - days).abs() <= 0.5, "{steady_c} °C: {computed}");
        }
    }

    /// Contract, promise 2; the inferred sum carries its word and its range.
    #[test]
    fn every_sum_has_a_source_and_an_order_and_the_rose_is_inferred() {
        for sum in SUMS {
            assert!(!sum.source.is_empty(), "{}", sum.name);
            let mid = sum.mid.unwrap_or(sum.low);
            assert!(
                sum.low > 0.0 && sum.low <= mid && mid <= sum.high,
                "{}",
                sum.name
            );
            let made = DegreeDays::new(sum.method, sum.base, None, sum.unit).unwrap();
            assert_eq!(made, sum.degree_days());
        }
        assert_eq!(ROSE_SHOOT.strength.word(), "inferred");
        assert!(SHOOT_CAUTION.contains("inferred"));
    }
}
