//! Many stations or sites in one call, each with a status of its own.

use fairspell::operation::Operation as OwnOperation;

use crate::decision::{DecideCase, DecideOptions, Decision, answer as decision_of, case};
use crate::freeze::{FreezeOptions, Risk, answer as risk_of, question};
use crate::handle::{borrow, boxed};
use crate::hourly::Hourly;
use crate::operation::{Operation, at_site};
use crate::pointer::{outs, slice};
use crate::record::Record;
use crate::site::Site;
use crate::status::{FAIRSPELL_OK, Fault, Status, entry, guarded, keep};

/// Most stations or sites of one call. Ours: all stations there are, several times.
const MAX_MANY: usize = 1 << 22;

/// As `fairspell_freeze`, for many records with the same question; each answer has the same bits as one by one.
///   records          [count] records; the same one may come again
///   count            0 to 4,194,304
///   options, size    see `fairspell_freeze_options_init`
///   risks            [count] receives a risk for `fairspell_risk_free`, or NULL where it could not be made
///   statuses         [count] receives how each ended; the last error is that of the last that did not end well
/// `FAIRSPELL_OK` once every record had its turn; else, with nothing written, `FAIRSPELL_NULL`, `FAIRSPELL_RANGE`,
/// `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_freeze_many(
    records: *const *const Record,
    count: usize,
    options: *const FreezeOptions,
    size: usize,
    risks: *mut *mut Risk,
    statuses: *mut Status,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of arrays and options.
        let (records, question, risks, statuses) = unsafe {
            (
                slice(records, count, MAX_MANY)?,
                question(options, size)?,
                outs(risks, count, MAX_MANY)?,
                outs(statuses, count, MAX_MANY)?,
            )
        };
        for (place, record) in records.iter().enumerate() {
            // SAFETY: as the header asks of every handle.
            let record = unsafe { borrow(*record) };
            let answered = guarded(|| Ok(boxed::<Risk>(risk_of(record?, &question))));
            let (risk, status) = ended(answered);
            risks.put(place, risk);
            statuses.put(place, status);
        }
        Ok(())
    })
}

/// As `fairspell_decide`, for many forecasts, places and times with the same operation; each answer has the same bits
/// as one by one. What an operation becomes at a site is worked out once where the same handle follows itself.
///   forecasts        [count] forecasts
///   sites            [count] their places; the same one may come again
///   at               [count] now, for each [s since 1970 UTC]; that of the options does not count
///   count            0 to 4,194,304
///   options, size    see `fairspell_decide_options_init`
///   decisions        [count] receives a decision for `fairspell_decision_free`, or NULL where there is none
///   statuses         [count] receives how each ended; the last error is that of the last that did not end well
/// `FAIRSPELL_OK` once every forecast had its turn; else, with nothing written, `FAIRSPELL_NULL`, `FAIRSPELL_KIND` (the
/// operation), `FAIRSPELL_RANGE`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_decide_many(
    forecasts: *const *const Hourly,
    sites: *const *const Site,
    at: *const i64,
    count: usize,
    operation: *const Operation,
    options: *const DecideOptions,
    size: usize,
    decisions: *mut *mut Decision,
    statuses: *mut Status,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of arrays, handles and options.
        let (forecasts, sites, times, operation, case, decisions, statuses) = unsafe {
            (
                slice(forecasts, count, MAX_MANY)?,
                slice(sites, count, MAX_MANY)?,
                slice(at, count, MAX_MANY)?,
                borrow(operation)?,
                case(options, size)?,
                outs(decisions, count, MAX_MANY)?,
                outs(statuses, count, MAX_MANY)?,
            )
        };
        let mut known = None;
        let each = forecasts.iter().zip(sites).zip(times).enumerate();
        for (place, ((forecast, site), at)) in each {
            let case = case.at(*at);
            // SAFETY: as the header asks of every handle.
            let answered =
                guarded(|| unsafe { one((*forecast, *site), operation, &case, &mut known) });
            let (decision, status) = ended(answered);
            decisions.put(place, decision);
            statuses.put(place, status);
        }
        Ok(())
    })
}

/// The site of the call before, and the operation there.
type Known = Option<(*const Site, OwnOperation)>;

/// One of many decisions.
///
/// # Safety
/// As [`borrow`] asks of both handles.
unsafe fn one(
    (forecast, site): (*const Hourly, *const Site),
    operation: &OwnOperation,
    case: &DecideCase<'_>,
    known: &mut Known,
) -> Result<*mut Decision, Fault> {
    // SAFETY: the caller's word.
    let (forecast, own) = unsafe { (borrow(forecast)?, borrow(site)?) };
    let is_known = known.as_ref().is_some_and(|(last, _)| *last == site);
    if !is_known {
        *known = Some((site, at_site(operation, own, case.plants)?));
    }
    let here = known.as_ref().map_or(operation, |(_, here)| here);
    let decision = decision_of(forecast, here, own, case)?;
    Ok(boxed(decision))
}

/// A handle and how its making ended.
fn ended<K>(answered: Result<*mut K, Fault>) -> (*mut K, Status) {
    match answered {
        Ok(handle) => (handle, FAIRSPELL_OK),
        Err(fault) => (core::ptr::null_mut(), keep(fault)),
    }
}
