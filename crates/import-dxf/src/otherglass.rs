//! Windows whose glass is drawn on layers of unknown use, between the faces of known walls.
//!
//! Knows: lines along the middle of a wall from jamb to jamb, on layers that nothing is known of. Never touches:
//! lines of wall layers as glass (`glass`), symbols, how faces are paired. All in inches.

use crate::account::{Fate, Reason};
use crate::affine::{Xy, dot, norm, sub};
use crate::glass::{
    FRAME_IN, GOES_ON_IN, JAMB_IN, MIDDLE, Pane, SAME_IN, SAME_OFFSET_IN, SQUARE, gap_of,
    over_mullions,
};
use crate::layers::{Usage, is_of_other_things};
use crate::linework::{Segment, mark, sine_between};
use crate::nearby::LineIndex;
use crate::pairing::{NARROWEST_IN, WIDEST_JAMBED_IN};
use crate::survey::Survey;
use crate::walls::{WallLine, in_inches};
use std::collections::BTreeMap;

/// Sine up to which a line runs along a wall.
const ALONG: f64 = 0.02;
/// Where the walls of a drawing have more lines to look at, none are.
const MOST_LINES: usize = 2_000_000;

/// A line along a wall or across it.
struct Drawn {
    shape: usize,
    /// Layer, where its use is unknown.
    layer: Option<u32>,
    span: [f64; 2],
    off: f64,
}

/// What is drawn in one wall.
#[derive(Default)]
struct InWall {
    glass: Vec<Drawn>,
    jambs: Vec<Drawn>,
}

/// Adds the windows to the walls of two faces; what they are drawn with is used.
pub(crate) fn find(s: &mut Survey<'_>, k: f64, walls: &mut [WallLine]) {
    let found = in_walls(s, k, walls);
    for (n, lines) in found {
        let Some(wall) = walls.get_mut(n) else { continue };
        let along = sub(wall.line.b, wall.line.a);
        let length = norm(along);
        let at = |t: f64| {
            [wall.line.a[0] + along[0] * t / length, wall.line.a[1] + along[1] * t / length]
        };
        let station = |p: Xy| dot(sub(p, wall.line.a), along) / length;
        let gaps: Vec<[f64; 2]> = wall.gaps.iter().map(|g| g.map(station)).collect();
        let gaps: Vec<[f64; 2]> =
            gaps.into_iter().map(|g| [g[0].min(g[1]), g[0].max(g[1])]).collect();
        let mut found = windows(&lines, &gaps, wall.spec.thickness_in, length);
        // The same whatever the order of entities in the file.
        let name = |layer: u32| s.drawing.layer_name(layer);
        found.sort_by(|a, b| {
            let place = |w: &Window| w.jambs.map(crate::nearby::ordered);
            place(a).cmp(&place(b)).then_with(|| name(a.layer).cmp(name(b.layer)))
        });
        for Window { jambs: pane, layer, shapes, lone } in found {
            let jambs = pane.map(at);
            let same = |p: &Pane| {
                p.glass && p.jambs.iter().zip(jambs).all(|(a, b)| norm(sub(*a, b)) <= SAME_IN)
            };
            // Jambs on the wall's layer looked bare.
            let glazed = |p: &Pane| {
                let at = p.jambs.map(station);
                at[0].min(at[1]) < pane[1] && at[0].max(at[1]) > pane[0]
            };
            wall.panes.retain(|p| p.glass || !glazed(p));
            match wall.panes.iter_mut().find(|p| same(p)) {
                // Two lines are a pane of glass.
                Some(pane) => pane.lone = false,
                None => wall.panes.push(Pane { jambs, glass: true, layer: Some(layer), lone }),
            }
            for shape in shapes {
                if let Some(fate) = s.fates.get_mut(shape) {
                    *fate = Fate::Used;
                }
            }
        }
    }
}

/// The lines that may be glass or jambs, by wall.
fn in_walls(s: &Survey<'_>, k: f64, walls: &[WallLine]) -> BTreeMap<usize, InWall> {
    let mut out: BTreeMap<usize, InWall> = BTreeMap::new();
    let paired: Vec<usize> = (0..walls.len()).filter(|i| walls[*i].paired).collect();
    let axes: Vec<Segment> = paired.iter().map(|i| walls[*i].line).collect();
    let widest = paired.iter().map(|i| walls[*i].spec.thickness_in).fold(0.0, f64::max);
    let lines = &s.drawing.lines;
    if axes.is_empty() || lines.segments.len() > MOST_LINES {
        return out;
    }
    let other: Vec<bool> = s
        .drawing
        .layers
        .iter()
        .zip(&s.roles)
        .map(|(l, r)| r.usage == Usage::Unknown && !is_of_other_things(&l.name))
        .collect();
    let index = LineIndex::new(&axes);
    for (i, shape) in lines.shapes.iter().enumerate() {
        let fate = s.fates.get(i).copied();
        let unknown = other.get(shape.layer as usize) == Some(&true)
            && fate == Some(Fate::Left(Reason::NotUsed));
        let of_wall = s.usage(shape.layer) == Usage::Wall && fate.is_some_and(|f| !f.is_unseen());
        let broken = shape.marks & (mark::TILTED | mark::BAD | mark::CURVED | mark::BROKEN) != 0;
        if !(unknown || of_wall) || !shape.is_line() || broken {
            continue;
        }
        for g in lines.segments_of(i).filter_map(|j| lines.segments.get(j)) {
            let g = in_inches(*g, k);
            for n in index.near_line(&g, widest / 2.0).into_iter().map(|n| n as usize) {
                let Some(w) = paired.get(n).and_then(|n| walls.get(*n)) else { continue };
                let along = sub(w.line.b, w.line.a);
                let length = norm(along).max(1e-9);
                let dir = [along[0] / length, along[1] / length];
                let sine = sine_between(dir, sub(g.b, g.a));
                let left = [-dir[1], dir[0]];
                let both = |d: Xy| {
                    let (p, q) = (dot(sub(g.a, w.line.a), d), dot(sub(g.b, w.line.a), d));
                    [p.min(q), p.max(q)]
                };
                let (span, across) = (both(dir), both(left));
                let off = (across[0] + across[1]) / 2.0;
                let layer = unknown.then_some(shape.layer);
                let drawn = Drawn { shape: i, layer, span, off };
                let half = w.spec.thickness_in / 2.0;
                let whole = across[0] <= JAMB_IN[0] - half && across[1] >= half - JAMB_IN[0];
                let own = across[0] >= -half - JAMB_IN[1] && across[1] <= half + JAMB_IN[1];
                let middle = half * 2.0 * MIDDLE + SAME_OFFSET_IN;
                if unknown && sine <= ALONG && off.abs() <= middle {
                    out.entry(paired[n]).or_default().glass.push(drawn);
                } else if sine >= SQUARE && whole && own {
                    out.entry(paired[n]).or_default().jambs.push(drawn);
                }
            }
        }
    }
    out.retain(|_, x| !x.glass.is_empty());
    out
}

/// A window, as stations of its jambs.
struct Window {
    jambs: [f64; 2],
    /// Of the glass.
    layer: u32,
    /// What it is drawn with.
    shapes: Vec<usize>,
    /// Whether nothing but a line in a gap says so: no jambs of its own, no faces that run on beside it.
    lone: bool,
}

/// The windows among them.
fn windows(lines: &InWall, gaps: &[[f64; 2]], thickness: f64, length: f64) -> Vec<Window> {
    let mut by_line: BTreeMap<(u32, i64), Vec<&Drawn>> = BTreeMap::new();
    for g in &lines.glass {
        if let Some(layer) = g.layer {
            let offset = (g.off / SAME_OFFSET_IN).round() as i64;
            by_line.entry((layer, offset)).or_default().push(g);
        }
    }
    let mut out: Vec<Window> = Vec::new();
    for ((layer, _), glass) in by_line {
        let own = |j: &&Drawn| j.layer.is_none_or(|l| l == layer);
        let station = |j: &Drawn| (j.span[0] + j.span[1]) / 2.0;
        let jamb = |end: f64, way: f64| {
            let near = lines.jambs.iter().filter(own).map(station);
            near.filter(|at| (-SAME_IN..=FRAME_IN).contains(&((at - end) * way)))
                .min_by(|a, b| (a - end).abs().total_cmp(&(b - end).abs()).then(a.total_cmp(b)))
        };
        // What closes the wall is no jamb.
        let end = thickness / 2.0 + SAME_IN;
        // A line that runs on to the wall's end is its middle line, or insulation, broken at doors and windows.
        if glass.iter().any(|g| g.span[0] <= end || g.span[1] >= length - end) {
            continue;
        }
        let mut spans: Vec<[f64; 2]> = glass.iter().map(|g| g.span).collect();
        spans.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
        let post = |from: f64, to: f64| jamb(from, 1.0).is_some() || jamb(to, -1.0).is_some();
        for span in over_mullions(spans, &post) {
            let mut shapes: Vec<usize> = Vec::new();
            let framed = |end: f64| {
                let mut ends = lines.jambs.iter().filter(|j| j.layer == Some(layer)).map(station);
                ends.any(|at| (at - end).abs() <= FRAME_IN)
            };
            let gap = gap_of(span, gaps);
            let lone = gap.is_some() && !span.iter().all(|end| framed(*end));
            let pane = match gap {
                Some(gap) => gap,
                None => {
                    let (Some(from), Some(to)) = (jamb(span[0], -1.0), jamb(span[1], 1.0)) else {
                        continue;
                    };
                    // A pier is no window.
                    let beside = |at: f64, side: usize| {
                        gaps.iter().any(|g| (g[side] - at).abs() <= GOES_ON_IN)
                    };
                    if beside(from, 1) && beside(to, 0) {
                        continue;
                    }
                    let here = |j: &&Drawn| {
                        [from, to].iter().any(|at| (station(j) - at).abs() <= SAME_OFFSET_IN)
                    };
                    let drawn = lines.jambs.iter().filter(own).filter(here);
                    shapes.extend(drawn.filter(|j| j.layer.is_some()).map(|j| j.shape));
                    [from, to]
                }
            };
            let within = pane[0] > end && pane[1] < length - end;
            if !within || !(NARROWEST_IN..=WIDEST_JAMBED_IN).contains(&(pane[1] - pane[0])) {
                continue;
            }
            let here = glass.iter().filter(|g| g.span[0] >= span[0] && g.span[1] <= span[1]);
            shapes.extend(here.map(|g| g.shape));
            out.push(Window { jambs: pane, layer, shapes, lone });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use crate::glass::tests::{WINDOW, house, openings};
    use crate::testing::Dxf;
    use crate::tests::{ok, with};
    use wall_model::OpeningKind;

    const BOX: [[f64; 2]; 4] = [[200.0, 0.0], [248.0, 0.0], [248.0, 5.5], [200.0, 5.5]];

    #[test]
    fn glass_on_a_layer_of_unknown_use_is_a_window_between_jambs() {
        for heights in [&[2.75][..], &[2.0, 3.5]] {
            let glass =
                |d: Dxf| heights.iter().fold(d, |d, y| d.line("XYZ", [200.0, *y], [248.0, *y]));
            // A box from face to face, jambs on the wall layer, a gap in the faces.
            let wall = house(false);
            let jambs = wall.clone().line("A-WALL", [200.0, 0.0], [200.0, 5.5]);
            let jambs = jambs.line("A-WALL", [248.0, 0.0], [248.0, 5.5]);
            for d in [wall.polyline("XYZ", &BOX, true), jambs, house(true)] {
                let d = glass(d);
                assert_eq!(openings(&d), [WINDOW], "{heights:?}");
                let o = ok(&d);
                let told = with(&o.findings, "dxf-windows-by-shape");
                assert!(told[0].message.contains("Layer XYZ: 1 window"), "{}", told[0].message);
                assert!(with(&o.findings, "dxf-jambs-bare").is_empty());
                let mut ignored = o.value.ledger.ignored();
                assert!(ignored.all(|i| !i.0.contains("XYZ")));
            }
        }
        // A mullion in the middle is no jamb.
        let d = house(false).polyline("XYZ", &BOX, true).line("XYZ", [200.0, 2.75], [223.0, 2.75]);
        let d = d.line("XYZ", [225.0, 2.75], [248.0, 2.75]);
        let d = d.line("XYZ", [223.0, 0.0], [223.0, 5.5]).line("XYZ", [225.0, 0.0], [225.0, 5.5]);
        assert_eq!(openings(&d), [WINDOW]);
    }

    #[test]
    fn one_line_in_a_gap_is_told_and_a_layer_named_for_other_lines_decides() {
        let line = |d: Dxf, layer: &str, y: f64| d.line(layer, [200.0, y], [248.0, y]);
        let asks = |d: &Dxf| {
            let o = ok(d);
            let told = with(&o.findings, "dxf-windows-by-shape");
            told.iter().map(|f| f.severity == diag::Severity::Warning).collect::<Vec<bool>>()
        };
        let lone = line(house(true), "XYZ", 2.75);
        assert_eq!((openings(&lone), asks(&lone)), (vec![WINDOW], vec![true]));
        // Two lines, a frame of its own, or faces that run on as sills do.
        for d in [
            line(line(house(true), "XYZ", 2.0), "XYZ", 3.5),
            line(house(true).polyline("XYZ", &BOX, true), "XYZ", 2.75),
            line(house(false).polyline("XYZ", &BOX, true), "XYZ", 2.75),
        ] {
            assert_eq!((openings(&d), asks(&d)), (vec![WINDOW], vec![false]));
        }
        let opening = (OpeningKind::Opening, WINDOW.1, WINDOW.2);
        for layer in [
            "A-FLOR-THRESHOLD",
            "Flooring transitions",
            "POCKET",
            "Track",
            "Center lines",
            "CENTRE",
            "Insulation",
            "SILL",
        ] {
            let d = line(house(true), layer, 2.75);
            assert_eq!((openings(&d), asks(&d)), (vec![opening], vec![]), "{layer}");
        }
    }

    #[test]
    fn other_lines_in_a_wall_are_no_windows() {
        let wall = || house(false);
        let glass = |d: Dxf, layer: &str| d.line(layer, [200.0, 2.75], [248.0, 2.75]);
        // Without jambs; jambs without glass; off the middle; on a layer of other things; the middle line of the wall.
        for d in [
            glass(wall(), "XYZ"),
            wall().polyline("XYZ", &BOX, true),
            wall().polyline("XYZ", &BOX, true).line("XYZ", [200.0, 5.0], [248.0, 5.0]),
            glass(wall().polyline("FURNITURE", &BOX, true), "FURNITURE"),
            wall().line("XYZ", [2.75, 2.75], [477.25, 2.75]),
        ] {
            assert_eq!(openings(&d), []);
        }
        // A door's symbol there says what it is.
        let d = glass(wall().polyline("XYZ", &BOX, true), "XYZ");
        let d = d.line("A-DOOR", [200.0, 0.5], [248.0, 0.5]);
        assert_eq!(openings(&d), [(OpeningKind::Door, WINDOW.1, WINDOW.2)]);
    }

    #[test]
    fn a_pier_between_two_openings_is_no_window_though_a_line_runs_along_its_middle() {
        // Doorways from 120 to 160 and from 220 to 260 with jambs; a middle line or insulation is broken at them.
        let mut d = Dxf::inches();
        for [x0, y0, x1, y1] in [[0.0, 0.0, 480.0, 360.0], [5.5, 5.5, 474.5, 354.5]] {
            d = d.line("A-WALL", [x1, y0], [x1, y1]).line("A-WALL", [x1, y1], [x0, y1]);
            d = d.line("A-WALL", [x0, y1], [x0, y0]).line("A-WALL", [x0, y0], [120.0, y0]);
            d = d.line("A-WALL", [160.0, y0], [220.0, y0]).line("A-WALL", [260.0, y0], [x1, y0]);
        }
        for x in [120.0, 160.0, 220.0, 260.0] {
            d = d.line("A-WALL", [x, 0.0], [x, 5.5]);
        }
        let gap = |from, to| (OpeningKind::Opening, from, to);
        let want = [gap(117.25, 157.25), gap(217.25, 257.25)];
        assert_eq!(openings(&d), want);
        for y in [2.75, 1.75, 3.5] {
            let along = [[2.75, 120.0], [160.0, 220.0], [260.0, 477.25]];
            let lined = along.iter().fold(d.clone(), |d, x| d.line("XYZ", [x[0], y], [x[1], y]));
            assert_eq!(openings(&lined), want, "{y}");
            // Stopped short of the jambs.
            let short = d.clone().line("XYZ", [161.0, y], [219.0, y]);
            assert_eq!(openings(&short), want, "{y}");
        }
    }
}
