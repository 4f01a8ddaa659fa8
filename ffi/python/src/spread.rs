//! Work spread over threads, its results in the order of the items.

use core::sync::atomic::{AtomicUsize, Ordering};
use std::num::NonZeroUsize;
use std::thread::{available_parallelism, scope};

/// Gives each item to `work` on as many threads as asked for, or as the machine has cores. The results are in the order of
/// the items, so that their number of threads changes nothing.
pub fn spread<I: Sync, T: Send>(
    items: &[I],
    threads: Option<NonZeroUsize>,
    work: impl Fn(&I) -> T + Sync,
) -> Vec<T> {
    let cores = || available_parallelism().unwrap_or(NonZeroUsize::MIN);
    let threads = threads.unwrap_or_else(cores).get().min(items.len());
    if threads < 2 {
        return items.iter().map(work).collect();
    }
    let next = AtomicUsize::new(0);
    let own = || {
        let mut done = Vec::new();
        while let Some((place, item)) = {
            let place = next.fetch_add(1, Ordering::Relaxed);
            items.get(place).map(|item| (place, item))
        } {
            done.push((place, work(item)));
        }
        done
    };
    let mut all: Vec<(usize, T)> = scope(|scope| {
        let running: Vec<_> = (0..threads).map(|_| scope.spawn(own)).collect();
        let joined = running.into_iter().map(|thread| {
            let done = thread.join();
            done.unwrap_or_else(|panic| std::panic::resume_unwind(panic))
        });
        joined.flatten().collect()
    });
    all.sort_by_key(|(place, _)| *place);
    all.into_iter().map(|(_, done)| done).collect()
}
