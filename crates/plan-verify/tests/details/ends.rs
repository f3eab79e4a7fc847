//! What ends are said to meet, hardware between plates, joints on studs.

use crate::framed::framed;
use crate::houses::{self, House, corner_and_lower_third, inch, joint, step_corner};
use crate::{right, said, wrong};
use plan_model::{Against, JointKind, Layer, MarkKind, PieceId, TieKind};
use wall_model::floor::RunId;

use Layer::{Bottom, Lower, Upper};

/// What a plate's end is said to meet.
fn meets(run: u32, layer: Layer, nth: usize, end: usize, against: Against) -> impl Fn(&mut House) {
    move |h| {
        let piece = h.piece(run, layer, nth);
        h.plan.pieces[piece].ends[end].against = against;
    }
}

#[test]
fn ends_meet_what_lies_beside_them() {
    for run in 1..3 {
        for (end, layer) in [(0, Lower), (1, Bottom)] {
            // A partition's one end is free, the other at the long wall's face.
            let at_wall = (run == 1) == (end == 0);
            let other = RunId(3 - run);
            let same = meets(run, layer, 0, end, Against::SameRun);
            wrong(framed, same, "it is said to meet the next piece of its run, and there is none");
            let notch = meets(run, layer, 0, end, Against::Notch(RunId(0)));
            wrong(framed, notch, "it is said to end in a notch of R1, and none is there");
            wrong(framed, meets(run, layer, 0, end, Against::Run(other)), "that wall is not there");
            wrong(
                framed,
                meets(run, layer, 0, end, Against::Stud(other)),
                "that wall is not there",
            );
            if at_wall {
                right(framed, meets(run, layer, 0, end, Against::Stud(RunId(0))));
                wrong(
                    framed,
                    meets(run, layer, 0, end, Against::Open),
                    "it is said to end free, and P",
                );
            } else {
                wrong(
                    framed,
                    meets(run, layer, 0, end, Against::Run(RunId(0))),
                    "that wall is not there",
                );
            }
        }
    }
    let free = "it is said to end free, and P2 is there at its end";
    wrong(framed, meets(0, Bottom, 0, 1, Against::Open), free);
    wrong(
        framed,
        meets(0, Lower, 0, 1, Against::Run(RunId(1))),
        "to meet R2, and that wall is not there",
    );
    // The plate in the notch is named as one that is met as well; one without a notch bites nothing, and another wall's notch
    // is none.
    right(framed, meets(2, Upper, 0, 1, Against::Run(RunId(0))));
    wrong(
        framed,
        meets(2, Upper, 0, 1, Against::Notch(RunId(1))),
        "in a notch of R2, and none is there",
    );
    wrong(
        framed,
        meets(0, Upper, 0, 1, Against::Notch(RunId(1))),
        "in a notch of R2, and none is there",
    );
    // The partition's upper plate ends flush with the long wall's outer face.
    wrong(
        framed,
        meets(1, Upper, 0, 0, Against::Run(RunId(0))),
        "to meet R1, and that wall is not there",
    );
}

/// At a step of an inch the lower wall's upper plate ends at the taller one's plates, from 3 in on at its studs.
#[test]
fn an_end_at_a_taller_walls_studs_is_not_free() {
    let stepped = |by: f64| {
        let mut h = step_corner();
        h.floor.runs[0].top = h.floor.runs[1].top + inch(by);
        for piece in h.pieces_of(0) {
            let p = &mut h.plan.pieces[piece];
            let down = match p.layer {
                Bottom => continue,
                Lower => inch(3.0),
                Upper => inch(1.5),
            };
            p.z = h.floor.runs[0].top - down;
        }
        for layer in [Bottom, Lower] {
            meets(1, layer, 0, 0, Against::Run(RunId(0)))(&mut h);
        }
        let proof = h.prove_all();
        let ends = proof.findings.into_iter().filter(|f| f.code.name() == "proof-end");
        ends.map(|f| f.message).collect::<Vec<_>>()
    };
    let none: [&str; 0] = [];
    assert_eq!(stepped(1.0), none);
    assert_eq!(stepped(1.5), none);
    assert_eq!(
        stepped(1.5625),
        ["P6 (M6): it is said to end free, and the taller wall R1 stands there at its start."]
    );
}

/// Joins plates by hardware, at a junction of the long wall's, and counts it.
fn joined(kind: TieKind, junction: u32, pieces: &[(u32, Layer, usize)]) -> impl Fn(&mut House) {
    let pieces = pieces.to_vec();
    move |h| {
        let pieces: Vec<usize> = pieces.iter().map(|(r, l, n)| h.piece(*r, *l, *n)).collect();
        let hardware = "1 x steel; 0 nails of none";
        h.plan.ties.push(houses::tie(junction, kind, &pieces, 0.0, hardware));
        h.count();
        for nail in ["steel", "of none"] {
            let count = u64::from(nail == "steel");
            h.plan.fasteners.push(plan_model::Fastener {
                nail: nail.to_owned(),
                count,
                purpose: String::new(),
            });
        }
    }
}

#[test]
fn hardware_joins_top_plates_that_lie_side_by_side() {
    use TieKind::{Screw, Strap};
    let (first, second, third) = ((0, Upper, 0), (0, Upper, 1), (0, Upper, 2));
    let (over, stem) = ((1, Upper, 0), (2, Upper, 0));
    right(framed, joined(Strap, 3, &[first, over]));
    right(framed, joined(Strap, 3, &[first, second]));
    right(framed, joined(Strap, 3, &[over, (0, Lower, 1)]));
    right(framed, joined(Screw, 3, &[first, over]));
    // A strap may reach on to a third wall's plate, screws go through the seam of two.
    right(framed, joined(Strap, 2, &[stem, first]));
    wrong(framed, joined(Screw, 2, &[first, over]), "one of its plates is of no wall there");
    wrong(framed, joined(Strap, 4, &[first, second]), "none of its plates is of a wall there");
    wrong(framed, joined(Screw, 3, &[first, second]), "are plates of one wall");
    wrong(framed, joined(Strap, 3, &[(0, Bottom, 0), over]), "is a bottom plate");
    wrong(framed, joined(Strap, 3, &[over, over]), "twice");
    wrong(framed, joined(Strap, 3, &[over, (1, Lower, 0)]), "do not lie side by side");
    // 129-7/8 to 208 is the second plate.
    wrong(framed, joined(Strap, 3, &[first, third]), "are 81.88 in apart");
    // Alone it goes over a notch, 16 in beside it at most: the notch is the one at 32.
    wrong(framed, joined(Strap, 3, &[second]), "to nothing");
    wrong(framed, joined(Strap, 3, &[first]), "to nothing");
    right(framed, joined(Strap, 2, &[first]));
    let nothing: [fn(&mut House); 2] =
        [|h| h.plan.ties[1].hardware = " ".to_owned(), |h| h.plan.ties[1].pieces.clear()];
    for names_nothing in nothing {
        let said = said(framed, names_nothing);
        assert!(said[0].contains("it names no hardware or no pieces"), "{said:#?}");
    }
}

/// No plate or strap is longer than to bridge 16 in.
#[test]
fn hardware_reaches_sixteen_inches() {
    // The first upper plate ended earlier, and everything else as it is: only the hardware's own line is looked at.
    let apart = |by: f64| {
        let mut h = framed();
        let first = h.piece(0, Upper, 0);
        h.stretch(first, 0.0, -by);
        joined(TieKind::Strap, 3, &[(0, Upper, 0), (0, Upper, 1)])(&mut h);
        let proof = h.prove_all();
        proof
            .findings
            .iter()
            .any(|f| f.message.contains("in apart") && f.message.starts_with("strap"))
    };
    // 3-3/4 in already.
    assert!(!apart(12.25) && apart(12.3125));
    // A notch so far from its junction: the strap over it is another's.
    let off = |by: f64| {
        let mut h = framed();
        h.floor.junctions[2].at.x += inch(by);
        let proof = h.prove_all();
        proof.findings.iter().any(|f| f.message.contains("to nothing"))
    };
    // The notch reaches 1-7/8 in to either side of it.
    for side in [-1.0, 1.0] {
        assert!(!off(side * 17.875) && off(side * 17.9375), "{side}");
    }
}

#[test]
fn hardware_joins_plates_of_one_storey() {
    let mut h = framed();
    joined(TieKind::Strap, 3, &[(0, Upper, 0), (1, Upper, 0)])(&mut h);
    let above = h.piece(1, Upper, 0);
    h.plan.pieces[above].storey.0 = 1;
    h.floor.runs[1].storey.0 = 1;
    let said: Vec<String> = h.prove_all().findings.iter().map(|f| f.message.clone()).collect();
    assert!(said.iter().any(|s| s.contains("do not lie side by side")), "{said:#?}");
}

fn on_stud(run: u32, layer: Layer, kind: JointKind, on_stud: bool) -> impl Fn(&mut House) {
    move |h| {
        let row =
            |j: &&mut plan_model::Joint| (j.run, j.layer, j.kind) == (RunId(run), layer, kind);
        h.plan.joints.iter_mut().find(row).unwrap().on_stud = on_stud;
    }
}

#[test]
fn joints_are_on_a_stud_where_one_bears_both_plates() {
    let stands = "is listed as on no stud, and one stands under both its ends";
    for layer in Layer::ALL {
        wrong(framed, on_stud(0, layer, JointKind::Break, false), stands);
    }
    right(framed, on_stud(0, Upper, JointKind::LapGap, true));
    right(framed, on_stud(0, Lower, JointKind::End, false));
}

/// The lower joint of the long wall at another station, with its studs and nails left where they are: what is said of its stud.
fn stud_at(station: f64, layer: Layer, on_stud: bool) -> Vec<String> {
    let mut h = framed();
    for joint in &mut h.plan.joints {
        if (joint.run, joint.layer, joint.kind) == (RunId(0), layer, JointKind::Break) {
            (joint.at, joint.on_stud) = (inch(station), on_stud);
        }
    }
    let proof = h.prove_all();
    let of_stud = |f: &&diag::Finding| f.message.contains("is listed as on");
    proof.findings.iter().filter(of_stud).map(|f| f.message.clone()).collect()
}

#[test]
fn a_stud_bears_joints_within_half_an_inch_and_none_beside_an_opening() {
    // A stud of 1-1/2 in bears both plates by 1/4 in where the joint is 1/2 in off its middle.
    for off in [-0.5, 0.5] {
        assert!(stud_at(224.0 + off, Lower, true).is_empty());
        assert_eq!(stud_at(224.0 + off * 1.125, Lower, true).len(), 1);
        assert!(stud_at(224.0 + off * 1.125, Lower, false).is_empty());
        assert_eq!(stud_at(224.0 + off * 0.875, Lower, false).len(), 1);
    }
    // Under a header there is no stud to bear a top plate: from trimmer to trimmer, 68-1/2 to 107-1/2. Bottom plates stand on
    // trimmers as well.
    let over = "it lies over an opening or one of its trimmers";
    for at in [69.25, 80.0, 106.75, 149.25, 186.75] {
        let said = stud_at(at, Lower, true);
        assert!(said.len() == 1 && said[0].contains(over), "{at}: {said:?}");
        assert!(stud_at(at, Lower, false).is_empty(), "{at}");
    }
    for at in [69.25, 106.75] {
        assert!(stud_at(at, Bottom, true).is_empty(), "{at}");
        assert_eq!(stud_at(at, Bottom, false).len(), 1, "{at}");
    }
    assert!(stud_at(80.0, Bottom, true)[0].contains("no stud is marked there"));
    // On a king a joint may be, 2-1/4 in beside the opening.
    for at in [67.75, 108.25] {
        assert!(stud_at(at, Lower, true).is_empty(), "{at}");
    }
}

/// A stud that is marked where a trimmer belongs bears no joint of the top plates either.
#[test]
fn no_joint_is_over_where_a_trimmer_belongs() {
    for (trimmer, joint_at) in [(69.25, 69.0), (106.75, 107.0)] {
        let mut h = framed();
        h.unmark(0, trimmer, MarkKind::Trimmer);
        h.mark(0, &[(trimmer, MarkKind::Stud)]);
        let row = (0, Lower, joint_at, 0.0, JointKind::Break, None);
        h.plan.joints.push(plan_model::Joint { on_stud: true, ..joint(row) });
        let said: Vec<String> = h.prove_all().findings.iter().map(|f| f.message.clone()).collect();
        let over = format!(
            "the joint at {joint_at} in is listed as on a stud, but it lies over an opening"
        );
        assert!(said.iter().any(|s| s.contains(&over)), "{said:#?}");
    }
}

/// Where there is no room for a trimmer the last stud of a plate stands in its place, here the one at 48 on which two plates end:
/// it reaches from 47-1/4 to 48-3/4.
#[test]
fn the_last_stud_of_a_plate_bears_a_joint_beside_an_opening() {
    let over = |from: f64, to: f64| {
        let mut h = framed();
        let opening = &mut h.floor.walls[0].openings[0];
        (opening.from, opening.to) = (inch(from), inch(to));
        let said: Vec<String> = h.prove_all().findings.iter().map(|f| f.message.clone()).collect();
        let named = "Run R1, lower layer: the joint at 48 in is listed as on a stud, but it lies over an opening";
        said.iter().any(|s| s.starts_with(named))
    };
    assert!(!over(48.75, 80.0) && over(48.6875, 80.0));
    assert!(!over(20.0, 47.25) && over(20.0, 47.3125));
    // The stud at 224 is the last of none.
    let mut h = framed();
    let row = (0, Lower, 224.0, 0.0, JointKind::Break, None);
    h.plan.joints.push(plan_model::Joint { on_stud: true, ..joint(row) });
    (h.floor.walls[0].openings[1].from, h.floor.walls[0].openings[1].to) =
        (inch(224.75), inch(230.0));
    let said = h.prove_all().findings;
    assert!(said.iter().any(|f| {
        f.message.contains("the joint at 224 in is listed as on a stud, but it lies over")
    }));
}

/// A third wall at a corner, lower than it: its top plates end at the corner's studs.
#[test]
fn one_of_several_walls_at_a_place_is_named() {
    let of_third = |against: Against| {
        let mut h = corner_and_lower_third();
        meets(2, Lower, 0, 1, against)(&mut h);
        let third = h.piece(2, Lower, 0);
        let name = plan_model::piece_name(PieceId(third as u32));
        let said = h.prove_all().findings;
        said.iter().filter(|f| f.code.name() == "proof-end" && f.subject == name).count()
    };
    for against in [Against::Stud(RunId(0)), Against::Stud(RunId(1)), Against::Run(RunId(0))] {
        assert_eq!(of_third(against), 0, "{against:?}");
    }
    assert_eq!(of_third(Against::Stud(RunId(9))), 1);
    assert_eq!(of_third(Against::Open), 1);
}
