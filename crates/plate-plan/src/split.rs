//! Where the joints of a layer go: the cheapest way to cut a space into pieces.
//!
//! Exact over its candidate places, by dynamic programming along the space. Cost, in order: joints
//! nearer to a joint of the other layer than the rule allows (or in a notch), lower joints over an
//! opening, pieces under the short limit, number of pieces, joints off studs, and what would be left
//! of the boards if each piece came from the shortest board it fits. Candidates are stud centres and the
//! limits of the rules: where a joint is just far enough from something, or a piece just long or short
//! enough. A place that keeps every rule can be moved to one of these and keep them.

use crate::studs::carries;
use geom::Length;

/// One uninterrupted space of a layer, by stations on the run.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Space {
    /// Long points: a piece over the whole space is this long.
    pub from: Length,
    pub to: Length,
    /// Joints stay between these: the bevels of the space's ends are outside.
    pub joints_from: Length,
    pub joints_to: Length,
}

/// What the joints of a layer of one run have to respect.
pub(crate) struct Terms<'a> {
    /// Longest piece there is stock for.
    pub longest: Length,
    pub short: Length,
    /// Left open at a joint: the upper clearance, or nothing.
    pub gap: Length,
    /// Least distance to the other layer's joints.
    pub offset: Length,
    /// The other layer's joints, each with its gap.
    pub others: &'a [(Length, Length)],
    /// Where no joint may be.
    pub closed: &'a [(Length, Length)],
    /// Openings, for the lower layer.
    pub openings: &'a [(Length, Length)],
    pub studs: &'a [Length],
    /// Half a stud's thickness.
    pub stud_half: Length,
    /// Stock lengths, ascending.
    pub boards: &'a [Length],
    /// Joints lie on whole marks of the tape, `grid` apart, counted from here.
    pub zero: Length,
    pub grid: Length,
}

/// Compared field by field.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Cost {
    pub breaches: u32,
    pub over_opening: u32,
    pub short: u32,
    pub pieces: u32,
    pub off_stud: u32,
    pub left_over: Length,
}

impl Cost {
    pub(crate) fn plus(self, o: Cost) -> Cost {
        Cost {
            breaches: self.breaches + o.breaches,
            over_opening: self.over_opening + o.over_opening,
            short: self.short + o.short,
            pieces: self.pieces + o.pieces,
            off_stud: self.off_stud + o.off_stud,
            left_over: self.left_over + o.left_over,
        }
    }
}

impl Terms<'_> {
    fn on_grid(&self, at: Length) -> bool {
        (at - self.zero).nm() % self.grid.nm() == 0
    }
    /// The longest piece in a space: what is printed is rounded at both ends, and may not outgrow the
    /// board either.
    fn longest_in(&self, s: Space) -> Length {
        let whole = self.longest.floor_to(self.grid);
        if self.on_grid(s.from) && self.on_grid(s.to) { whole } else { whole - self.grid }
    }

    fn joint_cost(&self, at: Length) -> Cost {
        let (lo, hi) = (at, at + self.gap);
        let clear = |(a, b): &(Length, Length)| {
            if hi <= *a {
                *a - hi
            } else if lo >= *b {
                lo - *b
            } else {
                Length::ZERO
            }
        };
        let near = self.others.iter().any(|o| clear(o) < self.offset);
        let inside = |r: &(Length, Length)| hi > r.0 && lo < r.1;
        Cost {
            breaches: u32::from(near) + u32::from(self.closed.iter().any(inside)),
            over_opening: u32::from(self.openings.iter().any(inside)),
            off_stud: u32::from(!carries(self.studs, self.stud_half, at + self.gap.half())),
            ..Cost::default()
        }
    }
    fn piece_cost(&self, length: Length) -> Cost {
        let board = self.boards.iter().find(|b| **b >= length).copied().unwrap_or(length);
        Cost {
            short: u32::from(length < self.short),
            pieces: 1,
            left_over: board - length,
            ..Cost::default()
        }
    }
}

/// The joints of a space, ascending (each opens `gap` to its right), and what they cost. `None` when
/// no cutting keeps every piece within the longest board.
pub(crate) fn split(space: Space, t: &Terms) -> Option<(Vec<Length>, Cost)> {
    let longest = t.longest_in(space);
    if space.to - space.from <= longest {
        return Some((Vec::new(), t.piece_cost(space.to - space.from)));
    }
    cheapest(space, t, &candidates(space, t))
}

fn candidates(space: Space, t: &Terms) -> Vec<Length> {
    let mut c: Vec<Length> = t.studs.iter().map(|s| *s - t.gap.half()).collect();
    let longest = t.longest_in(space);
    let down = |s: Length| t.zero + (s - t.zero).floor_to(t.grid);
    let up = |s: Length| t.zero + (s - t.zero).ceil_to(t.grid);
    c.iter_mut().for_each(|s| *s = down(*s));
    let studs = c.len();
    for (a, b) in t.others {
        c.extend([down(*a - t.offset - t.gap), up(*b + t.offset)]);
    }
    for (a, b) in t.closed.iter().chain(t.openings) {
        c.extend([down(*a - t.gap), up(*b)]);
    }
    c.extend([down(space.from + longest), up(space.to - longest - t.gap)]);
    c.extend([up(space.from + t.short), down(space.to - t.short - t.gap)]);
    // A limit met by one joint moves the next one a whole board on, or the one before a board back.
    let limits: Vec<Length> = c[studs..].to_vec();
    for s in limits {
        c.extend([down(s + t.gap + longest), up(s - t.gap - longest)]);
    }
    let margin = Length::sixteenths(24);
    c.retain(|s| *s >= space.joints_from + margin && *s + t.gap + margin <= space.joints_to);
    c.sort_unstable();
    c.dedup();
    c
}

fn cheapest(space: Space, t: &Terms, places: &[Length]) -> Option<(Vec<Length>, Cost)> {
    let longest = t.longest_in(space);
    let joint: Vec<Cost> = places.iter().map(|s| t.joint_cost(*s)).collect();
    // best[k]: cheapest way to cut everything before joint k, and the joint before it.
    let mut best: Vec<Option<(Cost, Option<usize>)>> = vec![None; places.len()];
    let reach = |best: &[Option<(Cost, Option<usize>)>], end: Length, below: usize| {
        let mut found: Option<(Cost, Option<usize>)> = None;
        if end - space.from <= longest {
            found = Some((t.piece_cost(end - space.from), None));
        }
        for k in (0..below).rev() {
            let length = end - places[k] - t.gap;
            if length > longest {
                break;
            }
            let Some((before, _)) = best[k].filter(|_| length > Length::ZERO) else { continue };
            let cost = before.plus(joint[k]).plus(t.piece_cost(length));
            if found.is_none_or(|f| cost < f.0) {
                found = Some((cost, Some(k)));
            }
        }
        found
    };
    for k in 0..places.len() {
        best[k] = reach(&best, places[k], k);
    }
    let (cost, mut last) = reach(&best, space.to, places.len())?;
    let mut joints = Vec::new();
    while let Some(k) = last {
        joints.push(places[k]);
        last = best[k].and_then(|b| b.1);
    }
    joints.reverse();
    Some((joints, cost))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const BOARDS: [Length; 5] =
        [Length::feet(8), Length::feet(10), Length::feet(12), Length::feet(14), Length::feet(16)];

    fn terms<'a>(studs: &'a [Length], others: &'a [(Length, Length)]) -> Terms<'a> {
        Terms {
            longest: Length::feet(16),
            short: Length::inches(24),
            gap: Length::ZERO,
            offset: Length::inches(24),
            others,
            closed: &[],
            openings: &[],
            studs,
            stud_half: Length::sixteenths(12),
            boards: &BOARDS,
            zero: Length::ZERO,
            grid: Length::SIXTEENTH,
        }
    }
    fn space(from: i64, to: i64) -> Space {
        let (from, to) = (Length::inches(from), Length::inches(to));
        Space { from, to, joints_from: from, joints_to: to }
    }
    fn studs(to: i64) -> Vec<Length> {
        (1..to / 16).map(|k| Length::inches(16 * k)).collect()
    }

    #[test]
    fn a_short_wall_is_one_piece_and_a_long_one_breaks_on_a_stud() {
        let s = studs(288);
        assert!(split(space(0, 190), &terms(&s, &[])).unwrap().0.is_empty());
        let (j, c) = split(space(0, 288), &terms(&s, &[])).unwrap();
        // 24 ft: a whole 16 ft board and a whole 8 ft board, or the other way round.
        assert!(j == [Length::feet(16)] || j == [Length::feet(8)], "{j:?}");
        assert_eq!((c.breaches, c.off_stud, c.left_over), (0, 0, Length::ZERO));
    }

    #[test]
    fn keeps_24_inches_from_the_other_layers_joint() {
        let s = studs(288);
        let at = [(Length::feet(16), Length::feet(16)), (Length::feet(8), Length::feet(8))];
        let (j, c) = split(space(0, 288), &terms(&s, &at)).unwrap();
        assert_eq!(c.breaches, 0);
        assert!(at.iter().all(|(a, _)| (j[0] - *a).abs() >= Length::inches(24)));
    }

    #[test]
    fn says_when_it_cannot() {
        // Joints of the other layer every 48 in leave just one place between two of them.
        let s = studs(288);
        let at: Vec<_> = (0..7).map(|k| (Length::inches(48 * k), Length::inches(48 * k))).collect();
        let (j, c) = split(space(0, 288), &terms(&s, &at)).unwrap();
        assert_eq!((c.breaches, j[0].nm() % Length::inches(48).nm()), (0, Length::inches(24).nm()));
        let at: Vec<_> =
            (0..30).map(|k| (Length::inches(10 * k), Length::inches(10 * k))).collect();
        assert_eq!(split(space(0, 288), &terms(&s, &at)).unwrap().1.breaches, 1);
    }

    proptest! {
        /// Against the dumb twin: every set of one or two joints on the inch grid.
        #[test]
        fn no_worse_than_exhaustive_search(
            len in 193..380_i64,
            others in prop::collection::vec(0..380_i64, 0..5),
            shift in 0..16_i64,
        ) {
            let s: Vec<Length> = (0..24).map(|k| Length::inches(16 * k + shift)).collect();
            let o: Vec<_> = others.iter().map(|x| (Length::inches(*x), Length::inches(*x))).collect();
            let t = terms(&s, &o);
            let sp = space(0, len);
            let got = split(sp, &t).unwrap().1;
            let key = |c: Cost| (c.breaches, c.over_opening, c.short, c.pieces);
            let l = Length::inches;
            let mut best: Option<Cost> = None;
            for a in 2..len - 1 {
                if a > 192 { continue }
                let one = t.piece_cost(l(a)).plus(t.joint_cost(l(a)));
                if len - a <= 192 {
                    let c = one.plus(t.piece_cost(l(len - a)));
                    if best.is_none_or(|b| c < b) { best = Some(c) }
                }
                for b in a + 1..len - 1 {
                    if b - a <= 192 && len - b <= 192 {
                        let c = one.plus(t.piece_cost(l(b - a))).plus(t.joint_cost(l(b))).plus(t.piece_cost(l(len - b)));
                        if best.is_none_or(|x| c < x) { best = Some(c) }
                    }
                }
            }
            prop_assert!(key(got) <= key(best.unwrap()), "{got:?} {best:?}");
        }
    }
}
