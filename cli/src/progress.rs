//! How far a long file is read: one line on standard error, where that is a terminal; rewritten, and cleared in the end.

use std::io::{Write, stderr};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use fairspell::error::escaped;

/// Nothing is shown of a file that takes less. Ours.
const FIRST: Duration = Duration::from_secs(1);
/// Least time between two lines. Ours: often enough to be seen to move.
const STEP: Duration = Duration::from_millis(250);
/// Most characters of a file's name; with the numbers behind it the line stays within 80 columns.
const NAME: usize = 36;

/// The line of one run, for any number of files; its end clears it.
pub struct Progress {
    /// Where it goes and what stands there; `None`: it is not wanted.
    line: Option<Mutex<Line>>,
    started: Instant,
}

struct Line {
    sink: Box<dyn Write + Send>,
    file: String,
    total: Option<u64>,
    read: u64,
    stations: u64,
    next: Duration,
    /// Characters that stand on the terminal.
    shown: usize,
}

impl Progress {
    /// A line on standard error, if `is_wanted`: if that is a terminal.
    pub fn new(is_wanted: bool) -> Self {
        Self::on(is_wanted.then(|| Box::new(stderr()) as Box<dyn Write + Send>))
    }

    fn on(sink: Option<Box<dyn Write + Send>>) -> Self {
        let line = |sink| Line {
            sink,
            file: String::new(),
            total: None,
            read: 0,
            stations: 0,
            next: FIRST,
            shown: 0,
        };
        Self {
            line: sink.map(line).map(Mutex::new),
            started: Instant::now(),
        }
    }

    /// Begins a file, of so many bytes if that is known.
    pub fn begin(&self, name: &str, total: Option<u64>) {
        if let Some(mut line) = self.line() {
            let name = escaped(name);
            let count = name.chars().count();
            line.file = if count > NAME {
                let end: String = name.chars().skip(count - NAME + 1).collect();
                format!("…{end}")
            } else {
                name
            };
            (line.total, line.read, line.stations) = (total, 0, 0);
        }
    }

    /// Counts a station whose answer is there.
    pub fn count_station(&self) {
        if let Some(mut line) = self.line() {
            line.stations += 1;
            line.show(self.started.elapsed());
        }
    }

    /// Counts bytes of the file that are read.
    pub fn count_bytes(&self, bytes: u64) {
        if let Some(mut line) = self.line() {
            line.read += bytes;
            line.show(self.started.elapsed());
        }
    }

    /// Takes the line away, before something else is written to the terminal.
    pub fn clear(&self) {
        if let Some(mut line) = self.line() {
            line.clear();
        }
    }

    fn line(&self) -> Option<MutexGuard<'_, Line>> {
        let line = self.line.as_ref()?;
        Some(line.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.clear();
    }
}

impl Line {
    /// Shows how far it is, unless it is too soon after the last time.
    fn show(&mut self, now: Duration) {
        if now < self.next {
            return;
        }
        self.next = now + STEP;
        let text = self.text();
        let count = text.chars().count();
        let rest = self.shown.saturating_sub(count);
        // A terminal that is gone is no reason to stop.
        let _ = write!(self.sink, "\r{text}{:rest$}", "").and_then(|()| self.sink.flush());
        self.shown = count;
    }

    fn text(&self) -> String {
        let megabytes = |bytes: u64| bytes / 1_000_000;
        let read = megabytes(self.read);
        let of = self
            .total
            .map_or_else(String::new, |total| format!(" of {}", megabytes(total)));
        let (file, stations) = (&self.file, self.stations);
        format!("reading {file}: {read}{of} MB, {stations} stations")
    }

    fn clear(&mut self) {
        if self.shown > 0 {
            let _ = write!(self.sink, "\r{:1$}\r", "", self.shown).and_then(|()| self.sink.flush());
            self.shown = 0;
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;

    /// A terminal that remembers.
    #[derive(Clone, Default)]
    struct Screen(Arc<Mutex<Vec<u8>>>);

    impl Write for Screen {
        fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
            self.0.lock().unwrap().write(bytes)
        }

        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }

    impl Screen {
        fn written(&self) -> String {
            String::from_utf8(self.0.lock().unwrap().clone()).unwrap()
        }
    }

    /// A line on a screen at given times, of which the clock knows nothing.
    fn lines(screen: &Screen, name: &str) -> Progress {
        let progress = Progress::on(Some(Box::new(screen.clone())));
        progress.begin(name, Some(612_000_000));
        progress
    }

    /// One line, rewritten over itself, and nothing of it left: the issue, progress at a terminal; wording ours.
    #[test]
    fn the_line_is_rewritten_and_cleared() {
        let screen = Screen::default();
        let progress = lines(&screen, "many.csv");
        let show = |read, stations, at| {
            let mut line = progress.line().unwrap();
            (line.read, line.stations) = (read, stations);
            line.show(Duration::from_millis(at));
        };
        show(9_000_000, 12, 999); // too soon for anything
        show(123_400_000, 201, 1000);
        show(125_000_000, 204, 1249); // too soon after that
        show(2_000_000, 3, 1250);
        progress.clear();
        progress.clear();
        let first = "\rreading many.csv: 123 of 612 MB, 201 stations";
        let second = "\rreading many.csv: 2 of 612 MB, 3 stations    ";
        let blank = " ".repeat(second.len() - 5);
        assert_eq!(screen.written(), format!("{first}{second}\r{blank}\r"));
    }

    /// A short file shows nothing at all, and where no line is wanted nothing is counted.
    #[test]
    fn a_short_file_shows_nothing() {
        let screen = Screen::default();
        drop(lines(&screen, "many.csv"));
        assert_eq!(screen.written(), "");
        let none = Progress::on(None);
        none.begin("many.csv", None);
        none.count_station();
        assert!(none.line().is_none());
    }

    /// The line fits 80 columns, whatever the file is called, and what is no letter is escaped.
    #[test]
    fn a_long_name_is_cut_and_escaped() {
        let screen = Screen::default();
        let progress = lines(&screen, &format!("{}\u{1b}[1m.csv", "folder/".repeat(20)));
        let mut line = progress.line().unwrap();
        (line.read, line.stations) = (612_000_000, 100_000);
        let text = line.text();
        assert!(text.chars().count() <= 80, "{text}");
        assert!(
            text.contains("\\u{1b}[1m.csv: 612 of 612 MB, 100000 stations"),
            "{text}"
        );
    }

    /// Bytes are counted as they are read.
    #[test]
    fn bytes_are_counted() {
        let screen = Screen::default();
        let progress = lines(&screen, "many.csv");
        progress.count_bytes(1000);
        progress.count_bytes(24);
        assert_eq!(progress.line().unwrap().read, 1024);
    }
}
