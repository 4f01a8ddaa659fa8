//! What else the user should know about an answer.

use super::FAR_KM;
use super::answer::{Answer, sky_of};
use crate::operation::Measure;
use crate::read::{Format, Issued};
use crate::series::Element;

/// What else the user should know about the answer.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Note {
    /// No time of issue.
    #[error("the forecast has no time of issue: its age is unknown")]
    UnknownAge,
    /// Issued after the time asked about.
    #[error("the forecast was issued after the time asked about")]
    IssuedLater,
    /// For another place.
    #[error("the forecast is for a place {km:.0} km from the site")]
    Far {
        /// How far \[km\].
        km: f64,
    },
    /// No garden in the site.
    #[error("no garden is given: the answer is for one hybrid tea rose")]
    NoGarden,
    /// No coordinates for a rule that needs the sun.
    #[error("no latitude and longitude are given: daylight cannot be checked")]
    NoCoordinates,
    /// No elevation for a rule that needs the air's pressure.
    #[error("no elevation is given: air pressure is taken as at sea level")]
    NoElevation,
    /// Dry on the user's word.
    #[error("hours before the file's first are taken as dry, on the user's word")]
    DryOnWord,
    /// Drying without wind.
    #[error("the file has no wind: drying is counted as in still air")]
    StillDrying,
    /// The NWS hourly forecast with a rule on rain.
    #[error(
        "the NWS hourly forecast has no amount of rain; the gridpoint file of the same place has"
    )]
    NoRainAmount,
    /// An ensemble.
    #[error(
        "judged member by member over {count} raw members, which are too alike to be read as chances"
    )]
    Members {
        /// How many.
        count: usize,
    },
}

/// What else the user should know about an answer.
pub(super) fn notes(answer: &Answer<'_>) -> Vec<Note> {
    let (question, mut notes) = (answer.question, Vec::new());
    let (site, forecast) = (question.site, question.forecast);
    match forecast.issued {
        Issued::Unknown => notes.push(Note::UnknownAge),
        Issued::At(issued) if issued > question.at => notes.push(Note::IssuedLater),
        _ => {}
    }
    let apart = forecast
        .position
        .and_then(|position| site.distance_km(position.latitude, position.longitude));
    notes.extend(apart.filter(|km| *km > FAR_KM).map(|km| Note::Far { km }));
    of_place(answer, &mut notes);
    if site.garden.is_empty() {
        notes.push(Note::NoGarden);
    }
    if question.is_dry_now {
        notes.push(Note::DryOnWord);
    }
    if answer.council.members.len() > 1 {
        notes.push(Note::Members {
            count: answer.council.members.len(),
        });
    }
    notes
}

/// What the place or the file does not say that a rule would use.
fn of_place(answer: &Answer<'_>, notes: &mut Vec<Note>) {
    let (question, rules) = (answer.question, &answer.question.operation.rules);
    let uses = |wanted: &[Measure]| rules.iter().any(|rule| wanted.contains(&rule.measure));
    let has_place = sky_of(question).coordinates.is_some();
    if !has_place && uses(&[Measure::Daylight, Measure::SunElevation]) {
        notes.push(Note::NoCoordinates);
    }
    let of_file = question
        .forecast
        .position
        .and_then(|position| position.elevation_m);
    let has_elevation = question.site.elevation_m.or(of_file).is_some();
    if !has_elevation
        && uses(&[
            Measure::WetBulb,
            Measure::WetBulbDepression,
            Measure::DryingHours,
        ])
    {
        notes.push(Note::NoElevation);
    }
    let limits_rain = uses(&[
        Measure::Read(Element::Rain),
        Measure::HoursSinceRain,
        Measure::HoursUntilRain,
        Measure::DryingHours,
    ]);
    if question.forecast.format == Format::NwsHourly && limits_rain {
        notes.push(Note::NoRainAmount);
    }
    let has_wind = answer
        .series()
        .is_some_and(|series| series.has(Element::Wind));
    if !has_wind && uses(&[Measure::DryingHours]) {
        notes.push(Note::StillDrying);
    }
}
