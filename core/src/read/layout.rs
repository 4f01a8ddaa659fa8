//! Which of the known JSON layouts a file has.

use super::json::{self, Node};
use super::{Reading, Source, locationforecast, nws};
use crate::error::{ReadError, ReadProblem};

/// Reads a file of one of the known layouts, or an object that keeps such a file in its member `data`, as caches of
/// answers do.
pub(super) fn read(source: Source<'_>) -> Result<Reading, ReadError> {
    document(json::root(source)?, true)
}

fn document(root: Node<'_>, may_wrap: bool) -> Result<Reading, ReadError> {
    let unknown = || {
        root.fault(ReadProblem::UnknownFormat {
            found: root.excerpt(),
        })
    };
    if !root.is_object() {
        return Err(unknown());
    }
    let [kind, geometry, properties, features, data] =
        root.members(["type", "geometry", "properties", "features", "data"])?;
    let kind = kind
        .filter(|kind| kind.is_text())
        .map(Node::text)
        .transpose()?;
    let properties = properties.filter(|properties| properties.is_object());
    match (kind.as_deref(), properties, features, data) {
        (Some("FeatureCollection"), _, Some(features), _) => nws::read_observations(features),
        (Some("Feature"), Some(properties), ..) => {
            feature(geometry, properties).unwrap_or_else(|| Err(unknown()))
        }
        (_, _, _, Some(data)) if may_wrap && data.is_object() => document(data, false),
        _ => Err(unknown()),
    }
}

/// A feature by what its properties hold; `None` for one that is no weather.
fn feature<'a>(
    geometry: Option<Node<'a>>,
    properties: Node<'a>,
) -> Option<Result<Reading, ReadError>> {
    let [periods, steps] = match properties.members(["periods", "timeseries"]) {
        Ok(found) => found,
        Err(fault) => return Some(Err(fault)),
    };
    match (periods, steps) {
        (Some(periods), _) => Some(nws::read_hourly(geometry, properties, periods)),
        (None, Some(steps)) => Some(locationforecast::read(geometry, properties, steps)),
        (None, None) => match nws::is_gridpoint(properties) {
            Ok(true) => Some(nws::read_gridpoint(geometry, properties)),
            Ok(false) => None,
            Err(fault) => Some(Err(fault)),
        },
    }
}
