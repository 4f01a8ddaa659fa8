//! A file of any length read block by block, on as many threads as the caller has, with the answers and the errors of
//! the general reader.
//!
//! The caller reads bytes, finds the [`Opening`], cuts [`Blocks`], has each block read on its own ([`read_block`], on any
//! thread), and gives them in the order of the file to a [`Stream`]. That one knows what
//! no block can know: whether a station goes on in the next block or came before, whether a quote is open, which line it
//! is. Where a block does not stand for itself, the general reader reads it again together with its neighbours.
//!
//! The general reader looks for bytes that are no text, and then for lines that are too long, before it reads any row;
//! so once an error is found, the rest of the file is looked through for those, up to what the general reader reads.
//!
//! Daily and hourly records each have a [`Plan`]; what is told here holds for both.

use super::names::Entry;
use super::rows::{Fields, LONG_LINE, check_closed, check_lines, is_open, next_row, reader_of};
use super::{Notice, Source, fault_at};
use crate::error::{Place, ReadError, ReadProblem};

pub use super::blocks::Blocks;
pub use super::names::Names;

/// Most bytes of a record, unpacked, that is read as a whole, and of the rows of one station. Ours: the longest record of
/// GHCN-Daily with every element takes about 30 MB by station, and a run stays within 64 MiB of memory.
pub const MAX_BYTES: usize = 48 * 1024 * 1024;

const MARK: &[u8] = b"\xef\xbb\xbf";

/// What the first bytes of a file say about how to read it.
#[derive(Debug)]
pub enum Opening<P> {
    /// Too little to tell: more bytes are needed.
    More,
    /// It must be read as a whole.
    Whole,
    /// It is one station's, and read line by line.
    Lines,
    /// It is read by rows.
    Rows(P),
    /// It is no record, by its first row; a [`Stream::failing`] still looks for what the general reader would say first.
    Fault(ReadError),
}

/// The whole lines at the beginning of a file, behind its byte-order mark.
pub(super) struct Head<'a> {
    /// Its name and these lines.
    pub(super) source: Source<'a>,
    /// Bytes of the mark.
    marked: usize,
}

impl<'a> Head<'a> {
    /// `None`: no line that is not blank.
    pub(super) fn of(name: &'a str, head: &'a [u8]) -> Option<Self> {
        let marked = if head.starts_with(MARK) {
            MARK.len()
        } else {
            0
        };
        let whole = memchr::memrchr(b'\n', head).map_or(0, |end| end + 1);
        let bytes = head.get(marked..whole).unwrap_or_default();
        let mut lines = bytes.split(|byte| *byte == b'\n');
        let is_there = lines.any(|line| !line.trim_ascii().is_empty());
        is_there.then_some(Self {
            source: Source { name, bytes },
            marked,
        })
    }

    /// Whether a quote is open at its end.
    pub(super) fn is_open(&self) -> bool {
        is_open(self.source.bytes)
    }

    /// What `layout` makes of the first record, and where the rows begin: behind it, if it is a header; `None`: no record
    /// yet.
    pub(super) fn first<L>(
        &self,
        layout: impl FnOnce(Source<'_>, &Fields<'_>) -> Result<L, ReadError>,
        is_header: impl FnOnce(&L) -> bool,
    ) -> Result<Option<(L, First)>, ReadError> {
        let head = self.source;
        let mut reader = reader_of(head);
        let mut record = csv::ByteRecord::new();
        if !next_row(&mut reader, &mut record) {
            return Ok(None);
        }
        let mut end = usize::try_from(reader.position().byte()).unwrap_or(0);
        if head.bytes.get(end.saturating_sub(1)..=end) == Some(b"\r\n") {
            end += 1;
        }
        let header = Source {
            name: head.name,
            bytes: head.bytes.get(..end).unwrap_or_default(),
        };
        check_text(header)?;
        check_lines(header)?;
        let first = Fields::new(head, &record);
        check_closed(head, first.at)?;
        let layout = layout(head, &first)?;
        let (start, line) = if is_header(&layout) {
            (self.marked + end, 1 + lines_of(header.bytes))
        } else {
            (self.marked, 1)
        };
        let name = head.name.to_owned();
        Ok(Some((layout, First { name, start, line })))
    }
}

/// Where the rows of a file begin.
#[derive(Debug, Clone)]
pub struct First {
    name: String,
    start: usize,
    line: u64,
}

impl First {
    /// The file's name, as the user gave it.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Bytes of the file before the first row.
    #[must_use]
    pub fn start(&self) -> usize {
        self.start
    }
}

/// A station that is whole: its name, and its reading; `None` where it has nothing to read.
pub type Done<R> = (Vec<u8>, Option<R>);

/// What takes the stations of a block: each name, and its reading.
pub type Each<'e, R> = dyn FnMut(&[u8], Option<R>) + 'e;

/// How the rows of a file are to be read, from its first record.
pub trait Plan {
    /// What a station gives.
    type Reading;

    /// Where the rows begin.
    fn first(&self) -> &First;

    /// What must be said of the file as a whole, by its header.
    fn notices(&self) -> &[Notice];

    /// The column that names the station, if there is one.
    fn station_column(&self) -> Option<usize>;

    /// Whether every row, whatever it holds, belongs to the station that it names: then a row of another one ends a station.
    fn counts_every_row(&self) -> bool;

    /// What the general reader says of a file without any reading.
    fn nothing(&self) -> &'static str;

    /// Reads whole rows by the fast lane and gives each station, in order, to `emit`; the number of rows, or `None` where
    /// the general reader must judge (what was given to `emit` is then void).
    fn fast(&self, bytes: &[u8], emit: &mut Each<'_, Self::Reading>) -> Option<u64>;

    /// The general reader over the rows of a block; each station that is whole goes to `emit`. Where the last one began
    /// and the names of the others come back, unless it is the end of the file, where the last one is whole too.
    ///
    /// # Errors
    /// [`ReadError`], with lines counted from the first of the block.
    fn walk(
        &self,
        bytes: &[u8],
        names: Names,
        is_end: bool,
        emit: &mut dyn FnMut(Done<Self::Reading>),
    ) -> Result<(Option<usize>, Names), ReadError>;
}

/// Stations as they are gathered from rows by the general reader.
pub(super) trait Gather {
    type Reading;

    fn row(&mut self, source: Source<'_>, fields: &Fields<'_>) -> Result<(), ReadError>;

    /// Ends the station that is being read.
    fn finish(&mut self, source: Source<'_>) -> Result<(), ReadError>;

    /// The stations that are whole so far, for good.
    fn whole(&mut self) -> Vec<Done<Self::Reading>>;

    /// Leaves the station that is being read as if none of its rows had been seen: where it begins, and the names of
    /// the others.
    fn into_unfinished(self) -> (Option<usize>, Names);
}

/// [`Plan::walk`] over all rows.
pub(super) fn walk<G: Gather>(
    source: Source<'_>,
    mut stations: G,
    is_end: bool,
    emit: &mut dyn FnMut(Done<G::Reading>),
) -> Result<(Option<usize>, Names), ReadError> {
    check_text(source)?;
    check_lines(source)?;
    let (mut reader, mut record) = (reader_of(source), csv::ByteRecord::new());
    let mut last = None;
    while next_row(&mut reader, &mut record) {
        let fields = Fields::new(source, &record);
        last = Some(fields.at);
        stations.row(source, &fields)?;
        stations.whole().into_iter().for_each(&mut *emit);
    }
    if is_end {
        if let Some(last) = last {
            check_closed(source, last)?;
        }
        stations.finish(source)?;
        stations.whole().into_iter().for_each(emit);
    }
    Ok(stations.into_unfinished())
}

/// Reads a block as if it were all there is, and gives each station to `work`.
#[must_use]
pub fn read_block<P: Plan, T>(
    plan: &P,
    bytes: Vec<u8>,
    work: impl Fn(&P::Reading) -> T,
) -> Block<T> {
    let read = if bytes.len() > MAX_BYTES {
        None
    } else {
        let fast = read_fast(plan, &bytes, &work);
        fast.or_else(|| read_alone(plan, &bytes, &work))
    };
    Block {
        bytes,
        read,
        is_ended: false,
    }
}

fn read_fast<P: Plan, T>(
    plan: &P,
    bytes: &[u8],
    work: &impl Fn(&P::Reading) -> T,
) -> Option<BlockRead<T>> {
    let mut stations = Vec::new();
    let lines = plan.fast(bytes, &mut |name, reading| {
        stations.push((name.to_vec(), reading.as_ref().map(work)));
    })?;
    Some(BlockRead {
        stations,
        lines,
        is_fast: true,
    })
}

/// By the general reader, if the block can stand for itself.
fn read_alone<P: Plan, T>(
    plan: &P,
    bytes: &[u8],
    work: &impl Fn(&P::Reading) -> T,
) -> Option<BlockRead<T>> {
    if bytes.starts_with(MARK) || is_open(bytes) {
        return None;
    }
    let mut stations = Vec::new();
    let walked = plan.walk(bytes, Names::default(), true, &mut |(name, reading)| {
        stations.push((name, reading.as_ref().map(work)));
    });
    let lines = lines_of(bytes);
    let is_fast = false;
    walked.is_ok().then_some(BlockRead {
        stations,
        lines,
        is_fast,
    })
}

/// Bytes of whole rows, and what they say if they stand for themselves.
#[derive(Debug)]
pub struct Block<T> {
    bytes: Vec<u8>,
    read: Option<BlockRead<T>>,
    /// Whether it is known by its bytes alone that the next line is another station's.
    is_ended: bool,
}

impl<T> Block<T> {
    /// A block that no plan can read, of a file whose first record is wrong.
    #[must_use]
    pub fn unread(bytes: Vec<u8>) -> Self {
        Self {
            bytes,
            read: None,
            is_ended: false,
        }
    }

    /// The same, where [`Blocks::is_ended`] says that the next line is another station's; its answers need not wait for the
    /// block behind it.
    #[must_use]
    pub fn ended(self, is_ended: bool) -> Self {
        Self { is_ended, ..self }
    }
}

/// The stations of a block in their order, each with its answer unless it has no minimum.
#[derive(Debug)]
struct BlockRead<T> {
    stations: Vec<(Vec<u8>, Option<T>)>,
    lines: u64,
    /// Whether the fast lane read it: then no quote is in it.
    is_fast: bool,
}

/// The blocks of a file brought together in their order.
#[derive(Debug)]
pub struct Stream<'p, P, T> {
    name: &'p str,
    plan: Option<&'p P>,
    /// The block whose last station may go on.
    held: Option<Block<T>>,
    /// Line of the file on which it begins.
    line: u64,
    /// Names of the stations before it.
    names: Names,
    /// Bytes that were held when they were last read again and gave nothing.
    tried: usize,
    bytes: usize,
    is_empty: bool,
    failure: Option<ReadError>,
    /// The buffer of the block that was released last.
    spare: Option<Vec<u8>>,
}

impl<'p, P: Plan, T> Stream<'p, P, T> {
    /// The rows of a plan.
    #[must_use]
    pub fn new(plan: &'p P) -> Self {
        let first = plan.first();
        let (line, bytes) = (first.line, first.start);
        Self::with(&first.name, Some(plan), (line, bytes), None)
    }

    /// A file whose first record is wrong, from its first byte behind a byte-order mark.
    #[must_use]
    pub fn failing(name: &'p str, error: ReadError) -> Self {
        Self::with(name, None, (1, 0), Some(error))
    }

    fn with(
        name: &'p str,
        plan: Option<&'p P>,
        (line, bytes): (u64, usize),
        failure: Option<ReadError>,
    ) -> Self {
        Self {
            name,
            plan,
            held: None,
            line,
            names: Names::default(),
            tried: 0,
            bytes,
            is_empty: true,
            failure,
            spare: None,
        }
    }

    /// Whether an error is found and nothing that may come can change it. `may_fail`: the bytes come out of a packed file,
    /// whose end may show that it is none.
    #[must_use]
    pub fn is_settled(&self, may_fail: bool) -> bool {
        self.failure.as_ref().is_some_and(|error| {
            let is_first = matches!(error.problem, ReadProblem::NotText { .. });
            (is_first && !may_fail) || self.bytes > MAX_BYTES
        })
    }

    /// The buffer of a block that is done with, for [`Blocks::reuse`].
    pub fn spare(&mut self) -> Option<Vec<u8>> {
        self.spare.take()
    }

    /// Takes the next block; answers that no later block can change go to `take`.
    ///
    /// # Errors
    /// Those of `take`.
    pub fn push<E>(
        &mut self,
        block: Block<T>,
        work: &impl Fn(&P::Reading) -> T,
        take: &mut impl FnMut(T) -> Result<(), E>,
    ) -> Result<(), E> {
        self.bytes = self.bytes.saturating_add(block.bytes.len());
        if self.failure.is_some() {
            self.look_through(&block.bytes);
            return Ok(());
        }
        if block.bytes.len() > MAX_BYTES {
            self.fail(self.too_long(), &[]);
            return Ok(());
        }
        let Some(mut held) = self.held.take() else {
            return self.hold_or_release(block, take);
        };
        if is_change(&held, &block) && self.admit(&held) {
            self.release(held, take)?;
            return self.hold_or_release(block, take);
        }
        held.bytes.extend_from_slice(&block.bytes);
        if held.bytes.len() < 2 * self.tried && held.bytes.len() <= MAX_BYTES {
            held.read = None;
            self.held = Some(held);
            return Ok(());
        }
        self.read_again(&held.bytes, false, work, take)
    }

    /// Holds a block until the next shows whether its last station goes on, unless that is known: what stands before it is
    /// whole, it has no quote, and the next line is another station's.
    fn hold_or_release<E>(
        &mut self,
        block: Block<T>,
        take: &mut impl FnMut(T) -> Result<(), E>,
    ) -> Result<(), E> {
        let is_fast = block.read.as_ref().is_some_and(|read| read.is_fast);
        let counts = self.plan.is_some_and(Plan::counts_every_row);
        if is_fast && counts && block.is_ended && self.admit(&block) {
            return self.release(block, take);
        }
        self.held = Some(block);
        Ok(())
    }

    /// Ends the file.
    ///
    /// # Errors
    /// Those of `take`, and what the general reader says of the file.
    pub fn finish<E: From<ReadError>>(
        mut self,
        work: &impl Fn(&P::Reading) -> T,
        take: &mut impl FnMut(T) -> Result<(), E>,
    ) -> Result<(), E> {
        if let Some(held) = self.held.take() {
            if held.read.is_some() && self.admit(&held) {
                self.release(held, take)?;
            } else {
                self.read_again(&held.bytes, true, work, take)?;
            }
        }
        if let Some(error) = self.failure {
            return Err(error.into());
        }
        if self.is_empty {
            let expected = self.plan.map_or("a record", Plan::nothing);
            let problem = ReadProblem::Absent { expected };
            let place = Place::whole(self.name);
            return Err(ReadError { place, problem }.into());
        }
        Ok(())
    }

    /// Adds a block's names to those that are known, if all of them are new.
    fn admit(&mut self, held: &Block<T>) -> bool {
        let stations = held.read.iter().flat_map(|read| &read.stations);
        for (count, (name, _)) in stations.clone().enumerate() {
            if self.names.insert(name) != Entry::New {
                stations
                    .take(count)
                    .for_each(|(name, _)| self.names.remove(name));
                return false;
            }
        }
        true
    }

    fn release<E>(
        &mut self,
        held: Block<T>,
        take: &mut impl FnMut(T) -> Result<(), E>,
    ) -> Result<(), E> {
        self.tried = 0;
        self.spare = Some(held.bytes);
        let Some(read) = held.read else {
            return Ok(());
        };
        self.line += read.lines;
        for answer in read.stations.into_iter().filter_map(|station| station.1) {
            self.is_empty = false;
            take(answer)?;
        }
        Ok(())
    }

    /// Reads what is held by the general reader, with the names of the stations before; only the last station, which may
    /// go on, stays held.
    fn read_again<E>(
        &mut self,
        bytes: &[u8],
        is_end: bool,
        work: &impl Fn(&P::Reading) -> T,
        take: &mut impl FnMut(T) -> Result<(), E>,
    ) -> Result<(), E> {
        let Some(plan) = self.plan else {
            return Ok(());
        };
        let (mut taken, mut count) = (Ok(()), 0);
        let mut emit = |(_, reading): Done<P::Reading>| {
            if let Some(reading) = reading.filter(|_| taken.is_ok()) {
                count += 1;
                taken = take(work(&reading));
            }
        };
        let walked = if !is_end && is_open(bytes) {
            Ok((Some(0), core::mem::take(&mut self.names)))
        } else {
            self.walk_marked(plan, bytes, is_end, &mut emit)
        };
        self.is_empty &= count == 0;
        taken?;
        match walked {
            Err(error) => self.fail(error, bytes),
            Ok((unfinished, names)) => {
                self.names = names;
                self.hold(plan, bytes, unfinished, work);
            }
        }
        Ok(())
    }

    /// The general reader over what is held; a byte-order mark within the file is no mark, but its reader would drop one at
    /// the start of what it is given.
    fn walk_marked(
        &mut self,
        plan: &P,
        bytes: &[u8],
        is_end: bool,
        emit: &mut dyn FnMut(Done<P::Reading>),
    ) -> Result<(Option<usize>, Names), ReadError> {
        let names = core::mem::take(&mut self.names);
        if self.line == 1 || !bytes.starts_with(MARK) {
            return plan.walk(bytes, names, is_end, emit);
        }
        let shifted = [b"\n", bytes].concat();
        match plan.walk(&shifted, names, is_end, emit) {
            Ok((at, names)) => Ok((at.map(|at| at.saturating_sub(1)), names)),
            Err(mut error) => {
                error.place.line = error.place.line.saturating_sub(1);
                Err(error)
            }
        }
    }

    /// Holds the last station, which may go on.
    fn hold(
        &mut self,
        plan: &P,
        bytes: &[u8],
        unfinished: Option<usize>,
        work: &impl Fn(&P::Reading) -> T,
    ) {
        let at = unfinished.unwrap_or(bytes.len());
        let (before, rest) = bytes.split_at_checked(at).unwrap_or((bytes, &[]));
        self.line += lines_of(before);
        self.tried = if at == 0 { rest.len() } else { 0 };
        if rest.len() > MAX_BYTES {
            self.fail(self.too_long(), &[]);
        } else if !rest.is_empty() {
            self.held = Some(read_block(plan, rest.to_vec(), work));
        }
    }

    fn too_long(&self) -> ReadError {
        let problem = ReadProblem::TooMuch {
            limit: MAX_BYTES as u64,
            of: "bytes in the rows of a station",
        };
        let place = Place::whole(self.name);
        ReadError { place, problem }
    }

    /// Keeps an error in `bytes`, which are what is held, with its line in the file.
    fn fail(&mut self, mut error: ReadError, bytes: &[u8]) {
        if error.place.line > 0 {
            error.place.line += self.line - 1;
        }
        self.failure = Some(error);
        self.line += lines_of(bytes);
    }

    /// Looks in what follows an error for what the general reader would have said before it.
    fn look_through(&mut self, bytes: &[u8]) {
        let name = self.name;
        let source = Source { name, bytes };
        let (mut is_text, mut is_long) = (true, false);
        if let Some(error) = &self.failure {
            is_text = !matches!(error.problem, ReadProblem::NotText { .. });
            is_long = matches!(error.problem, ReadProblem::TooMuch { of: LONG_LINE, .. });
        }
        let found = match (is_text, is_long) {
            (true, true) => check_text(source),
            (true, false) => check_text(source).and_then(|()| check_lines(source)),
            (false, _) => Ok(()),
        };
        match found {
            Err(error) => self.fail(error, bytes),
            Ok(()) => self.line += lines_of(bytes),
        }
    }
}

/// Whether the second block begins with another station than the first ends with, and both are known.
fn is_change<T>(held: &Block<T>, block: &Block<T>) -> bool {
    let (Some(held), Some(block)) = (&held.read, &block.read) else {
        return false;
    };
    match (held.stations.last(), block.stations.first()) {
        (Some((last, _)), Some((first, _))) => last != first,
        _ => false,
    }
}

/// Lines that end in `bytes`, with LF, CR LF or CR.
fn lines_of(bytes: &[u8]) -> u64 {
    let is_alone = |at: &usize| bytes.get(at + 1) != Some(&b'\n');
    let alone = memchr::memchr_iter(b'\r', bytes).filter(is_alone).count();
    (memchr::memchr_iter(b'\n', bytes).count() + alone) as u64
}

fn check_text(source: Source<'_>) -> Result<(), ReadError> {
    core::str::from_utf8(source.bytes)
        .map(|_| ())
        .map_err(|error| {
            let at = error.valid_up_to();
            let byte = source.bytes.get(at).copied().unwrap_or_default();
            fault_at(source, at, ReadProblem::NotText { byte })
        })
}
