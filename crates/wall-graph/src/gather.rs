//! Nodes so close along a wall that they are one place for its plates.

use crate::again::{Again, WHOLE};
use crate::line::Line;
use crate::nodes::{Network, OnLine};
use crate::one_place::{
    at_ends, can_come, end_is_in_bend, ends_at_one_place, gone_and_kept, meet_twice,
};
use crate::widths::Widths;
use geom::Length;
use std::collections::BTreeSet;

/// Brings nodes together where a wall could not be framed between them: nodes within the snap
/// tolerance along one wall, two of the same two walls, and a wall that meets another so near its end that it
/// would stick out beyond the other's last plate.
///
/// Cost: every two neighbours on a line are looked at once, and again where something that they go by has changed.
pub(crate) fn gather(lines: &[Line], widths: &Widths, n: Network, snap: Length) -> Network {
    gather_in_steps(lines, widths, n, snap).0
}

/// The same, and the steps it took.
pub(crate) fn gather_in_steps(
    lines: &[Line],
    widths: &Widths,
    n: Network,
    snap: Length,
) -> (Network, usize) {
    let mut all = Gathering { lines, widths, n, snap, again: Again::default(), steps: 0 };
    all.again = Again::of_whole(lines, |i| !all.is_clear(i));
    // Round after round by number.
    while let Some(line) = all.again.next_line() {
        all.settle(line);
    }
    (all.n, all.steps)
}

struct Gathering<'a, 'm> {
    lines: &'a [Line<'m>],
    widths: &'a Widths,
    n: Network,
    snap: Length,
    again: Again,
    /// Marks set, and neighbours looked at.
    steps: usize,
}

/// What of a line is still to be looked at. Two neighbours go by the first of them.
#[derive(Default)]
struct Ahead {
    /// Are they too close?
    close: BTreeSet<OnLine>,
    /// Does another wall meet the line at both?
    twice: BTreeSet<OnLine>,
    /// The first two and the last two.
    ends: bool,
}

impl Gathering<'_, '_> {
    /// Where nothing takes as much of the line as its nodes are apart there is nothing to do.
    fn is_clear(&self, line: usize) -> bool {
        self.widths.taken_at_right_angles().is_some_and(|taken| {
            let least = (taken + self.lines[line].half_width()).max(self.snap);
            self.n.on_line[line].windows(2).all(|p| p[1].station - p[0].station > least)
        })
    }

    /// Makes one of two nodes of a line until there are no such two.
    fn settle(&mut self, line: usize) {
        let wall = self.lines[line].wall;
        if self.is_clear(line) {
            self.again.take(wall, line);
            return;
        }
        let mut ahead = Ahead::default();
        loop {
            for node in self.again.take(wall, line) {
                self.look_near(line, node, &mut ahead);
            }
            // Each time leaves a node less.
            let Some((gone, kept)) = self.one_place(line, &mut ahead) else { return };
            self.bring(gone, kept);
        }
    }

    /// The neighbours on both sides of a node are to be looked at, or all of the line.
    fn look_near(&self, line: usize, node: u32, ahead: &mut Ahead) {
        let on = &self.n.on_line[line];
        if node == WHOLE {
            ahead.close.extend(on);
            ahead.ends = true;
        } else if let Some(at) = self.n.position(self.lines, line, node as usize) {
            ahead.close.extend(&on[at.saturating_sub(1)..=at]);
            ahead.ends |= at < 2 || at + 2 >= on.len();
        }
    }

    /// Two nodes of a line to be made one: the one that goes, the one that stays.
    fn one_place(&mut self, line: usize, ahead: &mut Ahead) -> Option<(usize, usize)> {
        let (lines, n, snap) = (self.lines, &self.n, self.snap);
        let on = &n.on_line[line];
        let ends = at_ends(n, line).filter(|_| ahead.ends);
        // A bend stays where it is.
        let bend = ends.clone().find(|here| {
            end_is_in_bend(lines, n, *here)
                && can_come(lines, n, here.next.node, here.end.node, snap)
        });
        if let Some(here) = bend {
            return Some((here.next.node, here.end.node));
        }
        let neighbours = |from: &OnLine| {
            let at = on.binary_search(from).ok()?;
            Some((on[at], *on.get(at + 1)?))
        };
        let brought = |a: OnLine, b: OnLine| gone_and_kept(lines, n, line, [a.node, b.node], snap);
        while let Some(from) = ahead.close.first().copied() {
            self.steps += 1;
            let close = neighbours(&from).filter(|(a, b)| b.station - a.station <= snap);
            let place = close.and_then(|(a, b)| brought(a, b));
            if place.is_some() {
                return place;
            }
            ahead.close.pop_first();
            ahead.twice.insert(from);
        }
        // Straight walls meet but once: that they do so twice comes from an end brought to another place.
        while let Some(from) = ahead.twice.first() {
            let twice =
                neighbours(from).filter(|(a, b)| meet_twice(lines, n, line, [a.node, b.node]));
            let place = twice.and_then(|(a, b)| brought(a, b));
            if place.is_some() {
                return place;
            }
            ahead.twice.pop_first();
        }
        let mut ends = ends.filter(|here| ends_at_one_place(lines, n, *here));
        let place = ends.find_map(|here| brought(here.end, here.next));
        // Where one is found, the ends are marked again.
        ahead.ends = false;
        place
    }

    /// Brings the walls of one node to another. What may be one place now is to be looked at again.
    fn bring(&mut self, gone: usize, kept: usize) {
        let here = self.n.at_node[gone].to_vec();
        self.n.at_node.replace(gone, &[]);
        let mut both = [&here, &self.n.at_node[kept]].concat();
        both.sort_unstable_by_key(|i| self.lines[*i as usize].wall);
        both.dedup();
        self.n.at_node.replace(kept, &both);
        // Of a wall at a node it counts whether it ends there, and how near its next node is then.
        let ends = |on: &[OnLine]| {
            [[on.first(), on.get(1)], [on.last(), on.iter().nth_back(1)]]
                .map(|e| e.map(|o| o.copied()))
        };
        let mut changed = vec![kept];
        for i in here.into_iter().map(|i| i as usize) {
            let was_clear = self.is_clear(i);
            let mut on = self.n.on_line[i].to_vec();
            let before = ends(&on);
            if let Some(at) = on.iter().position(|o| o.node == gone) {
                on.remove(at);
                // What lay on both sides of it are neighbours now.
                let beside = on.get(at).or(on.last()).map(|o| o.node as u32);
                let beside = if was_clear { Some(WHOLE) } else { beside };
                beside.into_iter().for_each(|node| self.look_again(i, node));
            }
            if !on.iter().any(|o| o.node == kept) {
                let station = self.lines[i].frame().locate(self.n.nodes[kept]).0;
                let new = OnLine { station, node: kept };
                on.insert(on.partition_point(|o| *o < new), new);
            }
            for (old, new) in before.into_iter().zip(ends(&on)).filter(|(old, new)| old != new) {
                changed.extend([old[0], new[0]].into_iter().flatten().map(|o| o.node));
            }
            self.n.on_line.replace(i, &on);
        }
        changed.sort_unstable();
        changed.dedup();
        for node in changed {
            for k in 0..self.n.at_node[node].len() {
                self.look_again(self.n.at_node[node][k] as usize, node as u32);
            }
        }
    }

    fn look_again(&mut self, line: usize, node: u32) {
        self.steps += 1;
        self.again.add(self.lines[line].wall, line, node);
    }
}
