//! Walls that step aside and go on, by less than they are thick.
//!
//! Knows: the outline at a jog, whose two faces step at one place or a wall's thickness apart. Never touches: how faces
//! are paired (`pairing`), steps of one face alone (`thicker`). All in inches.
//!
//! The outline of a jog is that of a short wall across, of which nothing is left between the two it joins. Its faces are
//! the two steps, and its centreline is half way between them: there the two walls meet, as they do where the three are
//! drawn as centrelines.

use crate::facelines::{CRACK_IN, Family};
use crate::glass::SAME_OFFSET_IN;
use crate::linework::Segment;
use crate::nearby::LineIndex;
use crate::pairing::{CROSSING_IN, Chain, TOUCH_IN};
use crate::thicker::{faces, step};

/// Where a chain meets another that goes on aside of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Meets {
    /// On both centrelines.
    pub at: f64,
    /// How far the longer face goes.
    pub face: f64,
}

/// Notes where chains meet at jogs.
pub(crate) fn meet_at_jogs(
    family: &Family,
    chains: &mut [Chain],
    lines: &[Segment],
    index: &LineIndex,
) {
    if chains.len() < 2 {
        return;
    }
    let starts: Vec<Segment> = chains
        .iter()
        .map(|c| {
            let [low, high] = faces(family, c).unwrap_or([f64::INFINITY; 2]);
            let station = c.ends()[0];
            Segment { a: family.at(station, low), b: family.at(station, high) }
        })
        .collect();
    let near = LineIndex::new(&starts);
    let mut found: Vec<(usize, usize, [f64; 2])> = Vec::new();
    for (n, c) in chains.iter().enumerate() {
        let Some([low, high]) = faces(family, c) else { continue };
        let p = family.at(c.ends()[1], (low + high) / 2.0);
        let mut around = near.near(&[p], CROSSING_IN + TOUCH_IN);
        around.sort_unstable();
        let next = around.into_iter().map(|m| m as usize).filter(|m| *m != n);
        let jogs =
            next.filter_map(|m| Some((n, m, jog(family, (c, chains.get(m)?), lines, index)?)));
        found.extend(jogs.take(1));
    }
    for (n, m, steps) in found {
        let at = (steps[0] + steps[1]) / 2.0;
        let (first, last) = (steps[0].min(steps[1]), steps[0].max(steps[1]));
        if let Some(c) = chains.get_mut(n) {
            c.meets[1] = Some(Meets { at, face: last });
        }
        if let Some(c) = chains.get_mut(m) {
            c.meets[0] = Some(Meets { at, face: first });
        }
    }
}

/// The stations at which the two faces of a wall step aside and go on as those of the next one.
fn jog(
    family: &Family,
    (wall, next): (&Chain, &Chain),
    lines: &[Segment],
    index: &LineIndex,
) -> Option<[f64; 2]> {
    let (own, others) = (faces(family, wall)?, faces(family, next)?);
    let (end, start) = (wall.ends()[1], next.ends()[0]);
    let aside = [others[0] - own[0], others[1] - own[1]];
    // With a face in line the wall only gets thicker or thinner; so it does where the faces part.
    if aside.iter().any(|a| a.abs() <= SAME_OFFSET_IN) || aside[0] * aside[1] < 0.0 {
        return None;
    }
    // Farther aside there is a wall across.
    if own[1].min(others[1]) < own[0].max(others[0]) - CRACK_IN {
        return None;
    }
    let thick = (own[1] - own[0]).max(others[1] - others[0]);
    if !(-CRACK_IN..=thick + TOUCH_IN).contains(&(start - end)) {
        return None;
    }
    let mut steps = [0.0; 2];
    let pairs = [(wall.low, next.low), (wall.high, next.high)];
    for ((slot, pair), (from, to)) in steps.iter_mut().zip(pairs).zip(own.into_iter().zip(others)) {
        let stop = family.lines.get(pair.0)?.span_at(end - CRACK_IN)?[1];
        let begin = family.lines.get(pair.1)?.span_at(start + CRACK_IN)?[0];
        if (stop - begin).abs() > CRACK_IN || !step(family, stop, [from, to], lines, index) {
            return None;
        }
        *slot = (stop + begin) / 2.0;
    }
    Some(steps)
}

#[cfg(test)]
mod tests {
    use crate::testing::Dxf;
    use crate::tests::{ok, with};

    /// A house whose lower outer wall, this thick, steps aside at 200 by `jog`, outwards where it is positive; with
    /// the steps of its two faces so far apart.
    fn house(thick: f64, jog: f64, apart: f64) -> Dxf {
        let half = thick / 2.0;
        // Stepping down the upper face goes on farther than the lower one.
        let way = apart / 2.0 * jog.signum();
        let ring = |side: f64| {
            let [x0, y0, x1, y1] = [-side, -side, 480.0 + side, 360.0 + side];
            let x = if side > 0.0 { 200.0 - way } else { 200.0 + way };
            [[x0, y0], [x, y0], [x, y0 - jog], [x1, y0 - jog], [x1, y1], [x0, y1]]
        };
        Dxf::inches().polyline("A-WALL", &ring(half), true).polyline("A-WALL", &ring(-half), true)
    }

    #[test]
    fn both_walls_reach_the_middle_of_a_jog() {
        for thick in [3.5, 4.5, 5.5] {
            for jog in [0.5, 1.0, 2.0, 3.0, thick - 0.5, thick, -1.0, -3.0] {
                for apart in [0.0, 3.5, thick] {
                    let o = ok(&house(thick, jog, apart));
                    let mut level: Vec<[f64; 3]> = o
                        .value
                        .walls
                        .iter()
                        .filter(|w| w.start.y == w.end.y)
                        .map(|w| [w.start.x, w.start.y, w.end.x].map(|v| v.to_inches()))
                        .filter(|w| w[1] < 100.0)
                        .collect();
                    level.sort_by(|a, b| a[0].total_cmp(&b[0]));
                    assert_eq!(level.len(), 2, "{thick} {jog} {apart}: {level:?}");
                    let (left, right) = (level[0], level[1]);
                    assert!((left[1] - right[1] - jog).abs() < 0.001, "{level:?}");
                    let width = right[2] - left[0];
                    assert!((left[2] - right[0]).abs() < 0.001, "{thick} {jog} {apart}: {level:?}");
                    assert!(
                        (left[2] - left[0] - 200.0).abs() < 0.001 && width > 479.9,
                        "{level:?}"
                    );
                    let left_over = with(&o.findings, "dxf-face-lines-left");
                    assert!(left_over.is_empty(), "{thick} {jog} {apart}: {left_over:?}");
                }
            }
        }
    }

    #[test]
    fn two_walls_that_stop_beside_each_other_do_not_meet() {
        // No step is drawn: a passage between them.
        let mut d = Dxf::inches();
        for [x0, y0, x1, y1] in [[0.0, 0.0, 480.0, 360.0], [5.5, 5.5, 474.5, 354.5]] {
            d = d.polyline("A-WALL", &[[x0, y0], [x1, y0], [x1, y1], [x0, y1]], true);
        }
        for (y, from, to) in [(180.0, 5.5, 200.0), (178.0, 204.0, 474.5)] {
            d = d.line("A-WALL", [from, y], [to, y]).line("A-WALL", [from, y + 3.5], [to, y + 3.5]);
        }
        let walls = ok(&d).value.walls;
        let ends = |x: f64| {
            let all = walls.iter().flat_map(|w| [w.start.x, w.end.x]);
            all.filter(|v| (v.to_inches() + 2.75 - x).abs() < 0.01).count()
        };
        assert_eq!((ends(200.0), ends(204.0), walls.len()), (1, 1, 6));
    }
}
