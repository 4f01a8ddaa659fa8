//! The known names that are spelt most like an unknown one.

/// How many names are offered. Ours.
const OFFERED: usize = 3;

/// The names nearest to `name`, at most three, as one text: `"hybrid tea", "fig"`. A name that holds the other counts
/// as one letter apart; ties stay in the order given.
pub(super) fn nearest<'a>(name: &str, known: impl Iterator<Item = &'a str>) -> String {
    let name = name.to_lowercase();
    let mut ranked: Vec<(usize, &str)> = Vec::new();
    for candidate in known {
        ranked.push((distance(&name, &candidate.to_lowercase()), candidate));
    }
    ranked.sort_by_key(|(apart, _)| *apart);
    let offered = ranked.iter().take(OFFERED);
    let quoted: Vec<String> = offered.map(|(_, name)| format!("\"{name}\"")).collect();
    quoted.join(", ")
}

fn distance(a: &str, b: &str) -> usize {
    if a.chars().count() >= 3 && b.chars().count() >= 3 && (a.contains(b) || b.contains(a)) {
        return 1;
    }
    edits(a, b)
}

/// Fewest letters to put in, take out or change. R. A. Wagner and M. J. Fischer, The string-to-string correction
/// problem, J. ACM 21 (1974) 168 (from memory).
fn edits(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (at, letter) in a.chars().enumerate() {
        let (mut diagonal, mut left) = (at, at + 1);
        let mut next = vec![left];
        for (other, above) in b.iter().zip(row.iter().skip(1)) {
            let changed = diagonal + usize::from(letter != *other);
            left = changed.min(left + 1).min(above + 1);
            diagonal = *above;
            next.push(left);
        }
        row = next;
    }
    row.last().copied().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Counted by hand; kitten and sitting, 3, is the usual worked example (from memory).
    #[test]
    fn edits_are_the_fewest() {
        for (a, b, apart) in [
            ("kitten", "sitting", 3),
            ("", "fig", 3),
            ("fig", "fig", 0),
            ("rsoe", "rose", 2),
        ] {
            assert_eq!((edits(a, b), edits(b, a)), (apart, apart), "{a} {b}");
        }
    }

    /// By hand: "hybrd tea" lacks one letter; "apple" stands in "apple, pear".
    #[test]
    fn the_nearest_come_first() {
        let known = ["fig", "grape", "apple, pear", "hybrid tea"];
        assert!(nearest("Hybrd tea", known.into_iter()).starts_with("\"hybrid tea\""));
        assert!(nearest("apple", known.into_iter()).starts_with("\"apple, pear\""));
        assert_eq!(nearest("x", known.into_iter()).matches('"').count(), 6);
    }
}
