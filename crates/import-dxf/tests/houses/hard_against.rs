//! Doors and windows hard against the walls that their own wall ends at or crosses: of the wall nothing, or a
//! sliver, is drawn between the two.

use crate::draw::{Style, dxf, line_entity};
use crate::house::{Dice, House, HouseWall, Line, faces, house};
use crate::see::{NEAR, compare, near, read_in, same, seen, truth};
use geom::Unit;
use proptest::prelude::*;
use std::collections::BTreeSet;

/// Stations on a wall where others cross it or meet it, with half their thickness.
fn meetings(house: &House, w: &HouseWall) -> Vec<(f64, f64)> {
    let meets = |o: &&HouseWall| {
        o.along_x != w.along_x && (w.from..=w.to).contains(&o.at) && (o.from..=o.to).contains(&w.at)
    };
    let mut out: Vec<(f64, f64)> =
        house.walls.iter().filter(meets).map(|o| (o.at, o.thickness / 2.0)).collect();
    out.sort_by(|a, b| a.0.total_cmp(&b.0));
    out
}

/// The house with other openings, each hard against a wall, no more than one at any place where walls meet.
/// The second are the same, by wall and opening.
fn with_openings_at_walls(mut house: House, dice: &mut Dice) -> (House, Vec<(usize, [f64; 2])>) {
    let all: Vec<Vec<(f64, f64)>> = house.walls.iter().map(|w| meetings(&house, w)).collect();
    let in_line: Vec<Vec<(f64, f64)>> = (0..house.walls.len())
        .map(|i| {
            let w = &house.walls[i];
            let others = house.walls.iter().enumerate().filter(|(k, _)| *k != i);
            let same = others.filter(|(_, o)| o.along_x == w.along_x && o.at == w.at);
            same.map(|(_, o)| (o.from, o.to)).collect()
        })
        .collect();
    let mut hard = Vec::new();
    let mut taken = BTreeSet::new();
    for (i, (w, meets)) in house.walls.iter_mut().zip(&all).enumerate() {
        w.openings.clear();
        for pair in meets.windows(2) {
            let (from, to) = (pair[0].0 + pair[0].1, pair[1].0 - pair[1].1);
            let width = 24.0 + dice.below(100) as f64 / 4.0;
            let stub = [0.0, 0.0, 0.0, 0.25, 0.5, 1.0][dice.below(6) as usize];
            let low = dice.chance(50);
            // Enough of the wall is left on the other side.
            if !dice.chance(60) || to - from < width + stub + 18.0 {
                continue;
            }
            let a = if low { from + stub } else { to - stub - width };
            // Across a room from another wall in its line, the door and the room are one gap between two jambs.
            let reach = [a - 150.0, a + width + 150.0];
            let faces_it = |(from, to): &(f64, f64)| *to > reach[0] && *from < reach[1];
            if in_line[i].iter().any(faces_it) {
                continue;
            }
            // Doors on both sides of one wall that passes are one gap in the faces; of a corner with a door on
            // either side nothing is drawn but a post.
            let node = w.point(if low { pair[0].0 } else { pair[1].0 }, 0.0);
            if !taken.insert(node.map(|v| (v * 4.0).round() as i64)) {
                continue;
            }
            w.openings.push([a, a + width]);
            hard.push((i, [a, a + width]));
        }
    }
    (house, hard)
}

/// A way to draw an opening: entities on a door or window layer, in the drawing's units.
fn symbol(style: &mut Style, handle: usize, w: &HouseWall, [a, b]: [f64; 2]) -> String {
    let half = w.thickness / 2.0;
    let lines = |style: &Style, layer: &str, all: &[Line]| {
        let text = all.iter().enumerate();
        text.map(|(k, l)| line_entity(style, handle + k, layer, l)).collect::<String>()
    };
    match style.dice.below(3) {
        0 => lines(style, "A-DOOR", &[(w.point(a, 0.0), w.point(b, 0.0))]),
        1 => {
            let c = [w.point(a, -half), w.point(b, -half), w.point(b, half), w.point(a, half)];
            let sides = [(c[0], c[1]), (c[1], c[2]), (c[2], c[3]), (c[3], c[0])];
            lines(style, "A-GLAZ", &sides)
        }
        _ => {
            // A leaf that stands open to either side, hinged at either jamb, with as much frame at both.
            let frame = style.dice.below(7) as f64 / 8.0;
            let (hinge, latch) = if style.dice.chance(50) { (a, b) } else { (b, a) };
            let inward = (latch - hinge).signum();
            let (hinge, latch) = (hinge + frame * inward, latch - frame * inward);
            let radius = (latch - hinge).abs();
            let up = if style.dice.chance(50) { 1.0 } else { -1.0 };
            let tip = w.point(hinge, radius * up);
            let leaf = lines(style, "A-DOOR", &[(w.point(hinge, 0.0), tip)]);
            let [center, shut, open] =
                [w.point(hinge, 0.0), w.point(latch, 0.0), tip].map(|p| style.put(p));
            let angle = |p: [f64; 2]| (p[1] - center[1]).atan2(p[0] - center[0]).to_degrees();
            // Arcs run counterclockwise.
            let (s, o) = (angle(shut), angle(open));
            let (from, to) = if (o - s).rem_euclid(360.0) < 180.0 { (s, o) } else { (o, s) };
            leaf + &format!(
                "  0\nARC\n  5\n{:X}\n  8\nA-DOOR\n 10\n{:?}\n 20\n{:?}\n 40\n{:?}\n 50\n{from:?}\n 51\n{to:?}\n",
                handle + 4 + 256,
                center[0],
                center[1],
                radius * style.scale()
            )
        }
    }
}

fn read_whole(seed: u64, turn: f64, unit: Unit) -> usize {
    let (house, hard) =
        with_openings_at_walls(house(&mut Dice(seed)), &mut Dice(seed ^ 0x00D0_0125));
    let mut style = Style { dice: Dice(seed), turn, shift: [0.0; 2], mess: false, unit };
    let lines = faces(&house, true);
    let mut text: String =
        lines.iter().enumerate().map(|(i, l)| line_entity(&style, i, "A-WALL", l)).collect();
    for (k, (i, opening)) in hard.iter().enumerate() {
        text += &symbol(&mut style, lines.len() + k * 8, &house.walls[*i], *opening);
    }
    let (m, f) = read_in(&dxf(&text), unit);
    let (want, got) = (truth(&house, &style), seen(&m, &f));
    let outcome = std::panic::catch_unwind(|| {
        compare(&want, &got, NEAR);
        same("openings", &want.openings, &got.openings, near);
    });
    if let Err(e) = outcome {
        println!("seed {seed}, turned {turn}: {house:#?}\n{:#?}", m.walls);
        std::panic::resume_unwind(e);
    }
    hard.len()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    /// All walls, all junctions, all openings, and nothing else.
    #[test]
    fn doors_hard_against_corners_and_tees_are_in_their_walls(seed in any::<u64>()) {
        read_whole(seed, 0.0, Unit::Inch);
        read_whole(seed, 0.0, Unit::Millimetre);
    }
}

/// The test above looks at something.
#[test]
fn houses_have_doors_hard_against_walls() {
    let openings: usize = (0..20).map(|seed| read_whole(seed, 0.0, Unit::Inch)).sum();
    assert!(openings > 60, "{openings}");
}
