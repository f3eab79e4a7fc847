//! The strip of floor a wall's plates take, from its first node to its last.

use crate::line::Line;
use crate::nodes::Network;
use crate::touch::PARALLEL;
use geom::{Length, Point};
use wall_model::floor::{BEND, IN_LINE};

/// Convex, counter-clockwise.
pub(crate) type Polygon = Vec<Point>;

/// From node to node.
pub(crate) fn whole(lines: &[Line], n: &Network, i: usize) -> Option<Polygon> {
    strip(lines, n, i, [[Length::ZERO; 2]; 2])
}

/// What its plates take in one layer or the other: from the walls that pass at its ends, and over the whole of a
/// corner.
pub(crate) fn taken_up(lines: &[Line], n: &Network, i: usize) -> Option<Polygon> {
    let (first, last) = (n.on_line[i].first()?.node, n.on_line[i].last()?.node);
    let near = taken_off(lines, n, i)?;
    let ends = [first, last].map(|node| end_at(lines, n, i, node));
    // The far face of a wall is as far beyond the node as its near face is before it, on the other edge.
    let taken = [0, 1].map(|side: usize| {
        [0, 1].map(|end: usize| match ends[end] {
            EndAt::InLine => Length::ZERO,
            EndAt::Bend(over) => -over,
            EndAt::Passing => near[side][end],
            EndAt::Corner => -near[1 - side][end],
        })
    });
    strip(lines, n, i, taken)
}

/// What a wall's end comes to.
enum EndAt {
    /// Another goes on from here, or two in line that both end here do.
    InLine,
    /// Another goes on from here nearly straight: one of its edges reaches beyond by so much.
    Bend(Length),
    /// One passes.
    Passing,
    /// No other passes, if there is one.
    Corner,
}

fn end_at(lines: &[Line], n: &Network, i: usize, node: usize) -> EndAt {
    let in_line = |j: usize, k: usize| lines[j].dir.cross(lines[k].dir).abs() < PARALLEL;
    let others = || n.at(node).filter(move |j| *j != i);
    let passes = |j: usize| {
        let on = &n.on_line[j];
        on.first().is_some_and(|o| o.node != node) && on.last().is_some_and(|o| o.node != node)
    };
    if let Some(two) = bend_at(lines, n, node).filter(|two| two.contains(&i)) {
        let sine = lines[two[0]].dir.cross(lines[two[1]].dir).abs();
        return EndAt::Bend(lines[i].half_width().scale((sine.asin() / 2.0).tan()));
    }
    if others().any(|j| in_line(i, j)) {
        EndAt::InLine
    } else if others().any(passes) {
        EndAt::Passing
    } else if others().any(|j| others().any(|k| k != j && in_line(j, k))) {
        // It may carry through to the far face of one of the two.
        EndAt::InLine
    } else {
        EndAt::Corner
    }
}

/// The strip less what is taken off its right and left edge at its two ends.
fn strip(lines: &[Line], n: &Network, i: usize, taken: [[Length; 2]; 2]) -> Option<Polygon> {
    let (l, on) = (&lines[i], &n.on_line[i]);
    let (from, to, half) = (on.first()?.station, on.last()?.station, l.half_width());
    let [right, left] = taken.map(|[at_first, at_last]| [from + at_first, to - at_last]);
    let f = l.frame();
    let corners = [(right[0], -half), (right[1], -half), (left[1], half), (left[0], half)];
    (right[0] < right[1] && left[0] < left[1]).then(|| corners.map(|(s, o)| f.at(s, o)).to_vec())
}

/// What the walls at a wall's first and last node take of the length of its right and left edge: a plate has
/// to have both.
pub(crate) fn taken_off(lines: &[Line], n: &Network, i: usize) -> Option<[[Length; 2]; 2]> {
    let (first, last) = (n.on_line[i].first()?, n.on_line[i].last()?);
    let l = &lines[i];
    let taken = |node: usize, inward: f64, side: f64| {
        let others = n.at(node).filter(|j| *j != i);
        let bend = bend_at(lines, n, node);
        others
            .filter_map(|j| {
                let m = &lines[j];
                let (sine, cosine) = (l.dir.cross(m.dir), l.dir.dot(m.dir));
                let lean = inward * side * cosine / sine;
                let taken = || m.half_width().scale(1.0 / sine.abs()) + l.half_width().scale(lean);
                let bent = || bend.is_some_and(|two| two.contains(&i) && two.contains(&j));
                (sine.abs() >= PARALLEL && !bent()).then(taken)
            })
            .max()
            .unwrap_or_default()
    };
    Some([-1.0, 1.0].map(|side| [taken(first.node, 1.0, side), taken(last.node, -1.0, side)]))
}

/// Whether two walls and no more end at a node and go on nearly straight.
pub(crate) fn bends_at(lines: &[Line], n: &Network, node: usize) -> bool {
    n.at_node[node].len() == 2 && bend_at(lines, n, node).is_some()
}

/// The two walls that go on nearly straight at a node where two end, or the straightest two of more that all end there and
/// of which none are in line: both their plates are cut on the half angle there, so that neither takes of the other's length.
pub(crate) fn bend_at(lines: &[Line], n: &Network, node: usize) -> Option<[usize; 2]> {
    let ways: Vec<(usize, f64)> =
        n.at(node).map(|i| away(n, i, node).map(|sign| (i, sign))).collect::<Option<_>>()?;
    let mut best: Option<(f64, [usize; 2])> = None;
    for (k, (i, one)) in ways.iter().enumerate() {
        for (j, other) in &ways[k + 1..] {
            let (l, m) = (&lines[*i], &lines[*j]);
            let sine = l.dir.cross(m.dir).abs();
            if l.dir.dot(m.dir) * one * other < 0.0 && sine < best.map_or(BEND, |(least, _)| least)
            {
                best = Some((sine, [*i, *j]));
            }
        }
    }
    best.filter(|(sine, _)| ways.len() == 2 || *sine >= IN_LINE).map(|(_, pair)| pair)
}

/// The sign of stations away from a node, of a wall that ends there.
pub(crate) fn away(n: &Network, i: usize, node: usize) -> Option<f64> {
    let on = &n.on_line[i];
    let starts = on.first().is_some_and(|o| o.node == node);
    let ends = on.last().is_some_and(|o| o.node == node);
    (starts != ends).then_some(if starts { 1.0 } else { -1.0 })
}

/// What two have in common; without corners where that is nothing.
pub(crate) fn common(one: &[Point], other: &[Point]) -> Polygon {
    let mut left = one.to_vec();
    for (a, b) in around(other) {
        let inside = |p: Point| cross(a, b, p);
        let mut kept = Vec::with_capacity(left.len() + 1);
        for (p, q) in around(&left) {
            let (at_p, at_q) = (inside(p), inside(q));
            if at_p >= 0.0 {
                kept.push(p);
            }
            if at_p * at_q < 0.0 {
                let (d, share) = (q - p, at_p / (at_p - at_q));
                kept.push(p + Point::new(d.x.scale(share), d.y.scale(share)));
            }
        }
        left = kept;
    }
    left
}

/// Its longest side.
pub(crate) fn longest_side(polygon: &[Point]) -> Length {
    around(polygon).map(|(p, q)| p.distance(q)).max().unwrap_or_default()
}

/// Mean of the corners: a place to point at.
pub(crate) fn middle(polygon: &[Point]) -> Option<Point> {
    let (first, count) = (*polygon.first()?, polygon.len() as f64);
    let mean = |along: fn(Point) -> Length| {
        polygon.iter().map(|p| along(*p - first)).sum::<Length>().scale(1.0 / count)
    };
    Some(first + Point::new(mean(|p| p.x), mean(|p| p.y)))
}

/// Sides, one after the other.
fn around(polygon: &[Point]) -> impl Iterator<Item = (Point, Point)> {
    polygon.iter().copied().zip(polygon.iter().copied().cycle().skip(1))
}

/// Twice the area of the triangle, nm²; positive to the left of the way from `a` to `b`.
fn cross(a: Point, b: Point, p: Point) -> f64 {
    let (d, e) = (b - a, p - a);
    let [dx, dy, ex, ey] = [d.x, d.y, e.x, e.y].map(|v| v.nm() as f64);
    dx * ey - dy * ex
}

#[cfg(test)]
mod tests {
    use super::*;

    fn polygon(corners: &[(i64, i64)]) -> Polygon {
        corners.iter().map(|(x, y)| Point::new(Length::inches(*x), Length::inches(*y))).collect()
    }

    #[test]
    fn two_squares_have_a_corner_in_common_and_neighbours_nothing() {
        let one = polygon(&[(0, 0), (4, 0), (4, 4), (0, 4)]);
        let shared = common(&one, &polygon(&[(2, 3), (9, 3), (9, 9), (2, 9)]));
        let inch2 = Length::inches(1).nm() as i128 * Length::inches(1).nm() as i128;
        assert_eq!(geom::polygon_area_nm2(&shared), 2 * inch2);
        assert_eq!(
            middle(&shared),
            polygon(&[(3, 3)]).pop().map(|p| Point::new(p.x, p.y + Length::inches(1).half()))
        );
        let beside = common(&one, &polygon(&[(4, 0), (8, 0), (8, 4), (4, 4)]));
        assert_eq!(geom::polygon_area_nm2(&beside), 0);
        assert!(common(&one, &polygon(&[(20, 0), (24, 0), (24, 4)])).is_empty());
    }
}
