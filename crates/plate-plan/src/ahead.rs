//! What the rest of both top layers of a run costs from a place in each, but for joints near the last but one of the other
//! layer: hardly less than the true cost, so a search that goes by it (see [`crate::together`]) looks at little else than the
//! cheapest way.
//!
//! Of two layers with some hundred places each it holds every pair of them. It is worth making only where a search by each layer's
//! own cost does not come to an end soon: where the layers cannot keep clear of each other.

use crate::cost::{Cost, Packed};
use crate::split::{Place, Terms, Track, near};
use geom::Length;

/// The cost of the rest, by pair of places.
pub(crate) struct Ahead {
    /// Places of the upper layer, at least one.
    uppers: usize,
    /// By place of the lower layer, then of the upper one; `None` where there is no way on.
    costs: Vec<Option<Packed>>,
}

impl Ahead {
    pub(crate) fn of(tracks: &[Track; 2], terms: &[Terms; 2]) -> Ahead {
        let pieces = pieces(tracks, terms);
        let [lowers, uppers] = tracks.each_ref().map(|t| t.places.len().max(1));
        let mut ahead = Ahead { uppers, costs: vec![None; lowers * uppers] };
        let end = ahead.costs.len() - 1;
        ahead.costs[end] = Some(Packed::default());
        // Every piece leads on in its layer, so what a pair of places goes on to is known before it.
        for i in (0..lowers).rev() {
            for j in (0..uppers).rev() {
                let at = [i, j];
                let best = ways(tracks, terms, &pieces, at).filter_map(|(l, to, cost)| {
                    let mut next = at;
                    next[l] = to;
                    Some(ahead.on_from(next)?.plus(cost))
                });
                let best = best.min();
                let place = &mut ahead.costs[i * uppers + j];
                *place = place.or(best);
            }
        }
        ahead
    }

    /// The least that the rest costs from a place in each layer.
    pub(crate) fn on_from(&self, [lower, upper]: [usize; 2]) -> Option<Packed> {
        self.costs[lower * self.uppers + upper]
    }
}

/// By layer and place: the pieces that may begin there, where they end, what each costs with the joint at its end.
type Pieces = [Vec<Vec<(usize, Packed)>>; 2];

fn pieces(tracks: &[Track; 2], terms: &[Terms; 2]) -> Pieces {
    [0, 1].map(|l| {
        let places = &tracks[l].places;
        let from = |at| {
            let pieces = tracks[l].pieces_from(at, &terms[l]);
            pieces.map(|(to, piece)| (to, Packed::from(piece).plus(places[to].cost.into())))
        };
        (0..tracks[l].end()).map(|at| from(at).collect()).collect()
    })
}

/// The pieces that a way through a place in each layer may go on with, in order of station: layer, end, cost.
fn ways<'a>(
    tracks: &'a [Track; 2],
    terms: &'a [Terms; 2],
    pieces: &'a Pieces,
    at: [usize; 2],
) -> impl Iterator<Item = (usize, usize, Packed)> + 'a {
    let last = last(tracks, at);
    let breach = Packed::from(Cost { breaches: 1, ..Cost::default() });
    let not_before = move |l: usize, to: usize| Some((tracks[l].places[to].lo, l)) >= last;
    // In one layer nothing reaches as far as the other has come: there is no way on.
    let left_behind = move |l: usize| {
        let farthest = pieces[l].get(at[l]).and_then(|on| on.last());
        farthest.is_some_and(|(to, _)| !not_before(l, *to))
    };
    let layers = if left_behind(0) || left_behind(1) { 0..0 } else { 0..2 };
    layers.flat_map(move |l| {
        let other = tracks[1 - l].places.get(at[1 - l]).filter(|q| q.joint);
        let on = pieces[l].get(at[l]).map_or(&[][..], Vec::as_slice);
        let first = on.partition_point(|(to, _)| !not_before(l, *to));
        on[first..].iter().map(move |(to, cost)| {
            let p = &tracks[l].places[*to];
            let too_near = |q: &Place| p.joint && near((q.lo, q.hi), (p.lo, p.hi), terms[0].offset);
            (l, *to, if other.is_some_and(too_near) { cost.plus(breach) } else { *cost })
        })
    })
}

/// The later one of the places a way has come to in the two layers, which the next may not lie before.
pub(crate) fn last(tracks: &[Track; 2], at: [usize; 2]) -> Option<(Length, usize)> {
    let there = |l: usize| tracks[l].places.get(at[l]).filter(|_| at[l] > 0).map(|p| (p.lo, l));
    there(0).max(there(1))
}
