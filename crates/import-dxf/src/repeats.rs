//! Lines that repeat at even steps: stairs, tiles, decking, hatching, joists.
//!
//! Knows: parallel lines at equal distances, lines that run through both faces of a would-be wall.
//! Never touches: layers, walls already made. All in inches.
//!
//! Faces of walls stand in pairs at uneven distances; five and more lines at one step, beside each
//! other for half their length, are something else. So are five and more short ones of one length, each as far
//! along as the one before: hatching across a wall that is filled with it, whose lines overlap but little.

use crate::facelines::Family;
use limits::Watch;

/// Lines at one step that are no walls. Two walls with as much air between them as they are thick
/// make four.
const ENOUGH: usize = 5;
/// Steps wider than this are rooms, inches.
const WIDEST_STEP_IN: f64 = 40.0;
/// Steps narrower than this are not told apart from one line, inches.
const NARROWEST_STEP_IN: f64 = 0.2;
/// How far a line may stand off its place, inches, and as a share of the step.
const OFF_STEP: [f64; 2] = [0.06, 0.02];
/// Steps tried from one line.
const MOST_TRIED: usize = 64;
/// Neighbours looked at from one line.
const MOST_NEAR: usize = 2000;

/// Lines of slanting hatching are no longer than across the thickest wall at half a right angle, inches.
const LONGEST_SLANTED_IN: f64 = 30.0;
/// They are no farther apart, inches.
const WIDEST_SLANTED_IN: f64 = 12.0;
/// From one of them to the next their ends move no farther along than so many steps: a wall at half a right angle
/// to its hatching moves them by one.
const MOST_SHIFT: f64 = 2.0;
/// How far the ends may lie off the row's edges, inches.
const OFF_EDGE_IN: f64 = 0.1;
/// Where hatching is cut off by a corner its lines may be longer than the others by so much.
const LONGER: f64 = 2.2;

/// One stretch of a face line.
#[derive(Clone, Copy)]
struct Stretch {
    line: usize,
    offset: f64,
    span: [f64; 2],
}

/// Marks the drawn lines that are part of an even row. Breaks off when time is up.
pub(crate) fn mark_repeats(families: &[Family], marks: &mut [bool], watch: &Watch) {
    for family in families {
        let all: Vec<Stretch> = family
            .lines
            .iter()
            .enumerate()
            .flat_map(|(line, l)| {
                l.spans.iter().map(move |s| Stretch { line, offset: l.offset, span: *s })
            })
            .collect();
        let mut rowed = vec![false; all.len()];
        for i in 0..all.len() {
            if watch.is_over() {
                return;
            }
            rows_from(&all, i, &mut rowed);
        }
        slanted_rows(&all, &mut rowed, watch);
        for (s, is_rowed) in all.iter().zip(rowed) {
            if !is_rowed {
                continue;
            }
            for p in family.lines.get(s.line).map_or(&[][..], |l| &l.pieces) {
                let inside = p.from >= s.span[0] - 0.5 && p.to <= s.span[1] + 0.5;
                if let Some(slot) = marks.get_mut(p.line).filter(|_| inside) {
                    *slot = true;
                }
            }
        }
    }
}

/// Looks for rows that begin with a stretch and go up.
fn rows_from(all: &[Stretch], first: usize, rowed: &mut [bool]) {
    let Some(a) = all.get(first) else { return };
    let mut tried: Vec<f64> = Vec::new();
    let near = all.iter().enumerate().skip(first + 1).take(MOST_NEAR);
    for (j, b) in near.take_while(|(_, b)| b.offset - a.offset <= WIDEST_STEP_IN) {
        let step = b.offset - a.offset;
        let new = !tried.iter().any(|t| (t - step).abs() < 1e-3);
        if step < NARROWEST_STEP_IN || !new || !beside(a, b) {
            continue;
        }
        tried.push(step);
        if tried.len() > MOST_TRIED {
            return;
        }
        let mut row = vec![first, j];
        while let Some(next) = next_in_row(all, &row, step) {
            row.push(next);
        }
        if row.len() >= ENOUGH {
            for i in row {
                if let Some(slot) = rowed.get_mut(i) {
                    *slot = true;
                }
            }
        }
    }
}

fn next_in_row(all: &[Stretch], row: &[usize], step: f64) -> Option<usize> {
    let last = row.last().and_then(|i| all.get(*i))?;
    let slack = OFF_STEP[0].max(step * OFF_STEP[1]);
    let want = last.offset + step;
    let from = all.partition_point(|s| s.offset < want - slack);
    let here = all.iter().enumerate().skip(from);
    here.take_while(|(_, s)| s.offset <= want + slack)
        .take(MOST_TRIED)
        .find(|(_, s)| beside(last, s))
        .map(|(i, _)| i)
}

/// Hatching as an edge slanting to it cuts it off: where it begins, its step, its lines' length.
struct Hatching {
    offset: f64,
    step: f64,
    length: f64,
}

/// Marks rows of short lines cut off slantwise, and with each row what else of its hatching there is: the lines that
/// corners and jambs cut short have other lengths.
fn slanted_rows(all: &[Stretch], rowed: &mut [bool], watch: &Watch) {
    let mut hatchings: Vec<Hatching> = Vec::new();
    let mut in_row = vec![false; all.len()];
    for (i, a) in all.iter().enumerate() {
        if watch.is_over() {
            return;
        }
        if in_row.get(i).copied().unwrap_or(true) || length(a) > LONGEST_SLANTED_IN {
            continue;
        }
        let near = all.iter().enumerate().skip(i + 1).take(MOST_NEAR);
        for (j, b) in near.take_while(|(_, b)| b.offset - a.offset <= WIDEST_SLANTED_IN) {
            let (step, shift) = (b.offset - a.offset, b.span[0] - a.span[0]);
            let even = (length(a) - length(b)).abs() <= OFF_EDGE_IN;
            if step < NARROWEST_STEP_IN || !even || shift.abs() > step * MOST_SHIFT {
                continue;
            }
            let mut row = vec![i, j];
            while let Some(next) = next_slanted(all, &row, [step, shift]) {
                row.push(next);
            }
            if row.len() < ENOUGH {
                continue;
            }
            for k in &row {
                if let (Some(a), Some(b)) = (in_row.get_mut(*k), rowed.get_mut(*k)) {
                    (*a, *b) = (true, true);
                }
            }
            let last = row.last().and_then(|k| all.get(*k)).map_or(b.offset, |l| l.offset);
            let step = (last - a.offset) / (row.len() - 1) as f64;
            let h = Hatching { offset: a.offset, step, length: length(a) };
            if hatchings.len() < MOST_TRIED && !hatchings.iter().any(|o| same_hatching(o, &h)) {
                hatchings.push(h);
            }
            break;
        }
    }
    for (s, slot) in all.iter().zip(rowed) {
        *slot |= hatchings.iter().any(|h| length(s) <= h.length * LONGER && on_step(h, s.offset));
    }
}

/// The stretch that goes on a slanted row by its step and shift.
fn next_slanted(all: &[Stretch], row: &[usize], [step, shift]: [f64; 2]) -> Option<usize> {
    let (first, last) = (all.get(*row.first()?)?, all.get(*row.last()?)?);
    let slack = OFF_STEP[0].max(step * OFF_STEP[1]);
    // Counted from the first, so that no error adds up.
    let n = row.len() as f64;
    let want = [first.offset + step * n, first.span[0] + shift * n];
    let from = all.partition_point(|s| s.offset < last.offset + step - slack);
    let here = all.iter().enumerate().skip(from);
    here.take_while(|(_, s)| s.offset <= last.offset + step + slack)
        .take(MOST_NEAR)
        .find(|(_, s)| {
            let off = [s.offset - want[0], s.span[0] - want[1], length(s) - length(first)];
            off[0].abs() <= slack && off[1..].iter().all(|o| o.abs() <= OFF_EDGE_IN * 2.0)
        })
        .map(|(i, _)| i)
}

fn length(s: &Stretch) -> f64 {
    s.span[1] - s.span[0]
}

/// Whether an offset is a whole number of steps from a hatching's lines.
fn on_step(h: &Hatching, offset: f64) -> bool {
    let steps = (offset - h.offset) / h.step;
    (steps - steps.round()).abs() * h.step <= OFF_STEP[0]
}

fn same_hatching(a: &Hatching, b: &Hatching) -> bool {
    (a.step - b.step).abs() < 1e-3
        && (a.length - b.length).abs() < OFF_EDGE_IN
        && on_step(a, b.offset)
}

/// Whether two stretches run beside each other for half the longer one.
fn beside(a: &Stretch, b: &Stretch) -> bool {
    let over = a.span[1].min(b.span[1]) - a.span[0].max(b.span[0]);
    over >= (a.span[1] - a.span[0]).max(b.span[1] - b.span[0]) / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facelines::families;
    use crate::linework::Segment;

    fn marked(ys: &[f64]) -> usize {
        let lines: Vec<Segment> =
            ys.iter().map(|y| Segment { a: [0.0, *y], b: [48.0, *y] }).collect();
        let mut marks = vec![false; lines.len()];
        mark_repeats(&families(&lines), &mut marks, &Watch::endless());
        marks.into_iter().filter(|m| *m).count()
    }

    #[test]
    fn treads_are_a_row_and_walls_are_not() {
        assert_eq!(marked(&[0.0, 11.0, 22.0, 33.0, 44.0, 55.0]), 6);
        // Two walls of equal thickness with as much between them, and one more wall.
        assert_eq!(marked(&[0.0, 4.5, 9.0, 13.5, 60.0, 64.5]), 0);
        // Rows through a wall leave the wall's other face alone.
        assert_eq!(marked(&[0.0, 4.5, 11.0, 22.0, 33.0, 44.0]), 5);
    }
}
