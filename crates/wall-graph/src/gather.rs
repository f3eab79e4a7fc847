//! Nodes so close along a wall that they are one place for its plates.

use crate::body::{away, bend_at, bends_at};
use crate::kinds::in_line;
use crate::line::{Dir, Line};
use crate::nodes::{Network, OnLine};
use crate::touch::PARALLEL;
use crate::widths::Widths;
use geom::Length;
use std::collections::BTreeSet;
use std::ops::Bound;
use wall_model::WallId;
use wall_model::floor::{BEND, IN_LINE};

/// Brings nodes together where a wall could not be framed between them: nodes within the snap
/// tolerance along one wall, two of the same two walls, and a wall that meets another so near its end that it
/// would stick out beyond the other's last plate.
pub(crate) fn gather(lines: &[Line], widths: &Widths, mut n: Network, snap: Length) -> Network {
    let most_taken = widths.taken_at_right_angles();
    // Where nothing takes as much of the line as its nodes are apart there is nothing to do.
    let clear = |n: &Network, i: usize| {
        most_taken.is_some_and(|taken| {
            let least = (taken + lines[i].half_width()).max(snap);
            n.on_line[i].windows(2).all(|p| p[1].station - p[0].station > least)
        })
    };
    let mut look: BTreeSet<(WallId, usize)> =
        (0..lines.len()).filter(|i| !clear(&n, *i)).map(|i| (lines[i].wall, i)).collect();
    // Round after round by number, and only those again that share a node with one that changed.
    let mut last = Bound::Unbounded;
    while !look.is_empty() {
        let Some(next) = look.range((last, Bound::Unbounded)).next().copied() else {
            last = Bound::Unbounded;
            continue;
        };
        look.remove(&next);
        last = Bound::Excluded(next);
        let (_, i) = next;
        if clear(&n, i) {
            continue;
        }
        // Each time leaves a node less.
        while let Some((gone, kept)) = one_place(lines, &n, i, snap) {
            bring(lines, &mut n, gone, kept);
            for o in n.at_node[kept].iter().flat_map(|j| &n.on_line[*j]) {
                look.extend(n.at_node[o.node].iter().map(|k| (lines[*k].wall, *k)));
            }
        }
    }
    n
}

/// Two nodes of a line to be made one: the one that goes, the one that stays.
fn one_place(lines: &[Line], n: &Network, line: usize, snap: Length) -> Option<(usize, usize)> {
    let on = &n.on_line[line];
    let (first, last) = (on.first()?, on.last()?);
    let close = on.windows(2).filter(|p| p[1].station - p[0].station <= snap);
    let close = close.map(|p| (p[0].node, p[1].node));
    // A bend stays where it is.
    let pairs =
        || on.first().zip(on.get(1)).into_iter().chain(on.last().zip(on.iter().nth_back(1)));
    let bend = pairs().find(|(end, next)| {
        end_lies_in_bend(lines, n, line, **end, **next)
            && can_come(lines, n, next.node, end.node, snap)
    });
    if let Some((end, next)) = bend {
        return Some((next.node, end.node));
    }
    let one_end = |end: &OnLine, next: &OnLine, inward: f64| {
        sticks_out(lines, n, line, *end, *next, inward) || flush_pair(lines, n, line, *end, *next)
    };
    let next = on.get(1).filter(|next| one_end(first, next, 1.0));
    let next = next.map(|next| (first.node, next.node));
    let before = on.len().checked_sub(2).map(|k| on[k]);
    let before = before.filter(|before| one_end(last, before, -1.0));
    let before = before.map(|before| (last.node, before.node));
    // Straight walls meet but once: that they do so twice comes from an end brought to another place.
    let twice = on.windows(2).map(|p| (p[0].node, p[1].node)).filter(|(a, b)| {
        let crosses = |j: usize| lines[line].dir.cross(lines[j].dir).abs() >= PARALLEL;
        n.at_node[*a].iter().any(|j| *j != line && n.at_node[*b].contains(j) && crosses(*j))
    });
    close.chain(twice).chain(next).chain(before).find_map(|(a, b)| {
        // The place with the wider walls and more of them stays, if all can come to it.
        let weight = |node: usize| {
            let others = || n.at_node[node].iter().filter(|j| **j != line);
            (others().map(|j| lines[*j].half_width()).max(), others().count())
        };
        let order = if weight(a) >= weight(b) { [(b, a), (a, b)] } else { [(a, b), (b, a)] };
        order.into_iter().find(|(gone, kept)| can_come(lines, n, *gone, *kept, snap))
    })
}

/// Whether every wall at a node is at the other as well, or ends there and still would at the other, no farther
/// beside it than the two bodies reach, or passes within the snap tolerance of it: a wall that passes is not moved.
fn can_come(lines: &[Line], n: &Network, gone: usize, kept: usize, snap: Length) -> bool {
    let widest = n.at_node[kept].iter().map(|j| lines[*j].half_width()).max().unwrap_or_default();
    n.at_node[gone].iter().all(|i| {
        let on = &n.on_line[*i];
        let (station, offset) = lines[*i].frame().locate(n.nodes[kept]);
        // A wall brought beyond the next place along it would pass the other one far beside it.
        let others = || on.iter().filter(|o| o.node != gone && o.node != kept).map(|o| o.station);
        let first = on.first().is_some_and(|o| o.node == gone) && others().all(|s| station < s);
        let last = on.last().is_some_and(|o| o.node == gone) && others().all(|s| station > s);
        let reaches = offset.abs() <= (lines[*i].half_width() + widest).max(snap);
        (first || last) && reaches || offset.abs() <= snap || n.at_node[kept].contains(i)
    })
}

/// Whether walls end at `next` so near a bend at the end of `line`, where others may end as well, that one reaches beyond
/// it: it lies at both walls of the bend.
fn end_lies_in_bend(lines: &[Line], n: &Network, line: usize, end: OnLine, next: OnLine) -> bool {
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
    let stems = || n.at_node[next.node].iter().copied().filter(|j| *j != line);
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

/// Whether the end of `line` has a corner that a narrower wall carries on in line from, flush with one face of the
/// wider wall or within both: their centrelines are apart, the place is one.
fn flush_pair(lines: &[Line], n: &Network, line: usize, end: OnLine, next: OnLine) -> bool {
    let only = |node: usize| {
        let mut others = n.at_node[node].iter().copied().filter(|j| *j != line);
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

/// Whether a wall at `next` reaches out over the end of `line` beyond every wall at `end`. `inward` is
/// the sign of stations from the end into the line.
fn sticks_out(
    lines: &[Line],
    n: &Network,
    line: usize,
    end: OnLine,
    next: OnLine,
    inward: f64,
) -> bool {
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
    let others = |node: usize| n.at_node[node].iter().copied().filter(move |j| *j != line);
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

fn bring(lines: &[Line], n: &mut Network, gone: usize, kept: usize) {
    let mut here = n.at_node[gone].to_vec();
    n.at_node.replace(gone, &[]);
    for i in &here {
        let mut on = n.on_line[*i].to_vec();
        on.retain(|o| o.node != gone);
        if !on.iter().any(|o| o.node == kept) {
            let station = lines[*i].frame().locate(n.nodes[kept]).0;
            on.push(OnLine { station, node: kept });
        }
        on.sort();
        n.on_line.replace(*i, &on);
    }
    here.extend(&n.at_node[kept]);
    here.sort_unstable_by_key(|i| lines[*i].wall);
    here.dedup();
    n.at_node.replace(kept, &here);
}
