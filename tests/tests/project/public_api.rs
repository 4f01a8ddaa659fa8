//! The public items of the crates that are published, held against the lists that are checked in, so that none comes, goes or
//! changes unseen. `FAIRSPELL_WRITE_API=1 cargo test -p fairspell-tests --locked --test project public_api` writes them; the rule for
//! versions stands in DEVELOPERS.md.
//!
//! Source: the Cargo Book, reference, "`SemVer` Compatibility", for what breaks other programs.

#![expect(clippy::panic, reason = "a check stops at the first surprise")]

mod interface;

use std::fs;

use fairspell_tests::binary::workspace;

const CRATES: [(&str, &str, &str); 3] = [
    ("data", "lib.rs", "fairspell_data"),
    ("core", "src/lib.rs", "fairspell"),
    ("cli", "src/lib.rs", "fairspell_cli"),
];

/// Another program sees the list, no more and no less.
#[test]
fn public_items_are_those_of_the_list() {
    for (folder, file, name) in CRATES {
        let folder = workspace().join(folder);
        let list = folder.join("public-api.txt");
        let found = interface::of(&folder.join(file), name);
        if std::env::var_os("FAIRSPELL_WRITE_API").is_some() {
            fs::write(&list, &found).unwrap();
        }
        let held = fs::read_to_string(&list).unwrap();
        let only_in = |these: &str, those: &str| -> Vec<String> {
            let lines = these
                .lines()
                .filter(|line| !those.lines().any(|other| other == *line));
            lines.map(str::to_owned).collect()
        };
        let (gone, new) = (only_in(&held, &found), only_in(&found, &held));
        assert!(
            gone.is_empty() && new.is_empty(),
            "{name}: gone or changed: {gone:#?}\nnew or changed: {new:#?}"
        );
    }
}

/// By eye in the sources: one item of each sort, under the path by which it is named.
#[test]
fn the_list_has_every_sort_of_item() {
    let list = fs::read_to_string(workspace().join("core/public-api.txt")).unwrap();
    for line in [
        "mod fairspell::decision",
        "fn fairspell::decision::decide(question: &Question<'_>) -> Result<Decision, DecideError>",
        "fn fairspell::season::easter(year: i32) -> Option<NaiveDate>",
        "struct fairspell::quantity::Quantity",
        "field fairspell::quantity::Quantity::value: f64",
        "variant fairspell::decision::Verdict::CannotTell",
        "impl Debug for fairspell::decision::Verdict",
        "const fairspell::operation::OIL: &str",
        "const fairspell::series::MAX_DAYS: usize",
        "fn fairspell::decision::Decision::to_json(&self) -> String",
    ] {
        assert!(list.lines().any(|one| one == line), "{line}");
    }
    assert!(!list.contains("::tests") && !list.contains("pub(crate)"));
}
