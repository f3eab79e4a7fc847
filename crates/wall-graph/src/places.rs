//! Places where lines meet or end.

use crate::touch::Side;
use geom::Point;

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
