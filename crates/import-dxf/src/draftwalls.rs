//! From wall lines with the doors and windows on them to the draft of walls.
//!
//! Knows: which lines a door or window joins, what names a gap, where an opening begins. Never touches: how lines,
//! gaps and symbols are found.

use crate::account::{Fate, Reason};
use crate::affine::{Xy, dot, norm, sub};
use crate::carryon::{Beside, beside};
use crate::centrelines::SHORTEST_IN;
use crate::glass::PaneTally;
use crate::linework::Segment;
use crate::nearby::LineIndex;
use crate::openingnotes::{carried_on, panes_findings, told_otherwise, unhosted};
use crate::openings::{HostLine, Hosted, Symbol, Told, group_touching, host, root, unite};
use crate::report::Placed;
use crate::seamnotes::SeamTally;
use crate::seams::spread;
use crate::survey::{Survey, plural};
use crate::unlayered::not_one;
use crate::walls::{Spec, WallLine, in_inches};
use diag::codes::dxf;
use diag::words::was;
use diag::{Finding, SourceRef};
use settings::Settings;
use std::collections::BTreeMap;
use wall_model::{DraftOpening, DraftWall, OpeningKind};

/// Lays the openings on the lines, joins what they join, and drafts the walls.
pub(crate) fn draft_walls(
    s: &mut Survey<'_>,
    k: f64,
    settings: &Settings,
    (walls, storeys): (&[WallLine], &[usize]),
    findings: &mut Vec<Placed>,
) -> Vec<DraftWall> {
    let symbols = crate::sliding::join(symbols_in_inches(s, k), s.watch);
    let mut classes = BTreeMap::new();
    let alike = Alike::of(walls.iter().map(|w| w.spec.thickness_in));
    let mut hosts = Vec::new();
    // Without symbols nobody asks where one may lie.
    let wanted = if symbols.is_empty() { 0 } else { walls.len() };
    for (w, storey) in walls.iter().zip(storeys).take(wanted) {
        let Spec { section, thickness_in, top, roof, exterior, bearing } = w.spec;
        let roof = roof.map(|r| r.entry);
        let next = classes.len() as u32;
        let key = (section, alike.class(thickness_in), top, roof, exterior, bearing, *storey);
        let class = *classes.entry(key).or_insert(next);
        let half = w.spec.thickness_in / 2.0;
        hosts.push(HostLine { line: w.line, half, class, storey: *storey });
    }
    let lines: Vec<Segment> = hosts.iter().map(|h: &HostLine| h.line).collect();
    let index = LineIndex::new(&lines);
    let widest = hosts.iter().map(|h| h.half).fold(0.0, f64::max);
    let symbols = crate::folded::join(symbols, &hosts, (&index, widest), s.watch);
    let snap = settings.graph.snap.to_inches();
    let mut group: Vec<usize> = (0..walls.len()).collect();
    let mut laid: Laid<'_> = BTreeMap::new();
    let mut joined = 0;
    let mut lost: Vec<(&Symbol, bool)> = Vec::new();
    let mut further: Further = BTreeMap::new();
    let mut taken: Vec<&Symbol> = Vec::new();
    let mut seams = SeamTally::default();
    for symbol in &symbols {
        let mut found = host(symbol, &hosts, &index, widest, snap);
        let mut wall_ends = false;
        if found.is_none() {
            match beside(symbol, &hosts, &index, widest, snap) {
                Beside::Bridged(on) => {
                    further.entry(on.host).or_default().push(on.end);
                    let (host, from, to) = (on.host, on.from, on.to);
                    found = Some(Hosted { host, joined: None, from, to, span: [from, to] });
                }
                Beside::WallEnds => wall_ends = true,
                Beside::Nothing => {}
            }
        }
        for i in &symbol.shapes {
            s.fates[*i] = match &found {
                Some(_) => Fate::Used,
                // A plan by shape may have taken a line of a window for a wall's.
                None if s.fates.get(*i) == Some(&Fate::Used) => Fate::Used,
                None if symbol.told != Told::Layer => not_one(s, *i),
                None if walls.is_empty() => Fate::Left(Reason::NoWalls),
                None => Fate::Left(Reason::Unhosted),
            };
        }
        let Some(h) = found else {
            let is_said = |i: &usize| s.fates.get(*i) == Some(&Fate::Left(Reason::Unhosted));
            if symbol.told == Told::Layer || wall_ends || symbol.shapes.iter().any(is_said) {
                lost.push((symbol, wall_ends));
            }
            continue;
        };
        if symbol.told != Told::Layer {
            taken.push(symbol);
        }
        if let Some(other) = h.joined
            && root(&mut group, h.host) != root(&mut group, other)
        {
            unite(&mut group, h.host, other);
            joined += 1;
        }
        let spread = spread(&h, &hosts, &index, widest, snap);
        spread.joined.iter().for_each(|other| unite(&mut group, h.host, *other));
        let [from, to] = spread.whole;
        laid.entry(h.host).or_default().push((from, to, symbol));
        for (other, [from, to]) in &spread.parts {
            laid.entry(*other).or_default().push((*from, *to, symbol));
        }
        seams.add(s, symbol, h.host, &spread);
    }
    findings.extend(seams.findings(walls));
    unhosted(s, k, &lost, walls.is_empty(), findings);
    findings.extend(carried_on(&further));
    findings.extend(told_otherwise(s, &taken));
    if joined > 0 {
        findings.push(
            Finding::new(
                dxf::OPENINGS_JOINED,
                format!("{joined} {} between wall lines with a door or window in them {} closed: one wall with an opening each.", plural(joined, "gap"), was(joined as usize)),
            )
            .into(),
        );
    }
    let mut members: Vec<(usize, usize)> =
        (0..walls.len()).map(|i| (root(&mut group, i), i)).collect();
    members.sort_unstable();
    let mut out = Vec::with_capacity(walls.len());
    let mut panes = PaneTally::default();
    let mut unnamed: Vec<(u32, u32)> = Vec::with_capacity(walls.len());
    for together in members.chunk_by(|a, b| a.0 == b.0) {
        let wall = out.len() as u32;
        let lines = together.iter().filter_map(|m| walls.get(m.1));
        unnamed.extend(lines.flat_map(|w| &w.shapes).map(|shape| (*shape as u32, wall)));
        out.extend(one_wall(s, (walls, storeys), together, (&laid, &further), &mut panes));
    }
    name_walls(s, unnamed, &mut out);
    findings.extend(panes_findings(s, panes));
    findings.extend(crate::facing::findings(&out));
    out
}

/// Thicknesses of walls that are one and the same: turning a drawing, or rounding it, changes them in their last digits.
struct Alike(Vec<f64>);

/// Thicknesses no farther apart are alike, inches.
const ALIKE_IN: f64 = 1.0 / 32.0;

impl Alike {
    fn of(thicknesses: impl Iterator<Item = f64>) -> Alike {
        let mut all: Vec<f64> = thicknesses.collect();
        all.sort_by(f64::total_cmp);
        // The least of each run of thicknesses without a step between.
        let mut last = f64::NEG_INFINITY;
        all.retain(|t| {
            let begins = *t - last > ALIKE_IN;
            last = *t;
            begins
        });
        Alike(all)
    }
    /// The same number for thicknesses that are alike.
    fn class(&self, thickness: f64) -> usize {
        self.0.partition_point(|least| *least <= thickness)
    }
}

/// The symbols laid on each wall line: from where to where.
type Laid<'a> = BTreeMap<usize, Vec<(Xy, Xy, &'a Symbol)>>;

/// Where wall lines end that go on through a door or window at their end.
type Further = BTreeMap<usize, Vec<Xy>>;

/// One wall of the lines in one group, each the second of its pair; without the entities it was made of.
fn one_wall(
    s: &Survey<'_>,
    (walls, storeys): (&[WallLine], &[usize]),
    members: &[(usize, usize)],
    (laid, further): (&Laid<'_>, &Further),
    told: &mut PaneTally,
) -> Option<DraftWall> {
    let members = || members.iter().map(|m| m.1);
    let lines = || members().filter_map(|i| walls.get(i));
    let first = lines().next()?;
    let along = sub(first.line.b, first.line.a);
    let far = |p: &Xy| dot(sub(*p, first.line.a), along);
    let beyond = || members().filter_map(|i| further.get(&i)).flatten().copied();
    let ends = || lines().flat_map(|w| [w.line.a, w.line.b]).chain(beyond());
    let start = ends().min_by(|p, q| far(p).total_cmp(&far(q)))?;
    let end = ends().max_by(|p, q| far(p).total_cmp(&far(q)))?;
    let length = norm(sub(end, start));
    let dir = [(end[0] - start[0]) / length, (end[1] - start[1]) / length];
    let mut openings = Vec::new();
    for (from, to, symbol) in members().filter_map(|i| laid.get(&i)).flatten() {
        let at = |p: &Xy| dot(sub(*p, start), dir).clamp(0.0, length);
        let mut source: Vec<SourceRef> = symbol.shapes.iter().map(|i| s.source(*i)).collect();
        source.sort();
        openings.push(DraftOpening { kind: symbol.kind, from_in: at(from), to_in: at(to), source });
    }
    let mut openings = crate::sameopening::together(openings);
    let gaps = lines().flat_map(|w| &w.gaps).map(|g| g.map(|p| dot(sub(p, start), dir)));
    lay_gaps(&mut openings, gaps.map(|g| [g[0].min(g[1]), g[0].max(g[1])]).collect());
    for w in lines() {
        lay_panes(s, w, &|p| dot(sub(p, start), dir), &mut openings, told);
    }
    let spec = first.spec;
    Some(DraftWall {
        storey: members().next().and_then(|i| storeys.get(i)).copied().unwrap_or(0),
        start_in: (start[0], start[1]),
        end_in: (end[0], end[1]),
        drawn_thickness_in: spec.thickness_in,
        section: spec.section,
        base_in: 0.0,
        top_in: spec.top.to_inches(),
        rise_in: 0.0,
        roof: spec.roof,
        exterior: spec.exterior,
        bearing: spec.bearing,
        openings,
        source: Vec::new(),
    })
}

/// Says which entities each wall was made of, from pairs of a shape and the wall it is in: looked up in the order of
/// the shapes, which is that of the file.
fn name_walls(s: &Survey<'_>, mut unnamed: Vec<(u32, u32)>, walls: &mut [DraftWall]) {
    unnamed.sort_unstable();
    unnamed.dedup();
    for (shape, wall) in unnamed {
        if let Some(wall) = walls.get_mut(wall as usize) {
            wall.source.push(s.source(shape as usize));
        }
    }
    for wall in walls.iter_mut().filter(|w| w.source.len() > 1) {
        wall.source.sort();
        wall.source.dedup();
    }
}

/// A gap in a wall's faces is an opening of its own, or the place of the symbols that are mostly in it:
/// the gap says where the wall stops better than the symbol does.
fn lay_gaps(openings: &mut Vec<DraftOpening>, gaps: Vec<[f64; 2]>) {
    for [from, to] in gaps {
        let inside = |o: &DraftOpening| {
            let (a, b) = (o.from_in.min(o.to_in), o.from_in.max(o.to_in));
            b.min(to) - a.max(from) >= (b - a) / 2.0
        };
        let (inner, rest): (Vec<_>, Vec<_>) = openings.drain(..).partition(inside);
        *openings = rest;
        // The widest symbol names it; the others are its parts.
        let width = |o: &DraftOpening| ((o.to_in - o.from_in).abs() * 64.0).round() as i64;
        let widest = inner.iter().max_by(|a, b| {
            width(a)
                .cmp(&width(b))
                .then_with(|| b.kind.cmp(&a.kind))
                .then_with(|| b.source.cmp(&a.source))
        });
        let kind = widest.map_or(OpeningKind::Opening, |o| o.kind);
        let mut source: Vec<SourceRef> = inner.into_iter().flat_map(|o| o.source).collect();
        source.sort();
        source.dedup();
        openings.push(DraftOpening { kind, from_in: from, to_in: to, source });
    }
}

/// Glass between jambs is a window, or makes one of a gap that nothing else names.
fn lay_panes(
    s: &Survey<'_>,
    w: &WallLine,
    station: &dyn Fn(Xy) -> f64,
    openings: &mut Vec<DraftOpening>,
    told: &mut PaneTally,
) {
    if w.panes.is_empty() {
        return;
    }
    // The same whatever the order of entities in the file.
    let shape = w.shapes.iter().copied().min_by_key(|i| s.source(*i)).unwrap_or(usize::MAX);
    for pane in &w.panes {
        let [p, q] = pane.jambs.map(station);
        let [from, to] = [p.min(q), p.max(q)];
        let over =
            |o: &DraftOpening| o.from_in.max(o.to_in).min(to) - o.from_in.min(o.to_in).max(from);
        let there = openings.iter_mut().max_by(|a, b| over(a).total_cmp(&over(b)));
        let layer = s.drawing.lines.shapes.get(shape).map_or(0, |x| x.layer);
        let layer = pane.layer.unwrap_or(layer);
        match there.filter(|o| over(o) > SHORTEST_IN) {
            Some(o) if pane.glass && o.kind == OpeningKind::Opening && o.source.is_empty() => {
                o.kind = OpeningKind::Window;
            }
            Some(_) => continue,
            None if pane.glass => openings.push(DraftOpening {
                kind: OpeningKind::Window,
                from_in: from,
                to_in: to,
                source: Vec::new(),
            }),
            None => {}
        }
        told.add(layer, pane, s.source(shape));
    }
}

/// The symbols in inches, loose pieces that touch put together.
fn symbols_in_inches(s: &Survey<'_>, k: f64) -> Vec<Symbol> {
    let map = crate::affine::Affine::scale(k, k);
    let scaled = |x: &Symbol| Symbol {
        segments: x.segments.iter().map(|g| in_inches(*g, k)).collect(),
        arcs: x.arcs.iter().map(|a| a.mapped(&map)).collect(),
        ..x.clone()
    };
    let all: Vec<Symbol> = s.symbols.iter().map(scaled).collect();
    let (whole, loose) = all.split_at(s.whole_symbols.min(all.len()));
    let mut out = whole.to_vec();
    out.extend(group_touching(loose.to_vec()));
    out
}
