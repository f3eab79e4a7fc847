//! Houses whose walls are polylines as wide as the wall, all of them or some, on layers of no telling name.

use crate::by_shape::is_outer;
use crate::draw::{Style, dxf, line_entity, wide_entity};
use crate::house::{Dice, House, HouseWall, Line, faces, house};
use crate::see::{NEAR, compare, near, read, same, seen, truth};

/// A house drawn in two ways at once.
struct Drawing {
    /// Width and line.
    wide: Vec<(f64, Line)>,
    thin: Vec<Line>,
    /// Length of the walls drawn as two faces.
    double: f64,
}

/// Draws the walls that `is_wide` admits as wide lines and the others as two faces. Wide lines stop at the
/// faces of the others, and those at the edges of wide ones.
fn drawn(house: &House, is_wide: &dyn Fn(&HouseWall) -> bool) -> Drawing {
    let crossing = |w: &HouseWall, station: f64| {
        let (along_x, at) = (w.along_x, w.at);
        let there = move |o: &&HouseWall| {
            o.along_x != along_x && o.at == station && o.from <= at && at <= o.to
        };
        house.walls.iter().filter(there)
    };
    let mut doubles = House { walls: Vec::new() };
    let mut wide: Vec<(f64, Line)> = Vec::new();
    for w in &house.walls {
        if !is_wide(w) {
            // Up to the far face of another wall of two faces at a corner, up to the near edge of a wide one.
            let beyond = [w.from, w.to].map(|station| {
                let half = |o: &HouseWall| {
                    if is_wide(o) { -o.thickness / 2.0 } else { o.thickness / 2.0 }
                };
                crossing(w, station)
                    .map(half)
                    .fold(0.0, |a: f64, b| if b < 0.0 { b } else { a.max(b) })
            });
            doubles.walls.push(HouseWall { beyond, ..w.clone() });
            continue;
        }
        let mut out: Vec<[f64; 2]> = w.openings.clone();
        for o in house.walls.iter().filter(|o| o.along_x != w.along_x && !is_wide(o)) {
            let passes = o.from < w.at && w.at < o.to && w.from <= o.at && o.at <= w.to;
            // At a corner of the two only one of them can go through: the wide one.
            if passes {
                out.push([o.at - o.thickness / 2.0, o.at + o.thickness / 2.0]);
            }
        }
        out.sort_by(|a, b| a[0].total_cmp(&b[0]));
        let mut from = w.from;
        for [a, b] in out.into_iter().chain([[w.to, w.to]]) {
            if a > from {
                wide.push((w.thickness, (w.point(from, 0.0), w.point(a, 0.0))));
            }
            from = from.max(b);
        }
    }
    let double = doubles.walls.iter().map(|w| w.to - w.from).sum();
    Drawing { wide, thin: faces(&doubles, true), double }
}

/// What else a sheet has in wide lines, around a plan: a border with a title block, the line under a title,
/// the shaft of a north arrow, a table.
fn noise(house: &House, width: f64) -> Vec<(f64, Line)> {
    let ends = || house.walls.iter().flat_map(|w| [w.point(w.from, 0.0), w.point(w.to, 0.0)]);
    let low = |a: usize| ends().map(|p| p[a]).fold(f64::INFINITY, f64::min);
    let high = |a: usize| ends().map(|p| p[a]).fold(f64::NEG_INFINITY, f64::max);
    let (x0, y0, x1, y1) = (low(0) - 120.0, low(1) - 200.0, high(0) + 240.0, high(1) + 120.0);
    let strip = x1 - 100.0;
    let mut out: Vec<Line> = vec![
        ([x0, y0], [x1, y0]),
        ([x1, y0], [x1, y1]),
        ([x1, y1], [x0, y1]),
        ([x0, y1], [x0, y0]),
        ([strip, y0], [strip, y1]),
        ([strip, y0 + 60.0], [x1, y0 + 60.0]),
        ([strip, y0 + 120.0], [x1, y0 + 120.0]),
        // A title's line, an arrow.
        ([low(0), y0 + 60.0], [low(0) + 160.0, y0 + 60.0]),
        ([strip + 50.0, y1 - 80.0], [strip + 50.0, y1 - 40.0]),
    ];
    // A table in front of the house.
    let (a, b) = ([low(0) + 20.0, y0 + 90.0], [low(0) + 80.0, y0 + 126.0]);
    out.extend([(a, [b[0], a[1]]), ([b[0], a[1]], b), (b, [a[0], b[1]]), ([a[0], b[1]], a)]);
    out.into_iter().map(|l| (width, l)).collect()
}

/// A drawing, and what else is on its sheet in wide lines.
type Sheet = (Drawing, Vec<(f64, Line)>);

struct Score {
    houses: usize,
    whole: usize,
    all: f64,
    lost: f64,
}

/// Reads houses drawn so: nothing may be taken that is no wall.
fn score(seeds: std::ops::Range<u64>, draw: &dyn Fn(&House) -> Option<Sheet>) -> Score {
    let mut score = Score { houses: 0, whole: 0, all: 0.0, lost: 0.0 };
    for seed in seeds {
        let house = house(&mut Dice(seed));
        let Some((d, noise)) = draw(&house) else { continue };
        let mut style = Style::plain(Dice(seed), true);
        let thin = style.mess_up(d.thin.clone());
        let mut wide = d.wide.clone();
        style.dice.shuffle(&mut wide);
        let mut text: String =
            thin.iter().enumerate().map(|(i, l)| line_entity(&style, i, "LAYER1", l)).collect();
        for (i, (width, l)) in wide.iter().chain(&noise).enumerate() {
            let layer = if i < wide.len() { "LAYER2" } else { "LAYER3" };
            text += &wide_entity(&style, thin.len() + i, layer, *width, l);
        }
        let (m, f) = read(&dxf(&text));
        let (want, got) = (truth(&house, &style), seen(&m, &f));
        let length = |r: &[f64; 4]| (r[2] - r[0]).hypot(r[3] - r[1]);
        let same_run = |a: &([f64; 4], f64), b: &([f64; 4], f64)| near(&a.0, &b.0) && a.1 == b.1;
        let missed: Vec<_> =
            want.runs.iter().filter(|w| !got.runs.iter().any(|g| same_run(w, g))).collect();
        let extra = got.runs.iter().find(|g| !want.runs.iter().any(|w| same_run(w, g)));
        assert!(extra.is_none(), "house {seed}: {extra:?} is no wall; missed {missed:?}");
        if missed.is_empty() {
            compare(&want, &got, NEAR);
            same("openings", &want.openings, &got.openings, near);
            score.whole += 1;
        }
        score.houses += 1;
        score.all += want.runs.iter().map(|r| length(&r.0)).sum::<f64>();
        score.lost += missed.iter().map(|r| length(&r.0)).sum::<f64>();
    }
    let Score { houses, whole, all, lost } = score;
    println!("{whole} of {houses} houses whole, {:.2} % of the length missed", lost / all * 100.0);
    score
}

fn wide_length(d: &Drawing) -> f64 {
    d.wide.iter().map(|(_, l)| (l.1[0] - l.0[0]).hypot(l.1[1] - l.0[1])).sum()
}

/// All walls are wide lines, broken at doors and windows, on a sheet with a border drawn with the same pen. A
/// wall that touches no other may be left out.
#[test]
fn a_plan_of_wide_lines_is_read_by_its_shape() {
    let s = score(0..300, &|house| {
        let d = drawn(house, &|_| true);
        (wide_length(&d) >= 720.0).then(|| (d, noise(house, 3.0)))
    });
    assert!(s.houses > 100 && s.whole * 100 >= s.houses * 90 && s.lost * 100.0 <= s.all);
}

/// Partitions as wide lines between outer walls of two faces, or the other way round.
#[test]
fn wide_lines_among_faces_are_walls() {
    for outer_wide in [false, true] {
        let s = score(0..300, &|house| {
            let d = drawn(house, &|w| is_outer(house, w) == outer_wide);
            let enough = d.double >= 480.0 && wide_length(&d) >= 120.0;
            enough.then(|| (d, noise(house, 3.0)))
        });
        assert!(s.houses > 100 && s.whole * 100 >= s.houses * 90 && s.lost * 100.0 <= s.all);
    }
}

/// Everything drawn with one thick pen, a wall's faces too: the width is the pen's and tells nothing.
#[test]
fn a_thick_pen_makes_no_walls() {
    for seed in 0..60 {
        let house = house(&mut Dice(seed));
        let style = Style::plain(Dice(seed), false);
        let lines = faces(&house, true);
        let thin: String =
            lines.iter().enumerate().map(|(i, l)| line_entity(&style, i, "LAYER1", l)).collect();
        let thick: String = lines
            .iter()
            .enumerate()
            .map(|(i, l)| wide_entity(&style, i, "LAYER1", 3.5, l))
            .collect();
        let (thin, thick) = (read(&dxf(&thin)).0, read(&dxf(&thick)).0);
        assert_eq!(thin.walls.len(), thick.walls.len(), "house {seed}");
        for (a, b) in thin.walls.iter().zip(&thick.walls) {
            assert_eq!((a.start, a.end, a.section), (b.start, b.end, b.section), "house {seed}");
        }
    }
}

/// Walls thicker than any that their faces tell the section of, filled with polylines as wide: the width tells
/// it, as on a wall layer.
#[test]
fn a_wall_filled_by_its_own_width_has_the_section_of_that() {
    let wall = |along_x, at, to, openings| HouseWall {
        along_x,
        at,
        from: 0.0,
        to,
        beyond: [5.0; 2],
        thickness: 10.0,
        openings,
    };
    let house = House {
        walls: vec![
            wall(true, 0.0, 320.0, vec![[60.0, 96.0]]),
            wall(true, 240.0, 320.0, Vec::new()),
            wall(false, 0.0, 240.0, vec![[100.0, 140.0]]),
            wall(false, 160.0, 240.0, Vec::new()),
            wall(false, 320.0, 240.0, Vec::new()),
        ],
    };
    let style = Style::plain(Dice(0), false);
    let thin = faces(&house, true);
    let mut text: String =
        thin.iter().enumerate().map(|(i, l)| line_entity(&style, i, "LAYER1", l)).collect();
    for (i, (width, l)) in drawn(&house, &|_| true).wide.iter().enumerate() {
        text += &wide_entity(&style, thin.len() + i, "LAYER2", *width, l);
    }
    let (m, f) = read(&dxf(&text));
    let got = seen(&m, &f);
    assert_eq!(m.walls.len(), 5);
    assert!(m.walls.iter().all(|w| w.section.width().to_inches() == 9.25));
    let want = truth(&house, &style);
    same("openings", &want.openings, &got.openings, near);
}
