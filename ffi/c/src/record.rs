//! Daily records: minima and maxima of one station, or of many from one file.

use core::ffi::{c_char, c_void};
use std::sync::Arc;

use fairspell::error::{DecideError, Excerpt};
use fairspell::read::daily::{
    DailyFormat, DailyOptions, DailyReading, LeftOut, SummaryUnits, of_hours_words, read_daily_file,
};
use fairspell::series::{DailySeries, MAX_DAYS};

use crate::handle::{Kind, borrow, free, give, mark};
use crate::hourly::{Hourly, only_member};
use crate::pointer::{copy, optional_text, out, sized_out, slice, text, text_buffer};
use crate::site::{Site, source};
use crate::status::{FAIRSPELL_INPUT, Fault, Status, entry};
use crate::time::{date, seconds};
use crate::unit::{check_column, is_on, number, temperature};

/// The record of one station.
pub struct Record {
    _opaque: (),
}

/// What lies behind a record.
#[derive(Debug)]
pub(crate) struct RecordValue {
    pub(crate) reading: Arc<DailyReading>,
    /// What must be said of its file.
    pub(crate) of_file: Arc<[String]>,
}

impl Kind for Record {
    type Value = RecordValue;
    const MARK: u64 = mark(4);
    const NAME: &'static str = "a record";
}

/// The records of all stations of a file, in its order.
pub struct Records {
    _opaque: (),
}

/// What lies behind the records of a file.
#[derive(Debug)]
pub(crate) struct RecordsValue {
    stations: Vec<Arc<DailyReading>>,
    pub(crate) of_file: Arc<[String]>,
}

impl Kind for Records {
    type Value = RecordsValue;
    const MARK: u64 = mark(5);
    const NAME: &'static str = "records";
}

/// Units of NOAA's Daily Summaries are not known: other formats say their own.
pub const FAIRSPELL_SUMMARIES_UNKNOWN: i32 = 0;
/// Daily Summaries in °F.
pub const FAIRSPELL_SUMMARIES_US: i32 = 1;
/// Daily Summaries in °C.
pub const FAIRSPELL_SUMMARIES_METRIC: i32 = 2;
/// Daily Summaries in tenths of °C.
pub const FAIRSPELL_SUMMARIES_TENTHS: i32 = 3;

/// Whole °F that the archive stores converted are brought back for GHCN-Daily stations of the U.S.
pub const FAIRSPELL_WHOLE_FAHRENHEIT_AUTO: i32 = -1;

/// What you say about a record that is read.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct RecordOptions {
    /// Units of Daily Summaries: one of `FAIRSPELL_SUMMARIES_…`.
    pub summary_units: i32,
    /// Whether values are whole °F that the archive stores converted: 0, 1 or `FAIRSPELL_WHOLE_FAHRENHEIT_AUTO`.
    pub whole_fahrenheit: i32,
    /// 1: minima are all that is wanted (enough for `fairspell_freeze`).
    pub minima_only: i32,
    /// 0.
    pub reserved: i32,
}

/// Facts of a record.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct RecordFacts {
    /// Midnight UTC of the first day [s since 1970].
    pub first_day: i64,
    /// Days from the first to the last.
    pub days: u64,
    /// Of these, days without a minimum.
    pub missing: u64,
    /// Values that the archive's own check rejects; they are missing.
    pub flagged: u64,
    /// Values outside -90 to 60 °C; they are missing.
    pub impossible: u64,
    /// Second values for a day, left out.
    pub doubled: u64,
    /// Unit of its values: `FAIRSPELL_CELSIUS` or `FAIRSPELL_FAHRENHEIT`.
    pub unit: i32,
    /// Whether converted whole °F are brought back when they are compared.
    pub whole_fahrenheit: i32,
    /// Whether it has maxima.
    pub has_tmax: i32,
    /// 0.
    pub reserved: i32,
}

/// The daily minima of a record.
pub const FAIRSPELL_TMIN: i32 = 1;
/// The daily maxima of a record.
pub const FAIRSPELL_TMAX: i32 = 2;

/// Fills in the defaults: no units of Daily Summaries, whole °F as the archive's station says, minima and maxima.
///   size    sizeof(fairspell_record_options)
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_record_options_init(
    options: *mut RecordOptions,
    size: usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks.
        let options = unsafe { sized_out(options, size) }?;
        options.put(RecordOptions {
            summary_units: FAIRSPELL_SUMMARIES_UNKNOWN,
            whole_fahrenheit: FAIRSPELL_WHOLE_FAHRENHEIT_AUTO,
            minima_only: 0,
            reserved: 0,
        });
        Ok(())
    })
}

fn daily_options(options: &RecordOptions) -> Result<DailyOptions, Fault> {
    let units = match options.summary_units {
        FAIRSPELL_SUMMARIES_UNKNOWN => None,
        FAIRSPELL_SUMMARIES_US => Some(SummaryUnits::Us),
        FAIRSPELL_SUMMARIES_METRIC => Some(SummaryUnits::Metric),
        FAIRSPELL_SUMMARIES_TENTHS => Some(SummaryUnits::Tenths),
        other => {
            let words = format!("expected one of FAIRSPELL_SUMMARIES_…, found {other}");
            return Err(Fault::range(words));
        }
    };
    let is_whole_fahrenheit = match options.whole_fahrenheit {
        FAIRSPELL_WHOLE_FAHRENHEIT_AUTO => None,
        switch => Some(is_on(switch, "whole_fahrenheit")?),
    };
    Ok(DailyOptions {
        units,
        is_whole_fahrenheit,
        is_minima_only: is_on(options.minima_only, "minima_only")?,
    })
}

/// The stations of a file.
///
/// # Safety
/// As the header asks of text, bytes and options.
unsafe fn read(
    name: *const c_char,
    bytes: *const c_void,
    length: usize,
    (options, size): (*const RecordOptions, usize),
) -> Result<RecordsValue, Fault> {
    // SAFETY: the caller's word.
    let (source, options) = unsafe { (source(name, bytes, length)?, copy(options, size)?) };
    let file = read_daily_file(source, daily_options(&options)?)?;
    Ok(RecordsValue {
        stations: file.stations.into_iter().map(Arc::new).collect(),
        of_file: file.notices.iter().map(ToString::to_string).collect(),
    })
}

/// Reads a daily record of any format that is known (plain CSV, GHCN-Daily by station or in fixed columns, Daily
/// Summaries; gzip or not) and keeps one station of it.
///   name             by which errors call the file
///   bytes, length    all of the file, at most 64 MiB, unpacked at most 48 MiB
///   station          its name in the file; NULL: the only one, and two or more are an error
///   options, size    see `fairspell_record_options_init`
///   out              receives a record for `fairspell_record_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_INPUT` (file, line and column in the last error; also where the station is not there),
/// `FAIRSPELL_NULL`, `FAIRSPELL_UTF8`, `FAIRSPELL_RANGE`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_record_read(
    name: *const c_char,
    bytes: *const c_void,
    length: usize,
    station: *const c_char,
    options: *const RecordOptions,
    size: usize,
    out: *mut *mut Record,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of texts, bytes, options and out-pointer.
        let (file, name, wanted, out) = unsafe {
            (
                read(name, bytes, length, (options, size))?,
                text(name)?,
                optional_text(station)?,
                crate::pointer::out(out)?,
            )
        };
        let is_wanted =
            |of: &&Arc<DailyReading>| wanted.is_none_or(|wanted| of.series.station() == wanted);
        let found = file.stations.iter().find(is_wanted);
        let words = match (wanted, found) {
            (None, Some(_)) if file.stations.len() > 1 => {
                let count = file.stations.len();
                format!("expected a record of one station, or the name of one, found {count}")
            }
            (_, Some(reading)) => {
                let (reading, of_file) = (Arc::clone(reading), Arc::clone(&file.of_file));
                give(RecordValue { reading, of_file }, out);
                return Ok(());
            }
            (wanted, None) => {
                let wanted = Excerpt::of(wanted.unwrap_or_default().as_bytes());
                format!("expected the station {wanted} in the record, found others")
            }
        };
        let name = fairspell::error::escaped(name);
        Err(Fault::new(FAIRSPELL_INPUT, format!("{name}: {words}")))
    })
}

/// Copies the days of one station into a new record; keeps no pointer to them. Values outside -90 to 60 °C become
/// missing and are counted.
///   station      its name, on which the bootstrap's draws depend; NULL: none
///   tmin         [days] minima, one a day without gaps, NaN = missing
///   tmax         [days] maxima likewise; NULL: none (no season can then be planned)
///   days         at least 1, at most 400 years
///   unit         `FAIRSPELL_CELSIUS` or `FAIRSPELL_FAHRENHEIT`
///   first_day    midnight UTC of the first day [s since 1970]
///   out          receives a record for `fairspell_record_free`; untouched unless `FAIRSPELL_OK` is returned
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL`, `FAIRSPELL_RANGE` (no day or too many, an infinite value, no midnight),
/// `FAIRSPELL_UTF8`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_record_new(
    station: *const c_char,
    tmin: *const f64,
    tmax: *const f64,
    days: usize,
    unit: i32,
    first_day: i64,
    out: *mut *mut Record,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of text, arrays and out-pointer.
        let (station, tmin, tmax, out) = unsafe {
            let tmax = if tmax.is_null() {
                None
            } else {
                Some(slice(tmax, days, MAX_DAYS)?)
            };
            (
                optional_text(station)?,
                slice(tmin, days, MAX_DAYS)?,
                tmax,
                crate::pointer::out(out)?,
            )
        };
        if days == 0 {
            return Err(Fault::range("expected at least one day, found none"));
        }
        check_column(tmin)?;
        tmax.map_or(Ok(()), check_column)?;
        let (unit, first) = (temperature(unit)?, date(first_day, "the first day")?);
        let station = (station.unwrap_or_default(), first);
        let tmax = tmax.map(<[f64]>::to_vec);
        let reading = DailyReading::of_days(station, tmin.to_vec(), tmax, unit)?;
        give(
            RecordValue {
                reading: Arc::new(reading),
                of_file: Arc::from([]),
            },
            out,
        );
        Ok(())
    })
}

/// Takes hours to the extremes of the site's local days; a day that lacks an hour is missing.
///   hourly    observed hours without members
///   site      whose clock parts the days
///   out       receives a record for `fairspell_record_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_INPUT` (members, or no temperatures), `FAIRSPELL_QUESTION` (no zone), `FAIRSPELL_NULL`,
/// `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_record_of_hours(
    hourly: *const Hourly,
    site: *const Site,
    out: *mut *mut Record,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handles and out-pointer.
        let (hourly, site, out) =
            unsafe { (borrow(hourly)?, borrow(site)?, crate::pointer::out(out)?) };
        let zone = site.zone.ok_or(DecideError::NoZone)?;
        let series = DailySeries::of_hours(only_member(hourly)?, zone)?;
        let mut of_file: Vec<String> = hourly
            .reading
            .notices
            .iter()
            .map(ToString::to_string)
            .collect();
        of_file.push(of_hours_words(&hourly.name, &series));
        let reading = Arc::new(DailyReading {
            series,
            format: DailyFormat::PlainCsv,
            left_out: LeftOut::default(),
        });
        let of_file = of_file.into();
        give(RecordValue { reading, of_file }, out);
        Ok(())
    })
}

/// Facts of a record.
///   size    sizeof(fairspell_record_facts)
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_record_about(
    record: *const Record,
    facts: *mut RecordFacts,
    size: usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and struct.
        let (record, facts) = unsafe { (borrow(record)?, sized_out(facts, size)?) };
        let (series, left) = (&record.reading.series, record.reading.left_out);
        let missing = series.tmin().iter().filter(|value| value.is_nan()).count();
        facts.put(RecordFacts {
            first_day: seconds(series.first()),
            days: series.days() as u64,
            missing: missing as u64,
            flagged: left.flagged,
            impossible: left.impossible,
            doubled: left.doubled,
            unit: number(series.unit()),
            whole_fahrenheit: i32::from(series.is_whole_fahrenheit()),
            has_tmax: i32::from(series.tmax().is_some()),
            reserved: 0,
        });
        Ok(())
    })
}

/// Copies the values of a record, one a day, NaN = missing, in the record's own unit (`fairspell_record_about`).
///   which     `FAIRSPELL_TMIN` or `FAIRSPELL_TMAX`
///   buffer    [capacity] values; may be NULL if capacity is 0
///   needed    receives the number of days, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK`, `FAIRSPELL_ABSENT` (no maxima), `FAIRSPELL_SMALL`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`,
/// `FAIRSPELL_RANGE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_record_values(
    record: *const Record,
    which: i32,
    buffer: *mut f64,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and buffer.
        let (record, buffer) = unsafe {
            (
                borrow(record)?,
                crate::pointer::buffer(buffer, capacity, needed)?,
            )
        };
        let series = &record.reading.series;
        match which {
            FAIRSPELL_TMIN => buffer.fill(series.tmin()),
            FAIRSPELL_TMAX => {
                let none = || Fault::absent("expected maxima in the record, found none");
                buffer.fill(series.tmax().ok_or_else(none)?)
            }
            other => Err(Fault::range(format!(
                "expected FAIRSPELL_TMIN or FAIRSPELL_TMAX, found {other}"
            ))),
        }
    })
}

/// Copies the station's name as its file has it; empty where it has none.
///   buffer    [capacity] bytes for the text and its NUL; may be NULL if capacity is 0
///   needed    receives the bytes needed with the NUL, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK`, `FAIRSPELL_SMALL`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_RANGE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_record_station(
    record: *const Record,
    buffer: *mut c_char,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and buffer.
        let (record, buffer) = unsafe { (borrow(record)?, text_buffer(buffer, capacity, needed)?) };
        buffer.fill(record.reading.series.station().as_bytes())
    })
}

/// Frees a record and sets *record to NULL; where it is NULL already, nothing happens.
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL` (the address itself), `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_record_free(record: *mut *mut Record) -> Status {
    // SAFETY: as the header asks.
    entry(|| unsafe { free(record) })
}

/// Reads a daily record of any format that is known and keeps all its stations.
///   name             by which errors call the file
///   bytes, length    all of the file, at most 64 MiB, unpacked at most 48 MiB
///   options, size    see `fairspell_record_options_init`
///   out              receives records for `fairspell_records_free`
/// As `fairspell_record_read`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_records_read(
    name: *const c_char,
    bytes: *const c_void,
    length: usize,
    options: *const RecordOptions,
    size: usize,
    out: *mut *mut Records,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of text, bytes, options and out-pointer.
        let (file, out) = unsafe {
            (
                read(name, bytes, length, (options, size))?,
                crate::pointer::out(out)?,
            )
        };
        give(file, out);
        Ok(())
    })
}

/// The number of stations of a file.
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_records_count(
    records: *const Records,
    count: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and out-pointer.
        let (records, count) = unsafe { (borrow(records)?, out(count)?) };
        count.put(records.stations.len());
        Ok(())
    })
}

/// The record of one station of a file; it stays after the file's records are freed, and its days are not copied.
///   index    from 0, below `fairspell_records_count`
///   out      receives a record for `fairspell_record_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_records_take(
    records: *const Records,
    index: usize,
    out: *mut *mut Record,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and out-pointer.
        let (records, out) = unsafe { (borrow(records)?, crate::pointer::out(out)?) };
        let reading = records.stations.get(index).ok_or_else(|| {
            let count = records.stations.len();
            Fault::range(format!("expected an index below {count}, found {index}"))
        })?;
        give(
            RecordValue {
                reading: Arc::clone(reading),
                of_file: Arc::clone(&records.of_file),
            },
            out,
        );
        Ok(())
    })
}

/// Frees the records of a file and sets *records to NULL; where it is NULL already, nothing happens.
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL` (the address itself), `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_records_free(records: *mut *mut Records) -> Status {
    // SAFETY: as the header asks.
    entry(|| unsafe { free(records) })
}
