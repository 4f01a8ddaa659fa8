//! What the C header declares: functions with their parameters, structs with their members.

use std::collections::BTreeSet;

/// A parameter or a member: its type as C has it, and its name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Named {
    /// Such as `const fairspell_record *`; an array has its length behind it, such as `double[3]`.
    pub of: String,
    /// Its name.
    pub name: String,
}

impl Named {
    fn parse(text: &str) -> Self {
        let (text, array) = match text.split_once('[') {
            Some((before, length)) => (before, format!("[{length}")),
            None => (text, String::new()),
        };
        let at = text.rfind([' ', '*']).map_or(0, |at| at + 1);
        let (of, name) = text.split_at(at);
        let of = of.replace("* const *", "*const *");
        Self {
            of: of.trim().to_owned() + &array,
            name: name.to_owned(),
        }
    }

    /// Whether it is a pointer.
    #[must_use]
    pub fn is_pointer(&self) -> bool {
        self.of.ends_with('*')
    }
}

/// A function.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Function {
    /// Its name.
    pub name: String,
    /// What it returns.
    pub returns: String,
    /// Its parameters.
    pub parameters: Vec<Named>,
}

/// A struct.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Struct {
    /// Its name.
    pub name: String,
    /// Its members; none of an opaque one.
    pub members: Vec<Named>,
}

/// All functions of a header, in its order.
#[must_use]
pub fn functions(header: &str) -> Vec<Function> {
    let statements = code(header);
    let of = |statement: &&String| statement.contains('(') && !statement.starts_with("typedef");
    let functions = statements.iter().filter(of).filter_map(|statement| {
        let (head, rest) = statement.split_once('(')?;
        let list = rest.strip_suffix(')')?;
        let head = Named::parse(head);
        let parameters = list.split(',').map(str::trim);
        let parameters = parameters.filter(|text| !text.is_empty() && *text != "void");
        Some(Function {
            name: head.name,
            returns: head.of,
            parameters: parameters.map(Named::parse).collect(),
        })
    });
    functions.collect()
}

/// All structs of a header, in its order.
#[must_use]
pub fn structs(header: &str) -> Vec<Struct> {
    let statements = code(header);
    let structs = statements.iter().filter_map(|statement| {
        let rest = statement.strip_prefix("typedef struct ")?;
        let Some((_, body)) = rest.split_once('{') else {
            let name = rest.rsplit(' ').next()?.to_owned();
            return Some(Struct {
                name,
                members: Vec::new(),
            });
        };
        let (body, name) = body.rsplit_once('}')?;
        let members = body
            .split(';')
            .map(str::trim)
            .filter(|text| !text.is_empty());
        Some(Struct {
            name: name.trim().to_owned(),
            members: members.map(Named::parse).collect(),
        })
    });
    structs.collect()
}

/// The names of the structs that have no members to be seen: the handles.
#[must_use]
pub fn handles(header: &str) -> BTreeSet<String> {
    let opaque = structs(header)
        .into_iter()
        .filter(|of| of.members.is_empty());
    opaque.map(|of| of.name).collect()
}

/// The statements of a header, each on one line, without comments and what stands behind `#`.
fn code(header: &str) -> Vec<String> {
    let is_code = |line: &&str| !line.starts_with('#') && !line.trim_start().starts_with("//");
    let text = header.lines().filter(is_code).collect::<Vec<_>>().join(" ");
    let text = text
        .replace("extern \"C\" {", "")
        .replace("}  // extern \"C\"", "");
    let (mut statements, mut statement, mut depth) = (Vec::new(), String::new(), 0);
    for letter in text.chars() {
        match letter {
            '{' => depth += 1,
            '}' => depth -= 1,
            _ => {}
        }
        if letter == ';' && depth == 0 {
            let words: Vec<&str> = statement.split_whitespace().collect();
            statements.push(words.join(" "));
            statement.clear();
        } else {
            statement.push(letter);
        }
    }
    statements
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Reading by eye.
    #[test]
    fn declarations_are_read() {
        let header = "#define A 1\n// a word (not; code)\ntypedef struct thing thing;\ntypedef struct {\n  // x\n  double a[3];\n  \
            const char *b;\n} facts;\nint f(const thing *t,\n      const thing *const *many, size_t n);\nint g(void);\n";
        let functions = functions(header);
        assert_eq!(functions.len(), 2);
        let named = |of: &str, name: &str| Named {
            of: of.to_owned(),
            name: name.to_owned(),
        };
        let of_f = [
            named("const thing *", "t"),
            named("const thing *const *", "many"),
            named("size_t", "n"),
        ];
        assert_eq!(functions[0].parameters, of_f);
        assert!(functions[1].parameters.is_empty());
        assert_eq!(handles(header).into_iter().collect::<Vec<_>>(), ["thing"]);
        let of_facts = [named("double[3]", "a"), named("const char *", "b")];
        assert_eq!(structs(header)[1].members, of_facts);
    }
}
