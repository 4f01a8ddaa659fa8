//! HTML for a general reader of XML.

/// HTML with its void elements closed (HTML standard, 13.1.2), so that a reader of XML takes it.
#[must_use]
pub fn closed(markup: &str) -> String {
    let mut parts = markup.split('<');
    let mut closed = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        let name = part.split([' ', '>', '\n']).next().unwrap_or_default();
        let is_void = ["meta", "br", "hr", "img", "input", "link", "col", "wbr"].contains(&name);
        match part.split_once('>') {
            Some((tag, rest)) if is_void && !tag.ends_with('/') => {
                closed.extend(["<", tag, "/>", rest]);
            }
            _ => closed.extend(["<", part]),
        }
    }
    closed
}
