//! Places where lines meet or end, and which of them are one.

use crate::order;
use crate::touch::Side;
use geom::{Length, Point};
use rustc_hash::{FxBuildHasher, FxHashMap};

/// Places where lines meet or end.
pub(crate) struct Places {
    /// Most places once, though many lines meet there.
    pub points: Vec<Point>,
    /// A place, by number, and a line there; nearly all once.
    pub lines: Vec<(u32, u32)>,
    /// The last place at either end of each line; [`NOWHERE`] before there is one.
    last: Vec<[u32; 2]>,
}

impl Places {
    pub(crate) fn new(lines: usize) -> Places {
        Places {
            points: Vec::with_capacity(lines),
            lines: Vec::with_capacity(lines * 2),
            last: vec![[NOWHERE; 2]; lines],
        }
    }
    pub(crate) fn add(&mut self, p: Point, line: u32) {
        self.lines.push((self.points.len() as u32, line));
        self.points.push(p);
    }
    /// Two lines meet at a place. Where one of them met another at this very place, it is the same place.
    pub(crate) fn meet(&mut self, at: Point, lines: &[u32; 2], sides: &[Side; 2]) {
        let ends = [0, 1].map(|n| (lines[n] as usize, sides[n].part as usize));
        // Of a middle nothing is known.
        let last = ends.map(|(line, end)| self.last[line].get(end).copied().unwrap_or(NOWHERE));
        let known = last.into_iter().find(|k| self.points.get(*k as usize) == Some(&at));
        let place = known.unwrap_or(self.points.len() as u32);
        if known.is_none() {
            self.points.push(at);
        }
        for ((line, end), last) in ends.into_iter().zip(last) {
            if last == place {
                continue;
            }
            self.lines.push((place, line as u32));
            if let Some(last) = self.last[line].get_mut(end) {
                *last = place;
            }
        }
    }
}

/// No place's number.
const NOWHERE: u32 = u32::MAX;

/// By place.
pub(crate) fn by_place(places: &mut Vec<(Point, u32)>) {
    order::by_number(places, |p| order::unsigned(p.0.y.nm()));
    order::by_number(places, |p| order::unsigned(p.0.x.nm()));
}

/// Leader clustering: a place belongs to the nearest node within reach, else it is a node itself. Given
/// places in canonical order, crossings before free ends.
pub(crate) struct Leaders {
    reach: Length,
    /// A few reaches, so that a place mostly looks into one cell.
    cell: i64,
    /// The last node of each cell. Cells that share a number do no harm: distances are looked at.
    last: FxHashMap<u64, u32>,
    /// For each node the one before it in its cell; itself where it is the first.
    before: Vec<u32>,
    pub nodes: Vec<Point>,
}

impl Leaders {
    pub(crate) fn new(reach: Length, expected: usize) -> Leaders {
        Leaders {
            reach,
            cell: reach.nm().max(1) * 16,
            last: FxHashMap::with_capacity_and_hasher(expected, FxBuildHasher),
            before: Vec::with_capacity(expected),
            nodes: Vec::with_capacity(expected),
        }
    }
    /// The node of a place.
    pub(crate) fn add(&mut self, p: Point) -> u32 {
        // Most walls at a place meet at one and the same point.
        if self.nodes.last() == Some(&p) {
            return self.nodes.len() as u32 - 1;
        }
        let cells = |v: Length| {
            let (v, r) = (v.nm(), self.reach.nm());
            (v - r).div_euclid(self.cell)..=(v + r).div_euclid(self.cell)
        };
        let number = |x: i64, y: i64| u64::from(x as u32) << 32 | u64::from(y as u32);
        let mut nearest: Option<(Length, u32)> = None;
        for cx in cells(p.x) {
            for cy in cells(p.y) {
                let mut next = self.last.get(&number(cx, cy)).copied();
                while let Some(k) = next {
                    let d = self.nodes[k as usize].distance(p);
                    if d <= self.reach && nearest.is_none_or(|n| (d, k) < n) {
                        nearest = Some((d, k));
                    }
                    next = Some(self.before[k as usize]).filter(|before| *before != k);
                }
            }
        }
        if let Some((_, k)) = nearest {
            return k;
        }
        let cell = number(p.x.nm().div_euclid(self.cell), p.y.nm().div_euclid(self.cell));
        let k = self.nodes.len() as u32;
        self.before.push(self.last.insert(cell, k).unwrap_or(k));
        self.nodes.push(p);
        k
    }
}
