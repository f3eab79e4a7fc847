//! Arcs, circles, ellipses, splines and filled outlines: from tags to linework.
//!
//! Knows: the group codes of ARC, CIRCLE, ELLIPSE, SPLINE, SOLID, TRACE and 3DFACE. Never touches: what is
//! made of them; all but ARC are no wall lines by themselves (see [`Kind::is_line`]).
//!
//! Group codes: Autodesk DXF reference, "ENTITIES section". ARC, CIRCLE, SOLID and TRACE lie in their own
//! plane, the others in the world's.

use crate::affine::{Affine, Plane, Xy, cross, dot, norm, plane, sub};
use crate::entity::{After, Common, EntityReader, Field};
use crate::linework::{Arc, Kind, Linework, mark};
use crate::spline::Spline;
use crate::tag::{Tag, Tags};

/// How far a curve may be off a line or a circle to be one, as a share of its size: rounding.
const PLAIN: f64 = 1e-6;

impl<'a, R: Tags<'a>> EntityReader<'a, R> {
    pub fn circle(&mut self, head: Tag<'a>, mut c: Common<'a>, out: &mut Linework) -> After<'a> {
        let ([x, y, radius], after) = self.numbers(&mut c, [10, 20, 40], [f64::NAN; 3]);
        if self.settled(head, &c, &after, out) {
            return after;
        }
        self.begin(head, &c, Kind::Circle, 0.0, out);
        if let Plane::Level(m) = plane(c.normal) {
            out.push_arc(Arc::of_circle([x, y], radius, 0.0, 360.0).mapped(&m));
        }
        after
    }

    pub fn arc(&mut self, head: Tag<'a>, mut c: Common<'a>, out: &mut Linework) -> After<'a> {
        let absent = [f64::NAN, f64::NAN, f64::NAN, 0.0, 360.0];
        let ([x, y, radius, start, end], after) =
            self.numbers(&mut c, [10, 20, 40, 50, 51], absent);
        if self.settled(head, &c, &after, out) {
            return after;
        }
        self.begin(head, &c, Kind::Arc, 0.0, out);
        if let Plane::Level(m) = plane(c.normal) {
            out.push_arc(Arc::of_circle([x, y], radius, start, end).mapped(&m));
        }
        after
    }

    pub fn ellipse(&mut self, head: Tag<'a>, mut c: Common<'a>, out: &mut Linework) -> After<'a> {
        let absent = [f64::NAN, f64::NAN, f64::NAN, f64::NAN, 1.0, 0.0, std::f64::consts::TAU];
        let ([x, y, u, v, ratio, start, end], after) =
            self.numbers(&mut c, [10, 20, 11, 21, 40, 41, 42], absent);
        if self.settled(head, &c, &after, out) {
            return after;
        }
        self.begin(head, &c, Kind::Ellipse, 0.0, out);
        if let Plane::Level(m) = plane(c.normal) {
            // The minor axis is the normal crossed with the major one.
            let minor = [-v * ratio * m.x[0], u * ratio * m.x[0]];
            let arc = Arc::of_ellipse([x, y], [u, v], minor, start, end);
            out.push_arc(arc);
            let whole = arc.sweep.abs() > std::f64::consts::TAU - 1e-9;
            if (ratio.abs() - 1.0).abs() <= PLAIN && !whole {
                out.mark_last(mark::PLAIN);
            }
        }
        after
    }

    pub fn spline(&mut self, head: Tag<'a>, mut c: Common<'a>, out: &mut Linework) -> After<'a> {
        let mut s = Spline::default();
        let after = loop {
            let t = match self.field(&mut c) {
                Field::Tag(t) => t,
                Field::End(after) => break after,
            };
            match t.code {
                70 => s.closed = t.int() & 1 == 1,
                71 => s.degree = t.int().clamp(0, 99) as usize,
                40 => s.knots.push(t.real(self.tags.damage())),
                41 => s.weights.push(t.real(self.tags.damage())),
                10 => s.controls.push([t.real(self.tags.damage()), f64::NAN]),
                11 => s.fits.push([t.real(self.tags.damage()), f64::NAN]),
                12 => s.tangents[0][0] = t.real(self.tags.damage()),
                22 => s.tangents[0][1] = t.real(self.tags.damage()),
                13 => s.tangents[1][0] = t.real(self.tags.damage()),
                23 => s.tangents[1][1] = t.real(self.tags.damage()),
                20 => set_y(&mut s.controls, t.real(self.tags.damage())),
                21 => set_y(&mut s.fits, t.real(self.tags.damage())),
                _ => {}
            }
        };
        if self.settled(head, &c, &after, out) {
            return after;
        }
        self.begin(head, &c, Kind::Spline, 0.0, out);
        // World coordinates: the normal is that of the curve's plane, and only a hint.
        match straight_parts(&s) {
            Some(points) => {
                for pair in points.windows(2) {
                    out.push_segment(pair[0], pair[1], None);
                }
                out.mark_last(mark::PLAIN);
            }
            None => push_spline(&s, &Affine::IDENTITY, out),
        }
        after
    }

    /// SOLID and TRACE in their own plane, 3DFACE in the world's.
    pub fn corners(
        &mut self,
        head: Tag<'a>,
        mut c: Common<'a>,
        kind: Kind,
        out: &mut Linework,
    ) -> After<'a> {
        let mut absent = [f64::NAN; 9];
        absent[8] = 0.0;
        let ([a, b, c1, d, e, f, g, h, hidden], after) =
            self.numbers(&mut c, [10, 20, 11, 21, 12, 22, 13, 23, 70], absent);
        let mut p = [[a, b], [c1, d], [e, f], [g, h]];
        let hidden_edges = hidden as i64;
        if self.settled(head, &c, &after, out) {
            return after;
        }
        let face = kind == Kind::Face;
        if face {
            c.normal = [0.0, 0.0, 1.0];
        }
        self.begin(head, &c, kind, 0.0, out);
        let Plane::Level(m) = plane(c.normal) else { return after };
        // A triangle may lack its fourth corner.
        if p[3].iter().any(|v| v.is_nan()) {
            p[3] = p[2];
        }
        let p = p.map(|q| m.point(q));
        // A SOLID's third and fourth corners are swapped, like a Z.
        let ring = if face { p } else { [p[0], p[1], p[3], p[2]] };
        for (i, from) in ring.iter().enumerate() {
            if !face || hidden_edges & (1 << i) == 0 {
                out.push_segment(*from, ring[(i + 1) % 4], None);
            }
        }
        if !face {
            out.mark_last(mark::FILLED);
        }
        after
    }
}

/// The corners of a spline that draws straight lines: one of degree 1, or one whose points all lie on a line, in the
/// order of the line.
fn straight_parts(s: &Spline) -> Option<Vec<Xy>> {
    let points = s.points()?;
    if s.degree == 1 && !s.controls.is_empty() {
        return Some(points);
    }
    let (first, last) = (*points.first()?, *points.last()?);
    let along = sub(last, first);
    let length = norm(along);
    let mut station = 0.0;
    let straight = points.iter().all(|p| {
        let d = sub(*p, first);
        let (at, off) = (dot(d, along) / length, cross(along, d) / length);
        let onward = at >= station - PLAIN * length;
        station = at;
        onward && off.abs() <= PLAIN * length
    });
    (length > 0.0 && straight).then(|| vec![first, last])
}

/// Puts the second coordinate of the point begun last.
pub(crate) fn set_y(points: &mut [Xy], y: f64) {
    if let Some(last) = points.last_mut() {
        last[1] = y;
    }
}

/// The chords of a spline; one that is no curve marks the entity.
pub(crate) fn push_spline(s: &Spline, m: &Affine, out: &mut Linework) {
    let Some(points) = s.points() else { return out.mark_last(mark::BAD) };
    for pair in points.windows(2) {
        out.push_segment(m.point(pair[0]), m.point(pair[1]), None);
    }
}
