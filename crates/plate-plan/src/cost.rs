//! What a cutting costs: the measure every choice of the planner is judged by.

/// Compared field by field, the first difference decides.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Cost {
    /// Pieces longer than the longest board.
    pub too_long: u32,
    /// Pairs of joints, one in each top layer, nearer than the joint offset; joints at a notch; wedges
    /// left bare between walls that stand close.
    pub breaches: u32,
    /// Joints of the lower layer over an opening.
    pub over_opening: u32,
    /// Tees tied by a strap where the settings ask for wood.
    pub straps: u32,
    /// Pieces under the short limit.
    pub short: u32,
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
            breaches: self.breaches + o.breaches,
            over_opening: self.over_opening + o.over_opening,
            straps: self.straps + o.straps,
            short: self.short + o.short,
            departs: self.departs + o.departs,
            pieces: self.pieces + o.pieces,
            boards: self.boards + o.boards,
            off_stud: self.off_stud + o.off_stud,
            cut: self.cut + o.cut,
        }
    }
}

impl std::iter::Sum for Cost {
    fn sum<I: Iterator<Item = Cost>>(all: I) -> Cost {
        all.fold(Cost::default(), Cost::plus)
    }
}
