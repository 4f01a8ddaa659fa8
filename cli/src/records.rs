//! Files of records opened, and told of at a terminal while they are read.

use std::fs::File;
use std::io::stdin;

use fairspell::read::Notice;

use crate::failure::Failure;
use crate::progress::{Counted, Progress};
use crate::stations::{Kind, Record, for_each_station_of};

/// Gives each station of a file, or of standard input for `-`, to `work`, and what comes back to `take`, in the order of
/// the file; what must be said of the file as a whole goes to `work` with each, and comes back in the end.
pub fn for_each_station<K: Kind, T: Send>(
    name: &str,
    (options, progress): (K, &Progress),
    work: impl Fn(&K::Reading, &[Notice]) -> T + Sync,
    take: impl FnMut(T) -> Result<(), Failure>,
) -> Result<Vec<Notice>, Failure> {
    let record = Record::new(name, options);
    let of_file = if name == "-" {
        progress.begin("standard input", None);
        let input = Counted {
            input: stdin(),
            progress,
        };
        for_each_station_of(input, record, work, take)
    } else {
        let file = File::open(name).map_err(|error| record.cannot_read(error))?;
        progress.begin(name, file.metadata().ok().map(|of| of.len()));
        let input = Counted {
            input: file,
            progress,
        };
        for_each_station_of(input, record, work, take)
    }?;
    progress.clear();
    Ok(of_file)
}
