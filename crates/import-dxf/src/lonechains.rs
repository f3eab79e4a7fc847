//! Lines put together to chains across their doors and windows, and the walls of two lines they meet.
//!
//! Knows: which gaps in a line of a plan are openings, which walls a line meets, runs through or runs along.
//! Never touches: which chains are walls. All in inches.

use crate::affine::{Xy, dot, norm, sub};
use crate::facelines::Family;
use crate::linework::{Segment, sine_between};
use crate::nearby::LineIndex;
use crate::network::distance;
use crate::pairing::{CROSSING_IN, FoundWall, NARROWEST_IN, WIDEST_PLAIN_IN};
use std::collections::BTreeSet;

/// Ends that come this near to a face or a line meet it, inches.
pub(crate) const MEETS_IN: f64 = 1.5;
/// Share of its length that may have something beside it all the same.
pub(crate) const BESIDE_SHARE: f64 = 0.3;
/// Lines in one line lie no more than this beside each other, inches.
const IN_LINE_IN: f64 = 1.0;
/// A line that reaches so far to a side of an end of another turns a corner there, inches: more than a jamb.
const CORNER_IN: f64 = 4.0;
/// A line goes so far beyond both sides of what it runs through, inches.
const THROUGH_IN: f64 = 2.0;
/// Lines with sine below this are parallel.
pub(crate) const PARALLEL: f64 = 0.017_5;

/// Pieces in one line.
pub(crate) struct Chain {
    pub line: Segment,
    pub layer: u32,
    /// Where it is drawn.
    pub spans: Vec<Segment>,
    pub gaps: Vec<[Xy; 2]>,
    /// Its drawn lines.
    pub pieces: Vec<usize>,
    /// Walls that are symbols of windows or doors in it, by number.
    pub boxes: BTreeSet<usize>,
}

impl Chain {
    pub fn drawn(&self) -> f64 {
        self.spans.iter().map(length).sum()
    }
}

/// Whether a point on a wall's axis is in one of its openings.
pub(crate) fn in_a_gap(w: &FoundWall, p: Xy) -> bool {
    w.gaps.iter().any(|g| distance(&Segment { a: g[0], b: g[1] }, p) <= IN_LINE_IN)
}

/// The believed walls of two lines.
pub(crate) struct Net<'a> {
    pub walls: &'a [(usize, &'a FoundWall)],
    pub index: LineIndex,
    pub widest: f64,
}

impl Net<'_> {
    pub fn near(&self, g: &Segment, reach: f64) -> Vec<(usize, &FoundWall)> {
        let near = self.index.near_line(g, reach);
        near.into_iter().filter_map(|j| self.walls.get(j as usize)).copied().collect()
    }
    /// Whether some wall is parallel to a line or square to it.
    pub fn is_square(&self, g: &Segment) -> bool {
        let d = sub(g.b, g.a);
        self.walls.iter().any(|(_, w)| {
            let e = sub(w.line.b, w.line.a);
            sine_between(d, e) <= PARALLEL || sine_between(d, [-e[1], e[0]]) <= PARALLEL
        })
    }
    /// Whether a drawn piece goes on beyond both faces of a wall that it meets.
    pub fn runs_through(&self, c: &Chain) -> bool {
        c.spans.iter().any(|g| {
            self.near(g, self.widest).into_iter().any(|(_, w)| {
                let reach = w.overall / 2.0 + THROUGH_IN;
                sine_between(sub(g.b, g.a), sub(w.line.b, w.line.a)) > 0.1
                    && crosses(g, &w.line, reach)
                    && crosses(&w.line, g, THROUGH_IN)
            })
        })
    }
    /// Whether a chain runs along a wall: another drawing of its face.
    pub fn runs_along(&self, c: &Chain) -> bool {
        let along = sub(c.line.b, c.line.a);
        let long = norm(along).max(1e-9);
        let dir = [along[0] / long, along[1] / long];
        let mut spans: Vec<[f64; 2]> = Vec::new();
        for (i, w) in self.near(&c.line, self.widest / 2.0 + MEETS_IN) {
            let at = |p: Xy| (dot(sub(p, c.line.a), dir), dot(sub(p, c.line.a), [-dir[1], dir[0]]));
            let (a, b) = (at(w.line.a), at(w.line.b));
            let off = a.1.abs().max(b.1.abs());
            if !c.boxes.contains(&i) && off <= w.overall / 2.0 + MEETS_IN {
                spans.push([a.0.min(b.0).max(0.0), a.0.max(b.0).min(long)]);
            }
        }
        spans.retain(|s| s[1] > s[0]);
        crate::pairing::union_length(spans) > c.drawn() * BESIDE_SHARE
    }
    /// Whether an end of a line is at a wall's face, or at the end of a wall in one line with it.
    pub fn holds(&self, g: &Segment, p: Xy, not: &BTreeSet<usize>) -> bool {
        let at = Segment { a: p, b: p };
        self.near(&at, self.widest / 2.0 + MEETS_IN).into_iter().any(|(i, w)| {
            let beside = sine_between(sub(g.b, g.a), sub(w.line.b, w.line.a)) > 0.1;
            let reach = if beside { w.overall / 2.0 + MEETS_IN } else { MEETS_IN };
            !not.contains(&i) && distance(&w.line, p) <= reach
        })
    }
    /// A chain's line on to the axes of the walls whose faces it stops at.
    pub fn reaching_axes(&self, c: &Chain) -> Segment {
        let g = c.line;
        let along = sub(g.b, g.a);
        let long = norm(along).max(1e-9);
        let reached = |p: Xy, out: Xy| {
            let near = self.near(&Segment { a: p, b: p }, self.widest / 2.0 + MEETS_IN);
            let steps = near.into_iter().filter(|(i, w)| {
                !c.boxes.contains(i) && distance(&w.line, p) <= w.overall / 2.0 + MEETS_IN
            });
            let steps = steps.filter_map(|(_, w)| {
                let axis = sub(w.line.b, w.line.a);
                let left = [-axis[1] / norm(axis).max(1e-9), axis[0] / norm(axis).max(1e-9)];
                let toward = dot(out, left);
                // Only what is square to it, or nearly: elsewhere the step would be long.
                (toward.abs() > 0.5).then(|| dot(sub(w.line.a, p), left) / toward)
            });
            let step = steps.filter(|s| *s > 0.0).fold(0.0, f64::max);
            [p[0] + out[0] * step, p[1] + out[1] * step]
        };
        let out = [along[0] / long, along[1] / long];
        Segment { a: reached(g.a, [-out[0], -out[1]]), b: reached(g.b, out) }
    }
    /// The wall in one line with a gap that fills it, and nothing beyond: a window's symbol.
    pub fn fills(&self, gap: &Segment) -> Option<usize> {
        let d = sub(gap.b, gap.a);
        self.near(gap, IN_LINE_IN).into_iter().find_map(|(i, w)| {
            let off = |p: Xy| {
                let long = norm(d).max(1e-9);
                dot(sub(p, gap.a), [-d[1] / long, d[0] / long]).abs()
            };
            let in_line = off(w.line.a) <= IN_LINE_IN && off(w.line.b) <= IN_LINE_IN;
            let covers = [gap.a, gap.b].into_iter().all(|p| distance(&w.line, p) <= MEETS_IN);
            let middle = [(gap.a[0] + gap.b[0]) / 2.0, (gap.a[1] + gap.b[1]) / 2.0];
            (in_line && covers && !in_a_gap(w, middle)).then_some(i)
        })
    }
}

/// Whether a line goes `reach` and more beyond both sides of another, between its ends.
pub(crate) fn crosses(g: &Segment, o: &Segment, reach: f64) -> bool {
    let along = sub(o.b, o.a);
    let long = norm(along).max(1e-9);
    let left = [-along[1] / long, along[0] / long];
    let (a, b) = (dot(sub(g.a, o.a), left), dot(sub(g.b, o.a), left));
    if a.min(b) > -reach || a.max(b) < reach || a == b {
        return false;
    }
    let t = a / (a - b);
    let at = [g.a[0] + (g.b[0] - g.a[0]) * t, g.a[1] + (g.b[1] - g.a[1]) * t];
    let station = dot(sub(at, o.a), along) / long;
    (0.0..=long).contains(&station)
}

/// What is drawn around the pieces of a chain.
pub(crate) struct Drawn<'a> {
    pub lines: &'a [Segment],
    pub index: &'a LineIndex,
    /// Half the drawn width of a line.
    pub half: &'a dyn Fn(usize) -> f64,
    /// The greatest of them.
    pub widest: f64,
}

/// Puts the pieces of one direction together.
pub(crate) fn chains_of(
    family: &Family,
    layer: u32,
    own: &[usize],
    drawn: &Drawn<'_>,
    net: &Net<'_>,
) -> Vec<Chain> {
    let mut out: Vec<Chain> = Vec::new();
    for face in &family.lines {
        let at = |station: f64| family.at(station, face.offset);
        let corner = |p: Xy| {
            let near = drawn.index.near(&[p], drawn.widest + MEETS_IN).into_iter();
            near.map(|j| j as usize).any(|j| {
                drawn.lines.get(j).is_some_and(|g| {
                    let off = [g.a, g.b].map(|q| dot(sub(q, p), family.left()).abs());
                    distance(g, p) <= (drawn.half)(j) + MEETS_IN && off[0].max(off[1]) > CORNER_IN
                })
            }) || net.holds(
                &Segment { a: p, b: [p[0] + family.dir[0], p[1] + family.dir[1]] },
                p,
                &BTreeSet::new(),
            )
        };
        let mut fresh = true;
        for span in &face.spans {
            let here = Segment { a: at(span[0]), b: at(span[1]) };
            let pieces = face.pieces.iter().filter(|p| p.from < span[1] && p.to > span[0]);
            let pieces: Vec<usize> = pieces.filter_map(|p| own.get(p.line)).copied().collect();
            let last = if fresh { None } else { out.last_mut() };
            fresh = false;
            if let Some(c) = last {
                let gap = Segment { a: c.line.b, b: here.a };
                let width = length(&gap);
                let symbol = net.fills(&gap);
                let corners = [corner(gap.a), corner(gap.b)];
                let plain =
                    (NARROWEST_IN..=WIDEST_PLAIN_IN).contains(&width) && corners == [false; 2];
                // A column, or a wall that passes.
                let passed = width <= CROSSING_IN;
                if symbol.is_some() || plain || passed {
                    if width >= NARROWEST_IN && (symbol.is_some() || plain) {
                        c.gaps.push([gap.a, gap.b]);
                    }
                    c.boxes.extend(symbol);
                    c.line.b = here.b;
                    c.spans.push(here);
                    c.pieces.extend(pieces);
                    continue;
                }
            }
            out.push(Chain {
                line: here,
                layer,
                spans: vec![here],
                gaps: Vec::new(),
                pieces,
                boxes: BTreeSet::new(),
            });
        }
    }
    out
}

pub(crate) fn length(g: &Segment) -> f64 {
    norm(sub(g.b, g.a))
}

pub(crate) fn widest(walls: &[(usize, &FoundWall)]) -> f64 {
    walls.iter().map(|w| w.1.overall).fold(0.0, f64::max)
}
