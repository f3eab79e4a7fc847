//! From walls found by their shape to wall lines, and what is said about them.
//!
//! Knows: when a drawing is read by shape, the unit that makes most sense of it, which walls are
//! believed, the finding that asks for a look. Never touches: how walls are found (`unnamed`) or judged
//! (`confidence`).

use crate::account::{Fate, Reason};
use crate::affine::{norm, sub};
use crate::candidates::{Candidates, candidates};
use crate::centrelines::single_wall;
use crate::confidence::{LEAST, SURE, Scored};
use crate::doors::{self, Door};
use crate::facewalls::wall_line;
use crate::file::DxfFile;
use crate::flatten::Drawing;
use crate::inspect::toml_string;
use crate::layernotes::SectionDoubts;
use crate::layers::{LayerRole, Usage};
use crate::linework::{Segment, State};
use crate::report::{NAMED, Placed};
use crate::survey::{Survey, plural};
use crate::units::{Measure, insunits};
use crate::unitwords::size;
use crate::unlayered::small_parts;
use crate::unnamed::{Network, find};
use crate::walls::{POLYLINE_WIDTH_IN, THICKEST_TOLD_IN, WallLine};
use diag::codes::dxf;
use diag::{Finding, Severity};
use limits::Watch;
use settings::{LayerUse, Settings};
use std::collections::BTreeMap;

/// Walls for this length, inches, are enough to believe the stated unit.
const ENOUGH_IN: f64 = 480.0;

/// Nothing smaller than this is the plan of a building, inches.
const SMALLEST_IN: f64 = 36.0;

/// A drawing without a layer that is known to hold walls.
pub(crate) struct Unnamed {
    /// Lines that may be walls.
    pub candidates: Candidates,
    /// Doors by their shape, drawing units.
    pub doors: Vec<Door>,
    /// What was found in the unit that makes most sense of it.
    pub network: Network,
    /// Inches in that unit.
    pub inches: f64,
}

/// One wall found by its shape, for `inspect`.
#[derive(Clone, Debug)]
pub struct WallByShape {
    /// Layer of most of its faces.
    pub layer: String,
    /// Centreline in drawing units.
    pub from: [f64; 2],
    /// Centreline in drawing units.
    pub to: [f64; 2],
    /// Distance of its faces, inches; 0 for a single line.
    pub thickness_in: f64,
    /// How sure it is that this is a wall, 0 to 1.
    pub confidence: f64,
    /// Whether it is planned.
    pub believed: bool,
    /// Entities, by handle.
    pub entities: Vec<String>,
}

/// Looks for walls by shape, if nothing else says where they are.
pub(crate) fn look(
    file: &DxfFile<'_>,
    drawing: &Drawing,
    roles: &[LayerRole],
    fates: &[Fate],
    settings: &Settings,
    watch: &Watch,
) -> Option<Unnamed> {
    let is_wall = |layer: u32| roles.get(layer as usize).is_some_and(|r| r.usage == Usage::Wall);
    // A frame or a note on such a layer in paper space is no wall.
    let in_model = |state: State| !matches!(state, State::Paper | State::Stray);
    let named = drawing.lines.shapes.iter().any(|s| is_wall(s.layer))
        || drawing.lines.others.keys().any(|k| is_wall(k.1) && in_model(k.2))
        || drawing.proxies.keys().any(|k| is_wall(k.1))
        || settings.layers.iter().any(|r| r.usage == LayerUse::Wall);
    if named {
        return None;
    }
    let mut candidates = candidates(drawing, roles, fates);
    if candidates.lines.is_empty() || candidates.too_many {
        return None;
    }
    let usable = |i: usize| {
        fates.get(i) == Some(&Fate::Left(Reason::NotUsed))
            && drawing.lines.shapes.get(i).is_some_and(|s| s.is_line())
    };
    let doors = doors::find(drawing, &usable);
    candidates.doors = doors.iter().flat_map(|d| d.symbol.shut_leaves()).collect();
    // A leaf beside a corner runs along a wall, no farther off than that wall's other face.
    let leaf =
        |d: &Door| small_parts(drawing, d).into_iter().map(|i| (i, d.radius)).collect::<Vec<_>>();
    candidates.leaves = doors.iter().flat_map(leaf).collect();
    let stated = settings
        .units
        .map(geom::Unit::inches)
        .or_else(|| insunits(file.header.insunits.unwrap_or(0)).map(|u| u.1));
    // In a unit in which the drawing is no larger than a door all of it would be within a wall's reach.
    let size = candidates.size();
    let could_be = |k: &f64| size * k >= SMALLEST_IN;
    let stated = stated.filter(could_be);
    let mut best: Option<(f64, Network)> = stated.map(|k| (k, find(&candidates, k, watch)));
    let enough = best.as_ref().is_some_and(|b| b.1.own_weight() >= ENOUGH_IN);
    if settings.units.is_none() && !enough {
        let others = geom::Unit::ALL.map(geom::Unit::inches).into_iter();
        for k in others.filter(|k| Some(*k) != stated).filter(could_be) {
            let found = find(&candidates, k, watch);
            // Pairs before single lines, then the drawing that is more of a house: as much wall as
            // possible, but no more than a large house of it.
            let rank = |n: &Network| (!n.singles, n.own_weight().min(MOST_IN));
            if best.as_ref().is_none_or(|b| rank(&found) > rank(&b.1)) {
                best = Some((k, found));
            }
        }
    }
    let (inches, network) = best?;
    (!network.walls.is_empty()).then_some(Unnamed { candidates, doors, network, inches })
}

/// More wall than this, half a mile, says nothing more about the unit, inches.
const MOST_IN: f64 = 31_680.0;

impl Unnamed {
    /// The lines of the layers that the walls are on, for the unit to be judged by.
    pub fn measure(&self, mut measure: Measure) -> Measure {
        let c = &self.candidates;
        for (g, layer) in c.lines.iter().zip(&c.layers) {
            if self.network.layers.contains(layer) {
                measure.ends.extend([g.a, g.b]);
            }
        }
        // Faces only: what else is on these layers would hide how well the faces pair up.
        let k = self.inches;
        let m = self.network.middle;
        let n = &self.network;
        let (wide, rest): (Vec<&Scored>, Vec<&Scored>) = n.believed().partition(|s| n.is_stroke(s));
        measure.widths.extend(wide.iter().map(|s| s.wall.thickness / k));
        let two = rest.into_iter().filter(|s| n.singles || !s.is_line());
        let faces = two.flat_map(|s| &s.wall.lines);
        let numbers: std::collections::BTreeSet<usize> = faces.copied().collect();
        let back = |p: [f64; 2]| [(p[0] + m[0]) / k, (p[1] + m[1]) / k];
        for g in numbers.iter().filter_map(|i| self.network.lines.get(*i)) {
            measure.lines.push(Segment { a: back(g.a), b: back(g.b) });
        }
        measure.openings.extend(self.doors.iter().map(|d| d.radius));
        measure
    }
}

/// The walls that are believed, as wall lines; settles the fates of their shapes, and says what was
/// done.
pub(crate) fn shape_walls(
    s: &mut Survey<'_>,
    k: f64,
    metric: bool,
    settings: &Settings,
    doubts: &mut SectionDoubts,
    findings: &mut Vec<Placed>,
) -> Vec<WallLine> {
    let Some(mut unnamed) = s.unnamed.take() else { return Vec::new() };
    if (unnamed.inches - k).abs() > k * 1e-9 {
        unnamed.network = find(&unnamed.candidates, k, s.watch);
        unnamed.inches = k;
    }
    let n = &unnamed.network;
    let mut out = Vec::new();
    let mut fates: BTreeMap<usize, Fate> = BTreeMap::new();
    for scored in &n.walls {
        let fate = match scored.confidence >= LEAST {
            false => Fate::Left(Reason::Doubtful),
            true => {
                let made = if scored.is_line() {
                    single_line(s, n, scored, settings, metric, doubts)
                } else {
                    // As where the layer says wall: the width of a polyline tells the section as far as it
                    // is read as a width.
                    let wide = n.is_stroke(scored);
                    let told_in =
                        if n.is_told(scored) { POLYLINE_WIDTH_IN[1] } else { THICKEST_TOLD_IN };
                    let (found, known) = ((&scored.wall, told_in), (settings, metric));
                    wall_line(s, found, &n.lines, &n.shapes, n.middle, known, doubts)
                        .map(|wall| WallLine { paired: !wide, ..wall })
                };
                let fate = match made {
                    Some(_) => Fate::Used,
                    None => Fate::Left(Reason::NoSection),
                };
                out.extend(made);
                fate
            }
        };
        for shape in scored.wall.lines.iter().filter_map(|i| n.shapes.get(*i)) {
            let slot = fates.entry(*shape).or_insert(fate);
            let rank = |f: &Fate| match f {
                Fate::Used => 0,
                Fate::Left(Reason::NoSection) => 1,
                _ => 2,
            };
            if rank(&fate) < rank(slot) {
                *slot = fate;
            }
        }
    }
    for (shape, fate) in fates {
        if let Some(slot) = s.fates.get_mut(shape) {
            *slot = fate;
        }
    }
    add_doors(s, &unnamed.doors);
    findings.extend(say(s, &unnamed.network));
    s.unnamed = Some(unnamed);
    out
}

/// Doors found by shape become symbols like those of door layers.
fn add_doors(s: &mut Survey<'_>, doors: &[Door]) {
    let mut whole: Vec<_> = Vec::new();
    let mut loose: Vec<_> = Vec::new();
    for d in doors {
        let free = |i: &usize| s.fates.get(*i) == Some(&Fate::Left(Reason::NotUsed));
        if !d.symbol.shapes.iter().all(free) {
            continue;
        }
        for i in &d.symbol.shapes {
            if let Some(slot) = s.fates.get_mut(*i) {
                *slot = Fate::Open;
            }
        }
        match d.insert == crate::linework::NOT_INSERTED {
            true => loose.push(d.symbol.clone()),
            false => whole.push(d.symbol.clone()),
        }
    }
    let at = s.whole_symbols.min(s.symbols.len());
    s.whole_symbols = at + whole.len();
    s.symbols.splice(at..at, whole);
    s.symbols.extend(loose);
}

fn single_line(
    s: &Survey<'_>,
    n: &Network,
    scored: &Scored,
    settings: &Settings,
    metric: bool,
    doubts: &mut SectionDoubts,
) -> Option<WallLine> {
    let shapes: Vec<usize> =
        scored.wall.lines.iter().filter_map(|i| n.shapes.get(*i)).copied().collect();
    let back = |p: [f64; 2]| [p[0] + n.middle[0], p[1] + n.middle[1]];
    let line = Segment { a: back(scored.wall.line.a), b: back(scored.wall.line.b) };
    let wall = single_wall(s, *shapes.first()?, line, (settings, metric), doubts)?;
    let gaps = scored.wall.gaps.iter().map(|g| g.map(back)).collect();
    Some(WallLine { shapes: shapes.into(), gaps, ..wall })
}

fn percent(v: f64) -> i64 {
    (v * 100.0).round() as i64
}

/// `3 walls, 41 ft`.
fn amount(n: usize, inches: f64) -> String {
    format!("{n} {}, {:.0} ft", plural(n as u64, "wall"), inches / 12.0)
}

fn length(w: &Scored) -> f64 {
    norm(sub(w.wall.line.b, w.wall.line.a))
}

/// Walls of one layer: how many, how long, length times confidence.
#[derive(Default)]
struct OfLayer {
    walls: usize,
    length: f64,
    weight: f64,
}

/// What was found by shape, on which layers, how sure it is, and how to make it definite.
fn say(s: &Survey<'_>, n: &Network) -> Vec<Placed> {
    let layer_of = |w: &Scored| {
        let shape = w.wall.lines.first().and_then(|i| n.shapes.get(*i)).copied();
        shape.and_then(|i| s.drawing.lines.shapes.get(i)).map_or(0, |x| x.layer)
    };
    let mut layers: BTreeMap<u32, OfLayer> = BTreeMap::new();
    for w in n.believed() {
        let slot = layers.entry(layer_of(w)).or_default();
        slot.walls += 1;
        slot.length += length(w);
        slot.weight += length(w) * w.confidence;
    }
    let (count, total) = (n.believed().count(), n.believed().map(length).sum::<f64>());
    if count == 0 {
        return vec![none_sure(n)];
    }
    let mean = if total > 0.0 { n.weight() / total } else { 0.0 };
    let mut by_length: Vec<(&u32, &OfLayer)> = layers.iter().collect();
    by_length.sort_by(|a, b| b.1.length.total_cmp(&a.1.length).then(a.0.cmp(b.0)));
    let list: Vec<String> = by_length
        .iter()
        .map(|(l, o)| {
            format!(
                "layer {}: {}, confidence {} %",
                s.drawing.layer_name(**l),
                amount(o.walls, o.length),
                percent(o.weight / o.length.max(1e-9))
            )
        })
        .collect();
    let wide: Vec<&Scored> = n.believed().filter(|w| n.is_stroke(w)).collect();
    let how = match (n.singles, wide.len()) {
        (true, _) => "single lines that meet end to end and close rooms",
        (_, 0) => "pairs of parallel lines at a wall's thickness that join into a network",
        (_, some) if some == n.believed().count() => {
            "polylines as wide as a wall that join into a network"
        }
        _ => {
            "pairs of parallel lines at a wall's thickness, and polylines as wide as a wall, that join \
             into a network"
        }
    };
    let mut message = format!(
        "No layer is known to hold walls, so they were taken by their shape: {how}. {} {} found, \
         confidence {} % on the average ({}).",
        amount(count, total),
        if count == 1 { "was" } else { "were" },
        percent(mean),
        list.join("; ")
    );
    if !wide.is_empty() {
        let long: f64 = wide.iter().map(|w| length(w)).sum();
        message += &format!(
            " {} of them {} drawn as wide polylines: their width is taken for the thickness.",
            amount(wide.len(), long),
            if wide.len() == 1 { "is" } else { "are" }
        );
    }
    let doubtful: Vec<&Scored> = n.walls.iter().filter(|w| w.confidence < LEAST).collect();
    if !doubtful.is_empty() {
        let long: f64 = doubtful.iter().map(|w| length(w)).sum();
        message += &format!(
            " {} more, with confidence under {} %, {} left out.",
            amount(doubtful.len(), long),
            percent(LEAST),
            if doubtful.len() == 1 { "was" } else { "were" }
        );
    }
    if s.symbols.iter().all(|x| x.kind != wall_model::OpeningKind::Window) {
        message += " Windows are found by their shape only where their glass is drawn from jamb to jamb \
                    along the middle of a wall: others are openings only where both faces of a wall stop, or where their layer is mapped \
                    (use = \"window\") or their block is named for them.";
    }
    message += " Compare every wall with the drawing before anything is cut. To settle it, put this in \
                the settings:";
    for (l, _) in &by_length {
        message += &format!(
            " [[layers]] match = {}, use = \"wall\"",
            toml_string(s.drawing.layer_name(**l))
        );
    }
    message += ".";
    let severity = if mean >= SURE { Severity::Warning } else { Severity::Error };
    let mut out: Vec<Placed> =
        vec![Finding::new(dxf::WALLS_BY_SHAPE, message).severity(severity).about("layers").into()];
    let mut unsure: Vec<&Scored> =
        n.believed().filter(|w| w.confidence < SURE && !w.is_line()).collect();
    unsure.sort_by(|a, b| {
        a.confidence.total_cmp(&b.confidence).then(length(b).total_cmp(&length(a))).then(
            a.wall.line.a[0]
                .total_cmp(&b.wall.line.a[0])
                .then(a.wall.line.a[1].total_cmp(&b.wall.line.a[1])),
        )
    });
    out.extend(say_lone(s, n));
    for w in unsure.iter().take(NAMED) {
        let mut sources: Vec<_> =
            w.wall.lines.iter().filter_map(|i| n.shapes.get(*i)).map(|i| s.source(*i)).collect();
        sources.sort();
        sources.dedup();
        let g = &w.wall.line;
        let at = [(g.a[0] + g.b[0]) / 2.0 + n.middle[0], (g.a[1] + g.b[1]) / 2.0 + n.middle[1]];
        let finding = Finding::new(
            dxf::WALL_DOUBTFUL,
            format!(
                "A wall {} long and {} thick was found by its shape on layer {} with confidence {} %; it is \
                 planned. Is it a wall?",
                size(length(w)),
                size(w.wall.thickness),
                s.drawing.layer_name(layer_of(w)),
                percent(w.confidence)
            ),
        )
        .from(&sources);
        out.push(Placed { finding, at_in: Some(at) });
    }
    out
}

/// What there is to say where no wall is sure enough.
fn none_sure(n: &Network) -> Placed {
    let long: f64 = n.walls.iter().map(length).sum();
    let message = format!(
        "No layer is known to hold walls, and nothing that has the shape of walls is sure enough to be planned: {}, \
         with confidence under {} %, {} left out. If a layer holds walls, name it in the settings: [[layers]] \
         match = \"its name\", use = \"wall\".",
        amount(n.walls.len(), long),
        percent(LEAST),
        if n.walls.len() == 1 { "was" } else { "were" }
    );
    Finding::new(dxf::WALLS_BY_SHAPE, message).severity(Severity::Error).about("layers").into()
}

/// Which walls are single lines among walls of two, where that is so.
fn say_lone(s: &Survey<'_>, n: &Network) -> Option<Placed> {
    let mut lone: Vec<&Scored> = n.believed().filter(|w| w.is_line() && !n.singles).collect();
    let place = |w: &Scored| [w.wall.line.a, w.wall.line.b].map(|p| p.map(crate::nearby::ordered));
    lone.sort_by(|a, b| length(b).total_cmp(&length(a)).then(place(a).cmp(&place(b))));
    let longest = lone.first()?;
    let long: f64 = lone.iter().map(|w| length(w)).sum();
    let mut sources: Vec<_> = lone
        .iter()
        .take(NAMED)
        .filter_map(|w| w.wall.lines.first().and_then(|i| n.shapes.get(*i)))
        .map(|i| s.source(*i))
        .collect();
    sources.sort();
    sources.dedup();
    let many = lone.len() > 1;
    let message = format!(
        "Most walls are drawn as two lines, but {} {} drawn as one line each: {} ends meet walls, and nothing \
         runs beside {}. {} taken with confidence {} %, along the line; faces are not drawn, so the section \
         comes from the settings. The longest is {}. Are they walls, not beams or edges?",
        amount(lone.len(), long),
        if many { "are" } else { "is" },
        if many { "their" } else { "its" },
        if many { "them" } else { "it" },
        if many { "They were" } else { "It was" },
        percent(longest.confidence),
        size(length(longest))
    );
    let g = &longest.wall.line;
    let at = [(g.a[0] + g.b[0]) / 2.0 + n.middle[0], (g.a[1] + g.b[1]) / 2.0 + n.middle[1]];
    let finding = Finding::new(dxf::SINGLE_AMONG_FACES, message).from(&sources);
    Some(Placed { finding, at_in: Some(at) })
}

/// The walls found by shape, for `inspect`.
pub(crate) fn listed(s: &Survey<'_>) -> Vec<WallByShape> {
    let Some(u) = &s.unnamed else { return Vec::new() };
    let (n, k) = (&u.network, u.inches);
    let back = |p: [f64; 2]| [(p[0] + n.middle[0]) / k, (p[1] + n.middle[1]) / k];
    n.walls
        .iter()
        .map(|w| {
            let shapes: Vec<usize> =
                w.wall.lines.iter().filter_map(|i| n.shapes.get(*i)).copied().collect();
            let mut entities: Vec<String> = shapes.iter().map(|i| s.source(*i).entity).collect();
            entities.sort();
            entities.dedup();
            WallByShape {
                layer: shapes.first().map(|i| s.source(*i).layer).unwrap_or_default(),
                from: back(w.wall.line.a),
                to: back(w.wall.line.b),
                thickness_in: w.wall.thickness,
                confidence: w.confidence,
                believed: w.confidence >= LEAST,
                entities,
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::Dxf;
    use crate::tests::ok;

    fn lines(all: &[[f64; 4]]) -> Dxf {
        all.iter().fold(Dxf::inches(), |d, [a, b, x, y]| d.line("0", [*a, *b], [*x, *y]))
    }
    fn swing(d: Dxf, hinge: [f64; 2], radius: f64, from: f64) -> Dxf {
        let to = from + 90.0;
        let tags = [(10, hinge[0]), (20, hinge[1]), (40, radius), (50, from), (51, to)];
        d.entity("ARC", "0", &tags)
    }

    /// Walls, openings as kind and width, and errors.
    type Read = (usize, Vec<(wall_model::OpeningKind, f64)>, usize);
    fn found(d: &Dxf) -> Read {
        let o = ok(d);
        let all = o.value.walls.iter().flat_map(|w| &w.openings);
        let mut openings: Vec<_> = all.map(|o| (o.kind, (o.to - o.from).to_inches())).collect();
        openings.sort_by(|a, b| a.1.total_cmp(&b.1));
        let errors = o.findings.iter().filter(|f| f.severity == Severity::Error);
        (o.value.walls.len(), openings, errors.count())
    }

    /// A partition ends at the right-hand outer wall beside a window; its door hard against that wall, but for a stub,
    /// stands open along the glass.
    #[test]
    fn a_leaf_beside_a_window_is_no_face() {
        use wall_model::OpeningKind::{Door, Window};
        for stub in [3.5, 4.25, 4.5] {
            let (hinge, latch) = (474.5 - stub, 450.5 - stub);
            let d = lines(&[
                [0.0, 0.0, 480.0, 0.0],
                [480.0, 0.0, 480.0, 97.0],
                [480.0, 169.0, 480.0, 360.0],
                [480.0, 360.0, 0.0, 360.0],
                [0.0, 360.0, 0.0, 0.0],
                [5.5, 5.5, 474.5, 5.5],
                [474.5, 5.5, 474.5, 89.5],
                [474.5, 93.0, 474.5, 97.0],
                [474.5, 169.0, 474.5, 354.5],
                [474.5, 354.5, 5.5, 354.5],
                [5.5, 354.5, 5.5, 5.5],
                // The window.
                [474.5, 97.0, 480.0, 97.0],
                [474.5, 169.0, 480.0, 169.0],
                [474.5, 97.0, 474.5, 169.0],
                [477.25, 97.0, 477.25, 169.0],
                [480.0, 97.0, 480.0, 169.0],
                // The partition and its stub.
                [5.5, 89.5, latch, 89.5],
                [5.5, 93.0, latch, 93.0],
                [hinge, 89.5, 474.5, 89.5],
                [hinge, 93.0, 474.5, 93.0],
                [latch, 89.5, latch, 93.0],
                [hinge, 89.5, hinge, 93.0],
                // The leaf.
                [hinge, 93.0, hinge, 117.0],
            ]);
            let want = (5, vec![(Door, 24.0), (Window, 72.0)], 0);
            assert_eq!(found(&swing(d, [hinge, 93.0], 24.0, 90.0)), want, "{stub}");
        }
    }

    /// The leaf of an outer door stands open 18 in beside a partition that is drawn with its finish.
    #[test]
    fn a_leaf_beside_a_partition_is_no_face() {
        use wall_model::OpeningKind::Door;
        let d = lines(&[
            [0.0, 0.0, 200.0, 0.0],
            [236.0, 0.0, 480.0, 0.0],
            [480.0, 0.0, 480.0, 360.0],
            [480.0, 360.0, 0.0, 360.0],
            [0.0, 360.0, 0.0, 0.0],
            [5.5, 5.5, 178.0, 5.5],
            [181.5, 5.5, 200.0, 5.5],
            [236.0, 5.5, 474.5, 5.5],
            [474.5, 5.5, 474.5, 354.5],
            [474.5, 354.5, 181.5, 354.5],
            [178.0, 354.5, 5.5, 354.5],
            [5.5, 354.5, 5.5, 5.5],
            [200.0, 0.0, 200.0, 5.5],
            [236.0, 0.0, 236.0, 5.5],
            // The partition.
            [178.0, 5.5, 178.0, 42.0],
            [181.5, 5.5, 181.5, 42.0],
            [178.0, 74.0, 178.0, 354.5],
            [181.5, 74.0, 181.5, 354.5],
            [178.0, 42.0, 181.5, 42.0],
            [178.0, 74.0, 181.5, 74.0],
            // The finish.
            [177.5, 6.0, 177.5, 42.0],
            [182.0, 6.0, 182.0, 42.0],
            [177.5, 74.0, 177.5, 354.0],
            [182.0, 74.0, 182.0, 354.0],
            [6.0, 6.0, 177.5, 6.0],
            [182.0, 6.0, 200.0, 6.0],
            [236.0, 6.0, 474.0, 6.0],
            [474.0, 6.0, 474.0, 354.0],
            [474.0, 354.0, 182.0, 354.0],
            [177.5, 354.0, 6.0, 354.0],
            [6.0, 354.0, 6.0, 6.0],
            // Both leaves.
            [200.0, 5.5, 200.0, 41.5],
            [181.5, 42.0, 213.5, 42.0],
        ]);
        let d = swing(swing(d, [200.0, 5.5], 36.0, 0.0), [181.5, 42.0], 32.0, 0.0);
        assert_eq!(found(&d), (5, vec![(Door, 32.0), (Door, 36.0)], 0));
    }

    #[test]
    fn a_stray_does_not_make_a_drawing_large() {
        let mut lines: Vec<Segment> =
            (0..100).map(|k| Segment { a: [f64::from(k), 0.0], b: [f64::from(k), 50.0] }).collect();
        lines.push(Segment { a: [1e6, 0.0], b: [1e6, 1.0] });
        let size = Candidates { lines, ..Candidates::default() }.size();
        assert!((90.0..=100.0).contains(&size), "{size}");
        assert_eq!(Candidates::default().size(), 0.0);
    }
}
