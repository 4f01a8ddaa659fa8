//! The layout of the house: data flows one way, no two modules import each other, and the engine speaks to all who ask it.
//!
//! Source: DEVELOPERS.md, "How the house is laid out"; the contract, section 2: a module uses only those before it.

#![expect(clippy::unwrap_used, reason = "a check stops at the first surprise")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use fairspell_tests::binary::workspace;

/// All files of Rust below a folder, but those of unit tests.
fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(sources(&path));
        } else if path.extension().is_some_and(|end| end == "rs") && !path.ends_with("tests.rs") {
            found.push(path);
        }
    }
    found
}

/// A file without its comments and what follows the mark of its unit tests.
fn code(path: &Path) -> String {
    let text = fs::read_to_string(path).unwrap();
    let text = text.split("#[cfg(test)]").next().unwrap();
    let lines = text.lines();
    let code = lines.filter(|line| !line.trim_start().starts_with("//"));
    code.flat_map(|line| [line, "\n"]).collect()
}

/// The module at the top to which a file belongs.
fn top(folder: &Path, path: &Path) -> String {
    let below = path.strip_prefix(folder).unwrap();
    let first = below.components().next().unwrap().as_os_str();
    first.to_str().unwrap().trim_end_matches(".rs").to_owned()
}

/// The name with which a text begins.
fn name(text: &str) -> String {
    let is_of_name = |letter: &char| letter.is_ascii_alphanumeric() || *letter == '_';
    text.trim_start().chars().take_while(is_of_name).collect()
}

/// What stands behind each `crate::`, one name or a list in braces.
fn behind_crate(code: &str) -> BTreeSet<String> {
    let mut names = BTreeSet::new();
    for (at, mark) in code.match_indices("crate::") {
        let (_, rest) = code.split_at(at + mark.len());
        let Some(list) = rest.strip_prefix('{') else {
            names.insert(name(rest));
            continue;
        };
        let (mut depth, mut begins) = (0_usize, true);
        for (at, letter) in list.char_indices() {
            if begins {
                names.insert(name(list.split_at(at).1));
                begins = false;
            }
            match letter {
                '{' => depth += 1,
                '}' if depth == 0 => break,
                '}' => depth -= 1,
                ',' if depth == 0 => begins = true,
                _ => {}
            }
        }
    }
    names
}

/// For each module at the top of a crate, the others that it uses.
fn uses(folder: &str) -> BTreeMap<String, BTreeSet<String>> {
    let folder = workspace().join(folder);
    let mut uses: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for path in sources(&folder) {
        let own = top(&folder, &path);
        let found = behind_crate(&code(&path));
        uses.entry(own).or_default().extend(found);
    }
    let modules: BTreeSet<String> = uses.keys().cloned().collect();
    for (own, used) in &mut uses {
        used.retain(|name| name != own && modules.contains(name));
    }
    uses
}

/// A module is done when all that it uses is: what is left in the end runs in circles.
#[test]
fn no_modules_import_each_other_in_a_circle() {
    for (folder, least) in [
        ("core/src", 30),
        ("cli/src", 60),
        ("ffi/c/src", 20),
        ("ffi/python/src", 10),
    ] {
        let mut left = uses(folder);
        let arrows: usize = left.values().map(BTreeSet::len).sum();
        assert!(arrows >= least, "{folder}: read only {arrows} imports");
        loop {
            let rest: BTreeSet<String> = left.keys().cloned().collect();
            let before = left.len();
            left.retain(|_, used| used.iter().any(|name| rest.contains(name)));
            if left.len() == before {
                break;
            }
        }
        assert!(left.is_empty(), "{folder} runs in circles among: {left:?}");
    }
}

/// The table of the engine's modules stands in the order in which the data flows.
#[test]
fn the_engine_uses_only_modules_that_stand_before() {
    let text = fs::read_to_string(workspace().join("DEVELOPERS.md")).unwrap();
    let table = text.split_once("| module | from what to what |").unwrap().1;
    let rows = table.trim_start().lines().skip(1);
    let rows = rows.take_while(|line| line.starts_with('|'));
    let names = rows.map(|line| line.split('|').nth(1).unwrap().split(','));
    let order: Vec<String> = names
        .flatten()
        .map(|name| name.trim().trim_matches('`').to_owned())
        .collect();
    let uses = uses("core/src");
    let all = |names: &[String]| names.iter().cloned().collect::<BTreeSet<_>>();
    let modules: BTreeSet<String> = uses.keys().filter(|name| *name != "lib").cloned().collect();
    assert_eq!(all(&order), modules);
    for (place, own) in order.iter().enumerate() {
        let before = all(order.get(..place).unwrap());
        for used in uses.get(own).unwrap() {
            assert!(
                before.contains(used),
                "{own} uses {used}, which comes later"
            );
        }
    }
}

/// Rust, C and Python ask the engine too: no word of it, and none of what is built in, names an option of the command line.
#[test]
fn the_engine_names_no_option_of_the_command_line() {
    let names_an_option = |text: &str| {
        text.match_indices("--").any(|(at, mark)| {
            let next = text.split_at(at + mark.len()).1.chars().next();
            next.is_some_and(|letter| letter.is_ascii_lowercase())
        })
    };
    assert!(names_an_option("give --zone"));
    let folders = ["core/src", "ffi/c/src", "ffi/python/src"];
    let code = folders
        .map(|folder| sources(&workspace().join(folder)))
        .concat()
        .into_iter()
        .map(|path| (code(&path), path));
    let built_in =
        ["oil.toml", "prune.toml"].map(|name| workspace().join("data/operations").join(name));
    let built_in = built_in
        .into_iter()
        .chain([workspace().join("data/plants.toml")])
        .map(|path| (fs::read_to_string(&path).unwrap(), path));
    for (text, path) in code.chain(built_in) {
        let line = text.lines().find(|line| names_an_option(line));
        assert_eq!(line, None, "{}", path.display());
    }
}
