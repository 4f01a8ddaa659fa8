//! Where a day stands in the season by a station's record, said in a decision.

use chrono::NaiveDate;

use super::{NoDates, Season, SeasonQuestion, SeasonSettings, Waiting, season};
use crate::decision::{Decision, SeasonState, SeasonWork};
use crate::error::{DecideError, GardenError};
use crate::freeze::{HalfName, Window};
use crate::plant::PlantTable;
use crate::read::local_date;
use crate::series::DailySeries;
use crate::site::{Hemisphere, Site};

/// Says in a decision where its day stands in the season, and weighs going now against waiting: sets its `season` and
/// `wait`, and changes no verdict. What must be said of the season comes back.
///
/// - `record`: days of the station, with maxima.
///
/// # Errors
/// [`GardenError`] at a kind of the garden that the table does not have.
pub fn stand(
    record: &DailySeries,
    (site, table): (&Site, &PlantTable),
    decision: &mut Decision,
    waiting: Waiting<'_>,
) -> Result<Vec<String>, GardenError> {
    let seconds = decision.at;
    let on = local_date(seconds, decision.zone).ok_or(DecideError::Time { seconds })?;
    let settings = SeasonSettings {
        replicates: 0,
        ..SeasonSettings::default()
    };
    let question = SeasonQuestion {
        record,
        site,
        table,
        year: year_around(on, site.hemisphere().unwrap_or(Hemisphere::North)),
        observed: None,
        settings: &settings,
    };
    let mut season = season(&question)?;
    let mut notices = core::mem::take(&mut season.notices);
    match season.weigh(&question, decision, waiting) {
        Ok(wait) => decision.wait = Some(wait),
        Err(why) => notices.push(format!("waiting is not weighed: {}", why.words())),
    }
    decision.season = state(&season, decision, on);
    Ok(notices)
}

/// Where a day stands in the interval of the most exposed plant: that for oil, for all other work that of the cut.
fn state(season: &Season, decision: &Decision, on: NaiveDate) -> Option<SeasonState> {
    let work = if decision.operation.name == "oil" {
        SeasonWork::Oil
    } else {
        SeasonWork::Prune
    };
    let plant = season.exposed()?;
    let dates = match work {
        SeasonWork::Oil => plant.oil,
        SeasonWork::Prune => plant.prune.map(|prune| prune.dates),
    };
    let [buds_from, ..] = plant.bud_break;
    Some(SeasonState {
        year: season.year,
        kind: plant.plant.name.clone(),
        work,
        on,
        dates: dates
            .map(|dates| [dates.from, dates.to])
            .map_err(NoDates::words),
        buds_from,
    })
}

/// The season of a day in the half in which freezes end, else the next.
#[must_use]
pub fn year_around(date: NaiveDate, hemisphere: Hemisphere) -> i32 {
    let window = Window {
        half: HalfName::Spring,
        hemisphere,
    };
    window.season_of(date) + i32::from(!window.holds(date))
}

/// The season under way on a day, or the next: the half in which freezes end counts up to its middle.
#[must_use]
pub fn year_of(date: NaiveDate, hemisphere: Hemisphere) -> i32 {
    let window = Window {
        half: HalfName::Spring,
        hemisphere,
    };
    let year = window.season_of(date);
    let is_early = window.dates(year).is_some_and(|(first, end)| {
        let days = end.signed_duration_since(first).num_days();
        date >= first && date.signed_duration_since(first).num_days() <= days / 2
    });
    year + i32::from(!is_early)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Counting: spring of the north has 212 days from 1 January, its middle is 16 April; of the south 215 from 1 July, its
    /// middle is 16 October.
    #[test]
    fn the_year_is_that_of_the_season_under_way_or_of_the_next() {
        for (date, north, south) in [
            ("2027-01-01", 2027, 2027),
            ("2027-04-16", 2027, 2027),
            ("2027-04-17", 2028, 2027),
            ("2027-07-01", 2028, 2027),
            ("2027-10-16", 2028, 2027),
            ("2027-10-17", 2028, 2028),
            ("2028-01-20", 2028, 2028),
        ] {
            let date = date.parse().unwrap();
            let years = [Hemisphere::North, Hemisphere::South].map(|side| year_of(date, side));
            assert_eq!(years, [north, south], "{date}");
        }
    }

    /// Counting: all of January to July in the north, of July to January in the south, belongs to its own season.
    #[test]
    fn a_day_is_held_against_its_own_season() {
        for (date, north, south) in [
            ("2027-04-30", 2027, 2027),
            ("2027-07-31", 2027, 2027),
            ("2027-08-01", 2028, 2027),
            ("2028-01-31", 2028, 2027),
            ("2028-02-01", 2028, 2028),
        ] {
            let date = date.parse().unwrap();
            let years = [Hemisphere::North, Hemisphere::South].map(|side| year_around(date, side));
            assert_eq!(years, [north, south], "{date}");
        }
    }
}
