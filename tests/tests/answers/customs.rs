//! Easter of 1900 to 2199 against a general date library and a published table.
//!
//! Each number is a day counted from 1 March = 1, so that 32 is 1 April and 62 is 1 May.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test may stop at the first surprise"
)]

use chrono::{Datelike as _, NaiveDate};
use fairspell::season::{CUSTOMS, easter, orthodox_easter};

/// By python-dateutil 4.0.0 (Apache 2.0, BSD), a general date library:
/// `(easter(y, 3) - date(y, 3, 1)).days + 1 for y in range(1900, 2200)`; method 3 is the western churches'.
const EASTER: [u32; 300] = [
    46, 38, 30, 43, 34, 54, 46, 31, 50, 42, 27, 47, 38, 23, 43, 35, 54, 39, 31, 51, 35, 27, 47, 32,
    51, 43, 35, 48, 39, 31, 51, 36, 27, 47, 32, 52, 43, 28, 48, 40, 24, 44, 36, 56, 40, 32, 52, 37,
    28, 48, 40, 25, 44, 36, 49, 41, 32, 52, 37, 29, 48, 33, 53, 45, 29, 49, 41, 26, 45, 37, 29, 42,
    33, 53, 45, 30, 49, 41, 26, 46, 37, 50, 42, 34, 53, 38, 30, 50, 34, 26, 46, 31, 50, 42, 34, 47,
    38, 30, 43, 35, 54, 46, 31, 51, 42, 27, 47, 39, 23, 43, 35, 55, 39, 31, 51, 36, 27, 47, 32, 52,
    43, 35, 48, 40, 31, 51, 36, 28, 47, 32, 52, 44, 28, 48, 40, 25, 44, 36, 56, 41, 32, 52, 37, 29,
    48, 40, 25, 45, 36, 49, 41, 33, 52, 37, 29, 49, 33, 53, 45, 30, 49, 41, 26, 46, 37, 29, 42, 34,
    53, 45, 30, 50, 41, 26, 46, 38, 50, 42, 34, 54, 38, 30, 50, 35, 26, 46, 31, 51, 42, 34, 47, 39,
    30, 43, 35, 55, 46, 31, 51, 43, 28, 48, 40, 25, 44, 36, 49, 41, 32, 52, 37, 29, 48, 33, 53, 45,
    29, 49, 41, 26, 45, 37, 29, 42, 33, 53, 45, 30, 49, 41, 26, 46, 37, 50, 42, 34, 53, 38, 30, 50,
    34, 26, 46, 31, 50, 42, 34, 47, 38, 30, 43, 35, 54, 46, 31, 51, 42, 27, 47, 39, 23, 43, 35, 55,
    39, 31, 51, 36, 27, 47, 32, 52, 43, 35, 48, 40, 31, 51, 36, 28, 47, 32, 52, 44, 28, 48, 40, 25,
    44, 36, 56, 41, 32, 52, 37, 29, 48, 40, 25, 45,
];

/// The same with method 2, the Orthodox churches'.
const ORTHODOX_EASTER: [u32; 300] = [
    53, 45, 58, 50, 41, 61, 46, 66, 57, 42, 62, 54, 38, 58, 50, 35, 54, 46, 66, 51, 42, 62, 47, 39,
    58, 50, 63, 55, 46, 66, 51, 43, 62, 47, 39, 59, 43, 63, 55, 40, 59, 51, 36, 56, 47, 67, 52, 44,
    63, 55, 40, 60, 51, 36, 56, 48, 67, 52, 44, 64, 48, 40, 60, 45, 64, 56, 41, 61, 52, 44, 57, 49,
    40, 60, 45, 65, 56, 41, 61, 53, 37, 57, 49, 69, 53, 45, 65, 50, 41, 61, 46, 38, 57, 49, 62, 54,
    45, 58, 50, 42, 61, 46, 66, 58, 42, 62, 54, 39, 58, 50, 35, 55, 46, 66, 51, 43, 62, 47, 39, 59,
    50, 63, 55, 47, 66, 51, 43, 63, 47, 39, 59, 44, 63, 55, 40, 60, 51, 36, 56, 48, 67, 52, 44, 64,
    55, 40, 60, 52, 36, 56, 48, 68, 52, 44, 64, 49, 40, 60, 45, 65, 56, 41, 61, 53, 44, 57, 49, 41,
    60, 45, 65, 50, 41, 61, 53, 38, 57, 49, 69, 54, 45, 65, 50, 42, 61, 46, 38, 58, 49, 62, 54, 39,
    58, 50, 42, 55, 46, 66, 58, 43, 63, 55, 40, 60, 51, 36, 56, 48, 67, 52, 44, 64, 48, 40, 60, 45,
    64, 56, 48, 61, 52, 44, 64, 49, 40, 60, 45, 65, 56, 41, 61, 53, 37, 57, 49, 69, 53, 45, 65, 50,
    41, 61, 53, 38, 57, 49, 69, 54, 45, 65, 50, 42, 61, 46, 66, 58, 42, 62, 54, 39, 58, 50, 42, 55,
    46, 66, 51, 43, 62, 54, 39, 59, 50, 70, 55, 47, 66, 51, 43, 63, 47, 39, 59, 44, 63, 55, 40, 60,
    51, 43, 56, 48, 67, 59, 44, 64, 55, 40, 60, 52,
];

/// On-Line Encyclopedia of Integer Sequences, A060958 (F. Ellermann, 2001): Easter of 2001 to 2066 as a day of March.
const PUBLISHED: [u32; 66] = [
    46, 31, 51, 42, 27, 47, 39, 23, 43, 35, 55, 39, 31, 51, 36, 27, 47, 32, 52, 43, 35, 48, 40, 31,
    51, 36, 28, 47, 32, 52, 44, 28, 48, 40, 25, 44, 36, 56, 41, 32, 52, 37, 29, 48, 40, 25, 45, 36,
    49, 41, 33, 52, 37, 29, 49, 33, 53, 45, 30, 49, 41, 26, 46, 37, 29, 42,
];

/// Ontario Consultants on Religious Tolerance, table of movable days 1996 to 2008: western and Orthodox Easter.
const BOTH_PUBLISHED: [(u32, u32); 13] = [
    (38, 45),
    (30, 58),
    (43, 50),
    (35, 42),
    (54, 61),
    (46, 46),
    (31, 66),
    (51, 58),
    (42, 42),
    (27, 62),
    (47, 54),
    (39, 39),
    (23, 58),
];

fn day_of_march(date: Option<NaiveDate>) -> u32 {
    let date = date.unwrap();
    date.ordinal()
        - NaiveDate::from_ymd_opt(date.year(), 3, 1)
            .unwrap()
            .ordinal()
        + 1
}

#[test]
fn easter_of_three_centuries_is_that_of_a_general_date_library() {
    for ((year, western), orthodox) in (1900..).zip(EASTER).zip(ORTHODOX_EASTER) {
        assert_eq!(day_of_march(easter(year)), western, "{year}");
        assert_eq!(
            day_of_march(orthodox_easter(year)),
            orthodox,
            "{year}, Orthodox"
        );
        for (name, expected) in [
            ("Good Friday", western - 2),
            ("Easter", western),
            ("Orthodox Easter", orthodox),
        ] {
            let custom = CUSTOMS.iter().find(|custom| custom.name == name).unwrap();
            assert_eq!(day_of_march(custom.date(year)), expected, "{name} {year}");
        }
    }
}

#[test]
fn easter_is_that_of_published_tables() {
    for (year, day) in (2001..).zip(PUBLISHED) {
        assert_eq!(day_of_march(easter(year)), day, "{year}");
    }
    for (year, (western, orthodox)) in (1996..).zip(BOTH_PUBLISHED) {
        assert_eq!(day_of_march(easter(year)), western, "{year}");
        assert_eq!(
            day_of_march(orthodox_easter(year)),
            orthodox,
            "{year}, Orthodox"
        );
    }
}
