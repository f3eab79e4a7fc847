//! Curved walls: arcs on wall layers, as the straight parts they are planned as.
//!
//! Knows: which arcs are the two faces of a wall, which are a centreline. Never touches: door swings, arcs
//! on layers that are not known for walls; those stay left out.

use crate::account::{Fate, Reason};
use crate::affine::{Xy, dot, norm, sub};
use crate::centrelines::single_wall;
use crate::facewalls::wall_line;
use crate::layernotes::SectionDoubts;
use crate::layers::Usage;
use crate::linework::{Arc, Segment, mark};
use crate::network::distance;
use crate::pairing::{FoundWall, NARROWEST_IN, WIDEST_PLAIN_IN};
use crate::report::{NAMED, Placed};
use crate::survey::Survey;
use crate::unitwords::size;
use crate::walls::{FACES_IN, Spec, THICKEST_TOLD_IN, WallLine};
use diag::codes::dxf;
use diag::{Finding, SourceRef};
use rustc_hash::{FxHashMap, FxHashSet};
use settings::{CurvedWalls, Settings};
use std::collections::BTreeMap;
use std::f64::consts::TAU;

/// Centres of two faces' arcs lie this near to each other, inches.
const SAME_CENTRE_IN: f64 = 0.25;
/// The faces of a wall share this much at least, inches, and half of the shorter one.
const SHARED_IN: f64 = 6.0;
/// An ARC up to this radius, inches, drawn as a single line, is rather the swing of a door: the widest leaf
/// is 4 ft, with its frame 4 ft 6 in (common practice, no source).
const SWING_IN: f64 = 54.0;

/// Two pieces of one curved wall have radii this near to each other, inches.
const SAME_RADIUS_IN: f64 = 1.0 / 16.0;
/// King stud and trimmer beside an opening, inches: they stand in the straight part across it.
const STUDS_IN: f64 = 3.0;
/// Farther from the origin no building stands: the wall model's 100 000 km, in inches.
const FAR_IN: f64 = 4e9;
/// Wall layers with more arcs hold no plan of walls, and all pairs of them would be too many to look at.
const MOST: usize = 5_000;

/// An arc of a circle on a wall layer, in inches, counter-clockwise.
#[derive(Clone, Copy)]
struct Curve {
    shape: usize,
    centre: Xy,
    radius: f64,
    /// Angle at its start, radians.
    from: f64,
    sweep: f64,
}

impl Curve {
    /// None of an arc that is stretched to an ellipse's.
    fn of(shape: usize, arc: &Arc, k: f64) -> Option<Curve> {
        let radius = norm(arc.u);
        let round = (norm(arc.v) - radius).abs() <= 1e-6 * radius
            && dot(arc.u, arc.v).abs() <= 1e-6 * radius * radius;
        let near = arc.center.iter().all(|c| (c * k).abs() < FAR_IN) && arc.sweep.is_finite();
        if !round || !near || !(SHARED_IN..FAR_IN).contains(&(radius * k)) {
            return None;
        }
        // Counter-clockwise from the start where the sweep and the two directions have one sense, else from
        // the end.
        let left = crate::affine::cross(arc.u, arc.v) > 0.0;
        let [start, end] = arc.ends().map(|p| {
            let d = sub(p, arc.center);
            d[1].atan2(d[0])
        });
        let from = if left == (arc.sweep > 0.0) { start } else { end };
        let centre = arc.center.map(|c| c * k);
        Some(Curve { shape, centre, radius: radius * k, from, sweep: arc.sweep.abs().min(TAU) })
    }
    fn at(&self, turn: f64) -> Xy {
        let (sin, cos) = (self.from + turn).sin_cos();
        [self.centre[0] + self.radius * cos, self.centre[1] + self.radius * sin]
    }
    fn ends(&self) -> [Xy; 2] {
        [self.at(0.0), self.at(self.sweep)]
    }
    /// The same whatever the order of entities.
    fn key(&self) -> [u64; 5] {
        [self.centre[0], self.centre[1], self.radius, self.from, self.sweep]
            .map(crate::nearby::ordered)
    }
    /// The straight parts it is planned as; none where it is too small or too long for any.
    fn parts(&self) -> Option<Vec<Segment>> {
        let count = CurvedWalls::parts(CurvedWalls::OFF.to_inches(), self.radius, self.sweep)?;
        let at = |n: u32| self.at(self.sweep * f64::from(n) / f64::from(count));
        Some((0..count).map(|n| Segment { a: at(n), b: at(n + 1) }).collect())
    }
}

/// Plans the curved walls of the wall layers as straight parts, after all straight `walls` are known. What
/// it takes up gets the fate of what is used; gives the number of arcs taken of each shape.
pub(crate) fn curved_walls(
    s: &mut Survey<'_>,
    (k, metric): (f64, bool),
    settings: &Settings,
    walls: &mut Vec<WallLine>,
    doubts: &mut SectionDoubts,
    findings: &mut Vec<Placed>,
) -> BTreeMap<usize, usize> {
    let mut taken: BTreeMap<usize, usize> = BTreeMap::new();
    if settings.curved_walls == CurvedWalls::LeaveOut {
        return taken;
    }
    let curves = curves(s, k);
    if curves.is_empty() {
        return taken;
    }
    let mut free = vec![true; curves.len()];
    let mut made: Vec<Made> = Vec::new();
    let mut faced: Vec<Faced> = Vec::new();
    for (i, j, middle) in faces(&curves) {
        if !(free[i] && free[j]) {
            continue;
        }
        if middle.parts().is_none() {
            continue;
        }
        let (one, other) = (&curves[i], &curves[j]);
        let thickness = (one.radius - other.radius).abs();
        let chords = [one, other].map(|c| Segment { a: c.at(0.0), b: c.at(c.sweep / 2.0) });
        let found = FoundWall {
            line: chords[0],
            lines: vec![0, 1],
            thickness,
            overall: thickness,
            gaps: Vec::new(),
            panes: Vec::new(),
        };
        let shapes = [one.shape, other.shape];
        (free[i], free[j]) = (false, false);
        let known = (settings, metric);
        let Some(wall) =
            wall_line(s, (&found, THICKEST_TOLD_IN), &chords, &shapes, [0.0; 2], known, doubts)
        else {
            for shape in shapes {
                if s.fates.get(shape) == Some(&Fate::Left(Reason::Curved)) {
                    s.fates[shape] = Fate::Left(Reason::NoSection);
                }
            }
            continue;
        };
        faced.push(Faced { middle, shapes: shapes.to_vec(), wall });
    }
    for (pieces, gaps) in across_doors(faced, walls) {
        made.extend(planned(&pieces, &gaps));
    }
    let ends = Ends::of(walls, settings.graph.snap.to_inches());
    for (i, curve) in curves.iter().enumerate() {
        if !free[i] || !is_centreline(s, curve, &ends) {
            continue;
        }
        let Some(parts) = curve.parts() else { continue };
        let each = parts.into_iter();
        let each = each.filter_map(|g| single_wall(s, curve.shape, g, (settings, metric), doubts));
        let lines: Vec<WallLine> = each.collect();
        if !lines.is_empty() {
            made.push(Made { curve: *curve, shapes: vec![curve.shape], lines, doors: Vec::new() });
        }
    }
    report(s, &made, findings);
    for Made { shapes, lines, .. } in made {
        for shape in shapes {
            *taken.entry(shape).or_default() += 1;
            s.fates[shape] = Fate::Used;
        }
        walls.extend(lines);
    }
    taken
}

/// A curved wall between two faces, as far as both go.
struct Faced {
    middle: Curve,
    shapes: Vec<usize>,
    wall: WallLine,
}

/// A curved wall as it is planned.
struct Made {
    /// The whole of it, doors included.
    curve: Curve,
    shapes: Vec<usize>,
    lines: Vec<WallLine>,
    /// Width of each opening, and how far the straight part at it lies off the curve, inches.
    doors: Vec<[f64; 2]>,
}

/// Walls of one circle and thickness with openings between them, put together: the pieces as they follow on
/// each other, and the turn of each opening. Straight `walls` in a gap make it no opening.
fn across_doors(mut faced: Vec<Faced>, walls: &[WallLine]) -> Vec<(Vec<Faced>, Vec<f64>)> {
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
fn planned(pieces: &[Faced], gaps: &[f64]) -> Option<Made> {
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

/// The arcs of the wall layers that are or could be walls.
fn curves(s: &Survey<'_>, k: f64) -> Vec<Curve> {
    let lines = &s.drawing.lines;
    let mut out = Vec::new();
    for (i, shape) in lines.shapes.iter().enumerate() {
        let open = matches!(
            s.fates.get(i),
            Some(Fate::Used | Fate::Left(Reason::Curved | Reason::FaceLines | Reason::InsideWall))
        );
        let is_wall = s.role(i).is_some_and(|r| r.usage == Usage::Wall);
        if !open || !is_wall || shape.marks & (mark::CURVED | mark::TILTED | mark::BAD) != 0 {
            continue;
        }
        let arcs = lines.arcs_of(i).filter_map(|j| lines.arcs.get(j));
        out.extend(arcs.filter_map(|a| Curve::of(i, a, k)));
    }
    if out.len() > MOST {
        return Vec::new();
    }
    out.sort_by_key(|c| (c.key(), s.source(c.shape)));
    out
}

/// Pairs of arcs that are the faces of one wall, thinnest first, with the arc half-way between them.
fn faces(curves: &[Curve]) -> Vec<(usize, usize, Curve)> {
    let cell = |c: &Curve| c.centre.map(|v| v.floor() as i64);
    let mut cells: BTreeMap<[i64; 2], Vec<usize>> = BTreeMap::new();
    for (i, c) in curves.iter().enumerate() {
        cells.entry(cell(c)).or_default().push(i);
    }
    let mut found: Vec<(u64, usize, usize, Curve)> = Vec::new();
    for (i, one) in curves.iter().enumerate() {
        let [x, y] = cell(one);
        let around = (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| [x + dx, y + dy]));
        for j in around.filter_map(|c| cells.get(&c)).flatten().copied().filter(|j| *j > i) {
            let thickness = (one.radius - curves[j].radius).abs();
            if !(FACES_IN[0]..=FACES_IN[1]).contains(&thickness) {
                continue;
            }
            if let Some(middle) = between(one, &curves[j]) {
                found.push((crate::nearby::ordered(thickness), i, j, middle));
            }
        }
    }
    found.sort_by_key(|f| (f.0, f.1, f.2));
    found.into_iter().map(|(_, i, j, middle)| (i, j, middle)).collect()
}

/// The arc half-way between two faces, as far as both go.
fn between(one: &Curve, other: &Curve) -> Option<Curve> {
    if norm(sub(one.centre, other.centre)) > SAME_CENTRE_IN {
        return None;
    }
    let ahead = (other.from - one.from).rem_euclid(TAU);
    let shared = [ahead, ahead - TAU].map(|start| {
        let from = start.max(0.0);
        (from, (start + other.sweep).min(one.sweep) - from)
    });
    let (from, sweep) = if shared[0].1 >= shared[1].1 { shared[0] } else { shared[1] };
    let radius = (one.radius + other.radius) / 2.0;
    let enough = sweep * radius >= SHARED_IN && sweep >= 0.5 * one.sweep.min(other.sweep);
    enough.then_some(Curve { shape: one.shape, radius, from: one.from + from, sweep, ..*one })
}

/// Where walls drawn as single lines end.
struct Ends {
    near: f64,
    cells: FxHashMap<[i64; 2], Vec<Xy>>,
    /// Shapes with such walls.
    shapes: FxHashSet<usize>,
}

impl Ends {
    fn of(walls: &[WallLine], near: f64) -> Ends {
        let near = near.max(1.0 / 64.0);
        let mut ends = Ends { near, cells: FxHashMap::default(), shapes: FxHashSet::default() };
        for w in walls.iter().filter(|w| !w.paired) {
            ends.shapes.extend(&w.shapes);
            for p in [w.line.a, w.line.b] {
                ends.cells.entry(p.map(|v| (v / near).floor() as i64)).or_default().push(p);
            }
        }
        ends
    }
    fn are_at(&self, p: Xy) -> bool {
        let [x, y] = p.map(|v| (v / self.near).floor() as i64);
        let mut around = (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| [x + dx, y + dy]));
        around.any(|c| {
            self.cells.get(&c).is_some_and(|all| all.iter().any(|q| norm(sub(p, *q)) <= self.near))
        })
    }
}

/// Whether an arc that is no face is a wall's centreline: a bulge among straight walls of one polyline, or an
/// arc from one wall's end to another's, larger than a door's swing.
fn is_centreline(s: &Survey<'_>, curve: &Curve, ends: &Ends) -> bool {
    let Some(shape) = s.drawing.lines.shapes.get(curve.shape) else { return false };
    if ends.shapes.contains(&curve.shape) {
        return true;
    }
    let large = !shape.is_arc() || curve.radius > SWING_IN;
    large && curve.ends().into_iter().all(|p| ends.are_at(p))
}

fn report(s: &Survey<'_>, made: &[Made], findings: &mut Vec<Placed>) {
    let mut told: Vec<(Vec<SourceRef>, String, Xy)> = Vec::new();
    for Made { curve, shapes, lines, doors } in made {
        let mut sources: Vec<SourceRef> = shapes.iter().map(|i| s.source(*i)).collect();
        sources.sort();
        sources.dedup();
        let names: Vec<&str> = sources.iter().map(|x| x.entity.as_str()).collect();
        let each = lines.first().map_or(0.0, |w| norm(sub(w.line.b, w.line.a)));
        let mut message = format!(
            "The wall of {} on layer {} is curved with radius {}, {} long: planned as {} straight parts of {}.",
            names.join(" and "),
            sources.first().map_or("", |x| x.layer.as_str()),
            size(curve.radius),
            size(curve.radius * curve.sweep),
            lines.len() - doors.len(),
            size(each)
        );
        for [width, off] in doors {
            message += &format!(
                " An opening {} wide in it has a straight part of its own, {} off the curve at its middle.",
                size(*width),
                size(*off)
            );
        }
        told.push((sources, message, curve.at(curve.sweep / 2.0)));
    }
    told.sort_by(|a, b| (&a.0, &a.1).cmp(&(&b.0, &b.1)));
    let (named, rest) = told.split_at(NAMED.min(told.len()));
    for (sources, message, at) in named {
        let finding = Finding::new(dxf::WALL_IN_PARTS, message.clone()).from(sources);
        findings.push(Placed { finding, at_in: Some(*at) });
    }
    if !rest.is_empty() {
        let message = format!("{} more curved walls are planned as straight parts.", rest.len());
        let some: Vec<SourceRef> =
            rest.iter().take(NAMED).filter_map(|r| r.0.first().cloned()).collect();
        findings.push(Finding::new(dxf::WALL_IN_PARTS, message).from(&some).into());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::Dxf;
    use crate::tests::{ok, ok_with, with};
    use std::f64::consts::FRAC_PI_2;
    use wall_model::WallModel;

    /// A quarter circle about (300, 300).
    fn quarter(radius: f64) -> [(i32, f64); 5] {
        [(10, 300.0), (20, 300.0), (40, radius), (50, 0.0), (51, 90.0)]
    }
    /// Distances of the ends of all parts from (300, 300), least and greatest, and how many parts.
    fn about(model: &WallModel, parts: usize) -> [f64; 2] {
        let o = model.origin_inches;
        let lengths =
            model.walls.iter().filter(|w| w.source.iter().any(|s| s.layer == "A-WALL-ARC"));
        let ends: Vec<Xy> = lengths
            .flat_map(|w| [w.start, w.end])
            .map(|p| [p.x.to_inches() + o.0 - 300.0, p.y.to_inches() + o.1 - 300.0])
            .collect();
        assert_eq!(ends.len(), parts * 2);
        let far =
            |best: fn(f64, f64) -> f64, from: f64| ends.iter().map(|p| norm(*p)).fold(from, best);
        [far(f64::min, f64::MAX), far(f64::max, 0.0)]
    }

    #[test]
    fn two_arcs_about_one_centre_are_the_faces_of_a_wall() {
        for (inner, outer) in [(118.25, 121.75), (117.25, 122.75)] {
            let d = Dxf::inches().house().entity("ARC", "A-WALL-ARC", &quarter(inner)).entity(
                "ARC",
                "A-WALL-ARC",
                &quarter(outer),
            );
            let o = ok(&d);
            let [least, most] = about(&o.value, 13);
            assert!((least - 120.0).abs() < 1e-3 && (most - 120.0).abs() < 1e-3);
            assert_eq!(o.value.ledger.used(), o.value.ledger.read());
            let thick = o.value.walls.iter().map(|w| w.drawn_thickness.to_inches());
            assert!(thick.filter(|t| (t - (outer - inner)).abs() < 1e-6).count() >= 13);
            let said = with(&o.findings, "dxf-wall-in-parts");
            assert_eq!(said.len(), 1);
            assert!(said[0].message.contains("13 straight parts"), "{}", said[0].message);
            assert_eq!(said[0].source.len(), 2);
            let left = ok_with(
                &d,
                &Settings { curved_walls: CurvedWalls::LeaveOut, ..Settings::default() },
            );
            assert_eq!(with(&left.findings, "dxf-curved-wall").len(), 2);
        }
    }

    /// Both faces stop at a door: one wall, the door in a straight part of its own.
    #[test]
    fn a_curved_wall_goes_on_across_a_door() {
        let arc = |radius: f64, from: f64, to: f64| {
            [(10, 300.0), (20, 300.0), (40, radius), (50, from), (51, to)]
        };
        let drawing = |door: f64| {
            let mut d = Dxf::inches().house();
            let half = (door / 2.0 / 120.0).to_degrees();
            for radius in [118.25, 121.75] {
                d = d.entity("ARC", "A-WALL-ARC", &arc(radius, 0.0, 45.0 - half));
                d = d.entity("ARC", "A-WALL-ARC", &arc(radius, 45.0 + half, 90.0));
            }
            d
        };
        let of = |o: &diag::Outcome<WallModel>| {
            let own = o.value.walls.iter();
            own.filter(|w| w.source.iter().any(|s| s.layer == "A-WALL-ARC"))
                .cloned()
                .collect::<Vec<_>>()
        };
        let o = ok(&drawing(36.0));
        let walls = of(&o);
        let doors: Vec<_> = walls.iter().filter(|w| !w.openings.is_empty()).collect();
        assert_eq!(doors.len(), 1);
        let (door, long) = (&doors[0].openings[0], doors[0].length().to_inches());
        let wide = (door.to - door.from).to_inches();
        // The chord of 36 in of arc, and 3 in of studs at either side, a little less along the chord.
        assert!((wide - 35.9).abs() < 0.1, "{wide}");
        assert!((long - wide - 6.0).abs() < 0.1 && (door.from.to_inches() - 3.0).abs() < 0.1);
        let said = with(&o.findings, "dxf-wall-in-parts");
        assert_eq!(said.len(), 1, "{said:?}");
        assert_eq!(said[0].source.len(), 4);
        assert!(said[0].message.contains("An opening 2'-11"), "{}", said[0].message);
        assert_eq!(o.value.ledger.used(), o.value.ledger.read());
        // Where the parts meet their ends are one point.
        let ends: Vec<_> = walls.iter().flat_map(|w| [w.start, w.end]).collect();
        let met = ends.iter().filter(|p| ends.iter().filter(|q| q == p).count() == 2).count();
        assert_eq!(met, ends.len() - 2);
        // A narrow slit and a wide gap are no doors.
        for gap in [6.0, 110.0] {
            let o = ok(&drawing(gap));
            assert_eq!(with(&o.findings, "dxf-wall-in-parts").len(), 2, "{gap}");
            assert!(of(&o).iter().all(|w| w.openings.is_empty()));
        }
        // A wall that comes out of the gap makes it a junction.
        let d = drawing(36.0).line("A-WALL-2X4", [300.0, 300.0], [384.9, 384.9]);
        assert_eq!(with(&ok(&d).findings, "dxf-wall-in-parts").len(), 2);
    }

    #[test]
    fn arcs_that_are_no_faces_of_a_wall_stay_left_out() {
        // Too far from each other, about two centres, a door's swing.
        let moved = [(10, 301.0), (20, 300.0), (40, 121.75), (50, 0.0), (51, 90.0)];
        let d = Dxf::inches()
            .house()
            .entity("ARC", "A-WALL-ARC", &quarter(80.0))
            .entity("ARC", "A-WALL-ARC", &quarter(118.25))
            .entity("ARC", "A-WALL-ARC", &moved)
            .entity("ARC", "A-WALL-ARC", &quarter(36.0));
        let o = ok(&d);
        assert_eq!(with(&o.findings, "dxf-curved-wall").len(), 4);
        about(&o.value, 0);
    }

    /// Walls drawn as single lines: an arc between two of them is a wall, a door's swing between them is not.
    #[test]
    fn an_arc_between_the_ends_of_walls_is_a_centreline() {
        for (radius, parts) in [(120.0, 13), (36.0, 0)] {
            let d = Dxf::inches()
                .line("A-WALL", [300.0 + radius, 0.0], [300.0 + radius, 300.0])
                .line("A-WALL", [0.0, 300.0 + radius], [300.0, 300.0 + radius])
                .entity("ARC", "A-WALL-ARC", &quarter(radius));
            let o = ok(&d);
            about(&o.value, parts);
            assert_eq!(with(&o.findings, "dxf-curved-wall").len(), usize::from(parts == 0));
        }
        // A bulge of a polyline: a half circle of radius 50.
        let bulged = [
            (90, 3.0),
            (70, 0.0),
            (10, 250.0),
            (20, 300.0),
            (42, 1.0),
            (10, 350.0),
            (20, 300.0),
            (10, 500.0),
            (20, 300.0),
        ];
        let d = Dxf::inches().house().entity("LWPOLYLINE", "A-WALL-ARC", &bulged);
        let o = ok(&d);
        let half = CurvedWalls::parts(0.25, 50.0, 2.0 * FRAC_PI_2).unwrap() as usize;
        let [least, most] = about(&o.value, half + 1);
        assert!((least - 50.0).abs() < 1e-3 && (most - 200.0).abs() < 1e-3);
        assert!(with(&o.findings, "dxf-curved-wall").is_empty());
    }

    #[test]
    fn arcs_are_one_whichever_way_they_are_drawn_and_mirrored() {
        let u = [100.0, 0.0];
        let all = [
            Arc { center: [5.0, 7.0], u, v: [0.0, 100.0], sweep: FRAC_PI_2 },
            Arc { center: [5.0, 7.0], u: [0.0, 100.0], v: [100.0, 0.0], sweep: FRAC_PI_2 },
            Arc { center: [5.0, 7.0], u: [0.0, 100.0], v: [-100.0, 0.0], sweep: -FRAC_PI_2 },
        ];
        for arc in all {
            let c = Curve::of(0, &arc, 1.0).unwrap();
            assert!(c.from.abs() < 1e-12 && (c.sweep - FRAC_PI_2).abs() < 1e-12, "{arc:?}");
        }
        let stretched = Arc { v: [0.0, 50.0], ..all[0] };
        assert!(Curve::of(0, &stretched, 1.0).is_none());
    }

    #[test]
    fn arcs_beyond_all_reach_are_none() {
        for (centre, radius) in
            [(1e300, 100.0), (0.0, 1e300), (f64::NAN, 100.0), (0.0, f64::INFINITY)]
        {
            let arc = Arc { center: [centre, 0.0], u: [radius, 0.0], v: [0.0, radius], sweep: 1.0 };
            assert!(Curve::of(0, &arc, 1.0).is_none(), "{centre} {radius}");
        }
        let d = Dxf::inches().house();
        let far = [(10, 1e300), (20, 300.0), (40, 1e300), (50, 0.0), (51, 90.0)];
        let o = ok(&d.entity("ARC", "A-WALL-ARC", &far).entity("ARC", "A-WALL-ARC", &far));
        about(&o.value, 0);
    }

    #[test]
    fn faces_share_what_both_go() {
        let curve = |radius: f64, from: f64, sweep: f64| Curve {
            shape: 0,
            centre: [0.0; 2],
            radius,
            from,
            sweep,
        };
        // Across the start of the turn.
        let middle = between(&curve(100.0, 6.0, 1.0), &curve(104.0, 0.1, 0.5)).unwrap();
        let end = (middle.from + middle.sweep).rem_euclid(TAU);
        assert!((middle.from.rem_euclid(TAU) - 0.1).abs() < 1e-9 && (end - 0.6).abs() < 1e-9);
        assert!(between(&curve(100.0, 0.0, 1.0), &curve(104.0, 3.0, 1.0)).is_none());
        let whole = between(&curve(100.0, 1.0, TAU), &curve(104.0, 2.0, TAU)).unwrap();
        assert!(whole.sweep > 0.99 * TAU || whole.sweep > 5.0);
    }
}
