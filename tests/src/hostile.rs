//! What a hand that means harm puts where a name or a note belongs, and what of it may reach a reader.
//!
//! Sources: control characters and the sequences that ESC and U+009B begin, ISO/IEC 6429 (ECMA-48, from memory); marks of
//! direction, Unicode Standard Annex 9, section 2 (from memory); markup, XML 1.0, 2.4 and 2.7.

/// A name for a file in which any character may stand: it ends elements, begins a script, ends a section of character data,
/// clears the screen, names the window, colours by U+009B, deletes, turns the direction, and goes on in a second line.
pub const NAME: &str = "</title><script>x</script>]]>, \"q\" 'r' &amp;\u{1b}[2J\u{1b}]0;t\u{7}\u{9b}31m\u{7f}\u{202e}\u{61c}\r\nEND:VCALENDAR";

/// The same as a reader may see it; written by hand.
pub const NAME_SHOWN: &str = r#"</title><script>x</script>]]>, "q" 'r' &amp;\u{1b}[2J\u{1b}]0;t\u{7}\u{9b}31m\u{7f}\u{202e}\u{61c}\r\nEND:VCALENDAR"#;

/// A name for a file that takes no control character; at most 80 characters.
pub const PLAIN_NAME: &str = "<b>]]><script>x</script>&lt;, ;\\ \"q\" 'r'\u{202e}\u{2066}";

/// The same as a reader may see it; written by hand.
pub const PLAIN_NAME_SHOWN: &str = r#"<b>]]><script>x</script>&lt;, ;\ "q" 'r'\u{202e}\u{2066}"#;

/// A name as a field of CSV (RFC 4180).
#[must_use]
pub fn csv_field(name: &str) -> String {
    format!("\"{}\"", name.replace('"', "\"\""))
}

/// A name as a string of TOML (TOML 1.0, basic strings).
#[must_use]
pub fn toml_string(name: &str) -> String {
    format!("\"{}\"", name.replace('\\', "\\\\").replace('"', "\\\""))
}

/// Nothing that a terminal would obey but line ends.
///
/// # Panics
/// If there is such a character.
#[track_caller]
pub fn assert_harmless(of: &str, text: &str) {
    let is_mark = |c: char| matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    let lines = text.replace("\r\n", "\n");
    let found = lines
        .char_indices()
        .find(|(_, c)| *c != '\n' && (c.is_control() || is_mark(*c)));
    if let Some((at, character)) = found {
        let before: String = lines[..at].chars().rev().take(60).collect();
        let before: String = before.chars().rev().collect();
        assert!(
            !lines.contains(character),
            "{of}: {character:?} behind {before:?}"
        );
    }
}
