//! The chance that an error with memory stays within a band in every hour that counts.
//!
//! The error, counted in its standard deviations, is a path of standard normal numbers: from hour to hour it keeps a
//! share φ of itself and takes a new part, z' = φ z + √(1 − φ²) w. The density of paths that have stayed in their bands
//! so far is carried from hour to hour by Gauss–Legendre quadrature: exact to five digits, without a seed.
//!
//! Source: the project's handbook, physics §9, model, steps 1 to 3; the quadrature is Gauss's (Abramowitz & Stegun
//! 1964, table 25.4, from memory).

use core::f64::consts::{LN_2, LOG2_E, PI};

use crate::statistics::normal_cdf;

/// Standard deviations at which bands are cut: beyond lie 3 paths in 10 million. The project's handbook, physics §9.
const CUT: f64 = 5.0;
/// Length of a panel, in standard deviations of one step, that 32 nodes bear. Ours, so that the handbook's values come out
/// to their sixth digit; 32 nodes on ±5 at φ = 0.95, a length of 32 such steps, give four.
const STEPS_A_PANEL: f64 = 22.0;
/// Length of a band, likewise, that two panels of 24 nodes bear. Ours, see above.
const STEPS_IN_TWO: f64 = 33.0;
/// Most panels: they are needed where the memory is nearly whole. Ours.
const MAX_PANELS: u8 = 16;
/// Standard deviations of one step beyond which its density is taken as nothing: 1 in 10⁸. Ours.
const FAR: f64 = 6.0;

/// Positive half of the nodes on −1 to 1, and their weights, of the Gauss–Legendre rule with 32 nodes. Computed as the
/// roots of the Legendre polynomial to 50 digits.
const HALF: [(f64, f64); 16] = [
    (0.048_307_665_687_738_32, 0.096_540_088_514_727_8),
    (0.144_471_961_582_796_5, 0.095_638_720_079_274_86),
    (0.239_287_362_252_137_06, 0.093_844_399_080_804_57),
    (0.331_868_602_282_127_67, 0.091_173_878_695_763_89),
    (0.421_351_276_130_635_33, 0.087_652_093_004_403_81),
    (0.506_899_908_932_229_4, 0.083_311_924_226_946_75),
    (0.587_715_757_240_762_3, 0.078_193_895_787_070_31),
    (0.663_044_266_930_215_2, 0.072_345_794_108_848_5),
    (0.732_182_118_740_289_7, 0.065_822_222_776_361_85),
    (0.794_483_795_967_942_4, 0.058_684_093_478_535_544),
    (0.849_367_613_732_57, 0.050_998_059_262_376_175),
    (0.896_321_155_766_052_1, 0.042_835_898_022_226_68),
    (0.934_906_075_937_739_7, 0.034_273_862_913_021_43),
    (0.964_762_255_587_506_4, 0.025_392_065_309_262_06),
    (0.985_611_511_545_268_4, 0.016_274_394_730_905_67),
    (0.997_263_861_849_481_6, 0.007_018_610_009_470_096),
];

/// The same of the rule with 24 nodes.
const HALF_24: [(f64, f64); 12] = [
    (0.064_056_892_862_605_63, 0.127_938_195_346_752_16),
    (0.191_118_867_473_616_3, 0.125_837_456_346_828_3),
    (0.315_042_679_696_163_4, 0.121_670_472_927_803_39),
    (0.433_793_507_626_045_1, 0.115_505_668_053_725_6),
    (0.545_421_471_388_839_6, 0.107_444_270_115_965_63),
    (0.648_093_651_936_975_5, 0.097_618_652_104_113_88),
    (0.740_124_191_578_554_4, 0.086_190_161_531_953_27),
    (0.820_001_985_973_903, 0.073_346_481_411_080_3),
    (0.886_415_527_004_401_1, 0.059_298_584_915_436_78),
    (0.938_274_552_002_732_8, 0.044_277_438_817_419_81),
    (0.974_728_555_971_309_5, 0.028_531_388_628_933_663),
    (0.995_187_219_997_021_3, 0.012_341_229_799_987_2),
];

/// The band of one hour, in standard deviations of the error about its mean; either end may be infinite.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// The hour, counted from any one.
    pub hour: usize,
    /// Lower end.
    pub low: f64,
    /// Upper end; below the lower one the band is empty.
    pub high: f64,
}

/// The chance that the path lies in its band in each hour given.
///
/// - `bands`: one an hour, hours ascending; hours left out have no band.
/// - `memory`: φ, the correlation from one hour to the next, 0 to below 1.
///
/// No band gives 1, an empty one 0, a NaN NaN.
///
/// ```
/// use fairspell::confidence::{Band, stays_within};
/// // A day that must stay above a limit 4 °F under a forecast whose error is 3 °F: the project's handbook, physics §9.
/// let day: Vec<Band> = (0..24).map(|hour| Band { hour, low: -4.0 / 3.0, high: f64::INFINITY }).collect();
/// assert!((stays_within(&day, 0.95) - 0.673_964).abs() < 5e-6);
/// ```
#[must_use]
pub fn stays_within(bands: &[Band], memory: f64) -> f64 {
    let mut places = Vec::with_capacity(bands.len());
    for band in bands {
        if band.low.is_nan() || band.high.is_nan() {
            return f64::NAN;
        }
        if band.low > band.high || band.low >= CUT || band.high <= -CUT {
            return 0.0;
        }
        if band.low > -CUT || band.high < CUT {
            places.push(*band);
        }
    }
    let (Some((last, before)), Some(first)) = (places.split_last(), places.first()) else {
        return 1.0;
    };
    if before.is_empty() {
        return (normal_cdf(last.high) - normal_cdf(last.low)).clamp(0.0, 1.0);
    }
    let scales: Vec<Step> = places
        .windows(2)
        .filter_map(|pair| Some(Step::between(pair.first()?, pair.last()?, memory)))
        .collect();
    let finest = |at: usize| {
        let near = scales
            .get(at.saturating_sub(1)..=at.min(scales.len().saturating_sub(1)))
            .unwrap_or_default();
        near.iter().map(|step| step.deviation).fold(1.0, f64::min)
    };
    let mut mass = Mass::of(first, finest(0));
    for (at, (band, step)) in before.iter().skip(1).zip(&scales).enumerate() {
        mass = mass.carried(band, *step, finest(at + 1));
    }
    let step = scales.last().copied().unwrap_or(Step {
        kept: 0.0,
        deviation: 1.0,
    });
    mass.ends_in(last, step).clamp(0.0, 1.0)
}

/// From one band to the next: the share of the error that is kept, and the standard deviation of what comes new.
#[derive(Debug, Clone, Copy)]
struct Step {
    kept: f64,
    deviation: f64,
}

impl Step {
    fn between(from: &Band, to: &Band, memory: f64) -> Self {
        let kept = libm::pow(memory, to.hour.saturating_sub(from.hour) as f64);
        let deviation = (1.0 - kept * kept).max(1e-6).sqrt();
        Self { kept, deviation }
    }
}

/// The paths that have stayed in their bands so far: nodes in the last band, and the mass that stands at each.
#[derive(Debug)]
struct Mass(Vec<(f64, f64)>);

impl Mass {
    /// The first hour's standard normal mass.
    fn of(band: &Band, finest: f64) -> Self {
        let root = (2.0 * PI).sqrt();
        let density = |(at, weight): (f64, f64)| (at, weight * libm::exp(-0.5 * at * at) / root);
        Self(nodes(band, finest).into_iter().map(density).collect())
    }

    /// The mass a step on.
    fn carried(&self, band: &Band, step: Step, finest: f64) -> Self {
        let scale = 1.0 / (step.deviation * (2.0 * PI).sqrt());
        let half = -0.5 / (step.deviation * step.deviation);
        let far = FAR * step.deviation;
        let density = |(at, weight): (f64, f64)| {
            let begin = self
                .0
                .partition_point(|(from, _)| step.kept * from < at - far);
            let near = self.0.iter().skip(begin);
            let near = near.take_while(|(from, _)| step.kept * from <= at + far);
            let sum: f64 = near
                .map(|(from, mass)| {
                    let apart = at - step.kept * from;
                    mass * small_exp(half * apart * apart)
                })
                .sum();
            (at, weight * scale * sum)
        };
        Self(nodes(band, finest).into_iter().map(density).collect())
    }

    /// The share of it that lies in the last band a step on.
    fn ends_in(&self, band: &Band, step: Step) -> f64 {
        let inside = |from: f64| {
            let below = |end: f64| normal_cdf((end - step.kept * from) / step.deviation);
            below(band.high) - below(band.low)
        };
        self.0.iter().map(|(from, mass)| mass * inside(*from)).sum()
    }
}

/// eˣ for −40 ≤ x ≤ 0 to nine digits, by x = n ln 2 + r and the series of eʳ to r⁸: a third of the time of the exact
/// one, which would take half of an answer's. Plain arithmetic, so that every machine gives the same bits.
fn small_exp(x: f64) -> f64 {
    // Added to a number below 2⁵¹ it leaves the whole part in the last bits.
    const WHOLE: f64 = 6_755_399_441_055_744.0;
    const TERMS: [f64; 8] = [
        1.0 / 5040.0,
        1.0 / 720.0,
        1.0 / 120.0,
        1.0 / 24.0,
        1.0 / 6.0,
        0.5,
        1.0,
        1.0,
    ];
    let shifted = x * LOG2_E + WHOLE;
    let rest = x - (shifted - WHOLE) * LN_2;
    let series = TERMS
        .iter()
        .fold(1.0 / 40_320.0, |sum, term| sum * rest + term);
    let power = (shifted.to_bits() << 52).wrapping_add(1.0_f64.to_bits());
    series * f64::from_bits(power)
}

/// Nodes, ascending, and weights on a band cut at ±5, in as many panels as a step of the deviation `finest` asks for.
fn nodes(band: &Band, finest: f64) -> Vec<(f64, f64)> {
    let (low, high) = (band.low.max(-CUT), band.high.min(CUT));
    let steps = (high - low) / finest;
    let (panels, rule) = if steps > STEPS_A_PANEL && steps <= STEPS_IN_TWO {
        (2, HALF_24.as_slice())
    } else {
        let bears = |panels: &u8| f64::from(*panels) * STEPS_A_PANEL >= steps;
        let panels = (1..MAX_PANELS).find(bears).unwrap_or(MAX_PANELS);
        (panels, HALF.as_slice())
    };
    let half = (high - low) / (2.0 * f64::from(panels));
    let mut all = Vec::with_capacity(2 * rule.len() * usize::from(panels));
    for panel in 0..panels {
        let middle = low + half * (2.0 * f64::from(panel) + 1.0);
        let at = |node: f64, weight: f64| (middle + half * node, half * weight);
        all.extend(rule.iter().rev().map(|(node, weight)| at(-node, *weight)));
        all.extend(rule.iter().map(|(node, weight)| at(*node, *weight)));
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::{Generator, normal_quantile};

    fn above(margins: &[f64]) -> Vec<Band> {
        let band = |(hour, margin): (usize, &f64)| Band {
            hour,
            low: -margin,
            high: f64::INFINITY,
        };
        margins.iter().enumerate().map(band).collect()
    }

    fn constant(margin: f64, hours: usize, memory: f64) -> f64 {
        stays_within(&above(&vec![margin / 3.0; hours]), memory)
    }

    #[track_caller]
    fn assert_near(computed: f64, printed: f64, tolerance: f64) {
        assert!(
            (computed - printed).abs() <= tolerance,
            "computed {computed}, printed {printed}"
        );
    }

    /// Against the exact function, to the nine digits claimed: the first term left out is r⁹/9! at r = ln 2/2.
    #[test]
    fn the_small_exponential_has_nine_digits() {
        for step in 0..40_000 {
            let x = -f64::from(step) / 1000.0;
            assert_near(small_exp(x) / libm::exp(x), 1.0, 5e-10);
        }
    }

    /// The definition of the rules: n nodes integrate every polynomial up to degree 2 n − 1. On −1 to 1 an even power k
    /// gives 2/(k + 1), an odd one 0. The second deviation asks for two panels of 24 nodes.
    #[test]
    fn the_rules_integrate_polynomials() {
        let unit = Band {
            hour: 0,
            low: -1.0,
            high: 1.0,
        };
        assert_eq!(
            (nodes(&unit, 1.0).len(), nodes(&unit, 0.07).len()),
            (32, 48)
        );
        for (power, finest) in (0..64)
            .map(|power| (power, 1.0))
            .chain((0..48).map(|power| (power, 0.07)))
        {
            let sum: f64 = nodes(&unit, finest)
                .iter()
                .map(|(node, weight)| weight * libm::pow(*node, f64::from(power)))
                .sum();
            let exact = if power % 2 == 0 {
                2.0 / f64::from(power + 1)
            } else {
                0.0
            };
            assert_near(sum, exact, 1e-14);
        }
    }

    /// The project's handbook, physics §9, first table: sigma 3 °F, constant margin, one side. Printed to six digits
    /// (four of one); the method gives five, so 5e-6.
    #[test]
    fn constant_margins_agree_with_the_handbook() {
        let printed = [
            (2.0, 1, 0.95, 0.747_507),
            (2.0, 2, 0.95, 0.707_113),
            (2.0, 6, 0.95, 0.609_363),
            (2.0, 24, 0.95, 0.377_866),
            (4.0, 1, 0.95, 0.908_789),
            (4.0, 2, 0.95, 0.888_166),
            (4.0, 6, 0.95, 0.833_308),
            (4.0, 24, 0.95, 0.673_964),
            (2.0, 24, 0.0, 0.000_926),
            (2.0, 24, 0.90, 0.240_974),
            (2.0, 24, 0.99, 0.586_606),
            (4.0, 24, 0.0, 0.100_719),
            (4.0, 24, 0.90, 0.557_906),
            (4.0, 24, 0.99, 0.817_438),
            (9.0, 1, 0.95, 0.998_650),
            (9.0, 24, 0.95, 0.989_673),
        ];
        for (margin, hours, memory, chance) in printed {
            assert_near(constant(margin, hours, memory), chance, 5e-6);
        }
        assert_near(constant(4.0, 6, 0.90), 0.7983, 5e-5);
    }

    /// The project's handbook, physics §9, below the table: the night ramp, and a margin of 6 °F with the error of the
    /// lead; *Digits*: other widths and memories.
    #[test]
    fn ramps_and_leads_agree_with_the_handbook() {
        let ramp: Vec<f64> = (0..24)
            .map(|hour| (10.0 - 8.0 * libm::sin(PI * f64::from(hour) / 23.0)) / 3.0)
            .collect();
        assert_near(stays_within(&above(&ramp), 0.95), 0.61749, 5e-6);
        for (hours, chance) in [(6, 0.889_216), (24, 0.738_503)] {
            let leads: Vec<f64> = (0..hours)
                .map(|hour| 6.0 / (3.2 + 0.0225 * (24.0 + f64::from(hour))))
                .collect();
            assert_near(stays_within(&above(&leads), 0.95), chance, 5e-6);
        }
        for (sigma, chance) in [(2.4, 0.905), (3.0, 0.833), (3.6, 0.770)] {
            assert_near(stays_within(&above(&[4.0 / sigma; 6]), 0.95), chance, 5e-4);
        }
        for (memory, chance) in [(0.90, 0.798), (0.95, 0.833), (0.98, 0.863)] {
            assert_near(constant(4.0, 6, memory), chance, 5e-4);
        }
    }

    /// The project's handbook, physics §9: rain, 12 (24) hours at an hourly chance of 10 %. Printed to four digits.
    #[test]
    fn dry_spells_agree_with_the_handbook() {
        let printed = [
            (0.0, 0.2824, 0.0798),
            (0.9, 0.6844, 0.5321),
            (0.95, 0.7550, 0.6525),
            (0.99, 0.8412, 0.8030),
        ];
        let dry = normal_quantile(0.9);
        for (memory, half_a_day, a_day) in printed {
            assert_near(stays_within(&above(&[dry; 12]), memory), half_a_day, 6e-5);
            assert_near(stays_within(&above(&[dry; 24]), memory), a_day, 6e-5);
        }
    }

    /// A second way: paths drawn with the project's own generator. With 20,000 paths the standard error is at most
    /// 0.0036; three of them.
    #[test]
    fn drawn_paths_agree() {
        let bands: Vec<Band> = (0..30)
            .filter(|hour| hour % 7 != 3)
            .map(|hour| Band {
                hour,
                low: -1.5 + 0.02 * hour as f64,
                high: 2.2 - 0.03 * hour as f64,
            })
            .collect();
        let mut generator = Generator::new(20_261_125);
        let (mut inside, paths) = (0_u32, 20_000_u32);
        for _ in 0..paths {
            let mut z = normal_quantile(generator.uniform().max(1e-12));
            let mut is_inside = true;
            for hour in 0..30 {
                if hour > 0 {
                    let new = normal_quantile(generator.uniform().max(1e-12));
                    z = 0.9 * z + (1.0_f64 - 0.81).sqrt() * new;
                }
                let band = bands.iter().find(|band| band.hour == hour);
                is_inside &= band.is_none_or(|band| band.low <= z && z <= band.high);
            }
            inside += u32::from(is_inside);
        }
        let drawn = f64::from(inside) / f64::from(paths);
        assert_near(stays_within(&bands, 0.9), drawn, 0.011);
    }

    /// Hours without a band change nothing, and those far inside change it by less than the cut.
    #[test]
    fn hours_without_a_band_are_passed_over() {
        let free = |hour| Band {
            hour,
            low: f64::NEG_INFINITY,
            high: f64::INFINITY,
        };
        let tight = |hour| Band {
            hour,
            low: -1.0,
            high: f64::INFINITY,
        };
        let left_out = stays_within(&[tight(0), tight(9)], 0.95);
        let all: Vec<Band> = (0..10)
            .map(|hour| {
                if hour % 9 == 0 {
                    tight(hour)
                } else {
                    free(hour)
                }
            })
            .collect();
        assert_near(stays_within(&all, 0.95), left_out, 0.0);
        assert_near(stays_within(&[free(0), free(1)], 0.95), 1.0, 0.0);
        assert_near(stays_within(&[], 0.95), 1.0, 0.0);
    }

    #[test]
    fn an_empty_band_gives_nothing_and_nan_nan() {
        let band = |low: f64, high: f64| Band { hour: 0, low, high };
        assert_near(stays_within(&[band(1.0, -1.0)], 0.95), 0.0, 0.0);
        assert_near(stays_within(&[band(6.0, f64::INFINITY)], 0.95), 0.0, 0.0);
        assert!(stays_within(&[band(f64::NAN, 1.0)], 0.95).is_nan());
    }
}
