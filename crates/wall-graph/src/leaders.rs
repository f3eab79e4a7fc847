//! Which places are one.

use crate::order;
use crate::places::Numbered;
use geom::{Length, Point};

/// Nodes, and the node of each place by number, of which those of crossings come first. Puts places in order where they
/// stand: they are many, and nobody asks for them afterwards.
///
/// Leader clustering: a place belongs to the nearest node within reach, else it is a node itself; crossings
/// before free ends, by place.
pub(crate) fn nodes_of(
    mut places: Numbered,
    crossings: usize,
    reach: Length,
) -> (Vec<Point>, Vec<u32>) {
    let mut nodes: Vec<Point> = Vec::with_capacity(places.len());
    let mut node_of = vec![0_u32; places.len()];
    let count = places.len();
    let (crossings, free) = places.split_at_mut(crossings);
    for some in [crossings, free] {
        order::by_key(some, |p| order::unsigned(p.0.x.nm()), |p| *p);
        // Those that were nodes before join when the sweep comes within reach of them.
        let mut joining = 0..nodes.len();
        let mut sweep = Sweep::new(reach, count);
        for (p, k) in some.iter().copied() {
            while joining.start < joining.end && nodes[joining.start].x - reach <= p.x {
                sweep.add(&nodes, joining.start);
                joining.start += 1;
            }
            node_of[k as usize] = sweep.nearest(&nodes, p).unwrap_or_else(|| {
                nodes.push(p);
                sweep.add(&nodes, nodes.len() - 1);
                nodes.len() as u32 - 1
            });
        }
    }
    (nodes, node_of)
}

/// Nodes in rows, found by a sweep in order of x.
struct Sweep {
    reach: Length,
    /// A few reaches, so that a place mostly looks into one row.
    height: i64,
    /// The last node of each row. Rows that share a number do no harm: distances are looked at.
    last: Vec<u32>,
    /// For each node the one before it in its row; [`NONE`] where it is the first.
    before: Vec<u32>,
}

/// No node's number.
const NONE: u32 = u32::MAX;

impl Sweep {
    fn new(reach: Length, most: usize) -> Sweep {
        Sweep {
            reach,
            height: reach.nm().max(1) * 16,
            last: vec![NONE; most.next_power_of_two()],
            before: vec![NONE; most],
        }
    }
    fn row(&self, y: Length) -> i64 {
        y.nm().div_euclid(self.height)
    }
    fn slot(&self, row: i64) -> usize {
        row as usize & (self.last.len() - 1)
    }
    /// Takes in a node: by x, but that one may come when the sweep is a reach before it.
    fn add(&mut self, nodes: &[Point], k: usize) {
        let slot = self.slot(self.row(nodes[k].y));
        self.before[k] = std::mem::replace(&mut self.last[slot], k as u32);
    }
    /// The nearest node within reach of where the sweep is, of two alike the first.
    fn nearest(&self, nodes: &[Point], p: Point) -> Option<u32> {
        let mut nearest: Option<(Length, u32)> = None;
        for row in self.row(p.y - self.reach)..=self.row(p.y + self.reach) {
            let mut k = self.last[self.slot(row)];
            // Before one so far back none is within reach, though it may have come a reach too soon.
            while k != NONE && p.x - nodes[k as usize].x <= self.reach * 2 {
                // Most of a crowded row are farther up or down: no need to ask how far.
                if (nodes[k as usize].y - p.y).abs() <= self.reach {
                    let d = nodes[k as usize].distance(p);
                    if d <= self.reach && nearest.is_none_or(|n| (d, k) < n) {
                        nearest = Some((d, k));
                    }
                }
                k = self.before[k as usize];
            }
        }
        nearest.map(|(_, k)| k)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Places with a reach of half an inch, by hand: a free end goes to the nearest crossing on either side of it, one out of
    /// reach of all is a node itself, and free ends near it go to that.
    #[test]
    fn free_ends_go_to_the_nearest_crossing_in_reach() {
        let at = |(x, y): (i64, i64)| Point::new(Length::sixteenths(x), Length::sixteenths(y));
        let crossings = [(160, 0), (172, 0), (320, 0)];
        let free =
            [(156, 0), (165, 3), (167, -3), (160, 8), (160, 9), (163, 11), (328, 0), (311, 0)];
        let all = crossings.into_iter().chain(free).map(at);
        let (nodes, of) = nodes_of(all.zip(0..).collect(), 3, Length::sixteenths(8));
        let found: Vec<Point> = of.iter().map(|k| nodes[*k as usize]).collect();
        let hand = [(160, 0), (172, 0), (320, 0)].into_iter().chain([
            (160, 0),
            (160, 0),
            (172, 0),
            (160, 0),
            (160, 9),
            (160, 9),
            (320, 0),
            (311, 0),
        ]);
        assert_eq!(found, hand.map(at).collect::<Vec<_>>());
    }
}
