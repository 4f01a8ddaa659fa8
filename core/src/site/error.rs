//! The error of the forecast at a site, where its owner has learned it: bias and standard deviation by lead time.

use serde::Deserialize;
use toml::Spanned;

use super::TomlFile;
use crate::error::{FileError, FileProblem};
use crate::quantity::{Kind, Quantity, Unit, decimals, plain};

/// Most lead times of the table. Ours: every hour of sixteen days is 384, every six hours 64.
const MAX_LEADS: usize = 64;
/// Greatest bias and deviation believed \[°C\]: wider than any climate's day to day. Ours.
const MAX_ERROR_C: f64 = 20.0;
/// Least deviation believed \[°C\]: half the last digit of a forecast. Ours.
const MIN_DEVIATION_C: f64 = 0.05;
/// Longest lead time \[h\]: sixteen days, the reach of the longest public forecasts. Ours.
const MAX_LEAD_H: f64 = 384.0;

/// Error of the forecast temperature at one lead time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeadError {
    /// Time from issue to the hour \[h\].
    pub lead_h: f64,
    /// Mean of forecast minus observation \[°C\].
    pub bias_c: f64,
    /// Standard deviation of forecast minus observation about its mean \[°C\].
    pub deviation_c: f64,
}

/// Error of the forecast temperature by lead time: `[forecast-error]` of a site file.
#[derive(Debug, Clone, PartialEq)]
pub struct ForecastError {
    /// One or more lead times, ascending.
    leads: Vec<LeadError>,
    /// Where the numbers come from, in the owner's words.
    pub source: Option<String>,
}

impl ForecastError {
    /// The error at lead times that ascend; `None` if there is none, if they do not ascend, or if a number is not
    /// finite or a deviation not above 0.
    ///
    /// ```
    /// use fairspell::site::{ForecastError, LeadError};
    /// let at = |lead_h, deviation_c| LeadError { lead_h, bias_c: 0.5, deviation_c };
    /// let error = ForecastError::new(vec![at(24.0, 2.0), at(48.0, 3.0)], None).unwrap();
    /// assert_eq!(error.at(36.0), at(36.0, 2.5)); // linear between two leads
    /// assert_eq!(error.at(96.0).deviation_c, 3.0); // the last one's beyond them
    /// ```
    #[must_use]
    pub fn new(leads: Vec<LeadError>, source: Option<String>) -> Option<Self> {
        let is_number = |lead: &LeadError| {
            let numbers = [lead.lead_h, lead.bias_c, lead.deviation_c];
            numbers.iter().all(|number| number.is_finite()) && lead.deviation_c > 0.0
        };
        let ascends = leads.is_sorted_by(|before, after| before.lead_h < after.lead_h);
        let is_right = !leads.is_empty() && ascends && leads.iter().all(is_number);
        is_right.then_some(Self { leads, source })
    }

    /// The lead times, ascending.
    #[must_use]
    pub fn leads(&self) -> &[LeadError] {
        &self.leads
    }

    /// The error at a lead time \[h\]: linear between two of the table, that of the first before it, of the last after it.
    #[must_use]
    pub fn at(&self, lead_h: f64) -> LeadError {
        let after = self.leads.partition_point(|lead| lead.lead_h < lead_h);
        let before = after
            .checked_sub(1)
            .and_then(|before| self.leads.get(before));
        let known = match (before, self.leads.get(after)) {
            (Some(before), Some(after)) => {
                let share = (lead_h - before.lead_h) / (after.lead_h - before.lead_h);
                let between = |from: f64, to: f64| from + share * (to - from);
                LeadError {
                    lead_h,
                    bias_c: between(before.bias_c, after.bias_c),
                    deviation_c: between(before.deviation_c, after.deviation_c),
                }
            }
            (Some(only), None) | (None, Some(only)) => *only,
            (None, None) => LeadError {
                lead_h,
                bias_c: f64::NAN,
                deviation_c: f64::NAN,
            },
        };
        LeadError { lead_h, ..known }
    }
}

impl ForecastError {
    /// The table as a site file has it, to 0.1 degrees of °F or °C; a deviation is never written as 0.
    ///
    /// ```
    /// use fairspell::{quantity::Unit, site::{ForecastError, LeadError}};
    /// let error = LeadError { lead_h: 48.0, bias_c: -0.5, deviation_c: 2.0 };
    /// let table = ForecastError::new(vec![error], None).unwrap().to_toml(Unit::Fahrenheit);
    /// assert!(table.contains("bias = [\"-0.9 °F\"]") && table.contains("deviation = [\"3.6 °F\"]"));
    /// ```
    #[must_use]
    pub fn to_toml(&self, unit: Unit) -> String {
        let (factor, sign) = match unit {
            Unit::Celsius => (1.0, "°C"),
            _ => (1.8, "°F"),
        };
        let list = |of: &dyn Fn(&LeadError) -> String| {
            let items: Vec<String> = self
                .leads
                .iter()
                .map(|lead| format!("\"{}\"", of(lead)))
                .collect();
            // Rows of six stay within 80 columns.
            let rows: Vec<String> = items.chunks(6).map(|row| row.join(", ")).collect();
            match rows.as_slice() {
                [row] => format!("[{row}]"),
                rows => format!("[\n  {},\n]", rows.join(",\n  ")),
            }
        };
        let degrees = |value: f64| format!("{} {sign}", decimals(value, 1));
        let lead = list(&|lead| format!("{} h", plain(lead.lead_h)));
        let bias = list(&|lead| degrees(lead.bias_c * factor));
        let deviation = list(&|lead| degrees((lead.deviation_c * factor).max(0.1)));
        let table =
            format!("[forecast-error]\nlead = {lead}\nbias = {bias}\ndeviation = {deviation}\n");
        match &self.source {
            Some(source) => table + &format!("source = {}\n", toml::Value::String(source.clone())),
            None => table,
        }
    }
}

/// The table as it stands in the file.
#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct ErrorFile {
    lead: Vec<Spanned<String>>,
    bias: Spanned<Vec<Spanned<String>>>,
    deviation: Spanned<Vec<Spanned<String>>>,
    source: Option<Spanned<String>>,
}

/// The table of a site file, checked.
pub(super) fn error_of(
    file: &TomlFile<'_>,
    table: Spanned<ErrorFile>,
) -> Result<ForecastError, FileError> {
    let start = table.span().start;
    let table = table.into_inner();
    if table.lead.is_empty() || table.lead.len() > MAX_LEADS {
        return Err(FileError {
            place: file.place(start),
            problem: FileProblem::Absent {
                expected: "in [forecast-error] 1 to 64 times in lead",
            },
        });
    }
    for list in [&table.bias, &table.deviation] {
        if list.get_ref().len() != table.lead.len() {
            let found = format!("{} for {} leads", list.get_ref().len(), table.lead.len());
            return Err(file.value("one value for each lead", &found, list.span()));
        }
    }
    let rows = table.lead.iter().zip(table.bias.get_ref());
    let mut leads: Vec<LeadError> = Vec::with_capacity(table.lead.len());
    for ((lead, bias), deviation) in rows.zip(table.deviation.get_ref()) {
        let after = leads.last().map(|last| last.lead_h);
        leads.push(lead_error(file, (lead, after), bias, deviation)?);
    }
    let expected = "a source of 1 to 80 characters";
    let source = table.source.map(|source| file.text(source, expected));
    Ok(ForecastError {
        leads,
        source: source.transpose()?,
    })
}

/// One lead time, which must come after the one before.
fn lead_error(
    file: &TomlFile<'_>,
    (lead, after): (&Spanned<String>, Option<f64>),
    bias: &Spanned<String>,
    deviation: &Spanned<String>,
) -> Result<LeadError, FileError> {
    let within = |text: &Spanned<String>, kind, is_right: &dyn Fn(f64) -> bool, expected| {
        let value = file.quantity(text, kind).map(Quantity::si)?;
        if is_right(value) {
            Ok(value)
        } else {
            Err(file.value(expected, text.get_ref(), text.span()))
        }
    };
    let is_later = |lead: f64| lead <= MAX_LEAD_H && after.is_none_or(|after| lead > after);
    let expected = "lead times of at most 384 h, each later than the one before";
    let lead_h = within(lead, Kind::Duration, &is_later, expected)?;
    let difference = Kind::TemperatureDifference;
    let is_bias = |value: f64| value.abs() <= MAX_ERROR_C;
    let bias_c = within(bias, difference, &is_bias, "a bias from -20 to 20 °C")?;
    let is_deviation = |value: f64| (MIN_DEVIATION_C..=MAX_ERROR_C).contains(&value);
    let expected = "a standard deviation from 0.05 to 20 °C";
    let deviation_c = within(deviation, difference, &is_deviation, expected)?;
    Ok(LeadError {
        lead_h,
        bias_c,
        deviation_c,
    })
}

#[cfg(test)]
mod tests {
    use crate::read::Source;
    use crate::site::Site;

    fn read(text: &str) -> Result<Site, String> {
        let bytes = text.as_bytes();
        Site::read(Source {
            name: "site.toml",
            bytes,
        })
        .map_err(|error| error.to_string())
    }

    const TABLE: &str = "[forecast-error]\nlead = [\"24 h\", \"2 d\"]\nbias = [\"0.9 °F\", \"-1.8 °F\"]\n\
        deviation = [\"3.6 °F\", \"2.5 °C\"]\nsource = \"My own notes of two winters\"\n";

    /// 0.9 °F are 0.5 °C, 3.6 °F 2 °C; half-way between 24 and 48 h lies the mean.
    #[test]
    fn a_table_is_read_in_any_unit() {
        let table = TABLE.replace("2 d", "48 h");
        let error = read(&table).unwrap().forecast_error.unwrap();
        let near = |found: f64, hoped: f64| assert!((found - hoped).abs() < 1e-12, "{found}");
        near(error.at(24.0).bias_c, 0.5);
        near(error.at(24.0).deviation_c, 2.0);
        near(error.at(36.0).bias_c, -0.25);
        near(error.at(36.0).deviation_c, 2.25);
        near(error.at(1.0).deviation_c, 2.0);
        near(error.at(300.0).deviation_c, 2.5);
        assert_eq!(error.source.as_deref(), Some("My own notes of two winters"));
        assert_eq!(read("name = \"a\"").unwrap().forecast_error, None);
    }

    /// The contract, section 4, promise 6: what was expected, what was found, and where; places counted by hand.
    #[test]
    fn what_is_wrong_is_told_with_its_place() {
        let table = TABLE.replace("2 d", "48 h");
        let cases = [
            (
                table.replace("\"48 h\"", "\"24 h\""),
                "site.toml:2:17: expected lead times of at most 384 h, each later than the one before, found \"24 h\"",
            ),
            (
                table.replace("[\"0.9 °F\", ", "["),
                "site.toml:3:8: expected one value for each lead, found \"1 for 2 leads\"",
            ),
            (
                table.replace("3.6 °F", "0 °F"),
                "site.toml:4:14: expected a standard deviation from 0.05 to 20 °C, found \"0 °F\"",
            ),
            (
                table.replace("0.9 °F", "99 °F"),
                "site.toml:3:9: expected a bias from -20 to 20 °C, found \"99 °F\"",
            ),
            (
                table.replace("[\"24 h\", \"48 h\"]", "[]"),
                "site.toml:1:1: expected in [forecast-error] 1 to 64 times in lead, found none",
            ),
        ];
        for (text, message) in cases {
            assert_eq!(read(&text).unwrap_err(), message);
        }
        let unknown = read(&(table + "spread = 1\n")).unwrap_err();
        assert!(unknown.contains("unknown field `spread`"), "{unknown}");
    }
}
