//! Generated houses, drawn as centrelines clean and messy, as wide lines, as faces, as closed outlines
//! and inside mirrored blocks: the same walls and junctions must come out of all of them.
//!
//! A house is an irregular grid: some walls of it stand, each line of the grid has its own stud width,
//! walls have openings. The truth is known by construction; centrelines are read beside it as a second
//! witness. Square, turned, in inches and millimetres.

use geom::{Point, Unit};
use proptest::prelude::*;
use settings::Settings;
use std::collections::{BTreeMap, BTreeSet};
use wall_model::WallModel;
use wall_model::floor::{Floor, JunctionKind};

/// Numbers from a seed (splitmix64, S. Vigna, public domain; from memory).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
    fn below(&mut self, n: u64) -> u64 {
        self.next() % n
    }
    fn chance(&mut self, percent: u64) -> bool {
        self.below(100) < percent
    }
    fn shuffle<T>(&mut self, list: &mut [T]) {
        for i in (1..list.len()).rev() {
            list.swap(i, self.below(i as u64 + 1) as usize);
        }
    }
}

/// A wall: along x or y, at, from, to, thickness; openings by station.
#[derive(Clone, Debug)]
struct House {
    walls: Vec<HouseWall>,
}

#[derive(Clone, Debug)]
struct HouseWall {
    along_x: bool,
    at: f64,
    from: f64,
    to: f64,
    /// How far its faces run beyond its ends: half of what it meets there.
    beyond: [f64; 2],
    thickness: f64,
    openings: Vec<[f64; 2]>,
}

impl HouseWall {
    fn point(&self, station: f64, off: f64) -> [f64; 2] {
        if self.along_x { [station, self.at + off] } else { [self.at + off, station] }
    }
}

/// Grid positions in quarter inches, so that all corners are exact.
fn grid(dice: &mut Dice, lines: u64) -> Vec<f64> {
    let mut at = 0.0;
    (0..lines)
        .map(|_| {
            let here = at;
            at += 48.0 + dice.below(600) as f64 / 4.0;
            here
        })
        .collect()
}

fn house(dice: &mut Dice) -> House {
    let (nx, ny) = (2 + dice.below(4), 2 + dice.below(4));
    let axes = [grid(dice, nx), grid(dice, ny)];
    let mut walls = Vec::new();
    // stands[axis][line][cell]: whether the wall on a grid line stands along a cell.
    let mut stands: [Vec<Vec<bool>>; 2] = [Vec::new(), Vec::new()];
    let mut thick: [Vec<f64>; 2] = [Vec::new(), Vec::new()];
    for axis in 0..2 {
        // Axis 0: walls along x, on the lines of y.
        let (lines, cells) = (axes[1 - axis].len(), axes[axis].len() - 1);
        for line in 0..lines {
            let outside = line == 0 || line == lines - 1;
            stands[axis].push((0..cells).map(|_| outside || dice.chance(65)).collect());
            thick[axis].push(if outside || dice.chance(20) { 5.5 } else { 3.5 });
        }
    }
    fill_in_line(&mut stands, &axes);
    for axis in 0..2 {
        for line in 0..stands[axis].len() {
            let mut cell = 0;
            while cell < stands[axis][line].len() {
                if !stands[axis][line][cell] {
                    cell += 1;
                    continue;
                }
                let first = cell;
                while cell < stands[axis][line].len() && stands[axis][line][cell] {
                    cell += 1;
                }
                let across = |node: usize| {
                    // Thickness of the wall on the crossing line at this node, if it stands there.
                    let other = &stands[1 - axis][node];
                    let here = (line > 0 && other[line - 1]) || other.get(line) == Some(&true);
                    if here { thick[1 - axis][node] / 2.0 } else { 0.0 }
                };
                let mut openings = Vec::new();
                for c in first..cell {
                    let (from, to) = (axes[axis][c], axes[axis][c + 1]);
                    let width = 18.0 + dice.below(220) as f64 / 4.0;
                    let room = to - from - width - 2.0 * 6.0;
                    if room > 1.0 && dice.chance(50) {
                        let a = from + 6.0 + (dice.below((room * 4.0) as u64) as f64) / 4.0;
                        openings.push([a, a + width]);
                    }
                }
                walls.push(HouseWall {
                    along_x: axis == 0,
                    at: axes[1 - axis][line],
                    from: axes[axis][first],
                    to: axes[axis][cell],
                    beyond: [across(first), across(cell)],
                    thickness: thick[axis][line],
                    openings,
                });
            }
        }
    }
    House { walls }
}

/// Two free ends that face each other in line within 12 ft are an opening to anybody who reads the
/// plan: such gaps are walled up, until none is left.
fn fill_in_line(stands: &mut [Vec<Vec<bool>>; 2], axes: &[Vec<f64>; 2]) {
    loop {
        let mut fill: Option<[usize; 3]> = None;
        for axis in 0..2 {
            for line in 0..stands[axis].len() {
                let row = &stands[axis][line];
                let free = |node: usize| {
                    let other = &stands[1 - axis][node];
                    !(line > 0 && other[line - 1]) && other.get(line) != Some(&true)
                };
                for first in 1..row.len() {
                    if row[first] || !row[first - 1] {
                        continue;
                    }
                    let Some(next) = (first..row.len()).find(|c| row[*c]) else { continue };
                    let gap = axes[axis][next] - axes[axis][first];
                    if gap <= 150.0 && free(first) && free(next) {
                        fill = Some([axis, line, first]);
                    }
                }
            }
        }
        let Some([axis, line, cell]) = fill else { return };
        stands[axis][line][cell] = true;
    }
}

type Line = ([f64; 2], [f64; 2]);

/// Closed loops around what the walls cover, openings cut out.
fn outlines(house: &House) -> Vec<Vec<[f64; 2]>> {
    let key = |v: f64| (v * 64.0).round() as i64;
    let rect = |w: &HouseWall, from: f64, to: f64| {
        let (p, q) = (w.point(from, -w.thickness / 2.0), w.point(to, w.thickness / 2.0));
        [key(p[0]), key(p[1]), key(q[0]), key(q[1])]
    };
    let mut solid: Vec<[i64; 4]> = Vec::new();
    let mut holes: Vec<[i64; 4]> = Vec::new();
    for w in &house.walls {
        solid.push(rect(w, w.from - w.beyond[0], w.to + w.beyond[1]));
        holes.extend(w.openings.iter().map(|o| rect(w, o[0], o[1])));
    }
    let axis = |i: usize| -> Vec<i64> {
        let all = solid.iter().chain(&holes).flat_map(|r| [r[i], r[i + 2]]);
        all.collect::<BTreeSet<i64>>().into_iter().collect()
    };
    let (xs, ys) = (axis(0), axis(1));
    let covers = |r: &[i64; 4], x: i64, y: i64| r[0] <= x && x < r[2] && r[1] <= y && y < r[3];
    let filled = |i: i64, j: i64| {
        let (Ok(i), Ok(j)) = (usize::try_from(i), usize::try_from(j)) else { return false };
        if i + 1 >= xs.len() || j + 1 >= ys.len() {
            return false;
        }
        let (x, y) = (xs[i], ys[j]);
        solid.iter().any(|r| covers(r, x, y)) && !holes.iter().any(|r| covers(r, x, y))
    };
    // Edges with the solid on their left, by start.
    let mut edges: BTreeMap<(i64, i64), Vec<(i64, i64)>> = BTreeMap::new();
    for i in 0..xs.len() as i64 {
        for j in 0..ys.len() as i64 {
            if !filled(i, j) {
                continue;
            }
            let mut edge = |a, b| edges.entry(a).or_default().push(b);
            if !filled(i, j - 1) {
                edge((i, j), (i + 1, j));
            }
            if !filled(i + 1, j) {
                edge((i + 1, j), (i + 1, j + 1));
            }
            if !filled(i, j + 1) {
                edge((i + 1, j + 1), (i, j + 1));
            }
            if !filled(i - 1, j) {
                edge((i, j + 1), (i, j));
            }
        }
    }
    let mut out = Vec::new();
    while let Some((start, mut next)) = edges.pop_first() {
        let mut at = next.pop().expect("an edge");
        if !next.is_empty() {
            edges.insert(start, next);
        }
        let mut nodes = vec![start];
        while at != start {
            nodes.push(at);
            let mut following = edges.remove(&at).expect("loops close");
            let to = following.pop().expect("an edge");
            if !following.is_empty() {
                edges.insert(at, following);
            }
            at = to;
        }
        // Only real corners.
        let n = nodes.len();
        let corner = |k: usize| {
            let (p, q, r) = (nodes[(k + n - 1) % n], nodes[k], nodes[(k + 1) % n]);
            (p.0 == q.0) != (q.0 == r.0)
        };
        let point = |k: usize| {
            let (i, j) = nodes[k];
            [xs[i as usize] as f64 / 64.0, ys[j as usize] as f64 / 64.0]
        };
        out.push((0..n).filter(|k| corner(*k)).map(point).collect());
    }
    out
}

/// The outlines' sides as lines; those that close an opening only with `jambs`.
fn faces(house: &House, jambs: bool) -> Vec<Line> {
    let mut out = Vec::new();
    for loop_ in outlines(house) {
        for (k, a) in loop_.iter().enumerate() {
            let b = loop_[(k + 1) % loop_.len()];
            let is_jamb = house.walls.iter().any(|w| {
                w.openings.iter().flatten().any(|s| {
                    let (p, q) = (w.point(*s, -w.thickness / 2.0), w.point(*s, w.thickness / 2.0));
                    (p == *a && q == b) || (p == b && q == *a)
                })
            });
            if jambs || !is_jamb {
                out.push((*a, b));
            }
        }
    }
    out
}

/// How a drawing is messed up.
struct Style {
    dice: Dice,
    turn: f64,
    shift: [f64; 2],
    mess: bool,
    unit: Unit,
}

impl Style {
    /// Square to the sheet, in inches.
    fn plain(dice: Dice, mess: bool) -> Style {
        Style { dice, turn: 0.0, shift: [0.0; 2], mess, unit: Unit::Inch }
    }
    /// Drawing units in an inch.
    fn scale(&self) -> f64 {
        1.0 / self.unit.inches()
    }
    fn put(&self, p: [f64; 2]) -> [f64; 2] {
        let (s, c) = if self.turn == 0.0 { (0.0, 1.0) } else { self.turn.to_radians().sin_cos() };
        let at = [p[0] * c - p[1] * s + self.shift[0], p[0] * s + p[1] * c + self.shift[1]];
        at.map(|v| v * self.scale())
    }
    /// Lines out of order, backwards, broken, twice over.
    fn mess_up(&mut self, lines: Vec<Line>) -> Vec<Line> {
        if !self.mess {
            return lines;
        }
        let mut out = Vec::new();
        for (a, b) in lines {
            let at = |t: f64| [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t];
            let cut =
                if self.dice.chance(30) { 0.1 + self.dice.below(80) as f64 / 100.0 } else { 1.0 };
            // The second piece may overlap the first.
            let back = if self.dice.chance(50) { cut * 0.5 } else { cut };
            out.push((a, at(cut)));
            if cut < 1.0 {
                out.push((at(back), b));
            }
            if self.dice.chance(15) {
                out.push((a, b));
            }
        }
        for l in &mut out {
            if self.dice.chance(50) {
                *l = (l.1, l.0);
            }
        }
        self.dice.shuffle(&mut out);
        out
    }
}

fn dxf(entities: &str) -> String {
    format!(
        "  0\nSECTION\n  2\nHEADER\n  9\n$ACADVER\n  1\nAC1015\n  9\n$INSUNITS\n 70\n1\n  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n{entities}  0\nENDSEC\n  0\nEOF\n"
    )
}

fn line_entity(style: &Style, handle: usize, layer: &str, l: &Line) -> String {
    let (a, b) = (style.put(l.0), style.put(l.1));
    format!(
        "  0\nLINE\n  5\n{:X}\n  8\n{layer}\n 10\n{:?}\n 20\n{:?}\n 11\n{:?}\n 21\n{:?}\n",
        handle + 256,
        a[0],
        a[1],
        b[0],
        b[1]
    )
}

fn loop_entity(style: &Style, handle: usize, points: &[[f64; 2]]) -> String {
    let mut out = format!(
        "  0\nLWPOLYLINE\n  5\n{:X}\n  8\nA-WALL\n 90\n{}\n 70\n1\n",
        handle + 256,
        points.len()
    );
    for p in points {
        let p = style.put(*p);
        out += &format!(" 10\n{:?}\n 20\n{:?}\n", p[0], p[1]);
    }
    out
}

fn centrelines(house: &House, style: &mut Style) -> String {
    // Broken and doubled centrelines are another test's matter: here they are the witness.
    let mut out = String::new();
    for (i, w) in house.walls.iter().enumerate() {
        let layer = if w.thickness > 4.0 { "A-WALL-2X6" } else { "A-WALL-2X4" };
        out += &line_entity(style, i, layer, &(w.point(w.from, 0.0), w.point(w.to, 0.0)));
    }
    dxf(&out)
}

/// Centrelines as people draw them: in pieces, backwards, twice, a little short or long, a little off
/// square. Every slip stays within the tolerance of 3/8 in.
fn messy_centrelines(house: &House, style: &mut Style) -> String {
    let mut pieces: Vec<(&'static str, Line)> = Vec::new();
    for w in &house.walls {
        let layer = if w.thickness > 4.0 { "A-WALL-2X6" } else { "A-WALL-2X4" };
        let mut cuts = vec![w.from, w.to];
        if style.dice.chance(40) {
            let share = 0.2 + style.dice.below(60) as f64 / 100.0;
            let at = w.from + (w.to - w.from) * share;
            // A seam beside a crossing wall is another matter: which of the two the wall meets.
            let beside = |o: &HouseWall| o.along_x != w.along_x && (o.at - at).abs() < 6.0;
            if !house.walls.iter().any(beside) {
                cuts.insert(1, at);
            }
        }
        for ends in cuts.windows(2) {
            let twice = 1 + usize::from(style.dice.chance(15));
            for _ in 0..twice {
                // Up to 1/8 in short or long at each end.
                let mut slip = || (style.dice.below(17) as f64 - 8.0) / 64.0;
                let (from, to) = (ends[0] + slip(), ends[1] + slip());
                // 0.02 degrees, but no more than 1/8 in over the piece.
                let steep = 0.02_f64.to_radians().tan().min(0.125 / (to - from));
                let off = (to - from) / 2.0 * steep * (style.dice.below(3) as f64 - 1.0);
                let line = (w.point(from, -off), w.point(to, off));
                pieces.push((layer, if style.dice.chance(50) { (line.1, line.0) } else { line }));
            }
        }
    }
    style.dice.shuffle(&mut pieces);
    let text = pieces.iter().enumerate().map(|(i, (layer, l))| line_entity(style, i, layer, l));
    dxf(&text.collect::<String>())
}

/// One polyline a wall, as wide as the wall.
fn wide_lines(house: &House, style: &mut Style) -> String {
    let mut out = String::new();
    for (i, w) in house.walls.iter().enumerate() {
        let points = [w.point(w.from, 0.0), w.point(w.to, 0.0)].map(|p| style.put(p));
        out += &format!(
            "  0\nLWPOLYLINE\n  5\n{:X}\n  8\nA-WALL\n 90\n2\n 70\n0\n 43\n{:?}\n",
            i + 256,
            w.thickness * style.scale()
        );
        for p in points {
            out += &format!(" 10\n{:?}\n 20\n{:?}\n", p[0], p[1]);
        }
    }
    dxf(&out)
}

/// Mirror and turn as INSERT does: scale, turn by quarters, move.
#[derive(Clone, Copy)]
struct Placing {
    scale: [f64; 2],
    quarters: u64,
    at: [f64; 2],
}

impl Placing {
    fn of(dice: &mut Dice) -> Placing {
        let sign = |d: &mut Dice| if d.chance(50) { -1.0 } else { 1.0 };
        Placing {
            scale: [sign(dice), sign(dice)],
            quarters: dice.below(4),
            at: [dice.below(4000) as f64 - 2000.0, dice.below(4000) as f64 - 2000.0],
        }
    }
    /// Where a point must be in the block to land here.
    fn back(&self, p: [f64; 2]) -> [f64; 2] {
        let d = [p[0] - self.at[0], p[1] - self.at[1]];
        let turned = match self.quarters {
            0 => d,
            1 => [d[1], -d[0]],
            2 => [-d[0], -d[1]],
            _ => [-d[1], d[0]],
        };
        [turned[0] / self.scale[0], turned[1] / self.scale[1]]
    }
    fn insert(&self, handle: usize, layer: &str, block: &str) -> String {
        format!(
            "  0\nINSERT\n  5\n{:X}\n  8\n{layer}\n  2\n{block}\n 10\n{:?}\n 20\n{:?}\n 41\n{:?}\n 42\n{:?}\n 50\n{:?}\n",
            handle + 256,
            self.at[0],
            self.at[1],
            self.scale[0],
            self.scale[1],
            self.quarters as f64 * 90.0
        )
    }
}

/// The faces inside blocks that are mirrored and turned: each line in one of two inner blocks on layer
/// 0, those in an outer block, that in the model.
fn mirrored_blocks(house: &House, style: &mut Style) -> String {
    let outer = Placing::of(&mut style.dice);
    let inner = [Placing::of(&mut style.dice), Placing::of(&mut style.dice)];
    let mut blocks = [String::new(), String::new()];
    for (i, l) in faces(house, true).iter().enumerate() {
        let which = style.dice.below(2) as usize;
        let place = |p: [f64; 2]| inner[which].back(outer.back(style.put(p)));
        let plain = Style::plain(Dice(0), false);
        blocks[which] += &line_entity(&plain, i, "0", &(place(l.0), place(l.1)));
    }
    let block = |name: &str, entities: &str| {
        format!(
            "  0\nBLOCK\n  8\n0\n  2\n{name}\n 70\n0\n 10\n0.0\n 20\n0.0\n{entities}  0\nENDBLK\n"
        )
    };
    let nested = inner[0].insert(90_001, "0", "ONE") + &inner[1].insert(90_002, "0", "TWO");
    let all =
        [block("ONE", &blocks[0]), block("TWO", &blocks[1]), block("HOUSE", &nested)].concat();
    dxf(&outer.insert(90_003, "A-WALL", "HOUSE")).replacen(
        "  0\nSECTION\n  2\nENTITIES\n",
        &format!("  0\nSECTION\n  2\nBLOCKS\n{all}  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n"),
        1,
    )
}

fn face_drawing(house: &House, style: &mut Style, jambs: bool) -> String {
    let lines = style.mess_up(faces(house, jambs));
    let text: String =
        lines.iter().enumerate().map(|(i, l)| line_entity(style, i, "A-WALL", l)).collect();
    dxf(&text)
}

fn outline_drawing(house: &House, style: &mut Style) -> String {
    let mut loops = outlines(house);
    style.dice.shuffle(&mut loops);
    for l in &mut loops {
        if style.mess && style.dice.chance(50) {
            l.reverse();
        }
    }
    let text: String = loops.iter().enumerate().map(|(i, l)| loop_entity(style, i, l)).collect();
    dxf(&text)
}

fn read(text: &str) -> (WallModel, Floor) {
    read_in(text, Unit::Inch)
}

fn read_in(text: &str, unit: Unit) -> (WallModel, Floor) {
    let settings = Settings { units: Some(unit), ..Settings::default() };
    let out = import_dxf::read(text.as_bytes(), &settings)
        .unwrap_or_else(|r| panic!("refused: {r}\n{text}"));
    let m = &out.value;
    assert_eq!(m.ledger.read(), m.ledger.used() + m.ledger.ignored_total());
    for w in &m.walls {
        assert!(!w.source.is_empty());
    }
    let floor = wall_graph::build(m, &settings).value;
    (out.value, floor)
}

/// Runs as ends in the drawing's frame with the stud width; junctions as places with kind.
#[derive(Debug)]
struct Seen {
    runs: Vec<([f64; 4], f64)>,
    junctions: Vec<([f64; 2], &'static str)>,
    openings: Vec<[f64; 2]>,
}

fn seen(m: &WallModel, f: &Floor) -> Seen {
    let back =
        |p: Point| [p.x.to_inches() + m.origin_inches.0, p.y.to_inches() + m.origin_inches.1];
    let runs = f.runs.iter().map(|r| {
        let (a, b) = (back(r.start), back(r.end));
        ([a[0], a[1], b[0], b[1]], r.section.width().to_inches())
    });
    let openings = f.walls.iter().flat_map(|w| {
        let (a, b, l) = (back(w.start), back(w.end), w.start.distance(w.end).to_inches());
        let at = move |s: f64| [a[0] + (b[0] - a[0]) * s / l, a[1] + (b[1] - a[1]) * s / l];
        w.openings.iter().flat_map(move |o| [at(o.from.to_inches()), at(o.to.to_inches())])
    });
    Seen {
        runs: runs.collect(),
        junctions: f.junctions.iter().map(|j| (back(j.at), j.kind.name())).collect(),
        openings: openings.collect(),
    }
}

const NEAR: f64 = 1.0 / 16.0;

fn near<const N: usize>(a: &[f64; N], b: &[f64; N]) -> bool {
    a.iter().zip(b).all(|(x, y)| (x - y).abs() <= NEAR)
}

/// Every one of `a` has its own of `b`, and the other way round.
fn same<T: std::fmt::Debug>(what: &str, a: &[T], b: &[T], equal: impl Fn(&T, &T) -> bool) {
    let lost: Vec<&T> = a.iter().filter(|x| !b.iter().any(|y| equal(x, y))).collect();
    let extra: Vec<&T> = b.iter().filter(|y| !a.iter().any(|x| equal(x, y))).collect();
    assert!(
        lost.is_empty() && extra.is_empty() && a.len() == b.len(),
        "{what}: lost {lost:?}, extra {extra:?}, {} against {}",
        a.len(),
        b.len()
    );
}

/// Metric lumber of 89 and 140 mm is what a 3-1/2 or 5-1/2 in wall of a drawing in millimetres gets.
fn same_stud(a: f64, b: f64) -> bool {
    (a - b).abs() < 0.02
}

fn compare(want: &Seen, got: &Seen, slack: f64) {
    let close = |a: &[f64], b: &[f64]| a.iter().zip(b).all(|(x, y)| (x - y).abs() <= slack);
    same("runs", &want.runs, &got.runs, |x, y| {
        let turned = [y.0[2], y.0[3], y.0[0], y.0[1]];
        (close(&x.0, &y.0) || close(&x.0, &turned)) && same_stud(x.1, y.1)
    });
    same("junctions", &want.junctions, &got.junctions, |x, y| close(&x.0, &y.0) && x.1 == y.1);
}

/// What the house is by construction: every wall a run; at each corner of the grid, what meets there.
fn truth(house: &House, style: &Style) -> Seen {
    let put = |p: [f64; 2]| style.put(p).map(|v| v / style.scale());
    let runs = house.walls.iter().map(|w| {
        let (a, b) = (put(w.point(w.from, 0.0)), put(w.point(w.to, 0.0)));
        ([a[0], a[1], b[0], b[1]], w.thickness)
    });
    // By place in quarter inches: walls that end there, walls that pass.
    let mut nodes: BTreeMap<[i64; 2], [usize; 2]> = BTreeMap::new();
    let key = |p: [f64; 2]| p.map(|v| (v * 4.0).round() as i64);
    for w in &house.walls {
        for s in [w.from, w.to] {
            nodes.entry(key(w.point(s, 0.0))).or_default()[0] += 1;
        }
        for o in house.walls.iter().filter(|o| o.along_x != w.along_x) {
            let passes = o.at > w.from && o.at < w.to && o.from <= w.at && w.at <= o.to;
            if passes {
                nodes.entry(key(w.point(o.at, 0.0))).or_default()[1] += 1;
            }
        }
    }
    let junctions = nodes.into_iter().map(|(at, ends_and_passing)| {
        let kind = match ends_and_passing {
            [1, 0] => JunctionKind::End,
            [2, 0] => JunctionKind::L,
            [1, 1] => JunctionKind::T,
            [0, 2] => JunctionKind::X,
            other => unreachable!("{other:?}"),
        };
        (put(at.map(|v| v as f64 / 4.0)), kind.name())
    });
    let places =
        house.walls.iter().flat_map(|w| w.openings.iter().flatten().map(|s| put(w.point(*s, 0.0))));
    Seen { runs: runs.collect(), junctions: junctions.collect(), openings: places.collect() }
}

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

    /// On a layer of no telling name, the same walls are found by their shape. Openings are gaps.
    #[test]
    fn by_their_shape_walls_are_found_too(seed in any::<u64>()) {
        let house = house(&mut Dice(seed));
        let style = |mess| Style::plain(Dice(seed), mess);
        let text = face_drawing(&house, &mut style(true), true);
        let (named, by_shape) = (read(&text).0, read(&text.replace("A-WALL", "LAYER1")).0);
        // A wall that stands by itself looks least like one: it may be left out, nothing else, and nothing added.
        let extra = by_shape.walls.iter().find(|w| !has(&named, w));
        prop_assert!(extra.is_none(), "{extra:?}");
        for lost in named.walls.iter().filter(|w| !has(&by_shape, w)) {
            let near = named.walls.iter().filter(|w| *w != lost).find(|w| meet(w, lost));
            prop_assert!(near.is_none(), "lost {lost:?}, which meets {near:?}");
        }
    }
}

/// A house drawn in two ways at once.
struct Mixed {
    /// As it is to be read: what is one line is a 2x4.
    read_as: House,
    lines: Vec<Line>,
    /// Length of the walls drawn as one line and as two.
    single: f64,
    double: f64,
    /// Of the wall drawn least as one line, what is drawn beside its openings.
    least_drawn: f64,
}

/// The house with some walls as two faces and some as one line: the outer ones single, or the partitions.
/// Walls with a free end are always two faces.
fn mixed(house: &House, outer_single: bool) -> Mixed {
    let outer = |w: &HouseWall| {
        let own = house.walls.iter().filter(|o| o.along_x == w.along_x).map(|o| o.at);
        own.clone().all(|at| at >= w.at) || own.clone().all(|at| at <= w.at)
    };
    let crossing = |w: &HouseWall, station: f64| {
        let (along_x, at) = (w.along_x, w.at);
        let there = move |o: &&HouseWall| {
            o.along_x != along_x && o.at == station && o.from <= at && at <= o.to
        };
        house.walls.iter().filter(there)
    };
    let single = |w: &HouseWall| {
        outer(w) == outer_single && [w.from, w.to].iter().all(|s| crossing(w, *s).next().is_some())
    };
    let mut doubles = House { walls: Vec::new() };
    let mut read = House { walls: Vec::new() };
    let mut lines: Vec<Line> = Vec::new();
    let mut least_drawn = f64::INFINITY;
    for w in &house.walls {
        if !single(w) {
            let half = |station: f64| {
                let thick = crossing(w, station).filter(|o| !single(o)).map(|o| o.thickness / 2.0);
                thick.fold(0.0, f64::max)
            };
            let beyond = [half(w.from), half(w.to)];
            doubles.walls.push(HouseWall { beyond, ..w.clone() });
            read.walls.push(w.clone());
            continue;
        }
        read.walls.push(HouseWall { thickness: 3.5, ..w.clone() });
        // Not drawn in openings, nor in walls of two faces that pass or that it ends at.
        let mut out: Vec<[f64; 2]> = w.openings.clone();
        for o in house.walls.iter().filter(|o| o.along_x != w.along_x && !single(o)) {
            let passes = o.from < w.at && w.at < o.to && w.from <= o.at && o.at <= w.to;
            let ends = (o.at == w.from || o.at == w.to) && o.from <= w.at && w.at <= o.to;
            if passes || ends {
                out.push([o.at - o.thickness / 2.0, o.at + o.thickness / 2.0]);
            }
        }
        out.sort_by(|a, b| a[0].total_cmp(&b[0]));
        let (mut from, mut drawn) = (w.from, 0.0);
        for [a, b] in out.into_iter().chain([[w.to, w.to]]) {
            if a > from {
                lines.push((w.point(from, 0.0), w.point(a, 0.0)));
                drawn += a - from;
            }
            from = from.max(b);
        }
        least_drawn = least_drawn.min(drawn);
    }
    lines.extend(faces(&doubles, true));
    let long = |walls: &[HouseWall]| walls.iter().map(|w| w.to - w.from).sum::<f64>();
    let double = long(&doubles.walls);
    Mixed { single: long(&read.walls) - double, read_as: read, lines, double, least_drawn }
}

/// Some walls as two faces, some as one line, on a layer of no telling name: nothing is taken for a wall that is
/// none, and hardly a wall is missed. What is missed is among short walls that end at each other.
#[test]
fn single_lines_among_faces_are_found_by_their_shape() {
    let (mut houses, mut whole, mut all, mut lost) = (0, 0, 0.0, 0.0);
    for (seed, outer_single) in (0..400).flat_map(|seed| [(seed, false), (seed, true)]) {
        let house = house(&mut Dice(seed));
        let Mixed { read_as, lines, single, double, least_drawn } = mixed(&house, outer_single);
        // Fewer lines are offered too, but not believed; less wall of two faces is no plan to hang them on. A wall
        // drawn for less than a foot beside its doors is not taken for one.
        if double < 600.0 || single < (single + double) * 0.35 || least_drawn < 12.0 {
            continue;
        }
        let mut style = Style::plain(Dice(seed), true);
        let lines = style.mess_up(lines);
        let text: String =
            lines.iter().enumerate().map(|(i, l)| line_entity(&style, i, "LAYER1", l)).collect();
        let (m, f) = read(&dxf(&text));
        let (want, got) = (truth(&read_as, &style), seen(&m, &f));
        let length = |r: &[f64; 4]| (r[2] - r[0]).hypot(r[3] - r[1]);
        let same_run = |a: &([f64; 4], f64), b: &([f64; 4], f64)| near(&a.0, &b.0) && a.1 == b.1;
        let missed: Vec<_> =
            want.runs.iter().filter(|w| !got.runs.iter().any(|g| same_run(w, g))).collect();
        let extra = got.runs.iter().find(|g| !want.runs.iter().any(|w| same_run(w, g)));
        assert!(extra.is_none(), "house {seed}, {outer_single}: {extra:?} is no wall");
        if missed.is_empty() {
            compare(&want, &got, NEAR);
            same("openings", &want.openings, &got.openings, near);
            whole += 1;
        }
        houses += 1;
        all += want.runs.iter().map(|r| length(&r.0)).sum::<f64>();
        lost += missed.iter().map(|r| length(&r.0)).sum::<f64>();
    }
    println!("{whole} of {houses} houses whole, {:.2} % of the length missed", lost / all * 100.0);
    assert!(
        houses > 100 && whole * 100 >= houses * 97 && lost * 200.0 <= all,
        "{whole} of {houses}, {lost} of {all}"
    );
}

/// Whether an end of one is within a foot of the other.
fn meet(a: &wall_model::Wall, b: &wall_model::Wall) -> bool {
    let off = |p: geom::Point, w: &wall_model::Wall| {
        let (frame, long) =
            (geom::Frame::between(w.start, w.end).expect("a wall has length"), w.length());
        let (station, aside) = frame.locate(p);
        let past = (-station).max(station - long).max(geom::Length::ZERO);
        past.to_inches().hypot(aside.to_inches())
    };
    [off(a.start, b), off(a.end, b), off(b.start, a), off(b.end, a)].iter().any(|d| *d <= 12.0)
}
fn has(m: &WallModel, wall: &wall_model::Wall) -> bool {
    m.walls.iter().any(|w| (w.start, w.end, w.section) == (wall.start, wall.end, wall.section))
}

/// The same lines in another order give the same bytes.
#[test]
fn the_order_of_faces_does_not_show() {
    for seed in 0..20 {
        let house = house(&mut Dice(seed));
        let style = Style::plain(Dice(0), false);
        let entities: Vec<String> = faces(&house, true)
            .iter()
            .enumerate()
            .map(|(i, l)| line_entity(&style, i, "A-WALL", l))
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
