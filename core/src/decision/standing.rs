//! Where a day stands in the season: before the interval for the work, inside it, or past it.
//!
//! It is made from a plan of the season, and changes no verdict.

use chrono::NaiveDate;
use serde::Serialize;

/// Which interval of the season is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SeasonWork {
    /// The cut.
    Prune,
    /// Dormant oil.
    Oil,
}

impl SeasonWork {
    /// Its name in answers.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Prune => "prune",
            Self::Oil => "oil",
        }
    }

    fn noun(self) -> &'static str {
        match self {
            Self::Prune => "pruning interval",
            Self::Oil => "oil interval",
        }
    }
}

/// A day held against the interval of its season.
///
/// ```
/// use chrono::NaiveDate;
/// use fairspell::decision::{SeasonState, SeasonWork};
/// let date = |month, day| NaiveDate::from_ymd_opt(2027, month, day).unwrap();
/// let state = SeasonState {
///     year: 2027,
///     kind: "hybrid tea".to_owned(),
///     work: SeasonWork::Prune,
///     on: date(3, 8),
///     dates: Ok([date(1, 31), date(4, 27)]),
///     buds_from: Some(date(4, 12)),
/// };
/// assert_eq!(
///     state.text(),
///     "pruning interval of hybrid tea 31 Jan to 27 Apr: inside it; buds usually break from 12 Apr"
/// );
/// ```
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SeasonState {
    /// The season, named by the year in which its spring begins.
    pub year: i32,
    /// The plant that the interval is for.
    pub kind: String,
    /// Which interval.
    pub work: SeasonWork,
    /// The day.
    pub on: NaiveDate,
    /// First and last day of the interval, or why there is none.
    pub dates: Result<[NaiveDate; 2], &'static str>,
    /// The date by which the buds have broken in one year of ten.
    pub buds_from: Option<NaiveDate>,
}

#[derive(Serialize)]
pub(super) struct JsonSeasonState<'a> {
    year: i32,
    kind: &'a str,
    work: &'static str,
    state: &'static str,
    from: Option<String>,
    to: Option<String>,
    bud_break_from: Option<String>,
    text: String,
}

impl SeasonState {
    /// Its name: `before`, `inside`, `after`, or `none` without an interval.
    #[must_use]
    pub fn name(&self) -> &'static str {
        match self.dates {
            Err(_) => "none",
            Ok([from, _]) if self.on < from => "before",
            Ok([_, to]) if self.on > to => "after",
            Ok(_) => "inside",
        }
    }

    /// In words.
    #[must_use]
    pub fn text(&self) -> String {
        let (work, kind) = (self.work.noun(), &self.kind);
        let [from, to] = match self.dates {
            Ok(dates) => dates,
            Err(why) => return format!("no {work} of {kind}: {why}"),
        };
        let days = |from: NaiveDate, to: NaiveDate| match to.signed_duration_since(from).num_days()
        {
            1 => "1 day".to_owned(),
            days => format!("{days} days"),
        };
        let state = match self.name() {
            "before" => format!("it begins in {}", days(self.on, from)),
            "after" => format!("it ended {} ago", days(to, self.on)),
            _ => "inside it".to_owned(),
        };
        let buds = self.buds_from.map_or_else(String::new, |buds| {
            format!("; buds usually break from {}", short(buds))
        });
        format!(
            "{work} of {kind} {} to {}: {state}{buds}",
            short(from),
            short(to)
        )
    }

    pub(super) fn json(&self) -> JsonSeasonState<'_> {
        let dates = self.dates.ok();
        JsonSeasonState {
            year: self.year,
            kind: &self.kind,
            work: self.work.name(),
            state: self.name(),
            from: dates.map(|[from, _]| from.to_string()),
            to: dates.map(|[_, to]| to.to_string()),
            bud_break_from: self.buds_from.map(|date| date.to_string()),
            text: self.text(),
        }
    }
}

fn short(date: NaiveDate) -> String {
    date.format("%-d %b").to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    /// Counting days; both ends belong to the interval.
    #[test]
    fn a_day_is_before_inside_or_after() {
        for (on, name, words) in [
            ("2027-03-08", "before", "it begins in 2 days"),
            ("2027-03-09", "before", "it begins in 1 day;"),
            ("2027-03-10", "inside", "inside it"),
            ("2027-04-20", "inside", "inside it"),
            ("2027-05-20", "after", "it ended 30 days ago"),
        ] {
            let state = SeasonState {
                year: 2027,
                kind: "rose".to_owned(),
                work: SeasonWork::Oil,
                on: date(on),
                dates: Ok([date("2027-03-10"), date("2027-04-20")]),
                buds_from: Some(date("2027-04-22")),
            };
            assert_eq!(state.name(), name);
            assert!(state.text().contains(words), "{}", state.text());
        }
    }

    /// Promise 3: no interval has its reason.
    #[test]
    fn no_interval_has_its_reason() {
        let state = SeasonState {
            year: 2027,
            kind: "rambler".to_owned(),
            work: SeasonWork::Prune,
            on: date("2027-03-08"),
            dates: Err("not cut in winter: prune after bloom"),
            buds_from: None,
        };
        let words = "no pruning interval of rambler: not cut in winter: prune after bloom";
        assert_eq!((state.name(), state.text().as_str()), ("none", words));
    }
}
