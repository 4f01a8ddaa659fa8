//! Answers of many stations on their way out, a station after the other.

use std::path::Path;

use crate::failure::Failure;
use crate::output::{self, Aside};
use crate::progress::Progress;

/// Bytes of answers that are gathered before they are written.
const PIECE: usize = 1 << 16;

/// How answers stand beside one another.
#[derive(Debug, Clone, Copy)]
pub struct Shape {
    /// Whether there may be only one, as of pictures and pages.
    pub is_single: bool,
    /// Whether a blank line stands between them.
    pub is_text: bool,
    /// What is read, for the message.
    pub what: &'static str,
}

/// Answers on their way to standard output, or to a file that is written whole.
pub struct Answers<'a> {
    shape: Shape,
    output: Option<&'a Path>,
    /// The file, from the first piece of it on.
    aside: Option<Aside<'a>>,
    progress: &'a Progress,
    text: String,
    stations: usize,
}

impl<'a> Answers<'a> {
    /// None yet.
    pub fn new((shape, output): (Shape, Option<&'a Path>), progress: &'a Progress) -> Self {
        Self {
            shape,
            output,
            aside: None,
            progress,
            text: String::new(),
            stations: 0,
        }
    }

    /// What stands before the first answer.
    pub fn begin(&mut self, header: &str) {
        self.text.push_str(header);
    }

    /// Takes the answer of the next station; nothing of a picture or a page is written until it is known to be alone.
    pub fn take(&mut self, text: &str) -> Result<(), Failure> {
        if self.shape.is_single && self.stations > 0 {
            return Err(Failure::Usage(format!(
                "--format: expected {} of one station for a picture or a page, found two or more",
                self.shape.what
            )));
        }
        if self.stations > 0 && self.shape.is_text {
            self.text.push('\n');
        }
        self.stations += 1;
        self.progress.count_station();
        if !self.shape.is_single && self.text.len() + text.len() >= PIECE {
            self.progress.clear();
            let gathered = core::mem::take(&mut self.text);
            self.write(&gathered)?;
            if text.len() >= PIECE {
                return self.write(text);
            }
        }
        self.text.push_str(text);
        Ok(())
    }

    fn write(&mut self, text: &str) -> Result<(), Failure> {
        if let Some(path) = self.output {
            let aside = match &mut self.aside {
                Some(aside) => aside,
                none => none.insert(Aside::new(path)?),
            };
            aside.write(text)
        } else if self.shape.is_text {
            output::to_stdout(text)
        } else {
            output::to_stdout_as_it_is(text)
        }
    }

    /// Writes what is left.
    pub fn finish(mut self) -> Result<(), Failure> {
        let left = core::mem::take(&mut self.text);
        self.write(&left)?;
        self.aside.map_or(Ok(()), Aside::finish)
    }
}
