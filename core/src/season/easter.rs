//! The Sunday of Easter, Gregorian and Orthodox.
//!
//! Source: J. Meeus, Astronomical Algorithms, 2nd ed. 1998, chapter 8 (from memory; Butcher 1876 for the Gregorian);
//! the project's handbook, trade, §9. All divisions are of whole numbers.

use chrono::{NaiveDate, TimeDelta};

/// First year of the Gregorian Easter; both feasts are told from here on.
pub const FIRST_YEAR: i32 = 1583;

/// Easter Sunday of the western churches; `None` before [`FIRST_YEAR`].
///
/// ```
/// use chrono::NaiveDate;
/// use fairspell::season::easter;
/// assert_eq!(easter(2027), NaiveDate::from_ymd_opt(2027, 3, 28)); // the project's handbook, trade, §9
/// assert_eq!(easter(1582), None);
/// ```
#[must_use]
#[expect(
    clippy::many_single_char_names,
    reason = "the letters of the published method"
)]
pub fn easter(year: i32) -> Option<NaiveDate> {
    if year < FIRST_YEAR {
        return None;
    }
    let a = year % 19;
    let (b, c) = (year / 100, year % 100);
    let (d, e) = (b / 4, b % 4);
    let f = (b + 8) / 25;
    let g = (b - f + 1) / 3;
    let h = (19 * a + b - d - g + 15) % 30;
    let (i, k) = (c / 4, c % 4);
    let l = (32 + 2 * e + 2 * i - h - k) % 7;
    let m = (a + 11 * h + 22 * l) / 451;
    march_or_april(year, h + l - 7 * m + 114)
}

/// Easter Sunday of the churches that reckon by the Julian calendar, as a date of the Gregorian one; `None` before
/// [`FIRST_YEAR`].
///
/// ```
/// use chrono::NaiveDate;
/// use fairspell::season::orthodox_easter;
/// assert_eq!(orthodox_easter(2027), NaiveDate::from_ymd_opt(2027, 5, 2)); // the project's handbook, trade, §9
/// ```
#[must_use]
#[expect(
    clippy::many_single_char_names,
    reason = "the letters of the published method"
)]
pub fn orthodox_easter(year: i32) -> Option<NaiveDate> {
    if year < FIRST_YEAR {
        return None;
    }
    let (a, b, c) = (year % 4, year % 7, year % 19);
    let d = (19 * c + 15) % 30;
    let e = (2 * a + 4 * b - d + 34) % 7;
    // March and April are alike in both calendars; the Julian one is behind by the leap days that it has too many.
    let behind_days = year / 100 - year / 400 - 2;
    march_or_april(year, d + e + 114)?.checked_add_signed(TimeDelta::days(i64::from(behind_days)))
}

/// The date that the methods give as a month times 31 and a day from 0.
fn march_or_april(year: i32, n: i32) -> Option<NaiveDate> {
    let (month, day) = (u32::try_from(n / 31).ok()?, u32::try_from(n % 31).ok()?);
    NaiveDate::from_ymd_opt(year, month, day + 1)
}

#[cfg(test)]
mod tests {
    use chrono::{Datelike as _, Weekday};

    use super::*;

    fn date(year: i32, month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(year, month, day).unwrap()
    }

    /// The project's handbook, trade, §9.
    #[test]
    fn feasts_are_those_of_the_handbook() {
        let printed = [
            (1818, 3, 22),
            (1886, 4, 25),
            (1943, 4, 25),
            (1961, 4, 2),
            (2000, 4, 23),
            (2008, 3, 23),
            (2016, 3, 27),
            (2024, 3, 31),
            (2025, 4, 20),
            (2026, 4, 5),
            (2027, 3, 28),
            (2028, 4, 16),
            (2029, 4, 1),
            (2030, 4, 21),
            (2038, 4, 25),
            (2100, 3, 28),
            (2285, 3, 22),
        ];
        for (year, month, day) in printed {
            assert_eq!(easter(year), Some(date(year, month, day)));
        }
        for (year, month, day) in [(2025, 4, 20), (2026, 4, 12), (2027, 5, 2)] {
            assert_eq!(orthodox_easter(year), Some(date(year, month, day)));
        }
    }

    /// The Sunday after a full moon on `moon`, given as days after 21 March, in the calendar in which `weekday_of_21`
    /// holds.
    fn sunday_after(moon: i32, weekday_of_21: u32) -> i32 {
        let weekday = (i32::try_from(weekday_of_21).unwrap() + moon).rem_euclid(7); // Sunday 0
        moon + 7 - weekday
    }

    /// Another method: golden number, epact and Sunday, as the calendar reform of 1582 laid them down (C. Clavius
    /// 1603; as algorithm E in D. E. Knuth, The Art of Computer Programming 1, 1.3.2, exercise 14, both from memory),
    /// with chrono's weekdays. Every year to 4099; the extremes by the project's handbook.
    #[test]
    fn easter_is_the_sunday_after_the_full_moon_of_the_epact() {
        let mut all = Vec::new();
        for year in FIRST_YEAR..=4099 {
            let golden = year % 19 + 1;
            let century = year / 100 + 1;
            let left_out = 3 * century / 4 - 12; // leap days left out
            let moved = (8 * century + 5) / 25 - 5; // the moon's correction
            let mut epact = (11 * golden + 20 + moved - left_out).rem_euclid(30);
            if (epact == 25 && golden > 11) || epact == 24 {
                epact += 1;
            }
            let mut moon = 44 - epact; // day of March
            if moon < 21 {
                moon += 30;
            }
            let weekday = date(year, 3, 21).weekday().num_days_from_sunday();
            let expected =
                date(year, 3, 21) + TimeDelta::days(sunday_after(moon - 21, weekday).into());
            assert_eq!(easter(year), Some(expected));
            assert_eq!(expected.weekday(), Weekday::Sun);
            all.push((expected.month(), expected.day()));
        }
        assert_eq!(all.iter().min(), Some(&(3, 22)));
        assert_eq!(all.iter().max(), Some(&(4, 25)));
    }

    /// Another method: the table of the paschal full moon by golden number in the Julian calendar (day of March; the
    /// Book of Common Prayer of 1662 and the Orthodox paschalion, from memory), and the Sunday after it by a count of
    /// Julian days.
    #[test]
    fn orthodox_easter_is_the_sunday_after_the_full_moon_of_the_table() {
        const FULL_MOON: [i32; 19] = [
            36, 25, 44, 33, 22, 41, 30, 49, 38, 27, 46, 35, 24, 43, 32, 21, 40, 29, 48,
        ];
        for year in FIRST_YEAR..=4099 {
            // Number of 21 March, Julian, in the count whose day 0 was a Monday, 1 January 4713 BC. Years begin on
            // 1 March here, so that the leap day comes last; 32 083 brings the count to 0 on its day 0.
            let years = year + 4800;
            let count = 365 * years + years / 4 - 32_083 + 21;
            let weekday = u32::try_from((count + 1).rem_euclid(7)).unwrap();
            let moon = FULL_MOON[usize::try_from(year % 19).unwrap()] - 21;
            let days = count + sunday_after(moon, weekday);
            // 1 January 1970, Gregorian, is day 2 440 588 of the count.
            let expected = date(1970, 1, 1) + TimeDelta::days(i64::from(days) - 2_440_588);
            assert_eq!(orthodox_easter(year), Some(expected));
            assert_eq!(expected.weekday(), Weekday::Sun);
        }
    }
}
