//! Minutes: how long the plants take, with the range that their spread and the worker's own pace leave.
//!
//! A plant's minutes are lognormal between its 10th and 90th percentile. Plants add up and average out; the worker's
//! pace is one for all of them and does not. Nothing else is uncertain here: clean-up follows the pruning, and spraying
//! follows the typical volume.
//!
//! Source: the project's handbook, trade, §6; each constant names its own.

use super::mix::{Mix, Volume};

/// Standard deviation of the logarithm of a worker's pace. Handbook §6: estimate.
pub const WORKER_SIGMA: f64 = 0.35;
/// The standard normal's 90 % point, as the handbook rounds it (§6): 80 % lie within ± this many standard deviations.
pub const Z_90: f64 = 1.2816;
/// Standard deviations from the 10 % to the 90 % point, as the handbook rounds it (§6).
pub const Z_10_TO_90: f64 = 2.5631;
/// Hauling brush, as a share of the pruning time. Handbook §6: Woodworth and Potter 1931, N.H. Bull. 257.
pub const CLEAN_UP_SHARE: f64 = 1.0 / 3.0;
/// Minutes a rose for raking leaves, least and most. Handbook §6: estimate; its check leaves them out of the total.
pub const LEAVES_MIN: [f64; 2] = [1.0, 2.0];
/// Setting up, protective equipment, mixing, once \[min\]. Handbook §6: estimate.
pub const SET_UP_MIN: f64 = 10.0;
/// Filling the tank once \[min\]. Handbook §6: estimate.
pub const FILL_MIN: f64 = 8.0;
/// Flow of a hand sprayer \[US gal a minute\]. Handbook §6: worked example of Penn State, Rates on a per-tree basis.
pub const FLOW_GAL_PER_MIN: f64 = 0.3;
/// Walking from plant to plant \[min\]. Handbook §6: estimate.
pub const WALK_MIN: f64 = 0.5;
/// Rinsing sprayer and tools \[min\]. Handbook §6: no source given.
pub const RINSE_MIN: f64 = 15.0;
/// Working time times this is time on the clock: 10 min of rest in each hour. Handbook §6: common practice.
pub const REST_FACTOR: f64 = 7.0 / 6.0;

/// A median and the bounds between which four of five cases lie.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Range {
    /// 10th percentile.
    pub low: f64,
    /// Median.
    pub median: f64,
    /// 90th percentile.
    pub high: f64,
}

impl Range {
    /// Each value put through one rising function.
    #[must_use]
    pub fn map(self, of: impl Fn(f64) -> f64) -> Self {
        Self {
            low: of(self.low),
            median: of(self.median),
            high: of(self.high),
        }
    }
}

/// The pruning of all plants, with the numbers of the handbook's combination.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pruning {
    /// M: sum of the means \[min\].
    pub mean_min: f64,
    /// S: standard deviation of the sum \[min\].
    pub deviation_min: f64,
    /// Variance of the logarithm of the sum, σs².
    pub log_variance: f64,
    /// Standard deviation of the logarithm with the worker's pace, σT.
    pub log_deviation: f64,
    /// The answer \[min\].
    pub range_min: Range,
}

/// Mean and variance of one plant's minutes, given as 10th, 50th and 90th percentile: E = m·exp(σ²/2),
/// V = E²·(exp(σ²) − 1), σ = ln(p90/p10)/2.5631. Handbook, trade, §6.
#[must_use]
pub fn moments([p10, p50, p90]: [f64; 3]) -> (f64, f64) {
    let sigma = libm::log(p90 / p10) / Z_10_TO_90;
    let mean = p50 * libm::exp(sigma * sigma / 2.0);
    (mean, mean * mean * libm::expm1(sigma * sigma))
}

/// The pruning of counts of plants, each with its 10th, 50th and 90th percentile; `None` without plants.
///
/// M = Σ n·E, S² = Σ n·V, σs² = ln(1 + S²/M²), σT = √(σs² + σw²); median M·exp(−σs²/2), 80 % interval
/// median·exp(±1.2816·σT). Source: the project's handbook, trade, §6.
///
/// Each plant more raises M and, over the spreads of the built-in table, all three values; beside a plant whose own
/// spread is far wider (σ above 2) the median and the low value may fall, as those of such sums do.
///
/// ```
/// use fairspell::work::prune_all;
/// // The handbook's check: 12 bush roses, 3 climbers, 2 semi-dwarf apples.
/// let plants = [(12, [5.0, 10.0, 20.0]), (3, [20.0, 40.0, 75.0]), (2, [20.0, 35.0, 60.0])];
/// let all = prune_all(plants).unwrap();
/// assert_eq!((all.mean_min * 100.0).round(), 35270.0);
/// assert!(prune_all([]).is_none());
/// ```
#[must_use]
pub fn prune_all(plants: impl IntoIterator<Item = (u32, [f64; 3])>) -> Option<Pruning> {
    let (mut mean, mut variance) = (0.0, 0.0);
    for (count, minutes) in plants {
        let (of_one, spread) = moments(minutes);
        mean += f64::from(count) * of_one;
        variance += f64::from(count) * spread;
    }
    if mean <= 0.0 {
        return None;
    }
    let log_variance = libm::log1p(variance / (mean * mean));
    let log_deviation = (log_variance + WORKER_SIGMA * WORKER_SIGMA).sqrt();
    let median = mean * libm::exp(-log_variance / 2.0);
    Some(Pruning {
        mean_min: mean,
        deviation_min: variance.sqrt(),
        log_variance,
        log_deviation,
        range_min: Range {
            low: median * libm::exp(-Z_90 * log_deviation),
            median,
            high: median * libm::exp(Z_90 * log_deviation),
        },
    })
}

/// The spraying of all plants.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SprayingTime {
    /// Setting up and mixing, once \[min\].
    pub set_up_min: f64,
    /// Fills of the tank, for the typical volume.
    pub fills: u64,
    /// Filling it \[min\].
    pub fill_min: f64,
    /// Spray leaving the nozzle \[min\], for the low, typical and high volume.
    pub spray_min: [f64; 3],
    /// Walking from plant to plant \[min\].
    pub walk_min: f64,
    /// Rinsing \[min\].
    pub rinse_min: f64,
}

impl SprayingTime {
    /// For so many plants and so much spray.
    #[must_use]
    pub fn of(plants: u64, mix: &Mix) -> Self {
        let fills = mix.loads();
        Self {
            set_up_min: SET_UP_MIN,
            fills,
            fill_min: fills as f64 * FILL_MIN,
            spray_min: mix.finished.map(spray_minutes),
            walk_min: plants as f64 * WALK_MIN,
            rinse_min: RINSE_MIN,
        }
    }

    /// All of it with the typical volume, without rest \[min\].
    #[must_use]
    pub fn working_min(&self) -> f64 {
        let [_, typical, _] = self.spray_min;
        typical + self.walk_min + self.set_up_min + self.fill_min + self.rinse_min
    }

    /// Whole hours of fair weather that it needs: walking and spraying of the high volume alone; setting up, filling
    /// and rinsing bear any weather. At least 1. Handbook, trade, §6 (*Split it*).
    #[must_use]
    pub fn hours_needed(&self) -> u32 {
        let [_, _, high] = self.spray_min;
        let hours = ((high + self.walk_min) / 60.0).ceil().clamp(1.0, 1e9);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 1 and 1e9"
        )]
        let whole = hours as u32;
        whole
    }
}

/// Minutes that a volume takes to leave the nozzle.
pub(super) fn spray_minutes(volume: Volume) -> f64 {
    volume.us_gallons() / FLOW_GAL_PER_MIN
}

/// The whole work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Labour {
    /// Pruning; `None`: nothing is due.
    pub pruning: Option<Pruning>,
    /// Hauling brush \[min\].
    pub clean_up_min: Range,
    /// Raking leaves, least and most \[min\]; not part of the total.
    pub leaves_min: [f64; 2],
    /// Spraying; `None`: nothing is sprayed.
    pub spraying: Option<SprayingTime>,
    /// Pruning, clean-up and spraying, with rest \[min\].
    pub total_min: Range,
}

impl Labour {
    /// Adds the parts up.
    #[must_use]
    pub fn of(pruning: Option<Pruning>, roses: u64, spraying: Option<SprayingTime>) -> Self {
        let cutting = pruning.map_or_else(Range::default, |pruning| pruning.range_min);
        let spray_min = spraying.map_or(0.0, |spraying| spraying.working_min());
        let whole = |minutes: f64| (minutes + minutes * CLEAN_UP_SHARE + spray_min) * REST_FACTOR;
        Self {
            pruning,
            clean_up_min: cutting.map(|minutes| minutes * CLEAN_UP_SHARE),
            leaves_min: LEAVES_MIN.map(|minutes| minutes * roses as f64),
            spraying,
            total_min: cutting.map(whole),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const GARDEN: [(u32, [f64; 3]); 3] = [
        (12, [5.0, 10.0, 20.0]),
        (3, [20.0, 40.0, 75.0]),
        (2, [20.0, 35.0, 60.0]),
    ];

    fn near(found: f64, printed: f64, half_a_digit: f64) {
        assert!(
            (found - printed).abs() <= half_a_digit,
            "{found} is not {printed}"
        );
    }

    /// Handbook, trade, §6, *Check*, to half of the last printed digit.
    #[test]
    fn twelve_roses_three_climbers_and_two_apples_agree_with_the_handbook() {
        let all = prune_all(GARDEN).unwrap();
        near(all.mean_min, 352.70, 0.005);
        near(all.deviation_min, 55.21, 0.005);
        near(all.log_variance, 0.024_206, 0.000_000_5);
        near(all.log_deviation, 0.383_02, 0.000_005);
        near(all.range_min.median, 348.46, 0.005);
        near(all.range_min.low, 213.29, 0.005);
        near(all.range_min.high, 569.30, 0.005);
    }

    /// Handbook, trade, §6, *Check*: with clean-up, 6.46 gal and two fills of a 4-gal tank 10.4 h (6.9 to 16.1 h).
    #[test]
    fn the_whole_work_agrees_with_the_handbook() {
        use crate::quantity::Unit;
        let gallons = |value| Volume::of(value, Unit::UsGallon);
        let typical = 12.0 * 0.18 + 3.0 * 0.5 + 2.0 * 1.4;
        let mix = Mix::of(
            [typical; 3].map(gallons),
            gallons(typical),
            (2.0, gallons(4.0)),
        );
        let spraying = SprayingTime::of(17, &mix);
        near(spraying.spray_min[1], 21.53, 0.005);
        near(spraying.walk_min, 8.5, 0.0);
        near(spraying.fill_min, 16.0, 0.0);
        let labour = Labour::of(prune_all(GARDEN), 15, Some(spraying));
        let hours = labour.total_min.map(|minutes| minutes / 60.0);
        near(hours.median, 10.4, 0.05);
        near(hours.low, 6.9, 0.05);
        near(hours.high, 16.1, 0.05);
        assert_eq!(spraying.hours_needed(), 1); // 30 min of walking and spraying
    }

    /// Arithmetic: 10 plants of 4-10-25 min: σ = ln 6.25/2.5631 = 1.832581/2.5631 = 0.714986,
    /// E = 10·exp(0.255602) = 12.9124.
    #[test]
    fn one_plant_has_the_mean_of_a_lognormal() {
        let (mean, _) = moments([4.0, 10.0, 25.0]);
        near(mean, 12.912_4, 0.000_05);
        let (mean, variance) = moments([7.0, 7.0, 7.0]);
        assert_eq!((mean.to_bits(), variance.to_bits()), (7.0_f64.to_bits(), 0));
    }
}
