//! Where walls end, once all are read: an axis that its body does not bear out, and bodies that are broken.
//!
//! An axis commonly runs on to the middle of the wall it meets, and a body to that wall's far face: as far as a
//! neighbour explains it, the axis holds. Else the body does, and it is told.

use crate::geometry::footprint::Plan;
use crate::shape::{Piece, WallShape};
use crate::walls::{RawWall, Reader};
use diag::codes::ifc;
use rustc_hash::FxHashMap;

/// How near an end must be to a neighbour's faces to be of their joint: 1 in (common practice, no source).
const AT_JOINT_IN: f64 = 1.0;

/// The plan of one piece of a wall, with its heights.
#[derive(Clone, Copy)]
pub struct Strip {
    /// Number of the wall.
    pub owner: usize,
    /// Number of the piece in it.
    pub piece: usize,
    /// Where its line starts.
    pub start: Plan,
    /// Which way it runs.
    pub d: Plan,
    /// How far.
    pub len: f64,
    /// Offsets of its faces, left positive, least first.
    pub band: (f64, f64),
    z: (f64, f64),
}

impl Strip {
    /// Where a point lies: along it, and left of it.
    pub fn place(&self, p: Plan) -> (f64, f64) {
        let (x, y) = (p.0 - self.start.0, p.1 - self.start.1);
        (x * self.d.0 + y * self.d.1, y * self.d.0 - x * self.d.1)
    }
    /// How far a point is from it; its ends reach on by its own thickness, as at a corner.
    pub fn distance(&self, p: Plan) -> f64 {
        let (s, o) = self.place(p);
        let more = self.band.1 - self.band.0;
        let along = (-more - s).max(s - self.len - more).max(0.0);
        let across = (self.band.0 - o).max(o - self.band.1).max(0.0);
        along.hypot(across)
    }
}

/// An end in question: number of the wall, 0 for its start and 1 for its end, and where it is.
pub type OpenEnd = (usize, usize, Plan);

/// Settles the ends of all walls, and breaks those whose body is broken.
pub fn settle(reader: &Reader<'_, '_, '_>, raw: &mut [RawWall<'_>]) {
    let inches = reader.unit.inches;
    let slack = AT_JOINT_IN / inches;
    let open: Vec<OpenEnd> = raw
        .iter()
        .enumerate()
        .filter_map(|(n, w)| Some((n, w.shape.as_ref()?)))
        .flat_map(|(n, s)| {
            let ends = s.seen.axis_ends.iter().enumerate();
            ends.filter_map(move |(end, e)| Some((n, end, e.as_ref()?.0))).collect::<Vec<_>>()
        })
        .collect();
    if !open.is_empty() {
        let near = Near::of(raw, &open, slack);
        for (n, end, axis) in open {
            let Some(shape) = raw.get(n).and_then(|w| w.shape.as_ref()) else { continue };
            let joint = near.joins(n, axis, body_end(shape, end), slack);
            let Some(shape) = raw.get_mut(n).and_then(|w| w.shape.as_mut()) else { continue };
            end_at(shape, end, axis, joint, &|v| reader.text(v * inches));
        }
    }
    for shape in raw.iter_mut().filter_map(|w| w.shape.as_mut()) {
        break_up(shape, &|v| reader.text(v * inches));
    }
}

fn body_end(shape: &WallShape, end: usize) -> Plan {
    match shape.pieces.first() {
        Some(p) if end == 0 => p.start,
        Some(p) => p.end,
        None => (0.0, 0.0),
    }
}

/// Walls by cells of a grid, as far as ends in question lie in them.
pub struct Near {
    cells: FxHashMap<(i64, i64), Vec<Strip>>,
    size: f64,
    heights: Vec<(f64, f64)>,
}

impl Near {
    /// The walls near these ends; `slack` is 1 in.
    pub fn of(raw: &[RawWall<'_>], open: &[OpenEnd], slack: f64) -> Near {
        let size = 240.0 * slack;
        let cell = |p: Plan| ((p.0 / size).floor() as i64, (p.1 / size).floor() as i64);
        let mut cells: FxHashMap<(i64, i64), Vec<Strip>> = FxHashMap::default();
        for (_, _, p) in open {
            cells.entry(cell(*p)).or_default();
        }
        let mut heights = Vec::new();
        for (owner, wall) in raw.iter().enumerate() {
            let Some(shape) = &wall.shape else {
                heights.push((0.0, 0.0));
                continue;
            };
            let tops = shape.pieces.iter().filter_map(|p| p.top.highest);
            let z = (shape.foot_z, tops.reduce(f64::max).unwrap_or(f64::INFINITY));
            heights.push(z);
            for (n, p) in shape.pieces.iter().enumerate() {
                let Some(strip) = strip((owner, n), p, z) else { continue };
                let more = strip.band.1 - strip.band.0 + 2.0 * slack;
                let more = more + strip.band.0.abs().max(strip.band.1.abs());
                let x = (p.start.0.min(p.end.0) - more, p.start.0.max(p.end.0) + more);
                let y = (p.start.1.min(p.end.1) - more, p.start.1.max(p.end.1) + more);
                let (low, high) = (cell((x.0, y.0)), cell((x.1, y.1)));
                let steps = |low: i64, high: i64| high.saturating_sub(low).saturating_add(1);
                let span = steps(low.0, high.0).saturating_mul(steps(low.1, high.1));
                if span > 4 * cells.len() as i64 {
                    // Longer than the whole rest: rather every cell than every step of its way.
                    cells.values_mut().for_each(|c| c.push(strip));
                    continue;
                }
                for i in low.0..=high.0 {
                    for j in low.1..=high.1 {
                        if let Some(c) = cells.get_mut(&(i, j)) {
                            c.push(strip);
                        }
                    }
                }
            }
        }
        Near { cells, size, heights }
    }

    /// The other walls that share a wall's height near one of the ends in question.
    pub fn level_with(&self, owner: usize, end: Plan) -> impl Iterator<Item = &Strip> {
        let at = ((end.0 / self.size).floor() as i64, (end.1 / self.size).floor() as i64);
        let own = self.heights.get(owner).copied().unwrap_or_default();
        let near = self.cells.get(&at).into_iter().flatten();
        near.filter(move |s| s.owner != owner && s.z.0 < own.1 && own.0 < s.z.1)
    }

    /// Whether another wall of the same height explains that a wall's axis and body end at these two places.
    fn joins(&self, owner: usize, axis: Plan, body: Plan, slack: f64) -> bool {
        let mut level = self.level_with(owner, axis);
        level.any(|s| s.distance(axis) <= slack && s.distance(body) <= slack)
    }
}

fn strip((owner, piece): (usize, usize), p: &Piece, z: (f64, f64)) -> Option<Strip> {
    let band = p.band?;
    let (dx, dy) = (p.end.0 - p.start.0, p.end.1 - p.start.1);
    let len = dx.hypot(dy);
    let usable = len > 0.0 && len.is_finite();
    let d = (dx / len, dy / len);
    usable.then_some(Strip { owner, piece, start: p.start, d, len, band, z })
}

/// Ends a wall where its axis does, or leaves it where its body does and says so.
fn end_at(
    shape: &mut WallShape,
    end: usize,
    axis: Plan,
    joint: bool,
    text: &dyn Fn(f64) -> String,
) {
    let Some((_, off)) = shape.seen.axis_ends.get(end).copied().flatten() else { return };
    let [piece] = shape.pieces.as_mut_slice() else { return };
    if joint {
        let (start, stop) = if end == 0 { (axis, piece.end) } else { (piece.start, axis) };
        if let Some(p) = piece.between(start, stop) {
            *piece = p;
        }
        return;
    }
    let which = if end == 0 { "start" } else { "end" };
    shape.said.push(match off > 0.0 {
        true => (ifc::AXIS_LONG, format!("its axis runs {} beyond its body at the {which}, where no wall is met; planned as long as the body", text(off))),
        false => (ifc::AXIS_SHORT, format!("its body runs {} beyond its axis at the {which}, where no wall is met; planned as long as the body", text(-off))),
    });
}

/// Breaks a wall where there is nothing of its body.
fn break_up(shape: &mut WallShape, text: &dyn Fn(f64) -> String) {
    let gaps = std::mem::take(&mut shape.seen.gaps);
    let [whole] = shape.pieces.as_slice() else { return };
    let whole = *whole;
    let mut pieces = Vec::new();
    let mut from = whole.start;
    for (a, b) in &gaps {
        pieces.extend(whole.between(from, *a));
        from = *b;
        let to_gap = (a.0 - whole.start.0).hypot(a.1 - whole.start.1);
        let wide = (b.0 - a.0).hypot(b.1 - a.1);
        shape.said.push((ifc::WALL_BROKEN, format!("there is nothing of its body from {} to {} along it, over the full height: planned as a wall on either side", text(to_gap), text(to_gap + wide))));
    }
    if !gaps.is_empty() {
        pieces.extend(whole.between(from, whole.end));
        shape.pieces = pieces;
    }
}
