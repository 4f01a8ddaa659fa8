//! Moist air: vapour pressure, dew point, wet bulb, vapour pressure deficit, and the drying of a film of water.
//!
//! Numbers only, each with its unit in its name; no hours and no rules. Temperatures are in °C, pressures in hPa,
//! humidity in % over water, wind in m/s, water in mm. A missing (NaN) or out-of-range argument gives `None`:
//! air temperature and dew point outside −90..=60 °C, humidity below 0 or above 102 %, air pressure outside
//! 200..=1100 hPa. Humidity from 100 to 102 % is a sensor's error and counts as 100 %.
//!
//! Humidity and dew point are over water at all temperatures, as weather services report them (WMO-No. 8); frost
//! point and ice bulb are over ice. The formulas over water and over ice disagree at 0 °C (6.1094 and 6.1121 hPa):
//! the two saturation pressures never stand in one ratio here.
//!
//! Errors of calculation, against the same formulas in 50 digits: saturation and vapour pressures, humidity from a dew
//! point and evaporation keep a relative error of 5e-14 and mostly of 5e-15, the deficit one of 5e-15 of the saturation
//! pressure, dew and frost point an error of 1e-13 °C from a humidity of 1e-290 % on, the standard pressure a relative one
//! of 2e-15; the bulbs say theirs. The formulas' own errors, below, are far larger.
//!
//! Sources: Alduchov & Eskridge 1996, J. Appl. Meteor. 35, 601-609 (saturation; within 0.24 % of Hyland & Wexler
//! from −30 to 45 °C). WMO-No. 8, annex 4.B (psychrometer; its coefficients are known here at second hand over
//! water, and from memory over ice: unverified). Allen et al. 1998, FAO Irrigation and Drainage Paper 56,
//! equations 8, 47 and 53 (evaporation).

/// A film of water on the wood that counts as wet through, in mm.
///
/// Common practice: land-surface models store 0.2 mm on each layer of leaves, and oil sprayed to run-off leaves
/// about as much. Hours to dry scale with it.
pub const FILM_MM: f64 = 0.2;

/// Humidity from which wood stays wet and nothing evaporates, in %.
///
/// Sentelhas et al. 2008, Agric. For. Meteorol. 148: as a rule for wetness it was right in 0.87 to 0.92 of hours.
pub const HUMID_FROM_PCT: f64 = 90.0;

/// Least wind at 2 m that moves vapour away, in m/s; also stands for a wind that the source does not give.
///
/// FAO-56, from memory. It is the slow side: a film dries later in less wind.
pub const LEAST_WIND_2M_MS: f64 = 0.5;

/// Wind at 2 m for each m/s at 10 m: 4.87 / ln(67.8 * 10 - 5.42), FAO-56 equation 47.
const WIND_2M_PER_10M: f64 = 0.747_951_075_168;

/// Most by which a dew point may lie above the air temperature and still be rounding, in °C.
///
/// Both read in whole °F differ by up to 1 °F = 0.556 °C. The last part lets 0.6 itself pass in binary.
const DEW_POINT_ROUNDING_C: f64 = 0.6 + 1e-9;

/// How a measure is computed, and who published that: what `--explain` prints.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Formula {
    /// Name of the measure, as rules write it.
    pub measure: &'static str,
    /// The formula in plain text, one or two lines of at most 76 characters.
    pub expression: &'static str,
    /// The published source, or the words "common practice" or "from memory".
    pub citation: &'static str,
}

/// The formulas of this module, by measure.
///
/// # Examples
/// ```
/// use fairspell::air::FORMULAS;
/// let dew_point = FORMULAS.iter().find(|formula| formula.measure == "dew-point");
/// assert!(dew_point.is_some_and(|formula| formula.citation.contains("Alduchov")));
/// ```
pub const FORMULAS: &[Formula] = &[
    Formula {
        measure: "dew-point",
        expression: "td = 243.04*x/(17.625 - x), x = ln(RH/100) + 17.625*t/(243.04 + t)\n\
                     t in °C; over water, also below 0 °C",
        citation: "Alduchov & Eskridge 1996, J. Appl. Meteor. 35, 601-609",
    },
    Formula {
        measure: "humidity",
        expression: "RH = 100*es(td)/es(t), es(t) = 6.1094*exp(17.625*t/(243.04 + t)) hPa\n\
                     only where the file has a dew point and no humidity; over water",
        citation: "Alduchov & Eskridge 1996, J. Appl. Meteor. 35, 601-609; over water: WMO-No. 8",
    },
    Formula {
        measure: "wet-bulb",
        expression: "es(tw) - 6.53e-4*(1 + 0.000944*tw)*p*(t - tw) = es(t)*RH/100\n\
                     p in hPa = 1013.25*(1 - 2.25577e-5*elevation)^5.25588",
        citation: "WMO-No. 8, annex 4.B (coefficients seen at second hand); es: Alduchov & Eskridge 1996; \
                   p: ICAO standard atmosphere",
    },
    Formula {
        measure: "wet-bulb-depression",
        expression: "t - tw, tw as for wet-bulb; a difference: 1 °C of it is 1.8 °F",
        citation: "WMO-No. 8, annex 4.B (coefficients seen at second hand)",
    },
    Formula {
        measure: "dew-point-depression",
        expression: "t - td, td as for dew-point; a difference: 1 °C of it is 1.8 °F",
        citation: "Alduchov & Eskridge 1996, J. Appl. Meteor. 35, 601-609",
    },
    Formula {
        measure: "vapour-pressure-deficit",
        expression: "es(t)*(1 - RH/100), es(t) = 6.1094*exp(17.625*t/(243.04 + t)) hPa",
        citation: "Alduchov & Eskridge 1996, J. Appl. Meteor. 35, 601-609",
    },
    Formula {
        measure: "drying-hours",
        expression: "hours until min(0.2 mm, film + rain) - E is 0; E = 0 from RH 90 %, else\n\
                     E = g*37/(t + 273)*u2*vpd/(D + g) mm/h, u2 = 0.748*wind >= 0.5 m/s",
        citation: "FAO-56 (Allen et al. 1998), eq. 53 for a wet surface without sun, eq. 8 and 47; \
                   RH 90 %: Sentelhas et al. 2008; 0.2 mm: common practice; 0.5 m/s: from memory",
    },
];

/// Saturation pressure of vapour over a surface: `scale_hpa` * exp(`slope` * t / (`offset_c` + t)).
#[derive(Clone, Copy)]
struct Surface {
    scale_hpa: f64,
    slope: f64,
    offset_c: f64,
}

/// Alduchov & Eskridge 1996, equation 21, −40..50 °C.
const WATER: Surface = Surface {
    scale_hpa: 6.1094,
    slope: 17.625,
    offset_c: 243.04,
};

/// Alduchov & Eskridge 1996, equation 23, −80..0 °C.
const ICE: Surface = Surface {
    scale_hpa: 6.1121,
    slope: 22.587,
    offset_c: 273.86,
};

impl Surface {
    fn pressure_hpa(self, t_c: f64) -> f64 {
        self.scale_hpa * libm::exp(self.slope * t_c / (self.offset_c + t_c))
    }

    /// The pressure in hPa and its rise with temperature in hPa/K, by one exponential and one division.
    fn pressure_and_rise(self, t_c: f64) -> (f64, f64) {
        let reciprocal = 1.0 / (self.offset_c + t_c);
        let pressure_hpa = self.scale_hpa * libm::exp(self.slope * t_c * reciprocal);
        let rise = pressure_hpa * (self.slope * self.offset_c) * (reciprocal * reciprocal);
        (pressure_hpa, rise)
    }

    /// The temperature at which the pressure is `scale_hpa` * exp(`logarithm`).
    fn temperature_c(self, logarithm: f64) -> f64 {
        self.offset_c * logarithm / (self.slope - logarithm)
    }
}

/// A ventilated wet or iced bulb: e = pressure(b) − `per_k` * (1 + `growth_per_k` * b) * p * (t − b).
#[derive(Clone, Copy)]
struct Bulb {
    surface: Surface,
    per_k: f64,
    growth_per_k: f64,
}

/// WMO-No. 8, annex 4.B, as quoted from its 2012 edition at second hand.
const WET_BULB: Bulb = Bulb {
    surface: WATER,
    per_k: 6.53e-4,
    growth_per_k: 0.000_944,
};

/// WMO-No. 8, annex 4.B, from memory.
const ICE_BULB: Bulb = Bulb {
    surface: ICE,
    per_k: 5.75e-4,
    growth_per_k: 0.0,
};

impl Bulb {
    /// The bulb's temperature in air of `t_c`, `vapour_hpa` and `pressure_hpa`, by Newton's method.
    ///
    /// The count of steps is fixed, so that every machine takes the same ones. The equation rises and is convex
    /// in the bulb's temperature, so that no step after the first can pass the root. Against bisection the error
    /// stays below 1e-12 °C for −50..55 °C, humidity from 0.5 % and 600..1050 hPa, and below 2e-5 °C (ice: 1e-3 °C)
    /// wherever arguments are accepted.
    fn temperature_c(self, t_c: f64, vapour_hpa: f64, pressure_hpa: f64) -> f64 {
        let per_k = self.per_k * pressure_hpa;
        let (mut bulb_c, steps) = if vapour_hpa > 0.0 {
            let logarithm = libm::log(vapour_hpa / self.surface.scale_hpa);
            // Air of at least 0.5 % stays within 83 °C of its vapour point; drier air starts no farther out.
            let vapour_point_c = self.surface.temperature_c(logarithm).max(t_c - 90.0);
            ((2.0 * t_c + vapour_point_c) / 3.0, 5)
        } else {
            (t_c, 6)
        };
        for _ in 0..steps {
            let (saturated_hpa, rise_hpa_per_k) = self.surface.pressure_and_rise(bulb_c);
            let growth = 1.0 + self.growth_per_k * bulb_c;
            let excess = saturated_hpa - per_k * growth * (t_c - bulb_c) - vapour_hpa;
            let slope = rise_hpa_per_k + per_k * (growth + self.growth_per_k * (bulb_c - t_c));
            bulb_c -= excess / slope;
        }
        bulb_c
    }
}

/// `t_c` if it is a temperature of air on Earth.
fn air_temperature(t_c: f64) -> Option<f64> {
    (-90.0..=60.0).contains(&t_c).then_some(t_c)
}

/// Humidity as a share of 1.
fn humidity_share(humidity_pct: f64) -> Option<f64> {
    (0.0..=102.0)
        .contains(&humidity_pct)
        .then_some((humidity_pct / 100.0).min(1.0))
}

/// `pressure_hpa` if it is one at which the wet bulb was checked.
fn air_pressure(pressure_hpa: f64) -> Option<f64> {
    (200.0..=1100.0)
        .contains(&pressure_hpa)
        .then_some(pressure_hpa)
}

/// Pressure of saturated vapour over water, in hPa; also below 0 °C, where the water is supercooled.
///
/// - `t_c`: −90 to 60 °C; else, or missing, `None`.
///
/// # Examples
/// ```
/// use fairspell::air::saturation_pressure_hpa;
/// assert_eq!(saturation_pressure_hpa(0.0), Some(6.1094));
/// assert_eq!(saturation_pressure_hpa(f64::NAN), None);
/// ```
#[must_use]
pub fn saturation_pressure_hpa(t_c: f64) -> Option<f64> {
    Some(WATER.pressure_hpa(air_temperature(t_c)?))
}

/// Pressure of saturated vapour over ice, in hPa.
///
/// - `t_c`: −90 to 0 °C; else, or missing, `None`. There is no ice above 0 °C.
///
/// # Examples
/// ```
/// use fairspell::air::{saturation_pressure_hpa, saturation_pressure_over_ice_hpa};
/// assert!(saturation_pressure_over_ice_hpa(-10.0) < saturation_pressure_hpa(-10.0));
/// assert_eq!(saturation_pressure_over_ice_hpa(0.1), None);
/// ```
#[must_use]
pub fn saturation_pressure_over_ice_hpa(t_c: f64) -> Option<f64> {
    (-90.0..=0.0).contains(&t_c).then(|| ICE.pressure_hpa(t_c))
}

/// Pressure of the vapour in the air, in hPa.
///
/// - `t_c`: air temperature, −90 to 60 °C.
/// - `humidity_pct`: over water, 0 to 102 %; from 100 on it counts as 100.
///
/// `None` if one of them is missing or out of range.
///
/// # Examples
/// ```
/// use fairspell::air::vapour_pressure_hpa;
/// let half = vapour_pressure_hpa(20.0, 50.0); // half of 23.33441 hPa
/// assert!(half.is_some_and(|hpa| (hpa - 11.66720).abs() < 0.000_01));
/// assert_eq!(vapour_pressure_hpa(20.0, 103.0), None);
/// ```
#[must_use]
pub fn vapour_pressure_hpa(t_c: f64, humidity_pct: f64) -> Option<f64> {
    Some(saturation_pressure_hpa(t_c)? * humidity_share(humidity_pct)?)
}

/// Humidity over water, in %, 0 to 100.
///
/// - `t_c`: air temperature, −90 to 60 °C.
/// - `dew_point_c`: dew point over water, −90 to 60 °C. Above `t_c` by at most 0.6 °C it is rounding and counts as
///   `t_c`; by more, one of them is wrong and the humidity is missing.
///
/// `None` if one of them is missing or out of range.
///
/// # Examples
/// ```
/// use fairspell::air::humidity_from_dew_point_pct;
/// let humidity = humidity_from_dew_point_pct(5.0, -2.0);
/// assert!(humidity.is_some_and(|pct| (pct - 60.5605).abs() < 0.000_05));
/// assert_eq!(humidity_from_dew_point_pct(5.0, 5.5), Some(100.0));
/// assert_eq!(humidity_from_dew_point_pct(5.0, 6.0), None);
/// ```
#[must_use]
pub fn humidity_from_dew_point_pct(t_c: f64, dew_point_c: f64) -> Option<f64> {
    let t_c = air_temperature(t_c)?;
    let dew_c = air_temperature(dew_point_c)?;
    if dew_c - t_c > DEW_POINT_ROUNDING_C {
        return None;
    }
    if dew_c >= t_c {
        return Some(100.0);
    }
    // One exponential of the difference, not a ratio of two.
    let exponent =
        WATER.slope * dew_c / (WATER.offset_c + dew_c) - WATER.slope * t_c / (WATER.offset_c + t_c);
    Some(100.0 * libm::exp(exponent))
}

/// Dew point over water, in °C, never above the air temperature; also below 0 °C, where it is not the frost point.
///
/// - `t_c`: air temperature, −90 to 60 °C.
/// - `humidity_pct`: over water, above 0 to 102 %; air without vapour has no dew point.
///
/// `None` if one of them is missing or out of range. The result may lie below −90 °C in very dry air.
///
/// # Examples
/// ```
/// use fairspell::air::dew_point_c;
/// let dew_point = dew_point_c(20.0, 50.0);
/// assert!(dew_point.is_some_and(|celsius| (celsius - 9.2611).abs() < 0.000_05));
/// assert_eq!(dew_point_c(20.0, 0.0), None);
/// ```
#[must_use]
pub fn dew_point_c(t_c: f64, humidity_pct: f64) -> Option<f64> {
    let t_c = air_temperature(t_c)?;
    let share = humidity_share(humidity_pct)?;
    if share <= 0.0 {
        return None;
    }
    if share >= 1.0 {
        return Some(t_c);
    }
    let logarithm = libm::log(share) + WATER.slope * t_c / (WATER.offset_c + t_c);
    Some(WATER.temperature_c(logarithm).min(t_c))
}

/// Frost point, in °C: where the vapour in the air is saturated over ice.
///
/// - `t_c`: air temperature, −90 to 60 °C.
/// - `humidity_pct`: over **water**, above 0 to 102 %.
///
/// It may lie a little above the air temperature: air that is saturated over water below 0 °C is oversaturated
/// over ice. `None` if an argument is missing or out of range, or if the point would lie above 0 °C, where there
/// is no ice.
///
/// # Examples
/// ```
/// use fairspell::air::{dew_point_c, frost_point_c};
/// assert!(frost_point_c(-5.0, 80.0) > dew_point_c(-5.0, 80.0));
/// assert_eq!(frost_point_c(20.0, 50.0), None);
/// ```
#[must_use]
pub fn frost_point_c(t_c: f64, humidity_pct: f64) -> Option<f64> {
    let vapour_hpa = vapour_pressure_hpa(t_c, humidity_pct)?;
    let ratio = vapour_hpa / ICE.scale_hpa; // may be 0 where so little vapour is left that f64 hardly knows it
    if ratio <= 0.0 || ratio > 1.0 {
        return None;
    }
    Some(ICE.temperature_c(libm::log(ratio)))
}

/// Vapour pressure deficit, in hPa: what the air lacks to saturation over water; never negative.
///
/// - `t_c`: air temperature, −90 to 60 °C.
/// - `humidity_pct`: over water, 0 to 102 %.
///
/// `None` if one of them is missing or out of range.
///
/// # Examples
/// ```
/// use fairspell::air::vapour_pressure_deficit_hpa;
/// let deficit = vapour_pressure_deficit_hpa(10.0, 60.0);
/// assert!(deficit.is_some_and(|hpa| (hpa - 4.90408).abs() < 0.000_005));
/// assert_eq!(vapour_pressure_deficit_hpa(10.0, 101.0), Some(0.0));
/// ```
#[must_use]
pub fn vapour_pressure_deficit_hpa(t_c: f64, humidity_pct: f64) -> Option<f64> {
    Some(saturation_pressure_hpa(t_c)? * (1.0 - humidity_share(humidity_pct)?))
}

/// Air pressure at an elevation in the standard atmosphere, in hPa; not the "sea-level pressure" of a station.
///
/// - `elevation_m`: −500 to 11 000 m; else, or missing, `None`.
///
/// Source: ICAO standard atmosphere, in the form of the ASHRAE Handbook of Fundamentals. Weather is ±20 hPa of it,
/// which moves the wet bulb by 0.03 °C at a depression of 3 °C.
///
/// # Examples
/// ```
/// use fairspell::air::standard_pressure_hpa;
/// assert_eq!(standard_pressure_hpa(0.0), Some(1013.25));
/// assert!(standard_pressure_hpa(1000.0).is_some_and(|hpa| (hpa - 898.746).abs() < 0.000_5));
/// ```
#[must_use]
pub fn standard_pressure_hpa(elevation_m: f64) -> Option<f64> {
    (-500.0..=11_000.0)
        .contains(&elevation_m)
        .then(|| 1013.25 * libm::pow(1.0 - 2.255_77e-5 * elevation_m, 5.255_88))
}

/// Wet bulb, in °C: what a ventilated surface wet with water takes in shade; never above the air temperature.
///
/// - `t_c`: air temperature, −90 to 60 °C.
/// - `humidity_pct`: over water, 0 to 102 %.
/// - `pressure_hpa`: air pressure at the place, 200 to 1100 hPa ([`standard_pressure_hpa`]).
///
/// The surface counts as liquid water also below 0 °C: that is what freezes. `None` if an argument is missing or
/// out of range. Error of calculation: below 1e-12 °C for −50 to 55 °C, humidity from 0.5 % and 600 to 1050 hPa, below 2e-5
/// °C wherever arguments are accepted.
///
/// Source: WMO-No. 8, annex 4.B. The thermodynamic wet bulb of ASHRAE is lower by up to 0.11 °C at 90 °F and 40 %.
///
/// # Examples
/// ```
/// use fairspell::air::wet_bulb_c;
/// let dry_at_40_fahrenheit = wet_bulb_c(40.0 / 9.0, 30.0, 1013.25);
/// assert!(dry_at_40_fahrenheit.is_some_and(|celsius| celsius < 0.0)); // a wet cane can freeze
/// assert_eq!(wet_bulb_c(10.0, 100.0, 1013.25), Some(10.0));
/// assert_eq!(wet_bulb_c(10.0, f64::NAN, 1013.25), None);
/// ```
#[must_use]
pub fn wet_bulb_c(t_c: f64, humidity_pct: f64, pressure_hpa: f64) -> Option<f64> {
    let t_c = air_temperature(t_c)?;
    let share = humidity_share(humidity_pct)?;
    let pressure_hpa = air_pressure(pressure_hpa)?;
    if share >= 1.0 {
        return Some(t_c);
    }
    let vapour_hpa = share * WATER.pressure_hpa(t_c);
    let bulb_c = WET_BULB.temperature_c(t_c, vapour_hpa, pressure_hpa);
    Some(bulb_c.min(t_c))
}

/// Ice bulb, in °C: what a ventilated surface covered with ice takes in shade.
///
/// Arguments as for [`wet_bulb_c`]; `humidity_pct` is over **water**. It lies above the air temperature where the
/// air is oversaturated over ice. `None` if an argument is missing or out of range, or if it would lie above 0 °C,
/// where there is no ice. Error of calculation: as of [`wet_bulb_c`], but below 1e-3 °C wherever arguments are accepted.
///
/// Source: WMO-No. 8, annex 4.B, coefficient from memory.
///
/// # Examples
/// ```
/// use fairspell::air::{ice_bulb_c, wet_bulb_c};
/// assert!(ice_bulb_c(-5.0, 80.0, 1013.25) > wet_bulb_c(-5.0, 80.0, 1013.25));
/// assert_eq!(ice_bulb_c(10.0, 80.0, 1013.25), None);
/// ```
#[must_use]
pub fn ice_bulb_c(t_c: f64, humidity_pct: f64, pressure_hpa: f64) -> Option<f64> {
    let vapour_hpa = vapour_pressure_hpa(t_c, humidity_pct)?;
    let pressure_hpa = air_pressure(pressure_hpa)?;
    // The equation rises with the bulb's temperature: below zero at 0 °C, its root lies above.
    let excess_at_0_c = ICE.scale_hpa - ICE_BULB.per_k * pressure_hpa * t_c - vapour_hpa;
    if excess_at_0_c < 0.0 {
        return None;
    }
    Some(ICE_BULB.temperature_c(t_c, vapour_hpa, pressure_hpa))
}

/// Water that evaporates from a wet film in shade within an hour, in mm; never negative.
///
/// - `t_c`: air temperature, −90 to 60 °C.
/// - `humidity_pct`: over water, 0 to 102 %; from [`HUMID_FROM_PCT`] on the answer is 0.
/// - `wind_10m_ms`: wind at 10 m, 0 or more; `None` where the source has no wind at all: then
///   [`LEAST_WIND_2M_MS`] at the cane, and the caller says so. A missing value of a wind that is given is `Some(NAN)`.
/// - `pressure_hpa`: air pressure at the place, 200 to 1100 hPa.
///
/// `None` if an argument is missing or out of range, in humid hours as well. The net radiation is taken as 0,
/// since a forecast of hours seldom knows it: single canes in the open dry sooner.
///
/// Source: FAO-56, equation 53, aerodynamic term, without the resistance of a plant's surface.
///
/// # Examples
/// ```
/// use fairspell::air::evaporation_mm_per_hour;
/// let calm = evaporation_mm_per_hour(40.0 / 9.0, 50.0, None, 1013.25); // 40 °F
/// assert!(calm.is_some_and(|mm| (mm - 0.014_946_2).abs() < 0.000_000_05));
/// assert_eq!(evaporation_mm_per_hour(10.0, 90.0, Some(3.0), 1013.25), Some(0.0));
/// assert_eq!(evaporation_mm_per_hour(10.0, 50.0, Some(f64::NAN), 1013.25), None);
/// ```
#[must_use]
pub fn evaporation_mm_per_hour(
    t_c: f64,
    humidity_pct: f64,
    wind_10m_ms: Option<f64>,
    pressure_hpa: f64,
) -> Option<f64> {
    let t_c = air_temperature(t_c)?;
    let share = humidity_share(humidity_pct)?;
    let pressure_hpa = air_pressure(pressure_hpa)?;
    let wind_2m_ms = match wind_10m_ms {
        None => LEAST_WIND_2M_MS,
        Some(ms) if (0.0..=f64::MAX).contains(&ms) => (WIND_2M_PER_10M * ms).max(LEAST_WIND_2M_MS),
        Some(_) => return None,
    };
    if humidity_pct >= HUMID_FROM_PCT {
        return Some(0.0);
    }
    Some(film_evaporation_mm(
        t_c,
        share,
        wind_2m_ms,
        pressure_hpa,
        0.0,
    ))
}

/// FAO-56, equation 53, with a surface resistance of 0; `net_radiation` on the film in MJ m⁻² h⁻¹.
fn film_evaporation_mm(
    t_c: f64,
    humidity_share: f64,
    wind_2m_ms: f64,
    pressure_hpa: f64,
    net_radiation: f64,
) -> f64 {
    let (saturated_hpa, rise_hpa) = WATER.pressure_and_rise(t_c);
    // FAO-56 counts in kPa: a tenth of hPa. Its D, per K, and its g, equation 8.
    let deficit_kpa = saturated_hpa * (1.0 - humidity_share) / 10.0;
    let slope_kpa = rise_hpa / 10.0;
    let psychrometric_kpa = 0.665e-3 * pressure_hpa / 10.0;
    let radiation_term = 0.408 * slope_kpa * net_radiation;
    let aerodynamic_term = psychrometric_kpa * 37.0 / (t_c + 273.0) * wind_2m_ms * deficit_kpa;
    ((radiation_term + aerodynamic_term) / (slope_kpa + psychrometric_kpa)).max(0.0)
}

/// The film left on the wood after an hour, in mm, 0 to [`FILM_MM`]; the wood is dry at 0.
///
/// - `film_mm`: the film as the hour begins; [`FILM_MM`] at the end of spraying.
/// - `rain_mm`: rain of the hour; it comes first, and what the film cannot hold runs off.
/// - `evaporation_mm`: what the hour can evaporate ([`evaporation_mm_per_hour`]).
///
/// A missing, negative or infinite film or rain leaves the wood wet through, a missing, negative or infinite evaporation
/// dries nothing: what is missing, or cannot be, is never good. A caller that owes the answer *unknown* looks for missing
/// values first.
///
/// # Examples
/// ```
/// use fairspell::air::{FILM_MM, film_after_hour_mm};
/// assert!((film_after_hour_mm(FILM_MM, 5.0, 0.05) - 0.15).abs() < 1e-12);
/// assert_eq!(film_after_hour_mm(0.03, 0.0, 0.05), 0.0);
/// assert_eq!(film_after_hour_mm(0.03, 0.0, f64::NAN), 0.03);
/// ```
#[must_use]
pub fn film_after_hour_mm(film_mm: f64, rain_mm: f64, evaporation_mm: f64) -> f64 {
    let wetted_mm = film_mm + rain_mm;
    let wet_mm = if film_mm >= 0.0 && rain_mm >= 0.0 && wetted_mm < FILM_MM {
        wetted_mm
    } else {
        FILM_MM
    };
    let gone_mm = if evaporation_mm > 0.0 && evaporation_mm.is_finite() {
        evaporation_mm
    } else {
        0.0
    };
    (wet_mm - gone_mm).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    const SEA_LEVEL_HPA: f64 = 1013.25;

    fn fahrenheit(degrees: f64) -> f64 {
        (degrees - 32.0) * 5.0 / 9.0
    }

    fn metres_per_second(mph: f64) -> f64 {
        mph * 0.447_04
    }

    fn assert_near(computed: Option<f64>, printed: f64, tolerance: f64) {
        assert!(
            computed.is_some_and(|value| (value - printed).abs() <= tolerance),
            "computed {computed:?}, printed {printed}, tolerance {tolerance}"
        );
    }

    /// The root of the wet bulb's equation by 200 halvings, as an oracle for Newton's method.
    fn bisected_c(bulb: Bulb, t_c: f64, vapour_hpa: f64, pressure_hpa: f64) -> f64 {
        let excess = |b: f64| {
            bulb.surface.pressure_hpa(b)
                - bulb.per_k * (1.0 + bulb.growth_per_k * b) * pressure_hpa * (t_c - b)
                - vapour_hpa
        };
        let (mut low, mut high) = (t_c - 90.0, t_c + 10.0);
        for _ in 0..200 {
            let middle = f64::midpoint(low, high);
            if excess(middle) < 0.0 {
                low = middle;
            } else {
                high = middle;
            }
        }
        f64::midpoint(low, high)
    }

    /// °C, %, elevation in m; then p, es, e, dew point, deficit, wet bulb as printed in the project's handbook,
    /// which computed them in double precision from the formulas of Alduchov & Eskridge 1996 and WMO-No. 8.
    type Row = (f64, f64, f64, f64, f64, f64, f64, f64, f64);
    const TABLE: [Row; 12] = [
        (0.0, 100.0, 0.0, 1013.250, 6.10940, 6.10940, 0.0, 0.0, 0.0),
        (
            40.0 / 9.0,
            90.0,
            0.0,
            1013.250,
            8.38418,
            7.54576,
            2.9471,
            0.83842,
            3.7673,
        ),
        (
            40.0 / 9.0,
            50.0,
            0.0,
            1013.250,
            8.38418,
            4.19209,
            -5.0849,
            4.19209,
            0.9172,
        ),
        (
            40.0 / 9.0,
            30.0,
            0.0,
            1013.250,
            8.38418,
            2.51525,
            -11.6509,
            5.86893,
            -0.5978,
        ),
        (
            5.0 / 3.0,
            70.0,
            0.0,
            1013.250,
            6.88862,
            4.82203,
            -3.2198,
            2.06658,
            -0.1677,
        ),
        (
            10.0, 20.0, 0.0, 1013.250, 12.26021, 2.45204, -11.9686, 9.80817, 2.5982,
        ),
        (
            10.0, 60.0, 500.0, 954.608, 12.26021, 7.35612, 2.5880, 4.90408, 6.4086,
        ),
        (
            15.0, 85.0, 1609.344, 834.276, 17.01983, 14.46685, 12.4983, 2.55297, 13.4028,
        ),
        (
            20.0, 50.0, 0.0, 1013.250, 23.33441, 11.66720, 9.2611, 11.66720, 13.8433,
        ),
        (
            290.0 / 9.0,
            40.0,
            0.0,
            1013.250,
            48.08704,
            19.23482,
            16.9158,
            28.85223,
            21.8915,
        ),
        (
            -5.0, 80.0, 0.0, 1013.250, 4.21908, 3.37527, -7.9156, 0.84382, -5.8719,
        ),
        (
            -15.0, 60.0, 1500.0, 845.560, 1.91648, 1.14989, -21.0372, 0.76659, -16.1024,
        ),
    ];

    /// The handbook's table (see `TABLE`); half a unit of the last printed digit.
    #[test]
    fn moist_air_agrees_with_the_table() {
        for (t_c, humidity_pct, elevation_m, p, es, e, td, deficit, tw) in TABLE {
            let pressure = standard_pressure_hpa(elevation_m);
            assert_near(pressure, p, 0.000_5);
            assert_near(saturation_pressure_hpa(t_c), es, 0.000_005);
            assert_near(vapour_pressure_hpa(t_c, humidity_pct), e, 0.000_005);
            assert_near(dew_point_c(t_c, humidity_pct), td, 0.000_05);
            assert_near(
                vapour_pressure_deficit_hpa(t_c, humidity_pct),
                deficit,
                0.000_005,
            );
            let wet_bulb = pressure.and_then(|hpa| wet_bulb_c(t_c, humidity_pct, hpa));
            assert_near(wet_bulb, tw, 0.000_05);
        }
    }

    /// psychrolib 2.5.0, SI units: `GetTDewPointFromRelHum(t, RH/100)`, `GetTWetBulbFromRelHum(t, RH/100, p)` with
    /// `GetStandardAtmPressure(z)`. Only where it answers over water, not ice. Its saturation is Hyland & Wexler's and
    /// its wet bulb the thermodynamic one; the difference grows with the depression, hence 0.02 and 0.12 °C.
    #[test]
    fn dew_point_and_wet_bulb_agree_with_psychrolib_over_water() {
        for (t_c, humidity_pct, elevation_m, td, tw) in [
            (40.0 / 9.0, 90.0, 0.0, Some(2.9496), 3.7616),
            (40.0 / 9.0, 50.0, 0.0, None, 0.8854),
            (10.0, 20.0, 0.0, None, 2.5282),
            (10.0, 60.0, 500.0, Some(2.5998), 6.3762),
            (15.0, 85.0, 1609.344, Some(12.5012), 13.3886),
            (20.0, 50.0, 0.0, Some(9.2724), 13.7834),
            (290.0 / 9.0, 40.0, 0.0, Some(16.9145), 21.7818),
        ] {
            if let Some(td) = td {
                assert_near(dew_point_c(t_c, humidity_pct), td, 0.02);
            }
            let pressure = standard_pressure_hpa(elevation_m);
            let wet_bulb = pressure.and_then(|hpa| wet_bulb_c(t_c, humidity_pct, hpa));
            assert_near(wet_bulb, tw, 0.12);
        }
    }

    /// psychrolib 2.5.0 as above, where it answers over ice: its dew point is the frost point, its wet bulb the ice
    /// bulb, and below 0 °C its humidity is over ice as well, so that ours is carried over first. Tolerances as above.
    #[test]
    fn frost_point_and_ice_bulb_agree_with_psychrolib_over_ice() {
        for (t_c, psychrolib_pct, elevation_m, frost_point, ice_bulb) in [
            (40.0 / 9.0, 50.0, 0.0, -4.4901, None),
            (40.0 / 9.0, 30.0, 0.0, -10.3573, Some(-0.9739)),
            (5.0 / 3.0, 70.0, 0.0, -2.8398, Some(-0.3035)),
            (10.0, 20.0, 0.0, -10.6361, None),
            (-5.0, 80.0, 0.0, -7.5853, Some(-5.8840)),
            (-15.0, 60.0, 1500.0, -20.4194, Some(-16.0535)),
        ] {
            let ratio = saturation_pressure_over_ice_hpa(t_c)
                .zip(saturation_pressure_hpa(t_c))
                .map_or(1.0, |(ice, water)| ice / water);
            let humidity_pct = psychrolib_pct * ratio;
            assert_near(frost_point_c(t_c, humidity_pct), frost_point, 0.02);
            if let Some(ice_bulb) = ice_bulb {
                let pressure = standard_pressure_hpa(elevation_m);
                let computed = pressure.and_then(|hpa| ice_bulb_c(t_c, humidity_pct, hpa));
                assert_near(computed, ice_bulb, 0.12);
            }
        }
    }

    /// The handbook's single values, computed from the same formulas; half a unit of the last printed digit.
    #[test]
    fn single_values_agree_with_the_handbook() {
        assert_near(humidity_from_dew_point_pct(5.0, -2.0), 60.5605, 0.000_05);
        assert_near(wet_bulb_c(10.0, 0.0, SEA_LEVEL_HPA), 0.4588, 0.000_05);
        assert_near(wet_bulb_c(40.0, 0.0, SEA_LEVEL_HPA), 14.8601, 0.000_05);
        assert_near(wet_bulb_c(-10.0, 0.0, SEA_LEVEL_HPA), -13.3557, 0.000_05);
        assert_near(standard_pressure_hpa(300.0), 977.726, 0.000_5);
        assert_near(standard_pressure_hpa(1000.0), 898.746, 0.000_5);
        assert_near(standard_pressure_hpa(3000.0), 701.085, 0.000_5);
        assert_near(ice_bulb_c(-5.0, 80.0, SEA_LEVEL_HPA), -5.6984, 0.000_05);
        assert_near(
            ice_bulb_c(40.0 / 9.0, 30.0, SEA_LEVEL_HPA),
            -0.9422,
            0.000_05,
        );
        assert_near(saturation_pressure_over_ice_hpa(0.0), 6.1121, 0.000_05);
    }

    /// Humidity at which the wet bulb is 0 °C: the equation solved for humidity, 100*(6.1094 − 6.53e-4*p*t)/es(t); and
    /// the handbook's values of it at sea level, printed to 0.1 %.
    #[test]
    fn wet_bulb_freezes_at_the_humidity_of_the_closed_form() {
        for (air_f, printed_pct) in [
            (34.0, 81.2),
            (37.0, 57.3),
            (40.0, 37.8),
            (44.0, 17.4),
            (48.0, 2.0),
        ] {
            let t_c = fahrenheit(air_f);
            let closed_pct = saturation_pressure_hpa(t_c)
                .map(|hpa| 100.0 * (6.1094 - 6.53e-4 * SEA_LEVEL_HPA * t_c) / hpa);
            assert_near(closed_pct, printed_pct, 0.05);
            let wet_bulb = closed_pct.and_then(|pct| wet_bulb_c(t_c, pct, SEA_LEVEL_HPA));
            assert_near(wet_bulb, 0.0, 1e-9);
        }
    }

    /// Allen et al. 1998, FAO-56, equation 47 and its example 14: 3.2 m/s at 10 m is 2.4 m/s at 2 m.
    #[test]
    fn wind_at_2_m_agrees_with_fao_56_example_14() {
        let equation_47 = 4.87 / libm::log(67.8 * 10.0 - 5.42);
        assert_near(Some(WIND_2M_PER_10M), equation_47, 1e-12);
        assert_near(Some(WIND_2M_PER_10M * 3.2), 2.4, 0.05);
    }

    /// Allen et al. 1998, FAO-56, example 19 (N'Diaye, 14:00): 0.63 mm/h for grass, whose resistance divides by
    /// D + g*(1 + 0.34*u2). A wet film has none: our value times (D + g)/(D + g*(1 + 0.34*u2)) is theirs. Inputs from
    /// memory; radiation less soil heat 1.749 − 0.175 MJ m⁻² h⁻¹, g 0.0673 kPa/K, hence p 1012 hPa.
    #[test]
    fn film_evaporation_agrees_with_fao_56_example_19() {
        let (wind_2m_ms, pressure_hpa) = (3.3, 1012.0);
        let film_mm = film_evaporation_mm(38.0, 0.52, wind_2m_ms, pressure_hpa, 1.749 - 0.175);
        let rise_kpa_per_k = WATER.pressure_and_rise(38.0).1 / 10.0;
        let psychrometric = 0.665e-3 * pressure_hpa / 10.0;
        let grass_share = (rise_kpa_per_k + psychrometric)
            / (rise_kpa_per_k + psychrometric * (1.0 + 0.34 * wind_2m_ms));
        assert_near(Some(film_mm * grass_share), 0.63, 0.005);
    }

    /// The handbook's five values of FAO-56 equation 53 without surface resistance; half of the last printed digit.
    #[test]
    fn evaporation_agrees_with_the_handbook() {
        for (air_f, humidity_pct, wind, printed_mm) in [
            (40.0, 70.0, Some(metres_per_second(5.0)), 0.029_984_9),
            (50.0, 50.0, Some(metres_per_second(10.0)), 0.120_860_2),
            (40.0, 50.0, None, 0.014_946_2),
        ] {
            let computed =
                evaporation_mm_per_hour(fahrenheit(air_f), humidity_pct, wind, SEA_LEVEL_HPA);
            assert_near(computed, printed_mm, 0.000_000_05);
        }
        // From 90 % on the public function counts 0; the formula below it does not.
        let humid = film_evaporation_mm(
            fahrenheit(60.0),
            0.9,
            WIND_2M_PER_10M * metres_per_second(2.0),
            SEA_LEVEL_HPA,
            0.0,
        );
        assert_near(Some(humid), 0.005_650_1, 0.000_000_05);
        let sunny = film_evaporation_mm(
            fahrenheit(50.0),
            0.7,
            WIND_2M_PER_10M * metres_per_second(5.0),
            SEA_LEVEL_HPA,
            0.5,
        );
        assert_near(Some(sunny), 0.148_253_2, 0.000_000_05);
    }

    /// The handbook's hours for a film of 0.2 mm at 2, 5 and 10 mph, printed to two digits.
    #[test]
    fn hours_to_dry_agree_with_the_handbook() {
        for (air_f, humidity_pct, printed_hours) in [
            (40.0, 50.0, [10.0, 4.0, 2.0]),
            (40.0, 70.0, [16.7, 6.7, 3.3]),
            (50.0, 50.0, [8.3, 3.3, 1.7]),
            (50.0, 70.0, [13.8, 5.5, 2.8]),
            (60.0, 50.0, [7.1, 2.8, 1.4]),
            (60.0, 70.0, [11.8, 4.7, 2.4]),
        ] {
            for (mph, hours) in [2.0, 5.0, 10.0].into_iter().zip(printed_hours) {
                let computed = evaporation_mm_per_hour(
                    fahrenheit(air_f),
                    humidity_pct,
                    Some(metres_per_second(mph)),
                    SEA_LEVEL_HPA,
                );
                assert_near(computed.map(|mm| FILM_MM / mm), hours, 0.05);
            }
        }
    }

    /// Bisection of the same equation, the handbook's bounds: 1e-12 °C within −50..55 °C, humidity from 0.5 %,
    /// 600..1050 hPa.
    #[test]
    fn newton_finds_the_root_that_bisection_finds() {
        for t_c in (-50..=55).step_by(3).map(f64::from) {
            for humidity_pct in [0.5, 1.0, 3.0, 5.0, 10.0, 30.0, 60.0, 90.0, 99.9] {
                for pressure_hpa in [600.0, 850.0, 1050.0] {
                    let vapour_hpa = WATER.pressure_hpa(t_c) * humidity_pct / 100.0;
                    let root_c = bisected_c(WET_BULB, t_c, vapour_hpa, pressure_hpa);
                    assert_near(wet_bulb_c(t_c, humidity_pct, pressure_hpa), root_c, 1e-12);
                    let ice_root_c = bisected_c(ICE_BULB, t_c, vapour_hpa, pressure_hpa);
                    let ice_bulb = ice_bulb_c(t_c, humidity_pct, pressure_hpa);
                    assert_eq!(
                        ice_bulb.is_some(),
                        ice_root_c <= 0.0,
                        "{t_c} {humidity_pct} {pressure_hpa}"
                    );
                    if ice_bulb.is_some() {
                        assert_near(ice_bulb, ice_root_c, 1e-12);
                    }
                }
            }
        }
    }

    /// Bisection of the same equation at the edges of what is accepted: dry, hot and high. Over ice 1e-3 °C, for dry
    /// air of 53 °C at 200 hPa.
    #[test]
    fn newton_stays_within_2e_5_at_the_edges() {
        for t_c in (-90..=60).step_by(5).map(f64::from) {
            for humidity_pct in [0.0, 1e-300, 1e-6, 0.01, 0.3, 1.0, 2.0, 5.0, 50.0] {
                for pressure_hpa in [200.0, 226.0, 500.0, 1100.0] {
                    let vapour_hpa = WATER.pressure_hpa(t_c) * humidity_pct / 100.0;
                    let root_c = bisected_c(WET_BULB, t_c, vapour_hpa, pressure_hpa);
                    assert_near(wet_bulb_c(t_c, humidity_pct, pressure_hpa), root_c, 2e-5);
                    let ice_root_c = bisected_c(ICE_BULB, t_c, vapour_hpa, pressure_hpa);
                    if let Some(ice_bulb) = ice_bulb_c(t_c, humidity_pct, pressure_hpa) {
                        assert_near(Some(ice_bulb), ice_root_c, 1e-3);
                    }
                }
            }
        }
    }

    /// Definition: dew point and humidity are inverse, for −30..45 °C and 1..100 %.
    #[test]
    fn dew_point_comes_back_from_its_humidity() {
        for t_c in (-30..=45).map(f64::from) {
            for humidity_pct in (1..=100).map(f64::from) {
                let dew_point = dew_point_c(t_c, humidity_pct);
                let humidity = dew_point.and_then(|td_c| humidity_from_dew_point_pct(t_c, td_c));
                assert_near(humidity, humidity_pct, 1e-10);
                let again = humidity.and_then(|pct| dew_point_c(t_c, pct));
                assert_near(again, dew_point.unwrap_or(f64::NAN), 1e-10);
            }
        }
    }

    /// Physics: the wet bulb lies between dew point and air temperature, and rises with temperature and humidity.
    #[test]
    fn wet_bulb_lies_between_dew_point_and_air_and_rises() {
        let wet_bulb = |t_c, pct, hpa| wet_bulb_c(t_c, pct, hpa).unwrap_or(f64::NAN);
        for pressure_hpa in [600.0, 850.0, 1013.25] {
            for t_c in (-40..=50).map(f64::from) {
                for humidity_pct in (1..=99).map(f64::from) {
                    let bulb_c = wet_bulb(t_c, humidity_pct, pressure_hpa);
                    let td_c = dew_point_c(t_c, humidity_pct).unwrap_or(f64::NAN);
                    assert!(
                        td_c < bulb_c && bulb_c < t_c,
                        "{t_c} {humidity_pct} {pressure_hpa}"
                    );
                    assert!(bulb_c < wet_bulb(t_c + 0.1, humidity_pct, pressure_hpa));
                    assert!(bulb_c < wet_bulb(t_c, humidity_pct + 0.1, pressure_hpa));
                    assert!(wet_bulb(t_c, 0.0, pressure_hpa) < bulb_c);
                }
            }
        }
    }

    /// Physics: evaporation is not negative, falls with humidity and rises with wind, and is least without any.
    #[test]
    fn evaporation_falls_with_humidity_and_rises_with_wind() {
        let evaporation = |t_c, pct, wind| {
            evaporation_mm_per_hour(t_c, pct, wind, SEA_LEVEL_HPA).unwrap_or(f64::NAN)
        };
        for t_c in (-40..=50).step_by(5).map(f64::from) {
            for humidity_pct in (0..90).map(f64::from) {
                for wind in [0.7, 1.0, 3.0, 8.0] {
                    let mm = evaporation(t_c, humidity_pct, Some(wind));
                    assert!(mm > 0.0);
                    assert!(mm > evaporation(t_c, humidity_pct + 0.5, Some(wind)));
                    assert!(mm < evaporation(t_c, humidity_pct, Some(wind + 0.1)));
                    assert!(mm > evaporation(t_c, humidity_pct, None));
                }
                let calm = evaporation(t_c, humidity_pct, Some(0.0));
                assert!((calm - evaporation(t_c, humidity_pct, None)).abs() < 1e-15);
            }
            for humidity_pct in [90.0, 95.0, 100.0, 102.0] {
                assert_eq!(
                    evaporation_mm_per_hour(t_c, humidity_pct, None, SEA_LEVEL_HPA),
                    Some(0.0)
                );
            }
        }
    }

    /// Definition: rain first, then evaporation, between 0 and the film's depth; what is missing is never good.
    #[test]
    fn film_fills_runs_off_and_dries() {
        let film = |film_mm, rain_mm, gone_mm| Some(film_after_hour_mm(film_mm, rain_mm, gone_mm));
        assert_near(film(0.0, 0.05, 0.0), 0.05, 1e-15);
        assert_near(film(0.1, 30.0, 0.0), FILM_MM, 0.0);
        assert_near(film(0.1, 30.0, 0.15), 0.05, 1e-15);
        assert_near(film(0.1, 0.0, 0.1), 0.0, 0.0);
        assert_near(film(0.0, 0.0, 1.0), 0.0, 0.0);
        assert_near(film(0.1, 0.0, -1.0), 0.1, 0.0);
        for missing in [
            film(f64::NAN, 0.0, 0.0),
            film(0.0, f64::NAN, 0.0),
            film(FILM_MM, 0.0, f64::NAN),
        ] {
            assert_near(missing, FILM_MM, 0.0);
        }
    }

    /// Definition: a missing or out-of-range temperature has no answer.
    #[test]
    fn bad_temperature_has_no_answer() {
        for t_c in [
            f64::NAN,
            f64::INFINITY,
            f64::NEG_INFINITY,
            -90.001,
            60.001,
            -243.04,
        ] {
            for answer in [
                saturation_pressure_hpa(t_c),
                saturation_pressure_over_ice_hpa(t_c),
                vapour_pressure_hpa(t_c, 50.0),
                humidity_from_dew_point_pct(t_c, 5.0),
                humidity_from_dew_point_pct(60.0, t_c),
                dew_point_c(t_c, 50.0),
                frost_point_c(t_c, 50.0),
                vapour_pressure_deficit_hpa(t_c, 50.0),
                wet_bulb_c(t_c, 50.0, SEA_LEVEL_HPA),
                ice_bulb_c(t_c, 50.0, SEA_LEVEL_HPA),
                evaporation_mm_per_hour(t_c, 50.0, None, SEA_LEVEL_HPA),
            ] {
                assert_eq!(answer, None, "{t_c}");
            }
        }
    }

    /// Definition: a missing or out-of-range humidity has no answer.
    #[test]
    fn bad_humidity_has_no_answer() {
        for humidity_pct in [f64::NAN, f64::INFINITY, -0.001, 102.001] {
            for answer in [
                vapour_pressure_hpa(-5.0, humidity_pct),
                dew_point_c(-5.0, humidity_pct),
                frost_point_c(-5.0, humidity_pct),
                vapour_pressure_deficit_hpa(-5.0, humidity_pct),
                wet_bulb_c(-5.0, humidity_pct, SEA_LEVEL_HPA),
                ice_bulb_c(-5.0, humidity_pct, SEA_LEVEL_HPA),
                evaporation_mm_per_hour(-5.0, humidity_pct, None, SEA_LEVEL_HPA),
            ] {
                assert_eq!(answer, None, "{humidity_pct}");
            }
        }
    }

    /// Definition: a missing or out-of-range pressure, wind or elevation has no answer, in humid hours as well; kPa or
    /// inches taken for hPa are out of range.
    #[test]
    fn bad_pressure_wind_and_elevation_have_no_answer() {
        for pressure_hpa in [f64::NAN, f64::INFINITY, 101.325, 29.92, 1100.1, -1.0] {
            assert_eq!(wet_bulb_c(-5.0, 50.0, pressure_hpa), None);
            assert_eq!(ice_bulb_c(-5.0, 50.0, pressure_hpa), None);
            assert_eq!(
                evaporation_mm_per_hour(-5.0, 50.0, None, pressure_hpa),
                None
            );
        }
        for wind_ms in [f64::NAN, f64::INFINITY, -0.1] {
            for humidity_pct in [50.0, 95.0] {
                let answer =
                    evaporation_mm_per_hour(5.0, humidity_pct, Some(wind_ms), SEA_LEVEL_HPA);
                assert_eq!(answer, None, "{wind_ms}");
            }
        }
        for elevation_m in [f64::NAN, -500.1, 11_000.1] {
            assert_eq!(standard_pressure_hpa(elevation_m), None);
        }
    }

    /// Definition: the bounds themselves have an answer.
    #[test]
    fn bounds_have_an_answer() {
        for t_c in [-90.0, 60.0] {
            for humidity_pct in [0.0, 102.0] {
                assert!(wet_bulb_c(t_c, humidity_pct, 200.0).is_some());
                assert!(wet_bulb_c(t_c, humidity_pct, 1100.0).is_some());
            }
        }
        for elevation_m in [-500.0, 11_000.0] {
            let pressure = standard_pressure_hpa(elevation_m);
            assert!(pressure.is_some_and(|hpa| wet_bulb_c(0.0, 50.0, hpa).is_some()));
        }
    }

    /// Definition: humidity from 100 to 102 % counts as 100; a dew point above the air by at most 0.6 °C counts as it.
    #[test]
    fn saturated_air_takes_the_sensors_errors() {
        for humidity_pct in [100.0, 101.0, 102.0] {
            assert_eq!(dew_point_c(10.0, humidity_pct), Some(10.0));
            assert_eq!(wet_bulb_c(10.0, humidity_pct, SEA_LEVEL_HPA), Some(10.0));
            assert_eq!(vapour_pressure_deficit_hpa(10.0, humidity_pct), Some(0.0));
            assert_eq!(
                vapour_pressure_hpa(10.0, humidity_pct),
                saturation_pressure_hpa(10.0)
            );
        }
        for tenths in -300..=450 {
            let t_c = f64::from(tenths) / 10.0;
            let above = |by: i32| f64::from(tenths + by) / 10.0;
            assert_eq!(humidity_from_dew_point_pct(t_c, above(0)), Some(100.0));
            assert_eq!(
                humidity_from_dew_point_pct(t_c, above(6)),
                Some(100.0),
                "{t_c}"
            );
            assert_eq!(humidity_from_dew_point_pct(t_c, above(7)), None, "{t_c}");
        }
        assert_eq!(dew_point_c(10.0, 0.0), None);
        assert_eq!(frost_point_c(-10.0, 0.0), None);
        assert_eq!(vapour_pressure_hpa(10.0, 0.0), Some(0.0));
        assert_eq!(saturation_pressure_over_ice_hpa(0.001), None);
    }

    /// Definition: one formula for each derived measure of the air, in lines that fit a terminal.
    #[test]
    fn formulas_fit_a_terminal() {
        let measures: Vec<&str> = FORMULAS.iter().map(|formula| formula.measure).collect();
        let expected = [
            "dew-point",
            "humidity",
            "wet-bulb",
            "wet-bulb-depression",
            "dew-point-depression",
            "vapour-pressure-deficit",
            "drying-hours",
        ];
        assert_eq!(measures, expected);
        for formula in FORMULAS {
            assert!(
                formula.expression.lines().count() <= 2,
                "{}",
                formula.measure
            );
            for line in formula.expression.lines() {
                assert!(line.chars().count() <= 76, "{line}");
            }
            assert!(!formula.citation.is_empty());
        }
    }
}
