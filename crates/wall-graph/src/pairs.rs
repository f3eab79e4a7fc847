//! Which boxes lie near which.

use crate::line::Line;
use crate::rows::Rows;
use geom::Point;

/// A box with sides along the axes, nm.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Bounds {
    pub x: [i64; 2],
    pub y: [i64; 2],
}

impl Bounds {
    #[inline]
    pub(crate) fn of(a: Point, b: Point) -> Bounds {
        let ([ax, ay], [bx, by]) = ([a.x.nm(), a.y.nm()], [b.x.nm(), b.y.nm()]);
        Bounds { x: [ax.min(bx), ax.max(bx)], y: [ay.min(by), ay.max(by)] }
    }
    /// Around all of them; an empty box of zeros around none.
    pub(crate) fn around(points: &[Point]) -> Bounds {
        let range = |v: fn(&Point) -> i64| {
            let values = || points.iter().map(v);
            [values().min().unwrap_or(0), values().max().unwrap_or(0)]
        };
        Bounds { x: range(|p| p.x.nm()), y: range(|p| p.y.nm()) }
    }
    #[inline]
    pub(crate) fn of_line(l: &Line) -> Bounds {
        Bounds::of(l.a, l.b)
    }
    /// Whether they are no farther apart than `gap` in either direction.
    pub(crate) fn near(&self, o: &Bounds, gap: i64) -> bool {
        let apart = |a: [i64; 2], b: [i64; 2]| (b[0] - a[1]).max(a[0] - b[1]);
        apart(self.x, o.x) <= gap && apart(self.y, o.y) <= gap
    }
}

/// Calls `visit(i, j)` with `i < j`, once for every two of so many boxes no farther apart than `gap` (at least 0)
/// in either direction; in no particular order.
///
/// The boxes are swept by y in strips of x about twice as wide as the boxes are on average, so that
/// the cost is the sorts and the pairs found, for boxes of one scale however they are spread; least where
/// neighbours are neighbours in memory. A pair is told in the first strip that both lie in.
pub(crate) fn near(
    count: usize,
    bounds: impl Fn(usize) -> Bounds,
    gap: i64,
    mut visit: impl FnMut(usize, usize),
) {
    if count == 0 {
        return;
    }
    let (mut left, mut right, mut mean) = (i64::MAX, i64::MIN, gap);
    for x in (0..count).map(|i| bounds(i).x) {
        (left, right) = (left.min(x[0]), right.max(x[1].saturating_add(gap)));
        mean = mean.saturating_add((x[1] - x[0]) / count as i64);
    }
    // No more strips than boxes, no matter how far they are spread.
    let width = mean.saturating_mul(2).max((right - left) / count as i64).max(1);
    let strip = |x: i64| ((x - left) / width) as usize;

    let on = (0..count).map(|i| bounds(i).x);
    let on: Vec<[u32; 2]> =
        on.map(|x| [x[0], x[1].saturating_add(gap)].map(|x| strip(x) as u32)).collect();
    let in_strips =
        on.iter().zip(0..).flat_map(|([first, last], i)| (*first..=*last).map(move |k| (k, i)));
    let in_strips: Rows<u32> = Rows::of(strip(right) + 1, in_strips);
    let (mut by_y, mut standing) = (Vec::new(), Vec::new());
    for (k, here) in in_strips.iter().enumerate() {
        by_y.clear();
        by_y.extend(here.iter().map(|i| (bounds(*i as usize).y[0], *i)));
        by_y.sort_unstable();
        standing.clear();
        standing.extend(by_y.iter().map(|(_, index)| {
            let begins = on[*index as usize][0] as usize == k;
            Standing { bounds: bounds(*index as usize), index: *index, begins }
        }));
        sweep(&standing, gap, &mut visit);
    }
}

/// Pairs of one strip, whose boxes are in order of y.
fn sweep(standing: &[Standing], gap: i64, visit: &mut impl FnMut(usize, usize)) {
    for (n, s) in standing.iter().enumerate() {
        let (b, reach) = (s.bounds, s.bounds.y[1].saturating_add(gap));
        for t in standing[n + 1..].iter().take_while(|t| t.bounds.y[0] <= reach) {
            let c = t.bounds;
            let (low, high) = (b.x[0].max(c.x[0]), b.x[1].min(c.x[1]).saturating_add(gap));
            if low <= high && (s.begins || t.begins) {
                visit(s.index.min(t.index) as usize, s.index.max(t.index) as usize);
            }
        }
    }
}

/// A box in a strip.
#[derive(Clone, Copy)]
struct Standing {
    bounds: Bounds,
    index: u32,
    /// Whether this is the first strip it is in: two boxes are both in the one where the later begins.
    begins: bool,
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn boxes() -> impl Strategy<Value = Vec<Bounds>> {
        // Most of one scale, some long, some far away.
        let place = prop_oneof![8 => 0_i64..400, 1 => -1_000_000_000_i64..1_000_000_000];
        let size = || prop_oneof![8 => 0_i64..30, 1 => 0_i64..2_000];
        let one = (place.clone(), place, size(), size());
        let one = one.prop_map(|(x, y, w, h)| Bounds { x: [x, x + w], y: [y, y + h] });
        prop::collection::vec(one, 0..80)
    }

    proptest! {
        #[test]
        fn every_near_pair_once_and_no_other(boxes in boxes(), gap in 0_i64..40) {
            let mut found = Vec::new();
            near(boxes.len(), |i| boxes[i], gap, |i, j| found.push((i, j)));
            found.sort_unstable();
            let mut expected = Vec::new();
            for i in 0..boxes.len() {
                for j in i + 1..boxes.len() {
                    if boxes[i].near(&boxes[j], gap) {
                        expected.push((i, j));
                    }
                }
            }
            prop_assert_eq!(found, expected);
        }
    }
}
