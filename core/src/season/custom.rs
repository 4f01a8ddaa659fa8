//! temp
use crate::plant::Stage;
use chrono::NaiveDate;
/// c
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Custom {
    /// n
    pub name: &'static str,
    /// m
    pub meaning: &'static str,
    /// w
    pub when: When,
}
/// w
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum When {
    /// f
    Fixed(u32, u32),
    /// i
    Indicator,
}
/// all
pub const CUSTOMS: &[Custom] = &[
    Custom {
        name: "St Valentine",
        meaning: "roses, Gulf South",
        when: When::Fixed(2, 14),
    },
    Custom {
        name: "15 March",
        meaning: "Oklahoma",
        when: When::Fixed(3, 15),
    },
    Custom {
        name: "Tax day",
        meaning: "NE",
        when: When::Fixed(4, 15),
    },
    Custom {
        name: "forsythia blooms",
        meaning: "x",
        when: When::Indicator,
    },
];
impl Custom {
    pub(super) fn stage(&self) -> Option<Stage> {
        (self.when == When::Indicator).then(|| Stage::forsythia(false))
    }
    pub(super) fn is_fixed(&self) -> bool {
        matches!(self.when, When::Fixed(..))
    }
    /// d
    #[must_use]
    pub fn date(&self, year: i32) -> Option<NaiveDate> {
        match self.when {
            When::Fixed(m, d) => NaiveDate::from_ymd_opt(year, m, d),
            When::Indicator => None,
        }
    }
}
