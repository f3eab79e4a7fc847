//! Generated houses, drawn as centrelines clean and messy, as wide lines, as faces, as closed outlines
//! and inside mirrored blocks: the same walls and junctions must come out of all of them.
//!
//! A house is an irregular grid: some walls of it stand, each line of the grid has its own stud width,
//! walls have openings. The truth is known by construction; centrelines are read beside it as a second
//! witness. Square, turned, in inches and millimetres.

mod by_shape;
mod draw;
mod hard_against;
mod house;
mod see;
mod wide;

use draw::{
    Style, centrelines, dxf, face_drawing, line_entity, messy_centrelines, mirrored_blocks,
    outline_drawing, wide_lines,
};
use geom::Unit;
use house::{Dice, faces, house};
use proptest::prelude::*;
use see::{NEAR, compare, near, read_in, same, same_stud, seen, truth};
use settings::Settings;

fn all_alike(seed: u64, turn: f64, far: bool, unit: Unit) {
    let house = house(&mut Dice(seed));
    let shift = if far { [1_234_567.25, 19_876_543.5] } else { [0.0, 0.0] };
    let style = |mess| Style { dice: Dice(seed ^ 0xABCD), turn, shift, mess, unit };
    let (m, f) = read_in(&centrelines(&house, &mut style(false)), unit);
    let want = seen(&m, &f);
    compare(&truth(&house, &style(false)), &want, NEAR);
    let places: Vec<[f64; 2]> = house
        .walls
        .iter()
        .flat_map(|w| w.openings.iter().flatten().map(|s| style(false).put(w.point(*s, 0.0))))
        .map(|p| p.map(|v| v * unit.inches()))
        .collect();
    let drawings = [
        face_drawing(&house, &mut style(false), false),
        face_drawing(&house, &mut style(true), false),
        face_drawing(&house, &mut style(true), true),
        outline_drawing(&house, &mut style(true)),
        mirrored_blocks(&house, &mut style(false)),
    ];
    for text in &drawings {
        let (m, f) = read_in(text, unit);
        let got = seen(&m, &f);
        let outcome = std::panic::catch_unwind(|| {
            compare(&want, &got, NEAR);
            same("openings", &places, &got.openings, near);
        });
        if let Err(e) = outcome {
            println!("seed {seed}, turned {turn}: {house:#?}\n{:#?}", m.walls);
            std::panic::resume_unwind(e);
        }
        for w in &m.walls {
            assert!(same_stud(w.drawn_thickness.to_inches(), w.section.width().to_inches()));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn drawn_three_ways_a_house_is_the_same(seed in any::<u64>()) {
        all_alike(seed, 0.0, false, Unit::Inch);
    }

    #[test]
    fn turned_and_far_from_the_origin_too(seed in any::<u64>(), turn in 0_u32..360) {
        all_alike(seed, f64::from(turn) + 0.37, true, Unit::Inch);
    }

    #[test]
    fn in_millimetres_and_turned_by_30_degrees_too(seed in any::<u64>()) {
        all_alike(seed, 0.0, false, Unit::Millimetre);
        all_alike(seed, 30.0, false, Unit::Millimetre);
        all_alike(seed, 30.0, false, Unit::Inch);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    /// Slips within the tolerance change no run and no junction, and move nothing by more than it.
    #[test]
    fn messy_centrelines_are_the_same_house(seed in any::<u64>()) {
        let house = house(&mut Dice(seed));
        for (turn, unit) in [(0.0, Unit::Inch), (30.0, Unit::Inch), (30.0, Unit::Millimetre)] {
            let style =
                |mess| Style { dice: Dice(seed ^ 0x5EED), turn, shift: [0.0; 2], mess, unit };
            let want = truth(&house, &style(false));
            for (text, slack) in [
                (messy_centrelines(&house, &mut style(true)), 0.375),
                (wide_lines(&house, &mut style(false)), NEAR),
            ] {
                let (m, f) = read_in(&text, unit);
                compare(&want, &seen(&m, &f), slack);
            }
        }
    }
}

/// The same lines in another order give the same bytes.
#[test]
fn the_order_of_faces_does_not_show() {
    for seed in 0..20 {
        let house = house(&mut Dice(seed));
        let style = Style::plain(Dice(0), false);
        let mut lines: Vec<(&str, house::Line)> =
            faces(&house, true).into_iter().map(|l| ("A-WALL", l)).collect();
        // Glass in one part or two, folding panels, crosses, nothing.
        let openings = house.walls.iter().flat_map(|w| w.openings.iter().map(move |s| (w, s)));
        for (n, (w, s)) in openings.enumerate() {
            let &[from, to] = s;
            let at = |share: f64, off: f64| w.point(from + (to - from) * share, off);
            let drawn = match n % 5 {
                0 => vec![("XYZ", (at(0.0, 0.0), at(1.0, 0.0)))],
                1 => vec![
                    ("XYZ", (at(0.0, 0.5), at(0.48, 0.5))),
                    ("XYZ", (at(0.52, 0.5), at(1.0, 0.5))),
                ],
                2 => vec![
                    ("A-DOOR", (at(0.0, 0.0), at(0.3, 9.0))),
                    ("A-DOOR", (at(0.3, 9.0), at(0.6, 0.0))),
                ],
                3 => vec![
                    ("A-DOOR", (at(0.0, -2.0), at(1.0, 2.0))),
                    ("A-DOOR", (at(0.0, 2.0), at(1.0, -2.0))),
                ],
                _ => vec![],
            };
            lines.extend(drawn);
        }
        let entities: Vec<String> = lines
            .iter()
            .enumerate()
            .map(|(i, (layer, l))| line_entity(&style, i, layer, l))
            .collect();
        let mut turned = entities.clone();
        Dice(seed).shuffle(&mut turned);
        let told = |e: &[String]| {
            let out = import_dxf::read(dxf(&e.concat()).as_bytes(), &Settings::default()).unwrap();
            let findings: Vec<String> = out.findings.iter().map(|f| format!("{f:?}")).collect();
            (out.value.walls, out.value.ledger, findings)
        };
        assert_eq!(told(&entities), told(&turned));
    }
}
