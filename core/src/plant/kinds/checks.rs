//! Checks of the plants table.

use super::*;
use crate::quantity::Unit;
use crate::site::Site;

fn site(garden: &str) -> Site {
    let bytes = garden.as_bytes();
    Site::read(Source {
        name: "site.toml",
        bytes,
    })
    .unwrap()
}

/// Name of row and size that hold for the first entry of a garden.
fn grown(garden: &str) -> (String, String, bool) {
    let (table, site) = (PlantTable::built_in(), site(garden));
    let grown = table.find(&site.garden[0]).unwrap();
    (
        grown.row.name.clone(),
        grown.size.name.clone(),
        grown.is_size_assumed,
    )
}

fn refused(table: &str) -> String {
    let bytes = table.as_bytes();
    PlantTable::read(Source {
        name: "my.toml",
        bytes,
    })
    .unwrap_err()
    .to_string()
}

const ROW: &str = "[[plant]]\nname = \"medlar\"\ngroup = \"tree\"\nprune = \"late winter\"\nwinter-cut = true\n\
    when = \"late winter\"\nhow = \"lightly\"\noil = \"no\"\nsource = \"Common practice\"\n";
const SIZE: &str = "[[plant.size]]\nname = \"tree\"\nusual = true\nminutes = [5, 10, 20]\n\
    crown = [\"8 ft\", \"6 ft\"]\nbasis = \"Common practice\"\n";

/// Handbook, trade, §4 (season, oil) and §6 (minutes): copied by hand, a row a line, by the handbook's own names.
const HANDBOOK: [(&str, bool, Oil, &[[f64; 3]]); 20] = [
    (
        "hybrid tea, grandiflora",
        true,
        Oil::Yes,
        &[[5.0, 10.0, 20.0]],
    ),
    (
        "floribunda, polyantha",
        true,
        Oil::Yes,
        &[[5.0, 10.0, 20.0]],
    ),
    (
        "modern shrub, landscape",
        true,
        Oil::Yes,
        &[[5.0, 10.0, 20.0]],
    ),
    (
        "climber, repeat-blooming",
        true,
        Oil::Yes,
        &[[20.0, 40.0, 75.0]],
    ),
    (
        "rambler, once-blooming climber",
        false,
        Oil::Yes,
        &[[20.0, 40.0, 75.0]],
    ),
    (
        "old garden rose, once-blooming",
        false,
        Oil::Yes,
        &[[5.0, 10.0, 20.0]],
    ),
    ("miniature", true, Oil::Yes, &[[2.0, 4.0, 8.0]]),
    (
        "rose in its first year, or under 12 in tall",
        true,
        Oil::Light,
        &[[1.0, 2.0, 4.0]],
    ),
    (
        "apple, pear",
        true,
        Oil::ToHalfInchGreen,
        &[[8.0, 15.0, 30.0], [20.0, 35.0, 60.0], [25.0, 40.0, 90.0]],
    ),
    (
        "peach, nectarine",
        true,
        Oil::DormantOnly,
        &[[15.0, 25.0, 45.0]],
    ),
    ("plum", true, Oil::DormantOnly, &[[8.0, 20.0, 40.0]]),
    (
        "sweet cherry (apricot)",
        false,
        Oil::DormantOnly,
        &[[10.0, 20.0, 40.0]],
    ),
    ("sour cherry", true, Oil::DormantOnly, &[[10.0, 20.0, 40.0]]),
    ("grape", true, Oil::WhereScale, &[[5.0, 8.0, 15.0]]),
    ("fig", true, Oil::No, &[[10.0, 15.0, 30.0]]),
    ("blueberry", true, Oil::WhereScale, &[[3.5, 6.0, 10.0]]),
    ("hydrangea paniculata", true, Oil::No, &[[5.0, 10.0, 20.0]]),
    ("hydrangea arborescens", true, Oil::No, &[[5.0, 10.0, 20.0]]),
    (
        "hydrangea macrophylla, quercifolia",
        false,
        Oil::No,
        &[[5.0, 10.0, 20.0]],
    ),
    ("lilac, quince", false, Oil::WhereScale, &[]),
];

/// The handbook's tables of plants and of minutes; spring shrubs have no minutes there but 0 in winter.
#[test]
fn the_built_in_table_agrees_with_the_handbook() {
    let table = PlantTable::read(Source {
        name: "plants.toml",
        bytes: PLANTS.as_bytes(),
    })
    .unwrap();
    assert_eq!(
        table.plants.len(),
        HANDBOOK.len() + 1,
        "and the other spring shrubs"
    );
    for (name, is_cut, oil, minutes) in HANDBOOK {
        let plant = table.named(name).expect(name);
        let found: Vec<[f64; 3]> = plant.sizes.iter().filter_map(|size| size.minutes).collect();
        assert_eq!(
            (plant.is_cut_in_winter, plant.oil, found.as_slice()),
            (is_cut, oil, minutes),
            "{name}"
        );
    }
    for name in [
        "forsythia",
        "azalea",
        "weigela",
        "mock orange",
        "spring spirea",
    ] {
        let plant = table.named(name).expect(name);
        assert_eq!(
            (plant.is_cut_in_winter, plant.prune, plant.oil),
            (false, Prune::AfterBloom, Oil::No),
            "{name}"
        );
    }
    let neglected = table.neglected(Group::Tree).map(|row| row.minutes);
    assert_eq!(neglected, Some([90.0, 150.0, 240.0]));
    assert_eq!(table.neglected(Group::Rose), None);
}

/// Handbook, trade, §4: what is never cut, and how much is left.
#[test]
fn what_is_never_cut_is_in_the_table() {
    let table = PlantTable::built_in();
    for (name, words) in [
        ("climber", "long main canes"),
        ("rambler", "anything live in winter"),
        ("old rose", "live wood in winter"),
        ("first-year rose", "everything live"),
        ("apple", "spurs"),
        ("bigleaf hydrangea", "live stems in winter"),
        ("forsythia", "anything in winter"),
    ] {
        let never = table.named(name).and_then(|plant| plant.never.as_deref());
        assert!(
            never.is_some_and(|never| never.contains(words)),
            "{name}: {never:?}"
        );
    }
    let left = |value| Quantity {
        value,
        unit: Unit::InchOfLength,
    };
    assert_eq!(
        table.named("hybrid tea").unwrap().left,
        Some([left(18.0), left(24.0)])
    );
}

/// An entry of a garden, the row and size that hold for it, and whether the size is assumed.
const ROWS_AND_SIZES: [(&str, &str, &str, bool); 11] = [
    (
        "kind = \"apple\"\nheight = \"8 ft\"",
        "apple, pear",
        "dwarf",
        false,
    ),
    (
        "kind = \"apple\"\nheight = \"8.1 ft\"",
        "apple, pear",
        "semi-dwarf",
        false,
    ),
    (
        "kind = \"Pear\"\nheight = \"4.5 m\"",
        "apple, pear",
        "semi-dwarf",
        false,
    ),
    (
        "kind = \"apple\"\nheight = \"4.6 m\"",
        "apple, pear",
        "full-size",
        false,
    ),
    ("kind = \"APPLE, PEAR\"", "apple, pear", "semi-dwarf", true),
    ("kind = \"hybrid tea\"", "hybrid tea", "bush", false),
    (
        "kind = \"hybrid tea\"\nheight = \"12 in\"",
        "hybrid tea",
        "bush",
        false,
    ),
    (
        "kind = \"hybrid tea\"\nheight = \"11 in\"",
        YOUNG,
        "young",
        false,
    ),
    (
        "kind = \"climber\"\nfirst-year = true",
        YOUNG,
        "young",
        false,
    ),
    (
        "kind = \"miniature\"\nheight = \"9 in\"",
        "miniature",
        "miniature",
        false,
    ),
    (
        "kind = \"miniature\"\nfirst-year = true",
        YOUNG,
        "young",
        false,
    ),
];
const YOUNG: &str = "rose in its first year";

/// Handbook, trade, §6: dwarf to 8 ft, semi-dwarf to 15 ft; §4: young in the first year or under 12 in (a miniature by
/// its age alone).
#[test]
fn size_and_age_choose_the_row() {
    for (entry, row, size, is_assumed) in ROWS_AND_SIZES {
        let found = grown(&format!("[[garden]]\n{entry}\n"));
        assert_eq!(
            found,
            (row.to_owned(), size.to_owned(), is_assumed),
            "{entry}"
        );
    }
}

/// The project's contract on errors; the nearest counted by hand: one letter, two, and a part of the name.
#[test]
fn an_unknown_kind_is_refused_with_the_nearest() {
    let table = PlantTable::built_in();
    for (kind, nearest) in [
        ("hybrd tea", "hybrid tea"),
        ("florabundi", "floribunda"),
        ("cherries, sour cherry", "sour cherry"),
    ] {
        let site = site(&format!(
            "zone = \"UTC\"\n[[garden]]\ncount = 2\nkind = \"{kind}\"\n"
        ));
        let message = table.find(&site.garden[0]).unwrap_err().to_string();
        let begins = "site.toml:4:8: expected a kind of the plants table, nearest \"";
        assert!(
            message.starts_with(begins) && message.ends_with(&format!(", found \"{kind}\"")),
            "{message}"
        );
        assert!(message.contains(&format!("\"{nearest}\"")), "{message}");
    }
    let site = site("[[garden]]\nkind = \"Japanese maple\"\n");
    let message = table.find(&site.garden[0]).unwrap_err().to_string();
    let expected = "site.toml:2:8: expected a kind that is pruned or sprayed; a plant that oil may harm belongs under \
        near in [spray], found \"Japanese maple\"";
    assert_eq!(message, expected);
}

/// What is changed in [`ROW`] and [`SIZE`], into what, and what is then said.
const FAULTS: [(&str, &str, &str); 8] = [
    (
        "prune = \"late winter\"",
        "prune = \"spring\"",
        "4:9: expected late winter, after bloom, summer or dead wood only, found \"spring\"",
    ),
    (
        "oil = \"no\"",
        "oil = \"maybe\"",
        "8:7: expected yes, dormant only, to half-inch green, light, where scale or no, found \"maybe\"",
    ),
    (
        "[5, 10, 20]",
        "[5, 4, 20]",
        "13:11: expected three numbers of minutes above 0 and up to 1440, from low to high, found \"[5, 4, 20]\"",
    ),
    (
        "\"6 ft\"",
        "\"0 ft\"",
        "14:18: expected a size above 0 and up to 30 m, found \"0 ft\"",
    ),
    (
        "source = \"Common practice\"",
        "",
        "2:8: expected a source beside the name, found none",
    ),
    (
        "minutes = [5, 10, 20]",
        "",
        "11:8: expected minutes for a plant that is cut in winter, found none",
    ),
    (
        "usual = true",
        "",
        "2:8: expected at least one [[plant.size]], and usual = true in one of them, found none",
    ),
    (
        "how = ",
        "howl = ",
        "7:1: expected a plants table file in TOML, found an error: unknown field `howl`",
    ),
];

/// Places counted by hand in [`ROW`] and [`SIZE`]; the project's contract on errors.
#[test]
fn what_is_wrong_in_a_table_is_said_with_its_place() {
    let row = format!("{ROW}{SIZE}");
    for (from, to, message) in FAULTS {
        let found = refused(&row.replace(from, to));
        assert!(
            found.starts_with(&format!("my.toml:{message}")),
            "{found}\n{message}"
        );
    }
    let again = format!("{row}{}", row.replace("medlar", "Medlar"));
    assert_eq!(
        refused(&again),
        "my.toml:17:8: expected each name of a plant once, found \"Medlar\" again"
    );
    let twice = "my.toml:17:8: expected sizes from low to high by up-to, the last perhaps without, found \"tree\"";
    assert_eq!(refused(&format!("{row}{SIZE}")), twice);
}

/// The project's contract: a user's own table adds rows or puts its own in the place of these.
#[test]
fn a_table_is_extended() {
    let own = format!("{ROW}{SIZE}")
        .replace("\"medlar\"", "\"Fig\"\nalso = [\"pear\"]")
        .replace("oil = \"no\"", "oil = \"yes\"");
    let own = PlantTable::read(Source {
        name: "my.toml",
        bytes: own.as_bytes(),
    })
    .unwrap();
    let before = PlantTable::built_in();
    let table = before.clone().extended_with(own);
    assert_eq!(table.plants.len(), before.plants.len());
    assert_eq!(
        table
            .named("fig")
            .map(|fig| (fig.oil, fig.place.to_string())),
        Some((Oil::Yes, "my.toml:2:8".to_owned()))
    );
    assert_eq!(
        table.named("pear").map(|plant| plant.name.as_str()),
        Some("Fig")
    );
    assert_eq!(
        table.named("apple").map(|plant| plant.name.as_str()),
        Some("apple, pear")
    );
}

/// Handbook, trade, §1.2: the list, and blue spruce, which loses its bloom.
#[test]
fn sensitive_plants_are_known_by_species() {
    let table = PlantTable::built_in();
    for name in [
        "Japanese maple",
        "beech",
        "hickory",
        "black walnut",
        "redbud",
        "smoke tree",
        "arborvitae",
        "junipers",
        "cedars",
        "Douglas-fir",
        "spruces",
        "Norway maple",
        "butternut",
        "azalea",
        "cryptomeria",
    ] {
        assert!(
            table
                .sensitive(name)
                .is_some_and(|plant| plant.harm.contains("burnt")),
            "{name}"
        );
    }
    assert!(
        table
            .sensitive("Blue Spruce")
            .is_some_and(|plant| plant.harm.contains("bloom"))
    );
    assert_eq!(table.sensitive("apple"), None);
}

/// Ours: what a table may hold is bounded, names of all its plants together too, so that no file takes long to read.
#[test]
fn a_table_is_bounded() {
    let row = |count: usize| {
        let names: Vec<String> = (1..count).map(|name| format!("\"m{name}\"")).collect();
        let also = format!("\"medlar\"\nalso = [{}]\n", names.join(", "));
        ROW.replacen("\"medlar\"\n", &also, 1) + SIZE
    };
    let table = row(MAX_NAMES);
    let read = PlantTable::read(Source {
        name: "my.toml",
        bytes: table.as_bytes(),
    });
    let last = format!("M{}", MAX_NAMES - 1);
    assert_eq!(read.unwrap().named(&last).unwrap().name, "medlar");
    assert_eq!(
        refused(&row(MAX_NAMES + 1)),
        "my.toml:1:1: expected at most 5000 names of plants, found more"
    );
    assert_eq!(
        refused(&(ROW.to_owned() + &SIZE.repeat(MAX_PLANTS + 1))),
        "my.toml:2:8: expected at most 1000 sizes of a plant, found more"
    );
}
