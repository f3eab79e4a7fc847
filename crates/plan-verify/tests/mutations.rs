//! A right plan with one thing broken: exactly the contract items that thing belongs to must break.
//! An outline that is moved while the rest is listed as before breaks coverage and length alike, so
//! most faults are made as a planner would make them: outline and numbers wrong together.
#![allow(clippy::unwrap_used)]

mod houses;

use geom::{Length, Point};
use houses::{
    House, corner_and_lower_third, corner_and_narrow_third, cross, inch, oblique_corner,
    oblique_tee, step_corner, tee_house, width_change,
};
use plan_model::{BoardSource, JointKind, Layer, PieceId, Tie, TieKind};
use plan_verify::Proof;
use wall_model::floor::RunId;
use wall_model::{Opening, OpeningKind};

fn broken(mut house: House, fault: impl FnOnce(&mut House)) -> Proof {
    fault(&mut house);
    house.prove()
}

fn codes(proof: &Proof) -> Vec<&'static str> {
    let mut names: Vec<&str> = proof.findings.iter().map(|f| f.code.name()).collect();
    names.sort_unstable();
    names.dedup();
    names
}

#[track_caller]
fn expect(proof: &Proof, items: &[u8], expected: &[&str]) {
    let said: Vec<String> = proof.findings.iter().map(|f| f.to_string()).collect();
    assert_eq!(codes(proof), expected, "{said:#?}");
    assert_eq!(proof.broken_items(), items, "{said:#?}");
    let counted: u64 = proof.lines.iter().map(|l| l.breaches).sum();
    assert_eq!(counted, proof.findings.len() as u64, "every breach has a finding");
}

/// Rows of the joint list that speak of a piece's end, kept in step with a stretched piece.
fn move_end_row(h: &mut House, run: u32, layer: Layer, first: bool, by: f64) {
    let mut rows = h.plan.joints.iter_mut().filter(|j| j.run == RunId(run) && j.layer == layer);
    let row = if first { rows.next() } else { rows.next_back() };
    row.unwrap().at += inch(by);
}

fn remove_piece(h: &mut House, index: usize) {
    h.plan.pieces.remove(index);
    for tie in &mut h.plan.ties {
        for p in &mut tie.pieces {
            p.0 -= u32::from(p.0 as usize > index);
        }
    }
    h.buy();
}

// Item 1

#[test]
fn an_upper_plate_too_long_by_a_sixteenth_over_its_clearance_overlaps() {
    let proof = broken(tee_house(), |h| {
        // South-west corner: the west wall's upper plate lies from -1.75 to 1.75; the south one, held
        // back 1/8, is made to start at 1.75 - 1/16.
        let p = h.piece(1, Layer::Upper, 0);
        h.stretch(p, -0.1875, 0.0);
        move_end_row(h, 1, Layer::Upper, true, -0.1875);
        h.buy();
    });
    expect(&proof, &[1], &["proof-overlap"]);
    let place = proof.findings[0].at.unwrap();
    assert!((place.x.to_inches() - 1.72).abs() < 0.05, "{place:?}");
}

#[test]
fn two_plates_on_one_place_overlap() {
    let proof = broken(cross(), |h| {
        let lower = h.piece(0, Layer::Lower, 0);
        let mut twin = h.plan.pieces[lower].clone();
        twin.mark = "TWIN".into();
        h.plan.pieces.push(twin);
        h.buy();
    });
    assert!(codes(&proof).contains(&"proof-overlap"));
}

#[test]
fn an_outline_that_is_no_plate_is_named() {
    let proof = broken(cross(), |h| {
        let p = h.piece(0, Layer::Bottom, 0);
        h.plan.pieces[p].outline.reverse();
    });
    assert!(codes(&proof).contains(&"proof-outline"), "{:?}", codes(&proof));
    assert!(proof.broken_items().contains(&1));
    let proof = broken(cross(), |h| {
        let p = h.piece(0, Layer::Bottom, 0);
        h.plan.pieces[p].outline.truncate(2);
    });
    assert!(codes(&proof).contains(&"proof-outline"));
    let proof = broken(cross(), |h| {
        let p = h.piece(0, Layer::Bottom, 0);
        let first = h.plan.pieces[p].outline[0];
        h.plan.pieces[p].outline.push(first);
    });
    assert!(codes(&proof).contains(&"proof-outline"), "{:?}", codes(&proof));
    // Out and back along the right edge, a nanometre wide.
    let proof = broken(cross(), |h| {
        let p = h.piece(0, Layer::Upper, 0);
        let corner = h.plan.pieces[p].outline[1];
        let tip = corner + houses::at(3.0, 0.0);
        let blunt = tip + Point::new(Length::ZERO, Length::from_nm(1));
        let back = corner + Point::new(Length::ZERO, Length::from_nm(1));
        h.plan.pieces[p].outline.splice(1..2, [tip, blunt, back]);
    });
    assert!(codes(&proof).contains(&"proof-outline"), "{:?}", codes(&proof));
    for far in [2_000_000_000_000_000, -2_000_000_000_000_000].map(Length::from_nm) {
        let faults: [fn(&mut Point, Length); 2] = [|p, far| p.x = far, |p, far| p.y = far];
        for fault in faults {
            let proof = broken(cross(), |h| fault(&mut h.plan.pieces[0].outline[0], far));
            assert!(proof.findings[0].message.contains("over 1000 km away"), "{proof:?}");
        }
    }
    let proof = broken(cross(), |h| h.plan.pieces[0].run = RunId(99));
    assert!(codes(&proof).contains(&"proof-outline"));
}

// Item 2

#[test]
fn a_lower_plate_short_by_a_sixteenth_is_missing() {
    // Bottom and lower together, as a planner would: cut in pairs.
    let proof = broken(tee_house(), |h| {
        for layer in [Layer::Bottom, Layer::Lower] {
            let p = h.piece(0, layer, 0);
            h.stretch(p, 0.0625, 0.0);
            move_end_row(h, 0, layer, true, 0.0625);
        }
        h.buy();
    });
    expect(&proof, &[2, 7], &["proof-missing", "proof-run-sum"]);
}

#[test]
fn a_lower_plate_long_at_a_free_end_is_over() {
    let proof = broken(cross(), |h| {
        for layer in [Layer::Bottom, Layer::Lower] {
            let p = h.piece(0, layer, 0);
            h.stretch(p, 0.0, 0.0625);
            move_end_row(h, 0, layer, false, 0.0625);
        }
        h.buy();
    });
    expect(&proof, &[2, 7], &["proof-over", "proof-run-sum"]);
    assert!(proof.findings[0].subject.starts_with('P'), "{:?}", proof.findings[0]);
}

#[test]
fn a_thousandth_of_an_inch_is_noise_and_two_are_not() {
    let short_by = |x: f64| {
        broken(tee_house(), |h| {
            for layer in [Layer::Bottom, Layer::Lower] {
                let p = h.piece(0, layer, 0);
                h.stretch(p, x, 0.0);
            }
        })
    };
    assert!(!codes(&short_by(0.0004)).contains(&"proof-missing"));
    assert!(codes(&short_by(0.002)).contains(&"proof-missing"));
}

#[test]
fn a_dropped_lower_plate_is_missing() {
    let proof = broken(cross(), |h| {
        let p = h.piece(1, Layer::Lower, 1);
        remove_piece(h, p);
    });
    let codes = codes(&proof);
    for code in ["proof-missing", "proof-bottom", "proof-run-sum", "proof-joint-row"] {
        assert!(codes.contains(&code), "{code}: {codes:?}");
    }
    assert!(!codes.contains(&"proof-overlap") && !codes.contains(&"proof-tie"));
}

#[test]
fn a_bottom_plate_of_its_own_length_is_named() {
    let proof = broken(cross(), |h| {
        let p = h.piece(1, Layer::Bottom, 0);
        h.stretch(p, 0.0, -0.25);
        let mut rows = h.plan.joints.iter_mut().filter(|j| {
            j.run == RunId(1) && j.layer == Layer::Bottom && j.kind == JointKind::Break
        });
        let row = rows.next().unwrap();
        (row.at, row.half_gap) = (row.at - inch(0.125), row.half_gap + inch(0.125));
        drop(rows);
        h.buy();
    });
    expect(&proof, &[2], &["proof-bottom"]);
}

/// The crossing with a 36 in door in its east-west wall, from 20 to 56, whose bottom plates are these instead of one from 0 to
/// 120, and where they are joined, as middle and half gap.
fn with_door(plates: &[(f64, f64)], joints: &[(f64, f64)]) -> Proof {
    with_openings(OpeningKind::Door, &[(20.0, 56.0)], plates, joints)
}

fn with_openings(
    kind: OpeningKind,
    openings: &[(f64, f64)],
    plates: &[(f64, f64)],
    joints: &[(f64, f64)],
) -> Proof {
    let mut h = cross();
    h.settings.plates.bottom_stops_at_doors = true;
    let opening = |(from, to): &(f64, f64)| Opening {
        kind,
        from: inch(*from),
        to: inch(*to),
        source: vec![],
    };
    h.floor.walls[0].openings = openings.iter().map(opening).collect();
    let first = h.piece(0, Layer::Bottom, 0);
    let whole = h.plan.pieces[first].clone();
    for (n, (from, to)) in plates.iter().enumerate() {
        let p = if n == 0 { first } else { h.plan.pieces.len() };
        if n > 0 {
            h.plan.pieces.push(whole.clone());
            h.plan.pieces[p].mark = format!("REST{n}");
        }
        h.stretch(p, *from, to - 120.0);
    }
    for (middle, half) in joints {
        let row = (0, Layer::Bottom, *middle, *half, JointKind::Break, None);
        h.plan.joints.push(houses::joint(row));
    }
    h.buy();
    h.prove()
}

#[test]
fn bottom_plates_may_stop_at_doors_when_the_settings_say_so() {
    let with_gap = |(from, to): (f64, f64)| {
        with_door(&[(0.0, from), (to, 120.0)], &[((from + to) / 2.0, (to - from) / 2.0)])
    };
    let right = with_gap((20.0, 56.0));
    assert!(right.holds(), "{:?}", right.findings);
    expect(&with_gap((19.0, 56.0)), &[2], &["proof-bottom"]);
    expect(&with_gap((20.0, 55.0)), &[2], &["proof-bottom"]);
}

/// Where bottom plates stop at doors, none ends a scrap's length beside one.
#[test]
fn a_bottom_joint_just_beside_a_door_is_named() {
    // A bottom plate is joined before the door, or behind it.
    let joined_at = |at: f64| {
        let plates = match at < 20.0 {
            true => [(0.0, at), (at, 20.0), (56.0, 120.0)],
            false => [(0.0, 20.0), (56.0, at), (at, 120.0)],
        };
        with_door(&plates, &[(38.0, 18.0), (at, 0.0)])
    };
    for at in [10.0, 66.0] {
        let right = joined_at(at);
        assert!(right.holds(), "{at}: {:?}", right.findings);
    }
    for at in [18.0, 58.0] {
        expect(&joined_at(at), &[2], &["proof-bottom"]);
    }
}

/// Openings that touch are one, and through those of unknown kind plates may go on: 58 is 2 in beside where the first ends, but in
/// the second, 94 beside both.
#[test]
fn a_bottom_joint_in_openings_that_touch_leaves_no_scrap() {
    let joined_at = |openings: &[(f64, f64)], at: f64| {
        with_openings(OpeningKind::Opening, openings, &[(0.0, at), (at, 120.0)], &[(at, 0.0)])
    };
    for openings in [
        &[(20.0, 56.0), (56.0, 92.0)][..],
        &[(56.0, 92.0), (20.0, 56.0)],
        &[(20.0, 40.0), (30.0, 57.0), (56.0, 92.0)],
    ] {
        let right = joined_at(openings, 58.0);
        assert!(right.holds(), "{:?}", right.findings);
        expect(&joined_at(openings, 94.0), &[2], &["proof-bottom"]);
        expect(&joined_at(openings, 18.0), &[2], &["proof-bottom"]);
    }
    expect(&joined_at(&[(20.0, 55.0), (57.0, 92.0)], 56.0), &[2], &["proof-bottom"]);
}

/// By hand: the oblique stem's bottom plate begins at 3-1/2 on its right edge and at 7/8 on its left. What a door from 3-1/2 on
/// leaves of it is nowhere as wide as the plate, and no piece of lumber.
#[test]
fn a_wedge_between_an_oblique_wall_and_a_door_may_be_left_out() {
    let door_from = |from: f64| {
        let mut h = oblique_tee();
        h.settings.plates.bottom_stops_at_doors = true;
        let kind = OpeningKind::Door;
        h.floor.walls[1].openings =
            vec![Opening { kind, from: inch(from), to: inch(40.0), source: vec![] }];
        let frame = h.floor.run(RunId(1)).frame();
        let p = h.piece(1, Layer::Bottom, 0);
        let piece = &mut h.plan.pieces[p];
        for corner in &mut piece.outline {
            let (station, offset) = frame.locate(*corner);
            *corner = frame.at(station.max(inch(40.0)), offset);
        }
        (piece.from, piece.length, piece.printed) = (inch(40.0), inch(60.0), inch(60.0));
        piece.ends[0].cut_deg = 90.0;
        let bottom =
            h.plan.joints.iter_mut().find(|j| (j.run, j.layer) == (RunId(1), Layer::Bottom));
        bottom.unwrap().at = inch(40.0);
        h.buy();
        h.prove()
    };
    expect(&door_from(3.5), &[], &[]);
    expect(&door_from(3.5625), &[2], &["proof-bottom"]);
}

// Item 3

#[test]
fn an_upper_plate_short_of_its_outer_face_leaves_it_bare() {
    // 1/16 at an outer face is no joint, although it is less than a joint's clearance.
    let proof = broken(cross(), |h| {
        let p = h.piece(1, Layer::Upper, 0);
        h.stretch(p, 0.0, -0.0625);
        move_end_row(h, 1, Layer::Upper, false, -0.0625);
        h.buy();
    });
    expect(&proof, &[3], &["proof-bare"]);
}

#[test]
fn a_gap_wider_than_the_clearance_is_bare() {
    // South upper plate held back 3/16 instead of 1/8 from the corner.
    let held_back = |by: f64| {
        broken(tee_house(), |h| {
            let p = h.piece(1, Layer::Upper, 0);
            h.stretch(p, by, 0.0);
            move_end_row(h, 1, Layer::Upper, true, by);
            h.buy();
        })
    };
    expect(&held_back(0.0625), &[3], &["proof-bare"]);
    expect(&held_back(-0.0625), &[], &[]);
}

#[test]
fn an_upper_plate_out_of_its_wall_is_outside() {
    let proof = broken(cross(), |h| {
        let p = h.piece(1, Layer::Upper, 0);
        h.stretch(p, -0.0625, 0.0);
        move_end_row(h, 1, Layer::Upper, true, -0.0625);
        h.buy();
    });
    expect(&proof, &[3], &["proof-upper-outside"]);
}

#[test]
fn strips_are_bare_only_beside_a_narrower_plate_in_line() {
    // The wide upper plate stops 2 in short of the narrow one: 1.875 in of bare wall across.
    let proof = broken(width_change(), |h| {
        let p = h.piece(0, Layer::Upper, 0);
        h.stretch(p, 0.0, -2.0);
        move_end_row(h, 0, Layer::Upper, false, -2.0);
        h.buy();
    });
    expect(&proof, &[3], &["proof-bare"]);
}

#[test]
fn beside_a_change_of_width_no_more_is_bare_than_it_must() {
    // 3/16 in of the wide wall's strip, 5-1/2 in across, in place of the clearance: a sixth of a square inch more.
    let proof = broken(width_change(), |h| {
        let p = h.piece(0, Layer::Upper, 0);
        h.stretch(p, 0.0, -0.25);
        move_end_row(h, 0, Layer::Upper, false, -0.25);
        h.buy();
    });
    expect(&proof, &[3], &["proof-bare"]);
}

/// Both upper plates stop where a wall changes its width: between them no more is left than the clearance of 1/8 in.
#[test]
fn where_widths_change_a_gap_is_no_wider_than_elsewhere() {
    let gap = |by: f64| {
        broken(width_change(), |h| {
            let (wide, narrow) = (h.piece(0, Layer::Upper, 0), h.piece(1, Layer::Upper, 0));
            h.stretch(wide, 0.0, 24.125 - by);
            move_end_row(h, 0, Layer::Upper, false, 24.125 - by);
            h.stretch(narrow, 24.0, 0.0);
            move_end_row(h, 1, Layer::Upper, true, 24.0);
            h.plan.ties =
                vec![houses::tie(1, TieKind::Strap, &[wide, narrow], 0.0, "3 x 12 in plate")];
            h.buy();
        })
    };
    expect(&gap(0.125), &[], &[]);
    expect(&gap(0.15625), &[3], &["proof-bare"]);
}

#[test]
fn a_dropped_upper_plate_is_bare() {
    let proof = broken(width_change(), |h| {
        let p = h.piece(0, Layer::Upper, 0);
        remove_piece(h, p);
    });
    assert!(codes(&proof).contains(&"proof-bare"));
}

// Item 4

#[test]
fn layers_changed_over_tie_nothing_at_a_corner() {
    // The south-west corner: west upper plate stops at the south wall, and the south upper plate runs
    // to the corner: both layers go the same way there.
    let proof = broken(tee_house(), |h| {
        let west = h.piece(0, Layer::Upper, 0);
        h.stretch(west, 3.625, 0.0);
        move_end_row(h, 0, Layer::Upper, true, 3.625);
        let south = h.piece(1, Layer::Upper, 0);
        h.stretch(south, -3.625, 0.0);
        move_end_row(h, 1, Layer::Upper, true, -3.625);
        h.buy();
    });
    expect(&proof, &[4], &["proof-tie", "proof-tie-row"]);
    // The row removed, the junction itself is still named.
    let proof = broken(tee_house(), |h| {
        let west = h.piece(0, Layer::Upper, 0);
        h.stretch(west, 3.625, 0.0);
        move_end_row(h, 0, Layer::Upper, true, 3.625);
        let south = h.piece(1, Layer::Upper, 0);
        h.stretch(south, -3.625, 0.0);
        move_end_row(h, 1, Layer::Upper, true, -3.625);
        h.buy();
        h.plan.ties.remove(0);
    });
    expect(&proof, &[4], &["proof-tie"]);
    assert_eq!(proof.findings[0].subject, "J1");
}

#[test]
fn a_strap_takes_the_place_of_a_lap_only_when_it_is_named() {
    let strapped = |hardware: &str, kind: TieKind| {
        broken(tee_house(), |h| {
            let west = h.piece(0, Layer::Upper, 0);
            h.stretch(west, 3.625, 0.0);
            move_end_row(h, 0, Layer::Upper, true, 3.625);
            let south = h.piece(1, Layer::Upper, 0);
            h.stretch(south, -3.625, 0.0);
            move_end_row(h, 1, Layer::Upper, true, -3.625);
            h.buy();
            h.plan.ties[0] = houses::tie(0, kind, &[west, south], 0.0, hardware);
        })
    };
    expect(&strapped("3 x 6 in plate, 0.036 in", TieKind::Strap), &[], &[]);
    expect(&strapped("", TieKind::Strap), &[4], &["proof-tie", "proof-tie-row"]);
    // The plan itself says that nothing ties: no breach, but it is said.
    let proof = strapped("", TieKind::None);
    assert!(proof.holds());
    assert_eq!(codes(&proof), ["proof-tie"]);
}

#[test]
fn a_notch_ties_from_its_depth_on() {
    // The partition's upper plate reaches 2 in onto the north wall; 1/16 less is too little. The gap
    // at the notch's bottom grows with it, which item 3 sees.
    let proof = broken(tee_house(), |h| {
        let stem = h.piece(3, Layer::Upper, 0);
        h.stretch(stem, 0.0, -0.0625);
        move_end_row(h, 3, Layer::Upper, false, -0.0625);
        h.plan.ties[3].overlap = inch(1.9375);
        h.buy();
    });
    expect(&proof, &[3, 4], &["proof-bare", "proof-tie", "proof-tie-row"]);
}

#[test]
fn a_lap_that_stops_short_of_the_far_face_is_no_lap() {
    let proof = broken(tee_house(), |h| {
        let stem = h.piece(3, Layer::Upper, 0);
        h.stretch(stem, 1.0, 0.0);
        move_end_row(h, 3, Layer::Upper, true, 1.0);
        h.plan.ties[2].overlap = inch(2.5);
        h.buy();
    });
    // It still reaches a notch's depth, so the runs are tied; but it is no lap, and an inch lies bare.
    expect(&proof, &[3, 4], &["proof-bare", "proof-tie-row"]);
}

/// The partition's upper plate is cut a little beyond the wall it laps over: what lies there ties nothing unless its own wall holds
/// it, over half its width or by hardware. By hand: 1-3/4 in of 3-1/2 are half of the lap's 12-1/4 sq in.
#[test]
fn a_lap_that_its_own_wall_does_not_hold_ties_nothing() {
    let tied = |over_own: f64, strapped_to: Option<((u32, Layer, usize), &str)>| {
        let proof = broken(tee_house(), |h| {
            let stub = h.piece(3, Layer::Upper, 0);
            let rest = h.plan.pieces[stub].clone();
            h.stretch(stub, 0.0, 1.75 + over_own - 144.25);
            h.plan.pieces.push(rest);
            let last = h.plan.pieces.len() - 1;
            h.stretch(last, 3.5 + over_own, 0.0);
            h.plan.ties[3].pieces[0] = PieceId(last as u32);
            if let Some(((run, layer, nth), hardware)) = strapped_to {
                let to = h.piece(run, layer, nth);
                // At another junction, so that it does not tie the walls itself.
                h.plan.ties.push(houses::tie(3, TieKind::Strap, &[stub, to], 0.0, hardware));
            }
        });
        !proof.findings.iter().any(|f| f.code.name() == "proof-tie" && f.subject == "J3")
    };
    assert!(tied(1.75, None) && !tied(1.6875, None));
    let strapped = |to| tied(0.5, Some((to, "3 x 6 in plate")));
    assert!(strapped((3, Layer::Upper, 1)) && strapped((3, Layer::Lower, 0)));
    assert!(!tied(0.5, Some(((3, Layer::Upper, 1), " "))));
    for other_wall in [(1, Layer::Upper, 1), (1, Layer::Lower, 1), (2, Layer::Upper, 0)] {
        assert!(!strapped(other_wall), "{other_wall:?}");
    }
}

#[test]
fn tie_rows_must_be_there_and_true() {
    // One row of six removed: the other laps stay.
    let proof = broken(tee_house(), |h| {
        h.plan.ties.remove(2);
    });
    expect(&proof, &[4], &["proof-tie-row"]);
    let proof = broken(tee_house(), |h| h.plan.ties[0].overlap = inch(3.0));
    expect(&proof, &[4], &["proof-tie-row"]);
    // Names the lower piece it does not lie on.
    let proof = broken(tee_house(), |h| {
        let other = h.piece(1, Layer::Lower, 0);
        h.plan.ties[2].pieces[1] = PieceId(other as u32);
    });
    expect(&proof, &[4], &["proof-tie-row"]);
    let proof = broken(tee_house(), |h| h.plan.ties[2].pieces[0] = PieceId(10_000));
    expect(&proof, &[4], &["proof-tie-row"]);
}

#[test]
fn plates_at_the_wrong_height_lie_on_nothing() {
    let proof = broken(oblique_corner(), |h| {
        let p = h.piece(0, Layer::Upper, 0);
        h.plan.pieces[p].z += inch(1.5);
    });
    expect(&proof, &[4], &["proof-height", "proof-tie", "proof-tie-row"]);
}

#[test]
fn a_step_without_hardware_is_named() {
    let proof = broken(step_corner(), |h| h.plan.ties.clear());
    expect(&proof, &[4], &["proof-tie"]);
}

/// Two of three walls of one height end at the third's line instead of making a corner; a lap or its hardware is missing.
#[test]
fn a_corner_of_three_laps_whatever_the_third_does() {
    for (house, steps) in
        [(corner_and_lower_third as fn() -> House, true), (corner_and_narrow_third, false)]
    {
        // The third goes on to the node, and the corner's plate stops there.
        let proof = broken(house(), |h| {
            for layer in [Layer::Bottom, Layer::Lower] {
                h.stretch(h.piece(1, layer, 0), -2.75, 0.0);
                h.stretch(h.piece(0, layer, 0), 5.5, 0.0);
                h.stretch(h.piece(2, layer, 0), 0.0, 2.75);
            }
        });
        let sums = proof.findings.iter().filter(|f| f.code.name() == "proof-run-sum");
        let walls: Vec<&str> = sums.map(|f| f.subject.as_str()).collect();
        assert_eq!(walls, ["R2", "R3"], "the corner's plate and the third wall's");
        // The upper plate stops at the corner's inner face: no lap, and the square bare.
        let proof = broken(house(), |h| h.stretch(h.piece(1, Layer::Upper, 0), 5.5, 0.0));
        assert!(codes(&proof).contains(&"proof-tie"), "{:?}", codes(&proof));
        assert!(codes(&proof).contains(&"proof-bare"), "{:?}", codes(&proof));
        // The third is tied by nothing.
        let proof = broken(house(), |h| h.plan.ties.retain(|t| t.kind == TieKind::Lap));
        expect(&proof, &[4], &["proof-tie"]);
        assert_eq!(house().floor.junctions[0].step != Length::ZERO, steps);
    }
}

#[test]
fn an_oblique_lap_is_measured_square_to_the_wall() {
    let proof = broken(oblique_tee(), |h| h.plan.ties[0].overlap = inch(4.375));
    expect(&proof, &[4], &["proof-tie-row"]);
}

#[test]
fn at_a_crossing_something_must_go_over() {
    // The upper plate that goes over is broken in the middle of the crossing.
    let proof = broken(cross(), |h| {
        let p = h.piece(1, Layer::Upper, 0);
        let mut rest = h.plan.pieces[p].clone();
        rest.mark = "REST".into();
        h.stretch(p, 0.0, -60.0);
        h.plan.pieces.push(rest);
        let last = h.plan.pieces.len() - 1;
        h.stretch(last, 60.0, 0.0);
        let row = (1, Layer::Upper, 60.0, 0.0, JointKind::Break, Some(0.0));
        h.plan.joints.push(houses::joint(row));
        for j in &mut h.plan.joints {
            if j.run == RunId(1) && j.layer == Layer::Lower && j.kind == JointKind::Break {
                j.offset = Some(Length::ZERO);
            }
        }
        h.buy();
    });
    // Half a crossing on either piece: each still reaches over the other wall's lower plate only in
    // part, at 1.75 in less than a notch's 2 in.
    expect(&proof, &[4, 5], &["proof-crossing", "proof-offset", "proof-tie", "proof-tie-row"]);
}

/// By hand: the lower plate is broken from 58-1/4 to 61-3/4; where the upper one ends there, it may be held back by its clearance.
#[test]
fn what_goes_over_a_crossing_reaches_both_plates_but_for_its_clearance() {
    let crossing = |at_start: f64, at_end: f64| {
        let proof = broken(cross(), |h| {
            let p = h.piece(1, Layer::Upper, 0);
            h.stretch(p, at_start, at_end);
        });
        codes(&proof).contains(&"proof-crossing")
    };
    assert!(!crossing(58.25 + 0.125, 0.0) && crossing(58.25 + 0.1875, 0.0));
    assert!(!crossing(0.0, -58.25 - 0.125) && crossing(0.0, -58.25 - 0.1875));
    // At 117 in the rest of it goes on: its first part ends at the crossing, with nothing held back.
    let goes_on = |at: f64| {
        let proof = broken(cross(), |h| {
            let p = h.piece(1, Layer::Upper, 0);
            let rest = h.plan.pieces[p].clone();
            h.stretch(p, 0.0, at - 120.0);
            h.plan.pieces.push(rest);
            let last = h.plan.pieces.len() - 1;
            h.stretch(last, at + 0.125, 0.0);
        });
        codes(&proof).contains(&"proof-crossing")
    };
    assert!(!goes_on(61.75) && goes_on(61.6875));
    // A tight joint of the lower plate that goes through breaks nothing.
    let joined = broken(cross(), |h| {
        let p = h.piece(0, Layer::Lower, 0);
        let rest = h.plan.pieces[p].clone();
        h.stretch(p, 0.0, -60.0);
        h.plan.pieces.push(rest);
        let last = h.plan.pieces.len() - 1;
        h.stretch(last, 60.0, 0.0);
    });
    assert!(
        codes(&joined).contains(&"proof-offset") && !codes(&joined).contains(&"proof-crossing")
    );
}

/// By hand: half a notch of 2 in over half a 2x4 are 1-3/4 sq in, which 1/2 in of a 2x4 is.
#[test]
fn plates_that_hardly_lie_on_each_other_do_not_hang_together() {
    let over = |by: f64| {
        broken(width_change(), |h| {
            let (wide, narrow) = (h.piece(0, Layer::Upper, 0), h.piece(1, Layer::Upper, 0));
            h.stretch(wide, 0.0, 24.0 - by);
            move_end_row(h, 0, Layer::Upper, false, 24.0 - by);
            h.stretch(narrow, 24.0 - by, 0.0);
            move_end_row(h, 1, Layer::Upper, true, 24.0 - by);
            h.plan.ties[0].overlap = inch(by);
            h.buy();
        })
    };
    expect(&over(0.5625), &[], &[]);
    expect(&over(0.4375), &[4], &["proof-untied"]);
}

/// Where a wall changes its width both layers stop at the node: no plate lies on the other wall's, so
/// the two walls are two pieces of the tie graph, unless a plate of steel joins them.
#[test]
fn walls_in_line_that_only_touch_are_not_tied() {
    let stopped = |strap: bool| {
        broken(width_change(), |h| {
            let (wide, narrow) = (h.piece(0, Layer::Upper, 0), h.piece(1, Layer::Upper, 0));
            h.stretch(wide, 0.0, 24.125);
            move_end_row(h, 0, Layer::Upper, false, 24.125);
            h.stretch(narrow, 24.0, 0.0);
            move_end_row(h, 1, Layer::Upper, true, 24.0);
            h.plan.ties.clear();
            if strap {
                let steel = houses::tie(1, TieKind::Strap, &[wide, narrow], 0.0, "3 x 12 in plate");
                h.plan.ties.push(steel);
            }
            h.buy();
        })
    };
    expect(&stopped(false), &[4], &["proof-tie"]);
    expect(&stopped(true), &[], &[]);
}

// Item 5

/// IRC R602.3.2 (FACTS T1): end joints offset 23-15/16 in fail, 24 in pass.
#[test]
fn joint_offset_to_the_sixteenth() {
    // North wall: lower break at 60. The upper break is brought to 60 + offset.
    let at_offset = |offset: f64, splice: Option<fn(usize, usize) -> Tie>| {
        broken(tee_house(), |h| {
            let (a, b) = (h.piece(2, Layer::Upper, 0), h.piece(2, Layer::Upper, 1));
            // 60 + 24 = 84 lies before the notch at 118: the notch belongs to the second piece then.
            let by = 60.0 + offset - 150.0;
            let notch = h.plan.pieces[a].notches[0];
            let bite: Vec<_> = h.plan.pieces[a].outline.splice(1..5, []).collect();
            h.plan.pieces[a].notches.clear();
            h.stretch(a, 0.0, by);
            h.stretch(b, by, 0.0);
            let p = &mut h.plan.pieces[b];
            p.outline.splice(1..1, bite);
            let mut notch = notch;
            let shift = inch(1.875) - p.from;
            (notch.from, notch.to) = (notch.from + shift, notch.to + shift);
            p.notches.push(notch);
            for j in &mut h.plan.joints {
                if j.run != RunId(2) || j.kind != JointKind::Break || j.layer == Layer::Bottom {
                    continue;
                }
                j.offset = Some(inch(offset));
                if j.layer == Layer::Upper {
                    j.at = inch(60.0 + offset);
                }
            }
            h.plan.ties.extend(splice.map(|tie| tie(a, b)));
            h.buy();
        })
    };
    expect(&at_offset(24.0, None), &[], &[]);
    expect(&at_offset(23.9375, None), &[5], &["proof-offset"]);
    // A named splice plate takes its place (figure note of R602.3.2, FACTS 1.1), which is one over the joint.
    fn strap(pieces: &[usize]) -> Tie {
        houses::tie(1, TieKind::Strap, pieces, 0.0, "3 x 12 in plate")
    }
    expect(&at_offset(23.9375, Some(|a, b| strap(&[a, b]))), &[], &[]);
    expect(&at_offset(23.9375, Some(|a, _| strap(&[a, 0]))), &[5], &["proof-offset"]);
    let unnamed = at_offset(23.9375, Some(|a, b| Tie { hardware: " ".into(), ..strap(&[a, b]) }));
    expect(&unnamed, &[4, 5], &["proof-offset", "proof-tie-row"]);
}

#[test]
fn a_lap_gap_counts_as_a_joint() {
    // South wall: the lap gap starts at 118.125; a lower break at 94.1875 is 23-15/16 away.
    let at_station = |station: f64| {
        broken(tee_house(), |h| {
            for layer in [Layer::Bottom, Layer::Lower] {
                let (a, b) = (h.piece(1, layer, 0), h.piece(1, layer, 1));
                h.stretch(a, 0.0, station - 60.0);
                h.stretch(b, station - 60.0, 0.0);
            }
            for j in h.plan.joints.iter_mut().filter(|j| j.run == RunId(1)) {
                if j.kind == JointKind::End {
                    continue;
                }
                if j.layer != Layer::Upper {
                    j.at = inch(station);
                }
                if j.layer != Layer::Bottom {
                    j.offset = Some(inch(118.125 - station));
                }
            }
            h.buy();
        })
    };
    expect(&at_station(94.125), &[], &[]);
    expect(&at_station(94.1875), &[5], &["proof-offset"]);
}

#[test]
fn the_joint_list_must_be_that_of_the_outlines() {
    let row = |h: &House| {
        h.plan
            .joints
            .iter()
            .position(|j| {
                j.run == RunId(1) && j.layer == Layer::Upper && j.kind == JointKind::LapGap
            })
            .unwrap()
    };
    let faults: [fn(&mut House, usize); 6] = [
        |h, r| h.plan.joints[r].at += inch(0.0625),
        |h, r| h.plan.joints[r].half_gap -= inch(0.125),
        |h, r| h.plan.joints[r].kind = JointKind::Break,
        |h, r| h.plan.joints[r].offset = Some(inch(60.0)),
        |h, r| h.plan.joints[r].offset = None,
        |h, r| {
            h.plan.joints.remove(r);
        },
    ];
    for fault in faults {
        let proof = broken(tee_house(), |h| {
            let r = row(h);
            fault(h, r);
        });
        expect(&proof, &[5], &["proof-joint-row"]);
        // Told where the joint is, not where its wall begins.
        let mut house = tee_house();
        let joint = &house.plan.joints[row(&house)];
        let (at, run) = (joint.at, house.floor.run(joint.run).frame());
        let r = row(&house);
        fault(&mut house, r);
        let told = house.prove().findings.remove(0).at.unwrap();
        assert!(told.distance(run.at(at, Length::ZERO)) <= inch(1.0), "{told:?}");
    }
}

/// Between bevels there is no one station, but none is farther off than the bevels reach, here 2-5/8 in: the upper gap of the
/// oblique tee's wall, and its distance from a lower joint at 20, 56-11/32 on the edge where it is least.
#[test]
fn joints_between_bevels_are_listed_as_near_as_the_bevels_reach() {
    let listed = |aside: f64, half: f64, offset: f64| {
        let proof = broken(oblique_tee(), |h| {
            for layer in [Layer::Bottom, Layer::Lower] {
                let p = h.piece(0, layer, 0);
                let mut rest = h.plan.pieces[p].clone();
                rest.mark = format!("REST {}", layer.name());
                h.stretch(p, 0.0, -140.0);
                h.plan.pieces.push(rest);
                let last = h.plan.pieces.len() - 1;
                h.stretch(last, 20.0, 0.0);
                h.plan.ties[0].pieces[1] = PieceId(last as u32);
                let offset = (layer == Layer::Lower).then_some(56.34375 + offset);
                h.plan.joints.push(houses::joint((0, layer, 20.0, 0.0, JointKind::Break, offset)));
            }
            let gap = h.plan.joints.iter_mut().find(|j| j.kind == JointKind::LapGap).unwrap();
            (gap.at, gap.half_gap) = (gap.at + inch(aside), gap.half_gap + inch(half));
            gap.offset = Some(inch(56.34375 + offset));
            h.buy();
        });
        proof.findings.iter().map(|f| f.code.name()).collect::<Vec<_>>()
    };
    let none: [&str; 0] = [];
    assert_eq!(listed(0.0, 0.0, 0.0), none);
    for by in [2.625, -2.625] {
        assert_eq!([listed(by, 0.0, 0.0), listed(0.0, by, 0.0), listed(0.0, 0.0, by)], [none; 3]);
    }
    for by in [2.6875, -2.6875] {
        let row = ["proof-joint-row"];
        assert_eq!([listed(by, 0.0, 0.0), listed(0.0, by, 0.0)], [row; 2]);
        assert_eq!(listed(0.0, 0.0, by), ["proof-joint-row"; 2]);
    }
}

// Item 6

#[test]
fn no_piece_longer_than_stock() {
    // The longest south plate is 181.75 in: fits 16 ft (192 in), not 14 ft (168 in).
    let proof = broken(tee_house(), |h| {
        h.settings.stock.lengths_ft.insert("2x4".into(), vec![8, 10, 12, 14]);
    });
    assert!(codes(&proof).contains(&"proof-too-long"));
    assert_eq!(proof.broken_items(), [6]);
    // 16 ft less a trim of 10-1/4 in is exactly 181.75.
    let trimmed = |trim: f64| {
        let mut h = tee_house();
        h.settings.stock.end_trim = inch(trim);
        codes(&h.prove()).contains(&"proof-too-long")
    };
    assert!(!trimmed(10.25) && trimmed(10.3125));
}

#[test]
fn every_piece_is_cut_once() {
    let proof = broken(cross(), |h| {
        h.boards.pop();
    });
    expect(&proof, &[6], &["proof-not-cut"]);
    let proof = broken(cross(), |h| {
        let again = h.boards[0].clone();
        h.boards.push(again);
    });
    expect(&proof, &[6], &["proof-not-cut"]);
    let proof = broken(cross(), |h| h.boards[0].section = lumber::Section::S2X6);
    expect(&proof, &[6], &["proof-not-cut"]);
}

#[test]
fn board_arithmetic_counts_kerfs_and_trim() {
    // By hand: 58.25 + 58.25 + 1/8 kerf = 116.625 of 120 in (10 ft); after the last kerf 3.25 in left.
    let two_on_one = |offcut: f64, ft: u32| {
        broken(cross(), |h| {
            let (a, b) = (h.piece(1, Layer::Lower, 0), h.piece(1, Layer::Lower, 1));
            let first = h.boards.iter().position(|x| x.cuts == [PieceId(a as u32)]).unwrap();
            h.boards.retain(|x| x.cuts != [PieceId(b as u32)]);
            h.boards[first].cuts.push(PieceId(b as u32));
            let source = BoardSource::Bought { length_ft: ft };
            (h.boards[first].source, h.boards[first].offcut) = (source, inch(offcut));
        })
    };
    expect(&two_on_one(3.25, 10), &[], &[]);
    expect(&two_on_one(3.375, 10), &[6], &["proof-board"]);
    expect(&two_on_one(0.0, 8), &[6], &["proof-board"]);
    expect(&two_on_one(15.25, 11), &[6], &["proof-board"]);
}

/// By hand: 58.25 of an 80 in board leave 21.75 in, 21.625 after the kerf.
#[test]
fn boards_on_hand_are_there_and_used_once() {
    let on_hand = |fault: fn(&mut House)| {
        broken(cross(), |h| {
            let own = settings::OnHandBoard {
                section: lumber::Section::S2X4,
                treated: false,
                length: inch(80.0),
                label: String::new(),
            };
            h.settings.stock.on_hand = vec![own.clone(), own];
            for n in 0..2 {
                let piece = PieceId(h.piece(1, Layer::Lower, n) as u32);
                let board = h.boards.iter_mut().find(|b| b.cuts == [piece]).unwrap();
                board.source = BoardSource::OnHand { index: n as u32, length: inch(80.0) };
                board.offcut = inch(21.625);
            }
            fault(h);
        })
    };
    expect(&on_hand(|_| {}), &[], &[]);
    expect(&on_hand(|h| h.settings.stock.on_hand.truncate(1)), &[6], &["proof-board"]);
    expect(&on_hand(|h| h.settings.stock.on_hand[0].treated = true), &[6], &["proof-board"]);
    expect(&on_hand(|h| h.settings.stock.on_hand[1].length += inch(0.5)), &[6], &["proof-board"]);
    let wide = |h: &mut House| h.settings.stock.on_hand[1].section = lumber::Section::S2X6;
    expect(&on_hand(wide), &[6], &["proof-board"]);
    let twice = |h: &mut House| {
        for board in h.boards.iter_mut().filter(|b| b.index_on_hand() == Some(1)) {
            board.source = BoardSource::OnHand { index: 0, length: inch(80.0) };
        }
    };
    expect(&on_hand(twice), &[6], &["proof-board"]);
    // Bought boards of 16 ft, an inch of which is trimmed: as much less is left.
    let trimmed = |left_by_trim: f64| {
        broken(cross(), |h| {
            h.settings.stock.end_trim = inch(1.0);
            for board in &mut h.boards {
                let PieceId(cut) = board.cuts[0];
                let length = h.plan.pieces[cut as usize].length;
                board.source = BoardSource::Bought { length_ft: 16 };
                board.offcut = inch(192.0 - left_by_trim - 0.125) - length;
            }
        })
    };
    expect(&trimmed(1.0), &[], &[]);
    expect(&trimmed(0.9375), &[6], &["proof-board"]);
    expect(&trimmed(-1.0), &[6], &["proof-board"]);
    let nothing_cut = broken(cross(), |h| h.boards[0].cuts.clear());
    expect(&nothing_cut, &[6], &["proof-board", "proof-not-cut"]);
}

#[test]
fn marks_are_unique() {
    let proof = broken(cross(), |h| h.plan.pieces[1].mark = h.plan.pieces[0].mark.clone());
    expect(&proof, &[6], &["proof-mark"]);
}

// Item 7

#[test]
fn a_length_that_is_not_the_outline_is_named() {
    let proof = broken(tee_house(), |h| {
        let p = h.piece(0, Layer::Upper, 0);
        h.plan.pieces[p].length += inch(0.0625);
    });
    expect(&proof, &[7], &["proof-length", "proof-printed"]);
    // Printed a whole step of the tape off is off, whatever was rounded.
    for off in [0.0625, -0.0625] {
        let proof = broken(tee_house(), |h| {
            let p = h.piece(0, Layer::Lower, 0);
            h.plan.pieces[p].printed += inch(off);
        });
        expect(&proof, &[7], &["proof-printed"]);
    }
    let proof = broken(oblique_corner(), |h| {
        // Short point instead of long point.
        let p = h.piece(1, Layer::Lower, 0);
        let piece = &mut h.plan.pieces[p];
        piece.from = inch(-0.875);
        piece.length = piece.to - piece.from;
        piece.printed = piece.length;
        h.buy();
    });
    expect(&proof, &[7], &["proof-length"]);
}

#[test]
fn an_outline_moved_by_a_sixteenth_breaks_coverage_and_length() {
    let proof = broken(cross(), |h| {
        let p = h.piece(0, Layer::Lower, 0);
        for corner in &mut h.plan.pieces[p].outline {
            corner.x += inch(0.0625);
        }
    });
    assert_eq!(proof.broken_items(), [2, 5, 7]);
}

#[test]
fn printed_lengths_are_never_long_above_and_never_drift_below() {
    let proof = broken(tee_house(), |h| {
        let p = h.piece(0, Layer::Upper, 0);
        h.plan.pieces[p].printed += Length::from_nm(1);
    });
    expect(&proof, &[7], &["proof-printed"]);
    let proof = broken(tee_house(), |h| {
        for n in 0..2 {
            let p = h.piece(1, Layer::Lower, n);
            h.plan.pieces[p].printed += inch(0.0625 * 0.9);
        }
    });
    expect(&proof, &[7], &["proof-printed"]);
}

#[test]
fn saw_angles_and_notches_are_those_of_the_outline() {
    let proof = broken(oblique_corner(), |h| {
        let p = h.piece(1, Layer::Lower, 0);
        // The supplement: the bevel the wrong way round.
        h.plan.pieces[p].ends[0].cut_deg = 180.0 - h.plan.pieces[p].ends[0].cut_deg;
    });
    expect(&proof, &[7], &["proof-cut"]);
    let proof = broken(tee_house(), |h| {
        let p = h.piece(2, Layer::Upper, 0);
        h.plan.pieces[p].notches[0].depth -= inch(0.125);
    });
    expect(&proof, &[7], &["proof-cut"]);
    let proof = broken(tee_house(), |h| {
        let p = h.piece(2, Layer::Upper, 0);
        h.plan.pieces[p].notches.clear();
    });
    expect(&proof, &[7], &["proof-cut"]);
}

/// IRC R602.6.1 asks for a tie across a cut of more than half the plate's width: 1.75 in of a 2x4 needs
/// none, 1.76 does (FACTS T11); 2.75 and 2.76 in of a 2x6 (T12). A notch cannot be listed under that
/// line while the outline is over it.
#[test]
fn a_notch_over_half_the_width_cannot_be_listed_as_half() {
    let drawn_as = |drawn: f64| {
        broken(tee_house(), |h| {
            let p = h.piece(2, Layer::Upper, 0);
            // North wall along x: right edge at y = 142.25, the notch's bottom at 142.25 + depth.
            for corner in &mut h.plan.pieces[p].outline {
                if corner.y == inch(142.25 + 2.125) {
                    corner.y = inch(142.25 + drawn);
                }
            }
            h.plan.pieces[p].notches[0].depth = inch(1.75);
        })
    };
    assert!(!codes(&drawn_as(1.75)).contains(&"proof-cut"));
    assert!(codes(&drawn_as(1.76)).contains(&"proof-cut"));
}

#[test]
fn a_gap_in_the_lower_layer_is_no_wall_that_crosses() {
    // The break at 60 in the south wall opened by 1/4 in, bottom and lower alike.
    let proof = broken(tee_house(), |h| {
        for layer in [Layer::Bottom, Layer::Lower] {
            let p = h.piece(1, layer, 1);
            h.stretch(p, 0.25, 0.0);
        }
        for j in &mut h.plan.joints {
            if j.run == RunId(1) && j.layer != Layer::Upper && j.kind == JointKind::Break {
                (j.at, j.half_gap) = (inch(60.125), inch(0.125));
            }
            if j.run == RunId(1) && j.layer != Layer::Bottom && j.kind != JointKind::End {
                j.offset = Some(inch(57.875));
            }
        }
        h.buy();
    });
    expect(&proof, &[2, 7], &["proof-missing", "proof-run-sum"]);
}

#[test]
fn a_gap_must_fit_the_crossing_wall_on_both_sides() {
    // The wall broken at 58.25 and 61.75, its far part begun 1/4 in late, bottom and lower alike.
    let proof = broken(cross(), |h| {
        for layer in [Layer::Bottom, Layer::Lower] {
            let p = h.piece(1, layer, 1);
            h.stretch(p, 0.25, 0.0);
        }
        for j in &mut h.plan.joints {
            if j.run == RunId(1) && j.layer != Layer::Upper && j.kind == JointKind::Break {
                (j.at, j.half_gap) = (inch(60.125), inch(1.875));
            }
        }
        h.buy();
    });
    expect(&proof, &[2, 7], &["proof-missing", "proof-run-sum"]);
}
