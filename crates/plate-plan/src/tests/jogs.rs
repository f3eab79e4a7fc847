//! Walls no longer than they are thick, stubs just short of the limit, and lengths a hair off the tape.

use super::*;

/// A house whose front steps back and out again by `jog` inches.
fn jogged(jog: f64, section: &'static str) -> Vec<W> {
    let corners = [
        (0., jog),
        (120., jog),
        (120., 0.),
        (200., 0.),
        (200., jog),
        (300., jog),
        (300., 166.),
        (0., 166.),
    ];
    let next = corners.iter().cycle().skip(1);
    corners.iter().zip(next).map(|(a, b)| w(a.0, a.1, b.0, b.1, section)).collect()
}

/// By hand, 2x6 and a jog of 6 in: through both corners the lower plate is 6 + 5-1/2 = 11-1/2 in, through none 1/2 in, through
/// one 6 in, and the upper one then lies on it by 6 - 5-1/2 - 1/8 = 3/8 in.
#[test]
fn the_plate_of_a_jog_goes_through_both_corners() {
    for (jog, section, width) in
        [(4., "2x4", 3.5), (6., "2x6", 5.5), (7., "2x6", 5.5), (6.5, "2x6", 5.5), (9., "2x6", 5.5)]
    {
        let (f, out) = proved(&jogged(jog, section), &Settings::default());
        let jogs = |p: &&Piece| f.run(p.run).length().to_inches() == jog;
        let lower = out.value.pieces.iter().filter(jogs).filter(|p| p.layer != Layer::Upper);
        let lower: Vec<f64> = lower.map(|p| p.length.to_inches()).collect();
        assert_eq!(lower.len(), 4);
        assert!(lower.iter().all(|l| *l >= width), "{jog} {lower:?}");
        if jog < 9. {
            assert!(lower.iter().all(|l| *l == jog + width), "{jog} {lower:?}");
        }
        assert!(out.findings.iter().all(|f| f.code != codes::PLATES_LIE_LOOSE));
        // What is left of the upper layer between the two laps is told as no more than a filler.
        let fillers = out.value.pieces.iter().filter(|p| p.length.to_inches() < width).count();
        let warned = |f: &&diag::Finding| {
            f.code == codes::SHORT_PIECE && f.severity == diag::Severity::Warning
        };
        assert_eq!(out.findings.iter().filter(warned).count(), fillers);
    }
}

/// Walls that go on end to end beside each other's lines: both layers of both stop there, a splice plate ties them, and what
/// is told names what their ends share. By hand: 2 in aside, 2x6 share 3-1/2 in, 2x4 share 1-1/2 in, and a 2x4 and a 2x6
/// (5-1/2 + 3-1/2) / 2 - 2 = 2-1/2 in.
#[test]
fn walls_end_to_end_beside_each_others_lines_are_spliced() {
    for (one, other, shared) in
        [("2x6", "2x6", "3 1/2\""), ("2x4", "2x4", "1 1/2\""), ("2x4", "2x6", "2 1/2\"")]
    {
        for aside in [2., -2.] {
            let walls = [
                w(0., 0., 120., 0., one),
                w(120., aside, 240., aside, other),
                w(240., aside, 240., 150., other),
                w(240., 150., 0., 150., one),
                w(0., 150., 0., 0., one),
            ];
            let (f, out) = proved(&walls, &Settings::default());
            let said: Vec<_> =
                out.findings.iter().filter(|f| f.code == codes::JOG_SPLICED).collect();
            assert!(said.len() == 1 && said[0].message.contains(shared), "{said:?}");
            let at = f.junctions.iter().position(|j| j.kind == JunctionKind::Inline).unwrap();
            let here = |t: &&plan_model::Tie| t.junction.0 as usize == at;
            let tie = out.value.ties.iter().find(here).unwrap();
            assert_eq!((tie.kind, tie.pieces.len()), (TieKind::Strap, 2));
            let on_either = tie.pieces.iter().map(|p| &out.value.pieces[p.0 as usize]);
            assert!(on_either.clone().all(|p| p.layer == Layer::Upper));
            assert_eq!(
                on_either.map(|p| p.run).collect::<std::collections::BTreeSet<_>>().len(),
                2
            );
            let past = |p: &Piece| {
                let r = f.run(p.run);
                p.from < Length::ZERO && r.start.x == Length::inches(120)
                    || p.to > r.length() && r.end.x == Length::inches(120)
            };
            assert!(!out.value.pieces.iter().any(past));
            // Without it the walls hang together round the house alone, and the proof says so.
            let (mut cut, s) = (out.value.clone(), Settings::default());
            cut.ties.retain(|t| t.junction.0 as usize != at);
            let proof = proof(&f, &cut, &s);
            let untied = |f: &&diag::Finding| f.code == diag::codes::verify::PROOF_TIE;
            assert_eq!(proof.findings.iter().filter(untied).count(), 1);
        }
    }
}

/// The same where they lean by some degrees: a bend of two aside of each other, cut on the half angle; of the upper layer no more
/// than the clearance lies bare, which on one side is open to the outside by all that the one stands out.
#[test]
fn walls_end_to_end_aside_that_lean() {
    let sections = [["2x4", "2x4"], ["2x6", "2x6"], ["2x4", "2x6"], ["2x6", "2x4"]];
    for (lean, aside) in
        [1.0_f64, 2., 3., -2.].into_iter().flat_map(|l| [0.25, 1., 1.75, -1.75].map(|a| (l, a)))
    {
        let (sine, cosine) = lean.to_radians().sin_cos();
        for [one, other] in sections {
            let walls = [
                w(0., 0., 120., 0., one),
                w(120., aside, 120. + 150. * cosine, aside + 150. * sine, other),
            ];
            let (_, out) = proved(&walls, &Settings::default());
            let bends = out.findings.iter().filter(|f| f.code == codes::BEND_SPLICED);
            assert_eq!(bends.count(), 1, "{lean} {aside} {one} {other}");
        }
    }
}

/// A wall that goes on into a wider one aside of it keeps its own line, and so lies in a third one beside it: 2-3/4 and 1-3/4 in are more than the
/// 4-5/16 in between the two. One of them is left out.
#[test]
fn a_wall_end_to_end_aside_with_another_may_lie_in_a_third() {
    let walls = [
        w(366.0, -6.375, 732.0, -6.375, "38x184"),
        w(183.0513, -4.3332, 366.0513, -4.3332, "2x6"),
        w(122.0, 0.0, 427.0, 0.0, "2x4"),
    ];
    let (f, _) = proved(&walls, &Settings::default());
    assert_eq!(f.walls.len(), 2);
}

/// A lap of a plate that is not held on its own wall is no tie: the verifier says so, whatever holds round the house.
#[test]
fn a_lap_by_a_plate_that_is_not_held_is_no_tie() {
    let s = Settings::default();
    let f = floor(&jogged(6., "2x6"));
    let watch = Watch::endless();
    let rules = rule_sets::RuleSet::named(&s.rules).unwrap();
    let (offset, known) = (rules.joint_offset(&s), known::Known::default());
    let by = meet::Terms { floor: &f, settings: &s, rules, offset, known: &known, watch: &watch };
    let jog = f.runs.iter().position(|r| r.length() == Length::inches(6)).unwrap();
    let run = RunId(jog as u32);
    // Carried through at one corner alone.
    let corners = [f.run(run).start_junction, f.run(run).end_junction];
    let other = |j| f.junction(j).arms.iter().map(|a| a.run).find(|r| *r != run).unwrap();
    let carriers = meet::Carriers::from([(corners[0], run), (corners[1], other(corners[1]))]);
    let through_one = meet::settle(&by, &carriers, &tees::Tees::new());
    let through_both = meet::settle(
        &by,
        &meet::Carriers::from([(corners[0], run), (corners[1], run)]),
        &tees::Tees::new(),
    );
    let cost = |m: &meet::Meeting| cut::cost_of(&by, run, &m.shapes[jog]);
    assert_eq!(cost(&through_one).breaches, 1);
    assert_eq!(cost(&through_both).breaches, 0);
    // So planned, a splice plate holds it, and without that the proof fails.
    let (mut plan, mut findings, mut hardware) = (Plan::default(), Vec::new(), BTreeMap::new());
    for i in 0..f.runs.len() {
        let run = RunId(i as u32);
        let shape = &through_one.shapes[i];
        let studs = studs::lay_out(&f, run, shape, &s);
        let job = cut::Job { floor: &f, settings: &s, offset, run, shape, studs: &studs };
        let mut plates = cut::cut_run(&job, &known::Known::default());
        plan.pieces.append(&mut plates.pieces);
        plan.joints.append(&mut plates.joints);
    }
    plan.ties = ties::find(&f, &plan.pieces, &through_one.ties, &mut hardware);
    let untied = |plan: &Plan| {
        let all = proof(&f, plan, &s).findings;
        all.into_iter().filter(|f| f.code == diag::codes::verify::PROOF_TIE).count()
    };
    assert_eq!(untied(&plan), 1);
    loose::hold_laps(&f, &mut plan, &s, rules, &mut findings, &mut hardware);
    assert_eq!(findings.len(), 1);
    assert_eq!(untied(&plan), 0, "{findings:?}");
}

/// Exterior upper plates are notched for a stub, however long it is: one hardly longer than the short-piece limit has no
/// longer plates, and no other wall is cut to make them longer.
#[test]
fn no_exterior_plate_is_cut_for_a_stub() {
    for length in 14..40 {
        let mut walls = vec![
            w(0., 0., 0., 192., "2x6"),
            w(0., 0., 180., 0., "2x6"),
            w(0., 192., 180., 192., "2x6"),
            w(180., 0., 180., 192., "2x6"),
        ];
        walls.push(w(100., 0., 100., f64::from(length), "2x4"));
        let (f, out) = proved(&walls, &Settings::default());
        let tees = out.value.ties.iter().filter(|t| f.junction(t.junction).kind == JunctionKind::T);
        assert!(tees.map(|t| t.kind).all(|k| k == TieKind::Notch), "{length}");
    }
}

/// A plan turned on its sheet meets some millionths of an inch beside where it did: it is the same house.
#[test]
fn a_house_turned_on_the_sheet_has_the_same_lengths() {
    let mut walls = rectangle("2x6");
    walls.push(w(120., 0., 120., 192., "2x4"));
    walls.push(w(0., 100., 120., 100., "2x4"));
    walls.iter_mut().take(4).for_each(|w| w.exterior = Some(true));
    walls.iter_mut().skip(4).for_each(|w| w.exterior = Some(false));
    let printed = |walls: &[W]| {
        let (_, out) = proved(walls, &Settings::default());
        let mut all: Vec<_> =
            out.value.pieces.iter().map(|p| (p.layer, p.length, p.printed)).collect();
        all.sort_unstable();
        all
    };
    let straight = printed(&walls);
    for degrees in [0.7, 11.1, 17.3, 33.3, 45., 61.9, 78.4] {
        let (sin, cos) = f64::to_radians(degrees).sin_cos();
        let turn = |p: (f64, f64)| (p.0 * cos - p.1 * sin + 31.7, p.0 * sin + p.1 * cos + 12.9);
        let turned: Vec<W> =
            walls.iter().map(|w| W { a: turn(w.a), b: turn(w.b), ..w.clone() }).collect();
        assert_eq!(printed(&turned), straight, "{degrees}");
    }
}
