//! Hours: forecasts and observations, from files or from columns.

use core::ffi::{c_char, c_void};

use fairspell::read::columns::{Columns, Values, read_columns};
use fairspell::read::{Format, Issued, Reading, read_hourly};
use fairspell::series::{Element, HourlySeries, MAX_HOURS};

use crate::handle::{Kind, borrow, free, give, mark, optional};
use crate::pointer::{buffer, sized_out, slice};
use crate::site::{Site, source};
use crate::status::{FAIRSPELL_INPUT, Fault, Status, entry};
use crate::time::{FAIRSPELL_NO_TIME, optional_time};
use crate::unit::{check_column, element, unit};

/// Hours of a forecast or of observations, with the members of an ensemble where there are any.
pub struct Hourly {
    _opaque: (),
}

/// What lies behind hours.
#[derive(Debug)]
pub(crate) struct HourlyValue {
    pub(crate) reading: Reading,
    /// The name of its file.
    pub(crate) name: String,
}

impl Kind for Hourly {
    type Value = HourlyValue;
    const MARK: u64 = mark(6);
    const NAME: &'static str = "hours";
}

/// One column of hours.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct Column {
    /// A value for each time, NaN = missing; copied, not kept.
    pub values: *const f64,
    /// What they are: `FAIRSPELL_TEMPERATURE`, `FAIRSPELL_RAIN`, …
    pub measure: i32,
    /// Their unit: `FAIRSPELL_FAHRENHEIT`, `FAIRSPELL_INCH`, …
    pub unit: i32,
}

/// Facts of hours.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct HourlyFacts {
    /// Beginning of the first hour [s since 1970 UTC].
    pub start: i64,
    /// Hours from the first to the last, with those that have no row.
    pub hours: u64,
    /// Observed hours before the forecast's first.
    pub observed_hours: u64,
    /// Members of the ensemble; 1 for a plain forecast.
    pub members: u64,
    /// When it was issued [s since 1970 UTC]; `FAIRSPELL_NO_TIME`: not said, or left blank.
    pub issued: i64,
    /// Degrees north of the place that the file is for; NaN: not said.
    pub latitude: f64,
    /// Degrees east; NaN: not said.
    pub longitude: f64,
}

/// Reads hourly weather of any format that is known (plain CSV, U.S. NWS GeoJSON, MET Norway Locationforecast,
/// GHCN-Hourly; gzip or not).
///   name             by which errors call the file
///   bytes, length    all of the file, at most 64 MiB packed and unpacked
///   site             whose clock places local times without an offset; NULL: none, and such times are an error
///   out              receives hours for `fairspell_hourly_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_INPUT` (file, line and column in the last error), `FAIRSPELL_NULL`, `FAIRSPELL_UTF8`,
/// `FAIRSPELL_RANGE`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_hourly_read(
    name: *const c_char,
    bytes: *const c_void,
    length: usize,
    site: *const Site,
    out: *mut *mut Hourly,
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
        let reading = read_hourly(source, site.and_then(|site| site.zone))?;
        let name = source.name.to_owned();
        give(HourlyValue { reading, name }, out);
        Ok(())
    })
}

/// Copies columns into new hours; keeps no pointer to them. What no weather has becomes missing and is said in
/// `fairspell_notices`; hours between that have no time are unknown.
///   times                    [hours] beginnings of the hours [s since 1970 UTC], ascending, whole hours apart
///   hours                    at least 1, and at most 150 years from the first to the last
///   columns, column_count    [column_count] columns of other measures, each with [hours] values; at most 9
///   item_size                sizeof(fairspell_column)
///   issued                   when the forecast was issued [s since 1970 UTC]; `FAIRSPELL_NO_TIME`: not known
///   out                      receives hours for `fairspell_hourly_free`; untouched unless `FAIRSPELL_OK` is returned
/// `FAIRSPELL_OK`, `FAIRSPELL_INPUT` (times that do not ascend by whole hours, a measure twice, a unit that does not
/// fit; row and column in the last error), `FAIRSPELL_RANGE` (an infinite value, lengths), `FAIRSPELL_NULL`,
/// `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_hourly_new(
    times: *const i64,
    hours: usize,
    columns: *const Column,
    column_count: usize,
    item_size: usize,
    issued: i64,
    out: *mut *mut Hourly,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of arrays and out-pointer.
        let (times, columns, out) = unsafe {
            (
                slice(times, hours, MAX_HOURS)?,
                slice(columns, column_count, Element::ALL.len())?,
                crate::pointer::out(out)?,
            )
        };
        crate::pointer::check_size::<Column>(item_size)?;
        if times.is_empty() || columns.is_empty() {
            return Err(Fault::range("expected an hour and a column, found none"));
        }
        let mut values: Vec<Values<'_>> = Vec::with_capacity(columns.len());
        for column in columns {
            // SAFETY: as the header asks, a value for each time.
            let own = unsafe { slice(column.values, hours, MAX_HOURS) }?;
            check_column(own)?;
            values.push((element(column.measure)?, unit(column.unit)?, own));
        }
        let name = "columns";
        let reading = read_columns(Columns {
            name,
            times,
            values: &values,
            issued: optional_time(issued).map_or(Issued::Unknown, Issued::At),
        })?;
        let name = name.to_owned();
        give(HourlyValue { reading, name }, out);
        Ok(())
    })
}

/// A forecast with observed hours before it: the forecast takes over at its first hour.
///   forecast    the forecast; it stays as it is
///   observed    hours without members
///   out         receives hours for `fairspell_hourly_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_INPUT` (members, or hours that begin at other minutes), `FAIRSPELL_NULL`,
/// `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_hourly_with_observed(
    forecast: *const Hourly,
    observed: *const Hourly,
    out: *mut *mut Hourly,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handles and out-pointer.
        let (forecast, observed, out) = unsafe {
            (
                borrow(forecast)?,
                borrow(observed)?,
                crate::pointer::out(out)?,
            )
        };
        let past = only_member(observed)?;
        let mut reading = forecast.reading.clone();
        for member in &mut reading.members {
            *member = member.with_observed(past)?;
        }
        reading
            .notices
            .extend(observed.reading.notices.iter().cloned());
        let name = forecast.name.clone();
        give(HourlyValue { reading, name }, out);
        Ok(())
    })
}

/// Hours that are no ensemble.
pub(crate) fn only_member(hours: &HourlyValue) -> Result<&HourlySeries, Fault> {
    if let [only] = hours.reading.members.as_slice() {
        return Ok(only);
    }
    let name = fairspell::error::escaped(&hours.name);
    let words = format!("{name}: expected hours without members, found an ensemble");
    Err(Fault::new(FAIRSPELL_INPUT, words))
}

/// A forecast; observations of a station are none.
pub(crate) fn forecast(hours: &HourlyValue) -> Result<&Reading, Fault> {
    let format = hours.reading.format;
    if matches!(format, Format::NwsObservations | Format::GhcnHourly) {
        let name = fairspell::error::escaped(&hours.name);
        let words = format!("{name}: expected a forecast, found station observations");
        return Err(Fault::new(FAIRSPELL_INPUT, words));
    }
    Ok(&hours.reading)
}

/// Facts of hours.
///   size    sizeof(fairspell_hourly_facts)
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_hourly_about(
    hourly: *const Hourly,
    facts: *mut HourlyFacts,
    size: usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and struct.
        let (hourly, facts) = unsafe { (borrow(hourly)?, sized_out(facts, size)?) };
        let reading = &hourly.reading;
        let first = reading.members.first();
        let position = reading.position;
        facts.put(HourlyFacts {
            start: first.map_or(FAIRSPELL_NO_TIME, HourlySeries::start),
            hours: first.map_or(0, |series| series.hours() as u64),
            observed_hours: first.map_or(0, |series| series.forecast_from() as u64),
            members: reading.members.len() as u64,
            issued: match reading.issued {
                Issued::At(time) => time,
                Issued::Unknown | Issued::Blank => FAIRSPELL_NO_TIME,
            },
            latitude: position.map_or(f64::NAN, |position| position.latitude),
            longitude: position.map_or(f64::NAN, |position| position.longitude),
        });
        Ok(())
    })
}

/// Copies the values of one measure, an hour after the other, NaN = missing, in a unit of your choice. A value may be
/// known between bounds only (the extremes of six hours): the lower and the upper then differ. Rain and snow of several
/// hours at a time are bounds of each of them: from none to all of it.
///   member         from 0, below the number of members
///   measure        `FAIRSPELL_TEMPERATURE`, …
///   unit           of the values that you want
///   low, high      [capacity] values each; may both be NULL if capacity is 0
///   needed         receives the number of hours, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK`, `FAIRSPELL_ABSENT` (no such measure), `FAIRSPELL_SMALL`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`,
/// `FAIRSPELL_RANGE` (no such member, measure or unit, or a unit of another kind).
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_hourly_values(
    hourly: *const Hourly,
    member: usize,
    measure: i32,
    unit: i32,
    low: *mut f64,
    high: *mut f64,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and buffers.
        let (hourly, low, high) = unsafe {
            (
                borrow(hourly)?,
                buffer(low, capacity, needed)?,
                buffer(high, capacity, needed)?,
            )
        };
        let (element, unit) = (element(measure)?, crate::unit::unit(unit)?);
        if unit.kind() != element.kind() {
            let words = format!(
                "expected {}, found {}",
                element.kind().expected(),
                unit.symbol()
            );
            return Err(Fault::range(words));
        }
        let series = hourly.reading.members.get(member);
        let series = series.ok_or_else(|| {
            let count = hourly.reading.members.len();
            Fault::range(format!("expected a member below {count}, found {member}"))
        })?;
        if !series.has(element) {
            let words = format!("expected {} in the hours, found none", element.name());
            return Err(Fault::absent(words));
        }
        let at = |hour| value(series, element, hour, unit).unwrap_or((f64::NAN, f64::NAN));
        let (lows, highs): (Vec<f64>, Vec<f64>) = (0..series.hours()).map(at).unzip();
        low.fill(&lows)?;
        high.fill(&highs)
    })
}

/// The bounds of an hour.
fn value(
    series: &HourlySeries,
    element: Element,
    hour: usize,
    unit: fairspell::quantity::Unit,
) -> Option<(f64, f64)> {
    let Some(amounts) = series.amounts(element) else {
        return series.column(element)?.at(hour, unit);
    };
    let amount = amounts.of_hour(hour)?;
    let millimetres = |um: i64| unit.of_si(um as f64 / 1000.0);
    let low = if amount.hours == 1 { amount.low_um } else { 0 };
    Some((millimetres(low), millimetres(amount.high_um?)))
}

/// Frees hours and sets *hourly to NULL; where it is NULL already, nothing happens.
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL` (the address itself), `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_hourly_free(hourly: *mut *mut Hourly) -> Status {
    // SAFETY: as the header asks.
    entry(|| unsafe { free(hourly) })
}
