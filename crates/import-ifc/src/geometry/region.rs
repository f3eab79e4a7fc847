//! Parts of space put together by boolean operations, and the heights between which they lie over a
//! plan point.

use super::Shapes;
use super::affine::Affine;
use super::removal::Removal;
use crate::file::Why;

/// From which height to which; a list of them is sorted and its members do not touch.
pub type Heights = Vec<(f64, f64)>;

/// A part of space.
#[derive(Clone, Debug)]
pub enum Region {
    /// One solid or half space.
    Plain(Removal),
    /// What both have.
    Both(Box<Region>, Box<Region>),
    /// What either has.
    Either(Box<Region>, Box<Region>),
    /// What the first has and the second has not.
    Less(Box<Region>, Box<Region>),
    /// Everything else.
    Outside(Box<Region>),
}

impl From<Removal> for Region {
    fn from(part: Removal) -> Region {
        Region::Plain(part)
    }
}

impl Region {
    /// The plain parts it is made of.
    pub fn parts(&self) -> Vec<&Removal> {
        let mut out = Vec::new();
        let mut open = vec![self];
        while let Some(r) = open.pop() {
            match r {
                Region::Plain(part) => out.push(part),
                Region::Both(a, b) | Region::Either(a, b) | Region::Less(a, b) => {
                    open.extend([&**b, &**a]);
                }
                Region::Outside(a) => open.push(a),
            }
        }
        out
    }

    /// The heights at one place, when `of` tells those of each plain part; parts are asked in the order
    /// of [`Region::parts`].
    pub fn heights(&self, of: &mut dyn FnMut(&Removal) -> Heights) -> Heights {
        match self {
            Region::Plain(part) => of(part),
            Region::Both(a, b) => {
                let a = a.heights(of);
                shared(&a, &b.heights(of))
            }
            Region::Either(a, b) => {
                let mut all = a.heights(of);
                all.extend(b.heights(of));
                merged(all)
            }
            Region::Less(a, b) => {
                let a = a.heights(of);
                shared(&a, &outside(&b.heights(of)))
            }
            Region::Outside(a) => outside(&a.heights(of)),
        }
    }
}

/// Sorted, with what touches made one.
pub fn merged(mut ranges: Heights) -> Heights {
    ranges.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut out: Heights = Vec::new();
    for r in ranges {
        match out.last_mut() {
            Some(last) if r.0 <= last.1 => last.1 = last.1.max(r.1),
            _ => out.push(r),
        }
    }
    out
}

/// Everything between and around the ranges.
pub fn outside(ranges: &[(f64, f64)]) -> Heights {
    let mut out = Vec::new();
    let mut from = f64::NEG_INFINITY;
    for r in ranges {
        if from < r.0 {
            out.push((from, r.0));
        }
        from = r.1;
    }
    if from < f64::INFINITY {
        out.push((from, f64::INFINITY));
    }
    out
}

/// What both have.
pub fn shared(a: &[(f64, f64)], b: &[(f64, f64)]) -> Heights {
    let mut out = Vec::new();
    for p in a {
        let both = b.iter().map(|q| (p.0.max(q.0), p.1.min(q.1)));
        out.extend(both.filter(|r| r.0 < r.1));
    }
    out
}

impl Shapes<'_, '_> {
    /// The part of space an operand of a boolean result is.
    pub fn region(&self, id: u64, map: &Affine, depth: usize) -> Result<Region, Why> {
        self.enter("", id, depth)?;
        self.spend(1)?;
        let r = self.file.get(id)?;
        if r.is("IFCCSGSOLID") {
            return self.region(self.file.follow(&r, 0)?.id, map, depth + 1);
        }
        if !(r.is("IFCBOOLEANRESULT") || r.is("IFCBOOLEANCLIPPINGRESULT")) {
            return Ok(self.removal(id, map)?.into());
        }
        let [operator, first, second] = r.take();
        let operands = first.reference().zip(second.reference());
        let (first, second) =
            operands.ok_or_else(|| format!("boolean result #{id} lacks an operand"))?;
        let a = Box::new(self.region(first, map, depth + 1)?);
        let b = Box::new(self.region(second, map, depth + 1)?);
        match operator.name() {
            Some(b"UNION") => Ok(Region::Either(a, b)),
            Some(b"DIFFERENCE") => Ok(Region::Less(a, b)),
            Some(b"INTERSECTION") => Ok(Region::Both(a, b)),
            _ => Err(format!("boolean result #{id} has no operator")),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn has(ranges: &[(f64, f64)], z: f64) -> bool {
        ranges.iter().any(|r| r.0 < z && z < r.1)
    }

    proptest! {
        /// Heights of whole numbers, asked halfway between them.
        #[test]
        fn sets_of_heights(a in prop::collection::vec((0..20_i32, 1..6_i32), 0..5), b in prop::collection::vec((0..20_i32, 1..6_i32), 0..5)) {
            let list = |v: &[(i32, i32)]| merged(v.iter().map(|(z, h)| (f64::from(*z), f64::from(z + h))).collect());
            let (a, b) = (list(&a), list(&b));
            for n in -1..30 {
                let z = f64::from(n) + 0.5;
                prop_assert_eq!(has(&shared(&a, &b), z), has(&a, z) && has(&b, z));
                prop_assert_eq!(has(&outside(&a), z), !has(&a, z));
                let both = merged(a.iter().chain(&b).copied().collect());
                prop_assert_eq!(has(&both, z), has(&a, z) || has(&b, z));
            }
        }
    }
}
