//! A station's record, a garden and a year to a plan.
#![expect(
    clippy::needless_pass_by_value,
    reason = "PyO3 hands arguments over by value"
)]

use chrono_tz::Tz;
use fairspell::error::{DecideError, Excerpt};
use fairspell::quantity::{Kind as QuantityKind, Quantity};
use fairspell::read::daily::{DailyOptions, DailyReading, LeftOut, of_hours_words};
use fairspell::read::{Notice, is_hourly, local_date};
use fairspell::season::{SeasonQuestion, SeasonSettings, Weights, season as planned, year_of};
use fairspell::series::DailySeries;
use fairspell::site::{Hemisphere, Site};
use pyo3::prelude::*;

use crate::answer::{Answer, Kind};
use crate::failure::Failure;
use crate::input::{Given, Input, summary_units};
use crate::place::{PlaceOptions, plants, units};

/// Greatest sum of degree days that is taken \[°C·d\]: the command line's.
const MOST_DEGREE_DAYS: f64 = 2000.0;
/// Years that are planned: the command line's.
const YEARS: core::ops::RangeInclusive<i32> = 1800..=2200;
/// Stations that an error names.
const MOST_NAMED: usize = 3;

/// What is asked.
#[derive(FromPyObject)]
#[pyo3(from_item_all)]
pub struct SeasonOptions<'py> {
    place: PlaceOptions<'py>,
    year: Option<i32>,
    station: Option<String>,
    observed: Option<Given<'py>>,
    plants: Option<Given<'py>>,
    tender: Option<String>,
    degree_days: Option<f64>,
    weights: Option<(f64, f64)>,
    record_units: Option<String>,
    whole_fahrenheit: Option<bool>,
    keep_suspect: bool,
    seed: u64,
    replicates: u32,
    units: Option<String>,
    explain: bool,
    now: i64,
}

impl SeasonOptions<'_> {
    fn settings(&self) -> Result<SeasonSettings, Failure> {
        let defaults = SeasonSettings::default();
        let tender = self.tender.as_deref().map(|text| {
            Quantity::parse(text, QuantityKind::Temperature)
                .map_err(|_| Failure::found("tender", "a temperature such as 28F or -2C", text))
        });
        let is_sum = |sum: &f64| *sum > 0.0 && *sum <= MOST_DEGREE_DAYS;
        if let Some(sum) = self.degree_days.filter(|sum| !is_sum(sum)) {
            let expected = "degree days above 0 and at most 2000, such as 130";
            return Err(Failure::found("degree_days", expected, &sum.to_string()));
        }
        Ok(SeasonSettings {
            tender: tender.transpose()?.unwrap_or(defaults.tender),
            sum_c_days: self.degree_days,
            weights: self.weights()?.unwrap_or(defaults.weights),
            seed: self.seed,
            replicates: self.replicates,
            keeps_suspect: self.keep_suspect,
            ..defaults
        })
    }

    fn weights(&self) -> Result<Option<Weights>, Failure> {
        let is_weight = |weight: &f64| (0.0..=1000.0).contains(weight);
        match self.weights {
            Some((late, spent))
                if !(is_weight(&late) && is_weight(&spent) && late + spent > 0.0) =>
            {
                let expected = "two numbers from 0 to 1000, not both 0, such as (1, 0.5)";
                let found = format!("{late}, {spent}");
                Err(Failure::found("weights", expected, &found))
            }
            weights => Ok(weights.map(|(late_freeze, after_bud_break)| Weights {
                late_freeze,
                after_bud_break,
            })),
        }
    }

    fn year(&self, site: &Site) -> Result<i32, Failure> {
        let hemisphere = site.hemisphere().unwrap_or(Hemisphere::North);
        let now = local_date(self.now, site.zone.unwrap_or(Tz::UTC));
        let year = self
            .year
            .or_else(|| now.map(|now| year_of(now, hemisphere)));
        let year = year.filter(|year| YEARS.contains(year));
        year.ok_or_else(|| {
            Failure::Question("year: expected one from 1800 to 2200, found another".into())
        })
    }
}

/// The only station of a record, or the one of a name, and what must be said of the record.
pub fn only(
    input: &Input<'_>,
    options: DailyOptions,
    wanted: Option<&str>,
) -> Result<(DailyReading, Vec<Notice>), Failure> {
    let (mut stations, notices) = input.daily(options)?;
    let name_of =
        |reading: &DailyReading| Excerpt::of(reading.series.station().as_bytes()).to_string();
    let mut found: Vec<String> = stations.iter().take(MOST_NAMED).map(name_of).collect();
    if stations.len() > MOST_NAMED {
        found.push(format!("{} more", stations.len() - MOST_NAMED));
    }
    let found = found.join(", ");
    let place = match wanted {
        Some(wanted) => stations.iter().position(|of| of.series.station() == wanted),
        None => (stations.len() == 1).then_some(0),
    };
    if let Some(place) = place {
        return Ok((stations.swap_remove(place), notices));
    }
    let expected = match wanted {
        None => "a record of one station".to_owned(),
        Some(wanted) => format!(
            "the station {} in the record",
            Excerpt::of(wanted.as_bytes())
        ),
    };
    Err(Failure::whole(
        input.name(),
        format!("expected {expected}, found {found}"),
    ))
}

/// What was observed of the year: days, or hours that become the extremes of the place's days.
fn observed(
    input: &Input<'_>,
    options: DailyOptions,
    site: &Site,
) -> Result<(DailySeries, Vec<String>), Failure> {
    let has_hours = match input {
        Input::Hours(_) => true,
        Input::Days(_) => false,
        _ => is_hourly(&input.bytes()?),
    };
    if !has_hours {
        let (reading, notices) = only(input, options, None)?;
        return Ok((
            reading.series,
            notices.iter().map(ToString::to_string).collect(),
        ));
    }
    let reading = input.hourly(site.zone)?;
    let zone = site.zone.ok_or(DecideError::NoZone)?;
    let [hours] = reading.members.as_slice() else {
        let words = "expected observed hours without members, found an ensemble";
        return Err(Failure::whole(input.name(), words));
    };
    let series = DailySeries::of_hours(hours, zone);
    let series = series.map_err(|error| Failure::series(input.name(), error))?;
    let mut notices: Vec<String> = reading.notices.iter().map(ToString::to_string).collect();
    notices.push(of_hours_words(input.name(), &series));
    Ok((series, notices))
}

/// The plan of a season.
#[pyfunction]
pub fn season(py: Python<'_>, record: Given<'_>, options: SeasonOptions<'_>) -> PyResult<Answer> {
    let (settings, site) = (options.settings()?, options.place.site()?);
    let (table, units) = (
        plants(options.plants.as_ref())?,
        units(options.units.as_deref())?,
    );
    let year = options.year(&site)?;
    let daily = DailyOptions {
        units: summary_units(options.record_units.as_deref())?,
        is_whole_fahrenheit: options.whole_fahrenheit,
        is_minima_only: false,
    };
    let record = record.input()?;
    let so_far = options.observed.as_ref().map(Given::input).transpose()?;
    let (wanted, explain, now) = (options.station.as_deref(), options.explain, options.now);
    let answer = py.detach(|| {
        let (reading, notices) = only(&record, daily, wanted)?;
        let so_far = so_far
            .map(|input| observed(&input, daily, &site))
            .transpose()?;
        let mut season = planned(&SeasonQuestion {
            record: &reading.series,
            site: &site,
            table: &table,
            year,
            observed: so_far.as_ref().map(|(series, _)| series),
            settings: &settings,
        })?;
        let left: LeftOut = reading.left_out;
        season.note_values(left, reading.series.is_whole_fahrenheit());
        let of_record = notices.iter().map(ToString::to_string);
        let of_files: Vec<String> = of_record
            .chain(so_far.into_iter().flat_map(|(_, notices)| notices))
            .collect();
        // As on the command line: a sentence begins with a capital letter, the name of a file stays as it is.
        let said = of_files.iter().map(|notice| format!("from {notice}"));
        season.notices.extend(said);
        let explained = if explain {
            season.explain(&settings)
        } else {
            Vec::new()
        };
        let kind = Kind::Season(Box::new(season), Box::new(site), explained, (units, now));
        Ok::<_, Failure>(Answer::new(kind, of_files))
    })?;
    Ok(answer)
}
