//! Affine maps of space in double precision.

/// A point or a vector.
pub type Vec3 = [f64; 3];

/// `a + b`.
pub fn add(a: Vec3, b: Vec3) -> Vec3 {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}
/// `a - b`.
pub fn sub(a: Vec3, b: Vec3) -> Vec3 {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}
/// `a * k`.
pub fn scale(a: Vec3, k: f64) -> Vec3 {
    [a[0] * k, a[1] * k, a[2] * k]
}
/// Dot product.
pub fn dot(a: Vec3, b: Vec3) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
/// Cross product.
pub fn cross(a: Vec3, b: Vec3) -> Vec3 {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}
/// Length.
pub fn norm(a: Vec3) -> f64 {
    match a {
        // Most are along an axis.
        [n, 0.0, 0.0] | [0.0, n, 0.0] | [0.0, 0.0, n] => n.abs(),
        [x, y, z] => x.hypot(y).hypot(z),
    }
}
/// Unit vector; `None` for a vector too short to have a direction.
pub fn unit(a: Vec3) -> Option<Vec3> {
    let n = norm(a);
    (n.is_finite() && n > 1e-12).then(|| scale(a, 1.0 / n))
}

/// `p -> x p.x + y p.y + z p.z + origin`. The axes need not be of unit length or right-handed:
/// mirrored and scaled copies are maps too.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Affine {
    /// Image of the x axis.
    pub x: Vec3,
    /// Image of the y axis.
    pub y: Vec3,
    /// Image of the z axis.
    pub z: Vec3,
    /// Image of the origin.
    pub origin: Vec3,
}

impl Affine {
    /// The map that changes nothing.
    pub const IDENTITY: Affine = Affine {
        x: [1.0, 0.0, 0.0],
        y: [0.0, 1.0, 0.0],
        z: [0.0, 0.0, 1.0],
        origin: [0.0, 0.0, 0.0],
    };

    /// The placement at `origin` with its z along `axis` and its x as near `toward` as it can be
    /// (IfcBuildAxes). Missing or degenerate directions take the standard's defaults.
    pub fn placement(origin: Vec3, axis: Option<Vec3>, toward: Option<Vec3>) -> Affine {
        let z = axis.and_then(unit).unwrap_or([0.0, 0.0, 1.0]);
        let x = first_axis(z, toward);
        Affine { x, y: cross(z, x), z, origin }
    }

    /// A map from its axes as a transformation operator gives them (IfcBaseAxis): y may point either
    /// way, so the map may mirror. `scales` stretch the axes.
    pub fn operator(origin: Vec3, axes: [Option<Vec3>; 3], scales: Vec3) -> Affine {
        let z = axes[2].and_then(unit).unwrap_or([0.0, 0.0, 1.0]);
        let x = first_axis(z, axes[0]);
        let straight = cross(z, x);
        let mirrored = axes[1].is_some_and(|v| dot(v, straight) < 0.0);
        let y = if mirrored { scale(straight, -1.0) } else { straight };
        Affine { x: scale(x, scales[0]), y: scale(y, scales[1]), z: scale(z, scales[2]), origin }
    }

    /// A point's image.
    pub fn point(&self, p: Vec3) -> Vec3 {
        add(self.vector(p), self.origin)
    }
    /// A vector's image.
    pub fn vector(&self, v: Vec3) -> Vec3 {
        add(add(scale(self.x, v[0]), scale(self.y, v[1])), scale(self.z, v[2]))
    }
    /// First `inner`, then `self`.
    pub fn after(&self, inner: &Affine) -> Affine {
        Affine {
            x: self.vector(inner.x),
            y: self.vector(inner.y),
            z: self.vector(inner.z),
            origin: self.point(inner.origin),
        }
    }
}

/// The unit vector square to `z` nearest to `toward`, or to x (to y where z is x itself).
fn first_axis(z: Vec3, toward: Option<Vec3>) -> Vec3 {
    let flatten = |v: Vec3| {
        let v = unit(v)?;
        let flat = sub(v, scale(z, dot(v, z)));
        // What is left of a nearly parallel vector is rounding noise, no direction.
        if norm(flat) > 1e-6 { unit(flat) } else { None }
    };
    let tries = [toward.unwrap_or([1.0, 0.0, 0.0]), [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]];
    tries.into_iter().find_map(flatten).unwrap_or([1.0, 0.0, 0.0])
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn quarter_turn_is_exact() {
        let a = Affine::placement([10.0, 5.0, 0.0], None, Some([0.0, 1.0, 0.0]));
        assert_eq!(a.point([3.0, 1.0, 2.0]), [9.0, 8.0, 2.0]);
    }

    #[test]
    fn upside_down_placement_turns_y_over() {
        let a = Affine::placement([0.0; 3], Some([0.0, 0.0, -1.0]), Some([1.0, 0.0, 0.0]));
        assert_eq!(a.point([1.0, 1.0, 1.0]), [1.0, -1.0, -1.0]);
    }

    #[test]
    fn operator_mirrors_where_y_says_so() {
        let m = Affine::operator([0.0; 3], [None, Some([0.0, -1.0, 0.0]), None], [1.0; 3]);
        assert_eq!(m.point([1.0, 2.0, 3.0]), [1.0, -2.0, 3.0]);
    }

    proptest! {
        #[test]
        fn any_directions_make_a_right_handed_frame(a in any::<[f64; 3]>(), r in any::<[f64; 3]>()) {
            let p = Affine::placement([0.0; 3], Some(a), Some(r));
            for v in [p.x, p.y, p.z] {
                prop_assert!((norm(v) - 1.0).abs() < 1e-9);
            }
            prop_assert!((dot(cross(p.x, p.y), p.z) - 1.0).abs() < 1e-9);
        }
        #[test]
        fn after_is_composition(p in prop::array::uniform3(-100.0..100.0), o in prop::array::uniform3(-100.0..100.0), d in prop::array::uniform3(-1.0..1.0)) {
            let a = Affine::placement(o, None, Some(d));
            let b = Affine::operator(d, [Some(o), Some(d), None], [2.0, 1.0, 0.5]);
            let (one, two) = (a.after(&b).point(p), a.point(b.point(p)));
            prop_assert!(norm(sub(one, two)) < 1e-6);
        }
    }
}
