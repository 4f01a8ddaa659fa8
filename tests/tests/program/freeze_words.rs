//! What `fairspell freeze` says of records that are short, that have holes, that never or always freeze, and of the
//! south: in plain words, within 80 columns, on the page as in the text.
//!
//! Source of what must be said: the project's contract (promise 8, section 5) and its handbook of statistics, §11. All
//! records are invented.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::fs;
use std::path::Path;

use chrono::Datelike as _;

use fairspell_tests::binary;
use fairspell_tests::daily::rows;
use serde_json::Value;

const SOUTH: &str = "latitude = -36.8\nlongitude = 174.8\n";

fn record(rows: &[String]) -> String {
    format!("date,tmin_f\n{}\n", rows.join("\n"))
}

/// The answer on a record, in one line of words; every line of text fits 80 columns.
#[track_caller]
fn words(record: &str, arguments: &[&str]) -> String {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("f"), record).unwrap();
    fs::write(folder.path().join("south.toml"), SOUTH).unwrap();
    let all = [&["freeze", "f", "--replicates", "0"], arguments].concat();
    let ran = binary::run(folder.path(), &all);
    assert_eq!((ran.code, ran.stderr.as_str()), (Some(0), ""));
    if !arguments.contains(&"--format") {
        for line in ran.stdout.lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
    }
    ran.stdout.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[track_caller]
fn assert_says(text: &str, words: &[&str]) {
    for words in words {
        assert!(text.contains(words), "no {words:?} in {text}");
    }
}

#[track_caller]
fn assert_says_nothing_of(text: &str, words: &[&str]) {
    for words in words {
        assert!(!text.contains(words), "{words:?} in {text}");
    }
}

/// Contract, section 5: valid years have at most ten missing days, others are listed and said why. Days were taken out
/// by hand: 16 of April 1993, 11 of April 1994, 10 of April 1996, all of 2001.
#[test]
fn years_left_out_are_listed_with_their_missing_days() {
    let is_out = |row: &String| {
        let (month, day) = (&row[..7], row[8..10].parse::<u32>().unwrap());
        match month {
            "1993-04" => day <= 16,
            "1994-04" => day <= 11,
            "1996-04" => day <= 10,
            _ => month.starts_with("2001"),
        }
    };
    let rows: Vec<String> = rows(30, 0.0)
        .into_iter()
        .filter(|row| !is_out(row))
        .collect();
    let text = words(&record(&rows), &[]);
    assert_says(
        &text,
        &[
            "springs left out for more than 10 days missing: 1993–1994 (11 to 16 days), 2001 (212 days)",
            "autumns left out for more than 10 days missing: 2001 (153 days)",
            "- 20 to 29 valid years: short of the 30 years of a climate normal",
        ],
    );
    assert_says_nothing_of(&text, &["1996 ("]);
}

/// Every other year has a hole of eleven days: too many years to be said in one line are said in several.
#[test]
fn many_years_left_out_stay_within_80_columns() {
    let is_out = |row: &String| {
        let year: i32 = row[..4].parse().unwrap();
        year % 2 == 0 && &row[5..7] == "03" && row[8..10].parse::<u32>().unwrap() <= 11
    };
    let rows: Vec<String> = rows(60, 0.0)
        .into_iter()
        .filter(|row| !is_out(row))
        .collect();
    let text = words(&record(&rows), &[]);
    assert_eq!(text.matches("(11 days)").count(), 30, "{text}");
}

/// Handbook of statistics, §11, its table of what so many valid years may say and must say.
#[test]
fn short_records_say_no_more_than_they_can() {
    let of = |years| words(&record(&rows(years, 0.0)), &["--risk", "10%"]);
    let two = of(2);
    assert_says(
        &two,
        &[
            "Too few years to say anything of risk",
            "Last spring freeze 36 °F 3 Apr 1991, 23 Mar 1992",
        ],
    );
    assert_says_nothing_of(&two, &["A risk of", "still brings", "10 %", "50 %"]);
    for format in ["svg", "html"] {
        let page = words(&record(&rows(2, 0.0)), &["--format", format]);
        assert_says(
            &page,
            &[
                "Too few valid springs to say anything",
                "Too few valid autumns to say anything",
            ],
        );
        assert_says_nothing_of(&page, &["50 % by"]);
    }
    let three = of(3);
    assert_says(
        &three,
        &[
            "years earliest 50 % latest freezes",
            "3 to 8 valid years: a median and the range",
        ],
    );
    assert_says_nothing_of(&three, &["years 10 %"]);
    assert_says(
        &of(8),
        &["earliest 50 % latest", "no 10 % and 90 % dates, no trend"],
    );
    assert_says(
        &of(9),
        &[
            "years 10 % 50 % 90 %",
            "are the earliest and latest on record, no trend",
        ],
    );
    for years in [10, 19] {
        assert_says(
            &of(years),
            &["10 to 19 valid years: intervals are too narrow, all of it provisional"],
        );
    }
    for years in [20, 29] {
        assert_says(
            &of(years),
            &["20 to 29 valid years: short of the 30 years of a climate normal"],
        );
    }
    assert_says_nothing_of(&of(30), &["valid years:", "provisional"]);
}

/// One half may have years enough where the other has not: each is said by its name. Of all springs but two, March has
/// no row.
#[test]
fn a_half_with_fewer_years_is_named() {
    let is_out = |row: &String| &row[5..7] == "03" && row[..4] != *"1991" && row[..4] != *"1992";
    let rows: Vec<String> = rows(12, 0.0)
        .into_iter()
        .filter(|row| !is_out(row))
        .collect();
    let text = words(&record(&rows), &["--risk", "10%"]);
    assert_says(
        &text,
        &[
            "Too few valid springs to say anything of the risk of 36 °F or lower.",
            "A risk of 10 % of 36 °F: not known in spring, until ",
            "- spring: too few years to say anything of risk",
            "- autumn: 10 to 19 valid years",
        ],
    );
}

/// Wilson's upper end of 0 of 30 is 11 %, of 0 of 10 is 28 %: the project's handbook of statistics, §11.
#[test]
fn a_place_without_freezes_is_said_in_words() {
    for (years, most) in [(30, "11 %"), (10, "28 %")] {
        let text = words(
            &record(&rows(years, 40.0)),
            &["--risk", "10%", "--threshold", "28F"],
        );
        assert_says(
            &text,
            &[
                &format!(
                    "No spring of {years} brought 28 °F or lower. The chance of one in a year is at most {most}"
                ),
                &format!(
                    "A risk of 10 % of 28 °F: no spring of {years} had one, no autumn of {years} had one."
                ),
            ],
        );
        assert_says_nothing_of(&text, &["hardly", "from 1 Jan", "never"]);
        let arguments = ["--on", "2027-10-10", "--threshold", "28F"];
        let text = words(&record(&rows(years, 40.0)), &arguments);
        assert_says(
            &text,
            &[&format!("No autumn of {years} brought 28 °F or lower.")],
        );
    }
}

/// Nine springs of thirty freeze: years enough, freezes too few (handbook of statistics, §11, "30 valid with 8 freezes
/// is a short record").
#[test]
fn few_freezes_in_many_years_are_said() {
    let rows: Vec<String> = rows(30, 40.0)
        .into_iter()
        .map(|row| match row.split_once(',') {
            Some((date, _)) if date < "2000" && date.ends_with("-02-03") => format!("{date},20"),
            _ => row,
        })
        .collect();
    let text = words(&record(&rows), &["--threshold", "28F"]);
    assert_says(
        &text,
        &[
            "fewer than 10 years with a freeze of 28 °F in spring (9 of 30 years): their dates have no interval and no \
           trend, and their curve is a sketch",
        ],
    );
}

/// Every day is colder than every threshold: the last freeze is the last day of spring, which is no date of a climate.
#[test]
fn a_place_that_freezes_in_every_month_has_no_last_date() {
    let rows: Vec<String> = rows(30, 0.0)
        .iter()
        .map(|row| format!("{},-10", row.split_once(',').unwrap().0))
        .collect();
    let text = words(&record(&rows), &["--risk", "10%"]);
    assert_says(
        &text,
        &[
            "36 °F or lower still comes at the end of spring in most years: it has no last date.",
            "A risk of 10 % of 36 °F: no day in spring is as safe, no day in autumn is as safe.",
            "36 °F, 32 °F, 28 °F, 24 °F or lower comes in every month",
        ],
    );
}

/// Freezing on the last day of every spring and in October: the summer between them is free, and is not said to be cold.
#[test]
fn a_free_summer_is_not_said_to_freeze() {
    let rows: Vec<String> = rows(30, 0.0)
        .iter()
        .map(|row| {
            let date = row.split_once(',').unwrap().0;
            let is_cold = date.ends_with("-07-31") || date.ends_with("-10-15");
            format!("{date},{}", if is_cold { 20 } else { 50 })
        })
        .collect();
    let text = words(&record(&rows), &["--keep-suspect"]);
    assert_says(
        &text,
        &["32 °F or lower still comes at the end of spring in most years"],
    );
    assert_says_nothing_of(&text, &["comes in every month"]);
}

/// How poorly a curve fits is said in percent, as the answer has it in JSON: A² with both parameters estimated, and the chance of
/// one as large. Source: the project's handbook of statistics, §4; D'Agostino & Stephens 1986, table 4.17 (from memory), in which
/// 1.038 is exceeded in 1 % of samples and 0.757 in 5 %. The record is the open one of Suffolk.
#[test]
fn the_chance_of_a_poor_fit_is_said_in_percent() {
    let place = Path::new(env!("CARGO_MANIFEST_DIR")).join("../data/open/csv/daily_suffolk_uk.csv");
    let record = fs::read_to_string(place).unwrap();
    let text = words(&record, &[]);
    let said = text.split_once("fits poorly at ").unwrap().1;
    let (said, _) = said.split_once(": the chance").unwrap();
    let json: Value = serde_json::from_str(&words(&record, &["--format", "json"])).unwrap();
    let mut count = 0;
    for at in json["thresholds"].as_array().unwrap() {
        for half in ["spring", "autumn"] {
            let name = format!("{} °F in {half} (", at["threshold_f"].as_f64().unwrap());
            let fits = at[half]["fits"].as_array().unwrap();
            let Some(chosen) = fits.iter().find(|fit| fit["form"] == at[half]["chosen"]) else {
                continue;
            };
            let a2 = chosen["ad_a2"].as_f64().unwrap();
            let years = at[half]["freeze_years"].as_f64().unwrap();
            let of_size = a2 * (1.0 + 0.2 / years.sqrt());
            let percent: Option<f64> = said
                .split_once(&name)
                .map(|(_, rest)| rest.split_once(" %").unwrap().0.parse().unwrap());
            match percent {
                Some(percent) => {
                    count += 1;
                    assert!(
                        (0.757..1.038).contains(&of_size),
                        "{name}{percent}: {of_size}"
                    );
                    assert!((1.0..5.0).contains(&percent), "{name}{percent}: {of_size}");
                }
                None => assert!(of_size < 0.757, "{name}: {of_size}"),
            }
        }
    }
    assert_eq!(count, 2, "{said}");
}

/// Contract, section 5: the southern spring is July to January, named by the year in which it begins. The record begins
/// in January 1991, within the spring of 1990, and ends with December 2010, within that of 2010.
#[test]
fn the_southern_seasons_are_named() {
    let text = words(&record(&rows(20, 0.0)), &["--site", "south.toml"]);
    assert_says(
        &text,
        &[
            "southern seasons: spring is July to January, autumn the February to June that follows",
            "springs left out for more than 10 days missing: 1990 (184 days), 2010 (31 days)",
            "autumns left out for more than 10 days missing: 2010 (150 days)",
        ],
    );
}

/// Handbook of statistics, §11: a record whose last year is ten years back or more is told to be old; here against the
/// date asked about.
#[test]
fn an_old_record_is_said() {
    let record = record(&rows(20, 0.0));
    let old = words(&record, &["--on", "2021-01-01"]);
    assert_says(
        &old,
        &["the record ends on 2010-12-31, 10 years before 2021"],
    );
    let young = words(&record, &["--on", "2020-12-30"]);
    assert_says_nothing_of(&young, &["the record ends"]);
}

/// What is asked is answered with its number in the text and on the page, and marked in the picture.
#[test]
fn a_date_and_a_risk_are_answered_in_every_format_for_people() {
    let record = record(&rows(30, 0.0));
    let asked = ["--on", "2027-03-20", "--risk", "10%", "--threshold", "32F"];
    let text = words(&record, &asked);
    let sentences: Vec<&str> = text.split_inclusive(". ").collect();
    let on = sentences
        .iter()
        .find_map(|words| words.find("On 20 Mar ").map(|at| words[at..].trim()))
        .unwrap();
    assert!(on.contains(" %) still brings 32 °F or lower."), "{on}");
    let risk = sentences.iter().find_map(|words| {
        words
            .find("A risk of 10 % of 32 °F: ")
            .map(|at| words[at..].trim())
    });
    for format in ["html", "svg"] {
        let page = words(&record, &[&asked[..], &["--format", format]].concat());
        assert_says(
            &page,
            &[on, risk.unwrap(), "the date asked about", ">20 Mar: "],
        );
        let unasked = words(&record, &["--threshold", "32F", "--format", format]);
        assert_says_nothing_of(&unasked, &["the date asked about", "A risk of"]);
    }
}

/// Promise 8: a poor fit is said. Two groups of dates, ten days about 1 March and ten about 20 June, are no Weibull
/// sample; the same dates evenly spread are near enough to one. Significance: the project's handbook of statistics, §4.
#[test]
fn a_poor_fit_is_said() {
    let text = |days: &dyn Fn(i64) -> i64| {
        let first = chrono::NaiveDate::from_ymd_opt(1991, 1, 1).unwrap();
        let mut rows = Vec::new();
        for year in 0..30_i32 {
            let start = first.with_year(1991 + year).unwrap();
            let cold = start + chrono::TimeDelta::days(days(i64::from(year)));
            let of_year = start
                .iter_days()
                .take_while(|date| date.year() == 1991 + year);
            rows.extend(
                of_year.map(|date| format!("{date},{}", if date == cold { 28 } else { 40 })),
            );
        }
        words(
            &record(&rows),
            &["--threshold", "28F", "--on", "2021-04-10"],
        )
    };
    let apart = |year: i64| {
        if year % 2 == 0 {
            59 + year / 2
        } else {
            170 + year / 2
        }
    };
    let together = |year: i64| 100 + 40 * ((year * 7 % 30) - 15) / 30;
    let poor = "the fitted curve fits poorly at 28 °F in spring";
    assert_says(&text(&apart), &[poor, "by Anderson and Darling"]);
    assert_says_nothing_of(&text(&together), &["poorly"]);
}
