//! Past hours of many stations.

use chrono_tz::Tz;
use fairspell::error::ReadProblem;
use fairspell::read::ghcnh::GhcnHourly;
use fairspell::read::past::{HourPlan, PastReading, open, read_past_each};
use fairspell::read::stream::Opening;
use fairspell::read::{Notice, Source};

use super::{Kind, Take};
use crate::failure::Failure;

/// What the user says about a record of past hours.
#[derive(Debug, Clone, Copy)]
pub struct HourOptions {
    /// The zone of local times.
    pub zone: Option<Tz>,
}

/// No station is put aside: the core bounds the hours of a station by its rows.
pub enum Never {}

impl Kind for HourOptions {
    type Plan = HourPlan;
    type Reading = PastReading;
    type Later = Never;
    type Lines = GhcnHourly;
    const AHEAD: usize = 0;

    fn open(self, name: &str, head: &[u8], is_all: bool) -> Opening<HourPlan> {
        open(name, head, is_all, self.zone)
    }

    fn whole(
        self,
        name: &str,
        bytes: &[u8],
        take: &mut Take<'_, PastReading>,
    ) -> Result<Vec<Notice>, Failure> {
        read_past_each(Source { name, bytes }, self.zone, take)
    }

    fn lines(self, name: &str) -> Option<GhcnHourly> {
        Some(GhcnHourly::new(name))
    }

    fn push(lines: &mut GhcnHourly, bytes: &[u8]) -> Result<(), Failure> {
        Ok(lines.push(bytes)?)
    }

    fn finish(lines: GhcnHourly) -> Result<PastReading, Failure> {
        Ok(lines.finish()?)
    }

    fn put_aside(_: &PastReading) -> Option<Never> {
        None
    }

    fn bring_back(later: &Never) -> Result<PastReading, ReadProblem> {
        match *later {}
    }
}
