//! Drawing with replacement, by a generator of our own that is checked against its published outputs.
//!
//! Sources: `SplitMix64`: Steele, Lea & Flood, OOPSLA 2014; xoshiro256++: Blackman & Vigna, ACM TOMS 47 (2021) no. 4;
//! bounded numbers: Lemire, ACM TOMACS 29 (2019) no. 1; percentile interval: Efron 1979, Ann. Stat. 7, 1.

/// Name of the generator, for answers.
pub const GENERATOR: &str = "xoshiro256++ filled by SplitMix64";

/// A stream of numbers that a seed fixes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Generator([u64; 4]);

impl Generator {
    /// The stream of a seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        let mut state = seed;
        Self([(); 4].map(|()| split_mix(&mut state)))
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        let [s0, s1, s2, s3] = self.0;
        let out = s0.wrapping_add(s3).rotate_left(23).wrapping_add(s0);
        let (s2, s3) = (s2 ^ s0, s3 ^ s1);
        self.0 = [s0 ^ s3, s1 ^ s2, s2 ^ (s1 << 17), s3.rotate_left(45)];
        out
    }

    /// A whole number below `count`, each as likely; 0 for a count of 0.
    ///
    /// ```
    /// let mut generator = fairspell::statistics::Generator::new(42);
    /// let drawn: Vec<u64> = (0..5).map(|_| generator.index(30)).collect();
    /// assert_eq!(drawn, [24, 9, 29, 21, 23]);
    /// ```
    pub fn index(&mut self, count: u64) -> u64 {
        if count == 0 {
            return 0;
        }
        let mut product = u128::from(self.bits()) * u128::from(count);
        if low(product) < count {
            let rest = count.wrapping_neg() % count;
            while low(product) < rest {
                product = u128::from(self.bits()) * u128::from(count);
            }
        }
        low(product >> 64)
    }
}

fn low(wide: u128) -> u64 {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "the lower half is what is wanted"
    )]
    let low = wide as u64;
    low
}

fn split_mix(state: &mut u64) -> u64 {
    *state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let z = (*state ^ (*state >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// The 2.5 and 97.5 % points of replicates (type 7: linear between order statistics, from the least to the greatest);
/// `None` of fewer than two, or where an end is infinite.
pub fn interval_95(replicates: &mut [f64]) -> Option<(f64, f64)> {
    replicates.sort_unstable_by(f64::total_cmp);
    let last = replicates.len().checked_sub(1).filter(|last| *last > 0)?;
    // In whole numbers: 25 and 975 thousandths of the way.
    let at = |thousandths: usize| {
        let place = last * thousandths;
        let (whole, part) = (place / 1000, (place % 1000) as f64 / 1000.0);
        let below = *replicates.get(whole)?;
        let above = *replicates.get((whole + 1).min(last))?;
        let value = if part > 0.0 {
            below + part * (above - below)
        } else {
            below
        };
        value.is_finite().then_some(value)
    };
    Some((at(25)?, at(975)?))
}

#[cfg(test)]
mod tests {
    use super::super::{fit_shape_scale, quantile};
    use super::*;

    /// Published: Vigna's C code of `SplitMix64` and xoshiro256++, the latter as quoted in `rand_xoshiro`.
    #[test]
    fn the_generator_gives_its_published_outputs() {
        let mut state = 1_234_567;
        let split: Vec<u64> = (0..5).map(|_| split_mix(&mut state)).collect();
        assert_eq!(
            split,
            [
                6_457_827_717_110_365_317,
                3_203_168_211_198_807_973,
                9_817_491_932_198_370_423,
                4_593_380_528_125_082_431,
                16_408_922_859_458_223_821
            ]
        );
        let mut generator = Generator([1, 2, 3, 4]);
        let out: Vec<u64> = (0..6).map(|_| generator.bits()).collect();
        assert_eq!(
            out,
            [
                41_943_041,
                58_720_359,
                3_588_806_011_781_223,
                3_591_011_842_654_386,
                9_228_616_714_210_784_205,
                9_973_669_472_204_895_162
            ]
        );
        assert_eq!(Generator::new(42).bits(), 15_021_278_609_987_233_951);
        assert_eq!(Generator::new(20_261_125).bits(), 8_115_204_054_138_096_574);
    }

    /// Computed by independent ports of Lemire's method on the seed 42; the last has rejections.
    #[test]
    fn bounded_numbers_agree_with_independent_ports() {
        let drawn = |count: u64, times: usize| {
            let mut generator = Generator::new(42);
            (0..times)
                .map(|_| generator.index(count))
                .collect::<Vec<u64>>()
        };
        assert_eq!(drawn(30, 12), [24, 9, 29, 21, 23, 17, 3, 18, 6, 28, 16, 25]);
        assert_eq!(drawn(10, 12), [8, 3, 9, 7, 7, 5, 1, 6, 2, 9, 5, 8]);
        assert_eq!(
            drawn(3 << 62, 4),
            [
                11_265_958_957_490_425_463,
                4_410_907_598_498_523_564,
                10_978_180_682_012_118_998,
                8_136_376_425_801_098_973
            ]
        );
    }

    /// Computed end to end by an independent program: ten dates, seed 20261125, 2,000 replicates.
    #[test]
    fn a_bootstrap_agrees_end_to_end() {
        let a = [
            83.0, 91.0, 95.0, 98.0, 99.0, 102.0, 104.0, 107.0, 110.0, 118.0,
        ];
        let mut generator = Generator::new(20_261_125);
        let (mut empirical, mut fitted): ([Vec<f64>; 3], [Vec<f64>; 3]) = Default::default();
        for _ in 0..2000 {
            let mut drawn: Vec<f64> = (0..10)
                .map(|_| a[usize::try_from(generator.index(10)).unwrap()])
                .collect();
            drawn.sort_by(f64::total_cmp);
            let (shape, scale) = fit_shape_scale(&drawn).unwrap();
            for (index, percent) in [10_u32, 50, 90].into_iter().enumerate() {
                empirical[index].push(quantile(&drawn, percent).unwrap());
                let below = f64::from(percent) / 100.0;
                fitted[index].push(scale * libm::pow(-libm::log1p(-below), 1.0 / shape));
            }
        }
        let wanted = [(83.0, 98.0), (93.0, 108.5), (104.0, 118.0)];
        for (all, wanted) in empirical.iter_mut().zip(wanted) {
            let found = interval_95(all).unwrap();
            assert!(
                (found.0 - wanted.0).abs() < 1e-9 && (found.1 - wanted.1).abs() < 1e-9,
                "{found:?}"
            );
        }
        let wanted = [
            (79.154_542_766_8, 96.171_910_763_6),
            (95.480_450_486_6, 107.694_041_526),
            (103.547_453_716, 118.003_765_559),
        ];
        for (all, wanted) in fitted.iter_mut().zip(wanted) {
            let found = interval_95(all).unwrap();
            assert!(
                (found.0 - wanted.0).abs() < 1e-7 && (found.1 - wanted.1).abs() < 1e-7,
                "{found:?}"
            );
        }
    }
}
