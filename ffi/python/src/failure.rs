//! What can go wrong, and the exceptions that Python sees: their place is that of the core's errors.

use fairspell::error::{
    DecideError, FileError, GardenError, HindcastError, Place, ReadError, ReadProblem, SeasonError,
    SeriesError,
};
use pyo3::exceptions::PyOSError;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyString};

/// The arguments that say a zone.
const ZONE: &str = "zone=, or a site that has one";

/// What the engine found wrong, and the argument that would have said it: the engine's own words name none.
pub fn words(problem: &ReadProblem) -> String {
    let argument = match problem {
        ReadProblem::NoZone { .. } => Some(ZONE),
        ReadProblem::NoUnits => Some("record_units="),
        _ => None,
    };
    with_argument(problem, argument)
}

/// The words with the argument behind what was expected, where an exception has it (`expected`).
fn with_argument(words: &impl ToString, argument: Option<&str>) -> String {
    let words = words.to_string();
    match (words.split_once(", found "), argument) {
        (Some((expected, found)), Some(argument)) => {
            format!("{expected} ({argument}), found {found}")
        }
        _ => words,
    }
}

/// Why there is no answer.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// Weather that cannot be read.
    #[error(transparent)]
    Read(#[from] ReadError),
    /// A file of a site, an operation or plants that cannot be used.
    #[error(transparent)]
    File(#[from] FileError),
    /// An input as a whole that is not what the question needs.
    #[error("{place}: {words}")]
    Whole {
        /// The input.
        place: Place,
        /// Expected and found.
        words: String,
    },
    /// An argument that does not fit.
    #[error("{0}")]
    Question(String),
    /// A file that the system does not give.
    #[error("{name}: {error}")]
    System {
        /// The file.
        name: String,
        /// The system's own word.
        error: std::io::Error,
    },
}

impl Failure {
    /// An input as a whole that is not what the question needs.
    pub fn whole(name: &str, words: impl Into<String>) -> Self {
        let (place, words) = (Place::whole(name), words.into());
        Self::Whole { place, words }
    }

    /// Columns of an input that make no series.
    pub fn series(name: &str, error: SeriesError) -> Self {
        Self::whole(name, error.to_string())
    }

    /// An argument whose text is wrong.
    pub fn found(argument: &str, expected: &str, found: &str) -> Self {
        let found = fairspell::error::Excerpt::of(found.as_bytes());
        Self::Question(format!("{argument}: expected {expected}, found {found}"))
    }
}

impl From<DecideError> for Failure {
    fn from(error: DecideError) -> Self {
        let argument = matches!(error, DecideError::NoZone).then_some(ZONE);
        Self::Question(with_argument(&error, argument))
    }
}

impl From<HindcastError> for Failure {
    fn from(error: HindcastError) -> Self {
        match error {
            HindcastError::Decide(error) => error.into(),
            other => Self::Question(other.to_string()),
        }
    }
}

impl From<SeasonError> for Failure {
    fn from(error: SeasonError) -> Self {
        Self::Question(format!("season: {error}"))
    }
}

impl From<GardenError> for Failure {
    fn from(error: GardenError) -> Self {
        match error {
            GardenError::File(error) => Self::File(error),
            GardenError::Decide(error) => error.into(),
            other => Self::Question(other.to_string()),
        }
    }
}

impl From<Failure> for PyErr {
    fn from(failure: Failure) -> Self {
        Python::attach(|py| raised(py, failure).unwrap_or_else(|error| error))
    }
}

/// The exception: one of `fairspell._errors`, or the system's own.
fn raised(py: Python<'_>, failure: Failure) -> PyResult<PyErr> {
    let (class, place, words) = match failure {
        Failure::Read(error) => ("ReadError", Some(error.place), words(&error.problem)),
        Failure::File(error) => ("FileError", Some(error.place), error.problem.to_string()),
        Failure::Whole { place, words } => ("ReadError", Some(place), words),
        Failure::Question(words) => ("QuestionError", None, words),
        Failure::System { name, error } => {
            let Some(number) = error.raw_os_error() else {
                return Ok(PyOSError::new_err(format!("{error}: {name}")));
            };
            // Python chooses the class by the number, as its own `open` does.
            let words = py.import("os")?.call_method1("strerror", (number,))?;
            let raised = py.get_type::<PyOSError>().call1((number, words, name))?;
            return Ok(PyErr::from_value(raised));
        }
    };
    let keys = PyDict::new(py);
    if let Some(place) = place {
        keys.set_item("file", place.file)?;
        keys.set_item("line", (place.line > 0).then_some(place.line))?;
        keys.set_item("column", (place.column > 0).then_some(place.column))?;
    }
    let class = py.import("fairspell._errors")?.getattr(class)?;
    let raised = class.call((PyString::new(py, &words),), Some(&keys))?;
    Ok(PyErr::from_value(raised))
}
