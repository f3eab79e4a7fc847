//! Walls by their shape alone, where no layer is known to hold walls.
//!
//! Knows: how pairs of lines are found and judged, which layers they turn out to be on; wide polylines
//! among them; single lines where a drawing has no pairs. Never touches: which lines may be walls at all
//! (`candidates`), sections, openings, wording.
//!
//! Not looked at: layers that are known to hold something else, symbols (inserts no larger than 10 ft),
//! leaves of doors whose swing is drawn, rows of lines at even steps (stairs, tiles, hatching, joists). The rest is paired; what comes out is
//! judged ([`crate::confidence`]); then the layers that hold no more than chance pairs are dropped and
//! the rest is paired again by itself.

use crate::affine::Xy;
use crate::candidates::Candidates;
use crate::centrelines::drawn_section;
use crate::confidence::{Evidence, LEAST, SURE, Scored, score};
use crate::crosscut::Thickness;
use crate::directions::doubt_directions;
use crate::facelines::families;
use crate::faces::sampled_partners;
use crate::facewalls::is_thin;
use crate::linework::Segment;
use crate::lonechains::length;
use crate::lonelines::{Plan, with_lone_lines};
use crate::mlinecuts::{Stretch, stretches};
use crate::nearby::LineIndex;
use crate::overlaid::{without_inner, without_jambs};
use crate::pairing::{FoundWall, pair};
use crate::repeats::mark_repeats;
use crate::unlayered::is_leaf_length;
use crate::walls::{FACES_IN, THICKEST_FACES_IN, THICKEST_TOLD_IN};
use crate::widelines::{Among, doubt_widths, reach_wide};
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
/// Lines looked at for the drawing's own thicknesses.
const SAMPLE: usize = 4000;
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
    /// First lines of those that are polylines as wide as the wall.
    pub strokes: BTreeSet<usize>,
    /// The same of those between two faces that a polyline as wide as the wall fills.
    pub told: BTreeSet<usize>,
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
    /// Whether a wall is drawn as polylines as wide as itself.
    pub fn is_stroke(&self, wall: &Scored) -> bool {
        wall.wall.lines.first().is_some_and(|i| self.strokes.contains(i))
    }
    /// Whether a polyline's width tells a wall's thickness too.
    pub fn is_told(&self, wall: &Scored) -> bool {
        let told = |i: &usize| self.strokes.contains(i) || self.told.contains(i);
        wall.wall.lines.first().is_some_and(told)
    }
    /// The walls that are believed.
    pub fn believed(&self) -> impl Iterator<Item = &Scored> {
        self.walls.iter().filter(|s| s.confidence >= LEAST)
    }
}

/// Finds walls, with `k` inches in a drawing unit. Breaks off when time is up.
pub(crate) fn find(c: &Candidates, k: f64, watch: &Watch) -> Network {
    let is_leaf = |i: usize| {
        let radius = c.shapes.get(i).and_then(|shape| c.leaves.get(shape));
        radius.is_some_and(|r| is_leaf_length(r * k))
    };
    let is_symbol = |i: usize| c.symbol.get(i).is_some_and(|s| s * k <= SYMBOL_IN);
    let all: Vec<usize> = (0..c.lines.len()).filter(|i| !is_symbol(*i) && !is_leaf(*i)).collect();
    let middle = middle(c, &all, k);
    let moved = |i: usize| {
        let g = c.lines.get(i).copied().unwrap_or(Segment { a: [0.0; 2], b: [0.0; 2] });
        let at = |p: Xy| [p[0] * k - middle[0], p[1] * k - middle[1]];
        Segment { a: at(g.a), b: at(g.b) }
    };
    let lines: Vec<Segment> = all.iter().map(|i| moved(*i)).collect();
    let layer_of = |i: usize| all.get(i).and_then(|j| c.layers.get(*j)).copied().unwrap_or(0);
    let rows = rows(&lines, &layer_of, watch);
    let width_of = |i: usize| all.get(i).and_then(|j| c.widths.get(*j)).map_or(0.0, |w| w * k);
    let is_multiline = |i: &usize| {
        (FACES_IN[0]..=THICKEST_FACES_IN).contains(&width_of(*i))
            && all.get(*i).and_then(|j| c.multilines.get(*j)).copied().unwrap_or(false)
    };
    let (multilines, kept): (Vec<usize>, Vec<usize>) =
        (0..lines.len()).filter(|i| !rows[*i]).partition(is_multiline);
    let by_width = |i: &usize| -> Vec<FoundWall> {
        let Some(line) = lines.get(*i) else { return Vec::new() };
        let cuts = all.get(*i).and_then(|j| c.cuts.get(*j)).into_iter().flatten().copied();
        let wall = |p: Stretch| FoundWall {
            line: p.line,
            thickness: width_of(*i),
            overall: width_of(*i),
            gaps: p.gaps,
            panes: Vec::new(),
            lines: vec![*i],
        };
        stretches(*line, cuts).into_iter().map(wall).collect()
    };
    let wide: Vec<FoundWall> = multilines.iter().flat_map(by_width).collect();
    let back = |p: Xy| [p[0] * k - middle[0], p[1] * k - middle[1]];
    let doors: Vec<Segment> =
        c.doors.iter().map(|g| Segment { a: back(g.a), b: back(g.b) }).collect();
    let own = own_thicknesses(&kept.iter().map(|i| lines[*i]).collect::<Vec<_>>());
    let pass = |groups: &[Vec<usize>], sure: &Sure<'_>| {
        judged(&lines, groups, sure, &layer_of, &own, watch)
    };
    // Each layer by itself first: the outline of a slab beside a wall's face is no wall.
    let mut by_layer: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    for i in &kept {
        by_layer.entry(layer_of(*i)).or_default().push(*i);
    }
    let mut groups: Vec<Vec<usize>> = by_layer.into_values().collect();
    let sure = Sure { wide: &wide, strokes: &[], lone: &[] };
    let mut walls = pass(&groups, &sure);
    let mut layers = wall_layers(&walls, &lines, &layer_of);
    let rest: Vec<usize> =
        kept.iter().copied().filter(|i| layers.contains(&layer_of(*i))).collect();
    let rest = vec![rest];
    let across = pass(&rest, &sure);
    if weight(&across) >= weight(&walls) * 0.95 {
        (walls, groups) = (across, rest);
    } else {
        groups.retain(|own| own.first().is_some_and(|i| layers.contains(&layer_of(*i))));
        walls.retain(|s| s.wall.lines.iter().all(|i| layers.contains(&layer_of(*i))));
    }
    if weight(&walls) < NO_WALLS_IN {
        // Faces may be on layers of their own.
        let all = vec![kept.clone()];
        let all_together = pass(&all, &sure);
        if weight(&all_together) > weight(&walls) {
            layers = wall_layers(&all_together, &lines, &layer_of);
            (walls, groups) = (all_together, all);
        }
    }
    // A polyline drawn as wide as a wall may be one by itself.
    let drawn_width = |i: usize| if is_multiline(&i) { 0.0 } else { width_of(i) };
    let among = Among { lines: &lines, width_of: &drawn_width, doors: &doors };
    let strokes = among.strokes(&kept, &walls);
    let mut found: Vec<FoundWall> = Vec::new();
    if !strokes.is_empty() {
        let bare = pass(&without(&groups, &strokes.iter().copied().collect()), &sure);
        found = among.walls(&strokes, &bare);
    }
    if !found.is_empty() {
        let taken: BTreeSet<usize> = found.iter().flat_map(|w| &w.lines).copied().collect();
        let others = without(&groups, &taken);
        let with_them = pass(&others, &Sure { strokes: &found, ..sure });
        match weight(&with_them) > weight(&walls) {
            true => {
                layers.extend(wall_layers(&with_them, &lines, &layer_of));
                (walls, groups) = (with_them, others);
            }
            false => found.clear(),
        }
    }
    let singles = match weight(&walls) < NO_WALLS_IN {
        true => crate::singles::find(&lines, &kept, &layer_of),
        false => None,
    };
    let are_singles = singles.is_some();
    match singles {
        Some(lines) => {
            (walls, layers) = lines;
            found.clear();
        }
        None => {
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
                let sure = Sure { wide: &wide, strokes: &found, lone: &lone };
                walls = with_lone_lines(pass(&groups, &sure), &plan);
            }
            reach_wide(&mut walls, &found);
        }
    }
    doubt_directions(&mut walls);
    let told = match are_singles {
        true => BTreeSet::new(),
        false => among.filled(&kept, &walls),
    };
    Network {
        told,
        shapes: all.iter().filter_map(|i| c.shapes.get(*i)).copied().collect(),
        lines,
        middle,
        walls,
        layers,
        strokes: found.iter().filter_map(|w| w.lines.first()).copied().collect(),
        singles: are_singles,
    }
}

/// Which lines are part of a row at even steps, each layer by itself: beams over a wall are no row with it.
fn rows(lines: &[Segment], layer_of: &dyn Fn(usize) -> u32, watch: &Watch) -> Vec<bool> {
    let mut by_layer: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    for i in 0..lines.len() {
        by_layer.entry(layer_of(i)).or_default().push(i);
    }
    let mut out = vec![false; lines.len()];
    for own in by_layer.values() {
        let some: Vec<Segment> = own.iter().filter_map(|i| lines.get(*i)).copied().collect();
        let mut marks = vec![false; some.len()];
        mark_repeats(&families(&some), &mut marks, watch);
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

/// Walls that need no pairing.
#[derive(Clone, Copy)]
struct Sure<'a> {
    /// Multilines.
    wide: &'a [FoundWall],
    /// Polylines as wide as the wall.
    strokes: &'a [FoundWall],
    /// Single lines; they hold the others together, and do not come out.
    lone: &'a [FoundWall],
}

/// Groups of lines without some.
fn without(groups: &[Vec<usize>], taken: &BTreeSet<usize>) -> Vec<Vec<usize>> {
    let rest = |own: &Vec<usize>| own.iter().copied().filter(|i| !taken.contains(i)).collect();
    groups.iter().map(rest).collect()
}

/// Pairs each group of lines by itself and judges all that comes out, with what is sure. Numbers in the walls
/// are those of `lines`.
fn judged(
    lines: &[Segment],
    groups: &[Vec<usize>],
    sure: &Sure<'_>,
    layer_of: &dyn Fn(usize) -> u32,
    own: &[f64],
    watch: &Watch,
) -> Vec<Scored> {
    let known = |d: f64| d <= THICKEST_TOLD_IN && drawn_section(d, false).is_some();
    let common = |d: f64| own.iter().any(|o| (o - d).abs() <= 1.0 / 16.0);
    // Thick walls are not paired more readily for being many: gaps between beams recur as well.
    let believed = |d: f64| known(d) || (d <= FACES_IN[1] * 1.001 && common(d));
    let thin = |d: f64| is_thin(d, false) && !common(d);
    let thickness = Thickness {
        least: FACES_IN[0],
        greatest: THICKEST_FACES_IN,
        framed: FACES_IN[1],
        known: &believed,
        thin: &thin,
    };
    let mut used = vec![0.0; lines.len()];
    let mut walls = [sure.wide, sure.strokes].concat();
    for i in walls.iter().flat_map(|w| &w.lines) {
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
    let evidence =
        Evidence { lines, layers: &layers, used: &used, known: &known, common: &common, watch };
    let own = walls.len();
    walls.extend_from_slice(sure.lone);
    let mut out = score(walls, &evidence);
    out.truncate(own);
    doubt_widths(&mut out, &sure.strokes.iter().filter_map(|w| w.lines.first()).copied().collect());
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
