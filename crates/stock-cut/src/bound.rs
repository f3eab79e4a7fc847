//! Lower bounds, in integers: nothing here is rounded but in the safe direction.

use crate::pattern::Prices;
use crate::problem::{Problem, Size, gcd};

fn total(problem: &Problem) -> i128 {
    problem.kinds.iter().map(|k| i128::from(k.weight) * i128::from(k.count())).sum()
}

/// The least whole multiple of `step` not under `over / under`.
fn round_up(over: i128, under: i128, step: i64) -> i64 {
    let under = under * i128::from(step);
    let parts = over.div_euclid(under) + i128::from(over.rem_euclid(under) > 0);
    i64::try_from(parts * i128::from(step)).unwrap_or(i64::MAX)
}

/// No cutting costs less than its material at the rate of the board that gives most for its cost.
pub fn material(problem: &Problem) -> i64 {
    of_material(problem, total(problem), problem.step, |s| s.cost)
}

/// Material of a weight in boards of the least rate of `what` to room.
fn of_material(problem: &Problem, weight: i128, step: i64, what: fn(&Size) -> i64) -> i64 {
    let least = |s: &Size| round_up(weight * i128::from(what(s)), i128::from(s.room), step);
    problem.sizes.iter().map(least).min().unwrap_or(0)
}

/// Every sum of board lengths is a multiple of this, feet.
fn feet_step(problem: &Problem) -> i64 {
    problem.sizes.iter().fold(0, |g, s| gcd(g, s.feet)).max(1)
}

/// No cutting buys less length, feet: by material, or, where boards cost by their length, by the
/// proven cost.
pub fn length(problem: &Problem, cost: i64) -> i64 {
    let by_material = of_material(problem, total(problem), feet_step(problem), |s| s.feet);
    let Some(first) = problem.sizes.first() else { return 0 };
    let by_length = problem.sizes.iter().all(|s| s.cost * first.feet == first.cost * s.feet);
    let by_cost = i128::from(cost) * i128::from(first.feet);
    let by_cost = round_up(by_cost, i128::from(first.cost), feet_step(problem));
    if by_length { by_material.max(by_cost) } else { by_material }
}

/// Bounds of what must be bought beyond boards on hand.
pub struct Beyond {
    pub cost: i64,
    pub feet: i64,
    pub boards: u64,
}

/// What the material needs beyond `room`, the weight all boards on hand could hold.
pub fn beyond(problem: &Problem, room: i128) -> Beyond {
    let weight = (total(problem) - room).max(0);
    let longest = problem.sizes.last().map_or(1, |s| i128::from(s.room));
    Beyond {
        cost: of_material(problem, weight, problem.step, |s| s.cost),
        feet: of_material(problem, weight, feet_step(problem), |s| s.feet),
        boards: u64::try_from(round_up(weight, longest, 1)).unwrap_or(0),
    }
}

/// The bound that prices prove (Farley 1990), when the most that fits on each size is worth `worth`:
/// if no pattern of a board is worth more than the board costs, all demands together cost at least
/// what they are worth. Where some pattern is worth more, all prices are scaled down by the worst of
/// them. Rounded up to what boards can add up to, and not rounded.
pub fn from_worths(
    problem: &Problem,
    wanted: &[u32],
    prices: &Prices,
    worth: &[i64],
) -> (i64, f64) {
    let total: i128 =
        prices.of.iter().zip(wanted).map(|(p, d)| i128::from(*p) * i128::from(*d)).sum();
    // total / under * over, least over the sizes.
    let scaled = |(s, w): (&Size, &i64)| {
        let (over, under) = (i128::from(s.cost), i128::from(*w));
        if under > over * i128::from(prices.scale) {
            (over, under)
        } else {
            (1, i128::from(prices.scale))
        }
    };
    let all = || problem.sizes.iter().zip(worth).map(scaled);
    let whole = all().map(|(over, under)| round_up(total * over, under, problem.step)).min();
    let plain = all().map(|(over, under)| total as f64 * over as f64 / under as f64);
    (whole.unwrap_or(0), plain.fold(f64::INFINITY, f64::min))
}

/// No cutting uses fewer boards: the bound L2 of Martello and Toth (1990) on boards of the longest
/// size. For every threshold, pieces too long to share a board with one of the threshold need one
/// each; those over half need one each too, and leave room that the middling ones may fill.
pub fn boards(problem: &Problem) -> u64 {
    let Some(room) = problem.sizes.last().map(|s| s.room) else { return 0 };
    let mut least = 0_i128;
    let mut thresholds: Vec<i64> =
        problem.kinds.iter().map(|k| k.weight).filter(|w| *w <= room / 2).collect();
    thresholds.push(0);
    // Sums over all kinds for each threshold would be quadratic; kinds are sorted, so running sums do.
    let weights: Vec<i64> = problem.kinds.iter().map(|k| k.weight).collect();
    let mut count = vec![0_i128; weights.len() + 1];
    let mut sum = vec![0_i128; weights.len() + 1];
    for (i, kind) in problem.kinds.iter().enumerate() {
        let n = i128::from(kind.count());
        count[i + 1] = count[i] + n;
        sum[i + 1] = sum[i] + n * i128::from(kind.weight);
    }
    let first_at_most = |limit: i64| weights.partition_point(|w| *w > limit);
    for t in thresholds {
        let alone = first_at_most(room - t);
        let half = first_at_most(room / 2).max(alone);
        let middling = weights.partition_point(|w| *w >= t).max(half);
        let large = count[half] - count[alone];
        let spare = large * i128::from(room) - (sum[half] - sum[alone]);
        let over = (sum[middling] - sum[half] - spare).max(0);
        let more = (over + i128::from(room) - 1) / i128::from(room);
        least = least.max(count[alone] + large + more);
    }
    u64::try_from(least).unwrap_or(u64::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{BoardSize, Demand, Stock};
    use geom::Length;

    fn problem(inches: &[i64], feet: &[u32]) -> Problem {
        let one = |(i, x): (usize, &i64)| Demand { id: i as u32, length: Length::inches(*x) };
        let demands: Vec<Demand> = inches.iter().enumerate().map(one).collect();
        let stock = Stock {
            boards: BoardSize::by_the_foot(feet),
            kerf: Length::ZERO,
            end_trim: Length::ZERO,
        };
        Problem::new(&demands, &stock).unwrap_or_else(|e| panic!("{e}"))
    }

    /// By hand: 3 x 60 = 180 in = 15 ft; boards of 8 and 10 ft add up to even feet: 16.
    #[test]
    fn material_is_rounded_to_what_boards_add_up_to() {
        assert_eq!(material(&problem(&[60, 60, 60], &[8, 10])), 16);
        assert_eq!(material(&problem(&[96, 96], &[8])), 16);
        assert_eq!(material(&problem(&[], &[8])), 0);
    }

    /// By hand, boards of 96 in: 60 and 60 need two; the 40s do not fit beside a 60 (100 > 96), two
    /// of them share a third board. Material alone says 200 / 96, three boards. With 60, 60, 60: three, while
    /// material says two.
    #[test]
    fn boards_over_half_stand_alone() {
        assert_eq!(boards(&problem(&[60, 60, 40, 40], &[8])), 3);
        assert_eq!(boards(&problem(&[60, 60, 60], &[8])), 3);
        assert_eq!(boards(&problem(&[48, 48, 48], &[8])), 2);
        assert_eq!(boards(&problem(&[60, 36, 60, 36], &[8])), 2);
    }

    /// Prices of 4 ft a piece where an 8 ft board holds at most two of three: 12 ft, so two boards. Priced
    /// twice as high they prove no more, because they are scaled down again.
    #[test]
    fn prices_prove_no_more_than_their_worst_board_allows() {
        let p = problem(&[40, 41, 42], &[8]);
        let at = |feet: f64| {
            let prices = Prices::of(&p, &[feet; 3]);
            let worth = 2 * prices.of[0];
            from_worths(&p, &p.wanted(), &prices, &[worth])
        };
        assert_eq!(at(4.0), (16, 12.0));
        assert_eq!(at(8.0), (16, 12.0));
        assert_eq!(at(2.0), (8, 6.0));
    }
}
