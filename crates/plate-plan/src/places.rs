//! Where the joints of a layer may go.
//!
//! Any place on the tape would do; few are worth looking at. With the number of joints and their order
//! settled, what a cutting costs changes only where a joint passes a limit: an end of something it
//! keeps clear of, or a length at which a piece needs the next board or is no longer short, or the joint
//! offset from a joint of the other layer. So some cheapest cutting has every joint over a stud's
//! middle or at the end of a row of such limits that starts at something fixed. `few` has the rows of
//! one step and whole boards in a row; `many` those of several steps.

use crate::split::{LEAST_PIECE, Space, Terms};
use geom::Length;

/// Places for one space.
fn kept(mut places: Vec<Length>, space: Space, t: &Terms) -> Vec<Length> {
    let (least, most) = (space.joints_from + LEAST_PIECE, space.joints_to - LEAST_PIECE - t.gap);
    places.retain(|s| *s >= least && *s <= most);
    places.sort_unstable();
    places.dedup();
    let between = out_of_reach(&places, space, t);
    if !between.is_empty() {
        places.extend(between.into_iter().filter(|s| *s >= least && *s <= most));
        places.sort_unstable();
        places.dedup();
    }
    places
}

/// Places between two that are farther apart than a board reaches, as studs are on either side of a wide opening:
/// boards in a row from both, and pieces of one length.
fn out_of_reach(places: &[Length], space: Space, t: &Terms) -> Vec<Length> {
    let longest = t.longest_in(space);
    let mut out = Vec::new();
    if longest < LEAST_PIECE * 2 {
        return out;
    }
    let starts = std::iter::once(space.from).chain(places.iter().map(|at| *at + t.gap));
    let ends = places.iter().copied().chain([space.to]);
    for (from, to) in starts.zip(ends).filter(|(from, to)| *to - *from > longest) {
        let (mut there, mut back, mut pieces) = (t.down(from + longest), to, 1);
        while there < to {
            out.push(there);
            there = t.down(there + t.gap + longest);
            back = t.up(back - longest - t.gap);
            out.push(back);
            pieces += 1;
        }
        let each = (to - from) / pieces;
        out.extend((1..pieces).map(|k| t.down(from + each * k)));
    }
    out
}

fn studs<'a>(space: Space, t: &'a Terms) -> impl Iterator<Item = Length> + 'a {
    let first = t.studs.partition_point(|s| *s < space.from);
    t.studs[first..]
        .iter()
        .take_while(move |s| **s <= space.to)
        .map(|s| t.nearest(*s - t.gap.half()))
}

/// Ends of what a joint in this space keeps clear of.
fn limits(space: Space, t: &Terms) -> Vec<Length> {
    let mut out = Vec::new();
    let reach = t.offset + t.gap + t.grid;
    let about = |i: &&(Length, Length), by: Length| i.1 + by > space.from && i.0 - by < space.to;
    for (a, b) in t.others.iter().filter(|i| about(i, reach)) {
        out.extend([t.down(*a - t.offset - t.gap), t.up(*b + t.offset)]);
    }
    // Elsewhere a joint that keeps the offset from a lap is not inside.
    let laps = if t.crowded() { t.laps } else { &[] };
    for (a, b) in
        t.closed.iter().chain(t.openings).chain(t.scraps).chain(laps).filter(|i| about(i, t.gap))
    {
        out.extend([t.down(*a - t.gap), t.up(*b)]);
    }
    out.extend([t.up(space.from + t.short), t.down(space.to - t.short - t.gap)]);
    out
}

/// Places enough for a space whose joints need not give way to each other.
pub(crate) fn few(space: Space, t: &Terms) -> Vec<Length> {
    if !t.is_cut(space) {
        return Vec::new();
    }
    let longest = t.longest_in(space);
    let mut out: Vec<Length> = studs(space, t).collect();
    let limits = limits(space, t);
    for s in &limits {
        out.extend([*s, t.down(*s + t.gap + longest), t.up(*s - t.gap - longest)]);
    }
    for b in t.boards {
        let b = b.usable.min(longest);
        out.extend([t.down(space.from + b), t.up(space.to - b - t.gap)]);
    }
    kept(out, space, t)
}

/// Some of them, evenly, where there are too many.
fn thinned(places: Vec<Length>, most: usize) -> Vec<Length> {
    let n = places.len();
    if n <= most {
        return places;
    }
    (0..most).map(|k| places[k * n / most.max(1)]).collect()
}

/// Places no more than this many for one space; steps farther from something fixed are left out first.
const MOST: usize = 150;

/// Places for the spaces of both layers: rows of up to `STEPS` boards, short pieces and joint
/// offsets from anything fixed.
pub(crate) fn many(spaces: &[Vec<Space>; 2], terms: &[Terms; 2]) -> [Vec<Vec<Length>>; 2] {
    const STEPS: usize = 2;
    let mut all: [Vec<Vec<Length>>; 2] = [0, 1].map(|l| {
        spaces[l]
            .iter()
            .map(|s| {
                let t = &terms[l];
                if !t.is_cut(*s) {
                    return Vec::new();
                }
                let mut out = limits(*s, t);
                out.extend([s.from - t.gap, s.to]);
                out
            })
            .collect()
    });
    // What the last step added is what the next one goes on from.
    let mut last = all.clone();
    for _ in 0..STEPS {
        let mut next: [Vec<Vec<Length>>; 2] = [0, 1].map(|l| vec![Vec::new(); spaces[l].len()]);
        for l in 0..2 {
            let t = &terms[l];
            for (i, s) in spaces[l].iter().enumerate() {
                if !t.is_cut(*s) {
                    continue;
                }
                let longest = t.longest_in(*s);
                let mut new: Vec<Length> = Vec::new();
                for at in &last[l][i] {
                    let lengths = t.boards.iter().map(|b| b.usable.min(longest)).chain([t.short]);
                    for by in lengths {
                        new.extend([t.down(*at + t.gap + by), t.up(*at - t.gap - by)]);
                    }
                }
                let o = &terms[1 - l];
                for at in last[1 - l].iter().flatten() {
                    new.extend([t.up(*at + o.gap + t.offset), t.down(*at - t.offset - t.gap)]);
                }
                new.retain(|at| *at > s.from && *at < s.to);
                new.sort_unstable();
                new.dedup();
                new.retain(|at| !all[l][i].contains(at));
                new = thinned(new, MOST.saturating_sub(all[l][i].len()));
                next[l][i] = new;
            }
        }
        for l in 0..2 {
            for (all, new) in all[l].iter_mut().zip(&next[l]) {
                all.extend(new);
            }
        }
        last = next;
    }
    for l in 0..2 {
        let t = &terms[l];
        // Two joints must keep their distance and each may be over a stud.
        let over_studs = |s: &Space| studs(*s, t).collect::<Vec<_>>();
        let apart = |s: &Space| {
            let o = &terms[1 - l];
            let there = studs(*s, o).map(|at| (at, o.gap));
            there
                .flat_map(|(at, g)| [t.up(at + g + t.offset), t.down(at - t.offset - t.gap)])
                .collect::<Vec<_>>()
        };
        for (s, places) in spaces[l].iter().zip(&mut all[l]) {
            if t.is_cut(*s) {
                places.extend(over_studs(s));
                places.extend(apart(s));
                *places = kept(std::mem::take(places), *s, t);
            }
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::split::Stocked;

    /// Boards of 16 ft over 75 ft without a stud but for one 16 ft in, joints an eighth wide: whole boards in a row from that one
    /// and from the end, and four pieces of one length, by hand on the sixteenth before.
    #[test]
    fn places_out_of_reach_of_each_other_have_boards_in_a_row_between() {
        let inch = |x: f64| Length::from_inches(x).unwrap_or_default();
        let boards = [Stocked { usable: Length::feet(16), price: 16 }];
        let t =
            Terms { gap: inch(0.125), ..Terms::plain(&[], inch(0.75), &boards, Length::SIXTEENTH) };
        let (from, to) = (Length::ZERO, inch(900.));
        let space = Space { from, to, joints_from: from, joints_to: to };
        let mut found = out_of_reach(&[inch(192.)], space, &t);
        found.sort_unstable();
        let onward = [384.125, 576.25, 768.375];
        let back = [707.875, 515.75, 323.625];
        let alike = [369.0625, 546.0625, 723.];
        let mut hand = [onward, back, alike].concat();
        hand.sort_unstable_by(f64::total_cmp);
        assert_eq!(found, hand.into_iter().map(inch).collect::<Vec<_>>());
    }
}
