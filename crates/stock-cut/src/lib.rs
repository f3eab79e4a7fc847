//! Which boards to buy for a list of pieces, what to cut from each, and a proof of how good that is.
//!
//! Knows: lengths. Never touches: sections, plates, drawings, the clock.
//!
//! # The saw
//! A board gives up `end_trim` at its one end before the first piece is cut (0 keeps the end as it
//! comes). Between two pieces the saw eats one kerf. So pieces fit a board when
//! `sum(lengths) + kerf * (pieces - 1) <= board - end_trim`; a piece as long as that needs no cut at
//! all. The offcut is what is left after one more kerf, 0 when there is no room for that.
//!
//! # How it is solved
//! With weights `length + kerf` and capacities `board - end_trim + kerf` this is bin packing with bins
//! of several sizes; the cost is what the boards cost, or the feet bought where nobody says.
//! 1. `fill`: first fit decreasing and best fill, many ways; the best is kept.
//! 2. `columns`: linear programming over cutting patterns, patterns found as they are needed
//!    (Gilmore and Gomory 1961). Its prices give the lower bound (`bound`), in integers, so that
//!    no rounding of the linear program can spoil it; its solution is rounded step by step into whole
//!    boards.
//! 3. `repack`: a few boards at a time are taken apart and packed anew in the best way there is.
//!
//! It stops as soon as the cost equals the bound (then nothing cheaper exists), or when a
//! fixed amount of work, counted in steps, is spent. The same demands give the same boards, in
//! whatever order they come.

mod bound;
mod columns;
mod fill;
mod onhand;
mod pattern;
mod problem;
mod repack;

use geom::Length;
pub use onhand::cut as cut_with;
use problem::{Problem, Work};

/// A piece to cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Demand {
    /// The caller's number for it; must be unique for the result to be read back.
    pub id: u32,
    /// Its length; nothing and less than nothing count as 1 nm.
    pub length: Length,
}

/// A length of board one can buy.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BoardSize {
    /// Whole feet.
    pub length_ft: u32,
    /// What one costs, in any unit as long as it is the same for all; from 1 to 1,000,000.
    pub cost: u32,
}

impl BoardSize {
    /// Sizes that cost as many units as they have feet.
    pub fn by_the_foot(lengths_ft: &[u32]) -> Vec<BoardSize> {
        lengths_ft.iter().map(|ft| BoardSize { length_ft: *ft, cost: *ft }).collect()
    }
}

/// The boards there are to buy, as many of each as one likes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stock {
    /// Order and repetitions do not matter. One that costs no less than a longer one is never bought.
    pub boards: Vec<BoardSize>,
    /// What a saw cut eats.
    pub kerf: Length,
    /// What is cut off a board's one end before the first piece.
    pub end_trim: Length,
}

/// What lengths are taken up to by [`Stock::on_tape`].
const TAPE: Length = Length::sixty_fourths(2);

impl Stock {
    /// The length taken up to the next 1/32 in, finer than any saw stop, unless that would be more than a
    /// board gives that the length just fits. Lengths with a common measure are what makes proofs quick.
    pub fn on_tape(&self, length: Length) -> Length {
        let up = length.ceil_to(TAPE);
        let gives = |b: &BoardSize| Length::feet(i64::from(b.length_ft)) - self.end_trim;
        let mut boards = self.boards.iter().map(gives);
        if boards.any(|board| length <= board && board < up) { length } else { up }
    }
}

/// A board one already has: a whole one, or what was left over from another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OnHand {
    /// The caller's number for it; must be unique.
    pub id: u32,
    /// Its length; gives up the end trim like every board.
    pub length: Length,
}

/// Where a board comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BoardSource {
    /// To buy.
    Bought {
        /// Nominal length, whole feet.
        length_ft: u32,
    },
    /// On hand.
    OnHand {
        /// As given.
        id: u32,
        /// As given.
        length: Length,
    },
}

/// A board and what is cut from it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CutBoard {
    /// Where it comes from.
    pub source: BoardSource,
    /// Demand ids in cutting order: longest first, equal ones by id.
    pub cuts: Vec<u32>,
    /// Left after the last kerf; 0 when there is no room for that kerf.
    pub offcut: Length,
}

impl CutBoard {
    /// The whole board.
    pub fn length(&self) -> Length {
        match self.source {
            BoardSource::Bought { length_ft } => Length::feet(i64::from(length_ft)),
            BoardSource::OnHand { length, .. } => length,
        }
    }
}

/// Boards for all demands, and how good they are.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cutting {
    /// Boards on hand, then those to buy; of both the longest first, then by their cuts' lengths, longest
    /// first, then by id.
    pub boards: Vec<CutBoard>,
    /// Boards on hand that nothing is cut from, ascending.
    pub spare: Vec<u32>,
    /// Length of the boards to buy.
    pub bought: Length,
    /// Length of all pieces.
    pub used: Length,
    /// What the boards to buy cost.
    pub cost: i64,
    /// Proven: no cutting of these demands from this stock costs less.
    pub lower_bound_cost: i64,
    /// Proven: no cutting of these demands from this stock buys less.
    pub lower_bound_length: Length,
    /// Proven: no cutting uses fewer boards, of whatever lengths.
    pub lower_bound_boards: u64,
}

impl Cutting {
    /// Whether it is proven that nothing costs less.
    pub fn is_proven_optimal(&self) -> bool {
        self.cost == self.lower_bound_cost
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

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand, end trim 0.1 in: 191.9 in is what a 16 ft board gives, and is not taken up beyond it.
    #[test]
    fn a_piece_that_just_fits_its_board_still_does() {
        let inch = |x: f64| Length::from_inches(x).unwrap_or_default();
        let stock = Stock {
            boards: BoardSize::by_the_foot(&[8, 16]),
            kerf: Length::ZERO,
            end_trim: inch(0.1),
        };
        for (length, taken) in [(191.9, 191.9), (191.89, 191.89), (50.01, 50.03125), (50.0, 50.0)] {
            assert_eq!(stock.on_tape(inch(length)), inch(taken));
        }
    }
}
