//! What holds of the nails of every plan that a test makes, and cases by hand.

use super::*;
use plan_model::MarkKind;

/// IRC Table R602.3(1) items 13 and 14: 16 in between nails of the two top plates, 8 on each side of an end
/// joint within the 24 in lap. Common practice, no source: 3 at one place of a 2x4, 5 of a 2x6.
pub(super) fn well_nailed(f: &Floor, plan: &Plan, s: &Settings) {
    for p in plan.pieces.iter().filter(|p| p.layer != Layer::Bottom && p.rake.is_none()) {
        let r = f.run(p.run);
        let at = |n: &plan_model::NailSpot| p.from + n.at;
        for n in &p.nails {
            assert!(n.at > Length::ZERO && n.at < p.to - p.from, "{} {n:?}", p.mark);
        }
        if p.layer == Layer::Lower {
            continue;
        }
        let cap = if r.section.width() > Length::inches(4) { 5 } else { 3 };
        // A lap's own nails may come on top of a stud's.
        assert!(p.nails.iter().all(|n| n.count <= 2 * cap), "{} {:?}", p.mark, p.nails);
        if s.studs.spacing <= Length::inches(16) && s.rules == "irc-2021" {
            let spots = p.nails.iter().map(at);
            for (a, b) in spots.clone().zip(spots.skip(1)) {
                assert!(b - a <= Length::inches(16), "{}: no nail between {a:?} and {b:?}", p.mark);
            }
        }
        let joints = plan.joints.iter().filter(|j| j.run == p.run && j.kind == JointKind::Break);
        for j in joints.filter(|j| j.layer != Layer::Bottom) {
            for side in [-1, 1] {
                let edge = j.at + j.half_gap * side;
                let far = edge + Length::inches(24) * side;
                let (lo, hi) = (edge.min(far).max(p.from), edge.max(far).min(p.to));
                // Too short for eight.
                if hi - lo < Length::inches(9) {
                    continue;
                }
                let there = |n: &&plan_model::NailSpot| at(n) >= lo && at(n) <= hi && at(n) != j.at;
                let count: u32 = p.nails.iter().filter(there).map(|n| n.count).sum();
                assert!(count >= 8, "{}: {count} nails by the joint at {:?}", p.mark, j.at);
            }
        }
    }
}

/// Every nail into a stud is in the stud's wood, a quarter of an inch from its edge.
#[test]
fn nails_into_studs_hit_them() {
    let walls = [w(0., 0., 400., 0., "2x4"), w(400., 0., 400., 120., "2x4")];
    let (_, out) = proved(&walls, &Settings::default());
    for p in out.value.pieces.iter().filter(|p| p.layer == Layer::Lower) {
        assert!(!p.nails.is_empty());
        for n in &p.nails {
            let near = |m: &plan_model::Mark| {
                matches!(m.kind, MarkKind::Stud | MarkKind::Corner)
                    && (m.at - n.at).abs() <= Length::sixteenths(8)
            };
            // The stud under a joint is marked on one of the two pieces.
            let at_end =
                n.at == Length::sixteenths(8) || n.at == p.to - p.from - Length::sixteenths(8);
            assert!(at_end || p.marks.iter().any(near), "{} {n:?} {:?}", p.mark, p.marks);
        }
    }
}

/// A garage door 16 ft wide: cripples stand on its header by the layout, and the plates are nailed there.
#[test]
fn plates_over_a_wide_opening_are_nailed_to_each_other_and_to_the_header() {
    let mut front = w(0., 0., 288., 0., "2x6");
    front.openings = vec![(48.0, 240.0)];
    let (f, out) = proved(&[front, w(288., 0., 288., 120., "2x6")], &Settings::default());
    for layer in [Layer::Lower, Layer::Upper] {
        let run = f.runs.iter().position(|r| r.length() > Length::inches(200)).unwrap();
        let over: u32 = out
            .value
            .pieces
            .iter()
            .filter(|p| p.layer == layer && p.run.0 as usize == run)
            .flat_map(|p| p.nails.iter().map(|n| (p.from + n.at, n.count)))
            .filter(|(at, _)| *at > Length::inches(52) && *at < Length::inches(236))
            .map(|(_, count)| count)
            .sum();
        assert!(over >= 22, "{layer:?}: {over}");
    }
}

/// Two walls that meet a 2x6 from both sides in one place: both notches would leave 1-1/4 in of it.
#[test]
fn notches_from_both_sides_are_judged_together() {
    let mut walls = rectangle("2x6");
    walls.extend([w(0., 96., 288., 96., "2x6"), w(120., 0., 120., 96., "2x4")]);
    walls.push(w(122., 96., 122., 192., "2x4"));
    walls[4].exterior = Some(true);
    let (f, out) = proved(&walls, &Settings::default());
    let middle = f.runs.iter().position(|r| r.start.y == r.end.y && r.start.y.to_inches() == 96.0);
    let upper = out.value.pieces.iter().filter(|p| p.layer == Layer::Upper);
    let of_middle = upper.filter(|p| p.run.0 as usize == middle.unwrap());
    for p in of_middle {
        for n in &p.notches {
            let facing = p.notches.iter().filter(|m| m.from < n.to && n.from < m.to);
            let taken: Length = facing.map(|m| m.depth).sum();
            assert!(taken <= Length::inches(3), "{:?}", p.notches);
        }
    }
}

/// Corners of 135 degrees are laps like others, and have a lap's nails: five in a 2x6.
#[test]
fn laps_at_flat_corners_are_nailed() {
    let walls = [
        w(0., 0., 120., 0., "2x6"),
        w(120., 0., 180., 60., "2x6"),
        w(180., 60., 180., 180., "2x6"),
    ];
    let (_, out) = proved(&walls, &Settings::default());
    let laps = out.value.fasteners.iter().find(|f| f.purpose.contains("laps")).unwrap();
    assert_eq!(laps.count, 10);
}
