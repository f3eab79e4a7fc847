//! What there is to say about layers: their use, the walls found on them, the sections of these.
//!
//! Knows: how such findings are worded and grouped. Never touches: how layers are judged (`layers`), single entities.

use crate::account::{Fate, Reason};
use crate::affine::Xy;
use crate::inspect::toml_string;
use crate::layers::Usage;
use crate::region::Layout;
use crate::report::{Placed, entities};
use crate::survey::{Survey, plural};
use crate::unitwords::size;
use diag::codes::{dxf, input};
use diag::words::{counted, is, was};
use diag::{Finding, Severity, SourceRef};
use geom::Length;
use lumber::{Boards, Section};
use settings::Settings;
use std::collections::BTreeMap;

/// Findings about layers as such.
pub(crate) fn layer_findings(s: &Survey<'_>) -> Vec<Finding> {
    let mut out = Vec::new();
    let mut used: Vec<u64> = vec![0; s.roles.len()];
    let mut hidden: BTreeMap<(u32, Option<u32>), u64> = BTreeMap::new();
    let drawn = s.drawing.lines.shapes.iter().zip(&s.fates).filter(|(x, _)| x.is_line());
    for (shape, fate) in drawn {
        if let Some(n) = used.get_mut(shape.layer as usize) {
            *n += 1;
        }
        let usage = s.usage(shape.layer);
        let off = matches!(fate, Fate::Left(Reason::Off | Reason::Frozen));
        if off && (usage == Usage::Wall || usage.is_opening()) {
            *hidden.entry((shape.layer, s.drawing.hidden_by(shape))).or_default() += 1;
        }
    }
    for (i, role) in s.roles.iter().enumerate() {
        let name = s.drawing.layer_name(i as u32);
        let count = used.get(i).copied().unwrap_or(0);
        if count == 0 {
            continue;
        }
        if role.by_word {
            out.push(
                Finding::new(
                    dxf::LAYER_BY_WORD,
                    format!(
                        "Layer {name} was taken as {} layer by {}.",
                        role.usage.name(),
                        role.rule
                    ),
                )
                .about(name),
            );
        }
        if role.by_drawn {
            let message = format!(
                "Layer {name} has {}. It was taken as wall layer; doors and windows on it are found by their \
                 shape only. Compare every wall with the drawing. To settle it, put this in the settings: \
                 [[layers]] match = {}, use = \"wall\"; or use = \"window\" to say that it holds none.",
                role.rule,
                toml_string(name)
            );
            out.push(
                Finding::new(dxf::LAYER_BY_WORD, message).about(name).severity(Severity::Warning),
            );
        }
        if role.excluded_wall {
            out.push(
                Finding::new(
                    dxf::LAYER_EXCLUDED,
                    format!(
                        "Layer {name} ({count} {}) was left out: {}.",
                        entities(count),
                        role.rule
                    ),
                )
                .about(name),
            );
        }
        if role.partial_height && role.usage == Usage::Wall {
            out.push(
                Finding::new(
                    dxf::PARTIAL_HEIGHT,
                    format!("Layer {name} says partial height, but no top is given for it; the default top \
                             is used."),
                )
                .about(name),
            );
        }
    }
    for ((layer, by), count) in hidden {
        let name = s.drawing.layer_name(layer);
        let state = s.drawing.layers.get(layer as usize);
        let why = match by {
            Some(by) => {
                format!("in an insert on layer {}, which is frozen", s.drawing.layer_name(by))
            }
            None if state.is_some_and(|l| l.frozen) => "which is frozen".to_owned(),
            None => "which is off".to_owned(),
        };
        out.push(
            Finding::new(
                dxf::HIDDEN,
                format!(
                    "{count} {} on layer {name}, {why}, {} left out.",
                    entities(count),
                    was(count as usize)
                ),
            )
            .about(name),
        );
    }
    out.extend(surfaces(s));
    out
}

/// Wall layers whose walls are drawn as surfaces in space.
fn surfaces(s: &Survey<'_>) -> Vec<Finding> {
    let mut of: BTreeMap<(u32, &str), u64> = BTreeMap::new();
    for (shape, fate) in s.drawing.lines.shapes.iter().zip(&s.fates) {
        let left = matches!(fate, Fate::Left(_));
        if shape.kind.is_surface() && !left && s.usage(shape.layer) == Usage::Wall {
            *of.entry((shape.layer, shape.kind.name())).or_default() += 1;
        }
    }
    let said = |((layer, kind), count)| {
        let name = s.drawing.layer_name(layer);
        let message = format!(
            "Layer {name}: walls are drawn as surfaces in space ({count} {kind}) and were read as seen from above. \
             Doors and windows are seen only where the surfaces stop beside them."
        );
        Finding::new(dxf::WALLS_AS_SURFACES, message).about(name)
    };
    of.into_iter().map(said).collect()
}

/// Rules of the settings that match no layer of the drawing. Settings are shared by many drawings, so
/// this is worth a note only.
pub(crate) fn unused_rules(s: &Survey<'_>, settings: &Settings) -> Vec<Finding> {
    let names = || s.drawing.layers.iter().map(|l| l.name.as_str());
    let own = crate::layers::own_name;
    let unused = settings
        .layers
        .iter()
        .enumerate()
        .filter(|(_, r)| !names().any(|n| r.matches(n) || r.matches(own(n))));
    unused
        .map(|(i, r)| {
            let plain = r.pattern.replace(['*', '?'], "");
            let near = settings::parse::nearest(&plain, names().map(own));
            let meant = near.map(|n| format!(" Did you mean {n}?")).unwrap_or_default();
            Finding::new(
                dxf::RULE_UNUSED,
                format!(
                    "[[layers]] entry {}, match = \"{}\", fits no layer of this drawing.{meant}",
                    i + 1,
                    r.pattern
                ),
            )
            .about("layers")
        })
        .collect()
}

/// What pairing made of a layer.
#[derive(Clone, Debug, Default)]
pub(crate) struct FaceLayer {
    /// Walls by thickness in 1/16 in, with the least thickness as drawn, inches.
    pub thicknesses: BTreeMap<i64, (u64, f64)>,
    /// Walls with finishes drawn as lines of their own.
    pub finished: u64,
    /// Gaps read as openings.
    pub openings: u64,
    /// Walls drawn as one line, and their length in inches.
    pub single: (u64, f64),
    /// Length of all lines that may bound walls, inches.
    pub length: f64,
    /// How much of it bounds none.
    pub left: f64,
    /// Lines it is of.
    pub left_lines: u64,
    /// The longest piece left: length, place, shape.
    pub longest: (f64, Xy, usize),
    /// Of what is left, lines that stand as far apart as the faces of thick masonry: how many, their length,
    /// least and greatest distance, inches.
    pub thick: Option<(u64, f64, [f64; 2])>,
}

/// Share of a layer's line length left over that is an error.
const TOO_MUCH_LEFT: f64 = 1.0 / 3.0;

/// What finishes on both sides add to a stud at most, inches: 5/8 in boards, doubled, and plaster.
const FINISHES_IN: f64 = 3.0;

/// A hint, where a layer's name or rule gives a section that is too thin for walls found on it: two
/// centrelines near each other look like the faces of one wall.
fn centrelines_of_two(s: &Survey<'_>, layer: u32, l: &FaceLayer) -> String {
    let Some(section) = s.roles.get(layer as usize).and_then(|r| r.section) else {
        return String::new();
    };
    let most = section.width().to_inches() + FINISHES_IN;
    let thick = l.thicknesses.iter().filter(|(t, _)| **t as f64 / 16.0 > most);
    let (count, apart) =
        thick.fold((0, None), |(n, a), (_, (k, least))| (n + *k, a.or(Some(*least))));
    let Some(apart) = apart else { return String::new() };
    format!(
        " The layer is said to be {section}, but {count} {} found between lines {} apart{}: are these the \
         centrelines of two walls near each other? Then the lines left are centrelines as well: draw the two \
         walls as polylines as wide as they are thick, which are never taken for faces.",
        if count == 1 { "wall was" } else { "walls were" },
        size(apart),
        if count == 1 { "" } else { " and more" }
    )
}

/// What was found by pairing faces, and what was left, layer by layer.
pub(crate) fn face_findings(
    s: &Survey<'_>,
    layers: &BTreeMap<u32, FaceLayer>,
    middle: Xy,
) -> Vec<Placed> {
    let mut out: Vec<Placed> = Vec::new();
    for (layer, l) in layers {
        let name = s.drawing.layer_name(*layer);
        let walls: u64 = l.thicknesses.values().map(|t| t.0).sum();
        if walls > 0 {
            let mut by_count: Vec<(&i64, &(u64, f64))> = l.thicknesses.iter().collect();
            by_count.sort_by_key(|(t, n)| (std::cmp::Reverse(n.0), **t));
            let more = by_count.len().saturating_sub(6);
            let mut list: Vec<String> = by_count
                .iter()
                .take(6)
                .map(|(_, (n, drawn))| format!("{n} at {}", size(*drawn)))
                .collect();
            if more > 0 {
                list.push(format!("others at {more} more"));
            }
            let mut message = format!(
                "Layer {name}: walls are drawn as pairs of face lines. {walls} {} found between them: {}.",
                if walls == 1 { "wall was" } else { "walls were" },
                list.join(", ")
            );
            if l.finished > 0 {
                message += &format!(
                    " {} {} drawn with finishes as lines of their own: the stud faces were taken.",
                    l.finished,
                    if l.finished == 1 { "is" } else { "are" }
                );
            }
            if l.openings > 0 {
                message += &format!(
                    " {} {} in the faces {} read as {}.",
                    l.openings,
                    plural(l.openings, "gap"),
                    was(l.openings as usize),
                    if l.openings == 1 { "an opening" } else { "openings" }
                );
            }
            out.push(Finding::new(dxf::FACE_LINES, message).about(name).into());
        }
        if l.single.0 > 0 {
            let message = format!(
                "Layer {name}: {} {}, {:.0} ft in all, {} taken for walls drawn as one line: both ends \
                 meet walls and nothing runs beside. Their section is the layer's or the default.",
                l.single.0,
                plural(l.single.0, "line"),
                l.single.1 / 12.0,
                was(l.single.0 as usize)
            );
            out.push(Finding::new(dxf::SINGLE_AMONG_FACES, message).about(name).into());
        }
        let share = if l.length > 0.0 { l.left / l.length } else { 0.0 };
        if l.left_lines > 0 {
            let mut message = format!(
                "Layer {name}: {} {}, {:.0} ft in all, {:.0} % of the length, {} no wall: no parallel line \
                 is at a wall's thickness beside them. The longest is {}.",
                l.left_lines,
                plural(l.left_lines, "line"),
                l.left / 12.0,
                share * 100.0,
                if l.left_lines == 1 { "bounds" } else { "bound" },
                size(l.longest.0)
            );
            if let Some((lines, long, [least, most])) = l.thick {
                let apart = match most - least > 0.05 {
                    true => format!("{} to {}", size(least), size(most)),
                    false => size(least),
                };
                message += &format!(
                    " Of these, {lines} lines, {:.0} ft in all, run side by side {apart} apart: if they are \
                     the faces of masonry, it is not read, since walls thicker than {} have no framed plates. \
                     To frame one all the same, draw its centreline on another wall layer.",
                    long / 12.0,
                    size(crate::walls::THICKEST_FACES_IN)
                );
            }
            message += &centrelines_of_two(s, *layer, l);
            let severity = if share > TOO_MUCH_LEFT { Severity::Error } else { Severity::Warning };
            let finding = Finding::new(dxf::FACE_LINES_LEFT, message)
                .about(name)
                .from(&[s.source(l.longest.2)])
                .severity(severity);
            let at_in = Some([l.longest.1[0] + middle[0], l.longest.1[1] + middle[1]]);
            out.push(Placed { finding, at_in });
        }
    }
    out
}

/// What there is to say about sections, by resolved layer.
#[derive(Default)]
pub(crate) struct SectionDoubts {
    /// Lines that got the last resort.
    pub assumed: BTreeMap<u32, u64>,
    /// Stated section against drawn width in 1/64 in, with counts.
    pub conflicts: BTreeMap<(u32, Section), BTreeMap<i64, u64>>,
    /// Sections that a drawn width with boards was taken for, with the width in 1/64 in: the boards that fit
    /// worst of its walls, and how many walls.
    pub drawn: BTreeMap<(u32, Section, i64), (Boards, u64)>,
    /// Drawn width in 1/64 in that fits no section, with shapes.
    pub unknown: BTreeMap<(u32, i64), Vec<usize>>,
}

impl SectionDoubts {
    /// Takes note of a section that a drawn width was taken for, where it is not the bare stud's.
    pub fn drawn(&mut self, layer: u32, section: Section, width_in: f64) {
        let Some(width) = Length::from_inches(width_in).map(Length::denoise) else { return };
        if Section::from_stud_thickness(width, section.is_metric()).is_some() {
            return;
        }
        let Some(boards) = section.boards_in(width) else { return };
        let key = (layer, section, (width_in * 64.0).round() as i64);
        let (worst, count) = self.drawn.entry(key).or_insert((boards, 0));
        *worst = boards.max(*worst);
        *count += 1;
    }
}

/// So near another section's bare width a wall with boards may be that one, drawn a little off: 1/4 in (common
/// practice, no source).
const NEARLY_BARE_IN: f64 = 0.25;

/// Another section of the same system whose bare width a drawn one, in 1/64 in, is near, and by how much in inches.
fn nearly_bare(section: Section, w: i64) -> Option<(Section, f64)> {
    let off = |s: &Section| (s.width().to_inches() - w as f64 / 64.0).abs();
    let others = Section::all().filter(|s| s.is_metric() == section.is_metric() && *s != section);
    let nearest = others.min_by(|a, b| off(a).total_cmp(&off(b)))?;
    (off(&nearest) <= NEARLY_BARE_IN).then(|| (nearest, off(&nearest)))
}

/// Findings about sections, but for those that are [`unknown_sections`].
pub(crate) fn section_findings(s: &Survey<'_>, doubts: SectionDoubts, findings: &mut Vec<Placed>) {
    let SectionDoubts { assumed, conflicts, drawn, unknown: _ } = doubts;
    for ((layer, section, w), (boards, count)) in drawn {
        let name = s.drawing.layer_name(layer);
        let mut message = format!(
            "Layer {name}: {} {} drawn {} thick and planned as {section}, with {boards}.",
            counted(count as usize, "wall"),
            is(count as usize),
            size(w as f64 / 64.0)
        );
        let mut finding = Finding::new(dxf::SECTION_DRAWN, String::new()).about(name);
        if !boards.fit_well() {
            message += &format!(
                " That does not fit well, it is {:.1} mm off, and no usual boards fit better.",
                boards.off.to_mm()
            );
            finding = finding.severity(Severity::Warning);
        }
        if let Some((other, off)) = nearly_bare(section, w) {
            message += &format!(
                " It is also only {} off a bare {other}: check which of the two it is, and give the section in \
                 [[layers]].",
                size(off)
            );
            finding = finding.severity(Severity::Warning);
        }
        finding.message = message;
        findings.push(finding.into());
    }
    for (layer, count) in assumed {
        let name = s.drawing.layer_name(layer);
        findings.push(
            Finding::new(
                input::SECTION_ASSUMED,
                format!(
                    "Layer {name}: {count} {} drawn without thickness, and neither the settings nor the \
                     layer name give a section; 2x4 was taken.",
                    if count == 1 { "wall line is" } else { "wall lines are" }
                ),
            )
            .about(name)
            .into(),
        );
    }
    for ((layer, section), widths) in conflicts {
        let name = s.drawing.layer_name(layer);
        let list: Vec<String> =
            widths.iter().map(|(w, n)| format!("{} ({n})", size(*w as f64 / 64.0))).collect();
        findings.push(
            Finding::new(
                dxf::SECTION_CONFLICT,
                format!(
                    "Layer {name} is said to be {section}, but has walls drawn {} thick. They are planned as {section}.",
                    list.join(", ")
                ),
            )
            .about(name)
            .into(),
        );
    }
}

/// Walls whose drawn width fits no section; those in drawings that are left out are no trouble.
pub(crate) fn unknown_sections(
    s: &Survey<'_>,
    k: f64,
    unknown: BTreeMap<(u32, i64), Vec<usize>>,
    layout: &Layout,
) -> Vec<Placed> {
    let place = |i: &usize| s.place_of(*i).map(|p| [p[0] * k, p[1] * k]);
    let mut out = Vec::new();
    for ((layer, w), mut shapes) in unknown {
        shapes.retain(|i| !layout.is_in_left_out(place(i), k));
        let Some(first) = shapes.first() else { continue };
        let name = s.drawing.layer_name(layer).to_owned();
        let at_in = place(first);
        let mut sources: Vec<SourceRef> = shapes.iter().map(|i| s.source(*i)).collect();
        sources.sort();
        sources.dedup();
        out.push(Placed {
            finding: Finding::new(
                input::SECTION_UNKNOWN,
                format!(
                    "Layer {name}: {} {} {} thick, which is no stud wall with or without boards; left out.",
                    shapes.len(),
                    if shapes.len() == 1 { "wall is drawn" } else { "walls are drawn" },
                    size(w as f64 / 64.0)
                ),
            )
            .about(name)
            .from(&sources),
            at_in,
        });
    }
    out
}
