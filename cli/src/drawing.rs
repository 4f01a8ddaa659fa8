//! Pictures of answers as SVG, the same bytes as `--format svg` writes.

use fairspell::decision::{Decision, Units};
use fairspell::freeze::{Asked, StationFreezes};
use fairspell::hindcast::Hindcast;
use fairspell::season::Season;
use fairspell::series::HourlySeries;
use fairspell::site::Site;

use crate::season::Plan;
use crate::{freeze_picture, hindcast_picture, picture, season};

/// A decision over its hours.
///
/// - `series`: the hours that were asked about, of an ensemble the first member's.
#[must_use]
pub fn decision(decision: &Decision, series: &HourlySeries, units: Units) -> String {
    picture::svg(decision, series, units)
}

/// The freezes of a station.
#[must_use]
pub fn freezes(station: &StationFreezes, asked: Asked) -> String {
    freeze_picture::svg(station, asked)
}

/// A season.
///
/// - `now`: \[s since 1970 UTC\].
#[must_use]
pub fn season(season: Season, site: &Site, units: Units, now: i64) -> String {
    season::svg(&Plan {
        season,
        site,
        units,
        explained: Vec::new(),
        now,
    })
}

/// What would have been said of past hours.
#[must_use]
pub fn hindcast(answer: &Hindcast) -> String {
    hindcast_picture::svg(answer)
}
