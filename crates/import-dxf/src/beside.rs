//! Walls that run close beside each other: what there is to ask about them.
//!
//! Knows: double walls, veneer, faces taken for centrelines. Never touches: how walls are found.

use crate::affine::{Xy, cross, dot, norm, sub};
use crate::faces::partners;
use crate::facewalls::Alone;
use crate::linework::{Segment, sine_between};
use crate::nearby::LineIndex;
use crate::report::{NAMED, Placed, first_of_all};
use crate::survey::{Survey, plural};
use crate::unitwords::size;
use crate::walls::{FACES_IN, THICKEST_TOLD_IN, WallLine};
use diag::codes::dxf;
use diag::{Finding, Severity, SourceRef};
use std::collections::BTreeMap;

/// Walls found between faces with hardly any air between them all along: a double wall, or masonry
/// veneer that is no stud wall at all.
pub(crate) fn side_by_side(s: &Survey<'_>, walls: &[WallLine]) -> Vec<Placed> {
    let walls: Vec<&WallLine> = walls.iter().filter(|w| w.paired).collect();
    if walls.len() < 2 {
        return Vec::new();
    }
    let lines: Vec<Segment> = walls.iter().map(|w| w.line).collect();
    let index = LineIndex::new(&lines);
    let widest = walls.iter().map(|w| w.spec.thickness_in).fold(0.0, f64::max);
    let mut found: Vec<(SourceRef, Placed)> = Vec::new();
    for (i, w) in walls.iter().enumerate() {
        if s.watch.is_over() {
            break;
        }
        let along = sub(w.line.b, w.line.a);
        let length = norm(along);
        for j in index.near_line(&w.line, widest + AIR_IN) {
            let Some(o) = walls.get(j as usize).filter(|_| (j as usize) < i) else { continue };
            if length <= 0.0 || sine_between(along, sub(o.line.b, o.line.a)) > 0.01 {
                continue;
            }
            let Beside { over, air, shorter } = beside(w, o);
            if !(0.0..=AIR_IN).contains(&air) || over < shorter * 0.8 || over < LONG_IN {
                continue;
            }
            let mut sources = vec![w.source(s), o.source(s)];
            sources.sort();
            let mut thick = [w.spec.thickness_in, o.spec.thickness_in];
            thick.sort_by(f64::total_cmp);
            // A double wall has two alike.
            let alike = thick[1] - thick[0] <= ALIKE_IN;
            let finding = Finding::new(
                dxf::SIDE_BY_SIDE,
                format!(
                    "A wall {} thick runs {} beside a wall {} thick for {}; both are planned.{}",
                    size(thick[0]),
                    size(air),
                    size(thick[1]),
                    size(over),
                    match alike {
                        true => " Is one of them brick veneer or furring?",
                        false =>
                            " One of them is rather brick or stone veneer, or furring, which has no plates: \
                             put its lines on a layer of their own and map that to ignore with [[layers]].",
                    }
                ),
            )
            .severity(if alike { Severity::Warning } else { Severity::Error })
            .from(&sources);
            let key = sources.first().cloned().unwrap_or_default();
            found.push((key, Placed { finding, at_in: Some(middle(w.line)) }));
        }
    }
    first_of_all(found, |more, told| {
        let message = format!("{more} more pairs of walls run side by side.");
        let worst = told.iter().map(|p| p.finding.severity).min().unwrap_or(Severity::Warning);
        Finding::new(dxf::SIDE_BY_SIDE, message).severity(worst)
    })
}

/// How a wall runs along another one.
struct Beside {
    /// How far, inches.
    over: f64,
    /// Between their faces, inches.
    air: f64,
    /// Length of the shorter one, inches.
    shorter: f64,
}

/// How a wall runs along another one that is parallel to it.
fn beside(w: &WallLine, o: &WallLine) -> Beside {
    let along = sub(w.line.b, w.line.a);
    let length = norm(along).max(1e-9);
    let dir = [along[0] / length, along[1] / length];
    let at = |p: Xy| (dot(sub(p, w.line.a), dir), cross(dir, sub(p, w.line.a)));
    let (a, b) = (at(o.line.a), at(o.line.b));
    Beside {
        over: a.0.max(b.0).min(length) - a.0.min(b.0).max(0.0),
        air: ((a.1 + b.1) / 2.0).abs() - (w.spec.thickness_in + o.spec.thickness_in) / 2.0,
        shorter: length.min((b.0 - a.0).abs()),
    }
}

/// Pairs of lines as far apart as no stud is wide, before a wall and within a counter's depth of it: the fronts of
/// counters, shelves and wall cabinets. So may be a masonry wall with furring off it: they are planned, and asked
/// about.
pub(crate) fn like_counters(s: &Survey<'_>, walls: &[WallLine]) -> Vec<Placed> {
    let walls: Vec<&WallLine> = walls.iter().filter(|w| w.paired).collect();
    let thick = |w: &WallLine| w.spec.thickness_in > THICKEST_TOLD_IN && w.gaps.is_empty();
    if !walls.iter().any(|w| thick(w)) {
        return Vec::new();
    }
    let lines: Vec<Segment> = walls.iter().map(|w| w.line).collect();
    let index = LineIndex::new(&lines);
    let widest = walls.iter().map(|w| w.spec.thickness_in).fold(0.0, f64::max);
    let mut found: Vec<(SourceRef, Placed)> = Vec::new();
    for w in walls.iter().filter(|w| thick(w)) {
        if s.watch.is_over() {
            break;
        }
        let along = sub(w.line.b, w.line.a);
        let behind = index
            .near_line(&w.line, widest + COUNTER_IN[1])
            .into_iter()
            .filter_map(|j| walls.get(j as usize))
            .filter(|o| sine_between(along, sub(o.line.b, o.line.a)) <= 0.01)
            .map(|o| beside(w, o))
            .filter(|b| b.over >= norm(along) * 0.8 && b.over >= COUNTER_LONG_IN)
            .map(|b| b.air)
            .filter(|air| *air >= COUNTER_IN[0] && air + w.spec.thickness_in <= COUNTER_IN[1])
            .min_by(f64::total_cmp);
        let Some(air) = behind else { continue };
        let finding = Finding::new(
            dxf::LIKE_COUNTERS,
            format!(
                "A wall {} thick and {} long runs {} before another wall, all of it within the depth of a \
                 counter: are its faces the fronts of counters, shelves or cabinets? It is planned. If it is no \
                 wall, put its lines on another layer.",
                size(w.spec.thickness_in),
                size(norm(along)),
                size(air)
            ),
        )
        .from(&[w.source(s)]);
        found.push((w.source(s), Placed { finding, at_in: Some(middle(w.line)) }));
    }
    first_of_all(found, |more, _| {
        let message = format!("{more} more walls stand before others as counters do.");
        Finding::new(dxf::LIKE_COUNTERS, message)
    })
}

/// Least space behind such a front, and how far it stands off the wall at most: 24 in and an overhang, inches.
const COUNTER_IN: [f64; 2] = [6.0, 26.0];
/// Shorter ones say nothing, inches.
const COUNTER_LONG_IN: f64 = 30.0;
/// Air between two walls that are side by side, inches.
const AIR_IN: f64 = 2.5;
/// The two walls of a double wall differ by no more in thickness, inches.
const ALIKE_IN: f64 = 0.125;
/// Shorter stretches say nothing, inches.
const LONG_IN: f64 = 48.0;

/// Lines among real centrelines that are close beside each other.
pub(crate) fn close_parallels(s: &Survey<'_>, walls: &[WallLine], alone: &Alone) -> Vec<Placed> {
    let walls: Vec<&WallLine> = walls.iter().filter(|w| !w.paired).collect();
    if alone.all(walls.iter().flat_map(|w| &w.shapes).copied()) {
        return Vec::new();
    }
    let lines: Vec<Segment> = walls.iter().map(|w| w.line).collect();
    let found = partners(&lines, &LineIndex::new(&lines), FACES_IN[0], FACES_IN[1], s.watch);
    let mut by_layer: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    for (i, (w, p)) in walls.iter().zip(&found).enumerate() {
        if p.length >= FACES_IN[0] && p.covered >= p.length / 2.0 {
            let layer = s.drawing.lines.shapes.get(w.shape()).map_or(0, |x| x.layer);
            by_layer.entry(layer).or_default().push(i);
        }
    }
    let mut out = Vec::new();
    for (layer, close) in by_layer {
        let mut gaps: Vec<f64> = close.iter().filter_map(|i| found.get(*i)?.gap).collect();
        gaps.sort_by(f64::total_cmp);
        let mut sources: Vec<SourceRef> =
            close.iter().filter_map(|i| walls.get(*i)).map(|w| w.source(s)).collect();
        sources.sort();
        sources.dedup();
        sources.truncate(NAMED);
        let range = match (gaps.first(), gaps.last()) {
            (Some(a), Some(b)) if b - a > 0.05 => format!("{} to {}", size(*a), size(*b)),
            (Some(a), _) => size(*a),
            _ => String::new(),
        };
        let name = s.drawing.layer_name(layer);
        let at_in = close
            .iter()
            .filter_map(|i| walls.get(*i))
            .map(|w| middle(w.line))
            .min_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
        let finding = Finding::new(
            dxf::CLOSE_PARALLELS,
            format!(
                "{} wall {} on layer {name} {} a parallel wall line {range} beside. If these are faces of \
                 one wall, it is planned twice.",
                close.len(),
                plural(close.len() as u64, "line"),
                if close.len() == 1 { "has" } else { "have" }
            ),
        );
        out.push(Placed { finding: finding.about(name).from(&sources), at_in });
    }
    out
}

fn middle(g: Segment) -> Xy {
    [(g.a[0] + g.b[0]) / 2.0, (g.a[1] + g.b[1]) / 2.0]
}

#[cfg(test)]
mod tests {
    use crate::testing::Dxf;
    use crate::tests::{ok, with};
    use diag::Severity;

    /// A house of faces `inner` in apart, and around it a pair `veneer` in apart with an inch of air.
    fn house(inner: f64, veneer: f64) -> Dxf {
        let mut d = Dxf::inches();
        for inset in [0.0, veneer, veneer + 1.0, veneer + 1.0 + inner] {
            let far = [480.0 - inset, 360.0 - inset];
            let corners = [[inset, inset], [far[0], inset], far, [inset, far[1]]];
            d = d.polyline("A-WALL", &corners, true);
        }
        d
    }

    #[test]
    fn veneer_is_an_error_and_a_double_wall_a_warning() {
        let worst = |d: &Dxf| {
            let o = ok(d);
            let told = with(&o.findings, "dxf-side-by-side");
            assert!(!told.is_empty());
            told.iter().map(|f| f.severity).min()
        };
        assert_eq!(worst(&house(5.5, 3.625)), Some(Severity::Error));
        assert_eq!(worst(&house(3.5, 3.5)), Some(Severity::Warning));
    }

    /// A counter and the cabinets over it, around the corner of a room, on the wall layer.
    #[test]
    fn fronts_of_counters_are_asked_about() {
        let mut d = Dxf::inches();
        for inset in [0.0, 5.5] {
            let far = [480.0 - inset, 360.0 - inset];
            d = d.polyline(
                "A-WALL",
                &[[inset, inset], [far[0], inset], far, [inset, far[1]]],
                true,
            );
        }
        let fronts = |d: Dxf, off: [f64; 2]| {
            let corner = |d: Dxf, c: f64| {
                d.line("A-WALL", [c, c], [c, 354.5]).line("A-WALL", [c, c], [474.5, c])
            };
            corner(corner(d, 5.5 + off[0]), 5.5 + off[1])
        };
        let settings = settings::Settings {
            default_section: lumber::Section::from_name("2x6"),
            ..settings::Settings::default()
        };
        let told = |d: &Dxf| {
            let o = crate::tests::ok_with(d, &settings);
            (o.value.walls.len(), with(&o.findings, "dxf-like-counters").len())
        };
        assert_eq!(told(&fronts(d.clone(), [12.0, 24.0])), (6, 2));
        // Too far off the wall, and as thick as studs are.
        assert_eq!(told(&fronts(d.clone(), [30.0, 42.0])), (6, 0));
        assert_eq!(told(&fronts(d, [20.0, 24.5])), (6, 0));
    }

    #[test]
    fn findings_name_the_same_entities_whatever_their_order() {
        let line = |n: usize, a: [f64; 2], b: [f64; 2]| {
            crate::testing::line(&format!("{:X}", 0x100 + n), "A-WALL", a, b)
        };
        let mut lines: Vec<String> = Vec::new();
        for inset in [0.0, 3.625, 4.625, 10.125] {
            let [x, y] = [480.0 - inset, 360.0 - inset];
            let corners = [[inset, inset], [x, inset], [x, y], [inset, y]];
            for (n, a) in corners.iter().enumerate() {
                lines.push(line(lines.len(), *a, corners[(n + 1) % 4]));
            }
        }
        // Another plan, left out: its finding names entities too.
        for (n, y) in [0.0, 3.5].into_iter().enumerate() {
            lines.push(line(100 + n, [9000.0, y], [9060.0, y]));
        }
        let told = |lines: &[String]| {
            let findings = ok(&Dxf::inches().raw(&lines.concat())).findings;
            let codes = ["dxf-side-by-side", "dxf-other-drawing"];
            let some = findings.into_iter().filter(|f| codes.contains(&f.code.name()));
            some.map(|f| format!("{} {:?}", f.message, f.source)).collect::<Vec<String>>()
        };
        let first = told(&lines);
        assert!(first.len() >= 5, "{first:?}");
        lines.reverse();
        assert_eq!(told(&lines), first);
        lines.rotate_left(5);
        assert_eq!(told(&lines), first);
    }

    #[test]
    fn a_layer_named_for_brick_is_no_framing() {
        let brick = [[-5.0, -5.0], [485.0, -5.0], [485.0, 365.0], [-5.0, 365.0]];
        for layer in ["A-WALL-BRCK", "BRICK WALLS", "A-WALL-STONE"] {
            let o = ok(&Dxf::inches().house().polyline(layer, &brick, true));
            assert_eq!(o.value.walls.len(), 4, "{layer}");
            assert_eq!(with(&o.findings, "dxf-layer-excluded").len(), 1, "{layer}");
        }
    }
}
