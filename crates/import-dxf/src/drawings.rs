//! Which drawing on the sheet each line of the wall, door and window layers belongs to, once the drawings are
//! known.
//!
//! Knows: the drawings and the walls found first, linework that hangs together. Never touches: how drawings are
//! told apart (`region`), what their lines are.
//!
//! Walls are found twice on a sheet of several drawings: first in all of it, which tells where the drawings are,
//! then only in those that are planned, each judged by itself. An elevation beside a plan so has no say in how
//! the plan is read, and nothing is said of its lines but that it was left out.

use crate::account::{Fate, Reason};
use crate::affine::{Xy, norm, sub};
use crate::layers::Usage;
use crate::patches::{Box4, CELL_IN, apart, cell, of_point, patches};
use crate::region::{Layout, Region};
use crate::survey::Survey;
use crate::titles::DrawingKind;
use crate::walls::WallLine;
use std::collections::{BTreeMap, BTreeSet};

/// A line is in a drawing's box when it is no farther outside than this, inches.
const EDGE_IN: f64 = 12.0;

/// The drawing of each shape.
pub(crate) struct Drawings {
    /// Place in the list of drawings; none where nothing tells, and off the wall, door and window layers.
    of: Vec<Option<usize>>,
    /// Which drawings are planned.
    planned: Vec<bool>,
    /// Their boxes, inches.
    boxes: Vec<Box4>,
}

impl Drawings {
    /// The drawing of a shape.
    pub fn of(&self, shape: usize) -> Option<usize> {
        self.of.get(shape).copied().flatten()
    }
    /// Whether a shape is in a drawing that is not planned.
    pub fn is_left(&self, shape: usize) -> bool {
        self.of(shape).is_some_and(|r| self.planned.get(r) == Some(&false))
    }
    /// The planned drawing of a wall: its lines', or the nearest.
    pub fn of_wall(&self, w: &WallLine) -> Option<usize> {
        let is_planned = |r: &usize| self.planned.get(*r) == Some(&true);
        let own = w.shapes.iter().filter_map(|i| self.of(*i)).find(is_planned);
        let middle = [(w.line.a[0] + w.line.b[0]) / 2.0, (w.line.a[1] + w.line.b[1]) / 2.0];
        own.or_else(|| self.nearest(middle, &(0..self.boxes.len()).filter(is_planned).collect()))
    }
    fn nearest(&self, p: Xy, among: &BTreeSet<usize>) -> Option<usize> {
        let far = |r: &usize| self.boxes.get(*r).map_or(f64::INFINITY, |b| apart(b, &of_point(p)));
        among.iter().copied().min_by(|a, b| far(a).total_cmp(&far(b)).then(a.cmp(b)))
    }
}

/// Whether a drawing is left out and may hold lines of walls, doors and windows.
pub(crate) fn is_left_out(r: &Region) -> bool {
    let other = !matches!(r.kind, DrawingKind::FloorPlan | DrawingKind::Unknown);
    !r.planned && (r.walls > 0 || (other && !r.title.is_empty()))
}

/// Sorts the lines of the wall, door and window layers into the drawings. None where there is one drawing
/// only, or none is planned.
pub(crate) fn drawings(
    s: &Survey<'_>,
    k: f64,
    layout: &Layout,
    walls: &[WallLine],
) -> Option<Drawings> {
    let plans = layout.regions.iter().filter(|r| r.planned).count();
    let left = layout.regions.iter().filter(|r| is_left_out(r)).count();
    if plans == 0 || plans + left < 2 {
        return None;
    }
    let mut out = Drawings {
        of: vec![None; s.fates.len()],
        planned: layout.regions.iter().map(|r| r.planned).collect(),
        boxes: layout.regions.iter().map(|r| r.bounds.map(|v| v * k)).collect(),
    };
    let (patch_of, patch_boxes) = patches(s, k, &|_| false);
    let patch = |p: Xy| cell(p).and_then(|c| patch_of.get(&c)).copied();
    // What the walls found say; of two drawings the planned one.
    let mut by_wall: BTreeMap<usize, usize> = BTreeMap::new();
    let mut owners: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
    for (w, r) in walls.iter().zip(&layout.of) {
        for i in &w.shapes {
            let slot = by_wall.entry(*i).or_insert(*r);
            if out.planned.get(*r) == Some(&true) {
                *slot = *r;
            }
            for p in points(s, *i, k).into_iter().filter_map(patch) {
                owners.entry(p).or_default().insert(*r);
            }
        }
    }
    // A titled drawing without walls has the linework in its box.
    for (r, region) in layout.regions.iter().enumerate() {
        let Some(b) = out.boxes.get(r).filter(|_| region.walls == 0 && is_left_out(region)) else {
            continue;
        };
        let around = [b[0] - CELL_IN, b[1] - CELL_IN, b[2] + CELL_IN, b[3] + CELL_IN];
        for (patch, own) in &patch_boxes {
            if own[0] >= around[0]
                && own[1] >= around[1]
                && own[2] <= around[2]
                && own[3] <= around[3]
            {
                owners.entry(*patch).or_insert_with(|| BTreeSet::from([r]));
            }
        }
    }
    let of_symbols: BTreeSet<usize> = s.symbols.iter().flat_map(|x| &x.shapes).copied().collect();
    for (i, shape) in s.drawing.lines.shapes.iter().enumerate() {
        let usage = s.usage(shape.layer);
        if usage != Usage::Wall && !usage.is_opening() && !of_symbols.contains(&i) {
            continue;
        }
        let points = points(s, i, k);
        let Some(first) = points.first().copied() else { continue };
        let found = by_wall.get(&i).copied().or_else(|| {
            let owners = owners.get(&patch(first)?)?;
            match owners.len() {
                1 => owners.first().copied(),
                _ => among(&out, owners, &points),
            }
        });
        if let Some(slot) = out.of.get_mut(i) {
            *slot = found;
        }
    }
    Some(out)
}

/// Of drawings whose linework hangs together: the one that is not planned where the line is in its box and in
/// no plan's, else the nearest plan.
fn among(d: &Drawings, owners: &BTreeSet<usize>, points: &[Xy]) -> Option<usize> {
    let holds = |r: &usize| {
        let b = d.boxes.get(*r);
        b.is_some_and(|b| points.iter().all(|p| apart(b, &of_point(*p)) <= EDGE_IN))
    };
    let (plans, others): (BTreeSet<usize>, BTreeSet<usize>) =
        owners.iter().partition(|r| d.planned.get(**r) == Some(&true));
    let in_other = others.iter().copied().find(holds);
    if let Some(r) = in_other.filter(|_| !plans.iter().any(holds)) {
        return Some(r);
    }
    let first = points.first()?;
    d.nearest(*first, if plans.is_empty() { &others } else { &plans })
}

/// Ends of a shape's lines and arcs, inches.
fn points(s: &Survey<'_>, shape: usize, k: f64) -> Vec<Xy> {
    let lines = &s.drawing.lines;
    let segments = lines.segments_of(shape).filter_map(|j| lines.segments.get(j));
    let arcs = lines.arcs_of(shape).filter_map(|j| lines.arcs.get(j));
    let ends = segments.flat_map(|g| [g.a, g.b]).chain(arcs.flat_map(|a| a.ends()));
    ends.map(|p| [p[0] * k, p[1] * k]).filter(|p| p.iter().all(|v| v.is_finite())).collect()
}

/// Takes the lines of drawings that are not planned out of the reading: they and their doors and windows are
/// in another drawing, whatever else they may be. The fates must be those before walls were looked for. Tells
/// whether there were any.
pub(crate) fn leave_out(s: &mut Survey<'_>, k: f64, d: &Drawings, layout: &mut Layout) -> bool {
    // A symbol is left out whole or not at all.
    let mut kept: BTreeSet<usize> = BTreeSet::new();
    for symbol in &s.symbols {
        if !symbol.shapes.iter().all(|i| d.is_left(*i)) {
            kept.extend(&symbol.shapes);
        }
    }
    let mut any = false;
    layout.left = vec![Vec::new(); layout.regions.len()];
    for r in &mut layout.regions {
        (r.lines, r.lines_in) = (0, 0.0);
    }
    for i in 0..s.fates.len() {
        let leaves = matches!(
            s.fates.get(i),
            Some(
                Fate::Open | Fate::Left(Reason::ZeroLength | Reason::Tilted | Reason::OtherDrawing)
            )
        );
        if !leaves || !d.is_left(i) || kept.contains(&i) {
            continue;
        }
        let lines = &s.drawing.lines;
        let own = lines.segments_of(i).filter_map(|j| lines.segments.get(j));
        let (count, length) =
            own.fold((0, 0.0), |sum, g| (sum.0 + 1, sum.1 + norm(sub(g.b, g.a)) * k));
        if let Some(r) = d.of(i).and_then(|r| layout.regions.get_mut(r)) {
            r.lines += count;
            r.lines_in += length;
        }
        if let Some(own) = d.of(i).and_then(|r| layout.left.get_mut(r)) {
            own.push(i);
        }
        if let Some(slot) = s.fates.get_mut(i) {
            *slot = Fate::Left(Reason::OtherDrawing);
            any = true;
        }
    }
    let stays = |x: &crate::openings::Symbol| x.shapes.iter().any(|i| kept.contains(i));
    let whole = s.whole_symbols.min(s.symbols.len());
    s.whole_symbols = s.symbols.iter().take(whole).filter(|x| stays(x)).count();
    s.symbols.retain(stays);
    any
}
