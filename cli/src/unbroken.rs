//! What no end of a line may part: a number and its unit, a day and its month.
//!
//! Source: the SI Brochure (9th ed., 2019), 5.4.3, sets a space between a number and its unit; that a line should not end in it is
//! common practice, no source.

/// A space at which no line ends.
pub const SPACE: char = '\u{a0}';

/// Units as they stand behind numbers.
const UNITS: [&str; 24] = [
    "°", "°C", "°C·d", "°F", "°F·d", "%", "cm", "fl", "ft", "gal", "h", "hPa", "in", "kPa", "km/h",
    "l", "m", "m/s", "min", "ml", "mm", "mph", "MiB", "US",
];

/// Months as they stand behind days.
const MONTHS: [&str; 12] = [
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
];

/// The text with such spaces in place of plain ones, where a line may not end.
pub fn unbroken(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut before = "";
    for (index, word) in text.split(' ').enumerate() {
        if index > 0 {
            out.push(if belongs(before, word) { SPACE } else { ' ' });
        }
        out.push_str(word);
        before = word;
    }
    out
}

/// The text with plain spaces again, once its lines are set.
pub fn plain(text: &str) -> String {
    text.replace(SPACE, " ")
}

fn belongs(before: &str, word: &str) -> bool {
    let is_mark = |letter: char| matches!(letter, '.' | ',' | ';' | ':' | ')' | '(' | '*');
    let word = word.trim_end_matches(is_mark);
    let is_number = before.ends_with(|letter: char| letter.is_ascii_digit());
    let is_day = is_number && before.trim_start_matches(is_mark).len() <= 2;
    match before {
        "US" => matches!(word, "gal" | "fl"),
        "fl" => word == "oz",
        _ => is_number && UNITS.contains(&word) || is_day && MONTHS.contains(&word),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The module's own words; the sentences are those of the answers.
    #[test]
    fn a_number_stays_with_its_unit_and_a_day_with_its_month() {
        for (text, kept) in [
            ("wind 21 mph, limit", "wind 21~mph, limit"),
            ("about 40 %", "about 40~%"),
            ("(24.5 l) of", "(24.5~l) of"),
            ("6.5 US gal (10 h 25 min)", "6.5~US~gal (10~h 25~min)"),
            ("10 US fl oz, then", "10~US~fl~oz, then"),
            ("from (8 Mar) to 28 Apr.", "from (8~Mar) to 28~Apr."),
            ("in 2027 May begins", "in 2027 May begins"),
            ("no in or US flowers", "no in or US flowers"),
            ("7  mm", "7  mm"),
        ] {
            assert_eq!(unbroken(text), kept.replace('~', "\u{a0}"));
            assert_eq!(plain(&unbroken(text)), text);
        }
    }
}
