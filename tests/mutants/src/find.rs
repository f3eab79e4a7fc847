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
    fn here(&self, genre: Genre, span: Span) -> Vec<(usize, &'a str)> {
        let place = |p: proc_macro2::LineColumn| Place { line: p.line, column: p.column + 1 };
        let stretch = Stretch { start: place(span.start()), end: place(span.end()) };
        self.at.get(&(genre, stretch)).cloned().unwrap_or_default()
    }

    fn add(
        &mut self,
        at: Range<usize>,
        how: How,
        variants: impl IntoIterator<Item = (usize, String)>,
    ) {
        let variants: Vec<Variant> =
            variants.into_iter().map(|(number, text)| Variant { number, text }).collect();
        if !variants.is_empty() {
            self.sites.push(Site { at, how, variants });
        }
    }

    /// An expression with another operator.
    fn operator(&mut self, whole: Span, operator: Span) {
        let (whole, operator_at) = (whole.byte_range(), operator.byte_range());
        let (before, after) =
            (&self.text[whole.start..operator_at.start], &self.text[operator_at.end..whole.end]);
        let variants: Vec<_> = self
            .here(Genre::Operator, operator)
            .into_iter()
            .map(|(n, r)| (n, format!("{before}{r}{after}")))
            .collect();
        self.add(whole, How::Instead, variants);
    }
}

impl<'ast> Visit<'ast> for Finder<'_> {
    fn visit_block(&mut self, block: &'ast syn::Block) {
        if let (Some(first), Some(last)) = (block.stmts.first(), block.stmts.last()) {
            let span = first.span().join(last.span()).expect("of one file");
            // A function that returns an iterator without naming its type has one type alone.
            let variants: Vec<_> = self
                .here(Genre::Body, span)
                .into_iter()
                .filter(|(_, r)| !r.contains("::std::iter::"))
                .map(|(n, r)| (n, r.to_owned()))
                .collect();
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
        let taken_out =
            self.here(Genre::Arm, arm.span()).into_iter().map(|(n, _)| (n, String::new()));
        match &arm.guard {
            None => {
                let end = arm.pat.span().byte_range().end;
                let variants: Vec<_> = taken_out.collect();
                self.add(end..end, How::Guard, variants);
            }
            Some((_, guard)) if !binds(guard) => {
                let changed = self
                    .here(Genre::Guard, guard.span())
                    .into_iter()
                    .map(|(n, r)| (n, r.to_owned()));
                let variants: Vec<_> =
                    taken_out.map(|(n, _)| (n, "false".to_owned())).chain(changed).collect();
                self.add(guard.span().byte_range(), How::Instead, variants);
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
                let variants: Vec<_> = self
                    .here(Genre::Field, field.span())
                    .into_iter()
                    .map(|(n, _)| (n, format!("({rest}).{name}")))
                    .collect();
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
