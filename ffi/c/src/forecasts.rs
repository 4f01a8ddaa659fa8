//! Archives of forecasts, to be held against what came.

use core::ffi::{c_char, c_void};

use fairspell::read::forecasts::{Forecasts as OwnForecasts, add, read_forecasts};

use crate::handle::{Kind, borrow, free, give, mark, optional};
use crate::site::{Site, source};
use crate::status::{Status, entry};

/// Forecasts that were kept.
pub struct Forecasts {
    _opaque: (),
}

impl Kind for Forecasts {
    type Value = OwnForecasts;
    const MARK: u64 = mark(14);
    const NAME: &'static str = "an archive of forecasts";
}

/// Reads an archive of forecasts: CSV with `issued`, `time`, and `temperature_f` or `temperature_c` (`station`, `member`), or
/// one forecast file in any hourly format that says when it was issued.
///   name             by which errors call the file
///   bytes, length    all of the file, at most 64 MiB, unpacked
///   site             whose clock places local times without an offset; NULL: none, and such times are an error
///   out              receives an archive for `fairspell_forecasts_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_INPUT` (file, line and column in the last error), `FAIRSPELL_NULL`, `FAIRSPELL_UTF8`,
/// `FAIRSPELL_RANGE`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_forecasts_read(
    name: *const c_char,
    bytes: *const c_void,
    length: usize,
    site: *const Site,
    out: *mut *mut Forecasts,
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
        give(
            read_forecasts(source, site.and_then(|site| site.zone))?,
            out,
        );
        Ok(())
    })
}

/// Two archives as one; what both say of an hour counts once. Join again for a third.
///   first, second    both stay as they are
///   out              receives an archive for `fairspell_forecasts_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_forecasts_join(
    first: *const Forecasts,
    second: *const Forecasts,
    out: *mut *mut Forecasts,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handles and out-pointer.
        let (first, second, out) =
            unsafe { (borrow(first)?, borrow(second)?, crate::pointer::out(out)?) };
        let mut joined = first.clone();
        add(&mut joined.stations, second.stations.clone());
        joined.notices.extend(second.notices.iter().cloned());
        give(joined, out);
        Ok(())
    })
}

/// Frees an archive and sets *forecasts to NULL; where it is NULL already, nothing happens.
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL` (the address itself), `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_forecasts_free(forecasts: *mut *mut Forecasts) -> Status {
    // SAFETY: as the header asks.
    entry(|| unsafe { free(forecasts) })
}
