//! Doors by their shape: a leaf and the quarter circle of its swing.
//!
//! Knows: arcs with a line from their center to one of their ends, inserts that are such a door. Never
//! touches: layers' names, units: a door looks the same at every scale, and the radius of its swing
//! tells the unit.

use crate::affine::{Xy, cross, dot, norm, sub};
use crate::flatten::Drawing;
use crate::linework::{Arc, Segment};
use crate::nearby::LineIndex;
use crate::openings::{Symbol, Told};
use rustc_hash::FxHashSet;
use std::collections::{BTreeMap, BTreeSet};
use wall_model::OpeningKind;

/// Turn of a swing, degrees.
const SWING_DEGREES: std::ops::RangeInclusive<f64> = 60.0..=120.0;
/// Ends meet within this share of the radius: leaves are drawn with their thickness.
const NEAR: f64 = 0.1;
/// An insert with a door in it is the door when it is no larger than so many radii: a double door with
/// its frame.
const INSERT_RADII: f64 = 4.5;
/// Swings looked at; no plan has more doors.
pub(crate) const MOST: usize = 20_000;

/// A door found by its shape.
#[derive(Clone, Debug)]
pub(crate) struct Door {
    /// Its lines and arcs.
    pub symbol: Symbol,
    /// Radius of the swing.
    pub radius: f64,
    /// The insert it is, or [`crate::linework::NOT_INSERTED`].
    pub insert: u32,
    /// The leaf as drawn open, hinge first.
    pub leaf: Segment,
    /// The shapes of a swing with its leaf, whatever else the insert has: both sides and the ends of a leaf that is
    /// drawn with its thickness.
    pub parts: Vec<usize>,
}

/// The doors among the shapes that `usable` admits, in drawing units.
pub(crate) fn find(drawing: &Drawing, usable: &dyn Fn(usize) -> bool) -> Vec<Door> {
    let lines = &drawing.lines;
    let mut swings: Vec<(usize, Arc)> = Vec::new();
    for i in (0..lines.shapes.len()).filter(|i| !lines.arcs_of(*i).is_empty() && usable(*i)) {
        let arcs = lines.arcs_of(i).filter_map(|j| lines.arcs.get(j));
        swings.extend(arcs.filter(|a| is_swing(a)).map(|a| (i, *a)));
    }
    if swings.is_empty() || swings.len() > MOST {
        return Vec::new();
    }
    let (segments, shapes) = lines_at(drawing, &swings, usable);
    let mut members: BTreeMap<u32, Vec<usize>> =
        swings.iter().filter_map(|s| lines.shapes.get(s.0)).map(|s| (s.via, Vec::new())).collect();
    members.remove(&crate::linework::NOT_INSERTED);
    for (i, shape) in lines.shapes.iter().enumerate() {
        if let Some(own) = members.get_mut(&shape.via)
            && usable(i)
        {
            own.push(i);
        }
    }
    let index = LineIndex::new(&segments);
    let mut out: Vec<Door> = Vec::new();
    let mut inserts: BTreeMap<u32, usize> = BTreeMap::new();
    for (shape, swing) in swings {
        let radius = norm(swing.u);
        let ends = swing.ends();
        let joins = |p: Xy, q: Xy| norm(sub(p, q)) <= radius * NEAR;
        let reaches = |g: &Segment, end: Xy| {
            let ways = [(g.a, g.b), (g.b, g.a)];
            ways.iter().any(|(hinge, tip)| joins(*hinge, swing.center) && joins(*tip, end))
        };
        // Of both sides of a leaf the lower one, whichever stands first in the file.
        let place = |j: &usize| segments.get(*j).map_or([[0.0; 2]; 2], |g| [g.a, g.b]);
        let by_place = |i: &usize, j: &usize| {
            let (a, b) = (place(i), place(j));
            let pairs = a.iter().flatten().zip(b.iter().flatten());
            pairs.map(|(x, y)| x.total_cmp(y)).find(|o| o.is_ne()).unwrap_or(i.cmp(j))
        };
        let near = index.near(&[swing.center], radius * NEAR);
        let at = |end: Xy| {
            let own = near.iter().map(|j| *j as usize);
            own.filter(|j| segments.get(*j).is_some_and(|g| reaches(g, end))).min_by(by_place)
        };
        // A threshold goes from the hinge to where the leaf shuts. Lines of the wall end there, none at the leaf's tip.
        let others = |leaf: &usize, end: Xy| {
            let Some(g) = segments.get(*leaf) else { return 0 };
            let ending = index.near(&[end], radius * NEAR).into_iter();
            let ending = ending.filter_map(|j| segments.get(j as usize));
            let ending = ending.filter(|o| [o.a, o.b].iter().any(|p| joins(*p, end)));
            ending.filter(|o| !is_of_leaf(o, g, radius * NEAR)).count()
        };
        let (leaf, threshold) = match ends.map(|end| Some((at(end)?, end))) {
            [None, None] => continue,
            [Some((one, _)), None] | [None, Some((one, _))] => (one, None),
            [Some((one, p)), Some((other, q))] => {
                let order = others(&one, p).cmp(&others(&other, q));
                match order.then_with(|| by_place(&one, &other)).is_le() {
                    true => (one, Some(other)),
                    false => (other, Some(one)),
                }
            }
        };
        let via = lines.shapes.get(shape).map_or(u32::MAX, |s| s.via);
        if let Some(known) = inserts.get(&via).and_then(|d| out.get_mut(*d)) {
            // The other leaf of a double door.
            known.radius = known.radius.max(radius);
            continue;
        }
        let parts: BTreeSet<usize> =
            [Some(shape), shapes.get(leaf).copied()].into_iter().flatten().collect();
        let Some(line) = segments.get(leaf).copied() else { continue };
        let at_hinge = norm(sub(line.a, swing.center)) <= norm(sub(line.b, swing.center));
        let drawn = if at_hinge { line } else { Segment { a: line.b, b: line.a } };
        let mut own = parts.clone();
        let beside = index.near(&[drawn.a, drawn.b], radius * NEAR).into_iter();
        let sides = beside.filter(|j| {
            segments.get(*j as usize).is_some_and(|g| is_of_leaf(g, &drawn, radius * NEAR))
        });
        let single = |i: &usize| lines.segments_of(*i).len() == 1 && lines.arcs_of(*i).is_empty();
        own.extend(sides.filter_map(|j| shapes.get(j as usize)).copied().filter(single));
        own.extend(threshold.and_then(|j| shapes.get(j)).copied().filter(single));
        let own: Vec<usize> = own.into_iter().collect();
        let whole: &[usize] = members.get(&via).map_or(&[], Vec::as_slice);
        let inserted = symbol(drawing, whole);
        let door = if !whole.is_empty() && inserted.size() <= radius * INSERT_RADII {
            inserts.insert(via, out.len());
            Door { symbol: inserted, radius, insert: via, leaf: drawn, parts: own }
        } else {
            let shapes: Vec<usize> = parts.into_iter().collect();
            let segments = segments.get(leaf).copied().into_iter().collect();
            let symbol = Symbol {
                kind: OpeningKind::Door,
                segments,
                arcs: vec![swing],
                shapes,
                told: Told::Shape,
            };
            Door { symbol, radius, insert: crate::linework::NOT_INSERTED, leaf: drawn, parts: own }
        };
        out.push(door);
    }
    out
}

/// The usable lines that end near the hinge or an end of a swing, with their shapes. Of a large drawing few do,
/// and only they need to be looked at closely.
fn lines_at(
    drawing: &Drawing,
    swings: &[(usize, Arc)],
    usable: &dyn Fn(usize) -> bool,
) -> (Vec<Segment>, Vec<usize>) {
    let lines = &drawing.lines;
    let reach = swings.iter().map(|s| norm(s.1.u) * NEAR).fold(0.0, f64::max).max(1e-9);
    let cell = |v: f64| (v / reach).floor().clamp(-9e15, 9e15) as i64;
    let mut cells: FxHashSet<[i64; 2]> = FxHashSet::default();
    for (_, a) in swings {
        for p in a.ends().into_iter().chain([a.center]) {
            let at = p.map(cell);
            cells.extend((-1..=1).flat_map(|x| (-1..=1).map(move |y| [at[0] + x, at[1] + y])));
        }
    }
    let (mut segments, mut shapes) = (Vec::new(), Vec::new());
    for i in 0..lines.shapes.len() {
        let own = lines.segments_of(i).filter_map(|j| lines.segments.get(j));
        let near = own.filter(|g| [g.a, g.b].iter().any(|p| cells.contains(&p.map(cell))));
        let mut near = near.peekable();
        if near.peek().is_none() || !usable(i) {
            continue;
        }
        for g in near {
            segments.push(*g);
            shapes.push(i);
        }
    }
    (segments, shapes)
}

/// Whether a line is a side or an end of a leaf that is drawn with its thickness.
pub(crate) fn is_of_leaf(g: &Segment, leaf: &Segment, thick: f64) -> bool {
    let along = sub(leaf.b, leaf.a);
    let length = norm(along).max(1e-300);
    let dir = [along[0] / length, along[1] / length];
    let slack = thick * 0.25;
    [g.a, g.b].iter().all(|p| {
        let d = sub(*p, leaf.a);
        let (s, t) = (dot(d, dir), cross(dir, d));
        s >= -slack && s <= length + slack && t.abs() <= thick
    })
}

/// Part of a circle, about a quarter.
pub(crate) fn is_swing(a: &Arc) -> bool {
    let (u, v) = (norm(a.u), norm(a.v));
    u > 0.0
        && (u - v).abs() <= u * 0.01
        && dot(a.u, a.v).abs() <= u * u * 0.01
        && SWING_DEGREES.contains(&a.sweep.abs().to_degrees())
}

fn symbol(drawing: &Drawing, shapes: &[usize]) -> Symbol {
    let lines = &drawing.lines;
    let segments = shapes.iter().flat_map(|i| lines.segments_of(*i));
    let arcs = shapes.iter().flat_map(|i| lines.arcs_of(*i));
    Symbol {
        kind: OpeningKind::Door,
        segments: segments.filter_map(|j| lines.segments.get(j)).copied().collect(),
        arcs: arcs.filter_map(|j| lines.arcs.get(j)).copied().collect(),
        shapes: shapes.to_vec(),
        told: Told::Shape,
    }
}
