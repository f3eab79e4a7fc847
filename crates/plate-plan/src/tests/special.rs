//! Houses of special places, each proved over a range of sizes: bays, very short walls, walls that touch,
//! crowded tees, steps of height.

use super::*;

fn each(lengths: impl IntoIterator<Item = f64>, house: impl Fn(f64) -> Vec<W>) {
    let mut laps = Settings::default();
    laps.plates.exterior_tee = settings::ExteriorTee::Lap;
    for x in lengths {
        for s in [&Settings::default(), &laps] {
            let walls = house(x);
            let (f, out) = proved(&walls, s);
            // Every wall is planned, and what is planned is tied.
            let drawn: std::collections::BTreeSet<_> = f.walls.iter().map(|w| w.wall).collect();
            assert_eq!(drawn.len(), walls.len(), "{walls:#?}");
            let nothing = out.value.ties.iter().any(|t| t.kind == TieKind::None);
            assert!(!nothing, "{:#?}", out.value.ties);
        }
    }
}

/// A bay of three walls at 45 degrees in the middle of a long wall, from 2 to 10 ft wide.
#[test]
fn a_bay_window() {
    each([24.0, 36.0, 57.25, 96.0], |wide| {
        let (a, b, out) = (120.0, 168.0 + wide, -24.0);
        vec![
            w(0., 0., a, 0., "2x6"),
            w(a, 0., a + 24.0, out, "2x6"),
            w(a + 24.0, out, b - 24.0, out, "2x6"),
            w(b - 24.0, out, b, 0., "2x6"),
            w(b, 0., 400., 0., "2x6"),
            w(400., 0., 400., 200., "2x6"),
            w(0., 200., 400., 200., "2x6"),
            w(0., 0., 0., 200., "2x6"),
        ]
    });
}

/// A bay of eight equal sides, as at the end of a turret: a ring in which every corner is 135 degrees.
#[test]
fn a_turret_of_eight_sides() {
    each([60.0, 83.5, 120.0, 200.0], |side| {
        let radius = side / 2.0 / (std::f64::consts::PI / 8.0).sin();
        let at = |k: usize| {
            let turn = std::f64::consts::PI * (0.125 + k as f64 / 4.0);
            (300.0 + radius * turn.cos(), 300.0 + radius * turn.sin())
        };
        (0..8).map(|k| W { a: at(k), b: at(k + 1), ..w(0., 0., 0., 0., "2x4") }).collect()
    });
}

/// A square bay one to four feet deep, and a jog of a few inches.
#[test]
fn square_bays_and_jogs() {
    each([6.0, 9.0, 12.0, 24.0, 48.0], |deep| {
        vec![
            w(0., 0., 100., 0., "2x4"),
            w(100., 0., 100., -deep, "2x4"),
            w(100., -deep, 200., -deep, "2x4"),
            w(200., -deep, 200., 0., "2x4"),
            w(200., 0., 300., 0., "2x4"),
            w(300., 0., 300., 150., "2x4"),
            w(0., 150., 300., 150., "2x4"),
            w(0., 0., 0., 150., "2x4"),
        ]
    });
}

/// Stubs beside an opening, at a free end and in a corner: from one that just has plates of its own.
#[test]
fn very_short_walls() {
    each([4.0, 5.25, 6.0, 8.0, 11.9, 18.0], |long| {
        let mut house = rectangle("2x4");
        house.push(w(100., 0., 100., long, "2x4"));
        house.push(w(200., 192., 200., 192. - long, "2x4"));
        house.push(w(0., 96., 90., 96., "2x4"));
        house.push(w(90., 96., 90., 96. + long, "2x4"));
        house
    });
}

/// Two walls back to back, their faces touching, between the same two walls; and one that ends.
#[test]
fn parallel_walls_that_touch() {
    each([3.5, 4.0, 5.0, 12.0], |apart| {
        let mut house = rectangle("2x4");
        house.push(w(140., 0., 140., 192., "2x4"));
        house.push(w(140. + apart, 0., 140. + apart, 192., "2x4"));
        house.push(w(0., 96., 140., 96., "2x4"));
        house.push(w(140. + apart, 60., 288., 60., "2x4"));
        house
    });
    // Of two widths, touching too.
    each([4.5], |apart| {
        let mut house = rectangle("2x6");
        house.push(w(140., 0., 140., 192., "2x6"));
        house.push(w(140. + apart, 0., 140. + apart, 192., "2x4"));
        house
    });
}

/// Three tees within two feet, on one side and on both; a tee opposite another at a slightly different
/// station; a tee close to a corner.
#[test]
fn crowded_tees() {
    each([5.0, 7.0, 8.5, 10.0, 12.0, 23.0], |apart| {
        let mut house = rectangle("2x6");
        for k in 0..3 {
            let x = 120.0 + apart * f64::from(k);
            house.push(w(x, 0., x, 90. + 10.0 * f64::from(k), "2x4"));
        }
        house.push(w(288. - apart - 3.0, 192., 288. - apart - 3.0, 120., "2x4"));
        house
    });
    each([0.5, 1.0, 2.0, 3.0, 4.5, 6.0, 9.0], |off| {
        let mut house = rectangle("2x6");
        house.push(w(0., 96., 288., 96., "2x6"));
        house.push(w(140., 0., 140., 96., "2x4"));
        house.push(w(140. + off, 96., 140. + off, 192., "2x4"));
        house
    });
}

/// Every way two heights meet: in line, at corners, tees and crosses.
#[test]
fn steps_of_height() {
    for (i, j) in (0..5).flat_map(|i| (0..5).map(move |j| (i, j))) {
        let mut house = rectangle("2x4");
        house.push(w(120., 0., 120., 192., "2x4"));
        house.push(w(0., 80., 288., 80., "2x4"));
        house[i].top = 121.125;
        house[j].top = 109.125;
        proved(&house, &Settings::default());
    }
    each([48.0, 100.0, 191.0], |x| {
        vec![w(0., 0., x, 0., "2x4"), tall(w(x, 0., 288., 0., "2x4")), w(x, 0., x, 90., "2x4")]
    });
}

/// 38 mm is 1-1/2 in dry: sections named in millimetres and in inches meet in one house, and lap.
#[test]
fn plates_in_millimetres_lie_on_plates_in_inches() {
    for (inch, metric) in [("2x4", "38x89"), ("2x4", "38x64"), ("2x6", "38x140")] {
        let ell = vec![w(0., 0., 100., 0., inch), w(0., 0., 0., 120., metric)];
        let tee = vec![w(0., 0., 200., 0., metric), w(90., 0., 90., 120., inch)];
        let cross = vec![w(0., 60., 200., 60., metric), w(90., 0., 90., 120., inch)];
        let in_line = vec![w(0., 0., 90., 0., metric), w(90., 0., 300., 0., "2x8")];
        for walls in [ell, tee, cross, in_line] {
            let (_, out) = proved(&walls, &Settings::default());
            assert!(out.value.ties.iter().any(|t| t.kind != TieKind::None), "{walls:?}");
        }
    }
}

/// Plates of a stub are less than the least that a notch needs; they lie on each other all the same.
#[test]
fn a_stub_hangs_together_with_itself() {
    let mut s = Settings::default();
    s.plates.notch_depth = Length::sixteenths(46);
    proved(&[w(0., 0., 1., 0., "2x3")], &s);
    proved(&[w(0., 0., 1., 0., "2x3"), w(50., 50., 200., 50., "2x4")], &s);
    // A quarter of an inch beyond a corner.
    proved(&[w(0., 0., 61., 0., "2x4"), w(61., 0., 61., 2., "2x4")], &Settings::default());
}

/// Three walls of different widths in one line: a narrow upper plate runs on over a wider one where that is as high, all
/// of it lies on the wider one and there is room.
#[test]
fn three_widths_in_one_line() {
    let walls = |top: f64, y: f64| {
        let mut low = w(0., 0., 305., 0., "2x4");
        low.top = top;
        vec![low, w(305., y, 366., y, "38x64"), w(366., 0., 732., 0., "2x6")]
    };
    for top in [97.125, 85.125, 121.125] {
        for y in [0., 0.8125, -0.5] {
            proved(&walls(top, y), &Settings::default());
        }
    }
    // A wide one between two narrow ones.
    let mut s = Settings::default();
    s.plates.short_piece = Length::ZERO;
    for long in (20..120).step_by(5).map(f64::from) {
        let (a, b) = (200., 200. + long);
        let between = [w(0., 0., a, 0., "2x4"), w(a, 0., b, 0., "2x6"), w(b, 0., 500., 0., "2x4")];
        proved(&between, &s);
        proved(&between, &Settings::default());
    }
}

/// A joint offset longer than the boards: no wall keeps it, but no joint lies in a lap for it.
#[test]
fn joints_are_in_no_lap_though_boards_are_short() {
    let mut s = Settings::default();
    s.plates.joint_offset = Some(Length::sixteenths(69 * 16 + 4));
    for section in ["2x4", "2x10"] {
        s.stock.lengths_ft.insert(section.into(), vec![4]);
    }
    for x in (50..70).map(f64::from) {
        proved(&[w(0., 0., 305., 305., "2x4"), w(x, 0., x, 122., "2x10")], &s);
        proved(&[w(0., x, 305., x, "2x4"), w(61., 0., 61., 122., "2x10")], &s);
    }
}

/// A bottom plate that stops at a door just beside an oblique wall: what is left between them is a wedge
/// without an edge, no plate.
#[test]
fn a_wedge_beside_a_door_is_no_plate() {
    let mut s = Settings::default();
    s.plates.bottom_stops_at_doors = true;
    for from in [28.0, 29.0, 30.0, 31.0, 33.0] {
        let mut through = w(0., 0., 120., 0., "2x4");
        through.openings = vec![(from, from + 32.0)];
        // Crosses at 26.7 in, at 45 degrees.
        proved(&[through.clone(), w(0.7, -26., 66.7, 40., "2x4")], &s);
        proved(&[through, w(52.7, -26., -13.3, 40., "2x4")], &s);
    }
}

/// A door that begins at the very place where its wall meets another: it is no door in that other wall.
#[test]
fn a_door_beside_the_wall_it_meets() {
    let mut s = Settings::default();
    s.plates.bottom_stops_at_doors = true;
    for (x, y) in [(300., 0.), (200., 120.), (90., 120.), (-100., 120.)] {
        let mut stem = w(90., 0., x, y, "2x4");
        stem.openings = vec![(0.5, 33.)];
        proved(&[w(0., 0., 90., 0., "2x4"), stem.clone()], &s);
        proved(&[w(0., 0., 300., 0., "2x4"), W { b: (90., 150.), ..stem }], &s);
    }
}

/// Walls of some miles, as only a wrong unit makes them: what meets them far from their start is cut like any other.
#[test]
fn a_wall_that_meets_another_miles_from_its_start() {
    let miles = 167_250.0;
    let tee = vec![w(0., 36_750., miles, 36_750., "2x4"), w(miles, 36_700., miles, 36_800., "2x4")];
    let cross = vec![w(0., 0., miles, 0., "2x4"), w(miles - 60., -60., miles - 60., 60., "2x6")];
    for walls in [tee, cross] {
        proved(&walls, &Settings::default());
    }
}

/// Joints of the lower layer keep clear of doors and windows wherever these are, though boards of 8 ft would be
/// fewer over one; those of the upper layer need not.
#[test]
fn lower_joints_are_not_over_openings() {
    let mut s = Settings::default();
    s.stock.lengths_ft.insert("2x4".into(), vec![8]);
    for from in (40..220).step_by(6).map(f64::from) {
        let mut long = w(0., 0., 288., 0., "2x4");
        long.openings = vec![(from, from + 36.)];
        let (f, out) = proved(&[long, w(288., 0., 288., 120., "2x4")], &s);
        let run = f.runs.iter().position(|r| r.length() > Length::inches(200)).unwrap() as u32;
        let inside = |at: Length| {
            at > Length::from_inches(from).unwrap() && at < Length::from_inches(from + 36.).unwrap()
        };
        let lower = out.value.joints.iter().filter(|j| {
            j.run == RunId(run) && j.layer == Layer::Lower && j.kind == JointKind::Break
        });
        let lower: Vec<Length> = lower.map(|j| j.at).collect();
        assert!(!lower.is_empty() && !lower.iter().any(|at| inside(*at)), "{from}: {lower:?}");
    }
}

/// A bottom plate missing beside a door is no wedge, and a joint listed in another place is told where it is listed.
#[test]
fn what_is_missing_beside_a_door_and_where_a_joint_is_wrong() {
    let mut s = Settings::default();
    s.plates.bottom_stops_at_doors = true;
    let mut long = w(0., 0., 0., 288., "2x4");
    long.openings = vec![(100., 136.)];
    let (f, out) = proved(&[long, w(0., 288., 120., 288., "2x4")], &s);
    let verify = |plan: &Plan| proof(&f, plan, &s).findings;
    let bottoms = out.value.pieces.iter().enumerate().filter(|(_, p)| p.layer == Layer::Bottom);
    for (i, _) in bottoms {
        let mut plan = out.value.clone();
        // Moved away, so that the other pieces keep their numbers.
        for p in &mut plan.pieces[i].outline {
            p.x += Length::inches(2000);
        }
        let told = verify(&plan);
        let missing = |f: &&diag::Finding| f.message.contains("is missing under a lower plate");
        assert!(told.iter().any(|f| missing(&f)), "{i}: {told:#?}");
    }
    let mut plan = out.value.clone();
    let wrong =
        plan.joints.iter_mut().find(|j| j.kind == JointKind::Break && j.layer == Layer::Lower);
    let wrong = wrong.unwrap();
    wrong.at += Length::inches(3);
    let place = f.run(wrong.run).frame().at(wrong.at, Length::ZERO);
    let told = verify(&plan);
    let row = told.iter().find(|f| f.code == diag::codes::verify::PROOF_JOINT_ROW);
    let at = row.and_then(|f| f.at).unwrap();
    assert!(at.distance(place) <= Length::inches(4), "{at:?} {place:?}");
}

/// Round walls drawn as short straight ones: whole ones and parts, alone and with a straight wall that meets them.
#[test]
fn round_walls_of_many_parts() {
    for section in ["2x4", "2x6"] {
        for (parts, radius) in [(24, 60.), (36, 60.), (36, 100.), (48, 120.), (72, 240.)] {
            let at = |k: i32| {
                let (sin, cos) =
                    (f64::from(k) / f64::from(parts) * std::f64::consts::TAU).sin_cos();
                (radius * cos, radius * sin)
            };
            let part = |k: i32| w(at(k).0, at(k).1, at(k + 1).0, at(k + 1).1, section);
            let half: Vec<W> = (0..parts / 2).map(part).collect();
            proved(&half, &Settings::default());
            let whole: Vec<W> = (0..parts).map(part).collect();
            proved(&whole, &Settings::default());
            let met = [half, vec![w(radius, 0., radius, -150., "2x4")]].concat();
            proved(&met, &Settings::default());
            let tee = [whole, vec![w(-radius - 150., 0., -radius, 0., "2x4")]].concat();
            proved(&tee, &Settings::default());
        }
    }
}

/// Boards a foot long leave most walls without plates that fit, which is told; ties are listed as they are all the same.
#[test]
fn ties_are_as_listed_though_boards_are_a_foot_long() {
    for ft in 1..4 {
        let mut s = Settings::default();
        for section in ["2x4", "2x6"] {
            s.stock.lengths_ft.insert(section.into(), vec![ft]);
        }
        for x in (80..100).map(|x| f64::from(x) + 0.5) {
            let f = floor(&[w(0., 0., -122., 122., "2x4"), w(-x, x, -149.5, x, "2x6")]);
            let out = plan(&f, &s).unwrap();
            let proof = proof(&f, &out.value, &s);
            let ties: Vec<_> =
                proof.lines.iter().filter(|l| l.item == 4 && l.breaches > 0).collect();
            assert!(ties.is_empty(), "{ft} {x}: {ties:#?}");
        }
    }
}

/// The lap at an oblique corner with a wide wall is longer than the least piece.
#[test]
fn no_joint_lies_in_the_lap_of_a_corner() {
    let mut s = Settings::default();
    s.plates.joint_offset = Some(Length::inches(90));
    s.stock.lengths_ft.insert("2x4".into(), vec![2]);
    for long in (90..190).map(f64::from) {
        let to = (305. - long, 183. - long);
        proved(&[w(305., 183., 671., 183., "38x184"), w(305., 183., to.0, to.1, "2x4")], &s);
    }
}

/// A wall whose end is drawn a little beside a corner, so that it would cross the corner's other wall as well.
#[test]
fn a_wall_beside_a_corner_meets_it_once() {
    for off in [0.25, 0.5, 0.9375, 1.25] {
        let beside = w(183. - off, off, 243., off, "2x4");
        let corner = [w(183., 0., 61., 122., "2x4"), w(183., 0., 408.25, 85.5, "2x4")];
        proved(&[beside, corner[0].clone(), corner[1].clone()], &Settings::default());
    }
}

/// Walls in line that are a tenth of a degree off straight, with a step between them or of two widths: cut on the half
/// angle, so that neither lies in the other.
#[test]
fn walls_in_line_a_tenth_of_a_degree_off_straight() {
    for off in [0.05, 0.3, 0.6, 1.2, -0.9] {
        let mut raised = w(200., 0., 400., off, "2x4");
        raised.top = 121.125;
        proved(&[w(0., 0., 200., 0., "2x4"), raised], &Settings::default());
        let mut short = w(200., 0., 201., off / 200., "2x4");
        short.top = 121.125;
        proved(&[w(0., 0., 200., 0., "2x4"), short], &Settings::default());
        let two_widths = [w(0., 0., 200., 0., "2x10"), w(200., 0., 400., off, "2x4")];
        proved(&two_widths, &Settings::default());
    }
}

/// A tee at a flat angle: the sharp tips of plates and walls are proved as far as they reach.
#[test]
fn a_tee_at_eight_degrees() {
    let walls = [w(61., 427., 61., 172.3, "2x4"), w(61., 366., 51.05, 293.05, "2x4")];
    proved(&walls, &Settings::default());
}

/// No upper plate runs on over a wider one farther than a board reaches, whatever the joint offset.
#[test]
fn a_plate_runs_on_no_farther_than_a_board() {
    let mut s = Settings::default();
    s.plates.joint_offset = Some(Length::sixteenths(145 * 16 + 14));
    s.stock.lengths_ft.insert("2x3".into(), vec![8, 10]);
    proved(&[w(0., 0., 183., 183., "2x4"), w(0., 0., -183., -183., "2x3")], &s);
}

/// A bevel that reaches into a door: the bottom plate goes on from the door's edge with what is left of it.
#[test]
fn a_bevel_that_reaches_into_a_door() {
    let mut s = Settings::default();
    s.plates.bottom_stops_at_doors = true;
    for to in (80..96).map(f64::from) {
        let mut oblique = w(244., 244., 122., 122., "2x4");
        oblique.openings = vec![(40.0, to)];
        proved(&[w(366., 183., 61., 183., "2x4"), oblique.clone()], &s);
        oblique.openings = vec![(to - 3.0, 140.0)];
        proved(&[w(366., 183., 61., 183., "2x4"), oblique], &s);
    }
    // A door that begins where the plate does leaves none of no length.
    let mut wall = w(0., 0., 183., 0., "2x4");
    wall.openings = vec![(0.0003, 58.), (171.5, 182.9997)];
    proved(&[wall], &s);
}

/// Half a lap of two narrow widths holds, however deep the notches are set.
#[test]
fn a_lap_holds_however_deep_notches_are_set() {
    let mut s = Settings::default();
    s.plates.notch_depth = Length::sixteenths(10 * 16 + 5);
    proved(&[w(488., 366., 610., 366., "2x4"), w(488., 366., 488., 488., "2x3")], &s);
}

/// Findings of the planner for places too small for a plate, and what the verifier finds there.
fn no_room(walls: &[W], s: &Settings) -> (usize, Vec<String>) {
    let f = floor(walls);
    let out = plan(&f, s).unwrap();
    let proof = proof(&f, &out.value, s);
    let told = out.findings.iter().filter(|f| f.code == codes::PLATE_NO_ROOM).count();
    let rows = proof.findings.iter().filter(|f| f.code == diag::codes::verify::PROOF_JOINT_ROW);
    (told, rows.map(|f| f.message.clone()).collect())
}

/// A wall that sticks out beyond another by less than the clearance: the crossing is turned so that its stub has
/// plates, or the stub is told; the joints listed are those of the plates there are.
#[test]
fn a_stub_shorter_than_the_clearance() {
    let mut s = Settings::default();
    s.plates.upper_clearance = Length::inches(1);
    s.graph.snap = Length::sixteenths(2);
    for out in [0.3, 0.5625, 0.9, 1.2] {
        let walls = [w(0., 0., 183., 0., "2x4"), w(60., -1.75 - out, 60., 120., "2x4")];
        let (told, rows) = no_room(&walls, &s);
        assert!(told <= 1 && rows.is_empty(), "{out}: {told} {rows:?}");
    }
    // Neither way of crossing leaves room.
    let both = [w(-2.3, 0., 183., 0., "2x4"), w(0., -2.3, 0., 120., "2x4")];
    let (told, rows) = no_room(&both, &s);
    assert!(told > 0 && rows.is_empty(), "{told} {rows:?}");
}

/// What is left of a wall between two others that it goes through needs no plates of its own.
#[test]
fn a_remainder_within_two_other_walls() {
    for rise in [0.0, 300.0, 935.997] {
        let mut oblique = w(59.234375, 2.5625, 425.234375, -363.4375, "2x6");
        oblique.rise = rise;
        let walls = [
            oblique,
            w(58.8125, 2.5625, 58.8125, 124.5625, "2x4"),
            tall(w(58.8125, 2.5625, 58.8125, -58.4375, "2x4")),
            w(0.0, 0.0, 61.0, 0.0, "2x4"),
        ];
        proved(&walls, &Settings::default());
    }
}

/// An oblique crossing right beside the end of a run: the clearance there takes a corner off the lap.
#[test]
fn an_oblique_crossing_beside_an_end() {
    for clearance in [2, 16] {
        let mut s = Settings::default();
        s.plates.upper_clearance = Length::sixteenths(clearance);
        for k in 0..12 {
            let y = 74.36 + f64::from(k) * 0.03;
            let walls = [
                w(243.875, 242.4375, -61.125, -62.5625, "2x4"),
                tall(w(66.875, 65.4375, 66.875, 202.125, "2x4")),
                w(61.0, y, 87.875, y, "2x10"),
            ];
            proved(&walls, &s);
        }
    }
}

/// Plates at a corner between laps and crossings close together would lie only on each other: a splice plate
/// joins them to the rest.
#[test]
fn plates_that_would_lie_loose() {
    let set = |offset: i64, clearance: i64, notch: i64, tee| {
        let mut s = Settings::default();
        s.plates.joint_offset = Some(Length::sixteenths(offset));
        s.plates.upper_clearance = Length::sixteenths(clearance);
        s.plates.notch_depth = Length::sixteenths(notch);
        s.plates.exterior_tee = tee;
        s
    };
    let corner = [
        w(183.0, 244.0, -32.3125, 459.3125, "2x3"),
        w(-32.3125, 459.3125, -32.3125, 703.3125, "2x4"),
        w(63.6875, 368.875, -180.3125, 612.875, "2x4"),
    ];
    let side_by_side = [
        w(183.0, 305.0, 305.0, 427.0, "2x4"),
        w(303.515625, 431.625, 210.703125, 338.8125, "2x4"),
        w(242.3125, 364.3125, 242.3125, 486.3125, "2x6"),
    ];
    let cases = [
        (corner, set(82 * 16 + 6, 12, 3 * 16 + 11, settings::ExteriorTee::Lap)),
        (side_by_side, set(152 * 16 + 13, 8, 5 * 16 + 2, settings::ExteriorTee::Strap)),
    ];
    for (walls, s) in cases {
        let (_, out) = proved(&walls, &s);
        let told = out.findings.iter().filter(|f| f.code == codes::PLATES_LIE_LOOSE).count();
        let plates = |t: &&plan_model::Tie| t.kind == TieKind::Strap && t.pieces.len() == 2;
        assert_eq!((told, out.value.ties.iter().filter(plates).count() >= told), (1, true));
        let listed = out.value.fasteners.iter().filter(|f| f.purpose == "splice plates");
        assert_eq!(listed.count(), 2);
    }
}

/// A wall with no room for plates of its own, between a wall on a slope and three in line: what would hang on it hangs on nothing, and no
/// splice plate reaches from one height to another. The planner tells so of the plates that the verifier finds.
#[test]
fn plates_that_no_splice_plate_reaches_are_told_of() {
    let mut slope = w(366.0, -6.375, 732.0, -6.375, "38x184");
    (slope.top, slope.rise) = (317.0, 7.625);
    let walls = [
        slope,
        w(122.0, 0.0, -115.3125, 0.0, "2x4"),
        tall(w(488.0, 0.0, 671.0, -183.0, "2x6")),
        tall(w(366.0513, -4.3332, 549.0513, -187.3332, "2x4")),
        w(122.0, 0.0, 488.0, 0.0, "2x6"),
        w(487.984375, -0.0625, 548.984375, -0.0625, "2x4"),
    ];
    let s = Settings::default();
    let f = floor(&walls);
    let out = plan(&f, &s).unwrap();
    let proof = proof(&f, &out.value, &s);
    let about = |findings: &[Finding], code| {
        let of = findings.iter().filter(|f| f.code == code);
        of.map(|f| (f.subject.clone(), f.at)).collect::<Vec<_>>()
    };
    let untied = about(&proof.findings, diag::codes::verify::PROOF_UNTIED);
    assert_eq!((untied.len(), &untied), (1, &about(&out.findings, codes::PLATES_LIE_LOOSE)));
}

/// A tee where another wall's lower plate passes between those of the wall it meets: no notch, which would lie on
/// both.
#[test]
fn a_tee_within_a_flat_crossing() {
    let walls = [
        w(61.0, 183.0, -305.0, 183.0, "2x6"),
        w(61.0, 244.0, -104.36998067949239, 165.63055767670465, "2x4"),
        w(-59.453125, 187.375, -59.453125, 410.5625, "38x184"),
    ];
    let (_, out) = proved(&walls, &Settings::default());
    assert!(out.value.ties.iter().all(|t| t.kind != TieKind::Notch));
    assert!(out.value.pieces.iter().all(|p| p.notches.is_empty()));
}

/// A stem not quite square to a change of width: half of its end lies at either face.
#[test]
fn a_stem_at_a_change_of_width() {
    for k in 0..6 {
        let end = 358.9031810562926 + f64::from(k) * 0.2;
        let walls = [
            w(123.359375, 369.75, 306.359375, 186.75, "2x10"),
            w(306.359375, 186.75, 479.273464224098, end, "2x4"),
            w(306.359375, 186.75, 611.359375, -118.25, "2x4"),
        ];
        proved(&walls, &Settings::default());
    }
}

/// Between two walls side by side, thousandths of an inch apart, a wall that goes through both leaves no room for a
/// plate, however little stays bare: the crossing is turned.
#[test]
fn a_wall_through_two_that_nearly_touch() {
    let walls = [
        w(498.03125, 225.0, 254.03125, 469.0, "2x6"),
        w(303.703125, 419.125, 303.703125, 175.125, "2x4"),
        w(402.1875, 313.0625, 219.1875, 496.0625, "2x6"),
    ];
    proved(&walls, &Settings::default());
}

/// Boards shorter than a lap is long: the planner tells of it as of any wall that they are too short for, with the place.
#[test]
fn boards_shorter_than_a_lap() {
    for (ft, told) in [(2, 1), (3, 0), (8, 0)] {
        let mut s = Settings::default();
        for section in ["2x4", "2x12"] {
            s.stock.lengths_ft.insert(section.into(), vec![ft]);
        }
        // By hand: (11.25 + 3.5 cos 30) / sin 30 = 28.6 in.
        let f = floor(&[w(0., 0., 240., 0., "2x12"), w(68.4, -30., 190.6, 40.57, "2x4")]);
        let out = plan(&f, &s).unwrap();
        let long = out.findings.iter().filter(|f| f.code == codes::PIECE_TOO_LONG);
        let laps: Vec<_> = long.filter(|f| f.message.contains("do not reach")).collect();
        assert_eq!(laps.len(), told, "{ft}: {laps:#?}");
        assert!(
            laps.iter().all(|f| f.at.is_some() && f.message.contains("2'-4 9/16")),
            "{laps:#?}"
        );
    }
}

/// A stub whose two ends leave a little along its edges and reach beyond each other between them: no plate, and told as too
/// little for one.
#[test]
fn a_stub_whose_stepped_ends_cross() {
    let mut second = w(300.09375, 300.359375, 221.70811224312604, 378.9513071142325, "2x6");
    second.top = 109.125;
    let walls = [
        w(299.6563049325262, 297.0504322472645, 299.65630493252615, 67.0504322472645, "2x4"),
        second,
        tall(w(300., 300., 529.9988867018715, 299.28437726441143, "2x4")),
        tall(w(
            267.5558486910268,
            271.0577187102437,
            373.62186586900896,
            377.12373588822584,
            "2x6",
        )),
    ];
    let (told, _) = no_room(&walls, &Settings::default());
    assert!(told > 0);
}

/// Widths in inches and in millimetres, a third of a hair apart, at a place where two walls lean: the side of the step lies
/// along another face, and no outline runs out along it and straight back.
#[test]
fn a_step_of_a_hair_at_walls_that_lean() {
    let mut second = w(300., 300., 300., 466., "38x89");
    let mut raked = w(300., 300., 448.5345897682434, 449.86152155366517, "2x6");
    (second.top, raked.top, raked.rise) = (109.125, 109.125, 105.5);
    let walls = [
        w(300., 300., 300.114344241277, 231.00009474358325, "2x4"),
        second,
        w(300., 300., 461.37603115415635, 137.52299679975397, "2x4"),
        raked,
    ];
    let f = floor(&walls);
    let s = Settings::default();
    let out = plan(&f, &s).unwrap();
    let proof = proof(&f, &out.value, &s);
    let outlines = proof.findings.iter().filter(|f| f.code == diag::codes::verify::PROOF_OUTLINE);
    assert_eq!(outlines.count(), 0, "{:#?}", proof.findings);
}

/// A wall that ends where the one it meets already runs to a point, at a flat angle to a third: it is strapped there, since a
/// notch would lie where that plate has no edge (its outline crossed itself).
#[test]
fn no_notch_beyond_where_a_plate_begins_to_run_to_a_point() {
    let walls = [
        w(183., 0., 61.39, 9.756, "2x4"),
        w(151.0625, 2.5625, 151.0625, -119.4375, "2x4"),
        w(182.5, 0.0625, 21.8125, 0.0625, "2x4"),
    ];
    let f = floor(&walls);
    let s = Settings::default();
    let out = plan(&f, &s).unwrap();
    let tee = f.junctions.iter().position(|j| j.kind == JunctionKind::T).unwrap();
    let ties = out.value.ties.iter().filter(|t| t.junction.0 as usize == tee);
    assert_eq!(ties.map(|t| t.kind).collect::<Vec<_>>(), [TieKind::Strap]);
    let proof = proof(&f, &out.value, &s);
    let outlines = proof.findings.iter().filter(|f| f.code == diag::codes::verify::PROOF_OUTLINE);
    assert_eq!(outlines.count(), 0, "{:#?}", proof.findings);
}

/// Two walls that cross at 45 degrees within inches of a third which both end at: the gaps between their upper plates run into
/// each other, and what lies bare where they do is no larger than a gap is wide.
#[test]
fn gaps_of_two_junctions_that_run_into_each_other() {
    let walls = [
        w(305., 117., 305., -249., "2x4"),
        w(305., -71., 366., -10., "2x6"),
        w(305., -61., 610., -366., "2x4"),
    ];
    proved(&walls, &Settings::default());
}

/// A 2x4 wall that goes on from a 2x6 one of 4-ft boards: its upper plate runs on over the wider one by a joint offset of 5 ft or more,
/// over two of its lower plates, and both are named with all of the overlap.
#[test]
fn a_plate_that_runs_on_over_short_ones_is_tied_to_each() {
    let mut s = Settings::default();
    s.plates.joint_offset = Some(Length::inches(60));
    s.stock.lengths_ft.insert("2x6".into(), vec![4]);
    let walls = [w(0., 0., 183., 0., "2x4"), w(183., 0., 488., 0., "2x6")];
    let f = floor(&walls);
    let out = plan(&f, &s).unwrap().value;
    let laps: Vec<_> = out.ties.iter().filter(|t| t.kind == TieKind::Lap).collect();
    assert_eq!(laps.len(), 1, "{:#?}", out.ties);
    let over = &out.pieces[laps[0].pieces[0].0 as usize];
    let runs_on = over.to - Length::inches(183);
    assert!(runs_on >= Length::inches(60), "{over:?}");
    assert_eq!((laps[0].pieces.len(), laps[0].overlap), (3, runs_on));
    let proof = proof(&f, &out, &s);
    let rows = proof.findings.iter().filter(|f| f.code == diag::codes::verify::PROOF_TIE_ROW);
    assert_eq!(rows.count(), 0, "{:#?}", proof.findings);
}

/// Three walls that end at one place, two of one height that lap at their corner and a taller one: without the hardware that ties the third the verifier
/// says so, whatever else ties the two.
#[test]
fn the_third_wall_at_a_corner_has_a_tie_of_its_own() {
    let walls = [
        w(0., 0., 120., 0., "2x4"),
        tall(w(120., 0., 240., 0., "2x4")),
        w(120., 0., 120., 120., "2x4"),
    ];
    let s = Settings::default();
    let (f, out) = proved(&walls, &s);
    let third = f.runs.iter().position(|r| r.top > Length::inches(100)).unwrap();
    let is_third = |p: &plan_model::PieceId| out.value.pieces[p.0 as usize].run.0 as usize == third;
    let lap = out.value.ties.iter().find(|t| t.kind == TieKind::Lap).unwrap();
    let mut plan = out.value.clone();
    plan.ties.retain(|t| !t.pieces.iter().any(is_third));
    assert!(plan.ties.len() < out.value.ties.len());
    let strap = plan_model::Tie { kind: TieKind::Strap, hardware: "strap".into(), ..lap.clone() };
    plan.ties.push(strap);
    let told = proof(&f, &plan, &s).findings;
    let untied = told.iter().filter(|f| f.code == diag::codes::verify::PROOF_TIE);
    assert!(untied.clone().any(|f| f.message.starts_with("Tops differ or slope")), "{told:?}");
}
