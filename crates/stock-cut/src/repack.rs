//! A few boards at a time, taken apart and packed anew in the best way there is.

use crate::problem::{Chance, Packing, Problem, Work};

/// Most pieces that are packed anew together: all ways are tried, about 3^n steps.
pub const MOST: usize = 9;

/// The cheapest way to pack a few pieces (at most [`MOST`] + 1); of equally cheap ways the one that
/// gathers what is left over on few boards, because a large rest is what lets a board be shorter.
/// The score orders ways: less is better.
pub fn exact(problem: &Problem, pieces: &[usize]) -> (i64, Vec<Vec<usize>>) {
    let n = pieces.len();
    let full = (1_usize << n) - 1;
    let mut load = vec![0_i64; full + 1];
    let mut score = vec![None; full + 1];
    for set in 1..=full {
        let low = set.trailing_zeros() as usize;
        load[set] = load[set & (set - 1)] + problem.kinds[pieces[low]].weight;
        score[set] = problem.size_for(load[set]).map(|size| bin_score(problem, size, load[set]));
    }
    let mut least = vec![i64::MAX; full + 1];
    let mut group = vec![0_usize; full + 1];
    least[0] = 0;
    for set in 1..=full {
        let low = set & set.wrapping_neg();
        let rest = set ^ low;
        let mut sub = rest;
        loop {
            let bin = sub | low;
            if let Some(s) = score[bin]
                && least[set ^ bin] != i64::MAX
                && s + least[set ^ bin] < least[set]
            {
                least[set] = s + least[set ^ bin];
                group[set] = bin;
            }
            if sub == 0 {
                break;
            }
            sub = (sub - 1) & rest;
        }
    }
    let mut bins = Vec::new();
    let mut set = full;
    while set != 0 && group[set] != 0 {
        let bin = group[set];
        bins.push((0..n).filter(|i| bin >> i & 1 == 1).map(|i| pieces[i]).collect());
        set ^= bin;
    }
    (least[full], bins)
}

/// Cost first, then less for a larger rest (by its square).
fn bin_score(problem: &Problem, size: usize, load: i64) -> i64 {
    let longest = problem.sizes.last().map_or(1, |s| s.room);
    let unit = longest / 4096 + 1;
    let rest = (problem.sizes[size].room - load) / unit;
    (problem.sizes[size].cost << 28) - rest * rest
}

/// Packs boards anew until the cost is down at `floor` or the work is done.
pub fn improve(problem: &Problem, start: Packing, floor: i64, work: &mut Work) -> Packing {
    let mut bins: Vec<Vec<usize>> = start.bins.into_iter().map(|b| b.kinds).collect();
    let mut cost = start.cost;
    let mut chance = Chance::new();
    let rest = |bins: &[Vec<usize>], b: usize| {
        let load = problem.load(&bins[b]);
        problem.size_for(load).map_or(0, |s| problem.sizes[s].room - load)
    };
    let small = (0..bins.len()).filter(|b| bins[*b].len() <= MOST / 2).count();
    while cost > floor && small >= 2 && bins.len() >= 2 {
        // Boards with much left over are worth more attention: the better of two draws.
        let mut chosen: Vec<usize> = Vec::with_capacity(4);
        let mut pieces: Vec<usize> = Vec::with_capacity(MOST);
        let boards = 2 + chance.below(3);
        for _ in 0..boards * 3 {
            let (a, b) = (chance.below(bins.len()), chance.below(bins.len()));
            let pick = if rest(&bins, a) >= rest(&bins, b) { a } else { b };
            if !chosen.contains(&pick) && pieces.len() + bins[pick].len() <= MOST {
                chosen.push(pick);
                pieces.extend(&bins[pick]);
            }
            if chosen.len() == boards {
                break;
            }
        }
        if !work.spend(60 + 3_u64.pow(pieces.len() as u32)) {
            break;
        }
        if chosen.len() < 2 {
            continue;
        }
        let before: i64 = chosen
            .iter()
            .map(|b| {
                let load = problem.load(&bins[*b]);
                problem.size_for(load).map_or(0, |size| bin_score(problem, size, load))
            })
            .sum();
        let (after, packed) = exact(problem, &pieces);
        if after >= before {
            continue;
        }
        chosen.sort_unstable();
        for b in chosen.iter().rev() {
            bins.swap_remove(*b);
        }
        bins.extend(packed);
        let of =
            |b: &Vec<usize>| problem.size_for(problem.load(b)).map_or(0, |s| problem.sizes[s].cost);
        cost = bins.iter().map(of).sum();
    }
    problem.packing(bins)
}
