//! Touches brought together into nodes.

use crate::body::away;
use crate::gather;
use crate::in_use::InUse;
use crate::leaders;
use crate::line::{Line, drawn_name};
use crate::listed::Listed;
use crate::places::Places;
use crate::rows::Rows;
use crate::touch::{self, Beside, Miss, Part, Touch, Touches, Turn};
use crate::widths::Widths;
use diag::words::{counted, was};
use diag::{Finding, SourceRef, codes::graph};
use geom::{Length, Point};
use std::collections::BTreeSet;
use wall_model::WallId;

/// A node on a line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
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
    pub on_line: Rows<OnLine>,
    /// For each node, the lines on it, by number.
    pub at_node: Rows<u32>,
    /// Ends that stop just out of reach of another line.
    pub near_misses: Vec<Miss>,
    /// Lines that touch, or nearly, without a node for it.
    pub unmet: Vec<[u32; 2]>,
    /// Ends that meet nothing.
    free: Vec<(usize, Part)>,
}

impl Network {
    /// The lines on a node, by number.
    pub(crate) fn at(&self, node: usize) -> impl Iterator<Item = usize> + Clone {
        self.at_node[node].iter().map(|i| *i as usize)
    }
    pub(crate) fn is_at(&self, lines: &[Line], line: usize, node: usize) -> bool {
        let there = &self.at_node[node];
        if there.len() <= 8 {
            return there.contains(&(line as u32));
        }
        there.binary_search_by_key(&lines[line].wall, |i| lines[*i as usize].wall).is_ok()
    }
    /// The place of a node in a line's list.
    pub(crate) fn position(&self, lines: &[Line], line: usize, node: usize) -> Option<usize> {
        let on = &self.on_line[line];
        if on.len() <= 8 {
            return on.iter().position(|o| o.node == node);
        }
        let station = lines[line].frame().locate(self.nodes[node]).0;
        on.binary_search(&OnLine { station, node }).ok()
    }
    /// Gives lines other numbers: the `order` of the old ones, and the `new` one of each.
    pub(crate) fn renumber(&mut self, order: &[u32], new: &[u32]) {
        self.on_line.put_in_order(order);
        self.at_node.change_each(|_, own| own.iter_mut().for_each(|i| *i = new[*i as usize]));
        self.free.iter_mut().for_each(|(i, _)| *i = new[*i] as usize);
        let pairs = self.near_misses.iter_mut().map(|m| &mut m.lines).chain(&mut self.unmet);
        pairs.for_each(|pair| *pair = pair.map(|i| new[i as usize]));
    }
}

/// Accepts touches and gathers their places into nodes.
pub(crate) fn join(lines: &[Line], widths: &Widths, found: &mut Touches, snap: Length) -> Network {
    gather::gather(lines, widths, met(lines, found, snap), snap)
}

/// Accepts touches from the least move up and makes nodes of their places, where they lie.
///
/// An end goes to the nearest line it can reach; a touch further in becomes a crossing. One further
/// out is refused, but for a wall that stands within the body of the wall already there: where two
/// walls with a face flush meet a third, it goes on to the farther of their centrelines. No place moves
/// more than the snap tolerance to its node.
pub(crate) fn met(lines: &[Line], found: &mut Touches, snap: Length) -> Network {
    let mut in_use = InUse::of(lines);
    found.misses.iter().flat_map(|m| m.lines).for_each(|i| in_use.keep(i));
    let mut places = Places::new(lines.len());
    let mut unmet = Vec::new();
    // By themselves, and side by side: they are asked for often and from all over.
    let numbers: Vec<WallId> = lines.iter().map(|l| l.wall).collect();
    // Done with then: what comes next wants the memory.
    in_turn(&numbers, std::mem::take(&mut found.joined), |Touch { lines: pair, turn }, last| {
        if let Some(touch) = touch::between(lines, pair.map(|i| i as usize), snap) {
            if in_use.accept(&pair, &touch.sides, turn, snap) {
                places.meet(touch.at, &pair, &touch.sides);
            } else {
                unmet.push(pair);
            }
        }
        let done = pair.into_iter().zip(last).filter(|(_, last)| *last);
        done.for_each(|(line, _)| in_use.settle(line));
    });
    // Ends that only just miss, last, and only where nothing was in reach.
    for m in &found.misses {
        if in_use.is_corner(m) && in_use.accept(&m.lines, &m.sides, Turn::default(), snap) {
            places.meet(m.at, &m.lines, &m.sides);
        }
    }
    let crossings = places.points.len();

    unmet.sort_unstable_by_key(|pair| touch::numbers(lines, *pair));
    found.misses.retain(|m| m.told);
    unmet.extend(found.misses.iter().map(|m| m.lines));
    let mut free = Vec::new();
    for (i, l) in lines.iter().enumerate() {
        let ends = [(Part::Start, l.a), (Part::End, l.b)].into_iter().zip(in_use.ends_taken(i));
        for ((part, p), _) in ends.filter(|(_, taken)| !taken) {
            places.add(p, i as u32);
            free.push((i, part));
        }
    }
    drop(in_use);
    let mut network = network(lines, &numbers, places, crossings, snap);
    network.near_misses = found
        .misses
        .iter()
        .filter(|t| {
            let at_free =
                |n: usize| free.binary_search(&(t.lines[n] as usize, t.sides[n].part)).is_ok();
            let crosses = t.short.is_some() || !parallel(lines, t.lines);
            crosses && (0..2).any(|n| t.slips[n] > Length::ZERO && at_free(n))
        })
        .cloned()
        .collect();
    (network.free, network.unmet) = (free, unmet);
    network
}

/// Visits all touches, by number, so that those of one line come in turn, and says for which of its lines each is the last.
/// Touches that share no line do not matter to each other, so the way goes along the lines and stays in one part of the plan.
fn in_turn(walls: &[WallId], touches: Vec<Touch>, mut visit: impl FnMut(Touch, [bool; 2])) {
    let both = touches.iter().zip(0..).flat_map(|(touch, k)| touch.lines.map(|i| (i, k)));
    // Of each line those that are left.
    let mut of_lines: Rows<u32> = Rows::of(walls.len(), both);
    of_lines.sort_each_by(|k, m| {
        let [t, u] = [*k, *m].map(|k| &touches[k as usize]);
        let numbers = |t: &Touch| t.lines.map(|i| walls[i as usize]);
        t.turn.cmp(&u.turn).then_with(|| numbers(t).cmp(&numbers(u)))
    });
    let mut way: Vec<u32> = Vec::new();
    for start in 0..walls.len() as u32 {
        way.push(start);
        while let Some(line) = way.last().copied() {
            let Some(k) = of_lines.first(line) else {
                way.pop();
                continue;
            };
            let touch = touches[k as usize];
            let [i, j] = touch.lines;
            let other = if line == i { j } else { i };
            if of_lines.first(other) != Some(k) {
                // Its next touch comes before this one.
                way.push(other);
                continue;
            }
            touch.lines.into_iter().for_each(|line| of_lines.pass_first(line));
            visit(touch, touch.lines.map(|line| of_lines.first(line).is_none()));
            // Back to the one that waits for this.
            if way.len() > 1 {
                way.pop();
            }
        }
    }
}

/// Gathers places into nodes, those of crossings, which are the first, before free ends.
fn network(
    lines: &[Line],
    walls: &[WallId],
    places: Places,
    crossings: usize,
    snap: Length,
) -> Network {
    let (points, at_places) = places.into_parts();
    let (nodes, node_of) = leaders::nodes_of(points, crossings, snap);
    let at = at_places.iter().map(|(place, line)| (node_of[*place as usize], *line));
    let mut at_node: Rows<u32> = Rows::of(nodes.len(), at);
    drop((at_places, node_of));
    at_node.tidy_each_by_key(|i| walls[*i as usize]);
    let on = at_node.iter().enumerate().flat_map(|(node, here)| {
        here.iter().map(move |i| (*i, OnLine { station: Length::ZERO, node }))
    });
    let mut on_line = Rows::of(lines.len(), on);
    // Line by line, as they lie in memory.
    on_line.change_each(|line, on| {
        let frame = lines[line].frame();
        on.iter_mut().for_each(|o| o.station = frame.locate(nodes[o.node]).0);
        on.sort_unstable();
    });
    Network { nodes, on_line, at_node, ..Network::default() }
}

/// Says what was moved and what was nearly joined.
pub(crate) fn report(lines: &[Line], n: &Network, snap: Length, findings: &mut Vec<Finding>) {
    let (mut listed, mut most, mut place) = (Listed::default(), Length::ZERO, None);
    for (l, on) in lines.iter().zip(n.on_line.iter()) {
        let (Some(first), Some(last)) = (on.first(), on.last()) else { continue };
        for (moved, at) in [(first.station.abs(), l.a), ((last.station - l.length()).abs(), l.b)] {
            if moved > Length::sixty_fourths(1) {
                listed.add(l.wall, || l.source());
                let longer = moved > most;
                if longer || moved == most && place.is_some_and(|(wall, _)| l.wall < wall) {
                    (most, place) = (moved, Some((l.wall, at)));
                }
            }
        }
    }
    if let Some((_, at)) = place {
        findings.push(
            Finding::new(
                graph::ENDS_JOINED,
                format!(
                    "{} {} extended or trimmed along {} to the framing centreline of the wall {}; the longest move is {}.",
                    counted(listed.count, "wall end"),
                    was(listed.count),
                    if listed.count == 1 { "its own line" } else { "their own lines" },
                    if listed.count == 1 { "it meets" } else { "they meet" },
                    most.feet_inches()
                ),
            )
            .at(at)
            .from(&listed.sources()),
        );
    }
    report_aside(lines, n, snap, findings);
    let mut told: BTreeSet<(u32, Part)> = BTreeSet::new();
    for t in &n.near_misses {
        // The one that would move farther; of two alike the second.
        let (n, o) = if t.slips[0] > t.slips[1] { (0, 1) } else { (1, 0) };
        let slip = t.slips[n];
        if !told.insert((t.lines[n], t.sides[n].part)) {
            continue;
        }
        let (l, other) = (&lines[t.lines[n] as usize], &lines[t.lines[o] as usize]);
        findings.push(
            Finding::new(
                graph::NEAR_MISS,
                format!(
                    "Wall {} stops {} from the framing centreline of wall {}: just too far to be joined (tolerance {}). It is planned as a free end.",
                    drawn_name(l.source()),
                    slip.feet_inches(),
                    drawn_name(other.source()),
                    snap.feet_inches()
                ),
            )
            .at(t.at)
            .from(l.source())
            .from(other.source()),
        );
    }
}

fn parallel(lines: &[Line], pair: [u32; 2]) -> bool {
    let [l, m] = pair.map(|i| &lines[i as usize]);
    l.dir.cross(m.dir).abs() < touch::PARALLEL
}

/// The one wall, and no more, that ends where that end of another goes to.
fn third_at<'a>(
    lines: &'a [Line],
    n: &Network,
    other: usize,
    part: Part,
) -> Option<&'a [SourceRef]> {
    let on = &n.on_line[other];
    let node = if part == Part::Start { on.first() } else { on.last() }?.node;
    let mut thirds = n.at(node).filter(|i| *i != other);
    let third = thirds.next().filter(|_| thirds.next().is_none())?;
    away(n, third, node).map(|_| lines[third].source())
}

/// Says where a wall that ends against the end of another, its centreline aside, is tied to nothing: the two share too
/// little, or the other's end goes to a third.
fn report_aside(lines: &[Line], n: &Network, snap: Length, findings: &mut Vec<Finding>) {
    let mut told = BTreeSet::new();
    for pair in n.unmet.iter().filter(|pair| parallel(lines, **pair) && told.insert(**pair)) {
        let two = pair.map(|i| i as usize);
        let Some(found) = touch::between(lines, two, snap) else { continue };
        let is_free = |k: usize| n.free.contains(&(two[k], found.sides[k].part));
        let Some(own) = (0..2).find(|k| is_free(*k)) else { continue };
        if found.beside == Beside::No {
            continue;
        }
        let (l, other) = (&lines[two[own]], &lines[two[1 - own]]);
        let aside = other.frame().locate(l.a).1.abs();
        let shared = touch::shared_ends(l, other, aside);
        let why = if shared < touch::SHARED {
            format!(
                "the two ends share {}, too little to be tied",
                shared.max(Length::ZERO).feet_inches()
            )
        } else {
            let third = third_at(lines, n, two[1 - own], found.sides[1 - own].part);
            let third = third.map_or("a third wall".to_owned(), |t| {
                format!(
                    "wall {}; drawn on to this one's line, that one joins all three",
                    drawn_name(t)
                )
            });
            format!("the other's end goes to {third}")
        };
        findings.push(
            Finding::new(
                graph::NEAR_MISS,
                format!(
                    "Wall {} ends against the end of wall {}, {} aside of its line: {why}. It is planned as a free end, and nothing ties the two.",
                    drawn_name(l.source()),
                    drawn_name(other.source()),
                    aside.feet_inches()
                ),
            )
            .at(found.at)
            .from(l.source())
            .from(other.source()),
        );
    }
}
