//! Walls that run close beside each other: what there is to ask about them.
//!
//! Knows: double walls, veneer, faces taken for centrelines. Never touches: how walls are found.

use crate::affine::{Xy, cross, dot, norm, sub};
use crate::faces::partners;
use crate::facewalls::Alone;
use crate::linework::{Segment, sine_between};
use crate::nearby::LineIndex;
use crate::report::{NAMED, Placed};
use crate::survey::{Survey, plural};
use crate::unitwords::size;
use crate::walls::{FACES_IN, WallLine};
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
            let dir = [along[0] / length, along[1] / length];
            let at = |p: Xy| (dot(sub(p, w.line.a), dir), cross(dir, sub(p, w.line.a)));
            let (a, b) = (at(o.line.a), at(o.line.b));
            let over = a.0.max(b.0).min(length) - a.0.min(b.0).max(0.0);
            let air = ((a.1 + b.1) / 2.0).abs() - (w.spec.thickness_in + o.spec.thickness_in) / 2.0;
            let shorter = length.min((b.0 - a.0).abs());
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
    found.sort_by(|a, b| a.0.cmp(&b.0).then_with(|| a.1.finding.message.cmp(&b.1.finding.message)));
    let more = found.len().saturating_sub(NAMED);
    let mut out: Vec<Placed> = found.into_iter().take(NAMED).map(|f| f.1).collect();
    if more > 0 {
        let message = format!("{more} more pairs of walls run side by side.");
        let worst = out.iter().map(|p| p.finding.severity).min().unwrap_or(Severity::Warning);
        out.push(Finding::new(dxf::SIDE_BY_SIDE, message).severity(worst).into());
    }
    out
}

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
