//! A steady rise: between what is measured level and what is measured along the slope.

use crate::Length;

/// Rises `rise` over a level distance of `run`; falls where `rise` is negative.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Slope {
    rise: Length,
    run: Length,
}

impl Slope {
    /// `None` where it does not rise or has no run.
    pub fn new(rise: Length, run: Length) -> Option<Slope> {
        (rise != Length::ZERO && run > Length::ZERO).then_some(Slope { rise, run })
    }
    /// Rise for each unit of level distance: the tangent of its angle.
    pub fn ratio(self) -> f64 {
        self.rise.nm() as f64 / self.run.nm() as f64
    }
    /// Length along the slope for each unit of level distance. A square root is the same on every machine,
    /// a hypotenuse need not be.
    fn secant(self) -> f64 {
        (1.0 + self.ratio() * self.ratio()).sqrt()
    }
    /// Sine and cosine of its angle with the level; the sine is less than zero where it falls.
    pub fn sin_cos(self) -> (f64, f64) {
        (self.ratio() / self.secant(), 1.0 / self.secant())
    }
    /// Angle with the level, degrees, never negative.
    pub fn degrees(self) -> f64 {
        self.ratio().abs().atan().to_degrees()
    }
    /// How far it rises over a level distance.
    pub fn rise_over(self, level: Length) -> Length {
        level.scale(self.ratio())
    }
    /// A level distance, measured along the slope.
    pub fn along(self, level: Length) -> Length {
        level.scale(self.secant())
    }
    /// The level distance below a distance along the slope.
    pub fn level(self, along: Length) -> Length {
        along.scale(1.0 / self.secant())
    }
    /// Depth, measured plumb, of a board of this thickness that lies on the slope.
    pub fn plumb(self, thickness: Length) -> Length {
        self.along(thickness)
    }
    /// How much farther a plumb cut reaches along the slope on one face of a board than on the other.
    pub fn overhang(self, thickness: Length) -> Length {
        thickness.scale(self.ratio().abs())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The 3-4-5 triangle: 9 in 12 is 15 along the slope for 12 level.
    #[test]
    fn nine_in_twelve_is_three_four_five() {
        let s = Slope::new(Length::inches(9), Length::inches(12)).unwrap();
        assert_eq!(s.along(Length::inches(120)), Length::inches(150));
        assert_eq!(s.level(Length::inches(150)), Length::inches(120));
        assert_eq!(s.rise_over(Length::inches(40)), Length::inches(30));
        assert_eq!(s.plumb(Length::sixteenths(24)), Length::sixteenths(30));
        assert_eq!(s.overhang(Length::sixteenths(24)), Length::sixteenths(18));
        assert!((s.degrees() - 36.869_897_645_844_02).abs() < 1e-12);
    }

    /// The table on every framing square: length of a common rafter for each foot of run, in hundredths of an
    /// inch, 2 in 12 to 12 in 12 (from memory).
    #[test]
    fn the_framing_square_table() {
        let per_foot = [12.17, 12.37, 12.65, 13.0, 13.42, 13.89, 14.42, 15.0, 15.62, 16.28, 16.97];
        for (rise, length) in (2..).zip(per_foot) {
            let s = Slope::new(Length::inches(rise), Length::inches(12)).unwrap();
            let along = s.along(Length::inches(12)).to_inches();
            assert!((along - length).abs() <= 0.005, "{rise} in 12: {along}");
        }
    }

    #[test]
    fn falling_is_measured_like_rising() {
        let s = Slope::new(-Length::inches(9), Length::inches(12)).unwrap();
        assert_eq!(s.along(Length::inches(12)), Length::inches(15));
        assert_eq!(s.rise_over(Length::inches(12)), -Length::inches(9));
        assert_eq!(s.overhang(Length::inches(4)), Length::inches(3));
        assert_eq!(Slope::new(Length::ZERO, Length::inches(12)), None);
        assert_eq!(Slope::new(Length::inches(1), Length::ZERO), None);
    }
}
