//! The footprint of the walls, worked out from walls and junctions alone.
//!
//! Each wall is the band of its framing width about its centreline, node to node. How a band ends
//! depends on the junction at its run's end:
//! - free end, in-line, X: square at the node, or where walls in line are not quite straight at the line that
//!   halves the angle;
//! - L: at the outer face of the other wall, prolonged: both bands together are bounded by both outer
//!   faces, and their inner faces meet too. At 90 degrees that is the corner square. Where the walls
//!   are nearly straight (a bend), at the line through the node that halves the angle;
//! - T: the stem ends at the centreline of the walls it runs into, inside them; where two of three walls that all
//!   end there make a corner ([`corner_of_three`]), these two end as at an L and the third begins at
//!   the stem's outer face (square at the node where it stands out over the corner by more than 1-1/2 in);
//! - `other`: where two arms are in line, or two in a bend, the rest end at their centreline as at a T; where
//!   neighbouring arms stand more than 180 degrees apart, these two make a corner as at an L and what
//!   lies between them stays within its outer faces; else square at the node.

use crate::measure::{V, cross, dot, minus, moved};
use geom::{Length, Point};
use wall_model::StoreyId;
use wall_model::floor::{ArmAt, BEND, Floor, Junction, JunctionId, JunctionKind, RunId};

/// A polygon of the footprint, counter-clockwise.
pub struct Member {
    pub storey: StoreyId,
    /// The run it belongs to.
    pub run: RunId,
    pub outline: Vec<Point>,
}

/// An arm of a junction, seen from the node.
#[derive(Clone, Copy)]
pub struct Ray {
    pub run: RunId,
    /// Where the run's centreline passes the node: beside it, if the walls there have a face flush.
    pub from: Point,
    /// Unit direction away from the node.
    pub dir: V,
    /// Half the framing width, nm.
    pub half: f64,
}

/// Arms of a junction as rays; a run that passes gives two.
pub fn rays(floor: &Floor, junction: &Junction) -> Vec<Ray> {
    let mut rays = Vec::with_capacity(4);
    for arm in &junction.arms {
        let run = floor.run(arm.run);
        let dir = run.frame().dir();
        let half = run.section.width().nm() as f64 / 2.0;
        let from = match arm.at {
            ArmAt::Start => run.start,
            ArmAt::End => run.end,
            ArmAt::Through => {
                let frame = run.frame();
                frame.at(frame.locate(junction.at).0, Length::ZERO)
            }
        };
        let ray = |dir| Ray { run: arm.run, from, dir, half };
        if arm.at != ArmAt::End {
            rays.push(ray(dir));
        }
        if arm.at != ArmAt::Start {
            rays.push(ray((-dir.0, -dir.1)));
        }
    }
    rays
}

/// Three walls that end at a tee, two of which make a corner.
pub struct CornerOfThree {
    /// The one in line with the third, and the stem.
    pub pair: [Ray; 2],
    /// It butts the corner's outside.
    pub third: Ray,
    /// How far the third stands out over the corner's outer face, as it is wider or lies aside, nm; less than nothing
    /// where it does not.
    pub out: f64,
}

impl CornerOfThree {
    /// Whether it does by more than a finger's width: what stands out then reaches to the node.
    pub fn stands_out(&self) -> bool {
        self.out > FINGER_NM
    }
}

/// Of three walls that end at a tee the corner that two of them make, where equal tops are to lap: the stem with the one
/// wall of the line that is as high; where all are level and as high, with the one that is as wide.
pub fn corner_of_three(floor: &Floor, junction: &Junction) -> Option<CornerOfThree> {
    if junction.kind != JunctionKind::T || junction.arms.iter().any(|a| a.at == ArmAt::Through) {
        return None;
    }
    let [a, b, c] = rays(floor, junction)[..] else { return None };
    let straight =
        |p: &Ray, q: &Ray| dot(p.dir, q.dir) < 0.0 && cross(p.dir, q.dir).abs() <= STRAIGHT;
    let ways = [(a, b, c), (b, c, a), (c, a, b)];
    let (one, other, stem) = ways.into_iter().find(|(p, q, _)| straight(p, q))?;
    // Nearly along the line it is a bend's angle, on one side or the other.
    if cross(one.dir, stem.dir).abs() < BEND {
        return None;
    }
    let level_top = |r: &Ray| {
        let run = floor.run(r.run);
        (run.rise == Length::ZERO).then_some(run.top)
    };
    let high = level_top(&stem)?;
    let equal = [one, other].map(|r| (level_top(&r) == Some(high), r.half == stem.half));
    let (beside, third) = match equal {
        [(true, _), (false, _)] | [(true, true), (true, false)] => (one, other),
        [(false, _), (true, _)] | [(true, false), (true, true)] => (other, one),
        _ => return None,
    };
    let aside = cross(beside.dir, minus(third.from, beside.from)).abs();
    let out = aside + third.half - beside.half;
    Some(CornerOfThree { pair: [beside, stem], third, out })
}

/// What stands out over a corner by no more than 1-1/2 in is no place for a stud: the band begins beyond the corner with
/// all of its width.
const FINGER_NM: f64 = 38_100_000.0;

/// Ends of two walls that go on beside each other's lines share room for a splice plate from here on: 1-1/2 in.
const SPLICED_NM: f64 = 38_100_000.0;

/// How a band ends.
enum Cut {
    /// Square at the node.
    Square,
    /// Along the line `p . normal = reach`, from the node.
    Face { normal: V, reach: f64 },
    /// Square at the node, and on the inner side of two faces.
    Within([(V, f64); 2]),
    /// The right edge ends at one such line and the left one at another, and between them the end goes by these places.
    Bent([(V, f64); 2], [Point; 2]),
}

/// Lines that meet at less than this (sine of about 1 degree) are in line: prolonging a face to meet
/// the other would run away.
pub const IN_LINE: f64 = 0.0175;

/// Sine of the angle below which two in line are straight.
const STRAIGHT: f64 = 0.000_05;

/// Every polygon of the footprint, by wall.
pub fn members(floor: &Floor) -> Vec<Member> {
    let mut members = Vec::with_capacity(floor.walls.len() + 8);
    for wall in &floor.walls {
        let run = floor.run(wall.run);
        let d = minus(wall.end, wall.start);
        let length = d.0.hypot(d.1);
        if length == 0.0 {
            continue;
        }
        let dir = (d.0 / length, d.1 / length);
        let half = wall.section.width().nm() as f64 / 2.0;
        let cut_at = |is_run_end: bool, junction: JunctionId, at: ArmAt| {
            if is_run_end {
                cut(floor, floor.junction(junction), wall.run, at)
            } else {
                Cut::Square
            }
        };
        let start = cut_at(wall.start == run.start, run.start_junction, ArmAt::Start);
        let end = cut_at(wall.end == run.end, run.end_junction, ArmAt::End);
        // Right and left seen along the wall.
        let [sr, sl] = corners(wall.start, dir, half, length, &start);
        let [el, er] = corners(wall.end, (-dir.0, -dir.1), half, length, &end);
        // Of either end from its own left to its own right.
        let between = |cut: &Cut| match cut {
            Cut::Bent(_, [right, left]) => vec![*left, *right],
            _ => Vec::new(),
        };
        let mut outline = vec![sr, er];
        outline.extend(between(&end));
        outline.extend([el, sl]);
        outline.extend(between(&start));
        outline.dedup();
        for (node, cut) in [(wall.start, &start), (wall.end, &end)] {
            if let Cut::Within(faces) = cut {
                for (normal, reach) in faces {
                    outline = clipped(&outline, node, *normal, *reach);
                }
            }
        }
        members.push(Member { storey: wall.storey, run: wall.run, outline });
    }
    members
}

/// Right and left corner of a band's end at a node, seen along `dir`, which points into the band.
fn corners(node: Point, dir: V, half: f64, length: f64, cut: &Cut) -> [Point; 2] {
    let left = (-dir.1, dir.0);
    [0, 1].map(|k| {
        let side = [-1.0, 1.0][k];
        let edge = (left.0 * half * side, left.1 * half * side);
        let up_to = |(normal, reach): (V, f64)| {
            ((reach - dot(edge, normal)) / dot(dir, normal)).min(length)
        };
        let along = match cut {
            Cut::Square | Cut::Within(_) => 0.0,
            Cut::Face { normal, reach } => up_to((*normal, *reach)),
            Cut::Bent(lines, _) => up_to(lines[k]),
        };
        moved(node, (edge.0 + dir.0 * along, edge.1 + dir.1 * along))
    })
}

fn cut(floor: &Floor, junction: &Junction, run: RunId, at: ArmAt) -> Cut {
    let run_dir = floor.run(run).frame().dir();
    let dir = if at == ArmAt::Start { run_dir } else { (-run_dir.0, -run_dir.1) };
    let all = rays(floor, junction);
    let others = || all.iter().filter(|r| r.run != run);
    let own = if at == ArmAt::Start { floor.run(run).start } else { floor.run(run).end };
    // A face of another band, `past` its centreline, as far as it lies from this band's own end.
    let face = |other: &Ray, normal: V, past: f64| Cut::Face {
        normal,
        reach: past + dot(minus(other.from, own), normal),
    };
    if let Some([_, other]) = on_half_angle(floor, junction, run) {
        return halves(junction, own, dir, other.dir);
    }
    match junction.kind {
        JunctionKind::L => {
            let Some(other) = others().next() else { return Cut::Square };
            if cross(dir, other.dir).abs() <= IN_LINE {
                return Cut::Square;
            }
            // Outwards is away from this arm.
            let left = (-other.dir.1, other.dir.0);
            let normal = if dot(left, dir) < 0.0 { left } else { (-left.0, -left.1) };
            face(other, normal, other.half)
        }
        JunctionKind::T => {
            if let Some(c) = corner_of_three(floor, junction) {
                let [a, b] = c.pair;
                let is_third = run == c.third.run;
                if is_third && c.stands_out() {
                    return Cut::Square;
                }
                let other = if run == b.run { a } else { b };
                let left = (-other.dir.1, other.dir.0);
                // The third begins at the stem's outer face, which looks its way; the others end at faces that look away.
                let outwards = (dot(left, dir) > 0.0) == is_third;
                let normal = if outwards { left } else { (-left.0, -left.1) };
                return face(&other, normal, other.half);
            }
            let in_line = others().any(|o| cross(dir, o.dir).abs() <= IN_LINE);
            if let ([a, b], false) = (&others().collect::<Vec<_>>()[..], in_line)
                && a.run != b.run
            {
                return up_to_middles(junction, own, dir, [a, b]);
            }
            let Some(other) = others().find(|o| cross(dir, o.dir).abs() > IN_LINE) else {
                return Cut::Square;
            };
            if in_line {
                return Cut::Square;
            }
            face(other, (-other.dir.1, other.dir.0), 0.0)
        }
        JunctionKind::Other => {
            if let Some([a, b]) = bend_among(floor, junction) {
                return up_to_middles(junction, own, dir, [&a, &b]);
            }
            if others().any(|o| cross(dir, o.dir).abs() <= IN_LINE) {
                return Cut::Square;
            }
            let in_line = |a: &&Ray| {
                let straight = |b: &Ray| cross(a.dir, b.dir).abs() <= IN_LINE;
                others().any(|b| dot(a.dir, b.dir) < 0.0 && straight(b))
            };
            if let Some(pair) = others().find(in_line) {
                return face(pair, (-pair.dir.1, pair.dir.0), 0.0);
            }
            let Some((a, b)) = open_side(&all) else { return Cut::Square };
            let (a_out, b_out) = ((-a.dir.1, a.dir.0), (b.dir.1, -b.dir.0));
            match run {
                r if r == a.run => face(&b, b_out, b.half),
                r if r == b.run => face(&a, a_out, a.half),
                _ => Cut::Within(
                    [(&a, a_out), (&b, b_out)]
                        .map(|(r, normal)| (normal, r.half + dot(minus(r.from, own), normal))),
                ),
            }
        }
        JunctionKind::X | JunctionKind::Inline | JunctionKind::End => Cut::Square,
    }
}

/// Up to the centrelines of two walls that go on from each other, in line or in a bend, each on its own side of the line
/// that halves their angle: they may lie aside of each other there.
fn up_to_middles(junction: &Junction, own: Point, dir: V, [a, b]: [&Ray; 2]) -> Cut {
    let (right, left) = if cross(dir, a.dir) < 0.0 { (a, b) } else { (b, a) };
    let across = (a.dir.0 - b.dir.0, a.dir.1 - b.dir.1);
    let line = |r: &Ray| {
        let normal = (-r.dir.1, r.dir.0);
        (normal, dot(minus(r.from, own), normal))
    };
    let end = |r: &Ray| {
        let along = dot(minus(junction.at, r.from), across) / dot(r.dir, across);
        moved(r.from, (r.dir.0 * along, r.dir.1 * along))
    };
    Cut::Bent([line(right), line(left)], [end(right), end(left)])
}

/// On the line through the node that halves the angle between two arms.
fn halves(junction: &Junction, own: Point, dir: V, other: V) -> Cut {
    let across = (other.0 - dir.0, other.1 - dir.1);
    let size = across.0.hypot(across.1);
    let normal = (across.0 / size, across.1 / size);
    Cut::Face { normal, reach: dot(minus(junction.at, own), normal) }
}

/// Whether two arms of a corner make a bend: nearly straight.
fn is_bend(a: V, b: V) -> bool {
    cross(a, b).abs() < BEND && dot(a, b) < 0.0
}

/// Whether a junction is a corner that makes a bend.
pub fn is_bend_at(floor: &Floor, junction: &Junction) -> bool {
    let rays = rays(floor, junction);
    junction.kind == JunctionKind::L && matches!(rays[..], [a, b] if is_bend(a.dir, b.dir))
}

/// How far two arms that go on from each other lie aside of each other's lines at a node, nm.
pub fn apart(junction: &Junction, a: &Ray, b: &Ray) -> f64 {
    let left = |r: &Ray| cross(r.dir, minus(r.from, junction.at));
    (left(a) + left(b)).abs()
}

/// Of three arms and more that all end at a place, none of them in line, the two that go on straightest from each other, if
/// they make a bend and share room for a splice plate.
fn bend_among(floor: &Floor, junction: &Junction) -> Option<[Ray; 2]> {
    let all_end = junction.arms.iter().all(|arm| arm.at != ArmAt::Through);
    if junction.kind != JunctionKind::Other || !all_end || junction.arms.len() < 3 {
        return None;
    }
    let all = rays(floor, junction);
    let pairs = all.iter().enumerate().flat_map(|(i, a)| all[i + 1..].iter().map(move |b| [a, b]));
    let off = |[a, b]: &[&Ray; 2]| cross(a.dir, b.dir).abs();
    let [a, b] = pairs
        .filter(|[a, b]| is_bend(a.dir, b.dir))
        .min_by(|p, q| off(p).total_cmp(&off(q)))
        .filter(|pair| off(pair) >= wall_model::floor::IN_LINE)?;
    let spliced = a.half + b.half - apart(junction, a, b) >= SPLICED_NM;
    spliced.then_some([*a, *b])
}

/// A run that ends at a junction and the one it meets there on the line that halves their angle: in a bend, or in line
/// but not straight.
pub fn on_half_angle(floor: &Floor, junction: &Junction, run: RunId) -> Option<[Ray; 2]> {
    let all = rays(floor, junction);
    let ends = |r: &&Ray| all.iter().filter(|o| o.run == r.run).count() == 1;
    let own = all.iter().filter(ends).find(|r| r.run == run)?;
    let bend = bend_among(floor, junction);
    let leans = |o: &&Ray| {
        let sine = cross(own.dir, o.dir).abs();
        let in_line = sine > STRAIGHT && sine < wall_model::floor::IN_LINE;
        let is_bend = junction.kind == JunctionKind::L && is_bend(own.dir, o.dir);
        let of_bend = || {
            bend.is_some_and(|pair| [run, o.run].iter().all(|r| pair.iter().any(|p| p.run == *r)))
        };
        dot(own.dir, o.dir) < 0.0 && (in_line || is_bend || of_bend())
    };
    let other = all.iter().filter(ends).filter(|r| r.run != run).find(leans)?;
    Some([*own, *other])
}

/// The two neighbouring arms with more than 180 degrees between them, counter-clockwise.
fn open_side(all: &[Ray]) -> Option<(Ray, Ray)> {
    let mut all = all.to_vec();
    all.sort_by(|a, b| a.dir.1.atan2(a.dir.0).total_cmp(&b.dir.1.atan2(b.dir.0)));
    let pairs = (0..all.len()).map(|i| (all[i], all[(i + 1) % all.len()]));
    // Counter-clockwise from a to b, over 180 degrees: a turns right to b.
    pairs.into_iter().find(|(a, b)| all.len() > 1 && cross(a.dir, b.dir) < -IN_LINE)
}

/// The part of a convex polygon with `(p - node) . normal <= reach`.
fn clipped(polygon: &[Point], node: Point, normal: V, reach: f64) -> Vec<Point> {
    let height = |p: Point| dot(minus(p, node), normal) - reach;
    let mut out = Vec::new();
    for (i, p) in polygon.iter().enumerate() {
        let q = polygon[(i + 1) % polygon.len()];
        let (hp, hq) = (height(*p), height(q));
        if hp <= 0.0 {
            out.push(*p);
        }
        if (hp < 0.0 && hq > 0.0) || (hp > 0.0 && hq < 0.0) {
            let d = minus(q, *p);
            let t = hp / (hp - hq);
            out.push(moved(*p, (d.0 * t, d.1 * t)));
        }
    }
    out
}

/// Stations on a run where the faces of another run's band cross its two edges: near and far seen
/// along `run`. `None` when they are in line.
pub fn face_stations(floor: &Floor, run: RunId, other: RunId) -> Option<[[Length; 2]; 2]> {
    let (r, o) = (floor.run(run), floor.run(other));
    let (f, g) = (r.frame(), o.frame());
    let turn = cross(g.dir(), f.dir());
    if turn.abs() <= IN_LINE {
        return None;
    }
    let (hr, ho) = (r.section.width().nm() as f64 / 2.0, o.section.width().nm() as f64 / 2.0);
    let (_, offset) = g.locate(r.start);
    let lean = dot(f.dir(), g.dir());
    // Offset from the other's centreline along this run's edge at `side`: offset + s*turn + side*hr*lean.
    let station = |face: f64, side: f64| {
        Length::from_nm(((face - offset.nm() as f64 - side * hr * lean) / turn).round() as i64)
    };
    let near = if turn > 0.0 { -ho } else { ho };
    Some([[station(near, -1.0), station(near, 1.0)], [station(-near, -1.0), station(-near, 1.0)]])
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use lumber::Section;
    use wall_model::floor::{Arm, FloorWall, Run};
    use wall_model::{Storey, WallId};

    fn at(x: f64, y: f64) -> Point {
        let inch = |v| Length::from_inches(v).unwrap_or_default();
        Point::new(inch(x), inch(y))
    }

    /// Walls from the origin to the places named, all 2x4.
    pub(crate) fn star(kind: JunctionKind, tips: &[(f64, f64)]) -> Floor {
        let s = StoreyId(0);
        let mut floor = Floor { storeys: vec![], walls: vec![], runs: vec![], junctions: vec![] };
        floor.storeys.push(Storey { name: String::new(), elevation: Length::ZERO });
        let junction = |at, kind, arms| Junction {
            storey: s,
            at,
            kind,
            arms,
            angle_deg: 0.0,
            step: Length::ZERO,
        };
        floor.junctions.push(junction(at(0.0, 0.0), kind, vec![]));
        for (i, tip) in tips.iter().enumerate() {
            let run = RunId(i as u32);
            let tip_junction = JunctionId(floor.junctions.len() as u32);
            let (node, tip) = (at(0.0, 0.0), at(tip.0, tip.1));
            let starts = node < tip;
            let (start, end) = if starts { (node, tip) } else { (tip, node) };
            let (a, b) = (JunctionId(0), tip_junction);
            let (sj, ej) = if starts { (a, b) } else { (b, a) };
            let ends = |start| if start { ArmAt::Start } else { ArmAt::End };
            floor.junctions[0].arms.push(Arm { run, at: ends(starts) });
            floor.junctions.push(junction(
                tip,
                JunctionKind::End,
                vec![Arm { run, at: ends(!starts) }],
            ));
            floor.runs.push(Run {
                storey: s,
                start,
                end,
                section: Section::S2X4,
                base: Length::ZERO,
                top: Length::inches(97),
                rise: Length::ZERO,
                walls: vec![i as u32],
                start_junction: sj,
                end_junction: ej,
                through: vec![],
            });
            floor.walls.push(FloorWall {
                storey: s,
                start,
                end,
                drawn_thickness: Length::ZERO,
                section: Section::S2X4,
                base: Length::ZERO,
                top: Length::inches(97),
                rise: Length::ZERO,
                exterior: false,
                bearing: None,
                run,
                openings: vec![],
                source: vec![],
                wall: WallId(i as u32),
            });
        }
        floor
    }

    /// Square inches of a box that some member covers.
    fn covered(floor: &Floor, x0: f64, y0: f64, x1: f64, y1: f64) -> f64 {
        let window = vec![at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1)];
        let members = members(floor);
        let bare: f64 = crate::measure::difference(
            std::iter::once(window.as_slice()),
            members.iter().map(|m| m.outline.as_slice()),
        )
        .iter()
        .map(crate::measure::Part::square_inches)
        .sum();
        (x1 - x0) * (y1 - y0) - bare
    }

    #[test]
    fn a_right_corner_gets_its_square() {
        let floor = star(JunctionKind::L, &[(100.0, 0.0), (0.0, 100.0)]);
        assert_eq!(covered(&floor, -1.75, -1.75, 0.0, 0.0), 1.75 * 1.75);
        // Nothing beyond the two outer faces.
        assert_eq!(covered(&floor, -9.0, -9.0, -1.75, 9.0), 0.0);
        assert_eq!(covered(&floor, -9.0, -9.0, 9.0, -1.75), 0.0);
    }

    /// The triangle 3-4-5: the tip of the outer faces lies at (-3.5, -1.75), see the tests' oblique
    /// corner. Left of x = 0 lie: the first band, bounded by the outer face from (-3.5, -1.75) to
    /// (-0.875, 1.75), that is 3.5 x (3.5 + 0.875) / 2 = 7.65625, and above it the second band,
    /// bounded by x = 0: outer face from (-0.875, 1.75) to (0, 2.91667), 0.875 x 1.16667 / 2 = 0.51042.
    #[test]
    fn an_oblique_corner_is_bounded_by_both_outer_faces() {
        let floor = star(JunctionKind::L, &[(100.0, 0.0), (60.0, 80.0)]);
        let got = covered(&floor, -9.0, -9.0, 0.0, 9.0);
        assert!((got - (7.65625 + 0.875 * 3.5 / 6.0)).abs() < 1e-6, "{got}");
    }

    #[test]
    fn a_tee_adds_nothing_beyond_the_wall_it_meets() {
        let floor = star(JunctionKind::T, &[(100.0, 0.0), (-100.0, 0.0), (60.0, 80.0)]);
        assert_eq!(covered(&floor, -50.0, -9.0, 50.0, -1.75), 0.0);
        let got = covered(&floor, -50.0, -1.75, 50.0, 1.75);
        assert!((got - 350.0).abs() < 1e-6, "{got}");
    }

    /// Arms at 0, 53 and 90 degrees: 270 degrees from the last to the first, so there is one outer
    /// corner.
    #[test]
    fn a_fan_has_one_outer_corner() {
        let floor = star(JunctionKind::Other, &[(100.0, 0.0), (60.0, 80.0), (0.0, 100.0)]);
        assert_eq!(covered(&floor, -1.75, -1.75, 0.0, 0.0), 1.75 * 1.75);
        assert_eq!(members(&floor).len(), 3);
        // Nothing of the arm between them pokes out.
        assert_eq!(covered(&floor, -9.0, -9.0, -1.75, 9.0), 0.0);
    }

    /// Of three walls the two that make a bend are cut on the line that halves it where their ends share 1-1/2 in of their 3-1/2 at
    /// least: by the triangle 16-63-65 one that lies 2 in to the side is 1.94 aside of the other's line, at 2-1/8 in 2.06.
    #[test]
    fn walls_of_a_bend_share_room_for_a_splice() {
        let halved = |aside: f64| {
            let tips = [(100.0, 0.0), (-63.0, 16.0), (0.0, -100.0)];
            let mut floor = star(JunctionKind::Other, &tips);
            let run = &mut floor.runs[1];
            (run.start, run.end) = (run.start + at(0.0, aside), run.end + at(0.0, aside));
            [0, 1, 2].map(|r| on_half_angle(&floor, &floor.junctions[0], RunId(r)).is_some())
        };
        for side in [-1.0, 1.0] {
            assert_eq!(halved(2.0 * side), [true, true, false]);
            assert_eq!(halved(2.125 * side), [false; 3]);
        }
    }

    /// By hand: a wall along y crosses one along x at 100: near face 98.25, far face 101.75.
    #[test]
    fn faces_of_a_crossing_wall() {
        let mut floor = star(JunctionKind::X, &[(200.0, 0.0), (0.0, 50.0)]);
        let stem = &mut floor.runs[1];
        (stem.start, stem.end) = (stem.start + at(100.0, 0.0), stem.end + at(100.0, 0.0));
        let inch = |v| Length::from_inches(v).unwrap_or_default();
        assert_eq!(
            face_stations(&floor, RunId(0), RunId(1)),
            Some([[inch(98.25); 2], [inch(101.75); 2]])
        );
    }
}
