//! What the lines of a storey have alike as they are made.

use crate::line::Line;
use crate::widths::Widths;
use geom::Length;
use lumber::Section;

/// What lines have alike. Seen while each is at hand: lines are many, and to ask them all something takes as long as to read
/// them all from memory. Most drawings know one height and the directions of the sheet, and little is to be asked of them.
pub(crate) struct Alike {
    first: Option<(Section, Length, Option<Length>)>,
    /// One foot, and one level top or all raked.
    pub heights: bool,
    sections: bool,
    /// All lie along the sheet.
    pub along_the_sheet: bool,
    framed: Length,
    /// Half of what the widest takes up, finishes included.
    pub drawn: Length,
}

impl Alike {
    pub(crate) fn of_none() -> Alike {
        Alike {
            first: None,
            heights: true,
            sections: true,
            along_the_sheet: true,
            framed: Length::ZERO,
            drawn: Length::ZERO,
        }
    }
    /// One line more.
    pub(crate) fn add(&mut self, l: &Line) {
        let (section, base, top) = (l.section, l.base, l.level_top());
        let first = *self.first.get_or_insert((section, base, top));
        self.heights &= (base, top) == (first.1, first.2);
        self.sections &= section == first.0;
        self.along_the_sheet &= l.dir.along_the_sheet();
        self.framed = self.framed.max(l.half_width());
        self.drawn = self.drawn.max(l.half_drawn());
    }
    /// No two in line are a change of width or height that is brought anywhere: all have the same plates, or rise.
    pub(crate) fn no_changes(&self) -> bool {
        self.heights && self.sections
    }
    /// The widths after walls have been merged, and before any is left out: a merged wall has the plates of both and is drawn
    /// as wide as the wider. `None` where directions have to be looked at.
    pub(crate) fn widths(&self) -> Option<Widths> {
        let Alike { framed, drawn, .. } = *self;
        let square = self.along_the_sheet && self.first.is_some();
        square.then_some(Widths { framed, drawn, square })
    }
}
