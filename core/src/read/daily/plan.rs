//! The plan of a daily record that is read by rows.

use super::columns::Layout;
use super::lane::Lane;
use super::record::{Shape, Stations};
use super::{DailyOptions, DailyReading, fixed, header};
use crate::error::ReadError;
use crate::read::names::Names;
use crate::read::rows::Fields;
use crate::read::stream::{Done, Each, First, Gather, Head, Opening, Plan, walk};
use crate::read::{Notice, Source};

/// How the rows of a daily record are to be read.
#[derive(Debug)]
pub struct DailyPlan {
    first: First,
    layout: Layout,
    shape: Shape,
    lane: Lane,
    notices: Vec<Notice>,
}

/// Looks at the first bytes of a daily record, unpacked; `is_all`: they are all it has. A record in fixed columns is read
/// as a whole, by [`super::read_daily`].
///
/// ```
/// use fairspell::read::{daily::{DailyOptions, open}, stream::{Opening, Plan as _}};
/// let of = |bytes| open("a.csv", bytes, false, DailyOptions::default());
/// assert!(matches!(of(b"station,date,tm"), Opening::More));
/// assert!(matches!(of(b"station,date,tmin_f\n"), Opening::Rows(plan) if plan.first().start() == 20));
/// ```
#[must_use]
pub fn open(name: &str, head: &[u8], is_all: bool, options: DailyOptions) -> Opening<DailyPlan> {
    let undecided = if is_all {
        Opening::Whole
    } else {
        Opening::More
    };
    let Some(head) = Head::of(name, head) else {
        return undecided;
    };
    if fixed::is_fixed(head.source.bytes) {
        return Opening::Whole;
    }
    if head.is_open() {
        return undecided;
    }
    let layout = |source: Source<'_>, first: &Fields<'_>| {
        let layout = Layout::of(source, first, options)?;
        let notices = header::ignored(source, first, layout.format());
        Ok((layout, notices))
    };
    match head.first(layout, |(layout, _)| layout.has_header()) {
        Ok(Some(((layout, notices), first))) => {
            let shape = layout.shape(options);
            Opening::Rows(DailyPlan {
                first,
                lane: Lane::new(&layout, shape),
                layout,
                shape,
                notices: notices.into_iter().collect(),
            })
        }
        Ok(None) => undecided,
        Err(error) => Opening::Fault(error),
    }
}

impl DailyPlan {
    #[cfg(test)]
    pub(super) fn lane(&self) -> &Lane {
        &self.lane
    }
}

/// Rows on their way to days.
struct Gathered<'p> {
    layout: &'p Layout,
    stations: Stations,
}

impl Gather for Gathered<'_> {
    type Reading = DailyReading;

    fn row(&mut self, source: Source<'_>, fields: &Fields<'_>) -> Result<(), ReadError> {
        self.layout.row(source, fields, &mut self.stations)
    }

    fn finish(&mut self, source: Source<'_>) -> Result<(), ReadError> {
        self.stations.finish(source)
    }

    fn whole(&mut self) -> Vec<Done<DailyReading>> {
        self.stations.whole()
    }

    fn into_unfinished(self) -> (Option<usize>, Names) {
        self.stations.into_unfinished()
    }
}

impl Plan for DailyPlan {
    type Reading = DailyReading;

    fn first(&self) -> &First {
        &self.first
    }

    fn notices(&self) -> &[Notice] {
        &self.notices
    }

    fn station_column(&self) -> Option<usize> {
        self.layout.station_column()
    }

    fn counts_every_row(&self) -> bool {
        false // rows of other elements are passed over, whatever station they name
    }

    fn nothing(&self) -> &'static str {
        super::NOTHING
    }

    fn fast(&self, bytes: &[u8], emit: &mut Each<'_, DailyReading>) -> Option<u64> {
        self.lane.read(bytes, emit)
    }

    fn walk(
        &self,
        bytes: &[u8],
        names: Names,
        is_end: bool,
        emit: &mut dyn FnMut(Done<DailyReading>),
    ) -> Result<(Option<usize>, Names), ReadError> {
        let name = self.first.name();
        let stations = Stations::after(self.shape, names);
        let layout = &self.layout;
        walk(
            Source { name, bytes },
            Gathered { layout, stations },
            is_end,
            emit,
        )
    }
}
