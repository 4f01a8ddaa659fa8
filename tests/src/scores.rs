//! Scores of forecast chances: the Brier score and what it is made of.
//!
//! Sources: G. W. Brier, Monthly Weather Review 78 (1950) 1; A. H. Murphy, J. Appl. Meteorol. 12 (1973) 595 (both from
//! memory); the project's handbook, statistics §9.

use fairspell::statistics::wilson;

/// A forecast chance, 0 to 1, and whether the thing came.
pub type Case = (f64, bool);

/// The Brier score of forecasts, and its parts: score = reliability − resolution + uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Brier {
    /// Mean of (forecast − outcome)².
    pub score: f64,
    /// How far the chances are from the shares that came.
    pub reliability: f64,
    /// How far those shares are from the sample's own rate.
    pub resolution: f64,
    /// Of the sample: rate × (1 − rate).
    pub uncertainty: f64,
}

impl Brier {
    /// The score over at least one case. The parts add up over distinct values of the forecast, which is what they are
    /// counted over.
    #[must_use]
    pub fn of(cases: &[Case]) -> Self {
        let count = cases.len() as f64;
        let outcome = |came: bool| if came { 1.0 } else { 0.0 };
        let squares = cases
            .iter()
            .map(|(chance, came)| (chance - outcome(*came)).powi(2));
        let score = squares.sum::<f64>() / count;
        let rate = cases.iter().map(|(_, came)| outcome(*came)).sum::<f64>() / count;
        let (mut reliability, mut resolution) = (0.0, 0.0);
        for bin in bins(cases) {
            let (chance, own) = (bin.chance, bin.share());
            let weight = bin.count as f64 / count;
            reliability += weight * (chance - own).powi(2);
            resolution += weight * (own - rate).powi(2);
        }
        Self {
            score,
            reliability,
            resolution,
            uncertainty: rate * (1.0 - rate),
        }
    }

    /// Skill against the sample's own rate: 1 is perfect, 0 no better than that rate.
    #[must_use]
    pub fn skill(&self) -> f64 {
        1.0 - self.score / self.uncertainty
    }
}

/// Cases that were given the same chance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bin {
    /// The chance.
    pub chance: f64,
    /// How many cases.
    pub count: usize,
    /// In how many of them it came.
    pub came: usize,
}

impl Bin {
    /// The share in which it came.
    #[must_use]
    pub fn share(&self) -> f64 {
        self.came as f64 / self.count as f64
    }

    /// Wilson's 95 % interval of that share.
    #[must_use]
    pub fn interval(&self) -> (f64, f64) {
        wilson(self.came, self.count)
    }
}

/// The cases by their chance, ascending.
#[must_use]
pub fn bins(cases: &[Case]) -> Vec<Bin> {
    let mut sorted = cases.to_vec();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut bins: Vec<Bin> = Vec::new();
    for (chance, came) in sorted {
        match bins.last_mut() {
            Some(bin) if bin.chance.to_bits() == chance.to_bits() => {
                bin.count += 1;
                bin.came += usize::from(came);
            }
            _ => bins.push(Bin {
                chance,
                count: 1,
                came: usize::from(came),
            }),
        }
    }
    bins
}

/// The cases with their chances brought to whole tenths, as answers tell them.
#[must_use]
pub fn in_tenths(cases: &[Case]) -> Vec<Case> {
    let tenth = |(chance, came): &Case| ((10.0 * chance).round() / 10.0, *came);
    cases.iter().map(tenth).collect()
}
