//! Nails: by the rule set's counts, in wood that holds them.

use crate::framed::{NAIL, framed, on_concrete};
use crate::houses::{self, House, inch};
use crate::{right, said, wrong};
use geom::Length;
use plan_model::{Against, Layer, MarkKind, NailSpot};

use Layer::{Bottom, Lower, Upper};

fn moved((run, layer, nth): (u32, Layer, usize), from: f64, to: f64) -> impl Fn(&mut House) {
    move |h| h.move_nails(run, layer, nth, from, to)
}

fn taken((run, layer, nth): (u32, Layer, usize), at: f64) -> impl Fn(&mut House) {
    move |h| h.take_nails(run, layer, nth, at)
}

fn added((run, layer, nth): (u32, Layer, usize), at: f64, count: u32) -> impl Fn(&mut House) {
    move |h| {
        h.nail(run, layer, nth, at, count);
        h.count();
    }
}

fn counted((run, layer, nth): (u32, Layer, usize), at: f64, count: u32) -> impl Fn(&mut House) {
    move |h| {
        h.nails_at(run, layer, nth, at).count = count;
        h.count();
    }
}

const LEFT: (u32, Layer, usize) = (0, Lower, 0);
const RIGHT: (u32, Layer, usize) = (0, Lower, 1);
const FLOOR: (u32, Layer, usize) = (0, Bottom, 1);
const FIRST: (u32, Layer, usize) = (0, Upper, 0);
const SECOND: (u32, Layer, usize) = (0, Upper, 1);
const THIRD: (u32, Layer, usize) = (0, Upper, 2);

#[test]
fn studs_are_nailed_in_their_wood() {
    // 1/2 in off the middle is 1/4 in off the stud's edge.
    let none = "go into no stud";
    for by in [-0.5, 0.5] {
        right(framed, moved(RIGHT, 224.0, 224.0 + by));
    }
    for by in [-0.5625, 0.5625] {
        wrong(framed, moved(RIGHT, 224.0, 224.0 + by), none);
    }
    let few = "the stud at 224 in on its run gets";
    wrong(framed, counted(RIGHT, 224.0, 1), "gets 1 of its nails; the rule set asks for 2");
    wrong(framed, taken(RIGHT, 224.0), few);
    // A joint's stud is nailed from both plates.
    wrong(framed, taken(LEFT, 47.625), "the stud at 48 in on its run gets 0 of its nails");
    wrong(framed, taken(RIGHT, 48.375), "the stud at 48 in on its run gets 0 of its nails");
    // A trimmer ends under the header.
    wrong(framed, added(RIGHT, 149.25, 1), none);
    wrong(framed, taken(FLOOR, 149.25), "the trimmer at 149.25 in on its run gets 0 of its nails");
    // Cripples stand by the layout over a door, and over and under a window.
    for at in [80.0, 80.5, 79.5, 160.0] {
        right(framed, added(RIGHT, at, 2));
    }
    for at in [80.5625, 79.4375, 88.0, 70.0, 120.0] {
        wrong(framed, added(RIGHT, at, 2), none);
    }
    right(framed, added(FLOOR, 160.0, 2));
    wrong(framed, added(FLOOR, 80.0, 2), none);
    wrong(framed, added(FLOOR, 168.5, 2), none);
}

#[test]
fn nails_split_no_wood() {
    let end = "are less than 1/4 in from its ends";
    right(framed, moved(LEFT, 0.75, 0.25));
    wrong(framed, moved((0, Bottom, 0), 0.75, 0.1875), end);
    right(framed, moved((0, Bottom, 0), 47.625, 47.75));
    wrong(framed, moved((0, Bottom, 0), 47.625, 47.8125), end);
    // The notch from 30-1/8 to 33-7/8 leaves 1-3/8 in of 3-1/2.
    wrong(framed, added(FIRST, 32.0, 1), "are where too little of it is left");
    right(framed, added(FIRST, 30.125, 1));
    // Three at one place, which is less than 1/2 in across.
    let split = "at one place: they split it";
    right(framed, counted(RIGHT, 224.0, 3));
    wrong(framed, counted(RIGHT, 224.0, 4), split);
    right(framed, added(RIGHT, 224.5, 2));
    wrong(framed, added(RIGHT, 224.4375, 2), split);
    wrong(framed, counted(RIGHT, 224.0, 0), "are 0 of");
    let nameless = |h: &mut House| {
        h.nails_at(0, Lower, 1, 224.0).nail = " ".to_owned();
        h.count();
    };
    wrong(framed, nameless, "are 2 of \" \"");
}

#[test]
fn upper_plates_are_nailed_over_studs_and_no_farther_apart_than_asked() {
    // Over the door by the layout, an inch aside at most: 80 and 96 are 16 apart, a 1/64 more is no more.
    right(framed, moved(FIRST, 96.0, 96.0156));
    let far = "no nails between";
    wrong(framed, moved(FIRST, 96.0, 96.0625), far);
    // The notch between 16 and 36 is 3-3/4 in long, in which there are none: 19-3/4 are as good as 16.
    let across = |to| {
        move |h: &mut House| {
            h.take_nails(0, Upper, 0, 28.0);
            h.move_nails(0, Upper, 0, 36.0, to);
        }
    };
    right(framed, across(35.75));
    wrong(framed, across(35.8125), "no nails between 16 and 35.8125");
    let over = "nails; the rule set asks for 2";
    wrong(framed, counted(FIRST, 112.0, 1), "over the stud at 112 in on its run there are 1 nails");
    wrong(framed, taken(SECOND, 147.75), "over the king at 147.75 in on its run there are 0 nails");
    // An inch aside where there is room.
    right(framed, moved(FIRST, 112.0, 113.0));
    wrong(framed, moved(FIRST, 112.0, 113.0625), "over the stud at 112 in on its run there are 0");
    // Beside an end nails stand 2-3/4 in aside; without any within 6 in it is loose.
    right(framed, moved(THIRD, 239.25, 236.5));
    wrong(framed, moved(THIRD, 239.25, 236.4375), over);
    wrong(framed, moved(FIRST, 124.0, 120.0625), "no nails hold its end at 126.125 in on its run");
    right(framed, moved(FIRST, 124.0, 120.125));
    wrong(framed, moved(SECOND, 132.0, 135.9375), "no nails hold its end at 129.875 in on its run");
    right(framed, moved(SECOND, 132.0, 135.875));
}

#[test]
fn nails_over_no_stud_are_for_something() {
    let nothing = "are over no stud";
    // Between studs where the next ones are near enough; more than 24 in off the joint at 48.
    wrong(framed, added(FIRST, 74.0, 1), nothing);
    right(framed, added(FIRST, 72.0, 1));
    wrong(framed, added(FIRST, 72.0625, 1), nothing);
    wrong(framed, added(FIRST, 118.0, 1), nothing);
    wrong(framed, added((1, Upper, 0), 88.0, 1), nothing);
    wrong(framed, added((1, Upper, 0), 24.0, 1), nothing);
    // Before the joint at 208.
    right(framed, added(SECOND, 184.0, 1));
    wrong(framed, added(SECOND, 183.9375, 1), nothing);
    // Where the plate lies over the other wall it is nailed to that.
    right(framed, moved((1, Upper, 0), 0.0, 1.0));
    wrong(framed, added((1, Upper, 0), 12.0, 1), nothing);
    // Within 2-3/4 in of an end they hold it.
    right(framed, added((1, Upper, 0), 97.25, 1));
    // To keep the spacing: over the window, off the layout.
    let spacing = |h: &mut House| {
        h.take_nails(0, Upper, 1, 160.0);
        h.move_nails(0, Upper, 1, 176.0, 163.75);
        h.nail(0, Upper, 1, 176.0, 2);
        h.count();
    };
    right(framed, spacing);
}

/// No nails hold an end where its plate is notched: the notch of 3-3/4 in is moved to where 3 in beside the end is all of the six
/// inches that it takes up.
#[test]
fn an_end_that_is_notched_is_loose() {
    let loose = |by: f64, nail: f64| {
        let notch = |h: &mut House| {
            let piece = h.piece(0, Upper, 0);
            for corner in &mut h.plan.pieces[piece].outline {
                if corner.x > inch(30.0) && corner.x < inch(34.0) {
                    corner.x += inch(by);
                }
            }
            h.take_nails(0, Upper, 0, nail);
        };
        said(framed, notch).iter().any(|s| s.contains("P9: no nails hold its end"))
    };
    // The first end is at 0, the second at 126-1/8.
    assert!(!loose(-29.0, 0.75) && loose(-23.5, 0.75));
    assert!(!loose(91.0, 124.0) && loose(85.0, 124.0));
}

#[test]
fn joints_have_the_rule_sets_nails_on_either_side() {
    // Eight within 24 in: of the five pairs before and six behind the lower joint, and five behind the upper one, one may go.
    let few = "beside a joint, there are 6 nails; the rule set asks for 8";
    right(framed, taken(FIRST, 44.0));
    let two = |at: [f64; 2], on: (u32, Layer, usize)| {
        move |h: &mut House| at.iter().for_each(|a| taken(on, *a)(h))
    };
    wrong(
        framed,
        two([40.0, 44.0], FIRST),
        "from 24 to 48 in on its run, beside a joint, there are 6",
    );
    right(framed, two([52.0, 56.0], FIRST));
    let three = |h: &mut House| [52.0, 56.0, 60.0].iter().for_each(|at| taken(FIRST, *at)(h));
    wrong(framed, three, "from 48 to 72 in on its run, beside a joint, there are 6");
    right(framed, taken(THIRD, 212.0));
    wrong(framed, two([212.0, 216.0], THIRD), few);
    wrong(framed, two([212.0, 220.0], THIRD), "from 208 to 232 in on its run");
    right(framed, two([196.0, 200.0], SECOND));
    let three = |h: &mut House| [196.0, 200.0, 204.0].iter().for_each(|at| taken(SECOND, *at)(h));
    wrong(framed, three, "from 184 to 208 in on its run, beside a joint, there are 6");
}

#[test]
fn laps_and_notches_have_their_nails() {
    let lap = "on its run with 2 nails; the rule set asks for 3";
    wrong(framed, counted((1, Upper, 0), 0.0, 2), lap);
    wrong(framed, counted((2, Upper, 0), 79.25, 2), lap);
    // From -1-3/4 to 1-3/4 on the partition's run, from 78-1/4 to 80-1/4 on the other one's.
    right(framed, moved((1, Upper, 0), 0.0, 1.75));
    wrong(
        framed,
        moved((1, Upper, 0), 0.0, 1.8125),
        "from -1.75 to 1.75 in on its run with 0 nails",
    );
    right(framed, moved((2, Upper, 0), 79.25, 78.25));
    wrong(framed, moved((2, Upper, 0), 79.25, 78.1875), "from 78.25 to 80.25 in on its run with 0");
    right(framed, moved((2, Upper, 0), 79.25, 80.0));
}

#[test]
fn bottom_plates_are_nailed_down_between_studs() {
    wrong(framed, moved(FLOOR, 110.125, 105.0), "the floor nail at 105 in on its run is in a door");
    // The studs at 108-1/4 and 112 leave 109 to 111-1/4 between them.
    let under = "in on its run is under a stud";
    right(framed, moved(FLOOR, 110.125, 109.0625));
    wrong(framed, moved(FLOOR, 110.125, 109.0), under);
    right(framed, moved(FLOOR, 110.125, 111.1875));
    wrong(framed, moved(FLOOR, 110.125, 111.25), under);
    let loose = "it is not nailed to the floor every 16 in and near its ends";
    wrong(framed, moved(FLOOR, 168.0, 168.0625), loose);
    wrong(framed, taken(FLOOR, 216.0), loose);
    // Within 8 in of either end and of a door, where studs leave room; before the door only 65-7/8 and no more does.
    right(framed, moved(FLOOR, 54.0, 56.0));
    wrong(framed, moved(FLOOR, 54.0, 56.0625), "from 48 to 70 in on its run it is not nailed");
    wrong(framed, moved(FLOOR, 65.875, 60.0), loose);
    wrong(
        framed,
        moved(FLOOR, 110.125, 114.0625),
        "from 106 to 240 in on its run it is not nailed",
    );
    right(framed, moved(FLOOR, 110.125, 114.0));
    wrong(framed, moved(FLOOR, 232.0, 231.9375), loose);
    // On less than 9 in between doors none is asked for.
    let short = |to: f64| {
        let door = move |h: &mut House| {
            h.floor.walls[0].openings[1].kind = wall_model::OpeningKind::Door;
            h.floor.walls[0].openings[1].to = inch(to);
            h.nail_to_floor(0, &[145.875]);
            for at in [152.0, 168.0, 184.0, 200.0, 216.0, 232.0] {
                h.take_nails(0, Bottom, 1, at);
            }
        };
        let part = format!("from {to} to 240 in on its run it is not nailed to the floor");
        said(framed, door).iter().any(|s| s.contains(&part))
    };
    assert!(!short(231.0625) && short(231.0));
    // Where studs leave no room for a nail, none is asked for: with one more at 65-7/8 none stays 3/4 in clear of them all.
    let crowded = |stud: f64| {
        let change = move |h: &mut House| {
            h.move_nails(0, Bottom, 1, 65.875, 60.0);
            h.mark(0, &[(stud, MarkKind::Stud)]);
        };
        said(framed, change)
            .iter()
            .any(|s| s.contains("from 48 to 70 in on its run it is not nailed"))
    };
    assert!(!crowded(65.875) && crowded(61.0));
    // Only bottom plates lie on a floor, and on concrete not even they.
    let into = "nails into a floor it does not lie on";
    let floor_nail = |layer| {
        move |h: &mut House| {
            let piece = h.piece(0, layer, 0);
            let nail =
                NailSpot { at: inch(8.0), count: 1, nail: NAIL.to_owned(), into_floor: true };
            h.plan.pieces[piece].nails.push(nail);
            h.count();
        }
    };
    wrong(framed, floor_nail(Lower), into);
    wrong(framed, floor_nail(Upper), into);
    wrong(on_concrete, floor_nail(Bottom), into);
}

#[test]
fn the_list_of_fasteners_counts_them_all() {
    for what in 0..3 {
        wrong(framed, |h| h.plan.fasteners[what].count += 1, "The list of fasteners has");
        wrong(framed, |h| h.plan.fasteners[what].count -= 1, "The list of fasteners has");
    }
    wrong(
        on_concrete,
        |h| h.plan.fasteners.retain(|f| !f.nail.contains("bolt")),
        "has 0 of \"anchor bolt",
    );
    // Two straps take twice the nails of one.
    let twice = |h: &mut House| {
        let strap = h.plan.ties.iter_mut().find(|t| !t.hardware.is_empty()).unwrap();
        strap.hardware = strap.hardware.replacen('1', "2", 1);
    };
    let said = said(framed, twice);
    assert_eq!(
        said,
        [
            "proof-fasteners: The list of fasteners has 16 of \"10d (1-1/2 x 0.148)\", the plan 32.",
            "proof-fasteners: The list of fasteners has 1 of \"galvanized strap\", the plan 2.",
        ]
    );
}

/// A narrower wall's upper plate goes on 24 in over the wider one's lower plates, at the one's start and the other's end, or the
/// other way round: there are joints where its lower plates end, where it ends itself, and where the other's upper plate does.
#[test]
fn joints_of_walls_in_line_are_nailed_on_either_side() {
    let house = |turned: bool, goes_on: bool| {
        let mut h = if turned { houses::width_change_turned() } else { houses::width_change() };
        let (wide, narrow) = (h.piece(0, Upper, 0), h.piece(1, Upper, 0));
        let [of_wide, of_narrow] = if turned { [0, 1] } else { [1, 0] };
        if !goes_on {
            // Both stop at the node, 1/8 in apart.
            let [at_start, at_end] = if turned { [-24.125, -24.0] } else { [24.0, 24.125] };
            match turned {
                true => (h.stretch(wide, at_start, 0.0), h.stretch(narrow, 0.0, at_end)),
                false => (h.stretch(wide, 0.0, at_end), h.stretch(narrow, at_start, 0.0)),
            };
        }
        for (piece, end) in [(wide, of_wide), (narrow, of_narrow)] {
            let p = &mut h.plan.pieces[piece];
            p.ends[end].against = Against::SameRun;
            let nail = |at| NailSpot { at, count: 2, nail: NAIL.to_owned(), into_floor: false };
            let last = p.length - inch(0.5);
            let feet = (0..).map(|n| Length::inches(n * 12 + 1)).take_while(|at| *at < last);
            p.nails = feet.map(nail).collect();
            p.nails.push(nail(last));
        }
        h.prove_all()
            .findings
            .iter()
            .filter(|f| f.message.contains("beside a joint"))
            .map(|f| format!("{} {}", f.subject, f.message.split("; the rule set").next().unwrap()))
            .collect::<Vec<_>>()
    };
    // The first of each is named, and how many more there are.
    let few = |plate: &str, nails| {
        format!("{plate} in on its run, beside a joint, there are {nails} nails")
    };
    let said = [few("P5 P5: from 51.875 to 75.875", 6), few("P6 P6: from -24 to 0", 4)];
    assert_eq!(house(false, true), said);
    let said = [few("P5 P5: from 24.125 to 48.125", 4), few("P6 P6: from 96 to 120", 4)];
    assert_eq!(house(true, true), said);
    let none: [&str; 0] = [];
    assert_eq!(house(false, false), none);
    assert_eq!(house(true, false), none);
}
