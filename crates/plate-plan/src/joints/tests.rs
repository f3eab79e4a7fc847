//! Against the dumb twin: every set of joints there is.

use super::*;
use crate::split::Stocked;
use crate::together::Patience;
use proptest::prelude::*;

const fn inch(x: i64) -> Length {
    Length::inches(x)
}
type Ranges = Vec<(Length, Length)>;

/// A run of one space a layer with short boards, so that all its cuttings can be counted out.
#[derive(Clone, Debug)]
struct Run {
    lower: (i64, i64),
    upper: (i64, i64),
    boards: Vec<i64>,
    offset: i64,
    short: i64,
    gap: i64,
    grid: i64,
    spacing: i64,
    fixed: [Ranges; 2],
    closed: Ranges,
    openings: Ranges,
}

fn ranges(v: Vec<(i64, i64)>) -> Ranges {
    crate::studs::merged(v.into_iter().map(|(a, l)| (inch(a), inch(a + l))).collect())
}

fn any_run() -> impl Strategy<Value = Run> {
    let some = |n: usize, l: i64| prop::collection::vec((0..90_i64, 0..=l), 0..n).prop_map(ranges);
    let boards = prop::sample::select(vec![vec![30, 40, 60], vec![24, 48], vec![40, 50]]);
    let ends = (0..4_i64, 62..92_i64, -5..6_i64, -5..6_i64);
    let numbers = (5..20_i64, 8..20_i64, 0..2_i64, 1..3_i64, 7..17_i64);
    (ends, boards, numbers, some(3, 8), some(3, 8), some(3, 12), some(3, 30)).prop_map(
        |(e, boards, n, low, up, closed, openings)| Run {
            lower: (e.0, e.1),
            upper: (e.0 + e.2, e.1 + e.3),
            boards,
            offset: n.0,
            short: n.1,
            gap: n.2,
            grid: n.3,
            spacing: n.4,
            fixed: [low, up],
            closed,
            openings,
        },
    )
}

/// A search that never gives up.
const ENDLESS: Patience = Patience { looked_at: usize::MAX, kept: usize::MAX };

/// The least cost there is over these places.
fn endlessly(tracks: &[Track; 2], terms: &[Terms; 2]) -> Option<Cost> {
    together::cheapest_within(ENDLESS, tracks, terms, None).unwrap().map(|c| c.1)
}

fn with<T>(r: &Run, then: impl FnOnce(&[Vec<Space>; 2], &[Terms; 2]) -> T) -> T {
    let studs: Vec<Length> = (0..40).map(|k| inch(k * r.spacing)).collect();
    let boards: Vec<Stocked> =
        r.boards.iter().map(|b| Stocked { usable: inch(*b), price: *b as u64 }).collect();
    let terms = [0, 1].map(|l| Terms {
        short: inch(r.short),
        gap: inch(r.gap * l as i64),
        offset: inch(r.offset),
        others: &r.fixed[1 - l],
        laps: &r.fixed[1 - l],
        closed: &r.closed,
        openings: if l == 0 { &r.openings } else { &[] },
        scraps: if l == 0 { &r.fixed[1] } else { &[] },
        studs: &studs,
        stud_half: Length::sixteenths(12),
        boards: &boards,
        zero: inch(r.lower.0),
        grid: inch(r.grid),
        rounded_down: false,
    });
    let space = |(from, to): (i64, i64)| {
        let (from, to) = (inch(from), inch(to));
        vec![Space { from, to, joints_from: from, joints_to: to }]
    };
    then(&[space(r.lower), space(r.upper)], &terms)
}

/// Every cutting of a space at these places, cheapest first.
fn cuttings(s: Space, places: &[Length], t: &Terms, most: usize) -> Vec<(Cost, Vec<Length>)> {
    fn go(
        s: Space,
        from: Length,
        places: &[Length],
        t: &Terms,
        most: usize,
        made: (Cost, Vec<Length>),
        out: &mut Vec<(Cost, Vec<Length>)>,
    ) {
        let (cost, joints) = made;
        let rest = s.to - from;
        if rest <= t.longest_in(s) && rest >= crate::split::LEAST_PIECE {
            out.push((cost.plus(t.piece_cost(rest)), joints.clone()));
        }
        if joints.len() == most {
            return;
        }
        for (i, at) in places.iter().enumerate() {
            let length = *at - from;
            if length > t.longest_in(s) {
                break;
            }
            if length >= crate::split::LEAST_PIECE {
                let cost = cost.plus(t.piece_cost(length)).plus(t.joint_cost(*at));
                let joints = joints.iter().copied().chain([*at]).collect();
                go(s, *at + t.gap, &places[i + 1..], t, most, (cost, joints), out);
            }
        }
    }
    let mut out = Vec::new();
    if t.is_cut(s) {
        go(s, s.from, places, t, most, (Cost::default(), Vec::new()), &mut out);
    } else {
        out.push((t.piece_cost(s.to - s.from), Vec::new()));
    }
    out.sort();
    out
}

/// The cheapest pair of cuttings, by trying all that could be.
fn by_hand(
    spaces: &[Vec<Space>; 2],
    terms: &[Terms; 2],
    places: [&[Length]; 2],
    most: usize,
) -> Option<Cost> {
    let all = [0, 1].map(|l| cuttings(spaces[l][0], places[l], &terms[l], most));
    let mut best: Option<Cost> = None;
    for (below, lower) in &all[0] {
        for (above, upper) in &all[1] {
            let mut cost = below.plus(*above);
            if best.is_some_and(|b| cost >= b) {
                break;
            }
            for l in lower {
                for u in upper {
                    let apart = near((*l, *l), (*u, *u + terms[1].gap), terms[0].offset);
                    cost.breaches += u32::from(apart);
                }
            }
            best = best.into_iter().chain([cost]).min();
        }
    }
    best
}

/// By hand, 24 ft from 8 to 16 ft boards, studs at 16 in. Below: a whole 16 and a whole 8, joint on
/// a stud. Above, 1/8 in open at the joint: the other way round, 96 in apart, so that of the four
/// pieces only one (16 ft less 1/8 in) needs a cut.
#[test]
fn two_layers_of_a_24_ft_wall() {
    let studs: Vec<Length> = (1..18).map(|k| inch(16 * k)).collect();
    let boards: Vec<Stocked> =
        (4..=8).map(|k| Stocked { usable: Length::feet(2 * k), price: 2 * k as u64 }).collect();
    let terms = [Length::ZERO, Length::sixteenths(2)].map(|gap| Terms {
        short: inch(24),
        gap,
        offset: inch(24),
        ..Terms::plain(&studs, Length::sixteenths(12), &boards, Length::SIXTEENTH)
    });
    let (from, to) = (Length::ZERO, inch(288));
    let space = Space { from, to, joints_from: from, joints_to: to };
    let c = choose(&[vec![space], vec![space]], &terms);
    assert_eq!(c.cost, Cost { pieces: 4, boards: 48, cut: 1, ..Cost::default() });
    let [lower, upper] = [c.joints[0][0], c.joints[1][0]];
    assert!([96, 192].map(inch).contains(&lower) && (lower - upper).abs() >= inch(24));
}

/// Whole boards and joints off studs, the last fields, are not proved: two joints of one layer a board
/// apart may both be over a stud's edge, neither over its middle.
fn but_last(c: Cost) -> Cost {
    Cost { cut: 0, off_stud: 0, ..c }
}

fn best_on_the_tape(spaces: &[Vec<Space>; 2], terms: &[Terms; 2]) -> Option<Cost> {
    let tape = [0, 1].map(|l| whole_tape(spaces[l][0], &terms[l]));
    by_hand(spaces, terms, [&tape[0], &tape[1]], 2).map(but_last)
}

/// A wall of 106 ft from boards of 16 ft, too long for a search. The upper plate's joints, an eighth wide, have but seven places,
/// the first at 100 in. The lower plate, cut first, has its own first at 124, so that all boards but the first are whole: by
/// hand an eighth too near. Cut second, it has its short board somewhere else.
#[test]
fn the_lower_layer_of_a_long_wall_keeps_clear_of_the_gaps_of_the_upper_one() {
    let eighth = Length::sixteenths(2);
    let length = inch(124 + 6 * 192);
    let studs: Vec<Length> = (1..length.nm() / inch(4).nm()).map(|k| inch(4 * k)).collect();
    let boards = [Stocked { usable: inch(192), price: 16 }];
    let upper = [100, 260, 420, 580, 760, 940, 1120].map(inch);
    let ends = upper.into_iter().chain([length]);
    let starts = [Length::ZERO].into_iter().chain(upper.map(|at| at + eighth));
    let elsewhere: Ranges = starts.zip(ends).collect();
    let terms = [(Length::ZERO, &[][..]), (eighth, &elsewhere)].map(|(gap, closed)| Terms {
        short: inch(24),
        gap,
        offset: inch(24),
        closed,
        ..Terms::plain(&studs, Length::sixteenths(12), &boards, Length::SIXTEENTH)
    });
    let (from, to) = (Length::ZERO, length);
    let space = || vec![Space { from, to, joints_from: from, joints_to: to }];
    let spaces = [space(), space()];
    let alone = Track::new(&spaces[0], &[places::few(spaces[0][0], &terms[0])], &terms[0]);
    assert!(alone.places.len() > SEARCHED);
    assert_eq!(alone.way_alone(&terms[0])[0], inch(124));
    let found = choose(&spaces, &terms);
    assert_eq!(found.joints[1], upper);
    assert!(found.cost.is_sound(), "{:?}", found.cost);
    for lower in &found.joints[0] {
        let clear = |u: &Length| *lower <= *u - inch(24) || *lower >= *u + eighth + inch(24);
        assert!(upper.iter().all(clear), "{lower:?}");
    }
}

/// A joint over a door cannot be helped, and the cheapest boards are found only after looking at
/// nearly every pair of places.
fn run_that_takes_patience() -> Run {
    Run {
        lower: (1, 89),
        upper: (2, 89),
        boards: vec![40, 50],
        offset: 19,
        short: 8,
        gap: 1,
        grid: 1,
        spacing: 7,
        fixed: [vec![(inch(72), inch(72))], vec![]],
        closed: vec![(inch(56), inch(62))],
        openings: vec![(inch(7), inch(34))],
    }
}

#[test]
fn a_run_that_takes_patience() {
    with(&run_that_takes_patience(), |spaces, terms| {
        let found = choose(spaces, terms).cost;
        assert_eq!(Some(but_last(found)), best_on_the_tape(spaces, terms));
    });
}

/// As where other walls leave nothing of one layer of a raked wall.
#[test]
fn a_layer_without_places_leaves_the_other_to_itself() {
    with(&plain_run(), |spaces, terms| {
        for empty in 0..2 {
            let mut spaces = spaces.clone();
            spaces[empty].clear();
            let tracks = tracks(&spaces, terms, &places::many(&spaces, terms));
            let (joints, cost) = together::cheapest(&tracks, terms, None).unwrap();
            assert_eq!(joints[empty], []);
            assert!(!joints[1 - empty].is_empty());
            assert_eq!(cost, tracks[1 - empty].alone());
        }
    });
}

/// The upper layer begins 40 in after the lower one, of which the best joint, over the stud at 39 in, comes before that: with no
/// joints near each other both layers together cost what each does alone.
#[test]
fn a_joint_may_come_before_the_other_layer_begins() {
    let r = Run { upper: (40, 118), ..plain_run() };
    with(&r, |spaces, terms| {
        let tracks = tracks(spaces, terms, &places::many(spaces, terms));
        assert_eq!(tracks[0].way_alone(&terms[0]), [inch(39)]);
        let (joints, cost) = together::cheapest(&tracks, terms, None).unwrap();
        assert_eq!(joints[0], [inch(39)]);
        assert_eq!(cost, tracks[0].alone().plus(tracks[1].alone()));
    });
}

/// A place reached again for no less is not kept again: else this run would need 144,624 ways kept instead of 21,114.
#[test]
fn ways_that_are_no_better_are_not_kept() {
    with(&run_that_takes_patience(), |spaces, terms| {
        let tracks = tracks(spaces, terms, &places::many(spaces, terms));
        let patience = Patience { kept: 40_000, ..ENDLESS };
        let found = together::cheapest_within(patience, &tracks, terms, None).unwrap();
        let cost = endlessly(&tracks, terms);
        assert!(cost.is_some());
        assert_eq!(found.map(|c| c.1), cost);
        let patience = Patience { kept: 400, ..ENDLESS };
        assert!(together::cheapest_within(patience, &tracks, terms, None).is_err());
    });
}

/// 78 in from boards of 24 and 48 in, with nothing in the way.
fn plain_run() -> Run {
    Run {
        lower: (0, 78),
        upper: (0, 78),
        boards: vec![24, 48],
        offset: 12,
        short: 9,
        gap: 0,
        grid: 1,
        spacing: 13,
        fixed: [vec![], vec![]],
        closed: vec![],
        openings: vec![],
    }
}

/// The joint that keeps off a door is a board and a joint offset from something fixed: a short piece more is
/// cheaper than a joint over the door.
#[test]
fn a_run_cut_at_steps_from_fixed_places() {
    let r = Run {
        gap: 1,
        grid: 2,
        fixed: [vec![(inch(31), inch(33))], vec![(inch(38), inch(38))]],
        closed: vec![(inch(36), inch(47))],
        openings: vec![(inch(56), inch(73))],
        ..plain_run()
    };
    with(&r, |spaces, terms| {
        let found = choose(spaces, terms).cost;
        assert_eq!(found.over_opening, 0);
        assert_eq!(Some(but_last(found)), best_on_the_tape(spaces, terms));
    });
}

/// By hand, with a tape of whole inches: from mark to mark a board gives 48 in; where either end of the space lies off it,
/// what is printed is rounded at that end, and a mark is kept.
#[test]
fn a_space_off_the_tape_keeps_a_mark_of_its_board() {
    with(&plain_run(), |_, terms| {
        for (from, to, longest) in [(0, 0, 48), (1, 0, 47), (0, 1, 47), (1, 1, 47)] {
            let (from, to) = (Length::sixteenths(from), inch(78) + Length::sixteenths(to));
            let space = Space { from, to, joints_from: from, joints_to: to };
            assert_eq!(terms[0].longest_in(space), inch(longest), "{from:?} {to:?}");
        }
    });
}

/// By hand: 100 in without a place for a joint are one piece that no board gives, priced as the longest.
#[test]
fn a_space_that_cannot_be_cut_is_a_piece_too_long() {
    with(&plain_run(), |_, terms| {
        let (from, to) = (Length::ZERO, inch(100));
        let space = Space { from, to, joints_from: from, joints_to: to };
        let track = Track::new(&[space], &[vec![]], &terms[0]);
        let hand = Cost { too_long: 1, boards: 48, pieces: 1, cut: 1, ..Cost::default() };
        assert_eq!(track.alone(), hand);
        assert!(track.way_alone(&terms[0]).is_empty());
    });
}

/// A piece of the upper layer that fills its space is as long as it is wherever that begins, and only rounded down: off the tape
/// it may be a whole board. By hand, of 48 in; an inch more has to be cut.
#[test]
fn a_piece_that_is_rounded_down_may_be_a_whole_board() {
    with(&plain_run(), |_, terms| {
        let t = Terms { rounded_down: true, ..terms[1] };
        for start in [-17, 1, 1601] {
            let from = Length::sixteenths(start);
            for (length, longest) in [(48, 48), (49, 47)] {
                let to = from + inch(length);
                let space = Space { from, to, joints_from: from, joints_to: to };
                assert_eq!(t.longest_in(space), inch(longest), "{start} {length}");
            }
        }
    });
}

/// A space whose ends are cut at a slant, longer than its boards and without a stud: no joint lies in the slanted ends, nor
/// nearer to them than the least piece of 6 in.
#[test]
fn places_keep_off_slanted_ends() {
    with(&Run { spacing: 1000, ..plain_run() }, |_, terms| {
        let mut places = 0;
        for to in 120..200 {
            let (from, to) = (Length::ZERO, inch(to));
            let space = Space { from, to, joints_from: inch(9), joints_to: to - inch(50) };
            for at in places::few(space, &terms[0]) {
                assert!(at >= inch(15) && at <= to - inch(56), "{at:?} of {to:?}");
                places += 1;
            }
        }
        assert!(places > 0);
    });
}

fn whole_tape(s: Space, t: &Terms) -> Vec<Length> {
    let all = (-300..300).map(|k| t.zero + t.grid * k);
    all.filter(|at| *at > s.from && *at < s.to).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]
    /// The way on from each place is the cheapest of the pieces that may begin there.
    #[test]
    fn the_way_on_is_the_cheapest(r in any_run()) {
        with(&r, |spaces, terms| {
            let all = places::many(spaces, terms);
            for (track, t) in tracks(spaces, terms, &all).iter().zip(terms) {
                for (at, p) in track.places.iter().enumerate().take(track.end()) {
                    let beyond = |to: usize| track.places[to].cost.plus(track.places[to].onward);
                    let best = track.pieces_from(at, t).map(|(to, piece)| piece.plus(beyond(to))).min();
                    match best {
                        Some(best) if best.too_long < 1 << 20 => prop_assert_eq!(p.onward, best),
                        _ => prop_assert!(p.onward.too_long >= 1 << 20),
                    }
                }
            }
            Ok(())
        })?;
    }
    /// The search finds the best of the places it is given.
    #[test]
    fn nothing_over_the_same_places_is_cheaper(r in any_run()) {
        with(&r, |spaces, terms| {
            let few = [0, 1].map(|l| vec![places::few(spaces[l][0], &terms[l])]);
            let tracks = tracks(spaces, terms, &few);
            let found = endlessly(&tracks, terms);
            let best = by_hand(spaces, terms, [&few[0][0], &few[1][0]], 4);
            // Where no cutting exists the space is left whole, a piece too long.
            let found = found.filter(|c| c.too_long == 0);
            prop_assert_eq!(found, best);
            Ok(())
        })?;
    }
    /// By what both layers cost together the search finds what it finds by each one's own cost, looking no farther.
    #[test]
    fn both_ways_of_searching_find_the_same(r in any_run(), offset in 8..70_i64) {
        with(&Run { offset, ..r }, |spaces, terms| {
            let tracks = tracks(spaces, terms, &places::many(spaces, terms));
            let found = together::cheapest_by_both(ENDLESS, &tracks, terms, None).unwrap();
            prop_assert_eq!(found.map(|c| c.1), endlessly(&tracks, terms));
            Ok(())
        })?;
    }
    /// However long the offset, no joint lies in a lap or at a notch if there is a cutting without one.
    #[test]
    fn no_offset_puts_a_joint_in_a_lap(r in any_run(), offset in 20..70_i64) {
        with(&Run { offset, ..r }, |spaces, terms| {
            let tape = [0, 1].map(|l| whole_tape(spaces[l][0], &terms[l]));
            let found = choose(spaces, terms).cost;
            if let Some(best) = by_hand(spaces, terms, [&tape[0], &tape[1]], 2) {
                prop_assert!((found.too_long, found.broken) <= (best.too_long, best.broken), "{found:?}\n{best:?}");
            }
            Ok(())
        })?;
    }
    /// The places are enough: no place on the tape does better.
    #[test]
    fn nothing_on_the_whole_tape_is_cheaper(r in any_run()) {
        with(&r, |spaces, terms| {
            let found = but_last(choose(spaces, terms).cost);
            let best = best_on_the_tape(spaces, terms);
            if best.is_some_and(|best| best < found) {
                // Only as the search gave up: with patience without end it is there.
                let tracks = tracks(spaces, terms, &places::many(spaces, terms));
                let found = endlessly(&tracks, terms).map(but_last);
                prop_assert!(found <= best, "found {found:?}\n best {best:?}");
            }
            Ok(())
        })?;
    }
}
