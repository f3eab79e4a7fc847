//! Linear programming over cutting patterns, and whole boards from its solution.
//!
//! The linear program is solved in floating point; nothing it says is believed. Its prices become
//! whole numbers and prove a bound in integers ([`crate::bound`]); its patterns become boards only
//! as far as pieces are wanted.

use crate::bound;
use crate::fill::{Rule, fill_boards, fullest};
use crate::pattern::{Found, Grid, Prices, search};
use crate::problem::{Packing, Problem, Work};
use crate::repack::{self, MOST};

/// What came of it.
pub struct Rounded {
    /// Proven.
    pub floor: i64,
    /// The best whole solution found.
    pub packing: Option<Packing>,
}

/// A pattern on a board.
#[derive(Clone)]
struct Column {
    /// Kinds, each once, ascending.
    counts: Vec<(usize, u32)>,
    cost: f64,
}

/// How much of a column the linear program uses.
type Used = (usize, f64);

/// Solves the linear program, and rounds it to whole boards that cost less than those of `start` if it can.
pub fn solve(problem: &Problem, floor: i64, start: &Packing, work: &mut Work) -> Rounded {
    let wanted = problem.wanted();
    let grid = Grid::of(problem);
    let mut pool = seeds(problem, start, &wanted);
    let mut rounded = Rounded { floor, packing: None };
    let mut least = start.cost;
    // First as far as it takes to come near the bound; when no boards reach it, to the end, which may
    // raise it.
    for (nearly, ways) in [(true, &[0.75, 0.5][..]), (false, &[0.95, 0.75, 0.5, 0.35][..])] {
        // Most of it may go into the linear program: without its bound no rounding is worth much.
        let reserve = work.share(5);
        let goal = Goal { floor: &mut rounded.floor, nearly };
        let root = relax(problem, &wanted, &mut pool, work, &grid, Some(goal));
        work.refund(reserve);
        for nearly_whole in ways {
            if least <= rounded.floor || !work.is_left() {
                return rounded;
            }
            let mut share = work.share(4);
            let mut own = pool.clone();
            let packing =
                dive(problem, &wanted, &grid, &mut own, root.clone(), *nearly_whole, &mut share);
            work.refund(share);
            if packing.cost < least {
                least = packing.cost;
                rounded.packing = Some(packing);
            }
        }
    }
    rounded
}

/// The bound to raise, and whether coming near it is enough.
struct Goal<'a> {
    floor: &'a mut i64,
    nearly: bool,
}

/// Patterns to start from: the boards of a packing, and for every kind and size a board as full as it
/// gets.
fn seeds(problem: &Problem, start: &Packing, wanted: &[u32]) -> Vec<Column> {
    let column = |kinds: &[usize], cost: i64| {
        let counts = kinds.chunk_by(|a, b| a == b).map(|c| (c[0], c.len() as u32)).collect();
        Column { counts, cost: cost as f64 }
    };
    let mut pool: Vec<Column> =
        start.bins.iter().map(|b| column(&b.kinds, problem.sizes[b.size].cost)).collect();
    for (k, kind) in problem.kinds.iter().enumerate() {
        for size in problem.sizes.iter().filter(|s| s.room >= kind.weight) {
            let mut others = wanted.to_vec();
            others[k] -= 1;
            let (_, mut kinds) = fullest(problem, &others, size.room - kind.weight, 0, 60);
            kinds.push(k);
            kinds.sort_unstable();
            pool.push(column(&kinds, size.cost));
        }
    }
    pool
}

/// Takes boards the linear program uses nearly whole, solves it anew for what is still wanted, and so
/// on.
fn dive(
    problem: &Problem,
    wanted: &[u32],
    grid: &Grid,
    pool: &mut Vec<Column>,
    root: Vec<Used>,
    nearly_whole: f64,
    work: &mut Work,
) -> Packing {
    let mut wanted = wanted.to_vec();
    let mut bins: Vec<Vec<usize>> = Vec::new();
    let mut used = root;
    loop {
        used.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        let before = bins.len();
        for (nth, (column, much)) in used.iter().enumerate() {
            let mut copies = (much + 1e-6).floor();
            if much - copies >= nearly_whole || (nth == 0 && copies == 0.0) {
                copies += 1.0;
            }
            for _ in 0..copies as u32 {
                let counts = &pool[*column].counts;
                let whole = counts.iter().all(|(k, n)| wanted[*k] >= *n);
                if !whole && (nth != 0 || bins.len() != before) {
                    break;
                }
                let mut bin = Vec::new();
                for (k, n) in counts {
                    let n = (*n).min(wanted[*k]);
                    wanted[*k] -= n;
                    bin.extend(std::iter::repeat_n(*k, n as usize));
                }
                if bin.is_empty() {
                    break;
                }
                bins.push(bin);
            }
        }
        let left: usize = wanted.iter().map(|w| *w as usize).sum();
        if left <= MOST + 1 {
            let pieces: Vec<usize> = (0..wanted.len())
                .flat_map(|k| std::iter::repeat_n(k, wanted[k] as usize))
                .collect();
            work.spend(3_u64.pow(left as u32));
            bins.extend(repack::exact(problem, &pieces).1);
            return problem.packing(bins);
        }
        if bins.len() == before || !work.is_left() {
            let rest = fill_boards(problem, &mut wanted, Rule::LeastRate, 200);
            bins.extend(rest.bins.into_iter().map(|b| b.kinds));
            return problem.packing(bins);
        }
        used = relax(problem, &wanted, pool, work, grid, None);
    }
}

/// What stands in the basis.
#[derive(Clone, Copy)]
enum Basic {
    Column(usize),
    /// More of a row than wanted.
    Surplus,
}

/// The revised simplex method on the rows of kinds that are wanted.
struct Simplex {
    rows: Vec<usize>,
    basis: Vec<Basic>,
    /// By column of the inverse, each as long as there are rows.
    inverse: Vec<f64>,
    value: Vec<f64>,
    cost: Vec<f64>,
    /// By row.
    price: Vec<f64>,
    /// Row of a kind.
    row_of: Vec<usize>,
}

const EPS: f64 = 1e-9;

impl Simplex {
    /// Starts with one pattern a kind.
    fn new(problem: &Problem, wanted: &[u32], pool: &mut Vec<Column>) -> Simplex {
        let rows: Vec<usize> = (0..wanted.len()).filter(|k| wanted[*k] > 0).collect();
        let m = rows.len();
        let mut row_of = vec![usize::MAX; wanted.len()];
        let mut simplex = Simplex {
            basis: Vec::with_capacity(m),
            inverse: vec![0.0; m * m],
            value: Vec::with_capacity(m),
            cost: Vec::with_capacity(m),
            price: Vec::with_capacity(m),
            row_of: Vec::new(),
            rows,
        };
        for (row, k) in simplex.rows.iter().enumerate() {
            row_of[*k] = row;
            let weight = problem.kinds[*k].weight;
            let fits = |room: i64| (room / weight).min(i64::from(wanted[*k])) as u32;
            let rate = |s: &&crate::problem::Size| s.cost as f64 / f64::from(fits(s.room));
            let sizes = problem.sizes.iter().filter(|s| fits(s.room) > 0);
            let Some(size) = sizes.min_by(|a, b| rate(a).total_cmp(&rate(b))) else { continue };
            let n = fits(size.room);
            pool.push(Column { counts: vec![(*k, n)], cost: size.cost as f64 });
            simplex.basis.push(Basic::Column(pool.len() - 1));
            simplex.inverse[row * m + row] = 1.0 / f64::from(n);
            simplex.value.push(f64::from(wanted[*k]) / f64::from(n));
            simplex.cost.push(size.cost as f64);
            simplex.price.push(size.cost as f64 / f64::from(n));
        }
        simplex.row_of = row_of;
        simplex
    }

    fn objective(&self) -> f64 {
        self.value.iter().zip(&self.cost).map(|(v, c)| v * c).sum()
    }

    /// What a column costs over its worth; below zero it improves the solution.
    fn reduced(&self, counts: &[(usize, u32)], cost: f64) -> f64 {
        let worth = |(k, n): &(usize, u32)| self.price[self.row_of[*k]] * f64::from(*n);
        cost - counts.iter().map(worth).sum::<f64>()
    }
    fn reduced_cost(&self, column: &Column) -> f64 {
        self.reduced(&column.counts, column.cost)
    }

    /// Brings a column in; the row it takes, if it can.
    fn enter(
        &mut self,
        entering: Basic,
        rows: &[(usize, f64)],
        cost: f64,
        reduced: f64,
    ) -> Option<usize> {
        let m = self.rows.len();
        let mut u = vec![0.0; m];
        for (row, n) in rows {
            for (u, inverse) in u.iter_mut().zip(&self.inverse[row * m..(row + 1) * m]) {
                *u += n * inverse;
            }
        }
        let mut leave: Option<(f64, usize)> = None;
        for i in (0..m).filter(|i| u[*i] > EPS) {
            let ratio = self.value[i] / u[i];
            let better = match leave {
                None => true,
                // Of equal ratios the larger pivot: steadier.
                Some((r, l)) => ratio < r - EPS || (ratio < r + EPS && u[i] > u[l]),
            };
            if better {
                leave = Some((ratio, i));
            }
        }
        let (ratio, p) = leave?;
        for (value, u) in self.value.iter_mut().zip(&u) {
            *value = (*value - u * ratio).max(0.0);
        }
        self.value[p] = ratio.max(0.0);
        for r in 0..m {
            let column = &mut self.inverse[r * m..(r + 1) * m];
            if column[p] == 0.0 {
                continue;
            }
            let f = column[p] / u[p];
            for (c, u) in column.iter_mut().zip(&u) {
                *c -= u * f;
            }
            column[p] = f;
            self.price[r] += reduced * f;
        }
        (self.basis[p], self.cost[p]) = (entering, cost);
        Some(p)
    }

    fn enter_column(&mut self, pool: &[Column], column: usize) -> Option<usize> {
        let reduced = self.reduced_cost(&pool[column]);
        let rows: Vec<(usize, f64)> =
            pool[column].counts.iter().map(|(k, n)| (self.row_of[*k], f64::from(*n))).collect();
        self.enter(Basic::Column(column), &rows, pool[column].cost, reduced)
    }

    /// A column's entry in a row of the tableau.
    fn share(&self, row: usize, column: &Column) -> f64 {
        let m = self.rows.len();
        let entry = |(k, n): &(usize, u32)| self.inverse[self.row_of[*k] * m + row] * f64::from(*n);
        column.counts.iter().map(entry).sum()
    }

    fn steps(&self) -> u64 {
        let m = self.rows.len() as u64;
        m * m / 4 + 20
    }
}

/// Nodes of a short and of a long search for patterns, and after how many short ones a long one is
/// tried anyway, because the bound it proves may end the work.
const QUICK: u32 = 150;
const LONG: u32 = 20_000;
const THOROUGH: u32 = 25;

/// In thousandths, how much less than its board a pattern may be worth at smoothed prices.
const NEAR: i64 = 10;
/// A column that gains less than this is not worth a pivot.
const GAIN: f64 = -1e-7;

/// Prices to stay near, by kind, and the bound they prove.
struct Center {
    prices: Vec<f64>,
    proves: f64,
}

impl Center {
    /// What the pieces cost by weight on the board that gives most for its length.
    fn by_weight(problem: &Problem) -> Center {
        let rates = problem.sizes.iter().map(|s| s.cost as f64 / s.room as f64);
        let rate = rates.fold(f64::INFINITY, f64::min);
        Center {
            prices: problem.kinds.iter().map(|k| k.weight as f64 * rate).collect(),
            proves: 0.0,
        }
    }
}

/// Patterns worth more than their boards less `less` thousandths, for every size.
fn look(
    problem: &Problem,
    wanted: &[u32],
    prices: &Prices,
    less: i64,
    nodes: u32,
    work: &mut Work,
) -> Vec<Found> {
    let one = |s: &crate::problem::Size| {
        // What gains less than a ten-millionth is rounding of the prices.
        let cost = s.cost * prices.scale;
        let over = cost + cost / 10_000_000 - cost * less / 1_000;
        let mut found = search(problem, wanted, prices, s.room, over, nodes, work);
        found.cost = Some(s.cost as f64);
        found
    };
    problem.sizes.iter().map(one).collect()
}

/// Solves the linear program for what is wanted, over the columns of the pool and all it finds to add.
/// Raises `floor` to the bound the prices prove, when one is given.
fn relax(
    problem: &Problem,
    wanted: &[u32],
    pool: &mut Vec<Column>,
    work: &mut Work,
    grid: &Grid,
    mut goal: Option<Goal>,
) -> Vec<Used> {
    let known = pool.len();
    let mut simplex = Simplex::new(problem, wanted, pool);
    if simplex.basis.len() < simplex.rows.len() {
        return Vec::new();
    }
    // With their weights in the choice of the next one (Devex, Harris 1973).
    let mut fits: Vec<(usize, f64)> = (0..known)
        .filter(|c| pool[*c].counts.iter().all(|(k, n)| wanted[*k] >= *n))
        .map(|c| (c, 1.0))
        .collect();
    let mut pivots = 20 * simplex.rows.len() + 200;
    let mut round = 0;
    let mut center = Center::by_weight(problem);
    loop {
        // Columns known from before first: they cost nothing to find.
        while pivots > 0 && work.spend(fits.len() as u64 * 8 + simplex.steps()) {
            let gain = |(c, weight): &(usize, f64)| {
                let reduced = simplex.reduced_cost(&pool[*c]);
                if reduced < -1e-7 { reduced * reduced / weight } else { 0.0 }
            };
            let gains = fits.iter().map(gain).enumerate();
            let Some((nth, gain)) = gains.max_by(|a, b| a.1.total_cmp(&b.1)) else { break };
            if gain == 0.0 {
                break;
            }
            let (entering, weight) = fits[nth];
            let Some(row) = simplex.enter_column(pool, entering) else { break };
            for (c, w) in &mut fits {
                let share = simplex.share(row, &pool[*c]);
                *w = w.max(share * share * weight);
            }
            pivots -= 1;
        }
        for row in 0..simplex.rows.len() {
            let price = simplex.price[row];
            if price < -1e-7 && work.spend(simplex.steps()) {
                simplex.enter(Basic::Surplus, &[(row, -1.0)], 0.0, price);
            }
        }
        let mut own = vec![0.0; problem.kinds.len()];
        for (row, k) in simplex.rows.iter().enumerate() {
            own[*k] = simplex.price[row];
        }
        round += 1;
        // Prices jump about from round to round; those half way to the best ones so far find better
        // patterns and prove better bounds (Wentges 1997).
        let between: Vec<f64> =
            own.iter().zip(&center.prices).map(|(f, c)| (f + c) / 2.0).collect();
        let smooth = Prices::of(problem, &between);
        let mut found = look(problem, wanted, &smooth, NEAR, QUICK, work);
        let mut thorough = None;
        if goal.is_some() && round % THOROUGH == 0 {
            thorough = Some((between, smooth));
        }
        let gains = |simplex: &Simplex, f: &Found| {
            f.counts.as_ref().zip(f.cost).is_some_and(|(c, cost)| simplex.reduced(c, cost) < GAIN)
        };
        if !found.iter().any(|f| gains(&simplex, f)) {
            let prices = Prices::of(problem, &own);
            found = look(problem, wanted, &prices, 0, QUICK, work);
            if !found.iter().any(|f| gains(&simplex, f)) {
                thorough = Some((own, prices));
            }
        }
        if let Some((own, prices)) = thorough {
            let mut all = look(problem, wanted, &prices, 0, LONG, work);
            if !all.iter().all(|f| f.complete) {
                let Some(by_cells) = grid.search(problem, wanted, &prices, work) else { break };
                all = by_cells;
            }
            if all.iter().all(|f| f.complete) {
                let worths: Vec<i64> = all.iter().map(|f| f.at_most).collect();
                let (proven, exact) = bound::from_worths(problem, wanted, &prices, &worths);
                if let Some(goal) = &mut goal {
                    *goal.floor = proven.max(*goal.floor);
                }
                if exact > center.proves {
                    center = Center { prices: own, proves: exact };
                }
            }
            found.extend(all);
        }
        if let Some(goal) = &goal {
            let step = problem.step as f64;
            let objective = simplex.objective();
            // The linear program cannot fall far enough to make the rounded bound any higher.
            let done = ((objective / step - 1e-6).ceil() * step) as i64 <= *goal.floor;
            if done || (goal.nearly && objective - *goal.floor as f64 <= step / 8.0) {
                break;
            }
        }
        let mut entered = false;
        for found in found {
            let Some((counts, cost)) = found.counts.zip(found.cost) else { continue };
            if simplex.reduced(&counts, cost) < GAIN && pivots > 0 {
                work.spend(simplex.steps());
                pool.push(Column { counts, cost });
                fits.push((pool.len() - 1, 1.0));
                entered |= simplex.enter_column(pool, pool.len() - 1).is_some();
                pivots -= 1;
            }
        }
        if !entered || !work.is_left() {
            break;
        }
    }
    let much = |(b, v): (&Basic, &f64)| match b {
        Basic::Column(c) if *v > EPS => Some((*c, *v)),
        _ => None,
    };
    simplex.basis.iter().zip(&simplex.value).filter_map(much).collect()
}
