//! Packages of cargo: what a crate embeds lies inside it, it carries its licences, and its package is made.
//!
//! `.ci/run` also builds each package from its own files alone.
//!
//! Source: the Cargo Book, "Publishing on crates.io" and "The manifest format" (`include`, `readme`, `license`).

#![expect(clippy::unwrap_used, reason = "a check stops at the first surprise")]

use std::fs;
use std::path::{Component, Path, PathBuf};

use fairspell_tests::binary::{cargo, workspace};

/// The crates that may be published, by their folders; the others say `publish = false`.
const PUBLISHED: [(&str, &str); 3] = [
    ("data", "fairspell-data"),
    ("core", "fairspell"),
    ("cli", "fairspell-cli"),
];

/// What is given away with the licences beside it, and therefore has copies of them.
const CARRY_LICENCES: [&str; 4] = ["data", "core", "cli", "ffi/python"];

/// All files of Rust below a folder.
fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(sources(&path));
        } else if path.extension().is_some_and(|end| end == "rs") {
            found.push(path);
        }
    }
    found
}

/// How far above its own folder a path climbs at most.
fn climbs(path: &str) -> usize {
    let mut depth = 0_i32;
    let mut least = 0;
    for part in Path::new(path).components() {
        depth += if part == Component::ParentDir { -1 } else { 1 };
        least = least.min(depth);
    }
    usize::try_from(-least).unwrap()
}

/// A file that is included from outside a crate is in no package of it: there it cannot be built, or tested.
#[test]
fn nothing_is_included_from_outside_a_crate() {
    let mut included = 0;
    for (folder, _) in PUBLISHED {
        let folder = workspace().join(folder);
        for source in sources(&folder) {
            let depth = source.strip_prefix(&folder).unwrap().components().count() - 1;
            let text = fs::read_to_string(&source).unwrap();
            for (_, after) in ["include_str!(", "include_bytes!("]
                .iter()
                .flat_map(|call| text.match_indices(call))
                .map(|(at, call)| text.split_at(at + call.len()))
            {
                let path = after.split('"').nth(1).unwrap();
                assert!(climbs(path) <= depth, "{}: {path}", source.display());
                included += 1;
            }
        }
    }
    assert!(included >= 7, "found only {included}"); // three built in, four of the demo
}

/// The licences ask to go with every copy.
#[test]
fn what_is_given_away_has_the_licences_beside_it() {
    for name in ["LICENSE-APACHE", "LICENSE-MIT"] {
        let own = fs::read(workspace().join(name)).unwrap();
        for folder in CARRY_LICENCES {
            let copy = fs::read(workspace().join(folder).join(name)).unwrap();
            assert!(copy == own, "{folder}/{name} differs from {name}");
        }
    }
}

/// The members of the workspace.
fn members() -> Vec<String> {
    let manifest = fs::read_to_string(workspace().join("Cargo.toml")).unwrap();
    let members = manifest.split_once("members = [").unwrap().1;
    let members = members.split_once(']').unwrap().0.split(',');
    members
        .map(|member| member.trim().trim_matches('"').to_owned())
        .collect()
}

/// All members of the workspace are either in the list above or say that they are not published.
#[test]
fn every_crate_is_published_or_says_not() {
    for member in members() {
        let manifest = fs::read_to_string(workspace().join(&member).join("Cargo.toml")).unwrap();
        let is_published = PUBLISHED
            .iter()
            .any(|(folder, _)| *folder == member.as_str());
        let is_kept = manifest.lines().any(|line| line == "publish = false");
        assert!(is_published != is_kept, "{member}");
    }
}

/// The front page of each crate's documentation has an example, which the checks run: doctests, those of the Python package, or
/// an example in C that is built and run.
#[test]
fn each_front_page_has_an_example() {
    for member in members() {
        let folder = workspace().join(&member);
        let lib = [folder.join("src/lib.rs"), folder.join("lib.rs")];
        let lib = lib.iter().find(|file| file.is_file()).unwrap();
        let text = fs::read_to_string(lib).unwrap();
        let is_page = |line: &&str| line.starts_with("//!") || line.starts_with("#![doc = ");
        let page: Vec<&str> = text.lines().take_while(is_page).collect();
        let shown = page.iter().any(|line| line.starts_with("//! ```"));
        let taken = page.contains(&"#![doc = include_str!(\"../README.md\")]")
            && fs::read_to_string(folder.join("README.md"))
                .unwrap()
                .contains("\n```python\n");
        assert!(shown || taken, "{member}: {page:#?}");
    }
}

/// `cargo package` makes each package, with what its readers and its builders need.
#[test]
fn cargo_packages_each_crate() {
    let needed: [&[&str]; 3] = [
        &[
            "lib.rs",
            "operations/oil.toml",
            "operations/prune.toml",
            "operations/examples/copper.toml",
            "plants.toml",
            "demo/site.toml",
            "schema/decision-1.schema.json",
        ],
        &["src/lib.rs", "src/read/nws/gridpoint.rs"],
        &["src/main.rs", "examples/pages.rs", "THIRD-PARTY.txt"],
    ];
    for ((folder, name), own) in PUBLISHED.into_iter().zip(needed) {
        let output = cargo()
            .args(["package", "--locked", "--offline", "--allow-dirty"])
            .args(["--list", "-p", name])
            .output()
            .unwrap();
        let listed = String::from_utf8(output.stdout).unwrap();
        let words = String::from_utf8(output.stderr).unwrap();
        assert!(output.status.success(), "{words}");
        let listed: Vec<&str> = listed.lines().collect();
        let shared = ["Cargo.toml", "README.md", "LICENSE-APACHE", "LICENSE-MIT"];
        for file in own.iter().chain(&shared) {
            assert!(listed.contains(file), "{folder}: no {file} in {listed:?}");
        }
        let open = listed.iter().find(|file| file.starts_with("open/"));
        assert_eq!(open, None, "open records have licences of their own");
    }
}
