//! What holds for answers of every kind: JSON by one call, and notices.

use core::ffi::c_void;

use crate::decision::Decision;
use crate::freeze::Risk;
use crate::handle::{Kind, borrow, give, mark_of};
use crate::hindcast::Hindcast;
use crate::hourly::Hourly;
use crate::past::Past;
use crate::record::{Record, Records};
use crate::season::Season;
use crate::status::{FAIRSPELL_KIND, Fault, Status, entry};
use crate::text::{Text, of, of_lines};

/// Any answer as one JSON object without line breaks, in full precision: the very bytes that the command line prints
/// with `--format json`. What is not known is null.
///   answer    a risk, a decision, a season or a hindcast
///   out       receives a text for `fairspell_text_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_KIND` (a handle of another kind), `FAIRSPELL_NULL`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_json(answer: *const c_void, out: *mut *mut Text) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and out-pointer; the mark says which kind of handle it is.
        let (json, out) = unsafe {
            let json = match mark_of(answer, "an answer")? {
                Risk::MARK => {
                    let risk = borrow(answer.cast::<Risk>())?;
                    risk.freezes.to_json(risk.asked)
                }
                Decision::MARK => borrow(answer.cast::<Decision>())?.decision.to_json(),
                Season::MARK => borrow(answer.cast::<Season>())?.to_json(),
                Hindcast::MARK => borrow(answer.cast::<Hindcast>())?.to_json(),
                _ => return Err(none("an answer")),
            };
            (json, crate::pointer::out(out)?)
        };
        give(of(json), out);
        Ok(())
    })
}

/// What must be said with an answer or of a file, a line each: values left out, columns ignored, short records.
///   handle    a risk, a decision, a season, a hindcast, a record, records, hours or past hours
///   out       receives a text for `fairspell_text_free`; empty where there is nothing to say
/// `FAIRSPELL_OK`, `FAIRSPELL_KIND` (a handle of another kind), `FAIRSPELL_NULL`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_notices(handle: *const c_void, out: *mut *mut Text) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and out-pointer; the mark says which kind of handle it is.
        let (lines, out) = unsafe {
            let lines = match mark_of(handle, "an answer or a file")? {
                Risk::MARK => borrow(handle.cast::<Risk>())?.freezes.notices.clone(),
                Decision::MARK => {
                    let value = borrow(handle.cast::<Decision>())?;
                    let notes = value.decision.all_note_texts().into_iter();
                    notes.chain(value.of_season.iter().cloned()).collect()
                }
                Season::MARK => borrow(handle.cast::<Season>())?.season.notices.clone(),
                Hindcast::MARK => borrow(handle.cast::<Hindcast>())?.notices.clone(),
                Record::MARK => borrow(handle.cast::<Record>())?.of_file.to_vec(),
                Records::MARK => borrow(handle.cast::<Records>())?.of_file.to_vec(),
                Hourly::MARK => {
                    let reading = &borrow(handle.cast::<Hourly>())?.reading;
                    reading.notices.iter().map(ToString::to_string).collect()
                }
                Past::MARK => borrow(handle.cast::<Past>())?.notices(),
                _ => return Err(none("an answer or a file")),
            };
            (lines, crate::pointer::out(out)?)
        };
        give(of_lines(lines), out);
        Ok(())
    })
}

fn none(what: &str) -> Fault {
    let words = format!("expected {what}, found a handle of another kind, or none");
    Fault::new(FAIRSPELL_KIND, words)
}
