//! Walls from face lines: strips carried across gaps and out to corners.
//!
//! Knows: what a gap in a wall's faces means (a crossing wall, an opening, the end of the wall), how
//! far a wall reaches, which drawn lines it used. Never touches: layers, sections, the file. All in
//! inches.
//!
//! At each side of a gap the lines that end or pass there are looked at. A line that closes the wall
//! (a jamb, an end) makes the gap an opening; one that runs away from the wall is the face of another
//! wall, so the gap is a junction. Nothing there leaves it to the width of the gap.

use crate::affine::{Xy, dot, norm, sub};
use crate::crosscut::{Strip, Thickness, strips};
use crate::facelines::{CRACK_IN, Family, families};
use crate::glass::{
    Pane, bare_panes, crosses, join_over_mullions, mark_sills, panes, without_sashes,
};
use crate::jogs::{Meets, meet_at_jogs};
use crate::linework::{Segment, sine_between};
use crate::nearby::LineIndex;
use crate::network::distance;
use crate::partitions::{doorways, ends_in_wall, stands_behind};
use crate::passing::two_walls_cross;
use crate::stubs::{are_stubs, by_face};
use crate::thicker::part_at_changes;
use limits::Watch;
use std::collections::BTreeMap;

/// Gaps up to this may be where another wall passes through, inches.
pub(crate) const CROSSING_IN: f64 = 20.5;
/// Narrowest gap that may be an opening.
pub(crate) const NARROWEST_IN: f64 = 14.0;
/// Widest gap without jambs or symbol that is an opening: 8 ft and its trim.
pub(crate) const WIDEST_PLAIN_IN: f64 = 99.0;
/// Widest gap with both jambs drawn: 12 ft. Wider ones take a door or window symbol.
pub(crate) const WIDEST_JAMBED_IN: f64 = 147.0;
/// Faces that stop within this of each other stop at the same station.
const SAME_STATION_IN: f64 = 1.5;
/// Lines that end within this of a face's end belong to it.
pub(crate) const TOUCH_IN: f64 = 1.0;
/// A finish drawn as a line of its own is this far off the stud face at most.
pub(crate) const FINISH_IN: f64 = 1.3;
/// A wall is at least this many times as long as thick, corner to corner.
const SHORTEST: f64 = 1.25;
/// Walls of a thickness without section are believed when this long, and three times their thickness.
const UNKNOWN_LENGTH_IN: f64 = 24.0;
/// Lines with sine below this are parallel here: jambs and corners are far from it.
const ALONG: f64 = 0.1;

/// A wall found between two faces.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct FoundWall {
    /// Centreline.
    pub line: Segment,
    /// Distance of the two faces the centreline is between.
    pub thickness: f64,
    /// The same with finishes drawn as lines of their own.
    pub overall: f64,
    /// Gaps that are openings, on the centreline.
    pub gaps: Vec<[Xy; 2]>,
    /// Places between two jambs: windows, where glass is drawn there.
    pub panes: Vec<Pane>,
    /// The drawn lines it was made of, ascending.
    pub lines: Vec<usize>,
}

/// What became of the lines.
#[derive(Clone, Debug, Default)]
pub(crate) struct Paired {
    /// The walls.
    pub walls: Vec<FoundWall>,
    /// How much of each line bounds a wall, by line.
    pub used: Vec<f64>,
    /// Lines that lie in or across a wall: jambs, ends, hatching.
    pub inside: Vec<bool>,
    /// Lines of closed boxes that are no walls: columns, cabinets.
    pub boxes: Vec<bool>,
}

/// A wall while its stretches are put together.
pub(crate) struct Chain {
    /// Lower face line, by number in the family.
    pub low: usize,
    /// Upper face line.
    pub high: usize,
    /// Where both faces are drawn.
    pub stretches: Vec<[f64; 2]>,
    /// Between stretches, those that are openings.
    pub gaps: Vec<[f64; 2]>,
    /// Between stretches, those where both faces run on beside lines between them.
    pub run_on: Vec<[f64; 2]>,
    /// Where it meets walls that go on aside of its ends.
    pub meets: [Option<Meets>; 2],
}

impl Chain {
    /// Stations where both faces end.
    pub fn ends(&self) -> [f64; 2] {
        let first = self.stretches.first().map_or(0.0, |s| s[0]);
        [first, self.stretches.last().map_or(0.0, |s| s[1])]
    }
    /// Length that both faces are drawn along.
    fn drawn(&self) -> f64 {
        self.stretches.iter().map(|s| s[1] - s[0]).sum()
    }
    /// Takes away what is beyond a gap, and gives it back as a chain of its own.
    pub fn part(&mut self, gap: [f64; 2]) -> Chain {
        let beyond = |all: &mut Vec<[f64; 2]>| {
            let (rest, own) = all.drain(..).partition(|s| s[0] >= gap[1] - 1e-9);
            *all = own;
            rest
        };
        let stretches = beyond(&mut self.stretches);
        let (gaps, run_on) = (beyond(&mut self.gaps), beyond(&mut self.run_on));
        self.gaps.retain(|g| *g != gap);
        Chain { low: self.low, high: self.high, stretches, gaps, run_on, meets: [None; 2] }
    }
}

/// What is at one end of a stretch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum End {
    /// Another wall's face runs away from here.
    Corner,
    /// A line closes the wall.
    Closed,
    /// Nothing.
    Bare,
}

/// Finds the walls between face lines. Breaks off when time is up.
pub(crate) fn pair(lines: &[Segment], thickness: &Thickness<'_>, watch: &Watch) -> Paired {
    let index = LineIndex::new(lines);
    let boxes = closed_boxes(lines);
    let mut out = Paired {
        used: vec![0.0; lines.len()],
        inside: vec![false; lines.len()],
        boxes: vec![false; lines.len()],
        walls: Vec::new(),
    };
    let mut covered: Vec<Vec<[f64; 2]>> = vec![Vec::new(); lines.len()];
    for family in families(lines) {
        if watch.is_over() {
            break;
        }
        let found = strips(&family, thickness, watch);
        let own = chains(&family, &found, lines, &index);
        let mut own = part_at_changes(&family, own, thickness.known, lines, &index);
        own.iter_mut().for_each(join_over_mullions);
        let faces = by_face(&found);
        own.retain(|c| {
            !watch.is_over() && is_wall(&family, (&found, &faces), c, thickness, lines, &index)
        });
        let (mut own, sashes) = without_sashes(&family, own, thickness.known);
        meet_at_jogs(&family, &mut own, lines, &index);
        for line in sashes {
            if let Some(slot) = out.inside.get_mut(line) {
                *slot = true;
            }
        }
        for chain in own {
            if watch.is_over() {
                break;
            }
            let panes = panes(&family, &chain, lines, &index);
            finish_chain(&family, &found, (chain, panes), &boxes, &mut covered, &mut out);
        }
    }
    for (used, spans) in out.used.iter_mut().zip(covered) {
        *used = union_length(spans);
    }
    mark_inside(lines, &boxes, &mut out);
    for (i, is_box) in boxes.into_iter().enumerate() {
        let idle = out.used.get(i).is_some_and(|u| *u <= 0.0);
        if let Some(slot) = out.boxes.get_mut(i) {
            *slot = is_box && idle;
        }
    }
    out
}

/// Puts the strips of each pair of face lines together.
fn chains(family: &Family, strips: &[Strip], lines: &[Segment], index: &LineIndex) -> Vec<Chain> {
    let mut out: Vec<Chain> = Vec::new();
    for s in strips {
        let here = [s.from, s.to];
        if let Some(c) = out.last_mut().filter(|c| (c.low, c.high) == (s.low, s.high)) {
            let gap = [c.ends()[1], s.from];
            match across(family, c, (gap, s.to), lines, index) {
                Across::Same => {
                    c.stretches.push(here);
                    continue;
                }
                Across::RunOn => {
                    c.stretches.push(here);
                    c.run_on.push(gap);
                    continue;
                }
                Across::Opening => {
                    c.stretches.push(here);
                    c.gaps.push(gap);
                    continue;
                }
                Across::Doorways(doorways) => {
                    c.stretches.push(here);
                    c.gaps.extend(doorways);
                    continue;
                }
                Across::Ends => {}
            }
        }
        out.push(Chain {
            low: s.low,
            high: s.high,
            stretches: vec![here],
            gaps: Vec::new(),
            run_on: Vec::new(),
            meets: [None; 2],
        });
    }
    out
}

enum Across {
    Same,
    /// The same, and both faces are drawn there.
    RunOn,
    Opening,
    /// The same, and a partition stands between or beside these.
    Doorways(Vec<[f64; 2]>),
    Ends,
}

/// What a gap between two stretches of one pair of faces is; the one after it reaches `to`.
fn across(
    family: &Family,
    c: &Chain,
    (gap, to): ([f64; 2], f64),
    lines: &[Segment],
    index: &LineIndex,
) -> Across {
    let (Some(low), Some(high)) = (family.lines.get(c.low), family.lines.get(c.high)) else {
        return Across::Ends;
    };
    let width = gap[1] - gap[0];
    if width <= CRACK_IN {
        return Across::Same;
    }
    let covered = [low.covers(gap[0], gap[1]), high.covers(gap[0], gap[1])];
    let from = c.stretches.last().map_or(f64::NEG_INFINITY, |s| s[0]);
    let end = |station: f64| {
        let other = if station == gap[0] { from } else { to };
        end_of_stretch(family, c, (station, other), lines, index)
    };
    if covered == [true, true] {
        // Lines between the faces: a window drawn on the wall layer.
        return if width <= WIDEST_PLAIN_IN { Across::RunOn } else { Across::Ends };
    }
    if width <= CROSSING_IN {
        if covered == [false, false] && two_walls_cross(family, c, gap, lines, index) {
            return Across::Ends;
        }
        let corner = [end(gap[0]), end(gap[1])].contains(&End::Corner);
        return match width >= NARROWEST_IN && !corner && covered == [false, false] {
            true => Across::Opening,
            false => Across::Same,
        };
    }
    if width > WIDEST_JAMBED_IN {
        return Across::Ends;
    }
    let stops = |station: f64, before: bool| {
        [low, high].map(|l| {
            let inside = if before { station - CRACK_IN } else { station + CRACK_IN };
            l.span_at(inside).map_or(station, |s| if before { s[1] } else { s[0] })
        })
    };
    if covered == [false, false] {
        let even = [(gap[0], true), (gap[1], false)].map(|(station, before)| {
            let s = stops(station, before);
            (s[0] - s[1]).abs() <= SAME_STATION_IN
        });
        let found = doorways(family, c, gap, lines, index);
        // At a partition the one face stops later than the other.
        let outer = |side: usize| even[side] || found.iter().all(|d| d[side] != gap[side]);
        if !found.is_empty() && outer(0) && outer(1) {
            return Across::Doorways(found);
        }
        if even != [true; 2] {
            return Across::Ends;
        }
    }
    let mut ends = [end(gap[0]), end(gap[1])];
    for (kind, (station, way)) in ends.iter_mut().zip([(gap[0], -1.0), (gap[1], 1.0)]) {
        if *kind == End::Corner && stands_behind(family, c, station, way, lines, index) {
            *kind = End::Closed;
        }
    }
    if ends.contains(&End::Corner) {
        return Across::Ends;
    }
    // A passage between two walls across, both drawn over the ends of walls in one line.
    let in_wall = |station: f64| ends_in_wall(family, c, station, lines, index);
    if ends == [End::Bare; 2] && in_wall(gap[0]) && in_wall(gap[1]) {
        return Across::Ends;
    }
    let jambed = ends == [End::Closed; 2];
    if width <= WIDEST_PLAIN_IN || jambed { Across::Opening } else { Across::Ends }
}

/// What the lines at an end of a chain say.
pub(crate) fn end_kind(
    family: &Family,
    c: &Chain,
    station: f64,
    lines: &[Segment],
    index: &LineIndex,
) -> End {
    end_of_stretch(family, c, (station, f64::INFINITY), lines, index)
}

/// The same of an end of a stretch. Lines at its `other` end, which may be less than an inch away, say nothing of this one.
fn end_of_stretch(
    family: &Family,
    c: &Chain,
    (station, other): (f64, f64),
    lines: &[Segment],
    index: &LineIndex,
) -> End {
    let (Some(low), Some(high)) = (family.lines.get(c.low), family.lines.get(c.high)) else {
        return End::Bare;
    };
    let left = family.left();
    let mut closed = false;
    for face in [low.offset, high.offset] {
        let p = family.at(station, face);
        for i in index.near(&[p], TOUCH_IN) {
            let Some(g) = lines.get(i as usize) else { continue };
            let along = sub(g.b, g.a);
            if sine_between(family.dir, along) < ALONG || distance(g, p) > TOUCH_IN {
                continue;
            }
            let at = (dot(g.a, family.dir) + dot(g.b, family.dir)) / 2.0;
            if (at - other).abs() < (at - station).abs() {
                continue;
            }
            let (a, b) = (dot(g.a, left), dot(g.b, left));
            let (bottom, top) = (a.min(b), a.max(b));
            let slack = FINISH_IN + 0.25;
            if bottom < low.offset - slack || top > high.offset + slack {
                return End::Corner;
            }
            closed |= top - bottom >= (high.offset - low.offset) / 2.0;
        }
    }
    if closed { End::Closed } else { End::Bare }
}

/// Whether a pair of faces is long enough to be a wall. Short ones pass between two corners: there
/// the outer face shows how long the wall is.
fn is_wall(
    family: &Family,
    (strips, faces): (&[Strip], &BTreeMap<usize, Vec<&Strip>>),
    c: &Chain,
    thickness: &Thickness<'_>,
    lines: &[Segment],
    index: &LineIndex,
) -> bool {
    let (Some(low), Some(high)) = (family.lines.get(c.low), family.lines.get(c.high)) else {
        return false;
    };
    let [from, to] = c.ends();
    let t = high.offset_at((from + to) / 2.0) - low.offset_at((from + to) / 2.0);
    if !(thickness.known)(t) {
        return c.drawn() >= t * 3.0 && c.drawn() >= UNKNOWN_LENGTH_IN;
    }
    if to - from >= t * SHORTEST {
        return !are_stubs(c, t, faces);
    }
    let whole = reach(family, strips, c, true)[1] - reach(family, strips, c, false)[1];
    let held = |station: f64| end_kind(family, c, station, lines, index) != End::Bare;
    to - from >= CRACK_IN && whole >= t * SHORTEST && held(from) && held(to)
}

/// Sets a chain's ends, notes its lines.
fn finish_chain(
    family: &Family,
    strips: &[Strip],
    (chain, panes): (Chain, Vec<[f64; 2]>),
    boxes: &[bool],
    covered: &mut [Vec<[f64; 2]>],
    out: &mut Paired,
) {
    let (Some(low), Some(high)) = (family.lines.get(chain.low), family.lines.get(chain.high))
    else {
        return;
    };
    let [from, to] = chain.ends();
    let half_way = (from + to) / 2.0;
    let sides = [low.offset_at(half_way), high.offset_at(half_way)];
    let t = sides[1] - sides[0];
    let drawn = chain.drawn();
    let reach = [reach(family, strips, &chain, false), reach(family, strips, &chain, true)];
    let used_lines = |line: usize, from: f64, to: f64| {
        let pieces = family.lines.get(line).map_or(&[][..], |l| &l.pieces);
        pieces.iter().filter(move |p| p.from < to && p.to > from)
    };
    let mut members: Vec<(usize, [f64; 2])> = Vec::new();
    for face in [chain.low, chain.high] {
        let mut real = false;
        for p in used_lines(face, reach[0][1], reach[1][1]) {
            members.push((p.line, [p.from.max(reach[0][1]), p.to.min(reach[1][1])]));
            real |= !boxes.get(p.line).copied().unwrap_or(false);
        }
        // A post beside a rail or a wall.
        if !real {
            return;
        }
    }
    let mut overall = sides;
    for (up, face) in [(false, chain.low), (true, chain.high)] {
        let mut last = face;
        loop {
            let next = if up { last.checked_add(1) } else { last.checked_sub(1) };
            let Some((k, l)) = next.and_then(|k| Some((k, family.lines.get(k)?))) else { break };
            let off = family.lines.get(last).map_or(f64::INFINITY, |f| (l.offset - f.offset).abs());
            let beside: f64 =
                used_lines(k, from, to).map(|p| p.to.min(to) - p.from.max(from)).sum();
            let taken =
                strips.iter().any(|s| (s.low == k || s.high == k) && s.from < to && s.to > from);
            if off > FINISH_IN || beside < drawn / 2.0 || taken {
                break;
            }
            overall[usize::from(up)] = l.offset_at(half_way);
            members.extend(
                used_lines(k, from, to).map(|p| (p.line, [p.from.max(from), p.to.min(to)])),
            );
            last = k;
        }
    }
    for k in chain.low + 1..chain.high {
        // Lines between the faces are of the wall too: glazing, a centreline.
        members.extend(used_lines(k, from, to).map(|p| (p.line, [p.from.max(from), p.to.min(to)])));
    }
    for (line, span) in &members {
        if let Some(c) = covered.get_mut(*line) {
            c.push(*span);
        }
    }
    let mut of: Vec<usize> = members.into_iter().map(|m| m.0).collect();
    of.sort_unstable();
    of.dedup();
    let middle = (sides[0] + sides[1]) / 2.0;
    let at = |s: f64| family.at(s, middle);
    out.walls.push(FoundWall {
        line: Segment { a: at(reach[0][0]), b: at(reach[1][0]) },
        thickness: t,
        overall: overall[1] - overall[0],
        gaps: chain.gaps.iter().map(|g| [at(g[0]), at(g[1])]).collect(),
        panes: panes
            .iter()
            .map(|g| Pane { jambs: [at(g[0]), at(g[1])], glass: true, layer: None, lone: false })
            .collect(),
        lines: of,
    });
}

/// Where the centreline ends, and how far the longer face goes there. At a corner the outer face is
/// longer by the other wall's thickness: the other centreline is half way.
fn reach(family: &Family, strips: &[Strip], chain: &Chain, up: bool) -> [f64; 2] {
    if let Some(m) = chain.meets[usize::from(up)] {
        return [m.at, m.face];
    }
    let end = chain.ends()[usize::from(up)];
    let mut longest = end;
    for k in [chain.low, chain.high] {
        let inside = if up { end - CRACK_IN } else { end + CRACK_IN };
        let Some(span) = family.lines.get(k).and_then(|l| l.span_at(inside)) else { continue };
        let stop = span[usize::from(up)];
        let on = if up { [end, stop] } else { [stop, end] };
        // Where the face goes on as another wall's it says nothing about this one.
        let busy = strips
            .iter()
            .any(|s| (s.low == k || s.high == k) && s.from < on[1] - 1e-6 && s.to > on[0] + 1e-6);
        let further = if up { stop > longest } else { stop < longest };
        if further && !busy && on[1] - on[0] <= CROSSING_IN {
            longest = stop;
        }
    }
    [(end + longest) / 2.0, longest]
}

pub(crate) fn union_length(mut spans: Vec<[f64; 2]>) -> f64 {
    spans.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    let (mut total, mut end) = (0.0, f64::NEG_INFINITY);
    for [a, b] in spans {
        if b > end {
            total += b - a.max(end);
            end = b;
        }
    }
    total
}

/// Marks the unused lines that lie within a wall, give or take its finish, and notes the places between those of
/// them that look like jambs.
fn mark_inside(lines: &[Segment], boxes: &[bool], out: &mut Paired) {
    let axes: Vec<Segment> = out.walls.iter().map(|w| w.line).collect();
    let index = LineIndex::new(&axes);
    let widest = out.walls.iter().map(|w| w.overall).fold(0.0, f64::max);
    let mut across: BTreeMap<usize, Vec<f64>> = BTreeMap::new();
    for (i, g) in lines.iter().enumerate() {
        if out.used.get(i).is_none_or(|u| *u > 0.0) {
            continue;
        }
        let inside = index.near_line(g, widest).into_iter().find(|w| {
            let Some(wall) = out.walls.get(*w as usize) else { return false };
            let along = sub(wall.line.b, wall.line.a);
            let length = norm(along).max(1e-9);
            let dir = [along[0] / length, along[1] / length];
            [g.a, g.b].iter().all(|p| {
                let d = sub(*p, wall.line.a);
                let (s, o) = (dot(d, dir), dot(d, [-dir[1], dir[0]]));
                let slack = wall.overall / 2.0 + TOUCH_IN;
                o.abs() <= slack && s >= -slack && s <= length + slack
            })
        });
        let Some(wall) = inside else { continue };
        // The sides of a post are no jambs.
        let post = boxes.get(i).copied().unwrap_or(false);
        let of = out.walls.get(wall as usize).filter(|_| !post);
        if let Some(station) = of.and_then(|w| crosses(w, g)) {
            across.entry(wall as usize).or_default().push(station);
        }
        if let Some(slot) = out.inside.get_mut(i) {
            *slot = true;
        }
    }
    mark_sills(lines, &out.walls, &out.used, &mut out.inside);
    for (wall, stations) in across {
        if let Some(w) = out.walls.get_mut(wall) {
            let bare = bare_panes(w, stations);
            w.panes.extend(bare);
        }
    }
}

/// Largest side of a box that is a column or cabinet, inches.
const BOX_IN: f64 = 36.0;
/// Ends of a box's lines meet within this.
const BOX_TOUCH_IN: f64 = 0.1;

/// Places where lines of different directions meet end to end.
fn corner_count(lines: &[Segment], members: &[usize]) -> usize {
    let ends: Vec<(Xy, Xy)> = members
        .iter()
        .filter_map(|i| lines.get(*i))
        .flat_map(|g| [(g.a, sub(g.b, g.a)), (g.b, sub(g.b, g.a))])
        .collect();
    let mut corners: Vec<Xy> = Vec::new();
    for (i, (p, d)) in ends.iter().enumerate() {
        let turns = ends.iter().enumerate().any(|(j, (q, e))| {
            i != j && norm(sub(*p, *q)) <= BOX_TOUCH_IN * 2.0 && sine_between(*d, *e) > ALONG
        });
        if turns && corners.iter().all(|c| norm(sub(*c, *p)) > BOX_TOUCH_IN * 2.0) {
            corners.push(*p);
        }
    }
    corners.len()
}

/// Lines that make up small rectangles about as long as wide, joined to nothing else.
fn closed_boxes(lines: &[Segment]) -> Vec<bool> {
    let mut group: Vec<usize> = (0..lines.len()).collect();
    let cell = |v: f64| (v / BOX_TOUCH_IN).round().clamp(-9e15, 9e15) as i64;
    let mut corners: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
    for (i, g) in lines.iter().enumerate() {
        for p in [g.a, g.b] {
            corners.entry((cell(p[0]), cell(p[1]))).or_default().push(i);
        }
    }
    // Neighbouring cells, so that a corner on a cell's edge is one corner.
    for ((x, y), here) in &corners {
        for (dx, dy) in [(0, 0), (1, 0), (0, 1), (1, 1), (1, -1)] {
            let Some(there) = corners.get(&(x + dx, y + dy)) else { continue };
            if let Some(first) = here.first() {
                here.iter()
                    .chain(there)
                    .for_each(|j| crate::openings::unite(&mut group, *first, *j));
            }
        }
    }
    let mut figures: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for i in 0..lines.len() {
        figures.entry(crate::openings::root(&mut group, i)).or_default().push(i);
    }
    let mut out = vec![false; lines.len()];
    for members in figures.into_values().filter(|m| m.len() >= 3 && m.len() <= 64) {
        let ends: Vec<Xy> =
            members.iter().filter_map(|i| lines.get(*i)).flat_map(|g| [g.a, g.b]).collect();
        // Measured along its longest side, so that a turned figure is the same figure.
        let longest =
            members.iter().filter_map(|i| lines.get(*i)).map(|g| sub(g.b, g.a)).max_by(|a, b| {
                norm(*a)
                    .total_cmp(&norm(*b))
                    .then(a[0].total_cmp(&b[0]))
                    .then(a[1].total_cmp(&b[1]))
            });
        let Some(along) = longest.filter(|a| norm(*a) > 0.0) else { continue };
        let dir = [along[0] / norm(along), along[1] / norm(along)];
        let span = |dir: Xy| {
            let low = ends.iter().map(|p| dot(*p, dir)).fold(f64::INFINITY, f64::min);
            ends.iter().map(|p| dot(*p, dir)).fold(f64::NEG_INFINITY, f64::max) - low
        };
        let (w, h) = (span(dir), span([-dir[1], dir[0]]));
        // Closed: every end meets another line's end.
        let closed = ends.iter().enumerate().all(|(i, p)| {
            ends.iter()
                .enumerate()
                .any(|(j, q)| j / 2 != i / 2 && norm(sub(*p, *q)) <= BOX_TOUCH_IN * 2.0)
        });
        if closed
            && w.max(h) <= BOX_IN
            && w.max(h) < w.min(h) * 2.0
            && corner_count(lines, &members) == 4
        {
            for i in members {
                if let Some(slot) = out.get_mut(i) {
                    *slot = true;
                }
            }
        }
    }
    out
}
