//! The records that a season rests on: one station, and what was observed of the year so far.

use std::fs::File;
use std::io::stdin;

use fairspell::error::{DecideError, Excerpt, escaped};
use fairspell::read::daily::{
    DailyOptions, DailyReading, LeftOut, of_hours_words, read_daily_file,
};
use fairspell::read::{is_hourly, read_hourly};
use fairspell::series::DailySeries;
use fairspell::site::Site;

use crate::failure::Failure;
use crate::input::Input;
use crate::stations::{Record, for_each_station_of};

/// Stations that an error names.
const MOST_NAMED: usize = 3;

/// A record of one station.
pub struct OneStation {
    /// Its days.
    pub series: DailySeries,
    /// What was left out of it.
    pub left_out: LeftOut,
    /// What must be said of its file.
    pub notices: Vec<String>,
}

/// Which station of a record is wanted.
#[derive(Debug, Clone, Copy)]
pub enum Wanted<'a> {
    /// The only one.
    Only,
    /// The only one, or that of a name.
    OnlyOr(Option<&'a str>),
}

/// Reads a record that holds one station, or picks one of several by name.
pub fn record(
    name: &str,
    options: DailyOptions,
    wanted: Wanted<'_>,
) -> Result<OneStation, Failure> {
    let record = Record::new(name, options);
    let (hint, wanted) = match wanted {
        Wanted::Only => ("", None),
        Wanted::OnlyOr(wanted) => (", or --station to pick one", wanted),
    };
    let is_wanted =
        |reading: &DailyReading| wanted.is_none_or(|wanted| reading.series.station() == wanted);
    let work = |reading: &DailyReading, _: &[_]| {
        let station = reading.series.station().to_owned();
        (station, is_wanted(reading).then(|| reading.clone()))
    };
    let (mut names, mut found, mut more) = (Vec::new(), None, 0_u64);
    let take = |(station, reading): (String, Option<DailyReading>)| {
        if found.is_none() {
            found = reading;
        }
        if names.len() < MOST_NAMED {
            names.push(Excerpt::of(station.as_bytes()).to_string());
        } else {
            more += 1;
        }
        Ok(())
    };
    let notices = if name == "-" {
        for_each_station_of(stdin(), record, work, take)?
    } else {
        let file = File::open(name).map_err(|error| record.cannot_read(error))?;
        for_each_station_of(file, record, work, take)?
    };
    let all = listed(&names, more);
    let place = escaped(name);
    let wrong = match (wanted, found) {
        (None, _) if names.len() > 1 => {
            format!("expected a record of one station{hint}, found {all}")
        }
        (_, Some(reading)) => {
            return Ok(OneStation {
                left_out: reading.left_out,
                series: reading.series,
                notices: notices.iter().map(ToString::to_string).collect(),
            });
        }
        (wanted, None) => {
            let wanted = Excerpt::of(wanted.unwrap_or_default().as_bytes());
            format!("expected the station {wanted} in the record, found {all}")
        }
    };
    Err(Failure::Usage(format!("{place}: {wrong}")))
}

fn listed(names: &[String], more: u64) -> String {
    let names = names.join(", ");
    if more == 0 {
        names
    } else {
        format!("{names} and {more} more")
    }
}

/// Reads what was observed of the year: a daily record, or hours that become the extremes of the place's days.
pub fn observed(name: &str, options: DailyOptions, site: &Site) -> Result<OneStation, Failure> {
    let input = Input::read(name)?;
    if !is_hourly(&input.bytes) {
        let mut file = read_daily_file(input.source(), options)?;
        let notices = file.notices.iter().map(ToString::to_string).collect();
        if file.stations.len() > 1 {
            let mut names = file.stations.iter();
            let names: Vec<String> = names
                .by_ref()
                .take(MOST_NAMED)
                .map(|station| Excerpt::of(station.series.station().as_bytes()).to_string())
                .collect();
            let all = listed(&names, (file.stations.len() - names.len()) as u64);
            let words = "expected observed days of one station, found";
            return Err(Failure::Usage(format!("{}: {words} {all}", escaped(name))));
        }
        let reading = file.stations.pop();
        let reading = reading.ok_or_else(|| {
            Failure::Usage(format!("{}: expected days, found none", escaped(name)))
        })?;
        return Ok(OneStation {
            left_out: reading.left_out,
            series: reading.series,
            notices,
        });
    }
    of_hours(&input, site)
}

fn of_hours(input: &Input, site: &Site) -> Result<OneStation, Failure> {
    let reading = read_hourly(input.source(), site.zone)?;
    let zone = site.zone.ok_or(DecideError::NoZone)?;
    let [hours] = reading.members.as_slice() else {
        let words = "expected observed hours without members, found an ensemble";
        let name = escaped(&input.name);
        return Err(Failure::Usage(format!("{name}: {words}")));
    };
    let series = DailySeries::of_hours(hours, zone).map_err(|error| Failure::Observed {
        name: input.name.clone(),
        error,
    })?;
    let mut notices: Vec<String> = reading.notices.iter().map(ToString::to_string).collect();
    notices.push(of_hours_words(&input.name, &series));
    Ok(OneStation {
        series,
        left_out: LeftOut::default(),
        notices,
    })
}
