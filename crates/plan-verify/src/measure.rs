//! Plane geometry on integer polygons: growing, clipping, differences, penetration.
//!
//! Polygons are point lists, first point not repeated. Coordinates are whole nanometres within
//! ±100 km, so every difference is exact in `f64`.

use geom::{Length, Point, polygon_area_nm2};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::{Overlay, ShapeType};
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;

/// Smallest box around a polygon, nm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    pub min: (i64, i64),
    pub max: (i64, i64),
}

impl Bounds {
    pub fn of(points: &[Point]) -> Bounds {
        let mut b = Bounds { min: (i64::MAX, i64::MAX), max: (i64::MIN, i64::MIN) };
        for p in points {
            b.min = (b.min.0.min(p.x.nm()), b.min.1.min(p.y.nm()));
            b.max = (b.max.0.max(p.x.nm()), b.max.1.max(p.y.nm()));
        }
        b
    }
    /// Whether the two boxes share more than `margin` in both directions.
    pub fn meets(&self, o: &Bounds, margin: i64) -> bool {
        self.max.0.min(o.max.0) - self.min.0.max(o.min.0) > margin
            && self.max.1.min(o.max.1) - self.min.1.max(o.min.1) > margin
    }
    /// Whether a point lies in the box widened by `reach`.
    pub fn near(&self, p: Point, reach: i64) -> bool {
        let (x, y) = (p.x.nm(), p.y.nm());
        x >= self.min.0 - reach
            && x <= self.max.0 + reach
            && y >= self.min.1 - reach
            && y <= self.max.1 + reach
    }
}

/// Nanometres in inches, for a message.
pub fn inches(nm: i64) -> f64 {
    Length::from_nm(nm).to_inches()
}

/// A vector in nm.
pub type V = (f64, f64);

pub fn minus(a: Point, b: Point) -> V {
    ((a.x - b.x).nm() as f64, (a.y - b.y).nm() as f64)
}
pub fn cross(a: V, b: V) -> f64 {
    a.0 * b.1 - a.1 * b.0
}
pub fn dot(a: V, b: V) -> f64 {
    a.0 * b.0 + a.1 * b.1
}
/// `at` moved by a vector, rounded.
pub fn moved(at: Point, v: V) -> Point {
    Point::new(
        at.x + Length::from_nm(v.0.round() as i64),
        at.y + Length::from_nm(v.1.round() as i64),
    )
}

/// Whether a counter-clockwise polygon has no reflex corner.
pub fn is_convex(points: &[Point]) -> bool {
    let n = points.len();
    (0..n).all(|i| {
        let (a, b, c) = (points[i], points[(i + 1) % n], points[(i + 2) % n]);
        let (u, v) = ((b - a), (c - b));
        let turn = u.x.nm() as i128 * v.y.nm() as i128 - u.y.nm() as i128 * v.x.nm() as i128;
        // A few nanometres of dent over the length of a plate is rounding.
        turn >= 0 || (turn as f64) > -4.0 * (dot(minus(b, a), minus(b, a))).sqrt()
    })
}

/// Twice nothing: whether two non-neighbouring sides of the polygon touch or cross.
pub fn crosses_itself(points: &[Point]) -> bool {
    let n = points.len();
    let turn = |a: Point, b: Point, c: Point| -> i128 {
        let (u, v) = (b - a, c - a);
        u.x.nm() as i128 * v.y.nm() as i128 - u.y.nm() as i128 * v.x.nm() as i128
    };
    for i in 0..n {
        for j in i + 2..n {
            if i == 0 && j == n - 1 {
                continue;
            }
            let (a, b) = (points[i], points[i + 1]);
            let (c, d) = (points[j], points[(j + 1) % n]);
            let (s1, s2) = (turn(a, b, c).signum(), turn(a, b, d).signum());
            let (s3, s4) = (turn(c, d, a).signum(), turn(c, d, b).signum());
            if s1 * s2 < 0 && s3 * s4 < 0 {
                return true;
            }
        }
    }
    false
}

/// The polygon with every side moved outwards by `by` nm (inwards when negative), sides prolonged
/// until they meet; corners sharper than `limit` allows (longest prolongation over `by`) are cut
/// off. The polygon must run counter-clockwise.
pub fn grown(points: &[Point], by: f64, limit: f64) -> Vec<Point> {
    let mut ring: Vec<Point> = Vec::with_capacity(points.len());
    for p in points {
        if ring.last() != Some(p) {
            ring.push(*p);
        }
    }
    while ring.len() > 1 && ring.first() == ring.last() {
        ring.pop();
    }
    let n = ring.len();
    if n < 3 {
        return ring;
    }
    let normal = |i: usize| -> V {
        let d = minus(ring[(i + 1) % n], ring[i]);
        let len = d.0.hypot(d.1);
        (d.1 / len, -d.0 / len)
    };
    let mut out = Vec::with_capacity(n);
    let mut before = normal(n - 1);
    for (i, p) in ring.iter().enumerate() {
        let after = normal(i);
        let sum = 1.0 + dot(before, after);
        if sum * limit * limit >= 2.0 {
            let k = by / sum;
            out.push(moved(*p, ((before.0 + after.0) * k, (before.1 + after.1) * k)));
        } else {
            out.push(moved(*p, (before.0 * by, before.1 * by)));
            out.push(moved(*p, (after.0 * by, after.1 * by)));
        }
        before = after;
    }
    out
}

/// How far one convex polygon reaches into another, nm: the least distance one would have to be
/// moved to clear the other. Negative when they are apart. Both counter-clockwise.
pub fn penetration(a: &[Point], b: &[Point]) -> f64 {
    let base = a[0];
    let mut least = f64::INFINITY;
    for (p, q) in [(a, b), (b, a)] {
        for i in 0..p.len() {
            let d = minus(p[(i + 1) % p.len()], p[i]);
            let len = d.0.hypot(d.1);
            if len == 0.0 {
                continue;
            }
            let out = (d.1 / len, -d.0 / len);
            let face = dot(minus(p[i], base), out);
            let reach = q.iter().map(|v| face - dot(minus(*v, base), out)).fold(f64::MIN, f64::max);
            least = least.min(reach);
            if least <= 0.0 {
                return least;
            }
        }
    }
    least
}

/// Area in nm² of what `subject` (any simple polygon) shares with a convex counter-clockwise
/// polygon.
pub fn shared_area(subject: &[Point], convex: &[Point]) -> f64 {
    let ring = shared(subject, convex);
    let twice: f64 = (0..ring.len()).map(|k| cross(ring[k], ring[(k + 1) % ring.len()])).sum();
    twice.abs() / 2.0
}

/// What `subject` (any simple polygon) shares with a convex counter-clockwise polygon, from that
/// polygon's first corner; parts that are apart hang together by lines of no width. May be empty.
pub fn shared(subject: &[Point], convex: &[Point]) -> Vec<V> {
    let base = convex[0];
    let mut ring: Vec<V> = subject.iter().map(|p| minus(*p, base)).collect();
    let n = convex.len();
    for i in 0..n {
        let from = minus(convex[i], base);
        let along = minus(convex[(i + 1) % n], convex[i]);
        let side = |p: V| cross(along, (p.0 - from.0, p.1 - from.1));
        let mut kept = Vec::with_capacity(ring.len() + 2);
        for k in 0..ring.len() {
            let (p, q) = (ring[k], ring[(k + 1) % ring.len()]);
            let (sp, sq) = (side(p), side(q));
            if sp >= 0.0 {
                kept.push(p);
            }
            if (sp > 0.0 && sq < 0.0) || (sp < 0.0 && sq > 0.0) {
                let t = sp / (sp - sq);
                kept.push((p.0 + (q.0 - p.0) * t, p.1 + (q.1 - p.1) * t));
            }
        }
        ring = kept;
        if ring.len() < 3 {
            return Vec::new();
        }
    }
    ring
}

/// One connected part of the result of a boolean operation.
#[derive(Debug)]
pub struct Part {
    /// Outer boundary.
    pub outer: Vec<Point>,
    /// Less holes, nm².
    pub area_nm2: f64,
}

impl Part {
    /// Mean of the corners: a place to point at.
    pub fn place(&self) -> Point {
        let n = self.outer.len().max(1) as i128;
        let sum = |f: fn(&Point) -> i64| self.outer.iter().map(|p| i128::from(f(p))).sum::<i128>();
        let mean = |total: i128| Length::from_nm((total / n) as i64);
        Point::new(mean(sum(|p| p.x.nm())), mean(sum(|p| p.y.nm())))
    }
    /// Square inches.
    pub fn square_inches(&self) -> f64 {
        self.area_nm2 / (25_400_000.0 * 25_400_000.0)
    }
}

/// What lies in some `subject` polygon and in no `clip` polygon.
pub fn difference<'a>(
    subject: impl Iterator<Item = &'a [Point]>,
    clip: impl Iterator<Item = &'a [Point]>,
) -> Vec<Part> {
    overlay(subject, clip, OverlayRule::Difference)
}

/// What lies in some `subject` polygon and in some `clip` polygon.
pub fn intersection<'a>(
    subject: impl Iterator<Item = &'a [Point]>,
    clip: impl Iterator<Item = &'a [Point]>,
) -> Vec<Part> {
    overlay(subject, clip, OverlayRule::Intersect)
}

/// Mean thickness, nm, below which a part is what rounding to whole nanometres leaves.
const NOISE: f64 = 20.0;

fn overlay<'a>(
    subject: impl Iterator<Item = &'a [Point]>,
    clip: impl Iterator<Item = &'a [Point]>,
    rule: OverlayRule,
) -> Vec<Part> {
    let mut engine: Overlay<i64> = Overlay::new(64);
    let corner = |p: &Point| IntPoint::new(p.x.nm(), p.y.nm());
    for ring in subject {
        engine.add_path_iter(ring.iter().map(corner), ShapeType::Subject);
    }
    for ring in clip {
        engine.add_path_iter(ring.iter().map(corner), ShapeType::Clip);
    }
    let mut parts: Vec<Part> = engine
        .overlay(rule, FillRule::NonZero)
        .into_iter()
        .filter_map(|shape| {
            let mut rings = shape.into_iter().map(|ring| -> Vec<Point> {
                ring.into_iter()
                    .map(|p| Point::new(Length::from_nm(p.x), Length::from_nm(p.y)))
                    .collect()
            });
            let outer = rings.next()?;
            let holes: i128 = rings.map(|h| polygon_area_nm2(&h).abs()).sum();
            let area_nm2 = (polygon_area_nm2(&outer).abs() - holes) as f64;
            let side = |i: usize| outer[i].distance(outer[(i + 1) % outer.len()]).nm() as f64;
            let round: f64 = (0..outer.len()).map(side).sum();
            (2.0 * area_nm2 > round * NOISE).then_some(Part { outer, area_nm2 })
        })
        .collect();
    parts.sort_by(|a, b| a.outer.cmp(&b.outer));
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rect(x0: i64, y0: i64, x1: i64, y1: i64) -> Vec<Point> {
        let at = |x, y| Point::new(Length::from_nm(x), Length::from_nm(y));
        vec![at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1)]
    }

    /// By hand: a tip of angle a is prolonged by 1 / sin(a / 2) times what the sides move by, 3 times at 38.94
    /// degrees; the corners at the other end, of 70 degrees or so, by 1.7 times.
    #[test]
    fn sharp_tips_are_cut_off() {
        for (degrees, corners) in [(38.0_f64, 4), (40.0, 3)] {
            let half = (degrees / 2.0).to_radians().tan() * 1e9;
            let at =
                |x: f64, y: f64| Point::new(Length::from_nm(x as i64), Length::from_nm(y as i64));
            let tip = [at(0.0, 0.0), at(1e9, -half), at(1e9, half)];
            let out = grown(&tip, 1e6, 3.0);
            assert_eq!(out.len(), corners, "{degrees}");
            let (sin, cos) = (degrees / 2.0).to_radians().sin_cos();
            let want = match corners {
                3 => vec![(-1e6 / sin, 0.0)],
                _ => vec![(-1e6 * sin, 1e6 * cos), (-1e6 * sin, -1e6 * cos)],
            };
            for (p, (x, y)) in out.iter().zip(want) {
                let off = (p.x.nm() as f64 - x).hypot(p.y.nm() as f64 - y);
                assert!(off < 2.0, "{p:?} {x} {y}");
            }
        }
    }

    #[test]
    fn growing_a_rectangle_moves_every_side() {
        assert_eq!(grown(&rect(0, 0, 100, 50), 7.0, 8.0), rect(-7, -7, 107, 57));
        assert_eq!(grown(&rect(0, 0, 100, 50), -7.0, 8.0), rect(7, 7, 93, 43));
    }

    #[test]
    fn growing_a_notched_plate_narrows_the_notch() {
        let at = |x, y| Point::new(Length::from_nm(x), Length::from_nm(y));
        let notched =
            [(0, 0), (100, 0), (100, 50), (60, 50), (60, 30), (40, 30), (40, 50), (0, 50)]
                .map(|(x, y)| at(x, y));
        let wide = grown(&notched, 5.0, 8.0);
        assert_eq!(wide[3..7], [(55, 55), (55, 35), (45, 35), (45, 55)].map(|(x, y)| at(x, y)));
        assert!(!is_convex(&notched) && is_convex(&rect(0, 0, 1, 1)));
    }

    #[test]
    fn penetration_and_shared_area_of_rectangles() {
        let a = rect(0, 0, 100, 50);
        assert_eq!(penetration(&a, &rect(90, 10, 200, 20)), 10.0);
        assert!(penetration(&a, &rect(100, 0, 200, 50)) <= 0.0);
        assert_eq!(shared_area(&rect(90, 10, 200, 20), &a), 100.0);
        assert_eq!(shared_area(&rect(100, 10, 200, 20), &a), 0.0);
    }

    #[test]
    fn a_bow_tie_crosses_itself() {
        let at = |x, y| Point::new(Length::from_nm(x), Length::from_nm(y));
        assert!(crosses_itself(&[at(0, 0), at(10, 10), at(10, 0), at(0, 10)]));
        assert!(!crosses_itself(&rect(0, 0, 10, 10)));
    }

    /// What rounding leaves is thinner than 20 nm.
    #[test]
    fn parts_as_thin_as_rounding_are_none() {
        for (thick, parts) in [(19, 0), (21, 1)] {
            let (a, b) = (rect(0, 0, 100_000, 100), rect(0, 0, 100_000, 100 - thick));
            let left = difference([a.as_slice()].into_iter(), [b.as_slice()].into_iter());
            assert_eq!(left.len(), parts, "{thick}");
        }
    }

    #[test]
    fn difference_reports_the_hole_it_leaves() {
        let (a, b) = (rect(0, 0, 100, 100), rect(0, 0, 100, 40));
        let left = difference([a.as_slice()].into_iter(), [b.as_slice()].into_iter());
        assert_eq!(left.len(), 1);
        assert_eq!(left[0].area_nm2, 6000.0);
        // Less what is cut out of its middle.
        let inner = rect(30, 30, 70, 70);
        let left = difference([a.as_slice()].into_iter(), [inner.as_slice()].into_iter());
        assert_eq!(left.len(), 1);
        assert_eq!(left[0].area_nm2, 8400.0);
    }
}
