//! Arcs on wall layers that are walls.
//!
//! Knows: which arcs of circles are the two faces of a wall, which are a centreline. Never touches: sections, doors,
//! door swings, arcs on layers that are not known for walls.

use crate::account::{Fate, Reason};
use crate::affine::{Xy, dot, norm, sub};
use crate::layers::Usage;
use crate::linework::{Arc, Segment, mark};
use crate::survey::Survey;
use crate::walls::{FACES_IN, WallLine};
use rustc_hash::{FxHashMap, FxHashSet};
use settings::CurvedWalls;
use std::collections::BTreeMap;
use std::f64::consts::TAU;

/// Centres of two faces' arcs lie this near to each other, inches.
pub(crate) const SAME_CENTRE_IN: f64 = 0.25;
/// The faces of a wall share this much at least, inches, and half of the shorter one.
pub(crate) const SHARED_IN: f64 = 6.0;
/// An ARC up to this radius, inches, drawn as a single line, is rather the swing of a door: the widest leaf
/// is 4 ft, with its frame 4 ft 6 in (common practice, no source).
const SWING_IN: f64 = 54.0;
/// Farther from the origin no building stands: the wall model's 100 000 km, in inches.
const FAR_IN: f64 = 4e9;
/// Wall layers with more arcs hold no plan of walls, and all pairs of them would be too many to look at.
const MOST: usize = 5_000;
/// An arc of a circle on a wall layer, in inches, counter-clockwise.
#[derive(Clone, Copy)]
pub(crate) struct Curve {
    pub shape: usize,
    pub centre: Xy,
    pub radius: f64,
    /// Angle at its start, radians.
    pub from: f64,
    pub sweep: f64,
}

impl Curve {
    /// None of an arc that is stretched to an ellipse's.
    pub fn of(shape: usize, arc: &Arc, k: f64) -> Option<Curve> {
        let radius = norm(arc.u);
        let round = (norm(arc.v) - radius).abs() <= 1e-6 * radius
            && dot(arc.u, arc.v).abs() <= 1e-6 * radius * radius;
        let near = arc.center.iter().all(|c| (c * k).abs() < FAR_IN) && arc.sweep.is_finite();
        if !round || !near || !(SHARED_IN..FAR_IN).contains(&(radius * k)) {
            return None;
        }
        // Counter-clockwise from the start where the sweep and the two directions have one sense, else from
        // the end.
        let left = crate::affine::cross(arc.u, arc.v) > 0.0;
        let [start, end] = arc.ends().map(|p| {
            let d = sub(p, arc.center);
            d[1].atan2(d[0])
        });
        let from = if left == (arc.sweep > 0.0) { start } else { end };
        let centre = arc.center.map(|c| c * k);
        Some(Curve { shape, centre, radius: radius * k, from, sweep: arc.sweep.abs().min(TAU) })
    }
    pub fn at(&self, turn: f64) -> Xy {
        let (sin, cos) = (self.from + turn).sin_cos();
        [self.centre[0] + self.radius * cos, self.centre[1] + self.radius * sin]
    }
    pub fn ends(&self) -> [Xy; 2] {
        [self.at(0.0), self.at(self.sweep)]
    }
    /// The same whatever the order of entities.
    fn key(&self) -> [u64; 5] {
        [self.centre[0], self.centre[1], self.radius, self.from, self.sweep]
            .map(crate::nearby::ordered)
    }
    /// The straight parts it is planned as; none where it is too small or too long for any.
    pub fn parts(&self) -> Option<Vec<Segment>> {
        let count = CurvedWalls::parts(CurvedWalls::OFF.to_inches(), self.radius, self.sweep)?;
        let at = |n: u32| self.at(self.sweep * f64::from(n) / f64::from(count));
        Some((0..count).map(|n| Segment { a: at(n), b: at(n + 1) }).collect())
    }
}

/// The arcs of the wall layers that are or could be walls.
pub(crate) fn curves(s: &Survey<'_>, k: f64) -> Vec<Curve> {
    let lines = &s.drawing.lines;
    let mut out = Vec::new();
    for (i, shape) in lines.shapes.iter().enumerate() {
        let open = matches!(
            s.fates.get(i),
            Some(Fate::Used | Fate::Left(Reason::Curved | Reason::FaceLines | Reason::InsideWall))
        );
        let is_wall = s.role(i).is_some_and(|r| r.usage == Usage::Wall);
        if !open || !is_wall || shape.marks & (mark::CURVED | mark::TILTED | mark::BAD) != 0 {
            continue;
        }
        let arcs = lines.arcs_of(i).filter_map(|j| lines.arcs.get(j));
        out.extend(arcs.filter_map(|a| Curve::of(i, a, k)));
    }
    if out.len() > MOST {
        return Vec::new();
    }
    out.sort_by_key(|c| (c.key(), s.source(c.shape)));
    out
}

/// Pairs of arcs that are the faces of one wall, thinnest first, with the arc half-way between them.
pub(crate) fn faces(curves: &[Curve]) -> Vec<(usize, usize, Curve)> {
    let cell = |c: &Curve| c.centre.map(|v| v.floor() as i64);
    let mut cells: BTreeMap<[i64; 2], Vec<usize>> = BTreeMap::new();
    for (i, c) in curves.iter().enumerate() {
        cells.entry(cell(c)).or_default().push(i);
    }
    let mut found: Vec<(u64, usize, usize, Curve)> = Vec::new();
    for (i, one) in curves.iter().enumerate() {
        let [x, y] = cell(one);
        let around = (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| [x + dx, y + dy]));
        for j in around.filter_map(|c| cells.get(&c)).flatten().copied().filter(|j| *j > i) {
            let thickness = (one.radius - curves[j].radius).abs();
            if !(FACES_IN[0]..=FACES_IN[1]).contains(&thickness) {
                continue;
            }
            if let Some(middle) = between(one, &curves[j]) {
                found.push((crate::nearby::ordered(thickness), i, j, middle));
            }
        }
    }
    found.sort_by_key(|f| (f.0, f.1, f.2));
    found.into_iter().map(|(_, i, j, middle)| (i, j, middle)).collect()
}

/// The arc half-way between two faces, as far as both go.
fn between(one: &Curve, other: &Curve) -> Option<Curve> {
    if norm(sub(one.centre, other.centre)) > SAME_CENTRE_IN {
        return None;
    }
    let ahead = (other.from - one.from).rem_euclid(TAU);
    let shared = [ahead, ahead - TAU].map(|start| {
        let from = start.max(0.0);
        (from, (start + other.sweep).min(one.sweep) - from)
    });
    let (from, sweep) = if shared[0].1 >= shared[1].1 { shared[0] } else { shared[1] };
    let radius = (one.radius + other.radius) / 2.0;
    let enough = sweep * radius >= SHARED_IN && sweep >= 0.5 * one.sweep.min(other.sweep);
    enough.then_some(Curve { shape: one.shape, radius, from: one.from + from, sweep, ..*one })
}

/// Where walls drawn as single lines end.
pub(crate) struct Ends {
    near: f64,
    cells: FxHashMap<[i64; 2], Vec<Xy>>,
    /// Shapes with such walls.
    shapes: FxHashSet<usize>,
}

impl Ends {
    pub fn of(walls: &[WallLine], near: f64) -> Ends {
        let near = near.max(1.0 / 64.0);
        let mut ends = Ends { near, cells: FxHashMap::default(), shapes: FxHashSet::default() };
        for w in walls.iter().filter(|w| !w.paired) {
            ends.shapes.extend(&w.shapes);
            for p in [w.line.a, w.line.b] {
                ends.cells.entry(p.map(|v| (v / near).floor() as i64)).or_default().push(p);
            }
        }
        ends
    }
    fn are_at(&self, p: Xy) -> bool {
        let [x, y] = p.map(|v| (v / self.near).floor() as i64);
        let mut around = (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| [x + dx, y + dy]));
        around.any(|c| {
            self.cells.get(&c).is_some_and(|all| all.iter().any(|q| norm(sub(p, *q)) <= self.near))
        })
    }
}

/// Whether an arc that is no face is a wall's centreline: a bulge among straight walls of one polyline, or an
/// arc from one wall's end to another's, larger than a door's swing.
pub(crate) fn is_centreline(s: &Survey<'_>, curve: &Curve, ends: &Ends) -> bool {
    let Some(shape) = s.drawing.lines.shapes.get(curve.shape) else { return false };
    if ends.shapes.contains(&curve.shape) {
        return true;
    }
    let large = !shape.is_arc() || curve.radius > SWING_IN;
    large && curve.ends().into_iter().all(|p| ends.are_at(p))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::FRAC_PI_2;

    #[test]
    fn arcs_are_one_whichever_way_they_are_drawn_and_mirrored() {
        let u = [100.0, 0.0];
        let all = [
            Arc { center: [5.0, 7.0], u, v: [0.0, 100.0], sweep: FRAC_PI_2 },
            Arc { center: [5.0, 7.0], u: [0.0, 100.0], v: [100.0, 0.0], sweep: FRAC_PI_2 },
            Arc { center: [5.0, 7.0], u: [0.0, 100.0], v: [-100.0, 0.0], sweep: -FRAC_PI_2 },
        ];
        for arc in all {
            let c = Curve::of(0, &arc, 1.0).unwrap();
            assert!(c.from.abs() < 1e-12 && (c.sweep - FRAC_PI_2).abs() < 1e-12, "{arc:?}");
        }
        let stretched = Arc { v: [0.0, 50.0], ..all[0] };
        assert!(Curve::of(0, &stretched, 1.0).is_none());
    }

    #[test]
    fn arcs_beyond_all_reach_are_none() {
        for (centre, radius) in
            [(1e300, 100.0), (0.0, 1e300), (f64::NAN, 100.0), (0.0, f64::INFINITY)]
        {
            let arc = Arc { center: [centre, 0.0], u: [radius, 0.0], v: [0.0, radius], sweep: 1.0 };
            assert!(Curve::of(0, &arc, 1.0).is_none(), "{centre} {radius}");
        }
    }

    #[test]
    fn faces_share_what_both_go() {
        let curve = |radius: f64, from: f64, sweep: f64| Curve {
            shape: 0,
            centre: [0.0; 2],
            radius,
            from,
            sweep,
        };
        // Across the start of the turn.
        let middle = between(&curve(100.0, 6.0, 1.0), &curve(104.0, 0.1, 0.5)).unwrap();
        let end = (middle.from + middle.sweep).rem_euclid(TAU);
        assert!((middle.from.rem_euclid(TAU) - 0.1).abs() < 1e-9 && (end - 0.6).abs() < 1e-9);
        assert!(between(&curve(100.0, 0.0, 1.0), &curve(104.0, 3.0, 1.0)).is_none());
        let whole = between(&curve(100.0, 1.0, TAU), &curve(104.0, 2.0, TAU)).unwrap();
        assert!(whole.sweep > 0.99 * TAU || whole.sweep > 5.0);
    }
}
