//! What hangs together.

/// Disjoint sets of numbers, each named by its least member.
pub struct Together(Vec<usize>);

impl Together {
    /// Each number by itself.
    pub fn of(count: usize) -> Together {
        Together((0..count).collect())
    }
    /// The least number of its set.
    pub fn root(&mut self, mut i: usize) -> usize {
        while self.0[i] != i {
            self.0[i] = self.0[self.0[i]];
            i = self.0[i];
        }
        i
    }
    /// Makes two sets one.
    pub fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.root(a), self.root(b));
        self.0[a.max(b)] = a.min(b);
    }
}

#[cfg(test)]
mod tests {
    use super::Together;

    #[test]
    fn joined_numbers_share_the_least_of_them() {
        let mut t = Together::of(6);
        t.join(4, 5);
        t.join(2, 4);
        assert_eq!([0, 1, 2, 3, 4, 5].map(|i| t.root(i)), [0, 1, 2, 3, 2, 2]);
        t.join(5, 0);
        assert_eq!(t.root(4), 0);
    }
}
