//! Daily records of many stations.

use fairspell::error::ReadProblem;
use fairspell::read::daily::{DailyOptions, DailyPlan, DailyReading, open, read_daily_each};
use fairspell::read::stream::Opening;
use fairspell::read::{Notice, Source};

use super::sparse::Sparse;
use super::{Kind, Take};
use crate::failure::Failure;

/// No daily record is read line by line.
pub enum NoLines {}

impl Kind for DailyOptions {
    type Plan = DailyPlan;
    type Reading = DailyReading;
    type Later = Sparse;
    type Lines = NoLines;
    const AHEAD: usize = 4;

    fn open(self, name: &str, head: &[u8], is_all: bool) -> Opening<DailyPlan> {
        open(name, head, is_all, self)
    }

    fn whole(
        self,
        name: &str,
        bytes: &[u8],
        take: &mut Take<'_, DailyReading>,
    ) -> Result<Vec<Notice>, Failure> {
        read_daily_each(Source { name, bytes }, self, |reading, of_file| {
            take(&reading, of_file)
        })
    }

    fn lines(self, _: &str) -> Option<NoLines> {
        None
    }

    fn push(lines: &mut NoLines, _: &[u8]) -> Result<(), Failure> {
        match *lines {}
    }

    fn finish(lines: NoLines) -> Result<DailyReading, Failure> {
        match lines {}
    }

    fn put_aside(reading: &DailyReading) -> Option<Sparse> {
        Sparse::of(reading)
    }

    fn bring_back(later: &Sparse) -> Result<DailyReading, ReadProblem> {
        later.reading().map_err(|_| ReadProblem::Absent {
            expected: "at least one day with a minimum",
        })
    }
}
