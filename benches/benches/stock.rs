//! Choosing boards: pieces of any length from 2 to 16 ft, five board lengths, to the proven bound or near it.
//! The peer, HiGHS over the same patterns, is in `tests/reference/check_stock.py`.

use divan::{Bencher, black_box};
use geom::Length;
use stock_cut::{BoardSize, Demand, Stock, cut};

fn main() {
    divan::main();
}

#[divan::bench(args = [50, 200, 1_000], max_time = 20)]
fn boards(bencher: Bencher, pieces: u32) {
    let mut state = 0x9E37_79B9_7F4A_7C15_u64;
    let mut sixteenths = || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        384 + (state % 2_689) as i64
    };
    let one = |id| Demand { id, length: Length::sixteenths(sixteenths()) };
    let demands: Vec<Demand> = (0..pieces).map(one).collect();
    let stock = Stock {
        boards: BoardSize::by_the_foot(&[8, 10, 12, 14, 16]),
        kerf: Length::sixteenths(2),
        end_trim: Length::ZERO,
    };
    bencher.bench(|| cut(black_box(&demands), &stock).map(|c| c.cost));
}
