//! Walls in one line that stop facing each other, with nothing between: a cased opening, most likely.
//!
//! Knows: the walls as they are drafted, openings closed. Never touches: symbols, layers' names; joins nothing.
//! Everything is in inches.

use crate::affine::{Xy, cross, dot, norm, sub};
use crate::linework::{Segment, sine_between};
use crate::nearby::LineIndex;
use crate::network::distance;
use crate::pairing::WIDEST_PLAIN_IN;
use crate::report::{Placed, first_of_all};
use crate::unitwords::size;
use diag::codes::dxf;
use diag::{Finding, SourceRef};
use rustc_hash::FxHashMap;
use wall_model::DraftWall;

/// Narrowest opening without a symbol, as of cuts in an MLINE, inches.
const NARROWEST_IN: f64 = 14.0;
/// The widest that is asked about, inches: an 18 ft garage door and its frame.
const WIDEST_IN: f64 = 222.0;
/// Walls that stop farther apart than an opening without a symbol are asked about where they are as thick as each
/// other but for this, inches: one wall, most likely, with a beam over a wide opening.
const SAME_THICK_IN: f64 = 0.25;
/// Two walls in one line are no more than this beside each other, inches.
const BESIDE_IN: f64 = 0.5;
/// Sine of the angle between them, at most: 0.5 degrees.
const IN_LINE: f64 = 0.008_73;
/// An end this near to another wall's face is held by it, inches.
const HELD_IN: f64 = 1.0;

/// More than walls in one line are beside each other, inches.
const ROUND_IN: f64 = 2.0 * BESIDE_IN;

/// One end of a wall: where, which way the wall goes on from it, of which wall.
#[derive(Clone, Copy)]
struct End {
    at: Xy,
    away: Xy,
    wall: usize,
}

fn axis(w: &DraftWall) -> Segment {
    Segment { a: w.start_in.into(), b: w.end_in.into() }
}

/// A warning for each pair of free ends that face each other.
pub(crate) fn findings(walls: &[DraftWall]) -> Vec<Placed> {
    let pairs = facing(walls);
    if pairs.is_empty() {
        return Vec::new();
    }
    let axes: Vec<Segment> = walls.iter().map(axis).collect();
    let index = LineIndex::new(&axes);
    let widest = walls.iter().map(|w| w.drawn_thickness_in).fold(0.0, f64::max);
    let half = |i: usize| walls.get(i).map_or(0.0, |w| w.drawn_thickness_in / 2.0);
    let storey = |i: usize| walls.get(i).map(|w| w.storey);
    // Whether another wall of the storey comes near the way between two ends.
    let stands_between = |e: &End, f: &End| {
        let way = Segment { a: e.at, b: f.at };
        index.near(&[e.at, f.at], widest + HELD_IN).into_iter().map(|j| j as usize).any(|j| {
            let Some(g) = axes.get(j).filter(|_| j != e.wall && j != f.wall) else { return false };
            let reach = half(j) + half(e.wall) + HELD_IN;
            storey(j) == storey(e.wall) && between(g, &way) <= reach
        })
    };
    let mut found: Vec<(SourceRef, Placed)> = Vec::new();
    for (e, f) in pairs {
        if stands_between(&e, &f) {
            continue;
        }
        let of =
            |i: usize| walls.get(i).and_then(|w| w.source.first()).cloned().unwrap_or_default();
        let mut sources = [of(e.wall), of(f.wall)];
        sources.sort();
        let [one, other] = &sources;
        let wide = norm(sub(f.at, e.at));
        let what = match wide > WIDEST_PLAIN_IN {
            true => {
                "The gap is too wide to be taken for an opening. If it is one, a garage door say"
            }
            false => "If it is a cased opening",
        };
        let message = format!(
            "Two walls in one line stop {} apart, facing each other, with nothing drawn between: the wall of {} on \
             layer {} and that of {} on layer {}. They are planned as two walls. {what}, the plates over it are \
             missing: draw a door, window or opening there.",
            size(wide),
            one.entity,
            one.layer,
            other.entity,
            other.layer
        );
        let middle = [(e.at[0] + f.at[0]) / 2.0, (e.at[1] + f.at[1]) / 2.0];
        let finding = Finding::new(dxf::WALLS_FACING, message).from(&sources);
        found.push((one.clone(), Placed { finding, at_in: Some(middle) }));
    }
    first_of_all(found, |more, _| {
        let message =
            format!("{more} more gaps between walls in one line have nothing drawn in them.");
        Finding::new(dxf::WALLS_FACING, message)
    })
}

/// Least distance of two lines: at an end of one, unless they cross.
fn between(g: &Segment, o: &Segment) -> f64 {
    let side = |l: &Segment, p: Xy| cross(sub(l.b, l.a), sub(p, l.a));
    let cut = |l: &Segment, m: &Segment| side(l, m.a) * side(l, m.b) < 0.0;
    if cut(g, o) && cut(o, g) {
        return 0.0;
    }
    [distance(g, o.a), distance(g, o.b), distance(o, g.a), distance(o, g.b)]
        .into_iter()
        .fold(f64::INFINITY, f64::min)
}

/// Pairs of ends that face each other at an opening's width, of each end the nearest.
fn facing(walls: &[DraftWall]) -> Vec<(End, End)> {
    let mut ends: Vec<End> = Vec::with_capacity(walls.len() * 2);
    for (wall, w) in walls.iter().enumerate() {
        let Segment { a, b } = axis(w);
        let length = norm(sub(b, a));
        if length > 0.0 {
            let dir = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
            ends.push(End { at: a, away: dir, wall });
            ends.push(End { at: b, away: [-dir[0], -dir[1]], wall });
        }
    }
    let cell = |p: Xy| p.map(|v| (v / WIDEST_IN).floor().clamp(-9e15, 9e15) as i64);
    // The last end in each cell, and of each end the one before it there.
    let mut last: FxHashMap<[i64; 2], u32> = FxHashMap::default();
    let mut before: Vec<Option<u32>> = Vec::with_capacity(ends.len());
    for (i, e) in (0_u32..).zip(&ends) {
        before.push(last.insert(cell(e.at), i));
    }
    let gap = |e: &End, f: &End| {
        let way = sub(f.at, e.at);
        let along = -dot(way, e.away);
        let thick = |e: &End| walls.get(e.wall).map_or(0.0, |w| w.drawn_thickness_in);
        let alike = || (thick(e) - thick(f)).abs() <= SAME_THICK_IN;
        let fits = (NARROWEST_IN..=WIDEST_IN).contains(&along)
            && (along <= WIDEST_PLAIN_IN || alike())
            && cross(e.away, way).abs() <= BESIDE_IN
            && dot(e.away, f.away) < 0.0
            && sine_between(e.away, f.away) <= IN_LINE
            && walls.get(e.wall).map(|w| w.storey) == walls.get(f.wall).map(|w| w.storey);
        fits.then_some(along)
    };
    let nearest = |e: &End| {
        // Only where one in line with it can be: the cells of the way there, and what rounding takes.
        let way =
            [NARROWEST_IN, WIDEST_IN].map(|g| [e.at[0] - e.away[0] * g, e.at[1] - e.away[1] * g]);
        let side =
            |axis: usize, far: fn(f64, f64) -> f64, by: f64| far(way[0][axis], way[1][axis]) + by;
        let least = cell([side(0, f64::min, -ROUND_IN), side(1, f64::min, -ROUND_IN)]);
        let most = cell([side(0, f64::max, ROUND_IN), side(1, f64::max, ROUND_IN)]);
        let around = (least[0]..=most[0]).flat_map(|x| (least[1]..=most[1]).map(move |y| [x, y]));
        let in_cell = |c: [i64; 2]| {
            std::iter::successors(last.get(&c).copied(), |j| *before.get(*j as usize)?)
        };
        let near = around.flat_map(in_cell);
        let all = near.filter_map(|j| Some((gap(e, ends.get(j as usize)?)?, j)));
        all.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))).map(|n| n.1)
    };
    let mut out = Vec::new();
    for (i, e) in (0_u32..).zip(&ends) {
        if let Some(j) = nearest(e).filter(|j| *j > i)
            && let Some(f) = ends.get(j as usize)
            && nearest(f) == Some(i)
        {
            out.push((*e, *f));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use crate::testing::Dxf;
    use crate::tests::{ok, with};

    /// A partition of two lines with this between, across a house.
    fn gap(inches: f64) -> Dxf {
        Dxf::inches().house().line("A-WALL", [0.0, 180.0], [200.0, 180.0]).line(
            "A-WALL",
            [200.0 + inches, 180.0],
            [480.0, 180.0],
        )
    }

    #[test]
    fn a_gap_without_a_symbol_is_told() {
        for (inches, count) in
            [(6.0, 0), (14.0, 1), (36.0, 1), (99.0, 1), (120.0, 1), (222.0, 1), (240.0, 0)]
        {
            let o = ok(&gap(inches));
            let told = with(&o.findings, "dxf-walls-facing");
            assert_eq!(told.len(), count, "{inches}");
            assert_eq!(o.value.walls.len(), 6);
        }
        let o = ok(&gap(36.0));
        let told = with(&o.findings, "dxf-walls-facing");
        for part in ["3'-0\"", "104", "105", "A-WALL", "cased opening"] {
            assert!(told[0].message.contains(part), "{part}: {}", told[0].message);
        }
        assert!(told[0].at.is_some() && told[0].source.len() == 2);
    }

    #[test]
    fn a_gap_too_wide_for_an_opening_is_told_between_faces_too() {
        // A partition of faces 4-1/2 in apart with jambs on both sides of a gap; the other part as thick, or thicker.
        let plan = |wide: f64, thick: f64, jambs: bool| {
            let mut d = Dxf::inches();
            for [x0, y0, x1, y1] in [[0.0, 0.0, 480.0, 360.0], [5.5, 5.5, 474.5, 354.5]] {
                d = d.polyline("A-WALL", &[[x0, y0], [x1, y0], [x1, y1], [x0, y1]], true);
            }
            for (from, to, t) in [(5.5, 150.0, 4.5), (150.0 + wide, 474.5, thick)] {
                let middle = 182.25;
                for y in [middle - t / 2.0, middle + t / 2.0] {
                    d = d.line("A-WALL", [from, y], [to, y]);
                }
                let end = if from < 100.0 { to } else { from };
                if jambs {
                    d = d.line("A-WALL", [end, middle - t / 2.0], [end, middle + t / 2.0]);
                }
            }
            let o = ok(&d);
            let told = with(&o.findings, "dxf-walls-facing").into_iter();
            (o.value.walls.len(), told.map(|f| f.message.clone()).collect::<Vec<_>>())
        };
        for (wide, jambs) in [(102.0, false), (120.0, false), (156.0, true), (192.0, true)] {
            let (walls, told) = plan(wide, 4.5, jambs);
            assert_eq!((walls, told.len()), (6, 1), "{wide}");
            assert!(told[0].contains("too wide"), "{}", told[0]);
        }
        assert_eq!(plan(120.0, 6.5, false), (6, Vec::new()));
        assert_eq!(plan(120.0, 4.5, true).0, 5);
    }

    #[test]
    fn a_door_in_it_or_a_wall_across_it_says_what_it_is() {
        let door = gap(36.0).line("A-DOOR", [200.0, 180.0], [236.0, 180.0]);
        assert!(with(&ok(&door).findings, "dxf-walls-facing").is_empty());
        // A hall between two rooms: the ends meet its walls.
        let hall = gap(36.0).line("A-WALL", [200.0, 0.0], [200.0, 360.0]).line(
            "A-WALL",
            [236.0, 0.0],
            [236.0, 360.0],
        );
        assert!(with(&ok(&hall).findings, "dxf-walls-facing").is_empty());
        // Beside each other by more than drafting.
        let off = Dxf::inches().house().line("A-WALL", [0.0, 180.0], [200.0, 180.0]).line(
            "A-WALL",
            [236.0, 184.0],
            [480.0, 184.0],
        );
        assert!(with(&ok(&off).findings, "dxf-walls-facing").is_empty());
    }
}
