//! Walls that stop at a door or window hard against another wall.
//!
//! Knows: the wall lines, a symbol that lies on none of them. Never touches: layers' names, sections, the
//! file. Everything is in inches.
//!
//! Between a door hard against a corner and the other wall nothing is left to draw, so the door's wall is
//! drawn from its other jamb on. Its plates run over the door to the other wall all the same: where the
//! symbol fills the way from the wall's end to the other wall's face, the wall is carried on to it.

use crate::affine::{Xy, cross, dot, norm, sub};
use crate::folded::is_folded;
use crate::linework::{Segment, sine_between};
use crate::nearby::LineIndex;
use crate::openings::{GAP_SLACK_IN, HostLine, NARROWEST_IN, REACH_IN, Symbol, laid_along};

/// How far a symbol may stay off the wall's end: frame and clearance.
const CLEARANCE_IN: f64 = 3.0;
/// How far casing may reach over the wall's end, or into the other wall.
pub(crate) const CASING_IN: f64 = 6.0;
/// Widest stub of wall between the opening and the other wall's face that need not be drawn.
const STUB_IN: f64 = 6.0;
/// What is left of a stub no wider than this is drafting.
const CRACK_IN: f64 = 0.125;
/// Sine of the least angle at which another wall bounds an opening: 30 degrees.
const ACROSS: f64 = 0.5;
/// Sine of the angle up to which another wall line stands in the same line: 0.5 degrees.
const IN_LINE: f64 = 0.008_73;

/// Sine of the angle up to which a wall is along the sheet.
const ALONG_THE_SHEET: f64 = 1e-4;

/// What stands beside a symbol that lies on no wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Beside {
    /// No wall ends at it in its line.
    Nothing,
    /// A wall in its line ends at it, and nothing tells how it goes on.
    WallEnds,
    /// The symbol fills the way from a wall's end to another wall.
    Bridged(CarriedOn),
}

/// A wall line that goes on through an opening.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct CarriedOn {
    /// Wall line.
    pub host: usize,
    /// Its new end, on the other wall's centreline.
    pub end: Xy,
    /// The opening's side where the wall line ended, on the centreline.
    pub from: Xy,
    /// The other side: the other wall's face, or a stub's edge.
    pub to: Xy,
}

/// Looks for a wall that a symbol carries on to another one. The symbol lies on no wall.
pub(crate) fn beside(
    symbol: &Symbol,
    hosts: &[HostLine],
    index: &LineIndex,
    widest_half: f64,
    snap: f64,
) -> Beside {
    let near = index.near(&symbol.corners(), widest_half + GAP_SLACK_IN);
    let leaves = symbol.shut_leaves();
    let mut best: Option<([i64; 2], usize, CarriedOn)> = None;
    let mut ends_here = false;
    for i in near.iter().map(|i| *i as usize) {
        let Some(host) = hosts.get(i) else { continue };
        for (other_end, end) in [(host.line.b, host.line.a), (host.line.a, host.line.b)] {
            let along = sub(end, other_end);
            let length = norm(along);
            if length <= 0.0 {
                continue;
            }
            let dir = [along[0] / length, along[1] / length];
            let Some((span, aside)) = in_line(symbol, &leaves, host, end, dir) else { continue };
            ends_here = true;
            // In plans that are turned on the sheet it is not sure enough: there the open end is told as an error.
            if dir.iter().all(|v| v.abs() > ALONG_THE_SHEET) {
                continue;
            }
            if !(-CASING_IN..=CLEARANCE_IN).contains(&span[0]) {
                continue;
            }
            let Some((to, meets)) = bridged(hosts, (i, end, dir), span, &near, snap) else {
                continue;
            };
            let at = |s: f64| [end[0] + dir[0] * s, end[1] + dir[1] * s];
            let found = CarriedOn { host: i, end: at(meets), from: end, to: at(to) };
            let rank = [aside, span[0].abs()].map(|v| (v * 16.0).round() as i64);
            if best.as_ref().is_none_or(|(r, k, _)| (rank, i) < (*r, *k)) {
                best = Some((rank, i, found));
            }
        }
    }
    match best {
        Some((_, _, found)) => Beside::Bridged(found),
        None if ends_here => Beside::WallEnds,
        None => Beside::Nothing,
    }
}

/// Where a symbol lies beyond a wall line's end, along it, and how far its middle is off the line; none
/// when it is not in line with the wall or does not begin at the end.
fn in_line(
    symbol: &Symbol,
    leaves: &[Segment],
    host: &HostLine,
    end: Xy,
    dir: Xy,
) -> Option<([f64; 2], f64)> {
    let (span, off) = laid_along(symbol, leaves, end, dir)?;
    let width = span[1] - span[0];
    let begins = (-width / 2.0..=GAP_SLACK_IN).contains(&span[0]);
    if !width.is_finite() || width < NARROWEST_IN || !begins {
        return None;
    }
    // Of a swing whose leaf is not to be made out, and of panels half open, only the side at the wall counts.
    let swing = leaves.is_empty() && (!symbol.arcs.is_empty() || is_folded(symbol, dir));
    let aside = match swing {
        true => off[0].abs().min(off[1].abs()),
        false => ((off[0] + off[1]) / 2.0).abs(),
    };
    let within = |v: f64| v.abs() <= host.half + REACH_IN;
    let fits = aside <= host.half + 1.0 && (swing || (within(off[0]) && within(off[1])));
    fits.then_some((span, aside))
}

/// Where an opening that begins at a wall line's end and spans `span` from there stops, and where the
/// line then meets the other wall's centreline; none when the symbol does not fill the way.
fn bridged(
    hosts: &[HostLine],
    (i, end, dir): (usize, Xy, Xy),
    span: [f64; 2],
    near: &[u32],
    snap: f64,
) -> Option<(f64, f64)> {
    let host = hosts.get(i)?;
    let across = walls_across(hosts, i, end, dir, near, snap);
    let ahead = across.into_iter().filter(|c| c.middle > NARROWEST_IN);
    let next = ahead.min_by(|a, b| a.faces[0].total_cmp(&b.faces[0]))?;
    let face = next.faces[0];
    if !(-CASING_IN..=STUB_IN).contains(&(face - span[1])) {
        return None;
    }
    // Another wall in the same line: which of the two the opening is in is not for this to say.
    let taken = near.iter().map(|j| *j as usize).filter(|j| *j != i).any(|j| {
        hosts.get(j).filter(|o| o.storey == host.storey).is_some_and(|o| {
            let [a, b] = [o.line.a, o.line.b].map(|p| sub(p, end));
            let (s, t) = (dot(a, dir), dot(b, dir));
            sine_between(dir, sub(b, a)) <= IN_LINE
                && cross(dir, a).abs() <= host.half.max(o.half)
                && s.max(t) > CRACK_IN
                && s.min(t) < face
        })
    });
    if taken {
        return None;
    }
    // What frame or casing take at one jamb they take at the other.
    let jamb = span[0] + span[1];
    let to = if face - jamb <= CRACK_IN { face } else { jamb };
    (to >= NARROWEST_IN).then_some((to, next.middle))
}

/// A wall across a line: stations on the line.
pub(crate) struct Across {
    /// Of the wall's two faces, ascending.
    pub faces: [f64; 2],
    /// Of its centreline.
    pub middle: f64,
}

/// The walls of the same storey that cross, or end at, the line through `origin` along `dir`, the line
/// of `i`.
pub(crate) fn walls_across(
    hosts: &[HostLine],
    i: usize,
    origin: Xy,
    dir: Xy,
    near: &[u32],
    snap: f64,
) -> Vec<Across> {
    let Some(host) = hosts.get(i) else { return Vec::new() };
    let others = near.iter().map(|j| *j as usize).filter(|j| *j != i);
    let crossing = others.filter_map(|j| {
        let o = hosts.get(j).filter(|o| o.storey == host.storey)?;
        let along = sub(o.line.b, o.line.a);
        let length = norm(along);
        let sine = sine_between(dir, along);
        if length <= 0.0 || sine < ACROSS {
            return None;
        }
        let od = [along[0] / length, along[1] / length];
        let from = sub(o.line.a, origin);
        // `origin + dir * middle = o.line.a + od * station`.
        let middle = cross(from, od) / cross(dir, od);
        let station = cross(from, dir) / cross(dir, od);
        // A wall drawn to the face of this one ends half of it short.
        let slack = host.half / sine + snap.max(1.0 / 16.0);
        let half = o.half / sine;
        let meets = (-slack..=length + slack).contains(&station);
        meets.then_some(Across { faces: [middle - half, middle + half], middle })
    });
    crossing.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::linework::Arc;
    use wall_model::OpeningKind;

    fn line(x0: f64, y0: f64, x1: f64, y1: f64) -> Segment {
        Segment { a: [x0, y0], b: [x1, y1] }
    }
    fn symbol(segments: Vec<Segment>, arcs: Vec<Arc>) -> Symbol {
        Symbol {
            kind: OpeningKind::Door,
            segments,
            arcs,
            shapes: vec![0],
            told: crate::openings::Told::Layer,
        }
    }
    /// Walls 4 in thick.
    fn seen(s: &Symbol, walls: &[Segment]) -> Beside {
        let host = |line: &Segment| HostLine { line: *line, half: 2.0, class: 0, storey: 0 };
        let hosts: Vec<HostLine> = walls.iter().map(host).collect();
        assert_eq!(crate::openings::host(s, &hosts, &LineIndex::new(walls), 2.0, 0.375), None);
        beside(s, &hosts, &LineIndex::new(walls), 2.0, 0.375)
    }
    /// An upright wall through x = 0, and one that goes off to the right from x = 38.
    fn corner() -> [Segment; 2] {
        [line(0.0, 0.0, 0.0, 120.0), line(38.0, 0.0, 200.0, 0.0)]
    }
    fn carried(to: f64) -> Beside {
        let (end, from) = ([0.0, 0.0], [38.0, 0.0]);
        Beside::Bridged(CarriedOn { host: 1, end, from, to: [to, 0.0] })
    }

    #[test]
    fn a_door_hard_against_the_corner_carries_its_wall_on() {
        assert_eq!(seen(&symbol(vec![line(2.0, 0.0, 38.0, 0.0)], vec![]), &corner()), carried(2.0));
        // A leaf 34-1/2 in wide, open along the other wall, in its frame.
        let swing = Arc::of_circle([2.75, 0.0], 34.5, 0.0, 90.0);
        let leaf = symbol(vec![line(2.75, 0.0, 2.75, 34.5)], vec![swing]);
        assert_eq!(seen(&leaf, &corner()), carried(2.0));
        // The same against a wall that passes.
        let tee = [line(0.0, -90.0, 0.0, 120.0), corner()[1]];
        assert_eq!(seen(&leaf, &tee), carried(2.0));
    }

    #[test]
    fn a_stub_beside_the_door_stays() {
        let s = symbol(vec![line(5.0, -2.0, 38.0, -2.0), line(5.0, 2.0, 38.0, 2.0)], vec![]);
        assert_eq!(seen(&s, &corner()), carried(5.0));
    }

    #[test]
    fn what_does_not_fill_the_way_carries_nothing_on() {
        // Too far from the corner, and too far from the wall's end.
        let wide = symbol(vec![line(12.0, 0.0, 38.0, 0.0)], vec![]);
        assert_eq!(seen(&wide, &corner()), Beside::WallEnds);
        let short = symbol(vec![line(2.0, 0.0, 33.0, 0.0)], vec![]);
        assert_eq!(seen(&short, &corner()), Beside::WallEnds);
        // No wall there at all.
        let alone = symbol(vec![line(2.0, 0.0, 38.0, 0.0)], vec![]);
        assert_eq!(seen(&alone, &corner()[1..]), Beside::WallEnds);
        // Beside the wall's line, and nowhere near its end.
        let beside = symbol(vec![line(2.5, 14.0, 38.0, 14.0)], vec![]);
        assert_eq!(seen(&beside, &corner()), Beside::Nothing);
        let off = symbol(vec![line(2.5, 4.0, 38.0, 4.0)], vec![]);
        assert_eq!(seen(&off, &corner()), Beside::Nothing);
        let far = symbol(vec![line(-60.0, 0.0, -24.0, 0.0)], vec![]);
        assert_eq!(seen(&far, &corner()), Beside::Nothing);
    }

    #[test]
    fn walls_in_the_way_or_on_another_storey_count_as_they_stand() {
        let s = symbol(vec![line(2.0, 0.0, 38.0, 0.0)], vec![]);
        // Another wall crosses the opening.
        let crossed = [corner()[0], corner()[1], line(20.0, -60.0, 20.0, 60.0)];
        assert_eq!(seen(&s, &crossed), Beside::WallEnds);
        let mut hosts: Vec<HostLine> = corner()
            .iter()
            .map(|line| HostLine { line: *line, half: 2.0, class: 0, storey: 0 })
            .collect();
        hosts[0].storey = 1;
        let index = LineIndex::new(&corner());
        assert_eq!(beside(&s, &hosts, &index, 2.0, 0.375), Beside::WallEnds);
    }
}
