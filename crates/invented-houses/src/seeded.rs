//! Random bytes that a seed makes again.

/// A small deterministic sequence of numbers (splitmix64).
#[derive(Clone, Debug)]
pub struct Seeded(u64);

impl Seeded {
    /// The sequence of house `n` of a seed.
    pub fn of(seed: u64, n: u64) -> Seeded {
        let mut seeded = Seeded(seed.wrapping_mul(0x2545_F491_4F6C_DD1D).wrapping_add(n));
        seeded.next();
        seeded
    }
    /// The next number.
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
    /// A number below `n`, 0 where there is none.
    pub fn below(&mut self, n: usize) -> usize {
        (self.next() % n.max(1) as u64) as usize
    }
    /// So many bytes.
    pub fn bytes(&mut self, count: usize) -> Vec<u8> {
        (0..count).map(|_| self.next() as u8).collect()
    }
    /// A few bytes changed, put in, taken out, or the rest of another.
    pub fn damage(&mut self, bytes: &mut Vec<u8>, other: &[u8]) {
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
