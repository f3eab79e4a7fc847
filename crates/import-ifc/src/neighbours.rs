//! Walls that stand side by side, as a lining in front of the structure does: said openly, since each is
//! planned, or left out, by itself.

use crate::inventory::{Fate, Inventory};
use crate::report::Report;
use crate::shape::Piece;
use crate::walls::{RawWall, Reader};
use diag::SourceRef;
use diag::codes::ifc;
use std::collections::BTreeMap;

/// Faces nearer than this belong to one assembly: 1 in (common practice, no source).
const GAP_IN: f64 = 1.0;

/// Walls are one assembly over at least this part of the shorter one.
const SHARED: f64 = 0.5;

/// Walls within this angle run side by side: about a quarter degree.
const ANGLE: f64 = 0.004;

/// A straight wall on its way to be paired, in inches.
struct Strip<'w> {
    source: &'w SourceRef,
    read: bool,
    angle: f64,
    /// Offsets of both faces from zero, along the normal of the direction's angle.
    band: (f64, f64),
    along: (f64, f64),
}

/// Reports pairs of walls of one storey whose faces lie together over most of their length.
pub fn report(
    reader: &Reader<'_, '_, '_>,
    raw: &[RawWall<'_>],
    places: &[usize],
    inventory: &Inventory,
    report: &mut Report,
) {
    let mut storeys: BTreeMap<usize, Vec<Strip<'_>>> = BTreeMap::new();
    for (wall, storey) in raw.iter().zip(places) {
        let read = inventory.fate(wall.id) == Some(&Fate::Used);
        for piece in wall.shape.iter().flat_map(|s| &s.pieces) {
            if let Some(s) = strip(piece, &wall.source, read, reader.unit.inches) {
                storeys.entry(*storey).or_default().push(s);
            }
        }
    }
    for strips in storeys.values_mut() {
        strips.sort_by(|a, b| {
            let key = |s: &Strip<'_>| (s.band.0, s.angle);
            let (a, b) = (key(a), key(b));
            a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
        });
        for (n, a) in strips.iter().enumerate() {
            // Sorted by the near face: who starts beyond the far one is no neighbour any more.
            let near = strips.iter().skip(n + 1).take_while(|b| b.band.0 <= a.band.1 + GAP_IN);
            for b in near.filter(|b| beside(a, b)) {
                tell(a, b, report);
            }
        }
    }
}

fn strip<'w>(piece: &Piece, source: &'w SourceRef, read: bool, inches: f64) -> Option<Strip<'w>> {
    let (low, high) = piece.band?;
    let (dx, dy) = (piece.end.0 - piece.start.0, piece.end.1 - piece.start.1);
    let len = dx.hypot(dy);
    if !len.is_finite() || len <= 0.0 {
        return None;
    }
    // One sense for each direction.
    let turn = if dy < 0.0 || (dy == 0.0 && dx < 0.0) { -1.0 } else { 1.0 };
    let d = (turn * dx / len, turn * dy / len);
    let mut angle = d.1.atan2(d.0);
    if angle > std::f64::consts::PI - ANGLE {
        angle -= std::f64::consts::PI;
    }
    let offset = d.0 * piece.start.1 - d.1 * piece.start.0;
    let band = if turn > 0.0 { (low, high) } else { (-high, -low) };
    let s = d.0 * piece.start.0 + d.1 * piece.start.1;
    let t = d.0 * piece.end.0 + d.1 * piece.end.1;
    Some(Strip {
        source,
        read,
        angle,
        band: ((offset + band.0) * inches, (offset + band.1) * inches),
        along: (s.min(t) * inches, s.max(t) * inches),
    })
}

fn beside(a: &Strip<'_>, b: &Strip<'_>) -> bool {
    let gap = b.band.0 - a.band.1;
    // What overlaps more lies on the other wall, which is told elsewhere.
    let thin = (a.band.1 - a.band.0).min(b.band.1 - b.band.0);
    let shared = a.along.1.min(b.along.1) - a.along.0.max(b.along.0);
    let shorter = (a.along.1 - a.along.0).min(b.along.1 - b.along.0);
    (a.angle - b.angle).abs() <= ANGLE
        && a.source != b.source
        && (-0.25 * thin..=GAP_IN).contains(&gap)
        && shared >= SHARED * shorter
}

fn tell(a: &Strip<'_>, b: &Strip<'_>, report: &mut Report) {
    let (one, two) = if a.source < b.source { (a, b) } else { (b, a) };
    let (subject, other) = if one.read == two.read || two.read { (one, two) } else { (two, one) };
    let what = match (subject.read, other.read) {
        (true, true) => {
            format!("stands side by side with {}; both are planned as walls", other.source.entity)
        }
        (false, true) => {
            format!("stands side by side with {}, which is planned; it is not", other.source.entity)
        }
        _ => "stands side by side with another wall; neither is planned".to_owned(),
    };
    report.add(ifc::WALLS_BESIDE, "wall", what, subject.source);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shape::WallTop;

    fn piece(start: (f64, f64), end: (f64, f64), half: f64) -> Piece {
        Piece { start, end, y_left: 1.0, band: Some((-half, half)), top: WallTop::NONE }
    }
    fn together(p: &Piece, q: &Piece) -> bool {
        let name = |n: &str| SourceRef { entity: n.to_owned(), layer: String::new() };
        let (a, b) = (name("a"), name("b"));
        let (s, t) = (strip(p, &a, true, 1.0).unwrap(), strip(q, &b, true, 1.0).unwrap());
        beside(&s, &t) || beside(&t, &s)
    }

    #[test]
    fn linings_are_found_whichever_way_they_run() {
        let wall = piece((0.0, 0.0), (120.0, 0.0), 2.25);
        assert!(together(&wall, &piece((100.0, 2.75), (10.0, 2.75), 0.25)));
        assert!(together(&wall, &piece((0.0, -4.5), (120.0, -4.5), 1.75)));
        assert!(!together(&wall, &piece((0.0, 12.0), (120.0, 12.0), 2.25)));
        assert!(!together(&wall, &piece((118.0, 2.75), (300.0, 2.75), 0.25)));
        assert!(!together(&wall, &piece((0.0, 0.0), (120.0, 0.0), 2.25)));
        let slanted = piece((0.0, 0.0), (60.0, 60.0), 2.0);
        let k = 4.2 / 2.0_f64.sqrt();
        assert!(together(&slanted, &piece((60.0 - k, 60.0 + k), (-k, k), 2.0)));
    }
}
