//! The joints of both top layers of a run, chosen together.
//!
//! A way through both layers is a row of joints in order of station, now in one layer, now in the
//! other. What a joint costs depends on the piece before it in its own layer and on the joints of the
//! other layer within the joint offset before it; so the state of a partial way is the last place in
//! each layer and the joints still within the offset. The search takes partial ways in order of
//! their cost plus what each layer alone would cost from there on, which the true cost can only
//! exceed (the layers add pairs of joints too near each other, nothing else): the first complete way
//! is the cheapest there is over the places offered (Hart, Nilsson and Raphael 1968). Where pairs too near each other cannot be
//! avoided that tells too little, and the search begins anew with what both layers cost together ([`crate::ahead`]).

use crate::ahead::{Ahead, last};
use crate::cost::{Cost, Packed};
use crate::split::{Terms, Track, near};
use geom::Length;
use rustc_hash::FxHashMap;
use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::collections::hash_map::Entry;

/// No place.
const NONE: u32 = u32::MAX;

/// The last place in each layer, and in each layer the last two joints that a joint to come may still
/// be too near to. Two are enough: of three, the two pieces between them together are no longer than the
/// offset, fit one board, and are cheaper as one.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
struct State {
    at: [u32; 2],
    recent: [[u32; 2]; 2],
}

/// A partial way.
struct Way {
    state: State,
    cost: Packed,
    before: u32,
}

/// When the search gives up.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Patience {
    /// Ways looked at.
    pub looked_at: usize,
    /// Ways kept, some 150 bytes each.
    pub kept: usize,
}

impl Patience {
    /// While each layer's own cost tells the rest: a few looks at each place.
    fn at_first(tracks: &[Track; 2]) -> Patience {
        let [lower, upper] = tracks.each_ref().map(|t| t.places.len());
        Patience { looked_at: (20 * (lower + upper)).max(400), kept: 1 << 20 }
    }
    /// With both layers' cost together, which leaves out the joint before the last alone: as many looks as there are pairs
    /// of places, of which hardly a search takes a tenth.
    fn with_both(tracks: &[Track; 2]) -> Patience {
        let [lower, upper] = tracks.each_ref().map(|t| t.places.len());
        Patience { looked_at: (lower * upper).max(400), kept: 1 << 20 }
    }
}

/// A search that ran out of patience.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct GivenUp;

/// For each layer the joints by station, and the cost.
type Cheapest = ([Vec<Length>; 2], Cost);

/// The cheapest way. `None` when nothing is cheaper than `below`, or when finding it would take too long.
pub(crate) fn cheapest(
    tracks: &[Track; 2],
    terms: &[Terms; 2],
    below: Option<Cost>,
) -> Option<Cheapest> {
    cheapest_within(Patience::at_first(tracks), tracks, terms, below)
        .or_else(|GivenUp| cheapest_by_both(Patience::with_both(tracks), tracks, terms, below))
        .ok()?
}

/// By what each layer alone costs from a place on, with this much patience.
pub(crate) fn cheapest_within(
    patience: Patience,
    tracks: &[Track; 2],
    terms: &[Terms; 2],
    below: Option<Cost>,
) -> Result<Option<Cheapest>, GivenUp> {
    let onward = [0, 1].map(|l| {
        let places = tracks[l].places.iter();
        places.map(|p| Packed::from(p.onward)).collect::<Vec<_>>()
    });
    let rest = |at: [usize; 2]| {
        let on = |l: usize| onward[l].get(at[l]).copied().unwrap_or_default();
        Some(on(0).plus(on(1)))
    };
    search(patience, tracks, terms, below, rest)
}

/// By what both layers cost together.
pub(crate) fn cheapest_by_both(
    patience: Patience,
    tracks: &[Track; 2],
    terms: &[Terms; 2],
    below: Option<Cost>,
) -> Result<Option<Cheapest>, GivenUp> {
    let ahead = Ahead::of(tracks, terms);
    search(patience, tracks, terms, below, |at| ahead.on_from(at))
}

/// `rest`: from a place in each layer no more than the rest costs, `None` where there is no way on.
fn search(
    patience: Patience,
    tracks: &[Track; 2],
    terms: &[Terms; 2],
    below: Option<Cost>,
    rest: impl Fn([usize; 2]) -> Option<Packed>,
) -> Result<Option<Cheapest>, GivenUp> {
    let offset = terms[0].offset;
    let start = State { at: [0, 0], recent: [[NONE; 2]; 2] };
    let ends = [0, 1].map(|l| tracks[l].end() as u32);
    let below = below.map(Packed::from);
    // By layer and place: what a joint there costs.
    let joint_costs = [0, 1].map(|l| {
        let places = tracks[l].places.iter();
        places.map(|p| Packed::from(p.cost)).collect::<Vec<_>>()
    });
    let onward = |s: &State| rest(s.at.map(|at| at as usize));
    let station = |s: &State| {
        let at = |l: usize| tracks[l].places.get(s.at[l] as usize).map_or(Length::ZERO, |p| p.lo);
        at(0) + at(1)
    };
    let mut ways = vec![Way { state: start, cost: Packed::default(), before: NONE }];
    // Of equal costs the one that has come farthest, then the one found first.
    let Some(least) = onward(&start) else { return Ok(None) };
    let mut open = BinaryHeap::from([Reverse((least, Reverse(station(&start)), 0_u32))]);
    // The least cost each state was reached at, and whether it has been looked at.
    let mut known = FxHashMap::from_iter([(start, (Packed::default(), false))]);
    let mut done = 0;
    while let Some(Reverse((_, _, way))) = open.pop() {
        let Way { state, cost, .. } = ways[way as usize];
        match known.get_mut(&state) {
            Some((_, looked_at)) if !*looked_at => *looked_at = true,
            _ => continue,
        }
        done += 1;
        if state.at == ends {
            return Ok(Some((joints(tracks, &ways, way), cost.into())));
        }
        if done > patience.looked_at || ways.len() > patience.kept {
            return Err(GivenUp);
        }
        let last = last(tracks, state.at.map(|at| at as usize));
        for l in 0..2 {
            if state.at[l] == ends[l] {
                continue;
            }
            for (to, piece) in tracks[l].pieces_from(state.at[l] as usize, &terms[l]) {
                let p = &tracks[l].places[to];
                if Some((p.lo, l)) < last {
                    continue;
                }
                let mut next = state;
                next.at[l] = to as u32;
                let mut total = cost.plus(piece.into()).plus(joint_costs[l][to]);
                if p.joint {
                    let too_near = |r: &&u32| {
                        let q = tracks[1 - l].places.get(**r as usize);
                        q.is_some_and(|q| near((q.lo, q.hi), (p.lo, p.hi), offset))
                    };
                    let breaches = state.recent[1 - l].iter().filter(too_near).count() as u32;
                    total = total.plus(Cost { breaches, ..Cost::default() }.into());
                    next.recent[l] = [to as u32, state.recent[l][0]];
                }
                // What lies too far back no longer matters.
                for (k, recent) in next.recent.iter_mut().enumerate() {
                    for r in recent {
                        let far =
                            tracks[k].places.get(*r as usize).is_none_or(|q| p.lo - q.hi >= offset);
                        if far {
                            *r = NONE;
                        }
                    }
                }
                let Some(rest) = onward(&next) else { continue };
                let least = total.plus(rest);
                if below.is_none_or(|b| least < b) && is_better(&mut known, next, total) {
                    let key = (least, Reverse(station(&next)), ways.len() as u32);
                    ways.push(Way { state: next, cost: total, before: way });
                    open.push(Reverse(key));
                }
            }
        }
    }
    Ok(None)
}

/// Whether a state is reached for less than before; notes it.
fn is_better(known: &mut FxHashMap<State, (Packed, bool)>, state: State, cost: Packed) -> bool {
    match known.entry(state) {
        Entry::Vacant(new) => {
            new.insert((cost, false));
            true
        }
        Entry::Occupied(mut old) => {
            let better = !old.get().1 && cost < old.get().0;
            if better {
                old.get_mut().0 = cost;
            }
            better
        }
    }
}

fn joints(tracks: &[Track; 2], ways: &[Way], mut way: u32) -> [Vec<Length>; 2] {
    let mut out = [Vec::new(), Vec::new()];
    while way != NONE {
        let Way { state, before, .. } = &ways[way as usize];
        if *before != NONE {
            let was = &ways[*before as usize].state;
            for l in 0..2 {
                if state.at[l] == was.at[l] {
                    continue; // A layer that other walls leave nothing of has no places.
                }
                let p = &tracks[l].places[state.at[l] as usize];
                if p.joint {
                    out[l].push(p.lo);
                }
            }
        }
        way = *before;
    }
    out.iter_mut().for_each(|j| j.reverse());
    out
}
