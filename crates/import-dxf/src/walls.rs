//! Walls: from the wall layers' linework to the draft of a wall model.
//!
//! Knows: which lines are centrelines, sections and heights, joining of lines broken at openings.
//! Never touches: tags, layer names' grammar, junctions (ends are not snapped and overlaps not merged
//! here; the wall graph does both).

use crate::account::{Fate, Reason, ledger};
use crate::affine::Xy;
use crate::beside::{close_parallels, like_counters, side_by_side};
use crate::byshape::shape_walls;
use crate::centrelines::wall_lines;
use crate::curved::curved_walls;
use crate::draftwalls::draft_walls;
use crate::drawings::{Drawings, drawings, leave_out};
use crate::entitynotes::entity_findings;
use crate::facewalls::{drawings_differ, face_walls};
use crate::glass::Pane;
use crate::heightnotes::{HeightNote, height_notes};
use crate::layernotes::{
    SectionDoubts, layer_findings, section_findings, unknown_sections, unused_rules,
};
use crate::layers::Usage;
use crate::likewalls::layers_like_walls;
use crate::linework::Segment;
use crate::mlinecuts::close_crossings;
use crate::nearby::by_ends;
use crate::region::{Layout, Region, lay_out};
use crate::report::{Placed, no_walls, place, refuse};
use crate::sheet::{Storeys, storeys};
use crate::survey::Survey;
use crate::titleplaces::titles;
use crate::units::UnitsEvidence;
use crate::unlayered::gather;
use diag::codes::{dxf, input};
use diag::{Finding, Outcome, Refusal, Severity, SourceRef};
use geom::Length;
use limits::Stage;
use lumber::Section;
use settings::Settings;
use smallvec::SmallVec;
use std::collections::BTreeMap;
use wall_model::{Draft, Format, UnderRoof, WallModel};

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
    let (walls, found) = walls_in(s, (k, metric), settings, None)?;
    let mut layout = lay_out(s, k, &walls, settings, by_shape);
    let findings = found.of_planned(s, k, &layout);
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
            let (walls, found) = walls_in(s, (k, metric), settings, None)?;
            let layout = lay_out(s, k, &walls, settings, by_shape);
            let findings = found.of_planned(s, k, &layout);
            return Ok(Found { walls, layout: Some(layout), findings, drawings: Some(told) });
        }
    }
    let (walls, found) = walls_in(s, (k, metric), settings, Some(&told))?;
    let layout = layout.with_walls(&walls, &told);
    let findings = found.of_planned(s, k, &layout);
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
) -> Result<(Vec<WallLine>, ToSay), Refusal> {
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
    let unknown = std::mem::take(&mut doubts.unknown);
    section_findings(s, doubts, &mut findings);
    findings.extend(close_parallels(s, &walls, &alone));
    findings.extend(side_by_side(s, &walls));
    findings.extend(like_counters(s, &walls));
    findings.extend(entity_findings(s, k, &in_parts));
    s.watch.border(Stage::Reading)?;
    Ok((sort_lines(s, walls), ToSay { findings, unknown }))
}

/// What there is to say about walls, before the drawings they are in are known.
struct ToSay {
    findings: Vec<Placed>,
    /// See [`SectionDoubts::unknown`].
    unknown: BTreeMap<(u32, i64), Vec<usize>>,
}

impl ToSay {
    /// All but what is about a place in a drawing that is left out: where walls are found by their shape, the whole sheet
    /// is looked at together.
    fn of_planned(self, s: &Survey<'_>, k: f64, layout: &Layout) -> Vec<Placed> {
        let mut out = self.findings;
        if s.unnamed.is_some() {
            // This one is about all of them, at the place of the longest.
            let of_all = |p: &Placed| p.finding.code == dxf::SINGLE_AMONG_FACES;
            out.retain(|p| of_all(p) || !layout.is_in_left_out(p.at_in, k));
        }
        out.extend(unknown_sections(s, k, self.unknown, layout));
        out
    }
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
    findings.extend(crate::stacked::findings(&s, k, &walls));
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
        let kept = [dxf::OTHER_DRAWING, dxf::MISSING_BLOCK, dxf::CODE_PAGE, input::REPAIRED];
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

/// In inches.
pub(crate) fn in_inches(g: Segment, k: f64) -> Segment {
    Segment { a: [g.a[0] * k, g.a[1] * k], b: [g.b[0] * k, g.b[1] * k] }
}

/// An order of the lines that does not depend on the file's: by place, then by layer and handle.
fn sort_lines(s: &Survey<'_>, mut walls: Vec<WallLine>) -> Vec<WallLine> {
    for w in &mut walls {
        let Segment { a, b } = w.line;
        if (b[0].total_cmp(&a[0])).then(b[1].total_cmp(&a[1])).is_lt() {
            w.line = Segment { a: b, b: a };
        }
    }
    let mut order: Vec<([u64; 4], usize)> =
        walls.iter().map(|w| by_ends(&w.line)).zip(0..).collect();
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
