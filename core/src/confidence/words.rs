//! A confidence in words, in no more digits than it bears.
//!
//! Source: the project's handbook, physics §9, *Digits*: steps of one in ten, since other widths and memories of the
//! error move the number by as much.

/// In how many parts a share of `members` may be told: tenths where its sampling error √(p(1 − p)/n) is at most 0.1,
/// quarters up to 0.25, else halves.
///
/// ```
/// use fairspell::confidence::step_of;
/// assert_eq!([step_of(51), step_of(8), step_of(3)], [10, 4, 2]);
/// ```
#[must_use]
pub fn step_of(members: usize) -> u32 {
    match members {
        0..4 => 2,
        4..25 => 4,
        _ => 10,
    }
}

/// A probability in words and in per cent, told in so many `parts`: never 0 and never all.
///
/// ```
/// use fairspell::confidence::in_words;
/// assert_eq!(in_words(0.783, 10), ("about 8 in 10".to_owned(), "about 80 %".to_owned()));
/// assert_eq!(in_words(0.97, 10), ("over 9 in 10".to_owned(), "over 90 %".to_owned()));
/// assert_eq!(in_words(0.02, 10).0, "under 1 in 10");
/// assert_eq!(in_words(1.0, 4), ("over 3 in 4".to_owned(), "over 75 %".to_owned()));
/// ```
#[must_use]
pub fn in_words(probability: f64, parts: u32) -> (String, String) {
    let parts = parts.max(2);
    let scaled = (probability * f64::from(parts)).round();
    let nearest = (1..parts).find(|count| (f64::from(*count) - scaled).abs() < 0.5);
    let (word, count) = match nearest {
        Some(count) => ("about", count),
        None if scaled < 1.0 => ("under", 1),
        None => ("over", parts - 1),
    };
    let per_cent = f64::from(100 * count) / f64::from(parts);
    (
        format!("{word} {count} in {parts}"),
        format!("{word} {per_cent:.0} %"),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The project's handbook, physics §9, *Digits*.
    #[test]
    fn words_go_in_steps_of_a_tenth() {
        let hoped = [
            (0.0, "under 1 in 10", "under 10 %"),
            (0.049, "under 1 in 10", "under 10 %"),
            (0.051, "about 1 in 10", "about 10 %"),
            (0.449, "about 4 in 10", "about 40 %"),
            (0.949, "about 9 in 10", "about 90 %"),
            (0.951, "over 9 in 10", "over 90 %"),
            (1.0, "over 9 in 10", "over 90 %"),
        ];
        for (probability, words, per_cent) in hoped {
            let found = in_words(probability, 10);
            assert_eq!((found.0.as_str(), found.1.as_str()), (words, per_cent));
        }
    }

    /// Statistics §9, *Digits*: √(p(1 − p)/n) is at most 0.5/√n.
    #[test]
    fn steps_are_no_finer_than_the_sampling_error() {
        for members in 4..400_usize {
            let error = 0.5 / (members as f64).sqrt();
            assert!(
                1.0 / f64::from(step_of(members)) >= error - 1e-12,
                "{members}"
            );
        }
    }
}
