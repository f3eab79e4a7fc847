//! The integer length and the units drawings come in.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

const NM_PER_INCH: i64 = 25_400_000;
const NM_PER_MM: i64 = 1_000_000;

/// A length in whole nanometres. Range ±9.2e6 km; drawings are limited to ±100 km before they get
/// here, so sums and doubles never overflow.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Length(i64);

/// The nearest whole number, halves away from zero: `x.round() as i64`, but for the call of a library that
/// processors without their own rounding make of it.
#[inline]
pub(crate) fn nearest(x: f64) -> i64 {
    let whole = x as i64;
    // Exact: a number with a fraction is small beside the 53 bits of its like.
    let rest = x - whole as f64;
    whole.saturating_add(i64::from(rest >= 0.5) - i64::from(rest <= -0.5))
}

impl Length {
    /// No length.
    pub const ZERO: Length = Length(0);
    /// One sixteenth of an inch, the finest mark on a framer's tape.
    pub const SIXTEENTH: Length = Length(NM_PER_INCH / 16);

    /// From whole nanometres.
    #[inline]
    pub const fn from_nm(nm: i64) -> Length {
        Length(nm)
    }
    /// Whole nanometres.
    #[inline]
    pub const fn nm(self) -> i64 {
        self.0
    }
    /// Whole inches.
    #[inline]
    pub const fn inches(n: i64) -> Length {
        Length(n * NM_PER_INCH)
    }
    /// Whole feet.
    pub const fn feet(n: i64) -> Length {
        Length(n * 12 * NM_PER_INCH)
    }
    /// Sixteenths of an inch.
    #[inline]
    pub const fn sixteenths(n: i64) -> Length {
        Length(n * (NM_PER_INCH / 16))
    }
    /// Sixty-fourths of an inch.
    #[inline]
    pub const fn sixty_fourths(n: i64) -> Length {
        Length(n * (NM_PER_INCH / 64))
    }
    /// Whole millimetres.
    pub const fn mm(n: i64) -> Length {
        Length(n * NM_PER_MM)
    }
    /// From inches, to the nearest nanometre. `None` for NaN, infinities and anything beyond
    /// ±4e9 in (about 100 000 km).
    pub fn from_inches(inches: f64) -> Option<Length> {
        (inches.is_finite() && inches.abs() < 4e9)
            .then(|| Length(nearest(inches * NM_PER_INCH as f64)))
    }
    /// From millimetres, to the nearest nanometre; `None` as for [`Length::from_inches`].
    pub fn from_mm(mm: f64) -> Option<Length> {
        (mm.is_finite() && mm.abs() < 1e11).then(|| Length(nearest(mm * NM_PER_MM as f64)))
    }
    /// Decimal inches. Exact for multiples of 1/64 in.
    #[inline]
    pub fn to_inches(self) -> f64 {
        self.0 as f64 / NM_PER_INCH as f64
    }
    /// Decimal millimetres.
    pub fn to_mm(self) -> f64 {
        self.0 as f64 / NM_PER_MM as f64
    }
    /// Absolute value.
    #[inline]
    pub const fn abs(self) -> Length {
        Length(self.0.abs())
    }
    /// The nearest multiple of `grid` (half rounds away from zero). `grid` must be positive.
    #[inline]
    pub fn round_to(self, grid: Length) -> Length {
        let half = if self.0 < 0 { -grid.0 / 2 } else { grid.0 / 2 };
        Length((self.0 + half) / grid.0 * grid.0)
    }
    /// The largest multiple of `grid` not above `self`.
    pub fn floor_to(self, grid: Length) -> Length {
        Length(self.0.div_euclid(grid.0) * grid.0)
    }
    /// The smallest multiple of `grid` not below `self`.
    pub fn ceil_to(self, grid: Length) -> Length {
        Length(-((-self.0).div_euclid(grid.0)) * grid.0)
    }
    /// `self * factor`, rounded to the nearest nanometre.
    #[inline]
    pub fn scale(self, factor: f64) -> Length {
        Length(nearest(self.0 as f64 * factor))
    }
    /// Half, towards zero by at most half a nanometre.
    #[inline]
    pub const fn half(self) -> Length {
        Length(self.0 / 2)
    }
    /// Removes the noise that decimal text and unit conversion leave: the nearest multiple of
    /// 1/64 in or of 0.5 mm, when one lies within 10 µm (0.0004 in); else `self`.
    #[inline]
    pub fn denoise(self) -> Length {
        const NOISE: i64 = 10_000;
        let inch = self.round_to(Length::sixty_fourths(1));
        let metric = self.round_to(Length(NM_PER_MM / 2));
        let (di, dm) = ((self.0 - inch.0).abs(), (self.0 - metric.0).abs());
        if di <= NOISE && di <= dm {
            inch
        } else if dm <= NOISE {
            metric
        } else {
            self
        }
    }
}

impl fmt::Debug for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}in", self.to_inches())
    }
}
impl Add for Length {
    type Output = Length;
    #[inline]
    fn add(self, o: Length) -> Length {
        Length(self.0 + o.0)
    }
}
impl Sub for Length {
    type Output = Length;
    #[inline]
    fn sub(self, o: Length) -> Length {
        Length(self.0 - o.0)
    }
}
impl Neg for Length {
    type Output = Length;
    #[inline]
    fn neg(self) -> Length {
        Length(-self.0)
    }
}
impl Mul<i64> for Length {
    type Output = Length;
    #[inline]
    fn mul(self, k: i64) -> Length {
        Length(self.0 * k)
    }
}
impl Div<i64> for Length {
    type Output = Length;
    #[inline]
    fn div(self, k: i64) -> Length {
        Length(self.0 / k)
    }
}
impl AddAssign for Length {
    #[inline]
    fn add_assign(&mut self, o: Length) {
        self.0 += o.0;
    }
}
impl SubAssign for Length {
    #[inline]
    fn sub_assign(&mut self, o: Length) {
        self.0 -= o.0;
    }
}
impl Sum for Length {
    fn sum<I: Iterator<Item = Length>>(iter: I) -> Length {
        iter.fold(Length::ZERO, Add::add)
    }
}

/// The units a drawing may be told to be in (`units` in settings).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Inches.
    Inch,
    /// International feet.
    Foot,
    /// Millimetres.
    Millimetre,
    /// Centimetres.
    Centimetre,
    /// Metres.
    Metre,
}

impl Unit {
    /// Every unit, in the order messages list them.
    pub const ALL: [Unit; 5] =
        [Unit::Inch, Unit::Foot, Unit::Millimetre, Unit::Centimetre, Unit::Metre];
    /// The word used in settings and outputs: `in` `ft` `mm` `cm` `m`.
    pub const fn name(self) -> &'static str {
        match self {
            Unit::Inch => "in",
            Unit::Foot => "ft",
            Unit::Millimetre => "mm",
            Unit::Centimetre => "cm",
            Unit::Metre => "m",
        }
    }
    /// The unit of that name, if there is one.
    pub fn from_name(name: &str) -> Option<Unit> {
        Unit::ALL.into_iter().find(|u| u.name() == name)
    }
    /// Inches in one of the unit.
    #[inline]
    pub const fn inches(self) -> f64 {
        match self {
            Unit::Inch => 1.0,
            Unit::Foot => 12.0,
            Unit::Millimetre => 1.0 / 25.4,
            Unit::Centimetre => 1.0 / 2.54,
            Unit::Metre => 1000.0 / 25.4,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn inch_and_millimetre_grids_are_both_whole() {
        assert_eq!(Length::inches(5), Length::mm(127));
        assert_eq!(Length::sixty_fourths(64), Length::inches(1));
        assert_eq!(Length::sixteenths(1).nm(), 1_587_500);
    }

    #[test]
    fn refuses_what_is_not_a_length() {
        for bad in [f64::NAN, f64::INFINITY, 1e300, -1e12] {
            assert_eq!(Length::from_inches(bad), None, "{bad}");
        }
    }

    #[test]
    fn denoise_takes_the_nearer_grid_and_leaves_real_sizes() {
        assert_eq!(Length::from_inches(143.9999999).unwrap().denoise(), Length::inches(144));
        assert_eq!(Length::from_mm(3456.000001).unwrap().denoise(), Length::mm(3456));
        let odd = Length::from_mm(3456.2).unwrap();
        assert_eq!(odd.denoise(), odd);
    }

    proptest! {
        #[test]
        fn inches_round_trip(n in -100_000_000_i64..100_000_000) {
            let l = Length::sixty_fourths(n);
            prop_assert_eq!(Length::from_inches(l.to_inches()), Some(l));
        }
        #[test]
        fn millimetres_round_trip(n in -100_000_000_i64..100_000_000) {
            prop_assert_eq!(Length::from_mm(n as f64), Some(Length::mm(n)));
        }
        #[test]
        fn nearest_is_round(x in prop_oneof![any::<f64>(), -1e6..1e6_f64, (-2000_i64..2000).prop_map(|n| n as f64 / 4.0)]) {
            for x in [x, x.next_up(), x.next_down()] {
                prop_assert_eq!(nearest(x), x.round() as i64);
            }
        }
        #[test]
        fn rounding_brackets(nm in -1_000_000_000_000_i64..1_000_000_000_000, g in 1_i64..5_000_000) {
            let (l, g) = (Length::from_nm(nm), Length::from_nm(g));
            prop_assert!(l.floor_to(g) <= l && l <= l.ceil_to(g));
            prop_assert!((l.round_to(g) - l).abs() * 2 <= g);
            prop_assert!(l.ceil_to(g) - l.floor_to(g) <= g);
        }
    }
}
