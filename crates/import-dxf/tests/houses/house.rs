//! Generated houses: an irregular grid of which some walls stand, each line of the grid with its own stud width,
//! walls with openings.

use std::collections::{BTreeMap, BTreeSet};

/// Numbers from a seed (splitmix64, S. Vigna, public domain; from memory).
pub struct Dice(pub u64);

impl Dice {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
    pub fn below(&mut self, n: u64) -> u64 {
        self.next() % n
    }
    pub fn chance(&mut self, percent: u64) -> bool {
        self.below(100) < percent
    }
    pub fn shuffle<T>(&mut self, list: &mut [T]) {
        for i in (1..list.len()).rev() {
            list.swap(i, self.below(i as u64 + 1) as usize);
        }
    }
}

/// A wall: along x or y, at, from, to, thickness; openings by station.
#[derive(Clone, Debug)]
pub struct House {
    pub walls: Vec<HouseWall>,
}

#[derive(Clone, Debug)]
pub struct HouseWall {
    pub along_x: bool,
    pub at: f64,
    pub from: f64,
    pub to: f64,
    /// How far its faces run beyond its ends: half of what it meets there.
    pub beyond: [f64; 2],
    pub thickness: f64,
    pub openings: Vec<[f64; 2]>,
}

impl HouseWall {
    pub fn point(&self, station: f64, off: f64) -> [f64; 2] {
        if self.along_x { [station, self.at + off] } else { [self.at + off, station] }
    }
}

/// Grid positions in quarter inches, so that all corners are exact.
pub fn grid(dice: &mut Dice, lines: u64) -> Vec<f64> {
    let mut at = 0.0;
    (0..lines)
        .map(|_| {
            let here = at;
            at += 48.0 + dice.below(600) as f64 / 4.0;
            here
        })
        .collect()
}

pub fn house(dice: &mut Dice) -> House {
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
pub fn fill_in_line(stands: &mut [Vec<Vec<bool>>; 2], axes: &[Vec<f64>; 2]) {
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

pub type Line = ([f64; 2], [f64; 2]);

/// Closed loops around what the walls cover, openings cut out.
pub fn outlines(house: &House) -> Vec<Vec<[f64; 2]>> {
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
pub fn faces(house: &House, jambs: bool) -> Vec<Line> {
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
