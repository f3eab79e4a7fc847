//! Boards one already has are cut first; what is left is bought.
//!
//! Every board on hand is filled as full as can be, in several orders; the order that leaves the
//! least to buy wins. That is a choice among fillings, not a proof that no other filling leaves less: the
//! bound of such a cutting is what its material needs beyond all boards on hand.

use crate::fill::{self, fullest};
use crate::problem::Problem;
use crate::{BoardSource, CutBoard, Cutting, Demand, OnHand, Stock, TooLong};
use geom::Length;
use std::collections::BTreeMap;

/// Nodes of the search for the fullest board.
const NODES: u32 = 4_000;
/// More boards than this are filled in the order of their length only.
const MANY: usize = 40;

/// Which board on hand is filled next.
#[derive(Clone, Copy)]
enum Order {
    Shortest,
    Longest,
    /// The one that would be fullest.
    Fullest,
}

/// Boards on hand and the kinds cut from each.
type Filled = Vec<(usize, Vec<usize>)>;

/// Cuts what fits from the boards on hand and the rest from boards to buy.
///
/// # Errors
/// As [`crate::cut`]; boards on hand do not help a piece that no board to buy can give.
pub fn cut(demands: &[Demand], stock: &Stock, on_hand: &[OnHand]) -> Result<Cutting, TooLong> {
    if on_hand.is_empty() {
        return crate::cut(demands, stock);
    }
    let problem = Problem::new(demands, stock)?;
    let mut boards: Vec<OnHand> = on_hand.to_vec();
    boards.sort_unstable_by_key(|b| (b.length, b.id));
    let orders: &[Order] = if boards.len() > MANY {
        &[Order::Shortest, Order::Longest]
    } else {
        &[Order::Shortest, Order::Longest, Order::Fullest]
    };
    let mut best: Option<(i64, Filled, Vec<Demand>)> = None;
    for order in orders {
        let mut wanted = problem.wanted();
        let filled = fill_in(&problem, &boards, &mut wanted, *order);
        let rest = problem.demands_left(&wanted);
        let to_buy = fill::best(&Problem::new(&rest, stock)?).cost;
        if best.as_ref().is_none_or(|(cost, ..)| to_buy < *cost) {
            best = Some((to_buy, filled, rest));
        }
    }
    let Some((_, filled, rest)) = best else { return crate::cut(demands, stock) };

    let bought = crate::cut(&rest, stock)?;
    let (mut cuts, mut used) = (problem.ids_by_kind(&rest), Length::ZERO);
    let mut own: Vec<CutBoard> = Vec::new();
    let mut spare: BTreeMap<u32, Length> = boards.iter().map(|b| (b.id, b.length)).collect();
    for (board, kinds) in filled {
        let OnHand { id, length } = boards[board];
        spare.remove(&id);
        let ids: Vec<u32> = kinds.iter().filter_map(|k| cuts[*k].pop_front()).collect();
        let load: Length = kinds.iter().map(|k| problem.kinds[*k].length()).sum();
        used += load;
        let left = length - problem.end_trim() - load - problem.kerf() * kinds.len() as i64;
        own.push(CutBoard {
            source: BoardSource::OnHand { id, length },
            cuts: ids,
            offcut: left.max(Length::ZERO),
        });
    }
    let room: i128 = boards.iter().map(|b| i128::from(problem.room(b.length).max(0))).sum();
    let bound = crate::bound::beyond(&problem, room);
    own.sort_by(|a, b| b.length().cmp(&a.length()).then_with(|| a.cuts.cmp(&b.cuts)));
    own.extend(bought.boards);
    Ok(Cutting {
        boards: own,
        spare: spare.into_keys().collect(),
        used: bought.used + used,
        lower_bound_cost: bound.cost,
        lower_bound_length: Length::feet(bound.feet),
        lower_bound_boards: bound.boards,
        ..bought
    })
}

/// Fills boards on hand one after the other; takes what it places out of `wanted`.
fn fill_in(problem: &Problem, boards: &[OnHand], wanted: &mut [u32], order: Order) -> Filled {
    let mut filled = Filled::new();
    let mut left: Vec<usize> = (0..boards.len()).collect();
    if matches!(order, Order::Longest) {
        left.reverse();
    }
    while !left.is_empty() {
        let fill = |b: usize| {
            let room = problem.room(boards[b].length);
            let (load, kinds) = fullest(problem, wanted, room, 0, NODES);
            (room - load, kinds)
        };
        let next = match order {
            Order::Fullest => {
                let all = left.iter().enumerate().map(|(at, b)| (fill(*b), at));
                all.filter(|((_, kinds), _)| !kinds.is_empty()).min().map(|((_, k), at)| (k, at))
            }
            _ => Some((fill(left[0]).1, 0)),
        };
        let Some((mut kinds, at)) = next else { break };
        let board = left.remove(at);
        if kinds.is_empty() {
            continue;
        }
        kinds.sort_unstable();
        kinds.iter().for_each(|k| wanted[*k] -= 1);
        filled.push((board, kinds));
    }
    filled
}
