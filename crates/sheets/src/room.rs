//! What of a drawing is taken, exactly: rectangles at any angle, found again by a grid.

use crate::page::At;
use rustc_hash::FxHashMap;

/// A rectangle at any angle.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Quad {
    pub middle: At,
    /// Unit vector along it.
    pub along: At,
    /// Half its length, half its width.
    pub half: (f64, f64),
}

impl Quad {
    /// About the line between two points, `reach` to both sides.
    pub fn line(a: At, b: At, reach: f64) -> Quad {
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let length = dx.hypot(dy);
        let along = if length > 0.0 { (dx / length, dy / length) } else { (1.0, 0.0) };
        let middle = ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0);
        Quad { middle, along, half: (length / 2.0, reach) }
    }

    fn corners(&self) -> [At; 4] {
        let (c, s) = self.along;
        let (a, b) = self.half;
        [(a, b), (-a, b), (-a, -b), (a, -b)]
            .map(|(u, v)| (self.middle.0 + u * c - v * s, self.middle.1 + u * s + v * c))
    }

    /// Left, top, right, bottom.
    pub fn bounds(&self) -> [f64; 4] {
        let c = self.corners();
        let fold = |f: fn(f64, f64) -> f64, i: fn(&At) -> f64| {
            c.iter().map(i).reduce(f).unwrap_or_default()
        };
        [
            fold(f64::min, |p| p.0),
            fold(f64::min, |p| p.1),
            fold(f64::max, |p| p.0),
            fold(f64::max, |p| p.1),
        ]
    }

    /// Whether two rectangles share a point: no axis of either separates them.
    pub fn meets(&self, o: &Quad) -> bool {
        let d = (o.middle.0 - self.middle.0, o.middle.1 - self.middle.1);
        let axes = [self.along, (-self.along.1, self.along.0), o.along, (-o.along.1, o.along.0)];
        axes.iter().all(|axis| {
            let dot = |v: At| (v.0 * axis.0 + v.1 * axis.1).abs();
            let reach =
                |q: &Quad| q.half.0 * dot(q.along) + q.half.1 * dot((-q.along.1, q.along.0));
            dot(d) < reach(self) + reach(o)
        })
    }
}

/// What a rectangle stands for: a label may cross neither, a leader only plates.
pub(crate) const PLATE: u8 = 1;
/// See [`PLATE`].
pub(crate) const INKED: u8 = 2;

/// Side of a cell of the grid, points: about the size of a label.
const CELL: f64 = 24.0;

/// The rectangles of a drawing. Cells are looked up only, so the order of the map does not show.
#[derive(Default)]
pub(crate) struct Room {
    taken: Vec<(Quad, u8)>,
    cells: FxHashMap<(i32, i32), Vec<u32>>,
}

impl Room {
    /// Takes a rectangle.
    pub fn take(&mut self, quad: Quad, kind: u8) {
        let index = self.taken.len() as u32;
        self.taken.push((quad, kind));
        for cell in cells(&quad) {
            self.cells.entry(cell).or_default().push(index);
        }
    }

    /// Whether nothing of these kinds is in the way.
    pub fn is_free(&self, quad: &Quad, kinds: u8) -> bool {
        cells(quad).all(|cell| {
            let here = self.cells.get(&cell).map_or(&[][..], Vec::as_slice);
            here.iter().all(|i| {
                let (other, kind) = &self.taken[*i as usize];
                kind & kinds == 0 || !quad.meets(other)
            })
        })
    }
}

fn cells(quad: &Quad) -> impl Iterator<Item = (i32, i32)> + use<> {
    let at = |v: f64| (v / CELL).floor().clamp(-1.0e4, 1.0e4) as i32;
    let [left, top, right, bottom] = quad.bounds().map(at);
    let quad = *quad;
    (left..=right).flat_map(move |x| (top..=bottom).map(move |y| (x, y))).filter(move |(x, y)| {
        // An oblique wall's bounds are mostly empty.
        let middle = ((f64::from(*x) + 0.5) * CELL, (f64::from(*y) + 0.5) * CELL);
        quad.meets(&Quad {
            middle,
            along: (1.0, 0.0),
            half: (CELL / 2.0 + 0.01, CELL / 2.0 + 0.01),
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn oblique_neighbours_are_told_apart() {
        let mut room = Room::default();
        room.take(Quad::line((0.0, 0.0), (100.0, 100.0), 2.0), PLATE);
        let label = |x: f64, y: f64| Quad { middle: (x, y), along: (1.0, 0.0), half: (8.0, 4.0) };
        assert!(!room.is_free(&label(50.0, 50.0), PLATE));
        assert!(room.is_free(&label(70.0, 40.0), PLATE));
        assert!(room.is_free(&label(50.0, 50.0), INKED));
        room.take(label(70.0, 40.0), INKED);
        assert!(!room.is_free(&label(80.0, 45.0), PLATE | INKED));
        // 15 points beside a line at 45 degrees, its reach and the label's own.
        assert!(!room.is_free(&label(58.0, 50.0), PLATE));
    }
}
