//! The centreline of a wall whose plan outline bends: corner lies opposite corner, one thickness apart
//! all the way.

use super::footprint::Plan;

/// Sine of the angle below which two edges run the same way: about half a degree.
const PARALLEL: f64 = 0.01;

/// The two faces of one wall are everywhere as far apart, within this part of it.
const EVEN: f64 = 0.02;

/// A centreline with corners.
#[derive(Clone, Debug, PartialEq)]
pub struct Chain {
    /// Its corners; a closed one repeats its first.
    pub points: Vec<Plan>,
    /// Distance of the faces.
    pub thickness: f64,
}

fn minus(a: Plan, b: Plan) -> Plan {
    (a.0 - b.0, a.1 - b.1)
}
fn cross(a: Plan, b: Plan) -> f64 {
    a.0 * b.1 - a.1 * b.0
}
fn dot(a: Plan, b: Plan) -> f64 {
    a.0 * b.0 + a.1 * b.1
}
fn length(a: Plan) -> f64 {
    a.0.hypot(a.1)
}

/// Drops repeated corners and corners in a straight line of a closed outline.
fn cleaned(outline: &[Plan]) -> Vec<Plan> {
    let mut points: Vec<Plan> = outline.to_vec();
    points.dedup();
    while points.len() > 1 && points.first() == points.last() {
        points.pop();
    }
    let size = points.iter().map(|p| length(minus(*p, points[0]))).fold(0.0, f64::max);
    let n = points.len();
    let keep = |i: usize| {
        let (u, v) =
            (minus(points[i], points[(i + n - 1) % n]), minus(points[(i + 1) % n], points[i]));
        length(u) > 1e-9 * size && (dot(u, v) <= 0.0 || cross(u, v).abs() > 1e-4 * dot(u, v))
    };
    (0..n).filter(|i| keep(*i)).map(|i| points[i]).collect()
}

/// The stretch between two faces is even when they run the same way at that distance.
fn even(left: (Plan, Plan), right: (Plan, Plan), thickness: f64) -> bool {
    let (u, v) = (minus(left.1, left.0), minus(right.1, right.0));
    let (lu, lv) = (length(u), length(v));
    if lu <= 0.0 || lv <= 0.0 || dot(u, v) <= 0.0 || cross(u, v).abs() > PARALLEL * lu * lv {
        return false;
    }
    let gap = cross(u, minus(right.0, left.0)).abs() / lu;
    (gap - thickness).abs() <= EVEN * thickness
}

fn middle(a: Plan, b: Plan) -> Plan {
    ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0)
}

/// The centreline of an outline with two ends and at least one bend.
pub fn chain_of_outline(outline: &[Plan]) -> Option<Chain> {
    let points = cleaned(outline);
    let n = points.len();
    if n < 6 || !n.is_multiple_of(2) {
        return None;
    }
    let half = n / 2;
    let mut best: Option<Chain> = None;
    for i in 0..half {
        // Edge i and the one opposite are the ends; what lies between are the two faces.
        let left: Vec<Plan> = (0..half).map(|j| points[(i + 1 + j) % n]).collect();
        let right: Vec<Plan> = (0..half).map(|j| points[(i + n - j) % n]).collect();
        let u = minus(left[1], left[0]);
        let thickness = cross(u, minus(right[0], left[0])).abs() / length(u);
        let pair = |j: usize| ((left[j], left[j + 1]), (right[j], right[j + 1]));
        let all_even = (0..half - 1).all(|j| even(pair(j).0, pair(j).1, thickness));
        // The faces of a wall are closer to each other than its bends are.
        let slender = (0..half - 1).all(|j| {
            let (l, r) = pair(j);
            length(minus(l.1, l.0)) + length(minus(r.1, r.0)) > 2.0 * thickness
        });
        if thickness > 0.0
            && all_even
            && slender
            && best.as_ref().is_none_or(|b| thickness < b.thickness)
        {
            let points = left.iter().zip(&right).map(|(a, b)| middle(*a, *b)).collect();
            best = Some(Chain { points, thickness });
        }
    }
    best
}

/// The centreline of a wall that goes round: an outline with one hole, corner opposite corner.
pub fn ring_of_outlines(outer: &[Plan], hole: &[Plan]) -> Option<Chain> {
    let (outer, mut hole) = (cleaned(outer), cleaned(hole));
    let n = outer.len();
    if n < 3 || n != hole.len() {
        return None;
    }
    let area = |o: &[Plan]| (0..n).map(|i| cross(o[i], o[(i + 1) % n])).sum::<f64>();
    if (area(&outer) > 0.0) != (area(&hole) > 0.0) {
        hole.reverse();
    }
    let nearest = (0..n).min_by(|a, b| {
        let d = |i: &usize| length(minus(hole[*i], outer[0]));
        d(a).total_cmp(&d(b))
    })?;
    hole.rotate_left(nearest);
    let u = minus(outer[1], outer[0]);
    let thickness = cross(u, minus(hole[0], outer[0])).abs() / length(u);
    let side = |o: &[Plan], i: usize| (o[i], o[(i + 1) % n]);
    let all_even = (0..n).all(|i| even(side(&outer, i), side(&hole, i), thickness));
    if thickness.is_nan() || thickness <= 0.0 || !all_even {
        return None;
    }
    let mut points: Vec<Plan> = outer.iter().zip(&hole).map(|(a, b)| middle(*a, *b)).collect();
    points.push(points[0]);
    Some(Chain { points, thickness })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn an_ell_and_a_u() {
        let ell = [(0.0, 0.0), (10.0, 0.0), (10.0, 8.0), (9.0, 8.0), (9.0, 1.0), (0.0, 1.0)];
        let c = chain_of_outline(&ell).unwrap();
        assert_eq!(c.thickness, 1.0);
        let mut points = c.points;
        if points[0] != (0.0, 0.5) {
            points.reverse();
        }
        assert_eq!(points, [(0.0, 0.5), (9.5, 0.5), (9.5, 8.0)]);
        let u = [
            (0.0, 9.0),
            (0.0, 0.0),
            (20.0, 0.0),
            (20.0, 9.0),
            (19.0, 9.0),
            (19.0, 1.0),
            (1.0, 1.0),
            (1.0, 9.0),
        ];
        assert_eq!(chain_of_outline(&u).unwrap().points.len(), 4);
    }

    #[test]
    fn what_is_no_even_chain_is_none() {
        let tee = [
            (0.0, 0.0),
            (10.0, 0.0),
            (10.0, 1.0),
            (6.0, 1.0),
            (6.0, 5.0),
            (5.0, 5.0),
            (5.0, 1.0),
            (0.0, 1.0),
        ];
        assert_eq!(chain_of_outline(&tee), None);
        let thick = [(0.0, 0.0), (10.0, 0.0), (10.0, 8.0), (7.0, 8.0), (7.0, 1.0), (0.0, 1.0)];
        assert_eq!(chain_of_outline(&thick), None);
        assert_eq!(chain_of_outline(&[(1.0, 1.0); 8]), None);
        assert_eq!(chain_of_outline(&[]), None);
    }

    #[test]
    fn a_ring() {
        let outer = [(0.0, 0.0), (20.0, 0.0), (20.0, 10.0), (0.0, 10.0)];
        let hole = [(19.5, 9.5), (19.5, 0.5), (0.5, 0.5), (0.5, 9.5)];
        let r = ring_of_outlines(&outer, &hole).unwrap();
        assert_eq!((r.points.len(), r.thickness), (5, 0.5));
        assert_eq!((r.points[0], r.points[2]), ((0.25, 0.25), (19.75, 9.75)));
        let window = [(5.0, 0.2), (8.0, 0.2), (8.0, 9.0), (5.0, 9.0)];
        assert_eq!(ring_of_outlines(&outer, &window), None);
    }

    proptest! {
        /// A polyline with bends between a quarter and three quarters of a straight angle, made thick.
        #[test]
        fn the_line_an_outline_was_made_of(turns in prop::collection::vec((40.0..90.0_f64, prop::bool::ANY, 1.0..1.8_f64), 2..5), first in 0..8_usize) {
            let (mut at, mut angle) = ((0.0, 0.0), 0.0_f64);
            let mut line = vec![at];
            for (len, left, turn) in &turns {
                at = (at.0 + len * angle.cos(), at.1 + len * angle.sin());
                line.push(at);
                angle += if *left { *turn } else { -*turn };
            }
            let half = 1.5;
            let side = |s: f64| -> Vec<Plan> {
                (0..line.len()).map(|i| {
                    let d = |a: Plan, b: Plan| { let v = minus(b, a); let l = length(v); (v.0 / l, v.1 / l) };
                    let before = d(line[i.max(1) - 1], line[i.max(1)]);
                    let after = if i + 1 < line.len() { d(line[i], line[i + 1]) } else { before };
                    let (n, m) = ((-before.1, before.0), (-after.1, after.0));
                    let k = s * half / (1.0 + dot(n, m));
                    (line[i].0 + k * (n.0 + m.0), line[i].1 + k * (n.1 + m.1))
                }).collect()
            };
            let mut outline = side(1.0);
            outline.extend(side(-1.0).into_iter().rev());
            let turns = first % outline.len();
            outline.rotate_left(turns);
            let mut got = chain_of_outline(&outline).unwrap();
            prop_assert!((got.thickness - 3.0).abs() < 1e-9);
            if length(minus(got.points[0], line[0])) > 1.0 {
                got.points.reverse();
            }
            for (a, b) in got.points.iter().zip(&line) {
                prop_assert!(length(minus(*a, *b)) < 1e-9);
            }
        }
    }
}
