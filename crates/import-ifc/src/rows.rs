//! Walls with two rows of studs: which of the rows another wall ends at.
//!
//! All axes meet in the middle of such a wall, between its rows. A wall that ends at it goes to the nearer row. At a
//! corner the outer rows meet, and the inner ones; a wall with one row goes to the outer row, past the inner one.

use crate::ends::{Near, Strip};
use crate::geometry::footprint::Plan;
use crate::shape::Piece;
use crate::walls::{Framing, RawWall, Reader};
use rustc_hash::FxHashMap;
use std::borrow::Cow;

/// Ends this near to a wall's faces are at it: 1 in (common practice, no source).
const AT_WALL_IN: f64 = 1.0;

/// Walls that meet at less than 10 degrees run beside each other.
const LEAST_SINE: f64 = 0.17;

/// Where the ends of walls go that meet a wall with two rows: by wall, row and end the place on its own line.
#[derive(Default)]
pub struct RowEnds(FxHashMap<(usize, usize, usize), Plan>);

impl RowEnds {
    /// A wall's pieces as one of its rows has them.
    pub fn of<'p>(&self, wall: usize, row: usize, pieces: &'p [Piece]) -> Cow<'p, [Piece]> {
        let mut out = Cow::Borrowed(pieces);
        if let Some(start) = self.0.get(&(wall, row, 0))
            && let Some(p) = out.to_mut().first_mut()
        {
            *p = p.between(*start, p.end).unwrap_or(*p);
        }
        if let Some(end) = self.0.get(&(wall, row, 1))
            && let Some(p) = out.to_mut().last_mut()
        {
            *p = p.between(p.start, *end).unwrap_or(*p);
        }
        out
    }
}

/// One end of a wall, seen from there.
struct End {
    /// On the wall's line.
    at: Plan,
    /// Into the wall.
    inward: Plan,
    /// How far each of its rows lies left of that.
    rows: Vec<f64>,
}

/// Settles the ends of all walls that meet one with two rows. `framed` is each wall's framing, `places` its storey.
pub fn settle(
    reader: &Reader<'_, '_, '_>,
    raw: &[RawWall<'_>],
    framed: &[Option<&Framing>],
    places: &[usize],
) -> RowEnds {
    let mut out = RowEnds::default();
    let double = |n: usize| framed.get(n).copied().flatten().filter(|f| f.second.is_some());
    if !(0..raw.len()).any(|n| double(n).is_some()) {
        return out;
    }
    let slack = AT_WALL_IN / reader.unit.inches;
    let mut ends = Vec::new();
    for (n, wall) in raw.iter().enumerate() {
        let pieces = wall.shape.iter().flat_map(|s| &s.pieces);
        let (Some(first), Some(last)) = (pieces.clone().next(), pieces.last()) else { continue };
        ends.extend([(n, 0, first.start), (n, 1, last.end)]);
    }
    let near = Near::of(raw, &ends, slack);
    for (n, which, at) in ends {
        let Some(framing) = framed.get(n).copied().flatten() else { continue };
        let met: Vec<&Strip> = near
            .level_with(n, at)
            .filter(|s| double(s.owner).is_some() && places.get(s.owner) == places.get(n))
            .filter(|s| s.distance(at) <= slack)
            .collect();
        if met.is_empty() {
            continue;
        }
        let Some(end) = end_of(reader, &raw[n], framing, which) else { continue };
        // Of several the one it meets most squarely; of these the first.
        let sine = |s: &Strip| (s.d.0 * end.inward.1 - s.d.1 * end.inward.0).abs();
        let squarest =
            met.iter().max_by(|a, b| sine(a).total_cmp(&sine(b)).then(b.owner.cmp(&a.owner)));
        let Some(strip) = squarest.filter(|s| sine(s) >= LEAST_SINE) else { continue };
        let Some(rows) =
            double(strip.owner).and_then(|f| offsets(reader, &raw[strip.owner], strip, f))
        else {
            continue;
        };
        let passes = goes_on(strip, &met, at);
        for (row, left) in end.rows.iter().enumerate() {
            if let Some(to) = end.row_to(*left, strip, rows, passes) {
                out.0.insert((n, row, which), to);
            }
        }
    }
    out
}

impl End {
    /// Where a row that lies so far left of the end's line goes: to one of the two rows of the wall it meets.
    fn row_to(&self, left: f64, strip: &Strip, rows: [f64; 2], passes: bool) -> Option<Plan> {
        let cross = |a: Plan, b: Plan| a.0 * b.1 - a.1 * b.0;
        let sine = cross(strip.d, self.inward);
        let (s, o) = strip.place(self.at);
        // Least and greatest offset are the rows on the right and on the left of the other wall.
        let near = if sine > 0.0 { rows[1] } else { rows[0] };
        let far = if sine > 0.0 { rows[0] } else { rows[1] };
        let body = if s < strip.len / 2.0 { strip.d } else { (-strip.d.0, -strip.d.1) };
        // The axis may lie at a face, both rows on one side of it.
        let middle = self.rows.iter().sum::<f64>() / self.rows.len() as f64;
        let inner = self.rows.len() > 1 && (left - middle) * cross(self.inward, body) > 0.0;
        let target = if passes || inner { near } else { far };
        // Along the own line, from which the row lies aside: o + x * sine + left * cosine = target.
        let cosine = strip.d.0 * self.inward.0 + strip.d.1 * self.inward.1;
        let x = (target - o - left * cosine) / sine;
        let most = 2.0 * (strip.band.1 - strip.band.0) / sine.abs();
        (x.abs() <= most).then_some((self.at.0 + x * self.inward.0, self.at.1 + x * self.inward.1))
    }
}

fn end_of(
    reader: &Reader<'_, '_, '_>,
    wall: &RawWall<'_>,
    framing: &Framing,
    which: usize,
) -> Option<End> {
    let pieces = &wall.shape.as_ref()?.pieces;
    let piece = if which == 0 { pieces.first()? } else { pieces.last()? };
    let (dx, dy) = (piece.end.0 - piece.start.0, piece.end.1 - piece.start.1);
    let len = dx.hypot(dy);
    let turn = if which == 0 { 1.0 } else { -1.0 };
    let inward = (turn * dx / len, turn * dy / len);
    let left = |layer| turn * reader.framing_offset(wall, piece, layer, &mut Vec::new());
    let usable = len > 0.0 && len.is_finite();
    usable.then(|| End {
        at: if which == 0 { piece.start } else { piece.end },
        inward,
        rows: framing.rows().map(left).collect(),
    })
}

/// How far left of its line the rows of a double wall lie, least first.
fn offsets(
    reader: &Reader<'_, '_, '_>,
    wall: &RawWall<'_>,
    strip: &Strip,
    framing: &Framing,
) -> Option<[f64; 2]> {
    let piece = wall.shape.as_ref()?.pieces.get(strip.piece)?;
    let mut rows = framing.rows().map(|l| reader.framing_offset(wall, piece, l, &mut Vec::new()));
    let (a, b) = (rows.next()?, rows.next()?);
    Some([a.min(b), a.max(b)])
}

/// Whether a double wall goes on to both sides of a place, by itself or with another in line.
fn goes_on(strip: &Strip, met: &[&Strip], at: Plan) -> bool {
    let thick = strip.band.1 - strip.band.0;
    let s = strip.place(at).0;
    let inside = s > thick && s < strip.len - thick;
    let in_line = |other: &&&Strip| {
        let straight = (strip.d.0 * other.d.1 - strip.d.1 * other.d.0).abs() < LEAST_SINE;
        let middle = (
            other.start.0 + other.d.0 * other.len / 2.0,
            other.start.1 + other.d.1 * other.len / 2.0,
        );
        // On the other side of the place than the wall's own middle.
        straight && (strip.place(middle).0 - s) * (strip.len / 2.0 - s) < 0.0
    };
    inside || met.iter().any(|other| in_line(&other))
}
