//! Walls that take the same place without meeting in one point: told, and others not.

use super::*;

/// Which walls are said to take the same place.
fn crowds(walls: &[W]) -> Vec<Vec<String>> {
    let said = floor(walls).findings.into_iter().filter(|f| f.code.name() == "walls-crowded");
    said.map(|f| f.source.iter().map(|s| s.entity.clone()).collect()).collect()
}

#[test]
fn walls_in_each_other_without_a_node_are_told() {
    // The oblique wall passes 2-1/2 in under the corner of the other three, and their plates lie in it.
    let corner = [
        w(0., 59.0625, 63.976, 27.5625),
        w(4.921, 44.25, 4.921, 59.0625),
        w(4.921, 59.0625, 4.921, 64.),
        w(4.921, 59.0625, 122., 59.0625),
    ];
    assert_eq!(crowds(&corner), [["0", "3"]]);
    // A foot farther off there is nothing to tell.
    let apart = [w(-20., 59.0625, 43.976, 27.5625), corner[1], corner[2], corner[3]];
    assert_eq!(crowds(&apart), [[""; 0]; 0]);
}

#[test]
fn walls_that_come_together_at_a_flat_angle_are_told() {
    // 2.6 degrees between them: too flat to cross, and beside each other for most of their length.
    let flat = [w(0., 0., 82., 90.), w(45., 45., 90., 90.), w(45., 45., 90., 0.)];
    assert_eq!(crowds(&flat), [["0", "2"], ["0", "1"]]);
    // The same where one of them ends at a place of the other's, 2.1 degrees between them.
    let ends_there = [w(0., 67., 0., -123.), w(0., 0., 222., 0.), w(0., 0., 7.163, 192.867)];
    assert_eq!(crowds(&ends_there), [["2", "0"]]);
    // Side by side, and a hair too near.
    let beside = |off| [w(0., 0., 90., 90.), w(0., off, 90., 90. + off), w(45., 45., 90., 0.)];
    assert_eq!(crowds(&beside(4.94)), [["0", "1"]]);
    assert_eq!(crowds(&beside(4.95)), [[""; 0]; 0]);
}

/// Two walls side by side of which the corners lie in each other by a fiftieth of an inch, in a house that is square.
#[test]
fn corners_in_each_other_by_a_hair() {
    let two = |off: f64| [w(0., 0., 0., 100.), w(off, 99.94, off, 200.)];
    assert_eq!(crowds(&two(3.48)), [["0", "1"]]);
    assert_eq!(crowds(&two(3.5)), [[""; 0]; 0]);
    // A corner carries the first on beside the second.
    let corner = |off| [w(0., 0., 100., 0.), w(100., 0., 100., -40.), w(100., off, 200., off)];
    assert_eq!(crowds(&corner(1.92)), [["0", "2"], ["1", "2"]]);
    assert_eq!(crowds(&corner(3.6)), [[""; 0]; 0]);
}

/// A corner carries a 2x12 on by half of the 2x4 it meets, 1-3/4 in, beside a wall that begins an inch beyond the node and
/// touches neither: by hand, its faces lie 5-5/8 and 1-3/4 in from the centrelines, 7-3/8 in together.
#[test]
fn a_corner_that_reaches_beside_the_next_wall_is_told() {
    let house = |aside: f64, beyond: f64| {
        [
            ((0., 0.), (100., 0.), 11.5, 97.125),
            w(100., 0., 100., -80.),
            w(100. + beyond, aside, 220., aside),
        ]
    };
    assert_eq!(crowds(&house(6.5, 1.)), [["0", "2"]]);
    assert_eq!(crowds(&house(7.5, 1.)), [[""; 0]; 0]);
    assert_eq!(crowds(&house(6.5, 2.)), [[""; 0]; 0]);
}

/// A stem that reaches beyond the end of the wall it meets, or over a change of its width, and walls folded on each
/// other.
#[test]
fn odd_meetings_are_told() {
    let wide = |x0, y0, x1, y1, w| ((x0, y0), (x1, y1), w, 97.125);
    let told = |walls: &[W]| !crowds(walls).is_empty();
    let [through, corner] = [w(366., 488., 549., 671.), w(549., 671., 549., 732.)];
    let near_its_end = wide(529.625, 651.625, 231.667, 439.076, 11.25);
    assert!(told(&[through, corner, near_its_end]));
    // Square, across a change of width, which comes to its centreline, but not out of a wall as short as that; and clear
    // of it.
    let [narrow, wider] = [w(0., 0., 61., 0.), wide(0., 0., -183., 0., 5.5)];
    assert!(!told(&[narrow, wider, wide(2., 0., 2., -61., 5.5)]));
    assert!(told(&[w(0., 0., 5.6, 0.), wider, wide(2., 0., 2., -61., 5.5)]));
    assert!(!told(&[narrow, wider, wide(20., 0., 20., -61., 5.5)]));
    // Flat, and one end in common with 1.6 degrees between them.
    assert!(told(&[through, w(500., 622., 202.042, 409.451)]));
    assert!(told(&[w(0., 183., 0., -122.), w(0., 183., 8.42, -121.88)]));
    // Nearly straight, at a place a third comes to: it tells where the line of one passes that by inches, and where there
    // are four.
    let [flat, third] = [wide(397.5625, 244., 518.522, 228.103, 11.25), w(427., 244., 305., 122.)];
    assert!(told(&[w(427., 244., 366., 244.), flat, third]));
    let bend = [w(0., 0., 100., 0.), w(100., 0., 200., 14.)];
    let [up, down] = [w(100., 0., 100., 90.), w(100., 0., 100., -90.)];
    assert!(!told(&bend));
    assert!(!told(&[bend[0], bend[1], up]));
    assert!(told(&[bend[0], bend[1], up, down]));
    let flat_told = |walls: &[W]| {
        floor(walls).findings.iter().any(|f| f.message.contains(" come together at "))
    };
    // Two that go on at 3.4 degrees but lie 3.1 in aside of each other, tied by a third: too little to be cut on the half
    // angle; an inch aside they are.
    let [one, third] = [w(301.547, 300.703, 394.03, 399.05), w(298.781, 299.156, 196.25, 401.69)];
    assert!(flat_told(&[one, w(298.016, 301.422, 213.411, 200.1), third]));
    assert!(!flat_told(&[one, w(299.512, 300.096, 214.907, 198.774), third]));
    assert!(!flat_told(&[bend[0], bend[1], up]));
    assert!(flat_told(&[bend[0], bend[1], up, down]));
    // Beside a corner of 135 degrees: its outer faces meet before its node is reached.
    let bay =
        [w(300.390625, 299.96875, 56.390625, 299.96875), wide(300., 300., 472.534, 127.466, 5.5)];
    assert!(told(&[bay[0], bay[1], wide(304.75, 295.25, 304.75, 539.25, 5.5)]));
    assert!(!told(&[bay[0], bay[1], wide(310.75, 289.25, 310.75, 539.25, 5.5)]));
    // 30 degrees are no crowd.
    assert!(!told(&[w(0., 0., 300., 0.), w(150., 0., 236.6, 50.)]));
}

/// A wall that ends on a stub inside a flat crossing stays where it is: it was brought four feet aside.
#[test]
fn an_end_is_not_brought_far_beside_its_wall() {
    let walls = [
        w(366., 61., 122.675, 42.864),
        ((205.75, 52.6875), (388.75, 52.6875), 5.5, 97.125),
        w(207.875, 52.6875, 207.875, 418.6875),
    ];
    let f = floor(&walls).value;
    for j in &f.junctions {
        for arm in j.arms.iter().filter(|a| a.at != ArmAt::Through) {
            let r = f.run(arm.run);
            let end = if arm.at == ArmAt::Start { r.start } else { r.end };
            assert!(end.distance(j.at) < Length::inches(8), "{r:?} is far from {j:?}");
        }
    }
}

#[test]
fn three_walls_that_cross_two_by_two_within_inches_are_told() {
    let wide = |x0, y0, x1, y1| ((x0, y0), (x1, y1), 5.5, 97.125);
    let at = |x: f64| {
        [
            wide(244., 244., 549., 549.),
            w(303.8125, 303.8125, 486.8125, 120.8125),
            w(x, 366., x, 61.),
        ]
    };
    assert_eq!(crowds(&at(305.)), [["0", "1", "2"]]);
    assert_eq!(crowds(&at(340.)), [[""; 0]; 0]);
    // One place for all three.
    assert_eq!(crowds(&at(303.8125)), [[""; 0]; 0]);
}

#[test]
fn corners_tees_and_crosses_of_any_angle_are_no_crowd() {
    let star = |turn: f64| {
        let to = |degrees: f64| {
            let (sin, cos) = (degrees + turn).to_radians().sin_cos();
            w(0., 0., 200. * cos, 200. * sin)
        };
        [to(0.), to(41.), to(133.), to(180.), to(221.)]
    };
    for turn in [0., 7., 90., 111.] {
        assert_eq!(crowds(&star(turn)), [[""; 0]; 0], "{turn}");
    }
    assert_eq!(crowds(&rectangle()), [[""; 0]; 0]);
}

/// A round wall drawn as many short straight ones: plates are cut on the half angle, and no part is left out.
#[test]
fn short_parts_of_a_round_wall_are_not_within_their_neighbours() {
    for (parts, radius) in [(24, 60.), (36, 60.), (48, 120.), (72, 40.)] {
        let at = |k: i32| {
            let (sin, cos) = (f64::from(k) / f64::from(parts) * std::f64::consts::TAU).sin_cos();
            (radius * cos, radius * sin)
        };
        let round: Vec<W> = (0..parts / 2).map(|k| (at(k), at(k + 1), 3.5, 97.125)).collect();
        let out = floor(&round);
        assert_eq!(out.value.walls.len(), round.len(), "{parts} {radius}");
        let bends = out.value.junctions.iter().filter(|j| j.kind == L && j.arms.len() == 2);
        assert_eq!(bends.count() + 1, round.len(), "{parts} {radius}");
    }
}

/// A wall drawn to end so near a bend of two others that it reaches beyond it ends there. By hand, at right angles and of 2x4
/// that is within 1-3/4 in; one nearly along them stays where it is.
#[test]
fn a_wall_that_ends_beside_a_bend_ends_at_it() {
    for degrees in [1.0_f64, 5.] {
        let rise = 120.0 * degrees.to_radians().tan();
        let bent = |third: W| {
            let walls = [w(0., 0., 120., 0.), w(120., 0., 240., rise), third];
            kinds(&floor(&walls).value)
        };
        for (beside, kinds) in [
            (-1.5, vec![End, End, End, Other]),
            (0.75, vec![End, End, End, Other]),
            (1.5, vec![End, End, End, Other]),
            (-2., vec![L, T, End, End, End]),
            (2., vec![L, T, End, End, End]),
        ] {
            let end = 120.0 + beside;
            assert_eq!(bent(w(end, 0., end, 100.)), kinds, "{degrees} {beside}");
        }
        let (sine, cosine) = 10.0_f64.to_radians().sin_cos();
        let along = w(118.5, 0., 118.5 - 100. * cosine, 100. * sine);
        assert_eq!(bent(along), [L, T, End, End, End], "{degrees}");
        // On a third that ends at the bend, clear of its walls: a stem at 45 degrees, of which the lower edge leaves the third's
        // face 3-3/4 in up.
        let third = [w(120., 0., 120., 90.), w(120., 4.5, 190., 74.5)];
        let bend = [w(0., 0., 120., 0.), w(120., 0., 240., rise)];
        let found = kinds(&floor(&[bend, third].concat()).value);
        assert_eq!(found, [T, End, End, End, End, Other], "{degrees}");
    }
}

/// A wall that crosses one of two within an inch of where they bend by a degree lies in the other as well; what goes on straight
/// is one with the wall that is crossed.
#[test]
fn a_wall_that_crosses_beside_a_bend_is_told() {
    let house = |bend: f64| {
        let (s, c) = (45.0 + bend).to_radians().sin_cos();
        [
            ((0., 0.), (-120., -120.), 5.5, 97.125),
            ((0., 0.), (170. * c, 170. * s), 5.5, 97.125),
            ((0.4, -70.), (0.4, 213.), 5.5, 97.125),
        ]
    };
    assert_eq!(crowds(&house(1.0)), [["0", "2"]]);
    assert_eq!(crowds(&house(0.0)), [[""; 0]; 0]);
}

/// At a corner of 32 degrees the face on the inner side ends well inside: a wall that meets it there reaches beyond it.
#[test]
fn a_wall_in_a_sharp_corner_reaches_beyond_it() {
    let (s, c) = 31.7_f64.to_radians().sin_cos();
    let house = |at: f64| {
        [
            ((0., 0.), (103., 0.), 11.5, 97.125),
            ((0., 0.), (213. * c, 213. * s), 3.5, 97.125),
            ((at, 0.), (at - 4., 85.), 3.5, 97.125),
        ]
    };
    assert!(crowds(&house(2.15)).contains(&vec!["2".to_owned(), "0".to_owned()]));
}

/// The wall that ends at a change of width in line may go on to the far face of one of the two, and another that ends at the
/// narrower one inches away lies in it by a corner.
#[test]
fn a_wall_beside_a_tee_of_two_widths_is_told() {
    let house = |off: f64| {
        [
            ((0., 0.), (114., 0.), 3.5, 97.125),
            ((114., 0.), (114., -180.), 5.5, 97.125),
            ((114., 0.), (210., 0.), 5.5, 97.125),
            ((114. - off, 0.), (34. - off, -80.), 5.5, 97.125),
        ]
    };
    assert_eq!(crowds(&house(4.4)), [["3", "1"]]);
    assert_eq!(crowds(&house(6.)), [[""; 0]; 0]);
}

/// A stem of 2x4 whose line meets a 2x6 1.9 in before that goes on as a 2x4, by two degrees off straight, ends 0.15 in short of
/// the place, and a third wall that ends there does not change that, whether it leans over the stem or away from it.
#[test]
fn a_wall_that_ends_short_of_a_bend_does_not_reach_beyond_it() {
    let line = [((-200., 0.), (0., 0.), 5.5, 97.125), w(0., 0., 100., 3.5)];
    let beyond = |at: f64, third: Option<W>| {
        let walls = [line[0], line[1], w(at, 0., at, 80.)].into_iter().chain(third);
        crowds(&walls.collect::<Vec<_>>()).contains(&vec!["2".to_owned(), "0".to_owned()])
    };
    let to = |x: f64, y: f64| Some(w(0., 0., x, y));
    for third in [None, to(-70., 70.), to(70., 70.), to(-70., -70.), to(0., -90.)] {
        assert!(!beyond(-1.9, third), "{third:?}");
    }
}
