//! What must be said of a season beside its dates.

use chrono::Datelike as _;

use super::{NoDates, Season, SeasonQuestion, winter};
use crate::freeze::{HalfName, LEAST_YEARS, Window};
use crate::plant::{Group, ROSE_SHOOT};
use crate::quantity::Unit;
use crate::read::daily::LeftOut;
use crate::site::Hemisphere;

/// Degrees from the equator within which a place is tropical: the tropics' latitude, which is the tilt of the Earth's axis
/// (Meeus, Astronomical Algorithms, 2nd ed. 1998; from memory).
pub const TROPIC_DEG: f64 = 23.44;
/// Mean of the coldest month from which on a place has no winter: Köppen's limit of the tropical climates (Peel, Finlayson
/// & `McMahon` 2007, Hydrol. Earth Syst. Sci. 11, 1633-1644; from memory).
pub const COLDEST_MONTH_C: f64 = 18.0;
/// Two values of one day that differ by more than this are different \[°C\]: more than rounding to a whole °F. Ours.
const SAME_C: f64 = 0.6;

/// Whether a place lies in the tropics or has no month below 18 °C.
pub(super) fn has_no_winter(question: &SeasonQuestion<'_>) -> bool {
    let is_tropical = question
        .site
        .latitude
        .is_some_and(|latitude| latitude.abs() < TROPIC_DEG);
    is_tropical || coldest_month_c(question).is_some_and(|mean| mean >= COLDEST_MONTH_C)
}

/// Mean of the coldest month over the record, from both extremes \[°C\]; `None` without maxima or without each month.
fn coldest_month_c(question: &SeasonQuestion<'_>) -> Option<f64> {
    let record = question.record;
    let (mut sums, mut counts) = ([0.0; 12], [0_u32; 12]);
    let days = record.tmin().iter().zip(record.tmax()?);
    for ((tmin, tmax), date) in days.zip(record.first().iter_days()) {
        let mean = f64::midpoint(*tmin, *tmax);
        let month = date.month0() as usize;
        if let (false, Some(sum), Some(count)) =
            (mean.is_nan(), sums.get_mut(month), counts.get_mut(month))
        {
            *sum += record.unit().convert(mean, Unit::Celsius);
            *count += 1;
        }
    }
    let means = sums
        .into_iter()
        .zip(counts)
        .map(|(sum, count)| (count > 0).then(|| sum / f64::from(count)));
    let means: Option<Vec<f64>> = means.collect();
    means?.into_iter().reduce(f64::min)
}

pub(super) fn of(
    season: &Season,
    question: &SeasonQuestion<'_>,
    is_under_way: bool,
) -> Vec<String> {
    let mut notices = Vec::new();
    if question.site.garden.is_empty() {
        notices.push("no garden in the site file: planned for one hybrid tea rose".to_owned());
    }
    if question.site.latitude.is_none() {
        notices.push("no latitude: the seasons of the north are taken".to_owned());
    }
    notices.extend(of_winter(question));
    notices.extend(of_record(season, question));
    if season.plants.iter().any(|plant| !plant.damage.is_empty()) {
        notices.push(of_sum(question));
        notices.extend(of_others(season));
    }
    notices.extend(of_year(season, question, is_under_way));
    notices.extend(of_observed(question));
    let is_compromise =
        |plant: &&super::PlantSeason| plant.prune.is_ok_and(|prune| prune.is_compromise);
    for plant in season.plants.iter().filter(is_compromise) {
        notices.push(format!(
            "{}: no day keeps the damage within {} and comes before the buds break in most years; the day of least harm is given",
            plant.plant.name,
            percent(question.settings.most_damage)
        ));
    }
    notices
}

fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// "1 year", "2 years".
fn number(count: usize, what: &str) -> String {
    let plural = if count == 1 { "" } else { "s" };
    format!("{count} {what}{plural}")
}

fn of_winter(question: &SeasonQuestion<'_>) -> Option<String> {
    if !has_no_winter(question) {
        return None;
    }
    let why = match question.site.latitude {
        Some(latitude) if latitude.abs() < TROPIC_DEG => "the place lies in the tropics".to_owned(),
        _ => format!("no month of the record is colder than {COLDEST_MONTH_C:.0} °C in the mean"),
    };
    Some(format!("{why}: {}", NoDates::NoWinter.words()))
}

fn of_record(season: &Season, question: &SeasonQuestion<'_>) -> Vec<String> {
    let mut notices = Vec::new();
    let Some((from, to, years)) = season.damage_years else {
        if question.record.tmax().is_none() {
            notices.push("the record has no daily maxima: no damage, no bud break".to_owned());
        }
        return notices;
    };
    let counted = number(years, "year");
    if years < LEAST_YEARS {
        notices.push(format!(
            "damage rests on {counted} only, {from} to {to}: no more than a hint"
        ));
    } else if years < 30 {
        notices.push(format!(
            "damage rests on {counted}, {from} to {to}: wide intervals"
        ));
    }
    let window = Window {
        half: HalfName::Spring,
        hemisphere: question.site.hemisphere().unwrap_or(Hemisphere::North),
    };
    let filled = winter::filled(question.record, window, ROSE_SHOOT.degree_days());
    if filled > 0 {
        let days = number(filled as usize, "single missing day");
        notices.push(format!(
            "{days} filled by the mean of their neighbours for degree days"
        ));
    }
    if !season.left_out.is_empty() {
        let years: Vec<String> = season.left_out.iter().map(ToString::to_string).collect();
        notices.push(format!(
            "left out of the damage for gaps of two days or more: {}",
            years.join(", ")
        ));
    }
    notices
}

fn of_sum(question: &SeasonQuestion<'_>) -> String {
    if let Some(sum) = question.settings.sum_c_days {
        return format!(
            "shoots are taken to be out {sum} °C·d above 5.2 °C after the cut: your own figure"
        );
    }
    let low = ROSE_SHOOT.low;
    let (middle, high) = (ROSE_SHOOT.mid.unwrap_or(low), ROSE_SHOOT.high);
    format!(
        "damage is inferred: shoots are taken to be out {middle} °C·d above 5.2 °C after the cut, a sum that no one has \
         measured outdoors for roses; the range is that of {low} to {high} °C·d"
    )
}

/// That the sum of the rose is borrowed for other plants.
fn of_others(season: &Season) -> Option<String> {
    let cut = season
        .plants
        .iter()
        .filter(|plant| !plant.damage.is_empty());
    let others = cut.filter(|plant| plant.plant.group != Group::Rose);
    let names: Vec<&str> = others.map(|plant| plant.plant.name.as_str()).collect();
    (!names.is_empty()).then(|| {
        format!(
            "{}: the sum of the rose is borrowed for the damage, no other being known",
            names.join("; ")
        )
    })
}

fn of_year(season: &Season, question: &SeasonQuestion<'_>, is_under_way: bool) -> Option<String> {
    if is_under_way {
        return None;
    }
    let last =
        question.record.first().year() + i32::try_from(question.record.days() / 365).unwrap_or(0);
    (season.year >= last).then(|| {
        format!(
            "{} is planned from the years of the record; nothing of it has been observed",
            season.year
        )
    })
}

/// Whether what was observed differs from the record on the days that both have.
fn of_observed(question: &SeasonQuestion<'_>) -> Option<String> {
    let observed = question.observed?;
    let record = question.record;
    let (mut shared, mut different, mut most) = (0, 0, 0.0_f64);
    for (place, value) in observed.tmin().iter().enumerate() {
        let offset = observed
            .first()
            .signed_duration_since(record.first())
            .num_days();
        let day = usize::try_from(offset + i64::try_from(place).ok()?).ok();
        let Some(other) = day.and_then(|day| record.tmin().get(day)) else {
            continue;
        };
        let apart = (observed.unit().convert(*value, Unit::Celsius)
            - record.unit().convert(*other, Unit::Celsius))
        .abs();
        if apart.is_nan() {
            continue;
        }
        shared += 1;
        different += u32::from(apart > SAME_C);
        most = most.max(apart);
    }
    (different > 0).then(|| {
        format!(
            "the observed minima differ from the record's on {different} of {shared} days that both have, by up to {most:.1} °C: \
             this season takes the observed ones"
        )
    })
}

impl Season {
    /// Adds what must be said of the record's own values: what was left out, suspect minima too, and what was brought back.
    pub fn note_values(&mut self, left: LeftOut, is_whole_fahrenheit: bool) {
        let years = self.last_freeze.half.years.iter();
        let suspects = years.map(|year| u64::from(year.suspects)).sum();
        let counted = [
            (left.flagged, "that the archive's own check rejects"),
            (left.impossible, "outside -90 to 60 °C"),
            (left.doubled, "for a day that already had one"),
            (
                suspects,
                "as suspect: far from the station's own record for the day",
            ),
        ];
        let words = |(count, what)| match count {
            0 => None,
            1 => Some(format!("left out 1 value {what}")),
            count => Some(format!("left out {count} values {what}")),
        };
        self.notices.extend(counted.into_iter().filter_map(words));
        if is_whole_fahrenheit {
            let words = "minima are brought back to the whole °F in which they were read";
            self.notices.push(words.to_owned());
        }
    }
}
