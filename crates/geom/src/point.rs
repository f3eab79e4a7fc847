//! Points in the plan, after the drawing's origin is taken off.

use crate::Length;
use crate::length::nearest;
use std::ops::{Add, Sub};

/// A place in plan: x to the right, y up, from the plan's own origin.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Point {
    /// To the right.
    pub x: Length,
    /// Up the sheet.
    pub y: Length,
}

impl Point {
    /// A point from its coordinates.
    #[inline]
    pub const fn new(x: Length, y: Length) -> Point {
        Point { x, y }
    }
    /// Distance between two points, to the nearest nanometre; exact when they share x or y.
    #[inline]
    pub fn distance(self, o: Point) -> Length {
        let d = o - self;
        if d.x == Length::ZERO {
            d.y.abs()
        } else if d.y == Length::ZERO {
            d.x.abs()
        } else {
            Length::from_nm(nearest((d.x.nm() as f64).hypot(d.y.nm() as f64)))
        }
    }
}

impl Add for Point {
    type Output = Point;
    #[inline]
    fn add(self, o: Point) -> Point {
        Point::new(self.x + o.x, self.y + o.y)
    }
}
impl Sub for Point {
    type Output = Point;
    #[inline]
    fn sub(self, o: Point) -> Point {
        Point::new(self.x - o.x, self.y - o.y)
    }
}

/// Twice-exact polygon area by the shoelace sum in 128-bit integers, in nm², positive when the
/// points run counter-clockwise. Fewer than three points give 0.
pub fn polygon_area_nm2(points: &[Point]) -> i128 {
    let mut twice = 0_i128;
    for (i, a) in points.iter().enumerate() {
        let b = points[(i + 1) % points.len()];
        twice += a.x.nm() as i128 * b.y.nm() as i128 - b.x.nm() as i128 * a.y.nm() as i128;
    }
    twice / 2
}
