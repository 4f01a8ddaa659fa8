//! Any bytes through every entry of the C library that takes a file: files of the corpora of the fuzz targets, each in a block of
//! exactly its length, and cut off in the middle, under valgrind. What must be true then stands in `tests/c/bytes.c`, which is
//! the fuzz target of the C library as well.
//!
//! Source: the contract, section 8: a status for any argument, results on success alone, no memory that is not the caller's.

#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use std::fs;
use std::path::{Path, PathBuf};

use fairspell_tests::binary::workspace;
use fairspell_tests::c::{Language, Link, MEMCHECK, compiled_with, run, scratch};

/// Longer files only take longer under valgrind; the targets in Rust replay them too.
const LONGEST: usize = 16_384;

/// Files taken of each corpus, those that it began with first, then in the order of their names: those that the fuzzer found are named by their SHA-1, and so are as good
/// as drawn. All of them would take valgrind a quarter of an hour; the targets in Rust replay all.
const OF_EACH: usize = 20;

/// Files of the corpora that are not too long, and the first half of each.
fn cases(folder: &Path) -> Vec<PathBuf> {
    let mut cases = Vec::new();
    let corpora = fs::read_dir(workspace().join("tests/fuzz/corpus")).unwrap();
    for corpus in corpora.map(|entry| entry.unwrap().path()) {
        let name = corpus.file_name().unwrap().to_string_lossy().into_owned();
        let mut files: Vec<PathBuf> = fs::read_dir(&corpus)
            .unwrap()
            .map(|file| file.unwrap().path())
            .collect();
        let is_found = |path: &PathBuf| path.file_name().is_some_and(|name| name.len() == 40);
        files.sort_by_key(|path| (is_found(path), path.clone()));
        for path in files.into_iter().take(OF_EACH) {
            let bytes = fs::read(&path).unwrap();
            if bytes.len() > LONGEST {
                continue;
            }
            let half = folder.join(format!(
                "{name}-{}",
                path.file_name().unwrap().to_string_lossy()
            ));
            fs::write(&half, bytes.get(..bytes.len() / 2).unwrap()).unwrap();
            cases.extend([path, half]);
        }
    }
    cases.sort();
    cases
}

#[test]
#[cfg_attr(not(c_tools), ignore = "needs gcc, pkg-config and valgrind")]
fn any_bytes_get_a_status_and_no_memory_but_their_own_is_read() {
    let program = compiled_with(
        &workspace().join("tests/c/bytes.c"),
        Language::C99,
        Link::Shared,
        &["-DBYTES_MAIN"],
    );
    let folder = scratch().join("halves");
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    let cases = cases(&folder);
    assert!(cases.len() > 90, "{}", cases.len());
    let arguments: Vec<&str> = cases.iter().map(|path| path.to_str().unwrap()).collect();
    let ran = run(&MEMCHECK, &program, &arguments);
    assert_eq!(
        (ran.code, ran.stdout, ran.stderr),
        (Some(0), format!("{} files\n", cases.len()), String::new())
    );
}
