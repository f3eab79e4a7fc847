//! Which boxes lie near which.

use crate::line::Line;
use crate::order;
use geom::Point;

/// A box with sides along the axes, nm.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Bounds {
    pub x: [i64; 2],
    pub y: [i64; 2],
}

impl Bounds {
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
    pub(crate) fn of_line(l: &Line) -> Bounds {
        Bounds::of(l.a, l.b)
    }
    /// Whether they are no farther apart than `gap` in either direction.
    pub(crate) fn near(&self, o: &Bounds, gap: i64) -> bool {
        let apart = |a: [i64; 2], b: [i64; 2]| (b[0] - a[1]).max(a[0] - b[1]);
        apart(self.x, o.x) <= gap && apart(self.y, o.y) <= gap
    }
}

/// Calls `visit(i, j)` with `i < j`, once for every two boxes no farther apart than `gap` (at least 0)
/// in either direction; in no particular order.
///
/// The boxes are swept by x in strips of y about twice as high as the boxes are on average, so that
/// the cost is the sort and the pairs found, for boxes of one scale however they are spread. A pair is
/// told in the first strip that both lie in.
pub(crate) fn near(boxes: &[Bounds], gap: i64, mut visit: impl FnMut(usize, usize)) {
    let Some(bottom) = boxes.iter().map(|b| b.y[0]).min() else { return };
    let top = boxes.iter().map(|b| b.y[1]).max().unwrap_or(bottom).saturating_add(gap);
    let count = boxes.len() as i64;
    let mean = boxes.iter().map(|b| (b.y[1] - b.y[0]) / count).sum::<i64>().saturating_add(gap);
    // No more strips than boxes, no matter how far they are spread.
    let height = mean.saturating_mul(2).max((top - bottom) / count).max(1);
    let strip = |y: i64| ((y - bottom) / height) as usize;
    let strips = strip(top) + 1;

    let mut by_x: Vec<(i64, u32)> = boxes.iter().map(|b| b.x[0]).zip(0..).collect();
    order::by_number(&mut by_x, |b| order::unsigned(b.0));
    let on: Vec<[u32; 2]> = boxes
        .iter()
        .map(|b| [b.y[0], b.y[1].saturating_add(gap)].map(|y| strip(y) as u32))
        .collect();
    // Each strip's boxes side by side, in order of x.
    let mut ends = vec![0_usize; strips];
    for [first, last] in &on {
        ends[*first as usize..=*last as usize].iter_mut().for_each(|count| *count += 1);
    }
    let mut total = 0;
    for e in &mut ends {
        total += std::mem::replace(e, total);
    }
    let nobody = Standing { bounds: Bounds { x: [0; 2], y: [0; 2] }, index: 0, begins: false };
    let mut standing = vec![nobody; total];
    for (_, index) in by_x {
        let (bounds, [first, last]) = (boxes[index as usize], on[index as usize]);
        for k in first..=last {
            let end = &mut ends[k as usize];
            standing[*end] = Standing { bounds, index, begins: k == first };
            *end += 1;
        }
    }
    let mut from = 0;
    for to in ends {
        let here = &standing[from..to];
        from = to;
        for (n, s) in here.iter().enumerate() {
            let (b, reach) = (s.bounds, s.bounds.x[1].saturating_add(gap));
            for t in here[n + 1..].iter().take_while(|t| t.bounds.x[0] <= reach) {
                let c = t.bounds;
                let (low, high) = (b.y[0].max(c.y[0]), b.y[1].min(c.y[1]).saturating_add(gap));
                if low <= high && (s.begins || t.begins) {
                    visit(s.index.min(t.index) as usize, s.index.max(t.index) as usize);
                }
            }
        }
    }
}

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
            near(&boxes, gap, |i, j| found.push((i, j)));
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
