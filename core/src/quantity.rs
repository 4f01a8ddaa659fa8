//! Numbers with units: parse and print "40 °F", "0.1 in", "10 mph".
//!
//! A [`Quantity`] keeps the number as it was written beside its unit, because limits compare in the unit in which
//! they are written: 40 °F in a file meets 40 °F in a rule exactly. Where the units differ, both go to SI by one
//! function, [`Unit::to_si`]. A difference of temperatures is a kind of its own: 5 °F of depression is 2.78 K.
//!
//! Source of the factors: international yard and pound agreement (1959) and NIST SP 811, appendix B; the knot is
//! 1852 m an hour exactly (same appendix, from memory). The U.S. gallon is 231 cubic inches, 3.785411784 l, and the
//! imperial gallon 4.54609 l, both exactly; a bare "gal" is the U.S. one, and is printed as such.

use core::fmt;

use crate::error::{Excerpt, QuantityError};

/// What a quantity is a quantity of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Temperature of air or of a surface.
    Temperature,
    /// Difference of two temperatures, such as a depression.
    TemperatureDifference,
    /// Depth of rain or snow.
    Depth,
    /// Speed of wind.
    Speed,
    /// Share of a whole, in percent.
    Fraction,
    /// Angle, such as the sun's elevation.
    Angle,
    /// Pressure of air or of vapour.
    Pressure,
    /// Length of time.
    Duration,
    /// Length, such as the elevation of a place or the height of a plant.
    Length,
    /// Volume of a liquid.
    Volume,
    /// Area of ground.
    Area,
}

impl Kind {
    /// What an error says was expected.
    #[must_use]
    pub fn expected(self) -> &'static str {
        match self {
            Self::Temperature => "a temperature such as \"40 °F\" or \"4.5 °C\"",
            Self::TemperatureDifference => {
                "a difference of temperatures such as \"5 °F\" or \"2.8 °C\""
            }
            Self::Depth => "a depth such as \"0.1 in\" or \"2.5 mm\"",
            Self::Speed => "a speed such as \"10 mph\", \"16 km/h\", \"4.5 m/s\" or \"8 kt\"",
            Self::Fraction => "a share such as \"90 %\"",
            Self::Angle => "an angle such as \"0 °\"",
            Self::Pressure => "a pressure such as \"5 hPa\" or \"0.5 kPa\"",
            Self::Duration => "a length of time such as \"12 h\" or \"30 min\"",
            Self::Length => "a length such as \"250 m\" or \"820 ft\"",
            Self::Volume => {
                "a volume such as \"4 gal\" (US), \"15 l\", \"2 fl oz\" (US), \"500 ml\" or \"3 imp gal\""
            }
            Self::Area => "an area such as \"120 ft²\" or \"12 m²\"",
        }
    }

    /// The unit in which this kind is computed.
    #[must_use]
    pub fn si(self) -> Unit {
        match self {
            Self::Temperature => Unit::Celsius,
            Self::TemperatureDifference => Unit::CelsiusDifference,
            Self::Depth => Unit::Millimetre,
            Self::Speed => Unit::MetrePerSecond,
            Self::Fraction => Unit::Percent,
            Self::Angle => Unit::Degree,
            Self::Pressure => Unit::Hectopascal,
            Self::Duration => Unit::Hour,
            Self::Length => Unit::Metre,
            Self::Volume => Unit::Litre,
            Self::Area => Unit::SquareMetre,
        }
    }

    fn units(self) -> &'static [Unit] {
        match self {
            Self::Temperature => &[Unit::Celsius, Unit::Fahrenheit],
            Self::TemperatureDifference => &[Unit::CelsiusDifference, Unit::FahrenheitDifference],
            Self::Depth => &[Unit::Millimetre, Unit::Inch],
            Self::Speed => &[
                Unit::MetrePerSecond,
                Unit::KilometrePerHour,
                Unit::MilePerHour,
                Unit::Knot,
            ],
            Self::Fraction => &[Unit::Percent],
            Self::Angle => &[Unit::Degree],
            Self::Pressure => &[Unit::Hectopascal, Unit::Kilopascal],
            Self::Duration => &[Unit::Hour, Unit::Minute],
            Self::Length => &[
                Unit::Metre,
                Unit::Foot,
                Unit::InchOfLength,
                Unit::Centimetre,
            ],
            Self::Volume => &[
                Unit::Litre,
                Unit::Millilitre,
                Unit::UsGallon,
                Unit::UsFluidOunce,
                Unit::ImperialGallon,
            ],
            Self::Area => &[Unit::SquareMetre, Unit::SquareFoot],
        }
    }
}

/// A unit in which numbers are read, compared or printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Degree Celsius, a temperature.
    Celsius,
    /// Degree Fahrenheit, a temperature.
    Fahrenheit,
    /// Degree Celsius, a difference.
    CelsiusDifference,
    /// Degree Fahrenheit, a difference.
    FahrenheitDifference,
    /// Millimetre of rain or snow.
    Millimetre,
    /// Inch of rain or snow.
    Inch,
    /// Metre a second.
    MetrePerSecond,
    /// Kilometre an hour.
    KilometrePerHour,
    /// Mile an hour.
    MilePerHour,
    /// Knot, a nautical mile an hour.
    Knot,
    /// Percent.
    Percent,
    /// Degree of arc.
    Degree,
    /// Hectopascal.
    Hectopascal,
    /// Kilopascal.
    Kilopascal,
    /// Hour.
    Hour,
    /// Minute.
    Minute,
    /// Metre.
    Metre,
    /// Foot.
    Foot,
    /// Inch of length, such as the height of a small plant; [`Unit::Inch`] is a depth of rain.
    InchOfLength,
    /// Centimetre of length.
    Centimetre,
    /// Litre.
    Litre,
    /// Millilitre.
    Millilitre,
    /// United States gallon of 231 cubic inches, 3.785411784 l; never the imperial one.
    UsGallon,
    /// United States fluid ounce, a 128th of a United States gallon.
    UsFluidOunce,
    /// Imperial gallon, 4.54609 l.
    ImperialGallon,
    /// Square metre.
    SquareMetre,
    /// Square foot.
    SquareFoot,
}

impl Unit {
    /// The sign that stands behind a number.
    #[must_use]
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Celsius | Self::CelsiusDifference => "°C",
            Self::Fahrenheit | Self::FahrenheitDifference => "°F",
            Self::Millimetre => "mm",
            Self::Inch | Self::InchOfLength => "in",
            Self::MetrePerSecond => "m/s",
            Self::KilometrePerHour => "km/h",
            Self::MilePerHour => "mph",
            Self::Knot => "kt",
            Self::Percent => "%",
            Self::Degree => "°",
            Self::Hectopascal => "hPa",
            Self::Kilopascal => "kPa",
            Self::Hour => "h",
            Self::Minute => "min",
            Self::Metre => "m",
            Self::Foot => "ft",
            Self::Centimetre => "cm",
            Self::Litre => "l",
            Self::Millilitre => "ml",
            Self::UsGallon => "US gal",
            Self::UsFluidOunce => "US fl oz",
            Self::ImperialGallon => "imp gal",
            Self::SquareMetre => "m²",
            Self::SquareFoot => "ft²",
        }
    }

    /// What this unit measures.
    #[must_use]
    pub fn kind(self) -> Kind {
        match self {
            Self::Celsius | Self::Fahrenheit => Kind::Temperature,
            Self::CelsiusDifference | Self::FahrenheitDifference => Kind::TemperatureDifference,
            Self::Millimetre | Self::Inch => Kind::Depth,
            Self::MetrePerSecond | Self::KilometrePerHour | Self::MilePerHour | Self::Knot => {
                Kind::Speed
            }
            Self::Percent => Kind::Fraction,
            Self::Degree => Kind::Angle,
            Self::Hectopascal | Self::Kilopascal => Kind::Pressure,
            Self::Hour | Self::Minute => Kind::Duration,
            Self::Metre | Self::Foot | Self::InchOfLength | Self::Centimetre => Kind::Length,
            Self::Litre
            | Self::Millilitre
            | Self::UsGallon
            | Self::UsFluidOunce
            | Self::ImperialGallon => Kind::Volume,
            Self::SquareMetre | Self::SquareFoot => Kind::Area,
        }
    }

    /// The one way to SI: °C, °C of difference, mm, m/s, %, ° of arc, hPa, h, m, l or m².
    ///
    /// ```
    /// use fairspell::quantity::Unit;
    /// assert_eq!(Unit::Fahrenheit.to_si(28.0), -2.2222222222222223);
    /// assert_eq!(Unit::MilePerHour.to_si(10.0), 4.4704);
    /// ```
    #[must_use]
    pub fn to_si(self, value: f64) -> f64 {
        match self {
            Self::Fahrenheit => (value - 32.0) * 5.0 / 9.0,
            Self::FahrenheitDifference => value * 5.0 / 9.0,
            Self::Inch => value * 25.4,
            Self::KilometrePerHour => value / 3.6,
            Self::MilePerHour => value * 0.447_04,
            Self::Knot => value * 1852.0 / 3600.0,
            Self::Kilopascal => value * 10.0,
            Self::Minute => value / 60.0,
            Self::Foot => value * 0.3048,
            Self::InchOfLength => value * 0.0254,
            Self::Centimetre => value / 100.0,
            Self::Millilitre => value / 1000.0,
            Self::UsGallon => value * 3.785_411_784,
            Self::UsFluidOunce => value * 3.785_411_784 / 128.0,
            Self::ImperialGallon => value * 4.546_09,
            Self::SquareFoot => value * 0.092_903_04,
            _ => value,
        }
    }

    /// The way back from SI, for display and for derived measures; comparison never needs it.
    ///
    /// ```
    /// use fairspell::quantity::Unit;
    /// assert_eq!(Unit::Fahrenheit.of_si(-2.2), 28.04);
    /// ```
    #[must_use]
    pub fn of_si(self, value: f64) -> f64 {
        match self {
            Self::Fahrenheit => value * 9.0 / 5.0 + 32.0,
            Self::FahrenheitDifference => value * 9.0 / 5.0,
            Self::Inch => value / 25.4,
            Self::KilometrePerHour => value * 3.6,
            Self::MilePerHour => value / 0.447_04,
            Self::Knot => value * 3600.0 / 1852.0,
            Self::Kilopascal => value / 10.0,
            Self::Minute => value * 60.0,
            Self::Foot => value / 0.3048,
            Self::InchOfLength => value / 0.0254,
            Self::Centimetre => value * 100.0,
            Self::Millilitre => value * 1000.0,
            Self::UsGallon => value / 3.785_411_784,
            Self::UsFluidOunce => value * 128.0 / 3.785_411_784,
            Self::ImperialGallon => value / 4.546_09,
            Self::SquareFoot => value / 0.092_903_04,
            _ => value,
        }
    }

    /// A value of this unit in another of the same kind: the number itself where they are one, else through SI.
    #[must_use]
    pub fn convert(self, value: f64, to: Self) -> f64 {
        if self == to {
            value
        } else {
            to.of_si(self.to_si(value))
        }
    }

    /// The unit for a difference of two values of this one.
    #[must_use]
    pub fn difference(self) -> Self {
        match self {
            Self::Celsius => Self::CelsiusDifference,
            Self::Fahrenheit => Self::FahrenheitDifference,
            other => other,
        }
    }
}

/// A number as it was written, and its unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quantity {
    /// The number as written.
    pub value: f64,
    /// Its unit.
    pub unit: Unit,
}

impl Quantity {
    /// Reads a quantity of one kind: a decimal number, an optional blank, and a unit of that kind.
    ///
    /// # Errors
    /// [`QuantityError`] for anything else: another kind's unit, no unit, no finite decimal number.
    ///
    /// ```
    /// use fairspell::quantity::{Kind, Quantity, Unit};
    /// let limit = Quantity::parse("40 °F", Kind::Temperature)?;
    /// assert_eq!((limit.value, limit.unit), (40.0, Unit::Fahrenheit));
    /// assert!(Quantity::parse("40 °F", Kind::Depth).is_err());
    /// # Ok::<(), fairspell::error::QuantityError>(())
    /// ```
    pub fn parse(text: &str, kind: Kind) -> Result<Self, QuantityError> {
        let fault = || QuantityError {
            expected: kind.expected(),
            found: Excerpt::of(text.as_bytes()),
        };
        let trimmed = text.trim();
        let end = trimmed
            .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | '\u{2212}')))
            .ok_or_else(fault)?;
        let (number, sign) = trimmed.split_at_checked(end).ok_or_else(fault)?;
        let value = number_of(number).ok_or_else(fault)?;
        let sign = sign.trim_start();
        let unit = kind
            .units()
            .iter()
            .copied()
            .find(|unit| names(*unit).contains(&sign))
            .ok_or_else(fault)?;
        Ok(Self { value, unit })
    }

    /// The value in SI (see [`Unit::to_si`]).
    #[must_use]
    pub fn si(self) -> f64 {
        self.unit.to_si(self.value)
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let space = if self.unit == Unit::Degree { "" } else { " " }; // SI Brochure, 9th ed. (2019), 5.4.3
        write!(f, "{}{space}{}", plain(self.value), self.unit.symbol())
    }
}

/// A finite decimal number: digits, at most one point, an optional sign, an optional exponent; no comma, no words.
///
/// ```
/// use fairspell::quantity::number_of;
/// assert_eq!(number_of("-2.2"), Some(-2.2));
/// assert_eq!(number_of("2.54e-1"), Some(0.254));
/// assert_eq!(number_of("1e999").or(number_of("NaN")).or(number_of("12,5")), None);
/// ```
#[must_use]
pub fn number_of(text: &str) -> Option<f64> {
    let unsigned = text.strip_prefix(['-', '+', '\u{2212}']).unwrap_or(text);
    let negative = text.len() != unsigned.len() && !text.starts_with('+');
    let plain = unsigned.starts_with(|first: char| first.is_ascii_digit() || first == '.')
        && unsigned
            .bytes()
            .all(|byte| byte.is_ascii_digit() || matches!(byte, b'.' | b'e' | b'E' | b'-' | b'+'));
    let value = if plain {
        unsigned.parse::<f64>().ok()?
    } else {
        return None;
    };
    value
        .is_finite()
        .then_some(if negative { 0.0 - value } else { value })
}

/// A number for display with at most two decimals, half away from zero, without trailing zeros and never "-0".
///
/// ```
/// use fairspell::quantity::plain;
/// assert_eq!((plain(40.0), plain(0.254), plain(-0.001)), ("40".into(), "0.25".into(), "0".into()));
/// ```
#[must_use]
pub fn plain(value: f64) -> String {
    let rounded = decimals(value, 2);
    rounded
        .trim_end_matches('0')
        .trim_end_matches('.')
        .to_owned()
}

/// A count and what is counted, in the number that fits.
///
/// ```
/// use fairspell::quantity::counted;
/// let left = |count| counted(count, "hour is left out", "hours are left out");
/// assert_eq!([left(0), left(1), left(2)], ["0 hours are left out", "1 hour is left out", "2 hours are left out"]);
/// ```
#[must_use]
pub fn counted(count: u64, one: &str, several: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { several })
}

/// A share in words of at most one decimal, such as "12 %"; one next to 0 or 1 is never rounded onto it.
///
/// ```
/// use fairspell::quantity::percent;
/// assert_eq!([percent(0.124), percent(0.0004), percent(0.005)], ["12 %", "under 0.1 %", "0.5 %"]);
/// ```
#[must_use]
pub fn percent(share: f64) -> String {
    match share {
        _ if share > 0.0 && share < 0.001 => "under 0.1 %".to_owned(),
        _ if share > 0.999 && share < 1.0 => "over 99.9 %".to_owned(),
        _ => {
            let is_whole = (0.01..=0.99).contains(&share) || share <= 0.0 || share >= 1.0;
            format!("{} %", decimals(100.0 * share, usize::from(!is_whole)))
        }
    }
}

/// A number with a fixed number of decimals (0 to 6), half away from zero, never "-0".
#[must_use]
pub fn decimals(value: f64, count: usize) -> String {
    let scale = [1.0, 10.0, 100.0, 1e3, 1e4, 1e5, 1e6]
        .get(count)
        .copied()
        .unwrap_or(1.0);
    let rounded = (value.abs() * scale).round() / scale;
    let signed = if value < 0.0 && rounded > 0.0 {
        -rounded
    } else {
        rounded
    };
    format!("{signed:.count$}")
}

fn names(unit: Unit) -> &'static [&'static str] {
    match unit {
        Unit::Celsius | Unit::CelsiusDifference => &["°C", "C", "degC"],
        Unit::Fahrenheit | Unit::FahrenheitDifference => &["°F", "F", "degF"],
        Unit::Millimetre => &["mm"],
        Unit::Inch | Unit::InchOfLength => &["in"],
        Unit::MetrePerSecond => &["m/s"],
        Unit::KilometrePerHour => &["km/h"],
        Unit::MilePerHour => &["mph"],
        Unit::Knot => &["kt"],
        Unit::Percent => &["%"],
        Unit::Degree => &["°", "deg"],
        Unit::Hectopascal => &["hPa"],
        Unit::Kilopascal => &["kPa"],
        Unit::Hour => &["h"],
        Unit::Minute => &["min"],
        Unit::Metre => &["m"],
        Unit::Foot => &["ft"],
        Unit::Centimetre => &["cm"],
        Unit::Litre => &["l", "L"],
        Unit::Millilitre => &["ml", "mL"],
        Unit::UsGallon => &["gal", "US gal"],
        Unit::UsFluidOunce => &["fl oz", "US fl oz"],
        Unit::ImperialGallon => &["imp gal"],
        Unit::SquareMetre => &["m²", "m2"],
        Unit::SquareFoot => &["ft²", "ft2"],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Exact definitions: international yard and pound agreement (1959); NIST SP 811, appendix B.
    #[test]
    fn conversions_agree_with_the_exact_definitions() {
        let cases: [(Unit, f64, f64); 18] = [
            (Unit::Fahrenheit, 28.0, -2.222_222_222_222_222_3),
            (Unit::Fahrenheit, 40.0, 4.444_444_444_444_445),
            (Unit::Fahrenheit, -40.0, -40.0),
            (Unit::FahrenheitDifference, 3.6, 2.0),
            (Unit::Inch, 0.01, 0.254),
            (Unit::Inch, 0.1, 2.54),
            (Unit::MilePerHour, 10.0, 4.4704),
            (Unit::Knot, 3600.0, 1852.0),
            (Unit::KilometrePerHour, 16.0, 4.444_444_444_444_445),
            (Unit::Foot, 5280.0, 1609.344),
            (Unit::Kilopascal, 1.0, 10.0),
            (Unit::InchOfLength, 12.0, 0.3048),
            (Unit::Centimetre, 30.48, 0.3048),
            (Unit::UsGallon, 1.0, 231.0 * 0.254 * 0.254 * 0.254), // cubic inches in decimetres
            (Unit::UsFluidOunce, 128.0, 3.785_411_784),
            (Unit::ImperialGallon, 1.0, 4.546_09),
            (Unit::Millilitre, 5.0, 0.005),
            (Unit::SquareFoot, 100.0, 9.290_304),
        ];
        for (unit, value, si) in cases {
            let computed = unit.to_si(value);
            let spacing = 4.0 * f64::EPSILON * si.abs(); // two roundings
            assert!(
                (computed - si).abs() <= spacing,
                "{value} {unit:?} gives {computed}, not {si}"
            );
        }
    }

    /// Arithmetic of the definitions above: to SI and back is the identity to a few roundings.
    #[test]
    fn units_round_trip() {
        for kind in [
            Kind::Temperature,
            Kind::TemperatureDifference,
            Kind::Depth,
            Kind::Speed,
            Kind::Length,
            Kind::Volume,
            Kind::Area,
        ] {
            for unit in kind.units() {
                for value in [-40.0, -0.7, 0.0, 0.01, 32.0, 40.0, 90.0, 1048.0] {
                    let back = unit.of_si(unit.to_si(value));
                    assert!(
                        (back - value).abs() < 1e-12 * (32.0 + value.abs()),
                        "{value} {unit:?} came back as {back}"
                    );
                }
            }
        }
    }

    /// The contract's own examples, and one fault of each sort.
    #[test]
    fn quantities_are_parsed_strictly() {
        let parsed = |text, kind| Quantity::parse(text, kind).ok().map(|q| (q.value, q.unit));
        assert_eq!(
            parsed("40 °F", Kind::Temperature),
            Some((40.0, Unit::Fahrenheit))
        );
        assert_eq!(parsed("0.1 in", Kind::Depth), Some((0.1, Unit::Inch)));
        assert_eq!(
            parsed("10 mph", Kind::Speed),
            Some((10.0, Unit::MilePerHour))
        );
        assert_eq!(
            parsed("-3°C", Kind::Temperature),
            Some((-3.0, Unit::Celsius))
        );
        assert_eq!(
            parsed("3 imp gal", Kind::Volume),
            Some((3.0, Unit::ImperialGallon))
        );
        assert_eq!(parsed("4 gal", Kind::Volume), Some((4.0, Unit::UsGallon)));
        assert_eq!(
            parsed("5 °F", Kind::TemperatureDifference),
            Some((5.0, Unit::FahrenheitDifference))
        );
        for (text, kind) in [
            ("40", Kind::Temperature),
            ("40 mm", Kind::Temperature),
            ("40 °F", Kind::Depth),
            ("1e3 mm", Kind::Depth),
            ("12,5 °C", Kind::Temperature),
            ("NaN °C", Kind::Temperature),
            ("-- mm", Kind::Depth),
            ("1.2.3 mm", Kind::Depth),
            ("", Kind::Duration),
        ] {
            assert_eq!(parsed(text, kind), None, "{text:?} as {kind:?}");
        }
    }

    /// Arithmetic: half away from zero, and no sign on zero.
    #[test]
    fn display_rounds_half_away_from_zero() {
        assert_eq!(decimals(0.5, 0), "1");
        assert_eq!(decimals(-0.5, 0), "-1");
        assert_eq!(decimals(-0.4, 0), "0");
        assert_eq!(decimals(2.25, 1), "2.3");
        assert_eq!(plain(100.0), "100");
        assert_eq!(plain(-0.0), "0");
    }
}
