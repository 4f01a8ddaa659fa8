//! Records of many stations as a stream: blocks of whole stations go to the threads as they are read, and the answers come
//! back in the order of the file.
//!
//! Memory holds a few blocks, whatever the length of the file. A record in fixed columns is read as a whole, up to the
//! core's own limit.

#[path = "stations/daily.rs"]
mod daily;
#[path = "stations/hourly.rs"]
mod hourly;
#[path = "stations/sparse.rs"]
mod sparse;

use std::collections::BTreeMap;
use std::io::{BufReader, Chain, Cursor, Read};
use std::num::NonZero;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::{available_parallelism, scope};

use fairspell::error::{Place, ReadError, ReadProblem};
use fairspell::read::Notice;
use fairspell::read::stream::{Block, Blocks, MAX_BYTES, Opening, Plan, Stream, read_block};
use flate2::bufread::MultiGzDecoder;

use crate::failure::Failure;
#[allow(
    unused_imports,
    reason = "a check of daily records takes this file without it"
)]
pub use hourly::HourOptions;

/// What takes the stations of a file that is read as a whole, with what must be said of the file.
pub type Take<'t, R> = dyn FnMut(&R, &[Notice]) -> Result<(), Failure> + 't;

/// What the user says about a record of one kind, daily or hourly, and how such a record is read.
pub trait Kind: Copy + Send + Sync {
    /// How its rows are read.
    type Plan: Plan<Reading = Self::Reading> + Sync;
    /// What a station gives.
    type Reading;
    /// A station put aside until its turn.
    type Later: Send;
    /// The reader of a file of one station, line by line.
    type Lines;
    /// Blocks that may be read ahead of the answers, beside one a thread: none where a station's rows take much room.
    const AHEAD: usize;

    /// What the first bytes of a file say about how to read it.
    fn open(self, name: &str, head: &[u8], is_all: bool) -> Opening<Self::Plan>;

    /// Reads a file as a whole, and gives each station to `take`.
    fn whole(
        self,
        name: &str,
        bytes: &[u8],
        take: &mut Take<'_, Self::Reading>,
    ) -> Result<Vec<Notice>, Failure>;

    /// A reader of lines; `None`: no file of this kind is read so.
    fn lines(self, name: &str) -> Option<Self::Lines>;

    /// Gives a reader of lines the next bytes.
    fn push(lines: &mut Self::Lines, bytes: &[u8]) -> Result<(), Failure>;

    /// What the lines have said.
    fn finish(lines: Self::Lines) -> Result<Self::Reading, Failure>;

    /// A station whose answer would take far more room than its rows, in little room.
    fn put_aside(reading: &Self::Reading) -> Option<Self::Later>;

    /// The reading of a station that was put aside.
    fn bring_back(later: &Self::Later) -> Result<Self::Reading, ReadProblem>;
}

/// An answer, or a station whose answer is found when its turn has come.
enum Answer<T, L> {
    Ready(T),
    Later(L),
}
/// Bytes read at a time, and least bytes of a block: enough to be worth a thread's turn, few enough that the answers of a
/// block of very short records stay small.
const PIECE: usize = 128 * 1024;
/// Most bytes that one packed byte may unpack to, once more than [`MAX_BYTES`] have come: records pack about ten to one.
const MAX_UNPACKED: u64 = 200;

/// A record, and how it is read.
#[derive(Clone, Copy)]
pub struct Record<'a, K> {
    /// The name by which the user called it.
    pub name: &'a str,
    /// What the user says about it.
    pub options: K,
    /// Threads that read blocks.
    pub threads: usize,
    /// Bytes read at a time, and least bytes of a block.
    pub piece: usize,
    /// Is told of the bytes of the file as they are read, packed ones as they are.
    pub seen: &'a (dyn Fn(u64) + Sync),
}

impl<'a, K> Record<'a, K> {
    /// A record read on as many threads as the machine has.
    pub fn new(name: &'a str, options: K) -> Self {
        let threads = available_parallelism().map_or(1, NonZero::get);
        Self {
            name,
            options,
            threads,
            piece: PIECE,
            seen: &|_| {},
        }
    }

    fn fault(&self, problem: ReadProblem) -> Failure {
        let place = Place::whole(self.name);
        ReadError { place, problem }.into()
    }

    /// That the system cannot read it.
    pub fn cannot_read(&self, error: std::io::Error) -> Failure {
        Failure::CannotRead {
            name: self.name.to_owned(),
            error,
        }
    }
}

/// Gives each station of a record, gzip or not, to `work`, and what comes back to `take`, in the order of the file; what
/// must be said of the file as a whole goes to `work` with each, and comes back in the end.
pub fn for_each_station_of<K: Kind, T: Send>(
    input: impl Read + Send,
    record: Record<'_, K>,
    work: impl Fn(&K::Reading, &[Notice]) -> T + Sync,
    mut take: impl FnMut(T) -> Result<(), Failure>,
) -> Result<Vec<Notice>, Failure> {
    let mut input = Unpacked::new(input, record)?;
    let (mut head, mut wanted) = (Vec::new(), record.piece);
    let (opening, is_all) = loop {
        let is_all = input.append(&mut head, wanted)?;
        // Packed twice, it would be unpacked again where it is read whole.
        if let ([0x1f, byte @ 0x8b, ..], true) = (head.as_slice(), input.is_packed()) {
            let (place, byte) = (Place::at(record.name, 1, 2), *byte);
            let problem = ReadProblem::NotText { byte };
            return Err(ReadError { place, problem }.into());
        }
        match record.options.open(record.name, &head, is_all) {
            Opening::More if head.len() <= MAX_BYTES => {
                wanted = head.len().min(MAX_BYTES + 1 - head.len()).max(1);
            }
            opening => break (opening, is_all),
        }
    };
    match opening {
        Opening::More | Opening::Whole => {
            if !is_all {
                let left = (MAX_BYTES + 1).saturating_sub(head.len());
                input.append(&mut head, left)?;
            }
            let mut each = |reading: &K::Reading, of_file: &[Notice]| take(work(reading, of_file));
            record.options.whole(record.name, &head, &mut each)
        }
        Opening::Lines => {
            let reading = read_lines::<K>(&mut input, head, is_all)?;
            take(work(&reading, &[]))?;
            Ok(Vec::new())
        }
        Opening::Fault(error) => {
            let head = head.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&head);
            let mut blocks = Blocks::of_lines(record.piece);
            blocks.room().extend_from_slice(head);
            let stream = Stream::<K::Plan, T>::failing(record.name, error);
            look_through(
                &mut Feed::new(input, blocks, is_all),
                stream,
                &|reading: &K::Reading| work(reading, &[]),
                &mut take,
            )?;
            Ok(Vec::new())
        }
        Opening::Rows(plan) => {
            let mut blocks = Blocks::new(&plan, record.piece);
            let rows = head.get(plan.first().start()..).unwrap_or_default();
            blocks.room().extend_from_slice(rows);
            drop(head);
            for_each_of_rows(Feed::new(input, blocks, is_all), &plan, &work, &mut take)?;
            Ok(plan.notices().to_vec())
        }
    }
}

/// A file that is read by rows.
fn for_each_of_rows<K: Kind, T: Send>(
    feed: Feed<'_, impl Read + Send, K>,
    plan: &K::Plan,
    work: &(impl Fn(&K::Reading, &[Notice]) -> T + Sync),
    take: &mut impl FnMut(T) -> Result<(), Failure>,
) -> Result<(), Failure> {
    let record = feed.input.record;
    let now = |reading: &K::Reading| work(reading, plan.notices());
    let work = |reading: &K::Reading| {
        let later = K::put_aside(reading).map(Answer::Later);
        later.unwrap_or_else(|| Answer::Ready(now(reading)))
    };
    let mut take = |answer: Answer<T, K::Later>| match answer {
        Answer::Ready(answer) => take(answer),
        Answer::Later(later) => {
            let reading = K::bring_back(&later);
            take(now(&reading.map_err(|problem| record.fault(problem))?))
        }
    };
    Line::new(feed, record.threads + K::AHEAD).run(plan, record.threads, &work, &mut take)
}

/// A file of one station, line by line.
fn read_lines<K: Kind>(
    input: &mut Unpacked<'_, impl Read, K>,
    mut head: Vec<u8>,
    mut is_all: bool,
) -> Result<K::Reading, Failure> {
    let record = input.record;
    let unknown = || record.fault(ReadProblem::Empty);
    let mut lines = record.options.lines(record.name).ok_or_else(unknown)?;
    loop {
        K::push(&mut lines, &head)?;
        if is_all {
            return K::finish(lines);
        }
        head.clear();
        is_all = input.append(&mut head, record.piece)?;
    }
}

/// A file whose first record is wrong: what follows may hold what the general reader says first.
fn look_through<K: Kind, T>(
    feed: &mut Feed<'_, impl Read, K>,
    mut stream: Stream<'_, K::Plan, T>,
    work: &impl Fn(&K::Reading) -> T,
    take: &mut impl FnMut(T) -> Result<(), Failure>,
) -> Result<(), Failure> {
    while let Some(bytes) = feed.next()? {
        stream.push(Block::unread(bytes), work, take)?;
        if stream.is_settled(feed.input.is_packed()) {
            break;
        }
    }
    stream.finish(work, take)
}

/// An input, unpacked if it is gzip.
struct Unpacked<'a, R, K> {
    record: Record<'a, K>,
    input: Input<R>,
    bytes: u64,
}

type Whole<R> = Chain<Cursor<Vec<u8>>, R>;

enum Input<R> {
    Plain(Whole<R>),
    Packed(Box<MultiGzDecoder<BufReader<Counted<Whole<R>>>>>),
}

/// An input that counts its bytes and remembers whether it failed itself.
struct Counted<R> {
    input: R,
    bytes: u64,
    is_failed: bool,
}

impl<R: Read> Read for Counted<R> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let read = self.input.read(buffer);
        match &read {
            Ok(bytes) => self.bytes += *bytes as u64,
            Err(error) => self.is_failed = error.kind() != std::io::ErrorKind::Interrupted,
        }
        read
    }
}

impl<'a, R: Read, K: Copy> Unpacked<'a, R, K> {
    fn new(mut input: R, record: Record<'a, K>) -> Result<Self, Failure> {
        let mut magic = Vec::new();
        let read = (&mut input).take(2).read_to_end(&mut magic);
        read.map_err(|error| record.cannot_read(error))?;
        let is_packed = magic == [0x1f, 0x8b];
        let input = Cursor::new(magic).chain(input);
        let input = if is_packed {
            let counted = Counted {
                input,
                bytes: 0,
                is_failed: false,
            };
            Input::Packed(Box::new(MultiGzDecoder::new(BufReader::new(counted))))
        } else {
            Input::Plain(input)
        };
        Ok(Self {
            record,
            input,
            bytes: 0,
        })
    }

    /// Whether a later byte may show that it is no gzip.
    fn is_packed(&self) -> bool {
        matches!(self.input, Input::Packed(_))
    }

    /// Appends so many bytes, or all that are left; whether it was all.
    fn append(&mut self, bytes: &mut Vec<u8>, count: usize) -> Result<bool, Failure> {
        bytes.reserve(count);
        let count = count as u64;
        let read = match &mut self.input {
            Input::Plain(input) => {
                let read = input.take(count).read_to_end(bytes);
                let read = read.map_err(|error| self.record.cannot_read(error))?;
                (self.record.seen)(read as u64);
                read
            }
            Input::Packed(input) => {
                let before = input.get_ref().get_ref().bytes;
                let read = input.as_mut().take(count).read_to_end(bytes);
                let packed = input.get_ref().get_ref();
                (self.record.seen)(packed.bytes - before);
                match read {
                    Ok(read) => read,
                    Err(error) if packed.is_failed => return Err(self.record.cannot_read(error)),
                    Err(_) => return Err(self.record.fault(ReadProblem::Gzip)),
                }
            }
        } as u64;
        self.bytes += read;
        self.check_ratio()?;
        Ok(read < count)
    }

    fn check_ratio(&self) -> Result<(), Failure> {
        let Input::Packed(input) = &self.input else {
            return Ok(());
        };
        let most = input.get_ref().get_ref().bytes.saturating_mul(MAX_UNPACKED);
        if self.bytes <= most.max(MAX_BYTES as u64 + 1) {
            return Ok(());
        }
        let (limit, of) = (MAX_UNPACKED, "bytes out of each packed byte");
        Err(self.record.fault(ReadProblem::TooMuch { limit, of }))
    }
}

/// An input cut into blocks.
struct Feed<'a, R, K> {
    input: Unpacked<'a, R, K>,
    blocks: Blocks,
    is_all: bool,
    is_ended: bool,
    given: usize,
}

impl<'a, R: Read, K: Copy> Feed<'a, R, K> {
    fn new(input: Unpacked<'a, R, K>, blocks: Blocks, is_all: bool) -> Self {
        Self {
            input,
            blocks,
            is_all,
            is_ended: false,
            given: 0,
        }
    }

    /// The next block; nothing at the end and after a failure.
    fn next(&mut self) -> Result<Option<Vec<u8>>, Failure> {
        while !self.is_ended {
            if let Some(block) = self.blocks.cut() {
                return Ok(Some(block));
            }
            let room = self.blocks.room();
            if self.is_all || room.len() > MAX_BYTES {
                self.is_ended = true;
                return Ok(Some(core::mem::take(room)).filter(|rest| !rest.is_empty()));
            }
            let read = self.input.append(room, self.input.record.piece);
            self.is_ended = read.is_err();
            self.is_all = read?;
        }
        Ok(None)
    }
}

/// What a thread hands on.
enum Step<T> {
    Block(Block<T>),
    End,
    Failed(Failure),
}

/// How far the answers are.
#[derive(Default)]
struct Progress {
    taken: usize,
    is_stopped: bool,
}

/// Threads in a line for the next block. None gets more than `window` blocks ahead of the answers, so that few are held.
struct Line<'a, R, K> {
    feed: Mutex<Feed<'a, R, K>>,
    progress: Mutex<Progress>,
    moved: Condvar,
    window: usize,
    is_packed: bool,
    /// Buffers of blocks that are done with.
    spares: Mutex<Vec<Vec<u8>>>,
}

/// Lets the others stop when a thread ends by a panic, so that none waits for it for ever.
struct StopOnPanic<'l, 'a, R, K>(&'l Line<'a, R, K>);

impl<R, K> Drop for StopOnPanic<'_, '_, R, K> {
    fn drop(&mut self) {
        if std::thread::panicking() {
            self.0.stop();
        }
    }
}

fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl<'a, R, K> Line<'a, R, K> {
    fn new(feed: Feed<'a, R, K>, window: usize) -> Self
    where
        R: Read,
        K: Copy,
    {
        Self {
            is_packed: feed.input.is_packed(),
            feed: Mutex::new(feed),
            progress: Mutex::default(),
            moved: Condvar::new(),
            window,
            spares: Mutex::default(),
        }
    }

    fn stop(&self) {
        locked(&self.progress).is_stopped = true;
        self.moved.notify_all();
    }

    fn advance(&self) {
        locked(&self.progress).taken += 1;
        self.moved.notify_all();
    }

    /// Waits until the block of this number may be read; whether it still should be.
    fn may_read(&self, number: usize) -> bool {
        let waits = |progress: &mut Progress| {
            !progress.is_stopped && number >= progress.taken + self.window
        };
        let progress = self.moved.wait_while(locked(&self.progress), waits);
        !progress.unwrap_or_else(PoisonError::into_inner).is_stopped
    }
}

impl<R: Read + Send, K: Kind> Line<'_, R, K> {
    fn run<T: Send>(
        &self,
        plan: &K::Plan,
        threads: usize,
        work: &(impl Fn(&K::Reading) -> T + Sync),
        take: &mut impl FnMut(T) -> Result<(), Failure>,
    ) -> Result<(), Failure> {
        let (sender, steps) = channel();
        scope(|scope| {
            let _guard = StopOnPanic(self);
            for _ in 0..threads.max(1) {
                let sender = sender.clone();
                scope.spawn(move || self.work(plan, work, &sender));
            }
            drop(sender);
            let result = self.in_order(&steps, plan, work, take);
            self.stop();
            result
        })
    }

    /// Reads block after block until there is none.
    fn work<T>(
        &self,
        plan: &K::Plan,
        work: &impl Fn(&K::Reading) -> T,
        steps: &Sender<(usize, Step<T>)>,
    ) {
        let _guard = StopOnPanic(self);
        loop {
            let mut feed = locked(&self.feed);
            if feed.is_ended || !self.may_read(feed.given) {
                return;
            }
            if let Some(spare) = locked(&self.spares).pop() {
                feed.blocks.reuse(spare);
            }
            let (number, bytes) = (feed.given, feed.next());
            feed.given += 1;
            let is_last = feed.is_ended;
            let is_ended = !is_last && feed.blocks.is_ended();
            drop(feed);
            let block = |bytes| Step::Block(read_block(plan, bytes, work).ended(is_ended));
            let step = match bytes {
                Ok(bytes) => bytes.map_or(Step::End, block),
                Err(failure) => Step::Failed(failure),
            };
            let is_block = matches!(step, Step::Block(_));
            let is_sent = steps.send((number, step)).is_ok();
            if is_last && is_block {
                let _gone_is_fine = steps.send((number + 1, Step::End));
            }
            if !is_sent || is_last {
                return;
            }
        }
    }

    /// Brings what the threads hand on into the order of the file.
    fn in_order<T>(
        &self,
        steps: &Receiver<(usize, Step<T>)>,
        plan: &K::Plan,
        work: &impl Fn(&K::Reading) -> T,
        take: &mut impl FnMut(T) -> Result<(), Failure>,
    ) -> Result<(), Failure> {
        let mut stream = Stream::new(plan);
        let (mut waiting, mut next) = (BTreeMap::new(), 0);
        for (number, step) in steps {
            waiting.insert(number, step);
            while let Some(step) = waiting.remove(&next) {
                match step {
                    Step::Block(block) => stream.push(block, work, take)?,
                    Step::Failed(failure) => return Err(failure),
                    Step::End => return stream.finish(work, take),
                }
                next += 1;
                if let Some(spare) = stream.spare() {
                    locked(&self.spares).push(spare);
                }
                self.advance();
                if stream.is_settled(self.is_packed) {
                    return stream.finish(work, take);
                }
            }
        }
        stream.finish(work, take)
    }
}
