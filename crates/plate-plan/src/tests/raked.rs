//! Walls whose tops rise: shed and gable ends.

use super::*;
use plan_model::Against;

/// Rises by `pitch` inches in 12 from `a` to `b`.
fn raked(mut wall: W, pitch: f64) -> W {
    wall.rise = (wall.b.0 - wall.a.0).hypot(wall.b.1 - wall.a.1) * pitch / 12.0;
    wall
}

fn at_top(mut wall: W, top: f64) -> W {
    wall.top = top;
    wall
}

/// 24 ft by 15 ft, the side walls rising 3 in 12 from the south wall's height to the north wall's.
fn shed() -> [W; 4] {
    [
        w(0., 0., 288., 0., "2x4"),
        raked(w(288., 0., 288., 180., "2x4"), 3.0),
        at_top(w(0., 180., 288., 180., "2x4"), 142.125),
        raked(w(0., 0., 0., 180., "2x4"), 3.0),
    ]
}

fn of(plan: &Plan, run: u32, layer: Layer) -> Vec<&Piece> {
    plan.pieces.iter().filter(|p| p.run.0 == run && p.layer == layer).collect()
}

/// A shed 24 ft by 15 ft, its side walls rising 3 in 12 from the south wall's height to the north wall's.
///
/// By hand, for the west wall: south and north walls are level and as high where it meets them, so they go
/// through in both layers and it stops at their faces: 180 - 2 x 1.75 = 176.5 in level. Along the slope that
/// is 176.5 x sqrt(1 + 1/16) = 181.9320 in on a face; two parallel plumb cuts add 1.5 x 3/12 = 0.375.
/// The upper plate stops 1/8 in short at both ends: 176.25 level. The blade is tilted by
/// atan(3/12) = 14.0362 degrees.
#[test]
fn a_shed_has_its_side_plates_on_the_slope() {
    let walls = shed();
    let (f, out) = proved(&walls, &Settings::default());
    let west = f.runs.iter().position(|r| r.start.x == r.end.x).unwrap() as u32;
    let [lower] = of(&out.value, west, Layer::Lower)[..] else { panic!("one lower plate") };
    let [upper] = of(&out.value, west, Layer::Upper)[..] else { panic!("one upper plate") };
    let [bottom] = of(&out.value, west, Layer::Bottom)[..] else { panic!("one bottom plate") };
    assert_eq!((bottom.length, bottom.rake), (Length::sixteenths(176 * 16 + 8), None));
    let rake = lower.rake.unwrap();
    assert!((rake.edge.to_inches() - 181.932_04).abs() < 1e-4, "{}", rake.edge.to_inches());
    assert_eq!(lower.length, rake.edge + Length::sixteenths(6));
    // 181.9320 to the sixteenth: 181-15/16; and 3/8 more.
    assert_eq!(rake.edge_printed, Length::sixteenths(181 * 16 + 15));
    assert_eq!(lower.printed, Length::sixteenths(182 * 16 + 5));
    // 176.25 x 1.030776 = 181.6743, rounded down.
    assert_eq!(upper.rake.unwrap().edge_printed, Length::sixteenths(181 * 16 + 10));
    assert!(upper.printed <= upper.length);
    for (end, upper_longer) in lower.ends.iter().zip([false, true]) {
        assert_eq!(end.cut_deg, 90.0);
        let off = if upper_longer { 90.0 - end.tilt_deg } else { end.tilt_deg - 90.0 };
        assert!((off - 14.036_243_47).abs() < 1e-6, "{off}");
        assert!(matches!(end.against, Against::Run(_)));
    }
    // Two plates measured plumb are 3 x 1.030776 in; at the near face it has risen 1.75 / 4 in.
    let z = 97.125 + 1.75 / 4.0 - 3.0 * 1.030_776_406;
    assert!((lower.z.to_inches() - z).abs() < 1e-6, "{}", lower.z.to_inches());
    assert!((rake.z_end.to_inches() - (z + 176.5 / 4.0)).abs() < 1e-6);
    // Studs 16 in apart in plan are 16.4924 in apart on the wood.
    let studs: Vec<f64> = lower
        .marks
        .iter()
        .filter(|m| m.kind == plan_model::MarkKind::Stud)
        .map(|m| m.at.to_inches())
        .collect();
    assert!((studs[1] - studs[0] - 16.492_422).abs() < 1e-5, "{studs:?}");
    // Nothing laps at the four corners.
    let kinds: Vec<TieKind> = out.value.ties.iter().map(|t| t.kind).collect();
    assert_eq!(kinds, [TieKind::Screw; 4]);
    let told = out.findings.iter().filter(|x| x.code == codes::RAKED_MEETING).count();
    assert_eq!(told, 4);
}

/// A gable end: two raked walls meet at the ridge, cut plumb; a raked wall longer than the longest board is
/// cut at joints that keep their distance.
#[test]
fn a_gable_is_cut_plumb_at_the_ridge() {
    for pitch in [4.0, 9.0, 12.0] {
        let walls = [
            w(0., 0., 480., 0., "2x6"),
            w(0., 480., 480., 480., "2x6"),
            raked(w(0., 0., 0., 240., "2x6"), pitch),
            raked(w(0., 480., 0., 240., "2x6"), pitch),
            raked(w(480., 0., 480., 240., "2x6"), pitch),
            raked(w(480., 480., 480., 240., "2x6"), pitch),
            w(0., 240., 480., 240., "2x4"), // under the ridge, lower than it
        ];
        let (f, out) = proved(&walls, &Settings::default());
        let ridge =
            f.junctions.iter().find(|j| j.at == Point::new(Length::ZERO, Length::inches(240)));
        assert_eq!(ridge.unwrap().kind, JunctionKind::T);
        let longest = Length::feet(16);
        assert!(out.value.pieces.iter().all(|p| p.length <= longest), "{pitch}");
        let sides = f.runs.iter().enumerate().filter(|(_, r)| r.rise != Length::ZERO);
        for (i, r) in sides {
            let plates = of(&out.value, i as u32, Layer::Lower);
            let along: f64 = plates.iter().map(|p| p.rake.unwrap().edge.to_inches()).sum();
            let level: f64 = plates.iter().map(|p| (p.to - p.from).to_inches()).sum();
            let secant = 1f64.hypot(pitch / 12.0);
            assert!((along - level * secant).abs() < 1e-6);
            assert!((r.rise.to_inches().abs() - 240.0 * pitch / 12.0).abs() < 1e-6);
        }
    }
}

/// A roof that is hipped in plan: a raked wall at 45 degrees to level ones gets compound cuts.
/// By hand, at 9 in 12 (3-4-5): in plan the cut is 45 degrees off; on the face a level direction along the
/// wall is 5/4 as long, so tan = 1 / (5/4): 38.6598 degrees; the blade stands acos(sin 45 x 3/5) =
/// 64.8959 degrees to the face.
#[test]
fn an_oblique_raked_wall_has_compound_cuts() {
    let walls = [w(0., 0., 300., 0., "2x4"), raked(w(100., 0., 200., 100., "2x4"), 9.0)];
    let (f, out) = proved(&walls, &Settings::default());
    let run = f.runs.iter().position(|r| r.rise != Length::ZERO).unwrap() as u32;
    let [p] = of(&out.value, run, Layer::Lower)[..] else { panic!("one lower plate") };
    let end = &p.ends[0];
    let off = |deg: f64| (90.0 - deg).abs();
    assert!((off(end.cut_deg) - (90.0 - 38.659_808)).abs() < 1e-5, "{end:?}");
    assert!((off(end.tilt_deg) - (90.0 - 64.895_912)).abs() < 1e-5, "{end:?}");
}

/// Houses on a grid, some of their walls raked either way.
fn any_raked_house() -> impl Strategy<Value = Vec<W>> {
    let pitch = prop::sample::select(vec![0.0, 0.0, 1.0, 3.0, 6.0, 12.0, 21.7]);
    (any_house(), prop::collection::vec((pitch, any::<bool>()), 22)).prop_map(|(walls, slopes)| {
        let tilted = |(mut wall, (pitch, back)): (W, &(f64, bool))| {
            if *back {
                (wall.a, wall.b) = (wall.b, wall.a);
            }
            raked(wall, *pitch)
        };
        walls.into_iter().zip(&slopes).map(tilted).collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]
    #[test]
    fn any_raked_house_is_proved(walls in any_raked_house()) {
        proved(&walls, &Settings::default());
    }
}

/// What is wrong on a slope the proof sees: each of these alone breaks it.
#[test]
fn a_raked_plan_that_is_altered_is_caught() {
    type Alter = fn(&mut Plan, usize);
    const ALTERED: [(&str, Alter); 11] = [
        ("overall length as in plan", |p, i| {
            p.pieces[i].length = p.pieces[i].to - p.pieces[i].from
        }),
        ("face too long", |p, i| rake(p, i).edge += Length::SIXTEENTH),
        ("face and overall too long", |p, i| {
            rake(p, i).edge += Length::SIXTEENTH;
            p.pieces[i].length += Length::SIXTEENTH;
        }),
        ("no slope", |p, i| p.pieces[i].rake = None),
        ("another slope", |p, i| {
            rake(p, i).slope = geom::Slope::new(Length::inches(1), Length::inches(12)).unwrap();
        }),
        ("falls instead", |p, i| {
            let s = rake(p, i).slope.ratio();
            let run = Length::inches(1200);
            rake(p, i).slope = geom::Slope::new(-run.scale(s), run).unwrap();
        }),
        ("blade upright", |p, i| p.pieces[i].ends[0].tilt_deg = 90.0),
        ("blade tilted the other way", |p, i| {
            p.pieces[i].ends[1].tilt_deg = 180.0 - p.pieces[i].ends[1].tilt_deg;
        }),
        ("lies too low", |p, i| p.pieces[i].z -= Length::SIXTEENTH),
        ("ends too high", |p, i| rake(p, i).z_end += Length::SIXTEENTH),
        ("printed too long", |p, i| {
            rake(p, i).edge_printed += Length::inches(1);
            p.pieces[i].printed += Length::inches(1);
        }),
    ];
    fn rake(p: &mut Plan, i: usize) -> &mut plan_model::Rake {
        p.pieces[i].rake.as_mut().unwrap()
    }
    let walls = [
        w(0., 0., 288., 0., "2x4"),
        raked(w(0., 0., 0., 180., "2x4"), 3.0),
        w(0., 90., 200., 90., "2x4"),
    ];
    let s = Settings::default();
    let (f, out) = proved(&walls, &s);
    let broken = |plan: &Plan| !proof(&f, plan, &s).holds();
    assert!(!broken(&out.value));
    for i in (0..out.value.pieces.len()).filter(|i| out.value.pieces[*i].rake.is_some()) {
        for (name, alter) in ALTERED {
            let mut plan = out.value.clone();
            alter(&mut plan, i);
            assert!(broken(&plan), "{name}, piece {i}");
        }
    }
    // Without its hardware a raked wall hangs on nothing.
    let screws: Vec<usize> =
        (0..out.value.ties.len()).filter(|t| out.value.ties[*t].kind == TieKind::Screw).collect();
    assert!(!screws.is_empty());
    for t in screws {
        let mut plan = out.value.clone();
        plan.ties.remove(t);
        assert!(broken(&plan), "tie {t}");
        // Wood cannot take its place.
        let mut plan = out.value.clone();
        plan.ties[t].kind = TieKind::Lap;
        plan.ties[t].hardware.clear();
        assert!(broken(&plan), "tie {t} as a lap");
    }
}

/// Boards of a foot that lose 11-5/8 in: a plumb cut of a wall that rises 6 in 12 takes more than the 3/8 in
/// they give. Such a wall is told of; it is not tried for ever.
#[test]
fn boards_shorter_than_a_plumb_cut_are_told_of() {
    let mut s = Settings::default();
    s.stock.lengths_ft.insert("2x4".into(), vec![1]);
    s.stock.end_trim = Length::sixteenths(186);
    let f = floor(&[raked(w(0., 0., 0., 366., "2x4"), 6.0)]);
    let out = plan(&f, &s).unwrap();
    assert!(out.findings.iter().any(|f| f.code == codes::PIECE_TOO_LONG));
    assert!(!out.value.pieces.is_empty());
}

/// Studs 16 in apart are farther apart along a slope, and only there: 16 in, level, is no more than the nails' 16 in.
#[test]
fn nails_beside_studs_are_told_of_plates_on_a_slope() {
    let told = |walls: &[W], spacing: i64| {
        let mut s = Settings::default();
        s.studs.spacing = Length::inches(spacing);
        let (_, out) = proved(walls, &s);
        let all = out.findings.iter().filter(|f| f.code == codes::NAILS_BESIDE_STUDS);
        all.map(|f| f.message.clone()).collect::<Vec<_>>()
    };
    let shed = [w(0., 0., 240., 0., "2x4"), raked(w(0., 0., 0., 180., "2x4"), 6.0)];
    assert!(told(&shed[..1], 16).is_empty());
    let sloped = told(&shed, 16);
    let words = "Studs every 1'-4\" level, measured along plates on a slope, are farther apart";
    assert!(sloped.len() == 1 && sloped[0].starts_with(words), "{sloped:?}");
    let level = told(&shed[..1], 24);
    assert!(level.len() == 1 && level[0].starts_with("Studs every 2'-0\" along the plates are"));
}

/// What is printed of a sloping plate is rounded to the nearest millimetre: 16 ft, 4876.8 mm, are no plate of 4877.
#[test]
fn a_sloping_plate_is_printed_no_longer_than_its_board() {
    let settings = Settings::default();
    for pitch in (2..25).map(|halves| f64::from(halves) / 2.0) {
        for millimetres in (6000..9000).step_by(211) {
            let length = f64::from(millimetres) / 25.4;
            let walls = [raked(w(0., 0., 0., length, "38x140"), pitch)];
            let (_, out) = proved(&walls, &settings);
            for p in &out.value.pieces {
                assert!(p.printed <= settings.stock.longest_piece(p.section), "{pitch} {length}");
            }
        }
    }
}

/// A gable's wall rises from below a corner's plates to above them: its upper plate ends high over the lower wall there, at
/// nothing, though that wall is the taller one at its foot.
#[test]
fn a_plate_that_has_risen_above_the_wall_it_meets_ends_free() {
    let gable = raked(at_top(w(0., 366., 61., 366., "2x4"), 60.125), 12.0);
    for turned in [false, true] {
        let mut gable = gable.clone();
        if turned {
            (gable.a, gable.b) = (gable.b, gable.a);
            (gable.top, gable.rise) = (gable.top + gable.rise, -gable.rise);
        }
        let walls = [gable, w(61., 0., 61., 366., "2x4"), w(61., 366., 121.5, 366., "2x4")];
        let (f, out) = proved(&walls, &Settings::default());
        let over = out.value.pieces.iter().filter(|p| p.layer == Layer::Upper && p.rake.is_some());
        let high: Vec<Against> =
            over.map(|p| p.ends[usize::from(f.run(p.run).rise > Length::ZERO)].against).collect();
        assert_eq!(high, [Against::Open]);
    }
}

/// The side plates of a shed end at plates of level walls, as high as they are there: at their foot, and 45 in higher at their
/// upper end. Said to end free, either is found.
#[test]
fn an_end_on_a_slope_is_not_free_where_a_plate_as_high_lies_beside_it() {
    let walls = shed();
    let s = Settings::default();
    let (f, out) = proved(&walls, &s);
    let sloping = |p: &Piece| p.rake.is_some();
    let plates: Vec<usize> =
        (0..out.value.pieces.len()).filter(|i| sloping(&out.value.pieces[*i])).collect();
    assert_eq!(plates.len(), 4);
    for (i, end) in plates.into_iter().flat_map(|i| [(i, 0), (i, 1)]) {
        let mut plan = out.value.clone();
        plan.pieces[i].ends[end].against = Against::Open;
        let proof = proof(&f, &plan, &s);
        let of_ends = proof.findings.iter().filter(|f| f.code == diag::codes::verify::PROOF_END);
        assert_eq!(of_ends.count(), 1, "piece {i}, end {end}: {:#?}", proof.findings);
    }
}

/// A wide wall on a slope goes through a bend, and runs to a point beyond it along the face of the narrow one, farther than it is wide: the narrow one
/// stops at it all the same.
#[test]
fn a_wall_stops_at_the_point_of_a_wide_one_on_a_slope() {
    let mut points = 0;
    for degrees in 8..45 {
        let (sin, cos) = f64::from(degrees).to_radians().sin_cos();
        let wide = raked(w(-112., 0., 0., 0., "2x12"), 6.0);
        let (f, out) =
            proved(&[wide, w(0., 0., 108. * cos, 108. * sin, "2x4")], &Settings::default());
        let far = |p: &&Piece| p.to - f.run(p.run).length() > Length::inches(12);
        let stops = |p: &&Piece| matches!(p.ends[0].against, Against::Stud(_));
        let pieces = &out.value.pieces;
        let found = [pieces.iter().filter(far).count(), pieces.iter().filter(stops).count()];
        points += u32::from(found == [3, 3]);
    }
    assert!(points > 10, "{points}");
}
