//! Three and four walls at one place, of random bytes: where most of what stops `walls_to_proof` has been found.
//!
//! `walls_at_one_place SEED COUNT` prints the least part of each house that stops it.

use arbitrary::Unstructured;
use platewright_fuzz::{house::House, judge};
use std::env;
use std::panic;

/// A small deterministic sequence of numbers (splitmix64).
struct Seeded(u64);

impl Seeded {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
    fn bytes(&mut self, count: usize) -> Vec<u8> {
        (0..count).map(|_| self.next() as u8).collect()
    }
}

fn main() {
    let args: Vec<u64> = env::args().skip(1).filter_map(|a| a.parse().ok()).collect();
    let [seed, count] = args[..] else { return eprintln!("walls_at_one_place SEED COUNT") };
    let mut stopped = 0;
    for n in 0..count {
        let mut seeded = Seeded(seed.wrapping_mul(0x2545_F491_4F6C_DD1D).wrapping_add(n));
        seeded.next();
        let bytes = seeded.bytes(200);
        let Ok(house) = House::at_one_place(&mut Unstructured::new(&bytes)) else { continue };
        if panic::catch_unwind(|| judge::house(&house)).is_err() {
            stopped += 1;
            eprintln!("number {n}");
        }
    }
    println!("{count} houses, {stopped} stopped it");
}
