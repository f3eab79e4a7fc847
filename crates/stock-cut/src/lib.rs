//! Which boards to buy for a list of pieces, what to cut from each, and a proof of how good that is.
//!
//! Knows: lengths. Never touches: sections, plates, drawings, prices, the clock.
//!
//! # The saw
//! A board gives up `end_trim` at its one end before the first piece is cut (0 keeps the end as it
//! comes). Between two pieces the saw eats one kerf. So pieces fit a board when
//! `sum(lengths) + kerf * (pieces - 1) <= board - end_trim`; a piece as long as that needs no cut at
//! all. The offcut is what is left after one more kerf, 0 when there is no room for that.
//!
//! # How it is solved
//! With weights `length + kerf` and capacities `board - end_trim + kerf` this is bin packing with bins
//! of several sizes; the cost is the length bought, in whole feet.
//! 1. `fill`: first fit decreasing and best fill, many ways; the best is kept.
//! 2. `columns`: linear programming over cutting patterns, patterns found as they are needed
//!    (Gilmore and Gomory 1961). Its prices give the lower bound (`bound`), in integers, so that
//!    no rounding of the linear program can spoil it; its solution is rounded step by step into whole
//!    boards.
//! 3. `repack`: a few boards at a time are taken apart and packed anew in the best way there is.
//!
//! It stops as soon as the length bought equals the bound (then nothing cheaper exists), or when a
//! fixed amount of work, counted in steps, is spent. The same demands give the same boards, in
//! whatever order they come.

mod bound;
mod columns;
mod fill;
mod pattern;
mod problem;
mod repack;

use geom::Length;
use problem::{Problem, Work};

/// A piece to cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Demand {
    /// The caller's number for it; must be unique for the result to be read back.
    pub id: u32,
    /// Its length; nothing and less than nothing count as 1 nm.
    pub length: Length,
}

/// The boards there are, as many of each as one likes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stock {
    /// Whole feet; order and repetitions do not matter.
    pub lengths_ft: Vec<u32>,
    /// What a saw cut eats.
    pub kerf: Length,
    /// What is cut off a board's one end before the first piece.
    pub end_trim: Length,
}

/// A board and what is cut from it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CutBoard {
    /// Nominal length, whole feet.
    pub length_ft: u32,
    /// Demand ids in cutting order: longest first, equal ones by id.
    pub cuts: Vec<u32>,
    /// Left after the last kerf; 0 when there is no room for that kerf.
    pub offcut: Length,
}

/// Boards for all demands, and how good they are.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cutting {
    /// Longest boards first, then by their cuts' lengths, longest first, then by id.
    pub boards: Vec<CutBoard>,
    /// Length of all boards.
    pub bought: Length,
    /// Length of all pieces.
    pub used: Length,
    /// Proven: no cutting of these demands from this stock buys less.
    pub lower_bound_length: Length,
    /// Proven: no cutting uses fewer boards, of whatever lengths.
    pub lower_bound_boards: u64,
}

impl Cutting {
    /// Whether it is proven that nothing buys less.
    pub fn is_proven_optimal(&self) -> bool {
        self.bought == self.lower_bound_length
    }
}

/// Demands that no board can give.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TooLong {
    /// Their ids, ascending.
    pub ids: Vec<u32>,
    /// The longest piece the stock can give; 0 when there is no usable board.
    pub longest: Length,
}

impl std::fmt::Display for TooLong {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{} pieces are longer than the longest the stock can give, {} in",
            self.ids.len(),
            self.longest.to_inches()
        )
    }
}
impl std::error::Error for TooLong {}

/// Chooses boards and cuts.
///
/// # Errors
/// When a demand is longer than the longest board less its end trim: nothing is cut then.
pub fn cut(demands: &[Demand], stock: &Stock) -> Result<Cutting, TooLong> {
    let problem = Problem::new(demands, stock)?;
    let mut work = Work::for_pieces(demands.len());
    let mut floor = bound::material(&problem);
    let mut best = fill::best(&problem);
    if best.cost > floor {
        let rounded = columns::solve(&problem, floor, &best, &mut work);
        floor = floor.max(rounded.floor);
        best = rounded.packing.into_iter().fold(best, |a, b| a.better(b));
    }
    if best.cost > floor {
        best = repack::improve(&problem, best, floor, &mut work);
    }
    Ok(problem.cutting(best, floor))
}
