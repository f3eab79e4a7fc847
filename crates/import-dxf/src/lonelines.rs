//! Single lines that close the network of walls drawn as two lines, where no layer says what is a wall.
//!
//! Knows: which lines left over by the pairs are walls by themselves, across their doors and windows, and
//! how sure that is. Never touches: how pairs are found, sections, wording. All in inches.
//!
//! Pieces in one line are put together across gaps as two faces are. What comes out is offered as a wall
//! when both its ends meet walls or other such lines, nothing runs beside it or through it, and it lies
//! square to some wall. One such line is a beam or a step as likely as not: it is believed where a door hangs
//! on it, or where such lines make up a fifth of the plan.

use crate::affine::{Xy, dot, norm, sub};
use crate::confidence::{LEAST, Scored};
use crate::facelines::families;
use crate::linework::{Segment, sine_between};
use crate::lonechains::{
    BESIDE_SHARE, Chain, Drawn, MEETS_IN, Net, PARALLEL, chains_of, crosses, in_a_gap, length,
    widest,
};
use crate::nearby::LineIndex;
use crate::network::distance;
use crate::openings::{root, unite};
use crate::pairing::{CROSSING_IN, FoundWall};
use crate::singles::{MOST, NO_THICKNESS};
use std::collections::{BTreeMap, BTreeSet};

/// Confidence of a line that closes the network and nothing more: left out.
const ALONE: f64 = 0.45;
/// Shorter walls are not drawn as one line among others of two, inches.
const SHORTEST_IN: f64 = 36.0;
/// And drawn for this much at least beside their doors, inches.
const DRAWN_IN: f64 = 12.0;
/// Nothing runs beside a wall drawn as one line within this, inches: tubs and counters stand off less.
const BESIDE_IN: f64 = 37.0;
/// Least share of the plan's wall length that is drawn so.
const SHARE: f64 = 0.2;
/// Least share of its own length that such lines make of a layer without walls of two lines.
const OWN_LAYER: f64 = 0.6;
/// And least length of them there, inches: 40 ft.
const OWN_LAYER_IN: f64 = 480.0;
/// Doors hang no farther off a wall's line, inches: half a thick stud wall.
const LEAF_OFF_IN: f64 = 4.5;
/// A line that reaches so far to both sides of another runs through it, inches: windows reach less.
const PASSES_IN: f64 = 8.0;
/// Lines that may run through one line, and one more each so many inches.
const CROSSINGS: (usize, f64) = (2, 48.0);
/// A corner may turn round a column or a jog in so many short lines.
const JOG_LINES: usize = 3;

/// What single lines are looked for among.
pub(crate) struct Plan<'a> {
    /// All lines looked at.
    pub lines: &'a [Segment],
    /// Those that are no rows and no multilines.
    pub kept: &'a [usize],
    /// Layer of a line.
    pub layer_of: &'a dyn Fn(usize) -> u32,
    /// Layers that hold walls of two lines.
    pub layers: &'a BTreeSet<u32>,
    /// Leaves of doors as they shut, hinge to latch.
    pub doors: &'a [Segment],
}

/// The walls with the single lines that close their network; pairs that are windows in such a line become
/// its openings.
pub(crate) fn with_lone_lines(walls: Vec<Scored>, plan: &Plan<'_>) -> Vec<Scored> {
    let believed: Vec<(usize, &FoundWall)> = walls
        .iter()
        .enumerate()
        .filter(|(_, s)| s.confidence >= LEAST && s.wall.thickness > 0.0)
        .map(|(i, s)| (i, &s.wall))
        .collect();
    if believed.is_empty() {
        return walls;
    }
    let axes: Vec<Segment> = believed.iter().map(|w| w.1.line).collect();
    let net = Net { index: LineIndex::new(&axes), widest: widest(&believed), walls: &believed };
    let bound = bounds_or_fills(plan.lines, &believed);
    let free: Vec<usize> =
        plan.kept.iter().copied().filter(|i| !bound.get(*i).copied().unwrap_or(true)).collect();
    let mut chains: Vec<Chain> = Vec::new();
    let mut by_layer: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    for i in &free {
        by_layer.entry((plan.layer_of)(*i)).or_default().push(*i);
    }
    let mut jogs: BTreeMap<u32, Vec<Segment>> = BTreeMap::new();
    for (layer, own) in &by_layer {
        let some: Vec<Segment> = own.iter().filter_map(|i| plan.lines.get(*i)).copied().collect();
        let short = some.iter().filter(|g| length(g) <= CROSSING_IN).copied();
        jogs.insert(*layer, short.collect());
        let near = LineIndex::new(&some);
        for family in families(&some) {
            let drawn = Drawn { lines: &some, index: &near, half: &|_| 0.0, widest: 0.0 };
            chains.extend(chains_of(&family, *layer, own, &drawn, &net));
        }
    }
    let all_of_layer = |layer: u32| {
        let own = plan.kept.iter().copied().filter(|i| (plan.layer_of)(*i) == layer);
        own.filter_map(|i| Some((i, *plan.lines.get(i)?))).collect::<Vec<_>>()
    };
    let mut looked: BTreeMap<u32, (Vec<(usize, Segment)>, LineIndex)> = BTreeMap::new();
    chains.retain(|c| {
        if length(&c.line) < SHORTEST_IN
            || c.drawn() < DRAWN_IN
            || !net.is_square(&c.line)
            || net.runs_through(c)
            || net.runs_along(c)
        {
            return false;
        }
        let (all, near) = looked.entry(c.layer).or_insert_with(|| {
            let all: Vec<_> = all_of_layer(c.layer);
            let lines: Vec<Segment> = all.iter().map(|a| a.1).collect();
            (all, LineIndex::new(&lines))
        });
        let not: BTreeSet<usize> = c
            .boxes
            .iter()
            .filter_map(|i| walls.get(*i))
            .flat_map(|s| &s.wall.lines)
            .copied()
            .collect();
        stands_free(c, (all, near), &not, &bound)
    });
    keep_held(&mut chains, &net, &jogs);
    // A layer of its own is one of walls when they are most of what is on it.
    let mut of_layer: BTreeMap<u32, f64> = BTreeMap::new();
    for c in &chains {
        *of_layer.entry(c.layer).or_default() += c.drawn();
    }
    let before = chains.len();
    chains.retain(|c| {
        let whole: f64 = all_of_layer(c.layer).iter().map(|a| length(&a.1)).sum();
        plan.layers.contains(&c.layer)
            || of_layer
                .get(&c.layer)
                .is_some_and(|own| *own >= (whole * OWN_LAYER).max(OWN_LAYER_IN))
    });
    if chains.len() < before {
        keep_held(&mut chains, &net, &jogs);
    }
    for c in &mut chains {
        c.line = net.reaching_axes(c);
    }
    judged(walls, chains, plan)
}

/// Which lines bound a wall for a good part of their length, or lie inside one.
fn bounds_or_fills(lines: &[Segment], walls: &[(usize, &FoundWall)]) -> Vec<bool> {
    let mut bound = vec![0.0; lines.len()];
    for (_, w) in walls {
        let along = sub(w.line.b, w.line.a);
        let long = norm(along).max(1e-9);
        let dir = [along[0] / long, along[1] / long];
        for i in &w.lines {
            let (Some(g), Some(slot)) = (lines.get(*i), bound.get_mut(*i)) else { continue };
            let at = |p: Xy| {
                let d = sub(p, w.line.a);
                (dot(d, dir), dot(d, [-dir[1], dir[0]]))
            };
            let (a, b) = (at(g.a), at(g.b));
            let shared = a.0.max(b.0).min(long) - a.0.min(b.0).max(0.0);
            let is_face = ((a.1 + b.1) / 2.0).abs() >= w.thickness / 2.0 - 0.5;
            // What stands in an opening is no line of the wall either: the opening is wall, drawn as one line
            // between two windows drawn as two.
            let middle = [(g.a[0] + g.b[0]) / 2.0, (g.a[1] + g.b[1]) / 2.0];
            if !is_face && in_a_gap(w, middle) {
                continue;
            }
            // What goes on beyond a wall in its middle is no line of that wall: the wall is a window in it.
            if is_face || length(g) <= long + w.overall {
                *slot += shared.max(0.0) + w.overall;
            }
        }
    }
    lines.iter().zip(bound).map(|(g, b)| b > 0.0 && b >= length(g) * BESIDE_SHARE).collect()
}

/// Whether next to nothing of its layer runs beside a chain or through it; lines of `not` do not count.
fn stands_free(
    c: &Chain,
    (all, index): (&[(usize, Segment)], &LineIndex),
    not: &BTreeSet<usize>,
    bound: &[bool],
) -> bool {
    let along = sub(c.line.b, c.line.a);
    let long = norm(along).max(1e-9);
    let dir = [along[0] / long, along[1] / long];
    // What is drawn in an opening is its symbol.
    let station = |p: Xy| dot(sub(p, c.line.a), dir);
    let openings: Vec<[f64; 2]> = c.gaps.iter().map(|g| g.map(station)).collect();
    let mut spans: Vec<[f64; 2]> = Vec::new();
    let mut crossings = 0;
    for j in index.near_line(&c.line, BESIDE_IN) {
        let Some((i, g)) = all.get(j as usize) else { continue };
        if not.contains(i) || c.pieces.contains(i) {
            continue;
        }
        if sine_between(along, sub(g.b, g.a)) > PARALLEL {
            // Walls that pass are no hatching.
            let of_wall = bound.get(*i).copied().unwrap_or(false);
            crossings += usize::from(!of_wall && crosses(g, &c.line, PASSES_IN));
            continue;
        }
        let at = |p: Xy| (dot(sub(p, c.line.a), dir), dot(sub(p, c.line.a), [-dir[1], dir[0]]));
        let (a, b) = (at(g.a), at(g.b));
        let off = ((a.1 + b.1) / 2.0).abs();
        let span = [a.0.min(b.0).max(0.0), a.0.max(b.0).min(long)];
        let symbol = openings.iter().any(|o| span[0] >= o[0] - 1.0 && span[1] <= o[1] + 1.0);
        if (0.1..=BESIDE_IN).contains(&off) && span[1] > span[0] && !symbol {
            spans.push(span);
        }
    }
    crate::pairing::union_length(spans) <= c.drawn() * BESIDE_SHARE
        && crossings <= CROSSINGS.0 + (long / CROSSINGS.1) as usize
}

/// Keeps the chains of which both ends meet walls or other chains, however far that goes on.
fn keep_held(chains: &mut Vec<Chain>, net: &Net<'_>, jogs: &BTreeMap<u32, Vec<Segment>>) {
    loop {
        let own: Vec<Segment> = chains.iter().map(|c| c.line).collect();
        let index = LineIndex::new(&own);
        let boxes: BTreeSet<usize> = chains.iter().flat_map(|c| &c.boxes).copied().collect();
        let meets = |g: &Segment, p: Xy| {
            net.holds(g, p, &boxes)
                || index.near(&[p], MEETS_IN).into_iter().any(|j| {
                    own.get(j as usize).is_some_and(|o| {
                        sine_between(sub(g.b, g.a), sub(o.b, o.a)) > 0.1
                            && distance(o, p) <= MEETS_IN
                    })
                })
        };
        let before = chains.len();
        chains.retain(|c| {
            [c.line.a, c.line.b].into_iter().all(|p| {
                meets(&c.line, p)
                    || round_a_jog(p, jogs.get(&c.layer).map_or(&[], Vec::as_slice), &|q| {
                        // Any wall there will do: a jog turns.
                        let up = Segment { a: q, b: [q[0], q[1] + 1.0] };
                        let across = Segment { a: q, b: [q[0] + 1.0, q[1]] };
                        (meets(&up, q) || meets(&across, q)) && norm(sub(q, p)) > MEETS_IN
                    })
            })
        });
        if chains.len() == before {
            break;
        }
    }
    drop_islands(chains, net);
}

/// Without chains that hold nothing but each other: a table stands in the room.
fn drop_islands(chains: &mut Vec<Chain>, net: &Net<'_>) {
    let own: Vec<Segment> = chains.iter().map(|c| c.line).collect();
    let index = LineIndex::new(&own);
    let boxes: BTreeSet<usize> = chains.iter().flat_map(|c| &c.boxes).copied().collect();
    let mut group: Vec<usize> = (0..own.len()).collect();
    for (i, g) in own.iter().enumerate() {
        for j in index.near(&[g.a, g.b], CROSSING_IN * 2.0) {
            let touches =
                |o: &Segment| [g.a, g.b].into_iter().any(|p| distance(o, p) <= CROSSING_IN * 2.0);
            if own.get(j as usize).is_some_and(touches) {
                unite(&mut group, i, j as usize);
            }
        }
    }
    let mut hung: BTreeSet<(usize, usize)> = BTreeSet::new();
    for (i, g) in own.iter().enumerate() {
        let at = root(&mut group, i);
        let ends = [g.a, g.b].into_iter().filter(|p| net.holds(g, *p, &boxes)).count();
        let meeting = net.near(g, net.widest).into_iter().filter(|(j, w)| {
            !boxes.contains(j)
                && [w.line.a, w.line.b]
                    .into_iter()
                    .any(|p| distance(g, p) <= MEETS_IN + w.overall / 2.0)
        });
        hung.extend(meeting.map(|(j, _)| (at, j)));
        hung.extend((0..ends).map(|side| (at, usize::MAX - i * 2 - side)));
    }
    let mut number = 0;
    chains.retain(|_| {
        let at = root(&mut group, number);
        number += 1;
        hung.range((at, 0)..=(at, usize::MAX)).count() >= 2
    });
}

/// Whether short lines lead from a place to one that `arrives`.
fn round_a_jog(from: Xy, jogs: &[Segment], arrives: &dyn Fn(Xy) -> bool) -> bool {
    let mut at = vec![from];
    let mut gone: BTreeSet<usize> = BTreeSet::new();
    for _ in 0..JOG_LINES {
        let mut next: Vec<Xy> = Vec::new();
        for (i, g) in jogs.iter().enumerate() {
            for (p, q) in [(g.a, g.b), (g.b, g.a)] {
                if at.iter().any(|x| norm(sub(*x, p)) <= MEETS_IN) && gone.insert(i) {
                    if arrives(q) {
                        return true;
                    }
                    next.push(q);
                }
            }
        }
        at = next;
    }
    false
}

/// The walls without what is a window of a chain, and the chains as walls with their confidence.
fn judged(mut walls: Vec<Scored>, chains: Vec<Chain>, plan: &Plan<'_>) -> Vec<Scored> {
    let boxes: BTreeSet<usize> = chains.iter().flat_map(|c| &c.boxes).copied().collect();
    let double: f64 = walls
        .iter()
        .enumerate()
        .filter(|(i, s)| s.confidence >= LEAST && !boxes.contains(i))
        .map(|(_, s)| length(&s.wall.line))
        .sum();
    let single: f64 = chains.iter().map(Chain::drawn).sum();
    let enough = single >= (single + double) * SHARE;
    let mut symbols: BTreeSet<usize> = BTreeSet::new();
    let mut found: Vec<Scored> = Vec::new();
    for c in chains {
        let believed = enough || plan.doors.iter().any(|leaf| hangs_on(leaf, &c.line));
        let mut lines = c.pieces;
        lines.sort_by(|i, j| {
            let long = |i: &usize| plan.lines.get(*i).map_or(0.0, length);
            long(j).total_cmp(&long(i)).then(i.cmp(j))
        });
        if believed {
            symbols.extend(&c.boxes);
            lines.extend(c.boxes.iter().filter_map(|i| walls.get(*i)).flat_map(|s| &s.wall.lines));
        }
        let mut seen = BTreeSet::new();
        lines.retain(|i| seen.insert(*i));
        found.push(Scored {
            wall: FoundWall {
                line: c.line,
                thickness: NO_THICKNESS,
                overall: NO_THICKNESS,
                gaps: c.gaps,
                panes: Vec::new(),
                lines,
            },
            confidence: if believed { MOST } else { ALONE },
        });
    }
    let mut number = 0;
    walls.retain(|_| {
        number += 1;
        !symbols.contains(&(number - 1))
    });
    walls.extend(found);
    walls
}

/// Whether a door shuts along a line.
pub(crate) fn hangs_on(leaf: &Segment, line: &Segment) -> bool {
    sine_between(sub(leaf.b, leaf.a), sub(line.b, line.a)) < 0.1
        && [leaf.a, leaf.b].into_iter().all(|p| distance(line, p) <= LEAF_OFF_IN)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(x0: f64, y0: f64, x1: f64, y1: f64) -> Segment {
        Segment { a: [x0, y0], b: [x1, y1] }
    }
    /// A double wall about a line, 4-1/2 in thick; its faces are lines `first` and the next.
    fn double(axis: Segment, first: usize) -> Scored {
        let wall = FoundWall {
            line: axis,
            thickness: 4.5,
            overall: 4.5,
            gaps: Vec::new(),
            panes: Vec::new(),
            lines: vec![first, first + 1],
        };
        Scored { wall, confidence: 1.0 }
    }
    /// Four double walls around a room of 400 by 300 in, and the lines of their faces.
    fn room() -> (Vec<Scored>, Vec<Segment>) {
        let axes = [
            line(0.0, 0.0, 400.0, 0.0),
            line(400.0, 0.0, 400.0, 300.0),
            line(400.0, 300.0, 0.0, 300.0),
            line(0.0, 300.0, 0.0, 0.0),
        ];
        let (mut walls, mut lines) = (Vec::new(), Vec::new());
        for axis in axes {
            walls.push(double(axis, lines.len()));
            let d = sub(axis.b, axis.a);
            let left = [-d[1] / norm(d) * 2.25, d[0] / norm(d) * 2.25];
            for side in [1.0, -1.0] {
                let at = |p: Xy| [p[0] + left[0] * side, p[1] + left[1] * side];
                lines.push(Segment { a: at(axis.a), b: at(axis.b) });
            }
        }
        (walls, lines)
    }
    /// The single lines offered, with their confidence, openings and ends, among the room's walls and `more`.
    fn offered(more: &[Segment], doors: &[Segment]) -> Vec<(f64, usize, Segment)> {
        let (walls, mut lines) = room();
        lines.extend(more);
        let kept: Vec<usize> = (0..lines.len()).collect();
        let plan = Plan {
            lines: &lines,
            kept: &kept,
            layer_of: &|_| 0,
            layers: &BTreeSet::from([0]),
            doors,
        };
        let found = with_lone_lines(walls, &plan);
        let single = found.iter().filter(|s| s.is_line());
        single.map(|s| (s.confidence, s.wall.gaps.len(), s.wall.line)).collect()
    }

    #[test]
    fn partitions_from_wall_to_wall_are_offered_up_to_the_axes() {
        // Two partitions make more than a fifth of the plan; one has a gap for a door.
        let found = offered(
            &[
                line(200.0, 2.25, 200.0, 297.75),
                line(2.25, 150.0, 90.0, 150.0),
                line(122.0, 150.0, 200.0, 150.0),
            ],
            &[],
        );
        assert_eq!(found.len(), 2, "{found:?}");
        assert!(found.iter().all(|f| f.0 == MOST));
        let long = found.iter().find(|f| f.1 == 0).unwrap().2;
        assert_eq!((long.a[1].min(long.b[1]), long.a[1].max(long.b[1])), (0.0, 300.0));
        let short = found.iter().find(|f| f.1 == 1).unwrap().2;
        assert_eq!((short.a[0].min(short.b[0]), short.a[0].max(short.b[0])), (0.0, 200.0));
    }

    #[test]
    fn one_line_is_believed_only_where_a_door_hangs_on_it() {
        let beam = [line(200.0, 2.25, 200.0, 297.75)];
        assert_eq!(offered(&beam, &[]).iter().map(|f| f.0).collect::<Vec<_>>(), [ALONE]);
        let leaf = line(202.0, 100.0, 202.0, 132.0);
        assert_eq!(offered(&beam, &[leaf]).iter().map(|f| f.0).collect::<Vec<_>>(), [MOST]);
    }

    #[test]
    fn furniture_steps_tiles_and_slanting_lines_are_not() {
        // A table that touches nothing, a counter along a wall, a line with a free end, a slanting one, a line
        // that goes on through both walls.
        let table = [
            line(100.0, 100.0, 160.0, 100.0),
            line(160.0, 100.0, 160.0, 140.0),
            line(160.0, 140.0, 100.0, 140.0),
            line(100.0, 140.0, 100.0, 100.0),
        ];
        assert!(offered(&table, &[]).is_empty());
        assert!(offered(&[line(26.0, 2.25, 26.0, 297.75)], &[]).is_empty());
        assert!(offered(&[line(200.0, 2.25, 200.0, 200.0)], &[]).is_empty());
        assert!(offered(&[line(2.25, 20.0, 397.75, 250.0)], &[]).is_empty());
        assert!(offered(&[line(200.0, -60.0, 200.0, 360.0)], &[]).is_empty());
    }

    #[test]
    fn windows_drawn_as_two_lines_are_openings_of_the_line_they_stand_in() {
        let (mut walls, mut lines) = room();
        // Outer walls as single lines on the right, with a window box between.
        let first = lines.len();
        lines.extend([
            line(600.0, 120.0, 606.0, 120.0),
            line(600.0, 180.0, 606.0, 180.0),
            line(600.0, 120.0, 600.0, 180.0),
            line(606.0, 120.0, 606.0, 180.0),
            line(603.0, 0.0, 603.0, 120.0),
            line(603.0, 180.0, 603.0, 300.0),
            line(402.25, 0.0, 603.0, 0.0),
            line(402.25, 300.0, 603.0, 300.0),
        ]);
        let mut window = double(line(603.0, 120.0, 603.0, 180.0), first + 2);
        (window.wall.thickness, window.wall.overall) = (6.0, 6.0);
        walls.push(window);
        let kept: Vec<usize> = (0..lines.len()).collect();
        let (layers, doors) = (BTreeSet::from([0]), []);
        let plan =
            Plan { lines: &lines, kept: &kept, layer_of: &|_| 0, layers: &layers, doors: &doors };
        let found = with_lone_lines(walls, &plan);
        let single: Vec<&Scored> = found.iter().filter(|s| s.is_line()).collect();
        assert_eq!((found.len(), single.len()), (7, 3), "{found:?}");
        let right = single.iter().find(|s| s.wall.gaps.len() == 1).unwrap();
        assert_eq!(right.wall.gaps[0].map(|p| p[1]), [120.0, 180.0]);
        assert!(right.wall.lines.contains(&(first + 2)), "the window is used");
    }
}
