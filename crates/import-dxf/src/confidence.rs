//! How sure it is that a pair of parallel lines is a wall, when no layer says so.
//!
//! Knows: the marks of a wall network (thickness, held ends, size, what runs through, the layer's other
//! lines). Never touches: layers' names, sections, the file. All in inches.
//!
//! The confidence is a product of shares, each 1 for what walls do and less for what they don't:
//!
//! | mark | 1 | less |
//! |---|---|---|
//! | thickness | a stud wall's, bare or boarded | 0.9 one of the drawing's own; 0.5 another |
//! | ends | both held: by another wall or by a line that closes the wall | 0.85 one, 0.6 none |
//! | network | 40 ft of walls hang together | down to 0.4; 0.8 in or near the plan at a thickness of its own |
//! | beside the largest | at least a quarter of it | 0.8 |
//! | drawn width | no | 0.9 where a polyline's width is the thickness (`widelines`) |
//! | run through | at most one line in 10 ft runs through both faces | down to 0 at one in 2 ft |
//! | frame | no | 0.4 four walls without openings around all the rest: a border |
//! | directions | a quarter of all walls' length is parallel or square to each other | 0.6 for all of 8 and more |
//! | layer | 40 % of the layer's length bounds walls | down to 0.6 |
//!
//! The numbers are common practice, no source; what they give on real plans is in
//! `docs/importing-dxf.md`.

use crate::affine::{Xy, dot, norm, sixty_fourths, sub};
use crate::linework::{Segment, sine_between};
use crate::nearby::LineIndex;
use crate::network::{HELD_IN, Networks, distance, networks_within};
use crate::pairing::FoundWall;
use limits::Watch;
use std::collections::{BTreeMap, BTreeSet};

/// Walls below this are left out and counted.
pub(crate) const LEAST: f64 = 0.5;
/// A plan whose walls are below this on the average of their length is an error, not a warning.
pub(crate) const SURE: f64 = 0.75;

/// Length of a network that is certainly a building's, inches.
const NETWORK_IN: f64 = 480.0;
/// Walls so far outside the plan are of it still, inches: 15 ft, a garage or a garden wall.
const AROUND_IN: f64 = 180.0;
/// How far beyond each face a line must go to run through, inches.
const THROUGH_IN: f64 = 2.0;

/// A wall with its confidence.
#[derive(Clone, Debug)]
pub(crate) struct Scored {
    /// The wall.
    pub wall: FoundWall,
    /// 0 to 1.
    pub confidence: f64,
}

impl Scored {
    /// Whether it is drawn as one line without width.
    pub fn is_line(&self) -> bool {
        self.wall.thickness <= 0.0
    }
}

/// What the walls are judged by.
pub(crate) struct Evidence<'a> {
    /// All lines looked at.
    pub lines: &'a [Segment],
    /// Layer of each.
    pub layers: &'a [u32],
    /// How much of each bounds a wall.
    pub used: &'a [f64],
    /// Whether a lumber section explains a thickness.
    pub known: &'a dyn Fn(f64) -> bool,
    /// Whether a thickness is the drawing's own commonest.
    pub common: &'a dyn Fn(f64) -> bool,
    /// How long it may take.
    pub watch: &'a Watch,
}

/// Scores walls; the order is kept.
pub(crate) fn score(walls: Vec<FoundWall>, evidence: &Evidence<'_>) -> Vec<Scored> {
    let lines_index = LineIndex::new(evidence.lines);
    let axes: Vec<Segment> = walls.iter().map(|w| w.line).collect();
    let thick: Vec<f64> = walls.iter().map(|w| w.overall).collect();
    let Networks { of: networks, mut held } = networks_within(&axes, &thick, evidence.watch);
    for (w, ends) in walls.iter().zip(&mut held) {
        for (p, end) in [w.line.a, w.line.b].into_iter().zip(ends) {
            *end |= closed_by_line(w, p, evidence.lines, &lines_index);
        }
    }
    let mut sizes: BTreeMap<usize, f64> = BTreeMap::new();
    for (w, n) in walls.iter().zip(&networks) {
        *sizes.entry(*n).or_default() += norm(sub(w.line.b, w.line.a));
    }
    let largest = sizes.values().copied().fold(0.0, f64::max);
    let frames = frames(&walls, &networks);
    let main = main_box(&walls, &networks, &sizes);
    let shares = layer_shares(evidence);
    let mut out = Vec::with_capacity(walls.len());
    for (i, wall) in walls.into_iter().enumerate() {
        let network = networks.get(i).copied().unwrap_or(i);
        let size = sizes.get(&network).copied().unwrap_or(0.0);
        let ends = held.get(i).map_or(0, |h| h.iter().filter(|x| **x).count());
        let thickness = match () {
            _ if (evidence.known)(wall.thickness) => 1.0,
            _ if (evidence.common)(wall.thickness) => 0.9,
            _ => 0.5,
        };
        let layer = wall_layer(&wall, evidence);
        let share = shares.get(&layer).copied().unwrap_or(0.0);
        // A free-standing wall within the plan, as thick as the plan's other walls, is no furniture.
        let within = (evidence.common)(wall.thickness)
            && [wall.line.a, wall.line.b].iter().all(|p| {
                (0..2).all(|a| p[a] >= main[a] - AROUND_IN && p[a] <= main[a + 2] + AROUND_IN)
            });
        let marks = [
            thickness,
            [0.6, 0.85, 1.0].get(ends).copied().unwrap_or(1.0),
            if within { 0.8_f64 } else { 0.4 }.max(0.4 + 0.6 * (size / NETWORK_IN).min(1.0)),
            if within || size >= largest / 4.0 { 1.0 } else { 0.8 },
            run_through(&wall, evidence.lines, &lines_index),
            0.6 + 0.4 * (share / 0.4).min(1.0),
            if frames.contains(&network) { 0.4 } else { 1.0 },
        ];
        // Whole percents: sums of lengths must not decide by their last digit.
        let confidence = (marks.iter().product::<f64>() * 100.0).round() / 100.0;
        out.push(Scored { wall, confidence });
    }
    out
}

/// Networks that are a plain frame around all the rest: the border of a sheet, drawn as two lines.
fn frames(walls: &[FoundWall], networks: &[usize]) -> BTreeSet<usize> {
    let mut members: BTreeMap<usize, Vec<&FoundWall>> = BTreeMap::new();
    for (w, n) in walls.iter().zip(networks) {
        members.entry(*n).or_default().push(w);
    }
    let ends = |w: &FoundWall| [w.line.a, w.line.b];
    let is_frame = |n: usize, own: &[&FoundWall]| {
        if own.len() != 4 || own.iter().any(|w| !w.gaps.is_empty()) || walls.len() < 8 {
            return false;
        }
        let low = |axis: usize| {
            own.iter().flat_map(|w| ends(w)).map(|p| p[axis]).fold(f64::INFINITY, f64::min)
        };
        let high = |axis: usize| {
            own.iter().flat_map(|w| ends(w)).map(|p| p[axis]).fold(f64::NEG_INFINITY, f64::max)
        };
        let (low, high) = ([low(0), low(1)], [high(0), high(1)]);
        let slack = own.iter().map(|w| w.overall).fold(0.0, f64::max) + HELD_IN;
        // Each wall runs along a side of the box; everything else is well inside.
        let along = own.iter().all(|w| {
            (0..2).any(|a| {
                let at = |side: f64| ends(w).iter().all(|p| (p[a] - side).abs() <= slack);
                at(low[a]) || at(high[a])
            })
        });
        along
            && walls
                .iter()
                .zip(networks)
                .filter(|x| *x.1 != n)
                .flat_map(|x| ends(x.0))
                .all(|p| (0..2).all(|a| p[a] > low[a] + slack && p[a] < high[a] - slack))
    };
    members.iter().filter(|(n, own)| is_frame(**n, own)).map(|(n, _)| *n).collect()
}

/// The box of the longest network and of all that are a quarter as long: left, bottom, right, top.
fn main_box(walls: &[FoundWall], networks: &[usize], sizes: &BTreeMap<usize, f64>) -> [f64; 4] {
    let largest = sizes.values().copied().fold(0.0, f64::max);
    let large = |n: &usize| sizes.get(n).is_some_and(|s| *s >= largest / 4.0);
    let own = walls.iter().zip(networks).filter(|x| large(x.1)).map(|x| x.0.line);
    own.flat_map(|g| [g.a, g.b])
        .fold([f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY], |b, p| {
            [b[0].min(p[0]), b[1].min(p[1]), b[2].max(p[0]), b[3].max(p[1])]
        })
}

/// The layer that most of a wall's faces are on.
fn wall_layer(w: &FoundWall, e: &Evidence<'_>) -> u32 {
    let mut weight: BTreeMap<u32, i64> = BTreeMap::new();
    for i in &w.lines {
        if let (Some(g), Some(layer)) = (e.lines.get(*i), e.layers.get(*i)) {
            *weight.entry(*layer).or_default() += sixty_fourths(norm(sub(g.b, g.a)));
        }
    }
    weight.iter().max_by(|a, b| a.1.cmp(b.1).then(b.0.cmp(a.0))).map_or(0, |x| *x.0)
}

/// Share of each layer's length that bounds walls.
fn layer_shares(e: &Evidence<'_>) -> BTreeMap<u32, f64> {
    let mut sums: BTreeMap<u32, (f64, f64)> = BTreeMap::new();
    for ((g, layer), used) in e.lines.iter().zip(e.layers).zip(e.used) {
        let slot = sums.entry(*layer).or_default();
        slot.0 += used.min(norm(sub(g.b, g.a)));
        slot.1 += norm(sub(g.b, g.a));
    }
    sums.into_iter().map(|(l, (u, all))| (l, if all > 0.0 { u / all } else { 0.0 })).collect()
}

/// Unit direction of a wall and the way to its left.
fn frame(w: &FoundWall) -> Option<(Xy, Xy, f64)> {
    let along = sub(w.line.b, w.line.a);
    let length = norm(along);
    if length <= 0.0 {
        return None;
    }
    let dir = [along[0] / length, along[1] / length];
    Some((dir, [-dir[1], dir[0]], length))
}

/// Whether a line across the wall closes it at an end.
fn closed_by_line(w: &FoundWall, end: Xy, lines: &[Segment], index: &LineIndex) -> bool {
    let Some((dir, left, _)) = frame(w) else { return false };
    index.near(&[end], HELD_IN).into_iter().filter_map(|i| lines.get(i as usize)).any(|g| {
        let d = sub(g.b, g.a);
        if sine_between(dir, d) < 0.9 || distance(g, end) > HELD_IN {
            return false;
        }
        let off = [dot(sub(g.a, end), left), dot(sub(g.b, end), left)];
        let half = w.thickness / 2.0 - 0.5;
        off[0].min(off[1]) <= -half && off[0].max(off[1]) >= half
    })
}

/// 1 when next to nothing runs through both faces, 0 when lines do all along.
fn run_through(w: &FoundWall, lines: &[Segment], index: &LineIndex) -> f64 {
    let Some((dir, left, length)) = frame(w) else { return 0.0 };
    let reach = w.overall / 2.0 + THROUGH_IN;
    let mut stations: Vec<i64> = index
        .near_line(&w.line, reach)
        .into_iter()
        .filter_map(|i| lines.get(i as usize))
        .filter_map(|g| {
            let (p, q) = (sub(g.a, w.line.a), sub(g.b, w.line.a));
            let (pa, qa) = (dot(p, left), dot(q, left));
            if sine_between(dir, sub(g.b, g.a)) < 0.3 || pa.min(qa) > -reach || pa.max(qa) < reach {
                return None;
            }
            let t = pa / (pa - qa);
            let station = dot(p, dir) + (dot(q, dir) - dot(p, dir)) * t;
            (station > w.overall && station < length - w.overall).then(|| station.round() as i64)
        })
        .collect();
    stations.sort_unstable();
    stations.dedup();
    // One crossing wall drawn through is two lines.
    let crossings = stations.len().saturating_sub(2) as f64;
    let each_ft = crossings * 12.0 / length;
    ((0.5 - each_ft) / 0.4).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wall(a: Xy, b: Xy) -> FoundWall {
        FoundWall {
            line: Segment { a, b },
            thickness: 4.5,
            overall: 4.5,
            gaps: Vec::new(),
            panes: Vec::new(),
            lines: Vec::new(),
        }
    }
    fn confidences(walls: Vec<FoundWall>, lines: &[Segment]) -> Vec<f64> {
        let e = Evidence {
            lines,
            layers: &vec![0; lines.len()],
            used: &lines.iter().map(|g| norm(sub(g.b, g.a))).collect::<Vec<_>>(),
            known: &|d| d == 4.5,
            common: &|_| false,
            watch: &Watch::endless(),
        };
        score(walls, &e).iter().map(|s| s.confidence).collect()
    }

    #[test]
    fn a_closed_room_is_sure_and_a_lone_pair_is_not() {
        let room = vec![
            wall([0.0, 0.0], [240.0, 0.0]),
            wall([240.0, 0.0], [240.0, 144.0]),
            wall([240.0, 144.0], [0.0, 144.0]),
            wall([0.0, 144.0], [0.0, 0.0]),
        ];
        let lines: Vec<Segment> = room.iter().map(|w| w.line).collect();
        let mut all = room.clone();
        all.push(wall([1000.0, 0.0], [1060.0, 0.0]));
        let c = confidences(all, &lines);
        // The lone pair's layer share is as good as the room's: only its place speaks against it.
        assert!(c[..4].iter().all(|v| *v >= 0.95), "{c:?}");
        assert!(c[4] < LEAST, "{c:?}");
    }

    #[test]
    fn a_border_around_the_plan_is_no_wall() {
        let ring = |x0: f64, x1: f64| {
            [
                wall([x0, x0], [x1, x0]),
                wall([x1, x0], [x1, x1]),
                wall([x1, x1], [x0, x1]),
                wall([x0, x1], [x0, x0]),
            ]
        };
        let mut all = ring(100.0, 500.0).to_vec();
        all.push(wall([300.0, 100.0], [300.0, 500.0]));
        let plan = all.len();
        all.extend(ring(0.0, 700.0));
        let lines: Vec<Segment> = all.iter().map(|w| w.line).collect();
        let c = confidences(all, &lines);
        assert!(c[..plan].iter().all(|v| *v >= 0.75), "{c:?}");
        assert!(c[plan..].iter().all(|v| *v < LEAST), "{c:?}");
    }

    #[test]
    fn lines_that_run_through_all_along_deny_a_wall() {
        let mut lines = vec![Segment { a: [0.0, 0.0], b: [240.0, 0.0] }];
        lines.extend(
            (1..20).map(|i| Segment {
                a: [f64::from(i) * 12.0, -50.0],
                b: [f64::from(i) * 12.0, 50.0],
            }),
        );
        assert_eq!(confidences(vec![wall([0.0, 0.0], [240.0, 0.0])], &lines), [0.0]);
    }
}
