//! A page of HTML in the making: head, sections, lists, tables that a screen reader can follow, pictures.
//!
//! One heading of the first rank a page, and one rank below for each section; every table has a caption and heads with their
//! scope; what is wider than the page scrolls in a region that has a name and takes the keyboard. No number parts from its unit
//! at the end of a line. Texts are escaped here, but for [`Page::put`].

use core::fmt::Write as _;

use crate::picture::ink::xml;
use crate::text::upper_first;
use crate::unbroken::unbroken;

/// A page in the making.
pub struct Page(String);

impl Page {
    /// Head and begin of a page with this title and style.
    pub fn new(title: &str, style: &str) -> Self {
        let mut page = Self(String::new());
        page.put("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">");
        page.put("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">");
        page.put("<meta name=\"color-scheme\" content=\"light\">");
        let title = xml(title);
        page.put(&format!(
            "<title>{title}</title>\n<style>\n{style}</style>\n</head>\n<body>\n<main>"
        ));
        page
    }

    /// The whole page.
    pub fn end(mut self) -> String {
        self.put("</main>\n</body>\n</html>");
        together(&self.0)
    }

    /// A line of markup; what came from outside went through [`xml`].
    pub fn put(&mut self, markup: &str) {
        self.0.push_str(markup);
        self.0.push('\n');
    }

    /// A section with a list; nothing where there is nothing to say.
    pub fn list(&mut self, heading: &str, texts: &[String]) {
        if texts.is_empty() {
            return;
        }
        let _ = writeln!(self.0, "<section>\n<h2>{}</h2>\n<ul>", xml(heading));
        for text in texts {
            let _ = writeln!(self.0, "<li>{}</li>", xml(&upper_first(text)));
        }
        self.put("</ul>\n</section>");
    }

    /// The beginning of a table that scrolls sideways where it is too wide.
    pub fn table(&mut self, class: &str, caption: &str, heads: &[&str]) {
        self.begin_wide(caption);
        let caption = xml(caption);
        self.put(&format!(
            "<table class=\"{class}\">\n<caption>{caption}</caption>"
        ));
        let cell = |head: &&str| format!("<th scope=\"col\">{}</th>", xml(head));
        let heads: Vec<String> = heads.iter().map(cell).collect();
        let heads = heads.concat();
        self.put(&format!("<thead><tr>{heads}</tr></thead>\n<tbody>"));
    }

    /// A row: its head and its cells.
    pub fn row(&mut self, head: &str, cells: &[impl AsRef<str>]) {
        self.row_with("", head, cells);
    }

    /// A row that stands back: what does not count.
    pub fn row_out(&mut self, head: &str, cells: &[impl AsRef<str>]) {
        self.row_with(" class=\"out\"", head, cells);
    }

    fn row_with(&mut self, class: &str, head: &str, cells: &[impl AsRef<str>]) {
        let cell = |cell: &_| format!("<td>{}</td>", xml(AsRef::as_ref(cell)));
        let cells: Vec<String> = cells.iter().map(cell).collect();
        let (head, cells) = (xml(head), cells.concat());
        self.put(&format!(
            "<tr{class}><th scope=\"row\">{head}</th>{cells}</tr>"
        ));
    }

    /// The end of a table.
    pub fn end_table(&mut self) {
        self.put("</tbody>\n</table>\n</div>");
    }

    /// A picture that scrolls sideways where it is too wide, which is said.
    pub fn picture(&mut self, name: &str, svg: &str) {
        self.put("<figure>");
        self.begin_wide(name);
        self.put(svg);
        self.put("</div>\n<figcaption class=\"narrow\">The picture is wide: push it sideways.</figcaption>\n</figure>");
    }

    fn begin_wide(&mut self, name: &str) {
        let name = xml(name);
        self.put(&format!(
            "<div class=\"wide\" role=\"region\" aria-label=\"{name}\" tabindex=\"0\">"
        ));
    }
}

/// The text between the tags with its numbers beside their units; styles and pictures, which break no lines, as they are.
fn together(markup: &str) -> String {
    let mut out = String::with_capacity(markup.len());
    let mut rest = markup;
    while let Some(at) = rest.find('<') {
        let (text, from_tag) = rest.split_at(at);
        out.push_str(&unbroken(text));
        let end = ["style", "svg"].into_iter().find_map(|name| {
            let is_it = from_tag
                .get(1..)
                .is_some_and(|behind| behind.starts_with(name));
            is_it
                .then(|| from_tag.find(&format!("</{name}>")))
                .flatten()
        });
        let end = end.unwrap_or_else(|| from_tag.find('>').map_or(from_tag.len(), |end| end + 1));
        let (tag, behind) = from_tag.split_at(end);
        out.push_str(tag);
        rest = behind;
    }
    out.push_str(&unbroken(rest));
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The module's own words: text alone, no tag, no style, no picture.
    #[test]
    fn numbers_stay_with_their_units_between_the_tags() {
        let markup =
            "<p class=\"5 mm\">at 5 mm</p><style>a 5 mm</style><svg><text>5 mm</text></svg><b>5 mm";
        assert_eq!(
            together(markup),
            "<p class=\"5 mm\">at 5\u{a0}mm</p><style>a 5 mm</style><svg><text>5 mm</text></svg><b>5\u{a0}mm"
        );
    }
}
