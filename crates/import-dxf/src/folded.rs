//! Folding doors: panels drawn half open, as a zigzag beside the wall.
//!
//! Knows: which symbols are such panels, which two of them close one doorway. Never touches: which wall they are in.
//! All in inches.

use crate::affine::{Xy, cross, dot, norm, sub};
use crate::linework::{Segment, sine_between};
use crate::nearby::{LineIndex, by_ends};
use crate::openings::{HostLine, REACH_IN, Symbol, Told};
use crate::symbols::LARGEST_IN;
use limits::Watch;
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
/// Sine up to which two walls run the same way.
const SAME_WAY: f64 = 0.001;
/// Walls about a symbol whose directions are tried.
const MOST_WALLS: usize = 64;
/// Panels that close against each other overlap by rounding at most, inches.
const CLOSED_IN: f64 = 1e-6;

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
    (index, widest): (&LineIndex, f64),
    watch: &Watch,
) -> Vec<Symbol> {
    let may_be =
        |s: &Symbol| s.told == Told::Layer && s.kind == OpeningKind::Door && s.arcs.is_empty();
    let mut doors: Vec<(Segment, usize)> = symbols
        .iter()
        .enumerate()
        .filter(|(_, s)| may_be(s))
        .map(|(i, s)| {
            let [x, y] = [[1.0, 0.0], [0.0, 1.0]].map(|dir| s.extent([0.0; 2], dir));
            (Segment { a: [x[0], y[0]], b: [x[1], y[1]] }, i)
        })
        .collect();
    if doors.len() < 2 {
        return symbols;
    }
    doors.sort_by_key(|(g, i)| (by_ends(g), *i));
    let boxes: Vec<Segment> = doors.iter().map(|d| d.0).collect();
    let near = LineIndex::new(&boxes);
    let mut out: Vec<Option<Symbol>> = symbols.into_iter().map(Some).collect();
    for (own, i) in &doors {
        if watch.is_over() {
            break;
        }
        let Some(symbol) = out.get(*i).and_then(Option::as_ref) else { continue };
        let around = index.near(&[own.a, own.b], widest + REACH_IN);
        let walls = || around.iter().filter_map(|h| hosts.get(*h as usize));
        let partner = directions(walls()).into_iter().find_map(|dir| {
            let one = Folded::of(symbol, dir)?;
            // The nearest one in line, no farther than they are wide together.
            let reach = one.along[1] - one.along[0] + LARGEST_IN;
            let [from, to] = [one.along[0] - reach, one.along[1] + reach];
            let line = Segment { a: one.at(from, one.across[0]), b: one.at(to, one.across[1]) };
            let others = near.near_line(&line, IN_LINE_IN).into_iter();
            let others = others.filter_map(|n| doors.get(n as usize)).filter(|d| d.1 != *i);
            let next = others.filter_map(|(_, j)| {
                let other = Folded::of(out.get(*j)?.as_ref()?, dir)?;
                let gap = one.gap_to(&other)?;
                Some((gap, *j, other))
            });
            let (_, j, other) = next.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))?;
            let between = match one.along[1] <= other.along[0] {
                true => [one.along[1], other.along[0]],
                false => [other.along[1], one.along[0]],
            };
            (!stands(hosts, (index, widest), &one, between)).then_some(j)
        });
        let Some(other) = partner.and_then(|j| out.get_mut(j)?.take()) else { continue };
        if let Some(Some(symbol)) = out.get_mut(*i) {
            symbol.segments.extend(other.segments);
            symbol.shapes.extend(other.shapes);
        }
    }
    out.into_iter().flatten().collect()
}

/// Directions that a door near these walls may be folded along: theirs, and the sheet's.
fn directions<'a>(walls: impl Iterator<Item = &'a HostLine>) -> Vec<Xy> {
    let mut out: Vec<Xy> = vec![[1.0, 0.0], [0.0, 1.0]];
    for wall in walls.take(MOST_WALLS) {
        let along = sub(wall.line.b, wall.line.a);
        let length = norm(along);
        if length > 0.0 && out.iter().all(|d| sine_between(*d, along) > SAME_WAY) {
            let way = if along[0] < 0.0 { -length } else { length };
            out.push([along[0] / way, along[1] / way]);
        }
    }
    out
}

/// Panels that are folded along a direction: where they lie along it and across.
struct Folded {
    dir: Xy,
    along: [f64; 2],
    across: [f64; 2],
}

impl Folded {
    fn of(symbol: &Symbol, dir: Xy) -> Option<Folded> {
        if !is_folded(symbol, dir) {
            return None;
        }
        let [along, across] = [dir, [-dir[1], dir[0]]].map(|d| symbol.extent([0.0; 2], d));
        (across[1] - across[0] <= DEEP_IN).then_some(Folded { dir, along, across })
    }
    fn at(&self, s: f64, off: f64) -> Xy {
        let [x, y] = self.dir;
        [x * s - y * off, y * s + x * off]
    }
    /// How far another one in line with it is, where the two may close one doorway.
    fn gap_to(&self, other: &Folded) -> Option<f64> {
        let wide = self.along[1] - self.along[0] + other.along[1] - other.along[0];
        let gap = (other.along[0] - self.along[1]).max(self.along[0] - other.along[1]);
        let mut sides = self.across.iter().zip(other.across);
        let in_line = sides.all(|(a, b)| (a - b).abs() <= IN_LINE_IN);
        (in_line && (-CLOSED_IN..=wide).contains(&gap)).then_some(gap)
    }
}

/// Whether a wall stands between two stations along the panels, within reach of them across.
fn stands(
    hosts: &[HostLine],
    (index, widest): (&LineIndex, f64),
    panels: &Folded,
    [from, to]: [f64; 2],
) -> bool {
    let across = panels.across;
    let line = Segment {
        a: panels.at(from, (across[0] + across[1]) / 2.0),
        b: panels.at(to, (across[0] + across[1]) / 2.0),
    };
    let reach = (across[1] - across[0]) / 2.0 + widest + REACH_IN;
    index.near_line(&line, reach).into_iter().any(|h| {
        let Some(h) = hosts.get(h as usize) else { return false };
        let span = |d: Xy| {
            let (a, b) = (dot(h.line.a, d), dot(h.line.b, d));
            [a.min(b), a.max(b)]
        };
        let (s, o) = (span(panels.dir), span([-panels.dir[1], panels.dir[0]]));
        let reach = h.half + REACH_IN;
        s[0] < to && s[1] > from && o[0] < across[1] + reach && o[1] > across[0] - reach
    })
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
    fn folding_doors_to_both_sides_are_one_doorway_in_a_plan_that_is_turned() {
        // A doorway of 56 in in a wall across a house, turned by 30 degrees about the corner.
        let turned = |degrees: f64, reversed: bool| {
            let (s, c) = degrees.to_radians().sin_cos();
            let at = |p: [f64; 2]| [p[0] * c - p[1] * s, p[0] * s + p[1] * c];
            let corners = [[0.0, 0.0], [480.0, 0.0], [480.0, 360.0], [0.0, 360.0]].map(at);
            let mut d = Dxf::inches();
            for (n, p) in corners.iter().enumerate() {
                d = d.line("A-WALL", *p, corners[(n + 1) % 4]);
            }
            for [from, to] in [[0.0, 200.0], [256.0, 480.0]] {
                d = d.line("A-WALL", at([from, 175.0]), at([to, 175.0]));
            }
            let mut lines: Vec<[[f64; 2]; 2]> = Vec::new();
            for (x, way) in [(200.5, 1.0), (255.5, -1.0)] {
                for n in 0..4_i32 {
                    let p = |n: i32| {
                        [x + way * 6.5 * f64::from(n), 177.0 + if n % 2 == 0 { 0.0 } else { 11.26 }]
                    };
                    lines.push([at(p(n)), at(p(n + 1))]);
                }
            }
            if reversed {
                lines.reverse();
            }
            let d = lines.iter().fold(d, |d, l| d.line("A-DOOR", l[0], l[1]));
            let o = ok(&d);
            assert!(with(&o.findings, "dxf-opening-unhosted").is_empty(), "{degrees}");
            let doors = o.value.walls.iter().flat_map(|w| &w.openings);
            doors.map(|d| (d.to - d.from).to_inches().round()).collect::<Vec<f64>>()
        };
        for degrees in [0.0, 30.0, 45.0, 90.0, 117.0] {
            for reversed in [false, true] {
                assert_eq!(turned(degrees, reversed), [56.0], "{degrees} {reversed}");
            }
        }
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
