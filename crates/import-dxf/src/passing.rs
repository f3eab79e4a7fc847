//! Double walls that pass between two walls in one line.
//!
//! Knows: face lines that run across a gap in other faces. Never touches: what else a gap may be (`pairing`). All in
//! inches.

use crate::affine::{dot, sub};
use crate::facelines::Family;
use crate::linework::{Segment, sine_between};
use crate::nearby::LineIndex;
use crate::pairing::{Chain, FINISH_IN, TOUCH_IN};

/// Least thickness of a wall that crosses, and least space between two of them, inches.
const CROSS_WALL_IN: [f64; 2] = [2.5, 0.25];

/// Whether two walls with a space between them pass through a gap: a wall on either side of a double wall is not
/// one wall through it.
pub(crate) fn two_walls_cross(
    family: &Family,
    c: &Chain,
    gap: [f64; 2],
    lines: &[Segment],
    index: &LineIndex,
) -> bool {
    let [thick, space] = CROSS_WALL_IN;
    let (Some(low), Some(high)) = (family.lines.get(c.low), family.lines.get(c.high)) else {
        return false;
    };
    if gap[1] - gap[0] < thick * 2.0 + space {
        return false;
    }
    let middle = (low.offset + high.offset) / 2.0;
    let axis = Segment { a: family.at(gap[0], middle), b: family.at(gap[1], middle) };
    let left = family.left();
    let mut stations: Vec<f64> = index
        .near_line(&axis, TOUCH_IN)
        .into_iter()
        .filter_map(|i| lines.get(i as usize))
        .filter(|g| {
            let (a, b) = (dot(g.a, left), dot(g.b, left));
            let passes = a.min(b) < low.offset - FINISH_IN && a.max(b) > high.offset + FINISH_IN;
            passes && sine_between(family.dir, sub(g.b, g.a)) > 0.99
        })
        .map(|g| (dot(g.a, family.dir) + dot(g.b, family.dir)) / 2.0)
        .filter(|s| *s > gap[0] - TOUCH_IN && *s < gap[1] + TOUCH_IN)
        .collect();
    stations.sort_by(f64::total_cmp);
    // The inner face of each, a wall's thickness from its outer one at the gap's edge.
    let inner = |s: &&f64| **s - gap[0] >= thick && gap[1] - **s >= thick;
    let mut within = stations.iter().filter(inner);
    let first = within.next();
    first.zip(within.next_back()).is_some_and(|(a, b)| b - a >= space)
}

#[cfg(test)]
mod tests {
    use crate::testing::Dxf;
    use crate::tests::ok;

    #[test]
    fn a_wall_on_either_side_of_a_double_wall_is_two_walls() {
        // Two walls across, 3-1/2 in thick, 1 in apart; a wall on either side, in line.
        let walls = |space: f64| {
            let mut d = Dxf::inches();
            for [x0, y0, x1, y1] in [[0.0, 0.0, 480.0, 360.0], [3.5, 3.5, 476.5, 356.5]] {
                d = d.polyline("A-WALL", &[[x0, y0], [x1, y0], [x1, y1], [x0, y1]], true);
            }
            for y in [150.0, 153.5, 153.5 + space, 157.0 + space] {
                d = d.line("A-WALL", [3.5, y], [476.5, y]);
            }
            for x in [200.0, 203.5] {
                d = d.line("A-WALL", [x, 3.5], [x, 150.0]);
                d = d.line("A-WALL", [x, 157.0 + space], [x, 356.5]);
            }
            let all = ok(&d).value.walls;
            let upright = |w: &&wall_model::Wall| w.start.x == w.end.x;
            (all.iter().filter(upright).count(), all.len())
        };
        assert_eq!(walls(1.0), (4, 8));
        assert_eq!(walls(4.0), (4, 8));
    }
}
