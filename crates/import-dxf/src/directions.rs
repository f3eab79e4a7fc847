//! Directions of the walls found by their shape: a building's are parallel or square to each other.
//!
//! Knows: how much of the walls' length keeps to one pair of directions. Never touches: how walls are found. All in
//! inches.
//!
//! Branches of a tree, kerbs and paths of a site plan are pairs of lines that join into a network too, but each
//! runs its own way.

use crate::affine::{norm, sixty_fourths, sub};
use crate::confidence::{LEAST, Scored};
use std::f64::consts::FRAC_PI_2;

/// Fewer walls say nothing.
const FEWEST: usize = 8;
/// Walls so near to one direction, or square to it, run one way: 1 degree either side, radians.
const ONE_WAY: f64 = 0.0349;
/// Least share of their length that keeps to the commonest pair of directions. A house with a wing at an angle, or an
/// octagon, has half.
const SHARE: f64 = 0.25;
/// What the confidence of all is taken times where less does.
const DOUBT: f64 = 0.6;

/// Doubts all walls where they run every which way.
pub(crate) fn doubt_directions(walls: &mut [Scored]) {
    let mut ways: Vec<(f64, i64)> = walls
        .iter()
        .filter(|w| w.confidence >= LEAST)
        .map(|w| {
            let d = sub(w.wall.line.b, w.wall.line.a);
            (d[1].atan2(d[0]).rem_euclid(FRAC_PI_2), sixty_fourths(norm(d)))
        })
        .collect();
    if ways.len() < FEWEST {
        return;
    }
    ways.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let all: i64 = ways.iter().map(|w| w.1).sum();
    // Once more around, so that what lies on both sides of nought is together.
    let twice: Vec<(f64, i64)> =
        ways.iter().copied().chain(ways.iter().map(|w| (w.0 + FRAC_PI_2, w.1))).collect();
    let (mut first, mut sum, mut most) = (0, 0, 0);
    for (angle, length) in &twice {
        sum += length;
        while let Some((_, of)) = twice.get(first).filter(|w| angle - w.0 > ONE_WAY) {
            sum -= of;
            first += 1;
        }
        most = most.max(sum);
    }
    if most as f64 >= all as f64 * SHARE {
        return;
    }
    for w in walls {
        w.confidence = (w.confidence * DOUBT * 100.0).round() / 100.0;
    }
}

#[cfg(test)]
mod tests {
    use crate::testing::Dxf;
    use crate::tests::ok;
    use diag::Severity;

    /// Pairs of lines so far apart, each from where the last one ended, turning by so many degrees; each by so much
    /// farther apart.
    fn chain(turns: &[f64], [thick, more]: [f64; 2]) -> Dxf {
        let (mut d, mut at, mut way) = (Dxf::inches(), [0.0, 0.0], 0.0_f64);
        for (n, turn) in turns.iter().enumerate() {
            way += turn.to_radians();
            let half = (thick + more * n as f64) / 2.0;
            let (along, left) = ([way.cos(), way.sin()], [-way.sin(), way.cos()]);
            let to = [at[0] + along[0] * 120.0, at[1] + along[1] * 120.0];
            for off in [-half, half] {
                let p = |q: [f64; 2]| [q[0] + left[0] * off, q[1] + left[1] * off];
                d = d.line("XYZ", p(at), p(to));
            }
            at = to;
        }
        d
    }
    const PATHS: [f64; 12] =
        [0.0, 37.0, -62.0, 71.0, -20.0, 49.0, -58.0, 23.0, -46.0, 64.0, -31.0, 53.0];
    fn told(d: &Dxf) -> Option<Severity> {
        let o = ok(d);
        let told = crate::tests::with(&o.findings, "dxf-walls-by-shape");
        told.first().map(|f| f.severity)
    }

    /// Each as thick as no stud and no other wall is.
    #[test]
    fn where_no_wall_is_sure_enough_that_is_said() {
        let inches =
            settings::Settings { units: Some(geom::Unit::Inch), ..settings::Settings::default() };
        let refused = crate::read(chain(&PATHS, [9.0, 0.37]).text().as_bytes(), &inches);
        let refused = refused.err().map(|r| r.to_string()).unwrap_or_default();
        assert!(refused.contains("is sure enough to be planned: 12 walls, 120 ft"), "{refused}");
    }

    #[test]
    fn walls_that_run_every_which_way_are_doubted() {
        // A zigzag of paths, and walls that turn square corners.
        assert_eq!(told(&chain(&PATHS, [5.5, 0.0])), Some(Severity::Error));
        let house = [0.0, 90.0, -90.0, 90.0, -90.0, 90.0, 90.0, -90.0, 90.0, -90.0, 90.0, -90.0];
        assert_eq!(told(&chain(&house, [5.5, 0.0])), Some(Severity::Warning));
        // Two wings at an angle.
        let wings = [0.0, 90.0, -90.0, 90.0, -90.0, 90.0, -60.0, -90.0, 90.0, -90.0, 90.0, -90.0];
        assert_eq!(told(&chain(&wings, [5.5, 0.0])), Some(Severity::Warning));
    }
}
