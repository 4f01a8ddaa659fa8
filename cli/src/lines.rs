//! Lines of a terminal: text that is broken between words to its width, headings in the margin, tables.
//!
//! Where the terminal is narrow the margin goes, and a table that has no room becomes a sentence a row: nothing is cut. No line ends
//! between a number and its unit. Everything that came from outside is escaped here.

use fairspell::error::escaped;

use crate::unbroken::{plain, unbroken};

/// Columns of a terminal, unless it is narrower: the contract's figure.
pub const WIDEST: usize = 80;
/// Fewest columns that are reckoned with: a day's hours in a row, with its name. Ours.
pub const NARROWEST: usize = 40;
/// Below so many columns headings stand on lines of their own: beside them the text would be a thread. Ours.
const ROOMY: usize = 60;
/// Column at which the text beside a heading begins.
const MARGIN: usize = 9;

/// A column of a table: its head, its width, and whether it begins at the left.
#[derive(Debug, Clone, Copy)]
pub struct Column<'a> {
    head: &'a str,
    width: usize,
    is_left: bool,
}

/// A column of numbers.
pub fn right(head: &str, width: usize) -> Column<'_> {
    Column {
        head,
        width,
        is_left: false,
    }
}

/// A column of words.
pub fn left(head: &str, width: usize) -> Column<'_> {
    Column {
        head,
        width,
        is_left: true,
    }
}

impl Column<'_> {
    fn set(&self, cell: &str) -> String {
        let width = self.width;
        if self.is_left {
            format!("{cell:<width$}")
        } else {
            format!("{cell:>width$}")
        }
    }
}

/// Lines in the making.
pub struct Lines {
    width: usize,
    text: String,
}

impl Lines {
    /// None yet, of at most so many columns.
    pub fn new(width: usize) -> Self {
        Self {
            width: width.clamp(NARROWEST, WIDEST),
            text: String::new(),
        }
    }

    /// All lines, without blank ones behind them.
    pub fn end(self) -> String {
        self.text.trim_end().to_owned() + "\n"
    }

    /// The columns that there are.
    pub fn width(&self) -> usize {
        self.width
    }

    /// Whether headings stand in the margin.
    pub fn is_roomy(&self) -> bool {
        self.width >= ROOMY
    }

    /// A line as it is.
    pub fn raw(&mut self, line: &str) {
        self.text.push_str(line.trim_end());
        self.text.push('\n');
    }

    /// An empty line.
    pub fn blank(&mut self) {
        self.text.push('\n');
    }

    /// Text made of lines by the same width.
    pub fn append(&mut self, lines: &str) {
        self.text.push_str(lines);
    }

    /// A heading in the margin, and its text.
    pub fn section(&mut self, heading: &str, text: &str) {
        if self.is_roomy() {
            return self.fill(&format!("{heading:MARGIN$}"), MARGIN, text);
        }
        if heading.starts_with(' ') {
            return self.fill(&format!("{} ", heading.trim_end()), 4, text);
        }
        if !heading.is_empty() {
            self.raw(heading);
        }
        self.more(text);
    }

    /// Text below that of a section.
    pub fn more(&mut self, text: &str) {
        let indent = if self.is_roomy() { MARGIN } else { 2 };
        self.wrapped(indent, text);
    }

    /// One of several.
    pub fn bullet(&mut self, text: &str) {
        self.fill("- ", 2, text);
    }

    /// Text from a column on.
    pub fn wrapped(&mut self, indent: usize, text: &str) {
        self.fill(&" ".repeat(indent), indent, text);
    }

    /// Text behind a mark, the further lines from a column on; a word that is wider than the room is broken.
    pub fn fill(&mut self, first: &str, indent: usize, text: &str) {
        let mut line = first.to_owned();
        let mut is_empty = true;
        let width = self.width;
        let text = unbroken(&escaped(text));
        let words = text.split_inclusive(' ');
        for part in words.flat_map(|word| parts(word, width - indent)) {
            let length = line.chars().count() + part.trim_end_matches(' ').chars().count();
            if length > width && !is_empty {
                self.raw(&plain(&line));
                line = " ".repeat(indent);
            }
            line.push_str(&part);
            is_empty = false;
        }
        self.raw(&plain(&line));
    }

    /// Rows under their heads; where there is no room, each row as a sentence that names them, under the first head if that names
    /// the table (it then begins without a blank).
    pub fn table(&mut self, columns: &[Column<'_>], rows: &[Vec<String>]) {
        let width: usize = columns.iter().map(|column| column.width).sum();
        if width > self.width {
            let first = columns.first().map_or("", |column| column.head);
            if !first.is_empty() && !first.starts_with(' ') {
                self.raw(first);
            }
            for row in rows {
                let sentence = sentence(columns, row);
                self.fill("  ", 4, &sentence);
            }
            return;
        }
        let set = |cells: Vec<String>| {
            let cells = columns.iter().zip(cells);
            cells
                .map(|(column, cell)| column.set(&cell))
                .collect::<String>()
        };
        self.raw(&set(columns
            .iter()
            .map(|column| column.head.to_owned())
            .collect()));
        for row in rows {
            let mut cells = row.clone();
            if let (Some(first), Some(column)) = (cells.first_mut(), columns.first()) {
                *first = format!("  {}", cut(first, column.width.saturating_sub(3)));
            }
            self.raw(&set(cells));
        }
    }
}

/// A row that names its columns.
fn sentence(columns: &[Column<'_>], row: &[String]) -> String {
    let cells = columns.iter().zip(row).enumerate();
    let words = cells.map(
        |(index, (column, cell))| match (index, column.head.trim()) {
            (0, _) | (_, "") => cell.trim().to_owned(),
            (_, head) => format!("{head}: {}", cell.trim()),
        },
    );
    words.collect::<Vec<_>>().join("; ")
}

/// A word in parts of at most so many letters; the blank behind it does not count.
fn parts(word: &str, most: usize) -> Vec<String> {
    let letters: Vec<char> = word.chars().collect();
    if word.trim_end_matches(' ').chars().count() <= most {
        return vec![word.to_owned()];
    }
    let parts = letters.chunks(most.max(1));
    parts.map(|part| part.iter().collect()).collect()
}

/// A text of at most so many letters.
fn cut(text: &str, most: usize) -> String {
    let text = escaped(text);
    if text.chars().count() <= most {
        return text;
    }
    text.chars()
        .take(most.saturating_sub(1))
        .chain(['…'])
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The module's own words, at every width that is reckoned with.
    #[test]
    fn nothing_is_wider_than_the_terminal_and_nothing_is_lost() {
        let text = "wind 21 mph, limit at most 10 mph; ".repeat(8) + &"w".repeat(130);
        for width in NARROWEST..=WIDEST {
            let mut lines = Lines::new(width);
            lines.section("Why", &text);
            lines.bullet(&text);
            let row = ["a rule with a name".to_owned(), "12".to_owned()].to_vec();
            lines.table(&[left("Rule", 50), right("hours", 20)], &[row]);
            let set = lines.end();
            assert!(set.lines().all(|line| line.chars().count() <= width));
            let words = |text: &str| text.split_whitespace().collect::<String>();
            assert!(words(&set).contains(&words(&text)), "{set}");
            assert!(set.contains("a rule with a name") && set.contains("12"));
            let is_parted = |line: &str| line.trim_start().starts_with("mph");
            assert!(!set.lines().any(is_parted), "{set}");
        }
    }
}
