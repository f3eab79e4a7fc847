//! Openings near corners, and walls that end in openings.

use super::*;
use plan_model::MarkKind;

fn opened(mut wall: W, from: f64, to: f64) -> W {
    wall.openings.push((from, to));
    wall
}

fn messages(out: &Outcome<Plan>, code: &str) -> Vec<String> {
    let of = out.findings.iter().filter(|f| f.code.name() == code);
    of.map(|f| f.message.clone()).collect()
}

/// Studs marked on the lower plates beside the openings of their run: none may lie in its clear
/// width, and no two in each other.
fn studs_fit(f: &Floor, plan: &Plan) {
    for p in plan.pieces.iter().filter(|p| p.layer == Layer::Lower) {
        let thick = f.run(p.run).section.thickness();
        let is_stud = |k: MarkKind| !matches!(k, MarkKind::Opening | MarkKind::Tee);
        let studs: Vec<Length> =
            p.marks.iter().filter(|m| is_stud(m.kind)).map(|m| p.from + m.at).collect();
        for pair in studs.windows(2) {
            assert!(pair[1] - pair[0] >= thick, "{} {:?}", p.mark, p.marks);
        }
        for (at, wall) in f.walls_of(p.run) {
            for o in &wall.openings {
                let (a, b) = (at + o.from, at + o.to);
                let half = thick.half();
                assert!(studs.iter().all(|s| *s + half <= a || *s - half >= b), "{}", p.mark);
            }
        }
    }
}

/// A door `beyond` the inner face of a corner, in a wall whose lower plate stops at that face or goes to the
/// outer one. A trimmer and a king stud take 3 in.
#[test]
fn an_opening_at_a_corner_has_room_for_its_studs_or_is_told_of() {
    let (mut told, mut silent) = (0, 0);
    for sixteenths in 0..80 {
        let beyond = f64::from(sixteenths) / 16.0;
        let walls = vec![
            opened(w(0., 0., 192., 0., "2x6"), 2.75 + beyond, 38.75 + beyond),
            w(192., 0., 192., 120., "2x6"),
            w(0., 120., 192., 120., "2x6"),
            w(0., 0., 0., 120., "2x6"),
        ];
        let (f, out) = proved(&walls, &Settings::default());
        studs_fit(&f, &out.value);
        let run = f
            .runs
            .iter()
            .position(|r| {
                r.end.x == Length::inches(192)
                    && r.start.y == Length::ZERO
                    && r.end.y == Length::ZERO
            })
            .unwrap();
        let first =
            out.value.pieces.iter().filter(|p| p.layer == Layer::Lower && p.run.0 as usize == run);
        let start = first.map(|p| p.from).min().unwrap().to_inches();
        let room = 2.75 + beyond - start;
        let said = messages(&out, "opening-at-corner");
        assert_eq!(said.len(), usize::from(room < 3.0), "{beyond} {start} {said:?}");
        told += said.len();
        silent += usize::from(said.is_empty());
        if room == 1.0 {
            assert!(said[0].contains("leaves 1\" to the end of the bottom plate at J1; a trimmer and a king stud need 3\" there."), "{said:?}");
        }
    }
    assert!(silent > 0 && told + silent == 80);
}

/// The openings' sides of a plan that lack a trimmer, or a stud up to the top plates beside it, by the marks on the lower
/// plates: run and station of the edge.
fn sides_without_studs(f: &Floor, plan: &Plan) -> Vec<(u32, f64)> {
    let mut out = Vec::new();
    for run in (0..f.runs.len() as u32).map(RunId) {
        let of_run = plan.pieces.iter().filter(|p| p.layer == Layer::Lower && p.run == run);
        let marks: Vec<(f64, MarkKind)> = of_run
            .flat_map(|p| p.marks.iter().map(|m| ((p.from + m.at).to_inches(), m.kind)))
            .filter(|(_, k)| !matches!(k, MarkKind::Opening | MarkKind::Tee))
            .collect();
        for (at, wall) in f.walls_of(run) {
            for o in &wall.openings {
                for (edge, out_of_it) in
                    [((at + o.from).to_inches(), -1.0), ((at + o.to).to_inches(), 1.0)]
                {
                    let mut away = marks.iter().map(|(m, k)| ((m - edge) * out_of_it, *k));
                    let trimmer = away.clone().any(|(d, _)| (d - 0.75).abs() < 1e-4);
                    // A king, or the stud that has its place.
                    let king =
                        away.any(|(d, k)| k != MarkKind::Trimmer && d > 2.2499 && d < 3.7499);
                    if !(trimmer && king) {
                        out.push((run.0, edge));
                    }
                }
            }
        }
    }
    out
}

/// At a corner that is not square the plate ends in a bevel, and no stud stands in it: a door any distance from the corner has
/// both its studs or is told of.
#[test]
fn an_opening_at_an_oblique_corner_has_its_studs_or_is_told_of() {
    let (mut told, mut silent) = (0, 0);
    for degrees in [30_i32, 45, 120, 150] {
        let (sin, cos) = f64::from(degrees).to_radians().sin_cos();
        for quarters in 0..72 {
            let beyond = 1.0 + f64::from(quarters) / 4.0;
            let walls = [
                opened(w(0., 0., 192., 0., "2x6"), beyond, beyond + 36.),
                w(0., 0., 150. * cos, 150. * sin, "2x4"),
            ];
            let (f, out) = proved(&walls, &Settings::default());
            let lacking = sides_without_studs(&f, &out.value);
            let said = messages(&out, "opening-at-corner");
            assert_eq!(said.len(), lacking.len(), "{degrees} {beyond} {lacking:?} {said:?}");
            told += said.len();
            silent += usize::from(said.is_empty());
        }
    }
    assert!(told > 40 && silent > 40, "{told} {silent}");
}

/// A door in a wall that meets another at 45 degrees. By hand: its plate leaves the other's face at 0.72 in from the node with
/// one edge and at (1.75 + 1.75 cos 45) / sin 45 = 4.22 in with the other, so a door from 5.25 in on has 1.03 in beside it: an inch on the tape.
#[test]
fn room_at_a_bevel_is_told_by_the_full_width() {
    let walls = [w(-150., 0., 150., 0., "2x4"), opened(w(0., 0., 100., 100., "2x4"), 5.25, 40.)];
    let (_, out) = proved(&walls, &Settings::default());
    let said = messages(&out, "opening-at-corner");
    let words = "leaves 1\" of full width to the end of the bottom plate at J";
    assert!(said.len() == 1 && said[0].contains(words), "{said:?}");
}

/// Where bottom plates stop at doors, a door may take all of such a bevel but a corner, however small: the plate meets the other wall
/// with that, or ends free before the door.
#[test]
fn a_door_takes_a_bevel_but_for_a_corner() {
    let mut s = Settings::default();
    s.plates.bottom_stops_at_doors = true;
    let (mut met, mut free) = (0, 0);
    // By hand: the plates of the 2x6 end 122 - 1.75 / sin 45 = 119.53 in on, 2.75 in less with one edge and as much more with the other.
    for step in 0..7 * 32 {
        let from = 114.0 + f64::from(step) / 32.0;
        let walls = [
            w(0., 0., 305., 305., "2x4"),
            opened(w(263.125, 141.125, 263.125, 263.125, "2x6"), from, from + 5.),
        ];
        let (f, out) = proved(&walls, &s);
        let stem = |p: &&Piece| p.layer == Layer::Bottom && f.run(p.run).start.y.nm() > 0;
        for end in out.value.pieces.iter().filter(stem).map(|p| p.ends[1].against) {
            met += u32::from(matches!(end, plan_model::Against::Run(_)));
            free += u32::from(end == plan_model::Against::Open);
        }
    }
    assert!(met > 100 && free > 10, "{met} {free}");
}

/// A wall that crosses stands between the run's plates: a door beside it has both its studs or is told of, on either side.
#[test]
fn an_opening_beside_a_crossing_wall_has_its_studs_or_is_told_of() {
    let (mut told, mut silent) = (0, 0);
    for quarters in 0..28 {
        let room = f64::from(quarters) / 4.0;
        let beyond = 2.75 + room;
        for [from, to] in [[120. + beyond, 170.], [70., 120. - beyond]] {
            // The wider, longer wall is whole below.
            let walls =
                [opened(w(0., 0., 240., 0., "2x4"), from, to), w(120., -150., 120., 150., "2x6")];
            let (f, out) = proved(&walls, &Settings::default());
            let lacking = sides_without_studs(&f, &out.value);
            let said = messages(&out, "opening-at-corner");
            assert_eq!(said.len(), lacking.len(), "{from} {to} {said:?}");
            if room == 2.25 {
                let words = "leaves 2 1/4\" to R2, which passes between its plates; a trimmer and a king stud need 3\"";
                assert!(said[0].contains(words), "{said:?}");
            }
            told += said.len();
            silent += usize::from(said.is_empty());
        }
    }
    assert!(told == 24 && silent == 32, "{told} {silent}");
}

/// With a door on either side of the wall that crosses, each is told of by itself: the two are not near each other.
#[test]
fn doors_on_both_sides_of_a_crossing_wall_are_told_of_one_by_one() {
    let doors = opened(opened(w(0., 0., 240., 0., "2x4"), 70., 118.), 122., 170.);
    let (_, out) = proved(&[doors, w(120., -150., 120., 150., "2x4")], &Settings::default());
    // By hand: the wall's faces lie at 118-1/4 and 121-3/4 in.
    let said = messages(&out, "opening-at-corner");
    assert_eq!(said.iter().filter(|m| m.contains("leaves 1/4\" to R2")).count(), 2, "{said:?}");
    assert!(messages(&out, "openings-close").is_empty());
}

/// Between two openings stand a trimmer of each and a king for both, or it is told; less than an inch apart they look like one
/// opening drawn as two leaves.
#[test]
fn openings_too_near_each_other_are_told_of() {
    for sixteenths in 1..128 {
        let apart = f64::from(sixteenths) / 16.0;
        let mut walls = rectangle("2x6");
        let second = 80.0 + apart;
        walls[0] = opened(opened(walls[0].clone(), 40., 80.), second, second + 30.);
        let (f, out) = proved(&walls, &Settings::default());
        let lacking = sides_without_studs(&f, &out.value);
        let said: Vec<_> =
            out.findings.iter().filter(|f| f.code.name() == "openings-close").collect();
        assert_eq!(said.len(), usize::from(apart < 4.5), "{apart} {said:?}");
        // Above 4-1/2 in the studs are there, and below they are not.
        assert_eq!(lacking.is_empty(), said.is_empty(), "{apart} {lacking:?}");
        let front = |r: &&Run| r.start.y == Length::ZERO && r.end.y == Length::ZERO;
        let front = f.runs.iter().position(|r| front(&r)).unwrap();
        let lower = |p: &&Piece| p.layer == Layer::Lower && p.run.0 as usize == front;
        let start = out.value.pieces.iter().filter(lower).map(|p| p.from).min().unwrap();
        // Both are told of from where the tape is hooked.
        let from_start = |a: f64, b: f64| {
            let [a, b] = [a, b].map(|at| Length::from_inches(at).unwrap() - start);
            format!("{} to {}", a.feet_inches(), b.feet_inches())
        };
        assert_ne!(start, Length::ZERO);
        for f in said {
            let leaves = f.message.contains("one opening drawn as two leaves");
            assert_eq!(leaves, apart < 1.0, "{}", f.message);
            assert_eq!(f.severity == diag::Severity::Note, leaves);
            assert!(f.message.contains(&from_start(40., 80.)), "{}", f.message);
            assert!(f.message.contains(&from_start(second, second + 30.)), "{}", f.message);
        }
        assert!(messages(&out, "opening-at-corner").is_empty());
    }
}

/// A window 4-1/2 in from a corner's node, in each wall of a box and at either of its ends: the lap is taken that leaves its
/// trimmer and king room, and no more boards are bought than for the box without it.
#[test]
fn the_lap_at_a_corner_leaves_an_opening_its_studs() {
    for section in ["2x4", "2x6"] {
        let box_of = |k: usize| {
            let mut walls = rectangle(section);
            (walls[0].b.0, walls[1].a.0, walls[1].b.0, walls[2].b.0) = (240., 240., 240., 240.);
            let length = if k < 4 { 240. } else { 192. };
            let at = if k.is_multiple_of(2) { (4.5, 40.) } else { (length - 40., length - 4.5) };
            let wall = [0, 0, 2, 2, 1, 1, 3, 3][k];
            walls[wall].openings.push(at);
            walls
        };
        for k in 0..8 {
            let (_, out) = proved(&box_of(k), &Settings::default());
            let said = messages(&out, "opening-at-corner");
            assert!(said.is_empty(), "{section} {k} {said:?}");
        }
    }
}

/// Hard against a stem's end the same, whichever wall it is: a partition's door beside the wall it ends at.
#[test]
fn the_door_of_a_partition_beside_the_wall_it_ends_at_is_told_of() {
    let mut walls = rectangle("2x4");
    walls.push(opened(w(120., 0., 120., 192., "2x4"), 1.75, 33.75));
    let (f, out) = proved(&walls, &Settings::default());
    studs_fit(&f, &out.value);
    let said = messages(&out, "opening-at-corner");
    assert!(
        said.len() == 1 && said[0].contains("leaves nothing to the end of the bottom plate"),
        "{said:?}"
    );
}

#[test]
fn a_wall_that_ends_in_an_opening_is_told_of() {
    // The stem is 3-1/2 in wide: 118-1/4 to 121-3/4.
    for (from, to, told) in [(90., 150., 1), (121., 150., 1), (121.75, 150., 0), (60., 118.25, 0)] {
        let mut walls = rectangle("2x4");
        walls[0] = opened(walls[0].clone(), from, to);
        walls.push(w(120., 0., 120., 192., "2x4"));
        let (_, out) = proved(&walls, &Settings::default());
        let said = messages(&out, "wall-ends-in-opening");
        assert_eq!(said.len(), told, "{from} {to} {said:?}");
        assert!(said.iter().all(|m| m.contains(" ends in the door of R")), "{said:?}");
    }
}

/// Two openings with less between them than their studs take: none stands in the other's clear width.
#[test]
fn studs_of_openings_side_by_side_stay_out_of_each_other() {
    for eighths in 1..64 {
        let second = 80.0 + f64::from(eighths) / 8.0;
        let mut walls = rectangle("2x6");
        walls[0] = opened(opened(walls[0].clone(), 40., 80.), second, second + 30.);
        let (f, out) = proved(&walls, &Settings::default());
        studs_fit(&f, &out.value);
    }
}

#[test]
fn short_walls_are_told_of_once_with_their_marks() {
    let mut walls = rectangle("2x6");
    assert!(messages(&proved(&walls, &Settings::default()).1, "short-wall-pieces").is_empty());
    walls.push(w(60., 0., 60., 12., "2x4"));
    walls.push(w(120., 0., 120., 5., "2x4"));
    let (_, out) = proved(&walls, &Settings::default());
    let said = messages(&out, "short-wall-pieces");
    let short = |p: &&Piece| p.layer != Layer::Bottom && p.length < Length::inches(24);
    let all: Vec<&Piece> = out.value.pieces.iter().filter(short).collect();
    assert!(said.len() == 1 && all.len() >= 4, "{said:?}");
    // A piece shorter than its wall is wide is a filler, and warned of by itself.
    let (fillers, short): (Vec<&Piece>, Vec<&Piece>) =
        all.into_iter().partition(|p| p.length < p.section.width());
    assert!(!short.is_empty() && short.iter().all(|p| said[0].contains(&p.mark)), "{said:?}");
    let of_fillers = messages(&out, "short-piece");
    assert!(fillers.len() == 1 && of_fillers.len() == 1, "{of_fillers:?}");
    assert!(of_fillers[0].contains(&fillers[0].mark) && !said[0].contains(&fillers[0].mark));
    assert!(of_fillers[0].contains("2 1/4\""), "{of_fillers:?}");
}

/// A box 22 ft by 24 ft or longer with a door in its first wall.
fn garage(length: f64, door: (f64, f64)) -> Vec<W> {
    vec![
        opened(w(0., 0., length, 0., "2x4"), door.0, door.1),
        w(length, 0., length, 264., "2x4"),
        w(0., 264., length, 264., "2x4"),
        w(0., 0., 0., 264., "2x4"),
    ]
}

/// Of the wall with the door: pieces of a layer, from and to in inches.
fn along_the_door(f: &Floor, plan: &Plan, layer: Layer) -> Vec<(f64, f64)> {
    let run = f.runs.iter().position(|r| r.start.y.nm() == 0 && r.end.y.nm() == 0).unwrap();
    let mine = plan.pieces.iter().filter(|p| p.layer == layer && p.run.0 as usize == run);
    let mut v: Vec<_> = mine.map(|p| (p.from.to_inches(), p.to.to_inches())).collect();
    v.sort_by(|a, b| a.0.total_cmp(&b.0));
    v
}

fn joints_between(pieces: &[(f64, f64)]) -> Vec<f64> {
    pieces.windows(2).filter(|p| p[0].1 == p[1].0).map(|p| p[0].1).collect()
}

/// A trimmer ends under the header, so a lower joint keeps clear of a door up to the king's near face, 1-1/2 in
/// beyond its edge. A 15 ft door leaves 183 in between the kings: a 16 ft board passes over both.
#[test]
fn a_lower_plate_passes_over_both_kings_of_a_15_ft_door() {
    let (f, out) = proved(&garage(360., (60., 240.)), &Settings::default());
    let lower = along_the_door(&f, &out.value, Layer::Lower);
    let clear = |at: &f64| *at < 58.5 || *at > 241.5;
    assert!(joints_between(&lower).iter().all(clear), "{lower:?}");
    assert!(messages(&out, "joint-over-opening").is_empty());
    for j in out.value.joints.iter().filter(|j| j.layer != Layer::Bottom && j.on_stud) {
        let run = f.run(j.run);
        let here = run.start.y.nm() == 0 && run.end.y.nm() == 0;
        assert!(!here || clear(&j.at.to_inches()), "{j:?}");
    }
    // What stays of the bottom plate when the door is cut out is no scrap.
    let bottom = along_the_door(&f, &out.value, Layer::Bottom);
    assert!(joints_between(&bottom).iter().all(|at| *at <= 54. || *at >= 246.), "{bottom:?}");
}

/// Between the kings of a 16 ft door are 195 in: no board spans them, so one joint lies over the door and is told of. A
/// bottom plate of 16 ft that is all door would be nailed down, cut out and thrown away.
#[test]
fn over_a_16_ft_door_one_joint_is_told_and_no_bottom_plate_is_all_door() {
    let (f, out) = proved(&garage(264., (36., 228.)), &Settings::default());
    let lower = along_the_door(&f, &out.value, Layer::Lower);
    let over: Vec<f64> =
        joints_between(&lower).into_iter().filter(|at| *at > 34.5 && *at < 229.5).collect();
    assert_eq!(over.len(), 1, "{lower:?}");
    let said = messages(&out, "joint-over-opening");
    assert_eq!(said.len(), 1);
    // As the crew's tape reads, hooked on the start of the plates.
    let from_start = Length::from_inches(over[0] - lower[0].0).unwrap().feet_inches();
    let words = format!(" {from_start} from its plates' start,");
    assert!(said[0].contains(&words), "{said:?} {lower:?}");
    let front = |j: &plan_model::Joint| f.run(j.run).end.y.nm() == 0;
    let listed = |j: &&plan_model::Joint| front(j) && (j.at.to_inches() - over[0]).abs() < 1e-6;
    let tops = out.value.joints.iter().filter(|j| j.layer == Layer::Lower);
    assert!(tops.filter(listed).all(|j| !j.on_stud));
    let bottom = along_the_door(&f, &out.value, Layer::Bottom);
    assert!(bottom.iter().all(|(a, b)| *a < 36. || *b > 228.), "{bottom:?}");
}

/// Of boards of 8 ft only, a plate lies wholly in a 16 ft door; and kings of a 15'-8" door with 16 ft boards carry both
/// joints of the lower plate, which leave a scrap of the bottom one beside either edge. Bottom plates are the lower ones
/// again, and it is told; where they stop at doors, there is nothing to tell.
#[test]
fn bottom_plates_wasted_at_a_door_are_told_of() {
    let mut short = Settings::default();
    short.stock.lengths_ft.insert("2x4".into(), vec![8]);
    for (mut s, length, door) in
        [(short, 264., (36., 228.)), (Settings::default(), 384., (96., 284.))]
    {
        let (f, out) = proved(&garage(length, door), &s);
        let lower = along_the_door(&f, &out.value, Layer::Lower);
        let inside = |(a, b): &(f64, f64)| *a >= door.0 - 6. && *b <= door.1 + 6.;
        assert!(lower.iter().any(inside), "{lower:?}");
        assert_eq!(along_the_door(&f, &out.value, Layer::Bottom), lower);
        assert_eq!(messages(&out, "bottom-in-door").len(), 1);
        s.plates.bottom_stops_at_doors = true;
        let (f, out) = proved(&garage(length, door), &s);
        let bottom = along_the_door(&f, &out.value, Layer::Bottom);
        assert!(bottom.iter().all(|(a, b)| *b <= door.0 || *a >= door.1), "{bottom:?}");
        assert!(messages(&out, "bottom-in-door").is_empty());
    }
}

/// Where bottom plates stop at doors anyway, a joint on the king would leave 2-1/4 in of one, and one on the next stud a
/// piece too short for a joint of its own: on concrete, one without an anchor bolt.
#[test]
fn no_scrap_of_a_bottom_plate_that_stops_at_doors() {
    let mut s = Settings::default();
    s.plates.bottom_stops_at_doors = true;
    for at in 100..200 {
        let door = (f64::from(at), f64::from(at) + 36.);
        let (f, out) = proved(&garage(360., door), &s);
        let bottom = along_the_door(&f, &out.value, Layer::Bottom);
        assert!(bottom.iter().all(|(a, b)| b - a >= 24.), "{door:?} {bottom:?}");
    }
}

/// The verifier takes no word for it: a joint over a door listed as on a stud, and a bottom plate that is not cut at a door
/// the lower one lies in, are breaches.
#[test]
fn the_verifier_sees_joints_without_a_stud_and_plates_within_doors() {
    let mut s = Settings::default();
    let broken = |f: &Floor, plan: &Plan, s: &Settings| proof(f, plan, s).broken_items();
    let (f, out) = proved(&garage(264., (36., 228.)), &s);
    let off = |j: &&plan_model::Joint| j.layer == Layer::Lower && j.kind == JointKind::Break;
    let over = out.value.joints.iter().position(|j| off(&j) && f.run(j.run).end.y.nm() == 0);
    let mut plan = out.value.clone();
    plan.joints[over.unwrap()].on_stud = true;
    assert_eq!(broken(&f, &plan, &s), [5]);
    // Where bottom plates stop at doors and on boards of 8 ft a lower plate lies wholly in one, a bottom plate like it is
    // put there.
    s.plates.bottom_stops_at_doors = true;
    s.stock.lengths_ft.insert("2x4".into(), vec![8]);
    let (f, out) = proved(&garage(264., (36., 228.)), &s);
    let mut plan = out.value.clone();
    let inside = |p: &&Piece| {
        let front = f.run(p.run).end.y.nm() == 0 && p.layer == Layer::Lower;
        front && p.from >= Length::inches(36) && p.to <= Length::inches(228)
    };
    let mut like = out.value.pieces.iter().find(inside).unwrap().clone();
    (like.layer, like.z) = (Layer::Bottom, f.run(like.run).base);
    plan.pieces.push(like);
    assert!(broken(&f, &plan, &s).contains(&2));
}

/// No stud stands in an opening wider than the longest board reaches, so joints of the upper plate go between studs
/// there, on long walls as on short ones.
#[test]
fn upper_plates_are_cut_over_an_opening_wider_than_a_board() {
    let door = (463., 655.);
    for (feet, offset) in [(vec![12], 48), (vec![8, 10], 24), (vec![8], 24), (vec![4], 24)] {
        let mut s = Settings::default();
        s.stock.lengths_ft.insert("2x4".into(), feet.clone());
        s.plates.joint_offset = Some(Length::inches(offset));
        let (_, out) = proved(&garage(795., door), &s);
        assert_eq!(messages(&out, "piece-too-long"), [""; 0], "{feet:?}");
        let longest = Length::feet(i64::from(*feet.last().unwrap()));
        assert!(out.value.pieces.iter().all(|p| p.length <= longest), "{feet:?}");
    }
}

/// A door that leaves a wall's end no more than its last stud: that stud stands in the place of trimmer and king, and a
/// plate that ends over it lies on it.
#[test]
fn the_last_stud_of_a_wall_stands_where_a_trimmer_would() {
    let mut on_it = 0;
    for clearance in [2, 4, 8, 12] {
        for from in [181.25, 181.5, 182., 182.5, 183.] {
            let mut s = Settings::default();
            s.plates.upper_clearance = Length::sixteenths(clearance);
            let walls = [
                opened(w(0., 0., 183., 0., "2x4"), from, 260.),
                W { top: 121.125, ..w(183., -244., 183., 0., "2x4") },
            ];
            let (f, out) = proved(&walls, &s);
            studs_fit(&f, &out.value);
            let near = |j: &&plan_model::Joint| {
                f.run(j.run).start.y == f.run(j.run).end.y && j.at > Length::inches(170)
            };
            let listed = out.value.joints.iter().filter(near);
            on_it += listed.filter(|j| j.layer == Layer::Upper && j.on_stud).count();
        }
    }
    assert!(on_it >= 15, "{on_it}");
}

/// A door beside a taller wall that crosses: the last stud before that wall stands in for king and trimmer, and the upper plate,
/// which stops the clearance short of it, ends over that stud.
#[test]
fn a_plate_that_stops_at_a_taller_wall_beside_a_door_ends_over_its_last_stud() {
    for clearance in [2, 6, 13, 20] {
        let mut settings = Settings::default();
        settings.plates.upper_clearance = Length::sixteenths(clearance);
        for sixteenths in 0..52 {
            let beyond = 1.25 + f64::from(sixteenths) / 16.0;
            for [from, to] in [[120. + beyond, 170.], [70., 120. - beyond]] {
                let walls = [
                    opened(w(0., 0., 240., 0., "2x4"), from, to),
                    tall(w(120., -120., 120., 120., "2x3")),
                ];
                let (f, out) = proved(&walls, &settings);
                studs_fit(&f, &out.value);
            }
        }
    }
    // At an angle, where marks are a nanometre off.
    let mut settings = Settings::default();
    settings.plates.upper_clearance = Length::sixteenths(13);
    let walls = [
        opened(w(61.546875, 58.8125, 212.171875, 209.4375, "2x4"), 129.5, 187.),
        tall(w(305., 0., 0., 305., "2x3")),
    ];
    let (_, out) = proved(&walls, &settings);
    assert!(out.value.joints.iter().any(|j| j.on_stud && j.layer == Layer::Upper));
}
