//! One wall's shape: where its reference line runs in plan, how its body lies about it, how high it
//! is. In the file's unit, world coordinates.

use crate::bow::Bow;
use crate::file::Why;
use crate::geometry::Shapes;
use crate::geometry::affine::{Affine, Vec3, norm};
use crate::geometry::body::{Body, Prism};
use crate::geometry::curve::Polyline;
use crate::geometry::elevation::{Hole, elevation};
use crate::geometry::footprint::{Plan, Strip, chain_of_body, strip_of_body};
use crate::geometry::members::{level_edges, strip_of_members};
use crate::geometry::mesh::{NoStrip, strip_of_mesh};
use crate::geometry::placement::PlacementMemo;
use crate::geometry::region::Region;
use crate::geometry::top::{self, Legs, Run, Section, Stretch, Top};
use crate::step::{Param, Record};
use diag::Code;

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

impl Piece {
    /// One part for each leg of its top, or the whole piece.
    pub fn parts(&self) -> Vec<Part> {
        let Some(legs) = &self.top.legs else { return vec![Part::whole(self)] };
        let (dx, dy) = (self.end.0 - self.start.0, self.end.1 - self.start.1);
        let len = dx.hypot(dy);
        let at = |s: f64| (self.start.0 + dx * s / len, self.start.1 + dy * s / len);
        let last = legs.all().len().saturating_sub(1);
        let part = |(i, leg): (usize, &top::Stretch)| {
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

/// One shape representation of a product.
struct Representation<'a> {
    record: Record<'a>,
    identifier: String,
    kind: String,
}

fn representations<'a>(shapes: &Shapes<'_, 'a>, product: &Record<'a>) -> Vec<Representation<'a>> {
    let Some(shape) = product.param(6).reference().and_then(|id| shapes.file.find(id)) else {
        return Vec::new();
    };
    let each = shape.references(2).filter_map(|id| shapes.file.find(id));
    let text = |p: Param<'_>| p.text().unwrap_or_default();
    each.map(|record| {
        let [_, identifier, kind] = record.take();
        Representation { record, identifier: text(identifier), kind: text(kind) }
    })
    .collect()
}

/// Ids of a product's representations and their items, for presentation layers.
pub fn representation_ids(shapes: &Shapes<'_, '_>, product: &Record<'_>) -> Vec<u64> {
    let mut ids = Vec::new();
    let shape = product.param(6).reference().and_then(|id| shapes.file.find(id));
    for id in shape.iter().flat_map(|s| s.references(2)) {
        ids.push(id);
        ids.extend(shapes.file.find(id).iter().flat_map(|r| r.references(3)));
    }
    ids
}

/// The corners of the product's body in world coordinates, for extents alone.
pub fn corners_of_body<'a>(shapes: &Shapes<'_, 'a>, product: &Record<'a>, world: &Affine) -> Body {
    body_from(shapes, product, world, true).0
}

/// The product's body in world coordinates, with the type of its representation; the first
/// representation that gives anything, bodies by name first.
pub fn body_of<'a>(
    shapes: &Shapes<'_, 'a>,
    product: &Record<'a>,
    world: &Affine,
) -> (Body, String) {
    body_from(shapes, product, world, false)
}

fn body_from<'a>(
    shapes: &Shapes<'_, 'a>,
    product: &Record<'a>,
    world: &Affine,
    corners_only: bool,
) -> (Body, String) {
    const FLAT: [&str; 7] = [
        "curve2d",
        "curve3d",
        "curve",
        "boundingbox",
        "geometriccurveset",
        "annotation2d",
        "point",
    ];
    let mut all = representations(shapes, product);
    let is_flat = |r: &Representation<'_>| {
        let kind = r.kind.to_lowercase();
        let name = r.identifier.to_lowercase();
        FLAT.contains(&kind.as_str())
            || ["axis", "footprint", "box", "cog"].contains(&name.as_str())
    };
    all.retain(|r| !is_flat(r));
    all.sort_by_key(|r| !r.identifier.eq_ignore_ascii_case("body"));
    let kind = all.first().map(|r| r.kind.clone()).unwrap_or_default();
    let mut best = Body::default();
    for r in &all {
        let mut body = Body { corners_only, ..Body::default() };
        shapes.add_items(&r.record, world, &mut body);
        if !body.is_empty() {
            return (body, r.kind.clone());
        }
        best.unread.append(&mut body.unread);
    }
    (best, kind)
}

/// The bodies of a wall's parts together, with the type of the first.
fn body_of_parts<'a>(
    shapes: &Shapes<'_, 'a>,
    memo: &PlacementMemo,
    parts: &[u64],
) -> (Body, String) {
    let (mut whole, mut kind) = (Body::default(), String::new());
    for part in parts.iter().filter_map(|id| shapes.file.find(*id)) {
        let Ok(world) = shapes.world(memo, part.param(5)) else { continue };
        let (body, of_part) = body_of(shapes, &part, &world);
        if kind.is_empty() {
            kind = of_part;
        }
        whole.append(body);
    }
    (whole, kind)
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
        shape.seen = look_along(piece, &body, shape.foot_z, long, shape.from_axis);
    }
    for piece in &mut shape.pieces {
        let (line, stretches) = top_line(piece, &body, shape.foot_z, long, one);
        let height = match line {
            TopLine::Known { top, .. } => Some((top.planned, top.range.1)),
            _ => heights.map(|h| (h.1, h.1)),
        };
        let legs = match line {
            TopLine::Known { bevel: Bevel::None, blind: false, .. } => {
                stretches.and_then(|s| legs(piece, &s, shape.foot_z, long))
            }
            _ => None,
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

/// The points of the Axis representation of a shape (the product's parameter 6) in the world.
pub fn axis<'a>(
    shapes: &Shapes<'_, 'a>,
    shape: Param<'a>,
    world: &Affine,
) -> Result<Option<Polyline>, Why> {
    let Some(shape) = shape.reference().and_then(|id| shapes.file.find(id)) else {
        return Ok(None);
    };
    let is_axis = |r: &Record<'a>| {
        r.param(1).raw_string().is_some_and(|name| name.trim_ascii().eq_ignore_ascii_case(b"axis"))
    };
    let mut all = shape.references(2).filter_map(|id| shapes.file.find(id));
    let Some(axis) = all.find(is_axis) else { return Ok(None) };
    let mut whole = Polyline::default();
    let add = |whole: &mut Polyline, curve: &Record<'a>, map: &Affine| {
        let part = shapes.curve_of(curve, 0)?;
        whole.curved |= part.curved;
        whole.points.reserve_exact(part.points.len());
        whole.points.extend(part.points.iter().map(|p| world.point(map.point(*p))));
        Ok::<(), Why>(())
    };
    for id in axis.references(3) {
        let item = shapes.file.get(id)?;
        let (curves, map) = if item.is("IFCMAPPEDITEM") {
            let source = shapes.file.follow(&item, 0)?;
            let origin = shapes.placement_or_identity(source.param(0))?;
            let target = shapes.operator(&shapes.file.follow(&item, 1)?)?;
            let inner = shapes.file.follow(&source, 1)?;
            (inner.references(3), target.after(&origin))
        } else if item.is("IFCGEOMETRICCURVESET") || item.is("IFCGEOMETRICSET") {
            (item.references(0), Affine::IDENTITY)
        } else {
            add(&mut whole, &item, &Affine::IDENTITY)?;
            continue;
        };
        for curve in curves {
            add(&mut whole, &shapes.file.get(curve)?, &map)?;
        }
    }
    match whole.points.len() {
        0 | 1 => Err(format!("#{} gives no line", axis.id)),
        _ => Ok(Some(whole)),
    }
}

/// The straight pieces of an axis: repeated points and needless corners are dropped.
fn pieces(line: &Polyline, world: &Affine) -> Vec<Piece> {
    let flat: Vec<Plan> = line.points.iter().map(|p| (p[0], p[1])).collect();
    let span = |a: Plan, b: Plan| (b.0 - a.0).hypot(b.1 - a.1);
    let whole: f64 = flat.windows(2).map(|w| span(w[0], w[1])).sum();
    let mut points: Vec<Plan> = Vec::new();
    for p in flat {
        if points.last().is_some_and(|q| span(*q, p) <= 1e-9 * whole) {
            continue;
        }
        if let [.., a, b] = points.as_slice() {
            let (u, v) = ((b.0 - a.0, b.1 - a.1), (p.0 - b.0, p.1 - b.1));
            let (cross, dot) = (u.0 * v.1 - u.1 * v.0, u.0 * v.0 + u.1 * v.1);
            if dot > 0.0 && cross.abs() < 1e-4 * dot {
                points.pop();
            }
        }
        points.push(p);
    }
    let piece = |w: &[Plan]| Piece {
        start: w[0],
        end: w[1],
        y_left: y_left(w[0], w[1], world),
        band: None,
        top: WallTop::NONE,
    };
    points.windows(2).map(piece).collect()
}

/// The straight parts of an arc.
fn parts_of(
    bow: &Bow,
    band: Option<(f64, f64)>,
    world: &Affine,
    off_curve: f64,
) -> Option<Vec<Piece>> {
    let points = bow.arc?.parts(bow.ends.0, off_curve)?;
    let y_left = left_of_a_line(world);
    let part = |w: &[Plan]| Piece { start: w[0], end: w[1], y_left, band, top: WallTop::NONE };
    Some(points.windows(2).map(part).collect())
}

/// On which side of the line the wall's own y lies. By the standard the axis runs along the wall's
/// x; where an exporter lets it run another way, the y of its layers is taken as the left of the
/// line in the wall's own coordinates.
fn y_left(start: Plan, end: Plan, world: &Affine) -> f64 {
    let left = (-(end.1 - start.1), end.0 - start.0);
    let len = left.0.hypot(left.1);
    let across = (world.y[0] * left.0 + world.y[1] * left.1) / len;
    if across.abs() > 0.999 {
        return across.signum();
    }
    left_of_a_line(world)
}

/// Where the left of a line in a wall's own coordinates is, seen from above: of an upside-down or mirrored
/// wall on the right.
fn left_of_a_line(world: &Affine) -> f64 {
    let upright = world.x[0] * world.y[1] - world.x[1] * world.y[0];
    if upright < 0.0 { -1.0 } else { 1.0 }
}

/// Why a body has no straight pieces.
enum NoPieces {
    /// It is curved, this thick.
    Round(Bow, f64),
    Trouble(Trouble),
}

impl<T: Into<Trouble>> From<T> for NoPieces {
    fn from(trouble: T) -> NoPieces {
        NoPieces::Trouble(trouble.into())
    }
}

/// The pieces of a wall without an axis: one straight strip, else an even chain with bends, else, where
/// it is drawn as several parts, a strip around them.
fn pieces_of_body(
    body: &Body,
    kind: &str,
    world: &Affine,
    long: f64,
    of_parts: bool,
) -> Result<Vec<Piece>, NoPieces> {
    let piece = |start: Plan, end: Plan, thickness: f64| Piece {
        start,
        end,
        y_left: y_left(start, end, world),
        band: Some((-thickness / 2.0, thickness / 2.0)),
        top: WallTop::NONE,
    };
    let straight = |s: Strip| vec![piece(s.start, s.end, s.thickness)];
    // Arcs of an elevation swept through the wall's thickness make an arched top, no curved wall.
    if body.prisms.iter().any(|p| p.curved && p.sweep[2].abs() > 0.5 * norm(p.sweep)) {
        let Some(chain) = chain_of_body(body) else { return Err(Trouble::Curved(None).into()) };
        let points: Vec<Vec3> = chain.points.iter().map(|p| [p.0, p.1, 0.0]).collect();
        return Err(NoPieces::Round(Bow::of(&points), chain.thickness));
    }
    let (whole, several) = if body.prisms.is_empty() {
        (strip_of_faces(body, kind, long), of_parts)
    } else {
        let no_line =
            |why| format!("no axis and its body is {kind} without a centreline: {why}").into();
        (strip_of_body(body).map_err(no_line), of_parts || body.prisms.len() > 1)
    };
    let trouble = match whole {
        Ok(strip) => return Ok(straight(strip)),
        Err(trouble) => trouble,
    };
    if let Some(chain) = chain_of_body(body) {
        let each = chain.points.windows(2).map(|w| piece(w[0], w[1], chain.thickness));
        return Ok(each.collect());
    }
    if several && let Ok(strip) = strip_of_members(body, FACED_THICKNESS.1 * long, 2.0 * long) {
        return Ok(straight(strip));
    }
    Err(trouble.into())
}

/// Thinnest and thickest wall taken from faces alone, in parts of 24 in: 2.5 and 24 in (common
/// practice, no source). Beyond, the faces are rather those of a slab or a room.
const FACED_THICKNESS: (f64, f64) = (2.5 / 24.0, 1.0);

/// The strip of a body without a swept solid.
fn strip_of_faces(body: &Body, kind: &str, long: f64) -> Result<Strip, Trouble> {
    if let Some(why) = body.unread.first() {
        let why = format!("no axis and its body is {kind}, which cannot be read: {why}");
        return Err(Trouble::Unreadable(why));
    }
    if body.is_empty() {
        let none = if kind.is_empty() { "no body" } else { "its body is empty" };
        return Err(Trouble::Unreadable(format!("no axis and {none}")));
    }
    let strip = strip_of_mesh(body).map_err(|e| match e {
        NoStrip::Curved => Trouble::Curved(None),
        NoStrip::Other(_) if body.round_faces => Trouble::Curved(None),
        NoStrip::Other(why) => Trouble::Unreadable(format!(
            "no axis and its body is {kind} without a centreline: {why}"
        )),
    })?;
    let (least, most) = (FACED_THICKNESS.0 * long, FACED_THICKNESS.1 * long);
    if !(least..=most).contains(&strip.thickness) {
        let inches = strip.thickness / long * 24.0;
        let why = format!(
            "no axis and its body is {kind}, whose long faces are {inches:.1} in apart: no wall is"
        );
        return Err(Trouble::Unreadable(why));
    }
    Ok(strip)
}

/// A piece as a line to measure from.
struct Line {
    start: Plan,
    d: Plan,
    len: f64,
}

impl Line {
    /// `None` for a piece without length.
    fn of(piece: &Piece) -> Option<Line> {
        let (dx, dy) = (piece.end.0 - piece.start.0, piece.end.1 - piece.start.1);
        let len = dx.hypot(dy);
        (len > 0.0).then(|| Line { start: piece.start, d: (dx / len, dy / len), len })
    }
    /// Station and offset (left positive) of a point.
    fn locate(&self, p: Vec3) -> (f64, f64) {
        let (x, y) = (p[0] - self.start.0, p[1] - self.start.1);
        (x * self.d.0 + y * self.d.1, y * self.d.0 - x * self.d.1)
    }
}

/// A body measured from a piece: stations, offsets (left positive) and heights, least and greatest.
pub fn measure(piece: &Piece, body: &Body) -> Option<[(f64, f64); 3]> {
    let line = Line::of(piece)?;
    Some([
        body.range(|p| line.locate(p).0)?,
        body.range(|p| line.locate(p).1)?,
        body.range(|p| p[2])?,
    ])
}

/// Takes the body's band, and lengthens a piece whose body reaches much farther than its axis; by
/// how much in all.
fn fit_to_body(piece: &mut Piece, body: &Body, long: f64) -> f64 {
    let Some(line) = Line::of(piece) else { return 0.0 };
    let Some(across) = body.range(|p| line.locate(p).1) else { return 0.0 };
    piece.band = Some(across);
    let swept = Body { prisms: body.prisms.clone(), ..Body::default() };
    let Some((from, to)) = swept.range(|p| line.locate(p).0) else { return 0.0 };
    let short = (to - from) - line.len;
    if short <= long || short <= 0.25 * (to - from) || across.1 - across.0 > to - from {
        return 0.0;
    }
    let at = |s: f64| (line.start.0 + line.d.0 * s, line.start.1 + line.d.1 * s);
    (piece.start, piece.end) = (at(from), at(to));
    short
}

/// No wall is longer: 20 000 ft, in parts of 24 in.
const MOST_AXIS: f64 = 10_000.0;

/// Whether a body may end elsewhere along its line than its corners do, be broken, or have holes.
fn is_intricate(body: &Body) -> bool {
    let level = |p: &Prism| p.sweep[2].abs() < 0.5 * norm(p.sweep);
    let upright = |r: &Region| {
        matches!(r, Region::Outside(_)) || r.parts().iter().any(|part| part.is_upright())
    };
    let cut = |p: &Prism| p.removed.iter().any(upright);
    let swept = |p: &Prism| cut(p) || (level(p) && (p.outline.len() > 4 || !p.holes.is_empty()));
    !body.loops.is_empty() || body.prisms.len() > 1 || body.prisms.iter().any(swept)
}

/// Looks along the middle of a straight piece's body, clips carried out: where it ends, where it is broken, what holes it
/// has. The piece is taken to where its body ends: of an axis, where the two differ by more than half the
/// wall's thickness; of a body, where clips cut it off.
fn look_along(piece: &mut Piece, body: &Body, foot: f64, long: f64, from_axis: bool) -> Seen {
    let mut seen = Seen::default();
    let Some((line, band)) = Line::of(piece).zip(piece.band) else { return seen };
    let Some((from, to)) = body.range(|p| line.locate(p).0) else { return seen };
    let thickness = band.1 - band.0;
    let hair = LEVEL * long;
    let limit = if from_axis { thickness / 2.0 + hair } else { hair };
    let apart = from.abs() > limit || (to - line.len).abs() > limit;
    // An axis of miles is damage, which its coordinates tell.
    let damaged = line.len.is_nan() || line.len > MOST_AXIS * long;
    if damaged || to - from <= hair || !(is_intricate(body) || (from_axis && apart)) {
        return seen;
    }
    let at = |s: f64| (line.start.0 + line.d.0 * s, line.start.1 + line.d.1 * s);
    let look = |part: f64| {
        let offset = band.0 + part * thickness;
        let (x, y) = at(from);
        let start = (x - line.d.1 * offset, y + line.d.0 * offset);
        elevation(body, &Section { start, d: line.d, len: to - from }, foot, long)
    };
    let Some(middle) = look(0.5 + OFF_THE_MIDDLE) else {
        seen.too_intricate = !body.loops.is_empty();
        return seen;
    };
    let Some((first, last)) = middle.reach.map(|r| (r.0 + from, r.1 + from)) else { return seen };
    if from_axis || body.clips > 0 {
        let beyond = [first, line.len - last];
        let ends = [(&mut piece.start, first), (&mut piece.end, last)];
        for ((end, station), (off, kept)) in
            ends.into_iter().zip(beyond.into_iter().zip(&mut seen.axis_ends))
        {
            if off.abs() > limit {
                *kept = from_axis.then_some((*end, off));
                *end = at(station);
            }
        }
    }
    seen.gaps = middle.gaps.iter().map(|g| (at(g.0 + from), at(g.1 + from))).collect();
    if !middle.holes.is_empty() {
        // What is seen from both sides goes through; the rest is a recess.
        let sides = [0.1, 0.9].map(|part| look(part).map_or_else(Vec::new, |e| e.holes));
        let through = |h: &&Hole| {
            let shared = |o: &Hole| o.along.1.min(h.along.1) - o.along.0.max(h.along.0);
            let wide = 0.5 * (h.along.1 - h.along.0);
            sides.iter().all(|side| side.iter().any(|o| shared(o) > wide))
        };
        let hole = |h: &Hole| (at(h.along.0 + from), at(h.along.1 + from), h.z);
        seen.holes = middle.holes.iter().filter(through).map(hole).collect();
    }
    seen
}

/// The faces of a bent wall on both sides of a piece of its axis: the nearest level edges that run along
/// most of it.
fn near_faces(piece: &Piece, body: &Body) -> Option<(f64, f64)> {
    let line = Line::of(piece)?;
    let mut offsets: Vec<f64> = Vec::new();
    for (a, b) in level_edges(body) {
        let ((s, o), (t, u)) = (line.locate([a.0, a.1, 0.0]), line.locate([b.0, b.1, 0.0]));
        let shared = s.max(t).min(line.len) - s.min(t).max(0.0);
        if (o - u).abs() <= 1e-3 * (s - t).abs() && shared > 0.5 * line.len {
            offsets.push((o + u) / 2.0);
        }
    }
    offsets.sort_by(f64::total_cmp);
    let least = 1e-6 * line.len;
    offsets.dedup_by(|a, b| *a - *b <= least);
    let sides = offsets.windows(2).map(|w| (w[0], w[1]));
    let around = sides.filter(|(a, b)| *a <= least && -least <= *b);
    around.min_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)))
}

/// Tops that differ less are level: 1/8 in, as a part of 24 in.
const LEVEL: f64 = 0.125 / 24.0;

/// A bevel below this is not worth a word: 1/4 in, as a part of 24 in.
const BEVEL: f64 = 0.25 / 24.0;

/// A wall lower than 12 in (as a part of 24 in) has no height to plan: its top starts at its foot.
const LEAST_HEIGHT: f64 = 0.5;

/// A piece is cut open a hair off its middle, where edges of faces like to run: this part of its thickness.
const OFF_THE_MIDDLE: f64 = 1e-4;

/// The section of a piece's line at an offset.
fn section(line: &Line, offset: f64) -> Section {
    let start = (line.start.0 - line.d.1 * offset, line.start.1 + line.d.0 * offset);
    Section { start, d: line.d, len: line.len }
}

/// What plates can follow of a piece's top that is not level.
fn legs(piece: &Piece, stretches: &[Stretch], foot: f64, long: f64) -> Option<Legs> {
    top::followed(stretches, Line::of(piece)?.len, foot, LEVEL * long, LEAST_HEIGHT * long)
}

/// How the top of a straight piece runs, with its stretches along the middle where it was cut open. `whole` says that
/// the body is that of this piece alone.
fn top_line(
    piece: &Piece,
    body: &Body,
    foot: f64,
    long: f64,
    whole: bool,
) -> (TopLine, Option<Vec<Stretch>>) {
    let cut = body.clips > 0;
    if let [prism] = body.prisms.as_slice()
        && !cut
        && body.loops.is_empty()
        && prism.sweep[0].hypot(prism.sweep[1]) <= 1e-9 * prism.sweep[2].abs()
        && prism.outline.iter().all(|p| p[2] == prism.outline[0][2])
    {
        return (TopLine::Level, None);
    }
    let mut along_middle = None;
    let known = Line::of(piece).zip(piece.band).and_then(|(line, band)| {
        let (thickness, middle) = (band.1 - band.0, (band.0 + band.1) / 2.0);
        let open = |offset: f64| top::along(body, &section(&line, offset), foot);
        let sum = |s: &[Stretch]| top::sum_up(s, foot, LEVEL * long, LEAST_HEIGHT * long);
        let at = |offset: f64| sum(&open(offset)?);
        along_middle = open(middle + OFF_THE_MIDDLE * thickness);
        let top = sum(along_middle.as_deref()?)?;
        let sides = at(band.0 + 0.02 * thickness).zip(at(band.1 - 0.02 * thickness));
        let bevel = match sides {
            Some((a, b)) if (a.planned - b.planned).abs() > BEVEL * long => {
                let middle = (a.planned + b.planned) / 2.0;
                let straight = (middle - top.planned).abs() <= LEVEL * long;
                // Back from the lines looked at to the faces themselves.
                let by = (a.planned - b.planned).abs() / 0.96;
                if straight { Bevel::By(by) } else { Bevel::Uneven }
            }
            _ => Bevel::None,
        };
        Some((top, bevel))
    });
    let line = match known {
        Some((Top { run: Run::Level, planned, .. }, Bevel::None))
            if body.blind.is_empty() && body.range(|p| p[2]).is_some_and(|r| r.1 <= planned) =>
        {
            TopLine::Level
        }
        Some((top, bevel)) => TopLine::Known { top, bevel, blind: !body.blind.is_empty() },
        None if cut || (whole && !top_is_level(piece, body)) => TopLine::Unknown,
        None => TopLine::Level,
    };
    (line, along_middle)
}

/// Whether the body is as high at both ends as anywhere.
fn top_is_level(piece: &Piece, body: &Body) -> bool {
    let Some(line) = Line::of(piece) else { return true };
    let ranges = measure(piece, body);
    let Some([(from, to), _, (foot, top)]) = ranges else { return true };
    let near = 0.01 * (to - from);
    let end_top = |at: f64| {
        let there = body.corners().filter(|p| (line.locate(*p).0 - at).abs() <= near);
        there.map(|p| p[2]).fold(f64::NEG_INFINITY, f64::max)
    };
    let slack = 0.005 * (top - foot);
    end_top(from) >= top - slack && end_top(to) >= top - slack
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(points: &[(f64, f64)]) -> Polyline {
        Polyline { points: points.iter().map(|p| [p.0, p.1, 0.0]).collect(), curved: false }
    }

    #[test]
    fn bends_make_pieces_and_needless_points_do_not() {
        let l = line(&[(0.0, 0.0), (0.0, 0.0), (5.0, 0.0), (10.0, 0.0), (10.0, 7.0)]);
        let p = pieces(&l, &Affine::IDENTITY);
        let ends: Vec<(Plan, Plan)> = p.iter().map(|p| (p.start, p.end)).collect();
        assert_eq!(ends, [((0.0, 0.0), (10.0, 0.0)), ((10.0, 0.0), (10.0, 7.0))]);
        assert!(pieces(&line(&[(1.0, 1.0), (1.0, 1.0)]), &Affine::IDENTITY).is_empty());
    }

    #[test]
    fn the_side_of_y() {
        let flipped = Affine::placement([0.0; 3], Some([0.0, 0.0, -1.0]), None);
        let (a, b, c) = ((0.0, 0.0), (10.0, 0.0), (6.0, 8.0));
        assert_eq!(y_left(a, b, &Affine::IDENTITY), 1.0);
        assert_eq!(y_left(b, a, &Affine::IDENTITY), -1.0);
        assert_eq!(y_left(a, b, &flipped), -1.0);
        assert_eq!(y_left(a, c, &Affine::IDENTITY), 1.0);
        assert_eq!(y_left(a, c, &flipped), -1.0);
    }
}
