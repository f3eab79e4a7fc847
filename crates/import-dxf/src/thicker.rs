//! Stretches of a wall that are thicker or thinner than the rest of it.
//!
//! Knows: a pair of faces in a gap of another pair, the outline that leads from the one to the other. Never touches:
//! how faces are paired (`pairing`), windows (`glass`). All in inches.
//!
//! A partition of 2x4 with a few feet of 2x6 for a stack has a gap in both faces there, as at a door. What tells the
//! two apart is the outline: round a doorway it closes the wall from face to face, at a change of thickness it steps
//! from the one pair of faces to the other and goes on.

use crate::affine::{Xy, norm, sub};
use crate::facelines::{CRACK_IN, Family};
use crate::glass::SAME_IN;
use crate::linework::Segment;
use crate::nearby::LineIndex;
use crate::pairing::{Chain, End, TOUCH_IN, end_kind, union_length};

/// Parts chains where another pair of faces fills a gap as a wall. `known` says which distances of faces are those of
/// lumber.
pub(crate) fn part_at_changes(
    family: &Family,
    chains: Vec<Chain>,
    known: &dyn Fn(f64) -> bool,
    lines: &[Segment],
    index: &LineIndex,
) -> Vec<Chain> {
    if chains.iter().all(|c| c.gaps.is_empty()) {
        return chains;
    }
    let axes: Vec<Segment> = chains
        .iter()
        .map(|c| {
            let middle = faces(family, c).map_or(f64::INFINITY, |[low, high]| (low + high) / 2.0);
            let [a, b] = c.ends().map(|s| family.at(s, middle));
            Segment { a, b }
        })
        .collect();
    let near = LineIndex::new(&axes);
    let fills = |wall: &Chain, gap: [f64; 2]| {
        let Some([low, high]) = faces(family, wall) else { return false };
        let middle = family.at((gap[0] + gap[1]) / 2.0, (low + high) / 2.0);
        near.near(&[middle], high - low).into_iter().any(|n| {
            chains.get(n as usize).is_some_and(|other| {
                let thick = faces(family, other).map_or(0.0, |[low, high]| high - low);
                known(thick) && goes_on(family, (wall, gap), other, lines, index)
            })
        })
    };
    let changes: Vec<Vec<[f64; 2]>> = chains
        .iter()
        .map(|c| c.gaps.iter().copied().filter(|gap| fills(c, *gap)).collect())
        .collect();
    let mut out = Vec::with_capacity(chains.len());
    for (mut chain, changes) in chains.into_iter().zip(changes) {
        for gap in changes {
            let rest = chain.part(gap);
            out.push(std::mem::replace(&mut chain, rest));
        }
        out.push(chain);
    }
    out
}

/// Offsets of a chain's faces.
pub(crate) fn faces(family: &Family, c: &Chain) -> Option<[f64; 2]> {
    Some([family.lines.get(c.low)?.offset, family.lines.get(c.high)?.offset])
}

/// Whether a wall's outline goes on along another pair of faces from one side of a gap to the other, with nothing
/// between the two.
fn goes_on(
    family: &Family,
    (wall, gap): (&Chain, [f64; 2]),
    other: &Chain,
    lines: &[Segment],
    index: &LineIndex,
) -> bool {
    let ends = other.ends();
    let whole = other.gaps.is_empty() && other.run_on.is_empty();
    if (wall.low, wall.high) == (other.low, other.high)
        || !whole
        || ends.iter().zip(gap).any(|(a, b)| (a - b).abs() > SAME_IN)
    {
        return false;
    }
    let (Some(own), Some(others)) = (faces(family, wall), faces(family, other)) else {
        return false;
    };
    let steps = gap.iter().all(|station| {
        own.iter().zip(others).all(|(from, to)| step(family, *station, [*from, to], lines, index))
    });
    let open = || {
        let closed = |c: &Chain, at: f64| end_kind(family, c, at, lines, index) == End::Closed;
        gap.iter().zip(ends).all(|(a, b)| !closed(wall, *a) && !closed(other, b))
    };
    // Glass, a leaf: lines of a window or door.
    let between = || {
        let within = family.lines.get(other.low + 1..other.high).unwrap_or_default();
        let there = within.iter().flat_map(|l| &l.spans);
        let spans = there.map(|s| [s[0].max(gap[0]), s[1].min(gap[1])]).filter(|s| s[1] > s[0]);
        union_length(spans.collect())
    };
    steps && open() && between() <= SAME_IN
}

/// Whether a face goes over into another one at a station: in one line with it, or by a line across.
pub(crate) fn step(
    family: &Family,
    station: f64,
    offsets: [f64; 2],
    lines: &[Segment],
    index: &LineIndex,
) -> bool {
    if (offsets[0] - offsets[1]).abs() <= CRACK_IN {
        return true;
    }
    let [p, q] = offsets.map(|o| family.at(station, o));
    let joins =
        |a: Xy, b: Xy| norm(sub(a, p)) <= TOUCH_IN / 2.0 && norm(sub(b, q)) <= TOUCH_IN / 2.0;
    let near = index.near(&[p, q], TOUCH_IN).into_iter();
    near.filter_map(|i| lines.get(i as usize)).any(|g| joins(g.a, g.b) || joins(g.b, g.a))
}

#[cfg(test)]
mod tests {
    use crate::testing::Dxf;
    use crate::tests::{ok, with};

    /// A house of faces 5-1/2 in apart, 40 by 30 ft, with a partition across it of this half thickness that is
    /// `middle` thick from 200 on for `long`, as half of it; closed there if wanted.
    fn house([half, middle]: [f64; 2], long: f64, closed: bool) -> Dxf {
        let (from, to) = (200.0, 200.0 + long);
        let mut d = Dxf::inches().polyline(
            "A-WALL",
            &[[0.0, 0.0], [480.0, 0.0], [480.0, 360.0], [0.0, 360.0]],
            true,
        );
        for side in [-1.0, 1.0] {
            let (y, z) = (180.0 + side * half, 180.0 + side * middle);
            let end = if side < 0.0 { 5.5 } else { 354.5 };
            let points = [
                [5.5, end],
                [5.5, y],
                [from, y],
                [from, z],
                [to, z],
                [to, y],
                [474.5, y],
                [474.5, end],
            ];
            d = d.polyline("A-WALL", &points, true);
        }
        if closed {
            let thick = half.max(middle);
            for x in [from, to] {
                d = d.line("A-WALL", [x, 180.0 - thick], [x, 180.0 + thick]);
            }
        }
        d
    }
    /// Walls along the partition: from where to where, thickness, openings.
    fn partition(d: &Dxf) -> Vec<(f64, f64, f64, usize)> {
        let o = ok(d);
        let inside = |y: f64| y > 100.0 && y < 300.0;
        let walls =
            o.value.walls.iter().filter(|w| w.start.y == w.end.y && inside(w.start.y.to_inches()));
        let mut out: Vec<_> = walls
            .map(|w| {
                let [a, b] = [w.start, w.end].map(|p| p.x.to_inches() + 2.75);
                (a, b, w.drawn_thickness.to_inches(), w.openings.len())
            })
            .collect();
        out.sort_by(|a, b| a.0.total_cmp(&b.0));
        out
    }

    #[test]
    fn a_thicker_or_thinner_stretch_is_a_wall() {
        for long in [36.0, 60.0, 72.0, 96.0] {
            for [half, middle] in [[1.75, 2.75], [2.75, 1.75]] {
                let d = house([half, middle], long, false);
                let (to, [t, m]) = (200.0 + long, [half * 2.0, middle * 2.0]);
                let want = [(5.5, 200.0, t, 0), (200.0, to, m, 0), (to, 474.5, t, 0)];
                assert_eq!(partition(&d), want, "{long} {half}");
                assert!(with(&ok(&d).findings, "dxf-face-lines-left").is_empty());
            }
        }
    }

    #[test]
    fn stems_at_its_ends_change_nothing() {
        // A stack wall of 2x6 between two partitions of 2x4 that go up from it.
        let [lower, upper] = [177.25, 182.75];
        let mut d = Dxf::inches().polyline(
            "A-WALL",
            &[[0.0, 0.0], [480.0, 0.0], [480.0, 360.0], [0.0, 360.0]],
            true,
        );
        let (a, b) = (197.25, 274.75);
        d = d.polyline(
            "A-WALL",
            &[
                [5.5, 5.5],
                [5.5, 178.25],
                [a, 178.25],
                [a, lower],
                [b, lower],
                [b, 178.25],
                [474.5, 178.25],
                [474.5, 5.5],
            ],
            true,
        );
        d = d.polyline(
            "A-WALL",
            &[
                [5.5, 354.5],
                [5.5, 181.75],
                [a, 181.75],
                [a, upper],
                [198.25, upper],
                [198.25, 354.5],
            ],
            true,
        );
        d = d.polyline(
            "A-WALL",
            &[[201.75, 354.5], [201.75, upper], [270.25, upper], [270.25, 354.5]],
            true,
        );
        d = d.polyline(
            "A-WALL",
            &[
                [273.75, 354.5],
                [273.75, upper],
                [b, upper],
                [b, 181.75],
                [474.5, 181.75],
                [474.5, 354.5],
            ],
            true,
        );
        let want = [(5.5, a, 3.5, 0), (a, b, 5.5, 0), (b, 474.5, 3.5, 0)];
        assert_eq!(partition(&d), want);
    }

    #[test]
    fn what_closes_the_wall_or_lies_between_makes_it_an_opening() {
        // Jambs from face to face, sills outside them.
        let d = house([1.75, 2.75], 48.0, true);
        assert_eq!(partition(&d), [(5.5, 474.5, 3.5, 1)]);
        // Glass in a frame that stands out from the wall, or within it.
        for faces in [[1.75, 2.75], [2.75, 1.75]] {
            let d = house(faces, 48.0, false).line("A-WALL", [200.0, 180.0], [248.0, 180.0]);
            let walls = partition(&d);
            assert_eq!((walls.len(), walls[0].3), (1, 1), "{walls:?}");
        }
    }
}
