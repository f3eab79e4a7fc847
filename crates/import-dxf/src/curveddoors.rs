//! Curved walls put together across their doors, as the straight parts they are planned as.
//!
//! Knows: which pieces of one circle are one wall with an opening between, how the straight part across it lies.
//! Never touches: which arcs are walls (`arcwalls`), findings.

use crate::affine::{Xy, dot, norm, sub};
use crate::arcwalls::{Curve, SAME_CENTRE_IN, SHARED_IN};
use crate::linework::Segment;
use crate::network::distance;
use crate::pairing::{NARROWEST_IN, WIDEST_PLAIN_IN};
use crate::walls::{Spec, WallLine};
use std::f64::consts::TAU;

/// Two pieces of one curved wall have radii this near to each other, inches.
const SAME_RADIUS_IN: f64 = 1.0 / 16.0;
/// King stud and trimmer beside an opening, inches: they stand in the straight part across it.
const STUDS_IN: f64 = 3.0;
/// A curved wall between two faces, as far as both go.
pub(crate) struct Faced {
    pub middle: Curve,
    pub shapes: Vec<usize>,
    pub wall: WallLine,
}

/// A curved wall as it is planned.
pub(crate) struct Made {
    /// The whole of it, doors included.
    pub curve: Curve,
    pub shapes: Vec<usize>,
    pub lines: Vec<WallLine>,
    /// Width of each opening, and how far the straight part at it lies off the curve, inches.
    pub doors: Vec<[f64; 2]>,
}

/// Walls of one circle and thickness with openings between them, put together: the pieces as they follow on
/// each other, and the turn of each opening. Straight `walls` in a gap make it no opening.
pub(crate) fn across_doors(
    mut faced: Vec<Faced>,
    walls: &[WallLine],
) -> Vec<(Vec<Faced>, Vec<f64>)> {
    let mut out: Vec<(Vec<Faced>, Vec<f64>)> = Vec::new();
    while !faced.is_empty() {
        let mut pieces = vec![faced.remove(0)];
        let mut gaps: Vec<f64> = Vec::new();
        // On from the last piece as long as something follows, then back from the first.
        for onward in [true, false] {
            loop {
                let end = if onward { pieces.last() } else { pieces.first() };
                let Some(end) = end else { break };
                let gap_to = |o: &Faced| {
                    let (from, to) = if onward { (end, o) } else { (o, end) };
                    door_between(from, to, walls)
                };
                let all = faced.iter().enumerate();
                let near = all.filter_map(|(i, o)| Some((gap_to(o)?, i)));
                let Some((gap, i)) = near.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))
                else {
                    break;
                };
                let next = faced.remove(i);
                match onward {
                    true => (pieces.push(next), gaps.push(gap)),
                    false => (pieces.insert(0, next), gaps.insert(0, gap)),
                };
            }
        }
        out.push((pieces, gaps));
    }
    out
}

/// The turn of the opening from the end of one wall to the start of another, if they are one wall with an
/// opening there.
fn door_between(one: &Faced, other: &Faced, walls: &[WallLine]) -> Option<f64> {
    let (a, b) = (&one.middle, &other.middle);
    let alike = norm(sub(a.centre, b.centre)) <= SAME_CENTRE_IN
        && (a.radius - b.radius).abs() <= SAME_RADIUS_IN
        && (one.wall.spec.thickness_in - other.wall.spec.thickness_in).abs() <= SAME_RADIUS_IN
        && one.wall.spec == Spec { thickness_in: one.wall.spec.thickness_in, ..other.wall.spec };
    let gap = (b.from - a.from - a.sweep).rem_euclid(TAU);
    let width = gap * a.radius;
    // The studs beside the opening stand in the straight part.
    let room = [a, b].iter().all(|c| c.sweep * c.radius >= 2.0 * STUDS_IN + SHARED_IN);
    if !alike || !room || !(NARROWEST_IN..=WIDEST_PLAIN_IN).contains(&width) || gap > 1.0 {
        return None;
    }
    let chord = Segment { a: a.at(a.sweep), b: b.at(0.0) };
    let half = one.wall.spec.thickness_in / 2.0;
    let stands = |w: &WallLine| {
        let g = &w.line;
        let reach = half + w.spec.thickness_in / 2.0;
        let near = |p: Xy, line: &Segment| distance(line, p) <= reach;
        let middle = [(chord.a[0] + chord.b[0]) / 2.0, (chord.a[1] + chord.b[1]) / 2.0];
        [g.a, g.b].into_iter().any(|p| near(p, &chord)) || near(middle, g)
    };
    (!walls.iter().any(stands)).then_some(gap)
}

/// The parts of one curved wall: straight parts along the curve, and one across each opening with room for the
/// studs beside it.
pub(crate) fn planned(pieces: &[Faced], gaps: &[f64]) -> Option<Made> {
    let first = pieces.first()?;
    let last = pieces.len().checked_sub(1)?;
    let mut made =
        Made { curve: first.middle, shapes: Vec::new(), lines: Vec::new(), doors: Vec::new() };
    let part = |line: Segment, gaps: Vec<[Xy; 2]>| WallLine {
        line,
        shapes: first.wall.shapes.clone(),
        gaps,
        panes: Vec::new(),
        ..first.wall
    };
    for (n, piece) in pieces.iter().enumerate() {
        let c = piece.middle;
        let studs = STUDS_IN / c.radius;
        let cut = [if n > 0 { studs } else { 0.0 }, if n < last { studs } else { 0.0 }];
        let own = Curve { from: c.from + cut[0], sweep: c.sweep - cut[0] - cut[1], ..c };
        made.shapes.extend(&piece.shapes);
        made.lines.extend(own.parts()?.into_iter().map(|line| part(line, Vec::new())));
        let (Some(gap), Some(next)) = (gaps.get(n), pieces.get(n + 1)) else { continue };
        made.curve.sweep += gap + next.middle.sweep;
        let line = Segment { a: c.at(c.sweep - studs), b: next.middle.at(studs) };
        let along = sub(line.b, line.a);
        let at = |p: Xy| {
            let t = dot(sub(p, line.a), along) / dot(along, along).max(1e-300);
            [line.a[0] + along[0] * t, line.a[1] + along[1] * t]
        };
        let jambs = [at(c.at(c.sweep)), at(next.middle.at(0.0))];
        let off = c.radius * (1.0 - (gap / 2.0 + studs).cos());
        made.doors.push([norm(sub(jambs[1], jambs[0])), off]);
        made.lines.push(part(line, vec![jambs]));
    }
    Some(made)
}
