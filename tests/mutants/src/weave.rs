//! All mutants of a file in one text: each stands behind a question, so that one build holds them all.

use std::ops::Range;

use proc_macro2::{LineColumn, Span};
use serde::Deserialize;
use syn::spanned::Spanned as _;
use syn::visit::{self, Visit};

/// A mutant as `cargo mutants --list --json` tells it.
#[derive(Debug, Clone, Deserialize)]
pub struct Mutant {
    /// Its file, from the root of the workspace.
    pub file: String,
    /// What it does, in words, with its place.
    pub name: String,
    /// What sort of change it is.
    pub genre: String,
    /// What comes in place of the text.
    pub replacement: String,
    /// The text that it changes.
    pub span: Extent,
}

/// A piece of a file; lines and columns count from 1, the end lies behind the last character.
#[derive(Debug, Clone, Copy, Deserialize)]
pub struct Extent {
    pub start: At,
    pub end: At,
}

/// A place in a file.
#[derive(Debug, Clone, Copy, Deserialize)]
pub struct At {
    pub line: usize,
    pub column: usize,
}

/// What is put into the text at an expression or before it.
#[derive(Debug)]
struct Change {
    /// The text that gets alternatives; empty where something is only put in.
    range: Range<usize>,
    /// Number of the mutant, and its text.
    arms: Vec<(usize, String)>,
    kind: Kind,
}

#[derive(Debug, PartialEq, Eq)]
enum Kind {
    /// `(if mutant { arm } else { as it was })`.
    Either,
    /// A statement before a body.
    Early,
    /// A condition of an arm of a match, which is put in or put around.
    Guard { has_guard: bool },
}

/// A woven file: its text, where in it each mutant stands, and the mutants that could not be woven.
pub struct Woven {
    /// The text.
    pub text: String,
    /// The bytes of each mutant's arm.
    pub places: Vec<(usize, Range<usize>)>,
}

/// Weaves mutants (number, mutant) into a file.
pub fn weave(source: &str, mutants: &[(usize, &Mutant)]) -> Result<Woven, syn::Error> {
    let file = syn::parse_file(source)?;
    let mut finder = Finder {
        source,
        lines: line_starts(source),
        mutants,
        changes: Vec::new(),
    };
    finder.visit_file(&file);
    let mut changes = finder.changes;
    // The outer first, and what is put in before what begins at the same place.
    changes.sort_by_key(|change| (change.range.start, usize::MAX - change.range.end));
    let mut woven = Woven {
        text: String::new(),
        places: Vec::new(),
    };
    render(source, 0..source.len(), &changes, &mut woven);
    Ok(woven)
}

fn question(number: usize) -> String {
    format!("crate::mutant::is({number})")
}

/// Writes a piece of the source with the changes that lie in it; those are sorted, the outer first.
fn render(source: &str, range: Range<usize>, changes: &[Change], woven: &mut Woven) {
    let (mut at, mut next) = (range.start, 0);
    while let Some(change) = changes.get(next) {
        let inner = &changes[next + 1..];
        let within = inner
            .iter()
            .take_while(|other| other.range.start < change.range.end)
            .count();
        let (inner, follows) = (&inner[..within], next + 1 + within);
        woven.text.push_str(&source[at..change.range.start]);
        match change.kind {
            Kind::Early => {
                for (number, arm) in &change.arms {
                    woven
                        .text
                        .push_str(&format!(" if {} {{ return ", question(*number)));
                    put(woven, *number, arm);
                    woven.text.push_str("; } ");
                }
            }
            Kind::Either => {
                woven.text.push('(');
                for (number, arm) in &change.arms {
                    woven
                        .text
                        .push_str(&format!("if {} {{ ", question(*number)));
                    put(woven, *number, arm);
                    woven.text.push_str(" } else ");
                }
                woven.text.push_str("{ ");
                render(source, change.range.clone(), inner, woven);
                woven.text.push_str(" })");
            }
            Kind::Guard { has_guard } => {
                woven.text.push_str(if has_guard { "" } else { " if true" });
                let (ors, ands): (Vec<_>, Vec<_>) =
                    change.arms.iter().partition(|(_, arm)| arm == "true");
                if has_guard {
                    woven.text.push_str(" (");
                    for (number, _) in ors {
                        put(woven, *number, &question(*number));
                        woven.text.push_str(" || ");
                    }
                    woven.text.push('(');
                    render(source, change.range.clone(), inner, woven);
                    woven.text.push_str("))");
                }
                for (number, _) in ands {
                    woven.text.push_str(" && ");
                    put(woven, *number, &format!("!{}", question(*number)));
                }
                woven.text.push(' ');
            }
        }
        at = change.range.end;
        next = follows;
    }
    woven.text.push_str(&source[at..range.end]);
}

fn put(woven: &mut Woven, number: usize, text: &str) {
    let start = woven.text.len();
    woven.text.push_str(text);
    woven.places.push((number, start..woven.text.len()));
}

/// Byte at which each line begins.
fn line_starts(source: &str) -> Vec<usize> {
    let ends = source.match_indices('\n').map(|(at, _)| at + 1);
    std::iter::once(0).chain(ends).collect()
}

struct Finder<'a> {
    source: &'a str,
    lines: Vec<usize>,
    mutants: &'a [(usize, &'a Mutant)],
    changes: Vec<Change>,
}

impl Finder<'_> {
    /// Byte of a place; `column` counts characters from 0.
    fn byte(&self, line: usize, column: usize) -> usize {
        let start = self.lines[line - 1];
        let rest = &self.source[start..];
        start
            + rest
                .char_indices()
                .nth(column)
                .map_or(rest.len(), |(at, _)| at)
    }

    fn place(&self, at: LineColumn) -> usize {
        self.byte(at.line, at.column)
    }

    fn range(&self, span: Span) -> Range<usize> {
        self.place(span.start())..self.place(span.end())
    }

    fn extent(&self, extent: Extent) -> Range<usize> {
        let byte = |at: At| self.byte(at.line, at.column - 1);
        byte(extent.start)..byte(extent.end)
    }

    fn text(&self, range: &Range<usize>) -> &str {
        &self.source[range.clone()]
    }

    /// The mutants that change just this text.
    fn of(&self, range: &Range<usize>, genre: &str) -> Vec<(usize, &Mutant)> {
        let is_here = |mutant: &Mutant| mutant.genre == genre && self.extent(mutant.span) == *range;
        let here = self.mutants.iter().filter(|(_, mutant)| is_here(mutant));
        here.map(|(number, mutant)| (*number, *mutant)).collect()
    }

    fn add(&mut self, range: Range<usize>, arms: Vec<(usize, String)>, kind: Kind) {
        if !arms.is_empty() {
            self.changes.push(Change { range, arms, kind });
        }
    }

    /// Mutants of an arm: that it is gone, and that its condition is always or never met.
    fn arm(&mut self, arm: &syn::Arm, has_rest: bool) {
        let whole = self.range(arm.span());
        let gone = |(_, mutant): &&(usize, &Mutant)| {
            let extent = self.extent(mutant.span);
            has_rest
                && mutant.genre == "MatchArm"
                && extent.start == whole.start
                && extent.end <= whole.end
        };
        let gone = self.mutants.iter().filter(gone);
        let mut arms: Vec<_> = gone
            .map(|(number, _)| (*number, String::from("false")))
            .collect();
        if let syn::Pat::Guard(syn::PatGuard { guard, .. }) = &arm.pat {
            let range = self.range(guard.span());
            if !binds(guard) {
                let here = self.of(&range, "MatchArmGuard");
                let of_guard = here
                    .iter()
                    .map(|(number, mutant)| (*number, mutant.replacement.clone()));
                arms.extend(of_guard.collect::<Vec<_>>());
                self.add(range, arms, Kind::Guard { has_guard: true });
            }
        } else {
            let end = self.range(arm.pat.span()).end;
            self.add(end..end, arms, Kind::Guard { has_guard: false });
        }
    }

    /// Mutants of a function's body: what it gives back instead.
    fn body(&mut self, signature: &syn::Signature, block: &syn::Block) {
        let returns = self.range(signature.output.span());
        // What stands for one type cannot be another in between.
        if signature.constness.is_some() || self.text(&returns).contains("impl ") {
            return;
        }
        let whole = self.range(block.span());
        let inside = whole.start + 1..whole.end - 1;
        let is_here = |extent: &Range<usize>| {
            *extent == whole || (extent.start >= inside.start && extent.end <= inside.end)
        };
        let bodies = self
            .mutants
            .iter()
            .filter(|(_, mutant)| mutant.genre == "FnValue");
        let here = bodies.filter(|(_, mutant)| {
            let extent = self.extent(mutant.span);
            // The body from its first statement to its last, or with its braces.
            is_here(&extent)
                && self
                    .text(&(inside.start..extent.start.max(inside.start)))
                    .trim()
                    .is_empty()
                && self
                    .text(&(extent.end.min(inside.end)..inside.end))
                    .trim()
                    .is_empty()
        });
        let arms = here
            .map(|(number, mutant)| (*number, mutant.replacement.clone()))
            .collect();
        self.add(inside.start..inside.start, arms, Kind::Early);
    }
}

/// Whether a condition binds names by `let`, so that nothing may be put around it.
fn binds(expression: &syn::Expr) -> bool {
    match expression {
        syn::Expr::Let(_) => true,
        syn::Expr::Binary(binary) => binds(&binary.left) || binds(&binary.right),
        _ => false,
    }
}

impl<'ast> Visit<'ast> for Finder<'_> {
    fn visit_item_fn(&mut self, item: &'ast syn::ItemFn) {
        self.body(&item.sig, &item.block);
        if item.sig.constness.is_none() {
            visit::visit_item_fn(self, item);
        }
    }

    fn visit_impl_item_fn(&mut self, item: &'ast syn::ImplItemFn) {
        self.body(&item.sig, &item.block);
        if item.sig.constness.is_none() {
            visit::visit_impl_item_fn(self, item);
        }
    }

    // What is computed by the compiler cannot ask.
    fn visit_item_const(&mut self, _: &'ast syn::ItemConst) {}
    fn visit_item_static(&mut self, _: &'ast syn::ItemStatic) {}
    fn visit_impl_item_const(&mut self, _: &'ast syn::ImplItemConst) {}
    fn visit_type(&mut self, _: &'ast syn::Type) {}

    fn visit_expr_binary(&mut self, binary: &'ast syn::ExprBinary) {
        let operator = self.range(binary.op.span());
        let (left, right) = (
            self.range(binary.left.span()),
            self.range(binary.right.span()),
        );
        if !binds(&binary.left) && !binds(&binary.right) {
            let here = self.of(&operator, "BinaryOperator");
            let arm = |replacement: &str| {
                format!(
                    "({}) {replacement} ({})",
                    self.text(&left),
                    self.text(&right)
                )
            };
            let arms = here
                .iter()
                .map(|(number, mutant)| (*number, arm(&mutant.replacement)));
            let arms = arms.collect();
            self.add(left.start..right.end, arms, Kind::Either);
        }
        visit::visit_expr_binary(self, binary);
    }

    fn visit_expr_unary(&mut self, unary: &'ast syn::ExprUnary) {
        let operator = self.range(unary.op.span());
        let inner = self.range(unary.expr.span());
        let here = self.of(&operator, "UnaryOperator");
        let arms = here
            .iter()
            .map(|(number, _)| (*number, self.text(&inner).to_owned()));
        let arms = arms.collect();
        self.add(operator.start..inner.end, arms, Kind::Either);
        visit::visit_expr_unary(self, unary);
    }

    fn visit_expr_match(&mut self, expression: &'ast syn::ExprMatch) {
        // Without an arm for the rest the compiler asks for each one.
        let takes_rest = |arm: &syn::Arm| match &arm.pat {
            syn::Pat::Wild(_) => true,
            // A name in capitals is a variant or a constant, such as None.
            syn::Pat::Ident(name) => !name.ident.to_string().starts_with(char::is_uppercase),
            _ => false,
        };
        let has_rest = expression.arms.iter().any(takes_rest);
        for arm in &expression.arms {
            self.arm(arm, has_rest);
        }
        visit::visit_expr_match(self, expression);
    }

    fn visit_expr_struct(&mut self, expression: &'ast syn::ExprStruct) {
        let whole = self.range(expression.span());
        let arms: Vec<(usize, String)> = expression
            .fields
            .iter()
            .flat_map(|field| {
                let range = self.range(field.span());
                let here = self.mutants.iter().filter(|(_, mutant)| {
                    mutant.genre == "StructField" && self.extent(mutant.span).start == range.start
                });
                let rest = self
                    .text(&(range.end..whole.end))
                    .trim_start()
                    .trim_start_matches(',');
                let text = format!("{}{rest}", self.text(&(whole.start..range.start)));
                here.map(|(number, _)| (*number, text.clone()))
                    .collect::<Vec<_>>()
            })
            .collect();
        self.add(whole, arms, Kind::Either);
        visit::visit_expr_struct(self, expression);
    }
}
