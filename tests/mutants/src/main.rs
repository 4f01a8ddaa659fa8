//! Mutation testing in one build.
//!
//! usage: fairspell-mutants LIST.json FOLDER [SECONDS]
//!
//! LIST.json comes from `cargo mutants --list --json`; `run` beside this crate makes it. The tracked files of the workspace
//! are copied into FOLDER, the mutants woven in, and the tests built once; a mutant that does not compile is taken out, as
//! cargo-mutants counts it (unviable). Each test then runs alone and says which mutants it comes by. Each mutant is turned on
//! by an environment variable, and the tests that come by it run, those first that caught others of the same function, then
//! the quickest, until one fails or they have taken SECONDS (60). What is found goes to FOLDER/found.jsonl, a line a mutant,
//! and is not tried again by the next run.

mod trial;
mod weave;

use std::collections::{BTreeMap, BTreeSet};
use std::error::Error;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode, Stdio};

use serde_json::Value;

use weave::{Mutant, weave};

type Result<T> = std::result::Result<T, Box<dyn Error>>;

/// What the woven code asks. The engine itself may not see the environment; this copy of it must.
const QUESTION: &str = r#"//! Which mutant is turned on, and which are come by.
use std::io::Write as _;
use std::sync::LazyLock;
use std::sync::atomic::{AtomicBool, Ordering};

static ON: LazyLock<usize> = LazyLock::new(|| {
    let text = std::env::var("FAIRSPELL_MUTANT").unwrap_or_default();
    text.parse().unwrap_or(usize::MAX)
});
static SEEN_IN: LazyLock<Option<String>> = LazyLock::new(|| std::env::var("FAIRSPELL_MUTANTS_SEEN").ok());
static SEEN: [AtomicBool; 16384] = [const { AtomicBool::new(false) }; 16384];

#[allow(missing_docs)]
pub fn is(number: usize) -> bool {
    if let Some(path) = &*SEEN_IN {
        if !SEEN[number].swap(true, Ordering::Relaxed) {
            let file = std::fs::OpenOptions::new().append(true).create(true).open(path);
            let _ = file.and_then(|mut file| file.write_all(format!("{number}\n").as_bytes()));
        }
    }
    *ON == number
}
"#;

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("fairspell-mutants: {error}");
            ExitCode::FAILURE
        }
    }
}

fn run() -> Result<()> {
    let mut arguments = std::env::args().skip(1);
    let (Some(list), Some(folder)) = (arguments.next(), arguments.next()) else {
        return Err("usage: fairspell-mutants LIST.json FOLDER [SECONDS]".into());
    };
    let seconds = arguments.next().map_or(Ok(60.0), |text| text.parse())?;
    let mutants: Vec<Mutant> = serde_json::from_str(&fs::read_to_string(list)?)?;
    let folder = fs::canonicalize(&folder).or_else(|_| {
        fs::create_dir_all(&folder)?;
        fs::canonicalize(&folder)
    })?;
    let copy = folder.join("main");
    copy_workspace(&copy)?;
    let unviable = woven(&mutants, &copy)?;
    println!(
        "{} mutants, {} of them do not compile or cannot be woven",
        mutants.len(),
        unviable.len()
    );
    let programs = built(
        &copy,
        ["-p", "fairspell-cli", "--bin", "fairspell"],
        "build",
        false,
    )?;
    let [program] = programs.as_slice() else {
        return Err("expected one program of the copy".into());
    };
    let mut checks = built(
        &copy,
        ["-p", "fairspell", "--lib", "--no-run"],
        "test",
        true,
    )?;
    checks.extend(built(
        &copy,
        ["-p", "fairspell-tests", "--tests", "--no-run"],
        "test",
        true,
    )?);
    let tests = trial::tests(checks, program)?;
    trial::all(&mutants, &unviable, tests, &folder, seconds)
}

/// Copies what git tracks, and leaves alone what is the same already.
fn copy_workspace(copy: &Path) -> Result<()> {
    let output = Command::new("git").args(["ls-files", "-z"]).output()?;
    for name in String::from_utf8(output.stdout)?.split_terminator('\0') {
        let to = copy.join(name);
        let bytes = fs::read(name)?;
        if fs::read(&to).is_ok_and(|there| there == bytes) {
            continue;
        }
        fs::create_dir_all(to.parent().ok_or("a file without a folder")?)?;
        fs::write(&to, bytes)?;
        #[cfg(unix)]
        fs::set_permissions(&to, fs::metadata(name)?.permissions())?;
    }
    Ok(())
}

/// Weaves all mutants into the copy, but those that the compiler refuses; their numbers.
fn woven(mutants: &[Mutant], copy: &Path) -> Result<BTreeSet<usize>> {
    let source = copy.join("core/src");
    fs::write(source.join("mutant.rs"), QUESTION)?;
    let root = fs::read_to_string("core/src/lib.rs")?;
    fs::write(
        source.join("lib.rs"),
        format!("{root}\n#[doc(hidden)]\npub mod mutant;\n"),
    )?;
    let mut by_file: BTreeMap<&str, Vec<(usize, &Mutant)>> = BTreeMap::new();
    for (number, mutant) in mutants.iter().enumerate() {
        by_file
            .entry(&mutant.file)
            .or_default()
            .push((number, mutant));
    }
    let mut out: BTreeSet<usize> = BTreeSet::new();
    let mut last = false;
    loop {
        let mut places = Vec::new();
        for (file, of_file) in &by_file {
            let kept: Vec<_> = of_file
                .iter()
                .filter(|(number, _)| !out.contains(number))
                .copied()
                .collect();
            let woven = weave(&fs::read_to_string(file)?, &kept)?;
            let there: BTreeSet<usize> = woven.places.iter().map(|(number, _)| *number).collect();
            out.extend(
                kept.iter()
                    .map(|(number, _)| *number)
                    .filter(|number| !there.contains(number)),
            );
            places.push((copy.join(file), woven.places));
            fs::write(copy.join(file), woven.text)?;
        }
        let refused = refused(copy, &places)?;
        match refused {
            None => return Ok(out),
            Some(more) if more.is_empty() && last => {
                return Err("the woven copy does not compile, and no mutant is to blame".into());
            }
            Some(more) => {
                last = more.is_empty();
                println!("{} mutants do not compile", more.len());
                out.extend(more);
            }
        }
    }
}

fn cargo(copy: &Path) -> Command {
    let mut command = Command::new("cargo");
    command
        .current_dir(copy)
        .env("RUSTFLAGS", "--cap-lints warn");
    for (name, value) in [("OPT_LEVEL", "1"), ("DEBUG", "0"), ("INCREMENTAL", "false")] {
        command.env(format!("CARGO_PROFILE_DEV_{name}"), value);
    }
    command
}

/// The mutants in which the compiler finds an error; nothing if all is well.
fn refused(
    copy: &Path,
    places: &[(PathBuf, Vec<(usize, std::ops::Range<usize>)>)],
) -> Result<Option<BTreeSet<usize>>> {
    let arguments = [
        "check",
        "-p",
        "fairspell",
        "--locked",
        "--message-format",
        "json",
    ];
    let output = cargo(copy)
        .args(arguments)
        .stderr(Stdio::inherit())
        .output()?;
    if output.status.success() {
        return Ok(None);
    }
    let mut found = BTreeSet::new();
    for line in String::from_utf8(output.stdout)?.lines() {
        let message: Value = serde_json::from_str(line)?;
        let message = &message["message"];
        if message["level"] != "error" {
            continue;
        }
        let mut spans: Vec<&Value> = message["spans"].as_array().into_iter().flatten().collect();
        for child in message["children"].as_array().into_iter().flatten() {
            spans.extend(child["spans"].as_array().into_iter().flatten());
        }
        for span in spans {
            let (Some(file), Some(from), Some(to)) = (
                span["file_name"].as_str(),
                span["byte_start"].as_u64(),
                span["byte_end"].as_u64(),
            ) else {
                continue;
            };
            let of_file = places.iter().filter(|(path, _)| path.ends_with(file));
            let touched = of_file.flat_map(|(_, places)| places).filter(|(_, range)| {
                (range.start as u64) < to.max(from + 1) && from < range.end as u64
            });
            // Of arms within arms the narrowest; an error around many mutants is told of one of them first.
            if let Some((number, _)) = touched.min_by_key(|(_, range)| range.len()) {
                found.insert(*number);
            }
        }
    }
    Ok(Some(found))
}

/// The programs of the copy that cargo builds for these arguments: tests, or the program itself.
fn built(copy: &Path, what: [&str; 4], task: &str, is_test: bool) -> Result<Vec<PathBuf>> {
    let mut programs = Vec::new();
    let mut command = cargo(copy);
    command
        .args([task, "--locked", "--message-format", "json"])
        .args(what);
    let output = command.stderr(Stdio::inherit()).output()?;
    if !output.status.success() {
        return Err("the woven copy does not compile".into());
    }
    for line in String::from_utf8(output.stdout)?.lines() {
        let message: Value = serde_json::from_str(line)?;
        let program = message["executable"].as_str();
        if let Some(program) = program.filter(|_| message["profile"]["test"] == is_test) {
            programs.push(PathBuf::from(program));
        }
    }
    Ok(programs)
}
