//! Marks: on their plates, alike on all plates of a wall, studs and walls and openings where they are; bolts.

use crate::framed::{framed, on_concrete};
use crate::houses::{House, inch};
use crate::{right, said, wrong};
use geom::Length;
use plan_model::{Layer, MarkKind, PieceId};
use wall_model::StoreyId;
use wall_model::floor::JunctionKind;

use Layer::{Bottom, Lower, Upper};
use MarkKind::{Anchor, Corner, King, Opening, Stud, Tee, Trimmer};

/// A mark of one plate alone, moved along it.
fn shift(h: &mut House, (run, layer, nth): (u32, Layer, usize), mark: (f64, MarkKind), by: Length) {
    let piece = h.piece(run, layer, nth);
    let at = h.on_piece(piece, mark.0);
    let marks = &mut h.plan.pieces[piece].marks;
    marks.iter_mut().find(|m| (m.at, m.kind) == (at, mark.1)).unwrap().at += by;
}

#[test]
fn marks_lie_on_their_plates_and_in_order() {
    // Upper plates end at the joint at 208, the one with its mark on its end, the other on its start.
    let hair = Length::from_nm(300);
    right(framed, |h| shift(h, (0, Upper, 1), (208.0, Stud), hair.half()));
    let beyond = |h: &mut House| shift(h, (0, Upper, 1), (208.0, Stud), hair);
    wrong(framed, beyond, "in from its start, and is 78.125 in long");
    let before = |h: &mut House| shift(h, (0, Upper, 2), (208.0, Stud), -hair);
    wrong(framed, before, "has a mark (stud) -0.00001181");
    let out_of_order = |h: &mut House| {
        let piece = h.piece(1, Upper, 0);
        h.plan.pieces[piece].marks.swap(0, 1);
    };
    wrong(framed, out_of_order, "not in order at 4.25 in from its start");
    let twice = |h: &mut House| {
        let piece = h.piece(1, Upper, 0);
        let again = h.plan.pieces[piece].marks[1];
        h.plan.pieces[piece].marks.insert(1, again);
    };
    wrong(framed, twice, "not in order");
}

#[test]
fn plates_of_a_wall_carry_the_same_marks() {
    let missing = |run, layer, nth, station, kind| {
        move |h: &mut House| {
            let piece = h.piece(run, layer, nth);
            let at = h.on_piece(piece, station);
            h.plan.pieces[piece].marks.retain(|m| (m.at, m.kind) != (at, kind));
        }
    };
    // A tee's own mark, so that no stud and no nail is missing with it.
    wrong(
        framed,
        missing(0, Bottom, 0, 32.0, Tee),
        "has a mark (tee) at 32 in on its run, M1 has none there",
    );
    wrong(
        framed,
        missing(0, Upper, 0, 32.0, Tee),
        "has a mark (tee) at 32 in on its run, M9 has none there",
    );
    // On the one plate the upper one has over it.
    let other = |h: &mut House| {
        let piece = h.piece(0, Upper, 0);
        h.add_mark(piece, 90.0, Tee);
    };
    wrong(framed, other, "has a mark (tee) at 90 in on its run, M6 has none there");
    // What stands on a joint bears both plates.
    let on_one_side = |h: &mut House| {
        for layer in [Bottom, Lower] {
            missing(0, layer, 1, 48.0, Stud)(h);
        }
    };
    wrong(framed, on_one_side, "meet at 48 in on their run and have not the same marks there");
    // Nothing stands where the partition's upper plate lies over the lower ones of the wall it meets.
    let over_the_other_wall = |h: &mut House| {
        let piece = h.piece(1, Upper, 0);
        h.add_mark(piece, 1.0, Stud);
    };
    wrong(framed, over_the_other_wall, "has a mark (stud) at 1 in on its run, where there is no");
    let over_the_other_wall = |h: &mut House| {
        let piece = h.piece(1, Upper, 0);
        h.add_mark(piece, 1.0, Tee);
    };
    right(framed, over_the_other_wall);
}

#[test]
fn openings_and_walls_are_marked_where_they_are() {
    let eighth = 0.125;
    let opening = |h: &mut House| h.move_mark(0, Opening, 106.0, 106.0 + eighth);
    wrong(framed, opening, "the edge of an opening at 106 in on it is not marked (and 1 more)");
    wrong(
        framed,
        |h| h.unmark(0, 150.0, Opening),
        "edge of an opening at 150 in on it is not marked",
    );
    wrong(
        framed,
        |h| h.mark(0, &[(90.0, Opening)]),
        "the opening mark at 90 in on it is at no edge",
    );
    wrong(framed, |h| h.unmark(0, 32.0, Tee), "the wall that meets at 32 in on it is not marked");
    wrong(
        framed,
        |h| h.mark(0, &[(90.0, Tee)]),
        "the tee mark at 90 in on it is at no wall that meets",
    );
    // Walls that go on in line have no mark where they meet; in a house as this one the tie would be another.
    let mut house = framed();
    house.unmark(0, 32.0, Tee);
    house.floor.junctions[2].kind = JunctionKind::Inline;
    let layout = |f: &&diag::Finding| f.code.name() == "proof-layout";
    assert_eq!(house.prove_all().findings.iter().filter(layout).count(), 0);
}

#[test]
fn studs_stand_where_they_belong() {
    let two = "two studs stand in one place";
    // A king an inch and a quarter off its trimmer; at an inch and a half the two touch.
    wrong(framed, |h| shift_stud(h, King, 67.75, 68.0), two);
    wrong(framed, |h| shift_stud(h, Trimmer, 69.25, 69.5), "stands in an opening");
    wrong(framed, |h| shift_stud(h, Trimmer, 106.75, 106.5), "stands in an opening");
    wrong(
        framed,
        |h| shift_stud(h, Stud, 239.25, 239.5),
        "not the whole width of the plate over it",
    );
    wrong(framed, |h| shift_stud(h, Corner, 0.75, 0.5), "not the whole width of the plate over it");
    wrong(
        framed,
        |h| shift_stud(h, Stud, 192.0, 193.0),
        "stud at 193 in on it stands where no stud belongs",
    );
    let other_kind = |station, is: MarkKind, said: MarkKind| {
        move |h: &mut House| {
            h.unmark(0, station, is);
            h.mark(0, &[(station, said)]);
        }
    };
    wrong(
        framed,
        other_kind(64.0, Stud, King),
        "the king at 64 in on it stands where no king belongs",
    );
    wrong(framed, other_kind(64.0, Stud, Corner), "stands where no corner belongs");
    wrong(framed, other_kind(188.25, King, Corner), "stands where no corner belongs");
    wrong(framed, other_kind(147.75, King, Stud), "stands where no stud belongs");
    right(framed, other_kind(239.25, Stud, Corner));
    right(framed, other_kind(0.75, Corner, Stud));
}

/// A stud with all its nails somewhere else.
fn shift_stud(h: &mut House, kind: MarkKind, from: f64, to: f64) {
    h.move_mark(0, kind, from, to);
    for piece in h.pieces_of(0) {
        let (is, shall) = (h.on_piece(piece, from), h.on_piece(piece, to));
        for n in h.plan.pieces[piece].nails.iter_mut().filter(|n| n.at == is) {
            n.at = shall;
        }
    }
}

/// Where studs are missing: theirs are the marks on all plates and the nails.
fn without_stud(h: &mut House, kind: MarkKind, station: f64) {
    h.unmark(0, station, kind);
    for layer in [Bottom, Lower] {
        for nth in 0..2 {
            let piece = h.piece(0, layer, nth);
            let at = h.on_piece(piece, station);
            h.plan.pieces[piece].nails.retain(|n| n.into_floor || n.at != at);
        }
    }
    h.count();
}

#[test]
fn no_stretch_of_plate_is_bare_of_studs() {
    // From 112 to 144 are 32 in, twice the spacing.
    wrong(framed, |h| without_stud(h, Stud, 128.0), "no stud stands between 112 and 144 in on it");
    wrong(framed, |h| without_stud(h, Stud, 239.25), "nothing stands at the end at 240 in on it");
    // A king without its trimmer, a trimmer without its king.
    let beside = "nothing stands a trimmer and a king stud's width beside the opening at";
    for station in [69.25, 106.75, 186.75] {
        wrong(framed, |h| without_stud(h, Trimmer, station), beside);
    }
    let king = |h: &mut House| {
        without_stud(h, King, 108.25);
        h.take_nails(0, Upper, 0, 108.25);
    };
    wrong(framed, king, beside);
}

/// A bolt elsewhere: its mark on the n-th bottom plate of the long wall.
fn bolt(nth: usize, from: f64, to: f64) -> impl Fn(&mut House) {
    move |h| {
        shift(h, (0, Bottom, nth), (from, Anchor), inch(to) - inch(from));
        let piece = h.piece(0, Bottom, nth);
        h.plan.pieces[piece].marks.sort();
    }
}

#[test]
fn bolts_hold_both_ends_of_a_plate() {
    // The first plate reaches from 0 to 48.
    let loose = "leave an end of the plate loose";
    right(on_concrete, bolt(0, 8.0, 12.0));
    wrong(on_concrete, bolt(0, 8.0, 12.0625), loose);
    right(on_concrete, bolt(0, 40.0, 36.0));
    wrong(on_concrete, bolt(0, 40.0, 35.9375), loose);
    let near = "is too near the plate's end or a door";
    right(on_concrete, bolt(0, 8.0, 3.5));
    wrong(on_concrete, bolt(0, 8.0, 3.4375), near);
    right(on_concrete, bolt(0, 40.0, 44.5));
    wrong(on_concrete, bolt(0, 40.0, 44.5625), near);
    // From 48 to the door at 70: the two lie on either side of the middle, 59.
    right(on_concrete, bolt(1, 61.0, 59.0));
    wrong(on_concrete, bolt(1, 61.0, 58.9375), loose);
    wrong(on_concrete, bolt(1, 61.0, 66.5625), near);
    // Beyond the door, from 106 on.
    right(on_concrete, bolt(1, 114.0, 109.5));
    wrong(on_concrete, bolt(1, 114.0, 109.4375), near);
    // One in the middle is near enough to both ends, and is but one.
    let one = |h: &mut House| {
        bolt(1, 61.0, 59.0)(h);
        let piece = h.piece(0, Bottom, 1);
        let first = h.on_piece(piece, 56.0);
        h.plan.pieces[piece].marks.retain(|m| m.at != first);
        h.count();
    };
    wrong(on_concrete, one, "the bolt at 59 in on its run is the only one in its plate.");
    // A plate without any has no place for them.
    let none = |h: &mut House| {
        let piece = h.piece(0, Bottom, 0);
        h.plan.pieces[piece].marks.retain(|m| m.kind != Anchor);
        h.count();
    };
    right(on_concrete, none);
}

#[test]
fn bolts_are_near_enough_to_each_other_and_clear_of_doors_and_studs() {
    // 110 to 182 are 72.
    let spaced = |to| {
        move |h: &mut House| {
            bolt(1, 114.0, 110.0)(h);
            bolt(1, 180.0, to)(h);
        }
    };
    right(on_concrete, spaced(182.0));
    wrong(on_concrete, spaced(182.0625), "is too far from the one before");
    // A door's worth between two bolts is none too far.
    wrong(on_concrete, bolt(1, 180.0, 90.0), "the bolt at 90 in on its run is in a door (and");
    // The stud at 112 covers 111-1/4 to 112-3/4.
    let under = "is under a stud";
    for at in [111.25, 112.75] {
        wrong(on_concrete, bolt(1, 114.0, at), under);
    }
    right(on_concrete, bolt(1, 114.0, 112.8125));
    right(on_concrete, bolt(1, 114.0, 111.1875));
    // On a floor of wood there are none.
    let on_wood = |h: &mut House| {
        h.plan.on_concrete = vec![StoreyId(7)];
        h.buy();
    };
    let said = said(on_concrete, on_wood);
    let bolted = |s: &&String| s.contains("is in a plate that does not lie on concrete");
    assert_eq!(said.iter().filter(bolted).count(), 3, "{said:#?}");
    let cut_of = |h: &mut House| {
        let PieceId(first) = h.boards[0].cuts[0];
        assert_eq!(h.plan.pieces[first as usize].layer, Bottom);
        h.boards[0].treated = false;
    };
    wrong(on_concrete, cut_of, "is to be of treated lumber, and board 1 is not treated");
    let wasted = |h: &mut House| h.boards.last_mut().unwrap().treated = true;
    wrong(on_concrete, wasted, "is not to be of treated lumber, and board 13 is treated");
}
