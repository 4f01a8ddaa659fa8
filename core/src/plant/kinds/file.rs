//! A plants table's file: TOML to rows, with line and column of whatever is wrong.

use core::ops::Range;
use std::collections::BTreeSet;

use serde::Deserialize;
use toml::Spanned;

use super::{
    Group, MAX_NAMES, MAX_PLANTS, Neglect, Oil, Plant, PlantTable, Prune, Sensitive, Size, Spray,
    Turn, Young, is_less,
};
use crate::error::{Excerpt, FileError, FileProblem};
use crate::quantity::{Kind, Quantity};
use crate::read::Source;
use crate::site::TomlFile;

/// Most minutes of one plant believed: 24 h. Ours.
const MAX_MINUTES: f64 = 1440.0;

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct TableFile {
    #[serde(default)]
    plant: Vec<PlantFile>,
    neglected: Option<NeglectFile>,
    #[serde(default)]
    sensitive: Vec<SensitiveFile>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct PlantFile {
    name: Spanned<String>,
    #[serde(default)]
    also: Vec<Spanned<String>>,
    group: Spanned<String>,
    prune: Option<Spanned<String>>,
    winter_cut: Option<bool>,
    when: Option<Spanned<String>>,
    left: Option<[Spanned<String>; 2]>,
    removed: Option<[Spanned<String>; 2]>,
    how: Option<Spanned<String>>,
    never: Option<Spanned<String>>,
    oil: Option<Spanned<String>>,
    oil_why: Option<Spanned<String>>,
    turn: Option<Spanned<String>>,
    #[serde(default)]
    tall: bool,
    #[serde(default)]
    tied: bool,
    young: Option<Spanned<String>>,
    young_under: Option<Spanned<String>>,
    source: Option<Spanned<String>>,
    #[serde(default)]
    size: Vec<SizeFile>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct SizeFile {
    name: Spanned<String>,
    up_to: Option<Spanned<String>>,
    #[serde(default)]
    usual: bool,
    minutes: Option<Spanned<[f64; 3]>>,
    spray: Option<[Spanned<String>; 3]>,
    crown: Option<[Spanned<String>; 2]>,
    basis: Spanned<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct NeglectFile {
    group: Spanned<String>,
    minutes: Spanned<[f64; 3]>,
    basis: Spanned<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct SensitiveFile {
    name: Spanned<String>,
    #[serde(default)]
    also: Vec<Spanned<String>>,
    harm: Spanned<String>,
    source: Spanned<String>,
}

const NAME: &str = "a name of 1 to 80 characters";
const WORDS: &str = "a sentence of 1 to 500 characters";
const CITATION: &str = "a source of 1 to 500 characters, or \"Common practice\"";

/// Reads a plants table.
pub(super) fn read(source: Source<'_>) -> Result<PlantTable, FileError> {
    let file = TomlFile::new(source.name, source.bytes, "a plants table")?;
    let parsed: TableFile = file.parse()?;
    let reader = Reader { file: &file };
    let plants = parsed.plant.len().max(parsed.sensitive.len());
    reader.at_most(MAX_PLANTS, "plants", plants, &(0..0))?;
    let names = parsed.plant.iter().map(|plant| 1 + plant.also.len());
    let sensitive = parsed.sensitive.iter().map(|plant| 1 + plant.also.len());
    let count = names.chain(sensitive).sum();
    reader.at_most(MAX_NAMES, "names of plants", count, &(0..0))?;
    let mut table = PlantTable::default();
    let mut names = BTreeSet::new();
    for plant in parsed.plant {
        reader.once(&mut names, &plant.name, &plant.also)?;
        table.plants.push(reader.plant(plant)?);
    }
    if let Some(row) = parsed.neglected {
        table.neglected.push(Neglect {
            group: reader.group(&row.group)?,
            minutes: reader.minutes(&row.minutes)?,
            basis: file.sentence(&row.basis, CITATION)?,
        });
    }
    for plant in parsed.sensitive {
        let also = plant.also.into_iter().map(|name| file.text(name, NAME));
        table.sensitive.push(Sensitive {
            name: file.text(plant.name, NAME)?,
            also: also.collect::<Result<_, _>>()?,
            harm: file.sentence(&plant.harm, WORDS)?,
            source: file.sentence(&plant.source, CITATION)?,
        });
    }
    Ok(table)
}

#[derive(Clone, Copy)]
struct Reader<'a> {
    file: &'a TomlFile<'a>,
}

impl Reader<'_> {
    fn plant(self, plant: PlantFile) -> Result<Plant, FileError> {
        let (file, at) = (self.file, plant.name.span());
        let needed = |text: Option<Spanned<String>>, expected| {
            text.ok_or_else(|| self.absent(&at, expected))
        };
        let words = |text: Option<Spanned<String>>| {
            text.map(|text| file.sentence(&text, WORDS)).transpose()
        };
        let also = plant.also.into_iter().map(|name| file.text(name, NAME));
        let group = self.group(&plant.group)?;
        let prune = self.prune(&needed(plant.prune, "prune beside the name")?)?;
        let is_cut = plant
            .winter_cut
            .ok_or_else(|| self.absent(&at, "winter-cut = true or false beside the name"))?;
        Ok(Plant {
            place: file.place(at.start),
            also: also.collect::<Result<_, _>>()?,
            group,
            prune,
            is_cut_in_winter: is_cut,
            when: file.sentence(&needed(plant.when, "when beside the name")?, WORDS)?,
            left: plant
                .left
                .map(|left| self.range(&left, Kind::Length))
                .transpose()?,
            removed: plant
                .removed
                .map(|removed| self.range(&removed, Kind::Fraction))
                .transpose()?,
            how: file.sentence(&needed(plant.how, "how beside the name")?, WORDS)?,
            never: words(plant.never)?,
            oil: self.oil(&needed(plant.oil, "oil beside the name")?)?,
            oil_why: words(plant.oil_why)?,
            turn: self.turn(plant.turn.as_ref())?,
            is_tall: plant.tall,
            is_tied: plant.tied,
            young: self.young(plant.young, plant.young_under.as_ref())?,
            source: file.sentence(&needed(plant.source, "a source beside the name")?, CITATION)?,
            sizes: self.sizes(plant.size, &at, is_cut)?,
            name: file.text(plant.name, NAME)?,
        })
    }

    fn at_most(
        self,
        limit: usize,
        of: &'static str,
        found: usize,
        at: &Range<usize>,
    ) -> Result<(), FileError> {
        if found <= limit {
            return Ok(());
        }
        let limit = limit as u64;
        Err(self.file.fault(at, FileProblem::TooMuch { limit, of }))
    }

    /// Each name or other name stands for one plant, whatever its capitals.
    fn once(
        self,
        names: &mut BTreeSet<String>,
        name: &Spanned<String>,
        also: &[Spanned<String>],
    ) -> Result<(), FileError> {
        for name in core::iter::once(name).chain(also) {
            if !names.insert(name.get_ref().trim().to_lowercase()) {
                let found = Excerpt::of(name.get_ref().as_bytes());
                let problem = FileProblem::Twice {
                    of: "name of a plant",
                    found,
                };
                return Err(self.file.fault(&name.span(), problem));
            }
        }
        Ok(())
    }

    fn young(
        self,
        row: Option<Spanned<String>>,
        under: Option<&Spanned<String>>,
    ) -> Result<Option<Young>, FileError> {
        match (row, under) {
            (Some(row), under) => Ok(Some(Young {
                row: self.file.text(row, NAME)?,
                under: under
                    .map(|under| self.file.quantity(under, Kind::Length))
                    .transpose()?,
            })),
            (None, Some(under)) => Err(self.absent(&under.span(), "young beside young-under")),
            (None, None) => Ok(None),
        }
    }

    fn sizes(
        self,
        sizes: Vec<SizeFile>,
        at: &Range<usize>,
        is_cut: bool,
    ) -> Result<Vec<Size>, FileError> {
        self.at_most(MAX_PLANTS, "sizes of a plant", sizes.len(), at)?;
        let mut read: Vec<Size> = Vec::with_capacity(sizes.len());
        for size in sizes {
            let span = size.name.span();
            let size = self.size(size)?;
            if is_cut && size.minutes.is_none() {
                return Err(self.absent(&span, "minutes for a plant that is cut in winter"));
            }
            let is_after = |earlier: &Size| match (earlier.up_to, size.up_to) {
                (Some(earlier), Some(own)) => is_less(earlier, own),
                (earlier, _) => earlier.is_some(),
            };
            if !read.last().is_none_or(is_after) {
                let expected = "sizes from low to high by up-to, the last perhaps without";
                return Err(self.file.value(expected, &size.name, span));
            }
            if size.is_usual && read.iter().any(|earlier| earlier.is_usual) {
                let found = Excerpt::of(size.name.as_bytes());
                let problem = FileProblem::Twice {
                    of: "usual size",
                    found,
                };
                return Err(self.file.fault(&span, problem));
            }
            read.push(size);
        }
        if read.iter().any(|size| size.is_usual) {
            return Ok(read);
        }
        Err(self.absent(
            at,
            "at least one [[plant.size]], and usual = true in one of them",
        ))
    }

    fn size(self, size: SizeFile) -> Result<Size, FileError> {
        let (file, at) = (self.file, size.name.span());
        let spray = match (size.spray, size.crown) {
            (Some([low, typical, high]), None) => {
                let [low, middle] = self.range(&[low, typical.clone()], Kind::Volume)?;
                let [_, high] = self.range(&[typical, high], Kind::Volume)?;
                Spray::Volumes([low, middle, high])
            }
            (None, Some([height, width])) => Spray::Crown {
                height: self.above_zero(&height)?,
                width: self.above_zero(&width)?,
            },
            _ => return Err(self.absent(&at, "either spray or crown beside a size's name")),
        };
        Ok(Size {
            up_to: size
                .up_to
                .map(|up_to| file.quantity(&up_to, Kind::Length))
                .transpose()?,
            is_usual: size.usual,
            minutes: size
                .minutes
                .map(|minutes| self.minutes(&minutes))
                .transpose()?,
            spray,
            basis: file.sentence(&size.basis, CITATION)?,
            name: file.text(size.name, NAME)?,
        })
    }

    fn above_zero(self, text: &Spanned<String>) -> Result<Quantity, FileError> {
        let quantity = self.file.quantity(text, Kind::Length)?;
        if quantity.si() > 0.0 && quantity.si() <= crate::site::MAX_SIZE_M {
            return Ok(quantity);
        }
        Err(self
            .file
            .value("a size above 0 and up to 30 m", text.get_ref(), text.span()))
    }

    /// Least and most, neither below 0.
    fn range(
        self,
        [low, high]: &[Spanned<String>; 2],
        kind: Kind,
    ) -> Result<[Quantity; 2], FileError> {
        let range = [
            self.file.quantity(low, kind)?,
            self.file.quantity(high, kind)?,
        ];
        if range[0].si() < 0.0 {
            return Err(self.file.value("no less than 0", low.get_ref(), low.span()));
        }
        if is_less(range[1], range[0]) {
            return Err(self.file.value(
                "no less than the value before it",
                high.get_ref(),
                high.span(),
            ));
        }
        Ok(range)
    }

    fn minutes(self, minutes: &Spanned<[f64; 3]>) -> Result<[f64; 3], FileError> {
        let [low, middle, high] = *minutes.get_ref();
        if 0.0 < low && low <= middle && middle <= high && high <= MAX_MINUTES {
            return Ok([low, middle, high]);
        }
        let expected = "three numbers of minutes above 0 and up to 1440, from low to high";
        let found = format!("[{low}, {middle}, {high}]");
        Err(self.file.value(expected, &found, minutes.span()))
    }

    fn absent(self, at: &Range<usize>, expected: &'static str) -> FileError {
        self.file.fault(at, FileProblem::Absent { expected })
    }

    /// The one of `known` whose name stands there.
    fn one_of<T: Copy>(
        self,
        text: &Spanned<String>,
        known: &[T],
        (name, expected): (impl Fn(T) -> &'static str, &'static str),
    ) -> Result<T, FileError> {
        let found = known
            .iter()
            .copied()
            .find(|known| name(*known) == text.get_ref());
        found.ok_or_else(|| self.file.value(expected, text.get_ref(), text.span()))
    }

    fn group(self, text: &Spanned<String>) -> Result<Group, FileError> {
        let known = [Group::Rose, Group::Tree, Group::Vine, Group::Shrub];
        self.one_of(text, &known, (Group::name, "rose, tree, vine or shrub"))
    }

    fn prune(self, text: &Spanned<String>) -> Result<Prune, FileError> {
        let known = [
            Prune::LateWinter,
            Prune::AfterBloom,
            Prune::Summer,
            Prune::DeadWoodOnly,
        ];
        let expected = "late winter, after bloom, summer or dead wood only";
        self.one_of(text, &known, (Prune::name, expected))
    }

    fn oil(self, text: &Spanned<String>) -> Result<Oil, FileError> {
        let known = [
            Oil::Yes,
            Oil::DormantOnly,
            Oil::ToHalfInchGreen,
            Oil::Light,
            Oil::WhereScale,
            Oil::No,
        ];
        let expected = "yes, dormant only, to half-inch green, light, where scale or no";
        self.one_of(text, &known, (Oil::name, expected))
    }

    fn turn(self, text: Option<&Spanned<String>>) -> Result<Turn, FileError> {
        let name = |turn| match turn {
            Turn::First => "first",
            Turn::Middle => "middle",
            Turn::Last => "last",
        };
        let known = [Turn::First, Turn::Middle, Turn::Last];
        text.map_or(Ok(Turn::Middle), |text| {
            self.one_of(text, &known, (name, "first, middle or last"))
        })
    }
}
