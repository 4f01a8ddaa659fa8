//! How well a fit fits: Kolmogorov–Smirnov D and Anderson–Darling A².
//!
//! Both take the ascending exponents x = k ln(y/s), so that F = 1 − exp(−exp(x)) keeps its digits in either tail.
//! Sources: Anderson & Darling 1954 (from memory); Stephens 1974, J. Amer. Stat. Assoc. 69, 730. The parameters are
//! estimated from the same sample, so the textbook tables for known ones do not hold.

/// The greatest distance between the sample's steps and the fit.
pub(super) fn kolmogorov_smirnov(exponents: &[f64]) -> f64 {
    let count = exponents.len() as f64;
    let distance = |(index, exponent): (usize, &f64)| {
        let below = -libm::expm1(-libm::exp(*exponent));
        ((index as f64 + 1.0) / count - below).max(below - index as f64 / count)
    };
    exponents
        .iter()
        .enumerate()
        .map(distance)
        .fold(0.0, f64::max)
}

/// The weighted squared distance, heavy in the tails.
pub(super) fn anderson_darling(exponents: &[f64]) -> f64 {
    let count = exponents.len() as f64;
    let term = |(index, (low, high)): (usize, (&f64, &f64))| {
        (2.0 * index as f64 + 1.0) * (log_below(*low) - libm::exp(*high))
    };
    let pairs = exponents.iter().zip(exponents.iter().rev()).enumerate();
    -count - pairs.map(term).sum::<f64>() / count
}

/// ln F; for a vanishing exp(x) it is x itself.
fn log_below(exponent: f64) -> f64 {
    let power = libm::exp(exponent);
    if power < 1e-16 {
        exponent
    } else {
        libm::log(-libm::expm1(-power))
    }
}
