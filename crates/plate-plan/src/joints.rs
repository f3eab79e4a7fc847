//! Chooses the joints of a run: one layer clear of the other where that costs neither anything, both
//! searched together where it does, over more places where that still leaves something to wish for.

use crate::cost::Cost;
use crate::places;
use crate::split::{LEAST_PIECE, Space, Terms, Track, near};
use crate::together;
use geom::Length;

/// The joints of both top layers by station, and what the cutting costs.
pub(crate) struct Choice {
    pub joints: [Vec<Length>; 2],
    pub cost: Cost,
}

/// Places of both layers together up to which all pairs of cuttings are searched; longer runs (some
/// 80 ft and more) are cut one layer after the other, in both orders.
const SEARCHED: usize = 260;
/// Boards in a row up to which more places are tried where the first ones leave something to wish for.
const SHORT_RUN: u32 = 4;

/// Chooses the joints of both layers. The `others` of a layer are the fixed joints of the other one.
pub(crate) fn choose(spaces: &[Vec<Space>; 2], terms: &[Terms; 2]) -> Choice {
    let few: [Vec<Vec<Length>>; 2] =
        [0, 1].map(|l| spaces[l].iter().map(|s| places::few(*s, &terms[l])).collect());
    if few.iter().flatten().map(Vec::len).sum::<usize>() > SEARCHED {
        return in_turn(spaces, terms, &few);
    }
    let tracks = tracks(spaces, terms, &few);
    let alone = tracks[0].alone().plus(tracks[1].alone());
    if tracks.iter().all(|t| !t.has_joints()) {
        return Choice { joints: [Vec::new(), Vec::new()], cost: alone };
    }
    let ways = [0, 1].map(|l| tracks[l].way_alone(&terms[l]));
    let both = |l: usize| ways[l].iter().map(move |at| (*at, *at + terms[l].gap));
    let apart = both(0).all(|a| both(1).all(|b| !near(a, b, terms[0].offset)));
    let mut best = if apart {
        // Clear of each other by themselves: nothing is cheaper.
        Choice { joints: ways, cost: alone }
    } else {
        one_after_the_other(spaces, terms, &tracks[0], 0)
    };
    if best.cost > alone {
        best = search(&tracks, terms, Some(best.cost)).unwrap_or(best);
    }
    let bound = bound(spaces, terms);
    if best.cost.is_at(&bound) || bound.pieces > SHORT_RUN * 2 {
        return best;
    }
    let tracks = self::tracks(spaces, terms, &places::many(spaces, terms));
    search(&tracks, terms, Some(best.cost)).unwrap_or(best)
}

/// Runs too long to search: the lower layer first; where that leaves a fault, also the other way round.
fn in_turn(spaces: &[Vec<Space>; 2], terms: &[Terms; 2], few: &[Vec<Vec<Length>>; 2]) -> Choice {
    let first = |l: usize| {
        let track = Track::new(&spaces[l], &few[l], &terms[l]);
        one_after_the_other(spaces, terms, &track, l)
    };
    let best = first(0);
    if best.cost.is_sound() {
        return best;
    }
    let other = first(1);
    if other.cost < best.cost { other } else { best }
}

fn tracks(
    spaces: &[Vec<Space>; 2],
    terms: &[Terms; 2],
    places: &[Vec<Vec<Length>>; 2],
) -> [Track; 2] {
    [0, 1].map(|l| Track::new(&spaces[l], &places[l], &terms[l]))
}

fn search(tracks: &[Track; 2], terms: &[Terms; 2], below: Option<Cost>) -> Option<Choice> {
    let (joints, cost) = together::cheapest(tracks, terms, below)?;
    Some(Choice { joints, cost })
}

/// One layer by itself, then the other clear of it.
fn one_after_the_other(
    spaces: &[Vec<Space>; 2],
    terms: &[Terms; 2],
    alone: &Track,
    first: usize,
) -> Choice {
    let t = &terms[first];
    let there = alone.way_alone(t);
    let second = 1 - first;
    let mut others = terms[second].others.to_vec();
    others.extend(there.iter().map(|at| (*at, *at + t.gap)));
    others.sort_unstable();
    let t = Terms { others: &others, ..terms[second] };
    let places: Vec<Vec<Length>> = spaces[second].iter().map(|s| places::few(*s, &t)).collect();
    let track = Track::new(&spaces[second], &places, &t);
    let here = track.way_alone(&t);
    let joints = if first == 0 { [there, here] } else { [here, there] };
    Choice { cost: alone.alone().plus(track.alone()), joints }
}

/// Nothing costs less than this: no joint in a wrong place, every space cut into the fewest pieces,
/// out of boards no longer together than it is.
fn bound(spaces: &[Vec<Space>; 2], terms: &[Terms; 2]) -> Cost {
    let of = |l: usize| -> Cost { spaces[l].iter().map(|s| least(*s, &terms[l])).sum() };
    of(0).plus(of(1))
}

fn least(s: Space, t: &Terms) -> Cost {
    let length = s.to - s.from;
    if !t.is_cut(s) {
        return t.piece_cost(length);
    }
    // Boards may be shorter than a plumb cut takes on a slope; no piece is shorter than the least.
    let longest = t.longest_in(s).max(LEAST_PIECE);
    let (mut pieces, mut covered) = (1_u32, longest);
    while covered < length {
        covered += longest + t.gap;
        pieces += 1;
    }
    // Each piece more leaves a gap more, and costs a board more.
    let price = |n: u32| {
        let wood = length - t.gap * i64::from(n - 1);
        let by_length = t.boards.iter().map(|b| {
            let (usable, wood) = (b.usable.nm().max(1) as u128, wood.nm().max(0) as u128);
            (u128::from(b.price) * wood).div_ceil(usable) as u64
        });
        let step = t.boards.iter().map(|b| b.price).fold(0, gcd).max(1);
        let least = t.boards.iter().map(|b| b.price).min().unwrap_or(0);
        let by_length = by_length.min().unwrap_or(0).div_ceil(step) * step;
        by_length.max(least * u64::from(n))
    };
    let boards = (pieces..pieces + 4).map(price).min().unwrap_or(0);
    Cost { boards, pieces, ..Cost::default() }
}

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

impl Cost {
    /// Equal, the finest field apart.
    fn is_at(&self, bound: &Cost) -> bool {
        Cost { cut: 0, ..*self } == Cost { cut: 0, ..*bound }
    }
}

/// The joints of a space by itself, whatever else is on the run.
pub(crate) fn of_one_layer(space: Space, terms: &Terms) -> Vec<Length> {
    let track = Track::new(&[space], &[places::few(space, terms)], terms);
    track.way_alone(terms)
}

/// Pairs of fixed joints nearer than the offset.
pub(crate) fn fixed_breaches(
    lower: &[(Length, Length)],
    upper: &[(Length, Length)],
    offset: Length,
) -> u32 {
    let pairs = lower.iter().flat_map(|l| upper.iter().map(move |u| near(*l, *u, offset)));
    pairs.filter(|near| *near).count() as u32
}

#[cfg(test)]
mod tests;
