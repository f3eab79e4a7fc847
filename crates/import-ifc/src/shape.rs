//! One wall's shape: where its reference line runs in plan, how its body lies about it, how high it
//! is. In the file's unit, world coordinates.

mod along;
mod axis;
mod solid;

pub use along::measure;
pub use axis::axis;
pub use solid::{body_of, corners_of_body, representation_ids};

use crate::bow::Bow;
use crate::file::Why;
use crate::geometry::Shapes;
use crate::geometry::affine::Vec3;
use crate::geometry::body::Body;
use crate::geometry::footprint::Plan;
use crate::geometry::opened::Stretch;
use crate::geometry::placement::PlacementMemo;
use crate::geometry::top::{Legs, Top};
use crate::step::Record;
use along::{fit_to_body, foot_line, look_along, near_faces, top_line};
use axis::{parts_of, pieces};
use diag::Code;
use solid::{NoPieces, body_of_parts, pieces_of_body};

/// A straight piece of a wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Start of the reference line.
    pub start: Plan,
    /// End of the reference line.
    pub end: Plan,
    /// +1 when the wall's own y points to the left of start -> end, else -1.
    pub y_left: f64,
    /// How far the body reaches: offsets from the line, left positive, least first. Unknown for walls
    /// without a readable body, and where a bent wall's faces do not follow its axis.
    pub band: Option<(f64, f64)>,
    /// Its top.
    pub top: WallTop,
}

/// The top of a piece of a wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WallTop {
    /// Height, where a body tells; of a top that is not level, what plates are planned at.
    pub planned: Option<f64>,
    /// Height of its highest point, where a body tells.
    pub highest: Option<f64>,
    /// What plates follow where it is not level, if they can: stations from the piece's start, heights.
    pub legs: Option<Legs>,
    /// What is to be said about it.
    pub line: TopLine,
}

/// A part of a piece with one straight top.
#[derive(Clone, Copy, Debug)]
pub struct Part {
    /// The piece, from where the part starts to where it ends.
    pub piece: Piece,
    /// Heights at both ends, where a leg of the body's top tells.
    pub top: Option<(f64, f64)>,
}

impl Part {
    /// All of a piece, whatever its top.
    pub fn whole(piece: &Piece) -> Part {
        Part { piece: *piece, top: None }
    }
}

/// Layers that are stated to begin this near to a face begin there, inches.
pub const AT_FACE_IN: f64 = 0.0625;

impl Piece {
    /// The face of the body that layers are counted from which follow towards the wall's own +y (`sense` 1) or -y (-1), as
    /// an offset from the line.
    pub fn first_face(&self, sense: f64) -> Option<f64> {
        self.band.map(|(low, high)| if self.y_left * sense > 0.0 { low } else { high })
    }
    /// The piece between other ends on its line.
    pub fn between(&self, start: Plan, end: Plan) -> Option<Piece> {
        let (dx, dy) = (self.end.0 - self.start.0, self.end.1 - self.start.1);
        let len = dx.hypot(dy);
        let station = |p: Plan| ((p.0 - self.start.0) * dx + (p.1 - self.start.1) * dy) / len;
        let (from, to) = (station(start), station(end));
        if to.is_nan() || from.is_nan() || to <= from {
            return None;
        }
        let legs = self.top.legs.and_then(|l| l.over(from, to));
        Some(Piece { start, end, top: WallTop { legs, ..self.top }, ..*self })
    }
    /// One part for each leg of its top, or the whole piece.
    pub fn parts(&self) -> Vec<Part> {
        let Some(legs) = &self.top.legs else { return vec![Part::whole(self)] };
        let (dx, dy) = (self.end.0 - self.start.0, self.end.1 - self.start.1);
        let len = dx.hypot(dy);
        let at = |s: f64| (self.start.0 + dx * s / len, self.start.1 + dy * s / len);
        let last = legs.all().len().saturating_sub(1);
        let part = |(i, leg): (usize, &Stretch)| {
            let start = if i == 0 { self.start } else { at(leg.along.0) };
            let end = if i == last { self.end } else { at(leg.along.1) };
            Part { piece: Piece { start, end, ..*self }, top: Some(leg.z) }
        };
        legs.all().iter().enumerate().map(part).collect()
    }
}

impl WallTop {
    /// Nothing is known.
    pub const NONE: WallTop =
        WallTop { planned: None, highest: None, legs: None, line: TopLine::Level };
}

/// A wall as placed.
#[derive(Clone, Debug)]
pub struct WallShape {
    /// One piece, or several where the axis bends.
    pub pieces: Vec<Piece>,
    /// Read from its axis; else from its body, and then the line is the body's middle.
    pub from_axis: bool,
    /// It has no body of its own; that of its parts was read.
    pub of_parts: bool,
    /// Height of its foot.
    pub foot_z: f64,
    /// It is curved, and its pieces are straight parts of this.
    pub bow: Option<Bow>,
    /// The axis stopped far short of the body and was lengthened by this much.
    pub lengthened: f64,
    /// Nothing of a body tells its height, and why; it was read from its axis alone.
    pub no_height: Option<Why>,
    /// Parts of its body that could not be read, and why, where others could.
    pub unread: Vec<Why>,
    /// Why its axis could not be read; its body was taken.
    pub no_axis: Option<Why>,
    /// What its body shows besides, of a wall of one straight piece.
    pub seen: Seen,
    /// What there is to say of it, should it be planned.
    pub said: Vec<(Code, String)>,
}

/// What a body shows along its line that the line alone does not tell.
#[derive(Clone, Debug, Default)]
pub struct Seen {
    /// Where the axis ends, at the start and at the end, where the body ends elsewhere and was taken; and how far the
    /// axis runs beyond the body there (below zero: stops short of it).
    pub axis_ends: [Option<(Plan, f64)>; 2],
    /// From where to where there is nothing of it over its full height.
    pub gaps: Vec<(Plan, Plan)>,
    /// Holes right through it: from, to, heights.
    pub holes: Vec<(Plan, Plan, (f64, f64))>,
    /// It has too many faces to be looked through.
    pub too_intricate: bool,
    /// How high its foot rises, where it is not level.
    pub uneven_foot: Option<f64>,
}

/// How well the top of a wall is known, and how it runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TopLine {
    /// Level, or no body tells otherwise.
    Level,
    /// Not level, and how it runs could not be worked out: planned at full height.
    Unknown,
    /// Worked out along the middle of the wall.
    Known {
        /// How it runs.
        top: Top,
        /// How it runs across the wall.
        bevel: Bevel,
        /// A clip could not be followed: in truth the top may be lower.
        blind: bool,
    },
}

/// How a top runs across the wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Bevel {
    /// Level.
    None,
    /// One face is this much higher than the other.
    By(f64),
    /// The faces differ in another way.
    Uneven,
}

/// Why a wall has no shape.
#[derive(Clone, Debug, PartialEq)]
pub enum Trouble {
    /// It is curved, and how.
    Curved(Option<Bow>),
    /// It lies beyond every coordinate a building can have.
    Far,
    /// Anything else.
    Unreadable(Why),
}

impl From<Why> for Trouble {
    fn from(why: Why) -> Trouble {
        Trouble::Unreadable(why)
    }
}

/// Lengths in the file's unit that shapes are judged by.
#[derive(Clone, Copy, Debug)]
pub struct Scale {
    /// 24 in.
    pub long: f64,
    /// The greatest usable coordinate: beyond it double precision swallows a wall, and what is left tells
    /// nothing of its shape.
    pub farthest: f64,
    /// How far straight parts may be off a curve, where curved walls are planned so.
    pub off_curve: Option<f64>,
}

/// Reads a wall; `parts` are the products it is made of, read where it has no body itself.
pub fn wall_shape<'a>(
    shapes: &Shapes<'_, 'a>,
    memo: &PlacementMemo,
    product: &Record<'a>,
    parts: &[u64],
    scale: &Scale,
) -> Result<WallShape, Trouble> {
    let Scale { long, farthest, off_curve } = *scale;
    let world = shapes.world(memo, product.param(5))?;
    let (mut body, mut kind) = body_of(shapes, product, &world);
    let of_parts = body.is_empty() && !parts.is_empty();
    if of_parts {
        (body, kind) = body_of_parts(shapes, memo, parts);
    }
    let far = |p: Vec3| !p.iter().all(|v| v.abs() <= farthest);
    if far(world.origin) || body.corners().any(far) {
        return Err(Trouble::Far);
    }
    let heights = body.range(|p| p[2]).filter(|(a, b)| b > a);
    let mut shape = WallShape {
        pieces: Vec::new(),
        from_axis: true,
        of_parts: of_parts && !body.is_empty(),
        foot_z: heights.map_or(world.origin[2], |h| h.0),
        bow: None,
        lengthened: 0.0,
        no_height: heights.is_none().then(|| no_height(&body)),
        unread: body.unread.clone(),
        no_axis: None,
        seen: Seen::default(),
        said: Vec::new(),
    };
    let curved = |bow: Bow, band: Option<(f64, f64)>| {
        let pieces = off_curve.and_then(|off| parts_of(&bow, band, &world, off));
        pieces.map(|p| (p, Some(bow))).ok_or(Trouble::Curved(Some(bow)))
    };
    match axis(shapes, product.param(6), &world) {
        Ok(Some(line)) if line.curved => {
            let bow = Bow::of(&line.points);
            let left = |p: Vec3| bow.arc.map_or(0.0, |a| a.left((p[0], p[1])));
            (shape.pieces, shape.bow) = curved(bow, body.range(left))?;
        }
        Ok(Some(line)) => shape.pieces = pieces(&line, &world),
        Ok(None) => {}
        Err(why) if body.is_empty() => {
            return Err(Trouble::Unreadable(format!("its axis cannot be read: {why}")));
        }
        // An axis that cannot be read is as good as none while the body is a plain extrusion.
        Err(why) => shape.no_axis = Some(why),
    }
    if shape.pieces.is_empty() {
        shape.from_axis = false;
        match pieces_of_body(&body, &kind, &world, long, of_parts) {
            Ok(pieces) => shape.pieces = pieces,
            Err(NoPieces::Round(bow, thickness)) => {
                let band = (-thickness / 2.0, thickness / 2.0);
                (shape.pieces, shape.bow) = curved(bow, Some(band))?;
            }
            Err(NoPieces::Trouble(trouble)) => return Err(trouble),
        }
    } else if shape.bow.is_some() {
        // Its faces follow the curve, not its parts.
    } else if let [piece] = shape.pieces.as_mut_slice() {
        shape.lengthened = fit_to_body(piece, &body, long);
    } else {
        for piece in &mut shape.pieces {
            piece.band = near_faces(piece, &body);
        }
    }
    let one = shape.pieces.len() == 1;
    if !of_parts
        && shape.bow.is_none()
        && let [piece] = shape.pieces.as_mut_slice()
    {
        let foot = foot_line(piece, &body, shape.foot_z, long);
        shape.foot_z = foot.map_or(shape.foot_z, |f| f.0);
        shape.seen = look_along(piece, &body, shape.foot_z, long, shape.from_axis);
        shape.seen.uneven_foot = foot.map(|f| f.1).filter(|high| *high > shape.foot_z);
    }
    for piece in &mut shape.pieces {
        let (line, legs) = top_line(piece, &body, shape.foot_z, long, one);
        let height = match line {
            TopLine::Known { top, .. } => Some((top.planned, top.range.1)),
            _ => heights.map(|h| (h.1, h.1)),
        };
        let (planned, highest) = (height.map(|h| h.0), height.map(|h| h.1));
        piece.top = WallTop { planned, highest, legs, line };
    }
    Ok(shape)
}

/// Why a body tells no height.
fn no_height(body: &Body) -> Why {
    match body.unread.first() {
        Some(why) => why.clone(),
        None if body.is_empty() => "it has none".to_owned(),
        None => "it has no height".to_owned(),
    }
}
