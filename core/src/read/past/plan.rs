//! The plan of a record of past hours that is read by rows.

use chrono_tz::Tz;

use super::super::csv::header::{Header, Role};
use super::super::ghcnh::is_header;
use super::super::names::Names;
use super::super::rows::Fields;
use super::super::stream::{Done, Each, First, Head, Opening, Plan, walk};
use super::super::{Notice, Source};
use super::PastReading;
use super::gather::{Stations, ignored};
use super::lane::Lane;
use crate::error::ReadError;

/// How the rows of a record of past hours are to be read.
#[derive(Debug)]
pub struct HourPlan {
    first: First,
    header: Header,
    zone: Option<Tz>,
    lane: Option<Lane>,
    notices: Vec<Notice>,
}

/// Looks at the first bytes of a record of past hours, unpacked; `is_all`: they are all it has. What is no CSV is read as
/// a whole, by [`super::read_past_each`].
///
/// ```
/// use fairspell::read::{past::open, stream::{Opening, Plan as _}};
/// let of = |bytes| open("a.csv", bytes, false, None);
/// assert!(matches!(of(b"station,time,te"), Opening::More));
/// assert!(matches!(of(b"station,time,wind_ms\n"), Opening::Rows(plan) if plan.first().start() == 21));
/// ```
#[must_use]
pub fn open(name: &str, head: &[u8], is_all: bool, zone: Option<Tz>) -> Opening<HourPlan> {
    let undecided = if is_all {
        Opening::Whole
    } else {
        Opening::More
    };
    let text = head.strip_prefix(b"\xef\xbb\xbf").unwrap_or(head);
    if let Some(b'{' | b'[') = text.iter().find(|byte| !byte.is_ascii_whitespace()) {
        return Opening::Whole;
    }
    let Some(head) = Head::of(name, head) else {
        return undecided;
    };
    if is_header(head.source.bytes) {
        return Opening::Lines;
    }
    if head.is_open() {
        return undecided;
    }
    let header = |source: Source<'_>, first: &Fields<'_>| {
        let header = Header::read(source, first)?;
        let notices = ignored(source, &header);
        Ok((header, notices))
    };
    match head.first(header, |_| true) {
        Ok(Some(((header, notices), first))) => Opening::Rows(HourPlan {
            first,
            lane: Lane::new(&header),
            header,
            zone,
            notices,
        }),
        Ok(None) => undecided,
        Err(error) => Opening::Fault(error),
    }
}

impl Plan for HourPlan {
    type Reading = PastReading;

    fn first(&self) -> &First {
        &self.first
    }

    fn notices(&self) -> &[Notice] {
        &self.notices
    }

    fn station_column(&self) -> Option<usize> {
        self.header.position(Role::Station)
    }

    fn counts_every_row(&self) -> bool {
        true
    }

    fn nothing(&self) -> &'static str {
        super::NOTHING
    }

    fn fast(&self, bytes: &[u8], emit: &mut Each<'_, PastReading>) -> Option<u64> {
        self.lane.as_ref()?.read(bytes, emit)
    }

    fn walk(
        &self,
        bytes: &[u8],
        names: Names,
        is_end: bool,
        emit: &mut dyn FnMut(Done<PastReading>),
    ) -> Result<(Option<usize>, Names), ReadError> {
        let source = Source {
            name: self.first.name(),
            bytes,
        };
        let stations = Stations::after(source, self.zone, &self.header, names);
        walk(source, stations, is_end, emit)
    }
}
