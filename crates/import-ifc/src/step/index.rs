//! `#id` to byte offset: a table by id where ids are dense, else a sorted list with a coarse table over
//! it.

/// How many entities one bucket holds on average when ids are evenly spread.
const PER_BUCKET: usize = 4;

/// Ids are dense when the table by id has at most this many places for each entity.
const PLACES: u64 = 3;

/// No entity starts here: files are shorter.
const NONE: u32 = u32::MAX;

/// Where each entity is. Memory goes by the number of entities, never by the largest id.
#[derive(Debug)]
pub enum Index {
    /// By id, from the first on.
    Dense {
        /// The least id.
        first: u64,
        /// Offsets, [`NONE`] where no entity has that id.
        offsets: Vec<u32>,
        /// How many entities there are.
        count: usize,
    },
    /// Sorted.
    Sparse(Sparse),
}

impl Index {
    /// Drops second definitions of an id (the first in the file stays) and tells their ids.
    pub fn new(ids: Vec<u64>, offsets: Vec<u32>) -> (Index, Vec<u64>) {
        let ends = ids.iter().copied().min().zip(ids.iter().copied().max());
        if let Some((first, last)) = ends
            && last - first < PLACES.saturating_mul(ids.len() as u64)
        {
            return Index::dense(first, last, &ids, &offsets);
        }
        let (sparse, doubles) = Sparse::new(ids, offsets);
        (Index::Sparse(sparse), doubles)
    }

    fn dense(first: u64, last: u64, ids: &[u64], offsets: &[u32]) -> (Index, Vec<u64>) {
        let mut table = vec![NONE; (last - first) as usize + 1];
        let mut doubles = Vec::new();
        for (id, offset) in ids.iter().zip(offsets) {
            let slot = &mut table[(id - first) as usize];
            if *slot == NONE {
                *slot = *offset;
            } else {
                doubles.push(*id);
            }
        }
        let count = ids.len() - doubles.len();
        doubles.sort_unstable();
        (Index::Dense { first, offsets: table, count }, doubles)
    }

    /// Byte offset of the entity's `#`.
    #[inline]
    pub fn offset(&self, id: u64) -> Option<usize> {
        match self {
            Index::Dense { first, offsets, .. } => {
                let place = usize::try_from(id.checked_sub(*first)?).ok()?;
                offsets.get(place).filter(|o| **o != NONE).map(|o| *o as usize)
            }
            Index::Sparse(sparse) => sparse.offset(id),
        }
    }

    /// How many entities there are.
    pub fn len(&self) -> usize {
        match self {
            Index::Dense { count, .. } => *count,
            Index::Sparse(sparse) => sparse.ids.len(),
        }
    }
}

/// A sorted list of ids.
#[derive(Debug, Default)]
pub struct Sparse {
    ids: Vec<u64>,
    offsets: Vec<u32>,
    /// `starts[b]` is the first entry whose `id >> shift` is at least `b`; one more at the end.
    starts: Vec<u32>,
    shift: u32,
}

impl Sparse {
    /// Sorts the entries, drops second definitions of an id (the first in the file stays) and tells
    /// how many were dropped, with the first few ids.
    fn new(mut ids: Vec<u64>, mut offsets: Vec<u32>) -> (Sparse, Vec<u64>) {
        let mut doubles = Vec::new();
        if !ids.is_sorted_by(|a, b| a < b) {
            let mut both: Vec<(u64, u32)> =
                ids.iter().copied().zip(offsets.iter().copied()).collect();
            both.sort_unstable();
            both.dedup_by(|b, a| {
                let same = a.0 == b.0;
                if same {
                    doubles.push(a.0);
                }
                same
            });
            (ids, offsets) = both.into_iter().unzip();
        }
        let mut index = Sparse { ids, offsets, starts: Vec::new(), shift: 0 };
        index.build_buckets();
        (index, doubles)
    }

    fn build_buckets(&mut self) {
        let Some(&largest) = self.ids.last() else { return };
        let wanted = (self.ids.len() / PER_BUCKET + 1) as u64;
        while largest >> self.shift > wanted {
            self.shift += 1;
        }
        let buckets = (largest >> self.shift) as usize + 1;
        self.starts.reserve_exact(buckets + 1);
        for (n, id) in self.ids.iter().enumerate() {
            let bucket = (id >> self.shift) as usize;
            while self.starts.len() <= bucket {
                self.starts.push(n as u32);
            }
        }
        self.starts.push(self.ids.len() as u32);
    }

    /// Byte offset of the entity's `#`.
    fn offset(&self, id: u64) -> Option<usize> {
        let bucket = usize::try_from(id >> self.shift).ok()?;
        let from = *self.starts.get(bucket)? as usize;
        let to = *self.starts.get(bucket.checked_add(1)?)? as usize;
        let here = self.ids.get(from..to)?.binary_search(&id).ok()?;
        self.offsets.get(from + here).map(|o| *o as usize)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn finds_what_is_there_and_nothing_else(mut ids in proptest::collection::vec(prop_oneof![0..200_u64, any::<u64>()], 0..200), other in 0..200_u64) {
            ids.dedup();
            let offsets: Vec<u32> = (0..ids.len() as u32).collect();
            let (index, _) = Index::new(ids.clone(), offsets);
            for id in &ids {
                let first = ids.iter().position(|x| x == id).unwrap();
                prop_assert_eq!(index.offset(*id), Some(first));
            }
            prop_assert_eq!(index.offset(other).is_some(), ids.contains(&other));
            let size = match &index {
                Index::Dense { offsets, .. } => offsets.len(),
                Index::Sparse(sparse) => sparse.starts.len(),
            };
            prop_assert!(size <= 3 * ids.len() + 4);
            prop_assert!(index.len() <= ids.len());
        }
    }

    #[test]
    fn dense_and_sparse_tell_the_same() {
        let ids = vec![7, 3, 9, 3, 8];
        let offsets = vec![1, 2, 3, 4, 5];
        let (dense, a) = Index::new(ids.clone(), offsets.clone());
        let (sparse, b) = Sparse::new(ids, offsets);
        assert!(matches!(dense, Index::Dense { count: 4, .. }));
        assert_eq!((&a, a == b), (&vec![3], true));
        for id in 0..20 {
            assert_eq!(dense.offset(id), sparse.offset(id), "{id}");
        }
    }

    #[test]
    fn second_definitions_are_told() {
        let (index, doubles) = Index::new(vec![5, 3, 5], vec![10, 20, 30]);
        assert_eq!((index.offset(5), index.offset(3), index.len()), (Some(10), Some(20), 2));
        assert_eq!(doubles, [5]);
    }
}
