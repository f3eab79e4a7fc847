//! Lines that repeat at even steps: stairs, tiles, decking, hatching, joists.
//!
//! Knows: parallel lines at equal distances, lines that run through both faces of a would-be wall.
//! Never touches: layers, walls already made. All in inches.
//!
//! Faces of walls stand in pairs at uneven distances; five and more lines at one step, beside each
//! other for half their length, are something else.

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
