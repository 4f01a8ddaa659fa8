//! Invented past hours: years of them with gaps, bounds, and amounts of rain over several hours.

use fairspell::error::SeriesError;
use fairspell::quantity::Unit;
use fairspell::series::{Amount, Amounts, Column, Element, HourlySeries};

/// The generator of Steele, Lea & Flood 2014 (OOPSLA; constants from memory): what is drawn follows from one number.
#[derive(Debug, Clone)]
pub struct Draw(pub u64);

impl Draw {
    /// The next number.
    pub fn number(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A number below a bound.
    pub fn below(&mut self, bound: usize) -> usize {
        usize::try_from(self.number() % bound as u64).unwrap_or(0)
    }

    /// Whether one in so many has come.
    pub fn is_one_in(&mut self, count: usize) -> bool {
        self.below(count) == 0
    }

    /// One of several.
    pub fn of<'a, T: ?Sized>(&mut self, all: &[&'a T]) -> Option<&'a T> {
        let at = self.below(all.len());
        all.get(at).copied()
    }
}

/// Values that wander in steps of one between two ends; one in `missing` is NaN.
fn walk(draw: &mut Draw, hours: usize, (low, high): (f64, f64), missing: usize) -> Vec<f64> {
    let mut value = f64::midpoint(low, high);
    let step = |draw: &mut Draw| {
        [-1.0, 0.0, 0.0, 1.0]
            .get(draw.below(4))
            .copied()
            .unwrap_or(0.0)
    };
    (0..hours)
        .map(|_| {
            value = (value + step(draw)).clamp(low, high);
            if draw.is_one_in(missing) {
                f64::NAN
            } else {
                value
            }
        })
        .collect()
}

/// So many hours from `start` \[s since 1970 UTC\] on, all invented.
///
/// # Errors
/// [`SeriesError`] for no hour.
pub fn series(draw: &mut Draw, start: i64, hours: usize) -> Result<HourlySeries, SeriesError> {
    let rows = (0..hours).map(|_| !draw.is_one_in(300)).collect();
    let mut series = HourlySeries::new(start, rows)?;
    let low = walk(draw, hours, (26.0, 60.0), 150);
    let wide = low.iter().map(|value| {
        value
            + [0.0, 0.0, 0.0, 3.0]
                .get(draw.below(4))
                .copied()
                .unwrap_or(0.0)
    });
    let high = wide.collect();
    series.set_column(
        Element::Temperature,
        Column::bounded(low, high, Unit::Fahrenheit),
    )?;
    let humidity = walk(draw, hours, (60.0, 96.0), 200);
    series.set_column(Element::Humidity, Column::exact(humidity, Unit::Percent))?;
    let wind = walk(draw, hours, (0.0, 14.0), 200);
    series.set_column(Element::Wind, Column::exact(wind, Unit::MilePerHour))?;
    let (mut amounts, mut from) = (Vec::new(), 0);
    while from < hours {
        let long = [1, 1, 1, 1, 6, 24].get(draw.below(6)).copied().unwrap_or(1);
        let um = if draw.is_one_in(25) {
            254 * (1 + draw.below(9))
        } else {
            0
        };
        let um = i64::try_from(um).unwrap_or(0);
        if !draw.is_one_in(200) {
            amounts.push(Amount {
                from,
                hours: long.min(hours - from),
                low_um: um,
                high_um: Some(um),
            });
        }
        from += long;
    }
    series.set_amounts(Element::Rain, Amounts::new(hours, &amounts, Unit::Inch))?;
    Ok(series)
}
