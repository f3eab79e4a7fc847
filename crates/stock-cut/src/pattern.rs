//! The most valuable pattern of a board: a bounded knapsack, solved exactly by depth-first search.

use crate::problem::{Problem, Work};

/// What a piece of each kind is worth, as whole numbers.
pub struct Prices {
    /// By kind.
    pub of: Vec<i64>,
    /// What a foot of board costs in the same measure.
    pub scale: i64,
    /// Kinds worth something, by worth over weight, best first.
    order: Vec<usize>,
}

impl Prices {
    /// Whole prices from feet; negative ones and those that are no number count as 0.
    pub fn of(problem: &Problem, feet: &[f64]) -> Prices {
        const SCALE: i64 = 1 << 22;
        let whole = |p: &f64| (p * SCALE as f64).clamp(0.0, 1e15) as i64;
        let of: Vec<i64> = feet.iter().map(whole).collect();
        let rate = |k: &usize| of[*k] as f64 / problem.kinds[*k].weight as f64;
        let mut order: Vec<usize> = (0..of.len()).filter(|k| of[*k] > 0).collect();
        order.sort_by(|a, b| rate(b).total_cmp(&rate(a)).then(a.cmp(b)));
        Prices { of, scale: SCALE, order }
    }
}

/// A pattern: kinds and how many of each, and what they are worth together.
pub struct Pattern {
    pub counts: Vec<(usize, u32)>,
    pub worth: i64,
}

/// The most valuable choice of pieces that fits, at most `wanted` of each. `None` when the work runs
/// out first.
pub fn best_pattern(
    problem: &Problem,
    wanted: &[u32],
    prices: &Prices,
    room: i64,
    work: &mut Work,
) -> Option<Pattern> {
    let items: Vec<Item> = prices
        .order
        .iter()
        .filter(|k| wanted[**k] > 0 && problem.kinds[**k].weight <= room)
        .map(|k| {
            let weight = problem.kinds[*k].weight;
            Item {
                kind: *k,
                weight,
                price: prices.of[*k],
                rate: prices.of[*k] as f64 / weight as f64,
            }
        })
        .collect();
    // Lightest of the items from here on: with less room than that, nothing more fits.
    let mut lightest = vec![i64::MAX; items.len() + 1];
    for (i, item) in items.iter().enumerate().rev() {
        lightest[i] = lightest[i + 1].min(item.weight);
    }
    let mut best = Pattern { counts: Vec::new(), worth: 0 };
    // Taken so far: item, count, with room and worth before it.
    let mut taken: Vec<(usize, u32)> = Vec::new();
    let (mut left, mut worth, mut next) = (room, 0_i64, 0_usize);
    loop {
        // Go down greedily from item `next` as long as the bound allows.
        let mut steps = 1;
        while next < items.len() && left >= lightest[next] {
            steps += 1;
            let item = &items[next];
            // Rounded up by one whole, so that no rounding of the product can cut off the best.
            if worth as f64 + left as f64 * item.rate + 1.0 <= best.worth as f64 {
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
        if worth > best.worth {
            best.worth = worth;
            best.counts = taken.iter().map(|(i, c)| (items[*i].kind, *c)).collect();
        }
        if !work.spend(steps) {
            return None;
        }
        // Back: one less of the last item taken.
        let Some((i, count)) = taken.pop() else { return Some(best) };
        left += items[i].weight;
        worth -= items[i].price;
        if count > 1 {
            taken.push((i, count - 1));
        }
        next = i + 1;
    }
}

struct Item {
    kind: usize,
    weight: i64,
    price: i64,
    rate: f64,
}
