//! How wide the terminal is.

use crate::lines::WIDEST;

/// Columns for text: what `COLUMNS` says, else the terminal's own; of a pipe or of a file that is written the widest.
pub fn width(is_to_file: bool) -> usize {
    if is_to_file {
        return WIDEST;
    }
    let said = std::env::var("COLUMNS").ok();
    let said = said.and_then(|columns| columns.trim().parse::<usize>().ok());
    let own = || {
        terminal_size::terminal_size_of(std::io::stdout()).map(|(width, _)| usize::from(width.0))
    };
    said.filter(|columns| *columns > 0)
        .or_else(own)
        .unwrap_or(WIDEST)
}
