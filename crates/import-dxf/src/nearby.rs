//! Which lines are near a place.
//!
//! Knows: the boxes of lines, packed in a tree. Never touches: what the lines are, units.
//!
//! The tree is packed once, sort-tile-recursive (Leutenegger, Lopez and Edgington, "STR: a simple and
//! efficient algorithm for R-tree packing", ICDE 1997): a stray line far off does not spoil it, as it
//! would a grid, and its order comes from the lines' places alone, so that a search that stops at
//! [`MOST_NEAR`] finds the same lines whatever their order in the file.

use crate::affine::{Xy, cross, norm, sub};
use crate::linework::Segment;
use smallvec::SmallVec;
use std::ops::Range;

/// Coordinates beyond this would overflow the products reckoned with; such lines are nowhere.
const ABSURD: f64 = 1e15;
/// Lines looked at around one place. No plan has as many; a file made of one line ten thousand times
/// over must not take hours.
const MOST_NEAR: usize = 20_000;
/// Boxes in a node.
const NODE: usize = 16;
/// A line more slanting than this (the lesser side of its box, in reaches) is searched along itself, not
/// in its whole box.
const SLANTING: f64 = 4.0;

/// Least x, least y, greatest x, greatest y.
type Bounds = [f64; 4];

const NOWHERE: Bounds = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];

/// Numbers of lines.
pub(crate) type Numbers = SmallVec<[u32; 24]>;

/// An index of lines by place.
pub(crate) struct LineIndex {
    /// Line number of each packed box.
    numbers: Vec<u32>,
    /// Boxes of the lines, packed; then of sixteen of these each, and so on up to one node.
    levels: Vec<Vec<Node>>,
}

/// Sixteen boxes, side by side, so that all are looked at together.
struct Node {
    least: [[f64; NODE]; 2],
    greatest: [[f64; NODE]; 2],
}

impl Node {
    /// Of no more than sixteen boxes.
    fn of(boxes: &[Bounds]) -> Node {
        let mut out =
            Node { least: [[f64::INFINITY; NODE]; 2], greatest: [[f64::NEG_INFINITY; NODE]; 2] };
        for (k, b) in boxes.iter().take(NODE).enumerate() {
            out.least[0][k] = b[0];
            out.least[1][k] = b[1];
            out.greatest[0][k] = b[2];
            out.greatest[1][k] = b[3];
        }
        out
    }
    fn get(&self, k: usize) -> Bounds {
        [self.least[0][k], self.least[1][k], self.greatest[0][k], self.greatest[1][k]]
    }
    /// Around all of its boxes.
    fn whole(&self) -> Bounds {
        (0..NODE).fold(NOWHERE, |all, k| joined(&all, &self.get(k)))
    }
    /// Which boxes touch the window: a byte each, 1 where one does.
    fn touching(&self, w: &Bounds) -> u128 {
        let mut hits = [0; NODE];
        for (k, hit) in hits.iter_mut().enumerate() {
            let x = (self.least[0][k] <= w[2]) & (self.greatest[0][k] >= w[0]);
            let y = (self.least[1][k] <= w[3]) & (self.greatest[1][k] >= w[1]);
            *hit = u8::from(x & y);
        }
        u128::from_le_bytes(hits)
    }
}

impl LineIndex {
    /// Of these lines, by number.
    pub fn new(lines: &[Segment]) -> LineIndex {
        let usable = |s: &Segment| [s.a, s.b].iter().flatten().all(|v| v.abs() < ABSURD);
        let mut packed: Vec<Packed> = lines
            .iter()
            .zip(0_u32..)
            .filter(|(s, _)| usable(s))
            .map(|(s, i)| ([ordered(s.a[0] + s.b[0]), ordered(s.a[1] + s.b[1])], i))
            .collect();
        let line = |i: u32| lines.get(i as usize).map_or([0.0; 4], whole);
        // Lines on top of each other differ in number only.
        let ties = |a: &Packed, b: &Packed| {
            line(a.1).map(f64::to_bits).cmp(&line(b.1).map(f64::to_bits)).then(a.1.cmp(&b.1))
        };
        packed.sort_unstable_by(|a, b| a.0.cmp(&b.0).then_with(|| ties(a, b)));
        let slices = (packed.len() as f64 / NODE as f64).sqrt().ceil().max(1.0) as usize;
        let slice = packed.len().div_ceil(slices).next_multiple_of(NODE).max(NODE);
        for own in packed.chunks_mut(slice) {
            own.sort_unstable_by(|a, b| {
                (a.0[1], a.0[0]).cmp(&(b.0[1], b.0[0])).then_with(|| ties(a, b))
            });
        }
        let numbers: Vec<u32> = packed.into_iter().map(|p| p.1).collect();
        let node = |own: &[u32]| {
            let mut boxes = [NOWHERE; NODE];
            boxes.iter_mut().zip(own).for_each(|(b, i)| *b = bounds(line(*i)));
            Node::of(&boxes)
        };
        let mut levels = vec![numbers.chunks(NODE).map(node).collect::<Vec<_>>()];
        while let Some(below) = levels.last().filter(|l| l.len() > 1) {
            let wholes: Vec<Bounds> = below.iter().map(Node::whole).collect();
            levels.push(wholes.chunks(NODE).map(Node::of).collect());
        }
        LineIndex { numbers, levels }
    }

    /// Numbers of the lines whose boxes come within `reach` of the box of these points, ascending.
    pub fn near(&self, points: &[Xy], reach: f64) -> Numbers {
        let all = points.iter().fold(NOWHERE, |a, p| joined(&a, &[p[0], p[1], p[0], p[1]]));
        self.search(&Window { bounds: grown(&all, reach), strip: None })
    }

    /// Numbers of the lines whose boxes come within `reach` of the box of this line and, where it is
    /// slanting, about as near to the line itself; ascending.
    pub fn near_line(&self, g: &Segment, reach: f64) -> Numbers {
        self.search(&Window::around(g, reach))
    }

    /// Looks at what is near each of the lines themselves, as [`LineIndex::near_line`] has it: calls `look` with the
    /// line's number and those near it. Lines that lie together are searched for together, so that their order is
    /// the tree's; `range` is a part of the count of all lines, and what is no place is left out.
    pub fn near_each(
        &self,
        lines: &[Segment],
        range: Range<usize>,
        reach: f64,
        mut look: impl FnMut(usize, &[u32]),
    ) {
        let nodes = range.start.div_ceil(NODE)..range.end.div_ceil(NODE);
        let (mut around, mut found) = (Vec::new(), Numbers::new());
        for (n, own) in self.numbers.chunks(NODE).enumerate().take(nodes.end).skip(nodes.start) {
            let Some(node) = self.levels.first().and_then(|l| l.get(n)) else { return };
            around.clear();
            let top = self.levels.len() - 1;
            self.nodes_near(top, 0, &grown(&node.whole(), reach), &mut around);
            for i in own {
                let Some(line) = lines.get(*i as usize) else { continue };
                let window = Window::around(line, reach);
                found.clear();
                for (n, bounds) in &around {
                    if touch(bounds, &window.bounds) {
                        self.descend(0, *n, &window, &mut found);
                    }
                }
                found.sort_unstable();
                look(*i as usize, &found);
            }
        }
    }

    /// The nodes of lines that touch a window, in the order of the tree.
    fn nodes_near(&self, level: usize, node: usize, w: &Bounds, out: &mut Vec<(usize, Bounds)>) {
        let Some(boxes) = self.levels.get(level).and_then(|l| l.get(node)) else { return };
        if level == 0 {
            out.push((node, boxes.whole()));
            return;
        }
        let mut hits = boxes.touching(w);
        while hits != 0 {
            let at = node * NODE + hits.trailing_zeros() as usize / 8;
            hits &= hits - 1;
            self.nodes_near(level - 1, at, w, out);
        }
    }

    fn search(&self, window: &Window) -> Numbers {
        let mut found = Numbers::new();
        if let Some(top) = self.levels.len().checked_sub(1) {
            self.descend(top, 0, window, &mut found);
        }
        found.sort_unstable();
        found
    }

    /// Goes no deeper than there are levels: eight at most.
    fn descend(&self, level: usize, node: usize, window: &Window, found: &mut Numbers) {
        let Some(boxes) = self.levels.get(level).and_then(|l| l.get(node)) else { return };
        let mut hits = boxes.touching(&window.bounds);
        while hits != 0 {
            let k = hits.trailing_zeros() as usize / 8;
            hits &= hits - 1;
            if found.len() >= MOST_NEAR {
                return;
            }
            if window.strip.as_ref().is_some_and(|s| !s.touches(&boxes.get(k))) {
                continue;
            }
            let at = node * NODE + k;
            match level {
                0 => found.extend(self.numbers.get(at).copied()),
                _ => self.descend(level - 1, at, window, found),
            }
        }
    }
}

/// Where is looked.
struct Window {
    bounds: Bounds,
    strip: Option<Strip>,
}

impl Window {
    fn around(g: &Segment, reach: f64) -> Window {
        let all = bounds(whole(g));
        let along = sub(g.b, g.a);
        let slanting = (all[2] - all[0]).min(all[3] - all[1]) > reach * SLANTING;
        let length = if slanting { norm(along) } else { 0.0 };
        let strip = (length > 0.0).then(|| Strip {
            through: g.a,
            dir: [along[0] / length, along[1] / length],
            // Half as far again: a corner of the reach's square is farther off than its side.
            half: reach * 1.5,
        });
        Window { bounds: grown(&all, reach), strip }
    }
}

/// All within `half` of a line without ends.
struct Strip {
    through: Xy,
    dir: Xy,
    half: f64,
}

impl Strip {
    fn touches(&self, b: &Bounds) -> bool {
        let middle = [(b[0] + b[2]) / 2.0, (b[1] + b[3]) / 2.0];
        let across = self.dir[1].abs() * (b[2] - b[0]) + self.dir[0].abs() * (b[3] - b[1]);
        cross(self.dir, sub(middle, self.through)).abs() <= across / 2.0 + self.half
    }
}

/// Twice the middle of a line, in the order of numbers; its number.
type Packed = ([u64; 2], u32);

/// A number whose order as an integer is that of the float.
pub(crate) fn ordered(v: f64) -> u64 {
    let bits = v.to_bits();
    if bits >> 63 == 1 { !bits } else { bits | 1 << 63 }
}

/// A line by the coordinates of its ends, to be put in an order that does not depend on the file's.
pub(crate) fn by_ends(g: &Segment) -> [u64; 4] {
    whole(g).map(ordered)
}

fn whole(g: &Segment) -> [f64; 4] {
    [g.a[0], g.a[1], g.b[0], g.b[1]]
}

fn bounds([x0, y0, x1, y1]: [f64; 4]) -> Bounds {
    [x0.min(x1), y0.min(y1), x0.max(x1), y0.max(y1)]
}

fn touch(a: &Bounds, b: &Bounds) -> bool {
    a[0] <= b[2] && a[2] >= b[0] && a[1] <= b[3] && a[3] >= b[1]
}

fn joined(a: &Bounds, b: &Bounds) -> Bounds {
    [a[0].min(b[0]), a[1].min(b[1]), a[2].max(b[2]), a[3].max(b[3])]
}

fn grown(b: &Bounds, by: f64) -> Bounds {
    [b[0] - by, b[1] - by, b[2] + by, b[3] + by]
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn any_line() -> impl Strategy<Value = Segment> {
        let place = prop_oneof![0.0..100.0, -1e7..1e7];
        (place.clone(), place, -30.0..30.0, -30.0..30.0)
            .prop_map(|(x, y, w, h)| Segment { a: [x, y], b: [x + w, y + h] })
    }

    proptest! {
        /// As looking at every line, one by one.
        #[test]
        fn nothing_near_is_missed(lines in prop::collection::vec(any_line(), 0..600), q in any_line(), reach in 0.0..40.0) {
            let index = LineIndex::new(&lines);
            let window = grown(&bounds(whole(&q)), reach);
            let touches = |s: &Segment| {
                let b = bounds(whole(s));
                b[0] <= window[2] && b[2] >= window[0] && b[1] <= window[3] && b[3] >= window[1]
            };
            let all: Vec<u32> = (0..lines.len()).filter(|i| touches(&lines[*i])).map(|i| i as u32).collect();
            prop_assert_eq!(index.near(&[q.a, q.b], reach).to_vec(), all.clone());
            let along = index.near_line(&q, reach).to_vec();
            prop_assert!(along.iter().all(|i| all.contains(i)));
            // Whatever comes within reach of the line is found.
            for i in all {
                let near = crate::network::distance(&q, lines[i as usize].a) <= reach;
                prop_assert!(!near || along.contains(&i));
            }
        }
    }

    proptest! {
        /// Together the same as one by one.
        #[test]
        fn all_lines_are_searched_for_as_each(lines in prop::collection::vec(any_line(), 0..600), reach in 0.0..40.0, cut in 0..600_usize) {
            let index = LineIndex::new(&lines);
            let mut seen = vec![0; lines.len()];
            let cut = cut.min(lines.len());
            for part in [0..cut, cut..lines.len()] {
                index.near_each(&lines, part, reach, |i, near| {
                    seen[i] += 1;
                    assert_eq!(near, index.near_line(&lines[i], reach).as_slice());
                });
            }
            prop_assert!(seen.iter().all(|n| *n == 1));
        }
    }

    #[test]
    fn the_limit_takes_the_same_lines_in_any_order() {
        let lines: Vec<Segment> = (0..MOST_NEAR + 500)
            .map(|i| {
                let x = (i * 7919 % 20_011) as f64 / 4096.0;
                Segment { a: [x, x / 3.0], b: [x + 50.0, x / 3.0] }
            })
            .collect();
        let taken = |lines: &[Segment]| {
            let found = LineIndex::new(lines).near(&[[25.0, 1.0]], 10.0);
            let mut of: Vec<_> =
                found.iter().map(|i| whole(&lines[*i as usize]).map(f64::to_bits)).collect();
            of.sort_unstable();
            of
        };
        let backwards: Vec<Segment> = lines.iter().rev().copied().collect();
        let there = taken(&lines);
        assert_eq!(there.len(), MOST_NEAR);
        assert_eq!(there, taken(&backwards));
    }
}
