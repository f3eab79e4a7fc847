//! Plates on a slope: heights, lengths along the wood, plumb cuts, marks and nails along it.

use crate::framed::sloping;
use crate::houses::{House, inch};
use crate::{right, said, wrong};
use geom::{Length, Slope};
use plan_model::{Layer, Piece, Rake};

use Layer::{Bottom, Lower, Upper};

fn of(layer: Layer, nth: usize, change: impl Fn(&mut Piece, &mut Rake)) -> impl Fn(&mut House) {
    move |h| {
        let piece = h.piece(0, layer, nth);
        let p = &mut h.plan.pieces[piece];
        let mut rake = p.rake.unwrap();
        change(p, &mut rake);
        p.rake = Some(rake);
    }
}

#[test]
fn a_plate_on_a_slope_lies_as_its_wall() {
    let height = "its wall's heights put it at";
    let sixteenth = inch(0.0625);
    for by in [sixteenth, -sixteenth] {
        wrong(sloping, of(Upper, 0, |p, _| p.z += by), height);
        wrong(sloping, of(Lower, 1, |_, r| r.z_end += by), height);
    }
    // Another slope that is said to end at the same height: the lengths are those of the wall's.
    let steeper = |_: &mut Piece, r: &mut Rake| {
        r.slope = Slope::new(inch(90.001), inch(120.0)).unwrap();
    };
    let told = said(sloping, of(Upper, 0, steeper));
    assert!(told.iter().any(|s| s.starts_with("proof-height")), "{told:#?}");
    let level = |h: &mut House| {
        let piece = h.piece(0, Upper, 0);
        h.plan.pieces[piece].rake = None;
    };
    assert!(said(sloping, level).iter().any(|s| s.starts_with("proof-height")));
    let tilted = |h: &mut House| {
        let [bottom, lower] = [h.piece(0, Bottom, 0), h.piece(0, Lower, 0)];
        h.plan.pieces[bottom].rake = h.plan.pieces[lower].rake;
    };
    assert!(said(sloping, tilted).iter().any(|s| s.starts_with("proof-height: bottom plate P1")));
    // 97-1/8 less a board's plumb depth of 1-7/8, and 30 less where it starts a third of the wall on.
    let told = said(sloping, of(Lower, 1, |p, _| p.z = Length::ZERO));
    assert_eq!(
        told,
        [
            "proof-height: lower plate P4 lies at 0 in and ends at 183.375 in; its wall's heights put it at 129.375 in and 183.375 in."
        ]
    );
}

#[test]
fn lengths_on_a_slope_are_along_the_wood() {
    let length = "on its slope it is";
    let sixteenth = inch(0.0625);
    for by in [sixteenth, -sixteenth] {
        let edge = |_: &mut Piece, r: &mut Rake| {
            (r.edge, r.edge_printed) = (r.edge + by, r.edge_printed + by);
        };
        wrong(sloping, of(Upper, 0, edge), length);
        let whole = |p: &mut Piece, _: &mut Rake| {
            (p.length, p.printed) = (p.length + by, p.printed + by);
        };
        let mut h = sloping();
        of(Upper, 0, whole)(&mut h);
        h.buy();
        let told: Vec<String> = h.prove_all().findings.iter().map(|f| f.message.clone()).collect();
        assert!(!told.is_empty() && told.iter().all(|s| s.contains(length)), "{told:#?}");
    }
    // 150 along, 1-1/8 more for the plumb cuts.
    let told = said(sloping, of(Upper, 0, |_, r| r.edge = inch(149.9)));
    assert!(
        told[0].contains("from 0 to 120 in on its run they are 150 in and 151.125 in"),
        "{told:?}"
    );
}

#[test]
fn printed_lengths_on_a_slope_are_near_and_never_long_above() {
    let printed = "its printed length along its face is";
    wrong(sloping, of(Upper, 0, |_, r| r.edge_printed += Length::from_nm(1)), printed);
    right(sloping, of(Upper, 0, |_, r| r.edge_printed -= inch(0.06)));
    wrong(sloping, of(Upper, 0, |_, r| r.edge_printed -= inch(0.0625)), printed);
    right(sloping, of(Lower, 0, |_, r| r.edge_printed += inch(0.06)));
    wrong(sloping, of(Lower, 0, |_, r| r.edge_printed += inch(0.0625)), "printed l");
    // Two that follow each other drift together.
    let drift = |h: &mut House| {
        for nth in 0..2 {
            of(Lower, nth, |_, r| r.edge_printed += inch(0.04))(h);
        }
    };
    wrong(
        sloping,
        drift,
        "Run R1: printed lower lengths add up to 150.08 in, the exact ones to 150 in.",
    );
}

#[test]
fn plumb_cuts_tilt_the_blade() {
    let blade = "is listed with the blade at";
    for end in 0..2 {
        right(sloping, of(Upper, 0, move |p, _| p.ends[end].tilt_deg += 0.04));
        for by in [0.06, -0.06] {
            wrong(sloping, of(Upper, 0, move |p, _| p.ends[end].tilt_deg += by), blade);
            wrong(
                sloping,
                of(Lower, 0, move |p, _| p.ends[end].cut_deg += by),
                "the outline has 90.000",
            );
        }
        wrong(sloping, of(Upper, 0, move |p, _| p.ends[end].tilt_deg = f64::NAN), blade);
        wrong(sloping, of(Upper, 0, move |p, _| p.ends[end].cut_deg = f64::NAN), "the outline has");
    }
    wrong(
        sloping,
        of(Upper, 0, |p, _| p.ends.swap(0, 1)),
        "blade at 53.130102354156 degrees to its upper face, plumb is 126.870",
    );
}

/// 16 in along the wood are 12.8 level; beside the joint at 48 the nails within 19.2 count.
#[test]
fn nails_on_a_slope_are_spaced_along_the_wood() {
    let moved = |from, to| move |h: &mut House| h.move_nails(0, Upper, 0, from, to);
    let taken = |at| move |h: &mut House| h.take_nails(0, Upper, 0, at);
    right(sloping, moved(88.0, 92.8));
    wrong(sloping, moved(88.0, 92.9), "no nails between 80 and 92.9");
    wrong(sloping, taken(88.0), "no nails between 80 and 96");
    // One of five pairs may go on either side.
    right(sloping, taken(40.0));
    let two = |h: &mut House| [36.0, 40.0].iter().for_each(|at| h.take_nails(0, Upper, 0, *at));
    wrong(sloping, two, "from 28.8 to 48 in on its run, beside a joint, there are 6 nails");
    let two = |h: &mut House| [52.0, 60.0].iter().for_each(|at| h.take_nails(0, Upper, 0, *at));
    wrong(sloping, two, "from 48 to 67.2 in on its run, beside a joint, there are 6 nails");
    // A mark is where it is on the run: 112 level are 140 along the wood.
    let aside = |h: &mut House| {
        let piece = h.piece(0, Upper, 0);
        h.plan.pieces[piece].marks.retain(|m| m.at != inch(140.0));
    };
    wrong(sloping, aside, "has a mark (stud) at 112 in on its run, M5 has none there");
}
