//! A product's body: which representation holds it, and the pieces of a wall that is known by its body alone.

use super::axis::y_left;
use super::{Piece, Trouble, WallTop};
use crate::bow::Bow;
use crate::geometry::Shapes;
use crate::geometry::affine::{Affine, Vec3, norm};
use crate::geometry::body::Body;
use crate::geometry::footprint::{Plan, Strip, chain_of_body, strip_of_body};
use crate::geometry::members::strip_of_members;
use crate::geometry::mesh::{NoStrip, strip_of_mesh};
use crate::geometry::placement::PlacementMemo;
use crate::step::{Param, Record};

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
pub fn body_of_parts<'a>(
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

/// Why a body has no straight pieces.
pub enum NoPieces {
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
pub fn pieces_of_body(
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
