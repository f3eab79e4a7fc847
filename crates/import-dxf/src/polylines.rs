//! Polylines: from tags to straight lines and arcs.
//!
//! Knows: the group codes of LWPOLYLINE, POLYLINE and its VERTEX, what widths and bulges say. Never touches: layers'
//! meaning, units.

use crate::affine::{Affine, Plane, Xy, plane};
use crate::entity::{After, Common, EntityReader, Field};
use crate::linework::{Arc, Kind, Linework, State, mark};
use crate::tag::{Tag, Tags};

/// A vertex of a polyline, in the entity's own plane.
#[derive(Clone, Copy)]
pub(crate) struct Vertex {
    /// Its place.
    pub at: Xy,
    /// Bulge of the part after it.
    pub bulge: f64,
    start_width: f64,
    end_width: f64,
}

impl Vertex {
    /// A vertex whose second coordinate is still to come.
    pub fn at_x(x: f64) -> Vertex {
        Vertex { at: [x, f64::NAN], bulge: 0.0, start_width: f64::NAN, end_width: f64::NAN }
    }
}

impl<'a, R: Tags<'a>> EntityReader<'a, R> {
    pub fn lwpolyline(
        &mut self,
        head: Tag<'a>,
        mut c: Common<'a>,
        out: &mut Linework,
    ) -> After<'a> {
        self.vertices.clear();
        let (mut closed, mut width, mut elevation) = (false, 0.0, 0.0);
        let after = loop {
            let t = match self.field(&mut c) {
                Field::Tag(t) => t,
                Field::End(after) => break after,
            };
            let v = match t.code {
                10 | 20 | 38 | 40 | 41 | 42 | 43 => t.real(self.tags.damage()),
                70 => {
                    closed = t.flag(self.tags.damage()) & 1 == 1;
                    continue;
                }
                _ => continue,
            };
            match t.code {
                10 => self.lwvertices(v),
                38 => elevation = v,
                43 => width = v,
                code => {
                    if let Some(last) = self.vertices.last_mut() {
                        match code {
                            20 => last.at[1] = v,
                            40 => last.start_width = v,
                            41 => last.end_width = v,
                            _ => last.bulge = v,
                        }
                    }
                }
            }
        };
        if self.settled(head, &c, &after, out) {
            return after;
        }
        self.begin(head, &c, Kind::LwPolyline, elevation, out);
        if let Plane::Level(m) = plane(c.normal) {
            push_path(&self.vertices, closed, width, &m, out);
        }
        after
    }

    /// The vertex that begins with this x, and those that follow it with nothing but place and bulge.
    #[inline]
    fn lwvertices(&mut self, mut x: f64) {
        loop {
            let mut v = Vertex::at_x(x);
            let y = self.tags.number_of(20);
            v.at[1] = y.unwrap_or(f64::NAN);
            // Only behind the y is it this vertex's beyond doubt.
            v.bulge = y.and_then(|_| self.tags.number_of(42)).unwrap_or(0.0);
            self.vertices.push(v);
            match y.and_then(|_| self.tags.number_of(10)) {
                Some(next) => x = next,
                None => return,
            }
        }
    }

    pub fn polyline(&mut self, head: Tag<'a>, mut c: Common<'a>, out: &mut Linework) -> After<'a> {
        self.vertices.clear();
        self.faces.clear();
        let (mut flags, mut elevation) = (0, 0.0);
        let (mut start_width, mut end_width) = (f64::NAN, f64::NAN);
        let mut after = loop {
            match self.field(&mut c) {
                Field::Tag(t) => match t.code {
                    70 => flags = t.flag(self.tags.damage()),
                    30 => elevation = t.real(self.tags.damage()),
                    40 => start_width = t.real(self.tags.damage()),
                    41 => end_width = t.real(self.tags.damage()),
                    _ => {}
                },
                Field::End(after) => break after,
            }
        };
        let width = if start_width == end_width { start_width } else { 0.0 };
        after = loop {
            match after {
                After::Tag(t) if t.starts("VERTEX") => after = self.vertex(flags & 64 != 0),
                After::Tag(t) if t.starts("SEQEND") => break self.pass_over(&mut Common::new()),
                // A missing SEQEND loses nothing.
                other => break other,
            }
        };
        if self.settled(head, &c, &after, out) {
            return after;
        }
        if flags & 64 != 0 {
            self.polyface(head, &mut c, out);
            return after;
        }
        // 16: a mesh of rows and columns, a surface of any form.
        if flags & 16 != 0 {
            self.count(head, &c, State::NotRead, out);
            return after;
        }
        // 8: a 3D polyline, whose vertices are in world coordinates.
        // Its parts are straight, whatever bulges say.
        if flags & 8 != 0 {
            self.vertices.iter_mut().for_each(|v| v.bulge = 0.0);
            c.normal = [0.0, 0.0, 1.0];
        }
        self.begin(head, &c, Kind::Polyline, elevation, out);
        // 2 curve-fit, 4 spline-fit.
        if flags & (2 | 4) != 0 {
            out.mark_last(mark::CURVED);
        }
        if let Plane::Level(m) = plane(c.normal) {
            push_path(&self.vertices, flags & 1 == 1, width, &m, out);
        }
        after
    }

    /// A vertex, or a face of a polyface mesh.
    fn vertex(&mut self, of_polyface: bool) -> After<'a> {
        let mut c = Common::new();
        let mut v = Vertex::at_x(f64::NAN);
        let (mut flags, mut corners) = (0, [0; 4]);
        // That of the polyline holds.
        let mut elevation = 0.0;
        let after = loop {
            match self.field(&mut c) {
                Field::Tag(t) => match t.code {
                    10 => {
                        v.at[0] = t.real(self.tags.damage());
                        self.next_of(20, &mut v.at[1]);
                        self.next_of(30, &mut elevation);
                    }
                    20 => v.at[1] = t.real(self.tags.damage()),
                    40 => v.start_width = t.real(self.tags.damage()),
                    41 => v.end_width = t.real(self.tags.damage()),
                    42 => v.bulge = t.real(self.tags.damage()),
                    70 => flags = t.flag(self.tags.damage()),
                    71..=74 if of_polyface => {
                        corners[(t.code - 71) as usize] = t.flag(self.tags.damage());
                    }
                    _ => {}
                },
                Field::End(after) => break after,
            }
        };
        // 128 without 64 (a place): which vertices a face has.
        if of_polyface && flags & (64 | 128) == 128 {
            self.faces.push(corners);
            return after;
        }
        // 16: a control point of the spline frame, not on the line.
        if flags & 16 == 0 {
            self.vertices.push(v);
        }
        after
    }
}

/// The parts of a polyline, its widths and bulges too.
pub(crate) fn push_path(
    vertices: &[Vertex],
    closed: bool,
    width: f64,
    m: &Affine,
    out: &mut Linework,
) {
    if vertices.iter().any(|v| !v.at[0].is_finite() || !v.at[1].is_finite()) {
        out.mark_last(mark::BAD);
        return;
    }
    let closing = if closed { vertices.first() } else { None };
    let ends = vertices.iter().skip(1).chain(closing);
    for (v, w) in vertices.iter().zip(ends) {
        if v.bulge.abs() > 1e-9 && v.at != w.at {
            out.push_arc(Arc::of_bulge(v.at, w.at, v.bulge).mapped(m));
            continue;
        }
        let own = if v.start_width.is_nan() && v.end_width.is_nan() {
            width
        } else if v.start_width == v.end_width {
            v.start_width
        } else {
            0.0
        };
        out.push_segment(m.point(v.at), m.point(w.at), Some(own));
    }
}
