//! What the checks across the crates share: a slow evaluator that is plain to read, random weather and rules to try it
//! on, the invented week that tables of cases start from, invented daily records and winters, and answers held to their schemas.
//!
//! Nothing here knows how the engine works; it is written from the contract's definitions alone.

pub mod binary;
pub mod daily;
pub mod evaluator;
pub mod past;
pub mod scenario;
pub mod schema;
pub mod scores;
pub mod week;
pub mod winters;
