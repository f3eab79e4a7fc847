//! What polygons leave bare of others: nearly always nothing, which is shown quickly.

use crate::measure::{Bounds, Part, V, cross, difference, is_convex, minus};
use geom::Point;
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

/// Boxes to be searched for those that meet another.
pub struct Boxes {
    tree: RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>,
}

fn envelope(b: &Bounds) -> AABB<[f64; 2]> {
    AABB::from_corners([b.min.0 as f64, b.min.1 as f64], [b.max.0 as f64, b.max.1 as f64])
}

impl Boxes {
    pub fn of(bounds: impl Iterator<Item = Bounds>) -> Boxes {
        let boxed =
            |(i, b): (usize, Bounds)| GeomWithData::new(Rectangle::from_aabb(envelope(&b)), i);
        Boxes { tree: RTree::bulk_load(bounds.enumerate().map(boxed).collect()) }
    }
    /// Which boxes touch this one, ascending.
    pub fn meeting(&self, b: &Bounds) -> Vec<usize> {
        let mut hits: Vec<usize> =
            self.tree.locate_in_envelope_intersecting(envelope(b)).map(|g| g.data).collect();
        hits.sort_unstable();
        hits
    }
}

/// Polygons that are to cover others.
pub struct Cover {
    polygons: Vec<Vec<Point>>,
    convex: Vec<bool>,
    boxes: Boxes,
}

impl Cover {
    /// Of counter-clockwise polygons.
    pub fn of(polygons: Vec<Vec<Point>>) -> Cover {
        Cover {
            convex: polygons.iter().map(|p| is_convex(p)).collect(),
            boxes: Boxes::of(polygons.iter().map(|p| Bounds::of(p))),
            polygons,
        }
    }
    /// What of the subjects (counter-clockwise) is left bare. Most subjects are covered by a few convex
    /// neighbours, which is quickly shown; the rest goes through the exact overlay, and those that are
    /// bare once more together, so that a bare place is one part even where subjects overlap.
    pub fn bare<'a>(&self, subjects: impl Iterator<Item = &'a [Point]>) -> Vec<Part> {
        let mut open: Vec<&[Point]> = Vec::new();
        let mut near: Vec<usize> = Vec::new();
        for subject in subjects {
            if subject.len() < 3 {
                continue;
            }
            let neighbours = self.boxes.meeting(&Bounds::of(subject));
            let by = neighbours.iter().filter(|i| self.convex[**i]);
            if covered(&hull(subject), by.map(|i| self.polygons[*i].as_slice())) {
                continue;
            }
            let all = neighbours.iter().map(|i| self.polygons[*i].as_slice());
            if difference(std::iter::once(subject), all).is_empty() {
                continue;
            }
            open.push(subject);
            near.extend(neighbours);
        }
        if open.is_empty() {
            return Vec::new();
        }
        near.sort_unstable();
        near.dedup();
        difference(open.into_iter(), near.into_iter().map(|i| self.polygons[i].as_slice()))
    }
}

/// Convex hull, counter-clockwise.
pub fn hull(points: &[Point]) -> Vec<Point> {
    let mut sorted = points.to_vec();
    sorted.sort_unstable();
    sorted.dedup();
    if sorted.len() < 3 {
        return sorted;
    }
    let mut ring: Vec<Point> = Vec::with_capacity(sorted.len() + 1);
    for pass in 0..2 {
        let floor = ring.len().max(1);
        let mut add = |p: Point| {
            while ring.len() > floor {
                let (a, b) = (ring[ring.len() - 2], ring[ring.len() - 1]);
                let (u, v) = (b - a, p - a);
                let turn =
                    u.x.nm() as i128 * v.y.nm() as i128 - u.y.nm() as i128 * v.x.nm() as i128;
                if turn > 0 {
                    break;
                }
                ring.pop();
            }
            ring.push(p);
        };
        if pass == 0 {
            sorted.iter().for_each(|p| add(*p));
        } else {
            sorted.iter().rev().skip(1).for_each(|p| add(*p));
        }
    }
    ring.pop();
    ring
}

/// Whether convex polygons cover a convex polygon: what each leaves over is split along its sides and
/// tried on the next. Remainders under 1000 nm² (a billionth of a square millimetre) count as nothing.
/// All counter-clockwise.
pub fn covered<'a>(subject: &[Point], by: impl Iterator<Item = &'a [Point]>) -> bool {
    let base = subject[0];
    let mut left: Vec<Vec<V>> = vec![subject.iter().map(|p| minus(*p, base)).collect()];
    for convex in by {
        let mut rest = Vec::new();
        for mut piece in left {
            let n = convex.len();
            let clear = |i: usize| {
                let from = minus(convex[i], base);
                let along = minus(convex[(i + 1) % n], convex[i]);
                piece.iter().all(|p| cross(along, (p.0 - from.0, p.1 - from.1)) <= 0.0)
            };
            if (0..n).any(clear) {
                rest.push(piece);
                continue;
            }
            let mut outside = Vec::new();
            for i in 0..n {
                let from = minus(convex[i], base);
                let along = minus(convex[(i + 1) % n], convex[i]);
                let (inner, outer) = split(&piece, from, along);
                if let Some(outer) = outer {
                    outside.push(outer);
                }
                match inner {
                    Some(inner) => piece = inner,
                    None => break,
                }
            }
            rest.append(&mut outside);
        }
        left = rest;
        if left.is_empty() {
            return true;
        }
    }
    false
}

/// The parts of a convex polygon to the left and to the right of a line.
fn split(ring: &[V], from: V, along: V) -> (Option<Vec<V>>, Option<Vec<V>>) {
    let side = |p: V| cross(along, (p.0 - from.0, p.1 - from.1));
    let sides: Vec<f64> = ring.iter().map(|p| side(*p)).collect();
    if sides.iter().all(|s| *s >= 0.0) {
        return (Some(ring.to_vec()), None);
    }
    if sides.iter().all(|s| *s <= 0.0) {
        return (None, Some(ring.to_vec()));
    }
    let (mut inner, mut outer) = (Vec::new(), Vec::new());
    for k in 0..ring.len() {
        let next = (k + 1) % ring.len();
        let (p, q, sp, sq) = (ring[k], ring[next], sides[k], sides[next]);
        if sp >= 0.0 {
            inner.push(p);
        }
        if sp <= 0.0 {
            outer.push(p);
        }
        if (sp > 0.0 && sq < 0.0) || (sp < 0.0 && sq > 0.0) {
            let t = sp / (sp - sq);
            let cut = (p.0 + (q.0 - p.0) * t, p.1 + (q.1 - p.1) * t);
            inner.push(cut);
            outer.push(cut);
        }
    }
    let solid = |ring: Vec<V>| {
        let twice: f64 = (0..ring.len()).map(|k| cross(ring[k], ring[(k + 1) % ring.len()])).sum();
        (twice > 2000.0).then_some(ring)
    };
    (solid(inner), solid(outer))
}

#[cfg(test)]
mod tests {
    use super::*;
    use geom::Length;

    fn rect(x0: i64, y0: i64, x1: i64, y1: i64) -> Vec<Point> {
        let at = |x, y| Point::new(Length::from_nm(x), Length::from_nm(y));
        vec![at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1)]
    }

    #[test]
    fn a_rectangle_is_covered_by_two_halves_and_not_by_one() {
        let whole = rect(0, 0, 10_000, 1_000);
        let (a, b) = (rect(-5, -5, 6_000, 1_005), rect(5_000, 0, 10_000, 1_000));
        let covers = |list: &[&[Point]]| covered(&whole, list.iter().copied());
        assert!(covers(&[&a, &b]) && covers(&[&b, &a]));
        assert!(!covers(&[&a]) && !covers(&[&b]) && !covers(&[]));
        let far = rect(50_000, 0, 60_000, 1_000);
        assert!(covers(&[&far, &a, &far, &b]));
    }

    #[test]
    fn a_cover_finds_the_hole_that_only_the_overlay_sees() {
        let at = |x, y| Point::new(Length::from_nm(x), Length::from_nm(y));
        let notched =
            [(0, 0), (100, 0), (100, 50), (60, 50), (60, 30), (40, 30), (40, 50), (0, 50)]
                .map(|(x, y)| at(x * 100, y * 100))
                .to_vec();
        let whole = rect(0, 0, 10_000, 5_000);
        let bare = |with: Vec<Vec<Point>>| -> f64 {
            Cover::of(with).bare(std::iter::once(whole.as_slice())).iter().map(|p| p.area_nm2).sum()
        };
        assert_eq!(bare(vec![notched.clone()]), 2000.0 * 2000.0);
        assert_eq!(bare(vec![notched, rect(4_000, 3_000, 6_000, 9_000)]), 0.0);
    }

    #[test]
    fn the_hull_of_a_notched_plate_is_the_plate() {
        let at = |x, y| Point::new(Length::from_nm(x), Length::from_nm(y));
        let notched =
            [(0, 0), (100, 0), (100, 50), (60, 50), (60, 30), (40, 30), (40, 50), (0, 50)]
                .map(|(x, y)| at(x, y));
        assert_eq!(hull(&notched), rect(0, 0, 100, 50));
    }
}
