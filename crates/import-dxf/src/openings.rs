//! Doors and windows: which entities make one, which wall it is in, and where.
//!
//! Knows: symbols as groups of lines and arcs, the wall lines they may lie on, gaps between wall lines
//! in one line. Never touches: layers' names, sections, the file. Everything is in inches.
//!
//! A symbol is one insert, or loose lines and arcs that touch. It is laid on the wall whose centreline
//! it comes within half the wall's width and 6 in of. Where the symbol stands in a gap between two
//! wall lines in one line, the two are one wall and the gap is the opening.

use crate::affine::{Xy, cross, dot, norm, sub};
use crate::carryon::{Across, CASING_IN, walls_across};
use crate::linework::{Arc, Segment, sine_between};
use crate::nearby::LineIndex;
use crate::seams::covered;
use std::collections::BTreeMap;
use wall_model::OpeningKind;

/// How far outside the wall's faces a symbol may stay.
pub(crate) const REACH_IN: f64 = 6.0;
/// How far outside the faces panels of a sliding door may stand.
const SLIDES_IN: f64 = 2.5;
/// Nothing narrower is an opening.
pub(crate) const NARROWEST_IN: f64 = 6.0;
/// How much wider than its symbol a gap may be.
pub(crate) const GAP_SLACK_IN: f64 = 12.0;
/// How far a symbol may reach into a wall across the gap it stands in: casing.
pub(crate) const INTO_WALL_IN: f64 = 3.0;
/// How much wider a gap may be than the wall that passes in it and the opening beside that wall.
const SLIVER_IN: f64 = 1.5;
/// Loose lines of one symbol touch within this.
const TOUCH_IN: f64 = 0.5;
/// Ways in which the leaves of a symbol may shut that are looked at; a double door has two leaves.
const MOST_WAYS: usize = 4;
/// Sine of the greatest angle between two wall lines in one line: 0.5 degrees.
pub(crate) const IN_LINE: f64 = 0.008_73;

/// A door or window symbol.
#[derive(Clone, Debug)]
pub(crate) struct Symbol {
    /// What it is.
    pub kind: OpeningKind,
    /// Straight lines.
    pub segments: Vec<Segment>,
    /// Arcs.
    pub arcs: Vec<Arc>,
    /// Shape numbers.
    pub shapes: Vec<usize>,
    /// What says that it is one.
    pub told: Told,
}

/// What says that lines are a door or window.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Told {
    /// Their layer.
    Layer,
    /// The name of the block they are in.
    Name,
    /// Their shape: a leaf with its swing, or a leaf in a doorway.
    Shape,
    /// Their shape: panels that run past each other.
    Panels,
}

/// A wall line that openings may be in.
#[derive(Clone, Debug)]
pub(crate) struct HostLine {
    /// Centreline.
    pub line: Segment,
    /// Half the wall's width.
    pub half: f64,
    /// Lines of different classes are never one wall.
    pub class: u32,
    /// Walls of different storeys never meet.
    pub storey: usize,
}

/// Where a symbol was laid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Hosted {
    /// Wall line.
    pub host: usize,
    /// The wall line beyond the gap, when the symbol stands in one.
    pub joined: Option<usize>,
    /// One side of the opening, on the centreline.
    pub from: Xy,
    /// The other side.
    pub to: Xy,
    /// How far the symbol reaches, on the line of the centreline, where it reaches beyond the sides.
    pub span: [Xy; 2],
}

impl Symbol {
    /// Points that bound it well enough to look for walls.
    pub fn corners(&self) -> Vec<Xy> {
        let mut out: Vec<Xy> = self.segments.iter().flat_map(|s| [s.a, s.b]).collect();
        for a in &self.arcs {
            let (x, y) = (a.extent([1.0, 0.0]), a.extent([0.0, 1.0]));
            out.extend([[x[0], y[0]], [x[1], y[1]]]);
        }
        out
    }
    /// Its larger side, for statistics.
    pub fn size(&self) -> f64 {
        let span = |axis: usize| {
            let v: Vec<f64> = self.corners().iter().map(|p| p[axis]).collect();
            let low = v.iter().copied().fold(f64::INFINITY, f64::min);
            v.iter().copied().fold(f64::NEG_INFINITY, f64::max) - low
        };
        span(0).max(span(1)).max(0.0)
    }
    /// Least and greatest `(p - origin) . dir`.
    pub(crate) fn extent(&self, origin: Xy, dir: Xy) -> [f64; 2] {
        let base = dot(origin, dir);
        let mut out = [f64::INFINITY, f64::NEG_INFINITY];
        let ends = self.segments.iter().flat_map(|s| [dot(s.a, dir), dot(s.b, dir)]);
        for v in ends.chain(self.arcs.iter().flat_map(|a| a.extent(dir))) {
            out = [out[0].min(v - base), out[1].max(v - base)];
        }
        out
    }
    /// The leaf positions when shut: hinge and latch side of each swing. Empty unless every arc has a
    /// leaf drawn open, from the arc's center to one of its ends; the other end is where it shuts.
    pub fn shut_leaves(&self) -> Vec<Segment> {
        let mut ways = self.ways_shut();
        if ways.len() == 1 { ways.pop().unwrap_or_default() } else { Vec::new() }
    }
    /// All that [`Symbol::shut_leaves`] may be: where lines go from an arc's center to both its ends, one of them is
    /// the leaf and the other a threshold. Empty where there are too many ways or none.
    pub fn ways_shut(&self) -> Vec<Vec<Segment>> {
        let mut ways: Vec<Vec<Segment>> = vec![Vec::new()];
        for a in &self.arcs {
            let ends = a.ends();
            let near = (norm(a.u) * 0.1).max(2.5);
            let drawn = |end: Xy| {
                let joins =
                    |p: Xy, q: Xy| norm(sub(p, a.center)) <= near && norm(sub(q, end)) <= near;
                self.segments.iter().any(|s| joins(s.a, s.b) || joins(s.b, s.a))
            };
            let to = |end: Xy| Segment { a: a.center, b: end };
            let shut: &[Segment] = match (drawn(ends[0]), drawn(ends[1])) {
                (true, false) => &[to(ends[1])],
                (false, true) => &[to(ends[0])],
                (true, true) if ways.len() < MOST_WAYS => &[to(ends[0]), to(ends[1])],
                _ => return Vec::new(),
            };
            let with = |way: &Vec<Segment>, leaf: &Segment| {
                let mut way = way.clone();
                way.push(*leaf);
                way
            };
            ways = ways.iter().flat_map(|w| shut.iter().map(move |l| with(w, l))).collect();
        }
        ways
    }
}

/// Puts loose lines and arcs that touch into one symbol each. `pieces` are shape numbers with their
/// lines; the result is in the order of the first shape of each symbol.
pub(crate) fn group_touching(pieces: Vec<Symbol>) -> Vec<Symbol> {
    let mut group: Vec<usize> = (0..pieces.len()).collect();
    let mut cells: BTreeMap<(i64, i64), Vec<(Xy, usize)>> = BTreeMap::new();
    let cell = |v: f64| (v / TOUCH_IN).floor().clamp(-9e15, 9e15) as i64;
    for (i, piece) in pieces.iter().enumerate() {
        for p in touch_points(piece) {
            let (cx, cy) = (cell(p[0]), cell(p[1]));
            for key in (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (cx + dx, cy + dy))) {
                for (q, j) in cells.get(&key).into_iter().flatten() {
                    let same_kind = pieces.get(*j).is_some_and(|o| o.kind == piece.kind);
                    if same_kind && norm(sub(p, *q)) <= TOUCH_IN {
                        unite(&mut group, i, *j);
                    }
                }
            }
            let slot = cells.entry((cx, cy)).or_default();
            // Hatching on a door layer would fill a cell with points that say nothing new.
            if slot.len() < 16 {
                slot.push((p, i));
            }
        }
    }
    let mut out: BTreeMap<usize, Symbol> = BTreeMap::new();
    for (i, piece) in pieces.into_iter().enumerate() {
        let key = root(&mut group, i);
        match out.get_mut(&key) {
            Some(s) => {
                s.segments.extend(piece.segments);
                s.arcs.extend(piece.arcs);
                s.shapes.extend(piece.shapes);
            }
            None => {
                out.insert(key, piece);
            }
        }
    }
    out.into_values().collect()
}

fn touch_points(piece: &Symbol) -> Vec<Xy> {
    let mut out: Vec<Xy> = piece.segments.iter().flat_map(|s| [s.a, s.b]).collect();
    for a in &piece.arcs {
        out.extend(a.ends());
        // The leaf begins at the hinge, the center of the swing.
        out.push(a.center);
    }
    out
}

/// The least member of a group of numbers, each of which points at a smaller one or at itself. Paths
/// are shortened on the way.
pub(crate) fn root(group: &mut [usize], mut i: usize) -> usize {
    while let Some(up) = group.get(i).copied().filter(|up| *up != i) {
        let above = group.get(up).copied().unwrap_or(up);
        if let Some(slot) = group.get_mut(i) {
            *slot = above;
        }
        i = above;
    }
    i
}

/// Makes one group of two.
pub(crate) fn unite(group: &mut [usize], a: usize, b: usize) {
    let (a, b) = (root(group, a), root(group, b));
    if let Some(slot) = group.get_mut(a.max(b)) {
        *slot = a.min(b);
    }
}

/// Lays a symbol on a wall line, if one takes it.
pub(crate) fn host(
    symbol: &Symbol,
    hosts: &[HostLine],
    index: &LineIndex,
    widest_half: f64,
    snap: f64,
) -> Option<Hosted> {
    let near = index.near(&symbol.corners(), widest_half + GAP_SLACK_IN);
    let on = |leaves: &[Segment]| {
        let all = near.iter();
        all.filter_map(|i| try_host(symbol, leaves, hosts, *i as usize, &near, snap))
            .min_by_key(|(rank, _)| *rank)
    };
    let ways = symbol.ways_shut();
    let best = ways.iter().filter_map(|leaves| on(leaves)).min_by_key(|(rank, _)| *rank);
    // Where the leaves are not to be made out, as wide as all of it.
    let best = best.or_else(|| if ways.len() == 1 { None } else { on(&[]) });
    best.map(|(_, hosted)| hosted)
}

/// Order of preference: a gap that fits before anything else, then the line from which the symbol
/// stands off least (in 1/16 in), then the one that holds most of it, then the first line.
type Rank = (bool, i64, i64, i64, usize);

fn try_host(
    symbol: &Symbol,
    leaves: &[Segment],
    hosts: &[HostLine],
    i: usize,
    near: &[u32],
    snap: f64,
) -> Option<(Rank, Hosted)> {
    let host = hosts.get(i)?;
    let along = sub(host.line.b, host.line.a);
    let length = norm(along);
    let dir = [along[0] / length, along[1] / length];
    let origin = host.line.a;
    let (span, off) = laid_along(symbol, leaves, origin, dir)?;
    let width = span[1] - span[0];
    let reach = host.half + REACH_IN;
    // Panels slide in their wall; beside one they are a cupboard's.
    let slides = host.half + SLIDES_IN;
    if symbol.told == Told::Panels && (off[0] < -slides || off[1] > slides) {
        return None;
    }
    if !width.is_finite() || width < NARROWEST_IN || off[0] > reach || off[1] < -reach {
        return None;
    }
    let sixteenths = |v: f64| (v * 16.0).round() as i64;
    let stand_off = sixteenths(off[0].abs().max(off[1].abs()));
    let middle_off = sixteenths(((off[0] + off[1]) / 2.0).abs());
    let at = |s: f64| [origin[0] + dir[0] * s, origin[1] + dir[1] * s];
    let inside = span[1].min(length) - span[0].max(0.0);
    // Over a piece of a wall that is shorter than half the opening, those in line with it have their parts too.
    let spread = || inside > 0.0 && covered(hosts, i, span, near, snap) >= width / 2.0;
    if inside >= width / 2.0 || spread() {
        let hosted = Hosted {
            host: i,
            joined: None,
            from: at(span[0].max(0.0)),
            to: at(span[1].min(length)),
            span: span.map(at),
        };
        let most = sixteenths(-inside);
        return Some(((true, stand_off, middle_off, most, i), hosted));
    }
    let forward = (span[0] + span[1]) / 2.0 > length / 2.0;
    let (partner, far) = beyond_gap(hosts, i, dir, length, forward, near, snap)?;
    let whole = if forward { [length, far] } else { [far, 0.0] };
    let gap = beside_walls_across(whole, span, &walls_across(hosts, i, origin, dir, near, snap));
    let gap_width = gap[1] - gap[0];
    let overlap = span[1].min(gap[1]) - span[0].max(gap[0]);
    if gap_width > width + GAP_SLACK_IN || overlap < gap_width / 2.0 {
        return None;
    }
    // What reaches farther over a wall's end than casing does is part of the opening, if its width is known.
    let told = symbol.arcs.is_empty() || !leaves.is_empty();
    let wider = |side: usize, over: f64| told && gap[side] == whole[side] && over > CASING_IN;
    let from = if wider(0, gap[0] - span[0]) { span[0] } else { gap[0] };
    let to = if wider(1, span[1] - gap[1]) { span[1] } else { gap[1] };
    let ends = [from, to].map(at);
    let hosted = Hosted { host: i, joined: Some(partner), from: ends[0], to: ends[1], span: ends };
    Some(((false, stand_off, middle_off, 0, i), hosted))
}

/// Where a symbol lies along a line through `origin` and across it, its leaves shut; none when it cannot
/// belong to a wall of that direction.
pub(crate) fn laid_along(
    symbol: &Symbol,
    leaves: &[Segment],
    origin: Xy,
    dir: Xy,
) -> Option<([f64; 2], [f64; 2])> {
    let left = [-dir[1], dir[0]];
    if leaves.is_empty() {
        let (span, off) = (symbol.extent(origin, dir), symbol.extent(origin, left));
        // What has no swing lies along its wall, not across it.
        let across = symbol.arcs.is_empty() && span[1] - span[0] < (off[1] - off[0]) * 0.9;
        return (!across).then_some((span, off));
    }
    // Leaves of one door stand in one line.
    if leaves.iter().any(|l| sine_between(dir, sub(l.b, l.a)) > 0.17) {
        return None;
    }
    let shut = Symbol { segments: leaves.to_vec(), arcs: Vec::new(), ..symbol.clone() };
    Some((shut.extent(origin, dir), shut.extent(origin, left)))
}

/// What is left of a gap beside the walls that pass in it: a door hard against such a wall leaves one gap
/// of both.
fn beside_walls_across(whole: [f64; 2], span: [f64; 2], across: &[Across]) -> [f64; 2] {
    let mut gap = whole;
    // Where a line ends at such a wall, the gap begins at its middle.
    for w in across.iter().filter(|w| w.faces[1] > whole[0] && w.faces[0] < whole[1]) {
        // More than that wall beyond it: a room, which joins nothing.
        let most = w.faces[1] - w.faces[0] + SLIVER_IN;
        if w.faces[1] <= span[0] + INTO_WALL_IN && w.faces[1] - whole[0] <= most {
            gap[0] = gap[0].max(w.faces[1]);
        } else if w.faces[0] >= span[1] - INTO_WALL_IN && whole[1] - w.faces[0] <= most {
            gap[1] = gap[1].min(w.faces[0]);
        }
    }
    gap
}

/// The nearest line of the same class in line with `i` beyond its end, and the station where it
/// begins.
fn beyond_gap(
    hosts: &[HostLine],
    i: usize,
    dir: Xy,
    length: f64,
    forward: bool,
    near: &[u32],
    snap: f64,
) -> Option<(usize, f64)> {
    let host = hosts.get(i)?;
    let mut best: Option<(f64, usize)> = None;
    for j in near.iter().map(|j| *j as usize).filter(|j| *j != i) {
        let Some(o) = hosts.get(j).filter(|o| o.class == host.class) else { continue };
        if sine_between(dir, sub(o.line.b, o.line.a)) > IN_LINE {
            continue;
        }
        let (pa, pb) = (sub(o.line.a, host.line.a), sub(o.line.b, host.line.a));
        let (sa, sb) = (dot(pa, dir), dot(pb, dir));
        let nearer_end = if (sa < sb) == forward { pa } else { pb };
        let station = dot(nearer_end, dir);
        let distance = if forward { station - length } else { -station };
        if cross(dir, nearer_end).abs() > snap.max(1.0 / 16.0) || distance <= 0.0 {
            continue;
        }
        if best.is_none_or(|(d, k)| (distance, j) < (d, k)) {
            best = Some((distance, j));
        }
    }
    best.map(|(d, j)| (j, if forward { length + d } else { -d }))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(x0: f64, y0: f64, x1: f64, y1: f64) -> Segment {
        Segment { a: [x0, y0], b: [x1, y1] }
    }
    fn wall(s: Segment) -> HostLine {
        HostLine { line: s, half: 1.75, class: 0, storey: 0 }
    }
    fn symbol(segments: Vec<Segment>, arcs: Vec<Arc>) -> Symbol {
        Symbol { kind: OpeningKind::Door, segments, arcs, shapes: vec![0], told: Told::Layer }
    }
    fn laid(s: &Symbol, walls: &[Segment]) -> Option<Hosted> {
        let hosts: Vec<HostLine> = walls.iter().copied().map(wall).collect();
        host(s, &hosts, &LineIndex::new(walls), 1.75, 0.375)
    }

    #[test]
    fn a_window_along_a_wall_through_it() {
        let s = symbol(vec![line(40.0, -2.0, 76.0, -2.0), line(76.0, 2.0, 40.0, 2.0)], vec![]);
        let h = laid(&s, &[line(0.0, 0.0, 120.0, 0.0), line(38.0, 0.0, 38.0, 90.0)]).unwrap();
        assert_eq!(
            h,
            Hosted {
                host: 0,
                joined: None,
                from: [40.0, 0.0],
                to: [76.0, 0.0],
                span: [[40.0, 0.0], [76.0, 0.0]]
            }
        );
    }

    #[test]
    fn a_door_in_a_gap_joins_the_two_lines() {
        // Hinge at (40,0), leaf open to (40,36), swing to the latch at (76,0).
        let swing = Arc::of_circle([40.0, 0.0], 36.0, 0.0, 90.0);
        let s = symbol(vec![line(40.0, 0.0, 40.0, 36.0)], vec![swing]);
        let h = laid(&s, &[line(0.0, 0.0, 40.0, 0.0), line(76.0, 0.0, 120.0, 0.0)]).unwrap();
        assert_eq!(
            h,
            Hosted {
                host: 0,
                joined: Some(1),
                from: [40.0, 0.0],
                to: [76.0, 0.0],
                span: [[40.0, 0.0], [76.0, 0.0]]
            }
        );
    }

    #[test]
    fn a_door_hard_against_a_wall_that_passes_leaves_that_wall_out() {
        // The gap from 40 to 80 holds a wall from 40 to 43-1/2 and the door beside it.
        let s = symbol(vec![line(43.5, 0.0, 80.0, 0.0)], vec![]);
        let passes = line(41.75, -90.0, 41.75, 90.0);
        let h = laid(&s, &[line(0.0, 0.0, 40.0, 0.0), line(80.0, 0.0, 120.0, 0.0), passes]);
        let (from, to) = ([43.5, 0.0], [80.0, 0.0]);
        let want = Hosted { host: 0, joined: Some(1), from, to, span: [from, to] };
        assert_eq!(h, Some(want));
        // A line that ends at the middle of that wall.
        let h = laid(&s, &[line(0.0, 0.0, 41.75, 0.0), line(80.0, 0.0, 120.0, 0.0), passes]);
        assert_eq!(h, Some(want));
        // With a room beyond that wall the two are not one wall.
        let h = laid(&s, &[line(-90.0, 0.0, -30.0, 0.0), line(80.0, 0.0, 120.0, 0.0), passes]);
        assert_eq!(h, None);
    }

    #[test]
    fn the_leaf_tells_which_of_two_walls_at_a_corner() {
        // Hinge 4 in from the corner of two walls; the leaf stands open along the upright wall.
        let swing = Arc::of_circle([4.0, 0.0], 30.0, 0.0, 90.0);
        let walls = [line(0.0, 0.0, 0.0, 120.0), line(0.0, 0.0, 120.0, 0.0)];
        let open_up = symbol(vec![line(4.0, 0.0, 4.0, 30.0)], vec![swing]);
        assert_eq!(laid(&open_up, &walls).unwrap().host, 1);
        let open_right = symbol(vec![line(4.0, 0.0, 34.0, 0.0)], vec![swing]);
        let h = laid(&open_right, &walls).unwrap();
        assert_eq!(h.host, 0);
        assert!((h.to[1] - 30.0).abs() < 1e-9);
    }

    #[test]
    fn nothing_far_off_or_across_or_too_narrow() {
        let walls = [line(0.0, 0.0, 120.0, 0.0)];
        assert_eq!(laid(&symbol(vec![line(40.0, 9.0, 76.0, 9.0)], vec![]), &walls), None);
        assert_eq!(laid(&symbol(vec![line(40.0, -20.0, 40.0, 20.0)], vec![]), &walls), None);
        assert_eq!(laid(&symbol(vec![line(40.0, 0.0, 44.0, 0.0)], vec![]), &walls), None);
        assert_eq!(laid(&symbol(vec![], vec![]), &walls), None);
        // Beyond the end, with no line to join.
        assert_eq!(laid(&symbol(vec![line(125.0, 0.0, 160.0, 0.0)], vec![]), &walls), None);
    }

    #[test]
    fn lines_of_another_class_are_not_joined() {
        let walls = [line(0.0, 0.0, 40.0, 0.0), line(76.0, 0.0, 120.0, 0.0)];
        let mut hosts: Vec<HostLine> = walls.iter().copied().map(wall).collect();
        hosts[1].class = 7;
        let s = symbol(vec![line(40.0, -2.0, 76.0, -2.0)], vec![]);
        assert_eq!(host(&s, &hosts, &LineIndex::new(&walls), 1.75, 0.375), None);
    }

    #[test]
    fn touching_pieces_are_one_symbol() {
        let piece = |segments, arcs, i| Symbol { shapes: vec![i], ..symbol(segments, arcs) };
        let swing = Arc::of_circle([0.0, 0.0], 30.0, 0.0, 90.0);
        let groups = group_touching(vec![
            piece(vec![line(0.0, 0.0, 0.0, 30.0)], vec![], 0),
            piece(vec![line(500.0, 0.0, 530.0, 0.0)], vec![], 1),
            piece(vec![], vec![swing], 2),
        ]);
        assert_eq!(groups.len(), 2);
        assert_eq!(groups[0].shapes, vec![0, 2]);
    }
}
