//! Where in a file each mutant stands.

use crate::weave::{How, Site, Variant};
use crate::{Mutant, Place, Stretch};
use proc_macro2::Span;
use std::collections::BTreeMap;
use std::error::Error;
use std::ops::Range;
use syn::spanned::Spanned;
use syn::visit::{self, Visit};
use syn::{
    Arm, BinOp, Expr, ExprBinary, ExprRepeat, ExprStruct, ExprUnary, ImplItemConst, ItemConst,
    ItemStatic, Signature, TraitItemConst,
};

pub fn sites(text: &str, mutants: &BTreeMap<usize, &Mutant>) -> Result<Vec<Site>, Box<dyn Error>> {
    let file = syn::parse_file(text)?;
    let mut at = BTreeMap::new();
    for (number, mutant) in mutants {
        at.entry((genre(mutant), mutant.span))
            .or_insert_with(Vec::new)
            .push((*number, mutant.replacement.as_str()));
    }
    let mut finder = Finder { text, at, sites: Vec::new() };
    finder.visit_file(&file);
    Ok(finder.sites)
}

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Genre {
    Body,
    Operator,
    Arm,
    Guard,
    Field,
}

fn genre(mutant: &Mutant) -> Genre {
    match mutant.genre.as_str() {
        "FnValue" => Genre::Body,
        "BinaryOperator" | "UnaryOperator" => Genre::Operator,
        "MatchArm" => Genre::Arm,
        "MatchArmGuard" => Genre::Guard,
        "StructField" => Genre::Field,
        other => panic!("mutants of a kind that is not known: {other}"),
    }
}

struct Finder<'a> {
    text: &'a str,
    /// By what and where they change: numbers and replacements.
    at: BTreeMap<(Genre, Stretch), Vec<(usize, &'a str)>>,
    sites: Vec<Site>,
}

impl<'a> Finder<'a> {
    /// The mutants of a stretch, each with what stands there by it, made of its replacement.
    fn here(&self, genre: Genre, span: Span, text: impl Fn(&str) -> String) -> Vec<Variant> {
        let place = |p: proc_macro2::LineColumn| Place { line: p.line, column: p.column + 1 };
        let stretch = Stretch { start: place(span.start()), end: place(span.end()) };
        let mutants = self.at.get(&(genre, stretch)).into_iter().flatten();
        mutants.map(|(number, r)| Variant { number: *number, text: text(r) }).collect()
    }

    fn add(&mut self, at: Range<usize>, how: How, variants: Vec<Variant>) {
        if !variants.is_empty() {
            self.sites.push(Site { at, how, variants });
        }
    }

    /// An expression with another operator.
    fn operator(&mut self, whole: Span, operator: Span) {
        let (whole, operator_at) = (whole.byte_range(), operator.byte_range());
        let (before, after) =
            (&self.text[whole.start..operator_at.start], &self.text[operator_at.end..whole.end]);
        let variants = self.here(Genre::Operator, operator, |r| format!("{before}{r}{after}"));
        self.add(whole, How::Instead, variants);
    }
}

impl<'ast> Visit<'ast> for Finder<'_> {
    fn visit_block(&mut self, block: &'ast syn::Block) {
        if let (Some(first), Some(last)) = (block.stmts.first(), block.stmts.last()) {
            let span = first.span().join(last.span()).expect("of one file");
            let mut variants = self.here(Genre::Body, span, str::to_owned);
            // A function that returns an iterator without naming its type has one type alone.
            variants.retain(|v| !v.text.contains("::std::iter::"));
            self.add(span.byte_range(), How::Before, variants);
        }
        visit::visit_block(self, block);
    }

    fn visit_expr_binary(&mut self, e: &'ast ExprBinary) {
        // A condition that binds names may stand in no brackets.
        if !(matches!(e.op, BinOp::And(_)) && (binds(&e.left) || binds(&e.right))) {
            self.operator(e.span(), e.op.span());
        }
        visit::visit_expr_binary(self, e);
    }

    fn visit_expr_unary(&mut self, e: &'ast ExprUnary) {
        self.operator(e.span(), e.op.span());
        visit::visit_expr_unary(self, e);
    }

    fn visit_arm(&mut self, arm: &'ast Arm) {
        let mut taken_out = self.here(Genre::Arm, arm.span(), |_| "false".to_owned());
        match &arm.guard {
            None => {
                let end = arm.pat.span().byte_range().end;
                self.add(end..end, How::Guard, taken_out);
            }
            Some((_, guard)) if !binds(guard) => {
                taken_out.extend(self.here(Genre::Guard, guard.span(), str::to_owned));
                self.add(guard.span().byte_range(), How::Instead, taken_out);
            }
            Some(_) => {}
        }
        visit::visit_arm(self, arm);
    }

    fn visit_expr_struct(&mut self, e: &'ast ExprStruct) {
        if let Some(rest) = &e.rest {
            let rest = &self.text[rest.span().byte_range()];
            for field in e.fields.iter().filter(|f| f.colon_token.is_some()) {
                let name = &self.text[field.member.span().byte_range()];
                let variants =
                    self.here(Genre::Field, field.span(), |_| format!("({rest}).{name}"));
                self.add(field.expr.span().byte_range(), How::Instead, variants);
            }
        }
        visit::visit_expr_struct(self, e);
    }

    // What is worked out when the program is built.
    fn visit_item_const(&mut self, _: &'ast ItemConst) {}
    fn visit_impl_item_const(&mut self, _: &'ast ImplItemConst) {}
    fn visit_trait_item_const(&mut self, _: &'ast TraitItemConst) {}
    fn visit_item_static(&mut self, _: &'ast ItemStatic) {}
    fn visit_signature(&mut self, _: &'ast Signature) {}
    fn visit_type(&mut self, _: &'ast syn::Type) {}
    fn visit_expr_repeat(&mut self, e: &'ast ExprRepeat) {
        self.visit_expr(&e.expr);
    }
    fn visit_item_fn(&mut self, f: &'ast syn::ItemFn) {
        if f.sig.constness.is_none() {
            visit::visit_item_fn(self, f);
        }
    }
    fn visit_impl_item_fn(&mut self, f: &'ast syn::ImplItemFn) {
        if f.sig.constness.is_none() {
            visit::visit_impl_item_fn(self, f);
        }
    }
}

fn binds(e: &Expr) -> bool {
    match e {
        Expr::Let(_) => true,
        Expr::Binary(b) if matches!(b.op, BinOp::And(_)) => binds(&b.left) || binds(&b.right),
        _ => false,
    }
}
