//! The text of a file with its mutants in it.

use std::ops::Range;

/// How a mutant is chosen at its place.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum How {
    /// An expression: another one instead.
    Instead,
    /// A function's body: a return before it.
    Before,
    /// A match arm without a guard: one that keeps it from being taken. The site is empty, between pattern and arrow.
    Guard,
}

pub struct Variant {
    pub number: usize,
    pub text: String,
}

/// A stretch of the file, in bytes, with what may stand there instead.
pub struct Site {
    pub at: Range<usize>,
    pub how: How,
    pub variants: Vec<Variant>,
}

/// Sites lie within each other or apart. In a variant nothing else is mutated, since one mutant is chosen at a time.
pub fn woven(text: &str, sites: &[Site]) -> String {
    let mut order: Vec<&Site> = sites.iter().collect();
    // The outer one first; a function's body before the expression it consists of.
    order.sort_by_key(|s| (s.at.start, usize::MAX - s.at.end, s.how != How::Before));
    let mut out = String::with_capacity(4 * text.len());
    let rest = part(text, 0..text.len(), &order, &mut out);
    assert!(rest.is_empty(), "sites that overlap");
    out
}

/// Writes a part of the file, and returns the sites that begin beyond it.
fn part<'s>(
    text: &str,
    of: Range<usize>,
    mut sites: &'s [&'s Site],
    out: &mut String,
) -> &'s [&'s Site] {
    let mut at = of.start;
    while let [site, inner @ ..] = sites
        && site.at.end <= of.end
    {
        out.push_str(&text[at..site.at.start]);
        at = site.at.end;
        let site_in_place = |out: &mut String| part(text, site.at.clone(), inner, out);
        sites = match site.how {
            How::Instead => {
                out.push('(');
                for v in &site.variants {
                    out.push_str(&format!(
                        "if ::geom::mutant({0}) {{ /*<{0}>*/\n{1}\n/*<>*/ }} else ",
                        v.number, v.text
                    ));
                }
                out.push_str("{ ");
                let sites = site_in_place(out);
                out.push_str(" })");
                sites
            }
            How::Before => {
                for v in &site.variants {
                    out.push_str(&format!(
                        "if ::geom::mutant({0}) {{ /*<{0}>*/\nreturn {1};\n/*<>*/ }} ",
                        v.number, v.text
                    ));
                }
                site_in_place(out)
            }
            How::Guard => {
                let number = site.variants[0].number;
                out.push_str(&format!(" if /*<{number}>*/\n!::geom::mutant({number})\n/*<>*/ "));
                site_in_place(out)
            }
        };
    }
    out.push_str(&text[at..of.end]);
    sites
}
