use super::*;
use crate::plan::{Nails, Notch};
use lumber::Section;
use proptest::prelude::*;

fn inch(x: f64) -> Length {
    Length::from_inches(x).unwrap()
}

fn piece(id: u32, layer: Layer, from: f64, to: f64, against: [&str; 2]) -> Piece {
    let nails = [1.0, 16.0, to - from - 1.0];
    let nails = nails.map(|at| Nails { at: inch(at), count: 2, nail: "16d common".to_owned() });
    Piece {
        id: format!("P{id}"),
        mark: format!("M{id}"),
        run: "R1".to_owned(),
        storey: "S1".to_owned(),
        layer,
        section: Section::S2X4,
        from: inch(from),
        length: inch(to - from),
        cuts: [90.0, 90.0],
        tilts: [90.0, 90.0],
        raked_to: None,
        against: against.map(str::to_owned),
        notches: Vec::new(),
        nails: nails.to_vec(),
    }
}

/// One wall of 240 in with studs each 16 in: lower plates of 144 and 96 in, upper ones of 80 (to the
/// joint's middle) and 160 in.
fn wall() -> Plan {
    let joint = 80.0;
    Plan {
        source: "a.dxf".to_owned(),
        runs: vec!["R1".to_owned()],
        pieces: vec![
            piece(1, Layer::Lower, 0.0, 144.0, ["open", "same-run"]),
            piece(2, Layer::Lower, 144.0, 240.0, ["same-run", "open"]),
            piece(3, Layer::Upper, 0.0, joint - 0.0625, ["open", "same-run"]),
            piece(4, Layer::Upper, joint + 0.0625, 240.0, ["same-run", "open"]),
        ],
        studs: [("R1".to_owned(), (0..16).map(|k| inch(f64::from(k) * 16.0)).collect())].into(),
        lower_joints: [("R1".to_owned(), vec![(inch(144.0), Length::ZERO)])].into(),
        joint_offset: inch(24.0),
        upper_clearance: inch(0.125),
        short_piece: inch(48.0),
        kerf: inch(0.125),
        end_trim: Length::ZERO,
        lengths_ft: [("2x4".to_owned(), vec![8, 10, 12, 14])].into(),
    }
}

fn fit(plan: &Plan, inches: f64) -> Outcome<Refit> {
    refit(plan, &[Measured { run: "R1".to_owned(), length: inch(inches) }])
}

/// A quarter of an inch more: the last upper piece is a quarter longer, with the nails at its end; nothing
/// else moves, and lower plates are no part of it.
#[test]
fn the_end_takes_it_up() {
    let plan = wall();
    let r = fit(&plan, 240.25);
    assert!(r.findings.is_empty());
    let r = r.value;
    assert_eq!(r.changes.len(), 1);
    let (was, now) = (r.changes[0].was.as_ref().unwrap(), r.changes[0].now.as_ref().unwrap());
    assert_eq!((was.id.as_str(), now.id.as_str()), ("P4", "P4"));
    assert_eq!(now.length - was.length, inch(0.25));
    assert_eq!(now.nails[1].at, was.nails[1].at);
    assert_eq!(now.nails[2].at, was.nails[2].at + inch(0.25));
    assert!(r.pieces.iter().all(|p| p.layer == Layer::Upper));
    assert_eq!(fit(&plan, 240.0).value.changes, []);
}

/// The last piece is 159-15/16 in and boards give 168; make boards of 13 ft 4 in... whole feet only, so the
/// limit is met by a plan whose last piece is 167-15/16 in: a quarter more is over 14 ft, and the
/// joint goes on to the next stud that is 24 in from the lower joint.
#[test]
fn a_piece_too_long_gets_another_joint() {
    let mut plan = wall();
    plan.pieces[2] = piece(3, Layer::Upper, 0.0, 71.9375, ["open", "same-run"]);
    plan.pieces[3] = piece(4, Layer::Upper, 72.0625, 240.0, ["same-run", "open"]);
    let r = fit(&plan, 240.25);
    assert!(r.findings.is_empty(), "{:?}", r.findings);
    let [a, b] = &r.value.pieces[..] else { panic!("two pieces") };
    // Studs at 80, 96, 112 keep 24 in from 144 and 48 in from the start; the first of equally few.
    assert_eq!((a.to(), b.from), (inch(80.0 - 0.0625), inch(80.0625)));
    assert_eq!(b.to(), inch(240.25));
    assert!(r.value.changes.len() == 2);
    // Both ends at the joint are nailed over the stud.
    assert!(a.nails.iter().any(|n| a.from + n.at > inch(79.0)));
    assert!(b.nails.iter().any(|n| b.from + n.at < inch(81.0)));
}

#[test]
fn another_wall_altogether_is_told_and_left() {
    let r = fit(&wall(), 243.0);
    assert_eq!(r.findings[0].code, codes::FAR_OFF);
    assert_eq!(r.value.changes, []);
}

#[test]
fn no_joint_fits() {
    let mut plan = wall();
    plan.pieces[2] = piece(3, Layer::Upper, 0.0, 71.9375, ["open", "same-run"]);
    plan.pieces[3] = piece(4, Layer::Upper, 72.0625, 240.0, ["same-run", "open"]);
    plan.joint_offset = inch(100.0);
    let r = fit(&plan, 240.25);
    assert_eq!(r.findings[0].code, codes::NO_FIT);
    assert_eq!(r.value.changes, []);
}

#[test]
fn lists_are_read_and_mistakes_told() {
    let plan = wall();
    let list = from_csv(b"wall,length,who\nr1,\"20'-0 1/4\"\"\",Ana\n", "m.csv", &plan).unwrap();
    assert_eq!(list, [Measured { run: "R1".to_owned(), length: inch(240.25) }]);
    assert_eq!(from_csv(b"wall,length\nR1,\n", "m.csv", &plan).unwrap(), []);
    let bad = from_csv(b"wall,length\nR9,240\nR1,240\nR1,241\nR1,x\n", "m.csv", &plan);
    let e = bad.unwrap_err().to_string();
    for line in [2, 4] {
        assert!(e.contains(&format!("m.csv, line {line}: ")), "{e}");
    }
    assert!(from_csv(b"run,length\n", "m.csv", &plan).unwrap_err().to_string().contains("'wall'"));
    assert!(read(b"{}", "p.json").unwrap_err().to_string().contains("p.json"));
}

proptest! {
    /// Whatever is measured: the pieces fill the wall as it stands, no piece is longer than a board, joints
    /// keep their offset, and notches keep their size.
    #[test]
    fn upper_plates_fill_the_wall(joint in 4..14_i32, off in -24..=24_i32, notch in 0..3_i32) {
        let mut plan = wall();
        let joint = f64::from(joint) * 16.0;
        plan.pieces[2] = piece(3, Layer::Upper, 0.0, joint - 0.0625, ["open", "same-run"]);
        plan.pieces[3] = piece(4, Layer::Upper, joint + 0.0625, 240.0, ["same-run", "open"]);
        let at = plan.pieces[3].length - inch(f64::from(notch) * 3.0 + 2.0);
        let bite = Notch { from: at - inch(3.75), to: at, depth: inch(2.0), left: true };
        plan.pieces[3].notches.push(bite);
        let length = inch(240.0 + f64::from(off) / 16.0);
        let r = refit(&plan, &[Measured { run: "R1".to_owned(), length }]);
        let pieces = &r.value.pieces;
        if r.findings.is_empty() {
            prop_assert_eq!(pieces[0].from, Length::ZERO);
            prop_assert_eq!(pieces.last().unwrap().to(), length);
            let changed = !r.value.changes.is_empty();
            prop_assert_eq!(changed, off != 0);
            for p in pieces {
                if p.length > plan.longest(p.section) {
                    prop_assert!(plan.pieces.iter().any(|q| q.length >= p.length));
                }
                for n in &p.notches {
                    prop_assert_eq!(n.to - n.from, inch(3.75));
                    prop_assert!(n.from >= Length::ZERO && n.to <= p.length);
                }
            }
            for w in pieces.windows(2) {
                prop_assert_eq!(w[1].from - w[0].to(), inch(0.125));
            }
        }
        let notches: usize = pieces.iter().map(|p| p.notches.len()).sum();
        prop_assert_eq!(notches, 1);
    }
}
