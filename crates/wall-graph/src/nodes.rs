//! Touches brought together into nodes.

use crate::gather;
use crate::line::{Line, drawn_name};
use crate::touch::{Part, Side, Touch};
use diag::{Finding, codes::graph};
use geom::{Length, Point};
use rustc_hash::{FxBuildHasher, FxHashMap};
use smallvec::SmallVec;
use std::collections::BTreeSet;

/// A node on a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct OnLine {
    /// From the line's `a`.
    pub station: Length,
    pub node: usize,
}

/// Lines tied together at nodes.
#[derive(Debug, Default)]
pub(crate) struct Network {
    pub nodes: Vec<Point>,
    /// For each line, its nodes by station; the first and last are its new ends.
    pub on_line: Vec<SmallVec<[OnLine; 2]>>,
    /// For each node, the lines on it, ascending.
    pub at_node: Vec<SmallVec<[usize; 4]>>,
    /// Ends that stop just out of reach of another line.
    pub near_misses: Vec<Touch>,
    /// Ends that meet nothing.
    free: Vec<(usize, Part)>,
}

impl Network {
    /// The place of a node in a line's list.
    pub(crate) fn position(&self, lines: &[Line], line: usize, node: usize) -> Option<usize> {
        let on = &self.on_line[line];
        if on.len() <= 8 {
            return on.iter().position(|o| o.node == node);
        }
        let station = lines[line].frame().locate(self.nodes[node]).0;
        on.binary_search(&OnLine { station, node }).ok()
    }
}

/// What of a line is in use.
#[derive(Clone, Copy)]
struct Taken {
    /// Where its two ends have been taken to.
    ends: [Option<End>; 2],
    /// Least and greatest station.
    least: Length,
    greatest: Length,
}

#[derive(Clone, Copy)]
struct End {
    station: Length,
    /// Half of what the wall there takes up along the line.
    body: Length,
}

/// The first place an end is taken to, or one farther out.
fn take_or_go_on(end: &mut Option<End>, here: End, farther: bool) {
    if end.is_none() || farther {
        *end = Some(here);
    }
}

/// Accepts touches from the least move up and gathers their places into nodes.
///
/// An end goes to the nearest line it can reach; a touch further in becomes a crossing. One further
/// out is refused, but for a wall that stands within the body of the wall already there: where two
/// walls with a face flush meet a third, it goes on to the farther of their centrelines. No place moves
/// more than the snap tolerance to its node.
pub(crate) fn join(lines: &[Line], touches: impl Iterator<Item = Touch>, snap: Length) -> Network {
    let untouched = |l: &Line| Taken { ends: [None; 2], least: l.length(), greatest: Length::ZERO };
    let mut taken: Vec<Taken> = lines.iter().map(untouched).collect();
    let mut crossings: Vec<(Point, [usize; 2])> = Vec::with_capacity(lines.len() * 2);
    let mut missed: Vec<Touch> = Vec::new();
    for t in touches {
        if t.near_miss {
            missed.push(t);
            continue;
        }
        let fits = t.sides.iter().all(|s| {
            let [start, end] = taken[s.line].ends;
            start.is_none_or(|x| s.station >= x.station - x.body.max(snap))
                && end.is_none_or(|x| s.station <= x.station + x.body.max(snap))
        });
        // Two walls flush with each other that both end at a third are tied by way of that one.
        let by_a_third = t.flush
            && t.sides
                .iter()
                .all(|s| taken[s.line].ends[usize::from(s.part == Part::End)].is_some());
        if !fits || by_a_third {
            continue;
        }
        for s in &t.sides {
            let line = &mut taken[s.line];
            let here = End { station: s.station, body: s.body };
            match s.part {
                Part::Start if s.station <= line.least + snap => {
                    take_or_go_on(&mut line.ends[0], here, s.station < line.least);
                }
                Part::End if s.station >= line.greatest - snap => {
                    take_or_go_on(&mut line.ends[1], here, s.station > line.greatest);
                }
                _ => {}
            }
            line.least = line.least.min(s.station);
            line.greatest = line.greatest.max(s.station);
        }
        crossings.push((t.at, t.sides.map(|s| s.line)));
    }

    let mut free = Vec::new();
    let mut free_ends: Vec<(Point, [usize; 1])> = Vec::new();
    for (i, l) in lines.iter().enumerate() {
        for (part, p) in [(Part::Start, l.a), (Part::End, l.b)] {
            if taken[i].ends[part as usize].is_none() {
                free_ends.push((p, [i]));
                free.push((i, part));
            }
        }
    }
    crossings.sort_unstable();
    free_ends.sort_unstable();
    let mut places = Leaders::new(snap, crossings.len() / 2 + free_ends.len());
    for (p, members) in &crossings {
        places.add(*p, members);
    }
    for (p, members) in &free_ends {
        places.add(*p, members);
    }
    let mut network = gather::gather(lines, places.network(lines), snap);
    missed.retain(|t| {
        let at_free = |s: &Side| free.binary_search(&(s.line, s.part)).is_ok();
        t.sides.iter().any(|s| s.slip > Length::ZERO && at_free(s))
    });
    network.near_misses = missed;
    network.free = free;
    network
}

/// Leader clustering: a place belongs to the nearest node within reach, else it is a node itself. Given
/// places in canonical order, crossings before free ends.
struct Leaders {
    reach: Length,
    /// A few reaches, so that a place mostly looks into one cell.
    cell: i64,
    grid: FxHashMap<(i64, i64), SmallVec<[u32; 4]>>,
    nodes: Vec<Point>,
    at_node: Vec<SmallVec<[usize; 4]>>,
}

impl Leaders {
    fn new(reach: Length, expected: usize) -> Leaders {
        Leaders {
            reach,
            cell: reach.nm().max(1) * 16,
            grid: FxHashMap::with_capacity_and_hasher(expected, FxBuildHasher),
            nodes: Vec::with_capacity(expected),
            at_node: Vec::with_capacity(expected),
        }
    }
    fn add(&mut self, p: Point, members: &[usize]) {
        let cells = |v: Length| {
            let (v, r) = (v.nm(), self.reach.nm());
            (v - r).div_euclid(self.cell)..=(v + r).div_euclid(self.cell)
        };
        let mut nearest: Option<(Length, u32)> = None;
        for cx in cells(p.x) {
            for cy in cells(p.y) {
                for k in self.grid.get(&(cx, cy)).into_iter().flatten() {
                    let d = self.nodes[*k as usize].distance(p);
                    if d <= self.reach && nearest.is_none_or(|n| (d, *k) < n) {
                        nearest = Some((d, *k));
                    }
                }
            }
        }
        if let Some((_, k)) = nearest {
            self.at_node[k as usize].extend_from_slice(members);
            return;
        }
        let cell = (p.x.nm().div_euclid(self.cell), p.y.nm().div_euclid(self.cell));
        self.grid.entry(cell).or_default().push(self.nodes.len() as u32);
        self.nodes.push(p);
        self.at_node.push(SmallVec::from_slice(members));
    }
    fn network(self, lines: &[Line]) -> Network {
        let mut n = Network {
            nodes: self.nodes,
            on_line: vec![SmallVec::new(); lines.len()],
            at_node: self.at_node,
            ..Network::default()
        };
        for (node, on) in n.at_node.iter_mut().enumerate() {
            on.sort_unstable();
            on.dedup();
            for i in on {
                let station = lines[*i].frame().locate(n.nodes[node]).0;
                n.on_line[*i].push(OnLine { station, node });
            }
        }
        for on in &mut n.on_line {
            on.sort_unstable();
        }
        n
    }
}

/// Says what was moved and what was nearly joined.
pub(crate) fn report(lines: &[Line], n: &Network, snap: Length, findings: &mut Vec<Finding>) {
    let (mut count, mut most, mut place) = (0_u32, Length::ZERO, None);
    for (l, on) in lines.iter().zip(&n.on_line) {
        let (Some(first), Some(last)) = (on.first(), on.last()) else { continue };
        for (moved, at) in [(first.station.abs(), l.a), ((last.station - l.length()).abs(), l.b)] {
            if moved > Length::sixty_fourths(1) {
                count += 1;
                if moved > most {
                    (most, place) = (moved, Some(at));
                }
            }
        }
    }
    if let Some(at) = place {
        findings.push(
            Finding::new(
                graph::ENDS_JOINED,
                format!(
                    "{count} wall end(s) were extended or trimmed along their own line to the framing centreline of the wall they meet; the longest move is {}.",
                    most.feet_inches()
                ),
            )
            .at(at),
        );
    }
    let mut told: BTreeSet<(usize, Part)> = BTreeSet::new();
    for t in &n.near_misses {
        let Some(s) = t.sides.iter().max_by_key(|s| s.slip) else { continue };
        if !told.insert((s.line, s.part)) {
            continue;
        }
        let l = &lines[s.line];
        let other = t.sides.iter().find(|o| o.line != s.line).map_or(s.line, |o| o.line);
        findings.push(
            Finding::new(
                graph::NEAR_MISS,
                format!(
                    "Wall {} stops {} from the framing centreline of wall {}: just too far to be joined (tolerance {}). It is planned as a free end.",
                    drawn_name(l.source()),
                    s.slip.feet_inches(),
                    drawn_name(lines[other].source()),
                    snap.feet_inches()
                ),
            )
            .at(t.at)
            .from(l.source())
            .from(lines[other].source()),
        );
    }
}
