//! How a curved wall runs, and the straight parts it is planned as.

use crate::geometry::affine::Vec3;
use crate::geometry::footprint::Plan;
use settings::CurvedWalls;

/// How a curved wall runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bow {
    /// Its ends.
    pub ends: (Plan, Plan),
    /// Length along the curve.
    pub length: f64,
    /// Where it is one arc of a circle.
    pub arc: Option<Arc>,
}

/// An arc of a circle in plan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arc {
    /// Centre.
    pub centre: Plan,
    /// Radius.
    pub radius: f64,
    /// From its start to its end, radians, counter-clockwise positive.
    pub turn: f64,
}

impl Bow {
    /// Of a line of chords; at least two points.
    pub fn of(points: &[Vec3]) -> Bow {
        let flat: Vec<Plan> = points.iter().map(|p| (p[0], p[1])).collect();
        let at = |n: usize| flat.get(n).copied().unwrap_or_default();
        // A whole circle ends where it starts: three points well apart on it.
        let last = flat.len().max(1) - 1;
        let (a, m, b) = (at(0), at(last / 3), at(last - last / 3));
        let chords: f64 = flat.windows(2).map(|w| distance(w[0], w[1])).sum();
        let (u, v) = (minus(m, a), minus(b, a));
        let twice = 2.0 * (u.0 * v.1 - u.1 * v.0);
        let (uu, vv) = (u.0 * u.0 + u.1 * u.1, v.0 * v.0 + v.1 * v.1);
        let centre = (a.0 + (v.1 * uu - u.1 * vv) / twice, a.1 + (u.0 * vv - v.0 * uu) / twice);
        let radius = distance(a, centre);
        let round = radius.is_finite()
            && flat.iter().all(|p| (distance(*p, centre) - radius).abs() <= 1e-4 * radius);
        // Each chord spans an arc of its own.
        let angle = |w: &[Plan]| {
            let (p, q) = (minus(w[0], centre), minus(w[1], centre));
            (p.0 * q.1 - p.1 * q.0).atan2(p.0 * q.0 + p.1 * q.1)
        };
        let arc = round.then(|| Arc { centre, radius, turn: flat.windows(2).map(angle).sum() });
        let length = arc.map_or(chords, |a| a.radius * a.turn.abs());
        Bow { ends: (at(0), at(last)), length, arc }
    }
}

impl Arc {
    /// The ends of straight parts of one length, on the arc, from `start`; the middle of a part is no more
    /// than `off` inside the arc. None where the arc is too small or too long for that.
    pub fn parts(&self, start: Plan, off: f64) -> Option<Vec<Plan>> {
        let count = CurvedWalls::parts(off, self.radius, self.turn)?;
        let (dx, dy) = minus(start, self.centre);
        let at = |k: f64| {
            let (sin, cos) = (self.turn * k / f64::from(count)).sin_cos();
            (self.centre.0 + dx * cos - dy * sin, self.centre.1 + dx * sin + dy * cos)
        };
        Some((0..=count).map(|k| at(f64::from(k))).collect())
    }

    /// How far a point lies to the left of the arc, as one walks along it.
    pub fn left(&self, p: Plan) -> f64 {
        (self.radius - distance(p, self.centre)) * self.turn.signum()
    }
}

fn minus(a: Plan, b: Plan) -> Plan {
    (a.0 - b.0, a.1 - b.1)
}

fn distance(a: Plan, b: Plan) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{PI, TAU};

    fn arc(from: f64, turn: f64, chords: u32) -> Vec<Vec3> {
        let at = |k: u32| {
            let (sin, cos) = (from + turn * f64::from(k) / f64::from(chords)).sin_cos();
            [10.0 + 120.0 * cos, -5.0 + 120.0 * sin, 0.0]
        };
        (0..=chords).map(at).collect()
    }

    #[test]
    fn an_arc_is_known_by_its_chords() {
        for turn in [0.3, -0.3, PI, -PI, 1.9 * PI, TAU, -TAU] {
            let bow = Bow::of(&arc(0.7, turn, 24));
            let arc = bow.arc.unwrap();
            assert!((arc.turn - turn).abs() < 1e-9, "{turn} {arc:?}");
            assert!(
                (arc.radius - 120.0).abs() < 1e-9 && (bow.length - 120.0 * turn.abs()).abs() < 1e-6
            );
            let inside = (10.0, -5.0);
            assert!((arc.left(inside) - 120.0 * turn.signum()).abs() < 1e-9);
        }
        let mut bent = arc(0.0, 1.0, 8);
        bent[3][0] += 1.0;
        assert_eq!(Bow::of(&bent).arc, None);
    }

    #[test]
    fn parts_are_even_and_near_the_arc() {
        for turn in [0.05, -1.0, PI, TAU] {
            let bow = Bow::of(&arc(0.2, turn, 30));
            let a = bow.arc.unwrap();
            let points = a.parts(bow.ends.0, 0.25).unwrap();
            assert!(distance(*points.last().unwrap(), bow.ends.1) < 1e-9);
            let lengths: Vec<f64> = points.windows(2).map(|w| distance(w[0], w[1])).collect();
            assert!(lengths.iter().all(|l| (l - lengths[0]).abs() < 1e-9));
            let off = points.windows(2).map(|w| {
                let middle = ((w[0].0 + w[1].0) / 2.0, (w[0].1 + w[1].1) / 2.0);
                120.0 - distance(middle, a.centre)
            });
            let most = off.fold(0.0, f64::max);
            assert!(most <= 0.25 + 1e-9, "{turn} {most}");
        }
        let small = Arc { centre: (0.0, 0.0), radius: 0.1, turn: 1.0 };
        assert_eq!(small.parts((0.1, 0.0), 0.25), None);
    }
}
