//! Files of records opened, and told of at a terminal while they are read.

use std::fs::File;
use std::io::stdin;

use fairspell::read::Notice;
use fairspell::read::past::{Joined, PastReading};

use crate::failure::Failure;
use crate::output;
use crate::progress::Progress;
use crate::stations::{HourOptions, Kind, Record, for_each_station_of};

/// Gives each station of a file, or of standard input for `-`, to `work`, and what comes back to `take`, in the order of
/// the file; what must be said of the file as a whole goes to `work` with each, and comes back in the end.
pub fn for_each_station<K: Kind, T: Send>(
    name: &str,
    (options, progress): (K, &Progress),
    work: impl Fn(&K::Reading, &[Notice]) -> T + Sync,
    take: impl FnMut(T) -> Result<(), Failure>,
) -> Result<Vec<Notice>, Failure> {
    let record = Record {
        seen: &|bytes| progress.count_bytes(bytes),
        ..Record::new(name, options)
    };
    let of_file = if name == "-" {
        progress.begin("standard input", None);
        for_each_station_of(stdin(), record, work, take)
    } else {
        let file = File::open(name).map_err(|error| record.cannot_read(error))?;
        progress.begin(name, file.metadata().ok().map(|of| of.len()));
        for_each_station_of(file, record, work, take)
    }?;
    progress.clear();
    Ok(of_file)
}

/// The stations of several files of past hours, the hours of each brought together.
pub fn joined(
    names: &[String],
    options: HourOptions,
    progress: &Progress,
) -> Result<Vec<PastReading>, Failure> {
    let mut joined = Joined::default();
    for name in names {
        let keep = |reading: &PastReading, _: &[Notice]| reading.clone();
        let of_file = for_each_station(name, (options, progress), keep, |reading| {
            joined.add(reading, name).map_err(|error| {
                let name = name.clone();
                Failure::Observed { name, error }
            })
        })?;
        say(&of_file);
    }
    Ok(joined.into_stations())
}

/// Notices of files, one line each.
pub fn say(notices: &[Notice]) {
    for notice in notices {
        output::to_stderr(&format!("notice: {notice}"));
    }
}
