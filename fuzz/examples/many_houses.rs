//! Invented houses of random bytes, without the measuring that guides the fuzzer, which takes most of its
//! time.
//!
//! `many_houses SEED COUNT FOLDER [INPUTS]` puts bytes that stop it into FOLDER, as inputs of the target `walls_to_proof`.
//! Every other house is one of the folder INPUTS, damaged.

use arbitrary::{Arbitrary, Unstructured};
use platewright_fuzz::{house::House, judge};
use std::panic;
use std::path::PathBuf;
use std::{env, fs};

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
    fn below(&mut self, n: usize) -> usize {
        (self.next() % n.max(1) as u64) as usize
    }
    fn bytes(&mut self, count: usize) -> Vec<u8> {
        (0..count).map(|_| self.next() as u8).collect()
    }
    /// A few bytes changed, put in, taken out, or the rest of another.
    fn damage(&mut self, bytes: &mut Vec<u8>, other: &[u8]) {
        for _ in 0..=self.below(4) {
            let at = self.below(bytes.len());
            let until = (at + 1 + self.below(12)).min(bytes.len());
            match self.below(4) {
                0 => bytes.iter_mut().skip(at).take(1).for_each(|b| *b = self.next() as u8),
                1 => drop(bytes.drain(at..until)),
                2 => {
                    let count = self.below(20);
                    let more = self.bytes(count);
                    drop(bytes.splice(at..at, more));
                }
                _ => {
                    bytes.truncate(at);
                    bytes.extend(&other[self.below(other.len())..]);
                }
            }
        }
        bytes.truncate(1024);
    }
}

fn main() {
    let args: Vec<String> = env::args().skip(1).collect();
    let (seed, count, folder, inputs) = match args.as_slice() {
        [seed, count, folder, inputs @ ..] => {
            (seed.parse::<u64>(), count.parse::<u64>(), folder, inputs.first())
        }
        _ => return eprintln!("many_houses SEED COUNT FOLDER [INPUTS]"),
    };
    let (Ok(seed), Ok(count)) = (seed, count) else {
        return eprintln!("SEED and COUNT are numbers");
    };
    let inputs: Vec<Vec<u8>> = inputs.map_or_else(Vec::new, |folder| {
        let entries = fs::read_dir(folder).into_iter().flatten().flatten();
        let mut paths: Vec<PathBuf> = entries.map(|e| e.path()).collect();
        paths.sort();
        paths.iter().filter_map(|p| fs::read(p).ok()).filter(|b| !b.is_empty()).collect()
    });
    let (mut houses, mut stopped) = (0_u64, 0);
    for n in 0..count {
        let mut seeded = Seeded(seed.wrapping_mul(0x2545_F491_4F6C_DD1D).wrapping_add(n));
        seeded.next();
        let length = 16 + seeded.below(400);
        let mut bytes = seeded.bytes(length);
        if n % 2 == 1 && !inputs.is_empty() {
            bytes.clone_from(&inputs[seeded.below(inputs.len())]);
            let other = seeded.below(inputs.len());
            seeded.damage(&mut bytes, &inputs[other]);
        }
        let Ok(house) = House::arbitrary_take_rest(Unstructured::new(&bytes)) else { continue };
        houses += 1;
        if panic::catch_unwind(|| judge::house(&house)).is_err() {
            stopped += 1;
            let path = PathBuf::from(folder).join(format!("house-{seed:x}-{n}"));
            if let Err(why) = fs::write(&path, &bytes) {
                return eprintln!("{}: {why}", path.display());
            }
            eprintln!("kept as {}", path.display());
        }
        if n % 1000 == 999 {
            println!("{houses} houses, {stopped} stopped it");
        }
    }
    println!("{houses} houses, {stopped} stopped it");
}
