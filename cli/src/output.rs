//! Where results go: standard output, or a file written whole or not at all.

use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Write as _};
use std::path::{Path, PathBuf};

use fairspell::error::{Excerpt, escaped};

use crate::failure::Failure;

/// Symbolic links that are followed one after the other: as many as Linux follows (`path_resolution(7)`, from memory).
const MAX_LINKS: usize = 40;

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

/// Writes a file whole or not at all.
pub fn to_file(path: &Path, text: &str) -> Result<(), Failure> {
    let mut aside = Aside::new(path)?;
    aside.write(text)?;
    aside.finish()
}

/// A file in the making: it is written beside its place, and renamed there once it is whole. Until then whoever looks finds the
/// old file or none, also if the program is killed or the disk is full.
///
/// Behind a symbolic link it is what the link names that is replaced. The permissions are those of the file that was there.
pub struct Aside<'a> {
    /// As the user wrote it, for messages.
    name: &'a Path,
    target: Target,
}

enum Target {
    /// The file beside, and the place that it will have.
    Beside(tempfile::NamedTempFile, PathBuf),
    /// A device or a pipe, where there is nothing to replace.
    Straight(File),
}

impl<'a> Aside<'a> {
    /// Begins a file.
    pub fn new(name: &'a Path) -> Result<Self, Failure> {
        let target = target_of(name).map_err(|error| fault(name, error))?;
        Ok(Self { name, target })
    }

    /// Goes on with it.
    pub fn write(&mut self, text: &str) -> Result<(), Failure> {
        let result = match &mut self.target {
            Target::Beside(file, _) => file.write_all(text.as_bytes()),
            Target::Straight(file) => file.write_all(text.as_bytes()),
        };
        result.map_err(|error| fault(self.name, error))
    }

    /// Puts it in its place, once all of it is on the disk.
    pub fn finish(self) -> Result<(), Failure> {
        let Target::Beside(file, place) = self.target else {
            return Ok(());
        };
        let synced = file.as_file().sync_all();
        let result = synced.and_then(|()| file.persist(place).map_err(|error| error.error));
        result.map_err(|error| fault(self.name, error)).map(drop)
    }
}

fn fault(name: &Path, error: io::Error) -> Failure {
    Failure::CannotWrite {
        name: name.display().to_string(),
        error,
    }
}

fn target_of(name: &Path) -> io::Result<Target> {
    let present = fs::metadata(name).ok();
    if present
        .as_ref()
        .is_some_and(|present| !present.is_file() && !present.is_dir())
    {
        return OpenOptions::new()
            .write(true)
            .open(name)
            .map(Target::Straight);
    }
    let place = behind_links(name)?;
    let folder = place
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
    let file = file.map_err(|error| io::Error::from(error.kind()))?; // its own words name the file beside
    if let Some(present) = present.filter(fs::Metadata::is_file) {
        file.as_file().set_permissions(present.permissions())?; // before a byte that others might read
    }
    Ok(Target::Beside(file, place))
}

/// Where a chain of symbolic links ends, whether a file is there or not.
fn behind_links(name: &Path) -> io::Result<PathBuf> {
    let mut place = name.to_owned();
    for _ in 0..MAX_LINKS {
        let Ok(named) = fs::read_link(&place) else {
            return Ok(place);
        };
        place = place.parent().unwrap_or(Path::new("")).join(named);
    }
    Err(io::Error::other("too many symbolic links"))
}

/// That an output is none of the inputs: an answer in the place of a record that was to be kept is never meant.
pub fn check_apart<'n>(
    output: Option<&Path>,
    inputs: impl IntoIterator<Item = &'n String>,
) -> Result<(), Failure> {
    let Some(place) = output.and_then(|output| fs::canonicalize(output).ok()) else {
        return Ok(()); // no output, or a new file
    };
    let is_same =
        |name: &&String| *name != "-" && fs::canonicalize(name).is_ok_and(|input| input == place);
    let found = inputs.into_iter().find(is_same);
    found.filter(|_| place.is_file()).map_or(Ok(()), |found| {
        let words = "--output: expected another file than the inputs, found";
        let found = Excerpt::of(found.as_bytes());
        Err(Failure::Usage(format!("{words} {found}")))
    })
}
