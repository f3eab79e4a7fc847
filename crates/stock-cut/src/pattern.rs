//! The most valuable pattern of a board: a bounded knapsack.
//!
//! Two ways: depth-first search, which finds good patterns at once and mostly proves the best soon;
//! and dynamic programming over the length of the board, which takes its time but always ends.

use crate::problem::{Problem, Work};

/// What a piece of each kind is worth, as whole numbers.
pub struct Prices {
    /// By kind.
    pub of: Vec<i64>,
    /// One unit of what boards cost, in the same measure.
    pub scale: i64,
    /// Kinds worth something, by worth over weight, best first.
    order: Vec<usize>,
}

impl Prices {
    /// Whole prices; negative ones and those that are no number count as 0.
    pub fn of(problem: &Problem, each: &[f64]) -> Prices {
        const SCALE: i64 = 1 << 22;
        let whole = |p: &f64| (p * SCALE as f64).clamp(0.0, 1e12) as i64;
        let of: Vec<i64> = each.iter().map(whole).collect();
        let rate = |k: &usize| of[*k] as f64 / problem.kinds[*k].weight as f64;
        let mut order: Vec<usize> = (0..of.len()).filter(|k| of[*k] > 0).collect();
        order.sort_by(|a, b| rate(b).total_cmp(&rate(a)).then(a.cmp(b)));
        Prices { of, scale: SCALE, order }
    }
}

/// Kinds and how many of each, each kind once.
pub type Counts = Vec<(usize, u32)>;

/// What a search found for one size.
pub struct Found {
    /// The most valuable pattern found that is worth more than asked for.
    pub counts: Option<Counts>,
    /// No pattern is worth more than this; the best one's worth where that is over what was asked for.
    pub at_most: i64,
    /// The search went to its end: `at_most` is proven.
    pub complete: bool,
    /// What the board costs, where the searcher knew.
    pub cost: Option<f64>,
}

/// Looks for the most valuable choice of pieces that fits, at most `wanted` of each, worth more than
/// `over`, in at most `nodes` nodes.
pub fn search(
    problem: &Problem,
    wanted: &[u32],
    prices: &Prices,
    room: i64,
    over: i64,
    nodes: u32,
    work: &mut Work,
) -> Found {
    let items: Vec<Item> = prices
        .order
        .iter()
        .filter(|k| wanted[**k] > 0 && problem.kinds[**k].weight <= room)
        .map(|k| {
            let (kind, weight, price) = (*k, problem.kinds[*k].weight, prices.of[*k]);
            Item { kind, weight, price, rate: price as f64 / weight as f64 }
        })
        .collect();
    // Lightest of the items from here on: with less room than that, nothing more fits.
    let mut lightest = vec![i64::MAX; items.len() + 1];
    for (i, item) in items.iter().enumerate().rev() {
        lightest[i] = lightest[i + 1].min(item.weight);
    }
    let mut found = Found { counts: None, at_most: over, complete: false, cost: None };
    // Taken so far: item and count.
    let mut taken: Vec<(usize, u32)> = Vec::new();
    let (mut left, mut worth, mut next) = (room, 0_i64, 0_usize);
    for _ in 0..nodes {
        // Down greedily from item `next` as far as the bound allows.
        let mut steps = 1;
        while next < items.len() && left >= lightest[next] {
            steps += 1;
            let item = &items[next];
            // One whole is added, so that no rounding of the product can cut off the best.
            if worth as f64 + left as f64 * item.rate + 1.0 <= found.at_most as f64 {
                break;
            }
            let count = (left / item.weight).min(i64::from(wanted[item.kind])) as u32;
            if count > 0 {
                taken.push((next, count));
                left -= item.weight * i64::from(count);
                worth += item.price * i64::from(count);
            }
            next += 1;
        }
        if worth > found.at_most {
            found.at_most = worth;
            found.counts = Some(taken.iter().map(|(i, c)| (items[*i].kind, *c)).collect());
        }
        if !work.spend(steps) {
            break;
        }
        // Back: one less of the last item taken.
        let Some((i, count)) = taken.pop() else {
            found.complete = true;
            break;
        };
        left += items[i].weight;
        worth -= items[i].price;
        if count > 1 {
            taken.push((i, count - 1));
        }
        next = i + 1;
    }
    if let Some(counts) = &mut found.counts {
        counts.sort_unstable();
    }
    found
}

struct Item {
    kind: usize,
    weight: i64,
    price: i64,
    rate: f64,
}

/// The board's length in cells for dynamic programming. Where weights have no common measure that is
/// coarse enough, they are rounded: up for patterns, which then fit all the more, and down for proofs.
pub struct Grid {
    cell: i64,
    exact: bool,
}

impl Grid {
    /// For these kinds and sizes.
    pub fn of(problem: &Problem) -> Grid {
        const MOST: i64 = 6_500;
        let weights = problem.kinds.iter().map(|k| k.weight);
        let rooms = problem.sizes.iter().map(|s| s.room);
        let common = weights.chain(rooms).fold(0, crate::problem::gcd).max(1);
        let longest = problem.sizes.last().map_or(1, |s| s.room);
        let exact = longest / common <= MOST;
        Grid { cell: if exact { common } else { longest / 4_096 + 1 }, exact }
    }

    /// The best pattern for every size worth more than the size costs, and what no pattern exceeds.
    /// `None` when the work runs out.
    pub fn search(
        &self,
        problem: &Problem,
        wanted: &[u32],
        prices: &Prices,
        work: &mut Work,
    ) -> Option<Vec<Found>> {
        let up = self.fill(problem, wanted, prices, |w| (w + self.cell - 1) / self.cell, work)?;
        let mut found: Vec<Found> = problem
            .sizes
            .iter()
            .map(|size| {
                let worth = up.worth[(size.room / self.cell) as usize] as i64;
                let over = size.cost * prices.scale;
                let counts = (worth > over).then(|| up.pattern((size.room / self.cell) as usize));
                Found {
                    counts,
                    at_most: worth.max(over),
                    complete: true,
                    cost: Some(size.cost as f64),
                }
            })
            .collect();
        if !self.exact && found.iter().all(|f| f.counts.is_none()) {
            let down = self.fill(problem, wanted, prices, |w| w / self.cell, work)?;
            for (f, size) in found.iter_mut().zip(&problem.sizes) {
                let room = ((size.room + self.cell - 1) / self.cell) as usize;
                f.at_most = f.at_most.max(down.worth[room.min(down.worth.len() - 1)] as i64);
            }
        } else if !self.exact {
            found.iter_mut().for_each(|f| f.complete = false);
        }
        Some(found)
    }

    fn fill(
        &self,
        problem: &Problem,
        wanted: &[u32],
        prices: &Prices,
        cells: impl Fn(i64) -> i64,
        work: &mut Work,
    ) -> Option<Table> {
        let longest = problem.sizes.last().map_or(0, |s| s.room);
        let room = ((longest + self.cell - 1) / self.cell) as usize;
        let mut table = Table { worth: vec![0.0; room + 1], chunks: Vec::new(), taken: Vec::new() };
        for k in &prices.order {
            let (weight, price) = (cells(problem.kinds[*k].weight) as usize, prices.of[*k] as f64);
            let mut left = u64::from(wanted[*k]).min((room / weight.max(1)) as u64);
            // One, two, four ... pieces at a time give every count.
            let mut chunk = 1;
            while left > 0 {
                let n = left.min(chunk);
                left -= n;
                chunk *= 2;
                let weight = weight * n as usize;
                if weight > room {
                    break;
                }
                if !work.spend(room as u64 / 2) {
                    return None;
                }
                table.add(*k, n as u32, weight, price * n as f64);
            }
        }
        Some(table)
    }
}

/// Best worth by room (whole numbers in floating point, under 2^53), and what was taken for it.
struct Table {
    worth: Vec<f64>,
    /// Kind, count, cells.
    chunks: Vec<(usize, u32, usize)>,
    /// For every chunk and room, whether the chunk is in.
    taken: Vec<Vec<bool>>,
}

impl Table {
    fn add(&mut self, kind: usize, count: u32, cells: usize, worth: f64) {
        let old = &self.worth;
        let mut new = old.clone();
        let mut taken = vec![false; old.len()];
        let with = old.iter().map(|w| w + worth);
        for ((new, taken), with) in new[cells..].iter_mut().zip(&mut taken[cells..]).zip(with) {
            *taken = with > *new;
            *new = if with > *new { with } else { *new };
        }
        self.worth = new;
        self.chunks.push((kind, count, cells));
        self.taken.push(taken);
    }
    fn pattern(&self, mut room: usize) -> Counts {
        let mut counts: Counts = Vec::new();
        for ((kind, count, cells), taken) in self.chunks.iter().zip(&self.taken).rev() {
            if taken[room] {
                room -= cells;
                match counts.iter_mut().find(|c| c.0 == *kind) {
                    Some(c) => c.1 += count,
                    None => counts.push((*kind, *count)),
                }
            }
        }
        counts.sort_unstable();
        counts
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{BoardSize, Demand, Stock};
    use geom::Length;
    use proptest::prelude::*;

    fn problem(lengths: &[i64], unit: i64) -> Problem {
        let one =
            |(i, x): (usize, &i64)| Demand { id: i as u32, length: Length::from_nm(x * unit) };
        let demands: Vec<Demand> = lengths.iter().enumerate().map(one).collect();
        let stock = Stock {
            boards: BoardSize::by_the_foot(&[8, 10, 16]),
            kerf: Length::sixteenths(2),
            end_trim: Length::ZERO,
        };
        Problem::new(&demands, &stock).unwrap_or_else(|e| panic!("{e}"))
    }

    /// The best worth by trying every subset.
    fn by_all_subsets(problem: &Problem, prices: &Prices, room: i64) -> i64 {
        let pieces: Vec<usize> = problem
            .wanted()
            .iter()
            .enumerate()
            .flat_map(|(k, n)| std::iter::repeat_n(k, *n as usize))
            .collect();
        let worth = |set: u32| {
            let taken = || (0..pieces.len()).filter(move |i| set >> i & 1 == 1);
            let load: i64 = taken().map(|i| problem.kinds[pieces[i]].weight).sum();
            if load <= room { taken().map(|i| prices.of[pieces[i]]).sum() } else { 0 }
        };
        (0..1_u32 << pieces.len()).map(worth).max().unwrap_or(0)
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(120))]
        /// Both ways find the best pattern, and what they say no pattern exceeds none exceeds; on a
        /// grid that is exact (sixteenths) and on one that is not (odd nanometres).
        #[test]
        fn searches_find_the_best(
            lengths in prop::collection::vec(200..3000_i64, 1..10),
            feet in prop::collection::vec(0.0..12.0_f64, 10),
            odd in any::<bool>(),
        ) {
            let problem = problem(&lengths, if odd { 1_586_981 } else { 1_587_500 });
            let prices = Prices::of(&problem, &feet[..problem.kinds.len()]);
            let wanted = problem.wanted();
            let work = || Work::for_pieces(1_000);
            let by_cells = Grid::of(&problem).search(&problem, &wanted, &prices, &mut work()).unwrap();
            let worth = |c: &Counts| -> i64 { c.iter().map(|(k, n)| prices.of[*k] * i64::from(*n)).sum() };
            let load = |c: &Counts| -> i64 {
                c.iter().map(|(k, n)| problem.kinds[*k].weight * i64::from(*n)).sum()
            };
            for (size, by_cells) in problem.sizes.iter().zip(by_cells) {
                let best = by_all_subsets(&problem, &prices, size.room);
                let found = search(&problem, &wanted, &prices, size.room, 0, u32::MAX, &mut work());
                prop_assert!(found.complete);
                prop_assert_eq!(found.at_most, best);
                prop_assert_eq!(found.counts.as_ref().map_or(0, worth), best);
                prop_assert!(found.counts.as_ref().map_or(0, load) <= size.room);
                // By cells only patterns worth more than the board are wanted.
                let cost = size.cost * prices.scale;
                if by_cells.complete {
                    prop_assert!(by_cells.at_most >= best);
                }
                if let Some(counts) = &by_cells.counts {
                    prop_assert!(load(counts) <= size.room && worth(counts) > cost);
                    prop_assert!(counts.iter().all(|(k, n)| *n <= wanted[*k]));
                }
                if !odd {
                    prop_assert_eq!(by_cells.at_most, best.max(cost));
                }
            }
        }
    }
}
