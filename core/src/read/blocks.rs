//! A file cut into blocks of whole lines, where the station changes: quickly, by looking at few of the lines.
//!
//! Where a block is cut decides nothing but the speed: [`super::stream::Stream`] puts together what was cut too early.

use super::stream::Plan;

/// Where a file may be cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Cuts {
    /// Between lines that differ in this column.
    Column(usize),
    /// Nowhere: the file has one station.
    Nowhere,
    /// After any line.
    AnyLine,
}

/// Bytes of a file as they come, and the blocks they make.
///
/// ```
/// use fairspell::read::{daily::{DailyOptions, open}, stream::{Blocks, Opening, Plan as _}};
/// let file = b"station,date,tmin_f\nA,2027-04-01,33\nA,2027-04-02,28\nB,2027-04-01,30\n";
/// let Opening::Rows(plan) = open("a.csv", file, false, DailyOptions::default()) else { unreachable!() };
/// let mut blocks = Blocks::new(&plan, 1);
/// blocks.room().extend_from_slice(&file[plan.first().start()..]);
/// assert_eq!(blocks.cut().as_deref(), Some(&b"A,2027-04-01,33\nA,2027-04-02,28\n"[..]));
/// assert_eq!((blocks.cut(), blocks.rest()), (None, b"B,2027-04-01,30\n".to_vec()));
/// ```
#[derive(Debug)]
pub struct Blocks {
    cuts: Cuts,
    least: usize,
    held: Vec<u8>,
    /// Bytes that were searched for line ends, and the end of the last line found.
    searched: usize,
    whole: usize,
}

impl Blocks {
    /// Blocks of the rows of a plan, of at least so many bytes where the file has as many.
    #[must_use]
    pub fn new(plan: &impl Plan, least: usize) -> Self {
        let cuts = plan.station_column().map_or(Cuts::Nowhere, Cuts::Column);
        Self::with(cuts, least)
    }

    /// Blocks of any lines, of a file whose first record is wrong.
    #[must_use]
    pub fn of_lines(least: usize) -> Self {
        Self::with(Cuts::AnyLine, least)
    }

    fn with(cuts: Cuts, least: usize) -> Self {
        Self {
            cuts,
            least: least.max(1),
            held: Vec::new(),
            searched: 0,
            whole: 0,
        }
    }

    /// The bytes that are held, to which the caller appends more.
    pub fn room(&mut self) -> &mut Vec<u8> {
        &mut self.held
    }

    /// The next block; `None` until more bytes come.
    pub fn cut(&mut self) -> Option<Vec<u8>> {
        let fresh = self.held.get(self.searched..).unwrap_or_default();
        if let Some(end) = memchr::memrchr(b'\n', fresh) {
            self.whole = self.searched + end + 1;
        }
        self.searched = self.held.len();
        let lines = self.held.get(..self.whole).unwrap_or_default();
        if lines.len() < self.least {
            return None;
        }
        let end = match self.cuts {
            Cuts::Nowhere => return None,
            Cuts::AnyLine => lines.len(),
            Cuts::Column(column) => change(lines, self.least, column)?,
        };
        let rest = self.held.get(end..).unwrap_or_default().to_vec();
        self.whole -= end;
        self.searched -= end;
        self.held.truncate(end);
        Some(core::mem::replace(&mut self.held, rest))
    }

    /// Whether the block that was cut last is known to end with its last station: the next line is another's, without a
    /// quote or a lone CR that could make it anything else.
    #[must_use]
    pub fn is_ended(&self) -> bool {
        let end = memchr::memchr(b'\n', &self.held).unwrap_or(0);
        let line = self.held.get(..end).unwrap_or_default();
        let line = line.strip_suffix(b"\r").unwrap_or(line);
        let is_plain = memchr::memchr2(b'"', b'\r', line).is_none() && line.is_ascii();
        matches!(self.cuts, Cuts::Column(_)) && is_plain && !line.trim_ascii().is_empty()
    }

    /// Goes on in a buffer that is done with, whose room is used again.
    pub fn reuse(&mut self, mut spare: Vec<u8>) {
        if spare.capacity() > self.held.capacity() {
            spare.clear();
            spare.extend_from_slice(&self.held);
            self.held = spare;
        }
    }

    /// What is held at the end of the file.
    #[must_use]
    pub fn rest(self) -> Vec<u8> {
        self.held
    }
}

/// Start of a line, behind the line that holds byte `least` - 1, whose station differs from the one before; found by
/// halving between two lines of different stations.
fn change(lines: &[u8], least: usize, column: usize) -> Option<usize> {
    let mut same = line_start(lines, least - 1);
    let station = station_at(lines, same, column);
    let is_same = |at: usize| station_at(lines, at, column) == station;
    let mut other = line_start(lines, lines.len() - 1);
    if other <= same || is_same(other) {
        return None;
    }
    loop {
        let middle = line_start(lines, same + (other - same) / 2);
        let next = if middle > same {
            middle
        } else {
            let rest = lines.get(same..other).unwrap_or_default();
            same + memchr::memchr(b'\n', rest).map_or(rest.len(), |end| end + 1)
        };
        if next >= other {
            return Some(other);
        }
        if is_same(next) {
            same = next;
        } else {
            other = next;
        }
    }
}

/// Start of the line that holds the byte `at`.
fn line_start(lines: &[u8], at: usize) -> usize {
    let before = lines.get(..at).unwrap_or_default();
    memchr::memrchr(b'\n', before).map_or(0, |end| end + 1)
}

/// The field of the line at `at` that names its station.
fn station_at(lines: &[u8], at: usize, column: usize) -> &[u8] {
    let line = lines.get(at..).unwrap_or_default();
    let end = memchr::memchr(b'\n', line).unwrap_or(line.len());
    let line = line.get(..end).unwrap_or_default();
    let field = line.split(|byte| *byte == b',').nth(column);
    field.unwrap_or_default().trim_ascii()
}
