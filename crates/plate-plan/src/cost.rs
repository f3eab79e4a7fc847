//! What a cutting costs: the measure every choice of the planner is judged by.

/// Compared field by field, the first difference decides.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Cost {
    /// Pieces longer than the longest board.
    pub too_long: u32,
    /// Joints at a notch, or in a gap of the other layer: what was to lie in one piece there does not.
    pub broken: u32,
    /// Pairs of joints, one in each top layer, nearer than the joint offset; places left bare that are
    /// too small for a plate.
    pub breaches: u32,
    /// Joints of the lower layer over an opening.
    pub over_opening: u32,
    /// Tees tied by a strap where the settings ask for wood.
    pub straps: u32,
    /// Pieces under the short limit.
    pub short: u32,
    /// Sides of openings without room for a trimmer and a king stud: who carries through at a corner makes room, or takes it.
    pub cramped: u32,
    /// Tees tied in another way than the settings ask for.
    pub departs: u32,
    pub pieces: u32,
    /// The cheapest boards that hold the pieces one by one: feet, or money where prices are given.
    pub boards: u64,
    /// Joints off studs.
    pub off_stud: u32,
    /// Pieces that are not a whole board.
    pub cut: u32,
}

impl Cost {
    pub(crate) fn plus(self, o: Cost) -> Cost {
        Cost {
            too_long: self.too_long + o.too_long,
            broken: self.broken + o.broken,
            breaches: self.breaches + o.breaches,
            over_opening: self.over_opening + o.over_opening,
            straps: self.straps + o.straps,
            short: self.short + o.short,
            cramped: self.cramped + o.cramped,
            departs: self.departs + o.departs,
            pieces: self.pieces + o.pieces,
            boards: self.boards + o.boards,
            off_stud: self.off_stud + o.off_stud,
            cut: self.cut + o.cut,
        }
    }
}

impl Cost {
    /// Nothing that a person would have to mend on site.
    pub(crate) fn is_sound(&self) -> bool {
        self.too_long + self.broken + self.breaches + self.over_opening + self.short == 0
    }
}

impl std::iter::Sum for Cost {
    fn sum<I: Iterator<Item = Cost>>(all: I) -> Cost {
        all.fold(Cost::default(), Cost::plus)
    }
}

/// A cost in words that add up and compare quickly: the fields two in a word, in their order. Without `cramped`, which
/// joints have no part in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Packed([u64; 6]);

impl Packed {
    pub(crate) fn plus(self, o: Packed) -> Packed {
        let mut sum = self;
        for (a, b) in sum.0.iter_mut().zip(o.0) {
            *a += b;
        }
        sum
    }
}

impl From<Cost> for Packed {
    fn from(c: Cost) -> Packed {
        let two = |hi: u32, lo: u32| u64::from(hi) << 32 | u64::from(lo);
        Packed([
            two(c.too_long, c.broken),
            two(c.breaches, c.over_opening),
            two(c.straps, c.short),
            two(c.departs, c.pieces),
            c.boards,
            two(c.off_stud, c.cut),
        ])
    }
}

impl From<Packed> for Cost {
    fn from(Packed(words): Packed) -> Cost {
        let two = |word: u64| ((word >> 32) as u32, word as u32);
        let [a, b, c, d, boards, e] = words;
        let ((too_long, broken), (breaches, over_opening)) = (two(a), two(b));
        let ((straps, short), (departs, pieces), (off_stud, cut)) = (two(c), two(d), two(e));
        Cost {
            too_long,
            broken,
            breaches,
            over_opening,
            straps,
            short,
            cramped: 0,
            departs,
            pieces,
            boards,
            off_stud,
            cut,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Cost, Packed};
    use proptest::prelude::*;

    fn any_cost() -> impl Strategy<Value = Cost> {
        // Few values, so that many fields are equal.
        proptest::array::uniform11(0..3_u32).prop_map(|v| Cost {
            too_long: v[0],
            breaches: v[1],
            over_opening: v[2],
            straps: v[3],
            short: v[4],
            cramped: 0,
            departs: v[5],
            pieces: v[6],
            boards: u64::from(v[7]) << 33,
            off_stud: v[8],
            cut: v[9],
            broken: v[10],
        })
    }

    #[test]
    fn one_fault_of_any_kind_is_not_sound() {
        let faults: [fn(&mut Cost) -> &mut u32; 5] = [
            |c| &mut c.too_long,
            |c| &mut c.broken,
            |c| &mut c.breaches,
            |c| &mut c.over_opening,
            |c| &mut c.short,
        ];
        for fault in faults {
            let mut cost = Cost { pieces: 4, straps: 1, ..Cost::default() };
            assert!(cost.is_sound());
            *fault(&mut cost) = 1;
            assert!(!cost.is_sound(), "{cost:?}");
        }
    }

    proptest! {
        #[test]
        fn packed_costs_add_up_and_compare_alike(a in any_cost(), b in any_cost()) {
            let (p, q) = (Packed::from(a), Packed::from(b));
            prop_assert_eq!(Cost::from(p), a);
            prop_assert_eq!(p.cmp(&q), a.cmp(&b));
            prop_assert_eq!(Cost::from(p.plus(q)), a.plus(b));
        }
    }
}
