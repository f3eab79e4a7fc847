//! Which run carries through at each corner, decided over whole rings of walls at once.
//!
//! Every corner of equal heights is a choice of two: one run carries through in the lower layer and the
//! other in the upper, or the other way round. A run has two ends, so corners and runs hang together
//! in chains and rings: `run - corner - run - corner - ...`. What a run costs to cut depends only on
//! the choices at its own two ends, so dynamic programming along each chain (and, for a ring, once for
//! each choice at one of its corners) finds the cheapest choice of all corners exactly, for the costs
//! [`crate::cost::Cost`] counts and with everything else on the runs as it is when runs carry in
//! order of rank. Equal costs leave the run first in rank.

use crate::cost::Cost;
use crate::cut;
use crate::meet::{Carriers, LOWER, Meeting, RunShape, Terms, UPPER, lapping_corner, settle};
use crate::tees;
use std::collections::{BTreeMap, BTreeSet};
use wall_model::floor::{Floor, JunctionId, RunId};

/// Cost of a choice; ties go to the choice that departs from rank order least.
type Total = (Cost, u32);

fn plus(a: Total, b: Total) -> Total {
    (a.0.plus(b.0), a.1 + b.1)
}

/// A corner and what is chosen there: 0 the run first in rank carries, 1 the other.
type Choice = (JunctionId, usize);

/// The cheapest way to one choice at the corner reached.
struct Reached {
    total: Total,
    made: Vec<Choice>,
    at: Option<Choice>,
}

impl Reached {
    fn order(&self) -> (Total, &[Choice]) {
        (self.total, &self.made)
    }
}

/// A corner with a choice: the run that carries when the choice is 0, and the other.
struct Corner {
    runs: [RunId; 2],
}

/// The carriers that make the cheapest plates, given how everything meets by rank.
pub(crate) fn choose(by: &Terms, by_rank: &Meeting) -> Carriers {
    let floor = by.floor;
    let mut corners: BTreeMap<JunctionId, Corner> = BTreeMap::new();
    for (i, j) in floor.junctions.iter().enumerate() {
        if let Some([a, b]) = lapping_corner(floor, j) {
            // By rank the first carries: its lower plate reaches the far face, past the node.
            let id = JunctionId(i as u32);
            let first = if carries_below(floor, by_rank, a.run, id) { a.run } else { b.run };
            let second = if first == a.run { b.run } else { a.run };
            corners.insert(id, Corner { runs: [first, second] });
        }
    }
    if corners.is_empty() {
        return Carriers::new();
    }
    let swapped: Carriers = corners.iter().map(|(j, c)| (*j, c.runs[1])).collect();
    let other = settle(by, &swapped, &by_rank.tees);

    // cost[run][choice at start][choice at end]; the choice is 0 or 1 of the corner there.
    let mut cost: BTreeMap<RunId, [[Cost; 2]; 2]> = BTreeMap::new();
    let mut ends: BTreeMap<RunId, [Option<JunctionId>; 2]> = BTreeMap::new();
    for (i, r) in floor.runs.iter().enumerate() {
        if by.watch.is_over() {
            return Carriers::new();
        }
        let run = RunId(i as u32);
        // A third run that butts a corner's outside has no part in the choice.
        let takes_part = |j: &JunctionId| corners.get(j).is_some_and(|c| c.runs.contains(&run));
        let at = [r.start_junction, r.end_junction].map(|j| takes_part(&j).then_some(j));
        if at == [None, None] {
            continue;
        }
        ends.insert(run, at);
        let price = |start: usize, end: usize| {
            let mut shape: RunShape = by_rank.shapes[i].clone();
            for (k, choice) in [start, end].into_iter().enumerate() {
                if choice == 1 {
                    for layer in [LOWER, UPPER] {
                        shape.ends[layer][k] = other.shapes[i].ends[layer][k].clone();
                    }
                }
            }
            let mut cost = cut::cost_of(by, run, &shape);
            // Tees tied as they are may have no room beside another end; then they are tied anew.
            let room = (start, end) == (0, 0) || tees::have_room(by, &shape, run, &by_rank.tees);
            cost.straps += u32::from(!room);
            cost
        };
        // Without a corner there, the choice there makes no difference.
        let own = |k: usize, choice: usize| at[k].map_or(0, |_| choice);
        let mut table = [[Cost::default(); 2]; 2];
        for (start, end) in [(0, 0), (0, 1), (1, 0), (1, 1)] {
            let (s, e) = (own(0, start), own(1, end));
            table[start][end] = if (s, e) == (start, end) { price(s, e) } else { table[s][e] };
        }
        cost.insert(run, table);
    }
    let problem = Problem { corners: &corners, cost: &cost, ends: &ends };
    problem.solve()
}

fn carries_below(floor: &Floor, m: &Meeting, run: RunId, corner: JunctionId) -> bool {
    let r = floor.run(run);
    let end = usize::from(r.end_junction == corner);
    let [lower, upper] = [LOWER, UPPER].map(|l| m.shapes[run.0 as usize].ends[l][end].as_ref());
    match (lower, upper) {
        (Some(l), Some(u)) if end == 0 => l.profile.least() < u.profile.least(),
        (Some(l), Some(u)) => l.profile.greatest() > u.profile.greatest(),
        _ => true,
    }
}

struct Problem<'a> {
    corners: &'a BTreeMap<JunctionId, Corner>,
    cost: &'a BTreeMap<RunId, [[Cost; 2]; 2]>,
    ends: &'a BTreeMap<RunId, [Option<JunctionId>; 2]>,
}

impl Problem<'_> {
    fn solve(&self) -> Carriers {
        let mut out = Carriers::new();
        let mut seen: BTreeSet<RunId> = BTreeSet::new();
        // Chains first, from a run with one corner; what is left are rings.
        for ring in [false, true] {
            for (run, at) in self.ends {
                let corners = at.iter().flatten().count();
                if seen.contains(run) || (!ring && corners != 1) {
                    continue;
                }
                let chain = self.follow(*run, &mut seen);
                for (corner, choice) in self.cheapest(&chain, ring) {
                    out.insert(corner, self.corners[&corner].runs[choice]);
                }
            }
        }
        out
    }

    /// Runs and the corners after them, from `first` on: the corner after the last run is `None` for a
    /// chain, and for a ring the one before `first`.
    fn follow(&self, first: RunId, seen: &mut BTreeSet<RunId>) -> Vec<(RunId, Option<JunctionId>)> {
        let mut chain = Vec::new();
        let mut run = first;
        // A chain starts at its run's free end; a ring may start anywhere.
        let mut from = match self.ends[&first] {
            [Some(a), Some(_)] => Some(a),
            _ => None,
        };
        loop {
            seen.insert(run);
            let next = self.ends[&run].iter().flatten().copied().find(|j| Some(*j) != from);
            chain.push((run, next));
            let Some(corner) = next else { return chain };
            let over = self.corners[&corner].runs.into_iter().find(|r| *r != run);
            match over.filter(|r| !seen.contains(r)) {
                Some(r) => (run, from) = (r, Some(corner)),
                None => return chain,
            }
        }
    }

    /// Cost of a run between a choice at one corner and a choice at another.
    fn price(&self, run: RunId, a: Option<Choice>, b: Option<Choice>) -> Total {
        let at = self.ends[&run];
        let choice = |k: usize| {
            let here = |x: Option<Choice>| x.filter(|(j, _)| Some(*j) == at[k]);
            here(a).or(here(b)).map_or(0, |(_, c)| c)
        };
        (self.cost[&run][choice(0)][choice(1)], 0)
    }

    fn cheapest(&self, chain: &[(RunId, Option<JunctionId>)], ring: bool) -> Vec<Choice> {
        // In a ring the last corner is also before the first run: try both of its choices.
        let closing = chain.last().and_then(|l| l.1).filter(|_| ring);
        let starts: Vec<Option<Choice>> = match closing {
            Some(j) => vec![Some((j, 0)), Some((j, 1))],
            None => vec![None],
        };
        let mut best: Option<Reached> = None;
        for start in starts {
            let nothing = (Cost::default(), 0);
            let mut reached = vec![Reached { total: nothing, made: Vec::new(), at: start }];
            for (run, corner) in chain {
                let options: Vec<Option<Choice>> = match (corner, closing) {
                    (Some(j), Some(c)) if *j == c => vec![start],
                    (Some(j), _) => vec![Some((*j, 0)), Some((*j, 1))],
                    (None, _) => vec![None],
                };
                let onward = |to: Option<Choice>| {
                    let departs = (Cost::default(), to.map_or(0, |(_, c)| c as u32));
                    let from = |r: &Reached| {
                        let total = plus(plus(r.total, self.price(*run, r.at, to)), departs);
                        let made = r.made.iter().copied().chain(to).collect();
                        Reached { total, made, at: to }
                    };
                    reached.iter().map(from).min_by(|a, b| a.order().cmp(&b.order()))
                };
                reached = options.into_iter().filter_map(onward).collect();
            }
            best = best.into_iter().chain(reached).min_by(|a, b| a.order().cmp(&b.order()));
        }
        best.map(|b| b.made).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Four walls in a row with three corners between them. By hand: the second wall costs nothing where the choices at its
    /// ends differ, the third where they are alike, so that 1 0 0 and 0 1 1 cost the same, which is least. One departs from the
    /// order of rank at one corner, the other at two.
    #[test]
    fn of_equal_costs_that_which_departs_from_rank_at_fewer_corners_is_taken() {
        let corners: BTreeMap<JunctionId, Corner> =
            (0..3).map(|k| (JunctionId(k), Corner { runs: [RunId(k), RunId(k + 1)] })).collect();
        let at = |k: u32| Some(JunctionId(k));
        let ends = [[None, at(0)], [at(0), at(1)], [at(1), at(2)], [at(2), None]];
        let piece = |n: u32| Cost { pieces: n, ..Cost::default() };
        let prices = [[[0, 0], [0, 0]], [[1, 0], [0, 1]], [[0, 1], [1, 0]], [[0, 0], [0, 0]]];
        let by_run = (0..4).map(RunId);
        let ends = by_run.clone().zip(ends).collect();
        let cost = by_run.zip(prices.map(|table| table.map(|row| row.map(piece)))).collect();
        let chosen = Problem { corners: &corners, cost: &cost, ends: &ends }.solve();
        let hand = [(0, 1), (1, 1), (2, 2)].map(|(j, r)| (JunctionId(j), RunId(r)));
        assert_eq!(chosen, Carriers::from(hand));
    }
}
