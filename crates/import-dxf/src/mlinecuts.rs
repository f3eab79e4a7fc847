//! What the cuts of a multiline are: openings, crossing walls, the ends of a wall.
//!
//! Knows: the widths that tell them apart, the same as for gaps between two faces. Never touches: how cuts
//! are written (`mline`), symbols. All in inches.

use crate::affine::{Xy, cross, dot, norm, sub};
use crate::linework::{Segment, sine_between};
use crate::nearby::LineIndex;
use crate::pairing::{CROSSING_IN, NARROWEST_IN, WIDEST_PLAIN_IN};
use crate::walls::WallLine;

/// A part of a multiline's middle line that is one wall.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Stretch {
    /// Its middle line.
    pub line: Segment,
    /// Cuts in it that are openings.
    pub gaps: Vec<[Xy; 2]>,
}

/// The walls of a multiline's middle line with these cuts through all its lines, as shares of it,
/// ascending. None when nothing of it is drawn.
pub(crate) fn stretches(line: Segment, cuts: impl Iterator<Item = [f64; 2]>) -> Vec<Stretch> {
    let along = sub(line.b, line.a);
    let length = norm(along);
    let at = |share: f64| [line.a[0] + along[0] * share, line.a[1] + along[1] * share];
    let mut out = Vec::new();
    let (mut from, mut gaps) = (line.a, Vec::new());
    let mut rest = true;
    for [a, b] in cuts {
        let width = (b - a) * length;
        let (first, last) = (a <= 0.0, b >= 1.0);
        match (first, last) {
            (true, true) => return Vec::new(),
            // Up to a corner: the other wall stands there.
            _ if width <= CROSSING_IN && (first || last) => {}
            (true, false) => from = at(b),
            (false, true) => {
                out.push(Stretch {
                    line: Segment { a: from, b: at(a) },
                    gaps: std::mem::take(&mut gaps),
                });
                rest = false;
            }
            _ if width < NARROWEST_IN => {}
            _ if width <= WIDEST_PLAIN_IN => gaps.push([at(a), at(b)]),
            _ => {
                out.push(Stretch {
                    line: Segment { a: from, b: at(a) },
                    gaps: std::mem::take(&mut gaps),
                });
                from = at(b);
            }
        }
    }
    if rest {
        out.push(Stretch { line: Segment { a: from, b: line.b }, gaps });
    }
    out
}

/// A wall drawn up to a face stops this near it, inches.
const TOUCH_IN: f64 = 1.0;
/// A wall that passes is about as thick as the cut it passes through: this share of it at least.
const FILLS: f64 = 0.5;

/// Takes out the gaps that are no openings but the passage of another wall, whether that is drawn through
/// the gap or up to the wall on either side of it.
pub(crate) fn close_crossings(walls: &mut [WallLine]) {
    if walls.iter().all(|w| w.paired || w.gaps.is_empty()) {
        return;
    }
    let all: Vec<(Segment, f64)> = walls.iter().map(|w| (w.line, w.spec.thickness_in)).collect();
    let lines: Vec<Segment> = all.iter().map(|w| w.0).collect();
    let index = LineIndex::new(&lines);
    for (i, w) in walls.iter_mut().enumerate().filter(|(_, w)| !w.paired) {
        let reach = w.spec.thickness_in / 2.0 + TOUCH_IN;
        w.gaps.retain(|[a, b]| {
            let (gap, width) = (Segment { a: *a, b: *b }, norm(sub(*b, *a)));
            let passes = |(o, thickness): &(Segment, f64)| {
                crosses(o, &gap)
                    || *thickness >= width * FILLS && crosses(&lengthened(o, reach), &gap)
            };
            let near = index.near_line(&gap, reach);
            let mut others = near.iter().map(|j| *j as usize).filter(|j| *j != i);
            width > CROSSING_IN || !others.any(|j| all.get(j).is_some_and(passes))
        });
    }
}

/// By as much at either end.
fn lengthened(g: &Segment, by: f64) -> Segment {
    let d = sub(g.b, g.a);
    let share = by / norm(d).max(by);
    let more = [d[0] * share, d[1] * share];
    Segment { a: sub(g.a, more), b: [g.b[0] + more[0], g.b[1] + more[1]] }
}

/// Whether a wall's line passes through a gap, or ends in it.
fn crosses(wall: &Segment, gap: &Segment) -> bool {
    let (d, e) = (sub(gap.b, gap.a), sub(wall.b, wall.a));
    if sine_between(d, e) < 0.1 {
        return false;
    }
    let side = |p: Xy| cross(d, sub(p, gap.a));
    let (a, b) = (side(wall.a), side(wall.b));
    if a * b > 0.0 || a == b {
        return false;
    }
    let t = a / (a - b);
    let meets = [wall.a[0] + e[0] * t, wall.a[1] + e[1] * t];
    (0.0..=dot(d, d)).contains(&dot(sub(meets, gap.a), d))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(cuts: &[[f64; 2]]) -> Vec<(f64, f64, Vec<[f64; 2]>)> {
        let line = Segment { a: [0.0, 0.0], b: [400.0, 0.0] };
        stretches(line, cuts.iter().map(|c| c.map(|v| v / 400.0)))
            .into_iter()
            .map(|s| (s.line.a[0], s.line.b[0], s.gaps.iter().map(|g| g.map(|p| p[0])).collect()))
            .collect()
    }

    #[test]
    fn widths_tell_what_a_cut_is() {
        assert_eq!(of(&[]), [(0.0, 400.0, vec![])]);
        // A wall of 6 in passes; a door; a corner's end.
        let all = of(&[[100.0, 106.0], [200.0, 236.0], [396.0, 400.0]]);
        assert_eq!(all, [(0.0, 400.0, vec![[200.0, 236.0]])]);
        // Two walls with nothing between; a wall that begins and stops short.
        assert_eq!(of(&[[100.0, 300.0]]), [(0.0, 100.0, vec![]), (300.0, 400.0, vec![])]);
        assert_eq!(of(&[[0.0, 40.0], [360.0, 400.0]]), [(40.0, 360.0, vec![])]);
        assert!(of(&[[0.0, 400.0]]).is_empty());
    }
}
