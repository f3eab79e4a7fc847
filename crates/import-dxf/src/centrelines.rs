//! Walls that are drawn as one line each, and the section of a wall.
//!
//! Knows: rule, layer name, drawn thickness, default: in this order they tell the section. Never touches: faces,
//! openings.

use crate::account::{Fate, Reason};
use crate::affine::{norm, sub};
use crate::layernotes::SectionDoubts;
use crate::layers::LayerRole;
use crate::linework::{Kind, Segment, mark};
use crate::mlinecuts::stretches;
use crate::survey::Survey;
use crate::walls::{
    POLYLINE_WIDTH_IN, Spec, WallLine, in_inches, is_open_wall, open_wall_segments,
};
use geom::Length;
use lumber::Section;
use settings::Settings;
use smallvec::smallvec;

/// Lines shorter than this are points: the wall model's grid would give both ends the same place.
pub(crate) const SHORTEST_IN: f64 = 0.001;

/// Thickness a segment is drawn with, in inches, if that is a wall's.
pub(crate) fn drawn_width(s: &Survey<'_>, shape: usize, segment: usize, k: f64) -> Option<f64> {
    let width = s.drawing.lines.width_of(segment)? * k;
    let is_mline = s.drawing.lines.shapes.get(shape)?.kind == Kind::Mline;
    (is_mline || (POLYLINE_WIDTH_IN[0]..=POLYLINE_WIDTH_IN[1]).contains(&width)).then_some(width)
}

/// The wall lines with their sections; marks curved, empty and unknown ones.
pub(crate) fn wall_lines(
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
                && differs(section, w, w, metric)
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

/// Deeper studs than stated are told by a thickness from this on above theirs, inches: a board's.
const DEEPER_IN: f64 = 0.5;

/// Whether a stated section is not that of a wall drawn so thick: its studs do not fit in all of it, or what is drawn
/// is as thick as a wall of deeper studs.
pub(crate) fn differs(stated: Section, thickness: f64, overall: f64, metric: bool) -> bool {
    let width = stated.width().to_inches();
    let deeper = || drawn_section(thickness, metric).map(|s| s.width().to_inches());
    width > overall + 1.0 / 32.0 || deeper().is_some_and(|w| w >= width + DEEPER_IN)
}

/// The section that a drawn thickness tells.
pub(crate) fn drawn_section(width_in: f64, metric: bool) -> Option<Section> {
    let width = Length::from_inches(width_in)?.denoise();
    Section::from_wall_thickness(width, metric)
        .or_else(|| Section::from_wall_thickness(width, !metric))
}
