//! Which lines are to be looked at again, and where.

use crate::line::Line;
use std::collections::BTreeSet;
use std::ops::Bound;
use wall_model::WallId;

/// In place of a node: all of the line.
pub(crate) const WHOLE: u32 = u32::MAX;

/// Lines to be looked at, round after round by number, and the nodes on them near which something has changed.
#[derive(Default)]
pub(crate) struct Again {
    marks: BTreeSet<Mark>,
    /// Those up to here have had their turn in this round.
    past: Option<Mark>,
}

/// The line's number decides the order; where it lies in memory, and a node.
type Mark = (WallId, u32, u32);

impl Again {
    /// Lines of which all is to be looked at.
    pub(crate) fn of_whole(lines: &[Line], wanted: impl Fn(usize) -> bool) -> Again {
        let wanted = (0..lines.len()).filter(|i| wanted(*i));
        let marks = wanted.map(|i| (lines[i].wall, i as u32, WHOLE)).collect();
        Again { marks, past: None }
    }
    pub(crate) fn add(&mut self, wall: WallId, line: usize, node: u32) {
        self.marks.insert((wall, line as u32, node));
    }
    /// The line whose turn it is.
    pub(crate) fn next_line(&mut self) -> Option<usize> {
        let after = self.past.map_or(Bound::Unbounded, Bound::Excluded);
        let next = self.marks.range((after, Bound::Unbounded)).next();
        let (wall, line, _) = *next.or(self.marks.first())?;
        self.past = Some((wall, line, WHOLE));
        Some(line as usize)
    }
    /// Takes the nodes marked on a line.
    pub(crate) fn take(&mut self, wall: WallId, line: usize) -> Vec<u32> {
        let own = (wall, line as u32, 0)..=(wall, line as u32, WHOLE);
        let nodes: Vec<u32> = self.marks.range(own).map(|m| m.2).collect();
        nodes.iter().for_each(|node| {
            self.marks.remove(&(wall, line as u32, *node));
        });
        nodes
    }
}
