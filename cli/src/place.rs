//! The place of an answer: the site file, and what stands on the command line instead.

use fairspell::error::{DecideError, Excerpt};
use fairspell::site::Site;

use crate::arguments::PlaceArguments;
use crate::failure::Failure;
use crate::input::Input;

/// The site of the arguments: its file, and what stands on the command line instead.
pub fn site(place: &PlaceArguments) -> Result<Site, Failure> {
    let mut site = match &place.site {
        Some(name) => Site::read(Input::read(name)?.source())?,
        None => Site::default(),
    };
    if let Some(zone) = &place.zone {
        let parsed = zone.parse();
        site.zone = Some(parsed.map_err(|_| {
            let found = Excerpt::of(zone.as_bytes());
            Failure::Usage(format!(
                "--zone: expected an IANA time zone such as America/Chicago, found {found}"
            ))
        })?);
    }
    let within = |name: &str, value: Option<f64>, most: f64| match value {
        Some(value) if value.is_nan() || value.abs() > most => Err(Failure::Usage(format!(
            "{name}: expected degrees from -{most} to {most}, found {value}"
        ))),
        value => Ok(value),
    };
    let latitude = within("--latitude", place.latitude, 90.0)?;
    let longitude = within("--longitude", place.longitude, 180.0)?;
    site.latitude = latitude.or(site.latitude);
    site.longitude = longitude.or(site.longitude);
    Ok(site)
}

/// The site, once its zone is known.
pub fn with_zone(site: Site) -> Result<Site, Failure> {
    if site.zone.is_some() {
        Ok(site)
    } else {
        Err(DecideError::NoZone.into())
    }
}
