//! What the checks across the crates share: a slow evaluator that is plain to read, random weather and rules to try it
//! on, the invented week that tables of cases start from, invented daily records and winters, answers held to their schemas, and what
//! builds and runs programs in C.
//!
//! Nothing here knows how the engine works; it is written from the contract's definitions alone.

pub mod binary;
pub mod c;
pub mod daily;
pub mod evaluator;
pub mod past;
pub mod prototypes;
pub mod scenario;
pub mod schema;
pub mod scores;
pub mod targets;
pub mod week;
pub mod winters;
