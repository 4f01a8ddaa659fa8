//! The options that help where the engine lacks something: its own words name none, since Rust, C and Python ask it too.

use fairspell::error::{DecideError, GardenError, HindcastError, ReadProblem};

use crate::failure::Failure;

/// Where a zone may come from.
const ZONE: &str = "give --zone with an IANA name such as America/Chicago, or a site file";
/// Where the units of a record may come from.
const RECORD_UNITS: &str = "give --record-units";

/// What to give, where an option or a file would do.
pub fn remedy(failure: &Failure) -> Option<&'static str> {
    match failure {
        Failure::Weather(error) => match error.problem {
            ReadProblem::NoZone { .. } => Some(ZONE),
            ReadProblem::NoUnits => Some(RECORD_UNITS),
            _ => None,
        },
        Failure::Decide(DecideError::NoZone)
        | Failure::Garden(GardenError::Decide(DecideError::NoZone))
        | Failure::Hindcast(HindcastError::Decide(DecideError::NoZone)) => Some(ZONE),
        _ => None,
    }
}
