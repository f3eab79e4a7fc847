//! `#id` to byte offset: a table by id for ids about as dense as entities are, and for the others a sorted
//! list with a coarse table over it.

/// How many entities one bucket of the sorted list holds on average when ids are evenly spread.
const PER_BUCKET: usize = 4;

/// The table by id has at most one place for this many bytes of the file: about three times as many as
/// there are entities.
const BYTES_PER_PLACE: usize = 13;

/// A table whose first id is below this starts at 0, since lower ids may follow.
const LOW: u64 = 4096;

/// No entity starts here: files are shorter.
const NONE: u32 = u32::MAX;

/// Where each entity is: a table by id, and a sorted list of those whose ids lie beyond it. Memory goes by
/// the size of the file, never by the largest id.
#[derive(Debug)]
pub struct Index {
    /// The id of the table's first place.
    first: u64,
    /// Offsets by id, [`NONE`] where no entity has that id.
    table: Vec<u32>,
    /// The table's other part: that of the rest of the file, where its ids go on from the first part's.
    rest: Vec<u32>,
    others: Sparse,
    count: usize,
}

impl Index {
    /// Byte offset of the entity's `#`.
    #[inline]
    pub fn offset(&self, id: u64) -> Option<usize> {
        let place = usize::try_from(id.wrapping_sub(self.first)).ok()?;
        let known = match self.table.get(place) {
            Some(offset) => Some(offset),
            None => self.rest.get(place.wrapping_sub(self.table.len())),
        };
        match known {
            Some(offset) if *offset != NONE => Some(*offset as usize),
            Some(_) => None,
            None => self.others.offset(id),
        }
    }

    /// How many entities there are.
    pub fn len(&self) -> usize {
        self.count
    }
}

/// Takes entities in the order of the file. Of an id defined more than once the first definition stays.
#[derive(Debug)]
pub struct Builder {
    first: u64,
    table: Vec<u32>,
    /// See [`Index`]. Once there is one, nothing more is added to the table.
    rest: Vec<u32>,
    /// Most places the table may have.
    places: usize,
    /// Places of the table without an entity.
    gaps: usize,
    others: Vec<(u64, u32)>,
    doubles: Vec<u64>,
}

impl Builder {
    /// For that many bytes of a file.
    pub fn new(bytes: usize) -> Builder {
        Builder {
            first: 0,
            // Pages never written to cost nothing.
            table: Vec::with_capacity(bytes / 40 + 16),
            rest: Vec::new(),
            places: bytes / BYTES_PER_PLACE + 16,
            gaps: 0,
            others: Vec::new(),
            doubles: Vec::new(),
        }
    }

    /// Takes an entity.
    #[inline]
    pub fn add(&mut self, id: u64, offset: u32) {
        let next = self.table.len();
        // Most exporters count up.
        if id.wrapping_sub(self.first) == next as u64 && next < self.places {
            self.table.push(offset);
        } else {
            self.add_out_of_turn(id, offset);
        }
    }

    fn add_out_of_turn(&mut self, id: u64, offset: u32) {
        if self.table.is_empty() {
            self.first = if id < LOW.min(self.places as u64) { 0 } else { id };
        }
        let place = usize::try_from(id.wrapping_sub(self.first)).unwrap_or(usize::MAX);
        match self.table.get_mut(place) {
            Some(slot) if *slot == NONE => {
                *slot = offset;
                self.gaps -= 1;
            }
            Some(_) => self.doubles.push(id),
            None if place < self.places => {
                self.gaps += place - self.table.len();
                self.table.resize(place, NONE);
                self.table.push(offset);
            }
            None => self.others.push((id, offset)),
        }
    }

    /// Takes the entities of the rest of the file.
    pub fn append(&mut self, later: Builder) {
        if self.table.is_empty() {
            // The first entity goes into the table, so that there is none.
            *self = later;
            return;
        }
        if later.first == self.first.wrapping_add(self.table.len() as u64)
            && self.table.len() + later.table.len() <= self.places
        {
            // As it is: a copy would ask for as much memory again.
            self.rest = later.table;
            self.gaps += later.gaps;
            self.places = self.table.len();
        } else {
            for (place, offset) in later.table.into_iter().enumerate() {
                if offset != NONE {
                    self.add(later.first + place as u64, offset);
                }
            }
        }
        later.others.into_iter().for_each(|(id, offset)| self.add(id, offset));
        self.doubles.extend(later.doubles);
    }

    /// The index, and ids with one entry for each definition after the first.
    pub fn finish(mut self) -> (Index, Vec<u64>) {
        let (others, more) = Sparse::new(self.others);
        self.doubles.extend(more);
        self.doubles.sort_unstable();
        let count = self.table.len() + self.rest.len() - self.gaps + others.ids.len();
        let Builder { first, table, rest, doubles, .. } = self;
        (Index { first, table, rest, others, count }, doubles)
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
    /// their ids.
    fn new(mut both: Vec<(u64, u32)>) -> (Sparse, Vec<u64>) {
        let mut doubles = Vec::new();
        both.sort_unstable();
        both.dedup_by(|b, a| {
            let same = a.0 == b.0;
            if same {
                doubles.push(a.0);
            }
            same
        });
        let (ids, offsets) = both.into_iter().unzip();
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

    fn of(bytes: usize, ids: &[u64]) -> Builder {
        let mut builder = Builder::new(bytes);
        ids.iter().zip(0..).for_each(|(id, n)| builder.add(*id, n));
        builder
    }

    proptest! {
        #[test]
        fn finds_what_is_there_and_nothing_else(
            ids in proptest::collection::vec(prop_oneof![0..200_u64, 4000..5000_u64, any::<u64>()], 0..200),
            bytes in prop_oneof![Just(0_usize), Just(2000), Just(100_000)],
            other in 0..200_u64, cut in prop_oneof![Just(0), 0..200_usize])
        {
            let (index, doubles) = of(bytes, &ids).finish();
            for id in &ids {
                prop_assert_eq!(index.offset(*id), ids.iter().position(|x| x == id));
            }
            prop_assert_eq!(index.offset(other).is_some(), ids.contains(&other));
            prop_assert_eq!(index.len() + doubles.len(), ids.len());
            prop_assert!(index.table.len() <= bytes / BYTES_PER_PLACE + 16);
            prop_assert!(index.others.starts.len() <= 3 * ids.len() + 4);

            // The same in two parts.
            let (one, two) = ids.split_at(cut.min(ids.len()));
            let mut parts = of(bytes, one);
            let mut later = Builder::new(bytes);
            two.iter().zip(one.len() as u32..).for_each(|(id, n)| later.add(*id, n));
            parts.append(later);
            let (again, same) = parts.finish();
            prop_assert!(again.table.len() + again.rest.len() <= bytes / BYTES_PER_PLACE + 16);
            prop_assert_eq!((again.len(), &same), (index.len(), &doubles));
            for id in &ids {
                prop_assert_eq!(again.offset(*id), index.offset(*id));
            }
        }
    }

    #[test]
    fn second_definitions_are_told() {
        for far in [0, 1 << 40] {
            let mut builder = Builder::new(1000);
            builder.add(1, 7);
            for (id, offset) in [(5, 10), (3, 20), (5, 30)] {
                builder.add(far + id, offset);
            }
            let (index, doubles) = builder.finish();
            assert_eq!((index.offset(far + 5), index.offset(far + 3)), (Some(10), Some(20)));
            assert_eq!((doubles, index.len()), (vec![far + 5], 3));
        }
    }
}
