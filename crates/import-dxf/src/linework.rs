//! Linework: what the entities of a drawing look like in plan, and which entity each line is of.
//!
//! Knows: straight lines, arcs (of ellipses too), drawn widths, texts and dimensions, the entity behind
//! each and the insert it came through. Never touches: tags, what layers are used for, units: all
//! numbers are drawing units of the container (a block's own, or the model's).
//!
//! The same type holds a block's content and the whole flattened drawing, so that inserting a block
//! is one pass over plain arrays. It is kept small: a line costs 56 bytes.

use crate::affine::{Affine, Xy, cross, dot, norm, sub};
use std::collections::BTreeMap;
use std::ops::Range;

/// No insert: the entity is in model space itself.
pub(crate) const NOT_INSERTED: u32 = u32::MAX;

/// A straight line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Segment {
    /// One end.
    pub a: Xy,
    /// Other end.
    pub b: Xy,
}

/// `center + u cos t + v sin t` for t from 0 to `sweep` (radians, either sign). A circle's arc has `u`
/// and `v` of equal length and square; under unequal scaling it becomes an ellipse's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Arc {
    /// Center.
    pub center: Xy,
    /// From the center to the start.
    pub u: Xy,
    /// The conjugate direction.
    pub v: Xy,
    /// Parameter at the end.
    pub sweep: f64,
}

impl Arc {
    /// The circle's arc from `start` to `end` degrees, counter-clockwise.
    pub fn of_circle(center: Xy, radius: f64, start_degrees: f64, end_degrees: f64) -> Arc {
        let (s, c) = crate::affine::exact_sin_cos(start_degrees);
        let sweep = (end_degrees - start_degrees).rem_euclid(360.0);
        let sweep = if sweep == 0.0 { 360.0 } else { sweep };
        Arc {
            center,
            u: [radius * c, radius * s],
            v: [-radius * s, radius * c],
            sweep: sweep.to_radians(),
        }
    }
    /// The arc from `p` to `q` with this bulge: tan of a quarter of its angle, negative when it runs
    /// clockwise (Autodesk DXF reference, LWPOLYLINE; FACTS 8.2).
    pub fn of_bulge(p: Xy, q: Xy, bulge: f64) -> Arc {
        let chord = sub(q, p);
        let k = (1.0 - bulge * bulge) / (4.0 * bulge);
        let center = [(p[0] + q[0]) / 2.0 - chord[1] * k, (p[1] + q[1]) / 2.0 + chord[0] * k];
        let u = sub(p, center);
        Arc { center, u, v: [-u[1], u[0]], sweep: 4.0 * bulge.atan() }
    }
    /// The part of an ellipse from one parameter to the other, radians, in the sense from the first
    /// axis to the second.
    pub fn of_ellipse(center: Xy, major: Xy, minor: Xy, start: f64, end: f64) -> Arc {
        let (s, c) = start.sin_cos();
        let turn = std::f64::consts::TAU;
        let sweep = (end - start).rem_euclid(turn);
        // Ends that differ by rounding only are a whole turn.
        let sweep = if sweep < 1e-9 { turn } else { sweep };
        Arc {
            center,
            u: [major[0] * c + minor[0] * s, major[1] * c + minor[1] * s],
            v: [minor[0] * c - major[0] * s, minor[1] * c - major[1] * s],
            sweep,
        }
    }
    /// The point at a parameter.
    pub fn at(&self, t: f64) -> Xy {
        let (s, c) = t.sin_cos();
        [
            self.center[0] + self.u[0] * c + self.v[0] * s,
            self.center[1] + self.u[1] * c + self.v[1] * s,
        ]
    }
    /// Both ends.
    pub fn ends(&self) -> [Xy; 2] {
        [[self.center[0] + self.u[0], self.center[1] + self.u[1]], self.at(self.sweep)]
    }
    /// Least and greatest `p . dir` over the arc.
    pub fn extent(&self, dir: Xy) -> [f64; 2] {
        let ends = self.ends().map(|p| dot(p, dir));
        let mut range = [ends[0].min(ends[1]), ends[0].max(ends[1])];
        let top = dot(self.v, dir).atan2(dot(self.u, dir));
        for k in 0..4 {
            // The two extremes are half a turn apart; look for them in the sweep, either sign.
            let t = top + f64::from(k) * std::f64::consts::PI;
            let turn = std::f64::consts::TAU;
            let inside = match self.sweep >= 0.0 {
                true => t.rem_euclid(turn) <= self.sweep,
                false => (-t).rem_euclid(turn) <= -self.sweep,
            };
            if inside {
                let s = dot(self.at(t), dir);
                range = [range[0].min(s), range[1].max(s)];
            }
        }
        range
    }
    /// Length, by chords; good to a thousandth, for statistics and messages.
    pub fn length(&self) -> f64 {
        let n = 32;
        let step = self.sweep / f64::from(n);
        (0..n)
            .map(|i| norm(sub(self.at(f64::from(i + 1) * step), self.at(f64::from(i) * step))))
            .sum()
    }
    /// Its image under a map.
    pub fn mapped(&self, m: &Affine) -> Arc {
        Arc { center: m.point(self.center), u: m.vector(self.u), v: m.vector(self.v), ..*self }
    }
    fn is_finite(&self) -> bool {
        [self.center, self.u, self.v].iter().flatten().all(|v| v.is_finite())
            && self.sweep.is_finite()
    }
}

/// What kind of entity a shape is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Kind {
    /// LINE, and 3DLINE of the first releases.
    Line,
    /// LWPOLYLINE.
    LwPolyline,
    /// POLYLINE with its vertices.
    Polyline,
    /// ARC.
    Arc,
    /// MLINE, as its middle line and width.
    Mline,
    /// CIRCLE.
    Circle,
    /// ELLIPSE, whole or an arc of one.
    Ellipse,
    /// SPLINE, as chords.
    Spline,
    /// HATCH, as its boundaries; the pattern is not drawn.
    Hatch,
    /// SOLID, as its outline.
    Solid,
    /// TRACE, as its outline.
    Trace,
    /// 3DFACE, as its visible edges.
    Face,
    /// POLYLINE that is a polyface mesh, as its visible edges.
    Polyface,
    /// MESH, as its edges.
    Mesh,
    /// TEXT; see [`Linework::texts`].
    Text,
    /// MTEXT; see [`Linework::texts`].
    Mtext,
    /// ATTDEF: only a constant one shows its text in inserts.
    Attdef,
    /// DIMENSION, without the linework of its picture; see [`Linework::dimensions`].
    Dimension,
}

impl Kind {
    /// The entity's name in the file.
    pub const fn name(self) -> &'static str {
        match self {
            Kind::Line => "LINE",
            Kind::LwPolyline => "LWPOLYLINE",
            Kind::Polyline | Kind::Polyface => "POLYLINE",
            Kind::Arc => "ARC",
            Kind::Mline => "MLINE",
            Kind::Circle => "CIRCLE",
            Kind::Ellipse => "ELLIPSE",
            Kind::Spline => "SPLINE",
            Kind::Hatch => "HATCH",
            Kind::Solid => "SOLID",
            Kind::Trace => "TRACE",
            Kind::Face => "3DFACE",
            Kind::Mesh => "MESH",
            Kind::Text => "TEXT",
            Kind::Mtext => "MTEXT",
            Kind::Attdef => "ATTDEF",
            Kind::Dimension => "DIMENSION",
        }
    }
    /// Whether people draw walls, doors and windows with it line by line. The others (outlines of
    /// areas, free curves, whole circles, texts) are not taken for any of these by themselves: their
    /// first fate is `Left(NotRead)` where that of a line would be `Open`. Whoever makes something of
    /// one sets its fate to `Used`.
    pub const fn is_line(self) -> bool {
        match self {
            Kind::Line | Kind::LwPolyline | Kind::Polyline | Kind::Arc | Kind::Mline => true,
            Kind::Circle
            | Kind::Ellipse
            | Kind::Spline
            | Kind::Hatch
            | Kind::Solid
            | Kind::Trace
            | Kind::Face
            | Kind::Polyface
            | Kind::Mesh
            | Kind::Text
            | Kind::Mtext
            | Kind::Attdef
            | Kind::Dimension => false,
        }
    }
    /// Whether it is drawn as an area or a surface, whose outline may be a wall's.
    pub const fn is_area(self) -> bool {
        matches!(self, Kind::Hatch | Kind::Solid | Kind::Trace) || self.is_surface()
    }
    /// Whether it is a surface in space.
    pub const fn is_surface(self) -> bool {
        matches!(self, Kind::Face | Kind::Polyface | Kind::Mesh)
    }
}

/// Marks on a shape.
pub(crate) mod mark {
    /// Group 60 says it is not shown.
    pub const INVISIBLE: u16 = 1;
    /// A coordinate could not be read, or is missing.
    pub const BAD: u16 = 2;
    /// Its plane is not level.
    pub const TILTED: u16 = 4;
    /// Not at height zero.
    pub const RAISED: u16 = 8;
    /// On a frozen layer, or in an insert on one.
    pub const FROZEN: u16 = 16;
    /// A curve-fit or spline-fit polyline: curved, whatever its vertices say.
    pub const CURVED: u16 = 32;
    /// An MLINE whose lines are all cut somewhere.
    pub const CUT: u16 = 64;
    /// A filled area: a SOLID or TRACE, a HATCH in one colour.
    pub const FILLED: u16 = 128;
    /// It names a line type of its own, not its layer's.
    pub const OWN_LINE_TYPE: u16 = 256;
    /// That line type is hidden, dashed or dotted.
    pub const BROKEN: u16 = 512;
    /// A SPLINE of straight parts, an ELLIPSE that is a part of a circle: what a LINE or an ARC draws as well.
    pub const PLAIN: u16 = 1024;
}

/// A text that a drawing shows: TEXT, MTEXT, the ATTRIB of an insert, a constant ATTDEF.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Text {
    /// Where it is anchored: the point its alignment refers to.
    pub at: Xy,
    /// Unit vector along the line of writing.
    pub along: Xy,
    /// Height of its capitals.
    pub height: f64,
    /// Number of its string, for [`crate::file::DxfFile::plain_text`].
    pub string: u32,
    /// Raw layer number while reading, resolved layer after flattening.
    pub layer: u32,
    /// Offset of the entity in the file.
    pub pos: u32,
    /// The insert it came through, or [`NOT_INSERTED`].
    pub via: u32,
    /// Its shape, which is its place in the account; [`NO_SHAPE`] for an ATTRIB, which is part of its
    /// INSERT and not counted by itself.
    pub shape: u32,
    /// See [`mark`].
    pub marks: u16,
}

/// Shape number of what is not counted by itself.
pub(crate) const NO_SHAPE: u32 = u32::MAX;
/// String number of what has no string.
pub(crate) const NO_STRING: u32 = u32::MAX;

/// How a dimension measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Measures {
    /// The distance between two points along a stated direction.
    Linear,
    /// The straight distance between two points.
    Aligned,
    /// An angle, a radius, a diameter, a coordinate.
    Other,
}

/// A DIMENSION. Its picture (an anonymous block) gives no linework.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Dimension {
    /// Its shape: layer, handle, insert, marks, place in the account.
    pub shape: u32,
    /// What it measures.
    pub measures: Measures,
    /// The two points measured. For [`Measures::Other`] both are the definition point.
    pub between: [Xy; 2],
    /// Unit vector of the direction that the distance is measured along.
    pub along: Xy,
    /// Group 42 as it stands in the file, in units of the container that the entity is drawn in: the
    /// scales of inserts around it are in `between`, not in this.
    pub measured: Option<f64>,
    /// The string typed in place of the measure (`<>` in it stands for the measure), or [`NO_STRING`].
    pub typed: u32,
    /// The string its picture shows, or [`NO_STRING`].
    pub shown: u32,
    /// Raw number of the block that is its picture.
    pub(crate) picture: u32,
}

impl Dimension {
    /// The distance between the two points along the direction, in drawing units after all inserts.
    pub fn distance(&self) -> f64 {
        dot(sub(self.between[1], self.between[0]), self.along).abs()
    }
}

/// One entity that has linework. Its segments and arcs are the ones from `first_segment` and
/// `first_arc` up to the next shape's.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Shape {
    /// Raw layer number while reading, resolved layer after flattening.
    pub layer: u32,
    /// Offset of the entity in the file.
    pub pos: u32,
    /// The insert it came through, or [`NOT_INSERTED`].
    pub via: u32,
    first_segment: u32,
    first_arc: u32,
    /// Kind of entity.
    pub kind: Kind,
    /// See [`mark`].
    pub marks: u16,
}

impl Shape {
    /// Whether people draw walls, doors and windows with it, see [`Kind::is_line`]: a curve that is straight or a part
    /// of a circle as well.
    pub fn is_line(&self) -> bool {
        self.kind.is_line() || self.marks & mark::PLAIN != 0
    }
    /// Whether it is a part of a circle by itself.
    pub fn is_arc(&self) -> bool {
        self.kind == Kind::Arc || (self.kind == Kind::Ellipse && self.marks & mark::PLAIN != 0)
    }
}

/// Why an entity without linework stands where it stands in the account.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum State {
    /// Visible in model space, but of a kind that is not read.
    NotRead,
    /// In paper space.
    Paper,
    /// Marked invisible.
    Invisible,
    /// Reached through an insert on a frozen layer.
    Frozen,
    /// The file ends in the middle of it.
    CutOff,
    /// In the blocks section, but in no block.
    Stray,
    /// Insert of a block that the file does not have.
    MissingBlock,
    /// Insert of an external reference.
    Xref,
    /// Insert of a block in itself.
    Cycle,
    /// Insert nested or repeated beyond the limits.
    Limit,
    /// Insert of a block with nothing in it.
    Empty,
}

/// Entities of one type, layer and state: how many, and a few of them.
#[derive(Clone, Debug, Default)]
pub(crate) struct Count {
    /// How many.
    pub count: u64,
    /// The ones with the lowest handles: handle as a number, offset, insert.
    pub sample: Vec<(u64, u32, u32)>,
}

/// Samples kept for each count; the ledger shows as many.
const SAMPLES: usize = 5;

impl Count {
    /// Adds entities that share a place.
    pub fn add(&mut self, count: u64, key: (u64, u32, u32)) {
        self.count += count;
        if let Some(at) = match self.sample.binary_search(&key) {
            Ok(_) => None,
            Err(at) => (at < SAMPLES).then_some(at),
        } {
            self.sample.insert(at, key);
            self.sample.truncate(SAMPLES);
        }
    }
}

/// An insert inside a container.
#[derive(Clone, Debug)]
pub(crate) struct Insert {
    /// Raw layer number.
    pub layer: u32,
    /// Offset of the entity in the file.
    pub pos: u32,
    /// Handle as a number, for an order that does not depend on the file's.
    pub handle: u64,
    /// Raw block number.
    pub block: u32,
    /// Block coordinates (base point taken off) to the container's, for the first of an array.
    pub map: Affine,
    /// Where it is repeated; few are.
    pub array: Option<Box<Array>>,
    /// See [`mark`].
    pub marks: u16,
}

/// How an insert is repeated in columns and rows.
#[derive(Clone, Debug)]
pub(crate) struct Array {
    /// Step from column to column.
    pub column_step: Xy,
    /// Step from row to row.
    pub row_step: Xy,
    /// Columns, at least 1.
    pub columns: u32,
    /// Rows, at least 1.
    pub rows: u32,
}

impl Array {
    /// A single one.
    pub const ONE: Array = Array { column_step: [0.0; 2], row_step: [0.0; 2], columns: 1, rows: 1 };
}

/// Key of [`Linework::others`]: type number, layer number, state.
pub(crate) type OtherKey = (u32, u32, State);

/// The content of a block or of a drawing.
#[derive(Clone, Debug, Default)]
pub(crate) struct Linework {
    /// Entities with linework, in file order.
    pub shapes: Vec<Shape>,
    /// Straight lines of all shapes.
    pub segments: Vec<Segment>,
    /// Arcs of all shapes.
    pub arcs: Vec<Arc>,
    /// Drawn widths: segment number and width, ascending by segment. Most lines have none.
    pub widths: Vec<(u32, f64)>,
    /// Cuts through all lines of an MLINE: segment number, and from which to which share of the segment
    /// it is open; ascending. Its segments run on through them.
    pub cuts: Vec<(u32, [f64; 2])>,
    /// Texts, ascending by place in `shapes` but for those of attributes.
    pub texts: Vec<Text>,
    /// Dimensions, ascending by shape.
    pub dimensions: Vec<Dimension>,
    /// Inserts not yet expanded.
    pub inserts: Vec<Insert>,
    /// Entities without linework.
    pub others: BTreeMap<OtherKey, Count>,
}

impl Linework {
    /// Begins an entity; its lines are pushed after it.
    pub fn begin(&mut self, layer: u32, pos: u32, via: u32, kind: Kind, marks: u16) {
        self.shapes.push(Shape {
            layer,
            pos,
            via,
            first_segment: self.segments.len() as u32,
            first_arc: self.arcs.len() as u32,
            kind,
            marks,
        });
    }
    /// A straight line of the entity begun last. A line that is no line is left out; one that is
    /// nowhere marks the entity.
    pub fn push_segment(&mut self, a: Xy, b: Xy, width: Option<f64>) {
        if ![a, b].iter().flatten().all(|v| v.is_finite()) {
            return self.mark_last(mark::BAD);
        }
        if a == b {
            return;
        }
        if let Some(w) = width.filter(|w| w.is_finite() && *w > 0.0) {
            self.widths.push((self.segments.len() as u32, w));
        }
        self.segments.push(Segment { a, b });
    }
    /// An arc of the entity begun last.
    pub fn push_arc(&mut self, arc: Arc) {
        if arc.is_finite() {
            self.arcs.push(arc);
        } else {
            self.mark_last(mark::BAD);
        }
    }
    /// Marks the entity begun last.
    pub fn mark_last(&mut self, marks: u16) {
        if let Some(s) = self.shapes.last_mut() {
            s.marks |= marks;
        }
    }
    /// Numbers of a shape's segments.
    pub fn segments_of(&self, shape: usize) -> Range<usize> {
        let end =
            self.shapes.get(shape + 1).map_or(self.segments.len(), |s| s.first_segment as usize);
        self.shapes.get(shape).map_or(0..0, |s| s.first_segment as usize..end)
    }
    /// Numbers of a shape's arcs.
    pub fn arcs_of(&self, shape: usize) -> Range<usize> {
        let end = self.shapes.get(shape + 1).map_or(self.arcs.len(), |s| s.first_arc as usize);
        self.shapes.get(shape).map_or(0..0, |s| s.first_arc as usize..end)
    }
    /// Drawn width of a segment.
    pub fn width_of(&self, segment: usize) -> Option<f64> {
        let found = self.widths.binary_search_by_key(&(segment as u32), |w| w.0);
        found.ok().and_then(|i| self.widths.get(i)).map(|w| w.1)
    }
    /// Cuts of a segment, as shares of it.
    pub fn cuts_of(&self, segment: usize) -> impl Iterator<Item = [f64; 2]> {
        let first = self.cuts.partition_point(|c| (c.0 as usize) < segment);
        self.cuts[first..].iter().take_while(move |c| c.0 as usize == segment).map(|c| c.1)
    }
    /// Copies one shape of a block to the end, mapped.
    pub fn push_mapped(&mut self, block: &Linework, shape: usize, m: &Affine, as_: Shape) {
        self.begin(as_.layer, as_.pos, as_.via, as_.kind, as_.marks);
        for i in block.segments_of(shape) {
            let Segment { a, b } = block.segments[i];
            let width = block.width_of(i).map(|w| w * m.width_factor(sub(b, a)));
            let before = self.segments.len();
            self.push_segment(m.point(a), m.point(b), width);
            if self.segments.len() > before {
                self.cuts.extend(block.cuts_of(i).map(|range| (before as u32, range)));
            }
        }
        for i in block.arcs_of(shape) {
            self.push_arc(block.arcs[i].mapped(m));
        }
    }
    /// Lines, arcs, shapes, texts and inserts together: what copying it once costs.
    pub fn weight(&self) -> u64 {
        let counts = [
            self.shapes.len(),
            self.segments.len(),
            self.arcs.len(),
            self.texts.len(),
            self.inserts.len(),
        ];
        counts.iter().sum::<usize>() as u64
    }
}

/// Angle between two lines, 0 to a quarter turn, as its sine.
pub(crate) fn sine_between(a: Xy, b: Xy) -> f64 {
    let d = norm(a) * norm(b);
    if d > 0.0 { (cross(a, b) / d).abs() } else { 1.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(a: Xy, b: Xy) -> bool {
        norm(sub(a, b)) < 1e-9
    }

    /// FACTS 8.2: r = c(1+b^2)/(4|b|), sagitta = |b| c/2; bulge 1 is a half circle, negative clockwise.
    #[test]
    fn bulges() {
        let (p, q) = ([0.0, 0.0], [10.0, 0.0]);
        for b in [1.0, 0.5, -0.5, 0.1, -1.0, 2.0] {
            let a = Arc::of_bulge(p, q, b);
            assert!(near(a.ends()[0], p) && near(a.ends()[1], q), "{b}");
            assert!((norm(a.u) - 10.0 * (1.0 + b * b) / (4.0 * f64::abs(b))).abs() < 1e-9, "{b}");
            // Counter-clockwise from left to right bulges downwards.
            assert!(near(a.at(a.sweep / 2.0), [5.0, -b * 5.0]), "{b}");
        }
    }

    #[test]
    fn arc_extents_include_the_quadrants() {
        let a = Arc::of_circle([0.0, 0.0], 2.0, 45.0, 135.0);
        let e = a.extent([0.0, 1.0]);
        assert!((e[1] - 2.0).abs() < 1e-12 && (e[0] - 2.0_f64.sqrt()).abs() < 1e-12);
        let b = Arc::of_bulge([0.0, 0.0], [10.0, 0.0], -1.0);
        let e = b.extent([0.0, 1.0]);
        assert!(e[0].abs() < 1e-9 && (e[1] - 5.0).abs() < 1e-9);
        assert_eq!(Arc::of_circle([0.0, 0.0], 2.0, 30.0, 30.0).sweep, std::f64::consts::TAU);
        let half = Arc::of_circle([0.0, 0.0], 2.0, 0.0, 180.0);
        assert!((half.length() - std::f64::consts::TAU).abs() < 0.01);
    }

    #[test]
    fn a_mirrored_arc_keeps_its_shape() {
        let a = Arc::of_circle([1.0, 0.0], 1.0, 0.0, 90.0).mapped(&Affine::scale(-1.0, 1.0));
        assert!(near(a.ends()[0], [-2.0, 0.0]) && near(a.ends()[1], [-1.0, 1.0]));
    }

    #[test]
    fn samples_are_the_lowest_handles_whatever_the_order() {
        let mut a = Count::default();
        let mut b = Count::default();
        for h in 0..20 {
            a.add(1, (h, 0, 0));
            b.add(1, (19 - h, 0, 0));
        }
        assert_eq!((a.count, &a.sample), (20, &b.sample));
        assert_eq!(a.sample.len(), 5);
    }
}
