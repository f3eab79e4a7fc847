//! Partitions that meet a wall between two doorways hard against them.
//!
//! Knows: faces that run away from a wall in line with jambs across it. Never touches: what else a gap may be
//! (`pairing`), symbols. All in inches.
//!
//! Of the wall itself nothing is left there but the post that the partition stands at: its faces stop at the one
//! doorway and go on beyond the other.

use crate::affine::{dot, sub};
use crate::facelines::{CRACK_IN, Family};
use crate::glass::{JAMB_IN, SQUARE};
use crate::linework::{Segment, sine_between};
use crate::nearby::LineIndex;
use crate::pairing::{Chain, FINISH_IN, NARROWEST_IN, WIDEST_JAMBED_IN, WIDEST_PLAIN_IN};

/// Thickness of such a partition: two trimmers find room, and it is a framed wall's.
const THICK_IN: std::ops::RangeInclusive<f64> = 3.01..=14.0;
/// A jamb and a face in line with it are no farther apart.
const SAME_IN: f64 = 0.25;
/// A face that runs away goes on for so much at least.
const AWAY_IN: f64 = 6.0;
/// More lines across one gap are hatching.
const MOST: usize = 64;

/// A line square to the wall, at a station.
struct Across {
    at: f64,
    /// From face to face and no farther.
    jamb: bool,
    /// From one face to the other, whether it goes on or not.
    whole: bool,
    /// On which sides it runs away from a face.
    away: [bool; 2],
}

/// The lines across a wall within a range of stations.
fn across(
    family: &Family,
    c: &Chain,
    [from, to]: [f64; 2],
    lines: &[Segment],
    index: &LineIndex,
) -> Vec<Across> {
    let (Some(low), Some(high)) = (family.lines.get(c.low), family.lines.get(c.high)) else {
        return Vec::new();
    };
    let (low, high) = (low.offset, high.offset);
    let left = family.left();
    let middle = (low + high) / 2.0;
    let axis = Segment { a: family.at(from, middle), b: family.at(to, middle) };
    let slack = FINISH_IN + SAME_IN;
    let near = index.near_line(&axis, (high - low) / 2.0 + slack).into_iter();
    let near = near.filter_map(|i| lines.get(i as usize));
    let square = near.filter(|g| sine_between(family.dir, sub(g.b, g.a)) >= SQUARE);
    let mut out: Vec<Across> = square
        .filter_map(|g| {
            let (a, b) = (dot(g.a, left), dot(g.b, left));
            let (bottom, top) = (a.min(b), a.max(b));
            let at = (dot(g.a, family.dir) + dot(g.b, family.dir)) / 2.0;
            let [short, over] = JAMB_IN;
            let whole = bottom <= low + short && top >= high - short;
            let jamb = whole && bottom >= low - over && top <= high + over;
            let away = [
                bottom <= low - AWAY_IN && top >= low - slack,
                top >= high + AWAY_IN && bottom <= high + slack,
            ];
            let here = (from - SAME_IN..=to + SAME_IN).contains(&at);
            (here && (jamb || away != [false; 2])).then_some(Across { at, jamb, whole, away })
        })
        .take(MOST + 1)
        .collect();
    if out.len() > MOST {
        out.clear();
    }
    out.sort_by(|a, b| a.at.total_cmp(&b.at));
    out
}

fn any(all: &[Across], at: f64, is: impl Fn(&Across) -> bool) -> bool {
    all.iter().any(|x| (x.at - at).abs() <= SAME_IN && is(x))
}

/// Whether the wall's end at a station is a jamb, though the face of a partition runs away there: the partition
/// stands behind the jamb, `way` from the station.
pub(crate) fn stands_behind(
    family: &Family,
    c: &Chain,
    station: f64,
    way: f64,
    lines: &[Segment],
    index: &LineIndex,
) -> bool {
    let far = station + way * *THICK_IN.end();
    let all = across(family, c, [station.min(far), station.max(far)], lines, index);
    let other = |x: &Across| THICK_IN.contains(&((x.at - station) * way));
    any(&all, station, |x| x.jamb)
        && [0, 1].into_iter().any(|side| {
            any(&all, station, |x| x.away[side]) && all.iter().any(|x| x.away[side] && other(x))
        })
}

/// Whether a wall's faces end inside a wall that runs across there: drawn to its centreline.
pub(crate) fn ends_in_wall(
    family: &Family,
    c: &Chain,
    station: f64,
    lines: &[Segment],
    index: &LineIndex,
) -> bool {
    let far = *THICK_IN.end();
    let all = across(family, c, [station - far, station + far], lines, index);
    let pair = |a: &Across, b: &Across| {
        THICK_IN.contains(&(b.at - a.at)) && (0..2).any(|side| a.away[side] && b.away[side])
    };
    let before = all.iter().filter(|x| x.at < station - SAME_IN);
    let beyond = || all.iter().filter(|x| x.at > station + SAME_IN);
    before.into_iter().any(|a| beyond().any(|b| pair(a, b)))
}

/// The doorways in a gap of both faces in which a partition stands; none where there is none.
pub(crate) fn doorways(
    family: &Family,
    c: &Chain,
    gap: [f64; 2],
    lines: &[Segment],
    index: &LineIndex,
) -> Vec<[f64; 2]> {
    let all = across(family, c, gap, lines, index);
    let wide = |from: f64, to: f64| (NARROWEST_IN..=WIDEST_JAMBED_IN).contains(&(to - from));
    for side in [0, 1] {
        let away: Vec<f64> = all.iter().filter(|x| x.away[side]).map(|x| x.at).collect();
        for (n, from) in away.iter().copied().enumerate() {
            let other = away.iter().skip(n + 1).find(|to| THICK_IN.contains(&(**to - from)));
            let Some(to) = other.copied() else { continue };
            let both = wide(gap[0], from) && wide(to, gap[1]);
            if both && [from, to].iter().all(|at| any(&all, *at, |x| x.whole)) {
                return vec![[gap[0], from], [to, gap[1]]];
            }
            // One doorway: the wall goes on beyond the partition. Without a jamb of its own, and with both
            // faces beginning behind the partition, it is a room.
            let far = if side == 0 { c.high } else { c.low };
            let begins = |at: f64, up: bool| {
                let inside = if up { at + CRACK_IN } else { at - CRACK_IN };
                let span = family.lines.get(far).and_then(|l| l.span_at(inside));
                span.is_some_and(|s| (s[usize::from(!up)] - at).abs() <= SAME_IN)
            };
            let open = |at: f64, width: f64, up: bool| {
                width <= WIDEST_PLAIN_IN && begins(at, up) && !any(&all, at, |x| x.whole)
            };
            let jamb = |at: f64| any(&all, at, |x| x.jamb);
            if (to - gap[1]).abs() <= SAME_IN
                && wide(gap[0], from)
                && (jamb(from) || open(from, from - gap[0], true))
            {
                return vec![[gap[0], from]];
            }
            if (from - gap[0]).abs() <= SAME_IN
                && wide(to, gap[1])
                && (jamb(to) || open(to, gap[1] - to, false))
            {
                return vec![[to, gap[1]]];
            }
        }
    }
    Vec::new()
}

#[cfg(test)]
mod tests {
    use crate::testing::Dxf;
    use crate::tests::ok;
    use wall_model::OpeningKind;

    /// Faces 4-1/2 in apart across a house at y = 180, broken at these places; a partition below or on both sides of
    /// it from 200 to 204-1/2; jambs.
    fn plan(gaps: [&[[f64; 2]]; 2], passes: bool, jambs: &[f64]) -> Dxf {
        let mut d = Dxf::inches();
        for [x0, y0, x1, y1] in [[0.0, 0.0, 480.0, 360.0], [5.5, 5.5, 474.5, 354.5]] {
            d = d.polyline("A-WALL", &[[x0, y0], [x1, y0], [x1, y1], [x0, y1]], true);
        }
        for (y, gaps) in [180.0, 184.5].into_iter().zip(gaps) {
            let mut from = 5.5;
            for [a, b] in gaps {
                d = d.line("A-WALL", [from, y], [*a, y]);
                from = *b;
            }
            d = d.line("A-WALL", [from, y], [474.5, y]);
        }
        for x in [200.0, 204.5] {
            d = d.line("A-WALL", [x, 5.5], [x, 180.0]);
            if passes {
                d = d.line("A-WALL", [x, 184.5], [x, 354.5]);
            }
        }
        jambs.iter().fold(d, |d, x| d.line("A-WALL", [*x, 180.0], [*x, 184.5]))
    }
    fn found(d: &Dxf) -> (usize, Vec<(OpeningKind, f64)>) {
        let walls = ok(d).value.walls;
        let all = walls.iter().flat_map(|w| &w.openings);
        (walls.len(), all.map(|o| (o.kind, (o.to - o.from).to_inches())).collect())
    }
    const LEFT: [f64; 2] = [160.0, 200.0];
    const RIGHT: [f64; 2] = [204.5, 244.5];
    const ALL: [f64; 2] = [160.0, 244.5];
    const DOORWAY: (OpeningKind, f64) = (OpeningKind::Opening, 40.0);

    #[test]
    fn doorways_hard_against_both_sides_of_a_partition_are_two() {
        let jambs = [160.0, 200.0, 204.5, 244.5];
        for (gaps, passes, walls) in [
            // The post's far face drawn, none, both of them.
            ([&[ALL][..], &[LEFT, RIGHT]], false, 6),
            ([&[ALL], &[ALL]], true, 6),
            ([&[LEFT, RIGHT], &[LEFT, RIGHT]], false, 6),
        ] {
            assert_eq!(found(&plan(gaps, passes, &jambs)), (walls, vec![DOORWAY; 2]), "{gaps:?}");
        }
    }

    #[test]
    fn a_doorway_hard_against_one_side_does_not_end_the_wall() {
        let upto = [160.0, 204.5];
        let d = plan([&[upto], &[LEFT]], false, &[160.0, 200.0]);
        assert_eq!(found(&d), (6, vec![DOORWAY]));
        let from = [200.0, 244.5];
        let d = plan([&[from], &[RIGHT]], false, &[204.5, 244.5]);
        assert_eq!(found(&d), (6, vec![DOORWAY]));
        // The partition stops at the face before it, and the one behind it goes on over its end: no corner.
        assert_eq!(found(&plan([&[upto], &[LEFT]], false, &[160.0])), (6, vec![DOORWAY]));
        assert_eq!(found(&plan([&[from], &[RIGHT]], false, &[])), (6, vec![DOORWAY]));
        // It goes through to the far face: a corner, and a room between it and the other wall.
        let corner = plan([&[upto], &[LEFT]], false, &[160.0]);
        assert_eq!(found(&corner.line("A-WALL", [200.0, 150.0], [200.0, 184.5])), (7, vec![]));
        // Wider than a doorway without jambs.
        let wide = [90.0, 204.5];
        assert_eq!(found(&plan([&[wide], &[[90.0, 200.0]]], false, &[90.0])).1, []);
        // Without a jamb at the partition a room is between them.
        let d = plan([&[upto], &[upto]], true, &[160.0]);
        assert_eq!(found(&d).1, []);
    }

    /// Walls drawn to the centrelines of those they meet, on both sides of a passage.
    #[test]
    fn a_passage_between_two_walls_is_no_opening() {
        let walls = |across: &[[f64; 2]], lines: [f64; 2]| {
            let mut d = Dxf::inches();
            for [x0, y0, x1, y1] in [[0.0, 0.0, 480.0, 360.0], [5.5, 5.5, 474.5, 354.5]] {
                d = d.polyline("A-WALL", &[[x0, y0], [x1, y0], [x1, y1], [x0, y1]], true);
            }
            for x in across {
                d = d.line("A-WALL", [x[0], 5.5], [x[0], 354.5]);
                d = d.line("A-WALL", [x[1], 5.5], [x[1], 354.5]);
            }
            for y in [180.0, 184.5] {
                d = d.line("A-WALL", [5.5, y], [lines[0], y]).line(
                    "A-WALL",
                    [lines[1], y],
                    [474.5, y],
                );
            }
            found(&d)
        };
        let both = [[200.0, 204.5], [264.5, 269.0]];
        assert_eq!(walls(&both, [202.25, 266.75]), (8, vec![]));
        // A gap with nothing across at its ends is a doorway, and with a wall at one.
        let opening = vec![(OpeningKind::Opening, 64.5)];
        assert_eq!(walls(&[], [202.25, 266.75]), (5, opening.clone()));
        assert_eq!(walls(&both[..1], [202.25, 266.75]), (6, opening));
    }
}
