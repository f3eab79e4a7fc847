//! When two neighbouring nodes on a wall are one place for its plates, and which of the two stays.

use crate::body::{away, bend_at, bends_at};
use crate::kinds::in_line;
use crate::line::{Dir, Line};
use crate::nodes::{Network, OnLine};
use crate::touch::PARALLEL;
use geom::Length;
use wall_model::floor::{BEND, IN_LINE};

/// An end of a line, and the node next to it.
#[derive(Clone, Copy)]
pub(crate) struct AtEnd {
    pub line: usize,
    pub end: OnLine,
    pub next: OnLine,
    /// The sign of stations from the end into the line.
    pub inward: f64,
}

/// Both ends of a line; none of one with a single node.
pub(crate) fn at_ends(n: &Network, line: usize) -> impl Iterator<Item = AtEnd> + Clone {
    let on = &n.on_line[line];
    let pairs = [(on.first(), on.get(1), 1.0), (on.last(), on.iter().nth_back(1), -1.0)];
    pairs.into_iter().filter_map(move |(end, next, inward)| {
        Some(AtEnd { line, end: *end?, next: *next?, inward })
    })
}

/// Of two nodes of a line the one that goes and the one that stays, if the walls of one can come to the other.
pub(crate) fn gone_and_kept(
    lines: &[Line],
    n: &Network,
    line: usize,
    [a, b]: [usize; 2],
    snap: Length,
) -> Option<(usize, usize)> {
    let [to_a, to_b] = [(b, a), (a, b)].map(|(gone, kept)| can_come(lines, n, gone, kept, snap));
    // The place with the wider walls and more of them stays, if all can come to it.
    let weight = |node: usize| {
        let others = || n.at(node).filter(|j| *j != line);
        (others().map(|j| lines[j].half_width()).max(), others().count())
    };
    match (to_a, to_b) {
        (false, false) => None,
        (true, true) if weight(a) < weight(b) => Some((a, b)),
        (true, _) => Some((b, a)),
        (false, true) => Some((a, b)),
    }
}

/// Whether every wall at a node is at the other as well, or ends there and still would at the other, no farther
/// beside it than the two bodies reach, or passes within the snap tolerance of it: a wall that passes is not moved.
pub(crate) fn can_come(
    lines: &[Line],
    n: &Network,
    gone: usize,
    kept: usize,
    snap: Length,
) -> bool {
    let widest = || n.at(kept).map(|j| lines[j].half_width()).max().unwrap_or_default();
    n.at(gone).all(|i| {
        if n.is_at(lines, i, kept) {
            return true;
        }
        let on = &n.on_line[i];
        let (station, offset) = lines[i].frame().locate(n.nodes[kept]);
        if offset.abs() <= snap {
            return true;
        }
        // A wall brought beyond the next place along it would pass the other one far beside it.
        let first = on.first().is_some_and(|o| o.node == gone)
            && on.get(1).is_none_or(|next| station < next.station);
        let last = on.last().is_some_and(|o| o.node == gone)
            && on.iter().nth_back(1).is_none_or(|next| station > next.station);
        (first || last) && offset.abs() <= lines[i].half_width() + widest()
    })
}

/// Whether another wall that crosses the line is at both nodes.
pub(crate) fn meet_twice(lines: &[Line], n: &Network, line: usize, [a, b]: [usize; 2]) -> bool {
    let (fewer, more) = if n.at_node[a].len() <= n.at_node[b].len() { (a, b) } else { (b, a) };
    n.at(fewer).any(|j| {
        let crosses = || lines[line].dir.cross(lines[j].dir).abs() >= PARALLEL;
        j != line && crosses() && n.is_at(lines, j, more)
    })
}

/// Whether a wall at the node next to the end of a line is at one place with those at the end.
pub(crate) fn ends_at_one_place(lines: &[Line], n: &Network, here: AtEnd) -> bool {
    sticks_out(lines, n, here) || flush_pair(lines, n, here)
}

/// Whether walls end next to a bend at the end of a line, so near it, where others may end as well, that one reaches beyond
/// it: it lies at both walls of the bend.
pub(crate) fn end_is_in_bend(lines: &[Line], n: &Network, here: AtEnd) -> bool {
    let AtEnd { line, end, next, .. } = here;
    let other = match bend_at(lines, n, end.node) {
        Some([a, b]) if a == line => b,
        Some([a, b]) if b == line => a,
        _ => return false,
    };
    let [l, m] = [line, other].map(|k| &lines[k]);
    let turn = l.dir.cross(m.dir).abs();
    if turn < IN_LINE {
        return false;
    }
    let widest = l.half_width().max(m.half_width());
    // So far inward of the node the half angle ends a face.
    let lean = widest.scale((turn.asin() / 2.0).tan());
    let into = (next.station - end.station).abs();
    let stems = || n.at(next.node).filter(|j| *j != line);
    let all_end = stems().all(|q| away(n, q, next.node).is_some());
    all_end
        && stems().any(|q| {
            let stem = &lines[q];
            let across = l.dir.cross(stem.dir).abs();
            let clear = across >= BEND && m.dir.cross(stem.dir).abs() >= BEND;
            let reach = stem.half_width() + widest.scale(l.dir.dot(stem.dir).abs());
            clear && into < reach.scale(1.0 / across) + lean
        })
}

/// Whether the end of a line has a corner that a narrower wall carries on in line from, flush with one face of the
/// wider wall or within both: their centrelines are apart, the place is one.
fn flush_pair(lines: &[Line], n: &Network, here: AtEnd) -> bool {
    let AtEnd { line, end, next, .. } = here;
    let only = |node: usize| {
        let mut others = n.at(node).filter(|j| *j != line);
        others.next().filter(|_| others.next().is_none())
    };
    let (Some(p), Some(q)) = (only(end.node), only(next.node)) else { return false };
    // Away from its node, where the wall ends there.
    let away = |j: usize, node: usize| {
        let on = &n.on_line[j];
        let (starts, ends) = (on.first()?.node == node, on.last()?.node == node);
        let Dir(x, y) = lines[j].dir;
        (starts != ends).then_some(if starts { Dir(x, y) } else { Dir(-x, -y) })
    };
    let (Some(a), Some(b)) = (away(p, end.node), away(q, next.node)) else { return false };
    let crosses = |d: Dir| lines[line].dir.cross(d).abs() >= PARALLEL;
    if !(in_line(a, b) && crosses(a) && crosses(b)) {
        return false;
    }
    let (wide, narrow, at) = match lines[p].half_width() >= lines[q].half_width() {
        true => (&lines[p], &lines[q], next),
        false => (&lines[q], &lines[p], end),
    };
    let offset = wide.frame().locate(n.nodes[at.node]).1.abs();
    offset + narrow.half_width() <= wide.half_width() + Length::from_nm(25_400)
}

/// Whether a wall next to the end of a line reaches out over the end beyond every wall there.
fn sticks_out(lines: &[Line], n: &Network, here: AtEnd) -> bool {
    let AtEnd { line, end, next, inward } = here;
    let l = &lines[line];
    let half = l.half_width().nm() as f64;
    let into = (next.station - end.station).nm() as f64 * inward;
    // How far outward of its node a wall's face crosses the edge of the line at `side`.
    let outward = |j: usize, side: f64| {
        let m = &lines[j];
        let (sine, cosine) = (l.dir.cross(m.dir), l.dir.dot(m.dir));
        if sine.abs() < PARALLEL {
            return 0.0;
        }
        let lean = half * side * cosine / sine;
        m.half_width().nm() as f64 / sine.abs() - lean * inward
    };
    let others = |node: usize| n.at(node).filter(move |j| *j != line);
    let leads_to = |j: usize, node: usize, side: f64| {
        // A wall that ends at the node shows on the side it leads to; one that passes on both.
        let (m, on) = (&lines[j], &n.on_line[j]);
        let up = l.dir.cross(m.dir) * side > 0.0;
        let (first, last) = (on.first(), on.last());
        let starts = first.is_some_and(|o| o.node == node);
        let ends = last.is_some_and(|o| o.node == node);
        !(starts || ends) || (starts && up) || (ends && !up)
    };
    // Far from the end nothing reaches over it, whatever covers it.
    let far = |j: usize| {
        let m = &lines[j];
        let (sine, cosine) = (l.dir.cross(m.dir).abs(), l.dir.dot(m.dir).abs());
        let most = m.half_width().nm() as f64 + half * cosine;
        most * (1.0 + 1e-9) < into * sine || sine < PARALLEL && into > 0.0
    };
    if others(next.node).all(far) || bends_at(lines, n, next.node) {
        return false;
    }
    // Nothing ends where another wall goes on in line.
    let goes_on = |j: usize| l.dir.cross(lines[j].dir).abs() < PARALLEL;
    if others(end.node).next().is_none() || others(end.node).any(goes_on) {
        return false;
    }
    [-1.0, 1.0].into_iter().any(|side| {
        let covered = others(end.node).map(|j| outward(j, side)).fold(0.0, f64::max);
        others(next.node)
            .filter(|j| leads_to(*j, next.node, side))
            .any(|j| outward(j, side) - into > covered + ROUNDING)
    })
}

/// A hundredth of an inch, nm: no plate is cut finer.
const ROUNDING: f64 = 254_000.0;
