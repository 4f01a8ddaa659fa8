//! The late winter: which weeks to prune and to spray in, what each date risks here, and how the customs compare.
//!
//! From a station's record come, for every date, the chance that shoots woken by the cut are out before a freeze, and
//! the chance that the buds have broken already; between the two lies the interval to work in. The damage rests on a sum
//! of degree days that no one has measured outdoors: it is *inferred*, and given with the spread over the known range of
//! sums.
//!
//! Sources: the contract, §5; the project's handbook, physics §6 and §8, trade §1, §2 and §9.

mod bud_break;
mod chance;
mod custom;
mod damage;
mod easter;
mod explain;
mod interval;
mod json;
mod notices;
mod observed;
mod plan;
mod stand;
mod weigh;
mod winter;

use chrono::NaiveDate;

use crate::freeze::Half;
use crate::plant::{Plant, TENDER_SHOOT};
use crate::quantity::Quantity;
use crate::series::DailySeries;
use crate::site::Site;
use crate::work::Work;

pub use custom::{CUSTOMS, Custom, Indicator, NOT_APPLICABLE, When, customs, nth_weekday};
pub use damage::Share;
pub use easter::{FIRST_YEAR, easter, orthodox_easter};
pub use interval::NEARLY_ALL;
pub use notices::{COLDEST_MONTH_C, TROPIC_DEG};
pub use observed::LEAST_SUM_C_DAYS;
pub use plan::season;
pub use stand::{stand, year_around, year_of};
pub use weigh::{MISSED_LOSS, NoWeighing, Waiting};

/// Days of the back-off before the last freeze: the trade's six to eight weeks (common practice, no source).
pub const BACK_OFF_WEEKS: [u32; 2] = [8, 6];

/// How much each harm counts when dates are compared: common practice, no source; both may be changed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weights {
    /// Shoots lost to a late freeze.
    pub late_freeze: f64,
    /// A cut, or oil, after the buds have broken: reserves spent, green tips burnt.
    pub after_bud_break: f64,
}

impl Default for Weights {
    fn default() -> Self {
        Self {
            late_freeze: 1.0,
            after_bud_break: 0.5,
        }
    }
}

/// What may be set.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonSettings {
    /// A minimum at or below it harms tender shoots.
    pub tender: Quantity,
    /// Degree days from the cut to tender shoots, in C·d above 5.2 °C, instead of the table's; its range then is that
    /// one number.
    pub sum_c_days: Option<f64>,
    /// Greatest damage of a day in the interval to prune.
    pub most_damage: f64,
    /// Greatest chance that buds have broken, for the cut.
    pub most_broken_prune: f64,
    /// The same for oil, which burns green tips.
    pub most_broken_oil: f64,
    /// Weights of the harms.
    pub weights: Weights,
    /// Seed of the bootstrap.
    pub seed: u64,
    /// Its replicates; 0: no intervals of the freeze risk.
    pub replicates: u32,
    /// Whether suspect minima count.
    pub keeps_suspect: bool,
}

impl Default for SeasonSettings {
    fn default() -> Self {
        Self {
            tender: TENDER_SHOOT,
            sum_c_days: None,
            most_damage: 0.1,
            most_broken_prune: 0.5,
            most_broken_oil: 0.1,
            weights: Weights::default(),
            seed: 1,
            replicates: 2000,
            keeps_suspect: false,
        }
    }
}

/// What is asked.
#[derive(Debug, Clone, Copy)]
pub struct SeasonQuestion<'a> {
    /// The station's record.
    pub record: &'a DailySeries,
    /// The place and its garden.
    pub site: &'a Site,
    /// The plants table.
    pub table: &'a crate::plant::PlantTable,
    /// The season that is planned, named by the year in which its spring begins.
    pub year: i32,
    /// What was observed of it so far.
    pub observed: Option<&'a DailySeries>,
    /// What may be set.
    pub settings: &'a SeasonSettings,
}

/// The damage that a cut on a date risks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Damage {
    /// The date of this season.
    pub date: NaiveDate,
    /// Years with damage, by the sum in the middle of the known range.
    pub share: Share,
    /// The same by the greatest and the least sum of the range: the least and the greatest damage.
    pub range: (Share, Share),
    /// The chance that the buds have broken by the end of this date.
    pub broken: Share,
    /// Expected harm: the weights times the two.
    pub harm: Option<f64>,
}

/// The days from a first to a last one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Dates {
    /// The first day.
    pub from: NaiveDate,
    /// The last day, itself included.
    pub to: NaiveDate,
}

/// When to prune.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PruneDates {
    /// The interval.
    pub dates: Dates,
    /// The day of least expected harm in it.
    pub best: NaiveDate,
    /// Whether no day keeps both limits, so that the interval is the best day alone.
    pub is_compromise: bool,
}

/// Why there is no interval.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoDates {
    /// The plant is not cut in winter, but after bloom.
    AfterBloom,
    /// The plant is not cut in winter, but in summer.
    Summer,
    /// Only dead and broken wood is cut, at any time.
    DeadWoodOnly,
    /// The plant is not sprayed.
    NotSprayed,
    /// Only where scale or mites were a problem.
    WhereScale,
    /// The record has no maxima, so no degree days.
    NoMaxima,
    /// Too few years of it are whole.
    TooFewYears,
    /// The place has no winter.
    NoWinter,
}

impl NoDates {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::AfterBloom => "not cut in winter: prune after bloom",
            Self::Summer => "not cut in winter: prune in summer",
            Self::DeadWoodOnly => "dead and broken wood only",
            Self::NotSprayed => "no dormant oil on this plant",
            Self::WhereScale => "oil only where scale or mites were a problem",
            Self::NoMaxima => "the record has no daily maxima, so no degree days can be summed",
            Self::TooFewYears => "no year of the record is whole enough",
            Self::NoWinter => "the place has no winter, and the rules of dormancy do not apply",
        }
    }
}

/// One kind of plant in the garden.
#[derive(Debug, Clone, PartialEq)]
pub struct PlantSeason {
    /// Its row of the plants table.
    pub plant: Plant,
    /// How many.
    pub count: u32,
    /// Damage by date, over the whole half; empty where it cannot be known or nothing is cut.
    pub damage: Vec<Damage>,
    /// When its buds break: 10, 50 and 90 % dates of this season.
    pub bud_break: [Option<NaiveDate>; 3],
    /// When to prune.
    pub prune: Result<PruneDates, NoDates>,
    /// When to spray oil.
    pub oil: Result<Dates, NoDates>,
}

/// The last freeze at 32 °F among freeze years, by the headline: 10, 50 and 90 % dates.
#[derive(Debug, Clone, PartialEq)]
pub struct LastFreeze {
    /// Its dates in this season.
    pub dates: [Option<NaiveDate>; 3],
    /// All that the record says of it.
    pub half: Half,
}

/// The trade's back-off from the median last freeze, and what it would risk here.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BackOff {
    /// Eight weeks before and six weeks before.
    pub dates: Dates,
    /// The same from the date with a 10 % risk.
    pub by_risk: Option<Dates>,
    /// Damage on the first and the last day, for the most exposed plant.
    pub damage: [Option<Share>; 2],
}

/// A custom of the calendar, compared.
#[derive(Debug, Clone, PartialEq)]
pub struct CustomHere {
    /// The custom.
    pub custom: &'static Custom,
    /// Its date in this season; of an indicator the median over the years.
    pub date: NaiveDate,
    /// Damage if the most exposed plant is cut on it, each year on that year's own date.
    pub damage: Option<Share>,
    /// The chance that a freeze at 32 °F still comes on or after it, with its interval.
    pub freeze_risk: Option<(f64, Option<(f64, f64)>)>,
    /// Expected harm, by which the customs are in order.
    pub harm: Option<f64>,
}

/// How far the season has come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SoFar {
    /// The last day observed.
    pub until: NaiveDate,
    /// Degree days since the half began, in C·d above 5.2 °C.
    pub degree_days: f64,
    /// What the record's years had by then: 10, 50 and 90 %.
    pub usual: [Option<f64>; 3],
    /// Days ahead of the median year; below 0: behind. `None` where hardly any degree days have been gathered.
    pub days_ahead: Option<i64>,
}

/// A late winter, planned.
#[derive(Debug, Clone, PartialEq)]
pub struct Season {
    /// The season, named by the year in which its spring begins.
    pub year: i32,
    /// The station's name in the file.
    pub station: String,
    /// First and last year of the record that count for the damage.
    pub damage_years: Option<(i32, i32, usize)>,
    /// Valid years left out of the damage for gaps of two days or more.
    pub left_out: Vec<i32>,
    /// The plants, in the order of the garden.
    pub plants: Vec<PlantSeason>,
    /// Which of them is the most exposed.
    pub most_exposed: usize,
    /// The last freeze.
    pub last_freeze: LastFreeze,
    /// The trade's back-off.
    pub back_off: Option<BackOff>,
    /// Customs, from the least to the greatest expected harm.
    pub customs: Vec<CustomHere>,
    /// First bloom that draws bees and other beneficial insects, after which oil needs more care: 10, 50 and 90 %.
    pub flight: [Option<NaiveDate>; 3],
    /// This year so far.
    pub so_far: Option<SoFar>,
    /// The work itself.
    pub work: Work,
    /// What must be said.
    pub notices: Vec<String>,
}

impl Season {
    /// The most exposed plant.
    #[must_use]
    pub fn exposed(&self) -> Option<&PlantSeason> {
        self.plants.get(self.most_exposed)
    }
}
