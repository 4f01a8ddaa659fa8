//! Marks on paper: escaped text, lines and areas of SVG, with numbers of one decimal.
//!
//! Nobody knows here which font the reader has, so widths of text are estimated from above, by a wide
//! sans-serif, rounded up.

use core::fmt::Write as _;

use fairspell::error::escaped;
use fairspell::quantity::decimals;

use crate::unbroken::{SPACE, plain, unbroken};

/// Text, and lines that must be seen: 17.2:1 on white.
pub const BLACK: &str = "#1b1b1b";
/// Text that stands back: 7.5:1 on white.
pub const GREY: &str = "#555555";
/// Limits: 7.0:1 on white.
pub const RUST: &str = "#983c08";
/// Measures: 10.9:1 on white.
pub const BLUE: &str = "#1c3d6b";
/// The inside of what is fair.
pub const FAIR: &str = "#b9dff0";
/// The ground under the hatch of what is hindered.
pub const HINDERED: &str = "#f3e6d6";

/// `text` for XML: control characters written as escapes, what XML forbids replaced, markup escaped.
pub fn xml(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in escaped(text).chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            _ => out.push(character),
        }
    }
    out
}

/// Width of a text at a size \[px\], estimated from above.
pub fn text_width(text: &str, size: f64) -> f64 {
    let ems = |character: char| match character {
        'i' | 'j' | 'l' | '\'' => 0.29,
        ' ' | SPACE | '.' | ',' | ':' | ';' | '|' | 'I' => 0.35,
        'f' | 't' | 'r' | '!' | '(' | ')' | '-' | '/' => 0.42,
        's' | 'c' | 'z' | '–' | '°' | '·' | '"' => 0.56,
        'm' | 'M' | 'W' | '%' | '@' | '→' | '↑' | '↓' => 1.0,
        'w' => 0.82,
        'A'..='Z' => 0.74,
        ' '..='~' => 0.64,
        '\u{2e80}'.. => 1.05,
        _ => 0.85,
    };
    text.chars().map(ems).sum::<f64>() * size
}

/// A text in lines that are no wider than `room` \[px\]; a word that is wider is cut.
pub fn wrapped(text: &str, size: f64, room: f64) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in unbroken(&escaped(text)).split_inclusive(' ') {
        if !line.is_empty() && text_width(&line, size) + text_width(word.trim_end(), size) > room {
            lines.push(core::mem::take(&mut line));
        }
        for character in word.chars() {
            line.push(character);
            if character != ' ' && text_width(&line, size) > room {
                line.pop();
                lines.push(core::mem::take(&mut line));
                line.push(character);
            }
        }
    }
    lines.push(line);
    lines
        .into_iter()
        .map(|line| plain(line.trim()))
        .filter(|line| !line.is_empty())
        .collect()
}

/// A white rim, so that lines end before they meet the text.
pub const RIM: &str =
    r##"stroke="#ffffff" stroke-width="3.5" stroke-linejoin="round" paint-order="stroke""##;

/// A point of the drawing \[px\].
pub type Point = (f64, f64);

/// An upright rectangle \[px\].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Area {
    /// Left edge.
    pub x: f64,
    /// Upper edge.
    pub y: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

/// SVG in the making.
#[derive(Debug, Default)]
pub struct Ink(String);

impl Ink {
    /// All that was drawn.
    pub fn into_text(self) -> String {
        self.0
    }

    /// Markup as it is; everything in it from outside went through [`xml`].
    pub fn raw(&mut self, markup: &str) {
        self.0.push_str(markup);
        self.0.push('\n');
    }

    /// A rectangle, with what a pointer or a screen reader is told of it.
    pub fn told_area(&mut self, area: Area, look: &str, told: &str) {
        let shape = area_attributes(area);
        let _ = writeln!(
            self.0,
            "<rect {shape} {look}><title>{}</title></rect>",
            xml(told)
        );
    }

    /// A rectangle.
    pub fn area(&mut self, area: Area, look: &str) {
        let _ = writeln!(self.0, "<rect {} {look}/>", area_attributes(area));
    }

    /// A straight line.
    pub fn line(&mut self, from: Point, to: Point, look: &str) {
        let [x1, y1, x2, y2] = [from.0, from.1, to.0, to.1].map(px);
        let _ = writeln!(
            self.0,
            r#"<line x1="{x1}" y1="{y1}" x2="{x2}" y2="{y2}" {look}/>"#
        );
    }

    /// A line through points.
    pub fn path(&mut self, points: &[Point], look: &str) {
        let place = |(x, y): &Point| format!("{},{}", px(*x), px(*y));
        let points: Vec<String> = points.iter().map(place).collect();
        let _ = writeln!(
            self.0,
            r#"<polyline points="{}" fill="none" {look}/>"#,
            points.join(" ")
        );
    }

    /// A closed shape through points.
    pub fn shape(&mut self, points: &[Point], look: &str) {
        let place = |(x, y): &Point| format!("{},{}", px(*x), px(*y));
        let points: Vec<String> = points.iter().map(place).collect();
        let _ = writeln!(self.0, r#"<polygon points="{}" {look}/>"#, points.join(" "));
    }

    /// A dot.
    pub fn dot(&mut self, at: Point, radius: f64, look: &str) {
        let [x, y, r] = [at.0, at.1, radius].map(px);
        let _ = writeln!(self.0, r#"<circle cx="{x}" cy="{y}" r="{r}" {look}/>"#);
    }

    /// One line of text on its baseline.
    pub fn text(&mut self, at: Point, look: &str, text: &str) {
        let [x, y] = [at.0, at.1].map(px);
        let _ = writeln!(
            self.0,
            r#"<text x="{x}" y="{y}" {look}>{}</text>"#,
            xml(text)
        );
    }
}

fn area_attributes(area: Area) -> String {
    let [x, y, width, height] = [area.x, area.y, area.width.max(0.0), area.height.max(0.0)].map(px);
    format!(r#"x="{x}" y="{y}" width="{width}" height="{height}""#)
}

/// A length of the drawing, to a tenth.
fn px(value: f64) -> String {
    decimals(if value.is_finite() { value } else { 0.0 }, 1)
}

#[cfg(test)]
pub mod tests {
    use super::*;

    /// A name from outside that would be markup and a control character.
    pub const NASTY_NAME: &str = "<script>&\"\u{7}";

    /// XML 1.0, 2.4, and HTML, 13.1.2 and 13.2: that name stands there behind `before`, as text.
    #[track_caller]
    pub fn assert_escaped(drawn: &str, before: &str, behind: &str) {
        let name = format!("{before}&lt;script&gt;&amp;&quot;\\u{{7}}{behind}");
        assert!(drawn.contains(&name), "the name is not there");
        let is_raw = drawn.contains("<script") || drawn.contains('\u{7}');
        assert!(!is_raw, "the name is not escaped");
    }

    /// The contract, section 7: one self-contained file, no script.
    #[track_caller]
    pub fn assert_asks_for_nothing(page: &str) {
        for forbidden in [
            "<script", "<link", "<img", "@import", "src=", "href=", "http:", "https:",
        ] {
            assert!(!page.contains(forbidden), "{forbidden} in the page");
        }
    }

    /// XML 1.0, 2.2 and 2.4: no control characters, no markup, no U+FFFE.
    #[test]
    fn text_from_outside_is_escaped() {
        assert_eq!(xml("<a b=\"c\">&'"), "&lt;a b=&quot;c&quot;&gt;&amp;&#39;");
        assert_eq!(xml("\u{1b}[1m\u{0}\u{fffe}"), "\\u{1b}[1m\\u{0}\u{fffd}");
    }

    /// Arithmetic: of equal words of four letters and a blank, so many go into a line.
    #[test]
    fn long_text_is_broken_between_words_and_longer_words_within() {
        let room = text_width("dddd dddd", 10.0) + 1.0;
        assert_eq!(wrapped("dddd dddd dddd", 10.0, room), ["dddd dddd", "dddd"]);
        for line in wrapped(&"d".repeat(80), 10.0, room) {
            assert!(text_width(&line, 10.0) <= room, "{line} is too wide");
        }
        assert_eq!(
            wrapped(&"d".repeat(80), 10.0, room).concat(),
            "d".repeat(80)
        );
    }
}
