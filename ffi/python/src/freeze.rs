//! Station records to dates and risk.
#![expect(
    clippy::needless_pass_by_value,
    reason = "PyO3 hands arguments over by value"
)]

use std::num::NonZeroUsize;
use std::sync::Arc;

use chrono::{DateTime, NaiveDate};
use fairspell::freeze::{Asked, Settings, StationFreezes};
use fairspell::quantity::{Kind as QuantityKind, Quantity, Unit};
use fairspell::read::daily::{DailyOptions, DailyReading};
use fairspell::site::Hemisphere;
use pyo3::prelude::*;

use crate::answer::{Answer, Kind};
use crate::failure::Failure;
use crate::input::{Given, summary_units};
use crate::place::{PlaceOptions, share};
use crate::spread::spread;

/// Thresholds \[°F\] unless others are named: those of the command line.
const THRESHOLDS_F: [f64; 4] = [36.0, 32.0, 28.0, 24.0];

/// What is asked of all records.
#[derive(FromPyObject)]
#[pyo3(from_item_all)]
pub struct FreezeOptions<'py> {
    place: PlaceOptions<'py>,
    thresholds: Option<Vec<String>>,
    on: Option<i32>,
    risk: Option<String>,
    record_units: Option<String>,
    whole_fahrenheit: Option<bool>,
    keep_suspect: bool,
    seed: u64,
    replicates: u32,
    now: i64,
    threads: Option<NonZeroUsize>,
}

struct Case {
    settings: Settings,
    asked: Asked,
    options: DailyOptions,
    today: NaiveDate,
}

impl FreezeOptions<'_> {
    fn case(&self) -> Result<Case, Failure> {
        let site = self.place.site()?;
        let asked = self.asked()?;
        let now = DateTime::from_timestamp(self.now, 0).map(|now| now.date_naive());
        let today = asked.on.or(now);
        Ok(Case {
            settings: Settings {
                thresholds: self.thresholds()?,
                hemisphere: site.hemisphere().unwrap_or(Hemisphere::North),
                keeps_suspect: self.keep_suspect,
                seed: self.seed,
                replicates: self.replicates,
                is_brief: false,
            },
            asked,
            options: DailyOptions {
                units: summary_units(self.record_units.as_deref())?,
                is_whole_fahrenheit: self.whole_fahrenheit,
                is_minima_only: true,
            },
            today: today.ok_or_else(|| Failure::Question("expected a clock, found none".into()))?,
        })
    }

    fn thresholds(&self) -> Result<Vec<Quantity>, Failure> {
        let Some(texts) = &self.thresholds else {
            let unit = Unit::Fahrenheit;
            return Ok(THRESHOLDS_F.map(|value| Quantity { value, unit }).to_vec());
        };
        let of = |text: &String| {
            Quantity::parse(text, QuantityKind::Temperature)
                .map_err(|_| Failure::found("thresholds", "a temperature such as 28F or -2C", text))
        };
        texts.iter().map(of).collect()
    }

    fn asked(&self) -> Result<Asked, Failure> {
        let expected = "a share such as 10%, above 0 and below 100";
        let risk = self.risk.as_deref().map(|text| {
            let share = share("risk", text, expected)?;
            let is_share = share > 0.0 && share < 1.0;
            let found = || Failure::found("risk", expected, text);
            is_share.then_some(share).ok_or_else(found)
        });
        Ok(Asked {
            on: self.on.and_then(NaiveDate::from_num_days_from_ce_opt),
            risk: risk.transpose()?,
        })
    }
}

/// The stations of the records, in their order.
#[pyfunction]
pub fn freeze_many(
    py: Python<'_>,
    records: Vec<Given<'_>>,
    options: FreezeOptions<'_>,
) -> PyResult<Vec<Answer>> {
    let case = options.case()?;
    let inputs: Vec<_> = records.iter().map(Given::input).collect::<Result<_, _>>()?;
    let threads = options.threads;
    let answers = py.detach(|| {
        let read = spread(&inputs, threads, |input| input.daily(case.options));
        let mut stations = Vec::new();
        for read in read {
            let (readings, of_file) = read?;
            let said: Arc<[String]> = of_file.iter().map(ToString::to_string).collect();
            stations.extend(readings.into_iter().map(|one| (one, Arc::clone(&said))));
        }
        Ok::<_, Failure>(spread(&stations, threads, |(reading, said)| {
            case.answer(reading, said)
        }))
    })?;
    Ok(answers)
}

impl Case {
    fn answer(&self, reading: &DailyReading, said: &[String]) -> Answer {
        let mut station = StationFreezes::new(reading, &self.settings);
        station.note_age(self.today);
        station.notices.extend_from_slice(said);
        Answer::new(Kind::Freeze(Box::new(station), self.asked), said.to_vec())
    }
}
