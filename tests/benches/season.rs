//! How long a season takes: one station of 100 years, 2,000 replicates. `cargo bench -p fairspell-tests --bench season`.

#![allow(
    clippy::unwrap_used,
    reason = "a benchmark may stop at the first surprise"
)]

use std::fmt::Write as _;

use divan::{Bencher, black_box};
use fairspell::plant::PlantTable;
use fairspell::season::{SeasonQuestion, SeasonSettings, season};
use fairspell_tests::binary;
use fairspell_tests::winters::{at, invented, series};

fn main() {
    divan::main();
}

const YEARS: core::ops::Range<i32> = 1926..2026;

#[divan::bench(sample_count = 20)]
fn hundred_years_from_the_series(bencher: Bencher) {
    let (record, site, table) = (
        series(&invented(YEARS, 1.0)),
        at(43.0),
        PlantTable::built_in(),
    );
    let settings = SeasonSettings::default();
    let plan = || {
        season(&SeasonQuestion {
            record: black_box(&record),
            site: &site,
            table: &table,
            year: 2027,
            observed: None,
            settings: &settings,
        })
    };
    assert!(plan().is_ok_and(|plan| plan.damage_years.is_some_and(|(.., years)| years == 100)));
    bencher.bench_local(plan);
}

/// The whole process, from its start to its end: the text answer from a plain CSV.
#[divan::bench(sample_count = 20)]
fn hundred_years_as_a_process(bencher: Bencher) {
    let folder = tempfile::tempdir().unwrap();
    let mut csv = String::from("date,tmin_c,tmax_c\n");
    for (date, (tmin, tmax)) in invented(YEARS, 1.0) {
        writeln!(csv, "{date},{tmin:.1},{tmax:.1}").unwrap();
    }
    std::fs::write(folder.path().join("station.csv"), csv).unwrap();
    let run = || {
        binary::run(
            folder.path(),
            &[
                "season",
                "station.csv",
                "--latitude",
                "43",
                "--year",
                "2027",
            ],
        )
    };
    assert_eq!(run().code, Some(0));
    bencher.bench_local(run);
}
