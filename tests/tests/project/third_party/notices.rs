//! What others wrote that is in the things we give away, with its notices: the text of `THIRD-PARTY.txt`.
//!
//! From `cargo metadata` and from the licence files in the packages of the crates themselves, as `Cargo.lock` names them.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;

use fairspell_tests::binary::cargo;

/// The systems for which notices are gathered. On others a crate more or less may be linked.
pub const SYSTEMS: [&str; 3] = [
    "x86_64-unknown-linux-gnu",
    "aarch64-apple-darwin",
    "x86_64-pc-windows-msvc",
];

/// A crate that is linked.
struct Linked {
    /// Name and version.
    name: String,
    licence: String,
    /// Its licence texts and notices.
    texts: Vec<String>,
}

/// The text for one of our crates.
///
/// - `what`: what is given away, such as "the program fairspell".
///
/// # Panics
/// If cargo cannot say what is linked, or a crate comes without the text of its licence.
pub fn of(crate_name: &str, what: &str) -> String {
    let linked = linked(crate_name);
    let mut written = format!(
        "Third-party software in {what}\n\n\
         Linked on Linux, macOS or Windows (not all of it on each), with the licence that each crate states. Their texts and\n\
         notices follow, as they stand in the crates' packages; where a crate leaves the choice, one of its licences does.\n\
         Also linked is the standard library of Rust, by The Rust Project Contributors, under MIT or Apache-2.0, both of\n\
         which stand below. The time zones are those of the IANA time zone database, which is in the public domain.\n\n"
    );
    let mut users: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for one in &linked {
        let _ = writeln!(written, "  {:36} {}", one.name, one.licence); // a String takes all
        for text in &one.texts {
            users.entry(text).or_default().push(&one.name);
        }
    }
    let mut texts: Vec<(Vec<&str>, &str)> =
        users.into_iter().map(|(text, of)| (of, text)).collect();
    texts.sort_unstable();
    for (of, text) in texts {
        let line = "=".repeat(80);
        let _ = write!(written, "\n{line}\n{}\n{line}\n\n{text}\n", of.join(", "));
    }
    written
}

/// What is linked into one of our crates, by name.
fn linked(crate_name: &str) -> Vec<Linked> {
    let metadata = metadata();
    let packages = by_id(&metadata["packages"]);
    let nodes = by_id(&metadata["resolve"]["nodes"]);
    let own = packages
        .iter()
        .find(|(_, package)| package["name"] == crate_name);
    let (own, _) = own.unwrap_or_else(|| stop(&format!("expected a crate {crate_name}")));
    let mut waiting = vec![*own];
    let mut seen = BTreeSet::new();
    while let Some(id) = waiting.pop() {
        if seen.insert(id) {
            waiting.extend(needs(nodes[id]).filter(|id| !runs_at_build_time(packages[id])));
        }
    }
    let others = seen.into_iter().map(|id| packages[id]);
    let mut linked: Vec<Linked> = others
        .filter(|of| !of["source"].is_null())
        .map(read)
        .collect();
    linked.sort_by(|a, b| a.name.cmp(&b.name));
    linked
}

fn metadata() -> Value {
    let mut command = cargo();
    command.args(["metadata", "--locked", "--format-version", "1"]);
    for system in SYSTEMS {
        command.args(["--filter-platform", system]);
    }
    let output = command
        .output()
        .unwrap_or_else(|error| stop(&error.to_string()));
    serde_json::from_slice(&output.stdout).unwrap_or_else(|error| {
        let words = String::from_utf8_lossy(&output.stderr);
        stop(&format!("{error}: {words}"))
    })
}

fn by_id(list: &Value) -> BTreeMap<&str, &Value> {
    let list = list.as_array().into_iter().flatten();
    list.filter_map(|one| Some((one["id"].as_str()?, one)))
        .collect()
}

/// What a crate is built on, but for what serves its build script or its tests alone.
fn needs(node: &Value) -> impl Iterator<Item = &str> {
    let needs = node["deps"].as_array().into_iter().flatten();
    needs.filter_map(|need| {
        let kinds = need["dep_kinds"].as_array()?;
        let is_linked = kinds.iter().any(|kind| kind["kind"].is_null());
        need["pkg"].as_str().filter(|_| is_linked)
    })
}

fn runs_at_build_time(package: &Value) -> bool {
    let targets = package["targets"].as_array().into_iter().flatten();
    let mut kinds = targets
        .filter_map(|target| target["kind"].as_array())
        .flatten();
    kinds.any(|kind| kind == "proc-macro")
}

fn read(package: &Value) -> Linked {
    let text = |key: &str| package[key].as_str().unwrap_or_default();
    let name = format!("{} {}", text("name"), text("version"));
    let folder = Path::new(text("manifest_path"))
        .parent()
        .unwrap_or(Path::new(""));
    let texts = licence_files(folder);
    if texts.is_empty() {
        stop(&format!("expected a licence file in {}", folder.display()));
    }
    Linked {
        name,
        licence: text("license").replace('/', " OR "), // the older way to write it
        texts: texts.iter().map(|file| as_text(file)).collect(),
    }
}

/// The licence that is taken, MIT where it is offered and else the first of those that `deny.toml` allows, and every notice.
fn licence_files(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let mut files: Vec<PathBuf> = entries.map(|entry| entry.path()).collect();
    files.retain(|path| path.is_file());
    files.sort_unstable();
    let name = |path: &PathBuf| {
        let name = path.file_name().unwrap_or_default();
        name.to_string_lossy().to_ascii_uppercase()
    };
    let licences: Vec<&PathBuf> = files
        .iter()
        .filter(|path| name(path).starts_with("LICEN"))
        .collect();
    let mit = licences.iter().filter(|path| name(path).contains("MIT"));
    let apache = licences.iter().filter(|path| name(path).contains("APACHE"));
    let taken = mit.chain(apache).chain(&licences).next().copied();
    let notices = files.iter().filter(|path| {
        ["COPYRIGHT", "NOTICE", "AUTHORS"]
            .iter()
            .any(|word| name(path).starts_with(word))
    });
    taken.into_iter().chain(notices).cloned().collect()
}

/// A file without what no reader sees: spaces at the end of its lines, blank lines around it.
fn as_text(file: &Path) -> String {
    let bytes = fs::read(file).unwrap_or_else(|error| stop(&error.to_string()));
    let text = String::from_utf8_lossy(&bytes);
    let lines: Vec<&str> = text.lines().map(str::trim_end).collect();
    lines.join("\n").trim_matches('\n').to_owned()
}

fn stop(why: &str) -> ! {
    panic!("{why}")
}
