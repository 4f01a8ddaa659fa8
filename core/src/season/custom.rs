//! Customs: rules of thumb by a date, a feast, a holiday, or a plant in bloom.
//!
//! Dates are those of the Gregorian calendar at the place, carried back over all years alike; a feast that moves is
//! compared over a record on each year's own date. They are customs of the north: in the south they do not apply, and
//! no feast is moved by six months.
//!
//! Source: the project's handbook, trade, §9; the sources there stand with each custom.

use chrono::{NaiveDate, TimeDelta, Weekday};

use super::easter::{easter, orthodox_easter};
use crate::plant::{BORDER_FORSYTHIA, EARLY_FORSYTHIA, Sum};
use crate::site::Hemisphere;

/// What says the day of a custom that goes by a plant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Indicator {
    /// The first day on which a sum of degree days reaches [`Sum::mid`], from the sum's own start.
    Bloom(&'static Sum),
    /// Buds that swell, by what is known of the plant in question.
    BudsSwell,
}

/// What a custom goes by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum When {
    /// The same date each year.
    Fixed {
        /// Month from 1.
        month: u32,
        /// Day from 1.
        day: u32,
    },
    /// Days in a row; the custom is to wait until they are past.
    Days {
        /// Month from 1.
        month: u32,
        /// First day.
        first: u32,
        /// Last day.
        last: u32,
    },
    /// The n-th of a weekday in a month.
    Weekday {
        /// Month from 1.
        month: u32,
        /// Which weekday.
        weekday: Weekday,
        /// Which of them, from 1.
        nth: u8,
    },
    /// A number of days after Easter of the western churches; below 0, before it.
    Easter {
        /// Days after.
        days_after: i64,
    },
    /// Easter of the churches that reckon by the Julian calendar.
    OrthodoxEaster,
    /// A plant: the weather of the year says the date, not the calendar.
    Indicator(Indicator),
}

/// A rule of thumb by which people prune, spray or plant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Custom {
    /// Plain English name of the day or the plant.
    pub name: &'static str,
    /// A second name of the same day.
    pub other_name: Option<&'static str>,
    /// What it goes by.
    pub when: When,
    /// Where it is a custom.
    pub region: &'static str,
    /// What is done, or held to be so, on that day.
    pub meaning: &'static str,
    /// Who says so.
    pub source: &'static str,
}

impl Custom {
    /// Its date in a year; of days in a row the last. `None` for an indicator, whose date the weather says, and for a
    /// year without such a date.
    ///
    /// ```
    /// use chrono::NaiveDate;
    /// use fairspell::season::CUSTOMS;
    /// let date = |name: &str| CUSTOMS.iter().find(|custom| custom.name == name)?.date(2027);
    /// assert_eq!(date("Presidents' Day"), NaiveDate::from_ymd_opt(2027, 2, 15));
    /// assert_eq!(date("Good Friday"), NaiveDate::from_ymd_opt(2027, 3, 26));
    /// assert_eq!(date("Ice Saints"), NaiveDate::from_ymd_opt(2027, 5, 15));
    /// assert_eq!(date("Forsythia in bloom"), None);
    /// ```
    #[must_use]
    pub fn date(&self, year: i32) -> Option<NaiveDate> {
        match self.when {
            When::Fixed { month, day } => NaiveDate::from_ymd_opt(year, month, day),
            When::Days { month, last, .. } => NaiveDate::from_ymd_opt(year, month, last),
            When::Weekday {
                month,
                weekday,
                nth,
            } => nth_weekday(year, month, weekday, nth),
            When::Easter { days_after } => {
                easter(year)?.checked_add_signed(TimeDelta::days(days_after))
            }
            When::OrthodoxEaster => orthodox_easter(year),
            When::Indicator(_) => None,
        }
    }

    /// The first of its days in a year: [`Self::date`] but for days in a row.
    #[must_use]
    pub fn begins(&self, year: i32) -> Option<NaiveDate> {
        match self.when {
            When::Days { month, first, .. } => NaiveDate::from_ymd_opt(year, month, first),
            _ => self.date(year),
        }
    }

    /// The plant that it goes by, if it does.
    #[must_use]
    pub fn indicator(&self) -> Option<Indicator> {
        match self.when {
            When::Indicator(indicator) => Some(indicator),
            _ => None,
        }
    }
}

/// The n-th of a weekday in a month, n from 1; `None` if the month has no such day.
///
/// ```
/// use chrono::{NaiveDate, Weekday};
/// use fairspell::season::nth_weekday;
/// assert_eq!(nth_weekday(2028, 2, Weekday::Mon, 3), NaiveDate::from_ymd_opt(2028, 2, 21));
/// assert_eq!(nth_weekday(2028, 2, Weekday::Mon, 5), None);
/// ```
#[must_use]
pub fn nth_weekday(year: i32, month: u32, weekday: Weekday, nth: u8) -> Option<NaiveDate> {
    use chrono::Datelike as _;
    let first = NaiveDate::from_ymd_opt(year, month, 1)?;
    let to_first =
        (7 + weekday.num_days_from_monday() - first.weekday().num_days_from_monday()) % 7;
    let day = 1 + to_first + 7 * u32::from(nth.checked_sub(1)?);
    NaiveDate::from_ymd_opt(year, month, day)
}

/// The customs at a place; `None` in the south, where none of them applies: see [`NOT_APPLICABLE`].
#[must_use]
pub fn customs(hemisphere: Hemisphere) -> Option<&'static [Custom]> {
    match hemisphere {
        Hemisphere::North => Some(CUSTOMS),
        Hemisphere::South => None,
    }
}

/// Why the south has no customs here.
pub const NOT_APPLICABLE: &str = "not applicable: these are customs of the northern hemisphere";

const COMMON: &str = "Common practice, no source";

/// The shape that each row of the table fills in.
const CUSTOM: Custom = Custom {
    name: "",
    other_name: None,
    when: When::OrthodoxEaster,
    region: "",
    meaning: "",
    source: COMMON,
};

/// The customs of the north, by date; feasts that move stand where they often fall, indicators last.
pub const CUSTOMS: &[Custom] = &[
    Custom {
        name: "Candlemas",
        other_name: Some("Groundhog Day"),
        when: When::Fixed { month: 2, day: 2 },
        region: "Europe, North America",
        meaning: "half the winter is left",
        ..CUSTOM
    },
    Custom {
        name: "St Valentine's Day",
        when: When::Fixed { month: 2, day: 14 },
        region: "Gulf South, Texas, Louisiana",
        meaning: "prune roses",
        source: "LSU AgCenter (Gill, Owings), 2007-2019; Louisiana local press, St Helena Parish",
        ..CUSTOM
    },
    Custom {
        name: "Presidents' Day",
        when: When::Weekday {
            month: 2,
            weekday: Weekday::Mon,
            nth: 3,
        },
        region: "Pacific Northwest",
        meaning: "prune roses",
        source: "Common practice (regional newspapers)",
        ..CUSTOM
    },
    Custom {
        name: "15 March",
        when: When::Fixed { month: 3, day: 15 },
        region: "Oklahoma",
        meaning: "prune roses",
        source: "The Norman Transcript, Oklahoma",
        ..CUSTOM
    },
    Custom {
        name: "St Patrick's Day",
        when: When::Fixed { month: 3, day: 17 },
        region: "mid-Atlantic states",
        meaning: "plant peas and potatoes, prune roses",
        ..CUSTOM
    },
    Custom {
        name: "St Joseph's Day",
        when: When::Fixed { month: 3, day: 19 },
        region: "Mediterranean",
        meaning: "vines and fruit trees are pruned by now",
        ..CUSTOM
    },
    Custom {
        name: "Good Friday",
        when: When::Easter { days_after: -2 },
        region: "Europe, North America",
        meaning: "plant potatoes",
        ..CUSTOM
    },
    Custom {
        name: "Easter",
        when: When::Easter { days_after: 0 },
        region: "Europe, North America",
        meaning: "prune and spray by now",
        ..CUSTOM
    },
    Custom {
        name: "Orthodox Easter",
        when: When::OrthodoxEaster,
        region: "eastern Europe, Near East",
        meaning: "prune and spray by now",
        ..CUSTOM
    },
    Custom {
        name: "Tax Day",
        when: When::Fixed { month: 4, day: 15 },
        region: "New England",
        meaning: "prune roses",
        ..CUSTOM
    },
    Custom {
        name: "St George's Day",
        when: When::Fixed { month: 4, day: 23 },
        region: "central and eastern Europe",
        meaning: "herds go out, and freezes in the vines end",
        ..CUSTOM
    },
    Custom {
        name: "Ice Saints",
        when: When::Days {
            month: 5,
            first: 11,
            last: 15,
        },
        region: "central Europe",
        meaning: "Mamertus, Pancras, Servatius, Boniface and Sophia: the last freeze, after which tender plants go \
                  out; the old dates are 19 to 23 May today, and freezes are not more frequent on them",
        source: "AMS Glossary and MeteoSwiss, Ice Saints; Dines 1902, by the Royal Meteorological Society, calls it \
                 selective reporting",
        ..CUSTOM
    },
    Custom {
        name: "Early forsythia in bloom",
        when: When::Indicator(Indicator::Bloom(&EARLY_FORSYTHIA)),
        region: "wherever it grows; sum of Ohio",
        meaning: "prune repeat-blooming roses",
        source: "Ohio State University Extension, 24 March 2016; sum: BYGL, March 2020",
        ..CUSTOM
    },
    Custom {
        name: "Forsythia in bloom",
        when: When::Indicator(Indicator::Bloom(&BORDER_FORSYTHIA)),
        region: "wherever it grows; sum of Ohio",
        meaning: "prune repeat-blooming roses",
        source: "Ohio State University Extension, 24 March 2016; sum: BYGL, March 2020",
        ..CUSTOM
    },
    Custom {
        name: "Buds swell",
        when: When::Indicator(Indicator::BudsSwell),
        region: "everywhere",
        meaning: "prune roses and fruit",
        source: "The Norman Transcript, Oklahoma",
        ..CUSTOM
    },
];

#[cfg(test)]
mod tests {
    use chrono::Datelike as _;

    use super::*;

    fn date(year: i32, month: u32, day: u32) -> Option<NaiveDate> {
        NaiveDate::from_ymd_opt(year, month, day)
    }

    fn named(name: &str) -> &'static Custom {
        CUSTOMS.iter().find(|custom| custom.name == name).unwrap()
    }

    /// The rows of the project's handbook, trade, §9, in 2027: Easter is 28 March there, Orthodox Easter 2 May.
    #[test]
    fn customs_are_the_rows_of_the_handbook() {
        let expected = [
            ("Candlemas", date(2027, 2, 2)),
            ("St Valentine's Day", date(2027, 2, 14)),
            ("Presidents' Day", date(2027, 2, 15)),
            ("15 March", date(2027, 3, 15)),
            ("St Patrick's Day", date(2027, 3, 17)),
            ("St Joseph's Day", date(2027, 3, 19)),
            ("Good Friday", date(2027, 3, 26)),
            ("Easter", date(2027, 3, 28)),
            ("Orthodox Easter", date(2027, 5, 2)),
            ("Tax Day", date(2027, 4, 15)),
            ("St George's Day", date(2027, 4, 23)),
            ("Ice Saints", date(2027, 5, 15)),
            ("Early forsythia in bloom", None),
            ("Forsythia in bloom", None),
            ("Buds swell", None),
        ];
        let computed: Vec<_> = CUSTOMS
            .iter()
            .map(|custom| (custom.name, custom.date(2027)))
            .collect();
        assert_eq!(computed, expected);
        assert_eq!(named("Ice Saints").begins(2027), date(2027, 5, 11));
        assert_eq!(named("Easter").begins(2027), date(2027, 3, 28));
    }

    /// The project's handbook, trade, §9; and by chrono's own arithmetic of weekdays, every Monday of every year.
    #[test]
    fn presidents_day_is_the_third_monday_of_february() {
        let presidents_day = named("Presidents' Day");
        for (year, day) in [
            (2024, 19),
            (2025, 17),
            (2026, 16),
            (2027, 15),
            (2028, 21),
            (2029, 19),
            (2030, 18),
        ] {
            assert_eq!(presidents_day.date(year), date(year, 2, day));
        }
        for year in 1900..2200 {
            let expected = NaiveDate::from_weekday_of_month_opt(year, 2, Weekday::Mon, 3);
            assert_eq!(presidents_day.date(year), expected);
            assert!((15..=21).contains(&expected.unwrap().day()));
        }
    }

    /// By chrono's own arithmetic, all weekdays of all months of 28 years in a row: the whole cycle.
    #[test]
    fn weekdays_of_months_are_those_of_a_general_library() {
        for year in 2000..2028 {
            for (month, nth) in (1..=12).flat_map(|month| (1..=6_u8).map(move |nth| (month, nth))) {
                for weekday in 0..7_u8 {
                    let weekday = Weekday::try_from(weekday).unwrap();
                    let expected = NaiveDate::from_weekday_of_month_opt(year, month, weekday, nth);
                    assert_eq!(nth_weekday(year, month, weekday, nth), expected);
                }
            }
        }
        assert_eq!(nth_weekday(2027, 2, Weekday::Mon, 0), None);
        assert_eq!(nth_weekday(2027, 13, Weekday::Mon, 1), None);
    }

    /// Contract, promise 2; the south is told that they do not apply.
    #[test]
    fn each_custom_says_where_what_and_who_and_none_is_shifted_to_the_south() {
        for custom in CUSTOMS {
            let texts = [custom.name, custom.region, custom.meaning, custom.source];
            assert!(texts.iter().all(|text| !text.is_empty()), "{}", custom.name);
            let is_indicator = custom.indicator().is_some();
            assert_eq!(custom.date(2027).is_none(), is_indicator, "{}", custom.name);
        }
        assert_eq!(customs(Hemisphere::North), Some(CUSTOMS));
        assert_eq!(customs(Hemisphere::South), None);
        let bloom = [
            named("Early forsythia in bloom"),
            named("Forsythia in bloom"),
        ];
        let sums = bloom.map(|custom| match custom.indicator() {
            Some(Indicator::Bloom(sum)) => sum.mid,
            _ => None,
        });
        assert_eq!(sums, [Some(58.0), Some(86.0)]); // °F·d: the project's handbook, physics, §8
    }
}
