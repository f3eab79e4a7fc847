//! Three and four walls at one place, of random bytes: where most of what stops `walls_to_proof` has been found.
//!
//! `walls_at_one_place SEED COUNT` prints the least part of each house that stops it.

use arbitrary::Unstructured;
use platewright_fuzz::{house::House, judge, seeded::Seeded};
use std::env;
use std::panic;

fn main() {
    let args: Vec<u64> = env::args().skip(1).filter_map(|a| a.parse().ok()).collect();
    let [seed, count] = args[..] else { return eprintln!("walls_at_one_place SEED COUNT") };
    let mut stopped = 0;
    for n in 0..count {
        let mut seeded = Seeded::of(seed, n);
        let bytes = seeded.bytes(200);
        let Ok(house) = House::at_one_place(&mut Unstructured::new(&bytes)) else { continue };
        if panic::catch_unwind(|| judge::house(&house)).is_err() {
            stopped += 1;
            eprintln!("number {n}");
        }
    }
    println!("{count} houses, {stopped} stopped it");
}
