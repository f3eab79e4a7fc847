//! HATCH: its boundaries as linework.
//!
//! Knows: the group codes of boundary paths. Never touches: patterns, seed points, the entities that
//! a boundary was taken from.
//!
//! Group codes: Autodesk DXF reference, "HATCH" and "Boundary path data". All in the hatch's own plane.
//! Angles of clockwise edges are stored as their complements to 360 degrees, and those of ellipses are
//! angles, not parameters (ezdxf, `boundary_paths`).

use crate::affine::{Affine, Plane, Xy, plane};
use crate::entity::{After, Common, EntityReader, Field};
use crate::figures::{push_spline, set_y};
use crate::linework::{Arc, Kind, Linework, mark};
use crate::polylines::{Vertex, push_path};
use crate::spline::Spline;
use crate::tag::{Tag, Tags};

/// An edge being read.
struct Edge {
    /// 1 line, 2 arc, 3 ellipse, 4 spline; 0 none.
    kind: i64,
    start: Xy,
    end: Xy,
    /// Radius or ratio.
    size: f64,
    angles: [f64; 2],
    clockwise: bool,
    spline: Spline,
}

impl Default for Edge {
    /// Without a place until one is read.
    fn default() -> Edge {
        let nowhere = [f64::NAN; 2];
        Edge {
            kind: 0,
            start: nowhere,
            end: nowhere,
            size: f64::NAN,
            angles: [0.0; 2],
            clockwise: false,
            spline: Spline::default(),
        }
    }
}

/// Where in the boundary data the reading is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Part {
    /// Before the first path.
    Before,
    /// In a path that is a polyline.
    Polyline,
    /// In a path of edges.
    Edges,
    /// After the last path.
    After,
}

impl<'a, R: Tags<'a>> EntityReader<'a, R> {
    pub fn hatch(&mut self, head: Tag<'a>, mut c: Common<'a>, out: &mut Linework) -> After<'a> {
        // The normal comes before the paths, but only the end of the entity says whether it is kept.
        let mut own = Linework::default();
        own.begin(0, 0, 0, Kind::Hatch, 0);
        let (mut part, mut filled) = (Part::Before, false);
        let mut edge = Edge::default();
        self.vertices.clear();
        let after = loop {
            let t = match self.field(&mut c) {
                Field::Tag(t) => t,
                Field::End(after) => break after,
            };
            match (part, t.code) {
                (Part::Before, 70) => filled = t.flag(self.tags.damage()) & 1 == 1,
                (Part::After, _) | (Part::Before, ..=91 | 93..) => {}
                // A path begins.
                (_, 92) => {
                    self.flush(&mut edge, &mut own);
                    part = if t.flag(self.tags.damage()) & 2 != 0 {
                        Part::Polyline
                    } else {
                        Part::Edges
                    };
                }
                // The style, after the last path.
                (_, 75) => part = Part::After,
                (Part::Polyline, _) => self.ring_tag(&t),
                (Part::Edges, 72) => {
                    self.flush(&mut edge, &mut own);
                    edge.kind = t.flag(self.tags.damage());
                }
                (Part::Edges, _) => self.edge_tag(&t, &mut edge),
            }
        };
        self.flush(&mut edge, &mut own);
        if self.settled(head, &c, &after, out) {
            return after;
        }
        self.begin(head, &c, Kind::Hatch, 0.0, out);
        let bad = own.shapes.first().map_or(0, |s| s.marks) & mark::BAD;
        out.mark_last(bad | if filled { mark::FILLED } else { 0 });
        if let Plane::Level(m) = plane(c.normal) {
            for s in &own.segments {
                out.push_segment(m.point(s.a), m.point(s.b), None);
            }
            for a in &own.arcs {
                out.push_arc(a.mapped(&m));
            }
        }
        after
    }

    /// Puts what was read of a path or an edge into the linework.
    fn flush(&mut self, edge: &mut Edge, own: &mut Linework) {
        // A hatch's boundary is closed whatever its flag says.
        push_path(&self.vertices, true, 0.0, &Affine::IDENTITY, own);
        self.vertices.clear();
        push_edge(&std::mem::take(edge), own);
    }

    fn ring_tag(&mut self, t: &Tag<'a>) {
        match (t.code, self.vertices.last_mut()) {
            (10, _) => {
                let x = t.real(self.tags.damage());
                self.vertices.push(Vertex::at_x(x));
            }
            (20, Some(last)) => last.at[1] = t.real(self.tags.damage()),
            (42, Some(last)) => last.bulge = t.real(self.tags.damage()),
            _ => {}
        }
    }

    fn edge_tag(&mut self, t: &Tag<'a>, edge: &mut Edge) {
        let spline = edge.kind == 4;
        match t.code {
            10 if spline => edge.spline.controls.push([t.real(self.tags.damage()), f64::NAN]),
            20 if spline => set_y(&mut edge.spline.controls, t.real(self.tags.damage())),
            11 if spline => edge.spline.fits.push([t.real(self.tags.damage()), f64::NAN]),
            21 if spline => set_y(&mut edge.spline.fits, t.real(self.tags.damage())),
            40 if spline => edge.spline.knots.push(t.real(self.tags.damage())),
            42 if spline => edge.spline.weights.push(t.real(self.tags.damage())),
            94 => edge.spline.degree = t.flag(self.tags.damage()).clamp(0, 99) as usize,
            10 => edge.start[0] = t.real(self.tags.damage()),
            20 => edge.start[1] = t.real(self.tags.damage()),
            11 => edge.end[0] = t.real(self.tags.damage()),
            21 => edge.end[1] = t.real(self.tags.damage()),
            40 => edge.size = t.real(self.tags.damage()),
            50 => edge.angles[0] = t.real(self.tags.damage()),
            51 => edge.angles[1] = t.real(self.tags.damage()),
            73 => edge.clockwise = !spline && t.flag(self.tags.damage()) == 0,
            _ => {}
        }
    }
}

fn push_edge(edge: &Edge, own: &mut Linework) {
    let [from, to] = match edge.clockwise {
        false => edge.angles,
        true => [360.0 - edge.angles[1], 360.0 - edge.angles[0]],
    };
    match edge.kind {
        1 => own.push_segment(edge.start, edge.end, None),
        2 => own.push_arc(Arc::of_circle(edge.start, edge.size, from, to)),
        3 => {
            let (major, ratio) = (edge.end, edge.size);
            let minor = [-major[1] * ratio, major[0] * ratio];
            // A whole turn stays one: both ends have the same angle.
            let whole = (to - from).abs() >= 360.0;
            let parameter = |degrees: f64| {
                let (s, c) = degrees.to_radians().sin_cos();
                (s / ratio).atan2(c)
            };
            let [from, to] = if whole { [0.0, 0.0] } else { [from, to].map(parameter) };
            own.push_arc(Arc::of_ellipse(edge.start, major, minor, from, to));
        }
        4 => push_spline(&edge.spline, &Affine::IDENTITY, own),
        _ => {}
    }
}
