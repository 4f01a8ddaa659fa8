//! The two-parameter Weibull distribution, and its fit by maximum likelihood.
//!
//! F(y) = 1 − exp(−(y/s)^k) for y > 0, with shape k and scale s. Shapes of dates are large: 10 is usual, and years that
//! differ by a day or two reach many thousands. So y^k is never formed; only k·ln(y/s) is, and ln(y/s) is taken from
//! the difference y − s where the two are near each other.
//!
//! Sources: start and small samples, Thoman, Bain & Antle 1969, Technometrics 11(3), 445-460; the equations, Cohen
//! 1965, Technometrics 7, 579-588 (from memory); that there is one root, Mao & Li 2007; AIC, Akaike 1974 (from memory).

use super::goodness::{anderson_darling_a2, kolmogorov_smirnov_d};

/// Fewest values of a fit. Ours: two have a root too, but say nothing.
const LEAST_VALUES: usize = 3;
/// Most steps of Newton's method before bisection; 6 to 8 are usual.
const MAX_STEPS: u32 = 60;
/// The shape is found when a step changes it by less than this share.
const STEP_SHARE: f64 = 1e-12;
/// Most halvings, or doublings, that a positive `f64` can take: its whole range.
const RANGE_HALVINGS: u32 = 2_200;
/// Below this (y/s)^k, F(y) is (y/s)^k to the last digit.
const LEAST_HAZARD: f64 = 1e-16;

/// Why a sample has no fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum NoFit {
    /// Fewer than three values.
    #[error("expected 3 values or more, found fewer")]
    TooFew,
    /// The likelihood has no bound.
    #[error("expected values that differ, found all equal")]
    AllEqual,
    /// A value is zero, negative, infinite or NaN.
    #[error("expected finite values above 0, found another")]
    NotPositive,
}

/// A Weibull distribution. Both parameters are finite and above 0, or its answers are NaN or mean nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weibull {
    /// Shape; no unit. The larger, the narrower.
    pub shape: f64,
    /// Scale, in the unit of the values: 63 % lie below.
    pub scale: f64,
}

impl Weibull {
    /// The value that a share `probability` lies below; `None` unless 0 < `probability` < 1, where a parameter is not
    /// finite and above 0, and where the value is beyond floating point, above or below. Relative error below
    /// 1e-15 (1 + |ln h|/shape + |ln scale|), with h = −ln(1 − `probability`).
    ///
    /// # Examples
    /// ```
    /// use fairspell::statistics::Weibull;
    /// let exponential = Weibull { shape: 1.0, scale: 10.0 };
    /// let median = exponential.quantile(0.5);
    /// assert!(median.is_some_and(|median| (median - 6.931_471_806).abs() < 1e-9)); // 10 ln 2
    /// assert_eq!(exponential.quantile(1.0), None);
    /// ```
    #[must_use]
    pub fn quantile(self, probability: f64) -> Option<f64> {
        let is_positive = |number: f64| number > 0.0 && number.is_finite();
        let is_share = probability > 0.0 && probability < 1.0;
        if !(is_share && is_positive(self.shape) && is_positive(self.scale)) {
            return None;
        }
        let log_share = libm::log(-libm::log1p(-probability)) / self.shape;
        Some(scaled(self.scale, log_share)).filter(|value| is_positive(*value))
    }

    /// The chance of a value at or below `value`; 0 where `value` is not above 0, NaN where it is NaN. Error below 5e-16.
    ///
    /// # Examples
    /// ```
    /// use fairspell::statistics::Weibull;
    /// let narrow = Weibull { shape: 300.0, scale: 330.0 }; // 330^300 is beyond floating point
    /// assert!((narrow.probability_below(330.0) - 0.632_120_559).abs() < 1e-9); // 1 - 1/e
    /// ```
    #[must_use]
    pub fn probability_below(self, value: f64) -> f64 {
        -libm::expm1(-self.hazard(value))
    }

    /// The chance of a value above `value`: 1 where `value` is not above 0, NaN where it is NaN. It keeps its digits where it
    /// is small. Error below 5e-16.
    ///
    /// # Examples
    /// ```
    /// use fairspell::statistics::Weibull;
    /// let weibull = Weibull { shape: 2.0, scale: 10.0 };
    /// assert!((weibull.probability_beyond(100.0) / 3.720_075_976e-44 - 1.0).abs() < 1e-9); // e^-100
    /// ```
    #[must_use]
    pub fn probability_beyond(self, value: f64) -> f64 {
        libm::exp(-self.hazard(value))
    }

    /// (y/s)^k, the cumulative hazard; 0 where `value` is not above 0.
    fn hazard(self, value: f64) -> f64 {
        if value <= 0.0 {
            return 0.0;
        }
        libm::exp(self.shape * log_ratio(value, self.scale))
    }
}

/// The logarithms of the chances below and beyond the value that has a logarithm of (y/s)^k. Where that power underflows,
/// its logarithm does not.
fn log_tails(log_hazard: f64) -> (f64, f64) {
    let hazard = libm::exp(log_hazard);
    let log_below = if hazard < LEAST_HAZARD {
        log_hazard
    } else {
        libm::log(-libm::expm1(-hazard))
    };
    (log_below, -hazard)
}

/// ln(value/unit) of positive numbers, to the last digits also where the two nearly agree.
fn log_ratio(value: f64, unit: f64) -> f64 {
    let ratio = value / unit;
    if ratio > 0.5 && ratio < 2.0 {
        libm::log1p((value - unit) / unit) // the difference is exact
    } else {
        libm::log(value) - libm::log(unit)
    }
}

/// `unit` times exp(`log_share`), also where the share leaves the range of `f64` and the product does not.
fn scaled(unit: f64, log_share: f64) -> f64 {
    let share = libm::exp(log_share);
    if share.is_normal() {
        unit * share
    } else {
        libm::exp(log_share + libm::log(unit))
    }
}

/// A fitted Weibull distribution, and how well it fits.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct WeibullFit {
    /// Shape.
    pub shape: f64,
    /// Scale, in the unit of the values.
    pub scale: f64,
    /// Natural logarithm of the likelihood.
    pub log_likelihood: f64,
    /// Akaike's criterion, 2·2 − 2 ln L: the smaller, the better.
    pub aic: f64,
    /// Kolmogorov–Smirnov D, 0 to 1: the largest gap between the fit and the steps of the sample.
    pub ks_d: f64,
    /// Anderson–Darling A², which weighs the tails more.
    pub ad_a2: f64,
}

impl WeibullFit {
    /// The distribution that was fitted.
    ///
    /// # Examples
    /// ```
    /// let fit = fairspell::statistics::fit(&[95.0, 102.0, 110.0])?;
    /// assert_eq!(fit.weibull().shape, fit.shape);
    /// # Ok::<(), fairspell::statistics::NoFit>(())
    /// ```
    #[must_use]
    pub fn weibull(&self) -> Weibull {
        Weibull {
            shape: self.shape,
            scale: self.scale,
        }
    }
}

/// Fits a Weibull distribution to `values` by maximum likelihood, and tells how well it fits.
///
/// - `values`: three or more, in any order, each finite and above 0, of any one unit. Large shapes are reported as they
///   are. Samples of 10 give a shape too large by 17 % in the mean, of 30 by 5 %: short records look sharper than they
///   are.
///
/// Relative errors: shape 1e-12, scale 1e-13, log-likelihood and AIC 1e-12, D and A² 1e-9; of values whose digits `f64` does
/// not have (subnormal), what they have. All are finite.
///
/// # Errors
/// [`NoFit`]: too few values, all equal, or one not above 0.
///
/// # Examples
/// ```
/// use fairspell::statistics::{NoFit, fit};
/// let days = [83.0, 91.0, 95.0, 98.0, 99.0, 102.0, 104.0, 107.0, 110.0, 118.0];
/// let fitted = fit(&days)?;
/// assert!((fitted.shape - 11.651_318_017).abs() < 1e-9);
/// assert!((fitted.scale - 104.987_131_541).abs() < 1e-9);
/// assert_eq!(fit(&[100.0, 100.0, 100.0]), Err(NoFit::AllEqual));
/// # Ok::<(), NoFit>(())
/// ```
pub fn fit(values: &[f64]) -> Result<WeibullFit, NoFit> {
    let profile = Profile::new(values)?;
    let shape = profile.shape();
    let log_likelihood = profile.log_likelihood(shape, values);
    let mut ascending = values.to_vec();
    ascending.sort_by(f64::total_cmp);
    let log_hazards = profile.log_hazards(shape, &ascending);
    let below = |log_hazard: &f64| -libm::expm1(-libm::exp(*log_hazard));
    let probabilities: Vec<f64> = log_hazards.iter().map(below).collect();
    let log_tails: Vec<(f64, f64)> = log_hazards.into_iter().map(log_tails).collect();
    Ok(WeibullFit {
        shape,
        scale: profile.scale(shape),
        log_likelihood,
        aic: 2.0 * 2.0 - 2.0 * log_likelihood,
        ks_d: kolmogorov_smirnov_d(&probabilities),
        ad_a2: anderson_darling_a2(&log_tails),
    })
}

/// Shape and scale alone, as [`fit`] finds them, bit for bit: for the many replicates of a bootstrap.
///
/// `None` where [`fit`] has a [`NoFit`]: such a replicate is left out and counted.
///
/// # Examples
/// ```
/// use fairspell::statistics::{fit, fit_shape_scale};
/// let days = [95.0, 102.0, 110.0, 118.0];
/// assert_eq!(fit_shape_scale(&days), fit(&days).ok().map(|fit| (fit.shape, fit.scale)));
/// assert_eq!(fit_shape_scale(&[102.0; 4]), None);
/// ```
#[must_use]
pub fn fit_shape_scale(values: &[f64]) -> Option<(f64, f64)> {
    let profile = Profile::new(values).ok()?;
    let shape = profile.shape();
    Some((shape, profile.scale(shape)))
}

/// The likelihood with the best scale of each shape: a function of the shape alone.
///
/// With t = ln(y/max), S₀ = Σ exp(k t), S₁ = Σ t exp(k t), its derivative is zero where g(k) = S₁/S₀ − 1/k − mean t is.
struct Profile {
    /// Largest value.
    max: f64,
    /// t of each value, none above 0.
    logs: Vec<f64>,
    mean_log: f64,
}

impl Profile {
    fn new(values: &[f64]) -> Result<Self, NoFit> {
        if values.len() < LEAST_VALUES {
            return Err(NoFit::TooFew);
        }
        if !values.iter().all(|value| *value > 0.0 && value.is_finite()) {
            return Err(NoFit::NotPositive);
        }
        let max = values.iter().copied().fold(0.0, f64::max);
        if values.iter().all(|value| *value >= max) {
            return Err(NoFit::AllEqual);
        }
        let logs: Vec<f64> = values.iter().map(|value| log_ratio(*value, max)).collect();
        let mean_log = logs.iter().sum::<f64>() / logs.len() as f64;
        Ok(Self {
            max,
            logs,
            mean_log,
        })
    }

    fn count(&self) -> f64 {
        self.logs.len() as f64
    }

    /// π/(√6 sd(t)), the shape that the spread of the logarithms suggests (Thoman, Bain & Antle 1969).
    fn start(&self) -> f64 {
        let square = |log: &f64| (log - self.mean_log) * (log - self.mean_log);
        let squares: f64 = self.logs.iter().map(square).sum();
        let deviation = (squares / (self.count() - 1.0)).sqrt();
        core::f64::consts::PI / (6.0_f64.sqrt() * deviation)
    }

    /// g and its derivative.
    fn derivative(&self, shape: f64) -> (f64, f64) {
        let (mut s0, mut s1, mut s2) = (0.0, 0.0, 0.0);
        for log in &self.logs {
            let weight = libm::exp(shape * log);
            s0 += weight;
            s1 += log * weight;
            s2 += log * log * weight;
        }
        let mean = s1 / s0;
        let inverse = 1.0 / shape;
        let g = mean - inverse - self.mean_log;
        (g, s2 / s0 - mean * mean + inverse * inverse)
    }

    /// The next shape by Newton's method; half the shape where that would not be above 0.
    fn step(&self, shape: f64) -> f64 {
        let (g, rise) = self.derivative(shape);
        let next = shape - g / rise;
        if next > 0.0 { next } else { shape / 2.0 }
    }

    /// The most likely shape.
    fn shape(&self) -> f64 {
        let mut shape = self.start();
        for _ in 0..MAX_STEPS {
            let next = self.step(shape);
            if (next - shape).abs() <= STEP_SHARE * next {
                return next;
            }
            shape = next;
        }
        self.bisected()
    }

    /// The most likely shape by halving: g rises from −∞ at 0 to above 0.
    fn bisected(&self) -> f64 {
        let is_below = |shape: f64| self.derivative(shape).0 < 0.0;
        let (mut low, mut high) = (1.0, 1.0);
        for _ in 0..RANGE_HALVINGS {
            if is_below(low) {
                break;
            }
            low /= 2.0;
        }
        for _ in 0..RANGE_HALVINGS {
            if !is_below(high) {
                break;
            }
            high *= 2.0;
        }
        for _ in 0..RANGE_HALVINGS {
            if high - low <= STEP_SHARE / 4.0 * low {
                break;
            }
            let middle = low + (high - low) / 2.0;
            let end = if is_below(middle) {
                &mut low
            } else {
                &mut high
            };
            *end = middle;
        }
        low + (high - low) / 2.0
    }

    /// ln(S₀/n), which is k ln(s/max).
    fn log_mean_weight(&self, shape: f64) -> f64 {
        let weight = |log: &f64| libm::exp(shape * log);
        libm::log(self.logs.iter().map(weight).sum::<f64>() / self.count())
    }

    /// The most likely scale at a shape.
    fn scale(&self, shape: f64) -> f64 {
        scaled(self.max, self.log_mean_weight(shape) / shape)
    }

    /// ln (y/s)^k of each value at the best scale of a shape: k t − k ln(s/max). From the largest value, since `f64` has too few
    /// digits of the scale where the shape is large (values a last digit apart) or the scale subnormal.
    fn log_hazards(&self, shape: f64, values: &[f64]) -> Vec<f64> {
        let at_scale = self.log_mean_weight(shape);
        let log_hazard = |value: &f64| shape * log_ratio(*value, self.max) - at_scale;
        values.iter().map(log_hazard).collect()
    }

    /// ln L with the scale put in: n ln k + k Σt − n ln(S₀/n) − Σ ln y − n. The form with Σ ln y and ln s apart loses
    /// its digits where the shape is large.
    fn log_likelihood(&self, shape: f64, values: &[f64]) -> f64 {
        let count = self.count();
        let log_values: f64 = values.iter().map(|value| libm::log(*value)).sum();
        let log_weight = shape * self.mean_log - self.log_mean_weight(shape);
        count * (libm::log(shape) + log_weight - 1.0) - log_values
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::samples::{
        A, AUTUMN, BEARINGS, MILWAUKEE, SUFFOLK, WINDOWS, assert_close, assert_near, scattered,
    };

    /// `end` − each value: from the end of a season back.
    fn reversed(end: f64, values: &[f64]) -> Vec<f64> {
        values.iter().map(|value| end - value).collect()
    }

    /// Each value counted from `origin`.
    fn from(origin: f64, values: &[f64]) -> Vec<f64> {
        values.iter().map(|value| value - origin).collect()
    }

    /// Ten values of Lockhart & Stephens 1994, JRSS B 56(3), 491-500, from their fitted origin, as `SciPy`'s tests
    /// quote them.
    fn lockhart_stephens() -> Vec<f64> {
        let values = [
            225.0, 171.0, 198.0, 189.0, 189.0, 135.0, 162.0, 135.0, 117.0, 162.0,
        ];
        from(99.02, &values)
    }

    /// `count` values of 366 and one of 365.
    fn all_but_one_equal(count: usize) -> Vec<f64> {
        let mut values = vec![366.0; count];
        values.push(365.0);
        values
    }

    /// The samples of [`EXPECTED`].
    fn samples() -> [Vec<f64>; 6] {
        [
            A.to_vec(),
            reversed(213.0, &A),
            from(212.0, &AUTUMN),
            reversed(366.0, &AUTUMN),
            BEARINGS.to_vec(),
            WINDOWS.to_vec(),
        ]
    }

    /// The project's handbook, §3 and §4, computed (40-digit Newton): shape, scale, ln L, AIC, D, A².
    #[expect(clippy::excessive_precision, reason = "digits as they were printed")]
    const EXPECTED: [[f64; 6]; 6] = [
        [
            11.651_318_016_687_22,
            104.987_131_540_682_7,
            -36.898_234_114_960_31,
            77.796_468_229_920_61,
            0.108_292_026_281_586_5,
            0.162_570_192_472_422_8,
        ],
        [
            12.731_054_865_074_14,
            116.657_376_724_212_2,
            -37.033_479_639_754_55,
            78.066_959_279_509_10,
            0.134_543_325_069_107_3,
            0.190_110_766_672_415_7,
        ],
        [
            10.972_863_053_346_60,
            113.995_134_943_202_8,
            -46.070_831_842_987_77,
            96.141_663_685_975_54,
            0.175_279_504_080_866_7,
            0.227_150_647_980_377_4,
        ],
        [
            4.596_611_846_465_775,
            49.295_346_686_431_03,
            -45.791_911_441_450_20,
            95.583_822_882_900_40,
            0.135_934_036_133_732_3,
            0.185_162_642_522_751_2,
        ],
        [
            2.102_058_875_194_621,
            81.878_334_051_631_54,
            -113.691_290_932_320_1,
            231.382_581_864_640_3,
            0.151_087_562_586_801_3,
            0.328_609_752_921_789_5,
        ],
        [
            4.635_383_302_666_807,
            33.674_236_820_781_94,
            -105.488_924_662_842_4,
            214.977_849_325_684_8,
            0.152_586_242_177_951_8,
            0.597_341_220_766_977_2,
        ],
    ];

    /// The samples of [`NARROW_EXPECTED`].
    fn narrow_samples() -> [Vec<f64>; 4] {
        [
            AUTUMN.to_vec(),
            vec![99.0, 100.0, 101.0],
            vec![1000.0, 1001.0, 1002.0],
            vec![361.0, 362.0, 362.0, 363.0],
        ]
    }

    /// As [`EXPECTED`], the rows of §3 without goodness of fit.
    #[expect(clippy::excessive_precision, reason = "digits as they were printed")]
    const NARROW_EXPECTED: [[f64; 4]; 4] = [
        [
            31.682_786_014_586_98,
            326.323_365_159_441_7,
            -46.258_751_940_969_30,
            96.517_503_881_938_59,
        ],
        [
            139.696_795_473_545_8,
            100.402_843_576_997_5,
            -3.695_845_196_403_390,
            11.391_690_392_806_78,
        ],
        [
            1_396.557_434_408_546,
            1_001.405_337_506_976,
            -3.698_551_966_575_691,
            11.397_103_933_151_38,
        ],
        [
            559.063_396_869_851_2,
            362.352_090_759_886_7,
            -4.439_766_177_731_554,
            12.879_532_355_463_11,
        ],
    ];

    /// The project's handbook, §3 and §4, computed.
    #[test]
    fn fits_are_those_of_the_handbook() {
        for (values, expected) in samples().iter().zip(EXPECTED) {
            let [shape, scale, log_likelihood, aic, ks_d, ad_a2] = expected;
            let fit = fit(values).unwrap();
            assert_close(fit.shape, shape, 1e-12);
            assert_close(fit.scale, scale, 1e-13);
            assert_close(fit.log_likelihood, log_likelihood, 1e-13);
            assert_close(fit.aic, aic, 1e-13);
            assert_close(fit.ks_d, ks_d, 1e-12);
            assert_close(fit.ad_a2, ad_a2, 1e-12);
        }
    }

    /// The project's handbook, §3, computed: 1e-12 of the shape.
    #[test]
    fn fits_of_narrow_samples_are_those_of_the_handbook() {
        for (values, expected) in narrow_samples().iter().zip(NARROW_EXPECTED) {
            let [shape, scale, log_likelihood, aic] = expected;
            let fit = fit(values).unwrap();
            assert_close(fit.shape, shape, 1e-12);
            assert_close(fit.scale, scale, 1e-13);
            assert_close(fit.log_likelihood, log_likelihood, 1e-12);
            assert_close(fit.aic, aic, 1e-12);
        }
    }

    /// Published: Lockhart & Stephens 1994, shape 2.38, scale 78.23, A² 0.26; textbooks on the ball bearings, 2.10 and
    /// 81.9 (from memory); NIST e-Handbook on the windows, 4.635 and 33.674 (from memory).
    #[test]
    fn fits_are_the_published_ones() {
        let fitted = fit(&lockhart_stephens()).unwrap();
        assert_near(fitted.shape, 2.38, 0.005); // half of the last printed digit, here and below
        assert_near(fitted.scale, 78.23, 0.005);
        assert_near(fitted.ad_a2, 0.26, 0.005);
        let fitted = fit(&BEARINGS).unwrap();
        assert_near(fitted.shape, 2.10, 0.005);
        assert_near(fitted.scale, 81.9, 0.05);
        let fitted = fit(&WINDOWS).unwrap();
        assert_near(fitted.shape, 4.635, 0.000_5);
        assert_near(fitted.scale, 33.674, 0.000_5);
    }

    /// The project's handbook, §3, computed.
    #[test]
    fn the_fit_of_lockhart_and_stephens_has_the_digits_of_the_handbook() {
        let fitted = fit(&lockhart_stephens()).unwrap();
        assert_near(fitted.shape, 2.375_080_539_48, 5e-12);
        assert_near(fitted.scale, 78.229_810_079_3, 5e-11);
        assert_near(fitted.log_likelihood, -48.451_388_365_0, 5e-11);
        assert_near(fitted.ad_a2, 0.259_902_584_502, 5e-13);
    }

    /// Reference values of the open records: `SciPy`'s profile equation solved to 1e-13, outside the project.
    #[test]
    fn fits_of_two_real_records_are_those_computed_elsewhere() {
        let milwaukee = MILWAUKEE.map(|(_, day)| day);
        let rows = [
            (
                milwaukee.to_vec(),
                [10.648_321_903_3, 120.768_331_968, -342.447_788_192],
                [0.097_407_579_17, 0.910_909_548_4],
            ),
            (
                reversed(213.0, &milwaukee),
                [9.693_836_129_05, 102.272_796_465, -338.269_597_537],
                [0.070_585_085_14, 0.426_296_862_6],
            ),
            (
                SUFFOLK.to_vec(),
                [2.326_173_410_38, 48.310_377_084_4, -57.904_996_833_2],
                [0.206_570_024_9, 1.051_218_517],
            ),
            (
                reversed(213.0, &SUFFOLK),
                [8.700_814_727_21, 178.092_778_151, -57.881_530_957_6],
                [0.192_976_432, 0.787_238_33],
            ),
        ];
        for (values, [shape, scale, log_likelihood], [ks_d, ad_a2]) in rows {
            let fitted = fit(&values).unwrap();
            assert_close(fitted.shape, shape, 1e-11);
            assert_close(fitted.scale, scale, 1e-11);
            assert_close(fitted.log_likelihood, log_likelihood, 1e-11);
            assert_close(fitted.ks_d, ks_d, 1e-9);
            assert_close(fitted.ad_a2, ad_a2, 1e-9);
        }
    }

    /// The project's handbook, §3, computed: p10, p50 and p90 as days.
    #[test]
    fn quantiles_are_those_of_the_handbook() {
        let quantiles = |values: &[f64]| {
            let weibull = fit(values).unwrap().weibull();
            [0.1, 0.5, 0.9].map(|probability| weibull.quantile(probability).unwrap())
        };
        let flipped = |end: f64, values: &[f64]| {
            let [p10, p50, p90] = quantiles(&reversed(end, values));
            [end - p90, end - p50, end - p10]
        };
        let shifted = quantiles(&from(212.0, &AUTUMN)).map(|day| day + 212.0);
        let rows = [
            (
                quantiles(&A),
                [86.547_643_961_0, 101.735_978_176, 112.777_906_470],
            ),
            (
                flipped(213.0, &A),
                [88.444_314_711_8, 99.653_177_270_6, 115.243_549_460],
            ),
            (shifted, [304.857_956_901, 322.250_385_746, 334.997_547_468]),
            (
                flipped(366.0, &AUTUMN),
                [306.897_410_778, 320.482_619_707, 335.787_407_599],
            ),
        ];
        for (computed, printed) in rows {
            for (computed, printed) in computed.into_iter().zip(printed) {
                assert_near(computed, printed, 5e-10); // half of the last printed digit
            }
        }
    }

    /// The project's handbook, §2, computed: quantiles of the mixed distribution, by the conditional probability, and
    /// the risk q S(d) with q = 10/12.
    #[test]
    fn mixed_quantiles_and_risks_are_those_of_the_handbook() {
        let spring = fit(&A).unwrap().weibull();
        assert_near(spring.quantile(0.4).unwrap(), 99.105_539_622_5, 5e-11);
        assert_near(spring.quantile(0.88).unwrap(), 111.982_251_858, 5e-10);
        let autumn = fit(&from(212.0, &AUTUMN)).unwrap().weibull();
        let freezes = 12.0 / 14.0;
        let p10 = autumn.quantile(0.1 / freezes).unwrap() + 212.0;
        let p50 = autumn.quantile(0.5 / freezes).unwrap() + 212.0;
        // The handbook prints 306.250374385, one digit off: 50-digit arithmetic on its own shape and scale gives this.
        assert_near(p10, 306.250_374_484_609, 5e-10);
        assert_near(p50, 324.621_804_199, 5e-10);
        assert_eq!(autumn.quantile(0.9 / freezes), None);
        let risks = [
            (
                100.0,
                [0.472_592_173_085, 0.488_046_218_938, 0.503_161_134_651],
            ),
            (
                110.0,
                [0.148_933_613_951, 0.162_799_524_636, 0.177_205_934_951],
            ),
            (
                113.0,
                [0.079_000_827_443, 0.088_952_063_440, 0.099_608_902_933],
            ),
            (
                118.0,
                [0.016_839_126_924, 0.020_328_935_536, 0.024_338_016_079],
            ),
        ];
        for (day, printed) in risks {
            for (earlier, printed) in [0.0, 0.5, 1.0].into_iter().zip(printed) {
                let risk = 10.0 / 12.0 * spring.probability_beyond(day - earlier);
                assert_near(risk, printed, 5e-13);
            }
        }
    }

    /// The project's handbook, §3, computed: the steps of Newton's method for A.
    #[test]
    fn newton_takes_the_steps_of_the_handbook() {
        let profile = Profile::new(&A).unwrap();
        let mut shape = profile.start();
        for printed in [
            12.848_616_12,
            11.567_286_08,
            11.650_895_25,
            11.651_318_01,
            11.651_318_02,
        ] {
            assert_near(shape, printed, 6e-9); // a little above half of the last printed digit
            shape = profile.step(shape);
        }
    }

    /// The fallback finds what Newton's method finds.
    #[test]
    fn bisection_agrees_with_newton() {
        let extreme = [
            all_but_one_equal(29),
            vec![1.0, 212.0, 212.0],
            vec![1e-300, 1.0, 1e300],
        ];
        for values in samples().into_iter().chain(narrow_samples()).chain(extreme) {
            let profile = Profile::new(&values).unwrap();
            assert_close(profile.bisected(), profile.shape(), 1e-11);
        }
    }

    /// The project's handbook, §3, computed; more digits by bisection of g in Python's `decimal` with 50 digits. The
    /// handbook prints the first shape as 5.6005818717, wrong from the ninth decimal on.
    #[test]
    fn extremes_are_fitted_as_the_handbook_says() {
        let mut one_far_out = vec![212.0; 29];
        one_far_out.push(1.0);
        let rows = [
            (one_far_out, 5.600_581_874_664_163, 210.720_593_626_576_8),
            (
                vec![1.0, 212.0, 212.0],
                0.596_030_368_063_742_3,
                111.097_390_151_649_9,
            ),
            (
                all_but_one_equal(29),
                10_964.993_160_052_37,
                365.998_868_403_422_5,
            ),
            (
                all_but_one_equal(999),
                365_499.772_001_710_2,
                365.999_998_998_129_8,
            ),
        ];
        for (values, shape, scale) in rows {
            let computed = fit_shape_scale(&values).unwrap();
            assert_close(computed.0, shape, 1e-12);
            assert_close(computed.1, scale, 1e-14);
        }
    }

    /// ln(y/max) from the quotient would lose nine digits here. Expected: bisection of g in Python's `decimal` with 60
    /// digits.
    #[test]
    fn values_that_hardly_differ_keep_their_digits() {
        let (shape, scale) = fit_shape_scale(&[1e9, 1e9 + 1.0, 1e9 + 2.0]).unwrap();
        assert_close(shape, 1_394_957_346.636_338, 1e-12);
        assert_close(scale, 1_000_000_001.405_614, 1e-15);
    }

    /// Far above the root g is nearly flat, and Newton's step would end below 0.
    #[test]
    fn a_step_that_leaves_the_positive_shapes_is_a_halving() {
        let profile = Profile::new(&A).unwrap();
        assert_near(profile.step(1e4), 5e3, 0.0);
    }

    #[test]
    fn what_cannot_be_fitted_says_why() {
        assert_eq!(fit(&[]), Err(NoFit::TooFew));
        assert_eq!(fit(&[100.0, 101.0]), Err(NoFit::TooFew));
        assert_eq!(fit(&[100.0; 30]), Err(NoFit::AllEqual));
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(fit(&[100.0, 101.0, bad]), Err(NoFit::NotPositive));
            assert_eq!(fit_shape_scale(&[100.0, 101.0, bad]), None);
        }
        assert_eq!(fit_shape_scale(&[100.0, 101.0]), None);
        assert_eq!(fit_shape_scale(&[100.0; 30]), None);
    }

    /// Definition: at the scale 1 − 1/e lie below, whatever the shape; y^k overflows from shape 123 at 330 on.
    #[test]
    fn a_huge_shape_keeps_its_digits() {
        for shape in [
            0.5, 1.0, 10.0, 123.0, 130.0, 1_397.0, 10_965.0, 365_500.0, 1e9,
        ] {
            for scale in [1e-3, 1.0, 100.0, 330.0, 1e6] {
                let weibull = Weibull { shape, scale };
                let one_in_e = libm::exp(-1.0);
                assert_near(weibull.probability_below(scale), 1.0 - one_in_e, 1e-15);
                assert_near(weibull.probability_beyond(scale), one_in_e, 1e-15);
                assert_near(weibull.probability_below(0.0), 0.0, 0.0);
                assert_near(weibull.probability_beyond(-1.0), 1.0, 0.0);
                assert_near(weibull.probability_below(f64::INFINITY), 1.0, 0.0);
                assert!(weibull.probability_below(f64::NAN).is_nan());
            }
        }
    }

    #[test]
    fn quantiles_and_probabilities_are_inverse() {
        for shape in [0.6, 2.0, 11.65, 140.0, 1_397.0, 10_965.0] {
            let weibull = Weibull {
                shape,
                scale: 105.0,
            };
            for thousandth in 1..1000 {
                let probability = f64::from(thousandth) / 1000.0;
                let value = weibull.quantile(probability).unwrap();
                // A last digit of the value is `shape` last digits of (y/s)^k.
                let tolerance = 1e-15 * (1.0 + shape);
                assert_near(weibull.probability_below(value), probability, tolerance);
                assert_near(
                    weibull.probability_beyond(value),
                    1.0 - probability,
                    tolerance,
                );
            }
        }
        let weibull = Weibull {
            shape: 2.0,
            scale: 1.0,
        };
        for outside in [-0.1, 0.0, 1.0, 1.1, f64::NAN] {
            assert_eq!(weibull.quantile(outside), None);
        }
    }

    /// (0.1)^400 underflows; its logarithm, and so A², does not. The expected value is the definition with ln F = k
    /// ln(y/s) by hand.
    #[test]
    fn a_tail_that_underflows_still_counts() {
        let weibull = Weibull {
            shape: 400.0,
            scale: 100.0,
        };
        let tails = |value: f64| log_tails(weibull.shape * log_ratio(value, weibull.scale));
        let (below, beyond) = tails(10.0);
        assert_close(below, -400.0 * core::f64::consts::LN_10, 1e-14);
        assert_near(beyond, 0.0, 0.0);
        let a2 = anderson_darling_a2(&[(below, beyond), tails(100.0)]);
        let at_scale = libm::log(-libm::expm1(-1.0));
        // −2 − 1/2 [1 (ln F₁ + ln(1 − F₂)) + 3 (ln F₂ + ln(1 − F₁))], and ln(1 − F₂) = −1, ln(1 − F₁) = 0
        let by_hand = -2.0 - 0.5 * (below - 1.0) - 1.5 * at_scale;
        assert_close(a2, by_hand, 1e-14);
        let mut one_far_out: Vec<f64> = (0..29).map(|day| 360.0 + f64::from(day % 3)).collect();
        one_far_out.push(1.0);
        assert!(fit(&one_far_out).unwrap().ad_a2.is_finite());
    }

    /// What a stretch of the unit must do: the shape stays, the scale stretches, ln L falls by n ln of it.
    #[test]
    fn the_unit_of_the_values_does_not_matter() {
        let fitted = fit(&A).unwrap();
        for unit in [1e-200, 1e-9, 0.1, 3.0, 24.0, 1e12, 1e200] {
            let stretched = fit(&A.map(|value| value * unit)).unwrap();
            assert_close(stretched.shape, fitted.shape, 1e-12);
            assert_close(stretched.scale, fitted.scale * unit, 1e-12);
            let expected = fitted.log_likelihood - 10.0 * libm::log(unit);
            assert_close(stretched.log_likelihood, expected, 1e-12);
            assert_close(stretched.ks_d, fitted.ks_d, 1e-11);
            assert_close(stretched.ad_a2, fitted.ad_a2, 1e-11);
        }
    }

    /// What is most likely: no other shape or scale nearby is more so. And the sum of (y/s)^k is n there.
    #[test]
    fn the_fit_is_the_likeliest() {
        let mut random = scattered(3);
        for count in 3..60_usize {
            let truth = Weibull {
                shape: 1.0 + 20.0 * random.next().unwrap(),
                scale: 105.0,
            };
            let draw = |share: f64| truth.quantile(share).unwrap();
            let values: Vec<f64> = random.by_ref().take(count).map(draw).collect();
            let fitted = fit(&values).unwrap();
            let n = count as f64;
            let log_likelihood = |shape: f64, scale: f64| -> f64 {
                let weibull = Weibull { shape, scale };
                let density = |y: &f64| {
                    libm::log(shape / scale) + (shape - 1.0) * log_ratio(*y, scale)
                        - weibull.hazard(*y)
                };
                values.iter().map(density).sum()
            };
            let best = log_likelihood(fitted.shape, fitted.scale);
            assert_near(best, fitted.log_likelihood, 1e-11 * n);
            for (more_shape, more_scale) in [(1.001, 1.0), (0.999, 1.0), (1.0, 1.001), (1.0, 0.999)]
            {
                let shape = fitted.shape * more_shape;
                assert!(log_likelihood(shape, fitted.scale * more_scale) < best);
            }
            let hazards = values.iter().map(|y| fitted.weibull().hazard(*y));
            assert_close(hazards.sum::<f64>(), n, 1e-12);
            assert!(fitted.ks_d > 0.5 / n - 1e-12 && fitted.ks_d < 1.0 && fitted.ad_a2 > 0.0);
        }
    }

    /// The project's handbook, §3, computed (100,000 samples): the mean of fitted over true shape. Here 4,000 samples
    /// a row; limit 5 standard errors.
    #[test]
    fn short_samples_look_sharper_than_they_are() {
        let mut random = scattered(5);
        for (count, printed) in [(5, 1.45), (10, 1.170), (20, 1.076), (30, 1.050)] {
            let ratios: Vec<f64> = (0..4000)
                .map(|_| {
                    // Shape and scale 1: −ln of a share.
                    let drawn = random.by_ref().take(count).map(|share| -libm::log(share));
                    fit_shape_scale(&drawn.collect::<Vec<f64>>()).unwrap().0
                })
                .collect();
            let mean = ratios.iter().sum::<f64>() / 4000.0;
            let squares = ratios.iter().map(|ratio| (ratio - mean) * (ratio - mean));
            let error = (squares.sum::<f64>() / 4000.0 / 3999.0).sqrt();
            assert_near(mean, printed, 5.0 * error + 0.005); // and half of the last printed digit of 1.45
        }
    }
}
