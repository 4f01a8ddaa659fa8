//! What can go wrong outside the core: usage, files, places that cannot be known. Each is one line.

use fairspell::error::{
    DecideError, FileError, GardenError, HindcastError, ReadError, SeriesError, escaped,
};

/// Why there is no answer.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// Arguments that do not fit.
    #[error("{0}")]
    Usage(String),
    /// A file that cannot be read.
    #[error("{}: expected a file to read, found an error: {error}", escaped(.name))]
    CannotRead {
        /// The file.
        name: String,
        /// The system's own word.
        error: std::io::Error,
    },
    /// A file that cannot be written.
    #[error("{}: expected a place to write, found an error: {error}", escaped(.name))]
    CannotWrite {
        /// The file.
        name: String,
        /// The system's own word.
        error: std::io::Error,
    },
    /// Weather that cannot be read.
    #[error(transparent)]
    Weather(#[from] ReadError),
    /// A site or operation file that cannot be used.
    #[error(transparent)]
    File(#[from] FileError),
    /// Observed hours that do not fit the forecast.
    #[error("{}: {error}", escaped(.name))]
    Observed {
        /// The file of observed hours.
        name: String,
        /// Why.
        error: SeriesError,
    },
    /// A question that lacks something.
    #[error(transparent)]
    Decide(#[from] DecideError),
    /// A garden that cannot be set beside an answer.
    #[error(transparent)]
    Garden(#[from] GardenError),
    /// Past hours that cannot be judged.
    #[error(transparent)]
    Hindcast(#[from] HindcastError),
    /// The clock of the machine stands before 1970.
    #[error("expected a clock after 1970, found one before; give --at")]
    Clock,
}
