//! A file of any length read block by block, on as many threads as the caller has, with the answers and the errors of
//! the general reader.
//!
//! The caller reads bytes, finds the [`Opening`], cuts [`super::Blocks`], has each block read on its own
//! ([`Plan::read_block`], on any thread), and gives them in the order of the file to a [`Stream`]. That one knows what
//! no block can know: whether a station goes on in the next block or came before, whether a quote is open, which line it
//! is. Where a block does not stand for itself, the general reader reads it again together with its neighbours.
//!
//! The general reader looks for bytes that are no text, and then for lines that are too long, before it reads any row;
//! so once an error is found, the rest of the file is looked through for those, up to what the general reader reads.

use super::columns::Layout;
use super::lane::Lane;
use super::names::{Entry, Names};
use super::record::{Shape, Stations};
use super::{DailyOptions, DailyReading, MAX_BYTES, fixed, header};
use crate::error::{Place, ReadError, ReadProblem};
use crate::read::rows::{
    Fields, LONG_LINE, check_closed, check_lines, is_open, next_row, reader_of,
};
use crate::read::{Notice, Source, fault_at};

const MARK: &[u8] = b"\xef\xbb\xbf";

/// What the first bytes of a file say about how to read it.
#[derive(Debug)]
pub enum Opening {
    /// Too little to tell: more bytes are needed.
    More,
    /// It must be read as a whole, by [`super::read_daily`]: fixed columns, or a file without a whole line.
    Whole,
    /// It is read by rows.
    Rows(Plan),
    /// It is no record, by its first row; a [`Stream::failing`] still looks for what the general reader would say first.
    Fault(ReadError),
}

impl Opening {
    /// Looks at the first bytes of a file, unpacked; `is_all`: they are all it has.
    ///
    /// ```
    /// use fairspell::read::daily::{DailyOptions, Opening};
    /// let of = |bytes| Opening::of("a.csv", bytes, false, DailyOptions::default());
    /// assert!(matches!(of(b"station,date,tm"), Opening::More));
    /// assert!(matches!(of(b"station,date,tmin_f\n"), Opening::Rows(plan) if plan.start() == 20));
    /// ```
    #[must_use]
    pub fn of(name: &str, head: &[u8], is_all: bool, options: DailyOptions) -> Self {
        let undecided = if is_all { Self::Whole } else { Self::More };
        let marked = if head.starts_with(MARK) {
            MARK.len()
        } else {
            0
        };
        let whole = memchr::memrchr(b'\n', head).map_or(0, |end| end + 1);
        let bytes = head.get(marked..whole).unwrap_or_default();
        let mut lines = bytes.split(|byte| *byte == b'\n');
        if !lines.any(|line| !line.trim_ascii().is_empty()) {
            return undecided;
        }
        if fixed::is_fixed(bytes) {
            return Self::Whole;
        }
        if is_open(bytes) {
            return undecided;
        }
        match Plan::of(Source { name, bytes }, marked, options) {
            Ok(Some(plan)) => Self::Rows(plan),
            Ok(None) => undecided,
            Err(error) => Self::Fault(error),
        }
    }
}

/// How the rows of a file are to be read, from its first record.
#[derive(Debug)]
pub struct Plan {
    name: String,
    layout: Layout,
    shape: Shape,
    lane: Lane,
    start: usize,
    line: u64,
    notices: Vec<Notice>,
}

impl Plan {
    /// The plan of a file whose first records are `head`, which begins behind `marked` bytes of a byte-order mark.
    fn of(
        head: Source<'_>,
        marked: usize,
        options: DailyOptions,
    ) -> Result<Option<Self>, ReadError> {
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
        let layout = Layout::of(head, &first, options)?;
        let notices = header::ignored(head, &first, &layout);
        let (start, line) = if layout.has_header() {
            (marked + end, 1 + lines_of(header.bytes))
        } else {
            (marked, 1)
        };
        let shape = layout.shape(options);
        Ok(Some(Self {
            name: head.name.to_owned(),
            lane: Lane::new(&layout, shape),
            layout,
            shape,
            start,
            line,
            notices: notices.into_iter().collect(),
        }))
    }

    /// Bytes of the file before the first row.
    #[must_use]
    pub fn start(&self) -> usize {
        self.start
    }

    /// What must be said of the file as a whole, by its header.
    #[must_use]
    pub fn notices(&self) -> &[Notice] {
        &self.notices
    }

    #[cfg(test)]
    pub(super) fn lane(&self) -> &Lane {
        &self.lane
    }

    /// The column that names the station, if there is one.
    #[must_use]
    pub fn station_column(&self) -> Option<usize> {
        self.layout.station_column()
    }

    /// Reads a block as if it were all there is, and gives each station to `work`.
    #[must_use]
    pub fn read_block<T>(&self, bytes: Vec<u8>, work: impl Fn(&DailyReading) -> T) -> Block<T> {
        let read = if bytes.len() > MAX_BYTES {
            None
        } else {
            let fast = self.read_fast(&bytes, &work);
            fast.or_else(|| self.read_alone(&bytes, &work))
        };
        Block { bytes, read }
    }

    fn read_fast<T>(
        &self,
        bytes: &[u8],
        work: &impl Fn(&DailyReading) -> T,
    ) -> Option<BlockRead<T>> {
        let mut stations = Vec::new();
        let lines = self.lane.read(bytes, |name, reading| {
            stations.push((name.to_vec(), reading.as_ref().map(work)));
        })?;
        Some(BlockRead { stations, lines })
    }

    /// By the general reader, if the block can stand for itself.
    fn read_alone<T>(
        &self,
        bytes: &[u8],
        work: &impl Fn(&DailyReading) -> T,
    ) -> Option<BlockRead<T>> {
        if bytes.starts_with(MARK) || is_open(bytes) {
            return None;
        }
        let mut stations = Vec::new();
        let walked = self.walk(bytes, Names::default(), true, |name, reading| {
            stations.push((name, reading.as_ref().map(work)));
        });
        let lines = lines_of(bytes);
        walked.is_ok().then_some(BlockRead { stations, lines })
    }

    /// The general reader over the rows of a block; each station that is whole goes to `emit`. Where the last one began
    /// and the names of the others come back, unless it is the end of the file, where the last one is whole too.
    fn walk(
        &self,
        bytes: &[u8],
        names: Names,
        is_end: bool,
        mut emit: impl FnMut(Vec<u8>, Option<DailyReading>),
    ) -> Result<(Option<usize>, Names), ReadError> {
        let name = self.name.as_str();
        let source = Source { name, bytes };
        check_text(source)?;
        check_lines(source)?;
        let mut stations = Stations::after(self.shape, names);
        let (mut reader, mut record) = (reader_of(source), csv::ByteRecord::new());
        let mut last = None;
        while next_row(&mut reader, &mut record) {
            let fields = Fields::new(source, &record);
            last = Some(fields.at);
            self.layout.row(source, &fields, &mut stations)?;
            for (name, reading) in stations.whole() {
                emit(name, reading);
            }
        }
        if is_end {
            if let Some(last) = last {
                check_closed(source, last)?;
            }
            stations.finish(source)?;
            for (name, reading) in stations.whole() {
                emit(name, reading);
            }
        }
        Ok(stations.into_unfinished())
    }
}

/// Bytes of whole rows, and what they say if they stand for themselves.
#[derive(Debug)]
pub struct Block<T> {
    bytes: Vec<u8>,
    read: Option<BlockRead<T>>,
}

impl<T> Block<T> {
    /// A block that no plan can read, of a file whose first record is wrong.
    #[must_use]
    pub fn unread(bytes: Vec<u8>) -> Self {
        Self { bytes, read: None }
    }
}

/// The stations of a block in their order, each with its answer unless it has no minimum.
#[derive(Debug)]
struct BlockRead<T> {
    stations: Vec<(Vec<u8>, Option<T>)>,
    lines: u64,
}

/// The blocks of a file brought together in their order.
#[derive(Debug)]
pub struct Stream<'p, T> {
    name: &'p str,
    plan: Option<&'p Plan>,
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
}

impl<'p, T> Stream<'p, T> {
    /// The rows of a plan.
    #[must_use]
    pub fn new(plan: &'p Plan) -> Self {
        let (line, bytes) = (plan.line, plan.start);
        Self::with(&plan.name, Some(plan), (line, bytes), None)
    }

    /// A file whose first record is wrong, from its first byte behind a byte-order mark.
    #[must_use]
    pub fn failing(name: &'p str, error: ReadError) -> Self {
        Self::with(name, None, (1, 0), Some(error))
    }

    fn with(
        name: &'p str,
        plan: Option<&'p Plan>,
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

    /// Takes the next block; answers that no later block can change go to `take`.
    ///
    /// # Errors
    /// Those of `take`.
    pub fn push<E>(
        &mut self,
        block: Block<T>,
        work: &impl Fn(&DailyReading) -> T,
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
            self.held = Some(block);
            return Ok(());
        };
        if is_change(&held, &block) && self.admit(&held) {
            self.release(held, take)?;
            self.held = Some(block);
            return Ok(());
        }
        held.bytes.extend_from_slice(&block.bytes);
        if held.bytes.len() < 2 * self.tried && held.bytes.len() <= MAX_BYTES {
            held.read = None;
            self.held = Some(held);
            return Ok(());
        }
        self.read_again(&held.bytes, false, work, take)
    }

    /// Ends the file.
    ///
    /// # Errors
    /// Those of `take`, and what the general reader says of the file.
    pub fn finish<E: From<ReadError>>(
        mut self,
        work: &impl Fn(&DailyReading) -> T,
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
            let problem = ReadProblem::Absent {
                expected: "at least one day with a minimum",
            };
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
        work: &impl Fn(&DailyReading) -> T,
        take: &mut impl FnMut(T) -> Result<(), E>,
    ) -> Result<(), E> {
        let Some(plan) = self.plan else {
            return Ok(());
        };
        let (mut taken, mut count) = (Ok(()), 0);
        let emit = |_: Vec<u8>, reading: Option<DailyReading>| {
            if let Some(reading) = reading.filter(|_| taken.is_ok()) {
                count += 1;
                taken = take(work(&reading));
            }
        };
        let walked = if !is_end && is_open(bytes) {
            Ok((Some(0), core::mem::take(&mut self.names)))
        } else {
            self.walk_marked(plan, bytes, is_end, emit)
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
        plan: &Plan,
        bytes: &[u8],
        is_end: bool,
        emit: impl FnMut(Vec<u8>, Option<DailyReading>),
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
        plan: &Plan,
        bytes: &[u8],
        unfinished: Option<usize>,
        work: &impl Fn(&DailyReading) -> T,
    ) {
        let at = unfinished.unwrap_or(bytes.len());
        let (before, rest) = bytes.split_at_checked(at).unwrap_or((bytes, &[]));
        self.line += lines_of(before);
        self.tried = if at == 0 { rest.len() } else { 0 };
        if rest.len() > MAX_BYTES {
            self.fail(self.too_long(), &[]);
        } else if !rest.is_empty() {
            self.held = Some(plan.read_block(rest.to_vec(), work));
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
