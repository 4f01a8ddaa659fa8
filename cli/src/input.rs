//! Files and standard input, read whole and within bounds.

use std::fs::File;
use std::io::{Read as _, stdin};

use fairspell::read::MAX_BYTES;

use crate::failure::Failure;

/// An input read whole, and the name by which the user called it.
pub struct Input {
    /// The name; `-` is standard input.
    pub name: String,
    /// All bytes, at most one more than the core reads, so that it can say *too much*.
    pub bytes: Vec<u8>,
}

impl Input {
    /// Reads a file, or standard input for `-`.
    pub fn read(name: &str) -> Result<Self, Failure> {
        let mut bytes = Vec::new();
        let most = MAX_BYTES as u64 + 1;
        let result = if name == "-" {
            stdin().lock().take(most).read_to_end(&mut bytes)
        } else {
            File::open(name).and_then(|file| file.take(most).read_to_end(&mut bytes))
        };
        match result {
            Ok(_) => Ok(Self {
                name: name.to_owned(),
                bytes,
            }),
            Err(error) => Err(Failure::CannotRead {
                name: name.to_owned(),
                error,
            }),
        }
    }

    /// The same for the core.
    pub fn source(&self) -> fairspell::read::Source<'_> {
        fairspell::read::Source {
            name: &self.name,
            bytes: &self.bytes,
        }
    }
}
