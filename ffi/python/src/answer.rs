//! An answer of the core, as Python holds it.

use std::sync::OnceLock;

use fairspell::decision::{Decision, Units};
use fairspell::freeze::{Asked, StationFreezes};
use fairspell::hindcast::Hindcast;
use fairspell::season::Season;
use fairspell::series::HourlySeries;
use fairspell::site::Site;
use fairspell::work::Explained;
use fairspell_cli::drawing;
use pyo3::prelude::*;

/// What was answered, with what its picture needs.
pub(crate) enum Kind {
    /// A decision, and the hours that were asked about.
    Decision(Box<(Decision, HourlySeries)>, Units),
    /// Freezes of a station.
    Freeze(Box<StationFreezes>, Asked),
    /// A season, its site, what was explained of it, units, and now.
    Season(Box<Season>, Box<Site>, Vec<Explained>, (Units, i64)),
    /// Past hours.
    Hindcast(Box<Hindcast>),
}

/// An answer; JSON and picture are those of the command line.
#[pyclass(frozen, module = "fairspell._fairspell")]
pub struct Answer {
    kind: Kind,
    said: Vec<String>,
    json: OnceLock<String>,
}

impl Answer {
    /// An answer, and what must be said beside it.
    pub(crate) fn new(kind: Kind, said: Vec<String>) -> Self {
        let json = OnceLock::new();
        Self { kind, said, json }
    }

    fn written(&self) -> &str {
        self.json.get_or_init(|| match &self.kind {
            Kind::Decision(of, _) => of.0.to_json(),
            Kind::Freeze(station, asked) => station.to_json(*asked),
            Kind::Season(season, _, explained, _) => season.to_json_explained(explained),
            Kind::Hindcast(answer) => answer.to_json(),
        })
    }

    fn drawn(&self) -> String {
        match &self.kind {
            Kind::Decision(of, units) => drawing::decision(&of.0, &of.1, *units),
            Kind::Freeze(station, asked) => drawing::freezes(station, *asked),
            Kind::Season(season, site, _, (units, now)) => {
                drawing::season((**season).clone(), site, *units, *now)
            }
            Kind::Hindcast(answer) => drawing::hindcast(answer),
        }
    }
}

#[pymethods]
impl Answer {
    /// The answer as one JSON object: the bytes of `--format json` without the line break.
    fn json(&self, py: Python<'_>) -> String {
        py.detach(|| self.written().to_owned())
    }

    /// The picture: the bytes of `--format svg`.
    fn svg(&self, py: Python<'_>) -> String {
        py.detach(|| self.drawn())
    }

    /// What the command line writes to standard error beside the answer.
    fn said(&self) -> Vec<String> {
        self.said.clone()
    }

    /// The verdict of a decision, without its JSON; otherwise None.
    fn verdict(&self) -> Option<&'static str> {
        match &self.kind {
            Kind::Decision(of, _) => Some(of.0.verdict.name()),
            _ => None,
        }
    }
}
