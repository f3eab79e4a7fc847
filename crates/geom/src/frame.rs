//! Station and offset along a straight line.

use crate::length::nearest;
use crate::{Length, Point};

/// A straight line with a start and a direction. Exact for lines along x or y; on any other line a
/// point is rounded to the nearest nanometre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    origin: Point,
    dir: (f64, f64),
}

impl Frame {
    /// The frame that starts at `from` and looks at `to`; `None` when they are the same point.
    #[inline]
    pub fn between(from: Point, to: Point) -> Option<Frame> {
        let (dx, dy) = ((to.x - from.x).nm() as f64, (to.y - from.y).nm() as f64);
        // Along the sheet the length is the difference itself.
        let len = if dx == 0.0 || dy == 0.0 { dx.abs() + dy.abs() } else { dx.hypot(dy) };
        (len > 0.0).then(|| Frame { origin: from, dir: (dx / len, dy / len) })
    }
    /// The frame at `origin` looking along `dir`, which must be of unit length.
    #[inline]
    pub fn along(origin: Point, dir: (f64, f64)) -> Frame {
        Frame { origin, dir }
    }
    /// Where stations count from.
    #[inline]
    pub fn origin(&self) -> Point {
        self.origin
    }
    /// The unit direction.
    #[inline]
    pub fn dir(&self) -> (f64, f64) {
        self.dir
    }
    /// The point at a station and an offset (left positive).
    #[inline]
    pub fn at(&self, station: Length, offset: Length) -> Point {
        if let Some(quarters) = self.quarters() {
            let (x, y) = match quarters {
                0 => (station, offset),
                1 => (-offset, station),
                2 => (-station, -offset),
                _ => (offset, -station),
            };
            return Point::new(self.origin.x + x, self.origin.y + y);
        }
        let (s, o) = (station.nm() as f64, offset.nm() as f64);
        let (c, n) = self.dir;
        Point::new(
            self.origin.x + Length::from_nm(nearest(s * c - o * n)),
            self.origin.y + Length::from_nm(nearest(s * n + o * c)),
        )
    }
    /// Station and offset of a point.
    #[inline]
    pub fn locate(&self, p: Point) -> (Length, Length) {
        let d = p - self.origin;
        match self.quarters() {
            Some(0) => return (d.x, d.y),
            Some(1) => return (d.y, -d.x),
            Some(2) => return (-d.x, -d.y),
            Some(_) => return (-d.y, d.x),
            None => {}
        }
        let (dx, dy) = (d.x.nm() as f64, d.y.nm() as f64);
        let (c, n) = self.dir;
        (Length::from_nm(nearest(dx * c + dy * n)), Length::from_nm(nearest(dy * c - dx * n)))
    }
    /// Quarter turns from the x axis, for lines along the sheet: nearly all, and done in whole numbers.
    #[inline]
    fn quarters(&self) -> Option<u8> {
        match self.dir {
            (1.0, 0.0) => Some(0),
            (0.0, 1.0) => Some(1),
            (-1.0, 0.0) => Some(2),
            (0.0, -1.0) => Some(3),
            _ => None,
        }
    }
    /// The angle from this direction to the other's, in radians, -π..=π, counter-clockwise
    /// positive.
    pub fn angle_to(&self, o: &Frame) -> f64 {
        let (a, b) = (self.dir, o.dir);
        (a.0 * b.1 - a.1 * b.0).atan2(a.0 * b.0 + a.1 * b.1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn exact_on_the_axes(s in -1_000_000_000_000_i64..1_000_000_000_000, o in -1_000_000_000_i64..1_000_000_000, turn in 0..4) {
            let dir = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)][turn as usize];
            let f = Frame::along(Point::new(Length::from_nm(7), Length::from_nm(-9)), dir);
            let (s, o) = (Length::from_nm(s), Length::from_nm(o));
            prop_assert_eq!(f.locate(f.at(s, o)), (s, o));
        }
        /// The short ways along the sheet are the long way.
        #[test]
        fn along_the_sheet_as_anywhere(x in -1_000_000_000_000_i64..1_000_000_000_000, y in -1_000_000_000_000_i64..1_000_000_000_000, turn in 0..4) {
            let (c, n) = [(1.0, 0.0), (-0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)][turn as usize];
            let f = Frame::along(Point::new(Length::from_nm(7), Length::from_nm(-9)), (c, n));
            let p = Point::new(Length::from_nm(x), Length::from_nm(y));
            let (dx, dy) = ((x - 7) as f64, (y + 9) as f64);
            let (s, o) = ((dx * c + dy * n).round() as i64, (dy * c - dx * n).round() as i64);
            prop_assert_eq!(f.locate(p), (Length::from_nm(s), Length::from_nm(o)));
            prop_assert_eq!(f.at(Length::from_nm(s), Length::from_nm(o)), p);
            prop_assert_eq!(Frame::between(p, f.at(Length::from_nm(s + 1000), Length::from_nm(o))).map(|f| f.dir()), Some((c + 0.0, n)));
        }
        #[test]
        fn within_two_nanometres_anywhere(s in -1_000_000_000_i64..1_000_000_000, o in -1_000_000_000_i64..1_000_000_000, a in 0.0..std::f64::consts::TAU) {
            let f = Frame::along(Point::default(), (a.cos(), a.sin()));
            let (s, o) = (Length::from_nm(s), Length::from_nm(o));
            let (s2, o2) = f.locate(f.at(s, o));
            prop_assert!((s2 - s).abs().nm() <= 2 && (o2 - o).abs().nm() <= 2);
        }
    }
}
