//! Walls and pieces by their place, and which of one plan is which of the other.

use crate::plan::{Piece, Wall};
use std::collections::{BTreeMap, BTreeSet};

/// Places that differ by less are the same, inches: 1/64, far below a pencil mark.
pub(crate) const SAME: f64 = 1.0 / 64.0;
/// A wall that moved sideways by more is another wall, inches.
const FAR: f64 = 48.0;
/// Side of a cell of the grid that finds neighbours, inches.
const CELL: f64 = 60.0;

/// A wall or a piece by its place: storey, layer, corners, and the line it lies along.
pub(crate) struct Body {
    pub group: (usize, String),
    pub ring: Vec<[f64; 2]>,
    pub line: Line,
}

#[derive(Clone, Copy)]
pub(crate) struct Line {
    pub a: [f64; 2],
    pub dir: [f64; 2],
    pub length: f64,
}

impl Line {
    pub fn between(a: [f64; 2], b: [f64; 2]) -> Line {
        let d = [b[0] - a[0], b[1] - a[1]];
        let length = d[0].hypot(d[1]);
        let dir = if length > 0.0 { [d[0] / length, d[1] / length] } else { [1.0, 0.0] };
        // One direction for either order of the ends.
        if dir[0] < -1e-9 || (dir[0].abs() <= 1e-9 && dir[1] < 0.0) {
            return Line { a: b, dir: [-dir[0], -dir[1]], length };
        }
        Line { a, dir, length }
    }
    /// Station and offset of a point.
    pub fn locate(&self, p: [f64; 2]) -> (f64, f64) {
        let d = [p[0] - self.a[0], p[1] - self.a[1]];
        (d[0] * self.dir[0] + d[1] * self.dir[1], d[1] * self.dir[0] - d[0] * self.dir[1])
    }
    pub fn at(&self, station: f64) -> [f64; 2] {
        [self.a[0] + station * self.dir[0], self.a[1] + station * self.dir[1]]
    }
    /// How far the other lies beside this one, and the length they share; `None` where they do not run
    /// the same way.
    pub fn beside(&self, other: &Line) -> Option<(f64, f64)> {
        let sine = self.dir[0] * other.dir[1] - self.dir[1] * other.dir[0];
        if sine.abs() > 0.01 {
            return None;
        }
        let (from, side) = self.locate(other.a);
        let (to, other_side) = self.locate(other.at(other.length));
        let shared = self.length.min(from.max(to)) - 0.0_f64.max(from.min(to));
        Some(((side + other_side).abs() / 2.0, shared))
    }
}

/// Old by new and new by old.
pub(crate) struct Pairs {
    pub old_of: Vec<Option<usize>>,
    pub taken: Vec<bool>,
}

fn moved_by(p: [f64; 2], by: [f64; 2]) -> [f64; 2] {
    [p[0] + by[0], p[1] + by[1]]
}

pub(crate) fn wall_body(w: &Wall, storey: usize, by: [f64; 2]) -> Body {
    let line = Line::between(moved_by(w.start, by), moved_by(w.end, by));
    let half = w.drawn_thickness / 2.0;
    let side = [-line.dir[1] * half, line.dir[0] * half];
    let (a, b) = (line.a, line.at(line.length));
    let ring = vec![
        [a[0] - side[0], a[1] - side[1]],
        [b[0] - side[0], b[1] - side[1]],
        moved_by(b, side),
        moved_by(a, side),
    ];
    Body { group: (storey, String::new()), ring, line }
}

/// Along its longest edge, in the middle of its width.
pub(crate) fn piece_body(p: &Piece, storey: usize, by: [f64; 2]) -> Body {
    let ring: Vec<[f64; 2]> = p.outline.iter().map(|q| moved_by(*q, by)).collect();
    let n = ring.len();
    let long = |i: &usize| {
        let (a, b) = (ring[*i], ring[(*i + 1) % n]);
        (a[0] - b[0]).hypot(a[1] - b[1])
    };
    let edge = (0..n).max_by(|i, j| long(i).total_cmp(&long(j)).then(j.cmp(i))).unwrap_or(0);
    let along = Line::between(ring[edge], ring[(edge + 1) % n]);
    let placed: Vec<(f64, f64)> = ring.iter().map(|q| along.locate(*q)).collect();
    let least = |f: fn(&(f64, f64)) -> f64| placed.iter().map(f).fold(f64::INFINITY, f64::min);
    let most = |f: fn(&(f64, f64)) -> f64| placed.iter().map(f).fold(f64::NEG_INFINITY, f64::max);
    let (from, to) = (least(|c| c.0), most(|c| c.0));
    let middle = (least(|c| c.1) + most(|c| c.1)) / 2.0;
    let start = along.at(from);
    let a = [start[0] - along.dir[1] * middle, start[1] + along.dir[0] * middle];
    let line = Line { a, dir: along.dir, length: to - from };
    Body { group: (storey, p.layer.clone()), ring, line }
}

/// Whether two rings have the same corners in the same order, wherever they begin.
pub(crate) fn same_ring(a: &[[f64; 2]], b: &[[f64; 2]]) -> bool {
    let near =
        |p: &[f64; 2], q: &[f64; 2]| (p[0] - q[0]).abs() <= SAME && (p[1] - q[1]).abs() <= SAME;
    a.len() == b.len()
        && (0..b.len()).any(|turn| {
            near(&a[0], &b[turn])
                && a.iter().enumerate().all(|(i, p)| near(p, &b[(i + turn) % b.len()]))
        })
}

/// First what is the same, then what lies on the same line, nearest and most in common first.
pub(crate) fn pair(old: &[Body], new: &[Body]) -> Pairs {
    let mut pairs = Pairs { old_of: vec![None; new.len()], taken: vec![false; old.len()] };
    let mut cells: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
    for (j, body) in old.iter().enumerate() {
        for cell in along_cells(&body.line) {
            cells.entry(cell).or_default().push(j);
        }
    }
    let near = |body: &Body| -> BTreeSet<usize> {
        let mut found = BTreeSet::new();
        for (x, y) in along_cells(&body.line) {
            for cell in (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (x + dx, y + dy))) {
                let here = cells.get(&cell).map_or(&[][..], Vec::as_slice);
                found.extend(here.iter().filter(|j| old[**j].group == body.group));
            }
        }
        found
    };
    let mut ways: Vec<(i64, i64, usize, usize)> = Vec::new();
    for (i, body) in new.iter().enumerate() {
        let around = near(body);
        let same =
            around.iter().find(|j| !pairs.taken[**j] && same_ring(&old[**j].ring, &body.ring));
        if let Some(j) = same {
            pairs.old_of[i] = Some(*j);
            pairs.taken[*j] = true;
            continue;
        }
        for j in around {
            let Some((apart, shared)) = old[j].line.beside(&body.line) else { continue };
            let shorter = old[j].line.length.min(body.line.length);
            if apart <= FAR && shared >= shorter / 2.0 && shared > SAME {
                let tick = |v: f64| (v * 64.0).round() as i64;
                ways.push((tick(apart), -tick(shared), i, j));
            }
        }
    }
    ways.sort_unstable();
    for (_, _, i, j) in ways {
        if pairs.old_of[i].is_none() && !pairs.taken[j] {
            pairs.old_of[i] = Some(j);
            pairs.taken[j] = true;
        }
    }
    pairs
}

fn along_cells(line: &Line) -> BTreeSet<(i64, i64)> {
    // A wall of more than two miles is looked for near its beginning only.
    let steps = (line.length / (CELL / 2.0)).ceil().clamp(1.0, 4_000.0) as usize;
    let cell = |v: f64| (v / CELL).floor() as i64;
    (0..=steps)
        .map(|i| line.at(line.length * i as f64 / steps as f64))
        .map(|p| (cell(p[0]), cell(p[1])))
        .collect()
}
