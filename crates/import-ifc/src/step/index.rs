//! `#id` to byte offset: a sorted list with a coarse table over it.

/// How many entities one bucket holds on average when ids are evenly spread.
const PER_BUCKET: usize = 4;

/// Where each entity is. Memory goes by the number of entities, never by the largest id.
#[derive(Debug, Default)]
pub struct Index {
    ids: Vec<u64>,
    offsets: Vec<u32>,
    /// `starts[b]` is the first entry whose `id >> shift` is at least `b`; one more at the end.
    starts: Vec<u32>,
    shift: u32,
}

impl Index {
    /// Sorts the entries, drops second definitions of an id (the first in the file stays) and tells
    /// how many were dropped, with the first few ids.
    pub fn new(mut ids: Vec<u64>, mut offsets: Vec<u32>) -> (Index, Vec<u64>) {
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
        let mut index = Index { ids, offsets, starts: Vec::new(), shift: 0 };
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
    pub fn offset(&self, id: u64) -> Option<usize> {
        let bucket = usize::try_from(id >> self.shift).ok()?;
        let from = *self.starts.get(bucket)? as usize;
        let to = *self.starts.get(bucket.checked_add(1)?)? as usize;
        let here = self.ids.get(from..to)?.binary_search(&id).ok()?;
        self.offsets.get(from + here).map(|o| *o as usize)
    }

    /// How many entities there are.
    pub fn len(&self) -> usize {
        self.ids.len()
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
            prop_assert!(index.starts.len() <= ids.len() + 4);
        }
    }

    #[test]
    fn second_definitions_are_told() {
        let (index, doubles) = Index::new(vec![5, 3, 5], vec![10, 20, 30]);
        assert_eq!((index.offset(5), index.offset(3), index.len()), (Some(10), Some(20), 2));
        assert_eq!(doubles, [5]);
    }
}
