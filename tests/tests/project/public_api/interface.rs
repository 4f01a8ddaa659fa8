//! What a crate of ours promises to other programs: its public items, read from its sources as a list of lines.
//!
//! An item stands under the path by which others name it. Methods and traits of a type stand under the type. What a macro
//! makes, and traits that the compiler adds by itself, are not in the list.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use quote::ToTokens;
use syn::{Attribute, Fields, ImplItem, Item, ItemImpl, TraitItem, Type, UseTree, Visibility};

/// A module with what stands in it.
#[derive(Default)]
struct Module {
    items: Vec<Item>,
    children: BTreeMap<String, (bool, Module)>,
}

/// The crate while its lines are gathered.
struct Listing<'a> {
    root: &'a Module,
    lines: BTreeSet<String>,
    /// For the name of a type: the modules in which such types stand, and their public paths.
    types: BTreeMap<String, Vec<(Vec<String>, String)>>,
}

/// The public items of a crate, sorted, a line each.
///
/// - `file`: its `lib.rs`; `name`: how other programs call it.
///
/// # Panics
/// If a file is missing, is no Rust, or says `pub use` of what is not found.
pub fn of(file: &Path, name: &str) -> String {
    let folder = file.parent().unwrap_or(file);
    let root = module(&parsed(file), folder);
    let mut listing = Listing {
        root: &root,
        lines: BTreeSet::new(),
        types: BTreeMap::new(),
    };
    listing.add_module(&root, &mut Vec::new(), name);
    listing.add_impls(&root, &mut Vec::new());
    let lines: Vec<String> = listing.lines.into_iter().collect();
    lines.join("\n") + "\n"
}

fn parsed(file: &Path) -> Vec<Item> {
    let text = fs::read_to_string(file)
        .unwrap_or_else(|error| stop(&format!("{}: {error}", file.display())));
    syn::parse_file(&text)
        .unwrap_or_else(|error| stop(&format!("{}: {error}", file.display())))
        .items
}

/// A module of items; the files of its children lie in `folder`.
fn module(items: &[Item], folder: &Path) -> Module {
    let mut module = Module::default();
    for item in items.iter().filter(|item| !is_for_tests(attributes(item))) {
        let Item::Mod(child) = item else {
            module.items.push(item.clone());
            continue;
        };
        let name = child.ident.to_string();
        let below = folder.join(&name);
        let inner = match &child.content {
            Some((_, items)) => items.clone(),
            None => parsed(&file_of(folder, &name)),
        };
        let is_public = is_public(&child.vis);
        module
            .children
            .insert(name, (is_public, self::module(&inner, &below)));
    }
    module
}

fn file_of(folder: &Path, name: &str) -> PathBuf {
    let file = folder.join(name).with_extension("rs");
    if file.is_file() {
        file
    } else {
        folder.join(name).join("mod.rs")
    }
}

fn attributes(item: &Item) -> &[Attribute] {
    match item {
        Item::Const(item) => &item.attrs,
        Item::Enum(item) => &item.attrs,
        Item::Fn(item) => &item.attrs,
        Item::Impl(item) => &item.attrs,
        Item::Mod(item) => &item.attrs,
        Item::Static(item) => &item.attrs,
        Item::Struct(item) => &item.attrs,
        Item::Trait(item) => &item.attrs,
        Item::Type(item) => &item.attrs,
        Item::Use(item) => &item.attrs,
        _ => &[],
    }
}

fn is_for_tests(attributes: &[Attribute]) -> bool {
    attributes.iter().any(|one| text(one).contains("cfg(test)"))
}

fn is_public(visibility: &Visibility) -> bool {
    matches!(visibility, Visibility::Public(_))
}

impl Listing<'_> {
    /// All that is public in a public module.
    fn add_module(&mut self, module: &Module, place: &mut Vec<String>, path: &str) {
        self.lines.insert(format!("mod {path}"));
        for item in &module.items {
            match item {
                Item::Use(used) if is_public(&used.vis) => self.add_used(&used.tree, place, path),
                item => self.add_item(item, place, path),
            }
        }
        for (name, (is_public, child)) in &module.children {
            if *is_public {
                place.push(name.clone());
                self.add_module(child, place, &format!("{path}::{name}"));
                place.pop();
            }
        }
    }

    /// What a `pub use` in the module at `place` brings to `path`.
    fn add_used(&mut self, tree: &UseTree, place: &[String], path: &str) {
        let mut leaves = Vec::new();
        leaves_of(tree, &mut Vec::new(), &mut leaves);
        for (mut from, name) in leaves {
            let mut at = place.to_vec();
            while let Some(first) = from.first().cloned() {
                match first.as_str() {
                    "self" => {}
                    "super" => drop(at.pop()),
                    "crate" => at.clear(),
                    _ => break,
                }
                from.remove(0);
            }
            at.extend(from);
            let module = find(self.root, &at);
            let module = module.unwrap_or_else(|| stop(&format!("pub use of {at:?} in {path}")));
            let items = module
                .items
                .iter()
                .filter(|item| name_of(item).is_some_and(|own| own == name));
            let items: Vec<&Item> = items.collect();
            if items.is_empty() {
                stop(&format!("expected {name} in {at:?}, which {path} uses"));
            }
            for item in items {
                self.add_item(item, &at, path);
            }
        }
    }

    /// An item of the module at `place`, if it is public, under `path`.
    fn add_item(&mut self, item: &Item, place: &[String], path: &str) {
        match item {
            Item::Const(one) if is_public(&one.vis) => {
                self.lines
                    .insert(format!("const {path}::{}: {}", one.ident, text(&one.ty)));
            }
            Item::Static(one) if is_public(&one.vis) => {
                self.lines
                    .insert(format!("static {path}::{}: {}", one.ident, text(&one.ty)));
            }
            Item::Fn(one) if is_public(&one.vis) => {
                self.lines.insert(signature(&one.sig, path));
            }
            Item::Type(one) if is_public(&one.vis) => {
                let generics = text(&one.generics);
                self.lines.insert(format!(
                    "type {path}::{}{generics} = {}",
                    one.ident,
                    text(&one.ty)
                ));
            }
            Item::Struct(one) if is_public(&one.vis) => {
                let own = format!("{path}::{}", one.ident);
                let head = format!("{own}{}", text(&one.generics));
                self.lines
                    .insert(format!("struct {head}{}", closed(&one.attrs, &one.fields)));
                self.add_fields(&one.fields, &own, false);
                self.add_type(&one.ident.to_string(), place, own, &one.attrs);
            }
            Item::Enum(one) if is_public(&one.vis) => {
                let own = format!("{path}::{}", one.ident);
                let head = format!("{own}{}", text(&one.generics));
                self.lines
                    .insert(format!("enum {head}{}", closed(&one.attrs, &Fields::Unit)));
                for variant in &one.variants {
                    let variant_path = format!("{own}::{}", variant.ident);
                    self.lines.insert(format!("variant {variant_path}"));
                    self.add_fields(&variant.fields, &variant_path, true);
                }
                self.add_type(&one.ident.to_string(), place, own, &one.attrs);
            }
            Item::Trait(one) if is_public(&one.vis) => {
                let own = format!("{path}::{}", one.ident);
                self.lines.insert(format!(
                    "trait {own}{}: {}",
                    text(&one.generics),
                    text(&one.supertraits)
                ));
                for part in &one.items {
                    self.add_part(part, &own);
                }
            }
            _ => {}
        }
    }

    fn add_part(&mut self, part: &TraitItem, own: &str) {
        self.lines.insert(match part {
            TraitItem::Fn(one) => signature(&one.sig, own),
            other => format!("in {own}: {}", text(other)),
        });
    }

    fn add_fields(&mut self, fields: &Fields, own: &str, are_all_public: bool) {
        for (number, field) in fields.iter().enumerate() {
            if are_all_public || is_public(&field.vis) {
                let number = number.to_string();
                let name = field.ident.as_ref().map_or(number, ToString::to_string);
                self.lines
                    .insert(format!("field {own}::{name}: {}", text(&field.ty)));
            }
        }
    }

    fn add_type(&mut self, name: &str, place: &[String], path: String, attributes: &[Attribute]) {
        for derived in attributes
            .iter()
            .filter(|one| one.path().is_ident("derive"))
        {
            let list = text(&derived.meta);
            let list = list.trim_start_matches("derive(").trim_end_matches(')');
            for derived in list.split(',') {
                self.lines
                    .insert(format!("impl {} for {path}", derived.trim()));
            }
        }
        self.types
            .entry(name.to_owned())
            .or_default()
            .push((place.to_vec(), path));
    }

    /// Methods and traits of public types, wherever they stand.
    fn add_impls(&mut self, module: &Module, place: &mut Vec<String>) {
        for item in &module.items {
            if let Item::Impl(block) = item {
                self.add_impl(block, place);
            }
        }
        for (name, (_, child)) in &module.children {
            place.push(name.clone());
            self.add_impls(child, place);
            place.pop();
        }
    }

    fn add_impl(&mut self, block: &ItemImpl, place: &[String]) {
        let Type::Path(of) = &*block.self_ty else {
            return;
        };
        let Some(last) = of.path.segments.last() else {
            return;
        };
        let Some(known) = self.types.get(&last.ident.to_string()) else {
            return;
        };
        // Two types may have one name: that which stands nearest.
        let shared = |at: &[String]| at.iter().zip(place).take_while(|(a, b)| a == b).count();
        let Some((_, path)) = known.iter().max_by_key(|(at, _)| shared(at)) else {
            return;
        };
        let path = path.clone();
        if let Some((of_trait, _)) = &block.trait_ {
            self.lines
                .insert(format!("impl {} for {path}", text(of_trait)));
            return;
        }
        for item in &block.items {
            match item {
                ImplItem::Fn(one) if is_public(&one.vis) => {
                    self.lines.insert(signature(&one.sig, &path));
                }
                ImplItem::Const(one) if is_public(&one.vis) => {
                    self.lines
                        .insert(format!("const {path}::{}: {}", one.ident, text(&one.ty)));
                }
                _ => {}
            }
        }
    }
}

/// The module at a place.
fn find<'a>(root: &'a Module, place: &[String]) -> Option<&'a Module> {
    place.iter().try_fold(root, |module, name| {
        module.children.get(name).map(|(_, child)| child)
    })
}

/// Each name that a `use` brings, with the modules before it.
fn leaves_of(tree: &UseTree, before: &mut Vec<String>, leaves: &mut Vec<(Vec<String>, String)>) {
    match tree {
        UseTree::Path(path) => {
            before.push(path.ident.to_string());
            leaves_of(&path.tree, before, leaves);
            before.pop();
        }
        UseTree::Name(name) => leaves.push((before.clone(), name.ident.to_string())),
        UseTree::Group(group) => {
            for tree in &group.items {
                leaves_of(tree, before, leaves);
            }
        }
        other => stop(&format!(
            "expected names after pub use, found {}",
            text(other)
        )),
    }
}

fn name_of(item: &Item) -> Option<String> {
    Some(match item {
        Item::Const(one) => one.ident.to_string(),
        Item::Enum(one) => one.ident.to_string(),
        Item::Fn(one) => one.sig.ident.to_string(),
        Item::Static(one) => one.ident.to_string(),
        Item::Struct(one) => one.ident.to_string(),
        Item::Trait(one) => one.ident.to_string(),
        Item::Type(one) => one.ident.to_string(),
        _ => return None,
    })
}

/// Whether other programs cannot build one or name all of it: fields that are private, or more that may come.
fn closed(attributes: &[Attribute], fields: &Fields) -> &'static str {
    let may_grow = attributes
        .iter()
        .any(|one| one.path().is_ident("non_exhaustive"));
    let has_private = fields.iter().any(|field| !is_public(&field.vis));
    match (may_grow, has_private) {
        (true, _) => ", non-exhaustive",
        (false, true) => ", with private fields",
        (false, false) => "",
    }
}

fn signature(signature: &syn::Signature, path: &str) -> String {
    // Whether a parameter may change inside is nobody else's affair.
    let written = text(signature)
        .replace("(mut ", "(")
        .replace(", mut ", ", ");
    let name = signature.ident.to_string();
    written.replacen(&format!("fn {name}"), &format!("fn {path}::{name}"), 1)
}

/// Tokens as they are written by hand.
fn text(tokens: &impl ToTokens) -> String {
    let mut text = tokens.to_token_stream().to_string();
    for (apart, together) in [
        (" :: ", "::"),
        (":: ", "::"),
        (" ::", "::"),
        (" < ", "<"),
        ("< ", "<"),
        (" <", "<"),
        (" >", ">"),
        (" ,", ","),
        (" (", "("),
        ("( ", "("),
        (" )", ")"),
        ("& ", "&"),
        (" :", ":"),
        (" ;", ";"),
        ("[ ", "["),
        (" ]", "]"),
        (",>", ">"),
        (",)", ")"),
    ] {
        text = text.replace(apart, together);
    }
    text.replace("->(", "-> (")
}

fn stop(why: &str) -> ! {
    panic!("{why}")
}
