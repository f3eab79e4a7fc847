//! What the walls of a storey have in common.

use crate::line::Line;
use geom::Length;

/// The widest walls, and whether all stand square to each other. Looked up once for all that ask: lines are many, and
/// reading them takes longer than what is asked.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Widths {
    /// Half of the widest wall's plates.
    pub framed: Length,
    /// Half of what the widest takes up, finishes included.
    pub drawn: Length,
    /// All are parallel or at right angles to each other.
    pub square: bool,
}

impl Widths {
    pub(crate) fn of(lines: &[Line]) -> Widths {
        let Some(mut first) = lines.first() else { return Widths::default() };
        let mut widths = Widths { square: true, ..Widths::default() };
        for l in lines {
            widths.framed = widths.framed.max(l.half_width());
            widths.drawn = widths.drawn.max(l.half_drawn());
            widths.square &= l.dir.along_the_sheet();
            if l.wall < first.wall {
                first = l;
            }
        }
        let to_first = |l: &Line| first.dir.dot(l.dir).abs().min(first.dir.cross(l.dir).abs());
        widths.square = widths.square || lines.iter().all(|l| to_first(l) < 1e-6);
        widths
    }
    /// What one wall takes of another's length at most, where all are parallel or at right angles to each other.
    pub(crate) fn taken_at_right_angles(&self) -> Option<Length> {
        self.square.then(|| self.framed + Length::from_nm(1))
    }
}
