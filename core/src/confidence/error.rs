//! How far a forecast errs, by lead time, where neither the file nor the site says it better.
//!
//! Every number with its source and how far it may be trusted: they are assumptions about a forecast nobody has seen.
//! Measured against 36,826 real forecasts (48 h ahead, models of 2004, raw grid values) the width of 4.28 °F is short of
//! the 5.8 °F found, and of the 4.7 °F that are left once each station's mean error is taken out: see [`NUMBERS`].
//!
//! Source: the project's handbook, physics §9.

/// How far a number may be trusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Strength {
    /// In a publication.
    Published,
    /// Common practice or ours, with measurements that speak for it.
    Supported,
    /// Common practice or ours, no source.
    Assumed,
}

impl Strength {
    /// Its name in answers.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Published => "published",
            Self::Supported => "supported",
            Self::Assumed => "assumed",
        }
    }
}

/// A number of the error model.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Number {
    /// What it is.
    pub name: &'static str,
    /// In `unit`.
    pub value: f64,
    /// Its unit; empty for a plain number.
    pub unit: &'static str,
    /// Where it comes from.
    pub source: &'static str,
    /// How far it may be trusted.
    pub strength: Strength,
}

const TEMPERATURE_AT_ISSUE: Number = Number {
    name: "standard deviation of the temperature at issue",
    value: 3.2,
    unit: "°F",
    source: "Common practice; with the next line 3.5 to 3.7 °F at 12 to 24 h: National Weather Service, Oklahoma City, \
             daily maxima 3.80 °F (Brooks & Doswell 1996)",
    strength: Strength::Supported,
};
const TEMPERATURE_PER_HOUR: Number = Number {
    name: "its growth with lead time",
    value: 0.0225,
    unit: "°F/h",
    source: "Common practice, no source",
    strength: Strength::Assumed,
};
const TEMPERATURE_MEMORY: Number = Number {
    name: "correlation of the temperature's error from hour to hour",
    value: 0.95,
    unit: "",
    source: "Common practice; errors of persistence at Portland: 0.933 to 0.967 (the project's handbook, physics §9)",
    strength: Strength::Supported,
};
const WIND_AT_ISSUE: Number = Number {
    name: "standard deviation of the wind at issue",
    value: 1.5,
    unit: "m/s",
    source: "Common practice; 1.5 to 2.4 m/s in an unrefereed comparison (the project's handbook, physics §9)",
    strength: Strength::Assumed,
};
const WIND_PER_HOUR: Number = Number {
    name: "its growth with lead time",
    value: 0.01,
    unit: "m/s/h",
    source: "Common practice, no source",
    strength: Strength::Assumed,
};
const WIND_MEMORY: Number = Number {
    name: "correlation of the wind's error from hour to hour",
    value: 0.78,
    unit: "",
    source: "Between 0.75 and 0.8: naive errors 0.73, 0.57, 0.40 at 1, 3, 6 h (the project's handbook, physics §9)",
    strength: Strength::Supported,
};
const RAIN_MEMORY: Number = Number {
    name: "correlation from hour to hour behind hourly chances of rain",
    value: 0.95,
    unit: "",
    source: "Common practice, no source: as the temperature's",
    strength: Strength::Assumed,
};
const CHANCE_PERIOD: Number = Number {
    name: "longest period of one chance of rain in files of the National Weather Service",
    value: 12.0,
    unit: "h",
    source: "Usual period of a probability of precipitation (American Meteorological Society, Glossary); cutting runs of \
             equal chance by it: common practice",
    strength: Strength::Supported,
};

/// All numbers of the error model.
pub const NUMBERS: [Number; 8] = [
    TEMPERATURE_AT_ISSUE,
    TEMPERATURE_PER_HOUR,
    TEMPERATURE_MEMORY,
    WIND_AT_ISSUE,
    WIND_PER_HOUR,
    WIND_MEMORY,
    RAIN_MEMORY,
    CHANCE_PERIOD,
];

/// Standard deviation that grows with lead time, and the memory of the error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// At issue, in SI.
    pub at_issue: f64,
    /// What each hour of lead time adds, in SI.
    pub per_hour: f64,
    /// Never more than this, in SI; infinite where no ceiling is known.
    pub ceiling: f64,
    /// Correlation from hour to hour, 0 to below 1.
    pub memory: f64,
}

impl Spread {
    /// The standard deviation at a lead time \[h\], in SI; before issue that at issue.
    #[must_use]
    pub fn at(&self, lead_h: f64) -> f64 {
        (self.at_issue + self.per_hour * lead_h.max(0.0)).min(self.ceiling)
    }
}

/// Error of a forecast by lead time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ErrorModel {
    /// Of the temperature \[°C\].
    pub temperature: Spread,
    /// Of the wind \[m/s\].
    pub wind: Spread,
    /// Correlation from hour to hour behind hourly chances of rain.
    pub rain_memory: f64,
    /// Longest period of one chance in files of the National Weather Service \[h\].
    pub chance_period_h: usize,
}

impl ErrorModel {
    /// The model of the project's handbook, physics §9, without a ceiling.
    ///
    /// ```
    /// use fairspell::confidence::ErrorModel;
    /// let two_days_f = ErrorModel::HANDBOOK.temperature.at(48.0) * 9.0 / 5.0;
    /// assert!((two_days_f - 4.28).abs() < 1e-12); // the handbook's table
    /// ```
    pub const HANDBOOK: Self = Self {
        temperature: Spread {
            at_issue: TEMPERATURE_AT_ISSUE.value * 5.0 / 9.0,
            per_hour: TEMPERATURE_PER_HOUR.value * 5.0 / 9.0,
            ceiling: f64::INFINITY,
            memory: TEMPERATURE_MEMORY.value,
        },
        wind: Spread {
            at_issue: WIND_AT_ISSUE.value,
            per_hour: WIND_PER_HOUR.value,
            ceiling: f64::INFINITY,
            memory: WIND_MEMORY.value,
        },
        rain_memory: RAIN_MEMORY.value,
        chance_period_h: 12,
    };

    /// The model with a ceiling \[°C\] of the temperature's error: no forecast need err more than the season's mean
    /// does, whose error is the site's own spread about its climate.
    #[must_use]
    pub fn with_ceiling_c(mut self, ceiling_c: f64) -> Self {
        self.temperature.ceiling = ceiling_c;
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The project's handbook, physics §9, table of sigma by lead time, printed to 0.01 °F.
    #[test]
    fn deviations_by_lead_are_those_of_the_handbook() {
        let printed = [
            (12.0, 3.47),
            (24.0, 3.74),
            (48.0, 4.28),
            (72.0, 4.82),
            (96.0, 5.36),
            (120.0, 5.90),
            (144.0, 6.44),
            (168.0, 6.98),
        ];
        for (lead_h, deviation_f) in printed {
            let computed = ErrorModel::HANDBOOK.temperature.at(lead_h) * 9.0 / 5.0;
            assert!(
                (computed - deviation_f).abs() < 0.005 + 1e-9,
                "{lead_h} h: {computed}"
            );
        }
        let with_ceiling = ErrorModel::HANDBOOK.with_ceiling_c(3.0);
        assert!((with_ceiling.temperature.at(168.0) - 3.0).abs() < 1e-15);
        assert!((ErrorModel::HANDBOOK.wind.at(100.0) - 2.5).abs() < 1e-12);
        assert!((CHANCE_PERIOD.value - ErrorModel::HANDBOOK.chance_period_h as f64).abs() < 1e-15);
    }
}
