//! The bootstrap: numbers drawn from a seed, and the interval that replicates span.
//!
//! The generators are named and checked against their published outputs, so that a seed means the same draws on every
//! machine and in every version.
//!
//! Sources: bootstrap, Efron 1979, Ann. Stat. 7, 1-26 (from memory), Efron & Tibshirani 1993, ch. 13 (from memory);
//! `SplitMix64`, Steele, Lea & Flood 2014, OOPSLA (from memory); xoshiro256++, Blackman & Vigna 2021, ACM TOMS 47(4)
//! (from memory); index, Lemire 2019, ACM TOMACS 29(1) (from memory).

use super::quantile::between;

/// The generator that fills the state of another; also a good mixer of one number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SplitMix64 {
    state: u64,
}

impl SplitMix64 {
    /// Starts at a seed; every one is good.
    ///
    /// # Examples
    /// ```
    /// use fairspell::statistics::SplitMix64;
    /// assert_eq!(SplitMix64::new(1_234_567).draw(), 6_457_827_717_110_365_317);
    /// ```
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self { state: seed }
    }

    /// The next number of 64 bits.
    ///
    /// # Examples
    /// ```
    /// use fairspell::statistics::SplitMix64;
    /// let mut generator = SplitMix64::new(0);
    /// assert_eq!(generator.draw(), 0xe220_a839_7b1d_cdaf);
    /// assert_eq!(generator.draw(), 0x6e78_9e6a_a1b9_65f4);
    /// ```
    pub fn draw(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.state;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }
}

/// Random numbers from a seed: xoshiro256++, its state filled by [`SplitMix64`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Generator {
    state: [u64; 4],
}

impl Generator {
    /// What it is called in the output.
    ///
    /// # Examples
    /// ```
    /// assert_eq!(fairspell::statistics::Generator::NAME, "xoshiro256++, seeded by SplitMix64");
    /// ```
    pub const NAME: &'static str = "xoshiro256++, seeded by SplitMix64";

    /// Starts at a seed; every one is good.
    ///
    /// # Examples
    /// ```
    /// use fairspell::statistics::Generator;
    /// assert_eq!(Generator::new(42).draw(), 15_021_278_609_987_233_951);
    /// ```
    #[must_use]
    pub fn new(seed: u64) -> Self {
        let mut filler = SplitMix64::new(seed);
        Self {
            state: [(); 4].map(|()| filler.draw()),
        }
    }

    /// Starts one of several streams of a seed, so that what is drawn in one does not hang on what was drawn in others.
    ///
    /// - `stream`: a number of the stream. The stream's own seed is [`SplitMix64`] of `seed` XOR `stream`: two seeds
    ///   that differ in low bits share streams of low numbers, in another order.
    ///
    /// # Examples
    /// ```
    /// use fairspell::statistics::Generator;
    /// assert_ne!(Generator::of_stream(42, 0).draw(), Generator::of_stream(42, 1).draw());
    /// assert_eq!(Generator::of_stream(42, 7), Generator::of_stream(42, 7));
    /// ```
    #[must_use]
    pub fn of_stream(seed: u64, stream: u64) -> Self {
        Self::new(SplitMix64::new(seed ^ stream).draw())
    }

    /// The next number of 64 bits.
    ///
    /// # Examples
    /// ```
    /// let mut generator = fairspell::statistics::Generator::new(0);
    /// assert_eq!(generator.draw(), 5_987_356_902_031_041_503);
    /// ```
    pub fn draw(&mut self) -> u64 {
        let [mut s0, mut s1, mut s2, mut s3] = self.state;
        let drawn = s0.wrapping_add(s3).rotate_left(23).wrapping_add(s0);
        let shifted = s1 << 17;
        s2 ^= s0;
        s3 ^= s1;
        s1 ^= s2;
        s0 ^= s3;
        s2 ^= shifted;
        s3 = s3.rotate_left(45);
        self.state = [s0, s1, s2, s3];
        drawn
    }

    /// A number from 0 to `count` − 1, each equally likely, without a bias of the remainder; 0 if `count` is 0.
    ///
    /// # Examples
    /// ```
    /// let mut generator = fairspell::statistics::Generator::new(42);
    /// assert_eq!([(); 4].map(|()| generator.index(30)), [24, 9, 29, 21]);
    /// ```
    pub fn index(&mut self, count: u64) -> u64 {
        if count == 0 {
            return 0;
        }
        let (mut high, mut low) = product(self.draw(), count);
        if low < count {
            let least = count.wrapping_neg() % count; // 2^64 mod count
            while low < least {
                (high, low) = product(self.draw(), count);
            }
        }
        high
    }

    /// A number from 0 up to, not including, 1: a multiple of 2⁻⁵³.
    ///
    /// # Examples
    /// ```
    /// let mut generator = fairspell::statistics::Generator::new(42);
    /// assert_eq!(generator.uniform(), 0.814_305_145_122_909_86);
    /// ```
    pub fn uniform(&mut self) -> f64 {
        (self.draw() >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// The upper and the lower 64 bits of a product.
#[expect(
    clippy::cast_possible_truncation,
    reason = "each half of 128 bits is meant to be cut to 64"
)]
fn product(one: u64, other: u64) -> (u64, u64) {
    let product = u128::from(one) * u128::from(other);
    ((product >> 64) as u64, product as u64)
}

/// The percentile interval of a bootstrap: the 2.5 % and 97.5 % quantiles of `replicates`, which are sorted in place.
///
/// Quantiles by type 7 of Hyndman & Fan, at (R − 1) p from the smallest: the replicates are many, and are not a record
/// of years whose positions mean something. Infinite replicates count in the order. `None` for fewer than two
/// replicates, if one is NaN, or if a replicate that an end needs is infinite.
///
/// # Examples
/// ```
/// use fairspell::statistics::interval_95;
/// let mut replicates: Vec<f64> = (0..=40).map(f64::from).collect();
/// assert_eq!(interval_95(&mut replicates), Some((1.0, 39.0)));
/// replicates.fill(f64::INFINITY);
/// assert_eq!(interval_95(&mut replicates), None);
/// ```
#[must_use]
pub fn interval_95(replicates: &mut [f64]) -> Option<(f64, f64)> {
    if replicates.iter().any(|replicate| replicate.is_nan()) {
        return None;
    }
    replicates.sort_unstable_by(f64::total_cmp);
    let last = replicates.len().checked_sub(1).filter(|last| *last > 0)?;
    let end = |thousandths: usize| {
        let rank = last.checked_mul(thousandths)?;
        between(replicates, rank / 1000, (rank % 1000) as f64 / 1000.0)
    };
    Some((end(25)?, end(975)?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::samples::{A, assert_near};
    use crate::statistics::{Weibull, fit_shape_scale, quantile};

    /// Ten days drawn from A with replacement, by the places drawn.
    fn places(generator: &mut Generator) -> [usize; 10] {
        [(); 10].map(|()| usize::try_from(generator.index(10)).unwrap())
    }

    /// Vigna's C code, widely quoted.
    #[test]
    fn splitmix64_gives_its_published_outputs() {
        let mut generator = SplitMix64::new(1_234_567);
        let published = [
            6_457_827_717_110_365_317,
            3_203_168_211_198_807_973,
            9_817_491_932_198_370_423,
            4_593_380_528_125_082_431,
            16_408_922_859_458_223_821,
        ];
        assert_eq!([(); 5].map(|()| generator.draw()), published);
        let mut generator = SplitMix64::new(0);
        let published = [
            0xe220_a839_7b1d_cdaf,
            0x6e78_9e6a_a1b9_65f4,
            0x06c4_5d18_8009_454f,
        ];
        assert_eq!([(); 3].map(|()| generator.draw()), published);
    }

    /// The reference C code of xoshiro256++, quoted in the Rust crate `rand_xoshiro`.
    #[test]
    fn xoshiro256_plus_plus_gives_its_published_outputs() {
        let mut generator = Generator {
            state: [1, 2, 3, 4],
        };
        let published = [
            41_943_041,
            58_720_359,
            3_588_806_011_781_223,
            3_591_011_842_654_386,
            9_228_616_714_210_784_205,
            9_973_669_472_204_895_162,
            14_011_001_112_246_962_877,
            12_406_186_145_184_390_807,
            15_849_039_046_786_891_736,
            10_450_023_813_501_588_000,
        ];
        assert_eq!([(); 10].map(|()| generator.draw()), published);
    }

    /// The project's handbook, §5, computed; seeds 42 and 0 agree with several independent ports.
    #[test]
    fn seeds_give_the_outputs_of_the_handbook() {
        let mut generator = Generator::new(42);
        let state = [
            13_679_457_532_755_275_413,
            2_949_826_092_126_892_291,
            5_139_283_748_462_763_858,
            6_349_198_060_258_255_764,
        ];
        assert_eq!(generator.state, state);
        let outputs = [
            15_021_278_609_987_233_951,
            5_881_210_131_331_364_753,
            18_149_643_915_985_481_100,
            12_933_668_939_759_105_464,
            14_637_574_242_682_825_331,
        ];
        assert_eq!([(); 5].map(|()| generator.draw()), outputs);
        let mut generator = Generator::new(0);
        let outputs = [
            5_987_356_902_031_041_503,
            7_051_070_477_665_621_255,
            6_633_766_593_972_829_180,
        ];
        assert_eq!([(); 3].map(|()| generator.draw()), outputs);
        let mut generator = Generator::new(20_261_125);
        let outputs = [
            8_115_204_054_138_096_574,
            5_126_189_016_147_486_222,
            6_194_413_277_072_316_434,
        ];
        assert_eq!([(); 3].map(|()| generator.draw()), outputs);
    }

    /// The project's handbook, §5, computed. The last row rejects: 2^64 mod 3 · 2^62 is 2^62.
    #[test]
    fn indices_are_those_of_the_handbook() {
        let mut generator = Generator::new(42);
        let indices = [24, 9, 29, 21, 23, 17, 3, 18, 6, 28, 16, 25];
        assert_eq!([(); 12].map(|()| generator.index(30)), indices);
        let mut generator = Generator::new(42);
        let indices = [8, 3, 9, 7, 7, 5, 1, 6, 2, 9, 5, 8];
        assert_eq!([(); 12].map(|()| generator.index(10)), indices);
        let mut generator = Generator::new(42);
        let indices = [
            11_265_958_957_490_425_463,
            4_410_907_598_498_523_564,
            10_978_180_682_012_118_998,
            8_136_376_425_801_098_973,
        ];
        assert_eq!([(); 4].map(|()| generator.index(3 << 62)), indices);
    }

    /// The project's handbook, §5, computed.
    #[test]
    fn uniform_numbers_are_those_of_the_handbook() {
        let mut generator = Generator::new(42);
        let printed = [
            0.814_305_145_122_909_9,
            0.318_821_040_061_661_1,
            0.983_894_168_177_488_8,
        ];
        for printed in printed {
            assert_near(generator.uniform(), printed, 0.0); // the printed 17 digits name these doubles
        }
    }

    /// Each of seven indices has 10,000 ± 93 of 70,000 draws; a biased draw of a small count cannot be seen, but a
    /// wrong one can. Limit 5 standard deviations, the seed is fixed.
    #[test]
    fn indices_are_below_their_count_and_even() {
        let mut generator = Generator::new(7);
        let mut counts = [0_i32; 7];
        for _ in 0..70_000 {
            counts[usize::try_from(generator.index(7)).unwrap()] += 1;
        }
        for count in counts {
            assert!((count - 10_000).abs() < 465, "{counts:?}");
        }
        assert_eq!((generator.index(1), generator.index(0)), (0, 0));
        for bits in 0..64 {
            assert!(generator.index(1 << bits) < 1 << bits);
        }
        assert!(generator.index(u64::MAX) < u64::MAX);
    }

    /// Three quarters of 2^64 is the count at which the remainder of a plain product is most uneven: it would take
    /// every second third of the range twice as often.
    #[test]
    fn indices_of_a_huge_count_have_no_bias() {
        let mut generator = Generator::new(11);
        let mut of_three = [0_i32; 3];
        for _ in 0..30_000 {
            of_three[usize::try_from(generator.index(3 << 62) % 3).unwrap()] += 1;
        }
        for count in of_three {
            assert!((count - 10_000).abs() < 409, "{of_three:?}"); // 5 standard deviations
        }
    }

    #[test]
    fn streams_of_one_seed_differ_and_come_again() {
        let first = |stream: u64| Generator::of_stream(20_261_125, stream).draw();
        let mut drawn: Vec<u64> = (0..1000).map(first).collect();
        assert_eq!(first(3), drawn[3]);
        drawn.sort_unstable();
        drawn.dedup();
        assert_eq!(drawn.len(), 1000);
        let mixed = SplitMix64::new(0b1010 ^ 0b0011).draw();
        assert_eq!(Generator::of_stream(0b1010, 0b0011), Generator::new(mixed));
    }

    /// The project's handbook, §5, computed: the first replicate of the check end to end.
    #[test]
    fn the_first_replicate_is_that_of_the_handbook() {
        let mut generator = Generator::new(20_261_125);
        let drawn = places(&mut generator);
        assert_eq!(drawn, [4, 2, 3, 2, 5, 5, 3, 8, 5, 3]);
        let mut days = drawn.map(|place| A[place]);
        days.sort_by(f64::total_cmp);
        let quantiles = [10, 50, 90].map(|percent| quantile(&days, percent));
        for (computed, printed) in quantiles.into_iter().zip([95.0, 98.5, 109.2]) {
            assert_near(computed.unwrap(), printed, 1e-12);
        }
    }

    /// The project's handbook, §5, computed: A, seed 20261125, 2,000 replicates; the fits have the same draws.
    #[test]
    fn a_whole_bootstrap_gives_the_intervals_of_the_handbook() {
        let mut generator = Generator::new(20_261_125);
        let mut empirical = [(); 3].map(|()| Vec::new());
        let mut fitted = [(); 3].map(|()| Vec::new());
        for _ in 0..2000 {
            let days = places(&mut generator).map(|place| A[place]);
            let mut ascending = days;
            ascending.sort_by(f64::total_cmp);
            let (shape, scale) = fit_shape_scale(&days).unwrap();
            let weibull = Weibull { shape, scale };
            for (index, percent) in [10, 50, 90].into_iter().enumerate() {
                empirical[index].push(quantile(&ascending, percent).unwrap());
                let day = weibull.quantile(f64::from(percent) / 100.0);
                fitted[index].push(day.unwrap());
            }
        }
        let printed = [
            (83.0, 98.0, 86.785_45),
            (93.0, 108.5, 100.84),
            (104.0, 118.0, 114.427_85),
        ];
        for (days, (low, high, mean)) in empirical.iter_mut().zip(printed) {
            let computed = interval_95(days).unwrap();
            assert_near(computed.0, low, 1e-9);
            assert_near(computed.1, high, 1e-9);
            assert_near(days.iter().sum::<f64>() / 2000.0, mean, 1e-9);
        }
        let printed = [
            (79.154_542_766_8, 96.171_910_763_6),
            (95.480_450_486_6, 107.694_041_526),
            (103.547_453_716, 118.003_765_559),
        ];
        for (days, (low, high)) in fitted.iter_mut().zip(printed) {
            let computed = interval_95(days).unwrap();
            assert_near(computed.0, low, 1e-9);
            assert_near(computed.1, high, 1e-9);
        }
    }

    /// Type 7 by hand: with R replicates the ends are 0.025 (R − 1) and 0.975 (R − 1) places from the smallest.
    #[test]
    fn ends_lie_between_replicates() {
        let mut eleven: Vec<f64> = (0..11).rev().map(f64::from).collect();
        let (low, high) = interval_95(&mut eleven).unwrap();
        assert_near(low, 0.25, 1e-12);
        assert_near(high, 9.75, 1e-12);
        let mut many: Vec<f64> = (0..2000).map(f64::from).collect();
        let (low, high) = interval_95(&mut many).unwrap();
        assert_near(low, 49.975, 1e-9);
        assert_near(high, 1949.025, 1e-9);
        assert_eq!(interval_95(&mut [4.0, 4.0]), Some((4.0, 4.0)));
    }

    #[test]
    fn an_infinite_end_leaves_no_interval() {
        let with = |infinite: usize, value: f64| {
            let finite = (infinite..201).map(|_| 5.0);
            let all = core::iter::repeat_n(value, infinite).chain(finite);
            interval_95(&mut all.collect::<Vec<f64>>())
        };
        // 201 replicates: the ends are 5 places from each side, to the place.
        assert_eq!(with(5, f64::NEG_INFINITY), Some((5.0, 5.0)));
        assert_eq!(with(6, f64::NEG_INFINITY), None);
        assert_eq!(with(5, f64::INFINITY), Some((5.0, 5.0)));
        assert_eq!(with(6, f64::INFINITY), None);
        assert_eq!(with(1, f64::NAN), None);
        assert_eq!(interval_95(&mut []), None);
        assert_eq!(interval_95(&mut [1.0]), None);
    }
}
