//! The demands as a packing problem in integers.

use crate::{BoardSize, BoardSource, CutBoard, Cutting, Demand, Stock, TooLong};
use geom::Length;
use std::collections::{BTreeSet, VecDeque};

/// Pieces of one length.
pub struct Kind {
    /// Length and one kerf, nm.
    pub weight: i64,
    /// Demand ids, ascending.
    ids: Vec<u32>,
    length: Length,
}

impl Kind {
    /// How many are wanted.
    pub fn count(&self) -> u32 {
        self.ids.len() as u32
    }
    /// Of one piece.
    pub fn length(&self) -> Length {
        self.length
    }
}

/// A board length.
#[derive(Clone, Copy)]
pub struct Size {
    /// Its length.
    pub feet: i64,
    /// What it costs, at least 1; more than any shorter size.
    pub cost: i64,
    /// Length less end trim and one kerf more, nm: holds weights.
    pub room: i64,
}

/// Kinds of pieces, heaviest first, and board sizes, shortest first.
pub struct Problem {
    pub kinds: Vec<Kind>,
    pub sizes: Vec<Size>,
    /// Every sum of costs is a multiple of this.
    pub step: i64,
    kerf: Length,
    end_trim: Length,
}

/// A bin: which size, which kinds.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Bin {
    pub size: usize,
    /// Ascending, that is heaviest first; repeated for repeated pieces.
    pub kinds: Vec<usize>,
}

/// Bins that hold every piece once.
#[derive(Clone, Debug)]
pub struct Packing {
    pub bins: Vec<Bin>,
    /// Of all its boards.
    pub cost: i64,
}

impl Packing {
    /// The cheaper of the two; `self` when they cost the same.
    pub fn better(self, o: Packing) -> Packing {
        if o.cost < self.cost { o } else { self }
    }
}

/// Work that may still be done, in steps of a few nanoseconds. Counting steps instead of time makes
/// the result the same on every machine.
pub struct Work {
    left: u64,
}

impl Work {
    /// The allowance for so many pieces: some tenths of a second for a house, some seconds for a thousand
    /// pieces of different lengths, where each step of the linear program costs the square of them.
    pub fn for_pieces(count: usize) -> Work {
        let count = (count as u64).min(10_000);
        let few = 4_000_000 + 400_000 * count.min(400);
        Work { left: few.max((2_000 * count * count).min(3_000_000_000)) }
    }
    /// Takes steps away; false when there are none left.
    pub fn spend(&mut self, steps: u64) -> bool {
        self.left = self.left.saturating_sub(steps);
        self.left > 0
    }
    /// Whether anything is left.
    pub fn is_left(&self) -> bool {
        self.left > 0
    }
    /// A part of what is left, taken out of it; give the rest back with [`Work::refund`].
    pub fn share(&mut self, parts: u64) -> Work {
        let taken = self.left / parts;
        self.left -= taken;
        Work { left: taken }
    }
    /// Puts back what a share did not use.
    pub fn refund(&mut self, share: Work) {
        self.left += share.left;
    }
}

/// The same draws every time (xorshift, Marsaglia 2003).
pub struct Chance(u64);

impl Chance {
    pub fn new() -> Chance {
        Chance(0x9E37_79B9_7F4A_7C15)
    }
    /// A whole number under `n`, which must not be 0.
    pub fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % n as u64) as usize
    }
}

/// Greatest common divisor.
pub fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

impl Problem {
    pub fn new(demands: &[Demand], stock: &Stock) -> Result<Problem, TooLong> {
        let kerf = stock.kerf.max(Length::ZERO);
        let end_trim = stock.end_trim.max(Length::ZERO);
        // Longer than any tree and dearer than any board; keeps every sum far from overflow.
        let sane = |b: &&BoardSize| b.length_ft <= 10_000 && b.cost <= 1_000_000;
        let size = |b: &BoardSize| {
            let feet = i64::from(b.length_ft);
            let usable = Length::feet(feet) - end_trim;
            let cost = i64::from(b.cost.max(1));
            (usable > Length::ZERO).then(|| Size { feet, cost, room: (usable + kerf).nm() })
        };
        let mut sizes: Vec<Size> = stock.boards.iter().filter(sane).filter_map(size).collect();
        // Longest first, of one length the cheapest; what costs no less than a longer one is never bought.
        sizes.sort_unstable_by_key(|s| (std::cmp::Reverse(s.feet), s.cost));
        let mut cheapest = i64::MAX;
        sizes.retain(|s| {
            let keep = s.cost < cheapest;
            cheapest = cheapest.min(s.cost);
            keep
        });
        sizes.reverse();
        let most = sizes.last().map_or(0, |s| s.room);

        let weight = |d: &Demand| d.length.max(Length::from_nm(1)) + kerf;
        let mut sorted: Vec<(Length, &Demand)> = demands.iter().map(|d| (weight(d), d)).collect();
        sorted.sort_by_key(|(w, d)| (std::cmp::Reverse(*w), d.id, d.length));
        let mut ids: Vec<u32> =
            sorted.iter().filter(|(w, _)| w.nm() > most).map(|(_, d)| d.id).collect();
        if !ids.is_empty() {
            ids.sort_unstable();
            let longest = (Length::from_nm(most) - kerf).max(Length::ZERO);
            return Err(TooLong { ids, longest });
        }
        let kinds = sorted
            .chunk_by(|a, b| a.0 == b.0)
            .map(|group| Kind {
                weight: group[0].0.nm(),
                ids: group.iter().map(|(_, d)| d.id).collect(),
                length: group[0].0 - kerf,
            })
            .collect();
        let step = sizes.iter().fold(0, |g, s| gcd(g, s.cost)).max(1);
        Ok(Problem { kinds, sizes, step, kerf, end_trim })
    }

    /// What a saw cut eats.
    pub fn kerf(&self) -> Length {
        self.kerf
    }
    /// What every board loses at its end.
    pub fn end_trim(&self) -> Length {
        self.end_trim
    }
    /// What a board of a length holds, in weights.
    pub fn room(&self, board: Length) -> i64 {
        (board - self.end_trim + self.kerf).nm()
    }
    /// The demands of a kind that are still wanted: its last ones.
    pub fn demands_left(&self, wanted: &[u32]) -> Vec<Demand> {
        let of = |(kind, n): (&Kind, &u32)| {
            let (length, ids) = (kind.length, &kind.ids[kind.ids.len() - *n as usize..]);
            ids.iter().map(|id| Demand { id: *id, length }).collect::<Vec<_>>()
        };
        self.kinds.iter().zip(wanted).flat_map(of).collect()
    }
    /// Ids of each kind but for those of `rest`.
    pub fn ids_by_kind(&self, rest: &[Demand]) -> Vec<VecDeque<u32>> {
        let gone: BTreeSet<u32> = rest.iter().map(|d| d.id).collect();
        let own = |k: &Kind| k.ids.iter().copied().filter(|id| !gone.contains(id)).collect();
        self.kinds.iter().map(own).collect()
    }
    /// How many of each kind are wanted.
    pub fn wanted(&self) -> Vec<u32> {
        self.kinds.iter().map(Kind::count).collect()
    }
    /// The shortest size that holds a weight.
    pub fn size_for(&self, weight: i64) -> Option<usize> {
        self.sizes.iter().position(|s| s.room >= weight)
    }
    /// Weight of what a bin holds.
    pub fn load(&self, kinds: &[usize]) -> i64 {
        kinds.iter().map(|k| self.kinds[*k].weight).sum()
    }
    /// Bins of these contents, each of the shortest size that holds it. Contents must fit the longest.
    pub fn packing(&self, contents: Vec<Vec<usize>>) -> Packing {
        let mut bins = Vec::with_capacity(contents.len());
        let mut cost = 0;
        for mut kinds in contents {
            kinds.sort_unstable();
            let last = self.sizes.len().saturating_sub(1);
            let size = self.size_for(self.load(&kinds)).unwrap_or(last);
            cost += self.sizes[size].cost;
            bins.push(Bin { size, kinds });
        }
        Packing { bins, cost }
    }
    /// The answer in the caller's terms.
    pub fn cutting(&self, packing: Packing, floor: i64) -> Cutting {
        let mut bins = packing.bins;
        bins.sort_by(|a, b| b.size.cmp(&a.size).then_with(|| a.kinds.cmp(&b.kinds)));
        let mut taken = vec![0_usize; self.kinds.len()];
        let mut used = Length::ZERO;
        let boards = bins
            .iter()
            .map(|bin| {
                let feet = self.sizes[bin.size].feet;
                let mut left = Length::feet(feet) - self.end_trim;
                let mut cuts = Vec::with_capacity(bin.kinds.len());
                for (nth, k) in bin.kinds.iter().enumerate() {
                    let kind = &self.kinds[*k];
                    cuts.push(kind.ids[taken[*k]]);
                    taken[*k] += 1;
                    used += kind.length;
                    left -= kind.length;
                    if nth > 0 {
                        left -= self.kerf;
                    }
                }
                let offcut = (left - self.kerf).max(Length::ZERO);
                let source = BoardSource::Bought { length_ft: feet as u32 };
                CutBoard { source, cuts, offcut }
            })
            .collect();
        let feet = bins.iter().map(|b| self.sizes[b.size].feet).sum();
        Cutting {
            boards,
            spare: Vec::new(),
            bought: Length::feet(feet),
            used,
            cost: packing.cost,
            lower_bound_cost: floor,
            lower_bound_length: Length::feet(crate::bound::length(self, floor)),
            lower_bound_boards: crate::bound::boards(self),
        }
    }
}
