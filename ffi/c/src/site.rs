//! Places, gardens and plants.

use core::ffi::{c_char, c_void};

use fairspell::error::Excerpt;
use fairspell::plant::PlantTable;
use fairspell::read::Source;

use crate::handle::{Kind, free, give, mark};
use crate::pointer::{bytes, optional_text, text};
use crate::status::{FAIRSPELL_INPUT, Fault, Status, entry};
use crate::unit::optional_finite;

/// A place: coordinates, clock, garden, limits that differ.
pub struct Site {
    _opaque: (),
}

impl Kind for Site {
    type Value = fairspell::site::Site;
    const MARK: u64 = mark(2);
    const NAME: &'static str = "a site";
}

/// A plants table: the built-in rows, with rows of a file beside or in place of them.
pub struct Plants {
    _opaque: (),
}

impl Kind for Plants {
    type Value = PlantTable;
    const MARK: u64 = mark(3);
    const NAME: &'static str = "a plants table";
}

/// Reads a site file (TOML): name, latitude, longitude, elevation, zone, garden, limits that differ.
///   name             by which errors call the file
///   bytes, length    all of the file, at most 1 MiB
///   out              receives a site for `fairspell_site_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_INPUT` (file, line and column in the last error), `FAIRSPELL_NULL`, `FAIRSPELL_UTF8`,
/// `FAIRSPELL_RANGE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_site_read(
    name: *const c_char,
    bytes: *const c_void,
    length: usize,
    out: *mut *mut Site,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of text, bytes and out-pointer.
        let (source, out) = unsafe { (source(name, bytes, length)?, crate::pointer::out(out)?) };
        give(fairspell::site::Site::read(source)?, out);
        Ok(())
    })
}

/// A site without a file: no garden, no limits that differ.
///   latitude     degrees north, -90 to 90; NaN: not known
///   longitude    degrees east, -180 to 180; NaN: not known
///   zone         IANA time zone such as America/Chicago; NULL: not known, and what needs a clock is then refused
///   out          receives a site for `fairspell_site_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_RANGE`, `FAIRSPELL_INPUT` (no such zone), `FAIRSPELL_NULL` (out), `FAIRSPELL_UTF8`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_site_new(
    latitude: f64,
    longitude: f64,
    zone: *const c_char,
    out: *mut *mut Site,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of text and out-pointer.
        let (zone, out) = unsafe { (optional_text(zone)?, crate::pointer::out(out)?) };
        let within = |value: f64, most: f64, what: &str| match optional_finite(value, what)? {
            Some(value) if value.abs() > most => Err(Fault::range(format!(
                "expected {what} from -{most} to {most}, found {value}"
            ))),
            value => Ok(value),
        };
        let zone = zone.map(|zone| {
            zone.parse().map_err(|_| {
                let found = Excerpt::of(zone.as_bytes());
                let words = "expected an IANA time zone such as America/Chicago, found";
                Fault::new(FAIRSPELL_INPUT, format!("{words} {found}"))
            })
        });
        let site = fairspell::site::Site {
            latitude: within(latitude, 90.0, "degrees north")?,
            longitude: within(longitude, 180.0, "degrees east")?,
            zone: zone.transpose()?,
            ..fairspell::site::Site::default()
        };
        give(site, out);
        Ok(())
    })
}

/// Frees a site and sets *site to NULL; where it is NULL already, nothing happens.
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL` (the address itself), `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_site_free(site: *mut *mut Site) -> Status {
    // SAFETY: as the header asks.
    entry(|| unsafe { free(site) })
}

/// Reads a plants table (TOML) whose rows stand beside the built-in ones, or replace those of the same name.
///   name             by which errors call the file
///   bytes, length    all of the file, at most 1 MiB
///   out              receives a table for `fairspell_plants_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_INPUT`, `FAIRSPELL_NULL`, `FAIRSPELL_UTF8`, `FAIRSPELL_RANGE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_plants_read(
    name: *const c_char,
    bytes: *const c_void,
    length: usize,
    out: *mut *mut Plants,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of text, bytes and out-pointer.
        let (source, out) = unsafe { (source(name, bytes, length)?, crate::pointer::out(out)?) };
        let own = PlantTable::read(source)?;
        give(PlantTable::built_in().extended_with(own), out);
        Ok(())
    })
}

/// Frees a plants table and sets *plants to NULL; where it is NULL already, nothing happens.
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL` (the address itself), `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_plants_free(plants: *mut *mut Plants) -> Status {
    // SAFETY: as the header asks.
    entry(|| unsafe { free(plants) })
}

/// A file as the core takes it.
///
/// # Safety
/// As [`text`] and [`bytes`].
pub(crate) unsafe fn source<'a>(
    name: *const c_char,
    at: *const c_void,
    length: usize,
) -> Result<Source<'a>, Fault> {
    // SAFETY: the caller's word.
    let (name, bytes) = unsafe { (text(name)?, bytes(at, length)?) };
    Ok(Source { name, bytes })
}
