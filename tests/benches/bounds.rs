//! What bounds the reading of a long file: how fast its bytes come, and how fast their line ends are counted.
//!
//! `cargo bench -p fairspell-tests --bench bounds -- FILE` prints, for one thread and for as many as the machine has, bytes a
//! second of: copying memory, reading the file (from the system's cache, in pieces of 1 MiB), the same with line ends
//! counted by memchr, and the same with line ends and commas found one by one, which is the least that a reader of CSV does.
//! Best of five rounds. Beside them stand whole runs of the program, by `tests/benches/stations/compare.py`.

#![allow(
    clippy::print_stdout,
    clippy::disallowed_methods,
    clippy::disallowed_types,
    reason = "a benchmark reads files and the clock, and prints"
)]

use std::fs::File;
use std::hint::black_box;
use std::io::{Error, Read as _, Seek as _, SeekFrom};
use std::num::NonZero;
use std::thread::{available_parallelism, scope};
use std::time::Instant;

/// Bytes read at a time, as the program does.
const PIECE: usize = 1 << 20;
const ROUNDS: usize = 5;

/// What is done with a piece; some number that depends on all its bytes.
type Work = fn(&[u8]) -> usize;

/// Reads the part of a file that falls to one of several threads.
fn read_part(path: &str, (part, parts): (u64, u64), work: Work) -> Result<usize, Error> {
    let mut file = File::open(path)?;
    let length = file.metadata()?.len();
    let (from, to) = (length * part / parts, length * (part + 1) / parts);
    file.seek(SeekFrom::Start(from))?;
    let (mut piece, mut left, mut sum) = (vec![0; PIECE], to - from, 0);
    while left > 0 {
        let wanted = usize::try_from(left).unwrap_or(PIECE).min(PIECE);
        let read = file.read(piece.get_mut(..wanted).unwrap_or_default())?;
        if read == 0 {
            break;
        }
        sum += work(piece.get(..read).unwrap_or_default());
        left -= read as u64;
    }
    Ok(sum)
}

/// Seconds of the best round, and the sum over all threads.
fn timed(path: &str, threads: u64, work: Work) -> Result<(f64, usize), Error> {
    let (mut best, mut sum) = (f64::INFINITY, 0);
    for _ in 0..ROUNDS {
        let start = Instant::now();
        let parts: Vec<Result<usize, Error>> = scope(|scope| {
            let of = |part| scope.spawn(move || read_part(path, (part, threads), work));
            let running: Vec<_> = (0..threads).map(of).collect();
            let join = |thread: std::thread::ScopedJoinHandle<'_, _>| {
                thread
                    .join()
                    .unwrap_or_else(|_| Err(Error::other("a thread ended by a panic")))
            };
            running.into_iter().map(join).collect()
        });
        best = best.min(start.elapsed().as_secs_f64());
        sum = parts.into_iter().sum::<Result<usize, Error>>()?;
    }
    Ok((best, black_box(sum)))
}

/// Bytes a second of copying blocks far larger than the caches, counted once (each is read once and written once).
fn copied(threads: usize) -> f64 {
    const BLOCK: usize = 256 << 20;
    let mut best = f64::INFINITY;
    let mut blocks: Vec<(Vec<u8>, Vec<u8>)> = (0..threads)
        .map(|_| (vec![1; BLOCK], vec![0; BLOCK]))
        .collect();
    for _ in 0..ROUNDS {
        let start = Instant::now();
        scope(|scope| {
            for (from, to) in &mut blocks {
                scope.spawn(|| black_box(to).copy_from_slice(black_box(from)));
            }
        });
        best = best.min(start.elapsed().as_secs_f64());
    }
    (BLOCK * threads) as f64 / best
}

fn first_byte(piece: &[u8]) -> usize {
    piece.first().map_or(0, |byte| usize::from(*byte))
}

fn line_ends(piece: &[u8]) -> usize {
    memchr::memchr_iter(b'\n', piece).count()
}

fn fields(piece: &[u8]) -> usize {
    memchr::memchr2_iter(b',', b'\n', piece).fold(0, |sum, place| sum.wrapping_add(place ^ 1))
}

fn main() -> Result<(), Error> {
    let Some(path) = std::env::args()
        .skip(1)
        .find(|argument| !argument.starts_with("--"))
    else {
        println!("bounds: no file given; cargo bench -p fairspell-tests --bench bounds -- FILE");
        return Ok(());
    };
    let length = std::fs::metadata(&path)?.len() as f64;
    let all = available_parallelism().map_or(1, NonZero::get);
    println!(
        "{path}: {:.0} MB; GB a second, best of {ROUNDS} rounds\n",
        length / 1e6
    );
    println!(
        "| threads | memory copied | file read | and lines counted | and fields found |\n|---|---|---|---|---|"
    );
    for threads in if all > 1 { vec![1, all] } else { vec![1] } {
        let rate = |work: Work| {
            timed(&path, threads as u64, work).map(|(seconds, _)| length / seconds / 1e9)
        };
        let (read, lines, found) = (rate(first_byte)?, rate(line_ends)?, rate(fields)?);
        println!(
            "| {threads} | {:.1} | {read:.1} | {lines:.1} | {found:.1} |",
            copied(threads) / 1e9
        );
    }
    let (_, lines) = timed(&path, 1, line_ends)?;
    println!("\n{lines} lines");
    Ok(())
}
