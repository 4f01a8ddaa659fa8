//! A station with few rows, put aside until its turn: its answer may be ten thousand times as long as its rows, and a block
//! has room for thousands of such stations.

use chrono::NaiveDate;
use fairspell::error::SeriesError;
use fairspell::quantity::Unit;
use fairspell::read::daily::{DailyFormat, DailyReading, LeftOut};
use fairspell::series::DailySeries;

/// Days below which no half of a year can count: 153 of the shorter one less the ten that may be missing.
const LEAST_DAYS: usize = 143;
/// Days from the first to the last for each day known, beyond which a record is sparse. Ours: a row a month.
const MOST_DAYS_EACH: usize = 31;

/// The days of a station that are known, and the rest of its reading.
pub struct Sparse {
    station: String,
    first: NaiveDate,
    days: usize,
    unit: Unit,
    is_whole_fahrenheit: bool,
    tmin: Vec<(usize, f64)>,
    tmax: Option<Vec<(usize, f64)>>,
    format: DailyFormat,
    left_out: LeftOut,
}

impl Sparse {
    /// A reading with few rows, or far fewer than days; `None`: it is none of those.
    pub fn of(reading: &DailyReading) -> Option<Self> {
        let series = &reading.series;
        let values = [Some(series.tmin()), series.tmax()].into_iter().flatten();
        let known = values.map(|values| values.iter().filter(|value| !value.is_nan()).count());
        let (known, days) = (known.max().unwrap_or(0), series.days());
        let is_sparse = known < LEAST_DAYS || days / MOST_DAYS_EACH > known;
        is_sparse.then(|| Self {
            station: series.station().to_owned(),
            first: series.first(),
            days,
            unit: series.unit(),
            is_whole_fahrenheit: series.is_whole_fahrenheit(),
            tmin: known_of(series.tmin()),
            tmax: series.tmax().map(known_of),
            format: reading.format,
            left_out: reading.left_out,
        })
    }

    /// The reading again.
    pub fn reading(&self) -> Result<DailyReading, SeriesError> {
        let laid = |known: &[(usize, f64)]| {
            let mut values = vec![f64::NAN; self.days];
            for (day, value) in known {
                if let Some(place) = values.get_mut(*day) {
                    *place = *value;
                }
            }
            values
        };
        let (station, tmin) = (self.station.as_str(), laid(&self.tmin));
        let mut series = DailySeries::new(
            station,
            self.first,
            tmin,
            self.unit,
            self.is_whole_fahrenheit,
        )?;
        if let Some(tmax) = &self.tmax {
            series.set_tmax(laid(tmax))?;
        }
        Ok(DailyReading {
            series,
            format: self.format,
            left_out: self.left_out,
        })
    }
}

fn known_of(values: &[f64]) -> Vec<(usize, f64)> {
    let all = values.iter().copied().enumerate();
    all.filter(|(_, value)| !value.is_nan()).collect()
}
