//! Plane affine maps, and how an entity's own plane lies in the drawing.
//!
//! Knows: composing and applying maps, the arbitrary axis algorithm. Never touches: entities, units.

/// A point or vector in drawing units.
pub(crate) type Xy = [f64; 2];

/// `a - b`.
pub(crate) fn sub(a: Xy, b: Xy) -> Xy {
    [a[0] - b[0], a[1] - b[1]]
}
/// Scalar product.
pub(crate) fn dot(a: Xy, b: Xy) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}
/// Length of the cross product, positive when `b` is to the left of `a`.
pub(crate) fn cross(a: Xy, b: Xy) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}
/// Length.
pub(crate) fn norm(a: Xy) -> f64 {
    a[0].hypot(a[1])
}

/// A length in whole 64ths of an inch, to be added up without rounding: a million of any length a damaged drawing
/// may hold.
pub(crate) fn sixty_fourths(inches: f64) -> i64 {
    const MOST: f64 = 1e12;
    (inches * 64.0).round().min(MOST) as i64
}
/// The middle one, the upper of two; 0 of none.
pub(crate) fn median(mut values: Vec<f64>) -> f64 {
    let half = values.len() / 2;
    if values.is_empty() {
        return 0.0;
    }
    *values.select_nth_unstable_by(half, f64::total_cmp).1
}

/// `p -> M p + t`, where the columns of M are the images of the axes. Any such map: shear and mirror
/// too, since blocks are scaled unequally inside turned blocks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Affine {
    /// Image of the x axis.
    pub x: Xy,
    /// Image of the y axis.
    pub y: Xy,
    /// Image of the origin.
    pub t: Xy,
}

impl Affine {
    /// Leaves everything where it is.
    pub const IDENTITY: Affine = Affine { x: [1.0, 0.0], y: [0.0, 1.0], t: [0.0, 0.0] };

    /// A shift.
    pub fn shift(t: Xy) -> Affine {
        Affine { t, ..Affine::IDENTITY }
    }
    /// A scaling along the axes.
    pub fn scale(sx: f64, sy: f64) -> Affine {
        Affine { x: [sx, 0.0], y: [0.0, sy], t: [0.0, 0.0] }
    }
    /// A turn, counter-clockwise. Quarter turns are exact, so that walls stay square.
    pub fn turn_degrees(degrees: f64) -> Affine {
        let (s, c) = exact_sin_cos(degrees);
        Affine { x: [c, s], y: [-s, c], t: [0.0, 0.0] }
    }
    /// Image of a point.
    pub fn point(&self, p: Xy) -> Xy {
        let v = self.vector(p);
        [v[0] + self.t[0], v[1] + self.t[1]]
    }
    /// Image of a direction.
    pub fn vector(&self, v: Xy) -> Xy {
        [self.x[0] * v[0] + self.y[0] * v[1], self.x[1] * v[0] + self.y[1] * v[1]]
    }
    /// First `inner`, then `self`.
    pub fn after(&self, inner: &Affine) -> Affine {
        Affine { x: self.vector(inner.x), y: self.vector(inner.y), t: self.point(inner.t) }
    }
    /// How much the distance between two parallel lines of this direction grows.
    pub fn width_factor(&self, dir: Xy) -> f64 {
        let stretched = norm(self.vector(dir));
        let plain = norm(dir);
        if stretched > 0.0 && plain > 0.0 {
            cross(self.x, self.y).abs() * plain / stretched
        } else {
            0.0
        }
    }
}

/// Sine and cosine of an angle in degrees, exact at multiples of 90.
pub(crate) fn exact_sin_cos(degrees: f64) -> (f64, f64) {
    // Most of what can be turned is not.
    if degrees == 0.0 {
        return (0.0, 1.0);
    }
    let quarter = (degrees / 90.0).round();
    if (degrees - quarter * 90.0).abs() < 1e-9 {
        return match quarter.rem_euclid(4.0) as u8 {
            0 => (0.0, 1.0),
            1 => (1.0, 0.0),
            2 => (0.0, -1.0),
            _ => (-1.0, 0.0),
        };
    }
    degrees.to_radians().sin_cos()
}

/// How an entity's plane is seen from above.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Plane {
    /// Level: plan coordinates by this map.
    Level(Affine),
    /// Tilted or upright: no part of a plan.
    Tilted,
}

/// Normals this near to vertical are vertical: programs write -1.0000000000002.
const LEVEL: f64 = 1e-4;

/// The plane of an entity whose extrusion direction (210, 220, 230) is `n`, by the arbitrary axis
/// algorithm (Autodesk DXF reference, "Arbitrary axis algorithm"; FACTS 8.2). A direction that is no
/// direction at all is taken as the default, straight up.
pub(crate) fn plane(n: [f64; 3]) -> Plane {
    // Nearly all, and whoever says nothing of it.
    if n == [0.0, 0.0, 1.0] {
        return Plane::Level(Affine::IDENTITY);
    }
    let len = (n[0] * n[0] + n[1] * n[1] + n[2] * n[2]).sqrt();
    if !len.is_finite() || len < 1e-12 {
        return Plane::Level(Affine::IDENTITY);
    }
    let n = n.map(|v| v / len);
    if n[0].abs() > LEVEL || n[1].abs() > LEVEL {
        return Plane::Tilted;
    }
    // The world's y axis crossed with N gives the entity's x axis; N crossed with that its y axis.
    let up = n[2].signum();
    Plane::Level(Affine { x: [up, 0.0], y: [0.0, 1.0], t: [0.0, 0.0] })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_of_any_size_add_up() {
        assert_eq!(sixty_fourths(1.5), 96);
        let sum: i64 = (0..1000).map(|_| sixty_fourths(1e300)).sum();
        assert!(sum > 0 && sixty_fourths(f64::INFINITY) > 0);
    }

    #[test]
    fn composition_is_in_order() {
        let a = Affine::shift([10.0, 0.0]).after(&Affine::turn_degrees(90.0));
        assert_eq!(a.point([1.0, 0.0]), [10.0, 1.0]);
        let b = Affine::scale(2.0, 3.0).after(&a);
        assert_eq!(b.point([1.0, 0.0]), [20.0, 3.0]);
    }

    #[test]
    fn quarter_turns_are_exact() {
        for k in -8..8 {
            let (s, c) = exact_sin_cos(f64::from(k) * 90.0);
            assert_eq!(s.abs() + c.abs(), 1.0);
        }
    }

    #[test]
    fn widths_under_unequal_scaling() {
        // Lines along x, y scaled by 3: their distance triples.
        let m = Affine::scale(2.0, 3.0);
        assert_eq!(m.width_factor([1.0, 0.0]), 3.0);
        assert_eq!(m.width_factor([0.0, 5.0]), 2.0);
        assert_eq!(Affine::scale(-1.0, 1.0).width_factor([1.0, 1.0]), 1.0);
    }

    /// FACTS 8.2: for N = (0,0,-1), Ax = Wy x N = (-1,0,0) and Ay = N x Ax = (0,1,0).
    #[test]
    fn downward_extrusion_mirrors_x() {
        let Plane::Level(m) = plane([0.0, 0.0, -1.000_000_000_000_2]) else { panic!("tilted") };
        assert_eq!(m.point([3.0, 4.0]), [-3.0, 4.0]);
        assert_eq!(plane([0.0, 0.0, 5.0]), Plane::Level(Affine::IDENTITY));
        assert_eq!(plane([0.0; 3]), Plane::Level(Affine::IDENTITY));
        assert_eq!(plane([f64::NAN; 3]), Plane::Level(Affine::IDENTITY));
        assert_eq!(plane([0.0, -1.0, 0.0]), Plane::Tilted);
        assert_eq!(plane([1e-9, 0.0, 1.0]), Plane::Level(Affine::IDENTITY));
    }
}
