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
                let most = Length::inches(16) + Length::sixty_fourths(1);
                assert!(b - a <= most, "{}: no nail between {a:?} and {b:?}", p.mark);
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
    let (f, out) = proved(&walls, &Settings::default());
    let mut laps = 0;
    for p in out.value.pieces.iter().filter(|p| p.layer == Layer::Upper) {
        let run = f.run(p.run);
        let lower = |q: &&plan_model::Piece| q.run == p.run && q.layer == Layer::Lower;
        let from = out.value.pieces.iter().filter(lower).map(|q| q.from).min().unwrap();
        let to = out.value.pieces.iter().filter(lower).map(|q| q.to).max().unwrap();
        let beyond = |n: &&plan_model::NailSpot| p.from + n.at < from || p.from + n.at > to;
        let count: u32 = p.nails.iter().filter(beyond).map(|n| n.count).sum();
        let reaches = p.from < from || p.to > to;
        assert_eq!(count, if reaches { 5 } else { 0 }, "{} of {:?}", p.mark, run.start);
        laps += u32::from(reaches);
    }
    assert_eq!(laps, 2);
}

/// A 2x4 wall goes on from a 2x6 in line: its upper plate runs on over the 2x6 for 24 in or to the next stud after it, is nailed
/// over every stud of that wall, and has the code's eight nails on each side of both joints (IRC Table R602.3(1) item 14). None were
/// driven there once.
#[test]
fn a_plate_that_runs_on_in_line_is_nailed_to_the_wall_it_runs_over() {
    let mut seen = 0;
    for flipped in [false, true] {
        let mut walls = vec![w(0., 0., 180., 0., "2x6"), w(180., 0., 360., 0., "2x4")];
        if flipped {
            walls = vec![w(0., 0., 180., 0., "2x4"), w(180., 0., 360., 0., "2x6")];
        }
        let (f, out) = proved(&walls, &Settings::default());
        let runs = || f.runs.iter().enumerate().map(|(i, r)| (RunId(i as u32), r));
        let (narrow, run) = runs().find(|(_, r)| r.section == Section::S2X4).unwrap();
        let (wide, _) = runs().find(|(_, r)| r.section == Section::S2X6).unwrap();
        let x = |run: RunId, s: Length| f.run(run).frame().at(s, Length::ZERO).x;
        let seam = Length::inches(180);
        let reach = |p: &&plan_model::Piece| {
            let (a, b) = (x(p.run, p.from), x(p.run, p.to));
            p.run == narrow && p.layer == Layer::Upper && a.min(b) < seam && a.max(b) > seam
        };
        let on = out.value.pieces.iter().find(reach).unwrap();
        let at = |n: &plan_model::NailSpot| x(narrow, on.from + n.at);
        let end = if flipped { x(narrow, on.to) } else { x(narrow, on.from) };
        let (lo, hi) = (end.min(seam), end.max(seam));
        let held = |lo: Length, hi: Length| -> u32 {
            let there = on.nails.iter().filter(|n| at(n) >= lo && at(n) <= hi);
            there.map(|n| n.count).sum()
        };
        assert!(held(lo, hi) >= 8, "{:?}", on.nails);
        let own = if flipped {
            (seam - Length::inches(24), seam)
        } else {
            (seam, seam + Length::inches(24))
        };
        assert!(held(own.0, own.1) >= 8, "{:?}", on.nails);
        for p in out.value.pieces.iter().filter(|p| p.run == wide && p.layer == Layer::Lower) {
            let studs = p.marks.iter().filter(|m| m.kind == MarkKind::Stud);
            for s in studs.map(|m| x(wide, p.from + m.at)) {
                if s > lo + Length::inches(3) && s < hi - Length::inches(3) {
                    assert!(held(s - Length::inches(1), s + Length::inches(1)) >= 2, "{s:?}");
                    seen += 1;
                }
            }
        }
        assert!(run.length() > Length::inches(100));
    }
    assert!(seen >= 2, "{seen}");
}

/// A trimmer ends under its header, and is nothing to nail to: not where another wall's plate runs on over it either.
#[test]
fn a_plate_that_runs_on_is_not_nailed_over_trimmers() {
    let mut wide = w(0., 0., 180., 0., "2x6");
    wide.openings = vec![(150., 166.)];
    let (f, out) = proved(&[wide, w(180., 0., 360., 0., "2x4")], &Settings::default());
    let x =
        |p: &plan_model::Piece, at: Length| f.run(p.run).frame().at(p.from + at, Length::ZERO).x;
    let narrow = |p: &&plan_model::Piece| f.run(p.run).section == Section::S2X4;
    let on = out.value.pieces.iter().filter(narrow).find(|p| p.layer == Layer::Upper).unwrap();
    let trimmers: Vec<Length> = out
        .value
        .pieces
        .iter()
        .filter(|p| !narrow(p) && p.layer == Layer::Lower)
        .flat_map(|p| p.marks.iter().filter(|m| m.kind == MarkKind::Trimmer).map(|m| x(p, m.at)))
        .filter(|at| *at > x(on, Length::ZERO).min(x(on, on.to - on.from)))
        .collect();
    assert!(!trimmers.is_empty());
    for t in trimmers {
        let over = on.nails.iter().filter(|n| (x(on, n.at) - t).abs() < Length::inches(1));
        assert_eq!(over.count(), 0, "{t:?} {:?}", on.nails);
    }
}

/// No nails in the strip a deep notch leaves of a 2x4, none nearer to others than 1/2 in beyond the count that splits a plate, and both
/// ends of every upper plate held within 6 in, of a house with notched tees, doors near corners and joints.
#[test]
fn upper_plates_are_nailed_at_their_ends_and_not_in_notches() {
    let mut walls = rectangle("2x4");
    walls.extend([w(120., 0., 120., 192., "2x4"), w(0., 96., 120., 96., "2x4")]);
    walls[0].openings = vec![(100., 136.), (200., 240.)];
    let (_, out) = proved(&walls, &Settings::default());
    let mut notches = 0;
    for p in out.value.pieces.iter().filter(|p| p.layer == Layer::Upper) {
        let long = p.to - p.from;
        for n in &p.notches {
            let inside = |s: &&plan_model::NailSpot| s.at > n.from && s.at < n.to;
            assert_eq!(p.nails.iter().filter(inside).count(), 0, "{} {:?}", p.mark, p.nails);
            notches += 1;
        }
        let near = |at: Length| p.nails.iter().any(|s| (s.at - at).abs() <= Length::inches(6));
        assert!(near(Length::ZERO) && near(long), "{} {:?}", p.mark, p.nails);
        for s in &p.nails {
            let here = p.nails.iter().filter(|o| (o.at - s.at).abs() < Length::sixteenths(8));
            assert!(here.map(|o| o.count).sum::<u32>() <= 3, "{} {:?}", p.mark, p.nails);
        }
    }
    assert!(notches >= 2, "{notches}");
}

/// Two walls that cross, 10 ft each way: the one that is broken is two built walls, each with a stud flush with the
/// crossing wall's face, by hand 60 - 1.75 - 0.75 and 60 + 1.75 + 0.75 along it.
#[test]
fn a_wall_that_a_crossing_breaks_ends_in_studs() {
    let walls = [w(0., 60., 120., 60., "2x4"), w(60., 0., 60., 120., "2x4")];
    let (f, out) = proved(&walls, &Settings::default());
    let lower = || out.value.pieces.iter().filter(|p| p.layer == Layer::Lower);
    let broken = f.runs.iter().enumerate().map(|(i, _)| i as u32);
    let broken = broken.into_iter().find(|i| lower().filter(|p| p.run.0 == *i).count() == 2);
    let studs: Vec<Length> = lower()
        .filter(|p| Some(p.run.0) == broken)
        .flat_map(|p| p.marks.iter().filter(|m| m.kind == MarkKind::Corner).map(|m| p.from + m.at))
        .collect();
    let at = |x: f64| Length::from_inches(x).unwrap();
    assert_eq!(studs, [at(57.5), at(62.5)]);
}

/// A wall whose plates butt at its start: the first sheet of the sheathing begins at the corner's outside, 2-3/4 in
/// from the node, so the first stud of the layout is 16 - 2.75 in along the run, 10-1/2 in from the plate's end. The run
/// that goes on from it goes on with its layout.
#[test]
fn the_layout_begins_at_the_corner_of_the_building() {
    let walls =
        [w(0., 0., 0., 192., "2x6"), w(0., 0., 120., 0., "2x6"), w(120., 0., 230., 0., "2x4")];
    for k in 0..4 {
        let turned: Vec<W> = walls
            .iter()
            .map(|w| {
                let way = |p: (f64, f64)| (0..k).fold(p, |(x, y), _| (-y, x));
                W { a: way(w.a), b: way(w.b), ..w.clone() }
            })
            .collect();
        let (f, out) = proved(&turned, &Settings::default());
        for (i, r) in f.runs.iter().enumerate() {
            let corner = |j| f.junction(j).kind == JunctionKind::L;
            let narrow = r.section == Section::S2X4;
            // By hand: counted from the corner, -2.75 on the runs that begin there, 120 + 2.75 back on the one after.
            let origin = match (corner(r.start_junction), narrow) {
                (true, _) => -2.75,
                (false, true) if f.junction(r.start_junction).kind == JunctionKind::Inline => {
                    -122.75
                }
                _ => continue,
            };
            let pieces = out.value.pieces.iter();
            let studs =
                pieces.filter(|p| p.layer == Layer::Lower && p.run.0 as usize == i).flat_map(|p| {
                    p.marks.iter().filter(|m| m.kind == MarkKind::Stud).map(|m| p.from + m.at)
                });
            let last = f.run(RunId(i as u32)).length() - Length::inches(2);
            let mut seen = 0;
            for at in studs.filter(|at| *at > Length::inches(2) && *at < last) {
                let from_corner = at.to_inches() - origin;
                assert!((from_corner / 16.0).fract().abs() < 1e-9, "{from_corner}");
                seen += 1;
            }
            assert!(seen >= 4);
        }
    }
}

/// At a corner of 135 degrees the plates end in a bevel: the end studs stand where a plate has its full width.
#[test]
fn studs_stand_on_the_whole_plate_at_bevels() {
    let walls = [
        w(0., 0., 120., 0., "2x6"),
        w(120., 0., 180., 60., "2x6"),
        w(180., 60., 180., 180., "2x6"),
    ];
    let (f, out) = proved(&walls, &Settings::default());
    let mut seen = 0;
    for p in out.value.pieces.iter().filter(|p| p.layer == Layer::Lower) {
        let frame = f.run(p.run).frame();
        let corners: Vec<(Length, Length)> = p.outline.iter().map(|q| frame.locate(*q)).collect();
        let side = |left: bool| corners.iter().filter(move |c| (c.1 > Length::ZERO) == left);
        let least = |left| side(left).map(|c| c.0).min().unwrap();
        let most = |left| side(left).map(|c| c.0).max().unwrap();
        let (from, to) = (least(true).max(least(false)), most(true).min(most(false)));
        let half = p.section.thickness().half();
        let standing = [MarkKind::Stud, MarkKind::Corner];
        for m in p.marks.iter().filter(|m| standing.contains(&m.kind)) {
            let at = p.from + m.at;
            assert!(at - half >= from && at + half <= to, "{} {at:?} in {from:?}..{to:?}", p.mark);
            seen += 1;
        }
    }
    assert!(seen > 15);
}

/// Nails of the bottom plate into the floor: none in a door, none under a stud, none farther apart than 16 in.
#[test]
fn floor_nails_stand_between_studs_and_beside_doors() {
    let mut front = w(0., 0., 288., 0., "2x6");
    front.openings = vec![(48.0, 84.0), (100.0, 292.0 - 80.0)];
    let (_, out) = proved(&[front, w(288., 0., 288., 120., "2x6")], &Settings::default());
    let floor = out.value.fasteners.iter().find(|f| f.purpose.contains("floor")).unwrap();
    let bottoms = || out.value.pieces.iter().filter(|p| p.layer == Layer::Bottom);
    let mut seen = 0;
    for p in bottoms() {
        let doors: Vec<(Length, Length)> = match p.run.0 {
            0 => [(48, 84), (100, 212)].map(|(a, b)| (Length::inches(a), Length::inches(b))).into(),
            _ => Vec::new(),
        };
        let studs: Vec<Length> = p
            .marks
            .iter()
            .filter(|m| !matches!(m.kind, MarkKind::Opening | MarkKind::Tee))
            .map(|m| p.from + m.at)
            .collect();
        let into_studs =
            |at: Length| studs.iter().any(|s| (*s - at).abs() < Length::sixteenths(12));
        for n in &p.nails {
            let at = p.from + n.at;
            assert!(!doors.iter().any(|(a, b)| at > *a && at < *b), "{} {at:?}", p.mark);
            if !into_studs(at) {
                assert_eq!(n.count, 1, "{} {at:?}", p.mark);
                assert!(studs.iter().all(|s| (*s - at).abs() >= Length::sixteenths(23)), "{at:?}");
                seen += 1;
            }
        }
    }
    assert_eq!(seen, floor.count);
}

/// An upper plate is nailed to the lower one, not to the stud under its end: 1-1/2 in from its ends or more.
#[test]
fn nails_keep_from_the_ends_of_upper_plates() {
    let (_, out) = proved(&rectangle("2x6"), &Settings::default());
    let inset = Length::sixteenths(24);
    for p in out.value.pieces.iter().filter(|p| p.layer == Layer::Upper) {
        let clear = |n: &plan_model::NailSpot| n.at >= inset && p.to - p.from - n.at >= inset;
        assert!(!p.nails.is_empty() && p.nails.iter().all(clear), "{} {:?}", p.mark, p.nails);
    }
}

/// A nail that a stud sets back leaves no second one a hair before the last: nobody drives two within a finger's width.
#[test]
fn floor_nails_are_spread_to_the_last() {
    let most = Length::inches(16);
    for quarters in 80..560 {
        let long = f64::from(quarters) / 4.0;
        let (_, out) = proved(&[w(0., 0., long, 0., "2x6")], &Settings::default());
        for p in out.value.pieces.iter().filter(|p| p.layer == Layer::Bottom) {
            let down: Vec<Length> = p.nails.iter().filter(|n| n.into_floor).map(|n| n.at).collect();
            let steps = || down.windows(2).map(|n| n[1] - n[0]);
            let near = Length::inches(4).min(p.length / 4);
            assert!(steps().all(|d| d >= near && d <= most), "{long}: {down:?}");
        }
    }
}

/// A door drawn over the end of a window, its edge at a place of the layout or within half a stud of it: no cripple stands there
/// under the sill, and the bottom plate is not nailed in the doorway.
#[test]
fn no_cripple_under_a_sill_stands_in_a_door() {
    let mut nailed = 0;
    for sixteenths in -16..=16 {
        let edge = 112.0 + f64::from(sixteenths) / 16.0;
        let mut wall = w(0., 0., 288., 0., "2x4");
        wall.windows.push((52., 124.));
        wall.openings.push((edge, 160.));
        let (_, out) = proved(&[wall], &Settings::default());
        let bottoms = out.value.pieces.iter().filter(|p| p.layer == Layer::Bottom);
        for p in bottoms {
            let to_studs = p.nails.iter().filter(|n| !n.into_floor);
            let nails = to_studs.map(|n| (p.from + n.at).to_inches());
            // A quarter of an inch of wood is left beside a nail.
            let clear = nails.clone().all(|at| at <= edge - 0.25 || at >= 160.0);
            assert!(clear, "{edge}: {:?}", p.nails);
            nailed += nails.filter(|at| (at - 112.0).abs() < 1.0).count();
        }
    }
    // Where the door leaves room for the cripple it stands.
    assert!(nailed > 0);
}

/// A 2x6 plate that runs on over a 2x12 wall in line by no more than 9 in, under a short joint offset: it has the nails of a lap
/// there all the same.
#[test]
fn a_plate_that_runs_on_a_little_has_a_laps_nails() {
    let mut s = Settings { rules: "nbc-2020".into(), ..Settings::default() };
    s.plates.joint_offset = Some(Length::sixteenths(97));
    s.plates.upper_clearance = Length::sixteenths(12);
    s.studs.spacing = Length::sixteenths(148);
    let mut walls =
        [w(0., 244., 0., 305., "2x6"), w(-0.34375, 305.1875, -0.34375, 366.1875, "2x12")];
    for wall in &mut walls {
        wall.top = 121.125;
    }
    proved(&walls, &s);
}

/// A plate that ends in a point a foot long beside a joint: the joint's nails go where the point has wood on both sides of them, not 1-1/2 in from its tip,
/// where 3/8 in of it is left.
#[test]
fn nails_beside_a_joint_stay_out_of_the_tip_of_a_point() {
    let walls = [
        w(-12.40625, 17.83555, -24.12545, 38.42102, "2x4"),
        w(-12.06272, 19.21051, -12.06272, 385.21051, "2x4"),
        w(-24.12544, 38.42103, 36.87456, -22.57897, "2x4"),
    ];
    proved(&walls, &Settings::default());
}

/// Two walls side by side that cross a third at 45 degrees, one over it and one under it: the gaps they leave in its two layers lean alike, and where
/// their stations overlap the wood does not. The lap between them has its nails.
#[test]
fn a_lap_beside_the_gap_of_a_wall_that_leans_alike_has_its_nails() {
    let mut s = Settings::default();
    s.stock.lengths_ft.insert("2x4".into(), vec![4]);
    s.plates.joint_offset = Some(Length::sixteenths(90 * 16 + 3));
    for quarters in 7 * 4..12 * 4 {
        let apart = f64::from(quarters) / 4.0;
        let walls = [
            w(-122., -122. + apart, 183., 183. + apart, "2x4"),
            w(-122., 0., 305., 0., "2x4"),
            w(-122., -122., 122., 122., "2x4"),
        ];
        proved(&walls, &s);
    }
}
