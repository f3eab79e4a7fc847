//! Which walls hang together.
//!
//! Knows: walls that touch, walls in one line with an opening between. Never touches: layers, sections.
//! All in inches.

use crate::affine::{Xy, dot, norm, sub};
use crate::faces::LineIndex;
use crate::linework::{Segment, sine_between};
use crate::openings::{root, unite};

/// Walls in one line with no more than this between them hang together, inches.
const OPENING_IN: f64 = 147.0;
/// Walls in one line lie no more than this beside each other, inches.
const BESIDE_IN: f64 = 1.0;
/// Ends within this of another wall's face are held by it, inches.
pub(crate) const HELD_IN: f64 = 2.0;

/// What hangs together.
pub(crate) struct Networks {
    /// Number of the network of each wall: the least wall in it.
    pub of: Vec<usize>,
    /// Whether each end of each wall meets another wall.
    pub held: Vec<[bool; 2]>,
}

/// The networks of walls given by centreline and overall thickness.
pub(crate) fn networks(walls: &[(Segment, f64)]) -> Networks {
    let axes: Vec<Segment> = walls.iter().map(|w| w.0).collect();
    let index = LineIndex::new(&axes);
    let widest = walls.iter().map(|w| w.1).fold(0.0, f64::max);
    let mut group: Vec<usize> = (0..walls.len()).collect();
    let mut held = vec![[false; 2]; walls.len()];
    for (i, (line, thick)) in walls.iter().enumerate() {
        for (side, p) in [line.a, line.b].into_iter().enumerate() {
            for j in index.near(&[p], widest + HELD_IN) {
                let j = j as usize;
                let Some((other, thickness)) = walls.get(j).filter(|_| j != i) else { continue };
                if distance(other, p) > (thick + thickness) / 2.0 + HELD_IN {
                    continue;
                }
                unite(&mut group, i, j);
                // A piece of the same wall further on holds nothing.
                if sine_between(sub(line.b, line.a), sub(other.b, other.a)) > 0.1 {
                    held[i][side] = true;
                }
            }
        }
    }
    for (i, (line, _)) in walls.iter().enumerate() {
        // Only what lies on the wall's own line: a strip, not everything a door's width around.
        let along = sub(line.b, line.a);
        let stretch = OPENING_IN / norm(along).max(1e-9);
        let ahead = [along[0] * stretch, along[1] * stretch];
        let strip = [sub(line.a, ahead), [line.b[0] + ahead[0], line.b[1] + ahead[1]]];
        for j in index.near(&strip, BESIDE_IN) {
            let j = j as usize;
            let Some((other, _)) = walls.get(j).filter(|_| j != i) else { continue };
            // Two corners that face each other are two houses, or two wings.
            let corners = || {
                let end = |of: usize, g: &Segment, toward: &Segment| {
                    let side = usize::from(distance(toward, g.b) < distance(toward, g.a));
                    held.get(of).is_some_and(|h| h[side])
                };
                end(i, line, other) && end(j, other, line)
            };
            if in_line(line, other) && !corners() {
                unite(&mut group, i, j);
            }
        }
    }
    Networks { of: (0..walls.len()).map(|i| root(&mut group, i)).collect(), held }
}

/// From a point to a line, ends included.
pub(crate) fn distance(g: &Segment, p: Xy) -> f64 {
    let d = sub(g.b, g.a);
    let t = (dot(sub(p, g.a), d) / dot(d, d).max(1e-300)).clamp(0.0, 1.0);
    norm(sub(p, [g.a[0] + d[0] * t, g.a[1] + d[1] * t]))
}

/// Whether two walls are one wall with an opening between.
fn in_line(w: &Segment, o: &Segment) -> bool {
    let along = sub(w.b, w.a);
    let length = norm(along);
    if length <= 0.0 || sine_between(along, sub(o.b, o.a)) > 0.01 {
        return false;
    }
    let dir = [along[0] / length, along[1] / length];
    let at = |p: Xy| (dot(sub(p, w.a), dir), dot(sub(p, w.a), [-dir[1], dir[0]]).abs());
    let (a, b) = (at(o.a), at(o.b));
    let gap = (a.0.min(b.0) - length).max(-a.0.max(b.0));
    a.1.max(b.1) <= BESIDE_IN && gap <= OPENING_IN
}
