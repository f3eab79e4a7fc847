//! What there is to say about single entities of the wall layers: curved, unusable, tilted, raised, cut.
//!
//! Knows: how such findings are worded and grouped. Never touches: what becomes of the entities.

use crate::account::{Fate, Reason};
use crate::affine::{Xy, norm, sub};
use crate::layers::Usage;
use crate::linework::{Kind, Segment, mark};
use crate::nearby::LineIndex;
use crate::report::{NAMED, Placed, entities};
use crate::survey::Survey;
use crate::unlayered::is_swing;
use diag::codes::{dxf, input};
use diag::{Finding, Severity, SourceRef};
use std::cell::OnceCell;
use std::collections::BTreeMap;

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
