//! Which wall an opening, door or window stands in, where the file does not say: by its place.

use crate::cuts::Cut;
use crate::geometry::body::Body;
use crate::geometry::footprint::Plan;
use crate::shape::Piece;
use crate::walls::{RawWall, Reader};
use rustc_hash::FxHashMap;

/// How far from a wall's face something may stand and still be in it: 6 in (common practice, no
/// source).
const REACH_IN: f64 = 6.0;

/// A wall as a possible host, in the file's unit.
pub struct Host {
    piece: Piece,
    /// Offsets of its faces, left positive.
    band: (f64, f64),
    heights: (f64, f64),
    /// Its piece in the model; `None` for a wall that was left out.
    pub cut: Option<Cut>,
}

/// Every wall with a place, those left out too: what stands in one of them is in no other.
pub fn hosts(raw: &[RawWall<'_>], cuts: &FxHashMap<u64, Vec<Cut>>) -> Vec<Host> {
    let mut all = Vec::new();
    for wall in raw {
        if let Some(cuts) = cuts.get(&wall.id) {
            all.extend(cuts.iter().map(|c| Host {
                piece: c.piece,
                band: c.piece.band.unwrap_or(c.framing),
                heights: c.heights,
                cut: Some(*c),
            }));
            continue;
        }
        let Some(shape) = &wall.shape else { continue };
        let pieces = shape.pieces.iter();
        let host = |p: &Piece| Host {
            piece: *p,
            band: p.band.unwrap_or_default(),
            heights: (shape.foot_z, p.top.highest.unwrap_or(f64::INFINITY)),
            cut: None,
        };
        all.extend(pieces.map(host));
    }
    all
}

/// The wall that something stands in: the nearest whose faces are within 6 in of it and whose height
/// it shares. `origin` is where it is placed.
pub fn nearest<'h>(
    reader: &Reader<'_, '_, '_>,
    hosts: &'h [Host],
    body: &Body,
    origin: Plan,
) -> Option<&'h Host> {
    let reach = REACH_IN / reader.unit.inches;
    let (x, y, z) = (body.range(|p| p[0])?, body.range(|p| p[1])?, body.range(|p| p[2])?);
    // A door drawn open reaches far from its wall, but is placed in it; where the placement is
    // somewhere else altogether, the body's middle tells.
    let inside = |v: f64, r: (f64, f64)| r.0 - reach <= v && v <= r.1 + reach;
    let at = if inside(origin.0, x) && inside(origin.1, y) {
        origin
    } else {
        ((x.0 + x.1) / 2.0, (y.0 + y.1) / 2.0)
    };
    // Of walls that lie on each other, one that was read comes first.
    type Key = (f64, bool, f64, f64, f64);
    let mut best: Option<(Key, &Host)> = None;
    for host in hosts {
        let shared = z.1.min(host.heights.1) - z.0.max(host.heights.0);
        if shared < 0.5 * (z.1 - z.0) {
            continue;
        }
        let Some((off, past, aside)) = distance(host, at) else { continue };
        if off > reach || past > reach {
            continue;
        }
        // Beside a corner, the wall it runs along is the one it is in.
        let Some([along, across, _]) = crate::shape::measure(&host.piece, body) else { continue };
        let thick = host.band.1 - host.band.0 + 2.0 * reach;
        if along.1 - along.0 < (across.1 - across.0).min(thick) {
            continue;
        }
        let start = host.piece.start;
        let key = (off + past, host.cut.is_none(), aside, start.0, start.1);
        if best.as_ref().is_none_or(|b| key < b.0) {
            best = Some((key, host));
        }
    }
    best.map(|b| b.1)
}

/// How far a point is from a wall's faces, past its ends, and from its middle.
fn distance(host: &Host, at: Plan) -> Option<(f64, f64, f64)> {
    let (a, b) = (host.piece.start, host.piece.end);
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let len = dx.hypot(dy);
    if len.is_nan() || len <= 0.0 {
        return None;
    }
    let (x, y) = (at.0 - a.0, at.1 - a.1);
    let (s, o) = ((x * dx + y * dy) / len, (y * dx - x * dy) / len);
    let aside = (o - (host.band.0 + host.band.1) / 2.0).abs();
    let off = (aside - (host.band.1 - host.band.0) / 2.0).max(0.0);
    Some((off, (-s).max(s - len).max(0.0), aside))
}
