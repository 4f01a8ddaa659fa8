//! The values of a measure, hour by hour: read from the file, or derived from air, sun and rain.

use std::sync::Arc;

use crate::air;
use crate::operation::Measure;
use crate::quantity::Unit;
use crate::series::{Amounts, Column, Element, HourlySeries};
use crate::sun;

/// Longest time that drying is followed \[h\]: ten days; a surface still wet then needs at least that long. Ours.
pub const MAX_DRYING_H: usize = 240;

/// What is known of the place beside the hours themselves.
#[derive(Debug, Clone, Copy)]
pub struct Sky {
    /// Degrees north and east, for the sun; `None`: the sun's measures are absent.
    pub coordinates: Option<(f64, f64)>,
    /// Metres above sea level, for the air pressure.
    pub elevation_m: f64,
    /// Whether hours before the first are taken as dry, on the user's word.
    pub dry_before: bool,
}

/// Values of a measure between bounds, NaN for missing, all in one unit.
#[derive(Debug, Clone)]
pub(crate) struct Track {
    pub(crate) low: Arc<[f64]>,
    pub(crate) high: Option<Arc<[f64]>>,
    pub(crate) unit: Unit,
}

impl Track {
    pub(crate) fn high(&self) -> &[f64] {
        self.high.as_deref().unwrap_or(&self.low)
    }
}

/// The values of a measure that is no amount; `None` if the file and the place do not give it at all.
pub(crate) fn track(series: &HourlySeries, sky: &Sky, measure: Measure) -> Option<Track> {
    let mut track = match measure {
        Measure::Read(Element::Humidity) => humidity(series),
        Measure::Read(Element::DewPoint) => dew_point(series),
        Measure::Read(element) => series.column(element).map(read),
        Measure::WetBulb => {
            let pressure = air::standard_pressure_hpa(sky.elevation_m)?;
            moist(series, (true, true), |t, rh| {
                air::wet_bulb_c(t, rh, pressure)
            })
        }
        Measure::WetBulbDepression => {
            let pressure = air::standard_pressure_hpa(sky.elevation_m)?;
            moist(series, (true, false), |t, rh| {
                Some(t - air::wet_bulb_c(t, rh, pressure)?)
            })
        }
        Measure::DewPointDepression => moist(series, (true, false), |t, rh| {
            Some(t - air::dew_point_c(t, rh)?)
        }),
        Measure::VapourPressureDeficit => {
            moist(series, (true, false), air::vapour_pressure_deficit_hpa)
        }
        Measure::DryingHours => drying(series, sky),
        Measure::SunElevation => sun_elevation(series, sky, 1800),
        Measure::Daylight => daylight(series, sky),
        Measure::HoursSinceRain => series
            .amounts(Element::Rain)
            .map(|rain| since_rain(rain, sky.dry_before)),
        Measure::HoursUntilRain => series.amounts(Element::Rain).map(until_rain),
    }?;
    let si = measure.kind().si();
    if track.unit.kind() != si.kind() {
        track.unit = si;
    }
    Some(track)
}

/// A column as it was read; one whose hours are in two units is brought to SI.
fn read(column: &Column) -> Track {
    let high = column.is_bounded().then(|| column.high());
    if let Some(unit) = column.single_unit() {
        return Track {
            low: Arc::from(column.low()),
            high: high.map(Arc::from),
            unit,
        };
    }
    let si = |values: &[f64]| -> Arc<[f64]> {
        values
            .iter()
            .enumerate()
            .map(|(hour, value)| column.unit_at(hour).to_si(*value))
            .collect()
    };
    let unit = column.unit_at(0).kind().si();
    Track {
        low: si(column.low()),
        high: high.map(si),
        unit,
    }
}

/// A column in SI.
fn si(track: Track) -> Track {
    let unit = track.unit;
    if unit == unit.kind().si() {
        return track;
    }
    let convert =
        |values: &[f64]| -> Arc<[f64]> { values.iter().map(|value| unit.to_si(*value)).collect() };
    Track {
        low: convert(&track.low),
        high: track.high.as_deref().map(convert),
        unit: unit.kind().si(),
    }
}

fn humidity(series: &HourlySeries) -> Option<Track> {
    if let Some(column) = series.column(Element::Humidity) {
        return Some(read(column));
    }
    let t = si(read(series.column(Element::Temperature)?));
    let td = si(read(series.column(Element::DewPoint)?));
    let mut track = combine(&t, &td, (false, true), air::humidity_from_dew_point_pct);
    track.unit = Unit::Percent;
    Some(track)
}

fn dew_point(series: &HourlySeries) -> Option<Track> {
    match series.column(Element::DewPoint) {
        Some(column) => Some(read(column)),
        None => moist(series, (true, true), air::dew_point_c),
    }
}

/// A measure of temperature and humidity that goes up (`true`) or down with each.
fn moist(
    series: &HourlySeries,
    rising: (bool, bool),
    formula: impl Fn(f64, f64) -> Option<f64>,
) -> Option<Track> {
    let t = si(read(series.column(Element::Temperature)?));
    let rh = humidity(series)?;
    Some(combine(&t, &rh, rising, formula))
}

/// Hour by hour a formula of two measures, monotone in each, between the bounds of both.
fn combine(
    first: &Track,
    second: &Track,
    rising: (bool, bool),
    formula: impl Fn(f64, f64) -> Option<f64>,
) -> Track {
    let at = |a: &[f64], b: &[f64]| -> Vec<f64> {
        let values = a.iter().zip(b).map(|(a, b)| {
            if a.is_nan() || b.is_nan() {
                f64::NAN
            } else {
                formula(*a, *b).unwrap_or(f64::NAN)
            }
        });
        values.collect()
    };
    let corner = |up: bool| {
        let a = if rising.0 == up {
            first.high()
        } else {
            &first.low
        };
        let b = if rising.1 == up {
            second.high()
        } else {
            &second.low
        };
        at(a, b)
    };
    let bounded = first.high.is_some() || second.high.is_some();
    let low = corner(false);
    let high = bounded.then(|| Arc::from(corner(true)));
    Track {
        low: Arc::from(low),
        high,
        unit: first.unit,
    }
}

fn sun_elevation(series: &HourlySeries, sky: &Sky, after_s: i64) -> Option<Track> {
    let (latitude, longitude) = sky.coordinates?;
    let at = |hour| sun::elevation_deg(latitude, longitude, series.time(hour) + after_s);
    let low = (0..series.hours()).map(at).collect();
    Some(Track {
        low,
        high: None,
        unit: Unit::Degree,
    })
}

fn daylight(series: &HourlySeries, sky: &Sky) -> Option<Track> {
    let (latitude, longitude) = sky.coordinates?;
    let mut begins = sun::elevation_deg(latitude, longitude, series.start());
    let low = (0..series.hours())
        .map(|hour| {
            let ends = sun::elevation_deg(latitude, longitude, series.time(hour + 1));
            let lower = begins.min(ends);
            begins = ends;
            lower
        })
        .collect();
    Some(Track {
        low,
        high: None,
        unit: Unit::Degree,
    })
}

/// Hours since rain: 0 while it rains, 1 in the hour after. The least counts every hour that may have been wet,
/// the greatest only rain that is sure.
fn since_rain(rain: &Amounts, dry_before: bool) -> Track {
    let mut maybe = if dry_before { None } else { Some(-1_i64) };
    let mut surely: Option<i64> = None;
    let distance = |hour: i64, to: Option<i64>| to.map_or(f64::INFINITY, |to| (hour - to) as f64);
    let (mut low, mut high) = (Vec::new(), Vec::new());
    for (index, hour) in (0..rain.hours()).zip(0_i64..) {
        if let Some(amount) = rain.of_hour(index) {
            if amount.high_um != Some(0) {
                maybe = Some(hour);
            }
            if amount.low_um > 0 && amount.from + amount.hours == index + 1 {
                surely = i64::try_from(amount.from).ok();
            }
        }
        low.push(distance(hour, maybe));
        high.push(distance(hour, surely));
    }
    Track {
        low: Arc::from(low),
        high: Some(Arc::from(high)),
        unit: Unit::Hour,
    }
}

/// Hours until rain: 0 while it rains. Past the end of the file it may rain at once.
fn until_rain(rain: &Amounts) -> Track {
    let hours = rain.hours();
    let mut maybe = hours;
    let mut surely: Option<usize> = None;
    let (mut low, mut high) = (vec![0.0; hours], vec![f64::INFINITY; hours]);
    for (index, (low, high)) in low.iter_mut().zip(high.iter_mut()).enumerate().rev() {
        if let Some(amount) = rain.of_hour(index) {
            if amount.high_um != Some(0) {
                maybe = index;
            }
            if amount.low_um > 0 && amount.from == index {
                surely = Some(amount.from + amount.hours - 1);
            }
        }
        *low = (maybe - index) as f64;
        *high = surely.map_or(f64::INFINITY, |to| (to - index) as f64);
    }
    Track {
        low: Arc::from(low),
        high: Some(Arc::from(high)),
        unit: Unit::Hour,
    }
}

/// Whole hours until a film of 0.2 mm, put on at the hour's beginning, is gone.
fn drying(series: &HourlySeries, sky: &Sky) -> Option<Track> {
    let rain = series.amounts(Element::Rain)?;
    let t = si(read(series.column(Element::Temperature)?));
    let rh = humidity(series)?;
    let pressure = air::standard_pressure_hpa(sky.elevation_m)?;
    let wind = series.column(Element::Wind).map(|column| si(read(column)));
    let slow_wind = wind.as_ref().map(|wind| &*wind.low);
    let slow = losses(&t.low, rh.high(), slow_wind, pressure);
    let fast = losses(t.high(), &rh.low, wind.as_ref().map(Track::high), pressure);
    let (least, most) = (hourly_rain(rain, false), hourly_rain(rain, true));
    let hours = 0..series.hours();
    let low = hours
        .clone()
        .map(|hour| dry_after(hour, &fast, &least).unwrap_or_else(|bound| bound));
    let high = hours.map(|hour| dry_after(hour, &slow, &most).unwrap_or(f64::INFINITY));
    Some(Track {
        low: low.collect(),
        high: Some(high.collect()),
        unit: Unit::Hour,
    })
}

/// What each hour can evaporate \[mm\]; NaN where anything that it takes is missing. No wind at all is still air.
fn losses(t: &[f64], rh: &[f64], wind: Option<&[f64]>, pressure_hpa: f64) -> Vec<f64> {
    let loss = |(hour, (t, rh)): (usize, (&f64, &f64))| {
        let speed = wind.map(|wind| wind.get(hour).copied().unwrap_or(f64::NAN));
        let is_known = !(t.is_nan() || rh.is_nan() || speed.is_some_and(f64::is_nan));
        let loss = is_known.then(|| air::evaporation_mm_per_hour(*t, *rh, speed, pressure_hpa));
        loss.flatten().unwrap_or(f64::NAN)
    };
    t.iter().zip(rh).enumerate().map(loss).collect()
}

/// The least or the most rain that each hour can have had \[mm\]; NaN where there is no most: such an hour is missing, and
/// nothing is known to hold on it, not even that the wood stays wet.
fn hourly_rain(rain: &Amounts, is_most: bool) -> Vec<f64> {
    let of = |hour| {
        let amount = rain.of_hour(hour);
        let Some((amount, most_um)) = amount.and_then(|amount| Some((amount, amount.high_um?)))
        else {
            return f64::NAN;
        };
        match (is_most, amount.hours) {
            (true, _) => most_um as f64 / 1000.0,
            (false, 1) => amount.low_um as f64 / 1000.0,
            (false, _) => 0.0,
        }
    };
    (0..rain.hours()).map(of).collect()
}

/// Hours until dry, or what it takes at least where the end cannot be seen: a value missing on the way, the end of
/// the file, or [`MAX_DRYING_H`].
fn dry_after(from: usize, loss: &[f64], rain: &[f64]) -> Result<f64, f64> {
    let mut film = air::FILM_MM;
    let mut hours = 0.0;
    let (loss, rain) = (loss.get(from..), rain.get(from..));
    let ahead = loss.into_iter().flatten().zip(rain.into_iter().flatten());
    for (loss, rain) in ahead.take(MAX_DRYING_H) {
        if loss.is_nan() || rain.is_nan() {
            return Err(hours + 1.0);
        }
        film = air::film_after_hour_mm(film, *rain, *loss);
        hours += 1.0;
        if film <= 0.0 {
            return Ok(hours);
        }
    }
    Err(hours + 1.0)
}
