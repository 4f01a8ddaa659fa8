//! The invented week that the project's truth tables start from, as plain hourly CSV that a case changes.
//!
//! 168 hours from Wednesday 10 March 2027 00:00 −06:00, issued that day at 06:00. On the first day 38 °F until 09:00,
//! 50 °F until 18:00, then 42 °F; on later days 36 °F until 09:00, then as on the first. No rain, wind 5 mph, humidity
//! 60 %; no column of gusts and none of the chance of rain. Hours are counted from the first.

use std::ops::Range;

/// Hours of the week.
pub const HOURS: usize = 168;

/// The place of the truth tables: 40.0° N, 90.0° W, on a clock that stays at −06:00 (the name has its sign turned round).
pub const SITE: &str = "latitude = 40.0\nlongitude = -90.0\nzone = \"Etc/GMT+6\"\n";

/// A file of hours that can be changed.
#[derive(Debug, Clone)]
pub struct Week {
    hours: Range<usize>,
    columns: Vec<(&'static str, Vec<String>)>,
}

impl Default for Week {
    fn default() -> Self {
        let temperature = |hour: usize| match (hour / 24, hour % 24) {
            (0, 0..9) => "38",
            (_, 0..9) => "36",
            (_, 9..18) => "50",
            _ => "42",
        };
        let same = |value: &str| vec![value.to_owned(); HOURS];
        Self {
            hours: 0..HOURS,
            columns: vec![
                (
                    "temperature_f",
                    (0..HOURS)
                        .map(|hour| temperature(hour).to_owned())
                        .collect(),
                ),
                ("rain_mm", same("0")),
                ("wind_mph", same("5")),
                ("humidity_pct", same("60")),
                ("issued", same("2027-03-10T06:00-06:00")),
            ],
        }
    }
}

impl Week {
    /// The week with another value in these hours of a column, which is added, blank elsewhere, if it is not there.
    #[must_use]
    pub fn with(mut self, column: &'static str, hours: Range<usize>, value: &str) -> Self {
        if self.columns.iter().all(|(name, _)| *name != column) {
            self.columns.push((column, vec![String::new(); HOURS]));
        }
        let own = self.columns.iter_mut().find(|(name, _)| *name == column);
        let values = own
            .and_then(|(_, values)| values.get_mut(hours))
            .into_iter()
            .flatten();
        values.for_each(|own| value.clone_into(own));
        self
    }

    /// The week without a column.
    #[must_use]
    pub fn without(mut self, column: &str) -> Self {
        self.columns.retain(|(name, _)| *name != column);
        self
    }

    /// These hours of the week alone.
    #[must_use]
    pub fn only(mut self, hours: Range<usize>) -> Self {
        self.hours = hours;
        self
    }

    /// The file.
    #[must_use]
    pub fn csv(&self) -> String {
        let mut csv = String::from("time");
        for (name, _) in &self.columns {
            csv = csv + "," + name;
        }
        csv.push('\n');
        for hour in self.hours.clone() {
            csv += &time(hour);
            for (_, values) in &self.columns {
                csv = csv + "," + values.get(hour).map_or("", String::as_str);
            }
            csv.push('\n');
        }
        csv
    }
}

/// Beginning of an hour of the week, as the files and the answers at its place write it.
#[must_use]
pub fn time(hour: usize) -> String {
    format!("2027-03-{:02}T{:02}:00:00-06:00", 10 + hour / 24, hour % 24)
}

/// An hour of a day of the week, day 0 being its first.
#[must_use]
pub fn hour(day: usize, hour: usize) -> usize {
    day * 24 + hour
}
