//! stub
use super::*;
pub(super) fn read(source: Source<'_>) -> Result<Reading, ReadError> { Err(fault_whole(source, ReadProblem::Empty)) }
