//! Hostile use of the C ABI: every exported function, called with each of its arguments spoilt in turn, answers by a status,
//! under valgrind; and cases that a walk over the arguments does not reach.
//!
//! The walk reads the functions from the header (which another check holds against the crate and the built library), so that
//! a function cannot be left out: one with a parameter that the walk has no value for stops it.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test may stop at the first surprise"
)]

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;

use fairspell_tests::binary::workspace;
use fairspell_tests::c::{Language, Link, MEMCHECK, compiled, run, scratch};
use fairspell_tests::prototypes::{Function, Named, functions, handles};

/// Pointers that may be NULL by the header, as *function parameter*.
const OPTIONAL: [&str; 10] = [
    "fairspell_record_new station",
    "fairspell_record_new tmax",
    "fairspell_record_read station",
    "fairspell_site_new zone",
    "fairspell_hourly_read site",
    "fairspell_past_read site",
    "fairspell_log_read site",
    "fairspell_forecasts_read site",
    "fairspell_operation_at_site plants",
    "fairspell_past_of_hours station",
];

/// How an argument is spoilt, and which statuses are right then.
struct Spoilt {
    how: &'static str,
    value: String,
    right: &'static [&'static str],
}

fn spoilt(how: &'static str, value: impl Into<String>, right: &'static [&'static str]) -> Spoilt {
    let value = value.into();
    Spoilt { how, value, right }
}

/// Values that are right for parameters of a type and a name, in the terms of `fixture.h`; an empty name is any other.
const VALUES: [(&str, &str, &str); 47] = [
    ("const void *", "answer", "h.risk"),
    ("const void *", "handle", "h.risk"),
    ("const char *", "name", "\"oil\""),
    ("const char *", "zone", "\"America/Chicago\""),
    ("const char *", "station", "\"invented-1\""),
    ("const double *", "tmin", "in.tmin"),
    ("const double *", "tmax", "in.tmax"),
    ("const int64_t *", "times", "in.times"),
    ("const int64_t *", "at", "in.at"),
    ("const fairspell_column *", "columns", "in.columns"),
    ("const fairspell_record *const *", "records", "many.records"),
    ("const fairspell_hourly *const *", "forecasts", "many.hours"),
    ("const fairspell_site *const *", "sites", "many.sites"),
    ("fairspell_status *", "statuses", "many.statuses"),
    ("const char **", "data", "&chars"),
    ("size_t", "days", "DAYS"),
    ("size_t", "hours", "HOURS"),
    ("size_t", "column_count", "2"),
    ("size_t", "count", "2"),
    ("size_t", "", "0"),
    ("int64_t", "at", "NOW"),
    ("int64_t", "on", "DATE"),
    ("int64_t", "first_day", "DATE"),
    ("int64_t", "issued", "MONDAY"),
    ("int32_t", "unit", "FAIRSPELL_FAHRENHEIT"),
    ("int32_t", "which", "FAIRSPELL_TMIN"),
    ("int32_t", "measure", "FAIRSPELL_TEMPERATURE"),
    ("int32_t", "half", "FAIRSPELL_SPRING"),
    ("int32_t", "form", "FAIRSPELL_FROM_START"),
    ("int32_t", "year", "2027"),
    ("uint32_t", "month", "3"),
    ("uint32_t", "day", "10"),
    ("uint32_t", "days", "7"),
    ("double", "share", "0.5"),
    ("double", "latitude", "42.0"),
    ("double", "longitude", "-88.0"),
    ("size_t *", "needed", "&counts.a"),
    ("size_t *", "", "&counts.b"),
    ("uint64_t *", "line", "&wide.a"),
    ("uint64_t *", "column", "&wide.b"),
    ("uint32_t *", "", "&narrow"),
    ("int64_t *", "time", "&instant"),
    ("char *", "buffer", "(void *)area"),
    ("double *", "high", "(void *)other"),
    ("double *", "", "(void *)area"),
    ("int64_t *", "times", "(void *)area"),
    ("int32_t *", "states", "(void *)other"),
];

/// A value that is no handle and no option.
fn plain(function: &Function, parameter: &Named) -> String {
    let (of, name) = (parameter.of.as_str(), parameter.name.as_str());
    let file = function.name.trim_start_matches("fairspell_");
    let file = match file.trim_end_matches("_read") {
        "records" => "record",
        "past" | "forecasts" => "hourly",
        file => file,
    };
    match (of, name) {
        ("const void *", "bytes") => return format!("in.{file}.bytes"),
        ("size_t", "length") => return format!("in.{file}.length"),
        ("size_t", "capacity") => return capacity(function),
        _ => {}
    }
    let is_it = |row: &&(&str, &str, &str)| row.0 == of && (row.1 == name || row.1.is_empty());
    if let Some((.., value)) = VALUES.iter().find(is_it) {
        return (*value).to_owned();
    }
    // Where a struct, or several, are written to.
    let is_out = of.starts_with("fairspell_") && of.matches('*').count() == 1;
    assert!(
        is_out,
        "{}: no value is known for {of} {name}",
        function.name
    );
    "(void *)area".to_owned()
}

/// All ways to spoil a number.
fn spoilt_number(function: &Function, parameter: &Named, right: &str) -> Vec<Spoilt> {
    let name = parameter.name.as_str();
    match parameter.of.as_str() {
        "size_t" => spoilt_length(name, right),
        "int32_t" if function.name.ends_with("_options_init") => vec![
            spoilt("least", "INT32_MIN", &["OK"]), // refused where the options are used
        ],
        "int32_t" => vec![
            spoilt("least", "INT32_MIN", &["RANGE"]),
            spoilt("greatest", "INT32_MAX", &["RANGE"]),
        ],
        "uint32_t" => vec![
            spoilt("zero", "0", &["RANGE"]),
            spoilt("greatest", "UINT32_MAX", &["RANGE"]),
        ],
        "int64_t" => vec![
            spoilt("least", "INT64_MIN", &["OK", "RANGE", "ABSENT"]), // FAIRSPELL_NO_TIME
            spoilt("greatest", "INT64_MAX", &["OK", "RANGE", "ABSENT"]),
            spoilt("one", "1", &["OK", "RANGE"]),
        ],
        "double" if ["latitude", "longitude"].contains(&name) => vec![
            spoilt("infinite", "(double)INFINITY", &["RANGE"]),
            spoilt("beyond", "-180.5", &["RANGE"]),
            spoilt("NaN", "(double)NAN", &["OK"]), // not known
        ],
        "double" => vec![
            spoilt("infinite", "(double)INFINITY", &["RANGE"]),
            spoilt("minus infinite", "-(double)INFINITY", &["RANGE"]),
            spoilt("NaN", "(double)NAN", &["RANGE"]),
        ],
        of => panic!("{}: no way is known to spoil {of} {name}", function.name),
    }
}

/// All ways to spoil a size, a length, a count or an index.
fn spoilt_length(name: &str, right: &str) -> Vec<Spoilt> {
    let huge = spoilt("huge", "SIZE_MAX", &["RANGE"]);
    match name {
        "size" | "item_size" => vec![
            spoilt("zero", "0", &["SIZE"]),
            spoilt("huge", "SIZE_MAX", &["SIZE"]),
            spoilt("one more", format!("{right} + 1"), &["SIZE"]),
        ],
        "length" => vec![
            spoilt("zero", "0", &["INPUT", "OK"]), // a site or a table may be empty
            spoilt("negative", "(size_t)PTRDIFF_MAX", &["RANGE"]),
            huge,
        ],
        "capacity" => vec![spoilt("zero", "0", &["SMALL"]), huge],
        "count" => vec![spoilt("zero", "0", &["OK"]), huge],
        "days" | "hours" | "column_count" => vec![
            spoilt("zero", "0", &["RANGE"]),
            spoilt("overflowing", "SIZE_MAX / 8 + 1", &["RANGE"]),
            huge,
        ],
        _ => vec![spoilt("beyond", "1000000", &["RANGE"]), huge],
    }
}

/// The walk over the functions of a header.
struct Walk {
    handles: BTreeSet<String>,
}

impl Walk {
    /// A value that is right for a parameter, in the terms of `fixture.h`.
    fn right(&self, function: &Function, place: usize) -> String {
        let parameter = &function.parameters[place];
        let (of, name) = (parameter.of.as_str(), parameter.name.as_str());
        let base = of.trim_start_matches("const ").trim_end_matches([' ', '*']);
        let short = base.trim_start_matches("fairspell_");
        if name == "size" || name == "item_size" {
            let earlier = function.parameters[..place].iter().rev();
            let sized = earlier.into_iter().find(|of| of.of.contains("fairspell_"));
            let sized = &sized.unwrap().of;
            let sized = sized
                .trim_start_matches("const ")
                .trim_end_matches([' ', '*']);
            return format!("sizeof({sized})");
        }
        if self.handles.contains(base) {
            return match of.matches('*').count() {
                1 if name == "observed" => "h.observed".to_owned(),
                1 => format!("h.{short}"),
                _ if name == "risks" || name == "decisions" => format!("many.{name}"),
                _ => format!("&o.{short}"),
            };
        }
        if let Some(options) = short.strip_suffix("_options") {
            return format!("&p.{options}");
        }
        plain(function, parameter)
    }

    /// All ways to spoil a parameter.
    fn spoilt(&self, function: &Function, place: usize) -> Vec<Spoilt> {
        let parameter = &function.parameters[place];
        let right = self.right(function, place);
        if parameter.is_pointer() {
            self.spoilt_pointer(function, parameter, &right)
        } else {
            spoilt_number(function, parameter, &right)
        }
    }

    fn spoilt_pointer(&self, function: &Function, parameter: &Named, right: &str) -> Vec<Spoilt> {
        let (of, name) = (parameter.of.as_str(), parameter.name.as_str());
        let base = of.trim_start_matches("const ").trim_end_matches([' ', '*']);
        let is_optional = OPTIONAL.contains(&format!("{} {name}", function.name).as_str());
        let right_null: &[&str] = match function.name.as_str() {
            // The log's dates have no offset, so that it takes a clock to read them.
            "fairspell_log_read" if is_optional => &["INPUT"],
            _ if is_optional => &["OK"],
            _ => &["NULL"],
        };
        let mut all = vec![spoilt("NULL", "NULL", right_null)];
        let is_handle = self.handles.contains(base);
        let is_one = of.matches('*').count() == 1;
        if (is_handle && is_one) || ["answer", "handle"].contains(&name) {
            let other = if base == "fairspell_text" {
                "h.site"
            } else {
                "h.text"
            };
            all.push(spoilt(
                "of another kind",
                format!("(void *){other}"),
                &["KIND"],
            ));
            all.push(spoilt("no handle", "(void *)zeros", &["KIND"]));
        }
        if of == "const char *" {
            all.push(spoilt("not UTF-8", "\"a\\xff\"", &["UTF8"]));
            all.push(spoilt("without an end", "endless", &["RANGE"]));
        }
        let has_bytes = ["const char *", "char *", "const void *"].contains(&of);
        if !has_bytes || ["answer", "handle"].contains(&name) {
            let beside = format!("(void *)((uintptr_t){right} + 1)");
            all.push(spoilt("beside", beside, &["ALIGNMENT"]));
        }
        all
    }

    /// The calls of one function: right, and with each argument spoilt; a `_free` besides with a handle of another kind.
    fn calls(&self, function: &Function) -> Vec<(String, String, &'static [&'static str])> {
        let count = function.parameters.len();
        let right: Vec<String> = (0..count)
            .map(|place| self.right(function, place))
            .collect();
        let call = |arguments: &[String]| format!("{}({})", function.name, arguments.join(", "));
        let mut calls: Vec<(String, String, &'static [&'static str])> =
            vec![("right".to_owned(), call(&right), &["OK"])];
        for place in 0..count {
            for spoilt in self.spoilt(function, place) {
                let mut arguments = right.clone();
                arguments[place] = spoilt.value;
                let how = format!("{} {}", function.parameters[place].name, spoilt.how);
                calls.push((how, call(&arguments), spoilt.right));
            }
        }
        if let Some(kind) = function.name.strip_suffix("_free") {
            let kind = kind.trim_start_matches("fairspell_");
            let other = if kind == "text" { "h.site" } else { "h.text" };
            let held = format!(
                "(o.{kind} = (void *){other}, keep = {}(&o.{kind}), o.{kind} = NULL, keep)",
                function.name
            );
            calls.push(("of another kind".to_owned(), held, &["KIND"]));
        }
        calls
    }

    /// The program that makes all calls.
    fn program(&self, functions: &[Function]) -> String {
        let mut program = String::from(PRELUDE);
        for function in functions {
            for (how, call, right) in self.calls(function) {
                let right: Vec<String> = right.iter().map(|of| format!("FAIRSPELL_{of}")).collect();
                let bits: Vec<String> = right.iter().map(|of| format!("1u << {of}")).collect();
                let row = writeln!(
                    program,
                    "  begin(); told(\"{} | {how}\", {call}, {});",
                    function.name,
                    bits.join(" | ")
                );
                assert!(row.is_ok());
            }
        }
        program + EPILOGUE
    }
}

/// How many values the area holds, of the type of the function's buffer.
fn capacity(function: &Function) -> String {
    let mut buffers = function.parameters.iter().filter(|of| of.is_pointer());
    let buffer = buffers.find(|of| !of.of.starts_with("const ") && of.name != "time");
    let of = buffer.unwrap().of.trim_end_matches([' ', '*']);
    format!("AREA / sizeof({of})")
}

/// The beginning of the program: what a call may write to, and what is looked at after each.
const PRELUDE: &str = r#"#include "fixture.h"

#define AREA (1u << 20)

static struct handles h;
static struct handles o; /* what calls give */
static struct options p;
static struct inputs in;
static struct {
  const fairspell_record *records[2];
  const fairspell_hourly *hours[2];
  const fairspell_site *sites[2];
  fairspell_risk *risks[2];
  fairspell_decision *decisions[2];
  fairspell_status statuses[2];
} many;
static double area[AREA / 8];
static double other[AREA / 8];
static uint64_t zeros[64];
static char endless[8192];
static const char *chars;
static struct { size_t a, b; } counts;
static struct { uint64_t a, b; } wide;
static uint32_t narrow;
static int64_t instant;
static fairspell_status keep;
static unsigned calls, wrong;

static void begin(void) {
  memset(&o, 0, sizeof o);
  memset(many.risks, 0, sizeof many.risks);
  memset(many.decisions, 0, sizeof many.decisions);
  make_options(&p, &h);
}

/* Whether any call has given a handle. */
static int given(void) {
  const char *bytes = (const char *)&o;
  for (size_t i = 0; i < sizeof o; i++) {
    if (bytes[i] != 0) {
      return 1;
    }
  }
  return many.risks[0] != NULL || many.decisions[0] != NULL;
}

static void told(const char *what, fairspell_status status, unsigned right) {
  calls++;
  if (status < 0 || status > FAIRSPELL_FAULT || (right >> status & 1u) == 0) {
    char words[512] = "";
    size_t needed;
    fairspell_last_error(words, sizeof words, &needed);
    printf("%s: status %" PRId32 ": %s\n", what, status, words);
    wrong++;
  }
  if (status != FAIRSPELL_OK && given()) {
    printf("%s: status %" PRId32 ", and yet a handle was given\n", what, status);
    wrong++;
  }
  free_handles(&o);
  for (int i = 0; i < 2; i++) {
    fairspell_risk_free(&many.risks[i]);
    fairspell_decision_free(&many.decisions[i]);
  }
}

int main(void) {
  make_inputs(&in);
  make_handles(&h, &in, &p);
  memset(endless, 'x', sizeof endless - 1);
  many.records[0] = many.records[1] = h.record;
  many.hours[0] = many.hours[1] = h.hourly;
  many.sites[0] = many.sites[1] = h.site;
"#;

const EPILOGUE: &str = r#"  free_handles(&h);
  free_inputs(&in);
  printf("%u calls, %u wrong\n", calls, wrong);
  return wrong > 0;
}
"#;

fn header() -> String {
    fs::read_to_string(workspace().join("ffi/c/include/fairspell.h")).unwrap()
}

/// The fixture beside the program that is made of it.
fn lay_fixture() {
    let fixture = workspace().join("tests/c/fixture.h");
    fs::copy(fixture, scratch().join("fixture.h")).unwrap();
}

/// The contract, section 8: NULL, zero and huge lengths, wrong sizes, handles of the wrong kind, texts that are not UTF-8 and
/// numbers that are none are answered by a status, never by a crash, and nothing is given then. Every function of the header.
#[test]
#[cfg_attr(not(c_tools), ignore = "needs gcc, pkg-config and valgrind")]
fn every_function_answers_each_spoilt_argument_by_a_status() {
    let header = header();
    let functions: Vec<Function> = functions(&header)
        .into_iter()
        .filter(|function| !function.parameters.is_empty())
        .collect();
    let walk = Walk {
        handles: handles(&header),
    };
    lay_fixture();
    let source = scratch().join("walk.c");
    fs::write(&source, walk.program(&functions)).unwrap();
    let program = compiled(&source, Language::C99, Link::Shared);
    let ran = run(&MEMCHECK, &program, &[]);
    assert_eq!(
        (ran.code, ran.stderr.as_str()),
        (Some(0), ""),
        "{}",
        ran.stdout
    );
    let calls: Vec<&str> = ran.stdout.split_whitespace().collect();
    assert!(
        functions.len() > 70 && ran.stdout.ends_with(" calls, 0 wrong\n"),
        "{calls:?}"
    );
}

/// What the walk does not reach: handles freed twice, wrong kinds and NULL inside options and arrays, buffers one too small,
/// infinite and missing values, times out of order, hostile bytes, batches with one bad member.
#[test]
#[cfg_attr(not(c_tools), ignore = "needs gcc, pkg-config and valgrind")]
fn hostile_cases_are_answered_by_a_status() {
    let source = workspace().join("tests/c/hostile.c");
    let program = compiled(&source, Language::C99, Link::Shared);
    let ran = run(&MEMCHECK, &program, &[]);
    let ended = (ran.code, ran.stderr.as_str());
    assert_eq!(ended, (Some(0), ""), "{}", ran.stdout);
    assert!(ran.stdout.ends_with(" checks, 0 wrong\n"), "{}", ran.stdout);
}

/// Several threads read one handle of each kind at once: the same answers, and not a word from valgrind's thread checkers.
#[test]
#[cfg_attr(not(c_tools), ignore = "needs gcc, pkg-config and valgrind")]
fn several_threads_may_read_one_handle() {
    let source = workspace().join("tests/c/threads.c");
    let program = compiled(&source, Language::C99, Link::Shared);
    for tool in ["--tool=helgrind", "--tool=drd"] {
        let watcher = ["valgrind", "--quiet", "--error-exitcode=99", tool];
        let ran = run(&watcher, &program, &[]);
        let ended = (ran.code, ran.stdout.as_str(), ran.stderr.as_str());
        assert_eq!(ended, (Some(0), "all alike\n", ""), "{tool}");
    }
}
