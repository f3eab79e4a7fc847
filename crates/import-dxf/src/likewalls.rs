//! Layers of unknown use whose lines join the walls of the recognised layers: walls that would be missing.
//!
//! Knows: which lines of such a layer are pairs at a wall's thickness or single lines that close the network of
//! walls. Never touches: walls themselves; nothing found here is planned. All in inches.
//!
//! Better silent than crying wolf: symbols, rows at even steps and lines along a wall do not count, both ends of
//! what counts meet walls or each other, and it is most of what its layer holds.

use crate::affine::{Xy, sub};
use crate::candidates::candidates;
use crate::facelines::families;
use crate::faces::partners;
use crate::facewalls::pair_faces;
use crate::inspect::toml_string;
use crate::linework::{Segment, sine_between};
use crate::lonechains::length;
use crate::nearby::LineIndex;
use crate::network::{HELD_IN, distance};
use crate::repeats::mark_repeats;
use crate::survey::{Survey, plural};
use crate::walls::{WallLine, in_inches};
use diag::Finding;
use diag::codes::dxf;
use std::collections::BTreeMap;

/// Inserts no larger than this are symbols, inches.
const SYMBOL_IN: f64 = 120.0;
/// Shorter single lines are no walls, inches.
const SHORTEST_IN: f64 = 36.0;
/// Nothing runs beside a wall drawn as one line within this, inches.
const BESIDE_IN: f64 = 37.0;
/// Least share of a layer's length that its pairs bound, or its single walls make.
const SHARE: [f64; 2] = [0.5, 0.6];
/// Least length of such walls, inches.
const LEAST_IN: f64 = 60.0;
/// Ends that join the recognised walls.
const JOINTS: usize = 2;

/// Something like a wall: its axis and half its thickness.
type Like = (Segment, f64);

/// A warning for each layer that is not used but looks like part of the walls.
pub(crate) fn layers_like_walls(
    s: &Survey<'_>,
    k: f64,
    metric: bool,
    walls: &[WallLine],
) -> Vec<Finding> {
    if s.unnamed.is_some() || walls.is_empty() {
        return Vec::new();
    }
    let found = candidates(&s.drawing, &s.roles, &s.fates);
    if found.too_many {
        return Vec::new();
    }
    let mut by_layer: BTreeMap<u32, Vec<Segment>> = BTreeMap::new();
    for ((g, layer), symbol) in found.lines.iter().zip(&found.layers).zip(&found.symbol) {
        if symbol * k > SYMBOL_IN {
            by_layer.entry(*layer).or_default().push(in_inches(*g, k));
        }
    }
    if by_layer.is_empty() {
        return Vec::new();
    }
    let known: Vec<Like> = walls.iter().map(|w| (w.line, w.spec.thickness_in / 2.0)).collect();
    let net = Net::of(&known);
    let mut out = Vec::new();
    for (layer, lines) in by_layer {
        if s.watch.is_over() {
            break;
        }
        let Some((like, pairs)) = of_layer(s, &lines, metric, &net) else { continue };
        let name = s.drawing.layer_name(layer);
        let long: f64 = like.iter().map(|l| length(&l.0)).sum();
        let n = like.len() as u64;
        let (what, each) = match pairs {
            true => ("pair", "of lines at a wall's thickness"),
            false => ("single line", "with nothing beside"),
        };
        let message = format!(
            "Layer {name} is not used, but looks like walls: {n} {} {each}, {:.0} ft in all, {} ends meet the \
             walls of the layers that are used or each other. If they are walls, they are missing. Put this \
             in the settings: [[layers]] match = {}, use = \"wall\"; or use = \"ignore\" to say that they are \
             none.",
            plural(n, what),
            long / 12.0,
            if n == 1 { "whose" } else { "their" },
            toml_string(name)
        );
        out.push(Finding::new(dxf::LAYER_LIKE_WALLS, message).about(name));
    }
    out
}

/// Walls, and what is near a place among them.
struct Net<'a> {
    walls: &'a [Like],
    index: LineIndex,
    thickest: f64,
}

impl Net<'_> {
    fn of(walls: &[Like]) -> Net<'_> {
        let axes: Vec<Segment> = walls.iter().map(|w| w.0).collect();
        let thickest = walls.iter().map(|w| w.1).fold(0.0, f64::max);
        Net { walls, index: LineIndex::new(&axes), thickest }
    }
    /// Whether the end of something meets a wall that runs another way.
    fn meets(&self, (g, half): &Like, p: Xy) -> bool {
        let near = self.index.near(&[p], self.thickest + half + HELD_IN);
        near.into_iter().filter_map(|j| self.walls.get(j as usize)).any(|w| meet((g, *half), p, w))
    }
    /// Whether a wall runs along most of a line, as beside a counter or the outline of a room.
    fn runs_along(&self, g: &Segment) -> bool {
        let long = length(g).max(1e-9);
        let along = sub(g.b, g.a);
        let dir = [along[0] / long, along[1] / long];
        let mut spans = Vec::new();
        for j in self.index.near_line(g, BESIDE_IN) {
            let Some((o, _)) = self.walls.get(j as usize) else { continue };
            let at = |p: Xy| {
                let d = sub(p, g.a);
                (d[0] * dir[0] + d[1] * dir[1], d[1] * dir[0] - d[0] * dir[1])
            };
            let (a, b) = (at(o.a), at(o.b));
            if sine_between(along, sub(o.b, o.a)) <= 0.1 && (a.1 + b.1).abs() / 2.0 <= BESIDE_IN {
                let span = [a.0.min(b.0).max(0.0), a.0.max(b.0).min(long)];
                spans.extend((span[1] > span[0]).then_some(span));
            }
        }
        crate::pairing::union_length(spans) > long * 0.3
    }
}

/// Whether the end of one lies on another that runs another way.
fn meet((g, half): (&Segment, f64), p: Xy, (o, thick): &Like) -> bool {
    sine_between(sub(g.b, g.a), sub(o.b, o.a)) > 0.1 && distance(o, p) <= thick + half + HELD_IN
}

/// What is like a wall on a layer, and whether it is drawn as pairs; none when it is not most of the layer or
/// does not join the walls.
fn of_layer(
    s: &Survey<'_>,
    lines: &[Segment],
    metric: bool,
    net: &Net<'_>,
) -> Option<(Vec<Like>, bool)> {
    let whole: f64 = lines.iter().map(length).sum();
    let mut rows = vec![false; lines.len()];
    mark_repeats(&families(lines), &mut rows, s.watch);
    let lines: Vec<Segment> =
        lines.iter().zip(rows).filter(|(_, row)| !row).map(|(g, _)| *g).collect();
    let paired = pair_faces(&lines, metric, s.watch);
    let bound: f64 = paired.used.iter().sum();
    let pairs = bound >= whole * SHARE[0];
    let mut like: Vec<Like> = if pairs {
        paired.walls.iter().map(|w| (w.line, w.overall / 2.0)).collect()
    } else {
        let beside = partners(&lines, &LineIndex::new(&lines), 0.1, BESIDE_IN, s.watch);
        let free = lines.iter().zip(&beside).filter(|(g, p)| {
            length(g) >= SHORTEST_IN && p.covered <= p.length * 0.3 && !net.runs_along(g)
        });
        free.map(|(g, _)| (*g, 0.0)).collect()
    };
    loop {
        let here = Net::of(&like);
        let is_held =
            |l: &Like| [l.0.a, l.0.b].iter().all(|p| net.meets(l, *p) || here.meets(l, *p));
        let held: Vec<Like> = like.iter().filter(|l| is_held(l)).copied().collect();
        if held.len() == like.len() {
            break;
        }
        like = held;
    }
    let long: f64 = like.iter().map(|l| length(&l.0)).sum();
    let most = pairs || long >= whole * SHARE[1];
    if !most || long < LEAST_IN {
        return None;
    }
    let here = Net::of(&like);
    let ends =
        |l: &Like, of: &Net<'_>| [l.0.a, l.0.b].into_iter().filter(|p| of.meets(l, *p)).count();
    let joints: usize = like.iter().map(|l| ends(l, net)).sum::<usize>()
        + net.walls.iter().map(|w| ends(w, &here)).sum::<usize>();
    (joints >= JOINTS).then_some((like, pairs))
}
