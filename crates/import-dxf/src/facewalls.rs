//! Walls of the layers whose walls are drawn as pairs of face lines.
//!
//! Knows: which layers these are, the section of each wall found, what becomes of their entities.
//! Never touches: how faces are paired (`pairing`), openings drawn as symbols.

use crate::account::{Fate, Reason};
use crate::affine::{Xy, norm, sixty_fourths, sub};
use crate::centrelines::{
    SectionSource, differs, drawn_section, drawn_width, section_of, single_wall,
};
use crate::crosscut::Thickness;
use crate::drawings::Drawings;
use crate::facelines::families;
use crate::faces::{FaceTally, Partner, partners};
use crate::glass::Pane;
use crate::layernotes::{FaceLayer, SectionDoubts, face_findings};
use crate::layers::LayerRole;
use crate::linework::{Segment, mark};
use crate::mixed::single_lines;
use crate::nearby::LineIndex;
use crate::pairing::{FoundWall, Paired, pair};
use crate::repeats::mark_repeats;
use crate::report::Placed;
use crate::survey::Survey;
use crate::walls::{
    FACES_IN, Spec, THICKEST_FACES_IN, THICKEST_TOLD_IN, WallLine, in_inches, is_open_wall,
    open_wall_segments,
};
use limits::Watch;
use settings::Settings;
use std::collections::{BTreeMap, BTreeSet};

/// A layer's bare lines: line in inches, shape.
struct Bare {
    lines: Vec<Segment>,
    shapes: Vec<usize>,
}

/// Lines of the wall layers that have no drawn width, in inches from the middle of them all.
fn bare_lines(s: &Survey<'_>, k: f64) -> (Bare, Xy) {
    let most = open_wall_segments(s);
    let mut out = Bare { lines: Vec::with_capacity(most), shapes: Vec::with_capacity(most) };
    for (i, shape) in s.drawing.lines.shapes.iter().enumerate() {
        let own = s.drawing.lines.segments_of(i);
        if !is_open_wall(s, i)
            || shape.marks & mark::CURVED != 0
            || own.clone().any(|j| drawn_width(s, i, j, k).is_some())
        {
            continue;
        }
        for g in own.filter_map(|j| s.drawing.lines.segments.get(j)) {
            out.lines.push(in_inches(*g, k));
            out.shapes.push(i);
        }
    }
    // Whole inches off: what is drawn on a grid stays on it.
    let middle = [0, 1]
        .map(|axis| crate::affine::median(out.lines.iter().map(|g| g.a[axis]).collect()).round());
    for g in &mut out.lines {
        (g.a, g.b) = (sub(g.a, middle), sub(g.b, middle));
    }
    (out, middle)
}

/// Which shapes of the wall layers have no line of these layers running beside them at a wall's thickness.
pub(crate) struct Alone {
    /// By shape; none for shapes that were not looked at.
    of: Vec<Option<bool>>,
}

impl Alone {
    fn of(shapes: usize, of_lines: &[usize], found: &[Partner]) -> Alone {
        let mut of = vec![None; shapes];
        for (shape, p) in of_lines.iter().zip(found) {
            if let Some(slot) = of.get_mut(*shape) {
                *slot = Some(slot.unwrap_or(true) && p.alone);
            }
        }
        Alone { of }
    }
    /// Whether that is so of all these; not where one of them was not looked at.
    pub fn all(&self, mut shapes: impl Iterator<Item = usize>) -> bool {
        shapes.all(|i| self.of.get(i).copied().flatten() == Some(true))
    }
}

/// Less of a layer in one drawing says nothing by itself: the layer's other lines decide. Inches, 40 ft.
const TELLING_IN: f64 = 480.0;
/// As [`TELLING_IN`], lines.
const TELLING_LINES: usize = 8;

/// Which layers hold faces, each drawing on the sheet judged by itself.
struct Verdicts {
    layers: BTreeMap<u32, bool>,
    /// Where there is enough of a layer in a drawing.
    drawings: BTreeMap<(u32, usize), bool>,
}

impl Verdicts {
    fn of(s: &Survey<'_>, bare: &Bare, found: &[Partner], drawings: Option<&Drawings>) -> Verdicts {
        let mut by_layer: BTreeMap<u32, FaceTally> = BTreeMap::new();
        let mut by_drawing: BTreeMap<(u32, usize), FaceTally> = BTreeMap::new();
        let new = || FaceTally::new(FACES_IN[0], 1.0 / 16.0);
        for (shape, p) in bare.shapes.iter().zip(found) {
            let layer = s.drawing.lines.shapes.get(*shape).map_or(0, |x| x.layer);
            by_layer.entry(layer).or_insert_with(new).add(p);
            if let Some(drawing) = drawings.and_then(|d| d.of(*shape)) {
                by_drawing.entry((layer, drawing)).or_insert_with(new).add(p);
            }
        }
        let telling = |t: FaceTally| {
            let all = t.statistics();
            let enough = all.length >= TELLING_IN && all.lines >= TELLING_LINES;
            enough.then(|| all.are_faces())
        };
        Verdicts {
            layers: by_layer.into_iter().map(|(l, t)| (l, t.statistics().are_faces())).collect(),
            drawings: by_drawing.into_iter().filter_map(|(d, t)| Some((d, telling(t)?))).collect(),
        }
    }
    fn are_faces(&self, layer: u32, drawings: Option<&Drawings>, shape: usize) -> bool {
        let drawing = drawings.and_then(|d| d.of(shape));
        let own = drawing.and_then(|d| self.drawings.get(&(layer, d)));
        own.or_else(|| self.layers.get(&layer)).copied().unwrap_or(false)
    }
}

/// Studs narrower than this are rarely a wall's, where other lines make one as well: 2x3, 38x64. Inches.
const THIN_STUDS_IN: f64 = 3.0;

/// Whether a thickness tells a section of such studs.
pub(crate) fn is_thin(thickness: f64, metric: bool) -> bool {
    drawn_section(thickness, metric).is_some_and(|s| s.width().to_inches() < THIN_STUDS_IN)
}

/// Pairs lines, in inches, at the distances that faces of walls have.
pub(crate) fn pair_faces(lines: &[Segment], metric: bool, watch: &Watch) -> Paired {
    let known = |d: f64| d <= THICKEST_TOLD_IN && drawn_section(d, metric).is_some();
    let thin = |d: f64| is_thin(d, metric);
    let thickness = Thickness {
        least: FACES_IN[0],
        greatest: THICKEST_FACES_IN,
        framed: FACES_IN[1],
        known: &known,
        thin: &thin,
    };
    pair(lines, &thickness, watch)
}

/// Whether some drawing on the sheet holds faces on a layer that holds none as a whole, or the other way
/// round. The fates must be those before walls were looked for.
pub(crate) fn drawings_differ(s: &Survey<'_>, k: f64, drawings: &Drawings) -> bool {
    let bare = bare_lines(s, k).0;
    let index = LineIndex::new(&bare.lines);
    let found = partners(&bare.lines, &index, FACES_IN[0], THICKEST_FACES_IN, s.watch);
    let verdicts = Verdicts::of(s, &bare, &found, Some(drawings));
    verdicts.drawings.iter().any(|((layer, _), own)| verdicts.layers.get(layer) != Some(own))
}

/// Finds the face layers among the wall layers and reads their walls.
pub(crate) fn face_walls(
    s: &mut Survey<'_>,
    k: f64,
    metric: bool,
    settings: &Settings,
    doubts: &mut SectionDoubts,
    findings: &mut Vec<Placed>,
    drawings: Option<&Drawings>,
) -> (Vec<WallLine>, Alone) {
    let (bare, middle) = bare_lines(s, k);
    let layer_of = |shape: usize| s.drawing.lines.shapes.get(shape).map_or(0, |x| x.layer);
    let found = partners(
        &bare.lines,
        &LineIndex::new(&bare.lines),
        FACES_IN[0],
        THICKEST_FACES_IN,
        s.watch,
    );
    let verdicts = Verdicts::of(s, &bare, &found, drawings);
    let alone = Alone::of(s.fates.len(), &bare.shapes, &found);
    let are_faces = |shape: usize| verdicts.are_faces(layer_of(shape), drawings, shape);
    let mut layers: BTreeMap<u32, FaceLayer> = bare
        .shapes
        .iter()
        .filter(|shape| are_faces(**shape))
        .map(|shape| (layer_of(*shape), FaceLayer::default()))
        .collect();
    if layers.is_empty() {
        return (Vec::new(), alone);
    }
    let (lines, shapes): (Vec<Segment>, Vec<usize>) =
        bare.lines.into_iter().zip(bare.shapes).filter(|(_, shape)| are_faces(*shape)).unzip();
    let (lines, shapes, rows) = without_rows(lines, shapes, s.watch);
    let paired = pair_faces(&lines, metric, s.watch);
    let mut walls = Vec::new();
    let mut useful: BTreeSet<usize> = BTreeSet::new();
    for w in &paired.walls {
        let (told_in, known) = (THICKEST_TOLD_IN, (settings, metric));
        if let Some(line) = wall_line(s, (w, told_in), &lines, &shapes, middle, known, doubts) {
            useful.extend(&line.shapes);
            let layer =
                layers.entry(layer_of(line.shapes.first().copied().unwrap_or(0))).or_default();
            let sixteenths = (w.thickness * 16.0).round() as i64;
            let slot = layer.thicknesses.entry(sixteenths).or_insert((0, w.thickness));
            *slot = (slot.0 + 1, slot.1.min(w.thickness));
            layer.finished += u64::from(w.overall > w.thickness + 1.0 / 32.0);
            layer.openings += w.gaps.len() as u64;
            walls.push(line);
        }
    }
    let mut single: BTreeSet<usize> = BTreeSet::new();
    for i in single_lines(&lines, &paired, s.watch) {
        let (Some(g), Some(shape)) = (lines.get(i), shapes.get(i)) else { continue };
        let back = |p: Xy| [p[0] + middle[0], p[1] + middle[1]];
        let line = Segment { a: back(g.a), b: back(g.b) };
        if let Some(wall) = single_wall(s, *shape, line, (settings, metric), doubts) {
            single.insert(i);
            useful.insert(*shape);
            let layer = layers.entry(layer_of(*shape)).or_default();
            layer.single.0 += 1;
            layer.single.1 += norm(sub(g.b, g.a));
            walls.push(wall);
        }
    }
    for shape in rows {
        if let Some(slot) = s.fates.get_mut(shape) {
            *slot = Fate::Left(Reason::Row);
        }
    }
    account(s, &lines, &shapes, &paired, (&useful, &single), &mut layers);
    findings.extend(face_findings(s, &layers, middle));
    (walls, alone)
}

/// Without the rows of lines at even steps: stairs and hatching are drawn on wall layers too. The
/// third are the shapes that are all rows.
fn without_rows(
    lines: Vec<Segment>,
    shapes: Vec<usize>,
    watch: &Watch,
) -> (Vec<Segment>, Vec<usize>, BTreeSet<usize>) {
    let mut rows = vec![false; lines.len()];
    mark_repeats(&families(&lines), &mut rows, watch);
    let (mut kept, mut kept_shapes) = (Vec::new(), Vec::new());
    let mut dropped: BTreeSet<usize> = BTreeSet::new();
    for ((g, shape), row) in lines.into_iter().zip(shapes).zip(rows) {
        if row {
            dropped.insert(shape);
        } else {
            kept.push(g);
            kept_shapes.push(shape);
        }
    }
    for shape in &kept_shapes {
        dropped.remove(shape);
    }
    (kept, kept_shapes, dropped)
}

/// The wall line of a found wall; none, and a doubt, when no section fits. Up to `told_in` its thickness
/// tells the section.
pub(crate) fn wall_line(
    s: &Survey<'_>,
    (w, told_in): (&FoundWall, f64),
    lines: &[Segment],
    shapes: &[usize],
    middle: Xy,
    (settings, metric): (&Settings, bool),
    doubts: &mut SectionDoubts,
) -> Option<WallLine> {
    let mut of: Vec<usize> = w.lines.iter().filter_map(|i| shapes.get(*i)).copied().collect();
    of.sort_unstable();
    of.dedup();
    // The layer that most of the faces' length is on speaks for the wall.
    let mut weight: BTreeMap<u32, i64> = BTreeMap::new();
    for i in &w.lines {
        let (Some(g), Some(shape)) = (lines.get(*i), shapes.get(*i)) else { continue };
        let layer = s.drawing.lines.shapes.get(*shape)?.layer;
        *weight.entry(layer).or_default() += sixty_fourths(norm(sub(g.b, g.a)));
    }
    let name = |l: &u32| s.drawing.layer_name(*l);
    let layer = weight
        .iter()
        .max_by(|a, b| a.1.cmp(b.1).then_with(|| name(b.0).cmp(name(a.0))))
        .map(|x| *x.0)?;
    // The first shape is the one whose layer speaks.
    of.sort_by_key(|i| s.drawing.lines.shapes.get(*i).is_none_or(|x| x.layer != layer));
    let role: &LayerRole = s.roles.get(layer as usize)?;
    let told = w.thickness <= told_in || role.section.is_some();
    let (section, source) = match told {
        true => section_of(role, Some(w.thickness), settings, metric),
        false => (settings.default_section, SectionSource::Default),
    };
    let key = (w.thickness * 64.0).round() as i64;
    let Some(section) = section else {
        doubts.unknown.entry((layer, key)).or_default().push(*of.first()?);
        return None;
    };
    if source == SectionSource::Drawn {
        doubts.drawn(layer, section, w.thickness);
    }
    if source == SectionSource::Stated && differs(section, w.thickness, w.overall, metric) {
        *doubts.conflicts.entry((layer, section)).or_default().entry(key).or_default() += 1;
    }
    let back = |p: Xy| [p[0] + middle[0], p[1] + middle[1]];
    Some(WallLine {
        shapes: of.into(),
        line: Segment { a: back(w.line.a), b: back(w.line.b) },
        spec: Spec {
            section,
            thickness_in: w.overall,
            top: role.top.unwrap_or(settings.default_top),
            roof: role.roof,
            exterior: role.exterior,
            bearing: role.bearing,
        },
        gaps: w.gaps.iter().map(|g| g.map(back)).collect(),
        panes: w.panes.iter().map(|p| Pane { jambs: p.jambs.map(back), ..*p }).collect(),
        paired: true,
    })
}

/// Settles the fate of the face layers' shapes, and measures what is left.
fn account(
    s: &mut Survey<'_>,
    lines: &[Segment],
    shapes: &[usize],
    paired: &Paired,
    (useful, single): (&BTreeSet<usize>, &BTreeSet<usize>),
    layers: &mut BTreeMap<u32, FaceLayer>,
) {
    let mut in_wall: BTreeSet<usize> =
        paired.walls.iter().flat_map(|w| &w.lines).copied().collect();
    in_wall.extend(single);
    // A shape is as good as its best line.
    let mut fates: BTreeMap<usize, Fate> = BTreeMap::new();
    let mut alone: Vec<(Segment, u32)> = Vec::new();
    for (i, (g, shape)) in lines.iter().zip(shapes).enumerate() {
        let is = |list: &[bool]| list.get(i).copied().unwrap_or(false);
        let fate = match () {
            _ if in_wall.contains(&i) && useful.contains(shape) => Fate::Used,
            _ if in_wall.contains(&i) => Fate::Left(Reason::NoSection),
            _ if is(&paired.boxes) => Fate::Left(Reason::Box),
            _ if is(&paired.inside) => Fate::Left(Reason::InsideWall),
            _ => Fate::Left(Reason::FaceLines),
        };
        let Some(layer) = s.drawing.lines.shapes.get(*shape).map(|x| x.layer) else { continue };
        let length = norm(sub(g.b, g.a));
        let slot = layers.entry(layer).or_default();
        let used = match single.contains(&i) {
            true => length,
            false => paired.used.get(i).copied().unwrap_or(0.0),
        };
        if !matches!(fate, Fate::Left(Reason::Box | Reason::InsideWall)) {
            slot.length += length;
            let left = length - used;
            // What a corner leaves over is no more than a wall's thickness.
            if used <= 0.0 {
                alone.push((*g, layer));
            }
            if used <= 0.0 || left > THICKEST_FACES_IN {
                slot.left += left;
                slot.left_lines += 1;
                if left > slot.longest.0 {
                    let at = [(g.a[0] + g.b[0]) / 2.0, (g.a[1] + g.b[1]) / 2.0];
                    slot.longest = (left, at, *shape);
                }
            }
        }
        let best = fates.entry(*shape).or_insert(fate);
        let rank = |f: &Fate| match f {
            Fate::Used => 0,
            Fate::Left(Reason::NoSection) => 1,
            Fate::Left(Reason::FaceLines) => 2,
            Fate::Left(Reason::Box) => 3,
            _ => 4,
        };
        if rank(&fate) < rank(best) {
            *best = fate;
        }
    }
    for (shape, fate) in fates {
        if let Some(slot) = s.fates.get_mut(shape) {
            *slot = fate;
        }
    }
    thick_pairs(&alone, layers, s.watch);
}

/// Farther apart are rooms, not the faces of masonry, inches.
const MASONRY_IN: f64 = 40.0;
/// Shorter faces say nothing, inches.
const MASONRY_LONG_IN: f64 = 36.0;

/// Notes which of the lines left over, with their layers, could be the faces of walls thicker than are read.
fn thick_pairs(left: &[(Segment, u32)], layers: &mut BTreeMap<u32, FaceLayer>, watch: &Watch) {
    let lines: Vec<Segment> = left.iter().map(|l| l.0).collect();
    let found = partners(&lines, &LineIndex::new(&lines), THICKEST_FACES_IN, MASONRY_IN, watch);
    for ((_, layer), p) in left.iter().zip(found) {
        let long = p.length >= MASONRY_LONG_IN && p.covered >= p.length / 2.0;
        let Some(gap) = p.gap.filter(|_| long) else { continue };
        let slot = &mut layers.entry(*layer).or_default().thick;
        let (n, length, [least, most]) = slot.unwrap_or((0, 0.0, [gap, gap]));
        *slot = Some((n + 1, length + p.length, [least.min(gap), most.max(gap)]));
    }
}
