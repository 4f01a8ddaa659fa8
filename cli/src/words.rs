//! Words in the lines of a terminal.

use fairspell::error::escaped;

/// Words in lines of at most 80 columns, the first behind `mark`; a word that is longer is broken.
pub fn wrapped(mark: &str, text: &str) -> String {
    let width = 80 - mark.len();
    let mut lines = vec![String::new()];
    let mut put = |part: &str| {
        let room = width - lines.last().map_or(0, |line| line.chars().count());
        match lines.last_mut() {
            Some(line) if line.is_empty() => line.push_str(part),
            Some(line) if part.chars().count() < room => {
                line.push(' ');
                line.push_str(part);
            }
            _ => lines.push(part.to_owned()),
        }
    };
    for word in escaped(text).split(' ') {
        let letters: Vec<char> = word.chars().collect();
        for part in letters.chunks(width) {
            put(&part.iter().collect::<String>());
        }
    }
    let indent = format!("\n{:1$}", "", mark.len());
    format!("{mark}{}", lines.join(&indent))
}
