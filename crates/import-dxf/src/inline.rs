//! Pieces of a face in one line: broken at openings, they decide together which way it runs.
//!
//! Knows: which lines of a family go on from each other, how far off the family's direction they run as a whole.
//! Never touches: families, thicknesses. All in inches.
//!
//! Each piece of a wall a hair off square is short enough to pass for square; the wall is not. Its pieces lie at
//! offsets that grow along it, so they must be told by where they are, not by where their middles are.

use crate::affine::{Xy, dot};
use crate::linework::Segment;
use crate::openings::{root, unite};
use crate::pairing::WIDEST_JAMBED_IN;
use std::collections::BTreeMap;

/// Pieces in one line are no farther off each other's line than this, inches.
const OFF_LINE_IN: f64 = 1.0 / 16.0;
/// Lines that keep to their family's direction within this over all their length need no more care, inches.
const SQUARE_IN: f64 = 1.0 / 32.0;
/// A run strays from the straight line through it by no more than this share of what it strays from the family.
const STRAIGHT: f64 = 0.25;
/// Pieces whose middles are farther off each other are not looked at, inches.
const NEAR_IN: f64 = 1.0;
/// Pieces looked at beside one; more is hatching.
const MOST_BESIDE: usize = 500;

/// One line as its family sees it.
#[derive(Clone, Copy)]
struct Placed {
    line: usize,
    /// Stations of its ends, ascending.
    along: [f64; 2],
    /// Offsets there.
    off: [f64; 2],
}

impl Placed {
    fn length(&self) -> f64 {
        self.along[1] - self.along[0]
    }
    fn middle(&self) -> f64 {
        (self.off[0] + self.off[1]) / 2.0
    }
    /// Where it would be at a station.
    fn at(&self, station: f64) -> f64 {
        let slope = (self.off[1] - self.off[0]) / self.length().max(1e-9);
        self.off[0] + slope * (station - self.along[0])
    }
}

/// Lines in one line.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Run {
    /// The drawn lines.
    pub lines: Vec<usize>,
    /// Stations of its ends.
    pub along: [f64; 2],
    /// Offset at the middle of what is drawn.
    pub offset: f64,
    /// Station of that middle.
    pub middle: f64,
    /// How much the offset grows by along the family's direction.
    pub slope: f64,
    /// How far it strays from the family's direction over its length.
    pub strays: f64,
    /// Whether it is straight but does not run in the family's direction.
    pub askew: bool,
}

impl Run {
    /// Its offset at a station.
    pub fn at(&self, station: f64) -> f64 {
        self.offset + self.slope * (station.clamp(self.along[0], self.along[1]) - self.middle)
    }
}

/// The runs of a family's members: each member is in one.
pub(crate) fn runs(lines: &[Segment], dir: Xy, members: &[usize]) -> Vec<Run> {
    let left = [-dir[1], dir[0]];
    let mut placed: Vec<Placed> = Vec::with_capacity(members.len());
    for i in members {
        let Some(g) = lines.get(*i) else { continue };
        let mut ends = [g.a, g.b].map(|p| (dot(p, dir), dot(p, left)));
        ends.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        placed.push(Placed { line: *i, along: ends.map(|e| e.0), off: ends.map(|e| e.1) });
    }
    placed
        .sort_by(|a, b| a.middle().total_cmp(&b.middle()).then(a.along[0].total_cmp(&b.along[0])));
    let mut group: Vec<usize> = (0..placed.len()).collect();
    for (i, a) in placed.iter().enumerate() {
        let near = placed.iter().enumerate().skip(i + 1).take(MOST_BESIDE);
        for (j, b) in near.take_while(|(_, b)| b.middle() - a.middle() <= NEAR_IN) {
            if in_line(a, b) {
                unite(&mut group, i, j);
            }
        }
    }
    let mut by_root: BTreeMap<usize, Vec<Placed>> = BTreeMap::new();
    for (i, p) in placed.iter().enumerate() {
        by_root.entry(root(&mut group, i)).or_default().push(*p);
    }
    by_root.into_values().map(|pieces| run(&pieces)).collect()
}

/// Whether one of two lines goes on from the other.
fn in_line(a: &Placed, b: &Placed) -> bool {
    let gap = a.along[0].max(b.along[0]) - a.along[1].min(b.along[1]);
    if gap > WIDEST_JAMBED_IN {
        return false;
    }
    let (long, short) = if a.length() >= b.length() { (a, b) } else { (b, a) };
    let off = [0, 1].map(|end| (long.at(short.along[end]) - short.off[end]).abs());
    off[0].max(off[1]) <= OFF_LINE_IN
}

/// The straight line through pieces, each as heavy as it is long.
fn run(pieces: &[Placed]) -> Run {
    let weight: f64 = pieces.iter().map(Placed::length).sum::<f64>().max(1e-9);
    let mean = |of: &dyn Fn(&Placed) -> f64| {
        pieces.iter().map(|p| of(p) * p.length()).sum::<f64>() / weight
    };
    let middle = mean(&|p| (p.along[0] + p.along[1]) / 2.0);
    let offset = mean(&Placed::middle);
    let square = |end: usize| move |p: &Placed| (p.along[end] - middle).powi(2);
    let product = |end: usize| move |p: &Placed| (p.along[end] - middle) * (p.off[end] - offset);
    let spread = mean(&square(0)) + mean(&square(1));
    let slope = (mean(&product(0)) + mean(&product(1))) / spread.max(1e-9);
    let low = pieces.iter().map(|p| p.along[0]).fold(f64::INFINITY, f64::min);
    let high = pieces.iter().map(|p| p.along[1]).fold(f64::NEG_INFINITY, f64::max);
    let strays = slope.abs() * (high - low);
    let off =
        |p: &Placed| [0, 1].map(|e| (offset + slope * (p.along[e] - middle) - p.off[e]).abs());
    let most = pieces.iter().flat_map(off).fold(0.0, f64::max);
    let askew = strays > SQUARE_IN && most <= (strays * STRAIGHT).max(SQUARE_IN);
    let lines = pieces.iter().map(|p| p.line).collect();
    Run { lines, along: [low, high], offset, middle, slope, strays, askew }
}
