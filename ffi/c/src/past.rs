//! Past hours of one station or many, from one file or several, and logs of what was done.

use core::ffi::{c_char, c_void};
use std::sync::Arc;

use fairspell::hindcast::{Done, read_log};
use fairspell::read::past::{PastReading, read_past_each};
use fairspell::read::{Notice, Reading};
use fairspell::series::Hours;

use crate::handle::{Kind, borrow, free, give, mark, optional};
use crate::hourly::{Hourly, only_member};
use crate::pointer::{optional_text, out, text_buffer};
use crate::site::{Site, source};
use crate::status::{Fault, Status, entry};

/// Past hours of one station or of many.
pub struct Past {
    _opaque: (),
}

/// What lies behind past hours.
#[derive(Debug)]
pub(crate) struct PastValue {
    stations: Vec<Arc<PastReading>>,
    /// What must be said of the file as a whole.
    of_file: Vec<String>,
    /// The name of the file.
    name: String,
    /// Whether answers name what must be said of the file: of one file alone, as the command line does.
    is_one_file: bool,
}

impl PastValue {
    /// Everything that must be said of the files and of their stations.
    pub(crate) fn notices(&self) -> Vec<String> {
        let own = self.stations.iter().flat_map(|station| &station.notices);
        let mut notices = self.of_file.clone();
        notices.extend(own.map(Notice::to_string));
        notices
    }

    /// One station.
    pub(crate) fn station(&self, index: usize) -> Result<&PastReading, Fault> {
        let station = self.stations.get(index).map(Arc::as_ref);
        station.ok_or_else(|| {
            let count = self.stations.len();
            Fault::range(format!("expected a station below {count}, found {index}"))
        })
    }

    /// What an answer must say of the file.
    pub(crate) fn of_file(&self) -> &[String] {
        if self.is_one_file { &self.of_file } else { &[] }
    }
}

impl Kind for Past {
    type Value = PastValue;
    const MARK: u64 = mark(11);
    const NAME: &'static str = "past hours";
}

/// A log of what was done.
pub struct Log {
    _opaque: (),
}

impl Kind for Log {
    type Value = Vec<Done>;
    const MARK: u64 = mark(12);
    const NAME: &'static str = "a log";
}

/// Reads past hours of any format that is known (plain CSV with or without a column of stations, GHCN-Hourly, NWS
/// observations; gzip or not) and keeps all stations.
///   name             by which errors call the file
///   bytes, length    all of the file, at most 64 MiB, unpacked at most 48 MiB
///   site             whose clock places local times without an offset; NULL: none, and such times are an error
///   out              receives past hours for `fairspell_past_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_INPUT` (file, line and column in the last error), `FAIRSPELL_NULL`, `FAIRSPELL_UTF8`,
/// `FAIRSPELL_RANGE`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_past_read(
    name: *const c_char,
    bytes: *const c_void,
    length: usize,
    site: *const Site,
    out: *mut *mut Past,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of text, bytes, handle and out-pointer.
        let (source, site, out) = unsafe {
            (
                source(name, bytes, length)?,
                optional(site)?,
                crate::pointer::out(out)?,
            )
        };
        let mut stations = Vec::new();
        let zone = site.and_then(|site| site.zone);
        let of_file = read_past_each(source, zone, |reading, _| {
            stations.push(Arc::new(reading.clone()));
            Ok::<(), Fault>(())
        })?;
        let past = PastValue {
            stations,
            of_file: of_file.iter().map(ToString::to_string).collect(),
            name: source.name.to_owned(),
            is_one_file: true,
        };
        give(past, out);
        Ok(())
    })
}

/// Past hours from hours that you have, such as those of `fairspell_hourly_new`.
///   hourly     hours without members
///   station    its name; NULL: none
///   out        receives past hours for `fairspell_past_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_INPUT` (members), `FAIRSPELL_NULL`, `FAIRSPELL_UTF8`, `FAIRSPELL_RANGE`,
/// `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_past_of_hours(
    hourly: *const Hourly,
    station: *const c_char,
    out: *mut *mut Past,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle, text and out-pointer.
        let (hourly, station, out) = unsafe {
            (
                borrow(hourly)?,
                optional_text(station)?,
                crate::pointer::out(out)?,
            )
        };
        let series = only_member(hourly)?;
        let Reading {
            position, notices, ..
        } = &hourly.reading;
        let reading = PastReading {
            station: station.unwrap_or_default().to_owned(),
            hours: Hours::from(series.clone()),
            position: *position,
            notices: notices.clone(),
        };
        let past = PastValue {
            stations: vec![Arc::new(reading)],
            of_file: Vec::new(),
            name: hourly.name.clone(),
            is_one_file: true,
        };
        give(past, out);
        Ok(())
    })
}

/// Past hours of two inputs, the hours of each station brought together; where both have an hour the first counts, and
/// that is said. Join again for a third.
///   first, second    both stay as they are
///   out              receives past hours for `fairspell_past_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_INPUT` (hours that begin at other minutes, or too many), `FAIRSPELL_NULL`,
/// `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_past_join(
    first: *const Past,
    second: *const Past,
    out: *mut *mut Past,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handles and out-pointer.
        let (first, second, out) =
            unsafe { (borrow(first)?, borrow(second)?, crate::pointer::out(out)?) };
        let mut stations = first.stations.clone();
        for other in &second.stations {
            let is_it = |known: &&mut Arc<PastReading>| known.station == other.station;
            match stations.iter_mut().find(is_it) {
                Some(known) => Arc::make_mut(known).join((**other).clone(), &second.name)?,
                None => stations.push(Arc::clone(other)),
            }
        }
        let past = PastValue {
            stations,
            of_file: first
                .of_file
                .iter()
                .chain(&second.of_file)
                .cloned()
                .collect(),
            name: second.name.clone(),
            is_one_file: false,
        };
        give(past, out);
        Ok(())
    })
}

/// The number of stations.
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_past_count(past: *const Past, count: *mut usize) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and out-pointer.
        let (past, count) = unsafe { (borrow(past)?, out(count)?) };
        count.put(past.stations.len());
        Ok(())
    })
}

/// Copies a station's name as its file has it; empty where it has none.
///   index     from 0, below `fairspell_past_count`
///   buffer    [capacity] bytes for the text and its NUL; may be NULL if capacity is 0
///   needed    receives the bytes needed with the NUL, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK`, `FAIRSPELL_SMALL`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_past_station(
    past: *const Past,
    index: usize,
    buffer: *mut c_char,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and buffer.
        let (past, buffer) = unsafe { (borrow(past)?, text_buffer(buffer, capacity, needed)?) };
        buffer.fill(past.station(index)?.station.as_bytes())
    })
}

/// Frees past hours and sets *past to NULL; where it is NULL already, nothing happens.
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL` (the address itself), `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_past_free(past: *mut *mut Past) -> Status {
    // SAFETY: as the header asks.
    entry(|| unsafe { free(past) })
}

/// Reads a log of what was done: CSV with `date` or `time`, `operation`, `note`.
///   name             by which errors call the file
///   bytes, length    all of the file
///   site             whose clock places local times without an offset; NULL: none, and such times are an error
///   out              receives a log for `fairspell_log_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_INPUT` (file, line and column in the last error), `FAIRSPELL_NULL`, `FAIRSPELL_UTF8`,
/// `FAIRSPELL_RANGE`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_log_read(
    name: *const c_char,
    bytes: *const c_void,
    length: usize,
    site: *const Site,
    out: *mut *mut Log,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of text, bytes, handle and out-pointer.
        let (source, site, out) = unsafe {
            (
                source(name, bytes, length)?,
                optional(site)?,
                crate::pointer::out(out)?,
            )
        };
        give(read_log(source, site.and_then(|site| site.zone))?, out);
        Ok(())
    })
}

/// Frees a log and sets *log to NULL; where it is NULL already, nothing happens.
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL` (the address itself), `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_log_free(log: *mut *mut Log) -> Status {
    // SAFETY: as the header asks.
    entry(|| unsafe { free(log) })
}
