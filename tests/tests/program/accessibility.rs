//! Pages and pictures for everyone: structure that a screen reader can follow, contrast, nothing by colour alone, numbers beside
//! their units, dates and times that are read in one way.
//!
//! Source: W3C, Web Content Accessibility Guidelines (WCAG) 2.1, by the numbers of its success criteria; the contract, section 7,
//! and DEVELOPERS.md, "Pages and pictures for everyone". `tests/browser` asks a browser the same of the rendered pages.

#![expect(clippy::unwrap_used, reason = "a check stops at the first surprise")]

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

use fairspell_tests::binary::{command, run, workspace};
use fairspell_tests::html::closed;
use roxmltree::{Document, Node, ParsingOptions};

/// Questions about the invented scenario, a verdict each and a page each; `done.csv` and the archive lie beside it.
const QUESTIONS: [(&str, &[&str]); 6] = [
    (
        "no-go",
        &[
            "decide",
            "oil",
            "forecast.csv",
            "--site",
            "site.toml",
            "--observed",
            "observed.csv",
            "--record",
            "station.csv",
            "--at",
            "2027-03-08T06:00",
        ],
    ),
    (
        "go",
        &[
            "decide",
            "prune",
            "forecast.csv",
            "--site",
            "site.toml",
            "--at",
            "2027-03-08T12:00",
        ],
    ),
    (
        "cannot-tell",
        &[
            "decide",
            "oil",
            "forecast.csv",
            "--site",
            "site.toml",
            "--at",
            "2027-03-14T20:00",
            "--units",
            "si",
        ],
    ),
    (
        "freeze",
        &[
            "freeze",
            "station.csv",
            "--site",
            "site.toml",
            "--on",
            "2027-04-10",
            "--risk",
            "10%",
            "--replicates",
            "50",
        ],
    ),
    (
        "season",
        &[
            "season",
            "station.csv",
            "--site",
            "site.toml",
            "--year",
            "2027",
            "--replicates",
            "50",
        ],
    ),
    (
        "hindcast",
        &[
            "hindcast",
            "oil",
            "forecast.csv",
            "--site",
            "site.toml",
            "--season",
            "03-01..04-15",
            "--log",
            "done.csv",
        ],
    ),
];

/// The answers to all questions in a format.
fn answers(format: &str) -> Vec<(&'static str, String)> {
    let demo = workspace().join("data/demo");
    let answer = |(name, arguments): (&'static str, &[&str])| {
        let ran = run(&demo, &[arguments, &["--format", format]].concat());
        assert!(ran.code != Some(2), "{name}: {}", ran.stderr);
        (name, ran.stdout)
    };
    QUESTIONS.map(answer).to_vec()
}

/// The pages, closed for a reader of XML.
fn pages() -> &'static [(&'static str, String)] {
    static PAGES: OnceLock<Vec<(&str, String)>> = OnceLock::new();
    PAGES.get_or_init(|| {
        let pages = answers("html");
        let close = |(name, page): &(&'static str, String)| (*name, closed(page));
        pages.iter().map(close).collect()
    })
}

/// The pictures.
fn pictures() -> &'static [(&'static str, String)] {
    static PICTURES: OnceLock<Vec<(&str, String)>> = OnceLock::new();
    PICTURES.get_or_init(|| answers("svg"))
}

/// The answers for people.
fn texts() -> &'static [(&'static str, String)] {
    static TEXTS: OnceLock<Vec<(&str, String)>> = OnceLock::new();
    TEXTS.get_or_init(|| answers("text"))
}

/// Each of these documents, read.
fn each(documents: &[(&'static str, String)], check: impl Fn(&str, &Document<'_>)) {
    for (name, markup) in documents {
        let options = ParsingOptions {
            allow_dtd: true,
            ..ParsingOptions::default()
        };
        check(
            name,
            &Document::parse_with_options(markup, options).unwrap(),
        );
    }
}

/// All elements of a name.
fn named<'a, 'i>(document: &'a Document<'i>, name: &str) -> Vec<Node<'a, 'i>> {
    let all = document.descendants();
    all.filter(|node| node.tag_name().name() == name).collect()
}

/// Its elements.
fn inside<'a, 'i>(node: Node<'a, 'i>) -> Vec<Node<'a, 'i>> {
    node.children().filter(Node::is_element).collect()
}

/// All text below an element.
fn text(node: Node<'_, '_>) -> String {
    let parts = node.descendants().filter(Node::is_text);
    parts.filter_map(|part| part.text()).collect()
}

/// 3.1.1 language of page; 2.4.2 page titled; 1.3.1 info and relationships (headings: G141, H42); 1.4.4 resize text, which a page
/// may not forbid.
#[test]
fn a_page_has_a_language_a_title_and_headings_in_order() {
    each(pages(), |name, page| {
        assert_eq!(page.root_element().attribute("lang"), Some("en"), "{name}");
        let titles = named(page, "head")[0].children();
        let titles: Vec<_> = titles.filter(|node| node.has_tag_name("title")).collect();
        assert_eq!(titles.len(), 1, "{name}");
        assert!(!text(titles[0]).trim().is_empty(), "{name}");
        let rank = |node: Node<'_, '_>| {
            let name = node.tag_name().name();
            let rank = name.strip_prefix('h')?.parse::<u32>().ok()?;
            assert!(!text(node).trim().is_empty());
            Some(rank)
        };
        let ranks: Vec<u32> = page.descendants().filter_map(rank).collect();
        assert_eq!(ranks.first(), Some(&1), "{name}");
        assert_eq!(ranks.iter().filter(|rank| **rank == 1).count(), 1, "{name}");
        for pair in ranks.windows(2) {
            assert!(pair[1] <= pair[0] + 1, "{name}: {ranks:?}");
        }
        let views = named(page, "meta").into_iter();
        let mut views = views.filter(|meta| meta.attribute("name") == Some("viewport"));
        let view = views.next().unwrap().attribute("content").unwrap();
        assert_eq!(view, "width=device-width, initial-scale=1", "{name}");
    });
}

/// 1.3.1 (tables: H39, H51, H63): a caption, a head for each column and each row, and in each row as many cells as heads.
#[test]
fn every_table_has_a_caption_and_heads() {
    each(pages(), |name, page| {
        assert!(!named(page, "table").is_empty(), "{name}");
        for table in named(page, "table") {
            let parts = inside(table);
            let names: Vec<&str> = parts.iter().map(|part| part.tag_name().name()).collect();
            assert_eq!(names, ["caption", "thead", "tbody"], "{name}");
            assert!(!text(parts[0]).trim().is_empty(), "{name}");
            let heads = inside(inside(parts[1])[0]);
            for head in &heads {
                assert!(head.has_tag_name("th") && head.attribute("scope") == Some("col"));
                assert!(!text(*head).trim().is_empty(), "{name}");
            }
            for row in inside(parts[2]) {
                let cells = inside(row);
                assert_eq!(cells.len(), heads.len(), "{name}: {}", text(row));
                assert_eq!(cells[0].attribute("scope"), Some("row"), "{name}");
                assert!(cells[0].has_tag_name("th") && cells[1].has_tag_name("td"));
            }
        }
    });
}

/// 2.1.1 keyboard, 4.1.2 name, role, value: what scrolls sideways can be reached and says what it is; so does each box to tick.
#[test]
fn what_scrolls_and_what_is_ticked_has_a_name() {
    each(pages(), |name, page| {
        let wide = page.descendants();
        let wide = wide.filter(|node| node.attribute("class") == Some("wide"));
        let mut count = 0;
        for region in wide {
            assert_eq!(region.attribute("role"), Some("region"), "{name}");
            assert_eq!(region.attribute("tabindex"), Some("0"), "{name}");
            assert!(!region.attribute("aria-label").unwrap().is_empty());
            count += 1;
        }
        assert!(count >= 2, "{name}: a picture and a table at least");
        for input in named(page, "input") {
            let label = input.ancestors().find(|node| node.has_tag_name("label"));
            assert!(!text(label.unwrap()).trim().is_empty(), "{name}");
        }
    });
}

/// 1.1.1 non-text content, 3.1.1: a picture is one image with a name and a description, alone and in its page.
#[test]
fn a_picture_has_a_role_a_name_and_a_description() {
    let told = |name: &str, picture: Node<'_, '_>| {
        assert_eq!(picture.attribute("role"), Some("img"), "{name}");
        let ids = picture.attribute("aria-labelledby").unwrap();
        let kinds: Vec<&str> = ids
            .split(' ')
            .map(|id| {
                let mut all = picture.children();
                let found = all.find(|node| node.attribute("id") == Some(id)).unwrap();
                assert!(text(found).trim().len() > 10, "{name}");
                found.tag_name().name()
            })
            .collect();
        assert_eq!(kinds, ["title", "desc"], "{name}");
    };
    each(pictures(), |name, picture| {
        told(name, picture.root_element());
        let space = "http://www.w3.org/XML/1998/namespace";
        let lang = picture.root_element().attribute((space, "lang"));
        assert_eq!(lang, Some("en"), "{name}");
    });
    each(pages(), |name, page| {
        let [picture] = named(page, "svg")[..] else {
            panic!("{name}: expected one picture");
        };
        told(name, picture);
    });
}

/// A colour as three parts of light, 0 to 1.
type Colour = [f64; 3];

const WHITE: Colour = [1.0, 1.0, 1.0];

fn colour(text: &str) -> Option<Colour> {
    let digits = text.strip_prefix('#')?;
    let digits = match digits.len() {
        3 => digits.chars().flat_map(|digit| [digit, digit]).collect(),
        _ => digits.to_owned(),
    };
    let part = |at: usize| {
        let digits = digits.get(at..at + 2)?;
        Some(f64::from(u8::from_str_radix(digits, 16).ok()?) / 255.0)
    };
    Some([part(0)?, part(2)?, part(4)?])
}

/// A colour laid over a ground.
fn over(colour: Colour, opacity: f64, ground: Colour) -> Colour {
    let ([r, g, b], [below_r, below_g, below_b]) = (colour, ground);
    let mix = |part: f64, below: f64| part * opacity + below * (1.0 - opacity);
    [mix(r, below_r), mix(g, below_g), mix(b, below_b)]
}

/// WCAG 2.1, "relative luminance".
fn luminance(colour: Colour) -> f64 {
    let linear = |part: f64| {
        if part <= 0.04045 {
            part / 12.92
        } else {
            ((part + 0.055) / 1.055).powf(2.4)
        }
    };
    0.2126 * linear(colour[0]) + 0.7152 * linear(colour[1]) + 0.0722 * linear(colour[2])
}

/// WCAG 2.1, "contrast ratio".
fn contrast(one: Colour, other: Colour) -> f64 {
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

/// WCAG 2.1: black on white is 21:1; #777777 on white is a well-known 4.48:1, just too little (technique G18's own arithmetic).
#[test]
fn contrast_is_that_of_the_guidelines() {
    let black = colour("#000").unwrap();
    assert!((contrast(black, WHITE) - 21.0).abs() < 1e-9);
    let grey = contrast(colour("#777777").unwrap(), WHITE);
    assert!((grey - 4.48).abs() < 0.005, "{grey}");
}

/// An attribute of an element or of what it stands in.
fn inherited<'a>(node: Node<'a, '_>, name: &str) -> Option<&'a str> {
    node.ancestors().find_map(|node| node.attribute(name))
}

/// Lines that only repeat what numbers beside them say: the grid, and the axes of the hours' rows.
const GRID: [&str; 3] = ["#d4d4d4", "#d0d0d0", "#bbbbbb"];
/// Tints without an edge, each of which repeats what stands beside it: night (the rule of daylight names its hours), beyond a
/// limit (whose line and label stand there), a week of the record (its year and its bars).
const SHADES: [&str; 3] = ["#e6e8ef", "#d9974f", "#f1f1f1"];

/// What a picture lays down: fills of shapes and texts, and colours of lines.
#[derive(Default)]
struct Laid {
    grounds: BTreeMap<String, Colour>,
    texts: BTreeSet<String>,
    marks: BTreeSet<String>,
}

fn laid(name: &str, picture: &Document<'_>) -> Laid {
    let mut laid = Laid::default();
    for node in picture.descendants().filter(Node::is_element) {
        let (tag, fill) = (node.tag_name().name(), inherited(node, "fill"));
        let is_shape = ["rect", "polygon", "circle", "path"].contains(&tag);
        let stroke = node
            .attribute("stroke")
            .filter(|stroke| *stroke != "#ffffff");
        if let Some(stroke) = stroke.filter(|_| tag != "text") {
            laid.marks.insert(stroke.to_owned());
        }
        let Some(fill) = fill.filter(|fill| fill.starts_with('#')) else {
            continue;
        };
        if tag == "text" {
            laid.texts.insert(fill.to_owned());
        } else if is_shape && node.attribute("fill").is_some() {
            let opacity = node.attribute("fill-opacity");
            let opacity = opacity.map_or(1.0, |share| share.parse().unwrap());
            let seen = over(colour(fill).unwrap(), opacity, WHITE);
            if luminance(seen) > 0.4 {
                let has_edge = node.attribute("stroke").is_some();
                let is_in_pattern = node.ancestors().any(|node| node.has_tag_name("pattern"))
                    || node.parent().unwrap().tag_name().name() == "pattern";
                assert!(
                    has_edge || is_in_pattern || fill == "#ffffff" || SHADES.contains(&fill),
                    "{name}: {fill} has no edge"
                );
                laid.grounds.insert(fill.to_owned(), seen);
                if opacity < 1.0 {
                    let night = colour(SHADES[0]).unwrap();
                    let twice = over(colour(fill).unwrap(), opacity, night);
                    laid.grounds.insert(format!("{fill} by night"), twice);
                }
            } else {
                laid.marks.insert(fill.to_owned());
            }
        }
    }
    laid
}

/// 1.4.3 contrast (minimum): text at least 4.5:1 on every tint of its picture. 1.4.11 non-text contrast: lines, bars and signs at
/// least 3:1 on every one of them.
#[test]
fn texts_and_signs_of_pictures_stand_out_from_every_ground() {
    each(pictures(), |name, picture| {
        let laid = laid(name, picture);
        assert!(laid.texts.len() >= 2 && laid.marks.len() >= 2, "{name}");
        for (ground, seen) in &laid.grounds {
            for text in &laid.texts {
                let found = contrast(colour(text).unwrap(), *seen);
                assert!(found >= 4.5, "{name}: text {text} on {ground} {found}");
            }
            for mark in &laid.marks {
                let is_grid = GRID.contains(&mark.as_str());
                let found = contrast(colour(mark).unwrap(), *seen);
                assert!(
                    is_grid || found >= 3.0,
                    "{name}: {mark} on {ground} {found}"
                );
            }
        }
    });
}

/// 1.4.3: numbers that stand on the bars of the weeks.
#[test]
fn numbers_on_bars_can_be_read() {
    let (_, picture) = &pictures()[5];
    let document = Document::parse(picture).unwrap();
    let small = named(&document, "text").into_iter();
    let small = small.filter(|text| text.attribute("font-size") == Some("9"));
    let mut count = 0;
    for text in small {
        let bar = text.prev_sibling_element().unwrap();
        let on = colour(bar.attribute("fill").unwrap()).unwrap();
        let own = colour(inherited(text, "fill").unwrap()).unwrap();
        assert!(contrast(own, on) >= 4.5, "{}", contrast(own, on));
        count += 1;
    }
    assert!(count > 0);
}

/// 1.4.3 and 1.4.11 for the pages' own style: each colour of text on each ground, in a rule that names both and across rules.
#[test]
fn texts_of_pages_stand_out_from_every_ground() {
    each(pages(), |name, page| {
        let style = text(named(page, "style")[0]);
        let (mut inks, mut grounds) = (BTreeSet::from(["#1b1b1b".to_owned()]), BTreeSet::new());
        for rule in style.split('}') {
            let Some((_, rule)) = rule.rsplit_once('{') else {
                continue;
            };
            let (mut own_ink, mut own_grounds) = (None, Vec::new());
            for line in rule.split(';').map(str::trim) {
                let hex = |part: &str| {
                    let part: String = part.chars().take_while(char::is_ascii_hexdigit).collect();
                    format!("#{part}")
                };
                if let Some(ink) = line.strip_prefix("color: #") {
                    own_ink = Some(hex(ink));
                } else if line.starts_with("background:") {
                    own_grounds.extend(line.split('#').skip(1).map(hex));
                }
            }
            match (own_ink, own_grounds) {
                (Some(ink), on) if !on.is_empty() => {
                    for on in on {
                        let found = contrast(colour(&ink).unwrap(), colour(&on).unwrap());
                        assert!(found >= 4.5, "{name}: {ink} on {on} {found}");
                        if luminance(colour(&on).unwrap()) > 0.4 {
                            inks.insert(ink.clone());
                            grounds.insert(on);
                        }
                    }
                }
                (ink, on) => {
                    inks.extend(ink);
                    grounds.extend(on);
                }
            }
        }
        assert!(grounds.contains("#fff") && inks.contains("#555"), "{name}");
        // Dots of unknown hours are no ground (letters stand on a white plate), strokes of a tick neither.
        for ground in grounds.iter().filter(|ground| {
            let seen = colour(ground).unwrap();
            luminance(seen) > 0.4
        }) {
            for ink in &inks {
                let found = contrast(colour(ink).unwrap(), colour(ground).unwrap());
                assert!(found >= 4.5, "{name}: {ink} on {ground} {found}");
            }
        }
    });
}

/// 1.4.1 use of colour: each hour of the page has a letter and a word, each state of the picture its own row, pattern and name,
/// and the two sorts of limits differ by their dashes.
#[test]
fn nothing_is_told_by_colour_alone() {
    let words = [
        ("f", "F", "fair"),
        ("h", "h", "hindered"),
        ("u", "?", "unknown"),
        ("n", "·", "before"),
    ];
    let mut seen = BTreeSet::new();
    for (_, page) in &pages()[..3] {
        let options = ParsingOptions {
            allow_dtd: true,
            ..ParsingOptions::default()
        };
        let page = Document::parse_with_options(page, options).unwrap();
        for hour in named(&page, "abbr") {
            let class = hour.parent_element().unwrap().attribute("class").unwrap();
            let told = (class, text(hour), hour.attribute("title").unwrap());
            let known = words.iter().find(|known| known.0 == class).unwrap();
            assert_eq!((told.0, told.1.as_str(), told.2), *known);
            seen.insert(class.to_owned());
        }
    }
    assert!(seen.len() >= 3, "{seen:?}");
    let picture = Document::parse(&pictures()[0].1).unwrap();
    let looks: BTreeSet<Option<&str>> = named(&picture, "line")
        .into_iter()
        .filter(|line| line.attribute("stroke") == Some("#983c08"))
        .map(|line| line.attribute("stroke-dasharray"))
        .collect();
    assert!(looks.len() >= 2 && looks.contains(&None), "{looks:?}");
    let texts: BTreeSet<String> = named(&picture, "text").into_iter().map(text).collect();
    for word in [
        "fair",
        "hindered",
        "unknown",
        "limit that blocks",
        "limit that only cautions",
    ] {
        assert!(texts.contains(word), "{word} is not in the picture's key");
    }
}

/// Units as the answers write them behind numbers; `in` and `h` are also words, so that they are looked for in tables of units.
const UNITS: [&str; 13] = [
    "°F", "°C", "%", "mm", "mph", "m/s", "min", "hPa", "gal", "ml", "l", "US", "°C·d",
];

fn begins_with_a_unit(text: &str) -> bool {
    let word: String = text.chars().take_while(|letter| *letter != ' ').collect();
    UNITS.contains(&word.trim_end_matches([',', ';', '.', ')', ':']))
}

/// DEVELOPERS.md, "Pages and pictures for everyone": no line ends between a number and its unit.
#[test]
fn numbers_stay_with_their_units() {
    each(pages(), |name, page| {
        let parts = page.descendants().filter(|node| {
            node.is_text()
                && !node
                    .ancestors()
                    .any(|of| of.has_tag_name("style") || of.tag_name().name() == "svg")
        });
        let mut kept = 0;
        for part in parts.filter_map(|part| part.text()) {
            for (at, _) in part.match_indices(' ') {
                let (before, behind) = part.split_at(at);
                let parts = before.ends_with(|c: char| c.is_ascii_digit())
                    && begins_with_a_unit(&behind[1..]);
                assert!(!parts, "{name}: {part}");
            }
            kept += part.matches('\u{a0}').count();
        }
        assert!(kept > 5, "{name}: {kept}");
    });
    each(pictures(), |name, picture| {
        for text in named(picture, "text").into_iter().map(text) {
            assert!(!begins_with_a_unit(&text), "{name}: a line begins {text}");
            assert!(!text.contains('\u{a0}'), "{name}: {text}");
        }
    });
}

/// The contract, sections 6 and 7: months are words or dates ISO 8601, clocks have 24 hours and zones are named. No date is in
/// figures that two countries read in two ways, no time has a half of the day.
#[test]
fn dates_and_times_are_read_in_one_way() {
    let is_in_figures = |word: &str| {
        let parts: Vec<&str> = word.split(['/', '.']).collect();
        let is_figures = |part: &&str| !part.is_empty() && part.chars().all(|c| c.is_ascii_digit());
        parts.len() == 3 && parts.iter().all(is_figures)
            || word.contains('/')
                && parts.len() == 2
                && parts.iter().all(|part| part.len() == 2 && is_figures(part))
    };
    assert!(is_in_figures("03/04/2027") && is_in_figures("03/04") && is_in_figures("3.4.27"));
    for (name, text) in texts().iter().chain(pages()).chain(pictures()) {
        for word in text.split([' ', '\n', '>', '<', '"', '(', ')', ',', ';', '\u{a0}']) {
            assert!(!is_in_figures(word), "{name}: {word}");
            let lower = word.to_lowercase();
            let half = ["am", "pm", "a.m.", "p.m."];
            let is_half = half.iter().any(|half| {
                lower
                    .strip_suffix(half)
                    .is_some_and(|hour| hour.ends_with(|c: char| c.is_ascii_digit()))
            });
            assert!(
                !is_half && !["a.m.", "p.m."].contains(&lower.as_str()),
                "{name}: {word}"
            );
        }
    }
    for (name, text) in texts().iter().take(3) {
        let zone = "America/Chicago";
        let page = &pages().iter().find(|page| page.0 == *name).unwrap().1;
        assert!(page.contains(zone), "{name}: no zone in the page");
        assert!(!text.is_empty());
    }
}

/// The contract, section 7: text of at most 80 columns; the terminal may have fewer, as `COLUMNS` says (POSIX.1, 8.3). Nothing is
/// lost by it: every number of the wide text is in the narrow one. A file that is written is as wide as ever.
#[test]
fn text_fits_a_narrow_terminal() {
    let demo = workspace().join("data/demo");
    let numbers = |text: &str| -> BTreeSet<String> {
        let words =
            text.split(|letter: char| !letter.is_ascii_digit() && letter != '.' && letter != ':');
        let words = words.map(|word| word.trim_matches(['.', ':']).to_owned());
        words
            .filter(|word| word.contains(|letter: char| letter.is_ascii_digit()))
            .collect()
    };
    for ((name, arguments), (_, wide)) in QUESTIONS.iter().zip(texts()) {
        assert!(
            wide.lines().all(|line| line.chars().count() <= 80),
            "{name}"
        );
        for columns in [40, 60, 72] {
            let mut narrow = command(&demo);
            narrow.args(*arguments).env("COLUMNS", columns.to_string());
            let text = String::from_utf8(narrow.output().unwrap().stdout).unwrap();
            for line in text.lines() {
                assert!(line.chars().count() <= columns, "{name}, {columns}: {line}");
                assert!(!begins_with_a_unit(line.trim_start()), "{name}: {line}");
                assert!(!line.contains('…'), "{name}: {line}");
            }
            let lost: Vec<String> = numbers(wide).difference(&numbers(&text)).cloned().collect();
            // The ruler of the hours stands once in both, the end of a rule's letters is no number.
            assert!(lost.is_empty(), "{name}, {columns}: {lost:?}");
        }
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("answer");
        let mut written = command(&demo);
        written
            .args(*arguments)
            .arg("--output")
            .arg(&file)
            .env("COLUMNS", "40");
        assert!(written.output().unwrap().stdout.is_empty());
        assert_eq!(std::fs::read_to_string(&file).unwrap(), *wide, "{name}");
    }
}

/// The same of the demo, with the commands in it: as they are typed, on as many lines as it takes.
#[test]
fn the_demo_fits_a_narrow_terminal() {
    let folder = tempfile::tempdir().unwrap();
    for columns in [40, 60, 80] {
        let mut narrow = command(folder.path());
        narrow.arg("demo").env("COLUMNS", columns.to_string());
        let text = String::from_utf8(narrow.output().unwrap().stdout).unwrap();
        for line in text.lines() {
            assert!(line.chars().count() <= columns, "{columns}: {line}");
        }
        let typed = text.replace(" \\\n     ", "");
        for command in ["decide oil forecast.csv", "decide prune forecast.csv"] {
            let line = format!(
                "\n$ fairspell {command} --site site.toml --observed observed.csv --at 2027-03-08T06:00-06:00\n"
            );
            assert!(typed.contains(&line), "{columns}: {typed}");
        }
    }
}
