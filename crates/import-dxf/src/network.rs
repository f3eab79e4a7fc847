//! Which walls hang together.
//!
//! Knows: walls that touch, walls in one line with an opening between. Never touches: layers, sections.
//! All in inches.

use crate::affine::{Xy, cross, dot, norm, sub};
use crate::linework::{Segment, sine_between};
use crate::nearby::LineIndex;
use crate::openings::{root, unite};
use crate::parts::in_parts;
use limits::Watch;

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

/// What the neighbours of some walls say.
struct Around {
    /// Of each wall, whether its ends meet another one.
    held: Vec<(usize, [bool; 2])>,
    /// What touches is one group, directly or through others: pairs would be as many as the square of walls in
    /// one place.
    touching: Vec<usize>,
    /// Pairs in one line, with an opening between.
    in_line: Vec<(u32, u32)>,
}

/// The networks of walls given by centreline and overall thickness.
pub(crate) fn networks(axes: &[Segment], thick: &[f64]) -> Networks {
    networks_within(axes, thick, &Watch::endless())
}

/// The same; when time is up the rest meet nothing.
pub(crate) fn networks_within(axes: &[Segment], thick: &[f64], watch: &Watch) -> Networks {
    let walls = Walls { axes, thick };
    let index = LineIndex::new(axes);
    let widest = thick.iter().copied().fold(0.0, f64::max);
    let mut group: Vec<usize> = (0..axes.len()).collect();
    let mut held = vec![[false; 2]; axes.len()];
    let mut parts = in_parts(axes.len(), |range| {
        let mut out = Around {
            held: Vec::with_capacity(range.len()),
            touching: (0..axes.len()).collect(),
            in_line: Vec::new(),
        };
        index.near_each(axes, range, widest + HELD_IN, |i, around| {
            if !watch.is_over() {
                look_around(walls, i, (around, &index), widest, &mut out);
            }
        });
        out
    });
    for part in &mut parts {
        for (i, ends) in &part.held {
            if let Some(slot) = held.get_mut(*i) {
                *slot = *ends;
            }
        }
        for i in 0..part.touching.len() {
            let least = root(&mut part.touching, i);
            unite(&mut group, i, least);
        }
    }
    // Two corners that face each other are two houses, or two wings.
    let corner = |of: usize, toward: usize| {
        let (Some(g), Some(other)) = (axes.get(of), axes.get(toward)) else { return false };
        let side = usize::from(distance(other, g.b) < distance(other, g.a));
        held.get(of).is_some_and(|h| h[side])
    };
    for (i, j) in parts.iter().flat_map(|p| &p.in_line) {
        let (i, j) = (*i as usize, *j as usize);
        if !(corner(i, j) && corner(j, i)) {
            unite(&mut group, i, j);
        }
    }
    Networks { of: (0..axes.len()).map(|i| root(&mut group, i)).collect(), held }
}

/// Centrelines and overall thicknesses, as many of the one as of the other.
#[derive(Clone, Copy)]
struct Walls<'a> {
    axes: &'a [Segment],
    thick: &'a [f64],
}

impl Walls<'_> {
    fn get(&self, i: usize) -> Option<(&Segment, f64)> {
        Some((self.axes.get(i)?, *self.thick.get(i)?))
    }
}

fn look_around(
    walls: Walls<'_>,
    i: usize,
    (around, index): (&[u32], &LineIndex),
    widest: f64,
    out: &mut Around,
) {
    let mut held = [false; 2];
    if let Some((line, thick)) = walls.get(i) {
        let along = sub(line.b, line.a);
        for j in around.iter().map(|j| *j as usize) {
            let Some((other, thickness)) = walls.get(j).filter(|_| j != i) else { continue };
            let reach = (thick + thickness) / 2.0 + HELD_IN;
            let touched = [line.a, line.b].map(|p| squared(other, p) <= reach * reach);
            if touched.contains(&true) {
                unite(&mut out.touching, i, j);
                // A piece of the same wall further on holds nothing.
                if sine_between(along, sub(other.b, other.a)) > 0.1 {
                    held = [held[0] | touched[0], held[1] | touched[1]];
                }
            }
        }
        // Two corners that face each other say nothing, so that one of the two ends has to be free: whoever has a
        // free end looks along its line.
        if held != [true; 2] {
            let stretch = OPENING_IN / norm(along).max(1e-9);
            let ahead = [along[0] * stretch, along[1] * stretch];
            let strip =
                Segment { a: sub(line.a, ahead), b: [line.b[0] + ahead[0], line.b[1] + ahead[1]] };
            for j in index.near_line(&strip, widest + HELD_IN) {
                let j = j as usize;
                let Some((other, _)) = walls.get(j).filter(|_| j != i) else { continue };
                if in_line(line, other) || in_line(other, line) {
                    out.in_line.push((i as u32, j as u32));
                }
            }
        }
    }
    out.held.push((i, held));
}

/// From a point to a line, ends included.
pub(crate) fn distance(g: &Segment, p: Xy) -> f64 {
    squared(g, p).sqrt()
}

/// The square of [`distance`].
fn squared(g: &Segment, p: Xy) -> f64 {
    let d = sub(g.b, g.a);
    let t = (dot(sub(p, g.a), d) / dot(d, d).max(1e-300)).clamp(0.0, 1.0);
    let off = sub(p, [g.a[0] + d[0] * t, g.a[1] + d[1] * t]);
    dot(off, off)
}

/// Whether two walls are one wall with an opening between.
fn in_line(w: &Segment, o: &Segment) -> bool {
    let (along, other) = (sub(w.b, w.a), sub(o.b, o.a));
    // Most lines around are at right angles: told without a root.
    if cross(along, other).powi(2) > 0.000_2 * dot(along, along) * dot(other, other) {
        return false;
    }
    let length = norm(along);
    if length <= 0.0 || sine_between(along, other) > 0.01 {
        return false;
    }
    let dir = [along[0] / length, along[1] / length];
    let at = |p: Xy| (dot(sub(p, w.a), dir), dot(sub(p, w.a), [-dir[1], dir[0]]).abs());
    let (a, b) = (at(o.a), at(o.b));
    let gap = (a.0.min(b.0) - length).max(-a.0.max(b.0));
    // What overlaps touches, and is told by its ends.
    a.1.max(b.1) <= BESIDE_IN && gap > 0.0 && gap <= OPENING_IN
}
