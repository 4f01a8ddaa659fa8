//! The interval of a share: how many of how many.
//!
//! Source: Wilson 1927, JASA 22, 209-212 (from memory); recommended for small numbers by Brown, Cai & `DasGupta` 2001,
//! Stat. Sci. 16, 101-133 (from memory).

use super::Z_95;

/// Wilson's 95 % interval of the chance behind `hits` of `trials`; both ends lie in 0 to 1.
///
/// None of them gives 0 as the lower end, and all of them 1 as the upper one, without rounding. No trial leaves 0 to 1,
/// and more hits than trials count as all. Error below 1e-15.
///
/// # Examples
/// ```
/// use fairspell::statistics::wilson;
/// let (low, high) = wilson(13, 31); // 13 of 31 years had a freeze
/// assert!((low - 0.264_155_431).abs() < 1e-9 && (high - 0.592_337_375).abs() < 1e-9);
/// assert_eq!(wilson(0, 0), (0.0, 1.0));
/// ```
#[must_use]
pub fn wilson(hits: usize, trials: usize) -> (f64, f64) {
    if trials == 0 {
        return (0.0, 1.0);
    }
    let count = trials as f64;
    let share = (hits as f64 / count).min(1.0);
    let square = Z_95 * Z_95 / count;
    let middle = share + square / 2.0;
    let half = Z_95 * (share * (1.0 - share) / count + square / (4.0 * count)).sqrt();
    let end = |end: f64| (end / (1.0 + square)).clamp(0.0, 1.0);
    let low = if hits == 0 { 0.0 } else { end(middle - half) };
    let high = if hits >= trials {
        1.0
    } else {
        end(middle + half)
    };
    (low, high)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::samples::assert_near;

    /// The project's handbook, §11, computed; 81 of 263 is the example of Newcombe 1998, Stat. Med. 17, 857-872, who
    /// prints 0.2553 to 0.3662 (from memory).
    #[test]
    fn intervals_are_those_of_the_handbook() {
        let printed = [
            (0, 10, 0.0, 0.277_532_799_863),
            (1, 10, 0.017_876_213_095, 0.404_150_026_795),
            (3, 10, 0.107_791_267_406, 0.603_221_852_539),
            (0, 30, 0.0, 0.113_513_393_174),
            (3, 30, 0.034_599_888_747, 0.256_210_825_792),
            (13, 31, 0.264_155_430_673, 0.592_337_375_046),
            (30, 30, 0.886_486_606_826, 1.0),
            (81, 263, 0.255_288_519_878, 0.366_209_576_983),
        ];
        for (hits, trials, low, high) in printed {
            let computed = wilson(hits, trials);
            assert_near(computed.0, low, 5e-13); // half of the last printed digit
            assert_near(computed.1, high, 5e-13);
        }
        let newcombe = wilson(81, 263);
        assert_near(newcombe.0, 0.2553, 0.000_05);
        assert_near(newcombe.1, 0.3662, 0.000_05);
    }

    /// The project's handbook, §9, computed: the bins of a reliability diagram.
    #[test]
    fn intervals_of_bins_are_those_of_the_handbook() {
        let printed = [
            (1, 4, 0.0456, 0.6994),
            (1, 3, 0.0615, 0.7923),
            (2, 3, 0.2077, 0.9385),
        ];
        for (hits, trials, low, high) in printed {
            let computed = wilson(hits, trials);
            assert_near(computed.0, low, 0.000_05);
            assert_near(computed.1, high, 0.000_05);
        }
    }

    #[test]
    fn an_interval_holds_its_share_and_mirrors() {
        for trials in 1..80 {
            for hits in 0..=trials {
                let (low, high) = wilson(hits, trials);
                let share = hits as f64 / trials as f64;
                assert!(0.0 <= low && low <= share && share <= high && high <= 1.0);
                assert!(low < high);
                let (mirrored_low, mirrored_high) = wilson(trials - hits, trials);
                assert_near(mirrored_low, 1.0 - high, 1e-14);
                assert_near(mirrored_high, 1.0 - low, 1e-14);
            }
        }
        assert!(wilson(0, 7).0.abs() <= 0.0 && wilson(7, 7).1 >= 1.0); // to the bit
        assert_eq!(wilson(9, 7), wilson(7, 7));
    }
}
