//! Walls: from the wall layers' linework to the draft of a wall model.
//!
//! Knows: which lines are centrelines, sections and heights, joining of lines broken at openings.
//! Never touches: tags, layer names' grammar, junctions (ends are not snapped and overlaps not merged
//! here; the wall graph does both).

use crate::account::{Fate, Reason, ledger};
use crate::affine::{Xy, dot, norm, sub};
use crate::beside::{close_parallels, side_by_side};
use crate::byshape::shape_walls;
use crate::carryon::{Beside, beside};
use crate::curved::curved_walls;
use crate::drawings::{Drawings, drawings, leave_out};
use crate::facewalls::{drawings_differ, face_walls};
use crate::glass::{Pane, PaneTally};
use crate::heightnotes::{HeightNote, height_notes};
use crate::layers::{LayerRole, Usage};
use crate::likewalls::layers_like_walls;
use crate::linework::{Kind, Segment, mark};
use crate::mlinecuts::{close_crossings, stretches};
use crate::nearby::{LineIndex, ordered};
use crate::openings::{HostLine, Hosted, Symbol, Told, group_touching, host, root, unite};
use crate::region::{Layout, Region, lay_out, titles};
use crate::report::{
    Placed, SectionDoubts, carried_on, entity_findings, layer_findings, no_walls, panes_findings,
    place, refuse, section_findings, told_otherwise, unhosted, unused_rules,
};
use crate::sheet::{Storeys, storeys};
use crate::survey::{Survey, plural};
use crate::units::UnitsEvidence;
use crate::unlayered::{gather, not_one};
use diag::codes::{dxf, input};
use diag::words::was;
use diag::{Finding, Outcome, Refusal, Severity, SourceRef};
use geom::Length;
use limits::Stage;
use lumber::Section;
use settings::Settings;
use smallvec::{SmallVec, smallvec};
use std::collections::BTreeMap;
use wall_model::{Draft, DraftOpening, DraftWall, Format, OpeningKind, UnderRoof, WallModel};

/// Distance of the faces of framed walls, inches.
pub(crate) const FACES_IN: [f64; 2] = [2.5, 14.0];
/// Distance up to which lines that mostly run in pairs are faces, inches: masonry walls are thicker,
/// and a layer of pairs is no layer of centrelines.
pub(crate) const THICKEST_FACES_IN: f64 = 20.5;

/// Thickest wall whose section its faces tell, inches: 2x8 with a board on each side. Deeper lumber
/// is no stud; thicker walls are masonry or double.
pub(crate) const THICKEST_TOLD_IN: f64 = 8.5;
/// Widths of a polyline that are a wall's, inches; others are how thick the line is plotted.
pub(crate) const POLYLINE_WIDTH_IN: [f64; 2] = [2.5, 14.0];
/// Lines shorter than this are points: the wall model's grid would give both ends the same place.
const SHORTEST_IN: f64 = 0.001;
/// Coordinates beyond this are refused by the wall model: 100 000 km, less a little. Map coordinates
/// (northings of several thousand km) pass.
const FARTHEST_IN: f64 = REACH_IN * 990.0;
/// Walls farther than this from the middle one are no part of the building: 100 km.
const REACH_IN: f64 = 100_000.0 / 0.0254;

/// A centreline with what is known about it.
pub(crate) struct WallLine {
    /// Shapes it is of: one, or the faces it lies between; the first one's layer speaks for it.
    pub shapes: SmallVec<[usize; 2]>,
    /// Centreline, inches.
    pub line: Segment,
    /// What it is made of.
    pub spec: Spec,
    /// Gaps in the faces that are openings, on the centreline.
    pub gaps: Vec<[Xy; 2]>,
    /// Places between two jambs, on the centreline: windows, where glass is drawn there.
    pub panes: Vec<Pane>,
    /// Whether it was found between two faces.
    pub paired: bool,
}

impl WallLine {
    /// The shape that speaks for it.
    pub fn shape(&self) -> usize {
        self.shapes.first().copied().unwrap_or(usize::MAX)
    }
    /// The one of its entities that is named where one is: the same whatever their order in the file.
    pub fn source(&self, s: &Survey<'_>) -> SourceRef {
        self.shapes.iter().map(|i| s.source(*i)).min().unwrap_or_default()
    }
}

/// What two lines must share to be one wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Spec {
    /// Studs and plates.
    pub section: Section,
    /// As drawn.
    pub thickness_in: f64,
    /// Top of the upper plate.
    pub top: Length,
    /// The roof that sets it instead.
    pub roof: Option<UnderRoof>,
    /// Exterior?
    pub exterior: Option<bool>,
    /// Bearing?
    pub bearing: Option<bool>,
}

/// What was seen on the way to the model, whether there is one or not.
#[derive(Default)]
pub(crate) struct Seen {
    /// The drawings on the sheet.
    pub regions: Vec<Region>,
    /// The unit by the drawings that are planned, where there are others.
    pub units: Option<UnitsEvidence>,
    /// Heights that are written in the drawing.
    pub heights: Vec<HeightNote>,
}

/// Walls and the drawings they are in.
struct Found {
    walls: Vec<WallLine>,
    /// None where nothing tells the unit.
    layout: Option<Layout>,
    findings: Vec<Placed>,
    /// Where the sheet was read a second time, drawing by drawing.
    drawings: Option<Drawings>,
}

/// Finds the walls on the sheet, and where it holds several drawings, those of the planned ones once more
/// by themselves.
fn find_walls(s: &mut Survey<'_>, settings: &Settings) -> Result<Found, Refusal> {
    let nothing =
        || Found { walls: Vec::new(), layout: None, findings: Vec::new(), drawings: None };
    let Some((mut k, mut metric)) = likely_unit(s, settings) else { return Ok(nothing()) };
    let by_shape = s.unnamed.is_some();
    crate::symbols::split_large(s, k);
    let before = s.fates.clone();
    leave_out_far(s, k);
    let mut fates = s.fates.clone();
    let (walls, findings) = walls_in(s, (k, metric), settings, None)?;
    let mut layout = lay_out(s, k, &walls, settings, by_shape);
    // Walls by shape are judged by what they are, not by their layers.
    let told = if by_shape { None } else { drawings(s, k, &layout, &walls) };
    let undecided = s.units.decision.is_none();
    if undecided && told.is_none() {
        s.fates = before;
        return Ok(nothing());
    }
    let Some(told) = told else {
        return Ok(Found { walls, layout: Some(layout), findings, drawings: None });
    };
    std::mem::swap(&mut s.fates, &mut fates);
    let left = leave_out(s, k, &told, &mut layout);
    if !left && undecided {
        s.fates = before;
        return Ok(nothing());
    }
    if !left && !drawings_differ(s, k, &told) {
        s.fates = fates;
        return Ok(Found { walls, layout: Some(layout), findings, drawings: None });
    }
    // Where a person chose an elevation, the plan beside it is still what tells the unit.
    let is_plan = |r: &Region| r.planned && r.kind == crate::titles::DrawingKind::FloorPlan;
    if left && (undecided || layout.regions.iter().any(is_plan)) {
        s.judge_units(settings);
        let Some(unit) = s.units.decision.clone() else {
            return Ok(Found { drawings: Some(told), ..nothing() });
        };
        let now = unit.inches_per_unit;
        if (now - k).abs() > k * 1e-9 {
            // What lies where was judged in another unit: once more, without what is left out.
            for (fate, was) in s.fates.iter_mut().zip(&before) {
                if *fate == Fate::Left(Reason::Far) {
                    *fate = *was;
                }
            }
            (k, metric) = (now, is_metric(&unit.name));
            leave_out_far(s, k);
            let (walls, findings) = walls_in(s, (k, metric), settings, None)?;
            let layout = lay_out(s, k, &walls, settings, by_shape);
            return Ok(Found { walls, layout: Some(layout), findings, drawings: Some(told) });
        }
    }
    let (walls, findings) = walls_in(s, (k, metric), settings, Some(&told))?;
    let layout = layout.with_walls(&walls, &told);
    Ok(Found { walls, layout: Some(layout), findings, drawings: Some(told) })
}

fn is_metric(unit: &str) -> bool {
    matches!(unit, "mm" | "cm" | "m" | "dm")
}

/// Inches in the unit, and whether it is metric: as decided; where nothing is, but other drawings may have
/// had a say in that, the reading that fits best.
fn likely_unit(s: &Survey<'_>, settings: &Settings) -> Option<(f64, bool)> {
    if let Some(unit) = &s.units.decision {
        return Some((unit.inches_per_unit, is_metric(&unit.name)));
    }
    if s.unnamed.is_some() || !has_wall_linework(s) {
        return None;
    }
    let fits = s.units.readings.iter().filter(|r| r.plausible);
    let best =
        fits.min_by_key(|r| (std::cmp::Reverse(r.dimensions.0), r.thickness_in.is_empty()))?;
    let k = geom::Unit::ALL.into_iter().find(|u| u.name() == best.unit)?.inches();
    let other = |t: &crate::titles::Title| t.kind != crate::titles::DrawingKind::FloorPlan;
    let several = !settings.regions.is_empty() || titles(s, k).iter().any(|t| other(&t.1));
    several.then(|| (k, is_metric(&best.unit)))
}

/// The walls of all that is open, in an order that does not depend on the file's, and what there is to say
/// about them.
fn walls_in(
    s: &mut Survey<'_>,
    known: (f64, bool),
    settings: &Settings,
    drawings: Option<&Drawings>,
) -> Result<(Vec<WallLine>, Vec<Placed>), Refusal> {
    let (k, metric) = known;
    let mut findings = Vec::new();
    let mut doubts = SectionDoubts::default();
    let by_shape = s.unnamed.is_some();
    if !by_shape {
        gather(s, k);
    }
    let (mut walls, alone) =
        face_walls(s, k, metric, settings, &mut doubts, &mut findings, drawings);
    s.watch.border(Stage::Reading)?;
    walls.extend(wall_lines(s, k, metric, settings, &mut doubts));
    walls.extend(shape_walls(s, k, metric, settings, &mut doubts, &mut findings));
    if by_shape {
        gather(s, k);
    }
    s.watch.border(Stage::Reading)?;
    crate::otherglass::find(s, k, &mut walls);
    let in_parts = curved_walls(s, known, settings, &mut walls, &mut doubts, &mut findings);
    close_crossings(&mut walls);
    findings.extend(layers_like_walls(s, k, metric, &walls).into_iter().map(Placed::from));
    section_findings(s, k, doubts, &mut findings);
    findings.extend(close_parallels(s, &walls, &alone));
    findings.extend(side_by_side(s, &walls));
    findings.extend(entity_findings(s, k, &in_parts));
    s.watch.border(Stage::Reading)?;
    Ok((sort_lines(s, walls), findings))
}

/// Makes the wall model; `seen` gets the drawings on the sheet, model or not.
pub(crate) fn model(
    mut s: Survey<'_>,
    settings: &Settings,
    seen: &mut Seen,
) -> Result<Outcome<WallModel>, Refusal> {
    if settings.default_top <= Length::ZERO
        || s.roles.iter().any(|r| r.top.is_some_and(|t| t <= Length::ZERO))
    {
        return Err(Refusal::because(Finding::new(
            input::SETTINGS_BAD,
            "The top of a wall must be above its storey: default_top and top in [[layers]] must be \
             positive.",
        )));
    }
    if !has_wall_linework(&s) && s.unnamed.is_none() {
        return Err(refuse(&s, None));
    }
    let Found { walls, layout, findings: found, drawings } = find_walls(&mut s, settings)?;
    let decided = s.units.decision.clone();
    if drawings.is_some() {
        seen.units = Some(s.units.clone());
    }
    let (Some(unit), Some(layout)) = (decided, layout) else {
        return Err(refuse(&s, s.units.refusal.clone()));
    };
    let k = unit.inches_per_unit;
    let mut findings: Vec<Placed> = s.file_findings().into_iter().map(Placed::from).collect();
    findings.extend(s.units.doubt.clone().map(Placed::from));
    findings.extend(unused_rules(&s, settings).into_iter().map(Placed::from));
    let told = crate::dimensions::contradictions(&s, k).into_iter();
    findings.extend(told.filter(|f| !layout.is_in_left_out(f.at_in, k)));
    findings.extend(layer_findings(&s).into_iter().map(Placed::from));
    findings.extend(found);
    let Storeys { storeys, walls, of, regions } =
        storeys(&mut s, k, (walls, layout), settings, &mut findings);
    let names: Vec<String> = storeys.iter().map(|s| s.name.clone()).collect();
    let (heights, unmet) =
        height_notes(&s, k, is_metric(&unit.name), (&regions, &names), (&walls, &of));
    (seen.regions, seen.heights) = (regions, heights);
    findings.extend(unmet);
    s.watch.border(Stage::Reading)?;
    let drafts = draft_walls(&mut s, k, settings, (&walls, &of), &mut findings);
    drop((walls, of));
    findings.extend(crate::brokenlines::findings(&s).into_iter().map(Placed::from));
    let draft = Draft {
        format: Format::Dxf,
        version: s.version(),
        written_by: s.written_by(),
        units: unit,
        storeys,
        walls: drafts,
        ledger: ledger(&s.file, &s.drawing, &s.roles, &s.fates),
    };
    let mut out = draft.finish(settings.mirror);
    let origin = out.value.origin_inches;
    out.value.linework = crate::underlay::linework(&s, k, origin, settings.mirror);
    let placed = findings.into_iter().map(|p| place(p, origin, settings.mirror));
    out.findings.extend(placed);
    if out.value.walls.is_empty() {
        // Walls that were found and have no section, or are in no floor plan, are another trouble than no
        // walls.
        let kept = [dxf::OTHER_DRAWING, dxf::MISSING_BLOCK, input::REPAIRED];
        let telling = [input::SECTION_UNKNOWN, input::SETTINGS_BAD, dxf::OTHER_DRAWING];
        let errors: Vec<Finding> = out
            .findings
            .into_iter()
            .filter(|f| f.severity == Severity::Error || kept.contains(&f.code))
            .collect();
        let found = errors.iter().any(|f| telling.contains(&f.code));
        let mut all: Vec<Finding> = if found { Vec::new() } else { vec![no_walls(&s)] };
        all.extend(errors);
        return Err(Refusal { findings: all });
    }
    Ok(out)
}

/// Whether some visible entity on a wall layer has linework.
pub(crate) fn has_wall_linework(s: &Survey<'_>) -> bool {
    (0..s.fates.len()).any(|i| is_open_wall(s, i))
}

/// Whether a shape is on a wall layer and nothing is known against it.
pub(crate) fn is_open_wall(s: &Survey<'_>, shape: usize) -> bool {
    s.fates.get(shape) == Some(&Fate::Open) && s.role(shape).is_some_and(|r| r.usage == Usage::Wall)
}

/// How many straight lines these shapes have, so that room for them is made once.
pub(crate) fn open_wall_segments(s: &Survey<'_>) -> usize {
    let open = (0..s.fates.len()).filter(|i| is_open_wall(s, *i));
    open.map(|i| s.drawing.lines.segments_of(i).len()).sum()
}

/// Entities with a coordinate that is absurd, or far from all other walls, are left out whole.
fn leave_out_far(s: &mut Survey<'_>, k: f64) {
    let walls: Vec<usize> = (0..s.fates.len()).filter(|i| is_open_wall(s, *i)).collect();
    let all = &s.drawing.lines;
    let corners = |i: usize| {
        let segments = all.segments_of(i).filter_map(|j| all.segments.get(j));
        segments.flat_map(|g| [g.a, g.b]).map(|p| [p[0] * k, p[1] * k])
    };
    let middle = |axis: usize| {
        crate::affine::median(walls.iter().flat_map(|i| corners(*i)).map(|p| p[axis]).collect())
    };
    let center = [middle(0), middle(1)];
    let far = |p: Xy| {
        (0..2).any(|a| {
            !p[a].is_finite() || (p[a] - center[a]).abs() > REACH_IN || p[a].abs() > FARTHEST_IN
        })
    };
    let out: Vec<usize> = walls.iter().copied().filter(|i| corners(*i).any(far)).collect();
    for i in out {
        s.fates[i] = Fate::Left(Reason::Far);
    }
}

/// Thickness a segment is drawn with, in inches, if that is a wall's.
pub(crate) fn drawn_width(s: &Survey<'_>, shape: usize, segment: usize, k: f64) -> Option<f64> {
    let width = s.drawing.lines.width_of(segment)? * k;
    let is_mline = s.drawing.lines.shapes.get(shape)?.kind == Kind::Mline;
    (is_mline || (POLYLINE_WIDTH_IN[0]..=POLYLINE_WIDTH_IN[1]).contains(&width)).then_some(width)
}

/// In inches.
pub(crate) fn in_inches(g: Segment, k: f64) -> Segment {
    Segment { a: [g.a[0] * k, g.a[1] * k], b: [g.b[0] * k, g.b[1] * k] }
}

/// The wall lines with their sections; marks curved, empty and unknown ones.
fn wall_lines(
    s: &mut Survey<'_>,
    k: f64,
    metric: bool,
    settings: &Settings,
    doubts: &mut SectionDoubts,
) -> Vec<WallLine> {
    let mut out = Vec::with_capacity(open_wall_segments(s));
    for i in 0..s.fates.len() {
        if !is_open_wall(s, i) {
            continue;
        }
        let Some(shape) = s.drawing.lines.shapes.get(i).copied() else { continue };
        let Some(role) = s.roles.get(shape.layer as usize) else { continue };
        if shape.marks & mark::CURVED != 0 {
            s.fates[i] = Fate::Left(Reason::Curved);
            continue;
        }
        let mut made = 0;
        let mut no_section = false;
        for j in s.drawing.lines.segments_of(i) {
            let Some(line) = s.drawing.lines.segments.get(j).map(|g| in_inches(*g, k)) else {
                continue;
            };
            if norm(sub(line.b, line.a)) < SHORTEST_IN {
                continue;
            }
            let width = drawn_width(s, i, j, k);
            let key = |w: f64| (w * 64.0).round() as i64;
            let (section, source) = section_of(role, width, settings, metric);
            let Some(section) = section else {
                doubts.unknown.entry((shape.layer, width.map_or(0, key))).or_default().push(i);
                no_section = true;
                continue;
            };
            if source == SectionSource::Assumed {
                *doubts.assumed.entry(shape.layer).or_default() += 1;
            }
            if source == SectionSource::Drawn
                && let Some(w) = width
            {
                doubts.drawn(shape.layer, section, w);
            }
            if source == SectionSource::Stated
                && let Some(w) = width
                && section.width().to_inches() > w + 1.0 / 32.0
            {
                let widths = doubts.conflicts.entry((shape.layer, section)).or_default();
                *widths.entry(key(w)).or_default() += 1;
            }
            let spec = Spec {
                section,
                thickness_in: width.unwrap_or_else(|| section.width().to_inches()),
                top: role.top.unwrap_or(settings.default_top),
                roof: role.roof,
                exterior: role.exterior,
                bearing: role.bearing,
            };
            let parts = stretches(line, s.drawing.lines.cuts_of(j));
            made += parts.len();
            out.extend(parts.into_iter().map(|p| WallLine {
                shapes: smallvec![i],
                line: p.line,
                gaps: p.gaps,
                panes: Vec::new(),
                paired: false,
                spec,
            }));
        }
        let arcs = !s.drawing.lines.arcs_of(i).is_empty();
        s.fates[i] = match () {
            _ if made > 0 => Fate::Used,
            _ if no_section => Fate::Left(Reason::NoSection),
            _ if arcs => Fate::Left(Reason::Curved),
            _ => Fate::Left(Reason::ZeroLength),
        };
    }
    out
}

/// The wall of a line that is drawn alone, without width; none when no section fits.
pub(crate) fn single_wall(
    s: &Survey<'_>,
    shape: usize,
    line: Segment,
    (settings, metric): (&Settings, bool),
    doubts: &mut SectionDoubts,
) -> Option<WallLine> {
    let layer = s.drawing.lines.shapes.get(shape)?.layer;
    let role = s.role(shape)?;
    let (section, source) = section_of(role, None, settings, metric);
    let section = section?;
    if source == SectionSource::Assumed {
        *doubts.assumed.entry(layer).or_default() += 1;
    }
    Some(WallLine {
        shapes: smallvec![shape],
        line,
        gaps: Vec::new(),
        panes: Vec::new(),
        paired: false,
        spec: Spec {
            section,
            thickness_in: section.width().to_inches(),
            top: role.top.unwrap_or(settings.default_top),
            roof: role.roof,
            exterior: role.exterior,
            bearing: role.bearing,
        },
    })
}

/// Where a section comes from.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum SectionSource {
    /// A rule or the layer's name.
    Stated,
    /// The drawn thickness.
    Drawn,
    /// The settings' default.
    Default,
    /// The last resort, or none.
    Assumed,
}

/// Rule or layer name, then drawn thickness, then the default, then 2x4 for lines without thickness.
pub(crate) fn section_of(
    role: &LayerRole,
    width_in: Option<f64>,
    settings: &Settings,
    metric: bool,
) -> (Option<Section>, SectionSource) {
    if let Some(stated) = role.section {
        return (Some(stated), SectionSource::Stated);
    }
    let drawn = width_in.and_then(|w| drawn_section(w, metric));
    match (drawn, settings.default_section, width_in) {
        (Some(s), _, _) => (Some(s), SectionSource::Drawn),
        (None, Some(s), _) => (Some(s), SectionSource::Default),
        (None, None, Some(_)) => (None, SectionSource::Assumed),
        (None, None, None) => (Some(Section::S2X4), SectionSource::Assumed),
    }
}

/// The section that a drawn thickness tells.
pub(crate) fn drawn_section(width_in: f64, metric: bool) -> Option<Section> {
    let width = Length::from_inches(width_in)?.denoise();
    Section::from_wall_thickness(width, metric)
        .or_else(|| Section::from_wall_thickness(width, !metric))
}

/// An order of the lines that does not depend on the file's: by place, then by layer and handle.
fn sort_lines(s: &Survey<'_>, mut walls: Vec<WallLine>) -> Vec<WallLine> {
    for w in &mut walls {
        let Segment { a, b } = w.line;
        if (b[0].total_cmp(&a[0])).then(b[1].total_cmp(&a[1])).is_lt() {
            w.line = Segment { a: b, b: a };
        }
    }
    let place = |w: &WallLine| [w.line.a[0], w.line.a[1], w.line.b[0], w.line.b[1]].map(ordered);
    let mut order: Vec<([u64; 4], usize)> = walls.iter().map(place).zip(0..).collect();
    let source = |i: usize| walls.get(i).map(|w| w.source(s));
    order.sort_unstable_by(|(p, i), (q, j)| {
        p.cmp(q).then_with(|| source(*i).cmp(&source(*j))).then(i.cmp(j))
    });
    let mut from: Vec<usize> = order.into_iter().map(|o| o.1).collect();
    rearrange(&mut walls, &mut from);
    walls
}

/// Moves the item at `from[i]` to place `i`, for all `i`; `from` holds every place once. Round after round, so
/// that no second list is made.
fn rearrange<T>(items: &mut [T], from: &mut [usize]) {
    for start in 0..items.len() {
        let mut at = start;
        // Each place is told that it holds its own from now on.
        while let Some(next) = from.get_mut(at).map(|slot| std::mem::replace(slot, at)) {
            if next == start || next == at {
                break;
            }
            items.swap(at, next);
            at = next;
        }
    }
}

/// Lays the openings on the lines, joins what they join, and drafts the walls.
fn draft_walls(
    s: &mut Survey<'_>,
    k: f64,
    settings: &Settings,
    (walls, storeys): (&[WallLine], &[usize]),
    findings: &mut Vec<Placed>,
) -> Vec<DraftWall> {
    let symbols = crate::sliding::join(symbols_in_inches(s, k), s.watch);
    let mut classes = BTreeMap::new();
    let mut hosts = Vec::new();
    // Without symbols nobody asks where one may lie.
    let wanted = if symbols.is_empty() { 0 } else { walls.len() };
    for (w, storey) in walls.iter().zip(storeys).take(wanted) {
        let Spec { section, thickness_in, top, roof, exterior, bearing } = w.spec;
        let roof = roof.map(|r| r.entry);
        let next = classes.len() as u32;
        let key = (section, thickness_in.to_bits(), top, roof, exterior, bearing, *storey);
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
    for symbol in &symbols {
        let mut found = host(symbol, &hosts, &index, widest, snap);
        let mut wall_ends = false;
        if found.is_none() {
            match beside(symbol, &hosts, &index, widest, snap) {
                Beside::Bridged(on) => {
                    further.entry(on.host).or_default().push(on.end);
                    let (host, from, to) = (on.host, on.from, on.to);
                    found = Some(Hosted { host, joined: None, from, to });
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
        laid.entry(h.host).or_default().push((h.from, h.to, symbol));
    }
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
    for together in members.chunk_by(|a, b| a.0 == b.0) {
        out.extend(one_wall(s, (walls, storeys), together, (&laid, &further), &mut panes));
    }
    findings.extend(panes_findings(s, panes));
    findings.extend(crate::facing::findings(&out));
    out
}

/// The symbols laid on each wall line: from where to where.
type Laid<'a> = BTreeMap<usize, Vec<(Xy, Xy, &'a Symbol)>>;

/// Where wall lines end that go on through a door or window at their end.
type Further = BTreeMap<usize, Vec<Xy>>;

/// One wall of the lines in one group, each the second of its pair.
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
    let mut shapes: SmallVec<[usize; 4]> = lines().flat_map(|w| &w.shapes).copied().collect();
    shapes.sort_unstable();
    shapes.dedup();
    let mut source: Vec<SourceRef> = shapes.into_iter().map(|i| s.source(i)).collect();
    source.sort();
    source.dedup();
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
        source,
    })
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
