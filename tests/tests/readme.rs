//! The README's transcripts, run as they stand.

use fairspell_tests::binary;

/// The project's own README: each `console` block is run and its output compared.
#[test]
fn readme_blocks_run_as_they_stand() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    std::env::set_current_dir(&root).unwrap();
    let bin = binary::path();
    trycmd::TestCases::new()
        .register_bin("fairspell", bin)
        .env("COLUMNS", "80")
        .case("README.md");
}
