//! What there is to say about doors and windows that reach beyond the wall they lie on.
//!
//! Knows: how such findings are worded; glass, sill and frame of one window are told once. Never touches: which walls
//! an opening is spread over (`seams`).

use crate::affine::{Xy, norm, sub};
use crate::openings::Symbol;
use crate::report::{NAMED, Placed};
use crate::seams::Spread;
use crate::survey::Survey;
use crate::unitwords::size;
use crate::walls::{Spec, WallLine};
use diag::codes::dxf;
use diag::{Code, Finding, SourceRef};
use std::collections::BTreeMap;

/// One door or window at one place.
struct There {
    width: f64,
    at: Xy,
    name: &'static str,
    source: SourceRef,
}

/// Those seen so far; of several at one place the one of which there is most.
#[derive(Default)]
pub(crate) struct SeamTally {
    /// Parts on other walls, by the wall line it was laid on and the other.
    over: BTreeMap<(usize, usize), There>,
    /// What lies on no wall, by the wall line it was laid on and the end of it, to the inch.
    left: BTreeMap<(usize, [i64; 2]), There>,
}

impl SeamTally {
    /// Takes note of a symbol laid on a wall line.
    pub fn add(&mut self, s: &Survey<'_>, symbol: &Symbol, host: usize, spread: &Spread) {
        let new = |width: f64, at: Xy| There {
            width,
            at,
            name: symbol.kind.name(),
            source: symbol.shapes.iter().map(|i| s.source(*i)).min().unwrap_or_default(),
        };
        let more = |a: &There, b: &There| a.width.total_cmp(&b.width).then(b.source.cmp(&a.source));
        for (other, [from, to]) in &spread.parts {
            let there = new(norm(sub(*to, *from)), *from);
            let slot = self.over.entry((host, *other)).or_insert_with(|| new(0.0, *from));
            if more(&there, slot).is_gt() {
                *slot = there;
            }
        }
        for (width, end) in &spread.left {
            let key = (host, end.map(|v| v.round() as i64));
            let there = new(*width, *end);
            let slot = self.left.entry(key).or_insert_with(|| new(0.0, *end));
            if more(&there, slot).is_gt() {
                *slot = there;
            }
        }
    }
    /// All that there is to say.
    pub fn findings(self, walls: &[WallLine]) -> Vec<Placed> {
        let plates = |spec: &Spec| (spec.section, spec.top, spec.roof.map(|r| r.entry));
        let differ = |(a, b): &(usize, usize)| {
            let of = |i: usize| walls.get(i).map(|w| plates(&w.spec));
            of(*a) != of(*b)
        };
        let over = self.over.into_iter().filter(|(pair, _)| differ(pair)).map(|(pair, there)| {
            let what = |i: usize| {
                walls.get(i).map_or_else(String::new, |w| {
                    format!("{} up to {}", w.spec.section, w.spec.top.feet_inches())
                })
            };
            let message = format!(
                "The {} {} on layer {} lies over the seam of two walls in one line, {} and {}: {} of it are on the \
                 second.",
                there.name,
                there.source.entity,
                there.source.layer,
                what(pair.0),
                what(pair.1),
                size(there.width)
            );
            (message, there)
        });
        let mut out = told(dxf::OPENING_OVER_SEAM, over.collect());
        let left = self.left.into_values().map(|there| {
            let message = format!(
                "The {} {} on layer {} reaches {} beyond its wall, where no wall goes on in line: the opening is cut \
                 short there.",
                there.name,
                there.source.entity,
                there.source.layer,
                size(there.width)
            );
            (message, there)
        });
        out.extend(told(dxf::OPENING_CUT, left.collect()));
        out
    }
}

/// The first ones by name, the others counted; in the order of the entities.
fn told(code: Code, mut all: Vec<(String, There)>) -> Vec<Placed> {
    all.sort_by(|a, b| (&a.1.source, &a.0).cmp(&(&b.1.source, &b.0)));
    let rest = all.split_off(NAMED.min(all.len()));
    let one = |(message, there): (String, There)| Placed {
        finding: Finding::new(code, message)
            .about(there.source.entity.clone())
            .from(&[there.source]),
        at_in: Some(there.at),
    };
    let mut out: Vec<Placed> = all.into_iter().map(one).collect();
    if !rest.is_empty() {
        let message = match rest.len() {
            1 => "One more door or window does so.".to_owned(),
            n => format!("{n} more doors and windows do so."),
        };
        let sources: Vec<SourceRef> =
            rest.into_iter().map(|(_, there)| there.source).take(NAMED).collect();
        out.push(Finding::new(code, message).from(&sources).into());
    }
    out
}
