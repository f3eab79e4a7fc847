//! Folding doors: panels drawn half open, as a zigzag beside the wall.
//!
//! Knows: which symbols are such panels, which two of them close one doorway. Never touches: which wall they are in.
//! All in inches.

use crate::affine::{Xy, cross, norm, sub};
use crate::linework::{Segment, sine_between};
use crate::nearby::LineIndex;
use crate::openings::{HostLine, REACH_IN, Symbol, Told};
use wall_model::OpeningKind;

/// Sines of the angles between a panel half open and its wall: 15 to 80 degrees.
const OPEN: std::ops::RangeInclusive<f64> = 0.26..=0.985;
/// Share of a symbol's lines that are panels' sides; the others are their ends.
const PANELS: f64 = 0.6;
/// What has more sides than so many is no folding door.
const MOST_SIDES: usize = 256;
/// Panels reach into the room by no more than a leaf is wide, inches.
const DEEP_IN: f64 = 26.0;
/// Panels of one doorway lie in one line within this, inches.
const IN_LINE_IN: f64 = 1.0;

/// Whether two lines cross away from their ends, as panels never do.
fn are_crossed(g: &Segment, h: &Segment) -> bool {
    let (u, v, between) = (sub(g.b, g.a), sub(h.b, h.a), sub(h.a, g.a));
    let det = cross(u, v);
    let inner = |t: f64| (0.25..=0.75).contains(&t);
    det != 0.0 && inner(cross(between, v) / det) && inner(cross(between, u) / det)
}

/// Whether a symbol is a door folded along a wall of this direction.
pub(crate) fn is_folded(symbol: &Symbol, dir: Xy) -> bool {
    let is_open = |g: &&Segment| OPEN.contains(&sine_between(dir, sub(g.b, g.a)));
    let length = |g: &Segment| norm(sub(g.b, g.a));
    let open: Vec<&Segment> = symbol.segments.iter().filter(is_open).take(MOST_SIDES + 1).collect();
    let sides: f64 = open.iter().map(|g| length(g)).sum();
    let crossed =
        || open.iter().enumerate().any(|(i, g)| open.iter().take(i).any(|h| are_crossed(g, h)));
    symbol.kind == OpeningKind::Door
        && symbol.arcs.is_empty()
        && open.len() <= MOST_SIDES
        && sides > 0.0
        && sides >= PANELS * symbol.segments.iter().map(length).sum::<f64>()
        && !crossed()
}

/// Puts panels that fold to both sides of one doorway together, where no wall stands between them.
pub(crate) fn join(
    symbols: Vec<Symbol>,
    hosts: &[HostLine],
    index: &LineIndex,
    widest: f64,
) -> Vec<Symbol> {
    let mut out = symbols;
    for axis in [0, 1] {
        let dir = if axis == 0 { [1.0, 0.0] } else { [0.0, 1.0] };
        let folded: Vec<usize> = (0..out.len())
            .filter(|i| out.get(*i).is_some_and(|s| s.told == Told::Layer && is_folded(s, dir)))
            .collect();
        let mut gone: Vec<usize> = Vec::new();
        let mut all: Vec<([f64; 2], [f64; 2], usize)> = folded
            .into_iter()
            .filter_map(|i| {
                let s = out.get(i)?;
                let (along, across) = (range(s, axis), range(s, 1 - axis));
                (across[1] - across[0] <= DEEP_IN).then_some((along, across, i))
            })
            .collect();
        all.sort_by(|a, b| {
            a.0[0].total_cmp(&b.0[0]).then(a.1[0].total_cmp(&b.1[0])).then(a.2.cmp(&b.2))
        });
        for (n, (along, across, i)) in all.iter().enumerate() {
            if gone.contains(i) {
                continue;
            }
            // The next one in line, no farther than they are wide together.
            let next = all.iter().skip(n + 1).find(|(other, beside, j)| {
                let wide = along[1] - along[0] + other[1] - other[0];
                let gap = other[0] - along[1];
                let in_line = across.iter().zip(beside).all(|(a, b)| (a - b).abs() <= IN_LINE_IN);
                !gone.contains(j) && in_line && (0.0..=wide).contains(&gap)
            });
            let Some((other, _, j)) = next else { continue };
            if stands(hosts, (index, widest), axis, [along[1], other[0]], *across) {
                continue;
            }
            if let Some(o) = out.get(*j).cloned()
                && let Some(s) = out.get_mut(*i)
            {
                s.segments.extend(o.segments);
                s.shapes.extend(o.shapes);
                gone.push(*j);
            }
        }
        gone.sort_unstable();
        for j in gone.into_iter().rev() {
            out.remove(j);
        }
    }
    out
}

/// Whether a wall stands in this range along an axis, within reach of the range across it.
fn stands(
    hosts: &[HostLine],
    (index, widest): (&LineIndex, f64),
    axis: usize,
    [from, to]: [f64; 2],
    across: [f64; 2],
) -> bool {
    let at = |s: f64, off: f64| if axis == 0 { [s, off] } else { [off, s] };
    let corners = [at(from, across[0]), at(to, across[1])];
    index.near(&corners, widest + REACH_IN).into_iter().any(|h| {
        let Some(h) = hosts.get(h as usize) else { return false };
        let (a, b) = (h.line.a, h.line.b);
        let span = |k: usize| [a[k].min(b[k]), a[k].max(b[k])];
        let (s, o) = (span(axis), span(1 - axis));
        let reach = h.half + REACH_IN;
        s[0] < to && s[1] > from && o[0] < across[1] + reach && o[1] > across[0] - reach
    })
}

/// Least and greatest coordinate of a symbol.
fn range(s: &Symbol, axis: usize) -> [f64; 2] {
    let all = || s.segments.iter().flat_map(|g| [g.a[axis], g.b[axis]]);
    [all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::Dxf;
    use crate::tests::{ok, with};
    use diag::Severity;

    /// Panels of 13 in from `x`, folded at 30 degrees into the room beside y = 177; `way` is where they close to.
    fn panels(d: Dxf, x: f64, way: f64) -> Dxf {
        let points: Vec<[f64; 2]> = (0..5)
            .map(|n| [x + way * 6.5 * f64::from(n), 177.0 + if n % 2 == 0 { 0.0 } else { 11.26 }])
            .collect();
        points.windows(2).fold(d, |d, w| d.line("A-DOOR", w[0], w[1]))
    }
    fn closet() -> Dxf {
        let mut d = Dxf::inches();
        for [x0, y0, x1, y1] in [[0.0, 0.0, 480.0, 360.0], [3.5, 3.5, 476.5, 356.5]] {
            d = d.polyline("A-WALL", &[[x0, y0], [x1, y0], [x1, y1], [x0, y1]], true);
        }
        // A stub that ends at the closet's doorway, 64 in from the wall on the right.
        let stub = [[3.5, 173.0], [412.5, 173.0], [412.5, 176.5], [3.5, 176.5]];
        d.polyline("A-WALL", &stub, true)
    }

    #[test]
    fn folding_doors_to_both_sides_are_one_doorway() {
        let d = panels(panels(closet(), 413.0, 1.0), 476.0, -1.0);
        let o = ok(&d);
        let doors: Vec<_> = o.value.walls.iter().flat_map(|w| &w.openings).collect();
        assert_eq!(doors.len(), 1);
        assert_eq!(doors[0].kind, OpeningKind::Door);
        let wide = (doors[0].to - doors[0].from).to_inches();
        assert!((63.0..=65.0).contains(&wide), "{wide}");
        assert_eq!(with(&o.findings, "dxf-walls-carried-on").len(), 1);
        assert!(with(&o.findings, "dxf-opening-unhosted").is_empty());
    }

    #[test]
    fn a_folding_door_at_the_end_of_a_wall_is_an_error_where_it_joins_nothing() {
        let o = ok(&panels(closet(), 413.0, 1.0));
        let told = with(&o.findings, "dxf-opening-unhosted");
        assert_eq!(told.iter().map(|f| f.severity).collect::<Vec<_>>(), [Severity::Error]);
    }

    #[test]
    fn a_post_between_two_doorways_parts_the_panels() {
        let widths = |post: bool| -> Vec<f64> {
            let mut d = Dxf::inches();
            let box_of = |[x0, y0, x1, y1]: [f64; 4]| [[x0, y0], [x1, y0], [x1, y1], [x0, y1]];
            for walls in [[0.0, 0.0, 480.0, 360.0], [3.5, 3.5, 476.5, 356.5]] {
                d = d.polyline("A-WALL", &box_of(walls), true);
            }
            d = d.polyline("A-WALL", &box_of([3.5, 173.0, 380.0, 176.5]), true);
            if post {
                d = d.polyline("A-WALL", &box_of([408.0, 173.0, 420.0, 176.5]), true);
            }
            let o = ok(&panels(panels(d, 380.5, 1.0), 476.0, -1.0));
            let doors = o.value.walls.iter().flat_map(|w| &w.openings);
            doors.map(|d| (d.to - d.from).to_inches()).collect()
        };
        let (one, parted) = (widths(false), widths(true));
        assert!(one.len() == 1 && (95.0..=98.0).contains(&one[0]), "{one:?}");
        assert!(!parted.is_empty() && parted.iter().all(|w| *w < 60.0), "{parted:?}");
    }

    #[test]
    fn a_cross_is_no_folding_door() {
        // Of a shaft or a cased opening beside a wall.
        let symbol = |lines: &[[f64; 4]]| Symbol {
            kind: OpeningKind::Door,
            segments: lines.iter().map(|l| Segment { a: [l[0], l[1]], b: [l[2], l[3]] }).collect(),
            arcs: vec![],
            shapes: vec![0],
            told: Told::Layer,
        };
        let cross = [[0.0, 0.0, 30.0, 20.0], [0.0, 20.0, 30.0, 0.0]];
        assert!(!is_folded(&symbol(&cross), [1.0, 0.0]));
        // Panels touch at their hinges, thin boxes run over each other there.
        let zigzag = [[0.0, 0.0, 10.0, 12.0], [10.0, 12.0, 20.0, 0.0]];
        assert!(is_folded(&symbol(&zigzag), [1.0, 0.0]));
        let boxes = [
            [0.0, 0.0, 10.0, 12.0],
            [1.0, -0.8, 11.0, 11.2],
            [9.5, 11.5, 19.5, -0.5],
            [10.5, 12.3, 20.5, 0.3],
        ];
        assert!(is_folded(&symbol(&boxes), [1.0, 0.0]));
    }
}
