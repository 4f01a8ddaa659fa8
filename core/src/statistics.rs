//! What a sample of numbers says: quantiles, Weibull fits and how well they fit, resampling, trend, shares, scores.
//!
//! Numbers only, in any one unit; no weather and no dates: the modules that use these give them their meaning. A
//! sample that cannot answer gives `None` or a typed reason, never a number in its stead, and nothing is extrapolated
//! beyond the sample. Random numbers come from a seed by a named generator, and sums are taken in the order of the
//! values, so that the same input gives the same bits.
//!
//! - [`quantile`], [`plotting_positions`]: order statistics.
//! - [`Weibull`], [`fit`], [`fit_shape_scale`]: the two-parameter Weibull distribution.
//! - [`kolmogorov_smirnov_d`], [`anderson_darling_a2`], [`a2_star`], [`significance`] and the tables beside them:
//!   goodness of fit.
//! - [`Generator`], [`interval_95`]: the bootstrap.
//! - [`theil_sen`], [`mann_kendall`]: trend.
//! - [`wilson`]: the interval of a share.
//! - [`pinball`]: the score of a quantile.
//! - [`normal_cdf`], [`normal_quantile`]: the standard normal distribution.
//!
//! Each function says how far its answer may be from the exact one: checked against 50-digit arithmetic, tables or a
//! general library. An answer is finite, or `None`, a typed reason, or NaN where the documentation says so. The bounds hold
//! for arguments that keep all their digits, not for subnormal ones.
//!
//! Sources stand with the functions; those marked "from memory" were not at hand when this was written.

mod goodness;
mod normal;
mod quantile;
mod resample;
mod score;
mod share;
mod trend;
mod weibull;

#[cfg(test)]
mod samples;

pub use goodness::{
    A2_STAR_UPPER_POINTS, A2_UPPER_POINTS, D_SQRT_N_UPPER_POINTS, UPPER_TAILS, UpperPoints,
    a2_star, anderson_darling_a2, kolmogorov_smirnov_d, significance,
};
pub use normal::{normal_cdf, normal_quantile};
pub use quantile::{plotting_positions, quantile};
pub use resample::{Generator, SplitMix64, interval_95};
pub use score::pinball;
pub use share::wilson;
pub use trend::{MAX_TREND_VALUES, MannKendall, TheilSen, mann_kendall, theil_sen};
pub use weibull::{NoFit, Weibull, WeibullFit, fit, fit_shape_scale};

/// The standard normal's 97.5 % point: 95 % lie within ± this many standard deviations.
const Z_95: f64 = 1.959_963_984_540_054;
