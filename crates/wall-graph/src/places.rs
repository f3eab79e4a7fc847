//! Places where lines meet or end.

use crate::touch::Side;
use geom::Point;

/// Places, each with its number.
pub(crate) type Numbered = Vec<(Point, u32)>;

/// Places where lines meet or end.
pub(crate) struct Places {
    /// Most places once, though many lines meet there; each with its number, which is its index.
    pub points: Numbered,
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
        let place = self.new_at(p);
        self.lines.push((place, line));
    }
    /// Points, and the lines at them.
    pub(crate) fn into_parts(self) -> (Numbered, Vec<(u32, u32)>) {
        (self.points, self.lines)
    }
    fn new_at(&mut self, p: Point) -> u32 {
        let place = self.points.len() as u32;
        self.points.push((p, place));
        place
    }
    /// Two lines meet at a place. Where one of them met another at this very place, it is the same place.
    pub(crate) fn meet(&mut self, at: Point, lines: &[u32; 2], sides: &[Side; 2]) {
        let ends = [0, 1].map(|n| (lines[n] as usize, sides[n].part as usize));
        // Of a middle nothing is known.
        let last = ends.map(|(line, end)| self.last[line].get(end).copied().unwrap_or(NOWHERE));
        let is_here = |k: &u32| self.points.get(*k as usize).is_some_and(|p| p.0 == at);
        let known = last.into_iter().find(is_here);
        let place = known.unwrap_or_else(|| self.new_at(at));
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
