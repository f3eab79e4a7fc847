//! Many short lists in one piece of memory.

use std::cmp::Ordering;
use std::ops::Index;

/// Short lists, by number. Side by side, so that none asks for memory of its own and lists of neighbours are
/// neighbours.
#[derive(Debug, Default)]
pub(crate) struct Rows<T> {
    items: Vec<T>,
    rows: Vec<Row>,
}

#[derive(Clone, Copy, Debug, Default)]
struct Row {
    from: u32,
    len: u32,
    /// Items it may have without going elsewhere.
    room: u32,
}

impl<T: Copy + Default> Rows<T> {
    /// `count` lists; each item goes to the list of its number, which is less than that, in the order they come.
    pub(crate) fn of(count: usize, items: impl Iterator<Item = (u32, T)> + Clone) -> Rows<T> {
        let mut rows = vec![Row::default(); count];
        items.clone().for_each(|(row, _)| rows[row as usize].room += 1);
        let mut total = 0;
        for row in &mut rows {
            row.from = total;
            total += row.room;
        }
        let mut all = vec![T::default(); total as usize];
        for (row, item) in items {
            let row = &mut rows[row as usize];
            all[(row.from + row.len) as usize] = item;
            row.len += 1;
        }
        Rows { items: all, rows }
    }
    pub(crate) fn len(&self) -> usize {
        self.rows.len()
    }
    pub(crate) fn iter(&self) -> impl Iterator<Item = &[T]> + Clone {
        (0..self.len()).map(|row| &self[row])
    }
    /// Each list in turn, with its number.
    pub(crate) fn change_each(&mut self, mut change: impl FnMut(usize, &mut [T])) {
        for (number, row) in self.rows.iter().enumerate() {
            change(number, &mut self.items[row.range()]);
        }
    }
    /// Other numbers for lists: the `order` of the old ones.
    pub(crate) fn put_in_order(&mut self, order: &[u32]) {
        self.rows = order.iter().map(|k| self.rows[*k as usize]).collect();
    }
    /// The first item of a list.
    pub(crate) fn first(&self, number: u32) -> Option<T> {
        self[number as usize].first().copied()
    }
    /// Takes the first item off a list.
    pub(crate) fn pass_first(&mut self, number: u32) {
        let row = &mut self.rows[number as usize];
        let past = row.len.min(1);
        row.from += past;
        row.len -= past;
        row.room -= past;
    }
    pub(crate) fn sort_each_by(&mut self, order: impl Fn(&T, &T) -> Ordering) {
        self.change_each(|_, own| own.sort_unstable_by(&order));
    }
    /// Each list in order of a key, items of one key once.
    pub(crate) fn tidy_each_by_key<K: Ord>(&mut self, key: impl Fn(&T) -> K) {
        for row in &mut self.rows {
            let own = &mut self.items[row.range()];
            own.sort_unstable_by_key(&key);
            let mut kept = own.len().min(1);
            for k in 1..own.len() {
                if key(&own[k]) != key(&own[k - 1]) {
                    own[kept] = own[k];
                    kept += 1;
                }
            }
            row.len = kept as u32;
        }
    }
    /// Puts other items into a list. A list that outgrows its room moves to one of twice the size.
    pub(crate) fn replace(&mut self, number: usize, items: &[T]) {
        let row = &mut self.rows[number];
        row.len = items.len() as u32;
        if row.len > row.room {
            row.from = self.items.len() as u32;
            row.room = row.len * 2;
            self.items.resize(self.items.len() + row.room as usize, T::default());
        }
        self.items[row.range()].copy_from_slice(items);
    }
}

impl Row {
    fn range(&self) -> std::ops::Range<usize> {
        let from = self.from as usize;
        from..from + self.len as usize
    }
}

impl<T> Index<usize> for Rows<T> {
    type Output = [T];
    fn index(&self, row: usize) -> &[T] {
        &self.items[self.rows[row].range()]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// As lists of their own.
        #[test]
        fn as_lists_of_their_own(
            items in prop::collection::vec((0_u32..9, 0_u8..6), 0..60),
            later in prop::collection::vec((0_usize..9, prop::collection::vec(any::<u8>(), 0..12)), 0..12))
        {
            let mut rows = Rows::of(9, items.iter().copied());
            let mut lists: Vec<Vec<u8>> = vec![Vec::new(); 9];
            items.iter().for_each(|(row, item)| lists[*row as usize].push(*item));
            prop_assert!(rows.iter().eq(lists.iter().map(|l| &l[..])));
            rows.sort_each_by(|a, b| b.cmp(a));
            lists.iter_mut().for_each(|l| l.sort_by_key(|item| std::cmp::Reverse(*item)));
            prop_assert!(rows.iter().eq(lists.iter().map(|l| &l[..])));
            rows.tidy_each_by_key(|item| *item);
            for list in &mut lists {
                list.sort();
                list.dedup();
            }
            prop_assert!(rows.iter().eq(lists.iter().map(|l| &l[..])));
            for (row, list) in later {
                rows.replace(row, &list);
                lists[row] = list;
                prop_assert_eq!(rows.first(row as u32), lists[row].first().copied());
                rows.pass_first(row as u32);
                if !lists[row].is_empty() {
                    lists[row].remove(0);
                }
                prop_assert!(rows.iter().eq(lists.iter().map(|l| &l[..])));
            }
        }
    }
}
