//! The centreline of a wall whose body is faceted: the two long parallel faces of a straight wall,
//! whatever is cut out of them.

use super::affine::Vec3;
use super::body::Body;
use super::footprint::{Plan, Strip};
use crate::file::Why;
use std::f64::consts::PI;

/// Faces that lean less than this are upright: about half a degree.
const UPRIGHT: f64 = 0.01;

/// Angle in radians below which two faces run the same way.
const PARALLEL: f64 = 0.01;

/// A wall is at least this many times as long as thick; below, its direction is anyone's guess.
const SLENDER: f64 = 1.5;

/// A long face reaches over at least this part of the wall.
const LONG: f64 = 0.5;

/// This many directions besides the wall's own make a curve; mitred ends make two.
const CURVE_DIRECTIONS: usize = 4;

/// Why a faceted body makes no strip.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoStrip {
    /// Its faces go round a curve.
    Curved,
    /// Anything else.
    Other(Why),
}

/// An upright face: its angle in plan (0 to half a turn) and twice its area.
struct Upright<'b> {
    angle: f64,
    area: f64,
    points: &'b [Vec3],
}

/// Twice the area of a loop as a vector square to it (Newell).
pub fn area_vector(points: &[Vec3]) -> Vec3 {
    let mut a = [0.0; 3];
    let Some(first) = points.first() else { return a };
    for (p, q) in points.iter().zip(points.iter().cycle().skip(1)) {
        // From the first corner, so that far coordinates do not eat the digits.
        let (p, q) = (super::affine::sub(*p, *first), super::affine::sub(*q, *first));
        let c = super::affine::cross(p, q);
        a = super::affine::add(a, c);
    }
    a
}

/// The strip between the two long faces of a faceted body.
pub fn strip_of_mesh(body: &Body) -> Result<Strip, NoStrip> {
    let other = |why: &str| NoStrip::Other(why.to_owned());
    let uprights: Vec<Upright<'_>> = body.facets().filter_map(upright).collect();
    let groups = directions(&uprights);
    let sum = |g: &Vec<&Upright<'_>>| g.iter().map(|u| u.area).sum::<f64>();
    let Some(main) = groups.iter().max_by(|a, b| sum(a).total_cmp(&sum(b))) else {
        return Err(other("it has no upright faces"));
    };
    let main_area = sum(main);
    let angle = mean_angle(main);
    let spread = main.iter().map(|u| turn(u.angle, angle)).fold(0.0, f64::max);
    let skew = groups.iter().filter(|g| {
        let t = turn(mean_angle(g), angle);
        t > 2.0 * PARALLEL && (t - PI / 2.0).abs() > 2.0 * PARALLEL
    });
    let (mut skew_groups, mut skew_area) = (0, 0.0);
    for g in skew {
        skew_groups += 1;
        skew_area += sum(g);
    }
    if spread > 2.0 * PARALLEL || (skew_groups >= CURVE_DIRECTIONS && skew_area > 0.5 * main_area) {
        return Err(NoStrip::Curved);
    }
    let (d, from) = (direction(main, angle), main[0].points[0]);
    let along = |p: Vec3| d.0 * (p[0] - from[0]) + d.1 * (p[1] - from[1]);
    let across = |p: Vec3| d.0 * (p[1] - from[1]) - d.1 * (p[0] - from[0]);
    let (Some(reach), Some(width)) = (body.range(along), body.range(across)) else {
        return Err(other("it has no corners"));
    };
    let thickness = width.1 - width.0;
    let slack = 0.01 * thickness;
    // The faces on either side, each as far as it reaches.
    let side = |offset: f64| {
        let on = main.iter().flat_map(|u| u.points);
        let on = on.filter(|p| (across(**p) - offset).abs() <= slack).map(|p| along(*p));
        on.fold((f64::INFINITY, f64::NEG_INFINITY), |r, v| (r.0.min(v), r.1.max(v)))
    };
    let (low, high) = (side(width.0), side(width.1));
    let long = |s: (f64, f64)| s.1 - s.0 >= LONG * (reach.1 - reach.0);
    if !(thickness > 0.0 && long(low) && long(high)) {
        return Err(other(
            "it has no two long parallel upright faces with everything between them",
        ));
    }
    // Ends: halfway between where the two faces end, which puts mitred ends on the joint.
    let (s, e) = ((low.0 + high.0) / 2.0, (low.1 + high.1) / 2.0);
    if (e - s).is_nan() || e - s < SLENDER * thickness {
        return Err(other("it is about as wide as long, so its direction is not known"));
    }
    let middle = (width.0 + width.1) / 2.0;
    let at =
        |s: f64| -> Plan { (from[0] + d.0 * s - d.1 * middle, from[1] + d.1 * s + d.0 * middle) };
    Ok(Strip { start: at(s), end: at(e), thickness })
}

fn upright(points: &[Vec3]) -> Option<Upright<'_>> {
    let a = area_vector(points);
    let level = a[0].hypot(a[1]);
    if level <= 0.0 || a[2].abs() > UPRIGHT * level {
        return None;
    }
    // The face runs square to its normal.
    let angle = a[0].atan2(-a[1]).rem_euclid(PI);
    Some(Upright { angle, area: level, points })
}

/// Angle between two directions without sense, at most a quarter turn.
fn turn(a: f64, b: f64) -> f64 {
    let t = (a - b).rem_euclid(PI);
    t.min(PI - t)
}

/// Faces by direction. The order of the faces in the file does not matter.
fn directions<'u, 'b>(uprights: &'u [Upright<'b>]) -> Vec<Vec<&'u Upright<'b>>> {
    let mut sorted: Vec<&Upright<'_>> = uprights.iter().collect();
    sorted.sort_by(|a, b| a.angle.total_cmp(&b.angle).then(a.area.total_cmp(&b.area)));
    let mut groups: Vec<Vec<&Upright<'_>>> = Vec::new();
    for u in sorted {
        match groups.last_mut() {
            Some(g) if g.last().is_some_and(|l| u.angle - l.angle < PARALLEL) => g.push(u),
            _ => groups.push(vec![u]),
        }
    }
    // Half a turn is none.
    if groups.len() > 1
        && let (Some(first), Some(last)) = (groups[0].first(), groups[groups.len() - 1].last())
        && first.angle + PI - last.angle < PARALLEL
        && let Some(mut tail) = groups.pop()
    {
        groups[0].append(&mut tail);
    }
    groups
}

/// Mean direction by area, as seen from the first.
fn mean_angle(group: &[&Upright<'_>]) -> f64 {
    let Some(first) = group.first() else { return 0.0 };
    let (mut sum, mut weight) = (0.0, 0.0);
    for u in group {
        let off = (u.angle - first.angle + PI / 2.0).rem_euclid(PI) - PI / 2.0;
        sum += off * u.area;
        weight += u.area;
    }
    first.angle + sum / weight
}

/// The mean direction as a vector, from the normals themselves: faces along an axis give exactly it.
fn direction(group: &[&Upright<'_>], angle: f64) -> Plan {
    let (c, s) = (angle.cos(), angle.sin());
    let mut d = (0.0, 0.0);
    for u in group {
        let a = area_vector(u.points);
        let own = (-a[1], a[0]);
        let sign = if own.0 * c + own.1 * s < 0.0 { -1.0 } else { 1.0 };
        d = (d.0 + sign * own.0, d.1 + sign * own.1);
    }
    let n = d.0.hypot(d.1);
    (d.0 / n, d.1 / n)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An upright prism over a plan outline, as faces.
    fn prism(outline: &[Plan], top: f64) -> Body {
        let mut b = Body::default();
        let mut add = |points: Vec<Vec3>| {
            let from = b.vertices.len();
            b.vertices.extend(points);
            b.loops.push((from, b.vertices.len()));
        };
        add(outline.iter().map(|p| [p.0, p.1, 0.0]).collect());
        add(outline.iter().map(|p| [p.0, p.1, top]).collect());
        for (p, q) in outline.iter().zip(outline.iter().cycle().skip(1)) {
            add(vec![[p.0, p.1, 0.0], [q.0, q.1, 0.0], [q.0, q.1, top], [p.0, p.1, top]]);
        }
        b
    }
    fn turned(outline: &[Plan], angle: f64) -> Vec<Plan> {
        let (c, s) = (angle.cos(), angle.sin());
        outline.iter().map(|p| (7.0 + c * p.0 - s * p.1, -3.0 + s * p.0 + c * p.1)).collect()
    }
    const WALL: [Plan; 4] = [(0.0, 0.0), (120.0, 0.0), (120.0, 5.5), (0.0, 5.5)];

    #[test]
    fn a_box_at_any_angle() {
        for n in 0..24 {
            let angle = f64::from(n) * 0.2618;
            let s = strip_of_mesh(&prism(&turned(&WALL, angle), 97.0)).unwrap();
            assert!((s.thickness - 5.5).abs() < 1e-9, "{angle}");
            let want = turned(&[(0.0, 2.75), (120.0, 2.75)], angle);
            let off = |a: Plan, b: Plan| (a.0 - b.0).hypot(a.1 - b.1);
            let straight = off(s.start, want[0]).max(off(s.end, want[1]));
            let back = off(s.start, want[1]).max(off(s.end, want[0]));
            assert!(straight.min(back) < 1e-9, "{angle}: {s:?}");
        }
    }

    #[test]
    fn along_an_axis_nothing_is_rounded() {
        let s = strip_of_mesh(&prism(&WALL, 97.0)).unwrap();
        assert_eq!((s.start.1, s.end.1, s.thickness), (2.75, 2.75, 5.5));
    }

    #[test]
    fn mitred_ends_meet_on_the_joint() {
        let s = strip_of_mesh(&prism(&[(0.0, 0.0), (100.0, 0.0), (95.0, 5.0), (5.0, 5.0)], 97.0));
        let s = s.unwrap();
        assert!((s.start.0 - s.end.0).abs() - 95.0 < 1e-9 && (s.start.1 - 2.5).abs() < 1e-9);
    }

    #[test]
    fn what_is_no_straight_wall_is_refused() {
        let ell = [(0.0, 0.0), (100.0, 0.0), (100.0, 5.0), (5.0, 5.0), (5.0, 60.0), (0.0, 60.0)];
        let why = |o: &[Plan]| strip_of_mesh(&prism(o, 97.0)).unwrap_err();
        assert!(matches!(why(&ell), NoStrip::Other(w) if w.contains("two long parallel")));
        let column = [(0.0, 0.0), (6.0, 0.0), (6.0, 5.0), (0.0, 5.0)];
        assert!(matches!(why(&column), NoStrip::Other(w) if w.contains("as wide as long")));
        let arc = |r: f64, n: i32| {
            let a = f64::from(n) / 10.0 * 1.5;
            (r * a.cos(), r * a.sin())
        };
        let curved: Vec<Plan> =
            (0..=10).map(|n| arc(120.0, n)).chain((0..=10).rev().map(|n| arc(125.0, n))).collect();
        assert_eq!(why(&curved), NoStrip::Curved);
        assert!(strip_of_mesh(&Body::default()).is_err());
        assert!(strip_of_mesh(&prism(&[(1.0, 1.0); 4], 97.0)).is_err());
        assert!(
            strip_of_mesh(&prism(&[(f64::INFINITY, 1.0), (0.0, 0.0), (1.0, 0.0)], 9.0)).is_err()
        );
    }
}
