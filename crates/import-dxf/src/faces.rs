//! Whether walls are drawn as pairs of face lines.
//!
//! Knows: which lines have a parallel partner beside them, how far off, along how much of their
//! length. Never touches: layers' meaning, units (distances come in and go out in drawing units).

use crate::affine::{cross, dot, norm, sub};
use crate::linework::{Segment, sine_between};
use crate::nearby::{LineIndex, by_ends, ordered};
use crate::pairing::union_length;
use crate::parts::in_parts;
use limits::Watch;
use std::collections::BTreeMap;
use std::ops::Range;

/// Lines that differ in direction by less than this sine are parallel (one degree).
const PARALLEL: f64 = 0.017_5;

/// What one line has beside it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Partner {
    /// Length of the line.
    pub length: f64,
    /// How much of the length has a parallel line beside it, at a distance in range.
    pub covered: f64,
    /// Distance of the partner along which it runs farthest.
    pub gap: Option<f64>,
    /// Nothing runs beside it at any of these distances, nor nearly.
    pub alone: bool,
}

/// The range of distances is closed, and sizes drawn to the number must count as being in it.
const NEARLY: f64 = 0.001;
/// So much farther off is nearly in range as well.
const ALONE: f64 = 0.01;

/// For each line, its partners at `near` to `far`. When time is up the rest have none.
pub(crate) fn partners(
    lines: &[Segment],
    index: &LineIndex,
    near: f64,
    far: f64,
    watch: &Watch,
) -> Vec<Partner> {
    let work = |range: Range<usize>| -> Vec<(usize, Partner)> {
        let mut own = Vec::with_capacity(range.len());
        index.near_each(lines, range, far, |i, around| {
            if let Some(s) = lines.get(i).filter(|_| !watch.is_over()) {
                own.push((i, partner(i, s, lines, around, near, far)));
            }
        });
        own
    };
    // What is no place has nothing beside it.
    let nowhere =
        |s: &Segment| Partner { length: norm(sub(s.b, s.a)), alone: true, ..Partner::default() };
    let mut out: Vec<Partner> = lines.iter().map(nowhere).collect();
    for (i, found) in in_parts(lines.len(), work).into_iter().flatten() {
        if let Some(slot) = out.get_mut(i) {
            *slot = found;
        }
    }
    out
}

/// As [`partners`], for no more than `enough` lines spread over the drawing. The choice does not depend on the order of the lines.
pub(crate) fn sampled_partners(
    lines: &[Segment],
    index: &LineIndex,
    near: f64,
    far: f64,
    enough: usize,
) -> Vec<Partner> {
    if lines.len() <= enough {
        return partners(lines, index, near, far, &Watch::endless());
    }
    // By their ends, of which the first coordinate mostly tells.
    let mut order: Vec<(u64, u32)> = lines.iter().map(|s| ordered(s.a[0])).zip(0..).collect();
    let ends = |i: u32| lines.get(i as usize).map(by_ends);
    order.sort_unstable_by(|(x, i), (y, j)| {
        x.cmp(y).then_with(|| ends(*i).cmp(&ends(*j))).then(i.cmp(j))
    });
    let chosen = order.into_iter().map(|o| o.1 as usize).step_by(lines.len().div_ceil(enough));
    let of = |i: usize| {
        let s = lines.get(i)?;
        Some(partner(i, s, lines, &index.near_line(s, far), near, far))
    };
    chosen.filter_map(of).collect()
}

fn partner(
    i: usize,
    s: &Segment,
    lines: &[Segment],
    around: &[u32],
    near: f64,
    far: f64,
) -> Partner {
    let along = sub(s.b, s.a);
    let length = norm(along);
    if length <= 0.0 {
        return Partner { alone: true, ..Partner::default() };
    }
    let dir = [along[0] / length, along[1] / length];
    let left = [-dir[1], dir[0]];
    let mut spans: Vec<[f64; 2]> = Vec::new();
    let mut best: Option<(f64, f64)> = None;
    let mut alone = true;
    for j in around.iter().map(|j| *j as usize) {
        let Some(o) = lines.get(j).filter(|_| j != i) else { continue };
        let other = sub(o.b, o.a);
        // Most lines around are at right angles: told without a root.
        let sine = cross(along, other).powi(2);
        if sine > (2.0 * PARALLEL * length).powi(2) * dot(other, other) {
            continue;
        }
        let parallel = sine_between(along, other) <= PARALLEL;
        let (pa, pb) = (sub(o.a, s.a), sub(o.b, s.a));
        let gap = ((dot(pa, left) + dot(pb, left)) / 2.0).abs();
        let in_range = |by: f64| gap >= near * (1.0 - by) && gap <= far * (1.0 + by);
        let (sa, sb) = (dot(pa, dir), dot(pb, dir));
        let span = [sa.min(sb).max(0.0), sa.max(sb).min(length)];
        let overlap = span[1] - span[0];
        alone &= !(in_range(ALONE) && overlap > -ALONE * far);
        if !parallel || !in_range(NEARLY) || overlap <= 0.0 {
            continue;
        }
        spans.push(span);
        let better = best
            .is_none_or(|(o, g)| overlap > o * 1.000_001 || (overlap >= o * 0.999_999 && gap < g));
        if better {
            best = Some((overlap, gap));
        }
    }
    Partner { length, covered: union_length(spans), gap: best.map(|b| b.1), alone }
}

/// Lines of a group taken together.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct FaceStatistics {
    /// Lines long enough to be walls.
    pub lines: usize,
    /// Of these, how many have a partner along half their length or more.
    pub paired: usize,
    /// Length of these lines.
    pub length: f64,
    /// Share of the length that has a partner.
    pub share: f64,
    /// Distances with how many lines have them, commonest first.
    pub gaps: Vec<(f64, usize)>,
}

impl FaceStatistics {
    /// Of these lines; distances are counted in steps of `step`. Lines shorter than `shortest` are
    /// jambs and end caps, which say nothing.
    pub fn of(partners: impl Iterator<Item = Partner>, shortest: f64, step: f64) -> FaceStatistics {
        let mut tally = FaceTally::new(shortest, step);
        partners.for_each(|p| tally.add(&p));
        tally.statistics()
    }
    /// Most of the length runs beside a partner: these are faces.
    pub fn are_faces(&self) -> bool {
        self.paired >= 2 && self.share >= 0.5
    }
}

/// The statistics of a group while its lines come one by one.
pub(crate) struct FaceTally {
    shortest: f64,
    step: f64,
    lines: usize,
    length: f64,
    covered: f64,
    paired: usize,
    /// Lines by distance in steps, with the least distance as drawn.
    counts: BTreeMap<i64, (usize, f64)>,
}

impl FaceTally {
    /// Of no lines; see [`FaceStatistics::of`].
    pub fn new(shortest: f64, step: f64) -> FaceTally {
        let counts = BTreeMap::new();
        FaceTally { shortest, step, lines: 0, length: 0.0, covered: 0.0, paired: 0, counts }
    }
    /// One line more.
    pub fn add(&mut self, p: &Partner) {
        if p.length >= self.shortest {
            self.lines += 1;
            self.length += p.length;
            self.covered += p.covered;
            if let Some(gap) = p.gap.filter(|_| p.covered >= p.length / 2.0) {
                self.paired += 1;
                let slot = self.counts.entry((gap / self.step).round() as i64).or_insert((0, gap));
                *slot = (slot.0 + 1, slot.1.min(gap));
            }
        }
    }
    /// Of all so far.
    pub fn statistics(self) -> FaceStatistics {
        let mut gaps: Vec<(i64, (usize, f64))> = self.counts.into_iter().collect();
        gaps.sort_by_key(|(gap, n)| (std::cmp::Reverse(n.0), *gap));
        FaceStatistics {
            lines: self.lines,
            paired: self.paired,
            length: self.length,
            share: if self.length > 0.0 { self.covered / self.length } else { 0.0 },
            gaps: gaps
                .into_iter()
                .map(|(_, (n, drawn))| ((drawn * 1e6).round() / 1e6, n))
                .collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::affine::Xy;

    fn line(x0: f64, y0: f64, x1: f64, y1: f64) -> Segment {
        Segment { a: [x0, y0], b: [x1, y1] }
    }
    fn statistics(lines: &[Segment]) -> FaceStatistics {
        let found = partners(lines, &LineIndex::new(lines), 2.5, 14.0, &Watch::endless());
        FaceStatistics::of(found.into_iter(), 2.5, 0.0625)
    }

    #[test]
    fn a_pair_of_faces_broken_on_one_side() {
        // One face in one piece, the other broken by a door.
        let s = statistics(&[
            line(0.0, 0.0, 200.0, 0.0),
            line(0.0, 4.5, 80.0, 4.5),
            line(116.0, 4.5, 200.0, 4.5),
        ]);
        assert_eq!((s.lines, s.paired), (3, 3));
        assert!((s.share - (164.0 * 2.0) / (200.0 + 164.0)).abs() < 1e-9);
        assert_eq!(s.gaps, vec![(4.5, 3)]);
        assert!(s.are_faces());
    }

    #[test]
    fn single_lines_are_no_faces() {
        let s = statistics(&[
            line(0.0, 0.0, 200.0, 0.0),
            line(0.0, 0.0, 0.0, 100.0),
            line(0.0, 100.0, 200.0, 100.0),
            line(0.0, 36.0, 200.0, 36.0),
            line(0.0, 1.0, 200.0, 1.0),
        ]);
        assert_eq!(s.paired, 0);
        assert!(!s.are_faces());
    }

    #[test]
    fn turned_pairs_are_found_too() {
        let (c, s) = (0.8, 0.6);
        let turn = |l: Segment| {
            let t = |p: Xy| [p[0] * c - p[1] * s, p[0] * s + p[1] * c];
            Segment { a: t(l.a), b: t(l.b) }
        };
        let lines = [turn(line(0.0, 0.0, 100.0, 0.0)), turn(line(100.0, 6.5, 0.0, 6.5))];
        let found = statistics(&lines);
        assert!(found.are_faces());
        assert_eq!(found.gaps, vec![(6.5, 2)]);
    }
}
