//! Where results go: standard output, or a file written whole or not at all.

use std::fs;
use std::io::{self, ErrorKind, Write as _};
use std::path::Path;

use fairspell::error::escaped;

use crate::failure::Failure;

/// Writes to standard output; a reader that has left is no error, since the verdict stands.
pub fn to_stdout(text: &str) -> Result<(), Failure> {
    written(anstream::stdout().lock(), text)
}

/// The same for an answer that is no text for people: as it is, without a look for colours.
pub fn to_stdout_as_it_is(text: &str) -> Result<(), Failure> {
    written(io::stdout().lock(), text)
}

fn written(mut stdout: impl io::Write, text: &str) -> Result<(), Failure> {
    match stdout
        .write_all(text.as_bytes())
        .and_then(|()| stdout.flush())
    {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(Failure::CannotWrite {
            name: "standard output".to_owned(),
            error,
        }),
        _ => Ok(()),
    }
}

/// Writes a line to standard error, and one line only, whatever its parts came from; where that is closed there is nobody to
/// tell.
pub fn to_stderr(line: &str) {
    let mut stderr = anstream::stderr().lock();
    let _ = writeln!(stderr, "fairspell: {}", escaped(line));
}

/// Writes a file beside its place and renames it there, with the permissions of the file that it replaces.
pub fn to_file(path: &Path, text: &str) -> Result<(), Failure> {
    write_beside(path, text).map_err(|error| Failure::CannotWrite {
        name: path.display().to_string(),
        error,
    })
}

fn write_beside(path: &Path, text: &str) -> io::Result<()> {
    let present = fs::metadata(path).ok();
    if present
        .as_ref()
        .is_some_and(|present| !present.is_file() && !present.is_dir())
    {
        return fs::write(path, text); // a device or a pipe: nothing to replace
    }
    let folder = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    let mut builder = tempfile::Builder::new();
    builder.prefix(".fairspell-");
    #[cfg(unix)]
    let open = {
        use std::os::unix::fs::PermissionsExt as _;
        fs::Permissions::from_mode(0o666) // the process's own mask still applies
    };
    #[cfg(unix)]
    builder.permissions(open);
    let file = builder.tempfile_in(folder);
    let mut file = file.map_err(|error| io::Error::from(error.kind()))?; // its own words name the file beside
    file.write_all(text.as_bytes())?;
    if let Some(present) = present {
        file.as_file().set_permissions(present.permissions())?;
    }
    file.as_file().sync_all()?;
    file.persist(path).map_err(|error| error.error)?;
    Ok(())
}
