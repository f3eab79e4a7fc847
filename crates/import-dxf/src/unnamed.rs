//! Walls by their shape alone, where no layer is known to hold walls.
//!
//! Knows: which lines may be walls at all, how pairs of them are found and judged, which layers they
//! turn out to be on; single lines where a drawing has no pairs. Never touches: sections, openings,
//! wording.
//!
//! Not looked at: layers that are known to hold something else, symbols (inserts no larger than 10 ft),
//! rows of lines at even steps (stairs, tiles, hatching, joists). The rest is paired; what comes out is
//! judged ([`crate::confidence`]); then the layers that hold no more than chance pairs are dropped and
//! the rest is paired again by itself.

use crate::account::{Fate, Reason};
use crate::affine::{Xy, cross, dot, norm, sub};
use crate::confidence::{Evidence, LEAST, SURE, Scored, score};
use crate::crosscut::Thickness;
use crate::facelines::families;
use crate::faces::sampled_partners;
use crate::flatten::Drawing;
use crate::layers::{LayerRole, Usage, is_of_other_things};
use crate::linework::{Kind, Segment, mark, sine_between};
use crate::lonelines::{Plan, with_lone_lines};
use crate::mlinecuts::{Stretch, stretches};
use crate::nearby::LineIndex;
use crate::pairing::{FoundWall, pair};
use crate::repeats::mark_repeats;
use crate::walls::{FACES_IN, THICKEST_FACES_IN, THICKEST_TOLD_IN, drawn_section};
use limits::Watch;
use std::collections::{BTreeMap, BTreeSet};

/// Inserts no larger than this are symbols: furniture, doors, fixtures; inches.
const SYMBOL_IN: f64 = 120.0;
/// A layer with this share of all walls' length is a wall layer, whatever else is on it.
const CARRIES: f64 = 0.1;
/// So is one with this share of its own length in walls, if that is at least [`SOME_IN`] and the walls are
/// sure on the average.
const MOSTLY: f64 = 0.3;
/// See [`MOSTLY`], inches.
const SOME_IN: f64 = 240.0;
/// A distance of faces with this share of all pairs is the drawing's own.
const COMMON: f64 = 0.15;
/// So is one that so many walls share ...
const RECURS: usize = 3;
/// ... and that share of their length.
const RECURS_SHARE: f64 = 0.1;
/// Walls for less than this length, inches, are none: then single lines are looked at.
const NO_WALLS_IN: f64 = 480.0;
/// How far a window stands out of its wall, inches.
const CASING_IN: f64 = 3.0;
/// Walls whose axes differ by no more are on one axis, inches.
const ON_AXIS_IN: f64 = 0.5;
/// Lines looked at for the drawing's own thicknesses.
const SAMPLE: usize = 4000;
/// More lines than this are not looked at: without layers nothing can be told apart there.
pub(crate) const MOST_LINES: usize = 400_000;

/// Lines that may be walls, in drawing units.
#[derive(Clone, Debug, Default)]
pub(crate) struct Candidates {
    /// The lines.
    pub lines: Vec<Segment>,
    /// The shape of each.
    pub shapes: Vec<usize>,
    /// The resolved layer of each.
    pub layers: Vec<u32>,
    /// Drawn width of each, as of a multiline; 0 when it has none.
    pub widths: Vec<f64>,
    /// Whether each is a multiline's: its width is no pen's.
    pub multilines: Vec<bool>,
    /// Cuts of each, as shares of it; most have none.
    pub cuts: Vec<Vec<[f64; 2]>>,
    /// Larger side of the innermost insert each is in; infinite outside inserts.
    pub symbol: Vec<f64>,
    /// Leaves of doors as they shut, hinge to latch.
    pub doors: Vec<Segment>,
    /// Whether there are more lines than can be looked at.
    pub too_many: bool,
}

impl Candidates {
    /// The larger side of the drawing, a fiftieth at either edge left out, since there may be strays; drawing
    /// units.
    pub fn size(&self) -> f64 {
        let side = |axis: usize| {
            let mut all: Vec<f64> =
                self.lines.iter().flat_map(|g| [g.a[axis], g.b[axis]]).collect();
            all.sort_unstable_by(f64::total_cmp);
            let rank = |part: usize| all.get(all.len() * part / 50).copied();
            rank(1).zip(rank(49)).map_or(0.0, |(from, to)| to - from)
        };
        side(0).max(side(1))
    }
}

/// Walls found by their shape.
#[derive(Clone, Debug, Default)]
pub(crate) struct Network {
    /// Lines looked at, inches from `middle`.
    pub lines: Vec<Segment>,
    /// The shape of each.
    pub shapes: Vec<usize>,
    /// Whole inches taken off the lines.
    pub middle: Xy,
    /// Walls with their confidence, sure or not.
    pub walls: Vec<Scored>,
    /// Layers that hold them.
    pub layers: BTreeSet<u32>,
    /// Whether they are single lines, not pairs.
    pub singles: bool,
}

impl Network {
    /// Length of the walls that are believed, times their confidence, inches.
    pub fn weight(&self) -> f64 {
        weight(&self.walls)
    }
    /// The same of the walls that others are judged by: not of single lines among walls of two.
    pub fn own_weight(&self) -> f64 {
        let own = self.believed().filter(|s| self.singles || !s.is_line());
        own.map(|s| s.confidence * length(&s.wall.line)).sum()
    }
    /// The walls that are believed.
    pub fn believed(&self) -> impl Iterator<Item = &Scored> {
        self.walls.iter().filter(|s| s.confidence >= LEAST)
    }
}

fn length(g: &Segment) -> f64 {
    norm(sub(g.b, g.a))
}

/// The lines that may be walls: visible and flat, on layers of unknown use.
pub(crate) fn candidates(drawing: &Drawing, roles: &[LayerRole], fates: &[Fate]) -> Candidates {
    let mut out = Candidates::default();
    let other: Vec<bool> = drawing.layers.iter().map(|l| is_of_other_things(&l.name)).collect();
    let sizes = insert_sizes(drawing);
    for (i, shape) in drawing.lines.shapes.iter().enumerate() {
        let layer = shape.layer as usize;
        let open = fates.get(i) == Some(&Fate::Left(Reason::NotUsed))
            && shape.kind.is_line()
            && shape.marks & (mark::TILTED | mark::BAD | mark::CURVED) == 0
            && roles.get(layer).is_some_and(|r| r.usage == Usage::Unknown)
            && !other.get(layer).copied().unwrap_or(true);
        if !open {
            continue;
        }
        let symbol = sizes.get(shape.via as usize).copied().unwrap_or(f64::INFINITY);
        for j in drawing.lines.segments_of(i) {
            let Some(g) = drawing.lines.segments.get(j) else { continue };
            if out.lines.len() >= MOST_LINES {
                out.too_many = true;
                return out;
            }
            out.lines.push(*g);
            out.shapes.push(i);
            out.layers.push(shape.layer);
            let width = drawing.lines.width_of(j).unwrap_or(0.0);
            out.widths.push(width);
            out.multilines.push(shape.kind == Kind::Mline && width > 0.0);
            out.cuts.push(drawing.lines.cuts_of(j).collect());
            out.symbol.push(symbol);
        }
    }
    out
}

/// The larger side of what each insert shows, inserts inside it included.
fn insert_sizes(drawing: &Drawing) -> Vec<f64> {
    const NOTHING: [f64; 4] = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
    let mut boxes = vec![NOTHING; drawing.nodes.len()];
    let grow = |b: &mut [f64; 4], o: &[f64; 4]| {
        *b = [b[0].min(o[0]), b[1].min(o[1]), b[2].max(o[2]), b[3].max(o[3])];
    };
    for (i, shape) in drawing.lines.shapes.iter().enumerate() {
        let Some(slot) = boxes.get_mut(shape.via as usize) else { continue };
        for g in drawing.lines.segments_of(i).filter_map(|j| drawing.lines.segments.get(j)) {
            for p in [g.a, g.b] {
                grow(slot, &[p[0], p[1], p[0], p[1]]);
            }
        }
        for a in drawing.lines.arcs_of(i).filter_map(|j| drawing.lines.arcs.get(j)) {
            let (x, y) = (a.extent([1.0, 0.0]), a.extent([0.0, 1.0]));
            grow(slot, &[x[0], y[0], x[1], y[1]]);
        }
    }
    // Parents come first.
    for i in (0..drawing.nodes.len()).rev() {
        let (Some(node), Some(own)) = (drawing.nodes.get(i), boxes.get(i).copied()) else {
            continue;
        };
        if let Some(parent) = boxes.get_mut(node.parent as usize) {
            grow(parent, &own);
        }
    }
    boxes.iter().map(|b| (b[2] - b[0]).max(b[3] - b[1])).collect()
}

/// Finds walls, with `k` inches in a drawing unit. Breaks off when time is up.
pub(crate) fn find(c: &Candidates, k: f64, watch: &Watch) -> Network {
    let all: Vec<usize> =
        (0..c.lines.len()).filter(|i| c.symbol.get(*i).is_none_or(|s| s * k > SYMBOL_IN)).collect();
    let middle = middle(c, &all, k);
    let moved = |i: usize| {
        let g = c.lines.get(i).copied().unwrap_or(Segment { a: [0.0; 2], b: [0.0; 2] });
        let at = |p: Xy| [p[0] * k - middle[0], p[1] * k - middle[1]];
        Segment { a: at(g.a), b: at(g.b) }
    };
    let lines: Vec<Segment> = all.iter().map(|i| moved(*i)).collect();
    let layer_of = |i: usize| all.get(i).and_then(|j| c.layers.get(*j)).copied().unwrap_or(0);
    let rows = rows(&lines, &layer_of);
    let width_of = |i: &usize| all.get(*i).and_then(|j| c.widths.get(*j)).map_or(0.0, |w| w * k);
    let is_wide = |i: &usize| (FACES_IN[0]..=THICKEST_FACES_IN).contains(&width_of(i));
    let is_multiline = |i: &usize| {
        is_wide(i) && all.get(*i).and_then(|j| c.multilines.get(*j)).copied().unwrap_or(false)
    };
    let (multilines, kept): (Vec<usize>, Vec<usize>) =
        (0..lines.len()).filter(|i| !rows[*i]).partition(is_multiline);
    // A line drawn as wide as a wall is one by itself.
    let by_width = |i: &usize| -> Vec<FoundWall> {
        let Some(line) = lines.get(*i) else { return Vec::new() };
        let cuts = all.get(*i).and_then(|j| c.cuts.get(*j)).into_iter().flatten().copied();
        let wall = |p: Stretch| FoundWall {
            line: p.line,
            thickness: width_of(i),
            overall: width_of(i),
            gaps: p.gaps,
            lines: vec![*i],
        };
        stretches(*line, cuts).into_iter().map(wall).collect()
    };
    let mut wide: Vec<FoundWall> = multilines.iter().flat_map(by_width).collect();
    let own = own_thicknesses(&kept.iter().map(|i| lines[*i]).collect::<Vec<_>>());
    let pass = |groups: &[Vec<usize>], wide: &[FoundWall], lone: &[FoundWall]| {
        judged(&lines, groups, (wide, lone), &layer_of, &own, watch)
    };
    // Each layer by itself first: the outline of a slab beside a wall's face is no wall.
    let mut by_layer: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    for i in &kept {
        by_layer.entry(layer_of(*i)).or_default().push(*i);
    }
    let mut groups: Vec<Vec<usize>> = by_layer.into_values().collect();
    let mut walls = pass(&groups, &wide, &[]);
    let mut layers = wall_layers(&walls, &lines, &layer_of);
    let rest: Vec<usize> =
        kept.iter().copied().filter(|i| layers.contains(&layer_of(*i))).collect();
    let rest = vec![rest];
    let across = pass(&rest, &wide, &[]);
    if weight(&across) >= weight(&walls) * 0.95 {
        (walls, groups) = (across, rest);
    } else {
        groups.retain(|own| own.first().is_some_and(|i| layers.contains(&layer_of(*i))));
        walls.retain(|s| s.wall.lines.iter().all(|i| layers.contains(&layer_of(*i))));
    }
    if weight(&walls) < NO_WALLS_IN {
        // Faces may be on layers of their own.
        let all = vec![kept.clone()];
        let all_together = pass(&all, &wide, &[]);
        if weight(&all_together) > weight(&walls) {
            layers = wall_layers(&all_together, &lines, &layer_of);
            (walls, groups) = (all_together, all);
        }
    }
    if weight(&walls) < NO_WALLS_IN {
        // Widths of polylines are the pen's as a rule; where nothing else makes walls, they may be walls.
        let pens: Vec<usize> = kept.iter().copied().filter(is_wide).collect();
        let pens: Vec<FoundWall> = pens.iter().flat_map(by_width).collect();
        let by_pen = pass(&[], &pens, &[]);
        if weight(&by_pen) > weight(&walls) {
            layers = wall_layers(&by_pen, &lines, &layer_of);
            (walls, groups, wide) = (by_pen, Vec::new(), pens);
        }
    }
    let singles = match weight(&walls) < NO_WALLS_IN {
        true => crate::singles::find(&lines, &kept, &layer_of),
        false => None,
    };
    let are_singles = singles.is_some();
    match singles {
        Some(found) => (walls, layers) = found,
        None => {
            let back = |p: Xy| [p[0] * k - middle[0], p[1] * k - middle[1]];
            let doors: Vec<Segment> =
                c.doors.iter().map(|g| Segment { a: back(g.a), b: back(g.b) }).collect();
            let plan = Plan {
                lines: &lines,
                kept: &kept,
                layer_of: &layer_of,
                layers: &layers,
                doors: &doors,
            };
            walls = with_lone_lines(walls, &plan);
            let is_lone = |s: &&Scored| s.is_line() && s.confidence >= LEAST;
            let lone: Vec<FoundWall> =
                walls.iter().filter(is_lone).map(|s| s.wall.clone()).collect();
            if !lone.is_empty() {
                // Walls of two lines that hang together through these are one network.
                walls = with_lone_lines(pass(&groups, &wide, &lone), &plan);
            }
        }
    }
    Network {
        shapes: all.iter().filter_map(|i| c.shapes.get(*i)).copied().collect(),
        lines,
        middle,
        walls,
        layers,
        singles: are_singles,
    }
}

/// Which lines are part of a row at even steps, each layer by itself: beams over a wall are no row with it.
fn rows(lines: &[Segment], layer_of: &dyn Fn(usize) -> u32) -> Vec<bool> {
    let mut by_layer: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    for i in 0..lines.len() {
        by_layer.entry(layer_of(i)).or_default().push(i);
    }
    let mut out = vec![false; lines.len()];
    for own in by_layer.values() {
        let some: Vec<Segment> = own.iter().filter_map(|i| lines.get(*i)).copied().collect();
        let mut marks = vec![false; some.len()];
        mark_repeats(&families(&some), &mut marks);
        for (i, mark) in own.iter().zip(marks) {
            if let Some(slot) = out.get_mut(*i) {
                *slot = mark;
            }
        }
    }
    out
}

fn middle(c: &Candidates, all: &[usize], k: f64) -> Xy {
    [0, 1].map(|axis| {
        let all = all.iter().filter_map(|i| c.lines.get(*i)).map(|g| g.a[axis] * k);
        crate::affine::median(all.collect()).round()
    })
}

/// Pairs each group of lines by itself and judges all that comes out, with the `wide` lines. Walls drawn as
/// one line (`lone`) hold the others together, and do not come out. Numbers in the walls are those of `lines`.
fn judged(
    lines: &[Segment],
    groups: &[Vec<usize>],
    (wide, lone): (&[FoundWall], &[FoundWall]),
    layer_of: &dyn Fn(usize) -> u32,
    own: &[f64],
    watch: &Watch,
) -> Vec<Scored> {
    let known = |d: f64| d <= THICKEST_TOLD_IN && drawn_section(d, false).is_some();
    let common = |d: f64| own.iter().any(|o| (o - d).abs() <= 1.0 / 16.0);
    // Thick walls are not paired more readily for being many: gaps between beams recur as well.
    let believed = |d: f64| known(d) || (d <= FACES_IN[1] * 1.001 && common(d));
    let thickness = Thickness {
        least: FACES_IN[0],
        greatest: THICKEST_FACES_IN,
        framed: FACES_IN[1],
        known: &believed,
    };
    let mut used = vec![0.0; lines.len()];
    let mut walls = wide.to_vec();
    for i in wide.iter().flat_map(|w| &w.lines) {
        if let (Some(slot), Some(g)) = (used.get_mut(*i), lines.get(*i)) {
            *slot = length(g);
        }
    }
    for numbers in groups {
        let some: Vec<Segment> = numbers.iter().filter_map(|i| lines.get(*i)).copied().collect();
        let paired = pair(&some, &thickness, watch);
        for (i, u) in numbers.iter().zip(&paired.used) {
            if let Some(slot) = used.get_mut(*i) {
                *slot = *u;
            }
        }
        walls.extend(paired.walls.into_iter().map(|mut w| {
            w.lines = w.lines.iter().filter_map(|i| numbers.get(*i)).copied().collect();
            w
        }));
    }
    let layers: Vec<u32> = (0..lines.len()).map(layer_of).collect();
    let mut walls = without_jambs(without_inner(walls), lines);
    let again = recurring(&walls);
    let common = |d: f64| own.iter().chain(&again).any(|o| (o - d).abs() <= 1.0 / 16.0);
    let evidence = Evidence { lines, layers: &layers, used: &used, known: &known, common: &common };
    let own = walls.len();
    walls.extend_from_slice(lone);
    let mut out = score(walls, &evidence);
    out.truncate(own);
    out
}

/// Thicknesses that several walls share, inches: an outer wall of masonry and an inner one make two.
fn recurring(walls: &[FoundWall]) -> Vec<f64> {
    let mut by_thickness: BTreeMap<i64, (usize, f64)> = BTreeMap::new();
    for w in walls {
        let slot = by_thickness.entry((w.thickness * 16.0).round() as i64).or_default();
        slot.0 += 1;
        slot.1 += length(&w.line);
    }
    let total: f64 = by_thickness.values().map(|t| t.1).sum();
    let shared = by_thickness.into_iter();
    shared
        .filter(|(_, (n, long))| *n >= RECURS && *long >= total * RECURS_SHARE)
        .map(|t| t.0 as f64 / 16.0)
        .collect()
}

/// Without what lies inside a longer, thicker wall: the sashes of its windows; and without what lies on
/// the axis of another: the frame of its door, or the same wall on another layer.
fn without_inner(walls: Vec<FoundWall>) -> Vec<FoundWall> {
    let axes: Vec<Segment> = walls.iter().map(|w| w.line).collect();
    let index = LineIndex::new(&axes);
    let inside = |(i, w): (usize, &FoundWall), (j, o): (usize, &FoundWall)| {
        let along = sub(o.line.b, o.line.a);
        let long = norm(along).max(1e-9);
        let dir = [along[0] / long, along[1] / long];
        let off = |p: Xy| dot(sub(p, o.line.a), [-dir[1], dir[0]]).abs();
        let on_axis = off(w.line.a).max(off(w.line.b)) <= ON_AXIS_IN;
        let longer = long > length(&w.line) + ON_AXIS_IN
            || (on_axis && long >= length(&w.line) - ON_AXIS_IN && j < i);
        (o.overall > w.overall || on_axis)
            && longer
            && [w.line.a, w.line.b].iter().all(|p| {
                let d = sub(*p, o.line.a);
                let (s, off) = (dot(d, dir), dot(d, [-dir[1], dir[0]]).abs());
                // Sashes may stand out of the wall by a casing.
                off + w.overall / 2.0 <= o.overall / 2.0 + CASING_IN && s >= -1.0 && s <= long + 1.0
            })
    };
    let inner: Vec<bool> = walls
        .iter()
        .enumerate()
        .map(|(i, w)| {
            index
                .near_line(&w.line, THICKEST_FACES_IN)
                .into_iter()
                .map(|j| j as usize)
                .any(|j| j != i && walls.get(j).is_some_and(|o| inside((i, w), (j, o))))
        })
        .collect();
    walls.into_iter().zip(inner).filter(|x| !x.1).map(|x| x.0).collect()
}

/// Without pairs of which one face lies across a longer wall: a line and the jamb of a door beside it.
fn without_jambs(walls: Vec<FoundWall>, lines: &[Segment]) -> Vec<FoundWall> {
    let axes: Vec<Segment> = walls.iter().map(|w| w.line).collect();
    let index = LineIndex::new(&axes);
    let is_pair_with_jamb = |i: usize, w: &FoundWall| {
        let along = sub(w.line.b, w.line.a);
        let side =
            |g: &Segment| cross(along, sub(g.a, w.line.a)) + cross(along, sub(g.b, w.line.a));
        let own: Vec<&Segment> = w.lines.iter().filter_map(|j| lines.get(*j)).collect();
        let near = index.near_line(&w.line, THICKEST_FACES_IN);
        near.into_iter().filter_map(|j| Some((j as usize, walls.get(j as usize)?))).any(|(j, o)| {
            let axis = sub(o.line.b, o.line.a);
            let long = norm(axis).max(1e-9);
            let dir = [axis[0] / long, axis[1] / long];
            let within = |p: Xy| {
                let d = sub(p, o.line.a);
                let (s, off) = (dot(d, dir), cross(dir, d).abs());
                off <= o.overall / 2.0 + ON_AXIS_IN && s >= -ON_AXIS_IN && s <= long + ON_AXIS_IN
            };
            let all_within = |left: bool| {
                let mut face = own.iter().filter(|g| (side(g) > 0.0) == left).peekable();
                face.peek().is_some() && face.all(|g| within(g.a) && within(g.b))
            };
            i != j
                && long > length(&w.line)
                && sine_between(along, axis) > 0.1
                && (all_within(true) || all_within(false))
        })
    };
    let jambs: Vec<bool> = walls
        .iter()
        .enumerate()
        .map(|(i, w)| w.lines.len() > 1 && is_pair_with_jamb(i, w))
        .collect();
    walls.into_iter().zip(jambs).filter(|x| !x.1).map(|x| x.0).collect()
}

fn weight(walls: &[Scored]) -> f64 {
    let believed = walls.iter().filter(|s| s.confidence >= LEAST);
    believed.map(|s| s.confidence * length(&s.wall.line)).sum()
}

/// Distances of faces that many lines have, inches.
fn own_thicknesses(lines: &[Segment]) -> Vec<f64> {
    let index = LineIndex::new(lines);
    let found = sampled_partners(lines, &index, FACES_IN[0], THICKEST_FACES_IN, SAMPLE);
    let mut by_gap: BTreeMap<i64, f64> = BTreeMap::new();
    for p in found.iter().filter(|p| p.length >= 24.0 && p.covered >= p.length / 2.0) {
        if let Some(gap) = p.gap {
            *by_gap.entry((gap * 16.0).round() as i64).or_default() += p.length;
        }
    }
    let total: f64 = by_gap.values().sum();
    by_gap.into_iter().filter(|(_, l)| *l >= total * COMMON).map(|(g, _)| g as f64 / 16.0).collect()
}

/// The layers that hold more than chance pairs.
fn wall_layers(
    walls: &[Scored],
    lines: &[Segment],
    layer_of: &dyn Fn(usize) -> u32,
) -> BTreeSet<u32> {
    let mut totals: BTreeMap<u32, (f64, f64)> = BTreeMap::new();
    for (i, g) in lines.iter().enumerate() {
        totals.entry(layer_of(i)).or_default().1 += length(g);
    }
    let faces: BTreeSet<usize> = walls
        .iter()
        .filter(|s| s.confidence >= LEAST)
        .flat_map(|s| &s.wall.lines)
        .copied()
        .collect();
    for i in faces {
        if let Some(g) = lines.get(i) {
            totals.entry(layer_of(i)).or_default().0 += length(g);
        }
    }
    // How sure the walls of each layer are, on the average of their faces.
    let mut surety: BTreeMap<u32, (f64, f64)> = BTreeMap::new();
    for s in walls.iter().filter(|s| s.confidence >= LEAST) {
        for i in &s.wall.lines {
            let slot = surety.entry(layer_of(*i)).or_default();
            let long = lines.get(*i).map_or(0.0, length);
            *slot = (slot.0 + long * s.confidence, slot.1 + long);
        }
    }
    let sure = |layer: &u32| surety.get(layer).is_some_and(|(sum, long)| *sum >= long * SURE);
    let all: f64 = totals.values().map(|t| t.0).sum();
    totals
        .into_iter()
        .filter(|(layer, (in_walls, whole))| {
            let mostly = *in_walls >= whole * MOSTLY && *in_walls >= SOME_IN && sure(layer);
            *in_walls > 0.0 && (*in_walls >= all * CARRIES || mostly)
        })
        .map(|t| t.0)
        .collect()
}
