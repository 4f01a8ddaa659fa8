//! Spray: how much a plant holds, and the oil and water of each load.
//!
//! A rate is a share by volume of the **finished** spray: 2 % of 1 US gal is 2.56 US fl oz of oil made up with water to
//! the gallon. A gallon here is the U.S. one wherever the imperial one is not named.
//!
//! Source: the project's handbook, trade, §7; volumes of crowns: Penn State tree fruit guide and Landers (Cornell).

use crate::plant::{Group, Grown, Spray};
use crate::quantity::{Quantity, Unit};
use crate::site::Planting;

/// Spray for 1,000 ft³ of crown, low, typical and high \[US gal\]: well pruned 0.7, dense 1.0; typical: the middle.
pub const CROWN_GAL_PER_1000_FT3: [f64; 3] = [0.7, 0.85, 1.0];
/// Spray for 100 ft² of soil, low, typical and high \[US gal\]. Handbook §7: estimate; typical: the middle.
pub const SOIL_GAL_PER_100_FT2: [f64; 3] = [0.5, 0.75, 1.0];
/// Most that one plant sprayed by hand to run-off takes of what its crown says. Handbook §7: estimate.
pub const BY_HAND: f64 = 1.5;
/// Rate where none is given \[%\]: the least of the usual dormant rates, 2 to 4 % (Rutgers), 2 to 3 % in orchards
/// (Univ. of Vermont Fruit), handbook §1.2. The label decides.
pub const RATE_PCT: f64 = 2.0;
/// What the sprayer holds where nothing is said \[US gal\]: a backpack. Handbook §7: common practice.
pub const TANK_GAL: f64 = 4.0;

/// A volume of liquid.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Volume {
    litres: f64,
}

impl Volume {
    /// Of so much in a unit of volume.
    ///
    /// ```
    /// use fairspell::{quantity::Unit, work::Volume};
    /// let gallon = Volume::of(1.0, Unit::UsGallon);
    /// assert_eq!((gallon.millilitres(), gallon.us_fluid_ounces()), (3785.411784, 128.0));
    /// ```
    #[must_use]
    pub fn of(value: f64, unit: Unit) -> Self {
        Self {
            litres: unit.to_si(value),
        }
    }

    /// In litres.
    #[must_use]
    pub fn litres(self) -> f64 {
        self.litres
    }

    /// In millilitres.
    #[must_use]
    pub fn millilitres(self) -> f64 {
        Unit::Millilitre.of_si(self.litres)
    }

    /// In U.S. gallons.
    #[must_use]
    pub fn us_gallons(self) -> f64 {
        Unit::UsGallon.of_si(self.litres)
    }

    /// In U.S. fluid ounces.
    #[must_use]
    pub fn us_fluid_ounces(self) -> f64 {
        Unit::UsFluidOunce.of_si(self.litres)
    }

    /// In U.S. tablespoons, half a fluid ounce each.
    #[must_use]
    pub fn us_tablespoons(self) -> f64 {
        self.us_fluid_ounces() * 2.0
    }

    /// In imperial gallons.
    #[must_use]
    pub fn imperial_gallons(self) -> f64 {
        Unit::ImperialGallon.of_si(self.litres)
    }

    /// So many times as much.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        Self {
            litres: self.litres * factor,
        }
    }

    /// Both together.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self {
            litres: self.litres + other.litres,
        }
    }

    /// In U.S. fluid ounces, up to the next quarter: for display alone (handbook §8).
    #[must_use]
    pub fn up_to_quarter_fluid_ounce(self) -> f64 {
        up(self.us_fluid_ounces(), 0.25)
    }

    /// In millilitres, up to the next 5 ml: for display alone (handbook §8).
    #[must_use]
    pub fn up_to_five_millilitres(self) -> f64 {
        up(self.millilitres(), 5.0)
    }
}

/// Up to the next multiple of a step; what floating point adds to a whole multiple does not count.
fn up(value: f64, step: f64) -> f64 {
    (value / step - 1e-9).ceil().max(0.0) * step
}

/// What goes into the tank at once.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// Finished spray.
    pub finished: Volume,
    /// Oil in it.
    pub oil: Volume,
    /// Water in it.
    pub water: Volume,
}

impl Load {
    /// Oil and water of a finished spray at a rate in percent of it.
    ///
    /// ```
    /// use fairspell::{quantity::Unit, work::{Load, Volume}};
    /// let load = Load::of(Volume::of(1.0, Unit::UsGallon), 2.0);
    /// assert_eq!(load.oil.up_to_quarter_fluid_ounce(), 2.75); // 2.56
    /// ```
    #[must_use]
    pub fn of(finished: Volume, rate_pct: f64) -> Self {
        let oil = finished.times(rate_pct / 100.0);
        let water = Volume {
            litres: finished.litres - oil.litres,
        };
        Self {
            finished,
            oil,
            water,
        }
    }
}

/// The spray to mix.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mix {
    /// Share of oil in the finished spray \[%\].
    pub rate_pct: f64,
    /// What the sprayer holds.
    pub tank: Volume,
    /// Finished spray: low, typical, high.
    pub finished: [Volume; 3],
    /// The most that spraying trees by hand to run-off may take.
    pub most_by_hand: Volume,
    /// Full tanks of the typical volume.
    pub full_loads: u64,
    /// What a full tank holds, where there is one.
    pub full: Option<Load>,
    /// The last load, which does not fill the tank, where there is one.
    pub last: Option<Load>,
}

impl Mix {
    /// The loads of a volume. `finished`: low, typical and high, above 0; `tank` above 0.
    #[must_use]
    pub fn of(
        finished: [Volume; 3],
        most_by_hand: Volume,
        (rate_pct, tank): (f64, Volume),
    ) -> Self {
        let [_, typical, _] = finished;
        let tanks = (typical.litres / tank.litres).clamp(0.0, 1e15);
        let near = tanks.round();
        // What floating point adds to whole tanks is no load of its own.
        let full = if (tanks - near).abs() <= 1e-9 * near {
            near
        } else {
            tanks.floor()
        };
        let rest = Volume {
            litres: typical.litres - full * tank.litres,
        };
        let has_rest = tanks > full && rest.litres > 1e-9 * tank.litres;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and 1e15"
        )]
        let full_loads = full as u64;
        Self {
            rate_pct,
            tank,
            finished,
            most_by_hand,
            full_loads,
            full: (full_loads > 0).then(|| Load::of(tank, rate_pct)),
            last: has_rest.then(|| Load::of(rest, rate_pct)),
        }
    }

    /// Loads of the typical volume.
    #[must_use]
    pub fn loads(&self) -> u64 {
        self.full_loads + u64::from(self.last.is_some())
    }

    /// Oil and water for the low, typical and high volume.
    #[must_use]
    pub fn totals(&self) -> [Load; 3] {
        self.finished
            .map(|finished| Load::of(finished, self.rate_pct))
    }
}

/// Spray for a crown, a box of height and width \[ft\]: V = c·h·w²/1000.
///
/// ```
/// use fairspell::work::crown_spray;
/// let [low, _, high] = crown_spray(12.0, 12.0);
/// assert!((low.us_gallons() - 1.2096).abs() < 1e-12 && (high.us_gallons() - 1.728).abs() < 1e-12);
/// ```
#[must_use]
pub fn crown_spray(height_ft: f64, width_ft: f64) -> [Volume; 3] {
    let thousands = height_ft * width_ft * width_ft / 1000.0;
    CROWN_GAL_PER_1000_FT3.map(|gallons| Volume::of(gallons * thousands, Unit::UsGallon))
}

/// Spray for one plant of an entry: by its own crown for a tree whose height and width are given, else by the table.
pub(super) fn one_plant(grown: &Grown<'_>, planting: &Planting) -> [Volume; 3] {
    let feet = |length: Quantity| length.unit.convert(length.value, Unit::Foot);
    if let (Group::Tree, Some(height), Some(width)) =
        (grown.row.group, planting.height, planting.width)
    {
        return crown_spray(feet(height), feet(width));
    }
    match grown.size.spray {
        Spray::Volumes(volumes) => volumes.map(|volume| Volume::of(volume.value, volume.unit)),
        Spray::Crown { height, width } => crown_spray(feet(height), feet(width)),
    }
}

/// Spray for cleared soil.
pub(super) fn soil_spray(area: Quantity) -> [Volume; 3] {
    let hundreds = area.unit.convert(area.value, Unit::SquareFoot) / 100.0;
    SOIL_GAL_PER_100_FT2.map(|gallons| Volume::of(gallons * hundreds, Unit::UsGallon))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(found: f64, printed: f64, half_a_digit: f64) {
        assert!(
            (found - printed).abs() <= half_a_digit * 1.000_001,
            "{found} is not {printed}"
        );
    }

    fn gallons(value: f64) -> Volume {
        Volume::of(value, Unit::UsGallon)
    }

    /// Handbook, trade, §7, the mixing table: p, then US fl oz, tbsp, cups and ml a US gallon, ml a litre,
    /// US gal in 100.
    #[test]
    fn the_mixing_table_agrees_with_the_handbook() {
        for (rate, ounces, spoons, cups, millilitres, per_litre, per_hundred) in [
            (1.0, 1.28, 2.56, 0.16, 37.854, 10.0, 1.0),
            (1.5, 1.92, 3.84, 0.24, 56.781, 15.0, 1.5),
            (2.0, 2.56, 5.12, 0.32, 75.708, 20.0, 2.0),
            (3.0, 3.84, 7.68, 0.48, 113.562, 30.0, 3.0),
            (4.0, 5.12, 10.24, 0.64, 151.416, 40.0, 4.0),
        ] {
            let oil = Load::of(gallons(1.0), rate).oil;
            near(oil.us_fluid_ounces(), ounces, 1e-12); // exact by definition
            near(oil.us_tablespoons(), spoons, 1e-12);
            near(oil.us_fluid_ounces() / 8.0, cups, 1e-12);
            near(oil.millilitres(), millilitres, 0.000_5); // as printed
            near(oil.millilitres(), 37.854_117_84 * rate, 1e-10); // the handbook's formula
            near(
                Load::of(Volume::of(1.0, Unit::Litre), rate)
                    .oil
                    .millilitres(),
                per_litre,
                1e-12,
            );
            near(
                Load::of(gallons(100.0), rate).oil.us_gallons(),
                per_hundred,
                1e-12,
            );
        }
    }

    /// Handbook, trade, §7, the table of crowns: height and width \[ft\], US gallons and litres, low and high.
    #[test]
    fn crowns_agree_with_the_handbook() {
        for (height, width, us, litres) in [
            (8.0, 6.0, [0.20, 0.29], [0.8, 1.1]),
            (10.0, 8.0, [0.45, 0.64], [1.7, 2.4]),
            (12.0, 12.0, [1.21, 1.73], [4.6, 6.5]),
            (15.0, 15.0, [2.36, 3.38], [8.9, 12.8]),
            (20.0, 20.0, [5.60, 8.00], [21.2, 30.3]),
        ] {
            let [low, typical, high] = crown_spray(height, width);
            near(low.us_gallons(), us[0], 0.005);
            near(high.us_gallons(), us[1], 0.005);
            near(low.litres(), litres[0], 0.05);
            near(high.litres(), litres[1], 0.05);
            assert!(low < typical && typical < high);
        }
    }

    /// Exact definitions: the imperial gallon is 4.54609 l, the U.S. one 3.785411784 l; a fifth larger, never the same.
    #[test]
    fn the_imperial_gallon_is_another() {
        near(
            Volume::of(1.0, Unit::ImperialGallon).us_gallons(),
            4.546_09 / 3.785_411_784,
            1e-15,
        );
        near(
            gallons(1.0).imperial_gallons(),
            3.785_411_784 / 4.546_09,
            1e-15,
        );
    }

    /// Handbook, trade, §6, *Check*: 6.46 gal are 2 fills of a 4-gal tank. Arithmetic for the rest.
    #[test]
    fn loads_add_up() {
        let mix = |volume, tank| {
            let volume = gallons(volume);
            Mix::of([volume; 3], volume, (2.0, gallons(tank)))
        };
        for (volume, tank, loads, full) in [
            (6.46, 4.0, 2, 1),
            (8.0, 4.0, 2, 2),
            (0.18, 4.0, 1, 0),
            (2.4, 0.8, 3, 3), // 2.9999999999999996 in floating point
            (4.1, 4.0, 2, 1),
        ] {
            let mix = mix(volume, tank);
            assert_eq!(
                (mix.loads(), mix.full_loads),
                (loads, full),
                "{volume} by {tank}"
            );
            let of = |load: Option<Load>| load.map_or(0.0, |load| load.oil.us_fluid_ounces());
            let oil = full as f64 * of(mix.full) + of(mix.last);
            near(oil, volume * 2.56, 1e-9); // 2.56 US fl oz a gallon at 2 %
        }
    }

    /// Handbook, trade, §8: up to the next quarter of a fluid ounce, and 5 ml. 2 % of 4 gal: 10.24 fl oz, 302.8 ml.
    #[test]
    fn amounts_round_up_for_display() {
        let oil = Load::of(gallons(4.0), 2.0).oil;
        near(oil.up_to_quarter_fluid_ounce(), 10.25, 1e-12);
        near(oil.up_to_five_millilitres(), 305.0, 1e-12);
        let whole = Volume::of(0.75, Unit::UsFluidOunce);
        near(whole.up_to_quarter_fluid_ounce(), 0.75, 1e-12);
        near(
            Volume::of(15.0, Unit::Millilitre).up_to_five_millilitres(),
            15.0,
            1e-12,
        );
    }
}
