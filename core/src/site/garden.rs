//! What grows at a place, and with what it is sprayed: the garden tables of a site file.

use core::ops::Range;

use serde::Deserialize;
use toml::Spanned;

use super::TomlFile;
use crate::error::{FileError, FileProblem, Place};
use crate::quantity::{Kind, Quantity};

/// Most plants of one entry. Ours: an orchard of 100 ha.
pub const MAX_COUNT: u32 = 100_000;
/// Most entries of a garden. Ours.
pub const MAX_ENTRIES: usize = 1000;
/// Tallest and widest plant believed \[m\]. Ours: taller than anything that is pruned from the ground.
pub const MAX_SIZE_M: f64 = 30.0;

/// Smallest tank believed \[l\]. Ours.
const LEAST_TANK_L: f64 = 0.1;

/// Plants of one kind in the garden.
#[derive(Debug, Clone, PartialEq)]
pub struct Planting {
    /// Where its kind stands in the site file.
    pub place: Place,
    /// The kind, such as `hybrid tea`; checked where it is used, against the plants table.
    pub kind: String,
    /// How many.
    pub count: u32,
    /// Height of one, where it is said.
    pub height: Option<Quantity>,
    /// Width of one, where it is said.
    pub width: Option<Quantity>,
    /// Whether it was planted within a year.
    pub is_first_year: bool,
    /// Whether it has gone unpruned for years.
    pub is_neglected: bool,
    /// Whether it is sprayed; `None`: as the plants table says.
    pub oil: Option<bool>,
}

/// How the garden is sprayed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Spraying {
    /// Share of oil in the finished spray \[%\], where it is said.
    pub rate: Option<Quantity>,
    /// What the sprayer holds, where it is said.
    pub tank: Option<Quantity>,
    /// Cleared soil that is sprayed too, where it is said.
    pub soil: Option<Quantity>,
    /// Plants that stand near and might be harmed.
    pub near: Vec<String>,
}

/// The first cut at a tall bush rose: two schools, both common practice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum FirstCut {
    /// The whole bush down to about two feet, so that it can be seen and handled.
    #[default]
    Lower,
    /// Dead wood out first.
    DeadWood,
}

impl FirstCut {
    /// Its name in site files.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Lower => "lower",
            Self::DeadWood => "dead wood",
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct PlantingFile {
    kind: Option<Spanned<String>>,
    count: Option<Spanned<i64>>,
    height: Option<Spanned<String>>,
    width: Option<Spanned<String>>,
    #[serde(default)]
    first_year: bool,
    #[serde(default)]
    neglected: bool,
    oil: Option<bool>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct SprayingFile {
    rate: Option<Spanned<String>>,
    tank: Option<Spanned<String>>,
    soil: Option<Spanned<String>>,
    #[serde(default)]
    near: Vec<Spanned<String>>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct WorkFile {
    first_cut: Option<Spanned<String>>,
}

/// The entries of a garden; one without any plant is an error, no garden at all is not.
pub(super) fn garden_of(
    file: &TomlFile<'_>,
    garden: Option<Spanned<Vec<Spanned<PlantingFile>>>>,
) -> Result<Vec<Planting>, FileError> {
    let Some(garden) = garden else {
        return Ok(Vec::new());
    };
    let span = garden.span();
    let garden = garden.into_inner();
    if garden.is_empty() {
        let expected =
            "at least one plant in the garden, or no garden at all for one hybrid tea rose";
        return Err(file.fault(&span, FileProblem::Absent { expected }));
    }
    if garden.len() > MAX_ENTRIES {
        let problem = FileProblem::TooMuch {
            limit: MAX_ENTRIES as u64,
            of: "entries of the garden",
        };
        return Err(file.fault(&span, problem));
    }
    let plantings = garden
        .into_iter()
        .map(|planting| planting_of(file, &planting.span(), planting.into_inner()));
    plantings.collect()
}

fn planting_of(
    file: &TomlFile<'_>,
    span: &Range<usize>,
    planting: PlantingFile,
) -> Result<Planting, FileError> {
    let expected = "a kind in each [[garden]], such as kind = \"hybrid tea\"";
    let absent = || file.fault(span, FileProblem::Absent { expected });
    let kind = planting.kind.ok_or_else(absent)?;
    let size = |text: Option<Spanned<String>>| {
        text.map(|text| {
            above_zero(
                file,
                &text,
                Kind::Length,
                (MAX_SIZE_M, "a size above 0 and up to 30 m"),
            )
        })
        .transpose()
    };
    let count = match planting.count {
        Some(count) => file.whole(&count, 1, MAX_COUNT, "a count from 1 to 100000")?,
        None => 1,
    };
    Ok(Planting {
        place: file.place(kind.span().start),
        kind: file.text(kind, "a kind of 1 to 80 characters")?,
        count,
        height: size(planting.height)?,
        width: size(planting.width)?,
        is_first_year: planting.first_year,
        is_neglected: planting.neglected,
        oil: planting.oil,
    })
}

/// How the garden is sprayed. Most volumes and areas: ours; the range of the rate is twice that of dormant labels.
pub(super) fn spraying_of(
    file: &TomlFile<'_>,
    spraying: SprayingFile,
) -> Result<Spraying, FileError> {
    let read = |text: Option<Spanned<String>>, kind, limit| {
        text.map(|text| above_zero(file, &text, kind, limit))
            .transpose()
    };
    let rate = (
        8.0,
        "a share of oil in the finished spray above 0 and up to 8 %",
    );
    let tank = (4000.0, "a volume from 0.1 to 4000 l");
    let soil = (100_000.0, "an area above 0 and up to 100000 m²");
    let near = spraying.near.into_iter();
    let near = near.map(|name| file.text(name, "a plant's name of 1 to 80 characters"));
    Ok(Spraying {
        rate: read(spraying.rate, Kind::Fraction, rate)?,
        tank: read(spraying.tank, Kind::Volume, tank)?,
        soil: read(spraying.soil, Kind::Area, soil)?,
        near: near.collect::<Result<_, _>>()?,
    })
}

pub(super) fn first_cut_of(file: &TomlFile<'_>, work: &WorkFile) -> Result<FirstCut, FileError> {
    let Some(name) = &work.first_cut else {
        return Ok(FirstCut::default());
    };
    let known = [FirstCut::Lower, FirstCut::DeadWood];
    let found = known.into_iter().find(|cut| cut.name() == name.get_ref());
    found.ok_or_else(|| file.value("lower or dead wood", name.get_ref(), name.span()))
}

/// A quantity above 0 and up to a limit in SI, with the words that say so.
fn above_zero(
    file: &TomlFile<'_>,
    text: &Spanned<String>,
    kind: Kind,
    (most, expected): (f64, &'static str),
) -> Result<Quantity, FileError> {
    let quantity = file.quantity(text, kind)?;
    let least = if kind == Kind::Volume {
        LEAST_TANK_L
    } else {
        0.0
    };
    if quantity.si() > 0.0 && (least..=most).contains(&quantity.si()) {
        return Ok(quantity);
    }
    Err(file.value(expected, text.get_ref(), text.span()))
}

#[cfg(test)]
mod tests {
    use crate::read::Source;
    use crate::site::{FirstCut, Site};

    fn read(text: &str) -> Result<Site, String> {
        let bytes = text.as_bytes();
        Site::read(Source {
            name: "site.toml",
            bytes,
        })
        .map_err(|error| error.to_string())
    }

    /// A file, and what is wrong in it.
    const FAULTS: [(&str, &str); 9] = [
        (
            "garden = []\n",
            "1:10: expected at least one plant in the garden, or no garden at all for one hybrid tea rose, found none",
        ),
        (
            "[[garden]]\n",
            "1:1: expected a kind in each [[garden]], such as kind = \"hybrid tea\", found none",
        ),
        (
            "[[garden]]\nkind = \"fig\"\ncount = -3\n",
            "3:9: expected a count from 1 to 100000, found \"-3\"",
        ),
        (
            "[[garden]]\nkind = \"fig\"\ncount = 0\n",
            "3:9: expected a count from 1 to 100000, found \"0\"",
        ),
        (
            "[[garden]]\nkind = \"fig\"\nheight = \"-3 ft\"\n",
            "3:10: expected a size above 0 and up to 30 m, found \"-3 ft\"",
        ),
        (
            "[spray]\nrate = \"40 %\"\n",
            "2:8: expected a share of oil in the finished spray above 0 and up to 8 %, found \"40 %\"",
        ),
        (
            "[spray]\ntank = \"4 ft\"\n",
            "2:8: expected a volume such as \"4 gal\" (US), \"15 l\", \"2 fl oz\" (US), \"500 ml\" or \"3 imp gal\", \
             found \"4 ft\"",
        ),
        (
            "[spray]\ntank = \"0 gal\"\n",
            "2:8: expected a volume from 0.1 to 4000 l, found \"0 gal\"",
        ),
        (
            "[work]\nfirst-cut = \"oil\"\n",
            "2:13: expected lower or dead wood, found \"oil\"",
        ),
    ];

    /// Places counted by hand in the lines above; the project's contract on errors.
    #[test]
    fn what_is_wrong_in_a_garden_is_said_with_its_place() {
        for (text, message) in FAULTS {
            assert_eq!(
                read(text).unwrap_err(),
                format!("site.toml:{message}"),
                "{text}"
            );
        }
    }

    /// The file's own words, and what is left out.
    #[test]
    fn a_garden_is_read_with_its_places() {
        let site = read(
            "[[garden]]\nkind = \"fig\"\nneglected = true\n[spray]\ntank = \"2 gal\"\n\
             [work]\nfirst-cut = \"dead wood\"\n",
        )
        .unwrap();
        assert_eq!(site.garden.len(), 1);
        assert_eq!(site.garden[0].place.to_string(), "site.toml:2:8");
        assert!(site.garden[0].is_neglected && !site.garden[0].is_first_year);
        assert_eq!((site.garden[0].count, site.garden[0].oil), (1, None));
        assert_eq!(site.first_cut, FirstCut::DeadWood);
        assert_eq!(
            site.spraying.tank.map(|tank| tank.to_string()),
            Some("2 US gal".to_owned())
        );
        assert!(read("").unwrap().garden.is_empty());
    }
}
