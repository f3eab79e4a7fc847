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
    assert!(all.iter().all(|p| said[0].contains(&p.mark)), "{said:?}");
    assert!(said[0].contains("2 1/4\""), "{said:?}");
}
