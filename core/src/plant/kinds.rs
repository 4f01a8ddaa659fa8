//! The plants table: when a kind is cut, how hard, what is never cut, whether it is sprayed with oil, how
//! long one takes.
//!
//! The table is data: `data/plants.toml` is built in, and a user's own file of the same form adds rows or puts its own
//! in their place.
//!
//! Source: the project's handbook, trade, §1.2, §4, §6 and §7; each row names its own.

#[cfg(test)]
mod checks;
mod file;

use super::nearest::nearest;
use crate::error::{Excerpt, FileError, FileProblem, Place};
use crate::quantity::Quantity;
use crate::read::Source;
use crate::site::Planting;

/// The built-in table, as its file stands.
pub const PLANTS: &str = fairspell_data::PLANTS;

/// The kind that is planned for where there is no garden.
pub const ASSUMED: &str = "hybrid tea";

/// Most plants, sizes of one plant, or sensitive plants of a table. Ours.
pub const MAX_PLANTS: usize = 1000;

/// Most names of a table, other names and those of sensitive plants with them. Ours.
pub const MAX_NAMES: usize = 5000;

/// What sort of plant it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Group {
    /// A rose.
    Rose,
    /// A tree.
    Tree,
    /// A vine.
    Vine,
    /// Another shrub.
    Shrub,
}

impl Group {
    /// Its name in plants tables.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Rose => "rose",
            Self::Tree => "tree",
            Self::Vine => "vine",
            Self::Shrub => "shrub",
        }
    }
}

/// The season of its main cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Prune {
    /// Late winter, before or while the buds swell.
    LateWinter,
    /// After bloom.
    AfterBloom,
    /// Summer.
    Summer,
    /// No cut but dead and broken wood.
    DeadWoodOnly,
}

impl Prune {
    /// Its name in plants tables.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::LateWinter => "late winter",
            Self::AfterBloom => "after bloom",
            Self::Summer => "summer",
            Self::DeadWoodOnly => "dead wood only",
        }
    }
}

/// Whether a plant is sprayed with dormant oil.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Oil {
    /// A usual target of scale, mite and aphid eggs.
    Yes,
    /// While fully dormant alone.
    DormantOnly,
    /// Up to half an inch of green.
    ToHalfInchGreen,
    /// Lightly.
    Light,
    /// Not unless scale or mites were a problem.
    WhereScale,
    /// No.
    No,
}

impl Oil {
    /// Its name in plants tables.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::DormantOnly => "dormant only",
            Self::ToHalfInchGreen => "to half-inch green",
            Self::Light => "light",
            Self::WhereScale => "where scale",
            Self::No => "no",
        }
    }

    /// Whether it is sprayed where the garden says nothing else.
    #[must_use]
    pub fn is_due(self) -> bool {
        !matches!(self, Self::WhereScale | Self::No)
    }
}

/// When among the plants it is cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Turn {
    /// Old, large, hardy: first.
    First,
    /// Between.
    Middle,
    /// Tender: last.
    Last,
}

/// The finished spray that one plant holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spray {
    /// Low, typical and high volume.
    Volumes([Quantity; 3]),
    /// Height and width of a usual crown, from which the volumes follow.
    Crown {
        /// Its height.
        height: Quantity,
        /// Its width.
        width: Quantity,
    },
}

/// One size of a kind.
#[derive(Debug, Clone, PartialEq)]
pub struct Size {
    /// Its name, such as `semi-dwarf`.
    pub name: String,
    /// Greatest height of it; `None`: any.
    pub up_to: Option<Quantity>,
    /// Whether it is taken where no height is given.
    pub is_usual: bool,
    /// Minutes to prune one: 10th, 50th and 90th percentile; `None`: no figure.
    pub minutes: Option<[f64; 3]>,
    /// Spray for one.
    pub spray: Spray,
    /// Where both come from.
    pub basis: String,
}

/// The row that stands for a plant while it is young.
#[derive(Debug, Clone, PartialEq)]
pub struct Young {
    /// Its name.
    pub row: String,
    /// Height below which a plant counts as young whatever its age.
    pub under: Option<Quantity>,
}

/// A row of the table.
#[derive(Debug, Clone, PartialEq)]
pub struct Plant {
    /// Where its name stands.
    pub place: Place,
    /// Its name, unique in the table.
    pub name: String,
    /// Other names.
    pub also: Vec<String>,
    /// What sort of plant it is.
    pub group: Group,
    /// The season of its main cut.
    pub prune: Prune,
    /// Whether the late-winter cut is due; else it is skipped there.
    pub is_cut_in_winter: bool,
    /// When, in words.
    pub when: String,
    /// Height left, least and most.
    pub left: Option<[Quantity; 2]>,
    /// Share of last year's growth removed, least and most.
    pub removed: Option<[Quantity; 2]>,
    /// How hard, in words.
    pub how: String,
    /// What is never cut.
    pub never: Option<String>,
    /// Whether it is sprayed.
    pub oil: Oil,
    /// Why, or until when.
    pub oil_why: Option<String>,
    /// When among the plants it is cut.
    pub turn: Turn,
    /// Whether the first cut lowers the whole bush.
    pub is_tall: bool,
    /// Whether it is tied in after the cut.
    pub is_tied: bool,
    /// What stands for it while it is young.
    pub young: Option<Young>,
    /// Its sizes by height, at least one.
    pub sizes: Vec<Size>,
    /// Where the row comes from.
    pub source: String,
}

/// Minutes for a plant that has gone unpruned for years.
#[derive(Debug, Clone, PartialEq)]
pub struct Neglect {
    /// Which plants.
    pub group: Group,
    /// 10th, 50th and 90th percentile.
    pub minutes: [f64; 3],
    /// Where they come from.
    pub basis: String,
}

/// A plant that oil may harm.
#[derive(Debug, Clone, PartialEq)]
pub struct Sensitive {
    /// Its name.
    pub name: String,
    /// Other names.
    pub also: Vec<String>,
    /// What oil does to it.
    pub harm: String,
    /// Who says so.
    pub source: String,
}

/// The plants table.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PlantTable {
    /// Its rows, in the order of the file.
    pub plants: Vec<Plant>,
    /// Minutes for neglected plants.
    pub neglected: Vec<Neglect>,
    /// Plants that oil may harm.
    pub sensitive: Vec<Sensitive>,
}

/// A garden entry's row of the table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grown<'a> {
    /// The row that its kind names.
    pub kind: &'a Plant,
    /// The row that holds for it: its own, or that of a young one.
    pub row: &'a Plant,
    /// Its size.
    pub size: &'a Size,
    /// Whether the size was taken for want of a height.
    pub is_size_assumed: bool,
}

impl PlantTable {
    /// The table of `data/plants.toml`.
    ///
    /// ```
    /// use fairspell::plant::PlantTable;
    /// let table = PlantTable::built_in();
    /// assert_eq!(table.named("Grandiflora").map(|plant| plant.name.as_str()), Some("hybrid tea"));
    /// ```
    #[must_use]
    pub fn built_in() -> Self {
        let bytes = PLANTS.as_bytes();
        // A check holds the file to be readable.
        Self::read(Source {
            name: "plants.toml",
            bytes,
        })
        .unwrap_or_default()
    }

    /// Reads a plants table.
    ///
    /// # Errors
    /// [`FileError`] with file, line, column, what was expected and what was found.
    ///
    /// ```
    /// use fairspell::{plant::PlantTable, read::Source};
    /// let bytes = b"[[plant]]\nname = \"medlar\"\ngroup = \"bush\"\n";
    /// let error = PlantTable::read(Source { name: "my.toml", bytes }).unwrap_err();
    /// assert_eq!(error.to_string(), "my.toml:3:9: expected rose, tree, vine or shrub, found \"bush\"");
    /// ```
    pub fn read(source: Source<'_>) -> Result<Self, FileError> {
        file::read(source)
    }

    /// This table with the rows of another: a row of the same name gives way, and so does another name that the other
    /// table uses.
    #[must_use]
    pub fn extended_with(mut self, other: Self) -> Self {
        let is_taken = |name: &String| other.named(name).is_some();
        self.plants.retain(|plant| {
            !other
                .plants
                .iter()
                .any(|own| is_same(&own.name, &plant.name))
        });
        for plant in &mut self.plants {
            plant.also.retain(|name| !is_taken(name));
        }
        self.sensitive.retain(|plant| {
            !other
                .sensitive
                .iter()
                .any(|own| is_same(&own.name, &plant.name))
        });
        self.neglected
            .retain(|row| !other.neglected.iter().any(|own| own.group == row.group));
        self.plants.extend(other.plants);
        self.sensitive.extend(other.sensitive);
        self.neglected.extend(other.neglected);
        self
    }

    /// The row of this name or other name, whatever its capitals.
    #[must_use]
    pub fn named(&self, name: &str) -> Option<&Plant> {
        let by_name = self.plants.iter().find(|plant| is_same(&plant.name, name));
        let is_other = |plant: &&Plant| plant.also.iter().any(|other| is_same(other, name));
        by_name.or_else(|| self.plants.iter().find(is_other))
    }

    /// The plant that oil may harm, of this name or other name.
    #[must_use]
    pub fn sensitive(&self, name: &str) -> Option<&Sensitive> {
        let is_it = |plant: &&Sensitive| {
            is_same(&plant.name, name) || plant.also.iter().any(|other| is_same(other, name))
        };
        self.sensitive.iter().find(is_it)
    }

    /// The row and size that hold for a garden entry.
    ///
    /// # Errors
    /// [`FileError`] at the entry's kind: a name that the table does not have, with the nearest that it has; or at the
    /// table's row, if that names a row for young plants that is not there.
    ///
    /// ```
    /// use fairspell::{plant::PlantTable, read::Source, site::Site};
    /// let bytes = b"[[garden]]\nkind = \"hybrd tea\"\n";
    /// let site = Site::read(Source { name: "site.toml", bytes })?;
    /// let error = PlantTable::built_in().find(&site.garden[0]).unwrap_err().to_string();
    /// assert!(error.starts_with("site.toml:2:8: expected a kind of the plants table, nearest \"hybrid tea\""));
    /// # Ok::<(), fairspell::error::FileError>(())
    /// ```
    pub fn find(&self, planting: &Planting) -> Result<Grown<'_>, FileError> {
        let Some(kind) = self.named(&planting.kind) else {
            return Err(self.unknown(planting));
        };
        let row = match &kind.young {
            Some(young) if is_young(planting, young) => self.young_row(kind, young)?,
            _ => kind,
        };
        let absent = || FileError {
            place: kind.place.clone(),
            problem: FileProblem::Absent {
                expected: "at least one [[plant.size]]",
            },
        };
        Ok(Grown {
            kind,
            row,
            size: row.size(planting.height).ok_or_else(absent)?,
            is_size_assumed: planting.height.is_none() && row.sizes.len() > 1,
        })
    }

    /// Minutes for a neglected plant of this sort, where there is a figure.
    #[must_use]
    pub fn neglected(&self, group: Group) -> Option<&Neglect> {
        self.neglected.iter().find(|row| row.group == group)
    }

    fn young_row(&self, kind: &Plant, young: &Young) -> Result<&Plant, FileError> {
        self.named(&young.row).ok_or_else(|| FileError {
            place: kind.place.clone(),
            problem: FileProblem::Value {
                expected: "a row of the plants table as young",
                found: Excerpt::of(young.row.as_bytes()),
            },
        })
    }

    fn unknown(&self, planting: &Planting) -> FileError {
        let found = Excerpt::of(planting.kind.as_bytes());
        let problem = if self.sensitive(&planting.kind).is_some() {
            let expected = "a kind that is pruned or sprayed; a plant that oil may harm belongs under near in [spray]";
            FileProblem::Value { expected, found }
        } else {
            let names =
                |plant: &'_ Plant| core::iter::once(plant.name.clone()).chain(plant.also.clone());
            let names: Vec<String> = self.plants.iter().flat_map(names).collect();
            let nearest = nearest(&planting.kind, names.iter().map(String::as_str));
            FileProblem::Unknown {
                expected: "a kind of the plants table",
                nearest,
                found,
            }
        };
        FileError {
            place: planting.place.clone(),
            problem,
        }
    }
}

impl Plant {
    /// The size of a plant of this height: the first that reaches it, else the last; the usual one without a height.
    #[must_use]
    pub fn size(&self, height: Option<Quantity>) -> Option<&Size> {
        let Some(height) = height else {
            return self
                .sizes
                .iter()
                .find(|size| size.is_usual)
                .or(self.sizes.last());
        };
        let reaches = |size: &&Size| size.up_to.is_none_or(|up_to| !is_less(up_to, height));
        self.sizes.iter().find(reaches).or(self.sizes.last())
    }
}

/// Whether it is in its first year, or lower than a grown one ever is.
fn is_young(planting: &Planting, young: &Young) -> bool {
    let is_low = |under| planting.height.is_some_and(|height| is_less(height, under));
    planting.is_first_year || young.under.is_some_and(is_low)
}

/// Whether a lies below b: as written where the unit is one, else in SI.
fn is_less(a: Quantity, b: Quantity) -> bool {
    if a.unit == b.unit {
        a.value < b.value
    } else {
        a.si() < b.si()
    }
}

/// Whether two names are one but for capitals.
fn is_same(a: &str, b: &str) -> bool {
    let (a, b) = (a.trim(), b.trim());
    if a.is_ascii() && b.is_ascii() {
        return a.eq_ignore_ascii_case(b);
    }
    a.to_lowercase() == b.to_lowercase()
}
