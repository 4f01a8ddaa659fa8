//! The operation that is asked about, by its name or from a file.

use fairspell::error::Excerpt;
use fairspell::operation::Operation;
use fairspell::read::Source;

use crate::failure::Failure;
use crate::input::Input;

/// A built-in operation, or that of a file.
pub fn operation(name: &str) -> Result<Operation, Failure> {
    if let Some(operation) = Operation::built_in(name) {
        return Ok(operation);
    }
    let looks_like_a_path =
        name == "-" || name.contains(['/', '\\', '.']) || std::path::Path::new(name).exists();
    if !looks_like_a_path {
        let found = Excerpt::of(name.as_bytes());
        let words = "expected oil, prune or the path of an operation file, found";
        return Err(Failure::Usage(format!("{words} {found}")));
    }
    let input = Input::read(name)?;
    Ok(Operation::read(Source {
        name,
        bytes: &input.bytes,
    })?)
}
