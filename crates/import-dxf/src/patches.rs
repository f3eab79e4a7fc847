//! Patches of linework on a sheet: what lies less than a cell apart.
//!
//! Knows: boxes, the cells that linework passes through, which cells touch. Never touches: walls, titles,
//! what a patch shows. Places are in inches of the drawing's own frame.

use crate::account::{Fate, Reason};
use crate::affine::{Xy, norm, sub};
use crate::linework::mark;
use crate::openings::{root, unite};
use crate::survey::Survey;
use crate::walls::in_inches;
use rustc_hash::FxHashMap;
use std::collections::BTreeMap;

/// Linework without walls is put together from cells of this size, inches.
pub(crate) const CELL_IN: f64 = 48.0;
/// Cells at the most; what lies beyond is not listed.
const MOST_CELLS: usize = 2_000_000;

/// Left, bottom, right, top.
pub(crate) type Box4 = [f64; 4];
/// The box of nothing.
pub(crate) const NOTHING: Box4 =
    [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];

/// The box around two.
pub(crate) fn join(a: Box4, b: Box4) -> Box4 {
    [a[0].min(b[0]), a[1].min(b[1]), a[2].max(b[2]), a[3].max(b[3])]
}
/// The box of a point.
pub(crate) fn of_point(p: Xy) -> Box4 {
    [p[0], p[1], p[0], p[1]]
}
/// Distance of two boxes, 0 when they overlap.
pub(crate) fn apart(a: &Box4, b: &Box4) -> f64 {
    let d = |axis: usize| (a[axis] - b[axis + 2]).max(b[axis] - a[axis + 2]).max(0.0);
    norm([d(0), d(1)])
}

/// Column and row.
pub(crate) type Cell = (i32, i32);

/// The cell of a point; none when it is absurdly far off.
pub(crate) fn cell(p: Xy) -> Option<Cell> {
    let at = |v: f64| (v / CELL_IN).floor();
    let (x, y) = (at(p[0]), at(p[1]));
    (x.abs() < 1e9 && y.abs() < 1e9).then_some((x as i32, y as i32))
}

/// Linework put together where it is less than a cell apart, but for what is skipped: the patch of each
/// cell, and the box of each patch.
pub(crate) fn patches(
    s: &Survey<'_>,
    k: f64,
    skip: &dyn Fn(Xy) -> bool,
) -> (BTreeMap<Cell, usize>, BTreeMap<usize, Box4>) {
    let lines = &s.drawing.lines;
    let mut cells: FxHashMap<Cell, Box4> = FxHashMap::default();
    for (i, shape) in lines.shapes.iter().enumerate() {
        let hidden = matches!(
            s.fates.get(i),
            Some(Fate::Left(
                Reason::Invisible
                    | Reason::Off
                    | Reason::Frozen
                    | Reason::Tilted
                    | Reason::Bad
                    | Reason::Far
            ))
        );
        if hidden || shape.marks & mark::BAD != 0 {
            continue;
        }
        let mut add = |p: Xy| {
            let Some(c) = cell(p).filter(|_| !skip(p)) else { return };
            if cells.len() < MOST_CELLS || cells.contains_key(&c) {
                let slot = cells.entry(c).or_insert(NOTHING);
                *slot = join(*slot, of_point(p));
            }
        };
        for g in lines.segments_of(i).filter_map(|j| lines.segments.get(j)) {
            let g = in_inches(*g, k);
            let d = sub(g.b, g.a);
            let steps = (norm(d) / (CELL_IN / 2.0)).ceil().clamp(1.0, 2000.0);
            for n in 0..=steps as usize {
                let t = n as f64 / steps;
                add([g.a[0] + d[0] * t, g.a[1] + d[1] * t]);
            }
        }
        for a in lines.arcs_of(i).filter_map(|j| lines.arcs.get(j)) {
            for n in 0..=8 {
                let p = a.at(a.sweep * f64::from(n) / 8.0);
                add([p[0] * k, p[1] * k]);
            }
        }
    }
    let mut keys: Vec<Cell> = cells.keys().copied().collect();
    keys.sort_unstable();
    let number: FxHashMap<Cell, usize> = keys.iter().enumerate().map(|(i, c)| (*c, i)).collect();
    let mut group: Vec<usize> = (0..keys.len()).collect();
    for (i, (x, y)) in keys.iter().enumerate() {
        for next in [(1, -1), (1, 0), (1, 1), (0, 1)] {
            if let Some(j) = number.get(&(x.saturating_add(next.0), y.saturating_add(next.1))) {
                unite(&mut group, i, *j);
            }
        }
    }
    let mut of = BTreeMap::new();
    let mut boxes: BTreeMap<usize, Box4> = BTreeMap::new();
    for (i, c) in keys.iter().enumerate() {
        let patch = root(&mut group, i);
        of.insert(*c, patch);
        let slot = boxes.entry(patch).or_insert(NOTHING);
        *slot = join(*slot, cells.get(c).copied().unwrap_or(NOTHING));
    }
    (of, boxes)
}
