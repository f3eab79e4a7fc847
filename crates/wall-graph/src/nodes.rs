//! Touches brought together into nodes.

use crate::gather;
use crate::line::{Line, drawn_name};
use crate::touch::{PARALLEL, Part, Touch};
use diag::{Finding, codes::graph};
use geom::{Length, Point};
use rustc_hash::FxHashMap;
use smallvec::{SmallVec, smallvec};

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
    pub on_line: Vec<Vec<OnLine>>,
    /// For each node, the lines on it, ascending.
    pub at_node: Vec<Vec<usize>>,
    /// Ends that stop just out of reach of another line.
    pub near_misses: Vec<Touch>,
    /// Ends that meet nothing.
    free: Vec<(usize, Part)>,
}

/// Where a line's end has been taken to.
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
pub(crate) fn join(lines: &[Line], touches: Vec<Touch>, snap: Length) -> Network {
    let mut ends: Vec<[Option<End>; 2]> = vec![[None; 2]; lines.len()];
    let mut inner: Vec<(Length, Length)> = // least and greatest station in use
        lines.iter().map(|l| (l.length(), Length::ZERO)).collect();
    let mut accepted: Vec<Touch> = Vec::new();
    let mut missed: Vec<Touch> = Vec::new();
    for t in touches {
        if t.near_miss {
            missed.push(t);
            continue;
        }
        let fits = t.sides.iter().all(|s| {
            let [start, end] = ends[s.line];
            start.is_none_or(|x| s.station >= x.station - x.body.max(snap))
                && end.is_none_or(|x| s.station <= x.station + x.body.max(snap))
        });
        // Two walls flush with each other that both end at a third are tied by way of that one.
        let by_a_third = t.flush
            && t.sides.iter().all(|s| ends[s.line][usize::from(s.part == Part::End)].is_some());
        if !fits || by_a_third {
            continue;
        }
        for (k, s) in t.sides.iter().enumerate() {
            let (least, greatest) = inner[s.line];
            let other = &lines[t.sides[1 - k].line];
            let sine = lines[s.line].dir.cross(other.dir).abs();
            // In line nothing stands across the end.
            let body =
                if sine < PARALLEL { Length::ZERO } else { other.half_width().scale(1.0 / sine) };
            let here = End { station: s.station, body };
            match s.part {
                Part::Start if s.station <= least + snap => {
                    take_or_go_on(&mut ends[s.line][0], here, s.station < least);
                }
                Part::End if s.station >= greatest - snap => {
                    take_or_go_on(&mut ends[s.line][1], here, s.station > greatest);
                }
                _ => {}
            }
            inner[s.line] = (least.min(s.station), greatest.max(s.station));
        }
        accepted.push(t);
    }

    let mut places: Vec<Place> =
        accepted.iter().map(|t| (0, t.at, t.sides.iter().map(|s| s.line).collect())).collect();
    let mut free = Vec::new();
    for (i, l) in lines.iter().enumerate() {
        for (part, p) in [(Part::Start, l.a), (Part::End, l.b)] {
            if ends[i][part as usize].is_none() {
                places.push((1, p, smallvec![i]));
                free.push((i, part));
            }
        }
    }
    places.sort_unstable();
    let mut network = gather::gather(lines, cluster(lines, &places, snap), snap);
    missed.retain(|t| {
        t.sides.iter().any(|s| s.slip > Length::ZERO && free.contains(&(s.line, s.part)))
    });
    network.near_misses = missed;
    network.free = free;
    network
}

/// Where lines are to meet: 0 for a crossing, 1 for a free end; the place; the lines.
type Place = (u8, Point, SmallVec<[usize; 2]>);

/// Leader clustering in canonical order: crossings before free ends, then by place.
fn cluster(lines: &[Line], places: &[Place], snap: Length) -> Network {
    let cell = |p: Point| (p.x.nm().div_euclid(snap.nm()), p.y.nm().div_euclid(snap.nm()));
    let mut grid: FxHashMap<(i64, i64), SmallVec<[usize; 2]>> = FxHashMap::default();
    grid.reserve(places.len());
    let mut n = Network { on_line: vec![Vec::new(); lines.len()], ..Network::default() };
    for (_, p, members) in places {
        let (cx, cy) = cell(*p);
        let near = (-1..=1)
            .flat_map(|dx| (-1..=1).map(move |dy| (cx + dx, cy + dy)))
            .filter_map(|c| grid.get(&c))
            .flatten()
            .map(|k| (n.nodes[*k].distance(*p), *k))
            .filter(|(d, _)| *d <= snap)
            .min();
        let node = near.map_or_else(
            || {
                n.nodes.push(*p);
                n.at_node.push(Vec::new());
                grid.entry((cx, cy)).or_default().push(n.nodes.len() - 1);
                n.nodes.len() - 1
            },
            |(_, k)| k,
        );
        n.at_node[node].extend_from_slice(members);
    }
    for (node, on) in n.at_node.iter_mut().enumerate() {
        on.sort_unstable();
        on.dedup();
        for i in on {
            let station = lines[*i].frame().locate(n.nodes[node]).0;
            n.on_line[*i].push(OnLine { station, node });
        }
    }
    for on in &mut n.on_line {
        on.sort();
    }
    n
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
    let mut told: Vec<(usize, Part)> = Vec::new();
    for t in &n.near_misses {
        let Some(s) = t.sides.iter().max_by_key(|s| s.slip) else { continue };
        if told.contains(&(s.line, s.part)) {
            continue;
        }
        told.push((s.line, s.part));
        let l = &lines[s.line];
        let other = t.sides.iter().find(|o| o.line != s.line).map_or(s.line, |o| o.line);
        findings.push(
            Finding::new(
                graph::NEAR_MISS,
                format!(
                    "Wall {} stops {} from the framing centreline of wall {}: just too far to be joined (tolerance {}). It is planned as a free end.",
                    drawn_name(&l.source),
                    s.slip.feet_inches(),
                    drawn_name(&lines[other].source),
                    snap.feet_inches()
                ),
            )
            .at(t.at)
            .from(&l.source)
            .from(&lines[other].source),
        );
    }
}
