//! Invented houses of random bytes, without the measuring that guides the fuzzer, which takes most of its
//! time.
//!
//! `many_houses SEED COUNT FOLDER [INPUTS]` puts bytes that stop it into FOLDER, as inputs of the target `walls_to_proof`.
//! Every other house is one of the folder INPUTS, damaged.

use arbitrary::{Arbitrary, Unstructured};
use platewright_fuzz::{house::House, judge, seeded::Seeded};
use std::panic;
use std::path::PathBuf;
use std::{env, fs};

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
        let mut seeded = Seeded::of(seed, n);
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
