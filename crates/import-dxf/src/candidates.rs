//! Lines that may be walls, where no layer is known to hold walls.
//!
//! Knows: what is visible, flat and on a layer of unknown use; how large the symbol is that a line is part
//! of. Never touches: units, which of the lines are walls.

use crate::account::{Fate, Reason};
use crate::flatten::Drawing;
use crate::layers::{LayerRole, Usage, is_of_other_things};
use crate::linework::{Kind, Segment, mark};
use std::collections::BTreeMap;

/// More lines than this are not looked at: without layers nothing can be told apart there.
pub(crate) const MOST_LINES: usize = 400_000;

/// Lines that may be walls, in drawing units.
#[derive(Clone, Debug, Default)]
pub(crate) struct Candidates {
    /// The lines.
    pub lines: Vec<Segment>,
    /// The shape of each.
    pub shapes: Vec<usize>,
    /// The resolved layer of each.
    pub layers: Vec<u32>,
    /// Drawn width of each, as of a multiline; 0 when it has none.
    pub widths: Vec<f64>,
    /// Whether each is a multiline's: its width is no pen's.
    pub multilines: Vec<bool>,
    /// Cuts of each, as shares of it; most have none.
    pub cuts: Vec<Vec<[f64; 2]>>,
    /// Larger side of the innermost insert each is in; infinite outside inserts.
    pub symbol: Vec<f64>,
    /// Leaves of doors as they shut, hinge to latch.
    pub doors: Vec<Segment>,
    /// Shapes that are the leaf of a door with its swing drawn, and the swing's radius, drawing units.
    pub leaves: BTreeMap<usize, f64>,
    /// Whether there are more lines than can be looked at.
    pub too_many: bool,
}

impl Candidates {
    /// The larger side of the drawing, a fiftieth at either edge left out, since there may be strays; drawing
    /// units.
    pub fn size(&self) -> f64 {
        let side = |axis: usize| {
            let mut all: Vec<f64> =
                self.lines.iter().flat_map(|g| [g.a[axis], g.b[axis]]).collect();
            all.sort_unstable_by(f64::total_cmp);
            let rank = |part: usize| all.get(all.len() * part / 50).copied();
            rank(1).zip(rank(49)).map_or(0.0, |(from, to)| to - from)
        };
        side(0).max(side(1))
    }
}

/// The lines that may be walls: visible and flat, on layers of unknown use.
pub(crate) fn candidates(drawing: &Drawing, roles: &[LayerRole], fates: &[Fate]) -> Candidates {
    let mut out = Candidates::default();
    let other: Vec<bool> = drawing.layers.iter().map(|l| is_of_other_things(&l.name)).collect();
    let sizes = insert_sizes(drawing);
    for (i, shape) in drawing.lines.shapes.iter().enumerate() {
        let layer = shape.layer as usize;
        let open = fates.get(i) == Some(&Fate::Left(Reason::NotUsed))
            && shape.is_line()
            && shape.marks & (mark::TILTED | mark::BAD | mark::CURVED) == 0
            && roles.get(layer).is_some_and(|r| r.usage == Usage::Unknown)
            && !other.get(layer).copied().unwrap_or(true);
        if !open {
            continue;
        }
        let symbol = sizes.get(shape.via as usize).copied().unwrap_or(f64::INFINITY);
        for j in drawing.lines.segments_of(i) {
            let Some(g) = drawing.lines.segments.get(j) else { continue };
            if out.lines.len() >= MOST_LINES {
                out.too_many = true;
                return out;
            }
            out.lines.push(*g);
            out.shapes.push(i);
            out.layers.push(shape.layer);
            let width = drawing.lines.width_of(j).unwrap_or(0.0);
            out.widths.push(width);
            out.multilines.push(shape.kind == Kind::Mline && width > 0.0);
            out.cuts.push(drawing.lines.cuts_of(j).collect());
            out.symbol.push(symbol);
        }
    }
    out
}

/// The larger side of what each insert shows, inserts inside it included.
pub(crate) fn insert_sizes(drawing: &Drawing) -> Vec<f64> {
    const NOTHING: [f64; 4] = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
    let mut boxes = vec![NOTHING; drawing.nodes.len()];
    let grow = |b: &mut [f64; 4], o: &[f64; 4]| {
        *b = [b[0].min(o[0]), b[1].min(o[1]), b[2].max(o[2]), b[3].max(o[3])];
    };
    for (i, shape) in drawing.lines.shapes.iter().enumerate() {
        let Some(slot) = boxes.get_mut(shape.via as usize) else { continue };
        for g in drawing.lines.segments_of(i).filter_map(|j| drawing.lines.segments.get(j)) {
            for p in [g.a, g.b] {
                grow(slot, &[p[0], p[1], p[0], p[1]]);
            }
        }
        for a in drawing.lines.arcs_of(i).filter_map(|j| drawing.lines.arcs.get(j)) {
            let (x, y) = (a.extent([1.0, 0.0]), a.extent([0.0, 1.0]));
            grow(slot, &[x[0], y[0], x[1], y[1]]);
        }
    }
    // Parents come first.
    for i in (0..drawing.nodes.len()).rev() {
        let (Some(node), Some(own)) = (drawing.nodes.get(i), boxes.get(i).copied()) else {
            continue;
        };
        if let Some(parent) = boxes.get_mut(node.parent as usize) {
            grow(parent, &own);
        }
    }
    boxes.iter().map(|b| (b[2] - b[0]).max(b[3] - b[1])).collect()
}
