//! Numbers only, no dates and no weather: order statistics, fits, resampling, trend, shares.
//!
//! `freeze` gives these numbers their meaning. Every formula names its source where it stands.

mod goodness;
mod quantiles;
mod resample;
mod share;
mod trend;
mod weibull;

pub use quantiles::quantile;
pub use resample::{GENERATOR, Generator, interval_95};
pub use share::wilson;
pub use trend::{MannKendall, TheilSen, mann_kendall, theil_sen};
pub use weibull::{NoFit, WeibullFit, fit, fit_shape_scale};

/// The normal deviate of a two-sided 95 % interval.
const Z_95: f64 = 1.959_963_984_540_054;
