//! Slices of a subdivision for several machines, and shelves for very many folders.

use sha2::{Digest, Sha256};
use std::path::PathBuf;
use std::str::FromStr;

/// From so many lots on, lot folders stand on shelves: no folder then has to hold them all.
pub const SHELVES_FROM: usize = 1001;

/// Slice `number` of `of`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shard {
    /// From 1.
    pub number: u32,
    /// How many slices.
    pub of: u32,
}

impl FromStr for Shard {
    type Err = String;
    fn from_str(text: &str) -> Result<Shard, String> {
        let parts =
            text.split_once('/').and_then(|(k, n)| Some((k.parse().ok()?, n.parse().ok()?)));
        match parts {
            Some((number, of)) if (1..=of).contains(&number) => Ok(Shard { number, of }),
            _ => Err("write it as K/N, such as 1/4 for the first of four slices".to_owned()),
        }
    }
}

impl Shard {
    /// Whether a lot is in this slice: by its name alone, so that lots added later move no other.
    pub fn holds(self, lot: &str) -> bool {
        let head = first_bytes(lot);
        u64::from_be_bytes(head) % u64::from(self.of) == u64::from(self.number) - 1
    }
}

fn first_bytes(lot: &str) -> [u8; 8] {
    let hash = Sha256::digest(lot.as_bytes());
    let mut head = [0; 8];
    head.iter_mut().zip(hash).for_each(|(h, b)| *h = b);
    head
}

/// Where a lot's folder is, below the output folder. Shelves go by the hash of the lot's name.
pub fn folder_of(lot: &str, lots: usize) -> PathBuf {
    if lots < SHELVES_FROM {
        return lot.into();
    }
    let [.., last] = first_bytes(lot);
    PathBuf::from(format!("shelf-{last:02x}")).join(lot)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_lot_is_in_one_slice() {
        let slices: Vec<Shard> = (1..=4).map(|k| format!("{k}/4").parse().unwrap()).collect();
        let mut sizes = [0; 4];
        for lot in (0..400).map(|i| format!("lot {i}")) {
            let mut holders = (0..4).filter(|k| slices[*k].holds(&lot));
            sizes[holders.next().unwrap()] += 1;
            assert!(holders.next().is_none());
        }
        assert!(sizes.iter().all(|n| (60..=140).contains(n)), "{sizes:?}");
        for bad in ["0/4", "5/4", "1", "a/b", "1/0", "-1/2"] {
            assert!(bad.parse::<Shard>().is_err(), "{bad}");
        }
    }

    #[test]
    fn shelves_only_for_very_many() {
        assert_eq!(folder_of("7", 1000), PathBuf::from("7"));
        let shelf = folder_of("7", 1001);
        assert!(shelf.to_string_lossy().starts_with("shelf-") && shelf.ends_with("7"), "{shelf:?}");
        assert_eq!(shelf, folder_of("7", 90_000));
    }
}
