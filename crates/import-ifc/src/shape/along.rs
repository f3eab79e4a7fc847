//! A body looked at along a piece of its wall: where it ends, how wide it is, gaps and holes, how its top
//! runs.

use super::{Bevel, Piece, Seen, TopLine};
use crate::geometry::affine::{Vec3, norm};
use crate::geometry::body::{Body, Prism};
use crate::geometry::elevation::{Hole, elevation};
use crate::geometry::footprint::Plan;
use crate::geometry::members::level_edges;
use crate::geometry::opened::{self, Opened, Section, Stretch};
use crate::geometry::region::Region;
use crate::geometry::top::{self, Legs, Run, Top};

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
pub fn fit_to_body(piece: &mut Piece, body: &Body, long: f64) -> f64 {
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
pub fn look_along(piece: &mut Piece, body: &Body, foot: f64, long: f64, from_axis: bool) -> Seen {
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
pub fn near_faces(piece: &Piece, body: &Body) -> Option<(f64, f64)> {
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

/// Tops at both faces are looked at this far apart, as a part of the wall's thickness.
const ACROSS: f64 = 0.96;

/// The section of a piece's line at an offset.
fn section(line: &Line, offset: f64) -> Section {
    let start = (line.start.0 - line.d.1 * offset, line.start.1 + line.d.0 * offset);
    Section { start, d: line.d, len: line.len }
}

/// The height of a top at a station.
fn height_at(stretches: &[Stretch], s: f64) -> Option<f64> {
    stretches.iter().find(|t| t.along.0 <= s && s <= t.along.1).map(|t| t.at(s))
}

/// A leg is looked at across the wall at this many places.
const LOOKS: u8 = 9;

/// How legs run across the wall: the tops along both faces beside that along the middle. What is so over less than a
/// third of a leg is a notch, or a roof that comes askew where legs meet.
fn bevel_of_legs(legs: &Legs, middle: &[Stretch], faces: [&[Stretch]; 2], long: f64) -> Bevel {
    let mut most: f64 = 0.0;
    for leg in legs.all() {
        let stations =
            (0..LOOKS).map(|n| leg.along.0 + (f64::from(n) + 0.5) / f64::from(LOOKS) * leg.len());
        let across = |s: f64| {
            let [a, b] = faces.map(|face| height_at(face, s));
            let (a, b, m) = (a?, b?, height_at(middle, s)?);
            let straight = ((a + b) / 2.0 - m).abs() <= BEVEL * long;
            straight.then_some((a - b).abs() / ACROSS)
        };
        let mut by: Vec<f64> = stations.filter_map(across).collect();
        if by.len() * 3 < usize::from(LOOKS) * 2 {
            return Bevel::Uneven;
        }
        by.sort_by(f64::total_cmp);
        most = most.max(by[by.len() / 2]);
    }
    if most > BEVEL * long { Bevel::By(most) } else { Bevel::None }
}

/// Whether a body is one prism that stands upright on a level outline, nothing taken off.
fn is_plain(body: &Body) -> bool {
    let [prism] = body.prisms.as_slice() else { return false };
    body.clips == 0
        && body.loops.is_empty()
        && prism.sweep[0].hypot(prism.sweep[1]) <= 1e-9 * prism.sweep[2].abs()
        && prism.outline.iter().all(|p| p[2] == prism.outline[0][2])
}

/// A foot that is lower than this everywhere is level: 1/2 in, as a part of 24 in.
const LEVEL_FOOT: f64 = 0.5 / 24.0;
/// What stands higher over less of its length than this is a notch: 12 in, as a part of 24 in.
const LEAST_STEP: f64 = 0.5;
/// What is level and begins so much higher is no step of the foot but a doorway: 48 in, as a part of 24 in.
const DOORWAY: f64 = 2.0;

/// The lowest height of a straight piece's foot, clips carried out, and the highest along its middle where it is not
/// level; `None` where the body's own lowest place holds.
pub fn foot_line(piece: &Piece, body: &Body, foot: f64, long: f64) -> Option<(f64, f64)> {
    if is_plain(body) {
        return None;
    }
    let (line, band) = Line::of(piece).zip(piece.band)?;
    let (thickness, middle) = (band.1 - band.0, (band.0 + band.1) / 2.0);
    let open =
        |part: f64| Some(Opened::along(body, &section(&line, middle + part * thickness))?.foot());
    let lowest =
        |stretches: &[Stretch]| stretches.iter().map(|s| s.z.0.min(s.z.1)).reduce(f64::min);
    let stretches = open(OFF_THE_MIDDLE)?;
    // A bevelled foot is lowest at a face.
    let faces = [-ACROSS / 2.0, ACROSS / 2.0].into_iter().filter_map(open);
    let low = faces.filter_map(|s| lowest(&s)).fold(lowest(&stretches)?, f64::min);
    let low = if low - foot > LEVEL * long { low } else { foot };
    let of_foot = |s: &&Stretch| {
        (s.z.0 - s.z.1).abs() > LEVEL * long || s.z.0.min(s.z.1) - low < DOORWAY * long
    };
    let high = |s: &Stretch| s.z.0.max(s.z.1);
    let risen = |s: &&Stretch| high(s) - low > LEVEL_FOOT * long;
    let steps = || stretches.iter().filter(of_foot).filter(risen);
    let uneven = steps().map(Stretch::len).sum::<f64>() >= LEAST_STEP * long;
    let most = steps().map(high).fold(low, f64::max);
    match uneven {
        true => Some((low, most)),
        false => (low > foot).then_some((low, low)),
    }
}

/// How the top of a straight piece runs, and what plates can follow of it where it is not level. `whole` says that
/// the body is that of this piece alone.
pub fn top_line(
    piece: &Piece,
    body: &Body,
    foot: f64,
    long: f64,
    whole: bool,
) -> (TopLine, Option<Legs>) {
    if is_plain(body) {
        return (TopLine::Level, None);
    }
    let cut = body.clips > 0;
    let blind = !body.blind.is_empty();
    let known = Line::of(piece).zip(piece.band).and_then(|(line, band)| {
        let (thickness, middle) = (band.1 - band.0, (band.0 + band.1) / 2.0);
        let open = |offset: f64| opened::along(body, &section(&line, offset), foot);
        let sum = |s: &[Stretch]| top::sum_up(s, foot, LEVEL * long, LEAST_HEIGHT * long);
        let along_middle = open(middle + OFF_THE_MIDDLE * thickness)?;
        let top = sum(&along_middle)?;
        let reach = ACROSS * thickness / 2.0;
        let sides = open(middle - reach).zip(open(middle + reach));
        let legs = top::followed(&along_middle, line.len, foot, LEVEL * long, LEAST_HEIGHT * long);
        if let Some((legs, (a, b))) = legs.zip(sides.as_ref())
            && !blind
            && let bevel @ (Bevel::None | Bevel::By(_)) =
                bevel_of_legs(&legs, &along_middle, [a, b], long)
        {
            return Some((top, bevel, Some(legs)));
        }
        let bevel = match sides.and_then(|(a, b)| sum(&a).zip(sum(&b))) {
            Some((a, b)) if (a.planned - b.planned).abs() > BEVEL * long => {
                let middle = (a.planned + b.planned) / 2.0;
                let straight = (middle - top.planned).abs() <= LEVEL * long;
                // Back from the lines looked at to the faces themselves.
                let by = (a.planned - b.planned).abs() / ACROSS;
                if straight { Bevel::By(by) } else { Bevel::Uneven }
            }
            _ if legs.is_some() => Bevel::Uneven,
            _ => Bevel::None,
        };
        Some((top, bevel, None))
    });
    match known {
        Some((Top { run: Run::Level, planned, .. }, Bevel::None, _))
            if !blind && body.range(|p| p[2]).is_some_and(|r| r.1 <= planned) =>
        {
            (TopLine::Level, None)
        }
        Some((top, bevel, legs)) => (TopLine::Known { top, bevel, blind }, legs),
        None if cut || (whole && !top_is_level(piece, body)) => (TopLine::Unknown, None),
        None => (TopLine::Level, None),
    }
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
