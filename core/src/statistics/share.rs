//! Intervals of a share of cases.

use super::Z_95;

/// The 95 % interval of `cases` of `of`, ends within 0 and 1; (0, 1) of none.
///
/// Source: E. B. Wilson 1927, J. Amer. Stat. Assoc. 22, 209; recommended for small numbers by Brown, Cai & `DasGupta` 2001
/// (pages from memory).
///
/// ```
/// let (low, high) = fairspell::statistics::wilson(3, 30);
/// assert!((low - 0.034599888747).abs() < 1e-11 && (high - 0.256210825792).abs() < 1e-11);
/// ```
#[must_use]
pub fn wilson(cases: usize, of: usize) -> (f64, f64) {
    if of == 0 {
        return (0.0, 1.0);
    }
    let (n, z2) = (of as f64, Z_95 * Z_95);
    let share = cases as f64 / n;
    let middle = share + z2 / (2.0 * n);
    let half = Z_95 * (share * (1.0 - share) / n + z2 / (4.0 * n * n)).sqrt();
    let whole = 1.0 + z2 / n;
    (
        ((middle - half) / whole).clamp(0.0, 1.0),
        ((middle + half) / whole).clamp(0.0, 1.0),
    )
}

#[cfg(test)]
mod tests {
    use super::wilson;

    /// Computed with 40 digits from Wilson's formula; 81 of 263 is the example of Newcombe 1998 (from memory).
    #[test]
    fn intervals_agree_with_the_reference() {
        for (cases, of, low, high) in [
            (0, 10, 0.0, 0.277_532_799_863),
            (1, 10, 0.017_876_213_095, 0.404_150_026_795),
            (3, 10, 0.107_791_267_406, 0.603_221_852_539),
            (0, 30, 0.0, 0.113_513_393_174),
            (13, 31, 0.264_155_430_673, 0.592_337_375_046),
            (30, 30, 0.886_486_606_826, 1.0),
            (81, 263, 0.255_288_519_878, 0.366_209_576_983),
        ] {
            let found = wilson(cases, of);
            assert!(
                (found.0 - low).abs() < 1e-11 && (found.1 - high).abs() < 1e-11,
                "{cases}/{of}: {found:?}"
            );
        }
        assert_eq!(wilson(0, 0), (0.0, 1.0));
    }
}
