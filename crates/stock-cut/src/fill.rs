//! Quick packings: first fit decreasing, and filling one board after the other as well as can be.

use crate::problem::{Packing, Problem};

/// The best of the quick ways.
pub fn best(problem: &Problem) -> Packing {
    let mut best = first_fit(problem, problem.sizes.len());
    for sizes in 1..problem.sizes.len() {
        if problem.kinds.first().is_some_and(|k| k.weight <= problem.sizes[sizes - 1].room) {
            best = best.better(first_fit(problem, sizes));
        }
    }
    for nodes in [40, 1_000] {
        for rule in [Rule::LeastWaste, Rule::LeastRate, Rule::Longest] {
            best = best.better(fill_boards(problem, &mut problem.wanted(), rule, nodes));
        }
    }
    best
}

/// Each piece, heaviest first, into the first bin that has room; a new bin has the longest of the
/// first `sizes` sizes, and every bin shrinks to what it holds in the end.
fn first_fit(problem: &Problem, sizes: usize) -> Packing {
    let Some(room) = sizes.checked_sub(1).map(|s| problem.sizes[s].room) else {
        return problem.packing(Vec::new());
    };
    let mut bins: Vec<Vec<usize>> = Vec::new();
    let mut left: Vec<i64> = Vec::new();
    for (k, kind) in problem.kinds.iter().enumerate() {
        // Bins before this one have no room for this kind.
        let mut from = 0;
        for _ in 0..kind.count() {
            let fit = (from..bins.len()).find(|b| left[*b] >= kind.weight);
            let b = fit.unwrap_or_else(|| {
                bins.push(Vec::new());
                left.push(room);
                bins.len() - 1
            });
            from = b;
            bins[b].push(k);
            left[b] -= kind.weight;
        }
    }
    problem.packing(bins)
}

/// Which board to cut next.
#[derive(Clone, Copy)]
pub enum Rule {
    /// The one with the least left over.
    LeastWaste,
    /// The one that costs least for what is on it.
    LeastRate,
    /// Always of the longest size.
    Longest,
}

/// Boards one after the other, each with the heaviest piece left and the best filling found for every
/// size by a search of at most `nodes` nodes. Takes everything out of `wanted`.
pub fn fill_boards(problem: &Problem, wanted: &mut [u32], rule: Rule, nodes: u32) -> Packing {
    let mut bins: Vec<Vec<usize>> = Vec::new();
    let mut heaviest = 0;
    loop {
        while heaviest < wanted.len() && wanted[heaviest] == 0 {
            heaviest += 1;
        }
        if heaviest == wanted.len() {
            return problem.packing(bins);
        }
        let first = problem.kinds[heaviest].weight;
        wanted[heaviest] -= 1;
        let mut chosen: Option<(f64, Vec<usize>)> = None;
        for size in problem.sizes.iter().rev().filter(|s| s.room >= first) {
            let (load, mut kinds) = fullest(problem, wanted, size.room - first, heaviest, nodes);
            kinds.push(heaviest);
            let waste = (size.room - first - load) as f64;
            let score = match rule {
                Rule::LeastWaste => waste,
                Rule::LeastRate => size.cost as f64 / (first + load) as f64,
                Rule::Longest => 0.0,
            };
            if chosen.as_ref().is_none_or(|(s, _)| score < *s) {
                chosen = Some((score, kinds));
            }
        }
        // A board of the longest size holds every kind, so that one was chosen.
        let kinds = chosen.map_or_else(|| vec![heaviest], |(_, k)| k);
        for k in kinds.iter().filter(|k| **k != heaviest) {
            wanted[*k] -= 1;
        }
        let again = kinds.iter().filter(|k| **k == heaviest).count() as u32 - 1;
        wanted[heaviest] -= again;
        bins.push(kinds);
    }
}

/// The fullest choice of pieces for a room, and its load: depth first, heaviest first, until nothing
/// is left over or `nodes` nodes were seen.
pub fn fullest(
    problem: &Problem,
    wanted: &[u32],
    room: i64,
    from: usize,
    nodes: u32,
) -> (i64, Vec<usize>) {
    let mut best = (0, Vec::new());
    let mut taken: Vec<usize> = Vec::new();
    let (mut left, mut next) = (room, from);
    let count =
        |taken: &[usize], k: usize| taken.iter().rev().take_while(|t| **t == k).count() as u32;
    for _ in 0..nodes {
        // Down: the heaviest that fits, again and again.
        while next < wanted.len() && left > 0 {
            // Skip what is too heavy at once: kinds are sorted.
            if problem.kinds[next].weight > left {
                next += problem.kinds[next..].partition_point(|k| k.weight > left);
                continue;
            }
            if count(&taken, next) < wanted[next] {
                taken.push(next);
                left -= problem.kinds[next].weight;
            } else {
                next += 1;
            }
        }
        if room - left > best.0 {
            best = (room - left, taken.clone());
            if left == 0 {
                break;
            }
        }
        let Some(last) = taken.pop() else { break };
        left += problem.kinds[last].weight;
        next = last + 1;
    }
    best
}
