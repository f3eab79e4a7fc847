//! Weaves all mutants of a list into a copy of the sources, each behind a question for its number, so that one build holds them all and a
//! test run chooses one by `MUTANT=NUMBER`.
//!
//! `platewright-mutants LIST LEFT_OUT FROM TO`: LIST is what `cargo mutants --list --json` prints, LEFT_OUT a file of numbers (a place in the list,
//! from 0) not to weave in, FROM the checkout, TO the copy whose files are written anew. Prints the numbers that have no place: operators in
//! constants, which are worked out before any question can be asked, and in conditions that bind names; iterators of a type without a name.

mod find;
mod weave;

use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};
use std::error::Error;
use std::path::Path;
use std::{env, fs};

/// A mutant, as the list has it. Lines and columns count from 1, columns in characters.
#[derive(Deserialize)]
pub struct Mutant {
    pub file: String,
    pub genre: String,
    pub replacement: String,
    pub span: Stretch,
}

#[derive(Deserialize, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Stretch {
    pub start: Place,
    pub end: Place,
}

#[derive(Deserialize, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    pub line: usize,
    pub column: usize,
}

fn main() -> Result<(), Box<dyn Error>> {
    let args: Vec<String> = env::args().skip(1).collect();
    let [list, left_out, from, to] = &args[..] else {
        return Err("platewright-mutants LIST LEFT_OUT FROM TO".into());
    };
    let mutants: Vec<Mutant> = serde_json::from_str(&fs::read_to_string(list)?)?;
    let left_out: BTreeSet<usize> = fs::read_to_string(left_out)?
        .split_whitespace()
        .map(str::parse)
        .collect::<Result<_, _>>()?;
    let mut files: BTreeMap<&str, BTreeMap<usize, &Mutant>> = BTreeMap::new();
    for (number, mutant) in mutants.iter().enumerate() {
        let of_file = files.entry(&mutant.file).or_default();
        if !left_out.contains(&number) {
            of_file.insert(number, mutant);
        }
    }
    for (file, of_file) in files {
        let text = fs::read_to_string(Path::new(from).join(file))?;
        let sites = find::sites(&text, &of_file)?;
        let woven = weave::woven(&text, &sites);
        let place = Path::new(to).join(file);
        // What has not changed need not be built again.
        if fs::read_to_string(&place)? != woven {
            fs::write(place, woven)?;
        }
        let placed: BTreeSet<usize> =
            sites.iter().flat_map(|s| s.variants.iter().map(|v| v.number)).collect();
        for number in of_file.keys().filter(|n| !placed.contains(n)) {
            println!("{number}");
        }
    }
    Ok(())
}
