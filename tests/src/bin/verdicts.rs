//! Decides many random forecasts, and has every spell confirmed by the slow evaluator.
//!
//! `cargo run --release -p fairspell-tests --bin verdicts -- COUNT SEED [FIRST]`: cases FIRST (0) to FIRST + COUNT of a seed,
//! on all cores. The answer does not hang on the number of threads. Exit code 1, with seed and case, if anything is not
//! confirmed.

use std::io::{self, Write as _};
use std::process::ExitCode;
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};
use std::thread::{available_parallelism, scope};

use fairspell_tests::verdicts::{Fault, Tally, check};

/// Cases that a thread takes at a time.
const TAKEN: u64 = 2_000;
/// Cases after which a line is printed.
const PROGRESS: u64 = 1_000_000;

fn main() -> ExitCode {
    let numbers: Result<Vec<u64>, _> = std::env::args().skip(1).map(|word| word.parse()).collect();
    let (count, seed, first) = match numbers.as_deref() {
        Ok([count, seed]) => (*count, *seed, 0),
        Ok([count, seed, first]) => (*count, *seed, *first),
        _ => return said("expected COUNT SEED or COUNT SEED FIRST, whole numbers", 2),
    };
    let (tally, fault) = run(count, seed, first);
    match fault {
        None => said(&tally.to_string(), 0),
        Some((number, fault)) => {
            let Fault { what, case } = fault;
            said(
                &format!(
                    "seed {seed} case {number}: {what}\n{case:?}\nagain: verdicts 1 {seed} {number}"
                ),
                1,
            )
        }
    }
}

fn said(text: &str, code: u8) -> ExitCode {
    match writeln!(io::stdout(), "{text}") {
        Ok(()) => ExitCode::from(code),
        Err(_) => ExitCode::from(2),
    }
}

/// All cases; the fault with the lowest number, if there is one.
fn run(count: u64, seed: u64, first: u64) -> (Tally, Option<(u64, Fault)>) {
    let next = AtomicU64::new(0);
    let tally = Mutex::new(Tally::default());
    let fault: Mutex<Option<(u64, Fault)>> = Mutex::new(None);
    let threads = available_parallelism().map_or(1, usize::from);
    scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|| {
                loop {
                    let from = next.fetch_add(TAKEN, Ordering::Relaxed);
                    if from >= count || fault.lock().is_ok_and(|fault| fault.is_some()) {
                        break;
                    }
                    let (part, found) = part(seed, first + from..first + (from + TAKEN).min(count));
                    if let Ok(mut tally) = tally.lock() {
                        let before = tally.cases / PROGRESS;
                        tally.add(&part);
                        if tally.cases / PROGRESS > before {
                            let _ = writeln!(io::stderr(), "{} forecasts", tally.cases);
                        }
                    }
                    if let (Some(found), Ok(mut fault)) = (found, fault.lock()) {
                        let is_first = fault.as_ref().is_none_or(|fault| found.0 < fault.0);
                        if is_first {
                            *fault = Some(found);
                        }
                    }
                }
            });
        }
    });
    // A thread that panicked has ended the scope with a panic: nothing is lost in silence.
    (
        tally.into_inner().unwrap_or_default(),
        fault.into_inner().unwrap_or_default(),
    )
}

fn part(seed: u64, numbers: core::ops::Range<u64>) -> (Tally, Option<(u64, Fault)>) {
    let mut tally = Tally::default();
    for number in numbers {
        if let Err(fault) = check(seed, number, &mut tally) {
            return (tally, Some((number, fault)));
        }
    }
    (tally, None)
}
