//! Answers as text of JSON that a terminal may be shown.
//!
//! RFC 8259, 7, asks for an escape of U+0000 to U+001F, quote and backslash alone. A terminal obeys more than these, and so does
//! a viewer that turns the direction of writing: what [`obeyed`] names is written `\uXXXX` too, which any reader of JSON
//! takes back to the character itself.

use core::fmt::Write as _;

use serde::Serialize;

use crate::error::obeyed;

/// The text of `answer`, without line breaks.
pub(crate) fn written(answer: &impl Serialize) -> String {
    let text = serde_json::to_string(answer).unwrap_or_default(); // strings and numbers cannot fail
    if !text.chars().any(obeyed) {
        return text;
    }
    let mut safe = String::with_capacity(text.len());
    for character in text.chars() {
        if obeyed(character) {
            // All of them lie in the basic plane: four digits, no pair of surrogates.
            let _ = write!(safe, "\\u{:04x}", u32::from(character));
        } else {
            safe.push(character);
        }
    }
    safe
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a check may stop at the first surprise")]
mod tests {
    use super::*;

    /// RFC 8259, 7: an escape stands for its character, which a general reader gives back; no control character of Unicode's
    /// (`Cc`) and none of its twelve marks of direction (Unicode Standard Annex 9, section 2, from memory) stands there as it is.
    #[test]
    fn what_a_terminal_obeys_is_escaped_and_read_back() {
        let all: String = (0..=0xffff).filter_map(char::from_u32).collect();
        let written = written(&all);
        let marks = "\u{61c}\u{200e}\u{200f}\u{202a}\u{202b}\u{202c}\u{202d}\u{202e}\u{2066}\u{2067}\u{2068}\u{2069}";
        assert_eq!(written.chars().find(|c| c.is_control()), None);
        assert_eq!(written.chars().find(|c| marks.contains(*c)), None);
        assert_eq!(serde_json::from_str::<String>(&written).unwrap(), all);
        assert!(
            written.contains("°") && written.contains("\\u009b"),
            "letters stay"
        );
    }
}
