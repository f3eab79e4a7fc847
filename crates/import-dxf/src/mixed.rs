//! Single lines among face lines: plans that draw some walls as two lines and some as one.
//!
//! Knows: which lines left over by pairing are walls by themselves. Never touches: layers, sections. All
//! in inches.
//!
//! A line left over is a wall when both its ends meet walls, or other such lines, and nothing runs
//! beside it. One such line is a beam or a step as likely as not: they count only where they make up a
//! good part of the plan.

use crate::affine::{norm, sub};
use crate::faces::partners;
use crate::linework::{Segment, sine_between};
use crate::nearby::LineIndex;
use crate::network::distance;
use crate::pairing::Paired;
use limits::Watch;

/// Shorter lines are no walls here, inches.
const SHORTEST_IN: f64 = 36.0;
/// Ends that come this near to a face or a line meet it, inches.
const MEETS_IN: f64 = 1.5;
/// Nothing runs beside a wall drawn as one line within this, inches: tubs and counters stand off less.
const BESIDE_IN: f64 = 37.0;
/// Least share of the plan's wall length that is drawn so.
const SHARE: f64 = 0.2;

/// Numbers of the lines that are walls drawn as one line.
pub(crate) fn single_lines(lines: &[Segment], paired: &Paired, watch: &Watch) -> Vec<usize> {
    let is = |list: &[bool], i: usize| list.get(i).copied().unwrap_or(false);
    let left = |i: &usize| {
        paired.used.get(*i).is_some_and(|u| *u <= 0.0)
            && !is(&paired.inside, *i)
            && !is(&paired.boxes, *i)
            && lines.get(*i).is_some_and(|g| norm(sub(g.b, g.a)) >= SHORTEST_IN)
    };
    let open: Vec<usize> = (0..lines.len()).filter(left).collect();
    if open.is_empty() {
        return open;
    }
    let index = LineIndex::new(lines);
    let beside = partners(lines, &index, 0.1, BESIDE_IN, watch);
    let alone = |i: &usize| beside.get(*i).is_some_and(|p| p.covered <= p.length * 0.3);
    let mut open: Vec<usize> = open.into_iter().filter(alone).collect();
    let axes: Vec<Segment> = paired.walls.iter().map(|w| w.line).collect();
    let walls = LineIndex::new(&axes);
    let widest = paired.walls.iter().map(|w| w.overall).fold(0.0, f64::max);
    let meets_wall = |g: &Segment, p| {
        walls.near(&[p], widest / 2.0 + MEETS_IN).into_iter().any(|j| {
            paired.walls.get(j as usize).is_some_and(|w| {
                sine_between(sub(g.b, g.a), sub(w.line.b, w.line.a)) > 0.1
                    && distance(&w.line, p) <= w.overall / 2.0 + MEETS_IN
            })
        })
    };
    loop {
        let own: Vec<Segment> = open.iter().filter_map(|i| lines.get(*i)).copied().collect();
        let near = LineIndex::new(&own);
        let meets_line = |g: &Segment, p| {
            near.near(&[p], MEETS_IN).into_iter().any(|j| {
                own.get(j as usize).is_some_and(|o| {
                    sine_between(sub(g.b, g.a), sub(o.b, o.a)) > 0.1 && distance(o, p) <= MEETS_IN
                })
            })
        };
        let held =
            |g: &Segment| [g.a, g.b].into_iter().all(|p| meets_wall(g, p) || meets_line(g, p));
        let before = open.len();
        open.retain(|i| lines.get(*i).is_some_and(held));
        if open.len() == before {
            break;
        }
    }
    let length = |g: &Segment| norm(sub(g.b, g.a));
    let single: f64 = open.iter().filter_map(|i| lines.get(*i)).map(length).sum();
    let double: f64 = axes.iter().map(length).sum();
    if single < (single + double) * SHARE { Vec::new() } else { open }
}
