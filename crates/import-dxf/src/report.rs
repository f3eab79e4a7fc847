//! What there is to say about a drawing's walls, doors and windows.
//!
//! Knows: how findings are worded, grouped and placed. Never touches: how walls are made; the order of
//! entities in the file does not show in what is said.

use crate::account::{Fate, Reason};
use crate::affine::{Xy, norm, sub};
use crate::glass::{Pane, PaneTally};
use crate::layers::Usage;
use crate::leftout::at_left_out_walls;
use crate::linework::{Kind, Segment, mark};
use crate::nearby::LineIndex;
use crate::openings::{Symbol, Told};
use crate::survey::{Survey, plural};
use crate::units::size;
use crate::unlayered::is_swing;
use crate::walls::has_wall_linework;
use diag::codes::{dxf, input};
use diag::words::{counted, is, was};
use diag::{Finding, Refusal, Severity, SourceRef};
use geom::{Length, Point};
use lumber::{Boards, Section};
use settings::{Mirror, Settings};
use std::cell::OnceCell;
use std::collections::BTreeMap;
use wall_model::OpeningKind;

/// Entities of one kind that get a finding each; the rest of them share one.
pub(crate) const NAMED: usize = 20;

/// A finding whose place is still in inches of the drawing.
pub(crate) struct Placed {
    /// The finding.
    pub finding: Finding,
    /// Its place.
    pub at_in: Option<Xy>,
}

impl From<Finding> for Placed {
    fn from(finding: Finding) -> Placed {
        Placed { finding, at_in: None }
    }
}

/// The finding with its place in the plan's own frame.
pub(crate) fn place(p: Placed, origin: (f64, f64), mirror: Mirror) -> Finding {
    let at = p.at_in.and_then(|[x, y]| {
        let (x, y) = mirror.point((x, y));
        Some(Point::new(Length::from_inches(x - origin.0)?, Length::from_inches(y - origin.1)?))
    });
    Finding { at: p.finding.at.or(at), ..p.finding }
}

/// No model: every reason there is, most telling first.
pub(crate) fn refuse(s: &Survey<'_>, first: Option<Finding>) -> Refusal {
    let mut all = Vec::new();
    let walls = has_wall_linework(s) || s.unnamed.is_some();
    let (of_file, rest): (Vec<Finding>, Vec<Finding>) =
        s.file_findings().into_iter().partition(|f| f.severity == Severity::Error);
    if walls {
        all.extend(first);
        all.extend(of_file);
    } else {
        all.extend(of_file);
        all.push(no_walls(s));
        // The unit will be asked for as soon as there are walls: better to know both at once.
        all.extend(first.or_else(|| s.units.refusal.clone()));
    }
    // Damage and missing blocks may be why there are no walls.
    let tells = [input::REPAIRED, dxf::MISSING_BLOCK];
    all.extend(rest.into_iter().filter(|f| tells.contains(&f.code)));
    Refusal { findings: all }
}

/// The finding that no layer gives walls, with the layers there are.
pub(crate) fn no_walls(s: &Survey<'_>) -> Finding {
    let summaries = crate::inspect::layer_summaries(s);
    let walls: Vec<&str> =
        summaries.iter().filter(|l| l.used_as == "wall").map(|l| l.name.as_str()).collect();
    let by_shape = match s.drawing.lines.segments.len() > crate::candidates::MOST_LINES {
        true => "there are too many lines to look for walls by their shape",
        false => "no lines were found that have the shape of a network of walls",
    };
    let drawn_on = summaries.iter().any(|l| l.used_as == "wall" && l.entities() > 0);
    let mut message = if walls.is_empty() {
        format!("No layer is recognised as holding walls, and {by_shape}.")
    } else if !drawn_on {
        format!(
            "Nothing is drawn on the wall {} {}, and {by_shape}.",
            plural(walls.len() as u64, "layer"),
            walls.join(", ")
        )
    } else {
        let what: Vec<String> = s
            .drawing
            .layers
            .iter()
            .filter(|l| walls.contains(&l.name.as_str()) && (l.off || l.frozen))
            .map(|l| format!("{} is {}", l.name, if l.frozen { "frozen" } else { "off" }))
            .collect();
        let hidden =
            if what.is_empty() { String::new() } else { format!(" ({})", what.join(", ")) };
        format!(
            "The wall {} {} {} no lines that can be read{hidden}.",
            plural(walls.len() as u64, "layer"),
            walls.join(", "),
            if walls.len() == 1 { "has" } else { "have" }
        )
    };
    let mut with_lines: Vec<_> = summaries.iter().filter(|l| l.entities() > 0).collect();
    with_lines.sort_by(|a, b| {
        b.walls_score
            .cmp(&a.walls_score)
            .then(b.entities().cmp(&a.entities()))
            .then(a.name.cmp(&b.name))
    });
    if with_lines.is_empty() {
        message += " Model space has no entities.";
        if s.drawing.lines.others.keys().any(|k| k.2 == crate::linework::State::Paper) {
            message +=
                " There are some in paper space, which is not read: plans belong in model space.";
        }
    } else {
        let list: Vec<String> = with_lines
            .iter()
            .take(12)
            .map(|l| format!("{} ({})", l.name, l.counts_text(2)))
            .collect();
        let more = with_lines.len().saturating_sub(12);
        message += &format!(
            " Layers with entities: {}{}.",
            list.join(", "),
            if more > 0 { format!(" and {more} more") } else { String::new() }
        );
    }
    let excluded: Vec<String> = s
        .drawing
        .layers
        .iter()
        .zip(&s.roles)
        .filter(|(_, r)| r.excluded_wall)
        .map(|(l, r)| format!("{} ({})", l.name, r.rule))
        .collect();
    if !excluded.is_empty() {
        message += &format!(" Left out by name: {}.", excluded.join(", "));
    }
    // What has a wall's name and lines is meant sooner than what only looks like walls.
    let left_out = crate::inspect::left_out_walls(s, &summaries);
    let likely = crate::inspect::likely_walls(&summaries);
    match (left_out.as_slice(), likely.first()) {
        ([], Some(best)) => {
            message += &format!(
                " Did you mean {0}? Then put [[layers]] match = {1}, use = \"wall\" in the settings.",
                best.name,
                crate::inspect::toml_string(&best.name)
            );
        }
        ([], None) => {}
        (some, _) => {
            let lines: Vec<String> = some
                .iter()
                .take(3)
                .map(|l| {
                    let name = crate::inspect::toml_string(&l.name);
                    format!("[[layers]] match = {name}, use = \"wall\"")
                })
                .collect();
            message += &format!(
                " If the walls of {} are to be framed after all, put this in the settings: {}.",
                match some {
                    [one] => one.name.as_str(),
                    _ => "one of these",
                },
                lines.join("; or ")
            );
        }
    }
    Finding::new(input::NO_WALLS, message).about("layers")
}

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
    out
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

fn entities(n: u64) -> &'static str {
    if n == 1 { "entity" } else { "entities" }
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

/// Findings about sections.
pub(crate) fn section_findings(
    s: &Survey<'_>,
    k: f64,
    doubts: SectionDoubts,
    findings: &mut Vec<Placed>,
) {
    let SectionDoubts { assumed, conflicts, drawn, unknown } = doubts;
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
                    "Layer {name} is said to be {section}, but has walls drawn {} thick.",
                    list.join(", ")
                ),
            )
            .about(name)
            .into(),
        );
    }
    for ((layer, w), shapes) in unknown {
        let name = s.drawing.layer_name(layer).to_owned();
        let mut sources: Vec<SourceRef> = shapes.iter().map(|i| s.source(*i)).collect();
        sources.sort();
        sources.dedup();
        let at_in = shapes.first().and_then(|i| s.place_of(*i)).map(|p| [p[0] * k, p[1] * k]);
        findings.push(Placed {
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
}

/// Circles no larger across are columns, not walls, inches.
const COLUMN_IN: f64 = 36.0;

/// Whether a circle is no larger than a column.
fn is_column(s: &Survey<'_>, circle: usize, k: f64) -> bool {
    let lines = &s.drawing.lines;
    let mut arcs = lines.arcs_of(circle).filter_map(|j| lines.arcs.get(j)).peekable();
    arcs.peek().is_some() && arcs.all(|a| norm(a.u).max(norm(a.v)) * k * 2.0 <= COLUMN_IN)
}

/// Lines of walls end this near to the hinge or an end of a swing, inches: frame and leaf lie between.
const AT_SWING_IN: f64 = 6.0;

/// The lines of the wall layers that are seen, with what finds them by their place.
struct WallLines {
    lines: Vec<Segment>,
    index: LineIndex,
}

impl WallLines {
    fn of(s: &Survey<'_>) -> WallLines {
        let drawn = &s.drawing.lines;
        let walls =
            (0..s.fates.len()).filter(|i| s.role(*i).is_some_and(|r| r.usage == Usage::Wall));
        let seen = walls.filter(|i| s.fates.get(*i).is_some_and(|f| !f.is_unseen()));
        let own = seen.flat_map(|i| drawn.segments_of(i)).filter_map(|j| drawn.segments.get(j));
        let lines: Vec<Segment> = own.copied().collect();
        WallLines { index: LineIndex::new(&lines), lines }
    }

    /// Whether one of them ends at a swing: a doorway, perhaps.
    fn end_at_swing(&self, s: &Survey<'_>, shape: usize, k: f64) -> bool {
        let drawn = &s.drawing.lines;
        let Some(swing) = drawn.arcs_of(shape).find_map(|j| drawn.arcs.get(j)) else {
            return false;
        };
        let [one, other] = swing.ends();
        let places = [swing.center, one, other];
        let at = |p: Xy| places.iter().any(|q| norm(sub(p, *q)) * k <= AT_SWING_IN);
        let near = self.index.near(&places, AT_SWING_IN / k);
        near.into_iter().filter_map(|j| self.lines.get(j as usize)).any(|g| at(g.a) || at(g.b))
    }
}

/// Findings about single entities of the wall layers: curved, unusable, tilted, raised, cut. `in_parts` has
/// the arcs of each shape that are planned as straight parts.
pub(crate) fn entity_findings(
    s: &Survey<'_>,
    k: f64,
    in_parts: &BTreeMap<usize, usize>,
) -> Vec<Placed> {
    let mut groups: BTreeMap<(&str, u32), Vec<usize>> = BTreeMap::new();
    let walls = OnceCell::new();
    for (i, shape) in s.drawing.lines.shapes.iter().enumerate() {
        let usage = s.usage(shape.layer);
        let is_wall = usage == Usage::Wall;
        if !is_wall && !usage.is_opening() {
            continue;
        }
        let fate = s.fates.get(i);
        let mut add = |what| groups.entry((what, shape.layer)).or_default().push(i);
        match fate {
            Some(Fate::Left(Reason::NotRead)) if is_wall => match shape.kind {
                Kind::Circle if is_column(s, i, k) => add("column"),
                Kind::Circle | Kind::Ellipse | Kind::Spline => add("curved"),
                _ => {}
            },
            Some(Fate::Left(Reason::Bad)) => add("bad"),
            Some(Fate::Left(Reason::Far)) => add("far"),
            Some(Fate::Left(Reason::ZeroLength)) if is_wall => add("zero"),
            Some(Fate::Left(Reason::Tilted)) if is_wall => add("tilted"),
            Some(Fate::Left(Reason::Curved)) if is_swing(s, i, k) => {
                let walls = walls.get_or_init(|| WallLines::of(s));
                add(if walls.end_at_swing(s, i, k) { "swing" } else { "swing by itself" });
            }
            Some(Fate::Left(Reason::Curved)) => add("curved"),
            Some(Fate::Used) if is_wall => {
                if s.drawing.lines.arcs_of(i).len() > in_parts.get(&i).copied().unwrap_or(0) {
                    add("curved");
                }
                if shape.marks & mark::RAISED != 0 {
                    add("raised");
                }
                if shape.marks & mark::CUT != 0 {
                    add("cut");
                }
            }
            _ => {}
        }
    }
    let mut out = Vec::new();
    for ((what, layer), shapes) in groups {
        let name = s.drawing.layer_name(layer);
        let (code, one, many): (_, &str, &str) = match what {
            "bad" => (
                input::COORDINATE_BAD,
                "was left out: a coordinate is missing or is no number",
                "were left out: coordinates are missing or are no numbers",
            ),
            "far" => (
                input::COORDINATE_BAD,
                "was left out: its coordinates are sound, but it lies more than 100 km from the other walls",
                "were left out: their coordinates are sound, but they lie more than 100 km from the other walls",
            ),
            "zero" => (
                input::WALL_ZERO_LENGTH,
                "has no length and was left out",
                "have no length and were left out",
            ),
            "tilted" => (
                dxf::NOT_FLAT,
                "does not lie flat and was left out",
                "do not lie flat and were left out",
            ),
            "curved" => (
                dxf::CURVED_WALL,
                "is curved; its curved part was left out",
                "are curved; their curved parts were left out",
            ),
            "swing" => (
                dxf::CURVED_WALL,
                "looks like the swing of a door on a wall layer, and neither its leaf nor its doorway was found. It \
                 was left out, and a wall's line ends at it: if that is a doorway, the plates over it are missing. \
                 Put the door on a door layer, or draw its leaf",
                "look like swings of doors on a wall layer, and neither their leaves nor their doorways were found. \
                 They were left out, and lines of walls end at them: where that is a doorway, the plates over it \
                 are missing. Put the doors on a door layer, or draw their leaves",
            ),
            "swing by itself" => (
                dxf::CURVED_WALL,
                "looks like the swing of a door on a wall layer, and neither its leaf nor its doorway was found. It \
                 was left out; no wall's line ends at it, so the walls there are planned as they are drawn. If it is \
                 a door, put it on a door layer",
                "look like swings of doors on a wall layer, and neither their leaves nor their doorways were found. \
                 They were left out; no wall's lines end at them, so the walls there are planned as they are drawn. \
                 If they are doors, put them on a door layer",
            ),
            "column" => (
                dxf::CURVED_WALL,
                "is a circle no larger across than a column and was left out",
                "are circles no larger across than columns and were left out",
            ),
            "raised" => (
                dxf::HEIGHTS,
                "is not at height zero; its height was dropped",
                "are not at height zero; their heights were dropped",
            ),
            _ => (
                dxf::MLINE_CUT,
                "has cuts in its lines: those through all of them from 14 in to 8 ft 3 in wide were read as \
                 openings, wider ones as where the wall stops, all others as running on",
                "have cuts in their lines: those through all of them from 14 in to 8 ft 3 in wide were read as \
                 openings, wider ones as where the wall stops, all others as running on",
            ),
        };
        let judged = |f: Finding| match what {
            "column" | "swing by itself" => f.severity(Severity::Warning),
            _ => f,
        };
        let mut sources: Vec<(SourceRef, usize)> =
            shapes.iter().map(|i| (s.source(*i), *i)).collect();
        sources.sort();
        let one_by_one = if what == "raised" { 0 } else { NAMED.min(sources.len()) };
        let (named, rest) = sources.split_at(one_by_one);
        for (source, i) in named {
            let kind = s.drawing.lines.shapes.get(*i).map_or("", |x| x.kind.name());
            out.push(Placed {
                finding: judged(Finding::new(
                    code,
                    format!("{kind} {} on layer {name} {one}.", source.entity),
                ))
                .about(source.entity.clone())
                .from(std::slice::from_ref(source)),
                at_in: s.place_of(*i).map(|p| [p[0] * k, p[1] * k]),
            });
        }
        if !rest.is_empty() {
            let some: Vec<SourceRef> = rest.iter().take(NAMED).map(|r| r.0.clone()).collect();
            let n = rest.len() as u64;
            let more = if named.is_empty() { "" } else { "more " };
            out.push(
                judged(Finding::new(
                    code,
                    format!(
                        "{n} {more}{} on layer {name} {}.",
                        entities(n),
                        if n == 1 { one } else { many }
                    ),
                ))
                .about(name)
                .from(&some)
                .into(),
            );
        }
    }
    out
}

/// Tells which doors and windows lie on no wall; the second of each pair says whether a wall in line with
/// it ends at it, so that top plates may be missing.
pub(crate) fn unhosted(
    s: &Survey<'_>,
    k: f64,
    lost: &[(&Symbol, bool)],
    no_walls: bool,
    findings: &mut Vec<Placed>,
) {
    if no_walls {
        return;
    }
    let symbols: Vec<&Symbol> = lost.iter().map(|l| l.0).collect();
    let (left_out, lost): (Vec<_>, Vec<_>) = lost
        .iter()
        .zip(at_left_out_walls(s, k, &symbols))
        .partition(|((_, wall_ends), left_out)| *left_out && !wall_ends);
    let mut sources: Vec<SourceRef> = left_out
        .iter()
        .filter_map(|((x, _), _)| x.shapes.iter().map(|i| s.source(*i)).min())
        .collect();
    if !sources.is_empty() {
        sources.sort();
        let message = format!(
            "{} at walls that are left out, for their layer's name or because no lumber fits them: nothing is \
             planned there.",
            match sources.len() {
                1 => "A door or window lies".to_owned(),
                n => format!("{n} doors and windows lie"),
            },
        );
        sources.truncate(NAMED);
        let finding = Finding::new(dxf::OPENING_UNHOSTED, message).from(&sources);
        findings.push(finding.severity(Severity::Note).into());
    }
    let mut all: Vec<(bool, SourceRef, &Symbol)> = lost
        .iter()
        .map(|l| l.0)
        .filter_map(|(x, ends)| Some((!ends, x.shapes.iter().map(|i| s.source(*i)).min()?, *x)))
        .collect();
    // Where plates may be missing first.
    all.sort_by(|a, b| (a.0, &a.1).cmp(&(b.0, &b.1)));
    let severity = |wall_ends: bool| if wall_ends { Severity::Error } else { Severity::Warning };
    let (named, rest) = all.split_at(NAMED.min(all.len()));
    for (by_itself, source, symbol) in named {
        let corners = symbol.corners();
        let n = corners.len().max(1) as f64;
        let sum = corners.iter().fold([0.0, 0.0], |a, p| [a[0] + p[0], a[1] + p[1]]);
        findings.push(Placed {
            finding: Finding::new(
                dxf::OPENING_UNHOSTED,
                format!(
                    "The {} {} on layer {}, {} wide, lies on no wall{}.",
                    match (symbol.told, symbol.kind) {
                        (Told::Shape, _) => "leaf of a door",
                        (Told::Panels, _) => "pair of sliding panels",
                        (Told::Layer | Told::Name, kind) => kind.name(),
                    },
                    source.entity,
                    source.layer,
                    size(symbol.size()),
                    match by_itself {
                        true => "",
                        false =>
                            ", but in line with one that ends at it: the top plates over it may be missing",
                    }
                ),
            )
            .about(source.entity.clone())
            .from(std::slice::from_ref(source))
            .severity(severity(!by_itself)),
            at_in: Some([sum[0] / n, sum[1] / n]),
        });
    }
    if !rest.is_empty() {
        let some: Vec<SourceRef> = rest.iter().take(NAMED).map(|r| r.1.clone()).collect();
        let at_ends = rest.iter().filter(|r| !r.0).count();
        let mut message = format!("{} more doors and windows lie on no wall", rest.len());
        if at_ends > 0 {
            message += &format!(", {at_ends} of them in line with one that ends there");
        }
        message += ".";
        findings.push(
            Finding::new(dxf::OPENING_UNHOSTED, message)
                .from(&some)
                .severity(severity(at_ends > 0))
                .into(),
        );
    }
}

/// Which doors and windows were taken by the name of their block or by their shape, and lie on a wall.
pub(crate) fn told_otherwise(s: &Survey<'_>, taken: &[&Symbol]) -> Vec<Placed> {
    let mut by_name: BTreeMap<(String, String), u64> = BTreeMap::new();
    let mut by_layer: BTreeMap<(Told, OpeningKind), BTreeMap<String, u64>> = BTreeMap::new();
    let mut sources: BTreeMap<(Told, OpeningKind), Vec<SourceRef>> = BTreeMap::new();
    for x in taken {
        let Some(first) = x.shapes.first().and_then(|i| s.drawing.lines.shapes.get(*i)) else {
            continue;
        };
        let name = x.shapes.iter().map(|i| s.source(*i)).min().unwrap_or_default();
        // Inserts of either kind are told together, and so are leaves and swings.
        let kind = if x.told == Told::Panels { x.kind } else { OpeningKind::Door };
        let group = (x.told, kind);
        if x.told == Told::Name {
            let block = crate::symbols::block_of(s, first.via);
            *by_name.entry((block, name.layer.clone())).or_default() += 1;
        } else {
            *by_layer.entry(group).or_default().entry(name.layer.clone()).or_default() += 1;
        }
        sources.entry(group).or_default().push(name);
    }
    let mut out = Vec::new();
    for (group, mut own) in sources {
        own.sort();
        let (n, layers) = (own.len(), by_layer.get(&group));
        let list: Vec<String> = layers
            .into_iter()
            .flatten()
            .map(|(layer, n)| format!("{n} on layer {layer}"))
            .collect();
        let list = list.join(", ");
        let lie = if n == 1 { "lies" } else { "lie" };
        let finding = match group {
            (Told::Name, _) => Finding::new(dxf::OPENINGS_BY_NAME, named(n, &by_name)),
            (Told::Panels, OpeningKind::Window) => Finding::new(
                dxf::WINDOWS_BY_SHAPE,
                format!(
                    "{} {} drawn as panels that run past each other, as those of sliding doors do, between lines on \
                     both sides, as sills are drawn: {list}. The bottom plate is planned through {}. If it is a \
                     door, put its panels on a door layer.",
                    counted(n, "window"),
                    is(n),
                    if n == 1 { "there" } else { "all of them" }
                ),
            )
            .severity(Severity::Warning),
            (Told::Panels, _) => Finding::new(
                dxf::DOORS_BY_SHAPE,
                format!(
                    "{} {} taken by the shape, panels that run past each other, and {lie} on a wall: {list}.",
                    counted(n, "sliding door"),
                    was(n)
                ),
            ),
            _ => Finding::new(
                dxf::DOORS_BY_SHAPE,
                format!(
                    "{} {} taken by the shape, a leaf, a swing or both, and {lie} on a wall: {list}.",
                    counted(n, "door"),
                    was(n)
                ),
            ),
        };
        own.truncate(NAMED);
        out.push(finding.from(&own).into());
    }
    out
}

/// That inserts were taken by the names of their blocks.
fn named(n: usize, by_name: &BTreeMap<(String, String), u64>) -> String {
    let list: Vec<String> = by_name
        .iter()
        .take(12)
        .map(|((block, layer), n)| format!("{n} of {block} on layer {layer}"))
        .collect();
    let more = by_name.len().saturating_sub(12);
    let more = if more > 0 { format!(" and {more} more blocks") } else { String::new() };
    format!(
        "{} on walls {} taken for doors and windows by the name of the block: {}{more}.",
        counted(n, "insert"),
        was(n),
        list.join(", ")
    )
}

/// Windows that were taken by their glass, and places between jambs that were read as solid wall.
pub(crate) fn panes_findings(s: &Survey<'_>, told: PaneTally) -> Vec<Placed> {
    let one = |((layer, glass, lone), (count, pane, source)): (
        (u32, bool, bool),
        (usize, Pane, SourceRef),
    )| {
        let name = s.drawing.layer_name(layer);
        let [a, b] = pane.jambs;
        let wide = size(norm(sub(b, a)));
        let windows = counted(count, "window");
        let finding = match (glass, lone) {
            (true, false) => Finding::new(
                dxf::WINDOWS_BY_SHAPE,
                format!(
                    "Layer {name}: {windows} {} taken by the shape, lines along the middle of a wall between two \
                     jambs; the first is {wide} wide.",
                    was(count)
                ),
            ),
            (true, true) => Finding::new(
                dxf::WINDOWS_BY_SHAPE,
                format!(
                    "Layer {name}: {windows} {} taken by one line along the middle of a gap in both faces; the first \
                     is {wide} wide. A threshold, the track of a pocket door or a centreline looks the same. The bottom \
                     plate is planned through {}. If it is a doorway, put [[layers]] match = {}, use = \"door\" in \
                     the settings; use = \"ignore\" leaves a plain opening.",
                    was(count),
                    if count == 1 { "there" } else { "all of them" },
                    crate::inspect::toml_string(name)
                ),
            )
            .severity(Severity::Warning),
            (false, _) => Finding::new(
                dxf::JAMBS_BARE,
                format!(
                    "Layer {name}: {} between two lines square across a wall, as jambs are drawn, {} read as solid \
                     wall: both faces run on and nothing is drawn between. The first is {wide} wide.",
                    counted(count, "place"),
                    was(count)
                ),
            ),
        };
        let at_in = Some([(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0]);
        Placed { finding: finding.about(name).from(&[source]), at_in }
    };
    told.layers.into_iter().map(one).collect()
}

/// That walls were carried on through a door or window to the wall beyond; `further` has their new ends by
/// wall line.
pub(crate) fn carried_on(further: &BTreeMap<usize, Vec<Xy>>) -> Option<Placed> {
    let count: usize = further.values().map(Vec::len).sum();
    let by_place = |a: &&Xy, b: &&Xy| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1]));
    let first = further.values().flatten().min_by(by_place)?;
    let message = format!(
        "{count} {} at a door or window hard against another wall {} carried on through it to that wall, \
         with an opening.",
        if count == 1 { "wall that ends" } else { "walls that end" },
        was(count)
    );
    let finding = Finding::new(dxf::WALLS_CARRIED_ON, message);
    Some(Placed { finding, at_in: Some(*first) })
}
