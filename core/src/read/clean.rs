//! Values that no weather has: rejected, counted, and said once an element.

use super::{Notice, Source};
use crate::error::{Excerpt, Place};
use crate::quantity::Unit;
use crate::series::Element;

/// Most that a dew point may lie above the temperature and still be a matter of rounding \[°C\]: two whole °F
/// readings, each off by half a degree, differ by 0.56 °C.
const ROUNDING_C: f64 = 0.6;

/// Counts what was rejected, an element at a time.
#[derive(Debug, Default)]
pub(super) struct Rejected {
    first: Vec<(Element, u64, Place, Excerpt)>,
}

impl Rejected {
    /// The value if it is believed, else NaN; `place` is asked only for the first that is rejected.
    pub(super) fn keep(
        &mut self,
        element: Element,
        value: f64,
        unit: Unit,
        place: impl FnOnce() -> (Place, Excerpt),
    ) -> f64 {
        if value.is_nan() {
            return value;
        }
        if let Some(believed) = element.believed(value, unit) {
            return believed;
        }
        if let Some(entry) = self.first.iter_mut().find(|entry| entry.0 == element) {
            entry.1 += 1;
        } else {
            let (place, found) = place();
            self.first.push((element, 1, place, found));
        }
        f64::NAN
    }

    /// A notice for each element of which anything was rejected.
    pub(super) fn notices(self) -> impl Iterator<Item = Notice> {
        self.first
            .into_iter()
            .map(|(element, count, first, found)| Notice::Rejected {
                element,
                count,
                first,
                found,
            })
    }
}

/// Brings dew points to the temperature where they lie above it by rounding alone; where they lie further above,
/// one of the two is wrong, and both become missing. Returns how often that happened.
pub(super) fn settle_dew_points(
    (temperature, unit): (&mut [f64], Unit),
    (dew_point, dew_unit): (&mut [f64], Unit),
) -> u64 {
    let mut count = 0;
    for (t, td) in temperature.iter_mut().zip(dew_point) {
        let above = dew_unit.to_si(*td) - unit.to_si(*t);
        if above > ROUNDING_C {
            (*t, *td) = (f64::NAN, f64::NAN);
            count += 1;
        } else if above > 0.0 {
            *td = unit.convert(*t, dew_unit);
        }
    }
    count
}

/// What is said of dew points above the temperature, if there were any.
pub(super) fn dew_point_notice(source: Source<'_>, count: u64) -> Option<Notice> {
    (count > 0).then(|| Notice::DewPointAbove {
        file: source.name.to_owned(),
        count,
    })
}
