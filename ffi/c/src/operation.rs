//! Operations: rules as data.

use core::ffi::{c_char, c_void};

use fairspell::error::Excerpt;
use fairspell::operation::{Rule as OwnRule, Severity};
use fairspell::plant::PlantTable;
use fairspell::work::in_garden;

use crate::handle::{Kind, borrow, free, give, mark, optional};
use crate::pointer::{out, sized_out, text, text_buffer};
use crate::site::{Plants, Site, source};
use crate::status::{FAIRSPELL_INPUT, Fault, Status, entry};
use crate::unit::number;

/// An operation: oil, prune, or your own.
pub struct Operation {
    _opaque: (),
}

impl Kind for Operation {
    type Value = fairspell::operation::Operation;
    const MARK: u64 = mark(7);
    const NAME: &'static str = "an operation";
}

/// A rule that blocks.
pub const FAIRSPELL_BLOCK: i32 = 1;
/// A rule that warns without blocking.
pub const FAIRSPELL_CAUTION: i32 = 2;

/// One limit on one measure.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct Rule {
    /// Least value allowed, in `at_least_unit`; NaN: none.
    pub at_least: f64,
    /// Greatest value allowed, in `at_most_unit`; NaN: none.
    pub at_most: f64,
    /// Unit of the least value as written; 0: none.
    pub at_least_unit: i32,
    /// Unit of the greatest value as written; 0: none.
    pub at_most_unit: i32,
    /// `FAIRSPELL_BLOCK` or `FAIRSPELL_CAUTION`.
    pub severity: i32,
    /// 1: unchecked, and said so, where the file has no such measure at all.
    pub optional: i32,
}

/// A built-in operation.
///   name    "oil" or "prune"
///   out     receives an operation for `fairspell_operation_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_INPUT` (no such name), `FAIRSPELL_NULL`, `FAIRSPELL_UTF8`, `FAIRSPELL_RANGE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_operation_built_in(
    name: *const c_char,
    out: *mut *mut Operation,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of text and out-pointer.
        let (name, out) = unsafe { (text(name)?, crate::pointer::out(out)?) };
        let operation = fairspell::operation::Operation::built_in(name).ok_or_else(|| {
            let found = Excerpt::of(name.as_bytes());
            Fault::new(
                FAIRSPELL_INPUT,
                format!("expected oil or prune, found {found}"),
            )
        })?;
        give(operation, out);
        Ok(())
    })
}

/// Reads an operation file (TOML).
///   name             by which errors call the file
///   bytes, length    all of the file, at most 1 MiB
///   out              receives an operation for `fairspell_operation_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_INPUT` (file, line and column in the last error), `FAIRSPELL_NULL`, `FAIRSPELL_UTF8`,
/// `FAIRSPELL_RANGE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_operation_read(
    name: *const c_char,
    bytes: *const c_void,
    length: usize,
    out: *mut *mut Operation,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of text, bytes and out-pointer.
        let (source, out) = unsafe { (source(name, bytes, length)?, crate::pointer::out(out)?) };
        give(fairspell::operation::Operation::read(source)?, out);
        Ok(())
    })
}

/// An operation with the limits that a site changes for it, and the hours in a row that its garden needs to be sprayed.
/// `fairspell_decide` does this by itself; to see the limits used, do it here.
///   plants    the plants table; NULL: the built-in one
///   out       receives an operation for `fairspell_operation_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_INPUT` (a limit or a kind in the site file), `FAIRSPELL_NULL`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_operation_at_site(
    operation: *const Operation,
    site: *const Site,
    plants: *const Plants,
    out: *mut *mut Operation,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handles and out-pointer.
        let (operation, site, plants, out) = unsafe {
            (
                borrow(operation)?,
                borrow(site)?,
                optional(plants)?,
                crate::pointer::out(out)?,
            )
        };
        give(at_site(operation, site, plants)?, out);
        Ok(())
    })
}

/// An operation with a site's own limits and the hours that its garden needs.
pub(crate) fn at_site(
    operation: &fairspell::operation::Operation,
    site: &fairspell::site::Site,
    plants: Option<&PlantTable>,
) -> Result<fairspell::operation::Operation, Fault> {
    let operation = operation.clone().at_site(site)?;
    if site.garden.is_empty() {
        return Ok(operation);
    }
    match plants {
        Some(plants) => Ok(in_garden(operation, site, plants)?),
        None => Ok(in_garden(operation, site, &PlantTable::built_in())?),
    }
}

/// The number of rules, and the hours in a row that the work needs.
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_operation_about(
    operation: *const Operation,
    rules: *mut usize,
    hours_needed: *mut u32,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and out-pointers.
        let (operation, rules, hours_needed) =
            unsafe { (borrow(operation)?, out(rules)?, out(hours_needed)?) };
        rules.put(operation.rules.len());
        hours_needed.put(operation.hours_needed);
        Ok(())
    })
}

pub(crate) fn rule_of(rules: &[OwnRule], index: usize) -> Result<&OwnRule, Fault> {
    rules.get(index).ok_or_else(|| {
        let count = rules.len();
        Fault::range(format!("expected a rule below {count}, found {index}"))
    })
}

/// One rule of an operation, in the order of its file, by which hindrances name it.
///   index    from 0
///   size     sizeof(fairspell_rule)
/// `FAIRSPELL_OK`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_operation_rule(
    operation: *const Operation,
    index: usize,
    rule: *mut Rule,
    size: usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and struct.
        let (operation, rule) = unsafe { (borrow(operation)?, sized_out(rule, size)?) };
        let own = rule_of(&operation.rules, index)?;
        rule.put(Rule {
            at_least: own.at_least.map_or(f64::NAN, |limit| limit.value),
            at_most: own.at_most.map_or(f64::NAN, |limit| limit.value),
            at_least_unit: own.at_least.map_or(0, |limit| number(limit.unit)),
            at_most_unit: own.at_most.map_or(0, |limit| number(limit.unit)),
            severity: match own.severity {
                Severity::Block => FAIRSPELL_BLOCK,
                Severity::Caution => FAIRSPELL_CAUTION,
            },
            optional: i32::from(own.optional),
        });
        Ok(())
    })
}

/// Copies the name of a rule.
///   index     from 0
///   buffer    [capacity] bytes for the text and its NUL; may be NULL if capacity is 0
///   needed    receives the bytes needed with the NUL, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK`, `FAIRSPELL_SMALL`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_operation_rule_name(
    operation: *const Operation,
    index: usize,
    buffer: *mut c_char,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and buffer.
        let (operation, buffer) =
            unsafe { (borrow(operation)?, text_buffer(buffer, capacity, needed)?) };
        buffer.fill(rule_of(&operation.rules, index)?.name.as_bytes())
    })
}

/// Copies the published source of a rule's limits, or the word that it is common practice.
///   index     from 0
///   buffer    [capacity] bytes for the text and its NUL; may be NULL if capacity is 0
///   needed    receives the bytes needed with the NUL, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK`, `FAIRSPELL_SMALL`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_operation_rule_source(
    operation: *const Operation,
    index: usize,
    buffer: *mut c_char,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and buffer.
        let (operation, buffer) =
            unsafe { (borrow(operation)?, text_buffer(buffer, capacity, needed)?) };
        buffer.fill(rule_of(&operation.rules, index)?.source.as_bytes())
    })
}

/// Frees an operation and sets *operation to NULL; where it is NULL already, nothing happens.
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL` (the address itself), `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_operation_free(operation: *mut *mut Operation) -> Status {
    // SAFETY: as the header asks.
    entry(|| unsafe { free(operation) })
}
