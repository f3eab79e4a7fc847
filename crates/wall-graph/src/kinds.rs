//! What a junction looks like in plan, by the directions away from it.

use crate::line::Dir;
use smallvec::SmallVec;
use wall_model::floor::{IN_LINE, JunctionKind};

/// Directions away from a place, one for each arm.
pub(crate) type Rays = SmallVec<[Dir; 4]>;

/// Whether two arms lie in one line on opposite sides.
pub(crate) fn in_line(a: Dir, b: Dir) -> bool {
    a.dot(b) < 0.0 && a.cross(b).abs() < IN_LINE
}

/// The kind of a junction and its angle in degrees, as [`wall_model::floor::Junction`] has it.
pub(crate) fn classify(rays: &Rays) -> (JunctionKind, f64) {
    let angle = |a: Dir, b: Dir| {
        let sine = a.cross(b);
        // Exact words for the exact cases.
        match (sine, a.dot(b)) {
            (0.0, _) => 0.0,
            (_, 0.0) => 90.0,
            (s, c) => s.abs().atan2(c).to_degrees(),
        }
    };
    let mut pairs: SmallVec<[(usize, usize); 4]> = SmallVec::new();
    for i in 0..rays.len() {
        for j in i + 1..rays.len() {
            if in_line(rays[i], rays[j]) {
                pairs.push((i, j));
            }
        }
    }
    let lesser = |a: Dir, b: Dir| {
        let x = angle(a, b);
        x.min(180.0 - x)
    };
    match (rays.len(), &pairs[..]) {
        (1, _) => (JunctionKind::End, 0.0),
        (2, [_]) => (JunctionKind::Inline, 180.0),
        (2, _) => (JunctionKind::L, angle(rays[0], rays[1])),
        (3, [(i, j)]) => {
            let stem = rays[3 - i - j];
            (JunctionKind::T, lesser(rays[*i], stem))
        }
        (4, [(i, j), (k, l)]) if i != k && j != k && j != l => {
            (JunctionKind::X, lesser(rays[*i], rays[*k]))
        }
        _ => {
            let mut at: Vec<f64> = rays.iter().map(|d| d.1.atan2(d.0).to_degrees()).collect();
            at.sort_by(f64::total_cmp);
            let wrap = at.first().map_or(0.0, |f| f + 360.0);
            let next = at.iter().skip(1).copied().chain([wrap]);
            let least = at.iter().zip(next).map(|(a, b)| b - a).fold(360.0, f64::min);
            (JunctionKind::Other, least)
        }
    }
}
