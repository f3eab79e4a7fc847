//! What of lines is in use while touches are accepted.

use crate::line::Line;
use crate::touch::{Miss, Part, Side, Turn};
use geom::Length;

/// What of a line is in use.
#[derive(Clone, Copy)]
struct Taken {
    /// Where its two ends have been taken to.
    ends: [End; 2],
    /// Least and greatest station.
    least: Length,
    greatest: Length,
    /// Its line is asked for to the end.
    kept: bool,
}

#[derive(Clone, Copy)]
struct End {
    station: Length,
    /// Half of what the wall there takes up along the line; less than nothing where there is none.
    body: Length,
}

impl End {
    const FREE: End = End { station: Length::ZERO, body: Length::from_nm(-1) };

    fn is_free(self) -> bool {
        self.body < Length::ZERO
    }
    /// The first place an end is taken to, or one farther out.
    fn take_or_go_on(&mut self, here: End, farther: bool) {
        if self.is_free() || farther {
            *self = here;
        }
    }
}

/// What of lines is in use, of those at which some touches have been looked at but not all: the way along the lines
/// stays in one part of the plan, so that these are few and lie near each other in memory. Of others only whether their ends
/// have been taken is known.
pub(crate) struct InUse<'a, 'm> {
    lines: &'a [Line<'m>],
    /// For each line its place in `taken`, or [`SETTLED`] and a bit for each of its ends that has been taken.
    at: Vec<u32>,
    taken: Vec<Taken>,
    /// Places in `taken` that are free again.
    spare: Vec<u32>,
}

/// From here on a line's number tells its ends. Lines at which nothing has been looked at are settled as well.
const SETTLED: u32 = !0b11;

impl<'a, 'm> InUse<'a, 'm> {
    pub(crate) fn of(lines: &'a [Line<'m>]) -> InUse<'a, 'm> {
        let at = vec![SETTLED; lines.len()];
        InUse { lines, at, taken: Vec::new(), spare: Vec::new() }
    }
    /// A line that is not settled until the end.
    pub(crate) fn keep(&mut self, line: u32) {
        let at = self.begin(line);
        self.taken[at].kept = true;
    }
    /// Where a line stands.
    fn begin(&mut self, line: u32) -> usize {
        let at = &mut self.at[line as usize];
        if *at < SETTLED {
            return *at as usize;
        }
        let length = self.lines[line as usize].length();
        let untouched =
            Taken { ends: [End::FREE; 2], least: length, greatest: Length::ZERO, kept: false };
        *at = self.spare.pop().unwrap_or(self.taken.len() as u32);
        match self.taken.get_mut(*at as usize) {
            Some(taken) => *taken = untouched,
            None => self.taken.push(untouched),
        }
        *at as usize
    }
    /// No other touch of the line will come.
    pub(crate) fn settle(&mut self, line: u32) {
        let at = self.at[line as usize];
        if self.taken.get(at as usize).is_some_and(|taken| !taken.kept) {
            let [start, end] = self.ends_taken(line as usize).map(u32::from);
            self.at[line as usize] = SETTLED | start | end << 1;
            self.spare.push(at);
        }
    }
    /// Whether each end has been taken.
    pub(crate) fn ends_taken(&self, line: usize) -> [bool; 2] {
        let at = self.at[line];
        match self.taken.get(at as usize) {
            Some(taken) => taken.ends.map(|end| !end.is_free()),
            None => [at & 1 != 0, at & 2 != 0],
        }
    }

    /// Whether an end that just misses another wall's end is a corner of the two all the same. The other end
    /// must be in reach and meet nothing. Of the one that misses, either nothing holds it: a corner with a gap;
    /// or it goes to a wall so thick that the corner's place lies within: a thin wall that runs on along a
    /// face of the thick one past the end of this one, or a wall that goes on from the other an inch or so aside of
    /// it. How far such a place misses is then measured from where the end has been taken to.
    pub(crate) fn is_corner(&self, m: &Miss) -> bool {
        let Some(short) = m.short else { return false };
        let end = |n: usize| {
            let kept = self.taken.get(self.at[m.lines[n] as usize] as usize)?;
            kept.ends.get(m.sides[n].part as usize).copied()
        };
        let within = |x: End| {
            let missed = (m.sides[short].station - x.station).abs();
            missed <= x.body && (m.told || missed <= m.most)
        };
        let joins = |e: End| if e.is_free() { m.told } else { within(e) };
        end(1 - short).is_some_and(End::is_free) && end(short).is_some_and(joins)
    }

    /// Whether a touch is taken; if so, what of its lines is in use then.
    pub(crate) fn accept(
        &mut self,
        lines: &[u32; 2],
        sides: &[Side; 2],
        turn: Turn,
        snap: Length,
    ) -> bool {
        let at = lines.map(|line| self.begin(line));
        let taken = &mut self.taken;
        let each = || at.into_iter().zip(sides);
        let fits = each().all(|(i, s)| {
            let [start, end] = taken[i].ends;
            (start.is_free() || s.station >= start.station - start.body.max(snap))
                && (end.is_free() || s.station <= end.station + end.body.max(snap))
        });
        // Two walls flush with each other that both end at a third are tied by way of that one; those aside of each other
        // make no place with a third.
        let end_taken =
            |i: usize, s: &Side| !taken[i].ends[usize::from(s.part == Part::End)].is_free();
        let held = turn.is_flush() && each().all(|(i, s)| end_taken(i, s))
            || turn.is_aside() && each().any(|(i, s)| end_taken(i, s));
        if !fits || held {
            return false;
        }
        for (i, s) in each() {
            let line = &mut taken[i];
            let here = End { station: s.station, body: s.body };
            match s.part {
                Part::Start if s.station <= line.least + snap => {
                    line.ends[0].take_or_go_on(here, s.station < line.least);
                }
                Part::End if s.station >= line.greatest - snap => {
                    line.ends[1].take_or_go_on(here, s.station > line.greatest);
                }
                _ => {}
            }
            line.least = line.least.min(s.station);
            line.greatest = line.greatest.max(s.station);
        }
        true
    }
}
