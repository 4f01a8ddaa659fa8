//! Files read as a stream, on several threads, beside the general reader.

#[path = "../../../cli/src/failure.rs"]
#[allow(
    dead_code,
    reason = "the command line's own file; only part of it is needed here"
)]
mod failure;
#[path = "../../../cli/src/stations.rs"]
#[allow(
    dead_code,
    reason = "the command line's own file; only part of it is needed here"
)]
mod stations;

mod days;
mod hours;
mod spoilt;
