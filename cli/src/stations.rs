//! Records of many stations as a stream: read in large pieces, a station a time to a worker, answers in file order.
//!
//! Memory holds a few stations, whatever the length of the file. Records that cannot be cut at stations (fixed columns,
//! one station, quotes) are read as a whole, up to the core's own limit.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::File;
use std::io::{ErrorKind, Read, stdin};
use std::num::NonZero;
use std::sync::Mutex;
use std::sync::mpsc::{Receiver, Sender, SyncSender, channel, sync_channel};
use std::thread::{available_parallelism, scope};

use fairspell::error::{Excerpt, Place, ReadError, ReadProblem, escaped};
use fairspell::read::daily::{DailyOptions, DailyReading, Plan, read_daily, station_end};
use fairspell::read::{MAX_BYTES, Source};
use flate2::bufread::MultiGzDecoder;

use crate::failure::Failure;

/// Bytes read at a time.
const PIECE: usize = 1 << 20;
/// Most bytes of one station's rows: 400 years of them take 10 MB.
const MAX_STATION: usize = 16 << 20;

/// A station's rows on their way to a worker.
struct Block {
    number: usize,
    bytes: Vec<u8>,
}

/// What a worker made of a block.
struct Made<T> {
    number: usize,
    name: Vec<u8>,
    lines: u64,
    found: Result<Vec<T>, ReadError>,
}

/// Opens a record: a file or standard input, gzip or not.
fn open(name: &str) -> Result<Box<dyn Read>, Failure> {
    let fault = |error| Failure::CannotRead {
        name: name.to_owned(),
        error,
    };
    let mut input: Box<dyn Read> = if name == "-" {
        Box::new(stdin().lock())
    } else {
        Box::new(File::open(name).map_err(fault)?)
    };
    let mut magic = Vec::new();
    (&mut input)
        .take(2)
        .read_to_end(&mut magic)
        .map_err(fault)?;
    let is_packed = magic == [0x1f, 0x8b];
    let whole = std::io::Cursor::new(magic).chain(input);
    Ok(if is_packed {
        Box::new(MultiGzDecoder::new(std::io::BufReader::new(whole)))
    } else {
        Box::new(whole)
    })
}

/// Gives each station of a record to `work`, on as many threads as the machine has, and what comes back to `take`, in
/// the order of the file.
pub fn for_each_station<T: Send>(
    name: &str,
    options: DailyOptions,
    work: impl Fn(&DailyReading) -> T + Sync,
    mut take: impl FnMut(T) -> Result<(), Failure>,
) -> Result<(), Failure> {
    let mut stream = Stream {
        name,
        input: open(name)?,
        buffer: Vec::new(),
        start: 0,
        is_ended: false,
    };
    stream.fill(PIECE)?;
    let plan = Plan::new(
        Source {
            name,
            bytes: &stream.buffer,
        },
        options,
    )?;
    match plan {
        Some(plan) if !stream.is_ended => in_blocks(&mut stream, &plan, &work, &mut take),
        _ => {
            stream.fill(MAX_BYTES + 1)?;
            for reading in read_daily(
                Source {
                    name,
                    bytes: &stream.buffer,
                },
                options,
            )? {
                take(work(&reading))?;
            }
            Ok(())
        }
    }
}

/// A record as it is read.
struct Stream<'a> {
    name: &'a str,
    input: Box<dyn Read>,
    buffer: Vec<u8>,
    start: usize,
    is_ended: bool,
}

impl Stream<'_> {
    /// Reads until so many bytes are at hand, or the end.
    fn fill(&mut self, bytes: usize) -> Result<(), Failure> {
        self.buffer.drain(..self.start);
        self.start = 0;
        let wanted = bytes.saturating_sub(self.buffer.len()) as u64;
        let read = (&mut self.input).take(wanted).read_to_end(&mut self.buffer);
        let read = read.map_err(|error| self.fault(error))?;
        self.is_ended = (read as u64) < wanted;
        Ok(())
    }

    fn fault(&self, error: std::io::Error) -> Failure {
        if matches!(
            error.kind(),
            ErrorKind::InvalidInput | ErrorKind::InvalidData | ErrorKind::UnexpectedEof
        ) {
            let place = Place::whole(self.name);
            return ReadError {
                place,
                problem: ReadProblem::Gzip,
            }
            .into();
        }
        Failure::CannotRead {
            name: escaped(self.name),
            error,
        }
    }

    /// The next station's rows; nothing at the end.
    fn block(&mut self, column: usize) -> Result<Option<Vec<u8>>, Failure> {
        loop {
            let rest = self.buffer.get(self.start..).unwrap_or_default();
            let end = station_end(rest, column);
            let end = if self.is_ended {
                end.or((!rest.is_empty()).then_some(rest.len()))
            } else {
                end
            };
            if let Some(end) = end {
                let block = rest.get(..end).unwrap_or_default().to_vec();
                self.start += end;
                return Ok(Some(block));
            }
            if self.is_ended {
                return Ok(None);
            }
            if rest.len() > MAX_STATION {
                let problem = ReadProblem::TooMuch {
                    limit: MAX_STATION as u64,
                    of: "bytes of one station",
                };
                return Err(ReadError {
                    place: Place::whole(self.name),
                    problem,
                }
                .into());
            }
            let more = rest.len() + PIECE;
            self.fill(more)?;
        }
    }
}

fn in_blocks<T: Send>(
    stream: &mut Stream<'_>,
    plan: &Plan,
    work: &(impl Fn(&DailyReading) -> T + Sync),
    take: &mut impl FnMut(T) -> Result<(), Failure>,
) -> Result<(), Failure> {
    let threads = available_parallelism().map_or(1, NonZero::get);
    stream.start = plan.header_bytes();
    let (to_workers, blocks) = sync_channel::<Block>(threads);
    let (made, results) = channel::<Made<T>>();
    let blocks = Mutex::new(blocks);
    scope(|scope| {
        for _ in 0..threads {
            let (blocks, made) = (&blocks, made.clone());
            scope.spawn(move || worker(plan, work, blocks, &made));
        }
        drop(made);
        let column = plan.station_column();
        let mut order = Order::new(stream.name.to_owned(), plan);
        feed(
            stream,
            column,
            to_workers,
            (&results, &mut order, threads),
            take,
        )
    })
}

/// Reads blocks, hands them out, and takes answers back, so that only a few are on their way.
fn feed<T>(
    stream: &mut Stream<'_>,
    column: usize,
    to_workers: SyncSender<Block>,
    (results, order, threads): (&Receiver<Made<T>>, &mut Order<T>, usize),
    take: &mut impl FnMut(T) -> Result<(), Failure>,
) -> Result<(), Failure> {
    let (mut sent, most) = (0, 2 * threads);
    while let Some(bytes) = stream.block(column)? {
        while sent - order.received >= most {
            let Ok(made) = results.recv() else { break };
            order.put(made, take)?;
        }
        if to_workers
            .send(Block {
                number: sent,
                bytes,
            })
            .is_err()
        {
            break;
        }
        sent += 1;
    }
    drop(to_workers);
    while order.received < sent {
        let Ok(made) = results.recv() else { break };
        order.put(made, take)?;
    }
    order.finish()
}

fn worker<T>(
    plan: &Plan,
    work: &impl Fn(&DailyReading) -> T,
    blocks: &Mutex<Receiver<Block>>,
    made: &Sender<Made<T>>,
) {
    loop {
        let block = blocks.lock().ok().and_then(|blocks| blocks.recv().ok());
        let Some(Block { number, bytes }) = block else {
            return;
        };
        let found = plan
            .read(&bytes)
            .map(|readings| readings.iter().map(work).collect());
        let lines = bytes.split(|byte| *byte == b'\n').skip(1).count() as u64;
        let name = plan.station_of(&bytes).to_vec();
        if made
            .send(Made {
                number,
                name,
                lines,
                found,
            })
            .is_err()
        {
            return;
        }
    }
}

/// Answers brought back into the order of the file; errors get the lines of the file, and a station that comes back is
/// one.
struct Order<T> {
    file: String,
    line: u64,
    received: usize,
    next: usize,
    waiting: BTreeMap<usize, Made<T>>,
    /// Names that went by, as 64-bit hashes: two of a million stations share one with a chance of one in 40 million.
    seen: BTreeSet<u64>,
    is_empty: bool,
}

impl<T> Order<T> {
    fn new(file: String, plan: &Plan) -> Self {
        let line = u64::from(plan.header_bytes() > 0);
        let (waiting, seen) = (BTreeMap::new(), BTreeSet::new());
        Self {
            file,
            line,
            received: 0,
            next: 0,
            waiting,
            seen,
            is_empty: true,
        }
    }

    fn put(
        &mut self,
        made: Made<T>,
        take: &mut impl FnMut(T) -> Result<(), Failure>,
    ) -> Result<(), Failure> {
        self.received += 1;
        self.waiting.insert(made.number, made);
        while let Some(made) = self.waiting.remove(&self.next) {
            self.next += 1;
            self.deliver(made, take)?;
        }
        Ok(())
    }

    fn deliver(
        &mut self,
        made: Made<T>,
        take: &mut impl FnMut(T) -> Result<(), Failure>,
    ) -> Result<(), Failure> {
        if !self.seen.insert(hash(&made.name)) {
            let problem = ReadProblem::StationReturns {
                found: Excerpt::of(&made.name),
            };
            return Err(ReadError {
                place: Place::at(&self.file, self.line + 1, 1),
                problem,
            }
            .into());
        }
        let found = made.found.map_err(|error| {
            let line = error.place.line + self.line;
            ReadError {
                place: Place {
                    line,
                    ..error.place
                },
                ..error
            }
        })?;
        self.line += made.lines;
        for answer in found {
            self.is_empty = false;
            take(answer)?;
        }
        Ok(())
    }

    fn finish(&self) -> Result<(), Failure> {
        if !self.is_empty {
            return Ok(());
        }
        let problem = ReadProblem::Absent {
            expected: "at least one day with a minimum",
        };
        Err(ReadError {
            place: Place::whole(&self.file),
            problem,
        }
        .into())
    }
}

/// FNV-1a, 64 bit (constants from memory).
fn hash(name: &[u8]) -> u64 {
    name.iter().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
    })
}
